use super::{Tables, count, read, uncount};
use crate::store::{Evidence, Journal, Noted, StoreError, Waiting};
use chrono::NaiveDate;
use combgate_core::clerk::FindingWeight;
use combgate_core::record::{Digest, ParsedEntry};
use combgate_core::units::Code;
use rusqlite::{OptionalExtension, params};

impl Journal for Tables<'_> {
    fn booked(&self, handset: &Code, seq: u64) -> Result<Option<String>, StoreError> {
        let mut statement = self
            .0
            .prepare_cached("SELECT compact FROM entries WHERE handset = ?1 AND seq = ?2")?;
        Ok(statement
            .query_row(params![handset.as_str(), count(seq)?], |row| row.get(0))
            .optional()?)
    }

    fn book(
        &self,
        handset: &Code,
        entry: &ParsedEntry,
        day: Option<NaiveDate>,
    ) -> Result<(), StoreError> {
        self.0
            .prepare_cached(
                "INSERT INTO entries (handset, seq, day, compact) VALUES (?1, ?2, ?3, ?4)",
            )?
            .execute(params![
                handset.as_str(),
                count(entry.seq())?,
                day.map(|day| day.to_string()),
                entry.compact(),
            ])?;
        Ok(())
    }

    fn booked_on(&self, day: NaiveDate) -> Result<Vec<(Code, String)>, StoreError> {
        let mut statement = self.0.prepare_cached(
            "SELECT handset, compact FROM entries WHERE day = ?1 ORDER BY handset, seq",
        )?;
        let rows = statement.query_map([day.to_string()], |row| {
            Ok((row.get::<_, String>(0)?, row.get(1)?))
        })?;
        rows.map(|row| {
            let (handset, compact) = row?;
            Ok((read("an entry's handset", Code::new(&handset))?, compact))
        })
        .collect()
    }

    fn keep_manifest(&self, handset: &Code, manifest: &str) -> Result<(), StoreError> {
        self.0
            .prepare_cached(
                "INSERT OR IGNORE INTO bundles (digest, handset, manifest) VALUES (?1, ?2, ?3)",
            )?
            .execute(params![
                Digest::of(manifest).to_string(),
                handset.as_str(),
                manifest
            ])?;
        Ok(())
    }

    fn wait(
        &self,
        handset: &Code,
        entry: &ParsedEntry,
        manifest: Digest,
    ) -> Result<bool, StoreError> {
        let added = self
            .0
            .prepare_cached(
                "INSERT OR IGNORE INTO waiting (handset, seq, hash, bundle, compact) \
                 VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute(params![
                handset.as_str(),
                count(entry.seq())?,
                entry.hash().to_string(),
                manifest.to_string(),
                entry.compact(),
            ])?;
        Ok(added == 1)
    }

    fn first_waiting(&self, handset: &Code) -> Result<Option<Waiting>, StoreError> {
        let row = self
            .0
            .prepare_cached(
                "SELECT seq, compact, manifest FROM waiting \
                 JOIN bundles ON bundles.digest = waiting.bundle \
                 WHERE waiting.handset = ?1 ORDER BY seq, hash LIMIT 1",
            )?
            .query_row([handset.as_str()], |row| {
                Ok((row.get::<_, i64>(0)?, row.get(1)?, row.get(2)?))
            })
            .optional()?;
        row.map(|(seq, compact, manifest)| {
            Ok(Waiting {
                seq: uncount("a waiting entry's number", seq)?,
                compact,
                manifest,
            })
        })
        .transpose()
    }

    fn stop_waiting(&self, handset: &Code, waiting: &Waiting) -> Result<(), StoreError> {
        self.0
            .prepare_cached("DELETE FROM waiting WHERE handset = ?1 AND seq = ?2 AND hash = ?3")?
            .execute(params![
                handset.as_str(),
                count(waiting.seq)?,
                Digest::of(&waiting.compact).to_string(),
            ])?;
        Ok(())
    }

    fn count_waiting(&self, handset: &Code) -> Result<u64, StoreError> {
        let many = self
            .0
            .prepare_cached("SELECT count(*) FROM waiting WHERE handset = ?1")?
            .query_row([handset.as_str()], |row| row.get(0))?;
        uncount("a count", many)
    }

    fn keep_evidence(&self, handset: &Code, evidence: Evidence<'_>) -> Result<bool, StoreError> {
        let added = self
            .0
            .prepare_cached(
                "INSERT OR IGNORE INTO evidence (handset, hash, seq, code, compact) \
                 VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute(params![
                handset.as_str(),
                Digest::of(evidence.compact).to_string(),
                evidence.claimed_seq.map(count).transpose()?,
                evidence.code,
                evidence.compact,
            ])?;
        Ok(added == 1)
    }

    fn note(&self, handset: &Code, finding: &Noted) -> Result<bool, StoreError> {
        let added = self
            .0
            .prepare_cached(
                "INSERT OR IGNORE INTO findings (handset, seq, number, code, weight, sentence) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![
                handset.as_str(),
                count(finding.seq)?,
                finding.number,
                finding.code,
                weight_name(finding.weight),
                finding.sentence,
            ])?;
        Ok(added == 1)
    }

    fn noted(&self, handset: &Code) -> Result<Vec<Noted>, StoreError> {
        let mut statement = self.0.prepare_cached(
            "SELECT seq, number, code, weight, sentence FROM findings \
             WHERE handset = ?1 ORDER BY seq, code, sentence",
        )?;
        let rows = statement.query_map([handset.as_str()], |row| {
            let weight: String = row.get(3)?;
            Ok((
                row.get::<_, i64>(0)?,
                row.get(1)?,
                row.get(2)?,
                weight,
                row.get(4)?,
            ))
        })?;
        rows.map(|row| {
            let (seq, number, code, weight, sentence) = row?;
            Ok(Noted {
                seq: uncount("a finding's entry", seq)?,
                number,
                code,
                weight: weight_named(&weight)?,
                sentence,
            })
        })
        .collect()
    }
}

const WEIGHTS: [FindingWeight; 3] = [
    FindingWeight::Note,
    FindingWeight::Question,
    FindingWeight::Serious,
];

const fn weight_name(weight: FindingWeight) -> &'static str {
    match weight {
        FindingWeight::Note => "note",
        FindingWeight::Question => "question",
        FindingWeight::Serious => "serious",
    }
}

fn weight_named(name: &str) -> Result<FindingWeight, StoreError> {
    WEIGHTS
        .into_iter()
        .find(|weight| weight_name(*weight) == name)
        .ok_or_else(|| StoreError::damaged("a finding's weight", name))
}
