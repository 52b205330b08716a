//! The transmitter's power, what is radiated of it, and what else the regulator asks to be measured.

use crate::acceptance::report::authorised::{erp, power_made};
use crate::acceptance::report::items;
use crate::acceptance::report::said::{or_not_measured, when_and_who};
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::paper::{Document, Level};

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let dossier = sources.dossier;
    let record = &dossier.record;
    let authorised = record.assignment().map(|one| &one.particulars);
    let reading = record.installed();
    let forward = reading.map(|(_, reading)| reading.powers.forward.to_string());
    let mut facts = vec![
        ("Authorised power", or_not_measured(authorised.map(|one| &one.power))),
        ("Measured", power_made(dossier.findings.installed(record), forward)),
        ("Authorised ERP", or_not_measured(authorised.map(|one| &one.erp))),
        ("ERP reckoned", erp(dossier, dossier.findings.installed(record))),
    ];
    if let Some((fact, _)) = reading {
        facts.push(("From the reading of", when_and_who(record, fact)));
    }
    report.heading(Level::Part, "Power");
    report.facts(facts);
    report.small(
        "Power is what the directional meter reads forward at its output, not what the transmitter is rated \
         for. Frequency, deviation and unwanted emissions are measured with instruments of their own: what \
         the list of checks asks of them stands below, and nothing else is claimed.",
    );
    items::told(report, sources, Topic::Power);
}
