//! What happens to other lots where one goes elsewhere.

use itertools::Itertools;

use super::{refusal, spoken};
use crate::collection::VesselChoice;
use crate::decision::Status;
use crate::inquiry::instead::{Follows, Housing, Instead, OtherPlan, Rehoused};
use crate::project::Project;

/// Lots that are named; the others are counted.
const NAMED: usize = 3;

/// Where a lot goes: the id of a vessel, `tank` or `wait`.
pub fn housing(project: &Project, housing: Housing) -> &str {
    match housing {
        Housing::In(VesselChoice::Listed(id)) => &project.stock.vessel(id).id,
        Housing::In(VesselChoice::Tank) => "@tank",
        Housing::Waits => "wait",
    }
}

/// What else changes in the plan, or why there is none.
pub fn consequence(project: &Project, instead: &Instead) -> String {
    let said = match &instead.follows {
        Follows::Refused(Some(by)) => return format!("{}: {}", spoken("refused"), refusal(by)),
        Follows::Refused(None) => "refused by the rules".to_owned(),
        Follows::Unpriced => "the price of the tank is not known: give it as tank_quote".to_owned(),
        Follows::Plan(plan) => {
            let waits = plan.got == Housing::Waits && instead.housing != Housing::Waits;
            let waits = waits.then(|| "it waits: there is no piece or no money for it".to_owned());
            waits.into_iter().chain(others(project, plan)).join("; ")
        }
    };
    spoken(said).into_owned()
}

/// How many other lots could be placed if a lot waited; where it is none, only if `alone` nothing else was asked. `row` is its row, and whether it is placed in the
/// plan as it is; `now` are the lots that wait in that plan, by priority.
pub fn without(
    project: &Project,
    (row, placed): (usize, bool),
    now: &[i64; 4],
    instead: &Instead,
    alone: bool,
) -> Option<String> {
    let Follows::Plan(plan) = &instead.follows else { return None };
    if instead.housing != Housing::Waits {
        return None;
    }
    let own = |priority: u8| i64::from(project.collection.specimens[row].priority == priority);
    let others = |priority: u8| {
        let at = usize::from(priority) - 1;
        let waited = now[at] - if placed { 0 } else { own(priority) };
        waited - (plan.values.deferred[at] - own(priority))
    };
    let more = [1, 2, 3, 4].map(others);
    let all: i64 = more.iter().sum();
    let at_least = if plan.status == Status::ProvedBest { "" } else { "at least " };
    let lots = if all == 1 { "1 more of the other lots" } else { &format!("{all} more of the other lots") };
    let by = more.iter().join("/");
    let said = match all {
        1.. => format!("If it waited, {at_least}{lots} could be placed: {by} of priority 1/2/3/4."),
        _ if !alone || !placed => return None,
        0 => "If it waited, 0 more of the other lots could be placed.".to_owned(),
        _ => format!("If it waited, {} of the other lots would wait too: {by} of priority 1/2/3/4.", -all),
    };
    Some(spoken(said).into_owned())
}

fn others(project: &Project, plan: &OtherPlan) -> Option<String> {
    if plan.others.is_empty() {
        return None;
    }
    let named = plan.others.iter().take(NAMED).map(|lot| rehoused(project, lot)).join(", ");
    Some(match plan.others.len().saturating_sub(NAMED) {
        0 => named,
        1 => format!("{named}, and 1 more lot changes"),
        more => format!("{named}, and {more} more lots change"),
    })
}

fn rehoused(project: &Project, lot: &Rehoused) -> String {
    let key = &project.collection.specimens[lot.row].key.catalog_number;
    let to = housing(project, lot.to);
    match (lot.from, lot.to) {
        (_, Housing::Waits) => format!("{key} waits"),
        (Housing::Waits, _) => format!("{key} is placed in {to}"),
        _ => format!("{key} moves to {to}"),
    }
}
