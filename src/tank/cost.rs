//! The cost of a tank, line by line, from the settings. Every default price is an estimate for the user to replace.

use super::panes::{Build, Piece};
use crate::settings::Settings;
use crate::units::{Length, Money, truncated};

/// A price in its parts, each rounded to the hundredth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Cost {
    /// Glass by area and thickness, cutting waste included.
    pub glass: Money,
    /// Edges, and the opening of the lid.
    pub edge_work: Money,
    /// Set-up, and the amount that is missing to the glazier's minimum.
    pub set_up: Money,
    /// Whole cartridges.
    pub sealant: Money,
    /// Hours of building.
    pub labour: Money,
    /// Delivery.
    pub delivery: Money,
}

impl Cost {
    /// The sum of all parts.
    pub fn total(&self) -> Money {
        self.parts().into_iter().map(|(_, money)| money).sum()
    }

    /// Each part with its amount.
    pub fn parts(&self) -> [(TankPrice, Money); 6] {
        [
            (TankPrice::Glass, self.glass),
            (TankPrice::EdgeWork, self.edge_work),
            (TankPrice::SetUp, self.set_up),
            (TankPrice::Sealant, self.sealant),
            (TankPrice::Labour, self.labour),
            (TankPrice::Delivery, self.delivery),
        ]
    }
}

/// A price in the settings from which tanks are priced: one setting, or two that belong together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TankPrice {
    /// Glass by area and thickness.
    Glass,
    /// Edges, sharp and ground.
    EdgeWork,
    /// Set-up of a size, and the glazier's minimum.
    SetUp,
    /// Set-up of a further tank of a size.
    SetUpAgain,
    /// A cartridge of sealant.
    Sealant,
    /// An hour of building.
    Labour,
    /// Delivery.
    Delivery,
}

/// The prices of tanks that are still at their defaults.
pub fn defaults_in_use(settings: &Settings) -> Vec<TankPrice> {
    let given = Settings::default();
    let parts = [
        (TankPrice::Glass, settings.glass_prices == given.glass_prices),
        (TankPrice::EdgeWork, settings.edge_per_m == given.edge_per_m && settings.ground_per_m == given.ground_per_m),
        (
            TankPrice::SetUp,
            settings.glass_set_up == given.glass_set_up && settings.glass_minimum == given.glass_minimum,
        ),
        (TankPrice::SetUpAgain, settings.share_sizes && settings.glass_set_up_again == given.glass_set_up_again),
        (TankPrice::Sealant, settings.cartridge_price == given.cartridge_price),
        (TankPrice::Labour, settings.tank_rate_per_hour == given.tank_rate_per_hour),
        (TankPrice::Delivery, settings.tank_delivery == given.tank_delivery),
    ];
    parts.into_iter().filter(|(_, default)| *default).map(|(price, _)| price).collect()
}

/// Whole cartridges of sealant, waste included.
pub fn cartridges(settings: &Settings, build: &Build) -> i64 {
    let needed = build.sealant().ml() * (1.0 + settings.sealant_waste_pct.ratio());
    truncated((needed / settings.cartridge_ml.0 - 1e-9).ceil().max(1.0))
}

/// Price of a square metre of glass of a thickness; 0 where it is not stocked.
pub(super) fn glass_price(settings: &Settings, thickness: Length) -> f64 {
    let stocked = settings.glass_prices.0.iter().find(|(stocked, _)| *stocked == thickness);
    stocked.map_or(0.0, |(_, price)| price.approximate())
}

/// Prices a tank.
pub fn cost(settings: &Settings, build: &Build, pieces: &[Piece]) -> Cost {
    let each = |of: &dyn Fn(&Piece) -> f64| pieces.iter().map(|piece| f64::from(piece.count) * of(piece)).sum::<f64>();
    let glass = hundredths(
        each(&|p| p.area_m2() * glass_price(settings, p.thickness)) * (1.0 + settings.glass_waste_pct.ratio()),
    );
    let metres = |length: Length| length.mm() / 1000.0;
    let sharp = each(&|p| metres(p.edge().less(p.ground))) * settings.edge_per_m.approximate();
    let ground = each(&|p| metres(p.ground)) * settings.ground_per_m.approximate();
    let openings = each(&|p| f64::from(u8::from(p.opening))) * settings.opening_price.approximate();
    let edge_work = hundredths(sharp + ground + openings);
    let lacking = settings.glass_minimum - glass - edge_work;
    let seam = metres(build.seam() + build.lid_seam());
    let hours = settings.tank_hours.0 + settings.tank_hours_per_m.0 * seam;
    Cost {
        glass,
        edge_work,
        set_up: settings.glass_set_up.max(lacking),
        sealant: settings.cartridge_price * cartridges(settings, build),
        labour: hundredths(hours * settings.tank_rate_per_hour.approximate()),
        delivery: settings.tank_delivery,
    }
}

/// Set-up cost of the first and of each further tank of one size, from the cost of one alone. The first bears the set-up of the size,
/// or the amount that all of them together lack to the minimum if that is more.
pub fn shared_set_up(settings: &Settings, one: &Cost, tanks: i64) -> (Money, Money) {
    let further = settings.glass_set_up_again;
    let lacking = settings.glass_minimum - (one.glass + one.edge_work) * tanks - further * (tanks - 1);
    (settings.glass_set_up.max(lacking), further)
}

/// Rounded to the nearest hundredth. An amount too large to hold becomes a billion units, which is beyond any budget.
fn hundredths(units: f64) -> Money {
    Money::estimate((units * 100.0).round() / 100.0).unwrap_or(Money::whole(1_000_000_000))
}
