//! The supply curve of a vessel: the price of each further piece used, within the limits on packs.
//!
//! Free pieces and those of the least packs come first, at price 0; then each offer up to its most packs, in order of
//! the price of a piece. The cost is convex, so it is the cost of room at a sink of the flow. With spare pieces, a
//! piece used takes 1 + spare pieces from the offers: amounts are in ten-thousandths of pieces, and one piece used may be drawn
//! from two offers.

use super::{IndexedOffer, Relaxation, Subproblem};
use crate::assign::flow::transport::{Segment, UNLIMITED};
use crate::decision::{OfferIndex, SupplyIndex};
use crate::units::IndexTable;

/// Pieces of one supply at the same price.
#[derive(Clone, Debug)]
pub(super) struct CurveSegment {
    /// Number of pieces.
    pub capacity: i64,
    /// Price of one piece.
    pub price: i128,
    /// Pieces that one piece used draws from each offer, in ten-thousandths.
    pub draws: Vec<(OfferIndex, i64)>,
}

/// A source of pieces of a supply: an offer, or free pieces and least packs.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct PieceSource {
    price: i128,
    /// `None` for free pieces and least packs.
    offer: Option<OfferIndex>,
    /// In ten-thousandths of pieces.
    amount: i64,
    is_unlimited: bool,
}

impl Relaxation<'_> {
    /// The supply curve of a supply.
    pub(super) fn supply_curve(&self, subproblem: &Subproblem, supply: SupplyIndex) -> Vec<CurveSegment> {
        // Ten-thousandths of pieces that a piece used takes.
        let whole = 10_000 + self.question.limits.spare_per_10_000;
        // Exact: with spare pieces all costs are multiples of ten thousand.
        let share_of_price = |price: i128, share: i64| price * i128::from(share) / 10_000;
        let begin = || CurveSegment { capacity: 1, price: 0, draws: Vec::new() };
        let mut curve = Vec::new();
        // The piece that the sources so far fill only in part, and the part.
        let mut begun = begin();
        let mut filled = 0;
        for PieceSource { price, offer, mut amount, is_unlimited } in self.piece_sources(subproblem, supply, whole) {
            if filled > 0 {
                let share = amount.min(whole - filled);
                begun.price += share_of_price(price, share);
                begun.draws.extend(offer.map(|offer| (offer, share)));
                (filled, amount) = (filled + share, amount - share);
                if filled < whole {
                    continue;
                }
                curve.push(std::mem::replace(&mut begun, begin()));
            }
            let capacity = if is_unlimited { UNLIMITED } else { amount / whole };
            let draws = offer.map(|offer| (offer, whole)).into_iter().collect();
            curve.push(CurveSegment { capacity, price: share_of_price(price, whole), draws });
            if is_unlimited {
                break;
            }
            filled = amount % whole;
            begun.price = share_of_price(price, filled);
            begun.draws = offer.map(|offer| (offer, filled)).into_iter().filter(|(_, share)| *share > 0).collect();
        }
        curve
    }

    /// The sources of pieces of a supply, in order of price.
    fn piece_sources(&self, subproblem: &Subproblem, supply: SupplyIndex, whole: i64) -> Vec<PieceSource> {
        let range = self.offers_in(supply).positions();
        let in_least_packs =
            |offer: OfferIndex| subproblem.min_packs[offer] * self.offers[offer].terms.pack_size.0 * 10_000;
        let bought: i64 = range.clone().map(in_least_packs).sum();
        let amount = self.question.supplies[supply].free.0 * whole + bought;
        let mut sources = vec![PieceSource { price: 0, offer: None, amount, is_unlimited: false }];
        for offer in range.filter(|&offer| subproblem.max_packs[offer] > subproblem.min_packs[offer]) {
            let IndexedOffer { terms, most_useful, .. } = self.offers[offer];
            let packs = subproblem.max_packs[offer] - subproblem.min_packs[offer];
            let amount = packs * terms.pack_size.0 * 10_000;
            let price = self.pack_cost(subproblem, &self.offers[offer]) / i128::from(terms.pack_size.0);
            let is_unlimited = subproblem.max_packs[offer] >= most_useful && terms.max_packs.is_none();
            sources.push(PieceSource { price, offer: Some(offer), amount, is_unlimited });
        }
        sources.sort_unstable();
        sources
    }
}

/// The curve after the first `taken` pieces, and the cost of those; `None` if there are fewer.
pub(super) fn beyond(curve: &[CurveSegment], mut taken: i64) -> Option<(Vec<Segment>, i128)> {
    let mut cost = 0;
    let mut segments = Vec::with_capacity(curve.len());
    for segment in curve {
        let pieces = taken.min(segment.capacity);
        cost += segment.price * i128::from(pieces);
        taken -= pieces;
        let capacity = if segment.capacity == UNLIMITED { UNLIMITED } else { segment.capacity - pieces };
        segments.push(Segment { capacity, price: segment.price });
    }
    (taken == 0).then_some((segments, cost))
}

/// Adds to `drawn` the pieces that the first `taken` pieces draw from offers, in ten-thousandths.
pub(super) fn draw(curve: &[CurveSegment], mut taken: i64, drawn: &mut IndexTable<OfferIndex, i64>) {
    for segment in curve {
        let pieces = taken.min(segment.capacity);
        taken -= pieces;
        for &(offer, share) in &segment.draws {
            drawn[offer] += share * pieces;
        }
    }
}
