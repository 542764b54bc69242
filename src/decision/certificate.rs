//! Certificates: whole numbers from which anybody can work out a lower bound again, without a search.
//!
//! # Problem
//!
//! A level of the decision (a number of deferred lots, money, fluid) is to be bounded from below over all plans that do
//! no worse than the plan at hand on every earlier level. The integer model stands at the head of `assign`.
//!
//! # Method
//!
//! Branch and bound, written down. A [`Certificate`] is a tree in preorder. An inner node splits the plans in two (or by the
//! states of a supplier), a leaf names [`Numbers`]: a multiplier for each constraint that ties the lots together. Any
//! multipliers that are not negative (those of equations, `Count`, may be; λ(u) is limited as below) give a true lower bound
//! for the leaf (weak duality; A. M. Geoffrion, "Lagrangean relaxation for integer programming", Mathematical Programming
//! Study 2 (1974) 82–114, theorem 1(a), cited from memory); good ones give a high one. The bound of the level is the least
//! over the leaves, because every split is exhaustive.
//!
//! # Notation
//!
//! The numbers of a leaf are whole multiples of 1/α. α is a power of two, or 0 for numbers that show that the leaf holds no plan.
//!
//! | symbol | multiplier of |
//! |---|---|
//! | α | the level itself |
//! | d(q), m, f | deferred lots of priority q, weighed money (per ten-millionth), fluid (per ml): an earlier level's; for the level itself α; for a later level 0 |
//! | b | the budget, per ten-millionth of money that counts against it |
//! | π(v) | pieces of vessel v: pieces used ≤ free pieces + pieces bought |
//! | g(k) | goods of supplier k: goods ≥ what its state asks for, per ten-millionth |
//! | λ(u) | owned fluid u: litres to buy ≥ need − owned, per ml; 0 ≤ 1000 λ(u) ≤ W · price of a litre |
//! | σ | suppliers ordered from ≤ `max_suppliers` |
//! | θ | kinds bought ≤ `max_vessel_types` |
//! | θ(o) | an offer is bought only if its kind is |
//! | w | a cut of the certificate, see below |
//!
//! W = m + b; s = spare pieces in ten-thousandths of those used from purchase.
//!
//! # The bound of a leaf
//!
//! N is the sum of
//!
//! * **lots**: each lot takes the cheapest of waiting, d(q), and its options, W · money without owned fluid + (m · litre
//!   weight of a ml + f) · ml + Σ λ(u) · ml needed of u + b · labour + ⌊π(v) · (10 000 + s) · pieces / 10 000⌋. Lots of a
//!   [`Group`] whose numbers a leaf restricts are taken together: the cheapest distribution within the restrictions (the
//!   costs of their options differ by a constant from lot to lot, so one pass over the places in order of cost finds it);
//! * **offers without supplier**: the least of 0 and, over the numbers of packs n that are allowed,
//!   (W · pack price − π(v) · pieces in a pack) · n + θ(o);
//! * **kinds**: for each vessel v with an offer θ − Σ θ(o) over its offers − what `Kind` cuts of v take off + what `SparePiece`
//!   and `LeastPurchase` cuts of v add, if the leaf asks for it (least ≥ 1 for an offer); otherwise the least of 0 and that,
//!   and 0 where no other kind is bought (below);
//! * **suppliers**: `Closed` 0, unless the leaf asks for packs of one of its offers; `Paying` W · charge + g(k) · minimum +
//!   σ and its offers at (W − g(k)) · pack price; `Free` g(k) · max(minimum, threshold) + σ + its offers at the same; where
//!   undecided the least of the states there are;
//! * where a state asks for goods A > 0 (`Paying` the minimum, `Free` the larger of minimum and threshold) its offers and
//!   g(k) · A come to at least the *covering cost* too, so the larger of both is taken: the least of
//!   Σ ((W · pack price − π(v) · pieces in a pack) · n(o) + θ(o) where n(o) > 0) over allowed numbers of packs with
//!   Σ ⌈pack price / u⌉ n(o) ≥ ⌈A / u⌉. Here u is the largest amount that divides the prices of all offers of the supplier
//!   that may be bought, but no less than ⌈A / 4096⌉;
//! * less ⌈π(v) · (10 000 + s) · free pieces / 10 000⌉ of each vessel, b · budget, λ(u) · owned ml of each u, σ ·
//!   `max_suppliers`, θ · `max_vessel_types`, and for each earlier level its weight · the value reached there.
//!
//! The leaf's bound is ⌈N / α⌉, money rounded up to a multiple of the unit that divides the money of every plan. Where α = 0
//! and N > 0 the leaf holds no plan; where α = 0 and N ≤ 0 the numbers give no bound.
//!
//! Numbers of packs allowed of offer o: 0, unless the leaf's least is 1 or more, and from the larger of its `min_packs`, the
//! leaf's least and 1 up to the smallest of its order limit, the leaf's most and the *most useful packs* Y(o). Let need(v) be
//! the pieces that all lots together could use of v, each by its option there. Y(o) = max(`min_packs`, ⌈⌈(need(v) − free)⁺ ·
//! (10 000 + s) / 10 000⌉ / pack size⌉), or 0 if need(v) ≤ free, plus, where supplier k has a minimum or a threshold above 0
//! and the pack a price, max(`min_packs`, ⌈max(minimum, threshold) / pack price⌉). Where a leaf asks for packs (least ≥ 1) of
//! as many kinds as `max_vessel_types` allows, no other kind is bought; of more, it holds no plan. Where a leaf decides as many
//! suppliers as `max_suppliers` allows as `Paying` or `Free`, the others are `Closed`; where more, it holds no plan. Where no
//! number of packs is allowed, the leaf holds no plan.
//!
//! # Cuts
//!
//! A [`Cut`] is a set S of lots with an option in vessel v, and a form. Let p(c) be the pieces of lot c's option there,
//! p(S) = Σ_S p, x(c) = 1 where lot c is in v, free the free pieces of v, q(o) the pieces in a pack of offer o of v and y(o) its
//! packs. p(S) > free, but for `LeastPurchase`, where S is empty, and `Count`, where p(S) may be anything. Every plan keeps:
//!
//! * `Packs` with divisor d: Σ_o (r ⌊q(o) / d⌋ + min(q(o) mod d, r)) y(o) + e Σ_S p(c) (1 − x(c)) ≥ r ⌈b / d⌉. Without spares
//!   b = p(S) − free and e = 1; with spares b = ⌈(p(S) − free) (10 000 + s) / 10 000⌉ and e = ⌈(10 000 + s) / 10 000⌉. r is the
//!   remainder of b by d, from 1 to d. (Mixed-integer rounding of "pieces bought, and pieces not used, cover b".) Its weight w
//!   adds w · e · p(c) to the option of each lot of S in v, takes w · (r ⌊q(o) / d⌋ + min(q(o) mod d, r)) off every pack of an
//!   offer of v, and adds w · (r ⌈b / d⌉ − e · p(S)) to N.
//! * `SparePiece` with divisor d, only where s > 0: Σ_o (r ⌊q(o) / d⌋ + min(q(o) mod d, r)) y(o) + (1 − [v is bought]) + Σ_S
//!   p(c) (1 − x(c)) ≥ r ⌈b / d⌉ with b = p(S) − free + 1, r the remainder of b by d, from 1 to d. (Mixed-integer rounding of
//!   "if v is bought, pieces bought exceed pieces used beyond the free ones by one at least".) Its weight w adds w · p(c) to
//!   the option of each lot of S in v, takes w · (r ⌊q(o) / d⌋ + min(q(o) mod d, r)) off every pack of an offer of v, adds w to
//!   what the kind v costs (see **kinds**), and adds w · (r ⌈b / d⌉ − p(S) − 1) to N.
//! * `LeastPurchase`, where S is empty: Σ_o q(o) y(o) ≥ M [v is bought]. M is the least of the larger of 1 and `min_packs` times
//!   the pieces in a pack, over the offers of v whose order limit allows that many packs. Its weight w takes w · q(o) off every
//!   pack of an offer of v, and adds w · M to what the kind v costs.
//! * `Kind`: Σ_S p(c) x(c) ≤ free + (p(S) − free) · [v is bought]. Its weight adds w · p(c) to the option of each lot of S in
//!   v, takes w · (p(S) − free) off what the kind v costs (see **kinds**), and takes w · free off N.
//! * `Supplier` k, from whom all offers of v are: Σ_S p(c) x(c) ≤ free + (p(S) − free) · [k is ordered from]. Its weight adds
//!   w · p(c) to the option of each lot of S in v, takes w · (p(S) − free) off k's states `Paying` and `Free`, and takes
//!   w · free off N.
//!
//! * `Count`: z = Σ_S p(c) x(c) is a whole number between the least and the most that the splits of the leaf leave it, at first
//!   0 and p(S). Its weight w, which may be below 0, adds w · p(c) to the option of each lot of S in v, and takes w · most off
//!   N where w > 0, w · least where w < 0.
//!
//! # Why it holds
//!
//! 1. Take any plan of the leaf that does no worse on the earlier levels, with at most Y(o) packs of each offer (6). Each
//!    constraint above, written as (left side − right side) ≤ 0, times its multiplier, adds at most 0 to α · level; an
//!    equation, times a number of either sign, adds 0. So N, the least of the total over *all* choices, is at most α · level
//!    of this plan.
//! 2. What is truly paid for owned fluid u is price · (need − owned)⁺ ≥ (λ(u) / W) · (need − owned).
//! 3. With t(v) = 1 where any packs of v are bought, Σ t ≤ `max_vessel_types`, and an offer is bought only where t(v) = 1.
//! 4. Goods that reach A in money reach ⌈A / u⌉ once each price is rounded up to whole u.
//! 5. Without the tying constraints, lots (or groups), offers and suppliers do not touch each other: each may be at its own least.
//! 6. A plan with more than Y(o) packs of an offer keeps every constraint, and is no worse on any level, with just Y(o): these
//!    alone hold all pieces that could be used and reach all goods that could be asked for. (Where an order limit is below
//!    that, there is no such plan.) So some best plan has at most Y(o) packs of each offer, and some leaf holds it.
//!
//! # Cost and limits
//!
//! One pass over the options of every lot for each set of numbers, and over the offers for each leaf; sums are of 128 bits,
//! and a sum that leaves them is no bound. No number is above [`MOST`] in amount. A covering cost takes up to 4096 steps for
//! each offer of a supplier with terms.

use crate::decision::Aim;
use crate::rules::FluidId;
use crate::stock::{SupplierId, VesselId};

/// No number of a leaf is above this, so that sums over all lots fit in 128 bits.
pub const MOST: i64 = 1 << 60;

/// What is decided about a supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SupplierState {
    /// Nothing is ordered.
    Closed,
    /// Something may be ordered; the charge is paid and goods reach the minimum.
    Paying,
    /// Goods reach the minimum and the threshold; delivery is free.
    Free,
}

impl SupplierState {
    /// All, in the order in which the children of a split stand.
    pub const ALL: [SupplierState; 3] = [SupplierState::Closed, SupplierState::Paying, SupplierState::Free];
}

/// A lower bound of one level, as a branch-and-bound tree.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Certificate {
    /// The tree in preorder: each split is followed by its children, one after the other.
    pub nodes: Vec<Node>,
    /// The multipliers that leaves name.
    pub numbers: Vec<Numbers>,
    /// The lots that splits count.
    pub groups: Vec<Group>,
    /// The cuts that numbers weigh.
    pub cuts: Vec<Cut>,
}

impl Certificate {
    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// One leaf that weighs the level alone.
    pub fn trivial(aim: Aim) -> Self {
        Certificate {
            nodes: vec![Node::Leaf { numbers: 0 }],
            numbers: vec![Numbers { weights: Weights::alone(aim), ..Numbers::default() }],
            groups: Vec::new(),
            cuts: Vec::new(),
        }
    }
}

/// A node of the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Node {
    /// Closed by multipliers, by position in [`Certificate::numbers`].
    Leaf {
        /// Which.
        numbers: usize,
    },
    /// A child for each of `Closed`, `Paying` and, where the supplier has a threshold, `Free`.
    Supplier(SupplierId),
    /// Two children: at most so many packs of an offer, and more.
    Packs {
        /// Index into the stock's offers.
        offer: usize,
        /// Most packs in the first child.
        at_most: i64,
    },
    /// Two children: at most so many pieces of a cut of the form [`CutForm::Count`], and more.
    Pieces {
        /// Position in [`Certificate::cuts`].
        cut: usize,
        /// Most pieces in the first child.
        at_most: i64,
    },
    /// Two children: at most so many lots of a group in a place, and more.
    Lots {
        /// Position in [`Certificate::groups`].
        group: usize,
        /// Where.
        place: LotChoice,
        /// Most lots in the first child.
        at_most: i64,
    },
}

/// Where a lot may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LotChoice {
    /// In this kind of vessel, or divided over several pieces of it.
    Vessel(VesselId),
    /// In a tank made to measure, at a known price.
    Tank,
    /// Deferred.
    Waiting,
}

/// Lots that the decision cannot tell apart, but for a constant.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Group {
    /// Their rows in the survey, rising.
    pub rows: Vec<u32>,
    /// A larger group of which this one holds the lots of one constant; such a group is only ever counted as `Waiting`,
    /// and the larger one never is. Groups with the same `within` have no lot in common.
    pub within: Option<usize>,
}

/// A valid inequality of one vessel, or, of the form [`CutForm::Count`], an equation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// v.
    pub vessel: VesselId,
    /// What it says.
    pub form: CutForm,
    /// S: rows in the survey, rising, each with an option in v. A group of which a leaf restricts the lots is in S as a whole
    /// or not at all. Empty for the form [`CutForm::LeastPurchase`] alone.
    pub rows: Vec<u32>,
}

/// What a cut says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CutForm {
    /// Whole packs, rounded by a divisor, with or without the spare pieces that are asked for.
    Packs {
        /// d, at least 1.
        divisor: i64,
        /// Whether b counts spare pieces.
        spares: bool,
    },
    /// Whole packs, rounded by a divisor, of a kind that is bought with one piece to spare at least.
    SparePiece {
        /// d, at least 1.
        divisor: i64,
    },
    /// A kind that is bought is bought in the smallest order at least.
    LeastPurchase,
    /// The pieces that its lots take, which splits may limit.
    Count,
    /// Lots beyond the free pieces need the kind to be bought.
    Kind,
    /// Lots beyond the free pieces need an order from this supplier.
    Supplier(SupplierId),
}

/// The multipliers of a leaf. None is below 0, but for weights of cuts of the form [`CutForm::Count`].
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct Numbers {
    /// α, d(q), m, f, b.
    pub weights: Weights,
    /// π(v) by vessel, rising, where not 0.
    pub prices: Vec<(VesselId, i64)>,
    /// g(k) by supplier, rising, where not 0.
    pub goods: Vec<(SupplierId, i64)>,
    /// λ(u) by owned fluid, rising, where not 0.
    pub owned: Vec<(FluidId, i64)>,
    /// σ.
    pub per_supplier: i64,
    /// θ.
    pub kinds: i64,
    /// θ(o) by index into the stock's offers, rising, where not 0.
    pub per_kind: Vec<(usize, i64)>,
    /// w(k) by position in [`Certificate::cuts`], rising, where not 0.
    pub cuts: Vec<(usize, i64)>,
}

/// What the levels and the budget weigh.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct Weights {
    /// A deferred lot of priority 1 to 4.
    pub deferred: [i64; 4],
    /// A ten-millionth of weighed money.
    pub money: i64,
    /// A millilitre.
    pub fluid: i64,
    /// A ten-millionth of what counts against the budget.
    pub budget: i64,
}

impl Weights {
    /// Nothing but one level weighs.
    pub fn alone(aim: Aim) -> Self {
        let mut weights = Self::default();
        *weights.of_mut(aim) = 1;
        weights
    }

    /// The weight of one level, to be set.
    pub fn of_mut(&mut self, aim: Aim) -> &mut i64 {
        match aim {
            Aim::Deferred(priority) => &mut self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => &mut self.money,
            Aim::Fluid => &mut self.fluid,
        }
    }

    /// The weight of one level.
    pub fn of(&self, aim: Aim) -> i64 {
        match aim {
            Aim::Deferred(priority) => self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => self.money,
            Aim::Fluid => self.fluid,
        }
    }

    /// The same with later levels weighing nothing.
    pub fn up_to(mut self, aim: Aim) -> Self {
        for later in Aim::ALL.into_iter().filter(|later| *later > aim) {
            *self.of_mut(later) = 0;
        }
        self
    }
}
