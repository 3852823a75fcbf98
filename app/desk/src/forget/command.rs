//! `combgate member forget` and `combgate member unseal`.

use super::{
    ForgetError, KEY_BYTES_AT_MOST, forget as forget_member, read_key, unseal as open_sealed,
};
use crate::cli;
use crate::desk;
use crate::files::read_text;
use crate::outcome::{Failure, Outcome, json};
use crate::store::Act;
use combgate_core::units::{Code, Label};
use serde::Serialize;
use std::path::Path;

#[derive(Serialize)]
struct Answer<'a> {
    member: &'a Code,
    sealed_entries: usize,
    sealed_briefs: usize,
    evidence_kept: usize,
    key_file: &'a Path,
}

/// Forgets a member.
pub(crate) fn forget(folder: &Path, asked: &cli::Forget) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let read = |text: &str| Label::new(text).map_err(ForgetError::from);
    let member = Code::new(&asked.member).map_err(ForgetError::from)?;
    let act = Act {
        by: read(&asked.by)?,
        at: desk::now(),
    };
    let because = read(&asked.reason)?;
    let done = forget_member(&mut desk.store, &member, &act, &because, &asked.key_out)?;
    let answer = Answer {
        member: &done.member,
        sealed_entries: done.entries,
        sealed_briefs: done.briefs,
        evidence_kept: done.evidence,
        key_file: &asked.key_out,
    };
    Ok(Outcome::done(if asked.json {
        json(&answer)?
    } else {
        format!(
            "Member {} is forgotten: name, village and telephone are gone from the register.\n\
             {} signed entries and {} briefs that held them are sealed; the key is in {} alone. \
             Take that file away from this machine, or delete it if nobody may ever open them.\n\
             What this cannot reach: backups made before, files that were exported, the phones of \
             officers until their next brief, and {} refused pieces kept as evidence.\n",
            done.member,
            done.entries,
            done.briefs,
            asked.key_out.display(),
            done.evidence,
        )
    }))
}

/// Opens what was sealed.
pub(crate) fn unseal(folder: &Path, asked: &cli::Unseal) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let member = Code::new(&asked.member).map_err(ForgetError::from)?;
    let text = read_text(&asked.key, KEY_BYTES_AT_MOST)?;
    let key = read_key(&asked.key, &text)?;
    let opened = open_sealed(&desk.store, &member, &key)?;
    Ok(Outcome::done(opened.join("\n") + "\n"))
}
