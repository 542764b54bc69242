//! Stresses and deflections of each pane and joint of one construction.
//!
//! Walls are computed full to the rim with the fluid at its coldest, with the nominal thickness less its tolerance. A base that is
//! carried on its edges is loaded by the fluid and its own weight; a bedded base does not bend. The lid is a plate of its own
//! ([`super::lid`]). Joints: [`super::seams`].

use super::brace::{self, Brace, Rim};
use super::construction::{Construction, Demand, Footing, Rimmed, Top, bonded, ratio};
use super::glass::{Glass, StressPlace, counted_on};
use super::lid::{Bearing, Lid};
use super::limits::{LONGEST_FREE, Limit};
use super::plate::{Load, Pane, PlateCoefficients, Reactions, Support, solved_plate};
use super::seams::{self, Seams};
use crate::settings::Settings;
use crate::settings::glass::BaseSupport;
use crate::units::{Force, Length, Pressure};

/// Coefficients and reactions of one pane, with its support and load.
pub(super) struct SolvedPane {
    pub(super) coefficients: PlateCoefficients,
    pub(super) reactions: Reactions,
}

impl SolvedPane {
    fn new(span: Length, rise: Length, support: Support, load: Load, nu: f64) -> Self {
        let (coefficients, reactions) = solved_plate(span.mm() / rise.mm(), support, load, nu);
        Self { coefficients, reactions }
    }
}

/// Bending of one pane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PaneBending {
    /// A wall or the base.
    pub(super) pane: StressPlace,
    /// Nominal thickness.
    pub(super) nominal: Length,
    /// Largest principal stress.
    pub(super) stress: Pressure,
    /// Largest stress along a free top edge; zero where the edge is held.
    pub(super) edge: Pressure,
    /// Deflection.
    pub(super) bends: Length,
    /// Largest allowed deflection.
    pub(super) may_bend: Length,
}

impl PaneBending {
    /// Its stresses: the place, the stress there, and the allowable stress.
    pub(super) fn stresses(&self, glass: &Glass) -> [(StressPlace, Pressure, Pressure); 2] {
        [(self.pane, self.stress, glass.allowable), (StressPlace::FreeTopEdge, self.edge, glass.top_edge_allowable)]
    }

    /// Whether it keeps its limits.
    pub(super) fn kept(&self, glass: &Glass) -> Result<(), Limit> {
        let PaneBending { pane, nominal, bends, may_bend, .. } = *self;
        if let Some((place, stress, limit)) = self.stresses(glass).into_iter().find(|(_, stress, limit)| stress > limit)
        {
            return Err(Limit::Stress { place, stress, limit, thickest: nominal });
        }
        if bends > may_bend { Err(Limit::Deflection { pane, deflection: bends, thickest: nominal }) } else { Ok(()) }
    }
}

/// Bending of all panes and joints of one construction.
pub(super) struct Figures {
    /// Long and end wall.
    pub(super) walls: [PaneBending; 2],
    /// The base.
    pub(super) base: PaneBending,
    /// The lid.
    pub(super) lid: Lid,
    /// The joints.
    pub(super) seams: Seams,
}

/// The panes of one tank, as coefficients that do not depend on thickness.
pub(super) struct TankPlates<'a> {
    pub(super) settings: &'a Settings,
    pub(super) glass: &'a Glass,
    pub(super) demand: &'a Demand,
    /// Pressure at the foot of the walls.
    pub(super) foot: Pressure,
    /// Long and end wall with a free rim; `None` where the theory does not apply or the rim is not asked for.
    free: Option<[SolvedPane; 2]>,
    /// The same with the rim held; `None` where it is not asked for.
    held: Option<[SolvedPane; 2]>,
    /// Base and lid under a uniform load.
    pub(super) even: SolvedPane,
}

impl<'a> TankPlates<'a> {
    /// `rims`: those that will be asked for.
    pub(super) fn new(settings: &'a Settings, glass: &'a Glass, demand: &'a Demand, rims: &[Rimmed]) -> Self {
        let Demand { length, width, height, .. } = *demand;
        let nu = glass.poisson;
        let walls = |support| [length, width].map(|span| SolvedPane::new(span, height, support, Load::Hydrostatic, nu));
        let free = rims.contains(&Rimmed::Free) && ratio(demand) <= LONGEST_FREE + 1e-9;
        let held = rims.iter().any(|rim| *rim != Rimmed::Free);
        Self {
            settings,
            glass,
            demand,
            foot: Pressure::under(demand.coldest, height),
            free: free.then(|| walls(Support::TopFree)),
            held: held.then(|| walls(Support::AllEdges)),
            even: SolvedPane::new(length, width, Support::AllEdges, Load::Uniform, nu),
        }
    }

    /// The walls with a kind of rim; `Err` where the theory does not apply.
    pub(super) fn walls(&self, rim: Rimmed) -> Result<&[SolvedPane; 2], Limit> {
        match rim {
            Rimmed::Free => self.free.as_ref().ok_or(Limit::TooLong { times: ratio(self.demand) }),
            Rimmed::Braced | Rimmed::Lid => self.held.as_ref().ok_or(Limit::NoBrace),
        }
    }

    /// The support of the rim for walls of a thickness; `Err` where no strips can hold it.
    pub(super) fn top(&self, rim: Rimmed, wall: Length) -> Result<Top, Limit> {
        match rim {
            Rimmed::Free => Ok(Top::Free),
            Rimmed::Lid => Ok(Top::Lid),
            Rimmed::Braced => self.brace(wall).map(Top::Braced).ok_or(Limit::NoBrace),
        }
    }

    fn brace(&self, wall: Length) -> Option<Brace> {
        let Demand { length, width, height, opening, .. } = *self.demand;
        let line_loads = self.held.as_ref()?.each_ref().map(|wall| wall.reactions.top_largest);
        let lap_limit = self.settings.seam_limit.0.min(Pressure::at_least_zero(seams::PRACTICE_MPA));
        let rim = Rim { length, width, opening, foot: self.foot, rise: height, line_loads, lap_limit };
        brace::brace(self.glass, rim, counted_on(wall))
    }

    /// Bending of the long and the end wall of a thickness.
    pub(super) fn wall_bending(&self, rim: Rimmed, wall: Length) -> Result<[PaneBending; 2], Limit> {
        let Demand { length, width, height, .. } = *self.demand;
        let [long, end] = self.walls(rim)?;
        Ok([(StressPlace::LongWall, length, long), (StressPlace::EndWall, width, end)].map(|(pane, span, bent)| {
            let thickness = counted_on(wall);
            let plate = Pane { span, rise: height, thickness };
            let span = if rim == Rimmed::Free { span } else { span.min(height) };
            PaneBending {
                pane,
                nominal: wall,
                stress: bent.coefficients.stress_of(plate, self.foot),
                edge: bent.coefficients.top_edge_stress_of(plate, self.foot),
                bends: bent.coefficients.deflection_of(plate, self.foot, self.glass.modulus),
                may_bend: self.glass.deflection_limit(span, thickness),
            }
        }))
    }

    /// Pressure of fluid and own weight on the base.
    fn on_base(&self, base: Length) -> Pressure {
        self.foot + Pressure::under(self.glass.density, base)
    }

    /// Bending of a base of a thickness; zero if it is bedded.
    pub(super) fn base_bending(&self, base: Length) -> PaneBending {
        let Demand { length, width, .. } = *self.demand;
        let thickness = counted_on(base);
        let (load, plate) = (self.on_base(base), Pane { span: length, rise: width, thickness });
        let on_edges = self.settings.base_support == BaseSupport::Edges;
        let part = if on_edges { 1.0 } else { 0.0 };
        PaneBending {
            pane: StressPlace::Base,
            nominal: base,
            stress: self.even.coefficients.stress_of(plate, load) * part,
            edge: Pressure::ZERO,
            bends: self.even.coefficients.deflection_of(plate, load, self.glass.modulus) * part,
            may_bend: self.glass.deflection_limit(width, thickness),
        }
    }

    /// The support of a lid on walls of a thickness.
    pub(super) fn lid_bearing(&self, wall: Length) -> Bearing {
        let Demand { length, width, .. } = *self.demand;
        Bearing::new(self.glass, (length, width), wall, bonded(self.settings), self.settings.hand_load.0)
    }

    /// Stresses and deflection of a lid of a thickness.
    pub(super) fn lid_bears(&self, bearing: &Bearing, lid: Length) -> Lid {
        Lid::new(self.glass, bearing, lid, &self.even.coefficients)
    }

    /// How deep fluid may stand before the lid is bonded on that is to hold the walls, that is, with a free rim. `None` where the
    /// theory does not apply.
    ///
    /// At a part φ of the height the pressure at every point is at most φ times that in a full tank, and so is every stress and
    /// deflection.
    pub(super) fn depth_without_lid(&self, construction: Construction) -> Option<Length> {
        let bent = TankPlates::new(self.settings, self.glass, self.demand, &[Rimmed::Free]);
        let construction = Construction { rim: Rimmed::Free, ..construction };
        let walls = bent.wall_bending(Rimmed::Free, construction.wall).ok()?;
        let seams = bent.seams(construction, Top::Free).ok()?;
        let part = |limit: f64, bears: f64| if bears > limit { limit / bears } else { 1.0 };
        let by_wall = walls.iter().map(|borne| {
            let by_stress = part(self.glass.allowable.mpa(), borne.stress.mpa());
            let by_edge = part(self.glass.top_edge_allowable.mpa(), borne.edge.mpa());
            by_stress.min(by_edge).min(part(borne.may_bend.mm(), borne.bends.mm()))
        });
        let joints = seams.vertical.max(seams.bottom).mpa();
        let filled = by_wall.fold(part(self.settings.seam_limit.0.mpa(), joints), f64::min);
        Length::new((self.demand.height.mm() * filled / 10.0).floor() * 10.0)
    }

    /// Stresses of the joints of a construction.
    pub(super) fn seams(&self, construction: Construction, top: Top) -> Result<Seams, Limit> {
        let Construction { footing, rim, .. } = construction;
        let [wall, base] = [construction.wall, construction.base].map(counted_on);
        let walls = self.walls(rim)?;
        let Demand { length, width, height: rise, .. } = *self.demand;
        let stress = |line_load: f64, bite| seams::stress(line_load, self.foot, rise, bite);
        let largest = |part: fn(&Reactions) -> f64| part(&walls[0].reactions).max(part(&walls[1].reactions));
        let bottom = match footing {
            Footing::WallsOnBase => stress(largest(|reactions| reactions.bottom_largest), wall),
            Footing::BaseInside => {
                // A base that is not bedded hangs in its joint: at the long walls by one reaction, at the end walls by the other.
                let hangs = [self.even.reactions.bottom_largest, self.even.reactions.side_largest];
                let bedded = self.settings.base_support == BaseSupport::Bedded;
                let both = walls.iter().zip(hangs).map(|(wall, hangs)| {
                    let pull = stress(wall.reactions.bottom_largest, base);
                    let shear = seams::stress(hangs, self.on_base(construction.base), width, base);
                    seams::together(pull, if bedded { Pressure::ZERO } else { shear })
                });
                both.fold(Pressure::ZERO, Pressure::max)
            }
        };
        let lap = if let Top::Braced(brace) = top { brace.lap } else { Pressure::ZERO };
        let pulls = walls.iter().zip([length, width]);
        let pulls = pulls.map(|(wall, span)| seams::corner_pull(&wall.reactions, self.foot, span, rise));
        let corner = if rim == Rimmed::Free { pulls.fold(Force::ZERO, Force::max) } else { Force::ZERO };
        Ok(Seams {
            vertical: stress(seams::upright(walls.each_ref().map(|wall| &wall.reactions)), wall),
            bottom,
            top: stress(largest(|reactions| reactions.top_largest), wall).max(lap),
            corner,
        })
    }
}
