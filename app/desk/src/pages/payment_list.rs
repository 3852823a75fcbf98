//! One payment list, and what each of two people may do with it.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, Query, Wants, bad};
use super::form::{Fields, Filled};
use super::parts::{Column, Named, Part, address, member_path, money, reason, table, token};
use super::payments::{done, standing};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::closing::open_day;
use crate::currency::of_ledger;
use crate::desk::{self, OpenDesk};
use crate::payments::answer::payment_state;
use crate::payments::{ListView, PayError, approve, confirm, prepare, reverse, view as list_view};
use crate::store::Reversed;
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::clerk::same_person;
use combgate_core::record::{Means, ReceiptNumber};
use combgate_core::units::{Code, Currency, Label};
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// How many payments are passed over.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    after: String,
}

/// One list.
pub(super) async fn one(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(list): Path<i64>,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Payments, move |desk, clerk| {
            let language = clerk.language();
            let currency = of_ledger(&desk.store)?;
            let view = found(desk, list)?;
            let number = list.to_string();
            let body = view! {
                {told(language, &asked, &view, currency)}
                {forms(clerk, &view)}
            };
            Ok(Answer::Sheet(Sheet {
                title: phrase(language, Phrase::PaymentsListOf { list: &number }),
                body: body.into_any(),
            }))
        })
        .await
}

fn found(desk: &OpenDesk, list: i64) -> Result<ListView, Trouble> {
    match list_view(&desk.store, list) {
        Err(PayError::NoList(_)) => Err(Trouble::Nowhere),
        other => Ok(other?),
    }
}

fn told(language: Language, asked: &Asked, list: &ListView, currency: Option<Currency>) -> AnyView {
    let say = |word| text(language, word);
    let item = |word, value: String| view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> };
    let part = Part::asked(&asked.after, list.payments.len());
    let rows: Vec<_> = part
        .of(&list.payments)
        .iter()
        .map(|payment| {
            let state = match payment_state(payment) {
                "paid" => Word::PaymentsSettled,
                "reversed" => Word::PaymentsReversed,
                _ => Word::PaymentsOpen,
            };
            let path = member_path(&payment.member);
            let member = payment.member.to_string();
            let more = [
                payment
                    .settled
                    .as_ref()
                    .and_then(|settled| settled.reference.as_ref())
                    .map(ToString::to_string),
                payment.despite.as_ref().map(ToString::to_string),
                payment
                    .reversed
                    .as_ref()
                    .map(|reversed| format!("{}: {}", reversed.act.by, reversed.because)),
            ];
            let more: Vec<String> = more.into_iter().flatten().collect();
            view! {
                <tr class=if payment.reversed.is_some() { "cancelled" } else { "" }>
                    <th scope="row">{payment.receipt.to_string()}</th>
                    <td><a href=path>{member}</a></td>
                    <td class="number">{money(payment.minor, currency)}</td>
                    <td>{say(state)} <span class="under">{more.join("; ")}</span></td>
                </tr>
            }
        })
        .collect();
    let approved = list.list.approved.as_ref().map_or_else(
        || say(Word::PaymentsNotYet).to_owned(),
        |approved| approved.by.to_string(),
    );
    let ways = part.ways(language, |after| {
        let path = format!("/payments/{}", list.list.id);
        address(&path, &[("after", &after.to_string())]) + "#payments"
    });
    let shown = table(
        Named::As(say(Word::PaymentsTitle)),
        [
            Column::text(say(Word::WhatNumber)),
            Column::text(say(Word::WhatMember)),
            Column::number(say(Word::PaymentsSum)),
            Column::text(say(Word::ColumnState)),
        ],
        rows.into_any(),
    );
    view! {
        <dl class="facts">
            {item(Word::PaymentsMeans, say(names::means(list.list.means)).to_owned())}
            {item(Word::PaymentsSum, money(standing(list), currency))}
            {item(Word::PaymentsProposedBy, list.list.proposed.by.to_string())}
            {item(Word::PaymentsApprovedBy, approved)}
        </dl>
        <div id="payments">{part.shown(language)} {shown}</div>
        {ways}
    }
    .into_any()
}

/// What this clerk can do with the list now.
fn forms(clerk: &Clerk, list: &ListView) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let id = list.list.id;
    let action = |step: &str| format!("/payments/{id}/{step}");
    let own = clerk
        .name()
        .is_ok_and(|name| same_person(&name, &list.list.proposed.by));
    let approval = list.list.approved.is_none().then(|| {
        if clerk.may(Right::ApprovePayments) && !own {
            view! {
                <form method="post" action=action("approve") class="sheet">
                    {token(clerk)}
                    <p>{say(Word::PaymentsApproveWhat)}</p>
                    <p><button class="main" type="submit">{say(Word::PaymentsApprove)}</button></p>
                </form>
            }
            .into_any()
        } else {
            let who = names::roles_that_may(language, Right::ApprovePayments);
            view! {
                <p class="quiet">{phrase(language, Phrase::PaymentsWhoApproves { who: &who })}</p>
            }
            .into_any()
        }
    });
    let open = list.list.approved.is_some() && !done(list);
    let is_mobile = list.list.means == Means::MobileMoney;
    let paying = (open && clerk.may(Right::Pay)).then(|| {
        view! {
            {is_mobile.then(|| {
                view! {
                    <p>
                        <a class="button" download href=action("file")>
                            {say(Word::PaymentsFile)}
                        </a>
                    </p>
                    <p class="quiet">{say(Word::PaymentsFileHolds)}</p>
                }
            })}
            <form method="post" action=action("confirm") class="sheet">
                {token(clerk)}
                <p>{say(Word::PaymentsSettleWhat)}</p>
                {one_receipt(language, list, "confirm-receipt")}
                <p class="field short">
                    <label for="reference">{say(Word::PaymentsReference)}</label>
                    <input id="reference" name="reference" autocomplete="off" required=is_mobile/>
                </p>
                <p><button class="main" type="submit">{say(Word::PaymentsSettle)}</button></p>
            </form>
        }
    });
    let any_stands = list.payments.iter().any(|each| each.reversed.is_none());
    let reversal = (any_stands && clerk.may(Right::ReversePayments)).then(|| {
        view! {
            <form method="post" action=action("reverse") class="sheet">
                {token(clerk)}
                <p>{say(Word::PaymentsReverseWhat)}</p>
                {one_receipt(language, list, "reverse-receipt")}
                {reason(language, "reason", Word::PaymentsReason)}
                <p><button type="submit">{say(Word::PaymentsReverse)}</button></p>
            </form>
        }
    });
    view! {
        {approval}
        {paying}
        {reversal}
    }
    .into_any()
}

/// A choice of one receipt, or all.
fn one_receipt(language: Language, list: &ListView, id: &'static str) -> AnyView {
    let options: Vec<_> = list
        .payments
        .iter()
        .filter(|each| each.reversed.is_none())
        .map(|each| {
            let number = each.receipt.to_string();
            view! { <option value=number.clone()>{number.clone()}</option> }
        })
        .collect();
    view! {
        <p class="field short">
            <label for=id>{text(language, Word::WhatNumber)}</label>
            <select id=id name="receipt">
                <option value="">{text(language, Word::PaymentsAll)}</option>
                {options}
            </select>
        </p>
    }
    .into_any()
}

fn receipt(fields: &Fields) -> Result<Option<ReceiptNumber>, Trouble> {
    fields
        .given("receipt")
        .map(|number| ReceiptNumber::try_from(number.to_owned()))
        .transpose()
        .map_err(|_| bad(Word::WhatNumber, fields.get("receipt"), Wants::Choice))
}

/// Approves a list.
pub(super) async fn give_leave(
    State(pages): State<Pages>,
    Path(list): Path<i64>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, .. } = form_sent;
    pages
        .show(clerk, Place::Payments, move |desk, clerk| {
            clerk.must(Right::ApprovePayments)?;
            approve(&mut desk.store, list, &clerk.act()?)?;
            Ok(Answer::See(format!("/payments/{list}")))
        })
        .await
}

/// Says that money went out.
pub(super) async fn went_out(
    State(pages): State<Pages>,
    Path(list): Path<i64>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Payments, move |desk, clerk| {
            clerk.must(Right::Pay)?;
            let reference = fields
                .given("reference")
                .map(Code::new)
                .transpose()
                .map_err(|error| PayError::Text {
                    option: "reference",
                    error,
                })?;
            let act = clerk.act()?;
            let day = open_day(&desk.store, act.at.date_naive())?;
            let one = receipt(&fields)?;
            confirm(
                &mut desk.store,
                list,
                one.as_ref(),
                reference.as_ref(),
                day,
                &act,
            )?;
            Ok(Answer::See(format!("/payments/{list}")))
        })
        .await
}

/// Reverses payments.
pub(super) async fn take_back(
    State(pages): State<Pages>,
    Path(list): Path<i64>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Payments, move |desk, clerk| {
            clerk.must(Right::ReversePayments)?;
            let act = clerk.act()?;
            let reversed = Reversed {
                day: open_day(&desk.store, act.at.date_naive())?,
                because: Label::new(fields.get("reason")).map_err(|error| PayError::Text {
                    option: "reason",
                    error,
                })?,
                act,
            };
            let one = receipt(&fields)?;
            reverse(&mut desk.store, list, one.as_ref(), &reversed)?;
            Ok(Answer::See(format!("/payments/{list}")))
        })
        .await
}

/// The file for the provider of mobile money.
pub(super) async fn file(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(list): Path<i64>,
) -> Response {
    pages
        .show(clerk, Place::Payments, move |desk, clerk| {
            clerk.must(Right::Pay)?;
            let name = format!("payments-{list}.csv");
            let prepared = prepare(&desk.store, &found(desk, list)?, &name, desk::now())?;
            Ok(Answer::File {
                name,
                kind: "text/csv; charset=utf-8",
                bytes: prepared.csv.into_bytes(),
            })
        })
        .await
}
