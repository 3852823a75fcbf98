//! What the desk's pages and commands take as its ledger grows: `cargo bench -p combgate-desk
//! --bench large`.
//!
//! Twenty handsets buy for some days from twenty thousand members; each day of each is a bundle of
//! 250 entries, and the last day is yesterday. The ledgers are made by the import itself, which
//! verifies, chains, judges again and inserts; only the signatures are not made and not checked,
//! because millions of them take an hour and no page asks for them. Of a hundred deliveries one is
//! cancelled, one is paid later or, in the last fortnight, still owed, and three are held or
//! refused; every fifth day of a handset a sum comes
//! back wrong and is a finding that nobody settles. The pails of all days but the last are received.
//!
//! A page is asked for as a browser would, from its address to its last byte, and opens the ledger
//! for itself; a command is a process. Each figure is the middle one of several.
//!
//! `COMBGATE_BENCH_LEDGERS` names other sizes in days: 200 are a million entries, 1000 are five.
//! `COMBGATE_BENCH_KEEP` names a folder where the desks stay, and are found again.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    unreachable_pub
)] // for developers
#![allow(dead_code)] // of the helpers that it shares with tests

#[path = "../../tests/pages/browser.rs"]
mod browser;
#[path = "../../tests/common/mod.rs"]
mod common;

mod grow;
mod look;

use grow::{ENTRIES_A_DAY, HANDSETS, ledger_of, take};
use look::{look, milliseconds};
use std::fmt::Write as _;
use std::path::Path;
use std::time::Duration;

/// Days: 10,000 and 100,000 entries.
const DAYS: &str = "2,20";
/// The password of the account that looks.
const PASSWORD: &str = "four plain wooden hives";

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["take", ledger] => take(Path::new(ledger)),
        ["look", folder] => {
            for (what, took) in look(Path::new(folder)) {
                println!("{what}: {:.1} ms", milliseconds(took));
            }
        }
        // Run as a test it would only cost time: `cargo bench` says that it is meant.
        [part] if *part == "--bench" => compare(),
        _ => println!("give `cargo bench -p combgate-desk --bench large`"),
    }
}

/// Makes a ledger of each size, looks at it, and prints the two tables.
fn compare() {
    let asked = std::env::var("COMBGATE_BENCH_LEDGERS").unwrap_or_else(|_| DAYS.to_owned());
    let sizes: Vec<usize> = asked.split(',').map(|days| days.parse().unwrap()).collect();
    println!(
        "| entries | imported without signatures, a second | its last tenth, a second | memory, MB | ledger, MB |"
    );
    println!("| --- | --- | --- | --- | --- |");
    let mut found: Vec<Vec<(String, Duration)>> = Vec::new();
    for days in &sizes {
        let made = ledger_of(*days);
        found.push(look(&made.folder()));
    }
    let entries = |days: &usize| (days * HANDSETS * ENTRIES_A_DAY).to_string();
    let heads: Vec<String> = sizes.iter().map(entries).collect();
    println!("\n| ms, at entries | {} | growth |", heads.join(" | "));
    println!("| --- |{} --- |", " --- |".repeat(sizes.len()));
    for (place, (what, first)) in found[0].iter().enumerate() {
        let mut line = format!("| {what} |");
        for of_size in &found {
            // Writing to a string cannot fail.
            let _ = write!(line, " {:.1} |", milliseconds(of_size[place].1));
        }
        let last = found.last().unwrap()[place].1;
        println!("{line} {:.1} |", last.as_secs_f64() / first.as_secs_f64());
    }
}
