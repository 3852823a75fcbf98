//! The day so far.

use super::inputs::{Export, attempt, problem};
use crate::handset::{Handset, handset, today};
use crate::route::Route;
use crate::speech::say;
use chrono::NaiveDate;
use combgate_core::record::{AssessmentV1, DayTotalV1, EntryBody, ParsedEntry, totals_by_day};
use combgate_core::units::{Code, Currency};
use combgate_ui::words::Word;
use combgate_ui::{figures, sentences};
use leptos::prelude::*;

/// The screen.
#[component]
pub fn Today() -> impl IntoView {
    let handset = handset();
    let entries = RwSignal::new(None::<Vec<ParsedEntry>>);
    let said = RwSignal::new(None::<Word>);
    let day = untrack(|| handset.standing().open.map(|open| open.day)).or_else(|| today().ok());
    attempt(said, async move {
        entries.set(Some(handset.entries().await?));
        Ok(())
    });
    view! {
        <h1>{say(Word::TodayTitle)}</h1>
        {day.map(|day| view! { <p>{day.to_string()}</p> })}
        {problem(said)}
        {move || entries.get().zip(day).map(|(entries, day)| list(handset, &entries, day))}
        {move || handset.kid().map(|_| view! { <Export handset/> })}
    }
}

fn list(handset: Handset, entries: &[ParsedEntry], day: NaiveDate) -> AnyView {
    let rows: Vec<_> = entries.iter().filter_map(|entry| row(entry, day)).collect();
    if rows.is_empty() {
        return view! { <p>{say(Word::TodayNone)}</p> {sums(handset, entries, day)} }.into_any();
    }
    view! {
        <div class="wide">
            <table>
                <thead>
                    <tr>
                        <th scope="col">{say(Word::TodayNumber)}</th>
                        <th scope="col">{say(Word::PurchaseMember)}</th>
                        <th scope="col">{say(Word::PurchaseDecision)}</th>
                        <th scope="col" class="number">{say(Word::TodayNet)}</th>
                        <th scope="col" class="number">{say(Word::PriceTotal)}</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
        {sums(handset, entries, day)}
    }
    .into_any()
}

fn row(entry: &ParsedEntry, day: NaiveDate) -> Option<AnyView> {
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
        EntryBody::Cancellation(cancelled) if cancelled.day == day => {
            let number = cancelled.number.to_string();
            Some(
                view! {
                    <tr>
                        <td>{number}</td>
                        <td></td>
                        <td>{say(Word::TodayCancelled)}</td>
                        <td class="number">{figures::kilograms(-cancelled.net_g.get())}</td>
                        <td></td>
                    </tr>
                }
                .into_any(),
            )
        }
        _ => None,
    }
}

fn delivery(seq: u32, number: String, member: &Code, assessment: &AssessmentV1) -> AnyView {
    let href = Route::Receipt(seq).href();
    let member = member.as_str().to_owned();
    let net = assessment.net_g.map(|net| figures::kilograms(net.get()));
    let total = assessment
        .payable_minor
        .zip(assessment.currency)
        .map(|(minor, currency)| sentences::money(minor, currency));
    view! {
        <tr>
            <td><a href=href>{number}</a></td>
            <td>{member}</td>
            <td>{say(sentences::decision(assessment.decision))}</td>
            <td class="number">{net}</td>
            <td class="number">{total}</td>
        </tr>
    }
    .into_any()
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
