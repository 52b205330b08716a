//! Publishing the built-in profiles.

use serde_json::json;

use crate::clock::Clock;
use crate::db::{StoreError, Writer};
use crate::journal::{Act, ActError, Actor, Begun, Entry, Intent, digest_of, hex};
use crate::profiles::model::Profile;
use crate::profiles::{LOW_POWER, store};

/// Publishes each built-in profile whose edition the record does not have yet. An edition that is
/// there with other words is left alone and told of: editions never change.
///
/// # Errors
/// [`ActError`].
pub async fn seed(writer: &Writer, clock: &Clock) -> Result<(), ActError> {
    let profile = Profile::parse(LOW_POWER)
        .map_err(|why| StoreError::Unreadable { what: "built-in profile", why })?;
    let digest = digest_of(LOW_POWER);
    let key = format!("{} {}", profile.code, profile.edition);
    let intent = Intent::without_form(clock, Actor::System, "profile published", &key)?;
    let Begun::New(mut act) = Act::begin(writer, clock, intent).await? else {
        return Ok(());
    };
    if let Some(kept) = store::digest(act.conn(), &profile.code, profile.edition).await? {
        if kept != digest {
            tracing::warn!(
                "profile {key} is kept with other words than this program's; left alone"
            );
        }
        return Ok(());
    }
    store::insert(&mut act, &profile, LOW_POWER, &digest).await?;
    let what = json!({"code": profile.code, "edition": profile.edition.to_string(), "sha256": hex(&digest)});
    act.commit(Entry { site_id: None, what, answer: key }).await?;
    Ok(())
}
