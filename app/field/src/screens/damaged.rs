//! A journal that is not whole: what is left of it goes to the desk, and nothing else is offered.

use super::inputs::Task;
use crate::handset::left::{self, Left};
use crate::handset::{Outgoing, Refused};
use crate::platform::database::Database;
use crate::platform::files;
use crate::speech::{fill, say};
use crate::trouble;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Node, RwSignal, view};
use leptos::task::spawn_local;

/// The screen.
pub fn damaged(database: Database) -> impl IntoNode {
    let found = RwSignal::new(None::<Result<Left, Word>>);
    spawn_local(async move {
        let left = left::gather(&database).await;
        found.set(Some(
            left.map_err(|refused: Refused| trouble::of_refused(&refused)),
        ));
    });
    view! {
        <h1>{say(Word::ErrorTitle)}</h1>
        <p class="notice trouble" role="alert">{say(Word::ErrorJournalBroken)}</p>
        {move || match found.get() {
            None => view! { <p role="status">{say(Word::DamagedReading)}</p> }.into_node(),
            Some(Ok(left)) => shown(left),
            Some(Err(word)) => {
                view! { <p class="notice trouble" role="alert">{say(word)}</p> }.into_node()
            }
        }}
    }
}

/// What was found, and every file of it.
pub fn shown(left: Left) -> Node {
    let rows = [
        (Word::DamagedEntries, left.entries.to_string(), "left"),
        (
            Word::DamagedUnreadable,
            left.unreadable.to_string(),
            "unreadable",
        ),
        (Word::DamagedUnproven, left.unproven.to_string(), "unproven"),
        (Word::DamagedMissing, left.missing.to_string(), "missing"),
    ];
    let rows = rows.map(|(word, count, name)| {
        view! { <div><dt>{say(word)}</dt><dd data-figure=name>{count}</dd></div> }
    });
    let files = left.files.into_iter().map(file).collect::<Vec<_>>();
    view! {
        <dl class="figures">{rows.into_iter().collect::<Vec<_>>()}</dl>
        <p>{say(Word::DamagedExport)}</p>
        {files}
    }
    .into_node()
}

/// One file, given out as often as it is asked for.
fn file(file: Outgoing) -> Node {
    let task = Task::idle();
    let name = file.name.clone();
    let give = move |_| {
        if files::download(&file.name, "application/json", &file.text).is_err() {
            task.say(Word::ErrorFileNotGiven);
        }
    };
    view! {
        <div class="actions">
            <button type="button" on:click=give>
                {move || fill(Phrase::DamagedFile { name: &name })}
            </button>
        </div>
        {task.problem()}
    }
    .into_node()
}
