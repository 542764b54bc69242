//! What happens to other lots where one goes elsewhere.

use itertools::Itertools;

use super::{refusal, spoken};
use crate::collection::VesselChoice;
use crate::inquiry::instead::{Follows, Housing, Instead, OtherPlan, Rehoused};
use crate::project::Project;

/// Lots that are named; the others are counted.
const NAMED: usize = 3;

/// Where a lot goes: the id of a vessel, `tank` or `wait`.
pub fn housing(project: &Project, housing: Housing) -> &str {
    match housing {
        Housing::In(VesselChoice::Listed(id)) => &project.stock.vessel(id).id,
        Housing::In(VesselChoice::Tank) => "tank",
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
