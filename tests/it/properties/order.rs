//! The order of the rows of a file does not affect the plan.

use std::collections::BTreeSet;

use rehouse::report;
use rehouse::saved::to_json;
use serde_json::Value;

use super::files::{ProjectTables, XorShift};
use super::{InMemoryPlan, PROJECTS, keep, planned, random_files};

/// `plan.json` without what may depend on the order of the files: lists of survey rows are sorted by content, and the line of an offer
/// in the stock list is removed.
fn without_order(planned: &InMemoryPlan) -> Value {
    let mut whole: Value = serde_json::from_slice(&to_json(&planned.project, &planned.plan, &[])).expect("JSON");
    let sort = |list: &mut Value| {
        list.as_array_mut().expect("a list").sort_by_cached_key(Value::to_string);
    };
    for want in whole["wants"].as_array_mut().expect("a list") {
        sort(&mut want["rows"]);
    }
    for purchase in whole["purchases"].as_array_mut().expect("a list") {
        purchase.as_object_mut().expect("an object").remove("line").expect("a line");
    }
    for level in whole["levels"].as_array_mut().expect("a list") {
        // The fluid level may have no certificate of its own.
        let offers = level["certificate"].get_mut("offers").and_then(Value::as_array_mut);
        for offer in offers.into_iter().flatten() {
            offer.as_object_mut().expect("an object").remove("line").expect("a line");
        }
    }
    for list in ["placements", "tanks", "wants"] {
        sort(&mut whole[list]);
    }
    whole
}

/// Lines of `placements.csv`.
fn lines(planned: &InMemoryPlan) -> BTreeSet<Vec<u8>> {
    let bytes = report::csv::placements(&planned.project, &planned.plan);
    bytes.split(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

#[test]
fn rows_in_any_order_give_the_same_plan() {
    type Reorder = fn(&mut ProjectTables, u64);
    let orders: [(&str, Reorder); 3] = [
        ("reversed", |files, _| {
            files.survey.reverse();
            files.stock.reverse();
            files.suppliers.reverse();
        }),
        ("shuffled", |files, seed| {
            let mut n = XorShift::from(seed + 500);
            [&mut files.survey, &mut files.stock, &mut files.suppliers].into_iter().for_each(|table| n.shuffle(table));
        }),
        ("survey shuffled", |files, seed| XorShift::from(seed + 900).shuffle(&mut files.survey)),
    ];
    for seed in PROJECTS {
        let files = random_files(seed);
        let as_is = planned(&files);
        for (name, change) in orders {
            let mut other = files.clone();
            change(&mut other, seed);
            let then = planned(&other);
            if lines(&as_is) != lines(&then) || without_order(&as_is) != without_order(&then) {
                let kept = [keep(&files, &format!("{seed}-as-is")), keep(&other, &format!("{seed}-{name}"))];
                let new: Vec<String> = lines(&then)
                    .difference(&lines(&as_is))
                    .map(|line| String::from_utf8_lossy(line).into_owned())
                    .collect();
                panic!("project {seed}, {name}: {new:#?}, kept in {kept:?}");
            }
            let placed = |planned: &InMemoryPlan| report::csv::purchases(&planned.project, &planned.plan);
            assert_eq!(placed(&as_is), placed(&then), "project {seed}, {name}: purchases.csv");
        }
    }
}
