//! Several changes are one.

use super::{Open, entry, handset};
use crate::common::handset::code;
use combgate_desk::store::{Kept, Store, StoreError};
use std::path::Path;

/// Why work was broken off on purpose.
#[derive(Debug)]
enum BrokenOff {
    OnPurpose,
    Store,
}

impl From<StoreError> for BrokenOff {
    fn from(_: StoreError) -> Self {
        Self::Store
    }
}

pub(crate) fn work_is_kept_whole_or_not_at_all<S: Store>(open: Open<S>, folder: &Path) {
    let mut store = open(folder);
    let broken = store.atomically(|store| {
        store.add_handset(&handset("K1", 1))?;
        store.keep_entry(&code("K1"), &entry(1, 1), Kept::Booked)?;
        Err::<(), _>(BrokenOff::OnPurpose)
    });
    assert!(matches!(broken, Err(BrokenOff::OnPurpose)));
    assert_eq!(store.handsets().unwrap(), []);
    let done: Result<u8, StoreError> = store.atomically(|store| {
        store.add_handset(&handset("K1", 1))?;
        Ok(7)
    });
    assert_eq!(done.unwrap(), 7);
    drop(store);
    assert_eq!(open(folder).handsets().unwrap(), [handset("K1", 1)]);
}

pub(crate) fn upkeep_in_the_middle_of_work_changes_nothing<S: Store>(open: Open<S>, folder: &Path) {
    let mut store = open(folder);
    let mut upkeep = store.upkeep().unwrap_or_else(|| Box::new(|| {}));
    store.add_handset(&handset("K1", 1)).unwrap();
    upkeep();
    let broken = store.atomically(|store| {
        store.add_handset(&handset("K2", 2))?;
        upkeep();
        Err::<(), _>(BrokenOff::OnPurpose)
    });
    assert!(matches!(broken, Err(BrokenOff::OnPurpose)));
    upkeep();
    assert_eq!(store.handsets().unwrap(), [handset("K1", 1)]);
    drop((store, upkeep));
    assert_eq!(open(folder).handsets().unwrap(), [handset("K1", 1)]);
}
