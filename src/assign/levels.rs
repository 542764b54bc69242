//! Decides the levels in order, each with a branch-and-bound tree.

use super::clock::Clock;
use super::formulation::Formulation;
use super::incumbent::Incumbent;
use super::instance::Instance;
use super::progress::{Doing, Progress};
use super::tree::{SearchStanding, Tree};
use super::{certificate, evaluate, exchange, gap};
use crate::decision::{Aim, Certificate, Decision, Goal, Level, Proof, Question, Status};
use crate::units::Money;

/// Decides a question by linear relaxations. `start` must satisfy every constraint.
pub fn decide(
    question: &Question,
    start: Decision,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    decide_for(question, &Goal::of_plan(&question.limits), start, clock, report, stop)
}

/// The same for any goal, from a plan that keeps its limits too.
pub fn decide_for(
    question: &Question,
    goal: &Goal,
    start: Decision,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    let instance = Instance::new(question);
    let mut incumbent = Incumbent::new(question, goal, start);
    let mut formulation = Formulation::new(&instance, goal);
    let mut trees: Vec<(Aim, Option<Tree>)> = Vec::new();
    let mut begun = false;
    for &aim in &goal.aims {
        let reached = incumbent.reached_before(aim);
        let met = incumbent.value(aim) <= evaluate::trivial_bound(question, aim);
        if met || (clock.left().is_zero() && begun) || stop() {
            trees.push((aim, None));
            continue;
        }
        // Fluid is minimised only among plans whose money is proved least.
        let money_is_open = matches!(trees.last(), Some((Aim::Money, Some(money))) if !money.complete());
        if aim == Aim::Fluid && money_is_open {
            trees.push((aim, None));
            continue;
        }
        formulation.aim_at(&instance, aim, &reached, money_at_most(question, &incumbent));
        let stop = clock.after_counting(STEPS_BEFORE_ASKING, share(aim), stop);
        let mut tree = Tree::new(&instance, &formulation, aim, reached.clone());
        let mut is_taken_up = false;
        if !tree.close_at_once(&mut formulation, incumbent.value(aim)) {
            // The last level's splits separate the plans that are no worse on it, so its tree is a good start.
            let before = trees.iter().rev().find_map(|(_, tree)| tree.as_ref()).filter(|tree| tree.complete());
            let is_worth = |before: &&Tree| before.nodes.len() > 1 && suits(aim, &formulation);
            if let Some(before) = before.filter(is_worth).cloned() {
                tree = before.taken_up(&mut formulation, aim, reached.clone(), incumbent.value(aim), &stop);
                is_taken_up = true;
            }
        }
        let mut search = LevelSearch { instance: &instance, formulation: &mut formulation, incumbent: &mut incumbent };
        tree = search.finish(tree, is_taken_up, report, &stop);
        begun |= tree.nodes.len() > 1 || tree.complete();
        trees.push((aim, Some(tree)));
    }
    // With a gap, an incomplete tree may mean that the plan is near enough: then nothing is tried.
    let open = trees.iter().any(|(_, tree)| tree.as_ref().is_some_and(|tree| !tree.complete()));
    if open && question.limits.gap == 0.0 {
        exchange::improve(&mut incumbent, &|| clock.late() || stop());
    }
    let levels: Vec<Level> =
        trees.into_iter().map(|(aim, tree)| level(&instance, &mut formulation, &incumbent, aim, tree)).collect();
    let status = status(question, &levels, begun);
    Decision { levels, status, ..incumbent.decision }
}

/// The search of one level.
struct LevelSearch<'s, 'a> {
    instance: &'a Instance<'a>,
    formulation: &'s mut Formulation,
    incumbent: &'s mut Incumbent<'a>,
}

impl<'a> LevelSearch<'_, 'a> {
    /// Searches until the tree is complete or `stop` is true. A tree that takes long is replaced: by one whose programme asks for the
    /// least money of a better value, if that is complete soon; by one of the level's own, if it was taken up from the level before.
    fn finish(
        &mut self,
        mut tree: Tree<'a>,
        is_taken_up: bool,
        report: &mut dyn FnMut(Progress),
        stop: &dyn Fn() -> bool,
    ) -> Tree<'a> {
        let (aim, question) = (tree.aim, self.instance.question);
        let asks = aim.counts_lots() && question.limits.budget.is_some();
        let first = if is_taken_up || asks { MOST_AT_FIRST } else { u64::MAX };
        self.grow(&mut tree, first, report, stop);
        let is_open = |tree: &Tree| !tree.complete() && !stop();
        if first == u64::MAX || !is_open(&tree) {
            return tree;
        }
        if asks {
            let mut other = tree.asking_for_better(self.formulation, self.incumbent.value(aim));
            self.grow(&mut other, MOST_FOR_MONEY, report, stop);
            if other.complete() {
                return other;
            }
        }
        self.formulation.aim_at(self.instance, aim, &tree.reached, money_at_most(question, self.incumbent));
        if is_taken_up {
            // The splits of the level before do not suit this one.
            tree = Tree::new(self.instance, self.formulation, aim, tree.reached);
        }
        self.grow(&mut tree, u64::MAX, report, stop);
        tree
    }

    /// Searches until the tree is complete, so many nodes were looked at or `stop` is true, and reports how far it is.
    fn grow(&mut self, tree: &mut Tree, most: u64, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) {
        let aim = tree.aim;
        let mut watch = |SearchStanding { nodes, value, bound }: SearchStanding| {
            report(Progress { aim, doing: Doing::Searching { nodes }, value, bound });
        };
        tree.grow(self.formulation, self.incumbent, most, &mut watch, stop);
    }
}

/// Whether a level takes up the tree of the level before. Splits that tell numbers of lots of one priority apart often do not tell
/// those of the next apart. In small programmes that costs little.
fn suits(aim: Aim, formulation: &Formulation) -> bool {
    !aim.counts_lots() || formulation.variables.len() < MANY_COLUMNS
}

/// Columns of a programme from which on a number of lots is searched with a tree of its own. On 2 000 × 60 with owned fluid and a
/// budget, 17 runs take a tenth fewer iterations so; the demonstration, which is smaller, takes a tenth more.
const MANY_COLUMNS: usize = 4_000;

/// An upper limit of the money of good plans.
fn money_at_most(question: &Question, incumbent: &Incumbent) -> Money {
    question.limits.budget.unwrap_or_default().max(incumbent.values.money)
}

/// Nodes after which a level is searched in another way. Now and then the first splits of a tree that was taken up, which were chosen for
/// the level before, are poor ones, and each subtree repeats the same search. Lots are counted to the end within so many nodes in all but
/// one of 60 runs of 300 × 30 and 2 000 × 60 with owned fluid and a budget.
const MOST_AT_FIRST: u64 = 300;

/// Nodes for which the programme asks for the least money of a better value.
const MOST_FOR_MONEY: u64 = 2_000;

/// How often this method counts as asking each time it does, where that is limited: 64 steps of the simplex method take about as long as
/// this many nodes of the flow (measured on the demonstration and on 2 000 × 60).
const STEPS_BEFORE_ASKING: u32 = 20;

/// Share of the remaining time that one level may take.
fn share(aim: Aim) -> f64 {
    match aim {
        Aim::WeightedDeferred | Aim::Deferred(_) => 0.5,
        Aim::Money => 0.8,
        Aim::Fluid => 1.0,
    }
}

/// The level as stated in the decision: the plan's value, and the bound with its certificate.
fn level(
    instance: &Instance,
    formulation: &mut Formulation,
    incumbent: &Incumbent,
    aim: Aim,
    tree: Option<Tree>,
) -> Level {
    let value = incumbent.value(aim);
    let reached = incumbent.reached_before(aim);
    let least = evaluate::trivial_bound(instance.question, aim).min(value);
    let searched = tree.and_then(|mut tree| {
        formulation.aim_at(instance, aim, &reached, incumbent.values.money);
        let bound = tree.lower_bound(formulation, reached, value);
        (bound >= least || bound == value).then(|| (bound, certificate::of_tree(&tree, formulation)))
    });
    let (bound, certificate) = searched.unwrap_or_else(|| (least, Certificate::trivial(aim)));
    let proof = if bound == value { Proof::Recomputed } else { Proof::None };
    Level { aim, value, bound, proof, certificate }
}

/// A plan with the bounds that need no search. `begun` says whether a search for it was begun.
pub fn with_trivial_bounds(question: &Question, decision: Decision, begun: bool) -> Decision {
    let values = evaluate::values(question, &decision);
    let level = |aim: Aim| {
        let value = values.of(aim);
        let bound = evaluate::trivial_bound(question, aim).min(value);
        let proof = if bound == value { Proof::Recomputed } else { Proof::None };
        Level { aim, value, bound, proof, certificate: Certificate::trivial(aim) }
    };
    let levels: Vec<Level> = question.limits.aims().iter().map(|aim| level(*aim)).collect();
    let status = status(question, &levels, begun);
    Decision { levels, status, ..decision }
}

/// A decision with the bounds of another method (`others`) where those are higher.
///
/// A bound of `others` holds for plans that are no worse than the other plan on the earlier levels. So it holds here as long as
/// this plan is no worse on any earlier level; a plan that is better on one level may be worse on the next.
pub fn with_better_bounds(question: &Question, decision: Decision, others: Vec<Level>) -> Decision {
    let mut levels = decision.levels;
    let no_worse = levels.iter().zip(&others).take_while(|(level, other)| level.value <= other.value).count();
    for (level, other) in levels.iter_mut().zip(others).take(no_worse + 1) {
        // An empty certificate of fluid stands for that of money, which may not have been taken.
        if other.bound.min(level.value) > level.bound && !other.certificate.is_empty() {
            level.bound = other.bound.min(level.value);
            level.certificate = other.certificate;
            level.proof = if level.bound == level.value { Proof::Recomputed } else { Proof::None };
        }
    }
    let status = status(question, &levels, decision.status != Status::NotOptimised);
    Decision { levels, status, ..decision }
}

/// The status that follows from the levels.
pub fn status(question: &Question, levels: &[Level], begun: bool) -> Status {
    let asked = question.limits.gap;
    match levels.iter().find(|level| !level.proved()) {
        None => Status::ProvedBest,
        Some(_) if !begun => Status::NotOptimised,
        Some(level) if asked > 0.0 && gap(question, level.aim, level.value, level.bound) <= asked => Status::WithinGap,
        Some(_) => Status::BestFound,
    }
}
