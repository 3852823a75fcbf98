//! Moisture and capped share, drawn against their limits: the value, how far it may be off, and
//! where the limit stands. Every picture says in words what it shows.

use crate::figures::percent;
use crate::prelude::*;
use crate::sentences;
use crate::words::{Language, Phrase, Word, phrase, text};
use combgate_core::record::{AssessmentV1, GroundCode, GroundV1};

/// Width of a drawing in its own units; heights below are in the same.
const WIDTH: i64 = 320;
/// Room at either end, so that labels at the ends are not cut.
const MARGIN: i64 = 24;
/// How far the scale goes on beyond what it has to show, hundredths of a percent.
const BEYOND: i64 = 200;

/// Which side of the limit is good.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Good {
    /// Moisture.
    Below,
    /// Capped share.
    Above,
}

/// A measured value with its interval and its limit, all in hundredths of a percent.
struct Measured {
    name: Word,
    value: i64,
    low: i64,
    high: i64,
    limit: Option<i64>,
    good: Good,
    /// The ground that rests on it, in words.
    verdict: Option<String>,
    /// What else is to be known of it.
    hint: Option<&'static str>,
}

/// Moisture and capped share against their limits, as far as they were measured.
pub fn measured(language: Language, assessment: &AssessmentV1) -> Node {
    let drawn: Vec<_> = all(language, assessment)
        .iter()
        .map(|each| drawing(language, each))
        .collect();
    view! { {drawn} }.into_node()
}

/// The same as sentences.
pub(super) fn sentences(language: Language, assessment: &AssessmentV1) -> Vec<String> {
    all(language, assessment)
        .iter()
        .map(|each| each.sentence(language))
        .collect()
}

fn all(language: Language, assessment: &AssessmentV1) -> Vec<Measured> {
    let moisture = assessment.moisture.as_ref().map(|result| {
        let ground = ground_of(assessment, GroundCode::is_of_moisture);
        let (low, high) = result.interval_hundredths();
        Measured {
            name: Word::PaperMoisture,
            value: result.moisture_hundredths.get(),
            low,
            high,
            limit: ground.and_then(|ground| ground.limit_hundredths),
            good: Good::Below,
            verdict: ground.map(|ground| sentences::ground(language, ground, assessment)),
            hint: None,
        }
    });
    let capped = assessment.capped.as_ref().map(|result| {
        let ground = ground_of(assessment, |code| {
            matches!(
                code,
                GroundCode::CappedMeets
                    | GroundCode::CappedTooNear
                    | GroundCode::CappedFails
                    | GroundCode::CappedFailsOnTooLittle
            )
        });
        Measured {
            name: Word::PaperCapped,
            value: result.share_hundredths.get(),
            low: result.low_hundredths.get(),
            high: result.high_hundredths.get(),
            limit: ground.and_then(|ground| ground.limit_hundredths),
            good: Good::Above,
            verdict: ground.map(|ground| sentences::ground(language, ground, assessment)),
            hint: result.estimate.then(|| text(language, Word::PaperEstimate)),
        }
    });
    moisture.into_iter().chain(capped).collect()
}

fn ground_of(assessment: &AssessmentV1, is: impl Fn(GroundCode) -> bool) -> Option<&GroundV1> {
    assessment.grounds.iter().find(|ground| is(ground.code))
}

impl Measured {
    fn sentence(&self, language: Language) -> String {
        let (value, low, high) = (percent(self.value), percent(self.low), percent(self.high));
        let between = phrase(
            language,
            Phrase::PaperBetween {
                value: &value,
                low: &low,
                high: &high,
            },
        );
        let limit = self.limit.map_or_else(String::new, |limit| {
            let limit = &percent(limit);
            let words = match self.good {
                Good::Below => Phrase::PaperLimitMost { limit },
                Good::Above => Phrase::PaperLimitLeast { limit },
            };
            format!(", {}", phrase(language, words))
        });
        format!("{}: {between}{limit}", text(language, self.name))
    }

    /// First and last hundredth of the scale drawn.
    fn ends(&self) -> (i64, i64) {
        let limit = self.limit.unwrap_or(self.value);
        let first = self.low.min(limit) - BEYOND;
        let last = self.high.max(limit) + BEYOND;
        (first.max(0), last.min(10_000))
    }

    /// Where a value stands in the drawing.
    fn place(&self, hundredths: i64) -> i64 {
        let (first, last) = self.ends();
        let span = (last - first).max(1);
        MARGIN + (hundredths.clamp(first, last) - first) * (WIDTH - 2 * MARGIN) / span
    }
}

fn drawing(language: Language, measured: &Measured) -> Node {
    let verdict = measured.verdict.clone().unwrap_or_default();
    let sentence = measured.sentence(language);
    let told = format!("{sentence}. {verdict}");
    let (from, value, to) = (
        measured.place(measured.low),
        measured.place(measured.value),
        measured.place(measured.high),
    );
    let interval = format!("M{from} 30v12M{from} 36H{to}M{to} 30v12");
    let marker = format!("M{value} 26l9 10-9 10-9-10z");
    let label = format!("{} %", percent(measured.value));
    view! {
        <figure class="gauge">
            <figcaption>{sentence}</figcaption>
            <svg viewBox="0 0 320 100" role="img" aria-label=told>
                {measured.limit.map(|limit| zones(measured, limit))}
                <path class="interval" d=interval></path>
                <path class="marker" d=marker></path>
                <text x=value y="18" text-anchor="middle">{label}</text>
            </svg>
            {measured.hint.map(|words| view! { <p class="hint">{words}</p> })}
        </figure>
    }
    .into_node()
}

/// The good side is a filled bar with a tick, the other a dashed one with a cross; between them
/// stands the limit.
fn zones(measured: &Measured, limit: i64) -> Node {
    let at = measured.place(limit);
    let (left, right) = (at - MARGIN, WIDTH - MARGIN - at);
    let left_is_good = measured.good == Good::Below;
    let bar = |good: bool| if good { "good" } else { "beyond" };
    let mark = |good: bool| if good { "sign" } else { "sign beyond-sign" };
    let sign = |good: bool, x: i64| {
        if good {
            format!("M{} 62l4 4 8-9", x - 6)
        } else {
            format!("M{0} 57l9 9M{1} 57l-9 9", x - 4, x + 5)
        }
    };
    // A side too narrow for its sign goes without.
    let signed = |good: bool, width: i64, x: i64| {
        (width >= 24).then(|| view! { <path class=mark(good) d=sign(good, x)></path> })
    };
    let label = format!("{} %", percent(limit));
    let line = format!("M{at} 22V78");
    view! {
        <rect class=bar(left_is_good) x=MARGIN y="52" width=left height="20"></rect>
        <rect class=bar(!left_is_good) x=at y="52" width=right height="20"></rect>
        {signed(left_is_good, left, MARGIN + left / 2)}
        {signed(!left_is_good, right, at + right / 2)}
        <path class="limit" d=line></path>
        <text x=at y="95" text-anchor="middle">{label}</text>
    }
    .into_node()
}
