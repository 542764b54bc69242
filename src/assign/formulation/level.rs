//! Prepares the programme for a level: its objective, the limits from earlier levels, and the starting basis.

use super::columns::{Amounts, amounts, own_amounts, spare};
use super::{Formulation, LITRE, PARTS, TIE, Variable, counts, in_units, litres};
use crate::assign::instance::Instance;
use crate::decision::{Aim, Choice, ClassIndex, OfferIndex, SupplyIndex};
use crate::units::{IndexTable, Money, Position};

impl Formulation {
    /// Sets the objective of a level, and limits each other aim to its value in `reached`: those of earlier levels and the limits
    /// of the goal.
    ///
    /// If the level counts lots and there is a budget, the objective also holds money, which breaks ties. A lot costs so much
    /// that `money`, an upper limit of the money of good plans, is at most [`TIE`] of it. Without a budget money is left out,
    /// because it has no limit. Lots of later priorities are left out.
    pub fn aim_at(&mut self, instance: &Instance, aim: Aim, reached: &[(Aim, i64)], money: Money) {
        self.asks_for_better = false;
        self.lot = (in_units(money) / TIE).max(1.0);
        let has_budget = instance.question.limits.budget.is_some();
        for column in 0..self.variables.len() {
            let amounts = amounts(instance, self.variables[column]);
            let waits = |priority: u8| match self.variables[column] {
                Variable::Waiting(class, _) => instance.question.classes[class].priority == priority,
                _ => false,
            };
            let cost = match aim {
                Aim::WeightedDeferred => {
                    let own = match self.variables[column] {
                        Variable::Waiting(class, _) => {
                            let priority = instance.question.classes[class].priority;
                            self.lot * instance.question.limits.priority_weight(priority) as f64
                        }
                        _ => 0.0,
                    };
                    own + if has_budget { amounts.money + amounts.labour } else { 0.0 }
                }
                Aim::Deferred(priority) => {
                    let own = if waits(priority) { self.lot } else { 0.0 };
                    own + if has_budget { amounts.money + amounts.labour } else { 0.0 }
                }
                Aim::Money => amounts.weighed,
                Aim::Fluid => amounts.litres,
            };
            self.simplex.set_cost(column, cost);
        }
        let counted = self.restrict_to(instance, aim, reached);
        self.start(instance, counted);
        let all = all_amounts(instance);
        self.constant = match aim {
            Aim::WeightedDeferred | Aim::Deferred(_) if has_budget => all.money + all.labour,
            Aim::WeightedDeferred | Aim::Deferred(_) => 0.0,
            Aim::Money => all.weighed,
            Aim::Fluid => all.litres,
        };
        self.hold(instance, aim, reached, &all);
    }

    /// Changes the programme of a level that counts lots under a budget: asks for the least money that a value below `value` takes, in
    /// place of the least value that the budget allows. No plan has such a value if that money exceeds the budget. The optimum at a
    /// whole number of lots shows better where to split than one at a fraction of a lot; both close the same nodes.
    pub fn ask_for_better(&mut self, instance: &Instance, (aim, reached): (Aim, &[(Aim, i64)]), value: i64) {
        self.asks_for_better = true;
        let counted = self.restrict_to(instance, aim, reached);
        for column in 0..self.variables.len() {
            let amounts = amounts(instance, self.variables[column]);
            self.simplex.set_cost(column, amounts.money + amounts.labour);
        }
        self.simplex.set_row(self.rows.budget, (f64::NEG_INFINITY, f64::INFINITY));
        self.ask_below(aim, value);
        self.start(instance, counted);
    }

    /// Asks for a value below another one.
    pub fn ask_below(&mut self, aim: Aim, value: i64) {
        if let Some(row) = self.rows.of_lots(aim) {
            self.simplex.set_row(row, (f64::NEG_INFINITY, (value - 1) as f64));
        }
    }

    /// Sets the rows of the budget, of earlier levels and of owned fluid.
    fn hold(&mut self, instance: &Instance, aim: Aim, reached: &[(Aim, i64)], all: &Amounts) {
        // Limits are relaxed by less than the unit of money, so that rounding does not exclude a plan that just meets one.
        let unit = in_units(instance.money_unit);
        let give = |limit: f64| limit + (0.4 * unit).min(2e-8 * (1.0 + limit.abs())) + 1e-9 * limit.abs();
        let budget = instance.question.limits.budget.map_or(f64::INFINITY, |budget| give(in_units(budget)));
        self.simplex.set_row(self.rows.budget, (f64::NEG_INFINITY, budget - all.money - all.labour));
        for earlier in Aim::ALL {
            let held = reached.iter().find(|(of, _)| *of == earlier && earlier != aim).map(|(_, value)| *value as f64);
            let (row, most) = match earlier {
                Aim::WeightedDeferred => match self.rows.weighted_waiting {
                    Some(row) => (row, held),
                    None => continue,
                },
                Aim::Deferred(priority) => (self.rows.waiting[usize::from(priority) - 1], held),
                Aim::Money => (self.rows.money, held.map(|held| give(held / PARTS) - all.weighed)),
                Aim::Fluid => match self.rows.fluid {
                    // Less than a millilitre more, so that rounding does not exclude a plan that just meets the limit.
                    Some(row) => (row, held.map(|held| (held + 0.4) / LITRE - all.litres)),
                    None => continue,
                },
            };
            self.simplex.set_row(row, (f64::NEG_INFINITY, most.unwrap_or(f64::INFINITY)));
        }
        for (at, fluid) in instance.question.owned.iter().enumerate() {
            let constant: f64 = instance
                .runs
                .iter()
                .flat_map(|runs| runs.iter().map(|run| litres(run.owned[at]) * run.len as f64))
                .sum();
            self.simplex.set_row(self.rows.owned[at], (constant - litres(fluid.amount), f64::INFINITY));
        }
    }

    /// Sets the bounds of the root: lots of later priorities are deferred; lots of an earlier priority of which none is deferred
    /// are placed. Returns the columns of counts that are in use on the level, with their rows.
    fn restrict_to(&mut self, instance: &Instance, aim: Aim, reached: &[(Aim, i64)]) -> Vec<(usize, u32)> {
        let none_waits = |class: ClassIndex| {
            let of = Aim::Deferred(instance.question.classes[class].priority);
            let none = |of: Aim| of < aim && reached.contains(&(of, 0));
            none(of) || none(Aim::WeightedDeferred)
        };
        for (column, variable) in self.variables.iter().enumerate() {
            let most = match *variable {
                Variable::Placed(class, _) => {
                    let n = instance.question.classes[class].members.len() as f64;
                    (0.0, if counts(instance, class, aim) { n } else { 0.0 })
                }
                Variable::Waiting(class, run) => {
                    let n = instance.runs[class][run].len as f64;
                    match counts(instance, class, aim) {
                        true if none_waits(class) => (0.0, 0.0),
                        true => (0.0, n),
                        false => (n, n),
                    }
                }
                _ => continue,
            };
            self.root[column] = most;
        }
        // A lot of a later priority may be anywhere in a plan, so a count that includes it would be wrong on this level.
        let mut counted: Vec<(usize, u32)> = Vec::new();
        for at in 0..self.counts() {
            let (cut, row) = (&self.cuts[at], self.rows.cuts[at]);
            let says = cut.lots.iter().all(|&(class, _)| counts(instance, class, aim));
            let most = if says { cut.pieces(instance) as f64 } else { 0.0 };
            self.root[self.counted + at] = (0.0, most);
            self.simplex.set_row(row, if says { (0.0, 0.0) } else { (f64::NEG_INFINITY, f64::INFINITY) });
            if says {
                counted.push((self.counted + at, row));
            }
        }
        for (column, &bounds) in self.root.iter().enumerate() {
            self.simplex.set_bounds(column, bounds);
        }
        counted
    }

    /// Starts from a dual feasible basis: the cheapest offer of each vessel and, at its price, the cheapest choice of each class.
    fn start(&mut self, instance: &Instance, counted: Vec<(usize, u32)>) {
        let cost = &self.simplex.programme().cost;
        let spare = spare(instance);
        let offered = |supply: SupplyIndex| {
            let offers = instance.offers_in(supply).positions();
            let each = |offer: OfferIndex| {
                (cost[self.packs_of(offer)] / instance.offers[offer].terms.pack_size.0 as f64, offer)
            };
            offers.map(each).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
        };
        let offered: IndexTable<SupplyIndex, Option<(f64, OfferIndex)>> =
            self.rows.pieces.positions().map(offered).collect();
        let by_cost = |class: ClassIndex| {
            let from = self.placed[class];
            let cost = |column: usize, choice: &Choice| {
                let piece = choice.supply.and_then(|supply| offered[supply]).map_or(0.0, |(each, _)| each);
                cost[column] + piece * spare * choice.pieces.0 as f64
            };
            let choices = (from..).zip(instance.choices(class));
            let mut costs: Vec<(f64, usize)> = choices.map(|(column, choice)| (cost(column, choice), column)).collect();
            costs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            costs
        };
        let by_cost: IndexTable<ClassIndex, Vec<(f64, usize)>> = self.placed.positions().map(by_cost).collect();
        let cheapest = |class: ClassIndex| by_cost[class].first().map_or(self.placed[class], |&(_, column)| column);
        // The rows of classes come first.
        let classes = self.placed.positions().map(|class| (cheapest(class), class.number()));
        let offers = offered.iter().zip(&self.rows.pieces).filter_map(|(offered, &row)| Some(((*offered)?.1, row)));
        let classes = classes.chain(offers.map(|(offer, row)| (self.packs_of(offer), row)));
        let basic: Vec<(usize, u32)> = classes.chain(counted).collect();
        self.simplex.start_from(&basic);
        self.wake_cheapest(&by_cost);
    }
}

/// Sum of the constants of all lots.
fn all_amounts(instance: &Instance) -> Amounts {
    let mut all = Amounts::default();
    for run in instance.runs.iter().flatten() {
        let amounts = own_amounts(instance, run);
        all.money += amounts.money * run.len as f64;
        all.weighed += amounts.weighed * run.len as f64;
        all.litres += amounts.litres * run.len as f64;
        all.labour += amounts.labour * run.len as f64;
    }
    all
}
