//! Reads the values of the options of `mix`: fluids by any name that a survey may use, amounts, temperatures.

use super::{Failure, refused};
use crate::cli::MixArguments;
use crate::diagnostics::{Code, nearest};
use crate::fluid::formaldehyde::FormaldehydeStock;
use crate::fluid::mixing::Unmixable;
use crate::fluid::{Solute, Solution, ethanol};
use crate::intake::typed;
use crate::rules::hazards::{Action, Where};
use crate::rules::{Family, Rules};
use crate::units::{Temperature, Volume, decimal};

/// Id of a fluid found by any of its names; an unknown name in lower case.
pub(super) fn id(rules: &Rules, typed: &str) -> String {
    let typed = typed.trim();
    match rules.fluid_named(typed) {
        Some(id) => rules.fluid(id).id.clone(),
        None => typed.to_lowercase(),
    }
}

/// The formaldehyde stock that `--from` names.
pub(super) fn concentrate(from: &str, what: &str) -> Result<FormaldehydeStock, Failure> {
    let percent = from.trim().to_lowercase().strip_prefix("formaldehyde-").and_then(|percent| percent.parse().ok());
    match percent.and_then(FormaldehydeStock::labelled) {
        Some(stock) => Ok(stock),
        None => refused(
            &format!("{what} cannot be made with --from {from}"),
            "name the stock formaldehyde as on its label: formaldehyde-37 (by mass, 30 to 38.5) or formaldehyde-40 \
             (grams in 100 ml, the same liquid), or leave --from out for that one",
        ),
    }
}

/// The solution with this name or id.
pub(super) fn solution(rules: &Rules, flag: &str, typed: &str) -> Result<Solution, Failure> {
    let known = Solution::named(&id(rules, typed)).filter(|solution| solution.strength_pct() > 1.0 - 1e-9);
    match known {
        Some(solution) => Ok(solution),
        None => refused(&format!("{flag} {typed} is not a fluid that can be made up here"), &cure(rules, flag, typed)),
    }
}

/// Id of the stock that this fluid is usually made from; for a strength without a name, that of ethanol.
pub(super) fn usual_stock(rules: &Rules, flag: &str, typed: &str) -> Result<&'static str, Failure> {
    if typed.trim().parse::<f64>().is_ok() {
        return Ok("ethanol-96");
    }
    Ok(match solution(rules, flag, typed)?.solute {
        Solute::Ethanol => "ethanol-96",
        Solute::DenaturedAlcohol => "denatured-96",
        Solute::Isopropanol => "isopropanol-99",
        Solute::Glycerol => "glycerol-100",
    })
}

/// The stock that `--from` names, or the usual stock of the wanted fluid.
pub(super) fn stock(arguments: &MixArguments, rules: &Rules) -> Result<Solution, Failure> {
    let to = arguments.to.as_deref().unwrap_or_default();
    match &arguments.from {
        Some(from) => solution(rules, "--from", from),
        None => solution(rules, "--from", usual_stock(rules, "--to", to)?),
    }
}

/// Cure for a name that is not a solution that can be made up.
fn cure(rules: &Rules, flag: &str, name: &str) -> String {
    let word = name.trim().to_lowercase();
    if let Some((solute, _)) = Solute::NAMES.iter().find(|(solute, _)| *solute == word) {
        return format!("add the strength, such as {solute}-70");
    }
    let hazards = rules.hazards.named_in(&word, Where::Elsewhere);
    let held = hazards.iter().map(|id| rules.hazards.get(*id)).find(|hazard| hazard.action == Action::Held);
    if let Some(hazard) = held {
        return format!("it is not made up here. {}", hazard.words);
    }
    match typed::fluid(rules, name) {
        Ok(id) if rules.fluid(id).family == Family::Unknown => {
            return "nothing is made from an unidentified fluid: test it first".to_owned();
        }
        Ok(id) => return format!("{} is bought ready to use: no recipe is known here", rules.fluid(id).id),
        Err(fault) if [Code::StrengthMissing, Code::TwoStrengths].contains(&fault.code) => return fault.cure,
        Err(_) => {}
    }
    let meant = typed::fluids_meant(rules, name);
    let made = |id: &&str| flag == "--to" || Solution::named(id).is_some();
    let meant: Vec<&str> = meant.into_iter().filter(made).collect();
    if !meant.is_empty() {
        return format!("did you mean {}?", typed::either(&meant));
    }
    // An unlisted strength: only the spelling of the word is corrected.
    if let Some((solute, strength)) = word.rsplit_once('-')
        && let Some(near) = nearest(solute, Solute::NAMES.iter().map(|(solute, _)| *solute))
        && strength.parse::<f64>().is_ok_and(|strength| (1.0..=100.0).contains(&strength))
        && near != solute
    {
        return format!("did you mean {near}-{strength}?");
    }
    "write a fluid and its strength in per cent, such as ethanol-96, denatured-70, isopropanol-50 or glycerol-70, or a fluid \
     that is made by recipe, such as formalin-10, nbf-10, kaiserling-3 or faa"
        .to_owned()
}

pub(super) fn temperature(typed: Option<&str>) -> Result<Temperature, Failure> {
    let Some(typed) = typed else { return Ok(Temperature::STANDARD) };
    let celsius: Option<f64> = typed.trim().parse().ok();
    match celsius.filter(|celsius| (0.0..=ethanol::WARMEST).contains(celsius)).and_then(Temperature::new) {
        Some(at) => Ok(at),
        None => refused(
            &format!("--temperature {typed}: no densities are known at that temperature"),
            &format!("write 0 to {} °C, with a decimal point", ethanol::WARMEST),
        ),
    }
}

pub(super) fn hydrate<T: Copy>(flag: &str, typed: Option<&str>, known: &[(&str, T)], usual: T) -> Result<T, Failure> {
    let Some(typed) = typed else { return Ok(usual) };
    match known.iter().find(|(name, _)| name.eq_ignore_ascii_case(typed.trim())) {
        Some((_, salt)) => Ok(*salt),
        None => {
            let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
            refused(
                &format!("{flag} {typed} is not one of its hydrates"),
                &format!("write one of {}", names.join(", ")),
            )
        }
    }
}

/// Largest amount to make up, in litres.
const MOST_LITRES: f64 = 100_000.0;

pub(super) fn volume(flag: &str, typed: &str) -> Result<Volume, Failure> {
    let litres = number(flag, typed, "litres")?;
    match Volume::new(1000.0 * litres).filter(|_| (0.001..=MOST_LITRES).contains(&litres)) {
        Some(volume) => Ok(volume),
        None => refused(
            &format!("{flag} {typed} is not an amount that can be made up"),
            &format!("write litres, from 0.001 to {}", decimal(MOST_LITRES, 0)),
        ),
    }
}

pub(super) fn number(flag: &str, typed: &str, unit: &str) -> Result<f64, Failure> {
    match typed.trim().parse::<f64>() {
        Ok(number) if number.is_finite() => Ok(number),
        _ => {
            refused(&format!("{flag} {typed} is not a number"), &format!("write {unit} as 12 or 2.5, without the unit"))
        }
    }
}

pub(super) fn different(one: Solute, other: Solute) -> Failure {
    let cure = if [one, other].contains(&Solute::DenaturedAlcohol) {
        "denatured alcohol is never treated as ethanol: name the same fluid in --from and --to, such as denatured-70 \
         from denatured-96"
    } else {
        "name the same fluid in --from and --to; a specimen goes from one to the other by a full change of fluid, not by mixing"
    };
    Failure::cured(format!("{} and {} are different fluids", one.spoken(), other.spoken()), cure)
}

pub(super) fn unmixable(why: Unmixable) -> Failure {
    match why {
        Unmixable::DifferentKinds(one, other) => different(one, other),
        Unmixable::NoDensity(..) => Failure::cured(
            why.to_string(),
            "leave --temperature out and bring the liquids to 20 °C, or weigh them: masses are right at any temperature",
        ),
        Unmixable::NotBetween(..) | Unmixable::AlreadyFull => {
            Failure::cured(format!("{why}"), "with --from, name a stock stronger than the strength wanted")
        }
    }
}
