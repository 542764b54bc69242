//! What would change the place of a lot: both sides of each threshold against every plan of small projects, and against decisions
//! from the beginning on the demonstration.

use std::collections::BTreeSet;
use std::sync::Arc;

use rehouse::assign;
use rehouse::assign::evaluate::values;
use rehouse::assign::question::question;
use rehouse::collection::{Size, VesselChoice};
use rehouse::decision::{Aim, Choice, Decision, Question, Status};
use rehouse::inquiry::instead::{Housing, housings};
use rehouse::inquiry::threshold::{
    ChangeExtent, Crossing, Lever, LeverValue, LotMeasure, Threshold, Tie, Way, thresholds,
};
use rehouse::inquiry::{Inquiry, Watch};
use rehouse::options::table::judge_all;
use rehouse::project::Project;
use rehouse::units::Money;
use serde_json::{Value, json};

use super::{judged, small_files};
use crate::decision_oracle::reference;
use crate::support::{TestProject, sampled, tries_all};

/// The project in which one thing has this value.
fn with(project: &Project, row: usize, lever: Lever, amount: LeverValue) -> Project {
    let mut changed = project.clone();
    let lot = &mut changed.collection.specimens[row];
    match (lever, amount) {
        (Lever::Budget, LeverValue::Money(budget)) => changed.settings.budget = Some(budget),
        (Lever::Price(offer), LeverValue::Money(price)) => changed.stock.offers[offer].pack_price = price,
        (Lever::Pieces(vessel), LeverValue::Pieces(pieces)) => {
            let vessel = changed.stock.vessels.iter_mut().find(|it| it.id == project.stock.vessel(vessel).id);
            let vessel = vessel.expect("a vessel of the stock list");
            (vessel.on_order, vessel.reserve) = (0, 0);
            vessel.on_hand = u32::try_from(pieces).expect("no fewer than none");
        }
        (Lever::Clearance, LeverValue::Length(wall)) => Arc::make_mut(&mut lot.particulars).clearance = Some(wall),
        (Lever::KeepYears, LeverValue::Years(years)) => lot.keep_years = years,
        (Lever::Measure(measure), LeverValue::Length(side)) => {
            let Size::Measured(envelope) = &mut lot.size else { panic!("a measured lot") };
            match measure {
                LotMeasure::Length => envelope.length = side,
                LotMeasure::Width => envelope.width = side,
                LotMeasure::Height => envelope.height = side,
            }
        }
        (lever, amount) => panic!("{lever:?} of {amount:?}"),
    }
    changed
}

/// What is asked of a project in which a lot goes nowhere else than here.
fn forced(project: &Project, row: usize, housing: Housing) -> Question {
    let mut changed = project.clone();
    let particulars = Arc::make_mut(&mut changed.collection.specimens[row].particulars);
    match housing {
        Housing::In(choice) => particulars.must_use = vec![choice],
        Housing::Waits => particulars.hold = Some("waits".to_owned()),
    }
    question(&changed, &judge_all(&changed))
}

/// Every value of a plan of this question, best of all; a lot of a row that waits is counted.
fn best_of(asked: &Question, project: &Project, waits: Option<usize>) -> [i64; 6] {
    let mut best = reference::best(asked);
    if let Some(row) = waits {
        best[usize::from(project.collection.specimens[row].priority) - 1] += 1;
    }
    best
}

fn best(project: &Project) -> [i64; 6] {
    reference::best(&question(project, &judge_all(project)))
}

/// Whether a lot may go there at all.
fn is_option(project: &Project, row: usize, housing: Housing) -> bool {
    let Housing::In(place) = housing else { return true };
    let asked = question(project, &judge_all(project));
    let class = asked.classes.iter().find(|class| class.members.iter().any(|lot| lot.specimen as usize == row));
    let is_there = |choice: &Choice| match place {
        VesselChoice::Listed(id) => choice.supply.is_some_and(|at| asked.supplies[at].vessel == id),
        VesselChoice::Tank => choice.supply.is_none(),
    };
    class.is_some_and(|class| class.choices.iter().any(is_there))
}

/// The best plan in which a lot goes nowhere else than here; `None` where it has no such option.
fn best_forced(project: &Project, row: usize, housing: Housing) -> Option<[i64; 6]> {
    let waits = (housing == Housing::Waits).then_some(row);
    is_option(project, row, housing).then(|| best_of(&forced(project, row, housing), project, waits))
}

/// A project with its plan.
fn planned(project: &Project) -> (Inquiry<'_>, Decision) {
    let rows = judge_all(project);
    let rows: &'static [_] = Box::leak(rows.into_boxed_slice());
    let inquiry = Inquiry::about(project, rows);
    let plan = inquiry.decide(&mut Watch { report: &mut |_| {}, stop: &|| false });
    (inquiry, plan)
}

fn check(project: &Project, row: usize, goes: Housing, found: &Threshold) -> bool {
    let Crossing::At { before, from, then, proved, .. } = &found.found else { return false };
    let place = format!("row {row}, {:?} {:?} {from:?}", found.lever, found.way);
    assert!(proved, "{place}");
    let at = |amount: LeverValue| with(project, row, found.lever, amount);
    let near = at(*before);
    assert_eq!(best_forced(&near, row, goes), Some(best(&near)), "it may stay: {place}");
    let far = at(*from);
    let best = best(&far);
    match then {
        Some(then) => {
            assert_eq!(best_forced(&far, row, *then), Some(best), "it may go there: {place}");
            // Where it must use its vessel it may still wait, so nothing is shown where waiting is as good.
            if best_forced(&far, row, Housing::Waits) > Some(best) || goes == Housing::Waits {
                let stays = best_forced(&far, row, goes);
                assert!(
                    stays.is_none_or(|stays| stays > best),
                    "{goes:?} is as good as {then:?}: {place}: {stays:?} {best:?}"
                );
            }
        }
        None => assert!(judge_all(&far)[row].judged().is_none_or(|judged| judged.fits.is_empty()), "{place}"),
    }
    true
}

fn tie_of(found: &Threshold) -> Option<Tie> {
    match found.found {
        Crossing::At { tie, .. } | Crossing::Nowhere { tie, .. } => tie,
        Crossing::Open => None,
    }
}

/// Where every step of the budget was tried: whether the lot may stay at each budget that is said to be without effect, and not at
/// the others.
fn every_step(project: &Project, row: usize, goes: Housing, found: &Threshold) -> bool {
    let (first, last) = match found.found {
        Crossing::At { from, reach: ChangeExtent::To(last), .. } => (Some(from), Some(last)),
        Crossing::At { from, reach: ChangeExtent::All, .. } => (Some(from), None),
        Crossing::Nowhere { all: true, .. } => (None, None),
        _ => return false,
    };
    if found.lever != Lever::Budget {
        return false;
    }
    let money = |amount: LeverValue| if let LeverValue::Money(money) = amount { money } else { panic!("money") };
    let beyond = |budget: Money, than: Money| if found.way == Way::Less { budget < than } else { budget > than };
    let now = money(found.now);
    for hundredths in (0..now.parts() / 20_000).step_by(usize::try_from(now.parts() / 400_000).unwrap_or(0).max(1)) {
        let budget = Money::from_parts(hundredths * 100_000);
        let is_first = first.is_some_and(|first| !beyond(money(first), budget));
        let is_last = last.is_none_or(|last| !beyond(budget, money(last)));
        if !beyond(budget, now) || (is_first && !is_last) {
            continue;
        }
        let at = with(project, row, Lever::Budget, LeverValue::Money(budget));
        let stays = best_forced(&at, row, goes) == Some(best(&at));
        let may_wait = goes != Housing::Waits && best_forced(&at, row, Housing::Waits) == Some(best(&at));
        assert!(stays != is_first || (stays && may_wait), "row {row} at {budget:?}: {:?} {:?}", found.way, found.found);
    }
    true
}

#[test]
fn both_sides_of_each_threshold_are_those_of_enumeration() {
    let (mut checked, mut nowhere, mut ties, mut budgets) = (0, 0, 0, 0);
    let mut kinds: BTreeSet<String> = BTreeSet::new();
    for seed in 0..sampled(3) {
        let files = small_files(seed);
        let (mut project, rows) = judged(&files);
        // A budget that suffices for about half of the lots in every second project.
        let all = values(&question(&project, &rows), &assign::decide(&question(&project, &rows))).money;
        if seed % 2 == 0 {
            project.settings.budget = Some(Money::from_parts(all.parts() / 2));
        }
        let (inquiry, plan) = planned(&project);
        let place = housings(&inquiry, &plan);
        for row in 0..project.collection.specimens.len() {
            let goes = place.get(&row).copied().unwrap_or(Housing::Waits);
            for found in thresholds(&inquiry, row, &plan, &|| false) {
                if !place.contains_key(&row) {
                    continue;
                }
                if let Some(Tie { at, .. }) = tie_of(&found) {
                    let tied = with(&project, row, found.lever, at);
                    assert_eq!(
                        best_forced(&tied, row, goes),
                        Some(best(&tied)),
                        "it may stay: {:?} {at:?}",
                        found.lever
                    );
                    ties += 1;
                }
                budgets += usize::from(every_step(&project, row, goes, &found));
                if check(&project, row, goes, &found) {
                    kinds.insert(format!("{} {}", found.lever.name(), found.way.name()));
                    checked += 1;
                } else {
                    nowhere += 1;
                }
            }
        }
    }
    println!("{checked} thresholds, {nowhere} without effect, {ties} ties, {budgets} budgets: {kinds:?}");
    assert!(!tries_all() || (checked > 8 && nowhere > 8 && kinds.len() >= 4), "{checked}, {nowhere}, {kinds:?}");
}

#[test]
fn on_the_demonstration_the_plan_changes_on_the_stated_side_only() {
    let project = rehouse::read("demo-data".as_ref()).expect("the demonstration").project;
    let (inquiry, plan) = planned(&project);
    let place = housings(&inquiry, &plan);
    let mut checked = 0;
    for number in ["A0302"] {
        let lots = &project.collection.specimens;
        let row = lots.iter().position(|lot| lot.key.catalog_number == number).expect("a lot");
        for found in thresholds(&inquiry, row, &plan, &|| false) {
            let Crossing::At { before, from, then, proved, .. } = found.found else { continue };
            let told = format!("{number}, {:?} {:?} {from:?}", found.lever, found.way);
            assert!(proved, "{told}");
            // From the beginning, with the lot free, and with it where it is.
            let levels = |asked: &Question| {
                let decision = assign::decide(asked);
                assert_eq!(decision.status, Status::ProvedBest);
                let values = values(asked, &decision);
                Aim::STRICT.map(|aim| values.of(aim))
            };
            let free = |project: &Project| levels(&question(project, &judge_all(project)));
            let near = with(&project, row, found.lever, before);
            assert_eq!(levels(&forced(&near, row, place[&row])), free(&near), "{told}");
            let far = with(&project, row, found.lever, from);
            if let Some(Housing::In(_)) = then
                && is_option(&far, row, place[&row])
            {
                assert!(levels(&forced(&far, row, place[&row])) > free(&far), "{told}");
            }
            checked += 1;
        }
    }
    assert!(checked >= 8, "{checked}");
}

#[test]
fn thresholds_are_shown_in_every_format() {
    let why = |options: &[&str]| {
        let words = [&["why", "A0302", "--in", "demo-data"], options].concat();
        let ran = assert_cmd::cargo::cargo_bin_cmd!("rehouse").args(words).output().expect("it runs");
        assert_eq!(ran.status.code(), Some(0), "{}", String::from_utf8_lossy(&ran.stderr));
        String::from_utf8(ran.stdout).expect("text")
    };
    let answer: Value = serde_json::from_str(&why(&["--format", "json", "--thresholds"])).expect("JSON");
    let listed = answer["lots"][0]["thresholds"].as_array().expect("a list").clone();
    let csv = why(&["--format", "csv", "--thresholds"]);
    assert_eq!(csv.lines().count(), listed.len() + 1, "{csv}");
    let price = listed.iter().find(|it| it["changed"] == "pack price" && it["way"] == "more").expect("a price");
    assert_eq!((&price["vessel"], &price["goes"]), (&json!("acrylic-180x120x200"), &json!("museum-200x100x250")));
    let at = price["changed_at"].as_str().expect("an amount");
    assert!(csv.lines().any(|line| line.contains("pack price") && line.contains(at)), "{csv}");
    let screen = why(&["--thresholds"]);
    assert!(screen.lines().any(|line| line.contains("price of acrylic") && line.contains(at)), "{screen}");
    assert!(screen.contains("No effect at what was tried: budget at "), "{screen}");
    assert!(screen.contains("Farther on it may change again."), "{screen}");
    let unasked = why(&[]);
    assert!(!unasked.contains("What would change its place"), "{unasked}");
}

#[test]
fn a_vessel_that_the_lot_already_has_to_use_moves_with_nothing_but_what_refuses_it() {
    let mut project = judged(&small_files(3)).0;
    let (inquiry, plan) = planned(&project);
    let listed = housings(&inquiry, &plan).into_iter().find_map(|(row, housing)| match housing {
        Housing::In(choice @ VesselChoice::Listed(_)) => Some((row, choice)),
        Housing::In(VesselChoice::Tank) | Housing::Waits => None,
    });
    let (row, choice) = listed.expect("a lot in a listed vessel");
    drop(inquiry);
    Arc::make_mut(&mut project.collection.specimens[row].particulars).must_use = vec![choice];
    project.settings.budget = None;
    let (inquiry, plan) = planned(&project);
    for found in thresholds(&inquiry, row, &plan, &|| false) {
        if let Crossing::At { then, .. } = found.found {
            assert!(matches!(then, None | Some(Housing::Waits)), "{:?} {then:?}", found.lever);
            assert!(!matches!(found.way, Way::Less) || matches!(found.lever, Lever::Pieces(_)), "{:?}", found.lever);
        }
    }
}

/// The thresholds of a lot as JSON, after what `why` is asked besides.
fn thresholds_of(case: &TestProject, key: &str, options: &[&str]) -> Vec<Value> {
    let project = case.project();
    let asked = ["--in", project.to_str().expect("a name"), "--thresholds", "--format", "json"];
    let words: Vec<&std::path::Path> =
        [&["why", key], &asked[..], options].concat().into_iter().map(std::path::Path::new).collect();
    let ran = TestProject::run(&words);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let answer: Value = serde_json::from_str(&ran.stdout).expect("JSON");
    answer["lots"][0]["thresholds"].as_array().expect("a list").clone()
}

#[test]
fn the_least_budget_is_found_where_a_more_urgent_lot_takes_the_place_again() {
    // Y is more urgent and costs 10, X costs 3: X is placed at 3.00 to 9.9999, and from 13.00.
    let case = TestProject::new()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid,tissue_ml,priority\n\
             X,27,15,10,ethanol-70,1.6,2\nY,120,60,60,ethanol-70,150,1\n",
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,order_code,unit_price,order_limit\n\
             small,cylinder,45,60,borosilicate,pp-cap-ptfe,S,3,\nlarge,cylinder,120,200,borosilicate,pp-cap-ptfe,L,10,1\n",
        )
        .file("settings.toml", "budget = 1\n[fluid_price]\n\"ethanol-70\" = 0\n");
    let found = |budget: &str, way: &str| {
        let all = thresholds_of(&case, "X", &["--set", &format!("budget={budget}")]);
        let one = all.iter().find(|one| one["changed"] == "budget" && one["way"] == way).expect("a budget").clone();
        ["found", "changed_at", "changed_up_to", "goes"].map(|name| one[name].as_str().unwrap_or("").to_owned())
    };
    for (budget, way, expected) in [
        ("1", "more", ["changes", "3.00", "9.9999", "small"]),
        ("1", "less", ["no effect", "", "", ""]),
        ("5", "more", ["changes", "10.00", "12.9999", "wait"]),
        ("5", "less", ["changes", "2.9999", "all", "wait"]),
        ("11", "more", ["changes", "13.00", "all", "small"]),
        ("11", "less", ["changes", "9.9999", "3.00", "small"]),
    ] {
        assert_eq!(found(budget, way), expected, "{way} than {budget}");
    }
}

#[test]
fn of_two_equal_lots_either_may_wait() {
    let case = TestProject::new()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid,tissue_ml\n\
             X,27,15,10,ethanol-70,1.6\nY,27,15,10,ethanol-70,1.6\n",
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
             jar,cylinder,45,60,borosilicate,pp-cap-ptfe,2\n",
        );
    for key in ["X", "Y"] {
        let all = thresholds_of(&case, key, &[]);
        let pieces = all.iter().find(|one| one["changed"] == "free pieces").expect("the jars");
        for (name, value) in [
            ("changed_at", "0"),
            ("unchanged_at", "1"),
            ("goes", "no option"),
            ("as_good_at", "1"),
            ("as_good_goes", "wait"),
        ] {
            assert_eq!(pieces[name], json!(value), "{key}: {pieces:#}");
        }
    }
    let project = case.project();
    let words = ["why", "X", "--in", project.to_str().expect("a name"), "--thresholds"].map(std::path::Path::new);
    let screen = TestProject::run(&words).stdout;
    assert!(screen.contains("at 1 it may wait: another plan is as good"), "{screen}");
}
