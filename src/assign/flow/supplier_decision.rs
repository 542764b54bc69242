//! The decision about a supplier at a node: undecided, or a state.

use crate::decision::{Question, SupplierIndex, SupplierTerms};
use crate::units::{IndexTable, Money};

/// Undecided, or a state ([`crate::decision::certificate::SupplierState`]).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SupplierDecision {
    /// Not decided yet.
    Undecided,
    /// Nothing is ordered.
    Closed,
    /// The charge is paid and goods reach the minimum.
    Paying,
    /// Goods reach the minimum and the threshold; delivery is free.
    Free,
}

impl SupplierDecision {
    /// Whether the supplier is decided to be ordered from, so that it counts against `max_suppliers`.
    pub fn is_ordered_from(self) -> bool {
        matches!(self, SupplierDecision::Paying | SupplierDecision::Free)
    }
}

impl Question {
    /// The states that a branch on a supplier tells apart. A supplier without charge and minimum is `Paying` even if nothing is
    /// ordered, unless `max_suppliers` is set: that costs nothing and needs no branch.
    pub(in crate::assign) fn supplier_decisions(&self, supplier: SupplierIndex) -> &'static [SupplierDecision] {
        use SupplierDecision::{Closed, Free, Paying};
        let SupplierTerms { charge, free_over, minimum, .. } = self.suppliers[supplier];
        match () {
            () if free_over.is_some() && charge > Money::ZERO => &[Closed, Paying, Free],
            () if charge > Money::ZERO || minimum > Money::ZERO || self.limits.max_suppliers.is_some() => {
                &[Closed, Paying]
            }
            () => &[Paying],
        }
    }

    /// By supplier, the decision at the root: its only state, or undecided if it has several.
    pub(in crate::assign) fn undecided_suppliers(&self) -> IndexTable<SupplierIndex, SupplierDecision> {
        let at_root = |supplier| match self.supplier_decisions(supplier) {
            [only] => *only,
            _ => SupplierDecision::Undecided,
        };
        self.suppliers.positions().map(at_root).collect()
    }
}
