//! Bending of panes: the series against a double sine series, an energy solution and published tables.
//!
//! Poisson's ratio is that of each source: 0.3 in the handbooks, 0.22 for glass (EN 16612:2019; ASTM E1300; from memory).

mod energy;

use std::f64::consts::PI;

use rehouse::tank::plate::{Load, Plate, Support};

use Load::{Hydrostatic, Uniform};
use Support::{AllEdges, TopFree};

fn near(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found} is not {expected} to {tolerance}");
}

/// Deflection α and bending β across and upright at a point, by C. L. M. H. Navier's double sine series (1820; S.
/// Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, chapter 5, from memory). b = 1.
fn navier(aspect: f64, load: Load, nu: f64, x: f64, y: f64) -> [f64; 3] {
    let [mut w, mut mx, mut my] = [0.0; 3];
    for m in (1..1600).step_by(2) {
        for n in 1..1600 {
            let (m, n) = (f64::from(m), f64::from(n));
            let q = match load {
                Hydrostatic => 8.0 / (PI * PI * m * n),
                Uniform if n % 2.0 == 1.0 => 16.0 / (PI * PI * m * n),
                Uniform => continue,
            };
            let (p, r) = ((m / aspect).powi(2), n * n);
            let shape = (m * PI * x).sin() * (n * PI * y).sin();
            let amplitude = q * shape / (p + r).powi(2);
            w += amplitude / PI.powi(4);
            mx += amplitude * (p + nu * r) / (PI * PI);
            my += amplitude * (r + nu * p) / (PI * PI);
        }
    }
    [12.0 * (1.0 - nu * nu) * w, 6.0 * mx, 6.0 * my]
}

#[test]
fn four_held_edges_agree_with_the_double_series_to_six_digits() {
    for load in [Hydrostatic, Uniform] {
        for aspect in [0.25, 0.5, 1.0, 1.4, 2.0, 4.0] {
            let plate = Plate::new(aspect, AllEdges, load, 0.22);
            for (x, y) in [(0.5, 0.5), (0.3, 0.4), (0.12, 0.7)] {
                let local = plate.at(x, y);
                let series = navier(aspect, load, 0.22, x, y);
                for (found, expected) in [local.deflection, local.across, local.upright].into_iter().zip(series) {
                    let what = format!("{load:?} a/b {aspect} at {x}, {y}");
                    near(found, expected, 1e-6 * expected.abs().max(1e-2), &what);
                }
            }
        }
    }
}

/// Every support, load and shape against an energy solution in polynomials, twist included.
#[test]
fn every_case_agrees_with_an_energy_solution() {
    let mut worst: f64 = 0.0;
    for support in [TopFree, AllEdges] {
        for load in [Hydrostatic, Uniform] {
            for nu in [0.20, 0.22, 0.30] {
                for aspect in [0.5, 1.0, 1.4, 2.5, 4.0] {
                    let plate = Plate::new(aspect, support, load, nu);
                    let energy = energy::RitzPlate::new(aspect, support, load, nu);
                    for (x, y) in [(0.5, 0.5), (0.5, 1.0), (0.3, 0.35), (0.15, 0.3), (0.25, 0.8)] {
                        let (series, other) = (plate.at(x, y), energy.at(x, y));
                        let pairs = [
                            (series.deflection, other[0]),
                            (series.across, other[1]),
                            (series.upright, other[2]),
                            (series.twist.abs(), other[3].abs()),
                        ];
                        for (found, expected) in pairs {
                            // Relative to the largest stress of such a plate, since a value near 0 has no relative error.
                            let scale = expected.abs().max(0.2 * plate.coefficients().stress);
                            worst = worst.max((found - expected).abs() / scale);
                        }
                    }
                }
            }
        }
    }
    assert!(worst < 2e-4, "worst deviation {worst}");
}

#[test]
fn reactions_of_edges_and_corners_add_up_to_the_load() {
    for (load, whole) in [(Hydrostatic, 0.5), (Uniform, 1.0)] {
        for support in [TopFree, AllEdges] {
            for aspect in [0.1, 0.25, 0.5, 1.0, 1.4, 2.0, 3.0, 4.0] {
                let sum = Plate::new(aspect, support, load, 0.22).reactions().sum();
                near(sum, whole, 2e-3 * whole, &format!("{support:?} {load:?} a/b {aspect}"));
            }
        }
    }
}

/// W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed. 2002, Table 11.4 case 1a, p. 502:
/// uniform load on four simply supported edges, Poisson's ratio 0.3.
#[test]
fn uniform_load_agrees_with_roark_case_1a() {
    let rows = [
        (1.0, 0.2874, 0.0444),
        (1.2, 0.3762, 0.0616),
        (1.4, 0.4530, 0.0770),
        (1.6, 0.5172, 0.0906),
        (1.8, 0.5688, 0.1017),
        (2.0, 0.6102, 0.1110),
        (3.0, 0.7134, 0.1335),
        (4.0, 0.7410, 0.1400),
        (5.0, 0.7476, 0.1417),
    ];
    for (aspect, beta, alpha) in rows {
        let found = Plate::new(aspect, AllEdges, Uniform, 0.3).coefficients();
        near(found.stress, beta, 4e-4, &format!("beta at {aspect}"));
        near(found.deflection, alpha, 5e-4, &format!("alpha at {aspect}"));
    }
    // The same table: the line load at the middle of an edge of a square is 0.420 q b.
    let square = Plate::new(1.0, AllEdges, Uniform, 0.3).reactions();
    near(square.bottom_largest, 0.420, 1e-3, "edge reaction");
}

/// S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, Poisson's ratio 0.3; figures from
/// memory: Table 8 (uniform), Tables 9 and 10 (hydrostatic, square), articles 48 and 49 (uniform, one edge free).
#[test]
fn deflections_and_moments_agree_with_timoshenko() {
    let (w, m) = (12.0 * (1.0 - 0.09), 6.0);
    for (aspect, deflection, moment) in [(1.0, 0.00406, 0.0479), (2.0, 0.01013, 0.1017), (3.0, 0.01223, 0.1189)] {
        let local = Plate::new(aspect, AllEdges, Uniform, 0.3).at(0.5, 0.5);
        near(local.deflection / w, deflection, 1e-5, "Table 8, deflection");
        near(local.upright / m, moment, 1e-4, "Table 8, moment");
    }
    let hydrostatic = Plate::new(1.0, AllEdges, Hydrostatic, 0.3);
    // Timoshenko counts from the unloaded edge; the moment is the one along the vertical.
    for (from_top, deflection, moment) in
        [(0.25, 0.00131, 0.0132), (0.5, 0.00203, 0.0239), (0.6, 0.00201, 0.0264), (0.75, 0.00162, 0.0259)]
    {
        let local = hydrostatic.at(0.5, 1.0 - from_top);
        near(local.deflection / w, deflection, 3e-5, "Tables 9 and 10, deflection");
        near(local.upright / m, moment, 1.5e-4, "Tables 9 and 10, moment");
    }
    // Articles 48 and 49: coefficients of q a² and q a⁴, a along the free edge.
    for (rise, deflection, moment) in
        [(0.5, 0.00710, 0.060), (1.0, 0.01286, 0.112), (1.5, 0.01462, 0.128), (2.0, 0.01507, 0.132)]
    {
        let local = Plate::new(1.0 / rise, TopFree, Uniform, 0.3).at(0.5, 1.0);
        near(local.deflection / w * f64::powi(rise, 4), deflection, 8e-5, "free edge, deflection");
        near(local.across / m * f64::powi(rise, 2), moment, 6e-4, "free edge, moment");
    }
    near(Plate::new(1.0, AllEdges, Uniform, 0.3).reactions().bottom_corner, -0.065, 2e-4, "Table 8, corner force");
}

/// The same series summed to 4000 terms by another program, Poisson's ratio 0.22: α and β_x, β_y in the centre, α and
/// β_x in the middle of the top edge, twist β in the bottom and the top corner.
#[test]
fn coefficients_for_glass_agree_with_a_longer_sum() {
    let rows = [
        (AllEdges, Hydrostatic, 0.25, [0.000286, 0.02313, 0.00536, 0.0, 0.0, 0.01680, 0.00305]),
        (AllEdges, Hydrostatic, 0.50, [0.003614, 0.07522, 0.02898, 0.0, 0.0, 0.05501, 0.02232]),
        (AllEdges, Hydrostatic, 1.00, [0.023194, 0.13482, 0.13482, 0.0, 0.0, 0.13075, 0.08642]),
        (AllEdges, Hydrostatic, 1.40, [0.040452, 0.13471, 0.21938, 0.0, 0.0, 0.16178, 0.11653]),
        (AllEdges, Hydrostatic, 2.00, [0.057831, 0.11590, 0.30087, 0.0, 0.0, 0.17734, 0.13199]),
        (AllEdges, Hydrostatic, 4.00, [0.073189, 0.08572, 0.37001, 0.0, 0.0, 0.18142, 0.13606]),
        (TopFree, Hydrostatic, 0.25, [0.000286, 0.02315, 0.00534, 0.000066, 0.00513, 0.01680, 0.00041]),
        (TopFree, Hydrostatic, 0.50, [0.003806, 0.07862, 0.02727, 0.001995, 0.03898, 0.05538, 0.00230]),
        (TopFree, Hydrostatic, 1.00, [0.035642, 0.19218, 0.11676, 0.039915, 0.19375, 0.15653, 0.01657]),
        (TopFree, Hydrostatic, 1.40, [0.093062, 0.26026, 0.19138, 0.131644, 0.32293, 0.24985, 0.07102]),
        (TopFree, Hydrostatic, 2.00, [0.234613, 0.32358, 0.27273, 0.388587, 0.45793, 0.39790, 0.19367]),
        (TopFree, Hydrostatic, 4.00, [1.138502, 0.38177, 0.36261, 2.166253, 0.59433, 0.89839, 0.68315]),
        (AllEdges, Uniform, 1.00, [0.046389, 0.26964, 0.26964, 0.0, 0.0, 0.21717, 0.21717]),
        (AllEdges, Uniform, 1.40, [0.080904, 0.26943, 0.43876, 0.0, 0.0, 0.27830, 0.27830]),
        (AllEdges, Uniform, 2.00, [0.115661, 0.23180, 0.60174, 0.0, 0.0, 0.30933, 0.30933]),
        (AllEdges, Uniform, 4.00, [0.146379, 0.17145, 0.74003, 0.0, 0.0, 0.31748, 0.31748]),
    ];
    for (support, load, aspect, expected) in rows {
        let plate = Plate::new(aspect, support, load, 0.22);
        let (centre, top) = (plate.at(0.5, 0.5), plate.at(0.5, 1.0));
        let corners = [plate.at(0.0, 0.0).twist.abs(), plate.at(0.0, 1.0).twist.abs()];
        let found =
            [centre.deflection, centre.across, centre.upright, top.deflection, top.across, corners[0], corners[1]];
        for (i, (found, expected)) in found.into_iter().zip(expected).enumerate() {
            let digits = if i == 0 || i == 3 { 1.5e-6 } else { 1.2e-5 };
            near(found, expected, digits, &format!("{support:?} {load:?} a/b {aspect}, column {i}"));
        }
    }
}

/// The largest principal stress anywhere and the largest deflection, by the same longer sum.
#[test]
fn the_largest_stress_is_found_wherever_it_is() {
    let rows = [
        (0.25, 0.03051, 0.000371, 0.03051, 0.000371, 0.04625, 0.000572),
        (0.50, 0.08213, 0.003884, 0.08378, 0.003987, 0.15044, 0.007229),
        (0.75, 0.12058, 0.012271, 0.13845, 0.014712, 0.23275, 0.023951),
        (1.00, 0.15382, 0.023457, 0.19720, 0.039915, 0.26964, 0.046389),
        (1.25, 0.20684, 0.034640, 0.27753, 0.089831, 0.38054, 0.068824),
        (1.50, 0.25141, 0.044302, 0.35062, 0.164562, 0.47351, 0.088202),
        (2.00, 0.31315, 0.057999, 0.45793, 0.388587, 0.60174, 0.115661),
        (2.50, 0.34752, 0.065788, 0.55424, 0.706447, 0.67285, 0.131273),
        (3.00, 0.36577, 0.069987, 0.67989, 1.111411, 0.71054, 0.139689),
        (4.00, 0.38006, 0.073326, 0.93025, 2.166253, 0.74003, 0.146379),
    ];
    for (aspect, held, held_bend, open, open_bend, uniform, uniform_bend) in rows {
        for (support, load, beta, alpha) in [
            (AllEdges, Hydrostatic, held, held_bend),
            (TopFree, Hydrostatic, open, open_bend),
            (AllEdges, Uniform, uniform, uniform_bend),
        ] {
            let found = Plate::new(aspect, support, load, 0.22).coefficients();
            near(found.stress, beta, 3e-4 * beta, &format!("{support:?} {load:?} beta at {aspect}"));
            near(found.deflection, alpha, 2e-3 * alpha, &format!("{support:?} {load:?} alpha at {aspect}"));
        }
    }
}

#[test]
fn a_long_open_pane_is_governed_by_twist_and_a_shorter_one_by_its_free_edge() {
    let long = Plate::new(4.0, TopFree, Hydrostatic, 0.22).coefficients();
    near(long.stress, 0.930, 5e-4, "anywhere");
    near(long.top_edge_stress, 0.594, 5e-4, "free edge");
    assert!(long.stress_at.0 < 0.15 && long.stress_at.1 < 0.5, "{long:?}");
    let usual = Plate::new(1.4, TopFree, Hydrostatic, 0.22).coefficients();
    assert!(usual.stress == usual.top_edge_stress, "{usual:?}");
}

/// Roark, 7th ed., Table 11.4 case 2d (figures from memory): its row for tall panes is the series' value at mid-height, well below the
/// largest. Roark's b is the free edge.
#[test]
fn roarks_row_for_tall_open_panes_is_the_stress_at_mid_height() {
    for (tall, published) in [(2.0, 0.32), (2.5, 0.35), (3.0, 0.36), (3.5, 0.37), (4.0, 0.37)] {
        let plate = Plate::new(1.0 / tall, TopFree, Hydrostatic, 0.3);
        let middle = plate.at(0.5, 0.5).principal() * tall * tall;
        near(middle, published, 0.008, "mid-height");
        let largest = plate.coefficients().stress * tall * tall;
        assert!(largest > 1.06 * published, "a/b {tall}: {largest} against {published}");
    }
    let tallest = Plate::new(0.25, TopFree, Hydrostatic, 0.3).coefficients().stress * 16.0;
    near(tallest, 0.492, 2e-3, "a/b 4");
}

#[test]
fn a_held_top_edge_never_raises_stress_or_deflection() {
    for i in 1..=80 {
        let aspect = f64::from(i) * 0.05;
        let open = Plate::new(aspect, TopFree, Hydrostatic, 0.22).coefficients();
        let held = Plate::new(aspect, AllEdges, Hydrostatic, 0.22).coefficients();
        let slack = 1.0 + 1e-4;
        assert!(held.stress <= open.stress * slack && held.deflection <= open.deflection * slack, "a/b {aspect}");
    }
}
