//! Makes the columns and rows of the programme, one kind of variable after the other.

use super::{Rows, Variable, in_units, litres};
use crate::assign::counts;
use crate::assign::cuts::VesselCut;
use crate::assign::instance::{Instance, Run};
use crate::assign::linear::Programme;
use crate::decision::certificate::SupplierState;
use crate::decision::{Aim, ClassIndex, Goal, OfferTerms, SupplierIndex, SupplyIndex};
use crate::settings::CountLimits;
use crate::units::{IndexTable, Millilitres, Money, Packs, Position, number_of};

/// What one unit of a column adds: money, weighed money and labour in units of currency, fluid in litres.
#[derive(Clone, Copy, Default)]
pub(super) struct Amounts {
    pub money: f64,
    pub weighed: f64,
    pub litres: f64,
    pub labour: f64,
}

/// A programme in the making.
pub(super) struct Builder<'a> {
    pub instance: &'a Instance<'a>,
    pub programme: Programme,
    pub rows: Rows,
    pub variables: Vec<Variable>,
    /// By class, the column of its first choice.
    pub placed: IndexTable<ClassIndex, usize>,
}

/// The rows that are made before any column.
pub(super) fn rows(instance: &Instance, goal: &Goal, programme: &mut Programme) -> Rows {
    let question = instance.question;
    let CountLimits { max_vessel_types, max_suppliers } = question.limits.count_limits();
    let spare = spare(instance);
    let free = f64::NEG_INFINITY;
    // The rows of classes come first.
    question.classes.iter().for_each(|class| {
        programme.row(class.members.len() as f64, class.members.len() as f64);
    });
    Rows {
        pieces: question.supplies.map(|supply| programme.row(-spare * supply.free.0 as f64, f64::INFINITY)),
        goods: question
            .suppliers
            .positions()
            .map(|supplier| {
                let (minimum, threshold) = instance.goods_asked(supplier);
                (minimum > Money::ZERO || threshold.is_some()).then(|| programme.row(0.0, f64::INFINITY))
            })
            .collect(),
        kind: instance.offers.filled(None),
        kinds: max_vessel_types.map(|most| programme.row(free, f64::from(most))),
        suppliers: max_suppliers.map(|most| programme.row(free, f64::from(most))),
        owned: question.owned.iter().map(|_| programme.row(free, f64::INFINITY)).collect(),
        budget: programme.row(free, f64::INFINITY),
        waiting: [(); 4].map(|()| programme.row(free, f64::INFINITY)),
        weighted_waiting: question.limits.priority_weights.map(|_| programme.row(free, f64::INFINITY)),
        money: programme.row(free, f64::INFINITY),
        fluid: goal.at_most.iter().any(|(aim, _)| *aim == Aim::Fluid).then(|| programme.row(free, f64::INFINITY)),
        cuts: Vec::new(),
    }
}

/// Pieces to be bought for each piece used from purchase: 1 + spare.
pub(super) fn spare(instance: &Instance) -> f64 {
    1.0 + instance.question.limits.spare_per_10_000 as f64 / 10_000.0
}

/// The constants of a lot of a run, with its labour.
pub(super) fn own_amounts(instance: &Instance, run: &Run) -> Amounts {
    let limits = &instance.question.limits;
    Amounts {
        money: in_units(run.money),
        weighed: in_units(run.money + limits.litre_weight.per_litre(run.fluid)),
        litres: litres(run.fluid),
        labour: in_units(limits.labour_per_row),
    }
}

/// What one unit of a column adds. A deferred lot takes its constants off [`Formulation::constant`](super::Formulation::constant).
pub(super) fn amounts(instance: &Instance, variable: Variable) -> Amounts {
    let question = instance.question;
    let limits = &question.limits;
    let of_money = |money: Money| Amounts { money: in_units(money), weighed: in_units(money), ..Amounts::default() };
    match variable {
        Variable::Placed(class, choice) => {
            let choice = &instance.choices(class)[choice];
            Amounts {
                money: in_units(choice.money),
                weighed: in_units(choice.money + limits.litre_weight.per_litre(choice.fluid)),
                litres: litres(choice.fluid),
                labour: 0.0,
            }
        }
        Variable::Waiting(class, run) => {
            let Amounts { money, weighed, litres, labour } = own_amounts(instance, &instance.runs[class][run]);
            Amounts { money: -money, weighed: -weighed, litres: -litres, labour: -labour }
        }
        Variable::Packs(offer) => of_money(instance.offers[offer].terms.pack_price),
        Variable::Supplier(supplier, SupplierState::Paying) => of_money(question.suppliers[supplier].charge),
        Variable::Supplier(..) | Variable::Kind(_) | Variable::Count(_) => Amounts::default(),
        Variable::Bought(fluid) => of_money(question.owned[fluid].price),
    }
}

impl Builder<'_> {
    /// Adds a column. Its amounts are entered into the rows of budget, money and fluid here.
    fn column(&mut self, variable: Variable, bounds: (f64, f64), mut entries: Vec<(u32, f64)>) -> usize {
        let Amounts { money, weighed, labour, litres } = amounts(self.instance, variable);
        let fluid = self.rows.fluid.map(|row| (row, litres));
        for (row, entry) in [(self.rows.budget, money + labour), (self.rows.money, weighed)].into_iter().chain(fluid) {
            if entry != 0.0 {
                entries.push((row, entry));
            }
        }
        self.variables.push(variable);
        self.programme.variable(0.0, bounds, entries)
    }

    /// Columns of all classes. Returns the first column of the choices and of the runs of each class.
    pub fn lots(&mut self) -> (IndexTable<ClassIndex, usize>, IndexTable<ClassIndex, usize>) {
        let question = self.instance.question;
        let spare = spare(self.instance);
        let (mut placed, mut waiting) = (IndexTable::new(), IndexTable::new());
        for (at, class) in question.classes.enumerated() {
            let n = class.members.len() as f64;
            placed.push(self.programme.columns.len());
            for (number, choice) in class.choices.enumerated() {
                // The rows of classes come first.
                let mut entries = vec![(at.number(), 1.0)];
                if let Some(supply) = choice.supply {
                    entries.push((self.rows.pieces[supply], -spare * choice.pieces.0 as f64));
                }
                for (fluid, &row) in question.owned.iter().zip(&self.rows.owned) {
                    let need = fluid.choice_need(at, number);
                    if need != Millilitres::ZERO {
                        entries.push((row, -litres(need)));
                    }
                }
                self.column(Variable::Placed(at, number), (0.0, n), entries);
            }
            waiting.push(self.programme.columns.len());
            for (number, run) in self.instance.runs[at].iter().enumerate() {
                let mut entries = vec![(at.number(), 1.0), (self.rows.waiting[usize::from(class.priority) - 1], 1.0)];
                let weight = question.limits.priority_weight(class.priority) as f64;
                entries.extend(self.rows.weighted_waiting.map(|row| (row, weight)));
                for (need, &row) in run.owned.iter().zip(&self.rows.owned) {
                    if *need != Millilitres::ZERO {
                        entries.push((row, litres(*need)));
                    }
                }
                self.column(Variable::Waiting(at, number), (0.0, run.len as f64), entries);
            }
        }
        (placed, waiting)
    }

    /// Columns of all offers.
    pub fn packs(&mut self) {
        for (at, offer) in self.instance.offers.enumerated() {
            let mut entries = vec![(self.rows.pieces[offer.supply], offer.terms.pack_size.0 as f64)];
            let goods = offer.terms.supplier.and_then(|supplier| self.rows.goods[supplier]);
            if let Some(row) = goods
                && offer.terms.pack_price > Money::ZERO
            {
                entries.push((row, in_units(offer.terms.pack_price)));
            }
            let most = offer.most.0 as f64;
            self.column(Variable::Packs(at), (0.0, most), entries);
        }
    }

    /// Columns of the states of suppliers, and the rows y(o) ≤ Y(o) (P(k) + F(k)).
    pub fn suppliers(&mut self) -> IndexTable<SupplierIndex, [Option<usize>; 2]> {
        let question = self.instance.question;
        let packs = self.programme.columns.len() - self.instance.offers.len();
        let mut columns = IndexTable::with_capacity(question.suppliers.len());
        for (supplier, terms) in question.suppliers.enumerated() {
            let (minimum, threshold) = self.instance.goods_asked(supplier);
            let counted =
                terms.charge > Money::ZERO || minimum > Money::ZERO || question.limits.max_suppliers.is_some();
            if !counted {
                columns.push([None, None]);
                continue;
            }
            let one = self.programme.row(f64::NEG_INFINITY, 1.0);
            let links: Vec<(u32, f64)> = self
                .instance
                .offers_of(supplier)
                .collect::<Vec<_>>()
                .into_iter()
                .map(|offer| {
                    let row = self.programme.row(0.0, f64::INFINITY);
                    self.programme.columns[packs + offer.index()].push((row, -1.0));
                    (row, self.instance.offers[offer].most.0 as f64)
                })
                .collect();
            let states = [Some((SupplierState::Paying, minimum)), threshold.map(|at| (SupplierState::Free, at))];
            columns.push(states.map(|state| {
                let (state, asked) = state?;
                let mut entries = vec![(one, 1.0)];
                entries.extend(links.iter().copied());
                if let Some(row) = self.rows.goods[supplier].filter(|_| asked > Money::ZERO) {
                    entries.push((row, -in_units(asked)));
                }
                entries.extend(self.rows.suppliers.map(|row| (row, 1.0)));
                Some(self.column(Variable::Supplier(supplier, state), (0.0, 1.0), entries))
            }));
        }
        columns
    }

    /// Columns of kinds that are limited or that cuts use, and the rows y(o) ≤ Y(o) t(v).
    pub fn kinds(&mut self) -> IndexTable<SupplyIndex, Option<usize>> {
        let mut columns = self.instance.question.supplies.filled(None);
        // Cuts of spare pieces and of smallest orders use kinds too.
        let question = self.instance.question;
        let of_cuts = |supply: SupplyIndex| {
            let least = |offer: &OfferTerms| offer.min_packs > Packs(1);
            question.limits.spare_per_10_000 > 0 || question.supplies[supply].offers.iter().all(least)
        };
        let packs = self.variables.iter().position(|variable| matches!(variable, Variable::Packs(_))).unwrap_or(0);
        for (supply, column) in columns.enumerated_mut() {
            let limit = self.rows.kinds.filter(|_| question.supplies[supply].counts_as_kind);
            if limit.is_none() && !of_cuts(supply) {
                continue;
            }
            let mut entries: Vec<(u32, f64)> = limit.map(|row| (row, 1.0)).into_iter().collect();
            let of_all = entries.len();
            for offer in self.instance.offers_in(supply).positions() {
                let row = self.programme.row(0.0, f64::INFINITY);
                self.programme.columns[packs + offer.index()].push((row, -1.0));
                self.rows.kind[offer] = Some(row);
                entries.push((row, self.instance.offers[offer].most.0 as f64));
            }
            if entries.len() > of_all {
                *column = Some(self.column(Variable::Kind(supply), (0.0, 1.0), entries));
            }
        }
        columns
    }

    /// Columns of owned fluid.
    pub fn owned(&mut self) {
        for (at, fluid) in self.instance.question.owned.iter().enumerate() {
            // Every lot in the choice that needs most: an upper bound that no plan exceeds.
            let most: i64 = self
                .instance
                .question
                .classes
                .enumerated()
                .map(|(class, of)| {
                    let most =
                        of.choices.positions().map(|choice| fluid.choice_need(class, choice).0).max().unwrap_or(0);
                    self.instance.runs[class]
                        .iter()
                        .map(|run| (most + run.owned[at].0).max(0) * number_of(run.len))
                        .sum::<i64>()
                })
                .sum();
            let entries = vec![(self.rows.owned[at], 1.0)];
            self.column(Variable::Bought(at), (0.0, litres(Millilitres(most))), entries);
        }
    }

    /// A column z and its defining row for each counted set of lots.
    pub fn counts(&mut self) -> Vec<VesselCut> {
        let sets = counts::sets(self.instance);
        for (at, set) in sets.iter().enumerate() {
            let row = self.programme.row(0.0, 0.0);
            for &(class, choice) in &set.lots {
                let pieces = self.instance.choices(class)[choice].pieces.0 as f64;
                self.programme.columns[self.placed[class] + choice.index()].push((row, pieces));
            }
            self.column(Variable::Count(at), (0.0, set.pieces(self.instance) as f64), vec![(row, -1.0)]);
            self.rows.cuts.push(row);
        }
        sets
    }
}
