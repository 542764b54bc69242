//! The work of a plan in words, for screen and paper.

use itertools::Itertools;

use crate::plan::work::{Share, Stage, Work, WorkKind, minutes};
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::settings::Settings;
use crate::units::{decimal, items};

/// The work of a plan.
pub fn of(project: &Project, plan: &Plan) -> Work {
    Work::of(project, &plan.placements, &plan.tanks, &plan.purchases)
}

/// All work in a line: `54.9 h: 160 moves, 12 baths; about 11 working days for 1 person at 5 h a day`.
pub fn in_all(project: &Project, plan: &Plan, work: &Work) -> String {
    let settings = &project.settings;
    let times = WorkKind::ALL.iter().zip(work.times()).filter(|(_, n)| *n > 0);
    let kinds = times.map(|(kind, n)| counted(items(n), kind.words())).join(", ");
    let days: i64 = work.shares.iter().map(|share| share.days(settings)).sum();
    format!("{} h: {kinds}; {}", hours(plan.totals.minutes as f64), working_days(settings, days))
}

/// `1 lot`, `2 lots`.
fn counted(n: usize, [one, many]: [&str; 2]) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Minutes as hours, to a tenth.
pub fn hours(minutes: f64) -> String {
    decimal(minutes / 60.0, 1)
}

/// `about 11 working days for 2 people at 5 h a day`.
fn working_days(settings: &Settings, days: i64) -> String {
    // Transfer sheets may have a few more days: no lot is divided between two days.
    let days = format!("about {}", counted(items(days), ["working day", "working days"]));
    if settings.per_day.is_some() {
        return format!("{days}, from per_day");
    }
    let people = counted(settings.people as usize, ["person", "people"]);
    format!("{days} for {people} at {} h a day", decimal(settings.hours_per_day.0, 1))
}

/// When each stage can begin: `from the shelf now: 94 lots, 25 h`. Stages without work are left out.
pub fn stages(project: &Project, work: &Work) -> Vec<String> {
    let with_work = Stage::ALL.iter().zip(&work.shares).filter(|(_, share)| share.rows > 0);
    with_work.map(|(stage, share)| one_stage(project, work, *stage, share)).collect()
}

fn one_stage(project: &Project, work: &Work, stage: Stage, share: &Share) -> String {
    let lots = counted(share.rows, ["lot", "lots"]);
    let when = match wait(project, work, stage) {
        wait if wait.is_empty() => stage.words().to_owned(),
        wait => format!("{} ({wait})", stage.words()),
    };
    let baths = match share.longest_baths {
        days if days > 0.0 => format!(", and up to {} days in baths", decimal(days, 1)),
        _ => String::new(),
    };
    format!("{when}: {lots}, {} h{baths}", hours(minutes(&project.settings, &share.times)))
}

/// The waiting time until a stage can begin, as far as it is known.
pub fn wait(project: &Project, work: &Work, stage: Stage) -> String {
    match (stage, work.lead_days) {
        (Stage::Now, _) => String::new(),
        (Stage::Delivered, None) => "delivery time not stated".to_owned(),
        (Stage::Delivered, Some(days)) => {
            let open = if work.lead_not_stated { "; not stated by every supplier" } else { "" };
            format!("up to {} after ordering{open}", counted(days as usize, ["day", "days"]))
        }
        (Stage::Cured, _) => {
            let days = counted(project.settings.cure_days as usize, ["day", "days"]);
            format!("{days} after they are built")
        }
    }
}

/// Divides placements in working order into days. A day has as many lots as there is time for, or `per_day` lots if that is
/// set. Each stage begins a new day.
pub fn days<'a, 'p>(project: &Project, order: &'a [&'p Placement]) -> Vec<&'a [&'p Placement]> {
    let settings = &project.settings;
    let whole_day = crate::plan::work::minutes_of_a_day(settings);
    let (mut days, mut from, mut used) = (Vec::new(), 0, 0.0);
    for (at, placement) in order.iter().enumerate() {
        let row = minutes(settings, &crate::plan::work::of_row(placement));
        let full = match settings.per_day {
            Some(per_day) => at - from >= per_day as usize,
            None => used + row > whole_day + 1e-9,
        };
        if at > from && (full || Stage::of(placement) != Stage::of(order[from])) {
            days.push(&order[from..at]);
            (from, used) = (at, 0.0);
        }
        used += row;
    }
    if from < order.len() {
        days.push(&order[from..]);
    }
    days
}
