//! Where a part of the decision is divided, and the parts that come of it.

use itertools::Itertools;

use super::{Relaxation, Relaxed};
use crate::assign::flow::leaf::Terms;
use crate::units::Money;

/// A part of the decision.
#[derive(Clone, Debug)]
pub struct State {
    pub(super) least: Vec<i64>,
    pub(super) most: Vec<i64>,
    pub(super) terms: Vec<Terms>,
    pub(super) multiplier: Vec<i64>,
    /// In so many parts of this one the multipliers stay as they are.
    pub(super) rests: u32,
    /// By kind: its choice is fixed (`None` in it = deferred).
    pub(super) fixed: Vec<(usize, Option<u32>)>,
    pub(super) forbidden: Vec<(usize, Option<u32>)>,
    /// Kinds of vessel that count as bought.
    pub(super) opened: Vec<bool>,
}

impl State {
    /// By supplier, how many steps its prices are lowered by for what its goods must reach.
    pub fn multiplier(&self) -> &[i64] {
        &self.multiplier
    }

    /// Has the multipliers sought anew when this part is solved.
    pub fn wake_multipliers(&mut self) {
        self.rests = 0;
    }
}

/// Where a part is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Branch {
    /// What a supplier is.
    Supplier(usize),
    /// Whether a row takes a choice.
    Lot(usize, Option<u32>),
    /// Whether a kind of vessel is bought at all.
    Vessel(usize),
    /// At most so many packs of an offer, or more.
    Packs(usize, i64),
}

/// Packs of an offer that are to be whole.
pub(super) struct Rounding {
    pub offer: usize,
    /// Packs rounded down.
    pub whole: i64,
    /// At least, what no more than these cost, and what one more costs, where that is known.
    pub fewer: i128,
    pub more: i128,
    /// Money in the part of a pack that is not used, rounded up.
    pub lost: i128,
    /// Packs to the next whole number below, and above.
    pub away: [f64; 2],
}

/// How much dividing on the packs of an offer has lifted the bound of the part with no more of them, and of that with more:
/// for each pack that it forced on the relaxation, added up, and how often.
#[derive(Clone, Copy, Default)]
pub(super) struct Lifts([(f64, u32); 2]);

impl Lifts {
    fn add(&mut self, side: usize, lift: f64, away: f64) {
        self.0[side].0 += lift / away.max(1e-6);
        self.0[side].1 += 1;
    }

    /// What they say of both parts, once they have been seen often enough.
    fn expected(&self, away: [f64; 2]) -> Option<[f64; 2]> {
        let [fewer, more] = self.0;
        let often = fewer.1.min(more.1) >= RELIABLE;
        often.then(|| [fewer.0 / f64::from(fewer.1) * away[0], more.0 / f64::from(more.1) * away[1]])
    }
}

/// Trials of an offer after which what they lifted says enough.
const RELIABLE: u32 = 2;

/// Offers of which the parts are solved before one of them is chosen to divide on.
const TRIALS: usize = 16;

impl Relaxation<'_> {
    /// The whole decision.
    pub fn root(&self) -> State {
        State {
            least: vec![0; self.offers.len()],
            most: self.offers.iter().map(|offer| offer.most).collect(),
            terms: self.question.terms_of_whole(),
            multiplier: vec![0; self.question.suppliers.len()],
            rests: 0,
            fixed: Vec::new(),
            forbidden: Vec::new(),
            opened: vec![false; self.question.supplies.len()],
        }
    }

    /// Where to divide a part in which only plans below `cutoff` are sought; `None` where its relaxation is a plan.
    pub fn branch(&mut self, state: &State, relaxed: &Relaxed, cutoff: Option<i128>) -> Option<Branch> {
        let rows = |relaxation: &Self| {
            relaxation.branch_on_suppliers(state, relaxed).or_else(|| relaxation.branch_on_lots(state))
        };
        let branch = rows(self).or_else(|| self.branch_on_kinds(state, relaxed));
        if branch.is_some() || self.too_many_kinds(state, relaxed) {
            return branch;
        }
        self.branch_on_packs(state, relaxed, cutoff)
    }

    /// The same on suppliers and packs alone.
    pub fn branch_on_orders(&mut self, state: &State, relaxed: &Relaxed) -> Option<Branch> {
        if let Some(supplier) = self.branch_on_suppliers(state, relaxed) {
            return Some(supplier);
        }
        if let Some(Branch::Vessel(supply)) = self.branch_on_kinds(state, relaxed) {
            let mut offers = self.first_offer[supply]..self.first_offer[supply + 1];
            let bought = offers.find(|&offer| self.bought(state, relaxed, offer));
            return bought.map(|offer| Branch::Packs(offer, 0));
        }
        self.branch_on_packs(state, relaxed, None)
    }

    fn bought(&self, state: &State, relaxed: &Relaxed, offer: usize) -> bool {
        relaxed.amounts[offer] > 0 || state.least[offer] > 0
    }

    /// The undecided supplier with the highest charge that something is bought from.
    fn branch_on_suppliers(&self, state: &State, relaxed: &Relaxed) -> Option<Branch> {
        let undecided = (0..state.terms.len()).filter(|&supplier| {
            let ours = |offer: &usize| self.offers[*offer].terms.supplier == Some(supplier as u32);
            let mut offers = (0..self.offers.len()).filter(ours);
            state.terms[supplier] == Terms::Undecided && offers.any(|offer| self.bought(state, relaxed, offer))
        });
        undecided.max_by_key(|&supplier| (self.question.suppliers[supplier].charge, supplier)).map(Branch::Supplier)
    }

    /// A lot that is divided over several pieces, of which the flow counts only the first.
    fn branch_on_lots(&self, state: &State) -> Option<Branch> {
        self.lots.iter().find_map(|&kind| {
            let choices = &self.question.classes[self.kinds[kind].class].choices;
            let sent = self.bounding.as_ref().map_or(&[][..], |solution| solution.sent(kind));
            let choice = choices.iter().zip(sent).position(|(choice, amount)| choice.pieces > 1 && *amount > 0)?;
            let free = !state.fixed.iter().any(|(fixed, _)| *fixed == kind);
            free.then_some(Branch::Lot(kind, Some(choice as u32)))
        })
    }

    /// Kinds of vessel bought, where there are more than may be.
    fn kinds_bought(&self, state: &State, relaxed: &Relaxed) -> Option<Vec<usize>> {
        let most = self.question.limits.max_vessel_types?;
        let bought = (0..self.offers.len()).filter(|&offer| self.bought(state, relaxed, offer));
        let mut kinds: Vec<usize> = bought.map(|offer| self.offers[offer].supply).collect();
        kinds.dedup();
        (kinds.len() > most as usize).then_some(kinds)
    }

    fn too_many_kinds(&self, state: &State, relaxed: &Relaxed) -> bool {
        self.kinds_bought(state, relaxed).is_some()
    }

    /// One of too many kinds that does not count as bought yet.
    fn branch_on_kinds(&self, state: &State, relaxed: &Relaxed) -> Option<Branch> {
        let kinds = self.kinds_bought(state, relaxed)?;
        kinds.into_iter().find(|&supply| !state.opened[supply]).map(Branch::Vessel)
    }

    /// An offer whose packs cost much to round, or one of a supplier whose goods are short or too much.
    fn branch_on_packs(&mut self, state: &State, relaxed: &Relaxed, cutoff: Option<i128>) -> Option<Branch> {
        // Both parts should cost more: the one that costs less counts, then the other.
        let worth = |it: &Rounding| (it.fewer.min(it.more), it.fewer.max(it.more), it.lost, it.offer);
        let dearest = self.roundings(state, relaxed).into_iter().sorted_unstable_by_key(worth).rev();
        let tried: Vec<Rounding> = dearest.take(TRIALS).collect();
        if let Some((offer, whole)) = self.most_telling(state, relaxed, &tried, cutoff) {
            return Some(Branch::Packs(offer, whole));
        }
        (0..state.terms.len()).find_map(|supplier| self.branch_on_goods(state, relaxed, supplier))
    }

    /// The offers that are drawn on for no whole number of packs, or fewer than may be bought.
    pub(super) fn roundings(&mut self, state: &State, relaxed: &Relaxed) -> Vec<Rounding> {
        let penalties = self.penalties(state, relaxed);
        let rounding = |offer: usize| {
            let (whole, rest) = self.packs_of(state, relaxed, offer);
            let terms = self.offers[offer].terms;
            let below_least = whole < terms.min_packs && (whole > 0 || rest > 0);
            if rest == 0 && !below_least {
                return None;
            }
            let pack = terms.pack_size * 10_000;
            let whole = if below_least { 0 } else { whole };
            let lost = i128::from(pack - rest) * i128::from(terms.pack_price.parts()) / i128::from(terms.pack_size);
            let [fewer, more] = penalties.as_ref().map_or([0, 0], |penalties| {
                let fewer = relaxed.amounts[offer] - (whole - state.least[offer]) * pack;
                let more = (whole + 1).max(terms.min_packs) * pack - whole * pack - fewer;
                [penalties[offer].fewer.min(1 << 90) * i128::from(fewer), penalties[offer].more * i128::from(more)]
            });
            let above = (relaxed.amounts[offer] - (whole - state.least[offer]) * pack) as f64 / pack as f64;
            let below = ((whole + 1).max(terms.min_packs) - whole) as f64 - above;
            Some(Rounding { offer, whole, fewer, more, lost, away: [above, below] })
        };
        (0..self.offers.len()).filter_map(rounding).collect()
    }

    /// Of offers with a number of packs, the one where dividing there lifts the bounds of both parts most, or of one so that
    /// it holds nothing better. The parts are solved for it until it is known how much an offer lifts them (strong branching:
    /// D. Applegate, R. Bixby, V. Chvátal, W. Cook, Finding cuts in the TSP, DIMACS technical report 95-05, 1995; the product
    /// of both, and reliability: T. Achterberg, T. Koch, A. Martin, Branching rules revisited, Operations Research Letters 33
    /// (2005) 42; both cited from memory).
    fn most_telling(
        &mut self,
        state: &State,
        relaxed: &Relaxed,
        offers: &[Rounding],
        cutoff: Option<i128>,
    ) -> Option<(usize, i64)> {
        if let [only] = offers {
            return Some((only.offer, only.whole));
        }
        let mut best: Option<(f64, (usize, i64))> = None;
        for &Rounding { offer, whole, away, .. } in offers {
            let mut lifts = self.lifts[offer].expected(away);
            if lifts.is_none() {
                let mut seen = [0.0; 2];
                for (side, mut child) in self.children(state, &Branch::Packs(offer, whole)).into_iter().enumerate() {
                    let tried = self.solve_once(&mut child);
                    let Some(tried) = tried.filter(|tried| cutoff.is_none_or(|cutoff| tried.bound < cutoff)) else {
                        return Some((offer, whole));
                    };
                    seen[side] = (tried.scaled_bound - relaxed.scaled_bound) as f64;
                    self.lifts[offer].add(side, seen[side], away[side]);
                }
                lifts = Some(seen);
            }
            let product = lifts.map_or(0.0, |[fewer, more]| fewer.max(1.0) * more.max(1.0));
            if best.is_none_or(|(most, _)| product > most) {
                best = Some((product, (offer, whole)));
            }
        }
        best.map(|(_, offer)| offer)
    }

    /// The dearest row that is still free, and the choice it has: it takes that, or anything else.
    pub fn branch_on_rows(&self, state: &State) -> Option<Branch> {
        if !self.goal.budget_weighs() {
            return None;
        }
        let solution = self.bounding.as_ref()?;
        let free = (0..self.kinds.len()).filter(|kind| !state.fixed.iter().any(|(fixed, _)| fixed == kind));
        let cost = |kind: usize, choice: Option<u32>| {
            choice.map_or(0, |number| self.cost_of_choice(kind, number as usize) - self.saved(kind))
        };
        free.filter_map(|kind| {
            let choice = self.choice_of_arc(kind, solution.sent(kind).iter().position(|&amount| amount > 0)?);
            Some((cost(kind, choice), kind, choice))
        })
        .max()
        .map(|(_, kind, choice)| Branch::Lot(kind, choice))
    }

    /// Everything is whole, but a supplier's goods are short of what they must reach. Or they pass it at prices lowered by the
    /// multiplier, so that the bound is not the plan's cost: a pack fewer, or all of these.
    fn branch_on_goods(&self, state: &State, relaxed: &Relaxed, supplier: usize) -> Option<Branch> {
        let needed = i128::from(self.goods_needed(state, supplier).parts()) * self.scale;
        if relaxed.goods[supplier] > needed && state.multiplier[supplier] > 0 {
            let ours = self.whole_packs(state, relaxed, supplier);
            let dearest = ours.filter(|(_, offer, whole)| *whole > state.least[*offer]).max();
            return dearest.map(|(_, offer, whole)| Branch::Packs(offer, whole - 1));
        }
        self.branch_on_short_goods(state, relaxed, supplier)
    }

    /// A supplier's goods are short: of its cheapest pack one more, or no more.
    pub(super) fn branch_on_short_goods(&self, state: &State, relaxed: &Relaxed, supplier: usize) -> Option<Branch> {
        if relaxed.goods[supplier] >= i128::from(self.goods_needed(state, supplier).parts()) * self.scale {
            return None;
        }
        let ours = self.whole_packs(state, relaxed, supplier);
        let cheapest = ours.filter(|(_, offer, whole)| *whole < state.most[*offer]).min();
        cheapest.map(|(_, offer, whole)| Branch::Packs(offer, whole))
    }

    /// A supplier's offers: price of a pack, offer, and whole packs.
    fn whole_packs(
        &self,
        state: &State,
        relaxed: &Relaxed,
        supplier: usize,
    ) -> impl Iterator<Item = (Money, usize, i64)> {
        (0..self.offers.len())
            .filter(move |&offer| self.offers[offer].terms.supplier == Some(supplier as u32))
            .map(move |offer| (self.offers[offer].terms.pack_price, offer, self.packs_of(state, relaxed, offer).0))
    }

    /// The parts that a branch divides a part into; together they hold every plan of it.
    pub fn children(&self, state: &State, branch: &Branch) -> Vec<State> {
        let with = |change: &dyn Fn(&mut State)| {
            let mut child = state.clone();
            change(&mut child);
            child
        };
        match *branch {
            Branch::Supplier(supplier) => {
                let decided = |terms: &Terms| {
                    with(&|child| {
                        child.terms[supplier] = *terms;
                        child.rests = 0;
                    })
                };
                self.question.terms_of(supplier).iter().map(decided).collect()
            }
            Branch::Lot(kind, choice) => vec![
                with(&|child| child.fixed.push((kind, choice))),
                with(&|child| child.forbidden.push((kind, choice))),
            ],
            Branch::Vessel(supply) => vec![
                with(&|child| child.opened[supply] = true),
                with(&|child| {
                    for offer in self.first_offer[supply]..self.first_offer[supply + 1] {
                        child.most[offer] = 0;
                    }
                }),
            ],
            Branch::Packs(offer, whole) => {
                let more = (whole + 1).max(self.offers[offer].terms.min_packs);
                vec![with(&|child| child.most[offer] = whole), with(&|child| child.least[offer] = more)]
            }
        }
    }

    /// Closes what the caps on kinds and suppliers leave no room for; `None` where they are passed already.
    pub(super) fn apply_caps(&self, state: &mut State) -> Option<()> {
        let limits = &self.question.limits;
        if let Some(most) = limits.max_suppliers {
            let opened = state.terms.iter().filter(|terms| matches!(terms, Terms::Paying | Terms::Free)).count();
            if opened > most as usize {
                return None;
            }
            if opened == most as usize {
                for terms in state.terms.iter_mut().filter(|terms| **terms == Terms::Undecided) {
                    *terms = Terms::Closed;
                }
            }
        }
        if let Some(most) = limits.max_vessel_types {
            for (index, offer) in self.offers.iter().enumerate() {
                state.opened[offer.supply] |= state.least[index] > 0;
            }
            let opened = state.opened.iter().filter(|opened| **opened).count();
            if opened > most as usize {
                return None;
            }
            if opened == most as usize {
                for (offer, most) in self.offers.iter().zip(&mut state.most) {
                    if !state.opened[offer.supply] {
                        *most = 0;
                    }
                }
            }
        }
        for (index, offer) in self.offers.iter().enumerate() {
            if offer.terms.supplier.is_some_and(|supplier| state.terms[supplier as usize] == Terms::Closed) {
                state.most[index] = 0;
            }
        }
        state.least.iter().zip(&state.most).all(|(least, most)| least <= most).then_some(())
    }
}
