//! The handset's journal: entries that are added at the end and never changed.
//!
//! This store guards order and completeness; what an entry says and whether its signature and
//! chain hold is for `combgate-core` to judge.

use super::database::{self, BY_DELIVERY, Database, JOURNAL, StoreError};
use super::locks::{self, LockError};
use indexed_db_futures::KeyRange;
use indexed_db_futures::cursor::CursorDirection;
use indexed_db_futures::prelude::*;
use indexed_db_futures::transaction::TransactionRef;
use std::ops::RangeInclusive;
use uuid::Uuid;
use wasm_bindgen::JsValue;

/// An entry as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its place in the journal: 1, 2, 3 …
    pub seq: u32,
    /// Its compact JWS, byte for byte as signed.
    pub compact: String,
}

/// The place where the next entry goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Next {
    /// The next entry's place.
    pub seq: u32,
    /// The entry before it, whose hash the next one carries; none before the first.
    pub previous: Option<Entry>,
}

/// What came of [`Journal::issue`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Issued {
    /// The entry was made and is stored for good.
    New(Entry),
    /// This delivery already had its receipt or slip; this is it, and nothing was added.
    Already(Entry),
}

impl Issued {
    /// The stored entry, new or old.
    pub fn into_entry(self) -> Entry {
        match self {
            Self::New(entry) | Self::Already(entry) => entry,
        }
    }
}

/// Why the journal could not be read or added to. Nothing was added.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum JournalError {
    /// The store itself failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The entry does not follow the last one: a gap, or a place already taken.
    #[error("entry {given} cannot be added, the next is {next}")]
    NotNext {
        /// The place that the entry claims.
        given: u32,
        /// The only place it could have.
        next: u32,
    },
    /// Fewer entries are stored than were numbered: the browser lost some.
    #[error("the last entry is {last}, but only {count} are stored")]
    Gap {
        /// Place of the last entry.
        last: u32,
        /// Number of entries found.
        count: u32,
    },
    /// The delivery already has its receipt or slip.
    #[error("this delivery is already in the journal")]
    AlreadyIssued,
}

/// Why no entry was made. Nothing was added.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum IssueError<E> {
    /// The right to write was not got.
    #[error(transparent)]
    Lock(#[from] LockError),
    /// The journal failed.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// The entry could not be made or signed.
    #[error("the entry could not be made")]
    Make(E),
}

/// The journal of this handset.
#[derive(Debug, Clone)]
pub struct Journal(Database);

impl Journal {
    /// The journal in `database`, after a look whether all of it is there.
    ///
    /// # Errors
    /// [`JournalError::Gap`] if entries were lost; then nothing may be bought with this handset
    /// until the desk has seen what is left ([`Self::open_damaged`]).
    pub async fn open(database: &Database) -> Result<Self, JournalError> {
        let transaction = database.read([JOURNAL])?;
        let store = transaction
            .object_store(JOURNAL)
            .map_err(StoreError::from)?;
        // Both are asked for before the first answer.
        let cursor = store
            .open_key_cursor()
            .with_direction(CursorDirection::Prev)
            .primitive()
            .map_err(StoreError::from)?;
        let count = store.count().primitive().map_err(StoreError::from)?;
        let last = match cursor.await.map_err(StoreError::from)? {
            Some(mut cursor) => cursor.next_key::<u32>().await.map_err(StoreError::from)?,
            None => None,
        };
        let (last, count) = (last.unwrap_or(0), count.await.map_err(StoreError::from)?);
        if count != last {
            return Err(JournalError::Gap { last, count });
        }
        Ok(Self::open_damaged(database))
    }

    /// The journal as it is, to export what is left of it.
    pub fn open_damaged(database: &Database) -> Self {
        Self(database.clone())
    }

    /// The last entry, or none in an empty journal.
    ///
    /// # Errors
    /// [`JournalError::Store`].
    pub async fn head(&self) -> Result<Option<Entry>, JournalError> {
        let transaction = self.0.read([JOURNAL])?;
        Ok(last(&transaction).await?)
    }

    /// The last place that holds anything, be it an entry or not.
    ///
    /// # Errors
    /// [`JournalError::Store`].
    pub async fn last_place(&self) -> Result<Option<u32>, JournalError> {
        let transaction = self.0.read([JOURNAL])?;
        let store = transaction
            .object_store(JOURNAL)
            .map_err(StoreError::from)?;
        let Some(mut cursor) = store
            .open_key_cursor()
            .with_direction(CursorDirection::Prev)
            .await
            .map_err(StoreError::from)?
        else {
            return Ok(None);
        };
        Ok(cursor.next_key::<u32>().await.map_err(StoreError::from)?)
    }

    /// The entries in `places` that there are, in order, as compact JWS. What is no text any more
    /// comes back empty, which is no entry.
    ///
    /// # Errors
    /// [`JournalError::Store`].
    pub async fn entries(&self, places: RangeInclusive<u32>) -> Result<Vec<String>, JournalError> {
        if places.is_empty() {
            return Ok(Vec::new());
        }
        let transaction = self.0.read([JOURNAL])?;
        let store = transaction
            .object_store(JOURNAL)
            .map_err(StoreError::from)?;
        let entries = store
            .get_all::<JsValue>()
            .with_query::<u32, _>(KeyRange::from(places))
            .await
            .map_err(StoreError::from)?;
        entries
            .map(|entry| entry.map(text_of))
            .collect::<Result<_, _>>()
            .map_err(|error| StoreError::from(error).into())
    }

    /// What is stored in `places`, by its place: also what is no text any more.
    ///
    /// # Errors
    /// [`JournalError::Store`].
    pub async fn left(
        &self,
        places: RangeInclusive<u32>,
    ) -> Result<Vec<(u32, Option<String>)>, JournalError> {
        let transaction = self.0.read([JOURNAL])?;
        let store = transaction
            .object_store(JOURNAL)
            .map_err(StoreError::from)?;
        let keys = store
            .get_all_keys::<u32>()
            .with_query::<u32, _>(KeyRange::from(places.clone()))
            .await
            .map_err(StoreError::from)?;
        let values = store
            .get_all::<JsValue>()
            .with_query::<u32, _>(KeyRange::from(places))
            .await
            .map_err(StoreError::from)?;
        // Both come in the order of the keys (Indexed Database API 3.0, getAll, getAllKeys).
        keys.zip(values)
            .map(|(place, value)| Ok((place?, value?.as_string())))
            .collect::<Result<_, indexed_db_futures::error::Error>>()
            .map_err(|error| StoreError::from(error).into())
    }

    /// The receipt or slip of a delivery, if it has one.
    ///
    /// # Errors
    /// [`JournalError::Store`].
    pub async fn of_delivery(&self, delivery: Uuid) -> Result<Option<Entry>, JournalError> {
        let transaction = self.0.read([JOURNAL, BY_DELIVERY])?;
        let index = transaction
            .object_store(BY_DELIVERY)
            .map_err(StoreError::from)?;
        let seq: Option<u32> = index
            .get(delivery.to_string())
            .await
            .map_err(StoreError::from)?;
        let Some(seq) = seq else { return Ok(None) };
        let journal = transaction
            .object_store(JOURNAL)
            .map_err(StoreError::from)?;
        let compact: Option<String> = journal.get(seq).await.map_err(StoreError::from)?;
        Ok(compact.map(|compact| Entry { seq, compact }))
    }

    /// Makes the next entry and stores it, alone among all tabs from the first look to the
    /// browser's word that it is stored for good.
    ///
    /// `delivery` is given for receipts and slips: if that delivery has one already, after a
    /// second tap or a crash between storing and showing, it comes back and `make` is not
    /// called. `make` gets the place of the next entry and returns its compact JWS; what it
    /// checks there (is the day open? is this the next number?) cannot change before the entry
    /// is stored.
    ///
    /// # Errors
    /// See [`IssueError`]; in every case nothing was added.
    pub async fn issue<E>(
        &self,
        delivery: Option<Uuid>,
        make: impl AsyncFnOnce(Next) -> Result<String, E>,
    ) -> Result<Issued, IssueError<E>> {
        let _alone = locks::entry().await?;
        if let Some(delivery) = delivery
            && let Some(entry) = self.of_delivery(delivery).await?
        {
            return Ok(Issued::Already(entry));
        }
        let previous = self.head().await?;
        let seq = previous
            .as_ref()
            .map_or(1, |entry| entry.seq.saturating_add(1));
        let compact = make(Next { seq, previous })
            .await
            .map_err(IssueError::Make)?;
        let entry = Entry { seq, compact };
        self.append(&entry, delivery).await?;
        Ok(Issued::New(entry))
    }

    /// Stores an entry if it is the very next one, together with the note which delivery it
    /// belongs to. Returns after the transaction's `complete` event. Use [`Self::issue`], which
    /// also keeps other tabs out while the entry is being made.
    ///
    /// # Errors
    /// [`JournalError::NotNext`], [`JournalError::AlreadyIssued`], [`JournalError::Store`]; in
    /// every case nothing was added.
    pub async fn append(&self, entry: &Entry, delivery: Option<Uuid>) -> Result<(), JournalError> {
        let transaction = self.0.change([JOURNAL, BY_DELIVERY])?;
        let next = last(&transaction)
            .await?
            .map_or(1, |last| last.seq.saturating_add(1));
        if entry.seq != next {
            return Err(JournalError::NotNext {
                given: entry.seq,
                next,
            });
        }
        // `add`, never `put`: what is there stays as it is.
        if let Some(delivery) = delivery {
            let index = transaction
                .object_store(BY_DELIVERY)
                .map_err(StoreError::from)?;
            index
                .add(entry.seq)
                .with_key(delivery.to_string())
                .await
                .map_err(|error| match StoreError::from(error) {
                    StoreError::Taken => JournalError::AlreadyIssued,
                    other => other.into(),
                })?;
        }
        let journal = transaction
            .object_store(JOURNAL)
            .map_err(StoreError::from)?;
        journal
            .add(entry.compact.as_str())
            .with_key(entry.seq)
            .await
            .map_err(StoreError::from)?;
        Ok(database::keep(transaction).await?)
    }
}

/// The entry with the highest place.
async fn last(transaction: &TransactionRef<'_>) -> Result<Option<Entry>, StoreError> {
    let store = transaction.object_store(JOURNAL)?;
    let Some(mut cursor) = store
        .open_cursor()
        .with_direction(CursorDirection::Prev)
        .await?
    else {
        return Ok(None);
    };
    let Some(value) = cursor.next_record::<JsValue>().await? else {
        return Ok(None);
    };
    let (seq, compact) = (cursor.key::<u32>()?, text_of(value));
    Ok(seq.map(|seq| Entry { seq, compact }))
}

#[expect(clippy::needless_pass_by_value, reason = "shaped for map")]
fn text_of(value: JsValue) -> String {
    value.as_string().unwrap_or_default()
}
