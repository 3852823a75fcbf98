//! The command: file after file, then the acknowledgements.

use super::acknowledge::{AcknowledgeError, acknowledgement};
use super::report::{FileAnswer, words};
use super::{ImportError, Imported, import_all};
use crate::cli;
use crate::desk::{self, OpenDesk};
use crate::files::{FileError, write_whole};
use crate::keys::DeskCheck;
use crate::outcome::{Advice, Exit, Failure, Outcome, json, told};
use crate::store::Journals;
use combgate_core::units::Code;
use std::fmt::Write;
use std::path::Path;

/// Acknowledgements that were not written; the bundles are booked all the same.
#[derive(Debug, thiserror::Error)]
enum AcknowledgementError {
    #[error(transparent)]
    Acknowledge(#[from] AcknowledgeError),
    #[error(transparent)]
    File(#[from] FileError),
    #[error("acknowledgements of {0} handsets do not go into one file")]
    SeveralHandsets(usize),
}

impl Advice for AcknowledgementError {
    fn hint(&self) -> String {
        match self {
            Self::Acknowledge(error) => error.hint(),
            Self::File(error) => {
                error.hint()
                    + "; the bundles are booked, and importing them again books nothing twice"
            }
            Self::SeveralHandsets(_) => "name a folder with --acknowledgement and import again: \
                                         the bundles are booked, and nothing is booked twice"
                .to_owned(),
        }
    }
}

/// Imports files and says what became of each.
pub(crate) fn run(folder: &Path, asked: &cli::Import) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let now = desk::now();
    let mut results: Vec<(&Path, Result<Imported, ImportError>)> = Vec::new();
    import_all(
        &mut desk.store,
        &DeskCheck,
        &asked.files,
        now,
        |file, result| results.push((file, result)),
    );
    let mut outcome = Outcome::done(String::new());
    for (file, result) in &results {
        let exit = match result {
            Ok(imported) => {
                outcome.text += &words(file, imported);
                imported.exit()
            }
            Err(error) => {
                let named = match error {
                    // It names the file itself.
                    ImportError::File(_) => error.to_string(),
                    _ => format!("{}: {error}", file.display()),
                };
                outcome.troubles.push(told(&named, &error.hint()));
                error.exit()
            }
        };
        outcome.exit = outcome.exit.max(exit);
    }
    if asked.json {
        let answers: Vec<_> = results
            .iter()
            .map(|(file, result)| match result {
                Ok(imported) => FileAnswer::imported(file, imported),
                Err(error) => FileAnswer::not_imported(file, error),
            })
            .collect();
        outcome.text = json(&answers)?;
    }
    if let Some(path) = &asked.acknowledgement {
        let imported = results
            .iter()
            .filter_map(|(_, result)| result.as_ref().ok());
        match acknowledge(&desk, imported, path) {
            Ok(said) if !asked.json => outcome.text += &said,
            Ok(_) => {}
            Err(error) => {
                outcome.troubles.push(told(&error, &error.hint()));
                outcome.exit = Exit::Unusable;
            }
        }
    }
    Ok(outcome)
}

fn acknowledge<'a>(
    desk: &OpenDesk,
    imported: impl Iterator<Item = &'a Imported>,
    path: &Path,
) -> Result<String, AcknowledgementError> {
    let mut codes: Vec<&Code> = imported.map(|one| &one.handset.code).collect();
    codes.sort();
    codes.dedup();
    let into_folder = path.is_dir();
    if codes.len() > 1 && !into_folder {
        return Err(AcknowledgementError::SeveralHandsets(codes.len()));
    }
    let mut said = String::new();
    for code in codes {
        // As it stands after all files, not after its own.
        let Some(handset) = desk.store.handset(code).map_err(AcknowledgeError::from)? else {
            continue;
        };
        let text = acknowledgement(&desk.store, &desk.key, &handset, desk::now())?;
        let file = if into_folder {
            path.join(format!("acknowledgement-{code}.jws"))
        } else {
            path.to_owned()
        };
        write_whole(&file, &text)?;
        // Writing to a string cannot fail.
        let _ = writeln!(
            said,
            "acknowledgement for handset {code}: {}",
            file.display()
        );
    }
    Ok(said)
}

/// `combgate acknowledge`: all that a handset handed over, whichever bundles it came in.
pub(crate) fn acknowledge_handset(
    folder: &Path,
    asked: &cli::Acknowledge,
) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let handset = crate::enrol::known(&desk.store, &asked.handset)?;
    let text = acknowledgement(&desk.store, &desk.key, &handset, desk::now())
        .map_err(AcknowledgementError::from)?;
    write_whole(&asked.out, &text).map_err(AcknowledgementError::from)?;
    Ok(Outcome::done(if asked.json {
        json(&Acknowledged {
            handset: &handset.code,
            booked_to: handset.head.seq,
            file: asked.out.display().to_string(),
        })?
    } else {
        format!(
            "acknowledgement for handset {}, booked up to entry {}: {}\n",
            handset.code,
            handset.head.seq,
            asked.out.display()
        )
    }))
}

#[derive(serde::Serialize)]
struct Acknowledged<'a> {
    handset: &'a Code,
    booked_to: u64,
    file: String,
}
