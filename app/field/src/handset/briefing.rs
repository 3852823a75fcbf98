//! The brief: looked at, compared with what is in hand, and only then worked by.

use super::{Handset, Key, Refused, pinned_desk, today};
use crate::platform::database::Database;
use crate::platform::state::{self, Slot};
use crate::platform::{drafts, page, vault};
use crate::register::Members;
use combgate_core::record::{Brief, Expected, KeyId, SoftwareCheck, read_members};
use combgate_view::untrack;
use std::sync::Arc;

/// Members that are read before the page answers again.
const MEMBERS_AT_ONCE: usize = 100;

/// A brief that was looked at and not yet taken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Offered {
    /// The key of the desk that gave it.
    pub desk: KeyId,
    /// Whether this handset has trusted no desk so far: then somebody should compare the key.
    pub first: bool,
}

impl Handset {
    /// Looks at a brief as [`Self::take_brief`] does, and takes nothing in.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn look_at_brief(self, compact: &str) -> Result<Offered, Refused> {
        let expected = self.expected().await?;
        let brief = Brief::take(compact, expected, &SoftwareCheck)?;
        self.check_lifts(&brief).await?;
        Ok(Offered {
            desk: brief.desk(),
            first: expected.desk.is_none(),
        })
    }

    /// Takes in a brief: checked, stored for good, then worked by.
    ///
    /// # Errors
    /// See [`Refused`]; then the brief in hand stays.
    pub async fn take_brief(self, compact: &str) -> Result<(), Refused> {
        let database = self.database.get_value();
        let brief = Brief::take(compact, self.expected().await?, &SoftwareCheck)?;
        self.check_lifts(&brief).await?;
        let desk = brief.desk().to_string();
        let (brief, kept) = brief.keep()?;
        let texts = [
            (Slot::DeskKey, desk.as_str()),
            (Slot::Brief, compact.trim()),
            (Slot::BriefHead, &kept.head),
            (Slot::Register, &kept.register),
        ];
        match self.lock().await? {
            // What was sealed under a lost PIN is nobody's any more.
            Some(_) if !vault::is_open() => {
                state::lift_lock(&database, texts).await?;
                drafts::discard_all();
            }
            lock => {
                state::write_all(&database, texts).await?;
                if let Some(lock) = lock {
                    lock.know(&database, &brief).await?;
                }
            }
        }
        self.register.take(None);
        self.brief.set(Some(Arc::new(brief)));
        self.read_register().await?;
        let acknowledged = state::read(&database, Slot::Acknowledgement).await?;
        self.recall_acknowledged(acknowledged.as_deref())?;
        self.recall_since().await
    }

    /// Reads the register of the brief in hand, unless it was read; the page goes on answering.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn read_register(self) -> Result<(), Refused> {
        let register = self.register;
        let Some(brief) = self.brief.get_untracked() else {
            return Ok(());
        };
        if untrack(|| register.is_read()) {
            return Ok(());
        }
        let text = state::read(&self.database.get_value(), Slot::Register).await?;
        let text = text.unwrap_or_default();
        let (mut members, mut place) = (Members::default(), 0);
        while place < text.len() {
            members.add(read_members(&text, &mut place, MEMBERS_AT_ONCE)?);
            page::rest().await;
            // Somebody else was quicker, or took in another brief.
            let held = self.brief.get_untracked();
            if untrack(|| register.is_read())
                || !held.is_some_and(|held| Arc::ptr_eq(&held, &brief))
            {
                return Ok(());
            }
        }
        register.take(Some(members.sorted()));
        Ok(())
    }

    /// A file of the brief in hand may still lie on the phone: it lifts no lock.
    async fn check_lifts(self, brief: &Brief) -> Result<(), Refused> {
        match self.lock().await? {
            Some(lock) if !vault::is_open() && brief.payload().serial <= lock.serial() => {
                Err(Refused::LiftsNothing)
            }
            _ => Ok(()),
        }
    }

    async fn expected(self) -> Result<Expected, Refused> {
        let kid = self.key.with_untracked(|key| key.as_ref().map(Key::id));
        let locked = self.lock().await?.map(|lock| lock.serial());
        Ok(Expected {
            handset: kid.ok_or(Refused::NotEnrolled)?,
            desk: pinned_desk(&self.database.get_value()).await?,
            held_serial: self
                .brief
                .with_untracked(|held| held.as_ref().map(|held| held.payload().serial))
                .or(locked),
            today: today()?,
        })
    }
}

/// The brief that was taken in, without its register.
///
/// One that this program can no longer read is asked for again; it stops nobody from seeing and
/// handing over what is in the journal.
pub(super) async fn recall(
    database: &Database,
    head: Option<&str>,
) -> Result<Option<Brief>, Refused> {
    if let Some(brief) = head.and_then(|head| Brief::recall(head).ok()) {
        return Ok(Some(brief));
    }
    // Kept by another program: read as it was received, and kept anew.
    let Some(compact) = state::read(database, Slot::Brief).await? else {
        return Ok(None);
    };
    let desk = pinned_desk(database).await?;
    let Ok(brief) = Brief::read(&compact, desk, &SoftwareCheck) else {
        return Ok(None);
    };
    let (brief, kept) = brief.keep()?;
    let texts = [
        (Slot::BriefHead, kept.head.as_str()),
        (Slot::Register, &kept.register),
    ];
    state::write_all(database, texts).await?;
    Ok(Some(brief))
}
