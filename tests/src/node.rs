//! Questions put to libraries of the npm registry, as [`crate::python`] puts them to Python's.
//!
//! A script of `tests/interop` reads a question (JSON) from the file named on its command line and
//! prints its answer (JSON). A missing interpreter or library fails the check.

use serde::Serialize;
use serde::de::DeserializeOwned;
use std::io::Write;
use std::path::Path;
use std::process::Command;

const REMEDY: &str = "`make test` installs Node.js and the packages of tests/interop; to run this \
    check by itself: npm ci --prefix tests/interop";

/// Puts a question to a script of `tests/interop`.
///
/// # Panics
/// When there is no answer.
pub fn ask<Answer: DeserializeOwned>(script: &str, question: &impl Serialize) -> Answer {
    let script = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("interop")
        .join(script);
    let mut file = tempfile::NamedTempFile::new().unwrap();
    file.write_all(&serde_json::to_vec(question).unwrap())
        .unwrap();
    let output = Command::new("node")
        .arg(&script)
        .arg(file.path())
        .output()
        .unwrap_or_else(|error| panic!("node could not be run ({error}): {REMEDY}"));
    assert!(
        output.status.success(),
        "{} failed:\n{}\n{REMEDY}",
        script.display(),
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).unwrap()
}
