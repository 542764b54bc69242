//! Cuts: what they say, word by word; that every plan keeps them; what their weights add to a leaf.

use std::collections::{BTreeMap, BTreeSet};

use rehouse::decision::Aim;
use rehouse::decision::certificate::{Certificate, Cut, CutForm, Node, Numbers, Place};
use rehouse::stock::{Offer, SupplierId, VesselId};

use super::drawn;
use super::plans::{Counted, Small, ceiling};
use crate::fluid_on_the_shelf::drawn::Random;

/// A cut with what its lots hold.
pub struct Held<'a> {
    cut: &'a Cut,
    free: i128,
    /// p(S).
    pieces: i128,
    /// e, b, d and r; of other forms e alone is used.
    packs: [i128; 4],
    /// M.
    smallest_order: i128,
}

impl<'a> Held<'a> {
    fn of(small: &Small, cut: &'a Cut) -> Self {
        let free = i128::from(small.project.stock.vessel(cut.vessel).free_pieces());
        let pieces = cut.rows.iter().map(|row| pieces(small, *row, cut.vessel)).sum();
        let rounded = |e: i128, b: i128, divisor: i64| {
            let d = i128::from(divisor);
            let r = match b % d {
                0 => d,
                r => r,
            };
            [e, b, d, r]
        };
        let packs = match cut.form {
            CutForm::Packs { divisor, spares: true } => {
                rounded(ceiling(small.spare, 10_000), ceiling((pieces - free) * small.spare, 10_000), divisor)
            }
            CutForm::Packs { divisor, spares: false } => rounded(1, pieces - free, divisor),
            CutForm::SparePiece { divisor } => rounded(1, pieces - free + 1, divisor),
            CutForm::LeastPurchase | CutForm::Kind | CutForm::Supplier(_) => [1; 4],
        };
        let smallest_order = smallest_order(small, cut.vessel).unwrap_or(0);
        Held { cut, free, pieces, packs, smallest_order }
    }

    /// What a pack counts for.
    fn of_pack(&self, offer: &Offer) -> i128 {
        let ([_, _, d, r], q) = (self.packs, i128::from(offer.pack_size));
        match self.cut.form {
            CutForm::Packs { .. } | CutForm::SparePiece { .. } => r * (q / d) + (q % d).min(r),
            CutForm::LeastPurchase => q,
            CutForm::Kind | CutForm::Supplier(_) => 0,
        }
    }

    /// By how much a plan keeps it; below 0 it does not.
    fn kept(&self, small: &Small, plan: &Counted) -> i128 {
        let vessel = self.cut.vessel;
        let used: i128 = (small.lots.iter().zip(&plan.ways))
            .filter(|(lot, _)| self.cut.rows.contains(&lot.row))
            .filter_map(|(lot, way)| lot.ways.get(*way).filter(|way| way.place == Place::Vessel(vessel)))
            .map(|way| way.pieces)
            .sum();
        let bought = || small.project.stock.offers.iter().zip(&plan.packs).filter(|(_, packs)| **packs > 0);
        let of_packs = bought().filter(|(offer, _)| offer.vessel == vessel);
        let of_packs: i128 = of_packs.map(|(offer, packs)| self.of_pack(offer) * i128::from(*packs)).sum();
        let is_bought = bought().any(|(offer, _)| offer.vessel == vessel);
        let [e, b, d, r] = self.packs;
        let opened = match self.cut.form {
            CutForm::Packs { .. } => return of_packs + e * (self.pieces - used) - r * ceiling(b, d),
            CutForm::SparePiece { .. } => {
                return of_packs + i128::from(!is_bought) + self.pieces - used - r * ceiling(b, d);
            }
            CutForm::LeastPurchase => return of_packs - if is_bought { self.smallest_order } else { 0 },
            CutForm::Kind => is_bought,
            CutForm::Supplier(supplier) => bought().any(|(offer, _)| offer.supplier == Some(supplier)),
        };
        self.free + if opened { self.pieces - self.free } else { 0 } - used
    }
}

fn pieces(small: &Small, row: u32, vessel: VesselId) -> i128 {
    let lot = small.lots.iter().find(|lot| lot.row == row).expect("a lot");
    lot.ways.iter().find(|way| way.place == Place::Vessel(vessel)).expect("an option").pieces
}

/// The fewest pieces of a vessel that an order may be of.
fn smallest_order(small: &Small, vessel: VesselId) -> Option<i128> {
    let offers = small.project.stock.offers.iter().filter(|offer| offer.vessel == vessel);
    let fewest = |offer: &Offer| i128::from(offer.min_packs.max(1)) * i128::from(offer.pack_size);
    offers.filter(|offer| offer.order_limit.is_none_or(|limit| fewest(offer) <= i128::from(limit))).map(fewest).min()
}

/// Whether a plan keeps all cuts of a certificate.
pub fn kept(small: &Small, certificate: &Certificate, plan: &Counted) -> bool {
    certificate.cuts.iter().all(|cut| Held::of(small, cut).kept(small, plan) >= 0)
}

/// What the cuts of numbers add, term by term.
pub struct Added<'a> {
    cuts: Vec<(i128, Held<'a>)>,
}

impl<'a> Added<'a> {
    pub fn of(small: &Small, certificate: &'a Certificate, numbers: &Numbers) -> Self {
        let held = |(cut, weight): &(usize, i64)| (i128::from(*weight), Held::of(small, &certificate.cuts[*cut]));
        Added { cuts: numbers.cuts.iter().map(held).collect() }
    }

    fn sum(&self, of: impl Fn(&Held) -> i128) -> i128 {
        self.cuts.iter().map(|(weight, held)| weight * of(held)).sum()
    }

    /// To so many pieces of a vessel that a row takes.
    pub fn to_option(&self, row: u32, vessel: VesselId, pieces: i128) -> i128 {
        self.sum(|held| {
            let is_in = held.cut.vessel == vessel && held.cut.rows.contains(&row);
            if is_in { held.packs[0] * pieces } else { 0 }
        })
    }

    /// To a pack: less than nothing.
    pub fn to_pack(&self, offer: &Offer) -> i128 {
        self.sum(|held| if held.cut.vessel == offer.vessel { -held.of_pack(offer) } else { 0 })
    }

    /// To a kind that is bought.
    pub fn to_kind(&self, vessel: VesselId) -> i128 {
        self.sum(|held| match held.cut.form {
            _ if held.cut.vessel != vessel => 0,
            CutForm::Kind => held.free - held.pieces,
            CutForm::SparePiece { .. } => 1,
            CutForm::LeastPurchase => held.smallest_order,
            CutForm::Packs { .. } | CutForm::Supplier(_) => 0,
        })
    }

    /// To ordering from a supplier.
    pub fn to_order(&self, supplier: SupplierId) -> i128 {
        self.sum(|held| if held.cut.form == CutForm::Supplier(supplier) { held.free - held.pieces } else { 0 })
    }

    /// To the sum, whatever the plan.
    pub fn to_all(&self) -> i128 {
        self.sum(|held| match held.cut.form {
            CutForm::Packs { .. } => {
                let [e, b, d, r] = held.packs;
                r * ceiling(b, d) - e * held.pieces
            }
            CutForm::SparePiece { .. } => {
                let [_, b, d, r] = held.packs;
                r * ceiling(b, d) - held.pieces - 1
            }
            CutForm::LeastPurchase => 0,
            _ => -held.free,
        })
    }
}

/// Files as drawn; in every second project packs have prices that hardly anything divides, and in every third of those more
/// goods are asked for.
pub fn files(seed: u64) -> Vec<(&'static str, String)> {
    let mut files = drawn::files(seed);
    if seed.is_multiple_of(2) {
        return files;
    }
    for (name, text) in &mut files {
        let odd = |(line, text): (usize, &str)| {
            let mut cells: Vec<String> = text.split(',').map(str::to_owned).collect();
            match *name {
                "vessels.csv" if line > 0 && !cells[7].is_empty() => cells[7] += &format!("{}3", line % 10),
                "suppliers.csv" if line > 0 && !cells[3].is_empty() && seed.is_multiple_of(3) => {
                    cells[3] = "1.47".to_owned()
                }
                _ => {}
            }
            cells.join(",") + "\n"
        };
        if ["vessels.csv", "suppliers.csv"].contains(name) {
            *text = text.lines().enumerate().map(odd).collect();
        }
    }
    files
}

/// Draws cuts for a certificate, each with a weight in some of its numbers.
pub fn draw(small: &Small, aim: Aim, certificate: &mut Certificate, random: &mut Random) {
    let stock = &small.project.stock;
    let mut cuts: Vec<Cut> = Vec::new();
    for _ in 0..random.below(4) {
        let vessel = VesselId(random.below(stock.vessels.len() as u64) as u32);
        let rows = rows(small, certificate, vessel, random);
        let sold_by: BTreeSet<_> =
            stock.offers.iter().filter(|offer| offer.vessel == vessel).map(|offer| offer.supplier).collect();
        let form = match random.below(7) {
            0 => CutForm::Kind,
            5 if small.spare > 10_000 => CutForm::SparePiece { divisor: 1 + random.below(4) as i64 },
            6 if smallest_order(small, vessel).is_some() => {
                cuts.push(Cut { vessel, form: CutForm::LeastPurchase, rows: Vec::new() });
                continue;
            }
            1 => match sold_by.first() {
                Some(Some(supplier)) if sold_by.len() == 1 => CutForm::Supplier(*supplier),
                None => CutForm::Supplier(SupplierId(random.below(stock.suppliers.len() as u64) as u32)),
                _ => CutForm::Kind,
            },
            _ => CutForm::Packs { divisor: 1 + random.below(4) as i64, spares: random.below(2) == 0 },
        };
        let held: i128 = rows.iter().map(|row| pieces(small, *row, vessel)).sum();
        if held > i128::from(stock.vessel(vessel).free_pieces()) {
            cuts.push(Cut { vessel, form, rows });
        }
    }
    for numbers in &mut certificate.numbers {
        let own = numbers.weights.of(aim);
        let scale = match aim {
            _ if own == 0 => 1 << 30,
            Aim::Deferred(_) => own,
            Aim::Money => own.saturating_mul(4_000_000),
            Aim::Fluid => own.saturating_mul(150),
        };
        // Large ones take more off orders than they cost.
        let weight = |_| {
            let most = [0, scale, scale >> 2, scale >> 3, scale >> 4][random.below(5) as usize];
            random.below(most as u64 + 1) as i64
        };
        let weights: Vec<i64> = (0..cuts.len()).map(weight).collect();
        numbers.cuts = weights.into_iter().enumerate().filter(|(_, weight)| *weight > 0).collect();
    }
    let weighed: BTreeSet<usize> =
        certificate.numbers.iter().flat_map(|numbers| &numbers.cuts).map(|(cut, _)| *cut).collect();
    let place: BTreeMap<usize, usize> = weighed.iter().enumerate().map(|(place, cut)| (*cut, place)).collect();
    certificate.cuts = weighed.iter().map(|cut| cuts[*cut].clone()).collect();
    for numbers in &mut certificate.numbers {
        numbers.cuts.iter_mut().for_each(|(cut, _)| *cut = place[cut]);
    }
}

/// Some of the lots that may have a vessel, groups as a whole.
fn rows(small: &Small, certificate: &Certificate, vessel: VesselId, random: &mut Random) -> Vec<u32> {
    let may = |row: u32| {
        let lot = small.lots.iter().find(|lot| lot.row == row);
        lot.is_some_and(|lot| lot.ways.iter().any(|way| way.place == Place::Vessel(vessel)))
    };
    let groups = || certificate.groups.iter().filter(|group| group.within.is_none());
    let mut parts: Vec<Vec<u32>> = groups().map(|group| group.rows.clone()).collect();
    let others = small.lots.iter().map(|lot| lot.row).filter(|row| groups().all(|group| !group.rows.contains(row)));
    parts.extend(others.map(|row| vec![row]));
    parts.retain(|part| part.iter().all(|row| may(*row)) && random.below(4) > 0);
    let mut rows = parts.concat();
    rows.sort_unstable();
    rows
}

/// The numbers of the leaves of a certificate that weigh a cut.
pub fn weighing(certificate: &Certificate) -> usize {
    let weighs = |node: &&Node| match node {
        Node::Leaf { numbers } => !certificate.numbers[*numbers].cuts.is_empty(),
        _ => false,
    };
    certificate.nodes.iter().filter(weighs).count()
}
