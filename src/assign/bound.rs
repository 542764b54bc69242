//! The bound that multipliers give a part of the decision, in whole numbers.
//!
//! The formula, its notation and why it holds stand in [`crate::decision::certificate`]. What is computed here closes leaves in
//! the search; the audit computes it again with code of its own.

use super::covering::{self, Item};
use super::formulation::{Formulation, Variable, counts};
use super::instance::{Instance, Run};
use crate::decision::certificate::{CutForm, MOST, Numbers, SupplierState, Weights};
use crate::decision::{Aim, Choice, ChoiceIndex, ClassIndex, OfferIndex, OfferTerms, SupplierIndex, SupplyIndex};
use crate::units::{IndexTable, Millilitres, Money, index, number_of};

/// Multipliers by the question's own positions.
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
    /// Weights of the cuts there were when the numbers were made; those of counts may be below 0.
    pub cuts: Vec<i64>,
}

impl Multipliers {
    /// Nothing but one level weighs, and what may not wait.
    pub fn alone(instance: &Instance, aim: Aim, reached: &[(Aim, i64)]) -> Self {
        let mut weights = Weights::alone(aim);
        for &(earlier, _) in reached.iter().filter(|(earlier, value)| *earlier < aim && *value == 0) {
            if matches!(earlier, Aim::Deferred(_)) {
                *weights.of_mut(earlier) = MOST;
            }
        }
        Multipliers { weights, ..Self::none(instance) }
    }

    /// Nothing weighs.
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

    /// As a certificate names them.
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

/// What the plans of a node come to at least.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bound {
    /// The multipliers say nothing.
    Unknown,
    /// So much.
    AtLeast(i128),
    /// There is no plan in the node.
    NoPlan,
}

/// The bound of a node on a level; where it falls short of a value, orders that must reach an amount are counted in whole packs.
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
        weights: multipliers.weights.up_to(aim),
        aim,
        covering: false,
        placed_by_cuts: vec![0; if multipliers.cuts.iter().any(|weight| *weight != 0) { limits.len() } else { 0 }],
        ordered_by_cuts: instance.question.suppliers.filled(0),
        bought_by_cuts: instance.question.supplies.filled(0),
        cut_constant: 0,
    };
    node.weigh_cuts();
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
    /// Whether orders that must reach an amount are counted exactly.
    covering: bool,
    /// By column, what cuts add to it; empty where there are none.
    placed_by_cuts: Vec<i128>,
    /// By supplier, what they take off ordering from it; by supply, off buying any of an offer.
    ordered_by_cuts: IndexTable<SupplierIndex, i128>,
    bought_by_cuts: IndexTable<SupplyIndex, i128>,
    /// What they add to the whole.
    cut_constant: i128,
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

    /// What cuts add to a column.
    fn by_cuts(&self, column: usize) -> i128 {
        self.placed_by_cuts.get(column).copied().unwrap_or(0)
    }

    /// ⌈N / α⌉, with the lots at their cheapest.
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

    /// The lots of all classes at their cheapest; `None` where the limits leave some no place.
    fn lots(&self) -> Option<i128> {
        let mut cost = Vec::new();
        self.instance.question.classes.positions().map(|class| self.class(class, &mut cost)).sum()
    }

    /// N, with the lots at their cheapest.
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
        match question.limits.max_suppliers {
            Some(most) => sum -= i128::from(self.multipliers.per_supplier) * i128::from(most),
            None if self.multipliers.per_supplier > 0 => return Err(Bound::Unknown),
            None => {}
        }
        match question.limits.max_vessel_types {
            Some(most) => sum -= i128::from(self.multipliers.kinds) * i128::from(most),
            None if self.multipliers.kinds > 0 => return Err(Bound::Unknown),
            None => {}
        }
        for &(earlier, value) in reached.iter().filter(|(earlier, _)| *earlier < self.aim) {
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

    /// Amounts of money and fluid at the weights.
    fn weigh(&self, money: Money, fluid: Millilitres) -> i128 {
        let litre = self.instance.question.limits.litre_weight;
        self.money() * i128::from(money.parts())
            + i128::from(self.weights.money) * i128::from(litre.per_litre(fluid).parts())
            + i128::from(self.weights.fluid) * i128::from(fluid.0)
    }

    fn owned(&self, need: impl Iterator<Item = Millilitres>) -> i128 {
        need.zip(&self.multipliers.owned).map(|(need, weight)| i128::from(need.0) * i128::from(*weight)).sum()
    }

    /// What one lot of a class costs in a choice, beyond its constants.
    fn choice(&self, class: ClassIndex, number: ChoiceIndex, choice: &Choice) -> i128 {
        let pieces = choice.supply.map_or(0, |supply| {
            let price = i128::from(self.multipliers.pieces[supply]);
            let with_spares = price * self.spare() * i128::from(choice.pieces.0);
            // Nearly always within 64 bits, which divide many times as fast.
            i64::try_from(with_spares)
                .map_or_else(|_| with_spares.div_euclid(10_000), |small| small.div_euclid(10_000).into())
        });
        let owned = self.instance.question.owned.iter().map(|fluid| fluid.choice_need(class, number));
        let cuts = self.by_cuts(self.formulation.column_of(class, number));
        self.weigh(choice.money, choice.fluid) + self.owned(owned) + pieces + cuts
    }

    fn constant(&self, run: &Run) -> i128 {
        let labour = i128::from(self.weights.budget) * i128::from(self.instance.question.limits.labour_per_row.parts());
        self.weigh(run.money, run.fluid) + self.owned(run.owned.iter().copied()) + labour
    }

    /// The lots of a class at their cheapest; `None` where the limits leave them no place.
    fn class(&self, class: ClassIndex, cost: &mut Vec<i128>) -> Option<i128> {
        let of = &self.instance.question.classes[class];
        let deferred = i128::from(self.weights.of(Aim::Deferred(of.priority)));
        let (placed, waiting) = (self.formulation.placed[class], self.formulation.waiting[class]);
        let runs = &self.instance.runs[class];
        let columns = of.choices.len() + runs.len();
        let root = &self.formulation.root[placed..placed + columns];
        let limits = &self.limits[placed..placed + columns];
        debug_assert_eq!(placed + of.choices.len(), waiting);
        cost.clear();
        cost.extend(of.choices.enumerated().map(|(number, choice)| self.choice(class, number, choice)));
        let restricted = limits.iter().zip(root).any(|(own, root)| (own.0 as f64, own.1 as f64) != *root);
        // Lots of later priorities wait in the programme; here nothing keeps them from it.
        if !restricted || !counts(self.instance, class, self.aim) {
            let cheapest = cost.iter().copied().min().unwrap_or(i128::MAX / 4);
            let each = |run: &Run| (self.constant(run) + cheapest).min(deferred) * i128::from(number_of(run.len));
            return Some(runs.iter().map(each).sum());
        }
        let mut sum = 0;
        for run in runs {
            let constant = self.constant(run);
            sum += constant * i128::from(number_of(run.len));
            cost.push(deferred - constant);
        }
        // Nothing but its weight keeps a lot from waiting, unless the search has counted those that wait.
        let limit = |(column, &limit): (usize, &(i64, i64))| match column.checked_sub(of.choices.len()) {
            Some(run) if (limit.0 as f64, limit.1 as f64) == root[column] => (0, number_of(runs[run].len)),
            _ => limit,
        };
        let mut left = number_of(of.members.len());
        let mut room: Vec<(i128, i64)> = Vec::new();
        for (cost, (least, most)) in cost.iter().zip(limits.iter().enumerate().map(limit)) {
            if least > most {
                return None;
            }
            sum += cost * i128::from(least);
            left -= least;
            if most > least {
                room.push((*cost, most - least));
            }
        }
        if left < 0 {
            return None;
        }
        room.sort_unstable();
        for (cost, most) in room {
            let taken = most.min(left);
            sum += cost * i128::from(taken);
            left -= taken;
        }
        (left == 0).then_some(sum)
    }

    /// Offers and suppliers at their cheapest.
    fn orders(&self) -> Option<i128> {
        let first = self.formulation.packs;
        let packs = &self.limits[first..first + self.instance.offers.len()];
        let kinds = self.kinds(packs)?;
        let states = self.states()?;
        let mut sum = self.cost_of_kinds(&kinds);
        let mut ordered = self.instance.question.suppliers.map(|_| OffersOfSupplier::default());
        for ((at, offer), &(least, most)) in self.instance.offers.enumerated().zip(packs) {
            let goods = offer.terms.supplier.map_or(0, |supplier| i128::from(self.multipliers.goods[supplier]));
            let price = i128::from(offer.terms.pack_price.parts());
            let each = (self.money() - goods) * price
                - i128::from(self.multipliers.pieces[offer.supply]) * i128::from(offer.terms.pack_size.0)
                + self.by_cuts(self.formulation.packs_of(at));
            let most = if kinds[offer.supply] == KindLimits::Closed { 0 } else { most.min(offer.most.0) };
            let any = i128::from(self.multipliers.per_kind[at]);
            let cheapest = cheapest_packs(offer.terms, (least, most), each, any);
            let Some(supplier) = offer.terms.supplier else {
                sum += cheapest?;
                continue;
            };
            let of = &mut ordered[supplier];
            of.offers = of.offers.zip(cheapest).map(|(cost, more)| cost + more);
            of.must |= least > 0;
            if self.covering {
                let item = Item {
                    size: 0,
                    cost: each + goods * price,
                    fixed: any,
                    may_be_none: least <= 0,
                    fewest: least.max(offer.terms.min_packs.0).max(1),
                    most,
                };
                of.items.push((offer.terms.pack_price, item));
            }
        }
        for ((supplier, ordered), state) in ordered.enumerated_mut().zip(states) {
            sum += self.cost_of_supplier(supplier, ordered, state)?;
        }
        Some(sum)
    }

    /// Kinds at their cheapest.
    fn cost_of_kinds(&self, kinds: &IndexTable<SupplyIndex, KindLimits>) -> i128 {
        let of_kind = |(supply, kind): (SupplyIndex, &KindLimits)| {
            let offers = self.instance.offers_in(supply);
            let shares: i128 = self.multipliers.per_kind[offers].iter().map(|share| i128::from(*share)).sum();
            let cost = i128::from(self.multipliers.kinds) - shares - self.bought_by_cuts[supply];
            match kind {
                KindLimits::Asked => cost,
                KindLimits::Open if !offers.is_empty() => cost.min(0),
                _ => 0,
            }
        };
        kinds.enumerated().map(of_kind).sum()
    }

    /// A supplier with its offers, in the state that is decided or in the cheapest; `None` where there is none.
    fn cost_of_supplier(
        &self,
        supplier: SupplierIndex,
        ordered: &mut OffersOfSupplier,
        state: Option<SupplierState>,
    ) -> Option<i128> {
        let (minimum, threshold) = self.instance.goods_asked(supplier);
        let goods = i128::from(self.multipliers.goods[supplier]);
        let per_supplier = i128::from(self.multipliers.per_supplier) - self.ordered_by_cuts[supplier];
        let charge = self.money() * i128::from(self.instance.question.suppliers[supplier].charge.parts());
        let (offers, must, items) = (ordered.offers, ordered.must, &mut ordered.items);
        // `None` where it cannot be, or is no less than another state is known to cost.
        let mut reaching = |asked: Money, beside: i128, less_than: Option<i128>| {
            let mut cost = offers? + goods * i128::from(asked.parts());
            if less_than.is_some_and(|least| cost + beside >= least) {
                return None;
            }
            if self.covering && asked > Money::ZERO {
                let step = self.instance.goods_step(supplier, asked);
                items.iter_mut().for_each(|(price, item)| item.size = price.in_steps_of(step));
                let items: Vec<&Item> = items.iter().map(|(_, item)| item).collect();
                cost = cost.max(covering::least_cost(&items, asked.in_steps_of(step))?);
            }
            Some(cost + beside)
        };
        // What a state costs, where that is less than another.
        let mut cost = |state: SupplierState, less_than: Option<i128>| match state {
            SupplierState::Closed => (!must).then_some(0),
            SupplierState::Paying => reaching(minimum, per_supplier + charge, less_than),
            SupplierState::Free => reaching(threshold?, per_supplier, less_than),
        };
        if let Some(state) = state {
            return cost(state, None);
        }
        let mut least = cost(SupplierState::Closed, None);
        for state in [SupplierState::Paying, SupplierState::Free] {
            let cost = cost(state, least);
            least = least.into_iter().chain(cost).min();
        }
        least
    }

    /// Suppliers that are decided; with as many ordered from as may be, the others are closed.
    fn states(&self) -> Option<Vec<Option<SupplierState>>> {
        let mut states: Vec<Option<SupplierState>> =
            self.formulation.suppliers.iter().map(|columns| decided(columns, self.limits)).collect();
        let ordered = states.iter().flatten().filter(|state| **state != SupplierState::Closed).count();
        let most = self.instance.question.limits.most_suppliers();
        if ordered == most {
            states.iter_mut().filter(|state| state.is_none()).for_each(|state| *state = Some(SupplierState::Closed));
        }
        (ordered <= most).then_some(states)
    }

    /// By supply, what the limits leave of its kind: with as many asked for as there may be, no other is bought.
    fn kinds(&self, packs: &NodeLimits) -> Option<IndexTable<SupplyIndex, KindLimits>> {
        let most = self.instance.question.limits.most_kinds();
        let asked = |supply| packs[self.instance.offers_in(supply).indices()].iter().any(|(least, _)| *least > 0);
        let asked: Vec<bool> = self.instance.question.supplies.positions().map(asked).collect();
        let n = asked.iter().filter(|asked| **asked).count();
        let kind = |asked: bool| match asked {
            true => KindLimits::Asked,
            false if n < most => KindLimits::Open,
            false => KindLimits::Closed,
        };
        (n <= most).then(|| asked.into_iter().map(kind).collect())
    }
}

/// What is known of a supplier's offers in a node.
struct OffersOfSupplier {
    /// The offers at their cheapest; `None` where the limits leave none of their numbers of packs.
    offers: Option<i128>,
    /// Whether the limits ask for packs.
    must: bool,
    /// Price of a pack, and what it is to the covering cost.
    items: Vec<(Money, Item)>,
}

impl Default for OffersOfSupplier {
    fn default() -> Self {
        OffersOfSupplier { offers: Some(0), must: false, items: Vec::new() }
    }
}

/// What limits leave of a kind of vessel.
#[derive(Clone, Copy, PartialEq, Eq)]
enum KindLimits {
    /// Packs must be bought.
    Asked,
    Open,
    Closed,
}

/// What is decided about a supplier.
pub fn decided(columns: &[Option<usize>; 2], limits: &NodeLimits) -> Option<SupplierState> {
    let [paying, free] = columns.map(|column| column.map(|column| limits[column]));
    match (paying, free) {
        (Some((1, 1)), _) => Some(SupplierState::Paying),
        (_, Some((1, 1))) => Some(SupplierState::Free),
        (Some((0, 0)), None | Some((0, 0))) => Some(SupplierState::Closed),
        _ => None,
    }
}

/// The packs of one offer that cost least at so much each and so much for any; `None` where none are allowed.
fn cheapest_packs(offer: &OfferTerms, (least, most): (i64, i64), each: i128, any: i128) -> Option<i128> {
    let fewest = least.max(offer.min_packs.0).max(1);
    let none = (least <= 0).then_some(0);
    if most < fewest {
        return none;
    }
    let some = each * i128::from(if each >= 0 { fewest } else { most }) + any;
    Some(none.map_or(some, |none| none.min(some)))
}

/// Whether a column stands for whole numbers that the search may branch on.
pub fn is_whole(variable: Variable) -> bool {
    !matches!(variable, Variable::Kind(_) | Variable::Bought(_))
}
