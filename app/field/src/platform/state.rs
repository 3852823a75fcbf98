//! The few things besides the journal that must outlive a restart: documents from the desk as
//! they were received, and what was handed over. Each is one text under one name; core reads
//! and verifies it again after every start.

use super::database::{Ask, Change, Database, STATE, StoreError};
use super::vault::{self, VaultError};
use js_sys::Array;
use wasm_bindgen::JsCast;

/// What is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slot {
    /// Name and code of this handset, chosen at enrolment.
    Handset,
    /// The desk's public key, pinned at enrolment.
    DeskKey,
    /// The brief in force, as received.
    Brief,
    /// What every screen needs of it, so that a start is quick.
    BriefHead,
    /// The register in it, a member a line.
    Register,
    /// The last acknowledgements as received, one a line, newest first.
    Acknowledgement,
    /// When a bundle was last made, in RFC 3339.
    Exported,
    /// Where the journal stood after one of its entries.
    Snapshot,
    /// How the handset is locked.
    Lock,
    /// Record of the bundle that ended with this place in the journal.
    Bundle(u32),
    /// The signed stub of the paper at this place in the journal.
    Stub(u32),
}

impl Slot {
    /// What is known of members, which a lock seals.
    const PRIVATE: [Self; 5] = [
        Self::Brief,
        Self::BriefHead,
        Self::Register,
        Self::Acknowledgement,
        Self::Snapshot,
    ];

    fn key(self) -> String {
        match self {
            Self::Handset => "handset".to_owned(),
            Self::DeskKey => "desk-key".to_owned(),
            Self::Brief => "brief".to_owned(),
            Self::BriefHead => "brief-head".to_owned(),
            Self::Register => "register".to_owned(),
            Self::Acknowledgement => "acknowledgement".to_owned(),
            Self::Exported => "exported".to_owned(),
            Self::Snapshot => "snapshot".to_owned(),
            Self::Lock => "lock".to_owned(),
            // Ten digits, so that keys sort as numbers do.
            Self::Bundle(last) => format!("bundle-{last:010}"),
            Self::Stub(seq) => format!("stub-{seq:010}"),
        }
    }
}

/// Reads a slot; `None` if it is empty.
///
/// # Errors
/// See [`StoreError`].
pub async fn read(database: &Database, slot: Slot) -> Result<Option<String>, StoreError> {
    let [text] = read_all(database, [slot]).await?;
    Ok(text)
}

/// Reads some slots at one time; `None` where one is empty.
///
/// # Errors
/// See [`StoreError`].
pub async fn read_all<const N: usize>(
    database: &Database,
    slots: [Slot; N],
) -> Result<[Option<String>; N], StoreError> {
    let asks = slots.map(|slot| Ask::get(&slot.key()));
    let answers = database.read(STATE, asks).await?;
    let mut texts = [const { None }; N];
    for (text, answer) in texts.iter_mut().zip(answers.iter()) {
        *text = open(answer.as_string())?;
    }
    Ok(texts)
}

/// What is sealed is not there as long as nobody gave the PIN.
fn open(text: Option<String>) -> Result<Option<String>, StoreError> {
    match text.map(vault::opened).transpose() {
        Err(VaultError::Locked) => Ok(None),
        Err(_) => Err(StoreError::Failed),
        Ok(text) => Ok(text),
    }
}

fn seal(slot: Slot, text: &str) -> Result<String, StoreError> {
    if !Slot::PRIVATE.contains(&slot) {
        return Ok(text.to_owned());
    }
    vault::sealed(text).map_err(|_| StoreError::Failed)
}

/// Everything that a lock seals, opened.
///
/// # Errors
/// See [`StoreError`].
pub async fn private(database: &Database) -> Result<Vec<(Slot, String)>, StoreError> {
    let mut texts = Vec::new();
    for slot in Slot::PRIVATE {
        if let Some(text) = read(database, slot).await? {
            texts.push((slot, text));
        }
    }
    Ok(texts)
}

/// Keeps what is private, and the lock that it is under or none, in one step.
///
/// # Errors
/// See [`StoreError`]; then everything is kept as it was.
pub async fn keep_private(
    database: &Database,
    texts: &[(Slot, String)],
    lock: Option<&str>,
) -> Result<(), StoreError> {
    let mut changes = sealed(texts.iter().map(|(slot, text)| (*slot, text.as_str())))?;
    changes.push(match lock {
        Some(lock) => put(Slot::Lock, lock),
        None => Change::delete(STATE, &Slot::Lock.key()),
    });
    database.change(changes).await
}

fn put(slot: Slot, text: &str) -> Change {
    Change::put(STATE, &slot.key(), &text.into())
}

fn sealed<'a>(texts: impl IntoIterator<Item = (Slot, &'a str)>) -> Result<Vec<Change>, StoreError> {
    let texts = texts.into_iter();
    texts
        .map(|(slot, text)| Ok(put(slot, &seal(slot, text)?)))
        .collect()
}

/// Keeps some texts in the open in place of everything that a lock seals, and no lock, in one step.
///
/// # Errors
/// See [`StoreError`]; then everything is kept as it was.
pub async fn lift_lock<const N: usize>(
    database: &Database,
    texts: [(Slot, &str); N],
) -> Result<(), StoreError> {
    let sealed = Slot::PRIVATE.into_iter().chain([Slot::Lock]);
    let lifted = sealed.map(|slot| Change::delete(STATE, &slot.key()));
    let kept = texts.into_iter().map(|(slot, text)| put(slot, text));
    database.change(lifted.chain(kept)).await
}

/// Writes a slot over what was there, and returns once it is stored for good.
///
/// # Errors
/// See [`StoreError`]; then the slot still holds what it held.
pub async fn write(database: &Database, slot: Slot, text: &str) -> Result<(), StoreError> {
    write_all(database, [(slot, text)]).await
}

/// Writes some slots over what was there, all or none, and returns once they are stored for good.
///
/// # Errors
/// See [`StoreError`]; then the slots still hold what they held.
pub async fn write_all<const N: usize>(
    database: &Database,
    texts: [(Slot, &str); N],
) -> Result<(), StoreError> {
    database.change(sealed(texts)?).await
}

/// The place in the journal with which the newest bundle ended; 0 before the first.
///
/// # Errors
/// See [`StoreError`].
pub async fn last_bundled(database: &Database) -> Result<u32, StoreError> {
    let asks = [Ask::last_key_of(
        &Slot::Bundle(0).key(),
        &Slot::Bundle(u32::MAX).key(),
    )];
    let newest = database.read(STATE, asks).await?.get(0).as_string();
    Ok(newest
        .and_then(|key| key.strip_prefix("bundle-")?.parse().ok())
        .unwrap_or(0))
}

/// The records of all bundles, oldest first.
///
/// # Errors
/// See [`StoreError`].
pub async fn bundles(database: &Database) -> Result<Vec<String>, StoreError> {
    let (from, to) = (Slot::Bundle(0).key(), Slot::Bundle(u32::MAX).key());
    let asks = [Ask::all(&from.into(), &to.into())];
    let records: Array = database.read(STATE, asks).await?.get(0).unchecked_into();
    Ok(records
        .iter()
        .filter_map(|record| record.as_string())
        .collect())
}
