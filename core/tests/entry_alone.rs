//! An entry checked by itself: only by the key that signed it, only as it was signed.
#![allow(
    clippy::unwrap_used,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::record::{
    ClockNoticedV1, Entry, EntryBody, EntryFault, JournalHead, JwsError, SoftwareCheck,
    SoftwareKey, UnsignedEntry,
};

fn key(scalar: u8) -> SoftwareKey {
    SoftwareKey::from_scalar(&[scalar; 32]).unwrap()
}

fn signed(by: &SoftwareKey) -> String {
    let at = "2026-10-09T08:00:00+03:00".parse().unwrap();
    let body = EntryBody::ClockNoticed(Box::new(ClockNoticedV1 {
        before: at,
        jump_seconds: 60,
    }));
    let kid = by.public().unwrap().id();
    let unsigned = UnsignedEntry::after(JournalHead::EMPTY, kid, at, &body).unwrap();
    unsigned.signed(&by.sign(unsigned.unsigned()))
}

fn check(compact: &str, by: &SoftwareKey) -> Result<Entry, EntryFault> {
    Entry::signed_by(&by.public().unwrap(), compact, &SoftwareCheck)
}

#[test]
fn its_own_key_proves_it_and_no_other() {
    let compact = signed(&key(7));
    assert_eq!(check(&compact, &key(7)).unwrap().compact(), compact);
    assert!(matches!(
        check(&compact, &key(8)),
        Err(EntryFault::Jws(JwsError::OtherKey { .. }))
    ));
}

#[test]
fn another_signature_under_the_same_text_does_not() {
    let compact = signed(&key(7));
    let (text, _) = compact.rsplit_once('.').unwrap();
    // Any 64 bytes in base64url.
    let forged = format!("{text}.{}", "AQ".repeat(43));
    let refused = check(&forged, &key(7));
    assert!(
        matches!(refused, Err(EntryFault::Jws(JwsError::BadSignature))),
        "{refused:?}"
    );
}
