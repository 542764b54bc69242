//! Fluid in whole plans: ladders, fillings, kept fluid, loss and tax, containers and disposal, worked by hand and compared between two
//! plans.

use std::collections::BTreeMap;

use super::support::{Planned, TestProject, figure, row};

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                     JAR,cylinder,70,100,borosilicate,pp-cap-ptfe,40\n";
const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid,current_fluid,current_strength_pct,current_fluid_ml,location\n";

/// The jar is filled with 346.361 ml (π / 4 × 70² × 100 mm less a tenth of its height): 346.
const FILLED: f64 = 346.0;

fn planned(rows: &str, settings: &str) -> Planned {
    case(rows, settings).planned()
}

fn case(rows: &str, settings: &str) -> TestProject {
    TestProject::new()
        .file("specimens.csv", format!("{SURVEY}{rows}"))
        .file("vessels.csv", STOCK)
        .file("settings.toml", settings)
}

/// The line of make-up.csv with this kind and fluid.
fn line<'a>(make_up: &'a [BTreeMap<String, String>], kind: &str, fluid: &str) -> &'a BTreeMap<String, String> {
    make_up
        .iter()
        .find(|line| line["line"] == kind && line["fluid"] == fluid)
        .unwrap_or_else(|| panic!("no {kind} of {fluid}"))
}

#[test]
fn a_row_out_of_formalin_goes_up_the_published_ladder_in_tubs() {
    // Water for two days (USGS Open-File Report 93-104, p. 28), then 30, 50, 70, 75 %: A. J. van Dam, NHCOLL-L list, 30 September
    // 2024; the last is the jar. Tubs of 5 volumes of tissue.
    let prices = "[fluid_price]\nethanol-30 = 1\nethanol-50 = 2\nethanol-70 = 3\nethanol-75 = 4\n";
    let planned = planned("A,60,30,30,40,ethanol-75,formalin-10,,300,\n", prices);
    let placed = planned.placement("A");
    assert_eq!(placed["baths"], "water 200 ml|water 200 ml|ethanol-30 200 ml|ethanol-50 200 ml|ethanol-70 200 ml");
    assert_eq!(placed["bath_days"], "23");
    assert_eq!(placed["charges"], "1");
    // 0.2 × (1 + 2 + 3) + 0.306 × 4
    assert_eq!(figure(placed, "fluid_cost"), 2.424);
    assert_eq!(planned.total("fluid"), 2.424);
    assert_eq!(planned.total("litres"), 0.306);
    // Spent: the present formalin with the two rinses after it, 0.3 + 2 × 0.2, and three baths of alcohol.
    let spent = &planned.make_up;
    assert_eq!(figure(line(spent, "spent", "formaldehyde"), "litres"), 0.7);
    assert_eq!(figure(line(spent, "spent", "alcohol"), "litres"), 0.6);
}

#[test]
fn baths_in_the_vessel_take_a_filling_each() {
    let prices = "baths_in = \"vessel\"\n[fluid_price]\nethanol-30 = 1\nethanol-50 = 2\nethanol-70 = 3\n";
    let planned = planned("A,60,30,30,40,ethanol-70,formalin-10,,,\n", prices);
    assert_eq!(planned.placement("A")["baths"], "water 306 ml|water 306 ml|ethanol-30 306 ml|ethanol-50 306 ml");
    // 0.306 × (1 + 2 + 3 × charges); by added volumes 30, 50, 70 end at 26.8, 47.7, 67.9 % with 40 ml of tissue in 346.
    assert_eq!(planned.placement("A")["charges"], "1");
    assert_eq!(figure(planned.placement("A"), "fluid_cost"), 1.836);
}

#[test]
fn a_weak_row_is_filled_as_often_as_its_tissue_share_asks() {
    // By added volumes, 75 % of the tissue's volume exchanging, a lot at 45 % in 70 %: one filling ends at 67.8 % with 40 ml of tissue in
    // 346, at 64.5 % with 95, at 63.9 % with 103.8 (30 %); two fillings end at 68.7 and 68.5 % with the last two. 65.1 % are enough.
    let rows = "A,60,30,30,40,ethanol-70,ethanol-70,45,,\n\
                B,60,40,40,95,ethanol-70,ethanol-70,45,,\n\
                C,70,39,39,103.8,ethanol-70,ethanol-70,45,,\n\
                D,70,39,39,103.8,ethanol-70,ethanol-70,66,,\n\
                E,70,39,39,103.8,ethanol-70,,,,\n";
    let planned = planned(rows, "");
    let charges = |number| planned.placement(number)["charges"].clone();
    assert_eq!(["A", "B", "C", "D", "E"].map(charges), ["1", "2", "2", "1", "1"]);
    // Two fillings cost twice one.
    let cost = |number| figure(planned.placement(number), "fluid_cost");
    assert!((cost("C") - 2.0 * cost("D")).abs() < 1e-9);
}

#[test]
fn a_lot_keeps_its_fluid_only_where_that_is_switched_on_and_strong_enough() {
    let rows = "A,60,30,30,46,ethanol-70,ethanol-70,,100,\n\
                B,60,30,30,46,ethanol-70,ethanol-70,50,100,\n\
                C,60,30,30,46,ethanol-70,ethanol-70,50,30,\n\
                D,60,30,30,46,ethanol-70,,,100,\n\
                E,60,30,30,46,ethanol-70,denatured-70,,100,\n\
                F,60,30,30,46,ethanol-70,ethanol-70,,9000,\n";
    let kept = |planned: &Planned, number| planned.placement(number)["kept_ml"].clone();
    let numbers = ["A", "B", "C", "D", "E", "F"];
    let off = planned(rows, "");
    assert_eq!(numbers.map(|number| kept(&off, number)), ["0"; 6]);
    let on = planned(rows, "reuse_fluid = \"top-up\"\n[fluid_price]\nethanol-70 = 4\n");
    // B: 100 of 300 ml at 50 % in 70 % end at 63.4 %, below 65.1; C: 30 of them at 68.0 %. D has no present fluid, E has another one.
    assert_eq!(numbers.map(|number| kept(&on, number)), ["100", "0", "30", "0", "0", "300"]);
    assert_eq!(figure(on.placement("A"), "fluid_cost"), 0.8);
    assert_eq!(figure(on.placement("F"), "fluid_cost"), 0.0);
    assert_eq!(figure(on.placement("A"), "fluid_ml"), FILLED - 46.0);
}

#[test]
fn loss_and_tax_count_in_fluid_containers_and_disposal_in_the_amount_to_pay() {
    let rows = "A,60,30,30,46,formalin-10,formalin-10,,250,\nB,60,30,30,46,formalin-10,formalin-10,,250,\n";
    let settings = "[fluid]\nloss_pct = 5\ntax_pct = 20\n[fluid_price]\nformalin-10 = 1\n[disposal_price]\nformaldehyde = 2\n\
                    [containers]\nformaldehyde-37 = \"0.25=3|1=8\"\n";
    let planned = planned(rows, settings);
    // 0.6 l at 1 × 1.05 × 1.2; 0.63 l to make, a tenth of it stock: one small bottle; half a litre to dispose of.
    assert_eq!(planned.total("fluid"), 0.756);
    assert_eq!(planned.total("money"), 0.756);
    let made = line(&planned.make_up, "make", "formalin-10");
    assert_eq!((figure(made, "litres"), figure(made, "concentrate_l"), figure(made, "water_l")), (0.63, 0.063, 0.567));
    let bought = line(&planned.make_up, "buy", "formaldehyde-37");
    assert_eq!((bought["containers"].as_str(), figure(bought, "cost")), ("1 × 0.25 l", 3.0));
    assert_eq!(planned.total("disposal"), 1.0);
    assert_eq!(planned.total("containers"), 2.244);
    assert_eq!(planned.total("to_pay"), 4.0);
}

#[test]
fn an_amount_to_pay_above_the_budget_is_a_warning() {
    let rows = "A,60,30,30,46,formalin-10,formalin-10,,250,\n";
    let settings = "budget = 1\n[fluid_price]\nformalin-10 = 1\n[disposal_price]\nformaldehyde = 20\n";
    let planned = planned(rows, settings);
    assert_eq!(planned.total("placed"), 1.0);
    // 0.3 + 0.25 × 20 - 1
    let said = "the amount to pay, with disposal and whole containers, is 4.30 more than the budget";
    let warnings = planned.plan["warnings"].as_array().expect("a list");
    let over = warnings.iter().find(|one| one["kind"] == "over-budget").expect("it is said");
    assert_eq!((over["by"].as_str(), over["words"].as_str()), (Some("4.30"), Some(said)));
}

#[test]
fn flammable_fluid_is_counted_by_place_before_after_and_at_the_peak() {
    let rows = "A,60,30,30,46,ethanol-70,ethanol-70,,250,Bay 1\n\
                B,60,30,30,46,ethanol-70,formalin-10,,200,Bay 1\n\
                C,60,30,30,46,formalin-10,ethanol-70,,400,Bay 2\n\
                D,60,30,30,46,ethanol-70,,,,Bay 2\n\
                E,600,300,300,4600,unknown,ethanol-70,,5000,Bay 3\n";
    let planned = planned(rows, "");
    let places = planned.plan["flammable"].as_array().expect("a list");
    let place = |name: &str| places.iter().find(|place| place["location"] == name).expect("a place");
    let litres = |name, what: &str| place(name)[what].as_f64().expect("litres");
    // Bay 1: 250 ml now; two fillings of 300 come.
    assert_eq!((litres("Bay 1", "litres_before"), litres("Bay 1", "litres_after")), (0.25, 0.6));
    assert_eq!(litres("Bay 1", "litres_peak"), 0.25 + 0.6);
    // Bay 2: 400 ml leave; D's 300 come, and its present volume is not stated.
    assert_eq!((litres("Bay 2", "litres_before"), litres("Bay 2", "litres_after")), (0.4, 0.3));
    assert_eq!(place("Bay 2")["rows_not_stated"], 1);
    assert_eq!(litres("Bay 2", "litres_peak"), 0.4 + 0.3);
    // The preparation place holds at its peak all that is made up (three jars, and for B and C two baths of 5 × 46 each), and the fluid that
    // lots are emptied of, with the water that rinses alcohol out of C; afterwards the baths and the emptied fluid, for collection.
    let [made, emptied, baths] = [0.9 + 4.0 * 0.23, 0.25 + 0.4 + 0.23, 4.0 * 0.23];
    assert_eq!(litres("preparation place", "litres_before"), 0.0);
    assert!((litres("preparation place", "litres_peak") - made - emptied).abs() < 1e-9);
    assert!((litres("preparation place", "litres_after") - baths - emptied).abs() < 1e-9);
    // Bay 3's lot needs a decision and keeps its fluid.
    assert_eq!((litres("Bay 3", "litres_before"), litres("Bay 3", "litres_after")), (5.0, 5.0));
}

#[test]
fn a_lot_in_a_fluid_without_known_steps_is_placed_with_a_mark() {
    let planned = planned("A,60,30,30,46,ethanol-80,methyl-salicylate,,,\n", "");
    let placed = planned.placement("A");
    assert_eq!((placed["outcome"].as_str(), placed["baths"].as_str()), ("on hand", ""));
    assert!(
        placed["review"].contains("steps from its present fluid to the new one are not known"),
        "{}",
        placed["review"]
    );
}

#[test]
fn steps_of_the_project_replace_those_of_the_built_in_table() {
    let own = "from,to,baths,days_per_bath,source,note\nformalin-10,ethanol-70,ethanol-20|ethanol-40|ethanol-60|ethanol-70,2,ours,\n";
    let planned = case("A,60,30,30,46,ethanol-70,formalin-10,,,\n", "").file("rules/transfers.csv", own).planned();
    assert_eq!(planned.placement("A")["baths"], "ethanol-20 230 ml|ethanol-40 230 ml|ethanol-60 230 ml");
    assert_eq!(planned.placement("A")["bath_days"], "6");
}

#[test]
fn more_on_the_shelf_never_costs_more_and_more_loss_never_costs_less() {
    let rows: String = (0..12)
        .map(|i| format!("R-{i:02},60,30,30,{},ethanol-70,{},,,\n", 20 + i, ["", "formalin-10", "ethanol-50"][i % 3]))
        .collect();
    let money = |shelf: f64, loss: u32| {
        let settings =
            format!("[fluid]\nloss_pct = {loss}\n[fluid_price]\nethanol-70 = 4\nethanol-30 = 2\nethanol-50 = 3\n");
        let shelf = format!("fluid,litres,location\nethanol-70,{shelf},\nethanol-50,{},\n", shelf / 10.0);
        case(&rows, &settings).file("fluid-stock.csv", shelf).planned().total("money")
    };
    let by_shelf = [0.0, 0.5, 2.0, 3.9, 30.0].map(|shelf| money(shelf, 0));
    assert!(by_shelf.windows(2).all(|pair| pair[1] <= pair[0]), "{by_shelf:?}");
    let by_loss = [0, 3, 10].map(|loss| money(1.0, loss));
    assert!(by_loss.windows(2).all(|pair| pair[1] > pair[0]), "{by_loss:?}");
}

#[test]
fn the_screen_names_what_to_make_buy_and_dispose_of() {
    let rows = "A,60,30,30,46,ethanol-70,formalin-10,,250,Bay 1\n";
    let settings = "currency = \"crowns\"\n[containers]\nethanol-96 = \"1=9\"\n[disposal_price]\nalcohol = 1\n";
    let planned = planned(rows, settings);
    for said in [
        "Fluid to make up",
        "Made from, at 20 °C",
        "Fluid to buy (counted in the amount to pay, not in the cost)",
        "1 × 1 l",
        "Spent fluid, by kind",
        "Flammable fluid",
        "To pay",
    ] {
        assert!(planned.ran.stdout.contains(said), "{said} is not in\n{}", planned.ran.stdout);
    }
    assert_eq!(row(&planned.placements, "catalogNumber", "A")["outcome"], "on hand");
}
