//! The handset's journal: entries that are added at the end and never changed.
//!
//! This store guards order and completeness; what an entry says and whether its signature and
//! chain hold is for `combgate-core` to judge.

use super::database::{Ask, BY_DELIVERY, Database, JOURNAL, StoreError, number};
use super::locks::{self, LockError};
use js_sys::Array;
use std::ops::RangeInclusive;
use uuid::Uuid;
use wasm_bindgen::{JsCast, JsValue};

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
        let answers = database
            .read(JOURNAL, [Ask::last_key(), Ask::count()])
            .await?;
        let [last, count] = [0, 1].map(|place| number(&answers.get(place)).unwrap_or(0));
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
        let answers = self.0.read(JOURNAL, [Ask::last()]).await?;
        let Ok(last) = answers.get(0).dyn_into::<Array>() else {
            return Ok(None);
        };
        let compact = text_of(last.get(1));
        Ok(number(&last.get(0)).map(|seq| Entry { seq, compact }))
    }

    /// The last place that holds anything, be it an entry or not.
    ///
    /// # Errors
    /// [`JournalError::Store`].
    pub async fn last_place(&self) -> Result<Option<u32>, JournalError> {
        let answers = self.0.read(JOURNAL, [Ask::last_key()]).await?;
        Ok(number(&answers.get(0)))
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
        let (from, to) = ends(&places);
        let answers = self.0.read(JOURNAL, [Ask::all(&from, &to)]).await?;
        let entries: Array = answers.get(0).unchecked_into();
        Ok(entries.iter().map(text_of).collect())
    }

    /// What is stored in `places`, by its place: also what is no text any more.
    ///
    /// # Errors
    /// [`JournalError::Store`].
    pub async fn left(
        &self,
        places: RangeInclusive<u32>,
    ) -> Result<Vec<(u32, Option<String>)>, JournalError> {
        let (from, to) = ends(&places);
        let asks = [Ask::keys(&from, &to), Ask::all(&from, &to)];
        let answers = self.0.read(JOURNAL, asks).await?;
        let [keys, values] = [0, 1].map(|place| answers.get(place).unchecked_into::<Array>());
        // Both come in the order of the keys (Indexed Database API 3.0, getAll, getAllKeys).
        let all = keys.iter().zip(values.iter());
        Ok(all
            .filter_map(|(place, value)| Some((number(&place)?, value.as_string())))
            .collect())
    }

    /// The receipt or slip of a delivery, if it has one.
    ///
    /// # Errors
    /// [`JournalError::Store`].
    pub async fn of_delivery(&self, delivery: Uuid) -> Result<Option<Entry>, JournalError> {
        let asks = [Ask::get(&delivery.to_string())];
        let Some(seq) = number(&self.0.read(BY_DELIVERY, asks).await?.get(0)) else {
            return Ok(None);
        };
        // Entries are never changed: a look of its own sees the same.
        let compact = self.entries(seq..=seq).await?.pop();
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
        let noted = delivery.map(|delivery| delivery.to_string());
        let next = self.0.append(entry.seq, &entry.compact, noted).await;
        match next {
            Ok(next) if next == entry.seq => Ok(()),
            Ok(next) => Err(JournalError::NotNext {
                given: entry.seq,
                next,
            }),
            // The place was free, as the step itself saw: what is taken is the delivery's note.
            Err(StoreError::Taken) if delivery.is_some() => Err(JournalError::AlreadyIssued),
            Err(error) => Err(error.into()),
        }
    }
}

fn ends(places: &RangeInclusive<u32>) -> (JsValue, JsValue) {
    ((*places.start()).into(), (*places.end()).into())
}

#[expect(clippy::needless_pass_by_value, reason = "shaped for map")]
fn text_of(value: JsValue) -> String {
    value.as_string().unwrap_or_default()
}
