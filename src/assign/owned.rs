//! Large questions with owned fluid: decided by the flow as if all fluid were bought, then evaluated with the owned fluid.
//!
//! Problem: in the flow the cost of fluid is linear; it cannot be 0 up to the stock.
//!
//! Method: let p(u) be the full price of owned fluid u. At full price a plan costs at least what is really paid, and at most
//! Σ p(u) · owned(u) more. So a plan within the budget at full prices is within the budget; and without a budget a lower bound of
//! money at full prices, less Σ p(u) · owned(u), is a lower bound. In the notation of [`crate::decision::certificate`]:
//! λ(u) = W p(u) / 1000.
//!
//! Limits: with a budget no bound is carried over, and that of fluid never is; the plan is then at most the best found.

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
        // The bound of fluid holds for plans of least money at full prices, which may not be those of least money.
        let carried = aim != Aim::Fluid && question.limits.budget.is_none();
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

/// The same question with all fluid bought at its price.
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

/// The multipliers with λ(u) of full prices added; `None` if one is too large.
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
