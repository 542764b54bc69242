//! Densities, temperatures and strengths. Strengths by volume and by mass are different types, because taking one for the
//! other is an error of ten points.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Div, Mul};

use super::{Mass, Volume, decimal};

measured!(
    /// A density in kilograms a cubic metre, which is grams a litre.
    Density, kg_m3, "kilograms a cubic metre"
);

impl Density {
    /// The number of grams a millilitre.
    pub fn g_ml(self) -> f64 {
        self.kg_m3() / 1000.0
    }

    /// Mass of this volume.
    pub fn mass_of(self, volume: Volume) -> Mass {
        Mass::at_least_zero(volume.ml() * self.g_ml())
    }
}

impl Div<Density> for Mass {
    type Output = Volume;
    /// Volume of this mass.
    ///
    /// # Panics
    /// If the density is zero; no liquid has that.
    fn div(self, density: Density) -> Volume {
        Volume::at_least_zero(self.g() / density.g_ml())
    }
}

impl Mul<Volume> for Density {
    type Output = Mass;
    fn mul(self, volume: Volume) -> Mass {
        self.mass_of(volume)
    }
}

/// A temperature in degrees Celsius, finite and not below absolute zero.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// 20 °C, at which strengths by volume are stated.
    pub const STANDARD: Self = Self(20.0);

    /// From degrees Celsius; `None` if not finite or below absolute zero.
    pub fn new(celsius: f64) -> Option<Self> {
        (celsius.is_finite() && celsius >= -273.15).then_some(Self(celsius))
    }

    /// Degrees Celsius.
    pub const fn celsius(self) -> f64 {
        self.0
    }
}

impl fmt::Display for Temperature {
    /// `20 °C`, `17.5 °C`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} °C", decimal(self.0, 1))
    }
}

macro_rules! fraction {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Water alone.
            pub const NONE: Self = Self(0.0);
            /// The pure substance.
            pub const PURE: Self = Self(1.0);

            /// From a ratio of 0 to 1; `None` outside.
            pub fn new(ratio: f64) -> Option<Self> {
                (0.0..=1.0).contains(&ratio).then_some(Self(ratio))
            }

            /// From a result of arithmetic, brought within 0 to 1.
            pub fn within(ratio: f64) -> Self {
                Self(ratio.clamp(0.0, 1.0))
            }

            /// From 0 to 1.
            pub const fn ratio(self) -> f64 {
                self.0
            }

            /// From 0 to 100.
            pub fn percent(self) -> f64 {
                self.0 * 100.0
            }
        }
    };
}

fraction!(
    /// Volume of the pure substance over the volume of the mixture, both at 20 °C.
    VolumeFraction
);
fraction!(
    /// Mass of the pure substance over the mass of the mixture.
    MassFraction
);
