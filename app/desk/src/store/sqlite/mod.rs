//! The ledger in one SQLite file: write-ahead log, synchronous FULL, one writer.

mod cells;
mod clerks;
mod closing;
mod copies;
mod depot;
mod forgetting;
mod growing;
mod history;
mod journal_rows;
mod journals;
mod office;
mod papers;
mod payments;
#[cfg(debug_assertions)]
mod plans;
mod register;
mod reversals;
mod steps;
mod sums;
mod upkeep;

pub use copies::is_backup;

use super::{Store, StoreError, Upkeep};
use rusqlite::{Connection, ErrorCode, OpenFlags, Transaction, TransactionBehavior};
use rusqlite_migration::{MigrationDefinitionError, Migrations};
use std::path::Path;
use std::time::Duration;

/// How long to wait for another writer: longer than the import of a day, short enough to be told.
const PATIENCE: Duration = Duration::from_secs(10);
/// Bytes of a page of a new ledger, twice SQLite's own: half as many pages to log and to write back, and
/// a receipt with several pails fits into one. Imports measured a tenth to a quarter quicker. A ledger
/// that is there keeps its own.
const PAGE_BYTES: i64 = 8_192;
/// Pages of the log before they are written into the ledger itself: many bundles together, because
/// they change the same pages of the indexes. 40 MB on the disk.
const LOG_PAGES: i64 = 5_000;
/// Pages that a connection keeps in memory at most, KiB: the parts of the indexes that a season's
/// bundles fall into.
const CACHE_KIB: i64 = 65_536;
/// Statements kept ready.
const STATEMENTS: usize = 256;

/// The ledger in a file.
#[derive(Debug)]
pub struct SqliteStore {
    connection: Connection,
}

impl SqliteStore {
    /// Opens the ledger of a file, making the file if there is none; only its owner may read it.
    pub fn create(path: &Path) -> Result<Self, StoreError> {
        make_private(path).map_err(|error| unopened(path, error))?;
        Self::open(path)
    }

    /// Opens the ledger of a file and brings its tables up to date.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let connection = connected(path).map_err(|error| unopened(path, error))?;
        Self::prepare(connection)
    }

    fn prepare(mut connection: Connection) -> Result<Self, StoreError> {
        connection.busy_timeout(PATIENCE)?;
        connection.set_prepared_statement_cache_capacity(STATEMENTS);
        // Before anything is written: afterwards it changes nothing.
        connection.pragma_update(None, "page_size", PAGE_BYTES)?;
        // Answers with the mode that is now in force.
        connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))?;
        connection.pragma_update(None, "synchronous", "FULL")?;
        connection.pragma_update(None, "wal_autocheckpoint", LOG_PAGES)?;
        connection.pragma_update(None, "cache_size", -CACHE_KIB)?;
        connection.pragma_update(None, "foreign_keys", true)?;
        connection.pragma_update(None, "trusted_schema", false)?;
        Migrations::new(steps::all())
            .to_latest(&mut connection)
            .map_err(|error| match error {
                rusqlite_migration::Error::MigrationDefinition(
                    MigrationDefinitionError::DatabaseTooFarAhead,
                ) => StoreError::Newer,
                rusqlite_migration::Error::RusqliteError { err, .. } => err.into(),
                other => StoreError::Refused(other.to_string()),
            })?;
        Ok(Self { connection })
    }
}

impl Store for SqliteStore {
    fn atomically<T, E: From<StoreError>>(
        &mut self,
        work: impl FnOnce(&Self) -> Result<T, E>,
    ) -> Result<T, E> {
        // Immediate: what is read here cannot change before it is written. Dropped, it rolls back.
        let transaction =
            Transaction::new_unchecked(&self.connection, TransactionBehavior::Immediate)
                .map_err(StoreError::from)?;
        let done = work(self)?;
        transaction.commit().map_err(StoreError::from)?;
        Ok(done)
    }

    fn upkeep(&self) -> Option<Upkeep> {
        upkeep::of(&self.connection)
    }
}

/// A connection of one thread to a file that is there.
fn connected(path: &Path) -> rusqlite::Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    Connection::open_with_flags(path, flags)
}

fn unopened(path: &Path, reason: impl std::fmt::Display) -> StoreError {
    StoreError::Unopened {
        path: path.to_owned(),
        reason: reason.to_string(),
    }
}

/// Makes an empty file that only its owner may read, unless there is one.
fn make_private(path: &Path) -> std::io::Result<()> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    match options.open(path) {
        Err(error) if error.kind() != std::io::ErrorKind::AlreadyExists => Err(error),
        _ => Ok(()),
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        // SQLite's documentation: the file of shared memory, which every opening makes, could not
        // be made large enough, because the disk has no room.
        if let rusqlite::Error::SqliteFailure(inner, _) = &error
            && inner.extended_code == rusqlite::ffi::SQLITE_IOERR_SHMSIZE
        {
            return Self::DiskFull;
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(ErrorCode::DiskFull) => Self::DiskFull,
            Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => Self::Damaged {
                what: "the file",
                detail: error.to_string(),
            },
            _ => Self::Refused(error.to_string()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn writes_are_safe_against_a_power_cut() {
        let folder = tempfile::tempdir().unwrap();
        let store = SqliteStore::create(&folder.path().join("ledger.sqlite")).unwrap();
        let pragma = |name| {
            store
                .connection
                .pragma_query_value(None, name, |row| row.get::<_, rusqlite::types::Value>(0))
                .unwrap()
        };
        assert_eq!(pragma("journal_mode"), "wal".to_owned().into());
        // SQLite's documentation: 2 is FULL.
        assert_eq!(pragma("synchronous"), 2.into());
        assert_eq!(pragma("foreign_keys"), 1.into());
    }

    #[test]
    fn a_new_ledger_has_its_pages_and_an_older_one_keeps_its_own() {
        let folder = tempfile::tempdir().unwrap();
        let bytes_of_a_page = |path: &Path| {
            let store = SqliteStore::create(path).unwrap();
            store
                .connection
                .pragma_query_value(None, "page_size", |row| row.get::<_, i64>(0))
                .unwrap()
        };
        assert_eq!(
            bytes_of_a_page(&folder.path().join("new.sqlite")),
            PAGE_BYTES
        );
        let old = folder.path().join("old.sqlite");
        let older = Connection::open(&old).unwrap();
        older.pragma_update(None, "page_size", 4_096).unwrap();
        older
            .execute_batch("CREATE TABLE probe (word); DROP TABLE probe")
            .unwrap();
        drop(older);
        assert_eq!(bytes_of_a_page(&old), 4_096);
    }

    #[test]
    fn a_ledger_of_a_newer_program_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ledger.sqlite");
        drop(SqliteStore::create(&path).unwrap());
        Connection::open(&path)
            .unwrap()
            .pragma_update(None, "user_version", 99)
            .unwrap();
        assert!(matches!(SqliteStore::open(&path), Err(StoreError::Newer)));
    }

    #[test]
    fn a_file_that_is_no_ledger_is_not_touched() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ledger.sqlite");
        std::fs::write(&path, "a letter, and not at all a database; ".repeat(99)).unwrap();
        assert!(matches!(
            SqliteStore::open(&path),
            Err(StoreError::Damaged { .. })
        ));
        assert!(
            std::fs::read_to_string(&path)
                .unwrap()
                .starts_with("a letter")
        );
    }

    #[cfg(unix)]
    #[test]
    fn only_its_owner_may_read_the_key() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ledger.sqlite");
        drop(SqliteStore::create(&path).unwrap());
        let mode = std::fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }
}
