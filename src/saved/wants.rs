//! Kinds of vessel to look for in plan.json, both ways: the facts beside the words.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::keys::KeyFields;
use super::names::PlanReading;
use super::object::{Fault, Object, money_in};
use super::quantities::ratio;
use super::typed::{nullable, value};
use crate::collection::Display;
use crate::plan::wants::SparedTank;
use crate::plan::{Want, Wanted, WantedVessel};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::Section;
use crate::units::{Length, Money};
use crate::words;

/// What to look for, in the file. Of a round vessel length and width are its bore.
#[derive(PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum WantedFile {
    Vessel(VesselFile),
    NoMaterialAndClosure {
        fluid: String,
        #[serde(with = "ratio")]
        years: f64,
    },
    Nothing {},
}

/// A vessel to look for, in the file.
#[derive(PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct VesselFile {
    form: VesselForm,
    #[serde(with = "ratio")]
    length_mm: f64,
    #[serde(with = "ratio")]
    width_mm: f64,
    #[serde(with = "ratio")]
    height_mm: f64,
    #[serde(with = "ratio")]
    mouth_mm: f64,
    display: String,
    #[serde(deserialize_with = "nullable")]
    outer_height_limit_mm: Option<f64>,
    pieces: u32,
    fluid: String,
    #[serde(with = "ratio")]
    years: f64,
}

#[derive(Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum VesselForm {
    Round,
    Rectangular,
}

/// The tank that a vessel would make unnecessary, in the file.
#[derive(PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TankFile {
    #[serde(deserialize_with = "nullable")]
    cost: Option<String>,
}

/// A kind of vessel to look for, with the rows it would serve.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WantFile {
    rows: Vec<Value>,
    wanted: WantedFile,
    #[serde(deserialize_with = "nullable")]
    instead_of_tank: Option<TankFile>,
    text: String,
}

pub(super) fn written(project: &Project, want: &Want) -> Value {
    let specimens = &project.collection.specimens;
    value(&WantFile {
        rows: want.specimens.iter().map(|&row| value(&KeyFields(&specimens[row].key))).collect(),
        wanted: wanted_written(project, &want.wanted),
        instead_of_tank: want.instead_of.map(|tank| TankFile { cost: tank.cost.map(Money::text) }),
        text: words::want(project, want).into_owned(),
    })
}

/// What to look for as the file has it.
pub(crate) fn wanted_written(project: &Project, wanted: &Wanted) -> WantedFile {
    let id = |fluid: FluidId| project.rules.fluid(fluid).id.clone();
    match *wanted {
        Wanted::Nothing => WantedFile::Nothing {},
        Wanted::NoParts { fluid, years } => WantedFile::NoMaterialAndClosure { fluid: id(fluid), years },
        Wanted::Vessel(vessel) => {
            let (form, length, width) = match vessel.section {
                Section::Round(bore) => (VesselForm::Round, bore, bore),
                Section::Rectangular(length, width) => (VesselForm::Rectangular, length, width),
            };
            WantedFile::Vessel(VesselFile {
                form,
                length_mm: length.mm(),
                width_mm: width.mm(),
                height_mm: vessel.height.mm(),
                mouth_mm: vessel.mouth.mm(),
                display: vessel.display.name().to_owned(),
                outer_height_limit_mm: vessel.outer_height_limit.map(Length::mm),
                pieces: vessel.pieces,
                fluid: id(vessel.fluid),
                years: vessel.years,
            })
        }
    }
}

pub(super) fn read(reading: &PlanReading, want: &Object) -> Option<Want> {
    let file: WantFile = want.rest_as()?;
    let rows = file.rows.iter().enumerate().map(|(at, row)| {
        let row = Object::new(&want.at(&format!("rows[{at}]")), row, want.findings)?;
        let found = reading.row(&row);
        row.done();
        found
    });
    let rows: Vec<_> = rows.collect();
    let wanted = want.or_wrong("wanted", wanted_read(reading, file.wanted));
    let cost = |tank: TankFile| tank.cost.map(|text| money_in("cost", &text)).transpose();
    let instead_of = file.instead_of_tank.map(cost).transpose();
    let instead_of = want.or_wrong("instead_of_tank", instead_of).map(|cost| cost.map(|cost| SparedTank { cost }));
    let specimens = rows.into_iter().collect::<Option<Vec<_>>>();
    let read = Want { specimens: specimens?, wanted: wanted?, instead_of: instead_of? };
    want.derived("text", &words::want(reading.project, &read), &file.text);
    Some(read)
}

fn wanted_read(reading: &PlanReading, wanted: WantedFile) -> Result<Wanted, Fault> {
    let fluid = |id: &str| {
        let unknown = || Fault::at("fluid", format!("the rules have no fluid {id:?}"));
        reading.fluid(&json!(id)).ok_or_else(unknown)
    };
    match wanted {
        WantedFile::Nothing {} => Ok(Wanted::Nothing),
        WantedFile::NoMaterialAndClosure { fluid: id, years } => Ok(Wanted::NoParts { fluid: fluid(&id)?, years }),
        WantedFile::Vessel(vessel) => {
            let millimetres = |field: &str, mm: f64| {
                Length::new(mm).ok_or_else(|| Fault::at(field, format!("expected millimetres, found {mm}")))
            };
            let length = millimetres("length_mm", vessel.length_mm)?;
            let width = millimetres("width_mm", vessel.width_mm)?;
            let section = match vessel.form {
                VesselForm::Round if vessel.length_mm != vessel.width_mm => {
                    return Err(Fault::at("width_mm", "of a round vessel length and width are its bore"));
                }
                VesselForm::Round => Section::Round(length),
                VesselForm::Rectangular => Section::Rectangular(length, width),
            };
            let display = Display::ALL.into_iter().find(|display| display.name() == vessel.display);
            Ok(Wanted::Vessel(WantedVessel {
                section,
                height: millimetres("height_mm", vessel.height_mm)?,
                mouth: millimetres("mouth_mm", vessel.mouth_mm)?,
                display: display.ok_or_else(|| Fault::at("display", format!("unknown name {:?}", vessel.display)))?,
                outer_height_limit: vessel
                    .outer_height_limit_mm
                    .map(|limit| millimetres("outer_height_limit_mm", limit))
                    .transpose()?,
                pieces: vessel.pieces,
                fluid: fluid(&vessel.fluid)?,
                years: vessel.years,
            }))
        }
    }
}
