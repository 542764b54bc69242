//! Causes by hand: one thing changes in a small project.

use rehouse::comparison::{ChangeCause, ChangeKind, ComparisonNote, End, InputValue, Obstacle, TwoCurrencies};

use super::{Comparison, compare, planned, side, told};
use crate::support::ProjectFiles;

const SURVEY: &str = "\
catalogNumber,length_mm,width_mm,height_mm,outline,posture,tissue_ml,fluid,priority,hold
A,60,40,35,rounded,either,30,ethanol-70,2,
B,60,40,35,rounded,either,30,ethanol-70,3,
";

const STOCK: &str = "\
vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,supplier,unit_price,order_limit
jar-s,cylinder,70,95,soda-lime,pp-cap-foamed-pe,2,,2.00,0
jar-t,cylinder,76,100,soda-lime,pp-cap-foamed-pe,0,,3.00,
jar-u,cylinder,90,120,soda-lime,pp-cap-foamed-pe,0,,4.00,
";

const SETTINGS: &str = "currency = \"crowns\"\n[fluid_price]\nethanol-70 = 4.0\n";

fn files(survey: &str, stock: &str, settings: &str) -> ProjectFiles {
    [("specimens.csv", survey), ("vessels.csv", stock), ("settings.toml", settings)]
        .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .into()
}

/// Compares the project with a changed one, and looks.
fn with(survey: &str, stock: &str, settings: &str, look: impl FnOnce(&Comparison)) {
    let old = planned(&files(SURVEY, STOCK, SETTINGS));
    let new = planned(&files(survey, stock, settings));
    look(&compare(side(&old), side(&new)).expect("one currency"));
}

#[test]
fn a_vessel_that_is_no_longer_listed() {
    let stock: String =
        STOCK.lines().filter(|line| !line.starts_with("jar-s")).map(|line| format!("{line}\n")).collect();
    with(SURVEY, &stock, SETTINGS, |comparison| {
        let (kind, causes, why) = told(comparison, "A");
        assert_eq!(kind, ChangeKind::OtherVessel);
        assert!(causes.contains(&ChangeCause::InTheWay(End::New, Obstacle::NotListed)), "{causes:?}");
        assert!(why.contains("jar-s is no longer in the stock list"), "{why}");
        let gone = comparison.inputs.iter().find(|input| input.entry == "jar-s").expect("it is an input that differs");
        assert_eq!((&gone.old, &gone.new, &*gone.column), (&InputValue::Present, &InputValue::Absent, ""));
    });
}

#[test]
fn a_body_that_no_longer_goes_in() {
    let survey = SURVEY.replace("A,60,40,35,rounded,either,30", "A,85,40,35,rounded,upright,30");
    with(&survey, STOCK, SETTINGS, |comparison| {
        let (kind, causes, why) = told(comparison, "A");
        assert_eq!((kind, &causes[0]), (ChangeKind::MovedWithRow, &ChangeCause::Row));
        assert!(why.starts_with("survey: length_mm 60 → 85, posture either → upright; "), "{why}");
        assert!(why.contains("jar-s is refused now: ") && why.contains(" mm too low"), "{why}");
    });
}

#[test]
fn a_piece_that_a_more_urgent_lot_takes() {
    let survey = format!("{SURVEY}C,60,40,35,rounded,either,30,ethanol-70,1,\n");
    let settings = format!("budget = 3.5\n{SETTINGS}");
    let [old, new] = [SURVEY, &survey].map(|survey| planned(&files(survey, STOCK, &settings)));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, causes, why) = told(&comparison, "B");
    assert_eq!(kind, ChangeKind::NoLongerPlaced);
    assert_eq!(causes[0], ChangeCause::Stated(End::New));
    assert!(why.contains("now: every piece of jar-s is in use, one by C (priority 1)"), "{why}");
    assert_eq!(told(&comparison, "C").0, ChangeKind::NewInSurvey);
    assert_eq!(told(&comparison, "A").0, ChangeKind::Unchanged);
}

#[test]
fn fewer_pieces_on_the_shelf() {
    let stock = STOCK.replace("pp-cap-foamed-pe,2,,2.00,0", "pp-cap-foamed-pe,1,,2.00,0");
    with(SURVEY, &stock, SETTINGS, |comparison| {
        let (kind, causes, why) = told(comparison, "B");
        assert_eq!(kind, ChangeKind::OtherVessel);
        let fewer = Obstacle::FewerFree { here: 1, there: 2 };
        assert!(causes.contains(&ChangeCause::InTheWay(End::New, fewer)), "{causes:?}");
        assert!(why.contains("free pieces of jar-s: 2 → 1"), "{why}");
    });
}

#[test]
fn a_price_that_rises_and_one_that_falls() {
    let none = STOCK.replace("foamed-pe,2,,2.00,0", "foamed-pe,0,,2.00,0");
    let old = planned(&files(SURVEY, &none, SETTINGS));
    let new = planned(&files(SURVEY, &none.replace(",3.00,", ",9.00,"), SETTINGS));
    let there = compare(side(&old), side(&new)).expect("one currency");
    let (kind, _, why) = told(&there, "A");
    assert_eq!(kind, ChangeKind::OtherVessel);
    assert_eq!(why, "price of jar-t: 3.00 → 9.00");
    let back = compare(side(&new), side(&old)).expect("one currency");
    assert_eq!(told(&back, "A").2, "price of jar-t: 9.00 → 3.00");
}

#[test]
fn a_smaller_budget() {
    let none = STOCK.replace("foamed-pe,2,,2.00,0", "foamed-pe,0,,2.00,0");
    let settings = |budget: &str| format!("budget = {budget}\n{SETTINGS}");
    let old = planned(&files(SURVEY, &none, &settings("50")));
    let new = planned(&files(SURVEY, &none, &settings("6")));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, causes, why) = told(&comparison, "B");
    assert_eq!(kind, ChangeKind::NoLongerPlaced);
    assert!(
        causes.iter().any(|cause| matches!(cause, ChangeCause::InTheWay(End::New, Obstacle::SmallerBudget { .. })))
    );
    assert!(why.starts_with("now: waits: by itself ") && why.ends_with("budget: 50.00 → 6.00"), "{why}");
    assert_eq!(comparison.inputs.len(), 1);
}

#[test]
fn a_hold_in_the_survey() {
    let survey = SURVEY
        .replace("A,60,40,35,rounded,either,30,ethanol-70,2,", "A,60,40,35,rounded,either,30,ethanol-70,2,on show");
    with(&survey, STOCK, SETTINGS, |comparison| {
        let (kind, _, why) = told(comparison, "A");
        assert_eq!(kind, ChangeKind::NoLongerPlaced);
        assert_eq!(why, "survey: hold blank → on show; now: hold: on show");
    });
}

#[test]
fn a_setting_that_makes_the_difference() {
    let settings = format!("{SETTINGS}[clearance]\nwall_pct = 25\nwall_max_mm = 30\n");
    with(SURVEY, STOCK, &settings, |comparison| {
        let (kind, causes, why) = told(comparison, "A");
        assert_eq!(kind, ChangeKind::OtherVessel, "{why}");
        assert!(causes.contains(&ChangeCause::SettingsOrRules), "{causes:?}");
        assert!(why.contains("jar-s is refused now: ") && why.contains("settings or rules have changed"), "{why}");
    });
}

#[test]
fn measures_of_a_vessel_that_change() {
    let stock = STOCK.replace("jar-s,cylinder,70,95", "jar-s,cylinder,70,30");
    with(SURVEY, &stock, SETTINGS, |comparison| {
        let (_, causes, why) = told(comparison, "A");
        assert!(causes.contains(&ChangeCause::Measures(End::Old)), "{causes:?}");
        assert!(why.contains("the measures of jar-s in the stock list have changed"), "{why}");
    });
}

#[test]
fn a_lot_that_is_divided_over_more_vessels() {
    let survey = "catalogNumber,individualCount,length_mm,width_mm,height_mm,outline,tissue_ml,fluid,max_vessels\n\
        D,4,60,40,35,rounded,90,ethanol-70,4\n";
    let stock = STOCK.replace("foamed-pe,2,,", "foamed-pe,6,,");
    let settings = format!("{SETTINGS}[tissue]\nshare_pct = 20\n");
    let [old, new] = [SETTINGS, &settings].map(|settings| planned(&files(survey, &stock, settings)));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, causes, _) = told(&comparison, "D");
    assert_eq!((kind, causes), (ChangeKind::OtherPieces, vec![ChangeCause::SettingsOrRules]));
    let place = |end| rehouse::words::comparison::place(&comparison, &comparison.lots[0], end);
    assert_eq!([place(End::Old), place(End::New)], ["jar-s", "2 × jar-s"]);
}

#[test]
fn a_tank_that_costs_more_or_is_larger() {
    let survey =
        "catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid\nT,300,160,150,box,as-set,formalin-10\n";
    let dearer = format!("{SETTINGS}[tank]\ndelivery = 60\n");
    let larger = survey.replace("T,300", "T,360");
    let old = planned(&files(survey, STOCK, SETTINGS));
    let new = planned(&files(survey, STOCK, &dearer));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, causes, _) = told(&comparison, "T");
    assert_eq!((kind, causes), (ChangeKind::OtherTank, vec![ChangeCause::SettingsOrRules]));
    let new = planned(&files(&larger, STOCK, SETTINGS));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, causes, why) = told(&comparison, "T");
    assert_eq!((kind, causes), (ChangeKind::MovedWithRow, vec![ChangeCause::Row]));
    assert_eq!(why, "survey: length_mm 300 → 360");
    let place = |end| rehouse::words::comparison::place(&comparison, &comparison.lots[0], end);
    assert!(
        place(End::Old).starts_with("tank 340 × ") && place(End::New).starts_with("tank 400 × "),
        "{}",
        place(End::New)
    );
}

#[test]
fn a_tank_without_a_price_that_is_larger() {
    let survey =
        "catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid\nT,300,160,150,box,as-set,ethanol-70\n";
    let [old, new] =
        [survey.to_owned(), survey.replace("T,300", "T,360")].map(|survey| planned(&files(&survey, STOCK, SETTINGS)));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, causes, _) = told(&comparison, "T");
    assert_eq!((kind, causes), (ChangeKind::OtherTank, vec![ChangeCause::Row]));
    let place = rehouse::words::comparison::place(&comparison, &comparison.lots[0], End::New);
    assert!(place.starts_with("tank 400 × ") && place.ends_with("no price yet"), "{place}");
}

#[test]
fn a_piece_from_the_shelf_that_goes_to_another_lot() {
    // Without B, A has the only piece that is there.
    let stock = STOCK.replace("foamed-pe,2,,2.00,0", "foamed-pe,1,,2.00,0");
    let alone: String = SURVEY.lines().filter(|line| !line.starts_with("A,")).map(|line| format!("{line}\n")).collect();
    let [old, new] = [alone.as_str(), SURVEY].map(|survey| planned(&files(survey, &stock, SETTINGS)));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, _, why) = told(&comparison, "B");
    assert_eq!(kind, ChangeKind::OtherVessel, "{why}");
    assert_eq!(why, "now: every piece of jar-s is in use, one by A (priority 2)");
    // Where more can be ordered at a price, the lot that has the piece from the shelf is named, and the only lot that differs.
    let stock = STOCK.replace("foamed-pe,2,,2.00,0", "foamed-pe,1,,7.00,");
    let [old, new] = [alone.as_str(), SURVEY].map(|survey| planned(&files(survey, &stock, SETTINGS)));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, _, why) = told(&comparison, "B");
    assert_eq!(kind, ChangeKind::OtherVessel, "{why}");
    assert_eq!(why, "jar-s goes to A (priority 2); only lot that differs in the survey: A");
}

#[test]
fn a_lot_that_is_not_placed_for_another_reason() {
    let unknown =
        SURVEY.replace("A,60,40,35,rounded,either,30,ethanol-70,2,", "A,60,40,35,rounded,either,30,unknown,2,");
    let held = unknown.replace("unknown,2,", "unknown,2,on show");
    let [old, new] = [&unknown, &held].map(|survey| planned(&files(survey, STOCK, SETTINGS)));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, _, why) = told(&comparison, "A");
    assert_eq!(kind, ChangeKind::OtherOutcome);
    assert_eq!(why, "survey: hold blank → on show; before: fluid unknown: test first; now: hold: on show");
}

#[test]
fn a_piece_that_is_ordered_and_no_longer_on_the_shelf() {
    let stock = STOCK.replace("pp-cap-foamed-pe,2,,2.00,0", "pp-cap-foamed-pe,2,,2.00,");
    let fewer = stock.replace("pp-cap-foamed-pe,2,,2.00,", "pp-cap-foamed-pe,1,,2.00,");
    let [old, new] = [&stock, &fewer].map(|stock| planned(&files(SURVEY, stock, SETTINGS)));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let (kind, _, why) = told(&comparison, "B");
    assert_eq!((kind, why.as_str()), (ChangeKind::OtherSupply, "free pieces of jar-s: 2 → 1"));
    let place = |end| rehouse::words::comparison::place(&comparison, &comparison.lots[1], end);
    assert_eq!([place(End::Old), place(End::New)], ["jar-s, on hand", "jar-s, order"]);
    assert_eq!(comparison.orders.len(), 1);
}

#[test]
fn rules_that_differ_are_named_by_row() {
    let mut other = files(SURVEY, STOCK, SETTINGS);
    let closures = rehouse::rules::TABLES.iter().find(|(name, _)| *name == "closures.csv").expect("the table").1;
    let line = closures.lines().find(|line| line.starts_with("pp-cap-foamed-pe,")).expect("the closure");
    let gone = closures.replace(&format!("{line}\n"), &format!("{}\n", line.replace(",15,", ",14,")));
    assert_ne!(gone, closures, "{line}");
    other.insert("rules/closures.csv".to_owned(), gone.into_bytes());
    let [old, new] = [files(SURVEY, STOCK, SETTINGS), other].map(|files| planned(&files));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let found: Vec<_> = comparison.inputs.iter().map(|input| (input.file.file(), &*input.entry)).collect();
    assert_eq!(found, [("rules/closures.csv", "pp-cap-foamed-pe")]);
    assert!(comparison.lots.iter().all(|lot| lot.kind == ChangeKind::Unchanged));
}

#[test]
fn a_row_that_changes_for_people_only() {
    let survey =
        SURVEY.replace("catalogNumber,", "scientificName,notes,catalogNumber,").replace("\nA,", "\nRana,dry,A,");
    let survey = survey.replace("\nB,", "\n,,B,");
    with(&survey, STOCK, SETTINGS, |comparison| {
        let (kind, causes, why) = told(comparison, "A");
        assert_eq!((kind, causes), (ChangeKind::RowOnly, vec![ChangeCause::Row]));
        assert_eq!(why, "survey: scientificName blank → Rana, notes blank → dry");
        assert_eq!(told(comparison, "B").0, ChangeKind::Unchanged);
    });
}

#[test]
fn a_pack_price_alone_changes_the_amount_of_an_order_line() {
    let none = STOCK.replace("foamed-pe,2,,2.00,0", "foamed-pe,0,,2.00,0");
    let [old, new] =
        [none.clone(), none.replace(",3.00,", ",3.50,")].map(|stock| planned(&files(SURVEY, &stock, SETTINGS)));
    let comparison = compare(side(&old), side(&new)).expect("one currency");
    let kinds: Vec<&str> = comparison.orders.iter().map(|line| line.kind.name()).collect();
    assert_eq!(kinds, ["other amount"]);
    assert_eq!(comparison.orders[0].money().text(), "1.00");
    assert!(comparison.lots.iter().all(|lot| lot.kind == ChangeKind::Unchanged));
    assert!(!comparison.is_empty());
}

#[test]
fn other_currencies_are_refused_and_a_blank_one_is_noted() {
    let old = planned(&files(SURVEY, STOCK, SETTINGS));
    let other = planned(&files(SURVEY, STOCK, &SETTINGS.replace("crowns", "thalers")));
    let refused = compare(side(&old), side(&other)).err();
    assert_eq!(refused, Some(TwoCurrencies { old: "crowns".to_owned(), new: "thalers".to_owned() }));
    let unnamed = planned(&files(SURVEY, STOCK, &SETTINGS.replace("crowns", "")));
    let comparison = compare(side(&unnamed), side(&old)).expect("one names none");
    assert_eq!(comparison.notes, [ComparisonNote::NoCurrency(End::Old)]);
    assert_eq!(comparison.currency(), "crowns");
}

#[test]
fn key_columns_that_differ_and_rows_left_out_are_noted() {
    let survey = SURVEY.replace("catalogNumber,", "institutionCode,catalogNumber,");
    let survey = survey.replace("\nA,", "\nX,A,").replace("\nB,", "\nX,B,");
    with(&survey, STOCK, SETTINGS, |comparison| {
        assert_eq!(comparison.notes, [ComparisonNote::OtherKeys]);
        assert_eq!(comparison.lots.len(), 4);
    });
    let survey = SURVEY.replace("\nA,60,", "\nA,x,");
    with(&survey, STOCK, SETTINGS, |comparison| {
        assert_eq!(comparison.notes, [ComparisonNote::LeftOut(End::New, 1)]);
        assert_eq!(told(comparison, "A").0, ChangeKind::GoneFromSurvey);
        let text = super::shown(comparison).text();
        assert!(text.starts_with("LEFT OUT: 1 line that could not be read\n  new: specimens.csv, row 2"), "{text}");
    });
}
