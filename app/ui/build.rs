//! Turns the language files under `words/` into a table at build time.

#[path = "build/files.rs"]
mod files;

fn main() -> std::process::ExitCode {
    println!("cargo::rerun-if-changed=build");
    files::make_table(true)
}
