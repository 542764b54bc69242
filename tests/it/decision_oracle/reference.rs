//! The best plan by enumeration: every way to serve each class, with the cheapest order for the pieces used.
//!
//! Packs affect only money, kinds and suppliers, and only need to cover the pieces used. So the cheapest order is found once for each
//! vector of pieces used, and the rows are enumerated separately.

use super::evaluate::LevelValues;
use super::judge::rank;
use itertools::Itertools;
use rehouse::decision::{
    Certificate, ChoiceIndex, Class, Decision, Level, OfferTerms, Proof, Question, Status, SupplierIndex, SupplyIndex,
};
use rehouse::settings::CountLimits;
use rehouse::units::{IndexTable, Packs, Position};
use std::collections::BTreeMap;

/// The levels of the best plan.
pub fn best(question: &Question) -> LevelValues {
    attainable(question).into_iter().min().expect("deferring every row is a plan")
}

/// The levels of every plan that might be best on some level: every plan is at least as high on some level as one of these.
pub fn attainable(question: &Question) -> Vec<LevelValues> {
    let mut found = Vec::new();
    for_each_plan(question, |levels, _, _| found.push(levels));
    found.sort_unstable();
    found.dedup();
    found
}

/// The least value of a level among plans no worse than `reached` on every earlier level.
pub fn least(attainable: &[LevelValues], level: usize, reached: &LevelValues) -> Option<i64> {
    let no_worse = |plan: &&LevelValues| (0..level).all(|earlier| plan[earlier] <= reached[earlier]);
    attainable.iter().filter(no_worse).map(|plan| plan[level]).min()
}

/// A best plan with every level proved, as a solver would hand it over.
pub fn decide(question: &Question) -> Decision {
    let mut best: Option<(LevelValues, Decision)> = None;
    for_each_plan(question, |levels, ways, packs| {
        if best.as_ref().is_none_or(|(so_far, _)| levels < *so_far) {
            let chosen = ways.iter().map(|way| way.chosen.clone()).collect();
            best = Some((
                levels,
                Decision {
                    chosen,
                    packs: packs.iter().map(|packs| packs.iter().copied().map(Packs).collect()).collect(),
                    ..Decision::default()
                },
            ));
        }
    });
    let (levels, decision) = best.expect("deferring every row is a plan");
    let proved = |(aim, value)| Level {
        aim,
        value,
        bound: value,
        proof: Proof::Recomputed,
        certificate: Certificate::default(),
    };
    let aims = question.limits.aims().iter().map(|aim| (*aim, levels[rank(*aim)]));
    let levels = aims.map(proved).collect();
    Decision { levels, status: Status::ProvedBest, ..decision }
}

/// One way to serve a whole class.
struct ClassWay {
    chosen: Vec<Option<ChoiceIndex>>,
    deferred: i64,
    money: i64,
    fluid: i64,
    used: Vec<i64>,
}

/// The ways to serve a class; of equal ones only the first.
///
/// Which placed row takes which choice does not matter, since constants are added either way. A way that defers a row and places another
/// row of the class that costs and needs no less is left out: exchanging the two makes nothing worse. Where one row costs less and the
/// other needs less fluid, both ways stay.
fn ways(class: &Class, supplies: usize) -> Vec<ClassWay> {
    let members = &class.members;
    let before = |a: usize, b: usize| {
        let (first, second) = (&members[a], &members[b]);
        let alike = first.money == second.money && first.fluid == second.fluid;
        first.money <= second.money && first.fluid <= second.fluid && (!alike || a < b)
    };
    let mut ways = Vec::new();
    for placed in (0..members.len()).powerset() {
        let left = |row: usize| !placed.contains(&row);
        if (0..members.len()).filter(|&row| left(row)).any(|row| placed.iter().any(|&other| before(row, other))) {
            continue;
        }
        for choices in class.choices.positions().combinations_with_replacement(placed.len()) {
            let mut way = ClassWay {
                chosen: vec![None; members.len()],
                deferred: (members.len() - placed.len()) as i64,
                money: 0,
                fluid: 0,
                used: vec![0; supplies],
            };
            for (&row, &number) in placed.iter().zip(&choices) {
                let choice = &class.choices[number];
                way.chosen[row] = Some(number);
                way.money += choice.money.parts() + members[row].money.parts();
                way.fluid += choice.fluid.0 + members[row].fluid.0;
                if let Some(supply) = choice.supply {
                    way.used[supply.index()] += choice.pieces.0;
                }
            }
            ways.push(way);
        }
    }
    ways
}

/// Calls `found` with levels, ways and packs of each combination of ways that can be supplied, with its cheapest order.
fn for_each_plan(question: &Question, mut found: impl FnMut(LevelValues, &[&ClassWay], &[Vec<i64>])) {
    let ways: Vec<Vec<ClassWay>> = question.classes.iter().map(|class| ways(class, question.supplies.len())).collect();
    let mut orders: BTreeMap<Vec<i64>, Option<CheapestOrder>> = BTreeMap::new();
    let limits = &question.limits;
    let mut consider = |picked: &[&ClassWay]| {
        let mut used = vec![0; question.supplies.len()];
        let mut levels = [0; 6];
        let (mut money, mut rows) = (0, 0);
        for (class, way) in question.classes.iter().zip(picked) {
            used.iter_mut().zip(&way.used).for_each(|(sum, pieces)| *sum += pieces);
            match limits.priority_weights {
                None => levels[usize::from(class.priority) - 1] += way.deferred,
                Some(weights) => levels[0] += way.deferred * weights[usize::from(class.priority) - 1],
            }
            rows += class.members.len() as i64 - way.deferred;
            money += way.money;
            levels[5] += way.fluid;
        }
        let order = orders.entry(used).or_insert_with_key(|used| cheapest_order(question, used));
        let Some(order) = order else { return };
        money += order.money;
        let to_pay = money + rows * limits.labour_per_row.parts();
        if limits.budget.is_none_or(|budget| to_pay <= budget.parts()) {
            levels[4] = money + limits.litre_weight.parts() / 1000 * levels[5];
            found(levels, picked, &order.packs);
        }
    };
    if ways.is_empty() {
        return consider(&[]);
    }
    for picked in ways.iter().map(|ways| ways.iter()).multi_cartesian_product() {
        consider(&picked);
    }
}

/// An order that covers the pieces used.
struct CheapestOrder {
    money: i64,
    packs: Vec<Vec<i64>>,
}

/// The cheapest order within the caps that covers the pieces used of each supply; `None` where no order does.
fn cheapest_order(question: &Question, used: &[i64]) -> Option<CheapestOrder> {
    let spare = 10_000 + question.limits.spare_per_10_000;
    let needed = |(supply, used): (&rehouse::decision::Supply, &i64)| {
        ((used - supply.free.0).max(0) * spare + 9_999).div_euclid(10_000)
    };
    let needed: Vec<i64> = question.supplies.iter().zip(used).map(needed).collect();
    // From each supply on, a lower bound of the cost of all needs: whole pieces at the cheapest price per piece, rounded down.
    let mut at_least = vec![0; needed.len() + 1];
    for (number, supply) in question.supplies.iter().enumerate().rev() {
        let per_piece = supply.offers.iter().map(|offer| offer.pack_price.parts() / offer.pack_size.0).min();
        at_least[number] = at_least[number + 1] + needed[number] * per_piece.unwrap_or(0);
    }
    let packs = question.supplies.iter().map(|supply| vec![0; supply.offers.len()]).collect();
    let mut search = OrderSearch { question, needed, at_least, packs, best: None };
    search.buy(0, 0, 0);
    search.best
}

/// Depth first over supplies and their offers; cut off where the goods, with the lower bound of the supplies to come, reach the best
/// order.
struct OrderSearch<'a> {
    question: &'a Question,
    needed: Vec<i64>,
    at_least: Vec<i64>,
    packs: Vec<Vec<i64>>,
    best: Option<CheapestOrder>,
}

impl OrderSearch<'_> {
    fn buy(&mut self, number: usize, position: usize, goods: i64) {
        if !self.within_caps() {
            return;
        }
        let Some(supply) = self.question.supplies.get(SupplyIndex::at(number)) else { return self.finish(goods) };
        let Some(offer) = supply.offers.get(position) else {
            let bought: i64 =
                supply.offers.iter().zip(&self.packs[number]).map(|(o, packs)| o.pack_size.0 * packs).sum();
            return if bought >= self.needed[number] {
                self.buy(number + 1, 0, goods)
            };
        };
        let most = self.most_packs(offer, self.needed[number]);
        for packs in std::iter::once(0).chain(offer.min_packs.0.max(1)..=most) {
            let goods = goods + packs * offer.pack_price.parts();
            if self.best.as_ref().is_some_and(|best| goods + self.at_least[number + 1] >= best.money) {
                break;
            }
            self.packs[number][position] = packs;
            self.buy(number, position + 1, goods);
        }
        self.packs[number][position] = 0;
    }

    /// A number of packs from which one pack fewer is no worse: these alone cover the need, the minimum number of packs, and the
    /// supplier's minimum and free delivery.
    fn most_packs(&self, offer: &OfferTerms, needed: i64) -> i64 {
        let rounded_up = |amount: i64, step: i64| (amount + step - 1).div_euclid(step);
        let threshold = offer.supplier.map_or(0, |supplier| {
            let terms = &self.question.suppliers[supplier];
            terms.minimum.parts().max(terms.free_over.map_or(0, |least| least.parts()))
        });
        let to_threshold = match offer.pack_price.parts() {
            0 => 0,
            price => rounded_up(threshold, price),
        };
        let most = rounded_up(needed, offer.pack_size.0).max(offer.min_packs.0).max(to_threshold);
        offer.max_packs.map_or(most, |limit| most.min(limit.0))
    }

    /// The offers with at least one pack so far, with their packs.
    fn bought(&self) -> impl Iterator<Item = (&OfferTerms, i64)> {
        let offers = self.question.supplies.iter().flat_map(|supply| &supply.offers);
        offers.zip(self.packs.iter().flatten().copied()).filter(|(_, packs)| *packs > 0)
    }

    /// Goods from each supplier, `None` where nothing is ordered.
    fn goods(&self) -> IndexTable<SupplierIndex, Option<i64>> {
        let mut goods = self.question.suppliers.filled(None);
        for (offer, packs) in self.bought() {
            if let Some(supplier) = offer.supplier {
                *goods[supplier].get_or_insert(0) += offer.pack_price.parts() * packs;
            }
        }
        goods
    }

    fn within_caps(&self) -> bool {
        let CountLimits { max_vessel_types, max_suppliers } = self.question.limits.count_limits();
        let counted = self.question.supplies.iter().zip(&self.packs).filter(|(supply, _)| supply.counts_as_kind);
        let kinds = counted.filter(|(_, packs)| packs.iter().any(|&packs| packs > 0)).count();
        max_vessel_types.is_none_or(|most| kinds <= most as usize)
            && max_suppliers.is_none_or(|most| self.goods().iter().flatten().count() <= most as usize)
    }

    fn finish(&mut self, goods: i64) {
        let mut money = goods;
        for (terms, goods) in self.question.suppliers.iter().zip(self.goods()) {
            match goods {
                Some(goods) if goods < terms.minimum.parts() => return,
                Some(goods) if terms.free_over.is_none_or(|least| goods < least.parts()) => {
                    money += terms.charge.parts();
                }
                _ => {}
            }
        }
        if self.best.as_ref().is_none_or(|best| money < best.money) {
            self.best = Some(CheapestOrder { money, packs: self.packs.clone() });
        }
    }
}
