//! Why each row of the survey gets what it gets, as facts. In words: [`crate::words`].

use crate::collection::{Hold, Specimen, VesselChoice};
use crate::options::judge::{judge, nearness};
use crate::options::table::{Judged, NearMiss, Unknown};
use crate::options::tank::{NoTank, TankOption};
use crate::options::{Marks, Refusal};
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::Money;

/// Why a row gets what it gets.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// It gets a listed vessel.
    Vessel {
        /// Kinds of listed vessels that are suitable.
        suitable: u32,
    },
    /// The survey requires a tank.
    TankRequired,
    /// No listed vessel is suitable, so it gets a tank. The nearest miss is a field of the placement.
    TankOnly,
    /// Vessels are suitable too, but the tank gives the least cost over the whole plan.
    TankCheapest {
        /// Kinds of listed vessels that are suitable.
        suitable: u32,
    },
    /// It is deferred: it waits.
    Waits(Box<Wait>),
    /// Something is unknown that must be found out first.
    Unknown(Unknown),
    /// No listed vessel is suitable, and no tank is made for it.
    NoOption(Option<Box<NoTank>>),
    /// Every vessel that the survey requires is refused; this one comes nearest to suitable.
    RequiredVesselRefused(Box<NearMiss>),
    /// The survey requires a tank, and none is made for it.
    RequiredTankRefused(Option<Box<NoTank>>),
    /// It is not to be moved.
    Held(Hold),
}

/// What stops a row from being added to the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wait {
    /// The cause.
    pub cause: WaitCause,
    /// Kinds of listed vessels that are suitable; 0 if only a tank is.
    pub suitable: u32,
}

/// What stops a row from being added, in the order of what a person would try first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WaitCause {
    /// The budget.
    Money {
        /// The money of its cheapest place, with all other lots where they are. Less may do where others move.
        by_itself: Money,
        /// The part of the budget that the decision did not spend.
        left: Money,
        /// Money left after fluid is bought in whole containers, if that is more than `left`.
        unspent: Option<Money>,
    },
    /// The money would suffice on its own; the budget together with the suppliers' terms or a limit on the whole plan prevents it.
    BudgetOrTerms,
    /// There is no budget; the suppliers' terms, spare pieces or a limit on the whole plan prevents it.
    Terms,
    /// The limit on the number of vessel kinds or of suppliers.
    Limits,
    /// Every suitable piece is taken, and no more can be ordered.
    Stock,
}

/// Why a lot gets a tank made to measure.
pub fn in_tank(specimen: &Specimen, judged: &Judged) -> Reason {
    if specimen.particulars.must_use == [VesselChoice::Tank] {
        return Reason::TankRequired;
    }
    match judged.suitable() {
        0 => Reason::TankOnly,
        suitable => Reason::TankCheapest { suitable },
    }
}

/// Marks that must be reviewed before a tank is made.
pub fn marks_of_tank(tank: &TankOption) -> Marks {
    Marks { unproven: tank.unproven, loose_lid: tank.loose_lid, ..tank.marks }
}

/// The reason of a row for which no vessel and no tank is suitable.
pub fn needs_decision(project: &Project, specimen: &Specimen, no_tank: Option<&NoTank>) -> Reason {
    let no_tank = no_tank.cloned().map(Box::new);
    if specimen.particulars.must_use.is_empty() {
        return Reason::NoOption(no_tank);
    }
    let refusals = specimen.particulars.must_use.iter().filter_map(|choice| match *choice {
        VesselChoice::Listed(id) => judge(project, specimen, id).err().map(|refusal| (id, refusal)),
        VesselChoice::Tank => None,
    });
    let nearest = refusals.min_by_key(|(id, refusal): &(VesselId, Refusal)| (nearness(refusal), *id));
    nearest.map_or(Reason::RequiredTankRefused(no_tank), |miss| Reason::RequiredVesselRefused(Box::new(miss)))
}
