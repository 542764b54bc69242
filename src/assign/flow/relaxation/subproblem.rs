//! A subproblem: the limits of a node, from the branches on the way to it and their consequences.

use super::Relaxation;
use crate::assign::flow::supplier_decision::SupplierDecision;
use crate::decision::{ChoiceIndex, OfferIndex, SupplierIndex, SupplyIndex};
use crate::settings::CountLimits;
use crate::units::{IndexTable, index};

/// The limits of a node on its plans, and its multipliers.
#[derive(Clone, Debug)]
pub struct Subproblem {
    /// By offer, least packs.
    pub(super) min_packs: IndexTable<OfferIndex, i64>,
    /// By offer, most packs.
    pub(super) max_packs: IndexTable<OfferIndex, i64>,
    /// By supplier, its state if it is decided.
    pub(super) suppliers: IndexTable<SupplierIndex, SupplierDecision>,
    /// By supplier, the multiplier of its goods constraint, in steps of 1 / 64.
    pub(super) goods_multiplier: IndexTable<SupplierIndex, i64>,
    /// Number of descendant generations that keep this node's multipliers.
    pub(super) keep_multipliers_for: u32,
    /// Groups of one lot whose choice is fixed (`None` = deferred).
    pub(super) fixed: Vec<(usize, Option<ChoiceIndex>)>,
    /// Choices that a group of one lot may not take (`None` = deferral).
    pub(super) forbidden: Vec<(usize, Option<ChoiceIndex>)>,
    /// By supply, whether it counts as bought against `max_vessel_types`.
    pub(super) vessel_bought: IndexTable<SupplyIndex, bool>,
}

impl Subproblem {
    /// By supplier, the multiplier of its goods constraint.
    pub fn goods_multiplier(&self) -> &IndexTable<SupplierIndex, i64> {
        &self.goods_multiplier
    }

    /// Makes the next solve search for better multipliers.
    pub fn seek_multipliers_anew(&mut self) {
        self.keep_multipliers_for = 0;
    }
}

/// What a node is branched on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Branch {
    /// The state of a supplier.
    Supplier(SupplierIndex),
    /// Whether a group of one lot takes a choice (`None` = deferral).
    Lot(usize, Option<ChoiceIndex>),
    /// Whether a vessel is bought at all.
    Vessel(SupplyIndex),
    /// At most this number of packs of an offer, or more.
    Packs(OfferIndex, i64),
}

impl Relaxation<'_> {
    /// The root: all plans.
    pub fn root(&self) -> Subproblem {
        Subproblem {
            min_packs: self.offers.filled(0),
            max_packs: self.offers.map(|offer| offer.most_useful),
            suppliers: self.question.undecided_suppliers(),
            goods_multiplier: self.question.suppliers.filled(0),
            keep_multipliers_for: 0,
            fixed: Vec::new(),
            forbidden: Vec::new(),
            vessel_bought: self.question.supplies.filled(false),
        }
    }

    /// The children of a node: subproblems that together hold all its plans.
    pub fn children(&self, subproblem: &Subproblem, branch: &Branch) -> Vec<Subproblem> {
        let with = |change: &dyn Fn(&mut Subproblem)| {
            let mut child = subproblem.clone();
            change(&mut child);
            child
        };
        match *branch {
            Branch::Supplier(supplier) => {
                let decided = |decision: &SupplierDecision| {
                    with(&|child| {
                        child.suppliers[supplier] = *decision;
                        child.keep_multipliers_for = 0;
                    })
                };
                self.question.supplier_decisions(supplier).iter().map(decided).collect()
            }
            Branch::Lot(group, choice) => vec![
                with(&|child| child.fixed.push((group, choice))),
                with(&|child| child.forbidden.push((group, choice))),
            ],
            Branch::Vessel(supply) => vec![
                with(&|child| child.vessel_bought[supply] = true),
                with(&|child| {
                    for offer in self.offers_in(supply).positions() {
                        child.max_packs[offer] = 0;
                    }
                }),
            ],
            Branch::Packs(offer, at_most) => {
                let more = (at_most + 1).max(self.offers[offer].terms.min_packs.0);
                vec![with(&|child| child.max_packs[offer] = at_most), with(&|child| child.min_packs[offer] = more)]
            }
        }
    }

    /// Closes the suppliers and vessels that `max_suppliers` and `max_vessel_types` exclude, and the offers of closed suppliers;
    /// `None` if the subproblem is infeasible.
    pub(super) fn apply_caps(&self, subproblem: &mut Subproblem) -> Option<()> {
        let CountLimits { max_vessel_types, max_suppliers } = self.question.limits.count_limits();
        self.apply_cap_on_suppliers(max_suppliers, subproblem)?;
        self.apply_cap_on_vessels(max_vessel_types, subproblem)?;
        for (index, offer) in self.offers.enumerated() {
            let supplier = offer.terms.supplier;
            if supplier.is_some_and(|supplier| subproblem.suppliers[supplier] == SupplierDecision::Closed) {
                subproblem.max_packs[index] = 0;
            }
        }
        let mut limits = subproblem.min_packs.iter().zip(&subproblem.max_packs);
        limits.all(|(least, most)| least <= most).then_some(())
    }

    fn apply_cap_on_suppliers(&self, most: Option<u32>, subproblem: &mut Subproblem) -> Option<()> {
        let Some(cap) = most.map(index) else { return Some(()) };
        let is_ordered_from = |decision: &SupplierDecision| decision.is_ordered_from();
        let ordered_from = subproblem.suppliers.iter().copied().filter(is_ordered_from).count();
        if ordered_from > cap {
            return None;
        }
        if ordered_from == cap {
            let suppliers = subproblem.suppliers.iter_mut();
            for decision in suppliers.filter(|decision| **decision == SupplierDecision::Undecided) {
                *decision = SupplierDecision::Closed;
            }
        }
        Some(())
    }

    fn apply_cap_on_vessels(&self, most: Option<u32>, subproblem: &mut Subproblem) -> Option<()> {
        let Some(cap) = most.map(index) else { return Some(()) };
        let counted = |supply: SupplyIndex| self.question.supplies[supply].counts_as_kind;
        for (index, offer) in self.offers.enumerated() {
            subproblem.vessel_bought[offer.supply] |= counted(offer.supply) && subproblem.min_packs[index] > 0;
        }
        let bought = subproblem.vessel_bought.iter().filter(|bought| **bought).count();
        if bought > cap {
            return None;
        }
        if bought == cap {
            for (offer, most) in self.offers.iter().zip(&mut subproblem.max_packs) {
                if counted(offer.supply) && !subproblem.vessel_bought[offer.supply] {
                    *most = 0;
                }
            }
        }
        Some(())
    }
}
