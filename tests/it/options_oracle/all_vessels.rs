//! Judging a row against all vessels at once gives the same result as judging them one by one.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{DrawnSurvey, SURVEYS, files, tables};
use rehouse::collection::{Envelope, Outline, Particulars, Posture, Size, Specimen, Tissue};
use rehouse::intake;
use rehouse::options::in_fluid::InFluid;
use rehouse::options::judge::{Candidate, judge, nearness};
use rehouse::options::portions::Portion;
use rehouse::options::{Fit, Treatment, Vessels};
use rehouse::project::Project;
use rehouse::stock::Section;
use rehouse::units::{Length, Volume};

fn project(drawn: &DrawnSurvey) -> Project {
    let mut texts: BTreeMap<String, Vec<u8>> =
        tables::files().into_iter().map(|(name, text)| (name.to_owned(), text.into())).collect();
    texts.insert("specimens.csv".to_owned(), files::specimens_file(&drawn.specimens, &drawn.vessels).into());
    texts.insert("vessels.csv".to_owned(), files::vessels_file(&drawn.vessels).into());
    texts.insert("settings.toml".to_owned(), files::settings_file(&drawn.settings).into());
    let reading = intake::read_texts(&texts, &[], false);
    reading.project.unwrap_or_else(|| panic!("{:#?}", reading.diagnostics))
}

/// The number of vessels that take a row; asserts that both ways to ask agree.
fn asked_in_every_way(project: &Project, vessels: &Vessels, specimen: &Specimen) -> usize {
    let treatment = Treatment::of(project, specimen);
    let candidate = Candidate::of(project, specimen, &treatment);
    let one_by_one: Vec<_> = project.stock.listed().map(|(id, _)| (id, judge(project, specimen, id))).collect();
    let fits: Vec<_> = one_by_one.iter().filter_map(|(id, judged)| Some((*id, judged.ok()?))).collect();
    let portion = |fit: &Fit| Portion { pieces: fit.pieces, charges: fit.charges, filled: fit.filled };
    let of_fits: Vec<_> = fits.iter().map(|(id, fit)| (*id, portion(fit))).collect();
    let portions = candidate.portions(vessels);
    assert_eq!(portions.list(vessels), of_fits, "{specimen:?}");
    assert_eq!(portions.is_empty(), of_fits.is_empty());
    assert!(fits.iter().all(|(_, fit)| fit.tissue == candidate.tissue()));
    let refused = one_by_one.iter().filter_map(|(id, judged)| Some((*id, judged.err()?)));
    assert_eq!(candidate.near_miss(vessels), refused.min_by_key(|(id, refusal)| (nearness(refusal), *id)));
    fits.len()
}

#[test]
fn all_vessels_at_once_are_judged_as_one_by_one() {
    let mut taken = 0;
    for seed in 0..SURVEYS {
        let project = project(&DrawnSurvey::new(seed));
        let vessels = Vessels::of_survey(&project);
        for specimen in project.collection.specimens.iter().filter(|specimen| specimen.size != Size::Unknown) {
            taken += asked_in_every_way(&project, &vessels, specimen);
        }
    }
    assert!(taken > 1_000, "only {taken} vessels take a row");
}

/// Bodies just as large as each vessel takes, and slightly larger and smaller, by less and by more than the tolerance for touching.
#[test]
fn bodies_that_touch_are_judged_as_one_by_one() {
    let (mut touching, mut too_large) = (0, 0);
    for seed in 0..SURVEYS {
        let project = project(&DrawnSurvey::new(seed));
        let vessels = Vessels::of_survey(&project);
        for (specimen, (id, _)) in project.collection.specimens.iter().zip(project.stock.listed()) {
            let InFluid { vessel, fill, cover, wall, .. } = InFluid::of(&project, specimen.fluid, id);
            let tall = fill.height.less(cover).min(vessel.body_height).less(project.settings.floor);
            let free = vessel.section.less(wall * 2.0);
            for more in [-1e-3, -1e-9, 0.0, 5e-10, 2e-9, 1e-7, 1e-3] {
                let grown = |length: Length| Length::at_least_zero(length.mm() + more);
                let (along, across) = match free {
                    Section::Round(bore) => (grown(bore), grown(bore)),
                    Section::Rectangular(length, width) => (grown(length), grown(width)),
                };
                let size = Size::Measured(Envelope { length: grown(tall), width: along, height: across });
                let specimen = Specimen {
                    size,
                    posture: Posture::Upright,
                    outline: if more == 0.0 { Outline::Rounded } else { specimen.outline },
                    tissue: Tissue::Volume(Volume::ZERO),
                    particulars: Arc::new(Particulars {
                        clearance: None,
                        must_use: Vec::new(),
                        must_not_use: Vec::new(),
                        ..(*specimen.particulars).clone()
                    }),
                    ..specimen.clone()
                };
                asked_in_every_way(&project, &vessels, &specimen);
                match judge(&project, &specimen, id) {
                    Ok(_) if more == 5e-10 || more == 0.0 => touching += 1,
                    Err(_) if more == 2e-9 => too_large += 1,
                    _ => {}
                }
            }
        }
    }
    assert!(touching > 100 && too_large > 500, "{touching} touch, {too_large} are too large");
}
