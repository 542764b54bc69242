//! The linear relaxation of one level.
//!
//! # Variables
//!
//! As at the head of `assign`, all continuous: x(c, o) lots of class c in choice o; w(c, r) deferred lots of run r of class c; y(o)
//! packs of offer o; P(k), F(k) supplier k is ordered from and paid for delivery, or delivers free; t(v) vessel v is bought; e(u)
//! litres of owned fluid u bought beyond the stock. And z(S, v): pieces of vessel v that the lots of a set S take ([`super::counts`]).
//!
//! # Constraints
//!
//! * classes: Σ_o x(c, o) + Σ_r w(c, r) = n(c)
//! * pieces: Σ q(o) y(o) − (1 + spare) Σ p(c, o) x(c, o) ≥ −(1 + spare) · free(v)
//! * suppliers: y(o) ≤ Y(o) (P(k) + F(k)), P + F ≤ 1; goods(k) ≥ minimum · P + max(minimum, threshold) · F
//! * limits on kinds and suppliers: y(o) ≤ Y(o) t(v), Σ t ≤ `max_vessel_types`, Σ (P + F) ≤ `max_suppliers`
//! * owned fluid: e(u) ≥ need(u) − owned(u)
//! * counts: z(S, v) = Σ_S p(c, o) x(c, o)
//! * budget: money + labour · lots placed ≤ budget; each earlier level ≤ its value
//!
//! Y(o) are the most useful packs ([`crate::decision::certificate`]), goods(k) = Σ a(o) y(o) over the offers of supplier k.
//! If no order limit keeps an offer below what a state requires, the constraints of each supplier are the convex hull of its
//! states with packs divisible (the strong form of facility location: J. Krarup and P. M. Pruzan, "The simple plant location
//! problem", European Journal of Operational Research 12 (1983) 36–81, from memory). The optimum then equals the best bound
//! that the multipliers of one leaf can give with divisible packs.
//!
//! Money is in units of currency and fluid in litres, so that the coefficients are of similar size.

mod columns;
mod level;

use columns::{Builder, rows};

use super::cuts::VesselCut;
use super::goods::GoodsCut;
use super::instance::Instance;
use super::linear::{Programme, Simplex};
use crate::decision::certificate::SupplierState;
use crate::decision::{Aim, ChoiceIndex, ClassIndex, Goal, OfferIndex, SupplierIndex, SupplyIndex};
use crate::units::{IndexTable, Millilitres, Money, Position};

/// Ten-millionths in a unit of currency.
pub const PARTS: f64 = 1e7;
/// Millilitres in a litre.
pub const LITRE: f64 = 1e3;

/// Which variable a column is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Variable {
    /// x: class and choice.
    Placed(ClassIndex, ChoiceIndex),
    /// w: class and run.
    Waiting(ClassIndex, usize),
    /// y: offer.
    Packs(OfferIndex),
    /// P or F: supplier.
    Supplier(SupplierIndex, SupplierState),
    /// t: supply.
    Kind(SupplyIndex),
    /// e: owned fluid.
    Bought(usize),
    /// z: cut, of the form `Count`.
    Count(usize),
}

/// Positions of the rows of a programme.
#[derive(Clone, Default)]
pub struct Rows {
    /// Pieces, by supply.
    pub pieces: IndexTable<SupplyIndex, u32>,
    /// Goods, by supplier with a minimum or a threshold.
    pub goods: IndexTable<SupplierIndex, Option<u32>>,
    /// y(o) ≤ Y(o) t(v), by offer whose kind has a column.
    pub kind: IndexTable<OfferIndex, Option<u32>>,
    /// Σ t ≤ `max_vessel_types`.
    pub kinds: Option<u32>,
    /// Σ (P + F) ≤ `max_suppliers`.
    pub suppliers: Option<u32>,
    /// Owned fluid, by fluid.
    pub owned: Vec<u32>,
    /// The budget.
    pub budget: u32,
    /// Deferred lots, by priority.
    pub waiting: [u32; 4],
    /// The weighted number of deferred lots, where priorities are weighed.
    pub weighted_waiting: Option<u32>,
    /// Weighed money.
    pub money: u32,
    /// Fluid, where the goal limits it.
    pub fluid: Option<u32>,
    /// Cuts, in the order of [`Formulation::cuts`].
    pub cuts: Vec<u32>,
}

impl Rows {
    /// The row of deferred lots of a level that counts lots.
    pub fn of_lots(&self, aim: Aim) -> Option<u32> {
        match aim {
            Aim::WeightedDeferred => self.weighted_waiting,
            Aim::Deferred(priority) => Some(self.waiting[usize::from(priority) - 1]),
            Aim::Money | Aim::Fluid => None,
        }
    }
}

/// The linear programme of a question, with the positions of its columns and rows.
pub struct Formulation {
    /// The programme with its basis.
    pub simplex: Simplex,
    /// The variable of each column.
    pub variables: Vec<Variable>,
    /// Positions of the rows.
    pub rows: Rows,
    /// By class, the column of its first choice.
    pub placed: IndexTable<ClassIndex, usize>,
    /// By class, the column of its first run.
    pub waiting: IndexTable<ClassIndex, usize>,
    /// The column of the first offer.
    pub packs: usize,
    /// By supplier, the columns of P and F, if its state matters.
    pub suppliers: IndexTable<SupplierIndex, [Option<usize>; 2]>,
    /// By supply, the column of t, if kinds are limited or cuts use it.
    pub kinds: IndexTable<SupplyIndex, Option<usize>>,
    /// Bounds of all columns at the root.
    pub root: Vec<(f64, f64)>,
    /// Sum of the constants of all lots: the objective is that of the programme plus this.
    pub constant: f64,
    /// Cost of a deferred lot, or of one in a weighted number, on a level that counts lots; all money together adds at most [`TIE`] of it.
    pub lot: f64,
    /// Whether the programme asks for a better value of a level that counts lots ([`Formulation::ask_for_better`]).
    pub asks_for_better: bool,
    /// The column of the first count. There is one count for each cut of the form `Count`.
    pub counted: usize,
    /// Cuts of vessels added so far, those of the form `Count` first.
    pub cuts: Vec<VesselCut>,
    /// Cuts of goods added so far.
    pub goods_cuts: Vec<GoodsCut>,
}

/// Upper limit of all money in the objective of a level that counts lots, as a share of the cost of a lot.
pub const TIE: f64 = 0.04;

impl Formulation {
    /// Makes the programme of a question and of the limits of a goal, without an objective.
    pub fn new(instance: &Instance, goal: &Goal) -> Self {
        let mut programme = Programme::default();
        let rows = rows(instance, goal, &mut programme);
        let mut builder = Builder { instance, programme, rows, variables: Vec::new(), placed: IndexTable::new() };
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
            asks_for_better: false,
            counted,
            cuts,
            goods_cuts: Vec::new(),
        }
    }
}

impl Formulation {
    /// Puts all but the [`AWAKE`] choices of each class of least reduced cost to sleep, in large programmes.
    pub fn narrow(&mut self, instance: &Instance) {
        if self.variables.len() < MOST_AWAKE {
            return;
        }
        let mut dear: Vec<usize> = Vec::new();
        for (class, &from) in self.placed.enumerated() {
            let mut columns: Vec<usize> = (from..from + instance.choices(class).len()).collect();
            columns.sort_by(|a, b| self.simplex.reduced(*a).total_cmp(&self.simplex.reduced(*b)).then(a.cmp(b)));
            dear.extend(columns.into_iter().skip(AWAKE));
        }
        self.simplex.put_to_sleep(dear.into_iter());
    }

    /// Wakes the choices of each class that cost least, which the level counts, and, the first time, puts all others to sleep, in
    /// large programmes. `by_cost`: the columns of each class by cost.
    fn wake_cheapest(&mut self, by_cost: &IndexTable<ClassIndex, Vec<(f64, usize)>>) {
        if self.variables.len() < MOST_AWAKE {
            return;
        }
        let counted = |column: &usize| self.root[*column].1 > 0.0;
        let columns = |costs: &[(f64, usize)]| costs.iter().map(|&(_, column)| column).collect::<Vec<usize>>();
        let cheap = by_cost.iter().flat_map(|costs| columns(&costs[..costs.len().min(AWAKE_FIRST)]));
        let cheap: Vec<usize> = cheap.filter(counted).collect();
        if self.simplex.all_awake() {
            let dear = by_cost.iter().flat_map(|costs| columns(&costs[costs.len().min(AWAKE_FIRST)..]));
            self.simplex.put_to_sleep(dear);
        }
        self.simplex.wake_up(&cheap);
    }

    /// The column of the lots of a class in a choice.
    #[inline]
    pub fn column_of(&self, class: ClassIndex, choice: ChoiceIndex) -> usize {
        self.placed[class] + choice.index()
    }

    /// The column of the packs of an offer.
    #[inline]
    pub fn packs_of(&self, offer: OfferIndex) -> usize {
        self.packs + offer.index()
    }

    /// Number of cuts of the form `Count`.
    pub fn counts(&self) -> usize {
        self.variables.len() - self.counted
    }
}

/// Number of columns from which choices are put to sleep, and choices of each class that stay awake then.
const MOST_AWAKE: usize = 4000;
const AWAKE: usize = 5;
/// The same before the first solution of a level.
const AWAKE_FIRST: usize = 8;

/// Whether a class takes part in a level: on a level that counts lots, classes of later priorities do not.
pub fn counts(instance: &Instance, class: ClassIndex, aim: Aim) -> bool {
    match aim {
        Aim::Deferred(priority) => instance.question.classes[class].priority <= priority,
        Aim::WeightedDeferred | Aim::Money | Aim::Fluid => true,
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
