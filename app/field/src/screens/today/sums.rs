//! Sums of the day as the desk will have them, by grade and by means, and the cash in hand.

use crate::handset::Handset;
use crate::speech::say;
use chrono::NaiveDate;
use combgate_core::record::{DayTotalV1, EntryBody, ParsedEntry, Takings, totals_by_day};
use combgate_core::units::Currency;
use combgate_ui::words::Word;
use combgate_ui::{figures, sentences};
use combgate_view::{IntoNode, Node, untrack, view};

/// The sums; nothing for a day that was not opened.
pub(super) fn sums(handset: Handset, entries: &[ParsedEntry], day: NaiveDate) -> Node {
    let total = totals_by_day(entries.iter().map(ParsedEntry::body))
        .into_iter()
        .find(|total| total.day == day)
        .unwrap_or_else(|| DayTotalV1::empty(day));
    let Some(currency) = currency_of(entries, day) else {
        return ().into_node();
    };
    let takings = Takings::of(day, entries.iter().map(ParsedEntry::body));
    let money = |minor| sentences::money(minor, currency);
    let figure = |word: Word, name: &'static str, value: String| {
        view! { <div><dt>{say(word)}</dt><dd data-figure=name>{value}</dd></div> }
    };
    let cash = untrack(|| handset.standing().open)
        .map(|open| figure(Word::TodayCashLeft, "cash", money(open.cash_minor)));
    let owed = if takings.owed_minor == 0 {
        view! { <div><dt>{say(Word::TodayOwed)}</dt><dd data-figure="owed">{say(Word::TodayNoneOwed)}</dd></div> }
            .into_node()
    } else {
        figure(Word::TodayOwed, "owed", money(takings.owed_minor)).into_node()
    };
    view! {
        <h2>{say(Word::TodaySums)}</h2>
        <dl class="figures compact">
            {cash}
            {figure(Word::TodayNet, "net", figures::kilograms(total.net_g))}
            {figure(Word::TodayFullPails, "pails", total.pails.to_string())}
            {figure(Word::TodayBought, "bought", money(total.payable_minor))}
            {figure(Word::TodayPaidCash, "paid-cash", money(takings.cash_minor))}
            {figure(Word::TodayPaidMobile, "paid-mobile", money(takings.mobile_minor))}
            {owed}
        </dl>
        {grades(&takings, currency)}
    }
    .into_node()
}

fn grades(takings: &Takings, currency: Currency) -> Option<Node> {
    if takings.grades.is_empty() {
        return None;
    }
    let decimals = u8::try_from(currency.decimals()).unwrap_or(0);
    let rows = takings.grades.iter().map(|(grade, total)| {
        let value = figures::money(total.payable_minor, decimals);
        view! {
            <tr>
                <th scope="row">{grade.to_string()}</th>
                <td class="number">{total.receipts.to_string()}</td>
                <td class="number">{figures::kilograms(total.net_g)}</td>
                <td class="number">{value}</td>
            </tr>
        }
    });
    let table = view! {
        <h2>{say(Word::TodayByGrade)}</h2>
        <div class="wide" tabindex="0" role="group" aria-label=say(Word::TodayByGrade)>
            <table class="grades" data-figure="grades">
                <thead>
                    <tr>
                        <th scope="col">{say(Word::BriefGrade)}</th>
                        <th scope="col" class="number">{say(Word::TodayReceipts)}</th>
                        <th scope="col" class="number">{say(Word::PurchaseUnitKg)}</th>
                        <th scope="col" class="number">{currency.to_string()}</th>
                    </tr>
                </thead>
                <tbody>{rows.collect::<Vec<_>>()}</tbody>
            </table>
        </div>
    };
    Some(table.into_node())
}

/// The currency that the day was opened with.
fn currency_of(entries: &[ParsedEntry], day: NaiveDate) -> Option<Currency> {
    entries.iter().rev().find_map(|entry| match entry.body() {
        EntryBody::DayOpened(opened) if opened.day == day => Some(opened.currency),
        _ => None,
    })
}
