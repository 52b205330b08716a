//! Accepting a declared job, which freezes its dossier, and returning it with remarks.

use serde_json::json;
use uuid::Uuid;

use crate::clock::Clock;
use crate::db::Writer;
use crate::jobs::acts::{OnJob, Opened, begin, decide};
use crate::jobs::dossier::Dossier;
use crate::jobs::store;
use crate::journal::{ActError, Entry, Intent};
use crate::people::password::PasswordConfirmed;
use crate::people::permit::{Decide, SitePermit};

/// The edition that a first acceptance issues.
const FIRST_EDITION: &str = "A";

/// Accepts a declared job: writes the acceptance and, in the same transaction, freezes the dossier as it
/// stands with it. Nothing is added to the job afterwards. Answers with the report's number.
///
/// - `confirmed`: the permit's person typed the own password for this
///
/// # Errors
/// [`ActError`]: refused with everything that stands in the way; unknown with somebody else's password.
pub async fn accept(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<Decide>,
    number: i64,
    intent: Intent,
    confirmed: &PasswordConfirmed,
    remarks: &str,
) -> Result<String, ActError> {
    if !confirmed.is_of(permit.person()) {
        return Err(ActError::Unknown);
    }
    let on = OnJob::new(writer, clock, permit, number);
    let mut opened = begin!(on, intent);
    let fact = decide(&mut opened, on.who(), true, remarks).await?;
    let Opened { mut act, record: before, .. } = *opened;
    let site_id = before.site.id;
    let instance = store::instance(act.conn()).await?;
    let record = store::find_record(act.conn(), site_id, number).await?.ok_or(ActError::Unknown)?;
    let dossier = Dossier::live(instance, record, act.now()).frozen(FIRST_EDITION, act.now());
    let digest = store::insert_dossier(&mut act, before.job.id, &dossier).await?;
    let what = json!({
        "site": before.site.code,
        "job": number.to_string(),
        "fact": fact,
        "says": remarks,
        "edition": dossier.edition,
        "dossier_sha256": digest.iter().map(|byte| format!("{byte:02x}")).collect::<String>(),
    });
    act.commit(Entry { site_id: Some(site_id), what, answer: dossier.number() }).await
}

/// Returns a declared job with remarks: work goes on, and it is declared again.
///
/// - `confirmed`: the permit's person typed the own password for this
///
/// # Errors
/// [`ActError`]: a field's message without remarks; refused with everything that stands in the way; unknown
/// with somebody else's password.
pub async fn return_job(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<Decide>,
    number: i64,
    intent: Intent,
    confirmed: &PasswordConfirmed,
    remarks: &str,
) -> Result<String, ActError> {
    if !confirmed.is_of(permit.person()) {
        return Err(ActError::Unknown);
    }
    if remarks.trim().is_empty() {
        return Err(ActError::Field {
            field: "remarks",
            message: "say what is to be put right".to_owned(),
        });
    }
    let on = OnJob::new(writer, clock, permit, number);
    let mut opened = begin!(on, intent);
    let fact: Uuid = decide(&mut opened, on.who(), false, remarks).await?;
    let Opened { act, record, .. } = *opened;
    let what = json!({
        "site": record.site.code,
        "job": number.to_string(),
        "fact": fact,
        "says": remarks,
    });
    let site_id = Some(record.site.id);
    act.commit(Entry { site_id, what, answer: fact.to_string() }).await
}
