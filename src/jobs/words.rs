//! What a fact says, in a line for pages and reports.

use crate::equipment::model::ChainPart;
use crate::jobs::model::{Answer, Body, Fact, Record};
use crate::photos::model::Photo;
use crate::words::joined;

/// What the fact says.
#[must_use]
#[expect(clippy::too_many_lines, reason = "one short arm for each kind of fact")]
pub fn said(record: &Record, fact: &Fact) -> String {
    match &fact.body {
        Body::Independence(class) => class.shown().to_owned(),
        Body::StandSetup(setup) => format!(
            "{} high, nearest metal {}, {}, {} with {}",
            setup.height,
            setup.nearest_metal,
            setup.orientation.shown(),
            setup.jumper,
            setup.jumper_loss
        ),
        Body::Trial(trial) => {
            let numbered = record.trials();
            let number = numbered.iter().find(|one| one.fact.uuid == fact.uuid);
            let number = number.map(|one| format!("trial {}: ", one.number)).unwrap_or_default();
            format!("{number}{} and {}, {}", trial.upper, trial.lower, trial.powers.shown())
        }
        Body::ChosenSetting(chosen) => {
            let numbered = record.trials();
            let number = numbered.iter().find(|one| one.fact.uuid == chosen.trial);
            number.map_or_else(String::new, |one| format!("the setting of trial {}", one.number))
        }
        Body::Reading(reading) => format!(
            "{}, on {}, {}",
            reading.powers.shown(),
            reading.frequency,
            reading.weather.shown()
        ),
        Body::Answer(answered) => {
            let item = record.profile.item(&answered.item);
            let text = item.map_or(answered.item.as_str(), |item| item.text.as_str());
            let value = answered.value.as_deref().unwrap_or_default();
            // A number is judged anew each time: what was kept beside it says only that it was measured.
            let judged = answered.number.is_some() && answered.answer == Answer::Passed;
            let answer = if judged { "measured" } else { answered.answer.shown() };
            let parts = [answer, value, &answered.method, &answered.note, &answered.condition];
            let said: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
            format!("{text} {}", said.join("; "))
        }
        Body::Explanation(explanation) => {
            format!("{}; checked: {}", explanation.cause, explanation.checked)
        }
        Body::Photo(photo) => joined(photo.caption.clone(), &place(record, photo)),
        Body::Snag(snag) => {
            let owner =
                if snag.owner.is_empty() { String::new() } else { format!("owner {}", snag.owner) };
            let due = snag.due_on.map(|due| format!("by {}", due.shown())).unwrap_or_default();
            let said = format!("class {}: {}", snag.class.word(), snag.text);
            joined(joined(said, &owner), &due)
        }
        Body::SnagClosed(closed) => {
            let by = if closed.done_by.is_empty() {
                String::new()
            } else {
                format!("done by {}", closed.done_by)
            };
            let proof = if closed.proof.is_empty() {
                String::new()
            } else {
                format!("proof: {}", closed.proof)
            };
            let snag = match record.fact(closed.snag).map(|fact| &fact.body) {
                Some(Body::Snag(snag)) => format!("{}: {}", snag.text, closed.done),
                _ => closed.done.clone(),
            };
            joined(joined(snag, &by), &proof)
        }
        Body::AsBuilt(built) => built.shown(),
        Body::ExposureSurvey(survey) => survey.shown(),
        Body::Release(release) => {
            let note = if release.read_back.is_empty() {
                String::new()
            } else {
                format!("; {}", release.read_back)
            };
            format!("gate “{}”, {}{note}", release.stage.gate(), release.manner.shown())
        }
        Body::HoldRelease(release) => {
            let item = record.profile.item(&release.item);
            let text = item.map_or(release.item.as_str(), |item| item.text.as_str());
            joined(format!("{text} {}", release.manner.shown()), &release.read_back)
        }
        Body::SameDayCheck(check) => joined(
            format!(
                "against {}, {}: {} read on the range of {}, {} expected",
                check.against.shown(),
                check.reference,
                check.read,
                check.range,
                check.expected
            ),
            &check.note,
        ),
        Body::Declaration(declaration) => declaration.statement.clone(),
        Body::Return(remarks) | Body::Acceptance(remarks) => remarks.clone(),
        Body::Withdrawal => String::new(),
    }
}

/// Where a photo belongs: the part it shows, the check it is evidence for, else its stage; empty where
/// nothing was said.
#[must_use]
pub fn place(record: &Record, photo: &Photo) -> String {
    let part = photo.part.map(|uuid| {
        record.part(uuid).map_or_else(|| "a part of the chain".to_owned(), ChainPart::named)
    });
    let item = photo.item.as_ref().and_then(|id| {
        let item = record.profile.item(id);
        let text = item.map_or(id.as_str(), |item| item.text.as_str());
        // A caption that was taken from the check is not said twice.
        (text != photo.caption).then(|| format!("check: {text}"))
    });
    let stage = || photo.stage.map(|stage| format!("stage: {}", stage.shown()));
    let said: Vec<String> = part.into_iter().chain(item).collect();
    if said.is_empty() { stage().unwrap_or_default() } else { said.join("; ") }
}

/// Who struck a fact, when and why; `None` while it holds.
#[must_use]
pub fn struck(record: &Record, fact: &Fact) -> Option<String> {
    let by = *record.struck().get(&fact.uuid)?;
    let how = if by.body == Body::Withdrawal { "withdrawn" } else { "corrected" };
    Some(format!(
        "{how} by {} on {}: {}",
        record.name(by.by),
        by.measured.shown_date(),
        by.reason.as_deref().unwrap_or_default()
    ))
}
