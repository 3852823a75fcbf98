//! One reader of outside input under libFuzzer: `COMBGATE_FUZZ_TARGET` names it, and the arguments
//! are libFuzzer's own. `app/tools/fuzz` runs all of them.
//!
//! An input is changed in one of two ways, by turns: by libFuzzer, which follows the branches that
//! are not yet seen, and by the project's own changes inside the parts of a signed text, where
//! bytes changed blindly would only spoil the base64url.
#![no_main]

mod desk;

use combgate_tests::fuzz::{Target, mutate};
use libfuzzer_sys::{fuzz_mutator, fuzz_target, fuzzer_mutate};
use std::path::Path;
use std::sync::LazyLock;

/// Every reader, the desk's own included.
fn all() -> Vec<Target> {
    combgate_tests::fuzz::all()
        .into_iter()
        .chain(desk::all())
        .collect()
}

static TARGET: LazyLock<Target> = LazyLock::new(|| {
    let name = std::env::var("COMBGATE_FUZZ_TARGET").unwrap_or_default();
    let targets = all();
    let names: Vec<_> = targets.iter().map(|target| target.name).collect();
    targets
        .iter()
        .find(|target| target.name == name)
        .cloned()
        .unwrap_or_else(|| panic!("set COMBGATE_FUZZ_TARGET to one of {}", names.join(", ")))
});

/// Puts the good inputs where libFuzzer looks for the ones to begin from; `--targets` names all
/// readers instead.
fn lay_out_seeds() {
    if std::env::args().any(|word| word == "--targets") {
        for target in all() {
            println!("{}", target.name);
        }
        std::process::exit(0);
    }
    let Some(folder) = std::env::var_os("COMBGATE_FUZZ_SEEDS") else {
        return;
    };
    for (number, seed) in TARGET.seeds.iter().enumerate() {
        let file = Path::new(&folder).join(format!("seed-{number}"));
        std::fs::write(&file, seed).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    }
}

fuzz_target!(init: lay_out_seeds(), |bytes: &[u8]| {
    // Files and codes are read as UTF-8 before anything else sees them.
    if let Ok(text) = std::str::from_utf8(bytes) {
        (TARGET.run)(text);
    }
});

fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    if seed % 2 == 0 {
        return fuzzer_mutate(data, size, max_size);
    }
    let Ok(text) = std::str::from_utf8(&data[..size]) else {
        return fuzzer_mutate(data, size, max_size);
    };
    let mut random = fastrand::Rng::with_seed(u64::from(seed));
    let other = random.choice(&TARGET.seeds).map_or("", String::as_str);
    let mut changed = mutate(&mut random, text, other);
    changed.truncate(max_size);
    data[..changed.len()].copy_from_slice(&changed);
    changed.len()
});
