//! The integer model of one level.
//!
//! Whole variables: x(c, o) rows of class c that take choice o; z(c, g) rows placed of the members of class c whose
//! constants are equal; y(s, f) packs of offer f of supply s; binaries w(k) supplier k is ordered from, e(k) its delivery is
//! free, t(s) kind s is bought, a(s, f) an offer with least packs is used. Real: u(c) rows deferred, whole with x; b(f)
//! litres of an owned fluid bought beyond it.
//!
//! * Σ_o x(c, o) + u(c) = n(c), and = Σ_g z(c, g) where some may be deferred and constants differ
//! * Σ_f size·y(s, f) ≥ (1 + spare) (Σ pieces·x − free(s)); min·a ≤ y ≤ max·a
//! * y ≤ Y·w, goods(k) ≥ minimum·w, goods(k) ≥ threshold·e, e ≤ w; delivery = charge·(w − e)
//! * Σ x(c, ·) over choices that only k sells, none free, ≤ n(c)·w(k): makes the relaxation tight (Krarup & Pruzan 1983,
//!   European Journal of Operational Research 12:36–81, the strong form of facility location; cited from memory)
//! * Σ need(f)·x − b(f) ≤ owned(f)
//! * Σ t ≤ kinds, Σ w ≤ suppliers, money + labour ≤ budget, earlier levels ≤ their values
//!
//! Money is in units of currency, litres in litres; every amount is a multiple of one unit, so limits get half a unit.

mod answer;

use itertools::Itertools;

use super::evaluate::{self, money_unit};
use crate::decision::{Aim, ChoiceIndex, Class, ClassIndex, Question, SupplierIndex, Supply, SupplyIndex};
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, number_of};

/// A variable's limits.
#[derive(Clone, Copy, Debug)]
pub struct ModelVariable {
    /// Least value.
    pub least: f64,
    /// Most.
    pub most: f64,
    /// Whole numbers only.
    pub whole: bool,
}

/// Σ coefficient × variable ≤ most, or = most.
#[derive(Clone, Debug)]
pub struct Constraint {
    /// Variable and coefficient.
    pub terms: Vec<(usize, f64)>,
    /// Right-hand side.
    pub most: f64,
    /// Equality.
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
    /// Coefficients of what is minimised.
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
    /// The model of one level with earlier levels held; `None` if it has no variable to decide.
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

    /// The least step of the objective, in parts of what it counts.
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
        let all_placed = |class: &Class| held.contains(&(Aim::Deferred(class.priority), 0));
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

    /// Pieces used are free or bought.
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

    /// Suppliers' terms, and the caps on kinds and suppliers.
    fn keep_terms(&mut self) {
        let question = self.question;
        let limits = question.limits;
        for (index, terms) in question.suppliers.enumerated() {
            let goods = self.goods(index);
            let matters = terms.charge > Money::ZERO || terms.minimum > Money::ZERO || limits.max_suppliers.is_some();
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
        if let Some(most) = limits.max_suppliers {
            let opened = self.w.iter().flatten().map(|&w| (w, 1.0)).collect();
            self.row(opened, f64::from(most));
        }
        self.t = question.supplies.filled(None);
        if let Some(most) = limits.max_vessel_types {
            for index in question.supplies.positions() {
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

    /// Litres of an owned fluid that are needed beyond what there is are bought.
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

    /// Packs of one supplier with their prices.
    fn goods(&self, supplier: SupplierIndex) -> Vec<(usize, f64)> {
        let offers = self.question.supplies.iter().zip(&self.y).flat_map(|(supply, y)| supply.offers.iter().zip(y));
        offers
            .filter(|(offer, _)| offer.supplier == Some(supplier))
            .map(|(offer, &y)| (y, offer.pack_price.approximate()))
            .collect()
    }

    /// Goods ≥ amount where the switch is on.
    fn at_least(&mut self, goods: &[(usize, f64)], switch: usize, amount: Money) {
        let goods = goods.iter().map(|&(y, price)| (y, -price));
        // Goods move in steps: an amount between two of them is the higher one.
        let unit = money_unit(self.question).parts();
        let amount = Money::from_parts((amount.parts() + unit - 1).div_euclid(unit) * unit);
        self.row(goods.chain([(switch, amount.approximate())]).collect(), self.slack());
    }

    /// Rows that only a switched supply serves are placed there only where the switch is on.
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
            // Money moves in steps: a budget between two of them is the lower one.
            let unit = money_unit(question).parts();
            let budget = Money::from_parts(budget.parts().div_euclid(unit) * unit);
            self.row(terms, budget.approximate() - constant - labour * placed + self.slack());
        }
        for &(aim, value) in held {
            match aim {
                Aim::Deferred(priority) if value > 0 => {
                    let deferred = self.deferred(priority);
                    self.row(deferred, value as f64);
                }
                Aim::Deferred(_) => {}
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

    /// Half the step in which money moves: what a limit may give, so that a sum that just keeps it is not lost to rounding.
    fn slack(&self) -> f64 {
        money_unit(self.question).approximate() / 2.0
    }

    fn deferred(&self, priority: u8) -> Vec<(usize, f64)> {
        let classes = self.question.classes.iter().zip(&self.u);
        classes.filter(|(class, _)| class.priority == priority).filter_map(|(_, u)| u.map(|u| (u, 1.0))).collect()
    }

    /// Money as terms and a constant, with a litre weighing so much more.
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

    /// Choices and members at some cost; members that cannot be deferred are the constant.
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
            Aim::Deferred(priority) => (self.deferred(priority), 0.0),
            Aim::Money => self.money(self.question.limits.litre_weight),
            Aim::Fluid => self.fluid(),
        };
        (self.objective, self.constant) = (terms, constant);
        (self.unit, self.scale) = match aim {
            Aim::Deferred(_) => (1, 1.0),
            Aim::Money => (money_unit(self.question).parts(), Money::PER_UNIT as f64),
            Aim::Fluid => (1, 1000.0),
        };
    }
}

/// Lengths of the runs of members with equal constants.
fn equal_constants(question: &Question, class: ClassIndex) -> Vec<usize> {
    let constants = question.classes[class].members.iter().enumerate().map(|(member, constants)| {
        let needs: Vec<Millilitres> = question.owned.iter().map(|fluid| fluid.member_need(class, member)).collect();
        (constants.money, constants.fluid, needs)
    });
    constants.chunk_by(|constant| constant.clone()).into_iter().map(|(_, run)| run.count()).collect()
}
