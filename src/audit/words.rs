//! Checks vessels to look for, cautions, warnings and default prices: all that apply are stated, and no others.
//!
//! Facts are compared, never words. First it is worked out again which cautions and warnings apply, and to how many lots. Then the
//! lists are compared with those the program makes, so that none is added, left out or in another place.

use std::collections::{BTreeMap, BTreeSet};
use std::mem::discriminant;

use super::claims::Claims;
use super::exact::Exact;
use super::{fluids, row};
use crate::decision::Aim;
use crate::fluid::cautions::FluidCaution;
use crate::options::portions::Lists;
use crate::options::table::{Row, Unknown, undecided};
use crate::options::tank::TankPriceBasis;
use crate::options::treatment::{Route, route};
use crate::options::{Fit, Marks, Vessels};
use crate::plan::{
    Caution, DefaultPrice, Outcome, Placement, Plan, Want, Warning, cautions, default_prices, wants, warnings,
};
use crate::project::Project;
use crate::rules::{Family, Fluid, HazardId};
use crate::saved;
use crate::stock::VesselId;
use crate::tank::cost;
use crate::units::{Millilitres, Money, index, saturated};
use crate::words::{self, caution, warning};

/// Checks vessels to look for, cautions and warnings against the inputs.
pub(super) fn audit(project: &Project, vessels: &Vessels, plan: &Plan) -> Claims {
    let mut claims = Claims::default();
    wants(project, vessels, plan, &mut claims);
    for (due, one) in cautions_due(project, plan) {
        said("cautions", &plan.cautions, due, &one, |one| caution::sentence(&project.rules, *one).into(), &mut claims);
    }
    for (count, one) in doubts_due(project, plan) {
        let stated = plan.warnings.iter().find(|other| discriminant(*other) == discriminant(&one));
        let derived = (count > 0).then_some(&one);
        claims.fact("warnings", stated, derived, |one| warning::sentence(project, one).into());
    }
    for (due, one) in default_prices_due(project, plan) {
        let words = |one: &DefaultPrice| warning::default_price(project, one).into();
        said("prices_not_yours", &plan.prices_not_yours, due, &one, words, &mut claims);
    }
    claims
}

/// Compares the lists of cautions, warnings and default prices, entry by entry and in order, with the lists that planning this
/// project again gives.
pub(super) fn in_order(project: &Project, plan: &Plan) -> Claims {
    let mut claims = Claims::default();
    let words = |one: &Caution| caution::sentence(&project.rules, *one).into();
    one_by_one("cautions", &plan.cautions, &cautions::cautions(project, plan), words, &mut claims);
    let words = |one: &Warning| warning::sentence(project, one).into();
    one_by_one("warnings", &plan.warnings, &warnings::warnings(project, plan), words, &mut claims);
    let derived = default_prices::default_prices(project, plan);
    let words = |one: &DefaultPrice| warning::default_price(project, one).into();
    one_by_one("prices_not_yours", &plan.prices_not_yours, &derived, words, &mut claims);
    claims
}

/// Every caution, each with whether it applies to this plan.
fn cautions_due(project: &Project, plan: &Plan) -> Vec<(bool, Caution)> {
    let specimens = &project.collection.specimens;
    let used = |wanted: &dyn Fn(&Fluid) -> bool| {
        let of = |id| wanted(project.rules.fluid(id));
        specimens.iter().any(|specimen| of(specimen.fluid) || specimen.current_fluid.is_some_and(of))
    };
    let family = |wanted: Family| used(&|fluid| fluid.is_of(wanted));
    let glycol = |fluid: &Fluid| fluid.id.starts_with("propylene-glycol");
    let of_fluids = [
        (family(Family::Formaldehyde), FluidCaution::Formaldehyde),
        (family(Family::Formaldehyde), FluidCaution::FormaldehydeNeverWith),
        (family(Family::Alcohol), FluidCaution::Alcohol),
        (family(Family::Alcohol), FluidCaution::PouringAlcohol),
        (used(&|fluid| fluid.is_of(Family::Glycerol) && !glycol(fluid)), FluidCaution::Glycerol),
        (used(&glycol), FluidCaution::PropyleneGlycol),
        (used(&|fluid| fluid.id == "carnoy"), FluidCaution::Chloroform),
        (used(&|fluid| fluid.family == Family::Oil), FluidCaution::Oil),
        // No fluid of a plan brings it; it is printed on the card of a mixture only.
        (false, FluidCaution::Denaturants),
    ];
    let placed = |row: &Placement| {
        matches!(row.outcome, Outcome::OnHand | Outcome::Order | Outcome::CustomTank) && !plan.waits_for_price(row)
    };
    let others = [
        (family(Family::Unknown), Caution::UnknownFluid),
        (!plan.tanks.is_empty(), Caution::Tanks),
        (plan.placements.iter().any(placed), Caution::Glass),
        (true, Caution::WhoDecides),
    ];
    let named: BTreeSet<HazardId> =
        specimens.iter().flat_map(|specimen| specimen.particulars.known_hazards.iter().copied()).collect();
    let hazards = project.rules.hazards.all().map(|(id, _)| (named.contains(&id), Caution::Hazard(id)));
    let of_fluids = of_fluids.map(|(due, one)| (due, Caution::Fluid(one)));
    of_fluids.into_iter().chain(others).chain(hazards).collect()
}

/// Warnings with their counts: a warning applies where its count is above 0.
fn doubts_due(project: &Project, plan: &Plan) -> Vec<(usize, Warning)> {
    let marked = |mark: fn(Marks) -> bool| {
        plan.placements.iter().filter_map(|row| row.fit).filter(|fit| mark(fit.marks)).count()
    };
    let (mut assumed, mut no_steps, mut unmeasured) = (0, 0, 0);
    for row in plan.placements.iter().filter(|row| row.fluid.is_some() && !plan.waits_for_price(row)) {
        let specimen = &project.collection.specimens[row.specimen];
        let by_family = specimen.current_fluid.is_some_and(|id| project.rules.fluid(id).present_only);
        assumed += usize::from(specimen.current_fluid.is_none());
        no_steps += usize::from(route(project, specimen) == Route::NotKnown);
        unmeasured += usize::from(by_family && specimen.particulars.current_strength_pct.is_none());
    }
    // Lots are counted, but of those that are handled body by body the bodies.
    let bodies = |one_by_one: fn(&Fit) -> bool| -> usize {
        let rows = plan.placements.iter().filter(|row| row.fit.as_ref().is_some_and(one_by_one));
        rows.map(|row| index(project.collection.specimens[row.specimen].individuals)).sum()
    };
    let (leaning, turned_in) = (bodies(|fit| fit.leaning), bodies(|fit| fit.marks.turned_in));
    let (unproven, doubtful) = (marked(|marks| marks.unproven), marked(|marks| marks.doubtful_pair));
    let tight_coil = marked(|marks| marks.tight_coil);
    vec![
        unpriced_tanks(project, plan),
        costly_lots(project, plan),
        (unproven, Warning::Unproven { lots: unproven }),
        (doubtful, Warning::DoubtfulPair { lots: doubtful }),
        (unmeasured, Warning::StrengthNotKnown { lots: unmeasured }),
        (leaning, Warning::Leaning { bodies: leaning }),
        (turned_in, Warning::TurnedIn { bodies: turned_in }),
        (tight_coil, Warning::TightCoil { lots: tight_coil }),
        (assumed, Warning::FluidNotStated { lots: assumed }),
        (no_steps, Warning::StepsUnknown { lots: no_steps }),
        shared_sizes(plan),
    ]
}

/// Tanks without a price, and the fluid of their rows, added up again.
fn unpriced_tanks(project: &Project, plan: &Plan) -> (usize, Warning) {
    let tanks = plan.tanks.iter().filter(|tank| tank.cost.is_none()).count();
    let (mut fluid, mut cost) = (0, Money::ZERO);
    // Rows are added up again only if a tank has no price.
    let sums = if tanks > 0 { fluids::sums(project, plan) } else { BTreeMap::new() };
    for (id, sum) in sums {
        let outside = i64::try_from(sum.millilitres_outside).unwrap_or(i64::MAX);
        fluid = i64::saturating_add(fluid, outside);
        cost += fluids::price_of(project, id).per_litre(Millilitres(outside));
    }
    (tanks, Warning::UnpricedTanks { tanks, fluid: Millilitres(fluid), cost: cost.rounded() })
}

/// Lots that take more than a tenth of the budget while others wait, from the price of each offer and each row's own amounts.
fn costly_lots(project: &Project, plan: &Plan) -> (usize, Warning) {
    let mut packs: BTreeMap<VesselId, (Exact, i64)> = BTreeMap::new();
    for line in &plan.purchases {
        let offer = &project.stock.offers[line.offer];
        let (paid, pieces) = packs.entry(offer.vessel).or_insert((Exact::from(Money::ZERO), 0));
        *paid += Exact::times(offer.pack_price, i128::from(line.packs));
        *pieces += line.packs.saturating_mul(i64::from(offer.pack_size));
    }
    let takes = |row: &Placement| {
        let of_packs = row.vessel.and_then(|vessel| packs.get(&vessel)).map_or(0, |(paid, pieces)| {
            let own = row.fit.map_or(0, |fit| fit.pieces.saturating_sub(row.pieces_on_hand));
            paid.0.saturating_mul(i128::from(own)) / i128::from((*pieces).max(1))
        });
        let tank = plan.tanks.iter().find(|tank| tank.specimen == row.specimen).and_then(|tank| tank.cost);
        let own = [tank, row.fluid_cost].map(|own| i128::from(own.unwrap_or_default().rounded().parts()));
        let whole = of_packs.saturating_add(own[0] + own[1]);
        Money::from_parts(saturated(whole)).rounded()
    };
    let waits = plan.placements.iter().any(|row| row.outcome == Outcome::Deferred);
    let asked = waits && project.settings.weights_in_force().is_none();
    let Some(budget) = project.settings.budget.filter(|_| asked) else {
        return (0, Warning::CostlyLots { lots: Vec::new() });
    };
    let rows = plan.placements.iter().filter(|row| !plan.waits_for_price(row));
    let mut lots: Vec<(usize, Money)> = rows.map(|row| (row.specimen, takes(row))).collect();
    lots.retain(|(_, money)| i128::from(money.parts()) * 10 > i128::from(budget.parts()));
    let key = |row: usize| &project.collection.specimens[row].key;
    lots.sort_by(|(a, of_a), (b, of_b)| of_b.cmp(of_a).then_with(|| key(*a).cmp(key(*b))));
    (lots.len(), Warning::CostlyLots { lots })
}

/// Tanks that share sizes, with the money saved and the fluid added.
fn shared_sizes(plan: &Plan) -> (usize, Warning) {
    let shared: Vec<[u64; 3]> = plan
        .tanks
        .iter()
        .filter(|tank| tank.price_basis == TankPriceBasis::SharedEstimate)
        .map(|tank| [tank.length, tank.width, tank.height].map(|side| side.mm().to_bits()))
        .collect();
    let sizes = shared.iter().collect::<BTreeSet<_>>().len();
    let decided = plan.levels.iter().find(|level| level.aim == Aim::Fluid).map_or(0, |level| level.value);
    let more_fluid = Millilitres(plan.totals.litres.0.saturating_sub(decided));
    let saved = plan.totals.saved_by_sharing.rounded();
    (sizes, Warning::SharedSizes { tanks: shared.len(), sizes, saved, more_fluid })
}

/// Default prices, and whether each applies.
fn default_prices_due(project: &Project, plan: &Plan) -> Vec<(bool, DefaultPrice)> {
    let of_fluid = plan.make_up.iter().map(|line| {
        let fluid = project.rules.fluid(line.fluid);
        (fluid.price_is_default && fluid.price > Money::ZERO, DefaultPrice::Fluid(line.fluid))
    });
    let of_tanks = cost::defaults_in_use(&project.settings);
    let due = !of_tanks.is_empty() && plan.tanks.iter().any(|tank| tank.price_basis.is_estimate());
    of_fluid.chain([(due, DefaultPrice::Tank(of_tanks))]).collect()
}

/// Checks that `one` is stated if it is due, and not stated otherwise.
fn said<T: PartialEq>(
    claim: &str,
    stated: &[T],
    due: bool,
    one: &T,
    words: impl Fn(&T) -> String,
    claims: &mut Claims,
) {
    let stated = stated.contains(one).then_some(one);
    claims.fact(claim, stated, due.then_some(one), words);
}

/// Checks the vessels to look for: for rows that no vessel takes and that are too small for a tank, and for rows that get a tank.
fn wants(project: &Project, vessels: &Vessels, plan: &Plan, claims: &mut Claims) {
    let mut rows = vec![Row::Undecided(Unknown::Fluid); project.collection.specimens.len()];
    let lists = Lists::default();
    for placement in plan.placements.iter().filter(|row| row.outcome == Outcome::NeedsDecision) {
        let specimen = &project.collection.specimens[placement.specimen];
        if specimen.held(&project.rules).is_none() && undecided(project, specimen).is_none() {
            rows[placement.specimen] = Row::Judged(row::judged(project, vessels, &lists, specimen));
        }
    }
    let derived = wants::wants(project, plan, &rows);
    let list = |want: &Want| want.specimens.iter().map(usize::to_string).collect::<Vec<_>>().join(", ");
    for i in 0..plan.wants.len().max(derived.len()) {
        let (stated, derived) = (plan.wants.get(i), derived.get(i));
        claims.shown(format_args!("wants[{i}].rows"), stated.map(list), derived.map(list), String::clone);
        let file = |want: &Want| saved::want_in_file(project, want);
        if stated.map(file) != derived.map(file) {
            let words = |want: Option<&Want>| want.map_or("nothing".into(), |want| words::want(project, want));
            claims.refute(format_args!("wants[{i}].wanted"), words(stated), words(derived));
        }
    }
}

/// Compares two lists of facts in their order.
fn one_by_one<T: PartialEq>(
    claim: &str,
    stated: &[T],
    derived: &[T],
    words: impl Fn(&T) -> String,
    claims: &mut Claims,
) {
    for i in 0..stated.len().max(derived.len()) {
        let (stated, derived) = (stated.get(i), derived.get(i));
        claims.fact(format_args!("{claim}[{i}]"), stated, derived, &words);
    }
}
