//! Rotations tried one by one, without a formula: corners and points of the outline are rotated and measured.
//!
//! A sampled rotation that fits is a proof. If none fits, the sample may have missed the best angle by half a step, so a disagreement
//! counts only beyond the distance by which half a step can move a corner.

use std::f64::consts::{FRAC_PI_2, PI};

use rehouse::collection::Outline;
use rehouse::fit::footprint::{Footprint, fits, wall_gap};
use rehouse::fit::leaning::lean;
use rehouse::stock::Section;

use crate::random::Random;

use super::{boxed, carver, mm, rectangle, round, rounded};

/// Sine and cosine of `steps` angles from 0° to 90°.
fn quarter_turn(steps: usize) -> Vec<(f64, f64)> {
    (0..=steps).map(|step| (FRAC_PI_2 * step as f64 / steps as f64).sin_cos()).collect()
}

/// Points whose convex hull is the plan, centred at the origin: corners, or points on the ellipse.
fn points(body: Footprint) -> Vec<(f64, f64)> {
    let (a, b) = (body.along.mm() / 2.0, body.across.mm() / 2.0);
    match body.outline {
        Outline::Box => vec![(a, b), (a, -b), (-a, b), (-a, -b)],
        Outline::Rounded => (0..240)
            .map(|step| (PI * f64::from(step) / 120.0).sin_cos())
            .map(|(sine, cosine)| (a * cosine, b * sine))
            .collect(),
    }
}

/// The largest amount, over the angles, by which both sides of a rectangle could shrink (below zero: they must grow).
pub fn best_slack(body: Footprint, (length, width): (f64, f64), angles: &[(f64, f64)]) -> f64 {
    let points = points(body);
    let slack = |&(sine, cosine): &(f64, f64)| {
        // Every plan here is symmetric about its centre, so the reach one way is the reach the other way.
        let (mut x, mut y) = (0.0f64, 0.0f64);
        for &(u, v) in &points {
            x = x.max(u * cosine - v * sine);
            y = y.max(u * sine + v * cosine);
        }
        (length - 2.0 * x).min(width - 2.0 * y)
    };
    angles.iter().map(slack).fold(f64::NEG_INFINITY, f64::max)
}

/// A random body, and a room that is random or within 2 % of Carver's criterion.
fn rectangles(random: &mut Random) -> (f64, f64, f64, f64) {
    let (one, other) = (random.uniform(0.5, 10.0), random.uniform(0.5, 10.0));
    if random.next().is_multiple_of(2) {
        return (one, other, random.uniform(0.5, 10.0), random.uniform(0.5, 10.0));
    }
    let (p, q) = (one.max(other), one.min(other) * 0.3);
    let a = random.uniform(p * 0.72, p);
    (p, q, a, carver(p, q, a) * random.uniform(0.98, 1.02))
}

#[test]
fn turned_boxes_agree_with_sampled_rotations() {
    let (mut random, angles) = (Random(1), quarter_turn(8000));
    let (mut undecided, mut only_turned) = (0, 0);
    for _ in 0..2500 {
        let (p, q, a, b) = rectangles(&mut random);
        let (body, room) = (boxed(p, q), rectangle(a, b));
        let sampled = best_slack(body, (a, b), &angles);
        let missed = p.hypot(q) * FRAC_PI_2 / 8000.0 / 2.0;
        undecided += usize::from(sampled < 0.0 && sampled > -missed);
        only_turned += usize::from(sampled >= 0.0 && !fits(body, room, false));
        match sampled {
            slack if slack >= 0.0 => assert!(fits(body, room, true), "{p} × {q} does go into {a} × {b}"),
            slack if slack <= -missed => assert!(!fits(body, room, true), "{p} × {q} does not go into {a} × {b}"),
            _ => {}
        }
        let gap = 2.0 * wall_gap(body, room, true).mm();
        assert!(gap >= sampled.max(0.0) - 1e-9 && gap <= (sampled + missed).max(0.0), "{p} × {q}, {a} × {b}: {gap}");
    }
    assert!(only_turned > 300 && undecided < 60, "{only_turned} fit only turned, {undecided} too close to call");
}

#[test]
fn turned_ellipses_agree_with_sampled_rotations() {
    let (mut random, angles) = (Random(2), quarter_turn(500));
    let (mut undecided, mut only_turned) = (0, 0);
    for case in 0..2000 {
        let (p, q, a) = (random.uniform(0.5, 10.0), random.uniform(0.5, 10.0), random.uniform(0.5, 10.0));
        // Half of the rooms have nearly the diagonal of the ellipse's bounding box.
        let near = (p * p + q * q - a * a).max(0.25).sqrt() * random.uniform(0.97, 1.03);
        let b = if case % 2 == 0 { near } else { random.uniform(0.5, 10.0) };
        let (body, room) = (rounded(p, q), rectangle(a, b));
        let sampled = best_slack(body, (a, b), &angles);
        // The polygon of 240 points reaches less far than the ellipse by at most this share of its axis.
        let inside = p.max(q) * (1.0 - (PI / 240.0).cos());
        let missed = p.max(q) * FRAC_PI_2 / 500.0 / 2.0;
        undecided += usize::from(sampled < inside && sampled > -missed);
        only_turned += usize::from(sampled >= inside && !fits(body, room, false));
        match sampled {
            slack if slack >= inside => assert!(fits(body, room, true), "{p} × {q} does go into {a} × {b}"),
            slack if slack <= -missed => assert!(!fits(body, room, true), "{p} × {q} does not go into {a} × {b}"),
            _ => {}
        }
        let gap = 2.0 * wall_gap(body, room, true).mm();
        assert!(gap >= sampled - inside && gap <= (sampled + missed).max(0.0), "{p} × {q}, {a} × {b}: {gap}");
    }
    assert!(only_turned > 150 && undecided < 100, "{only_turned} fit only turned, {undecided} too close to call");
}

#[test]
fn plans_in_round_rooms_agree_with_the_reach_of_their_outline() {
    let mut random = Random(3);
    let mut fitting = 0;
    for _ in 0..2000 {
        let (body, bore) = (random.body(), random.uniform(0.5, 14.0));
        let reach = points(body).into_iter().map(|(x, y)| x.hypot(y)).fold(0.0, f64::max);
        assert_eq!(fits(body, round(bore), true), 2.0 * reach <= bore, "{body:?} in {bore}");
        fitting += usize::from(2.0 * reach <= bore);
    }
    assert!((500..1500).contains(&fitting));
}

/// A box tilted about the axis along its level side: the diameter of the circle and the two sides of the rectangle round the plan of its
/// eight corners, and the height.
fn tilted(tall: f64, thick: f64, level: f64, (sine, cosine): (f64, f64)) -> (f64, [f64; 2], f64) {
    let (mut circle, mut sides, mut height) = (0.0f64, [0.0f64; 2], 0.0f64);
    for corner in 0..8 {
        let half = |bit: usize, side: f64| if corner >> bit & 1 == 0 { -side / 2.0 } else { side / 2.0 };
        let (x, y, z) = (half(0, thick), half(1, level), half(2, tall));
        let (x, z) = (x * cosine + z * sine, z * cosine - x * sine);
        circle = circle.max(2.0 * x.hypot(y));
        sides = [sides[0].max(2.0 * x), sides[1].max(2.0 * y)];
        height = height.max(2.0 * z);
    }
    (circle, sides, height)
}

/// The least tilt in degrees, of `steps` over a quarter turn and with either side of the plan level, at which the box fits into the room
/// with every measure of the room larger by `give`.
fn least_sampled_tilt(sizes: (f64, f64, f64), room: Section, height: f64, give: f64, steps: usize) -> Option<f64> {
    let (tall, one, other) = sizes;
    let angles = quarter_turn(steps);
    let goes_in = |&(_, angle): &(usize, &(f64, f64))| {
        [(one, other), (other, one)].into_iter().any(|(thick, level)| {
            let (circle, [x, y], top) = tilted(tall, thick, level, *angle);
            let inside = match room {
                Section::Round(bore) => circle <= bore.mm() + give,
                Section::Rectangular(a, b) => {
                    let (a, b) = (a.mm() + give, b.mm() + give);
                    (x <= a && y <= b) || (x <= b && y <= a)
                }
            };
            inside && top <= height + give
        })
    };
    angles.iter().enumerate().find(goes_in).map(|(step, _)| 90.0 * step as f64 / steps as f64)
}

#[test]
fn leaning_boxes_agree_with_sampled_tilts_of_their_corners() {
    const STEPS: usize = 3000;
    let mut random = Random(4);
    let (mut leaning, mut nearly_lying, mut undecided) = (0, 0, 0);
    for case in 0..crate::support::sampled(3000) {
        let tall = random.uniform(3.0, 10.0);
        let sizes = (tall, random.uniform(0.1, 3.0), random.uniform(0.1, 3.0));
        let height = tall * random.uniform(0.2, 0.999);
        let (one, other) = (random.uniform(1.0, 9.0), random.uniform(1.0, 9.0));
        let room = if case % 2 == 0 { round(one) } else { rectangle(one, other) };
        let found = lean(mm(tall), boxed(sizes.1, sizes.2), room, mm(height));
        // Half a step moves no corner, and changes no measure that the box needs, by more than this.
        let missed = tall.hypot(sizes.1.max(sizes.2)) * FRAC_PI_2 / STEPS as f64 / 2.0;
        let surely = least_sampled_tilt(sizes, room, height, 0.0, STEPS);
        let perhaps = least_sampled_tilt(sizes, room, height, missed, STEPS);
        match (surely, perhaps, found) {
            (Some(tilt), _, Some(lean)) => {
                leaning += 1;
                nearly_lying += usize::from(lean.top.mm() < height - 1e-3);
                let step = 90.0 / STEPS as f64;
                assert!(lean.tilt_degrees <= tilt + 1e-9, "{sizes:?} {room:?} {height}: {lean:?}, sampled {tilt}");
                let least = perhaps.expect("looser than surely") - step;
                assert!(lean.tilt_degrees >= least, "{sizes:?} {room:?} {height}: {lean:?}, at least {least}");
                assert!(lean.top.mm() <= height + 1e-9);
            }
            (Some(tilt), _, None) => panic!("{sizes:?} leans at {tilt} in {room:?} × {height}"),
            (None, None, Some(lean)) => panic!("{sizes:?} does not lean in {room:?} × {height}: {lean:?}"),
            (None, Some(_), _) => undecided += 1,
            (None, None, None) => {}
        }
    }
    assert!(
        !crate::support::tries_all() || nearly_lying > 20,
        "{nearly_lying} are kept down by the run and not by the height"
    );
    assert!(
        !crate::support::tries_all() || leaning > 500 && undecided < 60,
        "{leaning} lean, {undecided} too close to call"
    );
}

#[test]
fn at_the_least_tilt_the_box_fits_and_a_little_before_it_does_not() {
    let mut random = Random(5);
    let mut leaning = 0;
    for _ in 0..4000 {
        let (tall, thick, level) = (random.uniform(3.0, 10.0), random.uniform(0.0, 2.0), random.uniform(2.0, 4.0));
        let (bore, height) = (random.uniform(4.0, 11.0), tall * random.uniform(0.5, 0.999));
        let Some(lean) = lean(mm(tall), boxed(thick, level), round(bore), mm(height)) else { continue };
        leaning += 1;
        let at = |degrees: f64| {
            [(thick, level), (level, thick)].map(|(thick, level)| {
                let (circle, _, top) = tilted(tall, thick, level, degrees.to_radians().sin_cos());
                (circle - bore).max(top - height)
            })
        };
        let [one, other] = at(lean.tilt_degrees);
        assert!(one.min(other) <= 1e-9, "{lean:?} for {tall} {thick} {level} in {bore} × {height}");
        let before = lean.tilt_degrees - 1e-4;
        assert!(
            at(before).into_iter().all(|over| over > 0.0),
            "{tall} {thick} {level} in {bore} × {height} by {before}"
        );
    }
    assert!(leaning > 500, "{leaning}");
}
