//! The register as a table.

use super::SqliteStore;
use super::cells::{Cells, damaged};
use crate::store::{MembersFound, StoreError};
use combgate_core::record::{AdvanceV1, MemberV1};
use combgate_core::units::{Code, Label};
use rusqlite::{Row, params};
use std::ops::Range;

/// Columns of a member, the advance less what `?2` took back.
const MEMBER_SEEN: &str = "SELECT number, name, village, phone, language, premiums, advance_payee, \
     advance_minor - coalesce((SELECT repaid_minor FROM repayment \
        WHERE repayment.member = member.number AND repayment.handset = ?2), 0) AS outstanding \
     FROM member WHERE number = ?1 AND (handset IN ('', ?2) OR given_out = 1) \
     ORDER BY handset <> '', handset <> ?2, handset LIMIT 1";
const MEMBERS: &str = "SELECT number, name, village, phone, language, premiums, advance_payee, \
     advance_minor - coalesce((SELECT sum(repaid_minor) FROM repayment \
        WHERE repayment.member = member.number), 0) AS outstanding FROM member";
/// The office's word on a number comes first.
const MEMBERS_ORDER: &str = "ORDER BY number, handset <> '', handset";

/// The whole register.
pub(super) fn all(store: &SqliteStore) -> Result<Vec<MemberV1>, StoreError> {
    let mut members = store.all(&format!("{MEMBERS} {MEMBERS_ORDER}"), [], of_register)?;
    members.dedup_by(|later, earlier| later.number == earlier.number);
    Ok(members)
}

/// What the register says of a number.
pub(super) fn one(store: &SqliteStore, number: &Code) -> Result<Option<MemberV1>, StoreError> {
    store.first(
        &format!("{MEMBERS} WHERE number = ?1 {MEMBERS_ORDER} LIMIT 1"),
        [number.as_str()],
        of_register,
    )
}

/// A member that a handset can know.
pub(super) fn seen_by(
    store: &SqliteStore,
    handset: &Code,
    number: &Code,
) -> Result<Option<MemberV1>, StoreError> {
    store.first(
        MEMBER_SEEN,
        params![number.as_str(), handset.as_str()],
        read_member,
    )
}

/// Some of the members whose number or name holds a text.
pub(super) fn like(
    store: &SqliteStore,
    text: &str,
    part: impl FnOnce(usize) -> Range<usize>,
) -> Result<MembersFound, StoreError> {
    let wanted = text.trim().to_lowercase();
    let mut named = store.all(
        &format!("SELECT number, name FROM member {MEMBERS_ORDER}"),
        [],
        |row| Ok((row.plain::<String>("number")?, row.plain::<String>("name")?)),
    )?;
    named.dedup_by(|(later, _), (earlier, _)| later == earlier);
    let all = named.len();
    named.retain(|(number, name)| {
        wanted.is_empty()
            || name.to_lowercase().contains(&wanted)
            || number.to_lowercase().contains(&wanted)
    });
    let mut members = Vec::new();
    for (number, _) in named.get(part(named.len())).unwrap_or_default() {
        let number = Code::new(number).map_err(damaged("number"))?;
        members.extend(one(store, &number)?);
    }
    Ok(MembersFound {
        part: members,
        found: named.len(),
        all,
    })
}

impl SqliteStore {
    /// Writes a member; says what becomes of one who is known.
    pub(super) fn write_member(
        &self,
        handset: &str,
        member: &MemberV1,
        if_known: &str,
    ) -> Result<(), StoreError> {
        let premiums: Vec<&str> = member.premiums.iter().map(Code::as_str).collect();
        let text = |label: &Option<Label>| label.as_ref().map(|label| label.as_str().to_owned());
        self.connection
            .prepare_cached(&format!(
                "INSERT INTO member (number, handset, name, village, phone, language, premiums, \
                 advance_payee, advance_minor) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) \
                 ON CONFLICT (number, handset) DO {if_known}"
            ))?
            .execute(params![
                member.number.as_str(),
                handset,
                member.name.as_str(),
                text(&member.village),
                text(&member.phone),
                member.language.as_ref().map(Code::as_str),
                premiums.join(" "),
                member
                    .advance
                    .as_ref()
                    .map(|advance| advance.payee.as_str()),
                member
                    .advance
                    .as_ref()
                    .map(|advance| advance.outstanding_minor),
            ])?;
        Ok(())
    }
}

pub(super) fn read_member(row: &Row<'_>) -> Result<MemberV1, StoreError> {
    let advance = row
        .checked_if_any("advance_payee")?
        .map(|payee| {
            Ok::<_, StoreError>(AdvanceV1 {
                payee,
                outstanding_minor: row.plain("outstanding")?,
            })
        })
        .transpose()?;
    Ok(MemberV1 {
        number: row.checked("number")?,
        name: row.checked("name")?,
        village: row.checked_if_any("village")?,
        phone: row.checked_if_any("phone")?,
        language: row.checked_if_any("language")?,
        premiums: row
            .plain::<String>("premiums")?
            .split_whitespace()
            .map(Code::new)
            .collect::<Result<_, _>>()
            .map_err(damaged("premiums"))?,
        advance,
    })
}

/// A member as the register says; an advance of which nothing is outstanding is left out.
fn of_register(row: &Row<'_>) -> Result<MemberV1, StoreError> {
    let mut member = read_member(row)?;
    member.advance = member
        .advance
        .filter(|advance| advance.outstanding_minor > 0);
    Ok(member)
}
