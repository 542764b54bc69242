//! Why a row is deferred: what adding it to the plan would need, and what the plan leaves over.

use std::collections::BTreeMap;

use itertools::Itertools;

use super::reasons::{Wait, WaitCause};
use super::work::labour_counted;
use super::{Placement, Plan, Purchase};
use crate::options::portions::Portion;
use crate::options::table::Judged;
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::CountLimits;
use crate::stock::{SupplierId, Vessel, VesselId};
use crate::units::{Millilitres, Money};

/// What a plan leaves over: pieces, packs that could still be bought, money.
pub struct LeftOver<'a> {
    project: &'a Project,
    /// By vessel: pieces on hand or arriving, less pieces used; below zero if bought pieces are used.
    free: Vec<i64>,
    /// Packs bought by offer.
    packs: BTreeMap<usize, i64>,
    /// Kinds of vessel bought.
    kinds: usize,
    /// Cost of goods by supplier ordered from.
    goods: BTreeMap<SupplierId, Money>,
    /// Fluid on the shelf that is not used.
    shelf: BTreeMap<FluidId, Millilitres>,
    /// What is left of the budget, if there is one.
    money: Option<Money>,
    /// Fluid as counted by the litre less the cost of whole containers; zero if containers cost more.
    containers_save: Money,
    labour_per_row: Money,
    /// By vessel: the least money that one more piece needs, or what else stops it.
    one_more_piece: Vec<Stop>,
}

/// What stops a row from being added.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Stop {
    /// Only money is missing: this much, where no other lot moves.
    Money(Money),
    /// The limit on the number of vessel kinds or of suppliers.
    Limits,
    /// No piece is left, and no more can be ordered.
    Stock,
}

/// Largest number of packs taken from a plan that was read.
const MOST_PACKS: i64 = 1_000_000;
/// Largest amount of money taken from a plan that was read.
const MOST_MONEY: Money = Money::whole(10_000_000_000);

impl<'a> LeftOver<'a> {
    /// What a plan leaves over. `labour_per_row` is the labour cost of moving one row.
    pub fn of(project: &'a Project, plan: &Plan, labour_per_row: Money) -> Self {
        let mut free: Vec<i64> = project.stock.vessels.iter().map(Vessel::free_pieces).collect();
        for Placement { vessel, fit, .. } in &plan.placements {
            if let (Some(VesselId(vessel)), Some(fit)) = (vessel, fit) {
                free[*vessel as usize] -= i64::from(fit.pieces);
            }
        }
        // A plan that is read back may state anything.
        let stated = |packs: i64| packs.clamp(0, MOST_PACKS);
        let packs = plan.purchases.iter().map(|Purchase { offer, packs, .. }| (*offer, stated(*packs))).collect();
        let kinds = plan.purchases.iter().map(|line| project.stock.offers[line.offer].vessel).unique().count();
        let goods = plan.deliveries.iter().map(|delivery| (delivery.supplier, delivery.goods)).collect();
        let labour_per_row = labour_counted(&project.settings, labour_per_row);
        let labour = plan.totals.labour_counted;
        // The money of the decision, before tanks share sizes, rounded as in files: a plan read back then gives the same reasons.
        let spent = [plan.totals.money, plan.totals.saved_by_sharing, labour];
        let spent: Money = spent.into_iter().map(|money| money.clamp(-MOST_MONEY, MOST_MONEY).rounded()).sum();
        let money = project.settings.budget.map(|budget| (budget - spent).max(Money::ZERO));
        let mut shelf: BTreeMap<FluidId, Millilitres> = BTreeMap::new();
        for owned in &project.stock.fluids {
            *shelf.entry(owned.fluid).or_default() += owned.amount;
        }
        for made in &plan.make_up {
            let left = shelf.entry(made.fluid).or_default();
            *left = (*left - made.from_stock).max(Millilitres::ZERO);
        }
        let one_more_piece = Vec::new();
        let containers_save = (-plan.totals.containers.clamp(-MOST_MONEY, MOST_MONEY).rounded()).max(Money::ZERO);
        let mut left = LeftOver {
            project,
            free,
            packs,
            kinds,
            goods,
            shelf,
            money,
            containers_save,
            labour_per_row,
            one_more_piece,
        };
        left.one_more_piece = project.stock.listed().map(|(vessel, _)| left.pieces(vessel, 1)).collect();
        left
    }

    /// Why a row with these options is deferred.
    pub fn wait(&self, specimen: usize, judged: &Judged) -> Wait {
        let specimen = &self.project.collection.specimens[specimen];
        let treatment = Treatment::of(self.project, specimen);
        let fluid =
            |charges, one| self.fluid(specimen.fluid, &Filling::of(self.project, specimen, &treatment, charges, one));
        let vessels = judged.fits.iter().map(|(vessel, portion)| match self.vessel(*vessel, portion) {
            Stop::Money(money) => Stop::Money(money + fluid(portion.charges, judged.fluid(portion))),
            stop => stop,
        });
        let tank = judged.tank.as_ref().ok();
        let tank = tank.and_then(|tank| Some(Stop::Money(tank.cost? + fluid(tank.charges, tank.fluid))));
        let cause = match (vessels.chain(tank).min(), self.money) {
            (Some(Stop::Money(more)), Some(left)) if more + self.labour_per_row > left => {
                let by_itself = (more + self.labour_per_row).rounded().min(MOST_MONEY);
                // The decision counts fluid by the litre, but it is bought in whole containers.
                let unspent = Some(left + self.containers_save).filter(|unspent| *unspent > left);
                WaitCause::Money { by_itself, left, unspent }
            }
            (Some(Stop::Money(_)), Some(_)) => WaitCause::BudgetOrTerms,
            (Some(Stop::Money(_)), None) => WaitCause::Terms,
            (Some(Stop::Limits), _) => WaitCause::Limits,
            (Some(Stop::Stock) | None, _) => WaitCause::Stock,
        };
        Wait { cause, suitable: judged.suitable() }
    }

    /// A lower bound on the cost of fluid, after what is left on the shelf is used.
    fn fluid(&self, own: FluidId, filling: &Filling) -> Money {
        let mut needs: BTreeMap<FluidId, Millilitres> = BTreeMap::new();
        for (fluid, amount) in filling.needed(own) {
            *needs.entry(fluid).or_default() += amount;
        }
        let missing = |(fluid, need): (FluidId, Millilitres)| {
            let shelf = self.shelf.get(&fluid).copied().unwrap_or(Millilitres::ZERO);
            self.project.fluid_price(fluid).per_litre((need - shelf).max(Millilitres::ZERO))
        };
        needs.into_iter().map(missing).sum()
    }

    /// A lower bound on the cost of pieces of a vessel, without fluid.
    fn vessel(&self, vessel: VesselId, portion: &Portion) -> Stop {
        match portion.pieces {
            1 => self.one_more_piece[vessel.0 as usize],
            pieces => self.pieces(vessel, pieces),
        }
    }

    fn pieces(&self, vessel: VesselId, pieces: u32) -> Stop {
        let free = self.free[vessel.0 as usize];
        let bought: i64 = self
            .project
            .stock
            .offers_of(vessel)
            .map(|(index, offer)| self.packs.get(&index).copied().unwrap_or(0) * i64::from(offer.pack_size))
            .sum();
        let missing = i64::from(pieces) - free - bought;
        if missing <= 0 {
            return Stop::Money(Money::ZERO);
        }
        let offers = self.project.stock.offers_of(vessel);
        offers.map(|(index, _)| self.offer(index, missing, bought > 0)).min().unwrap_or(Stop::Stock)
    }

    /// The cost of `pieces` more from one offer.
    fn offer(&self, index: usize, pieces: i64, kind_is_bought: bool) -> Stop {
        let CountLimits { max_vessel_types, max_suppliers } = self.project.settings.count_limits();
        let offer = &self.project.stock.offers[index];
        let had = self.packs.get(&index).copied().unwrap_or(0);
        let size = i64::from(offer.pack_size);
        let more = (pieces + size - 1) / size;
        let more = more.max(i64::from(offer.min_packs) - had);
        if offer.order_limit.is_some_and(|most| (had + more) * size > i64::from(most)) {
            return Stop::Stock;
        }
        if !kind_is_bought && max_vessel_types.is_some_and(|most| self.kinds >= most as usize) {
            return Stop::Limits;
        }
        let price = offer.pack_price * more;
        let Some(supplier) = offer.supplier else { return Stop::Money(price) };
        let goods = self.goods.get(&supplier).copied();
        if goods.is_none() && max_suppliers.is_some_and(|most| self.goods.len() >= most as usize) {
            return Stop::Limits;
        }
        let terms = self.project.stock.supplier(supplier);
        let charge = |goods: Money| {
            if terms.free_delivery_over.is_some_and(|over| goods >= over) { Money::ZERO } else { terms.delivery_charge }
        };
        let before = goods.map_or(Money::ZERO, |goods| goods + charge(goods));
        let after = (goods.unwrap_or(Money::ZERO) + price).max(terms.minimum_order);
        // Goods bought only to reach free delivery may cost less than the delivery charge.
        let at_threshold = terms.free_delivery_over.map(|over| after.max(over));
        let after = (after + charge(after)).min(at_threshold.unwrap_or(after + charge(after)));
        Stop::Money((after - before).max(Money::ZERO))
    }
}
