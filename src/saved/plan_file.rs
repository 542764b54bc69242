//! plan.json as a whole: its fields in the order in which they are written.
//!
//! Lists whose items name things of the project hold values here. The module of each list reads and writes its items.

use std::io::{self, Write};

use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::certificate::KeyOrder;
use super::object::ReadFindings;
use super::quantities::{questions, status};
use super::totals::TotalsFile;
use super::{
    BENCH_RECORD, Listed, SCHEMA, answers, fluids, levels, lines, orders, placements, tanks, typed, wants, warnings,
};
use crate::decision::Status;
use crate::plan::{Plan, Questions, Totals};
use crate::project::Project;

/// The fields of the file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PlanFile {
    pub(super) schema: String,
    pub(super) skipped_rows: Vec<String>,
    pub(super) program: ProgramFile,
    #[serde(with = "status")]
    pub(super) status: Status,
    pub(super) gap: f64,
    pub(super) levels: Vec<Value>,
    #[serde(with = "TotalsFile")]
    pub(super) totals: Totals,
    /// In the place of the rows, which are written and read one by one.
    pub(super) placements: (),
    pub(super) purchases: Vec<Value>,
    pub(super) deliveries: Vec<Value>,
    pub(super) tanks: Vec<Value>,
    pub(super) sheets: Vec<Value>,
    pub(super) make_up: Vec<Value>,
    pub(super) fluid_orders: Vec<Value>,
    pub(super) spent: Vec<Value>,
    pub(super) spent_not_stated: usize,
    pub(super) flammable: Vec<Value>,
    pub(super) wants: Vec<Value>,
    pub(super) warnings: Vec<Value>,
    pub(super) cautions: Vec<Value>,
    pub(super) prices_not_yours: Vec<Value>,
    #[serde(with = "questions")]
    pub(super) questions: Questions,
    pub(super) answers: Vec<Value>,
    pub(super) files: Vec<ListedFile>,
}

/// The program that wrote the file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ProgramFile {
    pub(super) name: String,
    pub(super) version: String,
}

/// A file beside the plan.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ListedFile {
    name: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sha256: Option<String>,
}

impl PlanFile {
    fn of(project: &Project, plan: &Plan, files: &[Listed]) -> Self {
        let order = KeyOrder::of(project);
        PlanFile {
            schema: SCHEMA.to_owned(),
            skipped_rows: plan.skipped_rows.clone(),
            program: ProgramFile {
                name: env!("CARGO_PKG_NAME").to_owned(),
                version: env!("CARGO_PKG_VERSION").to_owned(),
            },
            status: plan.status,
            gap: levels::gap(project, plan),
            levels: plan.levels.iter().map(|line| levels::written(project, &order, line)).collect(),
            totals: plan.totals,
            placements: (),
            purchases: plan.purchases.iter().map(|line| orders::purchase(project, line)).collect(),
            deliveries: plan.deliveries.iter().map(|line| orders::delivery(project, line)).collect(),
            tanks: plan.tanks.iter().map(|line| tanks::written(project, line)).collect(),
            sheets: plan.sheets.iter().map(|sheet| tanks::sheet_written(project, sheet)).collect(),
            make_up: plan.make_up.iter().map(|line| fluids::make_up_written(project, line)).collect(),
            fluid_orders: plan.fluid_orders.iter().map(fluids::order_written).collect(),
            spent: plan.spent.iter().map(fluids::spent_written).collect(),
            spent_not_stated: plan.spent_not_stated,
            flammable: plan.flammable.iter().map(fluids::flammable_written).collect(),
            wants: plan.wants.iter().map(|want| wants::written(project, want)).collect(),
            warnings: warnings::warnings(project, plan),
            cautions: warnings::cautions(project, plan),
            prices_not_yours: warnings::default_prices(project, plan),
            questions: plan.questions,
            answers: plan.answers.iter().map(|answer| answers::written(project, &order, answer)).collect(),
            files: files.iter().cloned().map(|(name, sha256)| ListedFile { name, sha256 }).collect(),
        }
    }
}

impl ListedFile {
    /// The file, if its digest is one and stands where it must.
    pub(super) fn listed(self, at: usize, findings: &ReadFindings) -> Option<Listed> {
        let expected = if self.name == BENCH_RECORD { "no digest" } else { "64 hexadecimal digits in lower case" };
        let good = self.sha256.as_deref().map_or(self.name == BENCH_RECORD, is_sha256);
        if !good {
            let found = self.sha256.map_or("none".to_owned(), |digest| format!("{digest:?}"));
            findings.add(&format!("files[{at}].sha256"), format!("expected {expected}, found {found}"));
            return None;
        }
        Some((self.name, self.sha256))
    }
}

fn is_sha256(digest: &str) -> bool {
    digest.len() == 64 && digest.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'))
}

/// Writes a plan piece by piece: a large plan is never held as text.
///
/// # Errors
/// Where it cannot be written.
///
/// # Panics
/// If the plan names rows, vessels, offers, fluids or suppliers that the project does not have.
pub fn write_json(project: &Project, plan: &Plan, files: &[Listed], out: &mut dyn Write) -> io::Result<()> {
    let whole = typed::value(&PlanFile::of(project, plan, files));
    let mut before = "{";
    for (key, value) in whole.as_object().into_iter().flatten() {
        write!(out, "{before}\n  {key:?}: ")?;
        before = ",";
        match value {
            // Only the rows have no value.
            Value::Null => lines::rows(&plan.placements, |row, line| placements::append(project, row, line), out)?,
            Value::Array(items) if !items.is_empty() && key != "files" => lines::items(items, out)?,
            value => write!(out, "{value}")?,
        }
    }
    out.write_all(b"\n}\n")
}
