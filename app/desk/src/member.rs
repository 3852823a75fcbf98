//! `combgate member …`.

use crate::cli::AskMember;
use crate::outcome::{Failure, Outcome};
use crate::statement;
use std::path::Path;

/// Does what is asked of a member.
pub(crate) fn run(folder: &Path, what: &AskMember) -> Result<Outcome, Failure> {
    match what {
        AskMember::Statement(asked) => statement::command::run(folder, asked),
    }
}
