//! This handset: its key, the brief in hand, where its journal stands, and the ways to add to it.
//!
//! Everything that counts goes through [`Handset::add`]: it is made from the head of the journal,
//! signed, stored for good, and only then seen by a screen.

use crate::platform::clock;
use crate::platform::database::{Database, StoreError};
use crate::platform::journal::{
    IssueError as StoreIssueError, Issued, Journal, JournalError, Next,
};
use crate::platform::keys::{HandsetKey, KeyError};
use crate::platform::state::{self, Slot};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::record::{
    Brief, BriefError, Digest, DocumentError, EntryBody, EntryFault, Expected, Issue, IssueError,
    JournalHead, JwkV1, KeyId, NumberError, ParsedEntry, PublicKey, SoftwareCheck, Standing,
    UnsignedEntry, UnsignedManifest, make_bundle,
};
use combgate_core::units::{Code, Label};
use leptos::prelude::*;
use std::sync::Arc;

/// Why something was not done. Nothing was added to the journal.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    /// The clock shows a time that no calendar has.
    #[error("the phone's clock cannot be read")]
    NoClock,
    /// The handset has no key yet.
    #[error("the handset is not enrolled")]
    NotEnrolled,
    /// No brief was taken in.
    #[error("there is no brief")]
    NoBrief,
    /// No day is open.
    #[error("no day is open")]
    DayNotOpen,
    /// A stored entry cannot be read.
    #[error("a stored entry is damaged: {0}")]
    Damaged(#[from] EntryFault),
    /// The brief is not taken.
    #[error(transparent)]
    Brief(#[from] BriefError),
    /// The paper cannot be made.
    #[error(transparent)]
    Paper(#[from] IssueError),
    /// The series is used up.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// Too large to be written.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// The key.
    #[error(transparent)]
    Key(#[from] KeyError),
    /// The journal.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// The right to write.
    #[error(transparent)]
    Lock(#[from] crate::platform::locks::LockError),
    /// The state store.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// A bundle ready to be carried to the desk.
#[derive(Debug, Clone)]
pub struct BundleFile {
    /// Name of the file.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// The handset behind the screens; cheap to copy.
#[derive(Debug, Clone, Copy)]
pub struct Handset {
    database: StoredValue<Database, LocalStorage>,
    journal: StoredValue<Journal, LocalStorage>,
    key: RwSignal<Option<Key>, LocalStorage>,
    brief: RwSignal<Option<Arc<Brief>>>,
    standing: RwSignal<Standing>,
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
        let key = HandsetKey::load(&database)
            .await?
            .map(Key::of)
            .transpose()?;
        let mut standing = Standing::default();
        for compact in journal.entries(1..=u32::MAX).await? {
            standing.note(&ParsedEntry::parse(&compact)?);
        }
        let held = state::read(&database, Slot::Brief).await?;
        let desk = pinned_desk(&database).await?;
        // A brief that a newer program no longer reads is asked for again; it stops nobody from
        // seeing and handing over what is in the journal.
        let brief = held
            .and_then(|compact| Brief::read(&compact, desk, &SoftwareCheck).ok())
            .map(Arc::new);
        Ok(Self {
            database: StoredValue::new_local(database),
            journal: StoredValue::new_local(journal),
            key: RwSignal::new_local(key),
            brief: RwSignal::new(brief),
            standing: RwSignal::new(standing),
        })
    }

    /// The handset's key by name, once it is enrolled. Reactive.
    pub fn kid(&self) -> Option<KeyId> {
        self.key.with(|key| key.as_ref().map(|key| key.public.id()))
    }

    /// The brief in hand. Reactive.
    pub fn brief(&self) -> Option<Arc<Brief>> {
        self.brief.get()
    }

    /// Where the journal stands. Reactive.
    pub fn standing(&self) -> Standing {
        self.standing.get()
    }

    /// Makes the key and the first entry; with both there already, does nothing.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn enrol(&self, name: Label) -> Result<(), Refused> {
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
            self.standing.update(|standing| standing.note(&entry));
        }
        self.key.set(Some(key));
        Ok(())
    }

    /// The enrolment card: the journal's first entry.
    ///
    /// # Errors
    /// [`Refused::NotEnrolled`], [`Refused::Journal`].
    pub async fn card(&self) -> Result<String, Refused> {
        let mut first = self.journal.get_value().entries(1..=1).await?;
        first.pop().ok_or(Refused::NotEnrolled)
    }

    /// Takes in a brief: checked, stored for good, then worked by.
    ///
    /// # Errors
    /// See [`Refused`]; then the brief in hand stays.
    pub async fn take_brief(&self, compact: &str) -> Result<(), Refused> {
        let database = self.database.get_value();
        let expected = Expected {
            handset: self.kid().ok_or(Refused::NotEnrolled)?,
            desk: pinned_desk(&database).await?,
            held_serial: self
                .brief
                .with_untracked(|held| held.as_ref().map(|held| held.payload().serial)),
            today: today()?,
        };
        let brief = Brief::take(compact, expected, &SoftwareCheck)?;
        state::write(&database, Slot::DeskKey, &brief.desk().to_string()).await?;
        state::write(&database, Slot::Brief, compact.trim()).await?;
        self.brief.set(Some(Arc::new(brief)));
        Ok(())
    }

    /// Adds an entry that is no receipt and no slip. Returns its place in the journal.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn add(&self, body: EntryBody) -> Result<u32, Refused> {
        self.append(None, |_| Ok(body)).await
    }

    /// Issues the receipt or slip of a delivery; if it has one already, gives that one's place.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn issue(&self, issue: Issue) -> Result<u32, Refused> {
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
    pub async fn entry(&self, seq: u32) -> Result<Option<ParsedEntry>, Refused> {
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
    pub async fn entries(&self) -> Result<Vec<ParsedEntry>, Refused> {
        let all = self.journal.get_value().entries(1..=u32::MAX).await?;
        Ok(all
            .iter()
            .map(|compact| ParsedEntry::parse(compact))
            .collect::<Result<_, _>>()?)
    }

    /// Makes a bundle of the whole journal: importing entries again changes nothing.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn bundle(&self) -> Result<BundleFile, Refused> {
        let key = self.key.get_untracked().ok_or(Refused::NotEnrolled)?;
        let at = clock::now().ok_or(Refused::NoClock)?.at;
        let database = self.database.get_value();
        let handset = self.brief.with_untracked(|brief| {
            brief
                .as_ref()
                .map(|brief| brief.payload().handset.code.clone())
        });
        let previous = state::bundles(&database)
            .await?
            .pop()
            .and_then(|text| Digest::try_from(text).ok());
        let entries = self.entries().await?;
        let unsigned =
            UnsignedManifest::over(&entries, &key.public, handset.clone(), previous, at)?
                .ok_or(Refused::NotEnrolled)?;
        let signature = key.browser.sign(unsigned.unsigned().bytes()).await?;
        let manifest = unsigned.signed(&signature);
        let last = entries.last().map_or(0, ParsedEntry::seq);
        let digest = Digest::of(&manifest).to_string();
        let text = make_bundle(manifest, &entries)?;
        state::write(
            &database,
            Slot::Bundle(u32::try_from(last).unwrap_or(u32::MAX)),
            &digest,
        )
        .await?;
        let name = format!(
            "combgate-{}-{}-{last}.json",
            handset.as_ref().map_or("handset", Code::as_str),
            at.date_naive(),
        );
        Ok(BundleFile { name, text })
    }

    /// From the head of the journal: make, sign, store for good, and only then take note.
    async fn append(
        &self,
        delivery: Option<uuid::Uuid>,
        make: impl FnOnce(&Standing) -> Result<EntryBody, Refused>,
    ) -> Result<u32, Refused> {
        let key = self.key.get_untracked().ok_or(Refused::NotEnrolled)?;
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
            let parsed = ParsedEntry::parse(&entry.compact)?;
            self.standing.update(|standing| standing.note(&parsed));
        }
        Ok(issued.into_entry().seq)
    }
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
