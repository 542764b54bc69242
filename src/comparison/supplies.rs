//! Pieces of each vessel in one plan: how many there are to be had, how many are used, and which lots came to use them.

use super::ProjectPlan;
use crate::stock::{Offer, VesselId};
use crate::units::Money;

/// Pieces of a vessel in one plan.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PiecesOfVessel {
    /// On hand and on order, less the reserve.
    pub free: i64,
    /// Pieces that can be had in all; `None` if as many as one likes can be ordered.
    pub most: Option<i64>,
    /// Pieces that lots are placed in.
    pub used: i64,
    /// The least price of a piece, by the pack; `None` if none can be ordered.
    pub price: Option<Money>,
    /// Of the lots that are in it in this plan only, the most urgent one, the first by key.
    pub newcomer: Option<u32>,
}

/// Pieces of every vessel of a plan, in the order of its stock list.
pub(super) struct Supplies(Vec<PiecesOfVessel>);

impl Supplies {
    /// Counts the pieces of a plan. Newcomers are added later.
    pub fn of(side: ProjectPlan) -> Self {
        let stock = &side.project.stock;
        let mut supplies: Vec<PiecesOfVessel> = stock
            .listed()
            .map(|(id, vessel)| {
                let offers = || stock.offers_of(id).map(|(_, offer)| offer);
                let free = vessel.free_pieces();
                let most =
                    offers().map(pieces_to_be_had).try_fold(free, |sum, pieces| Some(sum.saturating_add(pieces?)));
                let price = offers().map(price_of_a_piece).min();
                PiecesOfVessel { free, most, used: 0, price, newcomer: None }
            })
            .collect();
        for placement in &side.plan.placements {
            if let Some((id, fit)) = placement.vessel.zip(placement.fit) {
                supplies[id.0 as usize].used += i64::from(fit.pieces);
            }
        }
        Supplies(supplies)
    }

    /// The pieces of a vessel.
    pub fn vessel(&self, id: VesselId) -> &PiecesOfVessel {
        &self.0[id.0 as usize]
    }

    /// Tells of a lot that is in this vessel in this plan only; the most urgent one is kept, of equal ones the first told.
    pub fn add_newcomer(&mut self, side: ProjectPlan, id: VesselId, row: u32) {
        let priority = |row: u32| side.project.collection.specimens[row as usize].priority;
        let newcomer = &mut self.0[id.0 as usize].newcomer;
        if newcomer.is_none_or(|first| priority(row) < priority(first)) {
            *newcomer = Some(row);
        }
    }
}

/// Pieces that an offer can give; `None` if there is no limit.
fn pieces_to_be_had(offer: &Offer) -> Option<i64> {
    let (limit, size) = (i64::from(offer.order_limit?), i64::from(offer.pack_size.max(1)));
    let packs = limit / size;
    Some(if packs < i64::from(offer.min_packs) { 0 } else { packs * size })
}

fn price_of_a_piece(offer: &Offer) -> Money {
    Money::from_parts(offer.pack_price.parts() / i64::from(offer.pack_size.max(1)))
}
