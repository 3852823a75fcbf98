//! Enrolment card, brief and acknowledgement: what a desk and a handset must not take.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::record::{
    Acknowledgement, AcknowledgementError, Brief, BriefError, BriefV1, BundleError, Digest,
    DocumentError, EnrolledV1, Entry, EntryBody, Expected, JournalHead, JwsError, KeyId, PublicKey,
    QuestionV1, SoftwareCheck, Typ, Unsigned, UnsignedEntry,
};
use combgate_core::units::Code;
use combgate_tests::demo::cooperative::{acknowledged, brief_for, desk_key, signed};
use combgate_tests::demo::file::{payload, replace_in_payload};
use combgate_tests::demo::handset::Handset;
use combgate_tests::demo::{at, code, day, label, on, public, read, sign, test_key};

fn k7() -> KeyId {
    public(&test_key("handset K7")).id()
}

fn desk() -> PublicKey {
    public(&desk_key())
}

fn expected() -> Expected {
    Expected {
        handset: k7(),
        desk: Some(desk().id()),
        held_serial: Some(1),
        today: day(),
    }
}

fn take(compact: &str) -> Result<Brief, BriefError> {
    Brief::take(compact, expected(), &SoftwareCheck)
}

/// The brief with something changed before the desk signs it.
fn with(change: impl FnOnce(&mut BriefV1)) -> String {
    let mut brief = brief_for("K7", &public(&test_key("handset K7")));
    change(&mut brief);
    signed(brief)
}

#[test]
fn a_good_brief_is_taken_with_blanks_around_it() {
    let text = read("handset-k7/brief.jws");
    let brief = take(&format!(" \r\n{text}\n")).unwrap();
    assert_eq!(brief.desk(), desk().id());
    assert_eq!(brief.payload().handset.code, code("K7"));
    assert_eq!(brief.payload().members.len(), 12);
    // Entries name policy and price list by the digest of exactly the text in the brief.
    let policy = read("cooperative/policy.json");
    assert_eq!(brief.terms_ref().policy_digest, Digest::of(policy.trim()));
    assert_eq!(brief.terms_ref().policy, code("POL-2026-1"));
    let prices = read("cooperative/prices.json");
    assert_eq!(
        brief.terms_ref().price_list_digest,
        Digest::of(prices.trim())
    );
    assert_eq!(brief.terms_ref().price_list, code("PL-2026-3"));
}

#[test]
fn a_brief_for_another_handset_is_refused() {
    let other = signed(brief_for("K8", &public(&test_key("handset K8"))));
    assert_eq!(
        take(&other).unwrap_err(),
        BriefError::OtherHandset(code("K8"))
    );
}

#[test]
fn the_first_brief_pins_the_desk() {
    let stranger = test_key("another desk");
    let mut brief = brief_for("K7", &public(&test_key("handset K7")));
    brief.desk_jwk = public(&stranger).jwk();
    let text = sign(
        &stranger,
        &brief.clone().unsigned(public(&stranger).id()).unwrap(),
    );
    let refused = BriefError::OtherDesk {
        name: brief.cooperative.name.clone(),
        found: public(&stranger).id(),
        pinned: desk().id(),
    };
    assert_eq!(take(&text).unwrap_err(), refused);
    let unpinned = Expected {
        desk: None,
        ..expected()
    };
    let first = Brief::take(&text, unpinned, &SoftwareCheck).unwrap();
    assert_eq!(first.desk(), public(&stranger).id());
}

#[test]
fn a_brief_that_carries_the_pinned_key_must_be_signed_by_it() {
    // The header names the desk, the payload carries its key, the signature is a stranger's.
    let unsigned = brief_for("K7", &public(&test_key("handset K7")))
        .unsigned(desk().id())
        .unwrap();
    let forged = sign(&test_key("another desk"), &unsigned);
    assert_eq!(
        take(&forged).unwrap_err(),
        BriefError::Jws(JwsError::BadSignature)
    );
    // The header names a stranger.
    let unsigned = brief_for("K7", &public(&test_key("handset K7")))
        .unsigned(public(&test_key("another desk")).id())
        .unwrap();
    let forged = sign(&test_key("another desk"), &unsigned);
    assert!(matches!(
        take(&forged),
        Err(BriefError::Jws(JwsError::OtherKey { .. }))
    ));
}

#[test]
fn a_brief_altered_anywhere_is_refused() {
    let good = read("handset-k7/brief.jws");
    let good = good.trim();
    assert!(take(&replace_in_payload(good, "12000000", "99000000")).is_err());
    let mut seeded = fastrand::Rng::with_seed(3);
    for place in std::iter::repeat_with(|| seeded.usize(..good.len())).take(100) {
        let other = if good[place..].starts_with('A') {
            "B"
        } else {
            "A"
        };
        let mut changed = good.to_owned();
        changed.replace_range(place..=place, other);
        assert!(take(&changed).is_err(), "character {place}");
    }
}

#[test]
fn a_brief_is_good_until_the_evening_of_its_last_day() {
    let last = with(|brief| brief.valid_until = day());
    assert!(take(&last).is_ok());
    let gone = day().pred_opt().unwrap();
    let expired = with(|brief| brief.valid_until = gone);
    assert_eq!(take(&expired).unwrap_err(), BriefError::Expired(gone));
    // A handset may still read what it took in before.
    assert!(Brief::read(&expired, Some(desk().id()), &SoftwareCheck).is_ok());
}

#[test]
fn an_older_brief_never_replaces_a_newer_one() {
    let held = |serial| Expected {
        held_serial: Some(serial),
        ..expected()
    };
    let fourth = with(|brief| brief.serial = 4);
    let take = |held_serial| Brief::take(&fourth, held(held_serial), &SoftwareCheck);
    assert!(take(3).is_ok());
    assert!(take(4).is_ok());
    assert_eq!(
        take(5).unwrap_err(),
        BriefError::Older { found: 4, held: 5 }
    );
}

#[test]
fn terms_that_do_not_fit_together_are_refused() {
    let document = |text: String| BriefV1::document(&text).unwrap();
    let prices = read("cooperative/prices.json");
    // Grade S can be given and has no price.
    let unpriced = prices.replace(r#""grade": "S""#, r#""grade": "T""#);
    let refused = take(&with(|brief| brief.price_list = document(unpriced))).unwrap_err();
    assert!(matches!(refused, BriefError::Terms(_)), "{refused}");
    // Wet honey would lose twice: the grades already depend on moisture.
    let step = r#""moisture_steps": [{"bee":"honeybee","forms":["run_honey"],"above_hundredths":1800,"per_kg_minor":500,"source":"invented"}]"#;
    let twice = prices.replace(r#""moisture_steps": []"#, step);
    let refused = take(&with(|brief| brief.price_list = document(twice))).unwrap_err();
    assert!(matches!(refused, BriefError::Terms(_)), "{refused}");
    for (was, now) in [
        ("combgate-price-list/1", "combgate-price-list/2"),
        (r#""coin_minor": 500"#, r#""coin_minor": 0"#),
        (
            r#""coin_minor": 500"#,
            r#""coin_minor": 500, "coin_minor": 5"#,
        ),
        ("2026-10-05", "2026-10-5"),
    ] {
        let changed = prices.replacen(was, now, 1);
        assert_ne!(changed, prices);
        let refused = take(&with(|brief| brief.price_list = document(changed))).unwrap_err();
        assert!(matches!(refused, BriefError::Document(_)), "{refused}");
    }
    let policy =
        read("cooperative/policy.json").replacen("combgate-policy/1", "combgate-policy/9", 1);
    let refused = take(&with(|brief| brief.policy = document(policy))).unwrap_err();
    assert!(matches!(
        refused,
        BriefError::Document(DocumentError::UnknownVersion { what: "policy", .. })
    ));
}

#[test]
fn another_document_and_another_version_are_no_brief() {
    let acknowledgement = read("handset-k7/acknowledgement.jws");
    assert!(matches!(
        take(&acknowledgement),
        Err(BriefError::Jws(JwsError::OtherTyp { .. }))
    ));
    let good = read("handset-k7/brief.jws");
    let text = payload(good.trim()).replacen("combgate-brief/1", "combgate-brief/2", 1);
    let unsigned = Unsigned::new(Typ::Brief, desk().id(), &text).unwrap();
    assert!(matches!(
        take(&sign(&desk_key(), &unsigned)),
        Err(BriefError::Document(DocumentError::UnknownVersion {
            what: "brief",
            ..
        }))
    ));
}

mod acknowledgement {
    use super::*;

    fn take_for(compact: &str, handset: KeyId) -> Result<Acknowledgement, AcknowledgementError> {
        Acknowledgement::take(compact, handset, &desk(), &SoftwareCheck)
    }

    fn head() -> JournalHead {
        JournalHead {
            seq: 20,
            hash: Digest::of("entry 20"),
        }
    }

    fn question() -> QuestionV1 {
        QuestionV1 {
            seq: 4,
            finding: code("cash-differs"),
            sentence: label("Count again."),
        }
    }

    #[test]
    fn says_what_is_booked_and_what_is_asked() {
        let text = format!("{}\n", acknowledged(k7(), head(), vec![question()]));
        let taken = take_for(&text, k7()).unwrap();
        let payload = taken.payload();
        assert_eq!((payload.booked_to, payload.head), (20, head().hash));
        assert_eq!(payload.questions, [question()]);
        assert_eq!(payload.format, "combgate-acknowledgement/1");
    }

    #[test]
    fn for_another_handset_is_refused() {
        let other = public(&test_key("handset K8")).id();
        let text = acknowledged(other, head(), vec![]);
        assert_eq!(
            take_for(&text, k7()).unwrap_err(),
            AcknowledgementError::OtherHandset(other)
        );
    }

    #[test]
    fn from_another_desk_or_altered_is_refused() {
        let good = acknowledged(k7(), head(), vec![]);
        assert!(take_for(&good, k7()).is_ok());
        let stranger = public(&test_key("another desk"));
        assert!(matches!(
            Acknowledgement::take(&good, k7(), &stranger, &SoftwareCheck),
            Err(AcknowledgementError::Jws(JwsError::OtherKey { .. }))
        ));
        let more = replace_in_payload(&good, r#""booked_to":20"#, r#""booked_to":99"#);
        assert_eq!(
            take_for(&more, k7()).unwrap_err(),
            AcknowledgementError::Jws(JwsError::BadSignature)
        );
    }

    #[test]
    fn one_that_steps_back_or_names_a_foreign_entry_does_not_fit() {
        let of = |seq: u64, hash| {
            let head = JournalHead { seq, hash };
            take_for(&acknowledged(k7(), head, vec![]), k7()).unwrap()
        };
        let hash = head().hash;
        let (held, before) = (of(20, hash), of(19, hash));
        assert_eq!(held.fits(Some(hash), None), Ok(()));
        assert_eq!(held.fits(Some(hash), Some(&held)), Ok(()), "the same again");
        assert_eq!(held.fits(Some(hash), Some(&before)), Ok(()));
        let older = AcknowledgementError::Older {
            found: 19,
            held: 20,
        };
        assert_eq!(before.fits(Some(hash), Some(&held)), Err(older));
        // An entry that the journal does not have, and one that it has otherwise.
        let foreign = Err(AcknowledgementError::OtherJournal(20));
        assert_eq!(held.fits(None, None), foreign);
        assert_eq!(held.fits(Some(Digest::of("another")), None), foreign);
        // Nothing booked names the hash before the first entry.
        assert_eq!(of(0, Digest::NONE).fits(None, None), Ok(()));
    }

    #[test]
    fn of_another_version_or_kind_is_refused() {
        let good = acknowledged(k7(), head(), vec![]);
        let text = payload(&good).replacen("acknowledgement/1", "acknowledgement/2", 1);
        let unsigned = Unsigned::new(Typ::Acknowledgement, desk().id(), &text).unwrap();
        assert!(matches!(
            take_for(&sign(&desk_key(), &unsigned), k7()),
            Err(AcknowledgementError::Document(
                DocumentError::UnknownVersion { .. }
            ))
        ));
        assert!(matches!(
            take_for(&read("handset-k7/brief.jws"), k7()),
            Err(AcknowledgementError::Jws(JwsError::OtherTyp { .. }))
        ));
    }
}

mod enrolment_card {
    use super::*;

    fn refused(compact: &str) -> BundleError {
        Entry::from_card(compact, &SoftwareCheck).unwrap_err()
    }

    fn handset() -> Handset {
        let (key, code): (_, Code) = (test_key("handset K7"), code("K7"));
        Handset::enrol(key, code, label("Gate telephone"), at("06:00"))
    }

    #[test]
    fn is_signed_by_the_key_it_carries() {
        let handset = handset();
        let card = Entry::from_card(handset.card(), &SoftwareCheck).unwrap();
        assert_eq!(card.kid(), k7());
        let EntryBody::Enrolled(body) = card.body() else {
            panic!("a card enrols");
        };
        assert_eq!(body.jwk, handset.public().jwk());
        let altered = replace_in_payload(handset.card(), "Gate", "Gift");
        assert_eq!(
            refused(&altered),
            BundleError::Manifest(JwsError::BadSignature)
        );
    }

    #[test]
    fn with_the_key_of_another_is_refused() {
        // Signed by a stranger who claims K7's key, and by K7 carrying a stranger's.
        let stranger = test_key("a stranger");
        for (signer, carried) in [("a stranger", "handset K7"), ("handset K7", "a stranger")] {
            let body = EntryBody::Enrolled(Box::new(EnrolledV1 {
                jwk: public(&test_key(carried)).jwk(),
                name: label("Gate telephone"),
            }));
            let signer = test_key(signer);
            let kid = public(&signer).id();
            let unsigned = UnsignedEntry::after(JournalHead::EMPTY, kid, at("06:00"), &body);
            let card = sign(&signer, unsigned.unwrap().unsigned());
            assert!(matches!(
                refused(&card),
                BundleError::Manifest(JwsError::OtherKey { .. })
            ));
        }
        let body = EntryBody::Enrolled(Box::new(EnrolledV1 {
            jwk: public(&test_key("handset K7")).jwk(),
            name: label("Gate telephone"),
        }));
        let unsigned = UnsignedEntry::after(JournalHead::EMPTY, k7(), at("06:00"), &body).unwrap();
        assert_eq!(
            refused(&sign(&stranger, unsigned.unsigned())),
            BundleError::Manifest(JwsError::BadSignature)
        );
    }

    #[test]
    fn is_the_first_entry_and_an_enrolment() {
        let mut handset = handset();
        let again = handset.entries[0].body().clone();
        let second = handset.write(at("06:01"), &again).compact().to_owned();
        assert!(refused(&second).to_string().contains("not the first entry"));
        let mut other = handset.clone();
        let other = other.write(at("06:02"), &combgate_tests::demo::day::opening());
        assert!(
            refused(other.compact())
                .to_string()
                .contains("another kind")
        );
        // A first entry with something before it.
        let head = JournalHead {
            seq: 0,
            hash: Digest::of("something"),
        };
        let unsigned = UnsignedEntry::after(head, k7(), on("2026-10-08", "06:00"), &again).unwrap();
        let card = sign(&handset.key, unsigned.unsigned());
        assert!(refused(&card).to_string().contains("not the first entry"));
        assert!(refused("").to_string().contains("enrolment card"));
    }

    /// A point that is not on the curve is refused when a signature is checked against it.
    #[test]
    fn with_a_key_off_the_curve_is_refused() {
        let mut jwk = public(&test_key("handset K7")).jwk();
        std::mem::swap(&mut jwk.x, &mut jwk.y);
        let off_curve = PublicKey::try_from(&jwk).unwrap();
        let body = EntryBody::Enrolled(Box::new(EnrolledV1 {
            jwk,
            name: label("Gate telephone"),
        }));
        let unsigned =
            UnsignedEntry::after(JournalHead::EMPTY, off_curve.id(), at("06:00"), &body).unwrap();
        assert_eq!(
            refused(&sign(&test_key("handset K7"), unsigned.unsigned())),
            BundleError::Manifest(JwsError::BadSignature)
        );
    }
}
