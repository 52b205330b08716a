//! Who people are and what each role may do.

use serde::Serialize;
use uuid::Uuid;

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
