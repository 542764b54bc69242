//! Solves the same decision with HiGHS, if that is built in (`--features highs`): one integer model of the same classes as the
//! program uses, level after level. A line under each row gives its values and time. Only the decision is timed; the seconds of
//! the program also contain reading, judging, audit and writing.

use crate::program::{Project, Run, Settings};
use crate::{Findings, Outcome};

/// Does nothing without the feature `highs`.
#[cfg(not(feature = "highs"))]
pub fn print(_: &str, _: &Project, _: Settings, _: &Run, _: &mut Findings) -> Outcome<()> {
    Ok(())
}

#[cfg(feature = "highs")]
pub use built_in::print;

#[cfg(feature = "highs")]
mod built_in {
    use std::time::Instant;

    use rehouse::assign::question::question;
    use rehouse::assign::{self, Backend};
    use rehouse::decision::{Aim, Decision, Question};
    use rehouse::intake;
    use rehouse::options::table::judge_all;

    use super::*;

    /// Time limit of HiGHS for each row, in seconds.
    const PATIENCE: f64 = 60.0;

    /// Most choices of all classes in a model that is given to HiGHS. A larger one uses up the whole time limit and far more
    /// memory than the program.
    const MOST_CHOICES: usize = 30_000;

    /// Stored units of money and of fluid in one unit of `plan.json`.
    const MONEY_PARTS: f64 = 1e7;
    const MILLILITRES: f64 = 1e3;

    /// Solves the decision and prints a line. Reports a mismatch if a value that the program calls proved is worse than that of
    /// HiGHS.
    pub fn print(name: &str, project: &Project, settings: Settings, run: &Run, findings: &mut Findings) -> Outcome<()> {
        let question = asked_of(project, settings)?;
        let choices: usize = question.classes.iter().map(|class| class.choices.len()).sum();
        if choices > MOST_CHOICES {
            println!("  HiGHS left out: {choices} choices");
            return Ok(());
        }
        let start = Instant::now();
        let decision = assign::decide_by_model(&question, Backend::Highs);
        let seconds = start.elapsed().as_secs_f64();
        let theirs = values(&decision);
        let ours: Vec<f64> =
            Aim::STRICT.iter().map(|aim| run.plan.level(aim.name()).map_or(f64::NAN, |l| l.value())).collect();
        let end = if seconds < PATIENCE { "to its end" } else { "time over" };
        let first =
            ours.iter().zip(&theirs).zip(Aim::STRICT).find(|((ours, theirs), _)| (*ours - *theirs).abs() > 1e-4);
        let against = match first {
            None => "the same values".to_owned(),
            Some(((ours, theirs), aim)) => format!("{} {theirs}, the program {ours}", aim.name()),
        };
        println!("  HiGHS {seconds:.3} s, {end}: {against}");
        let proved = |aim: Aim| run.plan.level(aim.name()).is_some_and(|level| level.proved());
        match first {
            Some(((ours, theirs), aim)) if theirs < ours && proved(aim) => {
                findings.add(name, &format!("MISMATCH: {} {ours} is proved, HiGHS has {theirs}", aim.name()));
            }
            _ => {}
        }
        Ok(())
    }

    fn asked_of(project: &Project, settings: Settings) -> Outcome<Question> {
        let sources = intake::Sources::project(&project.path()).map_err(|diagnostic| diagnostic.to_string())?;
        // Settings of the solver are left out: HiGHS has its own time limit and no gap.
        let overrides: Vec<_> = (settings.iter())
            .filter(|(key, _)| !key.starts_with("solver."))
            .map(|(key, value)| ((*key).to_owned(), toml::Value::String(value.clone())))
            .collect();
        let project = intake::read(&sources, &overrides, false).project.ok_or("the project cannot be read")?;
        let mut question = question(&project, &judge_all(&project));
        question.limits.time_limit_s = PATIENCE;
        Ok(question)
    }

    /// Values by level, in the units of `plan.json`.
    fn values(decision: &Decision) -> Vec<f64> {
        let in_units = |aim: Aim, value: i64| match aim {
            Aim::Deferred(_) => value as f64,
            Aim::Money => value as f64 / MONEY_PARTS,
            Aim::Fluid => value as f64 / MILLILITRES,
        };
        decision.levels.iter().map(|level| in_units(level.aim, level.value)).collect()
    }
}
