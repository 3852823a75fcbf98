//! Receiving at the store: what is on its way, what came, and a form for one pail.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, Query};
use super::form::{Fields, Filled};
use super::parts::{Column, Named, Part, address, day, table, token, weight};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::cli;
use crate::closing::open_day;
use crate::desk;
use crate::receiving::command::read;
use crate::receiving::list::Pails;
use crate::receiving::{Judged, ReceiveError, judge, receive};
use crate::store::{Depot, SqliteStore};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use chrono::Days;
use combgate_ui::figures::{decimal, kilograms};
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// How far back pails are looked for that did not come: a season.
const A_SEASON: Days = Days::new(180);
/// How far back pails that came are shown; the others are in `combgate pails`.
const A_WEEK: Days = Days::new(7);
/// Pails that came lately and are shown.
const LATELY: u64 = 50;

/// How many pails on the way are passed over.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    after: String,
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Receiving, move |desk, clerk| {
            let language = clerk.language();
            let (found, part) = recent(&desk.store, &asked)?;
            let body = view! {
                {pail_form(clerk)}
                {on_the_way(language, &found, part)}
                {came(language, Word::ReceivingWithoutPaper, "unknown", &found.without_paper)}
                {came(language, Word::ReceivingReceived, "received", &found.received)}
            };
            Ok(Answer::Sheet(Sheet {
                title: text(language, Word::ReceivingTitle).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

fn recent(store: &SqliteStore, asked: &Asked) -> Result<(Pails, Part), ReceiveError> {
    let today = desk::now().date_naive();
    // What is received after today was closed counts tomorrow.
    let last = open_day(store, today)?;
    let season = (today - A_SEASON)..=last;
    let count = store.count_on_the_way(season.clone())?;
    let part = Part::asked(&asked.after, usize::try_from(count).unwrap_or(usize::MAX));
    let came = store.receivings_on((today - A_WEEK)..=last, LATELY)?;
    let received = came
        .into_iter()
        .filter(|row| row.paper.is_some() && row.set_aside.is_none())
        .map(|row| judge(store, row))
        .collect::<Result<_, _>>()?;
    let unmatched = store.unmatched()?.into_iter();
    let pails = Pails {
        on_the_way: store.on_the_way(season, part.range())?,
        received,
        without_paper: unmatched
            .map(|row| judge(store, row))
            .collect::<Result<_, _>>()?,
    };
    Ok((pails, part))
}

fn pail_form(clerk: &Clerk) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    if !clerk.may(Right::Receive) {
        let who = names::roles_that_may(language, Right::Receive);
        return view! { <p class="quiet">{phrase(language, Phrase::ReceivingWho { who: &who })}</p> }
            .into_any();
    }
    let field = |name: &'static str, word: Word, required: bool, numeric: bool| {
        view! {
            <p class="field short">
                <label for=name>{say(word)}</label>
                <input
                    id=name
                    name=name
                    autocomplete="off"
                    required=required
                    inputmode=if numeric { "decimal" } else { "text" }
                />
            </p>
        }
    };
    let seal = |value: &'static str, word: Word| {
        let id = format!("seal-{value}");
        view! {
            <p class="choice">
                <input type="radio" name="seen" id=id.clone() value=value required/>
                <label for=id>{say(word)}</label>
            </p>
        }
    };
    view! {
        <form method="post" action="/receiving" class="sheet">
            {token(clerk)}
            <p>{say(Word::ReceivingWhat)}</p>
            {field("pail", Word::ReceivingPail, true, false)}
            {field("gross", Word::ReceivingGross, true, true)}
            <fieldset>
                <legend>{say(Word::ReceivingSeal)}</legend>
                {seal("whole", Word::ReceivingSealWhole)}
                {seal("broken", Word::ReceivingSealBroken)}
                {seal("none", Word::ReceivingSealNone)}
            </fieldset>
            {field("seal", Word::ReceivingSealNumber, false, false)}
            {field("interval", Word::ReceivingInterval, true, true)}
            {field("known", Word::ReceivingKnown, false, true)}
            {field("shown", Word::ReceivingShown, false, true)}
            {field("tare", Word::ReceivingTare, false, true)}
            {field("paper", Word::ReceivingPaper, false, false)}
            <p class="field">
                <label for="again">{say(Word::ReceivingAgain)}</label>
                <input id="again" name="again" autocomplete="off"/>
            </p>
            <p class="choice">
                <input type="checkbox" name="no_paper" id="no_paper" value="yes"/>
                <label for="no_paper">{say(Word::ReceivingNoPaper)}</label>
            </p>
            <p><button class="main" type="submit">{say(Word::ReceivingDo)}</button></p>
        </form>
    }
    .into_any()
}

/// Receives a pail.
pub(super) async fn take(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Receiving, move |desk, clerk| {
            clerk.must(Right::Receive)?;
            let receiving = read(&asked(&fields, clerk))?;
            let judged = receive(&mut desk.store, &receiving, desk::now())?;
            Ok(Answer::See(format!("/receiving/{}", judged.row.id)))
        })
        .await
}

/// The form as it would be asked for on the command line, by whoever is signed in.
fn asked(fields: &Fields, clerk: &Clerk) -> cli::Receive {
    let given = |name| fields.given(name).map(str::to_owned);
    let seal = fields.get("seal").to_owned();
    cli::Receive {
        pail: fields.get("pail").to_owned(),
        gross: fields.get("gross").to_owned(),
        tare: given("tare"),
        seal: (fields.get("seen") == "whole").then(|| seal.clone()),
        broken: (fields.get("seen") == "broken").then_some(seal),
        no_seal: fields.get("seen") == "none",
        interval: fields.get("interval").to_owned(),
        known: given("known"),
        shown: given("shown"),
        paper: given("paper"),
        no_paper: fields.given("no_paper").is_some(),
        again: given("again"),
        by: clerk.account.name.to_string(),
        json: false,
    }
}

/// One weighing, and what it means.
pub(super) async fn one(State(pages): State<Pages>, clerk: Clerk, Path(id): Path<i64>) -> Response {
    pages
        .show(clerk, Place::Receiving, move |desk, clerk| {
            let language = clerk.language();
            let row = desk.store.receiving(id)?.ok_or(Trouble::Nowhere)?;
            let judged = judge(&desk.store, row)?;
            let pail = judged.row.pail.to_string();
            let class = if judged.result.findings.is_empty() {
                "notice good"
            } else {
                "notice"
            };
            let body = view! {
                <div class=class>{facts(language, &judged)}</div>
                <p><a class="button" href="/receiving">{text(language, Word::ReceivingNext)}</a></p>
            };
            Ok(Answer::Sheet(Sheet {
                title: phrase(language, Phrase::ReceivingOf { pail: &pail }),
                body: body.into_any(),
            }))
        })
        .await
}

fn facts(language: Language, judged: &Judged) -> AnyView {
    let say = |word| text(language, word);
    let item = |word, value: String| view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> };
    let row = &judged.row;
    let paper = judged.pail.as_ref().map_or_else(
        || say(Word::ReceivingNone).to_owned(),
        |pail| format!("{}, {}, {}", pail.paper, pail.day, pail.member),
    );
    let findings: Vec<_> = judged
        .result
        .findings
        .iter()
        .map(|finding| {
            view! {
                <li>
                    {weight(language, finding.weight())}
                    " "
                    {say(names::at_the_store(finding))}
                </li>
            }
        })
        .collect();
    view! {
        <dl class="facts">
            {item(Word::ReceivingOnPaper, paper)}
            {item(Word::ReceivingGross, kilograms(row.found.gross.get()))}
            {item(Word::ReceivingDifference, difference(judged))}
            {item(Word::ReceivingBy, format!("{}, {}", row.found.by, row.day))}
        </dl>
        {if findings.is_empty() {
            view! { <p>{say(Word::ReceivingAgrees)}</p> }.into_any()
        } else {
            view! {
                <ul class="lines">{findings}</ul>
                <p>{say(Word::ReceivingNoDeduction)}</p>
            }
                .into_any()
        }}
    }
    .into_any()
}

/// The difference in kilograms, and what scales and shrink explain.
fn difference(judged: &Judged) -> String {
    let Some(difference) = judged.result.difference_g else {
        return "–".to_owned();
    };
    let sign = if difference > 0 { "+" } else { "" };
    let shown = format!("{sign}{}", kilograms(difference));
    match judged.result.tolerance {
        None => shown,
        Some(tolerance) => format!(
            "{shown} (−{} … +{})",
            decimal(tolerance.lost.milligrams(), 6, 2),
            decimal(tolerance.gained.milligrams(), 6, 2)
        ),
    }
}

fn on_the_way(language: Language, found: &Pails, part: Part) -> AnyView {
    let say = |word| text(language, word);
    let rows: Vec<_> = found
        .on_the_way
        .iter()
        .map(|pail| {
            let href = format!("/entries/{}/{}", pail.at.handset, pail.at.seq);
            view! {
                <tr>
                    <th scope="row">{pail.number.to_string()}</th>
                    <td><a href=href>{pail.paper.to_string()}</a></td>
                    <td>{day(pail.day)}</td>
                    <td>{pail.member.to_string()}</td>
                </tr>
            }
        })
        .collect();
    if rows.is_empty() {
        return view! { <p class="quiet">{say(Word::ReceivingNothingOnTheWay)}</p> }.into_any();
    }
    let ways = part.ways(language, |after| {
        address("/receiving", &[("after", &after.to_string())]) + "#way"
    });
    let shown = table(
        Named::By("way"),
        [
            Column::text(say(Word::ReceivingPail)),
            Column::text(say(Word::WhatNumber)),
            Column::text(say(Word::ColumnDay)),
            Column::text(say(Word::WhatMember)),
        ],
        rows.into_any(),
    );
    view! {
        <section>
            <h2 id="way">{say(Word::ReceivingOnTheWay)}</h2>
            {part.shown(language)}
            {shown}
            {ways}
        </section>
    }
    .into_any()
}

fn came(language: Language, title: Word, id: &'static str, all: &[Judged]) -> AnyView {
    let say = |word| text(language, word);
    if all.is_empty() {
        return ().into_any();
    }
    let rows: Vec<_> = all
        .iter()
        .map(|judged| {
            let paper = judged
                .pail
                .as_ref()
                .map_or_else(String::new, |pail| pail.paper.to_string());
            let worst = judged
                .result
                .findings
                .iter()
                .map(|finding| (finding.weight(), names::at_the_store(finding)))
                .max_by_key(|(weight, _)| *weight);
            view! {
                <tr>
                    <th scope="row">
                        <a href=format!("/receiving/{}", judged.row.id)>
                            {judged.row.pail.to_string()}
                        </a>
                    </th>
                    <td>{paper}</td>
                    <td class="number">{kilograms(judged.row.found.gross.get())}</td>
                    <td class="number">{difference(judged)}</td>
                    <td>
                        {worst
                            .map(|(heavy, word)| {
                                view! {
                                    {weight(language, heavy)}
                                    " "
                                    {say(word)}
                                }
                            })}
                    </td>
                </tr>
            }
        })
        .collect();
    let shown = table(
        Named::By(id),
        [
            Column::text(say(Word::ReceivingPail)),
            Column::text(say(Word::WhatNumber)),
            Column::number(say(Word::ReceivingGross)),
            Column::number(say(Word::ReceivingDifference)),
            Column::text(say(Word::ColumnToLookAt)),
        ],
        rows.into_any(),
    );
    view! {
        <section>
            <h2 id=id>{say(title)}</h2>
            {shown}
        </section>
    }
    .into_any()
}
