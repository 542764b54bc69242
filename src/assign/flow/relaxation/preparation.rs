//! Prepares the sources and offers of an instance, and finds the budget multiplier of the root.
//!
//! The bound of the root is concave in the budget multiplier. The multiplier is raised in doubled steps while the bound rises;
//! then halved steps are tried on both sides.

use itertools::Itertools;

use super::branching::PseudoCosts;
use super::multipliers::STEPS;
use super::{IndexedOffer, LotGroup, Relaxation};
use crate::assign::evaluate;
use crate::assign::flow::cost::CostScale;
use crate::assign::flow::search::LevelProblem;
use crate::decision::Question;
use crate::units::{IndexTable, Money, Pieces, Span, greatest_common_divisor, number_of};

/// Steps of the budget multiplier in one unit of objective.
const BUDGET_STEPS: i128 = 256;

/// Largest single step of the search for the budget multiplier.
const MOST_BUDGET_MULTIPLIER: i128 = 1 << 16;

/// Most parts that a pack is divided into.
const MOST_SHARES: i128 = 10_000_000;

impl<'a> Relaxation<'a> {
    /// Prepares an instance for a problem.
    pub fn new(question: &'a Question, problem: LevelProblem) -> Self {
        let lot_by_lot = problem.has_budget_beside_objective();
        let cost = if problem.fluid_second { CostScale::money_then_fluid(question) } else { CostScale::OF_MONEY };
        let relaxation = Relaxation::with_budget_multiplier(question, problem, cost, 0, lot_by_lot);
        if lot_by_lot { relaxation.with_best_budget_multiplier() } else { relaxation }
    }

    /// A relaxation with the same subproblems and money alone as the objective. A subproblem whose bound exceeds the budget has no
    /// plan.
    pub fn of_money(question: &'a Question, problem: LevelProblem) -> Self {
        let money = LevelProblem { litre_weight: Money::ZERO, fluid_second: false, budget: None, ..problem };
        let lot_by_lot = problem.has_budget_beside_objective();
        Relaxation::with_budget_multiplier(question, money, CostScale::OF_MONEY, 0, lot_by_lot)
    }

    /// The same with the budget multiplier that gives the root the best bound found.
    fn with_best_budget_multiplier(self) -> Self {
        let (question, problem, cost) = (self.question, self.problem, self.cost);
        let bound = |relaxation: &mut Relaxation| {
            let mut root = relaxation.root();
            relaxation.solve_at_given_multipliers(&mut root).map_or(i128::MIN, |relaxed| relaxed.bound)
        };
        let mut relaxation = self;
        let mut best = bound(&mut relaxation);
        let mut step = 1;
        while step <= MOST_BUDGET_MULTIPLIER {
            let multiplier = relaxation.budget_multiplier + step;
            let mut other = Relaxation::with_budget_multiplier(question, problem, cost, multiplier, true);
            let bound = bound(&mut other);
            if bound <= best {
                break;
            }
            (best, relaxation, step) = (bound, other, 2 * step);
        }
        while step > 1 {
            step /= 2;
            for multiplier in [relaxation.budget_multiplier - step, relaxation.budget_multiplier + step] {
                let mut other = Relaxation::with_budget_multiplier(question, problem, cost, multiplier.max(0), true);
                let bound = bound(&mut other);
                if bound > best {
                    (best, relaxation) = (bound, other);
                }
            }
        }
        relaxation
    }

    fn with_budget_multiplier(
        question: &'a Question,
        problem: LevelProblem,
        cost: CostScale,
        budget_multiplier: i128,
        lot_by_lot: bool,
    ) -> Self {
        let has_goods_constraints =
            question.suppliers.iter().any(|terms| terms.minimum > Money::ZERO || terms.free_over.is_some());
        let sizes =
            question.supplies.iter().flat_map(|supply| &supply.offers).map(|offer| i128::from(offer.pack_size.0));
        // With spare pieces, a piece is also divided into ten-thousandths.
        let shares =
            sizes.fold(1, least_common_multiple) * if question.limits.spare_per_10_000 > 0 { 10_000 } else { 1 };
        let mut relaxation = Relaxation {
            question,
            problem,
            groups: Vec::new(),
            multi_piece_groups: Vec::new(),
            offers: IndexTable::new(),
            offers_in: IndexTable::new(),
            constant: 0,
            cost,
            scale: shares * if has_goods_constraints { i128::from(STEPS) } else { 1 },
            budget_steps: 1,
            budget_multiplier,
            has_goods_constraints,
            pseudo_costs: IndexTable::new(),
            bounding_flow: None,
            rounding_flow: None,
        };
        if problem.has_budget_beside_objective() {
            relaxation.budget_steps = BUDGET_STEPS;
        }
        relaxation.add_groups(lot_by_lot);
        relaxation.add_offers();
        relaxation
    }

    /// Makes the sources: one for each class, or one for each lot of a class if its lots may be branched on.
    fn add_groups(&mut self, lot_by_lot: bool) {
        for (index, class) in self.question.classes.enumerated() {
            if class.priority > self.problem.last_priority {
                continue;
            }
            let is_deferrable = self.problem.max_deferred[usize::from(class.priority) - 1] > 0;
            let has_multi_piece_choices = class.choices.iter().any(|choice| choice.pieces > Pieces(1));
            let mut start = 0;
            while start < class.members.len() {
                let len = if lot_by_lot || has_multi_piece_choices { 1 } else { class.members.len() };
                let members = &class.members[start..start + len];
                let constants: Vec<i128> = members.iter().map(|it| self.scaled_cost(it.money, it.fluid)).collect();
                self.constant += constants.iter().sum::<i128>();
                if has_multi_piece_choices {
                    self.multi_piece_groups.push(self.groups.len());
                }
                let savings = constants.into_iter().filter(|_| is_deferrable).map(|constant| -constant);
                let savings = savings.sorted().dedup_with_count().map(|(lots, saving)| (number_of(lots), saving));
                let savings = savings.collect();
                self.groups.push(LotGroup { class: index, start, len, savings });
                start += len;
            }
        }
    }

    /// Makes the list of offers with their most useful packs.
    fn add_offers(&mut self) {
        let mut demand = self.question.supplies.filled(Pieces::ZERO);
        for class in self.question.classes.iter().filter(|class| class.priority <= self.problem.last_priority) {
            for choice in &class.choices {
                if let Some(supply) = choice.supply {
                    demand[supply] += choice.pieces * number_of(class.members.len());
                }
            }
        }
        for (supply, terms) in self.question.supplies.enumerated() {
            let first = self.offers.len();
            let needed = evaluate::pieces_to_buy(self.question, demand[supply], terms.free);
            for offer in &terms.offers {
                let most_useful = evaluate::most_useful_packs(self.question, offer, needed).0;
                self.offers.push(IndexedOffer { supply, terms: offer, most_useful });
            }
            self.offers_in.push(Span::of(first..self.offers.len()));
        }
        self.pseudo_costs = self.offers.filled(PseudoCosts::default());
    }
}

/// Least common multiple of two numbers, or `a` if it would exceed [`MOST_SHARES`]. Shares of packs are then rounded down, which
/// only lowers a bound.
fn least_common_multiple(a: i128, b: i128) -> i128 {
    let multiple = a / greatest_common_divisor(a, b) * b;
    if multiple > MOST_SHARES { a } else { multiple }
}
