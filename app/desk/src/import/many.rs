//! Many files, one after the other in their order: while some are booked, the next are read and
//! their signatures are checked.
//!
//! Small bundles that follow each other are booked in one transaction, because they change the same
//! pages of the ledger. Nothing is told of any of them before all are kept; and when anything at all
//! stops them, each is booked by itself as if it had come alone.

use super::proof::{Proven, Unproven};
use super::sealed::{BYTES_AT_MOST, is_sealed_bundle};
use super::{Came, ImportError, Imported, import, import_bytes, keep, keep_within};
use crate::files::{FileError, read_bytes};
use crate::store::{Store, Upkeep};
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{KeyId, PublicKey, SignatureCheck};
use rayon::prelude::*;
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::Scope;

/// Groups that wait, proven, for the one before them to be booked. With the one that is booked and
/// the one that is read, three are in memory at most, and a fourth while it is freed.
const WAITING_AT_MOST: usize = 1;
/// Bytes of files after which a group is full: some thousand entries. A larger file is a group.
const GROUP_BYTES: usize = 3_000_000;
/// Groups that share a transaction at most: for so long others who write have to wait.
const GROUPS_TOGETHER: usize = 4;

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
    let others = &others();
    std::thread::scope(|scope| {
        let (sender, receiver) = sync_channel(WAITING_AT_MOST);
        scope.spawn(move || {
            let mut rest = paths;
            while let Some(files) = group(&mut rest) {
                let prove = || -> Vec<Ahead> {
                    files
                        .into_par_iter()
                        .map(|(path, read)| ahead(path, read, &keys, check))
                        .collect()
                };
                let proven = match others {
                    Some(others) => others.install(prove),
                    None => prove(),
                };
                // Whoever listened has gone only when something panicked there.
                if sender.send(proven).is_err() {
                    return;
                }
            }
        });
        let came = Came { sent: false, now };
        let mut rest = paths;
        let mut kept: Option<SyncSender<()>> = None;
        while let Ok(group) = receiver.recv() {
            // What was changed before is put away while this is booked.
            if let Some(kept) = &kept {
                // Still at what came before: it finds this too, or the next time does.
                let _ = kept.try_send(());
            } else {
                kept = beside(scope, store.upkeep());
            }
            let mut lot = Lot {
                next: || receiver.try_recv().ok(),
                others: others.as_ref(),
                files: 0,
                alone: Vec::new(),
            };
            let mut done = lot.book(store, check, group, rest, came);
            let after = &rest[done.len()..];
            done.extend(one_by_one(store, check, after, lot.alone, came));
            let (told, after) = rest.split_at(done.len());
            for (path, imported) in told.iter().zip(done) {
                tell(path, imported);
            }
            rest = after;
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
        give_way();
        while receiver.recv().is_ok() {
            upkeep();
        }
    });
    Some(sender)
}

/// All cores, behind the one thread that books: it goes on whenever it can, and what it leaves of
/// them while it waits for the disk is used.
fn others() -> Option<ThreadPool> {
    // Without them proving takes turns with booking: slower, and otherwise the same.
    let pool = ThreadPoolBuilder::new().start_handler(|_| give_way());
    pool.build().ok()
}

/// How far behind: a ninth of the share of a core. Source: sched(7), "The nice value": since Linux
/// 2.6.23 each step is a factor of 1.25.
#[cfg(target_os = "linux")]
const BEHIND: i32 = 10;

/// Puts the thread that calls it behind the others of this program, where one can.
fn give_way() {
    // Source: nice(2), "C library/kernel differences": Linux knows it of each thread; elsewhere it
    // would be of the whole program.
    #[cfg(target_os = "linux")]
    let _ = rustix::process::nice(BEHIND);
}

fn are_proven(group: &[Ahead]) -> bool {
    group.iter().all(|file| matches!(file, Ahead::Proven(_)))
}

/// Groups that are booked in one transaction: one, and those after it that are proven by the time
/// that it is booked.
struct Lot<'a, N> {
    /// The next group, if it is ready.
    next: N,
    others: Option<&'a ThreadPool>,
    /// How many files it has.
    files: usize,
    /// A group that comes after them and cannot be booked like this.
    alone: Vec<Ahead>,
}

impl<N: FnMut() -> Option<Vec<Ahead>>> Lot<'_, N> {
    /// Says what became of each of its files. Where the transaction does not come about, nothing of
    /// it is booked, and each of the files is imported as if it had come alone.
    fn book<S: Store>(
        &mut self,
        store: &mut S,
        check: &dyn SignatureCheck,
        first: Vec<Ahead>,
        paths: &[PathBuf],
        came: Came,
    ) -> Vec<Result<Imported, ImportError>> {
        if !are_proven(&first) {
            self.alone = first;
            return Vec::new();
        }
        // Counted before it is tried, so that no file is forgotten when there is no transaction.
        self.files = first.len();
        let booked: Result<Vec<_>, ImportError> = store.atomically(|store| {
            let mut booked = self.keep_all(store, check, first, came)?;
            for _ in 1..GROUPS_TOGETHER {
                match (self.next)() {
                    Some(more) if are_proven(&more) => {
                        self.files += more.len();
                        booked.extend(self.keep_all(store, check, more, came)?);
                    }
                    more => {
                        self.alone = more.unwrap_or_default();
                        break;
                    }
                }
            }
            Ok(booked)
        });
        // Whatever it was, it is met again by the file that it belongs to, and told of there.
        booked.unwrap_or_else(|_| {
            let lot = paths.iter().take(self.files);
            lot.map(|path| import(store, check, path, came.now))
                .collect()
        })
    }

    fn keep_all<S: Store>(
        &self,
        store: &S,
        check: &dyn SignatureCheck,
        group: Vec<Ahead>,
        came: Came,
    ) -> Result<Vec<Result<Imported, ImportError>>, ImportError> {
        let proven = group.iter().filter_map(|file| match file {
            Ahead::Proven(proven) => Some(&**proven),
            Ahead::Raw(_) | Ahead::Failed(_) => None,
        });
        let kept = proven
            .map(|proven| keep_within(store, check, proven, came))
            .collect();
        // To take apart thousands of entries again is work that need not hold up the next.
        if let Some(others) = self.others {
            others.spawn(move || drop(group));
        }
        kept
    }
}

/// Imports files each by itself.
fn one_by_one<S: Store>(
    store: &mut S,
    check: &dyn SignatureCheck,
    paths: &[PathBuf],
    files: Vec<Ahead>,
    came: Came,
) -> Vec<Result<Imported, ImportError>> {
    let paths = paths.iter();
    paths
        .zip(files)
        .map(|(path, file)| match file {
            Ahead::Proven(proven) => keep(store, check, &proven, came),
            Ahead::Raw(bytes) => import_bytes(store, check, path, bytes, came.now),
            Ahead::Failed(error) => Err(error),
        })
        .collect()
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
