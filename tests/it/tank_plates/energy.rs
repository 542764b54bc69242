//! A second solution of the plate, independent of the series: least energy over polynomials (W. Ritz, 1909).
//!
//! w = Σ c φᵢ(x) ψⱼ(y), with φ = x(a−x)·Legendre and ψ = y·Legendre (top free) or y(1−y)·Legendre (held), b = D = q₀ = 1;
//! integrals by Gauss and Legendre's rule.

use rehouse::tank::plate::{Load, Support};

const ALONG: usize = 9;
const UP: usize = 14;
const POINTS: usize = 28;

/// A solved plate.
pub struct RitzPlate {
    aspect: f64,
    support: Support,
    nu: f64,
    weights: Vec<f64>,
}

/// A value and its first two derivatives.
type Jet = [f64; 3];

/// The Legendre polynomial on 0 … 1, with its derivatives by y.
fn legendre(degree: usize, y: f64) -> Jet {
    let t = 2.0 * y - 1.0;
    let (mut before, mut now) = ([0.0; 3], [1.0, 0.0, 0.0]);
    for n in 0..degree {
        let n = n as f64;
        let next = [
            ((2.0 * n + 1.0) * t * now[0] - n * before[0]) / (n + 1.0),
            ((2.0 * n + 1.0) * (now[0] + t * now[1]) - n * before[1]) / (n + 1.0),
            ((2.0 * n + 1.0) * (2.0 * now[1] + t * now[2]) - n * before[2]) / (n + 1.0),
        ];
        (before, now) = (now, next);
    }
    [now[0], 2.0 * now[1], 4.0 * now[2]]
}

fn product(f: Jet, g: Jet) -> Jet {
    [f[0] * g[0], f[1] * g[0] + f[0] * g[1], f[2] * g[0] + 2.0 * f[1] * g[1] + f[0] * g[2]]
}

/// Deflection along the span: symmetric about its middle, so even degrees only. x over a.
fn along(i: usize, x: f64, aspect: f64) -> Jet {
    let [value, first, second] = product([x * (1.0 - x), 1.0 - 2.0 * x, -2.0], legendre(2 * i, x));
    [value, first / aspect, second / aspect.powi(2)]
}

fn up(j: usize, y: f64, support: Support) -> Jet {
    let edge = match support {
        Support::TopFree => [y, 1.0, 0.0],
        Support::AllEdges => [y * (1.0 - y), 1.0 - 2.0 * y, -2.0],
    };
    product(edge, legendre(j, y))
}

/// Points and weights of the Gauss-Legendre rule on 0 … 1; the roots by Newton's method.
fn gauss() -> Vec<(f64, f64)> {
    let root = |i: usize| {
        let n = POINTS as f64;
        let mut y = 0.5 - 0.5 * (std::f64::consts::PI * (i as f64 + 0.75) / (n + 0.5)).cos();
        for _ in 0..50 {
            let [value, slope, _] = legendre(POINTS, y);
            y -= value / slope;
        }
        let slope = legendre(POINTS, y)[1] / 2.0;
        let t = 2.0 * y - 1.0;
        (y, 1.0 / ((1.0 - t * t) * slope * slope))
    };
    (0..POINTS).map(root).collect()
}

impl RitzPlate {
    /// Solves a plate of proportions `aspect` = a / b.
    pub fn new(aspect: f64, support: Support, load: Load, nu: f64) -> Self {
        let size = ALONG * UP;
        let mut rows = vec![vec![0.0; size + 1]; size];
        let rule = gauss();
        let across: Vec<Vec<Jet>> =
            rule.iter().map(|(x, _)| (0..ALONG).map(|i| along(i, *x, aspect)).collect()).collect();
        let upright: Vec<Vec<Jet>> = rule.iter().map(|(y, _)| (0..UP).map(|j| up(j, *y, support)).collect()).collect();
        // The integrals are products of one-dimensional ones.
        let one = |table: &[Vec<Jet>], p: usize, q: usize, m: usize, n: usize| -> f64 {
            rule.iter().zip(table).map(|((_, weight), jets)| weight * jets[p][m] * jets[q][n]).sum()
        };
        let pressure = |y: f64| if load == Load::Hydrostatic { 1.0 - y } else { 1.0 };
        for i in 0..ALONG {
            for j in 0..UP {
                let row = i * UP + j;
                for k in 0..ALONG {
                    let x = |m, n| one(&across, i, k, m, n);
                    let [x00, x11, x22, x02, x20] = [x(0, 0), x(1, 1), x(2, 2), x(0, 2), x(2, 0)];
                    for l in 0..UP {
                        let y = |m, n| one(&upright, j, l, m, n);
                        rows[row][k * UP + l] = x22 * y(0, 0)
                            + x00 * y(2, 2)
                            + nu * (x20 * y(0, 2) + x02 * y(2, 0))
                            + 2.0 * (1.0 - nu) * x11 * y(1, 1);
                    }
                }
                let span: f64 = rule.iter().zip(&across).map(|((_, weight), jets)| weight * jets[i][0]).sum();
                let rise: f64 =
                    rule.iter().zip(&upright).map(|((y, weight), jets)| weight * pressure(*y) * jets[j][0]).sum();
                rows[row][size] = span * rise;
            }
        }
        Self { aspect, support, nu, weights: solved(rows) }
    }

    /// Deflection α, bending β across and upright, and twist β, at x/a, y/b.
    pub fn at(&self, x: f64, y: f64) -> [f64; 4] {
        let [mut w, mut xx, mut yy, mut xy] = [0.0; 4];
        for i in 0..ALONG {
            let f = along(i, x, self.aspect);
            for j in 0..UP {
                let g = up(j, y, self.support);
                let weight = self.weights[i * UP + j];
                w += weight * f[0] * g[0];
                xx += weight * f[2] * g[0];
                yy += weight * f[0] * g[2];
                xy += weight * f[1] * g[1];
            }
        }
        let nu = self.nu;
        [12.0 * (1.0 - nu * nu) * w, -6.0 * (xx + nu * yy), -6.0 * (yy + nu * xx), -6.0 * (1.0 - nu) * xy]
    }
}

fn solved(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let size = rows.len();
    for i in 0..size {
        let pivot = (i..size).max_by(|&a, &b| rows[a][i].abs().total_cmp(&rows[b][i].abs())).expect("a row");
        rows.swap(i, pivot);
        let lead = rows[i].clone();
        for row in &mut rows[i + 1..] {
            let factor = row[i] / lead[i];
            for (cell, above) in row.iter_mut().zip(&lead).skip(i) {
                *cell -= factor * above;
            }
        }
    }
    let mut found = vec![0.0; size];
    for i in (0..size).rev() {
        let known: f64 = (i + 1..size).map(|j| rows[i][j] * found[j]).sum();
        found[i] = (rows[i][size] - known) / rows[i][i];
    }
    found
}
