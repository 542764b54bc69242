//! Why a lot changes, as far as the figures of both projects and plans show it.
//!
//! A lot leaves its place because something stands in the way of that place in the new project, or because something stood in the
//! way of its new place in the old one: the same question, asked of each plan about the place that the lot has in the other. What
//! is not shown by a figure is not named.

use super::inputs::{self, InputChange, InputOf};
use super::kinds::{ChangeKind, LotInPlan, PlaceOfLot};
use super::supplies::{PiecesOfVessel, Supplies};
use super::survey::{ColumnChange, changed_columns};
use super::{End, ProjectPlan};
use crate::collection::Size;
use crate::options::judge::judge;
use crate::options::table::undecided;
use crate::options::tank::{NoTank, TankPriceBasis, tank};
use crate::options::{Refusal, Rule};
use crate::plan::{Outcome, Reason, WaitCause};
use crate::project::Project;
use crate::settings::Tanks;
use crate::stock::VesselId;
use crate::units::Money;

/// Why a lot changes.
#[derive(Clone, Debug, PartialEq)]
pub enum ChangeCause {
    /// Its row in the survey has changed.
    Row,
    /// What the plan at this end says of it: why it waits, needs a decision or is held.
    Stated(End),
    /// What stands at this end in the way of the place that the lot has at the other.
    InTheWay(End, Obstacle),
    /// The measures of the vessel that it has at this end differ between the stock lists.
    Measures(End),
    /// Its row and its vessel are the same, so that it is the settings or the rules that make the difference.
    SettingsOrRules,
    /// It is in a size of tank that other tanks share, at one end at least.
    SharedSize,
    /// It has a piece from the shelf at the other end; here all of them are in use, and this is the most urgent lot that has one
    /// here and not there.
    PieceGoesTo(End, u32),
    /// No row of the survey differs, and of the inputs only this one does (its place among the changes).
    OnlyInput(usize),
    /// No input differs, and of the surveys only the row of this lot does (its place among the lots, by key).
    OnlyLot(usize),
    /// Nothing of the lot's own, and the new plan places more of the most urgent lots, of the same lots.
    MorePlaced,
    /// Nothing of the lot's own, and the new plan places the same numbers for less money.
    LessMoney,
    /// Nothing of the lot's own, and the new plan takes less fluid for the same money.
    LessFluid,
    /// No figure shows why.
    NotShown,
}

/// What stands in the way of a place: `here` in this plan, `there` in the one that has the lot in that place.
#[derive(Clone, Debug, PartialEq)]
pub enum Obstacle {
    /// The stock list does not have the vessel.
    NotListed,
    /// The rules refuse the vessel for this lot.
    Refused(Refusal),
    /// No tank is made for the lot.
    NoTank(Box<NoTank>),
    /// The tank has no price.
    NoTankPrice,
    /// Vessels are suitable, and the settings allow tanks only where none is.
    TanksForLeftovers,
    /// Every piece that can be had is used; the most urgent lot that is in one here and not there.
    AllUsed(Option<u32>),
    /// Fewer pieces are free.
    FewerFree {
        /// Free pieces here.
        here: i64,
        /// Free pieces there.
        there: i64,
    },
    /// Pieces on the shelf go to other lots; the most urgent one that is in one here and not there.
    ShelfUsed(u32),
    /// None can be ordered here.
    NotSold,
    /// It costs more: a piece, or the tank.
    Dearer {
        /// Price here.
        here: Money,
        /// Price there.
        there: Money,
    },
    /// The plan waits for money, and the budget is smaller.
    SmallerBudget {
        /// Budget here.
        here: Money,
        /// Budget there; `None` if there is no limit.
        there: Option<Money>,
    },
}

/// What is known of both plans.
pub(super) struct Known<'a> {
    old: ProjectPlan<'a>,
    new: ProjectPlan<'a>,
    /// Pieces of vessels in the old plan and in the new one.
    supplies: [Supplies; 2],
    /// Whether settings or rules differ.
    other_rules: bool,
    /// What all changes come from, if only one thing differs; else in what the new plan is better for the same lots.
    whole: Option<ChangeCause>,
}

impl<'a> Known<'a> {
    /// Of two plans; `pairs` are the rows of each lot, by key.
    pub fn of(
        old: ProjectPlan<'a>,
        new: ProjectPlan<'a>,
        pairs: &[(Option<u32>, Option<u32>)],
        inputs: &[InputChange],
    ) -> Self {
        let mut supplies = [Supplies::of(old), Supplies::of(new)];
        for &(was, is) in pairs {
            let [was, is] = [(old, was), (new, is)].map(|(side, row)| Some(LotInPlan { side, row: row? }));
            let vessel = |lot: Option<LotInPlan<'a>>| match lot?.place() {
                PlaceOfLot::Vessel(name, _) => Some(name),
                _ => None,
            };
            if vessel(was) != vessel(is) {
                for (supplies, lot) in supplies.iter_mut().zip([was, is]) {
                    let newcomer = lot.and_then(|lot| Some((lot, lot.placement().vessel?)));
                    newcomer.into_iter().for_each(|(lot, id)| supplies.add_newcomer(lot.side, id, lot.row));
                }
            }
        }
        let same_lots = pairs.iter().all(|(was, is)| was.is_some() && is.is_some());
        let other_rules = inputs.iter().any(|input| input.file.is_of_rules());
        let better = || if same_lots { better(old, new) } else { None };
        let whole = only_change(old, new, pairs, inputs).or_else(better);
        Known { old, new, supplies, other_rules, whole }
    }

    fn side(&self, end: End) -> ProjectPlan<'a> {
        match end {
            End::Old => self.old,
            End::New => self.new,
        }
    }

    fn pieces(&self, end: End, id: VesselId) -> &PiecesOfVessel {
        self.supplies[usize::from(end == End::New)].vessel(id)
    }
}

/// What all changes come from, if only one thing differs between inputs and surveys.
fn only_change(
    old: ProjectPlan,
    new: ProjectPlan,
    pairs: &[(Option<u32>, Option<u32>)],
    inputs: &[InputChange],
) -> Option<ChangeCause> {
    // Prices of fluids follow from settings and rules, where these differ.
    let follows = |input: &InputChange| input.file == InputOf::FluidPrices;
    let mut own = (0..inputs.len()).filter(|&at| !follows(&inputs[at])).peekable();
    let input = if own.peek().is_some() { own.next() } else { (0..inputs.len()).next() };
    let is_only_input = own.next().is_none() && (input.is_none_or(|at| !follows(&inputs[at])) || inputs.len() == 1);
    let differs = |&(was, is): &(Option<u32>, Option<u32>)| match (was, is) {
        (Some(was), Some(is)) => {
            let [was, is] = [(old, was), (new, is)].map(|(side, row)| LotInPlan { side, row }.survey());
            changed_columns(was, is).iter().any(|column| column.decides)
        }
        _ => true,
    };
    if !is_only_input {
        return None;
    }
    let mut lots = pairs.iter().enumerate().filter(|(_, pair)| differs(pair)).map(|(at, _)| at);
    match (input, lots.next(), lots.next()) {
        (Some(input), None, _) => Some(ChangeCause::OnlyInput(input)),
        (None, Some(lot), None) => Some(ChangeCause::OnlyLot(lot)),
        _ => None,
    }
}

/// In what the new plan is better, where both decide about as many lots.
fn better(old: ProjectPlan, new: ProjectPlan) -> Option<ChangeCause> {
    let outside = |side: ProjectPlan| {
        let totals = &side.plan.totals;
        [totals.needs_decision, totals.held, totals.unpriced_tanks]
    };
    let deferred = |side: ProjectPlan| {
        let mut deferred = [0_u64; 5];
        let waiting = side.plan.placements.iter().filter(|placement| placement.outcome == Outcome::Deferred);
        for placement in waiting {
            let priority = side.project.collection.specimens[placement.specimen].priority;
            deferred[usize::from(priority).min(4)] += 1;
        }
        deferred
    };
    let rank = |side: ProjectPlan| (deferred(side), side.plan.totals.money, side.plan.totals.litres);
    let (was, is) = (rank(old), rank(new));
    match () {
        () if outside(old) != outside(new) => None,
        () if is.0 != was.0 => (is.0 < was.0).then_some(ChangeCause::MorePlaced),
        () if is.1 != was.1 => (is.1 < was.1).then_some(ChangeCause::LessMoney),
        () => (is.2 < was.2).then_some(ChangeCause::LessFluid),
    }
}

/// A lot in both plans, with the columns in which its rows differ.
#[derive(Clone, Copy)]
pub(super) struct LotInBoth<'a, 'c> {
    pub old: LotInPlan<'a>,
    pub new: LotInPlan<'a>,
    pub columns: &'c [ColumnChange<'a>],
}

impl<'a> LotInBoth<'a, '_> {
    fn at(&self, end: End) -> LotInPlan<'a> {
        match end {
            End::Old => self.old,
            End::New => self.new,
        }
    }

    /// Whether the decision reads something else of its row.
    fn has_other_row(&self) -> bool {
        self.columns.iter().any(|column| column.decides)
    }
}

/// The causes of a change of this kind, the row first.
pub(super) fn causes(known: &Known, lot: &LotInBoth, kind: ChangeKind) -> Vec<ChangeCause> {
    let mut causes = Vec::new();
    if lot.has_other_row() || kind == ChangeKind::RowOnly {
        causes.push(ChangeCause::Row);
    }
    match kind {
        ChangeKind::NowPlaced => waits(known, lot, End::Old, &mut causes),
        ChangeKind::NoLongerPlaced => waits(known, lot, End::New, &mut causes),
        ChangeKind::OtherOutcome => causes.extend([End::Old, End::New].map(ChangeCause::Stated)),
        ChangeKind::MovedWithRow if lot.old.place() == lot.new.place() => {}
        ChangeKind::MovedWithRow | ChangeKind::OtherVessel => {
            for end in [End::New, End::Old] {
                causes.extend(in_the_way(known, lot, end));
            }
            if causes.is_empty() {
                causes.extend([End::New, End::Old].into_iter().filter_map(|end| goes_to(known, lot, end)));
                causes.extend(known.whole.clone());
            }
            if causes.is_empty() {
                causes.push(ChangeCause::NotShown);
            }
        }
        ChangeKind::OtherPieces | ChangeKind::OtherTreatment => causes.extend(treatment(known, lot)),
        ChangeKind::OtherTank => {
            let shared =
                |lot: LotInPlan| lot.tank().is_some_and(|tank| tank.price_basis == TankPriceBasis::SharedEstimate);
            if shared(lot.old) || shared(lot.new) {
                causes.push(ChangeCause::SharedSize);
            }
            causes.extend(treatment(known, lot));
        }
        ChangeKind::OtherSupply => causes.push(supply(known, lot)),
        ChangeKind::NewInSurvey | ChangeKind::GoneFromSurvey | ChangeKind::RowOnly | ChangeKind::Unchanged => {}
    }
    causes
}

/// Why a lot is not placed at this end, and placed at the other.
fn waits(known: &Known, lot: &LotInBoth, end: End, causes: &mut Vec<ChangeCause>) {
    causes.push(ChangeCause::Stated(end));
    let (here, there) = (known.side(end).project, known.side(end.other()).project);
    let for_money = match &lot.at(end).placement().reason {
        Reason::Waits(wait) => matches!(wait.cause, WaitCause::Money { .. } | WaitCause::BudgetOrTerms),
        _ => false,
    };
    let smaller = |budget: &Money| there.settings.budget.is_none_or(|other| other > *budget);
    if let Some(budget) = here.settings.budget.filter(smaller).filter(|_| for_money) {
        let obstacle = Obstacle::SmallerBudget { here: budget, there: there.settings.budget };
        causes.push(ChangeCause::InTheWay(end, obstacle));
    }
    let found = in_the_way(known, lot, end);
    let is_explained = causes.len() > 1 || !found.is_empty();
    causes.extend(found);
    let is_input = matches!(known.whole, Some(ChangeCause::OnlyInput(_) | ChangeCause::OnlyLot(_)));
    if !is_explained && (is_input || end == End::Old) {
        causes.extend(known.whole.clone());
    }
}

/// What stands at this end in the way of the place that the lot has at the other.
fn in_the_way(known: &Known, lot: &LotInBoth, end: End) -> Vec<ChangeCause> {
    let here = lot.at(end);
    let project = known.side(end).project;
    let found = |obstacle| ChangeCause::InTheWay(end, obstacle);
    match lot.at(end.other()).place() {
        PlaceOfLot::Vessel(name, _) => {
            let Some(id) = project.stock.vessel_named(name) else { return vec![found(Obstacle::NotListed)] };
            let specimen = here.specimen();
            // Of a lot that nothing is decided about, the plan itself says why.
            if specimen.held(&project.rules).is_some() || undecided(project, specimen).is_some() {
                return Vec::new();
            }
            match judge(project, specimen, id) {
                Err(refusal) => {
                    let why = if refusal.rule == Rule::Supply { None } else { by_elimination(known, lot, end.other()) };
                    std::iter::once(found(Obstacle::Refused(refusal))).chain(why).collect()
                }
                Ok(fit) => pieces(known, lot, end, id, fit.pieces).into_iter().map(found).collect(),
            }
        }
        PlaceOfLot::Tank => tanks(lot, end, project).into_iter().map(found).collect(),
        PlaceOfLot::UnpricedTank | PlaceOfLot::Nowhere(_) => Vec::new(),
    }
}

/// The lot that has, at this end, a piece of the vessel that this lot has at the other: only where it is one from the shelf, and
/// those are all in use. Of others more can be had.
fn goes_to(known: &Known, lot: &LotInBoth, end: End) -> Option<ChangeCause> {
    let there = lot.at(end.other());
    let PlaceOfLot::Vessel(name, _) = there.place() else { return None };
    let here = known.pieces(end, known.side(end).project.stock.vessel_named(name)?);
    let is_scarce = there.placement().pieces_on_hand > 0 && here.used >= here.free;
    Some(ChangeCause::PieceGoesTo(end, here.newcomer.filter(|_| is_scarce)?))
}

/// What is short of pieces of a vessel that suits the lot.
fn pieces(known: &Known, lot: &LotInBoth, end: End, id: VesselId, wanted: u32) -> Vec<Obstacle> {
    let there = lot.at(end.other()).placement();
    let Some(id_there) = there.vessel else { return Vec::new() };
    let (here, other) = (known.pieces(end, id), known.pieces(end.other(), id_there));
    let mut found = Vec::new();
    if here.most.is_some_and(|most| most - here.used < i64::from(wanted)) {
        found.push(Obstacle::AllUsed(here.newcomer));
    }
    if here.free < other.free {
        found.push(Obstacle::FewerFree { here: here.free, there: other.free });
    }
    // What a piece costs matters where it is bought there, or would have to be bought here.
    let bought = there.outcome == Outcome::Order || here.free < other.free;
    match (here.price, other.price) {
        (None, Some(_)) if bought => found.push(Obstacle::NotSold),
        (Some(price), Some(other)) if bought && price > other => {
            found.push(Obstacle::Dearer { here: price, there: other });
        }
        _ => {}
    }
    found
}

/// What stands in the way of a tank.
fn tanks(lot: &LotInBoth, end: End, project: &Project) -> Option<Obstacle> {
    let here = lot.at(end);
    let specimen = here.specimen();
    if specimen.held(&project.rules).is_some() || undecided(project, specimen).is_some() {
        return None;
    }
    let there = lot.at(end.other()).tank().and_then(|tank| tank.cost);
    match (tank(project, specimen).map(|tank| tank.cost), there) {
        (Err(no_tank), _) => Some(Obstacle::NoTank(Box::new(no_tank))),
        (Ok(None), _) => Some(Obstacle::NoTankPrice),
        (Ok(_), _) if here.placement().vessel.is_some() && project.settings.tanks == Tanks::Leftovers => {
            Some(Obstacle::TanksForLeftovers)
        }
        (Ok(Some(price)), Some(other)) if price > other => Some(Obstacle::Dearer { here: price, there: other }),
        _ => None,
    }
}

/// What makes the difference to one lot in one vessel, the one it has at this end.
fn by_elimination(known: &Known, lot: &LotInBoth, end: End) -> Option<ChangeCause> {
    if lot.has_other_row() {
        return None;
    }
    let vessel = |id: VesselId| known.side(end).project.stock.vessel(id).id.as_str();
    let own = lot.at(end).placement().vessel.map(vessel);
    // Where the size is taken from the present vessel, its measures count too.
    let present = match lot.at(end).specimen().size {
        Size::LikeForLike(id) => Some(vessel(id)),
        Size::Measured(_) | Size::Unknown => None,
    };
    let differs = |name: &str| {
        let of = |project: &Project| {
            let id = project.stock.vessel_named(name)?;
            Some(inputs::measures(project, project.stock.vessel(id)))
        };
        of(known.old.project) != of(known.new.project)
    };
    if own.into_iter().chain(present).any(differs) {
        return Some(ChangeCause::Measures(end));
    }
    known.other_rules.then_some(ChangeCause::SettingsOrRules)
}

/// Why a lot is treated otherwise in the same place.
fn treatment(known: &Known, lot: &LotInBoth) -> Option<ChangeCause> {
    if lot.has_other_row() {
        return None;
    }
    let known_whole = || known.whole.clone().unwrap_or(ChangeCause::NotShown);
    Some(by_elimination(known, lot, End::New).unwrap_or_else(known_whole))
}

/// Why the pieces of a lot come from the shelf at one end and not, or fewer of them, at the other.
fn supply(known: &Known, lot: &LotInBoth) -> ChangeCause {
    let on_hand = |end| lot.at(end).placement().pieces_on_hand;
    let end = if on_hand(End::New) < on_hand(End::Old) { End::New } else { End::Old };
    let ids = [end, end.other()].map(|end| lot.at(end).placement().vessel);
    let [Some(here), Some(there)] = ids else { return ChangeCause::NotShown };
    let (here, there) = (known.pieces(end, here), known.pieces(end.other(), there));
    if here.free < there.free {
        let obstacle = Obstacle::FewerFree { here: here.free, there: there.free };
        return ChangeCause::InTheWay(end, obstacle);
    }
    match here.newcomer {
        Some(row) => ChangeCause::InTheWay(end, Obstacle::ShelfUsed(row)),
        None => known.whole.clone().unwrap_or(ChangeCause::NotShown),
    }
}
