//! Every finding there is, with what was done about it.
//!
//! Most are kept when an entry is booked. The others follow from what is there and go away with
//! it: gaps and contradictions, what was refused, and what a handset wrote after it was taken out
//! of use.

use crate::import::{open_findings, row};
use crate::store::{FindingRow, FindingStep, Handset, Reversal, Step, Store, StoreError};
use chrono::{DateTime, FixedOffset};
use combgate_core::clerk::{Finding, FindingKind, FindingWeight};
use combgate_core::record::{Digest, SignatureCheck};
use combgate_core::units::Code;
use std::cmp::Reverse;
use std::collections::HashMap;
use std::fmt::Write;
use std::ops::RangeInclusive;

/// Bytes of a digest that tell findings apart.
const IDENTITY_BYTES: usize = 8;

/// A finding and what was done about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookedAt {
    /// In whose journal.
    pub handset: Code,
    /// The finding; entry 0 stands for a whole file.
    pub finding: FindingRow,
    /// Steps taken, the last one last.
    pub steps: Vec<FindingStep>,
    /// What was reversed because of it, in the order made.
    pub reversals: Vec<Reversal>,
}

impl LookedAt {
    /// Tells it from every other finding, and stays the same: sixteen hexadecimal digits.
    pub fn id(&self) -> String {
        let FindingRow {
            seq,
            code,
            sentence,
            ..
        } = &self.finding;
        let digest = Digest::of(format!("{}\n{seq}\n{code}\n{sentence}", self.handset));
        digest.bytes()[..IDENTITY_BYTES]
            .iter()
            .fold(String::new(), |mut text, byte| {
                // Writing to a string cannot fail.
                let _ = write!(text, "{byte:02x}");
                text
            })
    }

    /// Whether it is another finding of the same kind from the same handset.
    pub fn is_like(&self, other: &Self) -> bool {
        self.handset == other.handset
            && self.finding.code == other.finding.code
            && self.id() != other.id()
    }

    /// What was done last.
    pub fn last_step(&self) -> Option<&FindingStep> {
        self.steps.last()
    }

    /// Whether nothing more is to be done.
    pub fn is_settled(&self) -> bool {
        self.last_step().is_some_and(|last| match last.step {
            Step::Accept => true,
            Step::Reverse => self.is_carried_out(),
            Step::Ask | Step::Dispute => false,
        })
    }

    /// Whether something was reversed because of it, and that stands.
    pub fn is_carried_out(&self) -> bool {
        self.reversals
            .iter()
            .any(|reversal| reversal.undone.is_none())
    }

    /// Whether the officer is to hear of it: what asks something of the clerk and is not settled,
    /// and whatever the clerk asks.
    pub fn is_asked(&self) -> bool {
        let asks = self.finding.weight >= FindingWeight::Question || self.last_step().is_some();
        // Of a file that others made in its name, its officer knows nothing.
        asks && !self.is_settled() && self.finding.seq > 0
    }
}

/// Findings of a handset in order of entry.
pub fn of_handset(
    store: &impl Store,
    check: &dyn SignatureCheck,
    handset: &Handset,
) -> Result<Vec<LookedAt>, StoreError> {
    let mut findings = open_findings(store, check, handset, 0..=u64::MAX)?;
    findings.extend(refused(store, handset)?);
    findings.extend(after_revocation(store, handset, &(0..=u64::MAX))?);
    findings.sort();
    findings.dedup();
    let mut steps: HashMap<u64, Vec<FindingStep>> = HashMap::new();
    for step in store.steps(&handset.code)? {
        steps.entry(step.seq).or_default().push(step);
    }
    findings
        .into_iter()
        .map(|finding| {
            let of_entry = steps.get(&finding.seq).map_or(&[][..], Vec::as_slice);
            let steps: Vec<FindingStep> = of_entry
                .iter()
                .filter(|step| step.is_on(&handset.code, &finding))
                .cloned()
                .collect();
            // Nothing is reversed that nobody decided on.
            let mut reversals = Vec::new();
            if steps.iter().any(|step| step.step == Step::Reverse) {
                reversals = store.reversals(&handset.code, finding.seq)?;
                reversals.retain(|reversal| {
                    reversal.code == finding.code && reversal.sentence == finding.sentence
                });
            }
            Ok(LookedAt {
                handset: handset.code.clone(),
                finding,
                steps,
                reversals,
            })
        })
        .collect()
}

/// Findings of all handsets, the heaviest first, then by handset and entry.
pub fn of_all(store: &impl Store, check: &dyn SignatureCheck) -> Result<Vec<LookedAt>, StoreError> {
    let mut all = Vec::new();
    for handset in store.handsets()? {
        all.extend(of_handset(store, check, &handset)?);
    }
    // Stable: the order within a weight stays.
    all.sort_by_key(|each| Reverse(each.finding.weight));
    Ok(all)
}

fn refused(store: &impl Store, handset: &Handset) -> Result<Vec<FindingRow>, StoreError> {
    let refusals = store.refusals(&handset.code)?;
    Ok(refusals
        .into_iter()
        .map(|(seq, reason)| {
            row(&match seq {
                Some(seq) => Finding {
                    seq,
                    number: None,
                    kind: FindingKind::EntryRefused { reason },
                },
                None => Finding {
                    seq: 0,
                    number: None,
                    kind: FindingKind::BundleRefused { reason },
                },
            })
        })
        .collect())
}

/// What a handset wrote after it was taken out of use, of these entries.
pub(crate) fn after_revocation(
    store: &impl Store,
    handset: &Handset,
    seqs: &RangeInclusive<u64>,
) -> Result<Vec<FindingRow>, StoreError> {
    let Some((first, from)) = out_of_use(store, &handset.code)? else {
        return Ok(Vec::new());
    };
    let first = first.max(*seqs.start());
    let last = handset.head.seq.min(*seqs.end());
    Ok((first..=last).map(|seq| written_after(seq, from)).collect())
}

/// The finding on a booked entry that was written after its handset was taken out of use.
pub(crate) fn disbelieved(
    store: &impl Store,
    handset: &Code,
    seq: u64,
) -> Result<Option<FindingRow>, StoreError> {
    let out_of_use = out_of_use(store, handset)?;
    Ok(out_of_use
        .filter(|(first, _)| *first <= seq)
        .map(|(_, from)| written_after(seq, from)))
}

/// The first entry that is not believed, and from which moment on; `None` while there is none.
fn out_of_use(
    store: &impl Store,
    handset: &Code,
) -> Result<Option<(u64, DateTime<FixedOffset>)>, StoreError> {
    let first = store.disbelieved_from(handset)?;
    let revocation = store.revocation(handset)?;
    Ok(first.zip(revocation.map(|said| said.from_at)))
}

fn written_after(seq: u64, from: DateTime<FixedOffset>) -> FindingRow {
    row(&Finding {
        seq,
        number: None,
        kind: FindingKind::AfterRevocation { from },
    })
}
