//! Relations between the plan of a project and the plan of a changed project. They need no known optimum. Every plan made here is
//! audited.
//!
//! A row that no listed vessel takes (a leftover) stands outside the decision or gets a tank, so a change that makes or removes a
//! leftover changes the question. Plans are compared only where the leftovers are the same, and every test states a minimum number of
//! comparisons.

mod changes;
pub mod files;
mod order;
mod program;

use std::collections::{BTreeMap, BTreeSet};

use files::{ProjectTables, XorShift, random_files};
use rehouse::assign::{self, question::question};
use rehouse::decision::{Aim, Status};
use rehouse::options::table::{Row, judge_all};
use rehouse::plan::{self, Plan};
use rehouse::project::Project;
use rehouse::{audit, intake};

const PROJECTS: std::ops::Range<u64> = 0..30;

/// A project, the options of each row, and its plan.
struct InMemoryPlan {
    project: Project,
    rows: Vec<Row>,
    plan: Plan,
}

fn read(files: &ProjectTables) -> Project {
    let reading = intake::read_texts(&files.texts(), &[], false);
    reading.project.unwrap_or_else(|| panic!("{:#?}", reading.diagnostics))
}

/// Plans a project, and expects that the audit finds nothing and every level is proved.
fn planned(files: &ProjectTables) -> InMemoryPlan {
    let project = read(files);
    let rows = judge_all(&project);
    let question = question(&project, &rows);
    let decision = assign::decide(&question);
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, Vec::new());
    assert_eq!(audit::audit(&project, &plan), Vec::new());
    assert_eq!(plan.status, Status::ProvedBest, "{:?}", plan.levels);
    InMemoryPlan { project, rows, plan }
}

impl InMemoryPlan {
    /// The values of the levels: deferred rows by priority, weighed money in ten-millionths, fluid in millilitres. Less is better, compared
    /// lexicographically.
    fn levels(&self) -> [i64; 6] {
        let value = |aim| self.plan.levels.iter().find(|level| level.aim == aim).expect("every level is there").value;
        Aim::STRICT.map(value)
    }

    fn key(&self, specimen: usize) -> String {
        self.project.collection.specimens[specimen].key.to_string()
    }

    /// Rows that no listed vessel takes.
    fn leftovers(&self) -> BTreeSet<String> {
        let is_leftover = |row: &Row| matches!(row, Row::Judged(judged) if judged.fits.is_empty());
        (0..self.rows.len()).filter(|&row| is_leftover(&self.rows[row])).map(|row| self.key(row)).collect()
    }

    /// Every pair of a row and a listed vessel that is an option.
    fn options(&self) -> BTreeSet<(String, String)> {
        let of = |(row, judged): (usize, &Row)| match judged {
            Row::Judged(judged) => judged.fits.iter().map(|(id, _)| (row, *id)).collect(),
            _ => Vec::new(),
        };
        let named = |(row, id)| (self.key(row), self.project.stock.vessel(id).id.clone());
        self.rows.iter().enumerate().flat_map(of).map(named).collect()
    }

    /// Outcome and vessel of every row.
    fn places(&self) -> BTreeMap<String, (&'static str, Option<String>)> {
        let vessel = |placement: &plan::Placement| placement.vessel.map(|id| self.project.stock.vessel(id).id.clone());
        let of =
            |placement: &plan::Placement| (self.key(placement.specimen), (placement.outcome.name(), vessel(placement)));
        self.plan.placements.iter().map(of).collect()
    }
}

/// Plans each project before and after a change, and asserts the relation `holds` between the plans. `change` returns false where the
/// change is impossible in a project. Returns the number of comparisons, and the number of these in which the levels differ.
fn compare(
    change: impl Fn(&mut ProjectTables, &mut XorShift) -> bool,
    holds: impl Fn(&InMemoryPlan, &InMemoryPlan) -> bool,
) -> (usize, usize) {
    let (mut compared, mut different) = (0, 0);
    for seed in PROJECTS {
        let files = random_files(seed);
        let mut changed = files.clone();
        if !change(&mut changed, &mut XorShift::from(seed + 1_000)) {
            continue;
        }
        let (before, after) = (planned(&files), planned(&changed));
        if before.leftovers() != after.leftovers() {
            continue;
        }
        compared += 1;
        different += usize::from(before.levels() != after.levels());
        if !holds(&before, &after) {
            let kept =
                [(&files, "before"), (&changed, "after")].map(|(files, when)| keep(files, &format!("{seed}-{when}")));
            panic!("project {seed}: {:?} then {:?}, kept in {kept:?}", before.levels(), after.levels());
        }
    }
    (compared, different)
}

/// Writes a project into a folder of its own, for inspection after a failure.
fn keep(files: &ProjectTables, name: &str) -> std::path::PathBuf {
    let folder = std::env::temp_dir().join(format!("rehouse-properties-{}", std::process::id())).join(name);
    std::fs::create_dir_all(&folder).expect("a folder");
    for (name, text) in files.texts() {
        std::fs::write(folder.join(name), text).expect("a file");
    }
    folder
}

#[test]
fn the_projects_have_every_feature_that_the_changes_affect() {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for seed in PROJECTS {
        let files = random_files(seed);
        let InMemoryPlan { project, plan, rows } = planned(&files);
        let fits = || plan.placements.iter().filter_map(|placement| placement.fit);
        let postures: Vec<String> =
            fits().filter_map(|fit| fit.stance).map(|stance| stance.name().to_owned()).collect();
        let budget = project.settings.budget;
        for (side, is_there) in [
            ("on hand", plan.totals.on_hand > 0),
            ("order", plan.totals.order > 0),
            ("custom tank", plan.totals.custom_tank + plan.totals.unpriced_tanks > 0),
            ("deferred", plan.totals.deferred > 0),
            ("needs a decision", plan.totals.needs_decision > 0),
            ("held", plan.totals.held > 0),
            ("a lot divided", fits().any(|fit| fit.pieces > 1)),
            ("coiled", postures.iter().any(|posture| posture.contains("coil"))),
            ("like for like", fits().any(|fit| fit.marks.size_from_vessel)),
            ("unproven accepted", fits().any(|fit| fit.marks.unproven)),
            ("delivery paid", plan.deliveries.iter().any(|delivery| delivery.charge.parts() > 0)),
            ("delivery free", plan.deliveries.iter().any(|delivery| delivery.charge.parts() == 0)),
            ("spare pieces", plan.purchases.iter().any(|purchase| purchase.spare > 0)),
            ("packs of several", plan.purchases.iter().any(|p| project.stock.offers[p.offer].pack_size > 1)),
            ("a budget met to four fifths", budget.is_some_and(|b| plan.totals.money.parts() * 5 > b.parts() * 4)),
            ("a tank beside vessels", {
                let beside = |row: &Row| matches!(row, Row::Judged(j) if !j.fits.is_empty() && j.tank.is_ok());
                rows.iter().any(beside)
            }),
            ("a pin", project.collection.specimens.iter().any(|specimen| !specimen.particulars.must_use.is_empty())),
            ("a reserve", files.stock.iter().any(|row| !row["reserve"].is_empty())),
        ] {
            *seen.entry(side).or_default() += usize::from(is_there);
        }
    }
    let rare: Vec<_> = seen.iter().filter(|(_, projects)| **projects < 2).collect();
    assert!(rare.is_empty(), "{rare:?} of {seen:?}");
}
