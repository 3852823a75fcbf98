//! Bundles are what the standards say: libraries of three other makers verify ours, and their
//! bundles are taken here.
//!
//! Libraries: joserfc and jwcrypto (Python), jose (JavaScript); versions in tests/interop. They
//! check RFC 7515 (compact JWS), RFC 7518, 3.4 (ES256) and RFC 7638 (thumbprints).
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use chrono::{DateTime, FixedOffset};
use combgate_core::record::{
    Bundle, DayTotalV1, Digest, EntryBody, ManifestV1, ParsedEntry, PublicKey, SoftwareCheck,
};
use combgate_tests::demo::file::{BundleFile, payload};
use combgate_tests::demo::{example, public, published_key, read};
use combgate_tests::{node, python};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What a script says of a bundle.
#[derive(Debug, Deserialize)]
struct Checked {
    libraries: BTreeMap<String, Library>,
    manifest: ManifestV1,
    entries: Vec<Seen>,
    totals: Vec<DayTotalV1>,
}

#[derive(Debug, Deserialize)]
struct Library {
    thumbprint: String,
    manifest_fits: bool,
    entries_fit: Vec<bool>,
}

#[derive(Debug, Deserialize, PartialEq, Eq)]
struct Seen {
    kid: String,
    typ: String,
    seq: u64,
    prev: Digest,
    kind: String,
    hash: Digest,
}

fn checked(text: &str) -> [Checked; 2] {
    let question = json!({ "do": "check", "bundle": text });
    [
        python::ask("bundle.py", &question),
        node::ask("bundle.mjs", &question),
    ]
}

#[test]
fn others_verify_our_bundles_and_read_the_same() {
    for path in ["example", "good/day", "good/morning", "good/afternoon"] {
        let text = read(&format!("bundles/{path}.json"));
        let own = Bundle::parse(&text)
            .unwrap()
            .verify(None, &SoftwareCheck)
            .unwrap();
        assert_eq!(own.faults(), []);
        let own_entries: Vec<_> = own
            .good()
            .map(|entry| Seen {
                kid: entry.kid().to_string(),
                typ: "combgate-entry".into(),
                seq: entry.seq(),
                prev: entry.prev(),
                kind: entry.body().kind().into(),
                hash: entry.hash(),
            })
            .collect();
        for theirs in checked(&text) {
            assert!(!theirs.libraries.is_empty());
            for (name, library) in &theirs.libraries {
                assert_eq!(library.thumbprint, own.kid().to_string(), "{name}, {path}");
                assert!(library.manifest_fits, "{name}, {path}");
                let all = vec![true; own_entries.len()];
                assert_eq!(library.entries_fit, all, "{name}, {path}");
            }
            assert_eq!(theirs.entries, own_entries, "{path}");
            assert_eq!(&theirs.manifest, own.manifest(), "{path}");
            // Kilograms, money and pails, added up by code that knows nothing of ours.
            assert_eq!(theirs.totals, own.manifest().days, "{path}");
            assert_eq!(theirs.manifest.head, own_entries.last().unwrap().hash);
        }
    }
}

#[test]
fn others_refuse_what_we_refuse() {
    let altered = read("bundles/bad/altered-byte.json");
    let own = Bundle::parse(&altered)
        .unwrap()
        .verify(None, &SoftwareCheck)
        .unwrap();
    let good: Vec<_> = own.good().map(|entry| entry.seq()).collect();
    for theirs in checked(&altered) {
        for (name, library) in theirs.libraries {
            let fitting: Vec<u64> = (1..)
                .zip(library.entries_fit)
                .filter_map(|(seq, fits)| fits.then_some(seq))
                .collect();
            assert_eq!(fitting, good, "{name}");
        }
    }
    for theirs in checked(&read("bundles/bad/forged-manifest.json")) {
        for (name, library) in theirs.libraries {
            assert!(!library.manifest_fits, "{name}");
            assert!(library.entries_fit.iter().all(|fits| *fits), "{name}");
        }
    }
}

/// What a library signs in our stead: everything but the signatures and what hangs on them.
#[derive(Serialize)]
struct ToMake {
    r#do: &'static str,
    jwk: Value,
    entries: Vec<Value>,
    manifest: Value,
}

impl ToMake {
    fn of(bundle: &str) -> Self {
        let file = BundleFile::of(bundle);
        let read = |compact: &str| serde_json::from_str(&payload(compact)).unwrap();
        // The private key that RFC 7515, A.3 publishes.
        let mut jwk = serde_json::to_value(public(&published_key()).jwk()).unwrap();
        jwk["d"] = "jpsQnnGQmL-YBIffH1136cspYG6-0iY7X1fCE9-E9LI".into();
        Self {
            r#do: "make",
            jwk,
            entries: file.entries.iter().map(|entry| read(entry)).collect(),
            manifest: read(&file.manifest),
        }
    }
}

#[test]
fn bundles_made_by_others_are_taken() {
    let ours = example::short_day();
    let question = ToMake::of(&read("bundles/example.json"));
    let mut made: BTreeMap<String, String> = python::ask("bundle.py", &question);
    made.extend(node::ask::<BTreeMap<String, String>>(
        "bundle.mjs",
        &question,
    ));
    let makers: Vec<_> = made.keys().map(String::as_str).collect();
    assert_eq!(makers, ["jose", "joserfc", "jwcrypto"]);

    let key: PublicKey = public(&published_key());
    for (maker, text) in made {
        let theirs = Bundle::parse(&text).unwrap_or_else(|error| panic!("{maker}: {error}"));
        let theirs = theirs
            .verify(Some(&key), &SoftwareCheck)
            .unwrap_or_else(|error| panic!("{maker}: {error}"));
        assert_eq!(theirs.faults(), [], "{maker}");
        let taken: Vec<_> = theirs.good().map(|entry| said(entry)).collect();
        let own: Vec<_> = ours.handset.entries.iter().map(said).collect();
        assert_eq!(taken, own, "{maker}");
        // They are the same words under other signatures.
        let head = theirs.manifest().head;
        assert_ne!(head, ours.handset.head().hash, "{maker}");
    }
}

fn said(entry: &ParsedEntry) -> (u64, DateTime<FixedOffset>, &EntryBody) {
    (entry.seq(), entry.at(), entry.body())
}
