//! A rigid body too tall to stand upright, leaning in its room about one horizontal axis.
//!
//! A box `L` tall, `T` thick in the plane it tilts in and `W` wide along the axis, which stays level, takes up
//! `L sin θ + T cos θ` by `W` seen from above and `L cos θ + T sin θ` in height. So it leans in a round room exactly if `W ≤ D`
//! and the rectangle `L × T` fits the upright rectangle `√(D² − W²) × H`, and in a rectangular room if `W` goes along
//! one side and `L × T` fits the other side by `H`: W. B. Carver's criterion (American Mathematical Monthly 64 (1957)
//! 114–116; J. E. Wetzel, Mathematics Magazine 73 (2000) 204–211) in the vertical plane. The least tilt is where the
//! top just touches: with `s = √(L² + T² − H²)`, `θ = atan(T / L) + atan(s / H)`, and the run it then takes up is
//! Carver's `(2 L T H + (L² − T²) s) / (L² + T²)`.
//!
//! On the safe side: a body free to turn about all three axes may fit a little more, and a rounded body is taken as
//! the box round it.

use super::footprint::Footprint;
use crate::stock::Section;
use crate::units::{Length, TOUCH_MM};

/// How a body leans.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lean {
    /// The least tilt from the upright at which it fits, 0 to 90 degrees.
    pub tilt_degrees: f64,
    /// Its highest point above the floor at that tilt.
    pub top: Length,
}

/// The least tilt at which a body `vertical` tall with this footprint stands in a room of this section and height, over
/// both sides of the footprint and, in a rectangular room, both directions; `None` if it does not fit at any.
///
/// Leaning helps only bodies that are too tall. A body that stands upright with its faces parallel has a tilt of 0; one that
/// is low enough but too broad does not lean. At a tilt near 90 degrees it nearly lies.
pub fn lean(vertical: Length, body: Footprint, room: Section, height: Length) -> Option<Lean> {
    let ways = [(body.along, body.across), (body.across, body.along)];
    ways.into_iter()
        .flat_map(|(thick, level)| runs_beside(level, room).map(|run| tip(vertical, thick, run?, height)))
        .flatten()
        .min_by(|one, other| one.tilt_degrees.total_cmp(&other.tilt_degrees))
}

/// The horizontal runs in which a body that is `level` wide along its tilting axis may tilt.
fn runs_beside(level: Length, room: Section) -> [Option<Length>; 2] {
    match room {
        Section::Round(bore) => {
            let chord = (bore.less(level).mm() * (bore + level).mm()).sqrt();
            [level.fits(bore).then(|| Length::at_least_zero(chord.min(f64::MAX))), None]
        }
        Section::Rectangular(length, width) => {
            [level.fits(width).then_some(length), level.fits(length).then_some(width)]
        }
    }
}

/// The least tilt at which a rectangle `tall` by `thick` stands in the upright rectangle `run` by `height`.
fn tip(tall: Length, thick: Length, run: Length, height: Length) -> Option<Lean> {
    if tall.fits(height) {
        return thick.fits(run).then_some(Lean { tilt_degrees: 0.0, top: tall });
    }
    if !thick.fits(height) {
        return None;
    }
    // Measured in units of `tall`, which is above zero here: nothing overflows, nothing is divided by zero.
    let unit = tall.mm();
    let (t, h, x) = (thick.mm() / unit, height.mm() / unit, run.mm() / unit);
    let rest = beyond(t, h);
    let needed_run = unit * (2.0 * t * h + (1.0 - t * t) * rest) / (1.0 + t * t);
    if needed_run <= run.mm() + TOUCH_MM {
        let tilt = t.atan() + rest.atan2(h);
        return Some(Lean { tilt_degrees: tilt.to_degrees().min(90.0), top: height });
    }
    // The run is too short for that tilt, but long enough to lie in: the run then decides the tilt.
    tall.fits(run).then(|| {
        let raised = (t.atan() - beyond(t, x).atan2(x)).max(0.0);
        let top = unit * (raised.sin() + t * raised.cos());
        Lean { tilt_degrees: 90.0 - raised.to_degrees(), top: Length::at_least_zero(top) }
    })
}

/// `√(1 + t² − h²)`: the horizontal extent of the diagonal of a rectangle 1 by `t` when its vertical extent is `h`.
fn beyond(t: f64, h: f64) -> f64 {
    ((1.0 - h) * (1.0 + h) + t * t).max(0.0).sqrt()
}
