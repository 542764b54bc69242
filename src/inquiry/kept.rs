//! The kinds of vessel to standardise on: the best plan in which all lots go into at most so many kinds, those on the shelf included.
//!
//! # Problem
//!
//! `max_vessel_types` counts kinds bought. Here a kind counts as soon as a piece of it is used, bought or from the shelf.
//!
//! # Method
//!
//! The free pieces of a vessel become an offer of single pieces without a supplier, at no price and up to their number. Then every kind
//! in use is a kind bought, and the limit on those is the limit asked for. This changes no plan otherwise: these pieces cost nothing,
//! count for no supplier, and are as many as before. It holds without spare pieces only (`spare_pct` 0): spares are asked of pieces
//! bought, not of those from the shelf.
//!
//! The search starts from the plan as it is where that has few kinds enough, and from the best plan of a promising set of kinds
//! ([`promising`]). What it finds is no worse than either, and is proved like any plan.

mod promising;

use std::collections::BTreeSet;

use super::listed::lots;
use super::{Inquiry, PlanValue, Watch, WhatIf};
use crate::assign;
use crate::decision::{Decision, SupplyIndex};
use crate::stock::VesselId;
use crate::units::{Packs, Pieces};
use promising::promising;

/// The best plan of at most so many kinds.
#[derive(Clone, Debug)]
pub struct KeptKinds {
    /// How many.
    pub most: u32,
    /// The plan as it is.
    pub now: PlanValue,
    /// Kinds in use in it.
    pub kinds_now: usize,
    /// The plan of these kinds.
    pub plan: PlanValue,
    /// The kinds, those with most lots first.
    pub kinds: Vec<KeptKind>,
    /// Rows of lots that get a tank.
    pub in_tanks: usize,
}

/// A kind of vessel to keep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptKind {
    /// Which.
    pub vessel: VesselId,
    /// Rows of the lots that it holds, in survey order.
    pub lots: Vec<u32>,
    /// Pieces that they use.
    pub used: Pieces,
    /// Pieces from the shelf.
    pub from_shelf: Pieces,
    /// Pieces bought.
    pub bought: Pieces,
}

/// The best plan of an inquiry with at most so many kinds in use.
pub fn kept(inquiry: &Inquiry, most: u32, watch: &mut Watch) -> KeptKinds {
    let plan = inquiry.decide(watch);
    let mut few = inquiry.clone();
    few.change(WhatIf::ShelfAsOffers);
    few.change(WhatIf::MostKinds(Some(most)));
    let as_it_is = assign::covered(few.question(), plan.chosen.clone());
    let of_set = few.of_kinds(&promising(few.question(), most, watch.stop), watch);
    let start = as_it_is.into_iter().chain(of_set).min_by_key(|start| few.plan_value(start).rank());
    let decision = match start {
        Some(start) => few.decide_from(&start, watch),
        None => few.decide(watch),
    };
    let vessels = || inquiry.project().stock.listed().map(|(id, _)| id);
    let mut kinds: Vec<KeptKind> = vessels().filter_map(|id| kept_kind(inquiry, &few, &decision, id)).collect();
    kinds.sort_by_key(|kind| std::cmp::Reverse(kind.lots.len()));
    let in_tanks = few.question().classes.iter().zip(&decision.chosen).map(|(class, chosen)| {
        chosen.iter().flatten().filter(|choice| class.choices[**choice].supply.is_none()).count()
    });
    KeptKinds {
        most,
        now: inquiry.plan_value(&plan),
        kinds_now: vessels().filter(|id| !lots(inquiry, &plan, *id).is_empty()).count(),
        plan: few.plan_value(&decision),
        in_tanks: in_tanks.sum(),
        kinds,
    }
}

/// A kind in use, or bought.
fn kept_kind(inquiry: &Inquiry, few: &Inquiry, decision: &Decision, vessel: VesselId) -> Option<KeptKind> {
    let held = lots(few, decision, vessel);
    let used: Pieces = held.iter().map(|(_, pieces)| *pieces).sum();
    let lots = held.into_iter().map(|(row, _)| row).collect();
    let (at, supply) = few.question().supplies.enumerated().find(|(_, supply)| supply.vessel == vessel)?;
    let pieces = supply.offers.iter().zip(&decision.packs[at]).map(|(offer, packs)| offer.pack_size * *packs);
    let all: Pieces = pieces.sum();
    let free = Pieces(inquiry.project().stock.vessel(vessel).free_pieces());
    let from_shelf = used.min(free);
    let shelf = few.shelf_offer(vessel).filter(|_| free > Pieces::ZERO);
    let sold = supply.offers.iter().zip(&decision.packs[at]).find(|(offer, _)| Some(offer.offer) == shelf);
    let bought = all - sold.map_or(Pieces::ZERO, |(offer, packs)| offer.pack_size * *packs);
    let kind = KeptKind { vessel, lots, used, from_shelf, bought };
    (used > Pieces::ZERO || bought > Pieces::ZERO).then_some(kind)
}

impl Inquiry<'_> {
    /// The offer that stands for the free pieces of a vessel that has any.
    fn shelf_offer(&self, vessel: VesselId) -> Option<u32> {
        let (last, _) = self.project.stock.offers_of(vessel).last()?;
        u32::try_from(last).ok()
    }

    /// The best plan that uses these kinds alone, if it keeps every limit.
    fn of_kinds(&self, kinds: &BTreeSet<SupplyIndex>, watch: &mut Watch) -> Option<Decision> {
        let mut only = self.clone();
        for (at, supply) in only.question.supplies.enumerated_mut() {
            if !kinds.contains(&at) {
                supply.offers.clear();
                supply.free = Pieces::ZERO;
            }
        }
        only.question.limits.max_vessel_types = None;
        let found = only.decide(watch);
        let packs = self.question.supplies.enumerated().map(|(at, supply)| {
            let mut packs = found.packs[at].clone();
            packs.resize(supply.offers.len(), Packs::ZERO);
            packs
        });
        let decision = Decision { packs: packs.collect(), chosen: found.chosen, ..Decision::default() };
        assign::evaluate::check(&self.question, &decision).is_ok().then_some(decision)
    }
}
