//! Formalin, neutral buffer and mountant by their published amounts.

use rehouse::fluid::formaldehyde::{Dibasic, Monobasic, Stock, buffered, formalin};
use rehouse::fluid::mountant::KAISERLING_III;
use rehouse::units::Volume;

fn litres(litres: f64) -> Volume {
    Volume::new(1000.0 * litres).expect("a volume")
}

fn stock() -> Stock {
    Stock::of(37.0).expect("the usual stock")
}

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted} within {within}");
}

#[test]
fn thirty_seven_per_cent_by_mass_is_forty_by_volume() {
    // British Pharmacopoeia, Formaldehyde solution: about 1.08 g/ml; trade labels "37 %" and "40 %" (w/v) are one liquid.
    near(stock().grams_a_litre(), 400.7, 0.05, "g a litre");
    assert_eq!(Stock::of(37.0), Some(Stock::usual()));
    assert_eq!(Stock::labelled(40.0), Some(Stock::usual()));
    assert_eq!(Stock::labelled(39.0), None, "by mass or by volume?");
    assert_eq!(Stock::of(4.0), None);
    assert_eq!(Stock::of(f64::NAN), None);
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
        formalin(Stock::of(35.0).expect("weak stock"), 10.0, litres(1.0)).expect("a strength").grams_a_litre,
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
fn neutral_buffer_is_as_strong_as_its_moles() {
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
