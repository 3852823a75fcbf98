//! Approving, settling and reversing a payment list that is killed at any moment is done or not
//! done, never in between: no receipt is half paid, and the list says what its receipts say.

#![allow(clippy::unwrap_used)] // helpers of tests
#![cfg(unix)]

mod common;

use combgate_desk::store::{Paper, Papers, PaymentList, PaymentRow, Payments, SqliteStore};
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

/// Receipts on the list.
const RECEIPTS: usize = 80;
/// Seeded moments at which each step is killed.
const KILLS: u32 = 20;
/// Draws the moments.
const SEED: u64 = 20_261_011;

/// All that a step of paying may change.
#[derive(Debug, PartialEq)]
struct Stand {
    list: Option<PaymentList>,
    payments: Vec<PaymentRow>,
    papers: Vec<Paper>,
}

impl Stand {
    fn of(folder: &Path) -> Self {
        let store = SqliteStore::open(&folder.join("ledger.sqlite")).unwrap();
        let day = "2026-10-20".parse().unwrap();
        let stand = Self {
            list: store.payment_list(1).unwrap(),
            payments: store.payments_in(1).unwrap(),
            papers: store.papers_on(day).unwrap(),
        };
        // What the payments say went out is what the receipts say was paid.
        for payment in &stand.payments {
            let paper = stand
                .papers
                .iter()
                .find(|paper| paper.seq == payment.seq)
                .unwrap();
            let out = payment.settled.is_some() && payment.reversed.is_none();
            let expected = if out { paper.payable_minor } else { 0 };
            assert_eq!(paper.paid_minor, expected);
        }
        stand
    }

    /// The same without the moments at which things were done.
    fn shape(&self) -> Vec<(bool, bool, i64)> {
        self.payments
            .iter()
            .map(|each| (each.settled.is_some(), each.reversed.is_some(), each.minor))
            .chain([(
                self.list
                    .as_ref()
                    .is_some_and(|list| list.approved.is_some()),
                false,
                0,
            )])
            .collect()
    }
}

fn step(folder: &Path, words: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_combgate"));
    command
        .arg("--desk")
        .arg(folder)
        .args(words.split(' '))
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

#[test]
fn a_killed_step_of_paying_is_done_or_not_done() {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    for _ in 0..RECEIPTS {
        handset.deliver(&delivery("bought"), "M003", Some(0));
    }
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    desk.done("import bundle.json");
    desk.done("pay propose --means cash --by Asha");
    let mut random = fastrand::Rng::with_seed(SEED);
    for words in [
        "pay approve 1 --by Juma",
        "pay confirm 1 --by Asha",
        "pay reverse 1 --reason sent-back --by Juma",
    ] {
        let before = Stand::of(&desk.path("desk"));
        assert_eq!(before.payments.len(), RECEIPTS);
        let copy = || {
            let folder = tempfile::tempdir().unwrap();
            let from = desk.path("desk/ledger.sqlite");
            std::fs::copy(from, folder.path().join("ledger.sqlite")).unwrap();
            folder
        };
        let clean = copy();
        let started = Instant::now();
        assert!(step(clean.path(), words).status().unwrap().success());
        let takes = started.elapsed();
        let after = Stand::of(clean.path()).shape();
        assert_ne!(before.shape(), after);
        let (mut nothing, mut everything) = (0, 0);
        for _ in 0..KILLS {
            let folder = copy();
            let mut running = step(folder.path(), words).spawn().unwrap();
            std::thread::sleep(takes.mul_f64(random.f64() * 1.1));
            // SIGKILL: the program cannot put anything in order.
            running.kill().unwrap();
            running.wait().unwrap();
            let found = Stand::of(folder.path());
            if found == before {
                nothing += 1;
            } else {
                assert_eq!(found.shape(), after, "{words}");
                everything += 1;
            }
        }
        assert!(
            nothing > 0,
            "{words}: no kill came in time, {everything} were done"
        );
        desk.done(words);
    }
}
