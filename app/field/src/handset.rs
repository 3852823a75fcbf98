//! This handset: its key, the brief in hand, where its journal stands, and the ways to add to it.
//!
//! Everything that counts goes through [`Handset::add`]: it is made from the head of the journal,
//! signed, stored for good, and only then seen by a screen.

mod afterwards;
mod briefing;
mod code;
mod exchange;
mod handover;
pub mod left;
pub mod lock;
mod papers;
mod refused;
mod snapshot;

pub use briefing::Offered;
pub use exchange::Unsent;
pub use handover::{Acknowledged, Part, Waiting};
pub use papers::{Names, Paper, Papers};
pub use refused::Refused;

use crate::platform::clock;
use crate::platform::database::Database;
use crate::platform::journal::{IssueError as StoreIssueError, Issued, Journal, Next};
use crate::platform::keys::HandsetKey;
use crate::platform::state::{self, Slot};
use crate::platform::vault;
use crate::register::Register;
use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};
use combgate_core::record::{
    Brief, BriefError, EntryBody, Issue, JournalHead, JwkV1, KeyId, ParsedEntry, PublicKey,
    Standing, UnsignedEntry,
};
use combgate_core::units::{Code, Label};
use combgate_view::{RwSignal, StoredValue};
use exchange::OnItsWay;
use futures::join;
use leptos::prelude::*;
use std::ops::Deref;
use std::sync::Arc;
use uuid::Uuid;

/// A document ready to be carried to the desk.
#[derive(Debug, Clone)]
pub struct Outgoing {
    /// Name of the file.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// The handset behind the screens; cheap to copy. What it is made of is there for as long as the page,
/// once for each time that the phone is opened.
#[derive(Debug, Clone, Copy)]
pub struct Handset(&'static Parts);

impl Deref for Handset {
    type Target = Parts;

    fn deref(&self) -> &Parts {
        self.0
    }
}

/// What a handset is made of.
#[derive(Debug)]
pub struct Parts {
    database: StoredValue<Database>,
    journal: StoredValue<Journal>,
    key: RwSignal<Option<Key>>,
    brief: RwSignal<Option<Arc<Brief>>>,
    standing: RwSignal<Standing>,
    register: Register,
    /// Place of the newest entry.
    last: RwSignal<u64>,
    /// Place of the newest entry that is in a bundle.
    bundled: RwSignal<u64>,
    /// What the desk acknowledged.
    acknowledged: RwSignal<Acknowledged>,
    /// When the oldest entry was written that the desk has not acknowledged.
    since: RwSignal<Option<DateTime<FixedOffset>>>,
    /// The papers that were read so far.
    papers: RwSignal<Papers>,
    /// By how much the desk's clock is ahead of this one, as far as it said so.
    desk_ahead: StoredValue<TimeDelta>,
    /// The bundle that was sent last.
    on_its_way: StoredValue<Option<OnItsWay>>,
    /// Nobody gave the PIN yet: nothing is known of members.
    locked: bool,
    /// All of the journal was found to be there.
    whole: StoredValue<bool>,
}

#[derive(Debug, Clone)]
struct Key {
    browser: HandsetKey,
    public: PublicKey,
}

impl Handset {
    /// Reads key, brief and journal.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn open(database: Database, journal: Journal) -> Result<Self, Refused> {
        // Asked for at one time: the browser takes its while over each.
        let slots = [
            Slot::Snapshot,
            Slot::BriefHead,
            Slot::Acknowledgement,
            Slot::Lock,
        ];
        let (key, texts, bundled) = join!(
            HandsetKey::load(&database),
            state::read_all(&database, slots),
            state::last_bundled(&database),
        );
        let key = key?.map(Key::of).transpose()?;
        let [snapshot, head, acknowledged, lock] = texts?;
        let (standing, register, last) =
            snapshot::standing(&database, &journal, snapshot.as_deref()).await?;
        let brief = briefing::recall(&database, head.as_deref()).await?;
        let handset = Self(Box::leak(Box::new(Parts {
            database: StoredValue::new(database),
            journal: StoredValue::new(journal),
            key: RwSignal::new(key),
            brief: RwSignal::new(brief.map(Arc::new)),
            standing: RwSignal::new(standing),
            register: Register::of(register),
            last: RwSignal::new(last),
            bundled: RwSignal::new(bundled?.into()),
            acknowledged: RwSignal::new(Acknowledged::default()),
            since: RwSignal::new(None),
            papers: RwSignal::new(Papers::default()),
            desk_ahead: StoredValue::new(TimeDelta::zero()),
            on_its_way: StoredValue::new(None),
            locked: lock.is_some() && !vault::is_open(),
            whole: StoredValue::new(false),
        })));
        handset.recall_acknowledged(acknowledged.as_deref())?;
        Ok(handset)
    }

    /// Looks whether all of the journal is there. The browser counts thousands of entries for longer than
    /// it takes over all else that a start asks of its database, so no first screen waits for it; whatever
    /// adds an entry does.
    ///
    /// # Errors
    /// See [`Refused`]; of these [`Refused::is_damage`] where some are lost.
    pub async fn ensure_whole(self) -> Result<(), Refused> {
        if !self.whole.get_value() {
            Journal::open(&self.database.get_value()).await?;
            self.whole.set_value(true);
        }
        Ok(())
    }

    /// Reads what the first screen does not wait for: the register, and since when entries wait.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn read_on(self) -> Result<(), Refused> {
        self.recall_since().await?;
        self.read_register().await
    }

    /// Whether it was opened without the PIN that it is kept under: then nothing is known of members.
    pub fn is_locked(self) -> bool {
        self.locked
    }

    /// The handset's key by name, once it is enrolled. Reactive.
    pub fn kid(self) -> Option<KeyId> {
        self.key.with(|key| key.as_ref().map(Key::id))
    }

    /// The brief in hand. Reactive.
    pub fn brief(self) -> Option<Arc<Brief>> {
        self.brief.get()
    }

    /// Where the journal stands. Reactive.
    pub fn standing(self) -> Standing {
        self.standing.get()
    }

    /// The members whose honey can be bought.
    pub fn register(self) -> Register {
        self.register
    }

    /// Makes the key and the first entry; with both there already, does nothing.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn enrol(self, name: Label) -> Result<(), Refused> {
        self.ensure_whole().await?;
        let database = self.database.get_value();
        let key = Key::of(HandsetKey::create(&database).await?)?;
        let at = clock::now().ok_or(Refused::NoClock)?.at;
        let journal = self.journal.get_value();
        if journal.head().await?.is_none() {
            let unsigned = UnsignedEntry::enrolment(&key.public, name, at)?;
            let signature = key.browser.sign(unsigned.unsigned().bytes()).await?;
            let compact = unsigned.signed(&signature);
            let entry = ParsedEntry::parse(&compact)?;
            journal
                .issue(None, async |_: Next| Ok::<_, Refused>(compact))
                .await
                .map_err(of_store)?;
            self.take_note(&entry);
        }
        self.key.set(Some(key));
        Ok(())
    }

    /// The enrolment card: the journal's first entry.
    ///
    /// # Errors
    /// [`Refused::NotEnrolled`], [`Refused::Journal`], [`Refused::Damaged`].
    pub async fn card(self) -> Result<Outgoing, Refused> {
        let mut first = self.journal.get_value().entries(1..=1).await?;
        let text = first.pop().ok_or(Refused::NotEnrolled)?;
        let entry = ParsedEntry::parse(&text)?;
        let EntryBody::Enrolled(enrolled) = entry.body() else {
            return Err(Refused::NotEnrolled);
        };
        let name = format!("combgate-card-{}.jws", in_a_file_name(&enrolled.name));
        Ok(Outgoing { name, text })
    }

    /// Adds an entry that is no receipt and no slip. Returns its place in the journal.
    ///
    /// # Errors
    /// See [`Refused`]. A day is opened once, and only while no other is open; it is closed once.
    pub async fn add(self, body: EntryBody) -> Result<u32, Refused> {
        self.append(None, |standing| {
            in_order(standing, &body)?;
            Ok(body)
        })
        .await
    }

    /// Issues the receipt or slip of a delivery; if it has one already, gives that one's place.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn issue(self, issue: Issue) -> Result<u32, Refused> {
        let brief = self.brief.get_untracked().ok_or(Refused::NoBrief)?;
        let delivery = issue.delivery_id;
        self.append(Some(delivery), move |standing| {
            let open = standing.open.as_ref().ok_or(Refused::DayNotOpen)?;
            let handset: &Code = &brief.payload().handset.code;
            let number = standing.next_number(handset, open.day)?;
            Ok(issue.paper(number, &brief)?)
        })
        .await
    }

    /// An entry by its place.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn entry(self, seq: u32) -> Result<Option<ParsedEntry>, Refused> {
        let found = self.journal.get_value().entries(seq..=seq).await?;
        Ok(found
            .first()
            .map(|compact| ParsedEntry::parse(compact))
            .transpose()?)
    }

    /// All entries, oldest first.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn entries(self) -> Result<Vec<ParsedEntry>, Refused> {
        self.read(1..=u32::MAX).await
    }

    /// Looks at the whole journal: that all of it is there, signed and linked.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn check_journal(self) -> Result<left::Left, Refused> {
        left::gather(&self.database.get_value()).await
    }

    /// When a bundle was last made, if one was.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn last_export(self) -> Result<Option<DateTime<FixedOffset>>, Refused> {
        let text = state::read(&self.database.get_value(), Slot::Exported).await?;
        Ok(text.and_then(|text| DateTime::parse_from_rfc3339(&text).ok()))
    }

    /// When the newest entry was written, if there is one.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn newest_at(self) -> Result<Option<DateTime<FixedOffset>>, Refused> {
        let last = u32::try_from(self.last.get_untracked()).unwrap_or(u32::MAX);
        Ok(self.entry(last).await?.map(|entry| entry.at()))
    }

    /// From the head of the journal: make, sign, store for good, and only then take note.
    async fn append(
        self,
        delivery: Option<Uuid>,
        make: impl FnOnce(&Standing) -> Result<EntryBody, Refused>,
    ) -> Result<u32, Refused> {
        let key = self.key.get_untracked().ok_or(Refused::NotEnrolled)?;
        self.ensure_whole().await?;
        let standing = self.standing;
        let issued = self
            .journal
            .get_value()
            .issue(delivery, async |next: Next| {
                let at = clock::now().ok_or(Refused::NoClock)?.at;
                let body = standing.with_untracked(make)?;
                let head = head_of(&next)?;
                sign(&key, head, at, &body).await
            })
            .await
            .map_err(of_store)?;
        if let Issued::New(entry) = &issued {
            self.take_note(&ParsedEntry::parse(&entry.compact)?);
        }
        Ok(issued.into_entry().seq)
    }

    fn take_note(self, entry: &ParsedEntry) {
        self.standing.update(|standing| standing.note(entry));
        self.register.note(entry);
        self.papers.update(|papers| papers.note(entry));
        if self.since.get_untracked().is_none() {
            self.since.set(Some(entry.at()));
        }
        self.last.set(entry.seq());
    }
}

/// Whether the days stay in order with this entry.
fn in_order(standing: &Standing, body: &EntryBody) -> Result<(), Refused> {
    match body {
        EntryBody::DayOpened(_) if standing.open.is_some() => Err(Refused::DayIsOpen),
        EntryBody::DayOpened(opened) if standing.closed.contains(&opened.day) => {
            Err(Refused::DayIsClosed)
        }
        EntryBody::DayClosed(closed) => match &standing.open {
            Some(open) if open.day == closed.day => Ok(()),
            _ => Err(Refused::DayNotOpen),
        },
        _ => Ok(()),
    }
}

/// A name as far as every file system takes it.
fn in_a_file_name(name: &Label) -> String {
    let letter = |letter: char| {
        if letter.is_ascii_alphanumeric() {
            letter
        } else {
            '-'
        }
    };
    name.as_str().chars().take(40).map(letter).collect()
}

/// The phone's day, by its wall clock.
///
/// # Errors
/// [`Refused::NoClock`].
pub fn today() -> Result<NaiveDate, Refused> {
    Ok(clock::now().ok_or(Refused::NoClock)?.at.date_naive())
}

/// The handset behind the screens. Every view inside the frame has one.
pub fn handset() -> Handset {
    expect_context()
}

async fn sign(
    key: &Key,
    head: JournalHead,
    at: DateTime<FixedOffset>,
    body: &EntryBody,
) -> Result<String, Refused> {
    let unsigned = UnsignedEntry::after(head, key.public.id(), at, body)?;
    let signature = key.browser.sign(unsigned.unsigned().bytes()).await?;
    Ok(unsigned.signed(&signature))
}

fn head_of(next: &Next) -> Result<JournalHead, Refused> {
    Ok(match &next.previous {
        None => JournalHead::EMPTY,
        Some(entry) => JournalHead::at(&ParsedEntry::parse(&entry.compact)?),
    })
}

async fn pinned_desk(database: &Database) -> Result<Option<KeyId>, Refused> {
    let text = state::read(database, Slot::DeskKey).await?;
    Ok(text.map(KeyId::try_from).transpose()?)
}

fn of_store(error: StoreIssueError<Refused>) -> Refused {
    match error {
        StoreIssueError::Lock(error) => error.into(),
        StoreIssueError::Journal(error) => error.into(),
        StoreIssueError::Make(refused) => refused,
    }
}

impl Key {
    fn id(&self) -> KeyId {
        self.public.id()
    }

    fn of(browser: HandsetKey) -> Result<Self, Refused> {
        let public = browser.public();
        let jwk = JwkV1 {
            crv: "P-256".to_owned(),
            kty: "EC".to_owned(),
            x: public.x.clone(),
            y: public.y.clone(),
        };
        let public = PublicKey::try_from(&jwk).map_err(BriefError::from)?;
        Ok(Self { browser, public })
    }
}
