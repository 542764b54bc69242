//! Worked cases. Unless a row says otherwise its numbers were worked by hand from the criterion named above the table.

use std::f64::consts::{FRAC_PI_2, PI};

use rehouse::fit::coil::{coil, coil_envelope};
use rehouse::fit::footprint::{fits, lack, turned, wall_gap};
use rehouse::fit::leaning::lean;
use rehouse::fit::mouth;
use rehouse::units::Length;

use super::sampled::best_slack;
use super::{boxed, carver, mm, rectangle, round, rounded, through};

/// Criterion: W. B. Carver, American Mathematical Monthly 64 (1957) 114–116. Columns: `p`, `q`, `a`, `b`, whether it fits, the least
/// `b` by Carver's expression, and the slack over 200 000 sampled rotations.
#[rustfmt::skip]
const BOXES_IN_RECTANGLES: [(f64, f64, f64, f64, bool, f64, f64); 14] = [
    // J. E. Wetzel, "Rectangles in Rectangles", Mathematics Magazine 73 (2000) 204–211: his counterexample.
    (9.0,   4.0,    8.0,   6.0,   false, 9.7876,   -1.00000),
    (5.0,   1.0,    4.0,   4.0,   false, 4.4575,   -0.24264),
    (20.0,  1.0,    15.0,  15.0,  true,  14.6966,  0.15076),
    (20.0,  1.2132, 15.0,  15.0,  true,  15.0000,  0.00000), // touches
    (20.0,  1.3,    15.0,  15.0,  false, 15.1224,  -0.06137),
    (10.0,  2.0,    10.0,  2.0,   true,  2.0,      0.0),     // equal
    (10.0,  0.0,    8.0,   6.0,   true,  6.0,      0.0),     // a needle on the diagonal
    (10.0,  1e-6,   8.0,   6.0,   false, 6.000001, -7e-7),
    (7.0,   7.0,    7.0,   7.0,   true,  7.0,      0.0),
    (7.01,  7.0,    7.0,   10.0,  true,  7.0,      0.0),     // a quarter turn
    (600.0, 20.0,   500.0, 350.0, false, 364.8237, -6.01),
    (600.0, 20.0,   500.0, 365.0, true,  364.8237, 0.0709),
    (600.0, 100.0,  590.0, 160.0, false, 331.3386, -10.0),
    (300.0, 40.0,   280.0, 150.0, false, 184.2400, -9.89),
];

#[test]
fn boxes_fit_rectangles_by_carvers_criterion() {
    let angles: Vec<_> = (0..=200_000).map(|step| (FRAC_PI_2 * f64::from(step) / 200_000.0).sin_cos()).collect();
    for (p, q, a, b, expected, least_b, slack) in BOXES_IN_RECTANGLES {
        let (body, room) = (boxed(p, q), rectangle(a, b));
        assert_eq!(fits(body, room, true), expected, "{p} × {q} in {a} × {b}");
        assert_eq!(lack(body, room, true) == Length::ZERO, expected, "{p} × {q} in {a} × {b}");
        // The order of the sides does not matter.
        assert_eq!(fits(boxed(q, p), rectangle(a, b), true), expected);
        assert_eq!(fits(boxed(q, p), rectangle(b, a), true), expected);
        let longer = a.max(b);
        if p > longer {
            assert!((carver(p, q, longer) - least_b).abs() < 6e-5, "{p} × {q} in {a}: {}", carver(p, q, longer));
            // If the least `b` exceeds `a`, it is itself the longer side, and the criterion does not apply.
            assert!(least_b + 1e-4 > longer || fits(body, rectangle(longer, least_b + 1e-4), true));
            assert!(least_b > longer || !fits(body, rectangle(longer, least_b - 1e-4), true));
        }
        let sampled = best_slack(body, (a, b), &angles);
        assert!((sampled - slack).abs() < 6e-3 + slack.abs() * 1e-3, "{p} × {q} in {a} × {b}: {sampled}");
        assert!((2.0 * wall_gap(body, room, true).mm() - sampled.max(0.0)).abs() < 5e-3);
    }
}

#[test]
fn only_an_angle_between_quarter_turns_counts_as_turned() {
    for (p, q, a, b, expected) in [
        (20.0, 1.0, 15.0, 15.0, true),
        (600.0, 20.0, 500.0, 365.0, true),
        (7.01, 7.0, 7.0, 10.0, false), // a quarter turn keeps the faces parallel
        (10.0, 2.0, 10.0, 2.0, false),
        (9.0, 4.0, 8.0, 6.0, false), // does not fit at all
    ] {
        assert_eq!(turned(boxed(p, q), rectangle(a, b)), expected, "{p} × {q} in {a} × {b}");
        assert!(!turned(boxed(p, q), round(a)));
    }
    assert!(turned(rounded(100.0, 40.0), rectangle(99.0, 45.0)));
}

/// Criterion: the diagonal of the plan against the bore (elementary). Columns: three sides, bore, height, and which of the sides may be
/// vertical.
#[rustfmt::skip]
#[expect(clippy::approx_constant, reason = "either side of the diagonal of a unit square, on purpose")]
const BOXES_IN_CYLINDERS: [([f64; 3], f64, f64, [bool; 3]); 12] = [
    ([30.0, 40.0, 100.0],  50.0,    100.0, [false, false, true]),
    ([30.0, 40.0, 100.0],  49.99,   100.0, [false, false, false]),
    ([30.0, 40.0, 100.0],  50.0,    99.9,  [false, false, false]),
    ([60.0, 60.0, 60.0],   84.80,   60.0,  [false, false, false]), // 84.853
    ([60.0, 60.0, 60.0],   84.86,   60.0,  [true, true, true]),
    ([200.0, 10.0, 10.0],  201.0,   20.0,  [false, true, true]),   // lies down
    ([200.0, 10.0, 10.0],  200.24,  20.0,  [false, false, false]), // 200.2498
    ([200.0, 10.0, 10.0],  200.25,  9.0,   [false, false, false]), // too low
    ([80.0, 30.0, 20.0],   86.0,    25.0,  [false, false, true]),  // 85.44
    ([80.0, 30.0, 20.0],   40.0,    80.0,  [true, false, false]),  // 36.06
    ([1.0, 1.0, 1.0],      1.4142,  1.0,   [false, false, false]),
    ([1.0, 1.0, 1.0],      1.41422, 1.0,   [true, true, true]),
];

#[test]
fn boxes_fit_upright_in_cylinders_by_their_diagonal() {
    for (sides, bore, height, expected) in BOXES_IN_CYLINDERS {
        for (axis, expected) in expected.into_iter().enumerate() {
            let body = boxed(sides[(axis + 1) % 3], sides[(axis + 2) % 3]);
            let stands = mm(sides[axis]).fits(mm(height)) && fits(body, round(bore), true);
            assert_eq!(stands, expected, "{sides:?} on side {axis} in {bore} × {height}");
            let needed = body.along.mm().hypot(body.across.mm());
            assert!((lack(body, round(bore), true).mm() - (needed - bore).max(0.0)).abs() < 1e-9);
        }
    }
}

/// Criterion: Carver's, in the vertical plane of the tilt, beside the chord that the level side leaves of the bore.
/// Columns: height, side in the plane of the tilt, level side, bore, inner height, whether it leans.
#[rustfmt::skip]
const LEANING_IN_CYLINDERS: [(f64, f64, f64, f64, f64, bool); 13] = [
    (250.0, 10.0,  30.0,  100.0, 240.0, true),
    (250.0, 10.0,  30.0,  100.0, 235.0, false),
    (250.0, 10.0,  30.0,  60.0,  240.0, false),
    (250.0, 10.0,  60.0,  100.0, 245.0, true),  // chord 80
    (250.0, 10.0,  60.0,  100.0, 240.0, false),
    (300.0, 5.0,   5.0,   200.0, 230.0, false), // a body without thickness would: 300 < 304.8
    (300.0, 5.0,   5.0,   200.0, 228.0, false),
    (100.0, 20.0,  90.0,  100.0, 100.0, true),  // upright, touching
    (100.0, 20.0,  100.0, 100.0, 100.0, false), // no chord left
    (100.0, 0.0,   0.0,   80.0,  60.0,  true),  // a needle on the diagonal
    (100.0, 0.001, 0.0,   80.0,  60.0,  false),
    (180.0, 25.0,  40.0,  118.0, 170.0, true),
    (180.0, 25.0,  40.0,  118.0, 160.0, false),
];

#[test]
fn boxes_lean_in_cylinders_by_carvers_criterion() {
    for (tall, thick, level, bore, height, expected) in LEANING_IN_CYLINDERS {
        for body in [boxed(thick, level), boxed(level, thick), rounded(thick, level)] {
            let found = lean(mm(tall), body, round(bore), mm(height));
            assert_eq!(found.is_some(), expected, "{tall} × {thick} × {level} in {bore} × {height}: {found:?}");
            let Some(found) = found else { continue };
            assert!(found.top.mm() <= height + 1e-9);
            // The largest tilt that the chord allows: asin(chord / √(L² + T²)) − atan(T / L), elementary.
            let chord = (bore * bore - level * level).sqrt();
            let most = (chord / tall.hypot(thick)).asin() - thick.atan2(tall);
            assert!(found.tilt_degrees <= most.to_degrees() + 1e-6, "{found:?}, at most {}", most.to_degrees());
        }
    }
}

#[test]
fn the_least_tilt_lets_the_top_touch() {
    // A 3-4-5 triangle: a needle 100 long under 60 leans from 53.13° (cos⁻¹ 0.6); its top touches.
    let needle = lean(mm(100.0), boxed(0.0, 0.0), round(80.0), mm(60.0)).expect("leans");
    assert!((needle.tilt_degrees - 53.130_102).abs() < 1e-6);
    assert_eq!(needle.top, mm(60.0));
    // 250 × 10 under 240: L cos θ + T sin θ = 240 at θ = 18.70705°, by bisection.
    let body = lean(mm(250.0), boxed(10.0, 30.0), round(100.0), mm(240.0)).expect("leans");
    let tilt = body.tilt_degrees.to_radians();
    assert!((250.0 * tilt.cos() + 10.0 * tilt.sin() - 240.0).abs() < 1e-9);
    assert!((body.tilt_degrees - 18.707_050_416).abs() < 1e-8, "{}", body.tilt_degrees);
    // 100 × 5 under 8 would need a run of 100.105 for its top to touch. In a room of 100 it can only lie flat, 5 high; in 100.05 it may
    // rise by 0.64575° (bisection of 100 cos ψ + 5 sin ψ = 100.05).
    let flat = lean(mm(100.0), boxed(5.0, 5.0), rectangle(100.0, 5.0), mm(8.0)).expect("lies");
    assert!((flat.tilt_degrees - 90.0).abs() < 1e-9 && (flat.top.mm() - 5.0).abs() < 1e-9);
    let raised = lean(mm(100.0), boxed(5.0, 5.0), rectangle(100.05, 5.0), mm(8.0)).expect("all but lies");
    assert!((raised.tilt_degrees - (90.0 - 0.645_749_631)).abs() < 1e-8, "{raised:?}");
}

#[test]
fn boxes_lean_in_rectangular_rooms_by_carvers_criterion() {
    // Carver's criterion in the plane of the tilt; the level side must fit the room's other side.
    for (tall, thick, level, room, height, expected) in [
        (250.0, 10.0, 30.0, rectangle(100.0, 30.0), 240.0, true), // tilts along the 100
        (250.0, 10.0, 30.0, rectangle(30.0, 100.0), 240.0, true),
        (250.0, 10.0, 30.0, rectangle(100.0, 29.0), 240.0, false), // the 30 would tilt: needs 130.78
        (250.0, 10.0, 30.0, rectangle(131.0, 29.0), 240.0, true),
        (250.0, 10.0, 30.0, rectangle(60.0, 9.0), 240.0, false),
        (250.0, 10.0, 30.0, rectangle(80.0, 60.0), 240.0, false), // needs 89.65
        (250.0, 10.0, 30.0, rectangle(89.0, 60.0), 240.0, false),
        (250.0, 10.0, 30.0, rectangle(90.0, 60.0), 240.0, true),
        (250.0, 10.0, 30.0, rectangle(90.0, 30.0), 250.0, true), // upright
        (20.0, 95.0, 30.0, rectangle(90.0, 90.0), 80.0, false),  // low enough, too broad: does not lean
    ] {
        let found = lean(mm(tall), boxed(thick, level), room, mm(height));
        assert_eq!(found.is_some(), expected, "{tall} × {thick} × {level} in {room:?} × {height}: {found:?}");
    }
}

/// Criterion: `B ≤ min(W, H)` and `A² + B² ≤ W² + H²` (elementary: the director circle). Columns: axes, sides, whether it fits.
#[rustfmt::skip]
const ELLIPSES_IN_RECTANGLES: [(f64, f64, f64, f64, bool); 11] = [
    (100.0, 40.0, 100.0,  40.0,   true),
    (100.0, 40.0, 99.0,   45.0,   true),
    (100.0, 40.0, 80.0,   72.0,   false),
    (100.0, 40.0, 76.158, 76.158, true),
    (100.0, 40.0, 76.1,   76.2,   false),
    (50.0,  50.0, 50.0,   60.0,   true),
    (50.0,  50.0, 49.9,   80.0,   false),
    (100.0, 0.0,  60.0,   80.0,   true),
    (100.0, 60.0, 59.0,   110.0,  false),
    (120.0, 30.0, 90.0,   84.85,  false),
    (120.0, 30.0, 90.0,   84.9,   true),
];

/// Criterion: one axis level and no longer than the bore, the other two as an ellipse in bore × height. Columns: axes, bore, height,
/// whether it fits.
#[rustfmt::skip]
const ELLIPSOIDS_IN_CYLINDERS: [([f64; 3], f64, f64, bool); 7] = [
    ([120.0, 60.0, 50.0], 60.0,  120.0, true),
    ([120.0, 60.0, 50.0], 59.0,  125.0, false),
    ([120.0, 60.0, 50.0], 100.0, 89.0,  true),
    ([120.0, 80.0, 20.0], 80.0,  120.0, true),
    ([120.0, 80.0, 20.0], 79.9,  121.0, false),
    ([60.0, 60.0, 60.0],  60.0,  60.0,  true),
    ([60.0, 60.0, 60.0],  59.9,  60.0,  false),
];

#[test]
fn ellipses_fit_rectangles_by_the_director_circle() {
    for (p, q, a, b, expected) in ELLIPSES_IN_RECTANGLES {
        assert_eq!(fits(rounded(p, q), rectangle(a, b), true), expected, "{p} × {q} in {a} × {b}");
        assert_eq!(fits(rounded(q, p), rectangle(b, a), true), expected);
        assert_eq!(lack(rounded(p, q), rectangle(a, b), true) == Length::ZERO, expected);
    }
}

#[test]
fn ellipsoids_fit_cylinders_with_one_axis_level() {
    for (axes, bore, height, expected) in ELLIPSOIDS_IN_CYLINDERS {
        let goes_in = (0..3).any(|level| {
            let side = rounded(axes[(level + 1) % 3], axes[(level + 2) % 3]);
            mm(axes[level]).fits(mm(bore)) && fits(side, rectangle(bore, height), true)
        });
        assert_eq!(goes_in, expected, "{axes:?} in {bore} × {height}");
        // Leaning uses the bounding box of a rounded body, so it never accepts what the ellipsoid cannot do.
        let leans = (0..3).any(|axis| {
            let plan = rounded(axes[(axis + 1) % 3], axes[(axis + 2) % 3]);
            lean(mm(axes[axis]), plan, round(bore), mm(height)).is_some()
        });
        assert!(!leans || expected, "{axes:?} in {bore} × {height}");
    }
}

#[test]
fn circles_and_ellipses_fit_round_rooms_by_their_larger_axis() {
    for (p, q, bore, expected) in
        [(50.0, 50.0, 50.0, true), (50.0, 50.0, 49.9, false), (30.0, 40.0, 40.0, true), (30.0, 40.0, 39.9, false)]
    {
        assert_eq!(fits(rounded(p, q), round(bore), true), expected, "{p} × {q} in {bore}");
        assert!((lack(rounded(p, q), round(bore), true).mm() - (p.max(q) - bore).max(0.0)).abs() < 1e-9);
    }
}

#[test]
fn sections_pass_mouths_by_diagonal_larger_axis_or_plan_test() {
    // Criterion: diagonal of a box, larger axis of a rounded section, against the bore (elementary).
    for (w, t, bore, expected) in [
        (30.0, 40.0, 50.0, true),
        (30.0, 40.0, 49.9, false),
        (20.0, 20.0, 28.28, false), // 28.284
        (20.0, 20.0, 28.29, true),
        (25.0, 1.0, 25.0, false), // 25.02
        (25.0, 1.0, 25.02, true),
    ] {
        let section = boxed(w, t);
        assert_eq!(through(section, round(bore)) == Length::ZERO, expected, "{w} × {t} through {bore}");
        let over = mouth::measure(section, round(bore)).mm() - bore;
        assert!((through(section, round(bore)).mm() - over.max(0.0)).abs() < 1e-9);
        // An elliptic section passes exactly where its larger axis does, and always where its bounding box does.
        assert_eq!(through(rounded(w, t), round(bore)) == Length::ZERO, w.max(t) <= bore);
        assert_eq!(mouth::measure(rounded(w, t), round(bore)), mm(w.max(t)));
    }
    // Rectangular mouths: the plan test with turning; the clearance is computed from the larger side.
    assert_eq!(mouth::measure(boxed(30.0, 40.0), rectangle(90.0, 20.0)), mm(40.0));
    assert_eq!(through(boxed(20.0, 1.0), rectangle(15.0, 15.0)), Length::ZERO);
    assert_eq!(through(boxed(40.0, 30.0), rectangle(40.0, 28.0)), mm(2.0));
}

/// Tilt in a neck. Columns: thickness, bore and neck in mm, tilt in degrees to a hundredth (worked from the criterion, elementary).
const TILTS: [(f64, f64, f64, Option<f64>); 10] = [
    (10.0, 45.0, 25.0, Some(49.74)),
    (10.0, 45.0, 0.0, Some(77.16)),
    (30.0, 45.0, 25.0, Some(25.30)),
    (44.0, 45.0, 25.0, Some(2.22)),
    (45.0, 45.0, 25.0, Some(0.0)),
    (46.0, 45.0, 25.0, None),
    (5.0, 70.0, 20.0, Some(70.12)),
    (20.0, 28.0, 30.0, Some(13.86)),
    (0.0, 30.0, 30.0, Some(45.0)),
    (10.0, 10.0, 0.0, Some(0.0)),
];

#[test]
fn bodies_tilt_in_necks_by_the_angles_worked_out() {
    for (thickness, bore, neck, degrees) in TILTS {
        let tilt = mouth::most_tilt(mm(thickness), mm(bore), mm(neck));
        assert_eq!(tilt.map(|tilt| (tilt * 100.0).round() / 100.0), degrees, "{thickness} in {bore} × {neck}");
        // The slab touches both rims at that tilt: at a little less it passes, at a little more it does not.
        let passes = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            thickness + neck * sin <= bore * cos + 1e-12
        };
        if let Some(tilt) = tilt.filter(|tilt| *tilt > 0.0) {
            assert!(passes(tilt - 0.01) && !passes(tilt + 0.01), "{thickness} in {bore} × {neck}");
        }
    }
}

#[test]
fn lacks_are_those_worked_out_by_hand() {
    for (body, room, may_turn, expected) in [
        (boxed(60.0, 80.0), round(95.0), true, 5.0), // diagonal 100
        (rounded(60.0, 80.0), round(75.0), true, 5.0),
        (boxed(600.0, 20.0), rectangle(500.0, 350.0), true, 100.0), // turning does not save it
        (boxed(600.0, 20.0), rectangle(500.0, 365.0), true, 0.0),   // turning does
        (boxed(600.0, 20.0), rectangle(500.0, 365.0), false, 100.0),
        (boxed(20.0, 30.0), rectangle(30.0, 15.0), true, 5.0),
        (boxed(20.0, 35.0), rectangle(30.0, 12.0), true, 8.0), // both sides short: the larger lack
        (rounded(100.0, 40.0), rectangle(80.0, 72.0), true, 20.0),
    ] {
        assert_eq!(lack(body, room, may_turn), mm(expected), "{body:?} in {room:?}");
    }
}

#[test]
fn coils_are_those_worked_out_by_hand() {
    // Thickness 10 in a width of 50: mean diameter 40, core 30 = three thicknesses; a length of two turns is 80 π.
    let snug = coil(mm(80.0 * PI), mm(10.0), mm(50.0), 3.0).expect("fits");
    assert_eq!((snug.mean_diameter, snug.core), (mm(40.0), mm(30.0)));
    assert!((snug.turns - 2.0).abs() < 1e-12 && (snug.height.mm() - 30.0).abs() < 1e-9);
    // Half a millimetre narrower, the core is too tight by the same half millimetre.
    assert_eq!(coil(mm(80.0 * PI), mm(10.0), mm(49.5), 3.0), Err(mm(0.5)));
    // Wider, the coil is flatter. Thickness 12 in 92, a length of 800: d = 80, 800 / 80 π = 3.1831 turns, 50.197 high.
    let wide = coil(mm(800.0), mm(12.0), mm(92.0), 3.0).expect("fits");
    assert!((wide.turns - 3.183_098_862).abs() < 1e-9 && (wide.height.mm() - 50.197_186).abs() < 1e-6);
    // No width, or no thickness: a lack or a coil, never a division by zero.
    assert_eq!(coil(mm(800.0), mm(12.0), Length::ZERO, 3.0), Err(mm(60.0)));
    assert!(coil(mm(800.0), Length::ZERO, Length::ZERO, 3.0).is_err_and(|lack| lack > Length::ZERO));
    assert_eq!(coil(mm(800.0), Length::ZERO, mm(50.0), 3.0).expect("fits").height, Length::ZERO);
}

#[test]
fn the_box_of_a_coil_holds_its_tightest_coil() {
    for (length, thick) in [(900.0, 18.0), (250.0, 6.0), (40.0, 10.0)] {
        let envelope = coil_envelope(mm(length), mm(thick));
        let tightest = coil(mm(length), mm(thick), envelope.width, 3.0).expect("fits");
        assert_eq!((envelope.length, envelope.width), (mm(5.0 * thick), mm(5.0 * thick)));
        assert!((envelope.height.mm() - tightest.height.mm()).abs() < 1e-9);
        assert!((envelope.height.mm() - thick * (1.0 + length / (4.0 * PI * thick))).abs() < 1e-9);
    }
    assert!(coil_envelope(mm(900.0), Length::ZERO).height.mm().is_finite());
}
