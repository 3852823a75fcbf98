//! Bundles that are taken.

use super::common::handset::TestHandset;
use super::wire::Running;
use super::{a_day, books, books_in};
use combgate_core::record::{Acknowledgement, Digest, SoftwareCheck};
use combgate_desk::store::{Journals, Office};
use combgate_desk::sync::Limits;

fn acknowledgement(text: &str, handset: &TestHandset, desk: &super::TestDesk) -> Acknowledgement {
    let key = desk.store().desk().unwrap().unwrap().public_key;
    Acknowledgement::take(text, handset.entries[0].kid(), &key, &SoftwareCheck).unwrap()
}

#[test]
fn a_bundle_that_is_sent_is_booked_as_one_that_is_imported() {
    let (desk, handset) = a_day();
    let bundle = handset.bundle(1..=u64::MAX);
    let copy = tempfile::tempdir().unwrap();
    std::fs::copy(
        desk.path("desk/ledger.sqlite"),
        copy.path().join("ledger.sqlite"),
    )
    .unwrap();
    desk.write("bundle.json", &bundle);
    let file = desk.path("bundle.json");
    let imported = super::common::combgate()
        .arg("--desk")
        .arg(copy.path())
        .arg("import")
        .arg(file)
        .output()
        .unwrap();
    assert!(imported.status.code() <= Some(1), "{imported:?}");

    let running = Running::of(&desk, Limits::default());
    let answer = running.send(&running.bundle(&handset, &bundle));
    assert_eq!(answer.status, 200, "{answer:?}");
    assert_eq!(answer.field("content-type"), Some("application/jose"));
    assert_eq!(answer.field("cache-control"), Some("no-store"));
    assert_eq!(books(&desk), books_in(copy.path()));
    let last = handset.entries.last().unwrap();
    let taken = acknowledgement(&answer.text, &handset, &desk);
    assert_eq!(
        (taken.payload().booked_to, taken.payload().head),
        (last.seq(), last.hash())
    );
    let kept = desk.store().latest_bundle(&handset.code).unwrap().unwrap();
    assert_eq!(kept.file, Digest::of(&bundle));
    assert!(kept.sent);
}

/// Replayed by whoever overheard it, or sent twice by a phone that did not hear the answer.
#[test]
fn the_same_request_again_changes_nothing() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let sent = running.bundle(&handset, &handset.bundle(1..=u64::MAX));
    assert_eq!(running.send(&sent).status, 200);
    let once = books(&desk);
    let bundles = || desk.store().latest_bundles(9).unwrap();
    let kept = bundles();
    for _ in 0..3 {
        assert_eq!(running.send(&sent).status, 200);
    }
    assert_eq!(books(&desk), once);
    assert_eq!(bundles(), kept);
}

#[test]
fn bundles_sent_at_once_are_all_booked() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let sent: Vec<_> = handset
        .entries
        .iter()
        .map(|entry| running.bundle(&handset, &handset.bundle(entry.seq()..=entry.seq())))
        .collect();
    std::thread::scope(|scope| {
        for each in &sent {
            scope.spawn(|| assert_eq!(running.send(each).status, 200));
        }
    });
    let last = handset.entries.last().unwrap().seq();
    assert_eq!(handset.booked_to(&desk.store()), last);
}

/// A phone's clock may show any day: it is told the desk's time and signs with that.
#[test]
fn a_wrong_clock_never_blocks() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let bundle = handset.bundle(1..=u64::MAX);
    for wrong in ["2001-01-01T00:00:00Z", "2041-12-31T23:59:59+03:00"] {
        let at = wrong.parse().unwrap();
        let answer = running.send(&running.bundle_at(&handset, &bundle, at));
        let problem = answer.problem();
        assert_eq!(problem.kind, combgate_core::record::ProblemKind::ClockApart);
        assert_eq!(answer.status, 401);
        let again = running.bundle_at(&handset, &bundle, problem.now);
        assert_eq!(running.send(&again).status, 200);
    }
}
