//! The bound of a leaf word by word from its formula, without any hurry.

use std::collections::BTreeSet;

use rehouse::decision::Aim;
use rehouse::decision::certificate::{Certificate, Cut, CutForm, Numbers, Place, SupplierState};
use rehouse::stock::SupplierId;
use rehouse::units::Money;

use super::plans::{Leaf, Levels, Lot, Small, ceiling};

impl Leaf {
    /// The bound by its formula: `Err(true)` = no plan, `Err(false)` = no bound.
    pub fn bound(&self, small: &Small, certificate: &Certificate, aim: Aim, reached: &Levels) -> Result<i128, bool> {
        let numbers = &certificate.numbers[self.numbers];
        let rank = Aim::ALL.iter().position(|level| *level == aim).expect("a level");
        let weight = |level: usize| if level <= rank { i128::from(numbers.weights.of(Aim::ALL[level])) } else { 0 };
        let lots = self.of_lots(small, certificate, numbers, &weight).ok_or(true)?;
        let orders = self.of_orders(small, certificate, numbers, weight(4) + i128::from(numbers.weights.budget));
        let orders = orders.ok_or(true)?;
        let settings = &small.project.settings;
        let mut sum = lots + orders;
        for (vessel, price) in &numbers.prices {
            let free = i128::from(small.project.stock.vessel(*vessel).free_pieces());
            sum -= ceiling(i128::from(*price) * small.spare * free, 10_000);
        }
        let limit = |limit: Option<i64>| i128::from(limit.unwrap_or(0));
        sum -= i128::from(numbers.weights.budget) * limit(settings.budget.map(|budget| budget.parts()));
        sum -= i128::from(numbers.per_supplier) * limit(settings.max_suppliers.map(i64::from));
        sum -= i128::from(numbers.kinds) * limit(settings.max_vessel_types.map(i64::from));
        for (cut, weight) in &numbers.cuts {
            sum += i128::from(*weight) * Said::of(small, &certificate.cuts[*cut]).beside();
        }
        for own in &small.owned {
            let multiplier = numbers.owned.iter().find(|(fluid, _)| *fluid == own.fluid).map_or(0, |(_, of)| *of);
            sum -= i128::from(multiplier) * own.amount;
        }
        sum -= (0..rank).map(|level| weight(level) * reached[level]).sum::<i128>();
        let own = weight(rank);
        if own == 0 {
            return Err(sum > 0);
        }
        let bound = ceiling(sum, own);
        Ok(if aim == Aim::Money { ceiling(bound, small.unit()) * small.unit() } else { bound })
    }

    /// The least of all assignments that the leaf has.
    fn of_lots(
        &self,
        small: &Small,
        certificate: &Certificate,
        numbers: &Numbers,
        weight: &impl Fn(usize) -> i128,
    ) -> Option<i128> {
        let budget = i128::from(numbers.weights.budget);
        let cost = |lot: &Lot, way: usize| {
            let Some(way) = lot.ways.get(way) else { return weight(lot.priority - 1) };
            let price = match way.place {
                Place::Vessel(vessel) => {
                    numbers.prices.iter().find(|(of, _)| *of == vessel).map_or(0, |(_, price)| *price)
                }
                _ => 0,
            };
            let mut cost = (weight(4) + budget) * way.money + budget * small.labour;
            cost += (weight(4) * small.litre + weight(5)) * way.fluid;
            for (own, need) in small.owned.iter().zip(&way.needs) {
                let multiplier = numbers.owned.iter().find(|(fluid, _)| *fluid == own.fluid).map_or(0, |(_, of)| *of);
                cost += i128::from(multiplier) * need;
            }
            let in_cuts = numbers.cuts.iter().map(|(cut, weight)| (&certificate.cuts[*cut], i128::from(*weight)));
            for (cut, weight) in in_cuts.filter(|(cut, _)| way.place == Place::Vessel(cut.vessel)) {
                if cut.rows.contains(&lot.row) {
                    cost += weight * Said::of(small, cut).each * way.pieces;
                }
            }
            cost + (i128::from(price) * small.spare * way.pieces).div_euclid(10_000)
        };
        let costs: Vec<Vec<i128>> =
            small.lots.iter().map(|lot| (0..=lot.ways.len()).map(|way| cost(lot, way)).collect()).collect();
        let assignments = small.assignments();
        let has = assignments.iter().filter(|ways| self.has_lots(small, certificate, ways));
        has.map(|ways| costs.iter().zip(ways).map(|(costs, way)| costs[*way]).sum()).min()
    }

    /// Packs, kinds and suppliers, each at its least.
    fn of_orders(&self, small: &Small, certificate: &Certificate, numbers: &Numbers, money: i128) -> Option<i128> {
        let stock = &small.project.stock;
        let settings = &small.project.settings;
        let within = |offer: usize, packs: i64| {
            self.packs.iter().filter(|(of, _)| *of == offer).all(|(_, range)| range.contains(&packs))
        };
        let asked: BTreeSet<_> = (0..stock.offers.len())
            .filter(|offer| !within(*offer, 0))
            .map(|offer| stock.offers[offer].vessel)
            .collect();
        let most = settings.max_vessel_types.map_or(usize::MAX, |most| most as usize);
        let opened = self.suppliers.values().filter(|state| **state != SupplierState::Closed).count();
        let most_suppliers = settings.max_suppliers.map_or(usize::MAX, |most| most as usize);
        if asked.len() > most || opened > most_suppliers {
            return None;
        }
        let cuts = || {
            let weighed = numbers.cuts.iter().map(|(cut, weight)| (&certificate.cuts[*cut], i128::from(*weight)));
            weighed.map(|(cut, weight)| (cut, weight, Said::of(small, cut)))
        };
        let share = |index: usize| {
            numbers.per_kind.iter().find(|(of, _)| *of == index).map_or(0, |(_, share)| i128::from(*share))
        };
        let may_be = |vessel| asked.len() < most || asked.contains(&vessel);
        // What so many packs of an offer come to, its goods at so much less than money.
        let cost = |index: usize, packs: i64, goods: i128| {
            let offer = &stock.offers[index];
            let price = numbers.prices.iter().find(|(of, _)| *of == offer.vessel).map_or(0, |(_, price)| *price);
            let mut each = (money - goods) * i128::from(offer.pack_price.parts())
                - i128::from(price) * i128::from(offer.pack_size);
            for (cut, weight, said) in cuts().filter(|(cut, _, _)| cut.vessel == offer.vessel) {
                if let CutForm::Packs { divisor, .. } = cut.form {
                    each -= weight * said.pack(offer.pack_size.into(), divisor.into());
                }
            }
            each * i128::from(packs) + if packs > 0 { share(index) } else { 0 }
        };
        let allowed = |index: usize| -> Vec<i64> {
            let packs = small.packs(index, 0).into_iter();
            packs.filter(|packs| within(index, *packs) && (*packs == 0 || may_be(stock.offers[index].vessel))).collect()
        };
        let cheapest = |index: usize, goods: i128| allowed(index).iter().map(|packs| cost(index, *packs, goods)).min();
        let mut sum = 0;
        for index in (0..stock.offers.len()).filter(|index| stock.offers[*index].supplier.is_none()) {
            sum += cheapest(index, 0)?;
        }
        let sold: BTreeSet<_> = stock.offers.iter().map(|offer| offer.vessel).collect();
        for vessel in sold {
            let shares = (0..stock.offers.len()).filter(|index| stock.offers[*index].vessel == vessel).map(share);
            let mut kind = i128::from(numbers.kinds) - shares.sum::<i128>();
            for (_, weight, said) in cuts().filter(|(cut, _, _)| cut.vessel == vessel && cut.form == CutForm::Kind) {
                kind -= weight * (said.pieces - said.free);
            }
            sum += match () {
                () if asked.contains(&vessel) => kind,
                () if may_be(vessel) => kind.min(0),
                () => 0,
            };
        }
        for (index, terms) in stock.suppliers.iter().enumerate() {
            let supplier = SupplierId(index as u32);
            let goods = numbers.goods.iter().find(|(of, _)| *of == supplier).map_or(0, |(_, goods)| i128::from(*goods));
            let own: Vec<usize> =
                (0..stock.offers.len()).filter(|index| stock.offers[*index].supplier == Some(supplier)).collect();
            let mut ordered = i128::from(numbers.per_supplier);
            for (_, weight, said) in cuts().filter(|(cut, _, _)| cut.form == CutForm::Supplier(supplier)) {
                ordered -= weight * (said.pieces - said.free);
            }
            let reaching = |amount: i128| -> Option<i128> {
                let mut bought = goods * amount;
                for offer in &own {
                    bought += cheapest(*offer, goods)?;
                }
                if amount <= 0 {
                    return Some(bought);
                }
                let may_be_bought = own.iter().filter(|offer| small.packs(**offer, 0).len() > 1);
                let prices = may_be_bought.map(|offer| i128::from(stock.offers[*offer].pack_price.parts()));
                let unit = prices.fold(0, divisor).max(ceiling(amount, 4096));
                // All numbers of packs that reach it.
                let mut orders = vec![(0_i128, 0_i128)];
                for offer in &own {
                    let steps = ceiling(stock.offers[*offer].pack_price.parts().into(), unit);
                    let lines: Vec<(i128, i128)> = allowed(*offer)
                        .into_iter()
                        .map(|packs| (steps * i128::from(packs), cost(*offer, packs, 0)))
                        .collect();
                    let with = |(goods, cost): &(i128, i128)| {
                        let (goods, cost) = (*goods, *cost);
                        lines.iter().map(move |(more, paid)| (goods + more, cost + paid)).collect::<Vec<_>>()
                    };
                    orders = orders.iter().flat_map(with).collect();
                }
                let reach = orders.into_iter().filter(|(goods, _)| *goods >= ceiling(amount, unit));
                Some(bought.max(reach.map(|(_, cost)| cost).min()?))
            };
            let (minimum, charge) = (i128::from(terms.minimum_order.parts()), i128::from(terms.delivery_charge.parts()));
            let of_state = |state: SupplierState| match state {
                SupplierState::Closed => own.iter().all(|offer| within(*offer, 0)).then_some(0),
                SupplierState::Paying => Some(money * charge + ordered + reaching(minimum)?),
                SupplierState::Free => {
                    Some(ordered + reaching(i128::from(terms.free_delivery_over?.parts()).max(minimum))?)
                }
            };
            sum += match self.suppliers.get(&index) {
                Some(state) => of_state(*state)?,
                None if opened == most_suppliers => of_state(SupplierState::Closed)?,
                None => SupplierState::ALL.into_iter().filter_map(of_state).min()?,
            };
        }
        Some(sum)
    }
}

/// What a cut says: p(S), e, r, and how often d goes into b, rounded up.
struct Said {
    pieces: i128,
    each: i128,
    remainder: i128,
    times: i128,
    free: i128,
    form: CutForm,
}

impl Said {
    fn of(small: &Small, cut: &Cut) -> Self {
        let lots = small.lots.iter().filter(|lot| cut.rows.contains(&lot.row));
        let way = |lot: &Lot| lot.ways.iter().find(|way| way.place == Place::Vessel(cut.vessel)).map(|way| way.pieces);
        let pieces: i128 = lots.map(|lot| way(lot).expect("every lot of a cut may have its vessel")).sum();
        let free = i128::from(small.project.stock.vessel(cut.vessel).free_pieces());
        let (asked, each) = match cut.form {
            CutForm::Packs { spares: true, .. } => {
                (ceiling((pieces - free) * small.spare, 10_000), ceiling(small.spare, 10_000))
            }
            _ => (pieces - free, 1),
        };
        let divisor = if let CutForm::Packs { divisor, .. } = cut.form { i128::from(divisor) } else { 1 };
        let times = ceiling(asked, divisor);
        Said { pieces, each, remainder: asked - (times - 1) * divisor, times, free, form: cut.form }
    }

    /// What its weight is multiplied by in every leaf.
    fn beside(&self) -> i128 {
        match self.form {
            CutForm::Packs { .. } => self.remainder * self.times - self.each * self.pieces,
            CutForm::Kind | CutForm::Supplier(_) => -self.free,
        }
    }

    /// What it is multiplied by for a pack.
    fn pack(&self, size: i128, divisor: i128) -> i128 {
        self.remainder * (size / divisor) + (size % divisor).min(self.remainder)
    }
}

fn divisor(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { divisor(b, a % b) }
}

impl Small<'_> {
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
