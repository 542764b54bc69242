//! `plan.json` read back: every claim, with ids and keys resolved against the project.

use serde::Deserialize;
use serde_json::Value;

use super::certificate::KeyOrder;
use super::names::PlanReading;
use super::object::{Fault, Object, ROOT, ReadFindings};
use super::plan_file::{ListedFile, PlanFile, ProgramFile};
use super::whole::{self, PlacementRows};
use super::{Listed, SCHEMA, fluids, levels, tanks, wants, warnings};
use crate::plan::{Placement, Plan};
use crate::project::Project;

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
    let plan = plan_file(value, &findings).and_then(|file| {
        findings.and(of_rows);
        reading.plan(file, rows, &findings)
    });
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
    let listed = plan_file(value, &findings).and_then(|file| listed(file.files, &findings));
    let findings = findings.into_inner();
    match listed {
        Some(listed) if findings.is_empty() => Ok(listed),
        _ => Err(findings),
    }
}

/// What names the form of a file and the program that wrote it.
#[derive(Deserialize)]
struct Stamp {
    schema: Option<Value>,
    program: Option<ProgramFile>,
}

/// The version of this program that a `plan.json` says it was written by, if it says so.
pub fn version(bytes: &[u8]) -> Option<String> {
    Some(serde_json::from_slice::<Stamp>(bytes).ok()?.program?.version)
}

/// The whole as its type; findings where it is not of this type, or of another form.
fn plan_file(value: Value, findings: &ReadFindings) -> Option<PlanFile> {
    // First, so that the fields of another form are not what is complained of.
    match Stamp::deserialize(&value) {
        Ok(Stamp { schema: Some(schema), .. }) if schema != SCHEMA => {
            findings.add("schema", format!("the project has {SCHEMA:?}, found {schema}"));
            return None;
        }
        _ => {}
    }
    let whole = Fault::of(serde_path_to_error::deserialize::<_, PlanFile>(value));
    let file = whole.map_err(|fault| fault.noted(ROOT, findings)).ok()?;
    if file.program.name != env!("CARGO_PKG_NAME") {
        let expected = env!("CARGO_PKG_NAME");
        findings.add("program.name", format!("the project has {expected:?}, found {:?}", file.program.name));
    }
    Some(file)
}

fn listed(files: Vec<ListedFile>, findings: &ReadFindings) -> Option<Vec<Listed>> {
    let listed: Vec<_> = files.into_iter().enumerate().map(|(at, file)| file.listed(at, findings)).collect();
    listed.into_iter().collect()
}

/// What is made of each object of a list of the whole, named by its field; `None` if any fails.
macro_rules! each {
    ($file:ident.$list:ident, $findings:expr, $read:expr) => {{
        let made: Vec<_> = $file
            .$list
            .iter()
            .enumerate()
            .map(|(at, item)| {
                let object = Object::new(&format!("{}[{at}]", stringify!($list)), item, $findings)?;
                let made = $read(&object);
                object.done();
                made
            })
            .collect();
        made.into_iter().collect::<Option<Vec<_>>>()
    }};
}

impl PlanReading<'_> {
    /// The plan, with the rows that were read before.
    fn plan(&self, file: PlanFile, rows: PlacementRows<Placement>, findings: &ReadFindings) -> Option<Plan> {
        let project = self.project;
        let order = KeyOrder::of(project);
        let placements = rows.list(findings);
        let levels = each!(file.levels, findings, |line: &_| levels::read(project, &order, line));
        let purchases = each!(file.purchases, findings, |line: &_| self.purchase(line));
        let deliveries = each!(file.deliveries, findings, |line: &_| self.delivery(line));
        let tanks = each!(file.tanks, findings, |tank: &_| tanks::read(tank, self.row(tank)));
        let sheets = each!(file.sheets, findings, |sheet: &_| tanks::sheet_read(sheet, |pane| self.row(pane)));
        let make_up = each!(file.make_up, findings, |line: &_| self.make_up(line));
        let fluid_orders = each!(file.fluid_orders, findings, fluids::order);
        let spent = each!(file.spent, findings, fluids::spent);
        let flammable = each!(file.flammable, findings, fluids::flammable);
        let wants = each!(file.wants, findings, |want: &_| wants::read(self, want));
        let warnings = each!(file.warnings, findings, |line: &_| warnings::warning_read(project, line));
        let cautions = each!(file.cautions, findings, |line: &_| warnings::caution_read(project, line));
        let prices_not_yours =
            each!(file.prices_not_yours, findings, |line: &_| warnings::default_price_read(project, line));
        let answers = each!(file.answers, findings, |answer: &_| self.answer(&order, answer));
        let files = listed(file.files, findings);
        let plan = Plan {
            status: file.status,
            levels: levels?,
            placements: placements?,
            purchases: purchases?,
            deliveries: deliveries?,
            tanks: tanks?,
            sheets: sheets?,
            make_up: make_up?,
            fluid_orders: fluid_orders?,
            spent: spent?,
            spent_not_stated: file.spent_not_stated,
            flammable: flammable?,
            wants: wants?,
            totals: file.totals,
            warnings: warnings?,
            cautions: cautions?,
            prices_not_yours: prices_not_yours?,
            skipped_rows: file.skipped_rows,
            questions: file.questions,
            answers: answers?,
        };
        files?;
        let (stated, derived) = (file.gap, levels::gap(project, &plan));
        if (stated - derived).abs() > 1e-9 * derived.abs() {
            findings.add("gap", format!("the levels give {derived}, found {stated}"));
        }
        Some(plan)
    }
}
