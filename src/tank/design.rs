//! The cheapest construction that passes, or why none does.
//!
//! All constructions are tried: each stocked thickness of the walls with each of the base; walls on base and base inside; free
//! rim and braced rim, or the rim held by the lid where the settings say so. Strips are as thick as the walls. Base and lid are
//! never thinner than the walls (common practice, no source); the lid is the cheapest that keeps its limits. Stresses and
//! deflections: [`bending`](super::bending).

use super::bending::{Figures, PaneBending, TankPlates};
use super::cost::{self, Cost};
use super::glass::{Glass, StressPlace};
use super::lid::Lid;
use super::limits::{self, Beyond, Limit};
use super::panes::{Build, Piece};
use super::seams::Seams;
use crate::settings::Settings;
use crate::settings::glass::{TopEdge, WallsAndBase};
use crate::units::{Density, Length, Mass, Pressure, Volume};

pub use super::construction::{Construction, Demand, Footing, RimSupport, Rimmed, TankConstruction, Top, bonded};

/// A tank that passes.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// Its construction.
    pub build: Build,
    /// Outer length, width and height with the lid.
    pub outer: [Length; 3],
    /// Pressure at the floor, full to the rim and at its coldest.
    pub foot: Pressure,
    /// Density of the fluid at its coldest.
    pub coldest: Density,
    /// The permanent principal bending stress that is nearest its limit: of a wall, of its free top edge, of a base carried on
    /// its edges, of the lid or at its opening.
    pub stress: Pressure,
    /// Place of that stress.
    pub stressed: StressPlace,
    /// The allowable stress there.
    pub allowable: Pressure,
    /// Largest deflection of a wall.
    pub deflection: Length,
    /// Allowable deflection of that wall.
    pub deflection_limit: Length,
    /// The lid with its stresses.
    pub lid: Lid,
    /// Stress of the joints.
    pub seams: Seams,
    /// Gas pressure, above or below the air's, that uses up what is left between stress and limit somewhere.
    pub gas_to_limit: Pressure,
    /// Place where it does: a pane or a joint.
    pub gas_in: StressPlace,
    /// Where the lid holds the walls: how deep fluid may stand before the lid is on; `None` = not at all.
    pub without_lid: Option<Length>,
    /// The cut list.
    pub pieces: Vec<Piece>,
    /// Sealant, without waste.
    pub sealant: Volume,
    /// Cartridges to buy.
    pub cartridges: i64,
    /// Mass of the glass alone.
    pub empty_mass: Mass,
    /// Mass of fluid to the freeboard, without tissue.
    pub fluid_mass: Mass,
    /// Pressure on the area of the base, full.
    pub shelf_load: Pressure,
    /// Its cost.
    pub cost: Cost,
}

impl Design {
    /// How it is built.
    pub fn construction(&self) -> TankConstruction {
        let rim = match self.build.top {
            Top::Free => RimSupport::Free,
            Top::Lid => RimSupport::BondedLid,
            Top::Braced(brace) => RimSupport::Strips { width: brace.width },
        };
        TankConstruction { footing: self.build.footing, rim }
    }

    /// Whether strips hold its rim.
    pub fn braced(&self) -> bool {
        matches!(self.build.top, Top::Braced(_))
    }
}

/// Designs a tank.
pub fn design(settings: &Settings, demand: &Demand) -> Result<Design, Beyond> {
    designed(settings, demand).map_err(|limit| Beyond {
        limit: limit.rounded(),
        remedies: limits::remedies(settings, demand, limit, &wall_and_joints),
    })
}

/// The walls of a tank that passes, and the stress of its joints.
fn wall_and_joints(settings: &Settings, demand: &Demand) -> Option<(Length, Pressure)> {
    let design = designed(settings, demand).ok()?;
    Some((design.build.wall, design.seams.worst()))
}

/// One given construction, whether or not it keeps its limits. `Err` where the theory does not apply, or no brace of its kind
/// exists.
pub fn examined(settings: &Settings, demand: &Demand, construction: Construction) -> Result<Design, Limit> {
    let glass = Glass::new(settings);
    let bent = TankPlates::new(settings, &glass, demand, &[construction.rim]);
    let top = bent.top(construction.rim, construction.wall)?;
    let figures = Figures {
        walls: bent.wall_bending(construction.rim, construction.wall)?,
        base: bent.base_bending(construction.base),
        lid: bent.lid_bears(&bent.lid_bearing(construction.wall), construction.lid),
        seams: bent.seams(construction, top)?,
    };
    Ok(PricedConstruction::new(&bent, construction, top, figures).design(&bent))
}

/// The cheapest construction that passes, or the limit that stops the first way tried.
fn designed(settings: &Settings, demand: &Demand) -> Result<Design, Limit> {
    let glass = Glass::new(settings);
    let joints = settings.joint * 2.0;
    if demand.width <= joints || demand.height <= settings.joint {
        return Err(Limit::TooSmall);
    }
    // A wall that no sheet is large enough for need not be computed.
    sheet(settings, demand.length, demand.height)?;
    sheet(settings, demand.length, demand.width)?;
    let held = settings.lid_supports_walls && bonded(settings);
    let rims: &[Rimmed] = match (held, settings.tank_brace) {
        (true, _) => &[Rimmed::Lid],
        (false, true) => &[Rimmed::Free, Rimmed::Braced],
        (false, false) => &[Rimmed::Free],
    };
    let footings: &[Footing] = match settings.walls_and_base {
        WallsAndBase::Cheapest => &[Footing::WallsOnBase, Footing::BaseInside],
        WallsAndBase::OnBase => &[Footing::WallsOnBase],
        WallsAndBase::Inside => &[Footing::BaseInside],
    };
    let bent = TankPlates::new(settings, &glass, demand, rims);
    let mut refused = None;
    let mut best: Option<PricedConstruction> = None;
    for &rim in rims {
        for &footing in footings {
            let mut last = Limit::NoGlass;
            for &wall in &glass.thicknesses {
                match cheapest_on(&bent, rim, footing, wall) {
                    Ok(found) => {
                        if best.as_ref().is_none_or(|best| found.cost.total() < best.cost.total()) {
                            best = Some(found);
                        }
                    }
                    // A missing brace is no reason to refuse the tank: another rim may do.
                    Err(Limit::NoBrace) => {}
                    Err(limit) => last = limit,
                }
            }
            refused = Some(refused.map_or(last, |earlier| reported(earlier, last)));
        }
    }
    best.map(|best| best.design(&bent)).ok_or(refused.unwrap_or(Limit::NoGlass))
}

/// Which of two refusals is reported: the earlier one, unless it says only that a free rim is too long or that no glass was
/// tried. A brace may hold a rim that is too long when free.
fn reported(earlier: Limit, later: Limit) -> Limit {
    match earlier {
        Limit::NoGlass => later,
        Limit::TooLong { .. } if later != Limit::NoGlass => later,
        _ => earlier,
    }
}

/// The cheapest base and lid for walls of a thickness, or the limit that stops the thickest.
fn cheapest_on(bent: &TankPlates, rim: Rimmed, footing: Footing, wall: Length) -> Result<PricedConstruction, Limit> {
    let walls = bent.wall_bending(rim, wall)?;
    for borne in &walls {
        borne.kept(bent.glass)?;
    }
    let top = bent.top(rim, wall)?;
    let lid = cheapest_lid(bent, wall)?;
    let mut last = Limit::NoGlass;
    let mut best: Option<PricedConstruction> = None;
    for &base in bent.glass.thicknesses.iter().filter(|base| wall.fits(**base)) {
        let construction = Construction { rim, footing, wall, base, lid: lid.nominal };
        match with_base(bent, construction, top, walls, lid) {
            Ok(found) if best.as_ref().is_none_or(|best| found.cost.total() < best.cost.total()) => best = Some(found),
            Ok(_) => {}
            Err(limit) => last = limit,
        }
    }
    best.ok_or(last)
}

/// The cheapest lid for walls of a thickness, never thinner than they are.
fn cheapest_lid(bent: &TankPlates, wall: Length) -> Result<Lid, Limit> {
    let price = |nominal: Length| cost::glass_price(bent.settings, nominal);
    let bearing = bent.lid_bearing(wall);
    let mut last = Limit::NoGlass;
    let mut best: Option<Lid> = None;
    for &nominal in bent.glass.thicknesses.iter().filter(|nominal| wall.fits(**nominal)) {
        let lid = bent.lid_bears(&bearing, nominal);
        match lid.kept(bent.glass) {
            Ok(()) if best.is_none_or(|best| price(nominal) < price(best.nominal)) => best = Some(lid),
            Ok(()) => {}
            Err(limit) => last = limit,
        }
    }
    best.ok_or(last)
}

fn with_base(
    bent: &TankPlates,
    construction: Construction,
    top: Top,
    walls: [PaneBending; 2],
    lid: Lid,
) -> Result<PricedConstruction, Limit> {
    let base = bent.base_bending(construction.base);
    base.kept(bent.glass)?;
    let seams = bent.seams(construction, top)?;
    if seams.worst().mpa() > bent.settings.seam_limit.0.mpa() + 1e-9 {
        return Err(Limit::Seam { stress: seams.worst(), class: seams.class() });
    }
    let found = PricedConstruction::new(bent, construction, top, Figures { walls, base, lid, seams });
    for piece in &found.pieces {
        sheet(bent.settings, piece.length, piece.width)?;
    }
    Ok(found)
}

/// Whether a pane can be cut from a stock sheet.
fn sheet(settings: &Settings, one: Length, other: Length) -> Result<(), Limit> {
    let (length, width) = (one.max(other), one.min(other));
    let fits = |(long, short): &(Length, Length)| length.fits(*long) && width.fits(*short);
    if settings.sheets.0.iter().any(fits) { Ok(()) } else { Err(Limit::Sheet { length, width }) }
}

/// The permanent stress that is nearest its limit, with its place and limit.
fn hardest(glass: &Glass, figures: &Figures) -> (StressPlace, Pressure, Pressure) {
    let [own, _, at_opening, _] = figures.lid.stresses(glass).map(|borne| (borne.place, borne.stress, borne.limit));
    let [long, end] = figures.walls.map(|borne| borne.stresses(glass));
    let panes = figures.base.stresses(glass).into_iter().chain(end).chain(long);
    let used = |(_, stress, limit): (StressPlace, Pressure, Pressure)| stress.mpa() / limit.mpa();
    let harder = |one, other| if used(other) >= used(one) { other } else { one };
    panes.fold(harder(own, at_opening), harder)
}

/// One construction with its price, before the rest of its design is computed.
struct PricedConstruction {
    construction: Construction,
    figures: Figures,
    build: Build,
    pieces: Vec<Piece>,
    cost: Cost,
}

impl PricedConstruction {
    fn new(bent: &TankPlates, construction: Construction, top: Top, figures: Figures) -> Self {
        let (settings, demand) = (bent.settings, bent.demand);
        let build = Build {
            clear: [demand.length, demand.width, demand.height],
            wall: construction.wall,
            base: construction.base,
            lid: construction.lid,
            footing: construction.footing,
            top,
            joint: settings.joint,
            fillet: settings.fillet,
            bonded_lid: bonded(settings),
        };
        let pieces = build.pieces(construction.rim == Rimmed::Free && settings.top_edge == TopEdge::Ground);
        let cost = cost::cost(settings, &build, &pieces);
        Self { construction, figures, build, pieces, cost }
    }

    fn design(self, bent: &TankPlates) -> Design {
        let Self { construction, figures, build, pieces, cost } = self;
        let Figures { walls, lid, seams, .. } = figures;
        let (settings, demand) = (bent.settings, bent.demand);
        let (stressed, stress, allowable) = hardest(bent.glass, &figures);
        let bends = if walls[1].bends > walls[0].bends { walls[1] } else { walls[0] };
        let (gas_to_limit, gas_in) = super::gas::gas(bent, construction, &figures);
        let held_by_lid = construction.rim == Rimmed::Lid;
        let without_lid = if held_by_lid { bent.depth_without_lid(construction) } else { None };
        let empty_mass: Mass = pieces.iter().map(|piece| piece.mass(bent.glass.density) * f64::from(piece.count)).sum();
        let filled = demand.height.less(settings.tank_freeboard);
        let fluid_ml = demand.length.mm() * demand.width.mm() * filled.mm() / 1000.0;
        let fluid_mass = demand.density.mass_of(Volume::at_least_zero(fluid_ml));
        let outer = build.outer();
        Design {
            outer,
            foot: bent.foot,
            coldest: demand.coldest,
            stress,
            stressed,
            allowable,
            deflection: bends.bends,
            deflection_limit: bends.may_bend,
            lid,
            seams,
            gas_to_limit,
            gas_in,
            without_lid,
            sealant: build.sealant(),
            cartridges: cost::cartridges(settings, &build),
            empty_mass,
            fluid_mass,
            shelf_load: Pressure::of_load(empty_mass + fluid_mass, outer[0], outer[1]),
            cost,
            pieces,
            build,
        }
    }
}
