//! Whole containers that cover an amount of fluid at least cost.

use crate::units::{Millilitres, Money, greatest_common_divisor, items, number_of};

/// A container that fluid is sold in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Container {
    /// Volume that it holds.
    pub holds: Millilitres,
    /// Its price, contents included.
    pub price: Money,
}

/// The number of each container that covers an amount at least cost; of equal costs the choice with least left over, then the
/// one with fewest containers. All zero for no amount. No container may hold zero.
///
/// Of an amount far above the largest container, all but a rest is covered by the container that is cheapest by the litre: if it
/// holds k units, some of any k other containers hold a multiple of k together and can be replaced by it at no higher cost (P. C.
/// Gilmore and R. E. Gomory, Operations Research 14 (1966) 1045, the turnpike theorem). The rest is found by dynamic programming
/// over the greatest common unit.
pub fn cover(need: Millilitres, containers: &[Container]) -> Vec<i64> {
    let mut counts = vec![0; containers.len()];
    let unit = containers.iter().fold(0, |unit, container| greatest_common_divisor(unit, container.holds.0));
    if need <= Millilitres::ZERO || unit == 0 {
        return counts;
    }
    let sizes: Vec<usize> = containers.iter().map(|container| items(container.holds.0 / unit)).collect();
    let mut left = (need.0 + unit - 1) / unit;
    let by_litre =
        |at: &usize| (i128::from(containers[*at].price.parts()) * i128::from(1_000_000_000)) / sizes[*at] as i128;
    let largest = number_of(sizes.iter().copied().max().unwrap_or(1));
    if let Some(best) = (0..sizes.len()).min_by_key(|at| (by_litre(at), std::cmp::Reverse(sizes[*at]))) {
        let size = number_of(sizes[best]);
        counts[best] = ((left - (size - 1) * largest) / size).max(0);
        left -= counts[best] * size;
    }
    // Cost, units held and number of containers for each amount, and the container that was taken last.
    let mut least = vec![((Money::ZERO, 0, 0), usize::MAX)];
    for amount in 1..=items(left) {
        let with = |(at, container): (usize, &Container)| {
            let (cost, held, number) = least[amount.saturating_sub(sizes[at])].0;
            ((cost + container.price, held + sizes[at], number + 1), at)
        };
        let best = containers.iter().enumerate().map(with).min();
        least.extend(best);
    }
    let mut amount = items(left);
    while amount > 0 {
        let at = least[amount].1;
        counts[at] += 1;
        amount = amount.saturating_sub(sizes[at]);
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn container(litres: i64, price: i64) -> Container {
        Container { holds: Millilitres(litres * 1000), price: Money::whole(price) }
    }

    fn cost(counts: &[i64], containers: &[Container]) -> Money {
        counts.iter().zip(containers).map(|(count, container)| container.price * *count).sum()
    }

    #[test]
    fn the_cheapest_cover_may_hold_more_than_is_needed() {
        let sold = [container(1, 8), container(5, 30), container(25, 120)];
        assert_eq!(cover(Millilitres(24_000), &sold), [0, 0, 1]);
        assert_eq!(cover(Millilitres(6_200), &sold), [2, 1, 0]);
        assert_eq!(cover(Millilitres::ZERO, &sold), [0, 0, 0]);
        assert_eq!(cover(Millilitres(1), &sold), [1, 0, 0]);
    }

    #[test]
    fn no_other_cover_is_cheaper() {
        for seed in 0..400_i64 {
            let draw = |k: i64, most: i64| 1 + (seed * 7919 + k * 104_729 + seed * seed * 31) % most;
            let sold = [
                container(draw(1, 4), draw(2, 20)),
                container(draw(3, 7), draw(4, 30)),
                container(draw(5, 11), draw(6, 50)),
            ];
            let need = Millilitres(draw(7, 90_000));
            let found = cover(need, &sold);
            let held: i64 = found.iter().zip(&sold).map(|(count, container)| container.holds.0 * count).sum();
            assert!(held >= need.0, "{seed}");
            let covers =
                |a: i64, b: i64, c: i64| a * sold[0].holds.0 + b * sold[1].holds.0 + c * sold[2].holds.0 >= need.0;
            let (most_a, most_b) = (need.0 / sold[0].holds.0 + 1, need.0 / sold[1].holds.0 + 1);
            let mut least = Money::whole(1_000_000);
            for a in 0..=most_a {
                for b in 0..=most_b {
                    let missing = need.0 - a * sold[0].holds.0 - b * sold[1].holds.0;
                    let c = (missing.max(0) + sold[2].holds.0 - 1) / sold[2].holds.0;
                    assert!(covers(a, b, c));
                    least = least.min(cost(&[a, b, c], &sold));
                }
            }
            assert_eq!(cost(&found, &sold), least, "{seed}: {sold:?} {need:?}");
        }
    }
}
