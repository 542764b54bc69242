//! `report.html`: the whole plan in one document. First come the pages of decisions; then orders, tanks,
//! drawings and near misses; then annexes: every lot, sizes, fluid, settings and inputs.

mod buys;
mod fluid;
mod leftovers;
mod litres;
mod opening;
mod order;
pub mod page;
mod settings;
mod sizes;
mod tanks;
mod vessels;
mod worth;

use super::drawing::PATTERNS;
use crate::plan::Plan;
use crate::project::Project;
use crate::units::number_of;
use page::{Markup, document, element, element_with};

/// Largest number of rows at which every lot is drawn. Beyond it the tightest and the loosest lot of each vessel and posture are drawn.
pub const EVERY_PICTURE: usize = 2_000;
/// Largest number of rows at which every row is listed. Beyond it tables list some rows, and name the CSV file that has all.
pub const EVERY_ROW: usize = 20_000;
/// Rows shown in a table if the survey has more than [`EVERY_ROW`] rows.
const FEW: usize = 200;

/// How much of a plan a paper shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Extent {
    /// Groups, and the first rows of each table.
    Groups,
    /// Every row, and pictures of groups.
    Rows,
    /// Every row with its picture.
    Pictures,
}

impl Extent {
    /// The extent for a plan of this many rows.
    pub fn of(rows: usize) -> Self {
        match rows {
            0..=EVERY_PICTURE => Extent::Pictures,
            _ if rows <= EVERY_ROW => Extent::Rows,
            _ => Extent::Groups,
        }
    }

    /// Number of rows that a table shows out of `rows`.
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
    // Each section with its id and, where the contents list it, its name there.
    let sections = [
        ("decisions", Some("Decisions"), leftovers::decisions(paper)),
        ("cautions", Some("Cautions"), fluid::cautions(paper)),
        ("money", Some("More money"), buys::buys(paper)),
        ("litres", Some("Less fluid"), litres::litres(paper)),
        ("worth", Some("Vessels worth having"), worth::worth(paper)),
        ("order", Some("Orders"), order::order(paper)),
        ("tanks", Some("Tanks"), tanks::tanks(paper)),
        ("vessels", Some("Drawings"), vessels::vessels(paper)),
        ("leftovers", Some("Near misses"), leftovers::leftovers(paper)),
        ("waiting", None, leftovers::all_waiting(paper)),
        ("lots", Some("Every lot"), vessels::lots(paper)),
        ("sizes", Some("Sizes"), sizes::sizes(paper)),
        ("fluid", Some("Fluid"), fluid::fluid(paper)),
        ("settings", Some("Settings and inputs"), settings::settings(paper, inputs)),
    ];
    let listed = sections.iter().filter(|(.., section)| !section.is_empty());
    let contents = opening::contents(listed.filter_map(|(id, name, _)| Some((*id, (*name)?))));
    let sections = std::iter::once(opening::opening(paper, contents)).chain(sections.map(|(.., section)| section));
    let body: Markup = std::iter::once(Markup::fixed(PATTERNS)).chain(sections).collect();
    document("Rehousing plan", "report", "", element("main", "", body))
}

/// A note that names the file with the rows a table leaves out; empty if it leaves out none.
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
