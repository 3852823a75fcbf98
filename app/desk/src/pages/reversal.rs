//! Carrying a reversal out on a finding's page, and undoing one of a debt.

use super::answer::{Answer, Trouble};
use super::asked::Path;
use super::form::Filled;
use super::parts::{money, reason, token};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::currency::of_ledger;
use crate::desk;
use crate::findings::LookedAt;
use crate::findings::reverse::{Standing, Wanted, carry_out, standing_on, undo};
use crate::store::{OfWhat, Reversal, SqliteStore, Step};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::clerk::same_person;
use combgate_core::units::{Currency, Label};
use combgate_ui::paper::when;
use combgate_ui::words::Language;
use leptos::prelude::*;

/// What was reversed because of a finding, and what this clerk can do about it now.
pub(super) fn section(
    clerk: &Clerk,
    store: &SqliteStore,
    each: &LookedAt,
) -> Result<AnyView, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let last = each.last_step().filter(|step| step.step == Step::Reverse);
    if last.is_none() && each.reversals.is_empty() {
        return Ok(().into_any());
    }
    let unit = of_ledger(store)?;
    let what_next = match last {
        Some(step) => {
            let decider = Label::new(step.account.as_str()).map_err(|_| Trouble::OtherForm)?;
            match standing_on(store, each)? {
                None => told(say(Word::ReversalNoReceipt).to_owned()),
                Some(standing) => form(clerk, each, &standing, &decider, unit)?,
            }
        }
        None => ().into_any(),
    };
    let done: Vec<_> = each
        .reversals
        .iter()
        .map(|reversal| line(language, reversal, unit))
        .collect();
    Ok(view! {
        <section>
            <h2 id="reversal">{say(Word::ReversalTitle)}</h2>
            {(!done.is_empty()).then(|| view! { <ol class="lines">{done}</ol> })}
            {what_next}
            {undoing(clerk, each)?}
        </section>
    }
    .into_any())
}

fn told(words: String) -> AnyView {
    view! { <p class="notice">{words}</p> }.into_any()
}

fn line(language: Language, reversal: &Reversal, unit: Option<Currency>) -> AnyView {
    let sum = money(reversal.minor, unit);
    let words = match reversal.of {
        OfWhat::Payment(_) => phrase(language, Phrase::ReversalOfPayment { sum: &sum }),
        OfWhat::Debt => phrase(language, Phrase::ReversalOfDebt { sum: &sum }),
    };
    let at = when(&reversal.act.at.to_rfc3339());
    let undone = reversal.undone.as_ref().map(|undone| {
        phrase(
            language,
            Phrase::ReversalUndone {
                by: undone.act.by.as_str(),
                because: undone.because.as_str(),
            },
        )
    });
    view! {
        <li>
            <strong>{words}</strong>
            ": "
            {reversal.because.to_string()}
            <span class="under">{format!("{at}, {}", reversal.act.by)}</span>
            {undone.map(|words| view! { <p class="stands">{words}</p> })}
        </li>
    }
    .into_any()
}

fn form(
    clerk: &Clerk,
    each: &LookedAt,
    standing: &Standing,
    decider: &Label,
    unit: Option<Currency>,
) -> Result<AnyView, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let paid: i64 = standing.payments.iter().map(|payment| payment.minor).sum();
    if paid == 0 && standing.debt_minor == 0 {
        let nothing = each.reversals.is_empty();
        return Ok(if nothing {
            told(say(Word::ReversalNothing).to_owned())
        } else {
            ().into_any()
        });
    }
    if !clerk.may(Right::ReversePayments) || same_person(&clerk.name()?, decider) {
        let who = names::roles_that_may(language, Right::ReversePayments);
        let words = phrase(
            language,
            Phrase::ReversalWho {
                who: &who,
                decider: decider.as_str(),
            },
        );
        return Ok(told(words));
    }
    let tick = |name: &'static str, words: String| {
        view! {
            <p class="choice">
                <input type="checkbox" id=name name=name value="yes" checked/>
                <label for=name>{words}</label>
            </p>
        }
    };
    let sum = money(paid, unit);
    let payments = (paid > 0).then(|| {
        tick(
            "payments",
            phrase(language, Phrase::ReversalPayments { sum: &sum }),
        )
    });
    let settled = standing
        .payments
        .iter()
        .filter(|each| each.settled.is_some());
    let owed = standing
        .debt_minor
        .saturating_add(settled.map(|payment| payment.minor).sum());
    let sum = money(owed, unit);
    let debt =
        (owed > 0).then(|| tick("debt", phrase(language, Phrase::ReversalDebt { sum: &sum })));
    let number = standing.paper.number.to_string();
    Ok(view! {
        <form method="post" action=format!("/findings/{}/reverse", each.id()) class="sheet">
            {token(clerk)}
            <p>{phrase(language, Phrase::ReversalWhat { receipt: &number })}</p>
            {payments}
            {debt}
            {reason(language, "reason", Word::PaymentsReason)}
            <p><button class="main" type="submit">{say(Word::ReversalDo)}</button></p>
        </form>
    }
    .into_any())
}

fn undoing(clerk: &Clerk, each: &LookedAt) -> Result<AnyView, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let standing = each.reversals.iter().find(|each| each.is_standing_debt());
    let Some(standing) = standing.filter(|_| clerk.may(Right::ReversePayments)) else {
        return Ok(().into_any());
    };
    if same_person(&clerk.name()?, &standing.act.by) {
        return Ok(().into_any());
    }
    Ok(view! {
        <form method="post" action=format!("/findings/{}/undo", each.id()) class="sheet">
            {token(clerk)}
            <p>{say(Word::ReversalUndoWhat)}</p>
            {reason(language, "undo-reason", Word::PaymentsReason)}
            <p><button type="submit">{say(Word::ReversalUndo)}</button></p>
        </form>
    }
    .into_any())
}

/// Carries it out.
pub(super) async fn do_it(
    State(pages): State<Pages>,
    Path(id): Path<String>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Findings, move |desk, clerk| {
            clerk.must(Right::ReversePayments)?;
            let wanted = Wanted {
                payments: !fields.get("payments").is_empty(),
                debt: !fields.get("debt").is_empty(),
            };
            let reason = fields.get("reason");
            let by = &clerk.account;
            carry_out(&mut desk.store, &id, wanted, reason, by, desk::now())?;
            Ok(Answer::See(format!("/findings/{id}")))
        })
        .await
}

/// Undoes the reversal of a debt.
pub(super) async fn undo_it(
    State(pages): State<Pages>,
    Path(id): Path<String>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Findings, move |desk, clerk| {
            clerk.must(Right::ReversePayments)?;
            let reason = fields.get("reason");
            undo(&mut desk.store, &id, reason, &clerk.account, desk::now())?;
            Ok(Answer::See(format!("/findings/{id}")))
        })
        .await
}
