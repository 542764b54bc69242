//! Solves the relaxation of a node, strengthens it by cuts, and rounds it to plans.

use std::rc::Rc;

use super::{MOST_CUTS, MOST_ITERATIONS, Open, Tree};
use crate::assign::bound::Multipliers;
use crate::assign::formulation::Formulation;
use crate::assign::incumbent::Incumbent;
use crate::assign::linear::Ended;
use crate::assign::{cuts, diving, goods, rounding};

/// A dive is made only while dives have taken at most `LEAST_DIVES` iterations + one in `DIVES` of all iterations.
const LEAST_DIVES: u64 = 500;
const DIVES: u64 = 5;

impl Tree<'_> {
    /// Solves the relaxation of a node, rounds it and adds cuts. Returns how the last solution ended, its objective, and multipliers
    /// if some were made. `None` if the node was closed, or if `stop` says so and the node is open as before.
    #[allow(clippy::type_complexity)]
    pub(super) fn relax(
        &mut self,
        formulation: &mut Formulation,
        incumbent: &mut Incumbent,
        open: Open,
        stop: &dyn Fn() -> bool,
    ) -> Option<(Ended, f64, Option<Rc<Multipliers>>)> {
        let Open { node, moved, bound, .. } = open;
        let cutoff = self.cutoff(formulation, incumbent);
        let mut ended = formulation.simplex.minimise(cutoff.0, MOST_ITERATIONS, stop);
        if ended == Ended::Stopped && stop() {
            self.open.push(open);
            return None;
        }
        let mut numbers = None;
        if ended == Ended::Infeasible && self.close_by_ray(formulation, node, incumbent) {
            return None;
        }
        if ended == Ended::Cutoff {
            if self.close_by_duals(formulation, node, incumbent, &mut numbers) {
                return None;
            }
            ended = formulation.simplex.minimise(f64::INFINITY, MOST_ITERATIONS, stop);
        }
        if ended != Ended::Optimal {
            return Some((ended, bound, numbers));
        }
        let objective = formulation.simplex.objective();
        if let Some((column, upwards, by, from)) = moved {
            self.pseudo_costs.learn(column, upwards, (objective - from).max(0.0) / by);
        }
        if node == 0 {
            formulation.narrow(self.instance);
        }
        if self.fractional(formulation).next().is_none() {
            rounding::offer(self.instance, formulation, incumbent);
            // A whole solution may exceed the budget by less than floating point shows.
            if self.close_by_budget(formulation, node, incumbent) {
                return None;
            }
        } else if rounding::worth_trying(node, self.nodes.len()) {
            self.round(node, formulation, incumbent, stop);
        }
        let cutoff = self.cutoff(formulation, incumbent).0;
        let (ended, objective) = self.cut(formulation, node, (ended, objective), cutoff, stop);
        if ended == Ended::Optimal && objective < cutoff {
            self.dive(formulation, incumbent, stop);
        }
        Some((ended, objective, numbers))
    }

    /// Makes a heuristic dive for a better plan, while such dives are a small share of the work. One is made in each dive of the
    /// search itself, because another would repeat it.
    fn dive(&mut self, formulation: &mut Formulation, incumbent: &mut Incumbent, stop: &dyn Fn() -> bool) {
        let iterations = formulation.simplex.iterations;
        if self.dived_here || self.dived > LEAST_DIVES + iterations / DIVES {
            return;
        }
        // On a level that counts lots the objective also holds money, to break ties, so the higher cutoff applies.
        let (surely, perhaps) = self.cutoff(formulation, incumbent);
        let cutoff = if self.aim.counts_lots() { surely } else { perhaps };
        self.dived_here = diving::dive(self.instance, formulation, incumbent, cutoff, stop);
        self.dived += formulation.simplex.iterations - iterations;
    }

    /// Adds violated cuts and solves again, while that raises the objective. Returns how the last solution ended, and its objective.
    fn cut(
        &self,
        formulation: &mut Formulation,
        node: usize,
        before: (Ended, f64),
        cutoff: f64,
        stop: &dyn Fn() -> bool,
    ) -> (Ended, f64) {
        let rounds = if node == 0 { 30 } else { 6 };
        let mut last = before;
        for _ in 0..rounds {
            if formulation.cuts.len() + formulation.goods_cuts.len() > MOST_CUTS || stop() {
                break;
            }
            let cuts = cuts::broken(self.instance, formulation, &self.users);
            let goods = goods::broken(self.instance, formulation);
            if cuts.is_empty() && goods.is_empty() {
                break;
            }
            cuts.into_iter().for_each(|cut| formulation.add_cut(self.instance, cut));
            goods.into_iter().for_each(|cut| formulation.add_goods_cut(self.instance, cut));
            let ended = formulation.simplex.minimise(f64::INFINITY, MOST_ITERATIONS, stop);
            if ended != Ended::Optimal {
                return (ended, last.1);
            }
            let now = formulation.simplex.objective();
            let gain = now - last.1;
            last = (ended, now);
            if now > cutoff || gain < 1e-4 * (cutoff - now).abs() {
                break;
            }
        }
        last
    }

    /// Rounds the relaxation just solved to plans and leaves it as it was.
    fn round(&self, node: usize, formulation: &mut Formulation, incumbent: &mut Incumbent, stop: &dyn Fn() -> bool) {
        rounding::offer(self.instance, formulation, incumbent);
        if node == 0 {
            let basis = formulation.simplex.basis();
            rounding::offer_at_fixed_packs(self.instance, formulation, incumbent, stop);
            formulation.simplex.set_basis(&basis);
            formulation.simplex.minimise(f64::INFINITY, MOST_ITERATIONS, stop);
        }
    }
}
