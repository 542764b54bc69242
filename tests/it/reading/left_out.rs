//! Rows with errors, left out on request.

use super::{ReadingCase, STOCK, SURVEY, found, one_vessel};

#[test]
fn rows_with_errors_are_left_out_and_listed_on_request() {
    let survey = format!("{SURVEY}A-2,0,2,x,unknown\nA-3,1,2,3,unknown\nA-1,1,2,3,unknown\nA-4,1\n");
    let reading = ReadingCase::survey(survey.clone()).skipping().read();
    let keys: Vec<String> = reading.project.unwrap().collection.specimens.iter().map(|s| s.key.to_string()).collect();
    assert_eq!(keys, ["A-1", "A-3"]);
    assert_eq!(
        reading.skipped,
        [
            "specimens.csv, row 3: length_mm: \"0\" – must be above zero; height_mm: \"x\" – not a number",
            "specimens.csv, row 6: length_mm: the row has 2 cells, the header 5; the last is \"1\"",
            "specimens.csv, row 5: catalogNumber: the key \"A-1\" is also in row 2",
        ]
    );
    assert_eq!(reading.diagnostics.len(), 4);
    assert!(ReadingCase::survey(survey).read().skipped.is_empty());
}

#[test]
fn rows_that_refer_to_a_row_left_out_are_left_out_too() {
    let stock =
        format!("{STOCK}J-2,cylinder,80,150,tin,pp-cap,2\nJ-3,cylinder,80,150,soda-lime,pp-cap,2\nJ-3,,81,,,,2\n");
    let header = "catalogNumber,length_mm,width_mm,height_mm,fluid,must_use,must_not_use,current_vessel\n";
    let survey = format!("{header}A-1,1,2,3,unknown,J-2,,\nA-2,1,2,3,unknown,J-3,J-2,J-2\nA-3,,,,unknown,,,J-2\n");
    let case = || ReadingCase::stock(stock.clone()).with("specimens.csv", survey.clone());
    let reading = case().skipping().read();
    let project = reading.project.unwrap();
    let ids: Vec<&str> = project.stock.vessels.iter().map(|vessel| vessel.id.as_str()).collect();
    assert_eq!(ids, ["J-1", "J-3"]);
    assert_eq!(project.stock.offers.len(), 2);
    let keys: Vec<String> = project.collection.specimens.iter().map(|s| s.key.to_string()).collect();
    assert_eq!(keys, ["A-2"]);
    assert_eq!(reading.skipped.len(), 4);
    assert!(reading.skipped[2].starts_with(
        "specimens.csv, row 2: must_use: row 3 of vessels.csv, which describes \"J-2\", could not be read"
    ));
    // Without `--skip-bad-rows` an error of the stock list is not repeated at every row that refers to it.
    found(case(), &["vessels.csv:3:21 unknown-material", "vessels.csv:5:6 contradictory-rows"]);
}

#[test]
fn a_contradictory_vessel_is_left_out_with_all_its_rows() {
    let stock = format!("{}9,J-1,,,,,\n", one_vessel("mouth_diameter_cm", "9"));
    let reading = ReadingCase::stock(stock).skipping().read();
    assert!(reading.project.unwrap().stock.vessels.is_empty());
    assert_eq!(reading.skipped.len(), 2);
    assert!(reading.skipped[1].starts_with("vessels.csv, row 3: an offer of \"J-1\""));
}

#[test]
fn an_offer_without_measures_is_left_out_with_the_row_that_has_them() {
    let case = ReadingCase::stock(STOCK.replace("2.50", "x") + "J-1,,,,,,2\n").skipping();
    assert_eq!(case.found(), ["vessels.csv:2:38 not-a-number", "vessels.csv:3:1 vessel-left-out"]);
    let reading = case.read();
    assert!(reading.project.unwrap().stock.vessels.is_empty());
    assert_eq!(
        reading.skipped[1],
        "vessels.csv, row 3: vessel: \"J-1\" is not fully described without row 2, which is left out"
    );
    // A row that describes the vessel in full stands by itself.
    let case = ReadingCase::stock(STOCK.replace("2.50", "x") + "J-1,cylinder,81,150,soda-lime,pp-cap,2\n").skipping();
    assert_eq!(case.project().stock.vessels[0].line, 3);
}

#[test]
fn an_error_of_a_whole_file_stops_the_plan_even_with_skip_bad_rows() {
    assert!(ReadingCase::survey(SURVEY.replace("width_mm", "x")).skipping().read().project.is_none());
    assert!(ReadingCase::survey(format!("{SURVEY}A-2,\"")).skipping().read().project.is_none());
}

#[test]
fn an_offer_is_left_out_with_its_suppliers_row() {
    let suppliers = "supplier,minimum_order\nZed,-1\n";
    let case = || {
        ReadingCase::stock(one_vessel("unit_price,supplier", "2,Zed") + "2,,J-2,cylinder,80,150,soda-lime,pp-cap\n")
            .with("suppliers.csv", suppliers)
    };
    found(case().skipping(), &["suppliers.csv:2:5 negative", "vessels.csv:2:3 supplier-left-out"]);
    assert_eq!(case().skipping().project().stock.vessels.len(), 1);
    found(case(), &["suppliers.csv:2:5 negative"]);
}
