//! plan.json: a written plan reads back equal, and any field that is unknown, missing, of another kind or superfluous is refused with
//! its path.

mod tanks;

use rehouse::audit::audit;
use rehouse::decision::{Aim, Certificate, Level, Proof, Status};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::saved::{BENCH_RECORD, Listed, as_shown, files, from_json, gap, to_json};
use rehouse::units::Money;
use rehouse::words::warning;
use serde_json::{Value, json};

use crate::audit_mutations::{planned, scenes};

/// A change of a saved plan.
type PlanJsonChange = fn(&mut Value);

fn both() -> [(Project, Plan); 2] {
    [planned(scenes::every_outcome()), planned(scenes::divided_lot())]
}

fn listed() -> Vec<Listed> {
    vec![("placements.csv".to_owned(), Some("0123456789abcdef".repeat(4))), (BENCH_RECORD.to_owned(), None)]
}

#[test]
fn a_saved_plan_reads_back_equal_and_is_written_the_same() {
    for (project, plan) in both() {
        let written = to_json(&project, &plan, &listed());
        let read = from_json(&project, &written).unwrap();
        assert_eq!(String::from_utf8(to_json(&project, &read, &listed())), String::from_utf8(written.clone()));
        assert_eq!(files(&written), Ok(listed()));
        assert!(written.ends_with(b"}\n"));
    }
}

#[test]
fn a_key_that_stands_twice_is_refused() {
    let (project, plan) = planned(scenes::every_outcome());
    let text = String::from_utf8(to_json(&project, &plan, &listed())).unwrap();
    let twice = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        let found = from_json(&project, text.replacen(from, to, 1).as_bytes()).unwrap_err();
        assert!(found.iter().any(|found| found.contains("occurs twice")), "{to}: {found:?}");
    };
    twice(r#""status":"#, r#""status": "best found", "status":"#);
    twice(r#""placements":"#, r#""placements": [], "placements":"#);
    twice(r#""level":"#, r#""level":"deferred-1","level":"#);
    twice(r#""outcome":"#, r#""outcome":"deferred","outcome":"#);
    twice(r#""sha256":"#, r#""sha256":"0","sha256":"#);
}

#[test]
fn a_saved_plan_passes_the_audit_as_it_did_before() {
    for (project, plan) in both() {
        let read = from_json(&project, &to_json(&project, &plan, &[])).unwrap();
        assert_eq!(audit(&project, &read), Vec::new());
    }
}

#[test]
fn copies_of_the_built_in_rules_beside_a_plan_replace_nothing() {
    let survey = "catalogNumber,length_mm,width_mm,height_mm,fluid\nA-01,60,20,20,ethanol-70\n";
    let vessels = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                   JAR-50,cylinder,50,90,borosilicate,pp-cap-ptfe,1\n";
    let materials = rehouse::rules::TABLES.iter().find(|(name, _)| *name == "materials.csv").unwrap().1;
    let fewer: String =
        materials.lines().filter(|line| !line.starts_with("acrylic,")).map(|line| format!("{line}\n")).collect();
    assert!(fewer.len() < materials.len());
    let names: Vec<String> = rehouse::rules::TABLES.iter().map(|(name, _)| format!("rules/{name}")).collect();
    for own_materials in [None, Some(fewer.as_str())] {
        let mut files = vec![("specimens.csv", survey), ("vessels.csv", vessels)];
        files.extend(own_materials.map(|text| ("rules/materials.csv", text)));
        let (project, plan) = planned(scenes::project(&files));
        assert_eq!(warning::default_prices(&project, &plan), ["ethanol-70 3.00 per litre"]);
        // A plan's folder keeps copies of all tables in force, the project's and the built-in ones.
        for (name, (_, text)) in names.iter().zip(rehouse::rules::TABLES) {
            if files.iter().all(|(there, _)| there != name) {
                files.push((name, text));
            }
        }
        assert_eq!(audit(&scenes::project(&files), &plan), Vec::new());
    }
}

#[test]
fn totals_in_a_file_are_exact_sums_rounded_once() {
    let (project, plan) = planned(scenes::every_outcome());
    let whole: Value = serde_json::from_slice(&to_json(&project, &plan, &[])).unwrap();
    // Seven whole fillings of ethanol: 4 × 152 + 415 + 837 + 167 = 2027 ml at 4.1237 a litre; 5904 ml at 0.40; two baths of
    // 5 × 14.4 ml on the way from formalin, at 1.30 and 2.20.
    assert_eq!(whole["make_up"][0]["cost"], "0.0936");
    assert_eq!(whole["make_up"][1]["cost"], "0.1584");
    assert_eq!(whole["make_up"][2]["cost"], "8.3587");
    assert_eq!(whole["totals"]["fluid"], "10.9723");
    assert_eq!(whole["totals"]["litres"], json!(7.931));
    // The litre weight of 0.0007 counts in the level but is not paid: 197.5623 + 0.0007 × 7.931.
    assert_eq!(whole["totals"]["money"], "197.5623");
    assert_eq!(whole["levels"][4]["value"], "197.5679");
}

/// The reader's messages on the first scene's plan after a change.
fn refused(change: impl Fn(&mut Value)) -> Vec<String> {
    let (project, plan) = planned(scenes::every_outcome());
    let mut whole: Value = serde_json::from_slice(&to_json(&project, &plan, &listed())).unwrap();
    change(&mut whole);
    from_json(&project, whole.to_string().as_bytes()).err().unwrap_or_default()
}

#[test]
fn an_error_in_a_file_is_reported_with_its_path() {
    let cases: [(PlanJsonChange, &str); 27] = [
        (
            |v| v["schema"] = json!("rehouse-plan/2"),
            "schema: the project has \"rehouse-plan/1\", found \"rehouse-plan/2\"",
        ),
        (|v| v["status"] = json!("proved"), "status: expected a status, found \"proved\""),
        (|v| v["levels"][1]["level"] = json!("deferred-9"), "levels[1].level: expected a level, found \"deferred-9\""),
        (|v| v["levels"][4]["value"] = json!(142), "levels[4].value: expected money as text, found 142"),
        (
            |v| v["levels"][5]["value"] = json!(7.3461),
            "levels[5].value: expected litres to the millilitre, found 7.3461",
        ),
        (|v| v["totals"]["held"] = json!(-2), "totals.held: expected a whole number, found -2"),
        (|v| v["totals"]["money"] = json!("1.00001"), "totals.money: expected money as text, found \"1.00001\""),
        (
            |v| v["totals"]["profit"] = json!(1),
            "totals.profit: unknown field `profit`, expected one of `placed`, `on_hand`, `order`, `custom_tank`, `unpriced_tanks`, \
             `deferred`, `needs_decision`, `held`, `purchase`, `delivery`, `fluid`, `tanks`, `money`, `saved_by_sharing`, \
             `minutes`, `labour`, `labour_counted`, `disposal`, `containers`, `to_pay`, `litres`",
        ),
        (
            |v| v["placements"][2]["vessel"] = json!("JAR-51"),
            "placements[2].vessel: expected a vessel of the stock list or null, found \"JAR-51\"",
        ),
        (
            |v| v["placements"][2]["catalogNumber"] = json!("Z-9"),
            "placements[2].catalogNumber: the survey has no row Z-9",
        ),
        (|v| v["placements"][2]["part"] = json!(""), "placements[2].part: expected text or no such field, found \"\""),
        (
            |v| v["placements"][2]["fluid"] = json!("formalin-5"),
            "placements[2].fluid: the project has \"ethanol-70\", found \"formalin-5\"",
        ),
        (
            |v| v["placements"][2]["charges"] = json!(null),
            "placements[2].vessels_used: a row must have all the fields of its fit, or none",
        ),
        (
            |v| v["placements"][8]["near_miss"]["unit"] = json!("ml"),
            "placements[8].near_miss.unit: the project has \"mm\", found \"ml\"",
        ),
        (
            |v| v["placements"][8]["near_miss"]["more"] = json!(0),
            "placements[8].near_miss.more: unknown field `more`, expected one of `vessel`, `rule`, `cause`, `shortfall`, `unit`",
        ),
        (
            |v| v["placements"][0]["marks"]["new"] = json!(true),
            "placements[0].marks.new: unknown field `new`, expected one of `unproven`, `tissue_estimated`, `size_from_vessel`, \
             `leaning`, `renewed`, `turned_in`, `tight_coil`, `steps_unknown`, `fillings_unknown`, `very_loose`, \
             `strength_not_known`, `doubtful_pair`, `loose_lid`",
        ),
        (
            |v| v["levels"][0]["certificate"] = json!("money"),
            "levels[0].certificate: expected an object, found \"money\"",
        ),
        (
            |v| v["levels"][5]["certificate"] = json!("fluid"),
            "levels[5].certificate: expected an object, found \"fluid\"",
        ),
        (|v| v["levels"][5]["certificate"] = json!(null), "levels[5].certificate: expected an object, found null"),
        (|v| v["placements"][1] = json!("on hand"), "placements[1]: expected an object, found \"on hand\""),
        (|v| v["placements"] = json!({}), "placements: expected a list, found an object"),
        (|v| drop(v.as_object_mut().unwrap().shift_remove("placements")), "plan.json: missing field `placements`"),
        (|v| v["purchases"][0]["line"] = json!(4), "purchases[0].line: this line holds no offer of this vessel"),
        (
            |v| v["purchases"][0]["pack_price"] = json!("9.61"),
            "purchases[0].pack_price: the project has \"9.60\", found \"9.61\"",
        ),
        (
            |v| v["files"][0]["sha256"] = json!("beef"),
            "files[0].sha256: expected 64 hexadecimal digits in lower case, found \"beef\"",
        ),
        (|v| v["tanks"] = json!({}), "tanks: invalid type: map, expected a sequence"),
        (|v| v["gap"] = json!(0.1), "gap: the levels give 0, found 0.1"),
    ];
    for (change, expected) in cases {
        let findings = refused(change);
        assert!(findings.iter().any(|finding| finding == expected), "{expected}\nnot in {findings:#?}");
    }
}

#[test]
fn warnings_cautions_and_prices_stand_in_a_file_as_facts_with_words() {
    let (project, plan) = planned(scenes::every_outcome());
    let whole: Value = serde_json::from_slice(&to_json(&project, &plan, &[])).unwrap();
    assert_eq!(whole["warnings"][0]["kind"], "unpriced-tanks");
    assert_eq!(whole["warnings"][0]["tanks"], 1);
    let words = whole["warnings"][0]["words"].as_str().unwrap();
    assert!(words.starts_with("1 tank of unknown price: ask for a price."), "{words}");
    assert_eq!(whole["cautions"][0]["kind"], "formaldehyde");
    let hazards = whole["cautions"].as_array().unwrap().iter().filter(|one| one["kind"] == "hazard");
    assert_eq!(hazards.map(|one| &one["hazard"]).collect::<Vec<_>>(), ["picric", "human"]);
    let prices = whole["prices_not_yours"].as_array().unwrap();
    let of_a_fluid = json!({"fluid": "formalin-5", "per_litre": "0.40", "words": "formalin-5 0.40 per litre"});
    assert!(prices.contains(&of_a_fluid), "{prices:?}");
    let of_tanks = json!(["glass", "edge-work", "set-up", "sealant", "labour", "delivery"]);
    assert_eq!(prices.last().unwrap()["tank"], of_tanks);
}

#[test]
fn an_edited_word_or_figure_of_a_warning_caution_or_price_is_refused_with_its_path() {
    let cases: [(PlanJsonChange, &str); 13] = [
        (|v| v["warnings"][0]["words"] = json!("all is well"), "warnings[0].words: the project has \"1 tank of "),
        (|v| v["warnings"][0]["tanks"] = json!(2), "warnings[0].words: the project has \"2 tanks of unknown price"),
        (|v| v["warnings"][0]["kind"] = json!("all-is-well"), "warnings[0].kind: unknown variant `all-is-well`"),
        (
            |v| v["warnings"][0]["cost"] = json!("1.00001"),
            "warnings[0].cost: expected money as text, found \"1.00001\"",
        ),
        (
            |v| v["warnings"][0]["litres"] = json!(0.00001),
            "warnings[0].litres: expected litres to the millilitre, found 0.00001",
        ),
        (|v| v["warnings"][0] = json!("1 tank"), "warnings[0]: expected an object, found \"1 tank\""),
        (|v| v["cautions"][0]["words"] = json!("Formaldehyde: harmless."), "cautions[0].words: the project has "),
        (|v| v["cautions"][0]["lots"] = json!(1), "cautions[0]: unknown field `lots`"),
        (
            |v| v["cautions"][5] = json!({"kind": "hazard", "hazard": "dust", "words": "Dust."}),
            "cautions[5].hazard: expected a hazard, found \"dust\"",
        ),
        (|v| v["prices_not_yours"][0]["fluid"] = json!("dust"), "prices_not_yours[0].fluid: expected a fluid, found"),
        (
            |v| v["prices_not_yours"][0]["per_litre"] = json!("0.01"),
            "prices_not_yours[0].per_litre: the project has \"",
        ),
        (|v| v["prices_not_yours"][0]["words"] = json!("gratis"), "prices_not_yours[0].words: the project has "),
        (|v| v["cautions"] = json!({}), "cautions: invalid type: map, expected a sequence"),
    ];
    for (change, expected) in cases {
        let findings = refused(change);
        assert!(findings.iter().any(|finding| finding.starts_with(expected)), "{expected}\nnot in {findings:#?}");
    }
}

#[test]
fn a_dropped_or_invented_warning_caution_or_price_is_found_by_the_audit() {
    type ListChange = fn(&mut Vec<Value>);
    let cases: [(&str, ListChange); 7] = [
        ("cautions", |list| drop(list.remove(0))),
        ("cautions", |list| drop(list.pop())),
        ("cautions", |list| list.push(list[0].clone())),
        ("cautions", |list| list.swap(0, 1)),
        ("warnings", |list| drop(list.remove(0))),
        ("warnings", |list| list.push(list[0].clone())),
        ("prices_not_yours", |list| drop(list.pop())),
    ];
    let (project, plan) = planned(scenes::every_outcome());
    let whole: Value = serde_json::from_slice(&to_json(&project, &plan, &listed())).unwrap();
    let found = |change: &dyn Fn(&mut Value)| {
        let mut whole = whole.clone();
        change(&mut whole);
        let read = from_json(&project, whole.to_string().as_bytes()).expect("facts with their words");
        audit(&project, &read).into_iter().map(|finding| finding.claim).collect::<Vec<_>>()
    };
    for (key, change) in cases {
        let findings = found(&|whole| change(whole[key].as_array_mut().unwrap()));
        assert!(findings.iter().any(|claim| claim.starts_with(key)), "{key}: {findings:?}");
    }
    // Invented facts with correct words.
    let invented: [(&str, PlanJsonChange); 2] = [
        ("cautions", |v| {
            let words = "Clearing oils: combustible, toxic if swallowed, dissolve many plastics and sealants.";
            v["cautions"].as_array_mut().unwrap().insert(0, json!({"kind": "oil", "words": words}));
        }),
        ("warnings", |v| {
            let words = "1 lot relies on an unproven combination of fluid and vessel: review";
            let fact = json!({"kind": "unproven", "lots": 1, "words": words});
            v["warnings"].as_array_mut().unwrap().push(fact);
        }),
    ];
    for (key, change) in invented {
        let findings = found(&change);
        assert!(findings.iter().any(|claim| claim.starts_with(key)), "{key}: {findings:?}");
    }
}

#[test]
fn every_field_of_a_file_is_required_and_no_other_is_allowed() {
    let (project, plan) = planned(scenes::every_outcome());
    let whole: Value = serde_json::from_slice(&to_json(&project, &plan, &listed())).unwrap();
    let mut objects = vec![String::new()];
    let mut next = 0;
    while next < objects.len() {
        let path = objects[next].clone();
        let inside: Vec<String> = match whole.pointer(&path).unwrap() {
            Value::Object(fields) => fields.keys().map(|key| format!("{path}/{key}")).collect(),
            Value::Array(items) => (0..items.len()).map(|i| format!("{path}/{i}")).collect(),
            _ => Vec::new(),
        };
        objects.extend(inside);
        next += 1;
    }
    objects.retain(|path| whole.pointer(path).unwrap().is_object());
    assert!(objects.len() > 40, "only {} objects", objects.len());
    for path in objects {
        let keys: Vec<String> = whole.pointer(&path).unwrap().as_object().unwrap().keys().cloned().collect();
        for key in &keys {
            let mut other = whole.clone();
            other.pointer_mut(&path).unwrap().as_object_mut().unwrap().shift_remove(key);
            let read = from_json(&project, other.to_string().as_bytes());
            // A row omits zero and empty fields, so a missing field there can only be found by the audit.
            let in_row = path.starts_with("/placements/");
            let passes = read.is_ok_and(|plan| !in_row || audit(&project, &plan).is_empty());
            assert!(!passes, "{path} without {key} passes");
            let mut other = whole.clone();
            other.pointer_mut(&path).unwrap()[key] = json!([[1]]);
            let read = from_json(&project, other.to_string().as_bytes());
            assert!(read.is_err(), "{path} with a list of lists as {key} was read");
        }
        let mut other = whole.clone();
        other.pointer_mut(&path).unwrap()["colour"] = json!("blue");
        assert!(from_json(&project, other.to_string().as_bytes()).is_err(), "{path} with a colour was read");
    }
}

#[test]
fn a_truncated_or_damaged_text_is_reported_by_line_and_column() {
    let (project, plan) = planned(scenes::every_outcome());
    let text = String::from_utf8(to_json(&project, &plan, &listed())).unwrap();
    let told = |text: &str| from_json(&project, text.as_bytes()).err().unwrap_or_default();
    // The message is that of any JSON parser, wherever the damage is, in rows too.
    for cut in (1..text.len() - 2).step_by(97).filter(|cut| text.is_char_boundary(*cut)) {
        let whole: Result<Value, _> = serde_json::from_str(&text[..cut]);
        assert_eq!(told(&text[..cut]), [format!("plan.json: {}", whole.unwrap_err())]);
    }
    for (from, to) in [("\"charges\":1", "\"charges\":1e999"), ("\"outcome\":", "\"outcome\""), ("\n}", "\n}}")] {
        let other = text.replace(from, to);
        let whole: Result<Value, _> = serde_json::from_str(&other);
        assert_eq!(told(&other), [format!("plan.json: {}", whole.unwrap_err())], "{to}");
    }
}

#[test]
fn a_file_that_is_no_plan_is_refused() {
    let project = scenes::divided_lot();
    for bytes in [&b""[..], b"[]", b"null", b"{}", b"{\"schema\": \"rehouse-plan/1\"", b"\xff", b"1e999"] {
        assert!(from_json(&project, bytes).is_err_and(|findings| !findings.is_empty()));
        assert!(files(bytes).is_err_and(|findings| !findings.is_empty()));
    }
}

fn level(aim: Aim, value: i64, bound: i64) -> Level {
    Level { aim, value, bound, proof: Proof::None, certificate: Certificate::default() }
}

#[test]
fn the_gap_is_that_of_the_first_level_whose_bound_falls_short() {
    let (project, plan) = planned(scenes::every_outcome());
    let of = |levels: &[Level]| gap(&project, &Plan { levels: levels.to_vec(), ..plan.clone() });
    let proved = || Level { proof: Proof::Recomputed, ..level(Aim::Deferred(1), 1, 1) };
    assert_eq!(of(&[proved()]), 0.0);
    // Nine rows of the first scene have priority 3: two are held, one has an unknown fluid, one needs a vessel and one waits for the price of
    // a tank; four are in the decision.
    assert_eq!(of(&[proved(), level(Aim::Deferred(3), 4, 1), level(Aim::Money, 10_000, 5000)]), 3.0 / 4.0);
    assert_eq!(of(&[proved(), level(Aim::Money, 10_000, 5000)]), 0.5);
    assert_eq!(of(&[level(Aim::Fluid, 8000, 6000)]), 0.25);
    assert_eq!(of(&[level(Aim::Money, 0, 0)]), 0.0);
    assert_eq!(of(&[level(Aim::Deferred(3), 0, 0)]), 0.0);
}

#[test]
fn a_bound_that_falls_short_is_below_its_value_once_both_are_rounded() {
    for (value, bound, shown) in [
        (12_345_600, 12_345_600, (12_346_000, 12_346_000)),
        (12_345_600, 12_345_599, (12_346_000, 12_345_000)),
        (12_345_499, 12_345_100, (12_345_000, 12_344_000)),
        (12_345_000, 12_000_999, (12_345_000, 12_000_000)),
    ] {
        assert_eq!(as_shown(&level(Aim::Money, value, bound)), shown);
        assert_eq!(as_shown(&level(Aim::Money, shown.0, shown.1)), shown);
    }
    assert_eq!(as_shown(&level(Aim::Fluid, 1501, 1499)), (1501, 1499));
}

#[test]
fn an_open_level_survives_being_saved() {
    let (project, mut plan) = planned(scenes::every_outcome());
    let money = &mut plan.levels[4];
    (money.bound, money.proof) = (money.value - 1, Proof::None);
    // The fluid level has a bound only where the money level is proved.
    (plan.levels[5].bound, plan.levels[5].proof) = (0, Proof::None);
    plan.status = Status::BestFound;
    let read = from_json(&project, &to_json(&project, &plan, &[])).unwrap();
    assert!(!read.levels[4].proved());
    assert_eq!(audit(&project, &read), Vec::new());
}

#[test]
fn money_below_zero_keeps_its_sign() {
    let (project, mut plan) = planned(scenes::divided_lot());
    plan.totals.delivery = -Money::whole(3);
    let read = from_json(&project, &to_json(&project, &plan, &[])).unwrap();
    assert_eq!(read.totals.delivery, plan.totals.delivery);
}
