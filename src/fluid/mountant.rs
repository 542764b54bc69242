//! Kaiserling III: glycerol and an acetate in water, in the strengths that are in use.

use crate::units::{Mass, Volume};

/// One of the mixtures that go by this name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mixture {
    /// Its name among the mixtures.
    pub name: &'static str,
    /// Glycerol, ml.
    glycerol_ml: f64,
    /// The acetate, g.
    salt_g: f64,
    /// Which acetate.
    pub salt: &'static str,
    /// Stock formaldehyde, ml.
    stock_ml: f64,
    /// Water, ml; `None` where it is made up to a volume.
    water_ml: Option<f64>,
    /// Volume made, ml; where nothing is made up to a volume, the sum of the liquids, which is about right.
    makes_ml: f64,
    /// Where the amounts come from.
    pub source: &'static str,
}

/// The 40 % form, a lighter one and the oldest, in this order.
pub const KAISERLING_III: [Mixture; 3] = [
    Mixture {
        name: "40 % glycerol",
        glycerol_ml: 4000.0,
        salt_g: 1416.0,
        salt: "sodium acetate",
        stock_ml: 0.0,
        water_ml: None,
        makes_ml: 10_000.0,
        source: "E. Kaplan, Histonet list, March 2002",
    },
    Mixture {
        name: "lighter",
        glycerol_ml: 300.0,
        salt_g: 100.0,
        salt: "sodium acetate",
        stock_ml: 5.0,
        water_ml: Some(1000.0),
        makes_ml: 1305.0,
        source: "Museum Techniques (histology weblog), August 2017",
    },
    Mixture {
        name: "Warthin",
        glycerol_ml: 400.0,
        salt_g: 200.0,
        salt: "potassium acetate",
        stock_ml: 0.0,
        water_ml: Some(2000.0),
        makes_ml: 2400.0,
        source: "A. S. Warthin, Practical Pathology, 2nd ed., 1911",
    },
];

/// Amounts for a volume that is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MountantAmounts {
    /// Glycerol.
    pub glycerol: Volume,
    /// The acetate.
    pub salt: Mass,
    /// Stock formaldehyde; zero where none goes in (thymol then keeps mould off).
    pub stock: Volume,
    /// Water; `None`: made up to the volume.
    pub water: Option<Volume>,
    /// Volume made.
    pub made: Volume,
}

impl Mixture {
    /// The amounts for a volume that is made.
    pub fn amounts(&self, made: Volume) -> MountantAmounts {
        let times = made.ml() / self.makes_ml;
        let volume = |ml: f64| Volume::at_least_zero(ml * times);
        MountantAmounts {
            glycerol: volume(self.glycerol_ml),
            salt: Mass::at_least_zero(self.salt_g * times),
            stock: volume(self.stock_ml),
            water: self.water_ml.map(volume),
            made,
        }
    }
}
