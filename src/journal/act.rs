//! `Act`: one transaction, one journal entry, one UUID.

use serde::Serialize;
use serde_json::Value;
use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::clock::{Clock, Utc};
use crate::db::{StoreError, WriteConnection, Writer};
use crate::journal::{canonical, digest_of};
use crate::problem::Problem;

/// Who acts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Actor {
    /// A person who signed in.
    Person {
        /// The row.
        id: i64,
        /// The name outside.
        uuid: Uuid,
        /// As it was at the time of the act.
        name: String,
    },
    /// Whoever works at the command line of the machine.
    Operator,
    /// The program itself.
    System,
}

impl Actor {
    fn kind(&self) -> &'static str {
        match self {
            Self::Person { .. } => "person",
            Self::Operator => "operator",
            Self::System => "system",
        }
    }

    /// The row of the person, if a person acts.
    #[must_use]
    pub fn person_id(&self) -> Option<i64> {
        match self {
            Self::Person { id, .. } => Some(*id),
            Self::Operator | Self::System => None,
        }
    }
}

/// What somebody is about to do, known before the write lock is taken.
#[derive(Debug, Clone)]
pub struct Intent {
    /// The UUID that the form carried: it becomes the entry's.
    pub id: Uuid,
    /// Who acts.
    pub actor: Actor,
    /// What kind of act, in past tense: `trial recorded`.
    pub kind: &'static str,
    /// SHA-256 of what was sent, so that a repetition can be told from a contradiction.
    pub digest: [u8; 32],
}

impl Intent {
    /// An act of the operator or the system, whose content is what it is about to do.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] when the content has no JSON form.
    pub fn without_form<T: Serialize>(
        clock: &Clock,
        actor: Actor,
        kind: &'static str,
        content: &T,
    ) -> Result<Self, StoreError> {
        Ok(Self { id: clock.uuid(), actor, kind, digest: digest_of(&canonical(content)?) })
    }
}

/// What an act leaves in the journal.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The site it concerns.
    pub site_id: Option<i64>,
    /// What was done, as plain JSON with figures as decimal text.
    pub what: Value,
    /// What a repetition is answered with: the name of what was made, or empty.
    pub answer: String,
}

/// Why an act did not happen. Nothing was saved.
#[derive(Debug, thiserror::Error)]
pub enum ActError {
    /// The judge found something in the way.
    #[error("refused")]
    Refused(Vec<Problem>),
    /// A field holds what cannot be taken, found only inside the transaction.
    #[error("{field}: {message}")]
    Field {
        /// The form's field.
        field: &'static str,
        /// A sentence for the person.
        message: String,
    },
    /// This UUID is already in the journal with other content.
    #[error("this form was already sent with other content")]
    OtherContent,
    /// The record or the UUID is not this person's to know.
    #[error("not found")]
    Unknown,
    /// The database.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<sqlx::Error> for ActError {
    fn from(error: sqlx::Error) -> Self {
        Self::Store(error.into())
    }
}

/// The beginning of an act.
#[derive(Debug)]
pub enum Begun {
    /// It is new: do it, then [`Act::commit`].
    New(Box<Act>),
    /// It was done before with the same content; here is what it was answered with.
    Again(String),
}

/// What the same act was answered with, if it was done before. A form whose checks rest on what changes (an
/// instrument that was retired meanwhile) asks this before it refuses what was already saved.
///
/// # Errors
/// [`ActError::OtherContent`] for a known UUID with other content, [`ActError::Unknown`] for one of another
/// actor, [`ActError::Store`].
pub async fn answered_before(
    conn: &mut SqliteConnection,
    intent: &Intent,
) -> Result<Option<String>, ActError> {
    let known = sqlx::query!(
        "SELECT actor, person_id, request_digest, answer FROM journal WHERE uuid = $1",
        intent.id
    )
    .fetch_optional(conn)
    .await?;
    let Some(known) = known else { return Ok(None) };
    if known.actor != intent.actor.kind() || known.person_id != intent.actor.person_id() {
        return Err(ActError::Unknown);
    }
    if known.request_digest != intent.digest {
        return Err(ActError::OtherContent);
    }
    Ok(Some(known.answer))
}

/// The only way to a write: one transaction, one journal entry, one UUID. Dropped without
/// [`Act::commit`], nothing happened.
#[derive(Debug)]
pub struct Act {
    connection: WriteConnection,
    intent: Intent,
    clock: Clock,
    now: Utc,
}

impl Act {
    /// Waits for the writer and looks the UUID up.
    ///
    /// # Errors
    /// [`ActError::OtherContent`] for a known UUID with other content, [`ActError::Unknown`] for one
    /// of another actor, [`ActError::Store`].
    pub async fn begin(writer: &Writer, clock: &Clock, intent: Intent) -> Result<Begun, ActError> {
        let mut connection = writer.begin().await?;
        if let Some(answer) = answered_before(connection.conn(), &intent).await? {
            return Ok(Begun::Again(answer));
        }
        let now = clock.now();
        Ok(Begun::New(Box::new(Self { connection, intent, clock: clock.clone(), now })))
    }

    /// The connection for a store function.
    pub fn conn(&mut self) -> &mut SqliteConnection {
        self.connection.conn()
    }

    /// The act's UUID, for the `act` column of what it writes.
    #[must_use]
    pub fn id(&self) -> Uuid {
        self.intent.id
    }

    /// When the act is entered.
    #[must_use]
    pub fn now(&self) -> Utc {
        self.now
    }

    /// Who acts.
    #[must_use]
    pub fn actor(&self) -> &Actor {
        &self.intent.actor
    }

    /// A new name for a record.
    #[must_use]
    pub fn new_uuid(&self) -> Uuid {
        self.clock.uuid()
    }

    /// Writes the entry at the end of the chain and commits everything together; gives the answer
    /// back.
    ///
    /// # Errors
    /// [`ActError::Store`]; then nothing was saved.
    pub async fn commit(mut self, entry: Entry) -> Result<String, ActError> {
        let instance: Uuid = sqlx::query_scalar!(r#"SELECT uuid AS "uuid: Uuid" FROM instance"#)
            .fetch_one(self.connection.conn())
            .await?;
        let last = sqlx::query!("SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1")
            .fetch_optional(self.connection.conn())
            .await?;
        let (seq, previous) = last.map_or((1, vec![0; 32]), |row| (row.seq + 1, row.hash));
        let content = self.content(seq, instance, &entry)?;
        let hash = chained(&previous, &content);
        let (person, actor) = (self.intent.actor.person_id(), self.intent.actor.kind());
        let (digest, hash) = (&self.intent.digest[..], &hash[..]);
        sqlx::query!(
            "INSERT INTO journal (seq, uuid, at, actor, person_id, kind, site_id, request_digest, answer, content, previous, hash)
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)",
            seq,
            self.intent.id,
            self.now,
            actor,
            person,
            self.intent.kind,
            entry.site_id,
            digest,
            entry.answer,
            content,
            previous,
            hash
        )
        .execute(self.connection.conn())
        .await?;
        self.connection.commit().await?;
        Ok(entry.answer)
    }

    fn content(&self, seq: i64, instance: Uuid, entry: &Entry) -> Result<String, StoreError> {
        let by = match &self.intent.actor {
            Actor::Person { uuid, name, .. } => serde_json::json!({"person": uuid, "name": name}),
            other => serde_json::json!({"actor": other.kind()}),
        };
        canonical(&serde_json::json!({
            "instance": instance,
            "seq": seq.to_string(),
            "uuid": self.intent.id,
            "at": self.now,
            "by": by,
            "kind": self.intent.kind,
            "what": entry.what,
        }))
    }
}

/// An entry's hash: SHA-256 over the previous entry's hash followed by this entry's content.
pub(super) fn chained(previous: &[u8], content: &str) -> [u8; 32] {
    use sha2::{Digest, Sha256};
    Sha256::new().chain_update(previous).chain_update(content.as_bytes()).finalize().into()
}
