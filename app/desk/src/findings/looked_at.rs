//! Every finding there is, with what was done about it.
//!
//! Most are kept when an entry is booked. The others follow from what is there and go away with
//! it: gaps and contradictions, what was refused, and what a handset wrote after it was taken out
//! of use.

use crate::import::{open_findings, row};
use crate::store::{FindingRow, FindingStep, Handset, Reversal, Step, Store, StoreError};
use combgate_core::clerk::{Finding, FindingKind, FindingWeight};
use combgate_core::record::{Digest, SignatureCheck};
use combgate_core::units::Code;
use std::cmp::Reverse;
use std::fmt::Write;

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
    findings.extend(after_revocation(store, &handset.code)?);
    findings.sort();
    findings.dedup();
    let steps = store.steps(&handset.code)?;
    findings
        .into_iter()
        .map(|finding| {
            let steps: Vec<FindingStep> = steps
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
    let evidence = store.evidence(&handset.code)?;
    Ok(evidence
        .into_iter()
        .map(|each| {
            let reason = each.reason;
            row(&match each.seq {
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

/// The chain orders entries, not the clock: what follows an entry of a later time was written
/// later too, whatever its clock showed.
pub(crate) fn after_revocation(
    store: &impl Store,
    handset: &Code,
) -> Result<Vec<FindingRow>, StoreError> {
    let Some(revocation) = store.revocation(handset)? else {
        return Ok(Vec::new());
    };
    let from = revocation.from_at;
    let moments = store.moments(handset)?;
    Ok(moments
        .into_iter()
        .skip_while(|(_, at)| *at < from)
        .map(|(seq, _)| {
            row(&Finding {
                seq,
                number: None,
                kind: FindingKind::AfterRevocation { from },
            })
        })
        .collect())
}
