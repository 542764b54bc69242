//! The tree of parts: they are divided, on suppliers and packs alone, until every part reaches what is sought or there are as
//! many as may be kept.
//!
//! What a part comes to at the numbers of a leaf is what its flow costs, but for rounding: parts of money are divided by that
//! ([`super::children`]), and weighed once the tree is made ([`super::weighing`]).

use std::collections::BinaryHeap;
use std::rc::Rc;

use super::bound::{NO_BOUND, Part, parts};
use super::leaf::{Bounded, leaves};
use super::node::Node;
use super::priced::Priced;
use super::rows::Survey;
use super::{AtPrices, Bounds};
use crate::assign::evaluate::Values;
use crate::assign::flow::relaxation::{Branch, Relaxed, State};
use crate::assign::progress::{Doing, Progress};
use crate::decision::{Aim, Question};

/// From a part to one of those it is divided into, and so on, the flow changes little; so far down, the least part is taken up
/// again.
const DEEPEST: usize = 40;

/// Parts that together hold every plan.
pub struct Tree<'a> {
    pub(super) question: &'a Question,
    pub(super) at: Vec<AtPrices<'a>>,
    /// At each of the prices.
    pub(super) surveys: Vec<Survey>,
    /// Levels, and the bounds that they are to reach.
    pub(super) sought: &'a [(Aim, i64)],
    pub(super) reached: Vec<(Aim, i64)>,
    /// Bounds that every part needs: what is sought, or less where one that nothing divides has less.
    pub(super) needed: Vec<i128>,
    /// Of the plan.
    packs: &'a [Vec<i64>],
    /// Parts that were made so far.
    pub(super) n_made: usize,
    open: BinaryHeap<Node>,
    /// The part that is divided next, and what its flow came to where that is the flow solved last.
    next: Option<(Node, Option<Relaxed>)>,
    /// How often it has been gone on with one of the parts of a part.
    depth: usize,
    /// Parts that are not divided further.
    pub(super) closed: Vec<Node>,
    /// Numbers that rows were weighed at, those that did last at the end.
    pub(super) weighed: Vec<Rc<Priced>>,
}

impl<'a> Tree<'a> {
    /// The whole as one part.
    pub fn new(at: Vec<AtPrices<'a>>, sought: &'a [(Aim, i64)], (values, packs): (&Values, &'a [Vec<i64>])) -> Self {
        let question = at[0].question;
        let mut tree = Tree {
            question,
            surveys: at.iter().map(|at| Survey::of(at.question, sought[0].0)).collect(),
            at,
            sought,
            reached: Aim::ALL.iter().map(|&aim| (aim, values.of(aim))).collect(),
            needed: sought.iter().map(|(_, sought)| i128::from(*sought)).collect(),
            packs,
            n_made: 0,
            open: BinaryHeap::new(),
            next: None,
            depth: 0,
            closed: Vec::new(),
            weighed: Vec::new(),
        };
        let roots = tree.at.iter().map(|at| vec![at.relaxation.root()]).collect();
        tree.add(roots, vec![Part::whole(question)]);
        tree
    }

    /// Divides parts until there are so many; false where nothing is gained by more.
    pub fn grow(&mut self, most: usize, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> bool {
        while self.n_parts() < most {
            if stop() {
                return false;
            }
            report(self.progress());
            let Some((mut node, relaxed)) = self.take_next() else {
                // Rounded, some may fall short.
                self.weigh_closed();
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
            let children = |(at, state): (&AtPrices, &State)| at.relaxation.children(state, &branch);
            let states: Vec<Vec<State>> = self.at.iter().zip(&node.states).map(children).collect();
            self.add(states, parts(self.question, &node.part, &branch));
        }
        true
    }

    /// Whether no more parts are open than are closed.
    pub fn is_mostly_closed(&self) -> bool {
        self.n_parts() <= 2 * self.closed.len()
    }

    fn n_parts(&self) -> usize {
        self.open.len() + usize::from(self.next.is_some()) + self.closed.len()
    }

    fn progress(&self) -> Progress {
        let (aim, _) = self.sought[0];
        let value = self.reached.iter().find(|(of, _)| *of == aim).map_or(0, |(_, value)| *value);
        let next = self.next.as_ref().map(|(node, _)| node);
        let least = next.into_iter().chain(self.open.peek()).map(|node| node.bounds[0]).min();
        let bound = least.map_or(value, |least| least.clamp(0, value.into()) as i64);
        Progress { aim, doing: Doing::Searching { nodes: self.n_parts() as u64 }, value, bound }
    }

    fn take_next(&mut self) -> Option<(Node, Option<Relaxed>)> {
        if self.next.is_none() || self.depth >= DEEPEST {
            self.open.extend(self.next.take().map(|(node, _)| node));
            self.depth = 0;
            return self.open.pop().map(|node| (node, None));
        }
        self.depth += 1;
        self.next.take()
    }

    /// Keeps a part, to be divided next where its flow was the last one solved.
    pub(super) fn keep(&mut self, node: Node, relaxed: Option<Relaxed>) {
        match relaxed {
            _ if self.reaches(&node.bounds) => self.closed.push(node),
            Some(relaxed) => {
                let before = self.next.replace((node, Some(relaxed)));
                self.open.extend(before.map(|(node, _)| node));
            }
            None => self.open.push(node),
        }
    }

    /// A part that reaches what is needed, or of which nothing more can be made: then more of others is for nothing.
    fn close(&mut self, node: Node) {
        let short = node.bounds.iter().zip(&self.needed).position(|(bound, needed)| bound < needed);
        if let Some(level) = short {
            self.needed.truncate(level + 1);
            self.needed[level] = node.bounds[level];
        }
        self.closed.push(node);
    }

    /// Whether bounds are all that is needed.
    pub(super) fn reaches(&self, bounds: &[i128]) -> bool {
        bounds.iter().zip(&self.needed).all(|(bound, needed)| bound >= needed)
    }

    /// Where a part is divided; `None` where nothing more can be made of it.
    fn branch(&mut self, node: &mut Node, mut relaxed: Option<Relaxed>) -> Option<Branch> {
        // Prices at which nothing is left to divide may differ from others in what is ordered.
        let own = node.prices.at();
        let others = (0..self.at.len()).filter(|at| *at != own);
        for at in std::iter::once(own).chain(others) {
            let (relaxation, state) = (&mut self.at[at].relaxation, &mut node.states[at]);
            let relaxed = relaxed.take().or_else(|| relaxation.solve(state));
            let branch = relaxed.and_then(|relaxed| relaxation.branch_on_orders(state, &relaxed));
            if branch.is_some() {
                return branch;
            }
        }
        self.branch_at_plan(&node.part)
    }

    /// Where the relaxation says nothing: the packs of the plan, fewer, or more, offer by offer.
    fn branch_at_plan(&self, part: &Part) -> Option<Branch> {
        let limits = part.packs.iter().flatten().zip(self.packs.iter().flatten()).enumerate();
        limits.into_iter().find_map(|(offer, (&(least, most), &packs))| match () {
            () if least < packs && most.is_none_or(|most| packs <= most) => Some(Branch::Packs(offer, packs - 1)),
            () if least <= packs && most.is_none_or(|most| packs < most) => Some(Branch::Packs(offer, packs)),
            () => None,
        })
    }

    /// Its ends as leaves.
    pub fn into_certificate(mut self) -> Bounds {
        let next = self.next.take().map(|(node, _)| node);
        let open = std::mem::take(&mut self.open).into_iter().chain(next);
        let mut nodes: Vec<Node> = std::mem::take(&mut self.closed).into_iter().chain(open).collect();
        nodes.sort_by_key(|node| node.number);
        // No more is needed of any part than the least of them gives.
        let least =
            |nodes: &[Node], level: usize| nodes.iter().map(|node| node.bounds[level]).min().unwrap_or(NO_BOUND);
        for level in 0..self.needed.len() {
            self.needed[level] = self.needed[level].min(least(&nodes, level));
        }
        nodes.iter_mut().for_each(|node| self.weigh(node));
        let mut bounds: Vec<i128> = (0..self.sought.len()).map(|level| least(&nodes, level)).collect();
        let parts = nodes.iter().filter_map(|node| Some((&node.part, node.prices.weighed()?)));
        let parts: Vec<(&Part, &Priced)> = parts.collect();
        if let [(Aim::Money, _)] = self.sought
            && self.reached.iter().any(|(aim, value)| *aim == Aim::Money && bounds[0] >= i128::from(*value))
        {
            let fluid = parts.iter().map(|(part, priced)| self.bound(part, priced, Aim::Fluid));
            bounds.push(fluid.min().unwrap_or(NO_BOUND));
        }
        let parts = parts.into_iter().map(|(part, Priced { prices, .. })| Bounded { part, prices });
        let parts: Vec<Bounded> = parts.collect();
        Bounds { leaves: leaves(self.question, &parts), bounds }
    }
}
