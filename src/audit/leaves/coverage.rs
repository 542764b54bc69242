//! Whether leaves hold every plan: they are divided on one supplier or one offer's packs, cleanly, until each is alone and
//! holds all that is left.

use std::collections::BTreeSet;

use crate::decision::leaf::{Leaf, PackLimits, Terms};
use crate::project::Project;
use crate::stock::SupplierId;
use crate::units::Money;

/// Where leaves leave something out, in words; `None` where they hold every plan.
pub(in crate::audit) fn lacking(project: &Project, leaves: &[Leaf]) -> Option<String> {
    let leaves: Vec<&Leaf> = leaves.iter().collect();
    let mut left = Vec::from([(leaves, Whole::default())]);
    while let Some((leaves, whole)) = left.pop() {
        match divided(project, &leaves, &whole) {
            Ok(parts) => left.extend(parts),
            Err(lacking) => return Some(lacking),
        }
    }
    None
}

/// What has been divided so far, on the way to one part.
#[derive(Clone, Default)]
struct Whole {
    suppliers: Vec<SupplierId>,
    /// Offer, least and most packs.
    packs: Vec<(usize, i64, Option<i64>)>,
}

impl Whole {
    fn packs(&self, offer: usize) -> (i64, Option<i64>) {
        let known = self.packs.iter().find(|(other, ..)| *other == offer);
        known.map_or((0, None), |(_, least, most)| (*least, *most))
    }

    fn with_packs(&self, offer: usize, least: i64, most: Option<i64>) -> Self {
        let mut whole = self.clone();
        whole.packs.retain(|(other, ..)| *other != offer);
        whole.packs.push((offer, least, most));
        whole
    }
}

/// The parts of a part; none where a single leaf holds all of it.
fn divided<'a>(project: &Project, leaves: &[&'a Leaf], whole: &Whole) -> Result<Vec<(Vec<&'a Leaf>, Whole)>, String> {
    let Some(first) = leaves.first() else { return Err("a part without a leaf".to_owned()) };
    // What divides all of them is decided, or limited, in the first.
    for &(supplier, _) in first.suppliers.iter().filter(|(supplier, _)| !whole.suppliers.contains(supplier)) {
        if let Some(parts) = by_supplier(leaves, supplier) {
            let mut whole = whole.clone();
            whole.suppliers.push(supplier);
            let parts =
                parts.into_iter().filter(|(terms, leaves)| !leaves.is_empty() || differs(project, supplier, *terms));
            return Ok(parts.map(|(_, leaves)| (leaves, whole.clone())).collect());
        }
    }
    for PackLimits { offer, .. } in &first.packs {
        let (least, most) = whole.packs(*offer);
        let of_offer = leaves.iter().flat_map(|leaf| &leaf.packs).filter(|limits| limits.offer == *offer);
        let cuts = of_offer.flat_map(|limits| [Some(limits.least - 1), limits.most]).flatten();
        let within = |cut: &i64| *cut >= least && most.is_none_or(|most| *cut < most);
        let cuts: BTreeSet<i64> = cuts.filter(within).collect();
        for cut in cuts {
            if let Some((fewer, more)) = by_packs(leaves, *offer, cut) {
                let fewer = (fewer, whole.with_packs(*offer, least, Some(cut)));
                return Ok(vec![fewer, (more, whole.with_packs(*offer, cut.saturating_add(1), most))]);
            }
        }
    }
    let decided = first.suppliers.iter().all(|(supplier, _)| whole.suppliers.contains(supplier));
    let inside = |limits: &PackLimits| {
        let (least, most) = whole.packs(limits.offer);
        limits.least <= least && limits.most.is_none_or(|own| most.is_some_and(|most| most <= own))
    };
    match leaves {
        [_] if decided && first.packs.iter().all(inside) => Ok(Vec::new()),
        [_] => Err("a leaf that does not hold its whole part".to_owned()),
        _ => Err(format!("{} leaves that nothing divides", leaves.len())),
    }
}

/// Whether a supplier that is this is another matter than one that is paid. One that asks for nothing is as good as paid
/// where nothing is ordered too, unless suppliers are counted.
fn differs(project: &Project, supplier: SupplierId, terms: Terms) -> bool {
    let supplier = &project.stock.suppliers[supplier.0 as usize];
    let charged = supplier.delivery_charge > Money::ZERO;
    match terms {
        Terms::Closed => charged || supplier.minimum_order > Money::ZERO || project.settings.max_suppliers.is_some(),
        Terms::Free => charged && supplier.free_delivery_over.is_some(),
        Terms::Paying | Terms::Undecided => true,
    }
}

/// Leaves by what a supplier is in them; `None` where it is undecided in one.
fn by_supplier<'a>(leaves: &[&'a Leaf], supplier: SupplierId) -> Option<Vec<(Terms, Vec<&'a Leaf>)>> {
    let mut parts: Vec<_> = [Terms::Closed, Terms::Paying, Terms::Free].map(|terms| (terms, Vec::new())).into();
    for &leaf in leaves {
        let (_, terms) = leaf.suppliers.iter().find(|(other, _)| *other == supplier)?;
        parts.iter_mut().find(|(of, _)| of == terms)?.1.push(leaf);
    }
    Some(parts)
}

/// Leaves with at most so many packs of an offer, and those with more; `None` where one has both.
fn by_packs<'a>(leaves: &[&'a Leaf], offer: usize, cut: i64) -> Option<(Vec<&'a Leaf>, Vec<&'a Leaf>)> {
    let (mut fewer, mut more) = (Vec::new(), Vec::new());
    for &leaf in leaves {
        let limits = leaf.packs.iter().find(|limits| limits.offer == offer)?;
        if limits.most.is_some_and(|most| most <= cut) {
            fewer.push(leaf);
        } else if limits.least > cut {
            more.push(leaf);
        } else {
            return None;
        }
    }
    Some((fewer, more))
}
