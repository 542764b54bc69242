//! A rectangular glass pane under liquid: bending by the exact Lévy series.
//!
//! Thin linear plate on simply supported edges (silicone holds hardly any moment), span `a` horizontal, rise `b`
//! vertical, y up from the bottom edge. Load q(y) = q₀ (1 − y/b), the pane taken full to its top edge, or uniform q₀.
//! Two supports: all four edges, or three with the top edge free. After S. Timoshenko and S. Woinowsky-Krieger, Theory of
//! Plates and Shells, 2nd ed. 1959, chapters 5 and 6 (from memory); every value is checked in `tests/it/tank_plates.rs`
//! against a Navier series and an energy solution that share nothing with this file.
//!
//! The deflection is written as the strip w₀ = q(y) (x⁴ − 2ax³ + a³x) / 24D, which meets the load and the two
//! vertical edges exactly, plus Σ Yₘ(y) sin(mπx/a) over odd m with
//! Y = (A + B k y) e^(−ky) + (C + E k (b−y)) e^(−k(b−y)), k = mπ/a, which meets the bottom and the top edge.
//!
//! Two results differ from tables in common use:
//!
//! * **A tall open pane.** W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed. 2002, Table
//!   11.4 case 2d (load 0 at the free edge, q at the opposite edge; figures from memory) agrees with this series to 8 % up to
//!   a/b 1.5 in its own notation. Beyond that its figures are those at mid-height and not the largest: up to 33 % too low in
//!   stress and 30 % in deflection, so they are not on the safe side for a tall narrow open tank.
//! * **A long open pane.** Beyond a/b ≈ 2.4 the largest principal stress is no longer the bending of the free edge, which
//!   handbooks tabulate, but the twist near the lower ends: at a/b = 4 the coefficient is 0.930 against 0.594.
//!   Therefore the largest principal bending stress anywhere on the pane is taken here, twist included.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::sync::{PoisonError, RwLock};

mod elimination;
mod hole;
mod pane;

use elimination::solved;
pub use hole::at_a_hole;
pub use pane::Pane;

/// What holds the pane's edges.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Support {
    /// Bottom and sides held, the top edge free: an open tank, or a lid that only lies on it.
    TopFree,
    /// All four edges held: a lid or brace bonded all round, or a base carried on its edges.
    AllEdges,
}

/// Distribution of the pressure on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Load {
    /// From zero at the top edge to the whole at the bottom edge.
    Hydrostatic,
    /// The same everywhere.
    Uniform,
}

/// A pane without its size: proportions, support, load and Poisson's ratio. All results are coefficients.
#[derive(Clone, Debug)]
pub struct Plate {
    aspect: f64,
    poisson: f64,
    support: Support,
    load: Load,
    terms: Vec<Term>,
}

/// Largest stresses and deflection of a plate, as coefficients of its load and size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateCoefficients {
    /// β: largest principal bending stress anywhere = β q₀ b² / t².
    pub stress: f64,
    /// Where that is, as x/a (0 to 0.5) and y/b.
    pub stress_at: (f64, f64),
    /// The same for bending along the top edge, where that is free; 0 where it is held.
    pub top_edge_stress: f64,
    /// The same at the edge of a small hole whose middle is within a quarter of the span and of the rise from a bottom corner.
    pub by_hole: f64,
    /// α: largest deflection = α q₀ b⁴ / (E t³).
    pub deflection: f64,
}

/// Bending at one point, as coefficients: stress = β q₀ b² / t², deflection = α q₀ b⁴ / (E t³).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Local {
    /// Deflection α.
    pub deflection: f64,
    /// Bending across the vertical, β of M_x.
    pub across: f64,
    /// Bending along the vertical, β of M_y.
    pub upright: f64,
    /// Twist, β of M_xy.
    pub twist: f64,
}

impl Local {
    /// Mean and half the difference of the two principal stresses.
    fn mean_and_half(self) -> (f64, f64) {
        ((self.across + self.upright) / 2.0, ((self.across - self.upright) / 2.0).hypot(self.twist))
    }

    /// The principal stress of larger amount, without its sign.
    pub fn principal(self) -> f64 {
        let (mean, half) = self.mean_and_half();
        mean.abs() + half
    }

    /// The largest stress at the edge of a small round hole here: [`at_a_hole`].
    pub fn by_hole(self) -> f64 {
        let (mean, half) = self.mean_and_half();
        at_a_hole(mean, half)
    }
}

/// The reactions at the edges of a plate: line loads as parts of q₀ b, whole forces as parts of q₀ a b.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reactions {
    /// Largest line load along the bottom edge; of a long plate it is not in the middle, but about its height from a corner.
    pub bottom_largest: f64,
    /// Largest line load along a vertical edge.
    pub side_largest: f64,
    /// The line load of a vertical edge at equal steps up the edge, without its two ends.
    pub side_profile: [f64; SIDE_POINTS],
    /// Largest line load along the top edge; 0 where that is free.
    pub top_largest: f64,
    /// Force of the whole bottom edge.
    pub bottom: f64,
    /// Force of one whole vertical edge.
    pub side: f64,
    /// Force of the whole top edge.
    pub top: f64,
    /// Point force at each bottom corner; negative = the corner must be held down.
    pub bottom_corner: f64,
    /// Point force at each top corner; positive = the pane pulls the top of the seam outward.
    pub top_corner: f64,
}

impl Reactions {
    /// Sum over all edges and corners: the whole load (1/2 hydrostatic, 1 uniform) if the plate is in equilibrium.
    pub fn sum(&self) -> f64 {
        self.bottom + self.top + 2.0 * (self.side + self.bottom_corner + self.top_corner)
    }
}

/// Points up a vertical edge at which its line load is stored.
pub const SIDE_POINTS: usize = 39;

/// Terms of the series; further terms do not change the fifth digit, even in the corners.
const TERMS: usize = 250;
/// Terms that suffice to find where the maximum is.
const COARSE_TERMS: usize = 24;
/// A longer plate bends as an endless strip (to 9 digits beyond 12).
const LONGEST_STRIP: f64 = 20.0;
/// Grid of the first search, along half the span and along the rise.
const GRID: (usize, usize) = (16, 32);

/// One term of the series, for b = q₀ = D = 1.
#[derive(Clone, Copy, Debug)]
struct Term {
    k: f64,
    coefficients: [f64; 4],
}

impl Term {
    /// Y and its first three derivatives, the n-th divided by kⁿ.
    fn at(&self, y: f64) -> [f64; 4] {
        let [a, b, c, e] = self.coefficients;
        let (s, u) = (self.k * y, self.k * (1.0 - y));
        let (below, above) = ((-s).exp(), (-u).exp());
        [
            (a + b * s) * below + (c + e * u) * above,
            (-a + b * (1.0 - s)) * below + (c + e * (u - 1.0)) * above,
            (a + b * (s - 2.0)) * below + (c + e * (u - 2.0)) * above,
            (-a + b * (3.0 - s)) * below + (c + e * (u - 3.0)) * above,
        ]
    }

    /// Whether the term is negligible at a height: both its exponentials have decayed.
    fn dead(&self, y: f64) -> bool {
        self.k * y.min(1.0 - y) > 32.0
    }
}

impl Plate {
    /// Solves a plate of proportions `aspect` = a / b (above 0) with a Poisson's ratio (0 to 0.5).
    pub fn new(aspect: f64, support: Support, load: Load, poisson: f64) -> Self {
        let aspect = if support == Support::AllEdges { aspect.min(LONGEST_STRIP) } else { aspect };
        let terms = (0..TERMS).map(|i| term((2 * i + 1) as f64, aspect, support, load, poisson)).collect();
        Self { aspect, poisson, support, load, terms }
    }

    /// Bending at x/a, y/b.
    pub fn at(&self, x: f64, y: f64) -> Local {
        self.summed(x, y, TERMS)
    }

    fn summed(&self, x: f64, y: f64, terms: usize) -> Local {
        let x = x * self.aspect;
        let mut sums = self.strip(x, y);
        for term in self.terms.iter().take(terms).take_while(|term| !term.dead(y)) {
            let k = term.k;
            let [value, first, second, _] = term.at(y);
            let (sin, cos) = (k * x).sin_cos();
            sums.value += value * sin;
            sums.xx -= k * k * value * sin;
            sums.yy += k * k * second * sin;
            sums.xy += k * k * first * cos;
        }
        let nu = self.poisson;
        Local {
            deflection: 12.0 * (1.0 - nu * nu) * sums.value,
            across: -6.0 * (sums.xx + nu * sums.yy),
            upright: -6.0 * (sums.yy + nu * sums.xx),
            twist: -6.0 * (1.0 - nu) * sums.xy,
        }
    }

    /// The largest stress and deflection anywhere: a coarse search, then a finer one round the best point.
    pub fn coefficients(&self) -> PlateCoefficients {
        let (columns, rows) = GRID;
        let point = |i: usize, j: usize| (i as f64 / (2 * columns) as f64, j as f64 / rows as f64);
        let mut most: [(f64, (f64, f64)); 2] = [(0.0, (0.0, 0.0)); 2];
        let mut top_edge_stress: f64 = 0.0;
        for j in 0..=rows {
            for i in 0..=columns {
                let (x, y) = point(i, j);
                let local = self.summed(x, y, COARSE_TERMS);
                for (best, value) in most.iter_mut().zip([local.principal(), local.deflection]) {
                    // Rounding must not decide between equal values.
                    if value > best.0 * (1.0 + 1e-9) {
                        *best = (value, (x, y));
                    }
                }
                if j == rows && self.support == Support::TopFree {
                    top_edge_stress = top_edge_stress.max(self.at(x, y).across.abs());
                }
            }
        }
        let (stress, stress_at) = self.climbed(most[0].1, |local| local.principal());
        let (deflection, _) = self.climbed(most[1].1, |local| local.deflection);
        let eighths = [0.0, 0.125, 0.25];
        let by_hole = eighths.into_iter().flat_map(|x| eighths.map(|y| self.at(x, y).by_hole())).fold(0.0, f64::max);
        PlateCoefficients { stress: stress.max(top_edge_stress), stress_at, top_edge_stress, by_hole, deflection }
    }

    /// The maximum near a point of the grid, by ever smaller steps.
    fn climbed(&self, from: (f64, f64), measure: impl Fn(Local) -> f64) -> (f64, (f64, f64)) {
        let at = |(x, y): (f64, f64)| measure(self.at(x, y));
        let (mut best, mut place) = (at(from), from);
        let (mut dx, mut dy) = (0.25 / GRID.0 as f64, 0.5 / GRID.1 as f64);
        while dy > 1e-4 {
            let near = [(-dx, 0.0), (dx, 0.0), (0.0, -dy), (0.0, dy), (-dx, -dy), (dx, dy), (-dx, dy), (dx, -dy)];
            let near = near.map(|(x, y)| ((place.0 + x).clamp(0.0, 0.5), (place.1 + y).clamp(0.0, 1.0)));
            match near.into_iter().map(|point| (at(point), point)).max_by(|a, b| a.0.total_cmp(&b.0)) {
                Some((value, point)) if value > best * (1.0 + 1e-12) => (best, place) = (value, point),
                _ => (dx, dy) = (dx / 2.0, dy / 2.0),
            }
        }
        (best, place)
    }

    /// The reactions at its edges.
    pub fn reactions(&self) -> Reactions {
        let (a, shear) = (self.aspect, 2.0 - self.poisson);
        let (_, slope) = loads(self.load);
        // The part of the strip w₀ in the line load along bottom and top: its twist changes along the rise.
        let strip = |x: f64| shear * slope * (a * x - x * x) / 2.0;
        let edge = |x: f64, y: f64, sign: f64| {
            let term = |term: &Term| {
                let [_, first, _, third] = term.at(y);
                sign * term.k.powi(3) * (third - shear * first) * (term.k * x).sin()
            };
            self.terms.iter().map(term).sum::<f64>() - sign * strip(x)
        };
        let whole = |y: f64, sign: f64| {
            let term = |term: &Term| {
                let [_, first, _, third] = term.at(y);
                sign * term.k.powi(3) * (third - shear * first) * 2.0 / term.k
            };
            self.terms.iter().map(term).sum::<f64>() - sign * shear * slope * a.powi(3) / 12.0
        };
        // From the corner to the middle of the span.
        let along = |y: f64, sign: f64| (1..=100).map(|j| edge(a * f64::from(j) / 200.0, y, sign)).fold(0.0, f64::max);
        let held = self.support == Support::AllEdges;
        let corner = |y: f64, sign: f64| sign * 2.0 * (1.0 - self.poisson) * self.corner_twist(y);
        let side_at = |j: usize| self.side_line_load(j as f64 / 200.0);
        Reactions {
            bottom_largest: along(0.0, -1.0),
            side_largest: (1..200).map(side_at).fold(0.0, f64::max),
            side_profile: std::array::from_fn(|i| self.side_line_load((i + 1) as f64 / (SIDE_POINTS + 1) as f64)),
            top_largest: if held { along(1.0, 1.0) } else { 0.0 },
            bottom: whole(0.0, -1.0) / a,
            side: self.side_force() / a,
            top: if held { whole(1.0, 1.0) / a } else { 0.0 },
            bottom_corner: corner(0.0, -1.0) / a,
            top_corner: corner(1.0, 1.0) / a,
        }
    }

    /// Line load of a vertical edge at y/b, as a part of q₀ b.
    pub fn side_line_load(&self, y: f64) -> f64 {
        let (start, slope) = loads(self.load);
        let strip = (start + slope * y) * self.aspect / 2.0;
        let term = |term: &Term| {
            let [value, _, second, _] = term.at(y);
            term.k.powi(3) * (value - (2.0 - self.poisson) * second)
        };
        strip + self.terms.iter().take_while(|term| !term.dead(y)).map(term).sum::<f64>()
    }

    /// The whole force of a vertical edge, term by term in closed form.
    fn side_force(&self) -> f64 {
        let (start, slope) = loads(self.load);
        let strip = (start + slope / 2.0) * self.aspect / 2.0;
        let term = |term: &Term| {
            let ([a, b, c, e], k) = (term.coefficients, term.k);
            let end = (-k).exp();
            let area = ((a + c) * (1.0 - end) + (b + e) * (1.0 - (1.0 + k) * end)) / k;
            let turn = (term.at(1.0)[1] - term.at(0.0)[1]) / k;
            k.powi(3) * (area - (2.0 - self.poisson) * turn)
        };
        strip + self.terms.iter().map(term).sum::<f64>()
    }

    /// w_xy in the corner at x = 0 and height y.
    fn corner_twist(&self, y: f64) -> f64 {
        let (_, slope) = loads(self.load);
        let term = |term: &Term| term.k * term.k * term.at(y)[1];
        slope * self.aspect.powi(3) / 24.0 + self.terms.iter().map(term).sum::<f64>()
    }

    fn strip(&self, x: f64, y: f64) -> PlateSums {
        let a = self.aspect;
        let (start, slope) = loads(self.load);
        let q = start + slope * y;
        PlateSums {
            value: q * (x.powi(4) - 2.0 * a * x.powi(3) + a.powi(3) * x) / 24.0,
            xx: q * (x * x - a * x) / 2.0,
            yy: 0.0,
            xy: slope * (4.0 * x.powi(3) - 6.0 * a * x * x + a.powi(3)) / 24.0,
        }
    }
}

/// Deflection and its second derivatives.
struct PlateSums {
    value: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

/// q(y) = start + slope · y.
fn loads(load: Load) -> (f64, f64) {
    match load {
        Load::Hydrostatic => (1.0, -1.0),
        Load::Uniform => (1.0, 0.0),
    }
}

/// The four constants of a term from the conditions at the bottom and the top edge.
fn term(m: f64, aspect: f64, support: Support, load: Load, nu: f64) -> Term {
    let k = m * PI / aspect;
    let end = (-k).exp();
    let (start, slope) = loads(load);
    // The strip as a term of the same series: P(y) = scale · (start + slope · y).
    let scale = 4.0 / (m * PI * k.powi(4));
    let (bottom, top, gradient) = (scale * start, scale * (start + slope), scale * slope / k);
    let held_bottom = [[1.0, 0.0, end, end * k, -bottom], [1.0, -2.0, end, end * (k - 2.0), 0.0]];
    let edge = match support {
        Support::AllEdges => [[end, end * k, 1.0, 0.0, -top], [end, end * (k - 2.0), 1.0, -2.0, 0.0]],
        Support::TopFree => {
            let (less, shear) = (1.0 - nu, 2.0 - nu);
            [
                [end * less, end * (k - 2.0 - nu * k), less, -2.0, nu * top],
                [end * less, end * (3.0 - k - shear * (1.0 - k)), -less, -1.0 - nu, shear * gradient],
            ]
        }
    };
    Term { k, coefficients: solved([held_bottom[0], held_bottom[1], edge[0], edge[1]]) }
}

/// Coefficients and reactions of a plate, cached for all threads: clear sizes are rounded, so the same proportions occur again and
/// again.
pub fn solved_plate(aspect: f64, support: Support, load: Load, poisson: f64) -> (PlateCoefficients, Reactions) {
    type Known = BTreeMap<(u64, Support, Load, u64), (PlateCoefficients, Reactions)>;
    /// The cache is emptied at this size.
    const MOST: usize = 50_000;
    static KNOWN: RwLock<Known> = RwLock::new(BTreeMap::new());
    let key = (aspect.to_bits(), support, load, poisson.to_bits());
    // A thread that panicked while it held the lock left only whole entries behind.
    if let Some(found) = KNOWN.read().unwrap_or_else(PoisonError::into_inner).get(&key) {
        return *found;
    }
    let plate = Plate::new(aspect, support, load, poisson);
    let found = (plate.coefficients(), plate.reactions());
    let mut known = KNOWN.write().unwrap_or_else(PoisonError::into_inner);
    if known.len() >= MOST {
        known.clear();
    }
    known.insert(key, found);
    found
}
