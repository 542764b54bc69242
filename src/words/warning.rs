//! Warnings about a plan, and default prices that it uses, in words.

use std::borrow::Cow;

use itertools::Itertools;

use super::tank::cost_part;
use super::{counted, spoken};
use crate::plan::Plan;
use crate::plan::default_prices::DefaultPrice;
use crate::plan::warnings::Warning;
use crate::project::Project;
use crate::settings::Settings;
use crate::stock::VesselId;
use crate::units::{Millilitres, Money, decimal};

/// The warnings about a plan, in their order.
pub fn sentences(project: &Project, plan: &Plan) -> Vec<Cow<'static, str>> {
    plan.warnings.iter().map(|warning| sentence(project, warning)).collect()
}

/// The default prices of a plan, in their order.
pub fn default_prices(project: &Project, plan: &Plan) -> Vec<Cow<'static, str>> {
    plan.prices_not_yours.iter().map(|price| default_price(project, price)).collect()
}

/// One warning.
pub fn sentence(project: &Project, warning: &Warning) -> Cow<'static, str> {
    let settings = &project.settings;
    spoken(match warning {
        Warning::UnpricedTanks { tanks, fluid, cost } => unpriced_tanks(*tanks, *fluid, *cost),
        Warning::SharedSizes { tanks, sizes, saved, more_fluid } => shared_sizes(*tanks, *sizes, *saved, *more_fluid),
        Warning::OverBudget { by } => {
            format!("the amount to pay, with disposal and whole containers, is {} more than the budget", by.on_screen())
        }
        Warning::CostlyLots { lots } => costly_lots(project, lots),
        Warning::Unproven { lots } => format!(
            "{} an unproven combination of fluid and vessel: review",
            counted(*lots, "lot relies on", "lots rely on")
        ),
        Warning::DoubtfulPair { lots } => format!(
            "{} a doubtful combination of fluid and vessel: review, notes in rules/compatibility.csv",
            counted(*lots, "lot relies on", "lots rely on")
        ),
        Warning::StepsUnknown { lots } => format!(
            "{} in another fluid now, and no steps are known from it: decide how, or add them to rules/transfers.csv",
            counted(*lots, "lot is", "lots are")
        ),
        Warning::StrengthNotKnown { lots } => format!(
            "{} of no known strength: measure it first",
            counted(*lots, "placed lot is in a fluid", "placed lots are in a fluid")
        ),
        Warning::FluidNotStated { lots } => format!(
            "present fluid is not stated for {}: assumed to be the fluid it will be kept in, at full strength",
            counted(*lots, "placed lot", "placed lots")
        ),
        Warning::Baths { lots, most_days } => format!(
            "{} through baths first, for up to {} days: steps and sources in rules/transfers.csv",
            counted(*lots, "lot goes", "lots go"),
            decimal(*most_days, 1)
        ),
        Warning::VeryLoose { lots } => very_loose(*lots, settings),
        Warning::TurnedIn { bodies } => turned_in(*bodies),
        Warning::TightCoil { lots } => tight_coil(*lots, settings),
        Warning::Leaning { bodies } => leaning(*bodies),
        Warning::TissueEstimated { lots } => {
            format!("the tissue of {} is estimated: neither measured nor weighed", counted(*lots, "lot", "lots"))
        }
        Warning::LabelTooLarge { vessels } => label_too_large(project, vessels),
        Warning::TakenAsBox { lots } => format!(
            "{}, as no outline is stated (`rounded` needs less room)",
            counted(*lots, "lot is taken as a box", "lots are taken as boxes")
        ),
    })
}

/// `P0031 takes 163.30 of the budget of 700.00: …`.
fn costly_lots(project: &Project, lots: &[(usize, Money)]) -> String {
    let number = |row: usize| project.collection.specimens.get(row).map_or("", |lot| lot.key.catalog_number.as_str());
    let takes = lots.iter().map(|(row, money)| format!("{} takes {}", number(*row), money.on_screen())).join(", ");
    let budget = project.settings.budget.unwrap_or_default().on_screen();
    let key = lots.first().and_then(|(row, _)| project.collection.specimens.get(*row));
    let key = key.map(|lot| lot.key.to_string()).unwrap_or_default();
    format!(
        "{takes} of the budget of {budget}, before any lot of a later priority: `rehouse why {key} --instead wait` says \
         how many others could be placed without it"
    )
}

fn shared_sizes(tanks: usize, sizes: usize, saved: Money, more_fluid: Millilitres) -> String {
    format!(
        "{tanks} tanks share {}, a step after the decision: cost {} less, fluid {} l more; the proof covers the plan \
         before that step",
        counted(sizes, "size", "sizes"),
        saved.on_screen(),
        more_fluid.litres()
    )
}

fn very_loose(lots: usize, settings: &Settings) -> String {
    format!(
        "{} very loose in the vessel, with less than {} % tissue: look for smaller vessels",
        counted(lots, "lot stands", "lots stand"),
        decimal(settings.very_loose_pct.0, 1)
    )
}

fn turned_in(bodies: usize) -> String {
    format!(
        "{} in end on and {} turned below the neck: try it before vessels are ordered; it must come out the same way",
        counted(bodies, "body goes", "bodies go"),
        if bodies == 1 { "is" } else { "are" }
    )
}

fn tight_coil(lots: usize, settings: &Settings) -> String {
    format!(
        "{} coiled with an open core of less than {} thicknesses: check that the body bends that far; never force it",
        counted(lots, "lot is", "lots are"),
        decimal(settings.coil_core.0, 1)
    )
}

fn leaning(bodies: usize) -> String {
    format!(
        "{} in the vessel and {} support",
        counted(bodies, "body leans", "bodies lean"),
        if bodies == 1 { "needs" } else { "need" }
    )
}

fn unpriced_tanks(tanks: usize, fluid: Millilitres, cost: Money) -> String {
    format!(
        "{}: ask for a price. Not in the cost, budget or litres ({} l of fluid for all fillings and baths, {} for it)",
        counted(tanks, "tank of unknown price", "tanks of unknown price"),
        fluid.litres(),
        cost.on_screen()
    )
}

fn label_too_large(project: &Project, vessels: &[VesselId]) -> String {
    let names = vessels.iter().map(|vessel| &project.stock.vessel(*vessel).id).join(", ");
    let [wide, high] = [project.settings.label_width, project.settings.label_height].map(|side| decimal(side.mm(), 1));
    format!("a label of {wide} × {high} mm is too large for these vessels: {names}")
}

/// A default price: `ethanol-70 4.00 per litre`.
pub fn default_price(project: &Project, price: &DefaultPrice) -> Cow<'static, str> {
    spoken(match price {
        DefaultPrice::Fluid(id) => {
            let fluid = project.rules.fluid(*id);
            format!("{} {} per litre", fluid.id, fluid.price.text())
        }
        DefaultPrice::Tank(prices) => format!("tank: {}", prices.iter().map(|price| cost_part(*price)).join(", ")),
    })
}
