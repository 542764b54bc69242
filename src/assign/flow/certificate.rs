//! Certificates of the flow: for each level a tree whose leaves have dual prices of flows as multipliers.
//!
//! # Problem
//!
//! Find leaves that together hold every plan, each with multipliers at which the bound of [`crate::decision::certificate`] is
//! as high as the value of the level, or as near to it as possible.
//!
//! # Method
//!
//! Branch and bound on suppliers and packs alone ([`tree`]), with the final plan as the incumbent. The bound of a node is first
//! estimated by the cost of its flow. Its multipliers are the flow's dual prices, scaled to whole numbers within the limit of
//! [`crate::decision::certificate::MOST`] ([`leaf_prices`]). Their exact bound ([`leaf_bound`]) needs a pass over all choices of all
//! lots ([`lot_costs`]), so nodes of money are evaluated only once the tree is made ([`evaluation`]). Nodes of a level that counts
//! lots are evaluated at once, because the cost of their flow shows only whether they are feasible.
//!
//! # Why the bounds hold
//!
//! The splits are exhaustive, so the least bound of the leaves is a bound of every plan. The bound of a leaf holds for any
//! multipliers ≥ 0 (weak duality), so it depends neither on the flow nor on the rounding of prices.
//!
//! # Cost and limits
//!
//! The audit evaluates every choice of every lot for each leaf. The number of leaves is limited so that it evaluates at most
//! [`MOST_AUDIT_LOOKS`]. Nodes still open then are leaves with lower bounds.

mod children;
mod evaluation;
mod leaf;
mod leaf_bound;
mod leaf_prices;
mod lot_costs;
mod node;
mod splits;
mod tree;

use leaf::{LeafOf, Leaves};
use leaf_bound::Restrictions;
use tree::CertificateTree;

use super::level_result::LevelResult;
use super::relaxation::{DualPrices, LevelWeights, Relaxation};
use super::search::LevelProblem;
use crate::assign::evaluate::{self, Values};
use crate::assign::progress::Progress;
use crate::decision::{Aim, Certificate, Level, PacksBought, Proof, Question};
use crate::units::{saturated, truncated};

/// The leaves of a level, or of money and fluid together, with their bounds.
pub struct CertifiedBounds {
    /// Together they hold every plan.
    pub leaves: Leaves,
    /// By level, the least bound of the leaves. That of fluid holds for plans with at most the money of the given plan.
    pub bounds: Vec<i128>,
}

/// When to stop making leaves.
pub struct CertificateTime<'a> {
    /// True if no further leaf may be made.
    pub stop: &'a dyn Fn() -> bool,
    /// True if no level may get more leaves than [`fewest_leaves`].
    pub late: &'a dyn Fn() -> bool,
}

/// The levels of a plan with their certificates. `results` are those of the search, each with the problem that the certificate
/// must bound; `relaxations` have the last flows of the search.
///
/// Values are those of the plan, because the search of a later level may have improved an earlier one. If the search was not
/// begun, levels get the trivial certificate.
pub fn levels<'a>(
    question: &'a Question,
    mut relaxations: Vec<(Aim, Relaxation<'a>)>,
    results: &[(LevelResult, LevelProblem)],
    (values, packs): (&Values, &PacksBought),
    not_begun: bool,
    (report, time): (&mut dyn FnMut(Progress), &CertificateTime),
) -> Vec<Level> {
    let mut levels: Vec<Level> = Vec::new();
    let mut bound_of_fluid = None;
    for (result, problem) in results {
        let aim = result.aim;
        let value = values.of(aim);
        let least = evaluate::trivial_bound(question, aim);
        let certified = if aim == Aim::Fluid {
            // The leaves of money bound fluid too.
            bound_of_fluid.map(|bound| (bound, Leaves::default()))
        } else if value > least && !not_begun {
            let fluid = result.is_optimal().then(|| values.of(Aim::Fluid));
            let wanted = wanted_bounds((aim, value), fluid, problem.gap);
            let position = relaxations.iter().position(|(of, relaxation)| *of == aim && relaxation.suits(problem));
            let relaxation = position.map(|position| relaxations.swap_remove(position).1);
            let mut relaxation = relaxation.unwrap_or_else(|| Relaxation::new(question, *problem));
            relaxation.set_problem(*problem);
            // Leaves cannot restrict lots, so a search that branches on lots may prove more than leaves can.
            let is_hopeful =
                result.is_optimal() && !relaxation.has_multi_piece_choices() && !problem.has_budget_beside_objective();
            let certified = certify(question, relaxation, &wanted, (values, packs), is_hopeful, (report, time));
            bound_of_fluid = certified.bound_of_fluid(question, values);
            let bound = saturated(certified.bounds[0].min(value.into()));
            (certified.bounds[0] >= least.into()).then(|| (bound, certified.leaves_for(bound_of_fluid)))
        } else {
            None
        };
        let (bound, leaves) = certified.unwrap_or_else(|| (least.min(value), root_leaf(question, aim)));
        levels.push(level(question, (aim, value), bound, least, &leaves));
    }
    levels
}

/// A level with its leaves as a certificate; with the trivial certificate if the leaves do not form a tree.
fn level(question: &Question, (aim, value): (Aim, i64), bound: i64, least: i64, leaves: &Leaves) -> Level {
    let certificate = if aim == Aim::Fluid && leaves.is_empty() {
        Some(Certificate::default())
    } else {
        splits::certificate(question, leaves)
    };
    let (bound, certificate) = match certificate {
        Some(certificate) => (bound, certificate),
        None => (least.min(value), Certificate::trivial(aim)),
    };
    let proof = if bound == value { Proof::Recomputed } else { Proof::None };
    Level { aim, value, bound, proof, certificate }
}

/// The bounds wanted of the leaves: the value of the level, less the gap for money; and that of fluid too, if it is optimal.
fn wanted_bounds((aim, value): (Aim, i64), fluid: Option<i64>, gap: f64) -> Vec<(Aim, i64)> {
    match (aim, fluid) {
        (Aim::Money, Some(fluid)) => vec![(aim, value), (Aim::Fluid, fluid)],
        // A bound within the gap suffices.
        (Aim::Money, None) => vec![(aim, value - truncated(gap * value as f64))],
        _ => vec![(aim, value)],
    }
}

impl CertifiedBounds {
    /// The bound of fluid for a plan with these values, if its money is proved best and the bound is at least the trivial one.
    fn bound_of_fluid(&self, question: &Question, values: &Values) -> Option<i64> {
        let least = i128::from(evaluate::least_possible(question, Aim::Fluid));
        let is_met = self.bounds[0] >= values.weighed.parts().into();
        let fluid = self.bounds.get(1).filter(|&&fluid| is_met && fluid >= least);
        fluid.map(|&fluid| saturated(fluid.min(values.fluid.0.into())))
    }

    /// The leaves; with 0 as the multiplier of fluid if they do not bound it.
    fn leaves_for(mut self, bound_of_fluid: Option<i64>) -> Leaves {
        if bound_of_fluid.is_none() {
            self.leaves.numbers.iter_mut().for_each(|numbers| numbers.weights.fluid = 0);
        }
        self.leaves
    }
}

/// The root as the only leaf, with multiplier 1 for the level and 0 for all else.
fn root_leaf(question: &Question, aim: Aim) -> Leaves {
    let (pieces, goods) = (question.supplies.filled(0), question.suppliers.filled(0));
    let prices = DualPrices { weights: LevelWeights::alone(aim), pieces, goods };
    leaf::leaves(question, &[LeafOf { restrictions: &Restrictions::none(question), prices: &prices }])
}

/// Makes leaves for the wanted bounds, for a plan with these values and packs. If `is_hopeful` is false, the tree stops growing when
/// most leaves are still open after each doubling of their number.
fn certify<'a>(
    question: &'a Question,
    relaxation: Relaxation<'a>,
    wanted: &[(Aim, i64)],
    plan: (&Values, &PacksBought),
    is_hopeful: bool,
    (report, time): (&mut dyn FnMut(Progress), &CertificateTime),
) -> CertifiedBounds {
    let mut tree = CertificateTree::new(question, relaxation, wanted, plan);
    let fewest = fewest_leaves(question);
    tree.grow(fewest, report, time.stop);
    let (most, late) = (most_leaves(question), || (time.stop)() || (time.late)());
    let mut limit = if is_hopeful { most } else { 2 * fewest };
    while tree.grow(most.min(limit), report, &late) && limit < most && tree.is_mostly_closed() {
        limit *= 2;
    }
    tree.into_bounds()
}

/// The most leaves of a level, which limits the audit's work.
fn most_leaves(question: &Question) -> usize {
    let looks: usize = question.classes.iter().map(|class| class.choices.len() * class.members.len()).sum();
    (MOST_AUDIT_LOOKS / looks.max(1)).min(MOST_LEAVES).max(fewest_leaves(question))
}

/// The number of leaves that any level may have: three for each supplier, and a few.
fn fewest_leaves(question: &Question) -> usize {
    3 * question.suppliers.len() + FEWEST_LEAVES
}

const MOST_AUDIT_LOOKS: usize = 4_000_000_000;
const FEWEST_LEAVES: usize = 8;
const MOST_LEAVES: usize = 2_000;
