//! Curves: the best plans as something changes, as a table with bars, as CSV and as JSON.

pub mod budget;
pub mod fluid;
pub mod limits;

use crate::units::Money;

/// Why a curve ends before its last point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EndedBy {
    /// No more points were asked for.
    Points(u64),
    /// The time was over, in seconds.
    Time(u64),
    /// Somebody stopped it.
    Interruption,
    /// A search took longer than a plan may take.
    Search,
}

/// Why a curve ends, and what to do.
pub(in crate::report) fn said(ended: EndedBy) -> String {
    match ended {
        EndedBy::Points(points) => {
            format!("Ended after {}: more are to be had with --steps {}.", counted(points, "line"), points * 4)
        }
        EndedBy::Time(seconds) => {
            format!("Ended after {}: --time {} allows more.", counted(seconds, "second"), seconds * 4)
        }
        EndedBy::Search => "There may be further lines: a search took longer than solver.time_limit_s.".to_owned(),
        EndedBy::Interruption => "Interrupted: these are the lines found so far.".to_owned(),
    }
}

/// Characters of the longest bar.
const LONGEST_BAR: i64 = 12;

/// An amount as a bar beside the largest.
fn bar(amount: Money, most: Money) -> String {
    let most = i128::from(most.parts().max(1));
    let length = (i128::from(amount.parts().max(0)) * i128::from(LONGEST_BAR) * 2 + most) / (most * 2);
    "█".repeat(usize::try_from(length).unwrap_or(0))
}

fn counted(n: u64, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}
