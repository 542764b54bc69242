//! The part of the lots in the bound of a node: each lot at its least cost.

use super::NodeBounds;
use crate::assign::formulation::counts;
use crate::assign::instance::Run;
use crate::decision::{Choice, ChoiceIndex, ClassIndex};
use crate::units::number_of;

/// More than the roundings of one sum come to, as a share of what is added up.
const ROUNDING: f64 = 1e-14;

impl NodeBounds<'_> {
    /// The least cost of the lots of all classes; `None` if the limits leave some lot no place.
    pub(super) fn lots(&self) -> Option<i128> {
        let (mut cost, mut nearly) = (Vec::new(), Vec::new());
        self.instance.question.classes.positions().map(|class| self.class(class, &mut cost, &mut nearly)).sum()
    }

    /// Cost of one lot of a class in a choice, without its constants.
    fn choice(&self, class: ClassIndex, number: ChoiceIndex, choice: &Choice) -> i128 {
        let pieces = choice.supply.map_or(0, |supply| {
            let price = i128::from(self.multipliers.pieces[supply]) * i128::from(choice.pieces.0);
            // Mostly there are no spares, and division of 128 bits is slow.
            if self.spare() == 10_000 { price } else { (price * self.spare()).div_euclid(10_000) }
        });
        let owned = self.instance.question.owned.iter().map(|fluid| fluid.choice_need(class, number));
        let cuts = self.by_cuts(self.formulation.column_of(class, number));
        self.weigh(choice.money, choice.fluid) + self.owned(owned) + pieces + cuts
    }

    /// The same in floating point, and by how much it may be wrong.
    fn nearly(&self, class: ClassIndex, number: ChoiceIndex, choice: &Choice) -> (f64, f64) {
        let pieces = choice
            .supply
            .map_or(0.0, |supply| self.multipliers.pieces[supply] as f64 * self.nearly.spare * choice.pieces.0 as f64);
        let owned = self.instance.question.owned.iter().zip(&self.multipliers.owned);
        let owned: f64 = owned.map(|(fluid, &weight)| weight as f64 * fluid.choice_need(class, number).0 as f64).sum();
        let litres = self.instance.question.limits.litre_weight.per_litre(choice.fluid).parts() as f64;
        let rest = self.nearly.money * choice.money.parts() as f64
            + self.nearly.weighed * litres
            + self.nearly.fluid * choice.fluid.0 as f64
            + owned
            + pieces;
        let cuts = self.nearly.by_cuts.get(self.formulation.column_of(class, number)).copied().unwrap_or(0.0);
        // A dozen roundings of numbers that are no larger, and what is rounded down to whole numbers.
        (rest + cuts, ROUNDING * (rest.abs() + cuts.abs()) + 2.0)
    }

    /// The least cost of a choice of a class, without constants: those that may be least are found in floating point.
    fn cheapest(&self, class: ClassIndex, nearly: &mut Vec<(f64, f64)>) -> i128 {
        let choices = self.instance.choices(class);
        nearly.clear();
        nearly.extend(choices.enumerated().map(|(number, choice)| self.nearly(class, number, choice)));
        let most = nearly.iter().fold(f64::INFINITY, |most, (cost, wrong)| most.min(cost + wrong));
        let may_be_least = choices.enumerated().zip(nearly.iter()).filter(|(_, (cost, wrong))| cost - wrong <= most);
        may_be_least.map(|((number, choice), _)| self.choice(class, number, choice)).min().unwrap_or(i128::MAX / 4)
    }

    fn constant(&self, run: &Run) -> i128 {
        let labour = i128::from(self.weights.budget) * i128::from(self.instance.question.limits.labour_per_row.parts());
        self.weigh(run.money, run.fluid) + self.owned(run.owned.iter().copied()) + labour
    }

    /// The least cost of the lots of a class; `None` if the limits leave some of them no place.
    fn class(&self, class: ClassIndex, cost: &mut Vec<i128>, nearly: &mut Vec<(f64, f64)>) -> Option<i128> {
        let of = &self.instance.question.classes[class];
        let deferred =
            self.weights.of_deferred(of.priority, self.instance.question.limits.priority_weight(of.priority));
        let (placed, waiting) = (self.formulation.placed[class], self.formulation.waiting[class]);
        let runs = &self.instance.runs[class];
        let columns = of.choices.len() + runs.len();
        let root = &self.formulation.root[placed..placed + columns];
        let limits = &self.limits[placed..placed + columns];
        debug_assert_eq!(placed + of.choices.len(), waiting);
        let restricted = limits.iter().zip(root).any(|(own, root)| (own.0 as f64, own.1 as f64) != *root);
        // A bound must hold for plans that place lots of later priorities, so their limits in the programme do not count here.
        if !restricted || !counts(self.instance, class, self.aim) {
            let cheapest = self.cheapest(class, nearly);
            let each = |run: &Run| (self.constant(run) + cheapest).min(deferred) * i128::from(number_of(run.len));
            return Some(runs.iter().map(each).sum());
        }
        cost.clear();
        cost.extend(of.choices.enumerated().map(|(number, choice)| self.choice(class, number, choice)));
        let mut sum = 0;
        for run in runs {
            let constant = self.constant(run);
            sum += constant * i128::from(number_of(run.len));
            cost.push(deferred - constant);
        }
        // The root may exclude deferred lots. Only a split is a limit of the leaf; otherwise the multiplier of the priority does it.
        let limit = |(column, &limit): (usize, &(i64, i64))| match column.checked_sub(of.choices.len()) {
            Some(run) if (limit.0 as f64, limit.1 as f64) == root[column] => (0, number_of(runs[run].len)),
            _ => limit,
        };
        let mut left = number_of(of.members.len());
        let mut room: Vec<(i128, i64)> = Vec::new();
        for (cost, (least, most)) in cost.iter().zip(limits.iter().enumerate().map(limit)) {
            if least > most {
                return None;
            }
            sum += cost * i128::from(least);
            left -= least;
            if most > least {
                room.push((*cost, most - least));
            }
        }
        if left < 0 {
            return None;
        }
        room.sort_unstable();
        for (cost, most) in room {
            let taken = most.min(left);
            sum += cost * i128::from(taken);
            left -= taken;
        }
        (left == 0).then_some(sum)
    }
}
