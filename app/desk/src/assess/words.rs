//! An assessment in the words of the member's paper.

use combgate_core::record::{AssessmentV1, LineV1};
use combgate_core::units::Currency;
use combgate_ui::figures::{kilograms, percent};
use combgate_ui::sentences::{decision, exact_money, grounds, line, mark, money, settle};
use combgate_ui::words::{Language, text as say};
use std::fmt::Write;

/// The command line speaks English.
const LANGUAGE: Language = Language::En;

pub(super) fn words(answer: &AssessmentV1, currency: Option<Currency>) -> String {
    let mut text = format!(
        "decision      {}\n",
        say(LANGUAGE, decision(answer.decision))
    );
    // Writing to a string cannot fail.
    if let Some(grade) = &answer.grade {
        let _ = writeln!(text, "grade         {grade}");
    }
    if let Some(moisture) = &answer.moisture {
        let _ = writeln!(
            text,
            "moisture      {} %, standard uncertainty {} points",
            percent(moisture.moisture_hundredths.get()),
            percent(moisture.standard_uncertainty_hundredths.get())
        );
    }
    if let Some(capped) = &answer.capped {
        let _ = writeln!(
            text,
            "capped share  {} %, between {} and {} %{}",
            percent(capped.share_hundredths.get()),
            percent(capped.low_hundredths.get()),
            percent(capped.high_hundredths.get()),
            if capped.estimate { ", an estimate" } else { "" }
        );
    }
    if let (Some(gross), Some(tare), Some(net)) = (answer.gross_g, answer.tare_g, answer.net_g) {
        let _ = writeln!(
            text,
            "weight        {} kg − {} kg = {} kg net",
            kilograms(gross.get()),
            kilograms(tare.get()),
            kilograms(net.get())
        );
    }
    list(&mut text, "grounds", grounds(LANGUAGE, answer));
    let marks = answer
        .marks
        .iter()
        .map(|each| say(LANGUAGE, mark(*each)).to_owned());
    list(&mut text, "weighing", marks);
    let settled = answer.settled_by.iter();
    let settled = settled.map(|each| say(LANGUAGE, settle(*each)).to_owned());
    list(&mut text, "what would change it", settled);
    if let (Some(payable), Some(currency)) = (answer.payable_minor, currency) {
        let lines = answer.lines.iter().map(|line| price_line(line, currency));
        list(&mut text, "price", lines);
        let _ = writeln!(text, "payable       {}", money(payable, currency));
    }
    text
}

fn list(text: &mut String, heading: &str, lines: impl IntoIterator<Item = String>) {
    for (place, line) in lines.into_iter().enumerate() {
        if place == 0 {
            let _ = writeln!(text, "{heading}");
        }
        let _ = writeln!(text, "  {line}");
    }
}

fn price_line(each: &LineV1, currency: Currency) -> String {
    let (what, rate) = line(LANGUAGE, each, currency);
    let rate = rate.map_or_else(String::new, |rate| format!(", {rate}"));
    let amount = exact_money(&each.amount_minor, currency);
    format!("{what}{rate}: {amount}")
}
