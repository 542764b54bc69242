//! Rebuilds the certificate's tree from its leaves.
//!
//! Problem: leaves have restrictions; a [`Certificate`] is a tree of splits.
//!
//! Method: find a split with every leaf on one side: on a supplier that all leaves decide, or on a number of packs of an offer that
//! is inside no leaf's range. Split each side in turn until each leaf is alone. For the leaves of a branch-and-bound tree on
//! suppliers and packs this always finds a tree, often smaller than that in which they were made.

use super::leaf::{Leaf, Leaves, PackLimits};
use crate::assign::flow::supplier_decision::SupplierDecision;
use crate::decision::Question;
use crate::decision::certificate::{Certificate, Node, SupplierState};
use crate::stock::SupplierId;

/// The certificate with these leaves; `None` if they do not form a tree.
pub fn certificate(question: &Question, leaves: &Leaves) -> Option<Certificate> {
    let mut nodes = Vec::new();
    let root = Subtree { leaves: leaves.leaves.iter().collect(), suppliers: Vec::new(), packs: Vec::new() };
    let mut left = vec![root];
    while let Some(subtree) = left.pop() {
        let (node, children) = subtree.split(question)?;
        nodes.push(node);
        left.extend(children.into_iter().rev());
    }
    Some(Certificate { nodes, numbers: leaves.numbers.clone(), ..Certificate::default() })
}

/// Some leaves, and the splits on the way to them.
#[derive(Clone)]
struct Subtree<'a> {
    leaves: Vec<&'a Leaf>,
    /// Suppliers that were split on.
    suppliers: Vec<SupplierId>,
    /// Offers that were split on, with the remaining range of packs.
    packs: Vec<PackLimits>,
}

impl<'a> Subtree<'a> {
    /// The node at its root, and the subtrees of its children.
    fn split(&self, question: &Question) -> Option<(Node, Vec<Self>)> {
        let first = self.leaves.first()?;
        for &(supplier, _) in first.suppliers.iter().filter(|(supplier, _)| !self.suppliers.contains(supplier)) {
            let position = question.suppliers.position(|terms| terms.supplier == supplier)?;
            if question.supplier_decisions(position).len() == 1 {
                continue;
            }
            if let Some(children) = self.split_on_supplier(supplier, question.states_of(position)) {
                return Some((Node::Supplier(supplier), children));
            }
        }
        if let Some(split) = first.packs.iter().find_map(|limits| self.split_on_packs(limits.offer)) {
            return Some(split);
        }
        match self.leaves[..] {
            [leaf] => Some((Node::Leaf { numbers: leaf.numbers }, Vec::new())),
            _ => None,
        }
    }

    /// The children of a split on a supplier, one for each state; `None` if some leaf does not decide it.
    fn split_on_supplier(&self, supplier: SupplierId, states: &[SupplierState]) -> Option<Vec<Self>> {
        let mut by_state: [Vec<&'a Leaf>; 3] = Default::default();
        for &leaf in &self.leaves {
            let decision = leaf.suppliers.iter().find(|(other, _)| *other == supplier).map(|(_, decision)| *decision);
            let state = match decision {
                Some(SupplierDecision::Closed) => 0,
                Some(SupplierDecision::Paying) => 1,
                Some(SupplierDecision::Free) => 2,
                Some(SupplierDecision::Undecided) | None => return None,
            };
            by_state[state].push(leaf);
        }
        // Without a charge the search does not branch on `Free`, which is never cheaper than `Paying`: the same leaves bound it.
        if states.contains(&SupplierState::Free) && by_state[2].is_empty() {
            by_state[2] = by_state[1].clone();
        }
        let mut suppliers = self.suppliers.clone();
        suppliers.push(supplier);
        let child = |leaves| Subtree { leaves, suppliers: suppliers.clone(), packs: self.packs.clone() };
        Some(by_state.into_iter().take(states.len()).map(child).collect())
    }

    /// A split on a number of packs of an offer that is inside no leaf's range, with its two children.
    fn split_on_packs(&self, offer: usize) -> Option<(Node, Vec<Self>)> {
        let left = self.packs.iter().find(|limits| limits.offer == offer).copied();
        let PackLimits { least, most, .. } = left.unwrap_or(PackLimits { offer, least: 0, most: None });
        let limits_in = |leaf: &&Leaf| leaf.packs.iter().find(|limits| limits.offer == offer).copied();
        let limits: Vec<PackLimits> = self.leaves.iter().map(limits_in).collect::<Option<_>>()?;
        let ends = limits.iter().flat_map(|limits| [Some(limits.least - 1), limits.most]).flatten();
        let mut ends: Vec<i64> = ends.collect();
        ends.sort_unstable();
        ends.dedup();
        for at_most in ends.into_iter().filter(|end| *end >= least && most.is_none_or(|most| *end < most)) {
            let is_below = |limits: &PackLimits| limits.most.is_some_and(|most| most <= at_most);
            if limits.iter().all(|limits| is_below(limits) || limits.least > at_most) {
                let side = |below: bool| -> Vec<&'a Leaf> {
                    let pairs = self.leaves.iter().zip(&limits).filter(|(_, limits)| is_below(limits) == below);
                    pairs.map(|(leaf, _)| *leaf).collect()
                };
                let children = vec![
                    self.with_packs(side(true), PackLimits { offer, least, most: Some(at_most) }),
                    self.with_packs(side(false), PackLimits { offer, least: at_most + 1, most }),
                ];
                return Some((Node::Packs { offer, at_most }, children));
            }
        }
        None
    }

    /// A subtree with some of the leaves and another range of packs of an offer.
    fn with_packs(&self, leaves: Vec<&'a Leaf>, limits: PackLimits) -> Self {
        let mut packs = self.packs.clone();
        packs.retain(|other| other.offer != limits.offer);
        packs.push(limits);
        Subtree { leaves, suppliers: self.suppliers.clone(), packs }
    }
}
