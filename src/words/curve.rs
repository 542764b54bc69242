//! What the curves of a plan show, in words.

use std::borrow::Cow;

use super::{counted, counted_by_weight, spoken};
use crate::decision::{Level, Status};
use crate::inquiry::budget::{BudgetCurve, BudgetPoint, Milestone, placed_by};
use crate::inquiry::questions::due::step_below;
use crate::plan::answers::{PlanAnswer, PlanChange, to_hundredths};
use crate::plan::{Outcome, Plan};
use crate::project::Project;
use crate::units::{Money, index};

/// Lots that are named in a sentence.
const NAMED: usize = 3;

/// Falls of the total that are explained one by one.
const SHOWN_FALLS: usize = 5;

/// The lots of a milestone: `1`, `1 to 2`, and how many of them wait all the same.
pub fn priorities(milestone: &Milestone) -> String {
    let priorities = up_to(milestone.priority);
    match milestone.deferred {
        0 => priorities,
        1 => priorities + " (but 1 that waits whatever the budget)",
        lots => format!("{priorities} (but {lots} that wait whatever the budget)"),
    }
}

/// The priorities up to one.
pub fn up_to(priority: u8) -> String {
    if priority == 1 { "1".to_owned() } else { format!("1 to {priority}") }
}

/// Why fewer lots are placed in all at some budgets than at the budget before.
pub fn falls(project: &Project, curve: &BudgetCurve) -> Vec<Cow<'static, str>> {
    let all: Vec<String> = curve.points.windows(2).filter_map(|pair| fall(project, curve, pair)).collect();
    let rest = all.len().saturating_sub(SHOWN_FALLS);
    let rest = (rest > 0)
        .then(|| format!("The total falls at {} for the same reason.", counted(rest, "more budget", "more budgets")));
    all.into_iter().take(SHOWN_FALLS).chain(rest).map(spoken).collect()
}

/// From which budget on more money places no further lot.
pub fn enough(curve: &BudgetCurve) -> Option<Cow<'static, str>> {
    let last = curve.milestones.last()?;
    let no_later = (usize::from(last.priority)..4).all(|at| curve.lots[at] == 0);
    no_later.then(|| {
        spoken(format!("From {} on, more money places no further lot.", to_hundredths(last.money).on_screen()))
    })
}

/// What more money buys next: a larger budget at which an answer places more, or more urgent, lots than the plan. It is the least such
/// budget if the answers show that, and otherwise the least one that was tried. `None` without a budget, or if no answer is better.
pub fn next_step(project: &Project, plan: &Plan) -> Option<Cow<'static, str>> {
    let now = project.settings.budget?;
    let step = NextStep::of(plan, now)?;
    let placed_now = |row: &u32| plan.placements[index(*row)].outcome != Outcome::Deferred;
    let mut deferred = [0; 4];
    for placement in plan.placements.iter().filter(|placement| placement.outcome == Outcome::Deferred) {
        deferred[usize::from(project.collection.specimens[placement.specimen].priority) - 1] += 1;
    }
    let urgent = (0..4).find(|&at| step.answer.deferred[at] < deferred[at])?;
    // What is placed at that budget and waits in the plan.
    let mut placed = placed_by(plan, step.answer);
    placed.retain(|row| !placed_now(row) && priority(project, *row) == urgent + 1);
    let more = counted(number(deferred[urgent] - step.answer.deferred[urgent]), "more lot", "more lots");
    let money = to_hundredths(step.budget - now).on_screen();
    let money = if step.is_least { format!("{money} more, and no less") } else { format!("{money} more") };
    let proved = super::proved(plan, step.is_proved);
    Some(spoken(format!(
        "For {money}, {more} of priority {} can be placed: {} ({proved})",
        urgent + 1,
        named(project, &placed)
    )))
}

/// A budget at which more, or more urgent, lots are placed than in the plan.
struct NextStep<'a> {
    budget: Money,
    answer: &'a PlanAnswer,
    /// No budget of a hundredth less does.
    is_least: bool,
    is_proved: bool,
}

impl<'a> NextStep<'a> {
    fn of(plan: &'a Plan, now: Money) -> Option<Self> {
        let is_better = |answer: &&PlanAnswer| answer.waiting() < plan.waiting();
        let tried = plan.answers.iter().filter_map(|answer| match answer.change {
            PlanChange::Budget(budget) if budget > now => Some((budget, answer)),
            _ => None,
        });
        let (mut budget, mut answer) = tried.into_iter().find(|(_, answer)| is_better(answer))?;
        let mut below = None;
        for next in plan.answers.iter().filter(|answer| matches!(answer.change, PlanChange::NextBudget(_))) {
            match is_better(&next) {
                true => answer = next,
                false => below = Some(next),
            }
        }
        let stepped = answer.change != PlanChange::Budget(budget) || below.is_some();
        if stepped || step_below(answer) <= now {
            budget = to_hundredths(answer.money);
        }
        // The budget is the least if a hundredth less is either the plan's own budget or one that was tried and places no more.
        let at_now = step_below(answer) <= now;
        let is_least = at_now || below.is_some();
        let least_is_proved = match below {
            Some(below) => below.waiting_is_proved(),
            None => !at_now || plan.levels.iter().filter(|level| level.aim.counts_lots()).all(Level::proved),
        };
        let is_proved = answer.status == Status::ProvedBest && least_is_proved;
        Some(NextStep { budget, answer, is_least, is_proved })
    }
}

fn number(lots: i64) -> usize {
    usize::try_from(lots).unwrap_or(0)
}

/// Catalogue numbers of the first lots, and whether there are others.
fn named(project: &Project, rows: &[u32]) -> String {
    let number = |row: &u32| project.collection.specimens[index(*row)].key.catalog_number.as_str();
    let first: Vec<&str> = rows.iter().take(NAMED).map(number).collect();
    format!("{}{}", first.join(", "), if rows.len() > NAMED { " and others" } else { "" })
}

/// Why the total falls from one point to the next, where it does.
fn fall(project: &Project, curve: &BudgetCurve, pair: &[BudgetPoint]) -> Option<String> {
    let [before, now] = pair else { return None };
    let placed = |point: &BudgetPoint| curve.lots.iter().sum::<i64>() - point.deferred.iter().sum::<i64>();
    if placed(now) >= placed(before) {
        return None;
    }
    if project.settings.weights_in_force().is_some() {
        return Some(format!(
            "From {} to {} the total falls from {} to {}: fewer lots wait, {}.",
            to_hundredths(before.budget).on_screen(),
            to_hundredths(now.budget).on_screen(),
            placed(before),
            placed(now),
            counted_by_weight(&project.settings)
        ));
    }
    let at = (0..4).find(|&at| now.deferred[at] < before.deferred[at])?;
    let gained: Vec<u32> = now.gained.iter().copied().filter(|row| priority(project, *row) == at + 1).collect();
    let more = match before.deferred[at] - now.deferred[at] {
        1 => format!("1 more lot of priority {} comes first", at + 1),
        lots => format!("{lots} more lots of priority {} come first", at + 1),
    };
    Some(format!(
        "From {} to {} the total falls from {} to {}: {more} ({}), and lots of later priorities wait for it.",
        to_hundredths(before.budget).on_screen(),
        to_hundredths(now.budget).on_screen(),
        placed(before),
        placed(now),
        named(project, &gained)
    ))
}

fn priority(project: &Project, row: u32) -> usize {
    project.collection.specimens[index(row)].priority.into()
}
