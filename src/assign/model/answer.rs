//! Translates between a decision and the values of the model's variables and objective.

use super::{EqualMembers, Model};
use crate::assign::evaluate;
use crate::decision::{Decision, PacksBought};
use crate::units::{IndexTable, Money, Packs, items, number_of, truncated};

impl Model<'_> {
    /// The objective, without its constant, of a plan whose level has this value.
    pub fn objective_at(&self, value: i64) -> f64 {
        value as f64 / self.scale - self.constant
    }

    /// The values of the variables for a decision, as a warm start.
    pub fn start(&self, decision: &Decision) -> Vec<f64> {
        let mut start = vec![0.0; self.variables.len()];
        for (index, chosen) in decision.chosen.enumerated() {
            let placed = chosen.iter().flatten().count();
            for &choice in chosen.iter().flatten() {
                start[self.x[index][choice]] += 1.0;
            }
            if let Some(u) = self.u[index] {
                start[u] = (chosen.len() - placed) as f64;
            }
            for group in &self.z[index] {
                let members = &chosen[group.start..group.start + group.len];
                start[group.variable] = members.iter().flatten().count() as f64;
            }
        }
        for (index, packs) in decision.packs.enumerated() {
            for (offer, &packs) in packs.iter().enumerate() {
                start[self.y[index][offer]] = packs.0 as f64;
                if let (Some(a), true) = (self.a[index][offer], packs > Packs::ZERO) {
                    start[a] = 1.0;
                }
            }
            if let (Some(t), true) = (self.t[index], packs.iter().any(|&packs| packs > Packs::ZERO)) {
                start[t] = 1.0;
            }
        }
        for (index, order) in evaluate::orders(self.question, &decision.packs).enumerated() {
            if let (Some(w), true) = (self.w[index], order.any) {
                start[w] = 1.0;
                if let (Some(e), true) = (self.e[index], order.delivery == Money::ZERO) {
                    start[e] = 1.0;
                }
            }
        }
        for (fluid, &b) in self.question.owned.iter().zip(&self.b) {
            start[b] = evaluate::missing(fluid, decision).0 as f64 / 1000.0;
        }
        start
    }

    /// The decision for values of the variables. Members are placed, and choices given to them, in their order. `None` if the
    /// values are not whole or do not add up.
    pub fn decision(&self, values: &[f64]) -> Option<Decision> {
        let whole = |variable: usize| {
            let rounded = values[variable].round();
            ((values[variable] - rounded).abs() < 1e-4 && rounded >= 0.0).then(|| items(truncated(rounded)))
        };
        let mut chosen = IndexTable::with_capacity(self.question.classes.len());
        for (index, class) in self.question.classes.enumerated() {
            let counts: Vec<usize> = self.x[index].iter().map(|&x| whole(x)).collect::<Option<_>>()?;
            let mut choices =
                class.choices.positions().zip(&counts).flat_map(|(choice, &count)| std::iter::repeat_n(choice, count));
            let whole_class = EqualMembers { variable: usize::MAX, start: 0, len: class.members.len() };
            let groups = if self.z[index].is_empty() { vec![whole_class] } else { self.z[index].clone() };
            let mut row = vec![None; class.members.len()];
            for group in groups {
                let placed = if group.variable == usize::MAX { group.len } else { whole(group.variable)? };
                for member in row.get_mut(group.start..group.start + placed)? {
                    *member = choices.next();
                }
            }
            if choices.next().is_some() {
                return None;
            }
            chosen.push(row);
        }
        let packs = self.y.iter().map(|packs| packs.iter().map(|&y| whole(y).map(|n| Packs(number_of(n)))).collect());
        let packs = packs.collect::<Option<PacksBought>>()?;
        Some(Decision { chosen, packs, ..Decision::default() })
    }
}
