//! How a row is transferred to its fluid: the steps from the fluid it is in, and the number of fillings until the liquid in the
//! tissue no longer weakens the fluid too much.
//!
//! A filling and the liquid in the tissue mix to one strength ([`crate::fluid::tissue`]). Alcohols and glycerol are calculated by
//! mass; fluids whose strength is only a number (formalin's is grams in 100 ml) by volume. A fluid of another kind than the fluid
//! wanted counts as water: it adds nothing to its strength.

use super::Marks;
use crate::collection::{Size, Specimen};
use crate::fluid::{Solute, Solution, pour_together};
use crate::project::Project;
use crate::rules::{Family, Fluid, FluidId, Transfer};
use crate::settings::{BathsIn, ReuseFluid, Settings};
use crate::units::{MassFraction, Millilitres, Temperature, Volume};

/// How a row is transferred to its fluid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Route<'a> {
    /// The present fluid is not stated: assumed to be the fluid it will be kept in.
    NotStated,
    /// It is in its own fluid.
    Own,
    /// It is in another fluid, and these are the steps.
    Steps(&'a Transfer),
    /// It is in another fluid, and no steps are known.
    NotKnown,
    /// It is in a fluid of the same family, of unknown strength.
    Unmeasured,
}

/// What is done to one row, whatever vessel it goes into.
#[derive(Clone, Debug)]
pub struct Treatment<'a> {
    /// How it is transferred to its fluid.
    pub route: Route<'a>,
    /// The fluid it is in is known by its family alone, and its strength was not measured.
    strength_not_known: bool,
    reckoning: Option<Reckoning>,
    exchange: f64,
    /// Factor on the days of each bath, from the thickness of the body.
    slower: f64,
}

/// The strengths on the route, where they are known.
#[derive(Clone, Debug)]
struct Reckoning {
    /// The fluid it is kept in.
    fluid: KindStrength,
    /// The least strength that it may have at the end, in the same measure as the fluid.
    weakest: f64,
    /// The fluid in the tissue when the vessel is first filled: before the baths if they are run in the vessel, otherwise after
    /// them.
    held: KindStrength,
    /// Baths to be run in the vessel.
    baths: Vec<KindStrength>,
}

/// The strength of a fluid, by mass or by volume, as that of the fluid wanted is stated.
#[derive(Clone, Copy, Debug, PartialEq)]
enum KindStrength {
    ByMass(Solution),
    /// Per cent by volume, for liquids whose volumes add up when mixed.
    ByVolume(f64),
}

/// How many times a vessel is filled with fresh fluid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fillings {
    /// At least 1.
    pub charges: u32,
    /// Whether these are known to reach the strength wanted.
    pub enough: bool,
}

/// Most fillings that are planned. A lot that would need more should go through baths first.
pub const MOST_FILLINGS: u32 = 9;

impl<'a> Treatment<'a> {
    /// What is done to a row.
    pub fn of(project: &'a Project, specimen: &Specimen) -> Self {
        let settings = &project.settings;
        let route = route(project, specimen);
        let in_vessel = settings.baths_in == BathsIn::Vessel;
        let exchange = settings.exchange.ratio();
        let measured = specimen.particulars.current_strength_pct.is_some();
        let strength_not_known = strength_not_known(project, specimen);
        let reckoning = match route {
            // In its own fluid at strength, nothing need be calculated; at an unknown strength, nothing can be.
            Route::NotStated | Route::Own | Route::Unmeasured if !measured => None,
            _ => Reckoning::of(project, specimen, route, in_vessel),
        };
        Treatment { route, strength_not_known, reckoning, exchange, slower: slower(settings, specimen) }
    }

    /// The baths before the vessel is filled with the fluid itself, in order.
    pub fn baths(&self) -> &'a [FluidId] {
        match self.route {
            Route::Steps(Transfer { baths, .. }) => &baths[..baths.len().saturating_sub(1)],
            _ => &[],
        }
    }

    /// Days of all baths together.
    pub fn bath_days(&self) -> f64 {
        self.days_of_baths().iter().sum()
    }

    /// Whole days of each bath: the table of transfers has them for a body of the thickness in the settings; they grow with the square
    /// of the thickness. Baths of at most a day in the table are not lengthened: such steps are watched.
    pub fn days_of_baths(&self) -> Vec<f64> {
        let Route::Steps(transfer) = self.route else { return Vec::new() };
        let days = |days: &f64| if *days <= 1.0 { *days } else { (days * self.slower - 1e-9).ceil().max(1.0) };
        transfer.days.iter().take(self.baths().len()).map(days).collect()
    }

    /// Whether the number of fillings depends on the tissue; otherwise it is 1.
    pub fn depends_on_tissue(&self) -> bool {
        self.reckoning.is_some()
    }

    /// The number of fillings, where the tissue takes up this share of the filled volume.
    pub fn fillings(&self, tissue_share: Option<f64>) -> Fillings {
        let Some(reckoning) = &self.reckoning else {
            let unknown = matches!(self.route, Route::Steps(_) | Route::NotKnown | Route::Unmeasured);
            return Fillings { charges: 1, enough: !unknown };
        };
        let Some(share) = tissue_share else { return Fillings { charges: 1, enough: false } };
        let (fluid, tissue) = (1.0 - share, share * self.exchange);
        let mut held = reckoning.held;
        for &bath in &reckoning.baths {
            held = mix(bath, fluid, held, tissue);
        }
        for charges in 1..=MOST_FILLINGS {
            held = mix(reckoning.fluid, fluid, held, tissue);
            if held.percent() >= reckoning.weakest {
                return Fillings { charges, enough: true };
            }
        }
        Fillings { charges: MOST_FILLINGS, enough: false }
    }

    /// What must be reviewed about it. `enough`: whether the fillings are known to be enough.
    pub fn marks(&self, enough: bool) -> Marks {
        let said = matches!(self.route, Route::NotKnown) || self.strength_not_known;
        Marks {
            steps_unknown: self.route == Route::NotKnown,
            strength_not_known: self.strength_not_known,
            fillings_unknown: !enough && !said,
            ..Marks::default()
        }
    }

    /// Present fluid that is kept as part of one filling, where the settings allow it. Fluid of another kind, fluid that is not stated,
    /// and fluid so weak that the filling would become too weak are never kept.
    pub fn reused(&self, settings: &Settings, specimen: &Specimen, charges: u32, filling: Millilitres) -> Millilitres {
        let kept = specimen.current_fluid().unwrap_or(Millilitres::ZERO).min(filling);
        if settings.reuse_fluid == ReuseFluid::No
            || self.route != Route::Own
            || charges != 1
            || kept <= Millilitres::ZERO
        {
            return Millilitres::ZERO;
        }
        let Some(reckoning) = &self.reckoning else { return kept };
        // The liquid in the tissue is as weak as the present fluid, so the fluid alone decides.
        let fresh = (filling - kept).0 as f64;
        let whole = mix(reckoning.fluid, fresh, reckoning.held, kept.0 as f64);
        if whole.percent() >= reckoning.weakest { kept } else { Millilitres::ZERO }
    }
}

/// Time of diffusion into a body relative to a body of the thickness that the table's days are for: the square of the ratio of their
/// thinnest sides (a slab; Crank, The Mathematics of Diffusion, 1975, section 4.3), at most [`MOST_SLOWER`]. 1 where it was not
/// measured.
fn slower(settings: &Settings, specimen: &Specimen) -> f64 {
    let Size::Measured(envelope) = specimen.size else { return 1.0 };
    let thinnest = envelope.length.min(envelope.width).min(envelope.height);
    (thinnest.mm() / settings.bath_thickness.mm()).powi(2).min(MOST_SLOWER)
}

/// Bodies that would take longer must be opened or injected first (common practice, no source).
const MOST_SLOWER: f64 = 4.0;

/// Whether the present fluid is known by its family alone, and its strength was not measured. Oils and aqueous fluids have none.
pub fn strength_not_known(project: &Project, specimen: &Specimen) -> bool {
    let by_family = |id| {
        let fluid = project.rules.fluid(id);
        fluid.present_only && !matches!(fluid.family, Family::Oil | Family::Aqueous)
    };
    specimen.current_fluid.is_some_and(by_family) && specimen.particulars.current_strength_pct.is_none()
}

/// The route from the present fluid of a row to its own: steps for that very fluid before steps for its family.
pub fn route<'a>(project: &'a Project, specimen: &Specimen) -> Route<'a> {
    let Some(current) = specimen.current_fluid else { return Route::NotStated };
    if current == specimen.fluid {
        return Route::Own;
    }
    let rules = &project.rules;
    let (id, family) = (rules.fluid(current).id.as_str(), rules.fluid(current).family.name());
    let to = || rules.transfers.iter().filter(|transfer| transfer.to == specimen.fluid && !transfer.baths.is_empty());
    let known = to().find(|transfer| transfer.from == id).or_else(|| to().find(|transfer| transfer.from == family));
    let unmeasured =
        rules.fluid(current).present_only && rules.fluid(current).family == rules.fluid(specimen.fluid).family;
    known.map_or(if unmeasured { Route::Unmeasured } else { Route::NotKnown }, Route::Steps)
}

impl Reckoning {
    fn of(project: &Project, specimen: &Specimen, route: Route, in_vessel: bool) -> Option<Self> {
        let (rules, settings) = (&project.rules, &project.settings);
        let wanted = rules.fluid(specimen.fluid);
        let fluid = KindStrength::of_itself(wanted)?;
        let present = rules.fluid(specimen.current_fluid.unwrap_or(specimen.fluid));
        let mut held = fluid.of_kind(wanted, present, specimen.particulars.current_strength_pct);
        let steps = match route {
            Route::Steps(transfer) => &transfer.baths[..transfer.baths.len().saturating_sub(1)],
            _ => &[],
        };
        let mut baths: Vec<KindStrength> =
            steps.iter().map(|&bath| fluid.of_kind(wanted, rules.fluid(bath), None)).collect();
        if !in_vessel {
            for bath in std::mem::take(&mut baths) {
                held = mix(bath, settings.tub_ratio.0, held, settings.exchange.ratio());
            }
        }
        let weakest = fluid.percent() * (1.0 - settings.weaker_pct.ratio());
        Some(Reckoning { fluid, weakest, held, baths })
    }
}

impl KindStrength {
    fn of_itself(fluid: &Fluid) -> Option<Self> {
        Solution::named(&fluid.id).map(KindStrength::ByMass).or(fluid.strength_pct.map(KindStrength::ByVolume))
    }

    /// The strength of another fluid in the solute of this one, 0 for another kind. `measured`: its strength, where it was measured.
    fn of_kind(self, wanted: &Fluid, other: &Fluid, measured: Option<f64>) -> Self {
        match self {
            KindStrength::ByMass(solution) => {
                let other = Solution::named(&other.id)
                    .filter(|other| alike(other.solute, solution.solute))
                    .and_then(|other| measured.map_or(Some(other), |strength| Solution::of(other.solute, strength)));
                let by_mass = other.map_or(MassFraction::NONE, |other| other.by_mass);
                KindStrength::ByMass(Solution { by_mass, ..solution })
            }
            KindStrength::ByVolume(_) => {
                let formalins = wanted.family == Family::Formaldehyde && other.family == Family::Formaldehyde;
                let alike = formalins || wanted.id == other.id;
                let strength = measured.or(other.strength_pct).filter(|_| alike);
                KindStrength::ByVolume(strength.unwrap_or(0.0))
            }
        }
    }

    /// In per cent, as the trade states it.
    fn percent(self) -> f64 {
        match self {
            KindStrength::ByMass(solution) => solution.strength_pct(),
            KindStrength::ByVolume(percent) => percent,
        }
    }
}

/// Whether two solutes are of one kind: denatured alcohol is calculated as ethanol, as in its densities.
fn alike(one: Solute, other: Solute) -> bool {
    let ethanol = |solute| matches!(solute, Solute::Ethanol | Solute::DenaturedAlcohol);
    one == other || (ethanol(one) && ethanol(other))
}

/// The strength of `fluid` parts of a filling mixed with `tissue` parts of the liquid `held` by the tissue, at 20 °C.
fn mix(filling: KindStrength, fluid: f64, held: KindStrength, tissue: f64) -> KindStrength {
    match (filling, held) {
        (KindStrength::ByMass(filling), KindStrength::ByMass(held)) => {
            // Of one kind, and at 20 °C, where all densities are known.
            let [fluid, tissue] = [fluid, tissue].map(Volume::at_least_zero);
            let mixed = pour_together(filling, fluid, held, tissue, Temperature::STANDARD);
            KindStrength::ByMass(mixed.map_or(held, |blend| blend.solution))
        }
        (filling, held) => {
            let all = (fluid + tissue).max(f64::MIN_POSITIVE);
            KindStrength::ByVolume((filling.percent() * fluid + held.percent() * tissue) / all)
        }
    }
}
