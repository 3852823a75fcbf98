//! What pages and commands of a desk take.

use super::browser::Browser;
use super::common;
use chrono::{Days, Local};
use rusqlite::{Connection, OpenFlags};
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// How often a page or a command is asked for.
const TIMES: usize = 5;
/// The same books in Python.
const PEER: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../tests/bench/peers/books.py"
);

/// Asks for every page, and for the commands that read.
pub fn look(folder: &Path) -> Vec<(String, Duration)> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .build()
        .unwrap();
    let day = (Local::now().date_naive() - Days::new(1)).to_string();
    let ledger = folder.join("ledger.sqlite");
    let member = latest_member(&ledger);
    let mut found = Vec::new();
    runtime.block_on(async {
        let mut browser = Browser::at(folder.to_owned(), None);
        browser.sign_in("neema").await;
        let findings = browser.get("/findings").await.links("/findings/");
        let pages = BTreeMap::from([
            ("a day book", format!("/days/{day}")),
            ("a member's season", format!("/members/{member}")),
            ("a member's card", format!("/members/{member}/card")),
            ("an entry", "/entries/K7/40".to_owned()),
            ("a handset", "/handsets/K7".to_owned()),
            ("findings of a handset", "/findings?handset=K7".to_owned()),
            (
                "search of the register",
                format!("/register?search={member}"),
            ),
            (
                "a finding",
                findings
                    .first()
                    .cloned()
                    .unwrap_or_else(|| "/findings".to_owned()),
            ),
            ("an officer's day", format!("/reconcile?day={day}")),
        ]);
        let plain = [
            "/",
            "/import",
            "/findings",
            "/receiving",
            "/payments",
            "/closing",
            "/members",
            "/handsets",
            "/register",
            "/terms",
            "/briefs",
            "/statistics",
            "/export",
            "/backup",
        ];
        let plain = plain.map(|path| (format!("page {path}"), path.to_owned()));
        let pages = pages
            .into_iter()
            .map(|(name, path)| (format!("page: {name}"), path));
        for (name, path) in plain.into_iter().chain(pages) {
            let mut took = Vec::new();
            for _ in 0..TIMES {
                let started = Instant::now();
                let page = browser.get(&path).await;
                took.push(started.elapsed());
                assert!(page.status.is_success(), "{path}: {}", page.text);
            }
            found.push((name, middle(took)));
        }
    });
    for (name, words) in [
        ("daybook", format!("daybook --day {day}")),
        ("member statement", format!("member statement {member}")),
        ("pails", format!("pails --from {day}")),
        ("pay list", "pay list".to_owned()),
        ("reconcile", format!("reconcile --day {day}")),
        ("findings of a handset", "findings --handset K7".to_owned()),
        ("closed", "closed".to_owned()),
        (
            "statistics of a day",
            format!("statistics --from {day} --to {day}"),
        ),
    ] {
        let mut took = Vec::new();
        for _ in 0..TIMES {
            let mut command = common::combgate();
            command
                .env("COMBGATE_DESK", folder)
                .args(words.split_whitespace());
            let started = Instant::now();
            let output = command.output().unwrap();
            took.push(started.elapsed());
            assert_ne!(output.status.code(), Some(2), "{words}: {output:?}");
        }
        found.push((format!("command {name}"), middle(took)));
    }
    for (name, of, value) in [
        ("rows of a day book", "day", day.as_str()),
        ("rows of a member's season", "member", member.as_str()),
    ] {
        let took = (0..TIMES).map(|_| rows_alone(&ledger, of, value));
        found.push((format!("floor: {name}"), middle(took.collect())));
    }
    if let Some([book, season]) = in_python(&ledger, &day, &member) {
        found.push(("peer: a day book in Python".to_owned(), book));
        found.push(("peer: a member's season in Python".to_owned(), season));
    }
    found
}

/// Whose season is looked at: somebody who sold lately.
fn latest_member(ledger: &Path) -> String {
    let reader = Connection::open_with_flags(ledger, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
    let latest = "SELECT member FROM paper ORDER BY day DESC, handset, seq DESC LIMIT 1";
    reader.query_row(latest, [], |row| row.get(0)).unwrap()
}

/// The least that SQLite can do: a ledger opened, and the rows of the papers added up.
fn rows_alone(ledger: &Path, of: &str, value: &str) -> Duration {
    let started = Instant::now();
    let reader = Connection::open_with_flags(ledger, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
    let sums = format!(
        "SELECT count(*), sum(net_g), sum(payable_minor), sum(paid_minor) FROM paper WHERE {of} = ?"
    );
    let papers: i64 = reader.query_row(&sums, [value], |row| row.get(0)).unwrap();
    let took = started.elapsed();
    assert!(papers > 0, "no papers of {value}");
    took
}

/// The same books by a straightforward program, where `COMBGATE_PYTHON` names Python.
fn in_python(ledger: &Path, day: &str, member: &str) -> Option<[Duration; 2]> {
    let output = Command::new(std::env::var_os("COMBGATE_PYTHON")?)
        .arg(PEER)
        .arg(ledger)
        .args([day, member])
        .output()
        .unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    let problem = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{PEER}: {problem}");
    let (book, season) = said.trim().split_once(' ').unwrap();
    Some([book, season].map(|ms| Duration::from_secs_f64(ms.parse::<f64>().unwrap() / 1e3)))
}

fn middle(mut took: Vec<Duration>) -> Duration {
    took.sort_unstable();
    took[took.len() / 2]
}

pub fn milliseconds(took: Duration) -> f64 {
    took.as_secs_f64() * 1e3
}
