//! Rounds measured values of a plan as `plan.json` holds them.

use super::Placement;
use crate::units::{Length, rounded};

/// Rounds measured values as `plan.json` holds them, after all else has been computed from them. Every output of this plan is then
/// the same, byte for byte, as that of the plan that is read back.
pub(super) fn as_a_file_shows(placement: &mut Placement) {
    let shown = |number: f64| rounded(number, 3);
    let length = |length: Length| Length::at_least_zero(shown(length.mm()));
    placement.bath_days = shown(placement.bath_days);
    if let Some(fit) = &mut placement.fit {
        fit.wall_gap = fit.wall_gap.map(length);
        fit.cover = fit.cover.map(length);
        fit.mouth_gap = fit.mouth_gap.map(length);
        fit.tissue_share = fit.tissue_share.map(|share| shown(share * 100.0) / 100.0);
        fit.life_years = fit.life_years.map(shown);
    }
}
