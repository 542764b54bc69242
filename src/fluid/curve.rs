//! Smooth curves through published points, and roots of functions.

use std::sync::LazyLock;

use crate::units::{Density, MassFraction};

/// Glycerol and water at 20 °C.
pub static GLYCEROL: LazyLock<Curve> = LazyLock::new(|| Curve::read(include_str!("tables/glycerol.csv")));
/// Isopropanol and water at 20 °C.
pub static ISOPROPANOL: LazyLock<Curve> = LazyLock::new(|| Curve::read(include_str!("tables/isopropanol.csv")));
/// Mole per cent of ethanol in the vapour over ethanol and water at 30 °C, by its mole fraction in the liquid.
pub static ETHANOL_VAPOUR: LazyLock<Curve> = LazyLock::new(|| Curve::read(include_str!("tables/ethanol-vapour.csv")));

/// A value over a strength of 0 to 1, at one temperature: a density in g/ml over a strength by mass.
///
/// Between the points it is a cubic that rises or falls as they do and never passes beyond them (M. Steffen, Astronomy
/// and Astrophysics 239 (1990) 443).
#[derive(Clone, Debug)]
pub struct Curve {
    /// Strength, value and slope at each point, rising in strength from 0 to 1.
    points: Vec<(f64, f64, f64)>,
}

impl Curve {
    /// Reads a compiled-in table: strength in per cent, value, source; from 0 to 100 %.
    ///
    /// # Panics
    /// If a compiled-in table is not of that form.
    fn read(table: &str) -> Self {
        let point = |line: &str| -> Option<(f64, f64)> {
            let mut cells = line.splitn(3, ',');
            Some((cells.next()?.parse::<f64>().ok()? / 100.0, cells.next()?.parse().ok()?))
        };
        let lines = table.lines().skip(1).filter(|line| !line.is_empty());
        let known: Vec<(f64, f64)> = lines.map(|line| point(line).expect("a compiled-in row of two numbers")).collect();
        Self::through(&known)
    }

    fn through(known: &[(f64, f64)]) -> Self {
        let widths: Vec<f64> = known.windows(2).map(|pair| pair[1].0 - pair[0].0).collect();
        let rises: Vec<f64> =
            known.windows(2).zip(&widths).map(|(pair, width)| (pair[1].1 - pair[0].1) / width).collect();
        let last = rises.len() - 1;
        let slope = |at: usize| match at {
            0 => end_slope(widths[0], widths[1], rises[0], rises[1]),
            at if at > last => end_slope(widths[last], widths[last - 1], rises[last], rises[last - 1]),
            at => {
                let (before, after) = (rises[at - 1], rises[at]);
                let across = (before * widths[at] + after * widths[at - 1]) / (widths[at - 1] + widths[at]);
                let least = before.abs().min(after.abs()).min(0.5 * across.abs());
                (before.signum() + after.signum()) * least
            }
        };
        Self { points: known.iter().enumerate().map(|(at, &(x, y))| (x, y, slope(at))).collect() }
    }

    /// The density at a strength by mass, of a curve of densities.
    pub fn density(&self, by_mass: MassFraction) -> Density {
        Density::at_least_zero(1000.0 * self.at(by_mass.ratio()))
    }

    /// The value at a strength of 0 to 1.
    pub fn at(&self, x: f64) -> f64 {
        let right = self.points.partition_point(|point| point.0 <= x).clamp(1, self.points.len() - 1);
        let ((x0, y0, s0), (x1, y1, s1)) = (self.points[right - 1], self.points[right]);
        let (width, along) = (x1 - x0, x - x0);
        let rise = (y1 - y0) / width;
        let cubic = (s0 + s1 - 2.0 * rise) / (width * width);
        let square = (3.0 * rise - 2.0 * s0 - s1) / width;
        ((cubic * along + square) * along + s0) * along + y0
    }
}

/// The slope at an end of the table.
fn end_slope(near_width: f64, far_width: f64, near_rise: f64, far_rise: f64) -> f64 {
    let share = near_width / (near_width + far_width);
    let slope = near_rise * (1.0 + share) - far_rise * share;
    if slope * near_rise <= 0.0 {
        0.0
    } else if slope.abs() > 2.0 * near_rise.abs() {
        2.0 * near_rise
    } else {
        slope
    }
}

/// Where a function that rises from 0 to 1 crosses zero, by bisection; the nearer end where it does not.
pub fn rising_root(rises: impl Fn(f64) -> f64) -> MassFraction {
    let (mut low, mut high) = (0.0, 1.0);
    if rises(high) <= 0.0 {
        return MassFraction::PURE;
    }
    if rises(low) >= 0.0 {
        return MassFraction::NONE;
    }
    // 60 bisections leave less than the spacing of floating-point numbers.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if rises(middle) < 0.0 { low = middle } else { high = middle }
    }
    MassFraction::within(0.5 * (low + high))
}
