//! From a decision to its leaves: parts that hold every plan, with the prices that bound them.
//!
//! A tree of its own, apart from the search: the part of least bound is divided, on suppliers and packs alone, until every
//! part reaches the value or there are as many as may be kept. What is left over then is the gap.

mod bound;
mod rows;

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use bound::{NO_BOUND, NO_PLAN, Part};
use rows::{Sums, Survey};

use super::evaluate::{self, Values};
use super::progress::{Doing, Progress};
use super::relaxation::{Branch, Prices, Relaxation, State};
use super::search::Goal;
use super::settled::Settled;
use crate::decision::leaf::{Leaf, MOST, PackLimits, Terms, Weights};
use crate::decision::{Aim, Level, Proof, Question};
use crate::stock::SupplierId;

/// Leaves of a level, or of money and fluid together, and the bounds they give.
struct Certificate {
    /// Parts that hold every plan.
    leaves: Vec<Leaf>,
    /// By level, the least over the leaves; where the money of a plan is met, the fluid too.
    bounds: Vec<i128>,
}

/// When to make no more leaves.
pub struct Time<'a> {
    /// None at all.
    pub stop: &'a dyn Fn() -> bool,
    /// No more than a level has at least.
    pub late: &'a dyn Fn() -> bool,
}

/// The settled levels as a plan states them, with their leaves, each with the goal that it was searched for with.
///
/// A later level may have bettered an earlier one that was left open: every value is the plan's own. Where the search did
/// not begin, or nobody wants to wait, no more is made than what needs no time. `ready` is what levels were
/// searched with.
pub fn levels<'a>(
    question: &'a Question,
    mut ready: Vec<(Aim, Relaxation<'a>)>,
    settled: &[(Settled, Goal)],
    (values, packs): (&Values, &[Vec<i64>]),
    unbegun: bool,
    (report, time): (&mut dyn FnMut(Progress), &Time),
) -> Vec<Level> {
    let mut levels: Vec<Level> = Vec::new();
    let mut of_fluid = None;
    for (settled, goal) in settled {
        let aim = settled.aim;
        let value = values.of(aim);
        let least = evaluate::trivial_bound(question, aim);
        let mut level = Level { aim, value, bound: least.min(value), proof: Proof::None, leaves: Vec::new() };
        if aim == Aim::Fluid {
            level.bound = of_fluid.unwrap_or(level.bound);
        } else if value > least && !unbegun {
            let mut sought = vec![(aim, value)];
            if aim == Aim::Money && settled.proved() {
                sought.push((Aim::Fluid, values.of(Aim::Fluid)));
            } else if aim == Aim::Money {
                // As near as was asked for is near enough, and then nothing is known of the fluid.
                sought = vec![(aim, value - (goal.gap * value as f64) as i64)];
            }
            let at = ready.iter().position(|(of, relaxation)| *of == aim && relaxation.suits(goal));
            let relaxation = at.map(|at| ready.swap_remove(at).1);
            let mut relaxation = relaxation.unwrap_or_else(|| Relaxation::new(question, *goal));
            relaxation.aim_at(*goal);
            let Certificate { leaves, bounds } =
                certificate(question, relaxation, &sought, (values, packs), (report, time));
            let stated = |level: usize, least: i64, value: i64| bounds[level].clamp(least.into(), value.into()) as i64;
            let bound = stated(0, least, value);
            if bounds.len() > 1 && bound == value {
                let fluid = values.of(Aim::Fluid);
                of_fluid = Some(stated(1, evaluate::least_possible(question, Aim::Fluid).min(fluid), fluid));
            }
            (level.leaves, level.bound) = (leaves, bound);
            if aim == Aim::Money && of_fluid.is_none() {
                // They would say nothing of it, at length.
                level.leaves.iter_mut().for_each(|leaf| leaf.weights.fluid = 0);
            }
        }
        let searched = settled.proof != Proof::None && settled.bound >= value;
        level.proof = match () {
            () if level.bound == value => Proof::Recomputed,
            () if searched => Proof::BySearch,
            () => Proof::None,
        };
        levels.push(level);
    }
    levels
}

/// Leaves for these levels, which are to reach these bounds, of a plan with these values and packs, from a
/// relaxation.
fn certificate<'a>(
    question: &'a Question,
    relaxation: Relaxation<'a>,
    sought: &[(Aim, i64)],
    plan: (&Values, &[Vec<i64>]),
    (report, time): (&mut dyn FnMut(Progress), &Time),
) -> Certificate {
    let mut tree = Tree::new(question, relaxation, sought, plan);
    tree.grow(fewest_leaves(question), report, time.stop);
    let (most, late) = (most_leaves(question), || (time.stop)() || (time.late)());
    if most < MOST_LEAVES {
        // Each costs much: where most of them are still open after some, there is no end in sight.
        tree.grow(most.min(ENOUGH_TO_TELL), report, &late);
    }
    if most == MOST_LEAVES || tree.open.len() <= tree.closed.len() {
        tree.grow(most, report, &late);
    }
    tree.into_certificate()
}

/// Leaves that one level may have: as many as keep the audit's work, which is a look at every choice of every row for each,
/// within bounds.
fn most_leaves(question: &Question) -> usize {
    let looks: usize = question.classes.iter().map(|class| class.choices.len() * class.members.len()).sum();
    (MOST_LOOKS / looks.max(1)).min(MOST_LEAVES).max(fewest_leaves(question))
}

/// Leaves that any level may have: each supplier takes two or three to decide.
fn fewest_leaves(question: &Question) -> usize {
    3 * question.suppliers.len() + FEWEST_LEAVES
}

const MOST_LOOKS: usize = 100_000_000;
const FEWEST_LEAVES: usize = 8;
const ENOUGH_TO_TELL: usize = 48;
const MOST_LEAVES: usize = 500;

struct Tree<'a> {
    question: &'a Question,
    relaxation: Relaxation<'a>,
    /// Levels, and the bounds that they are to reach.
    sought: &'a [(Aim, i64)],
    reached: Vec<(Aim, i64)>,
    /// Of the plan.
    packs: &'a [Vec<i64>],
    money_unit: i128,
    survey: Survey,
    open: BinaryHeap<Node>,
    /// Parts that are not divided further.
    closed: Vec<Node>,
}

/// A part with its prices.
struct Node {
    bounds: Vec<i128>,
    number: usize,
    state: State,
    part: Part,
    prices: Prices,
    rows: Sums,
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Node {}
impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Node {
    /// The least bound first, the first made of equals.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (Reverse(&self.bounds), Reverse(self.number)).cmp(&(Reverse(&other.bounds), Reverse(other.number)))
    }
}

impl<'a> Tree<'a> {
    fn new(
        question: &'a Question,
        relaxation: Relaxation<'a>,
        sought: &'a [(Aim, i64)],
        (values, packs): (&Values, &'a [Vec<i64>]),
    ) -> Self {
        let reached = Aim::ALL.iter().map(|&aim| (aim, values.of(aim))).collect();
        let money_unit = i128::from(evaluate::weighed_unit(question));
        let mut tree = Tree {
            question,
            relaxation,
            sought,
            reached,
            packs,
            money_unit,
            survey: Survey::of(question, sought[0].0),
            open: BinaryHeap::new(),
            closed: Vec::new(),
        };
        let root = tree.relaxation.root();
        tree.add(root, Part::whole(question), None);
        tree
    }

    fn grow(&mut self, most: usize, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) {
        while self.open.len() + self.closed.len() < most && !stop() {
            report(self.progress());
            let Some(mut node) = self.open.pop() else { return };
            let Some(branch) = self.branch(&mut node) else {
                // This is the least, and nothing more can be made of it.
                self.closed.push(node);
                return;
            };
            let states = self.relaxation.children(&node.state, &branch);
            for (state, part) in states.into_iter().zip(parts(self.question, &node.part, &branch)) {
                self.add(state, part, Some((&node.prices, &node.rows)));
            }
        }
    }

    fn progress(&self) -> Progress {
        let (aim, _) = self.sought[0];
        let value = self.reached.iter().find(|(of, _)| *of == aim).map_or(0, |(_, value)| *value);
        let least = self.open.peek().map(|node| node.bounds[0].clamp(0, value.into()) as i64);
        let doing = Doing::Bounding { leaves: self.open.len() + self.closed.len() };
        Progress { aim, doing, value, bound: least.unwrap_or(value) }
    }

    /// Solves a part, takes its prices or, where those are better, its parent's, and keeps it.
    fn add(&mut self, mut state: State, part: Part, parent: Option<(&Prices, &Sums)>) {
        state.wake_multipliers();
        let possible = self.relaxation.solve(&mut state).is_some();
        let (prices, rows) = self.priced(&state, &part, possible);
        let own = (self.bounds(&part, &prices, &rows), prices, rows);
        let (bounds, prices, rows) = match parent {
            Some((prices, rows)) => {
                let bounds = self.bounds(&part, prices, rows);
                if bounds >= own.0 { (bounds, prices.clone(), rows.clone()) } else { own }
            }
            None => own,
        };
        let number = self.open.len() + self.closed.len();
        let reached = bounds.iter().zip(self.sought).all(|(bound, (_, sought))| *bound >= i128::from(*sought));
        let node = Node { bounds, number, state, part, prices, rows };
        if reached { self.closed.push(node) } else { self.open.push(node) }
    }

    /// Where a part is divided; `None` where nothing more can be made of it.
    fn branch(&mut self, node: &mut Node) -> Option<Branch> {
        let relaxed = self.relaxation.solve(&mut node.state);
        let branch = relaxed.and_then(|relaxed| self.relaxation.branch_on_orders(&node.state, &relaxed));
        branch.or_else(|| self.branch_at_plan(&node.part))
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

    /// The prices of the part solved last, and what the rows cost at them.
    fn priced(&mut self, state: &State, part: &Part, possible: bool) -> (Prices, Sums) {
        let mut prices = self.relaxation.prices(state, possible);
        prices.reduce();
        self.place_all(&mut prices);
        // Numbers that are rounded fit no longer.
        prices.reduce();
        fit_in(self.question, part, &mut prices);
        self.place_all(&mut prices);
        let rows = self.survey.sums(self.question, &prices);
        (prices, rows)
    }

    /// No row of a priority of which the goal places every row is better deferred.
    fn place_all(&self, prices: &mut Prices) {
        for priority in self.relaxation.never_deferred() {
            let weight = self.survey.weight_that_places_all(self.question, prices, priority);
            prices.weights.deferred[usize::from(priority) - 1] = weight;
        }
    }

    fn bounds(&self, part: &Part, prices: &Prices, rows: &Sums) -> Vec<i128> {
        let bound = |&(aim, _): &(Aim, i64)| match self.bound(part, prices, rows, aim) {
            bound if aim != Aim::Money || bound == NO_BOUND || bound == NO_PLAN => bound,
            bound => {
                (bound.div_euclid(self.money_unit) + i128::from(bound.rem_euclid(self.money_unit) > 0))
                    * self.money_unit
            }
        };
        self.sought.iter().map(bound).collect()
    }

    fn bound(&self, part: &Part, prices: &Prices, rows: &Sums, aim: Aim) -> i128 {
        bound::bound(self.question, part, (prices, rows.of(aim)), aim, &self.reached)
    }

    fn into_certificate(mut self) -> Certificate {
        let mut nodes = std::mem::take(&mut self.closed);
        nodes.extend(std::mem::take(&mut self.open));
        nodes.sort_by_key(|node| node.number);
        let least = |level: usize| nodes.iter().map(|node| node.bounds[level]).min().unwrap_or(NO_BOUND);
        let mut bounds: Vec<i128> = (0..self.sought.len()).map(least).collect();
        if let [(Aim::Money, _)] = self.sought
            && self.reached.iter().any(|(aim, value)| *aim == Aim::Money && bounds[0] >= i128::from(*value))
        {
            let fluid = |node: &Node| self.bound(&node.part, &node.prices, &node.rows, Aim::Fluid);
            bounds.push(nodes.iter().map(fluid).min().unwrap_or(NO_BOUND));
        }
        let leaves = nodes.iter().map(|node| leaf(self.question, &node.part, &node.prices)).collect();
        Certificate { leaves, bounds }
    }
}

/// A piece costs no more than an offer without limit asks for it: such an offer would give back without end.
fn fit_in(question: &Question, part: &Part, prices: &mut Prices) {
    let money = prices.weights.money + prices.weights.budget;
    for ((supply, limits), price) in question.supplies.iter().zip(&part.packs).zip(&mut prices.pieces) {
        for (offer, (_, most)) in supply.offers.iter().zip(limits) {
            let supplier = offer.supplier.map(|supplier| supplier as usize);
            let closed = supplier.is_some_and(|supplier| part.terms[supplier] == Terms::Closed);
            if !closed && most.is_none() && offer.max_packs.is_none() {
                let weight = money - supplier.map_or(0, |supplier| prices.goods[supplier]);
                let piece = (weight * i128::from(offer.pack_price.parts())).div_euclid(i128::from(offer.pack_size));
                *price = (*price).min(piece).max(0);
            }
        }
    }
}

/// The parts that a branch makes of a part, as [`Relaxation::children`] makes them.
fn parts(question: &Question, part: &Part, branch: &Branch) -> Vec<Part> {
    match *branch {
        Branch::Supplier(supplier) => {
            let decided = [Terms::Closed, Terms::Paying, Terms::Free].map(|terms| {
                let mut part = part.clone();
                part.terms[supplier] = terms;
                part
            });
            decided.into()
        }
        Branch::Packs(offer, whole) => {
            let (supply, offer) = place_of(question, offer);
            let [mut fewer, mut more] = [part.clone(), part.clone()];
            fewer.packs[supply][offer].1 = Some(whole);
            more.packs[supply][offer].0 = whole + 1;
            vec![fewer, more]
        }
        Branch::Lot(..) | Branch::Vessel(_) => Vec::new(),
    }
}

/// Supply and offer of an offer counted over all supplies.
fn place_of(question: &Question, mut offer: usize) -> (usize, usize) {
    for (supply, terms) in question.supplies.iter().enumerate() {
        if offer < terms.offers.len() {
            return (supply, offer);
        }
        offer -= terms.offers.len();
    }
    (question.supplies.len(), offer)
}

/// A part with its prices, named as the stock names things.
fn leaf(question: &Question, part: &Part, prices: &Prices) -> Leaf {
    let supplier = |position: usize| SupplierId(question.suppliers[position].supplier);
    let decided = part.terms.iter().enumerate().filter(|(_, terms)| **terms != Terms::Undecided);
    let mut packs = Vec::new();
    for (supply, limits) in question.supplies.iter().zip(&part.packs) {
        for (offer, &(least, most)) in supply.offers.iter().zip(limits).filter(|(_, limits)| **limits != (0, None)) {
            packs.push(PackLimits { offer: offer.offer as usize, least, most });
        }
    }
    // Reduced numbers are no larger.
    let whole = |number: i128| number.clamp(0, MOST.into()) as i64;
    let pieces = question.supplies.iter().zip(&prices.pieces).filter(|(_, price)| **price > 0);
    let goods = prices.goods.iter().enumerate().filter(|(_, weight)| **weight > 0);
    let Weights { deferred, money, fluid, budget } = prices.weights;
    let weights =
        Weights { deferred: deferred.map(whole), money: whole(money), fluid: whole(fluid), budget: whole(budget) };
    Leaf {
        suppliers: decided.map(|(position, &terms)| (supplier(position), terms)).collect(),
        packs,
        weights,
        prices: pieces.map(|(supply, &price)| (supply.vessel, whole(price))).collect(),
        goods: goods.map(|(position, &weight)| (supplier(position), whole(weight))).collect(),
    }
}
