//! Questions about a project: what is changed in it, and the plan that follows.
//!
//! The lots are judged once. What is changed touches the decision, or the options of single lots, and only these are judged
//! again. An answer is the decision of the plan that has these settings, with a certificate for each level.

pub mod break_even;
pub mod budget;
pub mod catalogue;
pub mod fluid;
pub mod instead;
pub mod kept;
pub mod limits;
pub mod listed;
pub mod new_sizes;
pub mod questions;
pub mod threshold;

use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use crate::assign::evaluate::{self, Values};
use crate::assign::{self, Progress, question};
use crate::collection::{Hold, Particulars, Specimen, VesselChoice};
use crate::decision::{Aim, Decision, Goal, Level, Limits, OfferTerms, Question, Status, Supply};
use crate::options::table::{Row, judge_all, judge_row};
use crate::plan::Plan;
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::{Money, Packs, Position};

/// A project and what is changed in it.
#[derive(Clone)]
pub struct Inquiry<'a> {
    project: Cow<'a, Project>,
    /// Every row, also of lots that are made to wait.
    judged: Cow<'a, [Row]>,
    /// Rows of the changed project; `None` where no lot is made to wait.
    rows: Option<Vec<Row>>,
    /// Lots of priorities after this one wait.
    up_to: u8,
    /// Rows of single lots that are made to wait.
    waiting: BTreeSet<usize>,
    /// Limit on the work of a search, in calls of its `stop` function. It replaces the time limit, so that the result does not
    /// depend on the speed of the machine. `None`: the time limit holds.
    most_asked: Option<u64>,
    /// The vessel from which on kinds count under the limit on kinds; `None` = all count.
    counted_from: Option<VesselId>,
    question: Question,
}

/// What may be changed.
#[derive(Clone, Debug)]
pub enum WhatIf {
    /// The budget.
    Budget(Option<Money>),
    /// What a litre weighs beside its price.
    LitreWeight(Money),
    /// The last priority of which any lot is placed.
    UpToPriority(u8),
    /// The most kinds of vessel bought.
    MostKinds(Option<u32>),
    /// The most suppliers ordered from.
    MostSuppliers(Option<u32>),
    /// The vessels, or the tank, that the lot of a row must use: one or several, or none for any.
    MustUse {
        /// Which row.
        row: usize,
        /// What `must_use` names.
        choices: Vec<VesselChoice>,
    },
    /// The price of a pack.
    Price {
        /// Position of the offer in the stock.
        offer: usize,
        /// The price.
        price: Money,
    },
    /// Pieces of a vessel that cost nothing.
    FreePieces {
        /// Which vessel.
        vessel: VesselId,
        /// How many.
        free: i64,
    },
    /// The facts of a lot.
    Lot {
        /// Its row.
        row: usize,
        /// The lot as it is then.
        lot: Box<Specimen>,
    },
    /// The lot of a row waits, until the next change of what it must use.
    Waits {
        /// Which row.
        row: usize,
    },
    /// A vessel of which no piece is free or for sale.
    Without(VesselId),
    /// Free pieces are offers of single pieces at no price: a kind in use is a kind bought.
    ShelfAsOffers,
    /// An offer of the stock list of which no packs are bought. The vessel stays listed.
    NotBought(usize),
}

/// What a plan comes to, with what shows that none is better.
#[derive(Clone, Debug)]
pub struct PlanValue {
    /// Lots that have no place, by priority: those that wait, and those that no vessel suits and for which no tank has a price.
    pub without_place: [i64; 4],
    /// The same as the priorities are compared: one by one, or their weighted number first.
    ranked: [i64; 4],
    /// Sums of the plan.
    pub values: Values,
    /// How good it is.
    pub status: Status,
    /// What is proved of each level.
    pub levels: Vec<Level>,
}

impl PlanValue {
    /// What plans are compared by, the less the better: lots without a place as the priorities are compared, then weighed money.
    pub fn rank(&self) -> ([i64; 4], Money) {
        (self.ranked, self.values.weighed)
    }
}

/// The plan that takes least money, and what shows that none takes less.
#[derive(Clone, Debug)]
pub struct LeastMoney {
    /// The plan.
    pub decision: Decision,
    /// Money that the budget counts, with its bound and certificate.
    pub level: Level,
}

/// Why a lot that is made to wait is held in the changed project.
const HOLD: &str = "waits in this answer";

/// What is told while an answer is sought, and when to stop.
pub struct Watch<'w> {
    /// Told how far a decision is.
    pub report: &'w mut dyn FnMut(Progress),
    /// Whether to stop.
    pub stop: &'w dyn Fn() -> bool,
}

impl<'a> Inquiry<'a> {
    /// A project as it is, with the options of every lot in survey order.
    pub fn about(project: &'a Project, rows: &'a [Row]) -> Self {
        Inquiry {
            project: Cow::Borrowed(project),
            judged: Cow::Borrowed(rows),
            rows: None,
            up_to: 4,
            waiting: BTreeSet::new(),
            most_asked: None,
            counted_from: None,
            question: question::question(project, rows),
        }
    }

    /// An inquiry about the project as changed, to be changed further.
    fn branch(&self) -> Inquiry<'_> {
        Inquiry {
            project: Cow::Borrowed(&self.project),
            judged: Cow::Borrowed(self.rows()),
            rows: None,
            up_to: 4,
            waiting: BTreeSet::new(),
            most_asked: self.most_asked,
            counted_from: self.counted_from,
            question: self.question.clone(),
        }
    }

    /// The project as changed.
    pub fn project(&self) -> &Project {
        &self.project
    }

    /// The options of every lot of the changed project.
    pub fn rows(&self) -> &[Row] {
        self.rows.as_deref().unwrap_or(&self.judged)
    }

    /// What is asked of the decision.
    pub fn question(&self) -> &Question {
        &self.question
    }

    /// Changes the project.
    pub fn change(&mut self, change: WhatIf) {
        let project = self.project.to_mut();
        match change {
            WhatIf::Budget(budget) => project.settings.budget = budget,
            WhatIf::MostKinds(most) => project.settings.max_vessel_types = most,
            WhatIf::MostSuppliers(most) => project.settings.max_suppliers = most,
            WhatIf::LitreWeight(weight) => project.settings.litre_weight = weight,
            WhatIf::UpToPriority(priority) => {
                self.up_to = priority;
                self.ask();
            }
            WhatIf::MustUse { row, choices } => {
                Arc::make_mut(&mut project.collection.specimens[row].particulars).must_use = choices;
                self.waiting.remove(&row);
                self.judge(row);
                self.ask();
            }
            WhatIf::Price { offer, price } => {
                project.stock.offers[offer].pack_price = price;
                self.ask();
            }
            WhatIf::FreePieces { vessel, free } => {
                let had_none = project.stock.vessel(vessel).free_pieces() == 0;
                project.stock.vessels[vessel.index()].set_free_pieces(free);
                // Whether a vessel is to be had is one of the rules.
                if had_none != (free == 0) && project.stock.offers_of(vessel).next().is_none() {
                    self.judge_all_again();
                }
                self.ask();
            }
            WhatIf::Lot { row, lot } => {
                project.collection.specimens[row] = *lot;
                self.judge(row);
                self.ask();
            }
            WhatIf::Waits { row } => {
                self.waiting.insert(row);
                self.ask();
            }
            WhatIf::Without(vessel) => {
                project.stock.vessels[vessel.index()].set_free_pieces(0);
                // The offers keep their positions, which a certificate names.
                let offers = project.stock.offers.iter_mut().filter(|offer| offer.vessel == vessel);
                offers.for_each(|offer| offer.order_limit = Some(0));
                self.judge_all_again();
                self.ask();
            }
            WhatIf::ShelfAsOffers => {
                project.stock.offer_free_pieces();
                self.ask();
            }
            WhatIf::NotBought(offer) => {
                project.stock.offers[offer].order_limit = Some(0);
                self.ask();
            }
        }
        self.limit();
    }

    /// Puts the lot of a row before all others, which keep their order, and gives the new priority of each; `None` where the
    /// priorities leave no room for one more, or are weighed.
    fn put_first(&mut self, row: usize) -> Option<[u8; 4]> {
        if self.question.limits.priority_weights.is_some() {
            return None;
        }
        let others = |(at, specimen): (usize, &Specimen)| (at != row).then_some(specimen.priority);
        let used: BTreeSet<u8> = self.project.collection.specimens.iter().enumerate().filter_map(others).collect();
        if used.len() > 3 {
            return None;
        }
        let mut becomes = [1; 4];
        for (later, priority) in (2..).zip(used) {
            becomes[usize::from(priority) - 1] = later;
        }
        for (at, specimen) in self.project.to_mut().collection.specimens.iter_mut().enumerate() {
            specimen.priority = if at == row { 1 } else { becomes[usize::from(specimen.priority) - 1] };
        }
        self.ask();
        self.limit();
        Some(becomes)
    }

    /// Limits and weights as the settings have them now.
    fn limit(&mut self) {
        let limits = question::limits(&self.project);
        self.question.limits = Limits { most_asked: self.most_asked, ..limits };
    }

    /// Judges a row of the project as changed, without the hold of a lot that is made to wait.
    fn judge(&mut self, row: usize) {
        let is_free = !matches!(self.judged[row], Row::Held(_));
        let project = self.project.to_mut();
        if is_free && project.collection.specimens[row].particulars.hold.as_deref() == Some(HOLD) {
            Arc::make_mut(&mut project.collection.specimens[row].particulars).hold = None;
        }
        let judged = judge_row(project, &project.collection.specimens[row]);
        self.judged.to_mut()[row] = judged;
    }

    /// The same of every row.
    fn judge_all_again(&mut self) {
        let none = vec![false; self.judged.len()];
        self.hold(&none);
        self.judged = Cow::Owned(judge_all(&self.project));
        self.rows = None;
    }

    /// Asks again, of the rows as they are now. Lots that are made to wait are held.
    fn ask(&mut self) {
        let specimens = &self.project.collection.specimens;
        let waits = |row: usize| specimens[row].priority > self.up_to || self.waiting.contains(&row);
        let is_free = |row: usize| !matches!(self.judged[row], Row::Held(_));
        let waits: Vec<bool> = (0..specimens.len()).map(|row| waits(row) && is_free(row)).collect();
        let was_changed = self.rows.is_some();
        self.rows = waits.contains(&true).then(|| {
            let held = |(row, waits): (&Row, &bool)| if *waits { Row::Held(Hold::Stated) } else { row.clone() };
            self.judged.iter().zip(&waits).map(held).collect()
        });
        if was_changed || self.rows.is_some() {
            self.hold(&waits);
        }
        self.question = question::question(&self.project, self.rows());
        self.count();
    }

    /// Limits the kinds bought of those from this vessel on; the others do not count.
    fn limit_kinds_from(&mut self, first: VesselId, most: u32) {
        self.counted_from = Some(first);
        self.change(WhatIf::MostKinds(Some(most)));
        self.count();
    }

    /// Says of each kind whether it counts.
    fn count(&mut self) {
        if let Some(first) = self.counted_from {
            self.question.supplies.iter_mut().for_each(|supply| supply.counts_as_kind = supply.vessel >= first);
        }
    }

    /// Puts a hold on the rows that must wait, and takes it off the others. Rows that share one value of `Particulars` share the
    /// changed value too, which saves memory.
    fn hold(&mut self, waits: &[bool]) {
        let mut made: HashMap<*const Particulars, [Arc<Particulars>; 2]> = HashMap::new();
        for (row, specimen) in self.project.to_mut().collection.specimens.iter_mut().enumerate() {
            let hold = waits[row].then_some(HOLD);
            if matches!(self.judged[row], Row::Held(_)) || specimen.particulars.hold.as_deref() == hold {
                continue;
            }
            let now = &specimen.particulars;
            let [_, changed] = made.entry(Arc::as_ptr(now)).or_insert_with(|| {
                let changed = Particulars { hold: hold.map(str::to_owned), ..Particulars::clone(now) };
                // The one that it was made from is kept, so that its address means no other.
                [Arc::clone(now), Arc::new(changed)]
            });
            specimen.particulars = Arc::clone(changed);
        }
    }

    /// Decides as a plan of the changed project does.
    pub fn decide(&self, watch: &mut Watch) -> Decision {
        assign::decide_watched(&self.question, watch.report, watch.stop)
    }

    /// The same from a plan that keeps every limit: no worse than that one.
    pub fn decide_from(&self, start: &Decision, watch: &mut Watch) -> Decision {
        assign::decide_from(&self.question, start.clone(), watch.report, watch.stop)
    }

    /// A decision, or where its search ended early at a plan that is worse than the start, another one from there.
    pub fn no_worse(&self, decision: Decision, start: &Decision, watch: &mut Watch) -> Decision {
        let waiting = |decision: &Decision| {
            let values = self.values(decision);
            let aims = self.question.limits.aims().iter().filter(|aim| aim.counts_lots());
            aims.map(|aim| values.of(*aim)).collect::<Vec<_>>()
        };
        if waiting(start) < waiting(&decision) { self.decide_from(start, watch) } else { decision }
    }

    /// A decision of another question about the same lots and vessels as a plan of this one, if it keeps every limit: with the
    /// same packs, or else with packs that cover the same choices.
    pub fn carried(&self, from: &Question, decision: &Decision) -> Option<Decision> {
        let (to, here) = (&self.question, |supply: &Supply| supply.vessel);
        let same_choices = to.classes.len() == from.classes.len()
            && to.supplies.len() == from.supplies.len()
            && to.supplies.iter().map(here).eq(from.supplies.iter().map(here))
            && to.classes.iter().zip(&from.classes).all(|(to, from)| to.choices == from.choices);
        if !same_choices {
            return None;
        }
        let packs = to.supplies.enumerated().map(|(at, supply)| {
            let was = &from.supplies[at].offers;
            let of = |offer: &OfferTerms| was.iter().position(|other| other.offer == offer.offer);
            let packs = |offer| of(offer).map_or(Packs::ZERO, |place| decision.packs[at][place]);
            supply.offers.iter().map(packs).collect()
        });
        let same = Decision { chosen: decision.chosen.clone(), packs: packs.collect(), ..Decision::default() };
        if evaluate::check(to, &same).is_ok() { Some(same) } else { assign::covered(to, decision.chosen.clone()) }
    }

    /// Decides, from a plan of another question about the same lots and vessels where that is a plan here too.
    pub fn decide_near(&self, from: &Question, decision: &Decision, watch: &mut Watch) -> Decision {
        match self.carried(from, decision) {
            Some(start) => self.decide_from(&start, watch),
            None => self.decide(watch),
        }
    }

    /// What a decision comes to, the lots counted of which nothing is decided because they have no option.
    pub fn plan_value(&self, decision: &Decision) -> PlanValue {
        let values = self.values(decision);
        let mut without_place = values.deferred;
        for (row, specimen) in self.rows().iter().zip(&self.project.collection.specimens) {
            let Some(judged) = row.judged() else { continue };
            let has_tank = judged.tank.as_ref().is_ok_and(|tank| tank.cost.is_some());
            if judged.fits.is_empty() && !has_tank {
                without_place[usize::from(specimen.priority) - 1] += 1;
            }
        }
        let limits = &self.question.limits;
        let weights = [1, 2, 3, 4].map(|priority| limits.priority_weight(priority));
        let ranked = match weights {
            [0, 0, 0, 0] => without_place,
            weights => [weights.iter().zip(without_place).map(|(weight, lots)| weight * lots).sum(), 0, 0, 0],
        };
        PlanValue { without_place, ranked, values, status: decision.status, levels: decision.levels.clone() }
    }

    /// The plan of a decision.
    pub fn plan(&self, decision: &Decision) -> Plan {
        let labour = question::labour_per_row(&self.project);
        crate::plan::plan(&self.project, self.rows(), &self.question, decision, labour, Vec::new())
    }

    /// What a decision comes to.
    pub fn values(&self, decision: &Decision) -> Values {
        evaluate::values(&self.question, decision)
    }

    /// Lots that wait in a decision, by priority.
    pub fn deferred(&self, decision: &Decision) -> [i64; 4] {
        self.values(decision).deferred
    }

    /// The money of a decision that the budget counts.
    pub fn counted_money(&self, decision: &Decision) -> Money {
        let values = self.values(decision);
        values.money + self.question.limits.labour_per_row * values.placed
    }

    /// The least money that the budget counts at which no more lots wait than this, whatever the budget is. `start` is such a plan.
    pub fn least_money(&self, most_deferred: Vec<(Aim, i64)>, start: &Decision, stop: &dyn Fn() -> bool) -> LeastMoney {
        let mut decision = self.decide_counted(&Goal { aims: vec![Aim::Money], at_most: most_deferred }, start, stop);
        let level = decision.levels.remove(0);
        LeastMoney { decision, level }
    }

    /// The plan of fewest waiting lots on the last of these levels among those that keep the limits of the others, as `start`
    /// does, whatever the budget is.
    pub fn fewest_deferred(&self, levels: &[(Aim, i64)], start: &Decision, stop: &dyn Fn() -> bool) -> Decision {
        let (last, before) = levels.split_last().expect("at least one level");
        self.decide_counted(&Goal { aims: vec![last.0], at_most: before.to_vec() }, start, stop)
    }

    /// The cheapest plan with one more lot of a priority than a decision has, those after it waiting, the others as they are.
    pub fn with_one_more(&self, decision: &Decision, priority: u8) -> Option<Decision> {
        assign::with_one_more(&self.counted(), decision, priority)
    }

    fn decide_counted(&self, goal: &Goal, start: &Decision, stop: &dyn Fn() -> bool) -> Decision {
        assign::decide_for(&self.counted(), goal, start.clone(), &mut |_| {}, stop)
    }

    /// Whether goals other than a plan's can be decided: the linear relaxation of the question is not too large.
    pub fn takes_goals(&self) -> bool {
        assign::takes_goals(&self.question)
    }

    /// The question with the money that the budget counts, labour where it does and no weight of litres, and without a budget.
    fn counted(&self) -> Question {
        let mut counted = self.question.clone();
        for class in &mut counted.classes {
            for member in &mut class.members {
                member.money += self.question.limits.labour_per_row;
            }
        }
        let limits = self.question.limits;
        counted.limits = Limits { budget: None, labour_per_row: Money::ZERO, litre_weight: Money::ZERO, ..limits };
        counted
    }
}
