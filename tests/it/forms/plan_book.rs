//! plan.xlsx: every figure equals the plan's, every formula gives the value that was saved with it.

use std::collections::BTreeMap;
use std::io::Cursor;

use calamine::{Data, Reader, Xlsx};
use rehouse::assign;
use rehouse::intake::read_texts;
use rehouse::options::table::judge_all;
use rehouse::plan::{Plan, plan};
use rehouse::project::Project;
use rehouse::report::csv;
use rehouse::report::xlsx::bench_record::{self, BY_HAND, PRINTED};
use rehouse::report::xlsx::{self, MOST_ROWS};
use rehouse::units::Money;

use crate::support::rows;

fn planned(specimens: Vec<u8>) -> (Project, Plan) {
    let mut texts = BTreeMap::from([("specimens.csv".to_owned(), specimens)]);
    for name in ["vessels.csv", "suppliers.csv", "fluid-stock.csv", "settings.toml"] {
        texts.insert(name.to_owned(), std::fs::read(format!("demo-data/{name}")).expect(name));
    }
    let project = read_texts(&texts, &[], false).project.expect("a project");
    let judged = judge_all(&project);
    let assign::Answered { question, decision } = assign::decide_rows(&project, &judged, &mut |_| {}, &|| false);
    let labour = assign::question::labour_per_row(&project);
    let made = plan(&project, &judged, &question, &decision, labour, Vec::new());
    (project, made)
}

fn demo() -> (Project, Plan) {
    planned(std::fs::read("demo-data/specimens.csv").expect("the survey"))
}

/// Cells and formulas of every sheet, by sheet, row from 1 and column letters.
struct PlanBook {
    names: Vec<String>,
    cells: BTreeMap<(String, u32, String), Data>,
    formulas: BTreeMap<(String, u32, String), String>,
    heights: BTreeMap<String, u32>,
}

impl PlanBook {
    fn of(bytes: Vec<u8>) -> PlanBook {
        let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).expect("a workbook");
        let names = book.sheet_names();
        let (mut cells, mut formulas, mut heights) = (BTreeMap::new(), BTreeMap::new(), BTreeMap::new());
        for name in &names {
            let range = book.worksheet_range(name).expect("a sheet");
            let letters = |column: usize| rehouse::diagnostics::letters(column + 1);
            for (row, column, data) in range.used_cells() {
                cells.insert((name.clone(), row as u32 + 1, letters(column)), data.clone());
            }
            heights.insert(name.clone(), range.height() as u32);
            let range = book.worksheet_formula(name).expect("formulas");
            let (top, left) = range.start().unwrap_or_default();
            for (row, column, text) in range.used_cells() {
                formulas.insert((name.clone(), row as u32 + top + 1, letters(column + left as usize)), text.clone());
            }
        }
        PlanBook { names, cells, formulas, heights }
    }

    fn text(&self, sheet: &str, row: u32, column: &str) -> String {
        self.cells.get(&(sheet.to_owned(), row, column.to_owned())).map(ToString::to_string).unwrap_or_default()
    }

    fn number(&self, sheet: &str, row: u32, column: &str) -> f64 {
        self.text(sheet, row, column).parse().unwrap_or(0.0)
    }

    /// The row of a sheet whose first cell has this text.
    fn row(&self, sheet: &str, says: &str) -> u32 {
        let rows = 1..=self.heights[sheet];
        rows.into_iter()
            .find(|row| self.text(sheet, *row, "A") == says)
            .unwrap_or_else(|| panic!("no {says} in {sheet}"))
    }

    /// The rows of a sheet below its header, as texts by header name.
    fn table(&self, sheet: &str) -> Vec<BTreeMap<String, String>> {
        let mut heads = Vec::new();
        while !self.text(sheet, 1, &rehouse::diagnostics::letters(heads.len() + 1)).is_empty() {
            heads.push(self.text(sheet, 1, &rehouse::diagnostics::letters(heads.len() + 1)));
        }
        let row = |row: u32| {
            let cell = |(index, head): (usize, &String)| {
                (head.clone(), self.text(sheet, row, &rehouse::diagnostics::letters(index + 1)))
            };
            heads.iter().enumerate().map(cell).collect()
        };
        (2..=self.heights[sheet]).map(row).collect()
    }

    /// The cells of `'sheet'!$A$2:$A$9`, `A2:A9` or `A2`.
    fn places(&self, here: &str, range: &str) -> Vec<(String, u32, String)> {
        let plain = range.replace(['$', '\''], "");
        let (sheet, cells) = plain.rsplit_once('!').map_or((here, plain.as_str()), |(sheet, cells)| (sheet, cells));
        let (first, last) = cells.split_once(':').unwrap_or((cells, cells));
        let split = |cell: &str| {
            let digits = cell.find(|c: char| c.is_ascii_digit()).expect("a row");
            (cell[..digits].to_owned(), cell[digits..].parse::<u32>().expect("a row"))
        };
        let ((letters, from), (_, to)) = (split(first), split(last));
        (from..=to).map(|row| (sheet.to_owned(), row, letters.clone())).collect()
    }

    /// The value of a formula, for the few forms that are written.
    fn value(&self, sheet: &str, formula: &str) -> f64 {
        let number = |at: &(String, u32, String)| self.number(&at.0, at.1, &at.2);
        let inside = |name: &str| formula.strip_prefix(name).and_then(|rest| rest.strip_suffix(')'));
        let meets = |criteria: &[&str], index: usize| {
            criteria.chunks(2).all(|pair| {
                let wanted = match pair[1].strip_prefix('"') {
                    Some(text) => text.trim_end_matches('"').to_owned(),
                    None => self.places(sheet, pair[1]).iter().map(|at| self.text(&at.0, at.1, &at.2)).collect(),
                };
                let at = &self.places(sheet, pair[0])[index];
                self.text(&at.0, at.1, &at.2) == wanted
            })
        };
        if let Some(range) = inside("SUM(") {
            return self.places(sheet, range).iter().map(number).sum();
        }
        if let Some(arguments) = inside("SUMIFS(") {
            let arguments: Vec<&str> = arguments.split(',').collect();
            let places = self.places(sheet, arguments[0]);
            return (0..places.len()).filter(|i| meets(&arguments[1..], *i)).map(|i| number(&places[i])).sum();
        }
        if let Some(arguments) = inside("COUNTIFS(") {
            let arguments: Vec<&str> = arguments.split(',').collect();
            return (0..self.places(sheet, arguments[0]).len()).filter(|i| meets(&arguments, *i)).count() as f64;
        }
        let cell = |text: &str| number(&self.places(sheet, text)[0]);
        if let Some((one, two)) = formula.split_once('*') {
            return cell(one) * cell(two);
        }
        if let Some((one, two)) = formula.split_once('+') {
            return cell(one) + cell(two);
        }
        let mut parts = formula.split('-').map(cell);
        parts.next().unwrap_or_default() - parts.sum::<f64>()
    }
}

fn workbook(project: &Project, plan: &Plan) -> Vec<u8> {
    xlsx::workbook(project, plan).expect("a workbook")
}

fn amount(money: Money) -> f64 {
    money.text().parse().expect("a decimal")
}

#[test]
fn every_formula_gives_the_value_saved_with_it_which_is_the_plans() {
    let (project, plan) = demo();
    let book = PlanBook::of(workbook(&project, &plan));
    assert!(book.formulas.len() > 60, "{}", book.formulas.len());
    for ((sheet, row, column), formula) in &book.formulas {
        let (saved, worked) = (book.number(sheet, *row, column), book.value(sheet, formula));
        assert!((saved - worked).abs() < 1e-6, "{sheet}!{column}{row} = {formula}: {saved} saved, {worked} worked out");
    }
    let totals = &plan.totals;
    for (says, wanted) in [
        ("on hand", totals.on_hand as f64),
        ("order", totals.order as f64),
        ("custom tank", totals.custom_tank as f64),
        ("deferred", totals.deferred as f64),
        ("needs a decision", totals.needs_decision as f64),
        ("held", totals.held as f64),
        ("vessels", amount(totals.purchase)),
        ("delivery", amount(totals.delivery)),
        ("fluid", amount(totals.fluid)),
        ("tanks of known price", amount(totals.tanks)),
        ("cost", amount(totals.money)),
        ("left of the budget", amount(project.settings.budget.expect("a budget")) - amount(totals.money)),
        ("labour", amount(totals.labour)),
        ("fluid to make up", totals.litres.0 as f64 / 1000.0),
    ] {
        let figure = book.number("summary", book.row("summary", says), "B");
        assert!((figure - wanted).abs() < 1e-6, "{says}: {figure}, the plan has {wanted}");
    }
}

#[test]
fn the_sheets_hold_what_the_files_hold() {
    let (project, plan) = demo();
    let book = PlanBook::of(workbook(&project, &plan));
    let files = [
        ("placements", csv::placements(&project, &plan)),
        ("tanks", csv::tanks(&project, &plan)),
        ("panes", csv::panes(&project, &plan)),
    ];
    for (name, bytes) in files {
        let mut sheet = book.table(name);
        sheet.retain(|row| row.values().next().is_some() && !row.values().any(|cell| cell == "total"));
        let file = rows(&bytes);
        assert_eq!(sheet.len(), file.len(), "{name}");
        for (shown, wanted) in sheet.iter().zip(&file) {
            for (head, cell) in wanted {
                let head = if shown.contains_key(head) { head.clone() } else { format!("{head}, crowns") };
                let same = shown[&head].parse::<f64>().ok().zip(cell.parse::<f64>().ok()).is_some_and(|(a, b)| a == b);
                assert!(same || shown[&head] == *cell, "{name} {head}: {} is not {cell}", shown[&head]);
            }
        }
    }
    let bought: Vec<_> = book.table("order").into_iter().filter(|row| row["kind"] == "vessels").collect();
    assert_eq!(bought.len(), plan.purchases.len());
    let decisions = book.table("needs a decision");
    assert_eq!(decisions.len(), plan.totals.needs_decision);
    assert!(decisions.iter().all(|row| !row["reason"].is_empty()));
    assert_eq!(book.table("make-up").len(), plan.make_up.len() + 1);
}

/// Decimals shown by each style of a workbook; `None` for a style without a number format.
fn decimals_of_styles(archive: &mut zip::ZipArchive<Cursor<Vec<u8>>>) -> Vec<Option<usize>> {
    let mut xml = String::new();
    std::io::Read::read_to_string(&mut archive.by_name("xl/styles.xml").expect("styles"), &mut xml).expect("text");
    let value = |tag: &str, name: &str| {
        let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
        rest.split_once('"').map(|(value, _)| value.to_owned())
    };
    let codes: BTreeMap<String, String> = xml
        .split("<numFmt ")
        .skip(1)
        .filter_map(|tag| Some((value(&format!(" {tag}"), "numFmtId")?, value(&format!(" {tag}"), "formatCode")?)))
        .collect();
    let styles = xml.split_once("<cellXfs").expect("styles of cells").1.split_once("</cellXfs>").expect("their end").0;
    let decimals = |tag: &str| match value(&format!(" {tag}"), "numFmtId")?.as_str() {
        "0" => None,
        // Built-in formats: whole numbers, two decimals. Source: ECMA-376, part 1, 18.8.30.
        "1" | "3" => Some(0),
        "2" | "4" => Some(2),
        id => Some(codes[id].split_once('.').map_or(0, |(_, decimals)| decimals.len())),
    };
    styles.split("<xf ").skip(1).map(decimals).collect()
}

#[test]
fn no_figure_is_shown_with_fewer_decimals_than_its_file_has() {
    let (project, plan) = demo();
    let bytes = workbook(&project, &plan);
    let names = PlanBook::of(bytes.clone()).names;
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).expect("an archive");
    let styles = decimals_of_styles(&mut archive);
    let mut seen = 0;
    for name in ["placements", "tanks", "panes"] {
        let index = names.iter().position(|known| known == name).expect("a sheet") + 1;
        let mut xml = String::new();
        let mut sheet = archive.by_name(&format!("xl/worksheets/sheet{index}.xml")).expect("a sheet");
        std::io::Read::read_to_string(&mut sheet, &mut xml).expect("text");
        for cell in xml.split("<c ").skip(1).filter(|cell| !cell.contains(" t=\"s\"") && cell.contains("<v>")) {
            let figure = cell.split_once("<v>").and_then(|(_, rest)| rest.split_once("</v>")).expect("a value").0;
            let style: usize =
                cell.split("s=\"").nth(1).and_then(|rest| rest.split('"').next()?.parse().ok()).expect("a style");
            let has = figure.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            // Money is shown with two decimals in any case.
            assert!(styles[style].is_some_and(|shown| shown >= has || shown == 2), "{name}: {cell}");
            seen += usize::from(has > 0);
        }
    }
    assert!(seen > 100, "{seen} figures with decimals");
}

/// A stand-in of the length of a digest.
const DIGEST: &str = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef";

fn record(project: &Project, plan: &Plan) -> Vec<u8> {
    bench_record::workbook(project, plan, DIGEST).expect("a workbook")
}

#[test]
fn the_bench_record_has_a_line_for_each_lot_to_move_laid_out_as_readme_says() {
    let (project, plan) = demo();
    let book = PlanBook::of(record(&project, &plan));
    let lines = book.table("done");
    // One of the demo's tanks has no price, so its row waits.
    assert_eq!(lines.len(), plan.totals.placed);
    assert!(plan.totals.unpriced_tanks > 0);
    let blank = |line: &BTreeMap<String, String>| BY_HAND.iter().all(|column| line[column.head].is_empty());
    assert!(lines.iter().all(|line| !line["vessel"].is_empty() && blank(line)));
    assert!(lines.iter().all(|line| line["plan"].starts_with("0123456789ab-")));
    let readme = std::fs::read_to_string("README.md").expect("README.md");
    for column in BY_HAND {
        let line = format!("| `{}` | {} |", column.head, column.meaning);
        assert!(readme.contains(&line), "README lacks {line}");
    }
    assert!(readme.contains(&PRINTED.map(|head| format!("`{head}`")).join(", ")), "README names what was planned");
    assert!(PRINTED.iter().all(|head| lines[0].contains_key(*head)));
}

#[test]
fn the_bench_record_is_checked_as_it_is_filled_in() {
    let (project, plan) = demo();
    let mut archive = zip::ZipArchive::new(Cursor::new(record(&project, &plan))).expect("an archive");
    let mut xml = String::new();
    let mut sheet = archive.by_name("xl/worksheets/sheet1.xml").expect("a sheet");
    std::io::Read::read_to_string(&mut sheet, &mut xml).expect("text");
    assert!(xml.contains("ySplit=\"1\"") && xml.contains("<autoFilter "));
    // Each column has a validation: one of yes or no, four of counts and amounts that may not be negative.
    assert_eq!(xml.matches("<dataValidation ").count(), BY_HAND.len());
    assert_eq!(xml.matches("type=\"list\"").count(), 1);
    assert_eq!(xml.matches("operator=\"greaterThanOrEqual\"").count(), 4);
}

#[test]
fn the_bench_record_of_a_plan_of_any_size_can_be_written() {
    let (project, mut plan) = demo();
    let again: Vec<_> = plan.moved().cloned().collect();
    while plan.placements.len() <= MOST_ROWS {
        plan.placements.extend(again.iter().cloned());
    }
    let lines = PlanBook::of(record(&project, &plan)).heights["done"] as usize - 1;
    assert_eq!(lines, plan.moved().count());
    assert!(lines > MOST_ROWS / 2);
}

#[test]
fn every_sheet_keeps_its_head_in_sight_and_its_rows_can_be_filtered() {
    let (project, plan) = demo();
    let bytes = workbook(&project, &plan);
    let names = PlanBook::of(bytes.clone()).names;
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).expect("an archive");
    for (index, name) in names.iter().enumerate() {
        let mut xml = String::new();
        let mut sheet = archive.by_name(&format!("xl/worksheets/sheet{}.xml", index + 1)).expect("a sheet");
        std::io::Read::read_to_string(&mut sheet, &mut xml).expect("text");
        assert!(xml.contains("ySplit=\"1\"") && xml.contains("state=\"frozen\""), "{name}: the head is not frozen");
        assert!(xml.contains("<autoFilter ") || name == "summary", "{name}: no filter");
        // These sheets have nothing to fill in.
        assert!(!xml.contains("<dataValidation ") && name != "done", "{name}");
    }
}

#[test]
fn a_sheet_without_rows_has_no_formula_that_refers_to_itself() {
    let (project, plan) =
        planned("catalogNumber,length_mm,width_mm,height_mm,fluid,hold\nA-1,50,20,20,ethanol-70,on show\n".into());
    assert!(plan.purchases.is_empty() && plan.tanks.is_empty() && plan.make_up.is_empty() && plan.spent.is_empty());
    let book = PlanBook::of(workbook(&project, &plan));
    for ((sheet, row, column), formula) in &book.formulas {
        let own = (sheet.clone(), *row, column.clone());
        // A name in quotes may hold a hyphen.
        let parts = formula.split(['(', ')', ',', '*', '+', '=']);
        let named = parts.flat_map(|part| if part.contains('\'') { vec![part] } else { part.split('-').collect() });
        let named = named.filter(|name| name.contains(|c: char| c.is_ascii_digit()) && !name.contains('"'));
        assert!(
            !named.flat_map(|name| book.places(sheet, name)).any(|at| at == own),
            "{sheet}!{column}{row} = {formula}"
        );
    }
    // The line of totals is there all the same.
    for (sheet, head) in [("order", "line_total"), ("suppliers", "goods"), ("tanks", "cost"), ("spent fluid", "litres")]
    {
        let rows = book.table(sheet);
        let cell = rows[0].iter().find(|(name, _)| name.starts_with(head)).map(|(_, cell)| cell.as_str());
        assert_eq!((rows.len(), cell), (1, Some("0")), "{sheet}");
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes_whenever_it_is_written() {
    let (project, plan) = demo();
    let first = [workbook(&project, &plan), record(&project, &plan)];
    // The clock of an archive counts in steps of two seconds.
    std::thread::sleep(std::time::Duration::from_millis(2100));
    assert!(first == [workbook(&project, &plan), record(&project, &plan)]);
}

#[test]
fn text_that_a_spreadsheet_would_run_stays_text() {
    let survey = "catalogNumber,scientificName,length_mm,width_mm,height_mm,fluid,=carried\n\
                  '=1+1,'@SUM(A1),50,20,20,ethanol-70,'-2+3\n";
    let (project, plan) = planned(survey.into());
    let book = PlanBook::of(workbook(&project, &plan));
    assert_eq!(book.text("placements", 2, "A"), "=1+1");
    assert!(book.table("placements")[0].values().any(|cell| cell == "-2+3"));
    assert!(book.formulas.keys().all(|(sheet, ..)| sheet != "placements"));
    let book = PlanBook::of(record(&project, &plan));
    assert_eq!((book.text("done", 2, "A"), book.formulas.len()), ("=1+1".to_owned(), 0));
}

#[test]
fn a_large_plan_shows_groups_and_names_the_file() {
    let mut survey = String::from("catalogNumber,length_mm,width_mm,height_mm,fluid,hold\n");
    for number in 0..=MOST_ROWS {
        survey.push_str(&format!("{number},50,20,20,ethanol-70,on show\n"));
    }
    let (project, plan) = planned(survey.into());
    let bytes = workbook(&project, &plan);
    assert!(bytes.len() < 100_000, "{} bytes", bytes.len());
    let book = PlanBook::of(bytes);
    assert!(!book.names.contains(&"placements".to_owned()));
    let remark = book.text("summary", book.row("summary", "every lot"), "D");
    assert!(remark.contains("placements.csv"), "{remark}");
    assert_eq!(book.number("summary", book.row("summary", "held"), "B"), (MOST_ROWS + 1) as f64);
}
