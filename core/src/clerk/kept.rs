//! The values of a finding, read back out of its sentence as it was kept.
//!
//! The books keep a finding's code and its sentence in English; who reads another language needs the
//! values apart. A sentence is made of the code's own words and the values between them, so the
//! words tell where the values stand.

use super::finding::FindingKind;

/// A value with its name, such as `day` and `2026-10-09`.
pub type Value<'a> = (&'static str, &'a str);

/// The values that stand in a sentence of a code; `None` for a code that only a newer program
/// knows, and for a sentence that its words do not fit.
///
/// # Examples
/// ```
/// # use combgate_core::clerk::values_kept;
/// let sentence = "entries after 7 are missing, so this one waits: ask the officer to export \
///                 again from there";
/// assert_eq!(values_kept("gap", sentence), Some(vec![("before", "7")]));
/// assert_eq!(values_kept("gap", "something else"), None);
/// ```
pub fn values_kept<'a>(code: &str, sentence: &'a str) -> Option<Vec<Value<'a>>> {
    let (_, template) = FindingKind::SENTENCES
        .iter()
        .find(|(known, _)| *known == code)?;
    let mut values = Vec::new();
    let (before, mut template) = cut(template);
    let mut sentence = sentence.strip_prefix(before)?;
    while let Some((name, rest)) = template.split_once('}') {
        let (words, next) = cut(rest);
        // The last words stand at the end; a value before them may hold the same words.
        let value = if next.is_empty() {
            sentence.strip_suffix(words)?
        } else {
            sentence.split_once(words)?.0
        };
        sentence = sentence.get(value.len() + words.len()..)?;
        // `{decision:?}` is called `decision`.
        values.push((name.split(':').next().unwrap_or(name), value));
        template = next;
    }
    sentence.is_empty().then_some(values)
}

/// Words up to the next value, and what follows its opening brace.
fn cut(template: &'static str) -> (&'static str, &'static str) {
    template.split_once('{').unwrap_or((template, ""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clerk::Sum;
    use crate::intake::{Decision, ScaleCheck};
    use crate::record::ReceiptNumber;
    use crate::units::{Code, Currency, Label};
    use chrono::NaiveDate;
    use proptest::prelude::*;

    fn kept(kind: &FindingKind) -> Vec<(&'static str, String)> {
        let sentence = kind.to_string();
        let values = values_kept(kind.code(), &sentence).unwrap();
        let owned = values
            .into_iter()
            .map(|(name, value)| (name, value.to_owned()));
        owned.collect()
    }

    fn told(values: &[(&'static str, &str)]) -> Vec<(&'static str, String)> {
        values
            .iter()
            .map(|(name, value)| (*name, (*value).to_owned()))
            .collect()
    }

    #[test]
    fn values_of_every_shape_come_back() {
        let day = NaiveDate::from_ymd_opt(2026, 10, 9).unwrap();
        let sum = |minor| Sum {
            minor,
            currency: Currency::new("KES").ok(),
        };
        let code = |text| Code::new(text).unwrap();
        for (kind, values) in [
            (FindingKind::Unlinked, told(&[])),
            (FindingKind::NumberTwice { last: 7 }, told(&[("last", "7")])),
            (
                FindingKind::PriceDiffers {
                    signed: sum(123_450),
                    own: sum(-5),
                },
                told(&[("own", "KES -0.05"), ("signed", "KES 1234.50")]),
            ),
            (
                FindingKind::PolicySuperseded {
                    policy: code("P.1"),
                    by: code("by"),
                    day,
                },
                told(&[("policy", "P.1"), ("by", "by"), ("day", "2026-10-09")]),
            ),
            (
                FindingKind::WrongPaper {
                    decision: Decision::Hold,
                },
                told(&[("decision", "Hold")]),
            ),
            (
                FindingKind::ScaleUnproven {
                    check: ScaleCheck::NotDone,
                },
                told(&[("check", "not done")]),
            ),
            (
                FindingKind::ReceiptUnknown {
                    receipt: ReceiptNumber::try_from("K7-26-00001".to_owned()).unwrap(),
                },
                told(&[("receipt", "K7-26-00001")]),
            ),
        ] {
            assert_eq!(kept(&kind), values);
        }
    }

    #[test]
    fn a_sentence_of_another_code_or_program_has_none() {
        let sentence = FindingKind::Unlinked.to_string();
        assert_eq!(values_kept("fork", &sentence), None);
        assert_eq!(values_kept("unlinked", &sentence[1..]), None);
        assert_eq!(values_kept("not-yet-thought-of", &sentence), None);
    }

    proptest! {
        /// Whatever an error or an officer says comes back as it was said.
        #[test]
        fn words_of_others_come_back(words in "[ -~é…;:(){}]{1,80}") {
            let reason = words.clone();
            prop_assert_eq!(
                kept(&FindingKind::BundleRefused { reason: reason.clone() }),
                vec![("reason", words.clone())]
            );
            prop_assert_eq!(
                kept(&FindingKind::ImpossibleDelivery { reason }),
                vec![("reason", words.clone())]
            );
            if let Ok(words) = Label::new(&words) {
                let said = words.to_string();
                prop_assert_eq!(kept(&FindingKind::Explained { words }), vec![("words", said)]);
            }
        }

        /// Nothing that is kept makes it break.
        #[test]
        fn any_text_is_read(code in 0..FindingKind::SENTENCES.len(), text in "\\PC{0,120}") {
            let _ = values_kept(FindingKind::SENTENCES[code].0, &text);
        }
    }
}
