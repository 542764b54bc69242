//! The best few sizes of vessel that are not listed: which are worth asking a supplier for.
//!
//! # Problem
//!
//! Given a number N, find at most N sizes that are not in the stock list, so that the plan with them is best. Plans are compared as
//! always: lots without a place by priority, then weighed money. A size has the proportions of a family of listed vessels, inner
//! sizes in multiples of `[sizes] round_mm`, a price of a piece from the prices of its family, and `[sizes] kind_charge` for the kind.
//!
//! # Method
//!
//! [`families`] gives the proportions, [`prices`] the prices, [`candidates`] the sizes that some lot needs. All candidates become
//! vessels of the project, and the project is decided with a limit of N on the kinds bought among these alone (listed kinds do not
//! count). So the sizes are chosen together, with the packs, orders, fluid and budget of the whole plan, and the certificate of each level
//! says that no other N of these candidates do better. The search starts from the best plan of the N most promising.
//!
//! Then the project with the chosen sizes alone is decided from that plan, and for each of them the price up to which it is bought is
//! found beside the others ([`super::break_even`]). What it saves is the difference to the best plan that buys none of it.
//!
//! # What is claimed
//!
//! The sizes are the best of the candidates at the fitted prices; the answer states both. A larger N never gives a worse plan, because
//! the candidates do not depend on N. With tanks for
//! leftovers only, a lot that may have a tank may have it with these sizes too, so that no size makes the plan worse.
//!
//! Every plan that the answer calls proved was audited: with code of its own, which knows that only kinds of new sizes count.
//!
//! # Cost
//!
//! All sizes of the grid are judged once against all lots; the decision has at most [`candidates::MOST_CANDIDATES`] further vessels.

pub mod candidates;
pub mod families;
pub mod prices;

use std::collections::HashMap;

use super::break_even::{Audit, BreakEven, break_even_confirmed};
use super::instead::{self, Housing};
use super::listed::{lots, packs};
use super::{Inquiry, PlanValue, Watch};
use crate::assign::{self, evaluate};
use crate::collection::VesselChoice;
use crate::decision::{Choice, Decision, Member, OfferTerms};
use crate::options::table::Row;
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::{Packs, Pieces, Position, index};
use candidates::{CandidateSize, MOST_CANDIDATES, WithSizes, needed, not_dominated, promising, sizes, with_sizes};
use families::VesselFamily;
use prices::{FittedLine, PriceSource};

/// The best sizes that are not listed.
#[derive(Clone, Debug)]
pub struct NewSizes {
    /// How many were asked for at most.
    pub most: u32,
    /// The plan as it is.
    pub now: PlanValue,
    /// The best plan with at most so many of the candidates.
    pub plan: PlanValue,
    /// Families of listed vessels, and where the prices of their sizes come from.
    pub families: Vec<(VesselFamily, PriceSource)>,
    /// Sizes that no other is better than for every lot.
    pub candidates: usize,
    /// Those of them that the best are chosen from.
    pub considered: usize,
    /// The project with the sizes that are bought.
    pub project: Project,
    /// The sizes that are bought, those with most lots first.
    pub sizes: Vec<NewSize>,
}

/// A size that is not listed and that the plan buys.
#[derive(Clone, Debug)]
pub struct NewSize {
    /// Its vessel in the project with the sizes.
    pub vessel: VesselId,
    /// Position of its family.
    pub family: usize,
    /// Its offer in that project.
    pub offer: usize,
    /// Rows of the lots that it holds, in survey order.
    pub lots: Vec<u32>,
    /// Pieces that the plan buys.
    pub pieces: Pieces,
    /// The price up to which it is bought, with the plan without it; `None` where the search ended before.
    pub threshold: Option<BreakEven>,
}

/// Why no sizes can be proposed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoNewSizes {
    /// No listed vessel has proportions.
    NoVessels,
    /// There are no prices at two capacities, and the settings state none.
    NoPrices,
}

impl NewSizes {
    /// Whether the price up to which each size is bought was found.
    pub fn is_whole(&self) -> bool {
        self.sizes.iter().all(|size| size.threshold.is_some())
    }
}

/// The families of a project with the prices of their sizes.
///
/// # Errors
/// Why there are none.
pub fn families(project: &Project) -> Result<Vec<(VesselFamily, PriceSource)>, NoNewSizes> {
    let families = VesselFamily::all(project);
    if families.is_empty() {
        return Err(NoNewSizes::NoVessels);
    }
    let stated = &project.settings.size_prices;
    let every: Vec<(f64, f64)> = families.iter().flat_map(|family| family.prices.iter().copied()).collect();
    let of_all = FittedLine::through(&every);
    let source = |family: &VesselFamily| match () {
        () if !stated.0.is_empty() => Some(PriceSource::Settings(stated.clone())),
        () => FittedLine::through(&family.prices)
            .filter(|line| line.slope >= 0.0)
            .map(PriceSource::Family)
            .or(of_all.map(PriceSource::AllFamilies)),
    };
    let priced = families.into_iter().map(|family| source(&family).map(|source| (family, source)));
    priced.collect::<Option<Vec<_>>>().ok_or(NoNewSizes::NoPrices)
}

/// The candidates for these families, the most promising first, and how many there were before the least promising were left out.
pub fn candidates_of(inquiry: &Inquiry, families: &[(VesselFamily, PriceSource)]) -> (Vec<CandidateSize>, usize) {
    let project = inquiry.project();
    let needed = needed(project, sizes(project, families));
    let first = VesselId::at(project.stock.vessels.len());
    let chosen = |ids: Vec<VesselId>, of: &[CandidateSize]| -> Vec<CandidateSize> {
        ids.into_iter().map(|id| of[id.index() - first.index()].clone()).collect()
    };
    let with = with_sizes(project, &needed);
    let question = assign::question::question(&with.project, &with.rows);
    let best = chosen(not_dominated(&question, first), &needed);
    let all = best.len();
    let with = with_sizes(project, &best);
    let question = assign::question::question(&with.project, &with.rows);
    let mut order = promising(&question, first, project.settings.size_charge);
    order.truncate(MOST_CANDIDATES);
    (chosen(order, &best), all)
}

/// At most so many sizes that are not listed. A plan that the audit does not confirm counts as not proved.
///
/// # Errors
/// Why none can be proposed.
pub fn new_sizes(inquiry: &Inquiry, most: u32, audit: Audit, watch: &mut Watch) -> Result<NewSizes, NoNewSizes> {
    let families = families(inquiry.project())?;
    let (considered, candidates) = candidates_of(inquiry, &families);
    let as_it_is = inquiry.decide(watch);
    let now = inquiry.confirmed(&as_it_is, audit);
    let project = inquiry.project();
    // The most promising alone, to start from.
    let first = VesselId::at(project.stock.vessels.len());
    let few = considered.len().min(index(most));
    let of_few = with_sizes(project, &considered[..few]);
    let of_few = Inquiry::about(&of_few.project, &of_few.rows);
    let start = of_few.placed_as(inquiry, &as_it_is, Some);
    let start = of_few.decide_from_any(start, watch);
    let all = with_sizes(project, &considered);
    let mut chosen = Inquiry::about(&all.project, &all.rows);
    chosen.limit_kinds_from(first, most);
    let start = chosen.placed_as(&of_few, &start, Some);
    let decision = chosen.decide_from_any(start, watch);
    let bought: Vec<VesselId> = chosen.bought_from(&decision, first);
    let sizes: Vec<CandidateSize> = bought.iter().map(|id| considered[id.index() - first.index()].clone()).collect();
    let WithSizes { project: with, rows } = with_sizes(project, &sizes);
    let plan = chosen.confirmed(&decision, audit);
    let found = alone(&with, &rows, &chosen, &decision, (&bought, &sizes), audit, watch);
    Ok(NewSizes { most, now, plan, families, candidates, considered: considered.len(), sizes: found, project: with })
}

/// Each of the sizes that are bought, in the project with these alone.
fn alone(
    project: &Project,
    rows: &[Row],
    chosen: &Inquiry,
    decision: &Decision,
    (bought, sizes): (&[VesselId], &[CandidateSize]),
    audit: Audit,
    watch: &mut Watch,
) -> Vec<NewSize> {
    let listed = project.stock.vessels.len() - sizes.len();
    let alone = Inquiry::about(project, rows);
    let here = |id: VesselId| match id.index() < listed {
        true => Some(id),
        false => bought.iter().position(|other| *other == id).map(|at| VesselId::at(listed + at)),
    };
    let start = alone.placed_as(chosen, decision, here);
    let plan = alone.decide_from_any(start, watch);
    let of = |(at, size): (usize, &CandidateSize)| {
        let vessel = VesselId::at(listed + at);
        let (offer, _) = project.stock.offers_of(vessel).next()?;
        let held = lots(&alone, &plan, vessel);
        let lots = held.iter().map(|(row, _)| *row).collect();
        // A piece is a pack.
        let pieces = Pieces(packs(&alone, &plan, vessel).0);
        Some(NewSize { vessel, family: size.family, offer, lots, pieces, threshold: None })
    };
    let mut found: Vec<NewSize> = sizes.iter().enumerate().filter_map(of).collect();
    found.sort_by_key(|size| std::cmp::Reverse(size.lots.len()));
    for size in &mut found {
        size.threshold = break_even_confirmed(&alone, &plan, size.offer, audit, watch);
    }
    found
}

impl Inquiry<'_> {
    /// Decides from a plan, if there is one.
    fn decide_from_any(&self, start: Option<Decision>, watch: &mut Watch) -> Decision {
        match start {
            Some(start) => self.decide_from(&start, watch),
            None => self.decide(watch),
        }
    }

    /// Vessels from this one on that a decision buys.
    fn bought_from(&self, decision: &Decision, first: VesselId) -> Vec<VesselId> {
        let supplies = self.question.supplies.iter().zip(&decision.packs);
        let bought =
            supplies.filter(|(supply, packs)| supply.vessel >= first && packs.iter().any(|some| *some > Packs::ZERO));
        bought.map(|(supply, _)| supply.vessel).collect()
    }

    /// A decision of another question about the same lots, if it is a plan of this one: `here` gives a vessel of that question in this
    /// one. Packs are those of the other plan, or else packs that cover the same choices.
    fn placed_as(
        &self,
        other: &Inquiry,
        decision: &Decision,
        here: impl Fn(VesselId) -> Option<VesselId>,
    ) -> Option<Decision> {
        let question = &self.question;
        let housings: HashMap<usize, Housing> = instead::housings(other, decision).into_iter().collect();
        let mut is_missing = false;
        let chosen = question.classes.map(|class| {
            let mut of = |member: &Member| {
                let to = match *housings.get(&index(member.specimen))? {
                    Housing::In(VesselChoice::Listed(id)) => here(id).map(|id| Housing::In(VesselChoice::Listed(id))),
                    to => Some(to),
                };
                let is_there = |choice: &Choice| to == Some(instead::in_choice(question, choice));
                let found = class.choices.positions().find(|&at| is_there(&class.choices[at]));
                is_missing |= found.is_none() && to != Some(Housing::Waits);
                found
            };
            class.members.iter().map(&mut of).collect()
        });
        if is_missing {
            return None;
        }
        let stock = (&self.project.stock, &other.project.stock);
        let bought: HashMap<(VesselId, usize), Packs> = (other.question.supplies.iter().zip(&decision.packs))
            .flat_map(|(supply, packs)| {
                supply.offers.iter().zip(packs).map(move |(terms, packs)| (supply.vessel, terms, *packs))
            })
            .filter_map(|(vessel, terms, packs)| {
                let (first, _) = stock.1.offers_of(vessel).next()?;
                Some(((here(vessel)?, index(terms.offer) - first), packs))
            })
            .collect();
        let packs = question.supplies.map(|supply| {
            let first = stock.0.offers_of(supply.vessel).next().map_or(0, |(first, _)| first);
            let of = |terms: &OfferTerms| bought.get(&(supply.vessel, index(terms.offer) - first)).copied();
            supply.offers.iter().map(|terms| of(terms).unwrap_or(Packs::ZERO)).collect()
        });
        let same = Decision { chosen, packs, ..Decision::default() };
        match evaluate::check(question, &same) {
            Ok(()) => Some(same),
            Err(_) => assign::covered(question, same.chosen),
        }
    }
}
