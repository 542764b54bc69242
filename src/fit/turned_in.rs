//! A body that goes through a mouth end on and is turned upright or level below it.
//!
//! **Problem.** A stiff body does not pass a mouth as it will stand, but does with another of its measures vertical. Is there
//! room below the neck to turn it?
//!
//! **Notation.** `e` the measure that is vertical on the way in, `v` the one that is vertical once it stands, `u` the third,
//! which stays level; `h` the height below the neck, the section of the room as it is.
//!
//! **Method: sufficient, not necessary.** The whole body is lowered below the neck, then turned about a level axis by a right
//! angle. On the way the side view of a box, `e × v`, is never higher or longer than its diagonal, `√(e² + v²)`; that of an
//! ellipse never more than the larger axis (elementary). So it can be turned where that measure `m` is at most `h` and
//! `m × u` fits the section. The space inside the neck is not used for turning: by hand more may be possible. The body must
//! come out again the same way.

use super::footprint::{Footprint, fits};
use crate::collection::Outline;
use crate::stock::Section;
use crate::units::Length;

/// A body on its way in: its measures by what they become.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Rounded or not, seen from any side.
    pub outline: Outline,
    /// Vertical on the way in.
    pub entering: Length,
    /// Vertical once it stands.
    pub standing: Length,
    /// Level all the time.
    pub level: Length,
}

/// Whether there is room to turn it: `room` is the section less its free space, `below_neck` the height below the neck.
pub fn turns(turn: Turn, room: Section, below_neck: Length, may_turn: bool) -> bool {
    let Turn { outline, entering, standing, level } = turn;
    let most = match outline {
        Outline::Box => Length::at_least_zero(entering.mm().hypot(standing.mm()).min(f64::MAX)),
        Outline::Rounded => entering.max(standing),
    };
    most.fits(below_neck) && fits(Footprint { outline, along: most, across: level }, room, may_turn)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(mm: f64) -> Length {
        Length::at_least_zero(mm)
    }

    #[test]
    fn a_box_needs_its_diagonal_both_ways_and_an_ellipse_its_axis() {
        // 3-4-5: a box of 40 × 30 in the side view turns in 50.
        let turn = |outline| Turn { outline, entering: mm(40.0), standing: mm(30.0), level: mm(20.0) };
        let room = |side| Section::Rectangular(mm(side), mm(20.0));
        assert!(turns(turn(Outline::Box), room(50.0), mm(50.0), false));
        assert!(!turns(turn(Outline::Box), room(49.9), mm(50.0), false));
        assert!(!turns(turn(Outline::Box), room(50.0), mm(49.9), false));
        assert!(turns(turn(Outline::Rounded), room(40.0), mm(40.0), false));
        assert!(!turns(turn(Outline::Rounded), room(39.9), mm(40.0), false));
        assert!(!turns(turn(Outline::Rounded), room(40.0), mm(39.9), false));
    }
}
