//! What was authorised against what was built or measured, the particulars and their revisions.

use crate::acceptance::report::built;
use crate::acceptance::report::items;
use crate::acceptance::report::said::{
    NOT_MEASURED, entered, last_value, or_not_measured, revision_table, state,
};
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::ReadingFinding;
use crate::jobs::model::Record;
use crate::paper::{Column, Document, Level, Table, Words};

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let record = &sources.dossier.record;
    match &sources.dossier.findings.built {
        Some(found) => built::whole(report, sources.dossier, found),
        None => report.table(before_comparison(sources.dossier)),
    }
    report.small(
        "What is authorised is what the record holds of the licence. The licence itself is the authority’s \
         paper, and it comes first.",
    );
    items::told(report, sources, Topic::Authorised);
    report.heading(Level::Section, "Site and assignment");
    report.facts(site_facts(record));
    if record.assignments.len() > 1 {
        report.heading(Level::Section, "Revisions of the assignment");
        report.table(assignment_revisions(record));
    }
}

fn site_facts(record: &Record) -> Vec<(&'static str, String)> {
    let site = &record.site;
    let mut facts = vec![(
        "Site",
        format!(
            "{} ({}), {} of {}, times in {}",
            site.name,
            site.code,
            site.structure.shown(),
            site.structure_height,
            site.zone
        ),
    )];
    if let Some(one) = record.assignment() {
        let said = &one.particulars;
        let call_sign = if said.call_sign.is_empty() { "none stated" } else { &said.call_sign };
        facts.extend([
            ("Station", said.station_name.clone()),
            ("Call sign", call_sign.to_owned()),
            (
                "Revision of the assignment",
                format!("{}, entered {}", one.revision, entered(record, one.entered_at)),
            ),
        ]);
        facts.extend(said.licensed.shown());
    }
    facts
}

pub(super) fn authorised_and_built(dossier: &Dossier) -> Table {
    if let Some(found) = &dossier.findings.built {
        return built::short_table(dossier, found);
    }
    before_comparison(dossier)
}

/// Of a job that was accepted before figures were compared one by one.
fn before_comparison(dossier: &Dossier) -> Table {
    let mut table = Table::new(vec![
        Column::fit("What"),
        Column::text("Authorised", 1.0),
        Column::text("Built or measured", 2.2),
    ]);
    let record = &dossier.record;
    let reading = record.installed().map(|(_, reading)| reading);
    let finding = dossier.findings.installed(record);
    let authorised = record.assignment().map(|one| &one.particulars);
    let item = |id: &str| dossier.findings.item(id).map(|item| state(item.answer));
    let stated = |words: String, id: &str| {
        let words = Words::from(words);
        item(id).map_or(words.clone(), |state| words.plain("   ").state(&state))
    };
    table.row([
        Words::from("Frequency"),
        or_not_measured(authorised.map(|one| &one.frequency)).into(),
        or_not_measured(reading.map(|one| &one.frequency)).into(),
    ]);
    table.row([
        Words::from("Transmitter power"),
        or_not_measured(authorised.map(|one| &one.power)).into(),
        stated(power_made(finding, reading.map(|one| one.powers.forward.to_string())), "power"),
    ]);
    table.row([
        Words::from("ERP"),
        or_not_measured(authorised.map(|one| &one.erp)).into(),
        erp(dossier, finding).into(),
    ]);
    let height = last_value(record, "centre-height");
    table.row([
        Words::from("Height of the antenna’s centre"),
        or_not_measured(authorised.map(|one| &one.height)).into(),
        stated(or_not_measured(height), "centre-height"),
    ]);
    table.row([
        Words::from("Polarization"),
        or_not_measured(authorised.map(|one| one.polarization.shown())).into(),
        NOT_MEASURED.into(),
    ]);
    table.row([
        Words::from("Position, WGS 84"),
        format!("{} (the site’s)", position(record)).into(),
        NOT_MEASURED.into(),
    ]);
    table
}

/// `41.2034° N, 8.1007° W`
fn position(record: &Record) -> String {
    record.site.position().shown()
}

/// The measured forward power with what the meter allows.
pub(super) fn power_made(finding: Option<&ReadingFinding>, forward: Option<String>) -> String {
    let Some(forward) = forward else { return NOT_MEASURED.to_owned() };
    match finding.and_then(|finding| finding.forward_interval_w.as_ref()) {
        Some([low, high]) => format!("{forward} forward ({:.0} to {:.0} W)", low.0, high.0),
        None => format!("{forward} forward, the meter’s accuracy is not known"),
    }
}

/// ERP from the measured forward power, with both ends of what meter and line allow.
pub(super) fn erp(dossier: &Dossier, finding: Option<&ReadingFinding>) -> String {
    let record = &dossier.record;
    let (Some((fact, reading)), Some(finding)) = (record.installed(), finding) else {
        return NOT_MEASURED.to_owned();
    };
    if reading.fold_back {
        return format!("{NOT_MEASURED}: the reading was taken in fold-back");
    }
    let gain = record.chain_of(fact).and_then(|chain| Some(&chain.antenna()?.1.plate.gain));
    let (Some(erp), Some(gain)) = (&finding.erp_w, gain) else {
        return format!("{NOT_MEASURED}: there is no antenna in the chain");
    };
    let ends = finding
        .erp_interval_w
        .as_ref()
        .map(|[low, high]| format!(" ({:.0} to {:.0} W)", low.0, high.0));
    format!(
        "{:.0} W{}, reckoned with {:.2} dB of loss and {gain}",
        erp.0,
        ends.unwrap_or_default(),
        finding.loss_db.0
    )
}

fn assignment_revisions(record: &Record) -> Table {
    let mut table = revision_table("What it says");
    for one in &record.assignments {
        let said = &one.particulars;
        let call_sign = if said.call_sign.is_empty() { "no call sign" } else { &said.call_sign };
        table.row([
            one.revision.to_string(),
            entered(record, one.entered_at),
            format!(
                "{}, power {}, ERP {}, height {}, {}, {}, {call_sign}",
                said.frequency,
                said.power,
                said.erp,
                said.height,
                said.polarization.shown(),
                said.station_name
            ),
        ]);
    }
    table
}
