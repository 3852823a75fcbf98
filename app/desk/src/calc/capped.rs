//! `combgate calc capped`: share of capped honey from points scored on comb.

use crate::cli::CalcCapped;
use crate::outcome::{Advice, Decimal, Failure, JsonError, Outcome, json};
use crate::typed::{FigureError, quantity};
use combgate_core::intake::{CappedShare, CombCount, CombError, POINTS_FOR_A_COUNT, capped_share};
use combgate_ui::figures::percent;
use serde::Serialize;
use std::fmt::Write;

/// Points that give no share.
#[derive(Debug, thiserror::Error)]
enum CappedError {
    /// A figure cannot be read.
    #[error(transparent)]
    Figure(#[from] FigureError),
    /// Not two or three counts.
    #[error("--comb '{0}' is not two or three counts")]
    Comb(String),
    /// Core refuses them.
    #[error(transparent)]
    Count(#[from] CombError),
}

impl Advice for CappedError {
    fn hint(&self) -> String {
        match self {
            Self::Figure(error) => error.hint(),
            Self::Comb(_) => {
                "write points on capped honey, on open honey and on neither, such as --comb 40:10:3"
                    .to_owned()
            }
            Self::Count(_) => {
                "lay a grid over the comb and score each point as capped, open or other; \
                 see `combgate calc capped --help`"
                    .to_owned()
            }
        }
    }
}

#[derive(Serialize)]
struct Answer {
    share_percent: Decimal,
    low_percent: Decimal,
    high_percent: Decimal,
    design_effect: f64,
    estimate: bool,
    honey_points: i64,
    other_points: i64,
    combs: usize,
}

pub(super) fn run(asked: &CalcCapped) -> Result<Outcome, Failure> {
    let share = capped_share(&read(asked)?).map_err(CappedError::from)?;
    Ok(Outcome::done(if asked.json {
        json(&answer(&share)?)?
    } else {
        words(&share)
    }))
}

fn read(asked: &CalcCapped) -> Result<Vec<CombCount>, CappedError> {
    let one = match (&asked.capped, &asked.open) {
        (Some(capped), Some(open)) => Some(CombCount {
            capped: quantity("--capped", capped, 0)?,
            open: quantity("--open", open, 0)?,
            other: quantity("--other", asked.other.as_deref().unwrap_or("0"), 0)?,
        }),
        // The command line asks for both or neither.
        _ => None,
    };
    let several = asked.comb.iter().map(|typed| comb(typed));
    one.map(Ok).into_iter().chain(several).collect()
}

fn comb(typed: &str) -> Result<CombCount, CappedError> {
    let parts: Vec<_> = typed.split(':').collect();
    let (capped, open, other) = match parts[..] {
        [capped, open] => (capped, open, "0"),
        [capped, open, other] => (capped, open, other),
        _ => return Err(CappedError::Comb(typed.chars().take(40).collect())),
    };
    Ok(CombCount {
        capped: quantity("--comb, capped", capped, 0)?,
        open: quantity("--comb, open", open, 0)?,
        other: quantity("--comb, other", other, 0)?,
    })
}

fn answer(share: &CappedShare) -> Result<Answer, JsonError> {
    Ok(Answer {
        share_percent: Decimal::new(share.share.get(), 2)?,
        low_percent: Decimal::new(share.low.get(), 2)?,
        high_percent: Decimal::new(share.high.get(), 2)?,
        design_effect: share.design_effect,
        estimate: share.estimate,
        honey_points: share.honey_points,
        other_points: share.other_points,
        combs: share.combs,
    })
}

fn words(share: &CappedShare) -> String {
    let mut text = format!(
        "capped share   {} %\n95 % interval  {} to {} %\npoints         {} on honey, {} on neither\n",
        percent(share.share.get()),
        percent(share.low.get()),
        percent(share.high.get()),
        share.honey_points,
        share.other_points,
    );
    // Writing to a string cannot fail.
    if share.combs > 1 {
        let _ = writeln!(
            text,
            "combs          {}, design effect {:.2}",
            share.combs, share.design_effect
        );
    } else {
        text.push_str(
            "One comb says nothing of how combs differ: count several with --comb, and the \
             interval widens to what it is worth.\n",
        );
    }
    if share.estimate {
        let _ = writeln!(
            text,
            "An estimate: fewer than {POINTS_FOR_A_COUNT} points fell on honey."
        );
    }
    text
}
