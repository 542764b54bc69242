//! Evaluates the bound of a node at given multipliers, in whole numbers.
//!
//! The formula, its notation and why it holds stand in [`crate::decision::certificate`]. Here it closes nodes in the search; the
//! audit computes it again with code of its own.

mod lots;
mod orders;

use super::formulation::{Formulation, Variable};
use super::instance::Instance;
use crate::decision::certificate::{CutForm, MOST, Numbers, Weights};
use crate::decision::{Aim, OfferIndex, SupplierIndex, SupplyIndex};
use crate::settings::CountLimits;
use crate::units::{IndexTable, Millilitres, Money, index};

/// The multipliers of a leaf, by position in the question ([`Numbers`] has them by identifier).
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Multipliers {
    /// α, d, m, f, b.
    pub weights: Weights,
    /// π, by supply.
    pub pieces: IndexTable<SupplyIndex, i64>,
    /// g, by supplier.
    pub goods: IndexTable<SupplierIndex, i64>,
    /// λ, by owned fluid.
    pub owned: Vec<i64>,
    /// σ.
    pub per_supplier: i64,
    /// θ.
    pub kinds: i64,
    /// θ(o), by offer.
    pub per_kind: IndexTable<OfferIndex, i64>,
    /// w, by cut that existed when the multipliers were made; those of counts may be negative.
    pub cuts: Vec<i64>,
}

impl Multipliers {
    /// 1 for one level and [`MOST`] for each earlier one that counts deferred lots and has none; 0 for all else.
    pub fn alone(instance: &Instance, aim: Aim, reached: &[(Aim, i64)]) -> Self {
        let mut weights = Weights::alone(aim);
        for &(earlier, _) in reached.iter().filter(|(earlier, value)| *earlier != aim && *value == 0) {
            if earlier.counts_lots() {
                *weights.of_mut(earlier) = MOST;
            }
        }
        Multipliers { weights, ..Self::none(instance) }
    }

    /// 0 for everything.
    pub fn none(instance: &Instance) -> Self {
        let question = instance.question;
        Multipliers {
            weights: Weights::default(),
            pieces: question.supplies.filled(0),
            goods: question.suppliers.filled(0),
            owned: vec![0; question.owned.len()],
            per_supplier: 0,
            kinds: 0,
            per_kind: instance.offers.filled(0),
            cuts: Vec::new(),
        }
    }

    /// The same in the form of a certificate.
    pub fn numbers(&self, instance: &Instance) -> Numbers {
        let question = instance.question;
        let some = |number: &i64| *number != 0;
        let prices = question.supplies.iter().zip(&self.pieces).filter(|(_, price)| some(price));
        let goods = question.suppliers.iter().zip(&self.goods).filter(|(_, goods)| some(goods));
        let owned = question.owned.iter().zip(&self.owned).filter(|(_, weight)| some(weight));
        let kinds = instance.offers.iter().zip(&self.per_kind).filter(|(_, price)| some(price));
        let mut numbers = Numbers {
            weights: self.weights,
            prices: prices.map(|(supply, &price)| (supply.vessel, price)).collect(),
            goods: goods.map(|(terms, &goods)| (terms.supplier, goods)).collect(),
            owned: owned.map(|(fluid, &weight)| (fluid.fluid, weight)).collect(),
            per_supplier: self.per_supplier,
            kinds: self.kinds,
            per_kind: kinds.map(|(offer, &price)| (index(offer.terms.offer), price)).collect(),
            cuts: self.cuts.iter().copied().enumerate().filter(|(_, weight)| *weight != 0).collect(),
        };
        numbers.prices.sort_unstable();
        numbers.goods.sort_unstable();
        numbers.owned.sort_unstable();
        numbers.per_kind.sort_unstable();
        numbers
    }
}

/// Least and most of every column in a node.
pub type NodeLimits = [(i64, i64)];

/// Lower bound of a level over the plans of a node. Variants are in rising order of strength.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bound {
    /// The multipliers give no bound.
    Unknown,
    /// This value.
    AtLeast(i128),
    /// There is no plan in the node.
    NoPlan,
}

/// The bound of a node on a level. Only if it is below `value` without them are the covering costs computed.
pub fn of_node(
    instance: &Instance,
    formulation: &Formulation,
    limits: &NodeLimits,
    multipliers: &Multipliers,
    (aim, reached): (Aim, &[(Aim, i64)]),
    value: i64,
) -> Bound {
    let mut node = NodeBounds {
        instance,
        formulation,
        limits,
        multipliers,
        weights: multipliers.weights.of_aims(aim, reached),
        aim,
        covering: false,
        placed_by_cuts: vec![0; if multipliers.cuts.iter().any(|weight| *weight != 0) { limits.len() } else { 0 }],
        ordered_by_cuts: instance.question.suppliers.filled(0),
        bought_by_cuts: instance.question.supplies.filled(0),
        cut_constant: 0,
        nearly: InFloatingPoint::default(),
    };
    node.weigh_cuts();
    node.nearly = node.in_floating_point();
    let Some(lots) = node.lots() else { return Bound::NoPlan };
    let bound = node.bound(lots, reached);
    let asks = instance.question.suppliers.iter().any(|terms| terms.minimum > Money::ZERO || terms.free_over.is_some());
    if bound >= Bound::AtLeast(value.into()) || !asks {
        return bound;
    }
    node.covering = true;
    node.bound(lots, reached)
}

fn ceiling(of: i128, by: i128) -> i128 {
    of.div_euclid(by) + i128::from(of.rem_euclid(by) > 0)
}

struct NodeBounds<'a> {
    instance: &'a Instance<'a>,
    formulation: &'a Formulation,
    limits: &'a NodeLimits,
    multipliers: &'a Multipliers,
    weights: Weights,
    aim: Aim,
    /// Whether covering costs are computed.
    covering: bool,
    /// By column, what cuts add to its cost; empty if no cut has a multiplier.
    placed_by_cuts: Vec<i128>,
    /// By supplier, what cuts take off the cost of `Paying` and `Free`; by supply, off the cost of its kind.
    ordered_by_cuts: IndexTable<SupplierIndex, i128>,
    bought_by_cuts: IndexTable<SupplyIndex, i128>,
    /// What cuts add to N.
    cut_constant: i128,
    nearly: InFloatingPoint,
}

/// What choices are compared by before they are counted exactly.
#[derive(Default)]
struct InFloatingPoint {
    /// Weight of money, of the money that litres weigh, and of fluid.
    money: f64,
    weighed: f64,
    fluid: f64,
    /// Pieces bought for a piece used.
    spare: f64,
    /// By column, what cuts add to its cost; empty if no cut has a multiplier.
    by_cuts: Vec<f64>,
}

impl NodeBounds<'_> {
    fn weigh_cuts(&mut self) {
        let cuts = self.formulation.cuts.iter().zip(&self.multipliers.cuts).enumerate();
        for (at, (cut, &weight)) in cuts.filter(|(_, (_, weight))| **weight != 0) {
            let Some(coefficients) = cut.coefficients(self.instance) else { continue };
            let weight = i128::from(weight);
            self.cut_constant += weight * i128::from(coefficients.constant);
            if cut.form == CutForm::Count {
                let (least, most) = self.limits[self.formulation.counted + at];
                self.cut_constant -= weight * i128::from(if weight > 0 { most } else { least });
            }
            let offers = self.instance.offers_in(cut.supply).positions();
            for (offer, &packs) in offers.zip(&coefficients.packs) {
                self.placed_by_cuts[self.formulation.packs_of(offer)] -= weight * i128::from(packs);
            }
            for &(class, choice) in &cut.lots {
                let pieces = i128::from(self.instance.choices(class)[choice].pieces.0) * i128::from(coefficients.each);
                self.placed_by_cuts[self.formulation.column_of(class, choice)] += weight * pieces;
            }
            let indicator = weight * i128::from(coefficients.indicator);
            match cut.supplier {
                Some(supplier) => self.ordered_by_cuts[supplier] += indicator,
                None => self.bought_by_cuts[cut.supply] += indicator,
            }
        }
    }

    fn in_floating_point(&self) -> InFloatingPoint {
        // Most are 0, and numbers of 128 bits are slow to convert.
        let convert = |&cost: &i128| if cost == 0 { 0.0 } else { cost as f64 };
        InFloatingPoint {
            money: self.money() as f64,
            weighed: self.weights.money as f64,
            fluid: self.weights.fluid as f64,
            spare: self.spare() as f64 / 1e4,
            by_cuts: self.placed_by_cuts.iter().map(convert).collect(),
        }
    }

    /// What cuts add to the cost of a column.
    fn by_cuts(&self, column: usize) -> i128 {
        self.placed_by_cuts.get(column).copied().unwrap_or(0)
    }

    /// ⌈N / α⌉, given the part of the lots.
    fn bound(&self, lots: i128, reached: &[(Aim, i64)]) -> Bound {
        let sum = match self.total(lots, reached) {
            Ok(sum) => sum,
            Err(bound) => return bound,
        };
        match i128::from(self.weights.of(self.aim)) {
            0 if sum > 0 => Bound::NoPlan,
            0 => Bound::Unknown,
            own if self.aim == Aim::Money => {
                let unit = i128::from(self.instance.money_unit.parts());
                Bound::AtLeast(ceiling(ceiling(sum, own), unit) * unit)
            }
            own => Bound::AtLeast(ceiling(sum, own)),
        }
    }

    /// N, given the part of the lots; `Err` if no plan fits or the multipliers give no bound.
    fn total(&self, lots: i128, reached: &[(Aim, i64)]) -> Result<i128, Bound> {
        let mut sum: i128 = self.cut_constant + lots;
        sum += self.orders().ok_or(Bound::NoPlan)?;
        let question = self.instance.question;
        let spare = self.spare();
        for (supply, &price) in question.supplies.iter().zip(&self.multipliers.pieces) {
            sum -= ceiling(i128::from(price) * spare * i128::from(supply.free.0), 10_000);
        }
        match question.limits.budget {
            Some(budget) => sum -= i128::from(self.weights.budget) * i128::from(budget.parts()),
            None if self.weights.budget > 0 => return Err(Bound::Unknown),
            None => {}
        }
        for (fluid, &weight) in question.owned.iter().zip(&self.multipliers.owned) {
            sum -= i128::from(weight) * i128::from(fluid.amount.0);
        }
        let CountLimits { max_vessel_types, max_suppliers } = question.limits.count_limits();
        match max_suppliers {
            Some(most) => sum -= i128::from(self.multipliers.per_supplier) * i128::from(most),
            None if self.multipliers.per_supplier > 0 => return Err(Bound::Unknown),
            None => {}
        }
        match max_vessel_types {
            Some(most) => sum -= i128::from(self.multipliers.kinds) * i128::from(most),
            None if self.multipliers.kinds > 0 => return Err(Bound::Unknown),
            None => {}
        }
        for &(earlier, value) in reached.iter().filter(|(earlier, _)| *earlier != self.aim) {
            sum -= i128::from(self.weights.of(earlier)) * i128::from(value);
        }
        Ok(sum)
    }

    fn spare(&self) -> i128 {
        10_000 + i128::from(self.instance.question.limits.spare_per_10_000)
    }

    /// W.
    fn money(&self) -> i128 {
        i128::from(self.weights.money) + i128::from(self.weights.budget)
    }

    /// Money and fluid at the multipliers of levels and budget.
    fn weigh(&self, money: Money, fluid: Millilitres) -> i128 {
        let litre = self.instance.question.limits.litre_weight;
        self.money() * i128::from(money.parts())
            + i128::from(self.weights.money) * i128::from(litre.per_litre(fluid).parts())
            + i128::from(self.weights.fluid) * i128::from(fluid.0)
    }

    fn owned(&self, need: impl Iterator<Item = Millilitres>) -> i128 {
        need.zip(&self.multipliers.owned).map(|(need, weight)| i128::from(need.0) * i128::from(*weight)).sum()
    }
}

/// Whether a column is an integer variable that the search may branch on. Branching on packs decides t(v) too.
pub fn is_whole(variable: Variable) -> bool {
    !matches!(variable, Variable::Kind(_) | Variable::Bought(_))
}
