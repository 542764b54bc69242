//! Answers about tanks on which finite elements disagreed with the program (bicubic Hermite plates of S. K. Bogner, R. L. Fox and
//! L. A. Schmit, 1965, in Python), and the order of work printed for them.

use std::path::Path;

use serde_json::Value;

use super::support::{TestProject, number};

/// The answer of `tank --format json` for a tank of these clear sides, in mm.
fn answer(sides: [u32; 3], fluid: &str, settings: &[&str]) -> Value {
    let sides = sides.map(|side| side.to_string());
    let [length, width, height] = &sides;
    let mut words = vec!["tank", "--length", length, "--width", width, "--height", height];
    words.extend(["--fluid", fluid, "--format", "json"]);
    words.extend(settings.iter().flat_map(|setting| ["--set", setting]));
    let ran = TestProject::run(&words.into_iter().map(Path::new).collect::<Vec<_>>());
    serde_json::from_str(&ran.stdout).unwrap_or_else(|_| panic!("{}\n{}", ran.stdout, ran.stderr))
}

fn figure(answer: &Value, name: &str) -> f64 {
    number(&answer[name]).unwrap_or_else(|| panic!("no {name} in {answer}"))
}

fn lines(answer: &Value, name: &str) -> Vec<String> {
    let lines = answer[name].as_array().unwrap_or_else(|| panic!("no {name} in {answer}"));
    lines.iter().map(|line| line.as_str().expect("a sentence").to_owned()).collect()
}

/// The position of the first step of the order of work that contains all these words.
fn step(answer: &Value, words: &[&str]) -> usize {
    let steps = lines(answer, "order_of_work");
    let found = steps.iter().position(|step| words.iter().all(|word| step.contains(word)));
    found.unwrap_or_else(|| panic!("no step with {words:?}: {steps:#?}"))
}

/// The thickness in mm of the panes with this name.
fn pane(answer: &Value, name: &str) -> f64 {
    let panes = answer["panes"].as_array().expect("panes");
    figure(panes.iter().find(|pane| pane["pane"] == name).unwrap_or_else(|| panic!("no {name}")), "thickness_mm")
}

/// Finite elements: walls of 5 mm are stressed to 4.4 MPa with their rim held, and to 10.7 MPa with a free rim under water.
#[test]
fn a_lid_or_brace_that_holds_the_walls_is_bonded_before_the_water_test() {
    let held = answer([1200, 250, 300], "formalin-10", &["tank.lid_supports_walls=true"]);
    assert!(step(&held, &["bond", "the lid"]) < step(&held, &["fill with water"]), "{held}");
    let braced = answer([2000, 400, 400], "formalin-10", &[]);
    assert!(braced["construction"].as_str().is_some_and(|words| words.contains("braced")), "{braced}");
    assert!(step(&braced, &["bond", "strip"]) < step(&braced, &["fill with water"]), "{braced}");
}

/// By hand: 70 % glycerol has 1.1811 g/ml at 20 °C (CRC Handbook of Chemistry and Physics, 102nd ed., Concentrative properties of
/// aqueous solutions), so water of the same depth gives at most 998 / 1181 = 85 % of its pressure; for formalin of 1.007 g/ml, 99 %.
#[test]
fn a_fluid_denser_than_water_needs_more_than_the_water_test() {
    let glycerol = answer([300, 200, 300], "glycerol-70", &[]);
    let water = step(&glycerol, &["fill with water"]);
    assert!(step(&glycerol, &["Fill once more with this fluid"]) > water, "{glycerol}");
    assert!(step(&glycerol, &["Fill once more with this fluid"]) < step(&glycerol, &["put the specimen in"]));
    let formalin = answer([300, 200, 300], "formalin-10", &[]);
    assert!(step(&formalin, &["Mark that level"]) > step(&formalin, &["fill with water"]), "{formalin}");
    assert!(!lines(&formalin, "order_of_work").concat().contains("once more"));
}

/// Finite elements: 0.20 kPa of gas stresses a lid of 8 mm over 1000 × 800 mm to its limit; walls of 4 mm withstand 14.6 kPa.
#[test]
fn the_stated_gas_pressure_is_that_of_the_weakest_part() {
    let tank = answer([1000, 800, 80], "formalin-10", &[]);
    assert!(pane(&tank, "lid") <= 8.0, "{tank}");
    assert!(figure(&tank, "gas_to_limit_kpa") <= 0.21, "{tank}");
    assert!(tank["gas_to_limit_in"].as_str().is_some_and(|part| part.contains("lid")), "{tank}");
}

/// Finite elements: a lid of 4 mm over 2000 × 2000 mm is stressed to 7.36 MPa by its own weight and sags 19 mm. Stress grows with the
/// square of the span: 7.36 × (1500 / 2000)² = 4.1 MPa over 1500 mm, before any hand or hole, of 4.3 allowed at an edge as cut
/// (EN 16612:2019, second-hand).
#[test]
fn the_thickness_of_a_lid_is_chosen_apart_from_that_of_the_walls() {
    let wide = answer([2000, 2000, 80], "formalin-10", &[]);
    assert!(wide["designed"] == false || pane(&wide, "lid") > 8.0, "{wide}");
    let tank = answer([1500, 1500, 80], "formalin-10", &[]);
    assert!(pane(&tank, "lid") > pane(&tank, "long wall"), "{tank}");
    assert!(pane(&tank, "lid") >= 8.0, "{tank}");
    assert!(figure(&tank, "lid_opening_mpa") <= 4.3 && figure(&tank, "lid_sag_mm") <= 7.5, "{tank}");
}

/// By hand, a square plate on four edges with Poisson's ratio 0.22: 0.26964 q (a / t)², where q is the load of the fluid and of the glass
/// itself, 2500 kg/m³; float glass may be 0.2 mm thinner up to 6 mm, and 0.3 mm up to 12 (PN-EN 12150, as EN 572-2).
#[test]
fn the_load_on_a_base_includes_its_own_weight() {
    for (side, nominal, thinner) in [(800, 6.0, 0.2), (1000, 8.0, 0.3)] {
        let tank = answer([side, side, 80], "formalin-10", &[]);
        assert_eq!((&tank["stress_in"], figure(&tank, "base_mm")), (&Value::from("base"), nominal), "{tank}");
        let load = figure(&tank, "floor_kpa") + 2500.0 * 9.80665 * nominal * 1e-6;
        let stress = 0.26964 * load * (f64::from(side) / (nominal - thinner)).powi(2) * 1e-3;
        let stated = figure(&tank, "stress_mpa");
        assert!((stated - stress).abs() < 0.002 * stress, "{stated} stated, {stress} by hand");
    }
}

/// Finite elements: the joint round the base is stressed to 0.160 MPa and the upright joint to 0.146, where 0.129 and 0.106 were stated;
/// 0.14 MPa is the short-term value of structural glazing (ETAG 002, from memory).
#[test]
fn a_tank_with_joints_stressed_above_practice_needs_a_decision() {
    for sides in [[450, 450, 900], [800, 700, 800]] {
        let tank = answer(sides, "formalin-10", &[]);
        assert_eq!(tank["designed"], false, "{tank}");
        assert!(lines(&tank, "helps").iter().any(|cure| cure.contains("tank.seam_mpa")), "{tank}");
    }
    let long = answer([700, 150, 500], "formalin-10", &[]);
    let seams = ["seam_upright_mpa", "seam_base_mpa"].map(|name| figure(&long, name));
    assert!(seams.iter().all(|stress| *stress <= 0.07), "{seams:?}");
    assert!(!lines(&long, "warnings").concat().contains("advised"), "{long}");
}

/// The least bite of structural glazing is 6 mm (ETAG 002, from memory). In 700 × 150 × 500 mm walls of 12 mm with a base of 19 mm
/// keep every limit, so walls of 15 mm are not chosen.
#[test]
fn joints_are_six_millimetres_wide_and_walls_and_base_are_chosen_apart() {
    let small = answer([200, 100, 150], "formalin-10", &[]);
    assert!(["long wall", "end wall", "base", "lid"].iter().all(|name| pane(&small, name) >= 6.0), "{small}");
    let long = answer([700, 150, 500], "formalin-10", &[]);
    assert_eq!(["long wall", "base"].map(|name| pane(&long, name)), [12.0, 19.0], "{long}");
}

/// EN 16612:2019 (second-hand): 7.25 / 1.35 = 5.4 MPa under a permanent load; at a ground edge 4.8 MPa. Glass of 5 mm would be stressed
/// to 6.5 MPa at the free edge of 640 × 320 mm.
#[test]
fn an_allowable_stress_above_five_is_a_warning_and_the_free_edge_keeps_its_limit() {
    let tank = answer([640, 100, 320], "formalin-10", &["tank.allowable_mpa=7.25"]);
    assert!(pane(&tank, "long wall") >= 6.0 && figure(&tank, "stress_mpa") <= 4.8, "{tank}");
    let said = lines(&tank, "warnings").join("\n");
    assert!(said.contains("without a load factor (EN 16612: 7.25 / 1.35 = 5.4 MPa)"), "{said}");
}

#[test]
fn a_tank_too_heavy_for_two_people_needs_a_mechanical_lift() {
    let heavy = answer([1500, 400, 400], "formalin-10", &[]);
    assert!(figure(&heavy, "empty_kg") > 40.0, "{heavy}");
    assert!(lines(&heavy, "warnings").iter().any(|said| said.contains("mechanical lift")), "{heavy}");
    assert!(step(&heavy, &["mechanical lift"]) < step(&heavy, &["put the specimen in"]));
}
