//! Cautions in words: short, and deferring to the safety data sheet, local code and licensed practice. Nothing here says
//! that anything is safe.

use std::borrow::Cow;

use itertools::Itertools;

use super::spoken;
use crate::fluid::cautions::FluidCaution;
use crate::plan::Plan;
use crate::plan::cautions::Caution;
use crate::rules::Rules;

/// The cautions of a plan, each once: two hazards may have the same words.
pub fn sentences(rules: &Rules, plan: &Plan) -> Vec<Cow<'static, str>> {
    plan.cautions.iter().map(|caution| sentence(rules, *caution)).unique().collect()
}

/// A caution of a plan. The words of a hazard are those of the table.
pub fn sentence(rules: &Rules, caution: Caution) -> Cow<'static, str> {
    let words = match caution {
        Caution::Fluid(caution) => return of_fluid(caution),
        Caution::Hazard(hazard) => return spoken(rules.hazards.get(hazard).words.clone()),
        Caution::UnknownFluid => {
            "Unknown fluid: until it is tested, treat it as flammable and as holding formaldehyde; mix it with \
             nothing."
        }
        Caution::Tanks => {
            "Tanks: planning figures only. Annealed glass under permanent load and sealant in these fluids have no \
             published long-term design value; a competent fabricator and local rules decide. Stand each in a tray \
             that holds 110 % of its fluid; know the weight before you lift."
        }
        Caution::Glass => "Glass breaks: lift vessels from below, never by the lid; two people where they are heavy.",
        Caution::WhoDecides => {
            "The safety data sheet of each fluid, local code and licensed practice decide; this plan does not."
        }
    };
    spoken(words)
}

/// A caution about a fluid, wherever it is handled.
pub fn of_fluid(caution: FluidCaution) -> Cow<'static, str> {
    spoken(match caution {
        FluidCaution::Formaldehyde => {
            "Formaldehyde: carcinogen and sensitiser. Exposure limits as read on 25 November 2026, check today's: US \
             0.75 ppm over 8 h, 2 ppm over 15 min (29 CFR 1910.1048); EU 0.3 ppm over 8 h, 0.6 ppm short term \
             (Directive 2019/983, annex); Great Britain 2 ppm (answer of 11 November 2021, UK Parliament HL3278). \
             Extraction, gloves, eye protection; never to a drain."
        }
        FluidCaution::FormaldehydeNeverWith => {
            "Formaldehyde, hydrochloric acid and bleach: never together. With the acid it forms chloromethyl ethers, \
             which cause cancer; with bleach, toxic gases (J. A. Kiernan, Histonet list, 6 July 2000). Stock \
             formaldehyde holds up to 15 % methanol (ASTM D2380, scope): toxic and flammable."
        }
        FluidCaution::Alcohol => {
            "Alcohol: flammable liquid and vapour, heavier than air. Keep ignition sources away, ventilate at low \
             level, and ask the fire authority about quantities and the size of glass vessels before you make up or \
             store it. Exposure limits as read on 26 November 2026, check today's: ethanol US 1000 ppm over 8 h (OSHA, \
             quoted in its sampling method for ethyl alcohol); isopropanol US 400 ppm over 8 h (OSHA, 54 FR 2332 of 19 \
             January 1989, quoted by NIOSH)."
        }
        FluidCaution::PouringAlcohol => {
            "Pouring alcohol: static can light the vapour. Bond and earth metal drums, cans and pumps (29 CFR \
             1910.106(e)(6)(ii)); pour slowly, without splashing, from small vessels; ask about plastic containers."
        }
        FluidCaution::Denaturants => "Denatured alcohol may hold methanol, which is toxic, and other denaturants.",
        FluidCaution::Glycerol => {
            "Glycerol takes up water from the air and its level rises: leave headspace, and check the level. Spills \
             make floors slippery."
        }
        // Source: the note in the table of fluids. Spills as for glycerol: common practice, no source.
        FluidCaution::PropyleneGlycol => {
            "Propylene glycol takes up water from the air and its level rises: leave headspace, and check the level. \
             Spills make floors slippery."
        }
        FluidCaution::Oil => "Clearing oils: combustible, toxic if swallowed, dissolve many plastics and sealants.",
        FluidCaution::AceticAcid => {
            "Glacial acetic acid: burns skin and eyes, and its vapour is flammable. Add the acid to the fluid, never \
             the fluid to the acid."
        }
        FluidCaution::Chloroform => {
            "Chloroform: may cause cancer, harmful vapour. Extraction; keep away from alkali and acetone; collect as \
             separate waste."
        }
        FluidCaution::Glutaraldehyde => {
            "Glutaraldehyde: toxic if breathed in, sensitiser, harms eyes. Extraction, gloves, eye protection; never \
             to a drain."
        }
        FluidCaution::Hydrosulphite => {
            "Sodium hydrosulphite: heats by itself when damp and may catch fire; gives off sulphur dioxide with acid. \
             Keep it dry."
        }
        FluidCaution::SulphuricAcid => {
            "Sulphuric acid: burns skin and eyes and heats as it mixes. Face shield, gloves, apron; add the acid slowly to the \
             fluid, never the reverse (common practice, no source)."
        }
        FluidCaution::AmmoniumSalts => "Ammonium salts: never near bleach (chloramine) or strong alkali (ammonia).",
    })
}

/// The caution for anything that is made up at a bench.
pub fn at_the_bench() -> Cow<'static, str> {
    spoken(
        "Gloves and eye protection; extraction where you pour; no flame, spark or hot plate nearby. Spent fluid and \
         rinses go to licensed disposal, never to a drain.",
    )
}

/// What the recipes of this program must not be used for.
pub fn not_handled() -> Cow<'static, str> {
    spoken(
        "Not for unidentified fluids: have them tested first. Not for anything that has held picric acid: leave it \
         closed and call a specialist.",
    )
}

/// Who decides, on the card of a mixture.
pub fn who_decides_beside_a_card() -> Cow<'static, str> {
    spoken("The safety data sheet of each fluid, local code and licensed practice decide; this card does not.")
}

/// Who decides, on the fire sheet.
pub fn who_decides_beside_the_fire_sheet() -> Cow<'static, str> {
    spoken(
        "The safety data sheet of each fluid, local code, the fire authority and licensed practice decide; this sheet does \
         not.",
    )
}
