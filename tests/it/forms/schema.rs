//! README, the schema and the messages describe the columns as the reader reads them.

use std::collections::BTreeMap;

use rehouse::diagnostics::Severity;
use rehouse::intake::columns::{CellKind, FILES, FileColumns, InputColumn, Need};
use rehouse::intake::read_texts;
use rehouse::intake::schema::{markdown, table_schema};

/// Files that a person writes, without the tables of the rules.
fn written_by_hand() -> impl Iterator<Item = &'static FileColumns> {
    FILES.iter().filter(|file| !file.file.contains('/'))
}

#[test]
fn readme_describes_every_column_as_the_schema_does() {
    let readme = std::fs::read_to_string("README.md").expect("README.md");
    for file in written_by_hand() {
        let table = markdown(file);
        assert!(readme.contains(&table), "README lacks, as it stands:\n{table}");
    }
}

#[test]
fn the_schema_lists_every_column_in_order_with_its_kind() {
    for file in FILES {
        let schema = table_schema(file);
        let fields = schema["fields"].as_array().expect("fields");
        assert_eq!(fields.len(), file.columns.len());
        for (field, column) in fields.iter().zip(file.columns) {
            assert_eq!(field["name"], column.name);
            assert_eq!(field["description"], column.meaning);
            assert_eq!(field["constraints"]["required"] == true, column.need == Need::EveryCell, "{}", column.name);
            if let CellKind::Word(words) = column.kind {
                assert_eq!(field["constraints"]["enum"], serde_json::json!(words));
            }
        }
    }
}

/// A valid row of each file.
const SOUND: [(&str, &[(&str, &str)]); 2] = [
    (
        "specimens.csv",
        &[
            ("catalogNumber", "1"),
            ("length_mm", "50"),
            ("width_mm", "20"),
            ("height_mm", "20"),
            ("fluid", "ethanol-70"),
        ],
    ),
    (
        "vessels.csv",
        &[
            ("vessel", "jar"),
            ("form", "cylinder"),
            ("inner_diameter_mm", "60"),
            ("inner_length_mm", ""),
            ("inner_width_mm", ""),
            ("inner_height_mm", "90"),
            ("material", "borosilicate"),
            ("closure", "pp-cap-ptfe"),
        ],
    ),
];

/// Error messages on reading both files, with one cell of one of them changed.
fn errors(file: &FileColumns, column: &InputColumn, cell: &str) -> Vec<String> {
    let texts: BTreeMap<String, Vec<u8>> = SOUND
        .iter()
        .map(|(name, cells)| {
            let mut row: BTreeMap<&str, &str> = cells.iter().copied().collect();
            if *name == file.file {
                row.insert(column.name, cell);
            }
            let (header, cells): (Vec<String>, Vec<String>) =
                row.into_iter().map(|(name, cell)| (name.to_owned(), cell.to_owned())).unzip();
            ((*name).to_owned(), rehouse::report::csv::texts(&header, std::iter::once(cells)))
        })
        .collect();
    let found = read_texts(&texts, &[], false).diagnostics;
    found.iter().filter(|found| found.severity == Severity::Error).map(ToString::to_string).collect()
}

#[test]
fn the_reader_enforces_the_words_and_limits_of_the_schema() {
    let mut tried = 0;
    for file in written_by_hand().take(2) {
        for column in file.columns {
            match column.kind {
                CellKind::Word(words) => {
                    for word in words {
                        let found = errors(file, column, word);
                        // A rectangular jar without its sides is another error.
                        let refused = found.iter().any(|error| error.contains("unknown-word"));
                        assert!(!refused, "{} {word}: {found:?}", column.name);
                        tried += 1;
                    }
                    let [error] = &errors(file, column, "otherwise")[..] else { panic!("{}", column.name) };
                    assert!(words.iter().all(|word| error.contains(word)), "{error}");
                }
                CellKind::Number(..) | CellKind::Whole(..) => {
                    let limits = column.kind.limits();
                    let above = format!("{}", limits.end() + 1.0);
                    let found = errors(file, column, &above);
                    assert!(
                        found.iter().any(|error| error.contains(column.name)),
                        "{} {above}: {found:?}",
                        column.name
                    );
                    assert!(
                        !errors(file, column, &limits.end().to_string()).iter().any(|e| e.contains("out-of-range"))
                    );
                    tried += 1;
                }
                _ => {}
            }
        }
    }
    assert!(tried > 20, "{tried}");
}

#[test]
fn a_column_that_every_row_needs_may_not_be_blank_and_one_that_none_needs_may_be_absent() {
    for file in written_by_hand().take(2) {
        for column in file.columns {
            let found = errors(file, column, "");
            let blank = found.iter().any(|error| error.contains("blank-cell"));
            match column.need {
                Need::EveryCell => assert!(blank, "{} may be blank", column.name),
                // A cylinder needs a diameter.
                Need::Nothing if column.name == "inner_diameter_mm" => assert!(blank),
                Need::Nothing => assert!(!blank, "{}: {found:?}", column.name),
                Need::Column => {}
            }
        }
    }
}

#[test]
fn a_row_with_nothing_but_its_number_is_blank() {
    let survey = "row,catalogNumber,length_mm,width_mm,height_mm,fluid\n1,A1,50,20,20,ethanol-70\n2,,,,,\n3,,,,,\n";
    let stock = "row,vessel,form,inner_diameter_mm,inner_height_mm,material,closure\n1,,,,,,\n";
    let texts =
        [("specimens.csv", survey), ("vessels.csv", stock)].map(|(name, text)| (name.to_owned(), text.into())).into();
    let reading = read_texts(&texts, &[], false);
    let collection = reading.project.expect("nothing is wrong").collection;
    assert_eq!((collection.specimens.len(), collection.carried_headers), (1, vec!["row".to_owned()]));
    assert_eq!(reading.diagnostics.len(), 1, "only that there is no vessel: {:?}", reading.diagnostics);
}
