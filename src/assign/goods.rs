//! Cuts of orders that must reach an amount of goods.
//!
//! Problem: with divisible packs an order reaches a supplier's minimum or threshold exactly, with a fraction of a pack. With whole
//! packs it mostly exceeds it.
//!
//! Notation: p(o) the price of a pack and A the goods that a state of the supplier requires, both in whole steps, rounded up; y(o)
//! packs; P and F the states. d a divisor, r the remainder of A by d, from 1 to d. φ(a) = r ⌊a / d⌋ + min(a mod d, r).
//!
//! Method: mixed-integer rounding of Σ p y ≥ A (see [`super::cuts`]): Σ φ(p(o)) y(o) ≥ φ(A of Paying) P + φ(A of Free) F.
//!
//! Why it holds: φ is nondecreasing and φ(a + b) ≤ φ(a) + φ(b), so Σ φ(p) y ≥ φ(Σ p y) ≥ φ(A) for the state that is taken.
//!
//! These cuts are not in the certificate. They change the multipliers of pieces; at these, the covering cost of a leaf, which takes
//! whole packs, is at least the bound that the cuts give.

use super::cuts::MOST_A_ROUND;
use super::formulation::Formulation;
use super::instance::Instance;
use crate::decision::{OfferIndex, SupplierIndex};
use crate::units::Money;

/// A cut of one supplier with d and r.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GoodsCut {
    supplier: SupplierIndex,
    divisor: i64,
    remainder: i64,
}

impl GoodsCut {
    /// φ.
    fn rounded(&self, amount: i64) -> f64 {
        (self.remainder * (amount / self.divisor) + (amount % self.divisor).min(self.remainder)) as f64
    }

    /// Columns with their coefficients, all on the left-hand side; the right-hand side is 0.
    fn entries(&self, instance: &Instance, formulation: &Formulation) -> Vec<(usize, f64)> {
        let steps = Steps::of(instance, self.supplier);
        let offers = instance.offers_of(self.supplier);
        let mut entries: Vec<(usize, f64)> =
            offers.map(|offer| (formulation.packs_of(offer), self.rounded(steps.price(instance, offer)))).collect();
        for (column, asked) in formulation.suppliers[self.supplier].iter().zip(steps.asked) {
            entries.extend(column.map(|column| (column, -self.rounded(asked))));
        }
        entries.retain(|(_, a)| *a != 0.0);
        entries
    }
}

/// Goods of one supplier in steps.
struct Steps {
    step: Money,
    /// Steps that `Paying` and `Free` require.
    asked: [i64; 2],
}

impl Steps {
    fn of(instance: &Instance, supplier: SupplierIndex) -> Self {
        let (minimum, threshold) = instance.goods_asked(supplier);
        let step = instance.goods_step(supplier, threshold.unwrap_or(minimum));
        let up = |money: Money| money.in_steps_of(step);
        Steps { step, asked: [up(minimum), up(threshold.unwrap_or(minimum))] }
    }

    fn price(&self, instance: &Instance, offer: OfferIndex) -> i64 {
        instance.offers[offer].terms.pack_price.in_steps_of(self.step)
    }
}

/// The cuts that the last solution violates most.
pub fn broken(instance: &Instance, formulation: &Formulation) -> Vec<GoodsCut> {
    let values = formulation.simplex.values();
    let mut cuts: Vec<(f64, GoodsCut)> = Vec::new();
    for (supplier, columns) in formulation.suppliers.enumerated() {
        let is_ordered = columns.iter().flatten().any(|&column| values[column] > 1e-6);
        if formulation.rows.goods[supplier].is_none() || !is_ordered {
            continue;
        }
        let steps = Steps::of(instance, supplier);
        let whole = |value: f64| (value - value.round()).abs() <= 1e-6;
        let fractional = instance.offers_of(supplier).filter(|offer| !whole(values[formulation.packs_of(*offer)]));
        let mut divisors: Vec<i64> = fractional.map(|offer| steps.price(instance, offer)).collect();
        divisors.extend(steps.asked);
        divisors.retain(|divisor| *divisor > 0);
        divisors.sort_unstable();
        divisors.dedup();
        for divisor in divisors {
            for asked in steps.asked.into_iter().filter(|asked| *asked > 0) {
                let cut = GoodsCut { supplier, divisor, remainder: (asked - 1) % divisor + 1 };
                let entries = cut.entries(instance, formulation);
                let left: f64 = entries.iter().map(|&(column, a)| a * values[column]).sum();
                let scale = entries.iter().fold(1.0, |most: f64, (_, a)| most.max(a.abs()));
                if -left / scale > 1e-3 && !formulation.goods_cuts.contains(&cut) {
                    cuts.push((-left / scale, cut));
                }
            }
        }
    }
    cuts.sort_by(|a, b| b.0.total_cmp(&a.0));
    cuts.into_iter().take(MOST_A_ROUND / 4).map(|(_, cut)| cut).collect()
}

impl Formulation {
    /// Adds a cut of goods to the programme.
    pub fn add_goods_cut(&mut self, instance: &Instance, cut: GoodsCut) {
        let entries = cut.entries(instance, self);
        // Scaled so that the largest coefficient is at most 1.
        let scale = entries.iter().fold(1.0, |most: f64, (_, a)| most.max(a.abs()));
        let entries: Vec<(usize, f64)> = entries.into_iter().map(|(column, a)| (column, a / scale)).collect();
        self.simplex.add_row((0.0, f64::INFINITY), &entries);
        self.goods_cuts.push(cut);
    }
}
