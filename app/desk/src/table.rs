//! Tables for spreadsheets: CSV in which no cell is ever run as a formula.
//!
//! # References
//! RFC 4180: lines end with CR LF, and a cell with a comma, a quote or a line end stands in quotes.
//! OWASP, "CSV Injection": a cell that begins with `=`, `+`, `-`, `@`, tab or carriage return may be
//! run as a formula, so an apostrophe is put before it. The same signs in their wide forms are run
//! too by some programs.

use std::borrow::Cow;

/// A table that cannot be written: a fault of this program.
#[derive(Debug, thiserror::Error)]
#[error("the table cannot be written: {0}")]
pub struct TableError(String);

impl crate::outcome::Advice for TableError {
    fn hint(&self) -> String {
        "report this fault with the command you gave; --json gives the same figures".to_owned()
    }
}

/// A table as CSV.
pub(crate) fn csv<'a>(
    headings: &[&str],
    rows: impl IntoIterator<Item = Vec<Cow<'a, str>>>,
) -> Result<String, TableError> {
    let refused = |error: csv::Error| TableError(error.to_string());
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    writer.write_record(headings).map_err(refused)?;
    for row in rows {
        writer
            .write_record(row.iter().map(|cell| harmless(cell).into_owned()))
            .map_err(refused)?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| TableError(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| TableError(error.to_string()))
}

/// A cell that no spreadsheet runs. A plain number stays one, below nothing too. What has such an
/// apostrophe of its own gets another, so that it can be told from what this program put.
fn harmless(cell: &str) -> Cow<'_, str> {
    let bare = cell.trim_start_matches('\'');
    let begins_badly = bare.starts_with([
        '=', '+', '-', '@', '\t', '\r', '\n', '\u{FF1D}', '\u{FF0B}', '\u{FF0D}', '\u{FF20}',
    ]);
    if begins_badly && !is_number(bare) {
        Cow::Owned(format!("'{cell}"))
    } else {
        Cow::Borrowed(cell)
    }
}

/// A cell of a table that [`csv`] wrote, without the apostrophe put before it.
pub(crate) fn as_meant(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if matches!(harmless(rest), Cow::Owned(_)) => rest,
        _ => cell,
    }
}

/// A minus, digits and at most one point with digits on both sides.
fn is_number(cell: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let cell = cell.strip_prefix('-').unwrap_or(cell);
    match cell.split_once('.') {
        Some((whole, rest)) => digits(whole) && digits(rest),
        None => digits(cell),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Source: OWASP's list, and the examples of its page.
    #[test]
    fn what_a_spreadsheet_would_run_is_made_harmless() {
        for (cell, written) in [
            ("=1+1", "'=1+1"),
            ("+254700000001", "'+254700000001"),
            ("-2+3", "'-2+3"),
            ("@SUM(1)", "'@SUM(1)"),
            ("\t=1", "'\t=1"),
            ("\r=1", "'\r=1"),
            ("\u{FF1D}1", "'\u{FF1D}1"),
            ("-12.50", "-12.50"),
            ("'=1+1", "''=1+1"),
            ("'Asha", "'Asha"),
            ("-", "'-"),
            ("-1.", "'-1."),
            ("Asha =1", "Asha =1"),
            ("", ""),
        ] {
            assert_eq!(harmless(cell), written);
        }
    }

    proptest! {
        /// Read back by the same format's reader, every cell is what was written, and none begins
        /// as a formula does.
        #[test]
        fn any_cells_come_back(rows in prop::collection::vec(prop::collection::vec("\\PC*|[=+@\t\r\n,'\"-]{0,3}[a-z]*", 3), 1..8)) {
            let cells = rows.iter().map(|row| row.iter().map(|cell| Cow::Borrowed(cell.as_str())).collect());
            let text = csv(&["a", "b", "c"], cells).unwrap();
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            for (row, written) in reader.records().zip(&rows) {
                for (cell, written) in row.unwrap().iter().zip(written) {
                    prop_assert_eq!(cell, harmless(written));
                    prop_assert_eq!(as_meant(cell), written);
                    let run = cell.starts_with(['=', '+', '@', '\t', '\r', '\n']);
                    prop_assert!(!run && (!cell.starts_with('-') || is_number(cell)), "{:?}", cell);
                }
            }
        }
    }
}
