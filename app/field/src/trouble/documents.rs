//! Why a document from the desk was not taken in: with what it says and what is in hand.

use super::of_refused;
use crate::handset::{Handset, Refused, today};
use crate::speech::{fill, language};
use combgate_core::record::{AcknowledgementError, Brief, BriefError, JwsError, KeyId};
use combgate_ui::words::{Phrase, Word, text};
use combgate_view::untrack;

/// The sentence for a document that was not taken in.
pub fn of_document(refused: &Refused, handset: Handset) -> String {
    match refused {
        Refused::Brief(error) => of_brief(error, handset),
        Refused::Acknowledgement(error) => of_acknowledgement(error, handset),
        other => text(language(), of_refused(other)).to_owned(),
    }
}

fn of_brief(error: &BriefError, handset: Handset) -> String {
    let held = untrack(|| handset.brief());
    match error {
        BriefError::OtherHandset(found) => {
            let own = match &held {
                Some(brief) => brief.payload().handset.code.to_string(),
                None => key_of(handset),
            };
            let found = found.as_str();
            fill(Phrase::ErrorBriefOtherHandset { found, own: &own })
        }
        BriefError::OtherDesk {
            name,
            found,
            pinned,
        } => {
            let found = format!("{name} ({})", found.short());
            let own = held.as_deref().map_or("", cooperative);
            let own = format!("{own} ({})", pinned.short());
            fill(Phrase::ErrorBriefOtherDesk {
                found: &found,
                own: own.trim_start(),
            })
        }
        BriefError::Expired(until) => {
            let until = until.to_string();
            let today = today().map_or_else(|_| String::new(), |today| today.to_string());
            fill(Phrase::ErrorBriefExpired {
                until: &until,
                today: &today,
            })
        }
        BriefError::Older { found, held } => {
            let (found, held) = (found.to_string(), held.to_string());
            fill(Phrase::ErrorBriefOlder {
                found: &found,
                held: &held,
            })
        }
        BriefError::Document(_)
        | BriefError::Jws(_)
        | BriefError::Key(_)
        | BriefError::Terms(_) => text(language(), Word::ErrorBriefDamaged).to_owned(),
    }
}

fn of_acknowledgement(error: &AcknowledgementError, handset: Handset) -> String {
    match error {
        AcknowledgementError::OtherHandset(found) => {
            fill(Phrase::ErrorAcknowledgementOtherHandset {
                found: &found.short(),
                own: &key_of(handset),
            })
        }
        AcknowledgementError::Jws(JwsError::OtherKey { found, expected }) => {
            fill(Phrase::ErrorAcknowledgementOtherDesk {
                found: &found.short(),
                own: &expected.short(),
            })
        }
        AcknowledgementError::Older { found, held } => {
            let (found, held) = (found.to_string(), held.to_string());
            fill(Phrase::ErrorAcknowledgementOlder {
                found: &found,
                held: &held,
            })
        }
        AcknowledgementError::OtherJournal(seq) => {
            let seq = seq.to_string();
            fill(Phrase::ErrorAcknowledgementOtherJournal { seq: &seq })
        }
        AcknowledgementError::Document(_) | AcknowledgementError::Jws(_) => {
            text(language(), Word::ErrorAcknowledgementDamaged).to_owned()
        }
    }
}

fn cooperative(brief: &Brief) -> &str {
    brief.payload().cooperative.name.as_str()
}

fn key_of(handset: Handset) -> String {
    let kid: Option<KeyId> = untrack(|| handset.kid());
    kid.map_or_else(String::new, |kid| kid.short())
}
