//! `combgate backup` and `combgate restore`: the whole desk as one file, and back.
//!
//! A backup appears under its name whole and checked, by one rename; whatever happens before,
//! the file of that name stays as it was. A restored desk appears in its folder the same way.

use crate::cli;
use crate::desk::{self, DeskError, ledger_in};
use crate::files::FileError;
use crate::keys::DeskKey;
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{SqliteStore, is_backup};
use chrono::{DateTime, FixedOffset};
use serde::Serialize;
use std::fs::File;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use tempfile::{Builder, NamedTempFile};

/// Begins the name of a file that is being written.
const UNFINISHED: &str = "unfinished-backup-";
/// Begins the name of a backup that nobody named.
const NAMED: &str = "combgate-backup-";

/// A backup that was not made, or a desk that was not restored.
#[derive(Debug, thiserror::Error)]
pub(crate) enum BackupError {
    /// The desk, or the copy of its ledger.
    #[error(transparent)]
    Desk(#[from] DeskError),
    /// A file.
    #[error(transparent)]
    File(#[from] FileError),
    /// A file of this name that is something else.
    #[error("{0} is no backup of a desk; it was left as it is")]
    NoBackup(PathBuf),
    /// A folder that is not said from the root of the disk on.
    #[error("{0} does not say the whole way to a folder")]
    NotWhole(PathBuf),
    /// A desk is there already.
    #[error("there is a desk in {0}; it was left as it is")]
    DeskThere(PathBuf),
}

impl Advice for BackupError {
    fn hint(&self) -> String {
        match self {
            Self::Desk(error) => error.hint(),
            Self::File(error) => error.hint(),
            Self::NoBackup(_) => "name the file that `combgate backup` wrote, or, to make a \
                                  backup, a new file"
                .to_owned(),
            Self::NotWhole(_) => {
                "write it from the beginning, such as /media/stick/combgate".to_owned()
            }
            Self::DeskThere(_) => "restore into a new folder, compare the day books, and only \
                                   then decide which folder to work with"
                .to_owned(),
        }
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    file: &'a Path,
    left_over: &'a [PathBuf],
    holds: &'static str,
}

/// What a backup holds that asks for care.
const HOLDS: &str = "the desk's private key and the members' names, telephones and advances: \
                     whoever has this file can sign briefs as this desk. Keep it where only the \
                     clerk can read it, and on another disk than the desk.";

/// Makes a backup.
pub(crate) fn back_up(folder: &Path, asked: &cli::Backup) -> Result<Outcome, Failure> {
    make(folder, &asked.file)?;
    let left_over = left_over(folder_of(&asked.file));
    if asked.json {
        return Ok(Outcome::done(json(&Answer {
            file: &asked.file,
            left_over: &left_over,
            holds: HOLDS,
        })?));
    }
    let mut text = format!(
        "backup of the whole desk: {}\nIt was read back and is whole. It holds {HOLDS}\n",
        asked.file.display()
    );
    for file in left_over {
        text += &file.display().to_string();
        text += " was left by a backup that was cut off; delete it, unless another backup is \
                 being made now: it may hold the key too.\n";
    }
    Ok(Outcome::done(text))
}

/// The folder for backups where none is named.
pub(crate) fn usual_folder(desk: &Path) -> PathBuf {
    let folder = desk.join("backups");
    std::path::absolute(&folder).unwrap_or(folder)
}

/// Makes a backup under a name of its own in a folder of this machine; gives its path.
pub(crate) fn back_up_in(
    desk: &Path,
    into: &Path,
    now: DateTime<FixedOffset>,
) -> Result<PathBuf, BackupError> {
    if !into.is_absolute() {
        return Err(BackupError::NotWhole(into.to_owned()));
    }
    if into == usual_folder(desk) {
        make_private(into).map_err(|error| unwritten(into, error.kind()))?;
    }
    let file = into.join(format!("{NAMED}{}.sqlite", now.format("%Y-%m-%d-%H%M%S")));
    make(desk, &file)?;
    Ok(file)
}

/// Backups in a folder by the names that [`back_up_in`] gives, the newest first, each with its
/// bytes.
pub(crate) fn backups_in(folder: &Path) -> Vec<(PathBuf, u64)> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut found: Vec<(PathBuf, u64)> = entries
        .flatten()
        .filter(|entry| entry.file_name().to_string_lossy().starts_with(NAMED))
        .filter_map(|entry| Some((entry.path(), entry.metadata().ok()?.len())))
        .collect();
    found.sort_by(|one, other| other.cmp(one));
    found
}

/// A folder that only its owner may look into, unless it is there.
fn make_private(folder: &Path) -> std::io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// Restores a desk.
pub(crate) fn restore(asked: &cli::Restore) -> Result<Outcome, Failure> {
    Ok(bring_back(&asked.file, &asked.folder).map(Outcome::done)?)
}

fn make(folder: &Path, file: &Path) -> Result<(), BackupError> {
    let desk = desk::open(folder)?;
    // Neither a letter nor a ledger at work may be replaced by a slip of the hand.
    match is_backup(file) {
        Ok(true) => {}
        Ok(false) => return Err(BackupError::NoBackup(file.to_owned())),
        Err(error) if error.kind() == ErrorKind::NotFound => {}
        Err(error) => return Err(unread(file, error).into()),
    }
    let beside = unfinished(folder_of(file)).map_err(|error| unwritten(file, error.kind()))?;
    desk.store
        .back_up_into(beside.path())
        .map_err(DeskError::from)?;
    appear(beside, file, NamedTempFile::persist)?;
    Ok(())
}

fn bring_back(file: &Path, folder: &Path) -> Result<String, BackupError> {
    if !is_backup(file).map_err(|error| unread(file, error))? {
        return Err(BackupError::NoBackup(file.to_owned()));
    }
    let ledger = ledger_in(folder);
    if desk::remains_in(folder) {
        return Err(BackupError::DeskThere(folder.to_owned()));
    }
    let failed = |error: std::io::Error| unwritten(&ledger, error.kind());
    std::fs::create_dir_all(folder).map_err(failed)?;
    let mut beside = unfinished(folder).map_err(failed)?;
    let mut from = File::open(file).map_err(|error| unread(file, error))?;
    std::io::copy(&mut from, beside.as_file_mut()).map_err(failed)?;
    // Only the copy counts: it is what will be worked with.
    let desk = SqliteStore::bring_back(beside.path())
        .map_err(DeskError::from)?
        .ok_or_else(|| DeskError::NotSetUp(file.to_owned()))?;
    DeskKey::read(&desk.private_key).map_err(DeskError::from)?;
    appear(beside, &ledger, NamedTempFile::persist_noclobber).map_err(|error| match error {
        FileError::Unwritten { ref error, .. } if error.kind() == ErrorKind::AlreadyExists => {
            BackupError::DeskThere(folder.to_owned())
        }
        other => other.into(),
    })?;
    Ok(format!(
        "desk restored: {}\nIt stands where it stood when the backup was made. Import every \
         bundle that came since: nothing is booked twice. It holds the same private key as the \
         desk that was backed up: go on with one of the two folders only.\n",
        folder.display()
    ))
}

/// A new empty file that only its owner may read.
fn unfinished(folder: &Path) -> std::io::Result<NamedTempFile> {
    Builder::new().prefix(UNFINISHED).tempfile_in(folder)
}

/// Gives a written file its name, once all of it is on the disk.
fn appear(
    written: NamedTempFile,
    path: &Path,
    rename: impl FnOnce(NamedTempFile, PathBuf) -> Result<File, tempfile::PersistError>,
) -> Result<(), FileError> {
    let failed = |error: std::io::Error| unwritten(path, error.kind());
    written.as_file().sync_all().map_err(failed)?;
    rename(written, path.to_owned()).map_err(|error| failed(error.error))?;
    // The name is on the disk once its folder is.
    #[cfg(unix)]
    File::open(folder_of(path))
        .and_then(|folder| folder.sync_all())
        .map_err(failed)?;
    Ok(())
}

/// What earlier backups left that were cut off: it holds the key as well.
pub(crate) fn left_over(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    entries
        .flatten()
        .filter(|entry| entry.file_name().to_string_lossy().starts_with(UNFINISHED))
        .map(|entry| entry.path())
        .collect()
}

fn folder_of(file: &Path) -> &Path {
    match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn unread(path: &Path, error: std::io::Error) -> FileError {
    FileError::Unread {
        path: path.to_owned(),
        error,
    }
}

/// The name of the file beside it would only confuse.
fn unwritten(path: &Path, kind: ErrorKind) -> FileError {
    FileError::Unwritten {
        path: path.to_owned(),
        error: kind.into(),
    }
}
