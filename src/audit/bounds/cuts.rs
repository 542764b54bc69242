//! Cuts of the certificates: which lots each cut contains, the terms of its inequality, and what its weight adds to a bound.
//!
//! Formulas and notation are those of [`crate::decision::certificate`]. The *membership* of a row of the survey is the set of
//! cuts, of all levels, that contain it. Equal sets share one number (0: no cut), so memberships are compared as numbers, and
//! lots that are alike ([`super::alike`]) are evaluated together only where they are in the same cuts.

use std::collections::{BTreeMap, HashMap};

use super::numbers::{AtNumbers, PricedVessels, spare};
use super::{Least, ceiling};
use crate::decision::Certificate;
use crate::decision::certificate::{Cut, CutForm};
use crate::project::Project;
use crate::stock::{SupplierId, VesselId};
use crate::units::{index, number_of};

/// The cuts of all levels.
pub(super) struct Cuts<'a> {
    all: Vec<&'a Cut>,
    /// e of `Packs` cuts with spares.
    with_spares: i128,
    /// Membership by row of the survey; empty where there is no cut.
    of_row: Vec<u32>,
    /// By membership: the same set without its last cut, and that cut. Entry 0, the empty set, is never read.
    memberships: Vec<(u32, usize)>,
}

/// A cut that contains a lot, and how it weighs on that lot's option.
#[derive(Clone, Copy)]
pub(super) struct CutMember {
    /// Position among the cuts of all levels.
    cut: usize,
    vessel: VesselId,
    column: usize,
    /// e, or 1: the cut's weight times this is added for each piece.
    factor: i128,
}

impl<'a> Cuts<'a> {
    /// No cuts.
    pub(super) fn none(project: &Project) -> Self {
        let with_spares = ceiling(spare(project), 10_000);
        Cuts { all: Vec::new(), with_spares, of_row: Vec::new(), memberships: Vec::new() }
    }

    /// Adds the cuts of a certificate. Returns the position of the first.
    pub(super) fn add(&mut self, project: &Project, certificate: &'a Certificate) -> usize {
        let first = self.all.len();
        if self.of_row.is_empty() && !certificate.cuts.is_empty() {
            self.of_row = vec![0; project.collection.specimens.len()];
            self.memberships.push((0, usize::MAX));
        }
        for cut in &certificate.cuts {
            let mut with_it: HashMap<u32, u32> = HashMap::new();
            for row in &cut.rows {
                let of_row = &mut self.of_row[index(*row)];
                let before = *of_row;
                *of_row = *with_it.entry(before).or_insert_with(|| {
                    self.memberships.push((before, self.all.len()));
                    u32::try_from(self.memberships.len() - 1).expect("no more memberships than rows of cuts")
                });
            }
            self.all.push(cut);
        }
        first
    }

    pub(super) fn len(&self) -> usize {
        self.all.len()
    }

    /// Number of the set of cuts that contain a row of the survey.
    pub(super) fn membership(&self, row: usize) -> u32 {
        self.of_row.get(row).copied().unwrap_or(0)
    }

    /// The cuts that contain a row of the survey, by rising position.
    pub(super) fn of_row(&self, columns: &PricedVessels, row: usize) -> Vec<CutMember> {
        let mut members = Vec::new();
        let mut membership = self.membership(row);
        while membership != 0 {
            let (before, cut) = self.memberships[index(membership)];
            let Cut { vessel, form, .. } = *self.all[cut];
            let factor = self.factor(form);
            members.push(CutMember { cut, vessel, column: columns.of_vessel(vessel), factor });
            membership = before;
        }
        members.reverse();
        members
    }

    /// The terms of every cut, once all lots are added up.
    pub(super) fn held(&self, project: &Project, lots: &[CutLots]) -> Vec<CutTerms> {
        self.all.iter().zip(lots).map(|(cut, lots)| CutTerms::of(project, cut, lots, self.factor(cut.form))).collect()
    }

    /// e for `Packs` with spares, 1 for the other forms.
    fn factor(&self, form: CutForm) -> i128 {
        match form {
            CutForm::Packs { spares: true, .. } => self.with_spares,
            _ => 1,
        }
    }
}

/// The lots of S that have an option in the vessel of the cut.
#[derive(Clone, Copy, Default)]
pub(super) struct CutLots {
    lots: i128,
    /// p(S).
    pieces: i128,
}

impl CutLots {
    pub(super) fn add(&mut self, lots: i128, pieces: i128) {
        self.lots += lots;
        self.pieces += pieces;
    }

    pub(super) fn and(self, other: Self) -> Self {
        CutLots { lots: self.lots + other.lots, pieces: self.pieces + other.pieces }
    }
}

impl CutMember {
    /// Position of the cut, and its vessel.
    pub(super) fn counts(&self) -> (usize, VesselId) {
        (self.cut, self.vessel)
    }
}

/// Faults of a certificate's cuts that only the survey shows: position of the cut, message.
pub(super) fn wrong(project: &Project, certificate: &Certificate, lots: &[CutLots]) -> Vec<(usize, String)> {
    let of_cut = |(position, (cut, lots)): (usize, (&Cut, &CutLots))| {
        let free = i128::from(project.stock.vessel(cut.vessel).free_pieces());
        let wrong = match () {
            () if lots.lots != i128::from(number_of(cut.rows.len())) => "a lot that may not have its vessel",
            () if matches!(cut.form, CutForm::LeastPurchase | CutForm::Count) => return None,
            () if lots.pieces <= free => "no more pieces than are free",
            () => return None,
        };
        Some((position, wrong.to_owned()))
    };
    certificate.cuts.iter().zip(lots).enumerate().filter_map(of_cut).collect()
}

/// M: the fewest pieces that one purchase of a vessel has, over the offers whose order limit allows `min_packs`. `None` without
/// such an offer.
pub(super) fn smallest_order(project: &Project, vessel: VesselId) -> Option<i128> {
    let of_vessel = project.stock.offers.iter().filter(|offer| offer.vessel == vessel);
    let pieces = of_vessel.filter_map(|offer| {
        let pieces = i128::from(offer.min_packs.max(1)) * i128::from(offer.pack_size);
        offer.order_limit.is_none_or(|limit| pieces <= i128::from(limit)).then_some(pieces)
    });
    pieces.min()
}

/// The inequality of a cut, in numbers.
pub(super) struct CutTerms {
    vessel: VesselId,
    says: Inequality,
}

enum Inequality {
    /// `Packs` and `SparePiece`: d, r, and what a weight of 1 adds to N, r ⌈b / d⌉ − e p(S) or r ⌈b / d⌉ − p(S) − 1, `None`
    /// beyond 128 bits. `by_kind` for `SparePiece`: its weight also adds to the cost of the kind.
    Packs { divisor: i128, remainder: i128, constant: Option<i128>, by_kind: bool },
    /// `LeastPurchase`: M.
    Least { pieces: i128 },
    /// `Count`: p(S).
    Count { most: i128 },
    /// `Kind` (`by` is `None`) and `Supplier`: p(S) − free, and free.
    Opened { by: Option<SupplierId>, beyond: i128, free: i128 },
}

impl CutTerms {
    fn of(project: &Project, cut: &Cut, lots: &CutLots, factor: i128) -> Self {
        let free = i128::from(project.stock.vessel(cut.vessel).free_pieces());
        let beyond = lots.pieces - free;
        let says = match cut.form {
            CutForm::Packs { divisor, spares } => {
                let asked = if spares { ceiling(beyond * spare(project), 10_000) } else { beyond };
                Inequality::packs(divisor, asked, factor.checked_mul(lots.pieces), false)
            }
            CutForm::SparePiece { divisor } => Inequality::packs(divisor, beyond + 1, lots.pieces.checked_add(1), true),
            CutForm::LeastPurchase => Inequality::Least { pieces: smallest_order(project, cut.vessel).unwrap_or(0) },
            CutForm::Count => Inequality::Count { most: lots.pieces },
            CutForm::Kind => Inequality::Opened { by: None, beyond, free },
            CutForm::Supplier(supplier) => Inequality::Opened { by: Some(supplier), beyond, free },
        };
        CutTerms { vessel: cut.vessel, says }
    }
}

impl Inequality {
    /// Mixed-integer rounding by `divisor` of b = `asked`; `given` is e p(S) or p(S) + 1, `None` beyond 128 bits.
    fn packs(divisor: i64, asked: i128, given: Option<i128>, by_kind: bool) -> Self {
        let divisor = i128::from(divisor);
        let times = ceiling(asked, divisor);
        let remainder = asked - divisor * (times - 1);
        let constant = remainder.checked_mul(times).zip(given).and_then(|(all, given)| all.checked_sub(given));
        Inequality::Packs { divisor, remainder, constant, by_kind }
    }
}

/// What the cuts take off orders at one set of numbers. A sum is `None` beyond 128 bits.
#[derive(Default)]
pub(super) struct Reductions {
    /// By vessel: weight, d and r of each cut that takes something off its packs.
    packs: BTreeMap<VesselId, Vec<(i128, i128, i128)>>,
    /// By vessel: taken off the cost of the kind; below 0 where cuts add to it.
    kinds: BTreeMap<VesselId, Option<i128>>,
    /// By supplier: taken off the states `Paying` and `Free`.
    suppliers: BTreeMap<SupplierId, Option<i128>>,
}

impl Reductions {
    pub(super) fn of(at: &AtNumbers, held: &[CutTerms]) -> Self {
        let mut taken = Reductions::default();
        for (weight, held) in at.cuts(held) {
            match held.says {
                Inequality::Packs { divisor, remainder, by_kind, .. } => {
                    taken.packs.entry(held.vessel).or_default().push((weight, divisor, remainder));
                    if by_kind {
                        taken.add_to_kind(held.vessel, Some(weight));
                    }
                }
                Inequality::Least { pieces } => {
                    taken.packs.entry(held.vessel).or_default().push((weight, 1, 1));
                    taken.add_to_kind(held.vessel, weight.checked_mul(pieces));
                }
                Inequality::Count { .. } => {}
                Inequality::Opened { by, beyond, .. } => {
                    let sum = match by {
                        None => taken.kinds.entry(held.vessel).or_insert(Some(0)),
                        Some(supplier) => taken.suppliers.entry(supplier).or_insert(Some(0)),
                    };
                    *sum = sum.and_then(|sum| sum.checked_add(weight.checked_mul(beyond)?));
                }
            }
        }
        taken
    }

    /// Adds to the cost of a kind.
    fn add_to_kind(&mut self, vessel: VesselId, more: Option<i128>) {
        let sum = self.kinds.entry(vessel).or_insert(Some(0));
        *sum = sum.and_then(|sum| sum.checked_sub(more?));
    }

    /// Taken off one pack of `size` pieces of a vessel.
    pub(super) fn pack(&self, vessel: VesselId, size: u32) -> Option<i128> {
        let size = i128::from(size);
        let mut sum = 0_i128;
        for (weight, divisor, remainder) in self.packs.get(&vessel).into_iter().flatten() {
            let of_pack = remainder.checked_mul(size / divisor)?.checked_add((size % divisor).min(*remainder))?;
            sum = sum.checked_add(weight.checked_mul(of_pack)?)?;
        }
        Some(sum)
    }

    /// Taken off the cost of a kind.
    pub(super) fn kind(&self, vessel: VesselId) -> Option<i128> {
        self.kinds.get(&vessel).copied().unwrap_or(Some(0))
    }

    /// Taken off the states `Paying` and `Free` of a supplier.
    pub(super) fn supplier(&self, supplier: SupplierId) -> Option<i128> {
        self.suppliers.get(&supplier).copied().unwrap_or(Some(0))
    }
}

impl AtNumbers<'_> {
    /// Weight and terms of each cut that these numbers weigh.
    fn cuts<'b>(&self, held: &'b [CutTerms]) -> impl Iterator<Item = (i128, &'b CutTerms)> {
        self.numbers.cuts.iter().map(move |(cut, weight)| (i128::from(*weight), &held[self.first_cut + cut]))
    }

    /// What `Count` cuts add to N in a leaf. `limits` holds least and most pieces by cut.
    pub(super) fn of_counts(&self, held: &[CutTerms], limits: &BTreeMap<usize, (i64, Option<i64>)>) -> Least {
        let mut sum = Least::Of(0);
        for (cut, weight) in &self.numbers.cuts {
            let Inequality::Count { most: all } = held[self.first_cut + cut].says else { continue };
            let (least, most) = limits.get(cut).copied().unwrap_or((0, None));
            let most = most.map_or(all, |most| all.min(most.into()));
            let pieces = if *weight > 0 { most } else { least.into() };
            sum = sum.and(Least::of(i128::from(*weight).checked_mul(-pieces)));
        }
        sum
    }

    /// What the other cuts add to N in every leaf.
    pub(super) fn of_cuts(&self, held: &[CutTerms]) -> Least {
        let of_cut = |(weight, held): (i128, &CutTerms)| match held.says {
            Inequality::Packs { constant, .. } => Least::of(constant.and_then(|constant| constant.checked_mul(weight))),
            Inequality::Least { .. } | Inequality::Count { .. } => Least::Of(0),
            Inequality::Opened { free, .. } => Least::of(weight.checked_mul(-free)),
        };
        self.cuts(held).map(of_cut).fold(Least::Of(0), Least::and)
    }

    /// By column of the vessel, what the cuts that contain a lot add to the cost of each of its pieces.
    pub(super) fn cut_cost(&self, members: &[CutMember]) -> Option<Vec<(usize, i128)>> {
        let weights = &self.numbers.cuts;
        let mut cut_cost: Vec<(usize, i128)> = Vec::new();
        if weights.is_empty() {
            return Some(cut_cost);
        }
        let own = members.iter().filter(|member| member.cut >= self.first_cut);
        for member in own {
            let Ok(found) = weights.binary_search_by_key(&(member.cut - self.first_cut), |(cut, _)| *cut) else {
                continue;
            };
            let more = i128::from(weights[found].1).checked_mul(member.factor)?;
            match cut_cost.iter_mut().find(|(column, _)| *column == member.column) {
                Some((_, sum)) => *sum = sum.checked_add(more)?,
                None => cut_cost.push((member.column, more)),
            }
        }
        Some(cut_cost)
    }
}
