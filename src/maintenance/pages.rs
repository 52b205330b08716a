//! The pages of an assignment's readings over years.

use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::routing::{RouterExt, TypedPath};
use serde::Deserialize;

use crate::equipment;
use crate::equipment::budget::Budget;
use crate::figure::Table;
use crate::figure::history_plot::{self, Event, HistoryPlot, Reading as Plotted};
use crate::figure::svg;
use crate::instruments;
use crate::instruments::model::Instrument;
use crate::jobs;
use crate::jobs::acts::{Correction, Moment};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::swr_of;
use crate::jobs::pages::{beside_field, instrument_options, taken_before};
use crate::maintenance::history::{History, Seen, day_of, history, same_frequency, ticks};
use crate::maintenance::{acts, store};
use crate::measurements;
use crate::measurements::model::{Occasion, Reading, Weather};
use crate::people::permit::{Ability, RecordFacts, See, SitePermit};
use crate::rf::quantity::Quantity;
use crate::sites;
use crate::sites::model::{Assignment, Site};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};
use crate::words::joined;

/// The readings of an assignment.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/sites/{site}/assignments/{assignment}/readings", rejection(PageError))]
pub struct ReadingsPath {
    /// The site's code.
    pub site: String,
    /// The assignment's number at the site.
    pub assignment: i64,
}

/// Striking one of them.
#[derive(Debug, Clone, Deserialize, TypedPath)]
#[typed_path("/sites/{site}/assignments/{assignment}/readings/strike", rejection(PageError))]
pub struct StrikePath {
    /// The site's code.
    pub site: String,
    /// The assignment's number at the site.
    pub assignment: i64,
}

/// The routes of this concept.
pub fn routes() -> Router<AppState> {
    Router::new().typed_get(page).typed_post(record).typed_post(strike)
}

struct Row {
    uuid: String,
    when: String,
    what: String,
    href: String,
    said: String,
    at_antenna: String,
    marks: String,
    who: String,
    struck: String,
    may_strike: bool,
}

struct Figure {
    svg: String,
    table: Table,
}

#[derive(Template)]
#[template(path = "maintenance/readings.html")]
struct ReadingsPage {
    shell: Shell,
    site: String,
    site_href: String,
    here: String,
    line: String,
    headline: String,
    text: String,
    figure: Option<Figure>,
    rows: Vec<Row>,
    fields: Fields,
    strike: Fields,
    struck: String,
    instruments: Vec<(String, String)>,
    points: Vec<(String, String)>,
    weathers: Vec<(String, String)>,
    may_record: bool,
}

/// What a page is drawn from.
struct Looked {
    site: Site,
    assignment: Assignment,
    history: History,
    limit: Option<f64>,
    points: Vec<(String, String)>,
    instruments: Vec<Instrument>,
}

async fn look<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    number: i64,
) -> Result<Looked, PageError> {
    let mut snapshot = app.snapshot().await?;
    let conn = snapshot.conn();
    let site = sites::store::find(conn, permit.site_id()).await?.ok_or(PageError::NotFound)?;
    let assignment = sites::store::assignment(conn, permit.site_id(), number).await?;
    let assignment = assignment.ok_or(PageError::NotFound)?;
    let zone = site.time_zone();
    let mut dossiers: Vec<Dossier> = Vec::new();
    for job in jobs::store::list(conn, site.id, &zone).await? {
        if job.assignment_id == assignment.assignment_id {
            dossiers
                .extend(jobs::store::dossier(conn, site.id, job.number, app.clock.now()).await?);
        }
    }
    let limit =
        dossiers.first().map(|newest| newest.record.profile.limits.stand_swr.value().value());
    let routines = store::routines(conn, assignment.assignment_id).await?;
    let chain = equipment::store::newest(conn, assignment.assignment_id).await?;
    let points = chain.as_ref().map_or_else(Vec::new, |chain| {
        let places =
            Budget::new(chain, assignment.particulars.frequency.value()).measuring_points();
        places.into_iter().map(|point| (point.position.to_string(), point.words)).collect()
    });
    let mut instruments = instruments::store::every_calibration(conn).await?;
    instruments.retain(|instrument| !instrument.retired);
    let history = history(&dossiers, &routines, &zone, limit);
    Ok(Looked { site, assignment, history, limit, points, instruments })
}

/// A form to be mended, and which reading it strikes, where it strikes one.
#[derive(Default)]
struct Drawn {
    reading: Option<Fields>,
    strike: Option<(String, Fields)>,
}

async fn draw<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    path: &ReadingsPath,
    drawn: Drawn,
) -> Result<Response, PageError> {
    let looked = look(app, permit, path.assignment).await?;
    let refused = drawn.reading.is_some() || drawn.strike.is_some();
    let may_record = permit.also::<RecordFacts>();
    let particulars = &looked.assignment.particulars;
    let site_href = format!("/sites/{}", looked.site.code);
    let (struck, strike) =
        drawn.strike.unwrap_or_else(|| (String::new(), Fields::empty(&app.clock)));
    let page = ReadingsPage {
        shell: Shell::of(permit.person(), "/sites"),
        site: looked.site.name.clone(),
        here: format!("{site_href}/assignments/{}/readings", looked.assignment.number),
        line: format!("{}, {}", particulars.frequency, particulars.station_name),
        headline: looked.history.headline.clone(),
        text: looked.history.text.clone(),
        figure: figure(&looked),
        rows: looked
            .history
            .seen
            .iter()
            .rev()
            .map(|seen| row(seen, &site_href, may_record))
            .collect(),
        fields: drawn.reading.unwrap_or_else(|| empty(app, &looked)),
        strike,
        struck,
        instruments: instrument_options(&looked.instruments),
        points: looked.points.clone(),
        weathers: Weather::options(),
        may_record,
        site_href,
    };
    let status = if refused { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    page_with(status, &page)
}

/// Point and frequency as they are assigned; the readings are empty.
fn empty(app: &AppState, looked: &Looked) -> Fields {
    let mut fields = Fields::empty(&app.clock);
    if let Some((point, _)) = looked.points.first() {
        fields = fields.with("point", point.clone());
    }
    fields.with("frequency_mhz", looked.assignment.particulars.frequency.text())
}

fn row(seen: &Seen, site_href: &str, may_record: bool) -> Row {
    let shown = seen.at_antenna.map(|known| known.shown()).unwrap_or_default();
    Row {
        uuid: seen.uuid.to_string(),
        when: seen.measured.shown(),
        what: occasion(seen),
        href: seen.job.map(|job| format!("{site_href}/jobs/{job}")).unwrap_or_default(),
        said: seen.said.clone(),
        at_antenna: if seen.withheld.is_empty() { shown } else { seen.withheld.clone() },
        marks: seen.marks.iter().fold(String::new(), |said, more| joined(said, more)),
        who: seen.by.clone(),
        may_strike: may_record && seen.job.is_none() && seen.struck.is_empty(),
        struck: seen.struck.clone(),
    }
}

fn occasion(seen: &Seen) -> String {
    seen.job.map_or_else(|| "routine".to_owned(), |job| format!("job {job}, installed"))
}

fn figure(looked: &Looked) -> Option<Figure> {
    let history = &looked.history;
    let holding = || history.seen.iter().enumerate().filter(|(_, seen)| seen.struck.is_empty());
    holding().next()?;
    let of = |(at, seen): (usize, &Seen)| Plotted {
        day: day_of(seen.measured),
        when: seen.measured.shown_date(),
        occasion: occasion(seen),
        installed: seen.job.is_some(),
        swr: seen.at_antenna.map(|known| known.swr().value()),
        range: seen.at_antenna.map(|known| [swr_of(known.low), swr_of(known.high)]),
        alike: at >= history.alike_from,
        note: seen.marks.iter().fold(seen.withheld.clone(), |said, more| joined(said, more)),
    };
    let input = HistoryPlot {
        heading: Some("Readings over the years".to_owned()),
        readings: holding().map(of).collect(),
        events: events(&history.seen),
        ticks: ticks(&history.seen, &looked.site.time_zone()),
        limit: looked.limit,
        trend: history.trend,
    };
    let (wide, narrow) = (history_plot::draw(&input, 828.0), history_plot::draw(&input, 358.0));
    Some(Figure {
        svg: svg::responsive(&wide, &narrow, "history"),
        table: history_plot::table(&input),
    })
}

/// Where the chain or the frequency changed from one reading to the next.
fn events(seen: &[Seen]) -> Vec<Event> {
    let holding: Vec<&Seen> = seen.iter().filter(|one| one.struck.is_empty()).collect();
    let changed = |pair: &[&Seen]| {
        let [before, after] = pair else { return None };
        let day = day_of(after.measured);
        if before.chain != after.chain {
            let revision = after.chain?;
            return Some(Event { day, words: format!("chain revision {revision}") });
        }
        (!same_frequency(before, after))
            .then(|| Event { day, words: format!("{} MHz", after.frequency_mhz) })
    };
    holding.windows(2).filter_map(changed).collect()
}

async fn page(
    path: ReadingsPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, &path, Drawn::default()).await
}

async fn record(
    path: ReadingsPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let intent = sent.intent(permit.person().actor(), "routine reading recorded");
    let looked = look(&app, &permit, path.assignment).await?;
    let zone = looked.site.time_zone();
    let now = app.clock.now();
    let taken = match measurements::form::reading(&sent.fields, &looked.instruments, &zone, now) {
        Ok(taken) => taken,
        Err(_) if taken_before(&app, &intent, &sent.fields).await? => return see_other(&path),
        Err(fields) => {
            let drawn = Drawn { reading: Some(fields), ..Drawn::default() };
            return draw(&app, &permit, &path, drawn).await;
        }
    };
    let reading = Reading { occasion: Occasion::Routine, out_of_sequence: None, ..taken.what };
    let read = acts::RoutineRead { reading, calibration_id: taken.calibration_id };
    let moment = Moment { measured: taken.measured, device_at: taken.device_at };
    let done = acts::record_routine(
        &app.writer,
        &app.clock,
        &permit,
        intent,
        path.assignment,
        moment,
        &read,
    );
    match done.await {
        Ok(_) => see_other(&path),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            let drawn = Drawn { reading: Some(fields), ..Drawn::default() };
            draw(&app, &permit, &path, drawn).await
        }
    }
}

async fn strike(
    path: StrikePath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let readings = ReadingsPath { site: path.site, assignment: path.assignment };
    let mut form = sent.fields.check();
    let fact = form.uuid("fact");
    let reason = form.line("reason");
    let correction = match form.finish(fact.zip(reason)) {
        Ok((fact, reason)) => Correction { fact, reason },
        Err(fields) => {
            let strike = Some((fields.value("fact").to_owned(), fields));
            let drawn = Drawn { strike, ..Drawn::default() };
            return draw(&app, &permit, &readings, drawn).await;
        }
    };
    let intent = sent.intent(permit.person().actor(), "routine reading struck");
    let number = readings.assignment;
    match acts::strike(&app.writer, &app.clock, &permit, intent, number, &correction).await {
        Ok(_) => see_other(&readings),
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
