//! The kinds of change of a lot, and where a lot is in one plan.

use super::ProjectPlan;
use super::survey::{ColumnChange, SurveyRow};
use crate::collection::Specimen;
use crate::fit::Stance;
use crate::options::Marks;
use crate::plan::tanks::TankDesign;
use crate::plan::{Outcome, Placement, Tank};
use crate::units::{Length, Millilitres, Money};

/// What happens to a lot. Each lot has the first kind that applies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChangeKind {
    /// Only the new survey has it.
    NewInSurvey,
    /// Only the old survey has it.
    GoneFromSurvey,
    /// Not placed in the old plan, placed in the new one. A tank without a price is no place.
    NowPlaced,
    /// Placed in the old plan, not placed in the new one.
    NoLongerPlaced,
    /// Placed in both, in another vessel, another number of them or another tank, and its row has changed where the decision reads it.
    MovedWithRow,
    /// In another vessel, or in a tank in place of a vessel, or the other way round.
    OtherVessel,
    /// In the same vessel, divided over another number of them.
    OtherPieces,
    /// In a tank in both, of another size, price or construction; or waiting for the price of one, of another size, in both.
    OtherTank,
    /// Placed in neither, for another outcome.
    OtherOutcome,
    /// In the same place, in another posture, with other marks, or with other fluid or baths.
    OtherTreatment,
    /// In pieces of the same vessel, but from the shelf in place of an order, or the other way round.
    OtherSupply,
    /// Nothing of this in the plan has changed, but its row has.
    RowOnly,
    /// Nothing of this.
    Unchanged,
}

impl ChangeKind {
    /// All kinds, in the order they are listed.
    pub const ALL: [ChangeKind; 13] = [
        ChangeKind::NewInSurvey,
        ChangeKind::GoneFromSurvey,
        ChangeKind::NowPlaced,
        ChangeKind::NoLongerPlaced,
        ChangeKind::MovedWithRow,
        ChangeKind::OtherVessel,
        ChangeKind::OtherPieces,
        ChangeKind::OtherTank,
        ChangeKind::OtherOutcome,
        ChangeKind::OtherTreatment,
        ChangeKind::OtherSupply,
        ChangeKind::RowOnly,
        ChangeKind::Unchanged,
    ];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            ChangeKind::NewInSurvey => "new in the survey",
            ChangeKind::GoneFromSurvey => "gone from the survey",
            ChangeKind::NowPlaced => "now placed",
            ChangeKind::NoLongerPlaced => "no longer placed",
            ChangeKind::MovedWithRow => "moved by the survey",
            ChangeKind::OtherVessel => "other vessel",
            ChangeKind::OtherPieces => "other number of vessels",
            ChangeKind::OtherTank => "other tank",
            ChangeKind::OtherOutcome => "other outcome",
            ChangeKind::OtherTreatment => "other treatment",
            ChangeKind::OtherSupply => "other supply",
            ChangeKind::RowOnly => "survey only",
            ChangeKind::Unchanged => "unchanged",
        }
    }

    /// The kind in a comparison the other way round.
    pub fn mirror(self) -> ChangeKind {
        match self {
            ChangeKind::NewInSurvey => ChangeKind::GoneFromSurvey,
            ChangeKind::GoneFromSurvey => ChangeKind::NewInSurvey,
            ChangeKind::NowPlaced => ChangeKind::NoLongerPlaced,
            ChangeKind::NoLongerPlaced => ChangeKind::NowPlaced,
            same => same,
        }
    }
}

/// A lot in one plan.
#[derive(Clone, Copy)]
pub struct LotInPlan<'a> {
    /// The plan.
    pub side: ProjectPlan<'a>,
    /// The row of the survey.
    pub row: u32,
}

/// Where a lot is in a plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlaceOfLot<'a> {
    /// In so many pieces of a vessel.
    Vessel(&'a str, u32),
    /// In a tank with a price.
    Tank,
    /// In a tank that has no price yet: it waits for it.
    UnpricedTank,
    /// Nowhere, with this outcome.
    Nowhere(Outcome),
}

impl PlaceOfLot<'_> {
    /// Whether the lot counts as placed.
    pub fn is_placed(self) -> bool {
        matches!(self, PlaceOfLot::Vessel(..) | PlaceOfLot::Tank)
    }
}

impl<'a> LotInPlan<'a> {
    /// The row of the survey.
    pub fn specimen(self) -> &'a Specimen {
        &self.side.project.collection.specimens[self.row as usize]
    }

    /// The row with its project.
    pub fn survey(self) -> SurveyRow<'a> {
        SurveyRow { project: self.side.project, specimen: self.specimen() }
    }

    /// Its placement.
    pub fn placement(self) -> &'a Placement {
        self.side.placement(self.row)
    }

    /// Its tank.
    pub fn tank(self) -> Option<&'a Tank> {
        self.side.plan.tank_of(self.row as usize)
    }

    /// Where it is.
    pub fn place(self) -> PlaceOfLot<'a> {
        let placement = self.placement();
        match (placement.outcome, placement.vessel.zip(placement.fit)) {
            (Outcome::CustomTank, _) if self.side.plan.waits_for_price(placement) => PlaceOfLot::UnpricedTank,
            (Outcome::CustomTank, _) => PlaceOfLot::Tank,
            (_, Some((id, fit))) => PlaceOfLot::Vessel(&self.side.project.stock.vessel(id).id, fit.pieces),
            (outcome, None) => PlaceOfLot::Nowhere(outcome),
        }
    }

    /// How it stands, what it is filled with and what must be reviewed.
    fn treatment(self) -> LotTreatment<'a> {
        let placement = self.placement();
        let fluid = |id| self.side.project.rules.fluid(id).id.as_str();
        LotTreatment {
            stance: placement.fit.map(|fit| (fit.stance, fit.leaning)),
            tank_stance: self.tank().map(|tank| tank.stance),
            marks: placement.marks,
            fluid: placement.fluid.map(|amount| (fluid(self.specimen().fluid), amount)),
            charges: placement.charges,
            reused: placement.reused,
            baths: placement.baths.iter().map(|(id, amount)| (fluid(*id), *amount)).collect(),
        }
    }

    /// Clear sizes, price and construction of its tank.
    fn build(self) -> Option<([Length; 3], Option<Money>, Option<&'a TankDesign>)> {
        let tank = self.tank()?;
        Some(([tank.length, tank.width, tank.height], tank.cost, tank.design.as_deref()))
    }
}

/// How a lot stands and what it is filled with.
#[derive(PartialEq)]
struct LotTreatment<'a> {
    stance: Option<(Option<Stance>, bool)>,
    tank_stance: Option<Stance>,
    marks: Marks,
    fluid: Option<(&'a str, Millilitres)>,
    charges: u32,
    reused: Millilitres,
    baths: Vec<(&'a str, Millilitres)>,
}

/// The kind of change of a lot that is in both surveys; `columns` are those in which its rows differ.
pub(super) fn kind_of(old: LotInPlan, new: LotInPlan, columns: &[ColumnChange]) -> ChangeKind {
    let (was, is) = (old.place(), new.place());
    let moved = match (was, is) {
        (PlaceOfLot::Vessel(was, n_was), PlaceOfLot::Vessel(is, n_is)) if was == is => {
            (n_was != n_is).then_some(ChangeKind::OtherPieces)
        }
        (PlaceOfLot::Tank, PlaceOfLot::Tank) => (old.build() != new.build()).then_some(ChangeKind::OtherTank),
        _ if was.is_placed() && is.is_placed() => Some(ChangeKind::OtherVessel),
        _ => None,
    };
    let supply = |lot: LotInPlan| (lot.placement().outcome, lot.placement().pieces_on_hand);
    match (was.is_placed(), is.is_placed()) {
        (false, true) => ChangeKind::NowPlaced,
        (true, false) => ChangeKind::NoLongerPlaced,
        _ => match moved {
            Some(_) if columns.iter().any(|column| column.decides) => ChangeKind::MovedWithRow,
            Some(kind) => kind,
            None if !was.is_placed() && was != is => ChangeKind::OtherOutcome,
            None if old.build() != new.build() => ChangeKind::OtherTank,
            None if old.treatment() != new.treatment() => ChangeKind::OtherTreatment,
            None if supply(old) != supply(new) => ChangeKind::OtherSupply,
            None if !columns.is_empty() => ChangeKind::RowOnly,
            None => ChangeKind::Unchanged,
        },
    }
}
