use super::{Tables, count, read, uncount, written};
use crate::store::{DocumentKind, GivenBrief, Handset, Register, StoreError};
use combgate_core::record::{
    AdvanceV1, CooperativeV1, Digest, JournalHead, JwkV1, KeyId, MemberV1, PublicKey, TermsRefV1,
};
use combgate_core::units::{Code, Label};
use rusqlite::{OptionalExtension, Row, params};

const MEMBER: &str = "SELECT number, name, village, phone, language, premiums, advance_payee, \
                      advance_minor FROM members";
const HANDSET: &str = "SELECT code, jwk, name, head_seq, head_hash, review FROM handsets";

const fn kind_name(kind: DocumentKind) -> &'static str {
    match kind {
        DocumentKind::Policy => "policy",
        DocumentKind::PriceList => "price_list",
    }
}

impl Register for Tables<'_> {
    fn desk(&self) -> Result<Option<KeyId>, StoreError> {
        let kid: Option<String> = self
            .0
            .query_row("SELECT kid FROM desk", [], |row| row.get(0))
            .optional()?;
        kid.map(|kid| read("the desk's key", KeyId::try_from(kid)))
            .transpose()
    }

    fn set_desk(&self, kid: KeyId) -> Result<(), StoreError> {
        self.0.execute(
            "INSERT INTO desk (id, kid) VALUES (1, ?1)",
            [kid.to_string()],
        )?;
        Ok(())
    }

    fn cooperative(&self) -> Result<Option<CooperativeV1>, StoreError> {
        let row: Option<(String, String, String)> = self
            .0
            .query_row(
                "SELECT name, place, complaints FROM desk WHERE name IS NOT NULL",
                [],
                |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
            )
            .optional()?;
        let label = |text: &str| read("the cooperative", Label::new(text));
        row.map(|(name, place, complaints)| {
            Ok(CooperativeV1 {
                name: label(&name)?,
                place: label(&place)?,
                complaints: label(&complaints)?,
            })
        })
        .transpose()
    }

    fn set_cooperative(&self, cooperative: &CooperativeV1) -> Result<(), StoreError> {
        self.0.execute(
            "UPDATE desk SET name = ?1, place = ?2, complaints = ?3",
            params![
                cooperative.name.as_str(),
                cooperative.place.as_str(),
                cooperative.complaints.as_str(),
            ],
        )?;
        Ok(())
    }

    fn use_document(&self, kind: DocumentKind, text: &str) -> Result<(), StoreError> {
        self.0.execute(
            "UPDATE documents SET in_use = 0 WHERE kind = ?1",
            [kind_name(kind)],
        )?;
        self.0.execute(
            "INSERT INTO documents (digest, kind, body, in_use) VALUES (?1, ?2, ?3, 1) \
             ON CONFLICT (digest) DO UPDATE SET in_use = 1",
            params![Digest::of(text).to_string(), kind_name(kind), text],
        )?;
        Ok(())
    }

    fn document_in_use(&self, kind: DocumentKind) -> Result<Option<String>, StoreError> {
        Ok(self
            .0
            .query_row(
                "SELECT body FROM documents WHERE kind = ?1 AND in_use = 1",
                [kind_name(kind)],
                |row| row.get(0),
            )
            .optional()?)
    }

    fn terms_given(&self, terms: &TermsRefV1) -> Result<Option<(String, String)>, StoreError> {
        let mut statement = self.0.prepare_cached(
            "SELECT policies.body, price_lists.body FROM briefs \
             JOIN documents policies ON policies.digest = briefs.policy \
             JOIN documents price_lists ON price_lists.digest = briefs.price_list \
             WHERE briefs.policy = ?1 AND briefs.price_list = ?2 LIMIT 1",
        )?;
        Ok(statement
            .query_row(
                [
                    terms.policy_digest.to_string(),
                    terms.price_list_digest.to_string(),
                ],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .optional()?)
    }

    fn member(&self, number: &Code) -> Result<Option<MemberV1>, StoreError> {
        let row = self
            .0
            .prepare_cached(&format!("{MEMBER} WHERE number = ?1"))?
            .query_row([number.as_str()], MemberRow::take)
            .optional()?;
        row.map(MemberRow::member).transpose()
    }

    fn members(&self) -> Result<Vec<MemberV1>, StoreError> {
        let mut statement = self
            .0
            .prepare_cached(&format!("{MEMBER} ORDER BY number"))?;
        let rows = statement.query_map([], MemberRow::take)?;
        rows.map(|row| row?.member()).collect()
    }

    fn add_member(
        &self,
        member: &MemberV1,
        registered_by: Option<&Code>,
    ) -> Result<bool, StoreError> {
        let premiums: Vec<_> = member.premiums.iter().map(Code::as_str).collect();
        let advance = member.advance.as_ref();
        let added = self
            .0
            .prepare_cached(
                "INSERT OR IGNORE INTO members (number, name, village, phone, language, premiums, \
                 advance_payee, advance_minor, registered_by) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            )?
            .execute(params![
                member.number.as_str(),
                member.name.as_str(),
                member.village.as_ref().map(Label::as_str),
                member.phone.as_ref().map(Label::as_str),
                member.language.as_ref().map(Code::as_str),
                premiums.join(" "),
                advance.map(|advance| advance.payee.as_str()),
                advance.map(|advance| advance.outstanding_minor),
                registered_by.map(Code::as_str),
            ])?;
        Ok(added == 1)
    }

    fn change_advance(&self, member: &Code, by_minor: i64) -> Result<(), StoreError> {
        self.0
            .prepare_cached(
                "UPDATE members SET advance_minor = max(0, advance_minor + ?2) \
                 WHERE number = ?1 AND advance_minor IS NOT NULL",
            )?
            .execute(params![member.as_str(), by_minor])?;
        Ok(())
    }

    fn enrol(&self, handset: &Handset) -> Result<(), StoreError> {
        self.0.execute(
            "INSERT INTO handsets (code, kid, jwk, name, head_seq, head_hash, review) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            params![
                handset.code.as_str(),
                handset.key.id().to_string(),
                written("a handset's key", &handset.key.jwk())?,
                handset.name.as_str(),
                count(handset.head.seq)?,
                handset.head.hash.to_string(),
                written("a review", &handset.review)?,
            ],
        )?;
        Ok(())
    }

    fn handset(&self, code: &Code) -> Result<Option<Handset>, StoreError> {
        let row = self
            .0
            .prepare_cached(&format!("{HANDSET} WHERE code = ?1"))?
            .query_row([code.as_str()], HandsetRow::take)
            .optional()?;
        row.map(|row| row.handset()).transpose()
    }

    fn handset_of(&self, kid: KeyId) -> Result<Option<Handset>, StoreError> {
        let row = self
            .0
            .prepare_cached(&format!("{HANDSET} WHERE kid = ?1"))?
            .query_row([kid.to_string()], HandsetRow::take)
            .optional()?;
        row.map(|row| row.handset()).transpose()
    }

    fn set_standing(&self, handset: &Handset) -> Result<(), StoreError> {
        self.0
            .prepare_cached(
                "UPDATE handsets SET head_seq = ?2, head_hash = ?3, review = ?4 WHERE code = ?1",
            )?
            .execute(params![
                handset.code.as_str(),
                count(handset.head.seq)?,
                handset.head.hash.to_string(),
                written("a review", &handset.review)?,
            ])?;
        Ok(())
    }

    fn last_brief(&self) -> Result<u32, StoreError> {
        Ok(self
            .0
            .query_row("SELECT coalesce(max(serial), 0) FROM briefs", [], |row| {
                row.get(0)
            })?)
    }

    fn give_brief(&self, brief: &GivenBrief) -> Result<(), StoreError> {
        self.0.execute(
            "INSERT INTO briefs (serial, handset, policy, price_list, float_minor, issued_at, \
             valid_until) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            params![
                brief.serial,
                brief.handset.as_str(),
                brief.policy.to_string(),
                brief.price_list.to_string(),
                brief.float_minor,
                brief.issued_at.to_rfc3339(),
                brief.valid_until.to_string(),
            ],
        )?;
        Ok(())
    }
}

struct MemberRow {
    number: String,
    name: String,
    village: Option<String>,
    phone: Option<String>,
    language: Option<String>,
    premiums: String,
    payee: Option<String>,
    outstanding_minor: Option<i64>,
}

impl MemberRow {
    fn take(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            number: row.get(0)?,
            name: row.get(1)?,
            village: row.get(2)?,
            phone: row.get(3)?,
            language: row.get(4)?,
            premiums: row.get(5)?,
            payee: row.get(6)?,
            outstanding_minor: row.get(7)?,
        })
    }

    fn member(self) -> Result<MemberV1, StoreError> {
        let code = |text: &str| read("a member's code", Code::new(text));
        let label = |text: String| read("a member's text", Label::try_from(text));
        let advance = self.payee.map(label).transpose()?;
        Ok(MemberV1 {
            number: code(&self.number)?,
            name: label(self.name)?,
            village: self.village.map(label).transpose()?,
            phone: self.phone.map(label).transpose()?,
            language: self.language.as_deref().map(code).transpose()?,
            premiums: self
                .premiums
                .split_whitespace()
                .map(code)
                .collect::<Result<_, _>>()?,
            advance: advance
                .zip(self.outstanding_minor)
                .map(|(payee, outstanding_minor)| AdvanceV1 {
                    payee,
                    outstanding_minor,
                }),
        })
    }
}

struct HandsetRow {
    code: String,
    jwk: String,
    name: String,
    seq: i64,
    hash: String,
    review: String,
}

impl HandsetRow {
    fn take(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            code: row.get(0)?,
            jwk: row.get(1)?,
            name: row.get(2)?,
            seq: row.get(3)?,
            hash: row.get(4)?,
            review: row.get(5)?,
        })
    }

    fn handset(self) -> Result<Handset, StoreError> {
        let jwk: JwkV1 = read("a handset's key", serde_json::from_str(&self.jwk))?;
        Ok(Handset {
            code: read("a handset's code", Code::new(&self.code))?,
            key: read("a handset's key", PublicKey::try_from(&jwk))?,
            name: read("a handset's name", Label::new(&self.name))?,
            head: JournalHead {
                seq: uncount("a handset's last entry", self.seq)?,
                hash: read("a handset's last entry", Digest::try_from(self.hash))?,
            },
            review: read("a review", serde_json::from_str(&self.review))?,
        })
    }
}
