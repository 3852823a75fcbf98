//! Many files, one after the other in their order: while one is booked, the next is read and its
//! signatures are checked.

use super::proof::{Proven, Unproven};
use super::sealed::{BYTES_AT_MOST, is_sealed_bundle};
use super::{Came, ImportError, Imported, import_bytes, keep};
use crate::files::read_bytes;
use crate::store::Store;
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{KeyId, PublicKey, SignatureCheck};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::mpsc::sync_channel;

/// Files that wait, proven, for the one before them to be booked. With the one that is booked and
/// the one that is read, three are in memory at most.
const WAITING_AT_MOST: usize = 1;

/// What could be done with a file without the ledger.
enum Ahead {
    Proven(Box<Proven>),
    /// Not a handset's that was enrolled when the import began, or sealed: the ledger is asked.
    Raw(Vec<u8>),
    Failed(ImportError),
}

/// Imports files in their order and tells of each as soon as it is booked or refused.
pub fn import_all<'p, S: Store>(
    store: &mut S,
    check: &(dyn SignatureCheck + Sync),
    paths: &'p [PathBuf],
    now: DateTime<FixedOffset>,
    mut tell: impl FnMut(&'p Path, Result<Imported, ImportError>),
) {
    // A key's name is its thumbprint: what was found here stays right, whatever is enrolled since.
    // A ledger that cannot be read says so with the first file.
    let keys: HashMap<KeyId, PublicKey> = store
        .handsets()
        .unwrap_or_default()
        .into_iter()
        .map(|handset| (handset.key.id(), handset.key))
        .collect();
    std::thread::scope(|scope| {
        let (sender, receiver) = sync_channel(WAITING_AT_MOST);
        scope.spawn(move || {
            for path in paths {
                if sender.send(ahead(path, &keys, check)).is_err() {
                    return;
                }
            }
        });
        for (path, ahead) in paths.iter().zip(receiver) {
            let imported = match ahead {
                Ahead::Proven(proven) => keep(store, check, *proven, Came { sent: false, now }),
                Ahead::Raw(bytes) => import_bytes(store, check, path, bytes, now),
                Ahead::Failed(error) => Err(error),
            };
            tell(path, imported);
        }
    });
}

fn ahead(path: &Path, keys: &HashMap<KeyId, PublicKey>, check: &dyn SignatureCheck) -> Ahead {
    let bytes = match read_bytes(path, BYTES_AT_MOST) {
        Ok(bytes) => bytes,
        Err(error) => return Ahead::Failed(error.into()),
    };
    if is_sealed_bundle(&bytes) {
        return Ahead::Raw(bytes);
    }
    match Unproven::read(path, bytes) {
        Err(error) => Ahead::Failed(error),
        Ok(unproven) => match keys.get(&unproven.key()) {
            Some(key) => Ahead::Proven(Box::new(unproven.prove(key, check))),
            None => Ahead::Raw(unproven.into_bytes()),
        },
    }
}
