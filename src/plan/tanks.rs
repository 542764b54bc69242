//! The design of a tank as a plan states it: the printed figures to three decimals, the cut list and the order of work.

use crate::options::tank::TankOption;
use crate::project::Project;
use crate::rules::FluidId;
use crate::settings::Settings;
use crate::tank::design::{Design, RimSupport, TankConstruction};
use crate::tank::glass::StressPlace;
use crate::tank::order::{WorkStep, order_of_work};
use crate::tank::panes::{EdgeFinish, PaneKind, Piece};
use crate::tank::remarks::{self, TankWarning};
use crate::tank::seams::SeamClass;
use crate::units::{Length, Mass, Pressure, Volume};

/// The design of a tank of silicone-bonded glass.
#[derive(Clone, Debug, PartialEq)]
pub struct TankDesign {
    /// Nominal thickness of the walls.
    pub wall: Length,
    /// Nominal thickness of the base.
    pub base: Length,
    /// Nominal thickness of the lid.
    pub lid: Length,
    /// How it is built.
    pub construction: TankConstruction,
    /// Outer length, width and height with the lid.
    pub outer: [Length; 3],
    /// The bending stress that is nearest its limit.
    pub stress: Pressure,
    /// Where that stress is.
    pub stressed: StressPlace,
    /// The allowable stress there.
    pub allowable: Pressure,
    /// Largest deflection of a wall.
    pub deflection: Length,
    /// Allowable deflection of that wall.
    pub deflection_limit: Length,
    /// Stress of the most heavily loaded joint.
    pub seam: Pressure,
    /// Class of that stress.
    pub seam_class: SeamClass,
    /// Sealant in joints and fillets, without losses.
    pub sealant: Volume,
    /// Cartridges to buy.
    pub cartridges: i64,
    /// Mass of the glass alone.
    pub empty: Mass,
    /// Mass when filled to the freeboard, without tissue.
    pub full: Mass,
    /// The cut list.
    pub panes: Vec<PaneLine>,
    /// Warnings about this tank.
    pub warnings: Vec<TankWarning>,
    /// The order of work, first to last.
    pub order_of_work: Vec<WorkStep>,
}

/// One line of a cut list.
#[derive(Clone, Debug, PartialEq)]
pub struct PaneLine {
    /// Which pane of the tank it is.
    pub kind: PaneKind,
    /// Number of equal panes.
    pub pieces: u32,
    /// One side.
    pub length: Length,
    /// The other.
    pub width: Length,
    /// Nominal thickness.
    pub thickness: Length,
    /// Finish of the edges.
    pub edges: EdgeFinish,
}

/// Rounded to three decimals, as in plan.json.
fn rounded(number: f64) -> f64 {
    (number * 1000.0).round() / 1000.0
}

impl TankDesign {
    /// The design of a tank as the plan states it; `None` if the tank has none.
    pub fn of(project: &Project, fluid: FluidId, tank: &TankOption) -> Option<Self> {
        let mut design = Self::new(&project.settings, tank.design.as_ref()?);
        if tank.unproven {
            design.warnings.insert(0, remarks::unproven(project.rules.fluid(fluid)));
        }
        Some(design)
    }

    fn new(settings: &Settings, design: &Design) -> Self {
        let length = |length: Length| Length::at_least_zero(rounded(length.mm()));
        let stress = |stress: Pressure| Pressure::at_least_zero(rounded(stress.mpa()));
        let mass = |mass: Mass| Mass::at_least_zero(mass.g().round());
        Self {
            wall: length(design.build.wall),
            base: length(design.build.base),
            lid: length(design.build.lid),
            construction: design.construction(),
            outer: design.outer.map(length),
            stress: stress(design.stress),
            stressed: design.stressed,
            allowable: stress(design.allowable),
            deflection: length(design.deflection),
            deflection_limit: length(design.deflection_limit),
            seam: stress(design.seams.worst()),
            seam_class: design.seams.class(),
            sealant: Volume::at_least_zero(rounded(design.sealant.ml())),
            cartridges: design.cartridges,
            empty: mass(design.empty_mass),
            full: mass(design.empty_mass + design.fluid_mass),
            panes: design.pieces.iter().map(|piece| PaneLine::new(piece, length)).collect(),
            warnings: remarks::warnings(settings, design),
            order_of_work: order_of_work(settings, design),
        }
    }
}

impl TankDesign {
    /// Whether strips hold its rim.
    pub fn braced(&self) -> bool {
        matches!(self.construction.rim, RimSupport::Strips { .. })
    }
}

impl PaneLine {
    fn new(piece: &Piece, length: impl Fn(Length) -> Length) -> Self {
        Self {
            kind: piece.kind,
            pieces: piece.count,
            length: length(piece.length),
            width: length(piece.width),
            thickness: length(piece.thickness),
            edges: piece.edges,
        }
    }
}
