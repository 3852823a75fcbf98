//! What is refused, with which problem, and that nothing was booked by it.

use super::common::desk::TestDesk;
use super::common::handset::TestHandset;
use super::wire::{Running, Sent, now};
use super::{a_day, books};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use combgate_core::record::{BRIEF_PATH, Digest, ProblemKind, Request};
use combgate_desk::store::Journals;
use combgate_desk::sync::Limits;

/// Each is refused with its problem and books nothing; the good one is taken after them.
fn refused<const N: usize>(
    desk: &TestDesk,
    running: &Running,
    all: [(&str, Sent, ProblemKind); N],
    good: &Sent,
) {
    let before = books(desk);
    for (what, sent, expected) in all {
        let answer = running.send(&sent);
        assert_eq!(answer.kind(), expected, "{what}: {answer:?}");
        assert_eq!(books(desk), before, "{what}");
    }
    assert_eq!(running.send(good).status, 200);
}

#[test]
fn what_is_not_signed_by_the_handset_is_refused() {
    use ProblemKind::{BadSignature, BundleRefused, NotSigned};
    let (desk, handset) = a_day();
    let other = TestHandset::enrol(&desk, "K2");
    let running = Running::of(&desk, Limits::default());
    let file = handset.bundle(1..=u64::MAX);
    let good = running.bundle(&handset, &file);
    let theirs = running.bundle(&other, &file);
    let signature = |sent: &Sent| sent.fields[1].1.clone();
    let (own, other_signature) = (signature(&good), signature(&theirs));
    let digest = format!("sha-256=:{}:", STANDARD.encode(Digest::of("other").bytes()));
    let bare = |name| good.clone().without(name);
    let with = |name, value: &str| {
        let value = value.to_owned();
        good.clone().changed(name, |_| value)
    };
    let with_nonce = good
        .clone()
        .changed("Signature-Input", |input| format!("{input};nonce=\"a\""));
    let mut other_path = running.get(&handset, BRIEF_PATH);
    other_path.path = "/v1/acknowledgement".to_owned();
    let all = [
        ("not signed", bare("Signature"), NotSigned),
        ("not said how", bare("Signature-Input"), NotSigned),
        ("a wish unsigned", Sent::plain("GET", BRIEF_PATH), NotSigned),
        ("twice", good.clone().with("Signature", &own), NotSigned),
        ("more said", with_nonce, NotSigned),
        (
            "by another's key",
            with("Signature", &other_signature),
            BadSignature,
        ),
        ("no digest", bare("Content-Digest"), BadSignature),
        (
            "other digest",
            with("Content-Digest", &digest),
            BadSignature,
        ),
        ("another path's", other_path, BadSignature),
        ("another's bundle", theirs, BundleRefused),
    ];
    refused(&desk, &running, all, &good);
}

#[test]
fn what_is_not_what_was_signed_is_refused() {
    use ProblemKind::{BadSignature, BundleRefused, NothingThere, OtherAddress, OtherMethod};
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let good = running.bundle(&handset, &handset.bundle(1..=u64::MAX));
    let but = |change: &dyn Fn(&mut Sent)| {
        let mut sent = good.clone();
        change(&mut sent);
        sent
    };
    let other = format!("/v1/bundles/{}", Digest::of("other"));
    let cut_off = but(&|sent| sent.content.truncate(20));
    let cut_off = cut_off.changed("Content-Length", |_| "20".to_owned());
    let all = [
        ("altered", but(&|sent| sent.content[20] ^= 1), BadSignature),
        ("cut off", cut_off, BadSignature),
        (
            "other digest in the path",
            but(&|sent| sent.path.clone_from(&other)),
            BadSignature,
        ),
        (
            "no digest in the path",
            but(&|sent| sent.path.push('A')),
            NothingThere,
        ),
        (
            "other host",
            but(&|sent| sent.host = Some("desk.example".to_owned())),
            OtherAddress,
        ),
        (
            "other port",
            but(&|sent| sent.host = Some("127.0.0.1:1".to_owned())),
            OtherAddress,
        ),
        (
            "other method",
            but(&|sent| sent.method = "GET"),
            OtherMethod,
        ),
        ("nowhere", Sent::plain("GET", "/v1"), NothingThere),
        ("no bundle", running.bundle(&handset, "{}"), BundleRefused),
        ("no text", running.bundle(&handset, "\u{0}"), BundleRefused),
    ];
    refused(&desk, &running, all, &good);
}

/// Five minutes either way are allowed (core: `CREATED_WITHIN_SECONDS`).
#[test]
fn an_old_request_is_refused() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let file = handset.bundle(1..=u64::MAX);
    for (seconds, status) in [(-310, 401), (310, 401), (-290, 200), (290, 200)] {
        let at = now() + chrono::Duration::seconds(seconds);
        let answer = running.send(&running.bundle_at(&handset, &file, at));
        assert_eq!(answer.status, status, "{seconds} s: {answer:?}");
        if status == 401 {
            assert_eq!(answer.kind(), ProblemKind::ClockApart);
            let apart = answer.problem().now - now();
            assert!(apart.num_seconds().abs() < 10, "the desk's own time");
        }
    }
}

#[test]
fn a_handset_that_the_desk_does_not_know_is_told_so() {
    let (desk, _) = a_day();
    let elsewhere = TestDesk::with_open_prices();
    let stranger = TestHandset::enrol(&elsewhere, "K9");
    let running = Running::of(&desk, Limits::default());
    let answer = running.send(&running.get(&stranger, BRIEF_PATH));
    assert_eq!(
        (answer.status, answer.kind()),
        (403, ProblemKind::NotEnrolled)
    );
}

#[test]
fn a_handset_out_of_use_is_told_so_in_words() {
    let (desk, handset) = a_day();
    desk.command("account add neema --role bookkeeper")
        .write_stdin("an apiary on a long ridge")
        .assert()
        .success();
    let running = Running::of(&desk, Limits::default());
    let before = books(&desk);
    let from = handset.entries.last().unwrap().at().to_rfc3339();
    desk.done(&format!(
        "revoke --handset K1 --from {from} --cause lost --words gone --by neema"
    ));
    for sent in [
        running.bundle(&handset, &handset.bundle(1..=u64::MAX)),
        running.get(&handset, BRIEF_PATH),
    ] {
        let answer = running.send(&sent);
        let problem = answer.problem();
        assert_eq!((answer.status, problem.kind), (403, ProblemKind::Revoked));
        assert!(
            problem.detail.contains("handset K1 is out of use since 20")
                && !problem.detail.contains('T'),
            "{problem:?}"
        );
        assert!(problem.hint.contains("at the desk"), "{problem:?}");
    }
    assert_eq!(books(&desk), before);
}

/// The manifest is signed by another key than it names: as with files, it is kept as evidence.
#[test]
fn a_forged_bundle_is_kept_as_evidence() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let file = handset.bundle(1..=u64::MAX);
    let manifest_ends = file.find("\",\"entries\"").unwrap();
    let mut forged = file.into_bytes();
    let place = manifest_ends - 40;
    forged[place] = if forged[place] == b'A' { b'B' } else { b'A' };
    let forged = String::from_utf8(forged).unwrap();
    let answer = running.send(&running.bundle(&handset, &forged));
    assert_eq!(
        (answer.status, answer.kind()),
        (422, ProblemKind::BundleRefused)
    );
    let kept = desk.store().evidence(&handset.code).unwrap();
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].bytes, forged.as_bytes());
    assert_eq!(handset.booked_to(&desk.store()), 1, "the card alone");
}

/// One bad entry blocks no good one before it; the answer says how far it is booked.
#[test]
fn a_bad_entry_is_refused_and_the_others_are_booked() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let file = handset.bundle(1..=u64::MAX);
    let last = handset.entries.last().unwrap().compact();
    let end = last.len() - 10;
    let mut bad = last.to_owned();
    let other = if &bad[end..=end] == "A" { "B" } else { "A" };
    bad.replace_range(end..=end, other);
    let answer = running.send(&running.bundle(&handset, &file.replace(last, &bad)));
    assert_eq!(answer.status, 200, "{answer:?}");
    let booked = handset.booked_to(&desk.store());
    assert_eq!(booked, handset.entries.last().unwrap().seq() - 1);
    assert_eq!(desk.store().evidence(&handset.code).unwrap().len(), 1);
}

/// Signed for another desk's address, a request is worth nothing here.
#[test]
fn a_request_for_another_desk_does_not_fit() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let request = Request::get("other.example", BRIEF_PATH).unwrap();
    let fields = handset.signed(request, now());
    let sent = running
        .get(&handset, BRIEF_PATH)
        .changed("Signature-Input", |_| fields.signature_input.clone() + " ")
        .changed("Signature", |_| fields.signature.clone());
    let answer = running.send(&sent);
    assert_eq!(
        (answer.status, answer.kind()),
        (401, ProblemKind::BadSignature)
    );
}
