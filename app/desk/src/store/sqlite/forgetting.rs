//! Forgotten members and sealed documents as tables.

use super::SqliteStore;
use super::cells::{Cells, integer};
use crate::store::{Act, Forgetting, Forgotten, Naming, Sealed, SealedKind, StoreError};
use combgate_core::record::Digest;
use combgate_core::units::Code;
use rusqlite::{Row, params};

/// What stands where a name was.
const NO_NAME: &str = "(forgotten)";

impl Forgetting for SqliteStore {
    fn forgotten(&self, member: &Code) -> Result<Option<Forgotten>, StoreError> {
        self.first(
            "SELECT member, forgotten_by, forgotten_at, because FROM forgotten WHERE member = ?1",
            [member.as_str()],
            |row| {
                Ok(Forgotten {
                    member: row.checked("member")?,
                    act: Act {
                        by: row.checked("forgotten_by")?,
                        at: row.parsed("forgotten_at")?,
                    },
                    because: row.checked("because")?,
                })
            },
        )
    }

    fn naming(&self) -> Result<Vec<Naming>, StoreError> {
        let mut naming = self.all(
            "SELECT handset, seq AS number, hash, compact FROM entry \
                 WHERE kind = 'member_registered' AND compact <> '' ORDER BY handset, seq, hash",
            [],
            |row| {
                let digest = row.checked("hash")?;
                read_naming(row, SealedKind::Entry, digest)
            },
        )?;
        naming.extend(self.all(
            "SELECT handset, serial AS number, compact FROM brief \
                 WHERE compact <> '' ORDER BY serial",
            [],
            |row| {
                let digest = Digest::of(row.plain::<String>("compact")?);
                read_naming(row, SealedKind::Brief, digest)
            },
        )?);
        Ok(naming)
    }

    fn forget(&self, forgotten: &Forgotten) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT INTO forgotten (member, forgotten_by, forgotten_at, because) \
             VALUES (?1, ?2, ?3, ?4)",
            params![
                forgotten.member.as_str(),
                forgotten.act.by.as_str(),
                forgotten.act.at.to_rfc3339(),
                forgotten.because.as_str(),
            ],
        )?;
        self.forget_changes(&forgotten.member)?;
        self.forget_names()
    }

    fn seal(&self, sealed: &Sealed) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT INTO sealed (member, what, handset, number, digest, signed, sealed) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            params![
                sealed.member.as_str(),
                match sealed.what {
                    SealedKind::Entry => "entry",
                    SealedKind::Brief => "brief",
                },
                sealed.handset.as_str(),
                integer(sealed.number),
                sealed.digest.to_string(),
                sealed.signed.to_string(),
                sealed.sealed,
            ],
        )?;
        match sealed.what {
            SealedKind::Entry => self.connection.execute(
                "UPDATE entry SET compact = '' WHERE handset = ?1 AND seq = ?2 AND hash = ?3",
                params![
                    sealed.handset.as_str(),
                    integer(sealed.number),
                    sealed.digest.to_string()
                ],
            )?,
            SealedKind::Brief => self.connection.execute(
                "UPDATE brief SET compact = '' WHERE serial = ?1",
                [integer(sealed.number)],
            )?,
        };
        Ok(())
    }

    fn sealed(&self) -> Result<Vec<Sealed>, StoreError> {
        self.all(
            "SELECT member, what, handset, number, digest, signed, sealed FROM sealed ORDER BY id",
            [],
            |row| {
                Ok(Sealed {
                    member: row.checked("member")?,
                    what: match row.plain::<String>("what")?.as_str() {
                        "entry" => SealedKind::Entry,
                        _ => SealedKind::Brief,
                    },
                    handset: row.checked("handset")?,
                    number: row.count("number")?,
                    digest: row.checked("digest")?,
                    signed: row.checked("signed")?,
                    sealed: row.plain("sealed")?,
                })
            },
        )
    }

    fn is_sealed(&self, handset: &Code, seq: u64, signed: &Digest) -> Result<bool, StoreError> {
        let found = self.first(
            "SELECT 1 AS found FROM sealed \
             WHERE what = 'entry' AND handset = ?1 AND number = ?2 AND signed = ?3",
            params![handset.as_str(), integer(seq), signed.to_string()],
            |row| row.plain::<i64>("found"),
        )?;
        Ok(found.is_some())
    }

    fn scrub(&self) -> Result<(), StoreError> {
        self.connection.execute_batch("VACUUM")?;
        self.connection
            .pragma_update_and_check(None, "wal_checkpoint", "TRUNCATE", |_| Ok(()))?;
        Ok(())
    }
}

impl SqliteStore {
    /// Takes out what the register says of forgotten members; whoever takes their names in again
    /// from an old table of the office does not bring them back.
    pub(super) fn forget_names(&self) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "UPDATE member SET name = ?1, village = NULL, phone = NULL \
                 WHERE number IN (SELECT member FROM forgotten) AND name <> ?1",
            )?
            .execute([NO_NAME])?;
        Ok(())
    }
}

fn read_naming(row: &Row<'_>, what: SealedKind, digest: Digest) -> Result<Naming, StoreError> {
    Ok(Naming {
        what,
        handset: row.checked("handset")?,
        number: row.count("number")?,
        digest,
        compact: row.plain("compact")?,
    })
}
