//! Taking in the brief.

use super::inputs::notice;
use crate::handset::{Handset, handset};
use crate::platform::files;
use crate::speech::say;
use crate::trouble;
use combgate_core::record::{BRIEF_BYTES_AT_MOST, Brief as InHand};
use combgate_ui::sentences;
use combgate_ui::words::Word;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// The screen.
#[component]
pub fn Brief() -> impl IntoView {
    let handset = handset();
    view! {
        <h1>{say(Word::BriefTitle)}</h1>
        {move || match handset.brief() {
            None => notice(Word::BriefNone),
            Some(brief) => shown(&brief),
        }}
        <TakeIn handset/>
    }
}

/// A file or a pasted text.
#[component]
fn TakeIn(handset: Handset) -> impl IntoView {
    let pasted = RwSignal::new(String::new());
    let said = RwSignal::new(None::<String>);
    let taken = RwSignal::new(false);
    let take = move |text: String| async move {
        let outcome = handset.take_brief(&text).await;
        taken.set(outcome.is_ok());
        said.set(
            outcome
                .err()
                .map(|refused| say(trouble::of_refused(&refused))().to_owned()),
        );
    };
    let chosen = move |event: web_sys::Event| {
        let Some(file) = files::chosen(&event) else {
            return;
        };
        spawn_local(async move {
            let limit = u64::try_from(BRIEF_BYTES_AT_MOST).unwrap_or(u64::MAX);
            match files::read_text(&file, limit).await {
                Ok(text) => take(text).await,
                Err(error) => {
                    taken.set(false);
                    said.set(Some(trouble::of_file(&error)));
                }
            }
        });
    };
    view! {
        <h2>{say(Word::BriefTakeIn)}</h2>
        <div class="field">
            <label for="brief-file">{say(Word::BriefFile)}</label>
            <input id="brief-file" type="file" on:change=chosen/>
        </div>
        <div class="field">
            <label for="brief-text">{say(Word::BriefText)}</label>
            <textarea
                id="brief-text"
                prop:value=pasted
                on:input=move |event| pasted.set(event_target_value(&event))
            ></textarea>
        </div>
        <div class="actions">
            <button
                type="button"
                class="primary"
                on:click=move |_| spawn_local(take(pasted.get_untracked()))
            >
                {say(Word::BriefTakeIn)}
            </button>
        </div>
        {move || said.get().map(|said| {
            view! { <p class="notice trouble" role="alert">{said}</p> }
        })}
        {move || taken.get().then(|| notice(Word::BriefTaken))}
    }
}

fn shown(brief: &InHand) -> AnyView {
    let payload = brief.payload();
    let facts = [
        (
            Word::StartCooperative,
            payload.cooperative.name.as_str().to_owned(),
        ),
        (
            Word::StartHandsetCode,
            payload.handset.code.as_str().to_owned(),
        ),
        (Word::BriefSerial, payload.serial.to_string()),
        (Word::BriefValidUntil, payload.valid_until.to_string()),
        (Word::BriefDesk, brief.desk().short()),
        (Word::BriefMembers, payload.members.len().to_string()),
    ];
    let facts = facts.map(|(word, value)| {
        view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> }
    });
    let prices = brief.terms().prices().parts();
    let rows = prices.rows.iter().map(|row| {
        let price = sentences::money(row.per_kg.get(), prices.currency);
        view! {
            <tr>
                <td>{say(sentences::bee(row.bee))} ", " {say(sentences::form(row.form))}</td>
                <td>{row.grade.as_str().to_owned()}</td>
                <td class="number">{price}</td>
            </tr>
        }
    });
    view! {
        <dl class="figures">{facts.into_iter().collect_view()}</dl>
        <h2>{say(Word::BriefPrices)}</h2>
        <div class="wide">
            <table>
                <thead>
                    <tr>
                        <th scope="col">{say(Word::BriefProduct)}</th>
                        <th scope="col">{say(Word::BriefGrade)}</th>
                        <th scope="col" class="number">{say(Word::PricePerKilogram)}</th>
                    </tr>
                </thead>
                <tbody>{rows.collect_view()}</tbody>
            </table>
        </div>
    }
    .into_any()
}
