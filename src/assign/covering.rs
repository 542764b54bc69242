//! The least that an order costs which must reach an amount of goods.
//!
//! Problem: numbers of packs n(o), each 0 or from a least to a most, with Σ size(o) n(o) ≥ asked and the least Σ cost(o) n(o) +
//! Σ fixed(o) over the offers bought.
//!
//! Method: dynamic programming over the goods reached so far, offer by offer; the packs of an offer are split into powers of
//! two where they are limited (S. Martello and P. Toth, "Knapsack Problems", 1990, section 3.2, from memory). Goods beyond what is
//! asked count as what is asked.
//!
//! Cost: asked × the number of offers, times log₂ of the number of packs where that is limited.

use crate::units;

/// Packs of one offer.
pub struct Item {
    /// Goods of a pack, in steps.
    pub size: i64,
    /// What a pack costs; it may be less than nothing.
    pub cost: i128,
    /// What buying any costs.
    pub fixed: i128,
    /// Whether none may be bought.
    pub may_be_none: bool,
    /// Fewest and most packs if any.
    pub fewest: i64,
    /// See `fewest`.
    pub most: i64,
}

/// Steps that an amount of goods has at most.
pub const MOST_STEPS: i64 = 4096;

/// The least cost; `None` where the offers cannot reach what is asked.
pub fn least_cost(items: &[&Item], asked: i64) -> Option<i128> {
    let steps = units::items(asked.max(0));
    let mut best = vec![OUT_OF_REACH; steps + 1];
    best[0] = 0;
    let mut bought = vec![OUT_OF_REACH; steps + 1];
    for item in items {
        if item.most < item.fewest {
            if !item.may_be_none {
                return None;
            }
            continue;
        }
        buy(item, &best, &mut bought, asked);
        if item.may_be_none {
            best.iter_mut().zip(&bought).for_each(|(best, bought)| *best = (*best).min(*bought));
        } else {
            best.copy_from_slice(&bought);
        }
    }
    (best[steps] != OUT_OF_REACH).then_some(best[steps])
}

/// The least cost by goods reached where some packs of an item are bought, from the least cost without any.
fn buy(item: &Item, best: &[i128], bought: &mut [i128], asked: i64) {
    let steps = best.len() - 1;
    bought.fill(OUT_OF_REACH);
    // Packs that cost less than nothing are all taken, if any are.
    let first = if item.cost < 0 { item.most } else { item.fewest };
    let (goods, cost) = packs(item, first);
    for (at, &known) in best.iter().enumerate().filter(|(_, known)| **known != OUT_OF_REACH) {
        let to = (at + goods).min(steps);
        bought[to] = bought[to].min(known + cost + item.fixed);
    }
    let mut left = item.most - first;
    let mut some = 1;
    // Where as many may be bought as reach all of it: from the bottom up, each takes one more than what it builds on.
    if item.size > 0 && left > asked / item.size {
        let (goods, cost) = packs(item, 1);
        for at in 0..steps {
            if bought[at] != OUT_OF_REACH {
                let to = (at + goods).min(steps);
                bought[to] = bought[to].min(bought[at] + cost);
            }
        }
        left = 0;
    }
    while left > 0 {
        let (goods, cost) = packs(item, some.min(left));
        // From the top down, so that each is taken once; at the top it may be taken without goods.
        for at in (0..=steps).rev() {
            let from = if at == steps {
                at.saturating_sub(goods)..=at
            } else {
                at.wrapping_sub(goods)..=at.wrapping_sub(goods)
            };
            if at < steps && at < goods {
                continue;
            }
            let least = from.map(|from| bought[from]).min().unwrap_or(OUT_OF_REACH);
            if least != OUT_OF_REACH {
                bought[at] = bought[at].min(least + cost);
            }
        }
        left -= some;
        some *= 2;
    }
}

const OUT_OF_REACH: i128 = i128::MAX;

/// Goods and cost of so many packs.
fn packs(item: &Item, n: i64) -> (usize, i128) {
    (units::items(item.size.saturating_mul(n).clamp(0, MOST_STEPS + 1)), item.cost * i128::from(n))
}
