//! An import that is killed, cannot write, or meets another leaves the books either as they were
//! or as they should be, never in between.

#![allow(clippy::unwrap_used)] // helpers of tests
#![cfg(unix)]

mod common;

use combgate_desk::store::SqliteStore;
use common::books::Books;
use common::scene::{DELIVERIES, Scene};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Seeded moments at which it is killed.
const KILLS: u32 = 100;
/// After one in so many kills the import is made again, to the end.
const AGAIN_EVERY: u32 = 10;
/// Draws the moments.
const SEED: u64 = 20_261_009;

/// Bundles of an import of many, and how often it is killed.
const MANY: usize = 6;
const KILLS_OF_MANY: u32 = 40;

fn books(folder: &Path) -> Books {
    Books::of(&SqliteStore::open(&folder.join("ledger.sqlite")).unwrap())
}

#[test]
fn a_killed_import_leaves_nothing_half_done() {
    let scene = Scene::new();
    let clean = scene.copy();
    let before = books(clean.path());
    let started = Instant::now();
    assert!(scene.import(clean.path()).status().unwrap().success());
    let takes = started.elapsed();
    let after = books(clean.path());
    assert_eq!(after.papers.len(), DELIVERIES);
    let mut random = fastrand::Rng::with_seed(SEED);
    let (mut nothing, mut everything) = (0, 0);
    for kill in 0..KILLS {
        let folder = scene.copy();
        let mut import = scene.import(folder.path()).spawn().unwrap();
        std::thread::sleep(takes.mul_f64(random.f64() * 1.1));
        // SIGKILL: the program cannot put anything in order.
        import.kill().unwrap();
        import.wait().unwrap();
        let found = books(folder.path());
        if found == before {
            nothing += 1;
        } else {
            assert_eq!(found, after);
            everything += 1;
        }
        if kill % AGAIN_EVERY == 0 {
            assert!(scene.import(folder.path()).status().unwrap().success());
            assert_eq!(books(folder.path()), after);
        }
    }
    assert!(
        nothing > 0,
        "no kill came in time: {everything} imports were complete"
    );
}

/// Small bundles share a transaction, and yet each is in the books whole or not at all.
#[test]
fn a_killed_import_of_many_leaves_whole_bundles() {
    let scene = Scene::in_parts(MANY);
    assert_eq!(scene.bundles.len(), MANY);
    let mut takes = Duration::ZERO;
    let stages: Vec<Books> = (0..=MANY)
        .map(|bundles| {
            let folder = scene.copy();
            let started = Instant::now();
            if bundles > 0 {
                let mut import = scene.import_first(folder.path(), bundles);
                assert!(import.status().unwrap().success());
            }
            takes = started.elapsed();
            books(folder.path())
        })
        .collect();
    assert_eq!(stages[MANY].papers.len(), DELIVERIES);
    let mut random = fastrand::Rng::with_seed(SEED);
    let mut unfinished = 0;
    for _ in 0..KILLS_OF_MANY {
        let folder = scene.copy();
        let mut import = scene.import(folder.path()).spawn().unwrap();
        std::thread::sleep(takes.mul_f64(random.f64() * 1.1));
        import.kill().unwrap();
        import.wait().unwrap();
        let found = books(folder.path());
        let stage = stages.iter().position(|stage| *stage == found).unwrap();
        unfinished += usize::from(stage < MANY);
        if stage < MANY && unfinished % 10 == 1 {
            assert!(scene.import(folder.path()).status().unwrap().success());
            assert_eq!(books(folder.path()), stages[MANY]);
        }
    }
    assert!(unfinished > 0, "no kill came in time");
}

/// What a transaction of many could not write is written bundle by bundle, as far as there is room.
#[test]
fn an_import_of_many_that_cannot_write_says_so_of_each_bundle() {
    let scene = Scene::in_parts(MANY);
    let folder = scene.copy();
    let script =
        "trap '' XFSZ; ulimit -f \"$0\"; exec \"$1\" --desk \"$2\" import \"$3\" \"$4\" \"$5\"";
    let import = |limit: &str| {
        let output = Command::new("sh")
            .args(["-c", script, limit, env!("CARGO_BIN_EXE_combgate")])
            .arg(folder.path())
            .args(&scene.bundles[..3])
            .output()
            .unwrap();
        (
            output.status.code(),
            String::from_utf8(output.stderr).unwrap(),
        )
    };
    let before = books(folder.path());
    let (code, said) = import("100");
    assert_eq!(code, Some(2), "{said}");
    assert_eq!(said.matches("nothing was changed").count(), 3, "{said}");
    assert_eq!(books(folder.path()), before);
    let (code, said) = import("100000");
    assert_eq!(code, Some(0), "{said}");
    assert!(books(folder.path()).papers.len() >= DELIVERIES / MANY * 2);
}

/// The shell's limit on the size of files stands in for a full disk: writing fails in the middle.
#[test]
fn an_import_that_cannot_write_leaves_the_books_as_they_were() {
    let scene = Scene::new();
    let folder = scene.copy();
    let before = books(folder.path());
    let script = "trap '' XFSZ; ulimit -f 600; exec \"$0\" --desk \"$1\" import \"$2\"";
    let output = Command::new("sh")
        .args(["-c", script, env!("CARGO_BIN_EXE_combgate")])
        .arg(folder.path())
        .args(&scene.bundles)
        .output()
        .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("nothing was changed"), "{said}");
    assert!(said.lines().last().unwrap().starts_with("hint: "), "{said}");
    assert_eq!(books(folder.path()), before);
    assert!(scene.import(folder.path()).status().unwrap().success());
    assert_eq!(books(folder.path()).papers.len(), DELIVERIES);
}

#[test]
fn two_imports_at_once_book_everything_once() {
    let scene = Scene::new();
    let folder = scene.copy();
    let mut one = scene.import(folder.path()).spawn().unwrap();
    let mut other = scene.import(folder.path()).spawn().unwrap();
    assert!(one.wait().unwrap().success());
    assert!(other.wait().unwrap().success());
    assert_eq!(books(folder.path()).papers.len(), DELIVERIES);
}

/// A second import does not wait for ever on one that hangs.
#[test]
fn a_ledger_that_stays_busy_is_explained() {
    let scene = Scene::new();
    let folder = scene.copy();
    let mut store = SqliteStore::open(&folder.path().join("ledger.sqlite")).unwrap();
    let started = Instant::now();
    let output = combgate_desk::store::Store::atomically(&mut store, |_| {
        let mut import = scene.import(folder.path());
        Ok::<_, combgate_desk::store::StoreError>(import.stderr(Stdio::piped()).output().unwrap())
    })
    .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(said.contains("another program is writing"), "{said}");
    assert!(started.elapsed() < Duration::from_mins(2));
}
