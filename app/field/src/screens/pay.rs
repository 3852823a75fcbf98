//! Paying later what a receipt left owed.

use super::cash_left::cash_left;
use super::inputs::{Form, Task, Typed, choices, code, decimals, figure, money, notice, trouble};
use super::of_receipt::of_receipt;
use crate::handset::Handset;
use crate::platform::address;
use crate::route::Route;
use crate::speech::{fill, say};
use combgate_core::record::{Means, OpenDay, ReceiptV1};
use combgate_core::units::{Code, Currency};
use combgate_ui::words::{Phrase, Word};
use combgate_ui::{figures, sentences};
use combgate_view::{IntoNode, Memo, Node, RwSignal, untrack, view, when};

/// The screen.
pub fn pay(seq: u32) -> impl IntoNode {
    of_receipt(seq, Word::PayTitle, move |handset, receipt| {
        asked(handset, seq, receipt)
    })
}

/// The form, or why there is nothing to pay.
fn asked(handset: Handset, seq: u32, receipt: &ReceiptV1) -> Node {
    let number = &receipt.number;
    // Looked at once: the payment itself must not change the form under the finger.
    let (undone, later) = handset.papers().with_untracked(|papers| {
        let undone = papers.undone(number).is_some();
        (undone, papers.paid_later(number))
    });
    if undone {
        return notice(Word::CancelAlready);
    }
    let left = receipt.owed_after(later);
    let currency = receipt.assessment.currency.filter(|_| left > 0);
    let Some(currency) = currency else {
        return notice(Word::PayNothing);
    };
    let Some(open) = untrack(|| handset.standing().open) else {
        return notice(Word::DayNotOpen);
    };
    let names = handset.names_of(std::iter::once(&receipt.member));
    let whose = sentences::member(&receipt.member, names.of(&receipt.member));
    let owed = sentences::money(left, currency);
    view! {
        <h2><span class="number-of-paper">{number.to_string()}</span></h2>
        <p>{whose}</p>
        <p class="to-do" data-figure="left">
            {move || fill(Phrase::PurchaseRest { amount: &owed })}
        </p>
        {fields(handset, seq, open, left, currency)}
    }
    .into_node()
}

fn fields(handset: Handset, seq: u32, open: OpenDay, left: i64, currency: Currency) -> Node {
    let places = decimals(currency);
    let all = figures::decimal(left, places, places);
    let amount = Typed::with("pay-amount", Word::PurchasePaidNow, all);
    let reference = Typed::empty("pay-reference", Word::PurchaseReference);
    let means = RwSignal::new(Means::Cash);
    let (form, task) = (Form::begin(), Task::idle());
    let paid = Memo::new(move || money(&amount.get(), currency).filter(|paid| *paid > 0));
    let mobile = Memo::new(move || means.get() == Means::MobileMoney);
    let too_much = move || paid.get().is_some_and(|paid| paid > left);
    let is_whole =
        move || paid.get().is_some() && (!mobile.get() || Code::new(&reference.get()).is_ok());
    let pay = move || match paid.get_untracked().filter(|_| untrack(is_whole)) {
        None => form.point_out(),
        Some(paid) => task.run(async move {
            let reference = Code::new(&untrack(|| reference.get())).ok();
            handset
                .pay(seq, paid, means.get_untracked(), reference)
                .await?;
            address::replace(&Route::Receipt(seq).hash());
            Ok(())
        }),
    };
    view! {
        <p class="hint">{say(Word::PayHandOver)}</p>
        {figure(amount, places, form.asked(), |minor| minor > 0)}
        {move || too_much().then(|| trouble(say(Word::PayTooMuch)))}
        {choices(
            "means",
            Word::PurchasePayHow,
            &[
                (Means::Cash, Word::PurchasePayCash),
                (Means::MobileMoney, Word::PurchasePayMobile),
            ],
            move || Some(means.get()),
            move |chosen| means.set(chosen),
        )}
        {when(move || mobile.get(), move || view! { {code(reference, form.asked_if(move || mobile.get()))}
            <p class="below">{say(Word::PayReferenceNeeded)}</p> })}
        {move || paid.get().map(|paid| cash_left(&open, currency, paid, means.get()))}
        {form.incomplete(is_whole)}
        {task.problem()}
        {task.button(Word::PayNow, pay)}
    }
    .into_node()
}

/// The way to pay what is owed on a receipt that stands, below its paper.
pub fn way_to_pay(handset: Handset, seq: u32) -> impl IntoNode {
    let href = Route::Pay(seq).href();
    move || {
        let owed = handset
            .papers()
            .with(|papers| papers.at(seq).map(|paper| papers.owed(paper)))?;
        (owed > 0).then(|| view! { <a class="button" href=href.clone()>{say(Word::PayTitle)}</a> })
    }
}
