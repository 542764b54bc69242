//! Builds the plan from the options and the decision.

use std::collections::BTreeMap;

use super::reasons::{self, Reason, Wait, WaitCause};
use super::tanks::TankDesign;
use super::waiting::LeftOver;
use super::work::{Work, labour_counted};
use super::{
    Delivery, MakeUp, Outcome, Placement, Plan, Purchase, Tank, Totals, cautions, default_prices, flammable, fluids,
    rounding, sheets, spent, wants, warnings,
};
use crate::decision::{Decision, Question};
use crate::options::judge::judge_treated;
use crate::options::table::{Judged, Row};
use crate::options::tank::TankOption;
use crate::options::{Filling, Marks, Treatment, shared};
use crate::project::Project;
use crate::settings::Settings;
use crate::stock::{SupplierId, Vessel, VesselId};
use crate::system::threads::{both, in_threads};
use crate::units::{IndexTable, Millilitres, Money, Packs, index, number_of};

/// Makes the plan of a project.
///
/// `rows` are the options of every row in survey order; `question` and `decision` are the decision problem made from them and
/// its solution; `labour_per_row` is the labour cost of moving one row; `skipped_rows` lists rows that could not be read.
pub fn plan(
    project: &Project,
    rows: &[Row],
    question: &Question,
    decision: &Decision,
    labour_per_row: Money,
    skipped_rows: Vec<String>,
) -> Plan {
    let chosen = chosen(question, decision, rows.len());
    let made = Making { project, rows, question, decision, labour_per_row, chosen: &chosen };
    let mut plan = made.with(&BTreeMap::new());
    // Tanks share sizes after the decision, and only if that lowers the weighed money and does not raise the amount to pay.
    let shared = shared::share(project, &tanks_chosen(rows, &chosen));
    if !shared.is_empty() {
        let sharing = made.with(&shared);
        let weighed = |plan: &Plan| plan.totals.money + project.settings.litre_weight.per_litre(plan.totals.litres);
        if weighed(&sharing) < weighed(&plan) && sharing.totals.to_pay <= plan.totals.to_pay {
            let saved_by_sharing = plan.totals.money - sharing.totals.money;
            plan = Plan { totals: Totals { saved_by_sharing, ..sharing.totals }, ..sharing };
        }
    }
    plan.skipped_rows = skipped_rows;
    let deferred = plan.placements.iter().enumerate().filter(|(_, placement)| placement.outcome == Outcome::Deferred);
    let deferred: Vec<(usize, usize)> = deferred.map(|(at, placement)| (at, placement.specimen)).collect();
    if !deferred.is_empty() {
        let left = LeftOver::of(project, &plan, labour_per_row);
        let wait = |&(_, specimen): &(usize, usize)| Some(left.wait(specimen, rows[specimen].judged()?));
        let waits = in_threads(&deferred, wait);
        for ((at, _), wait) in deferred.into_iter().zip(waits) {
            if let Some(wait) = wait {
                plan.placements[at].reason = Reason::Waits(Box::new(wait));
            }
        }
    }
    let (said, doubts) = both(
        || (wants::wants(project, &plan, rows), cautions::cautions(project, &plan)),
        || (default_prices::default_prices(project, &plan), warnings::warnings(project, &plan)),
    );
    (plan.wants, plan.cautions) = said;
    (plan.prices_not_yours, plan.warnings) = doubts;
    for placement in &mut plan.placements {
        rounding::as_a_file_shows(placement);
    }
    plan
}

/// The tanks of known price that the decision chose, each with its row.
fn tanks_chosen<'a>(rows: &'a [Row], chosen: &[Option<ChosenOption>]) -> Vec<(usize, &'a TankOption)> {
    let option = |index: usize| rows[index].judged()?.tank.as_deref().ok();
    let tanks = (0..rows.len()).filter(|&index| chosen[index] == Some(ChosenOption::Tank));
    tanks.filter_map(|index| Some((index, option(index)?))).collect()
}

/// What a plan is made from.
struct Making<'a> {
    project: &'a Project,
    rows: &'a [Row],
    question: &'a Question,
    decision: &'a Decision,
    labour_per_row: Money,
    chosen: &'a [Option<ChosenOption>],
}

impl Making<'_> {
    /// The plan. Tanks in `shared` are made in that size instead of their own.
    fn with(&self, shared: &BTreeMap<usize, TankOption>) -> Plan {
        let Making { project, rows, question, decision, labour_per_row, chosen } = *self;
        let on_hand = pieces_on_hand(project, rows, chosen);
        let mut placements = Vec::with_capacity(rows.len());
        let mut tanks = Vec::new();
        let place = |&index: &usize| match &rows[index] {
            Row::Held(hold) => (unplaced(index, Outcome::Held, Reason::Held(*hold)), None),
            Row::Undecided(unknown) => (unplaced(index, Outcome::NeedsDecision, Reason::Unknown(*unknown)), None),
            Row::Judged(judged) => {
                let tank = shared.get(&index).or(judged.tank.as_deref().ok());
                placed(project, index, judged, (chosen[index], tank), on_hand[index])
            }
        };
        let indices: Vec<usize> = (0..rows.len()).collect();
        // In blocks, because the results of threads are in memory twice until they are collected.
        for some in indices.chunks(ROWS_AT_A_TIME) {
            for (placement, tank) in in_threads(some, place) {
                placements.push(placement);
                tanks.extend(tank);
            }
        }
        let purchases = purchases(project, question, decision, &placements);
        let deliveries = deliveries(project, question, decision);
        let (sheets, (make_up, (spent, spent_not_stated), (flammable, fluid_orders))) = both(
            || sheets::sheets(project, &tanks),
            || {
                let make_up = fluids::make_up(project, &placements, &tanks);
                let outside = fluids::outside(&tanks);
                let orders = fluids::orders(project, &make_up);
                let spent = spent::spent(project, &placements, &outside);
                let moved = flammable::FluidByPlace::new(project, &placements, outside, &make_up, &orders);
                let flammable = moved.by_place(|held| held.burns());
                (make_up, spent, (flammable, orders))
            },
        );
        let beside = OutsideMoney {
            work: Work::of(project, &placements, &tanks, &purchases),
            labour_per_row: labour_counted(&project.settings, labour_per_row),
            disposal: spent.iter().map(|spent| spent.cost).sum(),
            containers: fluids::containers(&fluid_orders),
        };
        let totals = totals(&project.settings, &placements, &purchases, &deliveries, &make_up, &tanks, &beside);
        Plan {
            status: decision.status,
            levels: decision.levels.clone(),
            placements,
            purchases,
            deliveries,
            sheets,
            tanks,
            make_up,
            fluid_orders,
            spent,
            spent_not_stated,
            flammable,
            totals,
            ..Plan::default()
        }
    }
}

/// Number of rows in a block of placements.
const ROWS_AT_A_TIME: usize = 20_000;

/// What the decision chose for a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum ChosenOption {
    Vessel(VesselId),
    Tank,
    Deferred,
}

/// The choice of each row; `None` for rows that are not in the question.
fn chosen(question: &Question, decision: &Decision, n_rows: usize) -> Vec<Option<ChosenOption>> {
    let mut by_row = vec![None; n_rows];
    for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
        for (member, choice) in class.members.iter().zip(chosen) {
            by_row[index(member.specimen)] = Some(match choice.map(|index| class.choices[index].supply) {
                None => ChosenOption::Deferred,
                Some(None) => ChosenOption::Tank,
                Some(Some(supply)) => ChosenOption::Vessel(question.supplies[supply].vessel),
            });
        }
    }
    by_row
}

/// Number of free pieces that each row gets. Those of one vessel are given out by priority, then by key.
fn pieces_on_hand(project: &Project, rows: &[Row], chosen: &[Option<ChosenOption>]) -> Vec<u32> {
    let mut free: IndexTable<VesselId, i64> = project.stock.vessels.iter().map(Vessel::free_pieces).collect();
    let mut on_hand = vec![0; rows.len()];
    for row in project.collection.in_turn() {
        let row = index(row);
        if let (Some(ChosenOption::Vessel(vessel)), Some(judged)) = (chosen[row], rows[row].judged())
            && let Some(portion) = judged.portion(vessel)
        {
            let free = &mut free[vessel];
            // A number that does not fit 32 bits is more than the lot takes.
            let taken = u32::try_from(*free).map_or(portion.pieces, |free| free.min(portion.pieces));
            *free -= i64::from(taken);
            on_hand[row] = taken;
        }
    }
    on_hand
}

fn unplaced(specimen: usize, outcome: Outcome, reason: Reason) -> Placement {
    Placement {
        specimen,
        outcome,
        vessel: None,
        fit: None,
        pieces_on_hand: 0,
        fluid: None,
        charges: 0,
        reused: Millilitres::ZERO,
        baths: Vec::new(),
        bath_days: 0.0,
        fluid_cost: None,
        reason,
        marks: Marks::default(),
        near_miss: None,
    }
}

/// The placement of a judged row, and its tank if it gets one.
fn placed(
    project: &Project,
    index: usize,
    judged: &Judged,
    (chosen, tank): (Option<ChosenOption>, Option<&TankOption>),
    pieces_on_hand: u32,
) -> (Placement, Option<Tank>) {
    let specimen = &project.collection.specimens[index];
    let treatment = Treatment::of(project, specimen);
    let filled = |charges, one, placement| {
        let filling = Filling::of(project, specimen, &treatment, charges, one);
        Placement {
            fluid: Some(one),
            charges,
            reused: filling.reused,
            fluid_cost: Some(filling.money(project, specimen.fluid)),
            baths: filling.baths,
            bath_days: treatment.bath_days(),
            ..placement
        }
    };
    match (chosen, tank) {
        (Some(ChosenOption::Vessel(vessel)), _)
            if let Ok(fit) = judge_treated(project, specimen, &treatment, vessel) =>
        {
            let outcome = if pieces_on_hand >= fit.pieces { Outcome::OnHand } else { Outcome::Order };
            let placement = Placement {
                vessel: Some(vessel),
                fit: Some(fit),
                pieces_on_hand,
                marks: fit.marks,
                ..unplaced(index, outcome, Reason::Vessel { suitable: judged.suitable() })
            };
            (filled(fit.charges, fit.fluid(), placement), None)
        }
        // `None`: a row that has no other option than a tank of unknown price, and is not in the question.
        (Some(ChosenOption::Tank) | None, Some(tank)) => {
            let placement = Placement {
                marks: reasons::marks_of_tank(tank),
                near_miss: judged.near_miss.clone(),
                ..unplaced(index, Outcome::CustomTank, reasons::in_tank(specimen, judged))
            };
            (filled(tank.charges, tank.fluid, placement), Some(made(project, index, tank)))
        }
        (Some(_), _) => {
            // A placeholder: the cause is found when the whole plan is known.
            let wait = Wait { cause: WaitCause::Stock, suitable: judged.suitable() };
            let waits = unplaced(index, Outcome::Deferred, Reason::Waits(Box::new(wait)));
            (Placement { near_miss: judged.near_miss.clone(), ..waits }, None)
        }
        (None, None) => {
            let no_tank = judged.tank.as_ref().err().and_then(Option::as_deref);
            let reason = reasons::needs_decision(project, specimen, no_tank);
            let placement = unplaced(index, Outcome::NeedsDecision, reason);
            (Placement { near_miss: judged.near_miss.clone(), ..placement }, None)
        }
    }
}

fn made(project: &Project, specimen: usize, tank: &TankOption) -> Tank {
    let fluid = project.collection.specimens[specimen].fluid;
    Tank {
        specimen,
        length: tank.length,
        width: tank.width,
        height: tank.height,
        stance: tank.stance,
        fluid: tank.fluid,
        charges: tank.charges,
        cost: tank.cost,
        price_basis: tank.price_basis,
        ways_out: tank.ways_out.clone(),
        design: TankDesign::of(project, fluid, tank).map(Box::new),
    }
}

/// The packs bought, with the pieces that placements use from them.
fn purchases(project: &Project, question: &Question, decision: &Decision, placements: &[Placement]) -> Vec<Purchase> {
    let mut from_purchase: BTreeMap<VesselId, i64> = BTreeMap::new();
    for placement in placements {
        if let (Some(vessel), Some(fit)) = (placement.vessel, placement.fit) {
            *from_purchase.entry(vessel).or_default() += i64::from(fit.pieces) - i64::from(placement.pieces_on_hand);
        }
    }
    let mut purchases = Vec::new();
    for (supply, packs) in question.supplies.iter().zip(&decision.packs) {
        let mut needed = from_purchase.get(&supply.vessel).copied().unwrap_or(0);
        for (terms, &packs) in supply.offers.iter().zip(packs).filter(|(_, packs)| **packs > Packs::ZERO) {
            let pieces = (terms.pack_size * packs).0;
            let pieces_used = needed.min(pieces);
            needed -= pieces_used;
            purchases.push(Purchase {
                offer: index(terms.offer),
                packs: packs.0,
                pieces,
                line_total: terms.pack_price * packs,
                pieces_used,
                spare: pieces - pieces_used,
            });
        }
    }
    // The sort is stable: offers of one vessel stay in the order of their content.
    purchases.sort_by_key(|purchase| {
        let offer = &project.stock.offers[purchase.offer];
        (offer.supplier, offer.vessel)
    });
    purchases
}

fn deliveries(project: &Project, question: &Question, decision: &Decision) -> Vec<Delivery> {
    let mut goods: BTreeMap<SupplierId, Money> = BTreeMap::new();
    for (supply, packs) in question.supplies.iter().zip(&decision.packs) {
        for (offer, &packs) in supply.offers.iter().zip(packs).filter(|(_, packs)| **packs > Packs::ZERO) {
            if let Some(position) = offer.supplier {
                let supplier = question.suppliers[position].supplier;
                *goods.entry(supplier).or_default() += offer.pack_price * packs;
            }
        }
    }
    goods
        .into_iter()
        .map(|(supplier, goods)| {
            let terms = project.stock.supplier(supplier);
            let free = terms.free_delivery_over.is_some_and(|threshold| goods >= threshold);
            let charge = if free { Money::ZERO } else { terms.delivery_charge };
            Delivery { supplier, goods, charge }
        })
        .collect()
}

/// Work, and costs that are not in `Totals::money`.
struct OutsideMoney {
    work: Work,
    /// Labour of each moved row that counts against the budget.
    labour_per_row: Money,
    disposal: Money,
    containers: Money,
}

fn totals(
    settings: &Settings,
    placements: &[Placement],
    purchases: &[Purchase],
    deliveries: &[Delivery],
    make_up: &[MakeUp],
    tanks: &[Tank],
    beside: &OutsideMoney,
) -> Totals {
    let mut counts = [0; Outcome::ALL.len()];
    placements.iter().for_each(|placement| counts[placement.outcome as usize] += 1);
    let count = |outcome: Outcome| counts[outcome as usize];
    // A tank of unknown price is in no sum of money, not even with its labour. Its row waits for the price.
    let unpriced_tanks = tanks.iter().filter(|tank| tank.cost.is_none()).count();
    let (on_hand, order) = (count(Outcome::OnHand), count(Outcome::Order));
    let custom_tank = count(Outcome::CustomTank) - unpriced_tanks;
    let purchase: Money = purchases.iter().map(|line| line.line_total).sum();
    let delivery: Money = deliveries.iter().map(|delivery| delivery.charge).sum();
    let fluid: Money = make_up.iter().map(|made| made.cost).sum();
    let tank_money: Money = tanks.iter().filter_map(|tank| tank.cost).sum();
    let money = purchase + delivery + fluid + tank_money;
    Totals {
        placed: on_hand + order + custom_tank,
        on_hand,
        order,
        custom_tank,
        unpriced_tanks,
        deferred: count(Outcome::Deferred),
        needs_decision: count(Outcome::NeedsDecision),
        held: count(Outcome::Held),
        purchase,
        delivery,
        fluid,
        tanks: tank_money,
        money,
        saved_by_sharing: Money::ZERO,
        minutes: beside.work.minutes(settings),
        labour: beside.work.cost(settings),
        labour_counted: beside.labour_per_row * number_of(beside.work.rows()),
        disposal: beside.disposal,
        containers: beside.containers,
        to_pay: money + beside.disposal + beside.containers,
        litres: make_up.iter().map(|made| made.amount).sum(),
    }
}
