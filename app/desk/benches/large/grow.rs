//! A ledger of a size, made by handsets at work and the import itself.

use super::PASSWORD;
use super::common;
use super::common::desk::TestDesk;
use super::common::handset::{TestHandset, delivery, unsealed_pail};
use chrono::{DateTime, Days, FixedOffset, Local, NaiveDate};
use combgate_core::record::{DeliveryV1, PublicKey, SignatureCheck, Signed};
use combgate_core::units::Code;
use combgate_desk::import::import_all;
use combgate_desk::store::{Depot, ReceivingRow, SqliteStore, Store, StoreError};
use rayon::prelude::*;
use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::Instant;

const SEED: u64 = 20_261_128;
pub const HANDSETS: usize = 20;
const MEMBERS: usize = 20_000;
/// Pails of the cooperative, each painted with its number.
const PAILS: usize = 20_000;
/// Entries of a handset's day: it opens, 248 times something is brought or undone, it closes.
pub const ENTRIES_A_DAY: usize = 250;
/// Days at the end whose debts nobody paid yet.
const RECENT: usize = 14;

/// A desk with its ledger, kept or not.
pub enum Made {
    Kept(PathBuf),
    Fresh(TestDesk),
}

impl Made {
    /// The desk's folder.
    pub fn folder(&self) -> PathBuf {
        match self {
            Self::Kept(folder) => folder.clone(),
            Self::Fresh(desk) => desk.path("desk"),
        }
    }
}

/// A desk with a ledger of some days.
pub fn ledger_of(days: usize) -> Made {
    let keep = std::env::var_os("COMBGATE_BENCH_KEEP").map(PathBuf::from);
    let kept = keep.map(|folder| folder.join(days.to_string()));
    if let Some(kept) = kept.as_ref().filter(|kept| kept.exists()) {
        return Made::Kept(kept.clone());
    }
    let desk = desk();
    grow(&desk, days);
    match kept {
        None => Made::Fresh(desk),
        Some(kept) => {
            std::fs::create_dir_all(&kept).unwrap();
            let ledger = "ledger.sqlite";
            std::fs::copy(desk.path("desk").join(ledger), kept.join(ledger)).unwrap();
            Made::Kept(kept)
        }
    }
}

/// A desk whose terms hold from early on, with a register and an account.
fn desk() -> TestDesk {
    let desk = TestDesk::bare();
    for (name, from) in [("policy", "2026-01-01"), ("prices", "2026-10-05")] {
        let file = format!("fixtures/cooperative/{name}.json");
        let text = desk.read(&file);
        let early = text
            .replace(&format!("\"from\": \"{from}\""), "\"from\": \"2020-01-01\"")
            .replace(" \"until\": \"2027-03-31\",\n", "");
        assert_ne!(early, text, "{name} does not begin on {from}");
        desk.write(&file, &early);
    }
    let mut register = String::from(
        "number,name,village,phone,language,premiums,advance_payee,advance_outstanding_minor\n",
    );
    for member in 1..=MEMBERS {
        let (name, village) = (member % 97, member % 41);
        let _ = writeln!(
            register,
            "{},Asha Mrembwe {name},Kilindo {village},,sw,,,",
            number(member)
        );
    }
    desk.write("fixtures/cooperative/members.csv", &register);
    desk.done("init desk --from fixtures/cooperative");
    desk.command("account add neema --role bookkeeper")
        .write_stdin(PASSWORD)
        .assert()
        .success();
    desk
}

fn number(member: usize) -> String {
    format!("M{member:05}")
}

/// Has the handsets buy day by day, and the desk take each day in.
fn grow(desk: &TestDesk, days: usize) {
    let yesterday = Local::now().date_naive() - Days::new(1);
    let first = yesterday - Days::new(u64::try_from(days).unwrap() - 1);
    let morning = format!("{first}T07:00:00+03:00");
    let morning: DateTime<FixedOffset> = morning.parse().unwrap();
    let mut handsets: Vec<(TestHandset, fastrand::Rng)> = (1..=HANDSETS)
        .map(|handset| {
            let mut at_work = TestHandset::enrol_at(desk, &format!("K{handset}"), morning);
            at_work.sign_no_more();
            (
                at_work,
                fastrand::Rng::with_seed(SEED + u64::try_from(handset).unwrap()),
            )
        })
        .collect();
    let kinds = ["bought", "held", "refused"].map(delivery);
    let ledger = desk.path("desk/ledger.sqlite");
    let mut taker = Taker::start(&ledger);
    let mut took = Vec::new();
    for day in 0..days {
        let of_old = day + RECENT < days;
        let files: Vec<PathBuf> = handsets
            .par_iter_mut()
            .map(|(handset, random)| buy(desk, handset, random, &kinds, of_old))
            .collect();
        took.push(taker.take(&files));
        for file in files {
            std::fs::remove_file(file).unwrap();
        }
    }
    let memory = taker.end();
    receive_all(&ledger, yesterday);
    let rate = |took: &[f64]| {
        let entries = u32::try_from(took.len() * HANDSETS * ENTRIES_A_DAY).unwrap();
        f64::from(entries) / took.iter().sum::<f64>()
    };
    let megabytes = std::fs::metadata(&ledger).unwrap().len() / 1_000_000;
    println!(
        "| {} | {:.0} | {:.0} | {memory:.0} | {megabytes} |",
        days * HANDSETS * ENTRIES_A_DAY,
        rate(&took),
        rate(&took[days - days.div_ceil(10)..]),
    );
}

/// A handset's day as a bundle.
fn buy(
    desk: &TestDesk,
    handset: &mut TestHandset,
    random: &mut fastrand::Rng,
    kinds: &[DeliveryV1; 3],
    pays_debts: bool,
) -> PathBuf {
    let from = handset.entries.last().unwrap().seq() + 1;
    handset.entries.drain(..handset.entries.len() - 1);
    handset.open();
    let day = from / u64::try_from(ENTRIES_A_DAY).unwrap();
    for place in 2..ENTRIES_A_DAY {
        if place % 100 == 50 {
            let receipt = handset.receipts().last().unwrap().clone();
            let wrong = i64::from(day.is_multiple_of(5) && place == 50) * 500;
            handset.cancel(&receipt, receipt.settlement.paid_minor - wrong);
            continue;
        }
        if place % 100 == 61 && pays_debts {
            handset.pay_latest();
            continue;
        }
        let kind = if place % 100 > 96 {
            1 + random.usize(0..2)
        } else {
            0
        };
        let mut brought = kinds[kind].clone();
        for pail in &mut brought.pails {
            pail.number = Code::new(&format!("P-{}", random.usize(0..PAILS))).unwrap();
            pail.seal = pail
                .seal
                .as_ref()
                .map(|_| Code::new(&format!("S-{}-{from}-{place}", handset.code)).unwrap());
        }
        let paid = (place % 100 == 60).then_some(100_000);
        handset.deliver(&brought, &number(1 + random.usize(0..MEMBERS)), paid);
    }
    handset.close();
    let name = format!("{}-{from}.json", handset.code);
    desk.write(&name, &handset.bundle(from..=u64::MAX));
    handset.sleep();
    desk.path(&name)
}

/// Receives the pails of every day before the last.
fn receive_all(ledger: &Path, last: NaiveDate) {
    let mut store = SqliteStore::open(ledger).unwrap();
    let far = NaiveDate::from_ymd_opt(2000, 1, 1).unwrap();
    let mut day = last;
    while let Some(before) = day.pred_opt().filter(|before| *before >= far) {
        day = before;
        let pails = store.pails_on(day..=day).unwrap();
        if pails.is_empty() {
            return;
        }
        store
            .atomically(|store| {
                for pail in pails.into_iter().filter(|pail| !pail.cancelled) {
                    store.keep_receiving(&ReceivingRow {
                        id: 0,
                        pail: pail.number,
                        paper: Some(pail.at),
                        day,
                        found: unsealed_pail("baraka"),
                        at: "2026-11-20T18:00:00+03:00".parse().unwrap(),
                        set_aside: None,
                    })?;
                }
                Ok::<_, StoreError>(())
            })
            .unwrap();
    }
}

/// The import in a process of its own, whose memory is its own.
struct Taker {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
}

impl Taker {
    fn start(ledger: &Path) -> Self {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .arg("take")
            .arg(ledger)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        Self {
            to: child.stdin.take().unwrap(),
            from: BufReader::new(child.stdout.take().unwrap()),
            child,
        }
    }

    /// Has files imported; says how many seconds that took.
    fn take(&mut self, files: &[PathBuf]) -> f64 {
        let names: Vec<&str> = files.iter().map(|file| file.to_str().unwrap()).collect();
        writeln!(self.to, "{}", names.join("\t")).unwrap();
        self.said()
    }

    /// Ends; says the most megabytes that it ever held.
    fn end(mut self) -> f64 {
        writeln!(self.to).unwrap();
        let memory = self.said();
        self.child.wait().unwrap();
        memory
    }

    fn said(&mut self) -> f64 {
        let mut line = String::new();
        self.from.read_line(&mut line).unwrap();
        line.trim().parse().unwrap()
    }
}

/// Believes every signature.
struct Believing;

impl SignatureCheck for Believing {
    fn fits(&self, _: &PublicKey, _: Signed<'_>) -> bool {
        true
    }
}

/// Imports the files that each line of the input names; answers with seconds, at the end with
/// megabytes.
pub fn take(ledger: &Path) {
    let mut store = SqliteStore::open(ledger).unwrap();
    let now = "2026-11-20T18:00:00+03:00".parse().unwrap();
    for line in std::io::stdin().lines() {
        let line = line.unwrap();
        if line.is_empty() {
            break;
        }
        let files: Vec<PathBuf> = line.split('\t').map(PathBuf::from).collect();
        let started = Instant::now();
        import_all(&mut store, &Believing, &files, now, |_, done| {
            let booked = done.unwrap().extension.booked;
            assert_eq!(booked, u64::try_from(ENTRIES_A_DAY).unwrap());
        });
        println!("{}", started.elapsed().as_secs_f64());
    }
    println!("{}", common::most_memory());
}
