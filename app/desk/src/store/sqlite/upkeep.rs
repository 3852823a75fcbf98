//! Writing the log back into the ledger beside whoever books.
//!
//! A commit after which the log is long would otherwise copy all of it itself, and wait for the disk
//! twice. What was written back already it need not copy.

use super::connected;
use crate::store::Upkeep;
use rusqlite::Connection;
use std::path::{Path, PathBuf};

/// Writes back what is committed, whenever it is called; `None` for a ledger without a file.
pub(super) fn of(ledger: &Connection) -> Option<Upkeep> {
    let path = PathBuf::from(ledger.path().filter(|path| !path.is_empty())?);
    let mut beside = None;
    Some(Box::new(move || {
        if beside.is_none() {
            beside = open(&path).ok();
        }
        if let Some(connection) = &beside {
            // PASSIVE waits for nobody; what cannot be done now is left to whoever commits.
            let _ = connection.query_row("PRAGMA wal_checkpoint(PASSIVE)", [], |_| Ok(()));
        }
    }))
}

fn open(path: &Path) -> rusqlite::Result<Connection> {
    let connection = connected(path)?;
    // As safe against a power cut as the ledger's own connection: see there.
    connection.pragma_update(None, "synchronous", "FULL")?;
    Ok(connection)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::{SqliteStore, Store, StoreError};

    #[test]
    fn what_is_committed_reaches_the_ledgers_own_file_while_more_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ledger.sqlite");
        let mut store = SqliteStore::create(&path).unwrap();
        let mut upkeep = store.upkeep().unwrap();
        let add = |store: &SqliteStore, word: &str| {
            let added = store
                .connection
                .execute("INSERT INTO probe VALUES (?1)", [word]);
            added.map_err(StoreError::from)
        };
        store
            .atomically(|store| {
                store
                    .connection
                    .execute_batch("CREATE TABLE probe (word)")?;
                add(store, "committed")
            })
            .unwrap();
        store
            .atomically(|store| {
                add(store, "not yet")?;
                upkeep();
                Ok::<_, StoreError>(())
            })
            .unwrap();
        // Without its log: only what was written back.
        let alone = folder.path().join("alone.sqlite");
        std::fs::copy(&path, &alone).unwrap();
        let words: Vec<String> = Connection::open(&alone)
            .unwrap()
            .prepare("SELECT word FROM probe")
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        assert_eq!(words, ["committed"]);
    }
}
