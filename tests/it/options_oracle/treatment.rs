//! Fillings, baths and money for fluid, implemented again: strengths by volume, step after step.

use super::judge::tissue;
use super::survey::{OracleSettings, OracleSpecimen};
use super::tables::{FLUIDS, TRANSFERS};

/// The number of fillings, and the money for all fluid of the row.
pub struct Treated {
    pub charges: u32,
    pub money: f64,
}

/// The treatment for one filling of this volume, where tissue is `share` of the filled volume. Strengths within `slack` (per cent)
/// of the weakest allowed pass.
pub fn treated(
    specimen: &OracleSpecimen,
    settings: &OracleSettings,
    share: Option<f64>,
    filling_ml: i64,
    slack: f64,
) -> Treated {
    let baths = steps(specimen);
    let (charges, strong_enough) = fillings(specimen, settings, share, &baths, slack);
    let kept = kept(specimen, settings, filling_ml, slack);
    let kept = if charges == 1 && strong_enough { kept } else { 0 };
    let bath_ml = match (settings.baths_in_vessel, tissue(specimen, settings, true)) {
        (true, _) => filling_ml,
        (false, Some(tissue)) => (settings.tub_ratio * tissue).round() as i64,
        (false, None) => 0,
    };
    let own = (i64::from(charges) * filling_ml - kept) as f64 * price(specimen.fluid, settings);
    let on_the_way: f64 = baths.iter().map(|&bath| bath_ml as f64 * price(bath, settings)).sum();
    Treated { charges, money: (own + on_the_way) / 1000.0 }
}

/// The price of a litre with loss and tax, to four decimals.
fn price(fluid: usize, settings: &OracleSettings) -> f64 {
    let price = FLUIDS[fluid].price_per_litre * (1.0 + settings.loss_pct / 100.0) * (1.0 + settings.tax_pct / 100.0);
    (price * 1e4).round() / 1e4
}

/// The baths before the last, by the steps from the present fluid itself, else from its family.
fn steps(specimen: &OracleSpecimen) -> Vec<usize> {
    let Some(current) = specimen.current_fluid.filter(|current| *current != specimen.fluid) else { return Vec::new() };
    let to = FLUIDS[specimen.fluid].id;
    let from = |name: &str| TRANSFERS.iter().find(|(from, known, _)| *from == name && *known == to);
    let Some((_, _, baths)) = from(FLUIDS[current].id).or_else(|| from(FLUIDS[current].family)) else {
        return Vec::new();
    };
    let named = |id: &&str| FLUIDS.iter().position(|fluid| fluid.id == *id).expect("a bath is a fluid");
    baths[..baths.len() - 1].iter().map(named).collect()
}

/// Strength in per cent of the wanted fluid's solute; two formaldehydes share it, any other fluid only with itself.
fn strength(fluid: usize, measured: Option<f64>, wanted: usize) -> f64 {
    let formaldehydes = [fluid, wanted].iter().all(|fluid| FLUIDS[*fluid].family == "formaldehyde");
    let own = if fluid == wanted || formaldehydes { measured.or(FLUIDS[fluid].strength_pct) } else { None };
    own.unwrap_or(0.0)
}

/// The least number of fillings after which the strength is high enough, and whether any number up to nine is.
fn fillings(
    specimen: &OracleSpecimen,
    settings: &OracleSettings,
    share: Option<f64>,
    baths: &[usize],
    slack: f64,
) -> (u32, bool) {
    let wanted = specimen.fluid;
    let current = specimen.current_fluid.unwrap_or(wanted);
    let (Some(full), Some(share)) = (FLUIDS[wanted].strength_pct, share) else { return (1, true) };
    if current == wanted && specimen.strength_pct.is_none() {
        return (1, true);
    }
    let exchange = settings.exchange_pct / 100.0;
    let step = |held: f64, filling: f64, fluid: f64, liquid: f64| (filling * fluid + held * liquid) / (fluid + liquid);
    let mut held = strength(current, specimen.strength_pct, wanted);
    for &bath in baths {
        let bath = strength(bath, None, wanted);
        held = match settings.baths_in_vessel {
            true => step(held, bath, 1.0 - share, share * exchange),
            false => step(held, bath, settings.tub_ratio, exchange),
        };
    }
    let weakest = full * (1.0 - settings.weaker_pct / 100.0);
    for charges in 1..=9 {
        held = step(held, full, 1.0 - share, share * exchange);
        if held >= weakest - slack {
            return (charges, true);
        }
    }
    (9, false)
}

/// The volume kept of the present fluid: stated, of the wanted fluid, and only where the mixture does not end too weak.
fn kept(specimen: &OracleSpecimen, settings: &OracleSettings, filling_ml: i64, slack: f64) -> i64 {
    let (Some(volume), true) = (specimen.current_ml, specimen.current_fluid == Some(specimen.fluid)) else { return 0 };
    let kept = (volume.round() as i64).min(filling_ml);
    if !settings.reuse || kept <= 0 {
        return 0;
    }
    let (Some(full), Some(measured)) = (FLUIDS[specimen.fluid].strength_pct, specimen.strength_pct) else {
        return kept;
    };
    let whole = (full * (filling_ml - kept) as f64 + measured * kept as f64) / filling_ml as f64;
    if whole >= full * (1.0 - settings.weaker_pct / 100.0) - slack { kept } else { 0 }
}
