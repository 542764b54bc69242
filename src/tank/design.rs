//! The cheapest construction that passes, or why none does.
//!
//! Every wall is computed brim-full at the fluid's coldest (the freeboard is a reserve, and more than the weight of the
//! base itself), with the nominal thickness less its tolerance; one thickness for walls, strips and lid. Tried are all
//! stocked thicknesses, walls on base and base inside, free rim and braced rim, or the rim held by the lid where the
//! settings say that it is.

use super::brace::{self, Brace, Rim};
use super::cost::{self, Cost};
use super::glass::{Glass, counted_on};
use super::limits::{self, Beyond, Limit};
use super::panes::{Build, Piece};
use super::plate::{Coefficients, Load, Pane, Reactions, Support, solved_plate};
use super::seams::{self, SeamClass, Seams};
use crate::settings::Settings;
use crate::settings::glass::{BONDED_LIDS, BaseSupport, TopEdge, WallsAndBase};
use crate::units::{Density, Length, Mass, Pressure, Volume, decimal};

/// What a tank must hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Clear length, the longer side.
    pub length: Length,
    /// Clear width.
    pub width: Length,
    /// Clear height, floor to rim.
    pub height: Length,
    /// Density of the fluid at 20 °C.
    pub density: Density,
    /// Density at its coldest.
    pub coldest: Density,
    /// What must pass the rim, along and across, where that is known.
    pub opening: Option<(Length, Length)>,
}

/// How walls and base meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Footing {
    /// The walls stand on the base.
    WallsOnBase,
    /// The base lies between the walls.
    BaseInside,
}

/// What holds the top edges of the walls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Top {
    /// Nothing.
    Free,
    /// A frame of strips.
    Braced(Brace),
    /// The bonded lid.
    Lid,
}

/// A tank that passes.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// Its construction.
    pub build: Build,
    /// Outer length, width and height with the lid.
    pub outer: [Length; 3],
    /// Pressure at the floor, brim-full and coldest.
    pub foot: Pressure,
    /// Largest principal bending stress of any wall, or of a base carried on its edges.
    pub stress: Pressure,
    /// The pane it is in: `long wall`, `end wall` or `base`.
    pub stressed: &'static str,
    /// What glass may bear for good.
    pub allowable: Pressure,
    /// Most that any wall bends.
    pub deflection: Length,
    /// What it may bend.
    pub deflection_limit: Length,
    /// Stress of the joints.
    pub seams: Seams,
    /// Gas pressure that would use up what the long walls have left.
    pub gas_to_limit: Pressure,
    /// The cut list.
    pub pieces: Vec<Piece>,
    /// Sealant, nothing lost.
    pub sealant: Volume,
    /// Cartridges to buy.
    pub cartridges: i64,
    /// Glass alone.
    pub empty_mass: Mass,
    /// Fluid to the freeboard, no tissue.
    pub fluid_mass: Mass,
    /// On the base's area, full.
    pub shelf_load: Pressure,
    /// What it costs.
    pub cost: Cost,
}

impl Design {
    /// How it is built: `walls on base, free rim`.
    pub fn construction(&self) -> String {
        let footing = match self.build.footing {
            Footing::WallsOnBase => "walls on base",
            Footing::BaseInside => "base inside",
        };
        let rim = match self.build.top {
            Top::Free => "free rim".to_owned(),
            Top::Lid => "rim held by the bonded lid".to_owned(),
            Top::Braced(brace) => format!("rim braced with strips {} mm wide", decimal(brace.width.mm(), 0)),
        };
        format!("{footing}, {rim}")
    }
}

/// Designs a tank.
pub fn design(settings: &Settings, demand: &Demand) -> Result<Design, Beyond> {
    designed(settings, demand).map_err(|limit| Beyond { limit, helps: limits::helps(settings, demand, limit) })
}

/// The cheapest that passes, or what stopped the first way tried.
pub(super) fn designed(settings: &Settings, demand: &Demand) -> Result<Design, Limit> {
    let glass = Glass::new(settings);
    let joints = settings.joint * 2.0;
    if demand.width <= joints || demand.height <= settings.joint {
        return Err(Limit::TooSmall);
    }
    // No wall of such a tank comes out of a sheet, and no plate so large is worth bending.
    sheet(settings, demand.length, demand.height)?;
    sheet(settings, demand.length, demand.width)?;
    let bent = Bent::new(settings, &glass, demand);
    let held = settings.lid_supports_walls && bonded(settings);
    let mut refused = None;
    let mut best: Option<Design> = None;
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
    for &rim in rims {
        for &footing in footings {
            let mut last = Limit::NoGlass;
            for &wall in &glass.thicknesses {
                match bent.tried(rim, footing, wall) {
                    Ok(design) => {
                        if best.as_ref().is_none_or(|best| design.cost.total() < best.cost.total()) {
                            best = Some(design);
                        }
                    }
                    Err(Some(limit)) => last = limit,
                    Err(None) => {}
                }
            }
            refused = refused.or(Some(last));
        }
    }
    best.ok_or(refused.unwrap_or(Limit::NoGlass))
}

/// Whether the lid that is set is glued on.
pub fn bonded(settings: &Settings) -> bool {
    BONDED_LIDS.contains(&settings.tank_lid.as_str())
}

/// Whether a pane comes out of a stock sheet.
fn sheet(settings: &Settings, one: Length, other: Length) -> Result<(), Limit> {
    let (length, width) = (one.max(other), one.min(other));
    let fits = |(long, short): &(Length, Length)| length.fits(*long) && width.fits(*short);
    if settings.sheets.0.iter().any(fits) { Ok(()) } else { Err(Limit::Sheet { length, width }) }
}

/// A rim, before its strips are sized.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Rimmed {
    Free,
    Braced,
    Lid,
}

/// A wall bent in one way.
struct Wall {
    coefficients: Coefficients,
    reactions: Reactions,
}

impl Wall {
    fn new(span: Length, rise: Length, support: Support, nu: f64) -> Self {
        let (coefficients, reactions) = solved_plate(span.mm() / rise.mm(), support, Load::Hydrostatic, nu);
        Self { coefficients, reactions }
    }
}

/// The panes of one tank as coefficients, which no thickness changes.
struct Bent<'a> {
    settings: &'a Settings,
    glass: &'a Glass,
    demand: &'a Demand,
    foot: Pressure,
    /// Long and end wall with a free rim; `None` where that is beyond the theory or never asked.
    free: Option<[Wall; 2]>,
    /// The same with the rim held; `None` where never asked.
    held: Option<[Wall; 2]>,
    base: Coefficients,
    /// Coefficient of stress of a long wall under gas.
    gas: f64,
}

impl<'a> Bent<'a> {
    fn new(settings: &'a Settings, glass: &'a Glass, demand: &'a Demand) -> Self {
        let Demand { length, width, height, .. } = *demand;
        let nu = glass.poisson;
        let walls = |support| [length, width].map(|span| Wall::new(span, height, support, nu));
        let by_lid = settings.lid_supports_walls && bonded(settings);
        let free = !by_lid && ratio(demand) <= LONGEST_FREE + 1e-9;
        let even = |aspect| solved_plate(aspect, Support::AllEdges, Load::Uniform, nu).0;
        Self {
            settings,
            glass,
            demand,
            foot: Pressure::under(demand.coldest, height),
            free: free.then(|| walls(Support::TopFree)),
            held: (by_lid || settings.tank_brace).then(|| walls(Support::AllEdges)),
            base: even(length.mm() / width.mm()),
            gas: even(ratio(demand)).stress,
        }
    }

    /// One construction; `Err(None)` where no strips hold such a rim.
    fn tried(&self, rim: Rimmed, footing: Footing, wall: Length) -> Result<Design, Option<Limit>> {
        let (glass, demand, settings) = (self.glass, self.demand, self.settings);
        let thickness = counted_on(wall);
        let walls = match rim {
            Rimmed::Free => self.free.as_ref().ok_or(Some(Limit::TooLong(ratio(demand))))?,
            Rimmed::Braced | Rimmed::Lid => self.held.as_ref().ok_or(None)?,
        };
        let top = match rim {
            Rimmed::Free => Top::Free,
            Rimmed::Lid => Top::Lid,
            Rimmed::Braced => Top::Braced(self.brace(&walls[0], thickness).ok_or(None)?),
        };
        let (mut stress, mut stressed) = (Pressure::ZERO, "long wall");
        let mut bend = (Length::ZERO, Length::ZERO);
        let too_thin = |stress| Some(Limit::Stress { stress, thickest: wall });
        for (name, span, bent) in [("long wall", demand.length, &walls[0]), ("end wall", demand.width, &walls[1])] {
            let pane = Pane { span, rise: demand.height, thickness };
            let here = bent.coefficients.stress_of(pane, self.foot);
            if here > stress {
                (stress, stressed) = (here, name);
            }
            let edge = bent.coefficients.top_edge_stress_of(pane, self.foot);
            if here > glass.allowable || edge > glass.top_edge_allowable {
                return Err(too_thin(here));
            }
            let span = if rim == Rimmed::Free { span } else { span.min(demand.height) };
            let limit = glass.deflection_limit(span, thickness);
            let deflection = bent.coefficients.deflection_of(pane, self.foot, glass.modulus);
            if deflection > limit {
                return Err(Some(Limit::Deflection { deflection, thickest: wall }));
            }
            if deflection >= bend.0 {
                bend = (deflection, limit);
            }
        }
        let (base, base_stress) = self.base(wall)?;
        if base_stress > stress {
            (stress, stressed) = (base_stress, "base");
        }
        let build = Build {
            clear: [demand.length, demand.width, demand.height],
            wall,
            base,
            footing,
            top,
            joint: settings.joint,
            fillet: settings.fillet,
            bonded_lid: bonded(settings),
        };
        let seams = self.seams(walls, &build);
        if seams.class() == SeamClass::Beyond {
            return Err(Some(Limit::Seam(seams.worst())));
        }
        let pieces = build.pieces(rim == Rimmed::Free && settings.top_edge == TopEdge::Ground);
        for piece in &pieces {
            sheet(settings, piece.length, piece.width).map_err(Some)?;
        }
        let long = Pane { span: demand.length, rise: demand.height, thickness };
        let left = glass.allowable.less(walls[0].coefficients.stress_of(long, self.foot));
        let per_pressure = self.gas * (demand.height.mm() / thickness.mm()).powi(2);
        let empty_mass: Mass = pieces.iter().map(|piece| piece.mass(glass.density) * f64::from(piece.count)).sum();
        let filled = demand.height.less(settings.tank_freeboard);
        let fluid_ml = demand.length.mm() * demand.width.mm() * filled.mm() / 1000.0;
        let fluid_mass = demand.density.mass_of(Volume::at_least_zero(fluid_ml));
        let outer = build.outer();
        Ok(Design {
            outer,
            foot: self.foot,
            stress,
            stressed,
            allowable: glass.allowable,
            deflection: bend.0,
            deflection_limit: bend.1,
            seams,
            gas_to_limit: left * (1.0 / per_pressure),
            sealant: build.sealant(),
            cartridges: cost::cartridges(settings, &build),
            empty_mass,
            fluid_mass,
            shelf_load: Pressure::of_load(empty_mass + fluid_mass, outer[0], outer[1]),
            cost: cost::cost(settings, &build, &pieces),
            pieces,
            build,
        })
    }

    fn brace(&self, long: &Wall, thickness: Length) -> Option<Brace> {
        let Demand { length, width, height, opening, .. } = *self.demand;
        let line_load = long.reactions.top_middle;
        let rim = Rim { length, width, opening, foot: self.foot, rise: height, line_load };
        brace::brace(self.glass, rim, thickness)
    }

    /// Thickness of the base under walls of a thickness, and its stress where it is carried on its edges.
    fn base(&self, wall: Length) -> Result<(Length, Pressure), Option<Limit>> {
        if self.settings.base_support == BaseSupport::Bedded {
            return Ok((wall, Pressure::ZERO));
        }
        let mut last = (wall, Pressure::ZERO);
        for &nominal in self.glass.thicknesses.iter().filter(|nominal| wall.fits(**nominal)) {
            let thickness = counted_on(nominal);
            let pane = Pane { span: self.demand.length, rise: self.demand.width, thickness };
            let stress = self.base.stress_of(pane, self.foot);
            let bend = self.base.deflection_of(pane, self.foot, self.glass.modulus);
            if stress <= self.glass.allowable && bend <= self.glass.deflection_limit(self.demand.width, thickness) {
                return Ok((nominal, stress));
            }
            last = (nominal, stress);
        }
        Err(Some(Limit::Stress { stress: last.1, thickest: last.0 }))
    }

    fn seams(&self, walls: &[Wall; 2], build: &Build) -> Seams {
        let rise = self.demand.height;
        let of = |part: &dyn Fn(&Reactions) -> f64, bite| {
            let largest = walls.iter().map(|wall| part(&wall.reactions)).fold(0.0, f64::max);
            seams::stress(largest, self.foot, rise, bite)
        };
        let bottom = match build.footing {
            Footing::WallsOnBase => of(&|r| r.bottom_middle, build.wall),
            Footing::BaseInside => {
                let pull = of(&|r| r.bottom_middle, build.base);
                // A base that is not bedded hangs in its joint with all that stands on it.
                let [length, width, _] = build.clear;
                let hanging = self.foot.mpa() * length.mm() * width.mm() / ((length + width).mm() * 2.0);
                let shear = Pressure::at_least_zero(hanging / build.base.mm());
                let bedded = self.settings.base_support == BaseSupport::Bedded;
                seams::together(pull, if bedded { Pressure::ZERO } else { shear })
            }
        };
        let top = of(&|r| r.top_middle, build.wall);
        let lap = if let Top::Braced(brace) = build.top { brace.lap } else { Pressure::ZERO };
        Seams { vertical: of(&|r| r.side_largest, build.wall), bottom, top: top.max(lap) }
    }
}

/// Longest wall with a free rim, in heights.
pub(super) const LONGEST_FREE: f64 = 4.0;

fn ratio(demand: &Demand) -> f64 {
    demand.length.mm() / demand.height.mm()
}
