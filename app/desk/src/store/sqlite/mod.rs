//! The ledger in one SQLite file, built in: write-ahead log, every commit on the disk before it
//! counts, foreign keys held.

mod journal;
mod papers;
mod register;

use super::{Ledger, Store, StoreError};
use rusqlite::{Connection, ErrorCode, TransactionBehavior};
use rusqlite_migration::{M, Migrations};
use std::path::Path;
use std::time::Duration;

const PATIENCE: Duration = Duration::from_secs(10);

/// A ledger in a file.
#[derive(Debug)]
pub struct SqliteStore(Connection);

impl SqliteStore {
    /// Opens the file, or makes it, and brings it to the shape of this program.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        Self::prepare(Connection::open(path)?)
    }

    /// A ledger that is gone when it is dropped.
    pub fn in_memory() -> Result<Self, StoreError> {
        Self::prepare(Connection::open_in_memory()?)
    }

    fn prepare(mut connection: Connection) -> Result<Self, StoreError> {
        connection.busy_timeout(PATIENCE)?;
        connection.pragma_update(None, "journal_mode", "WAL")?;
        connection.pragma_update(None, "synchronous", "FULL")?;
        connection.pragma_update(None, "foreign_keys", true)?;
        connection.pragma_update(None, "trusted_schema", false)?;
        Migrations::new(vec![M::up(include_str!("../schema.sql"))])
            .to_latest(&mut connection)
            .map_err(migration_error)?;
        Ok(Self(connection))
    }
}

fn migration_error(error: rusqlite_migration::Error) -> StoreError {
    use rusqlite_migration::{Error, MigrationDefinitionError};
    match error {
        Error::RusqliteError { err, .. } => err.into(),
        Error::MigrationDefinition(MigrationDefinitionError::DatabaseTooFarAhead) => {
            StoreError::Newer
        }
        other => StoreError::damaged("its shape", other),
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                Self::damaged("the file", error)
            }
            _ => Self::Refused(error.to_string()),
        }
    }
}

impl Store for SqliteStore {
    fn in_one<T, E: From<StoreError>>(
        &mut self,
        work: impl FnOnce(&dyn Ledger) -> Result<T, E>,
    ) -> Result<T, E> {
        // Writing is claimed at once, so that two imports stand in line instead of failing half way.
        let transaction = self
            .0
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(StoreError::from)?;
        let done = work(&Tables(&transaction))?;
        transaction.commit().map_err(StoreError::from)?;
        Ok(done)
    }
}

/// The tables within one transaction.
struct Tables<'a>(&'a Connection);

/// A value read back from a column, checked as if it came from outside.
fn read<T, E: std::fmt::Display>(
    what: &'static str,
    value: Result<T, E>,
) -> Result<T, StoreError> {
    value.map_err(|error| StoreError::damaged(what, error))
}

fn written<T: serde::Serialize>(what: &'static str, value: &T) -> Result<String, StoreError> {
    serde_json::to_string(value).map_err(|error| StoreError::damaged(what, error))
}

/// SQLite counts in 63 bits.
fn count(value: u64) -> Result<i64, StoreError> {
    read("a number beyond all counting", i64::try_from(value))
}

fn uncount(what: &'static str, value: i64) -> Result<u64, StoreError> {
    read(what, u64::try_from(value))
}
