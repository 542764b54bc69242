//! What would change the place of a lot.

use super::instead::housing;
use crate::inquiry::instead::Housing;
use crate::inquiry::threshold::{Crossing, Lever, LeverValue, LotMeasure, Threshold, Way};
use crate::project::Project;
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

/// The value from which on the place changes: `118.4 mm or less`.
pub fn from(way: Way, from: LeverValue) -> String {
    let beyond = match way {
        Way::Less => "or less",
        Way::More => "or more",
    };
    format!("{} {beyond}", amount(from))
}

/// Where the lot goes then.
pub fn then(project: &Project, then: Option<Housing>) -> String {
    match then {
        None => "no vessel or tank is suitable".to_owned(),
        Some(Housing::Waits) => "it waits".to_owned(),
        Some(place) => format!("in {}", housing(project, place)),
    }
}

/// A lever that was moved without effect: `width down to 20 mm`.
pub fn without_effect(project: &Project, threshold: &Threshold) -> Option<String> {
    let Crossing::Nowhere { tried } = threshold.found else { return None };
    let to = match threshold.way {
        Way::Less => "down to",
        Way::More => "up to",
    };
    Some(format!("{} {to} {}", lever(project, threshold.lever), amount(tried)))
}
