//! Turns the desk's language files under `words/` into a table at build time, apart from those that
//! the phone shares, so that the phone does not carry the clerk's sentences; lays the phone's rules for
//! a paper behind the desk's own style; and names what the pages load by its content.

#[path = "../ui/build/files.rs"]
mod files;

use std::hash::{DefaultHasher, Hasher};
use std::process::ExitCode;

/// The part of the phone's style sheet that is of papers begins and ends so.
const PAPER: &str = "/* ---- A paper ---- */";
const NEXT: &str = "/* ---- ";

fn main() -> ExitCode {
    println!("cargo::rerun-if-changed=../ui/build");
    println!("cargo::rerun-if-changed=assets");
    println!("cargo::rerun-if-changed=../../static/style.css");
    match lay_out() {
        Ok(()) => files::make_table(false),
        Err(problem) => {
            eprintln!("{problem}");
            ExitCode::FAILURE
        }
    }
}

fn lay_out() -> Result<(), String> {
    let read = |path: &str| {
        std::fs::read_to_string(path).map_err(|error| format!("cannot read {path}: {error}"))
    };
    let phone = read("../../static/style.css")?;
    let (_, papers) = phone
        .split_once(PAPER)
        .ok_or_else(|| format!("static/style.css has no part '{PAPER}'"))?;
    let papers = papers.split(NEXT).next().unwrap_or_default();
    let style = [&read("assets/desk.css")?, PAPER, papers].concat();
    // No secret depends on it: it only has to change when a file does.
    let mut content = DefaultHasher::new();
    content.write(style.as_bytes());
    content.write(read("assets/desk.js")?.as_bytes());
    println!("cargo::rustc-env=COMBGATE_ASSETS={:016x}", content.finish());
    let folder = std::env::var("OUT_DIR").map_err(|error| format!("OUT_DIR: {error}"))?;
    std::fs::write(format!("{folder}/desk.css"), style)
        .map_err(|error| format!("cannot write the style sheet: {error}"))
}
