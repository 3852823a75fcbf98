//! A weighing at the store as it is answered and printed.

use super::Judged;
use crate::findings::weight_word;
use crate::outcome::Exit;
use crate::store::PaperKind;
use chrono::NaiveDate;
use combgate_core::clerk::{FindingWeight, ReceivingFinding};
use combgate_core::record::ReceiptNumber;
use combgate_core::units::{Code, Label};
use combgate_ui::figures::{decimal, kilograms};
use serde::Serialize;
use std::fmt::Write;

/// A weighing in an answer.
#[derive(Serialize)]
pub(crate) struct ReceivingAnswer<'a> {
    receiving: i64,
    pail: &'a Code,
    day: NaiveDate,
    by: &'a Label,
    gross_g: i64,
    paper: Option<PaperAnswer<'a>>,
    difference_g: Option<i64>,
    may_lose_mg: Option<i64>,
    may_gain_mg: Option<i64>,
    set_aside: Option<&'a Label>,
    findings: Vec<Found>,
}

#[derive(Serialize)]
struct PaperAnswer<'a> {
    number: &'a ReceiptNumber,
    kind: &'static str,
    member: &'a Code,
    day: NaiveDate,
}

#[derive(Serialize)]
struct Found {
    code: &'static str,
    weight: &'static str,
    sentence: String,
}

impl<'a> ReceivingAnswer<'a> {
    pub(crate) fn of(judged: &'a Judged) -> Self {
        let tolerance = judged.result.tolerance;
        Self {
            receiving: judged.row.id,
            pail: &judged.row.pail,
            day: judged.row.day,
            by: &judged.row.found.by,
            gross_g: judged.row.found.gross.get(),
            paper: judged.pail.as_ref().map(|pail| PaperAnswer {
                number: &pail.paper,
                kind: kind_word(pail.kind),
                member: &pail.member,
                day: pail.day,
            }),
            difference_g: judged.result.difference_g,
            may_lose_mg: tolerance.map(|tolerance| tolerance.lost.milligrams()),
            may_gain_mg: tolerance.map(|tolerance| tolerance.gained.milligrams()),
            set_aside: judged.row.set_aside.as_ref().map(|aside| &aside.because),
            findings: judged.result.findings.iter().map(Found::of).collect(),
        }
    }
}

impl Found {
    fn of(finding: &ReceivingFinding) -> Self {
        Self {
            code: finding.code(),
            weight: weight_word(finding.weight()),
            sentence: finding.to_string(),
        }
    }
}

/// How a command ends that found this.
pub(crate) fn exit(judged: &Judged) -> Exit {
    let asks = |finding: &ReceivingFinding| finding.weight() >= FindingWeight::Question;
    if judged.result.findings.iter().any(asks) {
        Exit::Questioned
    } else {
        Exit::Done
    }
}

/// A weighing on paper: one line, and a line for each finding.
pub(crate) fn words(judged: &Judged) -> String {
    let mut text = format!(
        "Pail {}: {} kg at the store, received on {} by {}",
        judged.row.pail,
        kilograms(judged.row.found.gross.get()),
        judged.row.day,
        judged.row.found.by,
    );
    // Writing to a string cannot fail.
    let _ = match &judged.pail {
        Some(pail) => writeln!(
            text,
            "\n  {} {} of {}, member {}",
            kind_word(pail.kind),
            pail.paper,
            pail.day,
            pail.member
        ),
        None => writeln!(text, "\n  no paper"),
    };
    if let (Some(difference), Some(tolerance)) =
        (judged.result.difference_g, judged.result.tolerance)
    {
        let plus = if difference > 0 { "+" } else { "" };
        let _ = writeln!(
            text,
            "  difference {plus}{} kg; scales and shrink explain −{} to +{} kg",
            kilograms(difference),
            decimal(tolerance.lost.milligrams(), 6, 2),
            decimal(tolerance.gained.milligrams(), 6, 2),
        );
    }
    if let Some(aside) = &judged.row.set_aside {
        let _ = writeln!(text, "  set aside by {}: {}", aside.by, aside.because);
    }
    for finding in &judged.result.findings {
        let _ = writeln!(
            text,
            "  {:<8}  {finding} [{}]",
            weight_word(finding.weight()),
            finding.code()
        );
    }
    text
}

pub(crate) const fn kind_word(kind: PaperKind) -> &'static str {
    match kind {
        PaperKind::Receipt => "receipt",
        PaperKind::Slip => "slip",
    }
}
