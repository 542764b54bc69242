//! Makes the question from the options of every row: rows whose costs differ by a constant form a class.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use itertools::Itertools;

use crate::collection::Specimen;
use crate::decision::{
    Choice, ChoiceIndex, Class, ClassIndex, Limits, Member, OfferTerms, OwnedSupply, Question, SupplierIndex,
    SupplierTerms, Supply, SupplyIndex,
};
use crate::options::portions::digest;
use crate::options::table::{Judged, Row};
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::ReuseFluid;
use crate::stock::{Offer, SupplierId, VesselId};
use crate::system::threads::in_threads;
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, Position, index, number_of, truncated};

/// Builds the question from the lots that have an option with a price. The order of vessels, offers and lots in it does not
/// depend on the order of rows in the files.
pub fn question(project: &Project, rows: &[Row]) -> Question {
    let owned = owned(project);
    let stocked = stocked(project, rows);
    let mut supply_of: IndexTable<VesselId, Option<SupplyIndex>> = vec![None; project.stock.vessels.len()].into();
    let (supplies, suppliers) = supplies(project, &stocked);
    for (supply, of) in supplies.enumerated() {
        supply_of[of.vessel] = Some(supply);
    }
    let classes = classes(project, rows, &supply_of, &owned);
    let Classes { list, needs, member_needs, .. } = classes;
    let owned = owned.iter().enumerate().map(|(at, &(fluid, amount))| {
        let step = owned.len();
        OwnedSupply {
            fluid,
            amount,
            price: project.fluid_price(fluid),
            of_choice: needs.map(|needs| some(needs.iter().skip(at).step_by(step).copied().collect()).into()),
            of_member: member_needs.map(|needs| some(needs.iter().map(|need| need[at]).collect())),
        }
    });
    let owned = owned.collect();
    Question { classes: list, supplies, suppliers, limits: limits(project), owned }
}

/// The list, or an empty one if all its amounts are 0.
fn some(needs: Vec<Millilitres>) -> Vec<Millilitres> {
    if needs.iter().all(|need| *need == Millilitres::ZERO) { Vec::new() } else { needs }
}

/// The owned fluids that have a price, with the amount in stock, by fluid.
fn owned(project: &Project) -> Vec<(FluidId, Millilitres)> {
    let mut owned: BTreeMap<FluidId, Millilitres> = BTreeMap::new();
    for shelf in project.stock.fluids.iter().filter(|shelf| project.fluid_price(shelf.fluid) > Money::ZERO) {
        *owned.entry(shelf.fluid).or_default() += shelf.amount;
    }
    owned.into_iter().filter(|(_, amount)| *amount > Millilitres::ZERO).collect()
}

/// Vessels that are an option of any lot, and vessels whose spare packs may raise an order to its supplier's minimum or to the
/// threshold of free delivery; by id.
fn stocked(project: &Project, rows: &[Row]) -> Vec<VesselId> {
    let lists = rows.iter().filter_map(|row| Some(&row.judged()?.fits));
    let ids = lists.unique_by(|list| list.as_ptr()).flat_map(|list| list.iter().map(|(id, _)| *id));
    let used: BTreeSet<VesselId> = ids.collect();
    let stock = &project.stock;
    let lifts = |offer: &&Offer| {
        offer.supplier.is_some_and(|supplier| {
            let terms = stock.supplier(supplier);
            terms.minimum_order > Money::ZERO || terms.free_delivery_over.is_some()
        })
    };
    let spare: BTreeSet<VesselId> = stock.offers.iter().filter(lifts).map(|offer| offer.vessel).collect();
    used.union(&spare).copied().collect()
}

/// Labour cost of one row moved, rounded to four decimals.
pub fn labour_per_row(project: &Project) -> Money {
    let settings = &project.settings;
    let hours = settings.minutes_per_move.0 / 60.0;
    Money::estimate_or_most(settings.rate_per_hour.approximate() * hours)
}

/// Limits and weights as the settings have them.
pub fn limits(project: &Project) -> Limits {
    let settings = &project.settings;
    Limits {
        budget: settings.budget,
        labour_per_row: if settings.labour_in_budget { labour_per_row(project) } else { Money::ZERO },
        litre_weight: settings.litre_weight,
        priority_weights: settings.weights_in_force().map(|weights| weights.map(i64::from)),
        max_vessel_types: settings.max_vessel_types,
        max_suppliers: settings.max_suppliers,
        spare_per_10_000: truncated((settings.spare_pct.0 * 100.0).round()),
        gap: settings.gap_pct.ratio(),
        time_limit_s: settings.time_limit.0,
        most_asked: None,
    }
}

/// The supplies of the given vessels, and the suppliers that their offers name.
fn supplies(
    project: &Project,
    occurring: &[VesselId],
) -> (IndexTable<SupplyIndex, Supply>, IndexTable<SupplierIndex, SupplierTerms>) {
    let stock = &project.stock;
    let offers_of = |id: VesselId| {
        stock
            .offers_of(id)
            .filter(|(_, offer)| most_packs(offer).is_none_or(|most| most >= Packs(offer.min_packs.into())))
    };
    let named: Vec<SupplierId> = occurring
        .iter()
        .flat_map(|&id| offers_of(id).filter_map(|(_, offer)| offer.supplier))
        .sorted()
        .dedup()
        .collect();
    let suppliers = named
        .iter()
        .map(|&id| {
            let terms = stock.supplier(id);
            SupplierTerms {
                supplier: id,
                charge: terms.delivery_charge,
                free_over: terms.free_delivery_over,
                minimum: terms.minimum_order,
            }
        })
        .collect();
    let supply = |&id: &VesselId| Supply {
        vessel: id,
        free: Pieces(stock.vessel(id).free_pieces()),
        offers: offers_of(id)
            .sorted_by_key(|(_, offer)| content(offer))
            .map(|(index, offer)| OfferTerms {
                offer: u32::try_from(index).expect("a stock list has fewer offers than 32 bits count"),
                supplier: offer.supplier.and_then(|id| named.binary_search(&id).ok()).map(SupplierIndex::at),
                pack_size: Pieces(offer.pack_size.into()),
                pack_price: offer.pack_price,
                min_packs: Packs(offer.min_packs.into()),
                max_packs: most_packs(offer),
            })
            .collect(),
        counts_as_kind: true,
    };
    (occurring.iter().map(supply).collect(), suppliers)
}

/// Most packs of an offer within its order limit in pieces.
pub fn most_packs(offer: &Offer) -> Option<Packs> {
    offer.order_limit.map(|pieces| Packs((pieces / offer.pack_size.max(1)).into()))
}

/// Sort key of the offers of one vessel, so that their order does not depend on the file.
pub fn content(offer: &Offer) -> (Option<u32>, u32, Money, u32, Option<u32>, &str) {
    let supplier = offer.supplier.map(|supplier| supplier.0);
    (supplier, offer.pack_size, offer.pack_price, offer.min_packs, offer.order_limit, offer.order_code.as_str())
}

/// Groups the lots into classes, in the order of the first member by key.
fn classes(
    project: &Project,
    rows: &[Row],
    supply_of: &IndexTable<VesselId, Option<SupplyIndex>>,
    owned: &[(FluidId, Millilitres)],
) -> Classes {
    let specimens = &project.collection.specimens;
    let mut classes = Classes::default();
    let mut of_list: HashMap<ListUse, ClassIndex> = HashMap::new();
    for some in project.collection.by_key().chunks(ROWS_AT_A_TIME) {
        // Most lots belong to a class that exists already, which threads find; new classes are made on this thread alone.
        let known = in_threads(some, |&row| {
            let (specimen, judged) = (&specimens[index(row)], rows[index(row)].judged()?);
            let first = choices(project, specimen, judged, supply_of, owned).next()?;
            let class = ListUse::of(specimen, judged).and_then(|list| of_list.get(&list)).copied();
            Some((judged, first, class))
        });
        for (&row, known) in some.iter().zip(known) {
            let Some((judged, (first, first_needs), class)) = known else { continue };
            let specimen = &specimens[index(row)];
            let class = class.unwrap_or_else(|| {
                let list = ListUse::of(specimen, judged);
                if let Some(&class) = list.as_ref().and_then(|list| of_list.get(list)) {
                    return class;
                }
                let mut needs = Vec::new();
                let relative = |(choice, of_choice): (Choice, Vec<Millilitres>)| {
                    needs.extend(of_choice.iter().zip(&first_needs).map(|(need, first)| *need - *first));
                    Choice { money: choice.money - first.money, fluid: choice.fluid - first.fluid, ..choice }
                };
                let choices = choices(project, specimen, judged, supply_of, owned).map(relative).collect();
                let class = classes.place(
                    (specimen.fluid, specimen.priority, may_need(project, specimen, owned)),
                    choices,
                    needs,
                );
                if let Some(list) = list.filter(|_| differ_by_a_constant(project, judged)) {
                    of_list.insert(list, class);
                }
                class
            });
            classes.list[class].members.push(Member { money: first.money, fluid: first.fluid, specimen: row });
            if !owned.is_empty() {
                classes.member_needs[class].push(first_needs);
            }
        }
    }
    classes.sort_members();
    classes
}

/// Positions of the owned fluids that a lot can need: its own fluid and those of its baths.
fn may_need(project: &Project, specimen: &Specimen, owned: &[(FluidId, Millilitres)]) -> Vec<usize> {
    if owned.is_empty() {
        return Vec::new();
    }
    let treatment = Treatment::of(project, specimen);
    let of_lot = |fluid: FluidId| fluid == specimen.fluid || treatment.baths().contains(&fluid);
    (0..owned.len()).filter(|&at| of_lot(owned[at].0)).collect()
}

/// Rows that threads judge at a time before they are put into classes.
const ROWS_AT_A_TIME: usize = 50_000;

/// Classes in the making. Lots of one class share fluid, priority and choices, with amounts relative to the first choice.
#[derive(Default)]
struct Classes {
    list: IndexTable<ClassIndex, Class>,
    fluids: IndexTable<ClassIndex, FluidId>,
    /// By class, choice by choice, the need of each owned fluid relative to the first choice.
    needs: IndexTable<ClassIndex, Vec<Millilitres>>,
    /// By class, the positions of the owned fluids that its lots can need.
    may_need: IndexTable<ClassIndex, Vec<usize>>,
    /// By class and member, the need of each owned fluid in the first choice; empty if no fluid is owned.
    member_needs: IndexTable<ClassIndex, Vec<Vec<Millilitres>>>,
    /// Classes by a digest of what their lots share. A map keyed by the choices themselves would hold them twice.
    by_digest: HashMap<u64, Vec<ClassIndex>>,
}

impl Classes {
    /// The class with these shared values; a new one if there is none.
    fn place(
        &mut self,
        (fluid, priority, may_need): (FluidId, u8, Vec<usize>),
        choices: IndexTable<ChoiceIndex, Choice>,
        needs: Vec<Millilitres>,
    ) -> ClassIndex {
        let words = choices.iter().flat_map(|choice| {
            let supply = choice.supply.map_or(u64::MAX, |supply| supply.number().into());
            [
                supply << 32 | choice.pieces.0.cast_unsigned(),
                choice.money.parts().cast_unsigned(),
                choice.fluid.0.cast_unsigned(),
            ]
        });
        let key = u64::from(fluid.0) << 8 | u64::from(priority);
        let words = words.chain(needs.iter().map(|need| need.0.cast_unsigned()));
        let words = words.chain(may_need.iter().map(|owned| number_of(*owned).unsigned_abs())).chain([key]);
        let alike = self.by_digest.entry(digest(words)).or_default();
        let same = |&at: &ClassIndex| {
            let class = &self.list[at];
            self.fluids[at] == fluid
                && class.priority == priority
                && class.choices == choices
                && self.needs[at] == needs
                && self.may_need[at] == may_need
        };
        if let Some(at) = alike.iter().copied().find(same) {
            return at;
        }
        let class = self.list.push(Class { priority, members: Vec::new(), choices });
        alike.push(class);
        self.fluids.push(fluid);
        self.needs.push(needs);
        self.may_need.push(may_need);
        self.member_needs.push(Vec::new());
        class
    }

    /// Sorts members by their constants; members with equal constants stay in key order.
    fn sort_members(&mut self) {
        for (class, needs) in self.list.iter_mut().zip(&mut self.member_needs) {
            if needs.is_empty() {
                class.members.sort_by_key(|member| (member.money, member.fluid));
                continue;
            }
            let both = class.members.drain(..).zip(needs.drain(..));
            let sorted = both
                .sorted_by(|(a, a_needs), (b, b_needs)| (a.money, a.fluid, a_needs).cmp(&(b.money, b.fluid, b_needs)));
            (class.members, *needs) = sorted.unzip();
        }
    }
}

/// Key of rows that share a list of fits and have no tank: all that their choices depend on, if [`differ_by_a_constant`].
#[derive(PartialEq, Eq, Hash)]
struct ListUse {
    /// Address of the list. Equal lists are mostly one shared list, so equal addresses find most equal lists.
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

/// True if all rows with the same [`ListUse`] belong to one class.
///
/// The cost of a row is linear in the fluid of one filling. If the whole list has one number of fillings and no fluid is reused,
/// tissue and baths of the row add the same to every choice, so such rows differ by a constant.
fn differ_by_a_constant(project: &Project, judged: &Judged) -> bool {
    project.settings.reuse_fluid == ReuseFluid::No && judged.fits.iter().map(|(_, portion)| portion.charges).all_equal()
}

/// The choices of a lot in order of vessel, a tank last, each with its need of every owned fluid. Their money is the full cost
/// without the price of the vessel and without owned fluid.
fn choices<'a>(
    project: &'a Project,
    specimen: &'a Specimen,
    judged: &'a Judged,
    supply_of: &'a IndexTable<VesselId, Option<SupplyIndex>>,
    owned: &'a [(FluidId, Millilitres)],
) -> impl Iterator<Item = (Choice, Vec<Millilitres>)> + 'a {
    let treatment = Treatment::of(project, specimen);
    let is_owned = move |fluid: FluidId| owned.iter().position(|(other, _)| *other == fluid);
    let paid = move |charges, one| {
        let filling = Filling::of(project, specimen, &treatment, charges, one);
        let price = |fluid| if is_owned(fluid).is_some() { Money::ZERO } else { project.fluid_price(fluid) };
        let mut needs = vec![Millilitres::ZERO; owned.len()];
        if !owned.is_empty() {
            for (fluid, amount) in filling.needed(specimen.fluid) {
                if let Some(at) = is_owned(fluid) {
                    needs[at] += amount;
                }
            }
        }
        (filling.money_at(specimen.fluid, price), filling.filled(), needs)
    };
    let tank = judged.tank.as_deref().ok().and_then(|tank| Some((tank, tank.cost?)));
    let tank = tank.map(|(tank, cost)| (None, Pieces(1), cost, tank.charges, tank.fluid));
    let vessels = judged.fits.iter().map(|(id, portion)| {
        (supply_of[*id], Pieces(portion.pieces.into()), Money::ZERO, portion.charges, judged.fluid(portion))
    });
    vessels.chain(tank).map(move |(supply, pieces, cost, charges, one)| {
        let (money, fluid, needs) = paid(charges, one);
        (Choice { supply, pieces, money: cost + money, fluid }, needs)
    })
}
