//! A substance in water at a strength, and its known densities.

use super::{curve, ethanol};
use crate::units::{Density, MassFraction, Temperature, VolumeFraction, decimal};

/// The substance that is mixed with water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Solute {
    /// Ethanol.
    Ethanol,
    /// Ethanol with a denaturant: a fluid of its own. Its densities are taken to be those of ethanol and water, as no
    /// table of a denaturant is known here; whoever shows them says so.
    DenaturedAlcohol,
    /// Isopropanol (propan-2-ol).
    Isopropanol,
    /// Glycerol.
    Glycerol,
}

impl Solute {
    /// All, with the first word of their ids.
    pub const NAMES: [(&'static str, Solute); 4] = [
        ("ethanol", Solute::Ethanol),
        ("denatured", Solute::DenaturedAlcohol),
        ("isopropanol", Solute::Isopropanol),
        ("glycerol", Solute::Glycerol),
    ];

    /// The first word of its ids.
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(_, solute)| *solute == self).map_or("", |(name, _)| name)
    }

    /// What people call it.
    pub fn spoken(self) -> &'static str {
        match self {
            Solute::DenaturedAlcohol => "denatured alcohol",
            solute => solute.name(),
        }
    }

    /// Where its densities come from.
    pub fn source(self) -> &'static str {
        match self {
            Solute::Ethanol => "OIML R 22, International alcoholometric tables, 1975, general formula",
            Solute::DenaturedAlcohol => {
                "OIML R 22, International alcoholometric tables, 1975, general formula for ethanol and water"
            }
            Solute::Isopropanol => {
                "CRC Handbook of Chemistry and Physics, 102nd ed., 2021, Concentrative properties of aqueous solutions; \
                 R. B. Lebo, Journal of the American Chemical Society 43 (1921) 1005, at 33.17 %"
            }
            Solute::Glycerol => {
                "CRC Handbook of Chemistry and Physics, 102nd ed., 2021, Concentrative properties of aqueous solutions"
            }
        }
    }

    /// True where the strength is by mass; the alcohols' is by volume at 20 °C.
    pub fn stated_by_mass(self) -> bool {
        self == Solute::Glycerol
    }

    /// Whether it is an alcohol, whose vapour burns.
    pub fn is_alcohol(self) -> bool {
        self != Solute::Glycerol
    }
}

/// A substance in water, at a strength.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Solution {
    /// The substance.
    pub solute: Solute,
    /// Its share by mass.
    pub by_mass: MassFraction,
}

impl Solution {
    /// Water, to mix with solutions of this substance.
    pub fn water(solute: Solute) -> Self {
        Self { solute, by_mass: MassFraction::NONE }
    }

    /// At a strength in per cent as the trade states it: by mass for glycerol, else by volume at 20 °C. `None` outside
    /// 0 to 100.
    pub fn of(solute: Solute, strength_pct: f64) -> Option<Self> {
        let by_mass = if solute.stated_by_mass() {
            MassFraction::new(strength_pct / 100.0)?
        } else {
            Self::by_mass(solute, VolumeFraction::new(strength_pct / 100.0)?)
        };
        Some(Self { solute, by_mass })
    }

    /// The solution that an id names: `ethanol-70`, `glycerol-62.5`. `None` for any other fluid.
    pub fn named(id: &str) -> Option<Self> {
        let (name, strength) = id.trim().rsplit_once('-')?;
        let (_, solute) = Solute::NAMES.iter().find(|(known, _)| known.eq_ignore_ascii_case(name))?;
        Self::of(*solute, strength.parse().ok()?)
    }

    /// Its id: `ethanol-70`, `glycerol-62.5`; `water` where nothing is in it.
    pub fn id(self) -> String {
        match self.by_mass {
            MassFraction::NONE => "water".to_owned(),
            _ => format!("{}-{}", self.solute.name(), decimal(self.strength_pct(), 2)),
        }
    }

    /// As people read it: its id where the strength is a whole number, as those of the tables are, else `ethanol 87.1 %`.
    pub fn spoken(self) -> String {
        let strength = self.strength_pct();
        if self.by_mass == MassFraction::NONE || (strength - strength.round()).abs() < 0.005 {
            return self.id();
        }
        format!("{} {} %", self.solute.spoken(), decimal(strength, 1))
    }

    /// Its strength in per cent, as the trade states it.
    pub fn strength_pct(self) -> f64 {
        if self.solute.stated_by_mass() { self.by_mass.percent() } else { self.by_volume().percent() }
    }

    /// Its strength by volume at 20 °C.
    pub fn by_volume(self) -> VolumeFraction {
        match self.solute {
            Solute::Ethanol | Solute::DenaturedAlcohol => ethanol::by_volume(self.by_mass),
            solute => {
                let pure = Self { solute, by_mass: MassFraction::PURE }.standard_density();
                VolumeFraction::within(self.by_mass.ratio() * self.standard_density().kg_m3() / pure.kg_m3())
            }
        }
    }

    /// The strength by mass of a strength by volume, by bisection.
    pub fn by_mass(solute: Solute, by_volume: VolumeFraction) -> MassFraction {
        curve::rising_root(|p| {
            let by_mass = MassFraction::within(p);
            Self { solute, by_mass }.by_volume().ratio() - by_volume.ratio()
        })
    }

    /// Its density; `None` where none is known here: ethanol outside −20 to +40 °C, the others away from 20 °C.
    pub fn density(self, at: Temperature) -> Option<Density> {
        match self.solute {
            Solute::Ethanol | Solute::DenaturedAlcohol => (ethanol::COLDEST..=ethanol::WARMEST)
                .contains(&at.celsius())
                .then(|| ethanol::density(self.by_mass, at)),
            _ => (at == Temperature::STANDARD).then(|| self.standard_density()),
        }
    }

    /// Its density at 20 °C.
    pub fn standard_density(self) -> Density {
        match self.solute {
            Solute::Ethanol | Solute::DenaturedAlcohol => ethanol::density(self.by_mass, Temperature::STANDARD),
            Solute::Isopropanol => curve::ISOPROPANOL.density(self.by_mass),
            Solute::Glycerol => curve::GLYCEROL.density(self.by_mass),
        }
    }

    /// By how much its volume grows from one temperature to another, as a ratio (0.0146 for 70 % ethanol from 20 to
    /// 35 °C); negative where it shrinks, `None` where a density is not known.
    pub fn growth(self, from: Temperature, to: Temperature) -> Option<f64> {
        Some(self.density(from)?.kg_m3() / self.density(to)?.kg_m3() - 1.0)
    }
}
