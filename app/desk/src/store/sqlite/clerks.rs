//! Accounts, sessions, steps and revocations as tables.

use super::SqliteStore;
use super::cells::{Cells, damaged, integer};
use super::papers::number_or_none;
use crate::store::StoreError;
use crate::store::{Account, Cause, Clerks, FindingStep, Revocation, Role, Session, Step, word_of};
use chrono::{DateTime, FixedOffset};
use clap::ValueEnum;
use combgate_core::record::Digest;
use combgate_core::units::Code;
use rusqlite::{Connection, Row, params};

const ACCOUNT: &str = "SELECT name, role, password, made_at, removed_at FROM account";

impl Clerks for SqliteStore {
    fn keep_account(&self, account: &Account) -> Result<bool, StoreError> {
        let added = self.connection.execute(
            "INSERT INTO account (name, role, password, made_at) VALUES (?1, ?2, ?3, ?4) \
             ON CONFLICT (name) DO NOTHING",
            params![
                account.name.as_str(),
                word_of(&account.role),
                account.password,
                account.made_at.to_rfc3339(),
            ],
        )?;
        Ok(added == 1)
    }

    fn account(&self, name: &Code) -> Result<Option<Account>, StoreError> {
        self.first(
            &format!("{ACCOUNT} WHERE name = ?1"),
            [name.as_str()],
            read_account,
        )
    }

    fn accounts(&self) -> Result<Vec<Account>, StoreError> {
        self.all(&format!("{ACCOUNT} ORDER BY name"), [], read_account)
    }

    fn change_account(&self, account: &Account) -> Result<(), StoreError> {
        self.connection.execute(
            "UPDATE account SET password = ?2, removed_at = ?3 WHERE name = ?1",
            params![
                account.name.as_str(),
                account.password,
                account.removed_at.map(|moment| moment.to_rfc3339()),
            ],
        )?;
        self.connection.execute(
            "DELETE FROM session WHERE account = ?1",
            [account.name.as_str()],
        )?;
        Ok(())
    }

    fn begin_session(&self, session: &Session) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT INTO session (digest, account, begun_at, seen_at) VALUES (?1, ?2, ?3, ?4)",
            params![
                session.digest.to_string(),
                session.account.as_str(),
                moment(session.begun_at),
                moment(session.seen_at),
            ],
        )?;
        Ok(())
    }

    fn session(&self, digest: &Digest) -> Result<Option<Session>, StoreError> {
        self.first(
            "SELECT digest, account, begun_at, seen_at FROM session WHERE digest = ?1",
            [digest.to_string()],
            |row| {
                Ok(Session {
                    digest: row.checked("digest")?,
                    account: row.checked("account")?,
                    begun_at: row.parsed("begun_at")?,
                    seen_at: row.parsed("seen_at")?,
                })
            },
        )
    }

    fn see_session(&self, session: &Session) -> Result<(), StoreError> {
        self.connection.execute(
            "UPDATE session SET seen_at = ?2 WHERE digest = ?1",
            params![session.digest.to_string(), moment(session.seen_at)],
        )?;
        Ok(())
    }

    fn end_session(&self, digest: &Digest) -> Result<(), StoreError> {
        self.connection.execute(
            "DELETE FROM session WHERE digest = ?1",
            [digest.to_string()],
        )?;
        Ok(())
    }

    fn end_sessions_before(&self, before: DateTime<FixedOffset>) -> Result<(), StoreError> {
        self.connection
            .execute("DELETE FROM session WHERE begun_at < ?1", [moment(before)])?;
        Ok(())
    }

    fn take_step(&self, step: &FindingStep) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT INTO finding_step (handset, seq, code, sentence, step, words, account, taken_at) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            params![
                step.handset.as_str(),
                integer(step.seq),
                step.code,
                step.sentence,
                word_of(&step.step),
                step.words.as_str(),
                step.account.as_str(),
                step.taken_at.to_rfc3339(),
            ],
        )?;
        Ok(())
    }

    fn steps(&self, handset: &Code) -> Result<Vec<FindingStep>, StoreError> {
        self.all(
            "SELECT handset, seq, code, sentence, step, words, account, taken_at \
             FROM finding_step WHERE handset = ?1 ORDER BY id",
            [handset.as_str()],
            |row| {
                Ok(FindingStep {
                    handset: row.checked("handset")?,
                    seq: row.count("seq")?,
                    code: row.plain("code")?,
                    sentence: row.plain("sentence")?,
                    step: named::<Step>(row, "step")?,
                    words: row.checked("words")?,
                    account: row.checked("account")?,
                    taken_at: row.parsed("taken_at")?,
                })
            },
        )
    }

    fn revoke(&self, revocation: &Revocation) -> Result<(), StoreError> {
        let handset = revocation.handset.as_str();
        let first = first_from(&self.connection, handset, revocation.from_at)?;
        self.connection.execute(
            "INSERT INTO revocation (handset, from_at, cause, replacement, words, account, \
             made_at, from_seq) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (handset) DO UPDATE SET \
             from_at = ?2, cause = ?3, replacement = ?4, words = ?5, account = ?6, made_at = ?7, \
             from_seq = ?8",
            params![
                revocation.handset.as_str(),
                revocation.from_at.to_rfc3339(),
                word_of(&revocation.cause),
                revocation.replacement.as_ref().map(Code::as_str),
                revocation.words.as_str(),
                revocation.account.as_str(),
                revocation.made_at.to_rfc3339(),
                first,
            ],
        )?;
        Ok(())
    }

    fn disbelieved_from(&self, handset: &Code) -> Result<Option<u64>, StoreError> {
        let from = self.first(
            "SELECT from_seq FROM revocation WHERE handset = ?1",
            [handset.as_str()],
            |row| number_or_none(row, "from_seq"),
        )?;
        Ok(from.flatten())
    }

    fn disbelieve_from(&self, handset: &Code, seq: u64) -> Result<(), StoreError> {
        self.connection.execute(
            "UPDATE revocation SET from_seq = ?2 WHERE handset = ?1 AND from_seq IS NULL",
            params![handset.as_str(), integer(seq)],
        )?;
        Ok(())
    }

    fn revocation(&self, handset: &Code) -> Result<Option<Revocation>, StoreError> {
        self.first(
            "SELECT handset, from_at, cause, replacement, words, account, made_at \
             FROM revocation WHERE handset = ?1",
            [handset.as_str()],
            |row| {
                Ok(Revocation {
                    handset: row.checked("handset")?,
                    from_at: row.parsed("from_at")?,
                    cause: named::<Cause>(row, "cause")?,
                    replacement: row.checked_if_any("replacement")?,
                    words: row.checked("words")?,
                    account: row.checked("account")?,
                    made_at: row.parsed("made_at")?,
                })
            },
        )
    }
}

/// The number of the first entry booked at a moment or after it, as the chain has them; the journal is
/// read up to there.
pub(super) fn first_from(
    ledger: &Connection,
    handset: &str,
    from: DateTime<FixedOffset>,
) -> Result<Option<i64>, StoreError> {
    let mut journal = ledger
        .prepare("SELECT seq, at FROM entry WHERE handset = ?1 AND booked = 1 ORDER BY seq")?;
    let mut rows = journal.query([handset])?;
    while let Some(row) = rows.next()? {
        let at: DateTime<FixedOffset> = row.parsed("at")?;
        if at >= from {
            return Ok(Some(row.plain("seq")?));
        }
    }
    Ok(None)
}

fn read_account(row: &Row<'_>) -> Result<Account, StoreError> {
    Ok(Account {
        name: row.checked("name")?,
        role: named::<Role>(row, "role")?,
        password: row.plain("password")?,
        made_at: row.parsed("made_at")?,
        removed_at: row.parsed_if_any("removed_at")?,
    })
}

/// Moments that are compared by the database stand in one zone.
fn moment(at: DateTime<FixedOffset>) -> String {
    at.to_utc().to_rfc3339()
}

fn named<T: ValueEnum>(row: &Row<'_>, column: &'static str) -> Result<T, StoreError> {
    T::from_str(&row.plain::<String>(column)?, false).map_err(damaged(column))
}
