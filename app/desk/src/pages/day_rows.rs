//! The two long tables of a day, in parts: its papers, and what is to be looked at.

use super::names;
use super::parts::{Column, Named, Part, address, table, weight};
use crate::currency::sum as amount;
use crate::daybook::Day;
use crate::store::{Paper, PaperKind};
use crate::words::{Phrase, Word, phrase, text};
use chrono::NaiveDate;
use combgate_core::intake::Decision;
use combgate_core::units::Currency;
use combgate_ui::figures::kilograms;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;
use std::ops::Range;

/// How many papers and findings are passed over.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    after: String,
    #[serde(default)]
    findings: String,
}

/// The parts of a day's two long tables.
pub(super) struct Parts {
    on: NaiveDate,
    papers: Part,
    findings: Part,
}

impl Parts {
    pub(super) fn asked(asked: &Asked, day: &Day) -> Self {
        let papers = day.sums.total.receipts + day.sums.total.slips;
        Self {
            on: day.on,
            papers: Part::asked(&asked.after, usize::try_from(papers).unwrap_or(usize::MAX)),
            findings: Part::asked(&asked.findings, day.findings.len()),
        }
    }

    /// Which papers of the day are shown.
    pub(super) fn papers(&self) -> Range<usize> {
        self.papers.range()
    }

    /// The address of other parts of the same day.
    fn address(&self, papers: usize, findings: usize, place: &str) -> String {
        let (papers, findings) = (papers.to_string(), findings.to_string());
        let asked = [("after", papers.as_str()), ("findings", &findings)];
        address(&format!("/days/{}", self.on), &asked) + place
    }
}

/// Receipts and slips of a day.
pub(super) fn papers(language: Language, day: &Day, shown: &[Paper], parts: &Parts) -> AnyView {
    let say = |word| text(language, word);
    if shown.is_empty() {
        return ().into_any();
    }
    let unit = day.currency;
    let ways = parts.papers.ways(language, |after| {
        parts.address(after, parts.findings.after(), "#papers")
    });
    let rows: Vec<_> = shown
        .iter()
        .map(|paper| {
            let stands = match (paper.decision, paper.cancelled_by.is_some()) {
                (_, true) => Word::PaperCancelled,
                (Decision::Buy, false) => Word::PaperBought,
                (Decision::Hold, false) => Word::PaperHeld,
                (Decision::Refuse, false) => Word::PaperRefused,
            };
            let sums = |minor: i64| match paper.kind {
                PaperKind::Receipt => amount(minor, unit),
                PaperKind::Slip => String::new(),
            };
            let href = format!("/entries/{}/{}", paper.handset, paper.seq);
            let is_cancelled = paper.cancelled_by.is_some();
            view! {
                <tr class=if is_cancelled { "cancelled" } else { "" }>
                    <th scope="row"><a href=href>{paper.number.to_string()}</a></th>
                    <td>{paper.member.to_string()}</td>
                    <td>{say(stands)}</td>
                    <td>{paper.grade.as_ref().map_or_else(String::new, ToString::to_string)}</td>
                    <td class="number">{kilograms(paper.net_g)}</td>
                    <td class="number">{sums(paper.payable_minor)}</td>
                    <td class="number">{sums(paper.paid_minor)}</td>
                </tr>
            }
        })
        .collect();
    let code = unit.map_or("", Currency::code);
    let shown = table(
        Named::By("papers"),
        [
            Column::text(say(Word::WhatNumber)),
            Column::text(say(Word::WhatMember)),
            Column::text(say(Word::WhatDecision)),
            Column::text(say(Word::ColumnGrade)),
            Column::number(say(Word::ColumnNetKg)),
            Column::number(phrase(language, Phrase::ColumnPayable { currency: code })),
            Column::number(phrase(language, Phrase::ColumnPaid { currency: code })),
        ],
        rows.into_any(),
    );
    view! {
        <section>
            <h2 id="papers">{say(Word::DayPapers)}</h2>
            {parts.papers.shown(language)}
            {shown}
            {ways}
        </section>
    }
    .into_any()
}

/// What was found in the entries of a day.
pub(super) fn to_look_at(language: Language, day: &Day, parts: &Parts) -> AnyView {
    let say = |word| text(language, word);
    if day.findings.is_empty() {
        return ().into_any();
    }
    let ways = parts.findings.ways(language, |after| {
        parts.address(parts.papers.after(), after, "#look")
    });
    let rows: Vec<_> = parts
        .findings
        .of(&day.findings)
        .iter()
        .map(|(handset, finding)| {
            let seq = finding.seq.to_string();
            let href = format!("/entries/{handset}/{seq}");
            view! {
                <li>
                    {weight(language, finding.weight)}
                    " "
                    <a href=href>{format!("{handset} {seq}")}</a>
                    " "
                    {say(names::title(&finding.code))}
                </li>
            }
        })
        .collect();
    view! {
        <section>
            <h2 id="look">{say(Word::NavFindings)}</h2>
            {parts.findings.shown(language)}
            <ul class="lines">{rows}</ul>
            {ways}
        </section>
    }
    .into_any()
}
