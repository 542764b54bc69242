//! Why a row gets what it gets, as `plan.json` has it: `"why": {"cause": "money", "by_itself": "86.02", …}`, beside the words.

use serde::{Deserialize, Serialize};

use super::object::{Fault, money_in};
use super::quantities::some_ratio;
use super::tank_limits::BeyondFile;
use crate::collection::Hold;
use crate::options::table::{NearMiss, Unknown};
use crate::options::tank::NoTank;
use crate::options::{Cause, Refusal, Rule};
use crate::plan::{Reason, Wait, WaitCause};
use crate::project::Project;
use crate::units::Money;

/// A reason in the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "cause", rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum Why {
    Vessel {
        suitable: u32,
    },
    TankRequired {},
    TankOnly {},
    TankCheapest {
        suitable: u32,
    },
    Money {
        by_itself: String,
        left: String,
        #[serde(skip_serializing_if = "Option::is_none", default)]
        unspent: Option<String>,
        suitable: u32,
    },
    BudgetOrTerms {
        suitable: u32,
    },
    Terms {
        suitable: u32,
    },
    Limits {
        suitable: u32,
    },
    Stock {
        suitable: u32,
    },
    Unknown {
        what: String,
    },
    NoOption {
        #[serde(skip_serializing_if = "Option::is_none", default)]
        no_tank: Option<WhyNoTank>,
    },
    RequiredVesselRefused {
        refused: Refused,
    },
    RequiredTankRefused {
        #[serde(skip_serializing_if = "Option::is_none", default)]
        no_tank: Option<WhyNoTank>,
    },
    Held {
        by: HeldBy,
        #[serde(skip_serializing_if = "Option::is_none", default)]
        hazard: Option<String>,
    },
}

/// What holds a row, in the file.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum HeldBy {
    Hold,
    Hazard,
    Disposition,
}

/// A refused vessel, in the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Refused {
    vessel: String,
    rule: String,
    cause: String,
    #[serde(skip_serializing_if = "Option::is_none", with = "some_ratio", default)]
    shortfall: Option<f64>,
    #[serde(skip_serializing_if = "str::is_empty", default)]
    unit: String,
}

/// Why no tank is made, in the file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "why", rename_all = "kebab-case", deny_unknown_fields)]
pub(crate) enum WhyNoTank {
    TooSmall {},
    NotMeasured {},
    Refused {
        rule: String,
        cause: String,
        #[serde(skip_serializing_if = "Option::is_none", with = "some_ratio", default)]
        shortfall: Option<f64>,
    },
    Beyond {
        beyond: BeyondFile,
    },
}

/// A reason as the file has it.
pub(crate) fn written(project: &Project, reason: &Reason) -> Why {
    match reason {
        Reason::Vessel { suitable } => Why::Vessel { suitable: *suitable },
        Reason::TankRequired => Why::TankRequired {},
        Reason::TankOnly => Why::TankOnly {},
        Reason::TankCheapest { suitable } => Why::TankCheapest { suitable: *suitable },
        Reason::Waits(wait) => waits(**wait),
        Reason::Unknown(unknown) => Why::Unknown { what: unknown.name().to_owned() },
        Reason::NoOption(no_tank) => Why::NoOption { no_tank: no_tank.as_deref().map(no_tank_written) },
        Reason::RequiredVesselRefused(miss) => Why::RequiredVesselRefused { refused: refused(project, miss) },
        Reason::RequiredTankRefused(no_tank) => {
            Why::RequiredTankRefused { no_tank: no_tank.as_deref().map(no_tank_written) }
        }
        Reason::Held(hold) => match hold {
            Hold::Stated => Why::Held { by: HeldBy::Hold, hazard: None },
            Hold::Disposition => Why::Held { by: HeldBy::Disposition, hazard: None },
            Hold::Hazard(id) => {
                Why::Held { by: HeldBy::Hazard, hazard: Some(project.rules.hazards.get(*id).id.clone()) }
            }
        },
    }
}

fn waits(Wait { cause, suitable }: Wait) -> Why {
    match cause {
        WaitCause::Money { by_itself, left, unspent } => {
            Why::Money { by_itself: by_itself.text(), left: left.text(), unspent: unspent.map(Money::text), suitable }
        }
        WaitCause::BudgetOrTerms => Why::BudgetOrTerms { suitable },
        WaitCause::Terms => Why::Terms { suitable },
        WaitCause::Limits => Why::Limits { suitable },
        WaitCause::Stock => Why::Stock { suitable },
    }
}

/// A refused vessel as the file has it.
pub(crate) fn refused(project: &Project, (vessel, refusal): &NearMiss) -> Refused {
    Refused {
        vessel: project.stock.vessel(*vessel).id.clone(),
        rule: refusal.rule.name().to_owned(),
        cause: refusal.cause.name().to_owned(),
        shortfall: refusal.shortfall,
        unit: refusal.cause.unit().name().to_owned(),
    }
}

fn no_tank_written(no_tank: &NoTank) -> WhyNoTank {
    match no_tank {
        NoTank::TooSmall => WhyNoTank::TooSmall {},
        NoTank::NotMeasured => WhyNoTank::NotMeasured {},
        NoTank::Refused(refusal) => WhyNoTank::Refused {
            rule: refusal.rule.name().to_owned(),
            cause: refusal.cause.name().to_owned(),
            shortfall: refusal.shortfall,
        },
        NoTank::Beyond(beyond) => WhyNoTank::Beyond { beyond: beyond.into() },
    }
}

/// A reason read back.
///
/// # Errors
/// What the project does not have, or what is not of its kind.
pub(crate) fn read(project: &Project, why: Why) -> Result<Reason, Fault> {
    let waits = |cause, suitable| Ok(Reason::Waits(Box::new(Wait { cause, suitable })));
    match why {
        Why::Vessel { suitable } => Ok(Reason::Vessel { suitable }),
        Why::TankRequired {} => Ok(Reason::TankRequired),
        Why::TankOnly {} => Ok(Reason::TankOnly),
        Why::TankCheapest { suitable } => Ok(Reason::TankCheapest { suitable }),
        Why::Money { by_itself, left, unspent, suitable } => {
            let (by_itself, left) = (money_in("by_itself", &by_itself)?, money_in("left", &left)?);
            let unspent = unspent.map(|unspent| money_in("unspent", &unspent)).transpose()?;
            waits(WaitCause::Money { by_itself, left, unspent }, suitable)
        }
        Why::BudgetOrTerms { suitable } => waits(WaitCause::BudgetOrTerms, suitable),
        Why::Terms { suitable } => waits(WaitCause::Terms, suitable),
        Why::Limits { suitable } => waits(WaitCause::Limits, suitable),
        Why::Stock { suitable } => waits(WaitCause::Stock, suitable),
        Why::Unknown { what } => named("what", &what, &Unknown::ALL, Unknown::name).map(Reason::Unknown),
        Why::NoOption { no_tank } => Ok(Reason::NoOption(no_tank.map(no_tank_read).transpose()?.map(Box::new))),
        Why::RequiredVesselRefused { refused } => {
            Ok(Reason::RequiredVesselRefused(Box::new(refused_read(project, refused)?)))
        }
        Why::RequiredTankRefused { no_tank } => {
            Ok(Reason::RequiredTankRefused(no_tank.map(no_tank_read).transpose()?.map(Box::new)))
        }
        Why::Held { by, hazard } => held(project, by, hazard).map(Reason::Held),
    }
}

fn held(project: &Project, by: HeldBy, hazard: Option<String>) -> Result<Hold, Fault> {
    match (by, hazard) {
        (HeldBy::Hold, None) => Ok(Hold::Stated),
        (HeldBy::Disposition, None) => Ok(Hold::Disposition),
        (HeldBy::Hazard, Some(id)) => project
            .rules
            .hazards
            .all()
            .find(|(_, hazard)| hazard.id == id)
            .map(|(id, _)| Hold::Hazard(id))
            .ok_or_else(|| Fault::at("hazard", format!("the rules have no hazard {id:?}"))),
        _ => Err(Fault::at("hazard", "expected where a hazard holds the row, and only there")),
    }
}

/// A refused vessel read back.
///
/// # Errors
/// As [`read`].
pub(crate) fn refused_read(project: &Project, refused: Refused) -> Result<NearMiss, Fault> {
    let unknown = || Fault::at("vessel", format!("expected a vessel of the stock list, found {:?}", refused.vessel));
    let vessel = project.stock.vessel_named(&refused.vessel).ok_or_else(unknown)?;
    let refusal = refusal(&refused.rule, &refused.cause, refused.shortfall)?;
    let unit = refusal.cause.unit().name();
    if refused.unit != unit {
        return Err(Fault::at("unit", format!("the project has {unit:?}, found {:?}", refused.unit)));
    }
    Ok((vessel, refusal))
}

fn refusal(rule: &str, cause: &str, shortfall: Option<f64>) -> Result<Refusal, Fault> {
    Ok(Refusal {
        rule: named("rule", rule, Rule::ALL, Rule::name)?,
        cause: named("cause", cause, Cause::ALL, Cause::name)?,
        shortfall,
    })
}

fn no_tank_read(no_tank: WhyNoTank) -> Result<NoTank, Fault> {
    match no_tank {
        WhyNoTank::TooSmall {} => Ok(NoTank::TooSmall),
        WhyNoTank::NotMeasured {} => Ok(NoTank::NotMeasured),
        WhyNoTank::Refused { rule, cause, shortfall } => refusal(&rule, &cause, shortfall).map(NoTank::Refused),
        WhyNoTank::Beyond { beyond } => Ok(NoTank::Beyond(beyond.into())),
    }
}

/// The one of a closed list that has this name.
fn named<T: Copy>(field: &'static str, typed: &str, all: &[T], name: impl Fn(T) -> &'static str) -> Result<T, Fault> {
    let found = all.iter().copied().find(|&one| name(one) == typed);
    found.ok_or_else(|| Fault::at(field, format!("unknown name {typed:?}")))
}
