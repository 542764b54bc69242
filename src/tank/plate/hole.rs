//! What a hole does to the stress of a bent pane.

/// The largest stress at the edge of a round hole, small against all sides and the thickness of the pane, by mean and half
/// the difference of the principal stresses there without the hole: 3 σ₁ − σ₂, or 3 σ₂ − σ₁ where that is more.
///
/// The surface of so thick a pane bears as a sheet that is pulled (G. Kirsch 1898: 3 in one direction, 2 all round, 4 in
/// twist). A wider hole in a bent pane raises the stress less: in one direction K = 1.79 + 0.25 / (0.39 + d/t) +
/// 0.81 / (1 + (d/t)²) − 0.26 / (1 + (d/t)³), 2.98 for no hole at all and 1.79 for a wide one, and 2 all round for any (W. C.
/// Young and R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed. 2002, Table 17.1, second-hand). In between
/// K σ₁ + (2 − K) σ₂, which K = 3 makes largest.
pub fn at_a_hole(mean: f64, half: f64) -> f64 {
    2.0 * mean.abs() + 4.0 * half
}
