//! Questions about a project: what is changed in it, and the plan that follows.
//!
//! The lots are judged once. What is changed touches the decision, or the options of single lots, and only these are judged
//! again. An answer is the decision of the plan that has these settings, with a certificate for each level.

pub mod budget;
pub mod instead;
pub mod kept;
pub mod limits;
pub mod listed;
pub mod threshold;

use std::borrow::Cow;
use std::sync::Arc;

use crate::assign::evaluate::{self, Values};
use crate::assign::{self, Progress, question};
use crate::collection::{Specimen, VesselChoice};
use crate::decision::{Aim, Decision, Goal, Level, Limits, OfferTerms, Question, Status, Supply};
use crate::options::table::{Judged, Row, judge_all, judge_row};
use crate::plan::Plan;
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::{Millilitres, Money, Packs};

/// A project and what is changed in it.
#[derive(Clone)]
pub struct Inquiry<'a> {
    project: Cow<'a, Project>,
    rows: Cow<'a, [Row]>,
    /// Lots of priorities after this one wait.
    up_to: u8,
    question: Question,
}

/// What may be changed.
#[derive(Clone, Debug, PartialEq, Eq)]
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
    /// The lot of a row waits, until the next change of what it must use.
    Waits {
        /// Which row.
        row: usize,
    },
    /// The pieces of a vessel that cost nothing.
    FreePieces(VesselId, u32),
    /// A vessel of which there are no pieces, and no offers.
    Without(VesselId),
    /// The price of a pack of an offer of the stock list.
    PackPrice(usize, Money),
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
    /// Sums of the plan.
    pub values: Values,
    /// How good it is.
    pub status: Status,
    /// What is proved of each level.
    pub levels: Vec<Level>,
}

impl PlanValue {
    /// What plans are compared by, the less the better: lots without a place by priority, then weighed money.
    pub fn rank(&self) -> ([i64; 4], Money) {
        (self.without_place, self.values.weighed)
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

/// A row that has no option.
fn waiting() -> Row {
    Row::Judged(Judged::new(Arc::default(), Millilitres::ZERO, None, Err(None)))
}

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
        let question = question::question(project, rows);
        Inquiry { project: Cow::Borrowed(project), rows: Cow::Borrowed(rows), up_to: 4, question }
    }

    /// The project as changed.
    pub fn project(&self) -> &Project {
        &self.project
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
                let judged = judge_row(project, &project.collection.specimens[row]);
                self.rows.to_mut()[row] = judged;
                self.ask();
            }
            WhatIf::Waits { row } => {
                self.rows.to_mut()[row] = waiting();
                self.ask();
            }
            WhatIf::FreePieces(vessel, pieces) => {
                let was = project.stock.vessel(vessel).free_pieces() > 0;
                project.stock.set_free_pieces(vessel, pieces);
                // Whether a vessel is to be had is one of the rules.
                if was != (pieces > 0) && project.stock.offers_of(vessel).next().is_none() {
                    self.rows = Cow::Owned(judge_all(project));
                }
                self.ask();
            }
            WhatIf::Without(vessel) => {
                project.stock.set_free_pieces(vessel, 0);
                project.stock.offers.retain(|offer| offer.vessel != vessel);
                self.rows = Cow::Owned(judge_all(project));
                self.ask();
            }
            WhatIf::ShelfAsOffers => {
                project.stock.offer_free_pieces();
                self.ask();
            }
            WhatIf::PackPrice(offer, price) => {
                project.stock.offers[offer].pack_price = price;
                self.ask();
            }
            WhatIf::NotBought(offer) => {
                project.stock.offers[offer].order_limit = Some(0);
                self.ask();
            }
        }
        self.question.limits = question::limits(&self.project);
    }

    /// Asks again, of the rows as they are now.
    fn ask(&mut self) {
        let specimens = &self.project.collection.specimens;
        self.question = if self.up_to < 4 {
            let urgent = |(row, specimen): (&Row, &Specimen)| match specimen.priority <= self.up_to {
                true => row.clone(),
                false => waiting(),
            };
            let rows: Vec<Row> = self.rows.iter().zip(specimens).map(urgent).collect();
            question::question(&self.project, &rows)
        } else {
            question::question(&self.project, &self.rows)
        };
    }

    /// Decides as a plan of the changed project does.
    pub fn decide(&self, watch: &mut Watch) -> Decision {
        assign::decide_watched(&self.question, watch.report, watch.stop)
    }

    /// The same from a plan that keeps every limit: no worse than that one.
    pub fn decide_from(&self, start: &Decision, watch: &mut Watch) -> Decision {
        assign::decide_from(&self.question, start.clone(), watch.report, watch.stop)
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
        for (row, specimen) in self.rows.iter().zip(&self.project.collection.specimens) {
            let Some(judged) = row.judged() else { continue };
            let has_tank = judged.tank.as_ref().is_ok_and(|tank| tank.cost.is_some());
            if judged.fits.is_empty() && !has_tank {
                without_place[usize::from(specimen.priority) - 1] += 1;
            }
        }
        PlanValue { without_place, values, status: decision.status, levels: decision.levels.clone() }
    }

    /// The plan of a decision.
    pub fn plan(&self, decision: &Decision) -> Plan {
        let labour = question::labour_per_row(&self.project);
        crate::plan::plan(&self.project, &self.rows, &self.question, decision, labour, Vec::new())
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

    /// The least money that the budget counts at which no more lots wait than this, by priority, whatever the budget is. `start`
    /// is such a plan.
    pub fn least_money(&self, most_deferred: [i64; 4], start: &Decision, stop: &dyn Fn() -> bool) -> LeastMoney {
        let mut decision = self.decide_counted(&Goal::least_money(most_deferred), start, stop);
        let level = decision.levels.remove(0);
        LeastMoney { decision, level }
    }

    /// The plan of fewest waiting lots of one priority among those in which no more of the more urgent ones wait than in
    /// `start`, whatever the budget is.
    pub fn fewest_deferred(&self, priority: u8, start: &Decision, stop: &dyn Fn() -> bool) -> Decision {
        let most = (1..priority).map(Aim::Deferred).zip(self.deferred(start)).collect();
        self.decide_counted(&Goal { aims: vec![Aim::Deferred(priority)], at_most: most }, start, stop)
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
