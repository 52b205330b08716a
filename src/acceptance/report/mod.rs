//! The report of a job as PDF, from its dossier and the files of its photos alone: the verdict first, the
//! contents, then chapter by chapter what it rests on, in the order in which an acceptance file is read.

mod authorised;
mod built;
mod chain;
mod checks;
mod exposure;
mod first;
mod grounding;
mod handover;
mod installed;
mod items;
mod mast;
mod people;
mod power;
mod pressure;
mod reading;
mod releases;
mod revisions;
mod safety;
mod said;
mod snags;
mod sources;
mod stand;
mod topics;

#[cfg(test)]
mod tests;

pub use said::{accepted_on_point, class_sentence};
pub use sources::{Printed, Sources};

use time::{OffsetDateTime, UtcOffset};

use crate::clock::{Measured, Utc};
use crate::jobs::dossier::Dossier;
use crate::paper::{Document, Finished, Level, Meta, PaperError};

/// A chapter: its title, and what fills it below its heading.
struct Chapter {
    title: &'static str,
    fill: fn(&mut Document, &Sources<'_>),
}

/// The chapters after the verdict page and the contents, in order. Headings, contents and bookmarks are
/// made from this table.
const CHAPTERS: [Chapter; 16] = [
    Chapter { title: "Authorised and as built", fill: authorised::chapter },
    Chapter { title: "People and instruments", fill: people::chapter },
    Chapter { title: "Safety and isolation", fill: safety::chapter },
    Chapter { title: "RF chain: identities and plates", fill: chain::chapter },
    Chapter { title: "On the test stand", fill: stand::chapter },
    Chapter { title: "On the mast, with photos", fill: mast::chapter },
    Chapter { title: "Grounding, bonding and arrester", fill: grounding::chapter },
    Chapter { title: "Pressure and leak test", fill: pressure::chapter },
    Chapter { title: "Installed readings", fill: installed::chapter },
    Chapter { title: "Power and the regulator’s measurements", fill: power::chapter },
    Chapter { title: "Exposure, signs and lights", fill: exposure::chapter },
    Chapter { title: "Checks, stage by stage", fill: checks::chapter },
    Chapter { title: "Snags and concessions", fill: snags::chapter },
    Chapter { title: "Manuals, spares and training", fill: handover::chapter },
    Chapter { title: "Releases and signatures", fill: releases::chapter },
    Chapter { title: "Revision history", fill: revisions::chapter },
];

/// The report, laid out and ready to be written.
///
/// # Errors
/// [`PaperError`]; never on account of what people typed.
pub fn finished(sources: &Sources<'_>) -> Result<Finished, PaperError> {
    document(sources).finish()
}

/// The report block by block, not yet laid out.
#[must_use]
pub fn document(sources: &Sources<'_>) -> Document {
    let mut report = Document::new(meta(sources.dossier, sources.drawn_at));
    first::fill(&mut report, sources.dossier);
    report.page_break();
    reading::fill(&mut report);
    for chapter in &CHAPTERS {
        report.heading(Level::Chapter, chapter.title);
        (chapter.fill)(&mut report, sources);
    }
    report
}

/// The name under which a browser keeps the file: `tern-ridge-2-A.pdf`.
#[must_use]
pub fn file_name(dossier: &Dossier) -> String {
    format!("{}.pdf", dossier.number())
}

fn meta(dossier: &Dossier, drawn_at: Utc) -> Meta {
    let record = &dossier.record;
    let job = &record.job;
    let at = record.site.time_zone().measured(dossier.frozen_at.unwrap_or(drawn_at));
    let frequency = record.assignment().map(|one| one.particulars.frequency.to_string());
    let frequency = frequency.unwrap_or_default();
    let edition = if dossier.edition.is_empty() {
        "draft".to_owned()
    } else {
        format!("edition {}", dossier.edition)
    };
    let answers_for_it = record.acceptance().map_or(job.opened_by, |(fact, _)| fact.by);
    let number = dossier.number();
    Meta {
        title: format!("{}, job {}: commissioning record, {edition}", record.site.name, job.number),
        author: said::name_and_firm(record, answers_for_it),
        subject: format!("{frequency}, {}", job.kind.shown()),
        language: "en".to_owned(),
        made_at: instant(at),
        head_left: format!("{number} · {}, job {} · {frequency}", record.site.name, job.number),
        head_right: format!("commissioning record, {edition}"),
        foot: format!("standmast · record {} · not a permit, design or certificate", job.uuid),
        band: (!dossier.accepted()).then(|| {
            format!("DRAFT · not accepted · {} · {}", dossier.findings.progress.shown(), at.shown())
        }),
        end: format!("end of report {number}"),
        base_url: None,
    }
}

/// The instant as the file's own date has it; without its offset where the calendar ends.
fn instant(at: Measured) -> OffsetDateTime {
    let utc = OffsetDateTime::from_unix_timestamp(at.at.seconds());
    let utc = utc.unwrap_or(OffsetDateTime::UNIX_EPOCH);
    UtcOffset::from_whole_seconds(at.offset_min.saturating_mul(60))
        .ok()
        .and_then(|offset| utc.checked_to_offset(offset))
        .unwrap_or(utc)
}
