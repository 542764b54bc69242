//! Fluid on the shelf: it is used first, so what is needed of it costs nothing up to what is owned.
//!
//! What is paid for a fluid of price p of which o is owned is p × max(0, need − o), and for every price q from 0 to p
//! that is at least q × (need − o). So the question at prices q, less q × o, is below the true one everywhere
//! (Lagrangian duality: A. M. Geoffrion, Lagrangean relaxation for integer programming, Mathematical Programming Study 2
//! (1974) 82), and equals it at every plan that needs at least o where q = p, and at most o where q = 0. Such a question
//! is an ordinary one. Each fluid is tried at p, then at 0, then between; mostly the first or second plan fits its
//! prices, and is then best. Where none does, what was proved at different prices is put together: each level takes the
//! leaves of whichever price bounds it best, and of a level that is still open each part is bounded at whichever price suits
//! that part, for a supplier that is closed in one and ordered from in another may well decide whether what is owned
//! suffices. What is open even then the general integer model settles for small questions; of large ones the best plan met
//! is kept with the best bound, and the gap is told.

mod needs;
mod proof;

use std::collections::BTreeMap;
use std::time::Instant;

use needs::{carried_over, needs, told_apart};
use proof::{of_answer, part_by_part, together, unsearched};

use super::certificate::Time;
use super::evaluate::{self, Values};
use super::question::{question, question_at};
use super::settled::{Settled, gap};
use super::{Progress, SEARCH_SHARE, decide_watched, decide_with_shelf_fluid, suits_model};
use crate::decision::{Decision, Leaves, Level, Proof, Question, Status};
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
        return Answered { question, decision };
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
    let mut known = vec![unsearched(&answers[0])];
    known.extend(answers.iter().filter(|answer| answer.bounds_hold).map(of_answer));
    let mut levels = together(&known, &answers[best].values);
    let open = |levels: &[Level]| !levels.iter().all(Level::proved) && !stop() && left() > 0.0;
    let until = start.elapsed().as_secs_f64() + SEARCH_SHARE * left();
    let late = || start.elapsed().as_secs_f64() > until;
    let time = Time { stop: &|| stop() || left() <= 0.0, late: &late };
    // The first part alone may take as long as all that went before.
    if open(&levels) && left() > start.elapsed().as_secs_f64() {
        let plan = (&answers[best].values, &answers[best].decision.packs[..]);
        known.push(part_by_part(&answers, &levels, plan, (report, &time)));
        levels = together(&known, &answers[best].values);
    }
    if open(&levels)
        && let Some((question, decision, of_model)) = by_model(project, rows, &owned, &answers[best], left(), stop)
    {
        known.push(of_model);
        let values = evaluate::values(&question, &decision);
        if rank(&values) < rank(&answers[best].values) {
            levels = together(&known, &values);
            if open(&levels) {
                known.push(part_by_part(&answers, &levels, (&values, &decision.packs), (report, &time)));
                levels = together(&known, &values);
            }
            return answered(question, decision, levels);
        }
        levels = together(&known, &answers[best].values);
    }
    let Answer { question, decision, .. } = answers.swap_remove(best);
    answered(question, decision, levels)
}

/// What the general integer model makes of the best plan, and what it proves, where that is worth its time.
fn by_model(
    project: &Project,
    rows: &[Row],
    owned: &BTreeMap<FluidId, Millilitres>,
    best: &Answer,
    seconds: f64,
    stop: &dyn Fn() -> bool,
) -> Option<(Question, Decision, Vec<Level>)> {
    let mut question = told_apart(project, rows, owned);
    if !suits_model(&question) {
        return None;
    }
    question.limits.time_limit_s = seconds;
    let start = carried_over((&best.question, &best.decision), &question);
    let (decision, settled) = decide_with_shelf_fluid(&question, start, stop);
    let decision = Decision { status: Status::BestFound, ..decision };
    // Nobody can work its bounds out again.
    let level = |settled: &Settled| {
        let proof = if settled.proved() { Proof::BySearch } else { Proof::None };
        Level { aim: settled.aim, value: settled.value, bound: i64::MIN, proof, leaves: Leaves::default() }
    };
    Some((question, decision, settled.iter().map(level).collect()))
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
struct Answer {
    question: Question,
    decision: Decision,
    /// Of a litre of each owned fluid, by fluid.
    prices: Vec<(FluidId, Money)>,
    needs: BTreeMap<FluidId, Millilitres>,
    /// Prices times what is owned.
    credit: Money,
    /// What the plan truly comes to.
    values: Values,
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
        let mut values = evaluate::values(&question, &decision);
        let change: Money = owned
            .iter()
            .map(|(fluid, amount)| {
                let paid = project.fluid_price(*fluid).per_litre((needs[fluid] - *amount).max(Millilitres::ZERO));
                paid - prices[fluid].per_litre(needs[fluid])
            })
            .sum();
        values.money += change;
        values.weighed += change;
        let spent = values.money + question.limits.labour_per_row * values.placed;
        let within_budget = project.settings.budget.is_none_or(|budget| spent <= budget);
        let prices = prices.into_iter().collect();
        Answer { question, decision, prices, needs, credit, values, within_budget, bounds_hold: true }
    }
}

/// The best plan within the budget, by rank.
fn best_plan(answers: &[Answer]) -> usize {
    let rank = |at: &usize| (!answers[*at].within_budget, rank(&answers[*at].values), *at);
    (0..answers.len()).min_by_key(rank).unwrap_or(0)
}

/// Less is better.
fn rank(values: &Values) -> ([i64; 4], Money, Millilitres) {
    (values.deferred, values.weighed, values.fluid)
}

/// A plan with what is known of its levels.
fn answered(question: Question, decision: Decision, levels: Vec<Level>) -> Answered {
    let asked = question.limits.gap;
    let near = |level: &Level| gap(&question, level.aim, level.value, level.bound) <= asked;
    let status = match levels.iter().find(|level| !level.proved()) {
        None => Status::ProvedBest,
        Some(_) if decision.status == Status::NotOptimised => Status::NotOptimised,
        Some(level) if asked > 0.0 && near(level) => Status::WithinGap,
        Some(_) => Status::BestFound,
    };
    let decision = Decision { levels, status, ..decision };
    Answered { question, decision }
}
