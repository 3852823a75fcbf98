//! What an import costs beside its two floors, in one run: `cargo bench -p combgate-desk`.
//!
//! Twenty handsets buy for some days; each day of each is one bundle. Every measurement is a
//! process of its own that sees nothing but the bundles' files and a copy of the desk's ledger:
//!
//! - **whole**: the import itself: read, parse, verify, chain, judge again, insert, commit.
//! - **signatures**: only the check of the entries' signatures, on all cores.
//! - **inserting**: only the rows of entries and papers, one transaction a bundle.
//! - **parsing**: only reading files and taking entries apart, for whoever looks for the rest.
//! - **Node, Python**: the straightforward imports of `tests/bench/peers`, which check signatures and
//!   links and keep rows, and judge nothing; where `COMBGATE_NODE` and `COMBGATE_PYTHON` name those
//!   programs.
//!
//! `COMBGATE_BENCH_DAYS` names other amounts: 200 days are a million entries.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // a program for developers

#[path = "../tests/common/mod.rs"]
mod common;

use combgate_core::record::{
    Bundle, ENTRY_BYTES_AT_MOST, Entry, Jws, ParsedEntry, SignatureCheck, Signed, Typ, Verified,
};
use combgate_desk::import::import_all;
use combgate_desk::keys::DeskCheck;
use combgate_desk::store::{Journals, Kept, Paper, Papers, SqliteStore, Store, StoreError};
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

/// Draws members and forms.
const SEED: u64 = 20_261_011;
const HANDSETS: usize = 20;
/// Entries of a handset's day, its opening included.
const ENTRIES_A_DAY: usize = 250;
/// Days: 10,000, 30,000 and 100,000 entries.
const DAYS: &str = "2,6,20";
/// Where the imports in other languages are.
const PEERS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/bench/peers");

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.split_first() {
        Some((part, [ledger, files @ ..])) if !part.starts_with('-') => {
            measure(part, Path::new(ledger), files);
        }
        // Run as a test it would only cost time: `cargo bench` says that it is meant.
        Some((part, _)) if part == "--bench" => compare(),
        _ => println!("give `cargo bench -p combgate-desk`"),
    }
}

/// Lays the bundles out, has every part measured, and prints the table.
fn compare() {
    let asked = std::env::var("COMBGATE_BENCH_DAYS").unwrap_or_else(|_| DAYS.to_owned());
    let amounts: Vec<usize> = asked.split(',').map(|days| days.parse().unwrap()).collect();
    let most = *amounts.iter().max().unwrap();
    let desk = TestDesk::with_open_prices();
    let bundles: Vec<Vec<PathBuf>> = (1..=HANDSETS)
        .map(|handset| lay_out(&desk, handset, most))
        .collect();
    println!(
        "| entries | whole, a second | of signatures | of inserting | of the lesser | parsing alone | times Node | times Python | memory, MB | growth |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    let mut first = None;
    for days in amounts {
        let files: Vec<&PathBuf> = (0..days)
            .flat_map(|day| bundles.iter().map(move |of_handset| &of_handset[day]))
            .collect();
        let entries = count(HANDSETS * ENTRIES_A_DAY * days);
        let ledger = |name: &str| {
            let copy = desk.path(&format!("{name}-{days}.sqlite"));
            std::fs::copy(desk.path("desk/ledger.sqlite"), &copy).unwrap();
            copy
        };
        // The books that the import made say which papers are to be inserted.
        let booked = ledger("whole");
        let (whole, memory) = measured("whole", &booked, &files);
        let (inserting, _) = measured("inserting", &booked, &files);
        let (signatures, _) = measured("signatures", &booked, &files);
        let (parsing, _) = measured("parsing", &booked, &files);
        let node = peer("COMBGATE_NODE", "import.mjs", &booked, &files);
        let python = peer("COMBGATE_PYTHON", "import.py", &booked, &files);
        let times = |peer: Option<f64>| {
            peer.map_or_else(|| "-".to_owned(), |took| format!("{:.1}", took / whole))
        };
        let each = whole / entries;
        let growth = each / *first.get_or_insert(each);
        println!(
            "| {entries} | {:.0} | {:.2} | {:.2} | {:.2} | {:.2} | {} | {} | {memory:.0} | {growth:.2} |",
            entries / whole,
            signatures / whole,
            inserting / whole,
            signatures.max(inserting) / whole,
            parsing / whole,
            times(node),
            times(python),
        );
    }
}

/// Writes a handset's bundles, a day each.
fn lay_out(desk: &TestDesk, handset: usize, days: usize) -> Vec<PathBuf> {
    let mut random = fastrand::Rng::with_seed(SEED + u64::try_from(handset).unwrap());
    let kinds = ["bought", "held", "refused"].map(delivery);
    let mut handset = TestHandset::enrol(desk, &format!("K{handset}"));
    let members: Vec<String> = handset
        .brief
        .payload()
        .members
        .iter()
        .filter(|member| member.advance.is_none())
        .map(|member| member.number.to_string())
        .collect();
    let mut files = Vec::new();
    for _ in 0..days {
        let from = handset.entries.last().unwrap().seq() + 1;
        handset.open();
        for _ in 2..ENTRIES_A_DAY {
            // Of ten deliveries eight are bought.
            let kind = random.usize(0..10).saturating_sub(7);
            let member = &members[random.usize(0..members.len())];
            handset.deliver(&kinds[kind], member, Some(100_000));
        }
        handset.close();
        let name = format!("{}-{from}.json", handset.code);
        desk.write(&name, &handset.bundle(from..=u64::MAX));
        files.push(desk.path(&name));
        handset.sleep();
    }
    files
}

/// Seconds and megabytes that a part took in a process of its own.
fn measured(part: &str, ledger: &Path, files: &[&PathBuf]) -> (f64, f64) {
    said_by(
        Command::new(std::env::current_exe().unwrap())
            .arg(part)
            .arg(ledger)
            .args(files),
    )
}

/// The two figures that a program prints: seconds, and one more.
fn said_by(command: &mut Command) -> (f64, f64) {
    let output = command.output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(
        output.status.success(),
        "{command:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    let (seconds, more) = said.trim().split_once(' ').unwrap();
    (seconds.parse().unwrap(), more.parse().unwrap())
}

/// Seconds that an import in another language took, where its program is named.
fn peer(program: &str, script: &str, beside: &Path, files: &[&PathBuf]) -> Option<f64> {
    let program = std::env::var_os(program)?;
    let ledger = beside.with_extension(script);
    let (seconds, kept) = said_by(
        Command::new(program)
            .arg(Path::new(PEERS).join(script))
            .arg(&ledger)
            .args(files),
    );
    let expected = count(files.len() * ENTRIES_A_DAY);
    assert!((kept - expected).abs() < 0.5, "{script} kept {kept}");
    Some(seconds)
}

fn measure(part: &str, ledger: &Path, files: &[String]) {
    let took = match part {
        "whole" => whole(ledger, files),
        "signatures" => files.iter().map(|file| signatures(file)).sum(),
        "inserting" => inserting(ledger, files),
        "parsing" => files.iter().map(|file| parsing(file)).sum(),
        other => unreachable!("no part is called {other}"),
    };
    println!("{} {}", took.as_secs_f64(), common::most_memory());
}

fn whole(ledger: &Path, files: &[String]) -> Duration {
    let mut store = SqliteStore::open(ledger).unwrap();
    let now = "2026-11-20T18:00:00+03:00".parse().unwrap();
    let started = Instant::now();
    let files: Vec<PathBuf> = files.iter().map(PathBuf::from).collect();
    import_all(&mut store, &DeskCheck, &files, now, |_, done| {
        let booked = done.unwrap().extension.booked;
        assert_eq!(booked, u64::try_from(ENTRIES_A_DAY).unwrap());
    });
    started.elapsed()
}

fn signatures(file: &str) -> Duration {
    let bundle = verified(file);
    let forms: Vec<Jws> = bundle
        .good()
        .map(|entry| Jws::parse(entry.compact(), Typ::Entry, ENTRY_BYTES_AT_MOST).unwrap())
        .collect();
    let signed: Vec<Signed<'_>> = forms.iter().map(Jws::signed).collect();
    assert_eq!(signed.len(), ENTRIES_A_DAY);
    let started = Instant::now();
    let fit = DeskCheck.fit_all(bundle.key(), &signed);
    let took = started.elapsed();
    assert!(fit.into_iter().all(|fits| fits));
    took
}

fn inserting(booked: &Path, files: &[String]) -> Duration {
    let from = SqliteStore::open(booked).unwrap();
    let path = booked.with_extension("inserting");
    std::fs::copy(booked.with_file_name("desk").join("ledger.sqlite"), &path).unwrap();
    let mut store = SqliteStore::open(&path).unwrap();
    let mut took = Duration::ZERO;
    for file in files {
        let bundle = verified(file);
        let handset = bundle.manifest().handset.clone().unwrap();
        let entries: Vec<&Entry> = bundle.good().collect();
        let papers: BTreeMap<u64, Paper> = from
            .papers_on(bundle.manifest().days[0].day)
            .unwrap()
            .into_iter()
            .filter(|paper| paper.handset == handset)
            .map(|paper| (paper.seq, paper))
            .collect();
        let started = Instant::now();
        store
            .atomically(|store| {
                for entry in &entries {
                    store.keep_entry(&handset, entry, Kept::Booked)?;
                    if let Some(paper) = papers.get(&entry.seq()) {
                        store.keep_paper(paper)?;
                    }
                }
                Ok::<_, StoreError>(())
            })
            .unwrap();
        took += started.elapsed();
    }
    took
}

fn parsing(file: &str) -> Duration {
    let bundle = verified(file);
    let compact: Vec<String> = bundle.good().map(|e| e.compact().to_owned()).collect();
    let started = Instant::now();
    let text = std::fs::read_to_string(file).unwrap();
    let again = Bundle::parse(&text).unwrap();
    let parsed: Vec<_> = compact.iter().map(|one| ParsedEntry::parse(one)).collect();
    let took = started.elapsed();
    assert!(again.kid() == bundle.kid() && parsed.iter().all(Result::is_ok));
    took
}

fn verified(file: &str) -> Bundle<Verified> {
    let text = std::fs::read_to_string(file).unwrap();
    let bundle = Bundle::parse(&text).unwrap();
    bundle.verify(None, &DeskCheck).unwrap()
}

fn count(entries: usize) -> f64 {
    f64::from(u32::try_from(entries).unwrap())
}
