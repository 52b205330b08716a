//! Ground electrodes and soil.

use super::BadInput;
use super::answer::Answer;
use super::options::{FallOfPotential, Rod, Soil};
use crate::rf::fall_of_potential::{SlopeReadings, slope, true_place};
use crate::rf::grounding::{resistivity, rod as one_rod, rods};
use crate::rf::quantity::Quantity;

pub(super) fn rod(asked: &Rod) -> Result<Answer, BadInput> {
    let (length, diameter) = (asked.length_m.value(), asked.diameter_mm.value() / 1000.0);
    if length <= 0.0 || diameter <= 0.0 || diameter > length {
        let why = "--length-m and --diameter-mm must be above 0, and the rod longer than thick";
        return Err(BadInput(why.to_owned()));
    }
    let one = one_rod(asked.resistivity_ohm_m, asked.length_m, asked.diameter_mm);
    let source = "ρ/(2πL)(ln(8L/d) − 1), Dwight 1936, IEEE Std 142; several rods one length apart by that standard's factors";
    Ok(Answer::from_source(source).quantity("resistance_ohm", rods(one, asked.rods), ""))
}

pub(super) fn soil(asked: &Soil) -> Answer {
    Answer::from_source("ρ = 2πaR, F. Wenner, IEEE Std 81").quantity(
        "resistivity_ohm_m",
        resistivity(asked.spacing_m, asked.resistance_ohm),
        "",
    )
}

pub(super) fn fall_of_potential(asked: &FallOfPotential) -> Answer {
    let readings = SlopeReadings {
        current_pin: asked.current_probe_m,
        at_0_2: asked.r20_ohm,
        at_0_4: asked.r40_ohm,
        at_0_6: asked.r60_ohm,
    };
    let answer = Answer::from_source("slope method, G. F. Tagg: μ = (R60 − R40)/(R40 − R20)");
    match true_place(&readings) {
        Ok(place) => answer
            .quantity("slope", place.slope, "")
            .quantity("potential_probe_share", place.part, "")
            .quantity("potential_probe_m", place.distance, ""),
        Err(error) => {
            let why = error.to_string();
            let steep = slope(&readings).unwrap_or(f64::NAN);
            answer
                .number("slope", steep, "", &why)
                .unsaid("potential_probe_share", &why)
                .unsaid("potential_probe_m", &why)
        }
    }
}
