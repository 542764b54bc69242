//! Is what a solver hands over a plan, the best plan, and honest about it?

use super::evaluate::{Levels, evaluate};
use super::random::{SMALL, Size, random_question_of};
use super::{reference, transforms};
use rehouse::decision::{Aim, Decision, Proof, Question, Status};

/// What turns a question into a decision.
pub type Decide = dyn Fn(&Question) -> Decision;

/// Judges a decision on a question small enough for enumeration.
///
/// # Errors
/// Everything wrong with it, `; ` between.
pub fn judge(question: &Question, decision: &Decision) -> Result<(), String> {
    let reached = stated(question, decision)?;
    let attainable = reference::attainable(question);
    let best = attainable.iter().min().expect("deferring every row is a plan");
    let mut wrong = Vec::new();
    if decision.status != Status::ProvedBest {
        wrong.push(format!("status {:?} on a small question", decision.status));
    }
    if decision.levels.iter().all(|level| level.proof != Proof::None) && reached != *best {
        wrong.push(format!("reaches {reached:?}, best is {best:?}"));
    }
    for level in &decision.levels {
        let rank = rank(level.aim);
        let least = reference::least(&attainable, rank, &reached).expect("the decision itself does no worse");
        if level.proof != Proof::None && level.bound > least {
            wrong.push(format!("{}: bound {} is above the least, {least}", level.aim.name(), level.bound));
        }
        if !level.proved() {
            wrong.push(format!("{}: not proved, {} with bound {}", level.aim.name(), level.value, level.bound));
        } else if level.value != level.bound {
            wrong.push(format!("{}: {} is below its bound {}", level.aim.name(), level.value, level.bound));
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("; ")) }
}

/// The levels of a decision of any size, if it keeps the rules and states what it reaches.
///
/// # Errors
/// A broken rule, or a level missing, out of order or stated other than it is.
pub fn stated(question: &Question, decision: &Decision) -> Result<Levels, String> {
    let reached = evaluate(question, decision)?;
    let aims: Vec<Aim> = decision.levels.iter().map(|level| level.aim).collect();
    // A level that no row could raise may go unsaid.
    let needed = |aim: &Aim| match *aim {
        Aim::Deferred(priority) => question.classes.iter().any(|class| class.priority == priority),
        Aim::Money | Aim::Fluid => true,
    };
    let in_order = aims.windows(2).all(|pair| pair[0] < pair[1]);
    if !in_order || !Aim::ALL.iter().filter(|aim| needed(aim)).all(|aim| aims.contains(aim)) {
        return Err(format!("levels are {aims:?}"));
    }
    for level in &decision.levels {
        if level.value != reached[rank(level.aim)] {
            return Err(format!("{} is stated {}, is {}", level.aim.name(), level.value, reached[rank(level.aim)]));
        }
    }
    Ok(reached)
}

/// The place of an aim among the levels.
pub fn rank(aim: Aim) -> usize {
    Aim::ALL.iter().position(|other| *other == aim).expect("all aims are listed")
}

/// Judges a solver on questions of these seeds, and on each with a budget its best plan just meets or just misses.
pub fn disagreements(decide: &Decide, seeds: std::ops::Range<u64>) -> Vec<String> {
    let mut wrong = Vec::new();
    for seed in seeds {
        let question = random_question_of(SMALL, seed);
        let variants = [
            ("", Some(question.clone())),
            (", budget just met", transforms::with_budget_at_best(&question, 0)),
            (", budget just missed", transforms::with_budget_at_best(&question, -1)),
        ];
        for (variant, question) in variants {
            let Some(question) = question else { continue };
            if let Err(why) = judge(&question, &decide(&question)) {
                wrong.push(format!("seed {seed}{variant}: {why}"));
            }
        }
    }
    wrong
}

/// Compares two solvers on questions of these seeds: both keep the rules, and where both prove all, both reach the same.
pub fn two_solvers_disagree(first: &Decide, second: &Decide, size: Size, seeds: std::ops::Range<u64>) -> Vec<String> {
    let mut wrong = Vec::new();
    for seed in seeds {
        let question = random_question_of(size, seed);
        let decisions = [first(&question), second(&question)];
        let proved = decisions.iter().all(|decision| decision.status == Status::ProvedBest);
        match decisions.each_ref().map(|decision| stated(&question, decision)) {
            [Ok(one), Ok(other)] if one == other || !proved => {}
            [one, other] => wrong.push(format!("seed {seed}: {one:?} and {other:?}")),
        }
    }
    wrong
}
