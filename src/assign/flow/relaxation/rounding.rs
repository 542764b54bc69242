//! Makes plans from relaxed solutions:
//!
//! - the lots and packs of the flow solved last;
//! - the best lots for given whole packs, by a second flow, so that the first is kept;
//! - one step of a dive;
//! - exchanges of packs for local search, chosen by reduced costs.

use std::cmp::Reverse;

use itertools::Itertools;

use super::node_flow::NodeFlow;
use super::{Branch, IndexedOffer, LotGroup, Relaxation, RelaxedSolution, Subproblem};
use crate::assign::evaluate;
use crate::assign::flow::supplier_decision::SupplierDecision;
use crate::decision::{
    ChoiceIndex, Chosen, Member, OfferIndex, PacksBought, SupplierIndex, SupplierTerms, SupplyIndex,
};
use crate::units::{IndexTable, Money, Packs, Pieces, Position, items};

/// Two offers with the change of packs of each.
pub type Exchange = [(OfferIndex, i64); 2];

impl Relaxation<'_> {
    /// A lower bound of the cost with exactly these packs; `None` if they do not suffice. Keeps the flow for
    /// [`Relaxation::lot_choices_with_packs`].
    pub fn solve_with_packs(&mut self, packs: &PacksBought) -> Option<i128> {
        let mut subproblem = self.root();
        subproblem.suppliers = self.supplier_decisions_of(packs);
        let packs: IndexTable<OfferIndex, i64> = packs.iter().flatten().map(|packs| packs.0).collect();
        (subproblem.min_packs, subproblem.max_packs) = (packs.clone(), packs);
        self.solve_rounding(&mut subproblem).map(|relaxed| relaxed.bound)
    }

    /// One step of a dive: the child in which the packs of the offer with the lowest penalty are rounded or, if all are whole, a
    /// supplier whose goods are short gets one more pack. `None` if there is nothing to round.
    pub fn rounded(&mut self, subproblem: &Subproblem, relaxed: &RelaxedSolution) -> Option<Subproblem> {
        let nearest = self
            .fractional_offers(subproblem, relaxed)
            .into_iter()
            .min_by_key(|it| (it.penalty_down.min(it.penalty_up), it.unused_money, it.offer));
        let (branch, up) = match nearest {
            Some(it) => (Branch::Packs(it.offer, it.whole), it.penalty_up < it.penalty_down),
            None => {
                let mut suppliers = subproblem.suppliers.positions();
                let short = suppliers.find_map(|supplier| self.branch_on_short_goods(subproblem, relaxed, supplier));
                (short?, true)
            }
        };
        self.children(subproblem, &branch).into_iter().nth(usize::from(up))
    }

    /// Exchanges from these packs, among offers not in single pieces: one pack more of an offer, one fewer of an offer, or both. Only
    /// exchanges whose reduced costs allow a saving, the most promising first. `at` are the suppliers and multipliers of
    /// [`Relaxation::solve_near`].
    pub fn exchanges(
        &mut self,
        packs: &IndexTable<OfferIndex, i64>,
        at: (&IndexTable<SupplierIndex, SupplierDecision>, &IndexTable<SupplierIndex, i64>),
    ) -> Vec<Exchange> {
        if self.solve_near(packs, at).is_none() {
            return Vec::new();
        }
        let prices = self.rounding_flow.as_mut().map(NodeFlow::dual_prices).unwrap_or_default();
        let subproblem = Subproblem { goods_multiplier: at.1.clone(), ..self.root() };
        // The cost of the flow is convex in packs and its dual prices are a subgradient, so an exchange adds at least its reduced cost.
        let reduced_cost = |offer: OfferIndex| {
            let IndexedOffer { supply, terms, .. } = &self.offers[offer];
            let price = self.pack_cost(&subproblem, &self.offers[offer]);
            (price - prices[supply.index()] * i128::from(terms.pack_size.0), offer)
        };
        let reduced_costs: Vec<(i128, OfferIndex)> =
            self.offers.positions().filter(|&offer| self.is_in_packs(offer)).map(reduced_cost).collect();
        let one = |adds: i128, offer: OfferIndex, by: i64| (adds, [(offer, by.max(0)), (offer, by.min(0))]);
        let singly = reduced_costs.iter().flat_map(|&(adds, offer)| [one(adds, offer, 1), one(-adds, offer, -1)]);
        let both = reduced_costs.iter().flat_map(|&(more, one)| {
            let others = reduced_costs.iter().filter(move |(_, other)| *other != one);
            others.map(move |&(fewer, other)| (more - fewer, [(one, 1), (other, -1)]))
        });
        let by_reduced_cost =
            |&(adds, [(one, more), (other, fewer)]): &(i128, Exchange)| (adds, one, other, more, fewer);
        let saving = singly.chain(both).filter(|(adds, _)| *adds < 0).sorted_unstable_by_key(by_reduced_cost);
        saving.map(|(_, exchange)| exchange).collect()
    }

    /// Whether the terms of an offer allow its number of packs.
    pub fn packs_allowed(&self, packs: &IndexTable<OfferIndex, i64>, offer: OfferIndex) -> bool {
        let terms = self.offers[offer].terms;
        let packs = Packs(packs[offer]);
        packs == Packs::ZERO
            || (packs >= terms.min_packs.max(Packs(1)) && terms.max_packs.is_none_or(|most| packs <= most))
    }

    /// Whether some lot has a choice of several pieces.
    pub fn has_multi_piece_choices(&self) -> bool {
        !self.multi_piece_groups.is_empty()
    }

    fn is_in_packs(&self, offer: OfferIndex) -> bool {
        self.offers[offer].terms.pack_size > Pieces(1) || self.offers[offer].terms.min_packs > Packs(1)
    }

    /// A lower bound of the cost and the packs, with exactly these packs of offers not in single pieces, and as many single pieces
    /// as needed. `suppliers` are decided, with these multipliers of their goods.
    pub fn solve_near(
        &mut self,
        packs: &IndexTable<OfferIndex, i64>,
        (suppliers, goods_multiplier): (&IndexTable<SupplierIndex, SupplierDecision>, &IndexTable<SupplierIndex, i64>),
    ) -> Option<(i128, PacksBought)> {
        let mut subproblem = self.root();
        subproblem.suppliers.clone_from(suppliers);
        subproblem.goods_multiplier.clone_from(goods_multiplier);
        for offer in self.offers.positions().filter(|&offer| self.is_in_packs(offer)) {
            (subproblem.min_packs[offer], subproblem.max_packs[offer]) = (packs[offer], packs[offer]);
        }
        let relaxed = self.solve_rounding(&mut subproblem)?;
        let packs = self.packs(&subproblem, &relaxed);
        Some((relaxed.bound, packs))
    }

    /// Solves a subproblem with given packs, starting from the last such flow or, the first time, from that of the node solved last.
    fn solve_rounding(&mut self, subproblem: &mut Subproblem) -> Option<RelaxedSolution> {
        let mut flow = self.rounding_flow.take().or_else(|| self.bounding_flow.clone());
        let relaxed = self.solve_from(&mut flow, subproblem);
        self.rounding_flow = flow;
        relaxed
    }

    /// The states of the suppliers for these packs.
    pub fn supplier_decisions_of(&self, packs: &PacksBought) -> IndexTable<SupplierIndex, SupplierDecision> {
        let orders = evaluate::orders(self.question, packs);
        let decision = |(order, terms): (&evaluate::Order, &SupplierTerms)| match order.any {
            false => SupplierDecision::Closed,
            true if order.delivery > Money::ZERO => SupplierDecision::Paying,
            true if terms.charge > Money::ZERO => SupplierDecision::Free,
            true => SupplierDecision::Undecided,
        };
        orders.iter().zip(&self.question.suppliers).map(decision).collect()
    }

    /// By supply, pieces that the flow of the node solved last uses.
    pub fn pieces(&self) -> IndexTable<SupplyIndex, Pieces> {
        self.bounding_flow.as_ref().map(|flow| flow.pieces(self)).unwrap_or_default()
    }

    /// By supply, pieces that the flow with given packs uses.
    pub fn pieces_with_packs(&self) -> IndexTable<SupplyIndex, Pieces> {
        self.rounding_flow.as_ref().map(|flow| flow.pieces(self)).unwrap_or_default()
    }

    /// The choice of an arc of a group; `None` = deferral.
    pub(super) fn choice_of_arc(&self, group: usize, arc: usize) -> Option<ChoiceIndex> {
        (arc < self.choices(group).len()).then(|| ChoiceIndex::at(arc))
    }

    /// By class and member, the choice in the flow of the node solved last; lots of later priorities are deferred.
    pub fn lot_choices(&self, subproblem: &Subproblem) -> Chosen {
        self.lot_choices_of(self.bounding_flow.as_ref(), &subproblem.fixed)
    }

    /// The same of the flow with given packs.
    pub fn lot_choices_with_packs(&self) -> Chosen {
        self.lot_choices_of(self.rounding_flow.as_ref(), &[])
    }

    fn lot_choices_of(&self, flow: Option<&NodeFlow>, fixed: &[(usize, Option<ChoiceIndex>)]) -> Chosen {
        let mut choices: Chosen = self.question.classes.map(|class| vec![None; class.members.len()]);
        let Some(flow) = flow else { return choices };
        for (index, group) in self.groups.iter().enumerate() {
            let members = &mut choices[group.class][group.start..group.start + group.len];
            let arcs = flow.flow_of(index).iter().enumerate();
            let mut placed_choices = arcs
                .flat_map(|(arc, &lots)| std::iter::repeat_n(self.choice_of_arc(index, arc), items(lots)))
                .filter(Option::is_some);
            // Lots of a group differ only by their constants: those with the greatest saving are deferred.
            let deferred =
                if group.is_deferrable() { items(flow.flow_of(index)[self.choices(index).len()]) } else { 0 };
            let by_saving = |member: &usize| {
                let Member { money, fluid, .. } = self.question.classes[group.class].members[group.start + member];
                Reverse(self.scaled_cost(money, fluid))
            };
            let mut placed = vec![true; group.len];
            if deferred > 0 {
                (0..group.len).sorted_by_key(by_saving).take(deferred).for_each(|member| placed[member] = false);
            }
            for (member, _) in members.iter_mut().zip(&placed).filter(|(_, placed)| **placed) {
                *member = placed_choices.next().flatten();
            }
        }
        for &(group, choice) in fixed {
            let LotGroup { class, start, .. } = self.groups[group];
            choices[class][start] = choice;
        }
        choices
    }

    /// By supply and offer, packs rounded down; if there is nothing to branch on, they are whole already.
    pub fn packs(&self, subproblem: &Subproblem, relaxed: &RelaxedSolution) -> PacksBought {
        let whole = |offer| Packs(self.packs_of(subproblem, relaxed, offer).0);
        let flat: IndexTable<OfferIndex, Packs> = self.offers.positions().map(whole).collect();
        self.offers_in.map(|offers| flat[*offers].to_vec())
    }

    /// Packs of an offer, rounded down, and the remainder in ten-thousandths of pieces.
    pub(super) fn packs_of(&self, subproblem: &Subproblem, relaxed: &RelaxedSolution, offer: OfferIndex) -> (i64, i64) {
        let pack = self.offers[offer].terms.pack_size.0 * 10_000;
        let used = relaxed.drawn[offer];
        if subproblem.min_packs[offer] + used.div_euclid(pack) >= subproblem.max_packs[offer] {
            // From an offer at price 0 more pieces may be drawn than are useful.
            return (subproblem.max_packs[offer], 0);
        }
        (subproblem.min_packs[offer] + used.div_euclid(pack), used.rem_euclid(pack))
    }
}
