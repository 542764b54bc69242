//! Upper limits of settings, and pairs of settings of which one may not exceed the other.
//!
//! Most limits are far above any sensible value (common practice, no source): they keep a typing error, or a faulty program, from
//! becoming a figure of a plan. A share is limited to the whole.

use super::Settings;
use crate::units::decimal;

/// Largest accepted number by key, as typed. Strengths, stresses and ratios have ranges of their own.
const MOST: &[(&str, f64)] = &[
    ("keep_years", 1000.0),
    ("max_vessel_types", 1e6),
    ("max_suppliers", 1e6),
    ("spare_pct", 1000.0),
    ("per_day", 1e6),
    ("priority.weights", 10_000.0),
    ("clearance.wall_pct", 50.0),
    ("clearance.wall_min_mm", 1000.0),
    ("clearance.wall_max_mm", 1000.0),
    ("clearance.mouth_pct", 100.0),
    ("clearance.mouth_min_mm", 1000.0),
    ("clearance.mouth_max_mm", 1000.0),
    ("clearance.floor_mm", 1000.0),
    ("clearance.cover_pct", 100.0),
    ("clearance.cover_min_mm", 1000.0),
    ("clearance.cover_max_mm", 1000.0),
    ("clearance.coil_core", 100.0),
    ("clearance.coil_core_least", 100.0),
    ("headspace.alcohol_controlled_pct", 90.0),
    ("headspace.alcohol_uncontrolled_pct", 90.0),
    ("headspace.sealed_pct", 90.0),
    ("headspace.aqueous_pct", 90.0),
    ("headspace.least_mm", 1000.0),
    ("tissue.share_pct", 100.0),
    ("tissue.very_loose_pct", 100.0),
    ("tissue.density_g_ml", 10.0),
    ("tissue.high_rounded", 1.0),
    ("tissue.high_box", 1.0),
    ("tissue.low", 1.0),
    ("tissue.exchange_pct", 100.0),
    ("fluid.weaker_pct", 100.0),
    ("fluid.tub_ratio", 1000.0),
    ("fluid.loss_pct", 1000.0),
    ("fluid.bath_thickness_mm", 10_000.0),
    ("fluid.tax_pct", 1000.0),
    ("labels.width_mm", 400.0),
    ("labels.height_mm", 400.0),
    ("labour.minutes_per_move", 10_000.0),
    ("labour.minutes_per_vessel", 10_000.0),
    ("labour.minutes_per_filling", 10_000.0),
    ("labour.minutes_per_bath", 10_000.0),
    ("labour.minutes_per_tank", 10_000.0),
    ("labour.minutes_per_renewal", 10_000.0),
    ("labour.people", 10_000.0),
    ("labour.hours_per_day", 24.0),
    ("labour.rate_per_hour", 1e6),
    ("tank.wall_mm", 10_000.0),
    ("tank.floor_mm", 10_000.0),
    ("tank.cover_mm", 10_000.0),
    ("tank.freeboard_mm", 10_000.0),
    ("tank.round_up_mm", 1000.0),
    ("tank.smallest_side_mm", 10_000.0),
    ("tank.share_within_mm", 10_000.0),
    ("tank.deflection_span_over", 100_000.0),
    ("tank.least_thickness_mm", 100.0),
    ("tank.least_bite_mm", 100.0),
    ("tank.hand_load_n", 10_000.0),
    ("tank.coldest_c", 50.0),
    ("tank.joint_mm", 100.0),
    ("tank.fillet_mm", 100.0),
    ("tank.sealant_waste_pct", 1000.0),
    ("tank.cartridge_ml", 1e6),
    ("tank.cure_days", 3650.0),
    ("tank.hours", 10_000.0),
    ("tank.hours_per_m", 10_000.0),
    ("tank.rate_per_hour", 1e6),
    ("glass.waste_pct", 1000.0),
    ("glass.kerf_mm", 100.0),
    ("glass.modulus_gpa", 1000.0),
    ("glass.density_g_ml", 10.0),
    ("solver.gap_pct", 100.0),
    ("solver.time_limit_s", 1e6),
];

/// Largest accepted number of all other settings, which are amounts of money.
pub const LARGEST: f64 = 1e9;

/// Largest accepted number of a key.
pub fn most(key: &str) -> f64 {
    MOST.iter().find(|(known, _)| *known == key).map_or(LARGEST, |(_, most)| *most)
}

/// Two settings in the wrong order of size.
pub struct Crossed {
    /// Key of the setting that is too large.
    pub lower: &'static str,
    /// Key of the setting that it may not exceed.
    pub upper: &'static str,
    /// Value of `lower`.
    pub is: String,
    /// Value of `upper`.
    pub at_most: String,
}

impl Settings {
    /// All pairs of settings in which the lower exceeds the upper.
    pub fn crossed(&self) -> Vec<Crossed> {
        let pairs = [
            ("clearance.wall_min_mm", self.wall_min.mm(), "clearance.wall_max_mm", self.wall_max.mm()),
            ("clearance.mouth_min_mm", self.mouth_min.mm(), "clearance.mouth_max_mm", self.mouth_max.mm()),
            ("clearance.cover_min_mm", self.cover_min.mm(), "clearance.cover_max_mm", self.cover_max.mm()),
            ("clearance.coil_core_least", self.coil_core_least.0, "clearance.coil_core", self.coil_core.0),
            ("tissue.low", self.tissue_low.0, "tissue.high_box", self.tissue_high_box.0),
            ("tissue.low", self.tissue_low.0, "tissue.high_rounded", self.tissue_high_rounded.0),
            ("tissue.very_loose_pct", self.very_loose_pct.0, "tissue.share_pct", self.tissue_share_pct.0),
        ];
        let crossed = pairs.into_iter().filter(|(_, lower, _, upper)| lower > upper);
        let crossed = crossed.map(|(lower, is, upper, at_most)| Crossed {
            lower,
            upper,
            is: decimal(is, 6),
            at_most: decimal(at_most, 6),
        });
        crossed.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_but_money_has_a_limit_of_its_own() {
        let numbers = ["Factor", "Length", "Option<u32>", "Percent", "PriorityWeights", "Seconds", "Years", "u32"];
        let limited = |key: &str| MOST.iter().any(|(named, _)| *named == key);
        let kinds = Settings::KINDS.iter().map(|kind| kind.replace(' ', ""));
        let settings = Settings::KEYS.iter().zip(kinds).filter(|(_, kind)| numbers.contains(&kind.as_str()));
        let without = settings.map(|(key, _)| *key).filter(|key| !limited(key));
        assert_eq!(without.collect::<Vec<_>>(), Vec::<&str>::new());
        let unknown = MOST.iter().map(|(key, _)| *key).filter(|key| !Settings::KEYS.contains(key));
        assert_eq!(unknown.collect::<Vec<_>>(), Vec::<&str>::new());
    }
}
