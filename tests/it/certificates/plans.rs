//! All plans of a small project, enumerated, and the leaf that holds each: independent of the solver and of the audit.

use std::collections::{BTreeMap, BTreeSet};

use rehouse::decision::certificate::{Certificate, Cut, LotChoice, Node, SupplierState};
use rehouse::options::table::{Row, judge_all};
use rehouse::options::{Filling, Treatment};
use rehouse::project::Project;
use rehouse::rules::FluidId;
use rehouse::settings::CountLimits;
use rehouse::stock::{Offer, SupplierId};
use rehouse::units::{Millilitres, Money};

/// One way to place a lot.
#[derive(Clone, Debug, PartialEq)]
pub struct LotWay {
    pub place: LotChoice,
    pub pieces: i128,
    /// Without the price of owned fluid.
    pub money: i128,
    pub fluid: i128,
    /// Millilitres needed of each owned fluid.
    pub needs: Vec<i128>,
}

/// A lot that is to be decided.
#[derive(Clone, Debug)]
pub struct DecidedLot {
    pub row: u32,
    pub priority: usize,
    pub ways: Vec<LotWay>,
}

/// Fluid that is owned and has a price: amount in millilitres, price of one.
#[derive(Clone, Debug)]
pub struct OwnedPricedFluid {
    pub fluid: FluidId,
    pub amount: i128,
    pub price: i128,
}

/// The data of a small project that its plans depend on.
pub struct SmallProject<'a> {
    pub project: &'a Project,
    pub lots: Vec<DecidedLot>,
    pub owned: Vec<OwnedPricedFluid>,
    /// Most useful packs of each offer, within its order limit.
    pub useful: Vec<i64>,
    pub labour: i128,
    pub spare: i128,
    pub litre: i128,
}

/// The values of the levels of a plan, by [`rank`](crate::decision_oracle::rank).
pub type WideLevelValues = [i128; 6];

/// A plan that keeps every constraint.
pub struct CountedPlan {
    pub levels: WideLevelValues,
    /// Of each lot, the position of its way; the number of its ways means deferred.
    pub ways: Vec<usize>,
    pub packs: Vec<i64>,
    pub states: Vec<SupplierState>,
}

fn per_millilitre(price: Money) -> i128 {
    assert_eq!(price.parts() % 1000, 0, "prices have four places");
    i128::from(price.parts() / 1000)
}

pub fn ceiling(amount: i128, divisor: i128) -> i128 {
    (amount + divisor - 1).div_euclid(divisor)
}

impl<'a> SmallProject<'a> {
    pub fn of(project: &'a Project) -> Self {
        let mut owned: Vec<OwnedPricedFluid> = Vec::new();
        for (index, fluid) in project.rules.fluids.iter().enumerate() {
            let id = FluidId(index as u16);
            let amount = project.stock.fluids.iter().filter(|stock| stock.fluid == id).map(|stock| stock.amount.0);
            let amount = i128::from(amount.sum::<i64>());
            // The settings of these tests have neither loss nor tax.
            let price = per_millilitre(fluid.price);
            if amount > 0 && price > 0 {
                owned.push(OwnedPricedFluid { fluid: id, amount, price });
            }
        }
        let mut lots = Vec::new();
        for (index, row) in judge_all(project).iter().enumerate() {
            let Row::Judged(judged) = row else { continue };
            let specimen = &project.collection.specimens[index];
            let treatment = Treatment::of(project, specimen);
            let way = |place, pieces: u32, charges, one: Millilitres, cost: Money| {
                let filling = Filling::of(project, specimen, &treatment, charges, one);
                let (mut money, mut needs) = (i128::from(cost.parts()), vec![0_i128; owned.len()]);
                for (fluid, amount) in filling.needed(specimen.fluid) {
                    match owned.iter().position(|owned| owned.fluid == fluid) {
                        Some(at) => needs[at] += i128::from(amount.0),
                        None => money += per_millilitre(project.rules.fluid(fluid).price) * i128::from(amount.0),
                    }
                }
                LotWay { place, pieces: pieces.into(), money, fluid: filling.filled().0.into(), needs }
            };
            let mut ways: Vec<LotWay> = judged
                .fits
                .iter()
                .map(|(vessel, fit)| {
                    way(LotChoice::Vessel(*vessel), fit.pieces, fit.charges, judged.fluid(fit), Money::ZERO)
                })
                .collect();
            if let Ok(tank) = &judged.tank
                && let Some(cost) = tank.cost
            {
                ways.push(LotWay { pieces: 0, ..way(LotChoice::Tank, 1, tank.charges, tank.fluid, cost) });
            }
            if !ways.is_empty() {
                lots.push(DecidedLot { row: index as u32, priority: specimen.priority.into(), ways });
            }
        }
        let settings = &project.settings;
        let minutes = settings.minutes_per_move.0;
        let labour = Money::estimate(settings.rate_per_hour.approximate() * minutes / 60.0).expect("an amount");
        let mut small = SmallProject {
            project,
            lots,
            owned,
            useful: Vec::new(),
            labour: if settings.labour_in_budget { labour.parts().into() } else { 0 },
            spare: 10_000 + (settings.spare_pct.0 * 100.0) as i128,
            litre: per_millilitre(settings.litre_weight),
        };
        small.useful = project.stock.offers.iter().map(|offer| small.useful_packs(offer)).collect();
        small
    }

    /// Y(o), and no more than the order limit allows.
    fn useful_packs(&self, offer: &Offer) -> i64 {
        let place = LotChoice::Vessel(offer.vessel);
        let ways = self.lots.iter().filter_map(|lot| lot.ways.iter().find(|way| way.place == place));
        let need: i128 = ways.map(|way| way.pieces).sum();
        let missing = need - i128::from(self.project.stock.vessel(offer.vessel).free_pieces());
        let mut useful = 0_i128;
        if missing > 0 {
            let pieces = ceiling(missing * self.spare, 10_000);
            useful += ceiling(pieces, offer.pack_size.into()).max(offer.min_packs.into());
        }
        if let Some(supplier) = offer.supplier.map(|supplier| self.project.stock.supplier(supplier))
            && supplier.minimum_order.max(supplier.free_delivery_over.unwrap_or(Money::ZERO)) > Money::ZERO
            && offer.pack_price > Money::ZERO
        {
            let goods = supplier.minimum_order.max(supplier.free_delivery_over.unwrap_or(Money::ZERO)).parts();
            useful += ceiling(goods.into(), offer.pack_price.parts().into()).max(offer.min_packs.into());
        }
        let limit = offer.order_limit.map_or(i64::MAX, |pieces| i64::from(pieces / offer.pack_size));
        (useful as i64).min(limit)
    }

    /// Numbers of packs that can be ordered, up to `more` above the useful number.
    pub fn packs(&self, offer: usize, more: i64) -> Vec<i64> {
        let terms = &self.project.stock.offers[offer];
        let limit = terms.order_limit.map_or(i64::MAX, |pieces| i64::from(pieces / terms.pack_size));
        let most = (self.useful[offer] + more).min(limit);
        let fewest = i64::from(terms.min_packs).max(1);
        std::iter::once(0).chain(fewest..=most).collect()
    }

    /// All orders: packs of each offer, up to `more` above the useful number.
    fn orders(&self, more: i64) -> Vec<Vec<i64>> {
        let mut orders = vec![Vec::new()];
        for offer in 0..self.project.stock.offers.len() {
            let packs = self.packs(offer, more);
            orders = orders
                .iter()
                .flat_map(|order: &Vec<i64>| {
                    packs.iter().map(|&packs| order.iter().copied().chain([packs]).collect::<Vec<i64>>())
                })
                .collect();
        }
        orders
    }

    /// All ways to place or defer the lots.
    pub fn assignments(&self) -> Vec<Vec<usize>> {
        let mut assignments = vec![Vec::new()];
        for lot in &self.lots {
            assignments = assignments
                .iter()
                .flat_map(|ways: &Vec<usize>| {
                    (0..=lot.ways.len()).map(|way| ways.iter().copied().chain([way]).collect::<Vec<usize>>())
                })
                .collect();
        }
        assignments
    }

    /// The number of combinations, whether they keep the constraints or not.
    pub fn size(&self, more: i64) -> usize {
        let orders = (0..self.useful.len()).map(|offer| self.packs(offer, more).len());
        let ways = self.lots.iter().map(|lot| lot.ways.len() + 1);
        orders.chain(ways).fold(1, usize::saturating_mul)
    }

    /// The money of an order and the state of each supplier; `None` where terms or limits are violated.
    fn order(&self, packs: &[i64]) -> Option<(i128, Vec<SupplierState>)> {
        let stock = &self.project.stock;
        let lines = || stock.offers.iter().zip(packs).filter(|(_, packs)| **packs > 0);
        let goods_of = |supplier: Option<SupplierId>| -> i128 {
            let lines = lines().filter(|(offer, _)| offer.supplier == supplier);
            lines.map(|(offer, packs)| i128::from(offer.pack_price.parts()) * i128::from(*packs)).sum()
        };
        let mut money = goods_of(None);
        let mut states = Vec::new();
        for (index, terms) in stock.suppliers.iter().enumerate() {
            let supplier = Some(SupplierId(index as u32));
            let goods = goods_of(supplier);
            if !lines().any(|(offer, _)| offer.supplier == supplier) {
                states.push(SupplierState::Closed);
                continue;
            }
            if goods < terms.minimum_order.parts().into() {
                return None;
            }
            let free = terms.free_delivery_over.is_some_and(|over| goods >= over.parts().into());
            money += goods + if free { 0 } else { i128::from(terms.delivery_charge.parts()) };
            states.push(if free { SupplierState::Free } else { SupplierState::Paying });
        }
        let CountLimits { max_vessel_types, max_suppliers } = self.project.settings.count_limits();
        let kinds: BTreeSet<_> = lines().map(|(offer, _)| offer.vessel).collect();
        let suppliers = states.iter().filter(|state| **state != SupplierState::Closed).count();
        let kept = max_vessel_types.is_none_or(|most| kinds.len() <= most as usize)
            && max_suppliers.is_none_or(|most| suppliers <= most as usize);
        kept.then_some((money, states))
    }

    /// Calls `with` on every plan, with packs up to `more` above the useful number.
    pub fn for_each_plan(&self, more: i64, mut with: impl FnMut(&CountedPlan)) {
        let stock = &self.project.stock;
        let orders: Vec<_> = self
            .orders(more)
            .into_iter()
            .filter_map(|packs| {
                let (money, states) = self.order(&packs)?;
                let mut bought = vec![0_i128; stock.vessels.len()];
                for (offer, packs) in stock.offers.iter().zip(&packs) {
                    bought[offer.vessel.0 as usize] += i128::from(offer.pack_size) * i128::from(*packs);
                }
                Some((packs, money, states, bought))
            })
            .collect();
        for ways in self.assignments() {
            let mut levels: WideLevelValues = [0; 6];
            let (mut used, mut needs) = (vec![0_i128; stock.vessels.len()], vec![0_i128; self.owned.len()]);
            let (mut money, mut fluid, mut placed) = (0_i128, 0_i128, 0_i128);
            for (lot, way) in self.lots.iter().zip(&ways) {
                let Some(way) = lot.ways.get(*way) else {
                    match self.project.settings.weights_in_force() {
                        None => levels[lot.priority - 1] += 1,
                        Some(weights) => levels[0] += i128::from(weights[lot.priority - 1]),
                    }
                    continue;
                };
                if let LotChoice::Vessel(vessel) = way.place {
                    used[vessel.0 as usize] += way.pieces;
                }
                (money, fluid, placed) = (money + way.money, fluid + way.fluid, placed + 1);
                needs.iter_mut().zip(&way.needs).for_each(|(sum, need)| *sum += need);
            }
            money +=
                self.owned.iter().zip(&needs).map(|(own, need)| own.price * (need - own.amount).max(0)).sum::<i128>();
            let to_buy: Vec<i128> = (stock.vessels.iter().zip(&used))
                .map(|(vessel, used)| ceiling((used - i128::from(vessel.free_pieces())).max(0) * self.spare, 10_000))
                .collect();
            for (packs, paid, states, bought) in &orders {
                let money = money + paid;
                let budget = self.project.settings.budget.map(|budget| i128::from(budget.parts()));
                let within = budget.is_none_or(|budget| money + self.labour * placed <= budget);
                if within && to_buy.iter().zip(bought).all(|(to_buy, bought)| to_buy <= bought) {
                    (levels[4], levels[5]) = (money + self.litre * fluid, fluid);
                    with(&CountedPlan { levels, ways: ways.clone(), packs: packs.clone(), states: states.clone() });
                }
            }
        }
    }
}

/// The restrictions that the splits above a leaf put on it.
#[derive(Clone, Debug, Default)]
pub struct LeafRestrictions {
    pub numbers: usize,
    pub suppliers: BTreeMap<usize, SupplierState>,
    pub packs: Vec<(usize, std::ops::RangeInclusive<i64>)>,
    /// By position of a cut: pieces that its lots take.
    pub pieces: Vec<(usize, std::ops::RangeInclusive<i64>)>,
    pub lots: Vec<((usize, LotChoice), std::ops::RangeInclusive<i64>)>,
}

/// The leaves of a certificate, in order.
pub fn leaves(project: &Project, certificate: &Certificate) -> Vec<LeafRestrictions> {
    fn below(
        project: &Project,
        nodes: &mut std::slice::Iter<Node>,
        leaf: &LeafRestrictions,
        found: &mut Vec<LeafRestrictions>,
    ) {
        match *nodes.next().expect("a node") {
            Node::Leaf { numbers } => found.push(LeafRestrictions { numbers, ..leaf.clone() }),
            Node::Supplier(supplier) => {
                for state in SupplierState::ALL {
                    let terms = project.stock.supplier(supplier);
                    if state != SupplierState::Free || terms.free_delivery_over.is_some() {
                        let mut leaf = leaf.clone();
                        leaf.suppliers.insert(supplier.0 as usize, state);
                        below(project, nodes, &leaf, found);
                    }
                }
            }
            Node::Packs { offer, at_most } => {
                for range in [0..=at_most, at_most + 1..=i64::MAX] {
                    let mut leaf = leaf.clone();
                    leaf.packs.push((offer, range));
                    below(project, nodes, &leaf, found);
                }
            }
            Node::Pieces { cut, at_most } => {
                for range in [0..=at_most, at_most + 1..=i64::MAX] {
                    let mut leaf = leaf.clone();
                    leaf.pieces.push((cut, range));
                    below(project, nodes, &leaf, found);
                }
            }
            Node::Lots { group, place, at_most } => {
                for range in [0..=at_most, at_most + 1..=i64::MAX] {
                    let mut leaf = leaf.clone();
                    leaf.lots.push(((group, place), range));
                    below(project, nodes, &leaf, found);
                }
            }
        }
    }
    let (mut nodes, mut found) = (certificate.nodes.iter(), Vec::new());
    below(project, &mut nodes, &LeafRestrictions::default(), &mut found);
    assert!(nodes.next().is_none(), "a node too many");
    found
}

impl LeafRestrictions {
    /// Whether an assignment keeps the leaf's restrictions on lots.
    pub fn has_lots(&self, small: &SmallProject, certificate: &Certificate, ways: &[usize]) -> bool {
        self.lots.iter().all(|((group, place), range)| {
            let rows = &certificate.groups[*group].rows;
            let counted = small.lots.iter().zip(ways).filter(|(lot, way)| {
                let at = lot.ways.get(**way).map_or(LotChoice::Waiting, |way| way.place);
                rows.contains(&lot.row) && at == *place
            });
            range.contains(&(counted.count() as i64))
        })
    }

    /// Whether an assignment keeps the leaf's restrictions on the pieces of cuts.
    fn has_pieces(&self, small: &SmallProject, certificate: &Certificate, ways: &[usize]) -> bool {
        self.pieces.iter().all(|(cut, range)| {
            let Cut { vessel, rows, .. } = &certificate.cuts[*cut];
            let taken = small.lots.iter().zip(ways).filter(|(lot, _)| rows.contains(&lot.row));
            let taken = taken.filter_map(|(lot, way)| lot.ways.get(*way));
            let taken = taken.filter(|way| way.place == LotChoice::Vessel(*vessel)).map(|way| way.pieces);
            range.contains(&(taken.sum::<i128>() as i64))
        })
    }

    /// Whether the leaf holds a plan.
    pub fn has(&self, small: &SmallProject, certificate: &Certificate, plan: &CountedPlan) -> bool {
        self.suppliers.iter().all(|(supplier, state)| plan.states[*supplier] == *state)
            && self.packs.iter().all(|(offer, range)| range.contains(&plan.packs[*offer]))
            && self.has_lots(small, certificate, &plan.ways)
            && self.has_pieces(small, certificate, &plan.ways)
    }
}
