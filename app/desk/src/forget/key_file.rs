//! The key of a forgotten member while it waits to be taken away from this machine.
//!
//! A command writes the key where it is told to. The pages cannot: what a browser was sent may never
//! have reached a disk, and the key is kept nowhere else. So it waits in a folder beside the ledger
//! until somebody says that they have it.

use super::{Done, ForgetError, forget};
use crate::files::{FileError, read_text};
use crate::store::{Act, Store};
use combgate_core::units::{Code, Label};
use std::path::{Path, PathBuf};

/// The folder in the desk's folder.
const FOLDER: &str = "keys-to-take-away";
/// How a key's file is called, before and after the member's number.
const NAME: (&str, &str) = ("forgotten-", ".key");
/// Stands for what no file's name may hold; no number of a member holds it.
const SLASH: &str = "_";

/// Where a member's key waits.
fn path_of(desk: &Path, member: &Code) -> PathBuf {
    let (before, after) = NAME;
    let number = member.as_str().replace('/', SLASH);
    desk.join(FOLDER).join([before, &number, after].concat())
}

/// Forgets a member, and lets the key wait.
pub(crate) fn forget_and_wait<S: Store>(
    store: &mut S,
    desk: &Path,
    member: &Code,
    act: &Act,
    because: &Label,
) -> Result<Done, ForgetError> {
    let path = path_of(desk, member);
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder
        .create(desk.join(FOLDER))
        .map_err(|error| FileError::Unwritten {
            path: path.clone(),
            error,
        })?;
    forget(store, member, act, because, &path)
}

/// Numbers of the members whose keys wait, in order.
pub(crate) fn waiting(desk: &Path) -> Vec<Code> {
    let Ok(entries) = std::fs::read_dir(desk.join(FOLDER)) else {
        return Vec::new();
    };
    let (before, after) = NAME;
    let mut members: Vec<Code> = entries
        .flatten()
        .filter_map(|entry| {
            let name = entry.file_name().into_string().ok()?;
            let number = name.strip_prefix(before)?.strip_suffix(after)?;
            Code::new(&number.replace(SLASH, "/")).ok()
        })
        .collect();
    members.sort();
    members
}

/// A key that waits, as it is written.
pub(crate) fn read_waiting(desk: &Path, member: &Code) -> Result<String, ForgetError> {
    Ok(read_text(&path_of(desk, member), super::KEY_BYTES_AT_MOST)?)
}

/// Takes a key off this machine.
pub(crate) fn take_away(desk: &Path, member: &Code) -> Result<(), ForgetError> {
    let path = path_of(desk, member);
    std::fs::remove_file(&path).map_err(|error| FileError::Unwritten { path, error }.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_has_a_file_of_its_own_in_the_folder() {
        let desk = tempfile::tempdir().unwrap();
        let numbers = ["M1", "M/1", "..", "../../etc/x", "M.1"].map(|n| Code::new(n).unwrap());
        std::fs::create_dir(desk.path().join(FOLDER)).unwrap();
        for number in &numbers {
            let path = path_of(desk.path(), number);
            assert_eq!(path.parent().unwrap(), desk.path().join(FOLDER));
            std::fs::write(path, number.as_str()).unwrap();
        }
        let mut all = numbers.to_vec();
        all.sort();
        assert_eq!(waiting(desk.path()), all);
        for number in &numbers {
            assert_eq!(read_waiting(desk.path(), number).unwrap(), number.as_str());
            take_away(desk.path(), number).unwrap();
        }
        assert_eq!(waiting(desk.path()), []);
    }
}
