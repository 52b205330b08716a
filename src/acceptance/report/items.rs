//! Checks with their evidence, as the chapters that they belong to tell them.

use crate::acceptance::report::said::{accepted_on_point, state, when_and_who};
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::{Topic, topic};
use crate::jobs::findings::ItemFinding;
use crate::jobs::model::Answer;
use crate::paper::{Column, Document, Level, Table, Words};

/// The checks that a chapter tells, with their numbers in the profile from 1.
pub(super) fn of<'a>(
    sources: &Sources<'a>,
    about: Topic,
) -> impl Iterator<Item = (usize, &'a ItemFinding)> {
    let dossier = sources.dossier;
    let items = dossier.findings.items.iter().enumerate();
    items
        .map(|(index, item)| (index + 1, item))
        .filter(move |(_, item)| topic(&dossier.record.profile, item) == about)
}

/// The checks of a chapter below a heading; nothing where it has none.
pub(super) fn told(report: &mut Document, sources: &Sources<'_>, about: Topic) {
    let table = table(sources, about);
    if !table.rows.is_empty() {
        report.heading(Level::Part, "Checks of this chapter");
        report.table(table);
    }
}

/// The checks of a chapter.
pub(super) fn table(sources: &Sources<'_>, about: Topic) -> Table {
    let mut table = Table::new(vec![
        Column::figures("No."),
        Column::text("Check", 2.0),
        Column::text("Evidence", 2.2),
        Column::text("State", 1.3),
    ]);
    for (number, item) in of(sources, about) {
        table.row([
            Words::from(number.to_string()),
            question(sources, item),
            evidence(sources, item),
            item_state(sources, item),
        ]);
    }
    table
}

fn question(sources: &Sources<'_>, item: &ItemFinding) -> Words {
    let source = sources.dossier.record.profile.item(&item.id).map(|item| item.source.as_str());
    Words::from(&item.text).plain("\n").soft(&format!("Source: {}", source.unwrap_or("not stated")))
}

fn evidence(sources: &Sources<'_>, item: &ItemFinding) -> Words {
    let record = &sources.dossier.record;
    let said = if item.evidence.is_empty() { "no note" } else { &item.evidence };
    let conceded = item.answer == Some(Answer::UnderConcession);
    let granted = record.conceded(&item.id).filter(|_| conceded);
    let by = match (granted, item.derived, record.answered(&item.id)) {
        (Some((fact, _)), ..) => format!("Conceded {}", when_and_who(record, fact)),
        (None, true, _) => "Answered by the server from the record".to_owned(),
        (None, false, Some((fact, _))) => format!("Answered {}", when_and_who(record, fact)),
        (None, false, None) => String::new(),
    };
    let mut words = Words::from(said);
    if !by.is_empty() {
        words = words.plain("\n").soft(&by);
    }
    let photos: Vec<String> = record
        .photos_of(&item.id)
        .filter_map(|(fact, _)| Some(sources.number(fact.uuid)?.to_string()))
        .collect();
    match photos.as_slice() {
        [] => words,
        [one] => words.plain("\n").soft(&format!("Photo {one}")),
        many => words.plain("\n").soft(&format!("Photos {}", many.join(", "))),
    }
}

pub(super) fn item_state(sources: &Sources<'_>, item: &ItemFinding) -> Words {
    let words = Words::from(&state(item.answer));
    match accepted_on_point(sources.dossier, item) {
        Some(fact) => words.plain(&format!(
            ", accepted on the point value: {}",
            when_and_who(&sources.dossier.record, fact)
        )),
        None => words,
    }
}
