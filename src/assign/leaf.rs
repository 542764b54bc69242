//! Leaves: whole numbers from which anybody can work out a bound again, without a search.
//!
//! A leaf is a part of the decision, fixed by what each supplier is and by limits on packs, with a price for each
//! piece, a weight for each level and for the budget, one for each supplier's goods, and a price a litre for each fluid
//! that is owned. Any numbers that are not below nothing, of an owned fluid not above what it costs, give a true bound;
//! good ones give a high one. This is Lagrangian duality (Geoffrion 1974, "Lagrangean relaxation for integer programming",
//! Mathematical Programming Study 2:82–114, theorem 1(a), cited from memory). All numbers but the prices of fluid are whole
//! and stand over one power of two: the weight of the level itself, which a bound is divided by. Where the leaves of money
//! bound fluid too, the weights of both are powers of two.
//!
//! Each supplier of a leaf is closed, paid or delivers free; one that asks for nothing is paid in all of them, unless suppliers
//! are counted. Leaves that differ in suppliers or packs alone share their numbers.
//! Only where there would be more than [`MOST_LEAVES`], for n suppliers come to 2ⁿ or 3ⁿ, leaves that share all their numbers
//! and differ in a supplier alone are written as one in which it is undecided. It stands for each of them: the least of the three is the
//! least over these leaves.
//!
//! # The bound
//!
//! Of a level let α be its own weight; of the levels before it the weights count too, those of later levels are
//! nothing. Let d(q) be the weight of a deferred row of priority q, m that of weighed money, f that of a millilitre, b
//! that of what counts against the budget, π(v) the price of a piece of vessel v, g(k) the weight of supplier k's goods,
//! s the spare pieces asked for in ten-thousandths, and W = m + b. Owned fluid is free up to what there is; here all that is
//! needed of it is paid for, at the leaf's own price c(u) of owned fluid u, and C = Σ c(u)·litres owned of u is given back
//! once. Money at these prices is what an option comes to with c(u) for what u costs.
//!
//! * A row of priority q costs the least of d(q), deferred, and over its options W·money at these prices + (m·weight of a
//!   millilitre + f)·millilitres + b·labour + ⌊π(v)·(10 000 + s)·pieces / 10 000⌋.
//! * An offer of k costs the least of ((W − g(k))·price of a pack − π(v)·pieces in a pack)·n over the numbers of packs n
//!   that its terms and the leaf allow; an offer without a supplier the same with g = 0.
//! * A supplier that is closed costs nothing and sells nothing; one that is paid W·charge + g(k)·minimum and its offers;
//!   one that delivers free g(k)·the larger of minimum and threshold and its offers; one that is undecided the least of
//!   these.
//!
//! Vessels that no row could have are not bought.
//!
//! N = Σ rows + Σ suppliers + Σ offers without one − Σ ⌈π(v)·(10 000 + s)·free pieces / 10 000⌉ − b·(budget + C) − Σ
//! over earlier levels of weight·what the plan reaches there, its money C more.
//!
//! Every plan of the part that does no worse on every earlier level then reaches at least N / α, less C where the level is
//! money; where α is nothing and N is not, there is no such plan. For what is truly paid for an owned fluid of price p(u)
//! is p(u)·max(0, need − owned), and that is at least c(u)·(need − owned) wherever 0 ≤ c(u) ≤ p(u); so money at the
//! leaf's prices is at most C more than the true, for every plan. And N is the least of the plan's own α·level at these
//! prices + what it adds for each limit it keeps, and each of these additions is at most nothing: (pieces used − free
//! pieces)·(10 000 + s) / 10 000 − pieces bought, what a supplier's goods must reach − its goods, money at these prices +
//! labour − budget − C, and each earlier level − what was reached, money at these prices less C. Once these are added, rows,
//! offers and suppliers do not touch each other, so each may be at its least by itself.
//! The caps on suppliers ordered from and on kinds of vessel bought (those of which a leaf asks for packs) are let go but for
//! this: a leaf with more than a cap holds no plan, and with as many as it there are no others.
//!
//! What a leaf gives is rounded up to what a plan can reach: a whole row or millilitre, a multiple of the unit that divides
//! all money at the leaf's prices, before C is taken off. A level's bound is the least over its leaves, which together hold
//! every plan. Where nothing better is known they all have the same numbers, with nothing but the level itself weighed.

use crate::decision::{Aim, Question};
use crate::rules::FluidId;
use crate::stock::{SupplierId, VesselId};
use crate::units::Money;

/// No number of a leaf is above this, so that what a row costs fits in 128 bits whatever its money and fluid.
pub const MOST: i64 = 1 << 60;

/// Leaves that a level may have where each of them decides every supplier.
pub const MOST_LEAVES: usize = 20_000;

/// What is decided about a supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Terms {
    /// Nothing yet.
    Undecided,
    /// Nothing is ordered.
    Closed,
    /// The charge is paid; goods reach the minimum.
    Paying,
    /// Goods reach the minimum and the threshold; no charge.
    Free,
}

impl Terms {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Terms::Undecided => "undecided",
            Terms::Closed => "closed",
            Terms::Paying => "paying",
            Terms::Free => "free",
        }
    }
}

/// The leaves of a level.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Leaves {
    /// Parts that together hold every plan, each once.
    pub parts: Vec<Leaf>,
    /// What their bounds follow from.
    pub numbers: Vec<Numbers>,
}

/// A part of the decision.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Leaf {
    /// Suppliers that are decided, by supplier.
    pub suppliers: Vec<(SupplierId, Terms)>,
    /// Offers whose packs the leaf limits, each once.
    pub packs: Vec<PackLimits>,
    /// Which of the numbers of the level bound it.
    pub numbers: usize,
}

/// The numbers of leaves.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Numbers {
    /// What the levels and the budget weigh.
    pub weights: Weights,
    /// Price of a piece, by vessel, where it is not nothing.
    pub prices: Vec<(VesselId, i64)>,
    /// What goods weigh that a supplier's minimum or threshold asks for, by supplier, where it is not nothing.
    pub goods: Vec<(SupplierId, i64)>,
    /// Price a litre of owned fluids, by fluid, from nothing to what the fluid costs; that where none is named.
    pub fluid_prices: Vec<(FluidId, Money)>,
}

impl Leaves {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }
}

/// Least and most packs of one offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PackLimits {
    /// Index into the stock's offers.
    pub offer: usize,
    /// Packs, at least.
    pub least: i64,
    /// At most, if limited.
    pub most: Option<i64>,
}

/// What the levels and the budget weigh.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Weights<N = i64> {
    /// A deferred row of priority 1 to 4.
    pub deferred: [N; 4],
    /// A ten-millionth of weighed money.
    pub money: N,
    /// A millilitre.
    pub fluid: N,
    /// A ten-millionth of what counts against the budget.
    pub budget: N,
}

impl<N: Copy + Default + From<u8>> Weights<N> {
    /// Nothing but one level weighs.
    pub fn alone(aim: Aim) -> Self {
        let mut weights = Self::default();
        *weights.of_mut(aim) = N::from(1);
        weights
    }

    fn of_mut(&mut self, aim: Aim) -> &mut N {
        match aim {
            Aim::Deferred(priority) => &mut self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => &mut self.money,
            Aim::Fluid => &mut self.fluid,
        }
    }

    /// The weight of one level.
    pub fn of(&self, aim: Aim) -> N {
        match aim {
            Aim::Deferred(priority) => self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => self.money,
            Aim::Fluid => self.fluid,
        }
    }

    /// The same with later levels weighing nothing.
    pub fn up_to(mut self, aim: Aim) -> Self {
        for (priority, weight) in (1..).zip(&mut self.deferred) {
            if Aim::Deferred(priority) > aim {
                *weight = N::default();
            }
        }
        if aim < Aim::Money {
            self.money = N::default();
        }
        if aim < Aim::Fluid {
            self.fluid = N::default();
        }
        self
    }
}

/// What a supplier can be.
pub fn states_of(question: &Question, supplier: usize) -> &'static [Terms] {
    let crate::decision::SupplierTerms { charge, free_over, minimum, .. } = question.suppliers[supplier];
    match () {
        () if free_over.is_some() && charge > Money::ZERO => &[Terms::Closed, Terms::Paying, Terms::Free],
        () if charge > Money::ZERO || minimum > Money::ZERO || question.limits.max_suppliers.is_some() => {
            &[Terms::Closed, Terms::Paying]
        }
        () => &[Terms::Paying],
    }
}

/// By supplier, what is decided where nothing has been yet.
pub fn whole(question: &Question) -> Vec<Terms> {
    let only = |supplier| match states_of(question, supplier) {
        [only] => *only,
        _ => Terms::Undecided,
    };
    (0..question.suppliers.len()).map(only).collect()
}
