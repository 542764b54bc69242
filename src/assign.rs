//! Options → decision, level by level: fewest rows of priority 1, 2, 3 and 4 deferred, least weighed money, least fluid.
//!
//! A greedy plan is always there first. The search of our own ([`search`]) then settles each level exactly. The general
//! integer model through the solver library is the other way to the same answer ([`decide_by_model`]): it checks the
//! search, in tests and wherever a user asks for it. What either proposes is counted again in whole numbers before it is
//! believed.

mod backend;
mod clock;
mod cost;
mod counts;
pub mod evaluate;
mod greedy;
#[allow(dead_code)]
mod leaf;
mod model;
mod packs;
mod progress;
pub mod question;
#[allow(dead_code)]
mod relaxation;
pub mod search;
mod settled;
mod shelf;
mod transport;

use std::time::Duration;

pub use backend::Backend;
use clock::Clock;
use counts::Counted;
use evaluate::{Values, values};
use model::Model;
use progress::Standing;
pub use progress::{Doing, Progress};
use relaxation::Relaxation;
use search::{Goal, Search};
use settled::{Settled, better, gap};
pub use shelf::{Answered, decide_rows};

use crate::decision::{Aim, Certificate, Decision, Level, Proof, Question, Status};
use crate::units::{Millilitres, Money};

/// Decides a question within its own time limit.
pub fn decide(question: &Question) -> Decision {
    decide_watched(question, &mut |_| {}, &|| false)
}

/// Decides a question, reporting how far it is, until `stop` says so.
pub fn decide_watched(question: &Question, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> Decision {
    let clock = Clock::new(question);
    let mut levels = Levels::new(question);
    for priority in 1..=4 {
        levels.settle_deferred(priority, &clock, report, stop);
    }
    levels.settle_money_and_fluid(&clock, report, stop);
    levels.finish(&clock, report, stop)
}

/// Decides a question by the general integer model alone, one model a level.
pub fn decide_by_model(question: &Question, backend: Backend) -> Decision {
    let clock = Clock::new(question);
    let mut levels = Levels::new(question);
    for aim in Aim::ALL {
        let level = levels.solve_model(aim, backend, clock.left());
        levels.empty_handed |= clock.left().is_zero() && !level.proved();
        levels.settled.push(level);
    }
    levels.finish(&clock, &mut |_| {}, &|| false)
}

/// The best plan so far, and the levels that are settled.
struct Levels<'a> {
    question: &'a Question,
    best: Decision,
    settled: Vec<Settled>,
    empty_handed: bool,
    /// What levels were searched with.
    relaxations: Vec<(Aim, Relaxation<'a>)>,
}

impl<'a> Levels<'a> {
    fn new(question: &'a Question) -> Self {
        Levels {
            question,
            best: greedy::decide(question),
            settled: Vec::new(),
            empty_handed: false,
            relaxations: Vec::new(),
        }
    }

    fn value(&self, aim: Aim) -> i64 {
        values(self.question, &self.best).of(aim)
    }

    /// Most rows deferred by priority, as the settled levels hold them.
    fn held(&self) -> [i64; 4] {
        let mut held = [0; 4];
        for level in &self.settled {
            if let Aim::Deferred(priority) = level.aim {
                held[usize::from(priority) - 1] = level.value;
            }
        }
        held
    }

    /// Fewest rows of a priority deferred. Money is what is minimised meanwhile, so no budget stands in the way of the bound.
    fn settle_deferred(
        &mut self,
        priority: u8,
        clock: &Clock,
        report: &mut dyn FnMut(Progress),
        stop: &dyn Fn() -> bool,
    ) {
        let aim = Aim::Deferred(priority);
        let mut level = Settled { aim, value: self.value(aim), bound: 0, proof: Proof::Recomputed };
        if level.value > 0 {
            let share = if self.suits_model() { SEARCH_SHARE } else { LEVEL_SHARE };
            let goal = |deferred: i64| count_goal(self.question, self.held(), priority, deferred);
            let counted = counts::fewest(self.question, (aim, level.value), goal, report, &clock.after(share, stop));
            let Counted { value, bound, plan, empty_handed, relaxation, .. } = counted;
            let proof = if bound == value { Proof::Recomputed } else { Proof::None };
            level = Settled { value, bound, proof, ..level };
            self.empty_handed |= empty_handed;
            self.relaxations.push((aim, relaxation));
            if let Some(decision) = plan {
                self.best = greedy::complete(self.question, &decision);
            }
        }
        if !level.proved() && !stop() && self.suits_model() {
            let other = self.solve_model(aim, Backend::default(), clock.left().mul_f64(SEARCH_SHARE));
            level = better(level, other);
            self.best = greedy::complete(self.question, &self.best);
        }
        self.settled.push(level);
    }

    /// Least weighed money and, among plans of that money, least fluid, in one search.
    fn settle_money_and_fluid(&mut self, clock: &Clock, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) {
        let goal = money_goal(self.question, self.held());
        let mut search = Search::new(self.question, goal, Some(&self.best));
        let share = if self.suits_model() { SEARCH_SHARE } else { 1.0 };
        let [mut money, mut fluid] = self.search_money_and_fluid(&mut search, report, &clock.after(share, stop));
        let settled = |money: &Settled, fluid: &Settled| {
            let near = goal.gap > 0.0 && gap(self.question, Aim::Money, money.value, money.bound) <= goal.gap;
            stop() || near || (money.proved() && fluid.proved())
        };
        if self.suits_model() && !settled(&money, &fluid) {
            // The other way to the same answer may be the shorter one; what it finds helps the search either way.
            money = better(money, self.solve_model(Aim::Money, Backend::default(), clock.left().mul_f64(SEARCH_SHARE)));
            // Of the plan there was before, perhaps at more money: its bound holds for all plans, its fluid is its own.
            fluid.value = self.value(Aim::Fluid);
            if money.proved() {
                self.settled.push(money);
                fluid =
                    better(fluid, self.solve_model(Aim::Fluid, Backend::default(), clock.left().mul_f64(SEARCH_SHARE)));
                self.settled.pop();
            }
        }
        if !settled(&money, &fluid) && !clock.left().is_zero() {
            search.offer(&self.best);
            let [again, then] = self.search_money_and_fluid(&mut search, report, &clock.after(1.0, stop));
            // A bound on fluid holds for plans of one amount of money only.
            fluid = if money.value == again.value { better(fluid, then) } else { then };
            money = better(money, again);
        }
        self.relaxations.push((Aim::Money, search.into_relaxation()));
        self.settled.extend([money, fluid]);
    }

    fn suits_model(&self) -> bool {
        suits_model(self.question)
    }

    /// Both levels as a search leaves them.
    fn search_money_and_fluid(
        &mut self,
        search: &mut Search,
        report: &mut dyn FnMut(Progress),
        stop: &dyn Fn() -> bool,
    ) -> [Settled; 2] {
        let value = self.value(Aim::Money);
        let mut watch = |Standing { parts, best, lowest }: Standing| {
            let value = best.unwrap_or(value);
            let bound = lowest.unwrap_or(0).min(value);
            report(Progress { aim: Aim::Money, doing: Doing::Searching { parts }, value, bound });
        };
        let found = search.run(u64::MAX, &mut watch, stop);
        self.empty_handed |= found.empty_handed;
        if let Some((_, decision)) = found.best {
            self.best = decision;
        }
        let (money, fluid) = (self.value(Aim::Money), self.value(Aim::Fluid));
        let cost = search.terms_of_cost();
        let least = evaluate::least_possible(self.question, Aim::Money);
        let bound = found.bound.and_then(|bound| i64::try_from(cost.money(bound)).ok());
        let bound = bound.map_or(least, |bound| bound.clamp(least, money));
        // Stopped within the gap asked for, the search proves no more than its bound.
        let cost = cost.of(Money::from_parts(money), Millilitres(fluid));
        let complete = found.complete && found.bound.is_none_or(|bound| bound >= cost);
        let proof = |proved: bool| if proved { Proof::Recomputed } else { Proof::None };
        let least = evaluate::least_possible(self.question, Aim::Fluid).min(fluid);
        [
            Settled { aim: Aim::Money, value: money, bound, proof: proof(complete || bound == money) },
            Settled {
                aim: Aim::Fluid,
                value: fluid,
                bound: if complete { fluid } else { least },
                proof: proof(complete),
            },
        ]
    }

    /// One level by the general model, with the earlier ones held.
    fn solve_model(&mut self, aim: Aim, backend: Backend, time: Duration) -> Settled {
        let value = self.value(aim);
        let least = evaluate::trivial_bound(self.question, aim);
        if value <= least {
            return Settled { aim, value, bound: least, proof: Proof::Recomputed };
        }
        let unproved = Settled { aim, value, bound: least, proof: Proof::None };
        // Fluid is a question only among plans of proved least money.
        if aim == Aim::Fluid && self.settled.iter().any(|level| !level.proved()) {
            return unproved;
        }
        let held: Vec<(Aim, i64)> = self.settled.iter().map(|level| (level.aim, level.value)).collect();
        let Some(model) = Model::new(self.question, aim, &held) else { return unproved };
        let objective = model.objective_at(value).abs().max(1e-9);
        let step = 0.9 * (model.objective_at(value) - model.objective_at(value - model.unit())) / objective;
        let Some(answer) = backend::solve(backend, &model, &model.start(&self.best), step, time) else {
            return unproved;
        };
        if let Some(candidate) = model.decision(&answer.values)
            && self.improves(&candidate, aim)
        {
            self.best = candidate;
        }
        let value = self.value(aim);
        let bound = answer.bound.map_or(least, |bound| model.bound(bound)).clamp(least, value);
        let complete = answer.complete && bound >= value;
        Settled { aim, value, bound, proof: if complete { Proof::Recomputed } else { Proof::None } }
    }

    /// True if a plan keeps every constraint, does no worse on the settled levels and is better on this one.
    fn improves(&self, candidate: &Decision, aim: Aim) -> bool {
        if evaluate::check(self.question, candidate).is_err() {
            return false;
        }
        let (new, old) = (values(self.question, candidate), values(self.question, &self.best));
        self.settled.iter().all(|level| new.of(level.aim) <= level.value) && new.of(aim) < old.of(aim)
    }

    /// The plan with its levels, each with the trivial certificate.
    fn finish(self, _: &Clock, _: &mut dyn FnMut(Progress), _: &dyn Fn() -> bool) -> Decision {
        let values = values(self.question, &self.best);
        let (levels, status) = trivial(self.question, &values, self.empty_handed);
        Decision { levels, status, ..self.best }
    }
}

/// Levels that state what the trivial certificate gives.
fn trivial(question: &Question, values: &Values, empty_handed: bool) -> (Vec<Level>, Status) {
    let level = |aim: Aim| {
        let value = values.of(aim);
        let bound = evaluate::trivial_bound(question, aim).min(value);
        let proof = if bound == value { Proof::Recomputed } else { Proof::None };
        Level { aim, value, bound, proof, certificate: Certificate::trivial(aim) }
    };
    let levels: Vec<Level> = Aim::ALL.into_iter().map(level).collect();
    let asked = question.limits.gap;
    let status = match levels.iter().find(|level| !level.proved()) {
        None => Status::ProvedBest,
        Some(_) if empty_handed => Status::NotOptimised,
        Some(level) if asked > 0.0 && gap(question, level.aim, level.value, level.bound) <= asked => Status::WithinGap,
        Some(_) => Status::BestFound,
    };
    (levels, status)
}

/// So many rows of a priority left deferred, and no more of the earlier ones than is held, for money within the budget.
fn count_goal(question: &Question, mut held: [i64; 4], priority: u8, deferred: i64) -> Goal {
    held[usize::from(priority) - 1] = deferred;
    Goal {
        deferred: held,
        last_priority: priority,
        litre_weight: Money::ZERO,
        then_fluid: false,
        within: None,
        enough: Some(money_left(question, &held, priority)),
        gap: 0.0,
    }
}

/// Least weighed money, then fluid, with no more rows deferred.
fn money_goal(question: &Question, deferred: [i64; 4]) -> Goal {
    let limits = &question.limits;
    Goal {
        deferred,
        last_priority: 4,
        litre_weight: limits.litre_weight,
        then_fluid: true,
        within: limits.budget.map(|_| money_left(question, &deferred, 4)),
        enough: None,
        gap: limits.gap,
    }
}

/// The budget less the labour of the rows placed, where that counts; as good as endless without a budget.
fn money_left(question: &Question, deferred: &[i64; 4], last_priority: u8) -> Money {
    let limits = &question.limits;
    let Some(budget) = limits.budget else { return Money::from_parts(i64::MAX) };
    let rows = (1..=last_priority).map(|priority| evaluate::rows_of(question, priority)).sum::<i64>();
    let placed = rows - deferred[..usize::from(last_priority)].iter().sum::<i64>();
    budget - limits.labour_per_row * placed
}

/// The general model is worth its time on small questions only.
fn suits_model(question: &Question) -> bool {
    question.classes.iter().map(|class| class.choices.len()).sum::<usize>() <= MOST_CHOICES_FOR_MODEL
}

/// Share of the time left that one way gets before the other is tried.
const SEARCH_SHARE: f64 = 0.4;

/// Share of the time left that one count of deferred rows gets where nothing but the search is tried.
const LEVEL_SHARE: f64 = 0.6;

/// With more choices in all classes than this the general model's first relaxation alone takes longer than it is worth.
const MOST_CHOICES_FOR_MODEL: usize = 5_000;

impl Values {
    /// The value of one level.
    pub fn of(&self, aim: Aim) -> i64 {
        match aim {
            Aim::Deferred(priority) => self.deferred[usize::from(priority) - 1],
            Aim::Money => self.weighed.parts(),
            Aim::Fluid => self.fluid.0,
        }
    }
}
