//! Taking bundles in: several at once, each booked as far as it is good, with what became of it.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::Path;
use super::form::{Uploaded, WithFiles};
use super::parts::{Column, Named, minute, table, token, told, weight};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::desk::{self, OpenDesk};
use crate::enrol::known;
use crate::import::{ImportError, Imported, acknowledgement as make, import_bytes};
use crate::keys::DeskCheck;
use crate::outcome::Advice;
use crate::store::{BundleRow, FindingRow, Journals};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::units::Code;
use combgate_ui::words::Language;
use leptos::prelude::*;
use std::cmp::Reverse;

/// Bundles listed that came lately.
const LATELY: u32 = 12;
/// Findings named for one bundle; the others are on their own page.
const NAMED: usize = 12;

/// The form.
pub(super) async fn show(State(pages): State<Pages>, clerk: Clerk) -> Response {
    pages
        .show(clerk, Place::Import, |desk, clerk| {
            let lately = lately(clerk.language(), &desk.store.latest_bundles(LATELY)?);
            Ok(Answer::Sheet(Sheet {
                title: text(clerk.language(), Word::ImportTitle).to_owned(),
                body: view! { {form(clerk)} {lately} }.into_any(),
            }))
        })
        .await
}

/// The bundles that came last, by either way.
fn lately(language: Language, bundles: &[BundleRow]) -> AnyView {
    if bundles.is_empty() {
        return ().into_any();
    }
    let say = |word| text(language, word);
    let rows: Vec<_> = bundles
        .iter()
        .map(|bundle| {
            let way = if bundle.sent {
                Word::ImportSent
            } else {
                Word::ImportAsFile
            };
            view! {
                <tr>
                    <th scope="row">{bundle.handset.to_string()}</th>
                    <td>{minute(bundle.imported_at)}</td>
                    <td>{format!("{}\u{2013}{}", bundle.first_seq, bundle.last_seq)}</td>
                    <td>{say(way)}</td>
                </tr>
            }
        })
        .collect();
    let shown = table(
        Named::By("lately"),
        [
            Column::text(say(Word::ColumnHandset)),
            Column::text(say(Word::ImportWhen)),
            Column::text(say(Word::ImportEntries)),
            Column::text(say(Word::ImportWay)),
        ],
        rows.into_any(),
    );
    view! {
        <h2 id="lately">{say(Word::ImportLately)}</h2>
        {shown}
    }
    .into_any()
}

fn form(clerk: &Clerk) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    if !clerk.may(Right::Import) {
        let who = names::roles_that_may(language, Right::Import);
        let words = phrase(language, Phrase::TroubleNotTheirsWhat { who: &who });
        return view! { <p class="notice">{words}</p> }.into_any();
    }
    view! {
        <p>{say(Word::ImportWhat)}</p>
        <form
            method="post"
            action="/import"
            enctype="multipart/form-data"
            class="sheet drop"
            data-drop=say(Word::ImportDrop)
            data-busy=say(Word::ImportBusy)
            data-at=phrase(
                language,
                Phrase::ImportAt {
                    number: "{number}",
                    count: "{count}",
                    file: "{file}",
                },
            )
            data-broke=phrase(
                language,
                Phrase::ImportBroke {
                    file: "{file}",
                    left: "{left}",
                },
            )
            data-all=phrase(language, Phrase::ImportAll { count: "{count}" })
            data-on=say(Word::ImportOn)
            data-take=say(Word::ImportTake)
        >
            {token(clerk)}
            <p class="field">
                <label for="bundles">{say(Word::ImportFiles)}</label>
                <input
                    id="bundles"
                    name="bundles"
                    type="file"
                    multiple
                    required
                    accept=".json,application/json"
                />
            </p>
            <p><button class="main" type="submit">{say(Word::ImportTake)}</button></p>
        </form>
        <p class="quiet">{say(Word::ImportAgain)}</p>
    }
    .into_any()
}

/// Takes in what was sent, each file whole or not at all.
pub(super) async fn take(State(pages): State<Pages>, form_sent: WithFiles) -> Response {
    let WithFiles { clerk, files, .. } = form_sent;
    pages
        .show(clerk, Place::Import, move |desk, clerk| {
            clerk.must(Right::Import)?;
            let results: Vec<_> = files
                .into_iter()
                .map(|file| {
                    let name = file.name.clone();
                    (name, take_one(desk, file))
                })
                .collect();
            Ok(Answer::Sheet(results_page(clerk, &results)))
        })
        .await
}

/// A file that was not taken in: what is wrong, and what to do.
struct NotTaken {
    error: String,
    hint: String,
}

impl From<ImportError> for NotTaken {
    fn from(error: ImportError) -> Self {
        Self {
            error: error.to_string(),
            hint: error.hint(),
        }
    }
}

fn take_one(desk: &mut OpenDesk, file: Uploaded) -> Result<Imported, NotTaken> {
    let name = std::path::PathBuf::from(&file.name);
    if file.too_large {
        let limit = crate::import::BYTES_AT_MOST;
        let error = crate::files::FileError::TooLarge { path: name, limit };
        return Err(ImportError::File(error).into());
    }
    let now = desk::now();
    Ok(import_bytes(
        &mut desk.store,
        &DeskCheck,
        &name,
        file.bytes,
        now,
    )?)
}

type Results = [(String, Result<Imported, NotTaken>)];

fn results_page(clerk: &Clerk, results: &Results) -> Sheet {
    let language = clerk.language();
    let say = |word| text(language, word);
    let each: Vec<_> = results
        .iter()
        .map(|(name, result)| match result {
            Ok(imported) => taken(language, name, imported),
            Err(trouble) => not_taken(language, name, trouble),
        })
        .collect();
    let mut handsets: Vec<&Code> = results
        .iter()
        .filter_map(|(_, result)| result.as_ref().ok())
        .map(|imported| &imported.handset.code)
        .collect();
    handsets.sort();
    handsets.dedup();
    let files: Vec<_> = handsets
        .into_iter()
        .map(|code| {
            let code = code.to_string();
            let words = phrase(language, Phrase::ImportAcknowledgement { handset: &code });
            view! {
                <li><a class="button" download href=format!("/acknowledgements/{code}")>{words}</a></li>
            }
        })
        .collect();
    let body = view! {
        {(!files.is_empty())
            .then(|| {
                view! {
                    <section class="notice good hand-back">
                        <h2 id="hand-back">{say(Word::ImportHandBack)}</h2>
                        <p>{say(Word::ImportHandBackWhat)}</p>
                        <ul class="buttons">{files}</ul>
                    </section>
                }
            })}
        {each}
        <h2>{say(Word::ImportMore)}</h2>
        {form(clerk)}
    };
    Sheet {
        title: say(Word::ImportDone).to_owned(),
        body: body.into_any(),
    }
}

fn not_taken(language: Language, name: &str, trouble: &NotTaken) -> AnyView {
    view! {
        <section class="result bad">
            <h2>{name.to_owned()}</h2>
            <p><strong class="verdict">{text(language, Word::ImportNothing)}</strong></p>
            {told(language, &trouble.error, &trouble.hint)}
        </section>
    }
    .into_any()
}

fn taken(language: Language, name: &str, imported: &Imported) -> AnyView {
    let say = |word| text(language, word);
    let handset = imported.handset.code.to_string();
    let (first, last) = (
        imported.bundle.first_seq.to_string(),
        imported.bundle.last_seq.to_string(),
    );
    let verdict = if imported.nothing_new {
        Word::ImportKnown
    } else if imported.refused.is_empty() && imported.waiting.is_none() {
        Word::ImportWhole
    } else {
        Word::ImportPart
    };
    let count = |word, count: u64| {
        view! { <div><dt>{say(word)}</dt><dd>{count}</dd></div> }
    };
    let refused = u64::try_from(imported.refused.len()).unwrap_or(u64::MAX);
    let heading = phrase(
        language,
        Phrase::ImportOf {
            handset: &handset,
            first: &first,
            last: &last,
        },
    );
    let bad = refused > 0 || imported.waiting.is_some();
    view! {
        <section class=if bad { "result bad" } else { "result" }>
            <h2>{name.to_owned()}</h2>
            <p><strong class="verdict">{say(verdict)}</strong> " " {heading}</p>
            <dl class="counts">
                {count(Word::ImportBooked, imported.extension.booked)}
                {count(Word::ImportKnownBefore, imported.extension.known)}
                {count(Word::ImportRefused, refused)}
                {count(
                    Word::ImportWaiting,
                    imported.waiting.map_or(0, |waiting| waiting.count),
                )}
                {count(Word::ImportBookedTo, imported.handset.head.seq)}
            </dl>
            {to_look_at(language, &imported.handset.code, &imported.findings)}
        </section>
    }
    .into_any()
}

fn to_look_at(language: Language, handset: &Code, findings: &[FindingRow]) -> AnyView {
    let say = |word| text(language, word);
    if findings.is_empty() {
        return view! { <p>{say(Word::ImportNothingToLookAt)}</p> }.into_any();
    }
    let mut sorted: Vec<&FindingRow> = findings.iter().collect();
    sorted.sort_by_key(|finding| Reverse(finding.weight));
    let rows: Vec<_> = sorted
        .iter()
        .take(NAMED)
        .map(|finding| {
            let seq = finding.seq.to_string();
            view! {
                <li>
                    {weight(language, finding.weight)}
                    " "
                    {say(names::title(&finding.code))}
                    " "
                    <span class="quiet">{phrase(language, Phrase::InEntry { seq: &seq })}</span>
                </li>
            }
        })
        .collect();
    let count = findings.len().to_string();
    view! {
        <h3>{phrase(language, Phrase::ImportToLookAt { count: &count })}</h3>
        <ul class="lines">{rows}</ul>
        <p>
            <a href=format!("/findings?handset={handset}")>{say(Word::ImportLook)}</a>
        </p>
    }
    .into_any()
}

/// The acknowledgement of all that a handset handed over, as a file.
pub(super) async fn acknowledgement(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(handset): Path<String>,
) -> Response {
    pages
        .show(clerk, Place::Import, move |desk, clerk| {
            clerk.must(Right::Import)?;
            let handset = known(&desk.store, &handset).map_err(|_| Trouble::Nowhere)?;
            let text = make(&desk.store, &desk.key, &handset, desk::now())?;
            Ok(Answer::File {
                name: format!("acknowledgement-{}.jws", handset.code),
                kind: "application/jose",
                bytes: text.into_bytes(),
            })
        })
        .await
}
