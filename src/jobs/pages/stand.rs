//! The stand: its set-up, the trials, the advice, and the setting that is kept.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::instruments::model::Instrument;
use crate::jobs::acts::{self, Moment};
use crate::jobs::dossier::Dossier;
use crate::jobs::form;
use crate::jobs::model::NumberedTrial;
use crate::jobs::pages::exposure::exclusion_on_the_stand;
use crate::jobs::pages::job::{Figure, trial_figure};
use crate::jobs::pages::{
    ChosenPath, Head, SetupPath, StandPath, beside_field, dossier_of, instrument_options,
    instruments_offered, may_record, on_job, taken_before,
};
use crate::jobs::words;
use crate::measurements;
use crate::measurements::model::Orientation;
use crate::people::permit::{RecordFacts, See, SitePermit};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};
use crate::words::joined;

struct TrialRow {
    number: usize,
    halves: String,
    forward: String,
    reflected: String,
    share: String,
    swr: String,
    marks: String,
    struck: String,
    chosen: bool,
    uuid: String,
    href: String,
    choose: Fields,
}

#[derive(Template)]
#[template(path = "jobs/stand.html")]
struct StandPage {
    shell: Shell,
    head: Head,
    headline: String,
    explanation: String,
    plot: Option<Figure>,
    exclusion: String,
    lengths: Vec<(String, String)>,
    rows: Vec<TrialRow>,
    setup: String,
    setup_href: String,
    chosen: String,
    fields: Fields,
    setup_fields: Fields,
    show_setup: bool,
    instruments: Vec<(String, String)>,
    orientations: Vec<(String, String)>,
    was: Was,
    may_record: bool,
    next_number: usize,
}

/// What the last trial was: shown beside the fields, never filled in.
#[derive(Default)]
struct Was {
    upper: String,
    lower: String,
    forward: String,
    reflected: String,
}

/// What is shown when the page is drawn: a form to be mended, or an empty one.
struct Drawn {
    trial: Option<Fields>,
    setup: Option<Fields>,
}

async fn draw<A: crate::people::permit::Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    number: i64,
    drawn: Drawn,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let instruments = instruments_offered(app, None).await?;
    let head = Head::of(&dossier);
    let base = head.job_href.clone();
    let refused = drawn.trial.is_some() || drawn.setup.is_some();
    // A refused trial is shown with its messages even where the stand is not described yet.
    let show_setup =
        drawn.setup.is_some() || (dossier.record.stand_setup().is_none() && drawn.trial.is_none());
    let trials = dossier.record.trials();
    let last = trials.iter().rev().find(|trial| trial.struck_by.is_none()).copied();
    let fields = drawn.trial.unwrap_or_else(|| empty_trial(app, &dossier, last));
    let page = StandPage {
        shell: Shell::of(permit.person(), "/sites"),
        headline: dossier.findings.stand.headline.clone(),
        explanation: dossier.findings.stand.explanation.clone(),
        plot: trial_figure(&dossier, &|tail| Some(format!("{base}{tail}"))),
        exclusion: exclusion_on_the_stand(&dossier),
        lengths: dossier.findings.stand.lengths.clone(),
        rows: rows(app, &dossier, &trials, &base),
        setup: setup_words(&dossier),
        setup_href: setup_href(&dossier, &base),
        chosen: chosen_words(&dossier),
        fields,
        show_setup,
        setup_fields: drawn.setup.unwrap_or_else(|| Fields::empty(&app.clock)),
        instruments: instrument_options(&instruments),
        orientations: Orientation::options(),
        was: last.map(was).unwrap_or_default(),
        may_record: may_record(&dossier, permit),
        next_number: trials.iter().map(|trial| trial.number).max().unwrap_or(0) + 1,
        head,
    };
    let status = if refused { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    page_with(status, &page)
}

/// A new trial's form: meter and ranges stay as they were, the readings are empty.
fn empty_trial(app: &AppState, dossier: &Dossier, last: Option<NumberedTrial<'_>>) -> Fields {
    let fields = Fields::empty(&app.clock);
    let Some(last) = last else { return fields };
    let instrument = dossier.record.instrument_of(last.fact);
    let powers = &last.trial.powers;
    fields
        .with("instrument", instrument.map(|one| one.uuid.to_string()).unwrap_or_default())
        .with("forward_range_w", powers.forward_range.text())
        .with("reflected_range_w", powers.reflected_range.text())
}

fn was(last: NumberedTrial<'_>) -> Was {
    let hint = |text: &str| format!("was {text}");
    let powers = last.trial.powers.powers();
    Was {
        upper: hint(last.trial.upper.text()),
        lower: hint(last.trial.lower.text()),
        forward: hint(powers.forward.text()),
        reflected: hint(&reflected_text(&powers.reflected)),
    }
}

fn setup_words(dossier: &Dossier) -> String {
    dossier
        .record
        .stand_setup()
        .map_or_else(String::new, |(fact, _)| words::said(&dossier.record, fact))
}

fn setup_href(dossier: &Dossier, base: &str) -> String {
    let fact = dossier.record.stand_setup().map(|(fact, _)| fact.uuid.to_string());
    format!("{base}/entries/{}", fact.unwrap_or_default())
}

fn chosen_words(dossier: &Dossier) -> String {
    let Some((_, trial)) = dossier.record.chosen() else { return String::new() };
    format!(
        "The antenna keeps the setting of trial {}: {} and {}.",
        trial.number, trial.trial.upper, trial.trial.lower
    )
}

fn rows(
    app: &AppState,
    dossier: &Dossier,
    trials: &[NumberedTrial<'_>],
    base: &str,
) -> Vec<TrialRow> {
    let findings = &dossier.findings.stand;
    let pairs = trials.iter().zip(&findings.trials).rev();
    pairs
        .map(|(numbered, finding)| {
            let trial = numbered.trial;
            let known = finding.at_antenna;
            let powers = trial.powers.powers();
            let mut marks = finding.marks.clone();
            marks.extend(finding.withheld.clone());
            if !trial.note.is_empty() {
                marks.push(trial.note.clone());
            }
            TrialRow {
                number: numbered.number,
                halves: format!("{} / {}", trial.upper.text(), trial.lower.text()),
                forward: powers.forward.text().to_owned(),
                reflected: reflected_text(&powers.reflected),
                share: known
                    .map_or_else(String::new, |known| format!("{:.1}", known.share_percent())),
                swr: known.map_or_else(String::new, |known| known.shown()),
                marks: marks.iter().fold(String::new(), |said, more| joined(said, more)),
                struck: words::struck(&dossier.record, numbered.fact).unwrap_or_default(),
                chosen: findings.chosen == Some(finding.fact),
                uuid: finding.fact.to_string(),
                href: format!("{base}/entries/{}", finding.fact),
                choose: Fields::empty(&app.clock),
            }
        })
        .collect()
}

fn reflected_text(reflected: &crate::rf::meter::Reflected) -> String {
    match reflected {
        crate::rf::meter::Reflected::Shown(watts) => watts.text().to_owned(),
        crate::rf::meter::Reflected::Below(watts) => format!("below {}", watts.text()),
    }
}

pub(super) async fn page(
    path: StandPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, path.job, Drawn { trial: None, setup: None }).await
}

pub(super) async fn record_trial(
    path: StandPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let instruments: Vec<Instrument> = instruments_offered(&app, None).await?;
    let zone = dossier.record.site.time_zone();
    let now = app.clock.now();
    let taken = measurements::form::trial(&sent.fields, &instruments, &zone, now);
    let intent = sent.intent(permit.person().actor(), "trial recorded");
    let (taken, correction) = match form::both(taken, form::correction(&sent.fields)) {
        Ok(checked) => checked,
        Err(_) if taken_before(&app, &intent, &sent.fields).await? => return see_other(&path),
        Err(fields) => {
            return draw(&app, &permit, path.job, Drawn { trial: Some(fields), setup: None }).await;
        }
    };
    let moment = Moment { measured: taken.measured, device_at: taken.device_at };
    let calibration = taken.calibration_id.unwrap_or_default();
    let on = on_job(&app, &permit, path.job);
    match acts::record_trial(on, intent, moment, calibration, &taken.what, correction.as_ref())
        .await
    {
        Ok(_) => see_other(&path),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            draw(&app, &permit, path.job, Drawn { trial: Some(fields), setup: None }).await
        }
    }
}

pub(super) async fn record_setup(
    path: SetupPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let zone = dossier.record.site.time_zone();
    let taken = measurements::form::stand_setup(&sent.fields, &zone, app.clock.now());
    let (taken, correction) = match form::both(taken, form::correction(&sent.fields)) {
        Ok(checked) => checked,
        Err(fields) => {
            return draw(&app, &permit, path.job, Drawn { trial: None, setup: Some(fields) }).await;
        }
    };
    let intent = sent.intent(permit.person().actor(), "stand set up");
    let moment = Moment { measured: taken.measured, device_at: taken.device_at };
    let on = on_job(&app, &permit, path.job);
    match acts::record_stand_setup(on, intent, moment, &taken.what, correction.as_ref()).await {
        Ok(_) => see_other(&StandPath { site: path.site, job: path.job }),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            draw(&app, &permit, path.job, Drawn { trial: None, setup: Some(fields) }).await
        }
    }
}

pub(super) async fn choose(
    path: ChosenPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let trial = form::chosen(&sent.fields).map_err(|fields| {
        PageError::Refused(
            vec![crate::problem::Problem::blocking(
                "NO_TRIAL",
                Some("trial"),
                "Choose one of the trials.",
            )],
            Box::new(fields),
        )
    })?;
    let intent = sent.intent(permit.person().actor(), "setting chosen");
    match acts::choose(on_job(&app, &permit, path.job), intent, trial).await {
        Ok(_) => see_other(&StandPath { site: path.site, job: path.job }),
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
