//! Desk, terms, register and briefs as tables.

use super::SqliteStore;
use super::cells::{Cells, at_most, damaged};
use super::register;
use crate::store::{
    Brief, BriefGiven, Desk, History, MembersFound, Office, RegisterChange, StoreError, Terms,
    TermsKind,
};
use chrono::NaiveDate;
use combgate_core::record::{DeskAddress, Digest, JwkV1, MemberV1, PublicKey};
use combgate_core::units::{Code, Label};
use rusqlite::{Row, params};
use std::ops::Range;

/// The office's own members stand under this instead of a handset's code.
pub(super) const OFFICE: &str = "";
const GIVEN: &str = "SELECT serial, handset, issued_at, last_day, float_minor FROM brief";
const BRIEF: &str = "SELECT serial, handset, issued_at, last_day, float_minor, compact FROM brief";
const TERMS: &str =
    "SELECT kind, code, digest, first_day, last_day, document, taken_in_at, taken_in_by FROM terms";

impl Office for SqliteStore {
    fn desk(&self) -> Result<Option<Desk>, StoreError> {
        self.first(
            "SELECT private_key, public_key, cooperative, address FROM desk",
            [],
            |row| {
                Ok(Desk {
                    private_key: row.plain("private_key")?,
                    public_key: public_key(row)?,
                    cooperative: row
                        .plain::<Option<String>>("cooperative")?
                        .map(|text| serde_json::from_str(&text))
                        .transpose()
                        .map_err(damaged("cooperative"))?,
                    address: row
                        .plain::<Option<String>>("address")?
                        .map(DeskAddress::try_from)
                        .transpose()
                        .map_err(damaged("address"))?,
                })
            },
        )
    }

    fn keep_desk(&self, desk: &Desk) -> Result<(), StoreError> {
        let cooperative = desk
            .cooperative
            .as_ref()
            .map(|cooperative| json("cooperative", cooperative))
            .transpose()?;
        self.connection.execute(
            "INSERT INTO desk (id, private_key, public_key, cooperative, address) \
             VALUES (1, ?1, ?2, ?3, ?4) ON CONFLICT (id) DO UPDATE \
             SET cooperative = excluded.cooperative, address = excluded.address",
            params![
                desk.private_key,
                json("public_key", &desk.public_key.jwk())?,
                cooperative,
                desk.address.as_ref().map(DeskAddress::as_str),
            ],
        )?;
        Ok(())
    }

    fn keep_terms(&self, terms: &Terms) -> Result<bool, StoreError> {
        let added = self.connection.execute(
            "INSERT INTO terms (kind, code, digest, first_day, last_day, document, taken_in_at, \
             taken_in_by) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) \
             ON CONFLICT (kind, digest) DO NOTHING",
            params![
                kind_word(terms.kind),
                terms.code.as_str(),
                terms.digest.to_string(),
                terms.first_day.to_string(),
                terms.last_day.map(|day| day.to_string()),
                terms.document,
                terms.taken_in_at.to_rfc3339(),
                terms.taken_in_by.as_ref().map(Label::as_str),
            ],
        )?;
        Ok(added == 1)
    }

    fn terms(&self, kind: TermsKind, digest: &Digest) -> Result<Option<Terms>, StoreError> {
        self.first(
            &format!("{TERMS} WHERE kind = ?1 AND digest = ?2"),
            params![kind_word(kind), digest.to_string()],
            terms,
        )
    }

    fn terms_in_force(&self, kind: TermsKind, day: NaiveDate) -> Result<Option<Terms>, StoreError> {
        self.first(
            &format!(
                "{TERMS} WHERE kind = ?1 AND first_day <= ?2 \
                 AND (last_day IS NULL OR ?2 <= last_day) ORDER BY first_day DESC, id DESC"
            ),
            params![kind_word(kind), day.to_string()],
            terms,
        )
    }

    fn newest_terms(&self, kind: TermsKind) -> Result<Option<Terms>, StoreError> {
        self.first(
            &format!("{TERMS} WHERE kind = ?1 ORDER BY id DESC"),
            params![kind_word(kind)],
            terms,
        )
    }

    fn keep_member(&self, member: &MemberV1) -> Result<RegisterChange, StoreError> {
        let known = self.office_member(&member.number)?;
        if known.as_ref() == Some(member) {
            return Ok(RegisterChange::Unchanged);
        }
        if known.as_ref().map(|known| &known.advance) != Some(&member.advance) {
            self.connection.execute(
                "DELETE FROM repayment WHERE member = ?1",
                [member.number.as_str()],
            )?;
        }
        self.write_member(
            OFFICE,
            member,
            "UPDATE SET name = excluded.name, \
             village = excluded.village, phone = excluded.phone, language = excluded.language, \
             premiums = excluded.premiums, advance_payee = excluded.advance_payee, \
             advance_minor = excluded.advance_minor",
        )?;
        self.forget_names()?;
        Ok(if known.is_some() {
            RegisterChange::Changed
        } else {
            RegisterChange::Added
        })
    }

    fn keep_field_member(&self, handset: &Code, member: &MemberV1) -> Result<(), StoreError> {
        self.write_member(handset.as_str(), member, "NOTHING")
    }

    fn member_seen_by(
        &self,
        handset: &Code,
        number: &Code,
    ) -> Result<Option<MemberV1>, StoreError> {
        register::seen_by(self, handset, number)
    }

    fn repay(&self, member: &Code, handset: &Code, minor: i64) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "INSERT INTO repayment (member, handset, repaid_minor) VALUES (?1, ?2, ?3) \
                 ON CONFLICT (member, handset) \
                 DO UPDATE SET repaid_minor = repaid_minor + excluded.repaid_minor",
            )?
            .execute(params![member.as_str(), handset.as_str(), minor])?;
        Ok(())
    }

    fn members(&self) -> Result<Vec<MemberV1>, StoreError> {
        register::all(self)
    }

    fn member(&self, number: &Code) -> Result<Option<MemberV1>, StoreError> {
        register::one(self, number)
    }

    fn members_like(
        &self,
        text: &str,
        part: impl FnOnce(usize) -> Range<usize>,
    ) -> Result<MembersFound, StoreError> {
        register::like(self, text, part)
    }

    fn keep_brief(&self, brief: &Brief) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT INTO brief (serial, handset, issued_at, last_day, float_minor, compact) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![
                brief.serial,
                brief.handset.as_str(),
                brief.issued_at.to_rfc3339(),
                brief.last_day.to_string(),
                brief.float_minor,
                brief.compact,
            ],
        )?;
        self.connection
            .execute("UPDATE member SET given_out = 1 WHERE given_out = 0", [])?;
        Ok(())
    }

    fn float_given(&self, serial: u32, handset: &Code) -> Result<Option<i64>, StoreError> {
        self.first(
            "SELECT float_minor FROM brief WHERE serial = ?1 AND handset = ?2",
            params![serial, handset.as_str()],
            |row| row.plain("float_minor"),
        )
    }

    fn gave_briefs(&self, handset: &Code) -> Result<bool, StoreError> {
        let first = self.first(
            "SELECT serial FROM brief WHERE handset = ?1",
            params![handset.as_str()],
            |row| row.plain::<u32>("serial"),
        )?;
        Ok(first.is_some())
    }

    fn next_serial(&self) -> Result<u32, StoreError> {
        self.first(
            "SELECT coalesce(max(serial), 0) + 1 AS next FROM brief",
            [],
            |row| row.count("next"),
        )
        .map(|next| next.unwrap_or(1))
    }

    fn briefs_given(&self, most: usize) -> Result<Vec<BriefGiven>, StoreError> {
        self.all(
            &format!("{GIVEN} ORDER BY serial DESC LIMIT ?1"),
            [at_most(most)],
            given,
        )
    }

    fn last_given(&self, handset: &Code) -> Result<Option<BriefGiven>, StoreError> {
        self.first(
            &format!("{GIVEN} WHERE handset = ?1 ORDER BY serial DESC LIMIT 1"),
            [handset.as_str()],
            given,
        )
    }

    fn brief(&self, serial: u32) -> Result<Option<Brief>, StoreError> {
        self.first(&format!("{BRIEF} WHERE serial = ?1"), [serial], brief)
    }

    fn newest_brief(&self, handset: &Code) -> Result<Option<Brief>, StoreError> {
        self.first(
            &format!("{BRIEF} WHERE handset = ?1 ORDER BY serial DESC LIMIT 1"),
            [handset.as_str()],
            brief,
        )
    }

    fn all_terms(&self, kind: TermsKind) -> Result<Vec<Terms>, StoreError> {
        self.all(
            &format!("{TERMS} WHERE kind = ?1 ORDER BY first_day DESC, id DESC"),
            [kind_word(kind)],
            terms,
        )
    }
}

fn given(row: &Row<'_>) -> Result<BriefGiven, StoreError> {
    Ok(BriefGiven {
        serial: row.count("serial")?,
        handset: row.checked("handset")?,
        issued_at: row.parsed("issued_at")?,
        last_day: row.parsed("last_day")?,
        float_minor: row.plain("float_minor")?,
    })
}

fn brief(row: &Row<'_>) -> Result<Brief, StoreError> {
    Ok(Brief {
        serial: row.count("serial")?,
        handset: row.checked("handset")?,
        issued_at: row.parsed("issued_at")?,
        last_day: row.parsed("last_day")?,
        float_minor: row.plain("float_minor")?,
        compact: row.plain("compact")?,
    })
}

fn terms(row: &Row<'_>) -> Result<Terms, StoreError> {
    Ok(Terms {
        kind: match row.plain::<String>("kind")?.as_str() {
            "policy" => TermsKind::Policy,
            _ => TermsKind::PriceList,
        },
        code: row.checked("code")?,
        digest: row.checked("digest")?,
        first_day: row.parsed("first_day")?,
        last_day: row.parsed_if_any("last_day")?,
        document: row.plain("document")?,
        taken_in_at: row.parsed("taken_in_at")?,
        taken_in_by: row.checked_if_any("taken_in_by")?,
    })
}

const fn kind_word(kind: TermsKind) -> &'static str {
    match kind {
        TermsKind::Policy => "policy",
        TermsKind::PriceList => "price_list",
    }
}

/// A public key kept as its JWK.
pub(super) fn public_key(row: &Row<'_>) -> Result<PublicKey, StoreError> {
    let jwk: JwkV1 =
        serde_json::from_str(&row.plain::<String>("public_key")?).map_err(damaged("public_key"))?;
    PublicKey::try_from(&jwk).map_err(damaged("public_key"))
}

/// A value kept as JSON.
pub(super) fn json(
    what: &'static str,
    value: &impl serde::Serialize,
) -> Result<String, StoreError> {
    serde_json::to_string(value).map_err(damaged(what))
}
