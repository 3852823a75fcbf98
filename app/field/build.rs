//! Names the rules that entries are folded by, for the phone's snapshot: one that was taken by other
//! rules is not believed, in the middle of a day neither.

use std::fs;
use std::hash::{DefaultHasher, Hasher};
use std::io;
use std::path::Path;

/// What folds them, and what of it is kept.
const RULES: [&str; 2] = ["../../core/src", "src/handset/snapshot.rs"];

fn main() -> io::Result<()> {
    // No secret depends on it: it only has to change when a rule does.
    let mut rules = DefaultHasher::new();
    for path in RULES {
        println!("cargo::rerun-if-changed={path}");
        read(Path::new(path), &mut rules)?;
    }
    println!("cargo::rustc-env=COMBGATE_RULES={:016x}", rules.finish());
    Ok(())
}

fn read(path: &Path, rules: &mut DefaultHasher) -> io::Result<()> {
    if !path.is_dir() {
        rules.write(&fs::read(path)?);
        return Ok(());
    }
    let mut inside = fs::read_dir(path)?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<io::Result<Vec<_>>>()?;
    // The same on every machine.
    inside.sort();
    inside.iter().try_for_each(|each| read(each, rules))
}
