//! Checks that a solver's decision is a plan, is the best plan, and claims nothing false.

use super::evaluate::{LevelValues, evaluate};
use super::random::{QuestionSize, SMALL, random_question_of};
use super::{reference, transforms};
use rehouse::decision::{Aim, Decision, Proof, Question, Status};

/// A solver: a question in, a decision out.
pub type Decide = dyn Fn(&Question) -> Decision;

/// Judges a decision on a question small enough for enumeration; every level must be proved.
///
/// # Errors
/// Everything wrong with it, separated by `; `.
pub fn judge(question: &Question, decision: &Decision) -> Result<(), String> {
    claims(question, decision)?;
    let open = decision.levels.iter().filter(|level| !level.proved());
    let mut wrong: Vec<String> = open
        .map(|level| {
            format!("{} not proved: {}, bound {}, {:?}", level.aim.name(), level.value, level.bound, level.proof)
        })
        .collect();
    if decision.status != Status::ProvedBest {
        wrong.push(format!("status {:?}", decision.status));
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("; ")) }
}

/// Judges the claims of a decision, which need not prove anything: it is a plan, has the levels that it states, and no bound or proof is
/// false.
///
/// # Errors
/// Everything wrong with it, separated by `; `.
pub fn claims(question: &Question, decision: &Decision) -> Result<(), String> {
    let reached = stated(question, decision)?;
    let attainable = reference::attainable(question);
    let best = attainable.iter().min().expect("deferring every row is a plan");
    let mut wrong = Vec::new();
    let all_proved = decision.levels.iter().all(|level| level.proved());
    if (all_proved || decision.status == Status::ProvedBest) && reached != *best {
        wrong.push(format!("claimed the best, reaches {reached:?}, best is {best:?}"));
    }
    if (decision.status == Status::ProvedBest) != all_proved {
        wrong.push(format!("status {:?}, levels {:?}", decision.status, decision.levels));
    }
    for level in &decision.levels {
        let rank = rank(level.aim);
        let least = reference::least(&attainable, rank, &reached).expect("the decision itself does no worse");
        if level.bound > least {
            wrong.push(format!("{}: bound {} is above the least, {least}", level.aim.name(), level.bound));
        }
        if level.proved() && level.value != least {
            wrong.push(format!("{}: {} is said to be proved, the least is {least}", level.aim.name(), level.value));
        }
        if (level.proof == Proof::Recomputed) != (level.value == level.bound && level.proved()) {
            wrong.push(format!("{}: bound {}, yet {:?}", level.aim.name(), level.bound, level.proof));
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("; ")) }
}

/// The levels of a decision of any size, if it keeps the rules and states its levels correctly.
///
/// # Errors
/// A broken rule, or a level that is missing, out of order or different from the computed one.
pub fn stated(question: &Question, decision: &Decision) -> Result<LevelValues, String> {
    let reached = evaluate(question, decision)?;
    let aims: Vec<Aim> = decision.levels.iter().map(|level| level.aim).collect();
    // A level that is 0 for every plan may be left out.
    let needed = |aim: &Aim| match *aim {
        Aim::WeightedDeferred => true,
        Aim::Deferred(priority) => question.classes.iter().any(|class| class.priority == priority),
        Aim::Money | Aim::Fluid => true,
    };
    let in_order = aims.windows(2).all(|pair| pair[0] < pair[1]);
    if !in_order || !question.limits.aims().iter().filter(|aim| needed(aim)).all(|aim| aims.contains(aim)) {
        return Err(format!("levels are {aims:?}"));
    }
    for level in &decision.levels {
        if level.value != reached[rank(level.aim)] {
            return Err(format!("{} is stated {}, is {}", level.aim.name(), level.value, reached[rank(level.aim)]));
        }
    }
    Ok(reached)
}

/// The position of an aim among the values of levels.
pub fn rank(aim: Aim) -> usize {
    if aim == Aim::WeightedDeferred {
        return 0;
    }
    Aim::STRICT.iter().position(|other| *other == aim).expect("all aims are listed")
}

/// One of the judges above.
pub type Strictness = fn(&Question, &Decision) -> Result<(), String>;

/// Faults of a solver's decisions on the questions of these seeds; every level must be proved.
pub fn disagreements(decide: &Decide, seeds: std::ops::Range<u64>) -> Vec<String> {
    judged(judge, decide, seeds)
}

/// Judges a solver on the questions of these seeds, and on each with a budget or suppliers' terms that its best plan just meets or just
/// misses.
pub fn judged(by: Strictness, decide: &Decide, seeds: std::ops::Range<u64>) -> Vec<String> {
    let mut wrong = Vec::new();
    for seed in seeds {
        let question = random_question_of(SMALL, seed);
        let variants = [
            ("", Some(question.clone())),
            (", budget just met", transforms::with_budget_at_best(&question, 0)),
            (", budget just missed", transforms::with_budget_at_best(&question, -1)),
            (", terms just met", transforms::with_terms_at_best(&question, 0)),
            (", terms just missed", transforms::with_terms_at_best(&question, 1)),
        ];
        for (variant, question) in variants {
            let Some(question) = question else { continue };
            if let Err(why) = by(&question, &decide(&question)) {
                wrong.push(format!("seed {seed}{variant}: {why}"));
            }
        }
    }
    wrong
}

/// Compares two solvers on the questions of these seeds: both keep the rules, equal values where both prove all levels, and no value of
/// one below a bound of the other.
pub fn two_solvers_disagree(
    first: &Decide,
    second: &Decide,
    size: QuestionSize,
    seeds: std::ops::Range<u64>,
) -> Vec<String> {
    let mut wrong = Vec::new();
    for seed in seeds {
        let mut question = random_question_of(size, seed);
        question.limits.time_limit_s = 2.0;
        let decisions = [first(&question), second(&question)];
        let proved = decisions.iter().all(|decision| decision.status == Status::ProvedBest);
        match decisions.each_ref().map(|decision| stated(&question, decision)) {
            [Ok(one), Ok(other)] => {
                if proved && one != other {
                    wrong.push(format!("seed {seed}: both the best, {one:?} and {other:?}"));
                }
                let crossed = [(&decisions[0], one, other), (&decisions[1], other, one)];
                for (decision, own, others) in crossed {
                    wrong.extend(bounds_broken(decision, &own, &others).map(|what| format!("seed {seed}: {what}")));
                }
            }
            [one, other] => wrong.push(format!("seed {seed}: {one:?} and {other:?}")),
        }
    }
    wrong
}

/// Bounds of a decision that another plan refutes: the plan is no worse on every earlier level and below the bound.
fn bounds_broken(decision: &Decision, own: &LevelValues, others: &LevelValues) -> impl Iterator<Item = String> {
    decision.levels.iter().filter_map(move |level| {
        let rank = rank(level.aim);
        let no_worse = (0..rank).all(|earlier| others[earlier] <= own[earlier]);
        let below = no_worse && others[rank] < level.bound;
        below.then(|| format!("{} has bound {}, yet {others:?} beats {own:?}", level.aim.name(), level.bound))
    })
}
