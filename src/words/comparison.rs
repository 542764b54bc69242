//! What differs between two plans, and why, in words.

use std::borrow::Cow;

use itertools::Itertools;

use super::{counted, reason, refusal, spoken, why_no_tank};
use crate::comparison::lots::{LotInPlan, PlaceOfLot};
use crate::comparison::survey::{ColumnChange, changed_columns};
use crate::comparison::{
    ChangeCause, ChangeKind, Comparison, ComparisonNote, End, InputChange, InputValue, LotChange, MoneyLine, Obstacle,
};
use crate::plan::answers::to_hundredths;
use crate::plan::{Outcome, Reason, WaitCause};
use crate::units::{Money, decimal};

/// A line of money as people read it.
pub fn money_line(line: MoneyLine) -> &'static str {
    match line {
        MoneyLine::Vessels => "vessels",
        MoneyLine::Delivery => "delivery",
        MoneyLine::Fluid => "fluid",
        MoneyLine::Tanks => "tanks",
        MoneyLine::Cost => "cost: the sum of these",
        MoneyLine::Disposal => "disposal of spent fluid",
        MoneyLine::Containers => "fluid bought in whole containers, not by the litre",
        MoneyLine::ToPay => "to pay: cost and these",
        MoneyLine::Labour => "labour",
        MoneyLine::LabourCounted => "of it against the budget",
        MoneyLine::Renewals => "later renewals of closures",
        MoneyLine::SavedBySharing => "saved by tanks that share sizes, already deducted",
        MoneyLine::Budget => "budget",
        MoneyLine::Left => "left of the budget",
    }
}

/// What lots of a kind have in common.
pub fn kind(kind: ChangeKind) -> &'static str {
    match kind {
        ChangeKind::NewInSurvey => "New in the survey",
        ChangeKind::GoneFromSurvey => "Gone from the survey",
        ChangeKind::NowPlaced => "Now placed",
        ChangeKind::NoLongerPlaced => "No longer placed",
        ChangeKind::MovedWithRow => "Moved, and changed in the survey",
        ChangeKind::OtherVessel => "In another vessel",
        ChangeKind::OtherPieces => "In another number of vessels",
        ChangeKind::OtherTank => "In another tank",
        ChangeKind::OtherOutcome => "Not placed, for another reason",
        ChangeKind::OtherTreatment => "Same place, other posture, marks or fluid",
        ChangeKind::OtherSupply => "Same vessel, from another source",
        ChangeKind::RowOnly => "Changed in the survey only",
        ChangeKind::Unchanged => "Unchanged",
    }
}

/// Something to know first.
pub fn note(note: &ComparisonNote) -> Cow<'static, str> {
    spoken(match *note {
        ComparisonNote::NoCurrency(end) => format!(
            "the {} plan names no currency: its amounts are taken to be in that of the {} one; set currency in its \
             settings and plan again if they are not",
            plan(end),
            plan(end.other())
        ),
        ComparisonNote::LeftOut(end, rows) => format!(
            "the {} plan left out {} that could not be read: lots among them look as if they were not in its survey",
            plan(end),
            counted(rows, "line", "lines")
        ),
        ComparisonNote::NotProved(end) => format!(
            "the {} plan is not proved best: differences may come from the search alone; allow more time \
             (solver.time_limit_s) and plan again",
            plan(end)
        ),
        ComparisonNote::OtherKeys => "no lot is in both surveys, and their key columns differ: lots are matched by \
             institutionCode, collectionCode, catalogNumber and part together; give both surveys the same ones"
            .to_owned(),
    })
}

fn plan(end: End) -> &'static str {
    match end {
        End::Old => "old",
        End::New => "new",
    }
}

/// A value of an input.
pub fn value(value: &InputValue) -> Cow<'_, str> {
    match value {
        InputValue::Absent => spoken("not listed"),
        InputValue::Present => spoken("listed"),
        InputValue::Blank => spoken("blank"),
        InputValue::OtherRow => spoken("changed"),
        InputValue::Text(text) => Cow::Borrowed(text),
        InputValue::Whole(number) => number.to_string().into(),
        InputValue::Number(number) => decimal(*number, 4).into(),
        InputValue::Money(amount) => amount.text().into(),
        InputValue::Length(length) => decimal(length.mm(), 2).into(),
        InputValue::Volume(volume) => volume.litres().into(),
    }
}

/// Where a lot is in one plan: `jar-250`, `2 × jar-250`, `tank 700 × 150 × 500 mm`, `deferred`. Empty if the survey has no such lot.
pub fn place(comparison: &Comparison, lot: &LotChange, end: End) -> String {
    let Some(lot_in_plan) = in_plan(comparison, lot, end) else { return String::new() };
    let place = placed(lot_in_plan);
    let placement = lot_in_plan.placement();
    match lot.kind {
        ChangeKind::OtherSupply => match (placement.fit.map_or(1, |fit| fit.pieces), placement.pieces_on_hand) {
            (pieces, on_hand) if on_hand > 0 && on_hand < pieces => format!("{place}, {on_hand} on hand"),
            _ => format!("{place}, {}", placement.outcome.name()),
        },
        ChangeKind::OtherTank => match lot_in_plan.tank().and_then(|tank| tank.cost) {
            Some(cost) => format!("{place}, {}", cost.on_screen()),
            None => place,
        },
        ChangeKind::OtherTreatment => format!("{place}, {}", treatment(lot_in_plan)),
        _ => place,
    }
}

fn placed(lot: LotInPlan) -> String {
    match lot.place() {
        PlaceOfLot::Vessel(vessel, 1) => vessel.to_owned(),
        PlaceOfLot::Vessel(vessel, pieces) => format!("{pieces} × {vessel}"),
        PlaceOfLot::Tank => tank(lot),
        PlaceOfLot::UnpricedTank => format!("{}, no price yet", tank(lot)),
        PlaceOfLot::Nowhere(outcome) => outcome.name().to_owned(),
    }
}

fn tank(lot: LotInPlan) -> String {
    let sizes =
        |tank: &crate::plan::Tank| [tank.length, tank.width, tank.height].map(|side| decimal(side.mm(), 1)).join(" × ");
    lot.tank().map_or_else(|| Outcome::CustomTank.name().to_owned(), |tank| format!("tank {} mm", sizes(tank)))
}

/// Posture, fluid and fillings of a placed lot.
fn treatment(lot: LotInPlan) -> String {
    let placement = lot.placement();
    let stance = placement.fit.and_then(|fit| fit.stance).or(lot.tank().map(|tank| tank.stance));
    let fluid = &lot.side.project.rules.fluid(lot.specimen().fluid).id;
    let filled = placement.fluid.map(|amount| match placement.charges {
        0 | 1 => format!("{} ml {fluid}", amount.0),
        charges => format!("{charges} × {} ml {fluid}", amount.0),
    });
    let baths = (!placement.baths.is_empty()).then(|| counted(placement.baths.len(), "bath", "baths"));
    let review = refusal::review(placement.marks).into_owned();
    let review = Some(review).filter(|marks| !marks.is_empty());
    stance.map(|stance| stance.name().to_owned()).into_iter().chain(filled).chain(baths).chain(review).join(", ")
}

/// A lot in one of the two plans.
pub fn in_plan<'a>(comparison: &Comparison<'a>, lot: &LotChange, end: End) -> Option<LotInPlan<'a>> {
    let row = match end {
        End::Old => lot.old,
        End::New => lot.new,
    };
    Some(LotInPlan { side: comparison.at(end), row: row? })
}

/// Why a lot changes, as far as the figures show it; empty for one that does not.
pub fn why(comparison: &Comparison, lot: &LotChange) -> Cow<'static, str> {
    let mut causes = lot.causes.iter().map(|cause| self::cause(comparison, lot, cause));
    spoken(causes.join("; "))
}

/// One cause.
pub fn cause(comparison: &Comparison, lot: &LotChange, cause: &ChangeCause) -> String {
    match cause {
        ChangeCause::Row => row(comparison, lot),
        ChangeCause::Stated(end) => {
            format!("{}: {}", when(*end), in_plan(comparison, lot, *end).map_or_else(String::new, stated))
        }
        ChangeCause::InTheWay(end, obstacle) => in_the_way(comparison, lot, *end, obstacle),
        ChangeCause::Measures(end) => {
            format!("the measures of {} in the stock list have changed", vessel(comparison, lot, *end))
        }
        ChangeCause::SettingsOrRules => "settings or rules have changed: vessel and survey are the same".to_owned(),
        ChangeCause::SharedSize => "several tanks share one size".to_owned(),
        ChangeCause::PieceGoesTo(end, row) => {
            let place = vessel(comparison, lot, end.other());
            let taker = named(LotInPlan { side: comparison.at(*end), row: *row });
            if *end == End::Old { format!("{place} held {taker} before") } else { format!("{place} goes to {taker}") }
        }
        ChangeCause::OnlyInput(at) => {
            let changed = comparison.inputs.get(*at).map_or_else(String::new, input_change);
            format!("only input that differs: {changed}")
        }
        ChangeCause::OnlyLot(at) => {
            let key = comparison.lots.get(*at).map_or_else(String::new, |lot| key(comparison, lot));
            format!("only lot that differs in the survey: {key}")
        }
        ChangeCause::MorePlaced => "the new plan as a whole places more of the most urgent lots".to_owned(),
        ChangeCause::LessMoney => "the new plan as a whole costs less".to_owned(),
        ChangeCause::LessFluid => "the new plan as a whole takes less fluid for the same cost".to_owned(),
        ChangeCause::NotShown => "no figure of this lot shows why".to_owned(),
    }
}

/// What a plan says of a lot that it does not place. Of one that waits for money, only what it waits for.
fn stated(lot: LotInPlan) -> String {
    match &lot.placement().reason {
        Reason::Waits(wait) => match wait.cause {
            WaitCause::Money { by_itself, left, .. } => {
                format!("waits: by itself {} more, {} left", to_hundredths(by_itself).on_screen(), left.on_screen())
            }
            _ => reason(lot.side.project, lot.placement()).into_owned(),
        },
        _ => reason(lot.side.project, lot.placement()).into_owned(),
    }
}

/// A lot with its priority.
fn named(lot: LotInPlan) -> String {
    let specimen = lot.specimen();
    format!("{} (priority {})", specimen.key.catalog_number, specimen.priority)
}

/// The key of a lot.
pub fn key(comparison: &Comparison, lot: &LotChange) -> String {
    let at = |end| in_plan(comparison, lot, end);
    at(End::New).or(at(End::Old)).map_or_else(String::new, |lot| lot.specimen().key.to_string())
}

/// `budget 1950.00 → 1500.00`, `jar-250: on_hand 4 → 2`.
fn input_change(change: &InputChange) -> String {
    let what = [&change.entry, &change.column].into_iter().filter(|part| !part.is_empty()).join(": ");
    format!("{what} {} → {}", value(&change.old), value(&change.new))
}

/// Columns of a row that are named; the others are counted.
const NAMED: usize = 4;

fn row(comparison: &Comparison, lot: &LotChange) -> String {
    let columns = columns(comparison, lot);
    let one = |change: &ColumnChange| format!("{} {} → {}", change.column, value(&change.old), value(&change.new));
    let named = columns.iter().take(NAMED).map(one).join(", ");
    match columns.len().saturating_sub(NAMED) {
        0 => format!("survey: {named}"),
        more => format!("survey: {named} and {}", counted(more, "more column", "more columns")),
    }
}

/// Columns in which the rows of a lot differ, those that the decision reads first.
pub fn columns<'a>(comparison: &Comparison<'a>, lot: &LotChange) -> Vec<ColumnChange<'a>> {
    let rows = [End::Old, End::New].map(|end| in_plan(comparison, lot, end).map(LotInPlan::survey));
    let [Some(old), Some(new)] = rows else { return Vec::new() };
    let mut columns = changed_columns(old, new);
    columns.sort_by_key(|change| !change.decides);
    columns
}

/// The vessel of a lot at one end.
fn vessel(comparison: &Comparison, lot: &LotChange, end: End) -> String {
    match in_plan(comparison, lot, end).map(LotInPlan::place) {
        Some(PlaceOfLot::Vessel(vessel, _)) => vessel.to_owned(),
        Some(PlaceOfLot::Tank | PlaceOfLot::UnpricedTank) => "a tank".to_owned(),
        Some(PlaceOfLot::Nowhere(_)) | None => "it".to_owned(),
    }
}

/// The word for the time of a plan.
fn when(end: End) -> &'static str {
    match end {
        End::Old => "before",
        End::New => "now",
    }
}

/// What stands at this end in the way of the place at the other.
fn in_the_way(comparison: &Comparison, lot: &LotChange, end: End, obstacle: &Obstacle) -> String {
    let place = vessel(comparison, lot, end.other());
    let was = if end == End::Old { "was" } else { "is" };
    let key = |row: &u32| named(LotInPlan { side: comparison.at(end), row: *row });
    // Earlier first, whichever of the two stands in the way.
    let change = |here: String, there: String| match end {
        End::Old => format!("{here} → {there}"),
        End::New => format!("{there} → {here}"),
    };
    let screen = |amount: &Money| amount.on_screen();
    match obstacle {
        Obstacle::NotListed if end == End::Old => format!("{place} was not in the stock list before"),
        Obstacle::NotListed => format!("{place} is no longer in the stock list"),
        Obstacle::Refused(by) if end == End::Old => format!("{place} was refused before: {}", refusal::refusal(by)),
        Obstacle::Refused(by) => format!("{place} is refused now: {}", refusal::refusal(by)),
        Obstacle::NoTank(why) => format!("no tank {was} possible: {}", why_no_tank(Some(why))),
        Obstacle::NoTankPrice => format!("the tank {} no price", if end == End::Old { "had" } else { "has" }),
        Obstacle::TanksForLeftovers => {
            format!("{}: a vessel {was} suitable, and tanks are for lots without one", when(end))
        }
        Obstacle::AllUsed(None) => format!("{}: every piece of {place} {was} in use", when(end)),
        Obstacle::AllUsed(Some(row)) => {
            format!("{}: every piece of {place} {was} in use, one by {}", when(end), key(row))
        }
        Obstacle::FewerFree { here, there } => {
            format!("free pieces of {place}: {}", change(here.to_string(), there.to_string()))
        }
        Obstacle::ShelfUsed(row) if end == End::Old => {
            format!("pieces of {place} on the shelf went to others before, one to {}", key(row))
        }
        Obstacle::ShelfUsed(row) => format!("pieces of {place} on the shelf go to others now, one to {}", key(row)),
        Obstacle::NotSold if end == End::Old => format!("no {place} could be ordered before"),
        Obstacle::NotSold => format!("no {place} can be ordered now"),
        Obstacle::Dearer { here, there } => {
            format!("price of {place}: {}", change(screen(here), screen(there)))
        }
        Obstacle::SmallerBudget { here, there } => {
            let there = there.as_ref().map_or("no limit".to_owned(), screen);
            format!("budget: {}", change(screen(here), there))
        }
    }
}
