//! The report of a job as PDF, from its dossier alone: the verdict first, then what it rests on, and at
//! the end what it does not show.

mod chain;
mod checks;
mod closing;
mod corrections;
mod first;
mod installed;
mod people;
mod releases;
mod said;
mod stand;

#[cfg(test)]
mod tests;

pub use said::{accepted_on_point, class_sentence};

use time::{OffsetDateTime, UtcOffset};

use crate::clock::{Measured, Utc};
use crate::jobs::dossier::Dossier;
use crate::paper::{Document, Finished, Meta, PaperError};

/// The report as a file.
///
/// - `drawn_at`: now; only the report of a job that is not accepted says it. The report of an accepted
///   job is the same file each time
/// - `digest`: SHA-256 of the frozen dossier, printed at the end
///
/// # Errors
/// [`PaperError`]; never on account of what people typed.
pub fn finished(
    dossier: &Dossier,
    drawn_at: Utc,
    digest: Option<&[u8; 32]>,
) -> Result<Finished, PaperError> {
    document(dossier, drawn_at, digest).finish()
}

/// The report block by block, not yet laid out.
///
/// - `drawn_at`, `digest`: as for [`finished`]
#[must_use]
pub fn document(dossier: &Dossier, drawn_at: Utc, digest: Option<&[u8; 32]>) -> Document {
    let mut report = Document::new(meta(dossier, drawn_at));
    first::fill(&mut report, dossier);
    report.page_break();
    stand::fill(&mut report, dossier);
    installed::fill(&mut report, dossier);
    chain::fill(&mut report, dossier);
    checks::fill(&mut report, dossier);
    releases::fill(&mut report, dossier);
    people::fill(&mut report, dossier);
    corrections::fill(&mut report, dossier);
    closing::fill(&mut report, dossier, digest);
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
            format!(
                "not accepted · {} · draft of {}",
                dossier.findings.progress.shown(),
                at.shown()
            )
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
