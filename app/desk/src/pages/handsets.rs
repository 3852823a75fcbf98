//! Handsets: enrolling one from its card, seeing how far it is, taking it out of use.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, Wants, bad, choice, text_of};
use super::form::{Filled, WithFiles};
use super::parts::{Column, Named, minute, table, token};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::desk;
use crate::enrol::{enrol_card, known};
use crate::revoke::{Said, revoke};
use crate::store::{Cause, Clerks, Handset, Journals, Office, Revocation, SqliteStore, StoreError};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use chrono::{DateTime, FixedOffset, Local, NaiveDateTime, TimeZone};
use clap::ValueEnum;
use combgate_core::units::Label;
use combgate_ui::paper::when;
use combgate_ui::words::Language;
use leptos::prelude::*;

pub(super) async fn show(State(pages): State<Pages>, clerk: Clerk) -> Response {
    pages
        .show(clerk, Place::Handsets, |desk, clerk| {
            let language = clerk.language();
            let rows = rows(language, &desk.store)?;
            let body = view! {
                {rows}
                {enrol_form(clerk)}
            };
            Ok(Answer::Sheet(Sheet {
                title: text(language, Word::HandsetsTitle).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

fn rows(language: Language, store: &SqliteStore) -> Result<AnyView, StoreError> {
    let say = |word| text(language, word);
    let handsets = store.handsets()?;
    if handsets.is_empty() {
        return Ok(view! { <p class="notice">{say(Word::OverviewNoHandset)}</p> }.into_any());
    }
    let mut rows = Vec::new();
    for handset in handsets {
        let state = match store.revocation(&handset.code)? {
            None => Word::HandsetInUse,
            Some(revocation) => names::cause(revocation.cause),
        };
        let code = handset.code.to_string();
        rows.push(view! {
            <tr>
                <th scope="row">
                    <a href=format!("/handsets/{code}")>{code.clone()}</a>
                    <span class="under">{handset.name.to_string()}</span>
                </th>
                <td>{say(state)}</td>
                <td class="number">{handset.head.seq}</td>
                <td>{handset.key.id().short()}</td>
                <td>{minute(handset.enrolled_at)}</td>
            </tr>
        });
    }
    let shown = table(
        Named::As(say(Word::HandsetsTitle)),
        [
            Column::text(say(Word::ColumnHandset)),
            Column::text(say(Word::ColumnState)),
            Column::number(say(Word::ColumnBookedTo)),
            Column::text(say(Word::ColumnKey)),
            Column::text(say(Word::ColumnEnrolled)),
        ],
        rows.into_any(),
    );
    Ok(view! {
        {shown}
    }
    .into_any())
}

fn enrol_form(clerk: &Clerk) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    if !clerk.may(Right::Handsets) {
        let who = names::roles_that_may(language, Right::Handsets);
        return view! { <p class="quiet">{phrase(language, Phrase::HandsetsWhoEnrols { who: &who })}</p> }
            .into_any();
    }
    view! {
        <section>
            <h2 id="enrol">{say(Word::EnrolTitle)}</h2>
            <form
                method="post"
                action="/handsets"
                enctype="multipart/form-data"
                class="sheet"
            >
                {token(clerk)}
                <p class="field">
                    <label for="card">{say(Word::EnrolCard)}</label>
                    <input id="card" name="card" type="file"/>
                </p>
                <p class="field">
                    <label for="text">{say(Word::EnrolText)}</label>
                    <input id="text" name="text" autocomplete="off"/>
                </p>
                <p class="field short">
                    <label for="code">{say(Word::EnrolCode)}</label>
                    <input id="code" name="code" autocomplete="off" aria-describedby="code-hint"/>
                </p>
                <p class="quiet" id="code-hint">{say(Word::EnrolCodeHint)}</p>
                <p><button class="main" type="submit">{say(Word::EnrolDo)}</button></p>
            </form>
        </section>
    }
    .into_any()
}

/// Enrols the handset of a card that was sent as a file or as text.
pub(super) async fn enrol(State(pages): State<Pages>, form_sent: WithFiles) -> Response {
    let WithFiles {
        clerk,
        fields,
        mut files,
    } = form_sent;
    pages
        .show(clerk, Place::Handsets, move |desk, clerk| {
            clerk.must(Right::Handsets)?;
            let card = match files.pop() {
                Some(file) => text_of(Word::EnrolCard, Some(file))?,
                None => fields.get("text").to_owned(),
            };
            let (handset, _) = enrol_card(&mut desk.store, &card, fields.given("code"))?;
            Ok(Answer::See(format!("/handsets/{}", handset.code)))
        })
        .await
}

pub(super) async fn one(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(handset): Path<String>,
) -> Response {
    pages
        .show(clerk, Place::Handsets, move |desk, clerk| {
            let handset = known(&desk.store, &handset).map_err(|_| Trouble::Nowhere)?;
            Ok(Answer::Sheet(sheet(clerk, &desk.store, &handset)?))
        })
        .await
}

fn sheet(clerk: &Clerk, store: &SqliteStore, handset: &Handset) -> Result<Sheet, StoreError> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let code = handset.code.to_string();
    let revocation = store.revocation(&handset.code)?;
    let bundle = store.latest_bundle(&handset.code)?;
    let waiting = store.waiting_above(&handset.code, handset.head.seq)?;
    let brief = store.last_given(&handset.code)?;
    let never = || say(Word::OverviewNever).to_owned();
    let item = |word, value: String| view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> };
    let key = handset.key.id();
    let body = view! {
        {revocation.as_ref().map(|revocation| out_of_use(language, revocation))}
        <dl class="facts">
            {item(Word::HandsetName, handset.name.to_string())}
            {item(Word::ColumnKey, format!("{} ({key})", key.short()))}
            {item(Word::ColumnEnrolled, when(&handset.enrolled_at.to_rfc3339()))}
            {item(Word::ColumnBookedTo, handset.head.seq.to_string())}
            {item(
                Word::ColumnWaiting,
                waiting.map_or_else(|| "–".to_owned(), |waiting| waiting.count.to_string()),
            )}
            {item(
                Word::ColumnLastBundle,
                bundle.map_or_else(never, |bundle| when(&bundle.imported_at.to_rfc3339())),
            )}
            {item(
                Word::ColumnBriefUntil,
                brief.map_or_else(
                    || say(Word::OverviewNoBrief).to_owned(),
                    |brief| format!("{} (no. {})", brief.last_day, brief.serial),
                ),
            )}
        </dl>
        <ul class="buttons">
            <li><a class="button" href=format!("/findings?handset={code}")>{say(Word::NavFindings)}</a></li>
            {clerk
                .may(Right::Import)
                .then(|| {
                    let words = phrase(language, Phrase::ImportAcknowledgement { handset: &code });
                    view! {
                        <li>
                            <a class="button" download href=format!("/acknowledgements/{code}")>
                                {words}
                            </a>
                        </li>
                    }
                })}
        </ul>
        {take_out_form(clerk, handset, store)?}
    };
    Ok(Sheet {
        title: phrase(language, Phrase::HandsetOf { handset: &code }),
        body: body.into_any(),
    })
}

fn out_of_use(language: Language, revocation: &Revocation) -> AnyView {
    let from = when(&revocation.from_at.to_rfc3339());
    let by = revocation.account.to_string();
    let words = phrase(
        language,
        Phrase::HandsetOutOfUse {
            cause: text(language, names::cause(revocation.cause)),
            from: &from,
            account: &by,
        },
    );
    let replacement = revocation.replacement.as_ref().map(|code| {
        let code = code.to_string();
        view! {
            <p>
                <a href=format!("/handsets/{code}")>
                    {phrase(language, Phrase::HandsetReplacedBy { handset: &code })}
                </a>
            </p>
        }
    });
    view! {
        <div class="notice bad">
            <p><strong>{words}</strong></p>
            <p>{revocation.words.to_string()}</p>
            {replacement}
        </div>
    }
    .into_any()
}

fn take_out_form(
    clerk: &Clerk,
    handset: &Handset,
    store: &SqliteStore,
) -> Result<AnyView, StoreError> {
    let language = clerk.language();
    let say = |word| text(language, word);
    if !clerk.may(Right::Revoke) {
        return Ok(().into_any());
    }
    let causes: Vec<_> = Cause::value_variants()
        .iter()
        .map(|cause| {
            let value = cause
                .to_possible_value()
                .map_or_else(String::new, |value| value.get_name().to_owned());
            let id = format!("cause-{value}");
            view! {
                <p class="choice">
                    <input type="radio" name="cause" id=id.clone() value=value required/>
                    <label for=id>{say(names::cause(*cause))}</label>
                </p>
            }
        })
        .collect();
    let others: Vec<_> = store
        .handsets()?
        .into_iter()
        .filter(|other| other.code != handset.code)
        .map(|other| {
            let code = other.code.to_string();
            view! { <option value=code.clone()>{format!("{code}, {}", other.name)}</option> }
        })
        .collect();
    let now = desk::now().format("%Y-%m-%dT%H:%M").to_string();
    Ok(view! {
        <section>
            <h2 id="take-out">{say(Word::RevokeTitle)}</h2>
            <p>{say(Word::RevokeWhat)}</p>
            <form method="post" action=format!("/handsets/{}", handset.code) class="sheet">
                {token(clerk)}
                <fieldset>
                    <legend>{say(Word::RevokeCause)}</legend>
                    {causes}
                </fieldset>
                <p class="field short">
                    <label for="from">{say(Word::RevokeFrom)}</label>
                    <input id="from" name="from" type="datetime-local" value=now required/>
                </p>
                <p class="field short">
                    <label for="replacement">{say(Word::RevokeReplacement)}</label>
                    <select id="replacement" name="replacement">
                        <option value="">{say(Word::RevokeNoReplacement)}</option>
                        {others}
                    </select>
                </p>
                <p class="field">
                    <label for="words">{say(Word::RevokeWords)}</label>
                    <input id="words" name="words" required maxlength=Label::MAX.to_string()/>
                </p>
                <p><button class="main" type="submit">{say(Word::RevokeDo)}</button></p>
            </form>
        </section>
    }
    .into_any())
}

/// Takes a handset out of use.
pub(super) async fn take_out(
    State(pages): State<Pages>,
    Path(handset): Path<String>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Handsets, move |desk, clerk| {
            clerk.must(Right::Revoke)?;
            let from = fields.get("from");
            let said = Said {
                handset: &handset,
                from_at: moment(from).ok_or_else(|| bad(Word::RevokeFrom, from, Wants::Moment))?,
                cause: choice(Word::RevokeCause, &fields, "cause")?,
                replacement: fields.given("replacement"),
                words: fields.get("words"),
            };
            revoke(&mut desk.store, &said, &clerk.account, desk::now())?;
            Ok(Answer::See(format!("/handsets/{handset}")))
        })
        .await
}

/// A moment as a browser's field gives it, by the clock of this machine.
fn moment(typed: &str) -> Option<DateTime<FixedOffset>> {
    let local = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"]
        .iter()
        .find_map(|format| NaiveDateTime::parse_from_str(typed, format).ok())?;
    let moment = Local.from_local_datetime(&local).earliest()?;
    Some(moment.fixed_offset())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_is_read_as_browsers_write_it() {
        assert!(moment("2026-10-09T12:00").is_some());
        assert!(moment("2026-10-09T12:00:30").is_some());
        assert_eq!(moment("9 October"), None);
        assert_eq!(moment(""), None);
    }
}
