//! What is open with a handset: findings kept, and what follows from what is kept apart.
//!
//! A gap, a fork and an entry that does not link are not written down: they follow from the
//! entries that are there, and go away when what is missing comes.

use super::chain::{entries_apart, row};
use crate::store::{FindingRow, Handset, Store, StoreError};
use combgate_core::clerk::{Chain, Finding, FindingKind, Place};
use combgate_core::record::SignatureCheck;
use std::ops::RangeInclusive;

/// Findings in some of a handset's entries, contradictions among them, and the first gap of its
/// journal wherever it is, in order of number.
pub(crate) fn open_findings(
    store: &impl Store,
    check: &dyn SignatureCheck,
    handset: &Handset,
    seqs: RangeInclusive<u64>,
) -> Result<Vec<FindingRow>, StoreError> {
    let mut findings = store.findings(&handset.code, seqs.clone())?;
    let next = handset.head.seq.saturating_add(1);
    let placed = *seqs.start()..=next.min(*seqs.end());
    let mut add = |seq, kind| {
        findings.push(row(&Finding {
            seq,
            number: None,
            kind,
        }));
    };
    for entry in entries_apart(store, check, handset, placed)? {
        let booked = store.booked(&handset.code, entry.seq())?;
        if let Place::Apart(kind) = Chain::booked_to(handset.head).place(&entry, booked.as_deref())
        {
            add(entry.seq(), kind);
        }
    }
    if let Some(waiting) = store.waiting_above(&handset.code, next)? {
        let before = handset.head.seq;
        add(waiting.first, FindingKind::Gap { before });
    }
    findings.sort();
    Ok(findings)
}
