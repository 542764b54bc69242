//! Changes of stock, prices, sizes, clearances, budget and kinds of vessel, and their possible effect on a plan.

use super::files::{ProjectTables, XorShift, scale_columns};
use super::{InMemoryPlan, PROJECTS, compare, planned, random_files};

fn no_worse(before: &InMemoryPlan, after: &InMemoryPlan) -> bool {
    after.levels() <= before.levels()
}

fn no_better(before: &InMemoryPlan, after: &InMemoryPlan) -> bool {
    after.levels() >= before.levels()
}

#[test]
fn more_pieces_on_hand_never_worsen_a_plan() {
    for step in 0..4 {
        let more = |files: &mut ProjectTables, _: &mut XorShift| {
            let kinds: Vec<usize> =
                (0..files.stock.len()).filter(|&row| !files.stock[row]["on_hand"].is_empty()).collect();
            let row = kinds[step * kinds.len() / 4];
            let pieces: u64 = files.stock[row]["on_hand"].parse().expect("a number of pieces");
            files.stock[row].insert("on_hand".to_owned(), (pieces + 2).to_string());
            true
        };
        let (compared, different) = compare(more, no_worse);
        assert!(compared > 20 && different > 3, "{compared} compared, {different} different");
    }
}

#[test]
fn releasing_the_reserve_never_worsens_a_plan() {
    let released = |files: &mut ProjectTables, _: &mut XorShift| {
        files.stock.iter_mut().for_each(|row| drop(row.insert("reserve".to_owned(), String::new())));
        true
    };
    let (compared, different) = compare(released, no_worse);
    assert!(compared > 15 && different > 5, "{compared} compared, {different} different");
}

#[test]
fn all_prices_three_times_as_high_make_three_times_the_money() {
    let dearer = |files: &mut ProjectTables, _: &mut XorShift| {
        scale_columns(&mut files.stock, &["unit_price", "pack_price"], 3.0);
        scale_columns(&mut files.suppliers, &["delivery_charge", "free_delivery_over", "minimum_order"], 3.0);
        scale_columns(&mut files.survey, &["tank_quote"], 3.0);
        for key in ["budget", "litre_weight", "labour.rate_per_hour", "tank.delivery"] {
            files.scale_setting(key, 3.0);
        }
        for fluid in ["ethanol-70", "formalin-10", "nbf-10"] {
            files.scale_setting(&format!("fluid_price.{fluid}"), 3.0);
        }
        true
    };
    let three_times = |before: &InMemoryPlan, after: &InMemoryPlan| {
        let mut expected = before.levels();
        expected[4] *= 3;
        let (was, is) = (&before.plan.totals, &after.plan.totals);
        // Plans of equal money and fluid may divide the money differently, so only the total is compared.
        after.levels() == expected
            && is.money == was.money * 3
            && is.litres == was.litres
            && is.labour_counted == was.labour_counted * 3
    };
    assert_eq!(compare(dearer, three_times).0, PROJECTS.count());
}

#[test]
fn twice_the_lengths_make_eight_times_the_litres_in_the_same_vessels() {
    const LIMITS: [(&str, f64); 11] = [
        ("clearance.wall_min_mm", 0.5),
        ("clearance.wall_max_mm", 10.0),
        ("clearance.mouth_min_mm", 1.0),
        ("clearance.mouth_max_mm", 10.0),
        ("clearance.floor_mm", 1.0),
        ("clearance.cover_min_mm", 2.0),
        ("clearance.cover_max_mm", 10.0),
        ("headspace.least_mm", 10.0),
        ("tank.wall_mm", 20.0),
        ("tank.cover_mm", 15.0),
        ("tank.freeboard_mm", 25.0),
    ];
    let limits = |files: &mut ProjectTables, times: f64| {
        let set = |(key, mm): (&str, f64)| (key.to_owned(), (mm * times).to_string());
        files.settings.extend(LIMITS.map(set));
        files.settings.insert("tank.round_up_mm".to_owned(), (10.0 * times).to_string());
        files.scale_setting("tank.smallest_side_mm", times);
    };
    let mut same = 0;
    for seed in PROJECTS {
        let mut small = random_files(seed);
        let mut large = small.clone();
        limits(&mut small, 1.0);
        limits(&mut large, 2.0);
        let lengths = ["length_mm", "width_mm", "height_mm", "clearance_mm", "max_outer_height_mm"];
        scale_columns(&mut large.survey, &lengths, 2.0);
        scale_columns(&mut large.survey, &["tissue_ml", "mass_g"], 8.0);
        let inner = ["inner_diameter_mm", "inner_length_mm", "inner_width_mm", "inner_height_mm"];
        scale_columns(&mut large.stock, &inner, 2.0);
        scale_columns(&mut large.stock, &["body_height_mm", "mouth_diameter_mm", "outer_height_mm"], 2.0);
        scale_columns(&mut large.stock, &["capacity_ml"], 8.0);
        // Prices by volume and by area are scaled so that the costs, and with them the decision, stay the same.
        for fluid in ["ethanol-70", "formalin-10", "nbf-10"] {
            large.scale_setting(&format!("fluid_price.{fluid}"), 0.125);
        }
        large.scale_setting("litre_weight", 0.125);
        let (small, large) = (planned(&small), planned(&large));
        assert_eq!(small.options(), large.options(), "project {seed}");
        assert_eq!(small.levels()[..4], large.levels()[..4], "project {seed}");
        // Half a millilitre for each filling and for each row's tissue, times eight, and half a millilitre more.
        let fillings = |planned: &InMemoryPlan| {
            let pieces = |p: &rehouse::plan::Placement| p.fit.map_or(1, |fit| i64::from(fit.pieces));
            planned.plan.placements.iter().map(|p| 1 + pieces(p)).sum::<i64>()
        };
        let rounding = fillings(&small).max(fillings(&large)) * 9 / 2 + 1;
        // At most four units of money a litre before scaling and a tenth of that after it, in ten-millionths.
        let money = (large.levels()[4] - small.levels()[4]).abs();
        assert!(money <= rounding * 6_000, "project {seed}: money differs by {money}");
        if small.places() == large.places() {
            same += 1;
            let off = (large.plan.totals.litres.0 - 8 * small.plan.totals.litres.0).abs();
            assert!(off <= rounding, "project {seed}: {off} ml, {rounding} by rounding");
        }
    }
    assert!(same > 20, "only {same} plans place the same");
}

#[test]
fn a_wider_clearance_never_adds_an_option_and_never_improves_a_plan() {
    for (key, wider, least) in [
        ("clearance.wall_pct", "6.5", 10),
        ("clearance.wall_min_mm", "2.5", 10),
        ("clearance.mouth_pct", "13", 10),
        ("clearance.cover_pct", "13", 10),
        ("clearance.floor_mm", "3", 10),
        ("clearance.coil_core_least", "3", 10),
    ] {
        let widen = |files: &mut ProjectTables, _: &mut XorShift| {
            files.settings.insert(key.to_owned(), wider.to_owned());
            true
        };
        let (compared, _) =
            compare(widen, |before, after| after.options().is_subset(&before.options()) && no_better(before, after));
        assert!(compared >= least, "{key}: {compared} compared");
    }
    let all = |files: &mut ProjectTables, _: &mut XorShift| {
        for (key, wider) in [("wall_pct", "8"), ("mouth_pct", "15"), ("cover_pct", "15"), ("floor_mm", "5")] {
            files.settings.insert(format!("clearance.{key}"), wider.to_owned());
        }
        true
    };
    for seed in PROJECTS {
        let files = random_files(seed);
        let mut wider = files.clone();
        all(&mut wider, &mut XorShift::from(seed));
        let (before, after) = (planned(&files), planned(&wider));
        assert!(after.options().is_subset(&before.options()), "project {seed}");
        assert!(after.leftovers().is_superset(&before.leftovers()), "project {seed}");
    }
}

#[test]
fn a_larger_budget_never_worsens_a_plan() {
    let mut differences = 0;
    for times in [1.05, 1.5, 4.0] {
        let larger = |files: &mut ProjectTables, _: &mut XorShift| {
            files.scale_setting("budget", times);
            files.settings["budget"] != "\"\""
        };
        let (compared, different) = compare(larger, no_worse);
        assert!(compared > 15, "{compared} compared");
        differences += different;
    }
    assert!(differences > 10, "{differences} plans differ");
}

#[test]
fn looser_caps_and_terms_never_worsen_a_plan() {
    for (key, loose) in
        [("max_vessel_types", "\"\""), ("max_suppliers", "\"\""), ("spare_pct", "0"), ("labour_in_budget", "false")]
    {
        let loosen = |files: &mut ProjectTables, _: &mut XorShift| {
            files.settings.insert(key.to_owned(), loose.to_owned()).is_some_and(|was| was != loose)
        };
        let (compared, different) = compare(loosen, no_worse);
        assert!(compared > 5 && different > 0, "{key}: {compared} compared, {different} different");
    }
    for (column, loose) in [("delivery_charge", ""), ("minimum_order", ""), ("free_delivery_over", "20")] {
        let loosen = |files: &mut ProjectTables, _: &mut XorShift| {
            files.suppliers.iter_mut().filter(|row| !row[column].is_empty()).for_each(|row| {
                row.insert(column.to_owned(), loose.to_owned());
            });
            true
        };
        let (compared, different) = compare(loosen, no_worse);
        assert!(compared == PROJECTS.count() && different > 0, "{column}: {different} different");
    }
}

#[test]
fn adding_a_kind_of_vessel_never_worsens_a_plan() {
    let mut differences = 0;
    for (width, height) in [(40, 90), (70, 130), (110, 200)] {
        let another = |files: &mut ProjectTables, n: &mut XorShift| {
            let mut row = files.stock[0].clone();
            row.values_mut().for_each(String::clear);
            let [price, pieces] = [n.between(1, 6), n.between(0, 3)].map(|number| number.to_string());
            for (column, cell) in [
                ("vessel", "W"),
                ("form", "cylinder"),
                ("inner_diameter_mm", &width.to_string()),
                ("inner_height_mm", &height.to_string()),
                ("material", "soda-lime"),
                ("closure", "ground-glass-stopper"),
                ("on_hand", &pieces),
                ("unit_price", &price),
                ("supplier", n.of(&["Alder", "Birch", "Cedar"])),
            ] {
                row.insert(column.to_owned(), cell.to_owned());
            }
            files.stock.push(row);
            true
        };
        let (compared, different) = compare(another, no_worse);
        assert!(compared > 5, "{compared} compared");
        differences += different;
    }
    assert!(differences > 20, "{differences} plans differ");
}

#[test]
fn removing_a_kind_of_vessel_never_improves_a_plan() {
    let mut differences = 0;
    for at in 0..12 {
        let without = |files: &mut ProjectTables, _: &mut XorShift| {
            let name = format!("V{at:02}");
            let names = ["must_use", "must_not_use", "current_vessel"];
            let named = files.survey.iter().any(|row| names.iter().any(|column| row[*column].contains(&name)));
            let before = files.stock.len();
            files.stock.retain(|row| row["vessel"] != name);
            !named && files.stock.len() < before
        };
        differences += compare(without, no_better).1;
    }
    assert!(differences > 40, "{differences} plans differ");
}

#[test]
fn removing_an_offer_never_improves_a_plan() {
    let mut differences = 0;
    for nth in 0..4 {
        let without = |files: &mut ProjectTables, _: &mut XorShift| {
            let is_another = |row: &usize| files.stock[*row]["vessel"] == files.stock[*row - 1]["vessel"];
            let other = (1..files.stock.len()).filter(is_another).nth(nth);
            other.map(|row| files.stock.remove(row)).is_some()
        };
        let (compared, different) = compare(without, no_better);
        assert!(compared > 15, "{compared} compared");
        differences += different;
    }
    assert!(differences > 5, "{differences} plans differ");
}

#[test]
fn a_second_copy_of_survey_and_shelf_costs_at_most_twice_as_much() {
    let mut compared = 0;
    // Planning twice the rows takes more than twice the time, so half of the projects are enough.
    for seed in PROJECTS.take(15) {
        let files = random_files(seed);
        let mut twice = files.clone();
        let mut copies = files.survey.clone();
        copies.iter_mut().for_each(|row| row.get_mut("catalogNumber").expect("a key").push('c'));
        twice.survey.extend(copies);
        scale_columns(&mut twice.stock, &["on_hand", "on_order", "reserve", "order_limit"], 2.0);
        twice.scale_setting("budget", 2.0);
        let (before, after) = (planned(&files), planned(&twice));
        // An order limit below one pack may allow a pack when doubled, which removes leftovers.
        if after.leftovers().len() == 2 * before.leftovers().len() {
            compared += 1;
            let most = before.levels().map(|level| level * 2);
            assert!(after.levels() <= most, "project {seed}: {:?}, at most {most:?}", after.levels());
        }
    }
    assert!(compared > 10, "{compared} compared");
}
