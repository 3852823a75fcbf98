//! What is left of a damaged journal, in bundles that the desk takes.
//!
//! Each unbroken run of entries becomes a bundle of its own: the desk books what links to what it
//! has and lets the rest wait. What is no entry any more goes into a file as it is.

use super::{Key, Outgoing, Refused};
use crate::platform::clock;
use crate::platform::database::Database;
use crate::platform::journal::Journal;
use crate::platform::keys::HandsetKey;
use combgate_core::record::{JournalHead, ParsedEntry, UnsignedManifest, make_bundle, to_text};
use serde::Serialize;

/// Entries that are read at once.
const AT_ONCE: u32 = 250;

/// What is left of a journal.
#[derive(Debug, Clone, Default)]
pub struct Left {
    /// How many entries can be read.
    pub entries: usize,
    /// How many places hold something that is no entry.
    pub unreadable: usize,
    /// How many of the entries this handset's key did not sign.
    pub unproven: usize,
    /// How many places before the last one hold nothing.
    pub missing: u64,
    /// Whether each entry that can be read follows the one before it.
    pub unbroken: bool,
    /// Everything that is there, in files.
    pub files: Vec<Outgoing>,
}

/// The file of what cannot be read.
#[derive(Serialize)]
struct UnreadableV1 {
    format: &'static str,
    places: Vec<PlaceV1>,
}

/// A place in the journal that holds no entry.
#[derive(Serialize)]
struct PlaceV1 {
    seq: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    text: Option<String>,
}

/// Gathers what is left.
///
/// # Errors
/// See [`Refused`]; nothing is changed in any case.
pub async fn gather(database: &Database) -> Result<Left, Refused> {
    let journal = Journal::open_damaged(database);
    let last = journal.last_place().await?.unwrap_or(0);
    let mut runs: Vec<Vec<ParsedEntry>> = Vec::new();
    let mut unreadable = Vec::new();
    let mut first = 1;
    while first <= last {
        let end = first.saturating_add(AT_ONCE - 1).min(last);
        for (seq, text) in journal.left(first..=end).await? {
            match text.as_deref().map(ParsedEntry::parse) {
                Some(Ok(entry)) if entry.seq() == u64::from(seq) => add(&mut runs, entry),
                _ => unreadable.push(PlaceV1 { seq, text }),
            }
        }
        first = end + 1;
    }
    let entries = runs.iter().map(Vec::len).sum::<usize>();
    let found = u64::try_from(entries + unreadable.len()).unwrap_or(u64::MAX);
    let mut left = Left {
        entries,
        unreadable: unreadable.len(),
        unproven: 0,
        missing: u64::from(last).saturating_sub(found),
        unbroken: runs.len() <= 1,
        files: Vec::new(),
    };
    if !runs.is_empty() {
        let key = HandsetKey::load(database).await?;
        let key = Key::of(key.ok_or(Refused::NotEnrolled)?)?;
        for entry in runs.iter().flatten() {
            if !key.browser.fits(entry.compact()).await? {
                left.unproven += 1;
            }
        }
        for run in &runs {
            left.files.extend(bundle(&key, run).await?);
        }
    }
    if !unreadable.is_empty() {
        let file = UnreadableV1 {
            format: "combgate-unreadable/1",
            places: unreadable,
        };
        left.files.push(Outgoing {
            name: "combgate-unreadable.json".to_owned(),
            text: to_text("unreadable places", &file)?,
        });
    }
    Ok(left)
}

impl Left {
    /// Whether this is the whole journal, each entry following the one before it.
    pub const fn is_whole(&self) -> bool {
        self.unbroken && self.unproven == 0 && self.unreadable == 0 && self.missing == 0
    }
}

/// Adds an entry to the run that it continues, or begins another with it.
fn add(runs: &mut Vec<Vec<ParsedEntry>>, entry: ParsedEntry) {
    let continued = runs.last_mut().filter(|run| {
        run.last()
            .is_some_and(|before| JournalHead::at(before).precedes(&entry))
    });
    match continued {
        Some(run) => run.push(entry),
        None => runs.push(vec![entry]),
    }
}

async fn bundle(key: &Key, run: &[ParsedEntry]) -> Result<Option<Outgoing>, Refused> {
    let at = clock::now().ok_or(Refused::NoClock)?.at;
    let Some(unsigned) = UnsignedManifest::over(run, &key.public, None, None, at)? else {
        return Ok(None);
    };
    let signature = key.browser.sign(unsigned.unsigned().bytes()).await?;
    let text = make_bundle(unsigned.signed(&signature), run)?;
    let end = |entry: Option<&ParsedEntry>| entry.map_or(0, ParsedEntry::seq);
    let (first, last) = (end(run.first()), end(run.last()));
    Ok(Some(Outgoing {
        name: format!("combgate-left-{first}-{last}.json"),
        text,
    }))
}
