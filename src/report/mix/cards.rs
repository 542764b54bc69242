//! The bench card of each kind of mixture.

use std::borrow::Cow;

use serde_json::json;

use super::{Amount, Card, litres};
use crate::fluid::cautions::FluidCaution;
use crate::fluid::formaldehyde::{Buffered, Dibasic, FormaldehydeStock, Formalin, Monobasic};
use crate::fluid::mountant::Mixture;
use crate::fluid::parts::{Beware, PartsRecipe};
use crate::fluid::{Blend, LiquidPart, Solute, Solution, cautions};
use crate::units::{Mass, Temperature, Volume, decimal};
use crate::words::caution;

/// Card for a stock diluted with water, both measured out at the temperature `at`.
pub fn dilution(stock: Solution, wanted: Solution, blend: &Blend, at: Temperature) -> Card {
    let (from, to) = (stock.spoken(), wanted.spoken());
    let sum = blend.present.volume + blend.added.volume;
    let difference = blend.mixed.volume.less(blend.present.volume);
    let mut notes = vec![format!(
        "Mixing {}: the parts measure {} l, the mixture {} l. The water is not simply the difference ({} l).",
        change(sum, blend.mixed.volume),
        litres(sum),
        litres(blend.mixed.volume),
        litres(difference),
    )];
    notes.push(reading(wanted, at));
    notes.extend(of_its_own(stock.solute));
    notes.push(format!("Densities: {}.", stock.solute.source()));
    Card {
        title: format!("{} l of {to} from {from} and water, measured at {at}", short(blend.mixed.volume)),
        asked: vec![
            ("making", json!("dilution")),
            ("from", json!(stock.id())),
            ("to", json!(wanted.id())),
            ("temperature_c", json!(at.celsius())),
        ],
        amounts: vec![
            part("stock", "measure out", from, blend.present),
            part("water", "and", "water, distilled or deionised".to_owned(), blend.added),
            part("final", "makes", to, blend.mixed),
        ],
        figures: figures(wanted, at, sum, blend.mixed.volume),
        notes,
        order: order(stock.solute, sum),
        cautions: said(stock.solute),
    }
}

/// Card for a fluid that has become too weak (or too strong) in its vessel: part of it is taken out and stock (or water)
/// is poured in. `roomy` is the blend if nothing is taken out.
pub fn restoring(present: Solution, added: Solution, blend: &Blend, roomy: &Blend, at: Temperature) -> Card {
    let wanted = blend.solution;
    let full = blend.mixed.volume;
    let taken = full.less(blend.present.volume);
    let taken = LiquidPart { volume: taken, mass: roomy.present.mass.less(blend.present.mass) };
    let sum = blend.present.volume + blend.added.volume;
    let order = vec![
        format!("Take out {} l; keep it apart as spent fluid that may hold formaldehyde.", litres(taken.volume)),
        "Pour in the addition slowly, away from the specimen, and stir.".to_owned(),
        "Close it, let it stand until readings are steady, then write a new label with strength and date.".to_owned(),
    ];
    let mut figures = figures(wanted, at, sum, full);
    figures.push(("with_room_added_l", roomy.added.volume.ml() / 1000.0));
    figures.push(("with_room_final_l", roomy.mixed.volume.ml() / 1000.0));
    let name = if added == Solution::water(added.solute) { "water" } else { "stock" };
    Card {
        title: format!(
            "{} l of {} brought to {} with {}, measured at {at}",
            short(full),
            present.spoken(),
            wanted.spoken(),
            added.spoken()
        ),
        asked: vec![
            ("making", json!("restoring")),
            ("present", json!(present.id())),
            ("from", json!(added.id())),
            ("to", json!(wanted.id())),
            ("temperature_c", json!(at.celsius())),
        ],
        amounts: vec![
            part("taken_out", "take out", present.spoken(), taken),
            part("kept", "keep", present.spoken(), blend.present),
            part(name, "pour in", added.spoken(), blend.added),
            part("final", "makes", wanted.spoken(), blend.mixed),
        ],
        figures,
        notes: restoring_notes(added, wanted, roomy, at),
        order,
        cautions: said(added.solute),
    }
}

/// Notes on restoring: the amounts if the vessel has room, and what can falsify the reading.
fn restoring_notes(added: Solution, wanted: Solution, roomy: &Blend, at: Temperature) -> Vec<String> {
    let mut notes = vec![
        format!(
            "If the vessel has room, take nothing out: {} l of {} added to all of it makes {} l of {}.",
            litres(roomy.added.volume),
            added.spoken(),
            litres(roomy.mixed.volume),
            wanted.spoken()
        ),
        "The litres are of fluid, without the specimen. The fluid in the tissue still has the old strength and mixes \
         in: measure again after a few weeks."
            .to_owned(),
        format!(
            "It is assumed to be {}, like the stock; density does not tell one alcohol from another. If it is a \
             different one, name its own stock with --from. Borax or glycerol in it falsifies a reading (A. J. van \
             Dam, NHCOLL-L list, 29 May 2020).",
            added.solute.spoken()
        ),
        reading(wanted, at),
    ];
    notes.extend(of_its_own(added.solute));
    notes.push(format!("Densities: {}.", added.solute.source()));
    notes
}

/// Card for plain formalin with `percent` parts of stock in a hundred.
pub fn formalin(from: FormaldehydeStock, percent: f64, made: &Formalin) -> Card {
    let id = format!("formalin-{}", decimal(percent, 2));
    Card {
        title: format!("{} l of {id} from stock formaldehyde and water", short(made.made)),
        asked: vec![("making", json!("formalin")), ("to", json!(id))],
        amounts: vec![
            volume("stock", "measure out", concentrate(from), made.stock),
            volume("water", "and about", "water, to make it up".to_owned(), made.water),
            volume("final", "makes", id, made.made),
        ],
        figures: vec![("formaldehyde_g_a_litre", made.grams_a_litre)],
        notes: vec![
            formaldehyde_in_it(from, made),
            "It is not buffered and turns acid, which decalcifies bone: use --nbf where that matters.".to_owned(),
        ],
        order: vec![
            "Under extraction, pour the stock into most of the water.".to_owned(),
            "Make up to the volume with water, stir, close.".to_owned(),
            LABEL.to_owned(),
        ],
        cautions: of_formaldehyde(),
    }
}

/// Card for neutral buffered formalin, made with these hydrates of the phosphates.
pub fn buffered(from: FormaldehydeStock, made: &Buffered, monobasic: Monobasic, dibasic: Dibasic) -> Card {
    let Formalin { stock, water, made: litres, .. } = made.formalin;
    Card {
        title: format!("{} l of nbf-10, neutral buffered formalin", short(litres)),
        asked: vec![
            ("making", json!("nbf")),
            ("to", json!("nbf-10")),
            ("monobasic", json!(monobasic.formula())),
            ("dibasic", json!(dibasic.formula())),
        ],
        amounts: vec![
            mass("monobasic", "weigh", format!("sodium dihydrogen phosphate, {}", monobasic.formula()), made.monobasic),
            mass("dibasic", "weigh", format!("disodium hydrogen phosphate, {}", dibasic.formula()), made.dibasic),
            volume("stock", "measure out", concentrate(from), stock),
            volume("water", "and about", "water, distilled or deionised, to make it up".to_owned(), water),
            volume("final", "makes", "nbf-10".to_owned(), litres),
        ],
        figures: vec![
            ("formaldehyde_g_a_litre", made.formalin.grams_a_litre),
            ("phosphate_mol_a_litre", made.phosphate_molar),
        ],
        notes: vec![
            formaldehyde_in_it(from, &made.formalin),
            format!(
                "Phosphate {} mol per litre. Read the formula on each label: the hydrates of one salt differ up to two \
                 and a half times in mass.",
                decimal(made.phosphate_molar, 4)
            ),
            "Recipe: R. McAndrews, Specimen preservation procedure, Boston Aquarium Society (4.0 g of NaH2PO4·H2O and \
             6.5 g of Na2HPO4 per litre); other hydrates mole for mole."
                .to_owned(),
        ],
        order: vec![
            "Dissolve both phosphates in most of the water; use warm water if they dissolve slowly.".to_owned(),
            "Let it cool; under extraction, add the stock.".to_owned(),
            "Make up to the volume with water and stir. The pH should be about 7.0: measure it.".to_owned(),
            LABEL.to_owned(),
        ],
        cautions: of_formaldehyde(),
    }
}

/// Card for Kaiserling III by one of its recipes.
pub fn mountant(mixture: &Mixture, made: Volume) -> Card {
    let amounts = mixture.amounts(made);
    let mut lines = vec![
        volume("glycerol", "measure out", "glycerol".to_owned(), amounts.glycerol),
        mass("salt", "weigh", mixture.salt.to_owned(), amounts.salt),
    ];
    if amounts.stock > Volume::ZERO {
        lines.push(volume("stock", "measure out", "stock formaldehyde".to_owned(), amounts.stock));
    }
    match amounts.water {
        Some(water) => lines.push(volume("water", "and", "water, distilled or deionised".to_owned(), water)),
        None => lines.push(volume("made_up_to", "make up to", "with water, distilled or deionised".to_owned(), made)),
    }
    lines.push(volume("final", "makes", "kaiserling-3".to_owned(), amounts.made));
    Card {
        title: format!("{} l of kaiserling-3 ({})", short(made), mixture.name),
        asked: vec![("making", json!("mountant")), ("to", json!("kaiserling-3"))],
        amounts: lines,
        figures: Vec::new(),
        notes: vec![
            format!(
                "Recipe: {}. Other mixtures go by the same name: keep to the one the specimen is in.",
                mixture.source
            ),
            "The recipe does not say which hydrate of the acetate is meant: write on the label which one you used."
                .to_owned(),
            "A crystal of thymol or a little formalin prevents mould.".to_owned(),
        ],
        order: vec![
            "Dissolve the acetate in about half the water.".to_owned(),
            "Stir in the glycerol slowly, so that no air is trapped.".to_owned(),
            "Make up with water, stir, let the bubbles rise.".to_owned(),
            LABEL.to_owned(),
        ],
        cautions: said(Solute::Glycerol),
    }
}

/// Card for a fluid of several parts.
pub fn of_parts(recipe: &PartsRecipe, made: Volume) -> Card {
    let mut amounts: Vec<Amount> = Vec::new();
    for part in recipe.amounts(made) {
        let doing = match (amounts.is_empty(), part.volume.is_some()) {
            (true, true) => "measure out",
            (false, true) => "and",
            (_, false) => "weigh",
        };
        amounts.push(Amount {
            name: part.name,
            doing,
            what: part.what.to_owned(),
            volume: part.volume,
            mass: part.mass,
        });
    }
    if let Some(with) = recipe.made_up_with {
        amounts.push(volume("made_up_to", "make up to", format!("with {with}"), made));
    }
    amounts.push(volume("final", "makes", recipe.id.to_owned(), made));
    let mut notes = vec![format!("Recipe: {}.", recipe.source)];
    notes.extend(recipe.notes.iter().map(|note| (*note).to_owned()));
    let steps = recipe.order.iter().copied().chain([LABEL]);
    Card {
        title: format!("{} l of {}", short(made), recipe.id),
        asked: vec![("making", json!("recipe")), ("to", json!(recipe.id))],
        amounts,
        figures: Vec::new(),
        notes,
        order: steps.map(str::to_owned).collect(),
        cautions: hazards(recipe.hazards),
    }
}

fn hazards(of: &[Beware]) -> Vec<String> {
    with_those_of_any_card(of.iter().flat_map(|part| cautions::of(*part)))
}

fn with_those_of_any_card<'a>(cautions: impl Iterator<Item = &'a FluidCaution>) -> Vec<String> {
    let always = [caution::at_the_bench(), caution::not_handled(), caution::who_decides_beside_a_card()];
    cautions.map(|one| caution::of_fluid(*one)).chain(always).map(Cow::into_owned).collect()
}

pub(super) const LABEL: &str = "Label it: fluid, strength, date, who made it.";

pub(super) fn part(name: &'static str, doing: &'static str, what: String, part: LiquidPart) -> Amount {
    Amount { name, doing, what, volume: Some(part.volume), mass: Some(part.mass) }
}

fn volume(name: &'static str, doing: &'static str, what: String, volume: Volume) -> Amount {
    Amount { name, doing, what, volume: Some(volume), mass: None }
}

fn mass(name: &'static str, doing: &'static str, what: String, mass: Mass) -> Amount {
    Amount { name, doing, what, volume: None, mass: Some(mass) }
}

/// Litres as they were asked for: `20`, `0.25`.
pub(super) fn short(volume: Volume) -> String {
    decimal(volume.ml() / 1000.0, 4)
}

/// Change of volume by mixing: `takes 0.530 l (2.6 %)`.
fn change(sum: Volume, mixed: Volume) -> String {
    let of_sum = |volume: Volume| decimal(100.0 * volume.ml() / sum.ml(), 2);
    if mixed <= sum {
        let gone = sum.less(mixed);
        format!("takes {} l ({} %)", litres(gone), of_sum(gone))
    } else {
        let come = mixed.less(sum);
        format!("gives {} l ({} %) more", litres(come), of_sum(come))
    }
}

/// Figures to check the mixture by: its other strength (by volume or by mass) and its density.
pub(super) fn reading(made: Solution, at: Temperature) -> String {
    let kind = if made.solute.stated_by_mass() { "by volume" } else { "by mass" };
    let other = if made.solute.stated_by_mass() { made.by_volume().percent() } else { made.by_mass.percent() };
    let density = made.density(at).unwrap_or_else(|| made.standard_density());
    let in_air = if made.solute.is_alcohol() { " in vacuo; a reading in air is about 0.0011 lower" } else { "" };
    format!(
        "{} is {} % {kind} and weighs {} g/ml at {at}{in_air}.",
        made.spoken(),
        decimal(other, 2),
        decimal(density.g_ml(), 4)
    )
}

fn figures(wanted: Solution, at: Temperature, sum: Volume, mixed: Volume) -> Vec<(&'static str, f64)> {
    let density = wanted.density(at).unwrap_or_else(|| wanted.standard_density());
    vec![
        ("contraction_l", (sum.ml() - mixed.ml()) / 1000.0),
        ("contraction_pct", 100.0 * (1.0 - mixed.ml() / sum.ml())),
        ("final_by_mass_pct", wanted.by_mass.percent()),
        ("final_by_volume_pct", wanted.by_volume().percent()),
        ("final_density_g_ml", density.g_ml()),
    ]
}

/// A note on the solute itself, if there is one.
pub(super) fn of_its_own(solute: Solute) -> Option<String> {
    match solute {
        Solute::DenaturedAlcohol => Some(
            "Denatured alcohol is a fluid of its own. No density table for a denaturant is known here: the densities \
             are those of ethanol and water. Write the denaturant on the label."
                .to_owned(),
        ),
        Solute::Isopropanol => Some("The table is good to about 0.001 g/ml.".to_owned()),
        Solute::Ethanol | Solute::Glycerol => None,
    }
}

fn order(solute: Solute, sum: Volume) -> Vec<String> {
    let vessel = format!("Bring both liquids to the temperature stated; use a vessel that holds {} l.", litres(sum));
    let pour = if solute.is_alcohol() {
        "Pour the stock first, then the water, slowly, and stir (common practice, no source)."
    } else {
        "Pour the glycerol into the water slowly, so that no air is trapped, and stir until no streaks are left; by \
         mass is easier than by volume."
    };
    let stand = if solute.is_alcohol() {
        "It warms as it mixes and gives off bubbles: cover it and let it stand about 24 h before use (R. Waller and J. \
         Simmons, NHCOLL-L list, 7 September 2022; S. Moore, NHCOLL-L list, 23 January 2025)."
    } else {
        "Let the bubbles rise before use."
    };
    let measure = "Measure its density; correct it if it is off. Label it: fluid, strength, date, who made it.";
    vec![vessel, pour.to_owned(), stand.to_owned(), measure.to_owned()]
}

/// The stock of formaldehyde with its strength, as on the bottle.
fn concentrate(stock: FormaldehydeStock) -> String {
    let sold = if stock == FormaldehydeStock::usual() { " (sold as 37 % or as 40 %)" } else { "" };
    format!("stock formaldehyde, {} % by mass{sold}", decimal(stock.by_mass.percent(), 2))
}

fn formaldehyde_in_it(stock: FormaldehydeStock, made: &Formalin) -> String {
    format!(
        "Holds about {} g of formaldehyde per litre, from stock of {} % by mass, taken at 1.083 g/ml (British \
         Pharmacopoeia, Formaldehyde solution: weight per ml about 1.08 g).",
        decimal(made.grams_a_litre, 1),
        decimal(stock.by_mass.percent(), 2)
    )
}

pub(super) fn said(solute: Solute) -> Vec<String> {
    with_those_of_any_card(cautions::of_solute(solute).iter())
}

fn of_formaldehyde() -> Vec<String> {
    hazards(&[Beware::Formaldehyde])
}
