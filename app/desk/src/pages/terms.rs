//! Policies and price lists: which hold from when, what a new one would have done, and taking it in.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, text_of};
use super::form::{Filled, WithFiles};
use super::parts::{Column, Named, table, token};
use super::terms_form as form;
use super::terms_rows as rows;
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::currency::{of_ledger, sum as amount};
use crate::desk::{self, OpenDesk};
use crate::init::take_terms;
use crate::store::{Office, SqliteStore, StoreError, Terms, TermsKind};
use crate::terms::kind_of;
use crate::terms::trial::{
    Change, Stands, Trial, TrialError, Tried, judge_again, last_month, read_either, terms_of,
};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::record::Digest;
use combgate_core::units::Currency;
use combgate_ui::paper::when;
use combgate_ui::sentences;
use combgate_ui::words::Language;
use leptos::prelude::*;

/// Papers named in a trial; the sums are of all.
const NAMED: usize = 100;

pub(super) async fn show(State(pages): State<Pages>, clerk: Clerk) -> Response {
    pages
        .show(clerk, Place::Terms, |desk, clerk| {
            let language = clerk.language();
            let body = view! {
                {list(language, &desk.store, TermsKind::PriceList)?}
                {list(language, &desk.store, TermsKind::Policy)?}
                {file_form(clerk)}
            };
            Ok(Answer::Sheet(Sheet {
                title: text(language, Word::NavTerms).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

fn list(language: Language, store: &SqliteStore, kind: TermsKind) -> Result<AnyView, StoreError> {
    let say = |word| text(language, word);
    let today = desk::now().date_naive();
    let in_force = store.terms_in_force(kind, today)?.map(|terms| terms.digest);
    let (heading, id) = match kind {
        TermsKind::Policy => (Word::TermsPolicies, "policies"),
        TermsKind::PriceList => (Word::TermsPriceLists, "price-lists"),
    };
    let rows: Vec<_> = store
        .all_terms(kind)?
        .into_iter()
        .map(|terms| {
            let holds = in_force == Some(terms.digest);
            view! {
                <tr>
                    <th scope="row">
                        <a href=format!("/terms/{}", terms.digest)>{terms.code.to_string()}</a>
                        {holds.then(|| view! { <span class="under">{say(Word::TermsInForce)}</span> })}
                    </th>
                    <td class="day">{terms.first_day.to_string()}</td>
                    <td class="day">{until(language, &terms)}</td>
                    <td class="words">{taken_in(&terms)}</td>
                </tr>
            }
        })
        .collect();
    if rows.is_empty() {
        return Ok(
            view! { <h2>{say(heading)}</h2> <p class="notice">{say(Word::TermsNone)}</p> }
                .into_any(),
        );
    }
    let shown = table(
        Named::By(id),
        [
            Column::text(say(Word::TermsName)),
            Column::text(say(Word::TermsFrom)),
            Column::text(say(Word::TermsUntil)),
            Column::text(say(Word::TermsTakenIn)),
        ],
        rows.into_any(),
    );
    Ok(view! {
        <h2 id=id>{say(heading)}</h2>
        {shown}
        <p>
            <a class="button" href=form_path(kind, None)>
                {say(match kind {
                    TermsKind::Policy => Word::TermsNewPolicy,
                    TermsKind::PriceList => Word::TermsNewPrices,
                })}
            </a>
        </p>
    }
    .into_any())
}

fn file_form(clerk: &Clerk) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let take = if clerk.may(Right::Terms) {
        view! {
            <button type="submit" name="do" value="take">{say(Word::TermsTake)}</button>
        }
        .into_any()
    } else {
        let who = names::roles_that_may(language, Right::Terms);
        view! { <span class="quiet">{phrase(language, Phrase::TermsWhoTakes { who: &who })}</span> }
            .into_any()
    };
    view! {
        <h2>{say(Word::TermsNew)}</h2>
        <p>{say(Word::TermsNewWhat)}</p>
        <form method="post" action="/terms" enctype="multipart/form-data" class="sheet">
            {token(clerk)}
            <p class="field">
                <label for="document">{say(Word::TermsDocument)}</label>
                <input id="document" name="document" type="file" required accept=".json,application/json"/>
            </p>
            <p class="row-of-buttons">
                <button class="main" type="submit" name="do" value="try">{say(Word::TermsTry)}</button>
                " "
                {take}
            </p>
        </form>
    }
    .into_any()
}

/// Tries a document on last month's papers, or takes it in.
pub(super) async fn propose(State(pages): State<Pages>, form_sent: WithFiles) -> Response {
    let WithFiles {
        clerk,
        fields,
        mut files,
    } = form_sent;
    pages
        .show(clerk, Place::Terms, move |desk, clerk| {
            let document = text_of(Word::TermsDocument, files.pop())?;
            if fields.get("do") == "take" {
                return taken(desk, clerk, &document);
            }
            Ok(Answer::Sheet(try_out(desk, clerk, &document)?))
        })
        .await
}

/// Takes a document in.
fn taken(desk: &mut OpenDesk, clerk: &Clerk, document: &str) -> Result<Answer, Trouble> {
    clerk.must(Right::Terms)?;
    let kind = kind_of(document)?;
    let taken = take_terms(&mut desk.store, kind, document, &clerk.act()?)?;
    Ok(Answer::See(format!("/terms/{}", taken.digest)))
}

/// What a document would have done to last month's papers, and the way to take it in.
pub(super) fn try_out(desk: &OpenDesk, clerk: &Clerk, document: &str) -> Result<Sheet, Trouble> {
    let (policy, prices) = match read_either(document).map_err(TrialError::from)? {
        Tried::Policy(policy) => (Some(policy), None),
        Tried::PriceList(prices) => (None, Some(prices)),
    };
    let terms = terms_of(&desk.store, policy, prices)?;
    let run = judge_again(&desk.store, &terms, last_month(&desk.store)?)?;
    trial(clerk, desk, &run, document)
}

/// Takes in what was tried, or goes back to the form with it.
pub(super) async fn decide(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Terms, move |desk, clerk| {
            let document = fields.exact("document");
            match fields.get("do") {
                "take" => taken(desk, clerk, document),
                "edit" => form::again(desk, clerk, document),
                _ => Err(Trouble::OtherForm),
            }
        })
        .await
}

/// What can be done with a document that was tried.
fn decision(clerk: &Clerk, document: &str) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let take = if clerk.may(Right::Terms) {
        view! {
            <button class="main" type="submit" name="do" value="take">{say(Word::TermsTake)}</button>
        }
        .into_any()
    } else {
        let who = names::roles_that_may(language, Right::Terms);
        view! { <span class="quiet">{phrase(language, Phrase::TermsWhoTakes { who: &who })}</span> }
            .into_any()
    };
    view! {
        <form method="post" action="/terms/decide" class="sheet">
            {token(clerk)}
            <input type="hidden" name="document" value=document.to_owned()/>
            <p>{say(Word::TrialNothingKept)} " " {say(Word::TermsForEver)}</p>
            <p class="row-of-buttons">
                {take}
                " "
                <button type="submit" name="do" value="edit">{say(Word::TermsBack)}</button>
            </p>
        </form>
    }
    .into_any()
}

fn trial(clerk: &Clerk, desk: &OpenDesk, run: &Trial, document: &str) -> Result<Sheet, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let unit = of_ledger(&desk.store)?;
    let (first, last) = (run.first.to_string(), run.last.to_string());
    let item = |word, value: String| view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> };
    let difference = run.would_be_minor.saturating_sub(run.was_minor);
    let rows: Vec<_> = run
        .changes
        .iter()
        .take(NAMED)
        .map(|change| change_row(language, change, unit))
        .collect();
    let code = unit.map_or("", Currency::code);
    let body = view! {
            <p>{phrase(language, Phrase::TrialDays { first: &first, last: &last })}</p>
            <dl class="facts">
                {item(Word::TrialPapers, run.papers.to_string())}
                {item(Word::TrialChanged, run.changes.len().to_string())}
                {item(Word::TrialUnjudged, run.unjudged.to_string())}
                {item(Word::TrialWas, format!("{code} {}", amount(run.was_minor, unit)))}
                {item(Word::TrialWouldBe, format!("{code} {}", amount(run.would_be_minor, unit)))}
                {item(Word::TrialDifference, format!("{code} {}", amount(difference, unit)))}
            </dl>
            {(!rows.is_empty())
                .then(|| {
    let shown = table(Named::By("changes"), [Column::text(say(Word::ColumnDay)), Column::text(say(Word::WhatNumber)), Column::text(say(Word::TrialWas)), Column::text(say(Word::TrialWouldBe)), Column::number(say(Word::TrialDifference))], rows.into_any());
                    view! {
                        <h2 id="changes">{say(Word::TrialChanges)}</h2>
                        {shown}
                    }
                })}
            {decision(clerk, document)}
        };
    Ok(Sheet {
        title: say(Word::TrialTitle).to_owned(),
        body: body.into_any(),
    })
}

fn change_row(language: Language, change: &Change, unit: Option<Currency>) -> AnyView {
    let told = |stands: &Stands| {
        let decision = combgate_ui::words::text(language, sentences::decision(stands.decision));
        let grade = stands
            .grade
            .as_ref()
            .map_or_else(String::new, |grade| format!(" {grade}"));
        format!("{decision}{grade}, {}", amount(stands.payable_minor, unit))
    };
    let difference = change
        .would_be
        .payable_minor
        .saturating_sub(change.was.payable_minor);
    view! {
        <tr>
            <td>{change.day.to_string()}</td>
            <th scope="row">
                <a href=format!("/entries/{}/{}", change.handset, change.seq)>
                    {change.number.to_string()}
                </a>
            </th>
            <td>{told(&change.was)}</td>
            <td>{told(&change.would_be)}</td>
            <td class="number">{amount(difference, unit)}</td>
        </tr>
    }
    .into_any()
}

pub(super) fn found(store: &SqliteStore, digest: &str) -> Result<Terms, Trouble> {
    let digest = Digest::try_from(digest.to_owned()).map_err(|_| Trouble::Nowhere)?;
    let price_list = store.terms(TermsKind::PriceList, &digest)?;
    let any = match price_list {
        Some(terms) => Some(terms),
        None => store.terms(TermsKind::Policy, &digest)?,
    };
    any.ok_or(Trouble::Nowhere)
}

/// One policy or price list.
pub(super) async fn one(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(digest): Path<String>,
) -> Response {
    pages
        .show(clerk, Place::Terms, move |desk, clerk| {
            let terms = found(&desk.store, &digest)?;
            let language = clerk.language();
            let body = view! {
                {about(language, &terms)}
                {rows::readable(language, &terms)}
                <ul class="buttons">
                    <li>
                        <a class="button" href=form_path(terms.kind, Some(&digest))>
                            {text(language, Word::TermsNewFrom)}
                        </a>
                    </li>
                    <li>
                        <a class="button" download href=format!("/terms/{digest}/file")>
                            {text(language, Word::TermsFile)}
                        </a>
                    </li>
                </ul>
                <details>
                    <summary>{text(language, Word::TermsText)}</summary>
                    <pre class="bytes" tabindex="0">{terms.document.clone()}</pre>
                </details>
            };
            Ok(Answer::Sheet(Sheet {
                title: terms.code.to_string(),
                body: body.into_any(),
            }))
        })
        .await
}

/// When it holds, and who took it in.
fn about(language: Language, terms: &Terms) -> AnyView {
    let say = |word| text(language, word);
    let item = |word, value: String| view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> };
    view! {
        <dl class="facts">
            {item(Word::TermsFrom, terms.first_day.to_string())}
            {item(Word::TermsUntil, until(language, terms))}
            {item(Word::TermsTakenIn, taken_in(terms))}
        </dl>
    }
    .into_any()
}

fn until(language: Language, terms: &Terms) -> String {
    terms.last_day.map_or_else(
        || text(language, Word::TermsNoEnd).to_owned(),
        |day| day.to_string(),
    )
}

fn taken_in(terms: &Terms) -> String {
    let at = when(&terms.taken_in_at.to_rfc3339());
    match &terms.taken_in_by {
        Some(by) => format!("{at}, {by}"),
        None => at,
    }
}

/// Where a new document of a kind is made, of another one if it is named.
fn form_path(kind: TermsKind, from: Option<&str>) -> String {
    let path = format!("/terms/new/{}", form::name(kind));
    match from {
        Some(digest) => format!("{path}?from={digest}"),
        None => path,
    }
}

/// The document as a file.
pub(super) async fn file(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(digest): Path<String>,
) -> Response {
    pages
        .show(clerk, Place::Terms, move |desk, _| {
            let terms = found(&desk.store, &digest)?;
            Ok(Answer::File {
                name: format!("{}.json", terms.code),
                kind: "application/json",
                bytes: terms.document.into_bytes(),
            })
        })
        .await
}
