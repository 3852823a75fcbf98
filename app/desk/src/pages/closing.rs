//! Closing days: what would be closed and what is still open with it; what is closed, held against
//! the books as they are now.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Query, day, day_if_any};
use super::form::Filled;
use super::parts::{Column, Named, table, token};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::closing::{Against, ClosingError, StillOpen, ahead, close, compared};
use crate::currency::{of_ledger, sum as amount};
use crate::desk::{self, OpenDesk};
use crate::store::{ClosedDay, DaySums};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use chrono::NaiveDate;
use combgate_core::clerk::CloseError;
use combgate_core::units::Currency;
use combgate_ui::figures::kilograms;
use combgate_ui::paper::when;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// Closed days that are compared on the page; the command compares all.
const COMPARED: usize = 62;
/// Pails named; the others are counted.
const NAMED: usize = 12;

/// Up to which day, and what was closed just now.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    day: String,
    #[serde(default)]
    closed: String,
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Closing, move |desk, clerk| {
            Ok(Answer::Sheet(sheet(desk, clerk, &asked)?))
        })
        .await
}

fn sheet(desk: &OpenDesk, clerk: &Clerk, asked: &Asked) -> Result<Sheet, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let today = desk::now().date_naive();
    let day = day_if_any(Word::ClosingUpTo, &asked.day)?
        .or_else(|| today.pred_opt())
        .unwrap_or(today);
    let done = day_if_any(Word::ClosingUpTo, &asked.closed)?;
    let done = done.map(|day| {
        let day = day.to_string();
        phrase(language, Phrase::ClosingDone { day: &day })
    });
    let next = match ahead(&desk.store, day, today) {
        Ok((days, open)) => proposed(clerk, day, &days, &open),
        Err(ClosingError::Close(error)) => refused(language, error),
        Err(error) => return Err(error.into()),
    };
    let body = view! {
        {done.map(|words| view! { <p class="notice good" role="status">{words}</p> })}
        <p>{say(Word::ClosingWhat)}</p>
        <form method="get" action="/closing" class="choose">
            <p class="field short">
                <label for="day">{say(Word::ClosingUpTo)}</label>
                <input
                    id="day"
                    name="day"
                    type="date"
                    value=day.to_string()
                    max=today.to_string()
                    required
                />
            </p>
            <p><button type="submit">{say(Word::ClosingLook)}</button></p>
        </form>
        {next}
        {closed_days(language, desk)?}
    };
    Ok(Sheet {
        title: say(Word::ClosingTitle).to_owned(),
        body: body.into_any(),
    })
}

fn refused(language: Language, error: CloseError) -> AnyView {
    let words = match error {
        CloseError::Already(last) => {
            let last = last.to_string();
            phrase(language, Phrase::ClosingAlready { day: &last })
        }
        CloseError::NotYet { .. } => text(language, Word::ClosingNotYet).to_owned(),
    };
    view! { <p class="notice">{words}</p> }.into_any()
}

/// What closing would close, and what is still open with it.
fn proposed(clerk: &Clerk, day: NaiveDate, days: &[NaiveDate], open: &StillOpen) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let (name, count) = (day.to_string(), days.len().to_string());
    let first = days.first().unwrap_or(&day).to_string();
    let told = phrase(
        language,
        Phrase::ClosingWould {
            first: &first,
            last: &name,
            count: &count,
        },
    );
    let form = if clerk.may(Right::Close) {
        view! {
            <form method="post" action="/closing" class="sheet">
                {token(clerk)}
                <input type="hidden" name="day" value=name.clone()/>
                <p>{say(Word::ClosingForEver)}</p>
                <p>
                    <button class="main" type="submit">
                        {phrase(language, Phrase::ClosingDo { day: &name })}
                    </button>
                </p>
            </form>
        }
        .into_any()
    } else {
        let who = names::roles_that_may(language, Right::Close);
        view! { <p class="quiet">{phrase(language, Phrase::ClosingWho { who: &who })}</p> }
            .into_any()
    };
    view! {
        <section>
            <h2>{told}</h2>
            {still_open(language, open)}
            {form}
        </section>
    }
    .into_any()
}

fn still_open(language: Language, open: &StillOpen) -> AnyView {
    if *open == StillOpen::default() {
        return view! { <p class="notice good">{text(language, Word::ClosingAllIn)}</p> }
            .into_any();
    }
    let mut lines = Vec::new();
    for (handset, day) in &open.officers {
        let (handset, day) = (handset.as_str(), day.to_string());
        lines.push(phrase(
            language,
            Phrase::ClosingOfficerOpen { handset, day: &day },
        ));
    }
    for handset in &open.missing {
        let handset = handset.as_str();
        lines.push(phrase(language, Phrase::ClosingMissing { handset }));
    }
    if !open.pails.is_empty() {
        let named = open.pails.iter().take(NAMED);
        let mut named: Vec<&str> = named.map(|pail| pail.number.as_str()).collect();
        if open.pails_count > u64::try_from(named.len()).unwrap_or(u64::MAX) {
            named.push("…");
        }
        lines.push(phrase(
            language,
            Phrase::ClosingPails {
                count: &open.pails_count.to_string(),
                pails: &named.join(", "),
            },
        ));
    }
    if open.serious > 0 {
        let count = open.serious.to_string();
        lines.push(phrase(language, Phrase::ClosingSerious { count: &count }));
    }
    let lines: Vec<_> = lines
        .into_iter()
        .map(|line| view! { <li>{line}</li> })
        .collect();
    view! {
        <div class="notice care">
            <h3>{text(language, Word::ClosingStillOpen)}</h3>
            <ul class="lines">{lines}</ul>
            <p>{text(language, Word::ClosingLater)}</p>
        </div>
    }
    .into_any()
}

fn closed_days(language: Language, desk: &OpenDesk) -> Result<AnyView, Trouble> {
    let say = |word| text(language, word);
    let currency = of_ledger(&desk.store)?;
    let days = compared(&desk.store, Against::Kept, COMPARED)?;
    if days.is_empty() {
        return Ok(view! { <p class="notice">{say(Word::ClosingNone)}</p> }.into_any());
    }
    let rows: Vec<_> = days
        .iter()
        .map(|(closed, now)| row(language, closed, now, currency))
        .collect();
    let code = currency.map_or("", Currency::code);
    let shown = table(
        Named::By("closed"),
        [
            Column::text(say(Word::ColumnDay)),
            Column::number(say(Word::ColumnReceipts)),
            Column::number(say(Word::ColumnSlips)),
            Column::number(say(Word::ColumnCancelled)),
            Column::number(say(Word::ColumnNetKg)),
            Column::number(phrase(language, Phrase::ColumnPayable { currency: code })),
            Column::number(say(Word::AccountPaidByOfficer)),
            Column::number(say(Word::AccountPaidByDesk)),
            Column::text(say(Word::ClosingBy)),
            Column::text(say(Word::EvidenceVerdict)),
        ],
        rows.into_any(),
    );
    let differs = days.iter().any(|(closed, now)| closed.sums != *now);
    Ok(view! {
        <section>
            <h2 id="closed">{say(Word::ClosingClosed)}</h2>
            <p>{say(Word::ClosingCompared)}</p>
            {differs.then(|| {
                view! { <p class="notice bad" role="alert">{say(Word::ClosingDiffers)}</p> }
            })}
            {shown}
        </section>
    }
    .into_any())
}

fn row(
    language: Language,
    closed: &ClosedDay,
    now: &DaySums,
    currency: Option<Currency>,
) -> AnyView {
    let sums = &closed.sums;
    let same = sums == now;
    let cell = |then: String, now: String| {
        let differs = then != now;
        view! {
            <td class=if differs { "number differs" } else { "number" }>
                {then}
                {differs.then(|| view! { <span class="under">{now}</span> })}
            </td>
        }
    };
    let count = |then: u64, now: u64| cell(then.to_string(), now.to_string());
    let sum = |then, now| cell(amount(then, currency), amount(now, currency));
    let verdict = if same {
        Word::EvidenceSame
    } else {
        Word::EvidenceDiffers
    };
    let day = closed.day.to_string();
    view! {
        <tr>
            <th scope="row"><a href=format!("/days/{day}")>{day.clone()}</a></th>
            {count(sums.receipts, now.receipts)}
            {count(sums.slips, now.slips)}
            {count(sums.cancellations, now.cancellations)}
            {cell(kilograms(sums.net_g), kilograms(now.net_g))}
            {sum(sums.payable_minor, now.payable_minor)}
            {sum(sums.paid_minor, now.paid_minor)}
            {sum(sums.desk_minor, now.desk_minor)}
            <td>
                {closed.closed.by.to_string()}
                <span class="under">{when(&closed.closed.at.to_rfc3339())}</span>
            </td>
            <td class=if same { "" } else { "differs" }>{text(language, verdict)}</td>
        </tr>
    }
    .into_any()
}

/// Closes a day and all before it.
pub(super) async fn fix(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Closing, move |desk, clerk| {
            clerk.must(Right::Close)?;
            let day = day(Word::ClosingUpTo, fields.get("day"))?;
            let act = clerk.act()?;
            close(&mut desk.store, day, &act, act.at.date_naive())?;
            Ok(Answer::See(format!("/closing?closed={day}")))
        })
        .await
}
