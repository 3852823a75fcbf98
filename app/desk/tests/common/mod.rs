//! The whole command with exit code, standard output and standard error in view.

// Helpers of tests; each test file uses what it needs.
#![allow(clippy::unwrap_used, clippy::panic, dead_code, unreachable_pub)]

pub mod books;
pub mod desk;
pub mod handset;
pub mod scene;

use assert_cmd::Command;
use expect_test::Expect;
use std::path::{Path, PathBuf};

/// The program.
pub fn combgate() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_combgate"));
    command.env_remove("COMBGATE_DESK");
    command
}

/// `demo-fixtures` of the project.
pub fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-fixtures")
}

/// What a command did, in one text. Here and below a command is what stands after the program's
/// name, its words with blanks between them.
pub fn printout(command: &str) -> String {
    printout_of(combgate().args(command.split_whitespace()))
}

/// What a prepared command did, in one text.
pub fn printout_of(command: &mut Command) -> String {
    let output = command.output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let mut all = format!("exit {}\n", output.status.code().unwrap());
    for (name, said) in [("out", text(&output.stdout)), ("err", text(&output.stderr))] {
        if !said.is_empty() {
            all.push_str(&["-- ", name, "\n", &said].concat());
        }
    }
    all
}

/// Runs a command and compares all it said.
pub fn check(command: &str, expected: &Expect) {
    expected.assert_eq(&printout(command));
}

/// Runs a command that answers in JSON.
pub fn json(command: &str) -> serde_json::Value {
    let output = combgate()
        .args(command.split_whitespace())
        .arg("--json")
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The most memory that this process ever held, MB. Source: proc(5), `VmHWM`, in kB of 1,024 bytes.
pub fn most_memory() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.unwrap().trim().trim_end_matches(" kB");
    kilobytes.parse::<f64>().unwrap() * 1_024.0 / 1e6
}
