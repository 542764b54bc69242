//! The gas pressure that a sealed tank can take.
//!
//! Warming or cooling a sealed tank loads all its parts with the same gas pressure, outwards or inwards. Of each wall, the base,
//! the lid, the edge of its opening and each joint, what is left between stress and limit is divided by the stress that a unit
//! of gas pressure adds; the least of these is what the tank takes, above or below the pressure of the air. On the safe side: the
//! largest stress by gas is added to the largest by fluid, though they need not be in one place, and under suction the lid's own
//! weight adds to the gas. A bedded base is pressed onto its bed and left out. Joints are held to the short-term value of structural
//! glazing.

use super::bending::{Figures, TankPlates};
use super::construction::{Construction, Footing, Rimmed, bonded};
use super::glass::{StressPlace, counted_on};
use super::plate::{Load, Pane, Support, solved_plate};
use super::seams::{LIMIT_MPA, Seams};
use crate::settings::glass::BaseSupport;
use crate::units::{Length, Pressure};

/// One part: place, limit, present stress, and the stress that a unit of gas pressure adds.
type GasPart = (StressPlace, Pressure, Pressure, f64);

/// The gas pressure that uses up what is left in some part, and that part.
pub(super) fn gas(bent: &TankPlates, construction: Construction, figures: &Figures) -> (Pressure, StressPlace) {
    let joints = of_joints(bent, construction, &figures.seams);
    let parts = of_glass(bent, construction, figures).into_iter().chain(joints);
    let taken = parts.filter(|(.., adds)| *adds > 0.0).map(|(place, limit, bears, adds)| {
        let left = limit.less(bears) * (1.0 / adds);
        (left, place)
    });
    taken.min_by(|one, other| one.0.mpa().total_cmp(&other.0.mpa())).unwrap_or((Pressure::ZERO, StressPlace::Lid))
}

fn support(rim: Rimmed) -> Support {
    if rim == Rimmed::Free { Support::TopFree } else { Support::AllEdges }
}

fn of_glass(bent: &TankPlates, construction: Construction, figures: &Figures) -> Vec<GasPart> {
    let (glass, demand) = (bent.glass, bent.demand);
    let one = Pressure::at_least_zero(1.0);
    let lid = &figures.lid;
    let opening = lid.stresses(glass)[2];
    let mut parts = vec![
        (StressPlace::Lid, glass.allowable, lid.own, lid.for_gas.0),
        (StressPlace::LidOpening, opening.limit, opening.stress, lid.for_gas.1),
    ];
    for (borne, span) in figures.walls.iter().zip([demand.length, demand.width]) {
        let plate = Pane { span, rise: demand.height, thickness: counted_on(construction.wall) };
        let aspect = span.mm() / demand.height.mm();
        let (even, _) = solved_plate(aspect, support(construction.rim), Load::Uniform, glass.poisson);
        parts.push((borne.pane, glass.allowable, borne.stress, even.stress_of(plate, one).mpa()));
        let edge = even.top_edge_stress_of(plate, one).mpa();
        parts.push((borne.pane, glass.top_edge_allowable, borne.edge, edge));
    }
    if bent.settings.base_support == BaseSupport::Edges {
        let thickness = counted_on(construction.base);
        let plate = Pane { span: demand.length, rise: demand.width, thickness };
        let adds = bent.even.coefficients.stress_of(plate, one).mpa();
        parts.push((StressPlace::Base, glass.allowable, figures.base.stress, adds));
    }
    parts
}

fn of_joints(bent: &TankPlates, construction: Construction, seams: &Seams) -> [GasPart; 3] {
    let (demand, nu) = (bent.demand, bent.glass.poisson);
    let walls = [demand.length, demand.width].map(|span| {
        let aspect = span.mm() / demand.height.mm();
        solved_plate(aspect, support(construction.rim), Load::Uniform, nu).1
    });
    let limit = Pressure::at_least_zero(LIMIT_MPA);
    let over = |line_load: f64, side: Length, bite: Length| line_load * side.mm() / bite.mm();
    let pull = walls[0].bottom_largest.max(walls[1].bottom_largest);
    let top = walls[0].top_largest.max(walls[1].top_largest);
    let even = bent.even.reactions.bottom_largest.max(bent.even.reactions.side_largest);
    let hangs = construction.footing == Footing::BaseInside && bent.settings.base_support == BaseSupport::Edges;
    let [wall, base] = [construction.wall, construction.base].map(counted_on);
    let bottom_bite = if construction.footing == Footing::BaseInside { base } else { wall };
    let hangs = if hangs { over(even, demand.width, bottom_bite) } else { 0.0 };
    let bottom = over(pull, demand.height, bottom_bite).hypot(hangs);
    let upright = over(walls[0].side_largest.hypot(walls[1].side_largest), demand.height, wall);
    // A lid that is only laid on lifts before its joint is loaded.
    let even = if bonded(bent.settings) { even } else { 0.0 };
    let lifted = over(top, demand.height, wall).hypot(over(even, demand.width, wall));
    [
        (StressPlace::UprightJoint, limit, seams.vertical, upright),
        (StressPlace::BottomJoint, limit, seams.bottom, bottom),
        (StressPlace::LidJoint, limit, seams.top, lifted),
    ]
}
