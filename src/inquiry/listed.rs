//! What each listed vessel is worth to the plan: what the plan costs without it, what one more free piece saves, and the prices at
//! which its offers would leave or enter the plan.
//!
//! # Method
//!
//! Each figure is the difference of two plans of whole projects: as they are, and changed. A plan of a project with fewer vessels is
//! a plan of the project as it is, so the plan without a vessel costs no less; one more piece takes no plan away, so it costs no
//! more. There is one exception: with tanks for leftovers only, a lot that no other vessel suits may have a tank only without this
//! vessel, and that plan may be cheaper.
//!
//! # Where nothing is decided again
//!
//! A vessel that the plan does not use: the plan keeps every limit without it, and no plan without it is better, since each is a
//! plan with it. This does not hold where a lot has no other vessel, which may get a tank then. A piece of a vessel that suits no
//! lot: no plan uses it.
//!
//! The answers of a plan hold the plans without each vessel in use ([`answered`]).

mod answered;

use std::collections::BTreeSet;

use super::break_even::{BreakEven, break_even};
use super::{Inquiry, PlanValue, Watch, WhatIf};
use crate::decision::{Decision, Status};
use crate::stock::{Offer, VesselId};
use crate::units::{Packs, Pieces, index};

/// Every listed vessel beside the plan as it is.
#[derive(Clone, Debug)]
pub struct ListedVessels {
    /// The plan as it is.
    pub now: PlanValue,
    /// Those that hold lots first, then by name; the search may end before the last.
    pub vessels: Vec<ListedVessel>,
    /// Vessels of the stock list.
    pub in_all: usize,
}

/// A listed vessel.
#[derive(Clone, Debug)]
pub struct ListedVessel {
    /// Which.
    pub vessel: VesselId,
    /// Rows of the lots that it holds in the plan, in survey order.
    pub lots: Vec<u32>,
    /// Pieces that they use.
    pub used: Pieces,
    /// The best plan without it.
    pub without: PlanValue,
    /// The best plan with one more piece that costs nothing; `None` where it was not asked for.
    pub one_more: Option<PlanValue>,
    /// The prices at which its offers would leave or enter the plan, by supplier; empty where it was not asked for.
    pub offers: Vec<BreakEven>,
}

impl ListedVessel {
    /// Whether all plans are proved best.
    pub fn is_proved(&self) -> bool {
        [Some(&self.without), self.one_more.as_ref()]
            .into_iter()
            .flatten()
            .all(|plan| plan.status == Status::ProvedBest)
            && self.offers.iter().all(BreakEven::is_proved)
    }
}

impl ListedVessels {
    /// Whether no vessel is missing.
    pub fn is_whole(&self) -> bool {
        self.vessels.len() == self.in_all
    }
}

/// What each listed vessel is worth to the plan of an inquiry.
pub fn listed(inquiry: &Inquiry, watch: &mut Watch) -> ListedVessels {
    let plan = inquiry.decide(watch);
    let mut vessels: Vec<ListedVessel> = Vec::new();
    let mut order: Vec<(bool, VesselId)> =
        inquiry.project().stock.listed().map(|(id, _)| (lots(inquiry, &plan, id).is_empty(), id)).collect();
    order.sort_unstable();
    let only = only_vessels(inquiry);
    for &(_, id) in &order {
        let Some(vessel) = listed_vessel(inquiry, &plan, id, only.contains(&id), watch) else { break };
        vessels.push(vessel);
    }
    ListedVessels { now: inquiry.plan_value(&plan), vessels, in_all: order.len() }
}

/// One vessel; `None` where the search was stopped. `is_only`: some lot has no other.
fn listed_vessel(
    inquiry: &Inquiry,
    plan: &Decision,
    id: VesselId,
    is_only: bool,
    watch: &mut Watch,
) -> Option<ListedVessel> {
    let now = inquiry.plan_value(plan);
    let lots = lots(inquiry, plan, id);
    let bought = packs(inquiry, plan, id) > Packs::ZERO;
    let without = match lots.is_empty() && !bought && !is_only {
        true => now.clone(),
        false => changed(inquiry, plan, WhatIf::Without(id), watch),
    };
    let free = inquiry.project().stock.vessel(id).free_pieces();
    let one_more = changed(inquiry, plan, WhatIf::FreePieces { vessel: id, free: free + 1 }, watch);
    let mut offers = Vec::new();
    for offer in offers_in_order(inquiry, id) {
        offers.push(break_even(inquiry, plan, offer, watch)?);
    }
    let used = lots.iter().map(|(_, pieces)| *pieces).sum();
    let lots = lots.into_iter().map(|(row, _)| row).collect();
    (!(watch.stop)()).then_some(ListedVessel { vessel: id, lots, used, without, one_more: Some(one_more), offers })
}

/// The offers of a vessel in an order that does not depend on that of the file: by supplier, order code and terms.
fn offers_in_order(inquiry: &Inquiry, id: VesselId) -> Vec<usize> {
    let mut offers: Vec<(usize, &Offer)> = inquiry.project().stock.offers_of(id).collect();
    offers.sort_by_key(|(_, of)| {
        (of.supplier, &of.order_code, of.pack_size, of.pack_price, of.min_packs, of.order_limit)
    });
    offers.into_iter().map(|(offer, _)| offer).collect()
}

/// The best plan of a project with one thing changed.
fn changed(inquiry: &Inquiry, plan: &Decision, change: WhatIf, watch: &mut Watch) -> PlanValue {
    let mut other = inquiry.clone();
    other.change(change);
    // Where the lots have the same choices at the same terms, the answer is known.
    if other.question().classes == inquiry.question().classes
        && other.question().supplies == inquiry.question().supplies
    {
        return other.plan_value(plan);
    }
    let decision = other.decide_near(inquiry.question(), plan, watch);
    other.plan_value(&decision)
}

/// Vessels that are the only one of some lot.
fn only_vessels(inquiry: &Inquiry) -> BTreeSet<VesselId> {
    let only = |row: &crate::options::table::Row| match &row.judged()?.fits[..] {
        [(id, _)] => Some(*id),
        _ => None,
    };
    inquiry.rows().iter().filter_map(only).collect()
}

/// Rows that a decision puts into a vessel, in survey order, with the pieces that each uses.
pub fn lots(inquiry: &Inquiry, decision: &Decision, vessel: VesselId) -> Vec<(u32, Pieces)> {
    let question = inquiry.question();
    let mut lots = Vec::new();
    for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
        for (member, choice) in class.members.iter().zip(chosen) {
            let Some(choice) = choice.map(|choice| &class.choices[choice]) else { continue };
            if choice.supply.is_some_and(|supply| question.supplies[supply].vessel == vessel) {
                lots.push((member.specimen, choice.pieces));
            }
        }
    }
    lots.sort_unstable_by_key(|(row, _)| index(*row));
    lots
}

/// Packs of a vessel that a decision buys.
pub fn packs(inquiry: &Inquiry, decision: &Decision, vessel: VesselId) -> Packs {
    let supplies = inquiry.question().supplies.iter().zip(&decision.packs);
    supplies.filter(|(supply, _)| supply.vessel == vessel).flat_map(|(_, packs)| packs).copied().sum()
}
