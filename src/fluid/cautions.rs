//! What is said of a fluid wherever it is handled: short, and deferring to the safety data sheet and local code.

use super::parts::Beware;

/// Of formalin and all that holds formaldehyde.
pub const FORMALDEHYDE: &str = "Formaldehyde: carcinogen and sensitiser. Exposure limits as read on 25 November \
    2026, check today's: US 0.75 ppm \
     over 8 h, 2 ppm over 15 min (29 CFR 1910.1048); EU 0.3 ppm over 8 h, 0.6 ppm short term (Directive 2019/983, \
     annex); Great Britain 2 ppm (answer of 11 November 2021, UK Parliament HL3278). Extraction, gloves, eye \
     protection; never to a drain.";

/// What must never meet formaldehyde, and what its stock holds beside it.
pub const FORMALDEHYDE_NEVER_WITH: &str = "Formaldehyde, hydrochloric acid and bleach: never together. With the acid \
    it forms chloromethyl ethers, which cause \
     cancer; with bleach, toxic gases (J. A. Kiernan, Histonet list, 6 July 2000). Stock formaldehyde holds 10 to 15 % \
     methanol: toxic and flammable.";

/// Of ethanol, denatured alcohol and isopropanol.
pub const ALCOHOL: &str = "Alcohol: flammable liquid and vapour, heavier than air. Keep ignition sources away, \
    ventilate at low level, and ask the \
     fire authority about quantities and the size of glass vessels before you make up or store it. \
     Exposure limits as read on 26 November 2026, check today's: ethanol US 1000 ppm over 8 h (OSHA, quoted in its \
     sampling method for ethyl alcohol); isopropanol US 400 ppm over 8 h (OSHA, 54 FR 2332 of 19 January 1989, quoted \
     by NIOSH).";

/// Of alcohol that is poured.
pub const POURING_ALCOHOL: &str = "Pouring alcohol: static can light the vapour. Bond and earth metal drums, cans \
    and pumps (29 CFR 1910.106(e)(6)(ii)); \
     pour slowly, without splashing, from small vessels; ask about plastic containers.";

/// Of glycerol and mixtures with it.
pub const GLYCEROL: &str = "Glycerol takes up water from the air and its level rises: leave headspace, and check the \
    level. Spills make floors slippery.";

/// Of propylene glycol (its note in the table of fluids; spills, as of glycerol: common practice, no source).
pub const PROPYLENE_GLYCOL: &str = "Propylene glycol takes up water from the air and its level rises: leave headspace, \
    and check the level. Spills make floors slippery.";

/// Of clearing oils.
pub const OIL: &str = "Clearing oils: combustible, toxic if swallowed, dissolve many plastics and sealants.";

/// Of one of the parts a fluid is made of.
pub fn of(part: Beware) -> &'static [&'static str] {
    match part {
        Beware::Formaldehyde => &[FORMALDEHYDE, FORMALDEHYDE_NEVER_WITH],
        Beware::Alcohol => &[ALCOHOL, POURING_ALCOHOL],
        Beware::Glycerol => &[GLYCEROL],
        Beware::PropyleneGlycol => &[PROPYLENE_GLYCOL],
        Beware::Acid => &[
            "Glacial acetic acid: burns skin and eyes, and its vapour is flammable. Add the acid to the fluid, never \
             the fluid to the acid.",
        ],
        Beware::Chloroform => &[
            "Chloroform: may cause cancer, harmful vapour. Extraction; keep away from alkali and acetone; collect as \
             separate waste.",
        ],
        Beware::Glutaraldehyde => &[
            "Glutaraldehyde: toxic if breathed in, sensitiser, harms eyes. Extraction, gloves, eye protection; never \
             to a drain.",
        ],
        Beware::Hydrosulphite => &[
            "Sodium hydrosulphite: heats by itself when damp and may catch fire; gives off sulphur dioxide with acid. \
             Keep it dry.",
        ],
        Beware::Ammonium => &["Ammonium salts: never near bleach (chloramine) or strong alkali (ammonia)."],
    }
}

/// Of anything that is made up at a bench.
pub const AT_THE_BENCH: &str = "Gloves and eye protection; extraction where you pour; no flame, spark or hot plate \
    nearby. Spent fluid and rinses go to licensed disposal, never to a drain.";

/// What is not made up here.
pub const NOT_HANDLED: &str = "Not for unidentified fluids: have them tested first. Not for anything that has held \
    picric acid: leave it closed and call a specialist.";

/// Who decides.
pub const WHO_DECIDES: &str =
    "The safety data sheet of each fluid, local code and licensed practice decide; this card does not.";
