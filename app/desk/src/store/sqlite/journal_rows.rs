//! Rows of journals as what they hold.

use super::cells::{Cells, damaged};
use super::office::public_key;
use crate::store::{BundleRow, Handset, StoreError};
use combgate_core::record::{JournalHead, ParsedEntry};
use combgate_core::units::Code;
use rayon::prelude::*;
use rusqlite::Row;

/// Fewer entries than this at a time are not worth handing to another core.
const SHARE_AT_LEAST: usize = 32;

pub(super) fn read_of_handset(row: &Row<'_>) -> Result<(Code, ParsedEntry), StoreError> {
    Ok((row.checked("handset")?, read_entry(row)?))
}

pub(super) fn read_bundle(row: &Row<'_>) -> Result<BundleRow, StoreError> {
    Ok(BundleRow {
        file: row.checked("file")?,
        manifest: row.checked("manifest")?,
        handset: row.checked("handset")?,
        first_seq: row.count("first_seq")?,
        last_seq: row.count("last_seq")?,
        count: row.count("count")?,
        imported_at: row.parsed("imported_at")?,
        sent: row.plain("sent")?,
    })
}

/// Entries taken apart on all cores, in their order.
pub(super) fn entries_of(compact: &[String]) -> Result<Vec<ParsedEntry>, StoreError> {
    compact
        .par_iter()
        .with_min_len(SHARE_AT_LEAST)
        .map(|compact| ParsedEntry::parse(compact).map_err(damaged("compact")))
        .collect()
}

pub(super) fn read_entry(row: &Row<'_>) -> Result<ParsedEntry, StoreError> {
    ParsedEntry::parse(&row.plain::<String>("compact")?).map_err(damaged("compact"))
}

pub(super) fn read_handset(row: &Row<'_>) -> Result<Handset, StoreError> {
    Ok(Handset {
        code: row.checked("code")?,
        name: row.checked("name")?,
        key: public_key(row)?,
        enrolled_at: row.parsed("enrolled_at")?,
        head: JournalHead {
            seq: row.count("booked_seq")?,
            hash: row.checked("booked_hash")?,
        },
        review: serde_json::from_str(&row.plain::<String>("review")?).map_err(damaged("review"))?,
    })
}
