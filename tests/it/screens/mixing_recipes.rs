//! `mix`: fluids of several parts, names as in a survey, and topping up.

use rehouse::fluid::Solution;
use rehouse::fluid::cautions::FluidCaution;
use rehouse::fluid::parts::PartsRecipe;
use rehouse::intake::default_rules;
use rehouse::words::caution;
use serde_json::Value;

use super::Bench;

/// The bench card of a command, as JSON.
fn card(arguments: &[&str]) -> Value {
    let output = assert_cmd::cargo::cargo_bin_cmd!("rehouse")
        .arg("mix")
        .args(arguments)
        .args(["--format", "json"])
        .output()
        .expect("it runs");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

fn refused(arguments: &[&str]) -> String {
    let output = assert_cmd::cargo::cargo_bin_cmd!("rehouse").arg("mix").args(arguments).output().expect("it runs");
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn figure(card: &Value, name: &str) -> f64 {
    card[name].as_f64().unwrap_or_else(|| panic!("no {name} in {card}"))
}

#[test]
fn every_fluid_that_can_be_made_is_made_under_every_name_a_survey_takes() {
    let rules = default_rules();
    let stocks = ["ethanol-100", "denatured-96", "isopropanol-99", "glycerol-100"];
    for fluid in rules.fluids.iter().filter(|fluid| !fluid.present_only) {
        let solution = Solution::named(&fluid.id);
        let stock = stocks.iter().find(|stock| {
            let stock = Solution::named(stock).expect("a stock");
            solution.is_some_and(|wanted| wanted.solute == stock.solute && wanted.by_mass < stock.by_mass)
        });
        let by_recipe = PartsRecipe::of(&fluid.id).is_some()
            || ["nbf-10", "kaiserling-3"].contains(&fluid.id.as_str())
            || fluid.id.starts_with("formalin-");
        // By its id and its last alias; the table's own test covers the other aliases.
        for name in [&fluid.id, fluid.aliases.last().unwrap_or(&fluid.id)] {
            let made = match (stock, by_recipe) {
                (Some(stock), _) => card(&["--from", stock, "--to", name, "--litres", "2"]),
                (None, true) => card(&["--to", name, "--litres", "2"]),
                // A fluid that is bought ready to use is refused with that reason.
                (None, false) => {
                    let said = refused(&["--to", name, "--litres", "2"]);
                    let bought = said.contains("is bought ready to use") || said.contains("unidentified fluid");
                    assert!(bought || solution.is_some(), "{name}: {said}");
                    continue;
                }
            };
            assert_eq!(made["to"], fluid.id.as_str(), "{name}");
            assert_eq!(figure(&made, "final_l"), 2.0, "{name}");
        }
    }
}

#[test]
fn a_card_of_several_parts_has_its_amounts_and_cautions() {
    let screen = Bench::new().screen("mix --to faa --litres 1");
    for line in ["ethanol 50 %", "glacial acetic acid", "stock formaldehyde", "Recipe: from memory: D. A. Johansen"] {
        assert!(screen.contains(line), "{line}\n{screen}");
    }
    let made = card(&["--to", "FAA", "--litres", "1"]);
    // Ethanol 50 % 90, glacial acetic acid 5, formalin 5 parts (D. A. Johansen, Plant Microtechnique, 1940).
    let parts = ["ethanol_50_l", "acetic_acid_l", "stock_l"].map(|name| figure(&made, name));
    assert_eq!(parts, [0.9, 0.05, 0.05]);
    let said = made["cautions"].to_string();
    assert!(said.contains("bleach") && said.contains("static") && said.contains("Glacial acetic acid"), "{said}");
}

#[test]
fn a_jar_whose_level_fell_is_filled_up_with_more_than_its_own_strength() {
    let made = card(&["--top-up", "1", "--left", "0.9", "--to", "ethanol-70", "--from", "ethanol-96"]);
    // 68.1 to 68.3 % are left of 70 when a tenth has evaporated (Rayleigh's equation with two published equilibria).
    assert!((67.9..=68.3).contains(&figure(&made, "present_pct")), "{made}");
    assert!((figure(&made, "final_pct") - 70.0).abs() < 0.01, "{made}");
    assert!((86.0..90.0).contains(&figure(&made, "with_pct")), "{made}");
    // By mass balance the parts make up what is poured in, which with the present fluid makes the whole.
    let [present, stock, water, whole] = ["present_g", "stock_g", "water_g", "final_g"].map(|name| figure(&made, name));
    assert!((present + stock + water - whole).abs() < 0.001, "{made}");
    assert_eq!(figure(&made, "present_l"), 0.9);
    assert!((figure(&made, "final_l") - 1.0).abs() < 1e-5, "{made}");
    // Topping up with its own strength would weaken it more each time: 62.2 % after five such years by UNIFAC, 61 here.
    assert!((68.0..68.6).contains(&figure(&made, "filled_up_with_wanted_pct")), "{made}");
    assert!((60.5..62.4).contains(&figure(&made, "after_5_with_wanted_pct")), "{made}");
    assert!((figure(&made, "after_20_pct") - 70.0).abs() < 0.4, "{made}");
    assert!(made["notes"].to_string().contains("Strength not measured; "));
}

#[test]
fn a_measured_strength_is_used_and_one_that_no_stock_restores_is_reported() {
    let made = card(&["--top-up", "1", "--left", "0.9", "--to", "70", "--measured", "66"]);
    assert_eq!(figure(&made, "present_pct"), 66.0);
    assert!((figure(&made, "final_pct") - 69.0).abs() < 1.1, "{made}");
    let weak = card(&["--top-up", "1", "--left", "0.9", "--to", "70", "--measured", "50"]);
    assert!(weak["notes"].to_string().contains("take some out and restore it"), "{weak}");
    assert_eq!(weak["with"], "ethanol-96");
    let strong = card(&["--top-up", "1", "--left", "0.95", "--to", "70", "--measured", "80"]);
    assert_eq!(strong["with"], "water");
    let said = refused(&["--top-up", "1", "--left", "0.9", "--to", "isopropanol-50", "--from", "isopropanol-99"]);
    assert!(said.contains("measure its strength"), "{said}");
    assert!(refused(&["--top-up", "1", "--left", "1", "--to", "70"]).contains("not less than --top-up"));
    assert!(refused(&["--top-up", "1", "--left", "0.5", "--to", "nbf-10"]).contains("is for alcohols and glycerol"));
    assert!(
        refused(&["--litres", "1", "--measured", "60", "--to", "ethanol-70"]).contains("--measured gives the strength")
    );
}

#[test]
fn a_suggested_name_keeps_the_number() {
    let said = refused(&["--from", "ethnol-62", "--to", "30", "--litres", "2"]);
    assert!(said.contains("did you mean ethanol-62?"), "{said}");
    let said = refused(&["--to", "alcohol", "--litres", "2"]);
    assert!(said.contains("measure it and write ethanol-"), "{said}");
    let said = refused(&["--to", "Bouin's fluid", "--litres", "2"]);
    assert!(said.contains("Picric acid: explosive when dry"), "{said}");
}

#[test]
fn cautions_appear_where_they_apply() {
    let said = |arguments: &[&str]| card(arguments)["cautions"].to_string();
    let formalin = said(&["--to", "formalin-10", "--litres", "1"]);
    assert!(formalin.contains("hydrochloric acid") && formalin.contains("methanol"), "{formalin}");
    assert!(said(&["--from", "ethanol-96", "--to", "70", "--litres", "1"]).contains("static"));
    assert!(said(&["--from", "glycerol-100", "--to", "70", "--litres", "1"]).contains("takes up water"));
    assert!(said(&["--to", "glutaraldehyde-4", "--litres", "1"]).contains("Glutaraldehyde"));
    assert!(formalin.contains(&*caution::of_fluid(FluidCaution::FormaldehydeNeverWith)), "{formalin}");
    assert!(formalin.contains("holds up to 15 % methanol"), "{formalin}");
    // A recipe with an acid has the caution on pouring it.
    let salts = said(&["--to", "rna-salt-solution", "--litres", "1"]);
    assert!(salts.contains("Sulphuric acid: burns") && salts.contains("never the reverse"), "{salts}");
}

#[test]
fn the_forecast_begins_with_the_measured_strength() {
    let made = card(&["--top-up", "1", "--left", "0.9", "--to", "70", "--measured", "60"]);
    // The first topping up is the one on the card.
    let [wanted, advised] = ["after_1_with_wanted_pct", "after_1_pct"].map(|name| figure(&made, name));
    assert!((wanted - figure(&made, "filled_up_with_wanted_pct")).abs() < 0.05, "{made}");
    assert!((advised - figure(&made, "final_pct")).abs() < 0.2, "{made}");
    assert!(wanted < 62.0, "{made}");
    let same = Bench::new().screen("mix --top-up 1 --left 0.9 --to ethanol-70 --from ethanol-70");
    assert!(!same.contains("with ethanol-70 or with ethanol-70"), "{same}");
    // A strength that is in no table is not printed as an id.
    let screen = Bench::new().screen("mix --top-up 1 --left 0.9 --to ethanol-70 --from ethanol-96");
    assert!(screen.contains("ethanol 87.") || screen.contains("ethanol 88."), "{screen}");
    assert!(!screen.contains("ethanol-8") && !screen.contains("ethanol-68."), "{screen}");
}

#[test]
fn the_stock_is_of_the_same_substance_where_none_is_named() {
    for (to, measured, stock) in [
        ("isopropanol-50", "45", "isopropanol-99"),
        ("denatured-70", "65", "denatured-96"),
        ("glycerol-70", "60", "glycerol-100"),
        ("ethanol-70", "65", "ethanol-96"),
    ] {
        let made = card(&["--top-up", "1", "--left", "0.9", "--to", to, "--measured", measured]);
        assert_eq!(made["from"], stock, "{to}");
        let made = card(&["--restore", "1", "--to", to, "--measured", measured]);
        assert_eq!(made["from"], stock, "{to}");
    }
}

#[test]
fn no_stock_is_suggested_that_cannot_make_the_fluid() {
    for to in ["ethanol-100", "ethanol-96", "denatured-96", "isopropanol-99", "glycerol-100", "ethanol-70", "97"] {
        let said = refused(&["--to", to, "--litres", "5"]);
        match said.split("--from ").nth(1).and_then(|rest| rest.split_whitespace().next()) {
            Some(stock) => drop(card(&["--to", to, "--litres", "5", "--from", stock])),
            None => assert!(said.contains("is bought at this strength") && said.contains("buy it"), "{said}"),
        }
    }
}

#[test]
fn a_recipe_without_masses_has_no_column_for_them() {
    let screen = Bench::new().screen("mix --to faa --litres 1");
    let head = screen.lines().find(|line| line.contains("litres")).expect("a head");
    assert!(!head.trim_end().ends_with(" g") && !head.contains(" g "), "{head}");
    let weighed = Bench::new().screen("mix --to jores --litres 1");
    assert!(weighed.lines().any(|line| line.contains("litres") && line.trim_end().ends_with(" g")), "{weighed}");
}
