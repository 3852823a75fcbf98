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
