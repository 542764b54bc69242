//! Derives every claim of a plan again from the inputs, row by row, and reports where the two differ.
//!
//! It uses no classes of lots and nothing of the solver: each row is judged against the vessels again, once for all checks of it.
//! Pieces and packs are counted row by row, and money is added up in numbers too wide to overflow. Claims agree when they print
//! the same, so a plan read back from its file is audited like one that was just made.
//!
//! Bounds are recomputed from the certificate that each level carries: a level is proved where that gives its value.

mod bounds;
mod claims;
mod exact;
mod flammable;
mod fluids;
mod indices;
mod levels;
mod money;
mod placements;
mod row;
mod sharing;
mod sheets;
mod supply;
mod survey;
mod tanks;
mod words;
mod work;

use std::fmt;

use crate::options::Vessels;
use crate::plan::Plan;
use crate::project::Project;
use crate::system::threads::both;

pub use bounds::Least;

/// One claim that the inputs do not confirm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The placement that makes the claim, if it is one of a placement.
    pub placement: Option<usize>,
    /// Which claim: a field of that placement, or where in the plan (`totals.money`).
    pub claim: String,
    /// What the plan states.
    pub stated: String,
    /// What the inputs give.
    pub derived: String,
}

impl fmt::Display for Finding {
    /// `placements[12].fluid_ml: the plan states 120, the inputs give 118`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: the plan states {}, the inputs give {}", self.path(), self.stated, self.derived)
    }
}

impl Finding {
    /// Where in the plan: `placements[12].fluid_ml`, `totals.money`.
    pub fn path(&self) -> String {
        match self.placement {
            Some(i) => format!("placements[{i}].{}", self.claim),
            None => self.claim.clone(),
        }
    }

    /// Whether it is about the proof of a level.
    pub fn is_of_proof(&self) -> bool {
        self.placement.is_none() && self.claim.contains("].certificate")
    }

    /// With the lot by its key: `X:A-12, fluid_ml: the plan states 120, the inputs give 118`.
    pub fn with_key(&self, project: &Project, plan: &Plan) -> String {
        let specimen = self.placement.and_then(|i| project.collection.specimens.get(plan.placements.get(i)?.specimen));
        let Some(specimen) = specimen else { return self.to_string() };
        let claim = format!("{}, {}", specimen.key, self.claim);
        Finding { placement: None, claim, ..self.clone() }.to_string()
    }
}

/// Every claim of a plan that the inputs do not confirm; empty for a correct plan.
///
/// A plan that points outside its project (a row, vessel or offer that is not there) is not checked further.
pub fn audit(project: &Project, plan: &Plan) -> Vec<Finding> {
    let outside = indices::outside(project, plan);
    if !outside.is_empty() {
        return outside;
    }
    let mut claims = claims::Claims::default();
    let vessels = Vessels::of_survey(project);
    let sharing = sharing::Sharing::of(project, &vessels, plan);
    let mut of_certificates = claims::Claims::default();
    let certificates = levels::certificates(project, plan, &mut of_certificates);
    let lots = survey::audit(project, plan, &vessels, &sharing, certificates.as_ref(), &mut claims);
    let of_supply = || {
        let mut claims = claims::Claims::default();
        supply::audit(project, plan, &mut claims);
        claims
    };
    let of_sums = || {
        let mut claims = claims::Claims::default();
        tanks::audit(project, &vessels, plan, &sharing, &mut claims);
        let lists_hold = claims.findings.is_empty();
        sheets::audit(project, plan, lists_hold, &mut claims);
        let sums = money::audit(project, plan, &mut claims);
        let decided = sharing.audit(project, plan, &sums, &mut claims);
        levels::values(project, plan, &decided, &mut claims);
        (claims, decided)
    };
    let of_words = || (words::audit(project, &vessels, plan), words::in_order(project, plan));
    let ((of_supply, (of_words, in_order)), (of_sums, decided)) = both(|| (of_supply(), of_words()), of_sums);
    for mut of in [of_supply, of_sums, of_certificates] {
        claims.findings.append(&mut of.findings);
    }
    levels::bounds(project, plan, certificates.as_ref().zip(lots.as_ref()), &decided, &mut claims);
    claims.findings.extend(of_words.findings);
    // The lists are derived from the plan's own figures, so their order is checked only where those hold.
    if claims.findings.is_empty() {
        claims.findings.extend(in_order.findings);
    }
    claims.findings
}

/// Compares the rows that a plan states as left out with those that cannot be read in the inputs kept with it.
pub fn left_out(plan: &Plan, derived: &[String]) -> Vec<Finding> {
    let stated = &plan.skipped_rows;
    let mut claims = claims::Claims::default();
    for i in 0..stated.len().max(derived.len()) {
        claims.shown(format_args!("skipped_rows[{i}]"), stated.get(i), derived.get(i), |row| format!("{row:?}"));
    }
    claims.findings
}

/// The bound at each leaf of each level's certificate, in the order of the tree, recomputed from the inputs.
///
/// # Errors
/// All findings, if the plan points outside its project or a certificate is wrong.
pub fn leaf_bounds(project: &Project, plan: &Plan) -> Result<Vec<Vec<Least>>, Vec<Finding>> {
    let outside = indices::outside(project, plan);
    if !outside.is_empty() {
        return Err(outside);
    }
    let mut claims = claims::Claims::default();
    let Some(certificates) = levels::certificates(project, plan, &mut claims) else { return Err(claims.findings) };
    let vessels = Vessels::of_survey(project);
    let sharing = sharing::Sharing::of(project, &vessels, plan);
    let mut others = claims::Claims::default();
    let lots = survey::audit(project, plan, &vessels, &sharing, Some(&certificates), &mut others);
    let sums = money::audit(project, plan, &mut others);
    let decided = sharing.audit(project, plan, &sums, &mut others);
    let leaves =
        lots.and_then(|lots| levels::leaf_bounds(project, plan, (&certificates, &lots), &decided, &mut claims));
    leaves.ok_or(claims.findings)
}
