//! A bundle that was changed, cut, mixed or lied about is refused, and the entry is named.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::record::{
    BUNDLE_BYTES_AT_MOST, Bundle, BundleError, BundleFault, Digest, DocumentError,
    ENTRY_BYTES_AT_MOST, EntryFault, JwsError, ManifestV1, PublicKey, SignatureCheck, Signed,
    SoftwareCheck, Typ, Unsigned, Verified, make_bundle,
};
use combgate_tests::demo::day::{Gate, good_comb};
use combgate_tests::demo::file::{BundleFile, replace_in_payload};
use combgate_tests::demo::honey::{Paid, issue};
use combgate_tests::demo::{at, bad, public, sign, test_key};
use combgate_tests::twin::twin;

fn k7() -> PublicKey {
    public(&test_key("handset K7"))
}

fn verify(text: &str) -> Result<Bundle<Verified>, BundleError> {
    Bundle::parse(text)?.verify(Some(&k7()), &SoftwareCheck)
}

fn faults(text: &str) -> Vec<BundleFault> {
    verify(text).unwrap().faults()
}

/// Card, opening, one receipt, closing: small enough to be checked many times.
fn short_gate() -> Gate {
    let mut gate = Gate::opened();
    gate.buy("07:42", issue(1, "M001", good_comb(101)), Paid::Cash);
    gate.close("08:00");
    gate
}

fn short() -> String {
    short_gate().handset.bundle(.., at("17:05"))
}

fn refused_at(fault: &BundleFault) -> Option<usize> {
    match fault {
        BundleFault::Entry(bad) => Some(bad.position),
        _ => None,
    }
}

#[test]
fn no_changed_byte_goes_unnoticed_and_the_entry_is_named() {
    let good = short();
    assert_eq!(faults(&good), []);
    let file = BundleFile::of(&good);
    let places: Vec<_> = file
        .entries
        .iter()
        .map(|entry| {
            let from = good.find(entry.as_str()).unwrap();
            from..from + entry.len()
        })
        .collect();
    let mut seeded = fastrand::Rng::with_seed(1);
    let random = std::iter::repeat_with(|| seeded.usize(..good.len())).take(250);
    // And both ends of each entry, where signatures and headers have their edges.
    let edges = places.iter().flat_map(|range| [range.start, range.end - 1]);
    let tried: Vec<_> = random.chain(edges).collect();
    for place in tried {
        for other in ["A", "B", "\"", "."] {
            if good[place..].starts_with(other) {
                continue;
            }
            let mut changed = good.clone();
            changed.replace_range(place..=place, other);
            let touched = places.iter().position(|range| range.contains(&place));
            match (verify(&changed), touched) {
                // A quote ends the entry's text, and the file is no JSON any more.
                (Err(_), _) => assert!(touched.is_none() || other == "\"", "byte {place}"),
                (Ok(bundle), Some(entry)) => {
                    let refused = bundle.faults().iter().find_map(refused_at);
                    assert_eq!(refused, Some(entry + 1), "byte {place}");
                    assert_eq!(bundle.good().count(), file.entries.len() - 1);
                }
                (Ok(_), None) => panic!("byte {place} as {other} goes unnoticed"),
            }
        }
    }
}

#[test]
fn an_altered_entry_that_can_be_read_is_named_by_its_number() {
    let text = BundleFile::of(&short()).with(|file| {
        file.entries[2] = replace_in_payload(&file.entries[2], "\"M001\"", "\"M006\"");
    });
    let message = faults(&text)[0].to_string();
    assert!(
        message.starts_with("entry 3 (place 3 of the file): the signature"),
        "{message}"
    );
}

#[test]
fn a_file_cut_anywhere_is_refused_whole() {
    let good = short();
    let mut seeded = fastrand::Rng::with_seed(2);
    for length in std::iter::repeat_with(|| seeded.usize(..good.len())).take(200) {
        let refused = verify(&good[..length]).unwrap_err();
        assert!(
            matches!(
                refused,
                BundleError::Document(DocumentError::Malformed { .. })
            ),
            "{length}: {refused}"
        );
    }
}

#[test]
fn every_missing_entry_is_a_gap() {
    let file = BundleFile::of(&short());
    let last = file.entries.len() - 1;
    for missing in 0..=last {
        let found = faults(&file.with(|file| drop(file.entries.remove(missing))));
        let seq = u64::try_from(missing).unwrap() + 1;
        let expected = BundleFault::Gap {
            before: seq - 1,
            found: seq + 1,
        };
        if missing == last {
            assert!(matches!(
                found[..],
                [BundleFault::NotAsSigned { last: 4, .. }]
            ));
        } else {
            assert_eq!(found[0], expected);
        }
    }
}

#[test]
fn entries_out_of_order_or_twice_are_named() {
    let file = BundleFile::of(&short());
    let gap = |before, found| BundleFault::Gap { before, found };
    let swapped = faults(&file.with(|file| file.entries.swap(1, 2)));
    assert_eq!(swapped[..2], [gap(1, 3), gap(3, 2)]);
    let twice = faults(&file.with(|file| file.entries.insert(2, file.entries[1].clone())));
    assert_eq!(twice[0], gap(2, 2));
}

#[test]
fn an_entry_of_another_history_does_not_link() {
    let other = BundleFile::of(&bad::fork());
    let mixed = BundleFile::of(&short()).with(|file| file.entries[2] = other.entries[2].clone());
    assert_eq!(faults(&mixed), [BundleFault::Unlinked(4)]);
}

/// Anybody can make a second signature that fits (`n - s`); the chain still shows it.
#[test]
fn a_turned_signature_breaks_the_chain_after_it() {
    let file = BundleFile::of(&short());
    let turn = |place: usize| file.with(|file| file.entries[place] = twin(&file.entries[place]));
    assert_eq!(faults(&turn(1)), [BundleFault::Unlinked(3)]);
    assert!(matches!(
        faults(&turn(3))[..],
        [BundleFault::NotAsSigned { .. }]
    ));
    // The manifest's own signature may be turned: what it says stays proven.
    assert_eq!(
        faults(&file.with(|file| file.manifest = twin(&file.manifest))),
        []
    );
}

#[test]
fn a_manifest_that_lies_is_caught_in_each_of_its_figures() {
    let gate = short_gate();
    let lie = |change: &dyn Fn(&mut ManifestV1)| faults(&bad::with_manifest(&gate, change));
    assert_eq!(lie(&|_| ()), []);
    for change in [
        (|manifest| manifest.last_seq += 1) as fn(&mut ManifestV1),
        |manifest| manifest.last_seq = 0,
        |manifest| manifest.count += 1,
        |manifest| manifest.count = u64::MAX,
        |manifest| manifest.first_seq = 0,
        |manifest| manifest.head = Digest::NONE,
    ] {
        let found = lie(&change);
        assert!(
            matches!(found[..], [BundleFault::NotAsSigned { .. }]),
            "{found:?}"
        );
    }
    let found = lie(&|manifest| manifest.first_seq = 2);
    assert_eq!(
        found[0],
        BundleFault::Gap {
            before: 1,
            found: 1
        }
    );
    let found = lie(&|manifest| manifest.first_seq = u64::MAX);
    assert!(
        matches!(found[0], BundleFault::Gap { found: 1, .. }),
        "{found:?}"
    );
    let found = lie(&|manifest| manifest.prev = Digest::of("another journal"));
    assert_eq!(found, [BundleFault::Unlinked(1)]);
    for change in [
        (|day| day.net_g += 1) as fn(&mut combgate_core::record::DayTotalV1),
        |day| day.payable_minor -= 1,
        |day| day.paid_minor += 1,
        |day| day.receipts += 1,
        |day| day.slips += 1,
        |day| day.cancellations += 1,
        |day| day.pails += 1,
        |day| day.day = day.day.succ_opt().unwrap(),
    ] {
        let found = lie(&|manifest| change(&mut manifest.days[0]));
        assert_eq!(found, [BundleFault::TotalsDiffer]);
    }
    assert_eq!(
        lie(&|manifest| manifest.days.clear()),
        [BundleFault::TotalsDiffer]
    );
}

#[test]
fn a_manifest_over_nothing_proves_nothing() {
    let gate = short_gate();
    let honest = gate.handset.manifest(&gate.handset.entries, at("17:05"));
    let mut manifest: ManifestV1 =
        serde_json::from_str(&combgate_tests::demo::file::payload(&honest)).unwrap();
    (manifest.first_seq, manifest.last_seq, manifest.count) = (5, 4, 0);
    manifest.prev = manifest.head;
    manifest.days.clear();
    let text = serde_json::to_string(&manifest).unwrap();
    let unsigned = Unsigned::new(Typ::Manifest, k7().id(), &text).unwrap();
    let bundle = make_bundle(sign(&gate.handset.key, &unsigned), &[]).unwrap();
    assert!(matches!(
        faults(&bundle)[..],
        [BundleFault::NotAsSigned { .. }]
    ));
}

#[test]
fn whose_a_bundle_is_only_an_enrolled_key_says() {
    let stranger = bad::wrong_key();
    let by_its_own_key = Bundle::parse(&stranger)
        .unwrap()
        .verify(None, &SoftwareCheck);
    let by_its_own_key = by_its_own_key.unwrap();
    assert_eq!(by_its_own_key.faults(), []);
    assert_eq!(by_its_own_key.kid(), public(&test_key("a stranger")).id());
    assert!(matches!(
        verify(&stranger),
        Err(BundleError::Manifest(JwsError::OtherKey { .. }))
    ));
    // A stranger's entry under the handset's manifest.
    let file = BundleFile::of(&stranger);
    let mixed = BundleFile::of(&short()).with(|own| own.entries[2] = file.entries[2].clone());
    let found = faults(&mixed);
    assert!(
        matches!(&found[0], BundleFault::Entry(bad) if bad.claimed_seq == Some(3)
            && matches!(bad.fault, EntryFault::Jws(JwsError::OtherKey { .. }))),
        "{found:?}"
    );
    // A manifest signed by the handset that carries another's key does not make the other trusted.
    let carried = bad::with_manifest(&short_gate(), |manifest| {
        manifest.jwk = public(&test_key("a stranger")).jwk();
    });
    assert!(
        Bundle::parse(&carried)
            .unwrap()
            .verify(None, &SoftwareCheck)
            .is_err()
    );
}

#[test]
fn only_the_file_of_the_format_is_read() {
    let good = short();
    let file = BundleFile::of(&good);
    for version in [
        "combgate-bundle/0",
        "combgate-bundle/2",
        "combgate-bundle/1 ",
        "",
    ] {
        let refused = verify(&file.with(|file| version.clone_into(&mut file.format)));
        assert!(
            matches!(
                refused,
                Err(BundleError::Document(DocumentError::UnknownVersion { .. }))
            ),
            "{version}"
        );
        let inside = bad::with_manifest(&short_gate(), |m| version.clone_into(&mut m.format));
        assert!(
            matches!(
                verify(&inside),
                Err(BundleError::Document(DocumentError::UnknownVersion {
                    what: "manifest",
                    ..
                }))
            ),
            "{version}"
        );
    }
    for (was, now) in [
        ("{", r#"{"more":1,"#),
        ("{", r#"{"format":"combgate-bundle/1","#),
        ("{", r#"{"entries":[],"#),
        (r#""entries""#, r#""Entries""#),
        (r#""entries":["#, r#""entries":[null,"#),
        ("{", "[{"),
        ("{", "\u{FEFF}{"),
    ] {
        let changed = good.replacen(was, now, 1);
        assert_ne!(changed, good);
        assert!(matches!(
            verify(&changed),
            Err(BundleError::Document(DocumentError::Malformed { .. }))
        ));
    }
}

#[test]
fn size_is_bounded() {
    assert_eq!(BUNDLE_BYTES_AT_MOST, 32 * 1024 * 1024);
    let mut text = short();
    text.push_str(&" ".repeat(BUNDLE_BYTES_AT_MOST - text.len()));
    assert!(Bundle::parse(&text).is_ok());
    text.push(' ');
    assert!(matches!(
        Bundle::parse(&text),
        Err(BundleError::Document(DocumentError::TooLarge { .. }))
    ));
    // Of an entry that is too large no more is kept than an entry may have.
    let large = BundleFile::of(&short()).with(|file| file.entries[2] = "é".repeat(1_000_000));
    let found = faults(&large);
    let BundleFault::Entry(bad) = &found[0] else {
        panic!("{found:?}");
    };
    assert_eq!((bad.position, bad.claimed_seq), (3, None));
    assert_eq!(bad.compact.chars().count(), ENTRY_BYTES_AT_MOST);
}

/// A checker that forgets to answer must not let anything through.
#[test]
fn a_signature_nobody_answered_for_does_not_fit() {
    struct Forgetful;
    impl SignatureCheck for Forgetful {
        fn fits(&self, key: &PublicKey, signed: Signed<'_>) -> bool {
            SoftwareCheck.fits(key, signed)
        }
        fn fit_all(&self, key: &PublicKey, many: &[Signed<'_>]) -> Vec<bool> {
            many[..2].iter().map(|one| self.fits(key, *one)).collect()
        }
    }
    let bundle = Bundle::parse(&short()).unwrap();
    let bundle = bundle.verify(Some(&k7()), &Forgetful).unwrap();
    assert_eq!(bundle.good().count(), 2);
}
