//! All checks by stage in their order, each with its state and the chapter that tells of it, and by what
//! they are judged.

use crate::acceptance::report::items::item_state;
use crate::acceptance::report::said::name_and_firm;
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::topic;
use crate::figure::{Mark, State};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{ItemFinding, StageFinding};
use crate::jobs::model::Fact;
use crate::paper::{Column, Document, Level, Table, Words};
use crate::profiles::model::{Item, Limit, Profile, Stage};
use crate::words::upper_first;

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let dossier = sources.dossier;
    let profile = &dossier.record.profile;
    report.paragraph(format!(
        "Judged by the profile “{}”, edition {}. Each check is told with its evidence in the chapter named \
         beside it.",
        profile.title, profile.edition
    ));
    for gate in &dossier.findings.stages {
        stage(report, sources, gate);
    }
    report.heading(Level::Section, "How a value is judged, and the limits");
    report.paragraph(format!(
        "A measured value passes where everything that its instrument allows lies within the limit, and \
         fails where all of it lies beyond. Where the limit lies inside the interval the result is “not \
         shown”: neither passed nor failed. On the point value it may be accepted by {} ({}).",
        profile.limits.not_shown_accepted_by.shown(),
        profile.limits.not_shown_source
    ));
    report.table(limits(profile));
}

fn stage(report: &mut Document, sources: &Sources<'_>, gate: &StageFinding) {
    let dossier = sources.dossier;
    let items: Vec<(usize, &ItemFinding)> =
        (1..).zip(&dossier.findings.items).filter(|(_, item)| item.stage == gate.stage).collect();
    if items.is_empty() {
        return;
    }
    report.heading(Level::Section, &upper_first(gate.stage.shown()));
    let mut table = Table::new(vec![
        Column::figures("No."),
        Column::text("Check", 3.4),
        Column::text("State", 1.4),
        Column::figures("Chapter"),
    ]);
    for (number, item) in items {
        table.row([
            Words::from(number.to_string()),
            Words::from(&item.text),
            item_state(sources, item),
            Words::from(topic(&dossier.record.profile, item).chapter().to_string()),
        ]);
    }
    report.table(table);
    report.small(gate_said(dossier, gate));
}

/// How the gate at a stage's end stands.
fn gate_said(dossier: &Dossier, gate: &StageFinding) -> Words {
    let name = format!("Gate “{}”: ", gate.stage.gate());
    let words = Words::new().strong(&name);
    let record = &dossier.record;
    if gate.stage == Stage::HandOver {
        return match record.acceptance() {
            Some((fact, _)) => words.state(&State::new(Mark::Tick, "accepted")).plain(&format!(
                " by {}, {}",
                name_and_firm(record, fact.by),
                fact.measured.shown()
            )),
            None => words.state(&State::new(Mark::Ring, "opens by acceptance")),
        };
    }
    let released = gate.released.and_then(|uuid| record.fact(uuid));
    let said =
        |fact: &Fact| format!(" by {}, {}", name_and_firm(record, fact.by), fact.measured.shown());
    match released {
        Some(fact) if gate.is_open() => {
            words.state(&State::new(Mark::Tick, "released")).plain(&said(fact))
        }
        Some(fact) => words.state(&State::new(Mark::Ring, "lapsed, released")).plain(&said(fact)),
        None => words.state(&State::new(Mark::Ring, "not released")),
    }
}

fn limits(profile: &Profile) -> Table {
    let limits = &profile.limits;
    let mut table = Table::new(vec![
        Column::text("Of what", 2.0),
        Column::text("Limit", 1.4),
        Column::text("Source", 1.6),
    ]);
    table.row([
        "SWR at the antenna input, on the stand".to_owned(),
        format!("≤ {}", limits.stand_swr.text()),
        limits.swr_source.clone(),
    ]);
    table.row([
        "SWR at the measuring point, installed".to_owned(),
        format!("≤ {}", limits.installed_swr.text()),
        limits.swr_source.clone(),
    ]);
    table.row([
        "Forward power against the authorised".to_owned(),
        format!(
            "{} to {} %; up to {} W authorised the upper end alone",
            limits.power_least_percent.text(),
            limits.power_most_percent.text(),
            limits.power_ceiling_only_w.text()
        ),
        limits.power_source.clone(),
    ]);
    table.row([
        "Change between stand and installed".to_owned(),
        "explained where the instruments do not explain it".to_owned(),
        limits.change_source.clone(),
    ]);
    table.row([
        "Lowest spark-over of the arrester against the peak voltage".to_owned(),
        format!("≥ {}", limits.arrester_ratio.text()),
        limits.arrester_source.clone(),
    ]);
    for item in &profile.items {
        if let Some(limit) = &item.limit {
            table.row([item.text.clone(), limit_said(item, limit), item.source.clone()]);
        }
    }
    table
}

fn limit_said(item: &Item, limit: &Limit) -> String {
    match limit {
        Limit::AtMost(most) => {
            format!("≤ {} {}", most.text(), item.unit.map_or("", |unit| unit.shown()))
        }
        Limit::Within(most) => {
            format!("± {} {}", most.text(), item.unit.map_or("", |unit| unit.shown()))
        }
        Limit::NearAuthorisedHeightM(room) => format!("authorised height ± {} m", room.text()),
    }
}
