//! From what a browser sent to what people do on a job, with a message for each field.

mod evidence;

pub use evidence::{PhotoDraft, photo, snag, snag_closed};

use uuid::Uuid;

use crate::clock::{Date, Utc, Zone};
use crate::jobs::acts::{Correction, JobDraft, Moment};
use crate::jobs::model::{Answer, Answered, Decimal, JobClass, JobKind};
use crate::measurements::model::Explanation;
use crate::profiles::model::{Answering, Item};
use crate::web::{Checking, Fields};

/// A new job.
///
/// # Errors
/// The fields with their messages.
pub fn job(fields: &Fields) -> Result<JobDraft, Fields> {
    let mut form = fields.check();
    let assignment = form.whole("assignment");
    let kind = form.word("kind", JobKind::from_word);
    let class = form.word("class", JobClass::from_word);
    let draft = (|| Some(JobDraft { assignment: assignment?, kind: kind?, class: class? }))();
    form.finish(draft)
}

/// Why a fact is corrected, where the form corrects one: it then carries the fact's name.
///
/// # Errors
/// The fields with their messages.
pub fn correction(fields: &Fields) -> Result<Option<Correction>, Fields> {
    correction_named(fields, "corrects")
}

/// What an answer strikes: the answer before it or, where a concession is granted, the concession before
/// it. The form carries both names.
///
/// # Errors
/// The fields with their messages.
pub fn answer_correction(fields: &Fields) -> Result<Option<Correction>, Fields> {
    let conceding = fields.value("answer") == Answer::UnderConcession.word();
    correction_named(fields, if conceding { "conceded" } else { "corrects" })
}

fn correction_named(fields: &Fields, name: &str) -> Result<Option<Correction>, Fields> {
    let mut form = fields.check();
    if form.raw(name).is_empty() {
        return Ok(None);
    }
    let fact = form.uuid(name);
    let reason = why(&mut form);
    let correction = (|| Some(Correction { fact: fact?, reason: reason? }))();
    form.finish(correction).map(Some)
}

/// Why the entry at the form's own address is corrected or withdrawn.
///
/// # Errors
/// The fields with their messages.
pub fn reason(fields: &Fields) -> Result<String, Fields> {
    let mut form = fields.check();
    let reason = why(&mut form);
    form.finish(reason)
}

fn why(form: &mut Checking) -> Option<String> {
    let text = form.text("reason")?;
    if text.is_empty() {
        form.refuse("reason", "say why; the old entry stays on the record, struck through");
        return None;
    }
    Some(text)
}

/// Messages of both: a form that corrects shows them all at once.
///
/// # Errors
/// The fields with all messages.
pub fn both<A, B>(one: Result<A, Fields>, other: Result<B, Fields>) -> Result<(A, B), Fields> {
    match (one, other) {
        (Ok(one), Ok(other)) => Ok((one, other)),
        (Err(fields), Ok(_)) | (Ok(_), Err(fields)) => Err(fields),
        (Err(fields), Err(more)) => {
            let merged = more
                .errors()
                .iter()
                .fold(fields, |fields, (name, message)| fields.refusing(name, message.clone()));
            Err(merged)
        }
    }
}

/// An answer to an item, with when it was given.
///
/// # Errors
/// The fields with their messages.
pub fn answer(
    fields: &Fields,
    item: &Item,
    zone: &Zone,
    now: Utc,
) -> Result<(Answered, Moment), Fields> {
    let mut form = fields.check();
    let note = form.text("note");
    let condition = form.line_or_empty("condition");
    let owner = form.line_or_empty("owner");
    let due_on = form.date_or_empty("due_on");
    let method = form.line_or_empty("method");
    let measured = form.measured("measured_at", zone, now);
    let device_at = form.device_at();
    let answer = answer_word(&mut form, item);
    let value = value(&mut form, item, answer, method.as_deref().unwrap_or_default());
    let answered = (|| {
        let (answer, note, owner, due_on) = (answer?, note?, owner?, due_on?);
        reasoned(&mut form, answer, &note);
        let condition = condition?;
        let conceded = answer == Answer::UnderConcession;
        if conceded && condition.is_empty() && due_on.is_none() {
            form.refuse("condition", "under which condition, or until which day below?");
        }
        let condition = if conceded { condition } else { String::new() };
        not_past(&mut form, due_on, measured?.at.date_in(zone));
        if answer == Answer::Deferred {
            if owner.is_empty() {
                form.refuse("owner", "who puts it right?");
            }
            if due_on.is_none() {
                form.refuse("due_on", "by which day?");
            }
        }
        let (value, number) = value?.unzip();
        let moment = Moment { measured: measured?, device_at };
        let method = method?;
        let item = item.id.clone();
        let answered =
            Answered { item, answer, value, number, method, note, condition, owner, due_on };
        Some((answered, moment))
    })();
    form.finish(answered)
}

/// A value's answer is judged from its number: the form then sends "measured".
fn answer_word(form: &mut Checking, item: &Item) -> Option<Answer> {
    form.word("answer", |word| match word {
        "measured" if item.answer == Answering::Value => Some(Answer::Passed),
        "passed" if item.answer == Answering::Value => None,
        word => Answer::from_word(word),
    })
}

type ValueText = Option<(String, Decimal)>;

fn value(
    form: &mut Checking,
    item: &Item,
    answer: Option<Answer>,
    method: &str,
) -> Option<ValueText> {
    let measured = matches!(answer, Some(Answer::Passed));
    let (Some(unit), true) = (item.unit, measured) else { return Some(None) };
    let raw = form.raw("value");
    if raw.is_empty() && item.method && !method.is_empty() {
        return Some(None);
    }
    match unit.parse(&raw) {
        Ok(typed) => Some(Some((typed.typed, Decimal(typed.number)))),
        Err(error) => {
            form.refuse("value", error.to_string());
            None
        }
    }
}

/// The day by which a deferred item is done, or until which a concession holds, is not over when it is said.
fn not_past(form: &mut Checking, due_on: Option<Date>, said_on: Date) {
    if let Some(due) = due_on.filter(|due| *due < said_on) {
        let message = format!("{} is before {}, when this was said", due.shown(), said_on.shown());
        form.refuse("due_on", message);
    }
}

/// What did not simply pass says why.
fn reasoned(form: &mut Checking, answer: Answer, note: &str) {
    let asks = match answer {
        Answer::Failed => "what was found?",
        Answer::NotApplicable => "why does it not apply here?",
        Answer::UnderConcession => "why may the work go on without it?",
        Answer::Deferred => "what is left to do?",
        Answer::Passed | Answer::NotShown => return,
    };
    if note.is_empty() {
        form.refuse("note", asks);
    }
}

/// Why a reading differs from the stand.
///
/// # Errors
/// The fields with their messages.
pub fn explanation(fields: &Fields) -> Result<Explanation, Fields> {
    let mut form = fields.check();
    let reading = form.uuid("reading");
    let cause = form.line("cause");
    let checked = form.text("checked");
    if checked.as_deref() == Some("") {
        form.refuse("checked", "say what was looked at or measured to find the cause");
    }
    let explanation =
        (|| Some(Explanation { reading: reading?, cause: cause?, checked: checked? }))();
    form.finish(explanation)
}

/// The trial whose setting is kept.
///
/// # Errors
/// The fields with their messages.
pub fn chosen(fields: &Fields) -> Result<Uuid, Fields> {
    let mut form = fields.check();
    let trial = form.uuid("trial");
    form.finish(trial)
}

/// A text of several lines under one name.
///
/// # Errors
/// The fields with their messages.
pub fn text(fields: &Fields, name: &str, needed: Option<&str>) -> Result<String, Fields> {
    let mut form = fields.check();
    let text = form.text(name);
    if let (Some(asks), Some("")) = (needed, text.as_deref()) {
        form.refuse(name, asks);
    }
    form.finish(text)
}

/// How independent the releases are to be.
///
/// # Errors
/// The fields with their messages.
pub fn class(fields: &Fields) -> Result<JobClass, Fields> {
    let mut form = fields.check();
    let class = form.word("class", JobClass::from_word);
    form.finish(class)
}
