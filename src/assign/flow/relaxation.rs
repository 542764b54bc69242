//! A part of the decision with packs taken as divisible: a transportation problem, its bound, and where to branch.
//!
//! A budget beside the weight of litres is let go for a multiplier on money (Geoffrion 1974, Mathematical Programming
//! Study 2:82–114, cited from memory): what money costs more, less that much of the budget, is a bound for every plan within it.

mod branching;
mod multipliers;
mod penalties;
mod prices;
mod rounding;
mod solution;
mod steps;

use itertools::Itertools;

use super::cost::Cost;
use super::search::Goal;
use crate::assign::evaluate::{self, Values};
use crate::assign::flow::leaf::Terms;
use crate::decision::{Aim, Choice, OfferTerms, Question};
use crate::units::{Millilitres, Money};
use branching::Lifts;
pub use branching::{Branch, State};
use multipliers::STEPS;
pub use prices::Prices;
use prices::greatest_common_divisor;
use solution::Solution;

/// The question prepared for one goal.
pub struct Relaxation<'a> {
    question: &'a Question,
    goal: Goal,
    kinds: Vec<Kind>,
    /// Kinds with a choice of several pieces.
    lots: Vec<usize>,
    offers: Vec<FlatOffer<'a>>,
    /// By supply, where its offers start; one more at the end.
    first_offer: Vec<usize>,
    /// Money of the members that is not in `costs`.
    constant: i128,
    /// Fluid breaks ties of money.
    cost: Cost,
    /// All costs are multiplied by this, so that shares of packs and multipliers are whole.
    scale: i128,
    /// Part of the scale: steps of a multiplier on the budget, and how many of them are taken.
    budget_steps: i128,
    budget_multiplier: i128,
    /// Some supplier's goods must reach an amount.
    priced_by_goods: bool,
    /// By offer, what dividing on its packs has told.
    lifts: Vec<Lifts>,
    /// The flow of the part solved last, kept so that the next one takes little.
    bounding: Option<Solution>,
    /// The same where packs are given.
    rounding: Option<Solution>,
}

/// Rows of one class that are the same here but for what each costs wherever it is placed.
struct Kind {
    class: usize,
    start: usize,
    len: usize,
    /// Where they may be deferred: what that saves of each, less than nothing, with so many that save as much.
    savings: Vec<(i64, i128)>,
}

impl Kind {
    fn deferrable(&self) -> bool {
        !self.savings.is_empty()
    }
}

struct FlatOffer<'a> {
    supply: usize,
    terms: &'a OfferTerms,
    most: i64,
}

/// Steps of a multiplier on the budget, to one more of what is minimised.
const BUDGET_STEPS: i128 = 256;

/// The solution of a relaxation.
#[derive(Clone, Debug)]
pub struct Relaxed {
    /// No plan of this part costs less, in cost.
    pub bound: i128,
    scaled_bound: i128,
    /// By offer, ten-thousandths of pieces beyond its least packs.
    amounts: Vec<i64>,
    /// By supplier, goods in scaled parts of money.
    goods: Vec<i128>,
}

impl<'a> Relaxation<'a> {
    /// Prepares a question.
    pub fn new(question: &'a Question, goal: Goal) -> Self {
        let row_by_row = goal.budget_weighs();
        let cost = if goal.then_fluid { Cost::money_then_fluid(question) } else { Cost::OF_MONEY };
        let mut relaxation = Relaxation::with_budget_multiplier(question, goal, cost, 0, row_by_row);
        if !row_by_row {
            return relaxation;
        }
        // The bound is concave in the multiplier: doubled while it rises, then sought between.
        let bound = |relaxation: &mut Relaxation| {
            let mut root = relaxation.root();
            relaxation.solve_once(&mut root).map_or(i128::MIN, |relaxed| relaxed.bound)
        };
        let mut best = bound(&mut relaxation);
        let mut step = 1;
        while step <= MOST_BUDGET_MULTIPLIER {
            let multiplier = relaxation.budget_multiplier + step;
            let mut other = Relaxation::with_budget_multiplier(question, goal, cost, multiplier, true);
            let bound = bound(&mut other);
            if bound <= best {
                break;
            }
            (best, relaxation, step) = (bound, other, 2 * step);
        }
        while step > 1 {
            step /= 2;
            for multiplier in [relaxation.budget_multiplier - step, relaxation.budget_multiplier + step] {
                let mut other = Relaxation::with_budget_multiplier(question, goal, cost, multiplier.max(0), true);
                let bound = bound(&mut other);
                if bound > best {
                    (best, relaxation) = (bound, other);
                }
            }
        }
        relaxation
    }

    /// The same parts with nothing but money counted: what passes the budget by that holds no plan.
    pub fn of_money(question: &'a Question, goal: Goal) -> Self {
        let money = Goal { litre_weight: Money::ZERO, then_fluid: false, within: None, ..goal };
        Relaxation::with_budget_multiplier(question, money, Cost::OF_MONEY, 0, goal.budget_weighs())
    }

    fn with_budget_multiplier(
        question: &'a Question,
        goal: Goal,
        cost: Cost,
        budget_multiplier: i128,
        row_by_row: bool,
    ) -> Self {
        let priced_by_goods =
            question.suppliers.iter().any(|terms| terms.minimum > Money::ZERO || terms.free_over.is_some());
        let sizes = question.supplies.iter().flat_map(|supply| &supply.offers).map(|offer| i128::from(offer.pack_size));
        // Pieces are shared in ten-thousandths where each needs its spare.
        let shares =
            sizes.fold(1, least_common_multiple) * if question.limits.spare_per_10_000 > 0 { 10_000 } else { 1 };
        let mut relaxation = Relaxation {
            question,
            goal,
            kinds: Vec::new(),
            lots: Vec::new(),
            offers: Vec::new(),
            first_offer: Vec::new(),
            constant: 0,
            cost,
            scale: shares * if priced_by_goods { i128::from(STEPS) } else { 1 },
            budget_steps: 1,
            budget_multiplier,
            priced_by_goods,
            lifts: Vec::new(),
            bounding: None,
            rounding: None,
        };
        if goal.budget_weighs() {
            relaxation.budget_steps = BUDGET_STEPS;
        }
        relaxation.add_kinds(row_by_row);
        relaxation.add_offers();
        relaxation
    }

    fn add_kinds(&mut self, row_by_row: bool) {
        for (index, class) in self.question.classes.iter().enumerate() {
            if class.priority > self.goal.last_priority {
                continue;
            }
            let deferrable = self.goal.deferred[usize::from(class.priority) - 1] > 0;
            let one_by_one = row_by_row || class.choices.iter().any(|choice| choice.pieces > 1);
            let mut start = 0;
            while start < class.members.len() {
                let len = if one_by_one { 1 } else { class.members.len() };
                let members = &class.members[start..start + len];
                let own: Vec<i128> = members.iter().map(|it| self.scaled_cost(it.money, it.fluid)).collect();
                self.constant += own.iter().sum::<i128>();
                if class.choices.iter().any(|choice| choice.pieces > 1) {
                    self.lots.push(self.kinds.len());
                }
                let own = own.into_iter().filter(|_| deferrable).map(|own| -own);
                let savings = own.sorted().dedup_with_count().map(|(rows, saved)| (rows as i64, saved)).collect();
                self.kinds.push(Kind { class: index, start, len, savings });
                start += len;
            }
        }
    }

    fn add_offers(&mut self) {
        let mut demand = vec![0i64; self.question.supplies.len()];
        for class in self.question.classes.iter().filter(|class| class.priority <= self.goal.last_priority) {
            for choice in &class.choices {
                if let Some(supply) = choice.supply {
                    demand[supply as usize] += i64::from(choice.pieces) * class.members.len() as i64;
                }
            }
        }
        for (supply, terms) in self.question.supplies.iter().enumerate() {
            self.first_offer.push(self.offers.len());
            let needed = evaluate::pieces_to_buy(self.question, demand[supply], terms.free);
            for offer in &terms.offers {
                let most = evaluate::most_useful_packs(self.question, offer, needed);
                self.offers.push(FlatOffer { supply, terms: offer, most });
            }
        }
        self.first_offer.push(self.offers.len());
        self.lifts = vec![Lifts::default(); self.offers.len()];
    }

    /// The same question for another goal, which differs in numbers alone: how many rows are deferred, of a priority of which
    /// some were, and what is enough.
    pub fn aim_at(&mut self, goal: Goal) {
        self.goal = goal;
    }

    /// Whether another goal differs in numbers alone from that which it was prepared for.
    pub fn suits(&self, goal: &Goal) -> bool {
        let Goal { deferred, enough, .. } = self.goal;
        let counted = enough.is_some() && goal.enough.is_some();
        self.goal == if counted { Goal { deferred, enough, ..*goal } } else { *goal }
    }

    /// What money and fluid cost together.
    fn cost(&self, money: Money, fluid: crate::units::Millilitres) -> i128 {
        self.cost.of(money + self.goal.litre_weight.per_litre(fluid), fluid)
    }

    /// How money and fluid make a cost.
    pub fn terms_of_cost(&self) -> Cost {
        self.cost
    }

    /// What a plan costs.
    pub fn cost_of(&self, values: &Values) -> i128 {
        self.cost(values.money, values.fluid)
    }

    /// The cost of an amount of money alone.
    pub fn cost_of_money(&self, money: Money) -> i128 {
        self.cost.of_money(money)
    }

    /// From this cost on a part holds no plan that is enough, where one is sought.
    pub fn cost_beyond_enough(&self) -> Option<i128> {
        self.goal.enough.map(|enough| self.cost_of_money(enough) + 1)
    }

    /// The money of a plan that costs so much, and the least of any that costs no less, in parts.
    pub fn money_of(&self, cost: i128) -> i128 {
        self.cost.money(cost)
    }

    /// The same in scaled cost, with the multiplier on money.
    fn scaled_cost(&self, money: Money, fluid: Millilitres) -> i128 {
        let cost = self.cost(money, fluid) * self.budget_steps + self.cost_of_money(money) * self.budget_multiplier;
        cost * self.scale
    }

    fn scaled_money(&self, money: Money) -> i128 {
        self.cost_of_money(money) * self.scale * (self.budget_steps + self.budget_multiplier)
    }

    /// What deferring a kind of one row saves, less than nothing.
    fn saved(&self, kind: usize) -> i128 {
        self.kinds[kind].savings.first().map_or(0, |(_, saved)| *saved)
    }

    /// The choices of a kind.
    fn choices(&self, kind: usize) -> &'a [Choice] {
        &self.question.classes[self.kinds[kind].class].choices
    }

    /// What a choice of a kind costs, scaled.
    fn cost_of_choice(&self, kind: usize, number: usize) -> i128 {
        let choice = &self.choices(kind)[number];
        self.scaled_cost(choice.money, choice.fluid)
    }

    /// Solves the whole.
    pub fn solve_root(&mut self) -> Option<Relaxed> {
        let mut root = self.root();
        self.solve(&mut root)
    }

    /// By how much the whole costs more than is enough, and what one row more deferred would save, both scaled; `None` where
    /// there is no plan.
    pub fn beyond_enough(&mut self, aim: Aim) -> Option<(i128, i128)> {
        let relaxed = self.solve_root()?;
        let enough = self.goal.enough.map_or(0, |money| self.scaled(money));
        let prices = self.bounding.as_mut().map(Solution::prices).unwrap_or_default();
        let Aim::Deferred(priority) = aim else { return Some((relaxed.scaled_bound - enough, 0)) };
        let saved = prices[self.question.supplies.len() + usize::from(priority)];
        Some((relaxed.scaled_bound - enough, saved))
    }

    /// Money in scaled cost, without a multiplier.
    pub fn scaled(&self, money: Money) -> i128 {
        self.cost_of_money(money) * self.scale * self.budget_steps
    }

    /// Solves a part as it is.
    pub fn solve_once(&mut self, state: &mut State) -> Option<Relaxed> {
        let mut solution = self.bounding.take();
        let relaxed = self.solve_by(&mut solution, state);
        self.bounding = solution;
        relaxed
    }

    /// Whether no plan of a part costs less than this, as far as that shows before the part is solved: packs are closed one
    /// after the other until what is left open costs as much. The prices of the flow are then of a part that holds this one.
    pub fn costs_enough(&mut self, state: &mut State, enough: i128) -> bool {
        let Some(base) = self.outside_the_flow(state) else { return false };
        let Some(mut solution) = self.bounding.take() else { return false };
        let costs_enough = solution.change_until(self, state, Some(enough * self.scale * self.budget_steps - base));
        self.bounding = Some(solution);
        costs_enough
    }

    /// What a part costs beside its flow, with what the caps close closed; `None` where it holds no plan.
    fn outside_the_flow(&self, state: &mut State) -> Option<i128> {
        self.apply_caps(state)?;
        let mut base = self.constant;
        if let Some(within) = self.goal.within {
            base -= self.cost_of_money(within) * self.budget_multiplier * self.scale;
        }
        for (index, terms) in self.question.suppliers.iter().enumerate() {
            if state.terms[index] == Terms::Paying {
                base += self.scaled_money(terms.charge);
            }
            let needed = self.goods_needed(state, index);
            if needed == Money::ZERO {
                continue;
            }
            base += self.scaled_money(needed) / i128::from(STEPS) * i128::from(state.multiplier[index]);
            let goods = self.offers.iter().zip(&state.most);
            let goods = goods.filter(|(offer, _)| offer.terms.supplier == Some(index as u32));
            let most: i128 =
                goods.map(|(offer, &most)| i128::from(offer.terms.pack_price.parts()) * i128::from(most)).sum();
            if most < i128::from(needed.parts()) {
                return None;
            }
        }
        for (index, offer) in self.offers.iter().enumerate().filter(|(index, _)| state.least[*index] > 0) {
            base += self.pack_cost(state, offer) * i128::from(state.least[index]);
        }
        for &(kind, choice) in &state.fixed {
            base += choice.map_or(self.saved(kind), |choice| self.cost_of_choice(kind, choice as usize));
        }
        Some(base)
    }

    /// Solves a part from the solution of another.
    fn solve_by(&self, solution: &mut Option<Solution>, state: &mut State) -> Option<Relaxed> {
        let base = self.outside_the_flow(state)?;
        let solution = match solution {
            Some(solution) => {
                solution.change_until(self, state, None);
                solution
            }
            None => solution.insert(Solution::new(self, state)),
        };
        let scaled_bound = base + solution.cost()?;
        let amounts = solution.amounts(self.offers.len());
        let mut goods = vec![0i128; self.question.suppliers.len()];
        for (index, offer) in self.offers.iter().enumerate() {
            if let Some(supplier) = offer.terms.supplier {
                let price = i128::from(offer.terms.pack_price.parts()) * self.scale;
                let shares = i128::from(amounts[index]) * price / (10_000 * i128::from(offer.terms.pack_size));
                goods[supplier as usize] += price * i128::from(state.least[index]) + shares;
            }
        }
        let steps = self.scale * self.budget_steps;
        let bound = scaled_bound.div_euclid(steps) + i128::from(scaled_bound.rem_euclid(steps) > 0);
        Some(Relaxed { bound, scaled_bound, amounts, goods })
    }
}

/// No more is taken of a multiplier on the budget than this many steps at once.
const MOST_BUDGET_MULTIPLIER: i128 = 1 << 16;

/// Of two numbers; the first where it would grow out of hand: shares of packs are then rounded down, which only lowers a
/// bound.
fn least_common_multiple(a: i128, b: i128) -> i128 {
    let multiple = a / greatest_common_divisor(a, b) * b;
    if multiple > MOST_SHARES { a } else { multiple }
}

/// Packs are shared into no more parts than this.
const MOST_SHARES: i128 = 10_000_000;
