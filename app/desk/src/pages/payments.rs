//! Payments: what is owed by each means, and the lists there are.

use super::answer::{Answer, Sheet};
use super::asked::{Query, Wants, bad};
use super::form::Filled;
use super::parts::{Column, Named, Part, address, member_path, money, table, token};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::currency::of_ledger;
use crate::desk::OpenDesk;
use crate::payments::{DueReceipt, ListView, PayError, Proposal, due_receipts, propose};
use crate::store::{PaymentRow, Payments};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::clerk::Due;
use combgate_core::record::Means;
use combgate_core::units::Currency;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// Lists that are shown.
const LISTS: usize = 50;

/// How many receipts are passed over, by each means.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    cash: String,
    #[serde(default)]
    mobile: String,
}

impl Asked {
    fn by(&self, means: Means) -> &str {
        match means {
            Means::Cash => &self.cash,
            Means::MobileMoney => &self.mobile,
        }
    }

    /// The address of another part of what is owed by one means; the other stays as it is.
    fn address(&self, means: Means, after: usize) -> String {
        let after = after.to_string();
        let (cash, mobile) = match means {
            Means::Cash => (after.as_str(), self.mobile.as_str()),
            Means::MobileMoney => (self.cash.as_str(), after.as_str()),
        };
        address("/payments", &[("cash", cash), ("mobile", mobile)]) + "#" + id_of(means)
    }
}

/// What a means is called in addresses and forms.
const fn id_of(means: Means) -> &'static str {
    match means {
        Means::Cash => "cash",
        Means::MobileMoney => "mobile",
    }
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Payments, move |desk, clerk| {
            let language = clerk.language();
            let currency = of_ledger(&desk.store)?;
            let due = due_receipts(&desk.store)?;
            let back = desk.store.payments_too_many()?;
            let body = view! {
                {[Means::MobileMoney, Means::Cash]
                    .map(|means| owed(clerk, &asked, means, &due, currency))}
                {due.is_empty().then(|| {
                    view! { <p class="notice">{text(language, Word::PaymentsNothingOwed)}</p> }
                })}
                {get_back(language, &back, currency)}
                {lists(language, desk, currency)?}
            };
            Ok(Answer::Sheet(Sheet {
                title: text(language, Word::PaymentsTitle).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

/// What is owed by one means, and the way to put it on a list.
fn owed(
    clerk: &Clerk,
    asked: &Asked,
    means: Means,
    due: &[DueReceipt],
    currency: Option<Currency>,
) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let of_means: Vec<&DueReceipt> = due.iter().filter(|each| each.means == means).collect();
    if of_means.is_empty() {
        return ().into_any();
    }
    let to_pay = of_means.iter().fold(0, |sum: i64, each| match each.due {
        Due::Pay(minor) => sum.saturating_add(minor),
        _ => sum,
    });
    let part = Part::asked(asked.by(means), of_means.len());
    let rows: Vec<_> = part
        .of(&of_means)
        .iter()
        .map(|each| {
            let (minor, state) = match each.due {
                Due::Pay(minor) => (minor, Word::PaymentsToPay),
                Due::Questioned(minor) => (minor, Word::PaymentsQuestioned),
                Due::Listed(minor) => (minor, Word::PaymentsListed),
                Due::Nothing => (0, Word::PaymentsToPay),
                Due::GetBack(minor) => (minor, Word::PaymentsGetBack),
            };
            let paper = &each.paper;
            let entry = format!("/entries/{}/{}", paper.handset, paper.seq);
            let path = member_path(&paper.member);
            let member = paper.member.to_string();
            let name = each.member.as_ref().map(|member| member.name.to_string());
            view! {
                <tr>
                    <th scope="row"><a href=entry>{paper.number.to_string()}</a></th>
                    <td>
                        <a href=path>{member}</a>
                        <span class="under">{name}</span>
                    </td>
                    <td class="number">{money(minor, currency)}</td>
                    <td class="day">{paper.day.to_string()}</td>
                    <td>
                        {say(state)}
                        {each.list.map(|list| {
                            view! {
                                " "
                                <a href=format!("/payments/{list}")>{list}</a>
                            }
                        })}
                    </td>
                </tr>
            }
        })
        .collect();
    let id = id_of(means);
    let ways = part.ways(language, |after| asked.address(means, after));
    let sum = money(to_pay, currency);
    let form = (to_pay > 0 && clerk.may(Right::Pay)).then(|| {
        view! {
            <form method="post" action="/payments" class="sheet">
                {token(clerk)}
                <input type="hidden" name="means" value=id/>
                <p>{phrase(language, Phrase::PaymentsProposeWhat { sum: &sum })}</p>
                <p><button class="main" type="submit">{say(Word::PaymentsPropose)}</button></p>
            </form>
        }
    });
    let shown = table(
        Named::By(id),
        [
            Column::text(say(Word::WhatNumber)),
            Column::text(say(Word::WhatMember)),
            // Before the day, so that a small window shows it before the table is moved.
            Column::number(say(Word::PaymentsOwed)),
            Column::text(say(Word::ColumnDay)),
            Column::text(say(Word::ColumnState)),
        ],
        rows.into_any(),
    );
    view! {
        <section>
            <h2 id=id>{say(names::means(means))}</h2>
            {part.shown(language)}
            {shown}
            {ways}
            {form}
        </section>
    }
    .into_any()
}

fn get_back(language: Language, back: &[PaymentRow], currency: Option<Currency>) -> AnyView {
    if back.is_empty() {
        return ().into_any();
    }
    let rows: Vec<_> = back
        .iter()
        .map(|payment| {
            view! {
                <li>
                    <a href=format!("/payments/{}", payment.list)>{payment.receipt.to_string()}</a>
                    {format!(", {}, {}", payment.member, money(payment.minor, currency))}
                </li>
            }
        })
        .collect();
    view! {
        <div class="notice bad">
            <h2>{text(language, Word::PaymentsGetBack)}</h2>
            <p>{text(language, Word::PaymentsGetBackWhat)}</p>
            <ul class="lines">{rows}</ul>
        </div>
    }
    .into_any()
}

fn lists(
    language: Language,
    desk: &OpenDesk,
    currency: Option<Currency>,
) -> Result<AnyView, PayError> {
    let say = |word| text(language, word);
    let mut rows = Vec::new();
    for list in desk.store.payment_lists(LISTS)? {
        let (minor, open) = desk.store.list_stands(list.id)?;
        let state = match (&list.approved, open == 0) {
            (_, true) => Word::PaymentsListDone,
            (Some(_), false) => Word::PaymentsListApproved,
            (None, false) => Word::PaymentsListWaits,
        };
        rows.push(view! {
            <tr>
                <th scope="row"><a href=format!("/payments/{}", list.id)>{list.id}</a></th>
                <td>{say(names::means(list.means))}</td>
                <td>{list.proposed.by.to_string()}</td>
                <td class="number">{money(minor, currency)}</td>
                <td>{say(state)}</td>
            </tr>
        });
    }
    if rows.is_empty() {
        return Ok(().into_any());
    }
    let shown = table(
        Named::By("lists"),
        [
            Column::text(say(Word::PaymentsList)),
            Column::text(say(Word::PaymentsMeans)),
            Column::text(say(Word::PaymentsProposedBy)),
            Column::number(say(Word::PaymentsSum)),
            Column::text(say(Word::ColumnState)),
        ],
        rows.into_any(),
    );
    Ok(view! {
        <section>
            <h2 id="lists">{say(Word::PaymentsLists)}</h2>
            {shown}
        </section>
    }
    .into_any())
}

/// What of a list stands, minor units.
pub(super) fn standing(view: &ListView) -> i64 {
    let standing = view.payments.iter().filter(|each| each.reversed.is_none());
    standing.fold(0, |sum: i64, each| sum.saturating_add(each.minor))
}

/// Whether nothing is left to do with a list.
pub(super) fn done(view: &ListView) -> bool {
    let mut payments = view.payments.iter();
    payments.all(|each| each.settled.is_some() || each.reversed.is_some())
}

/// Puts what is to be paid by one means on a new list.
pub(super) async fn begin(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Payments, move |desk, clerk| {
            clerk.must(Right::Pay)?;
            let proposal = Proposal {
                means: match fields.get("means") {
                    "cash" => Means::Cash,
                    "mobile" => Means::MobileMoney,
                    other => return Err(bad(Word::PaymentsMeans, other, Wants::Choice)),
                },
                members: Vec::new(),
                receipts: Vec::new(),
                despite: None,
            };
            let view = propose(&mut desk.store, &proposal, &clerk.act()?)?;
            Ok(Answer::See(format!("/payments/{}", view.list.id)))
        })
        .await
}
