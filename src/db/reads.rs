//! Reading: a few connections, each request seeing one unchanging state of the record.

use std::path::Path;

use sqlx::sqlite::{SqlitePool, SqlitePoolOptions};
use sqlx::{Sqlite, SqliteConnection, Transaction};

use crate::db::{StoreError, options};

/// Four readers: more gave nothing on the small machines this runs on.
const READERS: u32 = 4;

/// The pool of read connections.
#[derive(Debug, Clone)]
pub struct Reads(SqlitePool);

impl Reads {
    pub(super) fn open(file: &Path) -> Self {
        let options = options(file).pragma("query_only", "ON");
        Self(SqlitePoolOptions::new().max_connections(READERS).connect_lazy_with(options))
    }

    /// Begins a read: every statement on it sees the record as it stood at the first one.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn snapshot(&self) -> Result<Snapshot, StoreError> {
        Ok(Snapshot(self.0.begin_with("BEGIN DEFERRED").await?))
    }

    /// Closes all connections.
    pub async fn close(&self) {
        self.0.close().await;
    }
}

/// One state of the record, for as long as this lives.
#[derive(Debug)]
pub struct Snapshot(Transaction<'static, Sqlite>);

impl Snapshot {
    /// The connection for a store function.
    pub fn conn(&mut self) -> &mut SqliteConnection {
        &mut self.0
    }
}
