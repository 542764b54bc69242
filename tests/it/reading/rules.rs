//! The tables of rules.

use super::{ReadingCase, STOCK, SURVEY, found};
use rehouse::diagnostics::Code;
use rehouse::intake::columns::{FILES, Need};
use rehouse::intake::default_rules;
use rehouse::rules::{FluidId, TABLES, Verdict};

#[test]
fn the_built_in_tables_are_read_whole_without_a_diagnostic() {
    let mut case = ReadingCase::new();
    case.files.retain(|name, _| !name.starts_with("rules/"));
    // A closure of the built-in table, since the small tables are gone.
    let case = case.with("specimens.csv", SURVEY).with("vessels.csv", STOCK.replace("pp-cap", "pp-cap-ptfe"));
    assert_eq!(case.found(), [""; 0]);
    let (read, rules) = (case.project().rules, default_rules());
    assert_eq!(read.fluids, rules.fluids);
    assert_eq!(read.materials, rules.materials);
    assert_eq!(read.closures, rules.closures);
    assert_eq!(read.transfers, rules.transfers);
    let rows = |index: usize| csv::Reader::from_reader(TABLES[index].1.as_bytes()).records().count();
    let lengths = [rules.fluids.len(), rules.materials.len(), rules.closures.len()];
    assert_eq!(lengths, [0, 1, 2].map(rows));
    assert_eq!(rules.neck_finishes.len(), rows(4));
    // A row for a family becomes a transfer for each of its fluids.
    assert!(rules.transfers.len() > rows(5), "{} transfers of {} rows", rules.transfers.len(), rows(5));
    assert!(rules.fluids.iter().all(|fluid| fluid.price_is_default));
}

#[test]
fn a_row_for_a_fluid_beats_a_row_for_its_family() {
    let rules = ReadingCase::new().project().rules;
    let (ethanol_70, ethanol_96, formalin) = (FluidId(0), FluidId(1), FluidId(2));
    let acrylic = rules.material_named("acrylic").unwrap();
    assert_eq!(rules.compatibility.material(ethanol_70, acrylic), Verdict::Unsuitable);
    assert_eq!(rules.compatibility.material(ethanol_96, acrylic), Verdict::Limited(1.0));
    assert_eq!(rules.compatibility.material(formalin, acrylic), Verdict::Unproven);
    assert_eq!(rules.compatibility.closure(ethanol_96, rules.closure_named("pp-cap").unwrap()), Verdict::Limited(15.0));
    assert_eq!(rules.fluids[0].growth_20_35, 0.0146);
    assert_eq!(rules.transfers[0].baths, [ethanol_70, ethanol_70]);
}

#[test]
fn invalid_rows_of_rules_are_refused() {
    let compatibility =
        |row: &str| ReadingCase::new().with("rules/compatibility.csv", format!("fluid,part,verdict,years\n{row}\n"));
    let at = "rules/compatibility.csv";
    found(compatibility("gin,soda-lime,permanent,"), &[&format!("{at}:2:1 unknown-fluid")]);
    found(compatibility("oil,tin,permanent,"), &[&format!("{at}:2:5 unknown-part")]);
    found(compatibility("oil,pp-cap,fine,"), &[&format!("{at}:2:12 unknown-word")]);
    found(compatibility("oil,pp-cap,limited,"), &[&format!("{at}:2:12 years-missing")]);
    found(compatibility("oil,pp-cap,permanent,5"), &[&format!("{at}:2:22 years-not-taken")]);
    found(compatibility("oil,pp-cap,permanent,\noil,PP-cap,unsuitable,"), &[&format!("{at}:3:5 duplicate-pair")]);
    let table = |name: &str, text: &str| ReadingCase::new().with(&format!("rules/{name}"), text);
    found(
        table("materials.csv", "material,name,clear\nsoda-lime,,maybe\n")
            .with("rules/compatibility.csv", "fluid,part,verdict\n"),
        &[
            "rules/compatibility.csv no-rows?",
            "rules/materials.csv:2:11 blank-cell",
            "rules/materials.csv:2:12 unknown-word",
            "settings.toml unknown-material",
        ],
    );
    found(
        table(
            "transfers.csv",
            "from,to,baths,days_per_bath\nalcohol,ethanol-70,ethanol-96,7\ngin,ethanol-70,rum|ethanol-70,7\n",
        ),
        &[
            "rules/transfers.csv:2:20 wrong-last-bath",
            "rules/transfers.csv:3:1 unknown-fluid",
            "rules/transfers.csv:3:16 unknown-fluid",
        ],
    );
    let clash = "fluid,name,aliases,family\nethanol-70,E,,alcohol\nethanol-96,E,ethanol 70,alcohol\nformalin-10,F,,formaldehyde\nbrine,B,,salt\nunknown,U,,unknown\n";
    found(table("fluids.csv", clash), &["rules/fluids.csv:3:1 duplicate-name", "rules/fluids.csv:5:10 unknown-word"]);
}

#[test]
fn a_part_that_is_both_material_and_closure_is_refused() {
    let closures = "closure,name,plate_sealed\npp-cap,Cap,no\nplate-silicone,Plate,yes\nacrylic,Lid,no\n";
    found(
        ReadingCase::new().with("rules/closures.csv", closures),
        &["rules/compatibility.csv:3:9 ambiguous-part", "rules/compatibility.csv:4:12 ambiguous-part"],
    );
}

#[test]
fn bad_rules_stop_the_plan_even_where_bad_rows_are_left_out() {
    let case =
        ReadingCase::new().with("rules/compatibility.csv", "fluid,part,verdict\ngin,pp-cap,permanent\n").skipping();
    assert!(case.read().project.is_none());
}

#[test]
fn a_table_of_more_than_2000_rows_is_refused() {
    let rows: String = (0..2001).map(|i| format!("{i}-400,10,12,14\n")).collect();
    let table = format!("finish,bore_mm,thread_mm,height_mm\n{rows}");
    found(ReadingCase::new().with("rules/neck-finishes.csv", table), &["rules/neck-finishes.csv:2002:1 too-many-rows"]);
}

#[test]
fn a_transfer_to_a_family_holds_for_each_fluid_of_it_without_a_row_of_its_own() {
    let transfers = "from,to,baths,days_per_bath\nformaldehyde,ethanol-96,ethanol-96,9\n\
                     formaldehyde,alcohol,water|ethanol-30|ethanol-70|alcohol,1|2|3|4\n";
    let defaults = |table: &str| {
        let mut case = ReadingCase::new();
        case.files.retain(|name, _| !name.starts_with("rules/"));
        let case = case.with("specimens.csv", SURVEY).with("vessels.csv", STOCK.replace("pp-cap", "pp-cap-ptfe"));
        case.with("rules/transfers.csv", table)
    };
    let rules = defaults(transfers).project().rules;
    let way = |to: &str| {
        let to = rules.fluid_named(to).expect("a fluid");
        let way = rules.transfers.iter().find(|way| way.to == to).expect("a way");
        let baths: Vec<&str> = way.baths.iter().map(|bath| rules.fluid(*bath).id.as_str()).collect();
        (baths.join("|"), way.days.clone())
    };
    assert_eq!(way("ethanol-96"), ("ethanol-96".to_owned(), vec![9.0]));
    assert_eq!(way("ethanol-50"), ("water|ethanol-30|ethanol-50".to_owned(), vec![1.0, 2.0, 4.0]));
    assert_eq!(way("ethanol-100"), ("water|ethanol-30|ethanol-70|ethanol-100".to_owned(), vec![1.0, 2.0, 3.0, 4.0]));
    assert!(rules.transfers.iter().all(|way| !rules.fluid(way.to).present_only));
    let wrong = "from,to,baths,days_per_bath\nformaldehyde,alcohol,water|ethanol-70,1\n";
    found(defaults(wrong), &["rules/transfers.csv:2:22 wrong-last-bath"]);
}

#[test]
fn a_column_of_rules_that_is_misspelt_or_cut_short_is_told() {
    let mut told = 0;
    for file in FILES.iter().filter(|file| file.file.starts_with("rules/")) {
        let name = file.file.trim_start_matches("rules/");
        let (_, table) = TABLES.iter().find(|(table, _)| *table == name).expect("a table");
        for column in file.columns.iter().filter(|column| column.need == Need::Nothing) {
            let doubled = format!("{}{}", &column.name[..1], column.name);
            // A first word that is a column of its own is that one.
            let is_column = |word: &str| file.columns.iter().any(|other| other.name == word);
            let first_word = column.name.split('_').next().filter(|word| word.len() >= 4 && !is_column(word));
            for typed in std::iter::once(doubled.as_str()).chain(first_word) {
                let (header, rows) = table.split_once('\n').expect("rows");
                let header: Vec<&str> =
                    header.split(',').map(|head| if head == column.name { typed } else { head }).collect();
                let case = ReadingCase::new().with(file.file, format!("{}\n{rows}", header.join(",")));
                let reading = case.read();
                let found = reading.diagnostics.iter().find(|found| found.code == Code::UnknownColumn);
                let found = found.unwrap_or_else(|| panic!("{}, {typed}: {:?}", file.file, reading.diagnostics));
                assert_eq!(found.cure.as_deref(), Some(&*format!("if you mean {:?}, rename it", column.name)));
                told += 1;
            }
        }
    }
    assert!(told > 30, "{told}");
}
