//! The least that an order costs which must reach an amount of goods.
//!
//! Problem: numbers of packs n(o), each 0 or from a least to a most, with Σ size(o) n(o) ≥ asked and the least Σ cost(o) n(o) +
//! Σ fixed(o) over the offers bought.
//!
//! Method: dynamic programming over the goods reached so far, offer by offer; the packs of an offer are split into powers of
//! two (S. Martello and P. Toth, "Knapsack Problems", 1990, section 3.2, from memory). Goods beyond what is asked count as what
//! is asked.
//!
//! Cost: asked × the sum of log₂ of the numbers of packs.

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
    let steps = asked.max(0) as usize;
    let mut best: Vec<Option<i128>> = vec![None; steps + 1];
    best[0] = Some(0);
    for item in items {
        if item.most < item.fewest {
            if !item.may_be_none {
                return None;
            }
            continue;
        }
        let mut bought = taken(&best, item, item.fewest, item.fixed);
        let mut left = item.most - item.fewest;
        let mut packs = 1;
        while left > 0 {
            let some = packs.min(left);
            let more = taken(&bought, item, some, 0);
            least(&mut bought, more);
            left -= some;
            packs *= 2;
        }
        if item.may_be_none {
            least(&mut best, bought);
        } else {
            best = bought;
        }
    }
    best[steps]
}

/// What every amount costs after so many packs more.
fn taken(best: &[Option<i128>], item: &Item, packs: i64, fixed: i128) -> Vec<Option<i128>> {
    let cost = item.cost * i128::from(packs) + fixed;
    let goods = item.size.saturating_mul(packs).clamp(0, best.len() as i64) as usize;
    let mut after = vec![None; best.len()];
    for (at, known) in best.iter().enumerate() {
        if let Some(known) = known {
            let to = (at + goods).min(best.len() - 1);
            let cost = known + cost;
            if after[to].is_none_or(|least| cost < least) {
                after[to] = Some(cost);
            }
        }
    }
    after
}

fn least(best: &mut [Option<i128>], other: Vec<Option<i128>>) {
    for (best, other) in best.iter_mut().zip(other) {
        if let Some(other) = other
            && best.is_none_or(|best| other < best)
        {
            *best = Some(other);
        }
    }
}
