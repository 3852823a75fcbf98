//! Taking in the brief.

use super::inputs::{Task, notice, trouble};
use crate::handset::{Handset, handset};
use crate::platform::{files, page};
use crate::speech::say;
use crate::trouble::{of_file, of_refused};
use combgate_core::record::{BRIEF_BYTES_AT_MOST, Brief as InHand, KeyId};
use combgate_ui::sentences;
use combgate_ui::words::Word;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// The screen.
#[component]
pub fn Brief() -> impl IntoView {
    let handset = handset();
    let body = move || {
        if handset.kid().is_none() {
            return notice(Word::ErrorNoKey);
        }
        let in_hand = move || match handset.brief() {
            None => notice(Word::BriefNone),
            Some(brief) => shown(&brief),
        };
        view! { {in_hand} <TakeIn handset/> }.into_any()
    };
    view! { <h1>{say(Word::BriefTitle)}</h1> {body} }
}

/// The place on the page that says what came of it.
const CAME: &str = "came";

/// What came of the last file or text.
#[derive(Clone)]
enum Came {
    /// Nothing yet.
    Nothing,
    /// The first brief of a desk, to be compared before it is taken in.
    First(String, KeyId),
    /// It is taken in.
    Taken,
    /// The officer says that the desk's code is another.
    Strange,
    /// It is not taken in.
    Refused(Word),
    /// The file was not read.
    Unread(files::FileError),
}

/// A file or a pasted text.
#[component]
fn TakeIn(handset: Handset) -> impl IntoView {
    let pasted = RwSignal::new(String::new());
    let came = RwSignal::new(Came::Nothing);
    let look = move |text: String| async move {
        came.set(Came::Nothing);
        let next = match handset.look_at_brief(&text).await {
            Ok(offered) if offered.first => Came::First(text, offered.desk),
            Ok(_) => take(handset, &text).await,
            Err(refused) => Came::Refused(of_refused(&refused)),
        };
        let _ = came.try_set(next);
    };
    let chosen = move |event: web_sys::Event| {
        let Some(file) = files::chosen(&event) else {
            return;
        };
        came.set(Came::Nothing);
        spawn_local(async move {
            let limit = u64::try_from(BRIEF_BYTES_AT_MOST).unwrap_or(u64::MAX);
            match files::read_text(&file, limit).await {
                Ok(text) => look(text).await,
                Err(error) => {
                    let _ = came.try_set(Came::Unread(error));
                }
            }
        });
    };
    let told = move || match came.get() {
        Came::Nothing => ().into_any(),
        Came::First(text, desk) => view! { <Compare handset text desk came/> }.into_any(),
        Came::Taken => notice(Word::BriefTaken),
        Came::Strange => trouble(say(Word::BriefDeskDiffers)),
        Came::Refused(word) => trouble(say(word)),
        Came::Unread(error) => trouble(move || of_file(&error)),
    };
    Effect::new(move |_| {
        if !came.with(|came| matches!(came, Came::Nothing)) {
            request_animation_frame(|| page::bring_into_view(CAME));
        }
    });
    view! {
        <h2>{say(Word::BriefTakeIn)}</h2>
        <div class="field">
            <input id="brief-file" class="unseen" type="file" on:change=chosen/>
            <label class="button" for="brief-file">{say(Word::BriefFile)}</label>
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
            <button type="button" on:click=move |_| spawn_local(look(pasted.get_untracked()))>
                {say(Word::BriefTakeIn)}
            </button>
        </div>
        <div id=CAME>{told}</div>
    }
}

async fn take(handset: Handset, text: &str) -> Came {
    match handset.take_brief(text).await {
        Ok(()) => Came::Taken,
        Err(refused) => Came::Refused(of_refused(&refused)),
    }
}

/// The first desk is trusted only after somebody looked: from then on its key alone counts.
#[component]
fn Compare(handset: Handset, text: String, desk: KeyId, came: RwSignal<Came>) -> impl IntoView {
    let task = Task::idle();
    let same = move || {
        let text = text.clone();
        task.run(async move {
            came.set(take(handset, &text).await);
            Ok(())
        });
    };
    view! {
        <div class="notice care" role="status">
            <p>{say(Word::BriefCompare)}</p>
            <dl class="figures">
                <div>
                    <dt>{say(Word::BriefDesk)}</dt>
                    <dd data-figure="desk">{desk.short()}</dd>
                </div>
            </dl>
            {task.button(Word::BriefSame, same)}
            <div class="actions">
                <button type="button" on:click=move |_| came.set(Came::Strange)>
                    {say(Word::BriefDiffers)}
                </button>
            </div>
        </div>
    }
}

fn shown(brief: &InHand) -> AnyView {
    let payload = brief.payload();
    let prices = brief.terms().prices().parts();
    let policy = brief.terms().policy().parts();
    let texts = [
        (
            Word::StartCooperative,
            payload.cooperative.name.as_str().to_owned(),
        ),
        (Word::BriefPolicy, policy.title.as_str().to_owned()),
        (Word::BriefPriceList, prices.title.as_str().to_owned()),
    ];
    let texts = texts.map(|(word, value)| {
        view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> }
    });
    let facts = [
        (
            Word::StartHandsetCode,
            payload.handset.code.as_str().to_owned(),
        ),
        (Word::BriefSerial, payload.serial.to_string()),
        (Word::BriefValidUntil, payload.valid_until.to_string()),
        (Word::BriefMembers, payload.members.len().to_string()),
        (Word::BriefDesk, brief.desk().short()),
    ];
    let facts = facts.map(|(word, value)| {
        view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> }
    });
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
        <dl class="terms">{texts.into_iter().collect_view()}</dl>
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
