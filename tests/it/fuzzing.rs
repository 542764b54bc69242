//! The inputs that a long search for faults kept, tried again, and about a minute of changes to them. The search itself, which
//! sees what code an input reaches, is a program of its own in `tests/fuzz`, of the same modules.
//!
//! `REHOUSE_FUZZ_SEED=7` makes other changes than the usual ones.

mod mutate;
mod parts;
mod questions;
mod seeds;
#[allow(dead_code, reason = "the search writes what is read here")]
mod stored;
mod targets;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::Instant;

use rehouse::system::threads::in_threads;

use crate::random::Random;
use crate::support::{one_in, tried};
use mutate::mutated;
use targets::{TARGETS, Target};

/// How many changed inputs of each target are tried: some seven seconds of each.
const CHANGED: [(&str, u64); 9] = [
    ("cells", 400_000),
    ("csv", 10_000),
    ("settings", 5_000),
    ("rules", 8_000),
    ("xlsx", 8_000),
    ("ods", 8_000),
    ("plan-json", 4_000),
    ("project", 700),
    ("questions", 60),
];

/// What does not hold of an input.
fn fault(target: &Target, input: &[u8]) -> Option<String> {
    let start = Instant::now();
    let fault = match catch_unwind(AssertUnwindSafe(|| (target.holds)(input))) {
        Ok(Ok(())) if start.elapsed() > target.limit => format!("it took {:?}", start.elapsed()),
        Ok(Ok(())) => return None,
        Ok(Err(fault)) => fault,
        Err(_) => "it panicked".to_owned(),
    };
    Some(format!("{}: {fault}\n{:?}", target.name, String::from_utf8_lossy(input)))
}

fn none_of(faults: Vec<Option<String>>) {
    let faults: Vec<String> = faults.into_iter().flatten().collect();
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults[..faults.len().min(3)].join("\n"));
}

/// What must hold holds of the inputs that were kept, and of changed ones.
fn try_target(name: &str) {
    let target = TARGETS.iter().find(|target| target.name == name).expect("a target");
    let mut kept = stored::inputs(name);
    kept.extend((target.seeds)());
    none_of(in_threads(&kept, |input| fault(target, input)));
    let (_, n) = CHANGED.iter().find(|(changed, _)| *changed == name).expect("a number");
    let seed: u64 = std::env::var("REHOUSE_FUZZ_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(1);
    let words = seeds::words();
    let numbers: Vec<u64> = (0..n.div_ceil(one_in())).collect();
    none_of(in_threads(&numbers, |number| {
        let mut random = Random(seed.wrapping_mul(1 << 32).wrapping_add(*number));
        let (input, other) = (&kept[random.place_in(kept.len())], &kept[random.place_in(kept.len())]);
        fault(target, &mutated(&mut random, input, other, &words, target.most_bytes))
    }));
    tried(&format!("fuzzing: {name}"), kept.len() + numbers.len(), "all held");
}

/// A test of each target, so that they run beside others.
macro_rules! each_holds {
    ($($test:ident $name:literal,)+) => {
        $(#[test]
        fn $test() {
            try_target($name);
        })+
    };
}

each_holds! {
    cells_hold "cells",
    tables_of_text_hold "csv",
    settings_hold "settings",
    rules_hold "rules",
    office_open_xml_holds "xlsx",
    open_document_holds "ods",
    plan_json_holds "plan-json",
    projects_hold "project",
    questions_hold "questions",
}
