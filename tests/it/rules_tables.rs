//! The built-in tables of rules as plain text: complete, unambiguous, with sources, and equal to published values.

mod coverage;

use crate::support::CsvRow;
use rehouse::rules::{Family, TABLES, plain};
use std::collections::{BTreeMap, BTreeSet};

fn table(name: &str) -> Vec<CsvRow> {
    let (_, text) = TABLES.iter().find(|(table, _)| *table == name).expect("a compiled-in table");
    let mut reader = csv::ReaderBuilder::new().flexible(false).from_reader(text.as_bytes());
    reader.deserialize().map(|row| row.expect("a row with as many cells as the header")).collect()
}

fn ids(name: &str, column: &str) -> Vec<String> {
    table(name).iter().map(|row| row[column].clone()).collect()
}

fn row_of(name: &str, column: &str, id: &str) -> CsvRow {
    table(name).into_iter().find(|row| row[column] == id).unwrap_or_else(|| panic!("no {id} in {name}"))
}

fn number(cell: &str) -> f64 {
    cell.parse().unwrap_or_else(|_| panic!("not a number: {cell:?}"))
}

fn list(cell: &str) -> Vec<&str> {
    cell.split('|').filter(|item| !item.is_empty()).collect()
}

fn families() -> Vec<&'static str> {
    Family::NAMES.iter().map(|(name, _)| *name).collect()
}

/// Ids of materials and closures, as `compatibility.csv` names them.
fn parts() -> Vec<String> {
    let mut parts = ids("materials.csv", "material");
    parts.extend(ids("closures.csv", "closure"));
    parts
}

/// Verdict and years of a pair; the fluid's own row overrides its family's.
fn verdict(fluid: &str, part: &str) -> (String, String) {
    let rows = table("compatibility.csv");
    let family = row_of("fluids.csv", "fluid", fluid)["family"].clone();
    [fluid, &family]
        .iter()
        .find_map(|name| rows.iter().find(|row| row["fluid"] == *name && row["part"] == part))
        .map_or(("unproven".to_owned(), String::new()), |row| (row["verdict"].clone(), row["years"].clone()))
}

fn fluids_of(family: &str) -> Vec<String> {
    table("fluids.csv").iter().filter(|row| row["family"] == family).map(|row| row["fluid"].clone()).collect()
}

#[test]
fn every_row_of_every_table_names_its_source() {
    for (name, _) in TABLES {
        let rows = table(name);
        assert!(!rows.is_empty(), "{name} is empty");
        for row in rows {
            assert!(!row["source"].trim().is_empty(), "{name} has a row without a source: {row:?}");
        }
    }
}

#[test]
fn the_tables_have_their_minimum_number_of_rows() {
    assert!(table("fluids.csv").len() >= 15);
    assert!(table("materials.csv").len() >= 12);
    assert!(table("closures.csv").len() >= 15);
    assert_eq!(table("neck-finishes.csv").len(), 22);
}

#[test]
fn ids_are_kebab_case_and_occur_once() {
    let mut all = BTreeSet::new();
    let fluids = ids("fluids.csv", "fluid");
    for id in fluids.iter().chain(&parts()).chain(&ids("neck-finishes.csv", "finish")) {
        assert!(all.insert(id.clone()), "{id} occurs twice");
        let tidy = |piece: &str| {
            !piece.is_empty() && piece.chars().all(|letter| letter.is_ascii_lowercase() || letter.is_ascii_digit())
        };
        assert!(id.split('-').all(tidy), "{id} is not kebab-case");
    }
    for family in families() {
        let shared = fluids.iter().any(|id| id == family);
        assert_eq!(shared, family == "unknown", "a row on {family:?} must mean a fluid or a family, not both");
    }
}

#[test]
fn a_fluid_name_means_one_fluid_only() {
    let mut meaning: BTreeMap<String, String> = BTreeMap::new();
    for row in table("fluids.csv") {
        for name in std::iter::once(row["fluid"].as_str()).chain(list(&row["aliases"])) {
            let earlier = meaning.insert(plain(name), row["fluid"].clone());
            assert_eq!(earlier, None, "{name:?} also stands for {}", row["fluid"]);
        }
    }
    for (typed, fluid) in [
        ("70% EtOH", "ethanol-70"),
        ("Ethanol 96 %", "ethanol-96"),
        ("70 % IMS", "denatured-70"),
        ("IPA 50%", "isopropanol-50"),
        ("10% formalin", "formalin-10"),
        ("formaldehyde 4 %", "formalin-10"),
        ("2% formaldehyde", "formalin-5"),
        ("10% NBF", "nbf-10"),
        ("Kaiserling III", "kaiserling-3"),
        ("oil of wintergreen", "methyl-salicylate"),
    ] {
        assert_eq!(meaning.get(&plain(typed)).map(String::as_str), Some(fluid), "{typed}");
    }
    // An ambiguous strength belongs to no fluid; a name without strength belongs to a fluid that is only a present fluid.
    for typed in ["4% formalin", "10% formaldehyde"] {
        assert_eq!(meaning.get(&plain(typed)), None, "{typed} is ambiguous");
    }
    for typed in ["spirit", "alcohol", "ethanol", "IMS", "meths", "formalin", "glycerol"] {
        let fluid = meaning.get(&plain(typed)).unwrap_or_else(|| panic!("{typed} names no family"));
        assert_eq!(row_of("fluids.csv", "fluid", fluid)["present_only"], "yes", "{typed}");
    }
}

#[test]
fn numbers_of_the_fluids_are_numbers_and_prices_are_money() {
    for row in table("fluids.csv") {
        let id = &row["fluid"];
        assert!(families().contains(&row["family"].as_str()), "{id}: family {}", row["family"]);
        for column in ["strength_pct", "density_g_ml", "flash_c"] {
            assert!(row[column].is_empty() || number(&row[column]) > 0.0, "{id}: {column}");
        }
        let growth = number(&row["growth_20_35_pct"]);
        assert!((0.3..3.0).contains(&growth), "{id}: a liquid grows by {growth} %?");
        let price = &row["price_per_litre"];
        assert!(number(price) >= 0.0, "{id}: price {price}");
        assert!(price.split_once('.').is_none_or(|(_, decimals)| decimals.len() <= 4), "{id}: price {price}");
        let free = ["water", "unknown"].contains(&id.as_str()) || row["present_only"] == "yes";
        assert_eq!(number(price) == 0.0, free, "{id}: every fluid that is bought has a price");
    }
}

#[test]
fn every_fluid_carries_a_hazard_line_and_no_table_calls_anything_safe() {
    for row in table("fluids.csv") {
        assert!(!row["hazard"].is_empty(), "{} has no hazard line", row["fluid"]);
    }
    for (name, text) in TABLES {
        let mut words = text.split(|letter: char| !letter.is_alphanumeric()).map(str::to_lowercase);
        assert!(!words.any(|word| ["safe", "safely", "harmless"].contains(&word.as_str())), "{name}");
    }
}

#[test]
fn lives_and_marks_of_materials_and_closures_are_numbers_and_yes_or_no() {
    for (name, id, mark) in [("materials.csv", "material", "clear"), ("closures.csv", "closure", "plate_sealed")] {
        for row in table(name) {
            assert!(["yes", "no"].contains(&row[mark].as_str()), "{}: {mark}", row[id]);
            assert!(row["life_years"].is_empty() || number(&row["life_years"]) > 0.0, "{}: life", row[id]);
        }
    }
}

#[test]
fn compatibility_names_known_fluids_and_parts_once_and_gives_years_where_limited() {
    let fluids: BTreeSet<String> =
        ids("fluids.csv", "fluid").into_iter().chain(families().into_iter().map(str::to_owned)).collect();
    let parts = parts();
    let mut pairs = BTreeSet::new();
    for row in table("compatibility.csv") {
        let pair = (row["fluid"].clone(), row["part"].clone());
        assert!(fluids.contains(&pair.0), "unknown fluid: {pair:?}");
        assert!(parts.contains(&pair.1), "unknown part: {pair:?}");
        match row["verdict"].as_str() {
            "limited" => assert!(number(&row["years"]) > 0.0, "{pair:?}"),
            "permanent" | "unproven" | "unsuitable" => assert_eq!(row["years"], "", "{pair:?}"),
            other => panic!("{pair:?}: {other}"),
        }
        assert!(pairs.insert(pair.clone()), "{pair:?} occurs twice");
    }
    for family in families().into_iter().filter(|family| *family != "unknown") {
        for part in &parts {
            assert!(pairs.contains(&(family.to_owned(), part.clone())), "nothing said on {family} and {part}");
        }
    }
}

#[test]
fn transfers_pass_through_known_fluids_and_end_in_the_fluid_they_lead_to() {
    let fluids = ids("fluids.csv", "fluid");
    let mut routes = BTreeSet::new();
    for row in table("transfers.csv") {
        let route = (row["from"].clone(), row["to"].clone());
        assert!(fluids.contains(&route.0) || families().contains(&route.0.as_str()), "{route:?}");
        let baths = list(&row["baths"]);
        assert_eq!(baths.last(), Some(&route.1.as_str()), "{route:?}");
        for bath in baths {
            let last_of_family = bath == route.1 && families().contains(&bath);
            assert!(last_of_family || fluids.iter().any(|fluid| fluid == bath), "{route:?}: unknown bath {bath}");
        }
        let days = list(&row["days_per_bath"]);
        assert!(days.iter().all(|days| number(days) > 0.0), "{route:?}");
        assert!([1, list(&row["baths"]).len()].contains(&days.len()), "{route:?}: {} numbers of days", days.len());
        assert!(routes.insert(route.clone()), "{route:?} occurs twice");
    }
}

#[test]
fn the_ladder_from_formaldehyde_to_75_per_cent_ethanol_is_the_published_one() {
    // A. J. van Dam, NHCOLL-L list, 30 September 2024: 30, 50, 70, 75 %.
    let row = table("transfers.csv").into_iter().find(|row| row["from"] == "formaldehyde" && row["to"] == "ethanol-75");
    let row = row.expect("that row");
    // Before the ladder, 48 h of water with one change: Meador, Cuffney and Gurtz, USGS Open-File Report 93-104 (1993), p. 28.
    let ladder = ["water", "water", "ethanol-30", "ethanol-50", "ethanol-70", "ethanol-75"];
    assert_eq!(list(&row["baths"]), ladder);
    assert_eq!(row["days_per_bath"], "1|1|7|7|7|7");
}

#[test]
fn least_bores_equal_the_published_thread_table() {
    // GPI/SPI 400-series finishes, dimension I minimum in mm: BOSL2 open CAD library, bottlecaps.scad, SP 400 table.
    #[rustfmt::skip]
    let published = [
        (18, 8.26), (20, 10.26), (22, 12.27), (24, 13.11), (28, 15.60), (33, 20.09), (38, 25.07), (43, 29.59),
        (45, 31.78), (48, 35.08), (53, 40.08), (58, 44.07), (63, 50.09), (66, 53.09), (70, 57.07), (75, 61.57),
        (77, 64.67), (83, 69.93), (89, 74.12), (100, 84.94), (110, 94.92), (120, 104.93),
    ];
    for (nominal, bore) in published {
        let row = row_of("neck-finishes.csv", "finish", &format!("{nominal}-400"));
        assert!((number(&row["bore_mm"]) - bore).abs() < 0.0501, "{nominal}-400: {} for {bore}", row["bore_mm"]);
        assert!(number(&row["bore_mm"]) < number(&row["thread_mm"]), "{nominal}-400: bore inside the thread");
        assert!(number(&row["height_mm"]) > 0.0, "{nominal}-400: height");
    }
}

#[test]
fn ethanol_densities_and_growths_equal_the_alcoholometric_tables() {
    // OIML R 22, International alcoholometric tables (1975), general formula: kg/m3 at 20 and at 35 °C by % volume.
    let published = [
        (10, 984.71, 980.00),
        (20, 973.56, 967.24),
        (30, 962.21, 953.67),
        (40, 948.05, 937.62),
        (50, 930.14, 918.54),
        (60, 909.11, 896.83),
        (70, 885.56, 872.83),
        (75, 872.79, 859.89),
        (80, 859.27, 846.22),
        (90, 829.18, 815.95),
        (95, 811.38, 798.26),
        (96, 807.42, 794.34),
        (100, 789.24, 776.31),
    ];
    for (strength, cool, warm) in published {
        let row = row_of("fluids.csv", "fluid", &format!("ethanol-{strength}"));
        assert_eq!(number(&row["strength_pct"]), f64::from(strength));
        let density = number(&row["density_g_ml"]);
        assert!((density - cool / 1000.0).abs() < 0.000_051, "{strength} %: {density} for {cool}");
        let growth = number(&row["growth_20_35_pct"]);
        assert!((growth - 100.0 * (cool / warm - 1.0)).abs() < 0.002, "{strength} %: growth {growth}");
    }
    let water = row_of("fluids.csv", "fluid", "water");
    assert!((number(&water["density_g_ml"]) - 0.99820).abs() < 0.000_051);
    assert!((number(&water["growth_20_35_pct"]) - 100.0 * (998.20 / 994.03 - 1.0)).abs() < 0.002);
}

#[test]
fn denatured_alcohol_has_the_figures_of_ethanol_of_its_strength() {
    for strength in [70, 80, 96] {
        let pure = row_of("fluids.csv", "fluid", &format!("ethanol-{strength}"));
        let denatured = row_of("fluids.csv", "fluid", &format!("denatured-{strength}"));
        for column in ["family", "strength_pct", "density_g_ml", "growth_20_35_pct"] {
            assert_eq!(denatured[column], pure[column], "{strength} %: {column}");
        }
    }
}

#[test]
fn glycerol_densities_equal_the_handbook_table() {
    // CRC Handbook of Chemistry and Physics, 102nd ed., Concentrative properties of aqueous solutions: g/ml by % mass.
    for (strength, density) in [(50, 1.1254), (70, 1.1811), (100, 1.2611)] {
        let row = row_of("fluids.csv", "fluid", &format!("glycerol-{strength}"));
        assert!((number(&row["density_g_ml"]) - density).abs() < 0.000_051, "{strength} %: {}", row["density_g_ml"]);
    }
}

#[test]
fn formalin_has_the_name_of_its_stock_share_and_the_strength_of_its_formaldehyde() {
    // 1 part stock in 10 is 4 % formaldehyde: Meador, Cuffney and Gurtz, USGS Open-File Report 93-104 (1993), p. 28.
    for (fluid, formaldehyde) in [
        ("formalin-10", 4.0),
        ("nbf-10", 4.0),
        ("borax-formalin-10", 4.0),
        ("formalin-5", 2.0),
        ("sea-water-formalin-2", 0.8),
    ] {
        let row = row_of("fluids.csv", "fluid", fluid);
        assert_eq!((number(&row["strength_pct"]), row["family"].as_str()), (formaldehyde, "formaldehyde"), "{fluid}");
    }
}

#[test]
fn lives_of_closures_and_materials_are_those_of_common_practice() {
    // Common practice, no source.
    let closures = [
        ("ground-glass-stopper", 25.0),
        ("pp-cap-ptfe", 25.0),
        ("pp-cap-foamed-pe", 15.0),
        ("plate-silicone", 15.0),
        ("clip-silicone", 10.0),
        ("clip-rubber", 3.0),
        ("rubber-bung", 3.0),
        ("snap-pe", 3.0),
        ("waxed-cork", 2.0),
        ("metal-lid", 2.0),
        ("cork", 1.0),
    ];
    for (closure, years) in closures {
        assert_eq!(number(&row_of("closures.csv", "closure", closure)["life_years"]), years, "{closure}");
    }
    for material in ["polystyrene", "ldpe", "pet", "polycarbonate"] {
        assert_eq!(number(&row_of("materials.csv", "material", material)["life_years"]), 5.0, "{material}");
    }
    for material in ["borosilicate", "soda-lime"] {
        assert_eq!(row_of("materials.csv", "material", material)["life_years"], "", "{material} has no limit");
    }
    assert_eq!(verdict("ethanol-70", "plate-silicone"), ("limited".to_owned(), "5".to_owned()));
    assert_eq!(verdict("formalin-10", "plate-silicone").0, "permanent");
    assert_eq!(verdict("nbf-10", "metal-lid"), ("limited".to_owned(), "1".to_owned()));
}

#[test]
fn acrylic_and_san_are_unsuitable_with_every_alcohol() {
    // G. W. Lyons, Plastic Containers for Specimens in Aqueous Solutions, in Storage of Natural History Collections, 1992.
    for fluid in fluids_of("alcohol") {
        for material in ["acrylic", "san"] {
            assert_eq!(verdict(&fluid, material).0, "unsuitable", "{material} with {fluid}");
        }
    }
    assert_eq!(verdict("kaiserling-3", "acrylic").0, "permanent");
}

#[test]
fn oil_of_wintergreen_goes_into_glass_only() {
    // Mounting of Specimens (guwsmedical.info, undated).
    for material in ids("materials.csv", "material") {
        let glass = ["borosilicate", "soda-lime"].contains(&material.as_str());
        assert_eq!(verdict("methyl-salicylate", &material).0 == "permanent", glass, "{material}");
    }
    let plastics =
        ["acrylic", "polycarbonate", "polystyrene", "san", "polypropylene", "hdpe", "ldpe", "pet", "petg", "pvc"];
    for plastic in plastics.iter().chain(&["silicone-bonded-glass"]) {
        assert_eq!(verdict("methyl-salicylate", plastic).0, "unsuitable", "{plastic}");
    }
}

#[test]
fn silicone_bonded_glass_is_for_water_based_fluids_and_unproven_with_alcohol() {
    // S. Moore, Conservation DistList, 14 February 2011, against A. Alvis, the same list 24:38, February 2011.
    for family in ["formaldehyde", "glycerol", "aqueous"] {
        for fluid in fluids_of(family) {
            assert_eq!(verdict(&fluid, "silicone-bonded-glass").0, "permanent", "{fluid}");
        }
    }
    for fluid in fluids_of("alcohol") {
        assert_eq!(verdict(&fluid, "silicone-bonded-glass").0, "unproven", "{fluid}");
    }
    let row = table("compatibility.csv")
        .into_iter()
        .find(|row| row["fluid"] == "alcohol" && row["part"] == "silicone-bonded-glass")
        .expect("a row that says why");
    assert!(row["note"].contains("differ"), "the note tells that sources differ: {}", row["note"]);
}

#[test]
fn closures_known_to_fail_are_unsuitable_with_every_family() {
    // Phenolic: D. Horton, Taxacom list, 5 December 1994. Loose cover: A. Graham, NHCOLL-L list, 4 December 2000.
    for family in families().into_iter().filter(|family| *family != "unknown") {
        for fluid in fluids_of(family) {
            for closure in ["phenolic-cap", "loose-cover"] {
                assert_eq!(verdict(&fluid, closure).0, "unsuitable", "{closure} over {fluid}");
            }
        }
    }
}

#[test]
fn steel_is_unsuitable_with_formaldehyde_that_is_not_buffered() {
    // From memory: corrosion tables on acid formalin and salt, to be checked.
    // Buffered formalin is not acid; no long trial is known, so it is for review.
    for fluid in fluids_of("formaldehyde") {
        let expected =
            if ["nbf-10", "borax-formalin-10"].contains(&fluid.as_str()) { "unproven" } else { "unsuitable" };
        assert_eq!(verdict(&fluid, "stainless-steel-316").0, expected, "{fluid}");
    }
}

#[test]
fn the_lids_a_tank_may_have_are_closures() {
    for lid in ["plate-silicone", "gasketed-lid", "plate-greased", "taped-plate", "loose-cover"] {
        row_of("closures.csv", "closure", lid);
    }
    assert_eq!(row_of("closures.csv", "closure", "plate-silicone")["plate_sealed"], "yes");
    assert_eq!(row_of("closures.csv", "closure", "pp-cap-ptfe")["plate_sealed"], "no");
}
