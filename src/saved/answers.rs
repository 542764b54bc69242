//! The answers to the planner's questions in plan.json, both ways: what is changed, the money that the budget counts, the levels as those
//! of the plan, and what differs from the plan: `others`, lots that go elsewhere (`vessel` is `@tank` for a tank and `null` for
//! a lot that waits), and `packs`, offers of which another number is bought.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::certificate::KeyOrder;
use super::keys::Keyed;
use super::names::PlanReading;
use super::object::{Object, whole};
use super::quantities::{money, status};
use super::typed::{self, nullable};
use super::{levels, orders};
use crate::collection::{Key, VesselChoice};
use crate::decision::Status;
use crate::plan::answers::{Housing, OtherPlace, PlanAnswer, PlanChange};
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::Money;

/// An answer. Its lists are read item by item.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct AnswerFile {
    change: ChangeFile,
    #[serde(with = "money")]
    money: Money,
    deferred: [i64; 4],
    #[serde(with = "status")]
    status: Status,
    levels: Vec<Value>,
    others: Vec<Value>,
    packs: Vec<Value>,
}

/// What is changed.
#[derive(Serialize, Deserialize)]
#[serde(tag = "of", rename_all = "kebab-case", deny_unknown_fields)]
enum ChangeFile {
    UpToPriority {
        priority: u8,
    },
    Budget {
        #[serde(with = "money")]
        budget: Money,
    },
    MostKinds {
        #[serde(deserialize_with = "nullable")]
        most: Option<u32>,
    },
    MostSuppliers {
        #[serde(deserialize_with = "nullable")]
        most: Option<u32>,
    },
    NextBudget {
        #[serde(with = "money")]
        budget: Money,
    },
    LitreWeight {
        #[serde(with = "money")]
        weight: Money,
    },
    Waits(KeyFile),
    Without {
        vessel: String,
    },
    FreePiece {
        vessel: String,
    },
}

/// The key of a lot.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct KeyFile {
    #[serde(rename = "catalogNumber")]
    catalog_number: String,
    #[serde(rename = "institutionCode", default, skip_serializing_if = "String::is_empty")]
    institution: String,
    #[serde(rename = "collectionCode", default, skip_serializing_if = "String::is_empty")]
    collection: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    part: String,
}

impl ChangeFile {
    fn of(project: &Project, change: PlanChange) -> Self {
        let vessel = |id: VesselId| project.stock.vessel(id).id.clone();
        match change {
            PlanChange::UpToPriority(priority) => ChangeFile::UpToPriority { priority },
            PlanChange::Budget(budget) => ChangeFile::Budget { budget },
            PlanChange::MostKinds(most) => ChangeFile::MostKinds { most },
            PlanChange::MostSuppliers(most) => ChangeFile::MostSuppliers { most },
            PlanChange::NextBudget(budget) => ChangeFile::NextBudget { budget },
            PlanChange::LitreWeight(weight) => ChangeFile::LitreWeight { weight },
            PlanChange::Waits(row) => {
                let Key { catalog_number, institution, collection, part } =
                    project.collection.specimens[row].key.clone();
                ChangeFile::Waits(KeyFile { catalog_number, institution, collection, part })
            }
            PlanChange::Without(id) => ChangeFile::Without { vessel: vessel(id) },
            PlanChange::FreePiece(id) => ChangeFile::FreePiece { vessel: vessel(id) },
        }
    }

    /// What is changed; the name of a lot or vessel that the project does not have.
    fn change(self, reading: &PlanReading) -> Result<PlanChange, String> {
        let vessel = |id: &str| {
            let found = reading.project.stock.vessel_named(id);
            found.ok_or_else(|| format!("the stock list has no vessel {id}"))
        };
        Ok(match self {
            ChangeFile::UpToPriority { priority } => PlanChange::UpToPriority(priority),
            ChangeFile::Budget { budget } => PlanChange::Budget(budget),
            ChangeFile::MostKinds { most } => PlanChange::MostKinds(most),
            ChangeFile::MostSuppliers { most } => PlanChange::MostSuppliers(most),
            ChangeFile::NextBudget { budget } => PlanChange::NextBudget(budget),
            ChangeFile::LitreWeight { weight } => PlanChange::LitreWeight(weight),
            ChangeFile::Waits(KeyFile { catalog_number, institution, collection, part }) => {
                let key = Key { catalog_number, institution, collection, part };
                let row = reading.rows.get(&key).copied();
                PlanChange::Waits(row.ok_or_else(|| format!("the survey has no row {key}"))?)
            }
            ChangeFile::Without { vessel: id } => PlanChange::Without(vessel(&id)?),
            ChangeFile::FreePiece { vessel: id } => PlanChange::FreePiece(vessel(&id)?),
        })
    }
}

/// Where a lot goes, after its key.
#[derive(Serialize)]
struct OtherPlaceFile<'a> {
    vessel: Option<&'a str>,
}

const VESSEL: &str = "vessel";
const PACKS: &str = "packs";
const TANK: &str = "@tank";

pub(super) fn written(project: &Project, order: &KeyOrder, answer: &PlanAnswer) -> Value {
    let other = |other: &OtherPlace| {
        let vessel = match other.to {
            Housing::In(VesselChoice::Listed(id)) => Some(project.stock.vessel(id).id.as_str()),
            Housing::In(VesselChoice::Tank) => Some(TANK),
            Housing::Waits => None,
        };
        let key = &project.collection.specimens[other.specimen].key;
        typed::value(&Keyed::new(key, OtherPlaceFile { vessel }))
    };
    let packs =
        |(offer, packs): &(usize, i64)| typed::followed(orders::offer_named(project, *offer), &json!({PACKS: packs}));
    typed::value(&AnswerFile {
        change: ChangeFile::of(project, answer.change),
        money: answer.money,
        deferred: answer.deferred,
        status: answer.status,
        levels: answer.levels.iter().map(|level| levels::written(project, order, level)).collect(),
        others: answer.others.iter().map(other).collect(),
        packs: answer.packs.iter().map(packs).collect(),
    })
}

impl PlanReading<'_> {
    pub(super) fn answer(&self, order: &KeyOrder, answer: &Object) -> Option<PlanAnswer> {
        let file: AnswerFile = answer.rest_as()?;
        let levels = each(answer, "levels", &file.levels, |level| levels::read(self.project, order, level));
        let others = each(answer, "others", &file.others, |other| self.elsewhere(other));
        let packs = each(answer, PACKS, &file.packs, |line| {
            let offer = self.offer(line);
            Some((offer?, line.read(PACKS, "a whole number", whole)?))
        });
        let change = file.change.change(self).map_err(|wrong| answer.wrong("change", wrong)).ok();
        Some(PlanAnswer {
            change: change?,
            money: file.money,
            deferred: file.deferred,
            status: file.status,
            levels: levels?,
            others: others?,
            packs: packs?,
        })
    }

    fn elsewhere(&self, other: &Object) -> Option<OtherPlace> {
        let specimen = self.row(other);
        let to = other.read(VESSEL, "a vessel of the stock list, @tank or null", |value| match value {
            Value::Null => Some(Housing::Waits),
            Value::String(tank) if tank == TANK => Some(Housing::In(VesselChoice::Tank)),
            id => self.vessel(id).map(|id| Housing::In(VesselChoice::Listed(id))),
        });
        Some(OtherPlace { specimen: specimen?, to: to? })
    }
}

/// What is made of each object of a list of an answer; `None` if any fails.
fn each<T>(answer: &Object, list: &str, items: &[Value], read: impl Fn(&Object) -> Option<T>) -> Option<Vec<T>> {
    let made = items.iter().enumerate().map(|(at, item)| {
        let object = Object::new(&answer.at(&format!("{list}[{at}]")), item, answer.findings)?;
        let made = read(&object);
        object.done();
        made
    });
    // All are read, so that all that is wrong is found.
    made.collect::<Vec<_>>().into_iter().collect()
}
