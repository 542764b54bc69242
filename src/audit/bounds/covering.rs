//! The covering cost: the least cost of packs of one supplier whose goods reach an amount A.
//!
//! # Problem
//!
//! Of each offer either no pack is bought, or n packs between a fewest and a most number, at c n + s (c and s may be below 0). A
//! pack counts h = ⌈pack price / u⌉ steps towards T = ⌈A / u⌉. Find the least cost of packs that count T steps or more. Goods that
//! reach A count T steps, so this is a lower bound on the cost of reaching A.
//!
//! # Method
//!
//! Dynamic programming over the offers (R. Bellman, Dynamic Programming, 1957, from memory). Let f(j) be the least cost of at
//! least j steps with the offers seen so far. One more offer gives
//!
//! f′(j) = min(f(j), min over n of c n + s + f((j − h n)⁺)).
//!
//! If c < 0, the largest n is the best. Otherwise, of the n with h n ≥ j the smallest is the best, and smaller n read f at indices
//! congruent to j modulo h: a window that slides as j grows by h. A queue keeps its minimum: a new value removes all values at
//! the back that are no smaller.
//!
//! Cost: T steps for each offer; T is at most [`MOST_STEPS`].

use std::collections::VecDeque;

use super::{Least, ceiling};
use crate::units::{items, number_of, saturated};

/// Largest T.
pub(super) const MOST_STEPS: i128 = 4096;

/// An offer within the limits of a leaf.
#[derive(Clone, Copy)]
pub(super) struct OfferLine {
    /// Fewest packs that the leaf asks for; buying none is allowed only if this is 0.
    pub(super) least: i64,
    /// Fewest packs, if any are bought.
    pub(super) fewest: i64,
    pub(super) most: i64,
    /// c: cost of a pack; `None` beyond 128 bits.
    pub(super) each: Option<i128>,
    /// s: added once if any packs are bought; `None` beyond 128 bits.
    pub(super) share: Option<i128>,
    /// Pack price in ten-millionths: the goods that a pack counts for.
    pub(super) price: i64,
}

/// Marks steps that no allowed packs reach; above every cost computed here.
const NONE: i128 = i128::MAX / 2;

/// The covering cost of `amount` > 0; `unit` divides all pack prices.
pub(super) fn covering_cost(lines: &[OfferLine], amount: i64, unit: u64) -> Least {
    let amount = i128::from(amount);
    let unit = i128::from(unit).max(ceiling(amount, MOST_STEPS));
    // At most `MOST_STEPS`.
    let steps = items(saturated(ceiling(amount, unit)));
    if !fits(lines, number_of(steps).into()) {
        return Least::NoBound;
    }
    let mut least = vec![NONE; steps + 1];
    least[0] = 0;
    for line in lines {
        let gain = ceiling(i128::from(line.price), unit);
        let (each, share) = (line.each.unwrap_or(0), line.share.unwrap_or(0));
        let mut with_it = if line.least == 0 { least.clone() } else { vec![NONE; steps + 1] };
        if line.fewest <= line.most {
            match (each < 0, gain) {
                (true, _) => exactly(&least, line.most, (each, share, gain), &mut with_it),
                (false, 0) => exactly(&least, line.fewest, (each, share, gain), &mut with_it),
                (false, _) => {
                    // More packs than reach T steps are no better.
                    let most = items(line.most.min(line.fewest.max(number_of(steps))));
                    any_number(&least, (items(line.fewest), most), (each, share, gain), &mut with_it);
                }
            }
        }
        least = with_it;
    }
    if least[steps] >= NONE { Least::NoPlan } else { Least::Of(least[steps]) }
}

/// Whether every sum stays below a quarter of the range of 128 bits.
fn fits(lines: &[OfferLine], steps: i128) -> bool {
    let size = |line: &OfferLine| {
        if line.fewest > line.most {
            return Some(0);
        }
        let (each, most, fewest) = (line.each?, i128::from(line.most), i128::from(line.fewest));
        let packs = if each < 0 { most } else { fewest.max(steps) + steps };
        each.checked_abs()?.checked_mul(packs.max(0))?.checked_add(line.share?.checked_abs()?)
    };
    let sum = lines.iter().try_fold(0_i128, |sum, line| sum.checked_add(size(line)?));
    sum.is_some_and(|sum| sum < NONE / 2)
}

/// A number of packs as a factor.
fn times(packs: usize) -> i128 {
    number_of(packs).into()
}

/// Allows exactly `packs` packs.
fn exactly(before: &[i128], packs: i64, (each, share, gain): (i128, i128, i128), least: &mut [i128]) {
    let (cost, gain) = (each * i128::from(packs) + share, gain.saturating_mul(packs.into()));
    // A gain too large for an index reaches every step.
    let gain = usize::try_from(gain).unwrap_or(usize::MAX);
    for (step, least) in least.iter_mut().enumerate() {
        let left = before[step.saturating_sub(gain)];
        if left < NONE {
            *least = (*least).min(left + cost);
        }
    }
}

/// Allows any number of packs from `fewest` to `most`. The cost of a pack is not below 0, its gain is above 0.
fn any_number(
    before: &[i128],
    (fewest, most): (usize, usize),
    (each, share, gain): (i128, i128, i128),
    least: &mut [i128],
) {
    let gain = usize::try_from(gain).map_or(before.len(), |gain| gain.min(before.len()));
    let mut queue: VecDeque<(usize, i128)> = VecDeque::new();
    for first in 0..gain.min(before.len()) {
        queue.clear();
        for (at, step) in (first..before.len()).step_by(gain).enumerate() {
            // Numbers of packs that leave steps to other offers.
            if let Some(enters) = at.checked_sub(fewest) {
                let left = before[first + gain * enters];
                if left < NONE {
                    let value = left - each * times(enters);
                    while queue.back().is_some_and(|(_, last)| *last >= value) {
                        queue.pop_back();
                    }
                    queue.push_back((enters, value));
                }
            }
            while queue.front().is_some_and(|(enters, _)| enters + most < at) {
                queue.pop_front();
            }
            if let Some((_, value)) = queue.front() {
                least[step] = least[step].min(value + each * times(at) + share);
            }
            // The smallest number of packs that leaves none.
            let all = fewest.max(step.div_ceil(gain));
            if all <= most && before[0] < NONE {
                least[step] = least[step].min(before[0] + each * times(all) + share);
            }
        }
    }
}
