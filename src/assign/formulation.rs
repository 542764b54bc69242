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
//! Y(o) are the most useful packs ([`crate::decision::certificate`]), goods(k) = Σ a(o) y(o) over the offers of supplier k.
//! Where no order limit holds an offer below what a state asks for, this is, supplier by supplier, the convex hull of its
//! states with packs divisible (the strong form of facility location: J. Krarup and P. M. Pruzan, "The simple plant location
//! problem", European Journal of Operational Research 12 (1983) 36–81, from memory), so its optimum equals the best bound
//! that the numbers of one leaf can give with divisible packs.
//!
//! Money is in units of currency, fluid in litres: the figures of a programme are then of similar size.

mod columns;
mod level;

use columns::{Builder, rows};

use super::cuts::VesselCut;
use super::goods::GoodsCut;
use super::instance::Instance;
use super::linear::{Programme, Simplex};
use crate::decision::certificate::SupplierState;
use crate::decision::{Aim, ChoiceIndex, ClassIndex, OfferIndex, SupplierIndex, SupplyIndex};
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

/// Where the rows of a programme are.
#[derive(Clone, Default)]
pub struct Rows {
    /// By supply.
    pub pieces: IndexTable<SupplyIndex, u32>,
    /// By supplier, where goods are asked for.
    pub goods: IndexTable<SupplierIndex, Option<u32>>,
    /// By offer, y ≤ Y t.
    pub kind: IndexTable<OfferIndex, Option<u32>>,
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
    pub placed: IndexTable<ClassIndex, usize>,
    /// By class, the column of its first run.
    pub waiting: IndexTable<ClassIndex, usize>,
    /// The column of the first offer.
    pub packs: usize,
    /// By supplier, its columns, where it is counted.
    pub suppliers: IndexTable<SupplierIndex, [Option<usize>; 2]>,
    /// By supply, the column of its kind, where kinds are counted or cuts speak of it.
    pub kinds: IndexTable<SupplyIndex, Option<usize>>,
    /// Bounds of all columns where nothing is decided.
    pub root: Vec<(f64, f64)>,
    /// What lots come to beyond their choices if all are placed: the objective is that of the programme and this.
    pub constant: f64,
    /// What a waiting lot adds to the objective of a level that counts lots; all money together adds less than [`TIE`] of it.
    pub lot: f64,
    /// Where the columns of counts begin, one for each of the first cuts.
    pub counted: usize,
    /// Cuts so far, those of the form `Count` first.
    pub cuts: Vec<VesselCut>,
    /// Cuts of goods among them.
    pub goods_cuts: Vec<GoodsCut>,
}

/// Share of a lot that money may add to the objective of a level that counts lots.
pub const TIE: f64 = 0.04;

impl Formulation {
    /// Writes the programme of a question, without an objective.
    pub fn new(instance: &Instance) -> Self {
        let mut programme = Programme::default();
        let rows = rows(instance, &mut programme);
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
            counted,
            cuts,
            goods_cuts: Vec::new(),
        }
    }
}

impl Formulation {
    /// Leaves out, until they are needed, the choices of each class that the last solution finds dearest.
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

    /// How many of the cuts are counts.
    pub fn counts(&self) -> usize {
        self.variables.len() - self.counted
    }
}

/// Columns of a programme in which all stay awake, and choices of each class that do in larger ones.
const MOST_AWAKE: usize = 4000;
const AWAKE: usize = 5;

/// Whether a class is weighed on a level: those of later priorities wait.
pub fn counts(instance: &Instance, class: ClassIndex, aim: Aim) -> bool {
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
