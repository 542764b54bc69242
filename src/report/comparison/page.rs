//! A comparison as a page to print.

use super::{Compared, SHOWN, skipped};
use crate::comparison::ChangeKind;
use crate::report::columns::comparison::{KindRow, kinds};
use crate::report::html::page::{Markup, counted, document, element, grouped, list, paragraph, section};
use crate::report::left_out::first;
use crate::report::table::Table;
use crate::report::table::html::{PaperCell, PaperTable};
use crate::units::number_of;
use crate::words;

/// The whole page.
pub(super) fn page(compared: &Compared) -> Vec<u8> {
    let [old, new] = compared.names;
    let title = "Comparison of two rehousing plans";
    let lead = format!("Old plan: {old}. New plan: {new}. {}", compared.headline());
    let sections = [
        ("money", "Money", compared.money()),
        ("orders", "Order lines that differ", compared.orders()),
        ("fluid", "Fluid that differs", compared.fluids()),
        ("inputs", "Inputs that differ, beside the survey", compared.inputs()),
    ];
    let opening =
        [element("h1", "", title), paragraph("lead", lead), left_out(compared), notes(compared), counts(compared)];
    let sections = sections.map(|(id, title, table)| of_table(id, title, table));
    let caution = "Planning figures only: the safety data sheet, local code and licensed practice decide.";
    let closing = [lots(compared), paragraph("note", caution)];
    let body: Markup = opening.into_iter().chain(sections).chain(closing).collect();
    document(title, "comparison", "", element("main", "", body))
}

/// Input rows that could not be read, shown before anything else.
fn left_out(compared: &Compared) -> Markup {
    let rows = skipped(compared);
    if rows.is_empty() {
        return Markup::new();
    }
    let heading = element("h2", "", format!("Left out: {} that could not be read", counted(rows.len(), "line")));
    element("div", "first", heading.with(list("", first(&rows).map(|row| Markup::from(&*row)))))
}

fn notes(compared: &Compared) -> Markup {
    let notes = compared.notes();
    if notes.is_empty() {
        return Markup::new();
    }
    element("div", "first", element("h2", "", "To know first").with(list("", notes.into_iter().map(Markup::from))))
}

/// Lots by kind of change.
fn counts(compared: &Compared) -> Markup {
    let pair = |row: KindRow| {
        let lots = element("dd", "", grouped(number_of(row.lots)));
        element("div", "", element("dt", "", row.kind.name()).with(lots))
    };
    let some = kinds(compared.comparison).into_iter().filter(|row| row.lots > 0);
    let all = counted(compared.comparison.lots.len(), "lot");
    element("dl", "counts", some.map(pair).collect::<Markup>()).with(paragraph("note", format!("Together {all}.")))
}

/// A table under its heading; without rows, a word.
fn of_table(id: &'static str, title: &str, table: Table) -> Markup {
    let markup = on_paper(table);
    section(id, title, if markup.is_empty() { paragraph("", "None.") } else { markup })
}

/// A table of the screen on paper, with a note on the rows that are not shown.
fn on_paper(table: Table) -> Markup {
    let more = table.more;
    let paper = PaperTable {
        title: "".into(),
        columns: table.columns,
        rows: table.rows.into_iter().map(|row| row.into_iter().map(PaperCell::from).collect()).collect(),
        sums: Vec::new(),
        currency: table.currency,
        more,
        is_narrow: table.is_narrow,
    };
    let rest = format!("{SHOWN}, and {} more: the file of --format csv has all.", grouped(number_of(more)));
    let note = if more > 0 { paragraph("note", rest) } else { Markup::new() };
    paper.markup().with(note)
}

/// The lots of each kind, with the reasons.
fn lots(compared: &Compared) -> Markup {
    let of_kind = |kind: ChangeKind| {
        let table = on_paper(compared.lots(kind));
        let heading = || element("h3", "", words::comparison::kind(kind));
        if table.is_empty() { table } else { heading().with(table) }
    };
    let kinds = ChangeKind::ALL.into_iter().filter(|kind| *kind != ChangeKind::Unchanged);
    let markup: Markup = kinds.map(of_kind).collect();
    section("lots", "Lots", if markup.is_empty() { paragraph("", "No lot has changed.") } else { markup })
}
