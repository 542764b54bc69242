//! The portions of a row: pieces, fillings and fluid in each suitable vessel; and lists of them that many rows share.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use super::sieve::{Set, places};
use super::vessels::Vessels;
use crate::rules::FluidId;
use crate::stock::VesselId;
use crate::units::{Millilitres, Position};

/// The portion of a row in one vessel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Portion {
    /// Equal vessels the lot is divided over, at least 1.
    pub pieces: u32,
    /// Number of fillings.
    pub charges: u32,
    /// Fluid in one filled vessel, tissue not subtracted.
    pub filled: Millilitres,
}

/// The suitable vessels of a row, by id, with its portion of each.
pub type Fits = Arc<[(VesselId, Portion)]>;

/// The portions of a row in short form.
#[derive(Clone, Debug, PartialEq)]
pub struct Portions {
    fluid: FluidId,
    /// The vessels of which it takes one piece, filled once: nearly always all.
    plain: Set,
    /// The others, by id.
    others: Vec<(VesselId, Portion)>,
}

impl Portions {
    /// One piece, filled once, of each of these.
    pub(super) fn plain(fluid: FluidId, plain: Set) -> Self {
        Portions { fluid, plain, others: Vec::new() }
    }

    /// Adds a portion, if any, of the vessel at a position of the stock list.
    pub(super) fn add(&mut self, at: usize, portion: Option<Portion>) {
        match portion {
            Some(Portion { pieces: 1, charges: 1, .. }) => self.plain[at / 64] |= 1 << (at % 64),
            Some(portion) => self.others.push((VesselId::at(at), portion)),
            None => {}
        }
    }

    /// Sorts the portions, so that equal ones compare equal in whatever order they were added.
    pub(super) fn sorted(mut self) -> Self {
        self.others.sort_unstable_by_key(|(id, _)| *id);
        self
    }

    /// True if no vessel is suitable.
    pub fn is_empty(&self) -> bool {
        self.others.is_empty() && self.plain.iter().all(|word| *word == 0)
    }

    /// The portions by vessel.
    pub fn list(&self, vessels: &Vessels) -> Vec<(VesselId, Portion)> {
        let in_fluid = vessels.with(self.fluid);
        let plain = places(&self.plain).map(|at| {
            let place = &in_fluid[at];
            (place.id, Portion { pieces: 1, charges: 1, filled: place.filled })
        });
        let mut list: Vec<_> = plain.chain(self.others.iter().copied()).collect();
        list.sort_unstable_by_key(|(id, _)| *id);
        list
    }

    fn digest(&self) -> u64 {
        let others = self
            .others
            .iter()
            .flat_map(|(id, portion)| [u64::from(id.0) << 32 | u64::from(portion.pieces), u64::from(portion.charges)]);
        digest(self.plain.iter().copied().chain([u64::from(self.fluid.0)]).chain(others))
    }
}

/// Lists of fits. Equal lists of one fluid are stored once: a large survey has many rows and few different lists.
#[derive(Default)]
pub struct Lists {
    /// Divided by digest, so that threads seldom wait for the same lock.
    shares: [Mutex<ByDigest>; 32],
}

type ByDigest = HashMap<u64, Vec<(Portions, Fits)>>;

impl Lists {
    /// The list of a row's portions: one list for all rows with equal portions.
    pub fn of(&self, portions: Portions, vessels: &Vessels) -> Fits {
        let digest = portions.digest();
        let share =
            &self.shares[usize::try_from(digest % self.shares.len() as u64).expect("below the number of shares")];
        // Poisoning is ignored: nothing under the lock can panic and leave half a list.
        let mut by_digest = share.lock().unwrap_or_else(PoisonError::into_inner);
        let alike = by_digest.entry(digest).or_default();
        if let Some((_, list)) = alike.iter().find(|(first, _)| *first == portions) {
            return Arc::clone(list);
        }
        let list: Fits = portions.list(vessels).into();
        alike.push((portions, Arc::clone(&list)));
        list
    }
}

/// FNV-1a by 64-bit words instead of bytes (G. Fowler, L. C. Noll, K.-P. Vo, the FNV hash). Lists with the same digest are still
/// compared.
pub fn digest(words: impl Iterator<Item = u64>) -> u64 {
    words.fold(0xcbf2_9ce4_8422_2325, |digest, word| (digest ^ word).wrapping_mul(0x0000_0100_0000_01b3))
}
