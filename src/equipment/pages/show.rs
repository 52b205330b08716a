//! The page of a chain.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::equipment::budget::Budget;
use crate::equipment::drawing::mast;
use crate::equipment::pages::view::{PartRow, RevisionView, fitness, parts, revisions, totals};
use crate::equipment::pages::{ChainPath, EditChainPath, Subject};
use crate::equipment::store;
use crate::figure::Table;
use crate::figure::{mast as figure, svg};
use crate::people::permit::{KeepSites, ReviseChain, See, SitePermit};
use crate::problem::{Problem, Severity};
use crate::profiles::store::newest as newest_profiles;
use crate::rf::quantity::Swr;
use crate::sites::pages::SitePath;
use crate::web::{AppState, PageError, Shell, page};

/// Width of the drawing in the left column of a page, px.
const DRAWING: f64 = 368.0;

/// Until a profile is published, the limit that most have: common practice, no source.
const USUAL_SWR: Swr = Swr::fixed(1.5);

/// Who may revise here, or why not.
enum Revising {
    /// May, and here is the form.
    May(String),
    /// Might, if there were a job.
    NeedsJob,
    /// Not this person's to do.
    No,
}

#[derive(Template)]
#[template(path = "equipment/chain.html")]
struct ChainPage {
    shell: Shell,
    site_name: String,
    site_href: String,
    line: String,
    frequency: String,
    lead: (String, String),
    edit_href: Option<String>,
    needs_job: bool,
    exists: bool,
    svg: String,
    table: Table,
    problems: Vec<(Problem, String)>,
    totals: Vec<(String, String)>,
    fitness: Vec<(String, String)>,
    parts: Vec<PartRow>,
    revisions: Vec<RevisionView>,
}

/// The worst SWR that the published profiles allow at the meter.
async fn worst_swr(app: &AppState) -> Result<Swr, PageError> {
    let mut snapshot = app.snapshot().await?;
    let profiles = newest_profiles(snapshot.conn()).await?;
    let worst = |worst: Option<Swr>, limit: Swr| match worst {
        Some(worst) if worst > limit => Some(worst),
        _ => Some(limit),
    };
    let limits = profiles.iter().map(|(_, profile)| profile.limits.installed_swr.value());
    Ok(limits.fold(None, worst).unwrap_or(USUAL_SWR))
}

fn revising(subject: &Subject, permit: &SitePermit<See>, path: &ChainPath) -> Revising {
    if !permit.also::<ReviseChain>() {
        Revising::No
    } else if permit.also::<KeepSites>() || subject.open_job.is_some() {
        let ChainPath { site, assignment } = path.clone();
        Revising::May(EditChainPath { site, assignment }.to_string())
    } else {
        Revising::NeedsJob
    }
}

/// The one thing to do next, in words.
fn lead(subject: &Subject, problems: &[Problem], revising: &Revising) -> (String, String) {
    let said = |headline: &str, text: &str| (headline.to_owned(), text.to_owned());
    if subject.chain.is_none() {
        return match revising {
            Revising::May(_) => said(
                "Describe the chain.",
                "Every part from transmitter to antenna, as its plate and data sheet have it. Losses, \
                 radiated power and what the meter should show are reckoned from it.",
            ),
            Revising::NeedsJob => said(
                "Open a job first.",
                "The chain is not described yet; a contractor describes it within an open job.",
            ),
            Revising::No => said("The chain is not described yet.", ""),
        };
    }
    let told = |problem: &&Problem| problem.severity >= Severity::Warning;
    match problems.iter().filter(told).count() {
        0 => said(
            "The chain is complete.",
            "Nothing in it contradicts the assignment. Revise it when a part is replaced.",
        ),
        1 => said("Look at one point below.", "It does not fit the assignment, or is missing."),
        count => (
            format!("Look at {count} points below."),
            "They do not fit the assignment, or are missing.".to_owned(),
        ),
    }
}

/// Where a problem is mended: the field of the form, for those who may use it.
fn mended_at(problem: &Problem, revising: &Revising) -> String {
    match (revising, &problem.field) {
        (Revising::May(href), Some(field)) => format!("{href}#f-{field}"),
        _ => String::new(),
    }
}

/// The chain that serves an assignment.
///
/// # Errors
/// [`PageError`].
pub async fn chain_page(
    path: ChainPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    let subject = Subject::read(&app, &permit, path.assignment).await?;
    let worst = worst_swr(&app).await?;
    let said = &subject.assignment.particulars;
    let budget = subject.chain.as_ref().map(|chain| Budget::new(chain, said.frequency.value()));
    let problems = budget.map(|budget| budget.problems(said, worst)).unwrap_or_default();
    let past = match &subject.chain {
        Some(chain) => {
            let mut snapshot = app.snapshot().await?;
            store::revisions(snapshot.conn(), chain.chain_id).await?
        }
        None => Vec::new(),
    };
    let revising = revising(&subject, &permit, &path);
    let lead = lead(&subject, &problems, &revising);
    let drawn = mast(&subject.site, said, subject.chain.as_ref(), &path.to_string());
    let template = ChainPage {
        shell: Shell::of(permit.person(), "/sites"),
        site_name: subject.site.name.clone(),
        site_href: SitePath { site: subject.site.code.clone() }.to_string(),
        line: subject.line(),
        frequency: said.frequency.to_string(),
        lead,
        needs_job: matches!(revising, Revising::NeedsJob),
        exists: subject.chain.is_some(),
        svg: svg::inline(&figure::draw(&drawn, DRAWING), "mast"),
        table: figure::table(&drawn),
        problems: problems
            .into_iter()
            .map(|problem| {
                let href = mended_at(&problem, &revising);
                (problem, href)
            })
            .collect(),
        totals: budget.map(|budget| totals(&budget, said)).unwrap_or_default(),
        fitness: budget.map(|budget| fitness(&budget, said, worst)).unwrap_or_default(),
        parts: budget.as_ref().map(parts).unwrap_or_default(),
        revisions: revisions(&past, &subject.site.time_zone()),
        edit_href: if let Revising::May(href) = revising { Some(href) } else { None },
    };
    page(&template)
}
