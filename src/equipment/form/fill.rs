//! A chain -> the fields of its form.

use crate::equipment::form::{antenna, prefix};
use crate::equipment::model::{Chain, Line, OWN_CABLE, Rated, Spec};
use crate::rf::quantity::{LossDb, Percent, Quantity, Typed};
use crate::web::Fields;

/// The fields for a first revision: nothing is known, and the parts most chains have are expected.
#[must_use]
pub fn fresh(empty: Fields) -> Fields {
    empty
        .with("version", 0)
        .with("meter_fitted", "yes")
        .with("jumper_fitted", "yes")
        .with("arrester_fitted", "yes")
        .with("connectors_fitted", "yes")
}

/// The fields filled from a revision: what is declared stays until somebody changes it. The reason is
/// not filled in: each revision has its own.
#[must_use]
pub fn filled(empty: Fields, chain: &Chain) -> Fields {
    let mut fields = empty.with("version", chain.revision);
    for kind in ["meter", "jumper", "arrester", "connectors"] {
        let there = chain.parts.iter().any(|part| prefix(&part.spec) == kind);
        fields = fields.with(&format!("{kind}_fitted"), if there { "yes" } else { "no" });
    }
    for part in &chain.parts {
        let name = |field: &str| format!("{}_{field}", prefix(&part.spec));
        fields = fields
            .with(&name("designation"), &part.designation)
            .with(&name("serial"), &part.serial);
        fields = declared(fields, &part.spec, &name);
    }
    fields
}

fn declared(fields: Fields, spec: &Spec, name: &impl Fn(&str) -> String) -> Fields {
    match spec {
        Spec::Transmitter(spec) => fields.with(&name("rated_power_w"), spec.rated_power.text()),
        Spec::DirectionalMeter(spec) => {
            let fields = rated(fields, &spec.rated, name);
            loss(fields, &spec.loss, spec.loss_tolerance.as_ref(), name)
        }
        Spec::GasTubeArrester(spec) => loss(fields, &spec.loss, spec.loss_tolerance.as_ref(), name)
            .with(&name("sparkover_v"), spec.sparkover.text())
            .with(&name("tolerance_percent"), spec.tolerance.text())
            .with(&name("rated_power_w"), text(spec.rated_power.as_ref()))
            .with(&name("swr"), spec.worst_swr.text()),
        Spec::Jumper(spec) | Spec::FeedLine(spec) => line(fields, spec, name),
        Spec::Connectors(spec) => {
            let fields = loss(fields, &spec.loss, spec.loss_tolerance.as_ref(), name);
            rated(fields, &spec.rated, name)
                .with(&name("count"), spec.count)
                .with(&name("swr"), spec.worst_swr.text())
        }
        _ => antenna::fill(fields, spec, name),
    }
}

fn rated(fields: Fields, rated: &Rated, name: &impl Fn(&str) -> String) -> Fields {
    fields
        .with(&name("rated_power_w"), text(rated.rated_power.as_ref()))
        .with(&name("rated_peak_v"), text(rated.rated_peak.as_ref()))
}

fn loss(
    fields: Fields,
    loss: &Typed<LossDb>,
    tolerance: Option<&Typed<Percent>>,
    name: &impl Fn(&str) -> String,
) -> Fields {
    fields
        .with(&name("loss_db"), loss.text())
        .with(&name("loss_tolerance_percent"), text(tolerance))
}

fn line(fields: Fields, line: &Line, name: &impl Fn(&str) -> String) -> Fields {
    let fields = rated(fields, &line.rated, name)
        .with(&name("cable"), &line.cable)
        .with(&name("length_m"), line.length.text())
        .with(&name("swr"), line.worst_swr.text());
    if line.cable != OWN_CABLE {
        // The table's constants are taken from the table again, and would look like own ones here.
        return fields;
    }
    fields
        .with(&name("conductor_db"), line.conductor_loss.text())
        .with(&name("dielectric_db"), line.dielectric_loss.text())
        .with(&name("tolerance_percent"), line.tolerance.text())
        .with(&name("velocity"), line.velocity_factor.text())
        .with(&name("source"), &line.source)
}

pub(super) fn text<Q: Quantity>(typed: Option<&Typed<Q>>) -> &str {
    typed.map_or("", Typed::text)
}
