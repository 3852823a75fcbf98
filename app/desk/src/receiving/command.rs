//! `combgate receive`: one pail.

use super::answer::{ReceivingAnswer, exit, words};
use super::{ReceiveError, Receiving, Which, receive};
use crate::cli;
use crate::desk;
use crate::outcome::{Failure, Outcome, json};
use crate::typed::quantity;
use combgate_core::clerk::{PailAtStore, SealSeen};
use combgate_core::intake::WeighingScale;
use combgate_core::record::{ReceiptNumber, ScaleCardV1};
use combgate_core::units::{Code, Grams, Label, TextError};
use std::path::Path;

/// Decimals of a kilogram that are taken: whole grams.
const GRAMS: usize = 3;

/// Receives a pail.
pub(crate) fn run(folder: &Path, asked: &cli::Receive) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let receiving = read(asked)?;
    let judged = receive(&mut desk.store, &receiving, desk::now())?;
    Ok(Outcome {
        text: if asked.json {
            json(&ReceivingAnswer::of(&judged))?
        } else {
            words(&judged)
        },
        troubles: Vec::new(),
        exit: exit(&judged),
    })
}

/// What was typed, as a pail to be received.
pub(crate) fn read(asked: &cli::Receive) -> Result<Receiving, ReceiveError> {
    let seal = match (&asked.seal, &asked.broken) {
        (Some(seal), _) => SealSeen::Whole(Code::new(seal).map_err(text("--seal"))?),
        (None, Some(seal)) => SealSeen::Broken(Code::new(seal).map_err(text("--broken"))?),
        (None, None) => SealSeen::Missing,
    };
    let which = match &asked.paper {
        Some(paper) => Which::Paper(ReceiptNumber::try_from(paper.clone())?),
        None if asked.no_paper => Which::None,
        None => Which::Expected,
    };
    Ok(Receiving {
        pail: Code::new(&asked.pail).map_err(text("PAIL"))?,
        which,
        found: PailAtStore {
            scale: scale(asked)?,
            gross: quantity("--gross", &asked.gross, GRAMS)?,
            tare: grams("--tare", asked.tare.as_deref())?,
            seal,
            by: Label::new(&asked.by).map_err(text("--by"))?,
        },
        again: asked
            .again
            .as_deref()
            .map(|reason| Label::new(reason).map_err(text("--again")))
            .transpose()?,
    })
}

/// The store's scale, judged like one at the gate.
fn scale(asked: &cli::Receive) -> Result<WeighingScale, ReceiveError> {
    let card = ScaleCardV1 {
        id: Code::new("store").map_err(text("--interval"))?,
        sticker: None,
        interval_g: quantity("--interval", &asked.interval, 0)?,
        known_g: grams("--known", asked.known.as_deref())?,
        shown_g: grams("--shown", asked.shown.as_deref())?,
    };
    let checked = card.as_checked();
    Ok(WeighingScale {
        interval: checked.interval_g,
        check: checked.check,
    })
}

fn grams(option: &'static str, typed: Option<&str>) -> Result<Option<Grams>, ReceiveError> {
    Ok(typed
        .map(|typed| quantity(option, typed, GRAMS))
        .transpose()?)
}

fn text(option: &'static str) -> impl Fn(TextError) -> ReceiveError {
    move |error| ReceiveError::Text { option, error }
}
