//! Seasons that follow from a seed: officers, phones and the desk, with all that goes wrong, beside
//! a model in plain integers. After each, kilograms, shillings, pails and numbers are all accounted
//! for, and every receipt is counted once.
//!
//! Core, signatures, store and import are the real ones; only people and messengers are made up.
//!
//! - A few seasons are played on every test run, other ones each time, and all of `seeds.txt`.
//! - Ten thousand, seven minutes of work for one core: `COMBGATE_SEASONS=10000 cargo test --profile season -p combgate-desk --test
//!   season -- --nocapture`.
//! - One alone: `COMBGATE_SEASON=SEED cargo test -p combgate-desk --test season`. A failure names its
//!   seed; put it into `seeds.txt` with a word on what was wrong.

// Helpers of tests.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::missing_panics_doc,
    unreachable_pub,
    dead_code
)]

#[path = "../common/mod.rs"]
mod common;

mod desk_work;
mod laws;
mod model;
mod play;
mod world;

use play::Season;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::LazyLock;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Instant, SystemTime, UNIX_EPOCH};

/// So many are played when nobody asks for more.
const A_FEW: u64 = 6;

fn play(seed: u64) {
    let played = catch_unwind(AssertUnwindSafe(|| Season::play(seed).check()));
    if let Err(failure) = played {
        eprintln!(
            "season {seed} failed: COMBGATE_SEASON={seed} plays it again; put {seed} into seeds.txt"
        );
        resume_unwind(failure);
    }
}

fn asked(variable: &str) -> Option<u64> {
    let value = std::env::var(variable).ok()?;
    Some(
        value
            .parse()
            .unwrap_or_else(|_| panic!("{variable} is no number")),
    )
}

#[test]
fn seasons_that_failed_once() {
    for line in include_str!("seeds.txt").lines() {
        let line = line.split('#').next().unwrap().trim();
        if !line.is_empty() {
            play(line.parse().unwrap());
        }
    }
}

#[test]
fn kilograms_shillings_pails_and_numbers_are_accounted_for() {
    if let Some(seed) = asked("COMBGATE_SEASON") {
        return play(seed);
    }
    let count = asked("COMBGATE_SEASONS").unwrap_or(A_FEW);
    // Where a run begins is said, so that it can be told what was played.
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
    let first = asked("COMBGATE_SEASON_FIRST").unwrap_or(now.as_secs());
    LazyLock::force(&world::WORLD);
    let (next, started) = (AtomicU64::new(0), Instant::now());
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..cores {
            scope.spawn(|| {
                loop {
                    let season = next.fetch_add(1, Ordering::Relaxed);
                    if season >= count {
                        break;
                    }
                    play(first + season);
                }
            });
        }
    });
    eprintln!(
        "{count} seasons from {first} on, on {cores} cores: {} s",
        started.elapsed().as_secs()
    );
}
