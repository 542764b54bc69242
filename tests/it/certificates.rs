//! Certificates: the bound of each leaf that the audit computes equals the formula's and is never above a plan, for any tree and
//! multipliers. Invalid certificates are refused.

mod cuts;
mod cuts_by_hand;
mod drawn;
mod formula;
mod hand;
mod plans;
mod wrong;

use rehouse::audit::{Least, audit, leaf_bounds};
use rehouse::decision::Aim;
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::saved::{from_json, to_json};

use crate::audit_mutations::{planned_until, scenes};
use crate::decision_oracle::rank;
use crate::random::Random;
use plans::{LeafRestrictions, SmallProject, WideLevelValues, leaves};

/// Projects with more plans than this are skipped.
const MOST_PLANS: usize = 60_000;

fn project(files: &[(&str, String)]) -> Project {
    let files: Vec<(&str, &str)> = files.iter().map(|(name, text)| (*name, text.as_str())).collect();
    scenes::project(&files)
}

/// The values of a plan's levels, by [`rank`].
fn reached(plan: &Plan) -> WideLevelValues {
    let mut reached = [0; 6];
    plan.levels.iter().for_each(|level| reached[rank(level.aim)] = level.value.into());
    reached
}

/// Counts over all projects.
#[derive(Debug, Default)]
struct LeafCounts {
    projects: u32,
    leaves: u32,
    given: u32,
    no_plan: u32,
    tight: u32,
    with_cuts: u32,
    weighted: u32,
}

/// Draws certificates for all levels of a project; compares every leaf with the formula and with all plans of the project.
fn hold(seed: u64, seen: &mut LeafCounts) {
    let files = cuts::files(seed);
    let (project, mut plan) = planned_until(project(&files), &|| true);
    let small = SmallProject::of(&project);
    if small.size(1) > MOST_PLANS {
        return;
    }
    seen.projects += 1;
    seen.weighted += u32::from(project.settings.weights_in_force().is_some());
    let mut random = Random(seed ^ 0xCE47);
    for level in &mut plan.levels {
        level.certificate = drawn::certificate(&small, level.aim, &mut random);
        cuts::draw(&small, level.aim, &mut level.certificate, &mut random);
        seen.with_cuts += cuts::weighing(&level.certificate) as u32;
    }
    let bounds = leaf_bounds(&project, &plan)
        .unwrap_or_else(|found| panic!("{seed}: {found:#?}\n{files:#?}\n{:#?}", plan.levels));
    let drawn = DrawnCertificates {
        told: format!("project {seed}\n{files:#?}"),
        reached: reached(&plan),
        leaves: plan.levels.iter().map(|level| leaves(&project, &level.certificate)).collect(),
        small: &small,
        plan: &plan,
        bounds,
    };
    drawn.bounds_are_those_of_the_formula(seen);
    drawn.bounds_are_below_all_plans(seen);
    // A certificate reads back equal and is written again byte for byte.
    let written = to_json(&project, &plan, &[]);
    let read = from_json(&project, &written).unwrap_or_else(|found| panic!("{seed}: {found:#?}"));
    assert!(read.levels.iter().zip(&plan.levels).all(|(read, level)| read.certificate == level.certificate), "{seed}");
    assert_eq!(to_json(&project, &read, &[]), written, "{seed}");
}

/// A small project whose levels have drawn certificates.
struct DrawnCertificates<'a> {
    /// Description of the project, for messages.
    told: String,
    small: &'a SmallProject<'a>,
    plan: &'a Plan,
    reached: WideLevelValues,
    /// By level.
    leaves: Vec<Vec<LeafRestrictions>>,
    /// By level and leaf, as the audit computes them.
    bounds: Vec<Vec<Least>>,
}

impl DrawnCertificates<'_> {
    fn told(&self, what: &str, level: usize) -> String {
        format!("{what} {:?}\n{}\n{:#?}", self.plan.levels[level].aim, self.told, self.plan.levels[level])
    }

    fn bounds_are_those_of_the_formula(&self, seen: &mut LeafCounts) {
        for (level, (leaves, bounds)) in self.leaves.iter().zip(&self.bounds).enumerate() {
            assert_eq!(leaves.len(), bounds.len(), "{}", self.told("leaves", level));
            let certificate = &self.plan.levels[level].certificate;
            for (number, (leaf, bound)) in leaves.iter().zip(bounds).enumerate() {
                let by_formula = match leaf.bound(self.small, certificate, self.plan.levels[level].aim, &self.reached) {
                    Ok(bound) => Least::Of(bound),
                    Err(true) => Least::NoPlan,
                    Err(false) => Least::NoBound,
                };
                assert_eq!(*bound, by_formula, "{}", self.told(&format!("leaf {number}"), level));
                seen.leaves += 1;
                seen.given += u32::from(matches!(bound, Least::Of(1..)));
                seen.no_plan += u32::from(*bound == Least::NoPlan);
            }
        }
    }

    /// No leaf's bound is above its best plan of useful packs, and no level's bound is above the best of all plans.
    fn bounds_are_below_all_plans(&self, seen: &mut LeafCounts) {
        let DrawnCertificates { small, plan, bounds, .. } = self;
        let mut least: Vec<Vec<Option<i128>>> = bounds.iter().map(|bounds| vec![None; bounds.len()]).collect();
        let mut of_all = [None; 6];
        small.for_each_plan(1, |found| {
            for (level, of) in plan.levels.iter().enumerate() {
                let keeps = cuts::kept(small, &of.certificate, found);
                assert!(keeps, "{}", self.told("a cut that a plan does not keep", level));
            }
            let useful = found.packs.iter().zip(&small.useful).all(|(packs, most)| packs <= most);
            for (level, aim) in plan.levels.iter().map(|level| level.aim).enumerate() {
                let rank = rank(aim);
                if (0..rank).any(|earlier| found.levels[earlier] > self.reached[earlier]) {
                    break;
                }
                let value = found.levels[rank];
                of_all[level] = of_all[level].into_iter().chain([value]).min();
                if useful {
                    let (leaves, certificate) = (&self.leaves[level], &plan.levels[level].certificate);
                    let has: Vec<usize> =
                        (0..leaves.len()).filter(|leaf| leaves[*leaf].has(small, certificate, found)).collect();
                    assert_eq!(has.len(), 1, "{}", self.told("a plan in one leaf", level));
                    let least = &mut least[level][has[0]];
                    *least = least.iter().copied().chain([value]).min();
                }
            }
        });
        for level in 0..plan.levels.len() {
            for (leaf, (bound, least)) in bounds[level].iter().zip(&least[level]).enumerate() {
                let above = least.is_some_and(|least| *bound > Least::Of(least));
                assert!(!above, "{}", self.told(&format!("{bound:?} above {least:?} in leaf {leaf}"), level));
                seen.tight += u32::from(least.is_some_and(|least| least > 0 && *bound == Least::Of(least)));
            }
            let bound = bounds[level].iter().min().expect("a leaf");
            assert!(of_all[level].is_none_or(|least| *bound <= Least::Of(least)), "{}", self.told("all leaves", level));
        }
    }
}

#[test]
fn every_leaf_has_the_bound_of_the_formula_and_none_above_its_best_plan() {
    let mut seen = LeafCounts::default();
    let many = std::env::var("REHOUSE_MANY_CERTIFICATES").ok().and_then(|many| many.parse().ok());
    (0..many.unwrap_or(400)).for_each(|seed| hold(seed, &mut seen));
    assert!(seen.projects > 300, "{seen:?}");
    // At least 1 leaf in 12 has a bound above 0 and 1 in 50 holds no plan: drawn multipliers seldom give more.
    assert!(
        seen.given * 12 > seen.leaves
            && seen.no_plan * 50 > seen.leaves
            && seen.tight > 100
            && seen.with_cuts * 4 > seen.leaves
            && seen.weighted > 50,
        "{seen:?}"
    );
}

#[test]
fn an_empty_certificate_of_fluid_means_that_of_money() {
    let mut held = 0;
    for seed in 0..60 {
        let (project, mut plan) = planned_until(project(&drawn::files(seed)), &|| true);
        let small = SmallProject::of(&project);
        if small.size(0) > MOST_PLANS {
            continue;
        }
        let mut random = Random(seed ^ 0xF1);
        let mut money = drawn::certificate(&small, Aim::Money, &mut random);
        money.numbers.iter_mut().enumerate().for_each(|(number, numbers)| numbers.weights.fluid = 1 << (10 + number));
        let last = plan.levels.len() - 1;
        plan.levels[last - 1].certificate = money.clone();
        plan.levels[last].certificate = Default::default();
        let shared = leaf_bounds(&project, &plan).expect("certificates");
        plan.levels[last].certificate = money;
        assert_eq!(leaf_bounds(&project, &plan).expect("certificates"), shared, "{seed}");
        plan.levels[last - 1].certificate = Default::default();
        let claim = format!("levels[{}].certificate", last - 1);
        assert!(audit(&project, &plan).iter().any(|found| found.claim.starts_with(&claim)), "{seed}");
        held += 1;
    }
    assert!(held > 30, "{held}");
}
