//! The covering cost: the least cost of an order that must reach an amount of goods.
//!
//! Problem: minimise Σ cost(o) n(o) + Σ fixed(o) over the offers bought, subject to Σ size(o) n(o) ≥ `asked`, where each number of
//! packs n(o) is from fewest(o) to most(o), or 0 if that is allowed.
//!
//! Method: dynamic programming over the goods reached so far, offer by offer. The packs of an offer are split into powers of
//! two if their number is limited (S. Martello and P. Toth, "Knapsack Problems", 1990, section 3.2, from memory). Goods beyond
//! `asked` count as `asked`.
//!
//! Why it holds: after each offer, the table has the least cost of every amount of goods that the offers so far can reach.
//!
//! Cost: asked × the number of offers, times log₂ of the number of packs where that is limited.

use crate::units;

/// Packs of one offer.
pub struct Item {
    /// Goods of a pack, in steps.
    pub size: i64,
    /// Cost of a pack; may be negative.
    pub cost: i128,
    /// Cost of buying any.
    pub fixed: i128,
    /// Whether none may be bought.
    pub may_be_none: bool,
    /// Fewest packs if any are bought.
    pub fewest: i64,
    /// Most packs.
    pub most: i64,
}

/// Most steps that an amount of goods is counted in.
pub const MOST_STEPS: i64 = 4096;

/// The least cost; `None` if the offers cannot reach `asked`.
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

/// Fills `bought`, the least cost by goods reached if packs of the item are bought, from `best`, the least cost without it.
fn buy(item: &Item, best: &[i128], bought: &mut [i128], asked: i64) {
    let steps = best.len() - 1;
    bought.fill(OUT_OF_REACH);
    // If the cost of a pack is negative, the most packs are the cheapest.
    let first = if item.cost < 0 { item.most } else { item.fewest };
    let (goods, cost) = packs(item, first);
    for (at, &known) in best.iter().enumerate().filter(|(_, known)| **known != OUT_OF_REACH) {
        let to = (at + goods).min(steps);
        bought[to] = bought[to].min(known + cost + item.fixed);
    }
    let mut left = item.most - first;
    let mut some = 1;
    // If enough packs are allowed to reach `asked`, their number counts as unlimited: from the bottom up, one pack at a time.
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
        // From the top down, so that these packs are taken at most once. At the top their goods may exceed `asked`.
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

/// Goods and cost of n packs.
fn packs(item: &Item, n: i64) -> (usize, i128) {
    (units::items(item.size.saturating_mul(n).clamp(0, MOST_STEPS + 1)), item.cost * i128::from(n))
}
