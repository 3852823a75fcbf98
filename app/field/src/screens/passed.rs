//! What is said once something was passed on to another program, or saved instead.

use crate::platform::files::{FileError, Shared};
use combgate_ui::words::Word;

/// What became of it; what no program takes is downloaded instead.
pub fn passed_or_saved(
    passed: &Result<Shared, FileError>,
    download: impl FnOnce() -> Result<(), FileError>,
) -> Word {
    match passed {
        Ok(Shared::Passed) => Word::PaperShared,
        Ok(Shared::Stopped) => Word::PaperNotShared,
        Err(_) if download().is_ok() => Word::PaperSaved,
        Err(_) => Word::ErrorFileNotGiven,
    }
}
