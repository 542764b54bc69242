//! `rehouse mix`: prints the bench card of one fluid.

mod names;
mod top_up;

use self::names::{concentrate, different, hydrate, number, solution, temperature, unmixable, volume};
use super::{Ending, Failure, print, print_text};
use crate::cli::{Format, MixArguments};
use crate::fluid::formaldehyde::{self, Dibasic, FormaldehydeStock, Monobasic};
use crate::fluid::mountant::KAISERLING_III;
use crate::fluid::parts::PartsRecipe;
use crate::fluid::{Solute, Solution, mixing};
use crate::intake;
use crate::report::mix::{self, Card};
use crate::rules::Rules;
use crate::units::{Temperature, Volume};

/// Prints a bench card.
pub fn run(arguments: &MixArguments) -> Result<Ending, Failure> {
    let card = card(arguments)?;
    match arguments.format {
        Format::Table => print_text(&mix::text(&card))?,
        Format::Json => print(&mix::json(&card))?,
    }
    Ok(Ending::Done)
}

fn card(arguments: &MixArguments) -> Result<Card, Failure> {
    let rules = &intake::default_rules();
    let to = arguments.to.as_deref().map_or_else(String::new, |to| names::id(rules, to));
    let nbf = arguments.nbf || to == "nbf-10";
    if !nbf && (arguments.monobasic.is_some() || arguments.dibasic.is_some()) {
        return refused(
            "phosphates are used only in neutral buffered formalin",
            "add --nbf, or leave the phosphates out",
        );
    }
    if arguments.measured.is_some() && arguments.restore.is_none() && arguments.top_up.is_none() {
        let cure = "add --restore LITRES or --top-up LITRES --left LITRES, or leave it out";
        return refused("--measured gives the strength of a fluid to be restored or topped up", cure);
    }
    let parts = PartsRecipe::of(&to);
    if nbf || to == "kaiserling-3" || (to.starts_with("formalin-") && to != "formalin-unmeasured") || parts.is_some() {
        return recipe(arguments, &to, nbf, parts);
    }
    let at = temperature(arguments.temperature.as_deref())?;
    if let Some(full) = &arguments.top_up {
        return top_up::card(arguments, rules, &to, volume("--top-up", full)?, at);
    }
    if let Some(litres) = &arguments.restore {
        return restoring(arguments, rules, &to, volume("--restore", litres)?, at);
    }
    let made = volume("--litres", arguments.litres.as_deref().unwrap_or_default())?;
    let Some(from) = &arguments.from else {
        let stock = names::usual_stock(rules, "--to", arguments.to.as_deref().unwrap_or_default())?;
        return without_stock(arguments, rules, &to, solution(rules, "--from", stock)?);
    };
    let stock = solution(rules, "--from", from)?;
    let wanted = wanted(arguments, rules, &to, stock)?;
    if wanted.by_mass > stock.by_mass {
        return refused(
            &format!("{} is stronger than {}: it cannot be made by adding water", wanted.id(), stock.id()),
            "name a stronger stock with --from, or use --restore LITRES --measured PERCENT to strengthen a fluid",
        );
    }
    apart(stock, wanted)?;
    let water = Solution::water(stock.solute);
    let blend = mixing::blend(stock, water, wanted, made, at).map_err(unmixable)?;
    Ok(mix::dilution(stock, wanted, &blend, at))
}

/// The error if no stock was named. It names the usual stock if that is stronger than the fluid to be made.
fn without_stock(arguments: &MixArguments, rules: &Rules, to: &str, usual: Solution) -> Result<Card, Failure> {
    let wanted = wanted(arguments, rules, to, usual)?;
    let makes = |stock: Solution| stock.strength_pct() >= wanted.strength_pct() + LEAST_APART;
    let absolute = Solution::of(Solute::Ethanol, 100.0).filter(|stock| stock.solute == wanted.solute && makes(*stock));
    match (makes(usual), absolute) {
        (true, _) => refused(
            &format!("--to {to} needs a stock to make it from"),
            &format!("name it with --from, such as --from {}", usual.id()),
        ),
        (false, Some(absolute)) => refused(
            &format!("{} is bought at this strength; the usual stock is no stronger", wanted.id()),
            &format!("buy it, or make it from a stronger stock with --from {}", absolute.id()),
        ),
        (false, None) => refused(
            &format!("{} is bought at this strength; it cannot be made by adding water to a stock", wanted.id()),
            "buy it ready to use",
        ),
    }
}

/// The card of a fluid made by recipe: formalin, neutral buffered formalin, Kaiserling III and fluids of several parts.
/// Temperature does not matter.
fn recipe(arguments: &MixArguments, to: &str, nbf: bool, parts: Option<&PartsRecipe>) -> Result<Card, Failure> {
    let what = if nbf { "nbf-10" } else { to };
    for (option, given) in [("--restore", &arguments.restore), ("--top-up", &arguments.top_up)] {
        if given.is_some() {
            let says = format!("{option} is for alcohols and glycerol, not for {what}");
            return refused(&says, "make it up fresh with --litres");
        }
    }
    if arguments.temperature.is_some() {
        let cure = format!("leave it out: {what} is made up by parts, at room temperature");
        return refused(&format!("--temperature does not apply to {what}"), &cure);
    }
    if to == "kaiserling-3" && arguments.from.is_some() {
        return refused(
            "--from does not apply to kaiserling-3",
            "leave it out: it is made from glycerol and an acetate",
        );
    }
    if let Some(parts) = parts {
        if arguments.from.is_some() {
            let cure = "leave it out: the recipe sets the ingredients";
            return refused(&format!("--from does not apply to {what}"), cure);
        }
        let made = volume("--litres", arguments.litres.as_deref().unwrap_or_default())?;
        return Ok(mix::of_parts(parts, made));
    }
    let stock = match &arguments.from {
        Some(from) => concentrate(from, what)?,
        None => FormaldehydeStock::usual(),
    };
    let made = volume("--litres", arguments.litres.as_deref().unwrap_or_default())?;
    if nbf {
        let monobasic =
            hydrate("--monobasic", arguments.monobasic.as_deref(), &Monobasic::NAMES, Monobasic::Monohydrate)?;
        let dibasic = hydrate("--dibasic", arguments.dibasic.as_deref(), &Dibasic::NAMES, Dibasic::Anhydrous)?;
        return Ok(mix::buffered(stock, &formaldehyde::buffered(stock, made, monobasic, dibasic), monobasic, dibasic));
    }
    if to == "kaiserling-3" {
        return Ok(mix::mountant(&KAISERLING_III[0], made));
    }
    let percent = to.strip_prefix("formalin-").and_then(|percent| percent.parse::<f64>().ok());
    match percent.filter(|percent| (1.0..=50.0).contains(percent)) {
        Some(percent) => match formaldehyde::formalin(stock, percent, made) {
            Some(parts) => Ok(mix::formalin(stock, percent, &parts)),
            None => refused(&format!("--to {to} cannot be made up"), "write formalin-10 for one part of stock in ten"),
        },
        None => refused(
            &format!("--to {to} is not a formalin that can be made up"),
            "write formalin-10 for one part of stock in ten; 1 to 50 are possible",
        ),
    }
}

fn restoring(
    arguments: &MixArguments,
    rules: &Rules,
    to: &str,
    full: Volume,
    at: Temperature,
) -> Result<Card, Failure> {
    let stock = names::stock(arguments, rules)?;
    let present = measured(stock.solute, arguments.measured.as_deref().unwrap_or_default())?;
    let wanted = wanted(arguments, rules, to, stock)?;
    apart(present, wanted)?;
    let stronger = wanted.by_mass > present.by_mass;
    if stronger && stock.strength_pct() < wanted.strength_pct() + LEAST_APART {
        return refused(
            &format!("{} cannot strengthen a fluid to {}", stock.id(), wanted.id()),
            "with --from, name a stock stronger than the strength wanted",
        );
    }
    let added = if stronger { stock } else { Solution::water(stock.solute) };
    let blend = mixing::blend(present, added, wanted, full, at).map_err(unmixable)?;
    let roomy = mixing::add(present, full, added, wanted, at).map_err(unmixable)?;
    Ok(mix::restoring(present, added, &blend, &roomy, at))
}

/// The solution of the strength that `--measured` states.
fn measured(solute: Solute, typed: &str) -> Result<Solution, Failure> {
    match of_strength(solute, number("--measured", typed, "per cent")?) {
        Some(present) => Ok(present),
        None => refused(&format!("--measured {typed} is not a strength"), STRENGTHS),
    }
}

/// The solution that `--to` names: a fluid, or a strength of the stock's solute.
fn wanted(arguments: &MixArguments, rules: &Rules, to: &str, stock: Solution) -> Result<Solution, Failure> {
    match to.parse::<f64>() {
        Ok(percent) => match of_strength(stock.solute, percent) {
            Some(wanted) => Ok(wanted),
            None => refused(&format!("--to {to} is not a strength"), STRENGTHS),
        },
        Err(_) => {
            let wanted = solution(rules, "--to", arguments.to.as_deref().unwrap_or_default())?;
            if wanted.solute == stock.solute { Ok(wanted) } else { Err(different(stock.solute, wanted.solute)) }
        }
    }
}

/// Cure for a strength that is not accepted.
const STRENGTHS: &str = "write per cent, from 1 to 100";
/// Smallest difference of two strengths, in per cent, that can be told apart at the bench.
const LEAST_APART: f64 = 0.1;

fn of_strength(solute: Solute, percent: f64) -> Option<Solution> {
    Solution::of(solute, percent).filter(|_| percent >= 1.0)
}

fn apart(one: Solution, other: Solution) -> Result<(), Failure> {
    if (one.strength_pct() - other.strength_pct()).abs() < LEAST_APART {
        let what = format!("{} and {} are less than a tenth of a per cent apart", one.id(), other.id());
        return refused(&what, "nothing needs doing: the difference is too small to measure at the bench");
    }
    Ok(())
}

fn refused<T>(what: &str, cure: &str) -> Result<T, Failure> {
    Err(Failure::cured(what, cure))
}
