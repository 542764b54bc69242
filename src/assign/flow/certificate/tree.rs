//! Grows the certificate's tree: nodes are branched on suppliers and packs until each has the needed bound, or there are
//! as many leaves as a level may have.
//!
//! The final plan is known, so the wanted bound of a node is known too: the value of the level. The bound of a node of money is
//! estimated by the cost of its flow ([`super::children`]), and evaluated exactly when the tree is finished
//! ([`super::evaluation`]).

use std::collections::BinaryHeap;
use std::rc::Rc;

use super::CertifiedBounds;
use super::leaf::{LeafOf, leaves};
use super::leaf_bound::{NO_BOUND, Restrictions};
use super::leaf_prices::LeafPrices;
use super::lot_costs::LotCosting;
use super::node::PricedNode;
use crate::assign::evaluate::Values;
use crate::assign::flow::relaxation::{Branch, Relaxation, RelaxedSolution};
use crate::assign::progress::{Doing, Progress};
use crate::decision::{Aim, OfferIndex, PacksBought, Question};
use crate::units::{Packs, Position, number_of, saturated};

/// Most times in a row that the tree continues with a child, whose flow differs little from the flow just solved. Then it takes the
/// open node of least bound.
const DEEPEST: usize = 40;

/// A tree of nodes that together hold every plan.
pub struct CertificateTree<'a> {
    pub(super) question: &'a Question,
    pub(super) relaxation: Relaxation<'a>,
    pub(super) lot_costing: LotCosting,
    /// The levels with their wanted bounds.
    pub(super) wanted: &'a [(Aim, i64)],
    /// Values of the plan on all levels.
    pub(super) reached: Vec<(Aim, i64)>,
    /// By level, the bound that every leaf needs: the wanted bound or, if a leaf that cannot be branched has less, the bound of that
    /// leaf. Levels after the first that falls short are removed.
    pub(super) needed: Vec<i128>,
    /// The plan's packs, by supply and offer.
    packs: &'a PacksBought,
    /// Nodes made so far.
    pub(super) n_made: usize,
    open: BinaryHeap<PricedNode>,
    /// The child to continue with, and its relaxed solution if its flow was solved last.
    next: Option<(PricedNode, Option<RelaxedSolution>)>,
    /// How many times in a row the tree has continued with a child.
    depth: usize,
    /// Leaves that are not branched further.
    pub(super) closed: Vec<PricedNode>,
    /// Multipliers whose lot costs are known, the last used at the end.
    pub(super) known_prices: Vec<Rc<LeafPrices>>,
}

impl<'a> CertificateTree<'a> {
    /// The root alone.
    pub fn new(
        question: &'a Question,
        relaxation: Relaxation<'a>,
        wanted: &'a [(Aim, i64)],
        (values, packs): (&Values, &'a PacksBought),
    ) -> Self {
        let root = relaxation.root();
        let mut tree = CertificateTree {
            question,
            relaxation,
            lot_costing: LotCosting::of(question, wanted[0].0),
            wanted,
            reached: Aim::ALL.iter().map(|&aim| (aim, values.of(aim))).collect(),
            needed: wanted.iter().map(|(_, wanted)| i128::from(*wanted)).collect(),
            packs,
            n_made: 0,
            open: BinaryHeap::new(),
            next: None,
            depth: 0,
            closed: Vec::new(),
            known_prices: Vec::new(),
        };
        tree.add_children(vec![root], vec![Restrictions::none(question)]);
        tree
    }

    /// Branches nodes until there are `most` leaves. False if more leaves would gain nothing, or `stop` says so.
    pub fn grow(&mut self, most: usize, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> bool {
        while self.n_leaves() < most {
            if stop() {
                return false;
            }
            report(self.progress());
            let Some((mut node, relaxed)) = self.take_next() else {
                // All nodes are closed by estimates; some may fall short when evaluated, because prices were rounded.
                self.evaluate_closed();
                if self.open.is_empty() {
                    return false;
                }
                continue;
            };
            let branch = if self.reaches(&node.bounds) { None } else { self.branch(&mut node, relaxed) };
            let Some(branch) = branch else {
                self.close(node);
                continue;
            };
            let subproblems = self.relaxation.children(&node.subproblem, &branch);
            self.add_children(subproblems, node.restrictions.of_children(self.question, &branch));
        }
        true
    }

    /// Whether at least half the leaves are closed.
    pub fn is_mostly_closed(&self) -> bool {
        self.n_leaves() <= 2 * self.closed.len()
    }

    fn n_leaves(&self) -> usize {
        self.open.len() + usize::from(self.next.is_some()) + self.closed.len()
    }

    fn progress(&self) -> Progress {
        let (aim, _) = self.wanted[0];
        let value = self.reached.iter().find(|(of, _)| *of == aim).map_or(0, |(_, value)| *value);
        let next = self.next.as_ref().map(|(node, _)| node);
        let least = next.into_iter().chain(self.open.peek()).map(|node| node.bounds[0]).min();
        let bound = least.map_or(value, |least| saturated(least.clamp(0, value.into())));
        Progress { aim, doing: Doing::Searching { nodes: number_of(self.n_leaves()).unsigned_abs() }, value, bound }
    }

    fn take_next(&mut self) -> Option<(PricedNode, Option<RelaxedSolution>)> {
        if self.next.is_none() || self.depth >= DEEPEST {
            self.open.extend(self.next.take().map(|(node, _)| node));
            self.depth = 0;
            return self.open.pop().map(|node| (node, None));
        }
        self.depth += 1;
        self.next.take()
    }

    /// Keeps a node: closed if it has the needed bounds; as the next to be branched if its flow was solved last; otherwise open.
    pub(super) fn keep(&mut self, node: PricedNode, relaxed: Option<RelaxedSolution>) {
        match relaxed {
            _ if self.reaches(&node.bounds) => self.closed.push(node),
            Some(relaxed) => {
                let before = self.next.replace((node, Some(relaxed)));
                self.open.extend(before.map(|(node, _)| node));
            }
            None => self.open.push(node),
        }
    }

    /// Closes a node. If its bound is below the one needed, it becomes the needed bound: the level has the least bound of its nodes.
    fn close(&mut self, node: PricedNode) {
        let short = node.bounds.iter().zip(&self.needed).position(|(bound, needed)| bound < needed);
        if let Some(level) = short {
            self.needed.truncate(level + 1);
            self.needed[level] = node.bounds[level];
        }
        self.closed.push(node);
    }

    /// Whether bounds are at least the needed ones.
    pub(super) fn reaches(&self, bounds: &[i128]) -> bool {
        bounds.iter().zip(&self.needed).all(|(bound, needed)| bound >= needed)
    }

    /// What to branch a node on; `None` if it cannot be branched.
    fn branch(&mut self, node: &mut PricedNode, relaxed: Option<RelaxedSolution>) -> Option<Branch> {
        let relaxed = relaxed.or_else(|| self.relaxation.solve(&mut node.subproblem));
        let branch = relaxed.and_then(|relaxed| self.relaxation.branch_on_orders(&node.subproblem, &relaxed));
        branch.or_else(|| self.branch_at_plan(&node.restrictions))
    }

    /// A branch that separates the given plan's packs of an offer from fewer or more, for when the relaxed solution is a plan.
    fn branch_at_plan(&self, restrictions: &Restrictions) -> Option<Branch> {
        let ranges = restrictions.packs.iter().flatten().zip(self.packs.iter().flatten()).enumerate();
        ranges.into_iter().map(|(at, limits)| (OfferIndex::at(at), limits)).find_map(
            |(offer, (&(least, most), &Packs(packs)))| match () {
                () if least < packs && most.is_none_or(|most| packs <= most) => Some(Branch::Packs(offer, packs - 1)),
                () if least <= packs && most.is_none_or(|most| packs < most) => Some(Branch::Packs(offer, packs)),
                () => None,
            },
        )
    }

    /// All leaves, evaluated, with their bounds.
    pub fn into_bounds(mut self) -> CertifiedBounds {
        let next = self.next.take().map(|(node, _)| node);
        let open = std::mem::take(&mut self.open).into_iter().chain(next);
        let mut nodes: Vec<PricedNode> = std::mem::take(&mut self.closed).into_iter().chain(open).collect();
        nodes.sort_by_key(|node| node.number);
        // No leaf needs more than the least bound of all.
        let least =
            |nodes: &[PricedNode], level: usize| nodes.iter().map(|node| node.bounds[level]).min().unwrap_or(NO_BOUND);
        for level in 0..self.needed.len() {
            self.needed[level] = self.needed[level].min(least(&nodes, level));
        }
        nodes.iter_mut().for_each(|node| self.evaluate(node));
        let mut bounds: Vec<i128> = (0..self.wanted.len()).map(|level| least(&nodes, level)).collect();
        let evaluated = nodes.iter().filter_map(|node| Some((&node.restrictions, node.prices.evaluated()?)));
        let evaluated: Vec<(&Restrictions, &LeafPrices)> = evaluated.collect();
        // If the bound equals the value of money though only the gap was wanted, the leaves may bound fluid too.
        if let [(Aim::Money, _)] = self.wanted
            && self.reached.iter().any(|(aim, value)| *aim == Aim::Money && bounds[0] >= i128::from(*value))
        {
            let fluid = evaluated.iter().map(|(restrictions, prices)| self.bound(restrictions, prices, Aim::Fluid));
            bounds.push(fluid.min().unwrap_or(NO_BOUND));
        }
        let of = evaluated.into_iter().map(|(restrictions, known)| LeafOf { restrictions, prices: &known.prices });
        let of: Vec<LeafOf> = of.collect();
        CertifiedBounds { leaves: leaves(self.question, &of), bounds }
    }
}
