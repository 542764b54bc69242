//! Nesting against published instances of two-dimensional bin packing, where panes may be turned.
//!
//! `tests/reference/bin-packing` names the sources. The published totals do not require edge-to-edge cuts, so ours may only be equal or
//! larger; the test limits by how much.

use std::path::Path;

use rehouse::tank::sheets::nest;
use rehouse::units::Length;

type Sides = Vec<(Length, Length)>;

fn mm(side: &str) -> Length {
    Length::new(side.parse().expect("a number")).expect("a length")
}

fn sides(text: &str) -> (Length, Length) {
    let (one, other) = text.split_once('x').expect("two sides");
    (mm(one), mm(other))
}

/// Name, sheet and panes of every instance.
fn instances() -> Vec<(String, (Length, Length), Sides)> {
    let rows = table("panes");
    rows.iter()
        .map(|row| (row[0].clone(), (mm(&row[1]), mm(&row[2])), row[3].split('|').map(sides).collect()))
        .collect()
}

/// The rows of a reference table, without its header.
fn table(name: &str) -> Vec<Vec<String>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/bin-packing");
    let text = std::fs::read_to_string(folder.join(format!("{name}.csv"))).expect("the table");
    text.lines().skip(1).map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// The lower bound by area: the area of all panes over that of a sheet.
fn by_area(sheet: (Length, Length), panes: &Sides) -> usize {
    let area = |(one, other): (Length, Length)| one.mm() * other.mm();
    (panes.iter().map(|pane| area(*pane)).sum::<f64>() / area(sheet) - 1e-9).ceil() as usize
}

#[test]
fn sheets_needed_are_few_more_than_the_published_least_without_edge_to_edge_cuts() {
    let found: Vec<(String, usize)> = instances()
        .iter()
        .map(|(name, sheet, panes)| {
            let taken = nest(panes, &[*sheet], Length::ZERO).expect("every pane fits a sheet").len();
            assert!(taken >= by_area(*sheet, panes), "{name}: fewer sheets than glass");
            (name.clone(), taken)
        })
        .collect();
    let distances: Vec<String> = table("sheets")
        .iter()
        .map(|row| {
            let least: usize = row[1].parse().expect("a count");
            let taken: usize = found.iter().filter(|(name, _)| name.starts_with(&row[0])).map(|(_, taken)| taken).sum();
            assert!(taken >= least, "{}: {taken} sheets, below the published least of {least}", row[0]);
            format!("{}: {taken} for {least}", row[0])
        })
        .collect();
    assert_eq!(distances, ["beng: 55 for 54", "cl01_020: 66 for 66", "cl01_040: 130 for 128"]);
}
