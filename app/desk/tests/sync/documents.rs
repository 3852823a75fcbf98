//! What handsets fetch.

use super::a_day;
use super::common::handset::TestHandset;
use super::wire::Running;
use combgate_core::record::{
    ACKNOWLEDGEMENT_PATH, Acknowledgement, BRIEF_PATH, Brief, Expected, SoftwareCheck,
};
use combgate_desk::store::Office;
use combgate_desk::sync::Limits;

#[test]
fn each_handset_gets_its_own_newest_brief_once() {
    let (desk, handset) = a_day();
    let other = TestHandset::enrol(&desk, "K2");
    let running = Running::of(&desk, Limits::default());
    desk.done("brief --handset K1 --out newer.jws");
    let newer = desk.read("newer.jws");
    let answer = running.send(&running.get(&handset, BRIEF_PATH));
    assert_eq!(answer.status, 200, "{answer:?}");
    assert_eq!(answer.text, newer.trim());
    let expected = Expected {
        handset: handset.entries[0].kid(),
        desk: Some(handset.brief.desk()),
        held_serial: Some(handset.brief.payload().serial),
        today: chrono::Local::now().date_naive(),
    };
    let brief = Brief::take(&answer.text, expected, &SoftwareCheck).unwrap();
    let address = brief.payload().desk_address.as_ref().unwrap();
    assert_eq!(address.authority(), running.at.to_string());
    // The older one has no address: it was made before there was one.
    assert_eq!(handset.brief.payload().desk_address, None);

    let tag = answer.field("etag").unwrap().to_owned();
    assert_eq!(tag, format!("\"{}\"", brief.payload().serial));
    let again = running
        .get(&handset, BRIEF_PATH)
        .with("If-None-Match", &tag);
    let answer = running.send(&again);
    assert_eq!((answer.status, answer.text.as_str()), (304, ""));
    let older = running
        .get(&handset, BRIEF_PATH)
        .with("If-None-Match", "\"1\"");
    assert_eq!(running.send(&older).status, 200);
    let theirs = running.send(&running.get(&other, BRIEF_PATH));
    assert_ne!(theirs.text, newer.trim());
}

#[test]
fn an_acknowledgement_is_there_before_and_after_a_bundle() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let key = desk.store().desk().unwrap().unwrap().public_key;
    let booked = || {
        let answer = running.send(&running.get(&handset, ACKNOWLEDGEMENT_PATH));
        assert_eq!(answer.status, 200, "{answer:?}");
        let kid = handset.entries[0].kid();
        Acknowledgement::take(&answer.text, kid, &key, &SoftwareCheck)
            .unwrap()
            .payload()
            .booked_to
    };
    assert_eq!(booked(), 1);
    running.send(&running.bundle(&handset, &handset.bundle(1..=2)));
    assert_eq!(booked(), 2);
    // By file or by network, it is the same books.
    desk.write("rest.json", &handset.bundle(1..=u64::MAX));
    desk.printout("import rest.json");
    assert_eq!(booked(), handset.entries.last().unwrap().seq());
}
