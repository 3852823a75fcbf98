//! Reversals as a table.

use super::SqliteStore;
use super::cells::{Cells, integer};
use super::payments::act;
use crate::store::{Act, OfWhat, Papers, Reversal, Reversals, Reversed, StoreError};
use combgate_core::units::Code;
use rusqlite::{Row, params};

impl Reversals for SqliteStore {
    fn keep_reversal(&self, reversal: &Reversal) -> Result<i64, StoreError> {
        self.still_open(reversal.day)?;
        let receipt = (reversal.handset.clone(), reversal.seq);
        self.stand_of(&receipt, -1)?;
        self.connection.execute(
            "INSERT INTO reversal (handset, seq, code, sentence, payment, minor, day, made_by, \
             made_at, because) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            params![
                reversal.handset.as_str(),
                integer(reversal.seq),
                reversal.code,
                reversal.sentence,
                match reversal.of {
                    OfWhat::Payment(id) => Some(id),
                    OfWhat::Debt => None,
                },
                reversal.minor,
                reversal.day.to_string(),
                reversal.act.by.as_str(),
                reversal.act.at.to_rfc3339(),
                reversal.because.as_str(),
            ],
        )?;
        let id = self.connection.last_insert_rowid();
        self.stand_of(&receipt, 1)?;
        Ok(id)
    }

    fn reversals(&self, handset: &Code, seq: u64) -> Result<Vec<Reversal>, StoreError> {
        self.all(
            "SELECT * FROM reversal WHERE handset = ?1 AND seq = ?2 ORDER BY id",
            params![handset.as_str(), integer(seq)],
            read,
        )
    }

    fn undo_reversal(&self, id: i64, undone: &Reversed) -> Result<bool, StoreError> {
        self.still_open(undone.day)?;
        let receipt = self.first(
            "SELECT handset, seq FROM reversal WHERE id = ?1",
            [id],
            |row| Ok((row.checked("handset")?, row.count("seq")?)),
        )?;
        let Some(receipt) = receipt else {
            return Ok(false);
        };
        self.stand_of(&receipt, -1)?;
        let changed = self.connection.execute(
            "UPDATE reversal SET undone_day = ?2, undone_by = ?3, undone_at = ?4, \
             undone_because = ?5 WHERE id = ?1 AND payment IS NULL AND undone_at IS NULL",
            params![
                id,
                undone.day.to_string(),
                undone.act.by.as_str(),
                undone.act.at.to_rfc3339(),
                undone.because.as_str(),
            ],
        )?;
        self.stand_of(&receipt, 1)?;
        Ok(changed == 1)
    }
}

impl SqliteStore {
    /// A reversal changes what a receipt owes, and so what its day stands at.
    fn stand_of(&self, (handset, seq): &(Code, u64), times: i64) -> Result<(), StoreError> {
        match self.paper(handset, *seq)? {
            Some(paper) => self.stand(&paper, times),
            None => Ok(()),
        }
    }
}

fn read(row: &Row<'_>) -> Result<Reversal, StoreError> {
    let undone = match act(row, "undone_by", "undone_at")? {
        Some(act) => Some(Reversed {
            day: row.parsed("undone_day")?,
            act,
            because: row.checked("undone_because")?,
        }),
        None => None,
    };
    Ok(Reversal {
        id: row.plain("id")?,
        handset: row.checked("handset")?,
        seq: row.count("seq")?,
        code: row.plain("code")?,
        sentence: row.plain("sentence")?,
        of: match row.plain::<Option<i64>>("payment")? {
            Some(id) => OfWhat::Payment(id),
            None => OfWhat::Debt,
        },
        minor: row.plain("minor")?,
        day: row.parsed("day")?,
        act: Act {
            by: row.checked("made_by")?,
            at: row.parsed("made_at")?,
        },
        because: row.checked("because")?,
        undone,
    })
}
