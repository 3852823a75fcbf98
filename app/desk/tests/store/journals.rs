//! Handsets, entries, evidence and bundles.

use super::{Open, at, entry, handset, key};
use crate::common::handset::code;
use chrono::NaiveDate;
use combgate_core::clerk::{Books, InForce, ReceiptFacts};
use combgate_core::intake::Terms;
use combgate_core::record::{
    Digest, JournalHead, MemberV1, ParsedEntry, ReceiptNumber, TermsRefV1,
};
use combgate_core::units::Code;
use combgate_desk::store::{BundleRow, Evidence, Kept, Store, Waiting};
use std::path::Path;
use std::sync::Arc;
use uuid::Uuid;

pub(crate) fn entries_are_kept_once_and_booked_once<S: Store>(open: Open<S>, folder: &Path) {
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

pub(crate) fn a_handsets_progress_is_kept<S: Store>(open: Open<S>, folder: &Path) {
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

pub(crate) fn bundle_row() -> BundleRow {
    BundleRow {
        file: Digest::of("file"),
        manifest: Digest::of("manifest"),
        handset: code("K1"),
        first_seq: 1,
        last_seq: 9,
        count: 9,
        imported_at: at(0),
        sent: true,
    }
}

pub(crate) fn evidence_and_bundles_are_kept_once<S: Store>(open: Open<S>, folder: &Path) {
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
    let bundle = bundle_row();
    assert_eq!(store.bundle(&bundle.file).unwrap(), None);
    store.keep_bundle(&bundle).unwrap();
    let later = BundleRow {
        imported_at: at(30),
        sent: false,
        ..bundle.clone()
    };
    store.keep_bundle(&later).unwrap();
    assert_eq!(store.bundle(&bundle.file).unwrap(), Some(bundle.clone()));
    let second = BundleRow {
        file: Digest::of("second file"),
        ..bundle.clone()
    };
    store.keep_bundle(&second).unwrap();
    let both = [second, bundle];
    assert_eq!(store.latest_bundles(1).unwrap(), both[..1]);
    assert_eq!(store.latest_bundles(9).unwrap(), both);
}

/// Books that know nothing.
struct NoBooks;

impl Books for NoBooks {
    fn terms(&self, _: &TermsRefV1) -> Option<Arc<Terms>> {
        None
    }
    fn policy_in_force(&self, _: NaiveDate) -> Option<InForce> {
        None
    }
    fn price_list_in_force(&self, _: NaiveDate) -> Option<InForce> {
        None
    }
    fn float_given(&self, _: u32) -> Option<i64> {
        None
    }
    fn gave_briefs(&self) -> bool {
        false
    }
    fn member(&self, _: &Code) -> Option<std::sync::Arc<MemberV1>> {
        None
    }
    fn receipt(&self, _: &ReceiptNumber) -> Option<ReceiptFacts> {
        None
    }
    fn issued(&self, _: Uuid) -> Option<ReceiptNumber> {
        None
    }
}
