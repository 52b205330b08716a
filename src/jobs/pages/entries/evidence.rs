//! The correcting forms of photos, snags and their closings, of what was built and of surveys. A photo's
//! file is never exchanged: a wrong one is withdrawn, and another one added.

use crate::clock::{Utc, Zone};
use crate::jobs::acts::{self, Correction, Moment, OnJob};
use crate::jobs::form;
use crate::jobs::model::{Body, Fact, Record, Snag, SnagClosed};
use crate::jobs::pages::Head;
use crate::journal::{ActError, Intent};
use crate::measurements;
use crate::measurements::form::Taken;
use crate::measurements::model::{AsBuilt, ExposureSurvey};
use crate::photos::model::Photo;
use crate::web::Fields;

/// What such a form holds.
pub(super) enum Evidence {
    Photo(Photo, Moment),
    Snag(Snag, Moment),
    Closed(SnagClosed, Moment),
    Built(AsBuilt, Moment),
    Survey(ExposureSurvey, Moment),
}

/// Which form corrects the fact; empty for facts of other kinds.
pub(super) fn form_of(fact: &Fact) -> &'static str {
    match &fact.body {
        Body::Photo(_) => "photo",
        Body::Snag(_) => "snag",
        Body::SnagClosed(_) => "snag-closed",
        Body::AsBuilt(_) => "as-built",
        Body::ExposureSurvey(_) => "exposure-survey",
        _ => "",
    }
}

/// Where the fact has a page of its own; empty where it has none.
pub(super) fn own_page(fact: &Fact, head: &Head) -> String {
    match &fact.body {
        Body::Photo(_) => format!("{}/photos/{}", head.job_href, fact.uuid),
        Body::Snag(_) => format!("{}/snags/{}", head.job_href, fact.uuid),
        Body::SnagClosed(closed) => format!("{}/snags/{}", head.job_href, closed.snag),
        _ => String::new(),
    }
}

/// The form filled with what the entry says.
pub(super) fn filled(fields: Fields, fact: &Fact) -> Fields {
    let name = |part: Option<uuid::Uuid>| part.map(|part| part.to_string()).unwrap_or_default();
    match &fact.body {
        Body::Photo(photo) => fields
            .with("caption", &photo.caption)
            .with("part", name(photo.part))
            .with("item", photo.item.clone().unwrap_or_default()),
        Body::Snag(snag) => fields
            .with("class", snag.class.word())
            .with("text", &snag.text)
            .with("owner", &snag.owner)
            .with("due_on", snag.due_on.map(|due| due.to_string()).unwrap_or_default())
            .with("part", name(snag.part))
            .with("item", snag.item.clone().unwrap_or_default()),
        Body::SnagClosed(closed) => fields
            .with("done", &closed.done)
            .with("done_by", &closed.done_by)
            .with("proof", &closed.proof),
        Body::AsBuilt(built) => measurements::form::of_as_built(fields, built),
        Body::ExposureSurvey(survey) => measurements::form::of_survey(fields, survey),
        _ => fields,
    }
}

/// What was sent, by the kind of the fact; `None` for facts of other kinds.
pub(super) fn read(
    fields: &Fields,
    record: &Record,
    fact: &Fact,
    (zone, now): (&Zone, Utc),
) -> Option<Result<Evidence, Fields>> {
    match &fact.body {
        Body::Photo(photo) => {
            let read = form::photo(fields, record, zone, now);
            Some(read.map(|(draft, moment)| {
                let (caption, item, part) = (draft.caption, draft.item, draft.part);
                Evidence::Photo(Photo { caption, item, part, ..photo.clone() }, moment)
            }))
        }
        Body::Snag(_) => {
            let read = form::snag(fields, record, zone, now);
            Some(read.map(|(snag, moment)| Evidence::Snag(snag, moment)))
        }
        Body::SnagClosed(closed) => {
            let read = form::snag_closed(fields, closed.snag, zone, now);
            Some(read.map(|(closed, moment)| Evidence::Closed(closed, moment)))
        }
        Body::AsBuilt(_) => {
            let read = measurements::form::as_built(fields, zone, now);
            Some(read.map(|taken| Evidence::Built(taken.what.clone(), moment(&taken))))
        }
        Body::ExposureSurvey(_) => {
            let read = measurements::form::survey(fields, zone, now);
            Some(read.map(|taken| Evidence::Survey(taken.what.clone(), moment(&taken))))
        }
        _ => None,
    }
}

fn moment<T>(taken: &Taken<T>) -> Moment {
    Moment { measured: taken.measured, device_at: taken.device_at }
}

/// Records it in place of what it corrects.
pub(super) async fn record_again(
    on: OnJob<'_>,
    intent: Intent,
    again: &Evidence,
    why: &Correction,
) -> Result<String, ActError> {
    match again {
        Evidence::Photo(photo, moment) => {
            acts::correct_photo(on, intent, *moment, photo, why).await
        }
        Evidence::Snag(snag, moment) => {
            acts::record_snag(on, intent, *moment, snag, &[], Some(why)).await
        }
        Evidence::Closed(closed, moment) => {
            acts::close_snag(on, intent, *moment, closed, &[], Some(why)).await
        }
        Evidence::Built(built, moment) => {
            acts::record_as_built(on, intent, *moment, built, Some(why)).await
        }
        Evidence::Survey(survey, moment) => {
            acts::record_survey(on, intent, *moment, survey, Some(why)).await
        }
    }
}
