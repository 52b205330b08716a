//! What a browser sent about people -> drafts, a message for each field. The command line asks the
//! same questions.

use crate::clock::Utc;
use crate::people::acts::{FirmGrants, PersonChange};
use crate::people::model::{Granting, PersonDraft, Role, SiteGrant};
use crate::people::password;
use crate::web::{Checking, Fields};

/// A person to be added.
#[derive(Debug)]
pub struct NewPerson {
    /// Who it is.
    pub draft: PersonDraft,
    /// The password that was typed; none is to be generated.
    pub password: Option<String>,
}

/// The first manager, and the password.
#[derive(Debug)]
pub struct FirstManager {
    /// Who it is.
    pub draft: PersonDraft,
    /// The password.
    pub password: String,
}

/// The own password's change.
#[derive(Debug)]
pub struct OwnPassword {
    /// The one that should still hold.
    pub old: String,
    /// The one that shall hold.
    pub new: String,
}

fn login(checking: &mut Checking) -> Option<String> {
    let login = checking.line("login")?;
    let length = login.chars().count();
    if login.chars().any(char::is_whitespace) {
        checking.refuse("login", "the sign-in name may not hold spaces; write it as mara.quill");
        return None;
    }
    if !(2..=60).contains(&length) {
        checking.refuse("login", "the sign-in name needs 2 to 60 characters");
        return None;
    }
    Some(login)
}

/// The role is asked for unless it is settled already.
fn draft_with(checking: &mut Checking, settled: Option<Role>) -> Option<PersonDraft> {
    let (name, firm) = (checking.line("name"), checking.line("firm"));
    let login = login(checking);
    let role = settled.or_else(|| checking.word("role", Role::from_word));
    Some(PersonDraft { login: login?, name: name?, firm: firm?, role: role? })
}

/// Name, firm, login and role.
///
/// # Errors
/// The fields with their messages.
pub fn draft(fields: &Fields) -> Result<PersonDraft, Fields> {
    let mut checking = fields.check();
    let draft = draft_with(&mut checking, None);
    checking.finish(draft)
}

/// A password as it was typed: spaces at its ends belong to it.
fn new_password(checking: &mut Checking, fields: &Fields) -> Option<String> {
    let typed = fields.value("new_password");
    if let Err(message) = password::check(typed) {
        checking.refuse("new_password", message);
        return None;
    }
    if fields.value("new_password_again") != typed {
        checking.refuse("new_password_again", "this differs from the password above");
        return None;
    }
    Some(typed.to_owned())
}

/// The set-up form.
///
/// # Errors
/// The fields with their messages.
pub fn first_manager(fields: &Fields) -> Result<FirstManager, Fields> {
    let mut checking = fields.check();
    let draft = draft_with(&mut checking, Some(Role::Manager));
    let password = new_password(&mut checking, fields);
    let both = draft.zip(password).map(|(draft, password)| FirstManager { draft, password });
    checking.finish(both)
}

/// The form that adds a person.
///
/// # Errors
/// The fields with their messages.
pub fn new_person(fields: &Fields) -> Result<NewPerson, Fields> {
    let mut checking = fields.check();
    let draft = draft_with(&mut checking, None);
    let typed = fields.value("new_password");
    if !typed.is_empty()
        && let Err(message) = password::check(typed)
    {
        checking.refuse("new_password", message);
    }
    let password = (!typed.is_empty()).then(|| typed.to_owned());
    checking.finish(draft.map(|draft| NewPerson { draft, password }))
}

/// The name of the field with the last day of a site's grant.
#[must_use]
pub fn until_field(code: &str) -> String {
    format!("until_{code}")
}

/// The sites ticked, each with the last day of its grant or without an end.
fn grantings(
    checking: &mut Checking,
    fields: &Fields,
    sites: &[SiteGrant],
    now: Utc,
) -> Vec<Granting> {
    for code in fields.all("sites") {
        if !sites.iter().any(|site| site.code == code) {
            checking.refuse("sites", format!("there is no site “{code}” any more"));
        }
    }
    let mut granted = Vec::new();
    for site in sites {
        let name = until_field(&site.code);
        let Some(last_day) = checking.date_or_empty(&name) else { continue };
        let expires_at = last_day.map(|day| site.zone.end_of(day));
        match (fields.has("sites", &site.code), expires_at) {
            (false, None) => {}
            (false, Some(_)) => {
                checking.refuse(&name, "tick the site to grant it, or leave its last day empty");
            }
            (true, Some(end)) if end <= now => {
                checking.refuse(&name, "this day is over at the site; write a later one, or none");
            }
            (true, expires_at) => granted.push(Granting { site_id: site.site_id, expires_at }),
        }
    }
    granted
}

/// The form that changes a person. `sites` are all sites there are.
///
/// # Errors
/// The fields with their messages.
pub fn change(fields: &Fields, sites: &[SiteGrant], now: Utc) -> Result<PersonChange, Fields> {
    let mut checking = fields.check();
    let draft = draft_with(&mut checking, None);
    let version = checking.whole("version");
    let sites = grantings(&mut checking, fields, sites, now);
    let disabled = checking.ticked("disabled");
    let change =
        version.zip(draft).map(|(version, draft)| PersonChange { version, draft, disabled, sites });
    checking.finish(change)
}

/// The form that grants sites to a firm. `sites` are all sites there are.
///
/// # Errors
/// The fields with their messages.
pub fn firm_grants(fields: &Fields, sites: &[SiteGrant], now: Utc) -> Result<FirmGrants, Fields> {
    let mut checking = fields.check();
    let sites = grantings(&mut checking, fields, sites, now);
    let basis = fields.value("basis").to_owned();
    checking.finish(Some(FirmGrants { basis, sites }))
}

/// The form that changes the own password.
///
/// # Errors
/// The fields with their messages.
pub fn own_password(fields: &Fields) -> Result<OwnPassword, Fields> {
    let mut checking = fields.check();
    let old = fields.value("old_password");
    if old.is_empty() {
        checking.refuse("old_password", "this is needed");
    }
    let new = new_password(&mut checking, fields);
    checking.finish(new.map(|new| OwnPassword { old: old.to_owned(), new }))
}
