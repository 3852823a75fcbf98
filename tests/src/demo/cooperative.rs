//! The desk of the invented cooperative: register, terms, and the brief it gives out.

use super::{code, day, label, on, public, read, sign, test_key};
use combgate_core::record::{
    AcknowledgementV1, AdvanceV1, AssignedV1, Brief, BriefV1, CooperativeV1, Expected, JournalHead,
    KeyId, MemberV1, PublicKey, QuestionV1, SoftwareCheck, SoftwareKey,
};
use serde::Deserialize;

#[derive(Deserialize)]
struct MemberRow {
    number: String,
    name: String,
    village: String,
    phone: String,
    language: String,
    premiums: String,
    advance_payee: String,
    advance_outstanding_minor: Option<i64>,
}

/// The members of `cooperative/members.csv`.
///
/// # Panics
/// When the file cannot be read.
pub fn members() -> Vec<MemberV1> {
    let text = read("cooperative/members.csv");
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| member(&row.unwrap()))
        .collect()
}

fn member(row: &MemberRow) -> MemberV1 {
    let given = |text: &str| (!text.is_empty()).then(|| label(text));
    MemberV1 {
        number: code(&row.number),
        name: label(&row.name),
        village: given(&row.village),
        phone: given(&row.phone),
        language: (!row.language.is_empty()).then(|| code(&row.language)),
        premiums: row.premiums.split_whitespace().map(code).collect(),
        advance: given(&row.advance_payee).map(|payee| AdvanceV1 {
            payee,
            outstanding_minor: row.advance_outstanding_minor.unwrap(),
        }),
    }
}

/// The desk's test key.
pub fn desk_key() -> SoftwareKey {
    test_key("desk")
}

/// The brief for a handset, unsigned.
///
/// # Panics
/// When the files of the cooperative cannot be read.
pub fn brief_for(handset: &str, key: &PublicKey) -> BriefV1 {
    let document = |path| BriefV1::document(&read(path)).unwrap();
    let cooperative: CooperativeV1 =
        serde_json::from_str(&read("cooperative/cooperative.json")).unwrap();
    BriefV1 {
        format: String::new(),
        serial: 1,
        issued_at: on("2026-10-08", "16:00"),
        valid_until: day() + chrono::Days::new(22),
        cooperative,
        desk_jwk: public(&desk_key()).jwk(),
        sealing_jwk: None,
        desk_address: None,
        handset: AssignedV1 {
            code: code(handset),
            kid: key.id(),
        },
        float_minor: 12_000_000,
        policy: document("cooperative/policy.json"),
        price_list: document("cooperative/prices.json"),
        members: members(),
    }
}

/// A brief signed by the desk.
///
/// # Panics
/// When it cannot be written.
pub fn signed(brief: BriefV1) -> String {
    let key = desk_key();
    sign(&key, &brief.unsigned(public(&key).id()).unwrap())
}

/// The brief as the handset takes it on the day.
///
/// # Panics
/// When it is refused.
pub fn taken(compact: &str, handset: KeyId) -> Brief {
    let expected = Expected {
        handset,
        desk: Some(public(&desk_key()).id()),
        held_serial: None,
        today: day(),
    };
    Brief::take(compact, expected, &SoftwareCheck).unwrap()
}

/// What the desk says it booked, signed.
///
/// # Panics
/// When it cannot be written.
pub fn acknowledged(handset: KeyId, head: JournalHead, questions: Vec<QuestionV1>) -> String {
    let key = desk_key();
    let unsigned = AcknowledgementV1 {
        format: String::new(),
        handset,
        made_at: super::at("18:00"),
        booked_to: head.seq,
        head: head.hash,
        questions,
    }
    .unsigned(public(&key).id())
    .unwrap();
    sign(&key, &unsigned)
}
