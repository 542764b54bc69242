//! The verdict on every pair of a random specimen and a random vessel, against an independent implementation of the rules.
//!
//! The oracle ([`judge`]) is written from the text of the rules, uses none of the program's code, and samples angles where the program
//! has formulas. Where a case lies within [`BAND`] of a limit both verdicts are accepted.

mod all_vessels;
mod files;
mod judge;
mod survey;
mod tables;
mod treatment;
mod undecided;

use std::collections::BTreeMap;

use crate::random::Random;
use crate::support::{Planned, TestProject};
use files::{settings_file, specimens_file, vessels_file};
use judge::{OracleVerdict, RuleReading, Shortfall, judge};
use survey::{OracleSettings, OracleSpecimen, OracleVessel};
use tables::{CLOSURES, FLUIDS, MATERIALS, for_review};

const SURVEYS: u64 = 60;
const SPECIMENS: usize = 20;
const VESSELS: usize = 25;

/// In millimetres or percentage points: within this distance of a limit both verdicts are accepted.
const BAND: f64 = 0.02;

#[test]
fn every_verdict_agrees_with_the_oracle() {
    let mut seen: BTreeMap<String, u32> = BTreeMap::new();
    let mut disagreements = Vec::new();
    for seed in 0..SURVEYS {
        let drawn = DrawnSurvey::new(seed);
        let planned = drawn.case().planned();
        drawn.assert_reviews(&planned);
        let options = planned.options;
        assert_eq!(options.len(), SPECIMENS * VESSELS, "survey {seed}");
        let verdicts: BTreeMap<(&str, &str), &BTreeMap<String, String>> =
            options.iter().map(|row| ((row["catalogNumber"].as_str(), row["vessel"].as_str()), row)).collect();
        for specimen in &drawn.specimens {
            for (at, vessel) in drawn.vessels.iter().enumerate() {
                let row = verdicts[&(specimen.number.as_str(), vessel.id.as_str())];
                let answer = drawn.answer(specimen, at);
                *seen.entry(name(&answer)).or_default() += 1;
                if !drawn.answers(specimen, at).any(|answer| agrees(&answer, row)) {
                    disagreements.push(format!("survey {seed}: {row:?}\n    expected {answer:?}"));
                }
            }
        }
    }
    assert!(
        disagreements.is_empty(),
        "{} disagreements, the first of them:\n{}",
        disagreements.len(),
        disagreements[..disagreements.len().min(12)].join("\n")
    );
    assert_often(&seen);
}

/// The same draw without the program: every rule and stance occurs often enough for the comparison to mean something.
#[test]
fn the_surveys_drawn_reach_every_rule_and_stance() {
    let mut seen: BTreeMap<String, u32> = BTreeMap::new();
    for seed in 0..SURVEYS {
        let drawn = DrawnSurvey::new(seed);
        for specimen in &drawn.specimens {
            for at in 0..VESSELS {
                *seen.entry(name(&drawn.answer(specimen, at))).or_default() += 1;
            }
        }
    }
    assert_often(&seen);
}

fn assert_often(seen: &BTreeMap<String, u32>) {
    let rules = ["pin", "compatible", "mouth", "room", "crowding", "shelf", "supply"];
    let stances =
        ["as-set", "upright", "on-side", "coil", "leaning", "as its present vessel", "divided", "filled again"];
    for expected in rules.into_iter().chain(stances) {
        assert!(seen.get(expected).is_some_and(|times| *times >= 50), "{expected} is too rare: {seen:?}");
    }
}

/// A project drawn at random.
struct DrawnSurvey {
    specimens: Vec<OracleSpecimen>,
    vessels: Vec<OracleVessel>,
    settings: OracleSettings,
}

impl DrawnSurvey {
    fn new(seed: u64) -> Self {
        let mut random = Random(seed);
        let settings = OracleSettings::random(&mut random);
        let vessels: Vec<OracleVessel> = (0..VESSELS).map(|i| OracleVessel::random(&mut random, i)).collect();
        let specimens = (0..SPECIMENS).map(|i| OracleSpecimen::random(&mut random, i, &vessels)).collect();
        Self { specimens, vessels, settings }
    }

    /// A placed row is marked for review exactly where the table marks its fluid with the material or the closure.
    fn assert_reviews(&self, planned: &Planned) {
        for specimen in &self.specimens {
            let placed = planned.placement(&specimen.number);
            let Some(vessel) = self.vessels.iter().find(|vessel| vessel.id == placed["vessel"]) else { continue };
            let fluid = &FLUIDS[specimen.fluid];
            let marked =
                for_review(fluid, MATERIALS[vessel.material].id) || for_review(fluid, CLOSURES[vessel.closure].id);
            assert_eq!(placed["review"].contains("doubtful combination"), marked, "{placed:?}");
        }
    }

    fn case(&self) -> TestProject {
        let case = TestProject::new()
            .file("specimens.csv", specimens_file(&self.specimens, &self.vessels))
            .file("vessels.csv", vessels_file(&self.vessels))
            .file("settings.toml", settings_file(&self.settings));
        tables::files().into_iter().fold(case, |case, (name, text)| case.file(name, text))
    }

    /// The answer; then the answers a little to either side of the limits; then the same for the other readings of the rules.
    fn answers<'a>(&'a self, specimen: &'a OracleSpecimen, at: usize) -> impl Iterator<Item = OracleVerdict> + 'a {
        let readings = (0..4).flat_map(|open| {
            let [flat_leans, broad_leans] = [1, 2].map(|question| open & question == 0);
            [1e-9, BAND, -BAND].map(|slack| RuleReading { slack, flat_leans, broad_leans })
        });
        readings.map(move |reading| judge(specimen, at, &self.vessels, &self.settings, reading))
    }

    fn answer(&self, specimen: &OracleSpecimen, at: usize) -> OracleVerdict {
        self.answers(specimen, at).next().expect("at least one reading")
    }
}

fn name(answer: &OracleVerdict) -> String {
    match answer {
        OracleVerdict::Option { charges: 2.., .. } => "filled again".to_owned(),
        OracleVerdict::Option { pieces: 2.., .. } => "divided".to_owned(),
        OracleVerdict::Option { leans: true, .. } => "leaning".to_owned(),
        OracleVerdict::Option { posture: "", .. } => "as its present vessel".to_owned(),
        OracleVerdict::Option { posture, .. } => (*posture).to_owned(),
        OracleVerdict::Refused(rules) if rules.len() > 1 => "smaller than its present vessel".to_owned(),
        OracleVerdict::Refused(rules) => rules[0].0.to_owned(),
    }
}

/// Whether a row of the options file agrees with the answer.
fn agrees(answer: &OracleVerdict, row: &BTreeMap<String, String>) -> bool {
    match answer {
        OracleVerdict::Option { pieces, posture, fluid_ml, charges, money, .. } => {
            row["verdict"] == "option"
                && row["pieces"] == pieces.to_string()
                && row["posture"] == *posture
                && row["charges"] == charges.to_string()
                // A volume that ends in a half may be rounded either way.
                && row["fluid_ml"] == fluid_ml.to_string()
                && row["fluid_cost"].parse().is_ok_and(|stated: f64| (stated - money).abs() < 1e-4)
        }
        OracleVerdict::Refused(rules) => {
            let shortfall = |expected: &Shortfall| match expected {
                Shortfall::Any => true,
                Shortfall::NotANumber => row["shortfall"].is_empty(),
                Shortfall::Of(lack) => row["shortfall"]
                    .parse()
                    .is_ok_and(|stated: f64| stated > lack - BAND && stated < lack.max(0.0) + 0.1 + BAND),
            };
            let unit = match row["rule"].as_str() {
                "mouth" | "room" | "shelf" => "mm",
                "crowding" => "%",
                "supply" => "pieces",
                "compatible" if !row["shortfall"].is_empty() => "years",
                _ => "",
            };
            row["verdict"] == "refused"
                && row["unit"] == unit
                && rules.iter().any(|(rule, lacks)| row["rule"] == *rule && lacks.iter().any(shortfall))
        }
    }
}
