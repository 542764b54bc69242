//! Whether the footprint of a body fits the section of a room: both seen from above, rigid, touching allowed.
//!
//! Everything follows from one number, the *spare*: how much every measure of the room may shrink at the same time
//! before the body no longer goes in (below zero: how much it must grow). With body sides or axes `p ≥ q` and room
//! sides `a ≥ b`:
//!
//! | body | room | spare |
//! |---|---|---|
//! | box | round, bore `D` | `D − √(p² + q²)` |
//! | rounded | round, bore `D` | `D − p` |
//! | either, faces parallel | rectangle | the smaller of `a − p` and `b − q` |
//! | box, turned, if `a − b < p − q` | rectangle | `½ (a + b − (p + q) √(2 − ((a − b) / (p − q))²))` |
//! | rounded, turned, if `a − b < p − q` | rectangle | `½ (a + b − √(2 (p² + q²) − (a − b)²))` |
//!
//! **Turned box.** At an angle θ it takes up `p cos θ + q sin θ` by `p sin θ + q cos θ`, both concave in θ, so the
//! best angle is a right angle or the one that leaves the same free space on both sides:
//! `cos θ − sin θ = (a − b) / (p − q)`. Not below zero, this is the criterion of W. B. Carver, American Mathematical
//! Monthly 64 (1957) 114–116, in the symmetric form printed by J. E. Wetzel, "Rectangles in Rectangles", Mathematics
//! Magazine 73 (2000) 204–211: `((a + b) / (p + q))² + ((a − b) / (p − q))² ≥ 2`.
//!
//! **Turned ellipse.** Its bounding box keeps the diagonal `√(p² + q²)` at every angle (elementary: the director
//! circle of an ellipse), one side growing while the other shrinks. Not below zero, this is `q ≤ b` and
//! `p² + q² ≤ a² + b²`.

use crate::collection::Outline;
use crate::stock::Section;
use crate::units::{Length, TOUCH_MM};

/// The outline of a body seen from above, in the stance it takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Footprint {
    /// Rectangle, or the ellipse with these axes.
    pub outline: Outline,
    /// One side of the rectangle round it.
    pub along: Length,
    /// The other side; no order is assumed.
    pub across: Length,
}

/// The measures of a footprint that the tests of all rooms use, computed once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FootprintMeasures {
    outline: Outline,
    longer: Length,
    shorter: Length,
    round: Length,
    diagonal: Length,
}

impl From<Footprint> for FootprintMeasures {
    fn from(footprint: Footprint) -> Self {
        let Footprint { outline, along, across } = footprint;
        // The cap keeps the hypotenuse of two extreme lengths finite.
        let diagonal = Length::at_least_zero(along.mm().hypot(across.mm()).min(f64::MAX));
        let (longer, shorter) = (along.max(across), along.min(across));
        let round = if outline == Outline::Box { diagonal } else { longer };
        FootprintMeasures { outline, longer, shorter, round, diagonal }
    }
}

impl FootprintMeasures {
    /// Rectangle, or the ellipse in it.
    pub fn outline(&self) -> Outline {
        self.outline
    }

    /// The longer side of the rectangle round it.
    pub fn longer(&self) -> Length {
        self.longer
    }

    /// The shorter side.
    pub fn shorter(&self) -> Length {
        self.shorter
    }

    /// The least diameter of a circle round it: the diagonal of a box, the larger axis of an ellipse.
    pub fn round(&self) -> Length {
        self.round
    }

    /// The diagonal of the rectangle round it, the same however an ellipse is turned.
    pub fn diagonal(&self) -> Length {
        self.diagonal
    }
}

/// True if the body stands in the room. With `may_turn` it may be turned about the vertical by any angle; without, its faces stay
/// parallel to those of a rectangular room, either way round. In a round room turning makes no difference.
pub fn fits(body: impl Into<FootprintMeasures>, room: Section, may_turn: bool) -> bool {
    spare(&body.into(), room, may_turn) >= -TOUCH_MM
}

/// How much the room lacks: zero exactly if the body [`fits`].
///
/// In a round room, the diameter needed less the bore. In a rectangle, the larger of the two side differences, longer side to
/// longer and shorter to shorter, for a body with its faces parallel. Enlarging every measure of the room by the lack is always
/// enough; where a turned body nearly fits, less may be enough.
pub fn lack(body: impl Into<FootprintMeasures>, room: Section, may_turn: bool) -> Length {
    let body = body.into();
    if fits(body, room, may_turn) { Length::ZERO } else { Length::at_least_zero(-spare(&body, room, false)) }
}

/// The free width between the body and the wall all round, if it stands as freely as it can: the largest `c` for which
/// it still fits the section less `2 c`. Zero if it does not fit.
pub fn wall_gap(body: impl Into<FootprintMeasures>, section: Section, may_turn: bool) -> Length {
    Length::at_least_zero(spare(&body.into(), section, may_turn) / 2.0)
}

/// True if the body fits a rectangular room only when turned by an angle other than 0° or 90°.
pub fn turned(body: impl Into<FootprintMeasures>, room: Section) -> bool {
    let body = body.into();
    fits(body, room, true) && !fits(body, room, false)
}

/// By how many mm every measure of the room may shrink; below zero: must grow. See the head of this file.
fn spare(body: &FootprintMeasures, room: Section, may_turn: bool) -> f64 {
    let (a, b) = match room {
        Section::Round(bore) => return bore.mm() - body.round.mm(),
        Section::Rectangular(..) => (room.larger().mm(), room.smaller().mm()),
    };
    let (p, q) = (body.longer.mm(), body.shorter.mm());
    let parallel = (a - p).min(b - q);
    // From here on p > q, so nothing below divides by zero.
    if !may_turn || a - b >= p - q {
        return parallel;
    }
    let taken = match body.outline {
        Outline::Box => (p + q) * (2.0 - ((a - b) / (p - q)).powi(2)).sqrt(),
        Outline::Rounded => {
            let diagonal = body.diagonal.mm();
            diagonal * (2.0 - ((a - b) / diagonal).powi(2)).sqrt()
        }
    };
    parallel.max((a + b - taken) / 2.0)
}
