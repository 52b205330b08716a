//! Writing: one connection. Whoever wants it waits in a fair queue, so that no writer starves, and
//! takes SQLite's write lock at once, so that what it has read cannot change before it writes.

use std::path::Path;

use sqlx::sqlite::{SqlitePool, SqlitePoolOptions};
use sqlx::{Sqlite, SqliteConnection, Transaction};

use crate::db::{StoreError, options};

/// The one writer.
#[derive(Debug, Clone)]
pub struct Writer(SqlitePool);

impl Writer {
    pub(super) fn open(file: &Path) -> Self {
        Self(SqlitePoolOptions::new().max_connections(1).connect_lazy_with(options(file)))
    }

    /// Waits for the turn and begins a write transaction. For `journal` alone: everything else
    /// writes through an act.
    pub(crate) async fn begin(&self) -> Result<WriteConnection, StoreError> {
        Ok(WriteConnection(self.0.begin_with("BEGIN IMMEDIATE").await?))
    }

    /// Closes the connection.
    pub async fn close(&self) {
        self.0.close().await;
    }

    #[cfg(test)]
    pub(crate) fn pool_for_tests(&self) -> &SqlitePool {
        &self.0
    }
}

/// A write transaction: rolled back when dropped without `commit`.
#[derive(Debug)]
pub struct WriteConnection(Transaction<'static, Sqlite>);

impl WriteConnection {
    /// The connection for a statement.
    pub(crate) fn conn(&mut self) -> &mut SqliteConnection {
        &mut self.0
    }

    pub(crate) async fn commit(self) -> Result<(), StoreError> {
        Ok(self.0.commit().await?)
    }
}
