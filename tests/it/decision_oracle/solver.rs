//! The solver where the answer is known from elsewhere, and on questions too large for enumeration.

use super::judge::{self, Decide, stated, two_solvers_disagree};
use super::random::{QuestionSize, SMALL, random_question_of};
use super::{QUESTIONS, plain_assignment, transforms};
use crate::support::{sampled, tries_all};
use rehouse::assign::{
    Backend, Progress, decide, decide_by_model, decide_by_model_watched, decide_watched, searched_by_model,
};
use rehouse::decision::{Aim, Choice, Class, Decision, Member, OfferTerms, Question, Status, Supply};
use rehouse::stock::VesselId;
use rehouse::units::{Millilitres, Money, Packs, Pieces};

/// Too large for enumeration.
const MIDDLING: QuestionSize = QuestionSize { classes: 12, rows: 40, supplies: 8, suppliers: 3 };

/// The library's "best" counts as proved here, although it gives no bound that could be recomputed.
fn by_model(question: &Question) -> Decision {
    let (decision, complete) = searched_by_model(question, Backend::Microlp);
    let is_best = complete && decision.status == Status::BestFound;
    let status = if is_best { Status::ProvedBest } else { decision.status };
    Decision { status, ..decision }
}

/// The search, and the general model with which it is compared.
const BOTH: [(&str, &Decide); 2] = [("search", &decide), ("general model", &by_model)];

#[test]
fn plain_assignments_of_thirty_to_sixty_rows_are_solved_as_by_the_hungarian_method() {
    for (name, decide) in BOTH {
        for (seed, rows) in (30..=60).enumerate() {
            let question = plain_assignment::plain_assignment(seed as u64, rows);
            let decision = decide(&question);
            let best = plain_assignment::by_hungarian_method(&question);
            assert_eq!(stated(&question, &decision), Ok(best), "{name}, {rows} rows");
            assert_eq!(decision.status, Status::ProvedBest, "{name}, {rows} rows");
        }
    }
}

#[test]
fn the_best_plan_changes_as_it_must_when_a_small_question_changes() {
    for (name, decide) in BOTH {
        for seed in 0..sampled(300) {
            let wrong = transforms::contradictions(decide, &random_question_of(SMALL, seed));
            assert_eq!(wrong, Some(Vec::new()), "{name}, seed {seed}");
        }
    }
}

#[test]
fn the_best_plan_changes_as_it_must_when_a_larger_question_changes_and_all_is_proved() {
    for (name, decide) in BOTH {
        let mut proved = 0;
        for seed in 0..sampled(40) {
            let mut question = random_question_of(MIDDLING, seed);
            question.limits.time_limit_s = 0.5;
            if let Some(wrong) = transforms::contradictions(decide, &question) {
                assert_eq!(wrong, Vec::<String>::new(), "{name}, seed {seed}");
                proved += 1;
            }
        }
        assert!(!tries_all() || proved >= 30, "{name} proved {proved} of 40 and all their changes");
    }
}

#[test]
fn a_millilitre_decides_between_vessels_of_one_price_however_fine_the_price() {
    // Each row has two vessels at the same total money; the second piece costs less, and its choice more by the same amount.
    for seed in 0..100i64 {
        let mut question = Question::default();
        let mut least = 0;
        for row in 0..4 {
            let (price, less) = (10_000 + seed * 37 + row * 211, 1 + (seed * 13 + row * 7) % 90);
            let place = Money::PER_UNIT / 10_000;
            let choice = |supply, money, fluid| Choice {
                supply: Some(supply),
                pieces: Pieces(1),
                money: Money::from_parts(money * place),
                fluid: Millilitres(fluid),
            };
            let offer = |price| OfferTerms {
                offer: 0,
                supplier: None,
                pack_size: Pieces(1),
                pack_price: Money::from_parts(price * place),
                min_packs: Packs::ZERO,
                max_packs: None,
            };
            let supply = |price| Supply {
                vessel: VesselId(0),
                free: Pieces::ZERO,
                offers: vec![offer(price)],
                counts_as_kind: true,
            };
            let [at, other] = [price, price - less].map(|price| question.supplies.push(supply(price)));
            let fluid = 300 + row;
            least += fluid;
            let dearer_by = (seed + row) % 2;
            let choices = vec![choice(at, 0, fluid + 1 - dearer_by), choice(other, less, fluid + dearer_by)];
            let member = Member { money: Money::ZERO, fluid: Millilitres::ZERO, specimen: row as u32 };
            question.classes.push(Class { priority: 3, members: vec![member], choices: choices.into() });
        }
        let decision = decide(&question);
        assert_eq!(decision.status, Status::ProvedBest, "seed {seed}");
        assert_eq!(stated(&question, &decision).map(|levels| levels[5]), Ok(least), "seed {seed}");
    }
}

/// A limit missed by a ten-millionth is below the tolerance of a model in floating point: a level may stay open, but no claim may be
/// false.
#[test]
fn the_general_model_claims_nothing_false_however_narrowly_a_limit_is_missed() {
    let by_model = |question: &Question| decide_by_model(question, Backend::Microlp);
    assert_eq!(judge::judged(judge::claims, &by_model, 0..sampled(QUESTIONS)), Vec::<String>::new());
}

#[test]
fn search_and_general_model_agree_beyond_enumeration() {
    assert_eq!(two_solvers_disagree(&decide, &by_model, MIDDLING, 0..100), Vec::<String>::new());
}

#[test]
fn a_plan_that_was_improved_before_the_time_was_over_is_not_called_not_optimised() {
    let (mut improved, mut kept) = (0, 0);
    for seed in 0..sampled(200) {
        let question = random_question_of(MIDDLING, seed);
        let begun = decide_by_model_watched(&question, Backend::Microlp, &mut |_| {}, &|| true);
        // Time for all levels but the last.
        let at_last = std::cell::Cell::new(false);
        let mut report = |progress: Progress| at_last.set(progress.aim == Aim::Fluid);
        let decision = decide_by_model_watched(&question, Backend::Microlp, &mut report, &|| at_last.get());
        if decision.status == Status::ProvedBest || begun.status != Status::NotOptimised {
            continue;
        }
        let values = |decision: &Decision| stated(&question, decision).expect("a plan that keeps every limit");
        if values(&decision) < values(&begun) {
            assert_eq!(decision.status, Status::BestFound, "seed {seed}");
            improved += 1;
        } else if decision.status == Status::NotOptimised {
            kept += 1;
        } else {
            // The last level needed no time: every level was searched to its end, and the first plan was the best.
            let (best, complete) = searched_by_model(&question, Backend::Microlp);
            assert!(complete && values(&decision) == values(&best), "seed {seed}");
        }
    }
    assert!(improved > 0, "{improved} improved, {kept} not");
}

#[test]
fn progress_never_claims_a_bound_above_what_is_reached_in_the_end() {
    let mut claimed = 0;
    for seed in 0..sampled(200) {
        let question = random_question_of(MIDDLING, seed);
        let mut bounds = Vec::new();
        let decision =
            decide_watched(&question, &mut |progress| bounds.push((progress.aim, progress.bound)), &|| false);
        for level in decision.levels.iter().filter(|level| level.proved()) {
            for (aim, bound) in bounds.iter().filter(|(aim, _)| *aim == level.aim) {
                assert!(*bound <= level.value, "seed {seed}, {aim:?}: {bound} above {}", level.value);
                claimed += 1;
            }
        }
    }
    assert!(!tries_all() || claimed > 300, "{claimed}");
}

/// The number of times that the search asks whether to stop, once it is at the money level, measures its work on any machine.
#[test]
fn the_search_stops_once_money_is_within_the_gap() {
    const GAP: f64 = 0.05;
    let decide_counting = |question: &Question| {
        let asked = std::cell::Cell::new(0);
        let mut at = None;
        let mut report = |progress: Progress| {
            if at.replace(progress.aim) != Some(progress.aim) && progress.aim == Aim::Money {
                asked.set(0);
            }
        };
        let decision = decide_watched(question, &mut report, &|| {
            asked.set(asked.get() + 1);
            false
        });
        (decision, asked.get())
    };
    let mut within = 0;
    for seed in 0..60 {
        let mut question = random_question_of(MIDDLING, seed);
        question.limits.budget = None;
        let (best, to_the_end) = decide_counting(&question);
        question.limits.gap = GAP;
        let (decision, asked) = decide_counting(&question);
        let of =
            |decision: &Decision| decision.levels.iter().find(|level| level.aim == Aim::Money).expect("stated").clone();
        let (money, least) = (of(&decision), of(&best).value);
        let gap = (money.value - money.bound) as f64 / money.value as f64;
        let as_stated = match decision.status {
            Status::WithinGap => gap <= GAP,
            Status::BestFound => gap > GAP || money.proved(),
            status => status == Status::ProvedBest,
        };
        assert!(as_stated, "seed {seed}: {:?}, {money:?}", decision.status);
        assert!(money.bound <= least, "seed {seed}: bound {} above the least, {least}", money.bound);
        assert!(money.value <= least + (GAP * money.value as f64) as i64, "seed {seed}: {money:?}, {least}");
        if decision.status == Status::WithinGap {
            assert!(asked < to_the_end, "seed {seed}: {asked} steps within the gap, {to_the_end} to the end");
            within += 1;
        }
    }
    assert!(within >= 8, "only {within} of 60 ended within the gap");
}
