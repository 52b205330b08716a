//! Installed readings: recording, what they say against the stand, and explanations.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::jobs::acts::{self, Moment};
use crate::jobs::dossier::Dossier;
use crate::jobs::form;
use crate::jobs::model::Fact;
use crate::jobs::pages::exposure::exclusion_with_rf_on;
use crate::jobs::pages::job::{Figure, comparison_figure};
use crate::jobs::pages::{
    ExplanationPath, Head, InstalledPath, beside_field, dossier_of, instrument_options,
    instruments_offered, may_record, on_job, points, taken_before,
};
use crate::jobs::words;
use crate::measurements;
use crate::measurements::model::{Reading, Weather};
use crate::people::permit::{Ability, RecordFacts, See, SitePermit};
use crate::profiles::model::Stage;
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};
use crate::words::joined;

struct ReadingRow {
    when: String,
    said: String,
    at_meter: String,
    at_antenna: String,
    marks: String,
    struck: String,
    who: String,
    href: String,
}

#[derive(Template)]
#[template(path = "jobs/installed.html")]
struct InstalledPage {
    shell: Shell,
    head: Head,
    headline: String,
    text: String,
    at_antenna: String,
    checks: Vec<String>,
    exclusion: String,
    plot: Option<Figure>,
    rows: Vec<ReadingRow>,
    fields: Fields,
    instruments: Vec<(String, String)>,
    points: Vec<(String, String)>,
    weathers: Vec<(String, String)>,
    explain: Option<Fields>,
    reading: String,
    explained: String,
    ready_for_rf: bool,
    has_chain: bool,
    may_record: bool,
}

#[derive(Default)]
struct Drawn {
    reading: Option<Fields>,
    explanation: Option<Fields>,
}

async fn draw<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    number: i64,
    drawn: Drawn,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let instruments = instruments_offered(app, None).await?;
    let head = Head::of(&dossier);
    let refused = drawn.reading.is_some() || drawn.explanation.is_some();
    let comparison = dossier.findings.comparison.as_ref();
    let reading = comparison.map(|comparison| comparison.reading);
    let explanation = reading.and_then(|reading| dossier.record.explanation(reading));
    let wanted = comparison.is_some_and(|comparison| comparison.wants_explanation);
    let ask = wanted && explanation.is_none() && may_record(&dossier, permit);
    let exclusion = exclusion_with_rf_on(&dossier);
    let gate = dossier.findings.stages.iter().find(|gate| gate.stage == Stage::ColdTests);
    let page = InstalledPage {
        shell: Shell::of(permit.person(), "/sites"),
        exclusion,
        headline: comparison.map_or_else(
            || "No installed reading yet.".to_owned(),
            |comparison| comparison.headline.clone(),
        ),
        text: comparison.map_or_else(
            || "About 10 % power first, antenna joined, everybody off the structure.".to_owned(),
            |comparison| comparison.explanation.clone(),
        ),
        at_antenna: comparison.map(|one| one.at_antenna.clone()).unwrap_or_default(),
        checks: comparison.map(|one| one.checks.clone()).unwrap_or_default(),
        plot: comparison_figure(&dossier),
        rows: rows(&dossier, &head.job_href),
        fields: drawn.reading.unwrap_or_else(|| empty_reading(app, &dossier)),
        instruments: instrument_options(&instruments),
        points: points(&dossier),
        weathers: Weather::options(),
        explain: ask.then(|| drawn.explanation.unwrap_or_else(|| Fields::empty(&app.clock))),
        reading: reading.map(|uuid| uuid.to_string()).unwrap_or_default(),
        explained: explanation
            .map(|(fact, _)| words::said(&dossier.record, fact))
            .unwrap_or_default(),
        ready_for_rf: gate.is_some_and(|gate| gate.is_open()),
        has_chain: dossier.record.chain().is_some(),
        may_record: may_record(&dossier, permit),
        head,
    };
    let status = if refused { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    page_with(status, &page)
}

/// A new reading's form: point, frequency, meter and ranges as they were or are assigned; the readings
/// are empty.
fn empty_reading(app: &AppState, dossier: &Dossier) -> Fields {
    let record = &dossier.record;
    let mut fields = Fields::empty(&app.clock);
    if let Some((point, _)) = points(dossier).into_iter().next() {
        fields = fields.with("point", point);
    }
    if let Some(assignment) = record.assignment() {
        fields = fields.with("frequency_mhz", assignment.particulars.frequency.text());
    }
    if let Some((fact, reading)) = record.installed() {
        let instrument = record.instrument_of(fact).map(|one| one.uuid.to_string());
        fields = fields
            .with("instrument", instrument.unwrap_or_default())
            .with("forward_range_w", reading.powers.forward_range.text())
            .with("reflected_range_w", reading.powers.reflected_range.text());
    }
    fields
}

fn rows(dossier: &Dossier, base: &str) -> Vec<ReadingRow> {
    let record = &dossier.record;
    let facts = record.facts.iter().rev().filter_map(|fact| match &fact.body {
        crate::jobs::model::Body::Reading(reading) => Some((fact, reading)),
        _ => None,
    });
    facts.map(|(fact, reading)| row(dossier, fact, reading, base)).collect()
}

fn row(dossier: &Dossier, fact: &Fact, reading: &Reading, base: &str) -> ReadingRow {
    let finding = dossier.findings.readings.iter().find(|finding| finding.fact == fact.uuid);
    let shown = |known: Option<crate::jobs::findings::Known>| {
        known.map(|known| known.shown()).unwrap_or_default()
    };
    let mut marks = finding.map(|finding| finding.marks.clone()).unwrap_or_default();
    if !reading.note.is_empty() {
        marks.push(reading.note.clone());
    }
    let withheld = finding.and_then(|finding| finding.withheld.clone());
    ReadingRow {
        when: fact.measured.shown(),
        said: words::said(&dossier.record, fact),
        at_meter: shown(finding.and_then(|finding| finding.at_meter)),
        at_antenna: withheld.unwrap_or_else(|| shown(finding.and_then(|one| one.at_antenna))),
        marks: marks.iter().fold(String::new(), |said, more| joined(said, more)),
        struck: words::struck(&dossier.record, fact).unwrap_or_default(),
        who: dossier.record.name(fact.by),
        href: format!("{base}/entries/{}", fact.uuid),
    }
}

pub(super) async fn page(
    path: InstalledPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, path.job, Drawn::default()).await
}

pub(super) async fn record(
    path: InstalledPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let instruments = instruments_offered(&app, None).await?;
    let zone = dossier.record.site.time_zone();
    let taken = measurements::form::reading(&sent.fields, &instruments, &zone, app.clock.now());
    let intent = sent.intent(permit.person().actor(), "installed reading recorded");
    let (taken, correction) = match form::both(taken, form::correction(&sent.fields)) {
        Ok(checked) => checked,
        Err(_) if taken_before(&app, &intent, &sent.fields).await? => return see_other(&path),
        Err(fields) => {
            let drawn = Drawn { reading: Some(fields), explanation: None };
            return draw(&app, &permit, path.job, drawn).await;
        }
    };
    let moment = Moment { measured: taken.measured, device_at: taken.device_at };
    let calibration = taken.calibration_id.unwrap_or_default();
    let on = on_job(&app, &permit, path.job);
    let correction = correction.as_ref();
    match acts::record_reading(on, intent, moment, calibration, &taken.what, correction).await {
        Ok(_) => see_other(&path),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            let drawn = Drawn { reading: Some(fields), explanation: None };
            draw(&app, &permit, path.job, drawn).await
        }
    }
}

pub(super) async fn explain(
    path: ExplanationPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let checked = form::both(form::explanation(&sent.fields), form::correction(&sent.fields));
    let (explanation, correction) = match checked {
        Ok(checked) => checked,
        Err(fields) => {
            let drawn = Drawn { reading: None, explanation: Some(fields) };
            return draw(&app, &permit, path.job, drawn).await;
        }
    };
    let intent = sent.intent(permit.person().actor(), "change explained");
    let on = on_job(&app, &permit, path.job);
    match acts::explain(on, intent, &explanation, correction.as_ref()).await {
        Ok(_) => see_other(&InstalledPath { site: path.site, job: path.job }),
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
