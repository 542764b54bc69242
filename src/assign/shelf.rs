//! Fluid on the shelf: it is used first, so what is needed of it costs nothing up to what is owned.
//!
//! What is paid for a fluid of price p of which o is owned is p × max(0, need − o), and for every price q from 0 to p
//! that is at least q × (need − o). So the question at prices q, less q × o, is below the true one everywhere
//! (Lagrangian duality: A. M. Geoffrion, Lagrangean relaxation for integer programming, Mathematical Programming Study 2
//! (1974) 82), and equals it at every plan that needs at least o where q = p, and at most o where q = 0. Such a question
//! is an ordinary one. Each fluid is tried at p, then at 0, then between; mostly the first or second plan fits its
//! prices, and is then best. Where none does, the general integer model settles small questions; of large ones the best
//! plan met is kept with the best bound, and the gap is told.

use std::collections::BTreeMap;
use std::time::Instant;

use super::question::{question, question_at};
use super::{Progress, decide_watched, decide_with_shelf_fluid, evaluate, gap, suits_model};
use crate::decision::{Aim, Class, Decision, Level, Proof, Question, ShelfFluid, Status};
use crate::options::table::{Judged, Row};
use crate::options::{Filling, Treatment};
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
    pub shelf_prices: BTreeMap<FluidId, Money>,
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
        return Answered { question, decision, shelf_prices: BTreeMap::new() };
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
    let answered = best(answers);
    if answered.decision.status == Status::ProvedBest || stop() || left() <= 0.0 {
        return answered;
    }
    by_model(project, rows, &owned, answered, left(), stop)
}

/// The better of an answer and of what the general integer model makes of it, where that is worth its time.
fn by_model(
    project: &Project,
    rows: &[Row],
    owned: &BTreeMap<FluidId, Millilitres>,
    answered: Answered,
    seconds: f64,
    stop: &dyn Fn() -> bool,
) -> Answered {
    let mut question = told_apart(project, rows, owned);
    if !suits_model(&question) {
        return answered;
    }
    question.limits.time_limit_s = seconds;
    let start = carried_over(&answered, &question);
    let decision = decide_with_shelf_fluid(&question, start, stop);
    let rank = |levels: &[Level]| -> Vec<i64> { levels.iter().map(|level| level.value).collect() };
    let open = |levels: &[Level]| levels.iter().position(|level| !level.proved()).unwrap_or(levels.len());
    let (new, old) = (rank(&decision.levels), rank(&answered.decision.levels));
    let better = new < old || (new == old && open(&decision.levels) > open(&answered.decision.levels));
    if better { Answered { question, decision, shelf_prices: BTreeMap::new() } } else { answered }
}

/// The question with what owned fluid costs told apart, and each row a class of its own.
fn told_apart(project: &Project, rows: &[Row], owned: &BTreeMap<FluidId, Millilitres>) -> Question {
    let price = |fluid| if owned.contains_key(&fluid) { Money::ZERO } else { project.fluid_price(fluid) };
    let whole = question_at(project, rows, &price);
    let mut question = Question { classes: Vec::new(), ..whole.clone() };
    question.shelf = owned
        .iter()
        .map(|(&fluid, &amount)| ShelfFluid { owned: amount, price: project.fluid_price(fluid), needs: Vec::new() })
        .collect();
    for class in &whole.classes {
        for &member in &class.members {
            let Row::Judged(judged) = &rows[member.specimen as usize] else { continue };
            let specimen = &project.collection.specimens[member.specimen as usize];
            let treatment = Treatment::of(project, specimen);
            let needs: Vec<BTreeMap<FluidId, Millilitres>> = class
                .choices
                .iter()
                .map(|choice| {
                    let vessel = choice.supply.map(|supply| whole.supplies[supply as usize].vessel);
                    let mut needs = BTreeMap::new();
                    if let Some((charges, one)) = filled(judged, vessel) {
                        let filling = Filling::of(project, specimen, &treatment, charges, one);
                        for (fluid, amount) in filling.needed(specimen.fluid) {
                            *needs.entry(fluid).or_default() += amount;
                        }
                    }
                    needs
                })
                .collect();
            for (fluid, shelf) in owned.keys().zip(&mut question.shelf) {
                let of_choice = |needs: &BTreeMap<FluidId, Millilitres>| needs.get(fluid).copied().unwrap_or_default();
                shelf.needs.push(needs.iter().map(of_choice).collect());
            }
            question.classes.push(Class { members: vec![member], ..class.clone() });
        }
    }
    question
}

/// A decision as one about a question whose classes are single rows.
fn carried_over(answered: &Answered, question: &Question) -> Decision {
    let mut supplies: BTreeMap<u32, Option<u32>> = BTreeMap::new();
    for (class, chosen) in answered.question.classes.iter().zip(&answered.decision.chosen) {
        for (member, choice) in class.members.iter().zip(chosen) {
            if let Some(choice) = choice {
                supplies.insert(member.specimen, class.choices[*choice as usize].supply);
            }
        }
    }
    let chosen = question.classes.iter().map(|class| {
        let supply = class.members.first().and_then(|member| supplies.get(&member.specimen));
        let choice = supply.and_then(|supply| class.choices.iter().position(|choice| choice.supply == *supply));
        vec![choice.map(|choice| choice as u32)]
    });
    Decision { chosen: chosen.collect(), packs: answered.decision.packs.clone(), ..Decision::default() }
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

/// The best plan of all answers, with the bounds of the answer that bounds its money best.
fn best(mut answers: Vec<Answer>) -> Answered {
    let rank = |answer: &Answer| (!answer.within_budget, answer.values);
    let Some(plan) = (0..answers.len()).min_by_key(|at| (rank(&answers[*at]), *at)) else {
        return Answered {
            question: Question::default(),
            decision: Decision::default(),
            shelf_prices: BTreeMap::new(),
        };
    };
    let (levels, shelf_prices) = levels(&answers, &answers[plan]);
    let Answer { question, decision, .. } = answers.swap_remove(plan);
    let asked = question.limits.gap;
    let status = match levels.iter().find(|level| !level.proved()) {
        None => Status::ProvedBest,
        Some(_) if decision.status == Status::NotOptimised => Status::NotOptimised,
        Some(level) if asked > 0.0 && gap(&question, level) <= asked => Status::WithinGap,
        Some(_) => Status::BestFound,
    };
    Answered { question, decision: Decision { levels, status, ..decision }, shelf_prices }
}

/// The levels of a plan, bounded by the answer that bounds its money best, and that answer's prices.
fn levels(answers: &[Answer], plan: &Answer) -> (Vec<Level>, BTreeMap<FluidId, Money>) {
    let (deferred, money, fluid) = plan.values;
    // Bounds on what follows are for plans that defer no more than the answer that has them.
    let same = |answer: &&Answer| answer.bounds_hold && answer.values.0 == deferred;
    let bounding = answers.iter().filter(same).max_by_key(|answer| answer.bound(Aim::Money));
    let first = answers.iter().find(|answer| answer.bounds_hold).unwrap_or(plan);
    let of = bounding.unwrap_or(first);
    let mut all_before_equal = true;
    let mut levels: Vec<Level> = Vec::new();
    for aim in Aim::ALL {
        let value = match aim {
            Aim::Deferred(priority) => deferred[usize::from(priority) - 1],
            Aim::Money => money,
            Aim::Fluid => fluid,
        };
        let credit = if aim == Aim::Money { of.credit.parts() } else { 0 };
        let least = evaluate::least_possible(&of.question, aim) - credit;
        let bound = if all_before_equal { of.bound(aim).unwrap_or(least) } else { least }.min(value);
        all_before_equal &= match aim {
            Aim::Deferred(priority) => of.values.0[usize::from(priority) - 1] == value,
            // Plans of this money are plans of that answer's only where it says the same of their money.
            Aim::Money | Aim::Fluid => of.values.1 == value && bound == value,
        };
        let proof = match (bound == value, aim) {
            (true, Aim::Deferred(_)) if value == 0 => Proof::Recomputed,
            // Fluid is a question only among plans of proved least money.
            (true, Aim::Fluid) if !levels.iter().all(Level::proved) => Proof::None,
            (true, _) => Proof::BySearch,
            (false, _) => Proof::None,
        };
        levels.push(Level { aim, value, bound, proof });
    }
    (levels, of.prices.clone())
}

/// What a decision needs of each owned fluid.
fn needs(
    project: &Project,
    rows: &[Row],
    owned: &BTreeMap<FluidId, Millilitres>,
    question: &Question,
    decision: &Decision,
) -> BTreeMap<FluidId, Millilitres> {
    let mut needs: BTreeMap<FluidId, Millilitres> = owned.keys().map(|&fluid| (fluid, Millilitres::ZERO)).collect();
    for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
        for (member, choice) in class.members.iter().zip(chosen) {
            let (Some(choice), Row::Judged(judged)) = (choice, &rows[member.specimen as usize]) else { continue };
            let specimen = &project.collection.specimens[member.specimen as usize];
            let supply = class.choices[*choice as usize].supply;
            let vessel = supply.map(|supply| question.supplies[supply as usize].vessel);
            let Some((charges, one)) = filled(judged, vessel) else { continue };
            let filling = Filling::of(project, specimen, &Treatment::of(project, specimen), charges, one);
            for (fluid, amount) in filling.needed(specimen.fluid) {
                if let Some(need) = needs.get_mut(&fluid) {
                    *need += amount;
                }
            }
        }
    }
    needs
}

/// How often and with how much a row's vessel is filled, or its tank.
fn filled(judged: &Judged, vessel: Option<crate::stock::VesselId>) -> Option<(u32, Millilitres)> {
    match vessel {
        Some(vessel) => {
            let (_, fit) = judged.fits.iter().find(|(id, _)| *id == vessel)?;
            Some((fit.charges, fit.fluid()))
        }
        None => judged.tank.as_ref().ok().map(|tank| (tank.charges, tank.fluid)),
    }
}
