//! A generic fuzzer of interfaces against the running listener: what it makes up by the description
//! is answered as the description says, and books nothing.
//!
//! Library: schemathesis (Python), its version in tests/interop/requirements.txt. More of it:
//! `COMBGATE_API_EXAMPLES=2000 cargo test -p combgate-desk --test sync made_up`.

use super::common::handset::scalar_of;
use super::wire::Running;
use super::{a_day, books};
use combgate_desk::sync::{Limits, Pace};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

/// Requests made up for each operation on every run; enough to reach each kind of them.
const EXAMPLES: &str = "25";
/// Looks at what no description can say: that a signature fits, and a digest its content.
const NOT_LOOKED_AT: &str = "positive_data_acceptance";

fn made_up(scalar: Option<&str>) {
    let (desk, _) = a_day();
    let often = Pace::new(u32::MAX, Duration::from_millis(1));
    let limits = Limits {
        handset: often,
        address: often,
        ..Limits::default()
    };
    let running = Running::of(&desk, limits);
    let before = books(&desk);
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let python = std::env::var_os("COMBGATE_PYTHON").map_or("python3".into(), PathBuf::from);
    // A relative name is meant from the top of the project.
    let python = if python.components().count() > 1 {
        root.join(python)
    } else {
        python
    };
    let examples = std::env::var("COMBGATE_API_EXAMPLES").unwrap_or_else(|_| EXAMPLES.to_owned());
    let folder = tempfile::tempdir().unwrap();
    let mut command = Command::new(python);
    command
        .current_dir(folder.path())
        .args(["-m", "schemathesis.cli", "run"])
        .arg(format!("http://{}/openapi.json", running.at))
        .args(["--checks", "all", "--exclude-checks", NOT_LOOKED_AT])
        .args([
            "--phases",
            "examples,coverage,fuzzing",
            "--max-examples",
            &examples,
        ])
        .args(["--seed", "20261128", "--workers", "1", "--no-color"])
        .env("SCHEMATHESIS_HOOKS", "api_signer")
        .env("PYTHONPATH", root.join("tests/interop"))
        .env("PYTHONDONTWRITEBYTECODE", "1");
    match scalar {
        Some(scalar) => command.env("COMBGATE_SCALAR", scalar),
        None => command.env_remove("COMBGATE_SCALAR"),
    };
    let output = command.output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(
        output.status.success(),
        "{said}\n{}\n`make test` installs the libraries of tests/interop/requirements.txt",
        String::from_utf8_lossy(&output.stderr)
    );
    assert!(said.contains("generated"), "something was made up: {said}");
    assert_eq!(books(&desk), before);
}

#[test]
fn what_is_made_up_is_answered_as_described() {
    made_up(None);
}

#[test]
fn what_is_made_up_and_signed_is_answered_as_described() {
    let mut hex = String::new();
    for byte in scalar_of("K1").bytes() {
        write!(hex, "{byte:02x}").unwrap();
    }
    made_up(Some(&hex));
}
