//! Nearly good input by the thousand: nothing that reads from outside breaks, hangs or babbles.
//!
//! Every run is the same. More of it: `COMBGATE_FUZZ_RUNS=1000000`, other of it:
//! `COMBGATE_FUZZ_SEED=…`. An input that breaks something is kept in the folder that the failure
//! names; put it into `tests/fuzz/found/TARGET`, where it is tried again for ever.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

#[path = "../fuzz/desk.rs"]
mod desk;

use combgate_tests::fuzz::{Target, mutate};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

/// Longer than this for one input is a hang.
const LONGEST: Duration = Duration::from_secs(5);

fn setting(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).map_or(otherwise, |text| {
        text.parse()
            .unwrap_or_else(|_| panic!("{name} is a whole number, not '{text}'"))
    })
}

/// Every reader, the desk's own included.
fn all() -> Vec<Target> {
    combgate_tests::fuzz::all()
        .into_iter()
        .chain(desk::all())
        .collect()
}

fn target(name: &str) -> Target {
    let mut targets = all().into_iter();
    targets.find(|target| target.name == name).unwrap()
}

/// What became of one input.
#[derive(Debug, PartialEq, Eq)]
enum End {
    Whole,
    Broken,
    Hung,
}

/// Runs inputs on a thread of its own, so that one that never ends is noticed too.
struct Runner {
    inputs: Sender<String>,
    ends: Receiver<bool>,
    longest: Duration,
}

impl Runner {
    fn of(run: fn(&str), longest: Duration) -> Self {
        let (inputs, waiting) = channel::<String>();
        let (done, ends) = channel();
        std::thread::spawn(move || {
            for input in waiting {
                let whole = std::panic::catch_unwind(|| run(&input)).is_ok();
                if done.send(whole).is_err() {
                    return;
                }
            }
        });
        Self {
            inputs,
            ends,
            longest,
        }
    }

    fn run(&self, input: &str) -> End {
        self.inputs.send(input.to_owned()).unwrap();
        match self.ends.recv_timeout(self.longest) {
            Ok(true) => End::Whole,
            Ok(false) | Err(RecvTimeoutError::Disconnected) => End::Broken,
            Err(RecvTimeoutError::Timeout) => End::Hung,
        }
    }
}

#[test]
fn what_breaks_or_never_ends_is_noticed() {
    fn picky(text: &str) {
        assert_ne!(text, "break");
        if text == "hang" {
            loop {
                std::thread::park();
            }
        }
    }
    let mut runner = Runner::of(picky, LONGEST);
    assert_eq!(runner.run("good"), End::Whole);
    assert_eq!(runner.run("break"), End::Broken);
    assert_eq!(runner.run("good"), End::Whole);
    runner.longest = Duration::from_millis(200);
    assert_eq!(runner.run("hang"), End::Hung);
}

/// Mutates the seeds of a target and runs it; keeps the input that breaks it.
fn drive(name: &str) {
    let target = target(name);
    let (runs, seed) = (
        setting("COMBGATE_FUZZ_RUNS", 3_000),
        setting("COMBGATE_FUZZ_SEED", 1),
    );
    for good in &target.seeds {
        (target.run)(good);
    }
    let runner = Runner::of(target.run, LONGEST);
    let (mut random, mut readable) = (fastrand::Rng::with_seed(seed), 0_u64);
    for run in 0..runs {
        let good = random.choice(&target.seeds).unwrap();
        let other = random.choice(&target.seeds).unwrap();
        let input = mutate(&mut random, good, other);
        // Files and codes are read as UTF-8 before anything else sees them.
        let Ok(text) = String::from_utf8(input) else {
            continue;
        };
        readable += 1;
        let end = runner.run(&text);
        assert!(
            end == End::Whole,
            "{name}: {end:?} at run {run} of seed {seed}: {}",
            kept(name, run, &text)
        );
    }
    // A mutator that makes nothing but rubbish tests nothing.
    assert!(
        readable * 2 > runs,
        "only {readable} of {runs} inputs were text"
    );
}

fn kept(name: &str, run: u64, text: &str) -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let file = folder.join(format!("{run}.txt"));
    let kept = std::fs::create_dir_all(&folder).and_then(|()| std::fs::write(&file, text));
    kept.map_or_else(
        |error| format!("the input could not be kept ({error}): {text:?}"),
        |()| format!("the input is kept in {}", file.display()),
    )
}

macro_rules! targets {
    ($($test:ident = $name:literal),* $(,)?) => {
        $(
            #[test]
            fn $test() {
                drive($name);
            }
        )*

        #[test]
        fn every_target_is_driven() {
            let driven = [$($name),*];
            for target in all() {
                assert!(driven.contains(&target.name), "{} is not", target.name);
            }
        }
    };
}

targets! {
    jws = "jws",
    entry = "entry",
    stub = "stub",
    sealed = "sealed",
    card = "card",
    handsets = "handsets",
    bundle = "bundle",
    brief = "brief",
    acknowledgement = "acknowledgement",
    policy = "policy",
    price_list = "price-list",
    delivery = "delivery",
    words = "words",
    members = "members",
    request = "request",
    problem = "problem",
    address = "address",
}

#[test]
fn what_once_broke_a_target_breaks_it_no_more() {
    for target in all() {
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
            .join("fuzz/found")
            .join(target.name);
        for file in std::fs::read_dir(folder).into_iter().flatten() {
            let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
            (target.run)(&text);
        }
    }
}
