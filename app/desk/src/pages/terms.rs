//! Policies and price lists: which hold from when, what a new one would have done, and taking it in.

use super::answer::{Answer, Sheet, Trouble};
use super::form::WithFiles;
use super::parts::{Column, Named, table, token};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::currency::{of_ledger, sum as amount};
use crate::desk::{self, OpenDesk};
use crate::dry_run::{
    Change, DryRun, DryRunError, Stands, Tried, dry_run, last_month, read_either, terms_of,
};
use crate::init::take_terms;
use crate::store::{Office, SqliteStore, StoreError, Terms, TermsKind};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::{Path, State};
use axum::response::Response;
use combgate_core::record::{Digest, PriceListV1};
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
                {form(clerk)}
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
                    <td>{terms.first_day.to_string()}</td>
                    <td>
                        {terms
                            .last_day
                            .map_or_else(|| say(Word::TermsNoEnd).to_owned(), |day| day.to_string())}
                    </td>
                    <td>{when(&terms.taken_in_at.to_rfc3339())}</td>
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
    }
    .into_any())
}

fn form(clerk: &Clerk) -> AnyView {
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
            let file = files.pop().ok_or(Trouble::OtherForm)?;
            let document = String::from_utf8(file.bytes).map_err(|_| Trouble::OtherForm)?;
            let tried = read_either(&document).map_err(DryRunError::from)?;
            if fields.get("do") == "take" {
                clerk.must(Right::Terms)?;
                let kind = match tried {
                    Tried::Policy(_) => TermsKind::Policy,
                    Tried::PriceList(_) => TermsKind::PriceList,
                };
                take_terms(&mut desk.store, kind, &document)?;
                return Ok(Answer::See("/terms".to_owned()));
            }
            let (policy, prices) = match tried {
                Tried::Policy(policy) => (Some(policy), None),
                Tried::PriceList(prices) => (None, Some(prices)),
            };
            let terms = terms_of(&desk.store, policy, prices)?;
            let run = dry_run(&desk.store, &terms, last_month(&desk.store)?)?;
            Ok(Answer::Sheet(trial(clerk, desk, &run)?))
        })
        .await
}

fn trial(clerk: &Clerk, desk: &OpenDesk, run: &DryRun) -> Result<Sheet, Trouble> {
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
            <p>{say(Word::TrialNothingKept)} " " <a href="/terms">{say(Word::NavTerms)}</a></p>
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

fn found(store: &SqliteStore, digest: &str) -> Result<Terms, Trouble> {
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
            let prices = match terms.kind {
                TermsKind::PriceList => prices(language, &terms),
                TermsKind::Policy => ().into_any(),
            };
            let body = view! {
                {prices}
                <ul class="buttons">
                    <li>
                        <a class="button" download href=format!("/terms/{digest}/file")>
                            {text(language, Word::TermsFile)}
                        </a>
                    </li>
                </ul>
                <details open=terms.kind == TermsKind::Policy>
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

fn prices(language: Language, terms: &Terms) -> AnyView {
    let say = |word| text(language, word);
    let shared = |word| combgate_ui::words::text(language, word);
    // It was checked when it was taken in.
    let Ok(list) = PriceListV1::read(&terms.document) else {
        return ().into_any();
    };
    let parts = list.parts();
    let unit = Some(parts.currency);
    let rows: Vec<_> = parts
        .rows
        .iter()
        .map(|row| {
            view! {
                <tr>
                    <td>{shared(sentences::bee(row.bee))}</td>
                    <td>{shared(sentences::form(row.form))}</td>
                    <th scope="row">{row.grade.to_string()}</th>
                    <td class="number">{amount(i64::from(row.per_kg), unit)}</td>
                    <td>{row.source.to_string()}</td>
                </tr>
            }
        })
        .collect();
    let shown = table(
        Named::By("prices"),
        [
            Column::text(say(Word::TermsBee)),
            Column::text(say(Word::TermsForm)),
            Column::text(say(Word::ColumnGrade)),
            Column::number(phrase(
                language,
                Phrase::TermsPerKg {
                    currency: parts.currency.code(),
                },
            )),
            Column::text(say(Word::TermsSource)),
        ],
        rows.into_any(),
    );
    view! {
        <h2 id="prices">{parts.title.to_string()}</h2>
        {shown}
    }
    .into_any()
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
