//! Cells of a row as the quantities they hold; what does not fit is a damaged ledger.

use super::SqliteStore;
use crate::store::StoreError;
use rusqlite::Row;
use std::fmt::Display;
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
        self.get(column).map_err(damaged(column))
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

/// For `map_err`: a cell that is not what it must be.
pub(super) fn damaged<E: Display>(what: &'static str) -> impl Fn(E) -> StoreError {
    move |error| StoreError::Damaged {
        what,
        detail: error.to_string(),
    }
}

impl SqliteStore {
    /// All rows of a query.
    pub(super) fn all<T>(
        &self,
        query: &str,
        parameters: impl rusqlite::Params,
        read: impl Fn(&Row<'_>) -> Result<T, StoreError>,
    ) -> Result<Vec<T>, StoreError> {
        let mut statement = self.connection.prepare_cached(query)?;
        let mut rows = statement.query(parameters)?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            found.push(read(row)?);
        }
        Ok(found)
    }

    /// The first row of a query.
    pub(super) fn first<T>(
        &self,
        query: &str,
        parameters: impl rusqlite::Params,
        read: impl Fn(&Row<'_>) -> Result<T, StoreError>,
    ) -> Result<Option<T>, StoreError> {
        let mut statement = self.connection.prepare_cached(query)?;
        let mut rows = statement.query(parameters)?;
        rows.next()?.map(read).transpose()
    }
}

/// A count as the database keeps it. Nothing that is counted here comes near the greatest integer;
/// what a stranger's file claims beyond it is kept as the greatest.
pub(super) fn integer(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}
