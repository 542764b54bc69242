//! Fluid on the shelf, for now: decided as if nothing were owned, counted as it is.

mod needs;

use std::collections::BTreeMap;

use needs::needs;

use super::question::question;
use super::{Progress, decide_watched, evaluate, trivial};
use crate::decision::{Decision, Question, Status};
use crate::options::table::Row;
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::{Millilitres, Money};

/// What was asked about the rows of a project, and what was answered.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The question.
    pub question: Question,
    /// The decision; its levels count fluid on the shelf as used first.
    pub decision: Decision,
}

/// Decides about the rows of a project, reporting each level as it begins, until `stop` says so.
pub fn decide_rows(
    project: &Project,
    rows: &[Row],
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Answered {
    let owned = owned(project);
    let question = question(project, rows);
    let decision = decide_watched(&question, report, stop);
    if owned.is_empty() {
        return Answered { question, decision };
    }
    let needs = needs(project, rows, &owned, &question, &decision);
    let mut values = evaluate::values(&question, &decision);
    for (fluid, amount) in &owned {
        values.weighed += project.fluid_price(*fluid).per_litre((needs[fluid] - *amount).max(Millilitres::ZERO));
        values.weighed += Money::ZERO - project.fluid_price(*fluid).per_litre(needs[fluid]);
    }
    let (levels, status) = trivial(&question, &values, decision.status == Status::NotOptimised);
    let decision = Decision { levels, status, ..decision };
    Answered { question, decision }
}

/// What is owned of fluids that cost something.
fn owned(project: &Project) -> BTreeMap<FluidId, Millilitres> {
    let mut owned: BTreeMap<FluidId, Millilitres> = BTreeMap::new();
    for shelf in project.stock.fluids.iter().filter(|shelf| project.fluid_price(shelf.fluid) > Money::ZERO) {
        *owned.entry(shelf.fluid).or_default() += shelf.amount;
    }
    owned.retain(|_, amount| *amount > Millilitres::ZERO);
    owned
}
