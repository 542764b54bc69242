//! Cuts of single vessels.
//!
//! Problem: in the relaxation a lot in a vessel sold by the dozen pays for a twelfth of a pack, and for a fraction of t(v) or of
//! a supplier's charge. Whole packs, kinds and orders cost more.
//!
//! Notation: S a set of classes; p(c) pieces a lot of class c takes of vessel v, n(c) its lots, x(c) those in v; y(o) packs of
//! offer o of v, q(o) their size; p(S) = Σ_S p n.
//!
//! Method: mixed-integer rounding (H. Marchand and L. A. Wolsey, "Aggregation and mixed integer rounding to solve MIPs",
//! Operations Research 49 (2001) 363–371; for one pack size the residual-capacity inequality of T. L. Magnanti, P. Mirchandani
//! and R. Vachani, "The convex hull of two core capacitated network design problems", Mathematical Programming 60 (1993)
//! 233–250), and variable upper bounds as in facility location; both from memory. The inequalities stand in
//! [`crate::decision::certificate`]. Separation: for each vessel the classes are sorted by the share of their lots that is in v,
//! largest first. Every prefix of that order is tried as S, with the pack sizes as divisors, and with 1 if spares are required.
//!
//! Why they hold: pieces bought are whole and cover the pieces used beyond the free ones, with their spares. If t pieces fewer
//! than p(S) are used, the pieces to be bought fall by at most ⌈1 + spare⌉ t. If spares are required and a kind is bought, at
//! least one piece is spare. No cut uses the limits of a node, so all hold in every node.
//!
//! Cost: for each round, vessel, form and divisor a pass over the classes in that vessel, after a sort.

use super::formulation::Formulation;
use super::instance::Instance;
use crate::decision::certificate::CutForm;
use crate::decision::{ChoiceIndex, ClassIndex, SupplierIndex, SupplyIndex};
use crate::units::{IndexTable, Packs, number_of};

/// A cut of one vessel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VesselCut {
    /// Which vessel.
    pub supply: SupplyIndex,
    /// Which inequality or equation.
    pub form: CutForm,
    /// For the form `Supplier`, the supplier.
    pub supplier: Option<SupplierIndex>,
    /// S: class and choice, in the order of classes.
    pub lots: Vec<(ClassIndex, ChoiceIndex)>,
}

/// The coefficients of a cut: Σ packs · y + indicator · \[bought or ordered from\] − each · Σ p x ≥ constant.
pub struct Coefficients {
    /// By offer of the vessel.
    pub packs: Vec<i64>,
    /// Of t(v), or of P(k) + F(k).
    pub indicator: i64,
    /// Of each piece that lots of S use.
    pub each: i64,
    /// The right-hand side.
    pub constant: i64,
}

impl VesselCut {
    /// Its coefficients; `None` if every plan satisfies it trivially.
    pub fn coefficients(&self, instance: &Instance) -> Option<Coefficients> {
        coefficients(instance, self.supply, self.form, self.pieces(instance))
    }

    /// p(S).
    pub fn pieces(&self, instance: &Instance) -> i64 {
        self.lots.iter().map(|&(class, choice)| pieces(instance, class, choice)).sum()
    }
}

fn coefficients(instance: &Instance, supply: SupplyIndex, form: CutForm, pieces: i64) -> Option<Coefficients> {
    let question = instance.question;
    let supply = &question.supplies[supply];
    if form == CutForm::Count {
        // Its right-hand side depends on the limits of the leaf.
        return Some(Coefficients { packs: vec![0; supply.offers.len()], indicator: 0, each: 1, constant: 0 });
    }
    if form == CutForm::LeastPurchase {
        let packs: Vec<i64> = supply.offers.iter().map(|offer| offer.pack_size.0).collect();
        let fewest = supply.offers.iter().map(|offer| (offer.pack_size * offer.min_packs.max(Packs(1))).0).min()?;
        return Some(Coefficients { packs, indicator: -fewest, each: 0, constant: 0 });
    }
    let free = supply.free.0;
    let beyond = pieces - free;
    if beyond <= 0 {
        return None;
    }
    let none = || vec![0; supply.offers.len()];
    // Divisor d, pieces to be bought b with e, and 1 if one of the b pieces is required only if the kind is bought.
    let (d, (b, each), spare_piece) = match form {
        CutForm::Packs { divisor, spares } => (divisor, rounded(question.limits.spare_per_10_000, beyond, spares), 0),
        CutForm::SparePiece { divisor } => (divisor, (beyond + 1, 1), 1),
        CutForm::Count | CutForm::LeastPurchase | CutForm::Kind | CutForm::Supplier(_) => {
            return Some(Coefficients { packs: none(), indicator: beyond, each: 1, constant: -free });
        }
    };
    let r = (b - 1).rem_euclid(d) + 1;
    let packs =
        supply.offers.iter().map(|offer| offer.pack_size.0).map(|size| r * (size / d) + (size % d).min(r)).collect();
    let constant = r * ((b + d - 1) / d) - each * pieces - spare_piece;
    Some(Coefficients { packs, indicator: -spare_piece, each, constant })
}

/// b and e: the pieces to be bought if `beyond` are used beyond the free ones, and by how many they fall for each piece fewer.
fn rounded(spare_per_10_000: i64, beyond: i64, spares: bool) -> (i64, i64) {
    let with = |pieces: i64| (pieces * (10_000 + spare_per_10_000) + 9_999) / 10_000;
    if spares { (with(beyond), with(1)) } else { (beyond, 1) }
}

/// Pieces that the lots of a class take if all are in one choice.
fn pieces(instance: &Instance, class: ClassIndex, choice: ChoiceIndex) -> i64 {
    let of = &instance.question.classes[class];
    of.choices[choice].pieces.0 * number_of(of.members.len())
}

/// The cuts that the last solution violates most, at most one for each vessel and form.
pub fn broken(instance: &Instance, formulation: &Formulation, users: &Users) -> Vec<VesselCut> {
    let mut cuts: Vec<(f64, VesselCut)> = Vec::new();
    for (supply, users) in users.enumerated() {
        if let Some(cut) = least_purchase(instance, formulation, supply) {
            cuts.push(cut);
        }
        let order = in_vessel(instance, formulation, users);
        if order.is_empty() {
            continue;
        }
        for (form, supplier) in forms(instance, formulation, supply) {
            let mut best: Option<(f64, usize)> = None;
            let (mut all, mut used) = (0, 0.0);
            for (at, &(share, class, choice)) in order.iter().enumerate() {
                let pieces = pieces(instance, class, choice);
                all += pieces;
                used += pieces as f64 * share;
                let Some(cut) = coefficients(instance, supply, form, all) else { continue };
                let scale =
                    cut.packs.iter().fold(cut.indicator.abs() + cut.each, |most, packs| most.max(*packs)) as f64;
                let left = left_side(formulation, instance, supply, supplier, &cut) - cut.each as f64 * used;
                let violation = (cut.constant as f64 - left) / (1.0 + scale);
                if violation > 1e-3 && best.is_none_or(|(most, _)| violation > most) {
                    best = Some((violation, at));
                }
            }
            if let Some((violation, at)) = best {
                let mut lots: Vec<(ClassIndex, ChoiceIndex)> =
                    order[..=at].iter().map(|&(_, class, choice)| (class, choice)).collect();
                lots.sort_unstable();
                cuts.push((violation, VesselCut { supply, form, supplier, lots }));
            }
        }
    }
    cuts.sort_by(|a, b| b.0.total_cmp(&a.0));
    cuts.into_iter().take(MOST_A_ROUND).map(|(_, cut)| cut).collect()
}

/// The violation and the `LeastPurchase` cut of a vessel, if the last solution violates it.
fn least_purchase(instance: &Instance, formulation: &Formulation, supply: SupplyIndex) -> Option<(f64, VesselCut)> {
    formulation.kinds[supply]?;
    let form = CutForm::LeastPurchase;
    let cut = coefficients(instance, supply, form, 0)?;
    let violation = -left_side(formulation, instance, supply, None, &cut) / (1 - cut.indicator) as f64;
    (violation > 1e-3).then(|| (violation, VesselCut { supply, form, supplier: None, lots: Vec::new() }))
}

/// Share of the lots of a class that is in a choice.
type ClassShare = (f64, ClassIndex, ChoiceIndex);

/// Classes with lots in a vessel in the last solution, largest share first.
fn in_vessel(instance: &Instance, formulation: &Formulation, users: &[(ClassIndex, ChoiceIndex)]) -> Vec<ClassShare> {
    let values = formulation.simplex.values();
    let share = |&(class, choice): &(ClassIndex, ChoiceIndex)| {
        let n = instance.question.classes[class].members.len() as f64;
        (values[formulation.column_of(class, choice)] / n, class, choice)
    };
    let mut order: Vec<ClassShare> = users.iter().map(share).filter(|(share, ..)| *share > 1e-6).collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    order
}

/// The forms of cuts of a vessel that the last solution may violate.
fn forms(instance: &Instance, formulation: &Formulation, supply: SupplyIndex) -> Vec<(CutForm, Option<SupplierIndex>)> {
    let values = formulation.simplex.values();
    let fractional = |value: f64| (value - value.round()).abs() > 1e-6;
    let offers = instance.offers_in(supply).positions();
    let mut forms = Vec::new();
    let spares = instance.question.limits.spare_per_10_000 > 0;
    let kind = formulation.kinds[supply];
    let kind_is_open = kind.is_some_and(|kind| fractional(values[kind]));
    // With spares a cut may be violated at whole packs too: a fractional number of pieces used may fill them.
    let open = |packs: f64| fractional(packs) || (spares && packs > 1e-6);
    if offers.clone().any(|offer| open(values[formulation.packs_of(offer)])) || (spares && kind_is_open) {
        let mut divisors: Vec<i64> = offers.clone().map(|offer| instance.offers[offer].terms.pack_size.0).collect();
        if spares {
            divisors.push(1);
        }
        divisors.sort_unstable();
        divisors.dedup();
        for divisor in divisors {
            forms.push((CutForm::Packs { divisor, spares: false }, None));
            if spares {
                forms.push((CutForm::Packs { divisor, spares: true }, None));
                forms.push((CutForm::SparePiece { divisor }, None));
            }
        }
    }
    if kind_is_open {
        forms.push((CutForm::Kind, None));
    }
    let mut suppliers = offers.map(|offer| instance.offers[offer].terms.supplier);
    if let Some(Some(supplier)) = suppliers.next()
        && suppliers.all(|other| other == Some(supplier))
        && formulation.suppliers[supplier].iter().flatten().any(|&column| fractional(values[column]))
    {
        let id = instance.question.suppliers[supplier].supplier;
        forms.push((CutForm::Supplier(id), Some(supplier)));
    }
    forms
}

/// The terms of packs and indicator on the left-hand side of a cut in the last solution.
fn left_side(
    formulation: &Formulation,
    instance: &Instance,
    supply: SupplyIndex,
    supplier: Option<SupplierIndex>,
    cut: &Coefficients,
) -> f64 {
    let values = formulation.simplex.values();
    let offers = instance.offers_in(supply).positions();
    let packs: f64 = offers.zip(&cut.packs).map(|(offer, &a)| a as f64 * values[formulation.packs_of(offer)]).sum();
    let indicator: f64 = match supplier {
        Some(supplier) => formulation.suppliers[supplier].iter().flatten().map(|&column| values[column]).sum(),
        None => formulation.kinds[supply].map_or(0.0, |kind| values[kind]),
    };
    packs + cut.indicator as f64 * indicator
}

/// Most cuts that are added in one round.
pub const MOST_A_ROUND: usize = 60;

/// By supply, the classes and choices that use it.
pub type Users = IndexTable<SupplyIndex, Vec<(ClassIndex, ChoiceIndex)>>;

/// By supply, the classes and choices that use it.
pub fn users(instance: &Instance) -> Users {
    let mut users = instance.question.supplies.filled(Vec::new());
    for (at, class) in instance.question.classes.enumerated() {
        for (number, choice) in class.choices.enumerated() {
            if let Some(supply) = choice.supply {
                users[supply].push((at, number));
            }
        }
    }
    users
}

impl Formulation {
    /// Adds a cut to the programme.
    pub fn add_cut(&mut self, instance: &Instance, cut: VesselCut) {
        if self.cuts.contains(&cut) {
            return;
        }
        let Some(coefficients) = cut.coefficients(instance) else { return };
        let offers = instance.offers_in(cut.supply).positions();
        let mut entries: Vec<(usize, f64)> =
            offers.zip(&coefficients.packs).map(|(offer, &a)| (self.packs_of(offer), a as f64)).collect();
        let indicator = coefficients.indicator as f64;
        match cut.supplier {
            Some(supplier) => {
                entries.extend(self.suppliers[supplier].iter().flatten().map(|&column| (column, indicator)))
            }
            None => entries.extend(self.kinds[cut.supply].map(|kind| (kind, indicator))),
        }
        entries.extend(cut.lots.iter().map(|&(class, choice)| {
            let pieces = instance.choices(class)[choice].pieces.0 as f64;
            (self.column_of(class, choice), -coefficients.each as f64 * pieces)
        }));
        entries.retain(|(_, a)| *a != 0.0);
        let row = self.simplex.add_row((coefficients.constant as f64, f64::INFINITY), &entries);
        self.rows.cuts.push(row);
        self.cuts.push(cut);
    }
}
