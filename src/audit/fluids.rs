//! Adds up the fluid again: fillings, baths, present fluid that is kept, owned fluid, fluid that is bought and spent.

use std::collections::{BTreeMap, BTreeSet};

use super::claims::Claims;
use super::exact::Exact;
use crate::fluid::containers::{Container, cover};
use crate::fluid::recipe::recipe;
use crate::plan::{FluidOrder, MadeFrom, Outcome, Placement, Plan, fluids};
use crate::project::Project;
use crate::rules::{Family, FluidId};
use crate::units::{Millilitres, Money, Volume, truncated};

/// The fluid of a plan, added up.
pub(super) struct Fluids {
    pub(super) sums: BTreeMap<FluidId, FluidSum>,
    pub(super) disposal: Exact,
    pub(super) containers: Exact,
}

/// The sums of one fluid over all rows that get it.
#[derive(Default)]
pub(super) struct FluidSum {
    rows: usize,
    pub(super) millilitres: i128,
    reused: i128,
    baths: i128,
    from_stock: i128,
    pub(super) cost: Exact,
    pub(super) millilitres_outside: i128,
    to_make: i128,
}

/// Checks make-up, orders and spent fluid against the placements.
pub(super) fn audit(project: &Project, plan: &Plan, claims: &mut Claims) -> Fluids {
    let sums = make_up(project, plan, claims);
    let containers = orders(project, plan, &sums, claims);
    let disposal = spent(project, plan, claims);
    Fluids { sums, disposal, containers }
}

/// The sums by fluid, without checking anything.
pub(super) fn sums(project: &Project, plan: &Plan) -> BTreeMap<FluidId, FluidSum> {
    make_up(project, plan, &mut Claims::default())
}

/// Price of a litre of a fluid with loss and tax, to four places.
pub(super) fn price_of(project: &Project, fluid: FluidId) -> Money {
    let (price, settings) = (project.rules.fluid(fluid).price, &project.settings);
    let (loss, tax) = (settings.fluid_loss_pct.0 / 100.0, settings.fluid_tax_pct.0 / 100.0);
    if loss + tax == 0.0 {
        return price;
    }
    Money::estimate_or_most(price.approximate() * (1.0 + loss) * (1.0 + tax))
}

/// Rows that go into a vessel or a tank.
fn placed(plan: &Plan) -> impl Iterator<Item = &Placement> {
    let placed = |row: &&Placement| matches!(row.outcome, Outcome::OnHand | Outcome::Order | Outcome::CustomTank);
    plan.placements.iter().filter(placed)
}

/// The rows whose tank has no price.
pub(super) fn unpriced(plan: &Plan) -> BTreeSet<usize> {
    plan.tanks.iter().filter(|tank| tank.cost.is_none()).map(|tank| tank.specimen).collect()
}

/// Whether a row waits for the price of its tank.
pub(super) fn waits(row: &Placement, unpriced: &BTreeSet<usize>) -> bool {
    row.outcome == Outcome::CustomTank && unpriced.contains(&row.specimen)
}

/// Millilitres of all fillings of a row, as it is placed.
fn all_fillings(row: &Placement) -> i128 {
    row.fluid.map_or(0, |fluid| i128::from(fluid.0)) * i128::from(row.charges)
}

fn make_up(project: &Project, plan: &Plan, claims: &mut Claims) -> BTreeMap<FluidId, FluidSum> {
    let unpriced = unpriced(plan);
    let mut sums: BTreeMap<FluidId, FluidSum> = BTreeMap::new();
    for row in placed(plan) {
        let own = project.collection.specimens[row.specimen].fluid;
        let (fillings, kept) = (all_fillings(row), i128::from(row.reused.0));
        let outside = waits(row, &unpriced);
        let sum = sums.entry(own).or_default();
        if outside {
            sum.millilitres_outside = sum.millilitres_outside.saturating_add(fillings - kept);
        } else {
            sum.rows += 1;
            sum.millilitres = sum.millilitres.saturating_add(fillings);
            sum.reused = sum.reused.saturating_add(kept);
        }
        for &(bath, amount) in &row.baths {
            let sum = sums.entry(bath).or_default();
            let of = if outside { &mut sum.millilitres_outside } else { &mut sum.baths };
            *of = of.saturating_add(i128::from(amount.0));
        }
    }
    for (&fluid, sum) in &mut sums {
        let needed = sum.millilitres.saturating_sub(sum.reused).saturating_add(sum.baths);
        sum.from_stock = shelf(project, fluid).min(needed);
        let missing = needed - sum.from_stock;
        sum.cost = Exact::per_litre(price_of(project, fluid), missing);
        let with_loss = missing as f64 * (1.0 + project.settings.fluid_loss_pct.0 / 100.0);
        sum.to_make = truncated((with_loss - 1e-6).ceil()).into();
    }
    let names = |ids: Vec<FluidId>| {
        ids.into_iter().map(|id| project.rules.fluid(id).id.as_str()).collect::<Vec<_>>().join(", ")
    };
    let stated = plan.make_up.iter().map(|line| line.fluid).collect();
    claims.same("make_up: fluids", names(stated), names(sums.keys().copied().collect()));
    for (i, line) in plan.make_up.iter().enumerate() {
        let Some(sum) = sums.get(&line.fluid) else { continue };
        let at = |field: &str| format!("make_up[{i}].{field}");
        claims.same(at("rows"), line.rows, sum.rows);
        claims.litres(at("litres"), i128::from(line.amount.0), sum.millilitres);
        claims.litres(at("litres_kept"), i128::from(line.reused.0), sum.reused);
        claims.litres(at("litres_in_baths"), i128::from(line.baths.0), sum.baths);
        claims.litres(at("litres_from_stock"), i128::from(line.from_stock.0), sum.from_stock);
        claims.litres(at("litres_to_make"), i128::from(line.to_make.0), sum.to_make);
        claims.money(at("cost"), line.cost, sum.cost);
        claims.litres(at("litres_outside"), i128::from(line.amount_outside.0), sum.millilitres_outside);
        let outside = Exact::per_litre(price_of(project, line.fluid), sum.millilitres_outside);
        claims.money(at("cost_outside"), line.cost_outside, outside);
        let derived = made_from(project, line.fluid, sum);
        claims.shown(at("made_from"), line.made_from.as_ref(), derived.as_ref(), |from| in_words(from));
    }
    sums
}

/// `0.979 l ethanol-96, 0.399 l water, 4500 mg borax`.
fn in_words(from: &MadeFrom) -> String {
    let water =
        from.water.map_or("water to make up the volume".to_owned(), |water| format!("{} l water", water.litres()));
    let salts = from.salts.iter().map(|(name, mg)| format!(", {mg} mg {name}")).collect::<String>();
    format!("{} l {}, {water}{salts}", from.amount.litres(), from.concentrate)
}

/// The owned volume, in all places together.
fn shelf(project: &Project, fluid: FluidId) -> i128 {
    let owned = project.stock.fluids.iter().filter(|owned| owned.fluid == fluid);
    owned.map(|owned| i128::from(owned.amount.0)).sum()
}

/// What a fluid is made from, by the recipe for the amount that is made.
fn made_from(project: &Project, fluid: FluidId, sum: &FluidSum) -> Option<MadeFrom> {
    let concentrates = fluids::concentrates(&project.settings);
    let made = Volume::at_least_zero(sum.to_make as f64);
    let recipe = recipe(&project.rules.fluid(fluid).id, &concentrates, made)?;
    Some(MadeFrom {
        concentrate: recipe.concentrate,
        amount: Millilitres::nearest(recipe.amount),
        water: recipe.water.map(Millilitres::nearest),
        salts: recipe
            .salts
            .iter()
            .map(|(name, mass)| (name.to_string(), truncated((mass.g() * 1000.0).round())))
            .collect(),
    })
}

/// Checks the fluid bought against the make-up. Returns the cost of whole containers less what is counted for their fluid.
fn orders(project: &Project, plan: &Plan, sums: &BTreeMap<FluidId, FluidSum>, claims: &mut Claims) -> Exact {
    let mut needs: BTreeMap<String, (i128, Exact)> = BTreeMap::new();
    for (&fluid, sum) in sums.iter().filter(|(_, sum)| sum.to_make > 0) {
        let id = project.rules.fluid(fluid).id.clone();
        let (bought, amount) = match made_from(project, fluid, sum) {
            Some(from) => (from.concentrate, i128::from(from.amount.0)),
            None if id == "water" => continue,
            None => (id, sum.to_make),
        };
        let need = needs.entry(bought).or_default();
        need.0 = need.0.saturating_add(amount);
        need.1 += sum.cost;
    }
    let stated: Vec<&str> = plan.fluid_orders.iter().map(|order| order.fluid.as_str()).collect();
    claims.same("fluid_orders: fluids", stated.join(", "), needs.keys().cloned().collect::<Vec<_>>().join(", "));
    let mut above = Exact::default();
    for (i, order) in plan.fluid_orders.iter().enumerate() {
        let Some(&(needed, counted)) = needs.get(&order.fluid) else { continue };
        let at = |field: &str| format!("fluid_orders[{i}].{field}");
        let fluid = project.rules.fluids.iter().position(|fluid| fluid.id == order.fluid);
        let shelf = fluid.map_or(0, |index| {
            let fluid = FluidId::at(index);
            shelf(project, fluid) - sums.get(&fluid).map_or(0, |sum| sum.from_stock)
        });
        let from_stock = shelf.min(needed);
        claims.litres(at("litres"), i128::from(order.needed.0), needed);
        claims.litres(at("litres_from_stock"), i128::from(order.from_stock.0), from_stock);
        claims.money(at("counted"), order.counted, counted);
        if let Some(cost) = bought(project, order, needed - from_stock, &at, claims) {
            above += cost;
            above += Exact::times(Money::from_parts(-1), counted.0);
        }
    }
    above
}

/// Checks that the containers are sold, hold enough, have the stated cost, and are the cheapest choice.
fn bought(
    project: &Project,
    order: &FluidOrder,
    missing: i128,
    at: &impl Fn(&str) -> String,
    claims: &mut Claims,
) -> Option<Exact> {
    let Some(sold) = project.settings.containers.get(&order.fluid) else {
        claims.shown(at("cost"), order.cost, None, |cost: &Money| cost.text());
        claims.same(at("containers"), order.containers.len(), 0);
        return None;
    };
    let mut cost = Exact::default();
    let mut holds = 0_i128;
    for &(size, price, count) in &order.containers {
        if !sold.0.contains(&(size, price)) || count < 1 {
            claims.refute(at("containers"), format!("{} l at {}", size.litres(), price.text()), "not what is sold");
        }
        cost += Exact::times(price, i128::from(count));
        holds = holds.saturating_add(i128::from(size.0).saturating_mul(i128::from(count)));
    }
    claims.at_least(at("containers: millilitres"), holds, missing);
    let containers: Vec<Container> = sold.0.iter().map(|&(holds, price)| Container { holds, price }).collect();
    let counts = cover(Millilitres(i64::try_from(missing).unwrap_or(0).min(MOST_ML)), &containers);
    let least: Exact =
        containers.iter().zip(counts).map(|(one, count)| Exact::times(one.price, i128::from(count))).sum();
    if order.cost.is_none() {
        claims.refute(at("cost"), "nothing", "what the containers cost");
    }
    claims.money(at("containers: cost"), order.cost.unwrap_or_default(), cost);
    claims.money(at("cost"), order.cost.unwrap_or_default(), least);
    Some(least)
}

/// Above any real volume in millilitres, and small enough to calculate with.
const MOST_ML: i64 = 1_000_000_000_000;

/// Checks spent fluid by family. Returns the cost of its disposal.
fn spent(project: &Project, plan: &Plan, claims: &mut Claims) -> Exact {
    let family = |fluid: FluidId| project.rules.fluid(fluid).family;
    let mut by_family: BTreeMap<Family, i128> = BTreeMap::new();
    let (mut not_stated, unpriced) = (0, unpriced(plan));
    for row in placed(plan).filter(|row| !waits(row, &unpriced)) {
        let specimen = &project.collection.specimens[row.specimen];
        let mut add = |kind: Family, amount: i128| {
            let sum = by_family.entry(kind).or_default();
            *sum = sum.saturating_add(amount);
        };
        let mut kind = family(specimen.current_fluid.unwrap_or(specimen.fluid));
        match specimen.particulars.current_fluid_ml {
            Some(volume) => add(kind, i128::from(Millilitres::nearest(volume).0) - i128::from(row.reused.0)),
            None => not_stated += 1,
        }
        for &(bath, amount) in &row.baths {
            // Rinsing water is disposed of with the family that it rinses out.
            kind = if family(bath) == Family::Aqueous { kind } else { family(bath) };
            add(kind, i128::from(amount.0));
        }
        let one = row.fluid.map_or(0, |fluid| i128::from(fluid.0));
        add(family(specimen.fluid), one * i128::from(row.charges.max(1) - 1));
    }
    claims.same("spent_not_stated", plan.spent_not_stated, not_stated);
    by_family.retain(|_, amount| *amount > 0);
    let names = |kinds: Vec<Family>| kinds.into_iter().map(Family::name).collect::<Vec<_>>().join(", ");
    let stated = names(plan.spent.iter().map(|line| line.family).collect());
    claims.same("spent: families", stated, names(by_family.keys().copied().collect()));
    let mut all = Exact::default();
    for (i, line) in plan.spent.iter().enumerate() {
        let Some(&amount) = by_family.get(&line.family) else { continue };
        let price = project.settings.disposal_price.get(line.family.name()).copied().unwrap_or_default();
        let cost = Exact::per_litre(price, amount);
        claims.litres(format_args!("spent[{i}].litres"), i128::from(line.amount.0), amount);
        claims.money(format_args!("spent[{i}].cost"), line.cost, cost);
        all += cost;
    }
    all
}
