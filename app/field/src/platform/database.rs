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
//! version that wants to change the stores. What is done to the browser's own objects is in
//! `storage.js`, which is smaller and quicker than the same from here.

use super::clock::whole;
use super::log;
use js_sys::Array;
use wasm_bindgen::prelude::*;

pub(super) const JOURNAL: &str = "journal";
pub(super) const BY_DELIVERY: &str = "receipts_by_delivery";
pub(super) const STATE: &str = "state";
pub(super) const KEYS: &str = "keys";

const NAME: &str = "combgate";
const VERSION: u32 = 1;

#[wasm_bindgen(module = "/src/platform/storage.js")]
extern "C" {
    #[wasm_bindgen(catch)]
    async fn open(name: &str, version: u32, stores: Array) -> Result<JsValue, JsValue>;
    #[wasm_bindgen(catch)]
    async fn read(database: &JsValue, store: &str, asks: Array) -> Result<JsValue, JsValue>;
    #[wasm_bindgen(catch)]
    async fn change(database: &JsValue, changes: Array) -> Result<JsValue, JsValue>;
    #[wasm_bindgen(catch)]
    async fn append(
        database: &JsValue,
        journal: &str,
        place: u32,
        entry: &str,
        notes: &str,
        whose: Option<String>,
    ) -> Result<JsValue, JsValue>;
}

/// Why something could not be stored or read. Nothing of the step that failed was stored.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StoreError {
    /// The browser keeps no data for this page (private browsing, storage switched off).
    #[error("this browser stores no data")]
    Unavailable,
    /// The stores belong to a newer version of the program.
    #[error("the database belongs to a newer version")]
    Newer,
    /// The browser gives this page no more room.
    #[error("the storage is full")]
    Full,
    /// The key is taken; whoever adds wanted it free.
    #[error("there is already a record under this key")]
    Taken,
    /// Anything else; the browser's own words are on the console.
    #[error("the storage failed")]
    Failed,
}

/// A question to a store; several are asked at one time.
#[derive(Debug)]
pub(super) struct Ask(Array);

impl Ask {
    /// The value under a key.
    pub(super) fn get(key: &str) -> Self {
        Self(Array::of2(&"get".into(), &key.into()))
    }

    /// All values from one key to another.
    pub(super) fn all(from: &JsValue, to: &JsValue) -> Self {
        Self(Array::of3(&"all".into(), from, to))
    }

    /// All keys from one to another.
    pub(super) fn keys(from: &JsValue, to: &JsValue) -> Self {
        Self(Array::of3(&"keys".into(), from, to))
    }

    /// How many values there are.
    pub(super) fn count() -> Self {
        Self(Array::of1(&"count".into()))
    }

    /// The highest key.
    pub(super) fn last_key() -> Self {
        Self(Array::of1(&"lastKey".into()))
    }

    /// The highest key from one to another.
    pub(super) fn last_key_of(from: &str, to: &str) -> Self {
        Self(Array::of3(&"lastKey".into(), &from.into(), &to.into()))
    }

    /// The highest key and its value, as a list of two.
    pub(super) fn last() -> Self {
        Self(Array::of1(&"last".into()))
    }
}

/// A change to a store.
#[derive(Debug)]
pub(super) struct Change(Array);

impl Change {
    /// Puts a value over what is under the key.
    pub(super) fn put(store: &str, key: &str, value: &JsValue) -> Self {
        Self(Array::of4(&store.into(), &"put".into(), value, &key.into()))
    }

    /// Adds a value under a key that must be free.
    pub(super) fn add(store: &str, key: &str, value: &JsValue) -> Self {
        Self(Array::of4(&store.into(), &"add".into(), value, &key.into()))
    }

    /// Takes out what is under a key.
    pub(super) fn delete(store: &str, key: &str) -> Self {
        Self(Array::of3(&store.into(), &"delete".into(), &key.into()))
    }
}

/// An open database. Clones share one connection.
#[derive(Debug, Clone)]
pub struct Database(JsValue);

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
        let stores = [JOURNAL, BY_DELIVERY, STATE, KEYS];
        let stores = stores.into_iter().map(JsValue::from).collect();
        match open(name, VERSION, stores).await {
            Ok(database) => Ok(Self(database)),
            Err(problem) => Err(match StoreError::of(&problem) {
                StoreError::Failed => StoreError::Unavailable,
                other => other,
            }),
        }
    }

    /// Looks into a store: all that is asked at one time, answered in the same order.
    pub(super) async fn read(
        &self,
        store: &str,
        asks: impl IntoIterator<Item = Ask>,
    ) -> Result<Array, StoreError> {
        self.look(store, asks.into_iter().map(|Ask(ask)| ask).collect())
            .await
    }

    async fn look(&self, store: &str, asks: Array) -> Result<Array, StoreError> {
        let answers = read(&self.0, store, asks).await;
        answers
            .map(JsCast::unchecked_into)
            .map_err(|problem| StoreError::of(&problem))
    }

    /// Changes stores, all or nothing. Returns after the transaction's `complete` event, by which
    /// the changes are kept: on the storage medium, also where the power fails in the next moment.
    pub(super) async fn change(
        &self,
        changes: impl IntoIterator<Item = Change>,
    ) -> Result<(), StoreError> {
        self.make(changes.into_iter().map(|Change(change)| change).collect())
            .await
    }

    async fn make(&self, changes: Array) -> Result<(), StoreError> {
        let done = change(&self.0, changes).await;
        done.map(drop).map_err(|problem| StoreError::of(&problem))
    }

    /// Adds an entry to the journal if this is its very next place, with the note which delivery it
    /// belongs to, as [`Self::change`] does. Gives the next place: where that is another, nothing was
    /// added. A delivery that has a note already is [`StoreError::Taken`].
    pub(super) async fn append(
        &self,
        place: u32,
        entry: &str,
        delivery: Option<String>,
    ) -> Result<u32, StoreError> {
        let next = append(&self.0, JOURNAL, place, entry, BY_DELIVERY, delivery).await;
        match next {
            Ok(next) => number(&next).ok_or(StoreError::Failed),
            Err(problem) => Err(StoreError::of(&problem)),
        }
    }
}

/// A place or a count out of the browser's answer.
pub(super) fn number(value: &JsValue) -> Option<u32> {
    u32::try_from(whole(value.as_f64()?)).ok()
}

impl StoreError {
    /// What the browser gave as the reason; nothing where the change was given up without one.
    fn of(problem: &JsValue) -> Self {
        let exception = problem.dyn_ref::<web_sys::DomException>();
        match exception.map(web_sys::DomException::name).as_deref() {
            Some("ConstraintError") => Self::Taken,
            Some("QuotaExceededError") => Self::Full,
            Some("VersionError") => Self::Newer,
            _ => {
                log(problem);
                Self::Failed
            }
        }
    }
}
