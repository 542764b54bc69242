//! `rehouse mix`: a bench card for one fluid.

use super::{Ending, Failure, print};
use crate::cli::{Format, MixArguments};
use crate::diagnostics::nearest;
use crate::fluid::formaldehyde::{self, Dibasic, Monobasic, Stock};
use crate::fluid::mixing::Unmixable;
use crate::fluid::mountant::KAISERLING_III;
use crate::fluid::{Solute, Solution, ethanol, mixing};
use crate::report::mix::{self, Card};
use crate::units::{Temperature, Volume, decimal};

/// Prints a bench card.
pub fn run(arguments: &MixArguments) -> Result<Ending, Failure> {
    let card = card(arguments)?;
    match arguments.format {
        Format::Table => print(&mix::text(&card))?,
        Format::Json => print(&mix::json(&card))?,
    }
    Ok(Ending::Done)
}

fn card(arguments: &MixArguments) -> Result<Card, Failure> {
    let to = arguments.to.as_deref().map_or_else(String::new, |to| to.trim().to_lowercase());
    let nbf = arguments.nbf || to == "nbf-10";
    if !nbf && (arguments.monobasic.is_some() || arguments.dibasic.is_some()) {
        return refused("phosphates go into neutral buffered formalin only", "add --nbf, or leave the phosphates out");
    }
    if nbf || to == "kaiserling-3" || to.starts_with("formalin") {
        return recipe(arguments, &to, nbf);
    }
    let at = temperature(arguments)?;
    if let Some(litres) = &arguments.restore {
        return restoring(arguments, volume("--restore", litres)?, at);
    }
    let made = volume("--litres", arguments.litres.as_deref().unwrap_or_default())?;
    let Some(from) = &arguments.from else {
        solution("--to", &to)?;
        return refused(
            &format!("--to {to} needs a stock to make it from"),
            "name it with --from, such as --from ethanol-96",
        );
    };
    let stock = solution("--from", from)?;
    let wanted = wanted(&to, stock)?;
    if wanted.by_mass > stock.by_mass {
        return refused(
            &format!("{} is stronger than {}: water does not make it", wanted.id(), stock.id()),
            "name a stronger stock with --from, or --restore LITRES --measured PERCENT for a fluid to be strengthened",
        );
    }
    apart(stock, wanted)?;
    let water = Solution::water(stock.solute);
    let blend = mixing::blend(stock, water, wanted, made, at).map_err(unmixable)?;
    Ok(mix::dilution(stock, wanted, &blend, at))
}

/// Formalin, neutral buffered formalin, Kaiserling III: by parts, whatever the temperature.
fn recipe(arguments: &MixArguments, to: &str, nbf: bool) -> Result<Card, Failure> {
    let what = if nbf { "nbf-10" } else { to };
    if arguments.restore.is_some() {
        return refused(
            &format!("--restore is for alcohols and glycerol, not for {what}"),
            "make it up fresh with --litres",
        );
    }
    if arguments.temperature.is_some() {
        let cure = format!("leave it out: {what} is made by parts, at room temperature");
        return refused(&format!("--temperature has no meaning for {what}"), &cure);
    }
    if to == "kaiserling-3" && arguments.from.is_some() {
        return refused("--from has no meaning for kaiserling-3", "leave it out: glycerol and an acetate make it");
    }
    let stock = match &arguments.from {
        Some(from) => concentrate(from, what)?,
        None => Stock::usual(),
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
            None => refused(&format!("--to {to} cannot be made"), "write formalin-10 for one part of stock in ten"),
        },
        None => refused(
            &format!("--to {to} names no formalin that can be made"),
            "write formalin-10 for one part of stock in ten; 1 to 50 are possible",
        ),
    }
}

/// The stock formaldehyde that `--from` names.
fn concentrate(from: &str, what: &str) -> Result<Stock, Failure> {
    let percent = from.trim().to_lowercase().strip_prefix("formaldehyde-").and_then(|percent| percent.parse().ok());
    match percent.and_then(Stock::labelled) {
        Some(stock) => Ok(stock),
        None => refused(
            &format!("--from {from} makes no {what}"),
            "name stock formaldehyde as its label does: formaldehyde-37 (by mass, 30 to 38.5) or formaldehyde-40 (grams in \
             100 ml, the same liquid); or leave --from out for that",
        ),
    }
}

fn restoring(arguments: &MixArguments, full: Volume, at: Temperature) -> Result<Card, Failure> {
    let stock = solution("--from", arguments.from.as_deref().unwrap_or("ethanol-96"))?;
    let typed = arguments.measured.as_deref().unwrap_or_default();
    let measured = number("--measured", typed, "per cent")?;
    let Some(present) = of_strength(stock.solute, measured) else {
        return refused(&format!("--measured {typed} is no strength"), STRENGTHS);
    };
    let wanted = wanted(&arguments.to.as_deref().unwrap_or_default().trim().to_lowercase(), stock)?;
    apart(present, wanted)?;
    let stronger = wanted.by_mass > present.by_mass;
    if stronger && stock.strength_pct() < wanted.strength_pct() + LEAST_APART {
        return refused(
            &format!("{} does not bring anything to {}", stock.id(), wanted.id()),
            "name a stock stronger than what is wanted with --from",
        );
    }
    let added = if stronger { stock } else { Solution::water(stock.solute) };
    let blend = mixing::blend(present, added, wanted, full, at).map_err(unmixable)?;
    let roomy = mixing::add(present, full, added, wanted, at).map_err(unmixable)?;
    Ok(mix::restoring(present, added, &blend, &roomy, at))
}

/// What `--to` names: a fluid, or a strength of the stock's.
fn wanted(to: &str, stock: Solution) -> Result<Solution, Failure> {
    match to.parse::<f64>() {
        Ok(percent) => match of_strength(stock.solute, percent) {
            Some(wanted) => Ok(wanted),
            None => refused(&format!("--to {to} is no strength"), STRENGTHS),
        },
        Err(_) => {
            let wanted = solution("--to", to)?;
            if wanted.solute == stock.solute { Ok(wanted) } else { Err(different(stock.solute, wanted.solute)) }
        }
    }
}

/// What strengths can be asked for.
const STRENGTHS: &str = "write per cent, from 1 to 100";
/// Nearer than this, in per cent, a bench does not tell two strengths apart.
const LEAST_APART: f64 = 0.1;

fn of_strength(solute: Solute, percent: f64) -> Option<Solution> {
    Solution::of(solute, percent).filter(|_| percent >= 1.0)
}

fn apart(one: Solution, other: Solution) -> Result<(), Failure> {
    if (one.strength_pct() - other.strength_pct()).abs() < LEAST_APART {
        let what = format!("{} and {} are the same within a tenth of a per cent", one.id(), other.id());
        return refused(&what, "nothing is to be done: no bench measures less");
    }
    Ok(())
}

/// A solution by its id.
fn solution(flag: &str, typed: &str) -> Result<Solution, Failure> {
    let known = Solution::named(typed).filter(|solution| solution.strength_pct() > 1.0 - 1e-9);
    if let Some(solution) = known {
        return Ok(solution);
    }
    let names = ["ethanol-96", "ethanol-70", "denatured-96", "denatured-70", "isopropanol-50", "glycerol-70"];
    let made = ["formalin-10", "nbf-10", "kaiserling-3"];
    let word = typed.trim().to_lowercase();
    let cure = match Solute::NAMES.iter().find(|(name, _)| *name == word) {
        Some((name, _)) => format!("say how strong, such as {name}-70"),
        None if word == "unknown" => "nothing is made from a fluid that is not identified: test it first".to_owned(),
        None if word.contains("picric") || word.contains("bouin") => {
            "picric acid is explosive when dry and is not handled here: leave it shut and call a specialist".to_owned()
        }
        None => match nearest(&word, names.into_iter().chain(made)) {
            Some(near) if flag == "--to" || names.contains(&near) => format!("did you mean {near}?"),
            _ => {
                format!("write a fluid and its strength in per cent: {}; or make {}", names.join(", "), made.join(", "))
            }
        },
    };
    refused(&format!("{flag} {typed} is no fluid that can be mixed here"), &cure)
}

fn temperature(arguments: &MixArguments) -> Result<Temperature, Failure> {
    let Some(typed) = &arguments.temperature else { return Ok(Temperature::STANDARD) };
    let celsius: Option<f64> = typed.trim().parse().ok();
    match celsius.filter(|celsius| (0.0..=ethanol::WARMEST).contains(celsius)).and_then(Temperature::new) {
        Some(at) => Ok(at),
        None => refused(
            &format!("--temperature {typed}: no densities are known there"),
            &format!("write 0 to {} °C, with a point", ethanol::WARMEST),
        ),
    }
}

fn hydrate<T: Copy>(flag: &str, typed: Option<&str>, known: &[(&str, T)], usual: T) -> Result<T, Failure> {
    let Some(typed) = typed else { return Ok(usual) };
    match known.iter().find(|(name, _)| name.eq_ignore_ascii_case(typed.trim())) {
        Some((_, salt)) => Ok(*salt),
        None => {
            let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
            refused(&format!("{flag} {typed} is no hydrate of it"), &format!("write one of {}", names.join(", ")))
        }
    }
}

/// Most that is made at a time, in litres.
const MOST_LITRES: f64 = 100_000.0;

fn volume(flag: &str, typed: &str) -> Result<Volume, Failure> {
    let litres = number(flag, typed, "litres")?;
    match Volume::new(1000.0 * litres).filter(|_| (0.001..=MOST_LITRES).contains(&litres)) {
        Some(volume) => Ok(volume),
        None => refused(
            &format!("{flag} {typed} is no amount to make up"),
            &format!("write litres, from 0.001 to {}", decimal(MOST_LITRES, 0)),
        ),
    }
}

fn number(flag: &str, typed: &str, unit: &str) -> Result<f64, Failure> {
    match typed.trim().parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ => {
            refused(&format!("{flag} {typed} is not a number"), &format!("write {unit} as 12 or 2.5, without the unit"))
        }
    }
}

fn different(one: Solute, other: Solute) -> Failure {
    let cure = if [one, other].contains(&Solute::DenaturedAlcohol) {
        "denatured alcohol is never taken for ethanol: ask for the same fluid on both sides, such as denatured-70 from denatured-96"
    } else {
        "ask for the same fluid on both sides; from one to the other a specimen goes by a full change, not by mixing"
    };
    Failure(format!("{} and {} are different fluids\n    → {cure}", one.spoken(), other.spoken()))
}

fn unmixable(why: Unmixable) -> Failure {
    match why {
        Unmixable::DifferentKinds(one, other) => different(one, other),
        Unmixable::NoDensity(..) => Failure(format!(
            "{why}\n    → leave --temperature out and bring the liquids to 20 °C, or weigh them: masses hold at any temperature"
        )),
        Unmixable::NotBetween(..) | Unmixable::AlreadyFull => {
            Failure(format!("{why}\n    → name a stock stronger than what is wanted with --from"))
        }
    }
}

fn refused<T>(what: &str, cure: &str) -> Result<T, Failure> {
    Err(Failure(format!("{what}\n    → {cure}")))
}
