//! What differs between two plans, as facts. In words: [`crate::words::comparison`].
//!
//! Lots are matched by key; order lines by supplier, vessel, order code, pack size and least packs; fluids, vessels, suppliers and
//! settings by name. Each lot of either survey has exactly one kind of change, so that the numbers of the kinds add up to all lots.
//! A cause is named only where the figures of the two projects and plans show it. A comparison of the same two the other way round
//! is the mirror of this one: each kind becomes its mirror, each difference changes its sign.

pub mod causes;
pub mod fluids;
pub mod inputs;
mod kinds;
pub mod lots;
pub mod money;
pub mod orders;
mod rule_rows;
mod supplies;
pub mod survey;

pub use causes::{ChangeCause, Obstacle};
pub use fluids::{FluidChange, FluidUse};
pub use inputs::{InputChange, InputOf, InputValue};
pub use lots::{ChangeKind, LotChange};
pub use money::{MoneyChange, MoneyLine};
pub use orders::{OrderChange, OrderChangeKind};

use crate::plan::{Placement, Plan};
use crate::project::Project;

/// A plan with the project it was made from.
#[derive(Clone, Copy)]
pub struct ProjectPlan<'a> {
    /// The project.
    pub project: &'a Project,
    /// Its plan.
    pub plan: &'a Plan,
}

impl<'a> ProjectPlan<'a> {
    /// The placement of a row.
    pub fn placement(&self, row: u32) -> &'a Placement {
        &self.plan.placements[row as usize]
    }
}

/// One of the two plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The first.
    Old,
    /// The second.
    New,
}

impl End {
    /// The other one.
    pub fn other(self) -> End {
        match self {
            End::Old => End::New,
            End::New => End::Old,
        }
    }
}

/// Two plans in currencies of different names: their money cannot be subtracted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TwoCurrencies {
    /// Currency of the old plan.
    pub old: String,
    /// Currency of the new one.
    pub new: String,
}

/// Something to know before the differences are read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ComparisonNote {
    /// One of the plans names no currency: its amounts are taken to be in that of the other.
    NoCurrency(End),
    /// So many rows of a survey or stock list could not be read when the plan was made: lots among them look as if they were
    /// not in the survey.
    LeftOut(End, usize),
    /// The plan is not proved best, so differences may come from the search alone.
    NotProved(End),
    /// The surveys have different key columns, and no lot is in both.
    OtherKeys,
}

/// What differs between two plans.
pub struct Comparison<'a> {
    /// The first plan.
    pub old: ProjectPlan<'a>,
    /// The second plan.
    pub new: ProjectPlan<'a>,
    /// What to know first.
    pub notes: Vec<ComparisonNote>,
    /// Every line of money, whether it differs or not.
    pub money: Vec<MoneyChange>,
    /// Every order line of either plan, by supplier, each supplier's delivery last.
    pub orders: Vec<OrderChange<'a>>,
    /// Every fluid and use of either plan.
    pub fluids: Vec<FluidChange<'a>>,
    /// Settings, prices, stock and rules that differ.
    pub inputs: Vec<InputChange<'a>>,
    /// Every lot of either survey, by key.
    pub lots: Vec<LotChange>,
}

/// Compares two plans.
///
/// # Errors
/// If they are in different currencies.
pub fn compare<'a>(old: ProjectPlan<'a>, new: ProjectPlan<'a>) -> Result<Comparison<'a>, TwoCurrencies> {
    same_currency(old.project, new.project)?;
    let mut inputs = inputs::changes(old.project, new.project);
    inputs.extend(rule_rows::changes(&old.project.rules, &new.project.rules));
    let lots = lots::changes(old, new, &inputs);
    Ok(Comparison {
        old,
        new,
        notes: notes(old, new, &lots),
        money: money::changes(old, new),
        orders: orders::changes(old, new),
        fluids: fluids::changes(old, new),
        inputs,
        lots,
    })
}

/// Whether the money of two projects can be subtracted: they name the same currency, or one names none.
///
/// # Errors
/// If they are in different currencies.
pub fn same_currency(old: &Project, new: &Project) -> Result<(), TwoCurrencies> {
    let [one, other] = [old, new].map(|project| project.settings.currency.trim());
    if one == other || one.is_empty() || other.is_empty() {
        return Ok(());
    }
    Err(TwoCurrencies { old: one.to_owned(), new: other.to_owned() })
}

impl<'a> Comparison<'a> {
    /// One of the two plans.
    pub fn at(&self, end: End) -> ProjectPlan<'a> {
        match end {
            End::Old => self.old,
            End::New => self.new,
        }
    }

    /// The currency of both.
    pub fn currency(&self) -> &'a str {
        match self.new.project.settings.currency.trim() {
            "" => self.old.project.settings.currency.trim(),
            currency => currency,
        }
    }

    /// Lots of a kind, by key.
    pub fn lots_of(&self, kind: ChangeKind) -> impl Iterator<Item = &LotChange> {
        self.lots.iter().filter(move |lot| lot.kind == kind)
    }

    /// Whether nothing differs: no amount, order line, fluid, input or lot.
    pub fn is_empty(&self) -> bool {
        !self.money.iter().any(MoneyChange::differs)
            && self.orders.iter().all(|line| line.kind == OrderChangeKind::Same)
            && !self.fluids.iter().any(FluidChange::differs)
            && self.inputs.is_empty()
            && self.lots.iter().all(|lot| lot.kind == ChangeKind::Unchanged)
    }
}

fn notes(old: ProjectPlan, new: ProjectPlan, lots: &[LotChange]) -> Vec<ComparisonNote> {
    let mut notes = Vec::new();
    let keys = |side: ProjectPlan| -> Vec<String> {
        let mut keys: Vec<String> =
            side.project.collection.key_headers.iter().map(|header| header.to_lowercase()).collect();
        keys.sort();
        keys
    };
    let have_lots = [old, new].iter().all(|side| !side.plan.placements.is_empty());
    if have_lots && keys(old) != keys(new) && !lots.iter().any(LotChange::is_in_both) {
        notes.push(ComparisonNote::OtherKeys);
    }
    for (end, side, other) in [(End::Old, old, new), (End::New, new, old)] {
        let unnamed = |side: ProjectPlan| side.project.settings.currency.trim().is_empty();
        if unnamed(side) && !unnamed(other) {
            notes.push(ComparisonNote::NoCurrency(end));
        }
        let left_out = side.plan.skipped_rows.len();
        if left_out > 0 {
            notes.push(ComparisonNote::LeftOut(end, left_out));
        }
        if side.plan.status != crate::decision::Status::ProvedBest {
            notes.push(ComparisonNote::NotProved(end));
        }
    }
    notes
}
