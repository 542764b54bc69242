//! Mixing: against pharmacopoeias and the classical dilution table, and laws of every mixture.

use proptest::prelude::*;
use rehouse::fluid::mixing::{Unmixable, add};
use rehouse::fluid::{Solute, Solution, blend, pour_together, top_up};
use rehouse::units::{Temperature, Volume};

const STANDARD: Temperature = Temperature::STANDARD;

fn ml(volume: f64) -> Volume {
    Volume::new(volume).expect("a volume")
}

fn ethanol(percent: f64) -> Solution {
    Solution::of(Solute::Ethanol, percent).expect("a strength")
}

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted} within {within}");
}

/// Water to add to 100 volumes of one strength to bring it to another, at 20 °C.
fn water_to_add(from: f64, to: f64) -> f64 {
    let water = Solution::water(Solute::Ethanol);
    add(ethanol(from), ml(100.0), water, ethanol(to), STANDARD).expect("a dilution").added.volume.ml()
}

#[test]
fn stock_for_a_litre_is_what_the_pharmacopoeia_measures_out() {
    // British Pharmacopoeia (the text of the Vietnamese Pharmacopoeia, Dilutum ethanolum; 20 % as quoted from BP 1988): ml of ethanol
    // (96 per cent), which holds 96.0 to 96.6 %, made up to 1000 ml.
    for (percent, printed) in
        [(90.0, 934.0), (80.0, 831.0), (70.0, 727.0), (60.0, 623.0), (50.0, 519.0), (45.0, 468.0), (20.0, 207.0)]
    {
        let made = blend(ethanol(96.3), Solution::water(Solute::Ethanol), ethanol(percent), ml(1000.0), STANDARD);
        near(made.expect("a dilution").present.volume.ml(), printed, 0.8, &format!("{percent} %"));
    }
}

#[test]
fn water_to_add_is_that_of_the_classical_table() {
    // The classical (Gay-Lussac) table of volumes of water for 100 volumes of alcohol, % by volume, as reprinted at
    // engineersedge.com, Alcohol dilution reduction table; printed to three figures, at 15.56 °C where ours is 20.
    for (from, to, printed) in [
        (95.0, 90.0, 6.41),
        (95.0, 85.0, 13.33),
        (95.0, 80.0, 20.9),
        (95.0, 75.0, 29.5),
        (95.0, 70.0, 39.1),
        (95.0, 65.0, 50.2),
        (95.0, 60.0, 63.0),
        (95.0, 50.0, 95.9),
        (95.0, 40.0, 144.0),
        (95.0, 30.0, 224.0),
        (95.0, 20.0, 382.0),
        (90.0, 70.0, 31.0),
        (80.0, 70.0, 15.3),
        (80.0, 50.0, 63.1),
        (70.0, 50.0, 41.7),
        (70.0, 30.0, 136.0),
        (50.0, 30.0, 67.5),
        (40.0, 20.0, 100.0),
    ] {
        near(water_to_add(from, to), printed, (0.003 * printed).max(0.1), &format!("{from} to {to} %"));
    }
}

#[test]
fn equal_volumes_of_alcohol_and_water_make_the_diluted_alcohol_of_a_pharmacopoeia() {
    // USP 29, Diluted Alcohol (p. 3268): 500 ml Alcohol (94.9 to 96.0 % by volume) and 500 ml water, both at 25 °C, make
    // about 970 ml of 41.0 to 42.0 % by mass.
    let warm = Temperature::new(25.0).expect("25 °C");
    let made =
        pour_together(ethanol(95.4), ml(500.0), Solution::water(Solute::Ethanol), ml(500.0), warm).expect("a mixture");
    near(made.mixed.volume.ml(), 970.0, 1.5, "ml");
    near(made.solution.by_mass.percent(), 41.5, 0.5, "% by mass");
}

#[test]
fn a_litre_of_strong_alcohol_makes_more_than_its_own_and_less_than_the_sum() {
    // Worked by hand from OIML R 22: a litre of 96 % and 407.8 ml of water make 1371.4 ml of 70 %, 36.4 ml less than their sum.
    let water = Solution::water(Solute::Ethanol);
    let made = add(ethanol(96.0), ml(1000.0), water, ethanol(70.0), STANDARD).expect("a dilution");
    near(made.added.volume.ml(), 407.8, 0.06, "water");
    near(made.added.mass.g(), 407.1, 0.06, "water in g");
    near(made.mixed.volume.ml(), 1371.43, 0.01, "70 %");
    near(made.contraction() * (1000.0 + made.added.volume.ml()), 36.4, 0.06, "contraction");
}

#[test]
fn poured_to_the_mark_by_volumes_it_is_too_strong_and_too_little() {
    // The mistake of adding volumes, worked from OIML R 22: 700 ml absolute and 300 ml water are 968.3 ml of 72.3 %.
    let made = pour_together(ethanol(100.0), ml(700.0), Solution::water(Solute::Ethanol), ml(300.0), STANDARD)
        .expect("a mixture");
    near(made.mixed.volume.ml(), 968.3, 0.06, "ml");
    near(made.solution.strength_pct(), 72.3, 0.06, "%");
}

#[test]
fn weakened_alcohol_is_restored_by_replacing_part_of_it() {
    // Worked by hand from OIML R 22: of 10 l of 60 %, 7.338 l stay and 2.705 l of 96 % go in.
    let made = blend(ethanol(60.0), ethanol(96.0), ethanol(70.0), ml(10_000.0), STANDARD).expect("a mixture");
    near(made.present.volume.ml(), 7338.0, 1.0, "kept");
    near(made.added.volume.ml(), 2705.0, 1.0, "added");
    // With room, all 10 l stay: Va = V (Ct − C) / (Cs − Ct) = 3.846 l if volumes added up; contraction makes it less.
    let with_room = add(ethanol(60.0), ml(10_000.0), ethanol(96.0), ethanol(70.0), STANDARD).expect("a mixture");
    assert!((3600.0..3846.0).contains(&with_room.added.volume.ml()), "{with_room:?}");
}

#[test]
fn topping_up_brings_a_fallen_level_back_to_strength_where_the_stock_can() {
    let topped = top_up(ethanol(68.3), ml(900.0), ml(1000.0), ethanol(96.0), ethanol(70.0), STANDARD).expect("room");
    near(topped.blend.mixed.volume.ml(), 1000.0, 1e-6, "full");
    near(topped.blend.solution.strength_pct(), 70.0, 1e-6, "strength");
    assert!(topped.with.strength_pct() > 70.0 && topped.with.strength_pct() < 96.0, "{topped:?}");
    let weak = top_up(ethanol(50.0), ml(900.0), ml(1000.0), ethanol(96.0), ethanol(70.0), STANDARD).expect("room");
    near(weak.with.strength_pct(), 96.0, 1e-6, "the stock as it is");
    assert!(weak.blend.solution.strength_pct() < 56.0, "{weak:?}");
    near(weak.blend.mixed.volume.ml(), 1000.0, 1e-6, "full");
    let strong = top_up(ethanol(96.0), ml(990.0), ml(1000.0), ethanol(96.0), ethanol(70.0), STANDARD).expect("room");
    assert_eq!(strong.with, Solution::water(Solute::Ethanol));
    assert!(strong.blend.solution.strength_pct() > 70.0);
    let nearly_pure =
        top_up(ethanol(99.9), ml(990.0), ml(1000.0), ethanol(96.0), ethanol(70.0), STANDARD).expect("room");
    near(nearly_pure.blend.mixed.volume.ml(), 1000.0, 1e-6, "full, of more than a quarter over the gap");
    assert!(nearly_pure.blend.added.volume > ml(12.5), "{nearly_pure:?}");
    let full = top_up(ethanol(68.0), ml(1000.0), ml(1000.0), ethanol(96.0), ethanol(70.0), STANDARD);
    assert_eq!(full, Err(Unmixable::AlreadyFull));
}

#[test]
fn mixtures_that_cannot_be_made_are_refused_with_the_reason() {
    let (water, ipa) = (Solution::water(Solute::Ethanol), Solution::of(Solute::Isopropanol, 70.0).expect("a strength"));
    let to_stronger = blend(ethanol(70.0), water, ethanol(80.0), ml(1000.0), STANDARD);
    assert!(matches!(to_stronger, Err(Unmixable::NotBetween(..))), "{to_stronger:?}");
    let denatured = Solution::of(Solute::DenaturedAlcohol, 96.0).expect("a strength");
    let other = blend(denatured, water, ethanol(70.0), ml(1000.0), STANDARD);
    assert_eq!(other, Err(Unmixable::DifferentKinds(Solute::DenaturedAlcohol, Solute::Ethanol)));
    let warm = Temperature::new(25.0).expect("25 °C");
    let unknown = blend(ipa, Solution::water(Solute::Isopropanol), ipa, ml(1000.0), warm);
    assert_eq!(unknown, Err(Unmixable::NoDensity(Solute::Isopropanol, warm)));
    assert!(add(ethanol(60.0), ml(10.0), ethanol(70.0), ethanol(70.0), STANDARD).is_err());
}

#[test]
fn isopropanol_and_glycerol_dilute_by_mass_too() {
    // Worked from the CRC table: a litre of 99.5 % isopropanol and 459 ml of water make 1421 ml of 70 %.
    let ipa = |percent| Solution::of(Solute::Isopropanol, percent).expect("a strength");
    let made =
        add(ipa(99.5), ml(1000.0), Solution::water(Solute::Isopropanol), ipa(70.0), STANDARD).expect("a dilution");
    near(made.mixed.volume.ml(), 1421.4, 0.1, "70 %");
    near(made.added.volume.ml(), 459.0, 1.5, "water");
    // Strength by mass needs no table: 70 g of glycerol and 30 g of water are 100 g of 70 %.
    let glycerol = |percent| Solution::of(Solute::Glycerol, percent).expect("a strength");
    let made = blend(glycerol(100.0), Solution::water(Solute::Glycerol), glycerol(70.0), ml(1000.0), STANDARD)
        .expect("a dilution");
    near(made.present.mass.g() / made.mixed.mass.g(), 0.7, 1e-12, "glycerol by mass");
    near(made.mixed.mass.g(), 1181.1, 1.0, "a litre of 70 %");
}

#[test]
fn pure_ethanol_and_water_shrink_at_every_strength_and_most_near_the_middle() {
    // Largest contraction, worked from OIML R 22: 3.55 % of the summed volumes, near 54 % by volume.
    let water = Solution::water(Solute::Ethanol);
    let fall = |percent: f64| {
        blend(ethanol(100.0), water, ethanol(percent), ml(1000.0), STANDARD).expect("a dilution").contraction()
    };
    let falls: Vec<(f64, f64)> = (1..1000).map(|tenths| 0.1 * f64::from(tenths)).map(|p| (p, fall(p))).collect();
    assert!(falls.iter().all(|(_, fall)| *fall > 0.0));
    let most = falls.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).expect("some");
    near(100.0 * most.1, 3.55, 0.02, "largest fall in %");
    near(most.0, 54.0, 1.0, "at this strength");
}

#[test]
fn weak_spirit_and_water_grow_a_little() {
    // Worked from OIML R 22: at 20 °C the partial volume of ethanol is least in spirit of some 19 % by volume and larger in water, so that
    // 28 % poured into four times as much water grows by a seventh of a per cent; at 0 °C by a third.
    let water = Solution::water(Solute::Ethanol);
    let grown = |percent: f64, celsius: f64| {
        let at = Temperature::new(celsius).expect("a temperature");
        let most = (1..100).map(|part| 10.0 * f64::from(part)).map(|part| {
            let made = pour_together(ethanol(percent), ml(part), water, ml(1000.0 - part), at).expect("one kind");
            -100.0 * made.contraction()
        });
        most.fold(0.0, f64::max)
    };
    near(grown(28.1, 20.0), 0.151, 0.003, "% at 20 °C");
    near(grown(32.8, 0.0), 0.344, 0.003, "% at 0 °C");
    assert!(grown(70.0, 20.0) <= 1e-9, "at the strengths of storage it only shrinks");
}

fn solute() -> impl Strategy<Value = Solute> {
    prop_oneof![
        Just(Solute::Ethanol),
        Just(Solute::DenaturedAlcohol),
        Just(Solute::Isopropanol),
        Just(Solute::Glycerol)
    ]
}

proptest! {
    /// Masses add, in total and of the solute.
    #[test]
    fn mass_is_conserved(kind in solute(), a in 0.0..=100.0_f64, b in 0.0..=100.0_f64, va in 0.1..1e5_f64, vb in 0.1..1e5_f64) {
        let (one, other) = (Solution::of(kind, a).unwrap(), Solution::of(kind, b).unwrap());
        let made = pour_together(one, ml(va), other, ml(vb), STANDARD).unwrap();
        let sum = made.present.mass + made.added.mass;
        prop_assert!((made.mixed.mass.g() - sum.g()).abs() <= 1e-9 * sum.g());
        let dissolved = made.present.mass.g() * one.by_mass.ratio() + made.added.mass.g() * other.by_mass.ratio();
        prop_assert!((made.mixed.mass.g() * made.solution.by_mass.ratio() - dissolved).abs() <= 1e-9 * sum.g());
    }

    /// The amounts of `blend`, poured together, make the requested mixture.
    #[test]
    fn blended_amounts_make_the_requested_mixture(
        kind in solute(), low in 0.0..49.0_f64, high in 51.0..=100.0_f64, share in 0.0..=1.0_f64, made in 1.0..1e5_f64,
    ) {
        let wanted = Solution::of(kind, low + share * (high - low)).unwrap();
        let (weaker, stronger) = (Solution::of(kind, low).unwrap(), Solution::of(kind, high).unwrap());
        let parts = blend(stronger, weaker, wanted, ml(made), STANDARD).unwrap();
        let poured = pour_together(stronger, parts.present.volume, weaker, parts.added.volume, STANDARD).unwrap();
        prop_assert!((poured.mixed.volume.ml() - made).abs() <= 1e-6 * made);
        prop_assert!((poured.solution.strength_pct() - wanted.strength_pct()).abs() <= 1e-6);
    }

    /// Diluted with water and strengthened again with the same stock, a solution has its first strength.
    #[test]
    fn a_solution_diluted_and_strengthened_again_has_its_first_strength(kind in solute(), strong in 60.0..=99.0_f64, weak in 10.0..55.0_f64, volume in 1.0..1e5_f64) {
        let (stock, wanted) = (Solution::of(kind, strong).unwrap(), Solution::of(kind, weak).unwrap());
        let pure = Solution::of(kind, 100.0).unwrap();
        let diluted = add(stock, ml(volume), Solution::water(kind), wanted, STANDARD).unwrap();
        let restored = add(wanted, diluted.mixed.volume, pure, stock, STANDARD).unwrap();
        // Taking the same mass of water out again leaves the first volume.
        let back = diluted.mixed.mass.g() - diluted.added.mass.g();
        prop_assert!((back / stock.standard_density().g_ml() - volume).abs() <= 1e-6 * volume);
        prop_assert!((restored.solution.strength_pct() - strong).abs() <= 1e-9);
        let poured = pour_together(wanted, diluted.mixed.volume, pure, restored.added.volume, STANDARD).unwrap();
        prop_assert!((poured.solution.strength_pct() - strong).abs() <= 1e-6);
    }

    /// Strong ethanol and water never grow on mixing, at any temperature of the formula above freezing.
    #[test]
    fn strong_ethanol_and_water_never_grow(percent in 81.0..=100.0_f64, share in 0.0..=1.0_f64, celsius in 0.0..=40.0_f64) {
        let at = Temperature::new(celsius).unwrap();
        let made = pour_together(ethanol(percent), ml(1000.0 * share), Solution::water(Solute::Ethanol), ml(1000.0 * (1.0 - share)), at).unwrap();
        prop_assert!(made.contraction() >= -1e-9, "{made:?}");
    }

    /// Two strengths of ethanol grow at most a little, and only where a weak one is among them.
    #[test]
    fn ethanol_grows_a_little_and_only_with_a_weak_one(a in 0.0..=100.0_f64, b in 0.0..=100.0_f64, share in 0.0..=1.0_f64, celsius in 0.0..=40.0_f64) {
        let at = Temperature::new(celsius).unwrap();
        let made = pour_together(ethanol(a), ml(1000.0 * share), ethanol(b), ml(1000.0 * (1.0 - share)), at).unwrap();
        let least = if a.min(b) < 23.0 { -0.004 } else { -1e-9 };
        prop_assert!(made.contraction() >= least, "{made:?}");
    }

    /// A stronger product takes more of the stock, and more of the stock makes a stronger product.
    #[test]
    fn strength_rises_with_the_stock(kind in solute(), a in 1.0..=95.0_f64, more in 0.1..4.0_f64) {
        let (stock, water) = (Solution::of(kind, 99.5).unwrap(), Solution::water(kind));
        let of = |percent| blend(stock, water, Solution::of(kind, percent).unwrap(), ml(1000.0), STANDARD).unwrap();
        prop_assert!(of(a + more).present.volume > of(a).present.volume);
        let poured = |volume| pour_together(stock, ml(volume), water, ml(500.0), STANDARD).unwrap().solution.by_mass;
        prop_assert!(poured(100.0 * (a + more)) > poured(100.0 * a));
    }
}
