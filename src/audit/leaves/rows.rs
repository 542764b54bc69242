//! The rows of a survey as leaves see them: what each may have, at the prices at which the bounds hold.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::thread;

use super::{Part, Shelf};
use crate::audit::money::labour_per_row;
use crate::audit::row;
use crate::collection::Specimen;
use crate::options::table::undecided;
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::stock::VesselId;
use crate::units::{Millilitres, Money};

/// The rows of a survey, or of a share of it, as the leaves see them.
pub(super) struct Rows<'a> {
    /// By level, its leaves with what the rows come to.
    pub(super) parts: Vec<Vec<Part<'a>>>,
    /// The largest amount of which the money of every option is a multiple.
    pub(super) unit: i128,
    /// By vessel, whether it is an option of any row.
    pub(super) occurs: Vec<bool>,
}

impl<'a> Rows<'a> {
    /// All rows, a share on each core: sums do not depend on how they are shared.
    pub(super) fn of_all(project: &Project, shelf: &Shelf, parts: &[Vec<Part<'a>>]) -> Self {
        let specimens = &project.collection.specimens;
        let cores = thread::available_parallelism().map_or(1, NonZero::get);
        let share = specimens.len().div_ceil(cores).max(FEWEST_FOR_A_CORE);
        if specimens.len() <= share {
            return Self::of(project, shelf, specimens, parts.to_vec());
        }
        let shares: Vec<Self> = thread::scope(|scope| {
            let shares = specimens.chunks(share);
            let adding: Vec<_> =
                shares.map(|rows| scope.spawn(move || Self::of(project, shelf, rows, parts.to_vec()))).collect();
            adding.into_iter().map(|share| share.join().unwrap_or_else(|panic| resume_unwind(panic))).collect()
        });
        let none = Self { parts: parts.to_vec(), unit: 0, occurs: vec![false; project.stock.vessels.len()] };
        shares.into_iter().fold(none, Self::and)
    }

    fn and(mut self, other: Self) -> Self {
        for (part, other) in self.parts.iter_mut().flatten().zip(other.parts.iter().flatten()) {
            part.rows = part.rows.and(other.rows);
        }
        self.occurs.iter_mut().zip(other.occurs).for_each(|(occurs, too)| *occurs |= too);
        Self { unit: greatest_common_divisor(self.unit, other.unit), ..self }
    }

    fn of(project: &Project, shelf: &Shelf, specimens: &[Specimen], parts: Vec<Vec<Part<'a>>>) -> Self {
        let mut rows = Self { parts, unit: 0, occurs: vec![false; project.stock.vessels.len()] };
        let labour = if project.settings.labour_in_budget { labour_per_row(project) } else { Money::ZERO };
        for specimen in specimens {
            if specimen.held().is_some() || undecided(project, specimen).is_some() {
                continue;
            }
            let options = options(project, shelf, specimen, labour);
            if options.is_empty() {
                continue;
            }
            for option in &options {
                rows.unit = greatest_common_divisor(rows.unit, option.weighed);
                option.vessel.into_iter().for_each(|(vessel, _)| rows.occurs[vessel] = true);
            }
            for part in rows.parts.iter_mut().flatten() {
                part.add(specimen.priority, &options);
            }
        }
        rows
    }
}

/// Fewer rows than this are added up before another thread would have started.
const FEWEST_FOR_A_CORE: usize = 500;

/// What a row may have at a known price.
fn options(project: &Project, shelf: &Shelf, specimen: &Specimen, labour: Money) -> Vec<RowOption> {
    let treatment = Treatment::of(project, specimen);
    let fluid = |charges, one| {
        let filling = Filling::of(project, specimen, &treatment, charges, one);
        (filling.money_at(specimen.fluid, |fluid| shelf.price(project, fluid)), filling.filled())
    };
    let weight = project.settings.litre_weight;
    let option = |vessel: Option<(VesselId, u32)>, money: Money, fluid: Millilitres| RowOption {
        vessel: vessel.map(|(vessel, pieces)| (vessel.0 as usize, i128::from(pieces))),
        weighed: i128::from(money.parts().saturating_add(weight.per_litre(fluid).parts())),
        paid: i128::from(money.parts()) + i128::from(labour.parts()),
        fluid: i128::from(fluid.0),
    };
    let fits = row::fits(project, specimen).map(|(vessel, fit)| {
        let (money, fluid) = fluid(fit.charges, fit.fluid());
        option(Some((vessel, fit.pieces)), money, fluid)
    });
    let mut options: Vec<RowOption> = fits.collect();
    let tank = row::tank(project, specimen, options.is_empty());
    let priced = tank.and_then(|tank| {
        let (money, fluid) = fluid(tank.charges, tank.fluid);
        tank.cost.map(|cost| (cost + money, fluid))
    });
    options.extend(priced.map(|(money, fluid)| option(None, money, fluid)));
    options
}

/// One way to place a row.
pub(super) struct RowOption {
    /// Vessel and pieces.
    pub(super) vessel: Option<(usize, i128)>,
    pub(super) weighed: i128,
    /// What counts against the budget.
    pub(super) paid: i128,
    pub(super) fluid: i128,
}

pub(super) fn greatest_common_divisor(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { greatest_common_divisor(b, a % b) }
}
