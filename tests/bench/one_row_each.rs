//! Compares the program with HiGHS, which solves the same decision as one integer model with a row for each specimen.

use std::time::Instant;

use rehouse::assign::{self, Backend};
use rehouse::decision::{Aim, Class, Question};
use rehouse::intake;
use rehouse::options::table::judge_all;
use rehouse::units::{IndexTable, Millilitres, Money};

use crate::Outcome;
use crate::program::Project;

/// Required ratio of the times of HiGHS and the program.
const ASKED: f64 = 200.0;

/// Time limit of HiGHS, in seconds.
const PATIENCE: f64 = 1_800.0;

/// Times both and prints the ratio; fails if their money differs by a cent or more.
pub fn compare(mut project: Project) -> Outcome<()> {
    let ours = project.measure(&[])?;
    let sources = intake::Sources::project(&project.path()).map_err(|diagnostic| diagnostic.to_string())?;
    let project = intake::read(&sources, &[], false).project.ok_or("the collection cannot be read")?;
    let question = unfolded(assign::question::question(&project, &judge_all(&project)));
    let start = Instant::now();
    let decision = assign::decide_by_model(&question, Backend::Highs);
    let seconds = start.elapsed().as_secs_f64();
    let money = decision.levels.iter().find(|level| level.aim == Aim::Money).ok_or("no level of money")?;
    let theirs = Money::from_parts(money.value).text();
    println!("program  {:>9.3} s, money {:.4}, {}", ours.seconds, ours.plan.totals.money(), ours.plan.status);
    println!(
        "HiGHS    {seconds:>9.3} s, money {theirs}, {}",
        if money.proved() { "proved best" } else { "not proved" }
    );
    println!("ratio    {:>9.0}, asked {ASKED}", seconds / ours.seconds);
    let difference = ours.plan.totals.money() - theirs.parse::<f64>()?;
    if difference.abs() >= 0.01 { Err(format!("the objectives differ by {difference}").into()) } else { Ok(()) }
}

/// The same question with a class for each specimen. Fluid is set to zero, because only money is compared and the level of fluid
/// would be a second model to solve.
fn unfolded(question: Question) -> Question {
    let mut unfolded = Question { classes: IndexTable::new(), ..question };
    unfolded.limits.time_limit_s = PATIENCE;
    for class in question.classes {
        let mut choices = class.choices;
        choices.iter_mut().for_each(|choice| choice.fluid = Millilitres(0));
        for mut member in class.members {
            member.fluid = Millilitres(0);
            unfolded.classes.push(Class { priority: class.priority, members: vec![member], choices: choices.clone() });
        }
    }
    unfolded
}
