//! The relaxation of a node: with packs divisible and the constraints on orders relaxed, what remains is a min-cost flow.
//!
//! # Problem
//!
//! A lower bound on the cost of all plans of a [`Subproblem`], and a branch.
//!
//! # Notation
//!
//! The symbols are those of [`crate::assign`] and [`crate::decision::certificate`].
//!
//! | symbol | in the code |
//! |---|---|
//! | a source: lots of one class; its supply: their number | [`LotGroup`], its `len` |
//! | f(c, o) in scaled cost | `cost_of_choice`: cost of an arc |
//! | supply curve of vessel v: price of its z-th piece | [`supply_curve`]: free pieces, then each offer at pack price / pack size |
//! | g(k) / W, multiplier of the goods of supplier k | `Subproblem::goods_multiplier`, in steps of 1 / 64 |
//! | b, multiplier of the budget | `budget_multiplier`, in steps of 1 / 256 of one unit of objective |
//! | factor of all costs, so that shares of packs and multipliers are whole numbers | `scale` |
//!
//! # Method
//!
//! 1. A part of a pack costs that part of its price (the linear relaxation of whole packs).
//! 2. If goods must reach an amount A, the pack prices of supplier k are multiplied by 1 − g, and g · A is added. If there is a
//!    budget and the objective is not money alone, money costs 1 + b times as much, and b · budget is subtracted. (Lagrangean
//!    relaxation: A. M. Geoffrion, "Lagrangean relaxation for integer programming", Mathematical Programming Study 2
//!    (1974) 82–114, from memory.)
//! 3. Charges of suppliers that are decided are constants. Undecided suppliers charge nothing.
//! 4. The rest is a transportation problem with convex costs, solved from the flow of the node before ([`node_flow`]).
//! 5. Multipliers are found by line searches ([`multipliers`]); the limits on packs are tightened by penalties ([`penalties`]).
//!
//! # Why it is a lower bound
//!
//! 1. Each plan of the subproblem is a feasible flow: its lots take its choices, and use at most the pieces of its packs.
//! 2. The flow pays for the pieces used, at most the price of the packs bought. It counts only the first piece of a lot at
//!    full price, further pieces at the cheapest price of the curve.
//! 3. If g ≥ 0, the constraint goods ≥ A adds g · (A − goods) ≤ 0 to the cost of a plan that satisfies it. Likewise the
//!    budget, if b ≥ 0.
//! 4. So the scaled cost of each plan is at least that of its flow, which is at least that of the optimal flow.
//! 5. All numbers are whole; a division that is not exact rounds down.
//!
//! # Limits
//!
//! The limits on kinds and suppliers restrict a subproblem only once as many as allowed are decided. Owned fluid is bought at its
//! full price ([`crate::assign::owned`]).

mod branching;
mod multipliers;
mod node_flow;
mod penalties;
mod preparation;
mod prices;
mod rounding;
mod subproblem;
mod supply_curve;

use super::cost::CostScale;
use super::search::LevelProblem;
use super::supplier_decision::SupplierDecision;
use crate::assign::evaluate::Values;
use crate::decision::{
    Aim, Choice, ChoiceIndex, ClassIndex, OfferIndex, OfferTerms, Question, SupplierIndex, SupplyIndex,
};
use crate::units::{IndexTable, Millilitres, Money, Span};
use branching::PseudoCosts;
use multipliers::STEPS;
use node_flow::NodeFlow;
pub use prices::{DualPrices, LevelWeights};
pub use subproblem::{Branch, Subproblem};

/// The instance prepared for the problem of one level.
pub struct Relaxation<'a> {
    question: &'a Question,
    problem: LevelProblem,
    groups: Vec<LotGroup>,
    /// Groups with a choice of several pieces.
    multi_piece_groups: Vec<usize>,
    /// All offers, supply by supply.
    offers: IndexTable<OfferIndex, IndexedOffer<'a>>,
    /// By supply, the positions of its offers.
    offers_in: IndexTable<SupplyIndex, Span<OfferIndex>>,
    /// Scaled cost of the constants of all members.
    constant: i128,
    cost: CostScale,
    /// All costs are multiplied by this, so that shares of packs and multipliers are whole numbers.
    scale: i128,
    /// Steps of the budget multiplier in one unit of objective; a further factor of all costs.
    budget_steps: i128,
    /// Multiplier of the budget, in these steps.
    budget_multiplier: i128,
    /// Whether goods of some supplier must reach an amount.
    has_goods_constraints: bool,
    /// By offer, its pseudo-costs.
    pseudo_costs: IndexTable<OfferIndex, PseudoCosts>,
    /// The flow of the node that was solved last, from which the next one starts.
    bounding_flow: Option<NodeFlow>,
    /// The same for flows with given packs.
    rounding_flow: Option<NodeFlow>,
}

/// Neighbouring lots of one class that form one source of the flow.
struct LotGroup {
    class: ClassIndex,
    /// Position of the first lot in the class.
    start: usize,
    /// Number of lots.
    len: usize,
    /// If they may be deferred: numbers of lots with the saving of each by deferral (a negative cost), the greatest saving first.
    savings: Vec<(i64, i128)>,
}

impl LotGroup {
    fn is_deferrable(&self) -> bool {
        !self.savings.is_empty()
    }
}

/// An offer of a supply.
struct IndexedOffer<'a> {
    supply: SupplyIndex,
    terms: &'a OfferTerms,
    /// Y(o), the most useful packs.
    most_useful: i64,
}

/// The solution of a relaxation.
#[derive(Clone, Debug)]
pub struct RelaxedSolution {
    /// Lower bound on the cost of a plan of the subproblem.
    pub bound: i128,
    scaled_bound: i128,
    /// By offer, pieces bought beyond its least packs, in ten-thousandths.
    drawn: IndexTable<OfferIndex, i64>,
    /// By supplier, goods bought, in ten-millionths of money times `scale`.
    goods: IndexTable<SupplierIndex, i128>,
}

impl<'a> Relaxation<'a> {
    /// Changes the problem to one that [`Relaxation::suits`].
    pub fn set_problem(&mut self, problem: LevelProblem) {
        self.problem = problem;
    }

    /// Whether this relaxation suits another problem: equal, or, if both have a target, different only in the target and in the
    /// most lots that may be deferred.
    pub fn suits(&self, problem: &LevelProblem) -> bool {
        let LevelProblem { max_deferred, target, .. } = self.problem;
        let is_count = target.is_some() && problem.target.is_some();
        self.problem == if is_count { LevelProblem { max_deferred, target, ..*problem } } else { *problem }
    }

    /// Cost of an amount of money and fluid.
    fn cost(&self, money: Money, fluid: Millilitres) -> i128 {
        self.cost.of(money + self.problem.litre_weight.per_litre(fluid), fluid)
    }

    /// The scale on which money and fluid are one cost.
    pub fn cost_scale(&self) -> CostScale {
        self.cost
    }

    /// Cost of a plan.
    pub fn cost_of(&self, values: &Values) -> i128 {
        self.cost(values.money, values.fluid)
    }

    /// Cost of an amount of money.
    pub fn cost_of_money(&self, money: Money) -> i128 {
        self.cost.of_money(money)
    }

    /// With a target: the least lower bound at which a node holds no plan that meets it.
    pub fn target_cutoff(&self) -> Option<i128> {
        self.problem.target.map(|target| self.cost_of_money(target) + 1)
    }

    /// Money in ten-millionths of a plan with this cost. A lower bound of the cost gives a lower bound of the money.
    pub fn money_of(&self, cost: i128) -> i128 {
        self.cost.money(cost)
    }

    /// Scaled cost of an amount of money and fluid, with the budget multiplier on money.
    fn scaled_cost(&self, money: Money, fluid: Millilitres) -> i128 {
        let cost = self.cost(money, fluid) * self.budget_steps + self.cost_of_money(money) * self.budget_multiplier;
        cost * self.scale
    }

    /// Scaled cost of an amount of money, with the budget multiplier.
    fn scaled_money(&self, money: Money) -> i128 {
        self.cost_of_money(money) * self.scale * (self.budget_steps + self.budget_multiplier)
    }

    /// Scaled cost of an amount of money, without the budget multiplier.
    pub fn scaled(&self, money: Money) -> i128 {
        self.cost_of_money(money) * self.scale * self.budget_steps
    }

    /// The saving by deferring a group of one lot, as a negative cost.
    fn saving_of(&self, group: usize) -> i128 {
        self.groups[group].savings.first().map_or(0, |(_, saving)| *saving)
    }

    /// The offers of a supply.
    fn offers_in(&self, supply: SupplyIndex) -> Span<OfferIndex> {
        self.offers_in[supply]
    }

    /// The choices of a group.
    fn choices(&self, group: usize) -> &'a IndexTable<ChoiceIndex, Choice> {
        &self.question.classes[self.groups[group].class].choices
    }

    /// Scaled cost of a choice of a group, without its pieces.
    fn cost_of_choice(&self, group: usize, number: ChoiceIndex) -> i128 {
        let choice = &self.choices(group)[number];
        self.scaled_cost(choice.money, choice.fluid)
    }

    /// Solves the root.
    pub fn solve_root(&mut self) -> Option<RelaxedSolution> {
        let mut root = self.root();
        self.solve(&mut root)
    }

    /// The bound of the root less the target, and the dual price of one more deferred lot, both scaled; `None` if the root is
    /// infeasible.
    pub fn excess_over_target(&mut self, aim: Aim) -> Option<(i128, i128)> {
        let relaxed = self.solve_root()?;
        let target = self.problem.target.map_or(0, |money| self.scaled(money));
        let prices = self.bounding_flow.as_mut().map(NodeFlow::dual_prices).unwrap_or_default();
        let Aim::Deferred(priority) = aim else { return Some((relaxed.scaled_bound - target, 0)) };
        let saved = prices[self.question.supplies.len() + usize::from(priority)];
        Some((relaxed.scaled_bound - target, saved))
    }

    /// Solves a subproblem at the multipliers it has.
    pub fn solve_at_given_multipliers(&mut self, subproblem: &mut Subproblem) -> Option<RelaxedSolution> {
        let mut flow = self.bounding_flow.take();
        let relaxed = self.solve_from(&mut flow, subproblem);
        self.bounding_flow = flow;
        relaxed
    }

    /// Whether every plan of a subproblem costs at least `cost`. The flow is changed offer by offer and the change ends early, as soon
    /// as the flow costs that much. Flow and dual prices are then those of a subproblem that contains this one.
    pub fn costs_at_least(&mut self, subproblem: &mut Subproblem, cost: i128) -> bool {
        let Some(outside) = self.cost_outside_flow(subproblem) else { return false };
        let Some(mut flow) = self.bounding_flow.take() else { return false };
        let of_flow = cost * self.scale * self.budget_steps - outside;
        let costs_at_least = flow.move_to(self, subproblem, Some(of_flow));
        self.bounding_flow = Some(flow);
        costs_at_least
    }

    /// The scaled cost of a subproblem outside its flow: constants, charges, goods constraints, least packs and fixed lots.
    /// Applies the limits on kinds and suppliers to the subproblem; `None` if it is infeasible.
    fn cost_outside_flow(&self, subproblem: &mut Subproblem) -> Option<i128> {
        self.apply_caps(subproblem)?;
        let mut sum = self.constant;
        if let Some(budget) = self.problem.budget {
            sum -= self.cost_of_money(budget) * self.budget_multiplier * self.scale;
        }
        for (index, terms) in self.question.suppliers.enumerated() {
            if subproblem.suppliers[index] == SupplierDecision::Paying {
                sum += self.scaled_money(terms.charge);
            }
            let needed = self.goods_needed(subproblem, index);
            if needed == Money::ZERO {
                continue;
            }
            let multiplier = i128::from(subproblem.goods_multiplier[index]);
            sum += self.scaled_money(needed) / i128::from(STEPS) * multiplier;
            if self.most_goods(subproblem, index) < i128::from(needed.parts()) {
                return None;
            }
        }
        for (index, offer) in self.offers.enumerated().filter(|(index, _)| subproblem.min_packs[*index] > 0) {
            sum += self.pack_cost(subproblem, offer) * i128::from(subproblem.min_packs[index]);
        }
        for &(group, choice) in &subproblem.fixed {
            sum += choice.map_or(self.saving_of(group), |choice| self.cost_of_choice(group, choice));
        }
        Some(sum)
    }

    /// Goods of a supplier, in ten-millionths, if all packs are bought that a subproblem allows.
    fn most_goods(&self, subproblem: &Subproblem, supplier: SupplierIndex) -> i128 {
        self.goods(supplier, &subproblem.max_packs)
    }

    /// Goods of a supplier, in ten-millionths, for given packs by offer.
    fn goods(&self, supplier: SupplierIndex, packs: &IndexTable<OfferIndex, i64>) -> i128 {
        let offers = self.offers.iter().zip(packs);
        let ours = offers.filter(|(offer, _)| offer.terms.supplier == Some(supplier));
        ours.map(|(offer, &packs)| i128::from(offer.terms.pack_price.parts()) * i128::from(packs)).sum()
    }

    /// Solves a subproblem, starting from the flow of another.
    fn solve_from(&self, flow: &mut Option<NodeFlow>, subproblem: &mut Subproblem) -> Option<RelaxedSolution> {
        let outside = self.cost_outside_flow(subproblem)?;
        let flow = match flow {
            Some(flow) => {
                flow.move_to(self, subproblem, None);
                flow
            }
            None => flow.insert(NodeFlow::new(self, subproblem)),
        };
        let scaled_bound = outside + flow.cost()?;
        let drawn = flow.drawn(self.offers.filled(0));
        let mut goods = self.question.suppliers.filled(0i128);
        for (index, offer) in self.offers.enumerated() {
            if let Some(supplier) = offer.terms.supplier {
                let price = i128::from(offer.terms.pack_price.parts()) * self.scale;
                let shares = i128::from(drawn[index]) * price / (10_000 * i128::from(offer.terms.pack_size.0));
                goods[supplier] += price * i128::from(subproblem.min_packs[index]) + shares;
            }
        }
        let steps = self.scale * self.budget_steps;
        let bound = scaled_bound.div_euclid(steps) + i128::from(scaled_bound.rem_euclid(steps) > 0);
        Some(RelaxedSolution { bound, scaled_bound, drawn, goods })
    }
}
