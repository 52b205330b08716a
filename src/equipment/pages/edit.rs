//! The form that makes the next revision of a chain.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::equipment::acts::{self, RevisionBasis, needs_job};
use crate::equipment::form;
use crate::equipment::pages::{ChainPath, EditChainPath, Subject};
use crate::journal::ActError;
use crate::people::permit::{KeepSites, ReviseChain, SitePermit};
use crate::problem::Problem;
use crate::rf::element::{half_wave, quarter_wave, resonant_half_wave};
use crate::rf::five_eighths;
use crate::rf::quantity::{Millimetres, Quantity};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

type Options = Vec<(String, String)>;

/// The names of the fields of one cable.
struct LineNames {
    designation: String,
    serial: String,
    cable: String,
    length: String,
    swr: String,
    conductor: String,
    dielectric: String,
    tolerance: String,
    velocity: String,
    source: String,
}

impl LineNames {
    fn of(prefix: &str) -> Self {
        let name = |field: &str| format!("{prefix}_{field}");
        Self {
            designation: name("designation"),
            serial: name("serial"),
            cable: name("cable"),
            length: name("length_m"),
            swr: name("swr"),
            conductor: name("conductor_db"),
            dielectric: name("dielectric_db"),
            tolerance: name("tolerance_percent"),
            velocity: name("velocity"),
            source: name("source"),
        }
    }
}

#[derive(Template)]
#[template(path = "equipment/edit.html")]
struct EditPage {
    shell: Shell,
    fields: Fields,
    site_name: String,
    chain_href: String,
    line: String,
    action: String,
    title: String,
    button: String,
    first: bool,
    why_hint: &'static str,
    job: Option<i64>,
    /// Why the form cannot be used; then it is not shown.
    barred: Option<Problem>,
    resonant: String,
    authorised_height: String,
    jumper: LineNames,
    feed: LineNames,
    fitted: Options,
    cables: Options,
    antenna: form::AntennaChoices,
    five_eighths: String,
    five_eighths_gain: &'static str,
    radial_hint: String,
}

/// Why this person cannot use the form now.
fn barred(subject: &Subject, permit: &SitePermit<ReviseChain>) -> Option<Problem> {
    if !permit.also::<KeepSites>() && subject.open_job.is_none() {
        return Some(needs_job());
    }
    beyond_form(subject)
}

/// A chain that came another way may hold more than the form, which would drop it silently.
fn beyond_form(subject: &Subject) -> Option<Problem> {
    let fits = subject.chain.as_ref().is_none_or(form::fits);
    let text = "this chain has more parts than this form can hold; it would lose some of them here";
    (!fits).then(|| Problem::blocking("CHAIN_BEYOND_FORM", None, text))
}

fn edit_form(
    permit: &SitePermit<ReviseChain>,
    subject: &Subject,
    status: StatusCode,
    fields: Fields,
) -> Result<Response, PageError> {
    let (site, assignment) = (subject.site.code.clone(), subject.assignment.number);
    let said = &subject.assignment.particulars;
    let frequency = said.frequency.value();
    let half = |diameter: f64| {
        let whole = resonant_half_wave(frequency, Millimetres::nearest(diameter));
        format!("{:.0}", whole.value() / 2.0)
    };
    let next = subject.chain.as_ref().map_or(1, |chain| chain.revision + 1);
    let template = EditPage {
        shell: Shell::of(permit.person(), "/sites"),
        fields,
        site_name: subject.site.name.clone(),
        chain_href: ChainPath { site: site.clone(), assignment }.to_string(),
        line: subject.line(),
        action: EditChainPath { site, assignment }.to_string(),
        title: format!("RF chain, revision {next}"),
        button: format!("Record revision {next}"),
        first: next == 1,
        why_hint: match next {
            1 => "may stay empty for the first one",
            _ => "what was replaced, or read again",
        },
        job: subject.open_job.map(|job| job.number),
        barred: barred(subject, permit),
        resonant: format!(
            "At {} half a wavelength in free space is {:.0}; each half is resonant at about {} mm with \
             a 6 mm element, {} mm with 16 mm, {} mm with 25 mm.",
            said.frequency,
            half_wave(frequency),
            half(6.0),
            half(16.0),
            half(25.0)
        ),
        authorised_height: format!("authorised {}", said.height),
        jumper: LineNames::of("jumper"),
        feed: LineNames::of("feed_line"),
        fitted: form::fitted(),
        cables: form::cables(),
        antenna: form::AntennaChoices::all(),
        five_eighths: format!("{:.0} at {}", five_eighths::length(frequency), said.frequency),
        five_eighths_gain: five_eighths::GAIN_CAUTION,
        radial_hint: format!("a quarter is {:.0}", quarter_wave(frequency)),
    };
    page_with(status, &template)
}

/// The form, filled from the newest revision.
///
/// # Errors
/// [`PageError`].
pub async fn edit_page(
    path: EditChainPath,
    permit: SitePermit<ReviseChain>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let subject = Subject::read(&app, &permit, path.assignment).await?;
    let empty = Fields::empty(&app.clock);
    let fields = match &subject.chain {
        Some(chain) => form::filled(empty, chain),
        None => form::fresh(empty),
    };
    edit_form(&permit, &subject, StatusCode::OK, fields)
}

/// Makes the next revision.
///
/// # Errors
/// [`PageError`].
pub async fn revise(
    path: EditChainPath,
    permit: SitePermit<ReviseChain>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let subject = Subject::read(&app, &permit, path.assignment).await?;
    if let Some(problem) = beyond_form(&subject) {
        return Err(PageError::Refused(vec![problem], Box::new(sent.fields)));
    }
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let draft = match form::draft(&sent.fields) {
        Ok(draft) => draft,
        Err(fields) => return edit_form(&permit, &subject, refused, fields),
    };
    let basis = subject.open_job.map_or(RevisionBasis::Keeper, |job| RevisionBasis::Job(job.id));
    let intent = sent.intent(permit.person().actor(), "chain revised");
    let number = path.assignment;
    let EditChainPath { site, assignment } = path;
    match acts::revise(&app.writer, &app.clock, &permit, number, basis, intent, &draft).await {
        Ok(_) => see_other(&ChainPath { site, assignment }),
        Err(ActError::Field { field, message }) => {
            edit_form(&permit, &subject, refused, sent.fields.refusing(field, message))
        }
        Err(error) => Err(PageError::of_act(error, sent.fields)),
    }
}
