//! Published tables, read row by row.

use serde::de::DeserializeOwned;
use std::path::PathBuf;

/// Where a published table lies.
pub fn path_of(file: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("reference")
        .join(file)
}

/// Every row of a published table.
///
/// # Panics
/// When the file is missing or a row does not fit, so that no check passes on nothing.
pub fn rows<Row: DeserializeOwned>(file: &str) -> Vec<Row> {
    let path = path_of(file);
    let rows: Vec<Row> = csv::Reader::from_path(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()))
        .deserialize()
        .collect::<Result<_, _>>()
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    assert!(!rows.is_empty(), "{} has no row", path.display());
    rows
}

/// A printed decimal as a whole number of its `10^-decimals`: `scaled("1.5044", 5)` is 150,440.
///
/// # Panics
/// When the text is no decimal, or is finer than asked for.
pub fn scaled(printed: &str, decimals: usize) -> i64 {
    let (whole, rest) = printed.split_once('.').unwrap_or((printed, ""));
    assert!(
        rest.len() <= decimals,
        "{printed} is finer than {decimals} decimals"
    );
    format!("{whole}{rest:0<decimals$}")
        .parse()
        .unwrap_or_else(|error| panic!("{printed}: {error}"))
}

#[cfg(test)]
mod tests {
    use super::scaled;

    #[test]
    fn printed_decimals_are_taken_digit_by_digit() {
        assert_eq!(scaled("1.5044", 5), 150_440);
        assert_eq!(scaled("20", 2), 2_000);
        assert_eq!(scaled("0.5", 1), 5);
    }

    #[test]
    #[should_panic(expected = "finer than 2 decimals")]
    fn nothing_is_rounded_away() {
        scaled("1.5044", 2);
    }
}
