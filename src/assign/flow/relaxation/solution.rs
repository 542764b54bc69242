//! The flow of one part, changed step by step into the flow of the next.

use super::steps::{self, Place};
use super::{Relaxation, State};
use crate::assign::flow::transport::{Arc, Kind, Step, Transport, UNLIMITED};

/// A cheapest flow of the rows, and the part that it belongs to.
#[derive(Clone)]
pub(super) struct Solution {
    transport: Transport,
    supplies: Vec<SupplyState>,
    /// Most rows deferred by priority.
    deferred: [i64; 4],
    fixed: Vec<(usize, Option<u32>)>,
    forbidden: Vec<(usize, Option<u32>)>,
    /// Choices of several pieces: supply, kind and choice.
    divided: Vec<(usize, usize, usize)>,
    /// Some fixed rows have no room.
    impossible: bool,
}

/// What the steps of a supply follow from, and the steps.
#[derive(Clone)]
struct SupplyState {
    fixed_pieces: i64,
    /// Of each offer least and most packs, and the price of one.
    packs: Vec<(i64, i64, i128)>,
    places: Vec<Place>,
    /// What the fixed pieces cost; `None` where there are not so many.
    fixed_cost: Option<i128>,
}

impl Solution {
    pub fn new(relaxation: &Relaxation, state: &State) -> Self {
        let n_supplies = relaxation.question.supplies.len();
        let (fixed_pieces, fixed_deferred) = fixed(relaxation, state);
        let mut supplies = Vec::with_capacity(n_supplies);
        let mut all_steps = Vec::with_capacity(n_supplies + 5);
        for (supply, &fixed_pieces) in fixed_pieces.iter().enumerate() {
            let (supply, steps) = SupplyState::new(relaxation, state, supply, fixed_pieces);
            supplies.push(supply);
            all_steps.push(steps);
        }
        // After the vessels: tanks, then the deferred rows of each priority.
        all_steps.push(vec![Step { room: UNLIMITED, price: 0 }]);
        all_steps.extend(deferred_steps(relaxation, fixed_deferred).map(|step| vec![step]));
        let mut divided = Vec::new();
        let kinds = relaxation.kinds.iter().enumerate().map(|(index, kind)| {
            let class = &relaxation.question.classes[kind.class];
            let arcs = class.choices.iter().enumerate().map(|(number, choice)| {
                let cost = relaxation.scaled_cost(choice.money, choice.fluid);
                let place = choice.supply.map_or(n_supplies, |supply| supply as usize);
                if choice.pieces > 1 && place < n_supplies {
                    divided.push((place, index, number));
                }
                let more = if place < n_supplies { supplies[place].more_pieces(choice.pieces) } else { 0 };
                Arc { place, cost: cost + more }
            });
            let deferral = Arc { place: n_supplies + usize::from(class.priority), cost: 0 };
            let arcs = arcs.chain(kind.deferrable().then_some(deferral)).collect();
            let fixed = state.fixed.iter().any(|(fixed, _)| *fixed == index);
            Kind { count: if fixed { 0 } else { kind.len as i64 }, arcs, rises: kind.savings.clone() }
        });
        let transport = Transport::new(kinds, &all_steps);
        let impossible = fixed_deferred.iter().zip(relaxation.goal.deferred).any(|(fixed, most)| *fixed > most);
        let mut solution = Solution {
            transport,
            supplies,
            deferred: relaxation.goal.deferred,
            fixed: state.fixed.clone(),
            forbidden: Vec::new(),
            divided,
            impossible,
        };
        solution.forbid(relaxation, state);
        solution
    }

    /// The flow of another part; no further once what is left open costs `enough`, which is then true.
    pub fn change_until(&mut self, relaxation: &Relaxation, state: &State, enough: Option<i128>) -> bool {
        let (fixed_pieces, fixed_deferred) = fixed(relaxation, state);
        self.forbid(relaxation, state);
        for &(kind, _) in state.fixed.iter().filter(|fixed| !self.fixed.iter().any(|other| other.0 == fixed.0)) {
            self.transport.set_count(kind, 0);
        }
        for &(kind, _) in self.fixed.iter().filter(|fixed| !state.fixed.iter().any(|other| other.0 == fixed.0)) {
            self.transport.set_count(kind, relaxation.kinds[kind].len as i64);
        }
        if self.fixed != state.fixed || self.deferred != relaxation.goal.deferred {
            self.impossible = fixed_deferred.iter().zip(relaxation.goal.deferred).any(|(fixed, most)| *fixed > most);
            let first = self.supplies.len() + 1;
            for (place, step) in (first..).zip(deferred_steps(relaxation, fixed_deferred)) {
                self.transport.set_steps(place, &[step]);
            }
            self.deferred = relaxation.goal.deferred;
            self.fixed.clone_from(&state.fixed);
        }
        // What only takes packs away comes last: until then the flow is of a part that holds this one.
        let mut to_close = Vec::new();
        for (supply, fixed_pieces) in fixed_pieces.into_iter().enumerate() {
            match self.supplies[supply].change(packs(relaxation, state, supply), fixed_pieces) {
                Change::None => {}
                Change::Closing if enough.is_some() => to_close.push((supply, fixed_pieces)),
                _ => self.change_supply(relaxation, state, supply, fixed_pieces),
            }
        }
        let costs_enough =
            |solution: &Self| enough.is_some_and(|enough| solution.cost().is_none_or(|cost| cost >= enough));
        for (supply, fixed_pieces) in to_close {
            if costs_enough(self) {
                return true;
            }
            self.change_supply(relaxation, state, supply, fixed_pieces);
        }
        costs_enough(self)
    }

    fn change_supply(&mut self, relaxation: &Relaxation, state: &State, supply: usize, fixed_pieces: i64) {
        let (changed, steps) = SupplyState::new(relaxation, state, supply, fixed_pieces);
        self.supplies[supply] = changed;
        self.transport.set_steps(supply, &steps);
        for &(_, kind, number) in self.divided.iter().filter(|(of, ..)| *of == supply) {
            let more = self.supplies[supply].more_pieces(relaxation.choices(kind)[number].pieces);
            let cost = relaxation.cost_of_choice(kind, number) + more;
            self.transport.set_cost(kind, number, cost);
        }
    }

    fn forbid(&mut self, relaxation: &Relaxation, state: &State) {
        let arc_of = |kind: usize, choice: Option<u32>| choice.map_or(relaxation.choices(kind).len(), |c| c as usize);
        for &(kind, choice) in self.forbidden.iter().filter(|arc| !state.forbidden.contains(arc)) {
            self.transport.set_closed(kind, arc_of(kind, choice), false);
        }
        for &(kind, choice) in state.forbidden.iter().filter(|arc| !self.forbidden.contains(arc)) {
            self.transport.set_closed(kind, arc_of(kind, choice), true);
        }
        self.forbidden.clone_from(&state.forbidden);
    }

    /// What the rows and the pieces of fixed rows cost; `None` where there is no room for them.
    pub fn cost(&self) -> Option<i128> {
        if self.impossible {
            return None;
        }
        let fixed: Option<i128> = self.supplies.iter().map(|supply| supply.fixed_cost).sum();
        Some(fixed? + self.transport.cost()?)
    }

    /// Rows of a kind by choice, and last those deferred.
    pub fn sent(&self, kind: usize) -> &[i64] {
        self.transport.sent(kind)
    }

    /// What a row more or fewer changes elsewhere at least, by place.
    pub fn margins(&mut self) -> (Vec<i128>, Vec<i128>) {
        self.transport.margins()
    }

    /// By supply, then tanks and the deferred rows of each priority, the lowest prices that go with the flow.
    pub fn prices(&mut self) -> Vec<i128> {
        self.transport.prices()
    }

    /// What the last piece of a supply in use costs.
    pub fn last_price(&self, supply: usize) -> i128 {
        self.transport.last_price(supply)
    }

    /// By supply, pieces that the rows take.
    pub fn pieces(&self, relaxation: &Relaxation) -> Vec<i64> {
        let supplies = self.supplies.iter().enumerate();
        let mut pieces: Vec<i64> =
            supplies.map(|(index, supply)| supply.fixed_pieces + self.transport.used(index)).collect();
        for &(supply, kind, number) in &self.divided {
            let choice = &relaxation.question.classes[relaxation.kinds[kind].class].choices[number];
            pieces[supply] += i64::from(choice.pieces - 1) * self.transport.sent(kind)[number];
        }
        pieces
    }

    /// By offer, ten-thousandths of pieces drawn on.
    pub fn amounts(&self, n_offers: usize) -> Vec<i64> {
        let mut amounts = vec![0; n_offers];
        for (index, supply) in self.supplies.iter().enumerate() {
            steps::draw(&supply.places, supply.fixed_pieces + self.transport.used(index), &mut amounts);
        }
        amounts
    }
}

/// What becomes of a supply.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Change {
    None,
    /// There are fewer packs to be had.
    Closing,
    Any,
}

impl SupplyState {
    fn new(relaxation: &Relaxation, state: &State, supply: usize, fixed_pieces: i64) -> (Self, Vec<Step>) {
        let places = relaxation.places_of(state, supply);
        let after = steps::after(&places, fixed_pieces);
        let fixed_cost = after.as_ref().map(|(_, cost)| *cost);
        let packs = packs(relaxation, state, supply).collect();
        (SupplyState { fixed_pieces, packs, places, fixed_cost }, after.map(|(steps, _)| steps).unwrap_or_default())
    }

    /// What becomes of it with these packs and so many pieces for fixed rows.
    fn change(&self, packs: impl Iterator<Item = (i64, i64, i128)>, fixed_pieces: i64) -> Change {
        let mut change = if self.fixed_pieces == fixed_pieces { Change::None } else { Change::Any };
        for (&(least, most, price), (new_least, new_most, new_price)) in self.packs.iter().zip(packs) {
            if (least, price) != (new_least, new_price) || most < new_most {
                change = Change::Any;
            } else if most > new_most && change == Change::None {
                change = Change::Closing;
            }
        }
        change
    }

    /// The least that the pieces of a row beyond its first cost.
    fn more_pieces(&self, pieces: u32) -> i128 {
        let cheapest = self.places.iter().find(|place| place.room > 0).map_or(0, |place| place.piece);
        cheapest * i128::from(pieces - 1)
    }
}

/// Of each offer of a supply least and most packs, and the price of one.
fn packs(relaxation: &Relaxation, state: &State, supply: usize) -> impl Iterator<Item = (i64, i64, i128)> {
    let offers = relaxation.first_offer[supply]..relaxation.first_offer[supply + 1];
    offers.map(|offer| (state.least[offer], state.most[offer], relaxation.pack_cost(state, &relaxation.offers[offer])))
}

/// Pieces of each supply that fixed rows take, and the fixed rows deferred by priority.
fn fixed(relaxation: &Relaxation, state: &State) -> (Vec<i64>, [i64; 4]) {
    let mut pieces = vec![0i64; relaxation.question.supplies.len()];
    let mut deferred = [0i64; 4];
    for &(kind, choice) in &state.fixed {
        let class = &relaxation.question.classes[relaxation.kinds[kind].class];
        match choice {
            Some(index) => {
                let choice = &class.choices[index as usize];
                if let Some(supply) = choice.supply {
                    pieces[supply as usize] += i64::from(choice.pieces);
                }
            }
            None => deferred[usize::from(class.priority) - 1] += 1,
        }
    }
    (pieces, deferred)
}

/// What is left of the rows that may be deferred, by priority.
fn deferred_steps(relaxation: &Relaxation, fixed: [i64; 4]) -> impl Iterator<Item = Step> {
    relaxation.goal.deferred.into_iter().zip(fixed).map(|(most, fixed)| Step { room: (most - fixed).max(0), price: 0 })
}
