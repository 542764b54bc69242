//! What one more piece of a vessel costs, step by step, as the packs decided so far leave it.

use super::{FlatOffer, Relaxation, State};
use crate::assign::flow::transport::{Step, UNLIMITED};

/// Pieces of one supply that cost the same.
#[derive(Clone, Debug)]
pub(super) struct Place {
    /// How many.
    pub room: i64,
    /// What one costs.
    pub piece: i128,
    /// What one draws from offers, in ten-thousandths of pieces.
    pub parts: Vec<(usize, i64)>,
}

impl Relaxation<'_> {
    /// The pieces of a supply in order of what one more costs: those at no price, then each offer's. A piece needs its
    /// spare beside it, so one piece may draw on two offers.
    pub(super) fn places_of(&self, state: &State, supply: usize) -> Vec<Place> {
        let spare = 10_000 + self.question.limits.spare_per_10_000;
        let range = self.first_offer[supply]..self.first_offer[supply + 1];
        let owned: i64 =
            range.clone().map(|offer| state.least[offer] * self.offers[offer].terms.pack_size * 10_000).sum();
        let mut sources = vec![(0, None, self.question.supplies[supply].free * spare + owned, false)];
        for offer in range.filter(|&offer| state.most[offer] > state.least[offer]) {
            let FlatOffer { terms, most, .. } = self.offers[offer];
            let amount = (state.most[offer] - state.least[offer]) * terms.pack_size * 10_000;
            let cost = self.pack_cost(state, &self.offers[offer]) / i128::from(terms.pack_size);
            let never_full = state.most[offer] >= most && terms.max_packs.is_none();
            sources.push((cost, Some(offer), amount, never_full));
        }
        sources.sort_unstable();
        // Exact: where a piece is shared at all, costs are multiples of ten thousand.
        let of_piece = |cost: i128, part: i64| cost * i128::from(part) / 10_000;
        let mut places = Vec::new();
        // A piece that the sources so far do not fill.
        let mut begun = Place { room: 1, piece: 0, parts: Vec::new() };
        let mut filled = 0;
        for (cost, offer, mut amount, never_full) in sources {
            if filled > 0 {
                let part = amount.min(spare - filled);
                begun.piece += of_piece(cost, part);
                begun.parts.extend(offer.map(|offer| (offer, part)));
                (filled, amount) = (filled + part, amount - part);
                if filled < spare {
                    continue;
                }
                places.push(std::mem::replace(&mut begun, Place { room: 1, piece: 0, parts: Vec::new() }));
            }
            let room = if never_full { UNLIMITED } else { amount / spare };
            let parts = offer.map(|offer| (offer, spare)).into_iter().collect();
            places.push(Place { room, piece: of_piece(cost, spare), parts });
            if never_full {
                break;
            }
            filled = amount % spare;
            begun.piece = of_piece(cost, filled);
            begun.parts = offer.map(|offer| (offer, filled)).into_iter().filter(|(_, part)| *part > 0).collect();
        }
        places
    }
}

/// The steps that are left once so many pieces are taken, and what those cost; `None` where there are not so many.
pub(super) fn after(places: &[Place], mut taken: i64) -> Option<(Vec<Step>, i128)> {
    let mut cost = 0;
    let mut steps = Vec::with_capacity(places.len());
    for place in places {
        let of_these = taken.min(place.room);
        cost += place.piece * i128::from(of_these);
        taken -= of_these;
        let room = if place.room == UNLIMITED { UNLIMITED } else { place.room - of_these };
        steps.push(Step { room, price: place.piece });
    }
    (taken == 0).then_some((steps, cost))
}

/// What so many pieces draw from offers, added to `amounts`.
pub(super) fn draw(places: &[Place], mut taken: i64, amounts: &mut [i64]) {
    for place in places {
        let of_these = taken.min(place.room);
        taken -= of_these;
        for &(offer, part) in &place.parts {
            amounts[offer] += part * of_these;
        }
    }
}
