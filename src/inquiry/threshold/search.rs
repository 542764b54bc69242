//! The search along one lever: bisection, and what saves decisions.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

use super::levers::LotNow;
use super::{ChangeExtent, Crossing, Lever, LeverValue, LeverValues, Tie, Way};
use crate::decision::{Decision, Status};
use crate::inquiry::instead::{Housing, OtherPlan, housings, other_plan, start};
use crate::inquiry::{Inquiry, Watch, WhatIf};
use crate::options::table::Row;
use crate::units::{Money, index};

/// Most lots that one is exchanged with.
const MOST_EXCHANGED: usize = 20;

/// The decision at one value of a lever.
#[derive(Clone)]
pub(super) struct Probe {
    is_same: bool,
    /// What counts against the budget.
    counted: Money,
    /// Packs bought of the offer whose price is the lever.
    packs: i64,
    /// Where every lot goes.
    goes: BTreeMap<usize, Housing>,
    plan: Box<OtherPlan>,
}

/// How good a plan is: its values on the levels of the question, in order. The less, the better.
fn rank(asked: &Inquiry, probe: &Probe) -> Vec<i64> {
    asked.question.limits.aims().iter().map(|&aim| probe.plan.values.of(aim)).collect()
}

/// The search along one lever.
pub(super) struct LeverSearch<'a> {
    pub(super) lot: &'a LotNow<'a>,
    pub(super) grid: LeverValues,
    /// Decisions by the options of the lot, where only these change.
    pub(super) decided: RefCell<Vec<(Row, Probe)>>,
    /// Positions at which a plan that moves the lot is as good as one that does not, and where it goes in that plan.
    pub(super) ties: RefCell<BTreeMap<i64, Option<Housing>>>,
    pub(super) stop: &'a (dyn Fn() -> bool + Sync),
}

impl LeverSearch<'_> {
    /// The value from which on the lot is housed differently.
    pub(super) fn crossing(&self) -> Crossing {
        let LotNow { inquiry, plan, ref now, ref budget_steps, .. } = *self.lot;
        let mut same = (0, self.seen(inquiry, plan, now.clone()));
        if let (Lever::Budget, Some(steps)) = (self.grid.lever, budget_steps) {
            return self.at_steps(same.1, steps);
        }
        // Ends at which the lot moves, the nearest last.
        let mut others = Vec::new();
        for i in [self.grid.begins_near().then_some(1), Some(self.grid.last)].into_iter().flatten() {
            let probe = self.probe(i, &same.1);
            if !probe.is_same {
                others.push((i, probe));
                break;
            }
            same = (i, probe);
        }
        let mut tries = 0;
        while let Some(mut other) = others.pop() {
            self.narrow(&mut same, &mut other);
            if other.0 - same.0 <= 1 {
                if let Some(stays) = self.stays(other.0, &other.1) {
                    same = (other.0, stays);
                    if others.is_empty() && same.0 < self.grid.last {
                        let probe = self.probe(self.grid.last, &same.1);
                        if probe.is_same {
                            same = (self.grid.last, probe);
                        } else {
                            others.push((self.grid.last, probe));
                        }
                    }
                    continue;
                }
                return self.between(&same, other);
            }
            if (self.stop)() {
                return Crossing::Open;
            }
            let next = self.next(tries, (same.0, &same.1), (other.0, &other.1));
            tries += 1;
            others.push(other);
            let probe = self.probe(next, &same.1);
            if probe.is_same {
                same = (next, probe);
            } else {
                others.push((next, probe));
            }
        }
        match (self.stop)() {
            true => Crossing::Open,
            false => Crossing::Nowhere { tried: self.grid.amount(same.0), all: same.0 <= 1, tie: self.tie(same.0 + 1) },
        }
    }

    /// The threshold between neighbouring values: at `same` the lot keeps its place, at `other` it moves.
    fn between(&self, same: &(i64, Probe), other: (i64, Probe)) -> Crossing {
        let statuses = [same.1.plan.status, other.1.plan.status];
        Crossing::At {
            before: self.grid.amount(same.0),
            from: self.grid.amount(other.0),
            then: other.1.goes.get(&self.lot.row).copied(),
            proved: statuses.iter().all(|status| *status == Status::ProvedBest),
            reach: ChangeExtent::Value,
            tie: self.tie(other.0),
            plan: other.1.plan,
        }
    }

    /// The same of a budget whose steps are all known: between two of them the same plans are best.
    fn at_steps(&self, mut same: Probe, steps: &[Money]) -> Crossing {
        let mut positions: BTreeSet<i64> = steps.iter().map(|step| self.first_beyond(*step)).collect();
        positions.retain(|at| (1..=self.grid.last).contains(at));
        let mut found: Option<(i64, Probe)> = None;
        let mut reach = ChangeExtent::All;
        for at in positions {
            if (self.stop)() {
                return Crossing::Open;
            }
            let probe = self.probe(at, &same);
            let stays = if probe.is_same { Some(probe.clone()) } else { self.stays(at, &probe) };
            match (stays, &found) {
                (Some(stays), None) => same = stays,
                (Some(_), Some(_)) => {
                    reach = ChangeExtent::To(self.grid.amount(at - 1));
                    break;
                }
                (None, None) => found = Some((at, probe)),
                (None, Some(_)) => {}
            }
        }
        let Some((at, probe)) = found else {
            return Crossing::Nowhere { tried: self.grid.amount(self.grid.last), all: true, tie: self.tie(i64::MAX) };
        };
        let proved = [&same, &probe].iter().all(|probe| probe.plan.status == Status::ProvedBest);
        let (before, from) = (self.grid.amount(at - 1), self.grid.amount(at));
        let then = probe.goes.get(&self.lot.row).copied();
        Crossing::At { before, from, then, plan: probe.plan, proved, reach, tie: self.tie(at) }
    }

    /// The first position at which a step of the budget has been taken, or is no longer taken.
    fn first_beyond(&self, step: Money) -> i64 {
        match self.grid.way {
            Way::More => self.grid.position(LeverValue::Money(step), true),
            Way::Less => self.grid.position(LeverValue::Money(step - Money::from_parts(1)), true),
        }
    }

    /// The nearest tie before a position.
    fn tie(&self, before: i64) -> Option<Tie> {
        let ties = self.ties.borrow();
        let (at, then) = ties.range(..before).next()?;
        Some(Tie { at: self.grid.amount(*at), then: *then })
    }

    /// The best plan at a value that houses the lot as it is, if that is as good as the plan there.
    fn stays(&self, i: i64, best: &Probe) -> Option<Probe> {
        let LotNow { inquiry, row, goes, ref now, .. } = *self.lot;
        if let Some(stays) = self.exchanged(i, best) {
            self.ties.borrow_mut().insert(i, best.goes.get(&row).copied());
            return Some(stays);
        }
        let mut asked = inquiry.branch();
        asked.change(self.grid.change(inquiry, row, i));
        let mut becomes = None;
        match goes {
            Housing::In(choice) => {
                asked.change(WhatIf::MustUse { row, choices: vec![choice] });
                becomes = asked.put_first(row);
            }
            Housing::Waits => asked.change(WhatIf::Waits { row }),
        }
        let mut watch = Watch { report: &mut |_| {}, stop: self.stop };
        let decision = match start(&asked, row, goes, now) {
            Some(start) => asked.decide_from(&start, &mut watch),
            None => asked.decide(&mut watch),
        };
        let mut stays = self.seen(&asked, &decision, housings(&asked, &decision));
        if goes == Housing::Waits && best.goes.contains_key(&row) {
            let priority = inquiry.project().collection.specimens[row].priority;
            stays.plan.values.deferred[usize::from(priority) - 1] += 1;
            stays.plan.values.weighted_deferred += asked.question.limits.priority_weight(priority);
        }
        if let Some(becomes) = becomes {
            let then = stays.plan.values.deferred;
            stays.plan.values.deferred =
                becomes.map(|priority| if priority == 1 { 0 } else { then[usize::from(priority) - 1] });
        }
        let is_tie = stays.is_same && rank(&asked, &stays) == rank(&asked, best);
        is_tie.then(|| self.ties.borrow_mut().insert(i, best.goes.get(&row).copied()));
        is_tie.then_some(stays)
    }

    /// The best plan at a value with the lot and another one in its place exchanged, if that is as good.
    fn exchanged(&self, i: i64, best: &Probe) -> Option<Probe> {
        let LotNow { inquiry, row, goes, .. } = *self.lot;
        let there = *best.goes.get(&row)?;
        let mut asked = inquiry.branch();
        asked.change(self.grid.change(inquiry, row, i));
        let others =
            best.goes.iter().filter(|(other, housing)| **other != row && **housing == goes).take(MOST_EXCHANGED);
        for (other, _) in others {
            let mut goes_then = best.goes.clone();
            goes_then.insert(*other, there);
            let Some(decision) = start(&asked, row, goes, &goes_then) else { continue };
            let decision = Decision { status: best.plan.status, levels: best.plan.levels.clone(), ..decision };
            let stays = self.seen(&asked, &decision, housings(&asked, &decision));
            if stays.is_same && rank(&asked, &stays) == rank(&asked, best) {
                return Some(stays);
            }
        }
        None
    }

    /// Moves the ends of the interval to where their plans stay best: the money that they take of a budget.
    fn narrow(&self, same: &mut (i64, Probe), other: &mut (i64, Probe)) {
        if self.grid.lever != Lever::Budget {
            return;
        }
        match self.grid.way {
            Way::More if other.1.plan.status == Status::ProvedBest => {
                let taken = self.grid.position(LeverValue::Money(other.1.counted), true);
                other.0 = other.0.min(taken).max(same.0 + 1);
            }
            Way::Less if same.1.plan.status == Status::ProvedBest => {
                let taken = self.grid.position(LeverValue::Money(same.1.counted), false);
                same.0 = same.0.max(taken).min(other.0 - 1);
            }
            Way::More | Way::Less => {}
        }
    }

    /// The value to try next, strictly between the ends. Every third one halves the interval, so that none is long.
    fn next(&self, tries: u32, (same, at_same): (i64, &Probe), (other, at_other): (i64, &Probe)) -> i64 {
        let half = same + (other - same) / 2;
        let guess = match (self.grid.lever, self.grid.way) {
            _ if tries % 3 == 2 => half,
            (Lever::Budget, Way::More) => other - 1,
            (Lever::Budget, Way::Less) => same + 1,
            (Lever::Price(_), _) => {
                let ends = ((same, at_same), (other, at_other));
                let breaks = self.break_of_budget(ends.0, ends.1).filter(|at| (same + 1..other).contains(at));
                breaks.or_else(|| self.crossing_of_lines(ends.0, ends.1)).unwrap_or(half)
            }
            _ => half,
        };
        guess.clamp(same + 1, other - 1)
    }

    /// The highest price at which the plan of the end with the lower price keeps the budget.
    fn break_of_budget(&self, same: (i64, &Probe), other: (i64, &Probe)) -> Option<i64> {
        let (low, plan) = if self.grid.way == Way::More { same } else { other };
        let (budget, LeverValue::Money(price)) = (self.lot.inquiry.project().settings.budget?, self.grid.amount(low))
        else {
            return None;
        };
        let more = (budget - plan.counted).parts().checked_div(plan.packs)?;
        let kept = self.grid.position(LeverValue::Money(price + Money::from_parts(more)), self.grid.way == Way::Less);
        // Where it is kept no further than at that end, the value beside the end is next.
        Some(match self.grid.way {
            Way::More if kept <= same.0 => same.0 + 1,
            Way::Less if kept >= other.0 => other.0 - 1,
            Way::More | Way::Less => kept,
        })
    }

    /// The last value at which the plan of the near end costs no more than that of the other, both as they are.
    fn crossing_of_lines(&self, (same, at_same): (i64, &Probe), (other, at_other): (i64, &Probe)) -> Option<i64> {
        let price = |i| if let LeverValue::Money(price) = self.grid.amount(i) { i128::from(price.parts()) } else { 0 };
        // The money of a plan at price p is fixed + packs · p.
        let fixed =
            |i, probe: &Probe| i128::from(probe.plan.values.weighed.parts()) - i128::from(probe.packs) * price(i);
        let slope = i128::from(at_same.packs) - i128::from(at_other.packs);
        if slope == 0 {
            return None;
        }
        let at = (fixed(other, at_other) - fixed(same, at_same)).div_euclid(slope);
        let at = Money::from_parts(i64::try_from(at).ok()?);
        let position = self.grid.position(LeverValue::Money(at), false);
        // The near end is tried on both sides of the crossing.
        Some(if position <= same { same + 1 } else { position.min(other - 1) })
    }

    /// The decision at a value. Where a plan that houses the lot as it is is as good, it is that plan: `near` houses it so.
    fn probe(&self, i: i64, near: &Probe) -> Probe {
        let LotNow { inquiry, row, goes, ref now, .. } = *self.lot;
        let mut asked = inquiry.branch();
        asked.change(self.grid.change(inquiry, row, i));
        let by_options = matches!(self.grid.lever, Lever::Clearance | Lever::KeepYears | Lever::Measure(_));
        if by_options {
            if asked.rows()[row] == inquiry.rows()[row] {
                return near.clone();
            }
            let known = self.decided.borrow();
            if let Some((_, probe)) = known.iter().find(|(row_then, _)| *row_then == asked.rows()[row]) {
                return probe.clone();
            }
        }
        let mut watch = Watch { report: &mut |_| {}, stop: self.stop };
        let decision = match start(&asked, row, goes, now) {
            Some(start) => asked.decide_from(&start, &mut watch),
            None => asked.decide(&mut watch),
        };
        let mut probe = self.seen(&asked, &decision, housings(&asked, &decision));
        let as_good = [now, &near.goes].into_iter().filter(|_| !probe.is_same).find_map(|goes_near| {
            let stays = start(&asked, row, goes, goes_near)?;
            let stays = Decision { levels: decision.levels.clone(), status: decision.status, ..stays };
            let stays = self.seen(&asked, &stays, housings(&asked, &stays));
            (stays.is_same && rank(&asked, &stays) == rank(&asked, &probe)).then_some(stays)
        });
        if let Some(as_good) = as_good {
            self.ties.borrow_mut().insert(i, probe.goes.get(&row).copied());
            probe = as_good;
        }
        if by_options {
            self.decided.borrow_mut().push((asked.rows()[row].clone(), probe.clone()));
        }
        probe
    }

    fn seen(&self, asked: &Inquiry, decision: &Decision, goes: BTreeMap<usize, Housing>) -> Probe {
        let plan = other_plan(asked, self.lot.row, decision, &self.lot.now);
        Probe {
            is_same: plan.got == self.lot.goes,
            counted: asked.counted_money(decision),
            packs: self.packs(asked, decision),
            goes,
            plan: Box::new(plan),
        }
    }

    fn packs(&self, asked: &Inquiry, decision: &Decision) -> i64 {
        let Lever::Price(offer) = self.grid.lever else { return 0 };
        let supplies = asked.question.supplies.iter().zip(&decision.packs);
        let offers = supplies.flat_map(|(supply, packs)| supply.offers.iter().zip(packs));
        offers.filter(|(terms, _)| index(terms.offer) == offer).map(|(_, packs)| packs.0).sum()
    }
}
