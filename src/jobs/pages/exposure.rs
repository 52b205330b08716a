//! How far people keep while there is RF: on the stand, at reduced and at full power, all stations of the
//! site summed; and surveys.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::equipment::exposure::ExposureView;
use crate::jobs::acts::{self, Moment};
use crate::jobs::dossier::Dossier;
use crate::jobs::form;
use crate::jobs::model::Body;
use crate::jobs::pages::{ExposurePath, Head, beside_field, dossier_of, may_record, on_job};
use crate::jobs::words;
use crate::measurements;
use crate::measurements::form::SURVEY_POINTS;
use crate::measurements::model::Area;
use crate::people::permit::{Ability, RecordFacts, See, SitePermit};
use crate::rf::exposure::STAND_LEAST;
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};
use crate::words::upper_first;

/// The names of the fields of one point of a survey.
pub(super) struct PointNames {
    pub number: usize,
    pub place: String,
    pub area: String,
    pub share: String,
}

impl PointNames {
    /// Those of every point that the form has room for.
    pub(super) fn all() -> Vec<Self> {
        (1..=SURVEY_POINTS)
            .map(|number| Self {
                number,
                place: format!("place_{number}"),
                area: format!("area_{number}"),
                share: format!("share_{number}_percent"),
            })
            .collect()
    }
}

/// How far to keep on the stand, as a sentence without its full stop.
pub(super) fn exclusion_on_the_stand(dossier: &Dossier) -> String {
    let exposure = dossier.findings.exposure.as_ref();
    exposure.map_or_else(
        || format!("Keep everybody at least {STAND_LEAST:.0} from the element; RF off to approach"),
        |exposure| upper_first(&exposure.on_the_stand()),
    )
}

/// How far to keep from the antennas on the structure, as sentences; empty where it was not reckoned.
pub(super) fn exclusion_with_rf_on(dossier: &Dossier) -> String {
    let exposure = dossier.findings.exposure.as_ref();
    exposure.and_then(|one| one.site.as_ref()).map_or_else(String::new, |site| {
        format!(
            "With all stations of the site on: nobody nearer to an antenna than {:.1} at full power, {:.1} at 10 % ({:.1} and {:.1} for those who know of it); below {:.1} the formula is not valid.",
            site.full.public,
            site.low.public,
            site.full.controlled,
            site.low.controlled,
            site.near_bound
        )
    })
}

struct Surveyed {
    when: String,
    said: String,
    points: Vec<(String, &'static str, String)>,
    who: String,
    struck: String,
    href: String,
}

#[derive(Template)]
#[template(path = "jobs/exposure.html")]
struct ExposurePage {
    shell: Shell,
    head: Head,
    headline: String,
    text: String,
    stand: String,
    site: Option<ExposureView>,
    surveys: Vec<Surveyed>,
    fields: Fields,
    survey_points: Vec<PointNames>,
    areas: Vec<(String, String)>,
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
    let exposure = dossier.findings.exposure.as_ref();
    let site = exposure.and_then(|one| one.site.as_ref());
    let (headline, text) = first(&dossier);
    let page = ExposurePage {
        shell: Shell::of(permit.person(), "/sites"),
        headline,
        text,
        stand: exclusion_on_the_stand(&dossier),
        site: site.map(ExposureView::of),
        surveys: surveys(&dossier, &head),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock)),
        survey_points: PointNames::all(),
        areas: Area::options(),
        may_record: may_record(&dossier, permit),
        head,
    };
    page_with(status, &page)
}

/// What stands out: the survey that counts, else what the figure says.
fn first(dossier: &Dossier) -> (String, String) {
    let exposure = dossier.findings.exposure.as_ref();
    if let Some(survey) = exposure.and_then(|one| one.survey.as_ref()) {
        return match &survey.withheld {
            Some(why) => (format!("The survey shows nothing: {why}."), survey.said.clone()),
            None if survey.within => {
                ("Surveyed: every point at or below its limit.".to_owned(), survey.said.clone())
            }
            None => ("Check the places above the limit.".to_owned(), survey.said.clone()),
        };
    }
    let Some(site) = exposure.and_then(|one| one.site.as_ref()) else {
        return ("No distance was reckoned.".to_owned(), String::new());
    };
    let text = if site.shared() {
        "Several stations share the structure: the figure alone does not pass the check, a survey is asked for."
    } else {
        "By the formula alone. A survey at named points says more."
    };
    (format!("{}.", upper_first(&site.said())), text.to_owned())
}

fn surveys(dossier: &Dossier, head: &Head) -> Vec<Surveyed> {
    let record = &dossier.record;
    let mut all = Vec::new();
    for fact in record.facts.iter().rev() {
        let Body::ExposureSurvey(survey) = &fact.body else { continue };
        let points = survey.points.iter();
        all.push(Surveyed {
            when: fact.measured.shown(),
            said: words::said(record, fact),
            points: points
                .map(|point| (point.place.clone(), point.area.shown(), point.share.to_string()))
                .collect(),
            who: record.name(fact.by),
            struck: words::struck(record, fact).unwrap_or_default(),
            href: format!("{}/entries/{}", head.job_href, fact.uuid),
        });
    }
    all
}

pub(super) async fn page(
    path: ExposurePath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, path.job, None).await
}

pub(super) async fn record(
    path: ExposurePath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let zone = dossier.record.site.time_zone();
    let taken = measurements::form::survey(&sent.fields, &zone, app.clock.now());
    let (taken, correction) = match form::both(taken, form::correction(&sent.fields)) {
        Ok(checked) => checked,
        Err(fields) => return draw(&app, &permit, path.job, Some(fields)).await,
    };
    let intent = sent.intent(permit.person().actor(), "exposure surveyed");
    let moment = Moment { measured: taken.measured, device_at: taken.device_at };
    let on = on_job(&app, &permit, path.job);
    match acts::record_survey(on, intent, moment, &taken.what, correction.as_ref()).await {
        Ok(_) => see_other(&path),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            draw(&app, &permit, path.job, Some(fields)).await
        }
    }
}
