//! Makes the whole multipliers of a leaf from the duals of a linear programme.
//!
//! The duals of an optimal solution are refined twice in doubled precision (residuals by error-free products; J. H. Wilkinson,
//! "Rounding Errors in Algebraic Processes", 1963, iterative refinement, from memory); a dual ray, which shows infeasibility, is
//! taken as it is. They are multiplied by a power of two, α, and rounded. Rounding cannot make a bound wrong: any multipliers
//! give a true bound, which is evaluated in whole numbers.

use super::bound::Multipliers;
use super::formulation::{Formulation, LITRE, PARTS};
use super::instance::Instance;
use crate::decision::Aim;
use crate::decision::certificate::{MOST, Weights};
use crate::units::{index, saturated, truncated};

/// A number as the sum of two doubles.
#[derive(Clone, Copy, Default)]
pub struct Doubled(f64, f64);

impl Doubled {
    fn plus(self, more: f64) -> Self {
        let sum = self.0 + more;
        let part = sum - self.0;
        let lost = (self.0 - (sum - part)) + (more - part);
        Doubled(sum, self.1 + lost)
    }

    fn plus_product(self, a: f64, b: f64) -> Self {
        let product = a * b;
        let lost = a.mul_add(b, -product);
        self.plus(product).plus(lost)
    }

    pub fn value(self) -> f64 {
        self.0 + self.1
    }

    fn negative(self) -> Self {
        Doubled(-self.0, -self.1)
    }

    /// The nearest whole number to this times a factor, of either sign.
    fn signed_times(self, factor: f64) -> i64 {
        if self.value() < 0.0 { -self.negative().times(factor) } else { self.times(factor) }
    }

    /// The nearest whole number to this times a factor; 0 where that is below 0.
    fn times(self, factor: f64) -> i64 {
        let product = self.0 * factor;
        let rest = self.0.mul_add(factor, -product) + self.1 * factor;
        if !product.is_finite() || product.abs() >= MOST as f64 {
            return if product > 0.0 { MOST } else { 0 };
        }
        let whole = product.trunc();
        (truncated(whole) + truncated((product - whole + rest).round())).clamp(0, MOST)
    }
}

/// The duals of the last solution, refined.
pub fn duals(formulation: &mut Formulation) -> Vec<Doubled> {
    let simplex = &mut formulation.simplex;
    let first = simplex.multipliers();
    let mut y: Vec<Doubled> = first.into_iter().map(|y| Doubled(y, 0.0)).collect();
    for _ in 0..2 {
        let programme = simplex.programme();
        let n = programme.columns.len();
        let residual = |variable: usize| {
            if variable >= n {
                return y[variable - n].value();
            }
            let mut sum = Doubled(programme.cost[variable], 0.0);
            for &(row, value) in &programme.columns[variable] {
                let Doubled(high, low) = y[index(row)];
                sum = sum.plus_product(-high, value).plus(-low * value);
            }
            sum.value()
        };
        let residuals: Vec<f64> = simplex.head().iter().map(|&variable| residual(index(variable))).collect();
        let correction = simplex.solve_transposed(residuals);
        y.iter_mut().zip(correction).for_each(|(y, by)| *y = y.plus(by));
    }
    y
}

/// The dual ray that shows that there is no solution.
pub fn ray(formulation: &mut Formulation) -> Vec<Doubled> {
    formulation.simplex.ray().into_iter().map(|y| Doubled(y, 0.0)).collect()
}

/// Whole multipliers, α times the duals `y`. For a `ray` α is 0.
///
/// If an earlier level has value 0, its multiplier costs the bound nothing (it is multiplied by that value), so it is [`MOST`].
pub fn whole(
    instance: &Instance,
    formulation: &Formulation,
    y: &[Doubled],
    (aim, reached): (Aim, &[(Aim, i64)]),
    ray: bool,
) -> Multipliers {
    let rows = &formulation.rows;
    // Units of the level (lots, ten-millionths, millilitres) in a unit of the objective.
    let up = |row: u32| y[index(row)];
    let down = |row: u32| y[index(row)].negative();
    // Where the programme asks for a better value, the dual of that limit is the cost of a lot. If it is 0, nothing else is possible.
    let asked = rows.of_lots(aim).filter(|_| formulation.asks_for_better).map(|row| down(row).value());
    let shows_none = asked.map_or(ray, |lot| lot < 1e-9);
    let unit = match aim {
        _ if shows_none && asked.is_some() => 1.0,
        Aim::WeightedDeferred | Aim::Deferred(_) => 1.0 / asked.unwrap_or(formulation.lot),
        Aim::Money => PARTS,
        Aim::Fluid => LITRE,
    };
    // On a level that counts lots the objective holds money that counts against the budget: its cost of 1 goes to the budget's dual.
    let tied = aim.counts_lots() && !ray && instance.question.limits.budget.is_some();
    let budget = down(rows.budget).plus(f64::from(u8::from(tied)));
    let largest = largest(instance, formulation, y, (aim, unit, budget), shows_none);
    // A ray can have any length: it is scaled until its largest number is just below 2^57.
    let places = (57.0 - largest.log2().ceil()).min(if shows_none { 1000.0 } else { 56.0 });
    let power = if shows_none { places.exp2() } else { places.max(0.0).exp2() };
    let by = |per: f64| power * unit / per;
    let mut weights = Weights::default();
    for (weight, &row) in weights.deferred.iter_mut().zip(&rows.waiting) {
        *weight = down(row).times(by(1.0));
    }
    weights.weighted_deferred = rows.weighted_waiting.map_or(0, |row| down(row).times(by(1.0)));
    weights.budget = budget.times(by(PARTS));
    weights.money = down(rows.money).times(by(PARTS));
    weights.fluid = rows.fluid.map_or(0, |row| down(row).times(by(LITRE)));
    weights = weights.of_aims(aim, reached);
    for &(earlier, _) in reached.iter().filter(|(earlier, value)| *earlier != aim && *value == 0) {
        if earlier.counts_lots() {
            *weights.of_mut(earlier) = MOST;
        }
    }
    *weights.of_mut(aim) = if shows_none { 0 } else { truncated(power) };
    // A count is an equation, so its multiplier may be negative.
    let of_cut = |(at, &row): (usize, &u32)| {
        if at < formulation.counts() { down(row).signed_times(by(1.0)) } else { up(row).times(by(1.0)) }
    };
    let kinds = instance.offers.iter().zip(&rows.kind);
    let mut multipliers = Multipliers {
        weights,
        pieces: rows.pieces.map(|&row| up(row).times(by(1.0))),
        goods: rows.goods.map(|row| row.map_or(0, |row| up(row).times(by(PARTS)))),
        owned: rows.owned.iter().map(|&row| up(row).times(by(LITRE))).collect(),
        per_supplier: rows.suppliers.map_or(0, |row| down(row).times(by(1.0))),
        cuts: rows.cuts.iter().enumerate().map(of_cut).collect(),
        kinds: rows.kinds.map_or(0, |row| down(row).times(by(1.0))),
        per_kind: kinds.map(|(offer, row)| row.map_or(0, |row| up(row).times(by(1.0) * offer.most.0 as f64))).collect(),
    };
    fit(instance, &mut multipliers);
    multipliers
}

/// The larger of the largest dual and the largest cost of a lot at the duals, in units of the level. Scaled, both must stay below
/// [`MOST`], the multiplier of priorities of which no lot may be deferred.
fn largest(
    instance: &Instance,
    formulation: &Formulation,
    y: &[Doubled],
    (aim, unit, budget): (Aim, f64, Doubled),
    ray: bool,
) -> f64 {
    let rows = &formulation.rows;
    let up = |row: u32| y[index(row)];
    let down = |row: u32| y[index(row)].negative();
    let mut parts: Vec<f64> = vec![if ray { 0.0 } else { 1.0 }];
    rows.pieces.iter().for_each(|&row| parts.push(up(row).value() * unit));
    parts.push(budget.value() * unit / PARTS);
    parts.extend(rows.waiting.iter().map(|&row| down(row).value() * unit));
    parts.extend(rows.weighted_waiting.iter().map(|&row| down(row).value() * unit));
    parts.extend(rows.kinds.iter().map(|&row| down(row).value() * unit));
    parts.extend(rows.suppliers.iter().map(|&row| down(row).value() * unit));
    let offers = instance.offers.iter().zip(&rows.kind);
    parts.extend(offers.filter_map(|(offer, row)| row.map(|row| up(row).value() * offer.most.0 as f64 * unit)));
    parts.extend(rows.goods.iter().flatten().map(|&row| up(row).value() * unit / PARTS));
    parts.extend(rows.owned.iter().map(|&row| up(row).value() * unit / LITRE));
    parts.extend(rows.cuts.iter().map(|&row| up(row).value().abs() * unit));
    parts.push(down(rows.money).value() * unit / PARTS);
    let of_fluid = rows.fluid.map_or(0.0, |row| down(row).value().max(0.0) * unit / LITRE);
    parts.push(of_fluid);
    let (money, fluid, pieces) = instance.most_of_a_lot;
    let own = |of: bool| if of && !ray { 1.0 } else { 0.0 };
    let dearest = rows.pieces.iter().map(|&row| up(row).value() * unit).fold(0.0, f64::max);
    let owned: f64 = rows.owned.iter().map(|&row| up(row).value() * unit / LITRE).sum();
    let of_money = own(aim == Aim::Money) + (budget.value() + down(rows.money).value()).max(0.0) * unit / PARTS;
    parts.push(4.0 * (of_money * money + (own(aim == Aim::Fluid) + of_fluid + owned) * fluid + dearest * pieces));
    parts.into_iter().filter(|part| part.is_finite()).fold(1e-300, f64::max)
}

/// Limits the multiplier of each owned fluid: 1000 λ(u) ≤ W · price of a litre.
fn fit(instance: &Instance, multipliers: &mut Multipliers) {
    let money = i128::from(multipliers.weights.money) + i128::from(multipliers.weights.budget);
    for (fluid, weight) in instance.question.owned.iter().zip(&mut multipliers.owned) {
        let most = money * i128::from(fluid.price.parts()) / 1000;
        *weight = saturated(i128::from(*weight).min(most));
    }
}
