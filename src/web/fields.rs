//! What a browser sent: the fields of a form as text, the act's UUID it carried, the digest that tells
//! a repetition from a contradiction, and the checks that turn text into values with a message beside
//! each field that cannot be taken.

use std::net::IpAddr;

use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{FromRequest, Request};
use uuid::Uuid;

use crate::clock::{Clock, Date, Measured, Utc, Zone, parse_rfc3339};
use crate::journal::{Actor, Intent, digest_of};
use crate::rf::quantity::{Quantity, Typed};
use crate::web::names::{capital, in_words};
use crate::web::session::sender_address;
use crate::web::{AppState, PageError};

/// The longest single line taken.
const LINE: usize = 200;

/// The longest text of several lines taken.
const TEXT: usize = 4000;

/// How far a device's clock may run ahead of the server's before a time counts as future.
const AHEAD_SECONDS: i64 = 300;

/// The fields of a form as text, and the messages beside them.
#[derive(Debug, Clone)]
pub struct Fields {
    act: Uuid,
    values: Vec<(String, String)>,
    errors: Vec<(String, String)>,
}

impl Fields {
    /// An empty form with a new act's UUID.
    #[must_use]
    pub fn empty(clock: &Clock) -> Self {
        Self { act: clock.uuid(), values: Vec::new(), errors: Vec::new() }
    }

    /// The same with a field filled in.
    #[must_use]
    pub fn with(mut self, name: &str, value: impl ToString) -> Self {
        self.values.push((name.to_owned(), value.to_string()));
        self
    }

    /// What the field holds; empty when it was not sent.
    #[must_use]
    pub fn value(&self, name: &str) -> &str {
        self.values.iter().find(|(key, _)| key == name).map_or("", |(_, value)| value)
    }

    /// Every value sent under the name, as boxes of one group are.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.values.iter().filter(move |(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// Whether the field holds this value.
    #[must_use]
    pub fn has(&self, name: &str, value: &str) -> bool {
        self.all(name).any(|sent| sent == value)
    }

    /// The message beside the field; empty when there is none.
    #[must_use]
    pub fn error(&self, name: &str) -> &str {
        self.errors.iter().find(|(key, _)| key == name).map_or("", |(_, message)| message)
    }

    /// All messages with their fields.
    #[must_use]
    pub fn errors(&self) -> &[(String, String)] {
        &self.errors
    }

    /// How many fields have a message.
    #[must_use]
    pub fn errors_count(&self) -> usize {
        self.errors.len()
    }

    /// The act's UUID for the hidden field.
    #[must_use]
    pub fn act_id(&self) -> String {
        self.act.to_string()
    }

    /// What was typed, without passwords, hidden fields and the names of records: shown when a form cannot be.
    #[must_use]
    pub fn typed(&self) -> Vec<(String, String)> {
        self.values
            .iter()
            .filter(|(name, value)| !value.is_empty() && !is_secret(name) && !is_machine(name))
            .filter(|(_, value)| Uuid::parse_str(value).is_err())
            .map(|(name, value)| (in_words(name), value.clone()))
            .collect()
    }

    /// A field's name in words, with its unit: "Feed line length, m".
    #[must_use]
    pub fn words(&self, name: &str) -> String {
        capital(&in_words(name))
    }

    /// The same with one more message.
    #[must_use]
    pub fn refusing(mut self, name: &str, message: impl Into<String>) -> Self {
        self.errors.push((name.to_owned(), message.into()));
        self
    }

    /// Begins checking.
    #[must_use]
    pub fn check(&self) -> Checking {
        Checking { fields: Self { errors: Vec::new(), ..self.clone() } }
    }
}

/// Whether a field holds a password, which is kept nowhere.
pub(super) fn is_secret(name: &str) -> bool {
    name.contains("password")
}

fn is_machine(name: &str) -> bool {
    matches!(name, "act" | "device_at" | "version" | "basis")
}

/// A form as it came in.
#[derive(Debug, Clone)]
pub struct Sent {
    /// Its fields.
    pub fields: Fields,
    digest: [u8; 32],
    from: Option<IpAddr>,
}

impl Sent {
    /// The address it came from, if it is known.
    #[must_use]
    pub fn from(&self) -> Option<IpAddr> {
        self.from
    }

    /// What this person is about to do with it.
    #[must_use]
    pub fn intent(&self, actor: Actor, kind: &'static str) -> Intent {
        Intent { id: self.fields.act, actor, kind, digest: self.digest }
    }

    /// Reads the body of a form sent to `path`. Passwords and the device's clock stay out of the
    /// digest: the same form sent twice is the same content.
    fn read(path: &str, body: &[u8]) -> Result<Self, PageError> {
        let values: Vec<(String, String)> = serde_html_form::from_bytes(body).map_err(|_| {
            PageError::BadRequest("The form's text could not be read. Nothing was saved.")
        })?;
        Self::of(path, values, &[])
    }

    /// A form sent to `path` with these values, and with files of these digests, in hexadecimal.
    pub(super) fn of(
        path: &str,
        values: Vec<(String, String)>,
        files: &[String],
    ) -> Result<Self, PageError> {
        let act = values
            .iter()
            .find(|(name, _)| name == "act")
            .and_then(|(_, value)| Uuid::parse_str(value).ok())
            .ok_or(PageError::BadRequest(
                "The form came without its own number. Open the page again and send it from there. Nothing was saved.",
            ))?;
        let mut content: Vec<&(String, String)> =
            values.iter().filter(|(name, _)| !is_secret(name) && name != "device_at").collect();
        content.sort();
        let digest = match files {
            [] => digest_of(&format!("{path}\n{content:?}")),
            files => digest_of(&format!("{path}\n{content:?}\n{files:?}")),
        };
        Ok(Self { fields: Fields { act, values, errors: Vec::new() }, digest, from: None })
    }
}

impl FromRequest<AppState> for Sent {
    type Rejection = PageError;

    async fn from_request(request: Request, app: &AppState) -> Result<Self, PageError> {
        let path = request.uri().path().to_owned();
        let from = sender_address(app, request.extensions(), request.headers());
        let body = Bytes::from_request(request, app).await.map_err(|error| match error {
            BytesRejection::FailedToBufferBody(_) => PageError::TooLarge,
            _ => PageError::BadRequest("The form did not arrive whole. Nothing was saved."),
        })?;
        Ok(Self { from, ..Self::read(&path, &body)? })
    }
}

/// A form being checked: each question takes a field, and where it cannot be taken leaves a message
/// beside it and answers `None`.
#[derive(Debug)]
pub struct Checking {
    fields: Fields,
}

impl Checking {
    /// The text of a field, trimmed.
    #[must_use]
    pub fn raw(&self, name: &str) -> String {
        self.fields.value(name).trim().to_owned()
    }

    /// Leaves a message beside a field.
    pub fn refuse(&mut self, name: &str, message: impl Into<String>) {
        self.fields.errors.push((name.to_owned(), message.into()));
    }

    fn told<T>(&mut self, name: &str, outcome: Result<T, impl ToString>) -> Option<T> {
        outcome.map_err(|error| self.refuse(name, error.to_string())).ok()
    }

    fn bounded(&mut self, name: &str, most: usize, lines: bool) -> Option<String> {
        // Browsers send line ends as CR LF (HTML, form submission); one kind is kept.
        let text = self.raw(name).replace("\r\n", "\n");
        let length = text.chars().count();
        if length > most {
            self.refuse(name, format!("this has {length} characters; at most {most} are taken"));
            return None;
        }
        if text.chars().any(|c| c.is_control() && !(lines && (c == '\n' || c == '\t'))) {
            self.refuse(name, "this holds a control character; type it again without");
            return None;
        }
        Some(text)
    }

    /// One line of words that must be there.
    pub fn line(&mut self, name: &str) -> Option<String> {
        let text = self.line_or_empty(name)?;
        if text.is_empty() {
            self.refuse(name, "this is needed");
            return None;
        }
        Some(text)
    }

    /// One line of words, or nothing.
    pub fn line_or_empty(&mut self, name: &str) -> Option<String> {
        self.bounded(name, LINE, false)
    }

    /// Several lines of words, or nothing.
    pub fn text(&mut self, name: &str) -> Option<String> {
        self.bounded(name, TEXT, true)
    }

    /// A quantity that must be there.
    pub fn typed<Q: Quantity>(&mut self, name: &str) -> Option<Typed<Q>> {
        let raw = self.raw(name);
        if raw.is_empty() {
            let message = match Q::UNIT {
                "" => "this is needed".to_owned(),
                unit => format!("this is needed, in {unit}"),
            };
            self.refuse(name, message);
            return None;
        }
        self.told(name, Typed::parse(&raw))
    }

    /// A quantity, or nothing: `Some(None)` when the field is empty.
    pub fn typed_or_empty<Q: Quantity>(&mut self, name: &str) -> Option<Option<Typed<Q>>> {
        if self.raw(name).is_empty() { Some(None) } else { self.typed(name).map(Some) }
    }

    /// A quantity that must be there, from `least` to `most`.
    pub fn typed_within<Q: Quantity>(
        &mut self,
        name: &str,
        (least, most): (Q, Q),
    ) -> Option<Typed<Q>> {
        let typed = self.typed::<Q>(name)?;
        if typed.value() < least || typed.value() > most {
            self.refuse(name, format!("{typed} cannot be taken here; write {least} to {most}"));
            return None;
        }
        Some(typed)
    }

    /// One of a closed list of words.
    pub fn word<T>(&mut self, name: &str, read: impl Fn(&str) -> Option<T>) -> Option<T> {
        let raw = self.raw(name);
        let known = read(&raw);
        if known.is_none() {
            let message = if raw.is_empty() {
                "choose one".to_owned()
            } else {
                format!("“{raw}” is not one of the choices")
            };
            self.refuse(name, message);
        }
        known
    }

    /// Yes or no, which must be answered.
    pub fn yes_no(&mut self, name: &str) -> Option<bool> {
        self.word(name, |word| match word {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        })
    }

    /// Yes, no, or no answer.
    pub fn yes_no_or_empty(&mut self, name: &str) -> Option<Option<bool>> {
        if self.raw(name).is_empty() { Some(None) } else { self.yes_no(name).map(Some) }
    }

    /// A ticked box.
    #[must_use]
    pub fn ticked(&self, name: &str) -> bool {
        self.fields.has(name, "yes")
    }

    /// A date, or nothing.
    pub fn date_or_empty(&mut self, name: &str) -> Option<Option<Date>> {
        let raw = self.raw(name);
        if raw.is_empty() { Some(None) } else { self.told(name, Date::parse(&raw)).map(Some) }
    }

    /// A whole number, such as a row's version.
    pub fn whole(&mut self, name: &str) -> Option<i64> {
        let raw = self.raw(name);
        let read = raw.parse().map_err(|_| format!("“{raw}” is not a whole number"));
        self.told(name, read)
    }

    /// A UUID that a form carries along.
    pub fn uuid(&mut self, name: &str) -> Option<Uuid> {
        let raw = self.raw(name);
        let read = Uuid::parse_str(&raw).map_err(|_| {
            if raw.is_empty() {
                "choose one".to_owned()
            } else {
                format!("“{raw}” is not one of the choices")
            }
        });
        self.told(name, read)
    }

    /// When it was measured: the site's local time in the field, or now when the field is empty. A time
    /// to come is refused.
    pub fn measured(&mut self, name: &str, zone: &Zone, now: Utc) -> Option<Measured> {
        let raw = self.raw(name);
        if raw.is_empty() {
            return Some(zone.measured(now));
        }
        let measured = self.told(name, zone.parse_local(&raw))?;
        if measured.at > now.plus_seconds(AHEAD_SECONDS) {
            let message = format!(
                "{} lies in the future; it is {} at the site. Leave the field empty for now",
                measured.shown(),
                zone.measured(now).shown()
            );
            self.refuse(name, message);
            return None;
        }
        Some(measured)
    }

    /// What the device's own clock showed when the form was sent, if a script filled it in.
    #[must_use]
    pub fn device_at(&self) -> Option<Utc> {
        parse_rfc3339(self.fields.value("device_at")).map(|measured| measured.at)
    }

    /// The model if there is one and no message was left; else the fields with their messages.
    ///
    /// # Errors
    /// The fields, to be shown again.
    pub fn finish<T>(self, model: Option<T>) -> Result<T, Fields> {
        match model {
            Some(model) if self.fields.errors.is_empty() => Ok(model),
            _ => Err(self.fields),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Sent;
    use crate::clock::{Utc, Zone};
    use crate::rf::quantity::Watts;

    const ACT: &str = "0198f6a0-0000-7000-8000-000000000001";

    fn sent(body: &str) -> Sent {
        Sent::read("/x", format!("act={ACT}&{body}").as_bytes()).unwrap()
    }

    #[test]
    fn what_was_typed_stays_beside_its_message() {
        let sent = sent("forward_w=lots&note=a%3Cb%3E");
        let mut checking = sent.fields.check();
        let forward = checking.typed::<Watts>("forward_w");
        let fields = checking.finish(forward).unwrap_err();
        assert_eq!(fields.value("forward_w"), "lots");
        assert!(fields.error("forward_w").contains("lots"));
        assert_eq!(fields.value("note"), "a<b>");
    }

    #[test]
    fn a_password_and_the_device_clock_make_no_other_content() {
        let one = sent("a=1&password=x&device_at=2031-01-01T00:00:00Z");
        let two = sent("password=y&a=1");
        assert_eq!(one.digest, two.digest);
        assert_ne!(one.digest, sent("a=2").digest);
        assert!(one.fields.typed().iter().all(|(name, _)| name == "a"));
    }

    #[test]
    fn a_form_without_its_number_is_refused() {
        assert!(Sent::read("/x", b"a=1").is_err());
    }

    #[test]
    fn a_time_to_come_is_refused_and_no_time_is_now() {
        let zone = Zone::parse("UTC").unwrap();
        let now = Utc::from_seconds(1_930_000_000);
        let mut checking = sent("measured_at=2099-01-01T00:00").fields.check();
        assert!(checking.measured("measured_at", &zone, now).is_none());
        let mut checking = sent("measured_at=").fields.check();
        assert_eq!(checking.measured("measured_at", &zone, now).unwrap().at, now);
    }
}
