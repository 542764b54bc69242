//! `plan.json` read back: every claim, with ids and keys resolved against the project.

use serde::Deserialize;
use serde_json::{Value, json};

use super::certificate::{self, KeyOrder};
use super::fluids;
use super::names::{PlanReading, named};
use super::object::{Object, ROOT, ReadFindings, count, litres, money, number, text, whole};
use super::whole::{self, PlacementRows};
use super::{BENCH_RECORD, Listed, SCHEMA, gap, tanks, totals, wants, warnings};
use crate::decision::{Aim, Level, Proof, Status};
use crate::plan::{Placement, Plan};
use crate::project::Project;
use crate::units::Money;

/// The plan that a `plan.json` states, for the project it was made from.
///
/// # Errors
/// All that is unknown, missing, of the wrong type or superfluous, each with its path (`placements[3].vessel: …`).
pub fn from_json(project: &Project, bytes: &[u8]) -> Result<Plan, Vec<String>> {
    let reading = PlanReading::new(project);
    let (findings, of_rows) = (ReadFindings::default(), ReadFindings::default());
    let (value, rows) = whole::read(bytes, &|path, row| {
        let row = Object::new(path, row, &of_rows)?;
        let made = reading.placement(&row);
        row.done();
        made
    })?;
    let plan = Object::new(ROOT, &value, &findings).and_then(|whole| reading.plan(&whole, rows, of_rows));
    let findings = findings.into_inner();
    match plan {
        Some(plan) if findings.is_empty() => Ok(plan),
        _ => Err(findings),
    }
}

/// The files that a `plan.json` lists. Needs no project.
///
/// # Errors
/// What is wrong with the list.
pub fn files(bytes: &[u8]) -> Result<Vec<Listed>, Vec<String>> {
    let (value, _) = whole::read(bytes, &|_, _| Some(()))?;
    let findings = ReadFindings::default();
    let listed = Object::new(ROOT, &value, &findings).and_then(|whole| {
        whole.same("schema", &json!(SCHEMA));
        file_list(&whole)
    });
    let findings = findings.into_inner();
    match listed {
        Some(listed) if findings.is_empty() => Ok(listed),
        _ => Err(findings),
    }
}

/// The version of this program that a `plan.json` says it was written by, if it says so.
pub fn version(bytes: &[u8]) -> Option<String> {
    #[derive(Deserialize)]
    struct Stamped {
        program: Program,
    }
    #[derive(Deserialize)]
    struct Program {
        version: String,
    }
    serde_json::from_slice::<Stamped>(bytes).ok().map(|stamped| stamped.program.version)
}

fn file_list(whole: &Object) -> Option<Vec<Listed>> {
    whole.objects("files", |file| {
        let name = file.read("name", "text", text);
        if name == Some(BENCH_RECORD) {
            return Some((BENCH_RECORD.to_owned(), None));
        }
        let hex = |value: &Value| text(value).filter(|digest| is_sha256(digest)).map(str::to_owned);
        let digest = file.read("sha256", "64 hexadecimal digits in lower case", hex);
        Some((name?.to_owned(), Some(digest?)))
    })
}

fn is_sha256(digest: &str) -> bool {
    digest.len() == 64 && digest.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
}

impl PlanReading<'_> {
    /// The plan, with the rows that were read before and what was found wrong with them.
    fn plan(&self, whole: &Object, rows: PlacementRows<Placement>, of_rows: ReadFindings) -> Option<Plan> {
        whole.same("schema", &json!(SCHEMA));
        if let Some(program) = whole.object("program") {
            program.same("name", &json!(env!("CARGO_PKG_NAME")));
            program.read("version", "text", text);
            program.done();
        }
        let status = whole.read("status", "a status", |value| named(value, &STATUSES, Status::name));
        let stated_gap = whole.read("gap", "a ratio", number);
        let order = KeyOrder::of(self.project);
        let levels = whole.objects("levels", |line| level(self.project, &order, line));
        let totals = whole.object("totals").and_then(|sums| totals::read(&sums));
        let placements = rows.list(whole, of_rows);
        let purchases = whole.objects("purchases", |line| self.purchase(line));
        let deliveries = whole.objects("deliveries", |line| self.delivery(line));
        let tanks = whole.objects("tanks", |tank| tanks::read(tank, self.row(tank)));
        let sheets = whole.objects("sheets", |sheet| tanks::sheet_read(sheet, |pane| self.row(pane)));
        let make_up = whole.objects("make_up", |line| self.make_up(line));
        let fluid_orders = whole.objects("fluid_orders", fluids::order);
        let spent = whole.objects("spent", fluids::spent);
        let spent_not_stated = whole.read("spent_not_stated", "a whole number", count);
        let flammable = whole.objects("flammable", fluids::flammable);
        let wants = whole.objects("wants", |want| wants::read(self, want));
        let warnings = warnings::warnings_read(self.project, whole);
        let cautions = warnings::cautions_read(self.project, whole);
        let prices_not_yours = warnings::default_prices_read(self.project, whole);
        let skipped_rows = whole.texts("skipped_rows");
        file_list(whole);
        whole.done();
        let plan = Plan {
            status: status?,
            levels: levels?,
            placements: placements?,
            purchases: purchases?,
            deliveries: deliveries?,
            tanks: tanks?,
            sheets: sheets?,
            make_up: make_up?,
            fluid_orders: fluid_orders?,
            spent: spent?,
            spent_not_stated: spent_not_stated?,
            flammable: flammable?,
            wants: wants?,
            totals: totals?,
            warnings: warnings?,
            cautions: cautions?,
            prices_not_yours: prices_not_yours?,
            skipped_rows: skipped_rows?,
        };
        let (stated, derived) = (stated_gap?, gap(self.project, &plan));
        if (stated - derived).abs() > 1e-9 * derived.abs() {
            whole.wrong("gap", format!("the levels give {derived}, found {stated}"));
        }
        Some(plan)
    }
}

fn level(project: &Project, order: &KeyOrder, level: &Object) -> Option<Level> {
    let aim = level.read("level", "a level", |value| named(value, &Aim::ALL, Aim::name));
    let amount = |key| match aim {
        None => {
            level.field(key);
            None
        }
        Some(Aim::Deferred(_)) => level.read(key, "a whole number", whole),
        Some(Aim::Money) => level.read(key, "money as text", money).map(Money::parts),
        Some(Aim::Fluid) => level.read(key, "litres to the millilitre", litres).map(|amount| amount.0),
    };
    let (value, bound) = (amount("value"), amount("bound"));
    let proof = level.read("proof", "a kind of proof", |value| named(value, &PROOFS, Proof::name));
    let certificate = certificate::read(project, order, level);
    Some(Level { aim: aim?, value: value?, bound: bound?, proof: proof?, certificate: certificate? })
}

const STATUSES: [Status; 4] = [Status::ProvedBest, Status::WithinGap, Status::BestFound, Status::NotOptimised];

const PROOFS: [Proof; 2] = [Proof::Recomputed, Proof::None];
