//! Residual-capacity cuts of single vessels.
//!
//! Problem: with divisible packs a lot in a vessel sold by the dozen pays a twelfth of a pack. Whole packs cost more.
//!
//! Notation: S a set of classes; p(c) pieces a lot of class c takes of vessel v, n(c) its lots, x(c) those in v; y(o) packs of
//! offer o of v, q(o) their size. Pieces bought cover pieces used beyond the free ones, so with b = Σ_S p n − free
//!
//! Σ q(o) y(o) + t ≥ b,  where t = Σ_S p (n − x) ≥ 0.
//!
//! Method: mixed-integer rounding of this row by a divisor d, with r the remainder of b by d (1 to d):
//!
//! Σ (r ⌊q(o) / d⌋ + min(q(o) mod d, r)) y(o) + t ≥ r ⌈b / d⌉.
//!
//! Why it holds: y is whole and t is not negative (H. Marchand and L. A. Wolsey, "Aggregation and mixed integer rounding to
//! solve MIPs", Operations Research 49 (2001) 363–371; for one pack size the residual-capacity inequality of T. L. Magnanti,
//! P. Mirchandani and R. Vachani, "The convex hull of two core capacitated network design problems", Mathematical
//! Programming 60 (1993) 233–250; both from memory). It is derived from data of the whole, so it holds in every node.
//!
//! Cost: one pass over the pairs of classes and vessels for each round. Limits: spare pieces are left out of account, which
//! makes cuts weaker, not wrong.

use super::formulation::{Formulation, Rows};
use super::instance::Instance;

/// A cut of one vessel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Which vessel, by position among the supplies.
    pub supply: usize,
    /// d.
    pub divisor: i64,
    /// S: class and choice, in the order of classes.
    pub lots: Vec<(usize, usize)>,
}

/// The parts of a cut that follow from the instance.
pub struct Coefficients {
    /// By offer of the vessel.
    pub packs: Vec<i64>,
    /// r ⌈b / d⌉ − Σ_S p n.
    pub constant: i64,
}

impl Cut {
    /// Its coefficients; `None` where rounding gives nothing.
    pub fn coefficients(&self, instance: &Instance) -> Option<Coefficients> {
        let question = instance.question;
        let supply = &question.supplies[self.supply];
        let pieces: i64 = self.lots.iter().map(|&(class, choice)| pieces(instance, class, choice)).sum();
        let b = pieces - supply.free;
        if b <= 0 || self.divisor <= 0 {
            return None;
        }
        let r = (b - 1).rem_euclid(self.divisor) + 1;
        let d = self.divisor;
        let packs = supply.offers.iter().map(|offer| r * (offer.pack_size / d) + (offer.pack_size % d).min(r)).collect();
        Some(Coefficients { packs, constant: r * ((b + d - 1) / d) - pieces })
    }
}

/// Pieces that all lots of a class take in a choice.
fn pieces(instance: &Instance, class: usize, choice: usize) -> i64 {
    let of = &instance.question.classes[class];
    i64::from(of.choices[choice].pieces) * of.members.len() as i64
}

/// The cuts that the last solution breaks most, one for each vessel and divisor.
pub fn broken(instance: &Instance, formulation: &Formulation, users: &[Vec<(usize, usize)>]) -> Vec<Cut> {
    let values = formulation.simplex.values();
    let mut cuts: Vec<(f64, Cut)> = Vec::new();
    for (supply, terms) in instance.question.supplies.iter().enumerate() {
        let packs = &values[formulation.packs + instance.first_offer[supply]..formulation.packs + instance.first_offer[supply + 1]];
        if !packs.iter().any(|packs| (packs - packs.round()).abs() > 1e-6) {
            continue;
        }
        let mut order: Vec<(f64, usize, usize)> = users[supply]
            .iter()
            .map(|&(class, choice)| {
                let n = instance.question.classes[class].members.len() as f64;
                (values[formulation.placed[class] + choice] / n, class, choice)
            })
            .filter(|(share, ..)| *share > 1e-6)
            .collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut divisors: Vec<i64> = terms.offers.iter().map(|offer| offer.pack_size).collect();
        divisors.sort_unstable();
        divisors.dedup();
        for divisor in divisors {
            let mut best: Option<(f64, usize)> = None;
            let (mut all, mut missing) = (0, 0.0);
            for (at, &(share, class, choice)) in order.iter().enumerate() {
                let pieces = pieces(instance, class, choice);
                all += pieces;
                missing += pieces as f64 * (1.0 - share);
                let b = all - terms.free;
                if b <= 0 {
                    continue;
                }
                let r = (b - 1).rem_euclid(divisor) + 1;
                let bought: f64 = terms
                    .offers
                    .iter()
                    .zip(packs)
                    .map(|(offer, packs)| (r * (offer.pack_size / divisor) + (offer.pack_size % divisor).min(r)) as f64 * packs)
                    .sum();
                let lacking = (r * ((b + divisor - 1) / divisor)) as f64 - bought - missing;
                let violation = lacking / (1.0 + r as f64);
                if violation > 1e-3 && best.is_none_or(|(most, _)| violation > most) {
                    best = Some((violation, at));
                }
            }
            if let Some((violation, at)) = best {
                let mut lots: Vec<(usize, usize)> = order[..=at].iter().map(|&(_, class, choice)| (class, choice)).collect();
                lots.sort_unstable();
                cuts.push((violation, Cut { supply, divisor, lots }));
            }
        }
    }
    cuts.sort_by(|a, b| b.0.total_cmp(&a.0));
    cuts.into_iter().take(MOST_A_ROUND).map(|(_, cut)| cut).collect()
}

const MOST_A_ROUND: usize = 60;

/// By supply, the classes and choices that use it.
pub fn users(instance: &Instance) -> Vec<Vec<(usize, usize)>> {
    let mut users = vec![Vec::new(); instance.question.supplies.len()];
    for (at, class) in instance.question.classes.iter().enumerate() {
        for (number, choice) in class.choices.iter().enumerate() {
            if let Some(supply) = choice.supply {
                users[supply as usize].push((at, number));
            }
        }
    }
    users
}

impl Formulation {
    /// Adds a cut to the programme.
    pub fn add_cut(&mut self, instance: &Instance, cut: Cut) {
        if self.cuts.contains(&cut) {
            return;
        }
        let Some(coefficients) = cut.coefficients(instance) else { return };
        let first = self.packs + instance.first_offer[cut.supply];
        let packs = coefficients.packs.iter().enumerate().map(|(at, &a)| (first + at, a as f64));
        let lots = cut.lots.iter().map(|&(class, choice)| {
            let pieces = f64::from(instance.choices(class)[choice].pieces);
            (self.placed[class] + choice, -pieces)
        });
        let entries: Vec<(usize, f64)> = packs.chain(lots).filter(|(_, a)| *a != 0.0).collect();
        let row = self.simplex.add_row((coefficients.constant as f64, f64::INFINITY), &entries);
        self.rows.cuts.push(row);
        self.cuts.push(cut);
    }
}

impl Rows {
    /// How many cuts there are.
    pub fn n_cuts(&self) -> usize {
        self.cuts.len()
    }
}
