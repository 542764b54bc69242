//! The clear size of a tank round a body.

use crate::settings::Settings;
use crate::units::{Length, TOUCH_MM};

/// Clear length (the longer side), width and height for a body with these measures along, across and upright: wall clearance on
/// each side (`wall`, where it is larger than the settings'); floor, cover and freeboard; each side rounded up.
pub fn size(settings: &Settings, body: [Length; 3], wall: Option<Length>) -> [Length; 3] {
    let [along, across, upright] = body;
    let walls = settings.tank_wall.max(wall.unwrap_or(Length::ZERO)) * 2.0;
    let up = |length: Length| round_up(length, settings.tank_round_up);
    let (along, across) = (up(along + walls), up(across + walls));
    let height = up(settings.tank_floor + upright + settings.tank_cover + settings.tank_freeboard);
    [along.max(across), along.min(across), height]
}

/// Rounded up to a multiple of `step`; unchanged where the step is zero.
fn round_up(length: Length, step: Length) -> Length {
    if step == Length::ZERO {
        return length;
    }
    Length::at_least_zero(((length.mm() - TOUCH_MM) / step.mm()).ceil() * step.mm())
}
