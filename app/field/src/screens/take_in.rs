//! Taking in what the desk gives: a brief or an acknowledgement, as a file or as pasted text. Each
//! is known by what it says it is, so a file chosen on the wrong page is taken in all the same.

use super::inputs::{Task, notice, trouble};
use crate::handset::{Handset, Refused};
use crate::platform::{files, page, shared};
use crate::route::Route;
use crate::speech::say;
use crate::trouble::{of_document, of_file};
use combgate_core::record::{
    AcknowledgementError, BRIEF_BYTES_AT_MOST, BriefError, JwsError, KeyId, Typ,
};
use combgate_ui::words::Word;
use combgate_view::{IntoNode, RwSignal, effect, view};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::sync::Arc;

/// The place on the page that says what came of it.
const CAME: &str = "came";

/// Which document a page asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asked {
    /// A brief.
    Brief,
    /// An acknowledgement.
    Acknowledgement,
}

/// What came of the last file or text.
#[derive(Clone)]
enum Came {
    /// Nothing yet.
    Nothing,
    /// The first brief of a desk, to be compared before it is taken in.
    First(String, KeyId),
    /// The document is taken in.
    Taken(Asked),
    /// The officer says that the desk's code is another.
    Strange,
    /// It is not taken in.
    Refused(Arc<Refused>),
    /// The file was not read.
    Unread(files::FileError),
}

/// A file or a pasted text.
pub fn take_in(handset: Handset, asked: Asked) -> impl IntoNode {
    let (title, by_file, by_text) = match asked {
        Asked::Brief => (Word::BriefTakeIn, Word::BriefFile, Word::BriefText),
        Asked::Acknowledgement => (Word::HandoverTakeIn, Word::HandoverFile, Word::HandoverText),
    };
    let pasted = RwSignal::new(String::new());
    let came = RwSignal::new(Came::Nothing);
    let busy = RwSignal::new(false);
    let take = move |text: String| async move {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        came.set(Came::Nothing);
        let next = look(handset, asked, &text).await;
        came.set(next);
        busy.set(false);
    };
    let read = move |read: Result<String, files::FileError>| match read {
        Ok(text) => spawn_local(take(text)),
        Err(error) => {
            came.set(Came::Unread(error));
        }
    };
    let chosen = move |event: web_sys::Event| {
        let Some(file) = files::chosen(&event) else {
            return;
        };
        came.set(Came::Nothing);
        spawn_local(async move { read(files::read_text(&file, limit()).await) });
    };
    let told = move || match came.get() {
        Came::Nothing => ().into_node(),
        Came::First(text, desk) => compare(handset, text, desk, came).into_node(),
        Came::Taken(Asked::Brief) => {
            let next = Route::Start;
            view! {
                {notice(Word::BriefTaken)}
                <div class="actions">
                    <a class="button primary" href=next.href()>{say(Word::ActionNext)}</a>
                </div>
            }
            .into_node()
        }
        Came::Taken(Asked::Acknowledgement) => notice(Word::HandoverTaken),
        Came::Strange => trouble(say(Word::BriefDeskDiffers)),
        Came::Refused(refused) => trouble(move || of_document(&refused, handset)),
        Came::Unread(error) => trouble(move || of_file(&error)),
    };
    effect(move |_| {
        if !came.with(|came| matches!(came, Came::Nothing)) {
            request_animation_frame(|| page::bring_into_view(CAME));
        }
    });
    let (file_id, text_id) = match asked {
        Asked::Brief => ("brief-file", "brief-text"),
        Asked::Acknowledgement => ("acknowledgement-file", "acknowledgement-text"),
    };
    view! {
        <h2>{say(title)}</h2>
        {offered(move || came.set(Came::Nothing), read)}
        <div class="field">
            <input id=file_id class="unseen" type="file" on:change=chosen/>
            <label class="button" for=file_id>{say(by_file)}</label>
        </div>
        <div class="field">
            <label for=text_id>{say(by_text)}</label>
            <textarea
                id=text_id
                prop:value=pasted
                on:input=move |event| pasted.set(event_target_value(&event))
            ></textarea>
        </div>
        <div class="actions">
            <button type="button" on:click=move |_| spawn_local(take(pasted.get_untracked()))>
                {say(title)}
            </button>
        </div>
        <div id=CAME>{told}</div>
    }
}

/// What another program shared. It is read, by `read`, once somebody says so, and then no longer kept.
fn offered(
    begin: impl Fn() + Copy + 'static,
    read: impl Fn(Result<String, files::FileError>) + Copy + 'static,
) -> impl IntoNode {
    let waiting = RwSignal::new(None);
    spawn_local(async move {
        waiting.set(shared::waiting(limit()).await);
    });
    let away = move |_| {
        waiting.set(None);
        spawn_local(shared::forget());
    };
    let told = move |file| match file {
        Err(error) => trouble(move || of_file(&error)),
        Ok(file) => {
            let file: web_sys::Blob = file;
            let tapped = move |_| {
                begin();
                waiting.set(None);
                let file = file.clone();
                spawn_local(async move {
                    let text = files::read_text(&file, limit()).await;
                    shared::forget().await;
                    read(text);
                });
            };
            view! {
                <p>{say(Word::BriefShared)}</p>
                <div class="actions">
                    <button type="button" class="primary" on:click=tapped>
                        {say(Word::BriefSharedTake)}
                    </button>
                </div>
            }
            .into_node()
        }
    };
    move || {
        waiting.get().map(|file| {
            view! {
                <div class="notice care" id="shared" role="status">
                    {told(file)}
                    <div class="actions">
                        <button type="button" on:click=away>{say(Word::BriefSharedAway)}</button>
                    </div>
                </div>
            }
        })
    }
}

/// The most that is read, in bytes.
fn limit() -> u64 {
    u64::try_from(BRIEF_BYTES_AT_MOST).unwrap_or(u64::MAX)
}

/// Takes the text as what it says it is; as what was asked for where it says nothing.
async fn look(handset: Handset, asked: Asked, text: &str) -> Came {
    let came = look_as(handset, asked, text).await;
    match &came {
        Came::Refused(refused) => match says_it_is(refused) {
            Some(other) if other != asked => look_as(handset, other, text).await,
            _ => came,
        },
        _ => came,
    }
}

async fn look_as(handset: Handset, document: Asked, text: &str) -> Came {
    let taken = match document {
        Asked::Acknowledgement => handset.take_acknowledgement(text).await,
        Asked::Brief => match handset.look_at_brief(text).await {
            Ok(offered) if offered.first => return Came::First(text.to_owned(), offered.desk),
            Ok(_) => handset.take_brief(text).await,
            Err(refused) => Err(refused),
        },
    };
    taken.map_or_else(
        |refused| Came::Refused(Arc::new(refused)),
        |()| Came::Taken(document),
    )
}

fn says_it_is(refused: &Refused) -> Option<Asked> {
    let (Refused::Brief(BriefError::Jws(JwsError::OtherTyp { found, .. }))
    | Refused::Acknowledgement(AcknowledgementError::Jws(JwsError::OtherTyp { found, .. }))) =
        refused
    else {
        return None;
    };
    match found {
        Typ::Brief => Some(Asked::Brief),
        Typ::Acknowledgement => Some(Asked::Acknowledgement),
        Typ::Entry | Typ::Manifest | Typ::Stub | Typ::Handsets => None,
    }
}

/// The first desk is trusted only after somebody looked: from then on its key alone counts.
fn compare(handset: Handset, text: String, desk: KeyId, came: RwSignal<Came>) -> impl IntoNode {
    let task = Task::idle();
    let same = move || {
        let text = text.clone();
        task.run(async move {
            let taken = handset.take_brief(&text).await;
            came.set(taken.map_or_else(
                |refused| Came::Refused(Arc::new(refused)),
                |()| Came::Taken(Asked::Brief),
            ));
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
