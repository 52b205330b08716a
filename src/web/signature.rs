//! A signature: it always asks who, and for the password again. Whoever is entitled can sign at a device on
//! which somebody else is signed in: the act is then the signer's, and the session stays whose it was.
//!
//! A form holds `f::signature(fields)`; its handler asks [`signed`] for the signer's permit.

use axum::http::StatusCode;

use crate::people::model::Person;
use crate::people::password::PasswordConfirmed;
use crate::people::permit::{Ability, Denied, SitePermit};
use crate::web::session::{Unrecognised, recognise};
use crate::web::{AppState, Fields, PageError, Sent};

/// The field with the signer's sign-in name; empty for whoever is signed in.
const SIGNER: &str = "signer";

/// The field with the signer's password.
const PASSWORD: &str = "password";

/// Who signed, entitled to the ability on the site, and the proof that the password was typed for it.
#[derive(Debug)]
pub struct Signed<A> {
    /// The signer's permit: the act is done with it, and with it alone.
    pub permit: SitePermit<A>,
    /// For acts that ask for the proof.
    pub confirmed: PasswordConfirmed,
}

/// Nobody signed: the status of the answer, and the form with the message beside its field.
#[derive(Debug)]
pub struct Unsigned {
    /// 422, or 429 after too many attempts.
    pub status: StatusCode,
    /// What was typed, with the message.
    pub fields: Fields,
}

/// An empty form in which the person who is signed in is named as signer, to be written over by another.
#[must_use]
pub fn proposed(fields: Fields, person: &Person) -> Fields {
    fields.with(SIGNER, &person.login)
}

/// Who signed the form. Whether the signer is entitled is told only after the password.
///
/// - `at`: the permit of whoever is signed in on the device; it says for which site
///
/// # Errors
/// [`PageError::Internal`].
pub async fn signed<A: Ability, B: Ability>(
    app: &AppState,
    at: &SitePermit<B>,
    sent: &Sent,
) -> Result<Result<Signed<A>, Unsigned>, PageError> {
    let unsigned = |status, field, message: String| {
        Ok(Err(Unsigned { status, fields: sent.fields.clone().refusing(field, message) }))
    };
    let typed = sent.fields.value(PASSWORD);
    if typed.is_empty() {
        let message = "this is needed: it is the signature".to_owned();
        return unsigned(StatusCode::UNPROCESSABLE_ENTITY, PASSWORD, message);
    }
    let named = sent.fields.value(SIGNER).trim();
    let login = if named.is_empty() { at.person().login.as_str() } else { named };
    let (person, confirmed) = match recognise(app, sent.from(), login, typed).await? {
        Ok(recognised) => recognised,
        Err(refused @ Unrecognised::Wait(seconds)) => {
            let message = format!("too many attempts; wait {seconds} seconds, then try again");
            return unsigned(refused.status(), PASSWORD, message);
        }
        Err(refused) => {
            let message = format!("this is not the password of “{login}”");
            return unsigned(refused.status(), PASSWORD, message);
        }
    };
    let mut snapshot = app.snapshot().await?;
    let name = format!("{}, {}", person.name, person.role.word());
    let permit = SitePermit::of(snapshot.conn(), app.clock.now(), person, at.site_code()).await;
    let message = match permit {
        Ok(permit) => return Ok(Ok(Signed { permit, confirmed })),
        Err(Denied::Forbidden) => format!("{name}, may not sign this; somebody else does"),
        Err(Denied::NotFound) => format!("{name}, has no grant for this site"),
        Err(error @ Denied::Store(_)) => return Err(error.into()),
    };
    unsigned(StatusCode::UNPROCESSABLE_ENTITY, SIGNER, message)
}
