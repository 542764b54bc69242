//! Finds plans by diving from a relaxation.
//!
//! Problem: if a limit is tight, above all a budget, rounding a relaxation at once misses the best number of lots by one or two.
//! Then every node with a bound between the two numbers must be split.
//!
//! Method: diving (fractional diving: T. Achterberg, "Constraint Integer Programming", 2007, section 9.2, from memory). Of the
//! fractional packs those nearest to a whole number are bounded there, rounded down or up, and the programme is solved again. Once
//! all packs are whole they are fixed, and lots follow in the same way. A supplier that becomes fractional on the way comes before
//! both. Solutions with whole packs are rounded to plans ([`super::rounding`]). If a step leaves nothing better than the incumbent,
//! it is tried with one column alone, then with that column rounded the other way; then the dive ends.
//!
//! Cost: some iterations of the dual simplex method for each of at most [`MOST_STEPS`] steps.

use super::formulation::{Formulation, Variable};
use super::incumbent::Incumbent;
use super::instance::Instance;
use super::linear::Ended;
use super::rounding;

/// Most steps of one dive.
const MOST_STEPS: usize = 60;
/// Most simplex iterations of one step.
const STEP_ITERATIONS: u64 = 300;
/// A step rounds one in `SHARE` of the fractional packs or suppliers, and one in `SHARE_OF_LOTS` of the fractional lots: more,
/// because each step makes other lots fractional.
const SHARE: usize = 4;
const SHARE_OF_LOTS: usize = 2;
/// Distance from a whole number up to which a value counts as whole.
const WHOLE: f64 = 1e-6;

/// The columns that a dive rounds, in this order.
#[derive(Clone, Copy, PartialEq, Eq)]
enum DiveStage {
    Suppliers,
    Packs,
    Lots,
}

/// A fractional column with the direction in which it is rounded.
#[derive(Clone, Copy)]
struct Side {
    column: usize,
    value: f64,
    up: bool,
}

impl Side {
    fn nearest(column: usize, value: f64) -> Self {
        Side { column, value, up: value - value.floor() >= 0.5 }
    }

    fn distance(&self) -> f64 {
        (self.value - self.value.round()).abs()
    }

    fn other(self) -> Self {
        Side { up: !self.up, ..self }
    }
}

/// Dives from the solution of a node for plans whose objective is below `cutoff`, and restores the programme. Does nothing and
/// returns false if a supplier is fractional in the solution.
pub fn dive(
    instance: &Instance,
    formulation: &mut Formulation,
    incumbent: &mut Incumbent,
    cutoff: f64,
    stop: &dyn Fn() -> bool,
) -> bool {
    let snapshot = formulation.simplex.snapshot();
    let mut dive = Dive { instance, formulation, cutoff, stop, held: Vec::new() };
    let decided = dive.next().0 != DiveStage::Suppliers;
    if decided {
        dive.go_down(incumbent);
    }
    dive.release(0);
    formulation.simplex.go_back(&snapshot);
    decided
}

struct Dive<'a> {
    instance: &'a Instance<'a>,
    formulation: &'a mut Formulation,
    cutoff: f64,
    stop: &'a dyn Fn() -> bool,
    /// Columns whose bounds the dive changed, with the bounds before.
    held: Vec<(usize, (f64, f64))>,
}

impl Dive<'_> {
    /// Rounds columns step by step, as long as a better plan is possible.
    fn go_down(&mut self, incumbent: &mut Incumbent) {
        for step in 0..MOST_STEPS {
            let (kind, mut sides) = self.next();
            if sides.is_empty() {
                rounding::offer(self.instance, self.formulation, incumbent);
                return;
            }
            if kind == DiveStage::Lots && step % 3 == 0 {
                rounding::offer(self.instance, self.formulation, incumbent);
            }
            sides.sort_by(|a, b| a.distance().total_cmp(&b.distance()).then(a.column.cmp(&b.column)));
            let several = sides.len().div_ceil(if kind == DiveStage::Lots { SHARE_OF_LOTS } else { SHARE });
            let first = sides[0];
            if !(self.holds(&sides[..several]) || (several > 1 && self.holds(&[first])) || self.holds(&[first.other()]))
            {
                return;
            }
        }
    }

    /// The fractional columns of the first kind that has any: suppliers, packs, lots. Before lots, all packs are fixed.
    fn next(&mut self) -> (DiveStage, Vec<Side>) {
        let values = self.formulation.simplex.values();
        let mut open: [Vec<Side>; 3] = Default::default();
        for (column, (&value, &variable)) in values.iter().zip(&self.formulation.variables).enumerate() {
            let kind = match variable {
                Variable::Supplier(..) => DiveStage::Suppliers,
                Variable::Packs(_) => DiveStage::Packs,
                Variable::Placed(..) | Variable::Waiting(..) => DiveStage::Lots,
                Variable::Kind(_) | Variable::Bought(_) | Variable::Count(_) => continue,
            };
            if (value - value.round()).abs() > WHOLE {
                open[kind as usize].push(Side::nearest(column, value));
            }
        }
        let [suppliers, packs, lots] = open;
        if !suppliers.is_empty() {
            return (DiveStage::Suppliers, suppliers);
        }
        if !packs.is_empty() {
            return (DiveStage::Packs, packs);
        }
        for offer in self.instance.offers.positions() {
            let column = self.formulation.packs_of(offer);
            let whole = self.formulation.simplex.values()[column].round();
            self.hold(column, (whole, whole));
        }
        (DiveStage::Lots, lots)
    }

    fn hold(&mut self, column: usize, bounds: (f64, f64)) {
        let before = self.formulation.simplex.bounds(column);
        if before != bounds {
            self.held.push((column, before));
            self.formulation.simplex.set_bounds(column, bounds);
        }
    }

    /// Rounds columns and solves again; false, with the bounds restored, if no better plan is possible.
    fn holds(&mut self, sides: &[Side]) -> bool {
        let before = self.held.len();
        for &Side { column, value, up } in sides {
            let (least, most) = self.formulation.simplex.bounds(column);
            self.hold(column, if up { (value.ceil().min(most), most) } else { (least, value.floor().max(least)) });
        }
        let ended = self.formulation.simplex.minimise(self.cutoff, STEP_ITERATIONS, self.stop);
        if ended != Ended::Optimal {
            self.release(before);
        }
        ended == Ended::Optimal
    }

    /// Restores all bounds changed after the first `beyond`.
    fn release(&mut self, beyond: usize) {
        for (column, bounds) in self.held.drain(beyond..).rev() {
            self.formulation.simplex.set_bounds(column, bounds);
        }
    }
}
