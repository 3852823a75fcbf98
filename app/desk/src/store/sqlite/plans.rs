//! In programs built for tests: no query reads a table from end to end that grows with what officers
//! write.
//!
//! SQLite is asked for the plan of every query, once; so whatever test, page or command gives one, it
//! is looked at. Without statistics, which the ledger has none of, a plan is the same however many
//! rows there are.

use crate::store::StoreError;
use rusqlite::Connection;
use std::collections::HashSet;
use std::sync::Mutex;

/// Tables with a row or more for what officers write.
const GROWING: &[&str] = &[
    "bundle",
    "entry",
    "evidence",
    "field_payment",
    "finding",
    "paper",
    "pail",
    "payment",
    "receiving",
];

/// Tables with a row or more for an entry of a journal.
const OF_A_JOURNAL: &[&str] = &["entry", "paper", "pail"];

/// Indexes that hold few of a table's rows, so that all of them may be read.
const OF_FEW: &[&str] = &[
    // Serious findings, receipts that are owed, payments to be asked back, pails that no paper names.
    "finding_serious",
    "paper_owing",
    "payment_get_back",
    "receiving_unmatched",
    // Members registered in the field, openings and closings of days, entries that wait.
    "entry_members",
    "entry_ends",
    "entry_apart",
];

/// Queries whose plan was looked at.
static SEEN: Mutex<Option<HashSet<String>>> = Mutex::new(None);

/// Looks at a query's plan, unless that was done before.
pub(super) fn look_at(connection: &Connection, query: &str) -> Result<(), StoreError> {
    let is_new = SEEN
        .lock()
        .is_ok_and(|mut seen| seen.get_or_insert_default().insert(query.to_owned()));
    if is_new {
        let scans = scans(connection, query)?;
        debug_assert!(scans.is_empty(), "{query}\nreads all: {scans:?}");
    }
    Ok(())
}

/// Steps of a query's plan that read a growing table from end to end.
fn scans(connection: &Connection, query: &str) -> Result<Vec<String>, StoreError> {
    let mut plan = connection.prepare(&format!("EXPLAIN QUERY PLAN {query}"))?;
    // A plan does not depend on what the parameters are.
    let mut steps = plan.raw_query();
    let mut found = Vec::new();
    let mut sorts = false;
    while let Some(step) = steps.next()? {
        let step: String = step.get("detail")?;
        sorts |= step.starts_with("USE TEMP B-TREE");
        let mut words = step.split_whitespace();
        // Source: SQLite's documentation, "EXPLAIN QUERY PLAN": a full scan begins with SCAN, a
        // look-up of some rows with SEARCH, which names the columns that it looks up. All rows of a
        // handset's journal are as many as all of the table, where a desk has one handset.
        let tables = match words.next() {
            Some("SCAN") => GROWING,
            Some("SEARCH") if step.ends_with("(handset=?)") => OF_A_JOURNAL,
            _ => continue,
        };
        if words.next().is_some_and(|table| tables.contains(&table))
            && !words.any(|word| OF_FEW.contains(&word))
        {
            found.push(step);
        }
    }
    // The first rows of a table in its own order are few, however many there are.
    if query.contains(" LIMIT ") && !query.contains(" WHERE ") && !sorts {
        found.clear();
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::SqliteStore;

    #[test]
    fn a_full_scan_is_noticed_and_a_look_up_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let store = SqliteStore::create(&folder.path().join("ledger.sqlite")).unwrap();
        let scans = |query| scans(&store.connection, query).unwrap();
        assert_eq!(
            scans("SELECT count(*) FROM entry WHERE kind = 'slip'").len(),
            1
        );
        assert_eq!(scans("SELECT number FROM paper ORDER BY number").len(), 1);
        assert!(scans("SELECT number FROM paper WHERE handset = 'K1' AND seq = 3").is_empty());
        assert!(scans("SELECT code FROM handset").is_empty());
        assert!(scans("SELECT file FROM bundle ORDER BY rowid DESC LIMIT 3").is_empty());
        assert_eq!(
            scans("SELECT file FROM bundle ORDER BY manifest LIMIT 3").len(),
            1
        );
        let journal = "SELECT seq FROM paper WHERE handset = 'K1' ORDER BY seq";
        assert_eq!(scans(journal).len(), 1);
    }
}
