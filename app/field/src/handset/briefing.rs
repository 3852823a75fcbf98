//! The brief: looked at, compared with what is in hand, and only then worked by.

use super::{Handset, Key, Refused, pinned_desk, today};
use crate::platform::state::{self, Slot};
use combgate_core::record::{Brief, Expected, KeyId, SoftwareCheck};
use leptos::prelude::*;
use std::sync::Arc;

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
    pub async fn look_at_brief(&self, compact: &str) -> Result<Offered, Refused> {
        let expected = self.expected().await?;
        let brief = Brief::take(compact, expected, &SoftwareCheck)?;
        Ok(Offered {
            desk: brief.desk(),
            first: expected.desk.is_none(),
        })
    }

    /// Takes in a brief: checked, stored for good, then worked by.
    ///
    /// # Errors
    /// See [`Refused`]; then the brief in hand stays.
    pub async fn take_brief(&self, compact: &str) -> Result<(), Refused> {
        let database = self.database.get_value();
        let brief = Brief::take(compact, self.expected().await?, &SoftwareCheck)?;
        state::write(&database, Slot::DeskKey, &brief.desk().to_string()).await?;
        state::write(&database, Slot::Brief, compact.trim()).await?;
        self.brief.set(Some(Arc::new(brief)));
        self.recall_acknowledged().await
    }

    async fn expected(&self) -> Result<Expected, Refused> {
        let kid = self.key.with_untracked(|key| key.as_ref().map(Key::id));
        Ok(Expected {
            handset: kid.ok_or(Refused::NotEnrolled)?,
            desk: pinned_desk(&self.database.get_value()).await?,
            held_serial: self
                .brief
                .with_untracked(|held| held.as_ref().map(|held| held.payload().serial)),
            today: today()?,
        })
    }
}
