//! A backup is whole or not there, and a desk restored from it is the desk.

#![allow(clippy::unwrap_used)] // helpers of tests
#![cfg(unix)]

mod common;

use combgate_desk::store::SqliteStore;
use common::books::Books;
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

/// Seeded moments at which a backup is killed.
const KILLS: u32 = 40;
/// Draws the moments.
const SEED: u64 = 20_261_010;

/// A desk with a handset that bought on one day, half of which is imported.
fn busy_desk(deliveries: usize) -> (TestDesk, TestHandset) {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    let bought = delivery("bought");
    for _ in 0..deliveries {
        handset.deliver(&bought, "M001", None);
    }
    let half = u64::try_from(deliveries / 2).unwrap();
    desk.write("first.json", &handset.bundle(1..=half));
    desk.write("rest.json", &handset.bundle(half + 1..=u64::MAX));
    desk.done("import first.json");
    (desk, handset)
}

/// The books of a backup, read from a desk restored from it.
fn books_in(backup: &Path) -> Books {
    let folder = tempfile::tempdir().unwrap();
    let restored = folder.path().join("restored");
    let output = Command::new(env!("CARGO_BIN_EXE_combgate"))
        .arg("restore")
        .args([backup, &restored])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{said}");
    Books::of(&SqliteStore::open(&restored.join("ledger.sqlite")).unwrap())
}

#[test]
fn a_restored_desk_prints_the_same_day_book_and_imports_on() {
    let (desk, _) = busy_desk(12);
    let said = desk.done("backup kept.backup");
    assert!(said.contains("private key"), "{said}");
    let mode = std::fs::metadata(desk.path("kept.backup")).unwrap();
    assert_eq!(mode.permissions().mode() & 0o777, 0o600);
    let ask = "daybook --day 2026-10-20";
    let before = desk.done(ask);
    assert!(before.contains("K1"), "an empty day book proves nothing");
    let said = desk.done("restore kept.backup again");
    assert!(said.contains("one of the two folders"), "{said}");
    let mode = std::fs::metadata(desk.path("again/ledger.sqlite")).unwrap();
    assert_eq!(mode.permissions().mode() & 0o777, 0o600);
    assert_eq!(desk.done(&format!("{ask} --desk again")), before);
    // Both go on, each by itself, and come to the same.
    desk.done("import rest.json --acknowledgement one.jws");
    desk.done("import rest.json --desk again --acknowledgement other.jws");
    let after = desk.done(ask);
    assert_ne!(after, before);
    assert_eq!(desk.done(&format!("{ask} --desk again")), after);
    let again = SqliteStore::open(&desk.path("again/ledger.sqlite")).unwrap();
    assert_eq!(Books::of(&again), Books::of(&desk.store()));
}

#[test]
fn nothing_but_a_backup_is_replaced_and_no_desk_is_overwritten() {
    let (desk, _) = busy_desk(4);
    desk.write("letter.txt", "a letter, and not a backup at all");
    for words in ["backup letter.txt", "backup desk/ledger.sqlite"] {
        let said = desk.printout(words);
        assert!(said.starts_with("exit 2\n"), "{said}");
        assert!(
            said.contains("is no backup of a desk; it was left"),
            "{said}"
        );
    }
    assert!(desk.read("letter.txt").starts_with("a letter"));
    desk.done("backup kept.backup");
    desk.done("backup kept.backup");
    for words in ["restore letter.txt new", "restore desk/ledger.sqlite new"] {
        let said = desk.printout(words);
        assert!(said.starts_with("exit 2\n"), "{said}");
        assert!(!desk.path("new").exists());
    }
    let before = Books::of(&desk.store());
    let said = desk.printout("restore kept.backup desk");
    assert!(said.contains("there is a desk in desk"), "{said}");
    assert_eq!(Books::of(&desk.store()), before);
    // A log without its ledger may be all that is left of a desk.
    std::fs::create_dir(desk.path("log")).unwrap();
    desk.write("log/ledger.sqlite-wal", "");
    let said = desk.printout("restore kept.backup log");
    assert!(said.contains("there is a desk in log"), "{said}");
}

#[test]
fn a_damaged_backup_is_not_restored() {
    let (desk, _) = busy_desk(40);
    desk.done("backup kept.backup");
    let whole = std::fs::read(desk.path("kept.backup")).unwrap();
    let mut random = fastrand::Rng::with_seed(SEED);
    // Source: SQLite's documentation, "Database File Format": the page size stands at byte 16.
    let page = usize::from(u16::from_be_bytes([whole[16], whole[17]]));
    for place in 0..8 {
        let mut bytes = whole.clone();
        if place == 0 {
            bytes.truncate(whole.len() / 2);
        } else {
            let at = page * random.usize(1..whole.len() / page);
            bytes[at..at + 16].fill(0xFF);
        }
        std::fs::write(desk.path("bad.backup"), bytes).unwrap();
        let said = desk.printout("restore bad.backup new");
        assert!(said.starts_with("exit 2\n"), "{place}: {said}");
        assert!(said.lines().last().unwrap().starts_with("hint: "), "{said}");
        assert!(!desk.path("new/ledger.sqlite").exists());
    }
}

#[test]
fn a_killed_backup_leaves_the_old_one_or_a_whole_new_one() {
    let (desk, _) = busy_desk(120);
    desk.done("backup old.backup");
    desk.done("import rest.json");
    let old = books_in(&desk.path("old.backup"));
    let new = Books::of(&desk.store());
    assert_ne!(old, new);
    let backup = |file: &PathBuf| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_combgate"));
        command.arg("--desk").arg(desk.path("desk"));
        command.arg("backup").arg(file).stdout(Stdio::null());
        command
    };
    let kept = desk.path("kept.backup");
    let started = Instant::now();
    assert!(backup(&kept).status().unwrap().success());
    let takes = started.elapsed();
    let mut random = fastrand::Rng::with_seed(SEED);
    let (mut stayed, mut came) = (0, 0);
    for _ in 0..KILLS {
        std::fs::copy(desk.path("old.backup"), &kept).unwrap();
        let mut running = backup(&kept).spawn().unwrap();
        std::thread::sleep(takes.mul_f64(random.f64() * 1.2));
        // SIGKILL: the program cannot put anything in order.
        running.kill().unwrap();
        running.wait().unwrap();
        let found = books_in(&kept);
        if found == old {
            stayed += 1;
        } else {
            assert_eq!(found, new);
            came += 1;
        }
    }
    assert!(stayed > 0, "no kill came in time: {came} backups were done");
    // What was cut off is named, and hinders nothing.
    let said = desk.done("backup kept.backup");
    for entry in std::fs::read_dir(desk.path("")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if name.starts_with("unfinished-backup-") {
            assert!(said.contains(&name), "{name} is not named: {said}");
        }
    }
    assert_eq!(books_in(&kept), new);
}
