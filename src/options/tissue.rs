//! The volume of tissue in a lot. Crowding uses a high estimate and the volume of fluid a low one, so that neither is judged too
//! favourably.

use crate::collection::{Outline, Posture, Size, Specimen, Tissue};
use crate::settings::Settings;
use crate::units::Volume;

/// The volume of tissue in a lot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TissueVolume {
    /// The estimate used for crowding; `None` if nothing is known.
    pub high: Option<Volume>,
    /// The estimate used for the volume of fluid; `None` if nothing is known.
    pub low: Option<Volume>,
    /// Whether both are estimates from the size, because the tissue was neither measured nor weighed.
    pub estimated: bool,
}

/// The tissue of a lot: the measured volume, else the volume from its mass, else two estimates from the size, a high one for
/// crowding and a low one for the volume of fluid.
pub fn tissue(settings: &Settings, specimen: &Specimen) -> TissueVolume {
    let known = |volume| TissueVolume { high: Some(volume), low: Some(volume), estimated: false };
    match (specimen.tissue, specimen.size) {
        (Tissue::Volume(volume), _) => known(volume),
        (Tissue::Mass(mass), _) => known(Volume::at_least_zero(mass.g() / settings.tissue_density.0)),
        (Tissue::Unknown, Size::Measured(envelope)) => {
            let body = match specimen.posture {
                // A coiled body is a round rod of its length, whatever its outline is said to be.
                Posture::Coil => [std::f64::consts::FRAC_PI_4, COIL_LOW],
                _ => match specimen.outline {
                    Outline::Box => [settings.tissue_high_box.0, settings.tissue_low.0],
                    Outline::Rounded => [settings.tissue_high_rounded.0, settings.tissue_low.0],
                },
            };
            let [high, low] = specimen.particulars.body_factor.map_or(body, |factor| [factor, factor]);
            let all = envelope.volume() * f64::from(specimen.individuals);
            TissueVolume { high: Some(all * high), low: Some(all * low), estimated: true }
        }
        (Tissue::Unknown, _) => TissueVolume { high: None, low: None, estimated: false },
    }
}

/// Tissue of a body to be coiled over length × width × height, for the volume of fluid (common practice, no source).
const COIL_LOW: f64 = 0.5;
