//! The linear relaxation of one level.
//!
//! # Variables
//!
//! x(c, o) lots of class c in choice o; w(c, r) lots of run r of class c that wait; y(o) packs of offer o; P(k), F(k) supplier k is
//! paid for delivery, or delivers free; t(v) kind v is bought; e(u) litres of owned fluid u bought beyond what there is; z(S, v)
//! pieces of vessel v that the lots of a set S take ([`super::counts`]).
//!
//! # Constraints
//!
//! * each lot somewhere: Σ_o x(c, o) + Σ_r w(c, r) = n(c)
//! * pieces: Σ size · y − (1 + spare) Σ pieces · x ≥ −(1 + spare) · free
//! * an order has a supplier: y(o) ≤ Y(o) (P(k) + F(k)), P + F ≤ 1; goods(k) ≥ minimum · P + threshold · F
//! * kinds and suppliers: y(o) ≤ Y(o) t(v), Σ t ≤ kinds, Σ P + F ≤ suppliers
//! * owned fluid: e(u) ≥ need(u) − owned(u)
//! * counts: z(S, v) = Σ_S pieces · x
//! * budget: money + labour · lots placed ≤ budget; earlier levels ≤ their values
//!
//! Supplier by supplier this is the convex hull of its states with packs divisible (the strong form of facility location:
//! J. Krarup and P. M. Pruzan, "The simple plant location problem", European Journal of Operational Research 12 (1983) 36–81,
//! from memory), so its optimum equals the best bound that the numbers of one leaf can give with divisible packs.
//!
//! Money is in units of currency, fluid in litres: the figures of a programme are then of similar size.

use super::counts;
use super::cuts::Cut;
use super::goods::GoodsCut;
use super::instance::{Instance, Run};
use super::linear::{Programme, Simplex};
use crate::decision::certificate::SupplierState;
use crate::decision::{Aim, Choice, OfferTerms};
use crate::units::{Millilitres, Money};

/// Ten-millionths in a unit of currency.
pub const PARTS: f64 = 1e7;
/// Millilitres in a litre.
pub const LITRE: f64 = 1e3;

/// Which variable a column is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Variable {
    /// x: class and choice.
    Placed(usize, usize),
    /// w: class and run.
    Waiting(usize, usize),
    /// y: offer.
    Packs(usize),
    /// P or F: supplier.
    Supplier(usize, SupplierState),
    /// t: supply.
    Kind(usize),
    /// e: owned fluid.
    Bought(usize),
    /// z: cut, of the form `Count`.
    Count(usize),
}

/// Where the rows of a programme are.
#[derive(Clone, Default)]
pub struct Rows {
    /// By supply.
    pub pieces: Vec<u32>,
    /// By supplier, where goods are asked for.
    pub goods: Vec<Option<u32>>,
    /// By offer, y ≤ Y t.
    pub kind: Vec<Option<u32>>,
    /// Σ t ≤ kinds.
    pub kinds: Option<u32>,
    /// Σ P + F ≤ suppliers.
    pub suppliers: Option<u32>,
    /// By owned fluid.
    pub owned: Vec<u32>,
    /// The budget.
    pub budget: u32,
    /// Lots waiting, by priority.
    pub waiting: [u32; 4],
    /// Weighed money.
    pub money: u32,
    /// By cut.
    pub cuts: Vec<u32>,
}

/// The programme of a question and where everything in it is.
pub struct Formulation {
    /// What it is to the simplex method.
    pub simplex: Simplex,
    /// By column.
    pub variables: Vec<Variable>,
    /// Where rows are.
    pub rows: Rows,
    /// By class, the column of its first choice.
    pub placed: Vec<usize>,
    /// By class, the column of its first run.
    pub waiting: Vec<usize>,
    /// The column of the first offer.
    pub packs: usize,
    /// By supplier, its columns, where it is counted.
    pub suppliers: Vec<[Option<usize>; 2]>,
    /// By supply, the column of its kind, where kinds are counted or cuts speak of it.
    pub kinds: Vec<Option<usize>>,
    /// Bounds of all columns where nothing is decided.
    pub root: Vec<(f64, f64)>,
    /// What lots come to beyond their choices if all are placed: the objective is that of the programme and this.
    pub constant: f64,
    /// What a waiting lot adds to the objective of a level that counts lots; all money together adds less than [`TIE`] of it.
    pub lot: f64,
    /// Where the columns of counts begin, one for each of the first cuts.
    pub counted: usize,
    /// Cuts so far, those of the form `Count` first.
    pub cuts: Vec<Cut>,
    /// Cuts of goods among them.
    pub goods_cuts: Vec<GoodsCut>,
}

/// Share of a lot that money may add to the objective of a level that counts lots.
pub const TIE: f64 = 0.04;

/// What a column adds to money that counts against the budget, to weighed money and to fluid.
#[derive(Clone, Copy, Default)]
struct Amounts {
    money: f64,
    weighed: f64,
    litres: f64,
    labour: f64,
}

impl Formulation {
    /// Writes the programme of a question, without an objective.
    pub fn new(instance: &Instance) -> Self {
        let mut programme = Programme::default();
        let rows = rows(instance, &mut programme);
        let mut builder = Builder { instance, programme, rows, variables: Vec::new(), placed: Vec::new() };
        let (placed, waiting) = builder.lots();
        builder.placed.clone_from(&placed);
        let packs = builder.programme.columns.len();
        builder.packs();
        let suppliers = builder.suppliers();
        let kinds = builder.kinds();
        builder.owned();
        let counted = builder.variables.len();
        let cuts = builder.counts();
        let Builder { mut programme, rows, variables, .. } = builder;
        programme.cost = vec![0.0; programme.columns.len()];
        let root = programme.bounds.clone();
        let simplex = Simplex::new(programme);
        Formulation {
            simplex,
            variables,
            rows,
            placed,
            waiting,
            packs,
            suppliers,
            kinds,
            root,
            constant: 0.0,
            lot: 1.0,
            counted,
            cuts,
            goods_cuts: Vec::new(),
        }
    }

    /// Sets the objective of a level, and holds the earlier ones at what was reached.
    ///
    /// A number of lots is minimised with money beside it, which breaks its many ties and tells splits apart: a lot weighs so
    /// much that `money`, more than any good plan takes, is a small share of it. Without a budget no multiplier could stand for that
    /// money, and there is none. Lots of later priorities are left out.
    pub fn aim_at(&mut self, instance: &Instance, aim: Aim, reached: &[(Aim, i64)], money: Money) {
        self.lot = (in_units(money) / TIE).max(1.0);
        let has_budget = instance.question.limits.budget.is_some();
        let n = self.variables.len();
        let amounts: Vec<Amounts> = (0..n).map(|column| amounts(instance, self.variables[column])).collect();
        for (column, amounts) in amounts.iter().enumerate() {
            let own = match (aim, self.variables[column]) {
                (Aim::Deferred(priority), Variable::Waiting(class, _))
                    if instance.question.classes[class].priority == priority =>
                {
                    self.lot
                }
                (Aim::Deferred(_), _) => 0.0,
                (Aim::Money, _) => amounts.weighed,
                (Aim::Fluid, _) => amounts.litres,
            };
            let tie = match aim {
                Aim::Deferred(_) if has_budget => amounts.money + amounts.labour,
                Aim::Deferred(_) | Aim::Money | Aim::Fluid => 0.0,
            };
            self.simplex.set_cost(column, own + tie);
        }
        self.restrict_to(instance, aim, reached);
        let own = |run: &Run| own_amounts(instance, run);
        let mut all = Amounts::default();
        for runs in &instance.runs {
            for run in runs {
                let amounts = own(run);
                all.money += amounts.money * run.len as f64;
                all.weighed += amounts.weighed * run.len as f64;
                all.litres += amounts.litres * run.len as f64;
                all.labour += amounts.labour * run.len as f64;
            }
        }
        self.constant = match aim {
            Aim::Deferred(_) if has_budget => all.money + all.labour,
            Aim::Deferred(_) => 0.0,
            Aim::Money => all.weighed,
            Aim::Fluid => all.litres,
        };
        // Amounts that just keep a limit are not to be lost to rounding: limits give a little, less than the unit of money.
        let unit = instance.money_unit as f64 / PARTS;
        let give = |limit: f64| limit + (0.4 * unit).min(2e-8 * (1.0 + limit.abs())) + 1e-9 * limit.abs();
        let budget = instance.question.limits.budget.map_or(f64::INFINITY, |budget| give(in_units(budget)));
        self.simplex.set_row(self.rows.budget, (f64::NEG_INFINITY, budget - all.money - all.labour));
        for earlier in Aim::ALL {
            let held = reached.iter().find(|(of, _)| *of == earlier && earlier < aim).map(|(_, value)| *value as f64);
            let (row, most) = match earlier {
                Aim::Deferred(priority) => (self.rows.waiting[usize::from(priority) - 1], held),
                Aim::Money => (self.rows.money, held.map(|held| give(held / PARTS) - all.weighed)),
                Aim::Fluid => continue,
            };
            self.simplex.set_row(row, (f64::NEG_INFINITY, most.unwrap_or(f64::INFINITY)));
        }
        for (at, fluid) in instance.question.owned.iter().enumerate() {
            let constant: f64 = instance
                .runs
                .iter()
                .flat_map(|runs| runs.iter().map(|run| litres(run.owned[at]) * run.len as f64))
                .sum();
            self.simplex.set_row(self.rows.owned[at], (constant - litres(fluid.amount), f64::INFINITY));
        }
    }

    /// Lots of priorities after the level's own wait; those of priorities of which none waited do not.
    fn restrict_to(&mut self, instance: &Instance, aim: Aim, reached: &[(Aim, i64)]) {
        let none_waits = |class: usize| {
            let of = Aim::Deferred(instance.question.classes[class].priority);
            of < aim && reached.contains(&(of, 0))
        };
        for (column, variable) in self.variables.iter().enumerate() {
            let most = match *variable {
                Variable::Placed(class, _) => {
                    let n = instance.question.classes[class].members.len() as f64;
                    (0.0, if counts(instance, class, aim) { n } else { 0.0 })
                }
                Variable::Waiting(class, run) => {
                    let n = instance.runs[class][run].len as f64;
                    match counts(instance, class, aim) {
                        true if none_waits(class) => (0.0, 0.0),
                        true => (0.0, n),
                        false => (n, n),
                    }
                }
                _ => continue,
            };
            self.root[column] = most;
        }
        // A lot that is left out of a level may be anywhere, so what counts it says nothing there.
        let mut counted: Vec<(usize, u32)> = Vec::new();
        for at in 0..self.counts() {
            let (cut, row) = (&self.cuts[at], self.rows.cuts[at]);
            let says = cut.lots.iter().all(|&(class, _)| counts(instance, class, aim));
            let most = if says { cut.pieces(instance) as f64 } else { 0.0 };
            self.root[self.counted + at] = (0.0, most);
            self.simplex.set_row(row, if says { (0.0, 0.0) } else { (f64::NEG_INFINITY, f64::INFINITY) });
            if says {
                counted.push((self.counted + at, row));
            }
        }
        for (column, &bounds) in self.root.iter().enumerate() {
            self.simplex.set_bounds(column, bounds);
        }
        // The cheapest offer of each vessel, and at its price the cheapest choice of each class, are a dual feasible basis.
        let cost = &self.simplex.programme().cost;
        let spare = spare(instance);
        let offered = |supply: usize| {
            let offers = instance.first_offer[supply]..instance.first_offer[supply + 1];
            let each = |offer: usize| (cost[self.packs + offer] / instance.offers[offer].terms.pack_size as f64, offer);
            offers.map(each).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
        };
        let offered: Vec<Option<(f64, usize)>> = (0..self.rows.pieces.len()).map(offered).collect();
        let cheapest = |class: usize| {
            let from = self.placed[class];
            let cost = |number: usize, choice: &Choice| {
                let piece = choice.supply.and_then(|supply| offered[supply as usize]).map_or(0.0, |(each, _)| each);
                cost[from + number] + piece * spare * f64::from(choice.pieces)
            };
            let choices = instance.choices(class).iter().enumerate();
            let costs = choices.map(|(number, choice)| (cost(number, choice), from + number));
            costs.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map_or(from, |(_, column)| column)
        };
        let classes = (0..self.placed.len()).map(|class| (cheapest(class), class as u32));
        let offers = offered.iter().zip(&self.rows.pieces).filter_map(|(offered, &row)| Some(((*offered)?.1, row)));
        let classes = classes.chain(offers.map(|(offer, row)| (self.packs + offer, row)));
        let basic: Vec<(usize, u32)> = classes.chain(counted).collect();
        self.simplex.start_from(&basic);
    }
}

impl Formulation {
    /// Leaves out, until they are needed, the choices of each class that the last solution finds dearest.
    pub fn narrow(&mut self, instance: &Instance) {
        if self.variables.len() < MOST_AWAKE {
            return;
        }
        let mut dear: Vec<usize> = Vec::new();
        for (class, &from) in self.placed.iter().enumerate() {
            let mut columns: Vec<usize> = (from..from + instance.choices(class).len()).collect();
            columns.sort_by(|a, b| self.simplex.reduced(*a).total_cmp(&self.simplex.reduced(*b)).then(a.cmp(b)));
            dear.extend(columns.into_iter().skip(AWAKE));
        }
        self.simplex.put_to_sleep(dear.into_iter());
    }

    /// How many of the cuts are counts.
    pub fn counts(&self) -> usize {
        self.variables.len() - self.counted
    }
}

/// Columns of a programme in which all stay awake, and choices of each class that do in larger ones.
const MOST_AWAKE: usize = 4000;
const AWAKE: usize = 5;

/// Whether a class is weighed on a level: those of later priorities wait.
pub fn counts(instance: &Instance, class: usize, aim: Aim) -> bool {
    match aim {
        Aim::Deferred(priority) => instance.question.classes[class].priority <= priority,
        Aim::Money | Aim::Fluid => true,
    }
}

/// Money in units of currency.
pub fn in_units(money: Money) -> f64 {
    money.parts() as f64 / PARTS
}

/// Fluid in litres.
pub fn litres(fluid: Millilitres) -> f64 {
    fluid.0 as f64 / LITRE
}

struct Builder<'a> {
    instance: &'a Instance<'a>,
    programme: Programme,
    rows: Rows,
    variables: Vec<Variable>,
    /// By class, the column of its first choice.
    placed: Vec<usize>,
}

fn rows(instance: &Instance, programme: &mut Programme) -> Rows {
    let question = instance.question;
    let spare = spare(instance);
    let free = f64::NEG_INFINITY;
    // The rows of classes come first.
    question.classes.iter().for_each(|class| {
        programme.row(class.members.len() as f64, class.members.len() as f64);
    });
    let pieces = question.supplies.iter().map(|supply| programme.row(-spare * supply.free as f64, f64::INFINITY));
    Rows {
        pieces: pieces.collect(),
        goods: (0..question.suppliers.len())
            .map(|supplier| {
                let (minimum, threshold) = instance.goods_asked(supplier);
                (minimum > Money::ZERO || threshold.is_some()).then(|| programme.row(0.0, f64::INFINITY))
            })
            .collect(),
        kind: vec![None; instance.offers.len()],
        kinds: question.limits.max_vessel_types.map(|most| programme.row(free, f64::from(most))),
        suppliers: question.limits.max_suppliers.map(|most| programme.row(free, f64::from(most))),
        owned: question.owned.iter().map(|_| programme.row(free, f64::INFINITY)).collect(),
        budget: programme.row(free, f64::INFINITY),
        waiting: [(); 4].map(|()| programme.row(free, f64::INFINITY)),
        money: programme.row(free, f64::INFINITY),
        cuts: Vec::new(),
    }
}

fn spare(instance: &Instance) -> f64 {
    1.0 + instance.question.limits.spare_per_10_000 as f64 / 10_000.0
}

/// What a lot of a run has beyond its choice.
fn own_amounts(instance: &Instance, run: &Run) -> Amounts {
    let limits = &instance.question.limits;
    Amounts {
        money: in_units(run.money),
        weighed: in_units(run.money + limits.litre_weight.per_litre(run.fluid)),
        litres: litres(run.fluid),
        labour: in_units(limits.labour_per_row),
    }
}

fn amounts(instance: &Instance, variable: Variable) -> Amounts {
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
    /// Adds a column; its amounts go into the rows of budget and money.
    fn column(&mut self, variable: Variable, bounds: (f64, f64), mut entries: Vec<(u32, f64)>) -> usize {
        let Amounts { money, weighed, labour, .. } = amounts(self.instance, variable);
        for (row, entry) in [(self.rows.budget, money + labour), (self.rows.money, weighed)] {
            if entry != 0.0 {
                entries.push((row, entry));
            }
        }
        self.variables.push(variable);
        self.programme.variable(0.0, bounds, entries)
    }

    /// Columns of all classes: where the choices of each begin, and where its runs do.
    fn lots(&mut self) -> (Vec<usize>, Vec<usize>) {
        let question = self.instance.question;
        let spare = spare(self.instance);
        let (mut placed, mut waiting) = (Vec::new(), Vec::new());
        for (at, class) in question.classes.iter().enumerate() {
            let n = class.members.len() as f64;
            placed.push(self.programme.columns.len());
            for (number, choice) in class.choices.iter().enumerate() {
                let mut entries = vec![(at as u32, 1.0)];
                if let Some(supply) = choice.supply {
                    entries.push((self.rows.pieces[supply as usize], -spare * f64::from(choice.pieces)));
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
                let mut entries = vec![(at as u32, 1.0), (self.rows.waiting[usize::from(class.priority) - 1], 1.0)];
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

    fn packs(&mut self) {
        for at in 0..self.instance.offers.len() {
            let offer = &self.instance.offers[at];
            let mut entries = vec![(self.rows.pieces[offer.supply], offer.terms.pack_size as f64)];
            let goods = offer.terms.supplier.and_then(|supplier| self.rows.goods[supplier as usize]);
            if let Some(row) = goods
                && offer.terms.pack_price > Money::ZERO
            {
                entries.push((row, in_units(offer.terms.pack_price)));
            }
            let most = offer.most as f64;
            self.column(Variable::Packs(at), (0.0, most), entries);
        }
    }

    fn suppliers(&mut self) -> Vec<[Option<usize>; 2]> {
        let question = self.instance.question;
        let packs = self.programme.columns.len() - self.instance.offers.len();
        let mut columns = Vec::new();
        for (supplier, terms) in question.suppliers.iter().enumerate() {
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
                    self.programme.columns[packs + offer].push((row, -1.0));
                    (row, self.instance.offers[offer].most as f64)
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

    fn kinds(&mut self) -> Vec<Option<usize>> {
        let mut columns = vec![None; self.instance.question.supplies.len()];
        // Cuts of spare pieces and of smallest orders speak of kinds too.
        let question = self.instance.question;
        let of_cuts = |supply: usize| {
            let least = |offer: &OfferTerms| offer.min_packs > 1;
            question.limits.spare_per_10_000 > 0 || question.supplies[supply].offers.iter().all(least)
        };
        let packs = self.variables.iter().position(|variable| matches!(variable, Variable::Packs(_))).unwrap_or(0);
        for (supply, column) in columns.iter_mut().enumerate() {
            if self.rows.kinds.is_none() && !of_cuts(supply) {
                continue;
            }
            let mut entries: Vec<(u32, f64)> = self.rows.kinds.map(|row| (row, 1.0)).into_iter().collect();
            let of_all = entries.len();
            for offer in self.instance.first_offer[supply]..self.instance.first_offer[supply + 1] {
                let row = self.programme.row(0.0, f64::INFINITY);
                self.programme.columns[packs + offer].push((row, -1.0));
                self.rows.kind[offer] = Some(row);
                entries.push((row, self.instance.offers[offer].most as f64));
            }
            if entries.len() > of_all {
                *column = Some(self.column(Variable::Kind(supply), (0.0, 1.0), entries));
            }
        }
        columns
    }

    fn owned(&mut self) {
        for (at, fluid) in self.instance.question.owned.iter().enumerate() {
            // All that could be needed.
            let most: i64 = self
                .instance
                .question
                .classes
                .iter()
                .enumerate()
                .map(|(class, of)| {
                    let most =
                        (0..of.choices.len()).map(|choice| fluid.choice_need(class, choice).0).max().unwrap_or(0);
                    self.instance.runs[class]
                        .iter()
                        .map(|run| (most + run.owned[at].0).max(0) * run.len as i64)
                        .sum::<i64>()
                })
                .sum();
            let entries = vec![(self.rows.owned[at], 1.0)];
            self.column(Variable::Bought(at), (0.0, litres(Millilitres(most))), entries);
        }
    }

    /// A column and a row for each set of lots that is counted.
    fn counts(&mut self) -> Vec<Cut> {
        let sets = counts::sets(self.instance);
        for (at, set) in sets.iter().enumerate() {
            let row = self.programme.row(0.0, 0.0);
            for &(class, choice) in &set.lots {
                let pieces = f64::from(self.instance.choices(class)[choice].pieces);
                self.programme.columns[self.placed[class] + choice].push((row, pieces));
            }
            self.column(Variable::Count(at), (0.0, set.pieces(self.instance) as f64), vec![(row, -1.0)]);
            self.rows.cuts.push(row);
        }
        sets
    }
}
