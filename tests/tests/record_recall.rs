//! A brief as a handset keeps it, in parts, beside the brief as it was signed.
#![allow(
    clippy::unwrap_used,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::record::{
    Brief, BriefError, DocumentError, SoftwareCheck, read_members, to_text,
};
use combgate_tests::demo::cooperative::{brief_for, signed};
use combgate_tests::demo::file::payload;
use combgate_tests::demo::{public, test_key};

fn brief_text() -> String {
    signed(brief_for("K7", &public(&test_key("handset K7"))))
}

fn taken() -> Brief {
    Brief::read(&brief_text(), None, &SoftwareCheck).unwrap()
}

#[test]
fn a_brief_kept_in_parts_is_the_brief_that_was_taken() {
    let brief = taken();
    let (_, kept) = brief.clone().keep().unwrap();
    assert!(
        kept.head.len() + kept.register.len() < 2 * payload(&brief_text()).len(),
        "each part is kept once"
    );
    let head = Brief::recall(&kept.head).unwrap();
    assert!(head.payload().members.is_empty());
    let (mut members, mut place) = (Vec::new(), 0);
    while place < kept.register.len() {
        let more = read_members(&kept.register, &mut place, 3).unwrap();
        assert!((1..=3).contains(&more.len()));
        members.extend(more);
    }
    assert_eq!(members, brief.payload().members);
    assert!(members.len() > 3, "more than one step is taken");
    assert_eq!(head.desk(), brief.desk());
    // The digests under every receipt come from the very same texts.
    assert_eq!(head.terms_ref(), brief.terms_ref());
    let mut payload = head.payload().clone();
    payload.members = members;
    assert_eq!(
        to_text("brief", &payload).unwrap(),
        to_text("brief", brief.payload()).unwrap()
    );
}

#[test]
fn a_part_that_was_cut_or_changed_is_no_part_of_a_brief() {
    let (_, kept) = taken().keep().unwrap();
    let half = kept.head.len() / 2;
    assert!(Brief::recall(&kept.head[..half]).is_err());
    let other = kept
        .head
        .replacen("combgate-brief/1", "combgate-brief/2", 1);
    assert!(matches!(
        Brief::recall(&other),
        Err(BriefError::Document(DocumentError::UnknownVersion { .. }))
    ));
    let cut = &kept.register[..kept.register.len() - 3];
    let mut place = 0;
    assert!(read_members(cut, &mut place, usize::MAX).is_err());
    assert!(cut[place..].starts_with('{'), "it stands at the damage");
}
