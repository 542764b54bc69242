//! What the rows cost at least at the prices of a leaf: nearly all of the work of its bound, and the same for every part.

use crate::assign::relaxation::Prices;
use crate::decision::leaf::Weights;
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
        let mut extent = Extent { choice: [0; 2], pieces: 1, member: [i64::MIN; 2], sum: [0; 2] };
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

    /// Nearly what the row of each priority costs that is dearest to place where it is cheapest.
    pub fn nearly_dearest(&self, question: &Question, prices: &Prices) -> [i128; 4] {
        let costs = Costs::new(question, prices, self.aims[self.aims.len() - 1]);
        let shares = shares_in_threads(&question.classes, |first, share| {
            let mut dearest = [0.0_f64; 4];
            for (class, extent) in
                share.iter().zip(&self.extents[first..]).filter(|(class, _)| !class.choices.is_empty())
            {
                let least = class.choices.iter().map(|choice| costs.nearly(choice)).fold(f64::INFINITY, f64::min);
                let most = least + costs.of(extent.member[0], extent.member[1]) as f64 + costs.labour as f64;
                let of_priority = &mut dearest[place_of(class.priority)];
                *of_priority = of_priority.max(most);
            }
            dearest
        });
        std::array::from_fn(|at| shares.iter().map(|dearest| dearest[at]).fold(0.0, f64::max) as i128)
    }

    /// The cheapest choice of each class.
    pub fn cheapest(&self, question: &Question, prices: &Prices) -> Cheapest {
        let costs = self.costs(question, prices);
        let shares = shares_in_threads(&question.classes, |first, share| {
            let classes = share.iter().zip(&self.extents[first..]);
            classes.map(|(class, extent)| cheapest(class, extent, &costs)).collect::<Vec<_>>()
        });
        Cheapest { of_classes: shares.concat() }
    }

    /// By priority, a weight with which no row is ever better deferred: as much as the dearest costs, placed where it is
    /// cheapest.
    pub fn weights_that_place_all(&self, question: &Question, prices: &Prices, cheapest: &Cheapest) -> [i128; 4] {
        let last = self.aims.len() - 1;
        let costs = Costs::new(question, prices, self.aims[last]);
        let mut weights = [0; 4];
        for ((class, extent), cheapest) in question.classes.iter().zip(&self.extents).zip(&cheapest.of_classes) {
            let most = cheapest.map_or(0, |cheapest| cheapest[last] + costs.of(extent.member[0], extent.member[1]));
            let weight = &mut weights[place_of(class.priority)];
            *weight = most.max(*weight);
        }
        weights
    }

    /// By level, what all rows cost at least, each placed where it is cheapest or deferred.
    pub fn sums(&self, question: &Question, prices: &Prices, cheapest: &Cheapest) -> Sums {
        let sum = |(at, costs): (usize, Costs)| {
            let classes = question.classes.iter().zip(&self.extents).zip(&cheapest.of_classes);
            let of_class = |((class, extent), cheapest): ((&Class, &Extent), &Option<[i128; 2]>)| {
                costs.rows(class, extent, cheapest.map(|cheapest| cheapest[at]))
            };
            classes.map(of_class).try_fold(0_i128, |sum, more| sum.checked_add(more?))
        };
        let sums = self.costs(question, prices).into_iter().enumerate().map(sum);
        Sums { of_aims: self.aims.iter().copied().zip(sums).collect() }
    }

    fn costs<'a>(&self, question: &Question, prices: &'a Prices) -> Vec<Costs<'a>> {
        self.aims.iter().map(|aim| Costs::new(question, prices, *aim)).collect()
    }
}

/// Where a priority stands among the four.
fn place_of(priority: u8) -> usize {
    usize::from(priority.clamp(1, 4)) - 1
}

/// What the cheapest choice of each class costs, by level; `None` of a class without any.
pub struct Cheapest {
    of_classes: Vec<Option<[i128; 2]>>,
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
fn cheapest(class: &Class, extent: &Extent, costs: &[Costs]) -> Option<[i128; 2]> {
    let [first, last] = [&costs[0], &costs[costs.len() - 1]];
    let least = class.choices.iter().map(|choice| last.nearly(choice)).fold(f64::INFINITY, f64::min);
    let [money, fluid] = extent.choice.map(|most| most as f64);
    // Far more than rounding comes to, and all that the weights of the levels differ by.
    let all = last.money as f64 * money + last.fluid as f64 * fluid + last.dearest * f64::from(extent.pieces);
    let enough = least + 1e-12 * all + 2.0 * (last.fluid - first.fluid) as f64 * fluid + f64::from(extent.pieces);
    let may_be = class.choices.iter().filter(|choice| last.nearly(choice) <= enough);
    may_be.map(|choice| [first.choice(choice), last.choice(choice)]).reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1])])
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
        Costs {
            pieces: &prices.pieces,
            dearest: nearly_single.iter().copied().fold(0.0, f64::max),
            single,
            nearly_single,
            money: weights.money + weights.budget,
            fluid: weights.money * of_millilitre + weights.fluid,
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
        if cheapest + self.of(extent.member[0], extent.member[1]) <= deferred {
            let [money, fluid] = extent.sum;
            let own = self.money.checked_mul(money)?.checked_add(self.fluid.checked_mul(fluid)?)?;
            return cheapest.checked_mul(n)?.checked_add(own);
        }
        let costs = class.members.iter().map(|member| cheapest + self.of(member.money.parts(), member.fluid.0));
        costs.map(|cost| cost.min(deferred)).try_fold(0_i128, i128::checked_add)
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
        self.money as f64 * choice.money.parts() as f64 + self.fluid as f64 * choice.fluid.0 as f64 + pieces
    }
}
