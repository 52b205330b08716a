//! On the mast, and all photos of the job: plates by stage, each with what it shows, where and when.

use crate::acceptance::report::items;
use crate::acceptance::report::said::when_and_who;
use crate::acceptance::report::sources::Sources;
use crate::acceptance::report::topics::Topic;
use crate::jobs::model::{Fact, Record};
use crate::jobs::words;
use crate::paper::{Document, Level, Plate, Words};
use crate::photos::model::{PROVES, Photo};
use crate::profiles::model::Stage;
use crate::words::upper_first;

pub(super) fn chapter(report: &mut Document, sources: &Sources<'_>) {
    let record = &sources.dossier.record;
    items::told(report, sources, Topic::Mast);
    report.heading(Level::Section, "Photos");
    if record.photos().next().is_none() {
        report.paragraph("No photo is on the record.");
        return;
    }
    report.small(PROVES);
    for group in groups() {
        let plates: Vec<Plate> = record
            .photos()
            .filter(|(_, photo)| stage_of(record, photo) == group)
            .map(|(fact, photo)| plate(sources, fact, photo))
            .collect();
        if !plates.is_empty() {
            let title = group.map_or("Of no stage", Stage::shown);
            report.heading(Level::Part, &upper_first(title));
            report.plates(plates);
        }
    }
}

/// The stages in order, and after them what belongs to none.
fn groups() -> impl Iterator<Item = Option<Stage>> {
    Stage::ALL.iter().copied().map(Some).chain([None])
}

/// The stage of the check that a photo is evidence for, else its own.
fn stage_of(record: &Record, photo: &Photo) -> Option<Stage> {
    let item = photo.item.as_ref().and_then(|id| record.profile.item(id));
    item.map(|item| item.stage).or(photo.stage)
}

fn plate(sources: &Sources<'_>, fact: &Fact, photo: &Photo) -> Plate {
    let record = &sources.dossier.record;
    let number = sources.number(fact.uuid).map(|number| format!("Photo {number}. "));
    let caption = if photo.caption.is_empty() { "no caption" } else { &photo.caption };
    let mut said = vec![words::place(record, photo), when_and_who(record, fact)];
    said.push(format!("SHA-256 {}…", photo.file.short_digest()));
    said.retain(|words| !words.is_empty());
    let words = Words::new()
        .strong(&number.unwrap_or_default())
        .plain(caption)
        .plain("\n")
        .soft(&said.join(" · "));
    Plate { photo: sources.photo(&photo.file), words }
}
