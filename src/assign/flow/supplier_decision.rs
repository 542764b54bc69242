//! What branches have decided about a supplier.

use crate::decision::{Question, SupplierIndex, SupplierTerms};
use crate::units::{IndexTable, Money};

/// What is decided about a supplier: nothing, or its state ([`crate::decision::certificate::SupplierState`]).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SupplierDecision {
    /// Nothing yet.
    Undecided,
    /// Nothing is ordered.
    Closed,
    /// The charge is paid; goods reach the minimum.
    Paying,
    /// Goods reach the minimum and the threshold; no charge.
    Free,
}

impl SupplierDecision {
    /// Whether it is decided that something is ordered, so that the supplier counts under the cap.
    pub fn is_ordered_from(self) -> bool {
        matches!(self, SupplierDecision::Paying | SupplierDecision::Free)
    }
}

impl Question {
    /// The decisions that a branch on a supplier makes. A supplier that asks for nothing may count as paid even if
    /// nothing is ordered, unless suppliers are counted.
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

    /// By supplier, what is decided at the root: nothing, or the only decision there is.
    pub(in crate::assign) fn undecided_suppliers(&self) -> IndexTable<SupplierIndex, SupplierDecision> {
        let at_root = |supplier| match self.supplier_decisions(supplier) {
            [only] => *only,
            _ => SupplierDecision::Undecided,
        };
        self.suppliers.positions().map(at_root).collect()
    }
}
