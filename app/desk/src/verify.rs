//! `combgate verify`: whether a bundle is whole, or what the code on a receipt is worth, without a
//! ledger.

mod stub;

use crate::cli;
use crate::files::{FileError, read_text};
use crate::keys::DeskCheck;
use crate::outcome::{Advice, Exit, Failure, Outcome, json};
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{
    BUNDLE_BYTES_AT_MOST, Bundle, BundleError, DayTotalV1, KeyId, Verified,
};
use combgate_core::units::Code;
use combgate_ui::figures::kilograms;
use serde::Serialize;
use std::fmt::Write;

/// A file that is no bundle, or none that its key signed.
#[derive(Debug, thiserror::Error)]
pub(crate) enum VerifyError {
    /// It cannot be read.
    #[error(transparent)]
    File(#[from] FileError),
    /// It is no bundle.
    #[error(transparent)]
    Unusable(BundleError),
    /// Its manifest is not signed by the key it names.
    #[error("the bundle is not signed by the key it names: {0}")]
    Forged(BundleError),
}

impl Advice for VerifyError {
    fn hint(&self) -> String {
        match self {
            Self::File(error) => error.hint(),
            Self::Unusable(_) => "ask for the bundle again, as a file".to_owned(),
            Self::Forged(_) => {
                "do not believe any of it, and ask the officer to export again".to_owned()
            }
        }
    }

    fn exit(&self) -> Exit {
        match self {
            Self::Forged(_) => Exit::Questioned,
            Self::File(_) | Self::Unusable(_) => Exit::Unusable,
        }
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    whole: bool,
    key: KeyId,
    handset: Option<&'a Code>,
    made_at: DateTime<FixedOffset>,
    first_seq: u64,
    last_seq: u64,
    entries: usize,
    faults: Vec<String>,
    days: &'a [DayTotalV1],
}

/// Checks a stub by the desk's list of handsets, and a bundle against the key that it carries.
pub(crate) fn run(asked: &cli::Verify) -> Result<Outcome, Failure> {
    let text = read_text(&asked.file, BUNDLE_BYTES_AT_MOST).map_err(VerifyError::from)?;
    // A bundle is a JSON object; what a QR code holds is a JWS.
    if text.trim_start().starts_with("ey") {
        return stub::run(asked, &text);
    }
    let bundle = read(&text)?;
    let faults: Vec<String> = bundle.faults().iter().map(ToString::to_string).collect();
    let exit = if faults.is_empty() {
        Exit::Done
    } else {
        Exit::Questioned
    };
    let text = if asked.json {
        let manifest = bundle.manifest();
        json(&Answer {
            whole: faults.is_empty(),
            key: bundle.kid(),
            handset: manifest.handset.as_ref(),
            made_at: manifest.made_at,
            first_seq: manifest.first_seq,
            last_seq: manifest.last_seq,
            entries: bundle.received().len(),
            faults,
            days: &manifest.days,
        })?
    } else {
        words(asked, &bundle, &faults)
    };
    Ok(Outcome {
        exit,
        ..Outcome::done(text)
    })
}

fn read(text: &str) -> Result<Bundle<Verified>, VerifyError> {
    Bundle::parse(text)
        .map_err(VerifyError::Unusable)?
        .verify(None, &DeskCheck)
        .map_err(VerifyError::Forged)
}

fn words(asked: &cli::Verify, bundle: &Bundle<Verified>, faults: &[String]) -> String {
    let manifest = bundle.manifest();
    let verdict = if faults.is_empty() {
        "whole"
    } else {
        "not whole"
    };
    let handset = manifest.handset.as_ref().map_or("none yet", Code::as_str);
    let mut text = format!(
        "{}: {verdict}\nhandset  {handset}, key {}\nentries  {} to {}, made {}\n",
        asked.file.display(),
        bundle.kid().short(),
        manifest.first_seq,
        manifest.last_seq,
        manifest.made_at.to_rfc3339(),
    );
    for day in &manifest.days {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{}  {} receipts, {} slips, {} cancelled, {} pails, {} kg net",
            day.day,
            day.receipts,
            day.slips,
            day.cancellations,
            day.pails,
            kilograms(day.net_g)
        );
    }
    for fault in faults {
        let _ = writeln!(text, "fault    {fault}");
    }
    text.push_str(
        "Whose key it is, only the desk that enrolled the handset can say: compare it with what \
         the handset shows, or import the bundle there.\n",
    );
    text
}
