//! One item: its question, its answer, and what stands beneath it.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

use crate::jobs::acts;
use crate::jobs::dossier::Dossier;
use crate::jobs::form;
use crate::jobs::model::{Answer, Answered, Body, Fact};
use crate::jobs::pages::photos::{Plate, plate};
use crate::jobs::pages::{CheckPath, Head, JobPath, beside_field, dossier_of, may_record, on_job};
use crate::jobs::{pictures, words};
use crate::people::model::Role;
use crate::people::permit::{Ability, RecordFacts, See, SitePermit};
use crate::photos::model::ASKS;
use crate::profiles::model::{Answering, Item, Limit};
use crate::web::{AppState, Fields, PageError, Sent, Shell, page_with, see_other};

struct Past {
    when: String,
    said: String,
    who: String,
    struck: String,
    href: String,
}

#[derive(Template)]
#[template(path = "jobs/check.html")]
struct CheckPage {
    shell: Shell,
    head: Head,
    action: String,
    item: Item,
    stage: &'static str,
    gate: &'static str,
    evidence: String,
    mark: &'static str,
    word: &'static str,
    limit: String,
    options: Vec<(String, String)>,
    fields: Fields,
    corrects: String,
    conceded: String,
    asks_reason: bool,
    beneath: Vec<Past>,
    may_record: bool,
    derived: bool,
    value: bool,
    unit: &'static str,
    concede: bool,
    reason_hint: &'static str,
    asks_owner: bool,
    plates: Vec<Plate>,
    photo_fields: Option<Fields>,
    asks: &'static str,
}

async fn draw<A: Ability>(
    app: &AppState,
    permit: &SitePermit<A>,
    path: &CheckPath,
    refused: Option<Fields>,
) -> Result<Response, PageError> {
    let dossier = dossier_of(app, permit, path.job).await?;
    let record = &dossier.record;
    let item = record.profile.item(&path.item).cloned().ok_or(PageError::NotFound)?;
    let finding = dossier.findings.item(&item.id).ok_or(PageError::NotFound)?;
    let head = Head::of(&dossier);
    let status = if refused.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let name = |found: Option<(&Fact, &Answered)>| found.map(|(fact, _)| fact.uuid.to_string());
    let corrects = name(record.answered(&item.id)).unwrap_or_default();
    let conceded_before = name(record.conceded(&item.id)).unwrap_or_default();
    let manager = permit.person().role == Role::Manager;
    let settled =
        matches!(finding.answer, Some(Answer::Passed | Answer::NotApplicable | Answer::Deferred));
    let options = options(&item, manager, settled);
    let concede = options.iter().any(|(word, _)| word == Answer::UnderConcession.word());
    let page = CheckPage {
        shell: Shell::of(permit.person(), "/sites"),
        action: format!("{}/checks/{}", head.job_href, item.id),
        stage: item.stage.shown(),
        gate: item.stage.gate(),
        evidence: finding.evidence.clone(),
        mark: finding.answer.map_or("ring", Answer::mark),
        word: pictures::word(finding.answer),
        limit: limit(&dossier, &item),
        fields: refused.unwrap_or_else(|| Fields::empty(&app.clock)),
        asks_reason: !corrects.is_empty() || (concede && !conceded_before.is_empty()),
        corrects,
        beneath: beneath(&dossier, &item, &head.job_href),
        may_record: may_record(&dossier, permit) && !options.is_empty(),
        derived: item.answer.is_derived(),
        value: item.answer == Answering::Value,
        unit: item.unit.map_or("", |unit| unit.shown()),
        reason_hint: if concede && conceded_before.is_empty() {
            "it stays on the record, struck through; a concession strikes nothing and needs none"
        } else {
            "it stays on the record, struck through"
        },
        concede,
        conceded: conceded_before,
        asks_owner: item.deferrable,
        plates: record
            .photos_of(&item.id)
            .map(|(fact, photo)| plate(&dossier, &head.job_href, fact, photo))
            .collect(),
        photo_fields: may_record(&dossier, permit).then(|| Fields::empty(&app.clock)),
        asks: ASKS,
        options,
        item,
        head,
    };
    page_with(status, &page)
}

/// The answers that this person may give.
fn options(item: &Item, manager: bool, settled: bool) -> Vec<(String, String)> {
    let word = |answer: Answer| (answer.word().to_owned(), answer.shown().to_owned());
    let mut options = Vec::new();
    match item.answer {
        Answering::Tick => options.extend([word(Answer::Passed), word(Answer::Failed)]),
        Answering::Value => options.push(("measured".to_owned(), "measured".to_owned())),
        _ => {}
    }
    if item.not_applicable {
        options.push(word(Answer::NotApplicable));
    }
    if item.deferrable {
        options.push(word(Answer::Deferred));
    }
    if manager && item.concession && !settled {
        options.push(word(Answer::UnderConcession));
    }
    options
}

fn limit(dossier: &Dossier, item: &Item) -> String {
    let unit = item.unit.map_or("", |unit| unit.shown());
    match &item.limit {
        None => String::new(),
        Some(Limit::AtMost(most)) => format!("at most {} {unit}", most.text()),
        Some(Limit::Within(most)) => format!("± {} {unit}", most.text()),
        Some(Limit::NearAuthorisedHeightM(room)) => {
            let height = dossier.record.assignment().map(|one| one.particulars.height.to_string());
            format!("authorised {} ± {} m", height.unwrap_or_default(), room.text())
        }
    }
}

/// The facts beneath the item and every answer it ever had.
fn beneath(dossier: &Dossier, item: &Item, base: &str) -> Vec<Past> {
    let record = &dossier.record;
    let rests_on = dossier.findings.item(&item.id).map(|one| one.rests_on.clone());
    let rests_on = rests_on.unwrap_or_default();
    let facts = record.facts.iter().rev().filter(|fact| {
        let answers = matches!(&fact.body, Body::Answer(answered) if answered.item == item.id);
        answers || rests_on.contains(&fact.uuid)
    });
    facts
        .map(|fact| Past {
            when: fact.measured.shown(),
            said: words::said(record, fact),
            who: record.name(fact.by),
            struck: words::struck(record, fact).unwrap_or_default(),
            href: format!("{base}/entries/{}", fact.uuid),
        })
        .collect()
}

pub(super) async fn page(
    path: CheckPath,
    permit: SitePermit<See>,
    State(app): State<AppState>,
) -> Result<Response, PageError> {
    draw(&app, &permit, &path, None).await
}

pub(super) async fn answer(
    path: CheckPath,
    permit: SitePermit<RecordFacts>,
    State(app): State<AppState>,
    sent: Sent,
) -> Result<Response, PageError> {
    let dossier = dossier_of(&app, &permit, path.job).await?;
    let record = &dossier.record;
    let item = record.profile.item(&path.item).ok_or(PageError::NotFound)?;
    let zone = record.site.time_zone();
    let answered = form::answer(&sent.fields, item, &zone, app.clock.now());
    let checked = form::both(answered, form::answer_correction(&sent.fields));
    let ((answered, moment), correction) = match checked {
        Ok(checked) => checked,
        Err(fields) => return draw(&app, &permit, &path, Some(fields)).await,
    };
    let intent = sent.intent(permit.person().actor(), "item answered");
    let on = on_job(&app, &permit, path.job);
    match acts::answer(on, intent, moment, &answered, correction.as_ref()).await {
        Ok(_) => see_other(&JobPath { site: path.site, job: path.job }),
        Err(error) => {
            let fields = beside_field(error, sent.fields)?;
            draw(&app, &permit, &path, Some(fields)).await
        }
    }
}
