//! The state of the server, shared by all handlers.

use std::sync::{Arc, Mutex};

use tokio::sync::Semaphore;

use crate::clock::Clock;
use crate::db::{Files, Reads, Snapshot, StoreError, Writer};
use crate::people::model::SessionRules;
use crate::people::password::Passwords;
use crate::people::throttle::Throttle;
use crate::photos::keep::Photos;

/// What every handler can reach. Cheap to clone.
#[derive(Debug, Clone)]
pub struct AppState {
    /// For reading.
    pub reads: Reads,
    /// For acts.
    pub writer: Writer,
    /// Kept photos.
    pub photos: Photos,
    /// The time.
    pub clock: Clock,
    /// Hashing slots.
    pub passwords: Passwords,
    /// Slows down whoever guesses passwords.
    pub throttle: Arc<Throttle>,
    /// Slows down whoever guesses at many accounts from one address.
    pub address_throttle: Arc<Throttle>,
    /// How long sessions last.
    pub sessions: SessionRules,
    /// Two reports at a time: making one is a processor's work.
    pub report_slots: Arc<Semaphore>,
    /// The address people use, when a proxy stands before the server; decides `Secure` cookies.
    pub public_url: Option<String>,
    set_up: Arc<Mutex<Option<String>>>,
}

impl AppState {
    /// The state over an opened data folder.
    #[must_use]
    pub fn new(
        reads: Reads,
        writer: Writer,
        files: Files,
        clock: Clock,
        public_url: Option<String>,
    ) -> Self {
        Self {
            reads,
            writer,
            photos: Photos::new(files, clock.clone()),
            clock,
            passwords: Passwords::default(),
            throttle: Arc::default(),
            address_throttle: Arc::new(Throttle::of_addresses()),
            sessions: SessionRules::default(),
            report_slots: Arc::new(Semaphore::new(2)),
            public_url,
            set_up: Arc::default(),
        }
    }

    /// The same with other rules for sessions.
    #[must_use]
    pub fn with_sessions(self, sessions: SessionRules) -> Self {
        Self { sessions, ..self }
    }

    /// One state of the record to read from.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn snapshot(&self) -> Result<Snapshot, StoreError> {
        self.reads.snapshot().await
    }

    /// Whether cookies go over TLS only.
    #[must_use]
    pub fn secure(&self) -> bool {
        self.public_url.as_deref().is_some_and(|url| url.starts_with("https://"))
    }

    /// Opens the one-time set-up page under this secret, or closes it.
    pub fn set_set_up(&self, secret: Option<String>) {
        if let Ok(mut held) = self.set_up.lock() {
            *held = secret;
        }
    }

    /// Whether the set-up page is open under this secret.
    #[must_use]
    pub fn set_up_is(&self, secret: &str) -> bool {
        self.set_up.lock().is_ok_and(|held| held.as_deref() == Some(secret))
    }
}
