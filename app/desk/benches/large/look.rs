//! What pages and commands of a desk take.

use super::browser::Browser;
use super::common;
use chrono::{Days, Local};
use std::collections::BTreeMap;
use std::path::Path;
use std::time::{Duration, Instant};

/// How often a page or a command is asked for.
const TIMES: usize = 5;

/// Asks for every page, and for the commands that read.
pub fn look(folder: &Path) -> Vec<(String, Duration)> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .build()
        .unwrap();
    let day = Local::now().date_naive() - Days::new(1);
    let mut found = Vec::new();
    runtime.block_on(async {
        let mut browser = Browser::at(folder.to_owned(), None);
        browser.sign_in("neema").await;
        let findings = browser.get("/findings").await.links("/findings/");
        let pages = BTreeMap::from([
            ("a day book", format!("/days/{day}")),
            ("a member's season", "/members/M00777".to_owned()),
            ("a member's card", "/members/M00777/card".to_owned()),
            ("an entry", "/entries/K7/40".to_owned()),
            ("a handset", "/handsets/K7".to_owned()),
            ("findings of a handset", "/findings?handset=K7".to_owned()),
            (
                "search of the register",
                "/register?search=M00777".to_owned(),
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
        ("member statement", "member statement M00777".to_owned()),
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
    found
}

fn middle(mut took: Vec<Duration>) -> Duration {
    took.sort_unstable();
    took[took.len() / 2]
}

pub fn milliseconds(took: Duration) -> f64 {
    took.as_secs_f64() * 1e3
}
