//! The bound of a leaf, term by term from its formula, without regard to speed.

use std::collections::{BTreeMap, BTreeSet};

use rehouse::decision::Aim;
use rehouse::decision::certificate::{Certificate, LotChoice, Numbers, SupplierState};
use rehouse::settings::CountLimits;
use rehouse::stock::{SupplierId, VesselId};
use rehouse::units::Money;

use super::cuts::WeighedCuts;
use super::plans::{DecidedLot, LeafRestrictions, SmallProject, WideLevelValues, ceiling};
use crate::decision_oracle::rank;

impl LeafRestrictions {
    /// The bound by its formula. `Err(true)`: the leaf holds no plan; `Err(false)`: the multipliers give no bound.
    pub fn bound(
        &self,
        small: &SmallProject,
        certificate: &Certificate,
        aim: Aim,
        reached: &WideLevelValues,
    ) -> Result<i128, bool> {
        let numbers = &certificate.numbers[self.numbers];
        let levels = Aim::levels_of(&small.project.settings);
        let weight = |of: Aim| {
            if levels.contains(&of) && of <= aim { i128::from(numbers.weights.of(of)) } else { 0 }
        };
        let cuts = WeighedCuts::of(small, certificate, numbers);
        let lots = self.of_lots(small, certificate, (numbers, &cuts), &weight).ok_or(true)?;
        let money = weight(Aim::Money) + i128::from(numbers.weights.budget);
        let orders = self.of_orders(small, (numbers, &cuts), money).ok_or(true)?;
        let settings = &small.project.settings;
        let mut sum = lots + orders + cuts.to_all() + cuts.to_leaf(certificate, self);
        for (vessel, price) in &numbers.prices {
            let free = i128::from(small.project.stock.vessel(*vessel).free_pieces());
            sum -= ceiling(i128::from(*price) * small.spare * free, 10_000);
        }
        let limit = |limit: Option<i64>| i128::from(limit.unwrap_or(0));
        sum -= i128::from(numbers.weights.budget) * limit(settings.budget.map(|budget| budget.parts()));
        let CountLimits { max_vessel_types, max_suppliers } = settings.count_limits();
        sum -= i128::from(numbers.per_supplier) * limit(max_suppliers.map(i64::from));
        sum -= i128::from(numbers.kinds) * limit(max_vessel_types.map(i64::from));
        for own in &small.owned {
            let multiplier = numbers.owned.iter().find(|(fluid, _)| *fluid == own.fluid).map_or(0, |(_, of)| *of);
            sum -= i128::from(multiplier) * own.amount;
        }
        let earlier = levels.iter().filter(|earlier| **earlier < aim);
        sum -= earlier.map(|earlier| weight(*earlier) * reached[rank(*earlier)]).sum::<i128>();
        let own = weight(aim);
        if own == 0 {
            return Err(sum > 0);
        }
        let bound = ceiling(sum, own);
        Ok(if aim == Aim::Money { ceiling(bound, small.unit()) * small.unit() } else { bound })
    }

    /// The least cost over all assignments of the leaf.
    fn of_lots(
        &self,
        small: &SmallProject,
        certificate: &Certificate,
        (numbers, cuts): (&Numbers, &WeighedCuts),
        weight: &impl Fn(Aim) -> i128,
    ) -> Option<i128> {
        let budget = i128::from(numbers.weights.budget);
        let cost = |lot: &DecidedLot, way: usize| {
            let Some(way) = lot.ways.get(way) else {
                let counted = small.project.settings.weights_in_force().map_or(0, |weights| weights[lot.priority - 1]);
                return weight(Aim::Deferred(lot.priority as u8)) + weight(Aim::WeightedDeferred) * i128::from(counted);
            };
            let price = match way.place {
                LotChoice::Vessel(vessel) => {
                    numbers.prices.iter().find(|(of, _)| *of == vessel).map_or(0, |(_, price)| *price)
                }
                _ => 0,
            };
            let mut cost = (weight(Aim::Money) + budget) * way.money + budget * small.labour;
            cost += (weight(Aim::Money) * small.litre + weight(Aim::Fluid)) * way.fluid;
            for (own, need) in small.owned.iter().zip(&way.needs) {
                let multiplier = numbers.owned.iter().find(|(fluid, _)| *fluid == own.fluid).map_or(0, |(_, of)| *of);
                cost += i128::from(multiplier) * need;
            }
            if let LotChoice::Vessel(vessel) = way.place {
                cost += cuts.to_option(lot.row, vessel, way.pieces);
            }
            cost + (i128::from(price) * small.spare * way.pieces).div_euclid(10_000)
        };
        let costs: Vec<Vec<i128>> =
            small.lots.iter().map(|lot| (0..=lot.ways.len()).map(|way| cost(lot, way)).collect()).collect();
        let assignments = small.assignments();
        let has = assignments.iter().filter(|ways| self.has_lots(small, certificate, ways));
        has.map(|ways| costs.iter().zip(ways).map(|(costs, way)| costs[*way]).sum()).min()
    }

    /// The least cost of kinds, offers and suppliers.
    fn of_orders(&self, small: &SmallProject, (numbers, cuts): (&Numbers, &WeighedCuts), money: i128) -> Option<i128> {
        let (stock, settings) = (&small.project.stock, &small.project.settings);
        let asked: BTreeSet<_> = (0..stock.offers.len())
            .filter(|offer| !self.within(*offer, 0))
            .map(|offer| stock.offers[offer].vessel)
            .collect();
        let most = settings.max_vessel_types.map_or(usize::MAX, |most| most as usize);
        let opened = self.suppliers.values().filter(|state| **state != SupplierState::Closed).count();
        let most_suppliers = settings.max_suppliers.map_or(usize::MAX, |most| most as usize);
        if asked.len() > most || opened > most_suppliers {
            return None;
        }
        let orders = OrderCosts { leaf: self, small, numbers, cuts, money, asked, most };
        let mut sum = orders.of_kinds();
        for index in (0..stock.offers.len()).filter(|index| stock.offers[*index].supplier.is_none()) {
            sum += orders.of_offer(index)?;
        }
        for index in 0..stock.suppliers.len() {
            let of_state = |state| orders.of_state(index, state);
            sum += match self.suppliers.get(&index) {
                Some(state) => of_state(*state)?,
                None if opened == most_suppliers => of_state(SupplierState::Closed)?,
                None => SupplierState::ALL.into_iter().filter_map(of_state).min()?,
            };
        }
        Some(sum)
    }

    /// Whether the limits of the leaf allow this number of packs of an offer.
    fn within(&self, offer: usize, packs: i64) -> bool {
        self.packs.iter().filter(|(of, _)| *of == offer).all(|(_, range)| range.contains(&packs))
    }
}

fn divisor(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { divisor(b, a % b) }
}

impl SmallProject<'_> {
    /// The largest amount that divides the weighed money of every plan.
    fn unit(&self) -> i128 {
        let ways = self.lots.iter().flat_map(|lot| &lot.ways).map(|way| way.money + self.litre * way.fluid);
        let offers = self.project.stock.offers.iter().enumerate().filter(|(index, _)| self.packs(*index, 0).len() > 1);
        let orders = offers.flat_map(|(_, offer)| {
            let charge = offer.supplier.map_or(Money::ZERO, |of| self.project.stock.supplier(of).delivery_charge);
            [offer.pack_price, charge].map(|money| i128::from(money.parts()))
        });
        let fluids = self.owned.iter().map(|own| own.price);
        ways.chain(orders).chain(fluids).fold(0, divisor).max(1)
    }
}

/// The cost of the orders within the limits of a leaf, at one set of multipliers.
struct OrderCosts<'a> {
    leaf: &'a LeafRestrictions,
    small: &'a SmallProject<'a>,
    numbers: &'a Numbers,
    cuts: &'a WeighedCuts<'a>,
    money: i128,
    /// Vessels of which the leaf requires packs.
    asked: BTreeSet<VesselId>,
    /// Most kinds of vessel.
    most: usize,
}

impl OrderCosts<'_> {
    fn goods(&self, supplier: Option<SupplierId>) -> i128 {
        let goods = self.numbers.goods.iter().find(|(of, _)| Some(*of) == supplier);
        goods.map_or(0, |(_, goods)| i128::from(*goods))
    }

    fn share(&self, offer: usize) -> i128 {
        let share = self.numbers.per_kind.iter().find(|(of, _)| *of == offer);
        share.map_or(0, |(_, share)| i128::from(*share))
    }

    fn own(&self, supplier: usize) -> impl Iterator<Item = usize> {
        let offers = &self.small.project.stock.offers;
        let supplier = Some(SupplierId(supplier as u32));
        (0..offers.len()).filter(move |index| offers[*index].supplier == supplier)
    }

    /// Each allowed number of packs of an offer, with its cost where `goods` is the multiplier of the supplier's goods.
    fn of_each(&self, index: usize, goods: i128) -> Vec<(i64, i128)> {
        let offer = &self.small.project.stock.offers[index];
        let price = self.numbers.prices.iter().find(|(of, _)| *of == offer.vessel).map_or(0, |(_, price)| *price);
        let each = (self.money - goods) * i128::from(offer.pack_price.parts())
            - i128::from(price) * i128::from(offer.pack_size)
            + self.cuts.to_pack(offer);
        let share = self.share(index);
        let may_be = self.asked.len() < self.most || self.asked.contains(&offer.vessel);
        let packs = self.small.packs(index, 0).into_iter().filter(|packs| *packs == 0 || may_be);
        let packs = packs.filter(|packs| self.leaf.within(index, *packs));
        packs.map(|packs| (packs, each * i128::from(packs) + if packs > 0 { share } else { 0 })).collect()
    }

    fn of_offer(&self, index: usize) -> Option<i128> {
        let goods = self.goods(self.small.project.stock.offers[index].supplier);
        self.of_each(index, goods).into_iter().map(|(_, cost)| cost).min()
    }

    fn of_kinds(&self) -> i128 {
        let mut kinds: BTreeMap<VesselId, i128> = BTreeMap::new();
        for (index, offer) in self.small.project.stock.offers.iter().enumerate() {
            *kinds.entry(offer.vessel).or_default() += self.share(index);
        }
        let of_kind = |(vessel, shares): (VesselId, i128)| {
            let cost = i128::from(self.numbers.kinds) - shares + self.cuts.to_kind(vessel);
            match self.asked.contains(&vessel) {
                true => cost,
                false if self.asked.len() < self.most => cost.min(0),
                false => 0,
            }
        };
        kinds.into_iter().map(of_kind).sum()
    }

    fn of_state(&self, supplier: usize, state: SupplierState) -> Option<i128> {
        let terms = &self.small.project.stock.suppliers[supplier];
        let (minimum, charge) = (i128::from(terms.minimum_order.parts()), i128::from(terms.delivery_charge.parts()));
        let opened_by = i128::from(self.numbers.per_supplier) + self.cuts.to_order(SupplierId(supplier as u32));
        match state {
            SupplierState::Closed => self.own(supplier).all(|offer| self.leaf.within(offer, 0)).then_some(0),
            SupplierState::Paying => Some(self.money * charge + opened_by + self.reaching(supplier, minimum)?),
            SupplierState::Free => {
                let over = i128::from(terms.free_delivery_over?.parts()).max(minimum);
                Some(opened_by + self.reaching(supplier, over)?)
            }
        }
    }

    /// The least cost of an order whose goods reach an amount.
    fn reaching(&self, supplier: usize, amount: i128) -> Option<i128> {
        let bought: Option<i128> = self.own(supplier).map(|offer| self.of_offer(offer)).sum();
        let priced = bought? + self.goods(Some(SupplierId(supplier as u32))) * amount;
        if amount > 0 { Some(priced.max(self.covering(supplier, amount)?)) } else { Some(priced) }
    }

    /// The covering cost: the least over all combinations of packs whose goods, in steps of u, reach an amount.
    fn covering(&self, supplier: usize, amount: i128) -> Option<i128> {
        let may_be = self.own(supplier).filter(|offer| self.small.packs(*offer, 0).len() > 1);
        let price = |offer: usize| i128::from(self.small.project.stock.offers[offer].pack_price.parts());
        let u = may_be.map(price).fold(0, divisor).max(ceiling(amount, 4096));
        let mut all = vec![(0, 0)];
        for offer in self.own(supplier) {
            let gain = ceiling(price(offer), u);
            let each = self.of_each(offer, 0);
            let with = |&(steps, cost): &(i128, i128)| {
                each.iter().map(move |(packs, more)| (steps + gain * i128::from(*packs), cost + more))
            };
            all = all.iter().flat_map(with).collect();
        }
        let reach = all.into_iter().filter(|(steps, _)| *steps >= ceiling(amount, u));
        reach.map(|(_, cost)| cost).min()
    }
}
