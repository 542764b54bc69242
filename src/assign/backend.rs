//! Solves the general model with a solver library. The only file that names the library.

use std::time::Duration;

use good_lp::{
    Expression, ResolutionError, Solution, SolutionStatus, Solver, SolverModel, Variable, WithInitialSolution,
    WithMipGap, WithTimeLimit, constraint, variable, variables,
};

use super::model::{self, Constraint, Model};
use crate::system::clock::Stopwatch;
use crate::system::threads;

/// Which solver of the library is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Backend {
    /// microlp, pure Rust.
    #[default]
    Microlp,
    /// HiGHS, built from C++ source.
    #[cfg(feature = "highs")]
    Highs,
}

/// The solution of a solver.
#[derive(Clone, Debug)]
pub struct Answer {
    /// A value for each variable.
    pub values: Vec<f64>,
    /// Whether the search was completed, or stopped within the gap, rather than at the time limit.
    pub complete: bool,
}

/// A model with the start, gap and time limit for a solver.
struct ModelProgramme {
    variables: Vec<model::ModelVariable>,
    rows: Vec<Constraint>,
    objective: Vec<(usize, f64)>,
    start: Vec<f64>,
    gap: f64,
    time: Duration,
}

/// Interval at which a running solver's thread is checked.
const PATIENCE: Duration = Duration::from_millis(50);

/// Minimises a model from a start. `gap` is relative to the objective of the best solution. `None` if the solver finds no
/// solution or is abandoned. Solvers rarely check the clock and never `stop`, so each runs on a thread of its own, which is
/// abandoned once the time is over or `stop` says so.
pub fn solve(
    backend: Backend,
    model: &Model,
    start: Vec<f64>,
    gap: f64,
    (time, stop): (Duration, &dyn Fn() -> bool),
) -> Option<Answer> {
    if time.is_zero() || stop() {
        return None;
    }
    let (variables, rows, objective) = (model.variables.clone(), model.rows.clone(), model.objective.clone());
    let programme = ModelProgramme { variables, rows, objective, start, gap, time };
    let (clock, most) = (Stopwatch::start(), time.saturating_add(PATIENCE * 4));
    let is_over = || stop() || clock.elapsed() > most;
    threads::apart(move || solved(backend, &programme), PATIENCE, is_over).flatten()
}

fn solved(backend: Backend, programme: &ModelProgramme) -> Option<Answer> {
    match backend {
        Backend::Microlp => {
            let (solution, names) = run(good_lp::solvers::microlp::microlp, programme, Some(&programme.start)).ok()?;
            Some(answer(&solution, &names))
        }
        #[cfg(feature = "highs")]
        Backend::Highs => {
            // No start: HiGHS 1.16 maps one into its presolved model wrongly and then calls it best (seen in tests).
            let (solution, names) = run(good_lp::solvers::highs::highs, programme, None).ok()?;
            Some(answer(&solution, &names))
        }
    }
}

fn answer(solution: &impl Solution, names: &[Variable]) -> Answer {
    let complete = !matches!(solution.status(), SolutionStatus::TimeLimit);
    Answer { values: names.iter().map(|&name| solution.value(name)).collect(), complete }
}

/// Translates a model for the library and solves it.
fn run<S>(
    solver: S,
    programme: &ModelProgramme,
    start: Option<&[f64]>,
) -> Result<(<S::Model as SolverModel>::Solution, Vec<Variable>), ResolutionError>
where
    S: Solver,
    S::Model: SolverModel<Error = ResolutionError> + WithTimeLimit + WithMipGap + WithInitialSolution,
{
    let mut problem = variables!();
    let names: Vec<Variable> = programme
        .variables
        .iter()
        .map(|limits| {
            let definition = variable().min(limits.least).max(limits.most);
            problem.add(if limits.whole { definition.integer() } else { definition })
        })
        .collect();
    let sum = |terms: &[(usize, f64)]| -> Expression {
        terms.iter().map(|&(index, coefficient)| coefficient * names[index]).sum()
    };
    let mut solver_model = problem.minimise(sum(&programme.objective)).using(solver);
    for row in &programme.rows {
        let left = sum(&row.terms);
        solver_model.add_constraint(if row.equal {
            constraint::eq(left, row.most)
        } else {
            constraint::leq(left, row.most)
        });
    }
    if let Some(start) = start {
        solver_model = solver_model.with_initial_solution(names.iter().copied().zip(start.iter().copied()));
    }
    #[expect(clippy::cast_possible_truncation, reason = "nearest to it: a gap says how near is near enough")]
    let gap = programme.gap as f32;
    let solver_model = solver_model
        .with_time_limit(programme.time.as_secs_f64())
        .with_mip_gap(gap)
        .map_err(|_| ResolutionError::Other("gap"))?;
    Ok((solver_model.solve()?, names))
}
