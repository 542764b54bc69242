//! `mix`: bench cards, and their figures against published ones.

use insta::assert_snapshot;
use rehouse::fluid::cautions::FluidCaution;
use rehouse::words::caution;
use serde_json::Value;

use super::{Bench, head};

/// The figures of a bench card.
fn figures(command: &str) -> impl Fn(&str) -> f64 + use<> {
    let screen = Bench::new().screen(&format!("mix {command} --format json"));
    let (start, end) = (screen.find('{').expect("an object"), screen.rfind('}').expect("an object"));
    let card: Value = serde_json::from_str(&screen[start..=end]).expect("JSON");
    move |name| card[name].as_f64().unwrap_or_else(|| panic!("no {name} in {card}"))
}

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted} within {within}");
}

#[test]
fn the_card_of_a_dilution() {
    assert_snapshot!(Bench::new().screen("mix --from ethanol-96 --to ethanol-70 --litres 20"), @r#"
    $ rehouse mix --from ethanol-96 --to ethanol-70 --litres 20
    20 l of ethanol-70 from ethanol-96 and water, measured at 20 °C
                    litres       g
      measure out   14.583   11775   ethanol-96
      and            5.947    5936   water, distilled or deionised
      makes         20.000   17711   ethanol-70

      Mixing takes 0.530 l (2.58 %): the parts measure 20.530 l, the mixture 20.000 l. The water is not simply the
      difference (5.417 l).
      ethanol-70 is 62.39 % by mass and weighs 0.8856 g/ml at 20 °C in vacuo; a reading in air is about 0.0011
      lower.
      Densities: OIML R 22, International alcoholometric tables, 1975, general formula.

    In this order
      1. Bring both liquids to the temperature stated; use a vessel that holds 20.530 l.
      2. Pour the stock first, then the water, slowly, and stir (common practice, no source).
      3. It warms as it mixes and gives off bubbles: cover it and let it stand about 24 h before use (R. Waller
      and J. Simmons, NHCOLL-L list, 7 September 2022; S. Moore, NHCOLL-L list, 23 January 2025).
      4. Measure its density; correct it if it is off. Label it: fluid, strength, date, who made it.

    Cautions
      Alcohol: flammable liquid and vapour, heavier than air. Keep ignition sources away, ventilate at low level,
      and ask the fire authority about quantities and the size of glass vessels before you make up or store it.
      Exposure limits as read on 26 November 2026, check today's: ethanol US 1000 ppm over 8 h (OSHA, quoted in
      its sampling method for ethyl alcohol); isopropanol US 400 ppm over 8 h (OSHA, 54 FR 2332 of 19 January
      1989, quoted by NIOSH).
      Pouring alcohol: static can light the vapour. Bond and earth metal drums, cans and pumps (29 CFR
      1910.106(e)(6)(ii)); pour slowly, without splashing, from small vessels; ask about plastic containers.
      Gloves and eye protection; extraction where you pour; no flame, spark or hot plate nearby. Spent fluid and
      rinses go to licensed disposal, never to a drain.
      Not for unidentified fluids: have them tested first. Not for anything that has held picric acid: leave it
      closed and call a specialist.
      The safety data sheet of each fluid, local code and licensed practice decide; this card does not.
    --- exit code 0
    "#);
}

#[test]
fn the_json_of_a_dilution() {
    assert_snapshot!(
        Bench::new().screen("mix --from denatured-96 --to 70 --litres 20 --temperature 15 --format json"), @r#"
    $ rehouse mix --from denatured-96 --to 70 --litres 20 --temperature 15 --format json
    {
      "making": "dilution",
      "from": "denatured-96",
      "to": "denatured-70",
      "temperature_c": 15.0,
      "stock_l": 14.573454,
      "stock_g": 11829.769954,
      "water_l": 5.969438,
      "water_g": 5964.039286,
      "final_l": 20.0,
      "final_g": 17793.80924,
      "contraction_l": 0.542892,
      "contraction_pct": 2.642723,
      "final_by_mass_pct": 62.386109,
      "final_by_volume_pct": 70.0,
      "final_density_g_ml": 0.88969,
      "notes": [
        "Mixing takes 0.543 l (2.64 %): the parts measure 20.543 l, the mixture 20.000 l. The water is not simply the difference (5.427 l).",
        "denatured-70 is 62.39 % by mass and weighs 0.8897 g/ml at 15 °C in vacuo; a reading in air is about 0.0011 lower.",
        "Denatured alcohol is a fluid of its own. No density table for a denaturant is known here: the densities are those of ethanol and water. Write the denaturant on the label.",
        "Densities: OIML R 22, International alcoholometric tables, 1975, general formula for ethanol and water."
      ],
      "order": [
        "Bring both liquids to the temperature stated; use a vessel that holds 20.543 l.",
        "Pour the stock first, then the water, slowly, and stir (common practice, no source).",
        "It warms as it mixes and gives off bubbles: cover it and let it stand about 24 h before use (R. Waller and J. Simmons, NHCOLL-L list, 7 September 2022; S. Moore, NHCOLL-L list, 23 January 2025).",
        "Measure its density; correct it if it is off. Label it: fluid, strength, date, who made it."
      ],
      "cautions": [
        "Alcohol: flammable liquid and vapour, heavier than air. Keep ignition sources away, ventilate at low level, and ask the fire authority about quantities and the size of glass vessels before you make up or store it. Exposure limits as read on 26 November 2026, check today's: ethanol US 1000 ppm over 8 h (OSHA, quoted in its sampling method for ethyl alcohol); isopropanol US 400 ppm over 8 h (OSHA, 54 FR 2332 of 19 January 1989, quoted by NIOSH).",
        "Pouring alcohol: static can light the vapour. Bond and earth metal drums, cans and pumps (29 CFR 1910.106(e)(6)(ii)); pour slowly, without splashing, from small vessels; ask about plastic containers.",
        "Denatured alcohol may hold methanol, which is toxic, and other denaturants.",
        "Gloves and eye protection; extraction where you pour; no flame, spark or hot plate nearby. Spent fluid and rinses go to licensed disposal, never to a drain.",
        "Not for unidentified fluids: have them tested first. Not for anything that has held picric acid: leave it closed and call a specialist.",
        "The safety data sheet of each fluid, local code and licensed practice decide; this card does not."
      ]
    }
    --- exit code 0
    "#);
}

#[test]
fn the_card_for_a_weakened_fluid() {
    assert_snapshot!(head(&Bench::new().screen("mix --restore 10 --measured 60 --to 70"), 27), @r#"
    $ rehouse mix --restore 10 --measured 60 --to 70
    10 l of ethanol-60 brought to ethanol-70 with ethanol-96, measured at 20 °C
                 litres      g
      take out    2.662   2420   ethanol-60
      keep        7.338   6671   ethanol-60
      pour in     2.705   2184   ethanol-96
      makes      10.000   8856   ethanol-70

      If the vessel has room, take nothing out: 3.686 l of ethanol-96 added to all of it makes 13.627 l of
      ethanol-70.
      The litres are of fluid, without the specimen. The fluid in the tissue still has the old strength and mixes
      in: measure again after a few weeks.
      It is assumed to be ethanol, like the stock; density does not tell one alcohol from another. If it is a
      different one, name its own stock with --from. Borax or glycerol in it falsifies a reading (A. J. van Dam,
      NHCOLL-L list, 29 May 2020).
      ethanol-70 is 62.39 % by mass and weighs 0.8856 g/ml at 20 °C in vacuo; a reading in air is about 0.0011
      lower.
      Densities: OIML R 22, International alcoholometric tables, 1975, general formula.

    In this order
      1. Take out 2.662 l; keep it apart as spent fluid that may hold formaldehyde.
      2. Pour in the addition slowly, away from the specimen, and stir.
      3. Close it, let it stand until readings are steady, then write a new label with strength and date.

    Cautions
      Alcohol: flammable liquid and vapour, heavier than air. Keep ignition sources away, ventilate at low level,
      and ask the fire authority about quantities and the size of glass vessels before you make up or store it.
    [10 lines]
    --- exit code 0
    "#);
}

#[test]
fn the_card_for_a_fluid_that_is_too_strong() {
    assert_snapshot!(head(&Bench::new().screen("mix --restore 4 --measured 78 --to ethanol-70"), 9), @r#"
    $ rehouse mix --restore 4 --measured 78 --to ethanol-70
    4 l of ethanol-78 brought to ethanol-70 with water, measured at 20 °C
                 litres       g
      take out    0.410   354.8   ethanol-78
      keep        3.590    3104   ethanol-78
      pour in     0.439   437.9   water
      makes       4.000    3542   ethanol-70

      If the vessel has room, take nothing out: 0.489 l of water added to all of it makes 4.457 l of ethanol-70.
    [27 lines]
    --- exit code 0
    "#);
}

#[test]
fn the_card_of_neutral_buffer_with_given_phosphates() {
    assert_snapshot!(
        Bench::new().screen("mix --nbf --litres 5 --monobasic dihydrate --dibasic heptahydrate"), @r#"
    $ rehouse mix --nbf --litres 5 --monobasic dihydrate --dibasic heptahydrate
    5 l of nbf-10, neutral buffered formalin
                    litres      g
      weigh                  22.6   sodium dihydrogen phosphate, NaH2PO4·2H2O
      weigh                  61.4   disodium hydrogen phosphate, Na2HPO4·7H2O
      measure out    0.500          stock formaldehyde, 37 % by mass (sold as 37 % or as 40 %)
      and about      4.500          water, distilled or deionised, to make it up
      makes          5.000          nbf-10

      Holds about 40.1 g of formaldehyde per litre, from stock of 37 % by mass, taken at 1.083 g/ml (British
      Pharmacopoeia, Formaldehyde solution: weight per ml about 1.08 g).
      Phosphate 0.0748 mol per litre. Read the formula on each label: the hydrates of one salt differ up to two
      and a half times in mass.
      Recipe: R. McAndrews, Specimen preservation procedure, Boston Aquarium Society (4.0 g of NaH2PO4·H2O and 6.5
      g of Na2HPO4 per litre); other hydrates mole for mole.

    In this order
      1. Dissolve both phosphates in most of the water; use warm water if they dissolve slowly.
      2. Let it cool; under extraction, add the stock.
      3. Make up to the volume with water and stir. The pH should be about 7.0: measure it.
      4. Label it: fluid, strength, date, who made it.

    Cautions
      Formaldehyde: carcinogen and sensitiser. Exposure limits as read on 25 November 2026, check today's: US 0.75
      ppm over 8 h, 2 ppm over 15 min (29 CFR 1910.1048); EU 0.3 ppm over 8 h, 0.6 ppm short term (Directive
      2019/983, annex); Great Britain 2 ppm (answer of 11 November 2021, UK Parliament HL3278). Extraction,
      gloves, eye protection; never to a drain.
      Formaldehyde, hydrochloric acid and bleach: never together. With the acid it forms chloromethyl ethers,
      which cause cancer; with bleach, toxic gases (J. A. Kiernan, Histonet list, 6 July 2000). Stock formaldehyde
      holds up to 15 % methanol (ASTM D2380, scope): toxic and flammable.
      Gloves and eye protection; extraction where you pour; no flame, spark or hot plate nearby. Spent fluid and
      rinses go to licensed disposal, never to a drain.
      Not for unidentified fluids: have them tested first. Not for anything that has held picric acid: leave it
      closed and call a specialist.
      The safety data sheet of each fluid, local code and licensed practice decide; this card does not.
    --- exit code 0
    "#);
}

#[test]
fn the_cards_of_formalin_and_mountant() {
    assert_snapshot!(head(&Bench::new().screen("mix --to formalin-5 --litres 5"), 17), @r#"
    $ rehouse mix --to formalin-5 --litres 5
    5 l of formalin-5 from stock formaldehyde and water
                    litres
      measure out    0.250   stock formaldehyde, 37 % by mass (sold as 37 % or as 40 %)
      and about      4.750   water, to make it up
      makes          5.000   formalin-5

      Holds about 20 g of formaldehyde per litre, from stock of 37 % by mass, taken at 1.083 g/ml (British
      Pharmacopoeia, Formaldehyde solution: weight per ml about 1.08 g).
      It is not buffered and turns acid, which decalcifies bone: use --nbf where that matters.

    In this order
      1. Under extraction, pour the stock into most of the water.
      2. Make up to the volume with water, stir, close.
      3. Label it: fluid, strength, date, who made it.

    Cautions
    [12 lines]
    --- exit code 0
    "#);
    assert_snapshot!(Bench::new().screen("mix --to kaiserling-3 --litres 0.5"), @r#"
    $ rehouse mix --to kaiserling-3 --litres 0.5
    0.5 l of kaiserling-3 (40 % glycerol)
                    litres      g
      measure out    0.200          glycerol
      weigh                  70.8   sodium acetate
      make up to     0.500          with water, distilled or deionised
      makes          0.500          kaiserling-3

      Recipe: E. Kaplan, Histonet list, March 2002. Other mixtures go by the same name: keep to the one the
      specimen is in.
      The recipe does not say which hydrate of the acetate is meant: write on the label which one you used.
      A crystal of thymol or a little formalin prevents mould.

    In this order
      1. Dissolve the acetate in about half the water.
      2. Stir in the glycerol slowly, so that no air is trapped.
      3. Make up with water, stir, let the bubbles rise.
      4. Label it: fluid, strength, date, who made it.

    Cautions
      Glycerol takes up water from the air and its level rises: leave headspace, and check the level. Spills make
      floors slippery.
      Gloves and eye protection; extraction where you pour; no flame, spark or hot plate nearby. Spent fluid and
      rinses go to licensed disposal, never to a drain.
      Not for unidentified fluids: have them tested first. Not for anything that has held picric acid: leave it
      closed and call a specialist.
      The safety data sheet of each fluid, local code and licensed practice decide; this card does not.
    --- exit code 0
    "#);
}

#[test]
fn the_figures_are_the_published_ones() {
    // British Pharmacopoeia (the text of the Vietnamese Pharmacopoeia, Dilutum ethanolum): 727 ml of ethanol (96 per cent),
    // which holds 96.0 to 96.6 %, made up to 1000 ml of 70 %.
    near(figures("--from ethanol-96.3 --to ethanol-70 --litres 1")("stock_l"), 0.727, 0.0008, "stock for 70 %");
    // The classical dilution table: 39.1 volumes of water to 100 of 95 % for 70 % (strengths at 15.56 °C there, at 20 °C here).
    let classical = figures("--from ethanol-95 --to ethanol-70 --litres 10");
    near(100.0 * classical("water_l") / classical("stock_l"), 39.1, 0.12, "water to 100 of 95 %");
    // Worked by hand from OIML R 22.
    let made = figures("--from ethanol-96 --to ethanol-70 --litres 20");
    near(made("stock_l"), 20.0 * 70.0 / 96.0, 1e-6, "stock");
    near(made("water_l"), 14.5833 * 0.4078, 0.001, "water");
    near(made("stock_g") + made("water_g"), made("final_g"), 1e-3, "mass");
    near(made("final_density_g_ml"), 0.88556, 0.000005, "density");
    let restored = figures("--restore 10 --measured 60 --to 70");
    near(restored("kept_l"), 7.338, 0.001, "kept");
    near(restored("stock_l"), 2.705, 0.001, "poured in");
    // R. McAndrews, Specimen preservation procedure, Boston Aquarium Society: 4.0 g NaH2PO4·H2O and 6.5 g Na2HPO4 a litre.
    let buffer = figures("--nbf --litres 3");
    near(buffer("monobasic_g"), 12.0, 1e-6, "monobasic");
    near(buffer("dibasic_g"), 19.5, 1e-6, "dibasic");
    near(buffer("stock_l"), 0.3, 1e-9, "stock formaldehyde");
    // British Pharmacopoeia, Formaldehyde solution, about 1.08 g/ml; trade labels "37 %" and "40 %" (w/v) are one liquid.
    for (from, grams) in [("37", 40.0), ("40", 40.0), ("35", 37.8)] {
        let made = figures(&format!("--from formaldehyde-{from} --to formalin-10 --litres 5"));
        near(made("stock_l"), 0.5, 1e-9, "one part in ten");
        near(made("formaldehyde_g_a_litre"), grams, 0.15, from);
    }
}

#[test]
fn a_card_and_a_plan_caution_in_the_same_words() {
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let plan = plain(&Bench::new().screen("plan collection"));
    for caution in [FluidCaution::Alcohol, FluidCaution::Formaldehyde].map(caution::of_fluid) {
        assert!(plan.contains(&plain(&caution)), "{caution}");
    }
}

#[test]
fn a_plan_and_a_card_give_the_same_cautions_on_the_parts_of_a_fluid() {
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let survey = "catalogNumber,length_mm,width_mm,height_mm,fluid\nA-1,60,30,20,";
    let plan = |fluid: &str| {
        let bench = Bench::new().file("collection/specimens.csv", &format!("{survey}{fluid}\n"));
        plain(&bench.screen("plan collection"))
    };
    let card = |fluid: &str| plain(&Bench::new().screen(&format!("mix --to {fluid} --litres 1")));
    let chloroform = "Chloroform: may cause cancer";
    let (glycerol, glycol) = ("Glycerol takes up water", "Propylene glycol takes up water");
    let bleach = "never near bleach";
    for (fluid, said, unsaid) in [
        ("carnoy", &[chloroform, "Glacial acetic acid"][..], "Clearing oils"),
        ("propylene-glycol-50", &[glycol], glycerol),
        ("alcohol-glycerol", &[glycerol, "Alcohol: flammable"], glycol),
        ("pulvertaft", &[glycerol, "Sodium hydrosulphite"], glycol),
        ("rna-salt-solution", &[bleach], glycerol),
    ] {
        for (paper, text) in [("plan", plan(fluid)), ("card", card(fluid))] {
            for words in said {
                assert!(text.contains(words), "{fluid}, {paper}: {words} is not in {text}");
            }
            assert!(!text.contains(unsaid), "{fluid}, {paper}: {unsaid}");
        }
    }
    assert!(plan("methyl-salicylate").contains("Clearing oils"));
}
