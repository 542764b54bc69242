//! What each listed vessel is worth: small projects against every plan of the project changed by hand, and laws that hold for any.

use rehouse::assign::question::question;
use rehouse::decision::{Question, Status};
use rehouse::inquiry::break_even::{BoughtUpTo, STEP};
use rehouse::inquiry::listed::{ListedVessel, ListedVessels, listed};
use rehouse::inquiry::{Inquiry, PlanValue, Watch, WhatIf};
use rehouse::options::table::{Row, judge_all};
use rehouse::plan::Questions;
use rehouse::project::Project;
use rehouse::settings::Tanks;
use rehouse::stock::VesselId;
use rehouse::units::Money;
use serde_json::json;

use super::answers::answered as answered_plan;
use super::{answered, judged, ran, small_files};
use crate::decision_oracle::reference;
use crate::properties::files::ProjectTables;
use crate::support::{TestProject, rows, sampled, tries_all};

fn listed_of(project: &Project, rows: &[Row]) -> ListedVessels {
    listed(&Inquiry::about(project, rows), &mut Watch { report: &mut |_| {}, stop: &|| false })
}

/// The plan with one more piece, which is always asked for here.
fn one_more(vessel: &ListedVessel) -> &PlanValue {
    vessel.one_more.as_ref().expect("one more piece")
}

/// Lots without a place by priority and weighed money, of the best plan by enumeration.
fn best(project: &Project) -> ([i64; 4], i64) {
    let rows = judge_all(project);
    let levels = reference::best(&question(project, &rows));
    let mut lots: [i64; 4] = levels[..4].try_into().expect("four levels");
    for (row, specimen) in rows.iter().zip(&project.collection.specimens) {
        let Some(judged) = row.judged() else { continue };
        let tank = judged.tank.as_ref().is_ok_and(|tank| tank.cost.is_some());
        lots[usize::from(specimen.priority) - 1] += i64::from(judged.fits.is_empty() && !tank);
    }
    (lots, levels[4])
}

fn rank(plan_value: &PlanValue) -> ([i64; 4], i64) {
    (plan_value.without_place, plan_value.values.weighed.parts())
}

/// The project without the rows of a vessel.
fn without(files: &ProjectTables, vessel: &str) -> Project {
    let mut files = files.clone();
    files.stock.retain(|offer| offer["vessel"] != vessel);
    judged(&files).0
}

/// The question with packs of an offer at a price, or none to be had.
fn priced(asked: &Question, offer: usize, price: Option<Money>) -> Question {
    let mut asked = asked.clone();
    for supply in asked.supplies.iter_mut() {
        match price {
            Some(price) => {
                let terms = supply.offers.iter_mut().filter(|terms| terms.offer as usize == offer);
                terms.for_each(|terms| terms.pack_price = price);
            }
            None => supply.offers.retain(|terms| terms.offer as usize != offer),
        }
    }
    asked
}

#[test]
fn what_vessels_are_worth_in_small_projects_is_what_enumeration_says() {
    let (mut vessels, mut worse, mut better) = (0, 0, 0);
    for seed in 0..sampled(30) {
        let files = small_files(seed);
        let (project, rows) = judged(&files);
        let listed = listed_of(&project, &rows);
        assert!(listed.is_whole() && rank(&listed.now) == best(&project), "seed {seed}");
        for vessel in &listed.vessels {
            let id = &project.stock.vessel(vessel.vessel).id;
            assert!(vessel.is_proved(), "seed {seed}, {id}");
            assert_eq!(rank(&vessel.without), best(&without(&files, id)), "seed {seed}, without {id}");
            let mut more = project.clone();
            let free = u32::try_from(project.stock.vessel(vessel.vessel).free_pieces()).expect("few");
            let listed_vessel = &mut more.stock.vessels[vessel.vessel.0 as usize];
            listed_vessel.on_hand = free + 1;
            (listed_vessel.on_order, listed_vessel.reserve) = (0, 0);
            assert_eq!(rank(one_more(vessel)), best(&more), "seed {seed}, one more {id}");
            worse += usize::from(rank(&vessel.without) > rank(&listed.now));
            better += usize::from(rank(one_more(vessel)) < rank(&listed.now));
            vessels += 1;
        }
    }
    assert!(
        !tries_all() || vessels > 40 && worse > 5 && better > 5,
        "{vessels} vessels, {worse} missed, {better} of which one more piece helps"
    );
}

#[test]
fn an_offer_is_bought_just_below_its_price_and_not_just_above() {
    let (mut prices, mut bought, mut any, mut none, mut ranges) = (0, 0, 0, 0, 0);
    for seed in 0..sampled(40) {
        let (project, rows) = judged(&small_files(seed));
        let asked = question(&project, &rows);
        for offer in listed_of(&project, &rows).vessels.iter().flat_map(|vessel| &vessel.offers) {
            let at = format!("seed {seed}, offer {}: {:?}", offer.offer, offer.bought);
            assert!(offer.is_proved(), "{at}");
            let without = reference::best(&priced(&asked, offer.offer, None));
            let is_bought = |price: Money| {
                let best = reference::best(&priced(&asked, offer.offer, Some(price)));
                best[..5] < without[..5]
            };
            if let Some(from) = offer.bought_from() {
                let may_be =
                    |price: Money| reference::best(&priced(&asked, offer.offer, Some(price)))[..5] <= without[..5];
                assert!(may_be(from), "{at}: from {from:?}");
                if let BoughtUpTo::Price(price) = offer.bought {
                    let middle = Money::from_parts(i64::midpoint(from.parts(), price.parts()));
                    assert!(is_bought(middle) || price - from < STEP * 2, "{at}: between");
                    assert!(!is_bought(price + STEP), "{at}: above");
                }
                ranges += 1;
                continue;
            }
            if offer.from.is_some() {
                continue;
            }
            match offer.bought {
                BoughtUpTo::Price(price) => {
                    assert!(price < STEP || is_bought(price - STEP), "{at}: below");
                    assert!(!is_bought(price + STEP), "{at}: above");
                    prices += 1;
                }
                BoughtUpTo::AnyPrice => {
                    assert!(is_bought(Money::whole(1_000_000)), "{at}");
                    any += 1;
                }
                BoughtUpTo::NoPrice => {
                    assert!(!is_bought(Money::ZERO), "{at}");
                    none += 1;
                }
            }
            bought += usize::from(offer.packs.0 > 0);
        }
    }
    assert!(
        !tries_all() || prices > 10 && bought > 3 && any + none > 3 && ranges > 3,
        "{prices} prices, {bought} offers bought, {any} at any price, {none} at none, {ranges} ranges"
    );
}

#[test]
fn a_vessel_less_is_never_better_a_piece_more_never_worse_and_no_change_changes_nothing() {
    for seed in 500..500 + sampled(40) {
        let (mut project, _) = judged(&small_files(seed));
        project.settings.tanks = Tanks::WhenCheaper;
        let rows = judge_all(&project);
        let inquiry = Inquiry::about(&project, &rows);
        let mut watch = Watch { report: &mut |_| {}, stop: &|| false };
        let plan = inquiry.decide(&mut watch);
        let now = inquiry.plan_value(&plan);
        let mut same = inquiry.clone();
        for at in 0..project.stock.vessels.len() {
            let id = VesselId(u32::try_from(at).expect("few"));
            let free = project.stock.vessel(id).free_pieces();
            same.change(WhatIf::FreePieces { vessel: id, free });
        }
        for (at, offer) in project.stock.offers.iter().enumerate() {
            same.change(WhatIf::Price { offer: at, price: offer.pack_price });
        }
        let again = same.decide(&mut watch);
        assert_eq!((&again.chosen, &again.packs), (&plan.chosen, &plan.packs), "seed {seed}");
        for vessel in &listed_of(&project, &rows).vessels {
            let id = &project.stock.vessel(vessel.vessel).id;
            assert_eq!((vessel.without.status, one_more(vessel).status), (Status::ProvedBest, Status::ProvedBest));
            assert!(vessel.without.rank() >= now.rank(), "seed {seed}: without {id}");
            assert!(one_more(vessel).rank() <= now.rank(), "seed {seed}: one more {id}");
        }
    }
}

#[test]
fn a_listed_vessel_that_is_too_dear_makes_no_leftover_of_its_lot() {
    // Only this jar holds the body, and without the jar on the list it would have a tank. While the jar is listed, the lot is none
    // that may have a tank, so the jar is bought at any price.
    let case = TestProject::new()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid,tissue_ml\nT,200,90,60,box,as-set,formalin-10,1\n",
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n\
             wide,cylinder,300,200,soda-lime,pp-cap-ptfe,16\n",
        )
        .file("settings.toml", "[fluid_price]\nformalin-10 = 0\n");
    let answer = answered(&case, "sizes", &[]);
    let vessel = &answer["vessels"][0];
    assert_eq!(vessel["lots"], json!(["T"]));
    assert_eq!(vessel["offers"][0]["bought_up_to"], json!("any"), "{vessel:#?}");
    // If it is not listed, there is a tank.
    assert_eq!(vessel["without"]["without_place"], json!([0, 0, 0, 0]));
}

/// Two jars for two lots: worked out by hand.
fn two_jars() -> TestProject {
    TestProject::new()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid\nA,40,20,20,ethanol-70\nB,40,20,20,ethanol-70\n",
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,pack_price,pack_size\n\
             plain,cylinder,60,80,soda-lime,pp-cap-ptfe,0,3,1\nfine,cylinder,60,80,soda-lime,pp-cap-ptfe,1,5,2\n",
        )
        .file("settings.toml", "[fluid_price]\nethanol-70 = 0\n")
}

#[test]
fn two_jars_by_hand() {
    // The plan: one lot in the fine jar on the shelf, one in a plain jar for 3.
    let answer = answered(&two_jars(), "sizes", &[]);
    assert_eq!((&answer["whole"], &answer["plan"]["money"]), (&json!(true), &json!("3.00")));
    let vessel = |name: &str| {
        let all = answer["vessels"].as_array().expect("vessels");
        all.iter().find(|vessel| vessel["vessel"] == name).expect("a vessel").clone()
    };
    let (plain, fine) = (vessel("plain"), vessel("fine"));
    assert_eq!((&plain["lots"], &fine["lots"]), (&json!(["B"]), &json!(["A"])));
    // Without plain jars a pack of fine ones for 5; without fine ones two plain jars for 6; with one more piece nothing is bought.
    for (figure, money) in [
        (&plain["without"]["money"], "5.00"),
        (&fine["without"]["money"], "6.00"),
        (&plain["one_free_piece_more"]["money"], "0.00"),
        (&fine["one_free_piece_more"]["money"], "0.00"),
        // A plain jar is bought up to the price of the pack of fine ones, and those up to the price of a plain jar.
        (&plain["offers"][0]["bought_up_to"], "5.00"),
        (&fine["offers"][0]["bought_up_to"], "3.00"),
    ] {
        assert_eq!(figure, &json!(money), "{answer:#}");
    }
    for plan in [&plain["without"], &plain["offers"][0]["just_above"], &fine["offers"][0]["none_bought"]] {
        assert_eq!(plan["status"], json!("proved best"));
        let levels = plan["levels"].as_array().expect("levels");
        assert!(levels.len() == 6 && levels.iter().all(|level| level["bound"] == level["value"]), "{plan:#}");
    }
}

#[test]
fn the_file_the_screen_and_the_json_of_two_jars_agree() {
    let case = two_jars();
    let out = case.project().with_file_name("sizes.csv");
    let shown = ran(&case, "sizes", &["--out", out.to_str().expect("a name")]);
    assert_eq!(shown.code, 0, "{}", shown.stderr);
    let table = rows(&std::fs::read(&out).expect("sizes.csv"));
    assert_eq!(rows(ran(&case, "sizes", &["--format", "csv"]).stdout.as_bytes()), table);
    let cells = |name: &str| table.iter().map(|line| line[name].clone()).collect::<Vec<_>>();
    assert_eq!(cells("vessel"), ["fine", "plain"]);
    assert_eq!(cells("break_even_pack_price"), ["3.00", "5.00"]);
    assert_eq!(cells("without_money_more"), ["3.00", "2.00"]);
    assert_eq!(cells("free_piece_money_more"), ["-3.00", "-3.00"]);
    insta::assert_snapshot!(shown.stdout, @r"
    What each vessel is worth to the plan
      vessel   lots   without it   a free piece more   pack price   bought up to   proved
      fine        1   +3.00        -3.00                     5.00           3.00   yes
      plain       1   +2.00        -3.00                     3.00           5.00   yes
      The plan as it is costs 3.00.
      Without it: what the plan costs more without the vessel, and how many lots then wait that have a place now.
      A free piece more: the same with one more piece on the shelf.
      Bought up to: the price of a pack below which the plan buys some, and above which it buys none, with all
      other prices as they are.
    ");
}

#[test]
fn no_time_shows_what_there_is_and_faults_are_told_with_a_cure() {
    let case = two_jars();
    let out = case.project().join("vessels.csv");
    for (asked, cure) in [
        (&["--time", "0"][..], "write whole seconds from 1 to 1000000"),
        (&["--out", out.to_str().expect("a name")], "it is one of the inputs"),
    ] {
        let ran = ran(&case, "sizes", asked);
        assert_eq!((ran.code, ran.stdout.as_str()), (2, ""), "{asked:?}");
        assert!(ran.stderr.contains(cure), "{asked:?}: {}", ran.stderr);
    }
    let (project, rows) = judged(&small_files(1));
    let stopped = listed(&Inquiry::about(&project, &rows), &mut Watch { report: &mut |_| {}, stop: &|| true });
    assert!(stopped.vessels.is_empty() && !stopped.is_whole());
}

#[test]
fn an_offer_that_is_bought_where_another_costs_as_much_is_bought_up_to_its_price() {
    // Both cost 0.57, and the wide one takes less fluid.
    let case = TestProject::new()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid,tissue_ml\nA1,94,51,30,formalin-10,48.2\n",
        )
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,order_code,unit_price\n\
             tall,cylinder,103,209,borosilicate,pp-cap-ptfe,T,0.57\nwide,cylinder,126,103,borosilicate,pp-cap-ptfe,W,0.57\n",
        )
        .file("settings.toml", "[fluid_price]\n\"formalin-10\" = 0\n");
    let answer = answered(&case, "sizes", &[]);
    for vessel in answer["vessels"].as_array().expect("vessels") {
        let offer = &vessel["offers"][0];
        assert_eq!((&offer["bought_up_to"], &offer["bought_from"]), (&json!("0.57"), &json!(null)), "{vessel:#}");
        assert_eq!(offer["packs"], json!(i32::from(vessel["vessel"] == "wide")));
    }
    // In the list of a supplier the same.
    let whole = std::fs::read_to_string(case.project().join("vessels.csv")).expect("the stock list");
    let lines: Vec<&str> = whole.lines().collect();
    let case = case
        .file("vessels.csv", format!("{}\n{}\n", lines[0], lines[1]))
        .file("list.csv", format!("{}\n{}\n", lines[0], lines[2]));
    let list = case.project().join("list.csv").to_str().expect("a name").to_owned();
    let answer = answered(&case, "sizes", &["--offer", &list]);
    assert_eq!(answer["rows"][0]["bought_up_to"], json!("0.57"), "{answer:#}");
}

/// A lot that two jars suit. The firm of the first wants orders of 5, which a dearer jar reaches with fewer packs.
fn minimum_order(price: &str) -> TestProject {
    TestProject::new()
        .file(
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,fluid,tissue_ml\nA1,27,15,10,ethanol-70,1.6\n",
        )
        .file("suppliers.csv", "supplier,minimum_order\nFirm A,5\n")
        .file(
            "vessels.csv",
            format!(
                "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,supplier,order_code,pack_price\n\
                 jar-a,cylinder,45,60,borosilicate,pp-cap-ptfe,Firm A,A-1,{price}\n\
                 jar-b,cylinder,45,60,borosilicate,pp-cap-ptfe,,B-1,7\n"
            ),
        )
}

#[test]
fn under_a_minimum_order_an_offer_is_bought_in_a_range_of_prices() {
    // An order is as many packs as reach 5, so jar-a costs less than 7 at 2.00 to 2.3333, 2.50 to 3.50 and 5.00 to 7.00.
    for (price, from, to) in [
        ("2", "2.00", "2.3333"),
        ("3", "3.00", "3.50"),
        ("6", "6.00", "7.00"),
        ("2.4", "1.20", "2.3333"),
        ("0", "5.00", "7.00"),
    ] {
        let case = minimum_order(price);
        let answer = answered(&case, "sizes", &[]);
        let vessels = answer["vessels"].as_array().expect("vessels");
        let jar = vessels.iter().find(|vessel| vessel["vessel"] == "jar-a").expect("jar-a");
        let offer = &jar["offers"][0];
        assert_eq!((&offer["bought_from"], &offer["bought_up_to"]), (&json!(from), &json!(to)), "at {price}");
        let placed_in_a = |price: &str| {
            let plan = minimum_order(price).planned();
            plan.placement("A1")["vessel"] == "jar-a"
        };
        let above = format!("{:.4}", to.parse::<f64>().expect("a price") + 0.0001);
        assert!(placed_in_a(from) && !placed_in_a(&above), "at {price}");
        let shown = ran(&case, "sizes", &[]).stdout;
        assert!(shown.contains(&format!("{from} to {to}")), "{shown}");
        assert!(shown.contains("It may buy some at other prices too"), "{shown}");
        let table = rows(ran(&case, "sizes", &["--format", "csv"]).stdout.as_bytes());
        let line = table.iter().find(|line| line["vessel"] == "jar-a").expect("jar-a");
        assert_eq!((line["bought_from_pack_price"].as_str(), line["break_even_pack_price"].as_str()), (from, to));
    }
}

#[test]
fn what_the_answers_say_of_vessels_is_what_enumeration_says() {
    let (mut vessels, mut lost, mut gained) = (0, 0, 0);
    for seed in 0..sampled(30) {
        let files = small_files(seed);
        let (project, rows) = judged(&files);
        let now = best(&project);
        let plan = answered_plan(&project, &rows, Questions::All);
        let Some(listed) = ListedVessels::of_answers(&project, &plan) else { continue };
        // Lots without a place and weighed money beyond those of the plan as it is.
        let more = |other: ([i64; 4], i64)| {
            let lots: [i64; 4] = std::array::from_fn(|at| other.0[at] - now.0[at]);
            (lots, Money::from_parts(other.1 - now.1).rounded())
        };
        let stated = |other: &PlanValue| {
            let lots: [i64; 4] = std::array::from_fn(|at| other.without_place[at] - listed.now.without_place[at]);
            (lots, (other.values.weighed - listed.now.values.weighed).rounded())
        };
        let agrees = |(lots, money): ([i64; 4], Money), other: ([i64; 4], Money)| {
            lots == other.0 && (money - other.1).parts().abs() <= 1000
        };
        for vessel in &listed.vessels {
            let id = &project.stock.vessel(vessel.vessel).id;
            assert!(vessel.is_proved(), "seed {seed}, {id}");
            let expected = more(best(&without(&files, id)));
            assert!(agrees(stated(&vessel.without), expected), "seed {seed}, without {id}: {expected:?}");
            vessels += 1;
            lost += usize::from(expected.0 != [0; 4]);
            gained += usize::from(one_more(vessel).rank() < listed.now.rank());
        }
    }
    assert!(
        !tries_all() || (vessels > 40 && lost > 10 && gained > 5),
        "{vessels} vessels, {lost} lost, {gained} gained"
    );
}

#[test]
fn a_vessel_that_is_not_to_be_had_is_judged_alike_whether_lots_wait_before_or_after() {
    for seed in 0..sampled(40) {
        let (project, rows) = judged(&small_files(seed));
        let Some((id, _)) = project.stock.listed().next() else { continue };
        let mut only = Inquiry::about(&project, &rows);
        only.change(WhatIf::Without(id));
        let mut between = Inquiry::about(&project, &rows);
        for change in [WhatIf::UpToPriority(1), WhatIf::Without(id), WhatIf::UpToPriority(4)] {
            between.change(change);
        }
        // One that waits is held, and takes its place again.
        let mut waited = Inquiry::about(&project, &rows);
        for change in [WhatIf::Waits { row: 0 }, WhatIf::Without(id)] {
            waited.change(change);
        }
        assert_eq!(only.rows(), judge_all(only.project()), "seed {seed}");
        assert_eq!(only.rows(), between.rows(), "seed {seed}");
        assert_eq!(only.question().classes, between.question().classes, "seed {seed}");
        assert_eq!(only.question().supplies, between.question().supplies, "seed {seed}");
        assert_eq!(waited.rows()[1..], only.rows()[1..], "seed {seed}");
        assert_eq!(waited.rows(), judge_all(waited.project()), "seed {seed}");
        let (_, without) = (project.stock.vessel(id), only.project());
        assert!(!without.stock.is_to_be_had(id));
    }
}
