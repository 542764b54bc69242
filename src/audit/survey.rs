//! The rows of the survey, each judged again once: for its placement and for the certificates.

use std::sync::OnceLock;

use super::Finding;
use super::bounds::{Bounds, Lots};
use super::claims::Claims;
use super::placements::{RowAudit, one_for_each_row};
use super::row;
use super::sharing::Sharing;
use super::work::labour_per_row;
use crate::collection::Specimen;
use crate::options::Vessels;
use crate::options::portions::Lists;
use crate::options::table::{Judged, undecided};
use crate::plan::waiting::LeftOver;
use crate::plan::{Outcome, Plan, Reason};
use crate::project::Project;
use crate::system::threads::shares_in_threads;

/// Checks every placement against its row, and adds the rows up for the certificates.
pub(super) fn audit(
    project: &Project,
    plan: &Plan,
    vessels: &Vessels,
    sharing: &Sharing,
    bounds: Option<&Bounds>,
    claims: &mut Claims,
) -> Option<Lots> {
    one_for_each_row(project, plan, claims);
    let mut by_row: Vec<usize> = (0..plan.placements.len()).collect();
    by_row.sort_by_key(|&i| plan.placements[i].specimen);
    let lists = Lists::default();
    let left = OnceLock::new();
    let survey = Survey { project, plan, by_row, left, vessels, lists, sharing, bounds };
    let (mut findings, rows) = survey.of_all();
    // In the order of the placements in the plan, not of the rows that they name.
    findings.sort_by_key(|(i, _)| *i);
    claims.findings.extend(findings.into_iter().map(|(_, finding)| finding));
    rows
}

struct Survey<'a> {
    project: &'a Project,
    plan: &'a Plan,
    /// Placements in the order of the rows they name.
    by_row: Vec<usize>,
    left: OnceLock<LeftOver<'a>>,
    vessels: &'a Vessels<'a>,
    lists: Lists,
    sharing: &'a Sharing,
    bounds: Option<&'a Bounds<'a>>,
}

/// The findings by placement, and the sums of the rows.
type Found = (Vec<(usize, Finding)>, Option<Lots>);

/// What the inputs give for a row.
enum Derived {
    /// Nothing is to be decided about it, for this reason.
    Not(Outcome, Reason),
    Judged(Judged),
}

impl Survey<'_> {
    /// All rows, a share on each core. The result does not depend on how they are shared.
    fn of_all(&self) -> Found {
        let shares = shares_in_threads(&self.project.collection.specimens, |first, rows| self.of(first, rows));
        let none = self.of(0, &[]);
        let (findings, rows) = shares.into_iter().fold(none, |(mut findings, rows), (more, others)| {
            findings.extend(more);
            (findings, rows.zip(others).map(|(rows, others)| rows.and(others)))
        });
        (findings, rows.zip(self.bounds).map(|(lots, bounds)| lots.weighed(self.project, bounds)))
    }

    /// A share of the rows, one after the other.
    fn of(&self, first: usize, specimens: &[Specimen]) -> Found {
        let mut findings = Vec::new();
        let mut lots = self.bounds.map(Bounds::no_lots);
        let named = |i: &usize| self.plan.placements[*i].specimen;
        let mut placements = self.by_row[self.by_row.partition_point(|i| named(i) < first)..].iter().peekable();
        for (index, specimen) in (first..).zip(specimens) {
            let derived = self.derive(specimen);
            while let Some(&i) = placements.next_if(|i| named(i) == index) {
                let mut claims = Claims::of_placement(i);
                self.check(i, specimen, &derived, &mut claims);
                findings.extend(claims.findings.into_iter().map(|finding| (i, finding)));
            }
            if let (Derived::Judged(judged), Some((bounds, lots))) = (&derived, self.bounds.zip(lots.as_mut())) {
                lots.add(self.project, bounds, index, judged);
            }
        }
        (findings, lots)
    }

    fn derive(&self, specimen: &Specimen) -> Derived {
        match (specimen.held(&self.project.rules), undecided(self.project, specimen)) {
            (Some(check), _) => Derived::Not(Outcome::Held, Reason::Held(check)),
            (None, Some(unknown)) => Derived::Not(Outcome::NeedsDecision, Reason::Unknown(unknown)),
            (None, None) => Derived::Judged(row::judged(self.project, self.vessels, &self.lists, specimen)),
        }
    }

    fn check(&self, i: usize, specimen: &Specimen, derived: &Derived, claims: &mut Claims) {
        let Survey { project, sharing, .. } = self;
        // Only deferred rows need it.
        let left = &|| self.left.get_or_init(|| LeftOver::of(self.project, self.plan, labour_per_row(self.project)));
        let mut audit = RowAudit { project, left, sharing, specimen, row: &self.plan.placements[i], claims };
        match derived {
            Derived::Not(outcome, reason) => audit.not_decided(*outcome, reason.clone()),
            Derived::Judged(judged) => audit.decided(judged),
        }
    }
}
