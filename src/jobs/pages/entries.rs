//! One entry of the record: what it says, and its correction. The old entry stays, struck through.

mod evidence;

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use uuid::Uuid;

use crate::jobs::acts::{self, Correction, Moment, OnJob};
use crate::jobs::dossier::Dossier;
use crate::jobs::form;
use crate::jobs::model::{Body, Fact, SnagClass};
use crate::jobs::pages::built::BuiltChoices;
use crate::jobs::pages::entries::evidence::Evidence;
use crate::jobs::pages::exposure::PointNames;
use crate::jobs::pages::uploads::{item_options, part_options};
use crate::jobs::pages::{
    EntryPath, Head, JobPath, WithdrawPath, beside_field, dossier_of, instrument_options,
    instruments_offered, may_record, on_job, points,
};
use crate::jobs::{problems, words};
use crate::journal::{ActError, Intent};
use crate::measurements;
use crate::measurements::form::Taken;
use crate::measurements::model::{
    Area, Explanation, Orientation, PowerPair, Reading, StandSetup, Trial, Weather,
};
use crate::people::permit::{Ability, RecordFacts, See, SitePermit};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

#[derive(Template)]
#[template(path = "jobs/entry.html")]
struct EntryPage {
    shell: Shell,
    head: Head,
    action: String,
    kind: &'static str,
    said: String,
    struck: String,
    facts: Vec<(String, String)>,
    form: &'static str,
    check_href: String,
    may_correct: bool,
    fields: Fields,
    withdraw: Fields,
    instruments: Vec<(String, String)>,
    points: Vec<(String, String)>,
    weathers: Vec<(String, String)>,
    orientations: Vec<(String, String)>,
    classes: Vec<(String, String)>,
    parts: Vec<(String, String)>,
    items: Vec<(String, String)>,
    choices: BuiltChoices,
    survey_points: Vec<PointNames>,
    areas: Vec<(String, String)>,
    own_page: String,
    thumbnail: String,
}

/// A form to be mended: the correction's or the withdrawal's.
#[derive(Default)]
struct Drawn {
    correction: Option<Fields>,
    withdrawal: Option<Fields>,
}

async fn draw<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    number: i64,
    uuid: Uuid,
    drawn: Drawn,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let fact = dossier.record.fact(uuid).ok_or(PageError::NotFound)?;
    let instruments = instruments_offered(app, made_with(&dossier, fact)).await?;
    let head = Head::of(&dossier);
    let refused = drawn.correction.is_some() || drawn.withdrawal.is_some();
    let blocked = problems::correct(&dossier.record, &dossier.findings, fact);
    let may_correct = may_record(&dossier, permit) && blocked.is_empty();
    let (form, check_href) = form_of(fact, &head);
    let page = EntryPage {
        shell: Shell::of(permit.person(), "/sites"),
        action: format!("{}/entries/{uuid}", head.job_href),
        kind: fact.body.shown(),
        said: words::said(&dossier.record, fact),
        struck: words::struck(&dossier.record, fact).unwrap_or_default(),
        facts: circumstances(&dossier, fact),
        form,
        check_href,
        may_correct,
        fields: drawn.correction.unwrap_or_else(|| filled(app, &dossier, fact)),
        withdraw: drawn.withdrawal.unwrap_or_else(|| Fields::empty(&app.clock)),
        instruments: instrument_options(&instruments),
        points: points(&dossier),
        weathers: Weather::options(),
        orientations: Orientation::options(),
        classes: SnagClass::options(),
        parts: part_options(&dossier.record),
        items: item_options(&dossier.record),
        choices: BuiltChoices::all(),
        survey_points: PointNames::all(),
        areas: Area::options(),
        thumbnail: match &fact.body {
            Body::Photo(_) => format!("{}/photos/{uuid}/thumbnail", head.job_href),
            _ => String::new(),
        },
        own_page: evidence::own_page(fact, &head),
        head,
    };
    let status = if refused { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    page_with(status, &page)
}

/// The instrument that an entry was made with.
fn made_with(dossier: &Dossier, fact: &Fact) -> Option<Uuid> {
    dossier.record.instrument_of(fact).map(|instrument| instrument.uuid)
}

/// Which form corrects the fact; an answer is corrected on its item's page.
fn form_of(fact: &Fact, head: &Head) -> (&'static str, String) {
    match &fact.body {
        Body::StandSetup(_) => ("setup", String::new()),
        Body::Trial(_) => ("trial", String::new()),
        Body::Reading(_) => ("reading", String::new()),
        Body::Explanation(_) => ("explanation", String::new()),
        Body::Answer(answered) => ("", format!("{}/checks/{}", head.job_href, answered.item)),
        _ => (evidence::form_of(fact), String::new()),
    }
}

/// When, by whom and upon what it was recorded.
fn circumstances(dossier: &Dossier, fact: &Fact) -> Vec<(String, String)> {
    let record = &dossier.record;
    let zone = record.site.time_zone();
    let line = |name: &str, value: String| (name.to_owned(), value);
    let mut facts = vec![
        line("Measured or done", fact.measured.shown()),
        line("Entered", zone.measured(fact.entered_at).shown()),
        line("By", record.name(fact.by)),
    ];
    if let Some(device) = fact.device_at {
        facts.push(line("Device clock", zone.measured(device).shown()));
    }
    if let Some(instrument) = record.instrument_of(fact) {
        facts.push(line(
            "Meter",
            format!(
                "{} {}, calibration {}",
                instrument.name, instrument.serial, instrument.calibration.number
            ),
        ));
    }
    if let Some(chain) = record.chain_of(fact) {
        facts.push(line("RF chain", format!("revision {}", chain.revision)));
    }
    if let Some(reason) = &fact.reason {
        facts.push(line("Corrects an earlier entry", reason.clone()));
    }
    facts
}

/// The correcting form, filled with what the entry says.
fn filled(app: &AppState, dossier: &Dossier, fact: &Fact) -> Fields {
    let zone = dossier.record.site.time_zone();
    let fields = Fields::empty(&app.clock).with("measured_at", zone.local_field(fact.measured.at));
    let instrument = dossier.record.instrument_of(fact).map(|one| one.uuid.to_string());
    let fields = fields.with("instrument", instrument.unwrap_or_default());
    let text = |yes: bool| if yes { "yes" } else { "no" };
    match &fact.body {
        Body::StandSetup(setup) => fields
            .with("stand_height_m", setup.height.text())
            .with("nearest_metal_m", setup.nearest_metal.text())
            .with("orientation", setup.orientation.word())
            .with("jumper", &setup.jumper)
            .with("jumper_loss_db", setup.jumper_loss.text())
            .with("supply_protected", text(setup.supply_protected))
            .with("note", &setup.note),
        Body::Trial(trial) => powers(fields, &trial.powers)
            .with("upper_mm", trial.upper.text())
            .with("lower_mm", trial.lower.text())
            .with("note", &trial.note),
        Body::Reading(reading) => {
            let others = reading.others_off.map_or("", text);
            let optional = |typed: Option<String>| typed.unwrap_or_default();
            powers(fields, &reading.powers)
                .with("point", reading.point_position)
                .with("frequency_mhz", reading.frequency.text())
                .with("power_set_w", optional(reading.power_set.as_ref().map(|w| w.text().into())))
                .with(
                    "power_made_w",
                    optional(reading.power_made.as_ref().map(|w| w.text().into())),
                )
                .with("fold_back", text(reading.fold_back))
                .with("weather", reading.weather.word())
                .with(
                    "temperature_c",
                    optional(reading.temperature.as_ref().map(|c| c.text().into())),
                )
                .with("others_off", others)
                .with("out_of_sequence", reading.out_of_sequence.clone().unwrap_or_default())
                .with("note", &reading.note)
        }
        Body::Explanation(explanation) => fields
            .with("reading", explanation.reading)
            .with("cause", &explanation.cause)
            .with("checked", &explanation.checked),
        _ => evidence::filled(fields, fact),
    }
}

fn powers(fields: Fields, pair: &PowerPair) -> Fields {
    let below = if pair.reflected_below { "below " } else { "" };
    fields
        .with("forward_w", pair.forward.text())
        .with("reflected_w", format!("{below}{}", pair.reflected.text()))
        .with("forward_range_w", pair.forward_range.text())
        .with("reflected_range_w", pair.reflected_range.text())
}

pub(super) async fn page(
    path: EntryPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, path.job, path.fact, Drawn::default()).await
}

/// Why a correction's form could not be taken: to be shown again, or an error page.
enum NotTaken {
    Mend(Fields),
    Page(PageError),
}

impl From<Fields> for NotTaken {
    fn from(fields: Fields) -> Self {
        Self::Mend(fields)
    }
}

pub(super) async fn correct(
    path: EntryPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    match corrected(&path, &permit, &app, &sent).await {
        Ok(()) => see_other(&JobPath { site: path.site, job: path.job }),
        Err(NotTaken::Page(error)) => Err(error),
        Err(NotTaken::Mend(fields)) => {
            let drawn = Drawn { correction: Some(fields), withdrawal: None };
            draw(&app, &permit, path.job, path.fact, drawn).await
        }
    }
}

/// What a correcting form holds, by the kind of fact.
enum Again {
    Setup(Taken<StandSetup>),
    Trial(Taken<Trial>),
    Reading(Taken<Reading>),
    Explanation(Explanation),
    Evidence(Evidence),
}

async fn corrected(
    path: &EntryPath,
    permit: &SitePermit<RecordFacts>,
    app: &AppState,
    sent: &Sent,
) -> Result<(), NotTaken> {
    let dossier = dossier_of(app, permit, path.job).await.map_err(NotTaken::Page)?;
    let fact = dossier.record.fact(path.fact).ok_or(NotTaken::Page(PageError::NotFound))?;
    let zone = dossier.record.site.time_zone();
    let now = app.clock.now();
    let offered = instruments_offered(app, made_with(&dossier, fact)).await;
    let instruments = offered.map_err(NotTaken::Page)?;
    let fields = &sent.fields;
    let again = match &fact.body {
        Body::StandSetup(_) => {
            measurements::form::stand_setup(fields, &zone, now).map(Again::Setup)
        }
        Body::Trial(_) => {
            measurements::form::trial(fields, &instruments, &zone, now).map(Again::Trial)
        }
        Body::Reading(_) => {
            measurements::form::reading(fields, &instruments, &zone, now).map(Again::Reading)
        }
        Body::Explanation(_) => form::explanation(fields).map(Again::Explanation),
        _ => evidence::read(fields, &dossier.record, fact, (&zone, now))
            .ok_or(NotTaken::Page(PageError::NotFound))?
            .map(Again::Evidence),
    };
    let (again, why) = form::both(again, form::reason(fields))?;
    let why = Correction { fact: path.fact, reason: why };
    let intent = sent.intent(permit.person().actor(), "entry corrected");
    match record_again(on_job(app, permit, path.job), intent, &again, &why).await {
        Ok(_) => Ok(()),
        Err(error) => match beside_field(error, sent.fields.clone()) {
            Ok(fields) => Err(NotTaken::Mend(fields)),
            Err(page) => Err(NotTaken::Page(page)),
        },
    }
}

async fn record_again(
    on: OnJob<'_>,
    intent: Intent,
    again: &Again,
    why: &Correction,
) -> Result<String, ActError> {
    fn moment<T>(taken: &Taken<T>) -> Moment {
        Moment { measured: taken.measured, device_at: taken.device_at }
    }
    match again {
        Again::Setup(taken) => {
            acts::record_stand_setup(on, intent, moment(taken), &taken.what, Some(why)).await
        }
        Again::Trial(taken) => {
            let calibration = taken.calibration_id.unwrap_or_default();
            let at = moment(taken);
            acts::record_trial(on, intent, at, calibration, &taken.what, Some(why)).await
        }
        Again::Reading(taken) => {
            let calibration = taken.calibration_id.unwrap_or_default();
            let at = moment(taken);
            acts::record_reading(on, intent, at, calibration, &taken.what, Some(why)).await
        }
        Again::Explanation(explanation) => acts::explain(on, intent, explanation, Some(why)).await,
        Again::Evidence(again) => evidence::record_again(on, intent, again, why).await,
    }
}

pub(super) async fn withdraw(
    path: WithdrawPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let why = match form::reason(&sent.fields) {
        Ok(reason) => Correction { fact: path.fact, reason },
        Err(fields) => {
            let drawn = Drawn { correction: None, withdrawal: Some(fields) };
            return draw(&app, &permit, path.job, path.fact, drawn).await;
        }
    };
    let intent = sent.intent(permit.person().actor(), "entry withdrawn");
    match acts::withdraw(on_job(&app, &permit, path.job), intent, &why).await {
        Ok(_) => see_other(&JobPath { site: path.site, job: path.job }),
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
