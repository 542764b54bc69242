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

    /// A weight with which no row of a priority is ever better deferred: as much as any costs, wherever it is placed.
    pub fn weight_that_places_all(&self, question: &Question, prices: &Prices, priority: u8) -> i128 {
        let costs = Costs::new(question, prices, self.aims[self.aims.len() - 1]);
        let dearest = costs.single.iter().copied().max().unwrap_or(0);
        let classes = question.classes.iter().zip(&self.extents).filter(|(class, _)| class.priority == priority);
        let most = |(_, extent): (&Class, &Extent)| {
            let amounts = costs.of(extent.choice[0], extent.choice[1]) + costs.of(extent.member[0], extent.member[1]);
            amounts + dearest * i128::from(extent.pieces) + costs.labour
        };
        classes.map(most).max().unwrap_or(0).max(0)
    }

    /// By level, what all rows cost at least, each placed where it is cheapest or deferred.
    pub fn sums(&self, question: &Question, prices: &Prices) -> Sums {
        let costs: Vec<Costs> = self.aims.iter().map(|aim| Costs::new(question, prices, *aim)).collect();
        let shares = shares_in_threads(&question.classes, |first, share| {
            let mut sums: Vec<Option<i128>> = vec![Some(0); costs.len()];
            for (class, extent) in share.iter().zip(&self.extents[first..]) {
                let cheapest = cheapest(class, extent, &costs);
                for (at, (sum, costs)) in sums.iter_mut().zip(&costs).enumerate() {
                    let of_class = costs.rows(class, extent, cheapest.map(|cheapest| cheapest[at]));
                    *sum = sum.zip(of_class).and_then(|(sum, more)| sum.checked_add(more));
                }
            }
            sums
        });
        let of_level = |at: usize| shares.iter().try_fold(0_i128, |sum, share| sum.checked_add(share[at]?));
        Sums { of_aims: self.aims.iter().enumerate().map(|(at, aim)| (*aim, of_level(at))).collect() }
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
fn cheapest(class: &Class, extent: &Extent, costs: &[Costs]) -> Option<[i128; 2]> {
    let [first, last] = [&costs[0], &costs[costs.len() - 1]];
    let least = class.choices.iter().map(|choice| last.nearly(choice)).fold(f64::INFINITY, f64::min);
    let [money, fluid] = extent.choice.map(|most| most as f64);
    // Far more than rounding comes to, and all that the weights of the levels differ by.
    let all = last.money as f64 * money + last.fluid as f64 * fluid + last.dearest * f64::from(extent.pieces);
    let enough = least + 1e-12 * all + 2.0 * (last.fluid - first.fluid) as f64 * fluid;
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
