//! `combgate member …`.

use crate::cli::AskMember;
use crate::outcome::{Failure, Outcome};
use crate::{amend, forget, statement};
use std::path::Path;

/// Does what is asked of a member.
pub(crate) fn run(folder: &Path, what: &AskMember) -> Result<Outcome, Failure> {
    match what {
        AskMember::Statement(asked) => statement::command::run(folder, asked),
        AskMember::Set(asked) => amend::command::set(folder, asked),
        AskMember::Take(asked) => amend::command::take(folder, asked),
        AskMember::History(asked) => amend::command::history(folder, asked),
        AskMember::Forget(asked) => forget::command::forget(folder, asked),
        AskMember::Unseal(asked) => forget::command::unseal(folder, asked),
    }
}
