//! The tree of parts: that of least bound is divided, on suppliers and packs alone, until every part reaches what is sought or
//! there are as many as may be kept.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::bound::{self, NO_BOUND, NO_PLAN, Part, parts};
use super::leaf::{Bounded, leaves};
use super::priced::{Priced, fitted, priced};
use super::rows::Survey;
use super::{AtPrices, Certificate};
use crate::assign::evaluate::{self, Values};
use crate::assign::progress::{Doing, Progress};
use crate::assign::relaxation::{Branch, Prices, State};
use crate::decision::{Aim, Question};
use crate::units::Money;

/// Rounding takes no more than such a share of a bound away.
const ROUNDED_OFF: i128 = 1_000_000;

/// Parts that together hold every plan.
pub struct Tree<'a> {
    question: &'a Question,
    at: Vec<AtPrices<'a>>,
    /// At each of the prices, the largest amount of which all money is a multiple.
    money_units: Vec<i128>,
    /// At each of the prices.
    surveys: Vec<Survey>,
    /// Levels, and the bounds that they are to reach.
    sought: &'a [(Aim, i64)],
    reached: Vec<(Aim, i64)>,
    /// Of the plan.
    packs: &'a [Vec<i64>],
    open: BinaryHeap<Node>,
    /// Parts that are not divided further.
    closed: Vec<Node>,
}

/// A part with its prices.
struct Node {
    bounds: Vec<i128>,
    number: usize,
    /// At each of the prices of owned fluid.
    states: Vec<State>,
    part: Part,
    priced: Priced,
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
    /// The whole as one part.
    pub fn new(at: Vec<AtPrices<'a>>, sought: &'a [(Aim, i64)], (values, packs): (&Values, &'a [Vec<i64>])) -> Self {
        let question = at[0].question;
        let mut tree = Tree {
            question,
            money_units: at.iter().map(|at| i128::from(evaluate::weighed_unit(at.question))).collect(),
            surveys: at.iter().map(|at| Survey::of(at.question, sought[0].0)).collect(),
            at,
            sought,
            reached: Aim::ALL.iter().map(|&aim| (aim, values.of(aim))).collect(),
            packs,
            open: BinaryHeap::new(),
            closed: Vec::new(),
        };
        let roots = tree.at.iter().map(|at| vec![at.relaxation.root()]).collect();
        tree.add(roots, vec![Part::whole(question)], None);
        tree
    }

    /// Divides parts until there are so many, or nothing is gained by it.
    pub fn grow(&mut self, most: usize, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) {
        while self.open.len() + self.closed.len() < most && !stop() {
            report(self.progress());
            let Some(mut node) = self.open.pop() else { return };
            let Some(branch) = self.branch(&mut node) else {
                // This is the least, and nothing more can be made of it.
                self.closed.push(node);
                return;
            };
            let children = |(at, state): (&AtPrices, &State)| at.relaxation.children(state, &branch);
            let states: Vec<Vec<State>> = self.at.iter().zip(&node.states).map(children).collect();
            self.add(states, parts(self.question, &node.part, &branch), Some(&node.priced));
        }
    }

    /// Whether no more parts are open than are closed.
    pub fn is_mostly_closed(&self) -> bool {
        self.open.len() <= self.closed.len()
    }

    fn progress(&self) -> Progress {
        let (aim, _) = self.sought[0];
        let value = self.reached.iter().find(|(of, _)| *of == aim).map_or(0, |(_, value)| *value);
        let least = self.open.peek().map(|node| node.bounds[0].clamp(0, value.into()) as i64);
        let doing = Doing::Bounding { leaves: self.open.len() + self.closed.len() };
        Progress { aim, doing, value, bound: least.unwrap_or(value) }
    }

    /// Takes of each of some parts, at each of the prices of owned fluid, the best of prices of its own or, where nothing is
    /// better, its parent's, and keeps it. Where the parent's will do nothing is solved, and nothing to its end where less will
    /// do. `states` are by price, then part.
    fn add(&mut self, mut states: Vec<Vec<State>>, parts: Vec<Part>, parent: Option<&Priced>) {
        let of_parent = |part: &Part| parent.map(|priced| (self.bounds(part, priced), priced.clone()));
        let mut best: Vec<Option<(Vec<i128>, Priced)>> = parts.iter().map(of_parent).collect();
        for (index, states) in states.iter_mut().enumerate() {
            let enough = self.enough(index);
            let soon = |child: usize, at: &mut AtPrices| {
                let state = &mut states[child];
                at.relaxation.costs_enough(state, enough).then(|| at.relaxation.prices(state, true))
            };
            self.take_best(index, (&parts, parent), &mut best, soon);
            let solved = |child: usize, at: &mut AtPrices| {
                let state = &mut states[child];
                state.wake_multipliers();
                let possible = at.relaxation.solve(state).is_some();
                Some(at.relaxation.prices(state, possible))
            };
            self.take_best(index, (&parts, parent), &mut best, solved);
        }
        for (child, (part, best)) in parts.into_iter().zip(best).enumerate() {
            let states = states.iter().map(|states| states[child].clone()).collect();
            let reached = self.reached(&best);
            let Some((bounds, priced)) = best else { continue };
            let number = self.open.len() + self.closed.len();
            let node = Node { bounds, number, states, part, priced };
            if reached { self.closed.push(node) } else { self.open.push(node) }
        }
    }

    /// What a part costs whose bounds are all that they are to reach, and a little more, for numbers are rounded.
    fn enough(&self, index: usize) -> i128 {
        let AtPrices { relaxation, credit, .. } = &self.at[index];
        let cost = relaxation.cost_beyond_enough().unwrap_or_else(|| {
            let sought = |aim: Aim| self.sought.iter().find(|(of, _)| *of == aim).map(|(_, sought)| *sought);
            let money = Money::from_parts(sought(Aim::Money).unwrap_or(0)) + *credit;
            relaxation.cost_of_money(money) + i128::from(sought(Aim::Fluid).unwrap_or(0))
        });
        cost + cost / ROUNDED_OFF
    }

    /// Takes the prices that are proposed for those of some parts that still need better ones.
    fn take_best(
        &mut self,
        at: usize,
        (parts, parent): (&[Part], Option<&Priced>),
        best: &mut [Option<(Vec<i128>, Priced)>],
        mut proposed: impl FnMut(usize, &mut AtPrices) -> Option<Prices>,
    ) {
        let unreached: Vec<usize> = (0..parts.len()).filter(|&child| !self.reached(&best[child])).collect();
        let mut of_children: Vec<(usize, Prices)> = Vec::new();
        let mut unlike: Vec<Prices> = Vec::new();
        for child in unreached {
            let Some(prices) = proposed(child, &mut self.at[at]) else { continue };
            let prices = fitted(&self.at[at], &self.surveys[at], &parts[child], prices);
            if parent.is_some_and(|parent| parent.is_of(at, &prices)) {
                continue;
            }
            if !unlike.contains(&prices) {
                unlike.push(prices.clone());
            }
            of_children.push((child, prices));
        }
        if unlike.is_empty() {
            return;
        }
        let all = priced(at, &self.at[at], &self.surveys[at], unlike);
        for (child, prices) in of_children {
            let Some(priced) = all.iter().find(|priced| priced.is_of(at, &prices)) else { continue };
            let bounds = self.bounds(&parts[child], priced);
            if best[child].as_ref().is_none_or(|(least, _)| bounds > *least) {
                best[child] = Some((bounds, priced.clone()));
            }
        }
    }

    /// Whether a part's bounds are all that they are to reach.
    fn reached(&self, of_part: &Option<(Vec<i128>, Priced)>) -> bool {
        let reaches =
            |bounds: &Vec<i128>| bounds.iter().zip(self.sought).all(|(it, (_, sought))| *it >= i128::from(*sought));
        of_part.as_ref().is_some_and(|(bounds, _)| reaches(bounds))
    }

    /// Where a part is divided; `None` where nothing more can be made of it.
    fn branch(&mut self, node: &mut Node) -> Option<Branch> {
        // Prices at which nothing is left to divide may differ from others in what is ordered.
        let others = (0..self.at.len()).filter(|at| *at != node.priced.at);
        for at in std::iter::once(node.priced.at).chain(others) {
            let (relaxation, state) = (&mut self.at[at].relaxation, &mut node.states[at]);
            let relaxed = relaxation.solve(state);
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

    fn bounds(&self, part: &Part, priced: &Priced) -> Vec<i128> {
        self.sought.iter().map(|&(aim, _)| self.bound(part, priced, aim)).collect()
    }

    /// What prices give, as it truly is: with what is owned taken off money.
    fn bound(&self, part: &Part, Priced { at, prices, rows, .. }: &Priced, aim: Aim) -> i128 {
        let (AtPrices { question, credit, .. }, unit) = (&self.at[*at], self.money_units[*at]);
        let more = |aim: Aim| if aim == Aim::Money { credit.parts() } else { 0 };
        let reached: Vec<(Aim, i64)> = self.reached.iter().map(|&(aim, value)| (aim, value + more(aim))).collect();
        match bound::bound(question, part, (prices, rows.of(aim)), aim, &reached) {
            bound if aim != Aim::Money || bound == NO_BOUND || bound == NO_PLAN => bound,
            bound => {
                (bound.div_euclid(unit) + i128::from(bound.rem_euclid(unit) > 0)) * unit - i128::from(credit.parts())
            }
        }
    }

    /// Its ends as leaves.
    pub fn into_certificate(mut self) -> Certificate {
        let open = std::mem::take(&mut self.open);
        let mut nodes: Vec<Node> = std::mem::take(&mut self.closed).into_iter().chain(open).collect();
        nodes.sort_by_key(|node| node.number);
        let least = |level: usize| nodes.iter().map(|node| node.bounds[level]).min().unwrap_or(NO_BOUND);
        let mut bounds: Vec<i128> = (0..self.sought.len()).map(least).collect();
        if let [(Aim::Money, _)] = self.sought
            && self.reached.iter().any(|(aim, value)| *aim == Aim::Money && bounds[0] >= i128::from(*value))
        {
            let fluid = |node: &Node| self.bound(&node.part, &node.priced, Aim::Fluid);
            bounds.push(nodes.iter().map(fluid).min().unwrap_or(NO_BOUND));
        }
        let parts = nodes.iter().map(|Node { part, priced: Priced { at, prices, .. }, .. }| Bounded {
            part,
            prices,
            fluid_prices: self.at[*at].fluid_prices,
        });
        let parts: Vec<Bounded> = parts.collect();
        Certificate { leaves: leaves(self.question, &parts), bounds }
    }
}
