//! Tissue water, fillings, ladders of baths, and evaporation.

use rehouse::fluid::evaporation::{after_evaporation, topped_up};
use rehouse::fluid::tissue::{TissueLiquid, after_baths, after_filling, fillings_to_reach};
use rehouse::fluid::{Solute, Solution, top_up};
use rehouse::units::{Temperature, Volume};

/// The share of fixed tissue that exchanges in the published figures below.
const EXCHANGING: f64 = 0.75;

fn ethanol(percent: f64) -> Solution {
    Solution::of(Solute::Ethanol, percent).expect("a strength")
}

fn ml(volume: f64) -> Volume {
    Volume::new(volume).expect("a volume")
}

/// Fresh tissue, whose liquid is water.
fn wet(tissue_ml: f64) -> TissueLiquid {
    TissueLiquid { volume: ml(EXCHANGING * tissue_ml), solution: Solution::water(Solute::Ethanol) }
}

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found} is not {wanted} within {within}");
}

/// The end strength if volumes simply add: C = C0 Vf / (Vf + φ Vs).
fn added_up(strength: f64, fluid: f64, tissue: f64) -> f64 {
    strength * fluid / (fluid + EXCHANGING * tissue)
}

#[test]
fn one_filling_ends_a_little_above_what_added_volumes_say() {
    // The arithmetic of added volumes gives, for fluid : tissue of 20, 10, 5, 4, 3, 7/3, 2, 1.5 and 1 and φ = 0.75, these ends of
    // 70 %. Contraction (at most 3.6 %) leaves a smaller volume, so that the true strength is at most that much higher.
    for (ratio, printed) in [
        (20.0, 67.5),
        (10.0, 65.1),
        (5.0, 60.9),
        (4.0, 58.9),
        (3.0, 56.0),
        (7.0 / 3.0, 53.0),
        (2.0, 50.9),
        (1.5, 46.7),
        (1.0, 40.0),
    ] {
        near(added_up(70.0, ratio, 1.0), printed, 0.06, "added volumes");
        let end =
            after_filling(ethanol(70.0), ml(1000.0 * ratio), wet(1000.0)).expect("one kind").solution.strength_pct();
        assert!(end >= printed - 0.06 && end <= printed / (1.0 - 0.036), "{ratio}: {end}");
    }
}

#[test]
fn a_litre_of_tissue_water_in_three_of_seventy_per_cent() {
    // Worked by hand from OIML R 22: 3.956 l of 53.1 %.
    let held = TissueLiquid { volume: ml(1000.0), solution: Solution::water(Solute::Ethanol) };
    let end = after_filling(ethanol(70.0), ml(3000.0), held).expect("one kind");
    near(end.solution.strength_pct(), 53.1, 0.05, "%");
    near(end.mixed.volume.ml(), 3956.0, 0.6, "ml");
}

#[test]
fn ladders_end_where_their_authors_want_them() {
    // Ladders: A. J. van Dam, NHCOLL-L list, 30 September 2024 (30, 50, 70, 75); J. Simmons as quoted by S. Moore, NHCOLL-L list,
    // 23 January 2025 (20, 40, 60, 75, and 20, 40, 60, 70); R. McAndrews, Boston Aquarium Society (10, 30, 60, 70). The ends are
    // those of added volumes at fluid : tissue 7 : 3 and 10 : 1, φ = 0.75; contraction adds up to a per cent.
    for (baths, at_seven_to_three, at_ten) in [
        ([20.0, 40.0, 60.0, 75.0], 69.8, 73.8),
        ([30.0, 50.0, 70.0, 75.0], 72.2, 74.5),
        ([10.0, 30.0, 60.0, 70.0], 65.5, 69.1),
        ([20.0, 40.0, 60.0, 70.0], 66.0, 69.2),
    ] {
        let ladder: Vec<Solution> = baths.iter().map(|&bath| ethanol(bath)).collect();
        for (fluid, tissue, printed) in [(700.0, 300.0, at_seven_to_three), (1000.0, 100.0, at_ten)] {
            let ends = after_baths(&ladder, ml(fluid), wet(tissue)).expect("one kind");
            let end = ends.last().expect("four baths").strength_pct();
            assert!(end >= printed - 0.25 && end <= printed + 1.0, "{baths:?} at {fluid}: {end}, not {printed}");
            assert!(ends.windows(2).all(|pair| pair[1].by_mass > pair[0].by_mass), "{ends:?}");
        }
    }
}

#[test]
fn the_number_of_fillings_follows_from_the_share_of_tissue() {
    // By added volumes, fillings of 70 % to reach 65 and of 75 % to reach 70 at these ratios. Contraction may save a filling where added
    // volumes just miss, which is none of these.
    for (ratio, of_seventy, of_seventy_five) in
        [(20.0, 1, 1), (5.0, 2, 2), (4.0, 2, 2), (3.0, 2, 2), (7.0 / 3.0, 2, 2), (1.5, 3, 3), (1.0, 4, 4)]
    {
        let fillings = |filling: f64, wanted: f64| {
            fillings_to_reach(ethanol(filling), ml(1000.0 * ratio), wet(1000.0), ethanol(wanted), 20).expect("one kind")
        };
        assert_eq!(fillings(70.0, 65.0), Some(of_seventy), "{ratio} of 70 %");
        assert_eq!(fillings(75.0, 70.0), Some(of_seventy_five), "{ratio} of 75 %");
    }
}

#[test]
fn no_number_of_fillings_passes_the_filling_itself() {
    let reach = |filling, wanted| {
        fillings_to_reach(ethanol(filling), ml(1000.0), wet(300.0), ethanol(wanted), 50).expect("one kind")
    };
    assert_eq!(reach(70.0, 70.0), None);
    assert_eq!(reach(70.0, 71.0), None);
    let held = TissueLiquid { solution: ethanol(70.0), ..wet(300.0) };
    assert_eq!(fillings_to_reach(ethanol(70.0), ml(1000.0), held, ethanol(70.0), 50), Ok(Some(1)));
    let ipa = Solution::of(Solute::Isopropanol, 70.0).expect("a strength");
    assert!(fillings_to_reach(ipa, ml(1000.0), wet(300.0), ipa, 5).is_err(), "ethanol's water and isopropanol");
}

#[test]
fn evaporation_weakens_what_is_left_a_little_more_than_a_boil_does() {
    // Rayleigh's equation worked apart from the code, linear between the printed points: with the equilibrium at 30 °C of
    // R. C. Pemberton and C. J. Mash, Journal of Chemical Thermodynamics 10 (1978) 867; and with that at the boil of
    // J. S. Carey and W. K. Lewis, Industrial and Engineering Chemistry 24 (1932) 882, as in Perry's Chemical Engineers'
    // Handbook. Strength left after each tenth of the volume.
    for (start, at_thirty, boiled) in [
        (70.0, [68.06, 65.67, 62.65, 58.70, 53.30, 45.41], [68.26, 66.14, 63.49, 60.04, 55.33, 48.49]),
        (75.0, [73.52, 71.70, 69.41, 66.43, 62.35, 56.39], [73.69, 72.09, 70.08, 67.50, 64.02, 58.98]),
        (80.0, [78.96, 77.69, 76.10, 74.04, 71.24, 67.16], [79.10, 78.00, 76.63, 74.88, 72.52, 69.13]),
    ] {
        for (step, (cool, hot)) in at_thirty.into_iter().zip(boiled).enumerate() {
            let lost = 0.1 * (step + 1) as f64;
            let left = after_evaporation(ethanol(start), lost).expect("ethanol").strength_pct();
            near(left, cool, 0.12, &format!("{start} % less {lost}"));
            assert!(left < hot, "{start} % less {lost}: {left} at 30 °C, {hot} boiled");
        }
    }
    near(after_evaporation(ethanol(70.0), 0.0).expect("ethanol").strength_pct(), 70.0, 1e-6, "nothing lost");
    assert_eq!(after_evaporation(Solution::of(Solute::DenaturedAlcohol, 70.0).expect("a strength"), 0.1), None);
    assert_eq!(after_evaporation(ethanol(70.0), 1.0), None);
    assert_eq!(after_evaporation(ethanol(70.0), f64::NAN), None);
}

#[test]
fn filling_up_with_the_same_strength_weakens_a_jar_from_year_to_year() {
    // Rayleigh evaporation of ethanol and water worked apart from the code, with the densities of the International Critical
    // Tables: strength after 1, 5, 10 and 20 years of the same loss, filled each time with `with`. First with the vapour equilibrium of the
    // code (R. C. Pemberton and C. J. Mash, Journal of Chemical Thermodynamics 10 (1978) 867, at 30 °C; between the points by a monotone
    // cubic, F. N. Fritsch and R. E. Carlson, SIAM Journal on Numerical Analysis 17 (1980) 238), which the code must match; then at 20 °C
    // by two models of activity, Wilson's equation and UNIFAC, which lie below it and above.
    for (lost, with, measured, wilson, unifac) in [
        (0.01, 70.0, [69.82, 69.12, 68.25, 66.52], [69.82, 69.08, 68.17, 66.36], [69.84, 69.19, 68.38, 66.79]),
        (0.05, 70.0, [69.12, 65.68, 61.52, 53.61], [69.08, 65.48, 61.08, 52.64], [69.19, 66.02, 62.24, 55.13]),
        (0.10, 70.0, [68.25, 61.53, 53.66, 39.73], [68.18, 61.10, 52.68, 37.22], [68.38, 62.25, 55.17, 42.41]),
        (0.10, 95.0, [70.84, 74.01, 77.62, 83.59], [70.76, 73.68, 77.06, 82.87], [70.97, 74.58, 78.53, 84.52]),
    ] {
        let after = topped_up(ethanol(70.0), lost, ethanol(with), 20).expect("ethanol");
        for (place, years) in [1, 5, 10, 20].into_iter().enumerate() {
            let strength = after[years - 1].strength_pct();
            let what = format!("{lost} a year filled with {with} %, {years} years");
            near(strength, measured[place], 0.06, &what);
            let between = wilson[place] - 0.02..=unifac[place] + 0.02;
            assert!(between.contains(&strength), "{what}: {strength} is not in {between:?}");
        }
    }
    assert_eq!(topped_up(Solution::of(Solute::Isopropanol, 50.0).expect("a strength"), 0.1, ethanol(70.0), 3), None);
}

#[test]
fn the_strength_that_restores_a_jar_keeps_it_for_twenty_years() {
    // The same loss and the same filling leave the strength unchanged: a fixed point.
    let left = after_evaporation(ethanol(70.0), 0.1).expect("ethanol");
    let poured =
        top_up(left, ml(900.0), ml(1000.0), ethanol(96.0), ethanol(70.0), Temperature::STANDARD).expect("room");
    let after = topped_up(ethanol(70.0), 0.1, poured.with, 20).expect("ethanol");
    near(after[19].strength_pct(), 70.0, 0.3, "after twenty fillings");
}
