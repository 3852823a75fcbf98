//! The page on the ledger's tables names every table and column of a fresh ledger, and no other.

#![allow(clippy::unwrap_used)] // helpers of tests

use combgate_desk::store::SqliteStore;
use std::collections::BTreeMap;

/// Columns of each table, in order.
type Tables = BTreeMap<String, Vec<String>>;

const PAGE: &str = include_str!("../src/store/tables.md");

/// What stands between the first two backquotes of a line that begins so.
fn named<'a>(line: &'a str, begins: &str) -> Option<&'a str> {
    line.strip_prefix(begins)?
        .split_once('`')
        .map(|(name, _)| name)
}

fn documented() -> Tables {
    let mut tables = Tables::new();
    let mut table = None;
    for line in PAGE.lines() {
        if let Some(name) = named(line, "## `") {
            assert_eq!(
                tables.insert(name.to_owned(), Vec::new()),
                None,
                "{name} twice"
            );
            table = Some(name);
        } else if let Some(column) = named(line, "| `") {
            let told = line.split('|').nth(2).unwrap_or_default().trim();
            assert!(!told.is_empty(), "nothing is said of {column}");
            tables
                .get_mut(table.unwrap())
                .unwrap()
                .push(column.to_owned());
        }
    }
    tables
}

/// Source: SQLite itself, asked what a ledger that was just made holds.
fn in_a_fresh_ledger() -> Tables {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ledger.sqlite");
    drop(SqliteStore::create(&path).unwrap());
    let connection = rusqlite::Connection::open(&path).unwrap();
    let mut statement = connection
        .prepare(
            "SELECT m.name, c.name FROM sqlite_schema AS m JOIN pragma_table_xinfo(m.name) AS c \
             WHERE m.type = 'table' ORDER BY m.name, c.cid",
        )
        .unwrap();
    let mut rows = statement.query([]).unwrap();
    let mut tables = Tables::new();
    while let Some(row) = rows.next().unwrap() {
        let columns = tables.entry(row.get(0).unwrap()).or_default();
        columns.push(row.get(1).unwrap());
    }
    tables
}

#[test]
fn the_page_names_every_table_and_column_in_order_and_no_other() {
    assert_eq!(documented(), in_a_fresh_ledger());
}
