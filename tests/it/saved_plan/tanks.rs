//! Tanks in plan.json: facts with their words beside them.

use rehouse::audit::audit;
use rehouse::options::tank::TankPriceBasis;
use rehouse::plan::Plan;
use rehouse::plan::tanks::TankDesign;
use rehouse::saved::{from_json, to_json};
use rehouse::tank::design::{Footing, RimSupport};
use rehouse::tank::glass::StressPlace;
use rehouse::tank::order::WorkStep;
use rehouse::tank::panes::PaneKind;
use rehouse::tank::remarks::TankWarning;
use rehouse::tank::seams::SeamClass;
use rehouse::tank::ways_out::{LargeVessel, WayOut};
use rehouse::units::{Force, Length, Mass, Pressure};
use serde_json::{Value, json};

use crate::audit_mutations::sharing::shared_sizes;
use crate::audit_mutations::{planned, scenes};

/// Paths of all values below a path that are neither lists nor objects.
fn leaves(whole: &Value, path: &str) -> Vec<String> {
    match whole.pointer(path).unwrap() {
        Value::Object(fields) => fields.keys().flat_map(|key| leaves(whole, &format!("{path}/{key}"))).collect(),
        Value::Array(items) => (0..items.len()).flat_map(|i| leaves(whole, &format!("{path}/{i}"))).collect(),
        _ => vec![path.to_owned()],
    }
}

/// Keys of tanks and sheets that contain words.
const WORDS: [&str; 7] = ["note", "words", "construction", "stress_in", "seam_class", "pane", "edges"];

#[test]
fn the_words_of_a_tank_must_be_those_of_its_facts() {
    for (project, plan) in [planned(scenes::every_outcome()), planned(shared_sizes())] {
        let whole: Value = serde_json::from_slice(&to_json(&project, &plan, &[])).unwrap();
        let (mut words, mut facts) = (0, 0);
        for path in leaves(&whole, "/tanks").into_iter().chain(leaves(&whole, "/sheets")) {
            let mut other = whole.clone();
            let leaf = other.pointer_mut(&path).unwrap();
            *leaf = match &*leaf {
                Value::String(text) => json!(format!("{text}s")),
                Value::Number(number) => json!(number.as_f64().unwrap() + 1.0),
                Value::Bool(set) => json!(!set),
                _ => json!("0.50"),
            };
            let read = from_json(&project, other.to_string().as_bytes());
            if WORDS.contains(&path.rsplit('/').next().unwrap()) {
                words += 1;
                let place: String =
                    path.split('/').skip(1).fold(String::new(), |place, part| match part.parse::<usize>() {
                        Ok(index) => format!("{place}[{index}]"),
                        Err(_) if place.is_empty() => part.to_owned(),
                        Err(_) => format!("{place}.{part}"),
                    });
                let findings = read.expect_err(&path);
                let found = format!("{place}: the facts beside it give ");
                assert!(matches!(&findings[..], [one] if one.starts_with(&found)), "{path}: {findings:?}");
            } else {
                facts += 1;
                assert!(read.is_err() || read.is_ok_and(|plan| !audit(&project, &plan).is_empty()), "{path} passes");
            }
        }
        assert!(words > 40 && facts > 100, "{words} words, {facts} facts");
    }
}

#[test]
fn another_fact_of_a_tank_with_correct_words_is_read_and_found_by_the_audit() {
    let (project, plan) = planned(scenes::every_outcome());
    let design = |plan: &mut Plan, change: fn(&mut TankDesign)| change(plan.tanks[0].design.as_mut().unwrap());
    type DesignChange = fn(&mut TankDesign);
    let changes: [(DesignChange, &str); 5] = [
        (|design| design.warnings.swap(0, 1), "tanks[0].design"),
        (|design| design.order_of_work.swap(0, 1), "tanks[0].design"),
        (|design| design.stressed = StressPlace::UprightJoint, "tanks[0].design"),
        (|design| design.seam_class = SeamClass::Beyond, "tanks[0].design"),
        (|design| design.construction.rim = RimSupport::BondedLid, "tanks[0].design"),
    ];
    for (i, (change, claim)) in changes.into_iter().enumerate() {
        let mut other = plan.clone();
        design(&mut other, change);
        assert!(audit(&project, &other).iter().any(|finding| finding.claim == claim), "{i} before it is saved");
        let read = from_json(&project, &to_json(&project, &other, &[])).unwrap();
        assert_eq!(read.tanks, other.tanks, "{i}");
        assert!(audit(&project, &read).iter().any(|finding| finding.claim == claim), "{i}");
    }
}

#[test]
fn every_kind_of_fact_of_a_tank_reads_back_equal() {
    let (project, mut plan) = planned(scenes::every_outcome());
    let (mm, mpa, kg) = (Length::at_least_zero, Pressure::at_least_zero, |kg| Mass::of_kg(kg).unwrap());
    let kpa = |kpa| Pressure::of_kpa(kpa).unwrap();
    let freeboard = mm(25.0);
    let design = plan.tanks[0].design.as_mut().unwrap();
    design.warnings = vec![
        TankWarning::Unproven { alcohol: true },
        TankWarning::Unproven { alcohol: false },
        TankWarning::SeamAbovePractice { stress: mpa(0.071) },
        TankWarning::AllowableAboveUsual { allowable: mpa(7.25) },
        TankWarning::SmallBite { bite: mm(4.5) },
        TankWarning::LidHoldsWalls,
        TankWarning::DenserThanWater,
        TankWarning::LooseLid,
        TankWarning::BraceOpening { along: mm(310.0), across: mm(95.0) },
        TankWarning::BraceDepth { depth: mm(31.5), freeboard: mm(25.0) },
        TankWarning::GroundTopEdge { ground: mpa(4.8), as_cut: mpa(4.3) },
        TankWarning::LongFreeRim { times: 2.1, pull: Force::at_least_zero(41.0) },
        TankWarning::BaseOnEdges,
        TankWarning::BaseBedded,
        TankWarning::WallsOnPad,
        TankWarning::PaneNeedsLift { mass: kg(41.3) },
        TankWarning::PaneForTwo { mass: kg(37.9) },
        TankWarning::EmptyNeedsLift { mass: kg(156.2) },
        TankWarning::NeverMovedFull { mass: kg(493.0) },
        TankWarning::ShelfLoad { pressure: kpa(5.5), mass_per_m2: kg(561.0) },
        TankWarning::SmallPanes,
        TankWarning::MustBreathe { gas: kpa(1.64), place: StressPlace::LidOpeningUnderHand },
    ];
    design.order_of_work = vec![
        WorkStep::BondWalls { footing: Footing::BaseInside },
        WorkStep::BondStrips { cross: 3 },
        WorkStep::Cure,
        WorkStep::BondHoldingLid,
        WorkStep::CureAgain,
        WorkStep::WaterTest { through_lid: true },
        WorkStep::MarkProvedLevel { share_pct: 98.7, freeboard },
        WorkStep::FluidTest { share_pct: 88.7, freeboard, through_lid: true },
        WorkStep::CutLidOff,
        WorkStep::DryRim,
        WorkStep::Place { lift: true },
        WorkStep::PutSpecimenIn,
        WorkStep::PartFill,
        WorkStep::PartFillTo { depth: mm(120.0) },
        WorkStep::KeepWetWithoutFluid,
        WorkStep::TopUp { freeboard },
        WorkStep::SetLid { lid: "loose-cover".to_owned() },
        WorkStep::BondHoldingLidAgain,
        WorkStep::FillThroughOpening,
        WorkStep::PlugAndLabel,
        WorkStep::BondLid,
        WorkStep::TopUpThroughOpening,
    ];
    let kinds = [PaneKind::EndWall, PaneKind::LongStrip, PaneKind::EndStrip, PaneKind::CrossStrip];
    design.panes.iter_mut().zip(kinds).for_each(|(pane, kind)| pane.kind = kind);
    design.construction.rim = RimSupport::Strips { width: mm(45.0) };
    let vessel = |vessel| WayOut::Vessel { vessel, years: Some(12.5) };
    plan.tanks[1].ways_out = LargeVessel::ALL.map(vessel).into_iter().chain([WayOut::ChangeOfFluid]).collect();
    for price_basis in [
        TankPriceBasis::SharedEstimate,
        TankPriceBasis::DoesNotLast,
        TankPriceBasis::DoesNotSuit,
        TankPriceBasis::Quoted,
    ] {
        plan.tanks[1].price_basis = price_basis;
        let written = to_json(&project, &plan, &[]);
        let read = from_json(&project, &written).unwrap();
        assert_eq!((&read.tanks, &read.sheets), (&plan.tanks, &plan.sheets));
        assert_eq!(to_json(&project, &read, &[]), written);
    }
}
