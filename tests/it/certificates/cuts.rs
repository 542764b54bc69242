//! Cuts, evaluated term by term from their definition: every plan keeps them, and what their weights add to the bound of a leaf.

use std::collections::{BTreeMap, BTreeSet};

use rehouse::decision::Aim;
use rehouse::decision::certificate::{Certificate, Cut, CutForm, LotChoice, Node, Numbers};
use rehouse::stock::{Offer, SupplierId, VesselId};

use super::drawn;
use super::plans::{CountedPlan, LeafRestrictions, SmallProject, ceiling};
use crate::random::Random;

/// A cut with the constants of its inequality, named as at the head of `decision::certificate`.
pub struct CutConstants<'a> {
    cut: &'a Cut,
    free: i128,
    /// p(S).
    pieces: i128,
    /// e, b, d and r; the other forms use only e, which is 1.
    packs: [i128; 4],
    /// M.
    smallest_order: i128,
}

impl<'a> CutConstants<'a> {
    fn of(small: &SmallProject, cut: &'a Cut) -> Self {
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
            CutForm::LeastPurchase | CutForm::Count | CutForm::Kind | CutForm::Supplier(_) => [1; 4],
        };
        let smallest_order = smallest_order(small, cut.vessel).unwrap_or(0);
        CutConstants { cut, free, pieces, packs, smallest_order }
    }

    /// The coefficient of one pack of an offer.
    fn of_pack(&self, offer: &Offer) -> i128 {
        let ([_, _, d, r], q) = (self.packs, i128::from(offer.pack_size));
        match self.cut.form {
            CutForm::Packs { .. } | CutForm::SparePiece { .. } => r * (q / d) + (q % d).min(r),
            CutForm::LeastPurchase => q,
            CutForm::Count | CutForm::Kind | CutForm::Supplier(_) => 0,
        }
    }

    /// What the weight of a `Count` cut adds to N: the least of −weight · z over the range of z in the leaf.
    fn of_count(&self, certificate: &Certificate, leaf: &LeafRestrictions, weight: i128) -> i128 {
        if self.cut.form != CutForm::Count {
            return 0;
        }
        let ranges = leaf.pieces.iter().filter(|(cut, _)| certificate.cuts[*cut] == *self.cut);
        let (mut least, mut most) = (0, self.pieces);
        for (_, range) in ranges {
            least = least.max(i128::from(*range.start()));
            most = most.min(i128::from(*range.end()));
        }
        if weight > 0 { -weight * most } else { -weight * least }
    }

    /// Left side minus right side of the cut for a plan: below 0 the plan violates it.
    fn kept(&self, small: &SmallProject, plan: &CountedPlan) -> i128 {
        let vessel = self.cut.vessel;
        let used: i128 = (small.lots.iter().zip(&plan.ways))
            .filter(|(lot, _)| self.cut.rows.contains(&lot.row))
            .filter_map(|(lot, way)| lot.ways.get(*way).filter(|way| way.place == LotChoice::Vessel(vessel)))
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
            CutForm::Count => return 0,
            CutForm::LeastPurchase => return of_packs - if is_bought { self.smallest_order } else { 0 },
            CutForm::Kind => is_bought,
            CutForm::Supplier(supplier) => bought().any(|(offer, _)| offer.supplier == Some(supplier)),
        };
        self.free + if opened { self.pieces - self.free } else { 0 } - used
    }
}

fn pieces(small: &SmallProject, row: u32, vessel: VesselId) -> i128 {
    let lot = small.lots.iter().find(|lot| lot.row == row).expect("a lot");
    lot.ways.iter().find(|way| way.place == LotChoice::Vessel(vessel)).expect("an option").pieces
}

/// The fewest pieces of a vessel that can be ordered; `None` where no offer can be ordered.
fn smallest_order(small: &SmallProject, vessel: VesselId) -> Option<i128> {
    let offers = small.project.stock.offers.iter().filter(|offer| offer.vessel == vessel);
    let fewest = |offer: &Offer| i128::from(offer.min_packs.max(1)) * i128::from(offer.pack_size);
    offers.filter(|offer| offer.order_limit.is_none_or(|limit| fewest(offer) <= i128::from(limit))).map(fewest).min()
}

/// Whether a plan keeps all cuts of a certificate.
pub fn kept(small: &SmallProject, certificate: &Certificate, plan: &CountedPlan) -> bool {
    certificate.cuts.iter().all(|cut| CutConstants::of(small, cut).kept(small, plan) >= 0)
}

/// What the cuts of one set of multipliers add to each term of N.
pub struct WeighedCuts<'a> {
    cuts: Vec<(i128, CutConstants<'a>)>,
}

impl<'a> WeighedCuts<'a> {
    pub fn of(small: &SmallProject, certificate: &'a Certificate, numbers: &Numbers) -> Self {
        let held =
            |(cut, weight): &(usize, i64)| (i128::from(*weight), CutConstants::of(small, &certificate.cuts[*cut]));
        WeighedCuts { cuts: numbers.cuts.iter().map(held).collect() }
    }

    fn sum(&self, of: impl Fn(&CutConstants) -> i128) -> i128 {
        self.cuts.iter().map(|(weight, held)| weight * of(held)).sum()
    }

    /// Added to a row's option in a vessel that takes `pieces`.
    pub fn to_option(&self, row: u32, vessel: VesselId, pieces: i128) -> i128 {
        self.sum(|held| {
            let is_in = held.cut.vessel == vessel && held.cut.rows.contains(&row);
            if is_in { held.packs[0] * pieces } else { 0 }
        })
    }

    /// Added to a pack; not above 0.
    pub fn to_pack(&self, offer: &Offer) -> i128 {
        self.sum(|held| if held.cut.vessel == offer.vessel { -held.of_pack(offer) } else { 0 })
    }

    /// Added to a kind that is bought.
    pub fn to_kind(&self, vessel: VesselId) -> i128 {
        self.sum(|held| match held.cut.form {
            _ if held.cut.vessel != vessel => 0,
            CutForm::Kind => held.free - held.pieces,
            CutForm::SparePiece { .. } => 1,
            CutForm::LeastPurchase => held.smallest_order,
            CutForm::Packs { .. } | CutForm::Count | CutForm::Supplier(_) => 0,
        })
    }

    /// Added to the states of a supplier that is ordered from.
    pub fn to_order(&self, supplier: SupplierId) -> i128 {
        self.sum(|held| if held.cut.form == CutForm::Supplier(supplier) { held.free - held.pieces } else { 0 })
    }

    /// Added to N, independent of the plan.
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
            CutForm::LeastPurchase | CutForm::Count => 0,
            _ => -held.free,
        })
    }

    /// Added to N by `Count` cuts, within the ranges of the leaf.
    pub fn to_leaf(&self, certificate: &Certificate, leaf: &LeafRestrictions) -> i128 {
        self.cuts.iter().map(|(weight, held)| held.of_count(certificate, leaf, *weight)).sum::<i128>()
    }
}

/// The drawn files. For an odd seed the pack prices have four decimals and a small common divisor; for every third of those the
/// minimum orders are 1.47.
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

/// Draws cuts for a certificate, with random weights in its multipliers.
pub fn draw(small: &SmallProject, aim: Aim, certificate: &mut Certificate, random: &mut Random) {
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
            2 | 3 if !rows.is_empty() => CutForm::Count,
            _ => CutForm::Packs { divisor: 1 + random.below(4) as i64, spares: random.below(2) == 0 },
        };
        let held: i128 = rows.iter().map(|row| pieces(small, *row, vessel)).sum();
        let cut = Cut { vessel, form, rows };
        if (form == CutForm::Count || held > i128::from(stock.vessel(vessel).free_pieces())) && !cuts.contains(&cut) {
            cuts.push(cut);
        }
    }
    let counts = (0..cuts.len()).filter(|cut| cuts[*cut].form == CutForm::Count);
    for cut in counts.collect::<Vec<_>>() {
        let held: i128 = cuts[cut].rows.iter().map(|row| pieces(small, *row, cuts[cut].vessel)).sum();
        split_on_pieces(certificate, Node::Pieces { cut, at_most: random.below(held as u64 + 1) as i64 }, random);
    }
    for numbers in &mut certificate.numbers {
        let own = numbers.weights.of(aim);
        let scale = match aim {
            _ if own == 0 => 1 << 30,
            Aim::WeightedDeferred | Aim::Deferred(_) => own,
            Aim::Money => own.saturating_mul(4_000_000),
            Aim::Fluid => own.saturating_mul(150),
        };
        // Large weights take more off the orders than these cost.
        let weight = |_| {
            let most = [0, scale, scale >> 2, scale >> 3, scale >> 4][random.below(5) as usize];
            random.below(most as u64 + 1) as i64
        };
        let mut weights: Vec<i64> = (0..cuts.len()).map(weight).collect();
        for (weight, _) in weights.iter_mut().zip(&cuts).filter(|(_, cut)| cut.form == CutForm::Count) {
            *weight *= [-1, 1][random.below(2) as usize];
        }
        numbers.cuts = weights.into_iter().enumerate().filter(|(_, weight)| *weight != 0).collect();
    }
    keep_weighed(cuts, certificate);
}

/// Puts into a certificate the cuts that it weighs or counts, with new positions.
fn keep_weighed(cuts: Vec<Cut>, certificate: &mut Certificate) {
    let mut weighed: BTreeSet<usize> =
        certificate.numbers.iter().flat_map(|numbers| &numbers.cuts).map(|(cut, _)| *cut).collect();
    weighed.extend(
        certificate.nodes.iter().filter_map(|node| if let Node::Pieces { cut, .. } = node { Some(*cut) } else { None }),
    );
    let place: BTreeMap<usize, usize> = weighed.iter().enumerate().map(|(place, cut)| (*cut, place)).collect();
    certificate.cuts = weighed.iter().map(|cut| cuts[*cut].clone()).collect();
    for numbers in &mut certificate.numbers {
        numbers.cuts.iter_mut().for_each(|(cut, _)| *cut = place[cut]);
    }
    for node in &mut certificate.nodes {
        if let Node::Pieces { cut, .. } = node {
            *cut = place[cut];
        }
    }
}

/// Splits the root, one leaf, or nothing, on the pieces of a cut.
fn split_on_pieces(certificate: &mut Certificate, split: Node, random: &mut Random) {
    let nodes = &mut certificate.nodes;
    match random.below(3) {
        0 => {}
        1 => *nodes = [&[split], &nodes[..], &nodes[..]].concat(),
        _ => {
            let leaves: Vec<usize> = (0..nodes.len()).filter(|at| matches!(nodes[*at], Node::Leaf { .. })).collect();
            let at = leaves[random.below(leaves.len() as u64) as usize];
            let other = nodes[leaves[random.below(leaves.len() as u64) as usize]];
            nodes.splice(at..=at, [split, nodes[at], other]);
        }
    }
}

/// Some of the lots with an option in a vessel; a group is taken as a whole or not at all.
fn rows(small: &SmallProject, certificate: &Certificate, vessel: VesselId, random: &mut Random) -> Vec<u32> {
    let may = |row: u32| {
        let lot = small.lots.iter().find(|lot| lot.row == row);
        lot.is_some_and(|lot| lot.ways.iter().any(|way| way.place == LotChoice::Vessel(vessel)))
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

/// The number of leaves of a certificate that weigh a cut.
pub fn weighing(certificate: &Certificate) -> usize {
    let weighs = |node: &&Node| match node {
        Node::Leaf { numbers } => !certificate.numbers[*numbers].cuts.is_empty(),
        _ => false,
    };
    certificate.nodes.iter().filter(weighs).count()
}
