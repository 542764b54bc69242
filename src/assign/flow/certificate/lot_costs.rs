//! The least cost of all lots at the multipliers of a leaf. It takes nearly all the work of a bound, and does not depend on the
//! restrictions of the leaf.
//!
//! # Problem
//!
//! For each class the cheapest choice at the multipliers; for each lot the smaller of its cost and d(q), the multiplier of deferred
//! lots of its priority. The sum is the part of the lots in the bound of [`crate::decision::certificate`]. Also, for priorities of
//! which all lots are placed, a d(q) so large that no lot is cheaper deferred.
//!
//! # Method
//!
//! One pass over all choices. Costs in floating point, with a margin for their error, exclude most choices; whole numbers decide
//! among the few others, so the result is exact. Amounts of a class that do not depend on multipliers are computed once
//! ([`ClassRange`]). Threads share the classes; sums of whole numbers do not depend on the order.
//!
//! # Cost
//!
//! One pass over all pairs of a class and a choice, for several sets of multipliers at once.

use itertools::Itertools;

use crate::assign::flow::relaxation::{DualPrices, LevelWeights};
use crate::decision::{Aim, Choice, ChoiceIndex, Class, ClassIndex, Question, SupplyIndex};
use crate::system::threads::shares_in_threads;
use crate::units::{IndexTable, Millilitres, Pieces, Position, number_of};

/// The data that costs of lots depend on besides multipliers.
pub struct LotCosting {
    /// By class, its extremes and sums.
    ranges: IndexTable<ClassIndex, ClassRange>,
    /// The levels that are bounded, in order.
    aims: Vec<Aim>,
}

/// The extremes and sums of the amounts of a class.
struct ClassRange {
    /// The choice of least money, which is near the cheapest at most multipliers.
    likely: Option<ChoiceIndex>,
    /// Largest money and fluid of a choice, in absolute value.
    most_of_choice: [i64; 2],
    /// Most pieces of a choice.
    most_pieces: Pieces,
    /// Largest money and fluid of a member.
    most_of_member: [i64; 2],
    /// Sum of money and fluid of all members.
    sum: [i128; 2],
}

impl ClassRange {
    fn of(class: &Class) -> Self {
        let likely = class.choices.iter().position_min_by_key(|choice| choice.money).map(ChoiceIndex::at);
        let mut range = ClassRange {
            likely,
            most_of_choice: [0; 2],
            most_pieces: Pieces(1),
            most_of_member: [i64::MIN; 2],
            sum: [0; 2],
        };
        for choice in &class.choices {
            range.most_pieces = range.most_pieces.max(choice.pieces);
            for (most, amount) in range.most_of_choice.iter_mut().zip([choice.money.parts(), choice.fluid.0]) {
                *most = amount.saturating_abs().max(*most);
            }
        }
        for member in &class.members {
            for (at, amount) in [member.money.parts(), member.fluid.0].into_iter().enumerate() {
                range.most_of_member[at] = range.most_of_member[at].max(amount);
                range.sum[at] += i128::from(amount);
            }
        }
        range
    }
}

impl LotCosting {
    /// For the level whose leaves are made. Leaves of money bound fluid too.
    pub fn of(question: &Question, aim: Aim) -> Self {
        let aims = if aim == Aim::Money { vec![Aim::Money, Aim::Fluid] } else { vec![aim] };
        LotCosting { ranges: question.classes.map(ClassRange::of), aims }
    }

    /// The level whose leaves are made.
    pub fn aim(&self) -> Aim {
        self.aims[0]
    }

    /// By priority, an upper bound, usually close, on the cost of the dearest lot, each lot in its cheapest choice.
    pub fn dearest_at_most(&self, question: &Question, prices: &DualPrices) -> [i128; 4] {
        let costs = UnitCosts::new(question, prices, self.aims[self.aims.len() - 1]);
        let mut dearest = [0; 4];
        for (class, range) in question.classes.iter().zip(&self.ranges) {
            if let Some(likely) = range.likely {
                let of_priority = &mut dearest[position_of(class.priority)];
                *of_priority = (costs.choice(&class.choices[likely]) + costs.dearest_member(range)).max(*of_priority);
            }
        }
        dearest
    }

    /// The cost of the dearest lot of a priority, each lot in its cheapest choice.
    pub fn dearest(&self, question: &Question, prices: &DualPrices, priority: u8) -> i128 {
        let (costs, mut approximate) = (self.unit_costs(question, prices), Vec::new());
        let last = costs.len() - 1;
        let mut dearest = 0;
        let classes = question.classes.iter().zip(&self.ranges);
        for (class, range) in classes.filter(|(class, _)| class.priority == priority) {
            let cheapest = cheapest_choice(class, range, &costs, &mut approximate);
            dearest = cheapest.map_or(0, |cheapest| cheapest[last] + costs[last].dearest_member(range)).max(dearest);
        }
        dearest
    }

    /// The least cost of all lots for each set of multipliers. Lots of priorities for which `placed` is true are placed, others are
    /// deferred if that is cheaper.
    pub fn evaluate(&self, question: &Question, placed: [bool; 4], prices: &[DualPrices]) -> Vec<EvaluatedLots> {
        let costs: Vec<Vec<UnitCosts>> = prices.iter().map(|prices| self.unit_costs(question, prices)).collect();
        let none = || costs.iter().map(|costs| PartialSums::none(costs.len())).collect::<Vec<_>>();
        let shares = shares_in_threads(&question.classes, |first, share| {
            let (mut sums, mut approximate) = (none(), Vec::new());
            for (class, range) in share.iter().zip(self.ranges.iter().skip(first)) {
                for (sums, costs) in sums.iter_mut().zip(&costs) {
                    let cheapest = cheapest_choice(class, range, costs, &mut approximate);
                    sums.add(class, range, cheapest, costs, placed[position_of(class.priority)]);
                }
            }
            sums
        });
        let sums = shares
            .into_iter()
            .fold(none(), |sums, more| sums.into_iter().zip(more).map(|(sums, more)| sums.and(more)).collect());
        sums.into_iter().zip(prices).map(|(sums, prices)| sums.evaluated(&self.aims, placed, prices)).collect()
    }

    fn unit_costs<'a>(&self, question: &Question, prices: &'a DualPrices) -> Vec<UnitCosts<'a>> {
        self.aims.iter().map(|aim| UnitCosts::new(question, prices, *aim)).collect()
    }
}

fn position_of(priority: u8) -> usize {
    usize::from(priority.clamp(1, 4)) - 1
}

/// The least power of two ≥ `number`; 0 if `number` is not positive.
fn power_of_two_from(number: i128) -> i128 {
    let power = |number: u128| i128::try_from(number.next_power_of_two()).unwrap_or(i128::MAX);
    if number > 0 { power(number.unsigned_abs()) } else { 0 }
}

/// The priority whose deferred lots a level counts, if all its lots are placed.
pub fn own_priority(aim: Aim, placed: [bool; 4]) -> Option<u8> {
    match aim {
        Aim::Deferred(priority) if placed[position_of(priority)] => Some(priority),
        _ => None,
    }
}

/// The lots evaluated at one set of multipliers.
pub struct EvaluatedLots {
    /// By priority, a d(q) with which no lot is cheaper deferred: the cost of the dearest lot in its cheapest choice. For the
    /// priority that the level counts it is α, so it is rounded up to a power of two.
    pub weights: [i128; 4],
    /// The least cost of all lots, with these d(q) for priorities of which all lots are placed.
    pub costs: LotCosts,
}

/// The least cost of all lots, by level.
#[derive(Clone)]
pub struct LotCosts {
    by_aim: Vec<(Aim, Option<i128>)>,
}

impl LotCosts {
    /// The least cost on one level; `None` if it overflows 128 bits.
    pub fn of(&self, aim: Aim) -> Option<i128> {
        self.by_aim.iter().find(|(of, _)| *of == aim)?.1
    }
}

/// The same for a part of the classes.
struct PartialSums {
    weights: [i128; 4],
    /// By level; `None` if it overflows 128 bits.
    sums: Vec<Option<i128>>,
    /// By priority, lots that must be placed and have no choice.
    without_choice: [i128; 4],
}

impl PartialSums {
    fn none(levels: usize) -> Self {
        PartialSums { weights: [0; 4], sums: vec![Some(0); levels], without_choice: [0; 4] }
    }

    /// Adds a class, given the cost of its cheapest choice on the first and the last level.
    fn add(
        &mut self,
        class: &Class,
        range: &ClassRange,
        cheapest: Option<[i128; 2]>,
        costs: &[UnitCosts],
        placed: bool,
    ) {
        let at = position_of(class.priority);
        if let (None, true) = (cheapest, placed) {
            self.without_choice[at] += i128::from(number_of(class.members.len()));
            return;
        }
        let last = costs.len() - 1;
        let dearest = cheapest.map_or(0, |cheapest| cheapest[last] + costs[last].dearest_member(range));
        self.weights[at] = dearest.max(self.weights[at]);
        for (level, (sum, costs)) in self.sums.iter_mut().zip(costs).enumerate() {
            let of_class = match cheapest.map(|cheapest| cheapest[level]) {
                Some(cheapest) if placed => costs.all_placed(class, range, cheapest),
                cheapest => costs.placed_or_deferred(class, range, cheapest),
            };
            *sum = sum.zip(of_class).and_then(|(sum, of_class)| sum.checked_add(of_class));
        }
    }

    fn and(mut self, more: Self) -> Self {
        for at in 0..4 {
            self.weights[at] = self.weights[at].max(more.weights[at]);
            self.without_choice[at] += more.without_choice[at];
        }
        let both = |(one, other): (Option<i128>, Option<i128>)| one.zip(other).and_then(|(a, b)| a.checked_add(b));
        PartialSums { sums: self.sums.into_iter().zip(more.sums).map(both).collect(), ..self }
    }

    fn evaluated(self, aims: &[Aim], placed: [bool; 4], prices: &DualPrices) -> EvaluatedLots {
        let mut weights = self.weights;
        if let Some(own) = own_priority(aims[0], placed) {
            let weight = &mut weights[position_of(own)];
            *weight = power_of_two_from((*weight).max(prices.weights.of(aims[0])));
        }
        let deferred = weights.into_iter().zip(self.without_choice).map(|(weight, lots)| weight.checked_mul(lots));
        let deferred = deferred.into_iter().try_fold(0_i128, |sum, more| sum.checked_add(more?));
        let sums = self.sums.into_iter().map(|sum| sum?.checked_add(deferred?));
        EvaluatedLots { weights, costs: LotCosts { by_aim: aims.iter().copied().zip(sums).collect() } }
    }
}

/// The cost of the cheapest choice of a class on the first and on the last level; `None` if it has no choice.
fn cheapest_choice(
    class: &Class,
    range: &ClassRange,
    costs: &[UnitCosts],
    approximate: &mut Vec<f64>,
) -> Option<[i128; 2]> {
    let [first, last] = [&costs[0], &costs[costs.len() - 1]];
    approximate.clear();
    approximate.extend(class.choices.iter().map(|choice| last.approximate(choice)));
    let least = approximate.iter().copied().fold(f64::INFINITY, f64::min);
    let [money, fluid] = range.most_of_choice.map(|most| most as f64);
    // The margin exceeds rounding errors and the difference between the two levels' costs.
    let magnitude = last.approximate[0] * money
        + last.approximate[1] * fluid
        + last.approximate_dearest * range.most_pieces.0 as f64;
    let threshold =
        least + 1e-12 * magnitude + 2.0 * (last.fluid - first.fluid) as f64 * fluid + range.most_pieces.0 as f64;
    let candidates = class.choices.iter().zip(&*approximate).filter(|(_, approximate)| **approximate <= threshold);
    let costs = candidates.map(|(choice, _)| [first.choice(choice), last.choice(choice)]);
    costs.reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1])])
}

/// Costs of money, fluid and pieces at one set of multipliers, for one level.
struct UnitCosts<'a> {
    /// π, by supply.
    pieces: &'a IndexTable<SupplyIndex, i128>,
    /// By supply, cost of one piece with its spare share; and 0 at the end, for a tank.
    single_piece: Vec<i128>,
    weights: LevelWeights,
    money: i128,
    fluid: i128,
    labour: i128,
    /// 10 000 + s: ten-thousandths of a piece to be bought for each piece used.
    with_spare: i128,
    /// The same in floating point: money and fluid; single pieces; the dearest single piece.
    approximate: [f64; 2],
    approximate_single: Vec<f64>,
    approximate_dearest: f64,
}

impl<'a> UnitCosts<'a> {
    fn new(question: &Question, prices: &'a DualPrices, aim: Aim) -> Self {
        let limits = &question.limits;
        let weights = prices.weights.up_to(aim);
        let of_millilitre = i128::from(limits.litre_weight.per_litre(Millilitres(1)).parts());
        let with_spare = 10_000 + i128::from(limits.spare_per_10_000);
        let single_piece = prices.pieces.iter().map(|price| (price * with_spare).div_euclid(10_000));
        let single_piece: Vec<i128> = single_piece.chain([0]).collect();
        let approximate_single: Vec<f64> = single_piece.iter().map(|price| *price as f64).collect();
        let (money, fluid) = (weights.money + weights.budget, weights.money * of_millilitre + weights.fluid);
        UnitCosts {
            pieces: &prices.pieces,
            single_piece,
            money,
            fluid,
            labour: weights.budget * i128::from(limits.labour_per_row.parts()),
            weights,
            with_spare,
            approximate: [money as f64, fluid as f64],
            approximate_dearest: approximate_single.iter().copied().fold(0.0, f64::max),
            approximate_single,
        }
    }

    /// Cost of the lots of a class, each placed or deferred, whichever is cheaper; `None` if it overflows 128 bits.
    fn placed_or_deferred(&self, class: &Class, range: &ClassRange, cheapest: Option<i128>) -> Option<i128> {
        let deferred = self.weights.of(Aim::Deferred(class.priority));
        let n = i128::from(number_of(class.members.len()));
        let Some(cheapest) = cheapest else { return deferred.checked_mul(n) };
        if cheapest + self.dearest_member(range) <= deferred {
            return self.all_placed(class, range, cheapest);
        }
        let costs = class.members.iter().map(|member| cheapest + self.amounts(member.money.parts(), member.fluid.0));
        costs.map(|cost| cost.min(deferred)).try_fold(0_i128, i128::checked_add)
    }

    /// Cost of the lots of a class, all placed.
    fn all_placed(&self, class: &Class, range: &ClassRange, cheapest: i128) -> Option<i128> {
        let [money, fluid] = range.sum;
        let constants = self.money.checked_mul(money)?.checked_add(self.fluid.checked_mul(fluid)?)?;
        cheapest.checked_mul(i128::from(number_of(class.members.len())))?.checked_add(constants)
    }

    /// An upper bound on the cost of the constants of any member.
    fn dearest_member(&self, range: &ClassRange) -> i128 {
        self.amounts(range.most_of_member[0], range.most_of_member[1])
    }

    /// Cost of an amount of money, in ten-millionths, and of fluid, in millilitres.
    fn amounts(&self, money: i64, fluid: i64) -> i128 {
        self.money * i128::from(money) + self.fluid * i128::from(fluid)
    }

    /// Cost of a choice.
    fn choice(&self, choice: &Choice) -> i128 {
        let pieces = match choice.supply {
            Some(supply) if choice.pieces > Pieces(1) => {
                (self.pieces[supply] * self.with_spare * i128::from(choice.pieces.0)).div_euclid(10_000)
            }
            _ => self.single_piece[self.position_of_vessel(choice)],
        };
        self.amounts(choice.money.parts(), choice.fluid.0) + self.labour + pieces
    }

    /// The same in floating point, without labour.
    fn approximate(&self, choice: &Choice) -> f64 {
        let pieces = self.approximate_single[self.position_of_vessel(choice)] * choice.pieces.0 as f64;
        let [money, fluid] = self.approximate;
        money * choice.money.parts() as f64 + fluid * choice.fluid.0 as f64 + pieces
    }

    /// The position of a choice's vessel in the lists of single pieces.
    fn position_of_vessel(&self, choice: &Choice) -> usize {
        choice.supply.map_or(self.pieces.len(), Position::index)
    }
}
