//! Sizes that are not listed, from which the best are chosen.
//!
//! # Method
//!
//! In each proportion of each family ([`super::families`]), sizes are multiples of `[sizes] round_mm`, from two thirds of the family's
//! smallest longer side to one and a half of its largest, and near its heights and capacities ([`VesselFamily::is_near`]; common practice, no
//! source: beyond that neither its proportions nor its prices say much). Every size is judged against every lot by the rules of a plan. Of the sizes of one proportion a lot needs the
//! least that it fits, and the least in which it takes fewer pieces or fillings: these are the candidates. So for any lots together,
//! the least size of a proportion that holds them all is a candidate where larger sizes hold what smaller ones do: it is the largest
//! of those that they need.
//!
//! # What is left out
//!
//! * A size that is listed.
//! * A candidate that another one dominates: every lot that fits it fits the other, with no more pieces, money and fluid, at no higher
//!   price of a piece. In any plan the other can take its place, so no best plan is lost.
//! * Beyond [`MOST_CANDIDATES`], those that promise least: each lot is priced alone, and the candidate that saves most beside those
//!   before it comes next (G. L. Nemhauser, L. A. Wolsey and M. L. Fisher, Mathematical Programming 14 (1978) 265–294, from memory).
//!   Then "best" means best among those that are left, and the answer says how many there were.

use std::collections::BTreeSet;

use super::families::VesselFamily;
use super::prices::PriceSource;
use crate::decision::{Choice, ChoiceIndex, ClassIndex, OfferTerms, Question, SupplyIndex};
use crate::options::portions::Portion;
use crate::options::table::{Row, judge_all};
use crate::project::Project;
use crate::stock::{Offer, Stock, Supplier, SupplierId, Vessel, VesselId};
use crate::units::{IndexTable, Length, Money, Position, number_of};

/// Candidates that a search chooses from at most. Its time grows with their number.
pub const MOST_CANDIDATES: usize = 60;

/// Sizes of one proportion that are judged at most; in steps of more than one multiple where there are more.
const MOST_STEPS: f64 = 400.0;

/// A size that is not listed.
#[derive(Clone, Debug, PartialEq)]
pub struct CandidateSize {
    /// The vessel.
    pub vessel: Vessel,
    /// Position of its family.
    pub family: usize,
    /// Price of a piece.
    pub price: Money,
}

/// A project with sizes that are not listed, and the options of its lots.
#[derive(Clone, Debug)]
pub struct WithSizes {
    /// The project. The sizes stand after the vessels of the stock list, their offers after its offers.
    pub project: Project,
    /// The options. A lot that may have a tank without these sizes may have it with them too.
    pub rows: Vec<Row>,
}

/// Every multiple in every proportion of each family.
pub fn sizes(project: &Project, families: &[(VesselFamily, PriceSource)]) -> Vec<(CandidateSize, usize)> {
    let round = project.settings.size_round.0;
    let mut sizes: Vec<(CandidateSize, usize)> = Vec::new();
    let mut proportion = 0;
    for (number, (family, source)) in families.iter().enumerate() {
        let of_family = sizes.len();
        for height in &family.heights {
            proportion += 1;
            let (least, most) = (family.sides.0.mm() / 1.5, family.sides.1.mm() * 1.5);
            let stride = ((most - least) / round.mm() / MOST_STEPS).ceil().max(1.0) * round.mm();
            let mut side = (least / round.mm()).ceil().max(1.0) * round.mm();
            while side <= most {
                let mut vessel = family.vessel(Length::at_least_zero(side), *height, round);
                side += stride;
                vessel.id = named(project, &vessel);
                let is_out = !family.is_near(&vessel)
                    || project.stock.vessels.iter().any(|listed| is_same_size(listed, &vessel))
                    || sizes[of_family..].iter().any(|(other, _)| is_same_size(&other.vessel, &vessel));
                let Some(price) = source.price(vessel.brimful.ml() / 1000.0).filter(|_| !is_out) else { continue };
                sizes.push((CandidateSize { vessel, family: number, price }, proportion));
            }
        }
    }
    sizes
}

fn is_same_size(one: &Vessel, other: &Vessel) -> bool {
    let facts = |vessel: &Vessel| (vessel.section, vessel.inner_height, vessel.material, vessel.closure);
    facts(one) == facts(other)
}

/// A name that no listed vessel has: the inner sizes, the material and the closure.
fn named(project: &Project, vessel: &Vessel) -> String {
    let material = &project.rules.materials[vessel.material.index()].id;
    let closure = &project.rules.closures[vessel.closure.index()].id;
    let mut name = format!("new-{}-{material}-{closure}", inner_sizes(vessel).replace(" × ", "x"));
    while project.stock.vessels.iter().any(|listed| listed.id == name) {
        name.insert_str(0, "new-");
    }
    name
}

/// Bore by height, or length by width by height, in mm.
pub fn inner_sizes(vessel: &Vessel) -> String {
    let height = vessel.inner_height.mm();
    match vessel.section {
        crate::stock::Section::Round(bore) => format!("{} × {height}", bore.mm()),
        crate::stock::Section::Rectangular(length, width) => format!("{} × {} × {height}", length.mm(), width.mm()),
    }
}

/// Of these sizes, the least of each proportion that some lot fits, or in which it takes fewer pieces or fillings.
pub fn needed(project: &Project, sizes: Vec<(CandidateSize, usize)>) -> Vec<CandidateSize> {
    let all: Vec<CandidateSize> = sizes.iter().map(|(size, _)| size.clone()).collect();
    let with = with_sizes(project, &all);
    let listed = project.stock.vessels.len();
    let mut least: BTreeSet<usize> = BTreeSet::new();
    let mut last: Option<(*const (VesselId, Portion), usize)> = None;
    for judged in with.rows.iter().filter_map(Row::judged) {
        // Equal lists are mostly one shared list.
        let list = (judged.fits.as_ptr(), judged.fits.len());
        if last == Some(list) {
            continue;
        }
        last = Some(list);
        let mut fewest: Option<(usize, u32, u32)> = None;
        // Sizes of one proportion stand together, the smallest first.
        for (id, portion) in judged.fits.iter() {
            let Some(size) = id.index().checked_sub(listed) else { continue };
            let proportion = sizes[size].1;
            let Portion { pieces, charges, .. } = *portion;
            let before = fewest.filter(|(of, ..)| *of == proportion);
            if before.is_none_or(|(_, fewest, least)| pieces < fewest || charges < least) {
                least.insert(size);
            }
            let (fewest_pieces, fewest_charges) = before.map_or((pieces, charges), |(_, of, least)| (of, least));
            fewest = Some((proportion, fewest_pieces.min(pieces), fewest_charges.min(charges)));
        }
    }
    let kept = all.into_iter().enumerate().filter(|(at, _)| least.contains(at));
    kept.map(|(_, size)| size).collect()
}

/// A project with these sizes: single pieces at their prices. Where a kind has a charge, each is sold by a supplier of its own who
/// asks the charge for delivery.
pub fn with_sizes(project: &Project, sizes: &[CandidateSize]) -> WithSizes {
    let mut project = project.clone();
    let charge = project.settings.size_charge;
    project.stock.proposed_from = Some(VesselId::at(project.stock.vessels.len()));
    for size in sizes {
        let Stock { vessels, offers, suppliers, .. } = &mut project.stock;
        let supplier = (charge > Money::ZERO).then(|| {
            suppliers.push(Supplier {
                name: size.vessel.id.clone(),
                delivery_charge: charge,
                free_delivery_over: None,
                minimum_order: Money::ZERO,
                lead_days: None,
            });
            SupplierId::at(suppliers.len() - 1)
        });
        offers.push(Offer {
            vessel: VesselId::at(vessels.len()),
            line: 0,
            supplier,
            order_code: String::new(),
            pack_size: 1,
            pack_price: size.price,
            min_packs: 1,
            order_limit: None,
        });
        vessels.push(size.vessel.clone());
    }
    WithSizes { rows: judge_all(&project), project }
}

/// By supply of a size, its choices in the order of classes.
type Uses = Vec<(SupplyIndex, Vec<(ClassIndex, ChoiceIndex)>)>;

fn uses(question: &Question, first: VesselId) -> Uses {
    let mut of: IndexTable<SupplyIndex, Vec<(ClassIndex, ChoiceIndex)>> = question.supplies.filled(Vec::new());
    for (class, classes) in question.classes.enumerated() {
        for (at, choice) in classes.choices.enumerated() {
            if let Some(supply) = choice.supply {
                of[supply].push((class, at));
            }
        }
    }
    let sizes = question.supplies.enumerated().filter(|(_, supply)| supply.vessel >= first);
    sizes.map(|(at, _)| (at, of[at].clone())).collect()
}

/// Which sizes, by their vessels from this one on, no other dominates.
pub fn not_dominated(question: &Question, first: VesselId) -> Vec<VesselId> {
    let uses = uses(question, first);
    let is_dominated = |(at, (supply, of)): (usize, &(SupplyIndex, Vec<_>))| {
        uses.iter().enumerate().any(|(other, (by, of_other))| {
            let serves = |supply, of: &_, by, of_other: &_| dominates(question, (by, of_other), (supply, of));
            // Of two that dominate one another the first stays.
            other != at && serves(*supply, of, *by, of_other) && (other < at || !serves(*by, of_other, *supply, of))
        })
    };
    let kept = uses.iter().enumerate().filter(|size| !is_dominated(*size));
    kept.map(|(_, (supply, _))| question.supplies[*supply].vessel).collect()
}

/// Whether the first size can take the place of the second in any plan without making it worse.
fn dominates(
    question: &Question,
    (by, of_by): (SupplyIndex, &Vec<(ClassIndex, ChoiceIndex)>),
    (supply, of): (SupplyIndex, &Vec<(ClassIndex, ChoiceIndex)>),
) -> bool {
    let price = |supply: SupplyIndex| question.supplies[supply].offers.iter().map(|offer| offer.pack_price).min();
    if of_by.len() < of.len() || price(by) > price(supply) {
        return false;
    }
    let mut others = of_by.iter();
    of.iter().all(|&(class, at)| {
        let Some(&(_, other)) = others.find(|(of, _)| *of >= class).filter(|(of, _)| *of == class) else {
            return false;
        };
        let choices = &question.classes[class].choices;
        let (this, other_choice) = (&choices[at], &choices[other]);
        let needs = question.owned.iter().all(|owned| owned.choice_need(class, other) <= owned.choice_need(class, at));
        other_choice.pieces <= this.pieces
            && other_choice.money <= this.money
            && other_choice.fluid <= this.fluid
            && needs
    })
}

/// What a lot that waits costs, in dearest choices.
const WAITS: f64 = 100.0;

/// The sizes from this vessel on, the most promising first. Nothing is claimed of the order.
pub fn promising(question: &Question, first: VesselId, charge: Money) -> Vec<VesselId> {
    let a_piece: IndexTable<SupplyIndex, f64> = question.supplies.map(|supply| {
        let a_piece = |offer: &OfferTerms| offer.pack_price.approximate() / offer.pack_size.0.max(1) as f64;
        supply.offers.iter().map(a_piece).reduce(f64::min).unwrap_or(0.0)
    });
    let cost = |choice: &Choice| {
        let pieces = choice.supply.map_or(0.0, |supply| a_piece[supply] * choice.pieces.0 as f64);
        let weight = question.limits.litre_weight.per_litre(choice.fluid).approximate();
        choice.money.approximate() + weight + pieces
    };
    let all = || question.classes.iter().flat_map(|class| class.choices.iter()).map(cost);
    let range = all().fold(1.0, f64::max) - all().fold(0.0, f64::min);
    let is_listed = |choice: &&Choice| choice.supply.is_none_or(|supply| question.supplies[supply].vessel < first);
    let mut now: IndexTable<ClassIndex, f64> = question.classes.map(|class| {
        let waits = range * WAITS * f64::from(5 - class.priority.min(4));
        class.choices.iter().filter(is_listed).map(cost).fold(waits, f64::min)
    });
    let mut left = uses(question, first);
    let mut order = Vec::new();
    while !left.is_empty() {
        let saves = |(_, of): &(SupplyIndex, Vec<(ClassIndex, ChoiceIndex)>)| {
            let each = of.iter().map(|&(class, at)| {
                let of = &question.classes[class];
                (now[class] - cost(&of.choices[at])).max(0.0) * number_of(of.members.len()) as f64
            });
            each.sum::<f64>() - charge.approximate()
        };
        let best = left.iter().enumerate().map(|(at, size)| (saves(size), at));
        let best = best.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        let Some((_, at)) = best else { break };
        let (supply, of) = left.remove(at);
        for (class, choice) in of {
            let then = cost(&question.classes[class].choices[choice]);
            now[class] = now[class].min(then);
        }
        order.push(question.supplies[supply].vessel);
    }
    order
}
