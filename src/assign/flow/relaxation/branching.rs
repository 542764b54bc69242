//! Chooses what a node is branched on.
//!
//! Order: an undecided supplier that is ordered from; a lot in several pieces, whose cost the flow underestimates; a vessel
//! beyond `max_vessel_types`; the packs of an offer; last, packs of a supplier whose goods constraint is not met exactly.
//!
//! Of the offers, the one is taken with the largest product of the rises of the bound in both children (T.
//! Achterberg, T. Koch and A. Martin, "Branching rules revisited", Operations Research Letters 33 (2005) 42–54, from
//! memory). The children are solved for this (strong branching; D. Applegate, R. Bixby, V. Chvátal and W. Cook, "Finding cuts
//! in the TSP", DIMACS technical report 95-05, 1995, from memory) until an offer has been tried often enough to rely on its
//! pseudo-cost, the mean rise per pack.

use itertools::Itertools;

use super::{Branch, Relaxation, RelaxedSolution, Subproblem};
use crate::assign::flow::supplier_decision::SupplierDecision;
use crate::decision::{ChoiceIndex, OfferIndex, SupplierIndex, SupplyIndex};
use crate::units::{Money, Pieces};

/// An offer of which the relaxation buys a number of packs that no plan can have.
pub(super) struct FractionalOffer {
    pub offer: OfferIndex,
    /// Packs, rounded down.
    pub whole: i64,
    /// Penalty: least rise of the bound with at most `whole` packs; 0 if not known.
    pub penalty_down: i128,
    /// Penalty: least rise of the bound with more packs; 0 if not known.
    pub penalty_up: i128,
    /// Price of the part of a pack that is unused if the number is rounded up.
    pub unused_money: i128,
    /// Distance in packs to the next allowed number, down and up.
    pub distance: [f64; 2],
}

/// By side (down, up): the sum of the rises of the bound per pack when the packs of an offer were branched on, and their number.
#[derive(Clone, Copy, Default)]
pub(super) struct PseudoCosts([(f64, u32); 2]);

impl PseudoCosts {
    fn add(&mut self, side: usize, increase: f64, distance: f64) {
        self.0[side].0 += increase / distance.max(1e-6);
        self.0[side].1 += 1;
    }

    /// The expected rise on both sides, if both have been tried often enough.
    fn expected(&self, distance: [f64; 2]) -> Option<[f64; 2]> {
        let [down, up] = self.0;
        let tried = down.1.min(up.1);
        let expected = || [down.0 / f64::from(down.1) * distance[0], up.0 / f64::from(up.1) * distance[1]];
        (tried >= RELIABLE).then(expected)
    }
}

/// Trials after which a pseudo-cost is relied upon.
const RELIABLE: u32 = 2;

/// Most offers that are candidates at one node.
const CANDIDATES: usize = 16;

impl Relaxation<'_> {
    /// What to branch a node on, if only plans below `cutoff` count; `None` if its relaxed solution is a plan.
    pub fn branch(
        &mut self,
        subproblem: &Subproblem,
        relaxed: &RelaxedSolution,
        cutoff: Option<i128>,
    ) -> Option<Branch> {
        let branch = self
            .branch_on_suppliers(subproblem, relaxed)
            .or_else(|| self.branch_on_multi_piece_choices(subproblem))
            .or_else(|| self.branch_on_vessels(subproblem, relaxed));
        if branch.is_some() || self.too_many_vessels(subproblem, relaxed) {
            return branch;
        }
        self.branch_on_packs(subproblem, relaxed, cutoff)
    }

    /// The same on suppliers and packs alone, which a leaf of a certificate can express.
    pub fn branch_on_orders(&mut self, subproblem: &Subproblem, relaxed: &RelaxedSolution) -> Option<Branch> {
        if let Some(supplier) = self.branch_on_suppliers(subproblem, relaxed) {
            return Some(supplier);
        }
        if let Some(Branch::Vessel(supply)) = self.branch_on_vessels(subproblem, relaxed) {
            let mut offers = self.offers_in(supply).positions();
            let bought = offers.find(|&offer| self.is_bought(subproblem, relaxed, offer));
            return bought.map(|offer| Branch::Packs(offer, 0));
        }
        self.branch_on_packs(subproblem, relaxed, None)
    }

    fn is_bought(&self, subproblem: &Subproblem, relaxed: &RelaxedSolution, offer: OfferIndex) -> bool {
        relaxed.drawn[offer] > 0 || subproblem.min_packs[offer] > 0
    }

    /// The undecided supplier with the highest charge that the relaxation orders from.
    fn branch_on_suppliers(&self, subproblem: &Subproblem, relaxed: &RelaxedSolution) -> Option<Branch> {
        let undecided = subproblem.suppliers.positions().filter(|&supplier| {
            let ours = |offer: &OfferIndex| self.offers[*offer].terms.supplier == Some(supplier);
            let mut offers = self.offers.positions().filter(ours);
            subproblem.suppliers[supplier] == SupplierDecision::Undecided
                && offers.any(|offer| self.is_bought(subproblem, relaxed, offer))
        });
        undecided.max_by_key(|&supplier| (self.question.suppliers[supplier].charge, supplier)).map(Branch::Supplier)
    }

    /// A lot in several pieces that is not fixed: the flow counts its further pieces only at the lowest price.
    fn branch_on_multi_piece_choices(&self, subproblem: &Subproblem) -> Option<Branch> {
        self.multi_piece_groups.iter().find_map(|&group| {
            let flow = self.bounding_flow.as_ref().map_or(&[][..], |flow| flow.flow_of(group));
            let mut choices = self.choices(group).enumerated().zip(flow);
            let ((choice, _), _) = choices.find(|((_, choice), lots)| choice.pieces > Pieces(1) && **lots > 0)?;
            let is_free = !subproblem.fixed.iter().any(|(fixed, _)| *fixed == group);
            is_free.then_some(Branch::Lot(group, Some(choice)))
        })
    }

    /// The vessels that the relaxation buys, if there are more than `max_vessel_types`.
    fn vessels_bought(&self, subproblem: &Subproblem, relaxed: &RelaxedSolution) -> Option<Vec<SupplyIndex>> {
        self.question.limits.max_vessel_types?;
        let bought = self.offers.positions().filter(|&offer| self.is_bought(subproblem, relaxed, offer));
        let mut vessels: Vec<SupplyIndex> = bought.map(|offer| self.offers[offer].supply).collect();
        vessels.retain(|supply| self.question.supplies[*supply].counts_as_kind);
        vessels.dedup();
        (vessels.len() > self.question.limits.most_kinds()).then_some(vessels)
    }

    fn too_many_vessels(&self, subproblem: &Subproblem, relaxed: &RelaxedSolution) -> bool {
        self.vessels_bought(subproblem, relaxed).is_some()
    }

    /// One of too many vessels that does not count as bought yet.
    fn branch_on_vessels(&self, subproblem: &Subproblem, relaxed: &RelaxedSolution) -> Option<Branch> {
        let vessels = self.vessels_bought(subproblem, relaxed)?;
        vessels.into_iter().find(|&supply| !subproblem.vessel_bought[supply]).map(Branch::Vessel)
    }

    /// An offer with a fractional number of packs, or one of a supplier whose goods constraint is not met exactly.
    fn branch_on_packs(
        &mut self,
        subproblem: &Subproblem,
        relaxed: &RelaxedSolution,
        cutoff: Option<i128>,
    ) -> Option<Branch> {
        // Both children should get a higher bound, so the smaller of the two penalties counts first.
        let penalties = |it: &FractionalOffer| {
            let (down, up) = (it.penalty_down, it.penalty_up);
            (down.min(up), down.max(up), it.unused_money, it.offer)
        };
        let by_penalties = self.fractional_offers(subproblem, relaxed).into_iter().sorted_unstable_by_key(penalties);
        let candidates: Vec<FractionalOffer> = by_penalties.rev().take(CANDIDATES).collect();
        if let Some((offer, whole)) = self.best_candidate(subproblem, relaxed, &candidates, cutoff) {
            return Some(Branch::Packs(offer, whole));
        }
        let mut suppliers = subproblem.suppliers.positions();
        suppliers.find_map(|supplier| self.branch_on_goods(subproblem, relaxed, supplier))
    }

    /// The offers of which the relaxation buys a fractional number of packs, or fewer than the offer's minimum.
    pub(super) fn fractional_offers(
        &mut self,
        subproblem: &Subproblem,
        relaxed: &RelaxedSolution,
    ) -> Vec<FractionalOffer> {
        let penalties = self.penalties(subproblem, relaxed);
        let fractional = |offer: OfferIndex| {
            let (whole, rest) = self.packs_of(subproblem, relaxed, offer);
            let terms = self.offers[offer].terms;
            let below_least = whole < terms.min_packs.0 && (whole > 0 || rest > 0);
            if rest == 0 && !below_least {
                return None;
            }
            let pack = terms.pack_size.0 * 10_000;
            let whole = if below_least { 0 } else { whole };
            let unused_money =
                i128::from(pack - rest) * i128::from(terms.pack_price.parts()) / i128::from(terms.pack_size.0);
            let next = (whole + 1).max(terms.min_packs.0);
            let above = relaxed.drawn[offer] - (whole - subproblem.min_packs[offer]) * pack;
            let [penalty_down, penalty_up] = penalties.as_ref().map_or([0, 0], |penalties| {
                let below = next * pack - whole * pack - above;
                let limited = penalties[offer].fewer.min(PENALTY_LIMIT);
                [limited * i128::from(above), penalties[offer].more * i128::from(below)]
            });
            let down = above as f64 / pack as f64;
            let distance = [down, (next - whole) as f64 - down];
            Some(FractionalOffer { offer, whole, penalty_down, penalty_up, unused_money, distance })
        };
        self.offers.positions().filter_map(fractional).collect()
    }

    /// The candidate, with its number of packs, whose children raise the bound most; or the first candidate of which some child
    /// has no plan below the cutoff.
    fn best_candidate(
        &mut self,
        subproblem: &Subproblem,
        relaxed: &RelaxedSolution,
        candidates: &[FractionalOffer],
        cutoff: Option<i128>,
    ) -> Option<(OfferIndex, i64)> {
        if let [only] = candidates {
            return Some((only.offer, only.whole));
        }
        let mut best: Option<(f64, (OfferIndex, i64))> = None;
        for &FractionalOffer { offer, whole, distance, .. } in candidates {
            let mut increases = self.pseudo_costs[offer].expected(distance);
            if increases.is_none() {
                let mut tried = [0.0; 2];
                let children = self.children(subproblem, &Branch::Packs(offer, whole));
                for (side, mut child) in children.into_iter().enumerate() {
                    let solved = self.solve_at_given_multipliers(&mut child);
                    let Some(solved) = solved.filter(|solved| cutoff.is_none_or(|cutoff| solved.bound < cutoff)) else {
                        return Some((offer, whole));
                    };
                    tried[side] = (solved.scaled_bound - relaxed.scaled_bound) as f64;
                    self.pseudo_costs[offer].add(side, tried[side], distance[side]);
                }
                increases = Some(tried);
            }
            let product = increases.map_or(0.0, |[down, up]| down.max(1.0) * up.max(1.0));
            if best.is_none_or(|(most, _)| product > most) {
                best = Some((product, (offer, whole)));
            }
        }
        best.map(|(_, offer)| offer)
    }

    /// For when the relaxed solution is a plan that exceeds the budget: the dearest lot that is not fixed, with its choice.
    pub fn branch_on_lots(&self, subproblem: &Subproblem) -> Option<Branch> {
        if !self.problem.has_budget_beside_objective() {
            return None;
        }
        let flow = self.bounding_flow.as_ref()?;
        let is_fixed = |group: usize| subproblem.fixed.iter().any(|(fixed, _)| *fixed == group);
        let cost = |group: usize, choice: Option<ChoiceIndex>| {
            choice.map_or(0, |number| self.cost_of_choice(group, number) - self.saving_of(group))
        };
        let lots = (0..self.groups.len()).filter(|&group| !is_fixed(group)).filter_map(|group| {
            let arc = flow.flow_of(group).iter().position(|&lots| lots > 0)?;
            let choice = self.choice_of_arc(group, arc);
            Some((cost(group, choice), group, choice))
        });
        lots.max().map(|(_, group, choice)| Branch::Lot(group, choice))
    }

    /// For when all packs are whole, but a supplier's goods are short of the goods needed, or exceed them at reduced prices so that
    /// the bound is below the cost of the plan. If they exceed: one pack fewer of the dearest, or at least these packs.
    fn branch_on_goods(
        &self,
        subproblem: &Subproblem,
        relaxed: &RelaxedSolution,
        supplier: SupplierIndex,
    ) -> Option<Branch> {
        let needed = i128::from(self.goods_needed(subproblem, supplier).parts()) * self.scale;
        if relaxed.goods[supplier] > needed && subproblem.goods_multiplier[supplier] > 0 {
            let offers = self.whole_packs(subproblem, relaxed, supplier);
            let dearest = offers.filter(|(_, offer, whole)| *whole > subproblem.min_packs[*offer]).max();
            return dearest.map(|(_, offer, whole)| Branch::Packs(offer, whole - 1));
        }
        self.branch_on_short_goods(subproblem, relaxed, supplier)
    }

    /// If a supplier's goods are short: no more of its cheapest packs, or at least one more.
    pub(super) fn branch_on_short_goods(
        &self,
        subproblem: &Subproblem,
        relaxed: &RelaxedSolution,
        supplier: SupplierIndex,
    ) -> Option<Branch> {
        if relaxed.goods[supplier] >= i128::from(self.goods_needed(subproblem, supplier).parts()) * self.scale {
            return None;
        }
        let offers = self.whole_packs(subproblem, relaxed, supplier);
        let cheapest = offers.filter(|(_, offer, whole)| *whole < subproblem.max_packs[*offer]).min();
        cheapest.map(|(_, offer, whole)| Branch::Packs(offer, whole))
    }

    /// The offers of a supplier: price of a pack, offer, and packs rounded down.
    fn whole_packs(
        &self,
        subproblem: &Subproblem,
        relaxed: &RelaxedSolution,
        supplier: SupplierIndex,
    ) -> impl Iterator<Item = (Money, OfferIndex, i64)> {
        self.offers
            .positions()
            .filter(move |&offer| self.offers[offer].terms.supplier == Some(supplier))
            .map(move |offer| (self.offers[offer].terms.pack_price, offer, self.packs_of(subproblem, relaxed, offer).0))
    }
}

/// Upper limit of penalties, so that their product with pieces fits in 128 bits.
const PENALTY_LIMIT: i128 = 1 << 90;
