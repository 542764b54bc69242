//! The nodes of a certificate, gone through in preorder with the limits that the splits on the way set.
//!
//! A split has a child for every state of a supplier, or one for at most so many packs, pieces or lots and one for more, so
//! the leaves together hold every plan. A split must divide: a supplier that is decided already, and a number outside the
//! limits that are set already, are refused. The way from the root is kept in a list of its own, so a deep tree takes memory,
//! not stack.

use std::collections::BTreeMap;

use crate::decision::Certificate;
use crate::decision::certificate::{CutForm, LotChoice, Node, SupplierState};
use crate::project::Project;
use crate::stock::SupplierId;
use crate::units::{IndexTable, Position, number_of};

/// What the splits on the way to a node leave.
pub(super) struct Limited {
    /// By supplier, where it is decided.
    pub(super) suppliers: IndexTable<SupplierId, Option<SupplierState>>,
    /// By offer, least and most packs, where limited.
    pub(super) packs: BTreeMap<usize, (i64, Option<i64>)>,
    /// By cut, least and most pieces that its lots take, where limited.
    pub(super) pieces: BTreeMap<usize, (i64, Option<i64>)>,
    /// By group and place, least and most lots, where limited.
    pub(super) lots: BTreeMap<(usize, LotChoice), (i64, i64)>,
}

/// A split on the way to a node, and which of its children the way takes.
struct SplitStep {
    split: Split,
    child: usize,
}

/// A split with the limits there were before it.
enum Split {
    Supplier { supplier: SupplierId, children: usize },
    Packs { offer: usize, at_most: i64, before: Option<(i64, Option<i64>)> },
    Pieces { cut: usize, at_most: i64, before: Option<(i64, Option<i64>)> },
    Lots { key: (usize, LotChoice), at_most: i64, before: Option<(i64, i64)>, size: i64 },
}

/// What is wrong with a tree, and at which node.
pub(super) type NodeFault = (usize, &'static str);

/// Goes through the nodes, and tells of each leaf its limits and its numbers.
///
/// # Errors
/// The first node that is wrong: a split of what is not there or that does not divide, numbers that are not there, a node too few
/// or too many.
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
    /// A split, if there is what it divides and it does divide it.
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

    /// The limits of the child that a way takes.
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

    /// The limits before a split.
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

    /// Goes on from a leaf to the next child there is; false where there is none.
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

/// Whether a number between limits divides them; without a most, no more than can be counted.
fn divides(before: Option<(i64, Option<i64>)>, at_most: i64) -> bool {
    let (least, most) = before.unwrap_or((0, None));
    at_most >= least && at_most < most.unwrap_or(i64::MAX)
}

/// The limits of a child: at most so many, or more.
fn part(before: Option<(i64, Option<i64>)>, at_most: i64, first: bool) -> (i64, Option<i64>) {
    let (least, most) = before.unwrap_or((0, None));
    if first { (least, Some(at_most)) } else { (at_most + 1, most) }
}

/// Whether groups hold the lots of a group by constant.
fn is_divided(certificate: &Certificate, group: usize) -> bool {
    certificate.groups.iter().any(|part| part.within == Some(group))
}
