//! The desk's folder: one ledger, and the desk that is set up in it.

use crate::keys::{DeskKey, DeskKeyError};
use crate::outcome::Advice;
use crate::store::{Desk, Office, SqliteStore, StoreError};
use chrono::{DateTime, FixedOffset, Local, SubsecRound};
use std::path::{Path, PathBuf};

/// The ledger's file in the desk's folder.
const LEDGER: &str = "ledger.sqlite";

/// A desk that cannot work.
#[derive(Debug, thiserror::Error)]
pub enum DeskError {
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// Its key.
    #[error(transparent)]
    Key(#[from] DeskKeyError),
    /// A ledger without a desk.
    #[error("the desk in {0} was never set up to the end")]
    NotSetUp(PathBuf),
}

impl Advice for DeskError {
    fn hint(&self) -> String {
        match self {
            Self::Store(error) => error.hint(),
            Self::Key(error) => error.hint(),
            Self::NotSetUp(folder) => {
                format!("set it up with `combgate init {}`", folder.display())
            }
        }
    }
}

/// Where a folder's ledger lies.
pub(crate) fn ledger_in(folder: &Path) -> PathBuf {
    folder.join(LEDGER)
}

/// Whether a ledger, or what belongs to one, lies in a folder.
pub(crate) fn remains_in(folder: &Path) -> bool {
    ["", "-wal", "-shm", "-journal"]
        .iter()
        .any(|end| folder.join([LEDGER, end].concat()).exists())
}

/// A desk at work.
#[derive(Debug)]
pub struct OpenDesk {
    /// Its ledger.
    pub store: SqliteStore,
    /// Its key.
    pub key: DeskKey,
    /// What it is.
    pub desk: Desk,
}

/// Opens the desk of a folder.
pub fn open(folder: &Path) -> Result<OpenDesk, DeskError> {
    let path = ledger_in(folder);
    if !path.is_file() {
        return Err(StoreError::NoLedger(folder.to_owned()).into());
    }
    let store = SqliteStore::open(&path)?;
    let desk = store
        .desk()?
        .ok_or_else(|| DeskError::NotSetUp(folder.to_owned()))?;
    let key = DeskKey::read(&desk.private_key)?;
    Ok(OpenDesk { store, key, desk })
}

/// The moment on this machine's clock, to the second.
pub(crate) fn now() -> DateTime<FixedOffset> {
    Local::now().fixed_offset().trunc_subsecs(0)
}
