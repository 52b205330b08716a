//! The antenna's part of the form. Its fields are named `antenna_…` whatever its kind.

use crate::equipment::form::fill::text;
use crate::equipment::form::read::within_or_empty;
use crate::equipment::model::{DcState, Element, HalfWaveDipole, Matching, Plate, Setting, Spec};
use crate::rf::quantity::{GainDbd, Metres, Millimetres};
use crate::sites::model::{HEIGHT, POWER};
use crate::web::{Checking, Fields};

// What can be meant, not what is good: a figure outside is a slip of unit or of decimal point.
// Common practice, no source.
const DIAMETER: (Millimetres, Millimetres) = (Millimetres::fixed(1.0), Millimetres::fixed(120.0));
const HALF: (Millimetres, Millimetres) = (Millimetres::fixed(200.0), Millimetres::fixed(2000.0));
const GAIN: (GainDbd, GainDbd) = (GainDbd::fixed(-10.0), GainDbd::fixed(6.0));
const SPACING: (Metres, Metres) = (Metres::fixed(0.05), Metres::fixed(50.0));

/// The antenna that the fields declare.
pub(super) fn read(checking: &mut Checking, prefix: &str) -> Option<Spec> {
    let name = |field: &str| format!("{prefix}_{field}");
    let setting = checking.word(&name("setting"), Setting::from_word);
    let element_diameter = checking.typed_within(&name("diameter_mm"), DIAMETER);
    let shortest = checking.typed_within(&name("shortest_mm"), HALF);
    let longest = checking.typed_within(&name("longest_mm"), HALF);
    if let (Some(shortest), Some(longest)) = (&shortest, &longest)
        && shortest.value() >= longest.value()
    {
        let message = format!("{longest} is not longer than the shortest setting, {shortest}");
        checking.refuse(&name("longest_mm"), message);
    }
    let matching = checking.word(&name("matching"), Matching::from_word);
    let gain = checking.typed_within(&name("gain_dbd"), GAIN);
    let dc_state = checking.word(&name("dc_state"), DcState::from_word);
    let rated_power = within_or_empty(checking, &name("rated_power_w"), POWER);
    let height = checking.typed_within(&name("height_m"), HEIGHT);
    let spacing = within_or_empty(checking, &name("spacing_m"), SPACING);
    Some(Spec::HalfWaveDipole(HalfWaveDipole {
        element: Element {
            setting: setting?,
            element_diameter: element_diameter?,
            shortest: shortest?,
            longest: longest?,
        },
        matching: matching?,
        plate: Plate {
            gain: gain?,
            dc_state: dc_state?,
            rated_power: rated_power?,
            height: height?,
            spacing: spacing?,
            polarization: None,
        },
    }))
}

/// The fields filled from an antenna.
///
/// - `name`: the whole name of a field from its end
pub(super) fn fill(fields: Fields, spec: &Spec, name: &impl Fn(&str) -> String) -> Fields {
    match spec {
        Spec::HalfWaveDipole(spec) => dipole(fields, spec, name),
        _ => fields,
    }
}

fn dipole(fields: Fields, dipole: &HalfWaveDipole, name: &impl Fn(&str) -> String) -> Fields {
    fields
        .with(&name("setting"), dipole.element.setting.word())
        .with(&name("diameter_mm"), dipole.element.element_diameter.text())
        .with(&name("shortest_mm"), dipole.element.shortest.text())
        .with(&name("longest_mm"), dipole.element.longest.text())
        .with(&name("matching"), dipole.matching.word())
        .with(&name("gain_dbd"), dipole.plate.gain.text())
        .with(&name("dc_state"), dipole.plate.dc_state.word())
        .with(&name("rated_power_w"), text(dipole.plate.rated_power.as_ref()))
        .with(&name("height_m"), dipole.plate.height.text())
        .with(&name("spacing_m"), text(dipole.plate.spacing.as_ref()))
}
