//! The fire sheet counts all flammable fluid, at its place, by its class.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::support::{Planned, TestProject, number};

const SURVEY: &str =
    "catalogNumber,length_mm,width_mm,height_mm,outline,fluid,current_fluid,current_fluid_ml,location,tissue_ml\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n";

/// The fluid of a place now, at the peak and after, in millilitres.
fn place(plan: &Value, name: &str) -> [f64; 3] {
    let places = plan["flammable"].as_array().expect("a list");
    let place =
        places.iter().find(|place| place["location"] == name).unwrap_or_else(|| panic!("no {name} in {places:?}"));
    ["litres_before", "litres_peak", "litres_after"].map(|name| (number(&place[name]).expect(name) * 1000.0).round())
}

fn ml(planned: &Planned, key: &str, column: &str) -> f64 {
    planned.placement(key)[column].parse().expect("a number")
}

fn sheet(case: &TestProject) -> String {
    fs::read_to_string(case.out().join("fire-sheet.html")).expect("the sheet")
}

/// The cells after the header of the line that begins with this text.
fn line(sheet: &str, begins: &str) -> Vec<String> {
    let row =
        sheet.split("<tr>").find(|row| row.contains(&format!(">{begins}"))).unwrap_or_else(|| panic!("no {begins}"));
    row.split("<td").skip(1).map(cell_text).collect()
}

/// The text of a cell, from after `<td`.
fn cell_text(cell: &str) -> String {
    let inside = cell.split_once('>').map_or("", |(_, inside)| inside).trim_start_matches("<b>");
    inside.split('<').next().unwrap_or_default().to_owned()
}

#[test]
fn owned_bought_bathed_and_spent_fluid_is_counted_where_it_stands() {
    // One lot goes from formalin through a ladder into alcohol, one changes its alcohol; 0.4 l of alcohol 96 % are owned at a place of their
    // own, 0.2 l at no place.
    let survey = format!(
        "{SURVEY}A-1,60,20,20,rounded,ethanol-70,formalin-10,300,bay 1,10\n\
         A-2,60,20,20,rounded,ethanol-70,ethanol-50,400,bay 2,10\n"
    );
    let stock = format!("{STOCK}jar,cylinder,100,150,borosilicate,ground-glass-stopper,2\n");
    let settings = "[fire]\npreparation_place = \"wet bench\"\n[containers]\nethanol-96 = \"2.5=20\"\n";
    let case = TestProject::new()
        .file("specimens.csv", survey)
        .file("vessels.csv", stock)
        .file("fluid-stock.csv", "fluid,litres,location\nethanol-96,0.4,spirit store\nethanol-96,0.2,\n")
        .file("settings.toml", settings);
    let planned = case.planned();
    let jar = ml(&planned, "A-1", "fluid_ml");
    assert_eq!(jar, ml(&planned, "A-2", "fluid_ml"));
    let baths: Vec<(String, f64)> = planned.placement("A-1")["baths"]
        .split('|')
        .filter(|bath| !bath.is_empty())
        .map(|bath| {
            let mut words = bath.split(' ');
            let fluid = words.next().expect("a fluid").to_owned();
            (fluid, words.next().expect("an amount").parse().expect("a number"))
        })
        .collect();
    assert!(!baths.is_empty(), "a ladder of baths");
    let of_alcohol: f64 = baths.iter().filter(|(fluid, _)| fluid.starts_with("ethanol")).map(|(_, ml)| ml).sum();
    let charges = |key| ml(&planned, key, "charges");
    let earlier = jar * (charges("A-1") - 1.0) + jar * (charges("A-2") - 1.0);
    // All that is made up: fillings and baths; the order for it, and what the order leaves in whole containers.
    let made: f64 = jar * (charges("A-1") + charges("A-2")) + of_alcohol;
    let order =
        planned.plan["fluid_orders"].as_array().expect("orders").iter().find(|order| order["fluid"] == "ethanol-96");
    let needed = (number(&order.expect("alcohol is bought")["litres"]).expect("litres") * 1000.0).round();
    assert!(needed > 600.0, "{needed}");
    let bought = ((needed - 600.0) / 2500.0).ceil() * 2500.0;
    let left = bought - (needed - 600.0);
    let spent = 400.0 + of_alcohol + earlier;
    let close = |ours: [f64; 3], hand: [f64; 3]| {
        assert!(ours.iter().zip(hand).all(|(a, b)| (a - b).abs() <= 3.0), "{ours:?} is not {hand:?}")
    };
    close(place(&planned.plan, "bay 1"), [0.0, jar, jar]);
    close(place(&planned.plan, "bay 2"), [400.0, 400.0 + jar, jar]);
    close(place(&planned.plan, "spirit store"), [400.0, 400.0, 0.0]);
    // All 600 ml of owned fluid go into what is made up; the 200 without a place stand at the bench and are not counted twice.
    close(place(&planned.plan, "wet bench"), [200.0, made + left + 400.0, left + spent]);
    // All places: each litre once.
    let all = 400.0 + made + left;
    let sheet = sheet(&case);
    let shown: f64 = line(&sheet, "all places")[2].parse().expect("a number");
    assert!(shown * 1000.0 >= all - 3.0 && shown * 1000.0 < all + 103.0, "{shown} is not {all} rounded up");
    assert!(sheet.contains("wet bench") && sheet.contains("rounded up to the next tenth"));
}

/// By hand: 4 l of alcohol are owned, all of it goes into two jars of alcohol 70 %, and 400 ml of old alcohol are left over.
#[test]
fn owned_and_spent_fluid_is_counted_where_no_preparation_place_is_set() {
    let survey = format!(
        "{SURVEY}A-1,200,120,120,rounded,ethanol-70,ethanol-70,400,bay,\nA-2,200,120,120,rounded,ethanol-70,formalin-10,0,bay,\n"
    );
    let stock = format!("{STOCK}jar,cylinder,160,280,borosilicate,ground-glass-stopper,2\n");
    let case = TestProject::new()
        .file("specimens.csv", survey)
        .file("vessels.csv", stock)
        .file("fluid-stock.csv", "fluid,litres,location\nethanol-96,4,spirit store\n");
    let planned = case.planned();
    let filled = ml(&planned, "A-1", "fluid_ml") + ml(&planned, "A-2", "fluid_ml");
    assert!(filled > 8000.0, "{filled}");
    assert_eq!(place(&planned.plan, "spirit store"), [4000.0, 4000.0, 0.0]);
    let [now, peak, after] = place(&planned.plan, "preparation place");
    assert!(now == 0.0 && peak > filled, "{now}, {peak}: made up there, with the baths");
    assert!(after >= 400.0, "{after}: the old alcohol waits for collection");
}

#[test]
fn lots_that_wait_for_the_price_of_a_tank_stay_as_they_are() {
    let survey = format!("{SURVEY}A-1,400,300,200,box,ethanol-70,ethanol-70,9000,bay 1,\n");
    let stock = format!("{STOCK}jar,cylinder,60,110,borosilicate,ground-glass-stopper,5\n");
    let case = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock);
    let planned = case.planned();
    assert_eq!(planned.total("unpriced_tanks"), 1.0);
    assert_eq!(place(&planned.plan, "bay 1"), [9000.0; 3]);
    // No line of zeros: the fluid of that tank is listed with the tank, and its present fluid as staying.
    let printed = case.plan().stdout;
    assert!(!printed.contains("Fluid to make up") && !printed.contains("0 l ethanol-96"), "{printed}");
    assert!(sheet(&case).contains("waiting for the price of a tank"));
}

/// Two lots in jars of about 5 l: the numbers of vessels that the sheet counts as class IB and as class IC.
fn in_large_jars(fluid: &str, material: &str, rules: Option<&str>) -> [String; 2] {
    let survey = format!(
        "{SURVEY}A-1,200,120,120,rounded,{fluid},{fluid},,bay,\nA-2,200,120,120,rounded,{fluid},{fluid},,bay,\n"
    );
    let stock = format!("{STOCK}jar,cylinder,160,280,{material},ground-glass-stopper,2\n");
    let case = TestProject::new()
        .file("specimens.csv", survey)
        .file("vessels.csv", stock)
        .file("settings.toml", "accept_unproven = true\n");
    let case = match rules {
        Some(table) => case.file("rules/materials.csv", table),
        None => case,
    };
    let planned = case.planned();
    assert_eq!(planned.total("placed"), 2.0);
    let sheet = sheet(&case);
    ["IB", "IC"].map(|class| {
        let cells = line(&sheet, &format!("one glass vessel, class {class}"));
        let after = cells[1].split("after ").nth(1).unwrap_or("0");
        after.split(' ').next().unwrap_or_default().replace("none", "0")
    })
}

/// The cells on glass vessels of class IB and IC and on the tray in the table of quantities, and the screen.
fn large_glass(survey: &str, stock: &str) -> ([String; 2], String, String) {
    let case = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock);
    case.planned();
    let sheet = sheet(&case);
    let of = |class: &str| line(&sheet, &format!("one glass vessel, class {class}"))[1].clone();
    ([of("IB"), of("IC")], line(&sheet, "a tray under")[1].clone(), case.plan().stdout)
}

#[test]
fn present_vessels_of_glass_count_now_and_where_they_stay() {
    let head = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid,current_fluid,current_fluid_ml,\
                current_material,current_vessel,hold\n";
    let stock = format!(
        "{STOCK}jar,cylinder,110,160,borosilicate,ground-glass-stopper,5\nold,cylinder,150,300,soda-lime,ground-glass-stopper,0\n"
    );
    // Held in 9 l of glass; a lot that leaves 2 l; then a lot with nothing stated, one in plastic, one in a listed vessel.
    let held = "A-1,60,20,20,rounded,ethanol-70,ethanol-70,9000,soda-lime,,on show\n";
    let (glass, tray, screen) = large_glass(&format!("{head}{held}"), &stock);
    assert_eq!(glass, ["now 1 vessel, holding 9.0 l; after 1 vessel, holding 9.0 l", "none"]);
    assert_eq!(tray, "9.9 l for 9.0 l");
    let screen = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        screen.contains("0.95 l with class IB: now 1 vessel, holding 9 l; after 1 vessel, holding 9 l"),
        "{screen}"
    );
    assert!(screen.contains("holds 9 l and needs a tray of 9.9 l"), "{screen}");
    let left = "A-1,60,20,20,rounded,ethanol-70,ethanol-70,2000,glass,,\n";
    let (glass, ..) = large_glass(&format!("{head}{left}"), &stock);
    assert!(glass[0].starts_with("now 1 vessel, holding 2.0 l; after 1 vessel of 1.6 l, holding 1."), "{glass:?}");
    let lots = "A-1,60,20,20,rounded,ethanol-70,ethanol-70,,,,on show\n\
                A-2,60,20,20,rounded,ethanol-70,ethanol-70,8000,polypropylene,,on show\n\
                A-3,60,20,20,rounded,ethanol-70,ethanol-70,,,old,on show\n";
    let (glass, tray, _) = large_glass(&format!("{head}{lots}"), &stock);
    let one = "1 vessel of 5.4 l, holding 5.4 l";
    assert_eq!(glass[0], format!("now {one}; not stated for 1 lot; after {one}"));
    assert_eq!(tray, "8.8 l for 8.0 l");
}

#[test]
fn each_line_of_the_table_counts_fluids_of_its_own_class() {
    // Flash points of the built-in table: ethanol 70 % 21 °C, ethanol 50 % 24 °C, ethanol 10 % 49 °C. Class IB ends at
    // 22.8 °C, class IC at 37.8 °C (NFPA 30, Flammable and Combustible Liquids Code, definitions).
    assert_eq!(in_large_jars("ethanol-70", "soda-lime", None), ["2", "0"]);
    assert_eq!(in_large_jars("ethanol-50", "soda-lime", None), ["0", "2"]);
    assert_eq!(in_large_jars("ethanol-10", "soda-lime", None), ["0", "0"]);
}

#[test]
fn glass_is_a_property_of_the_material_not_of_its_name() {
    let head = "material,name,clear,glass,life_years\nsilicone-bonded-glass,Plates,yes,yes,15\n";
    let of = |row: &str| in_large_jars("ethanol-70", "own", Some(&format!("{head}{row}")));
    assert_eq!(of("own,Glass-fibre resin,no,no,\n"), ["0", "0"]);
    assert_eq!(of("own,Kristall,yes,yes,\n"), ["2", "0"]);
    assert_eq!(of("own,Kristall,yes,,\n"), ["2", "0"], "nobody says: it counts");
    // A table without the column `glass`: the built-in table answers for the names it knows.
    let old = "material,name,clear,life_years\nsoda-lime,Lime,yes,\npolypropylene,PP,no,\nsilicone-bonded-glass,Plates,yes,15\n";
    assert_eq!(in_large_jars("ethanol-70", "soda-lime", Some(old)), ["2", "0"]);
    assert_eq!(in_large_jars("ethanol-70", "polypropylene", Some(old)), ["0", "0"]);
}

/// Rows missing from a sheet of quantities must be reported on it, from whichever file they came.
#[test]
fn lines_that_were_left_out_are_counted_on_the_papers_that_miss_them() {
    let sheets = |bad_lots: &str, bad_vessels: &str| {
        let stock = format!("{STOCK}jar,cylinder,100,150,borosilicate,ground-glass-stopper,2\n{bad_vessels}");
        let survey = format!("{SURVEY}A-1,60,20,20,rounded,ethanol-70,,,bay 1,10\n{bad_lots}");
        let case = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock);
        let (project, out) = (case.project(), case.out());
        let flags = ["--skip-bad-rows", "--papers", "all", "--out"].map(Path::new);
        let ran = TestProject::run(&[&[Path::new("plan"), &project], &flags[..], &[&out]].concat());
        let left_out = !bad_lots.is_empty() || !bad_vessels.is_empty();
        assert_eq!(ran.code, i32::from(left_out), "{}", ran.stderr);
        ["fire-sheet.html", "transfer-sheets.html", "labels.html", "report.html"]
            .map(|name| fs::read_to_string(out.join(name)).unwrap_or_else(|_| panic!("no {name}")))
    };
    let lot = "A-2,60,twenty,20,rounded,ethanol-70,,,bay 1,10\n";
    for (lots, vessels, said) in [
        (lot, "", "Left out: 1 line of the survey or stock lists that could not be read"),
        (
            lot,
            "tub,cylinder,wide,150,borosilicate,ground-glass-stopper,2\n",
            "Left out: 2 lines of the survey or stock lists",
        ),
    ] {
        let papers = sheets(lots, vessels);
        for paper in &papers {
            assert!(paper.contains(said), "{said}");
        }
        assert!(papers[0].contains("that could not be read. What they hold is not counted here."), "{}", papers[0]);
    }
    assert!(sheets("", "").iter().all(|paper| !paper.contains("Left out")));
}

#[test]
fn unidentified_fluid_counts_as_flammable_where_it_stands() {
    // R. McPhee and J. Carter, NHCOLL-L list, October 2001: unknown fluid is treated as flammable until it is tested.
    let survey = format!(
        "{SURVEY}A-1,60,20,20,rounded,ethanol-70,old ether,5000,ether room,\n\
         A-2,60,20,20,rounded,ethanol-70,unknown,7000,test room,\n\
         A-3,60,20,20,rounded,unknown,,3000,third room,\n\
         A-4,60,20,20,rounded,unknown,,,third room,\n\
         A-5,60,20,20,rounded,formalin-10,formalin-10,900,wet room,\n"
    );
    let stock = format!("{STOCK}jar,cylinder,100,150,borosilicate,ground-glass-stopper,9\n");
    let case = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock);
    let planned = case.planned();
    for (name, litres) in [("ether room", 5000.0), ("test room", 7000.0), ("third room", 3000.0)] {
        assert_eq!(place(&planned.plan, name), [litres; 3], "{name}");
    }
    assert!(planned.plan["flammable"].as_array().expect("a list").iter().all(|place| place["location"] != "wet room"));
    let sheet = sheet(&case);
    let own = sheet.split("class not stated").nth(1).expect("a section of its own");
    let own = &own[..own.find("</section>").or(own.find("<h2")).unwrap_or(own.len())];
    let of = |begins: &str| -> Vec<Vec<String>> {
        let rows = own.split("<tr>").filter(|row| row.contains(&format!(">{begins}")));
        let cells = |row: &str| row.split("<td").skip(1).map(cell_text).collect();
        rows.map(cells).collect()
    };
    assert_eq!(of("Old ether"), [["ether room", "not stated", "5.0", "0", "5.0"]]);
    assert_eq!(
        of("Fluid not identified"),
        [["third room", "not stated", "3.0", "1", "3.0"], ["test room", "not stated", "7.0", "0", "7.0"]]
    );
    assert!(sheet.contains("Counted as flammable until it is tested"));
    assert!(line(&sheet, "a control area")[1].ends_with("and 15.0 l whose class is not known"));
    let printed = case.plan().stdout;
    assert!(printed.contains("old ether, 5 l now at ether room"), "{printed}");
}

#[test]
fn places_without_a_stated_volume_are_listed_without_zeros() {
    let survey = format!("{SURVEY}A-1,400,300,200,box,ethanol-70,ethanol-70,,bay 1,\n");
    let stock = format!("{STOCK}jar,cylinder,60,110,borosilicate,ground-glass-stopper,5\n");
    let printed = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock).plan().stdout;
    let flammable = printed.split_once("\nFlammable fluid\n").expect("a heading").1;
    assert!(flammable.contains("present volume of 1 lot not stated") && !printed.contains("bay 1  "), "{printed}");
}

#[test]
fn an_own_table_of_hazards_need_not_say_that_ether_is_flammable() {
    let survey = format!("{SURVEY}A-1,60,20,20,rounded,formalin-10,ether,5000,ether room,\n");
    let stock = format!("{STOCK}jar,cylinder,100,150,borosilicate,ground-glass-stopper,9\n");
    let now = |hazards: &str| {
        let case = TestProject::new()
            .file("specimens.csv", &survey)
            .file("vessels.csv", &stock)
            .file("rules/hazards.csv", hazards);
        case.planned().plan["flammable"].as_array().expect("a list").len()
    };
    assert_eq!(now("hazard,aliases,action,words\nether,ether,held,Old ether: call a specialist.\n"), 1);
}
