//! All inputs of a project as read: survey, stock, rules and settings. Every later step uses this value.

use crate::collection::Collection;
use crate::rules::{FluidId, Rules};
use crate::settings::Settings;
use crate::stock::Stock;
use crate::units::Money;

/// Everything a plan is made from.
#[derive(Clone, Debug, Default)]
pub struct Project {
    /// The survey.
    pub collection: Collection,
    /// The stock list with its suppliers.
    pub stock: Stock,
    /// The rules in force.
    pub rules: Rules,
    /// The settings in force.
    pub settings: Settings,
    /// Whether a suppliers' file was given.
    pub suppliers_given: bool,
}

impl Project {
    /// Price of a litre of fluid in a vessel or a bath, with losses and tax, to four decimals; [`Money::MOST`] if that is too
    /// large for an amount (price, loss and tax all near their limits).
    pub fn fluid_price(&self, fluid: FluidId) -> Money {
        let (price, settings) = (self.rules.fluid(fluid).price, &self.settings);
        let (loss, tax) = (settings.fluid_loss_pct.ratio(), settings.fluid_tax_pct.ratio());
        if loss == 0.0 && tax == 0.0 {
            return price;
        }
        Money::estimate_or_most(price.approximate() * (1.0 + loss) * (1.0 + tax))
    }
}
