//! How a purchase is paid: how much now, by what means, the rest when, and what it leaves.

use super::Bench;
use crate::draft::{Paying, money_places};
use crate::screens::cash_left::cash_left;
use crate::screens::inputs::{Field, choices};
use crate::speech::{fill, language, say};
use combgate_core::record::Means;
use combgate_ui::sentences;
use combgate_ui::words::{Phrase, Word, text};
use combgate_view::{IntoNode, Memo, Node, Signal, view, when};

/// Payment of a purchase.
pub fn payment(bench: Bench) -> impl IntoNode {
    let draft = bench.draft;
    let (places, currency) = bench
        .brief
        .with_value(|brief| (money_places(brief), brief.terms().prices().parts().currency));
    let paid_now = Memo::new(move || {
        let payable = bench.payable()?;
        draft.with(|draft| draft.paid_now(payable, places)).ok()
    });
    let owed = Memo::new(move || {
        let left = bench.payable()? - paid_now.get()?;
        (left > 0).then_some(left)
    });
    let paying = Memo::new(move || draft.with(crate::draft::Draft::paying));
    let pays = Memo::new(move || paying.get() != Paying::Later);
    let with_mobile =
        Memo::new(move || pays.get() && draft.with(|draft| draft.means == Means::MobileMoney));
    let too_much = move |word: Word| matches!(word, Word::PurchasePaidTooMuch).then(|| said(word));
    let part_problem = Signal::derive(move || {
        let payable = bench.payable()?;
        let wrong = draft.with(|draft| draft.paid_now(payable, places)).err()?;
        too_much(wrong)
    });
    let part = move || {
        let field = Field::new(
            "paid-now",
            move || format!("{} ({currency})", said(Word::PurchasePaidNow)),
            move || draft.with(|draft| draft.paid.clone()).unwrap_or_default(),
            // A lone zero would say that nothing is paid, and take this input away.
            move |typed| {
                let typed = if typed == "0" { "0.".to_owned() } else { typed };
                draft.update(|draft| draft.paid = Some(typed));
            },
        );
        view! {
            {field.figure(places, |minor| minor > 0)}
            <p class="problem" role="alert">{part_problem}</p>
        }
    };
    let rest = move || {
        owed.get().map(|minor| {
            let amount = sentences::money(minor, currency);
            view! { <p><strong>{fill(Phrase::PurchaseRest { amount: &amount })}</strong></p> }
        })
    };
    view! {
        <h2>{say(Word::PurchasePay)}</h2>
        {advance(bench)}
        {choices(
            "paying",
            Word::PurchasePayWhen,
            &[
                (Paying::All, Word::PurchasePayAll),
                (Paying::Part, Word::PurchasePayPart),
                (Paying::Later, Word::PurchasePayLater),
            ],
            move || Some(paying.get()),
            move |paying| draft.update(|draft| draft.pay(paying)),
        )}
        {when(move || paying.get() == Paying::Part, part)}
        {when(move || pays.get(), move || choices(
                "means",
                Word::PurchasePayHow,
                &[
                    (Means::Cash, Word::PurchasePayCash),
                    (Means::MobileMoney, Word::PurchasePayMobile),
                ],
                move || Some(draft.with(|draft| draft.means)),
                move |means| draft.update(|draft| draft.means = means),
            ))}
        {when(move || with_mobile.get(), move || reference(bench))}
        {rest}
        {when(move || owed.get().is_some(), move || due(bench))}
        {move || {
            let (paid, means) = (paid_now.get()?, draft.with(|draft| draft.means));
            Some(bench.open.with_value(|open| cash_left(open, currency, paid, means)))
        }}
    }
}

fn said(word: Word) -> String {
    text(language(), word).to_owned()
}

/// What the payment is found again by.
fn reference(bench: Bench) -> Node {
    let draft = bench.draft;
    let problem = Signal::derive(move || {
        let wrong = draft.with(|draft| draft.reference_of(1)).err()?;
        Some(said(wrong))
    });
    Field::new(
        "reference",
        move || said(Word::PurchaseReference),
        move || draft.with(|draft| draft.reference.clone()),
        move |typed| draft.update(|draft| draft.reference = typed),
    )
    .of_kind("text", problem)
}

/// The day on which the rest is paid.
fn due(bench: Bench) -> Node {
    let draft = bench.draft;
    let today = bench.open.with_value(|open| open.day);
    let problem = Signal::derive(move || {
        let wrong = draft.with(|draft| draft.due_of(1, today)).err()?;
        Some(said(wrong))
    });
    Field::new(
        "due",
        move || said(Word::PurchaseDue),
        move || draft.with(|draft| draft.due.clone()),
        move |typed| draft.update(|draft| draft.due = typed),
    )
    .of_kind("date", problem)
}

/// What is outstanding of an advance, before and after this delivery.
fn advance(bench: Bench) -> impl IntoNode {
    move || {
        let advance = bench.due.get()?.advance?;
        let assessment = bench.assessed.get().ok()?;
        let currency = assessment.currency?;
        let before = sentences::money(advance.outstanding_minor, currency);
        let left = advance.outstanding_minor - assessment.repaid_minor();
        let after = sentences::money(left, currency);
        let words = fill(Phrase::PurchaseAdvance {
            payee: advance.payee.as_str(),
            before: &before,
            after: &after,
        });
        Some(view! { <p class="notice" data-figure="advance">{words}</p> })
    }
}
