//! The phone's database: which stores there are, and what can go wrong with any of them.
//!
//! | store | key | value |
//! |---|---|---|
//! | `journal` | seq: 1, 2, 3 … | the entry's compact JWS, as signed |
//! | `receipts_by_delivery` | the delivery's UUID | seq of its receipt or slip |
//! | `state` | a [`super::state::Slot`] | text: a document as received, or our own JSON |
//! | `keys` | `handset` | the handset's `CryptoKeyPair`, which cannot be exported |
//!
//! Open it only while holding [`super::locks::Tab`]: a second connection would hold up a newer
//! version that wants to change the stores.

use indexed_db_futures::database::Database as Connection;
use indexed_db_futures::error::{DomException, Error, OpenDbError};
use indexed_db_futures::prelude::*;
use indexed_db_futures::transaction::{
    Transaction, TransactionDurability, TransactionFinishKind, TransactionMode, TransactionOptions,
};

pub(super) const JOURNAL: &str = "journal";
pub(super) const BY_DELIVERY: &str = "receipts_by_delivery";
pub(super) const STATE: &str = "state";
pub(super) const KEYS: &str = "keys";

const NAME: &str = "combgate";
const VERSION: u32 = 1;

/// Why something could not be stored or read. Nothing of the step that failed was stored.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StoreError {
    /// The browser keeps no data for this page (private browsing, storage switched off).
    #[error("this browser stores no data: {0}")]
    Unavailable(String),
    /// The stores belong to a newer version of the program.
    #[error("the database belongs to a newer version")]
    Newer,
    /// The browser gives this page no more room.
    #[error("the storage is full")]
    Full,
    /// The key is taken; whoever adds wanted it free.
    #[error("there is already a record under this key")]
    Taken,
    /// Anything else, in the browser's words.
    #[error("the storage failed: {0}")]
    Failed(String),
}

/// An open database. Clones share one connection.
#[derive(Debug, Clone)]
pub struct Database(Connection);

impl Database {
    /// Opens the phone's database, making its stores at the first start.
    ///
    /// # Errors
    /// [`StoreError::Unavailable`], [`StoreError::Newer`], [`StoreError::Full`].
    pub async fn open() -> Result<Self, StoreError> {
        Self::open_as(NAME).await
    }

    /// Opens a database of another name; tests use it to begin with an empty one.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub async fn open_as(name: &str) -> Result<Self, StoreError> {
        let opened = Connection::open(name)
            .with_version(VERSION)
            .with_on_upgrade_needed(|_event, connection| {
                // Version 1 makes all stores. A later version adds steps, and never removes a
                // journal.
                for store in [JOURNAL, BY_DELIVERY, STATE, KEYS] {
                    connection.create_object_store(store).build()?;
                }
                Ok(())
            })
            .await;
        match opened {
            Ok(connection) => Ok(Self(connection)),
            Err(OpenDbError::Base(error)) => Err(match StoreError::from(error) {
                StoreError::Failed(words) if words.starts_with("VersionError") => StoreError::Newer,
                StoreError::Failed(words) => StoreError::Unavailable(words),
                other => other,
            }),
            Err(other) => Err(StoreError::Unavailable(other.to_string())),
        }
    }

    /// A look at `stores`, which must be named in [this module](self).
    pub(super) fn read<const N: usize>(
        &self,
        stores: [&str; N],
    ) -> Result<Transaction<'_>, StoreError> {
        Ok(self
            .0
            .transaction(stores)
            .with_mode(TransactionMode::Readonly)
            .build()?)
    }

    /// A change to `stores`. Nothing is kept unless [`keep`] says so. Strict: the browser
    /// reports completion only once the data is on the storage medium; its own default would
    /// let a power cut take back what was reported (Indexed Database API 3.0, durability).
    pub(super) fn change<const N: usize>(
        &self,
        stores: [&str; N],
    ) -> Result<Transaction<'_>, StoreError> {
        let strict = TransactionOptions::new().with_durability(TransactionDurability::Strict);
        Ok(self
            .0
            .transaction(stores)
            .with_mode(TransactionMode::Readwrite)
            .with_options(strict)
            .build()?)
    }
}

/// Waits for the browser's `complete` event, by which the change is kept.
///
/// The library's own `commit` gives the transaction up before anybody can ask it why it failed; a
/// browser with no room left says so there alone.
pub(super) async fn keep(transaction: Transaction<'_>) -> Result<(), StoreError> {
    let done = transaction.on_done()?;
    match done.await {
        TransactionFinishKind::Ok => Ok(()),
        TransactionFinishKind::Err | TransactionFinishKind::Abort => {
            Err(transaction.error().map_or_else(
                || StoreError::Failed("the change was given up".to_owned()),
                StoreError::from,
            ))
        }
    }
}

impl From<Error> for StoreError {
    fn from(error: Error) -> Self {
        match error {
            Error::DomException(DomException::ConstraintError(_)) => Self::Taken,
            Error::DomException(exception) => {
                let exception: web_sys::DomException = exception.into();
                match exception.name().as_str() {
                    "QuotaExceededError" => Self::Full,
                    name => Self::Failed(format!("{name}: {}", exception.message())),
                }
            }
            other => Self::Failed(other.to_string()),
        }
    }
}
