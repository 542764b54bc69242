//! Parts of the decision as the flow divides them, with the numbers that bound them, and what becomes of them in a certificate.
//!
//! A part is fixed by the state of each supplier and by limits on packs. Parts that together hold every plan are divided on one
//! supplier or on one offer's packs, cleanly, until each is alone: that is the tree of the certificate.

use crate::decision::Aim;
use crate::decision::Question;
use crate::decision::certificate as new;
use crate::decision::certificate::{Certificate, Node, SupplierState};
use crate::stock::{SupplierId, VesselId};
use crate::units::Money;

/// No number of a leaf is above this, so that what a row costs fits in 128 bits whatever its money and fluid.
pub const MOST: i64 = 1 << 60;

/// Leaves that a level may have where each of them decides every supplier.
pub const MOST_LEAVES: usize = 20_000;

/// What is decided about a supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Terms {
    /// Nothing yet.
    Undecided,
    /// Nothing is ordered.
    Closed,
    /// The charge is paid; goods reach the minimum.
    Paying,
    /// Goods reach the minimum and the threshold; no charge.
    Free,
}

/// The leaves of a level.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Leaves {
    /// Parts that together hold every plan, each once.
    pub parts: Vec<Leaf>,
    /// What their bounds follow from.
    pub numbers: Vec<Numbers>,
}

/// A part of the decision.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Leaf {
    /// Suppliers that are decided, by supplier.
    pub suppliers: Vec<(SupplierId, Terms)>,
    /// Offers whose packs the leaf limits, each once.
    pub packs: Vec<PackLimits>,
    /// Which of the numbers of the level bound it.
    pub numbers: usize,
}

/// The numbers of leaves.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Numbers {
    /// What the levels and the budget weigh.
    pub weights: Weights,
    /// Price of a piece, by vessel, where it is not nothing.
    pub prices: Vec<(VesselId, i64)>,
    /// What goods weigh that a supplier's minimum or threshold asks for, by supplier, where it is not nothing.
    pub goods: Vec<(SupplierId, i64)>,
}

impl Leaves {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }
}

/// Least and most packs of one offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PackLimits {
    /// Index into the stock's offers.
    pub offer: usize,
    /// Packs, at least.
    pub least: i64,
    /// At most, if limited.
    pub most: Option<i64>,
}

/// What the levels and the budget weigh.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Weights<N = i64> {
    /// A deferred row of priority 1 to 4.
    pub deferred: [N; 4],
    /// A ten-millionth of weighed money.
    pub money: N,
    /// A millilitre.
    pub fluid: N,
    /// A ten-millionth of what counts against the budget.
    pub budget: N,
}

impl<N: Copy + Default + From<u8>> Weights<N> {
    /// Nothing but one level weighs.
    pub fn alone(aim: Aim) -> Self {
        let mut weights = Self::default();
        *weights.of_mut(aim) = N::from(1);
        weights
    }

    fn of_mut(&mut self, aim: Aim) -> &mut N {
        match aim {
            Aim::Deferred(priority) => &mut self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => &mut self.money,
            Aim::Fluid => &mut self.fluid,
        }
    }

    /// The weight of one level.
    pub fn of(&self, aim: Aim) -> N {
        match aim {
            Aim::Deferred(priority) => self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => self.money,
            Aim::Fluid => self.fluid,
        }
    }

    /// The same with later levels weighing nothing.
    pub fn up_to(mut self, aim: Aim) -> Self {
        for (priority, weight) in (1..).zip(&mut self.deferred) {
            if Aim::Deferred(priority) > aim {
                *weight = N::default();
            }
        }
        if aim < Aim::Money {
            self.money = N::default();
        }
        if aim < Aim::Fluid {
            self.fluid = N::default();
        }
        self
    }
}

impl Question {
    /// What a supplier can be. One that asks for nothing is as good as paid where nothing is ordered too, unless suppliers are
    /// counted.
    pub(in crate::assign) fn terms_of(&self, supplier: usize) -> &'static [Terms] {
        let crate::decision::SupplierTerms { charge, free_over, minimum, .. } = self.suppliers[supplier];
        match () {
            () if free_over.is_some() && charge > Money::ZERO => &[Terms::Closed, Terms::Paying, Terms::Free],
            () if charge > Money::ZERO || minimum > Money::ZERO || self.limits.max_suppliers.is_some() => {
                &[Terms::Closed, Terms::Paying]
            }
            () => &[Terms::Paying],
        }
    }

    /// By supplier, what is decided where nothing has been yet: what it can be only one of.
    pub(in crate::assign) fn terms_of_whole(&self) -> Vec<Terms> {
        let only = |supplier| match self.terms_of(supplier) {
            [only] => *only,
            _ => Terms::Undecided,
        };
        (0..self.suppliers.len()).map(only).collect()
    }
}

impl Leaves {
    /// The same as a certificate; `None` where the leaves are not those of a tree.
    pub fn certificate(&self, question: &Question) -> Option<Certificate> {
        let mut nodes = Vec::new();
        let whole = Whole { suppliers: Vec::new(), packs: Vec::new() };
        let mut left = vec![(self.parts.iter().collect::<Vec<_>>(), whole)];
        while let Some((leaves, whole)) = left.pop() {
            let (node, children) = divided(question, &leaves, &whole)?;
            nodes.push(node);
            left.extend(children.into_iter().rev());
        }
        let numbers = self.numbers.iter().map(|numbers| numbers.named()).collect();
        Some(Certificate { nodes, numbers, ..Certificate::default() })
    }
}

impl Numbers {
    fn named(&self) -> new::Numbers {
        let Weights { deferred, money, fluid, budget } = self.weights;
        new::Numbers {
            weights: new::Weights { deferred, money, fluid, budget },
            prices: self.prices.clone(),
            goods: self.goods.clone(),
            ..new::Numbers::default()
        }
    }
}

/// What has been divided so far, on the way to one part.
#[derive(Clone)]
struct Whole {
    suppliers: Vec<SupplierId>,
    packs: Vec<(usize, i64, Option<i64>)>,
}

impl Whole {
    fn limits(&self, offer: usize) -> (i64, Option<i64>) {
        self.packs.iter().find(|(other, ..)| *other == offer).map_or((0, None), |(_, least, most)| (*least, *most))
    }

    fn with(&self, offer: usize, least: i64, most: Option<i64>) -> Self {
        let mut whole = self.clone();
        whole.packs.retain(|(other, ..)| *other != offer);
        whole.packs.push((offer, least, most));
        whole
    }
}

/// Leaves with what has been divided on the way to them.
type Part<'a> = (Vec<&'a Leaf>, Whole);

/// The node that divides leaves, and its children.
fn divided<'a>(question: &Question, leaves: &[&'a Leaf], whole: &Whole) -> Option<(Node, Vec<Part<'a>>)> {
    let first = leaves.first()?;
    for &(supplier, _) in first.suppliers.iter().filter(|(supplier, _)| !whole.suppliers.contains(supplier)) {
        let position = question.suppliers.iter().position(|terms| terms.supplier == supplier.0)?;
        let states = question.states_of(position);
        if question.terms_of(position).len() == 1 {
            continue;
        }
        let mut parts: Vec<Vec<&Leaf>> = vec![Vec::new(); 3];
        let decided = leaves.iter().all(|leaf| {
            let terms = leaf.suppliers.iter().find(|(other, _)| *other == supplier).map(|(_, terms)| *terms);
            let at = match terms {
                Some(Terms::Closed) => 0,
                Some(Terms::Paying) => 1,
                Some(Terms::Free) => 2,
                _ => return false,
            };
            parts[at].push(leaf);
            true
        });
        if decided {
            let mut whole = whole.clone();
            whole.suppliers.push(supplier);
            // A supplier that charges nothing is never better off with free delivery.
            if states.contains(&SupplierState::Free) && parts[2].is_empty() {
                parts[2] = parts[1].clone();
            }
            let children = parts.into_iter().take(states.len()).map(|leaves| (leaves, whole.clone())).collect();
            return Some((Node::Supplier(supplier), children));
        }
    }
    for &PackLimits { offer, .. } in &first.packs {
        let (least, most) = whole.limits(offer);
        let limits = |leaf: &&Leaf| leaf.packs.iter().find(|limits| limits.offer == offer).copied();
        let all: Option<Vec<PackLimits>> = leaves.iter().map(limits).collect();
        let Some(all) = all else { continue };
        let mut cuts: Vec<i64> =
            all.iter().flat_map(|limits| [Some(limits.least - 1), limits.most]).flatten().collect();
        cuts.sort_unstable();
        cuts.dedup();
        for cut in cuts.into_iter().filter(|cut| *cut >= least && most.is_none_or(|most| *cut < most)) {
            let fewer = |limits: &PackLimits| limits.most.is_some_and(|most| most <= cut);
            if all.iter().all(|limits| fewer(limits) || limits.least > cut) {
                let of = |below: bool| -> Vec<&'a Leaf> {
                    let pairs = leaves.iter().zip(&all).filter(|(_, limits)| fewer(limits) == below);
                    pairs.map(|(leaf, _)| *leaf).collect()
                };
                let children = vec![
                    (of(true), whole.with(offer, least, Some(cut))),
                    (of(false), whole.with(offer, cut + 1, most)),
                ];
                return Some((Node::Packs { offer, at_most: cut }, children));
            }
        }
    }
    match leaves {
        [leaf] => Some((Node::Leaf { numbers: leaf.numbers }, Vec::new())),
        _ => None,
    }
}
