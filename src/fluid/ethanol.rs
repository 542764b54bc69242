//! Ethanol and water: the general formula of OIML R 22, International alcoholometric tables (1975), p. 13.
//!
//! ρ(p, t) = Σ A_k p^(k−1) + Σ B_k (t−20)^k + Σ_i Σ_k C_ik p^k (t−20)^i, in kg/m³ in vacuo, for a mass fraction p of
//! ethanol at t °C, from −20 to +40 °C. A pharmacopoeia's apparent density in air is about 1.1 kg/m³ lower.

use crate::units::{Density, MassFraction, Temperature, VolumeFraction};

/// Powers of p, at 20 °C.
const A: [f64; 12] = [
    9.982012300e2,
    -1.929769495e2,
    3.891238958e2,
    -1.668103923e3,
    1.352215441e4,
    -8.829278388e4,
    3.062874042e5,
    -6.138381234e5,
    7.470172998e5,
    -5.478461354e5,
    2.234460334e5,
    -3.903285426e4,
];

/// Powers of t − 20 for water, from the first.
const B: [f64; 6] = [-2.0618513e-1, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11];

/// Powers of t − 20 by row and of p by column, both from the first.
const C: [&[f64]; 5] = [
    &[
        1.693443461530087e-1,
        -1.046914743455169e1,
        7.196353469546523e1,
        -7.047478054272792e2,
        3.924090430035045e3,
        -1.210164659068747e4,
        2.248646550400788e4,
        -2.605562982188164e4,
        1.852373922069467e4,
        -7.420201433430137e3,
        1.285617841998974e3,
    ],
    &[
        -1.19301300505701e-2,
        2.517399633803461e-1,
        -2.170575700536993e0,
        1.353034988843029e1,
        -5.029988758547014e1,
        1.09635566657757e2,
        -1.422753946421155e2,
        1.08043594285623e2,
        -4.414153236817392e1,
        7.442971530188783e0,
    ],
    &[
        -6.802995733503803e-4,
        1.876837790289664e-2,
        -2.002561813734156e-1,
        1.02299296671922e0,
        -2.895696483903638e0,
        4.810060584300675e0,
        -4.672147440794683e0,
        2.458043105903461e0,
        -5.411227621436812e-1,
    ],
    &[4.075376675622027e-6, -8.76305857347111e-6, 6.515031360099368e-6, -1.51578483698721e-6],
    &[-2.788074354782409e-8, 1.345612883493354e-8],
];

/// Lowest temperature at which the formula holds, °C.
pub const COLDEST: f64 = -20.0;
/// Highest temperature at which the formula holds, °C.
pub const WARMEST: f64 = 40.0;

/// The density of a mixture of ethanol and water between [`COLDEST`] and [`WARMEST`].
pub fn density(by_mass: MassFraction, at: Temperature) -> Density {
    let (p, warmer) = (by_mass.ratio(), at.celsius() - 20.0);
    let cross = C.iter().rev().fold(0.0, |sum, row| (sum + p * polynomial(row, p)) * warmer);
    Density::at_least_zero(polynomial(&A, p) + warmer * polynomial(&B, warmer) + cross)
}

/// The strength by volume of a strength by mass: q = p ρ(p, 20) / ρ(1, 20) (OIML R 22, p. 5).
pub fn by_volume(by_mass: MassFraction) -> VolumeFraction {
    let pure = density(MassFraction::PURE, Temperature::STANDARD);
    let mixed = density(by_mass, Temperature::STANDARD);
    VolumeFraction::within(by_mass.ratio() * mixed.kg_m3() / pure.kg_m3())
}

/// Σ a_k x^k, highest power first.
fn polynomial(factors: &[f64], x: f64) -> f64 {
    factors.iter().rev().fold(0.0, |sum, factor| sum * x + factor)
}
