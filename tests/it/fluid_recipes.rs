//! Formalin, neutral buffer and mountant by their published amounts.

use rehouse::fluid::formaldehyde::{Dibasic, FormaldehydeStock, Monobasic, buffered, formalin};
use rehouse::fluid::mountant::KAISERLING_III;
use rehouse::fluid::parts::{PartsRecipe, RECIPES};
use rehouse::intake::default_rules;
use rehouse::units::Volume;

fn litres(litres: f64) -> Volume {
    Volume::new(1000.0 * litres).expect("a volume")
}

fn stock() -> FormaldehydeStock {
    FormaldehydeStock::of(37.0).expect("the usual stock")
}

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted} within {within}");
}

#[test]
fn thirty_seven_per_cent_by_mass_is_forty_by_volume() {
    // British Pharmacopoeia, Formaldehyde solution: about 1.08 g/ml; trade labels "37 %" and "40 %" (w/v) are one liquid.
    near(stock().grams_a_litre(), 400.7, 0.05, "g a litre");
    assert_eq!(FormaldehydeStock::of(37.0), Some(FormaldehydeStock::usual()));
    assert_eq!(FormaldehydeStock::labelled(40.0), Some(FormaldehydeStock::usual()));
    assert_eq!(FormaldehydeStock::labelled(39.0), None, "by mass or by volume?");
    assert_eq!(FormaldehydeStock::of(4.0), None);
    assert_eq!(FormaldehydeStock::of(f64::NAN), None);
}

#[test]
fn ten_per_cent_formalin_holds_four_per_cent_formaldehyde() {
    // One part in ten (Sigma-Aldrich HT501 note; 10 % formalin holds 3.7 to 4.0 % formaldehyde).
    let ten = formalin(stock(), 10.0, litres(5.0)).expect("a strength");
    assert_eq!((ten.stock, ten.water, ten.made), (litres(0.5), litres(4.5), litres(5.0)));
    assert!((37.0..=40.1).contains(&ten.grams_a_litre), "{ten:?}");
    let five = formalin(stock(), 5.0, litres(1.0)).expect("a strength");
    near(five.grams_a_litre, 20.0, 0.05, "5 % formalin (1 to 19), g a litre");
    near(
        formalin(FormaldehydeStock::of(35.0).expect("weak stock"), 10.0, litres(1.0))
            .expect("a strength")
            .grams_a_litre,
        37.9,
        0.1,
        "from 35 %",
    );
    assert_eq!(formalin(stock(), 101.0, litres(1.0)), None);
}

#[test]
fn neutral_buffered_formalin_is_the_published_recipe() {
    // R. McAndrews, Specimen preservation procedure, Boston Aquarium Society: per litre 100 ml formaldehyde solution, 4.0 g
    // NaH2PO4·H2O, 6.5 g anhydrous Na2HPO4.
    let made = buffered(stock(), litres(1.0), Monobasic::Monohydrate, Dibasic::Anhydrous);
    near(made.formalin.stock.ml(), 100.0, 1e-9, "stock");
    near(made.monobasic.g(), 4.0, 1e-9, "NaH2PO4·H2O");
    near(made.dibasic.g(), 6.5, 1e-9, "Na2HPO4");
}

#[test]
fn neutral_buffer_has_the_molarity_of_its_salts() {
    // 4.0 / 137.99 + 6.5 / 141.96 = 0.0290 + 0.0458 mol a litre.
    let made = buffered(stock(), litres(7.0), Monobasic::Dihydrate, Dibasic::Heptahydrate);
    near(made.phosphate_molar, 0.0748, 0.00005, "mol a litre");
}

#[test]
fn other_hydrates_replace_each_other_mole_for_mole() {
    // Molar masses from memory of the suppliers' labels: NaH2PO4 119.98, ·H2O 137.99, ·2H2O 156.01; Na2HPO4 141.96, ·2H2O
    // 177.99, ·7H2O 268.07, ·12H2O 358.14. R. Richmond, Histonet, February 2000: the heptahydrate is nearly half water.
    for (salt, label) in
        [(Monobasic::Anhydrous, 119.98), (Monobasic::Monohydrate, 137.99), (Monobasic::Dihydrate, 156.01)]
    {
        near(salt.molar_mass(), label, 0.011, salt.formula());
        let made = buffered(stock(), litres(2.0), salt, Dibasic::Anhydrous);
        near(made.monobasic.g() / label / 2.0, 4.0 / 137.99, 1e-5, salt.formula());
    }
    for (salt, label) in [
        (Dibasic::Anhydrous, 141.96),
        (Dibasic::Dihydrate, 177.99),
        (Dibasic::Heptahydrate, 268.07),
        (Dibasic::Dodecahydrate, 358.14),
    ] {
        near(salt.molar_mass(), label, 0.011, salt.formula());
        let made = buffered(stock(), litres(2.0), Monobasic::Monohydrate, salt);
        near(made.dibasic.g() / label / 2.0, 6.5 / 141.96, 1e-5, salt.formula());
    }
    let heptahydrate = buffered(stock(), litres(1.0), Monobasic::Monohydrate, Dibasic::Heptahydrate);
    near(heptahydrate.dibasic.g(), 12.27, 0.005, "g of the heptahydrate a litre");
}

#[test]
fn kaiserling_three_is_made_by_its_published_amounts() {
    // E. Kaplan, Histonet list, March 2002: glycerine 4 l, sodium acetate 1416 g, water to 10 l.
    let made = KAISERLING_III[0].amounts(litres(20.0));
    assert_eq!((made.glycerol, made.made, made.water), (litres(8.0), litres(20.0), None));
    near(made.salt.g(), 2832.0, 1e-9, "sodium acetate");
    // A. S. Warthin, Practical Pathology, 1911: glycerine 400 ml, potassium acetate 200 g, water 2000 ml.
    let oldest = KAISERLING_III[2].amounts(litres(1.2));
    near(oldest.glycerol.ml(), 200.0, 1e-9, "glycerol");
    near(oldest.salt.g(), 100.0, 1e-9, "potassium acetate");
    near(oldest.water.expect("water").ml(), 1000.0, 1e-9, "water");
}

/// The parts of an amount of a fluid, in ml and g.
fn parts(id: &str, made: f64) -> Vec<(&'static str, f64)> {
    let recipe = PartsRecipe::of(id).unwrap_or_else(|| panic!("no recipe of {id}"));
    let amount = |part: rehouse::fluid::parts::PartAmount| {
        let ml = part.volume.map(|volume| volume.ml());
        (part.name, ml.or(part.mass.map(|mass| mass.g())).expect("measured or weighed"))
    };
    recipe.amounts(litres(made)).into_iter().map(amount).collect()
}

fn assert_parts(id: &str, made: f64, published: &[(&str, f64)]) {
    let found = parts(id, made);
    assert_eq!(found.len(), published.len(), "{id}: {found:?}");
    for ((name, amount), (wanted, published)) in found.into_iter().zip(published) {
        assert_eq!(name, *wanted, "{id}");
        near(amount, *published, 1e-6, &format!("{id}: {name}"));
    }
}

#[test]
fn fluids_of_several_parts_are_made_by_their_published_amounts() {
    // P. Gray, The Microtomist's Formulary and Guide, 1954, quoting Carnoy 1887: ethanol 60, chloroform 30, acetic acid 10 ml.
    assert_parts("carnoy", 0.1, &[("ethanol_100", 60.0), ("chloroform", 30.0), ("acetic_acid", 10.0)]);
    // R. Ellis, Histonet list, July 2002: Jores 1896, by parts.
    let jores = [
        ("sodium_chloride", 10.0),
        ("magnesium_sulphate", 20.0),
        ("sodium_sulphate", 20.0),
        ("stock", 100.0),
        ("water", 1000.0),
    ];
    assert_parts("jores", 1.1, &jores);
    // Meador, Cuffney and Gurtz, USGS Open-File Report 93-104 (1993), p. 28: 1 part in 10, 3 g of borax a litre.
    assert_parts("borax-formalin-10", 2.0, &[("stock", 200.0), ("borax", 6.0)]);
    // Camacho-Sanchez and others 2013: 3.8 mol of ammonium sulphate (132.14 g/mol) a litre.
    let salt = parts("rna-salt-solution", 1.0)[0];
    near(salt.1, 3.8 * 132.14, 0.5, "ammonium sulphate, g a litre");
    // One part of stock in twenty-five, in sea water.
    assert_parts("sea-water-formalin-4", 5.0, &[("stock", 200.0)]);
}

#[test]
fn every_recipe_is_of_a_fluid_in_the_table_and_names_its_source() {
    let rules = default_rules();
    for recipe in &RECIPES {
        assert!(rules.fluids.iter().any(|fluid| fluid.id == recipe.id), "{}", recipe.id);
        assert!(!recipe.source.is_empty() && !recipe.order.is_empty(), "{}", recipe.id);
    }
}

#[test]
fn the_strength_in_the_table_is_what_the_recipe_gives() {
    // Stock of 37 % by mass holds 40 g in 100 ml; ethanol by volume; volumes are taken to add.
    let rules = default_rules();
    for recipe in RECIPES.iter().filter(|recipe| parts(recipe.id, 1.0).iter().any(|(name, _)| *name == "stock")) {
        let fluid = &rules.fluids[rules.fluid_named(recipe.id).expect("a fluid").0 as usize];
        if fluid.family.name() != "formaldehyde" {
            continue;
        }
        let stock = parts(recipe.id, 1.0).into_iter().find(|(name, _)| *name == "stock").expect("stock").1;
        near(fluid.strength_pct.expect("a strength"), 0.4007 * stock / 10.0, 0.06, recipe.id);
    }
}
