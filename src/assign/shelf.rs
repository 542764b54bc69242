//! Fluid on the shelf: it is used first, so what is needed of it costs nothing up to what is owned.
//!
//! What is paid for a fluid of price p of which o is owned is p × max(0, need − o), and for every price q from 0 to p
//! that is at least q × (need − o). So the question at prices q, less q × o, is below the true one everywhere
//! (Lagrangian duality: A. M. Geoffrion, Lagrangean relaxation for integer programming, Mathematical Programming Study 2
//! (1974) 82), and equals it at every plan that needs at least o where q = p, and at most o where q = 0. Such a question
//! is an ordinary one. Each fluid is tried at p, then at 0, then between; mostly the first or second plan fits its
//! prices, and is then best. Where none does, the general integer model settles small questions; of large ones the best
//! plan met is kept with the best bound, and the gap is told.

mod needs;

use std::collections::BTreeMap;
use std::time::Instant;

use needs::{carried_over, needs, told_apart};

use super::question::{question, question_at};
use super::settled::{Settled, gap};
use super::{Progress, decide_watched, decide_with_shelf_fluid, evaluate, suits_model};
use crate::decision::{Aim, Decision, Level, Proof, Question, Status};
use crate::options::table::Row;
use crate::project::Project;
use crate::rules::FluidId;
use crate::units::{Millilitres, Money};

/// What was asked about the rows of a project, and what was answered.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The question.
    pub question: Question,
    /// The decision; its levels count fluid on the shelf as used first.
    pub decision: Decision,
    /// Prices a litre of owned fluids at which the bounds hold, where fluid is owned.
    pub shelf_prices: Vec<(FluidId, Money)>,
}

/// Decides about the rows of a project, fluid on the shelf used first, reporting each level as it begins, until `stop`
/// says so.
pub fn decide_rows(
    project: &Project,
    rows: &[Row],
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Answered {
    let owned = owned(project);
    if owned.is_empty() {
        let question = question(project, rows);
        let decision = decide_watched(&question, report, stop);
        return Answered { question, decision, shelf_prices: Vec::new() };
    }
    let start = Instant::now();
    let limit = project.settings.time_limit.0;
    let left = || (limit - start.elapsed().as_secs_f64()).max(0.0);
    let mut search: BTreeMap<FluidId, Price> = owned.keys().map(|&fluid| (fluid, Price::of(project, fluid))).collect();
    let mut answers: Vec<Answer> = Vec::new();
    for _ in 0..MOST_ROUNDS {
        let prices: BTreeMap<FluidId, Money> = search.iter().map(|(fluid, price)| (*fluid, price.now)).collect();
        let answer = Answer::at(project, rows, &owned, prices, left(), report, stop);
        let fits = search.iter().all(|(fluid, price)| price.fits(answer.needs[fluid], owned[fluid]));
        for (fluid, price) in &mut search {
            price.tell(answer.needs[fluid], owned[fluid]);
        }
        answers.push(answer);
        if fits || stop() || left() <= 0.0 {
            break;
        }
    }
    if !answers.iter().any(|answer| answer.within_budget) {
        answers.push(Answer::without_credit(project, rows, &owned, left(), report, stop));
    }
    let best = best_plan(&answers);
    let outcome = Outcome::of(&answers, best);
    if outcome.levels.iter().all(Level::proved) || stop() || left() <= 0.0 {
        return outcome.answered(answers.swap_remove(best));
    }
    by_model(project, rows, &owned, &answers, best, left(), stop)
        .unwrap_or_else(|| outcome.answered(answers.swap_remove(best)))
}

/// What the general integer model makes of the best plan, where that is worth its time and brings anything.
fn by_model(
    project: &Project,
    rows: &[Row],
    owned: &BTreeMap<FluidId, Millilitres>,
    answers: &[Answer],
    best: usize,
    seconds: f64,
    stop: &dyn Fn() -> bool,
) -> Option<Answered> {
    let mut question = told_apart(project, rows, owned);
    if !suits_model(&question) {
        return None;
    }
    question.limits.time_limit_s = seconds;
    let start = carried_over((&answers[best].question, &answers[best].decision), &question);
    let (decision, settled) = decide_with_shelf_fluid(&question, start, stop);
    let values = evaluate::values(&question, &decision);
    let reached = (values.deferred, values.weighed.parts(), values.fluid.0);
    let proved = settled.iter().all(Settled::proved);
    if !proved && reached >= answers[best].values {
        return None;
    }
    let (mut levels, shelf_prices) = levels(answers, reached);
    for (level, settled) in levels.iter_mut().zip(&settled) {
        if level.proof == Proof::None && settled.proved() && settled.value == level.value {
            level.proof = Proof::BySearch;
        }
    }
    let outcome = Outcome { levels, shelf_prices };
    let decision = Decision { status: Status::BestFound, ..decision };
    Some(outcome.answered(Answer { question, decision, ..answers[best].clone() }))
}

/// Questions that are asked at most before the gap is left.
const MOST_ROUNDS: usize = 8;

/// What is owned of fluids that cost something.
fn owned(project: &Project) -> BTreeMap<FluidId, Millilitres> {
    let mut owned: BTreeMap<FluidId, Millilitres> = BTreeMap::new();
    for shelf in project.stock.fluids.iter().filter(|shelf| project.fluid_price(shelf.fluid) > Money::ZERO) {
        *owned.entry(shelf.fluid).or_default() += shelf.amount;
    }
    owned.retain(|_, amount| *amount > Millilitres::ZERO);
    owned
}

/// The price of one owned fluid while it is looked for.
struct Price {
    full: Money,
    now: Money,
    /// No lower, no higher.
    between: (Money, Money),
    tried_nothing: bool,
}

impl Price {
    fn of(project: &Project, fluid: FluidId) -> Self {
        let full = project.fluid_price(fluid);
        Price { full, now: full, between: (Money::ZERO, full), tried_nothing: false }
    }

    /// Whether a plan that needs so much pays just what this price says.
    fn fits(&self, need: Millilitres, owned: Millilitres) -> bool {
        need == owned || (need > owned && self.now == self.full) || (need < owned && self.now == Money::ZERO)
    }

    /// The next price, after a plan at this one needed so much.
    fn tell(&mut self, need: Millilitres, owned: Millilitres) {
        if self.fits(need, owned) {
            return;
        }
        if need < owned {
            self.between.1 = self.now;
        } else {
            self.between.0 = self.now;
        }
        if !self.tried_nothing {
            self.tried_nothing = true;
            self.now = Money::ZERO;
        } else {
            let middle = (self.between.0 + self.between.1).parts() / 2;
            self.now = Money::from_parts(middle).rounded();
        }
    }
}

/// The decision at one set of prices.
#[derive(Clone)]
struct Answer {
    question: Question,
    decision: Decision,
    prices: BTreeMap<FluidId, Money>,
    needs: BTreeMap<FluidId, Millilitres>,
    /// Prices times what is owned.
    credit: Money,
    /// What the plan truly comes to, by rank.
    values: ([i64; 4], i64, i64),
    within_budget: bool,
    /// Whether its bounds hold for the true question.
    bounds_hold: bool,
}

impl Answer {
    fn at(
        project: &Project,
        rows: &[Row],
        owned: &BTreeMap<FluidId, Millilitres>,
        prices: BTreeMap<FluidId, Money>,
        seconds: f64,
        report: &mut dyn FnMut(Progress),
        stop: &dyn Fn() -> bool,
    ) -> Self {
        let credit = owned.iter().map(|(fluid, amount)| prices[fluid].per_litre(*amount)).sum();
        let price = |fluid| prices.get(&fluid).copied().unwrap_or_else(|| project.fluid_price(fluid));
        let mut question = question_at(project, rows, &price);
        question.limits.time_limit_s = seconds;
        question.limits.budget = question.limits.budget.map(|budget| budget + credit);
        Self::to(project, rows, owned, question, (prices, credit), report, stop)
    }

    /// At full prices, as if nothing were owned: within the budget whatever is needed.
    fn without_credit(
        project: &Project,
        rows: &[Row],
        owned: &BTreeMap<FluidId, Millilitres>,
        seconds: f64,
        report: &mut dyn FnMut(Progress),
        stop: &dyn Fn() -> bool,
    ) -> Self {
        let mut question = question(project, rows);
        question.limits.time_limit_s = seconds;
        let prices = owned.keys().map(|&fluid| (fluid, project.fluid_price(fluid))).collect();
        let answer = Self::to(project, rows, owned, question, (prices, Money::ZERO), report, stop);
        Answer { bounds_hold: false, ..answer }
    }

    fn to(
        project: &Project,
        rows: &[Row],
        owned: &BTreeMap<FluidId, Millilitres>,
        question: Question,
        (prices, credit): (BTreeMap<FluidId, Money>, Money),
        report: &mut dyn FnMut(Progress),
        stop: &dyn Fn() -> bool,
    ) -> Self {
        let decision = decide_watched(&question, report, stop);
        let needs = needs(project, rows, owned, &question, &decision);
        let values = evaluate::values(&question, &decision);
        let change: Money = owned
            .iter()
            .map(|(fluid, amount)| {
                let paid = project.fluid_price(*fluid).per_litre((needs[fluid] - *amount).max(Millilitres::ZERO));
                paid - prices[fluid].per_litre(needs[fluid])
            })
            .sum();
        let spent = values.money + change + question.limits.labour_per_row * values.placed;
        let within_budget = project.settings.budget.is_none_or(|budget| spent <= budget);
        let values = (values.deferred, (values.weighed + change).parts(), values.fluid.0);
        Answer { question, decision, prices, needs, credit, values, within_budget, bounds_hold: true }
    }

    /// Its levels with what is owned taken off the money.
    fn bound(&self, aim: Aim) -> Option<i64> {
        let level = self.decision.levels.iter().find(|level| level.aim == aim)?;
        Some(level.bound - if aim == Aim::Money { self.credit.parts() } else { 0 })
    }
}

/// The best plan within the budget, by rank.
fn best_plan(answers: &[Answer]) -> usize {
    let rank = |at: &usize| (!answers[*at].within_budget, answers[*at].values, *at);
    (0..answers.len()).min_by_key(rank).unwrap_or(0)
}

/// What is known of the levels of a plan, at which prices.
struct Outcome {
    levels: Vec<Level>,
    shelf_prices: BTreeMap<FluidId, Money>,
}

impl Outcome {
    /// Of one of the answers' plans.
    fn of(answers: &[Answer], plan: usize) -> Self {
        let (levels, shelf_prices) = levels(answers, answers[plan].values);
        Outcome { levels, shelf_prices }
    }

    /// With the plan and its question.
    fn answered(self, plan: Answer) -> Answered {
        let Answer { question, decision, .. } = plan;
        let asked = question.limits.gap;
        let near = |level: &Level| gap(&question, level.aim, level.value, level.bound) <= asked;
        let status = match self.levels.iter().find(|level| !level.proved()) {
            None => Status::ProvedBest,
            Some(_) if decision.status == Status::NotOptimised => Status::NotOptimised,
            Some(level) if asked > 0.0 && near(level) => Status::WithinGap,
            Some(_) => Status::BestFound,
        };
        let decision = Decision { levels: self.levels, status, ..decision };
        Answered { question, decision, shelf_prices: self.shelf_prices.into_iter().collect() }
    }
}

/// The levels of a plan that comes to these values, bounded by the answer that bounds its money best, and that answer's
/// prices.
fn levels(answers: &[Answer], values: ([i64; 4], i64, i64)) -> (Vec<Level>, BTreeMap<FluidId, Money>) {
    let (deferred, money, fluid) = values;
    // Bounds on what follows are for plans that defer no more than the answer that has them.
    let same = |answer: &&Answer| answer.bounds_hold && answer.values.0 == deferred;
    let bounding = answers.iter().filter(same).max_by_key(|answer| answer.bound(Aim::Money));
    let Some(of) = bounding.or_else(|| answers.iter().find(|answer| answer.bounds_hold)) else {
        return (Vec::new(), BTreeMap::new());
    };
    let mut alike = true;
    let mut levels: Vec<Level> = Vec::new();
    for aim in Aim::ALL {
        let value = match aim {
            Aim::Deferred(priority) => deferred[usize::from(priority) - 1],
            Aim::Money => money,
            Aim::Fluid => fluid,
        };
        let credit = if aim == Aim::Money { of.credit.parts() } else { 0 };
        let own = of.decision.levels.iter().find(|level| level.aim == aim).filter(|_| alike);
        let least = evaluate::least_possible(&of.question, aim) - credit;
        let bound = own.map_or(least, |level| level.bound - credit).min(value);
        // A plan of this value is one of that answer's only where it says the same of it at its own prices.
        let same = own.is_some_and(|level| level.value - credit == value);
        let searched = same && own.is_some_and(|level| level.proof != Proof::None);
        let proof = match () {
            // Fluid is a question only among plans of proved least money.
            () if aim == Aim::Fluid && !levels.iter().all(Level::proved) => Proof::None,
            () if bound == value => Proof::Recomputed,
            () if searched => Proof::BySearch,
            () => Proof::None,
        };
        let leaves = own.map_or(Vec::new(), |level| level.leaves.clone());
        levels.push(Level { aim, value, bound, proof, leaves });
        alike &= same;
    }
    (levels, of.prices.clone())
}
