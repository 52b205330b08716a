//! Grants of sites, to a person or to a whole firm, with or without an end.

use serde_json::{Value, json};

use crate::clock::Clock;
use crate::db::{StoreError, Writer};
use crate::journal::{Act, ActError, Begun, Entry, Intent, digest_of, hex};
use crate::people::model::{Firm, Granting, Holder, SiteGrant};
use crate::people::permit::{KeepPeople, Permit};
use crate::people::store;

/// What a manager grants to a firm.
#[derive(Debug, Clone)]
pub struct FirmGrants {
    /// [`firm_basis`] of the grants that the form was filled from.
    pub basis: String,
    /// The sites that are granted, each with the end of its grant.
    pub sites: Vec<Granting>,
}

/// A word for the grants as they stand, by which a form filled from others is told.
#[must_use]
pub fn firm_basis(grants: &[SiteGrant]) -> String {
    let granted = grants.iter().filter(|grant| grant.granted);
    let lines: Vec<String> = granted
        .map(|grant| {
            let end = grant.expires_at.map(|end| end.to_string()).unwrap_or_default();
            format!("{} {end}", grant.site_id)
        })
        .collect();
    hex(&digest_of(&lines.join("\n")))
}

/// Brings the grants of a holder to what is wanted; gives them for the journal. One that has expired and is
/// not wanted again stays as it is, so that its end can still be read.
pub(super) async fn regrant(
    act: &mut Act,
    holder: Holder,
    wanted: &[Granting],
) -> Result<Value, StoreError> {
    let now = act.now();
    let mut granted = Vec::new();
    for site in store::grants(act.conn(), holder).await? {
        let Some(granting) = wanted.iter().find(|one| one.site_id == site.site_id) else {
            if site.holds(now) {
                store::revoke(act, holder, site.site_id).await?;
            }
            continue;
        };
        if !site.granted || site.expires_at != granting.expires_at {
            store::grant(act, holder, *granting).await?;
        }
        granted.push(json!({"site": site.code, "until": granting.expires_at}));
    }
    Ok(Value::Array(granted))
}

/// Grants sites to everybody of a firm.
///
/// # Errors
/// [`ActError`]: stale when the firm's grants changed after the form was filled.
pub async fn grant_firm(
    writer: &Writer,
    clock: &Clock,
    _: &Permit<KeepPeople>,
    intent: Intent,
    firm: &Firm,
    grants: &FirmGrants,
) -> Result<String, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(answer),
        Begun::New(act) => act,
    };
    let holder = Holder::Firm(firm.id);
    if firm_basis(&store::grants(act.conn(), holder).await?) != grants.basis {
        return Err(StoreError::Stale.into());
    }
    let sites = regrant(&mut act, holder, &grants.sites).await?;
    let what = json!({"firm": firm.uuid, "name": firm.name, "sites": sites});
    act.commit(Entry { site_id: None, what, answer: firm.uuid.to_string() }).await
}
