//! A generator of bad inputs: each is refused or reported as doubtful, at its place, with a cure, within seconds.

use std::collections::BTreeMap;
use std::panic::catch_unwind;
use std::time::{Duration, Instant};

use rehouse::diagnostics::Severity;
use rehouse::intake::columns::{CellKind, FILES, FileColumns, InputColumn};
use rehouse::intake::read_texts;
use rehouse::settings::Settings;
use rehouse::system::threads::in_threads;

use crate::support::tried as report_tried;

use crate::support::ProjectFiles;

/// A bad input: its kind, a description, the files, and whether an error is due (otherwise a warning is enough).
struct BadInput {
    kind: &'static str,
    what: String,
    files: ProjectFiles,
    is_error: bool,
}

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,fluid,priority,note\nA-1,100,20,30,ethanol-70,3,x\nA-2,90,20,30,formalin-10,2,y\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price\n\
    J-1,cylinder,80,150,soda-lime,pp-cap-ptfe,3,2.50\nJ-2,cylinder,60,110,borosilicate,pp-cap-ptfe,1,1.75\n";

/// A project with small tables of rules: the built-in ones take most of the time to read.
fn files() -> ProjectFiles {
    [
        ("specimens.csv", SURVEY),
        ("vessels.csv", STOCK),
        (
            "rules/fluids.csv",
            "fluid,name,aliases,family,strength_pct,density_g_ml,growth_20_35_pct,flash_c,price_per_litre,hazard\n\
             ethanol-70,Ethanol 70 %,,alcohol,70,0.8855,1.46,17,3.20,flammable\n\
             formalin-10,Formalin 10 %,,formaldehyde,4,1.01,0.5,,1.5,toxic\nunknown,Not identified,,unknown,,,,,,\n",
        ),
        (
            "rules/materials.csv",
            "material,name,clear,life_years\nsoda-lime,Soda-lime glass,yes,\nborosilicate,Borosilicate glass,yes,\n\
             silicone-bonded-glass,Glass,yes,\n",
        ),
        (
            "rules/closures.csv",
            "closure,name,plate_sealed,life_years\npp-cap-ptfe,Cap,no,15\nplate-silicone,Plate,yes,5\n",
        ),
        (
            "rules/compatibility.csv",
            "fluid,part,verdict,years\nalcohol,soda-lime,permanent,\nalcohol,pp-cap-ptfe,limited,15\n",
        ),
        ("rules/neck-finishes.csv", "finish,bore_mm,thread_mm,height_mm\n70-400,61.4,69.7,14.1\n"),
        ("rules/transfers.csv", "from,to,baths,days_per_bath\nformaldehyde,ethanol-70,ethanol-70|ethanol-70,7\n"),
    ]
    .map(|(name, text)| (name.to_owned(), text.into()))
    .into()
}

/// The project with a table of rules in place of a built-in one.
fn with_rules(table: &str, bytes: impl Into<Vec<u8>>) -> ProjectFiles {
    let mut files = files();
    files.retain(|name, _| !name.starts_with("rules/"));
    files.insert(format!("rules/{table}"), bytes.into());
    files
}

fn with(name: &str, bytes: impl Into<Vec<u8>>) -> ProjectFiles {
    let mut files = files();
    files.insert(name.to_owned(), bytes.into());
    files
}

/// Texts that are not a number in any column of numbers.
const NO_NUMBERS: [&str; 36] = [
    "abc",
    "1e3",
    "--5",
    "1.2.3",
    "1,2,3",
    "NaN",
    "inf",
    "-inf",
    "∞",
    "0x10",
    "5 parsecs",
    "−",
    "5..",
    "..5",
    ".",
    ",",
    "½",
    "五",
    "1/2",
    "~5",
    "5-6",
    "5±1",
    "<5",
    "5?",
    "#DIV/0!",
    "=1+1",
    "1_000",
    "five",
    "1 2",
    "5mm5",
    "99999999999999999999999999",
    "-1",
    "1e999",
    "\u{202e}5",
    "5\u{0}5",
    "٣",
];

/// The project with `cell` in this column of this file; the other cells stay valid.
fn with_cell(file: &FileColumns, column: &InputColumn, cell: &str) -> Option<ProjectFiles> {
    let base = match file.name() {
        "specimens" => SURVEY,
        "vessels" => STOCK,
        _ => return None,
    };
    let mut lines = base.lines().map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>()).collect::<Vec<_>>();
    let at = lines[0].iter().position(|head| head == column.name);
    let at = at.unwrap_or_else(|| {
        lines.iter_mut().for_each(|line| line.push(String::new()));
        lines[0].len() - 1
    });
    lines[0][at] = column.name.to_owned();
    lines[1][at] =
        if cell.contains([',', '"', '\n']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell.to_owned() };
    let text: String = lines.iter().map(|line| line.join(",") + "\n").collect();
    Some(with(file.file, text))
}

fn numbers(all: &mut Vec<BadInput>) {
    for file in FILES.iter().filter(|file| matches!(file.name(), "specimens" | "vessels")) {
        for column in file.columns {
            let kind = match column.kind {
                CellKind::Number(..) => "number",
                CellKind::Whole(..) => "whole number",
                CellKind::Money => "money",
                CellKind::Measured(_) => "quantity",
                _ => continue,
            };
            for cell in NO_NUMBERS {
                // Some columns may be negative.
                if cell == "-1" && matches!(column.kind, CellKind::Number(least, _) if least < 0.0) {
                    continue;
                }
                let Some(files) = with_cell(file, column, cell) else { continue };
                all.push(BadInput { kind, what: format!("{} = {cell:?}", column.name), files, is_error: true });
            }
            if let CellKind::Measured(_) = column.kind {
                for unit in ["oz", "ft", "mm2", "m m", "parsec", "kg/m", "°C", "ml/l", "“", "µµ"] {
                    let Some(files) = with_cell(file, column, &format!("5 {unit}")) else { continue };
                    all.push(BadInput {
                        kind: "unit",
                        what: format!("{} = 5 {unit}", column.name),
                        files,
                        is_error: true,
                    });
                }
            }
        }
    }
}

fn words(all: &mut Vec<BadInput>) {
    for file in FILES.iter().filter(|file| matches!(file.name(), "specimens" | "vessels")) {
        for column in file.columns.iter().filter(|column| matches!(column.kind, CellKind::Word(_))) {
            for cell in ["sideways", "yes?", "ja", "0.5", "🐸", "\u{7f}", "x x x"] {
                let Some(files) = with_cell(file, column, cell) else { continue };
                all.push(BadInput { kind: "word", what: format!("{} = {cell:?}", column.name), files, is_error: true });
            }
        }
    }
}

fn shapes(all: &mut Vec<BadInput>) {
    for (name, text) in [("specimens.csv", SURVEY), ("vessels.csv", STOCK)] {
        let lines: Vec<&str> = text.lines().collect();
        let mut push = |kind, what: String, bytes: Vec<u8>, is_error| {
            all.push(BadInput { kind, what: format!("{name}: {what}"), files: with(name, bytes), is_error });
        };
        for (row, line) in lines.iter().enumerate() {
            let cells: Vec<&str> = line.split(',').collect();
            for at in 0..cells.len() {
                let changed = |line: String| {
                    let mut lines: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
                    lines[row] = line;
                    (lines.join("\n") + "\n").into_bytes()
                };
                let mut fewer = cells.clone();
                fewer.remove(at);
                push("ragged row", format!("row {row} without cell {at}"), changed(fewer.join(",")), true);
                let mut more = cells.clone();
                more.insert(at, "7");
                push("ragged row", format!("row {row} with a cell at {at}"), changed(more.join(",")), true);
                for (what, cell) in
                    [("never closed", format!("\"{}", cells[at])), ("text after", format!("\"{}\"x", cells[at]))]
                {
                    let mut quoted: Vec<String> = cells.iter().map(|cell| (*cell).to_owned()).collect();
                    quoted[at] = cell;
                    push("quote", format!("{what} in row {row}, cell {at}"), changed(quoted.join(",")), true);
                }
                if row == 0 && (at < 5 || (name == "vessels.csv" && at < 6)) {
                    let mut renamed: Vec<String> = cells.iter().map(|cell| (*cell).to_owned()).collect();
                    for other in ["", "x", "Länge", "\u{202e}", cells[(at + 1) % 5]] {
                        renamed[at] = other.to_owned();
                        push("header", format!("{} is {other:?}", cells[at]), changed(renamed.join(",")), true);
                    }
                }
            }
        }
        let whole = text.as_bytes();
        for at in (0..whole.len()).step_by(7) {
            for (what, byte) in [("Latin-1", 0xE9_u8), ("no UTF-8", 0xFF), ("half a character", 0xC3)] {
                let mut bytes = whole.to_vec();
                bytes.insert(at, byte);
                push("encoding", format!("{what} at byte {at}"), bytes, true);
            }
        }
        let utf16 = |swap: bool| -> Vec<u8> {
            text.encode_utf16().flat_map(|unit| if swap { unit.to_be_bytes() } else { unit.to_le_bytes() }).collect()
        };
        for (what, bytes) in [
            ("UTF-16 LE", [b"\xFF\xFE".to_vec(), utf16(false)].concat()),
            ("UTF-16 BE", [b"\xFE\xFF".to_vec(), utf16(true)].concat()),
            ("UTF-16 without a mark", utf16(false)),
            ("zeros", vec![0; 500]),
            ("a zero", [whole, b"\0"].concat()),
            ("a workbook", b"PK\x03\x04xxxx".to_vec()),
            ("an old workbook", b"\xD0\xCF\x11\xE0".to_vec()),
            ("nothing", Vec::new()),
            ("blank lines", b"\n\n\r\n".to_vec()),
            ("only a mark", b"\xEF\xBB\xBF".to_vec()),
            ("one long line", vec![b'x'; 2_000_000]),
            ("only separators", vec![b','; 30_000]),
            ("only quotes", vec![b'"'; 30_001]),
        ] {
            push("no table", what.to_owned(), bytes, true);
        }
    }
}

fn keys(all: &mut Vec<BadInput>) {
    for (what, from, to) in [
        ("the same key twice", "A-2", "A-1"),
        ("no key", "A-1", ""),
        ("a blank key", "A-1", "  "),
        ("an unknown fluid", "ethanol-70", "gin"),
        ("a fluid of no strength", "ethanol-70", "ethanol"),
        ("no fluid", "ethanol-70", ""),
        ("a size of zero", ",100,", ",0,"),
        ("a size of kilometres", ",100,", ",9999999,"),
        ("a priority of nine", ",3,x", ",9,x"),
        ("a priority of nothing", ",3,x", ",0,x"),
    ] {
        let text = SURVEY.replacen(from, to, 1);
        all.push(BadInput {
            kind: "key or value",
            what: what.to_owned(),
            files: with("specimens.csv", text),
            is_error: true,
        });
    }
    for (what, from, to) in [
        ("an unknown material", "soda-lime", "unobtainium"),
        ("an unknown closure", "pp-cap-ptfe", "sealing spell"),
        ("no form", "cylinder", ""),
        ("another form", "cylinder", "sphere"),
        ("no bore", ",80,", ",,"),
        ("a bore of nothing", ",80,", ",0,"),
        ("no height", ",150,", ",,"),
        ("no name", "J-1", ""),
        ("two bodies of one name", "J-2", "J-1"),
        ("more than ever were", ",3,2.50", ",999999999999,2.50"),
        ("five decimals", "2.50", "2.50001"),
    ] {
        let text = STOCK.replacen(from, to, 1);
        all.push(BadInput {
            kind: "key or value",
            what: what.to_owned(),
            files: with("vessels.csv", text),
            is_error: true,
        });
    }
}

fn settings(all: &mut Vec<BadInput>) {
    const VALUES: [&str; 12] = [
        "-1",
        "1e300",
        "nan",
        "inf",
        "[1]",
        "{ a = 1 }",
        "1979-05-27",
        "99999999999999999999",
        "0x",
        "\"\"\"",
        "'x",
        "",
    ];
    for key in Settings::KEYS {
        for value in VALUES {
            let text = match key.split_once('.') {
                Some((section, name)) => format!("[{section}]\n{name} = {value}\n"),
                None => format!("{key} = {value}\n"),
            };
            all.push(BadInput {
                kind: "setting",
                what: format!("{key} = {value}"),
                files: with("settings.toml", text),
                is_error: true,
            });
        }
        let text = format!("{key}x = 1\n");
        all.push(BadInput {
            kind: "setting",
            what: format!("{key}x"),
            files: with("settings.toml", text),
            is_error: true,
        });
    }
    let nested = "[".repeat(100_000);
    for (what, text) in [
        ("nested", format!("budget = {nested}")),
        ("tables in tables", format!("{}x = 1", "[a.".repeat(10))),
        ("twice", "budget = 1\nbudget = 2\n".to_owned()),
        ("no TOML", "<settings/>".to_owned()),
        ("a group as a value", "clearance = 5\n".to_owned()),
    ] {
        all.push(BadInput {
            kind: "setting",
            what: what.to_owned(),
            files: with("settings.toml", text),
            is_error: true,
        });
    }
}

/// Tables that cannot be read, or lack a required column. Extra columns are no fault.
fn rules(all: &mut Vec<BadInput>) {
    for (table, text) in rehouse::rules::TABLES {
        let lines: Vec<&str> = text.lines().collect();
        let head = lines.iter().position(|line| !line.starts_with('#')).expect("a header");
        let file = FILES.iter().find(|file| file.file.ends_with(table)).expect("a table of the rules");
        for (at, name) in lines[head].split(',').enumerate() {
            let mut changed: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            let mut cells: Vec<&str> = lines[head].split(',').collect();
            cells.remove(at);
            changed[head] = cells.join(",");
            let files = with_rules(table, changed.join("\n"));
            all.push(BadInput { kind: "rules", what: format!("{table}: no header {name}"), files, is_error: true });
            if file.columns.iter().any(|column| column.name == name && column.required()) {
                changed[head] = lines[head].replacen(name, "nobody_knows_this", 1);
                let files = with_rules(table, changed.join("\n"));
                all.push(BadInput {
                    kind: "rules",
                    what: format!("{table}: {name} named otherwise"),
                    files,
                    is_error: true,
                });
            }
        }
        for bytes in [&b""[..], b"\xFF\xFE", b"\"", b"PK\x03\x04"] {
            let files = with_rules(table, bytes);
            all.push(BadInput { kind: "rules", what: format!("{table}: {bytes:?}"), files, is_error: true });
        }
    }
}

fn other_files(all: &mut Vec<BadInput>) {
    for (name, texts) in [
        (
            "suppliers.csv",
            [
                "supplier,delivery_charge\nA,x\n",
                "supplier\nA\"\n\"x",
                "supplier,supplier\nA,B\n",
                "supplier,lead_days\nA,-1\n",
                "name\nA\n",
            ],
        ),
        (
            "fluid-stock.csv",
            [
                "fluid,litres\ngin,1\n",
                "fluid,litres\nethanol-70,x\n",
                "fluid,litres\nethanol-70,-1\n",
                "fluid\nethanol-70\n",
                "fluid,litres\n,1\n",
            ],
        ),
    ] {
        for text in texts {
            all.push(BadInput {
                kind: "other files",
                what: format!("{name}: {text:?}"),
                files: with(name, text),
                is_error: true,
            });
        }
    }
    for name in ["specimens.csv", "vessels.csv"] {
        let mut files = files();
        files.remove(name);
        all.push(BadInput { kind: "other files", what: format!("no {name}"), files, is_error: true });
        for book in ["specimens.xlsx", "specimens.ods"] {
            let mut both = self::files();
            both.insert(book.to_owned(), b"PK\x03\x04".to_vec());
            all.push(BadInput {
                kind: "other files",
                what: format!("{name} beside {book}"),
                files: both,
                is_error: true,
            });
        }
    }
}

fn all() -> Vec<BadInput> {
    let mut all = Vec::new();
    for make in [numbers, words, shapes, keys, settings, rules, other_files] {
        make(&mut all);
    }
    all
}

/// The fault in the program's answer to a bad input, if any.
fn fault(bad: &BadInput) -> Option<String> {
    let start = Instant::now();
    let files = bad.files.clone();
    let Ok(reading) = catch_unwind(move || read_texts(&files, &[], false)) else {
        return Some("it panicked".to_owned());
    };
    if start.elapsed() > Duration::from_secs(5) {
        return Some(format!("it took {:?}", start.elapsed()));
    }
    if bad.is_error && reading.project.is_some() {
        return Some(format!("it was read: {:#?}", reading.diagnostics));
    }
    if !bad.is_error && reading.project.is_some() && reading.diagnostics.is_empty() {
        return Some("nothing was said".to_owned());
    }
    for found in &reading.diagnostics {
        let text = found.to_string();
        let has_place = !found.place.file.is_empty();
        if !has_place || found.message.is_empty() || found.cure.is_none() || text.len() > 2000 {
            return Some(format!("no place, cause or cure: {text:.300}"));
        }
    }
    let errors = reading.diagnostics.iter().filter(|found| found.severity == Severity::Error).count();
    (errors == 0 && reading.project.is_none()).then(|| "nothing was planned, and no error was told".to_owned())
}

#[test]
fn every_bad_input_is_reported_with_a_place_a_cause_and_a_cure() {
    let all = all();
    let mut tried: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let faults = in_threads(&all, |bad| fault(bad).map(|fault| format!("{}, {}: {fault}", bad.kind, bad.what)));
    for (bad, fault) in all.iter().zip(&faults) {
        let counts = tried.entry(bad.kind).or_default();
        counts.0 += 1;
        counts.1 += usize::from(fault.is_some());
    }
    for (kind, (n, failed)) in &tried {
        report_tried(&format!("bad inputs: {kind}"), *n, &format!("{failed} without place, cause and cure"));
    }
    assert!(all.len() >= 2000, "{}", all.len());
    let faults: Vec<String> = faults.into_iter().flatten().collect();
    assert!(faults.is_empty(), "{} of {}:\n{}", faults.len(), all.len(), faults[..faults.len().min(60)].join("\n"));
}
