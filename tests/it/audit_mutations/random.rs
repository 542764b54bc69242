//! Random whole projects: every plan that the program makes, however early the search stops, passes its own audit, in memory and saved.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::{TestRng, TestRunner};
use rehouse::audit::audit;
use rehouse::decision::Status;
use rehouse::plan::{Outcome, Plan};
use rehouse::project::Project;
use rehouse::saved::{from_json, to_json};
use rehouse::units::{Millilitres, Money};

use super::scenes::project;
use super::{cells, planned_until};
use crate::support::{sampled, tries_all};

/// A row of a survey without its number: size, lot, fluid, priority, and the vessel that it must have.
fn row() -> impl Strategy<Value = String> {
    let size = prop_oneof![
        8 => (15u32..140, 8u32..60, 8u32..60).prop_map(|(length, width, height)| format!("{length},{width},{height}")),
        2 => (150u32..400, 61u32..150, 61u32..150).prop_map(|(length, width, height)| format!("{length},{width},{height}")),
        1 => Just(",,".to_owned()),
    ];
    let fluid = select(vec!["ethanol-70", "ethanol-70", "ethanol-70", "formalin-5", "glycerol-70", "unknown"]);
    let posture = select(vec!["", "as-set", "upright", "any", "coil"]);
    let asked = prop_oneof![
        14 => Just(",,,,"),
        1 => Just("V-0,,,,"),
        1 => Just("V-1|@tank,,,,"),
        1 => Just("@tank,,,,"),
        1 => Just(",V-0|@tank,,,"),
        1 => Just(",,55.5,,"),
        1 => Just(",,,picric,"),
        1 => Just(",,,human,"),
        1 => Just(",,,,on display"),
    ];
    let display = select(vec!["", "", "", "clear", "flat"]);
    let outline = select(vec!["", "rounded"]);
    let present = prop_oneof![
        3 => Just(",,".to_owned()),
        1 => (10u32..400).prop_map(|ml| format!("ethanol-70,,{ml}")),
        1 => (20u32..71, 10u32..400).prop_map(|(strength, ml)| format!("ethanol-70,{strength},{ml}")),
        1 => select(vec!["formalin-10,,50", "glycerol-70,,", "methyl-salicylate,,5", "ethanol-96,90,20"]).prop_map(str::to_owned),
    ];
    let asked = (asked, present).prop_map(|(asked, present)| format!("{asked},{present}"));
    (size, 1u32..9, 1u32..5, fluid, 1u32..5, posture, display, outline, asked).prop_map(
        |(size, individuals, vessels, fluid, priority, posture, display, outline, asked)| {
            format!("{size},{individuals},{vessels},{fluid},{priority},{posture},{display},{outline},{asked}")
        },
    )
}

/// A vessel without its id: measures, parts and pieces; then the terms of its offers.
fn vessel() -> impl Strategy<Value = (String, Vec<String>)> {
    let section = prop_oneof![
        (20u32..160).prop_map(|bore| format!("cylinder,{bore},,")),
        (20u32..160, 20u32..160).prop_map(|(length, width)| format!("rectangular,,{length},{width}")),
    ];
    let parts = select(vec!["borosilicate,pp-cap-ptfe", "soda-lime,clip-silicone", "acrylic,plate-silicone"]);
    let pieces = (0u32..4, 0u32..2, 0u32..3).prop_map(|(here, arriving, kept)| format!("{here},{arriving},{kept}"));
    let offer = (
        0u32..90_000,
        1u32..7,
        1u32..3,
        select(vec!["", "", "3", "9"]),
        select(vec!["", "Alder Glass", "Birch Works"]),
    );
    let offer = offer.prop_map(|(price, size, least, limit, supplier)| {
        format!("{}.{:04},{size},{least},{limit},{supplier}", price / 10_000, price % 10_000)
    });
    let body = (section, 30u32..220, parts, pieces);
    (body.prop_map(|(section, height, parts, pieces)| format!("{section},{height},{parts},{pieces}")), vec(offer, 1..3))
}

/// Settings tight enough to change the plan.
fn settings() -> impl Strategy<Value = String> {
    let lines = [
        ("budget", vec!["0", "7.5", "40", "300"]),
        ("max_vessel_types", vec!["0", "1", "2"]),
        ("max_suppliers", vec!["0", "1"]),
        ("spare_pct", vec!["10", "33.33"]),
        ("litre_weight", vec!["0.0007", "2.5"]),
        ("accept_unproven", vec!["true"]),
        ("leaning", vec!["true"]),
        ("labour_in_budget", vec!["true"]),
        ("tanks", vec!["\"when cheaper\""]),
        ("baths_in", vec!["\"vessel\""]),
        ("reuse_fluid", vec!["\"top-up\""]),
        ("priority.rule", vec!["\"weighted\""]),
    ];
    let line = |(key, values): (&'static str, Vec<&'static str>)| {
        proptest::option::weighted(0.3, select(values))
            .prop_map(move |value| value.map(|value| format!("{key} = {value}\n")))
    };
    let solver = select(vec!["", "gap_pct = 20\n", "gap_pct = 0.5\n"]);
    let lines: Vec<_> = lines.into_iter().map(line).collect();
    (lines, solver).prop_map(|(lines, solver)| {
        let lines: String = lines.into_iter().flatten().collect();
        format!(
            "{lines}[labour]\nminutes_per_move = 7\nrate_per_hour = 18.5\n[solver]\n{solver}[disposal_price]\nalcohol = 0.7\n\
             [containers]\nethanol-96 = \"0.5=4|2.5=15\"\n"
        )
    })
}

/// The files of a project.
fn files() -> impl Strategy<Value = [(&'static str, String); 5]> {
    let terms = select(vec![",,", "7.50,,", "7.50,30,", "4.1,,14", "9,26,5"]);
    let shelf =
        select(vec!["", "ethanol-70,0.05,\n", "ethanol-70,0.6,\nethanol-96,0.3,\n", "ethanol-70,40,\nformalin-5,1,\n"]);
    (vec(row(), 1..12), vec(vessel(), 2..6), [terms.clone(), terms], settings(), shelf).prop_map(
        |(rows, vessels, [alder, birch], settings, shelf)| {
            let mut specimens =
                "catalogNumber,length_mm,width_mm,height_mm,individualCount,max_vessels,fluid,priority,posture,\
                                 display,outline,must_use,must_not_use,tank_quote,hazard,hold,current_fluid,\
                                 current_strength_pct,current_fluid_ml\n"
                    .to_owned();
            for (i, row) in rows.iter().enumerate() {
                // Rows are not in the order of their keys.
                specimens += &format!("K-{:02},{row}\n", (i * 7) % 12);
            }
            let mut stock =
                "vessel,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,material,closure,\
                             on_hand,on_order,reserve,pack_price,pack_size,min_packs,order_limit,supplier\n"
                    .to_owned();
            for (i, (body, offers)) in vessels.iter().enumerate() {
                let (shape, pieces) =
                    body.rsplitn(4, ',').last().map(|shape| (shape, &body[shape.len()..])).unwrap_or_default();
                let first = offers.first().map_or(",,,,", String::as_str);
                stock += &format!("V-{i},{shape}{pieces},{first}\n");
                for offer in offers.iter().skip(1) {
                    stock += &format!("V-{i},{shape},,,,{offer}\n");
                }
            }
            let suppliers = format!(
                "supplier,delivery_charge,free_delivery_over,minimum_order\nAlder Glass,{alder}\nBirch Works,{birch}\n"
            );
            [
                ("specimens.csv", specimens),
                ("vessels.csv", stock),
                ("suppliers.csv", suppliers),
                ("settings.toml", settings),
                ("fluid-stock.csv", format!("fluid,litres,location\n{shelf}")),
            ]
        },
    )
}

/// Features that not every plan has.
fn features(plan: &Plan) -> Vec<&'static str> {
    let outcome = |outcome: Outcome| plan.placements.iter().any(|row| row.outcome == outcome);
    let mut features: Vec<&'static str> =
        Outcome::ALL.into_iter().filter(|&one| outcome(one)).map(Outcome::name).collect();
    features.push(plan.status.name());
    let others = [
        (plan.tanks.iter().any(|tank| tank.cost.is_none()), "a tank of unknown price"),
        (plan.purchases.iter().any(|line| line.spare > 0), "spare pieces"),
        (plan.placements.iter().any(|row| row.fit.is_some_and(|fit| fit.pieces > 1)), "a divided lot"),
        (plan.placements.iter().any(|row| row.fit.is_some_and(|fit| fit.leaning)), "a leaning body"),
        (plan.deliveries.iter().any(|line| line.charge == Money::ZERO), "a free delivery"),
        (plan.deliveries.iter().any(|line| line.charge > Money::ZERO), "a delivery to pay"),
        (!plan.wants.is_empty(), "a want"),
        (plan.placements.iter().any(|row| !row.baths.is_empty()), "a bath"),
        (plan.placements.iter().any(|row| row.charges > 1), "a second filling"),
        (plan.placements.iter().any(|row| row.reused > Millilitres::ZERO), "fluid that is kept"),
        (plan.make_up.iter().any(|made| made.from_stock > Millilitres::ZERO), "fluid from the shelf"),
    ];
    features.extend(others.into_iter().filter(|(has, _)| *has).map(|(_, name)| name));
    features
}

/// Plans random projects, some with the search stopped early, and asserts a property of each plan.
fn each_plan(number: u32, holds: impl Fn(&Project, &Plan) -> Result<(), TestCaseError>) {
    let cases = sampled(number.into()).try_into().expect("few cases");
    let config = ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() };
    let rng = TestRng::deterministic_rng(config.rng_algorithm);
    // The number of times that the search asks whether to stop before the answer is yes.
    let patience = select(vec![0, 3, 4, 5, 6, 8, 12, u32::MAX, u32::MAX, u32::MAX]);
    let run = TestRunner::new_with_rng(config, rng).run(&(files(), patience), |(files, patience)| {
        let files = files.each_ref().map(|(name, text)| (*name, text.as_str()));
        let asked = Cell::new(0);
        let stop = || asked.replace(asked.get() + 1) >= patience;
        let (project, plan) = planned_until(project(&files), &stop);
        holds(&project, &plan)
    });
    if let Err(failure) = run {
        panic!("{failure}");
    }
}

#[test]
fn every_plan_the_program_makes_passes_its_own_audit_in_memory_and_saved() {
    let seen = RefCell::new(BTreeMap::<&str, u32>::new());
    each_plan(500, |project, plan| {
        prop_assert_eq!(audit(project, plan), Vec::new());
        let saved = to_json(project, plan, &[]);
        let read = from_json(project, &saved).map_err(|findings| TestCaseError::fail(findings.join("\n")))?;
        prop_assert_eq!(audit(project, &read), Vec::new());
        prop_assert_eq!(String::from_utf8(to_json(project, &read, &[])), String::from_utf8(saved));
        for feature in features(plan) {
            *seen.borrow_mut().entry(feature).or_default() += 1;
        }
        Ok(())
    });
    let seen = seen.into_inner();
    let statuses = [Status::ProvedBest, Status::BestFound, Status::NotOptimised];
    let others = [
        "a tank of unknown price",
        "spare pieces",
        "a divided lot",
        "a leaning body",
        "a free delivery",
        "a delivery to pay",
        "a want",
        "a bath",
        "a second filling",
        "fluid that is kept",
        "fluid from the shelf",
    ];
    for feature in Outcome::ALL.map(Outcome::name).into_iter().chain(statuses.map(Status::name)).chain(others) {
        assert!(!tries_all() || seen.contains_key(feature), "{feature} never occurred: {seen:?}");
    }
}

#[test]
fn every_cell_of_any_saved_plan_matters() {
    let changed = Cell::new(0);
    each_plan(40, |project, plan| {
        let saved = to_json(project, plan, &[]);
        // A tree that is split on another offer may bound the level too.
        let may_pass = |path: &str| path.contains("/certificate/offers/") && path.ends_with("/line");
        changed.set(changed.get() + cells::changed(project, &saved, cells::more, may_pass));
        Ok(())
    });
    assert!(!tries_all() || changed.get() > 5000, "only {} cells were changed", changed.get());
}
