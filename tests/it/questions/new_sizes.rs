//! Sizes that are not listed: small projects against every set of candidates, prices against a published regression, laws that
//! hold for any project, and inputs that make no sense.

use std::path::Path;

use itertools::Itertools;
use rehouse::assign::question::question;
use rehouse::audit::audit;
use rehouse::decision::{Choice, Question, Status};
use rehouse::inquiry::break_even::{BoughtUpTo, STEP};
use rehouse::inquiry::new_sizes::candidates::{CandidateSize, WithSizes, sizes, with_sizes};
use rehouse::inquiry::new_sizes::prices::{FittedLine, PriceSource};
use rehouse::inquiry::new_sizes::{NewSizes, candidates_of, families, new_sizes};
use rehouse::inquiry::{Inquiry, Watch};
use rehouse::options::table::Row;
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::settings::sizes::PricesByLitres;
use rehouse::stock::VesselId;
use rehouse::units::{Money, Pieces, Position};
use serde_json::json;

use super::{answered, judged, ran, small_files};
use crate::decision_oracle::reference;
use crate::support::{TestProject, rows, sampled, tries_all};

fn found_of(project: &Project, rows: &[Row], most: u32) -> NewSizes {
    let watch = &mut Watch { report: &mut |_| {}, stop: &|| false };
    let holds = |project: &Project, plan: &Plan| {
        let findings = audit(project, plan);
        assert_eq!(findings, Vec::new(), "what the search calls proved holds in the audit");
        true
    };
    new_sizes(&Inquiry::about(project, rows), most, &holds, watch).expect("families with prices")
}

/// F. J. Anscombe, "Graphs in statistical analysis", The American Statistician 27 (1973) 17–21: the first of four data sets, with
/// the regression printed there: y = 3 + 0.5 x, residual sum of squares 13.75 (9 degrees of freedom), all rounded.
const ANSCOMBE: [(f64, f64); 11] = [
    (10.0, 8.04),
    (8.0, 6.95),
    (13.0, 7.58),
    (9.0, 8.81),
    (11.0, 8.33),
    (14.0, 9.96),
    (6.0, 7.24),
    (4.0, 4.26),
    (12.0, 10.84),
    (7.0, 4.82),
    (5.0, 5.68),
];

#[test]
fn the_line_through_prices_is_the_published_regression() {
    let points = ANSCOMBE.map(|(x, y): (f64, f64)| (x.exp(), y.exp()));
    let line = FittedLine::through(&points).expect("two capacities or more");
    assert!((line.intercept - 3.0).abs() < 0.005 && (line.slope - 0.5).abs() < 0.0005, "{line:?}");
    let spread = line.spread.expect("more than two prices");
    assert!((spread.powi(2) * 9.0 - 13.75).abs() < 0.02, "{spread}");
    assert_eq!(line.prices, 11);
    // A power law is found again, with no spread; one capacity gives no line.
    let exact = [0.1_f64, 0.5, 2.0].map(|litres| (litres, 3.0 * litres.powf(0.6)));
    let line = FittedLine::through(&exact).expect("three capacities");
    assert!((line.intercept.exp() - 3.0).abs() < 1e-9 && (line.slope - 0.6).abs() < 1e-9);
    assert!(line.spread.is_some_and(|spread| spread < 1e-9));
    assert_eq!(FittedLine::through(&exact[..2]).expect("two").spread, None);
    assert_eq!(FittedLine::through(&[(0.5, 2.0), (0.5, 3.0)]), None);
    assert_eq!(FittedLine::through(&[]), None);
}

#[test]
fn stated_prices_are_met_and_lie_on_lines_between_them() {
    let stated = vec![(0.1, Money::whole(1)), (1.0, Money::whole(4)), (10.0, Money::whole(8))];
    let source = PriceSource::Settings(PricesByLitres(stated));
    let price = |litres: f64| source.price(litres).expect("an amount").text();
    assert_eq!([0.1, 1.0, 10.0].map(price), ["1.00", "4.00", "8.00"]);
    // Halfway in logarithms: √(1 × 4) and √(4 × 8), rounded up to a hundredth; the same slope beyond the last.
    assert_eq!([0.1_f64.sqrt(), 10.0_f64.sqrt(), 100.0, 0.01].map(price), ["2.00", "5.66", "16.00", "0.25"]);
}

/// Levels of the best plan with no further vessels than these of those from the first on.
fn best_of(asked: &Question, first: VesselId, set: &[VesselId]) -> [i64; 6] {
    let mut asked = asked.clone();
    assert!(asked.owned.is_empty(), "needs of owned fluid stand by choice");
    let is_out = |vessel: VesselId| vessel >= first && !set.contains(&vessel);
    let supplies = asked.supplies.clone();
    for class in asked.classes.iter_mut() {
        let kept = class.choices.iter().filter(|choice| choice.supply.is_none_or(|at| !is_out(supplies[at].vessel)));
        let kept: Vec<Choice> = kept.copied().collect();
        // A class has a choice; one without pieces or offers holds nothing.
        let first = class.choices.iter().take(1).copied().collect();
        class.choices = if kept.is_empty() { first } else { kept.into_iter().collect() };
    }
    for supply in asked.supplies.iter_mut().filter(|supply| is_out(supply.vessel)) {
        supply.offers.clear();
        supply.free = Pieces::ZERO;
    }
    reference::best(&asked)
}

/// Levels of the best plan of at most so many of these sizes, by trying every set.
fn best_by_trial(project: &Project, of: &[CandidateSize], most: usize) -> [i64; 6] {
    let WithSizes { project: with, rows } = with_sizes(project, of);
    let asked = question(&with, &rows);
    let first = VesselId::at(project.stock.vessels.len());
    let ids = (0..of.len()).map(|at| VesselId::at(first.index() + at));
    let sets = ids.combinations(most.min(of.len()));
    sets.map(|set| best_of(&asked, first, &set)).min().expect("the set of none at least")
}

/// A small project without limits that the question refuses, and coarse sizes.
fn small_project(seed: u64) -> Option<(Project, Vec<Row>)> {
    let mut files = small_files(seed);
    files.survey.truncate(3);
    files.stock.retain(|offer| offer["vessel"].as_str() < "V03");
    for limit in ["max_vessel_types", "max_suppliers"] {
        files.settings.remove(limit);
    }
    let (mut project, rows) = judged(&files);
    project.settings.size_round = rehouse::settings::sizes::RoundTo(rehouse::units::Length::at_least_zero(25.0));
    project.settings.gap_pct = rehouse::settings::Percent(0.0);
    families(&project).ok().map(|_| (project, rows))
}

fn levels(found: &NewSizes) -> Vec<i64> {
    found.plan.levels.iter().map(|level| level.value).collect()
}

#[test]
fn sizes_in_small_projects_are_the_best_of_every_set() {
    let (mut tried, mut better, mut two, mut left_out) = (0, 0, 0, 0);
    for seed in 0..sampled(500) {
        let Some((project, rows)) = small_project(seed) else { continue };
        let inquiry = Inquiry::about(&project, &rows);
        let families = families(&project).expect("asked before");
        let (candidates, all) = candidates_of(&inquiry, &families);
        assert_eq!(candidates.len(), all, "seed {seed}: few enough");
        let most = 1 + usize::from(seed % 2 == 1 && candidates.len() <= 5);
        let found = found_of(&project, &rows, most as u32);
        let at = format!("seed {seed}, {most} of {all}");
        assert_eq!(found.plan.status, Status::ProvedBest, "{at}");
        assert!(found.plan.rank() <= found.now.rank(), "{at}: never worse than without");
        assert!(found.is_whole() && found.sizes.len() <= most, "{at}");
        let best = best_by_trial(&project, &candidates, most);
        assert_eq!(levels(&found)[..5], best[..5], "{at}");
        if seed % 8 == 0 {
            // No size of any proportion is better than the best candidate.
            let every: Vec<CandidateSize> = sizes(&project, &families).into_iter().map(|(size, _)| size).collect();
            left_out += every.len() - candidates.len();
            assert_eq!(best_by_trial(&project, &every, 1)[..5], best[..5], "{at}: of {} sizes", every.len());
        }
        tried += 1;
        better += usize::from(found.plan.rank() < found.now.rank());
        two += usize::from(found.sizes.len() > 1);
    }
    assert!(
        !tries_all() || tried > 400 && better > 100 && two > 5 && left_out > 100,
        "{tried} projects, {better} better with a size, {two} with two, {left_out} sizes that are no candidates"
    );
}

#[test]
fn in_the_audit_too_only_kinds_of_new_sizes_count() {
    let (mut audited, mut refuted) = (0, 0);
    for seed in 0..sampled(40) {
        let Some((project, rows)) = small_project(seed) else { continue };
        let seen = std::cell::RefCell::new(Vec::new());
        let look = |project: &Project, plan: &Plan| {
            seen.borrow_mut().push((project.clone(), plan.clone()));
            true
        };
        let watch = &mut Watch { report: &mut |_| {}, stop: &|| false };
        new_sizes(&Inquiry::about(&project, &rows), 1, &look, watch).expect("families with prices");
        let limited = |(project, _): &(Project, Plan)| project.settings.max_vessel_types.is_some();
        for (mut with, plan) in seen.into_inner().into_iter().filter(limited) {
            assert_eq!(audit(&with, &plan), Vec::new(), "seed {seed}");
            audited += 1;
            // As if every kind counted, and the lots that only new sizes hold had no tank.
            with.stock.proposed_from = None;
            refuted += usize::from(!audit(&with, &plan).is_empty());
        }
    }
    assert!(!tries_all() || audited > 30 && refuted > 1, "{audited} plans, {refuted} refuted where every kind counts");
}

#[test]
fn a_plan_that_the_audit_refutes_is_not_called_proved() {
    let (project, rows) = (0..).find_map(small_project).expect("a project");
    let watch = &mut Watch { report: &mut |_| {}, stop: &|| false };
    let found = new_sizes(&Inquiry::about(&project, &rows), 1, &|_, _| false, watch).expect("families with prices");
    assert_eq!((found.now.status, found.plan.status), (Status::BestFound, Status::BestFound));
    assert!(found.sizes.iter().all(|size| size.threshold.as_ref().is_some_and(|threshold| !threshold.is_proved())));
}

#[test]
fn more_sizes_are_no_worse_and_a_charge_is_no_better() {
    let (mut fewer, mut dearer) = (0, 0);
    for seed in 0..sampled(80) {
        let Some((mut project, rows)) = small_project(seed) else { continue };
        let one = found_of(&project, &rows, 1);
        let three = found_of(&project, &rows, 3);
        assert!(three.plan.rank() <= one.plan.rank(), "seed {seed}");
        project.settings.size_charge = Money::whole(4);
        let charged = found_of(&project, &rows, 3);
        assert!(charged.plan.rank() >= three.plan.rank(), "seed {seed}");
        assert!(charged.plan.rank() <= charged.now.rank(), "seed {seed}: with a charge no worse than none");
        fewer += usize::from(charged.sizes.len() < three.sizes.len());
        dearer += usize::from(charged.plan.rank() > three.plan.rank());
    }
    assert!(!tries_all() || fewer > 5 && dearer > 10, "{fewer} with fewer sizes for a charge, {dearer} dearer");
}

#[test]
fn a_size_is_bought_up_to_its_price_and_not_above_it() {
    let mut prices = 0;
    for seed in 0..sampled(120) {
        let Some((project, rows)) = small_project(seed) else { continue };
        let found = found_of(&project, &rows, 2);
        let listed = project.stock.vessels.len();
        let again: Vec<CandidateSize> = (listed..found.project.stock.vessels.len())
            .map(|at| {
                let vessel = found.project.stock.vessels[at].clone();
                let (_, offer) = found.project.stock.offers_of(VesselId::at(at)).next().expect("an offer");
                CandidateSize { vessel, family: 0, price: offer.pack_price }
            })
            .collect();
        let WithSizes { project: with, rows } = with_sizes(&project, &again);
        let asked = question(&with, &rows);
        for size in &found.sizes {
            let bought = size.threshold.as_ref().expect("no end before").bought;
            let at = format!("seed {seed}, {bought:?}");
            let priced = |price: Option<Money>| {
                let mut asked = asked.clone();
                for supply in asked.supplies.iter_mut().filter(|supply| supply.vessel == size.vessel) {
                    match price {
                        Some(price) => supply.offers.iter_mut().for_each(|offer| offer.pack_price = price),
                        None => supply.offers.clear(),
                    }
                }
                reference::best(&asked)
            };
            let none = priced(None);
            assert!(!size.lots.is_empty() && size.pieces > Pieces::ZERO, "{at}");
            if let BoughtUpTo::Price(price) = bought {
                assert!(priced(Some(price - STEP))[..5] < none[..5], "{at}: below");
                assert_eq!(priced(Some(price + STEP))[..5], none[..5], "{at}: above");
                prices += 1;
            }
        }
    }
    assert!(!tries_all() || prices > 20, "{prices} prices");
}

/// Six flat bodies of 66 mm, and jars of which one is too narrow and one far too wide.
fn six_bodies() -> TestProject {
    let lots: String = (1..=6).map(|n| format!("B{n},66,66,20,rounded,as-set,ethanol-70,1\n")).collect();
    TestProject::new()
        .file(
            "specimens.csv",
            format!("catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid,tissue_ml\n{lots}"),
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n\
             narrow,cylinder,50,50,soda-lime,pp-cap-ptfe,1\nmiddle,cylinder,100,100,soda-lime,pp-cap-ptfe,4\n\
             wide,cylinder,200,200,soda-lime,pp-cap-ptfe,16\n",
        )
        .file("settings.toml", "[fluid_price]\nethanol-70 = 0\n")
}

#[test]
fn a_jar_for_six_bodies_by_hand() {
    let case = six_bodies();
    let shown = ran(&case, "sizes", &["--new", "2"]);
    assert_eq!(shown.code, 0, "{}", shown.stderr);
    insta::assert_snapshot!(shown.stdout, @r"
    The best 2 sizes that are not listed
      inside, mm    ml   lots   price   worth up to   without it
         75 × 75   331      6    2.25          4.00   +10.50
      75 × 75: cylinder, mouth 75 mm, soda-lime, pp-cap-ptfe; for B1, B2, B3, B4, B5, B6
      The plan costs 24.00 without these sizes, and 13.50 with them.
      Price and worth are of a piece. Worth up to: the price below which the plan buys it, and above which it buys
      none, beside the other sizes. Without it: what the plan costs more, or less where lots wait that are placed
      with it.
      Prices (cylinder, soda-lime, pp-cap-ptfe): 4.70 × litres to the power of 0.667, fitted to 3 listed prices;
      most lie within a factor of 1.00 of it.
      No further size makes the plan better.
      Chosen from 1 size: multiples of 5 mm (sizes.round_mm) in the proportions of listed vessels.
      Proved: no others of these sizes do better.
      Next: ask a supplier for a quote of these sizes. --out FILE writes them as a list; with the prices of the
      quote in it, `rehouse sizes DIR --offer FILE` says what it is worth.
    ");
    // Prices grow with the square of the bore, litres with its cube: a power of two thirds, and 4 for the middle jar.
    let answer = answered(&case, "sizes", &["--new"]);
    let line = &answer["prices"][0]["line"];
    assert!((line["power_of_litres"].as_f64().expect("a number") - 2.0 / 3.0).abs() < 1e-9);
    assert_eq!((&answer["at_most"], &answer["plan"]["money"]), (&json!(3), &json!("24.00")));
    let size = &answer["sizes"][0];
    assert_eq!((&size["section_mm"], &size["lots"].as_array().expect("keys").len()), (&json!([75.0]), &6));
    // 4 × (75 / 100)² = 2.25, and worth what the middle jar costs.
    assert_eq!((&size["pack_price"], &size["bought_up_to"]), (&json!("2.25"), &json!("4.00")));
}

#[test]
fn the_file_of_sizes_is_read_as_the_list_of_a_supplier() {
    let case = six_bodies();
    let written = ran(&case, "sizes", &["--new", "--format", "csv"]);
    assert_eq!(written.code, 0, "{}", written.stderr);
    let lines = rows(written.stdout.as_bytes());
    assert_eq!((lines[0]["unit_price"].as_str(), lines[0]["without_money_more"].as_str()), ("2.25", "10.50"));
    let case = case.file("quote.csv", written.stdout.replace(",2.25,", ",3.00,"));
    let list = case.project().join("quote.csv");
    let answer = answered(&case, "sizes", &["--offer", list.to_str().expect("a name")]);
    assert_eq!(answer["with_the_list"]["money"], json!("18.00"), "six at the price of the quote");
}

#[test]
fn what_makes_no_sense_is_refused_with_a_cure() {
    let case = six_bodies();
    for (asked, cure) in [
        (&["--new", "0"][..], "from 1 to 20"),
        (&["--new", "-1"], "from 1 to 20"),
        (&["--new", "21"], "from 1 to 20"),
        (&["--new", "two"], "the folder stands before --new"),
        (&["--new", "2", "--keep", "2"], "--keep"),
        (&["--new", "2", "--set", "max_vessel_types=2"], "--set max_vessel_types=\"\""),
        (&["--new", "2", "--set", "max_suppliers=2"], "--set max_suppliers=\"\""),
    ] {
        let ran = ran(&case, "sizes", asked);
        assert_eq!((ran.code, ran.stdout.as_str()), (2, ""), "{asked:?}");
        assert!(ran.stderr.contains(cure), "{asked:?}: {}", ran.stderr);
    }
    for (set, cure) in [
        ("sizes.round_mm=0", "a length from 1 to 100 mm"),
        ("sizes.round_mm=-5", "a number, 0 or above"),
        ("sizes.round_mm=1e9", "a length from 1 to 100 mm"),
        ("sizes.kind_charge=-1", "an amount of money"),
        ("sizes.price=4", "capacities in litres"),
        ("sizes.price=1=4", "two or more"),
        ("sizes.price=1=4|1=5", "each capacity once"),
        ("sizes.price=0=4|1=5", "capacities in litres"),
        ("sizes.price=0.1=0|1=5", "above 0"),
    ] {
        let ran = ran(&case, "sizes", &["--new", "--set", set]);
        assert_ne!(ran.code, 0, "{set}");
        assert!(ran.stderr.contains(cure), "{set}: {}", ran.stderr);
    }
    // Vessels on the shelf that nobody sells.
    let unpriced = six_bodies().file(
        "vessels.csv",
        "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
         middle,cylinder,100,100,soda-lime,pp-cap-ptfe,9\n",
    );
    let refused = ran(&unpriced, "sizes", &["--new"]);
    assert_eq!((refused.code, refused.stdout.as_str()), (2, ""));
    assert!(refused.stderr.contains("--set sizes.price="), "{}", refused.stderr);
    let cured = ran(&unpriced, "sizes", &["--new", "--set", "sizes.price=0.1=1.20|1=3.50"]);
    assert_eq!(cured.code, 0, "the cure works: {}", cured.stderr);
    assert!(cured.stdout.contains("No size that is not listed makes the plan better"), "{}", cured.stdout);
}

#[test]
fn a_lot_that_may_have_a_tank_keeps_it_beside_a_dearer_size() {
    // The body is too large for the jar, and a tank costs less than the size that would hold it.
    let case = six_bodies()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid,tissue_ml\nT,200,90,60,box,as-set,formalin-10,1\n",
        )
        .file("settings.toml", "[fluid_price]\nformalin-10 = 0\n[sizes]\nprice = \"0.1=5000|1=9000\"\n");
    let answer = answered(&case, "sizes", &["--new"]);
    assert_ne!(answer["plan"]["money"], json!("0.00"), "the tank");
    assert_eq!(answer["plan"]["money"], answer["with_these_sizes"]["money"]);
    assert_eq!(answer["with_these_sizes"]["without_place"], json!([0, 0, 0, 0]));
    assert!(answer["considered"].as_u64().is_some_and(|sizes| sizes > 0), "a size would hold it");
}

/// Takes a minute; only where all cases are tried.
#[test]
fn three_sizes_for_the_demonstration_are_proved_best() {
    if !tries_all() {
        return;
    }
    let options = ["sizes", "demo-data", "--new", "3", "--time", "3000", "--set", "solver.time_limit_s=1000"];
    let shown = TestProject::run(&options.map(Path::new));
    assert_eq!(shown.code, 0, "{}", shown.stderr);
    insta::assert_snapshot!(shown.stdout, @r"
    The best 3 sizes that are not listed
           inside, mm      ml   lots   price, crowns   worth up to   without it
      450 × 310 × 135   18832      3           24.50      235.6234   1 placed, 2 wait, -14.18
             75 × 500    2208      2           47.05       93.4195   2 wait, +13.75
      340 × 230 × 250   19550      1           95.28      337.6718   2 placed, 1 waits, +13.56
      450 × 310 × 135: rectangular, mouth 450 × 310 mm, polypropylene, gasketed-lid; for P0037, P0038, P0046
      75 × 500: cylinder, mouth 65 mm, borosilicate, ground-glass-stopper; for P0009, P0044
      340 × 230 × 250: rectangular, mouth 340 × 230 mm, acrylic, acrylic-lid-bonded; for A0324
      The plan costs 1876.97 with 11 lots without a place without these sizes, and 1912.96 with 9 lots without a
      place with them.
      Price and worth are of a piece. Worth up to: the price below which the plan buys it, and above which it buys
      none, beside the other sizes. Without it: what the plan costs more, or less where lots wait that are placed
      with it.
      Prices (cylinder, borosilicate, ground-glass-stopper): 30.14 × litres to the power of 0.562, fitted to 10
      listed prices; most lie within a factor of 1.16 of it.
      Prices (rectangular, acrylic, acrylic-lid-bonded): 18.47 × litres to the power of 0.552, fitted to 4 listed
      prices; most lie within a factor of 1.09 of it.
      Prices (rectangular, polypropylene, gasketed-lid): 5.33 × litres to the power of 0.52, fitted to 4 listed
      prices; most lie within a factor of 1.03 of it.
      Chosen from 60 sizes, the most promising of 381: multiples of 5 mm (sizes.round_mm) in the proportions of
      listed vessels.
      Proved: no others of these sizes do better.
      Next: ask a supplier for a quote of these sizes. --out FILE writes them as a list; with the prices of the
      quote in it, `rehouse sizes DIR --offer FILE` says what it is worth.
    ");
}
