//! What would change the place of a lot.

use itertools::Itertools;

use super::instead::housing;
use crate::inquiry::instead::Housing;
use crate::inquiry::threshold::{ChangeExtent, Crossing, Lever, LeverValue, LotMeasure, Threshold, Tie, Way};
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::decimal;

/// What is changed: `price of jar-100`.
pub fn lever(project: &Project, lever: Lever) -> String {
    match lever {
        Lever::Budget => "budget".to_owned(),
        Lever::Price(offer) => {
            let offer = &project.stock.offers[offer];
            let pack = if offer.pack_size > 1 { format!("pack of {} ", offer.pack_size) } else { String::new() };
            format!("price of {pack}{}", project.stock.vessel(offer.vessel).id)
        }
        Lever::Pieces(vessel) => format!("free {}", project.stock.vessel(vessel).id),
        Lever::Clearance => "clearance at each wall".to_owned(),
        Lever::KeepYears => "years to keep".to_owned(),
        Lever::Measure(measure) => measured(measure).to_owned(),
    }
}

fn measured(measure: LotMeasure) -> &'static str {
    match measure {
        LotMeasure::Length => "length",
        LotMeasure::Width => "width",
        LotMeasure::Height => "height",
    }
}

/// A value with its unit; an amount of money to its last place, without the currency.
pub fn amount(amount: LeverValue) -> String {
    match amount {
        LeverValue::Money(money) => money.text(),
        LeverValue::Pieces(pieces) => pieces.to_string(),
        LeverValue::Length(length) => format!("{} mm", decimal(length.mm(), 1)),
        LeverValue::Years(years) => decimal(years, 1),
    }
}

/// Where the place changes: `118.4 mm`, or how far it is known to stay changed: `3.00 up to 9.9999`.
pub fn from(way: Way, from: LeverValue, reach: ChangeExtent) -> String {
    let from = amount(from);
    match (reach, way) {
        (ChangeExtent::Value, _) => from,
        (ChangeExtent::To(last), Way::Less) => format!("{from} down to {}", amount(last)),
        (ChangeExtent::To(last), Way::More) => format!("{from} up to {}", amount(last)),
        (ChangeExtent::All, Way::Less) => format!("{from} or less"),
        (ChangeExtent::All, Way::More) => format!("{from} or more"),
    }
}

/// What single values mean.
pub const ONE_VALUE: &str =
    "A single value: the place changes there, and just before it does not. Farther on it may change again.";

/// A value at which a plan that moves the lot is as good as one that does not: `at 1 it may wait: another plan is as good`.
pub fn tie(project: &Project, tie: &Tie) -> String {
    let may = match tie.then {
        None => "have no option".to_owned(),
        Some(Housing::Waits) => "wait".to_owned(),
        Some(place) => format!("go to {}", housing(project, place)),
    };
    format!("at {} it may {may}: another plan is as good", amount(tie.at))
}

/// The same where the place at that value is the one that the lot goes to farther on.
pub fn only_as_good(tie: &Tie) -> String {
    format!("at {} only as good", amount(tie.at))
}

/// Which vessels other than its own were tried, where any was: only the cheapest are.
pub fn others_tried(project: &Project, thresholds: &[Threshold]) -> Option<String> {
    let name = |vessel: VesselId| project.stock.vessel(vessel).id.as_str();
    let tried = |threshold: &Threshold| match (threshold.lever, threshold.way) {
        (Lever::Price(offer), Way::Less) => Some(format!("the price of {}", name(project.stock.offers[offer].vessel))),
        (Lever::Pieces(vessel), Way::More) => Some(format!("free pieces of {}", name(vessel))),
        _ => None,
    };
    let all = thresholds.iter().filter_map(tried).join(", ");
    (!all.is_empty()).then(|| format!("Of vessels that it is not in, these were tried: {all}."))
}

/// Where the lot goes then.
pub fn then(project: &Project, then: Option<Housing>) -> String {
    match then {
        None => "no vessel or tank is suitable".to_owned(),
        Some(Housing::Waits) => "it waits".to_owned(),
        Some(place) => format!("in {}", housing(project, place)),
    }
}

/// A lever that was moved without effect, to all values up to one or to that one: `budget down to 20.00`, `width at 20 mm`.
pub fn without_effect(project: &Project, threshold: &Threshold) -> Option<String> {
    let Crossing::Nowhere { tried, all, tie } = threshold.found else { return None };
    let to = match (all, threshold.way) {
        (false, _) => "at",
        (true, Way::Less) => "down to",
        (true, Way::More) => "up to",
    };
    let tie = tie.map_or_else(String::new, |tie| format!(" ({})", self::tie(project, &tie)));
    Some(format!("{} {to} {}{tie}", lever(project, threshold.lever), amount(tried)))
}
