//! What other places for a lot do to the whole plan: as a table after what `why` says, as CSV and as JSON.

use serde_json::{Value, json};

use super::columns::Keys;
use super::columns::instead::{InsteadLine, PlanSums};
use super::table::csv::file;
use super::table::{Column, Table, cells};
use super::threshold;
use super::wrapping::wrapped;
use crate::decision::Decision;
use crate::inquiry::Inquiry;
use crate::inquiry::instead::{Follows, Housing, Instead, Rehoused};
use crate::inquiry::threshold::Threshold;
use crate::project::Project;
use crate::saved::stated;
use crate::words;

/// A lot with other places for it.
pub struct LotInstead {
    /// Its row.
    pub row: usize,
    /// Where it goes in the plan as it is; `None` where nothing is decided of it.
    pub goes: Option<Housing>,
    /// Other places, and what follows.
    pub other: Vec<Instead>,
    /// Suitable vessels that were not asked about.
    pub not_asked: usize,
    /// What would change its place, where that was asked.
    pub thresholds: Option<Vec<Threshold>>,
}

/// Other places for lots, beside the plan as it is.
pub struct Elsewhere<'a> {
    project: &'a Project,
    now: PlanSums,
    lots: &'a [LotInstead],
}

impl<'a> Elsewhere<'a> {
    /// Of a project and its plan.
    pub fn of(project: &'a Project, inquiry: &Inquiry, decision: &Decision, lots: &'a [LotInstead]) -> Self {
        let values = inquiry.values(decision);
        let now = PlanSums { deferred: values.deferred, money: values.money, fluid: values.fluid };
        Elsewhere { project, now, lots }
    }

    fn lines<'l>(&'l self, lot: &'l LotInstead) -> impl Iterator<Item = InsteadLine<'l>> {
        let line = |instead| InsteadLine { project: self.project, now: &self.now, instead };
        lot.other.iter().map(line)
    }

    /// For a terminal, one of the lots; empty where nothing is decided of it.
    pub fn text(&self, lot: &LotInstead) -> String {
        let fields = [InsteadLine::INSTEAD, InsteadLine::COST, InsteadLine::WAITING, InsteadLine::CONSEQUENCE];
        let columns = fields.map(|field| field.column);
        let mut table = Table::new("Instead: what it does to the whole plan", columns);
        table.currency = &self.project.settings.currency;
        self.lines(lot).for_each(|line| table.row(cells(&fields, line)));
        table.more = lot.not_asked;
        let key = &self.project.collection.specimens[lot.row].key;
        let mut text = table.text(&format!("`rehouse why {key} --instead VESSEL` prices any of them"));
        let placed = lot.goes.is_some_and(|goes| goes != Housing::Waits);
        let without = |instead| {
            words::instead::without(self.project, (lot.row, placed), &self.now.deferred, instead, lot.other.len() == 1)
        };
        let without = lot.other.iter().find_map(without);
        let notes = words::not_audited(self.project).filter(|_| !lot.other.is_empty());
        without.into_iter().chain(notes).for_each(|note| text.push_str(&wrapped(&note, 2)));
        text
    }

    /// The same of all lots as CSV; `left_out` are rows that could not be read.
    pub fn csv(&self, left_out: &[String]) -> Vec<u8> {
        let keys = Keys::of(self.project);
        let ours = InsteadLine::FILE.map(|field| field.column);
        let columns: Vec<Column> = keys.columns.iter().copied().chain(ours).collect();
        let rows = self.lots.iter().flat_map(|lot| {
            let (keys, specimen) = (&keys, &self.project.collection.specimens[lot.row]);
            self.lines(lot).map(move |line| keys.cells(specimen).chain(cells(&InsteadLine::FILE, line)))
        });
        file(&columns, left_out, rows)
    }

    /// The same for a program, with the levels of each plan.
    pub fn json(&self, left_out: &[String]) -> String {
        let object = json!({
            "currency": self.project.settings.currency,
            "skipped_rows": left_out,
            "plan": {
                "deferred": self.now.deferred,
                "money": self.now.money.text(),
                "litres": self.now.fluid.litres(),
            },
            "lots": self.lots.iter().map(|lot| self.lot(lot)).collect::<Vec<_>>(),
        });
        serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
    }

    fn lot(&self, lot: &LotInstead) -> Value {
        let housing = |housing| words::instead::housing(self.project, housing);
        let mut object = json!({
            "key": self.project.collection.specimens[lot.row].key.to_string(),
            "goes": lot.goes.map(housing),
            "instead": lot.other.iter().map(|instead| self.instead(instead)).collect::<Vec<_>>(),
            "not_asked": lot.not_asked,
        });
        if let Some(thresholds) = &lot.thresholds {
            object["thresholds"] = threshold::json(self.project, thresholds);
        }
        object
    }

    fn instead(&self, instead: &Instead) -> Value {
        let housing = |housing| words::instead::housing(self.project, housing);
        let mut object = json!({ "instead": housing(instead.housing) });
        match &instead.follows {
            Follows::Refused(by) => {
                object["follows"] = json!("refused");
                object["rule"] = json!(by.map(|by| by.rule.name()));
                object["shortfall"] = json!(by.and_then(|by| by.shortfall).map(|by| by.to_string()));
            }
            Follows::Unpriced => object["follows"] = json!("no price"),
            Follows::Plan(plan) => {
                let key = |row: usize| self.project.collection.specimens[row].key.to_string();
                object["follows"] = json!("plan");
                object["goes"] = json!(housing(plan.got));
                object["deferred"] = json!(plan.values.deferred);
                object["money"] = json!(plan.values.money.text());
                object["money_more"] = json!((plan.values.money - self.now.money).text());
                object["litres"] = json!(plan.values.fluid.litres());
                object["status"] = json!(plan.status.name());
                object["levels"] = plan.levels.iter().map(stated).collect();
                let other =
                    |lot: &Rehoused| json!({"key": key(lot.row), "from": housing(lot.from), "to": housing(lot.to)});
                object["others"] = plan.others.iter().map(other).collect();
            }
        }
        object
    }
}
