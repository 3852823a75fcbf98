//! `combgate handsets`: the desk's handsets and their keys, signed, for everybody to have.

use crate::cli;
use crate::desk::{self, OpenDesk};
use crate::files::{FileError, write_whole};
use crate::keys::DeskKeyError;
use crate::outcome::{Advice, Failure, Outcome};
use crate::store::{Journals, StoreError};
use combgate_core::record::{DocumentError, HandsetsV1, KeyOfV1};
use std::path::Path;

/// A list that is not made.
#[derive(Debug, thiserror::Error)]
pub(crate) enum HandsetsError {
    /// Who buys is not known.
    #[error("the desk does not know the cooperative's name yet")]
    NoCooperative,
    /// The document.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// The desk's key.
    #[error(transparent)]
    Key(#[from] DeskKeyError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The file.
    #[error(transparent)]
    File(#[from] FileError),
}

impl Advice for HandsetsError {
    fn hint(&self) -> String {
        match self {
            Self::NoCooperative => {
                "write cooperative.json, put it in a folder and take it in with \
                                    `combgate init DIR --from FOLDER`"
                    .to_owned()
            }
            Self::Document(_) => "restore the last backup of the desk's folder".to_owned(),
            Self::Key(error) => error.hint(),
            Self::Store(error) => error.hint(),
            Self::File(error) => error.hint(),
        }
    }
}

/// Writes the list to a file.
pub(crate) fn run(folder: &Path, asked: &cli::ListHandsets) -> Result<Outcome, Failure> {
    Ok(make(&desk::open(folder)?, asked)?)
}

fn make(desk: &OpenDesk, asked: &cli::ListHandsets) -> Result<Outcome, HandsetsError> {
    let cooperative = desk.desk.cooperative.as_ref();
    let cooperative = cooperative.ok_or(HandsetsError::NoCooperative)?;
    let handsets: Vec<_> = desk
        .store
        .handsets()?
        .into_iter()
        .map(|handset| KeyOfV1 {
            code: handset.code,
            jwk: handset.key.jwk(),
        })
        .collect();
    let count = handsets.len();
    let public = desk.key.public();
    let list = HandsetsV1::new(desk::now(), cooperative.name.clone(), &public, handsets);
    let compact = desk.key.sign(&list.unsigned(public.id())?)?;
    write_whole(&asked.out, &format!("{compact}\n"))?;
    Ok(Outcome::done(format!(
        "The keys of {count} handsets are in {file}, signed by the desk {kid}.\n\
         Whoever has this file and knows the desk's key can check the code on a receipt with \
         `combgate verify STUB --handsets FILE --desk-key KEY`.\n",
        file = asked.out.display(),
        kid = public.id(),
    )))
}
