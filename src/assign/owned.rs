//! Large questions with owned fluid: decided as if all fluid were bought, and counted as it is.
//!
//! Problem: the flow knows no amounts that are free up to what there is.
//!
//! Method: at its full price p(u) the fluid that a plan needs costs at least what is truly paid for it, and at most p(u) times
//! what is owned more. So a plan within the budget at full prices is within it; and without a budget a bound at full prices, less
//! Σ p(u) · owned, is a bound. In the notation of [`crate::decision::certificate`]: λ(u) = W p(u) / 1000.
//!
//! Limits: with a budget no bound is carried over, and of fluid never; the plan is then the best found.

use super::clock::Clock;
use super::progress::Progress;
use super::{evaluate, flow, levels};
use crate::decision::certificate::{MOST, Numbers};
use crate::decision::{Aim, Certificate, Decision, Level, Proof, Question};
use crate::units::{Millilitres, Money};

/// Decides a question at full prices of owned fluid.
pub fn decide_at_full_price(
    question: &Question,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    let decision = flow::decide(&at_full_price(question), clock, report, stop);
    let values = evaluate::values(question, &decision);
    let credit: Money = question.owned.iter().map(|fluid| fluid.price.per_litre(fluid.amount)).sum();
    let level = |level: &Level| {
        let (aim, value) = (level.aim, values.of(level.aim));
        let least = evaluate::trivial_bound(question, aim).min(value);
        let bound = level.bound - if aim == Aim::Money { credit.parts() } else { 0 };
        // Bounds of a level hold among plans that do no worse on the levels before it, as they are truly counted.
        let carried = matches!(aim, Aim::Deferred(_) | Aim::Money) && question.limits.budget.is_none();
        let numbers = level.certificate.numbers.iter().map(|numbers| with_owned_fluid(question, aim, numbers));
        let certificate = numbers.collect::<Option<Vec<_>>>().filter(|_| carried && bound > least);
        let (bound, certificate) = match certificate {
            Some(numbers) => (bound.min(value), Certificate { numbers, ..level.certificate.clone() }),
            None => (least, Certificate::trivial(aim)),
        };
        let proof = if bound == value { Proof::Recomputed } else { Proof::None };
        Level { aim, value, bound, proof, certificate }
    };
    let levels: Vec<Level> = decision.levels.iter().map(level).collect();
    let status = levels::status(question, &levels, decision.status != crate::decision::Status::NotOptimised);
    Decision { levels, status, ..decision }
}

/// The same question with all fluid bought.
fn at_full_price(question: &Question) -> Question {
    let mut bought = Question { owned: Vec::new(), ..question.clone() };
    for fluid in &question.owned {
        for (at, class) in bought.classes.enumerated_mut() {
            for (number, choice) in class.choices.enumerated_mut() {
                choice.money += fluid.price.per_litre(fluid.choice_need(at, number));
            }
            for (number, member) in class.members.iter_mut().enumerate() {
                member.money += fluid.price.per_litre(fluid.member_need(at, number));
            }
        }
    }
    bought
}

/// Numbers with the weights of owned fluid at full price; `None` where they are too large.
fn with_owned_fluid(question: &Question, aim: Aim, numbers: &Numbers) -> Option<Numbers> {
    let weights = numbers.weights.up_to(aim);
    let money = i128::from(weights.money) + i128::from(weights.budget);
    let mut owned = Vec::new();
    for fluid in &question.owned {
        let weight = money * i128::from(fluid.price.per_litre(Millilitres(1)).parts());
        let weight = i64::try_from(weight).ok().filter(|weight| *weight <= MOST)?;
        if weight > 0 {
            owned.push((fluid.fluid, weight));
        }
    }
    owned.sort_unstable();
    Some(Numbers { owned, ..numbers.clone() })
}
