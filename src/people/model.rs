//! Who people are and what each role may do.

use serde::Serialize;
use uuid::Uuid;

use crate::clock::{Date, Utc, Zone};
use crate::journal::Actor;

/// What a person does here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Builds and measures, on the sites granted.
    Contractor,
    /// Keeps sites, measures, accepts.
    Engineer,
    /// Keeps everything, and people.
    Manager,
    /// Reads the sites granted.
    Reader,
}

impl Role {
    /// All roles, in the order in which a form offers them.
    pub const ALL: [Self; 4] = [Self::Contractor, Self::Engineer, Self::Manager, Self::Reader];

    /// The word for it, in pages and in the database.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Contractor => "contractor",
            Self::Engineer => "engineer",
            Self::Manager => "manager",
            Self::Reader => "reader",
        }
    }

    /// The word with what the role does, as a form offers it.
    #[must_use]
    pub fn described(self) -> &'static str {
        match self {
            Self::Contractor => "contractor: builds and measures on the sites granted",
            Self::Engineer => "engineer: keeps all sites, measures, accepts",
            Self::Manager => "manager: keeps everything, and the people",
            Self::Reader => "reader: reads the sites granted",
        }
    }

    /// Reads the word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }

    /// Whether the role sees every site without a grant.
    #[must_use]
    pub fn sees_all_sites(self) -> bool {
        matches!(self, Self::Engineer | Self::Manager)
    }
}

/// A person as the program knows them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// The row.
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// The row of the person's firm.
    pub firm_id: i64,
    /// The firm's name.
    pub firm: String,
    /// What the person types to sign in.
    pub login: String,
    /// The person's name, as reports print it.
    pub name: String,
    /// What the person does here.
    pub role: Role,
    /// Whether the account is closed.
    pub disabled: bool,
    /// Counts the edits; a form carries the one it was filled from.
    pub version: i64,
}

impl Person {
    /// The person as the one who acts.
    #[must_use]
    pub fn actor(&self) -> Actor {
        Actor::Person { id: self.id, uuid: self.uuid, name: self.name.clone() }
    }
}

/// A firm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Firm {
    /// The row.
    pub id: i64,
    /// The name outside.
    pub uuid: Uuid,
    /// Its name, as reports print it.
    pub name: String,
}

/// What a form says of a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PersonDraft {
    /// What the person types to sign in: 2 to 60 characters without spaces.
    pub login: String,
    /// The person's name.
    pub name: String,
    /// The firm's name; a new one is made when no firm has it.
    pub firm: String,
    /// What the person does here.
    pub role: Role,
}

/// How long a session lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SessionRules {
    /// Without a request for so long it ends.
    pub idle_seconds: i64,
    /// It ends so long after the sign-in in any case.
    pub longest_seconds: i64,
}

impl Default for SessionRules {
    /// 12 hours without a request, since field work pauses for meals and climbs and is done by the evening;
    /// 14 days at most. Common practice, no source.
    fn default() -> Self {
        Self { idle_seconds: 12 * 3600, longest_seconds: 14 * 24 * 3600 }
    }
}

impl SessionRules {
    /// A session that was made then or before has ended.
    #[must_use]
    pub fn made_after(self, now: Utc) -> Utc {
        now.plus_seconds(-self.longest_seconds)
    }

    /// A session that was last used then or before has ended.
    #[must_use]
    pub fn seen_after(self, now: Utc) -> Utc {
        now.plus_seconds(-self.idle_seconds)
    }
}

/// A session that still lasts, as its person is shown it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    /// SHA-256 of its secret.
    pub token_digest: Vec<u8>,
    /// The kind of device it was opened on, in words.
    pub device: String,
    /// When it was opened.
    pub made_at: Utc,
    /// When it was last used, to a few minutes.
    pub seen_at: Utc,
}

/// The kind of device a browser says that it runs on (`User-Agent`): enough to recognise a session by, and no
/// more. Browsers on phones say "Mobi" (common practice of browsers, no standard).
#[must_use]
pub fn device(user_agent: &str) -> &'static str {
    if user_agent.contains("Mobi") {
        "phone"
    } else if user_agent.starts_with("Mozilla/") {
        "computer or tablet"
    } else {
        "another program"
    }
}

/// Who holds a grant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holder {
    /// One person, by the row.
    Person(i64),
    /// Everybody of a firm, by the row.
    Firm(i64),
}

/// A site, and whether a holder is granted it.
#[derive(Debug, Clone)]
pub struct SiteGrant {
    /// The row of the site.
    pub site_id: i64,
    /// The site's code.
    pub code: String,
    /// The site's name.
    pub name: String,
    /// The site's time zone: a grant ends with a day there.
    pub zone: Zone,
    /// Whether it was granted, be it expired or not.
    pub granted: bool,
    /// When the grant ends; `None` for one without an end.
    pub expires_at: Option<Utc>,
}

impl SiteGrant {
    /// Whether the site may be seen by it now.
    #[must_use]
    pub fn holds(&self, now: Utc) -> bool {
        self.granted && self.expires_at.is_none_or(|end| end > now)
    }

    /// The last day it holds, or held.
    #[must_use]
    pub fn last_day(&self) -> Option<Date> {
        self.expires_at.map(|end| end.plus_seconds(-1).date_in(&self.zone))
    }
}

/// A site to be granted, and until when.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Granting {
    /// The row of the site.
    pub site_id: i64,
    /// When the grant ends; `None` for one without an end.
    pub expires_at: Option<Utc>,
}

#[cfg(test)]
mod tests {
    use super::device;

    #[test]
    fn a_device_is_told_in_coarse_words() {
        let phone =
            "Mozilla/5.0 (Linux; K) AppleWebKit/537.36 (KHTML, like Gecko) Mobile Safari/537.36";
        assert_eq!(device(phone), "phone");
        assert_eq!(device("Mozilla/5.0 (X11; Linux x86_64; rv:130.0)"), "computer or tablet");
        assert_eq!(device("fetcher/8.1"), "another program");
        assert_eq!(device(""), "another program");
    }
}
