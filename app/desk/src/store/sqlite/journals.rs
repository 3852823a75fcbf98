//! Handsets, entries, evidence and bundles as tables.

use super::SqliteStore;
use super::cells::{Cells, integer};
use super::journal_rows::{entries_of, read_bundle, read_entry, read_handset, read_of_handset};
use super::office::json;
use super::papers::number_or_none;
use crate::store::{
    BundleRow, Evidence, Handset, Journals, Kept, StoreError, Waiting, filed_under,
};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::record::{Digest, KeyId, ParsedEntry};
use combgate_core::units::Code;
use rusqlite::params;
use std::ops::RangeInclusive;

const HANDSET: &str =
    "SELECT code, public_key, name, enrolled_at, booked_seq, booked_hash, review FROM handset";

const BUNDLE: &str =
    "SELECT file, manifest, handset, first_seq, last_seq, count, imported_at, sent FROM bundle";

impl Journals for SqliteStore {
    fn handsets(&self) -> Result<Vec<Handset>, StoreError> {
        self.all(&format!("{HANDSET} ORDER BY code"), [], read_handset)
    }

    fn handset(&self, code: &Code) -> Result<Option<Handset>, StoreError> {
        self.first(
            &format!("{HANDSET} WHERE code = ?1"),
            [code.as_str()],
            read_handset,
        )
    }

    fn handset_of_key(&self, key: &KeyId) -> Result<Option<Handset>, StoreError> {
        self.first(
            &format!("{HANDSET} WHERE key_id = ?1"),
            [key.to_string()],
            read_handset,
        )
    }

    fn add_handset(&self, handset: &Handset) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT INTO handset (code, key_id, public_key, name, enrolled_at, booked_seq, \
             booked_hash, review) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            params![
                handset.code.as_str(),
                handset.key.id().to_string(),
                json("public_key", &handset.key.jwk())?,
                handset.name.as_str(),
                handset.enrolled_at.to_rfc3339(),
                integer(handset.head.seq),
                handset.head.hash.to_string(),
                json("review", &handset.review)?,
            ],
        )?;
        Ok(())
    }

    fn keep_progress(&self, handset: &Handset) -> Result<(), StoreError> {
        self.connection.execute(
            "UPDATE handset SET booked_seq = ?2, booked_hash = ?3, review = ?4 WHERE code = ?1",
            params![
                handset.code.as_str(),
                integer(handset.head.seq),
                handset.head.hash.to_string(),
                json("review", &handset.review)?,
            ],
        )?;
        Ok(())
    }

    fn keep_entry(
        &self,
        handset: &Code,
        entry: &ParsedEntry,
        kept: Kept,
    ) -> Result<bool, StoreError> {
        let added = self
            .connection
            .prepare_cached(
                "INSERT INTO entry (handset, seq, hash, booked, kind, at, day, compact) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) \
                 ON CONFLICT (handset, seq, hash) DO NOTHING",
            )?
            .execute(params![
                handset.as_str(),
                integer(entry.seq()),
                entry.hash().to_string(),
                kept == Kept::Booked,
                entry.body().kind(),
                entry.at().to_rfc3339(),
                filed_under(entry.body()).map(|day| day.to_string()),
                entry.compact(),
            ])?;
        Ok(added == 1)
    }

    fn book_entry(&self, handset: &Code, seq: u64, hash: &Digest) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "UPDATE entry SET booked = 1 WHERE handset = ?1 AND seq = ?2 AND hash = ?3",
            )?
            .execute(params![handset.as_str(), integer(seq), hash.to_string()])?;
        Ok(())
    }

    fn booked(&self, handset: &Code, seq: u64) -> Result<Option<String>, StoreError> {
        self.first(
            "SELECT compact FROM entry WHERE handset = ?1 AND seq = ?2 AND booked = 1",
            params![handset.as_str(), integer(seq)],
            |row| row.plain("compact"),
        )
    }

    fn apart(&self, handset: &Code, seqs: RangeInclusive<u64>) -> Result<Vec<String>, StoreError> {
        self.all(
            "SELECT compact FROM entry INDEXED BY entry_apart \
                 WHERE handset = ?1 AND seq BETWEEN ?2 AND ?3 AND booked = 0 AND compact <> '' ORDER BY seq, hash",
            params![
                handset.as_str(),
                integer(*seqs.start()),
                integer(*seqs.end())
            ],
            |row| row.plain("compact"),
        )
    }

    fn waiting_above(&self, handset: &Code, seq: u64) -> Result<Option<Waiting>, StoreError> {
        self.first(
            "SELECT min(seq) AS first, count(*) AS count FROM entry \
                 WHERE handset = ?1 AND seq > ?2 AND booked = 0 HAVING count(*) > 0",
            params![handset.as_str(), integer(seq)],
            |row| {
                Ok(Waiting {
                    first: row.count("first")?,
                    count: row.count("count")?,
                })
            },
        )
    }

    fn booked_among(
        &self,
        handset: &Code,
        seqs: RangeInclusive<u64>,
    ) -> Result<Vec<ParsedEntry>, StoreError> {
        let compact: Vec<String> = self.all(
            "SELECT compact FROM entry WHERE handset = ?1 AND seq BETWEEN ?2 AND ?3 \
                 AND booked = 1 AND compact <> '' ORDER BY seq",
            params![
                handset.as_str(),
                integer(*seqs.start()),
                integer(*seqs.end())
            ],
            |row| row.plain("compact"),
        )?;
        entries_of(&compact)
    }

    fn openings_of(&self, day: NaiveDate) -> Result<Vec<(Code, ParsedEntry)>, StoreError> {
        self.all(
            "SELECT handset, seq, compact FROM entry WHERE booked = 1 \
                 AND kind IN ('day_opened', 'day_closed') AND kind = 'day_opened' \
                 AND day = ?1 AND late_from IS NULL \
             UNION ALL SELECT handset, seq, compact FROM entry WHERE booked = 1 \
                 AND kind IN ('day_opened', 'day_closed') AND kind = 'day_opened' \
                 AND late_from IS NOT NULL AND late_from = ?1 ORDER BY handset, seq",
            [day.to_string()],
            read_of_handset,
        )
    }

    fn ends_on(&self, day: NaiveDate) -> Result<Vec<(Code, ParsedEntry)>, StoreError> {
        self.all(
            "SELECT handset, compact FROM entry WHERE booked = 1 \
                 AND kind IN ('day_opened', 'day_closed') AND day = ?1 ORDER BY handset, seq",
            [day.to_string()],
            read_of_handset,
        )
    }

    fn end_after(&self, handset: &Code, seq: u64) -> Result<Option<ParsedEntry>, StoreError> {
        self.first(
            "SELECT compact FROM entry WHERE handset = ?1 AND seq > ?2 AND booked = 1 \
                 AND kind IN ('day_opened', 'day_closed') ORDER BY seq LIMIT 1",
            params![handset.as_str(), integer(seq)],
            read_entry,
        )
    }

    fn last_end(&self, handset: &Code) -> Result<Option<ParsedEntry>, StoreError> {
        self.first(
            "SELECT compact FROM entry WHERE handset = ?1 AND booked = 1 \
                 AND kind IN ('day_opened', 'day_closed') ORDER BY seq DESC LIMIT 1",
            [handset.as_str()],
            read_entry,
        )
    }

    fn first_moment(&self, handset: &Code) -> Result<Option<DateTime<FixedOffset>>, StoreError> {
        self.first(
            "SELECT at FROM entry WHERE handset = ?1 AND seq > 0 AND booked = 1 \
                 ORDER BY seq LIMIT 1",
            [handset.as_str()],
            |row| row.parsed("at"),
        )
    }

    fn latest_days(&self, most: usize) -> Result<Vec<NaiveDate>, StoreError> {
        let mut found = Vec::new();
        let mut before = None;
        while found.len() < most {
            let Some(day) = self.day_before(before)? else {
                break;
            };
            found.push(day);
            before = Some(day);
        }
        Ok(found)
    }

    fn days_around(
        &self,
        day: NaiveDate,
    ) -> Result<(Option<NaiveDate>, Option<NaiveDate>), StoreError> {
        let after = self.first(
            "SELECT min(day) AS day FROM entry WHERE booked = 1 AND day IS NOT NULL AND day > ?1",
            [day.to_string()],
            |row| row.parsed_if_any("day"),
        )?;
        Ok((self.day_before(Some(day))?, after.flatten()))
    }

    fn booked_on(&self, day: NaiveDate) -> Result<Vec<(Code, ParsedEntry)>, StoreError> {
        let rows = self.all(
            "SELECT handset, compact FROM entry \
                 WHERE booked = 1 AND day IS NOT NULL AND day = ?1 ORDER BY handset, seq",
            [day.to_string()],
            |row| Ok((row.checked("handset")?, row.plain("compact")?)),
        )?;
        let (handsets, compact): (Vec<Code>, Vec<String>) = rows.into_iter().unzip();
        Ok(handsets.into_iter().zip(entries_of(&compact)?).collect())
    }

    fn opened_before(&self, handset: &Code, seq: u64) -> Result<Option<String>, StoreError> {
        self.first(
            "SELECT compact FROM entry WHERE handset = ?1 AND seq < ?2 AND booked = 1 \
                 AND kind IN ('day_opened', 'day_closed') AND kind = 'day_opened' \
                 ORDER BY seq DESC LIMIT 1",
            params![handset.as_str(), integer(seq)],
            |row| row.plain("compact"),
        )
    }

    fn keep_evidence(&self, evidence: &Evidence) -> Result<bool, StoreError> {
        let added = self.connection.execute(
            "INSERT INTO evidence (handset, digest, seq, position, file, reason, bytes, kept_at) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (handset, digest) DO NOTHING",
            params![
                evidence.handset.as_str(),
                evidence.digest.to_string(),
                evidence.seq.map(integer),
                integer(evidence.position),
                evidence.file.to_string(),
                evidence.reason,
                evidence.bytes,
                evidence.kept_at.to_rfc3339(),
            ],
        )?;
        Ok(added == 1)
    }

    fn evidence(&self, handset: &Code) -> Result<Vec<Evidence>, StoreError> {
        self.all(
            "SELECT handset, digest, seq, position, file, reason, bytes, kept_at \
                 FROM evidence WHERE handset = ?1 ORDER BY seq, digest",
            [handset.as_str()],
            |row| {
                Ok(Evidence {
                    handset: row.checked("handset")?,
                    digest: row.checked("digest")?,
                    seq: number_or_none(row, "seq")?,
                    position: row.count("position")?,
                    file: row.checked("file")?,
                    reason: row.plain("reason")?,
                    bytes: row.plain("bytes")?,
                    kept_at: row.parsed("kept_at")?,
                })
            },
        )
    }

    fn refusals(&self, handset: &Code) -> Result<Vec<(Option<u64>, String)>, StoreError> {
        self.all(
            "SELECT seq, reason FROM evidence WHERE handset = ?1 ORDER BY seq, digest",
            [handset.as_str()],
            |row| Ok((number_or_none(row, "seq")?, row.plain("reason")?)),
        )
    }

    fn keep_bundle(&self, bundle: &BundleRow) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT INTO bundle (file, manifest, handset, first_seq, last_seq, count, \
             imported_at, sent) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) \
             ON CONFLICT (file) DO NOTHING",
            params![
                bundle.file.to_string(),
                bundle.manifest.to_string(),
                bundle.handset.as_str(),
                integer(bundle.first_seq),
                integer(bundle.last_seq),
                integer(bundle.count),
                bundle.imported_at.to_rfc3339(),
                bundle.sent,
            ],
        )?;
        Ok(())
    }

    fn bundle(&self, file: &Digest) -> Result<Option<BundleRow>, StoreError> {
        self.first(
            &format!("{BUNDLE} WHERE file = ?1"),
            [file.to_string()],
            read_bundle,
        )
    }

    fn latest_bundle(&self, handset: &Code) -> Result<Option<BundleRow>, StoreError> {
        self.first(
            &format!("{BUNDLE} WHERE handset = ?1 ORDER BY rowid DESC LIMIT 1"),
            [handset.as_str()],
            read_bundle,
        )
    }

    fn latest_bundles(&self, most: u32) -> Result<Vec<BundleRow>, StoreError> {
        self.all(
            &format!("{BUNDLE} ORDER BY rowid DESC LIMIT ?1"),
            [most],
            read_bundle,
        )
    }
}

impl SqliteStore {
    /// The last day on which something booked counts: of all, or before a day.
    fn day_before(&self, day: Option<NaiveDate>) -> Result<Option<NaiveDate>, StoreError> {
        let last = match day {
            None => self.first(
                "SELECT max(day) AS day FROM entry WHERE booked = 1 AND day IS NOT NULL",
                [],
                |row| row.parsed_if_any("day"),
            ),
            Some(day) => self.first(
                "SELECT max(day) AS day FROM entry \
                     WHERE booked = 1 AND day IS NOT NULL AND day < ?1",
                [day.to_string()],
                |row| row.parsed_if_any("day"),
            ),
        };
        Ok(last?.flatten())
    }
}
