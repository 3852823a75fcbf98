//! Reconciling: each officer's cash and pails of a day against what was counted and what came.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Query, day, day_if_any};
use super::form::Filled;
use super::parts::{money, token, weight};
use super::visit::Clerk;
use super::{Pages, Place};
use crate::accounts::Right;
use crate::desk::OpenDesk;
use crate::reconcile::cash::{Typed, give};
use crate::reconcile::{HandsetDay, officer_days};
use crate::store::{CashGiven, Closing, Journals, SqliteStore, StoreError};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use chrono::NaiveDate;
use combgate_core::clerk::{CashCount, FindingWeight, PailCount, ReconcileFinding};
use combgate_core::units::{Currency, Label};
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// Which day.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    day: String,
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Reconcile, move |desk, clerk| {
            Ok(Answer::Sheet(sheet(desk, clerk, &asked)?))
        })
        .await
}

fn sheet(desk: &OpenDesk, clerk: &Clerk, asked: &Asked) -> Result<Sheet, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let day = match day_if_any(Word::ColumnDay, &asked.day)? {
        Some(day) => Some(day),
        None => desk.store.latest_days(1)?.pop(),
    };
    let title = say(Word::ReconcileTitle).to_owned();
    let Some(day) = day else {
        let body = view! { <p class="notice">{say(Word::DayNone)}</p> }.into_any();
        return Ok(Sheet { title, body });
    };
    let days = officer_days(&desk.store, day, None)?;
    let mut officers = Vec::new();
    for each in &days {
        officers.push(officer(language, &desk.store, each)?);
    }
    let name = day.to_string();
    let body = view! {
        <p>{say(Word::ReconcileWhat)}</p>
        <form method="get" action="/reconcile" class="choose">
            <p class="field short">
                <label for="day">{say(Word::ColumnDay)}</label>
                <input id="day" name="day" type="date" value=name.clone() required/>
            </p>
            <p><button type="submit">{say(Word::FindingsShow)}</button></p>
        </form>
        {if officers.is_empty() {
            view! {
                <p class="notice">{phrase(language, Phrase::ReconcileNone { day: &name })}</p>
            }
            .into_any()
        } else {
            officers.into_any()
        }}
        {clerk.may(Right::Close).then(|| form(clerk, &desk.store, day)).transpose()?}
    };
    Ok(Sheet {
        title,
        body: body.into_any(),
    })
}

fn officer(
    language: Language,
    store: &SqliteStore,
    each: &HandsetDay,
) -> Result<AnyView, StoreError> {
    let say = |word| text(language, word);
    let day = &each.officer_day;
    let asks = day
        .findings
        .iter()
        .any(|finding| finding.weight() >= FindingWeight::Question);
    let given = store.cash_given(&each.handset, day.day)?;
    let findings: Vec<_> = day
        .findings
        .iter()
        .map(|finding| {
            view! {
                <li>
                    {weight(language, finding.weight())} " " {sentence(language, finding)}
                </li>
            }
        })
        .collect();
    let currency = Some(day.currency);
    Ok(view! {
        <section class=if asks { "result bad" } else { "result" }>
            <h2 class="name">{format!("{}, {}", day.officer, each.handset)}</h2>
            {if findings.is_empty() {
                view! { <p class="verdict">{say(Word::ReconcileAgrees)}</p> }.into_any()
            } else {
                view! { <ul class="lines">{findings}</ul> }.into_any()
            }}
            <div class="pair">
                <div>
                    <h3>{say(Word::WhatCash)}</h3>
                    {cash(language, &day.cash, currency)}
                    {handed(language, &given, currency)}
                </div>
                <div>
                    <h3>{say(Word::ColumnPails)}</h3>
                    {pails(language, day.pails)}
                </div>
            </div>
        </section>
    }
    .into_any())
}

/// What was found, in the page's language.
fn sentence(language: Language, finding: &ReconcileFinding) -> String {
    match finding {
        ReconcileFinding::StillOpen(officer) => phrase(
            language,
            Phrase::ReconcileStillOpen {
                officer: officer.as_str(),
            },
        ),
        ReconcileFinding::CashShort(sum) => phrase(
            language,
            Phrase::ReconcileCashShort {
                sum: &sum.to_string(),
            },
        ),
        ReconcileFinding::CashOver(sum) => phrase(
            language,
            Phrase::ReconcileCashOver {
                sum: &sum.to_string(),
            },
        ),
        ReconcileFinding::PailsDiffer { expected, counted } => phrase(
            language,
            Phrase::ReconcilePailsDiffer {
                expected: &expected.to_string(),
                counted: &counted.to_string(),
            },
        ),
        ReconcileFinding::PailMissing { pail, paper } => phrase(
            language,
            Phrase::ReconcilePailMissing {
                pail: pail.as_str(),
                paper: &paper.to_string(),
            },
        ),
    }
}

/// Rows of words with a figure each; the last one is what the others come to.
fn figures(language: Language, rows: Vec<(Word, String, &'static str)>) -> AnyView {
    let rows: Vec<_> = rows
        .into_iter()
        .map(|(word, value, class)| {
            view! { <div class=class><dt>{text(language, word)}</dt><dd>{value}</dd></div> }
        })
        .collect();
    view! { <dl class="facts figures">{rows}</dl> }.into_any()
}

fn cash(language: Language, cash: &CashCount, currency: Option<Currency>) -> AnyView {
    let shown = |minor: i64| money(minor, currency);
    let if_counted =
        |minor: Option<i64>| minor.map_or_else(|| text(language, Word::DayNotClosed).into(), shown);
    let difference = cash.difference_minor();
    let marked = if difference.unwrap_or(0) == 0 {
        "sum"
    } else {
        "sum differs"
    };
    figures(
        language,
        vec![
            (Word::ReconcileFloat, shown(cash.float_minor), ""),
            (Word::ReconcileGiven, shown(cash.given_minor), ""),
            (
                Word::ReconcilePaid,
                shown(cash.paid_minor.saturating_neg()),
                "",
            ),
            (Word::ReconcileReturned, shown(cash.returned_minor), ""),
            (Word::ReconcileExpected, shown(cash.expected_minor()), "sum"),
            (Word::ReconcileCounted, if_counted(cash.counted_minor), ""),
            (Word::TrialDifference, if_counted(difference), marked),
        ],
    )
}

fn pails(language: Language, pails: PailCount) -> AnyView {
    let counted = pails.counted_full.map_or_else(
        || text(language, Word::DayNotClosed).into(),
        |n| n.to_string(),
    );
    figures(
        language,
        vec![
            (Word::ReconcileTaken, pails.taken.to_string(), ""),
            (Word::ReconcileBought, pails.bought.to_string(), ""),
            (Word::ReconcileHeld, pails.held.to_string(), ""),
            (Word::ReconcileGivenBack, pails.given_back.to_string(), ""),
            (Word::ReconcileCountedFull, counted, "sum"),
            (Word::ReceivingReceived, pails.received.to_string(), ""),
            (Word::ReceivingOnTheWay, pails.on_the_way.to_string(), ""),
        ],
    )
}

/// Cash given during the day, each time with who gave it.
fn handed(language: Language, given: &[CashGiven], currency: Option<Currency>) -> AnyView {
    if given.is_empty() {
        return ().into_any();
    }
    let rows: Vec<_> = given
        .iter()
        .map(|cash| {
            let note = cash.note.as_ref().map(|note| format!(": {note}"));
            view! {
                <li>
                    {money(cash.minor, currency)}
                    {note}
                    <span class="under">{cash.by.to_string()}</span>
                </li>
            }
        })
        .collect();
    view! {
        <h4>{text(language, Word::ReconcileGiven)}</h4>
        <ul class="lines">{rows}</ul>
    }
    .into_any()
}

fn form(clerk: &Clerk, store: &SqliteStore, day: NaiveDate) -> Result<AnyView, StoreError> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let handsets: Vec<_> = store
        .handsets()?
        .into_iter()
        .map(|handset| {
            let code = handset.code.to_string();
            view! { <option value=code.clone()>{format!("{code}, {}", handset.name)}</option> }
        })
        .collect();
    Ok(view! {
        <section>
            <h2>{say(Word::CashTitle)}</h2>
            <form method="post" action="/reconcile/cash" class="sheet">
                {token(clerk)}
                <p class="field short">
                    <label for="cash-handset">{say(Word::ColumnHandset)}</label>
                    <select id="cash-handset" name="handset">{handsets}</select>
                </p>
                <p class="field short">
                    <label for="amount">{say(Word::CashAmount)}</label>
                    <input
                        id="amount"
                        name="amount"
                        required
                        inputmode="text"
                        autocomplete="off"
                        aria-describedby="amount-hint"
                    />
                </p>
                <p class="quiet" id="amount-hint">{say(Word::CashHint)}</p>
                <p class="field short">
                    <label for="cash-day">{say(Word::ColumnDay)}</label>
                    <input id="cash-day" name="day" type="date" value=day.to_string() required/>
                </p>
                <p class="field">
                    <label for="note">{say(Word::CashNote)}</label>
                    <input id="note" name="note" maxlength=Label::MAX.to_string()/>
                </p>
                <p><button class="main" type="submit">{say(Word::CashDo)}</button></p>
            </form>
        </section>
    }
    .into_any())
}

/// Keeps cash given to an officer.
pub(super) async fn hand_over(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Reconcile, move |desk, clerk| {
            clerk.must(Right::Close)?;
            let day = day(Word::ColumnDay, fields.get("day"))?;
            let typed = Typed {
                handset: fields.get("handset"),
                amount: fields.get("amount"),
                day: Some(day),
                note: fields.given("note"),
                act: clerk.act()?,
            };
            give(&mut desk.store, &typed)?;
            Ok(Answer::See(format!("/reconcile?day={day}")))
        })
        .await
}
