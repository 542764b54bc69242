//! Prices as leaves have them, with what the rows cost at them.

use super::AtPrices;
use super::bound::{Part, fit_in};
use super::rows::{Sums, Survey, own_priority};
use crate::assign::flow::relaxation::Prices;

/// Prices, at which of the prices of owned fluid, and what the rows cost at them: the same in every part.
#[derive(Clone)]
pub struct Priced {
    pub at: usize,
    pub prices: Prices,
    pub rows: Sums,
    /// The same before the rows were weighed.
    fitted: Prices,
}

impl Priced {
    /// Whether these are the prices that others, as [`fitted`], would become.
    pub fn is_of(&self, at: usize, fitted: &Prices) -> bool {
        self.at == at && self.fitted == *fitted
    }
}

/// Prices of a part in numbers that a leaf may have.
pub fn fitted(at: &AtPrices, survey: &Survey, part: &Part, mut prices: Prices) -> Prices {
    let dearest = survey.dearest_at_most(at.question, &prices);
    place_all(at, &mut prices, dearest);
    if let Some(own) = own_priority(survey.aim(), placed(at)) {
        // A little more than the dearest costs, which may be rounded up.
        let dearest = survey.dearest(at.question, &prices, own);
        prices.weights.deferred[usize::from(own) - 1] = dearest + (dearest >> 20);
    }
    prices.over_a_power_of_two(survey.aim());
    // Numbers that are rounded fit no longer.
    fit_in(at.question, part, &mut prices);
    prices
}

/// Weighs the rows at fitted prices, at those of owned fluid that are counted as number `index`.
pub fn priced(index: usize, at: &AtPrices, survey: &Survey, fitted: Vec<Prices>) -> Vec<Priced> {
    let weighed = survey.weigh(at.question, placed(at), &fitted);
    let priced = fitted.into_iter().zip(weighed).map(|(fitted, weighed)| {
        let mut prices = fitted.clone();
        place_all(at, &mut prices, weighed.weights);
        Priced { at: index, prices, rows: weighed.rows, fitted }
    });
    priced.collect()
}

/// By priority, whether the goal places every row.
fn placed(at: &AtPrices) -> [bool; 4] {
    let mut placed = [false; 4];
    at.relaxation.never_deferred().for_each(|priority| placed[usize::from(priority) - 1] = true);
    placed
}

/// No row of a priority of which every row is placed is better deferred.
fn place_all(at: &AtPrices, prices: &mut Prices, weights: [i128; 4]) {
    let all = prices.weights.deferred.iter_mut().zip(weights).zip(placed(at));
    all.filter(|(_, placed)| *placed).for_each(|((weight, all), _)| *weight = all);
}
