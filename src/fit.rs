//! Geometry only: bodies in rooms, through mouths, coiled, leaning or turned below a neck. It knows no fluids, files or prices.
//!
//! Clearances are taken off the room before it is passed here, never added to the body. Touching counts as fitting.

pub mod coil;
pub mod footprint;
pub mod leaning;
pub mod mouth;
pub mod turned_in;

use crate::collection::{Envelope, Posture};
use crate::units::Length;

/// What is vertical.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stance {
    /// As it naturally stands, lies or is mounted.
    Height,
    /// Along its length.
    Length,
    /// On its side.
    Width,
    /// Coiled along the wall.
    Coil,
}

impl Stance {
    /// The stances a posture allows, in the order they are preferred.
    pub fn allowed(posture: Posture) -> &'static [Stance] {
        match posture {
            Posture::AsSet => &[Stance::Height],
            Posture::Upright => &[Stance::Length],
            Posture::Either => &[Stance::Height, Stance::Length],
            Posture::Any => &[Stance::Height, Stance::Length, Stance::Width],
            Posture::Coil => &[Stance::Coil],
        }
    }

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Stance::Height => "as-set",
            Stance::Length => "upright",
            Stance::Width => "on-side",
            Stance::Coil => "coil",
        }
    }

    /// The stance with this name.
    pub fn named(name: &str) -> Option<Stance> {
        [Stance::Height, Stance::Length, Stance::Width, Stance::Coil].into_iter().find(|stance| stance.name() == name)
    }

    /// The vertical measure and the two across it. A coil has none before its vessel is known; its thickness stands for all three.
    pub fn measures(self, envelope: &Envelope) -> (Length, (Length, Length)) {
        let Envelope { length, width, height } = *envelope;
        match self {
            Stance::Height => (height, (length, width)),
            Stance::Length => (length, (width, height)),
            Stance::Width => (width, (length, height)),
            Stance::Coil => (width.max(height), (width.max(height), width.max(height))),
        }
    }
}
