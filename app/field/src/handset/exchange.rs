//! An exchange with the desk over the network: what is not handed over goes there, its
//! acknowledgement comes back, and a newer brief is noticed.
//!
//! What comes back is taken in as from a file. A phone whose clock is wrong signs with the desk's
//! time, which the desk says when it is asked the first time, before anything large is sent.

use super::handover::Made;
use super::{Handset, Refused};
use crate::platform::clock;
use crate::platform::network::{self, Answer, NoAnswer, Question};
use combgate_core::record::{
    ACKNOWLEDGEMENT_PATH, AcknowledgementError, BRIEF_BYTES_AT_MOST, BRIEF_PATH, DeskAddress,
    Digest, ProblemKind, ProblemV1, Request, RequestError,
};
use combgate_view::untrack;

/// Most bytes of entries that are sent at once: what a slow network carries in a minute or two, so
/// that a broken connection loses little.
const SENT_AT_ONCE: usize = 512 * 1024;
/// How long one answer may take.
const PATIENCE_MS: u32 = 180_000;

/// Why it is not all handed over.
#[derive(Debug, thiserror::Error)]
pub enum Unsent {
    /// The phone has no network.
    #[error("there is no network")]
    Offline,
    /// Nobody answers.
    #[error(transparent)]
    NoAnswer(#[from] NoAnswer),
    /// What answers is not the desk.
    #[error("the answer is not the desk's: status {0}")]
    Strange(u16),
    /// The desk does not do it.
    #[error("{}", .0.detail)]
    Desk(ProblemV1),
    /// The desk has it and does not book it.
    #[error("the desk did not book all of it")]
    NotBooked,
    /// The request cannot be made.
    #[error(transparent)]
    Request(#[from] RequestError),
    /// This handset.
    #[error(transparent)]
    Own(#[from] Refused),
}

impl Unsent {
    /// Whether the same may go well later with nobody doing anything.
    pub const fn may_pass(&self) -> bool {
        match self {
            Self::Offline | Self::NoAnswer(_) | Self::Strange(_) => true,
            Self::Desk(problem) => matches!(
                problem.kind,
                ProblemKind::TooMany
                    | ProblemKind::TooSlow
                    | ProblemKind::DeskTrouble
                    | ProblemKind::ClockApart
                    | ProblemKind::Other
            ),
            Self::NotBooked | Self::Request(_) | Self::Own(_) => false,
        }
    }
}

/// What the desk is asked for.
#[derive(Clone, Copy)]
enum Wish<'a> {
    Acknowledgement,
    /// The brief, if there is one of another serial.
    Brief(u32),
    Bundle(&'a str),
}

/// A bundle on its way, kept until it arrived: sent again it is the same, to the byte.
#[derive(Debug, Clone)]
pub(super) struct OnItsWay {
    from: u64,
    last: u64,
    made: Made,
}

impl Handset {
    /// Where the desk of the brief in hand is reached, if it is. Reactive.
    pub fn desk_address(self) -> Option<DeskAddress> {
        self.brief()?.payload().desk_address.clone()
    }

    /// Sends what the desk has not booked and takes its acknowledgement in. Gives the text of a newer
    /// brief, if there is one, which is not taken in.
    ///
    /// # Errors
    /// See [`Unsent`]. What was acknowledged before stays so.
    pub async fn exchange(self) -> Result<Option<String>, Unsent> {
        let address = untrack(|| self.desk_address()).ok_or(Refused::NoBrief)?;
        if !network::may_be_there() {
            return Err(Unsent::Offline);
        }
        let answer = self.ask(&address, Wish::Acknowledgement).await?;
        let mut from = self.booked_by(&answer.text).await? + 1;
        while from <= self.last.get_untracked() {
            let bundle = self.on_its_way(from).await?;
            let answer = self.ask(&address, Wish::Bundle(&bundle.file.text)).await?;
            self.note_bundle(&bundle).await?;
            let booked = self.booked_by(&answer.text).await?;
            if booked < from {
                return Err(Unsent::NotBooked);
            }
            from = booked + 1;
        }
        self.newer_brief(&address).await
    }

    /// Takes an acknowledgement in; gives the entry up to which the desk has booked. A desk that was
    /// restored from a backup has less than before: it is told again.
    async fn booked_by(self, acknowledgement: &str) -> Result<u64, Unsent> {
        match self.take_acknowledgement(acknowledgement).await {
            Ok(()) => Ok(self
                .acknowledged
                .with_untracked(|all| all.newest().map_or(0, |newest| newest.booked_to))),
            Err(Refused::Acknowledgement(AcknowledgementError::Older { found, .. })) => Ok(found),
            Err(refused) => Err(refused.into()),
        }
    }

    async fn on_its_way(self, from: u64) -> Result<Made, Unsent> {
        let last = self.last.get_untracked();
        let kept = self.on_its_way.get_value();
        if let Some(kept) = kept.filter(|kept| (kept.from, kept.last) == (from, last)) {
            return Ok(kept.made);
        }
        let first = u32::try_from(from).unwrap_or(u32::MAX);
        let made = self.bundle_from(first, SENT_AT_ONCE).await?;
        self.on_its_way.set_value(Some(OnItsWay {
            from,
            last,
            made: made.clone(),
        }));
        Ok(made)
    }

    async fn newer_brief(self, address: &DeskAddress) -> Result<Option<String>, Unsent> {
        let held = self
            .brief
            .with_untracked(|brief| brief.as_ref().map_or(0, |brief| brief.payload().serial));
        match self.ask(address, Wish::Brief(held)).await {
            Ok(answer)
                if answer.status == 200 && self.look_at_brief(&answer.text).await.is_ok() =>
            {
                Ok(Some(answer.text))
            }
            // The same, or one that this handset does not work by: nothing to offer.
            Ok(_) => Ok(None),
            Err(Unsent::Desk(problem)) if problem.kind == ProblemKind::NothingThere => Ok(None),
            Err(unsent) => Err(unsent),
        }
    }

    /// Asks the desk; a second time with its own time, where it says that the clocks are apart.
    async fn ask(self, address: &DeskAddress, wish: Wish<'_>) -> Result<Answer, Unsent> {
        let first = self.ask_once(address, wish).await?;
        let answer = match problem_in(&first) {
            Some(Ok(problem)) if problem.kind == ProblemKind::ClockApart => {
                let own = clock::now().ok_or(Refused::NoClock)?.at;
                self.desk_ahead.set_value(problem.now - own);
                self.ask_once(address, wish).await?
            }
            _ => first,
        };
        match problem_in(&answer) {
            None => Ok(answer),
            Some(Ok(problem)) => Err(Unsent::Desk(problem)),
            Some(Err(status)) => Err(Unsent::Strange(status)),
        }
    }

    async fn ask_once(self, address: &DeskAddress, wish: Wish<'_>) -> Result<Answer, Unsent> {
        let authority = address.authority();
        let request = match wish {
            Wish::Acknowledgement => Request::get(authority, ACKNOWLEDGEMENT_PATH),
            Wish::Brief(_) => Request::get(authority, BRIEF_PATH),
            Wish::Bundle(text) => Request::bundle(authority, Digest::of(text)),
        }?;
        let url = [address.as_str(), request.path()].concat();
        let key = self.key.get_untracked().ok_or(Refused::NotEnrolled)?;
        let own = clock::now().ok_or(Refused::NoClock)?.at;
        let unsigned = request.unsigned(key.id(), own + self.desk_ahead.get_value());
        let signature = key.browser.sign(unsigned.bytes()).await;
        let signed = unsigned.with_signature(&signature.map_err(Refused::from)?);
        let mut fields = vec![
            ("signature-input", signed.signature_input.as_str()),
            ("signature", signed.signature.as_str()),
        ];
        if let Some(digest) = &signed.content_digest {
            fields.push(("content-digest", digest));
        }
        let serial;
        let (method, content) = match wish {
            Wish::Acknowledgement => ("GET", None),
            Wish::Brief(held) => {
                serial = format!("\"{held}\"");
                fields.push(("if-none-match", &serial));
                ("GET", None)
            }
            Wish::Bundle(text) => {
                fields.push(("content-type", "application/json"));
                ("PUT", Some(text))
            }
        };
        let question = Question {
            method,
            url: &url,
            fields: &fields,
            content,
            milliseconds: PATIENCE_MS,
            bytes: u32::try_from(BRIEF_BYTES_AT_MOST).unwrap_or(u32::MAX),
        };
        Ok(network::ask(question).await?)
    }
}

/// The problem that an answer tells of, or its status where it is not the desk's.
fn problem_in(answer: &Answer) -> Option<Result<ProblemV1, u16>> {
    match answer.status {
        200 | 304 => None,
        status => Some(ProblemV1::read(&answer.text).map_err(|_| status)),
    }
}
