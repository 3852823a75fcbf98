//! Bundles are what the standards say: libraries of three other makers verify ours and a
//! browser's, and their bundles are taken here.
//!
//! Libraries: joserfc and jwcrypto (Python), jose (JavaScript); versions in tests/interop. They
//! check RFC 7515 (compact JWS), RFC 7518, 3.4 (ES256) and RFC 7638 (thumbprints).
use chrono::{DateTime, FixedOffset};
use clap::Parser;
use combgate_core::record::{
    Bundle, DayTotalV1, Digest, EntryBody, ManifestV1, ParsedEntry, PublicKey, SignatureCheck,
    SoftwareCheck,
};
use combgate_desk::cli::Cli;
use combgate_desk::keys::DeskCheck;
use combgate_desk::store::{Journals, SqliteStore};
use combgate_tests::demo::file::{BundleFile, payload};
use combgate_tests::demo::{example, public, published_key, read};
use combgate_tests::outside::Outside;
use combgate_tests::{node, python};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::error::Error;
use std::path::Path;

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

pub(crate) fn ours_read_by_others() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "Our bundles: signatures, names, chain, sums",
        "jose, joserfc, jwcrypto; sums added up anew",
    );
    for path in ["example", "good/day", "good/morning", "good/afternoon"] {
        compare(&mut check, &read(&format!("bundles/{path}.json")), path);
    }
    Ok(check)
}

/// The bundle was made by Chromium with the phone's page, its key one of WebCrypto's that cannot
/// leave the browser: `tests/browser/gate.test.mjs` makes such a one each time, has jose check it
/// and imports it; this one was kept.
pub(crate) fn from_a_browser() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "A bundle signed by a browser's WebCrypto: the same",
        "jose, joserfc, jwcrypto; sums added up anew",
    );
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("interop/from-a-browser.json");
    let text = std::fs::read_to_string(path)?;
    let by_desk = Bundle::parse(&text)?.verify(None, &DeskCheck)?;
    assert_eq!(by_desk.faults(), []);
    compare(&mut check, &text, "from a browser");
    Ok(check)
}

/// Compares all that the libraries read in a bundle with what is read here.
fn compare(check: &mut Outside, text: &str, path: &str) {
    let own = Bundle::parse(text)
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
    for theirs in checked(text) {
        assert!(!theirs.libraries.is_empty());
        for (name, library) in &theirs.libraries {
            check.same(&own.kid().to_string(), &library.thumbprint, (name, path));
            check.same(&true, &library.manifest_fits, (name, path));
            assert_eq!(library.entries_fit.len(), own_entries.len());
            for fits in &library.entries_fit {
                check.same(&true, fits, (name, path));
            }
        }
        for (own, theirs) in own_entries.iter().zip(&theirs.entries) {
            check.same(own, theirs, path);
        }
        assert_eq!(theirs.entries.len(), own_entries.len());
        check.same(own.manifest(), &theirs.manifest, path);
        // Kilograms, money and pails, added up by code that knows nothing of ours.
        check.same(&own.manifest().days, &theirs.totals, path);
        assert_eq!(theirs.manifest.head, own_entries.last().unwrap().hash);
    }
}

pub(crate) fn what_others_refuse() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "An altered entry and a forged manifest are refused alike",
        "jose, joserfc, jwcrypto",
    );
    let altered = read("bundles/bad/altered-byte.json");
    let own = Bundle::parse(&altered)?.verify(None, &SoftwareCheck)?;
    let good: Vec<_> = own.good().map(|entry| entry.seq()).collect();
    for theirs in checked(&altered) {
        for (name, library) in theirs.libraries {
            let fitting: Vec<u64> = (1..)
                .zip(library.entries_fit)
                .filter_map(|(seq, fits)| fits.then_some(seq))
                .collect();
            check.same(&good, &fitting, name);
        }
    }
    let forged = read("bundles/bad/forged-manifest.json");
    let own = Bundle::parse(&forged)?.verify(None, &SoftwareCheck).is_ok();
    for theirs in checked(&forged) {
        for (name, library) in theirs.libraries {
            check.same(&own, &library.manifest_fits, &name);
            assert!(library.entries_fit.iter().all(|fits| *fits), "{name}");
        }
    }
    Ok(check)
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

/// Verified by both checkers, and booked by a desk that enrolled the key from the other's card.
pub(crate) fn theirs_read_here() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "Bundles made by others, verified twice and booked here",
        "jose, joserfc, jwcrypto",
    );
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
    let own: Vec<_> = ours.handset.entries.iter().map(said).collect();
    for (maker, text) in made {
        for checker in [&SoftwareCheck as &dyn SignatureCheck, &DeskCheck] {
            let theirs = Bundle::parse(&text)?.verify(Some(&key), checker)?;
            assert_eq!(theirs.faults(), [], "{maker}");
            let taken: Vec<_> = theirs.good().map(|entry| said(entry)).collect();
            check.same(&own, &taken, &maker);
            // They are the same words under other signatures.
            let head = theirs.manifest().head;
            assert_ne!(head, ours.handset.head().hash, "{maker}");
        }
        check.same(&own.len(), &booked_at_a_desk(&text)?, &maker);
    }
    Ok(check)
}

/// How many entries of a bundle a new desk books, which knows its handset from its first entry.
fn booked_at_a_desk(text: &str) -> Result<usize, Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let path = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(path("card.jws"), &BundleFile::of(text).entries[0])?;
    std::fs::write(path("bundle.json"), text)?;
    let desk = path("desk");
    let cooperative = combgate_tests::demo::folder().join("cooperative");
    let command = |words: &[&str]| {
        let begin = ["combgate", "--desk", &desk];
        combgate_desk::run(Cli::try_parse_from(begin.iter().chain(words))?)
            .map_err(|failure| Box::<dyn Error>::from(format!("{failure:?}")))
    };
    command(&["init", &desk, "--from", &cooperative.display().to_string()])?;
    command(&["enrol", &path("card.jws"), "--code", "EX"])?;
    command(&["import", &path("bundle.json")])?;
    let store = SqliteStore::open(&Path::new(&desk).join("ledger.sqlite"))?;
    let handsets = store.handsets()?;
    assert!(store.evidence(&handsets[0].code)?.is_empty());
    Ok(usize::try_from(handsets[0].head.seq)?)
}

fn said(entry: &ParsedEntry) -> (u64, DateTime<FixedOffset>, &EntryBody) {
    (entry.seq(), entry.at(), entry.body())
}
