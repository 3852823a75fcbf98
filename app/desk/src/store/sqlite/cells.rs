//! Cells of a row as the quantities they hold; what does not fit is a damaged ledger.

use super::SqliteStore;
use crate::store::StoreError;
use chrono::NaiveDate;
use rusqlite::{CachedStatement, Row, Statement};
use std::cell::Cell;
use std::fmt::Display;
use std::ops::RangeInclusive;
use std::str::FromStr;

/// Reading a row by the names of its columns.
pub(super) trait Cells {
    /// As the database has it.
    fn plain<T: rusqlite::types::FromSql>(&self, column: &'static str) -> Result<T, StoreError>;

    /// Text that goes through a checked constructor.
    fn checked<T>(&self, column: &'static str) -> Result<T, StoreError>
    where
        T: TryFrom<String, Error: Display>;

    /// Text that goes through a checked constructor, or nothing.
    fn checked_if_any<T>(&self, column: &'static str) -> Result<Option<T>, StoreError>
    where
        T: TryFrom<String, Error: Display>;

    /// Text that is parsed, such as a day.
    fn parsed<T: FromStr<Err: Display>>(&self, column: &'static str) -> Result<T, StoreError>;

    /// Text that is parsed, or nothing.
    fn parsed_if_any<T: FromStr<Err: Display>>(
        &self,
        column: &'static str,
    ) -> Result<Option<T>, StoreError>;

    /// A count that is never negative.
    fn count<T: TryFrom<i64, Error: Display>>(&self, column: &'static str)
    -> Result<T, StoreError>;
}

impl Cells for Row<'_> {
    fn plain<T: rusqlite::types::FromSql>(&self, column: &'static str) -> Result<T, StoreError> {
        let place = place(self, column).map_err(damaged(column))?;
        self.get(place).map_err(damaged(column))
    }

    fn checked<T>(&self, column: &'static str) -> Result<T, StoreError>
    where
        T: TryFrom<String, Error: Display>,
    {
        T::try_from(self.plain(column)?).map_err(damaged(column))
    }

    fn checked_if_any<T>(&self, column: &'static str) -> Result<Option<T>, StoreError>
    where
        T: TryFrom<String, Error: Display>,
    {
        self.plain::<Option<String>>(column)?
            .map(T::try_from)
            .transpose()
            .map_err(damaged(column))
    }

    fn parsed<T: FromStr<Err: Display>>(&self, column: &'static str) -> Result<T, StoreError> {
        self.plain::<String>(column)?
            .parse()
            .map_err(damaged(column))
    }

    fn parsed_if_any<T: FromStr<Err: Display>>(
        &self,
        column: &'static str,
    ) -> Result<Option<T>, StoreError> {
        self.plain::<Option<String>>(column)?
            .map(|text| text.parse())
            .transpose()
            .map_err(damaged(column))
    }

    fn count<T: TryFrom<i64, Error: Display>>(
        &self,
        column: &'static str,
    ) -> Result<T, StoreError> {
        T::try_from(self.plain::<i64>(column)?).map_err(damaged(column))
    }
}

thread_local! {
    /// Where the column is expected that is asked for next.
    static NEXT: Cell<usize> = const { Cell::new(0) };
}

/// Where a column stands in a row. Rows are read in the order in which their columns stand, so one
/// comparison does for what would otherwise take a search through all names: that search was a
/// quarter of the time that booking took.
fn place(row: &Row<'_>, column: &str) -> rusqlite::Result<usize> {
    let statement: &Statement<'_> = row.as_ref();
    let expected = NEXT.get();
    let found = if expected < statement.column_count() && statement.column_name(expected)? == column
    {
        expected
    } else {
        statement.column_index(column)?
    };
    NEXT.set((found + 1) % statement.column_count());
    Ok(found)
}

/// For `map_err`: a cell that is not what it must be.
pub(super) fn damaged<E: Display>(what: &'static str) -> impl Fn(E) -> StoreError {
    move |error| StoreError::Damaged {
        what,
        detail: error.to_string(),
    }
}

impl SqliteStore {
    fn prepared(&self, query: &str) -> Result<CachedStatement<'_>, StoreError> {
        #[cfg(debug_assertions)]
        super::plans::look_at(&self.connection, query)?;
        Ok(self.connection.prepare_cached(query)?)
    }

    /// All rows of a query.
    pub(super) fn all<T>(
        &self,
        query: &str,
        parameters: impl rusqlite::Params,
        read: impl Fn(&Row<'_>) -> Result<T, StoreError>,
    ) -> Result<Vec<T>, StoreError> {
        let mut statement = self.prepared(query)?;
        let mut rows = statement.query(parameters)?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            found.push(read(row)?);
        }
        Ok(found)
    }

    /// Every day that a query gives for some days, in order. The query asks for the first of them,
    /// so that an index is looked up once a day, however much stands under each.
    pub(super) fn each_day(
        &self,
        first_of: &str,
        days: &RangeInclusive<NaiveDate>,
    ) -> Result<Vec<NaiveDate>, StoreError> {
        let mut found = Vec::new();
        let (mut from, to) = (*days.start(), days.end().to_string());
        loop {
            let first = self.first(first_of, [from.to_string(), to.clone()], |row| {
                row.parsed_if_any("day")
            })?;
            let Some(day) = first.flatten() else {
                return Ok(found);
            };
            found.push(day);
            from = match NaiveDate::succ_opt(&day) {
                Some(next) => next,
                None => return Ok(found),
            };
        }
    }

    /// The first row of a query.
    pub(super) fn first<T>(
        &self,
        query: &str,
        parameters: impl rusqlite::Params,
        read: impl Fn(&Row<'_>) -> Result<T, StoreError>,
    ) -> Result<Option<T>, StoreError> {
        let mut statement = self.prepared(query)?;
        let mut rows = statement.query(parameters)?;
        rows.next()?.map(read).transpose()
    }
}

/// How many rows are asked for at most.
pub(super) fn at_most(rows: usize) -> i64 {
    i64::try_from(rows).unwrap_or(i64::MAX)
}

/// A count as the database keeps it. Nothing that is counted here comes near the greatest integer;
/// what a stranger's file claims beyond it is kept as the greatest.
pub(super) fn integer(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}
