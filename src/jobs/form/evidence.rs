//! Forms of photos and snags.

use uuid::Uuid;

use crate::clock::{Utc, Zone};
use crate::jobs::acts::Moment;
use crate::jobs::form::not_past;
use crate::jobs::model::{Record, Snag, SnagClass, SnagClosed};
use crate::web::{Checking, Fields};

/// What a form says of the photos that came with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoDraft {
    /// What they show.
    pub caption: String,
    /// The item that they are evidence for.
    pub item: Option<String>,
    /// The part that they show.
    pub part: Option<Uuid>,
}

/// The item that a field names, where it names one.
fn item(form: &mut Checking, record: &Record) -> Option<Option<String>> {
    let raw = form.raw("item");
    if raw.is_empty() {
        return Some(None);
    }
    if record.profile.item(&raw).is_none() {
        form.refuse("item", "this is not one of the checks");
        return None;
    }
    Some(Some(raw))
}

/// The part that a field names, where it names one.
fn part(form: &mut Checking, record: &Record) -> Option<Option<Uuid>> {
    if form.raw("part").is_empty() {
        return Some(None);
    }
    let part = form.uuid("part")?;
    if record.part(part).is_none() {
        form.refuse("part", "the chain has no such part");
        return None;
    }
    Some(Some(part))
}

fn moment(form: &mut Checking, zone: &Zone, now: Utc) -> Option<Moment> {
    let measured = form.measured("measured_at", zone, now);
    let device_at = form.device_at();
    Some(Moment { measured: measured?, device_at })
}

/// Photos: caption, place, and when they were taken. Without a caption the question of their check says
/// what they show.
///
/// # Errors
/// The fields with their messages.
pub fn photo(
    fields: &Fields,
    record: &Record,
    zone: &Zone,
    now: Utc,
) -> Result<(PhotoDraft, Moment), Fields> {
    let mut form = fields.check();
    let mut caption = form.line_or_empty("caption");
    let item = item(&mut form, record);
    let part = part(&mut form, record);
    let moment = moment(&mut form, zone, now);
    if caption.as_deref() == Some("") {
        let question = item.iter().flatten().find_map(|id| record.profile.item(id));
        caption = question.map(|item| item.text.clone());
        if caption.is_none() {
            form.refuse("caption", "say what the photo shows, and where");
        }
    }
    let draft = (|| Some((PhotoDraft { caption: caption?, item: item?, part: part? }, moment?)))();
    form.finish(draft)
}

/// A snag. Owner and day may be named later: what is not known yet is no reason to keep a defect off the
/// record.
///
/// # Errors
/// The fields with their messages.
pub fn snag(
    fields: &Fields,
    record: &Record,
    zone: &Zone,
    now: Utc,
) -> Result<(Snag, Moment), Fields> {
    let mut form = fields.check();
    let class = form.word("class", SnagClass::from_word);
    let text = form.text("text");
    if text.as_deref() == Some("") {
        form.refuse("text", "say what is wrong, and where");
    }
    let owner = form.line_or_empty("owner");
    let due_on = form.date_or_empty("due_on");
    let item = item(&mut form, record);
    let part = part(&mut form, record);
    let moment = moment(&mut form, zone, now);
    if let (Some(due_on), Some(moment)) = (due_on, moment) {
        not_past(&mut form, due_on, moment.measured.at.date_in(zone));
    }
    let snag = (|| {
        let (class, text, owner) = (class?, text?, owner?);
        let (due_on, item, part) = (due_on?, item?, part?);
        Some((Snag { class, text, owner, due_on, item, part }, moment?))
    })();
    form.finish(snag)
}

/// The closing of a snag.
///
/// # Errors
/// The fields with their messages.
pub fn snag_closed(
    fields: &Fields,
    snag: Uuid,
    zone: &Zone,
    now: Utc,
) -> Result<(SnagClosed, Moment), Fields> {
    let mut form = fields.check();
    let done = form.text("done");
    if done.as_deref() == Some("") {
        form.refuse("done", "say what was done to put it right");
    }
    let done_by = form.line_or_empty("done_by");
    let proof = form.text("proof");
    let moment = moment(&mut form, zone, now);
    let closed = (|| {
        let (done, done_by, proof) = (done?, done_by?, proof?);
        Some((SnagClosed { snag, done, done_by, proof }, moment?))
    })();
    form.finish(closed)
}
