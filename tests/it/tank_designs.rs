//! Whole tanks: nine worked examples computed by another program from the same theory (walls on base, filled to the brim, Poisson's
//! ratio 0.22, 70 GPa, 5 MPa, span / 200, least thickness 4 mm), laws between tanks, and refusals.

use proptest::prelude::*;
use rehouse::settings::glass::{BaseSupport, SeamLimit, TopEdge, WallsAndBase};
use rehouse::settings::{Factor, Settings};
use rehouse::tank::design::{Demand, Design, Footing, Top, design};
use rehouse::tank::glass::counted_on;
use rehouse::tank::limits::{Limit, TankRemedy};
use rehouse::tank::panes::{PaneKind, Piece};
use rehouse::tank::plate::{Load, Pane, Plate, Support};
use rehouse::tank::remarks::warnings;
use rehouse::tank::seams::{self, SeamClass};
use rehouse::units::{Density, Length, Money, Pressure};
use rehouse::words::tank::refusals::remedy;
use rehouse::words::tank::warnings::warning;

fn mm(length: f64) -> Length {
    Length::new(length).unwrap()
}

fn demand(sides: [f64; 3], g_ml: f64) -> Demand {
    let density = Density::new(g_ml * 1000.0).unwrap();
    let [length, width, height] = sides.map(mm);
    Demand { length, width, height, density, coldest: density, opening: None }
}

/// Walls on base, no brace; joint width and limit as in the worked examples, no hand load on the lid.
fn plain() -> Settings {
    Settings {
        tank_brace: false,
        walls_and_base: WallsAndBase::OnBase,
        least_bite: mm(4.0),
        hand_load: Factor(0.0),
        seam_limit: SeamLimit(Pressure::new(0.14).unwrap()),
        ..Settings::default()
    }
}

fn lidded() -> Settings {
    Settings { lid_supports_walls: true, ..plain() }
}

fn near(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found} is not {expected} to {tolerance}");
}

type Worked = ([f64; 3], f64, f64, [f64; 3], [f64; 8]);

/// Columns: clear size, density, pressure at the bottom in kPa; wall with a free rim and with a lid that holds it, base on its edges under
/// a free rim; mass of the glass and of the full tank, seam in m without and with the lid's, joint and fillet in ml, stress of the upright
/// and the bottom seams in MPa. The other program neglects the weight of the base: with it the third base is of 5 mm, not of 4, since
/// its stress rises from 4.99 to 5.15 MPa.
const WORKED: [Worked; 9] = [
    ([700.0, 150.0, 500.0], 1.010, 4.952, [10.0, 8.0, 10.0], [27.73, 78.23, 3.71, 1.74, 56.0, 67.0, 0.069, 0.095]),
    ([1000.0, 400.0, 400.0], 1.010, 3.962, [10.0, 8.0, 10.0], [49.65, 201.30, 4.41, 2.84, 66.0, 79.0, 0.048, 0.074]),
    ([300.0, 300.0, 300.0], 1.010, 2.971, [4.0, 4.0, 5.0], [5.75, 30.81, 2.40, 1.22, 14.0, 43.0, 0.056, 0.071]),
    ([600.0, 300.0, 300.0], 0.886, 2.607, [5.0, 5.0, 6.0], [11.97, 55.91, 3.00, 1.82, 23.0, 54.0, 0.046, 0.069]),
    ([1200.0, 250.0, 300.0], 0.886, 2.607, [8.0, 5.0, 8.0], [30.41, 103.63, 4.11, 2.93, 49.0, 74.0, 0.030, 0.048]),
    ([150.0, 150.0, 600.0], 0.886, 5.213, [4.0, 4.0, 4.0], [4.15, 15.69, 3.00, 0.62, 18.0, 54.0, 0.080, 0.090]),
    ([200.0, 100.0, 250.0], 1.010, 2.476, [4.0, 4.0, 4.0], [1.97, 6.55, 1.60, 0.62, 10.0, 29.0, 0.035, 0.043]),
    (
        [2000.0, 400.0, 500.0],
        0.886,
        4.344,
        [15.0, 10.0, 15.0],
        [156.21, 493.17, 6.82, 4.86, 154.0, 122.0, 0.044, 0.072],
    ),
    ([450.0, 200.0, 350.0], 1.150, 3.947, [6.0, 5.0, 6.0], [9.83, 43.54, 2.71, 1.32, 24.0, 49.0, 0.063, 0.084]),
];

#[test]
fn nine_tanks_agree_with_another_program() {
    for (sides, g_ml, kpa, [open, lid, base], [glass, full, seam, lid_seam, joint, fillet, upright, bottom]) in WORKED {
        let what = |name: &str| format!("{sides:?}: {name}");
        let tank = design(&plain(), &demand(sides, g_ml)).expect("a design");
        assert_eq!(tank.build.wall, mm(open), "{}", what("free rim"));
        assert_eq!(tank.build.base, mm(base), "{}", what("base"));
        assert_eq!(design(&lidded(), &demand(sides, g_ml)).expect("a design").build.wall, mm(lid), "{}", what("lid"));
        near(tank.foot.kpa(), kpa, 1e-3, &what("pressure"));
        near(tank.empty_mass.kg(), glass, 0.006, &what("glass"));
        // The other program's full mass includes sealant without the lid's joint, at 1.04 g/ml.
        let sealant = (joint + fillet) * 1.04 / 1000.0;
        near((tank.empty_mass + tank.fluid_mass).kg() + sealant, full, 0.02, &what("full"));
        near(tank.build.seam().mm() / 1000.0, seam, 0.006, &what("seam"));
        near(tank.build.lid_seam().mm() / 1000.0, lid_seam, 0.006, &what("seam of the lid"));
        let no_lid = tank.build.seam().mm() * 1.5 * open / 1000.0;
        near(no_lid, joint, 1.0, &what("joint"));
        near(tank.build.seam().mm() * 18.0 / 1000.0, fillet, 1.0, &what("fillet"));
        // The other program counts only the pull of the long wall; here the shear of the end wall is added.
        let pull = |span: f64| {
            let plate = Plate::new(span / sides[2], Support::TopFree, Load::Hydrostatic, 0.22).reactions();
            plate.side_largest * tank.foot.mpa() * sides[2] / open
        };
        near(pull(sides[0]), upright, 0.0006, &what("pull on the upright seam"));
        let both = pull(sides[0]).hypot(pull(sides[1]));
        let worked = tank.seams.vertical.mpa();
        // The other program takes the nominal bite; here it is that of the thinnest glass allowed.
        let thinner = counted_on(mm(open)).mm() / open;
        let at_nominal = worked * thinner;
        assert!(pull(sides[0]) <= at_nominal && at_nominal <= both * 1.0001, "{}: {worked}", what("upright seam"));
        let wall = Plate::new(sides[0] / sides[2], Support::TopFree, Load::Hydrostatic, 0.22).reactions();
        let at_the_base = |bite: Length| seams::stress(wall.bottom_largest, tank.foot, mm(sides[2]), bite).mpa();
        near(at_the_base(mm(open)), bottom, 0.0006, &what("bottom seam"));
        near(
            tank.seams.bottom.mpa(),
            at_the_base(counted_on(mm(open))),
            1e-9,
            &what("bottom seam of the thinnest glass"),
        );
    }
}

/// Stress and deflection at single thicknesses, computed by the same other program: MPa, mm.
#[test]
fn stress_and_deflection_agree_with_another_program() {
    for (sides, g_ml, wall, stress, bend) in [
        ([700.0, 150.0, 500.0], 1.010, 10.0, 4.25, 0.64),
        ([1000.0, 400.0, 400.0], 1.010, 10.0, 3.73, 1.12),
        ([300.0, 300.0, 300.0], 1.010, 4.0, 3.65, 0.25),
        ([600.0, 300.0, 300.0], 0.886, 5.0, 4.66, 1.06),
        ([1200.0, 250.0, 300.0], 0.886, 8.0, 3.68, 1.43),
        ([150.0, 150.0, 600.0], 0.886, 4.0, 3.97, 0.07),
        ([2000.0, 400.0, 500.0], 0.886, 15.0, 4.81, 2.76),
    ] {
        let bedded = Settings { base_support: BaseSupport::Bedded, ..plain() };
        let tank = design(&bedded, &demand(sides, g_ml)).expect("a design");
        assert_eq!(tank.build.wall, mm(wall), "{sides:?}");
        let [length, _, height] = sides.map(mm);
        let plate = Plate::new(sides[0] / sides[2], Support::TopFree, Load::Hydrostatic, 0.22).coefficients();
        let pane = Pane { span: length, rise: height, thickness: counted_on(mm(wall)) };
        let largest = plate.stress_of(pane, tank.foot);
        near(largest.mpa(), stress, 0.006, &format!("{sides:?}: stress"));
        // The stated stress is the one nearest to its own limit, which is lower along the free edge.
        let edge = plate.top_edge_stress_of(pane, tank.foot);
        let stated = if edge.mpa() / 4.8 > largest.mpa() / 5.0 { edge } else { largest };
        near(tank.stress.mpa(), stated.mpa(), 1e-9, &format!("{sides:?}: stated"));
        near(tank.deflection.mm(), bend, 0.006, &format!("{sides:?}: deflection"));
    }
    let tank = design(&lidded(), &demand([700.0, 150.0, 500.0], 1.010)).expect("a design");
    near(tank.stress.mpa(), 4.90, 0.006, "held by the lid");
    near(tank.deflection.mm(), 0.39, 0.006, "held by the lid");
}

fn cut(pieces: &[Piece]) -> Vec<(PaneKind, u32, f64, f64, f64)> {
    pieces.iter().map(|p| (p.kind, p.count, p.length.mm(), p.width.mm(), p.thickness.mm())).collect()
}

/// 700 × 150 × 500 mm in formalin is a size that is built and lasts (common practice, no source).
#[test]
fn a_usual_tank_is_of_10_mm_with_a_free_rim_and_of_8_mm_where_the_lid_holds_it() {
    let sides = [700.0, 150.0, 500.0];
    let tank = design(&plain(), &demand(sides, 1.010)).expect("a design");
    assert_eq!((tank.build.wall, tank.build.top), (mm(10.0), Top::Free));
    assert_eq!(design(&lidded(), &demand(sides, 1.010)).expect("a design").build.wall, mm(8.0));
    let tank = design(&plain(), &demand(sides, 1.010)).expect("a design");
    assert_eq!(
        cut(&tank.pieces),
        [
            (PaneKind::LongWall, 2, 720.0, 498.5, 10.0),
            (PaneKind::EndWall, 2, 147.0, 498.5, 10.0),
            (PaneKind::Base, 1, 720.0, 170.0, 10.0),
            (PaneKind::Lid, 1, 720.0, 170.0, 10.0)
        ]
    );
    assert!(tank.pieces.iter().all(|piece| piece.opening == (piece.kind == PaneKind::Lid)));
    assert_eq!(tank.seams.class(), SeamClass::High);
}

#[test]
fn the_gas_pressure_that_the_walls_withstand_is_a_third_of_the_fluid_pressure() {
    let settings = Settings { lid_supports_walls: true, least_thickness: mm(10.0), ..plain() };
    let tank = design(&settings, &demand([700.0, 150.0, 500.0], 1.010)).expect("a design");
    near(tank.gas_to_limit.kpa(), 1.64, 0.02, "gas");
}

#[test]
fn a_base_inside_needs_less_glass_and_stresses_its_joint_more() {
    let inside = Settings { walls_and_base: WallsAndBase::Inside, ..plain() };
    let sides = [700.0, 150.0, 500.0];
    let (on, within) =
        (design(&plain(), &demand(sides, 1.01)).unwrap(), design(&inside, &demand(sides, 1.01)).unwrap());
    assert_eq!(within.build.footing, Footing::BaseInside);
    assert!(cut(&within.pieces).contains(&(PaneKind::Base, 1, 697.0, 147.0, 10.0)), "{:?}", within.pieces);
    assert!(within.seams.bottom > on.seams.bottom);
    let cheapest = Settings { walls_and_base: WallsAndBase::Cheapest, ..plain() };
    let least = on.cost.total().min(within.cost.total());
    assert_eq!(design(&cheapest, &demand(sides, 1.01)).unwrap().cost.total(), least);
}

#[test]
fn a_brace_is_chosen_where_it_is_cheaper_and_its_opening_suffices() {
    let long = demand([2000.0, 400.0, 500.0], 0.886);
    let braced = Settings { tank_brace: true, ..plain() };
    let (free, tank) = (design(&plain(), &long).unwrap(), design(&braced, &long).unwrap());
    let Top::Braced(brace) = tank.build.top else { panic!("no brace: {:?}", tank.build.top) };
    assert!(tank.cost.total() < free.cost.total() && tank.build.wall < free.build.wall);
    assert!(brace.opening.0 >= mm(200.0) && brace.opening.1 >= mm(200.0), "{brace:?}");
    assert!(tank.seams.top.mpa() <= 0.07 + 1e-9);
    // A body that does not pass the opening of a brace keeps the rim free.
    let wide = Demand { opening: Some((mm(1900.0), mm(360.0))), ..long };
    assert_eq!(design(&braced, &wide).unwrap().build.top, Top::Free);
}

#[test]
fn a_tank_outside_the_theory_is_refused_with_the_ways_that_help() {
    let long = demand([1300.0, 200.0, 300.0], 1.01);
    let refused = design(&plain(), &long).unwrap_err();
    assert!(matches!(refused.limit, Limit::TooLong { times } if times > 4.3), "{refused:?}");
    assert!(refused.remedies.iter().any(|remedy| matches!(remedy, TankRemedy::Brace { .. })), "{refused:?}");
    assert!(refused.remedies.iter().any(|remedy| matches!(remedy, TankRemedy::BondedLid { .. })), "{refused:?}");
    let higher =
        refused.remedies.iter().map(|one| remedy(one)).find(|cure| cure.starts_with("a higher tank of 330 mm"));
    assert!(higher.is_some(), "{refused:?}");
    assert!(design(&plain(), &demand([1300.0, 200.0, 330.0], 1.01)).is_ok() && design(&lidded(), &long).is_ok());
    let huge = design(&Settings::default(), &demand([3000.0, 1500.0, 1500.0], 1.2)).unwrap_err();
    assert!(matches!(huge.limit, Limit::Stress { .. } | Limit::Seam { .. }), "{huge:?}");
    let sheet = design(&Settings::default(), &demand([4000.0, 1500.0, 1500.0], 1.2)).unwrap_err();
    assert!(matches!(sheet.limit, Limit::Sheet { .. }), "{sheet:?}");
    let tiny = design(&Settings::default(), &demand([10.0, 2.0, 10.0], 1.0)).unwrap_err();
    assert_eq!(tiny.limit, Limit::TooSmall);
}

#[test]
fn a_free_edge_as_cut_has_a_lower_limit() {
    let as_cut = Settings { top_edge: TopEdge::AsCut, ..plain() };
    // 4.66 MPa along the edge in 5 mm, above the 4.3 that an edge as cut may bear.
    let tank = demand([600.0, 300.0, 300.0], 0.886);
    assert_eq!(design(&plain(), &tank).unwrap().build.wall, mm(5.0));
    let cut = design(&as_cut, &tank).unwrap();
    assert_eq!(cut.build.wall, mm(6.0));
    assert!(cut.pieces.iter().all(|piece| piece.ground == Length::ZERO));
}

/// By hand: a long wall of 2030 × 498.5 × 15 mm weighs 37.9 kg; 156.2 kg of glass and 336.7 of fluid on 2.03 × 0.43 m press with
/// 5.5 kPa.
#[test]
fn a_heavy_tank_has_a_warning_and_a_small_one_has_none() {
    let said = |sides, g_ml| {
        let tank = design(&plain(), &demand(sides, g_ml)).expect("a design");
        warnings(&plain(), &tank).iter().map(warning).collect::<Vec<_>>().join("\n")
    };
    let heavy = said([2000.0, 400.0, 500.0], 0.886);
    for word in [
        "heaviest pane 37.9 kg: suction lifters and two people",
        "156.2 kg empty, more than two people may lift: mechanical lift",
        "493 kg full: never moved full; build it where it will stand",
        "presses on its shelf with 5.5 kPa",
        "free top edge: ground or polished, held to 4.8 MPa; as cut it would be held to 4.3 MPa",
        "must breathe",
    ] {
        assert!(heavy.contains(word), "{word}: {heavy}");
    }
    let small = said([200.0, 100.0, 250.0], 1.010);
    for word in ["heaviest pane", "lifted", "kg full"] {
        assert!(!small.contains(word), "{word}: {small}");
    }
}

#[test]
fn a_price_is_the_sum_of_its_parts_and_never_below_the_minimum() {
    let settings = Settings { glass_minimum: Money::whole(500), ..plain() };
    let tank = design(&settings, &demand([200.0, 100.0, 250.0], 1.01)).unwrap();
    let cost = tank.cost;
    assert_eq!(cost.glass + cost.edge_work + cost.set_up, Money::whole(500));
    assert_eq!(cost.total(), Money::whole(500) + cost.sealant + cost.labour + cost.delivery);
    // By hand: 0.138 m² of walls, base and lid of 4 mm at 30, with a fifth of waste.
    let usual = design(&plain(), &demand([200.0, 100.0, 250.0], 1.01)).unwrap().cost;
    let m2 = 2.0 * 0.208 * 0.2485 + 2.0 * 0.097 * 0.2485 + 2.0 * 0.208 * 0.108;
    near(usual.glass.approximate(), m2 * 30.0 * 1.2, 0.0051, "glass");
    assert_eq!(usual.sealant, Money::whole(9));
}

/// A tank of usual size and density.
fn any_demand() -> impl Strategy<Value = Demand> {
    (150.0..1200.0, 100.0..400.0, 150.0..600.0, 0.8..1.25f64).prop_map(
        |(length, width, height, g_ml): (f64, f64, f64, f64)| {
            demand([length.max(width), length.min(width), height], g_ml)
        },
    )
}

/// The least wall that is allowed, or 99 where none is.
fn wall(settings: &Settings, demand: &Demand) -> f64 {
    design(settings, demand).map_or(99.0, |tank: Design| tank.build.wall.mm())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn larger_or_denser_never_takes_thinner_glass(tank in any_demand(), more in 1.0..1.4f64) {
        for settings in [plain(), lidded()] {
            let now = wall(&settings, &tank);
            let denser = Demand { coldest: tank.coldest * more, ..tank };
            prop_assert!(wall(&settings, &denser) >= now);
            let higher = Demand { height: tank.height * more, ..tank };
            // A higher tank may have a shorter free rim in proportion and so come within the theory again.
            prop_assert!(now > 90.0 || wall(&settings, &higher) >= now);
            let longer = Demand { length: tank.length * more, ..tank };
            prop_assert!(wall(&settings, &longer) >= now);
        }
    }

    #[test]
    fn thicker_glass_has_less_stress_deflection_and_seam_stress(tank in any_demand()) {
        let mut last: Option<Design> = None;
        for nominal in [4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 19.0] {
            let settings = Settings { least_thickness: mm(nominal), base_support: BaseSupport::Bedded, ..plain() };
            let Ok(tank) = design(&settings, &tank) else { continue };
            if let Some(last) = &last && last.build.wall < tank.build.wall {
                prop_assert!(tank.stress < last.stress && tank.deflection < last.deflection);
                prop_assert!(tank.seams.worst() < last.seams.worst() && tank.empty_mass > last.empty_mass);
            }
            last = Some(tank);
        }
    }

    #[test]
    fn a_design_keeps_every_limit(tank in any_demand()) {
        if let Ok(tank) = design(&Settings::default(), &tank) {
            prop_assert!(tank.stress <= tank.allowable && tank.deflection <= tank.deflection_limit);
            prop_assert!(tank.seams.worst().mpa() <= 0.07 + 1e-9);
            // Recomputed from the reactions alone, where the walls stand on the base, the rim is free and the glass is the thinnest allowed.
            if tank.build.footing == Footing::WallsOnBase && tank.build.top == Top::Free {
                let [length, width, height] = tank.build.clear.map(Length::mm);
                for span in [length, width] {
                    let wall = Plate::new(span / height, Support::TopFree, Load::Hydrostatic, 0.22).reactions();
                    let thinnest = tank.build.wall.mm() - if tank.build.wall.mm() > 12.0 { 0.5 } else { 0.2 };
                    prop_assert!(wall.bottom_largest * tank.foot.mpa() * height / thinnest <= 0.07 + 1e-9);
                }
            }
            prop_assert!(tank.build.base >= tank.build.wall && tank.build.lid >= tank.build.wall);
            prop_assert!(tank.build.wall >= mm(6.0));
            prop_assert!(tank.lid.own <= tank.allowable && tank.lid.with_hand.mpa() <= 12.3);
        }
    }
}
