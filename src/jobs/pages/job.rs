//! The job's own page.

use askama::Template;
use axum::extract::State;
use axum::response::Response;

use crate::figure::{Table, comparison_plot, gate_rail, mast, svg, trial_plot};
use crate::jobs::dossier::Dossier;
use crate::jobs::findings::{Progress, StageFinding, open_in_words};
use crate::jobs::model::Fact;
use crate::jobs::next::{self, Next};
use crate::jobs::pages::photos::{Plate, plate};
use crate::jobs::pages::snags::{self, SnagRow};
use crate::jobs::pages::{Head, JobPath, dossier_of, who};
use crate::jobs::pictures;
use crate::jobs::problems;
use crate::jobs::words;
use crate::people::model::Role;
use crate::people::permit::{Release, See, SitePermit};
use crate::problem::Problem;
use crate::profiles::model::Stage;
use crate::web::{AppState, PageError, Shell};

/// A picture with the table of its numbers.
pub(super) struct Figure {
    pub svg: String,
    pub caption: String,
    pub table: Table,
}

struct ItemView {
    text: String,
    href: String,
    evidence: String,
    mark: &'static str,
    word: &'static str,
}

struct StageView {
    word: &'static str,
    title: String,
    gate: &'static str,
    state: String,
    mark: &'static str,
    current: bool,
    items: Vec<ItemView>,
    button: Option<Button>,
}

struct Button {
    href: String,
    label: String,
    reason: String,
}

struct Entry {
    when: String,
    kind: &'static str,
    said: String,
    who: String,
    struck: String,
    href: String,
}

#[derive(Template)]
#[template(path = "jobs/job.html")]
struct JobPage {
    shell: Shell,
    head: Head,
    next: Next,
    next_href: String,
    rail: String,
    mast: Figure,
    comparison: Option<Figure>,
    verdict: Option<Verdict>,
    trials: Option<Figure>,
    stages: Vec<StageView>,
    entries: Vec<Entry>,
    rule: String,
    profile: String,
    accepted: bool,
    manager: bool,
    lapsed: bool,
    snags: String,
    snag_rows: Vec<SnagRow>,
    plates: Vec<Plate>,
    photos: usize,
}

struct Verdict {
    headline: String,
    text: String,
    checks: Vec<String>,
    at_antenna: String,
}

async fn page_of(
    app: &AppState,
    permit: &SitePermit<See>,
    number: i64,
) -> Result<JobPage, PageError> {
    let dossier = dossier_of(app, permit, number).await?;
    let head = Head::of(&dossier);
    let next = next::of(&dossier, who(permit));
    let base = head.job_href.clone();
    let lead = lead_from(&dossier, &base);
    let record = &dossier.record;
    let rail = pictures::gate_rail(&dossier, &|tail| Some(format!("{base}{tail}")));
    let profile = &record.profile;
    Ok(JobPage {
        shell: Shell::of(permit.person(), "/sites"),
        next_href: lead(&next.tail).unwrap_or_default(),
        next,
        rail: svg::responsive(
            &gate_rail::draw(&rail, 1180.0),
            &gate_rail::draw(&rail, 358.0),
            "rail",
        ),
        mast: mast_figure(&dossier, &lead),
        comparison: comparison_figure(&dossier),
        verdict: verdict(&dossier),
        trials: trial_figure(&dossier, &lead),
        stages: stage_views(&dossier, permit, &base),
        entries: record.facts.iter().rev().map(|fact| entry(&dossier, fact, &base)).collect(),
        rule: format!(
            "A limit inside the interval is “not shown”. On the point value it may be accepted by {} ({}).",
            profile.limits.not_shown_accepted_by.shown(),
            profile.limits.not_shown_source
        ),
        profile: format!("{}, edition {}", profile.title, profile.edition),
        accepted: dossier.accepted(),
        manager: permit.person().role == Role::Manager,
        lapsed: lapsed_declaration(&dossier),
        snags: open_in_words(&dossier.findings.snags),
        snag_rows: snags::rows(&dossier, &base).into_iter().filter(|row| row.open).collect(),
        plates: newest_plates(&dossier, &base),
        photos: record.photos().count(),
        head,
    })
}

/// The photos that hold, the newest first, as many as a page takes in at a glance.
fn newest_plates(dossier: &Dossier, base: &str) -> Vec<Plate> {
    let photos = dossier.record.photos().rev().take(8);
    photos.map(|(fact, photo)| plate(dossier, base, fact, photo)).collect()
}

/// Where the parts of this job's pictures lead: below the job, or to the chain of its assignment.
fn lead_from<'a>(dossier: &'a Dossier, base: &'a str) -> impl Fn(&str) -> Option<String> + 'a {
    let site = &dossier.record.site.code;
    let assignment = dossier.record.assignment().map_or(1, |one| one.number);
    let has_chain = dossier.record.chain().is_some();
    move |tail| match tail {
        "" => None,
        "/chain" if has_chain => Some(format!("/sites/{site}/assignments/{assignment}/chain")),
        "/chain" => Some(format!("/sites/{site}/assignments/{assignment}/chain/edit")),
        tail => Some(format!("{base}{tail}")),
    }
}

fn mast_figure(dossier: &Dossier, lead: pictures::Lead<'_>) -> Figure {
    let input = pictures::mast(dossier, lead);
    Figure {
        svg: svg::inline(&mast::draw(&input, 368.0), "mast"),
        caption: "The site in elevation, heights to scale. Each part leads to its facts."
            .to_owned(),
        table: mast::table(&input),
    }
}

/// The comparison plot, wide and narrow.
pub(super) fn comparison_figure(dossier: &Dossier) -> Option<Figure> {
    dossier.findings.comparison.as_ref()?;
    let input = pictures::comparison_plot(dossier, Some("Stand against installed"));
    let (wide, narrow) =
        (comparison_plot::draw(&input, 828.0), comparison_plot::draw(&input, 358.0));
    Some(Figure {
        svg: svg::responsive(&wide, &narrow, "comparison"),
        caption: "Each bar is what meter, range and directivity allow.".to_owned(),
        table: comparison_plot::table(&input),
    })
}

/// The trial plot, wide and narrow.
pub(super) fn trial_figure(dossier: &Dossier, lead: pictures::Lead<'_>) -> Option<Figure> {
    if dossier.findings.stand.trials.is_empty() {
        return None;
    }
    let input = pictures::trial_plot(dossier, Some("Trials on the stand"), lead);
    let (wide, narrow) = (trial_plot::draw(&input, 828.0), trial_plot::draw(&input, 358.0));
    Some(Figure {
        svg: svg::responsive(&wide, &narrow, "trials"),
        caption: "Reflected share at the antenna input, with what the meter allows.".to_owned(),
        table: trial_plot::table(&input),
    })
}

fn verdict(dossier: &Dossier) -> Option<Verdict> {
    let comparison = dossier.findings.comparison.as_ref()?;
    Some(Verdict {
        headline: comparison.headline.clone(),
        text: comparison.explanation.clone(),
        checks: comparison.checks.clone(),
        at_antenna: comparison.at_antenna.clone(),
    })
}

/// A declaration whose ground has changed is told of.
fn lapsed_declaration(dossier: &Dossier) -> bool {
    let open = matches!(dossier.findings.progress, Progress::Open(_));
    open && dossier.record.declaration().is_some()
}

fn stage_views(dossier: &Dossier, permit: &SitePermit<See>, base: &str) -> Vec<StageView> {
    let present = dossier.findings.progress.stage();
    let views = dossier.findings.stages.iter().map(|finding| {
        let items = dossier.findings.items.iter().filter(|item| item.stage == finding.stage);
        let (mark, state) = gate_state(dossier, finding);
        StageView {
            word: finding.stage.word(),
            title: finding.stage.shown().to_owned(),
            gate: finding.stage.gate(),
            state,
            mark,
            current: finding.stage == present && !dossier.accepted(),
            items: items
                .map(|item| ItemView {
                    text: item.text.clone(),
                    href: format!("{base}/checks/{}", item.id),
                    evidence: item.evidence.clone(),
                    mark: item.answer.map_or("ring", |answer| answer.mark()),
                    word: pictures::word(item.answer),
                })
                .collect(),
            button: button(dossier, permit, finding, base),
        }
    });
    views.collect()
}

fn gate_state(dossier: &Dossier, finding: &StageFinding) -> (&'static str, String) {
    let fact = finding.released.and_then(|uuid| dossier.record.fact(uuid));
    let by = fact.map(|fact| {
        format!("released by {} on {}", dossier.record.name(fact.by), fact.measured.shown())
    });
    match (by, finding.lapsed) {
        (Some(by), false) => ("tick", by),
        (Some(by), true) => {
            ("ring", format!("lapsed: {by}, but a fact beneath it has changed since"))
        }
        (None, _) if finding.stage == Stage::HandOver && dossier.accepted() => {
            ("tick", "accepted".to_owned())
        }
        (None, _) if !finding.needed => ("dash", pictures::NO_PART.to_owned()),
        (None, _) => ("ring", pictures::checks_left(finding.open, finding.failed)),
    }
}

/// The button of the stage in which work goes on.
fn button(
    dossier: &Dossier,
    permit: &SitePermit<See>,
    finding: &StageFinding,
    base: &str,
) -> Option<Button> {
    if dossier.accepted() || finding.stage != dossier.findings.progress.stage() {
        return None;
    }
    if !permit.also::<Release>() {
        return None;
    }
    let (record, findings) = (&dossier.record, &dossier.findings);
    let (problems, href, label) = if finding.stage == Stage::HandOver {
        if findings.progress == Progress::Declared {
            return None;
        }
        let problems = problems::declare(record, findings, who(permit));
        (problems, format!("{base}/declaration"), "Declare complete".to_owned())
    } else {
        let problems = problems::release(record, findings, finding.stage, who(permit));
        let href = format!("{base}/gates/{}", finding.stage.word());
        (problems, href, format!("Release “{}”", finding.stage.gate()))
    };
    Some(Button { href, label, reason: reason(&problems) })
}

/// Why a button cannot be pressed, in a line; empty when it can.
fn reason(problems: &[Problem]) -> String {
    let blocking: Vec<&Problem> = problems.iter().filter(|problem| problem.blocks()).collect();
    match blocking.as_slice() {
        [] => String::new(),
        [one] => one.text.clone(),
        many => {
            let own = many.iter().find(|problem| problem.code == "OWN_WORK");
            let own = own.map(|problem| format!(" {}", problem.text)).unwrap_or_default();
            format!("{} things stand in the way.{own}", many.len())
        }
    }
}

fn entry(dossier: &Dossier, fact: &Fact, base: &str) -> Entry {
    let record = &dossier.record;
    Entry {
        when: fact.measured.shown(),
        kind: fact.body.shown(),
        said: words::said(record, fact),
        who: record.name(fact.by),
        struck: words::struck(record, fact).unwrap_or_default(),
        href: format!("{base}/entries/{}", fact.uuid),
    }
}

pub(super) async fn page(
    path: JobPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    crate::web::page(&page_of(&app, &permit, path.job).await?)
}
