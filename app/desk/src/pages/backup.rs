//! Backups: one made now, those there are, and how a desk comes back from one.

use super::answer::{Answer, Sheet};
use super::asked::{Query, Wants, bad};
use super::form::Filled;
use super::parts::{Column, Named, table, token};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::backup::{back_up_in, backups_in, left_over, usual_folder};
use crate::desk;
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_ui::words::Language;
use form_urlencoded::Serializer;
use leptos::prelude::*;
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// Backups that are listed.
const LISTED: usize = 30;

/// In which folder.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    folder: String,
    #[serde(default)]
    made: String,
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    let desk_folder = pages.0.folder.clone();
    pages
        .show(clerk, Place::Backup, move |_, clerk| {
            let language = clerk.language();
            let say = |word| text(language, word);
            let title = say(Word::BackupTitle).to_owned();
            if !clerk.may(Right::BackUp) {
                let who = names::roles_that_may(language, Right::BackUp);
                let words = phrase(language, Phrase::BackupWho { who: &who });
                let body = view! { <p class="notice">{words}</p> }.into_any();
                return Ok(Answer::Sheet(Sheet { title, body }));
            }
            let folder = match asked.folder.as_str() {
                "" => usual_folder(&desk_folder),
                typed => PathBuf::from(typed),
            };
            let made = (!asked.made.is_empty()).then(|| {
                let file = folder.join(&asked.made).display().to_string();
                phrase(language, Phrase::BackupDone { file: &file })
            });
            let body = view! {
                {made.map(|words| view! { <p class="notice good" role="status">{words}</p> })}
                {form(clerk, &folder)}
                {listed(language, &folder)}
                {restore(language, &folder)}
            };
            Ok(Answer::Sheet(Sheet {
                title,
                body: body.into_any(),
            }))
        })
        .await
}

fn form(clerk: &Clerk, folder: &Path) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    view! {
        <p>{say(Word::BackupWhat)}</p>
        <p class="notice care">{say(Word::BackupHolds)}</p>
        <form method="post" action="/backup" class="sheet">
            {token(clerk)}
            <p class="field">
                <label for="folder">{say(Word::BackupFolder)}</label>
                <input
                    id="folder"
                    name="folder"
                    required
                    autocomplete="off"
                    spellcheck="false"
                    value=folder.display().to_string()
                    aria-describedby="folder-hint"
                />
            </p>
            <p class="quiet" id="folder-hint">{say(Word::BackupFolderHint)}</p>
            <p><button class="main" type="submit">{say(Word::BackupDo)}</button></p>
        </form>
    }
    .into_any()
}

fn listed(language: Language, folder: &Path) -> AnyView {
    let say = |word| text(language, word);
    let where_from = folder.display().to_string();
    let heading = phrase(
        language,
        Phrase::BackupThere {
            folder: &where_from,
        },
    );
    let name = |path: &Path| {
        path.file_name()
            .map(|name| name.to_string_lossy().into_owned())
            .unwrap_or_default()
    };
    let rows: Vec<_> = backups_in(folder)
        .into_iter()
        .take(LISTED)
        .map(|(path, bytes)| {
            let megabytes = bytes.div_ceil(1_000_000).to_string();
            view! { <tr><th scope="row">{name(&path)}</th><td class="number">{megabytes}</td></tr> }
        })
        .collect();
    let left: Vec<_> = left_over(folder)
        .iter()
        .map(|path| view! { <li>{name(path)}</li> })
        .collect();
    let shown = if rows.is_empty() {
        view! { <p class="notice">{say(Word::BackupNone)}</p> }.into_any()
    } else {
        table(
            Named::By("backups"),
            [
                Column::text(say(Word::BriefsFileColumn)),
                Column::number(say(Word::BackupSize)),
            ],
            rows.into_any(),
        )
    };
    view! {
        <section>
            <h2 id="backups">{heading}</h2>
            {shown}
            {(!left.is_empty())
                .then(|| {
                    view! {
                        <div class="notice bad">
                            <p>{say(Word::BackupLeftOver)}</p>
                            <ul class="lines">{left}</ul>
                        </div>
                    }
                })}
        </section>
    }
    .into_any()
}

fn restore(language: Language, folder: &Path) -> AnyView {
    let say = |word| text(language, word);
    let newest = backups_in(folder).into_iter().next().map_or_else(
        || folder.join("FILE").display().to_string(),
        |(path, _)| path.display().to_string(),
    );
    view! {
        <section>
            <h2>{say(Word::BackupRestore)}</h2>
            <p>{say(Word::BackupRestoreWhat)}</p>
            <pre class="bytes" tabindex="0">{format!("combgate restore \"{newest}\" DIR")}</pre>
        </section>
    }
    .into_any()
}

/// Makes a backup.
pub(super) async fn make(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let Filled { clerk, fields } = form_sent;
    let desk_folder = pages.0.folder.clone();
    pages
        .show(clerk, Place::Backup, move |_, clerk| {
            clerk.must(Right::BackUp)?;
            let Some(folder) = fields.given("folder") else {
                return Err(bad(Word::BackupFolder, "", Wants::Folder));
            };
            let made = back_up_in(&desk_folder, Path::new(folder), desk::now())?;
            let name = made.file_name().unwrap_or_default().to_string_lossy();
            let query = Serializer::new(String::new())
                .append_pair("folder", folder)
                .append_pair("made", &name)
                .finish();
            Ok(Answer::See(format!("/backup?{query}")))
        })
        .await
}
