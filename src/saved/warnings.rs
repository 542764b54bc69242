//! Warnings, cautions and default prices in plan.json, both ways: the facts and, beside them, their words.
//!
//! Only facts are read. The words are made of them again, and must be those in the file.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::{Number, Value, json};

use super::object::{self, Fault, Object, money_in};
use super::typed::WORDS;
use super::{litres, number, typed};
use crate::fluid::cautions::FluidCaution;
use crate::plan::{Caution, DefaultPrice, Plan, Warning};
use crate::project::Project;
use crate::rules::{FluidId, HazardId};
use crate::tank::cost::TankPrice;
use crate::units::{Millilitres, Money};
use crate::words::{caution, warning};

/// A warning.
#[derive(Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
enum WarningLine {
    UnpricedTanks { tanks: usize, litres: Number, cost: String },
    Unproven { lots: usize },
    DoubtfulPair { lots: usize },
    SharedSizes { tanks: usize, sizes: usize, saved: String, litres_more: Number },
    OverBudget { by: String },
    CostlyLots { lots: Vec<CostlyLine> },
    StepsUnknown { lots: usize },
    StrengthNotKnown { lots: usize },
    FluidNotStated { lots: usize },
    Baths { lots: usize, most_days: Number },
    VeryLoose { lots: usize },
    TurnedIn { bodies: usize },
    TightCoil { lots: usize },
    Leaning { bodies: usize },
    TissueEstimated { lots: usize },
    LabelTooLarge { vessels: Vec<String> },
    TakenAsBox { lots: usize },
}

/// A lot that takes much of the budget.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CostlyLine {
    key: String,
    takes: String,
}

/// A caution.
#[derive(Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
enum CautionLine {
    // In braces: of what has none, other fields would pass.
    Formaldehyde {},
    FormaldehydeNeverWith {},
    Alcohol {},
    PouringAlcohol {},
    Denaturants {},
    Glycerol {},
    PropyleneGlycol {},
    Oil {},
    AceticAcid {},
    Chloroform {},
    Glutaraldehyde {},
    Hydrosulphite {},
    AmmoniumSalts {},
    SulphuricAcid {},
    UnknownFluid {},
    Hazard { hazard: String },
    Tanks {},
    Glass {},
    WhoDecides {},
}

/// A default price: of a fluid, or those of tanks.
#[derive(Serialize, Deserialize)]
#[serde(untagged, deny_unknown_fields, expecting = "expected `fluid` with `per_litre`, or `tank`")]
enum PriceLine {
    Fluid { fluid: String, per_litre: String },
    Tank { tank: Vec<TankPriceLine> },
}

/// A price of tanks.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum TankPriceLine {
    Glass,
    EdgeWork,
    SetUp,
    SetUpAgain,
    Sealant,
    Labour,
    Delivery,
}

/// The warnings of a plan.
pub(super) fn warnings(project: &Project, plan: &Plan) -> Vec<Value> {
    let line = |one: &Warning| with_words(&warning_line(project, one), &warning::sentence(project, one));
    plan.warnings.iter().map(line).collect()
}

/// The cautions of a plan.
pub(super) fn cautions(project: &Project, plan: &Plan) -> Vec<Value> {
    let line = |one: &Caution| with_words(&caution_line(project, *one), &caution::sentence(&project.rules, *one));
    plan.cautions.iter().map(line).collect()
}

/// The default prices of a plan.
pub(super) fn default_prices(project: &Project, plan: &Plan) -> Vec<Value> {
    let line = |one: &DefaultPrice| with_words(&price_line(project, one), &warning::default_price(project, one));
    plan.prices_not_yours.iter().map(line).collect()
}

/// A fact with its words after it.
fn with_words(line: &impl Serialize, words: &str) -> Value {
    let mut value = serde_json::to_value(line).expect("fields with names");
    value[WORDS] = json!(words);
    value
}

/// A warning, read.
pub(super) fn warning_read(project: &Project, line: &Object) -> Option<Warning> {
    fact(line, |line| warning_of(project, line), |one| warning::sentence(project, one).into_owned())
}

/// A caution, read.
pub(super) fn caution_read(project: &Project, line: &Object) -> Option<Caution> {
    fact(line, |line| caution_of(project, line), |one| caution::sentence(&project.rules, *one).into_owned())
}

/// A default price, read.
pub(super) fn default_price_read(project: &Project, line: &Object) -> Option<DefaultPrice> {
    fact(line, |line| price_of(project, line), |one| warning::default_price(project, one).into_owned())
}

/// A fact read from its fields, with the words that it has.
fn fact<L: Serialize + DeserializeOwned, F>(
    object: &Object,
    read: impl Fn(L) -> Result<F, Fault>,
    words: impl Fn(&F) -> String,
) -> Option<F> {
    object.absent_or(WORDS);
    let fields = typed::rest(object, |line: &L| serde_json::to_value(line).expect("fields with names"));
    let fact = fields.and_then(|line| object.or_wrong_here(read(line)));
    match &fact {
        Some(fact) => object.same(WORDS, &json!(words(fact))),
        None => drop(object.field(WORDS)),
    }
    fact
}

fn warning_line(project: &Project, warning: &Warning) -> WarningLine {
    match *warning {
        Warning::UnpricedTanks { tanks, fluid, cost } => {
            WarningLine::UnpricedTanks { tanks, litres: litres_number(fluid), cost: cost.text() }
        }
        Warning::Unproven { lots } => WarningLine::Unproven { lots },
        Warning::DoubtfulPair { lots } => WarningLine::DoubtfulPair { lots },
        Warning::SharedSizes { tanks, sizes, saved, more_fluid } => {
            WarningLine::SharedSizes { tanks, sizes, saved: saved.text(), litres_more: litres_number(more_fluid) }
        }
        Warning::OverBudget { by } => WarningLine::OverBudget { by: by.text() },
        Warning::StepsUnknown { lots } => WarningLine::StepsUnknown { lots },
        Warning::StrengthNotKnown { lots } => WarningLine::StrengthNotKnown { lots },
        Warning::FluidNotStated { lots } => WarningLine::FluidNotStated { lots },
        Warning::Baths { lots, most_days } => WarningLine::Baths { lots, most_days: as_number(number(most_days)) },
        Warning::VeryLoose { lots } => WarningLine::VeryLoose { lots },
        Warning::TurnedIn { bodies } => WarningLine::TurnedIn { bodies },
        Warning::TightCoil { lots } => WarningLine::TightCoil { lots },
        Warning::Leaning { bodies } => WarningLine::Leaning { bodies },
        Warning::TissueEstimated { lots } => WarningLine::TissueEstimated { lots },
        Warning::CostlyLots { ref lots } => {
            let key = |row: usize| project.collection.specimens[row].key.to_string();
            let line = |&(row, money): &(usize, Money)| CostlyLine { key: key(row), takes: money.text() };
            WarningLine::CostlyLots { lots: lots.iter().map(line).collect() }
        }
        Warning::LabelTooLarge { ref vessels } => {
            let name = |id| project.stock.vessel(id).id.clone();
            WarningLine::LabelTooLarge { vessels: vessels.iter().copied().map(name).collect() }
        }
        Warning::TakenAsBox { lots } => WarningLine::TakenAsBox { lots },
    }
}

fn warning_of(project: &Project, line: WarningLine) -> Result<Warning, Fault> {
    Ok(match line {
        WarningLine::UnpricedTanks { tanks, litres, cost } => {
            Warning::UnpricedTanks { tanks, fluid: litres_of("litres", litres)?, cost: money_in("cost", &cost)? }
        }
        WarningLine::Unproven { lots } => Warning::Unproven { lots },
        WarningLine::DoubtfulPair { lots } => Warning::DoubtfulPair { lots },
        WarningLine::SharedSizes { tanks, sizes, saved, litres_more } => Warning::SharedSizes {
            tanks,
            sizes,
            saved: money_in("saved", &saved)?,
            more_fluid: litres_of("litres_more", litres_more)?,
        },
        WarningLine::OverBudget { by } => Warning::OverBudget { by: money_in("by", &by)? },
        WarningLine::StepsUnknown { lots } => Warning::StepsUnknown { lots },
        WarningLine::StrengthNotKnown { lots } => Warning::StrengthNotKnown { lots },
        WarningLine::FluidNotStated { lots } => Warning::FluidNotStated { lots },
        WarningLine::Baths { lots, most_days } => {
            let days = most_days.as_f64().filter(|days| days.is_finite());
            Warning::Baths {
                lots,
                most_days: days.ok_or_else(|| Fault::at("most_days", format!("expected days, found {most_days}")))?,
            }
        }
        WarningLine::VeryLoose { lots } => Warning::VeryLoose { lots },
        WarningLine::TurnedIn { bodies } => Warning::TurnedIn { bodies },
        WarningLine::TightCoil { lots } => Warning::TightCoil { lots },
        WarningLine::Leaning { bodies } => Warning::Leaning { bodies },
        WarningLine::TissueEstimated { lots } => Warning::TissueEstimated { lots },
        WarningLine::CostlyLots { lots } => {
            let specimens = &project.collection.specimens;
            let read = |line: &CostlyLine| {
                let row = specimens.iter().position(|specimen| specimen.key.to_string() == line.key);
                let row = row.ok_or_else(|| Fault::at("lots", format!("the survey has no {}", line.key)))?;
                Ok((row, money_in("lots", &line.takes)?))
            };
            Warning::CostlyLots { lots: lots.iter().map(read).collect::<Result<_, _>>()? }
        }
        WarningLine::LabelTooLarge { vessels } => {
            let named = |name: &String| {
                project
                    .stock
                    .vessel_named(name)
                    .ok_or_else(|| Fault::at("vessels", format!("the stock list has no {name}")))
            };
            Warning::LabelTooLarge { vessels: vessels.iter().map(named).collect::<Result<_, _>>()? }
        }
        WarningLine::TakenAsBox { lots } => Warning::TakenAsBox { lots },
    })
}

fn caution_line(project: &Project, caution: Caution) -> CautionLine {
    match caution {
        Caution::Fluid(caution) => match caution {
            FluidCaution::Formaldehyde => CautionLine::Formaldehyde {},
            FluidCaution::FormaldehydeNeverWith => CautionLine::FormaldehydeNeverWith {},
            FluidCaution::Alcohol => CautionLine::Alcohol {},
            FluidCaution::PouringAlcohol => CautionLine::PouringAlcohol {},
            FluidCaution::Denaturants => CautionLine::Denaturants {},
            FluidCaution::Glycerol => CautionLine::Glycerol {},
            FluidCaution::PropyleneGlycol => CautionLine::PropyleneGlycol {},
            FluidCaution::Oil => CautionLine::Oil {},
            FluidCaution::AceticAcid => CautionLine::AceticAcid {},
            FluidCaution::Chloroform => CautionLine::Chloroform {},
            FluidCaution::Glutaraldehyde => CautionLine::Glutaraldehyde {},
            FluidCaution::Hydrosulphite => CautionLine::Hydrosulphite {},
            FluidCaution::AmmoniumSalts => CautionLine::AmmoniumSalts {},
            FluidCaution::SulphuricAcid => CautionLine::SulphuricAcid {},
        },
        Caution::UnknownFluid => CautionLine::UnknownFluid {},
        Caution::Hazard(hazard) => CautionLine::Hazard { hazard: project.rules.hazards.get(hazard).id.clone() },
        Caution::Tanks => CautionLine::Tanks {},
        Caution::Glass => CautionLine::Glass {},
        Caution::WhoDecides => CautionLine::WhoDecides {},
    }
}

fn caution_of(project: &Project, line: CautionLine) -> Result<Caution, Fault> {
    Ok(Caution::Fluid(match line {
        CautionLine::UnknownFluid {} => return Ok(Caution::UnknownFluid),
        CautionLine::Hazard { hazard } => return Ok(Caution::Hazard(hazard_named(project, &hazard)?)),
        CautionLine::Tanks {} => return Ok(Caution::Tanks),
        CautionLine::Glass {} => return Ok(Caution::Glass),
        CautionLine::WhoDecides {} => return Ok(Caution::WhoDecides),
        CautionLine::Formaldehyde {} => FluidCaution::Formaldehyde,
        CautionLine::FormaldehydeNeverWith {} => FluidCaution::FormaldehydeNeverWith,
        CautionLine::Alcohol {} => FluidCaution::Alcohol,
        CautionLine::PouringAlcohol {} => FluidCaution::PouringAlcohol,
        CautionLine::Denaturants {} => FluidCaution::Denaturants,
        CautionLine::Glycerol {} => FluidCaution::Glycerol,
        CautionLine::PropyleneGlycol {} => FluidCaution::PropyleneGlycol,
        CautionLine::Oil {} => FluidCaution::Oil,
        CautionLine::AceticAcid {} => FluidCaution::AceticAcid,
        CautionLine::Chloroform {} => FluidCaution::Chloroform,
        CautionLine::Glutaraldehyde {} => FluidCaution::Glutaraldehyde,
        CautionLine::Hydrosulphite {} => FluidCaution::Hydrosulphite,
        CautionLine::AmmoniumSalts {} => FluidCaution::AmmoniumSalts,
        CautionLine::SulphuricAcid {} => FluidCaution::SulphuricAcid,
    }))
}

fn price_line(project: &Project, price: &DefaultPrice) -> PriceLine {
    match price {
        DefaultPrice::Fluid(id) => {
            let fluid = project.rules.fluid(*id);
            PriceLine::Fluid { fluid: fluid.id.clone(), per_litre: fluid.price.text() }
        }
        DefaultPrice::Tank(prices) => {
            let line = |price: &TankPrice| match price {
                TankPrice::Glass => TankPriceLine::Glass,
                TankPrice::EdgeWork => TankPriceLine::EdgeWork,
                TankPrice::SetUp => TankPriceLine::SetUp,
                TankPrice::SetUpAgain => TankPriceLine::SetUpAgain,
                TankPrice::Sealant => TankPriceLine::Sealant,
                TankPrice::Labour => TankPriceLine::Labour,
                TankPrice::Delivery => TankPriceLine::Delivery,
            };
            PriceLine::Tank { tank: prices.iter().map(line).collect() }
        }
    }
}

fn price_of(project: &Project, line: PriceLine) -> Result<DefaultPrice, Fault> {
    match line {
        PriceLine::Fluid { fluid, per_litre } => {
            let id = project.rules.fluids.iter().position(|own| own.id == fluid);
            let id = id.ok_or_else(|| Fault::at("fluid", format!("expected a fluid, found {fluid:?}")))?;
            let id = FluidId::at(id);
            let own = project.rules.fluid(id).price.text();
            if per_litre != own {
                return Err(Fault::at("per_litre", format!("the project has {own:?}, found {per_litre:?}")));
            }
            Ok(DefaultPrice::Fluid(id))
        }
        PriceLine::Tank { tank } => {
            let price = |line| match line {
                TankPriceLine::Glass => TankPrice::Glass,
                TankPriceLine::EdgeWork => TankPrice::EdgeWork,
                TankPriceLine::SetUp => TankPrice::SetUp,
                TankPriceLine::SetUpAgain => TankPrice::SetUpAgain,
                TankPriceLine::Sealant => TankPrice::Sealant,
                TankPriceLine::Labour => TankPrice::Labour,
                TankPriceLine::Delivery => TankPrice::Delivery,
            };
            Ok(DefaultPrice::Tank(tank.into_iter().map(price).collect()))
        }
    }
}

fn hazard_named(project: &Project, id: &str) -> Result<HazardId, Fault> {
    let found = project.rules.hazards.all().find(|(_, hazard)| hazard.id == id);
    found.map(|(id, _)| id).ok_or_else(|| Fault::at("hazard", format!("expected a hazard, found {id:?}")))
}

fn litres_of(field: &'static str, found: Number) -> Result<Millilitres, Fault> {
    let found = Value::Number(found);
    object::litres(&found).ok_or_else(|| Fault::at(field, format!("expected litres to the millilitre, found {found}")))
}

fn litres_number(amount: Millilitres) -> Number {
    as_number(litres(amount))
}

/// A number, which is written as one.
fn as_number(value: Value) -> Number {
    match value {
        Value::Number(number) => number,
        _ => Number::from(0),
    }
}
