//! The decision by min-cost flow: what large surveys need.
//!
//! Packs are divisible in its relaxation, which leaves a transportation problem of the classes to the vessels; it is solved
//! by shortest augmenting paths ([`transport`]) and changed step by step from node to node. [`search`] finds plans,
//! [`certificate`] bounds them with vessel prices, the flow's duals, in a tree on suppliers and packs. Owned fluid is
//! bought at its full price here. The linear relaxation of [`super::tree`] is stronger and takes more time and memory.

mod certificate;
mod cost;
mod counts;
pub mod leaf;
mod relaxation;
mod search;
mod settled;
mod transport;

use certificate::Time;
use counts::Counted;
use relaxation::Relaxation;
use search::{Goal, Search};
use settled::Settled;

use super::clock::Clock;
use super::evaluate::{self, values};
use super::greedy;
use super::progress::{Doing, Progress};
use crate::decision::{Aim, Decision, Question};
use crate::units::{Millilitres, Money};

/// Where a search stands: the parts it looked at, the cost of its best plan and the bound of what is open.
#[derive(Clone, Copy, Debug)]
pub struct Standing {
    /// Parts looked at.
    pub parts: u64,
    /// Of the best plan, in money.
    pub best: Option<i64>,
    /// Of what is open, in money.
    pub lowest: Option<i64>,
}

/// Decides a question in which no fluid is owned, reporting how far it is, until `stop` says so.
pub fn decide(
    question: &Question,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    let mut levels = Levels::new(question);
    for priority in 1..=4 {
        levels.settle_deferred(priority, clock, report, stop);
    }
    levels.settle_money_and_fluid(clock, report, stop);
    levels.finish(clock, report, stop)
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
        let mut level = Settled { aim, value: self.value(aim), bound: 0, complete: true };
        if level.value > 0 {
            let goal = |deferred: i64| count_goal(self.question, self.held(), priority, deferred);
            let counted =
                counts::fewest(self.question, (aim, level.value), goal, report, &clock.after(LEVEL_SHARE, stop));
            let Counted { value, bound, plan, empty_handed, relaxation, .. } = counted;
            level = Settled { value, bound, complete: bound == value, ..level };
            self.empty_handed |= empty_handed;
            self.relaxations.push((aim, relaxation));
            if let Some(decision) = plan {
                self.best = greedy::complete(self.question, &decision);
            }
        }
        self.settled.push(level);
    }

    /// Least weighed money and, among plans of that money, least fluid, in one search.
    fn settle_money_and_fluid(&mut self, clock: &Clock, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) {
        let goal = money_goal(self.question, self.held());
        let mut search = Search::new(self.question, goal, Some(&self.best));
        let [money, fluid] = self.search_money_and_fluid(&mut search, report, &clock.after(1.0, stop));
        self.relaxations.push((Aim::Money, search.into_relaxation()));
        self.settled.extend([money, fluid]);
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
            report(Progress { aim: Aim::Money, doing: Doing::Searching { nodes: parts }, value, bound });
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
        let least = evaluate::least_possible(self.question, Aim::Fluid).min(fluid);
        [
            Settled { aim: Aim::Money, value: money, bound, complete: complete || bound == money },
            Settled { aim: Aim::Fluid, value: fluid, bound: if complete { fluid } else { least }, complete },
        ]
    }

    /// The plan with its levels, each with the leaves that bound it again.
    fn finish(self, clock: &Clock, report: &mut dyn FnMut(Progress), stop: &dyn Fn() -> bool) -> Decision {
        let values = values(self.question, &self.best);
        let goal = |level: &Settled| match level.aim {
            Aim::Deferred(priority) => {
                let deferred = (level.bound.min(values.of(level.aim)) - 1).max(0);
                count_goal(self.question, self.held(), priority, deferred)
            }
            Aim::Money | Aim::Fluid => money_goal(self.question, values.deferred),
        };
        let settled: Vec<(Settled, Goal)> = self.settled.iter().map(|level| (*level, goal(level))).collect();
        let (ready, plan) = (self.relaxations, (&values, &self.best.packs[..]));
        let time = Time { stop, late: &|| clock.late() };
        let levels = certificate::levels(self.question, ready, &settled, plan, self.empty_handed, (report, &time));
        let status = super::levels::status(self.question, &levels, !self.empty_handed);
        Decision { levels, status, ..self.best }
    }
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

/// Share of the time left that one count of deferred rows gets where nothing but the search is tried.
const LEVEL_SHARE: f64 = 0.6;
