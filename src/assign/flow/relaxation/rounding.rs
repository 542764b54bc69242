//! From what a relaxation sends and buys to whole plans.

use std::cmp::Reverse;

use itertools::Itertools;

use super::solution::Solution;
use super::{Branch, FlatOffer, Kind, Relaxation, Relaxed, State};
use crate::assign::evaluate;
use crate::assign::flow::leaf::Terms;
use crate::decision::{Member, SupplierTerms};
use crate::units::Money;

/// Two offers, and by how many packs each changes.
pub type Exchange = [(usize, i64); 2];

impl Relaxation<'_> {
    /// Any rows with these packs, no more and no fewer: what they cost; `None` where they do not reach.
    pub fn solve_with_packs(&mut self, packs: &[Vec<i64>]) -> Option<i128> {
        let mut state = self.root();
        state.terms = self.terms_of(packs);
        let packs: Vec<i64> = packs.iter().flatten().copied().collect();
        (state.least, state.most) = (packs.clone(), packs);
        self.solve_rounding(&mut state).map(|relaxed| relaxed.bound)
    }

    /// A part of this one in which one offer more has whole packs, rounded where that costs least, or whose goods are less
    /// short of what they must reach; `None` where there is nothing to round.
    pub fn rounded(&mut self, state: &State, relaxed: &Relaxed) -> Option<State> {
        let nearest =
            self.roundings(state, relaxed).into_iter().min_by_key(|it| (it.fewer.min(it.more), it.lost, it.offer));
        let (branch, more) = match nearest {
            Some(it) => (Branch::Packs(it.offer, it.whole), it.more < it.fewer),
            None => {
                let suppliers = 0..state.terms.len();
                (suppliers.into_iter().find_map(|supplier| self.branch_on_short_goods(state, relaxed, supplier))?, true)
            }
        };
        self.children(state, &branch).into_iter().nth(usize::from(more))
    }

    /// From these packs on, of offers of which packs hold several pieces: one more of the first, or of the second one fewer,
    /// or both; as far as the prices of the flow allow that it costs less, the most promising first.
    pub fn exchanges(&mut self, packs: &[i64], with: (&[Terms], &[i64])) -> Vec<Exchange> {
        if self.solve_near(packs, with).is_none() {
            return Vec::new();
        }
        let prices = self.rounding.as_mut().map(Solution::prices).unwrap_or_default();
        let state = State { multiplier: with.1.to_vec(), ..self.root() };
        // What a flow costs is convex in the packs, and its prices are a slope of that.
        let adds = |offer: usize| {
            let FlatOffer { supply, terms, .. } = &self.offers[offer];
            let price = self.pack_cost(&state, &self.offers[offer]);
            (price - prices[*supply] * i128::from(terms.pack_size), offer)
        };
        let adds: Vec<(i128, usize)> =
            (0..self.offers.len()).filter(|&offer| self.is_packed(offer)).map(adds).collect();
        let one = |adds: i128, offer: usize, by: i64| (adds, [(offer, by.max(0)), (offer, by.min(0))]);
        let singly = adds.iter().flat_map(|&(adds, offer)| [one(adds, offer, 1), one(-adds, offer, -1)]);
        let both = adds.iter().flat_map(|&(more, one)| {
            let others = adds.iter().filter(move |(_, other)| *other != one);
            others.map(move |&(fewer, other)| (more - fewer, [(one, 1), (other, -1)]))
        });
        let key = |&(adds, [(one, more), (other, fewer)]): &(i128, Exchange)| (adds, one, other, more, fewer);
        let less = singly.chain(both).filter(|(adds, _)| *adds < 0).sorted_unstable_by_key(key);
        less.map(|(_, exchange)| exchange).collect()
    }

    /// Whether an offer may have the packs it has.
    pub fn may_be(&self, packs: &[i64], offer: usize) -> bool {
        let terms = self.offers[offer].terms;
        let packs = packs[offer];
        packs == 0 || (packs >= terms.min_packs.max(1) && terms.max_packs.is_none_or(|most| packs <= most))
    }

    /// Some rows may take several pieces.
    pub fn has_lots(&self) -> bool {
        !self.lots.is_empty()
    }

    fn is_packed(&self, offer: usize) -> bool {
        self.offers[offer].terms.pack_size > 1 || self.offers[offer].terms.min_packs > 1
    }

    /// The cheapest plan with these packs where a pack holds several pieces, and as many single pieces as it takes; what it
    /// costs at least, and its packs. `terms` are the suppliers', with the multipliers that keep goods near what they must
    /// reach; all packs are counted over all supplies.
    pub fn solve_near(
        &mut self,
        packs: &[i64],
        (terms, multiplier): (&[Terms], &[i64]),
    ) -> Option<(i128, Vec<Vec<i64>>)> {
        let mut state = self.root();
        state.terms.copy_from_slice(terms);
        state.multiplier.copy_from_slice(multiplier);
        for offer in (0..self.offers.len()).filter(|&offer| self.is_packed(offer)) {
            (state.least[offer], state.most[offer]) = (packs[offer], packs[offer]);
        }
        let relaxed = self.solve_rounding(&mut state)?;
        let packs = self.packs(&state, &relaxed);
        Some((relaxed.bound, packs))
    }

    /// Solves a part with given packs, from the one before or, to begin with, from the part solved last.
    fn solve_rounding(&mut self, state: &mut State) -> Option<Relaxed> {
        let mut solution = self.rounding.take().or_else(|| self.bounding.clone());
        let relaxed = self.solve_by(&mut solution, state);
        self.rounding = solution;
        relaxed
    }

    /// What the suppliers are in an order.
    pub fn terms_of(&self, packs: &[Vec<i64>]) -> Vec<Terms> {
        let orders = evaluate::orders(self.question, packs);
        let terms = |(order, terms): (&evaluate::Order, &SupplierTerms)| match order.any {
            false => Terms::Closed,
            true if order.delivery > Money::ZERO => Terms::Paying,
            true if terms.charge > Money::ZERO => Terms::Free,
            true => Terms::Undecided,
        };
        orders.iter().zip(&self.question.suppliers).map(terms).collect()
    }

    /// Pieces that the rows of the part solved last take of each supply.
    pub fn pieces(&self) -> Vec<i64> {
        self.bounding.as_ref().map(|solution| solution.pieces(self)).unwrap_or_default()
    }

    /// Pieces that the rows of the packs solved last take of each supply.
    pub fn pieces_with_packs(&self) -> Vec<i64> {
        self.rounding.as_ref().map(|solution| solution.pieces(self)).unwrap_or_default()
    }

    /// The choice that an arc of a kind stands for; `None` = deferred.
    pub(super) fn choice_of_arc(&self, kind: usize, arc: usize) -> Option<u32> {
        (arc < self.choices(kind).len()).then_some(arc as u32)
    }

    /// The rows of the part solved last as choices of members; rows of later priorities are deferred.
    pub fn rows(&self, state: &State) -> Vec<Vec<Option<u32>>> {
        self.rows_of(self.bounding.as_ref(), &state.fixed)
    }

    /// The rows of the packs solved last.
    pub fn rows_with_packs(&self) -> Vec<Vec<Option<u32>>> {
        self.rows_of(self.rounding.as_ref(), &[])
    }

    fn rows_of(&self, solution: Option<&Solution>, fixed: &[(usize, Option<u32>)]) -> Vec<Vec<Option<u32>>> {
        let mut rows: Vec<Vec<Option<u32>>> =
            self.question.classes.iter().map(|class| vec![None; class.members.len()]).collect();
        let Some(solution) = solution else { return rows };
        for (index, kind) in self.kinds.iter().enumerate() {
            let members = &mut rows[kind.class][kind.start..kind.start + kind.len];
            let sent = solution.sent(index).iter().enumerate();
            let mut each = sent
                .flat_map(|(arc, &amount)| std::iter::repeat_n(self.choice_of_arc(index, arc), amount as usize))
                .filter(Option::is_some);
            // Of those deferred each saves most.
            let deferred = if kind.deferrable() { solution.sent(index)[self.choices(index).len()] as usize } else { 0 };
            let saves = |member: &usize| {
                let Member { money, fluid, .. } = self.question.classes[kind.class].members[kind.start + member];
                Reverse(self.scaled_cost(money, fluid))
            };
            let mut placed = vec![true; kind.len];
            if deferred > 0 {
                (0..kind.len).sorted_by_key(saves).take(deferred).for_each(|member| placed[member] = false);
            }
            for (member, _) in members.iter_mut().zip(&placed).filter(|(_, placed)| **placed) {
                *member = each.next().flatten();
            }
        }
        for &(kind, choice) in fixed {
            let Kind { class, start, .. } = self.kinds[kind];
            rows[class][start] = choice;
        }
        rows
    }

    /// The packs of a relaxation; whole where nothing is left to branch on.
    pub fn packs(&self, state: &State, relaxed: &Relaxed) -> Vec<Vec<i64>> {
        let flat: Vec<i64> = (0..self.offers.len()).map(|offer| self.packs_of(state, relaxed, offer).0).collect();
        self.first_offer.windows(2).map(|range| flat[range[0]..range[1]].to_vec()).collect()
    }

    /// Whole packs of an offer, rounded down, and what is left over in ten-thousandths of pieces.
    pub(super) fn packs_of(&self, state: &State, relaxed: &Relaxed, offer: usize) -> (i64, i64) {
        let pack = self.offers[offer].terms.pack_size * 10_000;
        let used = relaxed.amounts[offer];
        if state.least[offer] + used.div_euclid(pack) >= state.most[offer] {
            // As many as could ever be needed: an offer at no price may be drawn on for more than that.
            return (state.most[offer], 0);
        }
        (state.least[offer] + used.div_euclid(pack), used.rem_euclid(pack))
    }
}
