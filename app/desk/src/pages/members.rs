//! Members and their accounts: what each delivered, what it was worth, what was paid and is owed.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, Query, day_if_any};
use super::parts::{Column, Named, Part, address, member_path, money, table};
use super::visit::Clerk;
use super::{Pages, Place, look_up, names};
use crate::desk;
use crate::statement::command::nearest;
use crate::statement::{MemberStatement, StatementError, statement};
use crate::store::{Office, Payments};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::clerk::{AccountLine, Sums};
use combgate_core::units::{Code, Currency};
use combgate_ui::figures::kilograms;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// Days that a statement is asked for; an empty field is no limit.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    from: String,
    #[serde(default)]
    to: String,
}

/// Which members.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Wanted {
    #[serde(default)]
    search: String,
    #[serde(default)]
    after: String,
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(wanted): Query<Wanted>,
) -> Response {
    pages
        .show(clerk, Place::Members, move |desk, clerk| {
            let language = clerk.language();
            let say = |word| text(language, word);
            let currency = crate::currency::of_ledger(&desk.store)?;
            let members = desk.store.members_like(&wanted.search, |found| {
                Part::asked(&wanted.after, found).range()
            })?;
            let mut rows = Vec::new();
            for member in &members.part {
                let number = member.number.to_string();
                let left = desk.store.owed_to(&member.number)?;
                let village = member.village.as_ref().map(ToString::to_string);
                rows.push(view! {
                    <tr>
                        <th scope="row">
                            <a href=member_path(&member.number)>{number.clone()}</a>
                        </th>
                        <td>{member.name.to_string()} <span class="under">{village}</span></td>
                        <td class="number">{money(left, currency)}</td>
                    </tr>
                });
            }
            let shown = table(
                Named::By("members-count"),
                [
                    Column::text(say(Word::WhatMember)),
                    Column::text(say(Word::HandsetName)),
                    Column::number(say(Word::PaymentsOwed)),
                ],
                rows.into_any(),
            );
            let (found, all) = (members.found.to_string(), members.all.to_string());
            let count = phrase(
                language,
                Phrase::RegisterCount {
                    found: &found,
                    count: &all,
                },
            );
            let part = Part::asked(&wanted.after, members.found);
            let ways = part.ways(language, |after| {
                let after = after.to_string();
                let asked = [("search", wanted.search.as_str()), ("after", &after)];
                address("/members", &asked) + "#members-count"
            });
            let body = view! {
                <form method="get" action="/members" class="choose">
                    <p class="field">
                        <label for="search">{say(Word::RegisterSearch)}</label>
                        <input id="search" name="search" type="search" value=wanted.search.clone()/>
                    </p>
                    <p><button type="submit">{say(Word::FindingsShow)}</button></p>
                </form>
                <p id="members-count">{count}</p>
                {shown}
                {ways}
            };
            Ok(Answer::Sheet(Sheet {
                title: say(Word::MembersTitle).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

/// One member's account.
pub(super) async fn one(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(member): Path<String>,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Members, move |desk, clerk| {
            let language = clerk.language();
            let number = Code::new(&member).map_err(|_| Trouble::Nowhere)?;
            let today = desk::now().date_naive();
            let read = statement(
                &desk.store,
                &number,
                day_if_any(Word::AccountFrom, &asked.from)?,
                day_if_any(Word::AccountTo, &asked.to)?,
                today,
            );
            let read = match read {
                Err(StatementError::NoMember(_)) => return Err(Trouble::Nowhere),
                other => other?,
            };
            let title = number.to_string();
            let body = view! {
                {about(language, &read)}
                {days_form(language, &read)}
                {lines(language, &read)}
                {grades(language, &read)}
                <p>
                    <a href=format!("{}/card", member_path(&number))>
                        {text(language, Word::CardLink)}
                    </a>
                </p>
            };
            Ok(Answer::Sheet(Sheet {
                title: phrase(language, Phrase::AccountOf { member: &title }),
                body: body.into_any(),
            }))
        })
        .await
}

fn about(language: Language, read: &MemberStatement) -> AnyView {
    let item =
        |word, value: String| view! { <div><dt>{text(language, word)}</dt><dd>{value}</dd></div> };
    let name = read.member.as_ref().map_or_else(
        || text(language, Word::AccountNoName).to_owned(),
        |member| match &member.village {
            Some(village) => format!("{}, {village}", member.name),
            None => member.name.to_string(),
        },
    );
    let total = &read.statement.total;
    view! {
        <dl class="facts">
            {item(Word::HandsetName, name)}
            {item(Word::ColumnNetKg, kilograms(total.net_g))}
            {item(Word::AccountOwedBefore, money(read.statement.owed_before_minor, read.currency))}
            {item(Word::AccountOwedAfter, money(read.statement.owed_after_minor, read.currency))}
        </dl>
    }
    .into_any()
}

fn days_form(language: Language, read: &MemberStatement) -> AnyView {
    let say = |word| text(language, word);
    view! {
        <form method="get" action=member_path(&read.number) class="choose">
            <p class="field short">
                <label for="from">{say(Word::AccountFrom)}</label>
                <input id="from" name="from" type="date" value=read.from.to_string()/>
            </p>
            <p class="field short">
                <label for="to">{say(Word::AccountTo)}</label>
                <input id="to" name="to" type="date" value=read.to.to_string()/>
            </p>
            <p><button type="submit">{say(Word::FindingsShow)}</button></p>
        </form>
    }
    .into_any()
}

fn headings(language: Language, currency: Option<Currency>) -> [Column; 5] {
    let say = |word| text(language, word);
    let currency = currency.map_or("", Currency::code);
    [
        Column::number(say(Word::ColumnNetKg)),
        Column::number(say(Word::AccountValue)),
        Column::number(say(Word::AccountTakenOff)),
        Column::number(phrase(language, Phrase::ColumnPayable { currency })),
        Column::number(phrase(language, Phrase::ColumnPaid { currency })),
    ]
}

fn cells(sums: &Sums, currency: Option<Currency>) -> AnyView {
    let shown = |minor| crate::currency::sum(minor, currency);
    let off = nearest(sums.levies).saturating_add(nearest(sums.advances));
    view! {
        <td class="number">{kilograms(sums.net_g)}</td>
        <td class="number">{shown(nearest(sums.value))}</td>
        <td class="number">{shown(off)}</td>
        <td class="number">{shown(sums.payable_minor)}</td>
        <td class="number">{shown(sums.paid_minor)}</td>
    }
    .into_any()
}

fn lines(language: Language, read: &MemberStatement) -> AnyView {
    let say = |word| text(language, word);
    let row = |line: &AccountLine| {
        let late = line.late_from.map(|own| own.to_string());
        let late = late.map(|own| phrase(language, Phrase::AccountLate { day: &own }));
        view! {
            <tr>
                <th scope="row">{line.day.to_string()} <span class="under">{late}</span></th>
                <td>{say(names::account_line(line.kind))}</td>
                <td class="day">
                    <a href=look_up::address(&line.receipt)>{line.receipt.to_string()}</a>
                </td>
                <td>{line.grade.as_ref().map(ToString::to_string)}</td>
                {cells(&line.sums, read.currency)}
            </tr>
        }
    };
    let columns = [
        Word::ColumnDay,
        Word::EvidenceWhat,
        Word::WhatNumber,
        Word::ColumnGrade,
    ];
    let columns = columns.map(|word| Column::text(say(word)));
    let columns = columns.into_iter().chain(headings(language, read.currency));
    let rows: Vec<_> = read.statement.lines.iter().map(row).collect();
    let rows = view! {
        {rows}
        <tr class="sum">
            <th scope="row" colspan="4">
                {say(Word::DayTotal)}
            </th>
            {cells(&read.statement.total, read.currency)}
        </tr>
    }
    .into_any();
    let shown = table(Named::By("lines"), columns, rows);
    view! {
        <section>
            <h2 id="lines">{say(Word::AccountLines)}</h2>
            {shown}
        </section>
    }
    .into_any()
}

fn grades(language: Language, read: &MemberStatement) -> AnyView {
    if read.statement.grades.is_empty() {
        return ().into_any();
    }
    let rows: Vec<_> = read
        .statement
        .grades
        .iter()
        .map(|(grade, sums)| {
            view! {
                <tr>
                    <th scope="row">{grade.to_string()}</th>
                    {cells(sums, read.currency)}
                </tr>
            }
        })
        .collect();
    let columns = std::iter::once(Column::text(text(language, Word::ColumnGrade)));
    let columns = columns.chain(headings(language, read.currency));
    let shown = table(Named::By("grades"), columns, rows.into_any());
    view! {
        <section>
            <h2 id="grades">{text(language, Word::DayByGrade)}</h2>
            {shown}
        </section>
    }
    .into_any()
}
