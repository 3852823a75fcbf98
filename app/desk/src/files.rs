//! Files from and for people: read within limits, written whole or not at all.

use crate::outcome::Advice;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

/// A file that cannot be read or written.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// Not there, or not to be read.
    #[error("{path} cannot be read: {error}")]
    Unread {
        /// Which file.
        path: PathBuf,
        /// Why.
        error: std::io::Error,
    },
    /// Larger than such a file ever is.
    #[error("{path} is larger than the {limit} bytes that are read")]
    TooLarge {
        /// Which file.
        path: PathBuf,
        /// The limit.
        limit: usize,
    },
    /// Not text.
    #[error("{0} is not UTF-8 text")]
    NotText(PathBuf),
    /// Not to be written.
    #[error("{path} cannot be written: {error}")]
    Unwritten {
        /// Which file.
        path: PathBuf,
        /// Why.
        error: std::io::Error,
    },
}

impl Advice for FileError {
    fn hint(&self) -> String {
        match self {
            Self::Unread { .. } => "look at the name of the file and at its permissions".to_owned(),
            Self::TooLarge { .. } => {
                "choose the right file; if it is, ask for it in smaller parts".to_owned()
            }
            Self::NotText(_) => {
                "choose the right file, or ask for it again: this one is of another kind or \
                 damaged"
                    .to_owned()
            }
            Self::Unwritten { .. } => {
                "see that the folder exists, may be written to and has room".to_owned()
            }
        }
    }
}

/// Reads a file of at most so many bytes as text; a byte order mark is dropped.
pub(crate) fn read_text(path: &Path, limit: usize) -> Result<String, FileError> {
    let bytes = read_bytes(path, limit)?;
    let text = String::from_utf8(bytes).map_err(|_| FileError::NotText(path.to_owned()))?;
    Ok(match text.strip_prefix('\u{FEFF}') {
        Some(rest) => rest.to_owned(),
        None => text,
    })
}

/// Reads a file of at most so many bytes.
pub(crate) fn read_bytes(path: &Path, limit: usize) -> Result<Vec<u8>, FileError> {
    let unread = |error| FileError::Unread {
        path: path.to_owned(),
        error,
    };
    let file = std::fs::File::open(path).map_err(unread)?;
    let mut bytes = Vec::new();
    // One byte more than allowed tells a file that is too large, however large it is.
    let most = u64::try_from(limit).map_or(u64::MAX, |limit| limit.saturating_add(1));
    file.take(most).read_to_end(&mut bytes).map_err(unread)?;
    if bytes.len() > limit {
        return Err(FileError::TooLarge {
            path: path.to_owned(),
            limit,
        });
    }
    Ok(bytes)
}

/// Writes a file so that it is there whole or as it was before, even if the power fails.
pub(crate) fn write_whole(path: &Path, text: &str) -> Result<(), FileError> {
    let unwritten = |error| FileError::Unwritten {
        path: path.to_owned(),
        error,
    };
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    // The name of the file beside it would only confuse.
    let mut beside =
        tempfile::NamedTempFile::new_in(folder).map_err(|error| unwritten(error.kind().into()))?;
    beside.write_all(text.as_bytes()).map_err(unwritten)?;
    beside.as_file().sync_all().map_err(unwritten)?;
    beside
        .persist(path)
        .map_err(|error| unwritten(error.error))?;
    Ok(())
}

/// Writes an export and, beside it, what it holds; says where the second is.
pub(crate) fn write_with_word(path: &Path, text: &str, holds: &str) -> Result<PathBuf, FileError> {
    write_whole(path, text)?;
    let mut about = path.as_os_str().to_owned();
    about.push(".about.txt");
    let about = PathBuf::from(about);
    write_whole(&about, holds)?;
    Ok(about)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_limit_and_not_beyond() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("file");
        std::fs::write(&path, "12345").unwrap();
        assert_eq!(read_text(&path, 5).unwrap(), "12345");
        assert!(matches!(
            read_text(&path, 4),
            Err(FileError::TooLarge { limit: 4, .. })
        ));
        std::fs::write(&path, "\u{FEFF}mark").unwrap();
        assert_eq!(read_text(&path, 9).unwrap(), "mark");
        std::fs::write(&path, [0xff, 0xfe]).unwrap();
        assert!(matches!(read_text(&path, 9), Err(FileError::NotText(_))));
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("file");
        std::fs::write(&path, "before").unwrap();
        write_whole(&path, "after").unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "after");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
        let nowhere = folder.path().join("missing").join("file");
        assert!(matches!(
            write_whole(&nowhere, "x"),
            Err(FileError::Unwritten { .. })
        ));
    }
}
