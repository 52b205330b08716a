//! What was built against what is authorised and designed, and the form for it.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::jobs::acts::{self, Moment};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::BuiltRow;
use crate::jobs::form;
use crate::jobs::model::{Answer, Body};
use crate::jobs::pages::{AsBuiltPath, Head, beside_field, dossier_of, may_record, on_job};
use crate::jobs::words;
use crate::measurements;
use crate::measurements::model::{HeightMethod, North, PositionMethod};
use crate::people::permit::{Ability, RecordFacts, See, SitePermit};
use crate::sites::model::{Datum, Polarization};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

/// What the form lets choose.
pub(super) struct BuiltChoices {
    pub height_methods: Vec<(String, String)>,
    pub datums: Vec<(String, String)>,
    pub position_methods: Vec<(String, String)>,
    pub polarizations: Vec<(String, String)>,
    pub norths: Vec<(String, String)>,
}

impl BuiltChoices {
    /// Each list with nothing chosen first: a part that was not measured stays empty.
    pub(super) fn all() -> Self {
        let led = |words: &str, options: Vec<(String, String)>| {
            std::iter::once((String::new(), words.to_owned())).chain(options).collect()
        };
        Self {
            height_methods: led("how it was found", HeightMethod::options()),
            datums: led("as the receiver is set", Datum::options()),
            position_methods: led("how it was found", PositionMethod::options()),
            polarizations: led("not looked at", Polarization::options()),
            norths: led("which north", North::options()),
        }
    }
}

/// A row as finished text.
struct RowView {
    what: &'static str,
    authorised: String,
    designed: String,
    built: String,
    difference: String,
    tolerance: String,
    mark: &'static str,
    verdict: String,
    design: String,
}

impl RowView {
    fn of(row: &BuiltRow) -> Self {
        let or = |text: &str, none: &str| if text.is_empty() { none } else { text }.to_owned();
        Self {
            what: row.what.shown(),
            authorised: or(&row.authorised, "not on the record"),
            designed: or(&row.designed, "not declared"),
            built: or(&row.built, "not measured"),
            difference: or(&row.difference, "–"),
            tolerance: row.tolerance.clone(),
            mark: row.answer.map_or("ring", Answer::mark),
            verdict: row.verdict.clone(),
            design: row.design.clone(),
        }
    }
}

struct Entered {
    when: String,
    said: String,
    who: String,
    struck: String,
    href: String,
}

#[derive(Template)]
#[template(path = "jobs/as_built.html")]
struct BuiltPage {
    shell: Shell,
    head: Head,
    headline: String,
    rows: Vec<RowView>,
    source: String,
    licence: Vec<(&'static str, String)>,
    entries: Vec<Entered>,
    fields: Fields,
    choices: BuiltChoices,
    may_record: bool,
}

async fn draw<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    number: i64,
    refused: Option<Fields>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let head = Head::of(&dossier);
    let status = if refused.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let found = dossier.findings.built.as_ref();
    let licensed = dossier.record.assignment().map(|one| one.particulars.licensed.shown());
    let page = BuiltPage {
        shell: Shell::of(permit.person(), "/sites"),
        headline: found.map_or_else(
            || "Accepted before figures were compared one by one.".to_owned(),
            |found| found.headline.clone(),
        ),
        rows: found.map(|found| found.rows.iter().map(RowView::of).collect()).unwrap_or_default(),
        source: found.map(|found| found.source.clone()).unwrap_or_default(),
        licence: licensed.unwrap_or_default(),
        entries: entered(&dossier, &head),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock)),
        choices: BuiltChoices::all(),
        may_record: may_record(&dossier, permit),
        head,
    };
    page_with(status, &page)
}

/// What was entered of it, the newest first, struck entries too.
fn entered(dossier: &Dossier, head: &Head) -> Vec<Entered> {
    let record = &dossier.record;
    record
        .facts
        .iter()
        .rev()
        .filter(|fact| matches!(fact.body, Body::AsBuilt(_)))
        .map(|fact| Entered {
            when: fact.measured.shown(),
            said: words::said(record, fact),
            who: record.name(fact.by),
            struck: words::struck(record, fact).unwrap_or_default(),
            href: format!("{}/entries/{}", head.job_href, fact.uuid),
        })
        .collect()
}

pub(super) async fn page(
    path: AsBuiltPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, path.job, None).await
}

pub(super) async fn record(
    path: AsBuiltPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let zone = dossier.record.site.time_zone();
    let taken = measurements::form::as_built(&sent.fields, &zone, app.clock.now());
    let (taken, correction) = match form::both(taken, form::correction(&sent.fields)) {
        Ok(checked) => checked,
        Err(fields) => return draw(&app, &permit, path.job, Some(fields)).await,
    };
    let intent = sent.intent(permit.person().actor(), "as built recorded");
    let moment = Moment { measured: taken.measured, device_at: taken.device_at };
    let on = on_job(&app, &permit, path.job);
    match acts::record_as_built(on, intent, moment, &taken.what, correction.as_ref()).await {
        Ok(_) => see_other(&path),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            draw(&app, &permit, path.job, Some(fields)).await
        }
    }
}
