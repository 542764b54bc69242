//! The price of a piece of a size that is not listed.
//!
//! # Method
//!
//! Within a family (one form, material and closure) the logarithm of the price of a piece is fitted as a straight line over the
//! logarithm of its capacity, by ordinary least squares: with x = ln litres, y = ln price, n prices,
//!
//! ```text
//! slope = Σ (x − x̄)(y − ȳ) / Σ (x − x̄)²,   intercept = ȳ − slope · x̄,   spread = √(Σ (y − intercept − slope · x)² / (n − 2))
//! ```
//!
//! (any textbook: N. R. Draper and H. Smith, Applied Regression Analysis, chapter 1, from memory). Each offer of the stock list with
//! a price is one point. exp(spread) is the factor by which listed prices lie above or below the line, as a rule. A family with
//! fewer than two capacities that have a price, or whose line falls, takes the line through the prices of all families.
//!
//! Prices that the settings state (`[sizes] price`) take the place of all lines: straight between two of them, and beyond the last,
//! in the same logarithms.
//!
//! # Limits
//!
//! A line through past prices is a guess at a quote, nothing more: pack sizes, suppliers and quality are in the spread.

use crate::settings::sizes::PricesByLitres;
use crate::units::Money;

/// A straight line of log price over log litres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedLine {
    /// Log of the price of a litre vessel.
    pub intercept: f64,
    /// Growth of log price with log litres.
    pub slope: f64,
    /// Standard deviation of the residuals; `None` of two prices.
    pub spread: Option<f64>,
    /// Prices it is fitted to.
    pub prices: usize,
}

/// Where the prices of a family's sizes come from.
#[derive(Clone, Debug, PartialEq)]
pub enum PriceSource {
    /// A line through the prices of the family.
    Family(FittedLine),
    /// A line through the prices of all families: the family has too few, or a line that falls.
    AllFamilies(FittedLine),
    /// The settings.
    Settings(PricesByLitres),
}

impl FittedLine {
    /// The line through these capacities in litres, each with a price; `None` of fewer than two capacities.
    pub fn through(points: &[(f64, f64)]) -> Option<FittedLine> {
        let logs = || points.iter().map(|(litres, price)| (litres.ln(), price.ln()));
        let n = points.len() as f64;
        let (mean_x, mean_y) = (logs().map(|(x, _)| x).sum::<f64>() / n, logs().map(|(_, y)| y).sum::<f64>() / n);
        let square: f64 = logs().map(|(x, _)| (x - mean_x).powi(2)).sum();
        // Not a number of no points.
        let is_spread = square.is_finite() && square > LEAST_SQUARE;
        if !is_spread {
            return None;
        }
        let slope = logs().map(|(x, y)| (x - mean_x) * (y - mean_y)).sum::<f64>() / square;
        let intercept = mean_y - slope * mean_x;
        let residual: f64 = logs().map(|(x, y)| (y - intercept - slope * x).powi(2)).sum();
        let spread = (points.len() > 2).then(|| (residual / (n - 2.0)).sqrt());
        Some(FittedLine { intercept, slope, spread, prices: points.len() })
    }

    fn at(&self, litres: f64) -> f64 {
        (self.intercept + self.slope * litres.ln()).exp()
    }
}

/// Capacities whose logarithms differ by less are one capacity.
const LEAST_SQUARE: f64 = 1e-9;

impl PriceSource {
    /// The price of a piece of so many litres, rounded up to a hundredth; `None` where it is beyond any amount.
    pub fn price(&self, litres: f64) -> Option<Money> {
        let price = match self {
            PriceSource::Family(line) | PriceSource::AllFamilies(line) => line.at(litres),
            PriceSource::Settings(PricesByLitres(prices)) => between(prices, litres),
        };
        let hundredths = (price * 100.0 - 1e-6).ceil().max(1.0);
        Money::estimate(hundredths / 100.0)
    }
}

/// The price at a capacity, on the straight line in logarithms through the two stated capacities around it or next to it.
fn between(prices: &[(f64, Money)], litres: f64) -> f64 {
    let at = prices.partition_point(|(of, _)| *of < litres).clamp(1, prices.len().max(2) - 1);
    match prices.get(at - 1..=at) {
        Some([(one, low), (other, high)]) => {
            let (low, high) = (low.approximate().ln(), high.approximate().ln());
            let share = (litres.ln() - one.ln()) / (other.ln() - one.ln());
            (low + share * (high - low)).exp()
        }
        _ => f64::INFINITY,
    }
}
