//! Snags: the list with its form, one snag, and its closing.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use uuid::Uuid;

use crate::jobs::acts;
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{SnagFinding, SnagOrigin, open_by_class};
use crate::jobs::form::{self, PhotoDraft};
use crate::jobs::model::{Body, Record, SnagClass};
use crate::jobs::pages::photos::{Plate, plate};
use crate::jobs::pages::uploads::{
    NotTaken, choose_again, examined, item_options, kept, part_options, status,
};
use crate::jobs::pages::{
    ClosingPath, Head, SnagPath, SnagsPath, beside_field, dossier_of, may_record, on_job,
    taken_before,
};
use crate::people::permit::{Ability, RecordFacts, See, SitePermit};
use crate::photos::model::{ASKS, Photo};
use crate::web::{AppState, Fields, PageError, Shell, Upload, page_with, see_other};

/// A snag among others.
pub(super) struct SnagRow {
    pub href: String,
    pub text: String,
    pub place: String,
    pub left_to: String,
    pub from: String,
    pub mark: &'static str,
    pub state: String,
    pub closing: String,
    pub photos: usize,
    pub open: bool,
}

fn row(dossier: &Dossier, base: &str, snag: &SnagFinding) -> SnagRow {
    let record = &dossier.record;
    let (mark, state) = snag.state();
    let raised = record.fact(snag.fact);
    let from = raised.map_or_else(String::new, |fact| {
        format!("{}, {}, {}", snag.origin.shown(), record.name(fact.by), fact.measured.shown_date())
    });
    SnagRow {
        // What follows from an entry by itself is put right where that entry is answered.
        href: match (snag.origin, &snag.item) {
            (SnagOrigin::Raised, _) => format!("{base}/snags/{}", snag.fact),
            (_, Some(item)) => format!("{base}/checks/{item}"),
            (_, None) => format!("{base}/entries/{}", snag.fact),
        },
        text: snag.text.clone(),
        place: place(record, snag),
        left_to: snag.left_to(),
        from,
        mark,
        state,
        closing: closing(record, snag),
        photos: snag.photos.len(),
        open: snag.is_open(),
    }
}

/// The part, else the check, that a snag concerns.
fn place(record: &Record, snag: &SnagFinding) -> String {
    if !snag.part.is_empty() || snag.origin != SnagOrigin::Raised {
        return snag.part.clone();
    }
    let item = snag.item.as_ref().and_then(|id| record.profile.item(id));
    item.map(|item| format!("check: {}", item.text)).unwrap_or_default()
}

/// How a snag was closed, by whom and when; empty while it is open.
fn closing(record: &Record, snag: &SnagFinding) -> String {
    let Some(closed) = &snag.closed else { return String::new() };
    record.fact(closed.fact).map_or_else(String::new, |fact| {
        format!("{} ({}, {})", closed.what, record.name(fact.by), fact.measured.shown())
    })
}

/// The snags of a job, open before closed.
pub(super) fn rows(dossier: &Dossier, base: &str) -> Vec<SnagRow> {
    dossier.findings.snags.iter().map(|snag| row(dossier, base, snag)).collect()
}

/// What the snags ask for, in a headline and a sentence.
fn asked(snags: &[SnagFinding]) -> (String, String) {
    let [a, b, c] = open_by_class(snags);
    let unowned = snags.iter().filter(|snag| snag.is_unowned()).count();
    let lacking = if unowned > 0 {
        format!(
            "{unowned} of class B without an owner or a day: name both before the job is declared complete. "
        )
    } else {
        String::new()
    };
    if a > 0 {
        let stops = if a == 1 { "stops" } else { "stop" };
        let text = "Safety, licence and RF come first: put it right and close it with proof.";
        return (format!("{a} of class A {stops} acceptance."), format!("{lacking}{text}"));
    }
    if b + c > 0 {
        let text = "Nothing of class A is open. What is of class B goes with the job to its owner, by its day.";
        return (format!("{} open.", b + c), format!("{lacking}{text}"));
    }
    let text = "A defect that is seen is raised here, so that it is put right and not forgotten.";
    ("Nothing is open.".to_owned(), text.to_owned())
}

#[derive(Template)]
#[template(path = "jobs/snags.html")]
struct SnagsPage {
    shell: Shell,
    head: Head,
    headline: String,
    text: String,
    rows: Vec<SnagRow>,
    fields: Fields,
    classes: Vec<(String, String)>,
    parts: Vec<(String, String)>,
    items: Vec<(String, String)>,
    may_record: bool,
    asks: &'static str,
}

async fn draw_all<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    number: i64,
    refused: Option<Fields>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let head = Head::of(&dossier);
    let status = status(refused.as_ref());
    let (headline, text) = asked(&dossier.findings.snags);
    let page = SnagsPage {
        shell: Shell::of(permit.person(), "/sites"),
        headline,
        text,
        rows: rows(&dossier, &head.job_href),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock)),
        classes: SnagClass::options(),
        parts: part_options(&dossier.record),
        items: item_options(&dossier.record),
        may_record: may_record(&dossier, permit),
        asks: ASKS,
        head,
    };
    page_with(status, &page)
}

pub(super) async fn all(
    path: SnagsPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw_all(&app, &permit, path.job, None).await
}

pub(super) async fn raise(
    path: SnagsPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    upload: Upload,
) -> Result<Response, PageError> {
    let Upload { sent, files } = upload;
    let intent = sent.intent(permit.person().actor(), "snag raised");
    if taken_before(&app, &intent, &sent.fields).await? {
        return see_other(&path);
    }
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let (record, count) = (&dossier.record, files.len());
    let read = form::snag(&sent.fields, record, &record.site.time_zone(), app.clock.now());
    let (snag, moment) = match read {
        Ok(read) => read,
        Err(fields) => {
            return draw_all(&app, &permit, path.job, Some(choose_again(fields, count))).await;
        }
    };
    let fit = match examined(&app, &dossier, files, &sent.fields).await {
        Ok(fit) => fit,
        Err(NotTaken::Mend(fields)) => {
            return draw_all(&app, &permit, path.job, Some(fields)).await;
        }
        Err(NotTaken::Page(error)) => return Err(error),
    };
    let caption = first_line(&format!("Snag: {}", snag.text));
    let draft = PhotoDraft { caption, item: snag.item.clone(), part: snag.part };
    let photos = kept(&app, &dossier, fit, &draft).await?;
    let on = on_job(&app, &permit, path.job);
    match acts::record_snag(on, intent, moment, &snag, &photos, None).await {
        Ok(_) => see_other(&path),
        Err(error) => {
            let fields = choose_again(beside_field(error, sent.fields)?, count);
            draw_all(&app, &permit, path.job, Some(fields)).await
        }
    }
}

/// The first line of a text, as long as a caption may be.
fn first_line(text: &str) -> String {
    text.lines().next().unwrap_or_default().chars().take(200).collect()
}

#[derive(Template)]
#[template(path = "jobs/snag.html")]
struct SnagPage {
    shell: Shell,
    head: Head,
    row: SnagRow,
    text: String,
    facts: Vec<(String, String)>,
    plates: Vec<Plate>,
    entry_href: String,
    closing_href: String,
    action: String,
    fields: Fields,
    may_close: bool,
    asks: &'static str,
}

/// The snag that an address names: also by the name of an entry that was corrected since.
fn found(dossier: &Dossier, named: Uuid) -> Result<&SnagFinding, PageError> {
    let fact = dossier.record.fact(named).ok_or(PageError::NotFound)?;
    if !matches!(fact.body, Body::Snag(_)) {
        return Err(PageError::NotFound);
    }
    let standing = dossier.record.standing();
    let now = standing.get(&named).ok_or(PageError::NotFound)?;
    dossier.findings.snags.iter().find(|snag| snag.fact == *now).ok_or(PageError::NotFound)
}

async fn draw_one<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    (number, named): (i64, Uuid),
    refused: Option<Fields>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let snag = found(&dossier, named)?;
    let record = &dossier.record;
    let head = Head::of(&dossier);
    let base = &head.job_href;
    let status = status(refused.as_ref());
    let photos = record.photos().filter(|(fact, _)| snag.photos.contains(&fact.uuid));
    let row = row(&dossier, base, snag);
    let facts = [
        ("Concerns", row.place.clone()),
        ("Left to", row.left_to.clone()),
        (
            "Raised",
            record.fact(snag.fact).map_or_else(String::new, |fact| {
                format!("{}, {}", record.name(fact.by), fact.measured.shown())
            }),
        ),
        ("Closed", row.closing.clone()),
    ];
    let said = facts.into_iter().filter(|(_, value)| !value.is_empty());
    let closed = snag.closed.as_ref();
    let page = SnagPage {
        shell: Shell::of(permit.person(), "/sites"),
        facts: said.map(|(name, value)| (name.to_owned(), value)).collect(),
        text: snag.text.clone(),
        plates: photos.map(|(fact, photo)| plate(&dossier, base, fact, photo)).collect(),
        entry_href: format!("{base}/entries/{}", snag.fact),
        closing_href: closed.map(|one| format!("{base}/entries/{}", one.fact)).unwrap_or_default(),
        action: format!("{base}/snags/{}/closing", snag.fact),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock)),
        may_close: snag.is_open() && may_record(&dossier, permit),
        asks: ASKS,
        row,
        head,
    };
    page_with(status, &page)
}

pub(super) async fn one(
    path: SnagPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw_one(&app, &permit, (path.job, path.snag), None).await
}

pub(super) async fn close(
    path: ClosingPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    upload: Upload,
) -> Result<Response, PageError> {
    let Upload { sent, files } = upload;
    let back = SnagPath { site: path.site, job: path.job, snag: path.snag };
    let intent = sent.intent(permit.person().actor(), "snag closed");
    if taken_before(&app, &intent, &sent.fields).await? {
        return see_other(&back);
    }
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let (snag, count) = (found(&dossier, path.snag)?, files.len());
    let here = (path.job, path.snag);
    let zone = dossier.record.site.time_zone();
    let read = form::snag_closed(&sent.fields, snag.fact, &zone, app.clock.now());
    let (closed, moment) = match read {
        Ok(read) => read,
        Err(fields) => {
            return draw_one(&app, &permit, here, Some(choose_again(fields, count))).await;
        }
    };
    let fit = match examined(&app, &dossier, files, &sent.fields).await {
        Ok(fit) => fit,
        Err(NotTaken::Mend(fields)) => return draw_one(&app, &permit, here, Some(fields)).await,
        Err(NotTaken::Page(error)) => return Err(error),
    };
    let part = snag_part(&dossier, snag.fact);
    let caption = first_line(&format!("Put right: {}", closed.done));
    let draft = PhotoDraft { caption, item: snag.item.clone(), part };
    let photos: Vec<Photo> = kept(&app, &dossier, fit, &draft).await?;
    let on = on_job(&app, &permit, path.job);
    match acts::close_snag(on, intent, moment, &closed, &photos, None).await {
        Ok(_) => see_other(&back),
        Err(error) => {
            let fields = choose_again(beside_field(error, sent.fields)?, count);
            draw_one(&app, &permit, here, Some(fields)).await
        }
    }
}

fn snag_part(dossier: &Dossier, fact: Uuid) -> Option<Uuid> {
    match dossier.record.fact(fact).map(|fact| &fact.body) {
        Some(Body::Snag(snag)) => snag.part,
        _ => None,
    }
}
