//! The integer model of one level for a solver library. Its symbols differ in part from those at the head of `assign`.
//!
//! Integer variables: x(c, o) rows of class c in choice o; z(c, g) placed rows of run g of class c (members with equal constants);
//! y(s, f) packs of offer f of supply s. Binary: w(k) supplier k is ordered from; e(k) its delivery is free; t(s) kind s is bought;
//! a(s, f) an offer with `min_packs` > 1 is used. Continuous: u(c) deferred rows, which are whole if x is; b(f) litres of owned
//! fluid f bought beyond the stock.
//!
//! * Σ_o x(c, o) + u(c) = n(c); and Σ_o x(c, o) = Σ_g z(c, g) if rows of c may be deferred
//! * Σ_f size·y(s, f) ≥ (1 + spare) (Σ pieces·x − free(s)); min·a ≤ y ≤ max·a
//! * y ≤ Y·w, goods(k) ≥ minimum·w, goods(k) ≥ threshold·e, e ≤ w; delivery = charge·(w − e)
//! * Σ x(c, ·) ≤ n(c)·w(k), over choices in vessels that only k sells and of which no piece is free; likewise with t(s): makes the
//!   relaxation tight (Krarup & Pruzan 1983, European Journal of Operational Research 12:36–81, the strong form of facility
//!   location; cited from memory)
//! * need(f) − b(f) ≤ owned(f), with need(f) linear in x and z
//! * Σ t ≤ `max_vessel_types`, Σ w ≤ `max_suppliers`, money + labour ≤ budget, each earlier level ≤ its value
//!
//! Money is in units of currency, fluid in litres. Every amount of money is a multiple of one unit, so limits are relaxed by half a unit.

mod answer;

use itertools::Itertools;

use super::evaluate::{self, money_unit};
use crate::decision::{Aim, ChoiceIndex, Class, ClassIndex, Question, SupplierIndex, Supply, SupplyIndex};
use crate::settings::CountLimits;
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, number_of};

/// The bounds of a variable.
#[derive(Clone, Copy, Debug)]
pub struct ModelVariable {
    /// Least value.
    pub least: f64,
    /// Largest value.
    pub most: f64,
    /// Whether it is an integer variable.
    pub whole: bool,
}

/// Σ coefficient × variable ≤ most, or = most if `equal`.
#[derive(Clone, Debug)]
pub struct Constraint {
    /// Variable and coefficient.
    pub terms: Vec<(usize, f64)>,
    /// Right-hand side.
    pub most: f64,
    /// Whether it is an equation.
    pub equal: bool,
}

/// One level as an integer model, to be minimised.
#[derive(Debug)]
pub struct Model<'a> {
    question: &'a Question,
    /// The variables.
    pub variables: Vec<ModelVariable>,
    /// The constraints.
    pub rows: Vec<Constraint>,
    /// The objective to minimise: variable and coefficient.
    pub objective: Vec<(usize, f64)>,
    constant: f64,
    unit: i64,
    scale: f64,
    x: IndexTable<ClassIndex, IndexTable<ChoiceIndex, usize>>,
    u: IndexTable<ClassIndex, Option<usize>>,
    z: IndexTable<ClassIndex, Vec<EqualMembers>>,
    y: IndexTable<SupplyIndex, Vec<usize>>,
    a: IndexTable<SupplyIndex, Vec<Option<usize>>>,
    t: IndexTable<SupplyIndex, Option<usize>>,
    w: IndexTable<SupplierIndex, Option<usize>>,
    e: IndexTable<SupplierIndex, Option<usize>>,
    b: Vec<usize>,
}

/// Members of a class whose constants are equal.
#[derive(Clone, Copy, Debug)]
struct EqualMembers {
    variable: usize,
    start: usize,
    len: usize,
}

impl<'a> Model<'a> {
    /// The model of one level with earlier levels limited to `held`; `None` if it has no variable.
    pub fn new(question: &'a Question, aim: Aim, held: &[(Aim, i64)]) -> Option<Self> {
        let mut model = Model {
            question,
            variables: Vec::new(),
            rows: Vec::new(),
            objective: Vec::new(),
            constant: 0.0,
            unit: 1,
            scale: 1.0,
            x: IndexTable::new(),
            u: IndexTable::new(),
            z: IndexTable::new(),
            y: IndexTable::new(),
            a: IndexTable::new(),
            t: IndexTable::new(),
            w: IndexTable::new(),
            e: IndexTable::new(),
            b: Vec::new(),
        };
        model.place_rows(held);
        model.buy_packs();
        model.keep_terms();
        model.use_owned_fluid();
        model.keep_limits(held);
        model.aim_at(aim);
        (!model.variables.is_empty()).then_some(model)
    }

    /// The least step of the objective: in lots, ten-millionths or millilitres.
    pub fn unit(&self) -> i64 {
        self.unit
    }

    fn variable(&mut self, least: f64, most: f64, whole: bool) -> usize {
        self.variables.push(ModelVariable { least, most, whole });
        self.variables.len() - 1
    }

    fn row(&mut self, terms: Vec<(usize, f64)>, most: f64) {
        self.rows.push(Constraint { terms, most, equal: false });
    }

    fn place_rows(&mut self, held: &[(Aim, i64)]) {
        let all_placed = |class: &Class| {
            held.contains(&(Aim::Deferred(class.priority), 0)) || held.contains(&(Aim::WeightedDeferred, 0))
        };
        for (index, class) in self.question.classes.enumerated() {
            let n = class.members.len() as f64;
            let x: IndexTable<ChoiceIndex, usize> = class.choices.map(|_| self.variable(0.0, n, true));
            let u = (!all_placed(class)).then(|| self.variable(0.0, n, false));
            let terms = x.iter().chain(&u).map(|&variable| (variable, 1.0)).collect();
            self.rows.push(Constraint { terms, most: n, equal: true });
            let mut groups = Vec::new();
            if u.is_some() {
                let mut start = 0;
                for len in equal_constants(self.question, index) {
                    let variable = self.variable(0.0, len as f64, true);
                    groups.push(EqualMembers { variable, start, len });
                    start += len;
                }
                let placed = x.iter().map(|&variable| (variable, 1.0));
                let by_group = groups.iter().map(|group| (group.variable, -1.0));
                self.rows.push(Constraint { terms: placed.chain(by_group).collect(), most: 0.0, equal: true });
            }
            self.x.push(x);
            self.u.push(u);
            self.z.push(groups);
        }
    }

    /// Packs and the constraint that pieces used are free or bought.
    fn buy_packs(&mut self) {
        let spare = 1.0 + self.question.limits.spare_per_10_000 as f64 / 10_000.0;
        let mut users: IndexTable<SupplyIndex, Vec<(usize, f64)>> = self.question.supplies.filled(Vec::new());
        let mut demand = self.question.supplies.filled(Pieces::ZERO);
        for (class, x) in self.question.classes.iter().zip(&self.x) {
            for (choice, &variable) in class.choices.iter().zip(x) {
                if let Some(supply) = choice.supply {
                    users[supply].push((variable, choice.pieces.0 as f64));
                    demand[supply] += choice.pieces * number_of(class.members.len());
                }
            }
        }
        for (index, supply) in self.question.supplies.enumerated() {
            let needed = evaluate::pieces_to_buy(self.question, demand[index], supply.free);
            let mut packs = Vec::new();
            let mut used_offers = Vec::new();
            let mut terms: Vec<(usize, f64)> = users[index].iter().map(|&(x, pieces)| (x, spare * pieces)).collect();
            for offer in &supply.offers {
                let most = evaluate::most_useful_packs(self.question, offer, needed).0 as f64;
                let y = self.variable(0.0, most, true);
                terms.push((y, -(offer.pack_size.0 as f64)));
                packs.push(y);
                used_offers.push((offer.min_packs > Packs(1)).then(|| {
                    let a = self.variable(0.0, 1.0, true);
                    self.row(vec![(y, 1.0), (a, -most)], 0.0);
                    self.row(vec![(y, -1.0), (a, offer.min_packs.0 as f64)], 0.0);
                    a
                }));
            }
            self.row(terms, spare * supply.free.0 as f64);
            self.y.push(packs);
            self.a.push(used_offers);
        }
    }

    /// The terms of suppliers, and the limits on kinds and suppliers.
    fn keep_terms(&mut self) {
        let question = self.question;
        let CountLimits { max_vessel_types, max_suppliers } = question.limits.count_limits();
        for (index, terms) in question.suppliers.enumerated() {
            let goods = self.goods(index);
            let matters = terms.charge > Money::ZERO || terms.minimum > Money::ZERO || max_suppliers.is_some();
            let w = matters.then(|| self.variable(0.0, 1.0, true));
            let free = terms.free_over.filter(|_| terms.charge > Money::ZERO);
            let e = free.map(|_| self.variable(0.0, 1.0, true));
            if let Some(w) = w {
                for (y, _) in goods.clone() {
                    self.row(vec![(y, 1.0), (w, -self.variables[y].most)], 0.0);
                }
                if terms.minimum > Money::ZERO {
                    self.at_least(&goods, w, terms.minimum);
                }
                self.tie_rows_to(w, |supply| {
                    supply.free == Pieces::ZERO && supply.offers.iter().all(|offer| offer.supplier == Some(index))
                });
            }
            if let (Some(w), Some(e), Some(threshold)) = (w, e, free) {
                self.row(vec![(e, 1.0), (w, -1.0)], 0.0);
                self.at_least(&goods, e, threshold);
            }
            self.w.push(w);
            self.e.push(e);
        }
        if let Some(most) = max_suppliers {
            let opened = self.w.iter().flatten().map(|&w| (w, 1.0)).collect();
            self.row(opened, f64::from(most));
        }
        self.t = question.supplies.filled(None);
        if let Some(most) = max_vessel_types {
            for index in question.supplies.positions().filter(|&supply| question.supplies[supply].counts_as_kind) {
                let t = self.variable(0.0, 1.0, true);
                for y in self.y[index].clone() {
                    self.row(vec![(y, 1.0), (t, -self.variables[y].most)], 0.0);
                }
                self.t[index] = Some(t);
                let vessel = question.supplies[index].vessel;
                self.tie_rows_to(t, |supply| supply.free == Pieces::ZERO && supply.vessel == vessel);
            }
            let bought = self.t.iter().flatten().map(|&t| (t, 1.0)).collect();
            self.row(bought, f64::from(most));
        }
    }

    /// The constraint that the need of an owned fluid beyond the stock is bought.
    fn use_owned_fluid(&mut self) {
        for fluid in &self.question.owned {
            let litres = |amount: Millilitres| amount.0 as f64 / 1000.0;
            let b = self.variable(0.0, f64::INFINITY, false);
            let mut terms: Vec<(usize, f64)> = Vec::new();
            let mut constant = 0.0;
            for (class, x) in self.x.enumerated() {
                terms.extend(x.enumerated().map(|(choice, &x)| (x, litres(fluid.choice_need(class, choice)))));
                if self.u[class].is_some() {
                    let group = |group: &EqualMembers| (group.variable, litres(fluid.member_need(class, group.start)));
                    terms.extend(self.z[class].iter().map(group));
                } else {
                    let members = 0..self.question.classes[class].members.len();
                    constant += members.map(|member| litres(fluid.member_need(class, member))).sum::<f64>();
                }
            }
            terms.retain(|(_, need)| *need != 0.0);
            terms.push((b, -1.0));
            self.row(terms, litres(fluid.amount) - constant);
            self.b.push(b);
        }
    }

    /// The goods of one supplier: packs with their prices.
    fn goods(&self, supplier: SupplierIndex) -> Vec<(usize, f64)> {
        let offers = self.question.supplies.iter().zip(&self.y).flat_map(|(supply, y)| supply.offers.iter().zip(y));
        offers
            .filter(|(offer, _)| offer.supplier == Some(supplier))
            .map(|(offer, &y)| (y, offer.pack_price.approximate()))
            .collect()
    }

    /// Goods ≥ amount · switch, for a binary variable `switch`.
    fn at_least(&mut self, goods: &[(usize, f64)], switch: usize, amount: Money) {
        let goods = goods.iter().map(|&(y, price)| (y, -price));
        // Goods are multiples of the unit, so the amount may be rounded up to one.
        let unit = money_unit(self.question).parts();
        let amount = Money::from_parts((amount.parts() + unit - 1).div_euclid(unit) * unit);
        self.row(goods.chain([(switch, amount.approximate())]).collect(), self.slack());
    }

    /// Class by class, rows are placed in supplies for which `tied` is true only if the binary variable `switch` is 1.
    fn tie_rows_to(&mut self, switch: usize, tied: impl Fn(&Supply) -> bool) {
        let question = self.question;
        for (class, x) in question.classes.iter().zip(self.x.clone()) {
            let supplied = |index: Option<SupplyIndex>| index.is_some_and(|index| tied(&question.supplies[index]));
            let only = class.choices.iter().zip(&x).filter(|(choice, _)| supplied(choice.supply));
            let mut terms: Vec<(usize, f64)> = only.map(|(_, &x)| (x, 1.0)).collect();
            if !terms.is_empty() {
                terms.push((switch, -(class.members.len() as f64)));
                self.row(terms, 0.0);
            }
        }
    }

    fn keep_limits(&mut self, held: &[(Aim, i64)]) {
        let question = self.question;
        if let Some(budget) = question.limits.budget {
            let (mut terms, constant) = self.money(Money::ZERO);
            let labour = question.limits.labour_per_row.approximate();
            let mut placed = 0.0;
            for (class, u) in question.classes.iter().zip(&self.u) {
                placed += class.members.len() as f64;
                terms.extend(u.map(|u| (u, -labour)));
            }
            // Money is a multiple of the unit, so the budget may be rounded down to one.
            let unit = money_unit(question).parts();
            let budget = Money::from_parts(budget.parts().div_euclid(unit) * unit);
            self.row(terms, budget.approximate() - constant - labour * placed + self.slack());
        }
        for &(aim, value) in held {
            match aim {
                Aim::WeightedDeferred if value > 0 => {
                    let deferred = self.weighted_deferred();
                    self.row(deferred, value as f64);
                }
                Aim::Deferred(priority) if value > 0 => {
                    let deferred = self.deferred(priority);
                    self.row(deferred, value as f64);
                }
                Aim::WeightedDeferred | Aim::Deferred(_) => {}
                Aim::Money => {
                    let (terms, constant) = self.money(question.limits.litre_weight);
                    self.row(terms, Money::from_parts(value).approximate() - constant + self.slack());
                }
                Aim::Fluid => {
                    let (terms, constant) = self.fluid();
                    self.row(terms, value as f64 / 1000.0 - constant + 0.0005);
                }
            }
        }
    }

    /// Half the unit of money: limits are relaxed by this, so that rounding does not exclude a sum that just meets one.
    fn slack(&self) -> f64 {
        money_unit(self.question).approximate() / 2.0
    }

    fn deferred(&self, priority: u8) -> Vec<(usize, f64)> {
        let classes = self.question.classes.iter().zip(&self.u);
        classes.filter(|(class, _)| class.priority == priority).filter_map(|(_, u)| u.map(|u| (u, 1.0))).collect()
    }

    fn weighted_deferred(&self) -> Vec<(usize, f64)> {
        let classes = self.question.classes.iter().zip(&self.u);
        let weight = |class: &Class| self.question.limits.priority_weight(class.priority) as f64;
        classes.filter_map(|(class, u)| u.map(|u| (u, weight(class)))).collect()
    }

    /// Money as terms and a constant, plus `litre_weight` for each litre.
    fn money(&self, litre_weight: Money) -> (Vec<(usize, f64)>, f64) {
        let weighed = |money: Money, fluid: Millilitres| (money + litre_weight.per_litre(fluid)).approximate();
        let (mut terms, constant) = self.rows_cost(weighed);
        for (supply, packs) in self.question.supplies.iter().zip(&self.y) {
            terms.extend(supply.offers.iter().zip(packs).map(|(offer, &y)| (y, offer.pack_price.approximate())));
        }
        let bought = self.question.owned.iter().zip(&self.b);
        terms.extend(bought.map(|(fluid, &b)| (b, fluid.price.approximate())));
        for ((terms_of, w), e) in self.question.suppliers.iter().zip(&self.w).zip(&self.e) {
            terms.extend(w.map(|w| (w, terms_of.charge.approximate())));
            terms.extend(e.map(|e| (e, -terms_of.charge.approximate())));
        }
        (terms, constant)
    }

    /// Litres as terms and a constant.
    fn fluid(&self) -> (Vec<(usize, f64)>, f64) {
        self.rows_cost(|_, fluid| fluid.0 as f64 / 1000.0)
    }

    /// Choices and members at a given cost, as terms and a constant; members that cannot be deferred go into the constant.
    fn rows_cost(&self, cost: impl Fn(Money, Millilitres) -> f64) -> (Vec<(usize, f64)>, f64) {
        let mut terms = Vec::new();
        let mut constant = 0.0;
        for (index, class) in self.question.classes.enumerated() {
            let of_choices = class.choices.iter().zip(&self.x[index]);
            terms.extend(of_choices.map(|(choice, &x)| (x, cost(choice.money, choice.fluid))));
            if self.u[index].is_some() {
                terms.extend(self.z[index].iter().map(|group| {
                    let member = class.members[group.start];
                    (group.variable, cost(member.money, member.fluid))
                }));
            } else {
                constant += class.members.iter().map(|member| cost(member.money, member.fluid)).sum::<f64>();
            }
        }
        terms.retain(|(_, coefficient)| *coefficient != 0.0);
        (terms, constant)
    }

    fn aim_at(&mut self, aim: Aim) {
        let (terms, constant) = match aim {
            Aim::WeightedDeferred => (self.weighted_deferred(), 0.0),
            Aim::Deferred(priority) => (self.deferred(priority), 0.0),
            Aim::Money => self.money(self.question.limits.litre_weight),
            Aim::Fluid => self.fluid(),
        };
        (self.objective, self.constant) = (terms, constant);
        (self.unit, self.scale) = match aim {
            Aim::WeightedDeferred | Aim::Deferred(_) => (1, 1.0),
            Aim::Money => (money_unit(self.question).parts(), Money::PER_UNIT as f64),
            Aim::Fluid => (1, 1000.0),
        };
    }
}

/// Lengths of the runs of a class: neighbouring members with equal constants.
fn equal_constants(question: &Question, class: ClassIndex) -> Vec<usize> {
    let constants = question.classes[class].members.iter().enumerate().map(|(member, constants)| {
        let needs: Vec<Millilitres> = question.owned.iter().map(|fluid| fluid.member_need(class, member)).collect();
        (constants.money, constants.fluid, needs)
    });
    constants.chunk_by(|constant| constant.clone()).into_iter().map(|(_, run)| run.count()).collect()
}
