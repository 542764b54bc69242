//! From the options of every row to the question a solver is asked: equal rows become classes.

use std::collections::{BTreeSet, HashMap};

use itertools::Itertools;

use crate::collection::Specimen;
use crate::decision::{Choice, Class, Limits, Member, OfferTerms, Question, SupplierTerms, Supply};
use crate::options::table::{Judged, Row, digest};
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::ReuseFluid;
use crate::stock::{Offer, VesselId};
use crate::threads::in_threads;
use crate::units::Money;

/// Builds the question: rows with an option that has a price. Vessels, offers and rows are taken in an order that does
/// not depend on the order of the files.
pub fn question(project: &Project, rows: &[Row]) -> Question {
    question_at(project, rows, &|fluid| project.fluid_price(fluid))
}

/// The same at other prices of fluid a litre.
pub(super) fn question_at(project: &Project, rows: &[Row], price: &(dyn Fn(FluidId) -> Money + Sync)) -> Question {
    let occurring = occurring(rows);
    let mut supply_of = vec![None; project.stock.vessels.len()];
    for (&VesselId(id), supply) in occurring.iter().zip(0..) {
        supply_of[id as usize] = Some(supply);
    }
    let (supplies, suppliers) = supplies(project, &occurring);
    let classes = classes(project, rows, &supply_of, price);
    Question { classes, supplies, suppliers, limits: limits(project), owned: Vec::new() }
}

/// Vessels that are an option of any row, by id.
fn occurring(rows: &[Row]) -> Vec<VesselId> {
    let lists = rows.iter().filter_map(|row| Some(&row.judged()?.fits));
    let ids = lists.unique_by(|list| list.as_ptr()).flat_map(|list| list.iter().map(|(id, _)| *id));
    ids.collect::<BTreeSet<_>>().into_iter().collect()
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

/// Rows → classes, in the order of their first members by key.
fn classes(
    project: &Project,
    rows: &[Row],
    supply_of: &[Option<u32>],
    price: &(dyn Fn(FluidId) -> Money + Sync),
) -> Vec<Class> {
    let specimens = &project.collection.specimens;
    let mut classes = Classes::default();
    let mut of_list: HashMap<ListUse, usize> = HashMap::new();
    for some in project.collection.by_key().chunks(ROWS_AT_A_TIME) {
        // Most rows are of a class that is there already; what is new is put in its place one after the other.
        let known = in_threads(some, |&index| {
            let (specimen, judged) = (&specimens[index as usize], rows[index as usize].judged()?);
            let first = choices(project, specimen, judged, supply_of, price).next()?;
            let class = ListUse::of(specimen, judged).and_then(|list| of_list.get(&list)).copied();
            Some((judged, first, class))
        });
        for (&index, known) in some.iter().zip(known) {
            let Some((judged, first, class)) = known else { continue };
            let specimen = &specimens[index as usize];
            let class = class.unwrap_or_else(|| {
                let list = ListUse::of(specimen, judged);
                if let Some(&class) = list.as_ref().and_then(|list| of_list.get(list)) {
                    return class;
                }
                let relative = |choice: Choice| Choice {
                    money: choice.money - first.money,
                    fluid: choice.fluid - first.fluid,
                    ..choice
                };
                let choices = choices(project, specimen, judged, supply_of, price).map(relative).collect();
                let class = classes.place(specimen.fluid, specimen.priority, choices);
                if let Some(list) = list.filter(|_| differ_by_a_constant(project, judged)) {
                    of_list.insert(list, class);
                }
                class
            });
            classes.list[class].members.push(Member { money: first.money, fluid: first.fluid, specimen: index });
        }
    }
    for class in &mut classes.list {
        // Stable: members of equal constants stay in key order.
        class.members.sort_by_key(|member| (member.money, member.fluid));
    }
    classes.list
}

/// Rows looked at before they are put into their classes.
const ROWS_AT_A_TIME: usize = 50_000;

/// Classes in the making. Rows of one class share fluid, priority and choices at costs relative to the first.
#[derive(Default)]
struct Classes {
    list: Vec<Class>,
    fluids: Vec<FluidId>,
    /// Positions by a digest of what the rows share: the choices of a large question are not held twice.
    by_digest: HashMap<u64, Vec<usize>>,
}

impl Classes {
    /// The class of a row, a new one where there is none.
    fn place(&mut self, fluid: FluidId, priority: u8, choices: Vec<Choice>) -> usize {
        let words = choices.iter().flat_map(|choice| {
            let supply = choice.supply.map_or(u64::MAX, u64::from);
            [supply << 32 | u64::from(choice.pieces), choice.money.parts() as u64, choice.fluid.0 as u64]
        });
        let key = u64::from(fluid.0) << 8 | u64::from(priority);
        let alike = self.by_digest.entry(digest(words.chain([key]))).or_default();
        let same = |&at: &usize| {
            let class = &self.list[at];
            self.fluids[at] == fluid && class.priority == priority && class.choices == choices
        };
        if let Some(at) = alike.iter().copied().find(same) {
            return at;
        }
        alike.push(self.list.len());
        self.list.push(Class { priority, members: Vec::new(), choices });
        self.fluids.push(fluid);
        self.list.len() - 1
    }
}

/// A list of fits as a row uses it that has nothing else.
#[derive(PartialEq, Eq, Hash)]
struct ListUse {
    /// Where the list is held: equal ones are mostly one, and one list has one place.
    list: usize,
    fluid: FluidId,
    current_fluid: Option<FluidId>,
    priority: u8,
}

impl ListUse {
    fn of(specimen: &Specimen, judged: &Judged) -> Option<Self> {
        let Specimen { fluid, current_fluid, priority, .. } = *specimen;
        judged.tank.is_err().then(|| ListUse { list: judged.fits.as_ptr().addr(), fluid, current_fluid, priority })
    }
}

/// True if all rows that use this list alike are of one class for that alone.
///
/// What a row pays is linear in the fluid of one filling. With one number of fillings for the whole list and no fluid that
/// is kept, its tissue and the baths it takes are in every choice alike: such rows differ by a constant.
fn differ_by_a_constant(project: &Project, judged: &Judged) -> bool {
    project.settings.reuse_fluid == ReuseFluid::No && judged.fits.iter().map(|(_, portion)| portion.charges).all_equal()
}

/// The choices of a row in order of vessel, a tank last, at their full cost beyond the vessel's own price.
fn choices<'a>(
    project: &'a Project,
    specimen: &'a Specimen,
    judged: &'a Judged,
    supply_of: &'a [Option<u32>],
    price: &'a (dyn Fn(FluidId) -> Money + Sync),
) -> impl Iterator<Item = Choice> + 'a {
    let treatment = Treatment::of(project, specimen);
    let paid = move |charges, one| {
        let filling = Filling::of(project, specimen, &treatment, charges, one);
        (filling.money_at(specimen.fluid, price), filling.filled())
    };
    let tank = judged.tank.as_deref().ok().and_then(|tank| Some((tank, tank.cost?)));
    let tank = tank.map(|(tank, cost)| (None, 1, cost, tank.charges, tank.fluid));
    let vessels = judged.fits.iter().map(|(id, portion)| {
        (supply_of[id.0 as usize], portion.pieces, Money::ZERO, portion.charges, judged.fluid(portion))
    });
    vessels.chain(tank).map(move |(supply, pieces, cost, charges, one)| {
        let (money, fluid) = paid(charges, one);
        Choice { supply, pieces, money: cost + money, fluid }
    })
}
