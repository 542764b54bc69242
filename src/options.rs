//! Judges each specimen against each vessel: an option, or a refusal with the first rule that fails and by how much.
//!
//! Rules in order, after the pins of the row: 1 compatible, 2 mouth, 3 room, 4 crowding, 5 shelf, 6 supply. Tanks made to measure
//! are options too ([`tank`]). The choice among options is made in [`crate::assign`].

pub mod compatible;
pub mod filling;
pub mod in_fluid;
pub mod judge;
pub mod portions;
pub mod shared;
mod sieve;
mod standing;
pub mod table;
pub mod tank;
pub mod tissue;
pub mod treatment;
pub mod vessels;

use crate::fit::Stance;
use crate::units::{Length, Millilitres};
pub use filling::Filling;
pub use judge::judge;
pub use treatment::Treatment;
pub use vessels::Vessels;

/// How one specimen fits one vessel, or several equal vessels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Equal vessels the lot is divided over, at least 1.
    pub pieces: u32,
    /// What is vertical; `None` where the size was taken from the present vessel.
    pub stance: Option<Stance>,
    /// It leans and needs support.
    pub leaning: bool,
    /// Free space at the wall, as it stands; `None` where not measured.
    pub wall_gap: Option<Length>,
    /// Fluid above the highest point; `None` where not measured.
    pub cover: Option<Length>,
    /// Free space in the mouth, both sides together; `None` where not measured.
    pub mouth_gap: Option<Length>,
    /// Volume of tissue divided by the filled volume, in the fullest vessel; `None` where the tissue is not known.
    pub tissue_share: Option<f64>,
    /// Years until the material, the closure or a pair with the fluid reaches the end of its life; `None` = no limit.
    pub life_years: Option<f64>,
    /// Number of fillings.
    pub charges: u32,
    /// Fluid in one filled vessel, tissue not subtracted.
    pub filled: Millilitres,
    /// Tissue subtracted from the fluid of the row.
    pub tissue: Millilitres,
    /// What must be reviewed before it is carried out.
    pub marks: Marks,
}

impl Fit {
    /// Fluid of one filling of all its vessels.
    pub fn fluid(&self) -> Millilitres {
        self.filled * i64::from(self.pieces) - self.tissue
    }
}

/// What must be reviewed before an option is carried out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Hash, PartialOrd, Ord)]
pub struct Marks {
    /// A pair of fluid and material or closure about which nothing is known was accepted.
    pub unproven: bool,
    /// The tissue was estimated from the envelope.
    pub tissue_estimated: bool,
    /// The size was taken from the present vessel.
    pub size_from_vessel: bool,
    /// It leans and needs support.
    pub leaning: bool,
    /// Its closure must be renewed within the years it is to be kept.
    pub renewed: bool,
    /// It goes in end on and is turned below the neck.
    pub turned_in: bool,
    /// Its coil is tighter than usual (`coil_core`) and must be reviewed.
    pub tight_coil: bool,
    /// No steps are known from the fluid it is in to its own.
    pub steps_unknown: bool,
    /// It is not known whether so many fillings bring it to its strength.
    pub fillings_unknown: bool,
    /// Its tissue is only a very small share of what the vessel holds.
    pub very_loose: bool,
    /// The strength of the fluid it is in is not known.
    pub strength_not_known: bool,
    /// A pair of fluid and material or closure that its table marks for review.
    pub doubtful_pair: bool,
    /// Its lid lies loose, and seals nothing.
    pub loose_lid: bool,
}

impl Marks {
    /// Whether anything must be reviewed.
    pub fn any(self) -> bool {
        self != Marks::default()
    }
}

/// An enum of what has a name in files, with the list of all of them.
macro_rules! named {
    ($(#[$doc:meta])+ $kind:ident { $($(#[$note:meta])+ $variant:ident $name:literal;)+ }) => {
        $(#[$doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $kind {
            $($(#[$note])+ $variant,)+
        }

        impl $kind {
            /// All of them, in their order.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// Its name in files.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => $name,)+
                }
            }
        }
    };
}

named! {
    /// The rules of an option in the order they are asked.
    Rule {
        /// `must_use` and `must_not_use` of the row.
        Pin "pin";
        /// Compatibility of material and closure with the fluid, their lives, and display.
        Compatible "compatible";
        /// The body passes the mouth.
        Mouth "mouth";
        /// The body stands inside with the required clearance and cover.
        Room "room";
        /// The share of tissue in the filled volume is small enough.
        Crowding "crowding";
        /// The vessel is low enough for its shelf.
        Shelf "shelf";
        /// A piece is free, or may be ordered.
        Supply "supply";
    }
}

/// The first rule that fails, and by how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refusal {
    /// Which rule.
    pub rule: Rule,
    /// What exactly fails.
    pub cause: Cause,
    /// By how much, in the cause's unit, rounded up to one decimal; `None` where it is not a matter of degree.
    pub shortfall: Option<f64>,
}

named! {
    /// What exactly fails.
    Cause {
        /// `must_use` names other vessels.
        PinnedElsewhere "required-elsewhere";
        /// Named in `must_not_use`.
        Excluded "excluded";
        /// The material does not suit the fluid.
        MaterialUnsuitable "material-unsuitable";
        /// The closure does not suit the fluid.
        ClosureUnsuitable "closure-unsuitable";
        /// Nothing is known about the material in the fluid.
        MaterialUnproven "material-unproven";
        /// Nothing is known about the closure over the fluid.
        ClosureUnproven "closure-unproven";
        /// Lasts fewer years than it is to be kept.
        LifeTooShort "life-too-short";
        /// Cannot be seen through.
        NotClear "not-clear";
        /// Has no flat faces.
        NotFlat "not-flat";
        /// The mouth is too narrow (mm).
        MouthTooNarrow "mouth-too-narrow";
        /// The body is too narrow (mm).
        TooNarrow "too-narrow";
        /// The filled part or the body below the shoulder is too low (mm).
        TooLow "too-low";
        /// The tissue share is too high (percentage points).
        TooCrowded "too-crowded";
        /// Too high for its shelf (mm).
        TooHighForShelf "too-high-for-shelf";
        /// No free piece, and no offer that may be ordered (pieces).
        NoneToBeHad "none-available";
        /// The present vessel is larger in some measure (mm).
        SmallerThanPresent "smaller-than-present";
        /// The present vessel has a larger brimful volume (ml).
        HoldsLessThanPresent "holds-less-than-present";
    }
}

impl Refusal {
    /// A refusal that is not a matter of degree.
    pub fn plain(rule: Rule, cause: Cause) -> Self {
        Self { rule, cause, shortfall: None }
    }

    /// A refusal by so much, rounded up to one decimal.
    pub fn by(rule: Rule, cause: Cause, amount: f64) -> Self {
        Self { rule, cause, shortfall: Some((amount * 10.0 - 1e-6).ceil().max(1.0) / 10.0) }
    }
}

impl Cause {
    /// The unit of its shortfall.
    pub fn unit(self) -> ShortfallUnit {
        match self {
            Cause::LifeTooShort => ShortfallUnit::Years,
            Cause::MouthTooNarrow
            | Cause::TooNarrow
            | Cause::TooLow
            | Cause::TooHighForShelf
            | Cause::SmallerThanPresent => ShortfallUnit::Millimetres,
            Cause::HoldsLessThanPresent => ShortfallUnit::Millilitres,
            Cause::TooCrowded => ShortfallUnit::PerCent,
            Cause::NoneToBeHad => ShortfallUnit::Pieces,
            Cause::PinnedElsewhere
            | Cause::Excluded
            | Cause::MaterialUnsuitable
            | Cause::ClosureUnsuitable
            | Cause::MaterialUnproven
            | Cause::ClosureUnproven
            | Cause::NotClear
            | Cause::NotFlat => ShortfallUnit::Nothing,
        }
    }
}

named! {
    /// The unit of a shortfall; its name is blank where there is no shortfall.
    ShortfallUnit {
        /// Not a matter of degree.
        Nothing "";
        /// Millimetres.
        Millimetres "mm";
        /// Millilitres.
        Millilitres "ml";
        /// Percentage points.
        PerCent "%";
        /// Years.
        Years "years";
        /// Pieces of a vessel.
        Pieces "pieces";
    }
}
