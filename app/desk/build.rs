//! Turns the desk's language files under `words/` into a table at build time, apart from those that
//! the phone shares, so that the phone does not carry the clerk's sentences; and names what the
//! pages load by its content.

#[path = "../ui/build/files.rs"]
mod files;

use std::hash::{DefaultHasher, Hasher};
use std::process::ExitCode;

fn main() -> ExitCode {
    println!("cargo::rerun-if-changed=../ui/build");
    println!("cargo::rerun-if-changed=assets");
    // No secret depends on it: it only has to change when a file does.
    let mut content = DefaultHasher::new();
    for asset in ["assets/desk.css", "assets/desk.js"] {
        match std::fs::read(asset) {
            Ok(bytes) => content.write(&bytes),
            Err(error) => {
                eprintln!("cannot read {asset}: {error}");
                return ExitCode::FAILURE;
            }
        }
    }
    println!("cargo::rustc-env=COMBGATE_ASSETS={:016x}", content.finish());
    files::make_table(false)
}
