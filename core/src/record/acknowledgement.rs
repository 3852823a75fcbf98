//! An acknowledgement: what arrived at the desk and what is wrong with it.
//!
//! A JWS, `typ` `combgate-acknowledgement`, signed by the desk. Only entries up to its `booked_to`
//! count as handed over.

use super::BRIEF_BYTES_AT_MOST;
use super::digest::Digest;
use super::json::{DocumentError, check_version, from_text, to_text};
use super::jws::{Jws, JwsError, SignatureCheck, Typ, Unsigned};
use super::key::{KeyId, PublicKey};
use crate::units::{Code, Label};
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

const FORMAT: &str = "combgate-acknowledgement/1";

/// The payload.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AcknowledgementV1 {
    /// `combgate-acknowledgement/1`.
    pub format: String,
    /// Whose entries.
    pub handset: KeyId,
    /// When the desk booked them.
    #[serde(with = "super::time::instant")]
    pub made_at: DateTime<FixedOffset>,
    /// All entries up to this `seq` are booked.
    pub booked_to: u64,
    /// Hash of that entry.
    pub head: Digest,
    /// What the clerk questions.
    pub questions: Vec<QuestionV1>,
}

/// One question.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuestionV1 {
    /// Which entry.
    pub seq: u64,
    /// Code of the finding.
    pub finding: Code,
    /// The sentence.
    pub sentence: Label,
}

/// An acknowledgement that is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AcknowledgementError {
    /// It cannot be read.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// Form, desk or signature.
    #[error(transparent)]
    Jws(#[from] JwsError),
    /// For another handset.
    #[error("this acknowledgement is for handset {0}, not for this one: ask the desk for your own")]
    OtherHandset(KeyId),
    /// A step back from the one in hand.
    #[error(
        "this acknowledgement books entries up to {found}, but one up to {held} is already in hand: ask the desk for the newest"
    )]
    Older {
        /// Up to where it books.
        found: u64,
        /// Up to where the one in hand books.
        held: u64,
    },
    /// The desk booked an entry that this journal does not hold.
    #[error(
        "this acknowledgement names entry {0} otherwise than this journal has it: buy nothing more with this handset and call the desk"
    )]
    OtherJournal(u64),
}

/// An acknowledgement whose signature fits the pinned desk.
#[derive(Debug, Clone)]
pub struct Acknowledgement(AcknowledgementV1);

impl Acknowledgement {
    /// Reads an acknowledgement and checks signature, desk and addressee.
    pub fn take(
        compact: &str,
        handset: KeyId,
        desk: &PublicKey,
        check: &dyn SignatureCheck,
    ) -> Result<Self, AcknowledgementError> {
        let jws = Jws::parse(compact.trim(), Typ::Acknowledgement, BRIEF_BYTES_AT_MOST)?;
        jws.check(desk, check)?;
        let payload: AcknowledgementV1 =
            from_text("acknowledgement", jws.payload(), BRIEF_BYTES_AT_MOST)?;
        check_version("acknowledgement", &payload.format, FORMAT)?;
        if payload.handset != handset {
            return Err(AcknowledgementError::OtherHandset(payload.handset));
        }
        Ok(Self(payload))
    }

    /// What it says.
    pub const fn payload(&self) -> &AcknowledgementV1 {
        &self.0
    }

    /// Checks that it goes with the handset's own journal and is no step back.
    ///
    /// `booked` is the hash of the journal's entry at `booked_to`, if there is such an entry;
    /// `held` is the acknowledgement in hand. The same one again is no step back. What was booked
    /// orders them, and the desk's clock only where they book the same.
    ///
    /// # Errors
    /// [`AcknowledgementError::OtherJournal`], [`AcknowledgementError::Older`].
    pub fn fits(
        &self,
        booked: Option<Digest>,
        held: Option<&Self>,
    ) -> Result<(), AcknowledgementError> {
        let own = &self.0;
        let booked = if own.booked_to == 0 {
            Some(Digest::NONE)
        } else {
            booked
        };
        if booked != Some(own.head) {
            return Err(AcknowledgementError::OtherJournal(own.booked_to));
        }
        match held.map(Self::payload) {
            Some(held) if (own.booked_to, own.made_at) < (held.booked_to, held.made_at) => {
                Err(AcknowledgementError::Older {
                    found: own.booked_to,
                    held: held.booked_to,
                })
            }
            _ => Ok(()),
        }
    }
}

impl AcknowledgementV1 {
    /// Prepares an acknowledgement for the desk to sign; `format` is set here.
    pub fn unsigned(mut self, desk: KeyId) -> Result<Unsigned, DocumentError> {
        FORMAT.clone_into(&mut self.format);
        Unsigned::new(
            Typ::Acknowledgement,
            desk,
            &to_text("acknowledgement", &self)?,
        )
    }
}
