//! What every ledger must do, whatever database is behind it.
//!
//! The suite knows the trait alone. A second database runs it with one more line at the end.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::{FindingWeight, ReviewState};
use combgate_core::intake::Decision;
use combgate_core::record::{
    AdvanceV1, ClockNoticedV1, CooperativeV1, Digest, EntryBody, JournalHead, MemberV1,
    ParsedEntry, PublicKey, ReceiptNumber, SoftwareKey, UnsignedEntry,
};
use combgate_desk::store::{
    Brief, BundleRow, Desk, Evidence, FindingRow, Handset, Kept, Paper, PaperKind, RegisterChange,
    SqliteStore, Store, StoreError, Terms, TermsKind, Waiting,
};
use common::handset::{code, label};
use std::path::Path;
use uuid::Uuid;

/// Opens the ledger of a folder; opened again it holds what was kept.
type Open<S> = fn(&Path) -> S;

fn key(scalar: u8) -> PublicKey {
    SoftwareKey::from_scalar(&[scalar; 32])
        .unwrap()
        .public()
        .unwrap()
}

fn at(minute: u32) -> DateTime<FixedOffset> {
    format!("2026-10-09T08:{minute:02}:00+03:00")
        .parse()
        .unwrap()
}

fn day(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, day).unwrap()
}

fn handset(name: &str, scalar: u8) -> Handset {
    Handset {
        code: code(name),
        name: label("Telephone"),
        key: key(scalar),
        enrolled_at: at(0),
        head: JournalHead::EMPTY,
        review: ReviewState::new(code(name)),
    }
}

/// An entry whose content differs with the second figure; nothing here looks at signatures.
fn entry(seq: u64, content: i64) -> ParsedEntry {
    let body = EntryBody::ClockNoticed(Box::new(ClockNoticedV1 {
        before: at(0),
        jump_seconds: content,
    }));
    let head = JournalHead {
        seq: seq - 1,
        hash: Digest::NONE,
    };
    let unsigned = UnsignedEntry::after(head, key(1).id(), at(1), &body).unwrap();
    ParsedEntry::parse(&unsigned.signed(&[1; 64])).unwrap()
}

fn member(number: &str, outstanding: Option<i64>) -> MemberV1 {
    MemberV1 {
        number: code(number),
        name: label("Asha \"Nyuki\" O'Mrembwe"),
        village: Some(label("Kilindo")),
        phone: None,
        language: Some(code("sw")),
        premiums: vec![code("ORG"), code("FAIR")],
        advance: outstanding.map(|outstanding_minor| AdvanceV1 {
            payee: label("Savings group"),
            outstanding_minor,
        }),
    }
}

fn paper(handset: &str, seq: u64, number: &str) -> Paper {
    Paper {
        handset: code(handset),
        seq,
        kind: PaperKind::Receipt,
        number: ReceiptNumber::try_from(number.to_owned()).unwrap(),
        delivery: Uuid::from_u128(u128::from(seq)),
        day: day(9),
        member: code("M001"),
        decision: Decision::Buy,
        grade: Some(code("A")),
        net_g: 17_500,
        payable_minor: 727_500,
        paid_minor: 500_000,
        repaid_minor: 100,
        pails: 1,
        cancelled_by: None,
    }
}

/// Why work was broken off on purpose.
#[derive(Debug)]
enum BrokenOff {
    OnPurpose,
    Store,
}

impl From<StoreError> for BrokenOff {
    fn from(_: StoreError) -> Self {
        Self::Store
    }
}

fn work_is_kept_whole_or_not_at_all<S: Store>(open: Open<S>, folder: &Path) {
    let mut store = open(folder);
    let broken = store.atomically(|store| {
        store.add_handset(&handset("K1", 1))?;
        store.keep_entry(&code("K1"), &entry(1, 1), Kept::Booked)?;
        Err::<(), _>(BrokenOff::OnPurpose)
    });
    assert!(matches!(broken, Err(BrokenOff::OnPurpose)));
    assert_eq!(store.handsets().unwrap(), []);
    let done: Result<u8, StoreError> = store.atomically(|store| {
        store.add_handset(&handset("K1", 1))?;
        Ok(7)
    });
    assert_eq!(done.unwrap(), 7);
    drop(store);
    assert_eq!(open(folder).handsets().unwrap(), [handset("K1", 1)]);
}

fn the_desk_keeps_its_first_key<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    assert_eq!(store.desk().unwrap(), None);
    let mut desk = Desk {
        private_key: vec![1, 2, 3],
        public_key: key(1),
        cooperative: None,
    };
    store.keep_desk(&desk).unwrap();
    assert_eq!(store.desk().unwrap(), Some(desk.clone()));
    let cooperative = CooperativeV1 {
        name: label("Ridge Hives"),
        place: label("Ndulele"),
        complaints: label("Office"),
    };
    let changed = Desk {
        private_key: vec![9],
        public_key: key(9),
        cooperative: Some(cooperative.clone()),
    };
    store.keep_desk(&changed).unwrap();
    desk.cooperative = Some(cooperative);
    assert_eq!(store.desk().unwrap(), Some(desk));
}

fn terms_are_kept_by_digest_and_found_by_day<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    let terms = |name: &str, first: u32, last: Option<u32>| Terms {
        kind: TermsKind::PriceList,
        code: code(name),
        digest: Digest::of(name),
        first_day: day(first),
        last_day: last.map(day),
        document: format!("{{\"id\":\"{name}\"}}"),
        taken_in_at: at(0),
    };
    let (early, open_ended, late) = (
        terms("EARLY", 1, Some(10)),
        terms("OPEN", 5, None),
        terms("LATE", 20, Some(25)),
    );
    for kept in [&early, &open_ended, &late] {
        assert!(store.keep_terms(kept).unwrap());
        assert!(!store.keep_terms(kept).unwrap(), "a second time is no news");
    }
    let in_force = |day| {
        let found = store.terms_in_force(TermsKind::PriceList, day).unwrap();
        found.map(|terms| terms.code.to_string())
    };
    for (on, expected) in [
        (1, "EARLY"),
        (4, "EARLY"),
        (5, "OPEN"),
        (10, "OPEN"),
        (19, "OPEN"),
        (20, "LATE"),
        (25, "LATE"),
        (26, "OPEN"),
    ] {
        assert_eq!(in_force(day(on)).as_deref(), Some(expected), "{on}");
    }
    let before = NaiveDate::from_ymd_opt(2026, 9, 30).unwrap();
    assert_eq!(in_force(before), None);
    assert_eq!(
        store.terms(TermsKind::PriceList, &early.digest).unwrap(),
        Some(early.clone())
    );
    assert_eq!(store.terms(TermsKind::Policy, &early.digest).unwrap(), None);
    assert_eq!(
        store.newest_terms(TermsKind::PriceList).unwrap(),
        Some(late)
    );
    assert_eq!(store.newest_terms(TermsKind::Policy).unwrap(), None);
}

fn an_advance_is_paid_back_by_each_handset<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.add_handset(&handset("K2", 2)).unwrap();
    let change = |member: &MemberV1| store.keep_member(member).unwrap();
    assert_eq!(change(&member("M001", Some(1_000))), RegisterChange::Added);
    assert_eq!(
        change(&member("M001", Some(1_000))),
        RegisterChange::Unchanged
    );
    store.repay(&code("M001"), &code("K1"), 300).unwrap();
    store.repay(&code("M001"), &code("K1"), 100).unwrap();
    store.repay(&code("M001"), &code("K2"), 50).unwrap();
    let seen_by = |handset: &str| {
        let seen = store.member_seen_by(&code(handset), &code("M001")).unwrap();
        seen.unwrap().advance.unwrap().outstanding_minor
    };
    assert_eq!(
        (seen_by("K1"), seen_by("K2"), seen_by("K3")),
        (600, 950, 1_000)
    );
    let outstanding = || {
        let members = store.members().unwrap();
        assert_eq!(members.len(), 1);
        members[0]
            .advance
            .as_ref()
            .map(|advance| advance.outstanding_minor)
    };
    assert_eq!(outstanding(), Some(550));
    // Cancelled, it is owed again.
    store.repay(&code("M001"), &code("K2"), -50).unwrap();
    assert_eq!(outstanding(), Some(600));
    // The same word of the office is no news; another one counts from now.
    assert_eq!(
        change(&member("M001", Some(1_000))),
        RegisterChange::Unchanged
    );
    assert_eq!(outstanding(), Some(600));
    assert_eq!(change(&member("M001", Some(600))), RegisterChange::Changed);
    assert_eq!((seen_by("K1"), outstanding()), (600, Some(600)));
    store.repay(&code("M001"), &code("K1"), 600).unwrap();
    assert_eq!(outstanding(), None, "nothing is outstanding any more");
    assert_eq!(seen_by("K1"), 0);
    // A new name alone leaves the advance as it stands.
    let mut renamed = member("M001", Some(600));
    renamed.name = label("Asha Mrembwe");
    assert_eq!(change(&renamed), RegisterChange::Changed);
    assert_eq!(outstanding(), None);
    assert_eq!(change(&member("M001", None)), RegisterChange::Changed);
    assert_eq!(store.members().unwrap(), [member("M001", None)]);
}

fn a_handset_knows_the_members_it_can_know<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let mut own = member("K1-N1", None);
    own.name = label("Registered first");
    store.keep_field_member(&code("K1"), &own).unwrap();
    store
        .keep_field_member(&code("K1"), &member("K1-N1", None))
        .unwrap();
    let seen_by =
        |handset: &str, number: &str| store.member_seen_by(&code(handset), &code(number)).unwrap();
    assert_eq!(seen_by("K1", "K1-N1"), Some(own.clone()));
    assert_eq!(seen_by("K2", "K1-N1"), None);
    assert_eq!(seen_by("K1", "M001"), None);
    assert_eq!(store.next_serial().unwrap(), 1);
    store
        .keep_brief(&Brief {
            serial: 1,
            handset: code("K1"),
            issued_at: at(0),
            last_day: day(20),
            float_minor: 5,
            compact: "brief".to_owned(),
        })
        .unwrap();
    assert_eq!(store.next_serial().unwrap(), 2);
    assert_eq!(
        seen_by("K2", "K1-N1"),
        Some(own.clone()),
        "it stood in a brief"
    );
    // The office's word goes before the field's, for everybody.
    let office = member("K1-N1", None);
    store.keep_member(&office).unwrap();
    assert_eq!(seen_by("K1", "K1-N1"), Some(office.clone()));
    assert_eq!(store.members().unwrap(), [office]);
}

fn entries_are_kept_once_and_booked_once<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    let k1 = code("K1");
    store.add_handset(&handset("K1", 1)).unwrap();
    store.add_handset(&handset("K2", 2)).unwrap();
    let keep = |entry: &ParsedEntry, kept| store.keep_entry(&k1, entry, kept).unwrap();
    assert!(keep(&entry(1, 1), Kept::Booked));
    assert!(!keep(&entry(1, 1), Kept::Apart), "kept already");
    assert_eq!(
        store.booked(&k1, 1).unwrap(),
        Some(entry(1, 1).compact().to_owned())
    );
    assert!(keep(&entry(4, 1), Kept::Apart));
    assert!(keep(&entry(4, 2), Kept::Apart));
    assert!(keep(&entry(6, 1), Kept::Apart));
    let waiting = |seq| store.waiting_above(&k1, seq).unwrap();
    assert_eq!(waiting(1), Some(Waiting { first: 4, count: 3 }));
    assert_eq!(waiting(4), Some(Waiting { first: 6, count: 1 }));
    assert_eq!(waiting(6), None);
    assert_eq!(store.waiting_above(&code("K2"), 0).unwrap(), None);
    let mut of_four = [entry(4, 1), entry(4, 2)];
    of_four.sort_by_key(|entry| entry.hash().to_string());
    let of_four = of_four.map(|entry| entry.compact().to_owned());
    assert_eq!(store.apart(&k1, 4..=5).unwrap(), of_four);
    store.book_entry(&k1, 4, &entry(4, 2).hash()).unwrap();
    assert_eq!(
        store.booked(&k1, 4).unwrap(),
        Some(entry(4, 2).compact().to_owned())
    );
    assert_eq!(store.apart(&k1, 4..=5).unwrap(), [entry(4, 1).compact()]);
    assert!(
        store.book_entry(&k1, 4, &entry(4, 1).hash()).is_err(),
        "two entries are never booked under one number"
    );
}

fn a_handsets_progress_is_kept<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    let mut k1 = handset("K1", 1);
    store.add_handset(&k1).unwrap();
    assert!(
        store.add_handset(&handset("K1", 3)).is_err(),
        "one code, one handset"
    );
    assert!(
        store.add_handset(&handset("K3", 1)).is_err(),
        "one key, one handset"
    );
    k1.head = JournalHead::at(&entry(3, 1));
    let noticed = entry(1, 1);
    k1.review.review(&noticed, &NoBooks);
    store.keep_progress(&k1).unwrap();
    assert_eq!(store.handset(&k1.code).unwrap(), Some(k1.clone()));
    assert_eq!(store.handset_of_key(&k1.key.id()).unwrap(), Some(k1));
    assert_eq!(store.handset(&code("K9")).unwrap(), None);
    assert_eq!(store.handset_of_key(&key(9).id()).unwrap(), None);
}

/// Books that know nothing.
struct NoBooks;

impl combgate_core::clerk::Books for NoBooks {
    fn terms(
        &self,
        _: &combgate_core::record::TermsRefV1,
    ) -> Option<std::sync::Arc<combgate_core::intake::Terms>> {
        None
    }
    fn member(&self, _: &combgate_core::units::Code) -> Option<MemberV1> {
        None
    }
    fn receipt(&self, _: &ReceiptNumber) -> Option<combgate_core::clerk::ReceiptFacts> {
        None
    }
    fn issued(&self, _: Uuid) -> Option<ReceiptNumber> {
        None
    }
}

fn evidence_and_bundles_are_kept_once<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let evidence = Evidence {
        handset: code("K1"),
        digest: Digest::of("bytes"),
        seq: Some(5),
        position: 5,
        file: Digest::of("file"),
        reason: "it does not fit".to_owned(),
        bytes: vec![0, 255, 10],
        kept_at: at(0),
    };
    assert!(store.keep_evidence(&evidence).unwrap());
    let again = Evidence {
        file: Digest::of("another file"),
        ..evidence.clone()
    };
    assert!(!store.keep_evidence(&again).unwrap());
    assert_eq!(store.evidence(&code("K1")).unwrap(), [evidence]);
    let bundle = BundleRow {
        file: Digest::of("file"),
        manifest: Digest::of("manifest"),
        handset: code("K1"),
        first_seq: 1,
        last_seq: 9,
        count: 9,
        imported_at: at(0),
    };
    assert_eq!(store.bundle(&bundle.file).unwrap(), None);
    store.keep_bundle(&bundle).unwrap();
    let later = BundleRow {
        imported_at: at(30),
        ..bundle.clone()
    };
    store.keep_bundle(&later).unwrap();
    assert_eq!(store.bundle(&bundle.file).unwrap(), Some(bundle));
}

fn papers_are_found_by_number_delivery_and_day<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.add_handset(&handset("K2", 2)).unwrap();
    let mut first = paper("K1", 3, "K1-26-00001");
    let twice = paper("K1", 4, "K1-26-00001");
    let slip = Paper {
        kind: PaperKind::Slip,
        decision: Decision::Hold,
        grade: None,
        day: day(10),
        ..paper("K1", 5, "K1-26-00002")
    };
    let other = paper("K2", 6, "K1-26-00001");
    for paper in [&first, &twice, &slip, &other] {
        store.keep_paper(paper).unwrap();
    }
    let receipt = |number: &Paper, of: &str| store.receipt(&number.number, &code(of)).unwrap();
    assert_eq!(
        receipt(&first, "K1"),
        Some(first.clone()),
        "the first of a number"
    );
    assert_eq!(receipt(&first, "K2"), Some(other.clone()));
    assert_eq!(receipt(&slip, "K1"), None, "a slip is no receipt");
    assert_eq!(
        store.issued(slip.delivery).unwrap(),
        Some(slip.number.clone())
    );
    assert_eq!(store.issued(Uuid::from_u128(99)).unwrap(), None);
    first.paid_minor = 727_500;
    first.cancelled_by = Some(8);
    store.change_paper(&first).unwrap();
    assert_eq!(store.papers_on(day(9)).unwrap(), [first, twice, other]);
    assert_eq!(store.papers_on(day(10)).unwrap(), [slip]);
    assert_eq!(store.papers_on(day(11)).unwrap(), []);
}

fn findings_are_kept_once_in_order<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let finding = |seq, weight, code: &str| FindingRow {
        seq,
        code: code.to_owned(),
        weight,
        number: (seq == 3).then(|| ReceiptNumber::try_from("K1-26-00001".to_owned()).unwrap()),
        sentence: format!("{code} is so"),
    };
    let later = finding(3, FindingWeight::Serious, "b");
    let early = finding(2, FindingWeight::Note, "c");
    let middle = finding(3, FindingWeight::Question, "a");
    for finding in [&later, &early, &middle] {
        assert!(store.keep_finding(&code("K1"), finding).unwrap());
        assert!(!store.keep_finding(&code("K1"), finding).unwrap());
    }
    let found = |seqs| store.findings(&code("K1"), seqs).unwrap();
    assert_eq!(found(0..=9), [early, middle.clone(), later.clone()]);
    assert_eq!(found(3..=3), [middle, later]);
    assert_eq!(found(4..=u64::MAX), []);
}

macro_rules! conformance {
    ($name:ident, $open:expr) => {
        mod $name {
            use super::*;

            conformance!(@each $open;
                work_is_kept_whole_or_not_at_all
                the_desk_keeps_its_first_key
                terms_are_kept_by_digest_and_found_by_day
                an_advance_is_paid_back_by_each_handset
                a_handset_knows_the_members_it_can_know
                entries_are_kept_once_and_booked_once
                a_handsets_progress_is_kept
                evidence_and_bundles_are_kept_once
                papers_are_found_by_number_delivery_and_day
                findings_are_kept_once_in_order
            );
        }
    };
    (@each $open:expr; $($check:ident)*) => {$(
        #[test]
        fn $check() {
            let folder = tempfile::tempdir().unwrap();
            super::$check($open, folder.path());
        }
    )*};
}

conformance!(sqlite, |folder| SqliteStore::create(
    &folder.join("ledger.sqlite")
)
.unwrap());
