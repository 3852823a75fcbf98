//! Many files, one after the other in their order: while some are booked, the next are read and
//! their signatures are checked.
//!
//! Small bundles that follow each other are booked in one transaction, because they change the same
//! pages of the ledger. Nothing is told of any of them before all are kept; and when anything at all
//! stops them, each is booked by itself as if it had come alone.

use super::proof::{Proven, Unproven};
use super::sealed::{BYTES_AT_MOST, is_sealed_bundle};
use super::{Came, ImportError, Imported, import_bytes, keep, keep_within};
use crate::files::{FileError, read_bytes};
use crate::store::{Store, Upkeep};
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{KeyId, PublicKey, SignatureCheck};
use rayon::prelude::*;
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::Scope;

/// Groups that wait, proven, for the one before them to be booked. With the one that is booked and
/// the one that is read, three are in memory at most, and a fourth while it is freed.
const WAITING_AT_MOST: usize = 1;
/// Bytes of files after which a group is full: some thousand entries. A larger file is a group.
const GROUP_BYTES: usize = 3_000_000;

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
    let (others, books) = (&other_cores(), &AtomicBool::new(false));
    std::thread::scope(|scope| {
        let (sender, receiver) = sync_channel(WAITING_AT_MOST);
        scope.spawn(move || {
            let mut rest = paths;
            // Nothing is booked yet.
            let mut waited_for = true;
            while let Some(files) = group(&mut rest) {
                let prove = || -> Vec<Ahead> {
                    files
                        .into_par_iter()
                        .map(|(path, read)| ahead(path, read, &keys, check))
                        .collect()
                };
                let proven = match others.as_ref().filter(|_| !waited_for) {
                    Some(others) => others.install(prove),
                    None => prove(),
                };
                waited_for = !books.load(Relaxed);
                // Whoever listened has gone only when something panicked there.
                if sender.send(proven).is_err() {
                    return;
                }
            }
        });
        let mut paths = paths.iter();
        let came = Came { sent: false, now };
        let mut kept = None;
        // Only a booker who really waits leaves its core to the others.
        let next = || {
            let ready = receiver.try_recv().ok();
            ready.or_else(|| {
                books.store(false, Relaxed);
                receiver.recv().ok()
            })
        };
        while let Some(group) = next() {
            books.store(true, Relaxed);
            // What the group before it changed is put away while this one is booked.
            if let Some(kept) = &kept {
                // Still at the one before: it finds this one too, or the next does.
                let _ = SyncSender::try_send(kept, ());
            } else {
                kept = beside(scope, store.upkeep());
            }
            let mut spent = Vec::with_capacity(group.len());
            let mut together = together(store, check, &group, came).map(Vec::into_iter);
            for file in group {
                let Some(path) = paths.next() else { return };
                let booked = together.as_mut().and_then(Iterator::next);
                let imported = match (booked, file) {
                    (Some(imported), file) => {
                        spent.push(file);
                        imported
                    }
                    (None, Ahead::Proven(proven)) => keep(store, check, &proven, came),
                    (None, Ahead::Raw(bytes)) => import_bytes(store, check, path, bytes, now),
                    (None, Ahead::Failed(error)) => Err(error),
                };
                tell(path, imported);
            }
            // To take apart thousands of entries again is work that need not hold up the next.
            if let Some(others) = others {
                others.spawn(move || drop(spent));
            }
        }
    });
}

/// Does the ledger's upkeep on a thread of its own, once for each time that it is told to.
fn beside<'scope>(
    scope: &'scope Scope<'scope, '_>,
    upkeep: Option<Upkeep>,
) -> Option<SyncSender<()>> {
    let mut upkeep = upkeep?;
    let (sender, receiver) = sync_channel(1);
    scope.spawn(move || {
        while receiver.recv().is_ok() {
            upkeep();
        }
    });
    Some(sender)
}

/// All cores but the one that books, where there are several. Were all at proving, they would take
/// turns with booking, and stand idle once they are far enough ahead of it.
fn other_cores() -> Option<ThreadPool> {
    let others = rayon::current_num_threads().checked_sub(1);
    let others = others.filter(|others| *others > 0)?;
    // Without them all cores prove all the time: slower, and otherwise the same.
    ThreadPoolBuilder::new().num_threads(others).build().ok()
}

/// Books a group in one transaction; nothing of it is booked when that does not come about.
fn together<S: Store>(
    store: &mut S,
    check: &dyn SignatureCheck,
    group: &[Ahead],
    came: Came,
) -> Option<Vec<Result<Imported, ImportError>>> {
    let proven: Option<Vec<&Proven>> = group
        .iter()
        .map(|file| match file {
            Ahead::Proven(proven) => Some(&**proven),
            Ahead::Raw(_) | Ahead::Failed(_) => None,
        })
        .collect();
    let proven = proven.filter(|all| all.len() > 1)?;
    let booked: Result<Vec<_>, ImportError> = store.atomically(|store| {
        proven
            .into_iter()
            .map(|proven| keep_within(store, check, proven, came))
            .collect()
    });
    // Whatever it was, it is met again by the file that it belongs to, and told of there.
    booked.ok()
}

/// A file as it was read.
type FileRead<'p> = (&'p Path, Result<Vec<u8>, FileError>);

/// Reads the next files, until they are a group; `None` when there are no more.
fn group<'p>(rest: &mut &'p [PathBuf]) -> Option<Vec<FileRead<'p>>> {
    let mut files = Vec::new();
    let mut bytes = 0;
    while bytes < GROUP_BYTES
        && let Some((path, after)) = rest.split_first()
    {
        *rest = after;
        let read = read_bytes(path, BYTES_AT_MOST);
        bytes += read.as_ref().map_or(0, Vec::len);
        files.push((path.as_path(), read));
    }
    (!files.is_empty()).then_some(files)
}

/// What can be done with it on any core, while the ledger is busy with the files before it.
fn ahead(
    path: &Path,
    read: Result<Vec<u8>, FileError>,
    keys: &HashMap<KeyId, PublicKey>,
    check: &(dyn SignatureCheck + Sync),
) -> Ahead {
    let bytes = match read {
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
