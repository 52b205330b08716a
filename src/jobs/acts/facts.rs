//! Recording: measurements, answers, explanations, and their corrections.

use serde_json::json;
use uuid::Uuid;

use crate::jobs::acts::{Correction, Moment, OnJob, Opened, unless_blocked};
use crate::jobs::model::{Answer, Answered, Body};
use crate::jobs::problems;
use crate::jobs::store;
use crate::journal::{ActError, Intent};
use crate::measurements::model::{
    AsBuilt, Circumstances, Explanation, ExposureSurvey, Reading, StandSetup, Trial,
};
use crate::measurements::store as measured;
use crate::measurements::store::Recording;

/// A correction fits only a fact of the same kind.
pub(super) fn same_kind(
    opened: &Opened,
    correction: Option<&Correction>,
    fits: fn(&Body) -> bool,
) -> Result<Option<(i64, String)>, ActError> {
    let Some(correction) = correction else { return Ok(None) };
    let fact = opened.corrected(correction)?;
    if !fits(&fact.body) {
        return Err(ActError::Unknown);
    }
    Ok(Some((fact.id, correction.reason.clone())))
}

fn at(opened: &Opened, moment: Moment, corrects: Option<(i64, String)>) -> Circumstances {
    Circumstances { corrects, ..opened.circumstances(moment) }
}

/// Records how the stand is set up, or corrects it.
///
/// # Errors
/// [`ActError`].
pub async fn record_stand_setup(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    setup: &StandSetup,
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::record_fact(&opened.findings))?;
    let corrects = same_kind(&opened, correction, |body| matches!(body, Body::StandSetup(_)))?;
    let at = at(&opened, moment, corrects);
    let judged = Recording::judged();
    let uuid = measured::insert_stand_setup(&mut opened.act, &judged, &at, setup).await?;
    opened.commit(uuid, setup, correction).await
}

/// Records a trial on the stand with the calibration of its meter, or corrects one.
///
/// # Errors
/// [`ActError`].
pub async fn record_trial(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    calibration_id: i64,
    trial: &Trial,
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::record_fact(&opened.findings))?;
    let corrects = same_kind(&opened, correction, |body| matches!(body, Body::Trial(_)))?;
    let at =
        Circumstances { calibration_id: Some(calibration_id), ..at(&opened, moment, corrects) };
    let uuid = measured::insert_trial(&mut opened.act, &Recording::judged(), &at, trial).await?;
    opened.commit(uuid, trial, correction).await
}

/// Records which trial's setting the antenna keeps.
///
/// # Errors
/// [`ActError`].
pub async fn choose(on: OnJob<'_>, intent: Intent, trial: Uuid) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    let fact = opened.record.fact(trial).ok_or(ActError::Unknown)?;
    unless_blocked(problems::choose(&opened.record, &opened.findings, fact))?;
    let (row, at) = (fact.id, opened.now());
    let uuid = measured::insert_chosen(&mut opened.act, &Recording::judged(), &at, row).await?;
    opened.commit(uuid, &json!({"trial": trial}), None).await
}

/// Records an installed reading with the calibration of its meter, or corrects one.
///
/// # Errors
/// [`ActError`].
pub async fn record_reading(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    calibration_id: i64,
    reading: &Reading,
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    let early = reading.out_of_sequence.is_some();
    unless_blocked(problems::installed_reading(
        &opened.record,
        &opened.findings,
        moment.measured,
        early,
    ))?;
    if !opened.record.measures_at(reading.point_position) {
        return Err(ActError::Field {
            field: "point",
            message: "the chain has no such measuring point".to_owned(),
        });
    }
    let corrects = same_kind(&opened, correction, |body| matches!(body, Body::Reading(_)))?;
    let at =
        Circumstances { calibration_id: Some(calibration_id), ..at(&opened, moment, corrects) };
    let uuid =
        measured::insert_reading(&mut opened.act, &Recording::judged(), &at, reading).await?;
    opened.commit(uuid, reading, correction).await
}

/// Records why a reading differs from the stand, or corrects the explanation.
///
/// # Errors
/// [`ActError`].
pub async fn explain(
    on: OnJob<'_>,
    intent: Intent,
    explanation: &Explanation,
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::record_fact(&opened.findings))?;
    let reading = opened.record.fact(explanation.reading).ok_or(ActError::Unknown)?;
    if !matches!(reading.body, Body::Reading(_)) {
        return Err(ActError::Unknown);
    }
    unless_blocked(problems::explain(&opened.record, reading, correction.map(|one| one.fact)))?;
    let row = reading.id;
    let corrects = same_kind(&opened, correction, |body| matches!(body, Body::Explanation(_)))?;
    let at = Circumstances { corrects, ..opened.now() };
    let judged = Recording::judged();
    let uuid =
        measured::insert_explanation(&mut opened.act, &judged, &at, row, explanation).await?;
    opened.commit(uuid, explanation, correction).await
}

/// Records what was built, or corrects an earlier entry.
///
/// # Errors
/// [`ActError`].
pub async fn record_as_built(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    built: &AsBuilt,
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::record_fact(&opened.findings))?;
    let corrects = same_kind(&opened, correction, |body| matches!(body, Body::AsBuilt(_)))?;
    let at = at(&opened, moment, corrects);
    let judged = Recording::judged();
    let uuid = measured::insert_as_built(&mut opened.act, &judged, &at, built).await?;
    opened.commit(uuid, built, correction).await
}

/// Records a survey of exposure, or corrects one.
///
/// # Errors
/// [`ActError`].
pub async fn record_survey(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    survey: &ExposureSurvey,
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    unless_blocked(problems::record_fact(&opened.findings))?;
    let corrects = same_kind(&opened, correction, |body| matches!(body, Body::ExposureSurvey(_)))?;
    let at = at(&opened, moment, corrects);
    let judged = Recording::judged();
    let uuid = measured::insert_survey(&mut opened.act, &judged, &at, survey).await?;
    opened.commit(uuid, survey, correction).await
}

/// Records an answer to an item, or a concession for it. An item that already has an answer is corrected:
/// the old one is named with the reason; so is a concession by the next one.
///
/// # Errors
/// [`ActError`].
pub async fn answer(
    on: OnJob<'_>,
    intent: Intent,
    moment: Moment,
    answered: &Answered,
    correction: Option<&Correction>,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    let item = opened.record.profile.item(&answered.item).ok_or(ActError::Unknown)?;
    let role = on.who().role;
    unless_blocked(problems::answer(&opened.findings, item, answered.answer, role))?;
    let corrected = correction.map(|correction| correction.fact);
    unless_blocked(problems::answer_again(
        &opened.record,
        &answered.item,
        answered.answer,
        corrected,
    ))?;
    let corrects = same_kind(&opened, correction, |body| matches!(body, Body::Answer(_)))?;
    let at = at(&opened, moment, corrects);
    let uuid = store::insert_answer(&mut opened.act, &Recording::judged(), &at, answered).await?;
    let granted = answered.answer == Answer::UnderConcession;
    opened.commit(uuid, &json!({"answer": answered, "concession": granted}), correction).await
}

/// Strikes a fact without another in its place.
///
/// # Errors
/// [`ActError`].
pub async fn withdraw(
    on: OnJob<'_>,
    intent: Intent,
    correction: &Correction,
) -> Result<String, ActError> {
    let mut opened = begin!(on, intent);
    let row = opened.corrected(correction)?.id;
    let at = Circumstances { corrects: Some((row, correction.reason.clone())), ..opened.now() };
    let uuid = store::insert_withdrawal(&mut opened.act, &Recording::judged(), &at).await?;
    opened.commit(uuid, &json!({"withdrawn": correction.fact}), Some(correction)).await
}
