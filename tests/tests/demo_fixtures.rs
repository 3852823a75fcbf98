//! What is kept in `demo-fixtures` is what the generator makes now, and is what its README says.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::clerk::ReviewState;
use combgate_core::intake::{Decision, Delivery};
use combgate_core::record::{
    Bundle, BundleError, BundleFault, DeliveryV1, DocumentError, Entry, EntryBody, JwsError, KeyId,
    PolicyV1, PublicKey, SoftwareCheck, from_text,
};
use combgate_tests::demo::file::BundleFile;
use combgate_tests::demo::ledger::Ledger;
use combgate_tests::demo::{bad, day, example, files, public, published_key, read, test_key};
use std::collections::BTreeSet;

fn k7() -> PublicKey {
    public(&test_key("handset K7"))
}

fn faults(path: &str) -> Result<Vec<BundleFault>, BundleError> {
    let bundle = Bundle::parse(&read(path))?;
    Ok(bundle.verify(Some(&k7()), &SoftwareCheck)?.faults())
}

#[test]
fn the_files_are_what_the_generator_makes() {
    for (path, text) in files::all() {
        assert!(
            read(&path) == text,
            "demo-fixtures/{path} is not what the program makes now. If the format or a rule was \
             meant to change, run: cargo run -p combgate-tests --bin demo-fixtures"
        );
    }
}

#[test]
fn no_file_lies_there_that_the_generator_does_not_make() {
    let made: BTreeSet<_> = files::all().into_iter().map(|(path, _)| path).collect();
    for folder in [
        "bundles",
        "bundles/good",
        "bundles/bad",
        "deliveries",
        "fortnight",
        "handset-k7",
    ] {
        for file in std::fs::read_dir(combgate_tests::demo::folder().join(folder)).unwrap() {
            let file = file.unwrap();
            let path = format!("{folder}/{}", file.file_name().into_string().unwrap());
            let known = file.file_type().unwrap().is_dir() || made.contains(&path);
            assert!(known, "demo-fixtures/{path} is made by nobody");
        }
    }
}

/// The member's sum by hand, from the cooperative's price list.
#[test]
fn the_good_day_pays_what_the_price_list_says() {
    let paid: Vec<_> = day::whole()
        .handset
        .entries
        .iter()
        .filter_map(|entry| match entry.body() {
            EntryBody::Receipt(receipt) => Some((
                receipt.number.to_string(),
                receipt.assessment.net_g.map_or(0, i64::from),
                receipt.assessment.payable_minor.unwrap(),
            )),
            _ => None,
        })
        .collect();
    let expected = [
        // 17.5 kg at 420 and 25 for organic, less 1 %: 7,709.625, to the coin of 5.
        ("K7-26-00001", 17_500, 771_000),
        // 37.98 kg at 480 is 18,230.40; less 1 %, less 30 % to the savings group.
        ("K7-26-00002", 37_980, 1_258_000),
        // 14.11 kg at 300, less 1 %: 4,190.67.
        ("K7-26-00003", 14_110, 419_000),
        // 22.53 kg at 445, less 1 %: 9,925.5915.
        ("K7-26-00004", 22_530, 992_500),
        // 3.08 kg at 950, less 1 %: 2,896.74.
        ("K7-26-00007", 3_080, 289_500),
        // 11.09 kg at 350, less 1 %: 3,842.685.
        ("K7-26-00008", 11_090, 384_500),
        // 18.2 kg at 420, less 1 %: 7,567.56; cancelled.
        ("K7-26-00009", 18_200, 757_000),
        // 17.7 kg at 420, less 1 %: 7,359.66.
        ("K7-26-00010", 17_700, 736_000),
        // 69.72 kg at 445, less 1 %: 30,715.146.
        ("K7-26-00011", 69_720, 3_071_500),
        // 11.24 kg at 480, less 1 %: 5,341.248.
        ("K7-26-00012", 11_240, 534_000),
        // 15.35 kg at 360, less 1 %: 5,470.74.
        ("K7-26-00014", 15_350, 547_000),
    ];
    let expected: Vec<_> = expected.map(|(n, g, m)| (n.to_owned(), g, m)).into();
    assert_eq!(paid, expected);
}

#[test]
fn the_good_day_has_no_fault_and_no_finding() {
    for path in ["day", "morning", "afternoon"] {
        assert_eq!(faults(&format!("bundles/good/{path}.json")), Ok(vec![]));
    }
    let gate = day::whole();
    let mut ledger = Ledger::of(&gate.brief);
    let mut review = ReviewState::new(gate.handset.code.clone());
    for entry in &gate.handset.entries {
        assert_eq!(review.review(entry, &ledger), [], "entry {}", entry.seq());
        ledger.book(entry);
    }
}

#[test]
fn each_bad_bundle_is_bad_in_its_own_way() {
    let is_entry = |fault: &BundleFault, seq| matches!(fault, BundleFault::Entry(bad) if bad.claimed_seq == Some(seq));
    let altered = faults("bundles/bad/altered-byte.json").unwrap();
    assert!(is_entry(&altered[0], bad::TOUCHED_SEQ), "{altered:?}");

    let (before, found) = (bad::TOUCHED_SEQ - 1, bad::TOUCHED_SEQ + 1);
    let gap = faults("bundles/bad/gap.json").unwrap();
    assert_eq!(gap[0], BundleFault::Gap { before, found });

    let lying = faults("bundles/bad/lying-totals.json");
    assert_eq!(lying, Ok(vec![BundleFault::TotalsDiffer]));

    assert!(matches!(
        faults("bundles/bad/wrong-key.json"),
        Err(BundleError::Manifest(JwsError::OtherKey { .. }))
    ));
    let forged = faults("bundles/bad/forged-manifest.json");
    assert_eq!(forged, Err(BundleError::Manifest(JwsError::BadSignature)));
    assert!(matches!(
        faults("bundles/bad/truncated.json"),
        Err(BundleError::Document(DocumentError::Malformed { .. }))
    ));
    for version in ["old", "unknown"] {
        assert!(matches!(
            faults(&format!("bundles/bad/{version}-version.json")),
            Err(BundleError::Document(DocumentError::UnknownVersion { .. }))
        ));
    }
    // Whole by themselves; the ledger and the review find what is wrong.
    for name in ["fork", "dishonest"] {
        assert_eq!(faults(&format!("bundles/bad/{name}.json")), Ok(vec![]));
    }
}

/// The key is that of RFC 7515, A.3, kept in tests/reference/crypto_and_format_vectors.md; its
/// thumbprint was computed with jwcrypto.
#[test]
fn the_example_is_signed_with_the_published_key_and_shows_every_kind() {
    let bundle = Bundle::parse(&read("bundles/example.json")).unwrap();
    let bundle = bundle
        .verify(Some(&public(&published_key())), &SoftwareCheck)
        .unwrap();
    assert_eq!(bundle.faults(), []);
    assert_eq!(
        bundle.kid(),
        KeyId::try_from("oKIywvGUpTVTyxMQ3bwIIeQUudfr_CkLMjCE19ECD-U".to_owned()).unwrap()
    );
    let kinds: BTreeSet<_> = bundle.good().map(|entry| entry.body().kind()).collect();
    assert_eq!(kinds.len(), 9, "{kinds:?}");
    assert_eq!(
        bundle.good().count(),
        example::short_day().handset.entries.len()
    );
}

#[test]
fn the_formats_description_shows_the_examples_first_entry() {
    let description = include_str!("../../core/src/record/format.md");
    let joined: String = description
        .chars()
        .filter(|letter| !letter.is_whitespace() && !['"', ','].contains(letter))
        .collect();
    let example = BundleFile::of(&read("bundles/example.json"));
    assert!(joined.contains(&format!("concat!({})", example.entries[0])));
}

#[test]
fn the_card_is_the_journals_first_entry() {
    let card = Entry::from_card(&read("handset-k7/enrolment-card.jws"), &SoftwareCheck).unwrap();
    assert_eq!((card.seq(), card.kid()), (1, k7().id()));
}

#[test]
fn the_deliveries_are_judged_as_they_are_called() {
    let policy = PolicyV1::read(&read("policy/default.json")).unwrap();
    for (name, decision) in [
        ("bought", Decision::Buy),
        ("held", Decision::Hold),
        ("refused", Decision::Refuse),
        ("stingless", Decision::Buy),
    ] {
        let text = read(&format!("deliveries/{name}.json"));
        let wire: DeliveryV1 = from_text("delivery", &text, text.len()).unwrap();
        let delivery = Delivery::try_from(&wire).unwrap();
        let judged = combgate_core::intake::judge(&delivery, &policy).unwrap();
        assert_eq!(judged.decision, decision, "{name}");
    }
}
