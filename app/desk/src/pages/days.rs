//! The day book: what was bought, paid and owed on a day, officer by officer and paper by paper.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, Query, day};
use super::day_rows::{Asked, Parts, papers, to_look_at};
use super::parts::{Column, Named, table};
use super::visit::Clerk;
use super::{Pages, Place, look_up};
use crate::currency::sum as amount;
use crate::daybook::{Day, read};
use crate::findings::{Side, Value, What, evidence};
use crate::store::{Handset, Journals, Papers, SqliteStore, StoreError};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use chrono::NaiveDate;
use combgate_core::record::{DayTotalV1, EntryBody, ParsedEntry};
use combgate_core::units::{Code, Currency};
use combgate_ui::figures::kilograms;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// Which day.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Wanted {
    #[serde(default)]
    day: String,
}

/// The day that is asked for, or else the latest of the books.
pub(super) async fn latest(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(wanted): Query<Wanted>,
) -> Response {
    pages
        .show(clerk, Place::Days, move |desk, clerk| {
            let language = clerk.language();
            if !wanted.day.is_empty() {
                let day = day(Word::ColumnDay, &wanted.day)?;
                return Ok(Answer::See(format!("/days/{day}")));
            }
            match desk.store.latest_days(1)?.first() {
                Some(day) => Ok(Answer::See(format!("/days/{day}"))),
                None => Ok(Answer::Sheet(Sheet {
                    title: text(language, Word::DayTitle).to_owned(),
                    body: view! { <p class="notice">{text(language, Word::DayNone)}</p> }
                        .into_any(),
                })),
            }
        })
        .await
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(day): Path<String>,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Days, move |desk, clerk| {
            let on: NaiveDate = day.parse().map_err(|_| Trouble::Nowhere)?;
            let language = clerk.language();
            let day = read(&desk.store, on)?;
            let parts = Parts::asked(&asked, &day);
            let shown = desk.store.papers_part(on, parts.papers())?;
            let officers = officers(&desk.store, &day)?;
            let name = on.to_string();
            let body = view! {
                {look_up::by_number(language, "")}
                {look_up::by_day(language, &name)}
                {around(language, &desk.store, on)?}
                {totals(language, &day)}
                {counted(language, &officers, day.currency)}
                {grades(language, &day)}
                {papers(language, &day, &shown, &parts)}
                {to_look_at(language, &day, &parts)}
            };
            Ok(Answer::Sheet(Sheet {
                title: phrase(language, Phrase::DayOf { day: &name }),
                body: body.into_any(),
            }))
        })
        .await
}

/// The days before and after, and any day by its date.
fn around(language: Language, store: &SqliteStore, on: NaiveDate) -> Result<AnyView, StoreError> {
    let say = |word| text(language, word);
    let (earlier, later) = store.days_around(on)?;
    let link = |day: Option<NaiveDate>, word| {
        day.map(|day| {
            view! {
                <li>
                    <a href=format!("/days/{day}")>{say(word)} " " {day.to_string()}</a>
                </li>
            }
        })
    };
    Ok(view! {
        <nav class="around" aria-label=say(Word::DayOther)>
            <ul>
                {link(earlier, Word::DayEarlier)}
                {link(later, Word::DayLater)}
            </ul>
        </nav>
    }
    .into_any())
}

fn totals(language: Language, day: &Day) -> AnyView {
    let say = |word| text(language, word);
    let unit = day.currency;
    if day.sums.rows.is_empty() {
        return view! { <p class="notice">{say(Word::DayEmpty)}</p> }.into_any();
    }
    let row = |name: AnyView, total: &DayTotalV1, class: &'static str| {
        view! {
            <tr class=class>
                <th scope="row">{name}</th>
                <td class="number">{total.receipts}</td>
                <td class="number">{total.slips}</td>
                <td class="number">{total.cancellations}</td>
                <td class="number">{total.pails}</td>
                <td class="number">{kilograms(total.net_g)}</td>
                <td class="number">{amount(total.payable_minor, unit)}</td>
                <td class="number">{amount(total.paid_minor, unit)}</td>
                <td class="number">{amount(total.owed_minor(), unit)}</td>
            </tr>
        }
    };
    let rows: Vec<_> = day
        .sums
        .rows
        .iter()
        .map(|each| {
            let code = each.handset.to_string();
            let name = view! { <a href=format!("/handsets/{code}")>{code.clone()}</a> };
            row(name.into_any(), &each.total, "")
        })
        .collect();
    let sum = row(say(Word::DayTotal).into_any(), &day.sums.total, "sum");
    let code = unit.map_or("", Currency::code);
    let shown = table(
        Named::By("totals"),
        [
            Column::text(say(Word::ColumnHandset)),
            Column::number(say(Word::ColumnReceipts)),
            Column::number(say(Word::ColumnSlips)),
            Column::number(say(Word::ColumnCancelled)),
            Column::number(say(Word::ColumnPails)),
            Column::number(say(Word::ColumnNetKg)),
            Column::number(phrase(language, Phrase::ColumnPayable { currency: code })),
            Column::number(phrase(language, Phrase::ColumnPaid { currency: code })),
            Column::number(phrase(language, Phrase::ColumnOwed { currency: code })),
        ],
        view! { {rows}{sum} }.into_any(),
    );
    view! {
        <section>
            <h2 id="totals">{say(Word::DayByHandset)}</h2>
            {shown}
            <p class="quiet">{say(Word::DayCancellations)}</p>
        </section>
    }
    .into_any()
}

/// An officer's day: who, and what was counted at its end.
struct Officer {
    handset: Code,
    name: String,
    opened: Vec<Side>,
    counted: Option<Vec<Side>>,
}

fn officers(store: &SqliteStore, day: &Day) -> Result<Vec<Officer>, StoreError> {
    let ends = store.ends_on(day.on)?;
    let mut all = Vec::new();
    for (code, entry) in &ends {
        let EntryBody::DayOpened(opened) = entry.body() else {
            continue;
        };
        let Some(handset) = store.handset(code)? else {
            continue;
        };
        let closing = ends
            .iter()
            .filter(|(of, end)| of == code && end.seq() > entry.seq())
            .find(|(_, end)| matches!(end.body(), EntryBody::DayClosed(_)));
        let counted = closing.map(|(_, end)| beside(store, &handset, end, day));
        all.push(Officer {
            handset: code.clone(),
            name: opened.officer.to_string(),
            opened: beside(store, &handset, entry, day)?,
            counted: counted.transpose()?,
        });
    }
    Ok(all)
}

/// What was counted, beside what should be there. That is reckoned from the whole day only where the
/// review found something: everywhere else it is what was counted.
fn beside(
    store: &SqliteStore,
    handset: &Handset,
    end: &ParsedEntry,
    day: &Day,
) -> Result<Vec<Side>, StoreError> {
    let mut findings = day.findings.iter();
    if findings.any(|(of, finding)| *of == handset.code && finding.seq == end.seq()) {
        return evidence(store, handset, end.seq(), "");
    }
    let same = |what, value: Value| Side {
        what,
        wrote: value.clone(),
        desk: value,
    };
    Ok(match end.body() {
        EntryBody::DayOpened(opened) => vec![same(What::Cash, Value::Minor(opened.float_minor))],
        EntryBody::DayClosed(closed) => vec![
            same(What::Cash, Value::Minor(closed.cash_minor)),
            same(What::FullPails, Value::Count(closed.full_pails.into())),
            same(What::EmptyPails, Value::Count(closed.empty_pails.into())),
        ],
        _ => Vec::new(),
    })
}

fn counted(language: Language, officers: &[Officer], unit: Option<Currency>) -> AnyView {
    let say = |word| text(language, word);
    if officers.is_empty() {
        return ().into_any();
    }
    let rows: Vec<_> = officers
        .iter()
        .map(|each| {
            let cell =
                |what, money: bool| cell(language, each.counted.as_deref(), what, money, unit);
            let float = self::cell(language, Some(&each.opened), What::Cash, true, unit);
            view! {
                <tr>
                    <th scope="row">
                        {each.handset.to_string()} <span class="under">{each.name.clone()}</span>
                    </th>
                    {float}
                    {cell(What::Cash, true)}
                    {cell(What::FullPails, false)}
                    {cell(What::EmptyPails, false)}
                </tr>
            }
        })
        .collect();
    let code = unit.map_or("", Currency::code);
    let shown = table(
        Named::By("counted"),
        [
            Column::text(say(Word::ColumnOfficer)),
            Column::number(phrase(language, Phrase::ColumnFloat { currency: code })),
            Column::number(phrase(language, Phrase::ColumnCash { currency: code })),
            Column::number(say(Word::WhatFullPails)),
            Column::number(say(Word::WhatEmptyPails)),
        ],
        rows.into_any(),
    );
    view! {
        <section>
            <h2 id="counted">{say(Word::DayCounted)}</h2>
            {shown}
        </section>
    }
    .into_any()
}

/// What was counted, and what should be there where that is something else.
fn cell(
    language: Language,
    counted: Option<&[Side]>,
    what: What,
    is_money: bool,
    unit: Option<Currency>,
) -> AnyView {
    let shown = |value: &Value| match value {
        Value::Minor(minor) if is_money => amount(*minor, unit),
        Value::Count(count) => count.to_string(),
        _ => String::new(),
    };
    let Some(sides) = counted else {
        return view! { <td class="number">{text(language, Word::DayNotClosed)}</td> }.into_any();
    };
    let Some(side) = sides.iter().find(|side| side.what == what) else {
        return view! { <td class="number">"–"</td> }.into_any();
    };
    let wrote = shown(&side.wrote);
    if !side.differs() {
        return view! { <td class="number">{wrote}</td> }.into_any();
    }
    let expected = shown(&side.desk);
    view! {
        <td class="number differs">
            <strong>{wrote}</strong>
            <span class="under">{phrase(language, Phrase::DayExpected { value: &expected })}</span>
        </td>
    }
    .into_any()
}

fn grades(language: Language, day: &Day) -> AnyView {
    let say = |word| text(language, word);
    if day.sums.grades.is_empty() {
        return ().into_any();
    }
    let code = day.currency.map_or("", Currency::code);
    let rows: Vec<_> = day
        .sums
        .grades
        .iter()
        .map(|(grade, total)| {
            view! {
                <tr>
                    <th scope="row">{grade.to_string()}</th>
                    <td class="number">{total.receipts}</td>
                    <td class="number">{kilograms(total.net_g)}</td>
                    <td class="number">{amount(total.payable_minor, day.currency)}</td>
                </tr>
            }
        })
        .collect();
    let shown = table(
        Named::By("grades"),
        [
            Column::text(say(Word::ColumnGrade)),
            Column::number(say(Word::ColumnReceipts)),
            Column::number(say(Word::ColumnNetKg)),
            Column::number(phrase(language, Phrase::ColumnPayable { currency: code })),
        ],
        rows.into_any(),
    );
    view! {
        <section>
            <h2 id="grades">{say(Word::DayByGrade)}</h2>
            {shown}
        </section>
    }
    .into_any()
}
