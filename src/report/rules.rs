//! Tables of rules for a terminal: values as a table, running text on each row below it.

use super::table::terminal::spared;
use super::table::{Cell, Column, Table};
use super::wrapping::wrapped;

/// Columns of running text, printed below the table, row by row.
const TOLD: [&str; 4] = ["aliases", "hazard", "note", "source"];

/// Tables whose rows are named by their first two columns.
const OF_PAIRS: [&str; 2] = ["compatibility", "transfers"];

/// Columns that a narrow screen leaves out, with their ranks.
const SPARED: [(&str, u8); 6] = [
    ("years", spared::YEARS),
    ("name", spared::NAME),
    ("class", spared::CLASS),
    ("present_only", spared::PRESENT_ONLY),
    ("also_family", spared::ALSO_FAMILY),
    ("renewal_years", spared::RENEWAL_YEARS),
];

/// One table for a terminal, from its name and its CSV text.
pub fn table(name: &str, text: &str) -> String {
    let (header, rows) = cells(text);
    let told = |header: &str| TOLD.contains(&header);
    // The first column is always shown, even if its header is in `TOLD`, because it names the row.
    let shown: Vec<usize> = (0..header.len()).filter(|&index| index == 0 || !told(&header[index])).collect();
    let pick = |cells: &[String]| shown.iter().map(|&index| cells.get(index).cloned().unwrap_or_default()).collect();
    let values: Vec<Vec<String>> = rows.iter().map(|row| pick(row)).collect();
    let is_number = |column: usize| {
        let mut cells = values.iter().map(|row| row[column].as_str()).filter(|cell| !cell.is_empty()).peekable();
        cells.peek().is_some() && cells.all(|cell| cell.parse::<f64>().is_ok())
    };
    let heads: Vec<String> = pick(&header);
    let columns = heads.iter().enumerate().map(|(index, head)| {
        let column = if is_number(index) { Column::figures(head) } else { Column::text(head) };
        let known = SPARED.iter().find(|(known, _)| known == head);
        known.map_or(column, |(_, rank)| column.spared(*rank))
    });
    let mut table = Table::new(name, columns);
    table.rows = values.iter().map(|row| row.iter().map(Cell::from).collect()).collect();
    let mut page = table.text("").trim_start().to_owned();
    page.push_str("\nColumns\n");
    let keys = if OF_PAIRS.contains(&name) { 2 } else { 1 };
    for row in &rows {
        page.push_str(&format!("  {}\n", row[..keys.min(row.len())].join(" × ")));
        for (head, cell) in header.iter().zip(row).skip(1).filter(|(head, cell)| told(head) && !cell.is_empty()) {
            page.push_str(&wrapped(&format!("{head}: {}", cell.replace('|', ", ")), 4));
        }
    }
    page.push_str("\nEdit the tables: rehouse rules --export DIR, then --rules DIR with any command.\n");
    page
}

/// One line for each table: its name, its number of rows, its columns.
pub fn overview(tables: &[(&str, String)]) -> String {
    let mut text = String::from(
        "Every entry gives its source. Show a table: rehouse rules fluids. Edit them: rehouse rules --export DIR.\n\n",
    );
    for (name, table) in tables {
        let (header, rows) = cells(table);
        let name = name.trim_end_matches(".csv");
        text.push_str(&format!("  {name:<19}{:>4} rows: {}\n", rows.len(), header.join(", ")));
    }
    text
}

/// Header and rows of a table, read with the one of three separators that gives the most columns.
fn cells(text: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let text = text.trim_start_matches('\u{feff}');
    let first = text.lines().next().unwrap_or_default();
    let separator =
        *[b',', b';', b'\t'].iter().max_by_key(|&&s| first.bytes().filter(|&b| b == s).count()).unwrap_or(&b',');
    let mut reader = csv::ReaderBuilder::new().delimiter(separator).flexible(true).from_reader(text.as_bytes());
    let owned = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect::<Vec<String>>();
    let header = reader.headers().map(owned).unwrap_or_default();
    (header, reader.records().filter_map(|record| record.ok().map(|record| owned(&record))).collect())
}
