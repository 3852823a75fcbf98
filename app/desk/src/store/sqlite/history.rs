//! Changes of the register as a table.

use super::SqliteStore;
use super::cells::{Cells, damaged};
use super::office::{OFFICE, json};
use super::register::read_member;
use crate::store::{Act, Forgetting, History, MemberChange, StoreError};
use combgate_core::record::MemberV1;
use combgate_core::units::Code;
use rusqlite::{Row, params};

impl History for SqliteStore {
    fn office_member(&self, number: &Code) -> Result<Option<MemberV1>, StoreError> {
        self.first(
            "SELECT *, advance_minor AS outstanding FROM member \
                 WHERE number = ?1 AND handset = ?2",
            params![number.as_str(), OFFICE],
            read_member,
        )
    }

    fn keep_change(&self, change: &MemberChange) -> Result<(), StoreError> {
        // An old table of the office that is taken in again does not bring the name back.
        if self.forgotten(&change.member)?.is_some() {
            return Ok(());
        }
        let document = |member: &Option<MemberV1>| {
            let member = member.as_ref();
            member.map(|member| json("a member", member)).transpose()
        };
        self.connection
            .prepare_cached(
                "INSERT INTO member_change (member, changed_by, changed_at, was, became) \
                 VALUES (?1, ?2, ?3, ?4, ?5)",
            )?
            .execute(params![
                change.member.as_str(),
                change.act.by.as_str(),
                change.act.at.to_rfc3339(),
                document(&change.was)?,
                document(&change.became)?,
            ])?;
        Ok(())
    }

    fn changes(&self, member: &Code) -> Result<Vec<MemberChange>, StoreError> {
        self.all(
            "SELECT member, changed_by, changed_at, was, became FROM member_change \
             WHERE member = ?1 ORDER BY id DESC",
            [member.as_str()],
            |row| {
                Ok(MemberChange {
                    member: row.checked("member")?,
                    act: Act {
                        by: row.checked("changed_by")?,
                        at: row.parsed("changed_at")?,
                    },
                    was: document(row, "was")?,
                    became: document(row, "became")?,
                })
            },
        )
    }
}

impl SqliteStore {
    /// Takes out what the history says of a member; that something was changed stays.
    pub(super) fn forget_changes(&self, member: &Code) -> Result<(), StoreError> {
        self.connection.execute(
            "UPDATE member_change SET was = NULL, became = NULL WHERE member = ?1",
            [member.as_str()],
        )?;
        Ok(())
    }
}

fn document(row: &Row<'_>, column: &'static str) -> Result<Option<MemberV1>, StoreError> {
    row.plain::<Option<String>>(column)?
        .map(|text| serde_json::from_str(&text))
        .transpose()
        .map_err(damaged(column))
}
