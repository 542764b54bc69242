//! What differs between two survey rows of one lot, by column. A blank cell has the value that the settings give it.

use std::collections::BTreeMap;

use super::InputValue;
use crate::collection::{Display, Outline, Particulars, Posture, Size, Specimen, Tissue, VesselChoice};
use crate::project::Project;

/// A column of the survey in which two rows of a lot differ.
#[derive(Clone, Debug, PartialEq)]
pub struct ColumnChange<'a> {
    /// Its header.
    pub column: &'a str,
    /// Whether the decision reads it. The others are for people and for papers.
    pub decides: bool,
    /// The value in the old row.
    pub old: InputValue,
    /// The value in the new one.
    pub new: InputValue,
}

/// A row of the survey with its project.
#[derive(Clone, Copy)]
pub struct SurveyRow<'a> {
    /// The project.
    pub project: &'a Project,
    /// The row.
    pub specimen: &'a Specimen,
}

/// The columns that differ, in the order of the survey's columns; carried ones last.
pub fn changed_columns<'a>(old: SurveyRow<'a>, new: SurveyRow<'a>) -> Vec<ColumnChange<'a>> {
    let mut found = ColumnsFound(Vec::new());
    sizes(old, new, &mut found);
    what_it_is(old.specimen, new.specimen, &mut found);
    fluids(old, new, &mut found);
    particulars(old, new, &mut found);
    carried(old, new, &mut found);
    found.0
}

/// Columns that differ.
struct ColumnsFound<'a>(Vec<ColumnChange<'a>>);

impl<'a> ColumnsFound<'a> {
    fn compare<T: PartialEq + Into<InputValue>>(&mut self, column: &'a str, decides: bool, old: T, new: T) {
        if old != new {
            self.0.push(ColumnChange { column, decides, old: old.into(), new: new.into() });
        }
    }

    /// A column that the decision reads.
    fn decisive<T: PartialEq + Into<InputValue>>(&mut self, column: &'a str, old: T, new: T) {
        self.compare(column, true, old, new);
    }

    /// A column for people and papers.
    fn plain<T: PartialEq + Into<InputValue>>(&mut self, column: &'a str, old: T, new: T) {
        self.compare(column, false, old, new);
    }
}

fn sizes<'a>(old: SurveyRow<'a>, new: SurveyRow<'a>, found: &mut ColumnsFound<'a>) {
    let sides = |row: SurveyRow| match row.specimen.size {
        Size::Measured(envelope) => [envelope.length, envelope.width, envelope.height].map(Some),
        Size::LikeForLike(_) | Size::Unknown => [None; 3],
    };
    let (was, is) = (sides(old), sides(new));
    for (at, column) in ["length_mm", "width_mm", "height_mm"].into_iter().enumerate() {
        found.decisive(column, was[at], is[at]);
    }
}

/// All of the row itself but its size, its fluids and what the settings give it.
fn what_it_is<'a>(old: &'a Specimen, new: &'a Specimen, found: &mut ColumnsFound<'a>) {
    // Taken apart, so that the compiler asks about a new column.
    let Specimen {
        key: _,
        line: _,
        name,
        individuals,
        size: _,
        outline,
        outline_stated: _,
        posture,
        tissue,
        fluid: _,
        current_fluid: _,
        section_give,
        keep_years: _,
        display,
        priority,
        max_vessels,
        location,
        particulars: _,
    } = old;
    let tissue_of = |tissue: Tissue| match tissue {
        Tissue::Volume(volume) => (Some(volume.ml()), None),
        Tissue::Mass(mass) => (None, Some(mass.g())),
        Tissue::Unknown => (None, None),
    };
    let (was, is) = (tissue_of(*tissue), tissue_of(new.tissue));
    found.plain("scientificName", name.as_str(), new.name.as_str());
    found.decisive("individualCount", *individuals, new.individuals);
    found.decisive("outline", outline_name(*outline), outline_name(new.outline));
    found.decisive("posture", posture_name(*posture), posture_name(new.posture));
    found.decisive("tissue_ml", was.0, is.0);
    found.decisive("mass_g", was.1, is.1);
    found.decisive("priority", *priority, new.priority);
    found.decisive("section_give_pct", section_give * 100.0, new.section_give * 100.0);
    found.decisive("display", Display::name(*display), Display::name(new.display));
    found.decisive("max_vessels", *max_vessels, new.max_vessels);
    found.plain("location", location.as_str(), new.location.as_str());
}

fn fluids<'a>(old: SurveyRow<'a>, new: SurveyRow<'a>, found: &mut ColumnsFound<'a>) {
    let kept = |row: SurveyRow<'a>| row.project.rules.fluid(row.specimen.fluid).id.as_str();
    let present =
        |row: SurveyRow<'a>| row.specimen.current_fluid.map_or("", |fluid| row.project.rules.fluid(fluid).id.as_str());
    found.decisive("fluid", kept(old), kept(new));
    found.decisive("current_fluid", present(old), present(new));
    let years = |row: SurveyRow| row.specimen.keep_years;
    // A blank cell takes the setting `keep_years`. If both rows have the value of their settings, any difference is one of the
    // settings and not of the row.
    let of_settings = |row: SurveyRow| row.project.settings.keep_years.0 == years(row);
    if !(of_settings(old) && of_settings(new)) {
        found.decisive("keep_years", years(old), years(new));
    }
}

fn particulars<'a>(old: SurveyRow<'a>, new: SurveyRow<'a>, found: &mut ColumnsFound<'a>) {
    let (was, is) = (&*old.specimen.particulars, &*new.specimen.particulars);
    // Taken apart, so that the compiler asks about a new column. Known hazards follow from the words and the fluids.
    let Particulars {
        body_factor,
        current_strength_pct,
        current_fluid_ml,
        tank_quote,
        must_use,
        must_not_use,
        clearance,
        max_outer_height,
        hazards,
        known_hazards: _,
        hold,
        disposition,
        current_vessel,
        current_material,
        current_closure,
        event,
        type_status,
        carried: _,
    } = was;
    let choices = |project: &Project, choices: &[VesselChoice]| -> String {
        let name = |choice: &VesselChoice| match choice {
            VesselChoice::Listed(id) => project.stock.vessel(*id).id.clone(),
            VesselChoice::Tank => "@tank".to_owned(),
        };
        choices.iter().map(name).collect::<Vec<_>>().join("|")
    };
    found.decisive("body_factor", *body_factor, is.body_factor);
    found.decisive("current_strength_pct", *current_strength_pct, is.current_strength_pct);
    let ml = |volume: Option<crate::units::Volume>| volume.map(crate::units::Volume::ml);
    found.decisive("current_fluid_ml", ml(*current_fluid_ml), ml(is.current_fluid_ml));
    found.decisive("tank_quote", *tank_quote, is.tank_quote);
    found.decisive("must_use", choices(old.project, must_use), choices(new.project, &is.must_use));
    found.decisive("must_not_use", choices(old.project, must_not_use), choices(new.project, &is.must_not_use));
    found.decisive("clearance_mm", *clearance, is.clearance);
    found.decisive("max_outer_height_mm", *max_outer_height, is.max_outer_height);
    found.decisive("hazard", hazards.join("|"), is.hazards.join("|"));
    found.decisive("hold", hold.as_deref(), is.hold.as_deref());
    found.decisive("disposition", disposition.as_str(), is.disposition.as_str());
    let is_size = [old, new].iter().any(|row| matches!(row.specimen.size, Size::LikeForLike(_)));
    found.compare("current_vessel", is_size, current_vessel.as_str(), is.current_vessel.as_str());
    found.plain("current_material", current_material.as_str(), is.current_material.as_str());
    found.plain("current_closure", current_closure.as_str(), is.current_closure.as_str());
    found.plain("eventID", event.as_str(), is.event.as_str());
    found.plain("typeStatus", type_status.as_str(), is.type_status.as_str());
}

/// Columns that are only carried through, matched by header; a survey without the column has blank cells.
fn carried<'a>(old: SurveyRow<'a>, new: SurveyRow<'a>, found: &mut ColumnsFound<'a>) {
    let cells = |row: SurveyRow<'a>| -> BTreeMap<&'a str, &'a str> {
        let headers = row.project.collection.carried_headers.iter().map(String::as_str);
        headers.zip(row.specimen.particulars.carried.iter().map(String::as_str)).collect()
    };
    if old.project.collection.carried_headers == new.project.collection.carried_headers
        && old.specimen.particulars.carried == new.specimen.particulars.carried
    {
        return;
    }
    let (was, is) = (cells(old), cells(new));
    let mut headers: Vec<&str> = was.keys().chain(is.keys()).copied().collect();
    headers.sort_unstable();
    headers.dedup();
    for header in headers {
        let cell = |cells: &BTreeMap<&str, &'a str>| cells.get(header).copied().unwrap_or_default();
        found.plain(header, cell(&was), cell(&is));
    }
}

fn outline_name(outline: Outline) -> &'static str {
    match outline {
        Outline::Box => "box",
        Outline::Rounded => "rounded",
    }
}

fn posture_name(posture: Posture) -> &'static str {
    match posture {
        Posture::AsSet => "as-set",
        Posture::Upright => "upright",
        Posture::Either => "either",
        Posture::Any => "any",
        Posture::Coil => "coil",
    }
}
