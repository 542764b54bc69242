//! The lid: a plate that lies on the four walls, under its own weight, a hand, and the opening cut in it.
//!
//! Spans l and s, the longer and the shorter, run from middle to middle of the walls; thickness t. The own weight q = ρ g t uses the
//! nominal thickness, everything else the thickness counted on (nominal less tolerance).
//!
//! **Own weight** is a permanent load. A lid bonded all round is held at its four edges: β and α by the Lévy series
//! ([`plate`](super::plate)). The corners of a lid that is only laid on may lift; it is taken as a strip over the shorter span:
//! β = 6/8, α = 5 · 12 (1 − ν²) / 384, which is more than any such plate has.
//!
//! **A hand** of P newtons rests on 100 × 100 mm in the middle for some minutes. Navier's double sine series for a load on a
//! part of a plate: q_mn = 16 P / (π² m n u v) sin(mπu/2l) sin(nπv/2s) with the signs of sin(mπ/2) sin(nπ/2), over odd m and n
//! (S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, chapter 5, from memory). The moments
//! fall as 1/(m n (m² + n²)): [`TERMS`] terms each way err by less than 0.5 %. The hand is added to the own weight. Where the
//! corners may lift, its load is increased by a fifth ([`CORNERS_LIFT`]).
//!
//! **The opening** is in a corner, within a quarter of each side. It is round or cuts the corner off straight, and may have any
//! width. It is taken as a hole that is small against the thickness, which raises the stress most: twofold where the glass is bent
//! all round, threefold in one direction, fourfold where it is twisted, as near a corner ([`at_a_hole`]). The allowable stress of
//! its edge is that of an edge as cut. The stresses by own weight and hand are added, each at its largest within the quarter; for a
//! lid only laid on, the strip's stress in the middle counts, threefold.

use std::f64::consts::PI;

use super::glass::{AS_CUT_MPA, Glass, MINUTES_AS_CUT_MPA, MINUTES_MPA, StressPlace, counted_on};
use super::limits::Limit;
use super::plate::{Pane, PlateCoefficients, at_a_hole};
use crate::units::{Length, Pressure};

/// Stresses and deflection of a lid of one thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lid {
    /// Nominal thickness.
    pub nominal: Length,
    /// Permanent stress by its own weight.
    pub own: Pressure,
    /// With a hand on it.
    pub with_hand: Pressure,
    /// Stress at the edge of the opening: permanent, and with a hand in the middle of the lid.
    pub at_opening: (Pressure, Pressure),
    /// Sag with a hand on it, and its limit.
    pub sag: (Length, Length),
    /// Stress for each unit of gas pressure: of the lid, and at the edge of the opening.
    pub for_gas: (f64, f64),
}

/// One stress of a lid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LidStress {
    /// Its place, which also says by which load.
    pub place: StressPlace,
    /// The stress.
    pub stress: Pressure,
    /// The allowable stress.
    pub limit: Pressure,
}

/// The support of a lid, and the moments of a hand on it: the same for lids of all thicknesses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearing {
    /// From middle to middle of the walls, the longer span first.
    spans: (Length, Length),
    /// Whether the lid is bonded all round.
    bonded: bool,
    /// By a hand: largest moment in the middle, the moment that acts at the edge of the opening, both N mm/mm, and deflection ×
    /// flexural rigidity, N mm².
    hand: [f64; 3],
}

impl Bearing {
    /// On walls of a nominal thickness round a clear length and width; `hand`: newtons.
    pub fn new(glass: &Glass, clear: (Length, Length), wall: Length, bonded: bool, hand: f64) -> Self {
        let spans = (clear.0 + wall, clear.1 + wall);
        let patch = Patch::new(spans.0.mm(), spans.1.mm());
        let hand = if bonded { hand } else { hand * CORNERS_LIFT };
        let moments = |x: f64, y: f64| patch.mean_and_half(x, y, glass.poisson);
        // The opening may be anywhere in a quarter of each side; the twist is largest in the corner itself.
        let quarter = (0..9).map(|i| moments(f64::from(i % 3) / 8.0, f64::from(i / 3) / 8.0));
        let by_opening = quarter.map(|(mean, half)| at_a_hole(mean, half)).fold(0.0, f64::max);
        let (mean, half) = moments(0.5, 0.5);
        Self { spans, bonded, hand: [(mean.abs() + half) * hand, by_opening * hand, patch.deflection() * hand] }
    }
}

/// Side of the square on which a hand rests (common practice, no source).
const HAND_MM: f64 = 100.0;
/// Cap that keeps the deflection of a lid with hardly any stiffness finite.
const BEYOND_ANY_MM: f64 = 1e12;
/// Odd terms of the series each way.
const TERMS: usize = 40;
/// Factor on a hand on a lid whose corners may lift (finite elements with edges that only push, 1:1 to 3:1: at most
/// 1.15 in stress and in deflection).
const CORNERS_LIFT: f64 = 1.2;

impl Lid {
    /// A lid of a nominal thickness. `even`: coefficients of a plate with the tank's proportions, held all round, under a uniform
    /// load.
    pub fn new(glass: &Glass, bearing: &Bearing, nominal: Length, even: &PlateCoefficients) -> Self {
        let (long, short) = bearing.spans;
        let thickness = counted_on(nominal);
        let weight = Pressure::under(glass.density, nominal);
        let pane = Pane { span: long, rise: short, thickness };
        let less = 1.0 - glass.poisson * glass.poisson;
        let strip = PlateCoefficients {
            stress: 0.75,
            by_hole: at_a_hole(0.375, 0.375),
            deflection: 60.0 * less / 384.0,
            ..*even
        };
        let carried = if bearing.bonded { even } else { &strip };
        let own = carried.stress_of(pane, weight);
        let at_opening = carried.by_hole_of(pane, weight);
        let slender = (short.mm() / thickness.mm()).powi(2);
        let sag = carried.deflection_of(pane, weight, glass.modulus);
        let [middle, by_opening, bends] = bearing.hand;
        let stress = |moment: f64| Pressure::at_least_zero(6.0 * moment / thickness.mm().powi(2));
        let stiffness = glass.modulus.mpa() * thickness.mm().powi(3) / (12.0 * less);
        let pressed = Length::at_least_zero((bends / stiffness).min(BEYOND_ANY_MM));
        Self {
            nominal,
            own,
            with_hand: own + stress(middle),
            at_opening: (at_opening, at_opening + stress(by_opening)),
            sag: (sag + pressed, glass.deflection_limit(short, thickness)),
            for_gas: (carried.stress * slender, carried.by_hole * slender),
        }
    }

    /// Its stresses: by its own weight, with a hand on it, and both at the edge of its opening.
    pub fn stresses(&self, glass: &Glass) -> [LidStress; 4] {
        let mpa = Pressure::at_least_zero;
        [
            (StressPlace::Lid, self.own, glass.allowable),
            (StressPlace::LidUnderHand, self.with_hand, mpa(MINUTES_MPA)),
            (StressPlace::LidOpening, self.at_opening.0, glass.allowable.min(mpa(AS_CUT_MPA))),
            (StressPlace::LidOpeningUnderHand, self.at_opening.1, mpa(MINUTES_AS_CUT_MPA)),
        ]
        .map(|(place, stress, limit)| LidStress { place, stress, limit })
    }

    /// Whether it keeps its limits.
    pub fn kept(&self, glass: &Glass) -> Result<(), Limit> {
        let thickest = self.nominal;
        if let Some(beyond) = self.stresses(glass).into_iter().find(|borne| borne.stress > borne.limit) {
            let LidStress { place, stress, limit } = beyond;
            return Err(Limit::Stress { place, stress, limit, thickest });
        }
        if self.sag.0 > self.sag.1 { Err(Limit::LidSag { sag: self.sag.0, thickest }) } else { Ok(()) }
    }
}

/// A load of one newton on the middle of a plate held at its edges.
struct Patch {
    /// By odd m and n: amplitude of the load, and (m/l)² and (n/s)².
    terms: Vec<(f64, f64, f64)>,
}

impl Patch {
    fn new(long: f64, short: f64) -> Self {
        let [u, v] = [long, short].map(|side| side.min(HAND_MM));
        let odd = |i: usize| (2 * i + 1) as f64;
        let sign = |i: usize| if i.is_multiple_of(2) { 1.0 } else { -1.0 };
        let term = |i: usize, j: usize| {
            let (m, n) = (odd(i), odd(j));
            let shape = (m * PI * u / (2.0 * long)).sin() * (n * PI * v / (2.0 * short)).sin();
            let load = 16.0 * sign(i) * sign(j) * shape / (PI * PI * m * n * u * v);
            (load, (m / long).powi(2), (n / short).powi(2))
        };
        let terms = (0..TERMS).flat_map(|i| (0..TERMS).map(move |j| term(i, j))).collect();
        Self { terms }
    }

    /// Mean and half the difference of the principal moments at x/l, y/s, for each newton.
    fn mean_and_half(&self, x: f64, y: f64, nu: f64) -> (f64, f64) {
        let waves =
            |at: f64| -> Vec<(f64, f64)> { (0..TERMS).map(|i| (PI * (2 * i + 1) as f64 * at).sin_cos()).collect() };
        let (along, across) = (waves(x), waves(y));
        let [mut mx, mut my, mut twist] = [0.0; 3];
        for (i, (load, p, r)) in self.terms.iter().enumerate() {
            let ((sin_x, cos_x), (sin_y, cos_y)) = (along[i / TERMS], across[i % TERMS]);
            let amplitude = load / (PI * PI * (p + r).powi(2));
            mx += amplitude * (p + nu * r) * sin_x * sin_y;
            my += amplitude * (r + nu * p) * sin_x * sin_y;
            twist += amplitude * (1.0 - nu) * (p * r).sqrt() * cos_x * cos_y;
        }
        ((mx + my) / 2.0, ((mx - my) / 2.0).hypot(twist))
    }

    /// Deflection in the middle × flexural rigidity, for each newton.
    fn deflection(&self) -> f64 {
        let signed = |(i, (load, p, r)): (usize, &(f64, f64, f64))| {
            let same = (i / TERMS).is_multiple_of(2) == (i % TERMS).is_multiple_of(2);
            let amplitude = load / (PI.powi(4) * (p + r).powi(2));
            if same { amplitude } else { -amplitude }
        };
        self.terms.iter().enumerate().map(signed).sum()
    }
}
