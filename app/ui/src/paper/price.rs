//! The three biggest things, and how the total is made.

use super::icons::{self, icon};
use crate::figures::kilograms;
use crate::prelude::*;
use crate::sentences::{self, exact_money, money, sign_and_sum};
use crate::words::{Language, Word, text};
use combgate_core::record::AssessmentV1;
use combgate_core::units::Currency;

/// Net weight, price and total: each with its word, its sign and its figure.
pub(super) fn three(language: Language, assessment: &AssessmentV1) -> Node {
    let rows: Vec<_> = three_figures(language, assessment)
        .into_iter()
        .zip([icons::WEIGHT, icons::PRICE, icons::TOTAL])
        .map(|((name, word, [sign, figure]), path)| {
            // The currency goes before a sum and gives it room: six digits stand on one line.
            view! {
                <div>
                    <dt>{icon(path)} <span>{text(language, word)}</span></dt>
                    <dd data-figure=name><span class="currency">{sign}</span>{figure}</dd>
                </div>
            }
        })
        .collect();
    view! { <dl class="figures three">{rows}</dl> }.into_node()
}

/// Name for tests and scripts, word, sign before the figure, figure.
pub(super) fn three_figures(
    language: Language,
    assessment: &AssessmentV1,
) -> [(&'static str, Word, [String; 2]); 3] {
    let per_kg = assessment.lines.first().and_then(|line| line.per_kg_minor);
    let amount = |minor: Option<i64>| {
        minor
            .zip(assessment.currency)
            .map_or_else(Default::default, |(minor, currency)| {
                sign_and_sum(minor, currency)
            })
    };
    let net = assessment.net_g.map_or_else(String::new, |net| {
        let unit = text(language, Word::PurchaseUnitKg);
        format!("{} {unit}", kilograms(net.get()))
    });
    [
        ("net", Word::PaperNet, [String::new(), net]),
        ("price", Word::PaperPrice, amount(per_kg.map(i64::from))),
        ("total", Word::PaperTotal, amount(assessment.payable_minor)),
    ]
}

/// Price lines down to the total.
pub fn lines(language: Language, assessment: &AssessmentV1, currency: Currency) -> Node {
    let say = |word| text(language, word);
    let rows: Vec<_> = assessment
        .lines
        .iter()
        .map(|line| {
            let (what, rate) = sentences::line(language, line, currency);
            let amount = exact_money(&line.amount_minor, currency);
            view! {
                <div>
                    <dt>{what} {rate.map(|rate| view! { <span class="rate">{rate}</span> })}</dt>
                    <dd>{amount}</dd>
                </div>
            }
        })
        .collect();
    let total = money(assessment.payable_minor.unwrap_or(0), currency);
    view! {
        <h2>{say(Word::PaperLines)}</h2>
        <dl class="sums">
            {rows}
            <div class="sum">
                <dt>{say(Word::PaperTotal)}</dt>
                <dd>{total}</dd>
            </div>
        </dl>
    }
    .into_node()
}

/// The same as sentences: what for, and how much.
pub(super) fn line_sentences(
    language: Language,
    assessment: &AssessmentV1,
    currency: Currency,
) -> Vec<String> {
    let line = |line| {
        let (what, rate) = sentences::line(language, line, currency);
        let rate = rate.map_or_else(String::new, |rate| format!(" ({rate})"));
        let amount = exact_money(&line.amount_minor, currency);
        format!("{what}{rate}: {amount}")
    };
    assessment.lines.iter().map(line).collect()
}
