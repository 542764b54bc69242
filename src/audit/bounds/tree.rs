//! Walks the nodes of a certificate in preorder, with the limits that the splits above each leaf set.
//!
//! A split has a child for each state of a supplier, or one child for at most so many packs, pieces or lots and one for more.
//! So the leaves together hold every plan. A split of a supplier that is decided already, or at a number outside the limits set
//! already, is refused. The path from the root is kept in a list, not in recursion, so a deep tree cannot overflow the stack.

use std::collections::BTreeMap;

use crate::decision::Certificate;
use crate::decision::certificate::{CutForm, LotChoice, Node, SupplierState};
use crate::project::Project;
use crate::stock::SupplierId;
use crate::units::{IndexTable, Position, number_of};

/// The limits that the splits above a node set.
pub(super) struct Limited {
    /// State by supplier, where decided.
    pub(super) suppliers: IndexTable<SupplierId, Option<SupplierState>>,
    /// By offer, least and most packs, where limited.
    pub(super) packs: BTreeMap<usize, (i64, Option<i64>)>,
    /// By cut, least and most pieces that its lots take, where limited.
    pub(super) pieces: BTreeMap<usize, (i64, Option<i64>)>,
    /// By group and place, least and most lots, where limited.
    pub(super) lots: BTreeMap<(usize, LotChoice), (i64, i64)>,
}

/// A split on the path from the root to a node, and the child that the path takes.
struct SplitStep {
    split: Split,
    child: usize,
}

/// A split, with the limits that held before it.
enum Split {
    Supplier { supplier: SupplierId, children: usize },
    Packs { offer: usize, at_most: i64, before: Option<(i64, Option<i64>)> },
    Pieces { cut: usize, at_most: i64, before: Option<(i64, Option<i64>)> },
    Lots { key: (usize, LotChoice), at_most: i64, before: Option<(i64, i64)>, size: i64 },
}

/// A fault of a tree: position of the node, message.
pub(super) type NodeFault = (usize, &'static str);

/// Walks the nodes, and calls `at_leaf` with the limits and the position of the numbers of each leaf.
///
/// # Errors
/// The first faulty node: it refers to what does not exist, splits what is decided already, is missing, or is one too many.
pub(super) fn walk(
    project: &Project,
    certificate: &Certificate,
    at_leaf: &mut dyn FnMut(&Limited, usize),
) -> Result<(), NodeFault> {
    let mut limited = Limited {
        suppliers: vec![None; project.stock.suppliers.len()].into(),
        packs: BTreeMap::new(),
        pieces: BTreeMap::new(),
        lots: BTreeMap::new(),
    };
    let mut way: Vec<SplitStep> = Vec::new();
    for (position, node) in certificate.nodes.iter().enumerate() {
        let split = match *node {
            Node::Leaf { numbers } if numbers >= certificate.numbers.len() => {
                return Err((position, "a leaf with numbers that are not there"));
            }
            Node::Leaf { numbers } => {
                at_leaf(&limited, numbers);
                if !limited.next(&mut way) {
                    let surplus = position + 1 < certificate.nodes.len();
                    return if surplus { Err((position + 1, "one node too many")) } else { Ok(()) };
                }
                continue;
            }
            ref split => limited.split(project, certificate, split).map_err(|wrong| (position, wrong))?,
        };
        way.push(SplitStep { split, child: 0 });
        limited.enter(&way[way.len() - 1]);
    }
    Err((certificate.nodes.len(), "a node that is missing"))
}

impl Limited {
    /// Checks a split: what it divides must exist, and both children must be possible.
    fn split(&self, project: &Project, certificate: &Certificate, node: &Node) -> Result<Split, &'static str> {
        match *node {
            Node::Leaf { .. } => Err("a leaf"),
            Node::Supplier(supplier) => {
                let known = project.stock.suppliers.get(supplier.index()).ok_or("a supplier that is not there")?;
                if self.suppliers[supplier].is_some() {
                    return Err("a supplier that is decided already");
                }
                let children = if known.free_delivery_over.is_some() { 3 } else { 2 };
                Ok(Split::Supplier { supplier, children })
            }
            Node::Packs { offer, at_most } => {
                if offer >= project.stock.offers.len() {
                    return Err("an offer that is not there");
                }
                let before = self.packs.get(&offer).copied();
                let split = Split::Packs { offer, at_most, before };
                divides(before, at_most).then_some(split).ok_or("packs that are decided already")
            }
            Node::Pieces { cut, at_most } => {
                let of = certificate.cuts.get(cut).ok_or("a cut that is not there")?;
                if of.form != CutForm::Count {
                    return Err("pieces of a cut that counts none");
                }
                let before = self.pieces.get(&cut).copied();
                let split = Split::Pieces { cut, at_most, before };
                divides(before, at_most).then_some(split).ok_or("pieces that are decided already")
            }
            Node::Lots { group, place, at_most } => {
                let of = certificate.groups.get(group).ok_or("a group that is not there")?;
                if matches!(place, LotChoice::Vessel(vessel) if vessel.index() >= project.stock.vessels.len()) {
                    return Err("a vessel that is not there");
                }
                match of.within {
                    Some(_) if place != LotChoice::Waiting => return Err("lots of one constant, counted in a place"),
                    None if place == LotChoice::Waiting && is_divided(certificate, group) => {
                        return Err("lots of several constants, counted as waiting");
                    }
                    _ => {}
                }
                let (key, size) = ((group, place), number_of(of.rows.len()));
                let before = self.lots.get(&key).copied();
                let (least, most) = before.unwrap_or((0, size));
                let divides = at_most >= least && at_most < most;
                let split = Split::Lots { key, at_most, before, size };
                if divides { Ok(split) } else { Err("lots that are decided already") }
            }
        }
    }

    /// Sets the limits of the child that the path takes.
    fn enter(&mut self, step: &SplitStep) {
        let first = step.child == 0;
        match step.split {
            Split::Supplier { supplier, .. } => self.suppliers[supplier] = Some(SupplierState::ALL[step.child]),
            Split::Packs { offer, at_most, before } => drop(self.packs.insert(offer, part(before, at_most, first))),
            Split::Pieces { cut, at_most, before } => drop(self.pieces.insert(cut, part(before, at_most, first))),
            Split::Lots { key, at_most, before, size } => {
                let (least, most) = before.unwrap_or((0, size));
                let limits = if first { (least, at_most) } else { (at_most + 1, most) };
                self.lots.insert(key, limits);
            }
        }
    }

    /// Restores the limits that held before a split.
    fn leave(&mut self, split: &Split) {
        match *split {
            Split::Supplier { supplier, .. } => self.suppliers[supplier] = None,
            Split::Packs { offer, before: Some(before), .. } => drop(self.packs.insert(offer, before)),
            Split::Packs { offer, before: None, .. } => drop(self.packs.remove(&offer)),
            Split::Pieces { cut, before: Some(before), .. } => drop(self.pieces.insert(cut, before)),
            Split::Pieces { cut, before: None, .. } => drop(self.pieces.remove(&cut)),
            Split::Lots { key, before: Some(before), .. } => drop(self.lots.insert(key, before)),
            Split::Lots { key, before: None, .. } => drop(self.lots.remove(&key)),
        }
    }

    /// Goes on from a leaf to the next child; false where there is none.
    fn next(&mut self, way: &mut Vec<SplitStep>) -> bool {
        while let Some(mut step) = way.pop() {
            self.leave(&step.split);
            let children = if let Split::Supplier { children, .. } = step.split { children } else { 2 };
            step.child += 1;
            if step.child < children {
                self.enter(&step);
                way.push(step);
                return true;
            }
        }
        false
    }
}

/// Whether both children of a split are possible. Without a most number, the limit is `i64::MAX`.
fn divides(before: Option<(i64, Option<i64>)>, at_most: i64) -> bool {
    let (least, most) = before.unwrap_or((0, None));
    at_most >= least && at_most < most.unwrap_or(i64::MAX)
}

/// Limits of a child: at most `at_most`, or more.
fn part(before: Option<(i64, Option<i64>)>, at_most: i64, first: bool) -> (i64, Option<i64>) {
    let (least, most) = before.unwrap_or((0, None));
    if first { (least, Some(at_most)) } else { (at_most + 1, most) }
}

/// Whether there are groups within this one.
fn is_divided(certificate: &Certificate, group: usize) -> bool {
    certificate.groups.iter().any(|part| part.within == Some(group))
}
