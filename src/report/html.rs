//! `report.html`: the whole plan on paper. The decision on two pages; then the orders, the glazier's
//! pages and the drawings; then an annex: every lot, sizes, fluid, settings and what was read.

mod fluid;
mod leftovers;
mod opening;
mod order;
pub mod page;
mod settings;
mod sizes;
mod tanks;
mod vessels;

use super::drawing::PATTERNS;
use crate::plan::Plan;
use crate::project::Project;
use crate::units::number_of;
use page::{Markup, document, element, element_with};

/// Rows up to which everything is drawn; beyond, one picture for each vessel and posture, the tightest and the loosest.
pub const EVERY_PICTURE: usize = 2_000;
/// Rows up to which everything is listed; beyond, decisions, order, groups and sums, and the CSV files for the rest.
pub const EVERY_ROW: usize = 20_000;
/// Rows shown in a table if the survey has more than [`EVERY_ROW`].
const FEW: usize = 200;

/// How much of a plan a paper shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Extent {
    /// Groups, and some rows.
    Groups,
    /// Every row, and pictures of groups.
    Rows,
    /// Every row with its picture.
    Pictures,
}

impl Extent {
    /// What a plan of so many rows allows.
    pub fn of(rows: usize) -> Self {
        match rows {
            0..=EVERY_PICTURE => Extent::Pictures,
            _ if rows <= EVERY_ROW => Extent::Rows,
            _ => Extent::Groups,
        }
    }

    /// Rows that a table shows of so many.
    fn shown(self, rows: usize) -> usize {
        if self == Extent::Groups { rows.min(FEW) } else { rows }
    }
}

/// The data that every section is made from.
#[derive(Clone, Copy)]
struct Paper<'a> {
    project: &'a Project,
    plan: &'a Plan,
    extent: Extent,
}

/// The whole report. `inputs`: names and SHA-256 digests of the files the plan was made from.
pub fn report(project: &Project, plan: &Plan, inputs: &[(String, String)]) -> Vec<u8> {
    let paper = Paper { project, plan, extent: Extent::of(plan.placements.len()) };
    let sections = [
        opening::opening(paper),
        leftovers::decisions(paper),
        fluid::cautions(paper),
        order::order(paper),
        tanks::tanks(paper),
        vessels::vessels(paper),
        leftovers::leftovers(paper),
        leftovers::all_waiting(paper),
        vessels::lots(paper),
        sizes::sizes(paper),
        fluid::fluid(paper),
        settings::settings(paper, inputs),
    ];
    let body: Markup = std::iter::once(Markup::fixed(PATTERNS)).chain(sections).collect();
    document("Rehousing plan", "report", "", element("main", "", body))
}

/// A note that says in which file the rows are that a table leaves out.
fn rest(shown: usize, all: usize, file: &str) -> Markup {
    if shown >= all {
        return Markup::new();
    }
    let text = format!(
        "{} of {} are shown here; {file} has them all.",
        page::grouped(number_of(shown)),
        page::grouped(number_of(all))
    );
    element_with("p", &[("class", "note")], text)
}
