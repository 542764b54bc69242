//! One placement per row of the survey, each judged again against the inputs.

use itertools::Itertools;

use super::claims::Claims;
use super::exact::Exact;
use super::fluids::price_of;
use super::sharing::Sharing;
use crate::collection::{Specimen, VesselChoice};
use crate::options::table::{Judged, NearMiss};
use crate::options::{Filling, Fit, Marks, Treatment, judge};
use crate::plan::reasons;
use crate::plan::waiting::LeftOver;
use crate::plan::{Outcome, Placement, Plan, Reason};
use crate::project::Project;
use crate::rules::FluidId;
use crate::saved;
use crate::stock::VesselId;
use crate::units::{Millilitres, decimal};
use crate::words;

/// Checks that there is one placement for each row of the survey, in its order.
pub(super) fn one_for_each_row(project: &Project, plan: &Plan, claims: &mut Claims) {
    claims.same("placements", plan.placements.len(), project.collection.specimens.len());
    for (i, row) in plan.placements.iter().enumerate() {
        if row.specimen != i {
            let mut of_row = Claims::of_placement(i);
            of_row.same("specimen", row.specimen, i);
            claims.findings.append(&mut of_row.findings);
        }
    }
}

/// One placement with the row that it is checked against.
pub(super) struct RowAudit<'a> {
    pub(super) project: &'a Project,
    pub(super) left: &'a dyn Fn() -> &'a LeftOver<'a>,
    pub(super) sharing: &'a Sharing,
    pub(super) specimen: &'a Specimen,
    pub(super) row: &'a Placement,
    pub(super) claims: &'a mut Claims,
}

impl RowAudit<'_> {
    fn refute(&mut self, field: &str, stated: &str, derived: &str) {
        self.claims.refute(field, stated, derived);
    }

    /// Checks a row about which nothing is to be decided.
    pub(super) fn not_decided(&mut self, outcome: Outcome, reason: Reason) {
        self.claims.same("outcome", self.row.outcome.name(), outcome.name());
        self.no_vessel();
        self.no_fluid();
        self.near_miss(None);
        self.why(reason, Marks::default());
    }

    /// Checks a row that was judged.
    pub(super) fn decided(&mut self, judged: &Judged) {
        match self.row.outcome {
            Outcome::OnHand | Outcome::Order => self.in_a_vessel(judged),
            Outcome::CustomTank => self.in_a_tank(judged),
            Outcome::Deferred => self.deferred(judged),
            Outcome::NeedsDecision => self.needs_decision(judged),
            Outcome::Held => self.refute("outcome", "held", "no reason to hold this lot"),
        }
    }

    /// Checks the reason and the marks. Reasons agree when they are the same in a file.
    fn why(&mut self, reason: Reason, marks: Marks) {
        if self.row.reason != reason {
            let file = |reason: &Reason| saved::reason_in_file(self.project, reason);
            if file(&self.row.reason) != file(&reason) {
                let words = |reason: Reason| words::reason(self.project, &Placement { reason, ..self.row.clone() });
                self.claims.refute("reason", words(self.row.reason.clone()), words(reason));
            }
        }
        let marks_of = |marks: &Marks| format!("{marks:?}");
        self.claims.shown("marks", Some(self.row.marks), Some(marks), marks_of);
    }

    fn in_a_vessel(&mut self, judged: &Judged) {
        let Some(vessel) = self.row.vessel else {
            return self.refute("vessel", "nothing", "a vessel, as it goes into one");
        };
        self.pins(vessel);
        self.near_miss(None);
        match judge(self.project, self.specimen, vessel) {
            Ok(derived) => {
                match self.row.fit {
                    Some(stated) => self.fit(&stated, &derived),
                    None => self.refute("vessels_used", "nothing", &derived.pieces.to_string()),
                }
                self.fluid(derived.charges, derived.fluid());
                self.why(Reason::Vessel { suitable: judged.suitable() }, derived.marks);
            }
            Err(refusal) => {
                let vessel = &self.project.stock.vessel(vessel).id;
                self.refute(
                    "vessel",
                    vessel,
                    &format!("no option: {}: {}", refusal.rule.name(), words::refusal(&refusal)),
                );
            }
        }
    }

    /// Checks `must_use` and `must_not_use` without the rules that also test them.
    fn pins(&mut self, vessel: VesselId) {
        let choice = VesselChoice::Listed(vessel);
        let pinned =
            self.specimen.particulars.must_use.is_empty() || self.specimen.particulars.must_use.contains(&choice);
        if !pinned || self.specimen.particulars.must_not_use.contains(&choice) {
            self.refute("vessel", &self.project.stock.vessel(vessel).id, "not what the row requires");
        }
    }

    fn fit(&mut self, stated: &Fit, derived: &Fit) {
        let claims = &mut *self.claims;
        claims.same("vessels_used", stated.pieces, derived.pieces);
        claims.shown("posture", stated.stance, derived.stance, |stance| stance.name().to_owned());
        claims.same("leaning", stated.leaning, derived.leaning);
        claims.length("wall_gap_mm", stated.wall_gap, derived.wall_gap);
        claims.length("cover_mm", stated.cover, derived.cover);
        claims.length("mouth_gap_mm", stated.mouth_gap, derived.mouth_gap);
        claims.number("tissue_share_pct", stated.tissue_share, derived.tissue_share, 100.0);
        claims.number("life_years", stated.life_years, derived.life_years, 1.0);
        claims.same("charges", stated.charges, derived.charges);
        claims.same("filled_ml", stated.filled.0, derived.filled.0);
        claims.same("tissue_ml", stated.tissue.0, derived.tissue.0);
        claims.shown("marks", Some(stated.marks), Some(derived.marks), |marks| format!("{marks:?}"));
    }

    fn in_a_tank(&mut self, judged: &Judged) {
        self.no_vessel();
        self.near_miss(judged.near_miss.as_deref());
        let shared = self.sharing.shared.get(&self.row.specimen);
        match shared.map_or(judged.tank.as_deref(), Ok) {
            Ok(tank) => {
                self.fluid(tank.charges, tank.fluid);
                self.why(reasons::in_tank(self.specimen, judged), reasons::marks_of_tank(tank));
            }
            Err(_) => self.refute("outcome", self.row.outcome.name(), "no tank as an option"),
        }
    }

    /// Checks that a deferred row has at least one option with a known price.
    fn deferred(&mut self, judged: &Judged) {
        self.no_vessel();
        self.no_fluid();
        self.near_miss(judged.near_miss.as_deref());
        let priced_tank = judged.tank.as_ref().is_ok_and(|tank| tank.cost.is_some());
        if judged.fits.is_empty() && !priced_tank {
            self.refute("outcome", self.row.outcome.name(), "no option that has a price");
        }
        let wait = (self.left)().wait(self.row.specimen, judged);
        self.why(Reason::Waits(Box::new(wait)), Marks::default());
    }

    fn needs_decision(&mut self, judged: &Judged) {
        self.no_vessel();
        self.no_fluid();
        self.near_miss(judged.near_miss.as_deref());
        match (judged.fits.first(), &judged.tank) {
            (Some((vessel, _)), _) => {
                let vessel = &self.project.stock.vessel(*vessel).id;
                self.refute("outcome", self.row.outcome.name(), &format!("{vessel} as an option"));
            }
            (None, Ok(_)) => self.refute("outcome", self.row.outcome.name(), "a tank as an option"),
            (None, Err(no_tank)) => {
                let reason = reasons::needs_decision(self.project, self.specimen, no_tank.as_deref());
                self.why(reason, Marks::default());
            }
        }
    }

    fn no_vessel(&mut self) {
        if let Some(vessel) = self.row.vessel {
            self.refute("vessel", &self.project.stock.vessel(vessel).id, "nothing");
        }
        if let Some(fit) = self.row.fit {
            self.refute("vessels_used", &fit.pieces.to_string(), "nothing");
        }
        self.claims.same("pieces_on_hand", self.row.pieces_on_hand, 0);
    }

    fn no_fluid(&mut self) {
        let nothing = Filling::default();
        self.treatment(&nothing, 0.0);
        if let Some(fluid) = self.row.fluid {
            self.refute("fluid_ml", &fluid.0.to_string(), "nothing");
        }
        if let Some(cost) = self.row.fluid_cost {
            self.refute("fluid_cost", &cost.text(), "nothing");
        }
    }

    /// Checks fillings, present fluid kept, and baths.
    fn treatment(&mut self, derived: &Filling, days: f64) {
        let fluids = &self.project.rules;
        let words = |baths: &[(FluidId, Millilitres)]| {
            baths.iter().map(|(bath, amount)| format!("{} {} ml", fluids.fluid(*bath).id, amount.0)).join(", ")
        };
        self.claims.same("charges", self.row.charges, derived.charges);
        self.claims.same("reused_ml", self.row.reused.0, derived.reused.0);
        self.claims.shown("baths", Some(&self.row.baths), Some(&derived.baths), |baths| words(baths));
        self.claims.number("bath_days", Some(self.row.bath_days), Some(days), 1.0);
    }

    /// Checks a number of fillings of one volume, with their baths, and their cost.
    fn fluid(&mut self, charges: u32, one: Millilitres) {
        if one < Millilitres::ZERO {
            self.refute("fluid_ml", &one.0.to_string(), "more tissue than there is room for");
        }
        self.claims.shown("fluid_ml", self.row.fluid, Some(one), |fluid| fluid.0.to_string());
        let treatment = Treatment::of(self.project, self.specimen);
        let derived = Filling::of(self.project, self.specimen, &treatment, charges, one);
        self.treatment(&derived, treatment.bath_days());
        // Added up here from what is poured, in numbers too wide to overflow.
        let own = i128::from(one.0) * i128::from(charges) - i128::from(derived.reused.0);
        let own = Exact::per_litre(price_of(self.project, self.specimen.fluid), own);
        let baths = derived.baths.iter();
        let baths = baths.map(|&(bath, amount)| Exact::per_litre(price_of(self.project, bath), i128::from(amount.0)));
        let cost = own + baths.sum();
        match self.row.fluid_cost {
            Some(stated) => self.claims.money("fluid_cost", stated, cost),
            None => self.refute("fluid_cost", "nothing", &cost.text()),
        }
    }

    fn near_miss(&mut self, derived: Option<&NearMiss>) {
        let stock = &self.project.stock;
        self.claims.shown("near_miss", self.row.near_miss.as_deref(), derived, |(vessel, refusal)| {
            let amount = refusal.shortfall.map_or_else(|| "-".to_owned(), |amount| decimal(amount, 3));
            let (rule, cause) = (refusal.rule.name(), refusal.cause.name());
            format!("{}: {rule}: {cause}: {amount} {}", stock.vessel(*vessel).id, refusal.cause.unit().name())
        });
    }
}
