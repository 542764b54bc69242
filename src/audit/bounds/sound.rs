//! Checks that a certificate is well formed: numbers within their limits, groups that do not overlap, cuts that contain a group
//! wholly or not at all, and a tree whose splits refer to what exists.

use std::collections::{BTreeSet, HashMap, HashSet};

use super::cuts;
use super::numbers::spare;
use super::owned::OwnedFluids;
use super::tree;
use crate::decision::certificate::{Cut, CutForm, Group, MOST, Node, Numbers};
use crate::decision::{Aim, Certificate};
use crate::project::Project;
use crate::settings::CountLimits;
use crate::units::{Position, index};

/// Faults of the certificate that bounds a level: place, message.
pub(in crate::audit) fn faults(project: &Project, aim: Aim, certificate: &Certificate) -> Vec<(String, String)> {
    let owned = OwnedFluids::of(project);
    let mut wrong = Vec::new();
    let mut add = |place: String, what: String| wrong.push((place, what));
    let used: BTreeSet<usize> = certificate
        .nodes
        .iter()
        .filter_map(|node| if let Node::Leaf { numbers } = node { Some(*numbers) } else { None })
        .collect();
    let mut seen: HashSet<String> = HashSet::new();
    for (number, numbers) in certificate.numbers.iter().enumerate() {
        let found = of_numbers(project, &owned, aim, numbers).err();
        let found = found.or_else(|| of_weights(certificate, numbers).err());
        let found = found.or_else(|| (!used.contains(&number)).then(|| "numbers of no leaf".to_owned()));
        let found =
            found.or_else(|| (!seen.insert(format!("{numbers:?}"))).then(|| "the same numbers again".to_owned()));
        if let Some(found) = found {
            add(format!("numbers[{number}]"), found);
        }
    }
    let counted: BTreeSet<usize> = certificate
        .nodes
        .iter()
        .filter_map(|node| if let Node::Lots { group, .. } = node { Some(*group) } else { None })
        .flat_map(|group| [Some(group), certificate.groups.get(group).and_then(|of| of.within)])
        .flatten()
        .collect();
    let mut taken = [HashSet::new(), HashSet::new()];
    for (position, group) in certificate.groups.iter().enumerate() {
        let found = of_group(project, certificate, group, &mut taken);
        let found = found.err().or_else(|| (!counted.contains(&position)).then_some("a group that no split counts"));
        if let Some(found) = found {
            add(format!("groups[{position}]"), found.to_owned());
        }
    }
    let whole = TopGroups::of(certificate);
    let mut weighed: HashSet<usize> =
        certificate.numbers.iter().flat_map(|numbers| &numbers.cuts).map(|(cut, _)| *cut).collect();
    weighed.extend(certificate.nodes.iter().filter_map(|node| match node {
        Node::Pieces { cut, .. } => Some(*cut),
        _ => None,
    }));
    for (position, cut) in certificate.cuts.iter().enumerate() {
        let found = of_cut(project, &whole, cut);
        let found = found
            .err()
            .or_else(|| (!weighed.contains(&position)).then_some("a cut that no numbers weigh and no split counts"));
        if let Some(found) = found {
            add(format!("cuts[{position}]"), found.to_owned());
        }
    }
    if let Err((node, found)) = tree::walk(project, certificate, &mut |_, _| {}) {
        add(format!("tree[{node}]"), found.to_owned());
    }
    wrong
}

fn of_numbers(project: &Project, owned: &OwnedFluids, aim: Aim, numbers: &Numbers) -> Result<(), String> {
    let weights = &numbers.weights;
    let all = weights.deferred.iter().chain([
        &weights.weighted_deferred,
        &weights.money,
        &weights.fluid,
        &weights.budget,
        &numbers.per_supplier,
        &numbers.kinds,
    ]);
    if let Some(number) = all.into_iter().find(|number| !(0..=MOST).contains(*number)) {
        return Err(format!("the number {number}"));
    }
    let prices = numbers.prices.iter().map(|(vessel, price)| (vessel.index(), *price));
    let goods = numbers.goods.iter().map(|(supplier, weight)| (supplier.index(), *weight));
    let fluids = numbers.owned.iter().map(|(fluid, weight)| (usize::from(fluid.0), *weight));
    let shares = numbers.per_kind.iter().copied();
    let stock = &project.stock;
    listed("vessel", prices, stock.vessels.len())?;
    listed("supplier", goods, stock.suppliers.len())?;
    listed("fluid", fluids, project.rules.fluids.len())?;
    listed("offer", shares, stock.offers.len())?;
    let levels = Aim::levels_of(&project.settings);
    if let Some(other) = Aim::ALL.into_iter().find(|other| weights.of(*other) > 0 && !levels.contains(other)) {
        return Err(format!("a weight of {}, which is no level of this plan", other.name()));
    }
    let own = weights.of(aim);
    if own & (own - 1) != 0 {
        return Err(format!("the weight {own}, no power of two"));
    }
    let CountLimits { max_vessel_types, max_suppliers } = project.settings.count_limits();
    match () {
        () if weights.budget > 0 && project.settings.budget.is_none() => {
            return Err("a budget that is not set".to_owned());
        }
        () if numbers.per_supplier > 0 && max_suppliers.is_none() => {
            return Err("a limit on suppliers that is not set".to_owned());
        }
        () if numbers.kinds > 0 && max_vessel_types.is_none() => {
            return Err("a limit on kinds of vessel that is not set".to_owned());
        }
        () => {}
    }
    let weights = weights.up_to(aim);
    let money = i128::from(weights.money) + i128::from(weights.budget);
    for (fluid, multiplier) in &numbers.owned {
        let name = &project.rules.fluid(*fluid).id;
        let Some(position) = owned.position(*fluid) else {
            return Err(format!("{name}, which is not owned or costs nothing"));
        };
        // 1000 λ(u) ≤ W · price of a litre. A price is below 2^63 and W at most 2^61, so 128 bits hold the product.
        if 1000 * i128::from(*multiplier) > money * i128::from(owned.price(position).parts()) {
            return Err(format!("{name} above its price"));
        }
    }
    Ok(())
}

/// Checks that weights belong to cuts that exist, and that only those of `Count` are below 0.
fn of_weights(certificate: &Certificate, numbers: &Numbers) -> Result<(), String> {
    let is_count = |cut: usize| certificate.cuts.get(cut).is_some_and(|cut| cut.form == CutForm::Count);
    let amount = |weight: i64| weight.checked_abs().unwrap_or(i64::MAX);
    let weights = numbers.cuts.iter().map(|&(cut, weight)| (cut, if is_count(cut) { amount(weight) } else { weight }));
    listed("cut", weights, certificate.cuts.len())
}

/// Checks a sparse list: positions that rise and are below `n`, numbers from 1 to [`MOST`].
fn listed(what: &str, numbers: impl Iterator<Item = (usize, i64)>, n: usize) -> Result<(), String> {
    let mut next = 0;
    for (position, number) in numbers {
        match () {
            () if position >= n => return Err(format!("a {what} that is not there")),
            () if position < next => return Err(format!("a {what} twice or out of order")),
            () if !(1..=MOST).contains(&number) => return Err(format!("the number {number}")),
            () => next = position + 1,
        }
    }
    Ok(())
}

/// Checks that the rows of a group exist, and that each is in one group only.
fn of_group(
    project: &Project,
    certificate: &Certificate,
    group: &Group,
    [taken, parted]: &mut [HashSet<u32>; 2],
) -> Result<(), &'static str> {
    let rows = &group.rows;
    let n = project.collection.specimens.len();
    if rows.is_empty() {
        return Err("no lot");
    }
    if !are_rows(rows, n) {
        return Err(NO_ROWS);
    }
    let others = match group.within {
        None => taken,
        Some(whole) => {
            let Some(whole) = certificate.groups.get(whole).filter(|whole| whole.within.is_none()) else {
                return Err("within a group that is not there, or is within another");
            };
            if !rows.iter().all(|row| whole.rows.binary_search(row).is_ok()) {
                return Err("lots that the larger group does not have");
            }
            parted
        }
    };
    if !rows.iter().all(|row| others.insert(*row)) {
        return Err("a lot of another group");
    }
    Ok(())
}

const NO_ROWS: &str = "rows that are not there, twice, or out of order";

/// Whether these are rows of a survey of `n` lots, in rising order.
fn are_rows(rows: &[u32], n: usize) -> bool {
    rows.windows(2).all(|pair| pair[0] < pair[1]) && rows.last().is_none_or(|last| index(*last) < n)
}

/// Groups that are not within another: a cut contains all lots of such a group or none.
struct TopGroups {
    of_row: HashMap<u32, usize>,
    sizes: Vec<usize>,
}

impl TopGroups {
    fn of(certificate: &Certificate) -> Self {
        let mut of_row = HashMap::new();
        if !certificate.cuts.is_empty() {
            let groups = certificate.groups.iter().enumerate().filter(|(_, group)| group.within.is_none());
            groups.for_each(|(position, group)| of_row.extend(group.rows.iter().map(|row| (*row, position))));
        }
        TopGroups { of_row, sizes: certificate.groups.iter().map(|group| group.rows.len()).collect() }
    }

    /// Whether `rows` contains each of these groups wholly or not at all.
    fn among(&self, rows: &[u32]) -> bool {
        let mut counts: HashMap<usize, usize> = HashMap::new();
        rows.iter().filter_map(|row| self.of_row.get(row)).for_each(|group| *counts.entry(*group).or_default() += 1);
        counts.into_iter().all(|(group, count)| count == self.sizes[group])
    }
}

/// Checks a cut against the stock. Whether its lots may have its vessel is checked with the survey ([`cuts::wrong`]).
fn of_cut(project: &Project, whole: &TopGroups, cut: &Cut) -> Result<(), &'static str> {
    let stock = &project.stock;
    if cut.vessel.index() >= stock.vessels.len() {
        return Err("a vessel that is not there");
    }
    match cut.form {
        CutForm::Packs { divisor: ..1, .. } | CutForm::SparePiece { divisor: ..1 } => return Err("a divisor below 1"),
        CutForm::SparePiece { .. } if spare(project) <= 10_000 => return Err("a spare piece that nothing asks for"),
        CutForm::Supplier(supplier) if supplier.index() >= stock.suppliers.len() => {
            return Err("a supplier that is not there");
        }
        CutForm::Supplier(supplier) => {
            let mut offers = stock.offers.iter().filter(|offer| offer.vessel == cut.vessel);
            if offers.any(|offer| offer.supplier != Some(supplier)) {
                return Err("a vessel that others sell too");
            }
        }
        CutForm::LeastPurchase => {
            return match cuts::smallest_order(project, cut.vessel) {
                Some(_) if cut.rows.is_empty() => Ok(()),
                Some(_) => Err("lots, where a purchase alone counts"),
                None => Err("a vessel that nobody sells"),
            };
        }
        CutForm::Packs { .. } | CutForm::SparePiece { .. } | CutForm::Count | CutForm::Kind => {}
    }
    match () {
        () if cut.rows.is_empty() => Err("no lot"),
        () if !are_rows(&cut.rows, project.collection.specimens.len()) => Err(NO_ROWS),
        () if !whole.among(&cut.rows) => Err("some lots of a group that a split counts, and not all"),
        () => Ok(()),
    }
}
