//! Elements, radiated power and exposure.

use super::BadInput;
use super::answer::Answer;
use super::options::{Element, ElementKind, Exposure, Power, Reflecting};
use crate::rf::element::{end_effect, half_wave, quarter_wave, wavelength};
use crate::rf::exposure::{GroundReflection, distance};
use crate::rf::five_eighths;
use crate::rf::ground_plane::ground_plane;
use crate::rf::power::{eirp, erp};
use crate::rf::quantity::{Degrees, Millimetres, Quantity};

const WITHOUT_DIAMETER: &str = "the end effect depends on the diameter: give --diameter-mm";

pub(super) fn element(asked: &Element) -> Result<Answer, BadInput> {
    if asked.droop_degrees.is_some() && asked.kind != ElementKind::QuarterWave {
        return Err(BadInput("--droop-degrees belongs to --kind quarter-wave".to_owned()));
    }
    if asked.diameter_mm.is_some_and(|diameter| diameter.value() <= 0.0) {
        return Err(BadInput("--diameter-mm must be above 0".to_owned()));
    }
    let (source, free, resonant) = match asked.kind {
        ElementKind::HalfWave => (
            "λ = c/f; end effect k = 1 − 1/(4.6906 ln R − 6.1929), R = (λ/2)/d, fitted to NEC within 0.0012",
            half_wave(asked.frequency_mhz),
            asked
                .diameter_mm
                .map(|diameter| end_effect(asked.frequency_mhz, diameter).factor.value()),
        ),
        ElementKind::QuarterWave => (
            "λ = c/f; ground plane with four quarter-wave radials by NEC, within 1 % of length; flat radials where no droop is given",
            quarter_wave(asked.frequency_mhz),
            asked.diameter_mm.map(|diameter| quarter_wave_factor(asked, diameter)),
        ),
        ElementKind::FiveEighths => ("λ = c/f", five_eighths::length(asked.frequency_mhz), None),
    };
    let why_not = match asked.kind {
        ElementKind::FiveEighths => {
            "a five-eighths wave has no resonant length: it is matched by a coil or tap"
        }
        ElementKind::HalfWave | ElementKind::QuarterWave => WITHOUT_DIAMETER,
    };
    let unsaid = f64::NAN;
    let length = resonant.map(|factor| free.value() * factor / 1000.0);
    Ok(Answer::from_source(source)
        .quantity("wavelength_m", wavelength(asked.frequency_mhz), "")
        .quantity("free_space_length_m", free.metres(), "")
        .number("end_effect_factor", resonant.unwrap_or(unsaid), "", why_not)
        .number("length_m", length.unwrap_or(unsaid), "m", why_not))
}

/// The table of ground planes is for a radiator of 10 mm; another diameter shortens by the ratio of the
/// dipole's end effects.
fn quarter_wave_factor(asked: &Element, diameter: Millimetres) -> f64 {
    let droop = asked.droop_degrees.unwrap_or(Degrees::fixed(0.0));
    let plane = ground_plane(asked.frequency_mhz, droop);
    let effect = |diameter| end_effect(asked.frequency_mhz, diameter).factor.value();
    let thinner = effect(diameter) / effect(Millimetres::fixed(10.0));
    plane.radiator.value() / quarter_wave(asked.frequency_mhz).value() * thinner
}

pub(super) fn power(asked: &Power) -> Answer {
    let radiated = erp(asked.transmitter_w, asked.loss_db, asked.gain_dbd);
    Answer::from_source("ERP = P · 10^((G − L)/10); EIRP = 1.640922 · ERP")
        .quantity("erp_w", radiated, "")
        .quantity("eirp_w", eirp(radiated), "")
}

pub(super) fn exposure(asked: &Exposure) -> Result<Answer, BadInput> {
    if asked.limit_w_m2.value() <= 0.0 {
        return Err(BadInput("--limit-w-m2 must be above 0".to_owned()));
    }
    let ground = match asked.reflection {
        Reflecting::Free => GroundReflection::None,
        Reflecting::Ground => GroundReflection::Typical,
        Reflecting::Full => GroundReflection::Total,
    };
    let found =
        distance(asked.erp_w, asked.limit_w_m2, ground, asked.frequency_mhz, asked.aperture_m);
    let source = "S = F · EIRP/(4πR²), FCC OET Bulletin 65; not valid within the larger of λ/2π and 2D²/λ. No assessment: local rules and all stations on the site come first";
    Ok(Answer::from_source(source)
        .quantity("distance_m", found.formula, "")
        .quantity("near_field_bound_m", found.near_bound, "")
        .yes("valid", found.valid()))
}
