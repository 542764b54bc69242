//! Checks pieces and packs: no more used than there are, nothing bought against the terms, free pieces given to the most urgent rows.

use std::collections::{BTreeMap, BTreeSet};

use super::claims::Claims;
use super::exact::Exact;
use crate::plan::{Outcome, Plan, Purchase};
use crate::project::Project;
use crate::settings::CountLimits;
use crate::stock::{Offer, SupplierId, Vessel, VesselId};
use crate::units::truncated;

/// Checks pieces, purchases and deliveries against the stock list and the suppliers' terms.
pub(super) fn audit(project: &Project, plan: &Plan, claims: &mut Claims) {
    let from_purchase = free_pieces(project, plan, claims);
    for (i, line) in plan.purchases.iter().enumerate() {
        purchase(i, line, &project.stock.offers[line.offer], claims);
    }
    in_order(project, plan, claims);
    packs_for_pieces(project, plan, &from_purchase, claims);
    deliveries(project, plan, claims);
    let CountLimits { max_vessel_types, max_suppliers } = project.settings.count_limits();
    let kinds = bought(project, plan, |offer| Some(offer.vessel));
    let kinds = kinds.into_iter().filter(|vessel| project.stock.counts_as_kind(*vessel)).count();
    if let Some(most) = max_vessel_types {
        claims.at_most("purchases: kinds of vessel", kinds, most as usize);
    }
    if let Some(most) = max_suppliers {
        let suppliers = bought(project, plan, |offer| offer.supplier).len();
        claims.at_most("purchases: suppliers", suppliers, most as usize);
    }
}

/// Distributes the free pieces of each vessel again, by priority and then key; returns the pieces left to buy.
fn free_pieces(project: &Project, plan: &Plan, claims: &mut Claims) -> BTreeMap<VesselId, i128> {
    let mut row_of: Vec<Option<u32>> = vec![None; project.collection.specimens.len()];
    for (i, row) in (0..).zip(&plan.placements) {
        if let (Outcome::OnHand | Outcome::Order, Some(_)) = (row.outcome, row.vessel) {
            row_of[row.specimen] = Some(i);
        }
    }
    // Free pieces are given out one row after the other, so a divided lot may get only some of its pieces.
    let mut free: Vec<i64> = project.stock.vessels.iter().map(Vessel::free_pieces).collect();
    let mut bought: Vec<Option<i128>> = vec![None; free.len()];
    for i in project.collection.in_turn().into_iter().filter_map(|specimen| row_of[specimen as usize]) {
        let row = &plan.placements[i as usize];
        let Some(VesselId(vessel)) = row.vessel else { continue };
        let (free, bought) = (&mut free[vessel as usize], &mut bought[vessel as usize]);
        let pieces = row.fit.map_or(0, |fit| i64::from(fit.pieces));
        let on_hand = pieces.min(*free);
        *free -= on_hand;
        *bought.get_or_insert_default() += i128::from(pieces - on_hand);
        let outcome = if on_hand == pieces { Outcome::OnHand } else { Outcome::Order };
        let mut of_row = Claims::of_placement(i as usize);
        of_row.same("pieces_on_hand", i64::from(row.pieces_on_hand), on_hand);
        of_row.same("outcome", row.outcome.name(), outcome.name());
        claims.findings.append(&mut of_row.findings);
    }
    let bought = (0..).map(VesselId).zip(bought);
    bought.filter_map(|(vessel, pieces)| Some((vessel, pieces?))).collect()
}

/// Checks one purchase against its offer.
fn purchase(i: usize, line: &Purchase, offer: &Offer, claims: &mut Claims) {
    let at = |field: &str| format!("purchases[{i}].{field}");
    claims.at_least(at("packs"), line.packs, i64::from(offer.min_packs.max(1)));
    let pieces = i128::from(line.packs) * i128::from(offer.pack_size);
    claims.same(at("pieces"), i128::from(line.pieces), pieces);
    if let Some(most) = offer.order_limit {
        claims.at_most(at("pieces"), pieces, i128::from(most));
    }
    claims.money(at("line_total"), line.line_total, Exact::times(offer.pack_price, i128::from(line.packs)));
    claims.at_least(at("pieces_used"), line.pieces_used, 0);
    claims.at_most(at("pieces_used"), i128::from(line.pieces_used), pieces);
    claims.same(at("spare"), i128::from(line.spare), pieces - i128::from(line.pieces_used));
}

/// Checks that each offer is bought once, and that purchases are in order of supplier, then vessel.
fn in_order(project: &Project, plan: &Plan, claims: &mut Claims) {
    let place = |line: &Purchase| {
        let offer = &project.stock.offers[line.offer];
        (offer.supplier, offer.vessel)
    };
    let mut seen = BTreeSet::new();
    for (i, line) in plan.purchases.iter().enumerate() {
        if !seen.insert(line.offer) {
            let stated = format!("{} again", offer_named(project, line));
            claims.refute(format_args!("purchases[{i}]"), stated, "each offer of a supplier in one line");
        }
        if i > 0 && place(&plan.purchases[i - 1]) > place(line) {
            claims.refute(
                format_args!("purchases[{i}]"),
                offer_named(project, line),
                "lines in order of supplier, then vessel: this one comes earlier",
            );
        }
    }
}

/// The vessel and supplier of a purchase: `jar-50 from Sample Glass`.
fn offer_named(project: &Project, line: &Purchase) -> String {
    let offer = &project.stock.offers[line.offer];
    let vessel = &project.stock.vessel(offer.vessel).id;
    match offer.supplier {
        Some(supplier) => format!("{vessel} from {}", project.stock.supplier(supplier).name),
        None => format!("{vessel} from an unnamed supplier"),
    }
}

/// Checks that enough pieces of each vessel are bought: those used, and the spare pieces of the settings.
fn packs_for_pieces(project: &Project, plan: &Plan, from_purchase: &BTreeMap<VesselId, i128>, claims: &mut Claims) {
    let mut have: BTreeMap<VesselId, (i128, i128)> = from_purchase.keys().map(|&vessel| (vessel, (0, 0))).collect();
    for line in &plan.purchases {
        let offer = &project.stock.offers[line.offer];
        let (bought, used) = have.entry(offer.vessel).or_default();
        *bought += i128::from(line.packs) * i128::from(offer.pack_size);
        *used += i128::from(line.pieces_used);
    }
    for (vessel, (bought, stated_used)) in have {
        let used = from_purchase.get(&vessel).copied().unwrap_or(0);
        let id = &project.stock.vessel(vessel).id;
        claims.same(format_args!("purchases: pieces_used of {id}"), stated_used, used);
        claims.at_least(format_args!("purchases: pieces of {id}"), bought, used + spare(project, used));
    }
}

/// Spare pieces for `used` bought pieces, rounded up. The percentage counts to the hundredth.
fn spare(project: &Project, used: i128) -> i128 {
    let per_10_000 = i128::from(truncated((project.settings.spare_pct.0 * 100.0).round()));
    (used * per_10_000 + 9_999).div_euclid(10_000)
}

/// The distinct values of `of` over the offers that are bought, in order.
fn bought<T: Ord>(project: &Project, plan: &Plan, of: impl Fn(&Offer) -> Option<T>) -> BTreeSet<T> {
    plan.purchases.iter().filter_map(|line| of(&project.stock.offers[line.offer])).collect()
}

/// Checks one delivery for each named supplier ordered from, at its terms.
fn deliveries(project: &Project, plan: &Plan, claims: &mut Claims) {
    let named = |name: SupplierId| project.stock.supplier(name).name.as_str();
    let suppliers = bought(project, plan, |offer| offer.supplier).into_iter().collect();
    let list = |suppliers: Vec<SupplierId>| suppliers.into_iter().map(named).collect::<Vec<_>>().join(", ");
    let stated: Vec<SupplierId> = plan.deliveries.iter().map(|line| line.supplier).collect();
    claims.same("deliveries: suppliers", list(stated), list(suppliers));
    for (i, line) in plan.deliveries.iter().enumerate() {
        let terms = project.stock.supplier(line.supplier);
        let from_them = |line: &&Purchase| project.stock.offers[line.offer].supplier;
        let goods: Exact = plan
            .purchases
            .iter()
            .filter(|purchase| from_them(purchase) == Some(line.supplier))
            .map(|purchase| Exact::times(project.stock.offers[purchase.offer].pack_price, i128::from(purchase.packs)))
            .sum();
        claims.money(format_args!("deliveries[{i}].goods"), line.goods, goods);
        claims.at_least(format_args!("deliveries[{i}].goods"), goods, Exact::from(terms.minimum_order));
        let free = terms.free_delivery_over.is_some_and(|threshold| goods >= Exact::from(threshold));
        let charge = if free { Exact::default() } else { Exact::from(terms.delivery_charge) };
        claims.money(format_args!("deliveries[{i}].charge"), line.charge, charge);
    }
}
