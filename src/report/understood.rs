//! What was read from the inputs, in a dozen lines, for `check`.

use super::left_out::first;
use itertools::Itertools;

use super::table::terminal::spared;
use super::table::{Column, Table};
use super::wrapping::wrapped;
use crate::collection::{Outline, Size, Specimen, Tissue};
use crate::options::judge::judge;
use crate::options::table::undecided;
use crate::project::Project;
use crate::units::Money;

/// The survey and the stock list in a dozen lines.
pub fn understood(project: &Project, skipped: &[String]) -> String {
    let specimens = &project.collection.specimens;
    let count = |wanted: &dyn Fn(&Specimen) -> bool| specimens.iter().filter(|specimen| wanted(specimen)).count();
    let stock = &project.stock;
    if specimens.is_empty() || stock.vessels.is_empty() {
        return no_rows_yet(specimens.len(), stock.vessels.len(), skipped);
    }
    let mut lines: Vec<(&str, String)> = Vec::new();
    if !skipped.is_empty() {
        lines.push(("Left out", format!("{}: {}", counted(skipped.len() as u64, "line"), first(skipped).join("; "))));
    }
    let individuals: u64 = specimens.iter().map(|specimen| u64::from(specimen.individuals)).sum();
    lines.push((
        "Survey",
        format!("{}, {}", counted(specimens.len() as u64, "lot"), counted(individuals, "individual")),
    ));
    lines.push((
        "Sizes",
        format!(
            "{} measured, {} taken from their present vessel, {} missing",
            count(&|s| matches!(s.size, Size::Measured(_))),
            count(&|s| matches!(s.size, Size::LikeForLike(_))),
            count(&|s| s.size == Size::Unknown),
        ),
    ));
    lines.push((
        "Tissue",
        format!(
            "{} measured, {} weighed, {} estimated from the envelope, {} unknown",
            count(&|s| matches!(s.tissue, Tissue::Volume(_))),
            count(&|s| matches!(s.tissue, Tissue::Mass(_))),
            count(&|s| s.tissue == Tissue::Unknown && matches!(s.size, Size::Measured(_))),
            count(&|s| s.tissue == Tissue::Unknown && !matches!(s.size, Size::Measured(_))),
        ),
    ));
    let fluids = specimens.iter().map(|specimen| specimen.fluid).sorted().dedup_with_count();
    let fluids = fluids.map(|(n, id)| format!("{} {n}", project.rules.fluid(id).id)).join(", ");
    lines.push(("Fluids", fluids));
    lines.push(("Priorities", (1..=4).map(|p| format!("{p}: {}", count(&|s| s.priority == p))).join(", ")));
    lines.push(("Outline", outlines(project)));
    let held = count(&|s| s.held(&project.rules).is_some());
    let open = count(&|s| s.held(&project.rules).is_none() && undecided(project, s).is_some());
    lines.push(("Not planned", format!("{held} held, {open} to be decided before a vessel can be chosen")));
    lines.extend(stocked(project));
    let carried = &project.collection.carried_headers;
    if !carried.is_empty() {
        lines.push(("Carried through", carried.join(", ")));
    }
    let budget = project.settings.budget.map_or("none".to_owned(), Money::on_screen);
    lines.push(("Budget", format!("{budget} {}", project.settings.currency).trim_end().to_owned()));
    let mut text: String =
        lines.iter().map(|(label, value)| format!("{label:<18}{}", wrapped(value, 18).trim_start())).collect();
    text.push_str(&like_for_like(project));
    text.push_str("\nNext: rehouse plan with the same inputs and --out DIR.\n");
    text
}

/// The lines on the stock list and on suppliers.
fn stocked(project: &Project) -> Vec<(&'static str, String)> {
    let stock = &project.stock;
    let free: i64 = stock.vessels.iter().map(|vessel| vessel.free_pieces()).sum();
    let (orderable, unpriced): (Vec<_>, Vec<_>) =
        stock.listed().partition(|(id, _)| stock.offers_of(*id).next().is_some());
    let mut lines = vec![(
        "Stock list",
        format!(
            "{} of vessel: {} free, {} can be ordered",
            counted(stock.vessels.len() as u64, "kind"),
            if free == 1 { "1 piece".to_owned() } else { format!("{free} pieces") },
            counted(orderable.len() as u64, "kind")
        ),
    )];
    if !orderable.is_empty() && !unpriced.is_empty() {
        let more = match unpriced.len().saturating_sub(MOST_UNPRICED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let named = unpriced.iter().take(MOST_UNPRICED).map(|(_, vessel)| &vessel.id).join(", ");
        lines.push(("Cannot be ordered", format!("{named}{more}: no price, or none may be ordered")));
    }
    let terms = if project.suppliers_given { "with their terms" } else { "no terms given: no charge, no minimum" };
    lines.push(("Suppliers", format!("{}, {terms}", stock.suppliers.len())));
    lines
}

fn counted(n: u64, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}

/// Largest number of vessels named as not orderable; nobody reads more.
const MOST_UNPRICED: usize = 12;

/// The text if the survey or the stock list has no rows yet: what to write next.
fn no_rows_yet(specimens: usize, vessels: usize, skipped: &[String]) -> String {
    let rows = |n: usize| if n == 0 { "no rows yet".to_owned() } else { format!("{n} rows") };
    let left_out = match skipped {
        [] => String::new(),
        skipped => {
            format!("{:<18}{}: {}\n", "Left out", counted(skipped.len() as u64, "line"), first(skipped).join("; "))
        }
    };
    let what = match (specimens, vessels) {
        (0, 0) => "a line for each specimen in the survey, and one for each kind of vessel in the stock list",
        (0, _) => "a line for each specimen in the survey",
        _ => "a line for each kind of vessel in the stock list",
    };
    let (specimens, vessels) = (rows(specimens), rows(vessels));
    format!(
        "{left_out}{:<18}{specimens}\n{:<18}{vessels}\n\nNext: write {what}, then check again.\n",
        "Survey", "Stock list"
    )
}

/// Number of lots with the default outline, and how many of these would have more suitable vessels as `rounded`.
fn outlines(project: &Project) -> String {
    let specimens = project.collection.specimens.iter();
    let assumed: Vec<&Specimen> = specimens
        .filter(|s| !s.outline_stated && s.outline == Outline::Box && matches!(s.size, Size::Measured(_)))
        .collect();
    if assumed.is_empty() {
        return "stated for every lot".to_owned();
    }
    let serving = |specimen: &Specimen| {
        if undecided(project, specimen).is_some() {
            return 0;
        }
        project.stock.listed().filter(|(id, _)| judge(project, specimen, *id).is_ok()).count()
    };
    let more = assumed.iter().filter(|specimen| {
        let rounded = Specimen { outline: Outline::Rounded, ..(**specimen).clone() };
        serving(&rounded) > serving(specimen)
    });
    format!(
        "{} taken as a box (no outline stated); as `rounded`, {} would have more vessels to choose from",
        counted(assumed.len() as u64, "lot"),
        more.count()
    )
}

fn like_for_like(project: &Project) -> String {
    let columns = [Column::text("lot"), Column::text("name").spared(spared::NAME), Column::text("vessel")];
    let mut table = Table::new("Size taken from the present vessel", columns);
    let as_now = project.collection.specimens.iter().filter_map(|specimen| match specimen.size {
        Size::LikeForLike(id) => Some((specimen, &project.stock.vessel(id).id)),
        _ => None,
    });
    for (specimen, vessel) in as_now {
        table.row_of_many([specimen.key.to_string().into(), (&specimen.name).into(), vessel.into()]);
    }
    table.text("")
}
