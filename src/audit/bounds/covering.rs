//! Orders that must reach an amount of goods: what they cost at least.
//!
//! # Problem
//!
//! Of each offer none is bought, or from a fewest to a most number of packs n at c each and once a share s, either of which may
//! be below nothing. A pack counts for h steps. Sought is the least cost with T steps or more in all.
//!
//! # Method
//!
//! Dynamic programming over the offers (R. Bellman, Dynamic Programming, 1957, from memory). Let f(j) be the least cost of j
//! steps or more with the offers so far. One more offer gives
//!
//! f′(j) = min(f(j), s + min over n of f((j − h n)⁺) + c n).
//!
//! Where c < 0 the most packs are better than any other number but none. Else, of the numbers with h n ≥ j the smallest is best,
//! and the others reach back to steps of the remainder of j by h: a window that moves on with j. Its least value is the first of
//! a queue from which a new value pushes all that are no smaller.
//!
//! Cost: T steps for each offer, and T is at most [`MOST_STEPS`].

use std::collections::VecDeque;

use super::{Least, ceiling};
use crate::units::{items, number_of, saturated};

/// No amount is divided into more steps.
pub(super) const MOST_STEPS: i128 = 4096;

/// An offer within the limits of a leaf.
#[derive(Clone, Copy)]
pub(super) struct OfferLine {
    /// None is bought only where this is 0.
    pub(super) least: i64,
    /// If any.
    pub(super) fewest: i64,
    pub(super) most: i64,
    /// Of a pack; `None` beyond 128 bits.
    pub(super) each: Option<i128>,
    /// Of any.
    pub(super) share: Option<i128>,
    /// Goods in a pack.
    pub(super) price: i64,
}

/// More than any cost that is looked at.
const NONE: i128 = i128::MAX / 2;

/// The least cost of goods that reach an amount above 0, where a unit divides all prices.
pub(super) fn covering_cost(lines: &[OfferLine], amount: i64, unit: u64) -> Least {
    let amount = i128::from(amount);
    let unit = i128::from(unit).max(ceiling(amount, MOST_STEPS));
    // No more than the most steps.
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
                    // More packs than reach all steps are no better.
                    let most = items(line.most.min(line.fewest.max(number_of(steps))));
                    any_number(&least, (items(line.fewest), most), (each, share, gain), &mut with_it);
                }
            }
        }
        least = with_it;
    }
    if least[steps] >= NONE { Least::NoPlan } else { Least::Of(least[steps]) }
}

/// Whether no sum that is looked at leaves a quarter of 128 bits.
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

/// A number of packs, as a factor.
fn times(packs: usize) -> i128 {
    number_of(packs).into()
}

/// With one number of packs, if that is better.
fn exactly(before: &[i128], packs: i64, (each, share, gain): (i128, i128, i128), least: &mut [i128]) {
    let (cost, gain) = (each * i128::from(packs) + share, gain.saturating_mul(packs.into()));
    // What is beyond all indices leaves nothing to others.
    let gain = usize::try_from(gain).unwrap_or(usize::MAX);
    for (step, least) in least.iter_mut().enumerate() {
        let left = before[step.saturating_sub(gain)];
        if left < NONE {
            *least = (*least).min(left + cost);
        }
    }
}

/// With any number of packs from the fewest to the most, at a cost and a gain of each that are not below 0.
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
            // Numbers of packs that leave steps to others.
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
            // The smallest that leaves none.
            let all = fewest.max(step.div_ceil(gain));
            if all <= most && before[0] < NONE {
                least[step] = least[step].min(before[0] + each * times(all) + share);
            }
        }
    }
}
