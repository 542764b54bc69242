//! The cut list of a tank, its joints and its sealant.
//!
//! Walls on base: long walls (L + 2t) × (H − g), end walls (W − 2g) × (H − g) between them, base and lid over the whole
//! outside. Base inside: base (L − 2g) × (W − 2g), walls H + base high. g is the joint. Common practice, no source.

use super::brace::Brace;
use super::construction::{Footing, Top};
use crate::units::{Density, Length, Mass, Volume};

/// The kind of a pane: its place in the tank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PaneKind {
    /// One of the two longer walls.
    LongWall,
    /// One of the two shorter walls.
    EndWall,
    /// The floor.
    Base,
    /// The lid, with the fill-and-vent opening.
    Lid,
    /// A strip along a long wall: only a brace has any.
    LongStrip,
    /// A strip along an end wall.
    EndStrip,
    /// A strip across the tank between two end strips.
    CrossStrip,
}

/// The finish of the edges of a pane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EdgeFinish {
    /// All are arrissed: they lose their sharpness.
    Arrissed,
    /// All are arrissed, and the top edge is ground or polished.
    TopGround,
    /// All are arrissed, and the lid gets its opening.
    LidWithOpening,
}

/// One line of the cut list.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Which pane of the tank it is.
    pub kind: PaneKind,
    /// Number of equal panes.
    pub count: u32,
    /// The side along the tank, or across it for end walls, end strips and cross strips.
    pub length: Length,
    /// The other side: the height of a wall.
    pub width: Length,
    /// Nominal thickness.
    pub thickness: Length,
    /// Length of ground edge of one; the rest is arrissed.
    pub ground: Length,
    /// Finish of the edges.
    pub edges: EdgeFinish,
    /// It has the fill-and-vent opening.
    pub opening: bool,
}

impl Piece {
    /// Area of one, in square metres.
    pub fn area_m2(&self) -> f64 {
        self.length.mm() * self.width.mm() / 1e6
    }

    /// Length of all edges of one.
    pub fn edge(&self) -> Length {
        (self.length + self.width) * 2.0
    }

    /// Mass of one.
    pub fn mass(&self, density: Density) -> Mass {
        density.mass_of(Volume::at_least_zero(self.area_m2() * self.thickness.mm() * 1000.0))
    }
}

/// The dimensions of a tank, from which its panes follow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Build {
    /// Clear length, width and height.
    pub clear: [Length; 3],
    /// Nominal thickness of walls and strips.
    pub wall: Length,
    /// Nominal thickness of the base.
    pub base: Length,
    /// Nominal thickness of the lid.
    pub lid: Length,
    /// How walls and base meet.
    pub footing: Footing,
    /// What holds the rim.
    pub top: Top,
    /// Joint between panes.
    pub joint: Length,
    /// Leg of the inside fillet.
    pub fillet: Length,
    /// The lid is bonded on.
    pub bonded_lid: bool,
}

impl Build {
    /// Outer length, width and height, lid on.
    pub fn outer(&self) -> [Length; 3] {
        let [length, width, height] = self.clear;
        let both = self.wall * 2.0;
        let under_lid = if self.bonded_lid { self.joint } else { Length::ZERO };
        [length + both, width + both, height + self.base + under_lid + self.lid]
    }

    /// How far below the rim the strips of a brace reach: the long strips are flush with the rim, the transverse ones are joined under them.
    pub fn depth_of_strips(&self) -> Length {
        self.wall * 2.0 + self.joint
    }

    /// The cut list. `ground_top`: the free top edges are ground.
    pub fn pieces(&self, ground_top: bool) -> Vec<Piece> {
        let [length, width, height] = self.clear;
        let [outer_length, outer_width, _] = self.outer();
        let gaps = self.joint * 2.0;
        let rise = match self.footing {
            Footing::WallsOnBase => height.less(self.joint),
            Footing::BaseInside => height + self.base,
        };
        let base = match self.footing {
            Footing::WallsOnBase => (outer_length, outer_width),
            Footing::BaseInside => (length.less(gaps), width.less(gaps)),
        };
        let piece = |kind, count, (length, width), thickness| {
            let opening = kind == PaneKind::Lid;
            let edges = if opening { EdgeFinish::LidWithOpening } else { EdgeFinish::Arrissed };
            Piece { kind, count, length, width, thickness, ground: Length::ZERO, edges, opening }
        };
        let mut pieces = vec![
            piece(PaneKind::LongWall, 2, (outer_length, rise), self.wall),
            piece(PaneKind::EndWall, 2, (width.less(gaps), rise), self.wall),
        ];
        if ground_top {
            for wall in &mut pieces {
                (wall.ground, wall.edges) = (wall.length, EdgeFinish::TopGround);
            }
        }
        pieces.push(piece(PaneKind::Base, 1, base, self.base));
        pieces.push(piece(PaneKind::Lid, 1, (outer_length, outer_width), self.lid));
        if let Top::Braced(Brace { width: strip, cross, .. }) = self.top {
            pieces.push(piece(PaneKind::LongStrip, 2, (length.less(gaps), strip), self.wall));
            pieces.push(piece(PaneKind::EndStrip, 2, (width.less(gaps), strip), self.wall));
            if cross > 0 {
                pieces.push(piece(PaneKind::CrossStrip, cross, (width.less(gaps), strip), self.wall));
            }
        }
        pieces
    }

    /// Length of all joints without the lid's.
    pub fn seam(&self) -> Length {
        let [length, width, height] = self.clear;
        let walls = height.less(self.joint) * 4.0 + (length + self.wall) * 2.0 + width * 2.0;
        match self.top {
            Top::Braced(brace) => walls + (length + width) * 2.0 + brace.width * f64::from(4 + 2 * brace.cross),
            _ => walls,
        }
    }

    /// Length of the lid's joint, where it is bonded.
    pub fn lid_seam(&self) -> Length {
        let [length, width, _] = self.clear;
        if self.bonded_lid { (length + width + self.wall * 2.0) * 2.0 } else { Length::ZERO }
    }

    /// Sealant in the joints and in the fillets, without waste.
    pub fn sealant(&self) -> Volume {
        // A joint is as wide as the pane whose edge is glued: round a base between the walls, that is the base.
        let [length, width, _] = self.clear;
        let round_base = ((length + self.wall) * 2.0 + width * 2.0).mm();
        let wider = match self.footing {
            Footing::WallsOnBase => 0.0,
            Footing::BaseInside => round_base * (self.base.mm() - self.wall.mm()),
        };
        let joints = ((self.seam() + self.lid_seam()).mm() * self.wall.mm() + wider) * self.joint.mm();
        let fillets = self.seam().mm() * self.fillet.mm().powi(2) / 2.0;
        Volume::at_least_zero((joints + fillets) / 1000.0)
    }
}
