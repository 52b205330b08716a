//! The checks by stage with their evidence, what was conceded or left, and by what they are judged.

use crate::acceptance::report::said::{accepted_on_point, state, when_and_who};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::ItemFinding;
use crate::jobs::model::Answer;
use crate::paper::{Column, Document, Level, Table, Words};
use crate::profiles::model::{Item, Limit, Profile, Stage};
use crate::words::upper_first;

pub(super) fn fill(report: &mut Document, dossier: &Dossier) {
    let profile = &dossier.record.profile;
    report.heading(Level::Chapter, "Checks");
    report.paragraph(format!(
        "A measured value passes where everything that its instrument allows lies within the limit, and \
         fails where all of it lies beyond. Where the limit lies inside the interval the result is “not \
         shown”: neither passed nor failed. On the point value it may be accepted by {} ({}).",
        profile.limits.not_shown_accepted_by.shown(),
        profile.limits.not_shown_source
    ));
    for stage in Stage::ALL {
        let items: Vec<&ItemFinding> =
            dossier.findings.items.iter().filter(|item| item.stage == *stage).collect();
        if items.is_empty() {
            continue;
        }
        report.heading(Level::Part, &stage_title(*stage));
        let mut table = Table::new(vec![
            Column::text("Check", 2.0),
            Column::text("Evidence", 2.0),
            Column::text("State", 1.1),
        ]);
        for item in items {
            table.row([
                question(profile, item),
                evidence(dossier, item),
                item_state(dossier, item),
            ]);
        }
        report.table(table);
    }
    left(report, dossier);
    report.heading(Level::Chapter, "Limits and their sources");
    report.table(limits(profile));
}

fn stage_title(stage: Stage) -> String {
    format!("{}, before the gate “{}”", upper_first(stage.shown()), stage.gate())
}

fn question(profile: &Profile, item: &ItemFinding) -> Words {
    let source = profile.item(&item.id).map(|item| item.source.as_str());
    Words::from(&item.text).plain("\n").soft(&format!("Source: {}", source.unwrap_or("not stated")))
}

fn evidence(dossier: &Dossier, item: &ItemFinding) -> Words {
    let record = &dossier.record;
    let said = if item.evidence.is_empty() { "no note" } else { &item.evidence };
    let conceded = item.answer == Some(Answer::UnderConcession);
    let granted = record.conceded(&item.id).filter(|_| conceded);
    let by = match (granted, item.derived, record.answered(&item.id)) {
        (Some((fact, _)), ..) => format!("Conceded {}", when_and_who(record, fact)),
        (None, true, _) => "Answered by the server from the record".to_owned(),
        (None, false, Some((fact, _))) => format!("Answered {}", when_and_who(record, fact)),
        (None, false, None) => return Words::from(said),
    };
    Words::from(said).plain("\n").soft(&by)
}

fn item_state(dossier: &Dossier, item: &ItemFinding) -> Words {
    let words = Words::from(&state(item.answer));
    match accepted_on_point(dossier, item) {
        Some(fact) => words.plain(&format!(
            ", accepted on the point value: {}",
            when_and_who(&dossier.record, fact)
        )),
        None => words,
    }
}

/// What a manager permits, and what somebody still has to do.
fn left(report: &mut Document, dossier: &Dossier) {
    let record = &dossier.record;
    let mut table = Table::new(vec![
        Column::text("Check", 1.6),
        Column::fit("State"),
        Column::text("Owner, by when", 1.0),
        Column::text("Reason or condition; who said so", 2.0),
    ]);
    for item in &dossier.findings.items {
        let found = match item.answer {
            Some(Answer::UnderConcession) => record.conceded(&item.id),
            Some(Answer::Deferred) => record.answered(&item.id),
            _ => None,
        };
        let Some((fact, answered)) = found else { continue };
        let owner = if answered.owner.is_empty() { "no owner named" } else { &answered.owner };
        let due = answered.due_on.map_or_else(|| "no day named".to_owned(), |due| due.shown());
        table.row([
            Words::from(&item.text),
            Words::from(&state(item.answer)),
            format!("{owner}, {due}").into(),
            Words::from(&answered.note).plain("\n").soft(&when_and_who(record, fact)),
        ]);
    }
    report.heading(Level::Chapter, "Concessions and what is left to do");
    if table.rows.is_empty() {
        report.paragraph("Nothing is under concession and nothing is deferred.");
    } else {
        report.table(table);
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
        Limit::NearAuthorisedHeightM(room) => format!("authorised height ± {} m", room.text()),
    }
}
