//! Laws that hold for every body and room.

use rehouse::collection::Outline;
use rehouse::fit::coil::coil;
use rehouse::fit::footprint::{Footprint, fits, lack, turned, wall_gap};
use rehouse::fit::leaning::lean;
use rehouse::stock::Section;
use rehouse::units::{Length, TOUCH_MM};

use crate::random::Random;

use super::{boxed, carver, mm, rectangle, round, rounded, through};

/// The room with every measure longer by `amount`.
fn wider(room: Section, amount: f64) -> Section {
    match room {
        Section::Round(bore) => Section::Round(bore + mm(amount)),
        Section::Rectangular(length, width) => Section::Rectangular(length + mm(amount), width + mm(amount)),
    }
}

/// `count` random bodies and rooms, turning allowed or not.
fn random_cases(seed: u64, count: usize) -> impl Iterator<Item = (Footprint, Section, bool)> {
    let mut random = Random(seed);
    (0..count).map(move |_| (random.body(), random.room(), random.next().is_multiple_of(2)))
}

/// Four conditions that are necessary for one rectangle to fit into another, and two that are sufficient for one no thicker than the
/// other; from J. E. Wetzel, "Rectangles in Rectangles", Mathematics Magazine 73 (2000) 204–211.
#[test]
fn wetzels_conditions_hold() {
    let necessary = |p: f64, q: f64, a: f64, b: f64| {
        let slack = 1e-6;
        p * q <= a * b + slack
            && p * p + q * q <= a * a + b * b + slack
            && p + q <= a + b + slack
            && p.min(q) <= a.min(b) + slack
    };
    let enough = |p: f64, q: f64, a: f64, b: f64| p.min(q) <= a.min(b) && (p.max(q) <= a.max(b) || p + q <= a.hypot(b));
    let mut random = Random(11);
    let (mut fitting, mut enough_turned) = (0, 0);
    for _ in 0..6000 {
        let [p, q, a, b] = [10.0, 6.0, 10.0, 10.0].map(|most| random.uniform(0.2, most));
        let (body, room) = (boxed(p, q), rectangle(a, b));
        if fits(body, room, true) {
            fitting += 1;
            assert!(necessary(p, q, a, b), "{p} × {q} in {a} × {b}");
        }
        if enough(p, q, a, b) {
            enough_turned += usize::from(turned(body, room));
            assert!(fits(body, room, true), "{p} × {q} in {a} × {b}");
        }
    }
    assert!(fitting > 2000 && enough_turned > 20, "{fitting}, {enough_turned}");
    // His counterexample meets all four necessary conditions and still does not fit.
    assert!(necessary(9.0, 4.0, 8.0, 6.0) && !fits(boxed(9.0, 4.0), rectangle(8.0, 6.0), true));
}

/// The criterion in the form of W. B. Carver, American Mathematical Monthly 64 (1957) 114–116.
#[test]
fn carvers_own_form_gives_the_same_answer() {
    let mut random = Random(12);
    let mut only_turned = 0;
    for _ in 0..20_000 {
        let (p, a) = (random.uniform(0.5, 10.0), random.uniform(0.5, 10.0));
        let (q, b) = (random.uniform(0.0, p * 0.4), random.uniform(0.0, a));
        let printed = q <= b && (p <= a || b >= carver(p, q, a));
        let near = p > a && (b - carver(p, q, a)).abs() < 1e-6;
        assert!(near || fits(boxed(p, q), rectangle(a, b), true) == printed, "{p} × {q} in {a} × {b}");
        only_turned += usize::from(printed && p > a);
    }
    assert!(only_turned > 300, "{only_turned}");
}

#[test]
fn a_wider_room_never_stops_fitting_and_lacks_no_more() {
    let mut random = Random(13);
    for (body, room, may_turn) in random_cases(14, 6000) {
        let (one, other) = (random.uniform(0.0, 2.0), random.uniform(0.0, 0.5));
        let larger = match room {
            Section::Round(bore) => Section::Round(bore + mm(one)),
            Section::Rectangular(length, width) => Section::Rectangular(length + mm(one), width + mm(other)),
        };
        assert!(!fits(body, room, may_turn) || fits(body, larger, may_turn), "{body:?}: {room:?}, {larger:?}");
        assert!(lack(body, larger, may_turn) <= lack(body, room, may_turn), "{body:?}: {room:?}, {larger:?}");
        assert!(
            wall_gap(body, larger, may_turn) >= wall_gap(body, room, may_turn).less(mm(1e-9)),
            "{body:?}: {room:?}"
        );
        assert!(through(body, larger) <= through(body, room));
    }
}

#[test]
fn nothing_is_lacking_exactly_where_it_fits() {
    let mut fitting = 0;
    for (body, room, may_turn) in random_cases(15, 6000) {
        let lacking = lack(body, room, may_turn);
        assert_eq!(lacking == Length::ZERO, fits(body, room, may_turn), "{body:?} in {room:?}");
        assert!(fits(body, wider(room, lacking.mm()), may_turn), "{body:?} in {room:?} grown by {lacking:?}");
        assert_eq!(through(body, room) == Length::ZERO, fits(body, room, true));
        assert!(!fits(body, room, false) || fits(body, room, true), "turning is a freedom, not a duty");
        fitting += usize::from(lacking == Length::ZERO);
    }
    assert!((1500..4500).contains(&fitting), "{fitting}");
}

#[test]
fn the_wall_gap_is_the_most_that_may_come_off_the_walls() {
    for (body, room, may_turn) in random_cases(16, 6000) {
        let gap = wall_gap(body, room, may_turn);
        if !fits(body, room, may_turn) {
            assert_eq!(gap, Length::ZERO);
            continue;
        }
        assert!(fits(body, room.less(gap * 2.0), may_turn), "{body:?} in {room:?} less {gap:?}");
        assert!(!fits(body, room.less((gap + mm(1e-6)) * 2.0), may_turn), "{body:?} in {room:?} less {gap:?}");
    }
}

/// Own derivation: in Wetzel's form the turned body needs less than the parallel one only if `p > (1 + √2) q`.
#[test]
fn a_box_less_than_two_and_a_half_times_as_long_as_wide_gains_nothing_by_turning() {
    let mut random = Random(17);
    for _ in 0..6000 {
        let q = random.uniform(0.5, 5.0);
        let body = boxed(q * random.uniform(1.0, 2.414), q);
        let room = rectangle(random.uniform(0.5, 12.0), random.uniform(0.5, 12.0));
        assert!(!turned(body, room), "{body:?} in {room:?}");
    }
    // Just above that ratio some room takes the body only turned: a square slightly smaller than its length.
    assert!(turned(boxed(2.43, 1.0), rectangle(2.428, 2.428)));
}

#[test]
fn touching_fits_and_a_thousandth_of_a_micron_more_does_not() {
    for (body, room) in [
        (boxed(30.0, 40.0), round(50.0)),
        (rounded(30.0, 40.0), round(40.0)),
        (boxed(30.0, 40.0), rectangle(40.0, 30.0)),
        (boxed(10.0, 0.0), rectangle(8.0, 6.0)),
        (rounded(100.0, 0.0), rectangle(60.0, 80.0)),
    ] {
        assert!(fits(body, room, true) && wall_gap(body, room, true).mm() < TOUCH_MM, "{body:?} in {room:?}");
        assert!(!fits(body, room.less(mm(1e-6)), true), "{body:?} in {room:?}");
    }
    assert!(fits(boxed(0.1 + 0.2, 0.1), rectangle(0.3, 0.1), false), "rounding of a sum is no lack");
}

#[test]
fn bodies_and_rooms_without_extent_give_numbers() {
    let sizes = [0.0, 1e-300, 1e-9, 1.0, 1e9, 1e300];
    for p in sizes {
        for q in sizes {
            for a in sizes {
                for room in sizes.map(|b| rectangle(a, b)).into_iter().chain([round(a)]) {
                    for outline in [Outline::Box, Outline::Rounded] {
                        let body = Footprint { outline, along: mm(p), across: mm(q) };
                        for may_turn in [false, true] {
                            let lacking = lack(body, room, may_turn).mm();
                            assert!(lacking.is_finite() && wall_gap(body, room, may_turn).mm().is_finite());
                            assert_eq!(lacking == 0.0, fits(body, room, may_turn), "{body:?} in {room:?}");
                        }
                        for height in sizes {
                            let Some(lean) = lean(mm(1e9), body, room, mm(height)) else { continue };
                            assert!((0.0..=90.0).contains(&lean.tilt_degrees), "{body:?} in {room:?}: {lean:?}");
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn the_answer_does_not_depend_on_the_scale() {
    for (body, room, may_turn) in random_cases(18, 2000) {
        // Powers of two, so that scaling does not round: even a case that all but touches must keep its answer.
        for scale in [0.125, 512.0] {
            let larger = Footprint { along: body.along * scale, across: body.across * scale, ..body };
            let roomier = match room {
                Section::Round(bore) => Section::Round(bore * scale),
                Section::Rectangular(length, width) => Section::Rectangular(length * scale, width * scale),
            };
            assert_eq!(fits(larger, roomier, may_turn), fits(body, room, may_turn), "{body:?} in {room:?}");
            let gap = wall_gap(body, room, may_turn).mm() * scale;
            assert!((wall_gap(larger, roomier, may_turn).mm() - gap).abs() < 1e-9 * scale.max(1.0));
        }
    }
}

#[test]
fn a_higher_or_wider_room_leans_no_more() {
    let mut random = Random(19);
    let mut leaning = 0;
    for _ in 0..6000 {
        let tall = random.uniform(3.0, 10.0);
        let body = boxed(random.uniform(0.0, 3.0), random.uniform(0.0, 3.0));
        let (room, height) = (random.room(), tall * random.uniform(0.5, 0.99));
        let Some(first) = lean(mm(tall), body, room, mm(height)) else { continue };
        leaning += 1;
        assert!(first.tilt_degrees > 0.0 && first.tilt_degrees <= 90.0 && first.top.mm() <= height + TOUCH_MM);
        let roomier = lean(mm(tall), body, wider(room, random.uniform(0.0, 2.0)), mm(height)).expect("still leans");
        assert!(roomier.tilt_degrees <= first.tilt_degrees + 1e-9);
        let higher = lean(mm(tall), body, room, mm(height + random.uniform(0.0, 0.01) * tall)).expect("still leans");
        assert!(higher.tilt_degrees <= first.tilt_degrees + 1e-9);
        let ellipse = Footprint { outline: Outline::Rounded, ..body };
        assert_eq!(lean(mm(tall), ellipse, room, mm(height)), Some(first), "a rounded body leans as its box does");
    }
    assert!(leaning > 1000, "{leaning}");
}

#[test]
fn a_rounded_body_goes_wherever_the_box_round_it_goes() {
    for (body, room, may_turn) in random_cases(20, 4000) {
        let (p, q) = (body.along.mm(), body.across.mm());
        assert!(!fits(boxed(p, q), room, may_turn) || fits(rounded(p, q), room, may_turn), "{p} × {q} in {room:?}");
    }
}

#[test]
fn a_coil_fits_from_one_width_on_and_only_gets_lower() {
    let mut random = Random(21);
    for _ in 0..2000 {
        let (length, thick) = (mm(random.uniform(50.0, 2000.0)), random.uniform(2.0, 40.0));
        let (least_core, width) = (random.uniform(1.0, 5.0), random.uniform(10.0, 300.0));
        let coil_in = |width: f64| coil(length, mm(thick), mm(width), least_core);
        match coil_in(width) {
            Ok(found) => {
                assert!(found.core.mm() >= least_core * thick - 2.0 * TOUCH_MM);
                assert!((found.core.mm() + 2.0 * thick - width).abs() < 1e-9);
                let roomier = coil_in(width + 5.0).expect("a wider room still takes it");
                assert!(roomier.height < found.height && roomier.turns < found.turns);
            }
            Err(lacking) => {
                assert!(lacking > Length::ZERO && coil_in(width + lacking.mm()).is_ok());
                assert!(coil_in(width + lacking.mm() * 0.999).is_err());
            }
        }
    }
}
