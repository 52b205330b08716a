//! An antenna -> its fields.

use crate::equipment::form::antenna::{MatchedBy, SetBy};
use crate::equipment::form::fill::text;
use crate::equipment::model::{BaseMatch, Element, Plate, SetBetween, Spec};
use crate::rf::quantity::Quantity;
use crate::sites::model::Polarization;
use crate::web::Fields;

/// The fields filled from an antenna; of another part nothing is filled.
///
/// - `name`: the whole name of a field from its end
pub(in crate::equipment::form) fn fill(
    fields: Fields,
    spec: &Spec,
    name: &impl Fn(&str) -> String,
) -> Fields {
    let Some(antenna) = spec.antenna() else { return fields };
    let mut filled: Vec<(&str, String)> = vec![("kind", spec.kind().to_owned())];
    filled.extend(of_plate(antenna.plate));
    filled.extend(antenna.element().into_iter().flat_map(of_element));
    if let Some(radials) = antenna.radials() {
        filled.push(("radials", radials.radials.to_string()));
        filled.push(("radial_length_mm", radials.radial_length.text().to_owned()));
    }
    filled.extend(of_kind(spec));
    filled.into_iter().fold(fields, |fields, (field, value)| fields.with(&name(field), value))
}

fn of_plate(plate: &Plate) -> [(&'static str, String); 6] {
    [
        ("gain_dbd", plate.gain.text().to_owned()),
        ("dc_state", plate.dc_state.word().to_owned()),
        ("rated_power_w", text(plate.rated_power.as_ref()).to_owned()),
        ("height_m", plate.height.text().to_owned()),
        ("spacing_m", text(plate.spacing.as_ref()).to_owned()),
        ("polarization", plate.polarization.map_or("", Polarization::word).to_owned()),
    ]
}

fn of_element(element: &Element) -> [(&'static str, String); 4] {
    [
        ("setting", element.setting.word().to_owned()),
        ("diameter_mm", element.element_diameter.text().to_owned()),
        ("shortest_mm", element.shortest.text().to_owned()),
        ("longest_mm", element.longest.text().to_owned()),
    ]
}

fn ends<Q: Quantity>(
    names: [&'static str; 2],
    range: &SetBetween<Q>,
) -> [(&'static str, String); 2] {
    [(names[0], range.least.text().to_owned()), (names[1], range.most.text().to_owned())]
}

fn of_kind(spec: &Spec) -> Vec<(&'static str, String)> {
    match spec {
        Spec::HalfWaveDipole(spec) => vec![("matching", spec.matching.word().to_owned())],
        Spec::FoldedDipole(spec) => {
            let mut filled = vec![
                ("matching", spec.matching.word().to_owned()),
                ("conductor_spacing_mm", spec.conductor_spacing.text().to_owned()),
            ];
            let strap = spec.strap.iter();
            filled.extend(strap.flat_map(|range| ends(["strap_least_mm", "strap_most_mm"], range)));
            filled
        }
        Spec::GroundPlane(spec) => {
            ends(["droop_least_deg", "droop_most_deg"], &spec.droop).to_vec()
        }
        Spec::FiveEighths(spec) => match &spec.matched_by {
            BaseMatch::Coil(range) => {
                let mut filled = ends(["coil_least_turns", "coil_most_turns"], range).to_vec();
                filled.push(("matched_by", MatchedBy::Coil.word().to_owned()));
                filled
            }
            BaseMatch::Tap(range) => {
                let mut filled = ends(["tap_least_mm", "tap_most_mm"], range).to_vec();
                filled.push(("matched_by", MatchedBy::Tap.word().to_owned()));
                filled
            }
        },
        Spec::MultiBay(spec) => {
            let set = if spec.element.is_some() { SetBy::Stand } else { SetBy::Maker };
            vec![
                ("bay", spec.bay.word().to_owned()),
                ("bays", spec.bays.to_string()),
                ("bay_spacing_m", spec.bay_spacing.text().to_owned()),
                ("harness_loss_db", spec.harness_loss.text().to_owned()),
                ("bays_set", set.word().to_owned()),
            ]
        }
        Spec::FactoryTuned(spec) => vec![
            ("shape", spec.shape.word().to_owned()),
            ("bays", spec.bays.to_string()),
            ("extent_m", spec.extent.text().to_owned()),
            ("stated_swr", text(spec.stated_swr.as_ref()).to_owned()),
        ],
        _ => Vec::new(),
    }
}
