//! The reasons of placements in words.

use std::borrow::Cow;

use super::{refusal, spoken, tank};
use crate::collection::{Hold, Specimen};
use crate::options::table::{NearMiss, Unknown};
use crate::options::tank::NoTank;
use crate::plan::answers::to_hundredths;
use crate::plan::{Outcome, Placement, Reason, Wait, WaitCause};
use crate::project::Project;
use crate::units::Money;

/// The reason of a placement, in a sentence.
pub fn reason(project: &Project, placement: &Placement) -> Cow<'static, str> {
    let specimen = &project.collection.specimens[placement.specimen];
    let nearest = || match placement.near_miss.as_deref() {
        Some(miss) => format!("; nearest {}", near_miss(project, miss)),
        None => String::new(),
    };
    let words = match &placement.reason {
        Reason::Vessel { suitable } => in_vessel(placement.outcome, *suitable),
        Reason::TankRequired => "a custom tank is required".to_owned(),
        Reason::TankOnly => format!("no listed vessel is suitable{}", nearest()),
        Reason::TankCheapest { suitable } => {
            format!("a custom tank gives the least cost over the whole plan; {suitable} kinds of vessel are suitable")
        }
        Reason::Waits(wait) => waits(project, wait),
        Reason::Unknown(unknown) => test_or_measure(*unknown).to_owned(),
        Reason::NoOption(no_tank) => format!("{}{}", no_option(no_tank.as_deref()), nearest()),
        Reason::RequiredVesselRefused(miss) => {
            format!("{} is required: {}", project.stock.vessel(miss.0).id, refusal::refusal(&miss.1))
        }
        Reason::RequiredTankRefused(no_tank) => {
            format!("a custom tank is required: {}", why_no_tank(no_tank.as_deref()))
        }
        Reason::Held(hold) => held(project, specimen, *hold),
    };
    spoken(words)
}

fn in_vessel(outcome: Outcome, suitable: u32) -> String {
    let from = if outcome == Outcome::OnHand { "from the shelf" } else { "to be ordered" };
    match suitable {
        1 => format!("the only suitable vessel; {from}"),
        n => format!("least cost over the whole plan; {from}; {n} kinds of vessel are suitable"),
    }
}

fn waits(project: &Project, wait: &Wait) -> String {
    let suitable = match wait.suitable {
        0 => "a custom tank would be suitable".to_owned(),
        1 => "1 kind of vessel is suitable".to_owned(),
        n => format!("{n} kinds of vessel are suitable"),
    };
    let currency = match project.settings.currency.as_str() {
        "" => String::new(),
        named => format!(" {named}"),
    };
    let why = match wait.cause {
        WaitCause::Money { by_itself, left, unspent } => {
            let stays = |unspent: Money| {
                format!("; {} of the budget will remain after fluid is bought in whole containers", unspent.on_screen())
            };
            format!(
                "waits: by itself it takes {}{currency} more; {} of the budget is left{}",
                to_hundredths(by_itself).on_screen(),
                left.on_screen(),
                unspent.map_or(String::new(), stays)
            )
        }
        WaitCause::BudgetOrTerms => "waits: the budget, the suppliers' terms or a limit leaves no room".to_owned(),
        WaitCause::Terms => "waits: the suppliers' terms, spare pieces or a limit leaves no room".to_owned(),
        WaitCause::Limits => "waits: the limits allow no further kind of vessel or supplier".to_owned(),
        WaitCause::Stock => "waits: every suitable piece is taken, and no more can be ordered".to_owned(),
    };
    format!("{why}; {suitable}")
}

/// What is unknown, and how to find it out.
fn test_or_measure(unknown: Unknown) -> &'static str {
    match unknown {
        Unknown::Fluid => "fluid unknown: test first",
        Unknown::PresentFluid => "present fluid unknown: test first",
        Unknown::Size => "size unknown: measure first",
    }
}

/// The reason of a row with no suitable vessel and no `must_use`.
fn no_option(no_tank: Option<&NoTank>) -> String {
    match no_tank {
        Some(NoTank::TooSmall) => "no listed vessel is suitable; too small for a tank".to_owned(),
        Some(NoTank::NotMeasured) => "no listed vessel is as large as its present one: measure it".to_owned(),
        Some(NoTank::Refused(_)) => format!("no listed vessel is suitable, nor a tank: {}", why_no_tank(no_tank)),
        Some(NoTank::Beyond(_)) => format!("no listed vessel is suitable, nor a glass tank: {}", why_no_tank(no_tank)),
        None => "no listed vessel is suitable".to_owned(),
    }
}

/// Why no tank is made.
pub fn why_no_tank(no_tank: Option<&NoTank>) -> String {
    match no_tank {
        Some(NoTank::TooSmall) => "too small for a tank".to_owned(),
        Some(NoTank::Refused(refusal)) => refusal::refusal(refusal).into_owned(),
        Some(NoTank::Beyond(beyond)) => tank::refusals::beyond(beyond).to_string(),
        Some(NoTank::NotMeasured) | None => "measure it first".to_owned(),
    }
}

/// The nearest vessel with its refusal: `J-07: 6 mm too low`.
pub fn near_miss(project: &Project, (vessel, refusal): &NearMiss) -> String {
    format!("{}: {}", project.stock.vessel(*vessel).id, refusal::refusal(refusal))
}

/// Why a lot is not to be moved.
pub fn held(project: &Project, specimen: &Specimen, hold: Hold) -> String {
    match hold {
        Hold::Stated => format!("hold: {}", specimen.particulars.hold.as_deref().unwrap_or_default()),
        Hold::Hazard(id) => format!("{}: not moved; call a specialist", project.rules.hazards.get(id).spoken()),
        Hold::Disposition => format!("disposition: {}", specimen.particulars.disposition.trim()),
    }
}
