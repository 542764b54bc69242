//! Cuts: which lots are in which, what those hold, and what the weights of cuts come to.
//!
//! A row of the survey has a *membership*: the cuts, of all levels, that it is in. Rows of one membership share its number, so
//! a row in no cut costs a comparison, and lots that are alike stay together where they are in the same cuts.

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
    /// e, with spare pieces.
    with_spares: i128,
    /// By row of the survey, its membership; empty where there is no cut.
    of_row: Vec<u32>,
    /// By membership, the one that lacks its last cut, and that cut. That of number 0, in no cut, is never looked at.
    memberships: Vec<(u32, usize)>,
}

/// A cut that a lot is in.
#[derive(Clone, Copy)]
pub(super) struct CutMember {
    /// By position among those of all levels.
    cut: usize,
    vessel: VesselId,
    column: usize,
    /// e, or 1: what its weight is multiplied by for each piece.
    factor: i128,
}

impl<'a> Cuts<'a> {
    /// None yet.
    pub(super) fn none(project: &Project) -> Self {
        let with_spares = ceiling(spare(project), 10_000);
        Cuts { all: Vec::new(), with_spares, of_row: Vec::new(), memberships: Vec::new() }
    }

    /// Adds those of a certificate, and tells where they begin.
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

    /// Which cuts a row of the survey is in, as a number.
    pub(super) fn membership(&self, row: usize) -> u32 {
        self.of_row.get(row).copied().unwrap_or(0)
    }

    /// The cuts that a row of the survey is in, in their order.
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

    /// What the lots of every cut hold, once all lots are added up.
    pub(super) fn held(&self, project: &Project, lots: &[InCut]) -> Vec<CutTerms> {
        self.all.iter().zip(lots).map(|(cut, lots)| CutTerms::of(project, cut, lots, self.factor(cut.form))).collect()
    }

    /// e, or 1 where a cut counts no spare pieces.
    fn factor(&self, form: CutForm) -> i128 {
        match form {
            CutForm::Packs { spares: true, .. } => self.with_spares,
            _ => 1,
        }
    }
}

/// Lots of a cut that have an option in its vessel.
#[derive(Clone, Copy, Default)]
pub(super) struct InCut {
    lots: i128,
    /// p(S).
    pieces: i128,
}

impl InCut {
    pub(super) fn add(&mut self, lots: i128, pieces: i128) {
        self.lots += lots;
        self.pieces += pieces;
    }

    pub(super) fn and(self, other: Self) -> Self {
        InCut { lots: self.lots + other.lots, pieces: self.pieces + other.pieces }
    }
}

impl CutMember {
    /// The cut, and the vessel of which it counts the pieces.
    pub(super) fn counts(&self) -> (usize, VesselId) {
        (self.cut, self.vessel)
    }
}

/// What is wrong with the cuts of a certificate once the survey was gone through, by position.
pub(super) fn wrong(project: &Project, certificate: &Certificate, lots: &[InCut]) -> Vec<(usize, String)> {
    let of_cut = |(position, (cut, lots)): (usize, (&Cut, &InCut))| {
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

/// The fewest pieces that may be bought of a vessel, if any: those of the fewest packs of an offer whose order limit allows them.
pub(super) fn smallest_order(project: &Project, vessel: VesselId) -> Option<i128> {
    let of_vessel = project.stock.offers.iter().filter(|offer| offer.vessel == vessel);
    let pieces = of_vessel.filter_map(|offer| {
        let pieces = i128::from(offer.min_packs.max(1)) * i128::from(offer.pack_size);
        offer.order_limit.is_none_or(|limit| pieces <= i128::from(limit)).then_some(pieces)
    });
    pieces.min()
}

/// What a cut says, in numbers.
pub(super) struct CutTerms {
    vessel: VesselId,
    says: Says,
}

enum Says {
    /// Packs: d and r, and what the sum gets, r ⌈b / d⌉ − e p(S) or r ⌈b / d⌉ − p(S) − 1, if 128 bits hold it; `by_kind` where
    /// the kind costs one weight more.
    Packs { divisor: i128, remainder: i128, less: Option<i128>, by_kind: bool },
    /// Packs, and the pieces of the smallest order.
    Least { pieces: i128 },
    /// The pieces that the lots take: all of them.
    Count { most: i128 },
    /// A purchase of the vessel, or an order: p(S) − free, and free.
    Opened { by: Option<SupplierId>, beyond: i128, free: i128 },
}

impl CutTerms {
    fn of(project: &Project, cut: &Cut, lots: &InCut, factor: i128) -> Self {
        let free = i128::from(project.stock.vessel(cut.vessel).free_pieces());
        let beyond = lots.pieces - free;
        let says = match cut.form {
            CutForm::Packs { divisor, spares } => {
                let asked = if spares { ceiling(beyond * spare(project), 10_000) } else { beyond };
                Says::packs(divisor, asked, factor.checked_mul(lots.pieces), false)
            }
            CutForm::SparePiece { divisor } => Says::packs(divisor, beyond + 1, lots.pieces.checked_add(1), true),
            CutForm::LeastPurchase => Says::Least { pieces: smallest_order(project, cut.vessel).unwrap_or(0) },
            CutForm::Count => Says::Count { most: lots.pieces },
            CutForm::Kind => Says::Opened { by: None, beyond, free },
            CutForm::Supplier(supplier) => Says::Opened { by: Some(supplier), beyond, free },
        };
        CutTerms { vessel: cut.vessel, says }
    }
}

impl Says {
    /// That packs, rounded by a divisor, hold so many pieces, less what the left side gives whatever the plan.
    fn packs(divisor: i64, asked: i128, given: Option<i128>, by_kind: bool) -> Self {
        let divisor = i128::from(divisor);
        let times = ceiling(asked, divisor);
        let remainder = asked - divisor * (times - 1);
        let less = remainder.checked_mul(times).zip(given).and_then(|(all, given)| all.checked_sub(given));
        Says::Packs { divisor, remainder, less, by_kind }
    }
}

/// What the cuts take off orders at one set of numbers; no sum is known that leaves 128 bits.
#[derive(Default)]
pub(super) struct Taken {
    /// By vessel, the weight, d and r of each cut of packs.
    packs: BTreeMap<VesselId, Vec<(i128, i128, i128)>>,
    /// By vessel, off what buying any costs; below 0 where cuts add to it.
    kinds: BTreeMap<VesselId, Option<i128>>,
    /// Off any order.
    suppliers: BTreeMap<SupplierId, Option<i128>>,
}

impl Taken {
    pub(super) fn of(at: &AtNumbers, held: &[CutTerms]) -> Self {
        let mut taken = Taken::default();
        for (weight, held) in at.cuts(held) {
            match held.says {
                Says::Packs { divisor, remainder, by_kind, .. } => {
                    taken.packs.entry(held.vessel).or_default().push((weight, divisor, remainder));
                    if by_kind {
                        taken.add_to_kind(held.vessel, Some(weight));
                    }
                }
                Says::Least { pieces } => {
                    taken.packs.entry(held.vessel).or_default().push((weight, 1, 1));
                    taken.add_to_kind(held.vessel, weight.checked_mul(pieces));
                }
                Says::Count { .. } => {}
                Says::Opened { by, beyond, .. } => {
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

    /// What a cut adds to what buying any of a vessel costs.
    fn add_to_kind(&mut self, vessel: VesselId, more: Option<i128>) {
        let sum = self.kinds.entry(vessel).or_insert(Some(0));
        *sum = sum.and_then(|sum| sum.checked_sub(more?));
    }

    /// Off a pack of so many pieces of a vessel.
    pub(super) fn pack(&self, vessel: VesselId, size: u32) -> Option<i128> {
        let size = i128::from(size);
        let mut sum = 0_i128;
        for (weight, divisor, remainder) in self.packs.get(&vessel).into_iter().flatten() {
            let of_pack = remainder.checked_mul(size / divisor)?.checked_add((size % divisor).min(*remainder))?;
            sum = sum.checked_add(weight.checked_mul(of_pack)?)?;
        }
        Some(sum)
    }

    /// Off buying any of a vessel.
    pub(super) fn kind(&self, vessel: VesselId) -> Option<i128> {
        self.kinds.get(&vessel).copied().unwrap_or(Some(0))
    }

    /// Off ordering from a supplier.
    pub(super) fn supplier(&self, supplier: SupplierId) -> Option<i128> {
        self.suppliers.get(&supplier).copied().unwrap_or(Some(0))
    }
}

impl AtNumbers<'_> {
    /// Each cut that has a weight.
    fn cuts<'b>(&self, held: &'b [CutTerms]) -> impl Iterator<Item = (i128, &'b CutTerms)> {
        self.numbers.cuts.iter().map(move |(cut, weight)| (i128::from(*weight), &held[self.first_cut + cut]))
    }

    /// What counts take off a leaf that limits them so: by cut, least and most pieces.
    pub(super) fn of_counts(&self, held: &[CutTerms], limits: &BTreeMap<usize, (i64, Option<i64>)>) -> Least {
        let mut sum = Least::Of(0);
        for (cut, weight) in &self.numbers.cuts {
            let Says::Count { most: all } = held[self.first_cut + cut].says else { continue };
            let (least, most) = limits.get(cut).copied().unwrap_or((0, None));
            let most = most.map_or(all, |most| all.min(most.into()));
            let pieces = if *weight > 0 { most } else { least.into() };
            sum = sum.and(Least::of(i128::from(*weight).checked_mul(-pieces)));
        }
        sum
    }

    /// What the weights of cuts add to every leaf.
    pub(super) fn of_cuts(&self, held: &[CutTerms]) -> Least {
        let of_cut = |(weight, held): (i128, &CutTerms)| match held.says {
            Says::Packs { less, .. } => Least::of(less.and_then(|less| less.checked_mul(weight))),
            Says::Least { .. } | Says::Count { .. } => Least::Of(0),
            Says::Opened { free, .. } => Least::of(weight.checked_mul(-free)),
        };
        self.cuts(held).map(of_cut).fold(Least::Of(0), Least::and)
    }

    /// What a piece of each vessel, by column, costs a lot more for the cuts that it is in.
    pub(super) fn beside(&self, members: &[CutMember]) -> Option<Vec<(usize, i128)>> {
        let weights = &self.numbers.cuts;
        let mut beside: Vec<(usize, i128)> = Vec::new();
        if weights.is_empty() {
            return Some(beside);
        }
        let own = members.iter().filter(|member| member.cut >= self.first_cut);
        for member in own {
            let Ok(found) = weights.binary_search_by_key(&(member.cut - self.first_cut), |(cut, _)| *cut) else {
                continue;
            };
            let more = i128::from(weights[found].1).checked_mul(member.factor)?;
            match beside.iter_mut().find(|(column, _)| *column == member.column) {
                Some((_, sum)) => *sum = sum.checked_add(more)?,
                None => beside.push((member.column, more)),
            }
        }
        Some(beside)
    }
}
