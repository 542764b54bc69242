//! From a decision to its leaves: parts that hold every plan, with the prices that bound them.
//!
//! They are the ends of a tree of its own, apart from the search ([`tree`]). What is left over then is the gap.

mod bound;
mod children;
mod leaf;
mod node;
mod priced;
mod rows;
mod tree;
mod weighing;

use bound::Part;
use leaf::Bounded;
use tree::Tree;

use super::relaxation::{Prices, Relaxation};
use super::search::Goal;
use super::settled::Settled;
use crate::assign::evaluate::{self, Values};
use crate::assign::flow::leaf::{Leaves, Weights};
use crate::assign::progress::Progress;
use crate::decision::{Aim, Certificate, Level, Proof, Question};
use crate::units::Money;

/// Leaves of a level, or of money and fluid together, and the bounds they give.
pub struct Bounds {
    /// Parts that hold every plan.
    pub leaves: Leaves,
    /// By level, the least over the leaves; where the money of a plan is met, the fluid too.
    pub bounds: Vec<i128>,
}

/// The question at one set of prices of owned fluid, and what solves its parts.
pub struct AtPrices<'a> {
    /// The same at any prices but for what choices cost, and the budget.
    pub question: &'a Question,
    /// Of that question.
    pub relaxation: Relaxation<'a>,
    /// What is owned at these prices: every plan's money, and the budget, are so much more here than they truly are.
    pub credit: Money,
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
        let made = if aim == Aim::Fluid {
            of_fluid.map(|bound| (bound, Leaves::default()))
        } else if value > least && !unbegun {
            let fluid = settled.proved().then(|| values.of(Aim::Fluid));
            let sought = sought((aim, value), fluid, goal.gap);
            let at = ready.iter().position(|(of, relaxation)| *of == aim && relaxation.suits(goal));
            let relaxation = at.map(|at| ready.swap_remove(at).1);
            let mut relaxation = relaxation.unwrap_or_else(|| Relaxation::new(question, *goal));
            relaxation.aim_at(*goal);
            // Leaves limit packs, not rows.
            let hopeful = settled.proved() && !relaxation.has_lots() && !goal.budget_weighs();
            let at = AtPrices { question, relaxation, credit: Money::ZERO };
            let made = certificate(vec![at], &sought, (values, packs), hopeful, (report, time));
            of_fluid = made.of_fluid(question, values);
            let bound = made.bounds[0].min(value.into()) as i64;
            (made.bounds[0] >= least.into()).then(|| (bound, made.leaves_for(of_fluid)))
        } else {
            None
        };
        let (bound, leaves) = made.unwrap_or_else(|| (least.min(value), of_whole(question, aim)));
        // Leaves that cannot be put into a tree prove nothing.
        let certificate = if aim == Aim::Fluid && leaves.is_empty() {
            Some(Certificate::default())
        } else {
            leaves.certificate(question)
        };
        let (bound, certificate) = match certificate {
            Some(certificate) => (bound, certificate),
            None => (least.min(value), Certificate::trivial(aim)),
        };
        let proof = if bound == value { Proof::Recomputed } else { Proof::None };
        levels.push(Level { aim, value, bound, proof, certificate });
    }
    levels
}

/// The bounds that leaves of a level with this value are to reach, and those of fluid with it where that is asked for.
pub fn sought((aim, value): (Aim, i64), fluid: Option<i64>, gap: f64) -> Vec<(Aim, i64)> {
    match (aim, fluid) {
        (Aim::Money, Some(fluid)) => vec![(aim, value), (Aim::Fluid, fluid)],
        // As near as was asked for is near enough, and then nothing is known of the fluid.
        (Aim::Money, None) => vec![(aim, value - (gap * value as f64) as i64)],
        _ => vec![(aim, value)],
    }
}

impl Bounds {
    /// The bound of the fluid of a plan with these values, where its money is met and more is known than without leaves.
    pub fn of_fluid(&self, question: &Question, values: &Values) -> Option<i64> {
        let least = i128::from(evaluate::least_possible(question, Aim::Fluid));
        let met = self.bounds[0] >= values.weighed.parts().into();
        let fluid = self.bounds.get(1).filter(|&&fluid| met && fluid >= least);
        fluid.map(|&fluid| fluid.min(values.fluid.0.into()) as i64)
    }

    /// The leaves; without a bound of fluid, without what they would say of it at length.
    pub fn leaves_for(mut self, of_fluid: Option<i64>) -> Leaves {
        if of_fluid.is_none() {
            self.leaves.numbers.iter_mut().for_each(|numbers| numbers.weights.fluid = 0);
        }
        self.leaves
    }
}

/// The whole with nothing but one level weighed, as leaves.
pub fn of_whole(question: &Question, aim: Aim) -> Leaves {
    let (pieces, goods) = (vec![0; question.supplies.len()], vec![0; question.suppliers.len()]);
    let prices = Prices { weights: Weights::alone(aim), pieces, goods };
    leaf::leaves(question, &[Bounded { part: &Part::whole(question), prices: &prices }])
}

/// Leaves for these levels, which are to reach these bounds, of a plan with these values and packs; each at whichever of
/// some prices of owned fluid, at least one, bound it best. Values and bounds are true ones. Where it is not `hopeful` that they
/// do, most parts that are open still after some are the end of it.
pub fn certificate(
    at: Vec<AtPrices>,
    sought: &[(Aim, i64)],
    plan: (&Values, &[Vec<i64>]),
    hopeful: bool,
    (report, time): (&mut dyn FnMut(Progress), &Time),
) -> Bounds {
    let question = at[0].question;
    let mut tree = Tree::new(at, sought, plan);
    let fewest = fewest_parts(question);
    tree.grow(fewest, report, time.stop);
    let (most, late) = (most_parts(question), || (time.stop)() || (time.late)());
    let mut some = if hopeful { most } else { 2 * fewest };
    while tree.grow(most.min(some), report, &late) && some < most && tree.is_mostly_closed() {
        some *= 2;
    }
    tree.into_certificate()
}

/// Parts that one level may be divided into: as many as keep the audit's work, which is a look at every choice of every row for each,
/// within bounds.
fn most_parts(question: &Question) -> usize {
    let looks: usize = question.classes.iter().map(|class| class.choices.len() * class.members.len()).sum();
    (MOST_LOOKS / looks.max(1)).min(MOST_PARTS).max(fewest_parts(question))
}

/// Parts that any level may be divided into: each supplier takes two or three to decide.
fn fewest_parts(question: &Question) -> usize {
    3 * question.suppliers.len() + FEWEST_PARTS
}

const MOST_LOOKS: usize = 4_000_000_000;
const FEWEST_PARTS: usize = 8;
const MOST_PARTS: usize = 2_000;
