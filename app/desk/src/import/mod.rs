//! `combgate import`: bundles into the ledger, each whole or not at all.
//!
//! Parse (bounded), check every signature, extend the journal, review each entry, keep what was
//! refused. A bundle is never in more than one transaction, so a kill leaves it whole or out; and
//! what was imported before changes nothing.

mod acknowledge;
mod books;
mod chain;
mod command;
mod effect;
mod many;
mod proof;
mod report;
mod sealed;
mod standing;

pub use acknowledge::{AcknowledgeError, acknowledgement};
pub(crate) use books::LedgerBooks;
pub use chain::Extension;
pub(crate) use chain::row;
pub(crate) use command::{acknowledge_handset, run};
pub use many::import_all;
pub(crate) use sealed::BYTES_AT_MOST;
pub(crate) use standing::open_findings;

use crate::files::{FileError, read_bytes};
use crate::findings::after_revocation;
use crate::keys::DeskKeyError;
use crate::outcome::{Advice, Exit};
use crate::receiving;
use crate::store::{BundleRow, Evidence, FindingRow, Handset, Store, StoreError, Waiting};
use chrono::{DateTime, FixedOffset};
use combgate_core::clerk::{Finding, FindingKind, FindingWeight};
use combgate_core::record::seal::SealError;
use combgate_core::record::{
    Bundle, BundleError, BundleFault, Digest, DocumentError, Entry, KeyId, Received,
    SignatureCheck, Verified,
};
use proof::{Proven, Unproven};
use std::path::Path;

/// A file that was not imported.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// It cannot be read.
    #[error(transparent)]
    File(#[from] FileError),
    /// A bundle that a locked handset sealed, and that this desk cannot open.
    #[error(transparent)]
    Sealed(SealError),
    /// The desk's key.
    #[error(transparent)]
    Key(#[from] DeskKeyError),
    /// It is no bundle.
    #[error(transparent)]
    Unusable(BundleError),
    /// Signed by a handset that this desk does not know.
    #[error("the bundle is signed by key {}, which no enrolled handset has", .0.short())]
    NotEnrolled(KeyId),
    /// A handset sent the bundle of another.
    #[error("handset {sender} sent a bundle that names key {}, which is not its own", .found.short())]
    OtherSender {
        /// Who sent it.
        sender: combgate_core::units::Code,
        /// Whose it says it is.
        found: KeyId,
    },
    /// It names a handset's key, but the handset did not sign it.
    #[error("handset {handset} did not sign this bundle: {error}")]
    Forged {
        /// Which handset it names.
        handset: combgate_core::units::Code,
        /// Why it is refused.
        error: BundleError,
    },
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for ImportError {
    fn hint(&self) -> String {
        match self {
            Self::File(error) => error.hint(),
            Self::Unusable(BundleError::Document(DocumentError::UnknownVersion { .. })) => {
                "update this program, or ask for a bundle of the version that it reads; nothing \
                 of this one was taken in"
                    .to_owned()
            }
            Self::Unusable(_) => "ask the officer to export the bundle again and to send it as a \
                                  file; nothing of this one was taken in"
                .to_owned(),
            Self::NotEnrolled(_) => {
                "ask whose handset it is; if it is one of yours, enrol it from \
                                     its card with `combgate enrol CARD`, then import again"
                    .to_owned()
            }
            Self::OtherSender { .. } => "nothing of it was booked: each handset sends its own \
                                         bundles; take this one in as a file"
                .to_owned(),
            Self::Forged { .. } => "nothing of it was booked and it is kept as evidence: ask who \
                                    sent it, and the officer to export again"
                .to_owned(),
            Self::Sealed(_) => {
                "a locked handset sealed it for the desk whose brief it had: import \
                                it there, or ask for the file again"
                    .to_owned()
            }
            Self::Key(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }

    fn exit(&self) -> Exit {
        match self {
            Self::NotEnrolled(_) | Self::OtherSender { .. } | Self::Forged { .. } => {
                Exit::Questioned
            }
            Self::File(_) | Self::Sealed(_) | Self::Key(_) | Self::Unusable(_) | Self::Store(_) => {
                Exit::Unusable
            }
        }
    }
}

/// An entry refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Place in the file, from 1.
    pub position: usize,
    /// The number it claims, or where it stands in the journal.
    pub seq: u64,
    /// Why.
    pub reason: String,
}

impl Refused {
    fn finding(&self) -> FindingRow {
        chain::row(&Finding {
            seq: self.seq,
            number: None,
            kind: FindingKind::EntryRefused {
                reason: self.reason.clone(),
            },
        })
    }
}

/// A bundle imported.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Imported {
    /// Whose, as it stands now.
    pub handset: Handset,
    /// What it is.
    pub bundle: BundleRow,
    /// What became of its entries.
    pub extension: Extension,
    /// Entries refused; each is a finding too.
    pub refused: Vec<Refused>,
    /// Entries that wait for others.
    pub waiting: Option<Waiting>,
    /// What the clerk must look at.
    pub findings: Vec<FindingRow>,
    /// Whether nothing of it was new.
    pub nothing_new: bool,
}

impl Imported {
    /// Findings that ask something of the clerk.
    pub fn questions(&self) -> impl Iterator<Item = &FindingRow> {
        self.findings
            .iter()
            .filter(|finding| finding.weight >= FindingWeight::Question)
    }

    /// How the command ends for it.
    pub fn exit(&self) -> Exit {
        if self.questions().next().is_some() {
            Exit::Questioned
        } else {
            Exit::Done
        }
    }
}

/// Imports a bundle file.
pub fn import<S: Store>(
    store: &mut S,
    check: &dyn SignatureCheck,
    path: &Path,
    now: DateTime<FixedOffset>,
) -> Result<Imported, ImportError> {
    let bytes = read_bytes(path, BYTES_AT_MOST)?;
    import_bytes(store, check, path, bytes, now)
}

/// Imports what came by another way than a file of this machine; `path` is the name that it is
/// told by. Whoever received it saw to it that it is no longer than [`BYTES_AT_MOST`].
pub fn import_bytes<S: Store>(
    store: &mut S,
    check: &dyn SignatureCheck,
    path: &Path,
    bytes: Vec<u8>,
    now: DateTime<FixedOffset>,
) -> Result<Imported, ImportError> {
    let bytes = sealed::opened(store, bytes)?;
    let unproven = Unproven::read(path, bytes)?;
    let key = unproven.key();
    let handset = store
        .handset_of_key(&key)?
        .ok_or(ImportError::NotEnrolled(key))?;
    let proven = unproven.prove(&handset.key, check);
    keep(store, check, &proven, Came { sent: false, now })
}

/// Imports what a handset sent over the network, which must be its own.
pub fn import_sent<S: Store>(
    store: &mut S,
    check: &dyn SignatureCheck,
    sender: &Handset,
    bytes: Vec<u8>,
    now: DateTime<FixedOffset>,
) -> Result<Imported, ImportError> {
    let bytes = sealed::opened(store, bytes)?;
    let unproven = Unproven::read(Path::new("bundle"), bytes)?;
    let found = unproven.key();
    if sender.key.id() != found {
        let sender = sender.code.clone();
        return Err(ImportError::OtherSender { sender, found });
    }
    let proven = unproven.prove(&sender.key, check);
    keep(store, check, &proven, Came { sent: true, now })
}

/// When a bundle came, and whether its handset sent it over the network.
#[derive(Clone, Copy)]
struct Came {
    sent: bool,
    now: DateTime<FixedOffset>,
}

/// Books what was proven; keeps what was not as evidence.
fn keep<S: Store>(
    store: &mut S,
    check: &dyn SignatureCheck,
    proven: &Proven,
    came: Came,
) -> Result<Imported, ImportError> {
    store.atomically(|store| keep_within(store, check, proven, came))?
}

/// The work of [`keep`] within a transaction, which is to stand unless this is an error; what it
/// tells of the file may be that it is refused.
fn keep_within<S: Store>(
    store: &S,
    check: &dyn SignatureCheck,
    proven: &Proven,
    came: Came,
) -> Result<Result<Imported, ImportError>, ImportError> {
    // Read here: another import may have gone ahead since the signatures were checked.
    let handset = store
        .handset_of_key(&proven.key)?
        .ok_or(ImportError::NotEnrolled(proven.key))?;
    match &proven.bundle {
        Ok(bundle) => Ok(Ok(book(store, check, handset, bundle, proven.file, came)?)),
        Err(error) => {
            store.keep_evidence(&Evidence {
                handset: handset.code.clone(),
                digest: proven.file,
                seq: None,
                position: 0,
                file: proven.file,
                reason: error.to_string(),
                bytes: proven.bytes.clone(),
                kept_at: came.now,
            })?;
            // The evidence stays, so the work is done.
            Ok(Err(ImportError::Forged {
                handset: handset.code,
                error: error.clone(),
            }))
        }
    }
}

/// Books the first entry of a handset that was just added: its enrolment card.
pub(crate) fn book_card<S: Store>(
    store: &S,
    check: &dyn SignatureCheck,
    handset: &mut Handset,
    card: &Entry,
    today: chrono::NaiveDate,
) -> Result<(), StoreError> {
    chain::extend(store, check, handset, [card], today).map(|_| ())
}

fn book<S: Store>(
    store: &S,
    check: &dyn SignatureCheck,
    mut handset: Handset,
    bundle: &Bundle<Verified>,
    file: Digest,
    came: Came,
) -> Result<Imported, StoreError> {
    let Came { sent, now } = came;
    let manifest = bundle.manifest();
    let row = BundleRow {
        file,
        manifest: bundle.digest(),
        handset: handset.code.clone(),
        first_seq: manifest.first_seq,
        last_seq: manifest.last_seq,
        count: u64::try_from(bundle.received().len()).unwrap_or(u64::MAX),
        imported_at: now,
        sent,
    };
    let before = store.bundle(&file)?;
    let (refused, new_evidence) = keep_refused(store, &handset, bundle, file, now)?;
    let extension = chain::extend(store, check, &mut handset, bundle.good(), now.date_naive())?;
    let new_finding = keep_manifest_faults(store, &handset, bundle)?;
    store.keep_bundle(&row)?;
    receiving::match_waiting(store)?;
    let last = if extension.booked > 0 {
        manifest.last_seq.max(handset.head.seq)
    } else {
        manifest.last_seq
    };
    let seqs = manifest.first_seq..=last;
    let mut findings = standing::open_findings(store, check, &handset, seqs.clone())?;
    findings.extend(after_revocation(store, &handset, &seqs)?);
    findings.extend(refused.iter().map(Refused::finding));
    findings.sort();
    Ok(Imported {
        findings,
        waiting: store.waiting_above(&handset.code, handset.head.seq)?,
        nothing_new: extension.booked == 0 && extension.apart == 0 && !new_evidence && !new_finding,
        handset,
        bundle: before.unwrap_or(row),
        extension,
        refused,
    })
}

/// Keeps refused entries as evidence; says which they are, and whether any of them is new.
fn keep_refused(
    store: &impl Store,
    handset: &Handset,
    bundle: &Bundle<Verified>,
    file: Digest,
    now: DateTime<FixedOffset>,
) -> Result<(Vec<Refused>, bool), StoreError> {
    let mut refused = Vec::new();
    let mut any_new = false;
    for received in bundle.received() {
        let Received::Bad(bad) = received else {
            continue;
        };
        let position = u64::try_from(bad.position).unwrap_or(u64::MAX);
        // Where a damaged entry stands in the journal follows from where it stands in the file.
        let stands = bundle
            .manifest()
            .first_seq
            .saturating_add(position)
            .saturating_sub(1);
        let seq = bad.claimed_seq.unwrap_or(stands);
        let reason = bad.fault.to_string();
        any_new |= store.keep_evidence(&Evidence {
            handset: handset.code.clone(),
            digest: Digest::of(&bad.compact),
            seq: Some(seq),
            position,
            file,
            reason: reason.clone(),
            bytes: bad.compact.clone().into_bytes(),
            kept_at: now,
        })?;
        refused.push(Refused {
            position: bad.position,
            seq,
            reason,
        });
    }
    Ok((refused, any_new))
}

/// Keeps what the handset signed about the bundle and is not so; says whether any of it is new.
fn keep_manifest_faults(
    store: &impl Store,
    handset: &Handset,
    bundle: &Bundle<Verified>,
) -> Result<bool, StoreError> {
    let mut any_new = false;
    if bundle.good().count() < bundle.received().len() {
        // A refused entry already says that the file is not what was signed.
        return Ok(false);
    }
    for fault in bundle.faults() {
        // The others are of single entries, which are placed and reviewed one by one.
        if matches!(
            fault,
            BundleFault::NotAsSigned { .. } | BundleFault::TotalsDiffer
        ) {
            let finding = chain::row(&Finding {
                seq: bundle.manifest().last_seq,
                number: None,
                kind: FindingKind::ManifestDiffers {
                    reason: fault.to_string(),
                },
            });
            any_new |= store.keep_finding(&handset.code, &finding)?;
        }
    }
    Ok(any_new)
}
