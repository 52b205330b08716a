//! Sessions: opened with a checked password, ended by the person, by a manager, or with the account.

use serde_json::json;
use sha2::{Digest, Sha256};

use crate::clock::Clock;
use crate::db::{StoreError, Writer};
use crate::journal::{Act, ActError, Begun, Entry, Intent, hex};
use crate::people::model::{Person, SessionRules};
use crate::people::permit::{KeepPeople, Permit, See};
use crate::people::store;

/// A session's secret, as the cookie carries it: 32 random bytes in hexadecimal.
#[derive(Debug, Clone)]
pub struct Token(String);

impl Token {
    /// A new secret.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] when the machine gives no randomness.
    pub fn new() -> Result<Self, StoreError> {
        let mut bytes = [0_u8; 32];
        getrandom::fill(&mut bytes).map_err(|error| StoreError::Unreadable {
            what: "randomness",
            why: error.to_string(),
        })?;
        Ok(Self(hex(&bytes)))
    }

    /// The secret that a cookie sent.
    #[must_use]
    pub fn sent(text: &str) -> Self {
        Self(text.to_owned())
    }

    /// The text for the cookie.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.0
    }

    /// What the database keeps: the secret itself stays with the browser.
    #[must_use]
    pub fn digest(&self) -> [u8; 32] {
        Sha256::digest(self.0.as_bytes()).into()
    }
}

/// A session about to be opened.
#[derive(Debug)]
pub struct NewSession<'a> {
    /// Its secret.
    pub token: &'a Token,
    /// The kind of device, in words.
    pub device: &'a str,
    /// The session on the same device that it takes the place of.
    pub instead_of: Option<&'a Token>,
    /// How long sessions last: those that have ended by themselves go with every sign-in.
    pub rules: SessionRules,
}

/// Opens a session for a person whose password was checked.
///
/// # Errors
/// [`ActError`].
pub async fn sign_in(
    writer: &Writer,
    clock: &Clock,
    person: &Person,
    session: &NewSession<'_>,
) -> Result<(), ActError> {
    let intent = Intent::without_form(clock, person.actor(), "signed in", &person.uuid)?;
    if let Begun::New(mut act) = Act::begin(writer, clock, intent).await? {
        store::clear_ended_sessions(&mut act, session.rules).await?;
        if let Some(before) = session.instead_of {
            store::end_session(&mut act, &before.digest()).await?;
        }
        let digest = session.token.digest();
        store::insert_session(&mut act, &digest, person.id, session.device).await?;
        let what = json!({"person": person.uuid, "device": session.device});
        act.commit(Entry { site_id: None, what, answer: String::new() }).await?;
    }
    Ok(())
}

/// Ends a session.
///
/// # Errors
/// [`ActError`].
pub async fn sign_out(
    writer: &Writer,
    clock: &Clock,
    person: &Person,
    token: &Token,
) -> Result<(), ActError> {
    let intent = Intent::without_form(clock, person.actor(), "signed out", &person.uuid)?;
    if let Begun::New(mut act) = Act::begin(writer, clock, intent).await? {
        store::end_session(&mut act, &token.digest()).await?;
        let what = json!({"person": person.uuid});
        act.commit(Entry { site_id: None, what, answer: String::new() }).await?;
    }
    Ok(())
}

/// Ends all own sessions on every device, or all but the one of `kept`.
///
/// # Errors
/// [`ActError`].
pub async fn end_own_sessions(
    writer: &Writer,
    clock: &Clock,
    permit: &Permit<See>,
    intent: Intent,
    kept: Option<&Token>,
) -> Result<String, ActError> {
    end(writer, clock, intent, permit.person(), kept).await
}

/// Ends all sessions of somebody, on every device.
///
/// # Errors
/// [`ActError`].
pub async fn end_sessions(
    writer: &Writer,
    clock: &Clock,
    _: &Permit<KeepPeople>,
    intent: Intent,
    person: &Person,
) -> Result<String, ActError> {
    end(writer, clock, intent, person, None).await
}

async fn end(
    writer: &Writer,
    clock: &Clock,
    intent: Intent,
    person: &Person,
    kept: Option<&Token>,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    match kept {
        Some(token) => store::end_other_sessions(&mut act, person.id, &token.digest()).await?,
        None => store::end_sessions(&mut act, person.id).await?,
    }
    let what = json!({"person": person.uuid, "all": kept.is_none()});
    act.commit(Entry { site_id: None, what, answer: String::new() }).await
}
