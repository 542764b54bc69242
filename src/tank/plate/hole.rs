//! The stress at the edge of a hole in a bent pane.

/// The largest stress at the edge of a round hole that is small against all sides and against the thickness of the pane, from the
/// mean and half the difference of the principal stresses there without the hole: 3 σ₁ − σ₂, or 3 σ₂ − σ₁ where that is more.
///
/// The surface of a pane that is thick against the hole behaves as a sheet under tension (G. Kirsch 1898: 3 in one direction, 2
/// all round, 4 in twist). A wider hole in a bent pane raises the stress less: in one direction K = 1.79 + 0.25 / (0.39 + d/t) +
/// 0.81 / (1 + (d/t)²) − 0.26 / (1 + (d/t)³), from 2.98 at d = 0 to 1.79 for a wide hole, and 2 all round for any (W. C.
/// Young and R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed. 2002, Table 17.1, second-hand). For other ratios of
/// the principal stresses K σ₁ + (2 − K) σ₂, which is largest at K = 3.
pub fn at_a_hole(mean: f64, half: f64) -> f64 {
    2.0 * mean.abs() + 4.0 * half
}
