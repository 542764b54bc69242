//! Priorities that are weighed against each other, beside the rule by which the more urgent one comes first.

use super::evaluate::LevelValues;
use super::features::deferred;
use super::judge::stated;
use super::random::random_question;
use super::reference;
use crate::support::{sampled, tries_all};
use rehouse::assign::decide;
use rehouse::decision::{Aim, Decision, Question, Status};

const QUESTIONS: u64 = 1_000;

fn weighed(question: &Question, weights: [i64; 4]) -> Question {
    let mut question = question.clone();
    question.limits.priority_weights = Some(weights);
    question
}

fn strict(question: &Question) -> Question {
    let mut question = question.clone();
    question.limits.priority_weights = None;
    question
}

/// Lots that a decision defers, by priority, and what they cost beside.
fn of(question: &Question, decision: &Decision) -> ([i64; 4], i64, i64) {
    let values = rehouse::assign::evaluate::values(question, decision);
    (values.deferred, values.weighed.parts(), values.fluid.0)
}

#[test]
fn weights_further_apart_than_there_are_lots_decide_as_the_strict_rule_does() {
    let mut waiting = 0;
    for seed in 0..sampled(QUESTIONS) {
        let question = strict(&random_question(seed));
        let lots: i64 = question.classes.iter().map(|class| class.members.len() as i64).sum();
        let n = lots + 1;
        let apart = weighed(&question, [n.pow(3), n.pow(2), n, 1]);
        let (by_rank, by_weight) = (decide(&question), decide(&apart));
        assert_eq!(of(&question, &by_rank), of(&apart, &by_weight), "seed {seed}");
        // A limit missed by a ten-millionth is below the tolerance of the linear programme, so a level may stay open.
        assert_eq!(by_weight.status, by_rank.status, "seed {seed}: {:?}", by_weight.levels);
        assert_eq!(deferred(&question), of(&question, &by_rank).0, "seed {seed}");
        waiting += usize::from(of(&question, &by_rank).0.iter().filter(|lots| **lots > 0).count() > 1);
    }
    assert!(!tries_all() || waiting > 60, "lots of several priorities wait in {waiting}");
}

#[test]
fn equal_weights_defer_the_fewest_lots_which_the_strict_rule_need_not() {
    let mut differ = 0;
    for seed in 0..sampled(QUESTIONS) {
        let question = strict(&random_question(seed));
        let equal = weighed(&question, [1; 4]);
        let found = decide(&equal);
        let [fewest, 0, 0, 0, ..] = reference::best(&equal) else { panic!("one level counts lots") };
        assert_eq!(found.levels[0].value, fewest, "seed {seed}");
        assert_eq!(of(&equal, &found).0.iter().sum::<i64>(), fewest, "seed {seed}");
        let by_rank: i64 = of(&question, &decide(&question)).0.iter().sum();
        assert!(by_rank >= fewest, "seed {seed}");
        differ += usize::from(by_rank > fewest);
    }
    assert!(!tries_all() || differ > 5, "the strict rule defers more in {differ}");
}

/// The weighted level of each of these lists, proved by enumeration.
#[test]
fn decisions_by_weight_are_those_of_enumeration() {
    let mut proved = 0;
    for seed in 0..sampled(QUESTIONS) {
        for weights in [[4, 3, 2, 1], [7, 7, 2, 2], [10_000, 100, 10, 1], [10_000, 9_999, 9_998, 9_997]] {
            let question = weighed(&random_question(seed), weights);
            let decision = decide(&question);
            let best: LevelValues = reference::best(&question);
            assert_eq!(stated(&question, &decision), Ok(best), "seed {seed}, {weights:?}");
            let aims: Vec<Aim> = decision.levels.iter().map(|level| level.aim).collect();
            assert_eq!(aims, Aim::WEIGHTED, "seed {seed}");
            assert!(decision.levels.iter().all(|level| level.bound <= level.value));
            proved += usize::from(decision.status == Status::ProvedBest);
        }
    }
    assert!(proved as u64 > 4 * sampled(QUESTIONS) * 98 / 100, "{proved} proved");
}
