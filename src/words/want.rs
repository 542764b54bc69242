//! The kinds of vessel to look for, in words.

use std::borrow::Cow;

use super::spoken;
use crate::collection::{Display, Specimen};
use crate::plan::wants::PartsThatServe;
use crate::plan::{Want, Wanted, WantedVessel, wants};
use crate::project::Project;
use crate::stock::Section;
use crate::units::decimal;

/// A want of a plan, in a sentence.
pub fn want(project: &Project, want: &Want) -> Cow<'static, str> {
    let vessel = match &want.wanted {
        Wanted::Vessel(vessel) => at_least(project, vessel),
        Wanted::NoParts { fluid, years } => format!(
            "no material and closure in the rules suit {} for {} years: review the years or the fluid",
            project.rules.fluid(*fluid).id,
            decimal(*years, 1)
        ),
        Wanted::Nothing => "no suitable size of vessel was found: check the sizes, tissue_ml, mass_g, max_vessels and \
                            max_outer_height_mm of the row"
            .to_owned(),
    };
    let Some(tank) = want.instead_of else { return spoken(vessel) };
    let currency = &project.settings.currency;
    let before = match tank.cost {
        Some(cost) if currency.is_empty() => format!("paying {} for a tank", cost.on_screen()),
        Some(cost) => format!("paying {} {currency} for a tank", cost.on_screen()),
        None => "having a tank priced".to_owned(),
    };
    spoken(format!("{} would also do: ask for one before {before}", format_args!("A jar of {vessel}")))
}

/// A vessel to look for: "at least 60 × 90 mm inside (round), mouth 50 mm, …".
pub fn wanted_vessel(project: &Project, vessel: &WantedVessel) -> Cow<'static, str> {
    spoken(at_least(project, vessel))
}

/// The vessel to look for, for a row that is very loose in its vessel; empty if no vessel would be suitable.
pub fn smaller_vessel(project: &Project, specimen: &Specimen) -> Cow<'static, str> {
    if !specimen.particulars.must_use.is_empty() {
        return spoken("no other: this vessel is required");
    }
    wants::wanted(project, specimen).map_or(Cow::Borrowed(""), |vessel| wanted_vessel(project, &vessel))
}

fn at_least(project: &Project, vessel: &WantedVessel) -> String {
    let height = vessel.height.mm();
    let mut words = match vessel.section {
        Section::Rectangular(length, width) => format!(
            "at least {} × {} × {height} mm inside (rectangular), open over its whole width",
            length.mm(),
            width.mm()
        ),
        Section::Round(bore) => {
            format!("at least {} × {height} mm inside (round), mouth {} mm", bore.mm(), vessel.mouth.mm())
        }
    };
    words.push_str(match vessel.display {
        Display::Flat => ", clear with flat faces",
        Display::No => "",
        _ => ", clear",
    });
    if let Some(limit) = vessel.outer_height_limit {
        words.push_str(&format!(", at most {} mm high outside", decimal(limit.mm(), 1)));
    }
    if vessel.pieces > 1 {
        words.push_str(&format!(", {} of them", vessel.pieces));
    }
    let fluid = &project.rules.fluid(vessel.fluid).id;
    words + &format!(", for {fluid}, lasting {} years{}", decimal(vessel.years, 1), parts(project, vessel))
}

/// The suitable materials and closures, if not all common ones are suitable.
fn parts(project: &Project, vessel: &WantedVessel) -> String {
    let PartsThatServe { materials, closures } = PartsThatServe::of(project, vessel);
    let materials = materials.iter().map(|id| project.rules.material(*id).id.as_str()).collect();
    let closures = closures.iter().map(|id| project.rules.closure(*id).id.as_str()).collect();
    let named =
        [("material", materials), ("closure", closures)].into_iter().filter_map(|(what, ids): (_, Vec<&str>)| {
            let more = ids.len().saturating_sub(MOST_PARTS);
            let more = match more {
                0 => String::new(),
                1 => " (or 1 other that the rules allow)".to_owned(),
                more => format!(" (or {more} others that the rules allow)"),
            };
            let ids = &ids[..ids.len().min(MOST_PARTS)];
            (!ids.is_empty()).then(|| format!("{what}: {}{more}", ids.join(", ")))
        });
    let named: Vec<String> = named.collect();
    if named.is_empty() { String::new() } else { format!("; {}", named.join("; ")) }
}

/// Largest number of materials or closures named.
const MOST_PARTS: usize = 6;
