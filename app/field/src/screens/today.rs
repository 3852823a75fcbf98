//! The day so far.

use super::export::Export;
use super::inputs::Task;
use crate::handset::{Handset, handset, today};
use crate::route::Route;
use crate::speech::say;
use chrono::NaiveDate;
use combgate_core::record::{
    AssessmentV1, Brief, DayTotalV1, EntryBody, ParsedEntry, totals_by_day,
};
use combgate_core::units::{Code, Currency};
use combgate_ui::words::Word;
use combgate_ui::{figures, sentences};
use leptos::prelude::*;
use std::collections::BTreeMap;

/// The screen.
#[component]
pub fn Today() -> impl IntoView {
    let handset = handset();
    let entries = RwSignal::new(None::<Vec<ParsedEntry>>);
    let task = Task::idle();
    let day = untrack(|| handset.standing().open.map(|open| open.day)).or_else(|| today().ok());
    task.run(async move {
        let _ = entries.try_set(Some(handset.entries().await?));
        Ok(())
    });
    view! {
        <h1>{say(Word::TodayTitle)}</h1>
        {day.map(|day| view! { <p>{day.to_string()}</p> })}
        {task.problem()}
        {move || {
            entries.get().zip(day).map(|(entries, day)| view! {
                {sums(handset, &entries, day)}
                {list(handset, &entries, day)}
            })
        }}
        {move || handset.kid().map(|_| view! { <Export handset/> })}
    }
}

/// A receipt, slip or cancellation of the day.
struct Row {
    seq: u32,
    number: String,
    member: Option<Code>,
    decision: Word,
    net_g: Option<i64>,
    total: Option<String>,
    paper: bool,
}

fn list(handset: Handset, entries: &[ParsedEntry], day: NaiveDate) -> AnyView {
    let rows: Vec<_> = entries
        .iter()
        .rev()
        .filter_map(|entry| row(entry, day))
        .collect();
    if rows.is_empty() {
        return view! { <p>{say(Word::TodayNone)}</p> }.into_any();
    }
    let names = names(handset.brief().as_deref(), entries, &rows);
    let items = rows.into_iter().map(|row| {
        let name = row.member.as_ref().map(|member| {
            let name = names.get(member).map_or("", String::as_str);
            format!("{member} {name}").trim_end().to_owned()
        });
        shown(row, name)
    });
    view! {
        <h2>{say(Word::TodayPapers)}</h2>
        <ul class="rows">{items.collect_view()}</ul>
    }
    .into_any()
}

fn row(entry: &ParsedEntry, day: NaiveDate) -> Option<Row> {
    let seq = u32::try_from(entry.seq()).ok()?;
    match entry.body() {
        EntryBody::Receipt(receipt) if receipt.day == day => Some(delivery(
            seq,
            receipt.number.to_string(),
            &receipt.member,
            &receipt.assessment,
        )),
        EntryBody::Slip(slip) if slip.day == day => Some(delivery(
            seq,
            slip.number.to_string(),
            &slip.member,
            &slip.assessment,
        )),
        EntryBody::Cancellation(cancelled) if cancelled.day == day => Some(Row {
            seq,
            number: cancelled.number.to_string(),
            member: None,
            decision: Word::TodayCancelled,
            net_g: Some(-cancelled.net_g.get()),
            total: None,
            paper: false,
        }),
        _ => None,
    }
}

fn delivery(seq: u32, number: String, member: &Code, assessment: &AssessmentV1) -> Row {
    Row {
        seq,
        number,
        member: Some(member.clone()),
        decision: sentences::decision(assessment.decision),
        net_g: assessment.net_g.map(i64::from),
        total: assessment
            .payable_minor
            .zip(assessment.currency)
            .map(|(minor, currency)| sentences::money(minor, currency)),
        paper: true,
    }
}

/// The names of the members in these rows, from the brief or from this handset's own register.
fn names(brief: Option<&Brief>, entries: &[ParsedEntry], rows: &[Row]) -> BTreeMap<Code, String> {
    let wanted = |member: &Code| rows.iter().any(|row| row.member.as_ref() == Some(member));
    let registered = entries.iter().filter_map(|entry| match entry.body() {
        EntryBody::MemberRegistered(new) => Some((&new.member, &new.name)),
        _ => None,
    });
    let known = brief.map_or(&[][..], |brief| &brief.payload().members);
    let known = known.iter().map(|member| (&member.number, &member.name));
    registered
        .chain(known)
        .filter(|(member, _)| wanted(member))
        .map(|(member, name)| (member.clone(), name.to_string()))
        .collect()
}

fn shown(row: Row, name: Option<String>) -> AnyView {
    let content = view! {
        <span class="row-top">
            <span class="number-of-paper">{row.number}</span>
            <span>{say(row.decision)}</span>
        </span>
        <span>{name}</span>
        <span class="row-figures">
            <span>{move || row.net_g.map(|net| format!("{} {}", figures::kilograms(net), say(Word::PurchaseUnitKg)()))}</span>
            <span>{row.total}</span>
        </span>
    };
    if row.paper {
        let href = Route::Receipt(row.seq).href();
        view! { <li><a class="row" href=href>{content}</a></li> }.into_any()
    } else {
        view! { <li><div class="row">{content}</div></li> }.into_any()
    }
}

/// Sums of the day as the desk will have them, and the cash that should be in hand.
fn sums(handset: Handset, entries: &[ParsedEntry], day: NaiveDate) -> AnyView {
    let total = totals_by_day(entries.iter().map(ParsedEntry::body))
        .into_iter()
        .find(|total| total.day == day)
        .unwrap_or_else(|| DayTotalV1::empty(day));
    let Some(currency) = currency_of(entries, day) else {
        return ().into_any();
    };
    let cash = untrack(|| handset.standing().open).map(|open| {
        let amount = sentences::money(open.cash_minor, currency);
        view! {
            <div><dt>{say(Word::TodayCashLeft)}</dt><dd data-figure="cash">{amount}</dd></div>
        }
    });
    view! {
        <h2>{say(Word::TodaySums)}</h2>
        <dl class="figures">
            <div>
                <dt>{say(Word::TodayNet)}</dt>
                <dd data-figure="net">{figures::kilograms(total.net_g)}</dd>
            </div>
            <div>
                <dt>{say(Word::TodayBought)}</dt>
                <dd data-figure="bought">{sentences::money(total.payable_minor, currency)}</dd>
            </div>
            <div>
                <dt>{say(Word::TodayFullPails)}</dt>
                <dd data-figure="pails">{total.pails.to_string()}</dd>
            </div>
            {cash}
        </dl>
    }
    .into_any()
}

/// The currency that the day was opened with.
fn currency_of(entries: &[ParsedEntry], day: NaiveDate) -> Option<Currency> {
    entries.iter().rev().find_map(|entry| match entry.body() {
        EntryBody::DayOpened(opened) if opened.day == day => Some(opened.currency),
        _ => None,
    })
}
