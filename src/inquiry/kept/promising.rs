//! A promising set of kinds of vessel, from which a search may start. Nothing is claimed of it.
//!
//! # Method
//!
//! Each lot is given a cost in each kind: its fluid, and its pieces at the least price a piece. Stock, packs, orders and the budget are
//! left out; what remains is the p-median problem. Its Lagrangian relaxation (each lot is served once, priced by a multiplier) is
//! improved by subgradient steps, and the kinds that each step picks are tried as a set (G. Cornuejols, M. L. Fisher and G. L. Nemhauser,
//! "Location of bank accounts to optimize float", Management Science 23 (1977) 789–810). The best set is improved by
//! interchanges of one kind (M. B. Teitz and P. Bart, Operations Research 16 (1968) 955–961). Both from memory.
//!
//! # Cost
//!
//! A step passes over all pairs of a class and a choice; interchanges end after a fixed number of such passes.

use std::collections::BTreeSet;

use crate::decision::{Choice, OfferTerms, Question, SupplyIndex};
use crate::units::{IndexTable, Position};

/// At most so many kinds that promise a good plan.
pub fn promising(question: &Question, most: u32, stop: &dyn Fn() -> bool) -> BTreeSet<SupplyIndex> {
    let costs = Costs::of(question);
    let most = usize::try_from(most).unwrap_or(usize::MAX).min(costs.kinds);
    let mut best = costs.by_multipliers(most, stop);
    costs.interchange(&mut best, stop);
    best.into_iter().map(SupplyIndex::at).collect()
}

/// Subgradient steps.
const STEPS: usize = 150;

/// Cost of a lot of priority 4 that waits, in dearest choices.
const WAITS: f64 = 100.0;

/// Steps without a better bound after which they become shorter.
const PATIENCE: usize = 8;

/// Pairs that interchanges may look at.
const MOST_LOOKS: usize = 200_000_000;

/// What the lots of each class cost in each kind.
struct Costs {
    kinds: usize,
    lots: Vec<f64>,
    /// By class, kinds and the cost of a lot, the least cost first.
    of: Vec<Vec<(usize, f64)>>,
    /// Cost without any kind: a tank, or more than any vessel for a lot that waits, urgent ones most.
    other: Vec<f64>,
}

impl Costs {
    fn of(question: &Question) -> Costs {
        let a_piece: IndexTable<SupplyIndex, f64> = question.supplies.map(|supply| {
            let a_piece = |offer: &OfferTerms| offer.pack_price.approximate() / offer.pack_size.0.max(1) as f64;
            supply.offers.iter().map(a_piece).fold(f64::INFINITY, f64::min)
        });
        let cost = |choice: &Choice| {
            let pieces = choice.supply.map_or(0.0, |supply| a_piece[supply] * choice.pieces.0 as f64);
            let weight = question.limits.litre_weight.per_litre(choice.fluid).approximate();
            choice.money.approximate() + weight + pieces
        };
        let all = || question.classes.iter().flat_map(|class| class.choices.iter()).map(cost).filter(|c| c.is_finite());
        let (least, largest) = (all().fold(0.0, f64::min), all().fold(1.0, f64::max));
        let of = question.classes.iter().map(|class| {
            let pair = |choice: &Choice| Some((choice.supply?.index(), cost(choice)));
            let mut pairs: Vec<(usize, f64)> = class.choices.iter().filter_map(pair).collect();
            pairs.retain(|(_, cost)| cost.is_finite());
            pairs.sort_by(|a, b| a.1.total_cmp(&b.1));
            pairs
        });
        let other = question.classes.iter().map(|class| {
            let tank = class.choices.iter().filter(|choice| choice.supply.is_none()).map(cost);
            tank.fold((largest - least) * WAITS * f64::from(5 - class.priority), f64::min)
        });
        Costs {
            kinds: question.supplies.len(),
            lots: question.classes.iter().map(|class| class.members.len() as f64).collect(),
            of: of.collect(),
            other: other.collect(),
        }
    }

    /// Cost of a set of kinds.
    fn total(&self, is_in: &[bool]) -> f64 {
        let class = |(pairs, other): (&Vec<(usize, f64)>, &f64)| {
            let best = pairs.iter().find(|(kind, _)| is_in[*kind]).map_or(f64::INFINITY, |(_, cost)| *cost);
            best.min(*other)
        };
        self.of.iter().zip(&self.other).map(class).zip(&self.lots).map(|(cost, lots)| cost * lots).sum()
    }

    fn set(&self, kinds: &BTreeSet<usize>) -> Vec<bool> {
        (0..self.kinds).map(|kind| kinds.contains(&kind)).collect()
    }

    /// The best set among those that subgradient steps pick.
    fn by_multipliers(&self, most: usize, stop: &dyn Fn() -> bool) -> BTreeSet<usize> {
        let mut price = self.middles();
        let (mut best, mut best_cost, mut bound) = (BTreeSet::new(), self.total(&vec![false; self.kinds]), f64::MIN);
        let (mut length, mut waited) = (1.5, 0);
        for _ in 0..STEPS {
            if stop() {
                break;
            }
            let mut reduced: Vec<(f64, usize)> = (0..self.kinds).map(|kind| (0.0, kind)).collect();
            for ((pairs, price), lots) in self.of.iter().zip(&price).zip(&self.lots) {
                let below = pairs.iter().take_while(|(_, cost)| cost < price);
                below.for_each(|(kind, cost)| reduced[*kind].0 += lots * (cost - price));
            }
            reduced.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let picked: BTreeSet<usize> = reduced.iter().take(most).map(|(_, kind)| *kind).collect();
            let is_in = self.set(&picked);
            let prices: f64 = price.iter().zip(&self.lots).map(|(price, lots)| price * lots).sum();
            let value = prices + reduced.iter().take(most).map(|(less, _)| less).sum::<f64>();
            let repaired = self.repaired(&picked, reduced.get(most.wrapping_sub(1)).map(|(_, kind)| *kind));
            for tried in [picked, repaired] {
                let cost = self.total(&self.set(&tried));
                if cost < best_cost {
                    (best, best_cost) = (tried, cost);
                }
            }
            waited = if value > bound { 0 } else { waited + 1 };
            bound = bound.max(value);
            if waited > PATIENCE {
                (length, waited) = (length / 1.5, 0);
            }
            if !self.step(&mut price, &is_in, length * (best_cost - value).max(1e-6)) {
                break;
            }
        }
        best
    }

    /// Prices to start from: halfway between what a lot costs at least and at most.
    fn middles(&self) -> Vec<f64> {
        let middle = |(pairs, other): (&Vec<(usize, f64)>, &f64)| match (pairs.first(), pairs.last()) {
            (Some((_, least)), Some((_, most))) => f64::midpoint(*least, *most).min(*other),
            _ => *other,
        };
        self.of.iter().zip(&self.other).map(middle).collect()
    }

    /// The set with its weakest kind exchanged for the one that serves most lots which the set leaves out.
    fn repaired(&self, kinds: &BTreeSet<usize>, weakest: Option<usize>) -> BTreeSet<usize> {
        let mut served = vec![0.0; self.kinds];
        for (pairs, lots) in self.of.iter().zip(&self.lots) {
            if !pairs.iter().any(|(kind, _)| kinds.contains(kind)) {
                pairs.iter().for_each(|(kind, _)| served[*kind] += lots);
            }
        }
        let most = served.iter().copied().fold(0.0, f64::max);
        let mut kinds = kinds.clone();
        if let (Some(weakest), Some(into)) = (weakest, served.iter().position(|lots| *lots == most && most > 0.0)) {
            kinds.remove(&weakest);
            kinds.insert(into);
        }
        kinds
    }

    /// Moves the prices along the subgradient; false where every lot is served once.
    fn step(&self, price: &mut [f64], is_in: &[bool], length: f64) -> bool {
        let served = |(pairs, price): (&Vec<(usize, f64)>, &f64)| {
            let below = pairs.iter().take_while(|(_, cost)| cost < price);
            1.0 - below.filter(|(kind, _)| is_in[*kind]).count() as f64
        };
        let lacks: Vec<f64> = self.of.iter().zip(price.iter()).map(served).collect();
        let norm: f64 = lacks.iter().zip(&self.lots).map(|(lack, lots)| lack * lack * lots).sum();
        if norm == 0.0 {
            return false;
        }
        for ((price, lack), other) in price.iter_mut().zip(lacks).zip(&self.other) {
            *price = (*price + length / norm * lack).min(*other);
        }
        true
    }

    /// Exchanges one kind for another while that is cheaper.
    fn interchange(&self, kinds: &mut BTreeSet<usize>, stop: &dyn Fn() -> bool) {
        let pairs: usize = self.of.iter().map(Vec::len).sum::<usize>().max(1);
        let mut looks = 0;
        let mut cost = self.total(&self.set(kinds));
        loop {
            let mut better: Option<(f64, usize, usize)> = None;
            for &out in kinds.iter() {
                for into in (0..self.kinds).filter(|kind| !kinds.contains(kind)) {
                    looks += pairs;
                    if looks > MOST_LOOKS || stop() {
                        return;
                    }
                    let mut is_in = self.set(kinds);
                    (is_in[out], is_in[into]) = (false, true);
                    let then = self.total(&is_in);
                    if then < better.map_or(cost - 1e-9, |(best, ..)| best) {
                        better = Some((then, out, into));
                    }
                }
            }
            let Some((then, out, into)) = better else { return };
            kinds.remove(&out);
            kinds.insert(into);
            cost = then;
        }
    }
}
