//! Questions put to Python's libraries, whose authors know nothing of this project.
//!
//! A script of `tests/interop` reads a question (JSON) from the file named on its command line and
//! prints its answer (JSON). The interpreter is `COMBGATE_PYTHON`, or `python3`. A missing
//! interpreter or library fails the check: a check passed over in silence proves nothing.

use serde::Serialize;
use serde::de::DeserializeOwned;
use std::env;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The environment variable that names the interpreter.
pub const INTERPRETER: &str = "COMBGATE_PYTHON";

/// An answer that did not come.
#[derive(Debug, thiserror::Error)]
pub enum PythonError {
    /// No interpreter, or no room for the question.
    #[error(
        "'{0}' could not be run ({1}): `make test` sets up Python; to run this check by itself, put an interpreter into {INTERPRETER}"
    )]
    NotRun(String, std::io::Error),
    /// The script failed; most often a library is missing.
    #[error(
        "{script} failed:\n{stderr}\n`make test` installs the libraries of tests/interop/requirements.txt; to run this check by itself, put an interpreter that has them into {INTERPRETER}"
    )]
    Failed {
        /// Which script.
        script: String,
        /// What it said.
        stderr: String,
    },
    /// The answer is not what was asked for.
    #[error("{0} gave an answer of another shape: {1}")]
    Unreadable(String, serde_json::Error),
}

/// Puts a question to a script of `tests/interop`.
///
/// # Panics
/// When there is no answer.
pub fn ask<Answer: DeserializeOwned>(script: &str, question: &impl Serialize) -> Answer {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("interop")
        .join(script);
    ask_script(&path, question).unwrap_or_else(|error| panic!("{error}"))
}

/// Runs a script of somebody who knows only the format, with one file; what it said and whether it
/// ended well.
pub fn run(script: &Path, file: &Path) -> Result<(bool, String), PythonError> {
    let interpreter = interpreter();
    let output = Command::new(&interpreter)
        .args([script, file])
        .output()
        .map_err(|error| PythonError::NotRun(interpreter.display().to_string(), error))?;
    let said = [output.stdout, output.stderr].concat();
    let said = String::from_utf8_lossy(&said).into_owned();
    Ok((output.status.success(), said))
}

/// Puts a question to a script anywhere.
pub fn ask_script<Answer: DeserializeOwned>(
    script: &Path,
    question: &impl Serialize,
) -> Result<Answer, PythonError> {
    let interpreter = interpreter();
    let not_run = |error| PythonError::NotRun(interpreter.display().to_string(), error);
    let unreadable = |error| PythonError::Unreadable(script.display().to_string(), error);
    let mut file = tempfile::NamedTempFile::new().map_err(not_run)?;
    file.write_all(&serde_json::to_vec(question).map_err(unreadable)?)
        .map_err(not_run)?;
    let output = Command::new(&interpreter)
        .arg(script)
        .arg(file.path())
        .output()
        .map_err(not_run)?;
    if !output.status.success() {
        return Err(PythonError::Failed {
            script: script.display().to_string(),
            stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
        });
    }
    serde_json::from_slice(&output.stdout).map_err(unreadable)
}

/// The interpreter; a path that is not absolute is taken from the top of the project.
fn interpreter() -> PathBuf {
    let named = PathBuf::from(env::var_os(INTERPRETER).unwrap_or_else(|| "python3".into()));
    if named.components().count() > 1 && named.is_relative() {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(named)
    } else {
        named
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_library_fails_and_says_how_to_install_it() {
        let mut script = tempfile::NamedTempFile::new().unwrap();
        script
            .write_all(b"import a_library_nobody_wrote\n")
            .unwrap();
        let error = ask_script::<()>(script.path(), &())
            .unwrap_err()
            .to_string();
        assert!(error.contains("a_library_nobody_wrote"), "{error}");
        assert!(error.contains("`make test` installs"), "{error}");
    }

    #[test]
    fn question_and_answer_pass_unchanged() {
        let mut script = tempfile::NamedTempFile::new().unwrap();
        script
            .write_all(b"import sys\nprint(open(sys.argv[1]).read())\n")
            .unwrap();
        let answer: Vec<i64> = ask_script(script.path(), &[1, -2, 3]).unwrap();
        assert_eq!(answer, [1, -2, 3]);
    }
}
