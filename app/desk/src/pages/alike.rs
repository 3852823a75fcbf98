//! Other findings of a kind, to be settled together with one: an officer who bought for a day by an
//! old price list makes as many findings as papers, and the clerk has one thing to say of them.

use super::findings::place;
use super::parts::SHOWN;
use super::sentences::sentence;
use crate::findings::LookedAt;
use crate::words::{Phrase, Word, phrase, text};
use combgate_ui::words::Language;
use leptos::prelude::*;

/// The field of what is ticked: identities of findings, parted by blanks.
pub(super) const TICKED: &str = "alike";

/// Other findings of its kind from its handset that nobody has settled.
pub(super) fn alike(language: Language, each: &LookedAt, all: &[LookedAt]) -> AnyView {
    let open: Vec<&LookedAt> = all
        .iter()
        .filter(|other| other.is_like(each) && !other.is_settled())
        .collect();
    let (shown, more) = open.split_at(open.len().min(SHOWN));
    if shown.is_empty() {
        return ().into_any();
    }
    let ids: Vec<String> = shown.iter().map(|other| other.id()).collect();
    let count = shown.len().to_string();
    let more = (!more.is_empty()).then(|| more.len().to_string());
    let lines: Vec<_> = shown
        .iter()
        .zip(&ids)
        .map(|(other, id)| {
            view! {
                <div class="choice">
                    <input type="checkbox" name=TICKED id=format!("alike-{id}") value=id.clone()/>
                    <div>
                        <label for=format!("alike-{id}")>{place(language, other)}</label>
                        {sentence(language, &other.finding.code, &other.finding.sentence, "under")}
                    </div>
                </div>
            }
        })
        .collect();
    view! {
        <fieldset aria-describedby="alike-hint">
            <legend>{text(language, Word::FindingAlike)}</legend>
            <p class="quiet" id="alike-hint">{text(language, Word::FindingAlikeHint)}</p>
            {(shown.len() > 1)
                .then(|| {
                    view! {
                        <p class="choice">
                            <input type="checkbox" name=TICKED id="alike" value=ids.join(" ")/>
                            <label for="alike">
                                <strong>
                                    {phrase(language, Phrase::FindingAlikeAll { count: &count })}
                                </strong>
                            </label>
                        </p>
                    }
                })}
            {lines}
            {more
                .map(|count| {
                    let words = phrase(language, Phrase::FindingAlikeMore { count: &count });
                    view! { <p class="quiet">{words}</p> }
                })}
        </fieldset>
    }
    .into_any()
}
