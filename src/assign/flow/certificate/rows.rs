//! What the rows cost at least at the prices of a leaf: nearly all of the work of its bound, and the same for every part.

use itertools::Itertools;

use crate::assign::flow::leaf::Weights;
use crate::assign::flow::relaxation::Prices;
use crate::decision::{Aim, Choice, Class, Question};
use crate::threads::shares_in_threads;
use crate::units::Millilitres;

/// What is asked of the rows of a question again and again, and is the same whatever the prices.
pub struct Survey {
    /// By class.
    extents: Vec<Extent>,
    /// The levels that are bounded, the first to the last.
    aims: Vec<Aim>,
}

/// How far the amounts of a class go.
struct Extent {
    /// The choice of least money: at most prices not far from the cheapest.
    likely: usize,
    /// The most of money and fluid of a choice, without their signs.
    choice: [i64; 2],
    /// The most pieces of a choice.
    pieces: u32,
    /// The most of a member.
    member: [i64; 2],
    /// Of all members.
    sum: [i128; 2],
}

impl Extent {
    fn of(class: &Class) -> Self {
        let likely = class.choices.iter().position_min_by_key(|choice| choice.money).unwrap_or(0);
        let mut extent = Extent { likely, choice: [0; 2], pieces: 1, member: [i64::MIN; 2], sum: [0; 2] };
        for choice in &class.choices {
            extent.pieces = extent.pieces.max(choice.pieces);
            for (most, amount) in extent.choice.iter_mut().zip([choice.money.parts(), choice.fluid.0]) {
                *most = amount.saturating_abs().max(*most);
            }
        }
        for member in &class.members {
            for (at, amount) in [member.money.parts(), member.fluid.0].into_iter().enumerate() {
                extent.member[at] = extent.member[at].max(amount);
                extent.sum[at] += i128::from(amount);
            }
        }
        extent
    }
}

impl Survey {
    /// Of a question, for the level whose leaves are made; those of money bound fluid too.
    pub fn of(question: &Question, aim: Aim) -> Self {
        let aims = if aim == Aim::Money { vec![Aim::Money, Aim::Fluid] } else { vec![aim] };
        Survey { extents: question.classes.iter().map(Extent::of).collect(), aims }
    }

    /// The level whose leaves are made.
    pub fn aim(&self) -> Aim {
        self.aims[0]
    }

    /// By priority, no less than the row costs that is dearest to place where it is cheapest, and not far more.
    pub fn dearest_at_most(&self, question: &Question, prices: &Prices) -> [i128; 4] {
        let costs = Costs::new(question, prices, self.aims[self.aims.len() - 1]);
        let mut dearest = [0; 4];
        for (class, extent) in question.classes.iter().zip(&self.extents) {
            if let Some(likely) = class.choices.get(extent.likely) {
                let of_priority = &mut dearest[place_of_priority(class.priority)];
                *of_priority = (costs.choice(likely) + costs.dearest_member(extent)).max(*of_priority);
            }
        }
        dearest
    }

    /// What the row of a priority costs that is dearest to place where it is cheapest.
    pub fn dearest(&self, question: &Question, prices: &Prices, priority: u8) -> i128 {
        let (costs, mut nearly) = (self.costs(question, prices), Vec::new());
        let last = costs.len() - 1;
        let mut dearest = 0;
        let classes = question.classes.iter().zip(&self.extents);
        for (class, extent) in classes.filter(|(class, _)| class.priority == priority) {
            let cheapest = cheapest(class, extent, &costs, &mut nearly);
            dearest = cheapest.map_or(0, |of| of[last] + costs[last].dearest_member(extent)).max(dearest);
        }
        dearest
    }

    /// What the rows come to at each of some prices, all of them placed where `placed` says so of their priority, else
    /// deferred where that costs less. The choices are gone through once for all prices.
    pub fn weigh(&self, question: &Question, placed: [bool; 4], prices: &[Prices]) -> Vec<Weighed> {
        let costs: Vec<Vec<Costs>> = prices.iter().map(|prices| self.costs(question, prices)).collect();
        let none = || costs.iter().map(|costs| Found::none(costs.len())).collect::<Vec<_>>();
        let shares = shares_in_threads(&question.classes, |first, share| {
            let (mut found, mut nearly) = (none(), Vec::new());
            for (class, extent) in share.iter().zip(&self.extents[first..]) {
                for (found, costs) in found.iter_mut().zip(&costs) {
                    let cheapest = cheapest(class, extent, costs, &mut nearly);
                    found.add(class, extent, cheapest, costs, placed[place_of_priority(class.priority)]);
                }
            }
            found
        });
        let found = shares
            .into_iter()
            .fold(none(), |found, more| found.into_iter().zip(more).map(|(found, more)| found.and(more)).collect());
        found.into_iter().zip(prices).map(|(found, prices)| found.weighed(&self.aims, placed, prices)).collect()
    }

    fn costs<'a>(&self, question: &Question, prices: &'a Prices) -> Vec<Costs<'a>> {
        self.aims.iter().map(|aim| Costs::new(question, prices, *aim)).collect()
    }
}

/// Where a priority stands among the four.
fn place_of_priority(priority: u8) -> usize {
    usize::from(priority.clamp(1, 4)) - 1
}

/// The least power of two that is no less than a number; nothing for one not above it.
fn power_of_two_from(number: i128) -> i128 {
    if number > 0 { (number as u128).next_power_of_two() as i128 } else { 0 }
}

/// The priority that a level counts, where the goal places every row of it.
pub fn own_priority(aim: Aim, placed: [bool; 4]) -> Option<u8> {
    match aim {
        Aim::Deferred(priority) if placed[place_of_priority(priority)] => Some(priority),
        _ => None,
    }
}

/// What rows come to at prices.
pub struct Weighed {
    /// By priority, a weight with which no row is ever better deferred: as much as the dearest costs, placed where it is
    /// cheapest. Where the level itself counts these rows, the power of two that it weighs.
    pub weights: [i128; 4],
    /// What all rows cost at least; with those weights, where all of a priority are placed.
    pub rows: Sums,
}

/// The same of some classes.
struct Found {
    weights: [i128; 4],
    /// By level; `None` beyond 128 bits.
    sums: Vec<Option<i128>>,
    /// Rows that are to be placed and have no choice.
    without: [i128; 4],
}

impl Found {
    fn none(levels: usize) -> Self {
        Found { weights: [0; 4], sums: vec![Some(0); levels], without: [0; 4] }
    }

    fn add(&mut self, class: &Class, extent: &Extent, cheapest: Option<[i128; 2]>, costs: &[Costs], placed: bool) {
        let at = place_of_priority(class.priority);
        if let (None, true) = (cheapest, placed) {
            self.without[at] += class.members.len() as i128;
            return;
        }
        let last = costs.len() - 1;
        let most = cheapest.map_or(0, |cheapest| cheapest[last] + costs[last].dearest_member(extent));
        self.weights[at] = most.max(self.weights[at]);
        for (level, (sum, costs)) in self.sums.iter_mut().zip(costs).enumerate() {
            let cheapest = cheapest.map(|cheapest| cheapest[level]);
            let rows = match cheapest {
                Some(cheapest) if placed => costs.all_placed(class, extent, cheapest),
                cheapest => costs.rows(class, extent, cheapest),
            };
            *sum = sum.zip(rows).and_then(|(sum, rows)| sum.checked_add(rows));
        }
    }

    fn and(mut self, more: Self) -> Self {
        for at in 0..4 {
            self.weights[at] = self.weights[at].max(more.weights[at]);
            self.without[at] += more.without[at];
        }
        let both = |(one, other): (Option<i128>, Option<i128>)| one.zip(other).and_then(|(a, b)| a.checked_add(b));
        Found { sums: self.sums.into_iter().zip(more.sums).map(both).collect(), ..self }
    }

    fn weighed(self, aims: &[Aim], placed: [bool; 4], prices: &Prices) -> Weighed {
        let mut weights = self.weights;
        if let Some(own) = own_priority(aims[0], placed) {
            let weight = &mut weights[place_of_priority(own)];
            *weight = power_of_two_from((*weight).max(prices.weights.of(aims[0])));
        }
        let mut without = weights.into_iter().zip(self.without).map(|(weight, rows)| weight.checked_mul(rows));
        let without = without.try_fold(0_i128, |sum, more| sum.checked_add(more?));
        let sums = self.sums.into_iter().map(|sum| sum?.checked_add(without?));
        Weighed { weights, rows: Sums { of_aims: aims.iter().copied().zip(sums).collect() } }
    }
}

/// By level, what the rows of a question cost at least.
#[derive(Clone)]
pub struct Sums {
    of_aims: Vec<(Aim, Option<i128>)>,
}

impl Sums {
    /// Of one level; `None` beyond 128 bits.
    pub fn of(&self, aim: Aim) -> Option<i128> {
        self.of_aims.iter().find(|(of, _)| *of == aim)?.1
    }
}

/// The least that the choices of a class cost, at one or two weights.
///
/// Floating point finds those that may be it, which are few; whole numbers decide among them.
fn cheapest(class: &Class, extent: &Extent, costs: &[Costs], nearly: &mut Vec<f64>) -> Option<[i128; 2]> {
    let [first, last] = [&costs[0], &costs[costs.len() - 1]];
    nearly.clear();
    nearly.extend(class.choices.iter().map(|choice| last.nearly(choice)));
    let least = nearly.iter().copied().fold(f64::INFINITY, f64::min);
    let [money, fluid] = extent.choice.map(|most| most as f64);
    // Far more than rounding comes to, and all that the weights of the levels differ by.
    let all = last.nearly[0] * money + last.nearly[1] * fluid + last.dearest * f64::from(extent.pieces);
    let enough = least + 1e-12 * all + 2.0 * (last.fluid - first.fluid) as f64 * fluid + f64::from(extent.pieces);
    let may_be = class.choices.iter().zip(&*nearly).filter(|(_, nearly)| **nearly <= enough);
    let costs = may_be.map(|(choice, _)| [first.choice(choice), last.choice(choice)]);
    costs.reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1])])
}

/// What rows and choices cost at prices, for one level.
struct Costs<'a> {
    pieces: &'a [i128],
    /// By supply, what a single piece costs with its spare; last nothing, for a tank.
    single: Vec<i128>,
    /// The same, nearly, and the dearest of them.
    nearly_single: Vec<f64>,
    dearest: f64,
    weights: Weights<i128>,
    money: i128,
    fluid: i128,
    /// The same two, nearly.
    nearly: [f64; 2],
    labour: i128,
    spare: i128,
}

impl<'a> Costs<'a> {
    fn new(question: &Question, prices: &'a Prices, aim: Aim) -> Self {
        let limits = &question.limits;
        let weights = prices.weights.up_to(aim);
        let of_millilitre = i128::from(limits.litre_weight.per_litre(Millilitres(1)).parts());
        let spare = 10_000 + i128::from(limits.spare_per_10_000);
        let single = prices.pieces.iter().map(|price| (price * spare).div_euclid(10_000));
        let single: Vec<i128> = single.chain([0]).collect();
        let nearly_single: Vec<f64> = single.iter().map(|price| *price as f64).collect();
        let (money, fluid) = (weights.money + weights.budget, weights.money * of_millilitre + weights.fluid);
        Costs {
            pieces: &prices.pieces,
            dearest: nearly_single.iter().copied().fold(0.0, f64::max),
            single,
            nearly_single,
            money,
            fluid,
            nearly: [money as f64, fluid as f64],
            labour: weights.budget * i128::from(limits.labour_per_row.parts()),
            weights,
            spare,
        }
    }

    /// What the rows of a class cost whose cheapest choice costs so much, if it has any; `None` beyond 128 bits.
    fn rows(&self, class: &Class, extent: &Extent, cheapest: Option<i128>) -> Option<i128> {
        let deferred = self.weights.of(Aim::Deferred(class.priority));
        let n = class.members.len() as i128;
        let Some(cheapest) = cheapest else { return deferred.checked_mul(n) };
        if cheapest + self.dearest_member(extent) <= deferred {
            return self.all_placed(class, extent, cheapest);
        }
        let costs = class.members.iter().map(|member| cheapest + self.of(member.money.parts(), member.fluid.0));
        costs.map(|cost| cost.min(deferred)).try_fold(0_i128, i128::checked_add)
    }

    /// What the rows of a class cost that are all placed where it is cheapest.
    fn all_placed(&self, class: &Class, extent: &Extent, cheapest: i128) -> Option<i128> {
        let [money, fluid] = extent.sum;
        let own = self.money.checked_mul(money)?.checked_add(self.fluid.checked_mul(fluid)?)?;
        cheapest.checked_mul(class.members.len() as i128)?.checked_add(own)
    }

    /// No less than any member of a class costs beside its choice.
    fn dearest_member(&self, extent: &Extent) -> i128 {
        self.of(extent.member[0], extent.member[1])
    }

    /// What money and fluid cost, in parts and millilitres.
    fn of(&self, money: i64, fluid: i64) -> i128 {
        self.money * i128::from(money) + self.fluid * i128::from(fluid)
    }

    /// Where the price of a choice's vessel stands.
    fn place(&self, choice: &Choice) -> usize {
        choice.supply.map_or(self.pieces.len(), |supply| supply as usize)
    }

    fn choice(&self, choice: &Choice) -> i128 {
        let pieces = match choice.supply {
            Some(supply) if choice.pieces > 1 => {
                (self.pieces[supply as usize] * self.spare * i128::from(choice.pieces)).div_euclid(10_000)
            }
            _ => self.single[self.place(choice)],
        };
        self.of(choice.money.parts(), choice.fluid.0) + self.labour + pieces
    }

    /// The same without labour, in floating point.
    fn nearly(&self, choice: &Choice) -> f64 {
        let pieces = self.nearly_single[self.place(choice)] * f64::from(choice.pieces);
        let [money, fluid] = self.nearly;
        money * choice.money.parts() as f64 + fluid * choice.fluid.0 as f64 + pieces
    }
}
