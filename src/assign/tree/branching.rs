//! Chooses the column on which a node is split, and makes the children.

use std::rc::Rc;

use super::{Open, State, Tree, TreeNode};
use crate::assign::bound::Multipliers;
use crate::assign::formulation::{Formulation, Variable};
use crate::assign::incumbent::Incumbent;
use crate::assign::linear::{Ended, Snapshot};
use crate::decision::OfferIndex;
use crate::decision::certificate::SupplierState;
use crate::units::truncated;

/// Pseudo-costs: rise of the objective per unit that a column is moved, down and up, as sum and number; by column and for all.
#[derive(Clone)]
pub struct ColumnPseudoCosts {
    seen: Vec<[(f64, u32); 2]>,
    all: [(f64, u32); 2],
}

impl ColumnPseudoCosts {
    pub fn new(columns: usize) -> Self {
        ColumnPseudoCosts { seen: vec![[(0.0, 0); 2]; columns], all: [(0.0, 0); 2] }
    }

    pub fn learn(&mut self, column: usize, upwards: bool, each: f64) {
        for (sum, n) in [&mut self.seen[column][usize::from(upwards)], &mut self.all[usize::from(upwards)]] {
            *sum += each;
            *n += 1;
        }
    }

    fn of(&self, column: usize, upwards: bool) -> f64 {
        let mean = |(sum, n): (f64, u32)| (n > 0).then(|| sum / f64::from(n));
        let side = usize::from(upwards);
        mean(self.seen[column][side]).or_else(|| mean(self.all[side])).unwrap_or(1.0)
    }

    fn reliable(&self, column: usize) -> bool {
        self.seen[column].iter().all(|(_, n)| *n >= RELIABLE)
    }
}

/// Observations on each side after which a pseudo-cost is relied upon.
const RELIABLE: u32 = 1;
/// Most candidates of one kind whose children are tried before a split.
const TRIED: usize = 6;
/// Factor by which the score of a column of a later kind must exceed that of an earlier kind.
const MUCH_BETTER: f64 = 10_000.0;
/// Simplex iterations on each child of a trial.
const TRIAL_ITERATIONS: u64 = 12;

impl Tree<'_> {
    /// Splits a node; returns the child to continue with.
    #[allow(clippy::too_many_arguments)]
    pub(super) fn split(
        &mut self,
        formulation: &mut Formulation,
        incumbent: &Incumbent,
        node: usize,
        objective: f64,
        optimal: bool,
        numbers: Rc<Multipliers>,
        stop: &dyn Fn() -> bool,
    ) -> Option<Open> {
        let basis = Rc::new(formulation.simplex.basis());
        let values: Vec<f64> = formulation.simplex.values().to_vec();
        let column = if optimal { self.choose(formulation, incumbent, objective, stop) } else { None };
        let column = column.or_else(|| self.any_column(formulation, &values));
        let Some(column) = column else {
            if self.close_as_parent(formulation, node, incumbent) || self.close_as_decided(formulation, node, incumbent)
            {
                return None;
            }
            // Every column is decided, but the bound does not close the node: it stays open to the end.
            self.nodes[node].state = State::Open(Some(numbers));
            self.given_up += 1;
            return None;
        };
        let value = values[column];
        let children = self.children(formulation, column, value);
        let mut made = Vec::new();
        for (limits, moved) in children {
            let child = self.nodes.len();
            self.nodes.push(TreeNode { parent: Some(node), limits, state: State::Open(Some(numbers.clone())) });
            let moved = moved.map(|(upwards, by)| (column, upwards, by, objective));
            made.push(Open { bound: objective, node: child, basis: basis.clone(), moved });
        }
        let positions = made.iter().map(|open| open.node).collect();
        // Most in the first child; not used where a supplier is split by its states.
        let at_most = self.nodes[made[0].node].limits[0].2;
        self.nodes[node].state = State::Split(column, at_most, positions);
        // Dive into the child whose objective is expected to rise least.
        let expected = |open: &Open| match open.moved {
            Some((column, upwards, by, _)) => self.pseudo_costs.of(column, upwards) * by,
            None => 0.0,
        };
        let best = (0..made.len()).min_by(|a, b| expected(&made[*a]).total_cmp(&expected(&made[*b])).then(b.cmp(a)))?;
        let best = made.swap_remove(best);
        self.left_at = Some(basis);
        self.open.extend(made);
        Some(best)
    }

    /// The children of a split: the limits that each adds, and the direction and distance in which it moves the column.
    #[allow(clippy::type_complexity)]
    fn children(
        &self,
        formulation: &Formulation,
        column: usize,
        value: f64,
    ) -> Vec<(Vec<(usize, i64, i64)>, Option<(bool, f64)>)> {
        if let Variable::Supplier(supplier, _) = formulation.variables[column] {
            let [paying, free] = formulation.suppliers[supplier];
            let states = self.instance.question.states_of(supplier).iter();
            return states
                .map(|state| {
                    let fixed = |at: Option<usize>, own: SupplierState| {
                        at.map(|at| (at, i64::from(*state == own), i64::from(*state == own)))
                    };
                    let mut limits: Vec<(usize, i64, i64)> = Vec::new();
                    limits.extend(fixed(paying, SupplierState::Paying));
                    limits.extend(fixed(free, SupplierState::Free));
                    let moved = match state {
                        SupplierState::Closed => Some((false, value.max(1e-3))),
                        SupplierState::Paying => Some((true, (1.0 - value).max(1e-3))),
                        SupplierState::Free => None,
                    };
                    (limits, moved)
                })
                .collect();
        }
        let (least, most) = self.limits[column];
        let kind = match formulation.variables[column] {
            Variable::Packs(offer) if self.kind_is_open(formulation, offer) => {
                formulation.kinds[self.instance.offers[offer].supply]
            }
            _ => None,
        };
        let at_nothing = kind.is_some() || self.below_least_packs(formulation, column, value);
        let below = if at_nothing { 0 } else { truncated(value.floor()) };
        let below = below.clamp(least, most - 1);
        let above = match formulation.variables[column] {
            Variable::Packs(offer) => (below + 1).max(self.instance.offers[offer].terms.min_packs.0.min(most)),
            _ => below + 1,
        };
        let mut more = vec![(column, above, i64::MAX / 2)];
        more.extend(kind.map(|kind| (kind, 1, 1)));
        vec![
            (vec![(column, i64::MIN / 2, below)], Some((false, (value - below as f64).max(1e-3)))),
            (more, Some((true, (above as f64 - value).max(1e-3)))),
        ]
    }

    /// The column to split on. Kinds of columns in order: suppliers, kinds of vessel, packs, counts, lots. The column of the first
    /// kind that has candidates with the best score is taken, unless one of a later kind has a score [`MUCH_BETTER`].
    fn choose(
        &mut self,
        formulation: &mut Formulation,
        incumbent: &Incumbent,
        objective: f64,
        stop: &dyn Fn() -> bool,
    ) -> Option<usize> {
        let rank = |column: usize| match formulation.variables[column] {
            Variable::Supplier(..) => 0,
            Variable::Packs(offer) if self.kind_is_open(formulation, offer) => 1,
            Variable::Packs(_) => 2,
            Variable::Count(_) => 3,
            _ => 4,
        };
        let undecided = |(column, _): &(usize, f64)| self.limits[*column].0 < self.limits[*column].1;
        let fractional = self.fractional(formulation).chain(self.open_kinds(formulation)).filter(undecided);
        let mut by_rank: [Vec<(usize, f64)>; 5] = Default::default();
        fractional.for_each(|candidate| by_rank[rank(candidate.0)].push(candidate));
        let mut best: Option<(f64, usize)> = None;
        let snapshot = formulation.simplex.snapshot();
        for candidates in by_rank {
            let Some((score, column)) = self.best_of(formulation, incumbent, candidates, objective, &snapshot, stop)
            else {
                continue;
            };
            if best.is_none_or(|(least, _)| score > MUCH_BETTER * least) {
                best = Some((score, column));
            }
        }
        formulation.simplex.go_back(&snapshot);
        best.map(|(_, column)| column)
    }

    /// The candidate with the best score, which is the product of the rises of the objective in both children.
    fn best_of(
        &mut self,
        formulation: &mut Formulation,
        incumbent: &Incumbent,
        mut candidates: Vec<(usize, f64)>,
        objective: f64,
        snapshot: &Snapshot,
        stop: &dyn Fn() -> bool,
    ) -> Option<(f64, usize)> {
        let score = |down: f64, up: f64| down.max(1e-6) * up.max(1e-6);
        let guess = |tree: &Self, &(column, value): &(usize, f64)| {
            let down = tree.pseudo_costs.of(column, false) * (value - value.floor()).max(1e-3);
            let up = tree.pseudo_costs.of(column, true) * (value.ceil() - value).max(1e-3);
            score(down, up)
        };
        candidates.sort_by(|a, b| guess(self, b).total_cmp(&guess(self, a)).then(a.0.cmp(&b.0)));
        let mut best: Option<(f64, usize)> = None;
        let mut tried = 0;
        for candidate in &candidates {
            let &(column, value) = candidate;
            let own = if self.pseudo_costs.reliable(column) || tried >= TRIED || stop() {
                guess(self, candidate)
            } else {
                tried += 1;
                let [down, up] = self.trial(formulation, incumbent, column, value, objective, snapshot);
                score(down, up)
            };
            if best.is_none_or(|(score, _)| own > score) {
                best = Some((own, column));
            }
        }
        best
    }

    /// Rises of the objective in the first child, and the least of the other children, after a few iterations.
    fn trial(
        &mut self,
        formulation: &mut Formulation,
        incumbent: &Incumbent,
        column: usize,
        value: f64,
        objective: f64,
        snapshot: &Snapshot,
    ) -> [f64; 2] {
        let cutoff = self.cutoff(formulation, incumbent).0;
        let children = self.children(formulation, column, value);
        let mut rises = [0.0, f64::INFINITY];
        for (number, (limits, moved)) in children.iter().enumerate() {
            formulation.simplex.go_back(snapshot);
            let before: Vec<(usize, (f64, f64))> =
                limits.iter().map(|(column, ..)| (*column, formulation.simplex.bounds(*column))).collect();
            for &(column, least, most) in limits {
                let (own_least, own_most) = formulation.simplex.bounds(column);
                let least = own_least.max(least as f64);
                formulation.simplex.set_bounds(column, (least, own_most.min(most as f64).max(least)));
            }
            let ended = formulation.simplex.minimise(cutoff, TRIAL_ITERATIONS, &|| false);
            let rise = match ended {
                Ended::Infeasible => (cutoff - objective).max(0.0) + 1.0,
                _ => (formulation.simplex.objective() - objective).max(0.0),
            };
            before.into_iter().for_each(|(column, bounds)| formulation.simplex.set_bounds(column, bounds));
            if let Some((upwards, by)) = moved
                && ended != Ended::Infeasible
            {
                self.pseudo_costs.learn(column, *upwards, rise / by);
            }
            if number == 0 {
                rises[0] = rise;
            } else {
                rises[1] = rises[1].min(rise);
            }
        }
        rises
    }

    /// Offers with whole packs whose kind has a fractional t(v): whether any packs are bought is still to be decided.
    fn open_kinds<'b>(&'b self, formulation: &'b Formulation) -> impl Iterator<Item = (usize, f64)> + 'b {
        let values = formulation.simplex.values();
        let offers = self.instance.offers.positions();
        let open = move |&offer: &OfferIndex| {
            let value = values[formulation.packs_of(offer)];
            value > 1e-6 && (value - value.round()).abs() <= 1e-6 && self.kind_is_open(formulation, offer)
        };
        offers.filter(open).map(move |offer| (formulation.packs_of(offer), values[formulation.packs_of(offer)]))
    }

    /// Whether t(v) of an offer's kind is fractional and neither it nor the offer is decided.
    fn kind_is_open(&self, formulation: &Formulation, offer: OfferIndex) -> bool {
        let kind = formulation.kinds[self.instance.offers[offer].supply];
        kind.is_some_and(|kind| {
            let value = formulation.simplex.values()[kind];
            value > 1e-6
                && value < 1.0 - 1e-6
                && self.limits[kind].0 == 0
                && self.limits[formulation.packs_of(offer)].0 == 0
        })
    }

    /// An integer column that is not decided yet, suppliers first.
    fn any_column(&self, formulation: &Formulation, values: &[f64]) -> Option<usize> {
        let open = |column: &usize| {
            let (least, most) = self.limits[*column];
            least < most && crate::assign::bound::is_whole(formulation.variables[*column])
        };
        let rank = |column: usize| match formulation.variables[column] {
            Variable::Supplier(..) => 0,
            Variable::Packs(_) => 1,
            Variable::Count(_) => 2,
            _ => 3,
        };
        let used = |column: usize| u8::from(values[column].abs() < 1e-6);
        (0..values.len()).filter(open).min_by_key(|&column| (rank(column), used(column), column))
    }
}
