//! The one value every output is made from: placements, purchases, tanks, totals, reasons.
//!
//! Every field is a claim that [`crate::audit`](mod@crate::audit) re-derives from the inputs, and every field is in `plan.json`.

pub mod answers;
pub mod build;
pub mod cautions;
pub mod costly;
pub mod default_prices;
pub mod flammable;
pub mod fluids;
pub mod large_glass;
pub mod reasons;
pub mod renewals;
mod rounding;
pub mod sheets;
pub mod spent;
pub mod tanks;
pub mod waiting;
pub mod wants;
pub mod warnings;
pub mod work;

pub use answers::{PlanAnswer, Questions};
pub use build::plan;
pub use cautions::Caution;
pub use default_prices::DefaultPrice;
pub use reasons::{Reason, Wait, WaitCause};
pub use wants::{Want, Wanted, WantedVessel};
pub use warnings::Warning;

use crate::decision::{Level, Status};
use crate::options::table::NearMiss;
use crate::options::tank::TankPriceBasis;
use crate::options::{Fit, Marks};
use crate::rules::{Family, FluidId};
use crate::stock::{SupplierId, VesselId};
use crate::tank::panes::PaneKind;
use crate::tank::ways_out::WayOut;
use crate::units::{Length, Millilitres, Money};

/// A whole plan.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Plan {
    /// Whether the plan is proved best, within a gap, or only the best that was found.
    pub status: Status,
    /// The value and the proved bound of each level, in order of rank.
    pub levels: Vec<Level>,
    /// One for each row of the survey, in survey order.
    pub placements: Vec<Placement>,
    /// One for each offer of which packs are bought, by supplier, then vessel, then contents of the offer.
    pub purchases: Vec<Purchase>,
    /// The order to each supplier, by supplier.
    pub deliveries: Vec<Delivery>,
    /// One for each row with a custom tank, in survey order.
    pub tanks: Vec<Tank>,
    /// Stock sheets that the tanks' panes are cut from, thinnest glass first.
    pub sheets: Vec<SheetLayout>,
    /// One for each fluid that vessels, tanks or baths are filled with, in table order.
    pub make_up: Vec<MakeUp>,
    /// Fluids and concentrates to buy, by id.
    pub fluid_orders: Vec<FluidOrder>,
    /// Fluid to be disposed of, in the order of the families.
    pub spent: Vec<Spent>,
    /// Number of placed rows for which the survey does not state the present volume of fluid.
    pub spent_not_stated: usize,
    /// Flammable fluid by location.
    pub flammable: Vec<Flammable>,
    /// Kinds of vessel to look for; rows with the same want are grouped.
    pub wants: Vec<Want>,
    /// Sums of the above.
    pub totals: Totals,
    /// Warnings about the plan, the most important first.
    pub warnings: Vec<Warning>,
    /// Prices that are defaults, not the user's own: fluids in table order, then tanks.
    pub prices_not_yours: Vec<DefaultPrice>,
    /// Safety cautions that apply, in the order they are printed.
    pub cautions: Vec<Caution>,
    /// Rows left out because they could not be read (`specimens.csv, row 14: …`), if that was asked for.
    pub skipped_rows: Vec<String>,
    /// How many questions were asked.
    pub questions: Questions,
    /// The answers, in the order of the questions.
    pub answers: Vec<PlanAnswer>,
}

impl Plan {
    /// The tank of the row at this index of the survey, if it has one.
    pub fn tank_of(&self, specimen: usize) -> Option<&Tank> {
        let found = self.tanks.binary_search_by_key(&specimen, |tank| tank.specimen).ok()?;
        self.tanks.get(found)
    }

    /// Whether a row waits for the price of its tank.
    pub fn waits_for_price(&self, placement: &Placement) -> bool {
        placement.outcome == Outcome::CustomTank
            && self.tank_of(placement.specimen).is_none_or(|tank| tank.cost.is_none())
    }

    /// The rows that are moved: those in the totals, with their fluid.
    pub fn moved(&self) -> impl Iterator<Item = &Placement> {
        self.placements.iter().filter(|placement| placement.fluid.is_some() && !self.waits_for_price(placement))
    }
}

/// What becomes of one row of the survey.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// Index into the collection's specimens.
    pub specimen: usize,
    /// Where the row goes, or why it stays.
    pub outcome: Outcome,
    /// The vessel, for the outcomes `on hand` and `order`.
    pub vessel: Option<VesselId>,
    /// How the specimen fits this vessel, for the outcomes `on hand` and `order`.
    pub fit: Option<Fit>,
    /// Number of its vessels that are free pieces, on the shelf or arriving.
    pub pieces_on_hand: u32,
    /// Fluid for one filling of its vessels or its tank.
    pub fluid: Option<Millilitres>,
    /// How often the vessels are filled; 0 if the row is not placed.
    pub charges: u32,
    /// Present fluid that is kept as part of the first filling.
    pub reused: Millilitres,
    /// The baths before the vessel is filled, in order: the fluid and its volume.
    pub baths: Vec<(FluidId, Millilitres)>,
    /// Days in all baths together.
    pub bath_days: f64,
    /// Cost of all fillings and baths.
    pub fluid_cost: Option<Money>,
    /// Why the row has this outcome.
    pub reason: Reason,
    /// Marks that must be reviewed before the placement is carried out.
    pub marks: Marks,
    /// The nearest vessel with its refusal, for rows without a suitable vessel.
    pub near_miss: Option<Box<NearMiss>>,
}

/// What becomes of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outcome {
    /// Goes into pieces on the shelf, or paid for and arriving.
    OnHand,
    /// Goes into pieces to be ordered, all or some.
    Order,
    /// Goes into a tank made to measure.
    CustomTank,
    /// Left for later: the budget, the stock, or a limit of the settings does not suffice.
    Deferred,
    /// A person must decide: no vessel or tank is suitable, or something is unknown.
    NeedsDecision,
    /// Not to be moved.
    Held,
}

impl Outcome {
    /// All outcomes, in the order they are listed.
    pub const ALL: [Outcome; 6] = [
        Outcome::OnHand,
        Outcome::Order,
        Outcome::CustomTank,
        Outcome::Deferred,
        Outcome::NeedsDecision,
        Outcome::Held,
    ];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Outcome::OnHand => "on hand",
            Outcome::Order => "order",
            Outcome::CustomTank => "custom tank",
            Outcome::Deferred => "deferred",
            Outcome::NeedsDecision => "needs a decision",
            Outcome::Held => "held",
        }
    }
}

/// Packs of one offer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Purchase {
    /// Index into the stock's offers.
    pub offer: usize,
    /// Packs bought, at least 1.
    pub packs: i64,
    /// Pieces in them.
    pub pieces: i64,
    /// Packs × pack price.
    pub line_total: Money,
    /// Pieces of these packs that placements use.
    pub pieces_used: i64,
    /// Pieces of these packs that no placement uses.
    pub spare: i64,
}

/// One supplier's order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Delivery {
    /// The supplier.
    pub supplier: SupplierId,
    /// Packs × pack price over its purchases.
    pub goods: Money,
    /// The delivery charge.
    pub charge: Money,
}

/// A tank made to measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Tank {
    /// Index into the collection's specimens.
    pub specimen: usize,
    /// Clear length inside.
    pub length: Length,
    /// Clear width inside.
    pub width: Length,
    /// Clear height inside, floor to rim.
    pub height: Length,
    /// The stance of the specimen in it.
    pub stance: crate::fit::Stance,
    /// Fluid of one filling.
    pub fluid: Millilitres,
    /// Number of fillings.
    pub charges: u32,
    /// Price; `None` = unknown, outside money, budget and litres.
    pub cost: Option<Money>,
    /// Where its price is from, or why there is none.
    pub price_basis: TankPriceBasis,
    /// What else can hold the fluid, if silicone-bonded glass is not suitable.
    pub ways_out: Vec<WayOut>,
    /// The design in silicone-bonded glass; `None` if the tank is of something else, or only a quoted price is known.
    pub design: Option<Box<tanks::TankDesign>>,
}

/// A stock sheet of glass and the panes cut from it.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetLayout {
    /// Nominal thickness.
    pub thickness: Length,
    /// Its longer side, along x.
    pub length: Length,
    /// Its shorter side, along y.
    pub width: Length,
    /// The panes cut from it.
    pub panes: Vec<SheetPane>,
}

/// One pane on a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetPane {
    /// The specimen of the tank: index into the collection's specimens.
    pub specimen: usize,
    /// The line of that tank's cut list.
    pub pane: PaneKind,
    /// Distance from the left edge of the sheet.
    pub x: Length,
    /// Distance from its lower edge.
    pub y: Length,
    /// Side along x.
    pub length: Length,
    /// Side along y.
    pub width: Length,
}

/// How much of one fluid a plan takes, and how it is made up.
#[derive(Clone, Debug, PartialEq)]
pub struct MakeUp {
    /// The fluid.
    pub fluid: FluidId,
    /// Number of rows kept in it.
    pub rows: usize,
    /// All fillings of all rows in the totals.
    pub amount: Millilitres,
    /// Of these fillings, present fluid that is kept.
    pub reused: Millilitres,
    /// Baths of all rows in the totals.
    pub baths: Millilitres,
    /// Of the fluid needed, the part that is owned and on the shelf.
    pub from_stock: Millilitres,
    /// Cost of the rest, with losses and tax.
    pub cost: Money,
    /// The rest with losses: to be made up, or bought ready for use.
    pub to_make: Millilitres,
    /// What it is made from; `None` if it is bought ready for use.
    pub made_from: Option<MadeFrom>,
    /// Fillings and baths for tanks of unknown price, which are not in the totals.
    pub amount_outside: Millilitres,
    /// Cost of `amount_outside`.
    pub cost_outside: Money,
}

/// What a fluid is made from.
#[derive(Clone, Debug, PartialEq)]
pub struct MadeFrom {
    /// The concentrate, by its id.
    pub concentrate: String,
    /// Volume of the concentrate.
    pub amount: Millilitres,
    /// Volume of water; `None` if the mixture is made up with water to its final volume.
    pub water: Option<Millilitres>,
    /// Salts: the name and the milligrams of each.
    pub salts: Vec<(String, i64)>,
}

/// The order for one fluid or concentrate, in whole containers. The decision does not count it.
#[derive(Clone, Debug, PartialEq)]
pub struct FluidOrder {
    /// Its id.
    pub fluid: String,
    /// The volume needed.
    pub needed: Millilitres,
    /// The part of it that is owned and on the shelf.
    pub from_stock: Millilitres,
    /// Containers to buy: volume, price and number of each size; empty if no size is known or nothing is needed.
    pub containers: Vec<(Millilitres, Money, i64)>,
    /// Cost of the containers; `None` if no size is known.
    pub cost: Option<Money>,
    /// Its cost by the litre, as the decision counts it.
    pub counted: Money,
}

/// Fluid to be disposed of, by kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spent {
    /// The family of the fluid.
    pub family: Family,
    /// Its volume.
    pub amount: Millilitres,
    /// Cost of its disposal.
    pub cost: Money,
}

/// Flammable fluid in one place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flammable {
    /// `location` of the survey or of owned fluid, empty if not stated; or the preparation place.
    pub location: String,
    /// Now: owned fluid, and the present fluid of lots whose volume is stated.
    pub before: Millilitres,
    /// Rows whose present fluid is flammable or not stated, and whose volume is not stated.
    pub not_stated: usize,
    /// After the work, with spent fluid that waits for collection and fluid left over.
    pub after: Millilitres,
    /// Upper bound during the work: what is there now and all that may come there.
    pub peak: Millilitres,
}

/// Counts and sums. Rows: placed + unpriced tanks + deferred + needs a decision + held = all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Totals {
    /// On hand, to be ordered or in a custom tank of known price.
    pub placed: usize,
    /// Rows in pieces on hand or arriving.
    pub on_hand: usize,
    /// Rows in pieces to be ordered.
    pub order: usize,
    /// Rows in custom tanks of known price.
    pub custom_tank: usize,
    /// Rows that wait for the price of their tank: outside money, budget, litres and work.
    pub unpriced_tanks: usize,
    /// Rows left for later.
    pub deferred: usize,
    /// Rows that a person must decide.
    pub needs_decision: usize,
    /// Rows not to be moved.
    pub held: usize,
    /// Cost of packs.
    pub purchase: Money,
    /// Cost of delivery.
    pub delivery: Money,
    /// Cost of fluid.
    pub fluid: Money,
    /// Cost of custom tanks of known price.
    pub tanks: Money,
    /// Sum of these four.
    pub money: Money,
    /// Money saved after the decision because tanks share sizes; zero if none do.
    pub saved_by_sharing: Money,
    /// Work on the placed rows, in whole minutes.
    pub minutes: i64,
    /// Cost of that work.
    pub labour: Money,
    /// Labour that counts against the budget: that of the moves, if labour counts at all.
    pub labour_counted: Money,
    /// Disposal of spent fluid.
    pub disposal: Money,
    /// Cost of whole containers less the cost of their fluid by the litre; may be below zero.
    pub containers: Money,
    /// The amount to pay: money, disposal and containers.
    pub to_pay: Money,
    /// Fluid of all fillings.
    pub litres: Millilitres,
}

impl Totals {
    /// What is left of a budget after the cost, and after labour if it counts against the budget.
    pub fn left_of(&self, budget: Money) -> Money {
        budget - self.money - self.labour_counted
    }

    /// Whether a sum is so large that it may have been clamped to the largest number, and the plan would state a false figure.
    pub fn beyond_counting(&self) -> bool {
        let Totals { purchase, delivery, fluid, tanks, money, labour, labour_counted, disposal, to_pay, .. } = *self;
        let sums = [purchase, delivery, fluid, tanks, money, labour, labour_counted, disposal, to_pay, self.containers];
        let near = |sum: i64| sum.unsigned_abs() >= Money::MOST.parts().unsigned_abs() / 1000 * 999;
        sums.into_iter().any(|sum| near(sum.parts())) || near(self.litres.0) || near(self.minutes)
    }
}
