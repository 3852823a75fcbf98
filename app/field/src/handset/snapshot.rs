//! Where the journal stands, without reading all of it at every start: a snapshot that is believed
//! only as long as the journal still holds the very entry it was taken after.

use super::Refused;
use crate::platform::database::Database;
use crate::platform::journal::Journal;
use crate::platform::preferences;
use crate::platform::state::{self, Slot};
use combgate_core::record::{Digest, FieldRegister, ParsedEntry, Standing, from_text, to_text};
use leptos::task::spawn_local;
use serde::{Deserialize, Serialize};

/// After so many entries a new snapshot is taken.
const ENTRIES_BETWEEN: u64 = 20;
/// Far more than years of days come to.
const BYTES_AT_MOST: usize = 4 * 1024 * 1024;

/// Which rules this program folds entries by; `build.rs` names them.
const RULES: &str = env!("COMBGATE_RULES");

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Snapshot {
    /// By other rules entries may come to something else.
    rules: String,
    /// The entry that it was taken after, and its hash.
    seq: u32,
    hash: Digest,
    standing: Standing,
    register: FieldRegister,
}

/// Where the journal stands, what it adds to the register, and the place of its newest entry;
/// `kept` is the snapshot's text.
pub(super) async fn standing(
    database: &Database,
    journal: &Journal,
    kept: Option<&str>,
) -> Result<(Standing, FieldRegister, u64), Refused> {
    let (snapshot, entries) = believed(journal, kept).await?.unzip();
    let (mut standing, mut register, begin) = snapshot.map_or_else(Default::default, |snapshot| {
        (snapshot.standing, snapshot.register, snapshot.seq)
    });
    let entries = match entries {
        Some(entries) => entries,
        None => journal.entries(1..=u32::MAX).await?,
    };
    let mut last = u64::from(begin);
    let mut hash = None;
    for compact in entries {
        let entry = ParsedEntry::parse(&compact)?;
        standing.note(&entry);
        register.note(&entry);
        last = entry.seq();
        hash = Some(entry.hash());
    }
    if let (Some(hash), Ok(seq)) = (hash, u32::try_from(last))
        && last - u64::from(begin) >= ENTRIES_BETWEEN
    {
        let snapshot = Snapshot {
            rules: RULES.to_owned(),
            seq,
            hash,
            standing: standing.clone(),
            register: register.clone(),
        };
        let database = database.clone();
        // A convenience: without it the next start is only slower.
        spawn_local(async move {
            if let Ok(text) = to_text("snapshot", &snapshot)
                && state::write(&database, Slot::Snapshot, &text).await.is_ok()
            {
                preferences::remember_snapshot(seq);
            }
        });
    }
    Ok((standing, register, last))
}

/// The snapshot, if it can be believed, and the entries after it.
async fn believed(
    journal: &Journal,
    kept: Option<&str>,
) -> Result<Option<(Snapshot, Vec<String>)>, Refused> {
    let snapshot = kept.and_then(|text| {
        from_text::<Snapshot>("snapshot", text, BYTES_AT_MOST)
            .ok()
            .filter(|snapshot| snapshot.rules == RULES)
    });
    let Some(snapshot) = snapshot else {
        return Ok(None);
    };
    let mut entries = journal.entries(snapshot.seq..=u32::MAX).await?;
    if entries.first().map(String::as_str).map(Digest::of) != Some(snapshot.hash) {
        return Ok(None);
    }
    entries.remove(0);
    Ok(Some((snapshot, entries)))
}
