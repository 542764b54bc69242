//! From the options of every row to the question a solver is asked: equal rows become classes.

use std::collections::BTreeMap;

use itertools::Itertools;

use crate::collection::Specimen;
use crate::decision::{Choice, Class, Limits, Member, OfferTerms, Question, SupplierTerms, Supply};
use crate::options::table::{Judged, Row};
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::{Offer, VesselId};
use crate::units::{Millilitres, Money};

/// Builds the question: rows with an option that has a price. Vessels, offers and rows are taken in an order that does
/// not depend on the order of the files.
pub fn question(project: &Project, rows: &[Row]) -> Question {
    question_at(project, rows, &|fluid| project.fluid_price(fluid))
}

/// The same at other prices of fluid a litre.
pub(super) fn question_at(project: &Project, rows: &[Row], price: &dyn Fn(FluidId) -> Money) -> Question {
    let occurring: Vec<VesselId> = rows
        .iter()
        .filter_map(|row| if let Row::Judged(judged) = row { Some(judged) } else { None })
        .flat_map(|judged| judged.fits.iter().map(|(id, _)| *id))
        .sorted()
        .dedup()
        .collect();
    let supply_of: BTreeMap<VesselId, u32> = occurring.iter().copied().zip(0..).collect();
    let (supplies, suppliers) = supplies(project, &occurring);
    let classes = classes(project, rows, &supply_of, price);
    Question { classes, supplies, suppliers, limits: limits(project), shelf: Vec::new() }
}

/// Money of labour for one row moved, rounded to four decimals.
pub fn labour_per_row(project: &Project) -> Money {
    let settings = &project.settings;
    let hours = settings.minutes_per_move.0 / 60.0;
    Money::estimate(settings.rate_per_hour.approximate() * hours).unwrap_or(Money::ZERO)
}

fn limits(project: &Project) -> Limits {
    let settings = &project.settings;
    Limits {
        budget: settings.budget,
        labour_per_row: if settings.labour_in_budget { labour_per_row(project) } else { Money::ZERO },
        litre_weight: settings.litre_weight,
        max_vessel_types: settings.max_vessel_types,
        max_suppliers: settings.max_suppliers,
        spare_per_10_000: (settings.spare_pct.0 * 100.0).round() as i64,
        gap: settings.gap_pct.ratio(),
        time_limit_s: settings.time_limit.0,
    }
}

/// Supplies of the vessels that occur, and the suppliers their offers name.
fn supplies(project: &Project, occurring: &[VesselId]) -> (Vec<Supply>, Vec<SupplierTerms>) {
    let stock = &project.stock;
    let offers_of = |id: VesselId| {
        stock.offers_of(id).filter(|(_, offer)| most_packs(offer).is_none_or(|most| most >= i64::from(offer.min_packs)))
    };
    let named: Vec<u32> = occurring
        .iter()
        .flat_map(|&id| offers_of(id).filter_map(|(_, offer)| offer.supplier))
        .map(|supplier| supplier.0)
        .sorted()
        .dedup()
        .collect();
    let suppliers = named
        .iter()
        .map(|&index| {
            let terms = &stock.suppliers[index as usize];
            SupplierTerms {
                supplier: index,
                charge: terms.delivery_charge,
                free_over: terms.free_delivery_over,
                minimum: terms.minimum_order,
            }
        })
        .collect();
    let supply = |&id: &VesselId| Supply {
        vessel: id,
        free: stock.vessel(id).free_pieces(),
        offers: offers_of(id)
            .sorted_by_key(|(_, offer)| content(offer))
            .map(|(index, offer)| OfferTerms {
                offer: index as u32,
                supplier: offer.supplier.and_then(|s| named.binary_search(&s.0).ok()).map(|position| position as u32),
                pack_size: i64::from(offer.pack_size),
                pack_price: offer.pack_price,
                min_packs: i64::from(offer.min_packs),
                max_packs: most_packs(offer),
            })
            .collect(),
    };
    (occurring.iter().map(supply).collect(), suppliers)
}

/// Most packs that an offer's limit in pieces leaves.
pub fn most_packs(offer: &Offer) -> Option<i64> {
    offer.order_limit.map(|pieces| i64::from(pieces / offer.pack_size.max(1)))
}

/// What orders the offers of one vessel, whatever the order of the file.
pub fn content(offer: &Offer) -> (Option<u32>, u32, Money, u32, Option<u32>, &str) {
    let supplier = offer.supplier.map(|supplier| supplier.0);
    (supplier, offer.pack_size, offer.pack_price, offer.min_packs, offer.order_limit, offer.order_code.as_str())
}

/// What rows of one class share: fluid, priority and choices at costs relative to the first.
type Likeness = (FluidId, u8, Vec<(Option<u32>, u32, Money, Millilitres)>);

fn classes(
    project: &Project,
    rows: &[Row],
    supply_of: &BTreeMap<VesselId, u32>,
    price: &dyn Fn(FluidId) -> Money,
) -> Vec<Class> {
    let specimens = &project.collection.specimens;
    let by_key = (0..specimens.len()).sorted_by(|&a, &b| specimens[a].key.cmp(&specimens[b].key));
    let mut place: BTreeMap<Likeness, usize> = BTreeMap::new();
    let mut classes: Vec<Class> = Vec::new();
    for index in by_key {
        let Row::Judged(judged) = &rows[index] else { continue };
        let (fluid, priority) = (specimens[index].fluid, specimens[index].priority);
        let choices = choices(project, &specimens[index], judged, supply_of, price);
        let Some(first) = choices.first().copied() else { continue };
        let relative: Vec<Choice> = choices
            .into_iter()
            .map(|choice| Choice { money: choice.money - first.money, fluid: choice.fluid - first.fluid, ..choice })
            .collect();
        let likeness = relative.iter().map(|c| (c.supply, c.pieces, c.money, c.fluid)).collect();
        let class = *place.entry((fluid, priority, likeness)).or_insert_with(|| {
            classes.push(Class { priority, members: Vec::new(), choices: relative });
            classes.len() - 1
        });
        classes[class].members.push(Member { money: first.money, fluid: first.fluid, specimen: index as u32 });
    }
    for class in &mut classes {
        // Stable: members of equal constants stay in key order.
        class.members.sort_by_key(|member| (member.money, member.fluid));
    }
    classes
}

/// The choices of a row in order of vessel, a tank last, at their full cost beyond the vessel's own price.
fn choices(
    project: &Project,
    specimen: &Specimen,
    judged: &Judged,
    supply_of: &BTreeMap<VesselId, u32>,
    price: &dyn Fn(FluidId) -> Money,
) -> Vec<Choice> {
    let treatment = Treatment::of(project, specimen);
    let filling = |charges, one| Filling::of(project, specimen, &treatment, charges, one);
    let vessels = judged.fits.iter().map(|(id, fit)| {
        let filling = filling(fit.charges, fit.fluid());
        let money = filling.money_at(specimen.fluid, price);
        Choice { supply: supply_of.get(id).copied(), pieces: fit.pieces, money, fluid: filling.filled() }
    });
    let tank = judged.tank.as_ref().ok().and_then(|tank| {
        tank.cost.map(|cost| {
            let filling = filling(tank.charges, tank.fluid);
            let money = cost + filling.money_at(specimen.fluid, price);
            Choice { supply: None, pieces: 1, money, fluid: filling.filled() }
        })
    });
    vessels.chain(tank).collect()
}
