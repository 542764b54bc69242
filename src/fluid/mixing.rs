//! Mixing two fluids of one kind: dilution, strengthening, topping up. Masses add; volumes follow from the densities.

use std::fmt;

use super::curve::rising_root;
use super::{Solute, Solution};
use crate::units::{Density, Mass, MassFraction, Temperature, Volume, decimal};

/// An amount of a liquid: its volume at the temperature asked for, and its mass.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct LiquidPart {
    /// Its volume.
    pub volume: Volume,
    /// Its mass.
    pub mass: Mass,
}

/// Two liquids poured together, and what comes out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blend {
    /// The liquid that is there.
    pub present: LiquidPart,
    /// The liquid that is added.
    pub added: LiquidPart,
    /// Both together.
    pub mixed: LiquidPart,
    /// The solution that they make.
    pub solution: Solution,
}

impl Blend {
    /// By how much the volume falls short of the sum, as a ratio of the sum; negative where it grows.
    pub fn contraction(&self) -> f64 {
        let sum = self.present.volume + self.added.volume;
        if sum > Volume::ZERO { 1.0 - self.mixed.volume.ml() / sum.ml() } else { 0.0 }
    }
}

/// Why two liquids cannot be mixed as asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unmixable {
    /// They are of different kinds, so the density of their mixture is not known.
    DifferentKinds(Solute, Solute),
    /// The strength wanted does not lie between theirs. Per cent: one, the other, the one wanted.
    NotBetween(f64, f64, f64),
    /// No density is known at this temperature.
    NoDensity(Solute, Temperature),
    /// There is no room for anything to be added.
    AlreadyFull,
}

impl fmt::Display for Unmixable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unmixable::DifferentKinds(one, other) => {
                write!(f, "{} and {} are different fluids", one.spoken(), other.spoken())
            }
            Unmixable::NotBetween(one, other, wanted) => write!(
                f,
                "{} % is not between {} and {} %",
                decimal(*wanted, 2),
                decimal(one.min(*other), 2),
                decimal(one.max(*other), 2)
            ),
            Unmixable::NoDensity(solute, at) => write!(f, "the density of {} at {at} is not known", solute.spoken()),
            Unmixable::AlreadyFull => f.write_str("there is no room to add anything"),
        }
    }
}

/// How much of two liquids makes a volume of a third: stock and water for a dilution, present fluid and stock to restore a strength.
///
/// # Errors
/// They are of different kinds, the strength wanted does not lie between theirs, or no density is known at this temperature.
pub fn blend(
    present: Solution,
    added: Solution,
    wanted: Solution,
    made: Volume,
    at: Temperature,
) -> Result<Blend, Unmixable> {
    let share = added_share(present, added, wanted)?;
    let mass = density(wanted, at)? * made;
    let part = |solution, mass: Mass| Ok(LiquidPart { volume: mass / density(solution, at)?, mass });
    Ok(Blend {
        present: part(present, mass * (1.0 - share))?,
        added: part(added, mass * share)?,
        mixed: LiquidPart { volume: made, mass },
        solution: wanted,
    })
}

/// How much of a second liquid brings a present volume to the strength wanted. Room in the vessel is not checked.
///
/// # Errors
/// As for [`blend`]; the strength wanted must differ from that of what is added.
pub fn add(
    present: Solution,
    volume: Volume,
    added: Solution,
    wanted: Solution,
    at: Temperature,
) -> Result<Blend, Unmixable> {
    let share = added_share(present, added, wanted)?;
    if share >= 1.0 {
        return Err(Unmixable::NotBetween(present.strength_pct(), added.strength_pct(), wanted.strength_pct()));
    }
    let mass = density(present, at)? * volume;
    let all = Mass::at_least_zero(mass.g() / (1.0 - share));
    blend(present, added, wanted, all / density(wanted, at)?, at)
}

/// Two volumes poured together.
///
/// # Errors
/// They are of different kinds, or no density is known at this temperature.
pub fn pour_together(
    present: Solution,
    volume: Volume,
    added: Solution,
    more: Volume,
    at: Temperature,
) -> Result<Blend, Unmixable> {
    same_kind(present, added)?;
    let present_part = LiquidPart { volume, mass: density(present, at)? * volume };
    let added_part = LiquidPart { volume: more, mass: density(added, at)? * more };
    let mass = present_part.mass + added_part.mass;
    let solute = present_part.mass * present.by_mass.ratio() + added_part.mass * added.by_mass.ratio();
    let by_mass = if mass > Mass::ZERO { MassFraction::within(solute.g() / mass.g()) } else { present.by_mass };
    let solution = Solution { solute: present.solute, by_mass };
    let mixed = LiquidPart { volume: mass / density(solution, at)?, mass };
    Ok(Blend { present: present_part, added: added_part, mixed, solution })
}

/// What to pour into a vessel whose level has fallen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TopUp {
    /// What is poured in, at most as strong as the stock.
    pub with: Solution,
    /// The fluid present, the fluid added and the result.
    pub blend: Blend,
}

/// Tops up a vessel with the strength that brings it back to the strength wanted. Where not even the stock does, it is topped up
/// with the stock and becomes weaker than wanted; where not even water does, with water, and it becomes stronger.
///
/// # Errors
/// The fluids are of different kinds, no density is known at this temperature, or the vessel is full.
pub fn top_up(
    present: Solution,
    volume: Volume,
    full: Volume,
    stock: Solution,
    wanted: Solution,
    at: Temperature,
) -> Result<TopUp, Unmixable> {
    same_kind(present, stock)?;
    same_kind(present, wanted)?;
    if full <= volume {
        return Err(Unmixable::AlreadyFull);
    }
    let (there, all) = (density(present, at)? * volume, density(wanted, at)? * full);
    let missing = all.g() - there.g();
    let solute = all.g() * wanted.by_mass.ratio() - there.g() * present.by_mass.ratio();
    // If the fluid present weighs more than the vessel full at the strength wanted, only the stock lowers its density.
    let needed = if missing > 0.0 { solute / missing } else { f64::INFINITY };
    let by_mass = MassFraction::within(needed.clamp(0.0, stock.by_mass.ratio()));
    let with = Solution { solute: stock.solute, by_mass };
    // The volume added that fills the vessel is at least the gap, and at most the gap and the contraction. A little water takes up
    // no less than 0.75 of its own volume in strong alcohol (OIML R 22, from 0 to 40 °C).
    let gap = full.ml() - volume.ml();
    let most = gap * 1.5;
    let short = |share: f64| {
        let poured = pour_together(present, volume, with, Volume::at_least_zero(most * share), at);
        poured.map_or(-1.0, |blend| blend.mixed.volume.ml() - full.ml())
    };
    density(with, at)?;
    let more = Volume::at_least_zero(most * rising_root(short).ratio());
    Ok(TopUp { with, blend: pour_together(present, volume, with, more, at)? })
}

fn same_kind(one: Solution, other: Solution) -> Result<(), Unmixable> {
    if one.solute == other.solute { Ok(()) } else { Err(Unmixable::DifferentKinds(one.solute, other.solute)) }
}

fn density(solution: Solution, at: Temperature) -> Result<Density, Unmixable> {
    solution.density(at).ok_or(Unmixable::NoDensity(solution.solute, at))
}

/// Share by mass of the added liquid in the mixture of the strength wanted.
fn added_share(present: Solution, added: Solution, wanted: Solution) -> Result<f64, Unmixable> {
    same_kind(present, added)?;
    same_kind(present, wanted)?;
    let (from, to, by) = (present.by_mass.ratio(), wanted.by_mass.ratio(), added.by_mass.ratio());
    let outside = Unmixable::NotBetween(present.strength_pct(), added.strength_pct(), wanted.strength_pct());
    if from == by {
        return if to == from { Ok(0.0) } else { Err(outside) };
    }
    let share = (to - from) / (by - from);
    if (0.0..=1.0).contains(&share) { Ok(share) } else { Err(outside) }
}
