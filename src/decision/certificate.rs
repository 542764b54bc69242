//! Certificates: whole numbers from which anybody can compute a lower bound of a level again, without a search.
//!
//! # Problem
//!
//! A lower bound of one level of the decision (deferred lots of a priority, money or fluid) over all plans that are no worse
//! than the given plan on every earlier level. The integer model stands at the head of `assign`.
//!
//! # Method
//!
//! A [`Certificate`] is a branch-and-bound tree in preorder. An inner node splits the set of plans in two, or by the states of
//! a supplier. A leaf names [`Numbers`]: a multiplier for each constraint that ties lots together. By weak duality, any
//! multipliers ≥ 0 give a true lower bound for the leaf (A. M. Geoffrion, "Lagrangean relaxation for integer programming",
//! Mathematical Programming Study 2 (1974) 82–114, theorem 1(a), cited from memory); good multipliers give a high bound. Those of
//! equations (`Count`) may be negative, and λ(u) has an upper limit, below. The bound of the level is the least bound of the
//! leaves, because every split is exhaustive.
//!
//! # Notation
//!
//! The multipliers of a leaf are stored as whole numbers, α times their size. α is a power of two. With α = 0 they can only show
//! that the leaf holds no plan.
//!
//! | symbol | multiplier of |
//! |---|---|
//! | α | the level itself |
//! | h, d(q), m, f | the levels: weighted number of deferred lots, deferred lots of priority q, weighed money (per ten-millionth), fluid (per ml). The level itself has α; each later level, and each that the plan does not have, has 0 |
//! | b | the budget, per ten-millionth of money that counts against it |
//! | π(v) | pieces of vessel v: pieces used ≤ free pieces + pieces bought |
//! | g(k) | goods of supplier k: goods ≥ what its state requires, per ten-millionth |
//! | λ(u) | owned fluid u: litres to buy ≥ need − owned, per ml; 0 ≤ 1000 λ(u) ≤ W · price of a litre |
//! | σ | suppliers ordered from ≤ `max_suppliers` |
//! | θ | kinds bought that count ≤ `max_vessel_types` |
//! | θ(o) | an offer is bought only if its kind is |
//! | w | a cut of the certificate, see below |
//!
//! W = m + b; ω(q) = what a deferred lot of priority q counts in the weighted number; s = spare pieces in ten-thousandths of the pieces used from purchase; "kind" = kind of vessel.
//!
//! A leaf restricts, by the splits on the way to it: the state of a supplier, the packs of an offer (the leaf's *least* and *most*),
//! the pieces of a `Count` cut, and the lots of a [`Group`] in a place.
//!
//! # The bound of a leaf
//!
//! N is the sum of
//!
//! * **lots**: for each lot the least of d(q) + h · ω(q) (deferred) and the cost of each of its options: W · money without owned fluid +
//!   (m · litre weight of a ml + f) · ml + Σ λ(u) · ml needed of u + b · labour + ⌊π(v) · (10 000 + s) · pieces / 10 000⌋. If the
//!   leaf restricts the lots of a [`Group`], its lots are taken together: the cheapest distribution within the restrictions (costs
//!   of their options differ by a constant from lot to lot, so one pass over the places in order of cost finds it);
//! * **offers without supplier**: the least, over the allowed numbers of packs n, of 0 for n = 0 and
//!   (W · pack price − π(v) · pieces in a pack) · n + θ(o) for n > 0;
//! * **kinds**: a kind v that has an offer costs θ − Σ θ(o) over its offers − the amounts of `Kind` cuts of v + the amounts of
//!   `SparePiece` and `LeastPurchase` cuts of v. Where v does not count under `max_vessel_types`, 0 takes the place of θ; in the
//!   question of a plan every kind counts. N includes this cost if the leaf requires packs of v (least ≥ 1 for one of its offers),
//!   0 if the leaf allows no further kind (below), and otherwise the smaller of this cost and 0;
//! * **suppliers**: the cost of the state that the leaf decides, otherwise the least cost of its states. `Closed` costs 0, and is
//!   excluded if the leaf requires packs of one of its offers. `Paying` costs W · charge + σ + g(k) · minimum + its offers, each as
//!   an offer without supplier but at (W − g(k)) · pack price. `Free` costs σ + g(k) · max(minimum, threshold) + its offers likewise;
//! * **covering**: if a state requires goods A > 0 (`Paying` the minimum, `Free` the larger of minimum and threshold), the
//!   *covering cost* replaces "g(k) · A + its offers" where it is larger. It is the least of
//!   Σ ((W · pack price − π(v) · pieces in a pack) · n(o) + θ(o) where n(o) > 0) over allowed numbers of packs with
//!   Σ ⌈pack price / u⌉ n(o) ≥ ⌈A / u⌉. Here u is the largest amount that divides the prices of all offers of the supplier
//!   that may be bought, or ⌈A / 4096⌉ if that is larger;
//! * **constants**: less ⌈π(v) · (10 000 + s) · free pieces / 10 000⌉ of each vessel, b · budget, λ(u) · owned ml of each u, σ ·
//!   `max_suppliers`, θ · `max_vessel_types`, and for each earlier level its multiplier · the value of the plan on it.
//!
//! The leaf's bound is ⌈N / α⌉; for money it is rounded up to a multiple of the largest amount that divides the money of every
//! plan. If α = 0 and N > 0 the leaf holds no plan; if α = 0 and N ≤ 0 the multipliers give no bound.
//!
//! Allowed numbers of packs of offer o: 0, unless the leaf's least is 1 or more; and from the largest of `min_packs`, the
//! leaf's least and 1 up to the smallest of the order limit, the leaf's most and the *most useful packs* Y(o). If no
//! number is allowed, the leaf holds no plan. Let need(v) be the pieces of v used if every lot with an option in v takes it.
//! Y(o) = max(`min_packs`, ⌈⌈(need(v) − free)⁺ · (10 000 + s) / 10 000⌉ / pack size⌉), or 0 if need(v) ≤ free; plus, if the pack
//! has a price and its supplier a minimum or a threshold above 0, max(`min_packs`, ⌈max(minimum, threshold) / pack price⌉).
//!
//! If a leaf requires packs of as many kinds that count as `max_vessel_types` allows, no further one that counts is bought; if
//! of more, it holds no plan. If a leaf decides as many suppliers as `max_suppliers` allows as `Paying` or `Free`, the others are `Closed`; if
//! more, it holds no plan.
//!
//! # Cuts
//!
//! A [`Cut`] has a vessel v, a set S of lots with an option in v, and a form. Let p(c) be the pieces of lot c's option in v,
//! p(S) = Σ_S p(c), x(c) = 1 where lot c is in v, free the free pieces of v, q(o) the pieces in a pack of offer o of v, y(o) its
//! packs. A condition in brackets is 1 if it holds, else 0. p(S) > free, except that `LeastPurchase` has an empty S and `Count` any
//! p(S). Every plan satisfies:
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
//!   the cost of kind v (see **kinds**), and adds w · (r ⌈b / d⌉ − p(S) − 1) to N.
//! * `LeastPurchase`, where S is empty: Σ_o q(o) y(o) ≥ M [v is bought]. M is the least of max(1, `min_packs`) · q(o) over the
//!   offers o of v whose order limit allows that many packs. Its weight w takes w · q(o) off every pack of an offer of v, and
//!   adds w · M to the cost of kind v.
//! * `Kind`: Σ_S p(c) x(c) ≤ free + (p(S) − free) · [v is bought]. Its weight adds w · p(c) to the option of each lot of S in
//!   v, takes w · (p(S) − free) off the cost of kind v (see **kinds**), and takes w · free off N.
//! * `Supplier` k, who sells all offers of v: Σ_S p(c) x(c) ≤ free + (p(S) − free) · [k is ordered from]. Its weight adds
//!   w · p(c) to the option of each lot of S in v, takes w · (p(S) − free) off k's states `Paying` and `Free`, and takes
//!   w · free off N.
//! * `Count`: z = Σ_S p(c) x(c) is a whole number between a least and a most, which are 0 and p(S) at the root and are narrowed by
//!   the splits on z. Its weight w, which may be negative, adds w · p(c) to the option of each lot of S in v, and takes
//!   w · most off N where w > 0, w · least where w < 0.
//!
//! # Why it holds
//!
//! 1. Take any plan of the leaf that is no worse on the earlier levels and has at most Y(o) packs of each offer (6). Each
//!    constraint above, written as (left side − right side) ≤ 0, times its multiplier, adds at most 0 to α · level; an
//!    equation, times a number of either sign, adds 0. So N, the least of the total over *all* choices, is at most α · level
//!    of this plan.
//! 2. The price paid for owned fluid u is price · (need − owned)⁺ ≥ (λ(u) / W) · (need − owned), in matching units.
//! 3. With t(v) = 1 where any packs of v are bought, Σ t ≤ `max_vessel_types` over the kinds that count, and an offer is bought only where t(v) = 1.
//! 4. If goods reach A, then Σ ⌈pack price / u⌉ n(o) ≥ Σ pack price · n(o) / u ≥ A / u, and a whole number ≥ A / u is ≥ ⌈A / u⌉.
//! 5. Once the tying constraints are relaxed, lots (or groups), offers, kinds and suppliers are independent: each takes its own
//!    minimum.
//! 6. If a plan has more than Y(o) packs of an offer, reduce them to Y(o): every constraint still holds and no level gets worse,
//!    because Y(o) packs alone hold all pieces that could be used and reach all goods that could be required. (If the order
//!    limit is below that, no plan has more.) So some best plan has at most Y(o) packs of each offer, and some leaf holds it.
//!
//! # Cost and limits
//!
//! One pass over the options of every lot for each set of multipliers, and over the offers for each leaf. Sums have 128 bits; a
//! sum that overflows gives no bound. No multiplier is above [`MOST`] in size. A covering cost takes up to 4096 steps for
//! each offer of a supplier with a minimum or a threshold.

use crate::decision::Aim;
use crate::rules::FluidId;
use crate::stock::{SupplierId, VesselId};

/// Upper limit of the size of a multiplier, so that sums over all lots fit in 128 bits.
pub const MOST: i64 = 1 << 60;

/// The state of a supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SupplierState {
    /// Nothing is ordered.
    Closed,
    /// The charge is paid and goods reach the minimum.
    Paying,
    /// Goods reach the minimum and the threshold; delivery is free.
    Free,
}

impl SupplierState {
    /// All states, in the order of the children of a split.
    pub const ALL: [SupplierState; 3] = [SupplierState::Closed, SupplierState::Paying, SupplierState::Free];
}

/// The proof of a lower bound of one level: a branch-and-bound tree.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Certificate {
    /// The tree in preorder: each split is followed by the subtrees of its children in order.
    pub nodes: Vec<Node>,
    /// The multipliers that leaves name.
    pub numbers: Vec<Numbers>,
    /// The groups whose lots splits count.
    pub groups: Vec<Group>,
    /// The cuts that have multipliers or that splits count.
    pub cuts: Vec<Cut>,
}

impl Certificate {
    /// Whether the tree has no node.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// One leaf in which the level has multiplier 1 and everything else 0.
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
    /// A leaf with its multipliers.
    Leaf {
        /// Position in [`Certificate::numbers`].
        numbers: usize,
    },
    /// A child for each of `Closed`, `Paying` and, where the supplier has a threshold, `Free`.
    Supplier(SupplierId),
    /// Two children: at most `at_most` packs of an offer, and more.
    Packs {
        /// Index into the stock's offers.
        offer: usize,
        /// Most packs in the first child.
        at_most: i64,
    },
    /// Two children: at most `at_most` pieces of a cut of the form [`CutForm::Count`], and more.
    Pieces {
        /// Position in [`Certificate::cuts`].
        cut: usize,
        /// Most pieces in the first child.
        at_most: i64,
    },
    /// Two children: at most `at_most` lots of a group in a place, and more.
    Lots {
        /// Position in [`Certificate::groups`].
        group: usize,
        /// The place whose lots are counted.
        place: LotChoice,
        /// Most lots in the first child.
        at_most: i64,
    },
}

/// The place of a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LotChoice {
    /// In one piece of this kind of vessel, or divided over several.
    Vessel(VesselId),
    /// In a tank made to measure, at a known price.
    Tank,
    /// Deferred.
    Waiting,
}

/// Lots with the same options, whose costs differ by a constant from lot to lot.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Group {
    /// Rows in the survey, ascending.
    pub rows: Vec<u32>,
    /// The larger group of which this group holds the lots with one constant. Splits count such a group only as `Waiting`, and
    /// never count the larger group as `Waiting`. Groups with the same `within` have no lot in common.
    pub within: Option<usize>,
}

/// A valid inequality of one vessel, or, of the form [`CutForm::Count`], an equation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// v.
    pub vessel: VesselId,
    /// Which inequality or equation.
    pub form: CutForm,
    /// S: rows in the survey, ascending, each with an option in v. A group whose lots a leaf restricts is in S as a whole or not
    /// at all. Empty only for the form [`CutForm::LeastPurchase`].
    pub rows: Vec<u32>,
}

/// The form of a cut: see the head of this file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CutForm {
    /// Whole packs, rounded by a divisor, with or without the required spare pieces.
    Packs {
        /// d, at least 1.
        divisor: i64,
        /// Whether b counts spare pieces.
        spares: bool,
    },
    /// Whole packs, rounded by a divisor: a kind that is bought is bought with at least one spare piece.
    SparePiece {
        /// d, at least 1.
        divisor: i64,
    },
    /// A kind that is bought is bought at least in its smallest order.
    LeastPurchase,
    /// The number of pieces that the lots of S take, which splits may limit.
    Count,
    /// Lots of S beyond the free pieces require that the kind is bought.
    Kind,
    /// Lots of S beyond the free pieces require an order from this supplier.
    Supplier(SupplierId),
}

/// The multipliers of a leaf. None is negative, except those of cuts of the form [`CutForm::Count`].
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct Numbers {
    /// α, d(q), m, f, b.
    pub weights: Weights,
    /// π(v) where not 0, in ascending order of vessel.
    pub prices: Vec<(VesselId, i64)>,
    /// g(k) where not 0, in ascending order of supplier.
    pub goods: Vec<(SupplierId, i64)>,
    /// λ(u) where not 0, in ascending order of fluid.
    pub owned: Vec<(FluidId, i64)>,
    /// σ.
    pub per_supplier: i64,
    /// θ.
    pub kinds: i64,
    /// θ(o) where not 0, in ascending order of index into the stock's offers.
    pub per_kind: Vec<(usize, i64)>,
    /// w where not 0, in ascending order of position in [`Certificate::cuts`].
    pub cuts: Vec<(usize, i64)>,
}

/// The multipliers of the levels and of the budget.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct Weights {
    /// h: per unit of the weighted number of deferred lots.
    pub weighted_deferred: i64,
    /// d(q): per deferred lot of priority 1 to 4.
    pub deferred: [i64; 4],
    /// m: per ten-millionth of weighed money.
    pub money: i64,
    /// f: per millilitre.
    pub fluid: i64,
    /// b: per ten-millionth of money that counts against the budget.
    pub budget: i64,
}

impl Weights {
    /// 1 for one level, 0 for all else.
    pub fn alone(aim: Aim) -> Self {
        let mut weights = Self::default();
        *weights.of_mut(aim) = 1;
        weights
    }

    /// The multiplier of one level, to be set.
    pub fn of_mut(&mut self, aim: Aim) -> &mut i64 {
        match aim {
            Aim::WeightedDeferred => &mut self.weighted_deferred,
            Aim::Deferred(priority) => &mut self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => &mut self.money,
            Aim::Fluid => &mut self.fluid,
        }
    }

    /// The multiplier of one level.
    pub fn of(&self, aim: Aim) -> i64 {
        match aim {
            Aim::WeightedDeferred => self.weighted_deferred,
            Aim::Deferred(priority) => self.deferred[usize::from(priority.clamp(1, 4)) - 1],
            Aim::Money => self.money,
            Aim::Fluid => self.fluid,
        }
    }

    /// What a deferred lot of a priority costs, if it counts `of_priority` in the weighted number: d(q) + h · ω(q).
    pub fn of_deferred(&self, priority: u8, of_priority: i64) -> i128 {
        i128::from(self.of(Aim::Deferred(priority))) + i128::from(self.weighted_deferred) * i128::from(of_priority)
    }

    /// The same with 0 for every aim but `aim` and those in `reached`.
    pub fn of_aims(mut self, aim: Aim, reached: &[(Aim, i64)]) -> Self {
        let counts = |other: Aim| other == aim || reached.iter().any(|(of, _)| *of == other);
        for other in Aim::ALL.into_iter().filter(|other| !counts(*other)) {
            *self.of_mut(other) = 0;
        }
        self
    }

    /// The same with 0 for every level after `aim`.
    pub fn up_to(mut self, aim: Aim) -> Self {
        for later in Aim::ALL.into_iter().filter(|later| *later > aim) {
            *self.of_mut(later) = 0;
        }
        self
    }
}
