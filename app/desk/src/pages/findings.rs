//! All findings, the heaviest first, with what was done about each.

use super::answer::{Answer, Sheet};
use super::asked::Query;
use super::parts::{Part, address, weight};
use super::sentences::sentence;
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::findings::{LookedAt, of_all};
use crate::keys::DeskCheck;
use crate::store::Journals;
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::clerk::FindingWeight;
use combgate_core::units::Code;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// Which findings.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    weight: String,
    #[serde(default)]
    handset: String,
    #[serde(default)]
    settled: String,
    #[serde(default)]
    after: String,
}

impl Asked {
    fn wants(&self, each: &LookedAt) -> bool {
        let weight = match each.finding.weight {
            FindingWeight::Serious => "serious",
            FindingWeight::Question => "question",
            FindingWeight::Note => "note",
        };
        (self.weight.is_empty() || self.weight == weight)
            && (self.handset.is_empty() || self.handset == each.handset.as_str())
            && (!self.settled.is_empty() || !each.is_settled())
    }
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Findings, move |desk, clerk| {
            let language = clerk.language();
            let mut found = of_all(&desk.store, &DeskCheck)?;
            found.retain(|each| asked.wants(each));
            let handsets = desk.store.handsets()?;
            let codes: Vec<Code> = handsets.into_iter().map(|handset| handset.code).collect();
            let body = view! {
                {choice(language, &asked, &codes)}
                {table(language, &asked, &found)}
            };
            Ok(Answer::Sheet(Sheet {
                title: text(language, Word::FindingsTitle).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

fn choice(language: Language, asked: &Asked, handsets: &[Code]) -> AnyView {
    let say = |word| text(language, word);
    let weights: Vec<_> = [
        ("", Word::FindingsAnyWeight),
        ("serious", Word::WeightSerious),
        ("question", Word::WeightQuestion),
        ("note", Word::WeightNote),
    ]
    .into_iter()
    .map(|(value, word)| {
        view! { <option value=value selected=asked.weight == value>{say(word)}</option> }
    })
    .collect();
    let handsets: Vec<_> = handsets
        .iter()
        .map(|code| {
            let selected = asked.handset == code.as_str();
            let code = code.to_string();
            view! { <option value=code.clone() selected=selected>{code.clone()}</option> }
        })
        .collect();
    view! {
        <form method="get" action="/findings" class="choose">
            <p class="field">
                <label for="weight">{say(Word::FindingsWeight)}</label>
                <select id="weight" name="weight">{weights}</select>
            </p>
            <p class="field">
                <label for="handset">{say(Word::ColumnHandset)}</label>
                <select id="handset" name="handset">
                    <option value="">{say(Word::FindingsAnyHandset)}</option>
                    {handsets}
                </select>
            </p>
            <p class="choice">
                <input
                    type="checkbox"
                    id="settled"
                    name="settled"
                    value="too"
                    checked=!asked.settled.is_empty()
                />
                <label for="settled">{say(Word::FindingsSettledToo)}</label>
            </p>
            <p><button type="submit">{say(Word::FindingsShow)}</button></p>
        </form>
    }
    .into_any()
}

fn table(language: Language, asked: &Asked, found: &[LookedAt]) -> AnyView {
    let say = |word| text(language, word);
    if found.is_empty() {
        return view! { <p class="notice good">{say(Word::FindingsNone)}</p> }.into_any();
    }
    let part = Part::asked(&asked.after, found.len());
    let rows: Vec<_> = part
        .of(found)
        .iter()
        .map(|each| row(language, each))
        .collect();
    let count = found.len().to_string();
    let ways = part.ways(language, |after| {
        let after = after.to_string();
        let asked = [
            ("weight", asked.weight.as_str()),
            ("handset", &asked.handset),
            ("settled", &asked.settled),
            ("after", &after),
        ];
        address("/findings", &asked) + "#count"
    });
    view! {
        <p id="count">{phrase(language, Phrase::FindingsCount { count: &count })}</p>
        <ol class="findings">{rows}</ol>
        {ways}
    }
    .into_any()
}

fn row(language: Language, each: &LookedAt) -> AnyView {
    let finding = &each.finding;
    let title = text(language, names::title(&finding.code));
    let stands = stands(language, each);
    view! {
        <li>
            <p class="finding-head">
                {weight(language, finding.weight)}
                <a href=format!("/findings/{}", each.id())>{title}</a>
            </p>
            <p class="finding-where">{place(language, each)}</p>
            {sentence(language, &finding.code, &finding.sentence, "sentence")}
            {stands.map(|words| view! { <p class="stands">{words}</p> })}
        </li>
    }
    .into_any()
}

/// In whose journal, in which entry, on which paper.
pub(super) fn place(language: Language, each: &LookedAt) -> String {
    let seq = each.finding.seq.to_string();
    let handset = each.handset.as_str();
    match &each.finding.number {
        Some(number) => {
            let number = number.to_string();
            phrase(
                language,
                Phrase::FindingOnPaper {
                    handset,
                    seq: &seq,
                    number: &number,
                },
            )
        }
        None if each.finding.seq == 0 => phrase(language, Phrase::FindingInFile { handset }),
        None => phrase(language, Phrase::FindingInEntry { handset, seq: &seq }),
    }
}

/// What was done about it last, and by whom.
pub(super) fn stands(language: Language, each: &LookedAt) -> Option<String> {
    each.last_step().map(|step| {
        let (by, day) = (
            step.account.to_string(),
            step.taken_at.date_naive().to_string(),
        );
        phrase(
            language,
            Phrase::FindingStands {
                step: text(language, names::step_done(step.step)),
                account: &by,
                day: &day,
            },
        )
    })
}
