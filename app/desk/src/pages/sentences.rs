//! What a finding says, in the page's language.
//!
//! The books keep the sentence in English, as core made it; its values are read back out of it and
//! put into the language's own sentence for the code. What an error said is told in that language too
//! where it is known; what an officer wrote stays as it was written.

use crate::words::{Phrase, Word, phrase, retold, text};
use combgate_core::clerk::values_kept;
use combgate_ui::words::Language;
use leptos::prelude::*;

/// Stands for words that are not the page's, until they are put there with their own language; no
/// sentence and no kept text holds it.
const OTHERS: &str = "\u{E000}";

/// A finding's sentence as a paragraph.
pub(super) fn sentence(language: Language, code: &str, kept: &str, class: &'static str) -> AnyView {
    let Some(told) = told(language, code, kept) else {
        // Of a newer program, or kept by an older one in other words.
        return view! { <p class=class lang="en">{kept.to_owned()}</p> }.into_any();
    };
    match told.words.split_once(OTHERS) {
        None => view! { <p class=class>{told.words}</p> }.into_any(),
        Some((before, after)) => view! {
            <p class=class>
                {before.to_owned()} <span lang=told.others_in>{told.others}</span>
                {after.to_owned()}
            </p>
        }
        .into_any(),
    }
}

/// A sentence with a place for what others said.
struct Told {
    words: String,
    others: String,
    /// Core speaks English; in what an officer writes is not known.
    others_in: &'static str,
}

fn told(language: Language, code: &str, kept: &str) -> Option<Told> {
    let values = values_kept(code, kept)?;
    let value = |name: &str| {
        let found = values.iter().find(|(known, _)| *known == name);
        found.map_or("", |(_, value)| *value)
    };
    let of = |name: &'static str| match name {
        "reason" | "words" => OTHERS,
        _ => named(language, value(name)),
    };
    let reason = retold(language, value("reason"));
    let others_in = match (code, &reason) {
        ("explained", _) => "",
        (_, Some(_)) => language.code(),
        (_, None) => "en",
    };
    let reason = reason.map_or_else(|| value("reason").to_owned(), |reason| reason.words);
    Some(Told {
        words: filled(language, code, of)?,
        others: reason + value("words"),
        others_in,
    })
}

/// A value that is a word of core, in the page's language; any other stays as it is.
fn named(language: Language, value: &str) -> &str {
    let word = match value {
        "the decision" => Word::PartDecision,
        "the moisture" => Word::PartMoisture,
        "the capped share" => Word::PartCapped,
        "the weight" => Word::PartWeight,
        "the grade" => Word::PartGrade,
        "the grounds" => Word::PartGrounds,
        "the notes on weighing" => Word::PartMarks,
        "weighing scale" => Word::InstrumentScale,
        "refractometer" => Word::InstrumentRefractometer,
        // Older ledgers have the words as the program spells them.
        "passed" | "Passed" => Word::CheckPassed,
        "failed" | "Failed" => Word::CheckFailed,
        "not done" | "NotDone" => Word::CheckNotDone,
        "Buy" => return shared(language, combgate_ui::words::Word::DecisionBuy),
        "Hold" => return shared(language, combgate_ui::words::Word::DecisionHold),
        "Refuse" => return shared(language, combgate_ui::words::Word::DecisionRefuse),
        _ => return value,
    };
    text(language, word)
}

fn shared(language: Language, word: combgate_ui::words::Word) -> &'static str {
    combgate_ui::words::text(language, word)
}

#[rustfmt::skip] // a line a code
fn filled<'a>(
    language: Language,
    code: &str,
    of: impl Fn(&'static str) -> &'a str,
) -> Option<String> {
    Some(match code {
        "entry-refused" => phrase(language, Phrase::SentenceEntryRefused { reason: of("reason") }),
        "bundle-refused" => phrase(language, Phrase::SentenceBundleRefused { reason: of("reason") }),
        "after-revocation" => phrase(language, Phrase::SentenceAfterRevocation { from: of("from") }),
        "gap" => phrase(language, Phrase::SentenceGap { before: of("before") }),
        "unlinked" => text(language, Word::SentenceUnlinked).to_owned(),
        "fork" => phrase(language, Phrase::SentenceFork { booked: of("booked") }),
        "signed-again" => text(language, Word::SentenceSignedAgain).to_owned(),
        "number-twice" => phrase(language, Phrase::SentenceNumberTwice { last: of("last") }),
        "number-gap" => phrase(language, Phrase::SentenceNumberGap { last: of("last") }),
        "other-series" => phrase(language, Phrase::SentenceOtherSeries { own: of("own") }),
        "delivery-twice" => text(language, Word::SentenceDeliveryTwice).to_owned(),
        "day-not-clock" => phrase(language, Phrase::SentenceDayNotClock { day: of("day"), clock: of("clock") }),
        "clock-back" => text(language, Word::SentenceClockBack).to_owned(),
        "clock-jumped" => phrase(language, Phrase::SentenceClockJumped { seconds: of("seconds") }),
        "judgement-differs" => phrase(language, Phrase::SentenceJudgementDiffers { field: of("field") }),
        "price-differs" => phrase(language, Phrase::SentencePriceDiffers { own: of("own"), signed: of("signed") }),
        "lines-do-not-sum" => text(language, Word::SentenceLinesDoNotSum).to_owned(),
        "wrong-paper" => phrase(language, Phrase::SentenceWrongPaper { decision: of("decision") }),
        "impossible-delivery" => phrase(language, Phrase::SentenceImpossibleDelivery { reason: of("reason") }),
        "terms-unknown" => phrase(language, Phrase::SentenceTermsUnknown { policy: of("policy"), price_list: of("price_list") }),
        "policy-not-in-force" => phrase(language, Phrase::SentencePolicyNotInForce { policy: of("policy"), day: of("day") }),
        "price-list-not-in-force" => phrase(language, Phrase::SentencePriceListNotInForce { price_list: of("price_list"), day: of("day") }),
        "policy-superseded" => phrase(language, Phrase::SentencePolicySuperseded { policy: of("policy"), by: of("by"), day: of("day") }),
        "price-list-superseded" => phrase(language, Phrase::SentencePriceListSuperseded { price_list: of("price_list"), by: of("by"), day: of("day") }),
        "day-closed" => phrase(language, Phrase::SentenceDayClosed { day: of("day") }),
        "day-not-open" => phrase(language, Phrase::SentenceDayNotOpen { day: of("day") }),
        "day-not-closed" => phrase(language, Phrase::SentenceDayNotClosed { day: of("day") }),
        "brief-unknown" => phrase(language, Phrase::SentenceBriefUnknown { serial: of("serial") }),
        "float-differs" => phrase(language, Phrase::SentenceFloatDiffers { counted: of("counted"), given: of("given") }),
        "instrument-differs" => phrase(language, Phrase::SentenceInstrumentDiffers { instrument: of("instrument") }),
        "scale-unproven" => phrase(language, Phrase::SentenceScaleUnproven { check: of("check") }),
        "refractometer-unchecked" => text(language, Word::SentenceRefractometerUnchecked).to_owned(),
        "under-least-load" => text(language, Word::SentenceUnderLeastLoad).to_owned(),
        "settlement-differs" => phrase(language, Phrase::SentenceSettlementDiffers { settled: of("settled"), payable: of("payable") }),
        "settlement-incomplete" => text(language, Word::SentenceSettlementIncomplete).to_owned(),
        "return-unproven" => phrase(language, Phrase::SentenceReturnUnproven { returned: of("returned") }),
        "premium-not-due" => phrase(language, Phrase::SentencePremiumNotDue { premium: of("premium") }),
        "premium-left-out" => phrase(language, Phrase::SentencePremiumLeftOut { premium: of("premium") }),
        "advance-differs" => text(language, Word::SentenceAdvanceDiffers).to_owned(),
        "member-unknown" => phrase(language, Phrase::SentenceMemberUnknown { member: of("member") }),
        "member-twice" => phrase(language, Phrase::SentenceMemberTwice { member: of("member") }),
        "no-consent" => phrase(language, Phrase::SentenceNoConsent { member: of("member") }),
        "receipt-unknown" => phrase(language, Phrase::SentenceReceiptUnknown { receipt: of("receipt") }),
        "replaced-not-cancelled" => phrase(language, Phrase::SentenceReplacedNotCancelled { receipt: of("receipt") }),
        "already-cancelled" => phrase(language, Phrase::SentenceAlreadyCancelled { receipt: of("receipt") }),
        "cancellation-differs" => phrase(language, Phrase::SentenceCancellationDiffers { receipt: of("receipt") }),
        "paid-too-much" => phrase(language, Phrase::SentencePaidTooMuch { receipt: of("receipt") }),
        "cash-differs" => phrase(language, Phrase::SentenceCashDiffers { counted: of("counted"), expected: of("expected") }),
        "pails-differ" => phrase(language, Phrase::SentencePailsDiffer { counted: of("counted"), expected: of("expected") }),
        "empty-pails-differ" => phrase(language, Phrase::SentenceEmptyPailsDiffer { counted: of("counted"), expected: of("expected") }),
        "seal-twice" => phrase(language, Phrase::SentenceSealTwice { seal: of("seal") }),
        "seals-differ" => phrase(language, Phrase::SentenceSealsDiffer { used: of("used"), taken: of("taken") }),
        "explained" => phrase(language, Phrase::SentenceExplained { words: of("words") }),
        "booked-late" => phrase(language, Phrase::SentenceBookedLate { day: of("day"), on: of("on") }),
        "enrolled-again" => text(language, Word::SentenceEnrolledAgain).to_owned(),
        "manifest-differs" => phrase(language, Phrase::SentenceManifestDiffers { reason: of("reason") }),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use combgate_core::clerk::FindingKind;
    use std::collections::HashSet;

    /// The sentence of a code with its values' names in place of the values.
    fn with_names(template: &str) -> String {
        template
            .replace(":?}", "}")
            .replace('{', "<")
            .replace('}', ">")
    }

    /// Source: core's own sentences, which the commands print.
    #[test]
    fn the_pages_say_in_english_what_the_commands_say() {
        for (code, template) in FindingKind::SENTENCES {
            let names: Vec<String> = template
                .split('{')
                .skip(1)
                .map(|rest| rest.split([':', '}']).next().unwrap().to_owned())
                .collect();
            let brackets: Vec<(String, String)> = names
                .into_iter()
                .map(|name| (format!("<{name}>"), name))
                .collect();
            let of = |name: &'static str| {
                let found = brackets.iter().find(|(_, known)| known == name);
                found.map_or("?", |(shown, _)| shown.as_str())
            };
            let english = filled(Language::En, code, of);
            assert_eq!(
                english.as_deref(),
                Some(with_names(template).as_str()),
                "{code}"
            );
        }
    }

    #[test]
    fn every_language_says_every_finding_in_words_of_its_own() {
        for language in Language::ALL {
            let mut all = HashSet::new();
            for (code, _) in FindingKind::SENTENCES {
                let said = filled(language, code, |name| name).unwrap();
                assert!(all.insert(said), "{code}");
            }
        }
        let sw = |code| filled(Language::Sw, code, |name| name);
        let en = |code| filled(Language::En, code, |name| name);
        for (code, template) in FindingKind::SENTENCES {
            // What is others' words alone is the same everywhere.
            assert_eq!(sw(code) == en(code), *template == "{reason}", "{code}");
        }
    }

    #[test]
    fn what_others_said_keeps_its_own_language() {
        let kept = FindingKind::EntryRefused {
            reason: "its signature does not fit".to_owned(),
        };
        let shown = crate::pages::shell::owned(|| {
            sentence(Language::Sw, kept.code(), &kept.to_string(), "sentence").to_html()
        });
        assert!(shown.contains("limekataliwa"), "{shown}");
        assert!(
            shown.contains(r#"<span lang="en">its signature does not fit</span>"#),
            "{shown}"
        );
        let newer = crate::pages::shell::owned(|| {
            sentence(Language::Sw, "newer", "<b>bold</b>", "sentence").to_html()
        });
        assert!(
            newer.contains(r#"lang="en""#) && !newer.contains("<b>"),
            "{newer}"
        );
    }
}
