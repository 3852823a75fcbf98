//! Who, when, with what; the code by which a paper is checked; rights and cautions.

use super::{Around, Paper};
use crate::prelude::*;
use crate::qr::Squares;
use crate::sentences;
use crate::words::{Language, Phrase, Word, phrase, text};
use combgate_core::record::DeliveryV1;

/// Name and value, in the order in which they stand on the paper.
pub(super) fn details(language: Language, paper: Paper<'_>, around: &Around) -> Node {
    let items: Vec<_> = detail_pairs(language, paper, around)
        .into_iter()
        .map(|(name, value)| view! { <li><strong>{name}</strong> ": " {value}</li> })
        .collect();
    view! { <ul class="rows">{items}</ul> }.into_node()
}

pub(super) fn detail_pairs(
    language: Language,
    paper: Paper<'_>,
    around: &Around,
) -> Vec<(&'static str, String)> {
    let terms = paper.terms();
    let by = phrase(
        language,
        Phrase::PaperTermsValue {
            policy: terms.policy.as_str(),
            prices: terms.price_list.as_str(),
        },
    );
    let buyer = format!("{}, {}", around.cooperative.name, around.cooperative.place);
    let pails = pails(paper.delivery());
    [
        (Word::PaperMember, Some(around.member.clone())),
        (
            Word::PaperProduct,
            Some(product(language, paper.delivery())),
        ),
        (Word::PaperPails, (!pails.is_empty()).then_some(pails)),
        (Word::PaperScale, around.scale.clone()),
        (Word::PaperDay, Some(around.when.clone())),
        (Word::PaperBoughtBy, Some(buyer)),
        (Word::PaperOfficer, Some(around.officer.clone())),
        (Word::PaperTerms, Some(by)),
        (
            Word::PaperComplaints,
            Some(around.cooperative.complaints.to_string()),
        ),
    ]
    .into_iter()
    .filter_map(|(name, value)| value.map(|value| (text(language, name), value)))
    .collect()
}

fn product(language: Language, delivery: &DeliveryV1) -> String {
    let say = |word| text(language, word);
    format!(
        "{}, {}, {}",
        say(sentences::bee(delivery.bee)),
        say(sentences::form(delivery.form)),
        say(sentences::hive(delivery.hive)),
    )
}

/// Pails with their seals.
fn pails(delivery: &DeliveryV1) -> String {
    let all: Vec<_> = delivery
        .pails
        .iter()
        .map(|pail| match &pail.seal {
            Some(seal) => format!("{} / {seal}", pail.number),
            None => pail.number.to_string(),
        })
        .collect();
    all.join(", ")
}

/// The short code to say, and the QR code to scan.
pub(super) fn code(language: Language, paper: Paper<'_>, around: &Around) -> Node {
    let number = paper.number().to_string();
    let squares = around.stub.as_deref().and_then(Squares::of);
    let picture = squares.map_or_else(
        || view! { <p class="hint">{text(language, Word::PaperNoQr)}</p> }.into_node(),
        |squares| squares.picture(phrase(language, Phrase::PaperQr { number: &number })),
    );
    view! {
        <div class="codes">
            <p class="short-code"><strong>{code_sentence(language, around)}</strong></p>
            {picture}
        </div>
    }
    .into_node()
}

pub(super) fn code_sentence(language: Language, around: &Around) -> String {
    let code = &around.short_code;
    phrase(language, Phrase::PaperCode { code })
}

/// What the member may ask for, and what everybody should know.
pub(super) fn rights(language: Language, paper: Paper<'_>) -> Node {
    let all: Vec<_> = right_words(paper)
        .into_iter()
        .map(|word| view! { <li>{text(language, word)}</li> })
        .collect();
    view! { <ul class="rights">{all}</ul> }.into_node()
}

pub(super) fn right_words(paper: Paper<'_>) -> Vec<Word> {
    let assessment = paper.assessment();
    // A scale is of concern where something was weighed, a limit where something was measured.
    let weighed = assessment.net_g.is_some();
    let measured = assessment.moisture.is_some() || assessment.capped.is_some();
    [
        (Word::PaperWitness, weighed),
        (Word::PaperCautionInfants, true),
        (Word::PaperCautionLimits, measured),
        (Word::PaperCautionScale, weighed),
    ]
    .into_iter()
    .filter_map(|(word, due)| due.then_some(word))
    .collect()
}
