//! Copies of the ledger: a backup in one file, and a ledger made of one.

use super::{SqliteStore, connected, steps, unopened};
use crate::store::{Desk, Office, StoreError};
use rusqlite::Connection;
use std::io::Read;
use std::path::Path;

/// `application_id` of a backup, so that no other file is taken for one, nor overwritten by one.
const BACKUP: u32 = u32::from_be_bytes(*b"CGBK");
/// Of a ledger at work: SQLite's own default.
const AT_WORK: u32 = 0;

/// Whether a file bears the mark of a backup. Nothing is said of what it holds.
///
/// Source: SQLite's documentation, "Database File Format", section 1.3: a file begins with these
/// 16 bytes, and the application's identity stands at byte 68, most significant byte first.
pub fn is_backup(path: &Path) -> std::io::Result<bool> {
    let mut header = Vec::new();
    std::fs::File::open(path)?
        .take(72)
        .read_to_end(&mut header)?;
    Ok(header.starts_with(b"SQLite format 3\0") && header.get(68..) == Some(&BACKUP.to_be_bytes()))
}

impl SqliteStore {
    /// Writes the ledger as it is at one moment into an empty file, checks it and marks it as a
    /// backup. Others may read and write meanwhile. The disk is not waited for.
    pub fn back_up_into(&self, empty: &Path) -> Result<(), StoreError> {
        self.connection.execute("VACUUM INTO ?1", [name(empty)?])?;
        let copy = open_alone(empty)?;
        mark(&copy, BACKUP)?;
        check(&copy)
    }

    /// Checks a backup and makes a ledger at work of it, in place; says whose desk it is, if any.
    /// Its tables are brought up to date when it is opened.
    pub fn bring_back(backup: &Path) -> Result<Option<Desk>, StoreError> {
        let connection = open_alone(backup)?;
        check(&connection)?;
        mark(&connection, AT_WORK)?;
        Self { connection }.desk()
    }
}

/// SQLite is told of a file in UTF-8.
fn name(path: &Path) -> Result<&str, StoreError> {
    path.to_str()
        .ok_or_else(|| unopened(path, "its name is not UTF-8"))
}

/// Opens a file that nobody else has open, without a log beside it.
fn open_alone(path: &Path) -> Result<Connection, StoreError> {
    let connection = connected(path).map_err(|error| unopened(path, error))?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))?;
    Ok(connection)
}

fn mark(connection: &Connection, identity: u32) -> Result<(), StoreError> {
    Ok(connection.pragma_update(None, "application_id", identity)?)
}

/// Every page, index and reference is as it should be, and nothing is in it that acts by itself.
fn check(connection: &Connection) -> Result<(), StoreError> {
    let damaged = |detail: String| StoreError::Damaged {
        what: "the copy",
        detail,
    };
    let version: u32 = connection.pragma_query_value(None, "user_version", |row| row.get(0))?;
    if usize::try_from(version).is_ok_and(|version| version > steps::all().len()) {
        return Err(StoreError::Newer);
    }
    if version == 0 {
        return Err(damaged("it holds no tables of a ledger".to_owned()));
    }
    let said: String = connection.pragma_query_value(None, "integrity_check", |row| row.get(0))?;
    if said != "ok" {
        return Err(damaged(said));
    }
    if connection.prepare("PRAGMA foreign_key_check")?.exists([])? {
        return Err(damaged("a row names another that is not there".to_owned()));
    }
    let acting = "SELECT 1 FROM sqlite_schema WHERE type IN ('trigger', 'view')";
    if connection.prepare(acting)?.exists([])? {
        return Err(damaged("it holds triggers or views".to_owned()));
    }
    Ok(())
}
