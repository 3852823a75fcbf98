//! A receipt or a slip as the farmer sees it; the phone and the desk show the same.
//!
//! What counts comes first and largest: net weight, price, total, and whether it is paid. The
//! parts are one module each; [`told`] says the same in sentences, to be read aloud or sent.

mod foot;
mod gauge;
mod icons;
mod judged;
mod price;
mod settled;
pub mod told;
mod weighed;

pub use gauge::measured;
pub use judged::{decision, reasons, settles};
pub use price::lines;
pub use weighed::{sum, weights};

use crate::figures;
use crate::prelude::*;
use crate::words::{Language, Phrase, Word, phrase, text};
use chrono::NaiveDate;
use combgate_core::intake::Decision;
use combgate_core::record::{
    AssessmentV1, CooperativeV1, DeliveryV1, Digest, EntryBody, Keeper, PaymentV1, ReceiptNumber,
    ReceiptV1, SlipV1, TermsRefV1,
};
use combgate_core::units::Code;
use settled::Settled;
use weighed::weighed;

/// Characters of an entry's hash that stand on its paper.
const SHORT_CODE: usize = 8;

/// What a paper is of.
#[derive(Debug, Clone, Copy)]
pub enum Paper<'a> {
    /// A purchase.
    Receipt(&'a ReceiptV1),
    /// A hold or a refusal.
    Slip(&'a SlipV1),
}

/// What stands on the paper besides the signed record.
#[derive(Debug, Clone)]
pub struct Around {
    /// Who buys.
    pub cooperative: CooperativeV1,
    /// The member's number and name.
    pub member: String,
    /// The officer.
    pub officer: String,
    /// Day and time.
    pub when: String,
    /// First characters of the entry's hash.
    pub short_code: String,
    /// Number of the scale that weighed it.
    pub scale: Option<String>,
    /// The signed stub, for the QR code.
    pub stub: Option<String>,
    /// What was paid on the receipt after it was issued, oldest first.
    pub payments: Vec<PaymentV1>,
    /// How the receipt was cancelled, if it was.
    pub undone: Option<Undone>,
}

/// How a receipt was cancelled.
#[derive(Debug, Clone)]
pub struct Undone {
    /// On which day.
    pub day: String,
    /// Why, in the officer's words.
    pub reason: String,
    /// The receipt that replaces it, if there is one.
    pub replaced_by: Option<ReceiptNumber>,
}

impl<'a> Paper<'a> {
    /// The paper of an entry; `None` for entries that have none.
    pub const fn of(body: &'a EntryBody) -> Option<Self> {
        match body {
            EntryBody::Receipt(receipt) => Some(Self::Receipt(receipt)),
            EntryBody::Slip(slip) => Some(Self::Slip(slip)),
            _ => None,
        }
    }

    /// Its number.
    pub const fn number(self) -> &'a ReceiptNumber {
        match self {
            Self::Receipt(receipt) => &receipt.number,
            Self::Slip(slip) => &slip.number,
        }
    }

    /// Whose it is.
    pub const fn member(self) -> &'a Code {
        match self {
            Self::Receipt(receipt) => &receipt.member,
            Self::Slip(slip) => &slip.member,
        }
    }

    /// The day it counts on.
    pub const fn day(self) -> NaiveDate {
        match self {
            Self::Receipt(receipt) => receipt.day,
            Self::Slip(slip) => slip.day,
        }
    }

    const fn assessment(self) -> &'a AssessmentV1 {
        match self {
            Self::Receipt(receipt) => &receipt.assessment,
            Self::Slip(slip) => &slip.assessment,
        }
    }

    const fn delivery(self) -> &'a DeliveryV1 {
        match self {
            Self::Receipt(receipt) => &receipt.delivery,
            Self::Slip(slip) => &slip.delivery,
        }
    }

    const fn terms(self) -> &'a TermsRefV1 {
        match self {
            Self::Receipt(receipt) => &receipt.terms,
            Self::Slip(slip) => &slip.terms,
        }
    }

    const fn title(self) -> Word {
        match self {
            Self::Receipt(_) => Word::PaperReceipt,
            Self::Slip(slip) => match slip.assessment.decision {
                Decision::Refuse => Word::PaperSlipRefuse,
                Decision::Hold | Decision::Buy => Word::PaperSlipHold,
            },
        }
    }
}

/// First characters of an entry's hash, as they stand on its paper.
pub fn short_code(hash: &Digest) -> String {
    hash.to_string().chars().take(SHORT_CODE).collect()
}

/// The whole paper.
pub fn paper(language: Language, paper: Paper<'_>, around: &Around) -> Node {
    let number = paper.number().to_string();
    let cooperative = around.cooperative.name.to_string();
    let body = match paper {
        Paper::Receipt(receipt) => of_receipt(language, receipt, around),
        Paper::Slip(slip) => of_slip(language, slip),
    };
    view! {
        <article class="paper" lang=language.code()>
            <p class="paper-of">{cooperative}</p>
            <h1>
                {text(language, paper.title())} " " <span class="number-of-paper">{number}</span>
            </h1>
            <p class="paper-member">{around.member.clone()}</p>
            {undone(language, paper, around)}
            {body}
            {foot::details(language, paper, around)}
            {foot::code(language, paper, around)}
            {foot::rights(language, paper)}
        </article>
    }
    .into_node()
}

fn of_receipt(language: Language, receipt: &ReceiptV1, around: &Around) -> Node {
    let assessment = &receipt.assessment;
    let currency = assessment.currency;
    view! {
        {price::three(language, assessment)}
        {settled_of(receipt, around).map(|settled| settled.view(language))}
        {weighed(language, assessment)}
        {currency.map(|currency| lines(language, assessment, currency))}
        {judged::grade(language, assessment)}
        {measured(language, assessment)}
        {reasons(language, assessment)}
    }
    .into_node()
}

fn settled_of<'a>(receipt: &'a ReceiptV1, around: &'a Around) -> Option<Settled<'a>> {
    receipt.assessment.currency.map(|currency| Settled {
        receipt,
        payments: &around.payments,
        currency,
    })
}

fn of_slip(language: Language, slip: &SlipV1) -> Node {
    let assessment = &slip.assessment;
    view! {
        {decision(language, assessment.decision)}
        {reasons(language, assessment)}
        {settles(language, assessment)}
        <p class="notice"><strong>{text(language, keeper(slip.pails_with))}</strong></p>
        {measured(language, assessment)}
        {weighed(language, assessment)}
    }
    .into_node()
}

const fn keeper(keeper: Keeper) -> Word {
    match keeper {
        Keeper::Member => Word::PaperPailsWithMember,
        Keeper::Cooperative => Word::PaperPailsWithCooperative,
    }
}

/// That a receipt no longer counts, or counts in place of another.
fn undone(language: Language, paper: Paper<'_>, around: &Around) -> Node {
    let cancelled = around.undone.as_ref().map(|undone| {
        let said: Vec<_> = undone_sentences(language, undone)
            .into_iter()
            .map(|sentence| view! { <p>{sentence}</p> })
            .collect();
        view! {
            <div class="notice undone" data-figure="undone">
                <p class="stamp">{text(language, Word::CancelStamp)}</p>
                {said}
            </div>
        }
    });
    let replaces = replaces_sentence(language, paper)
        .map(|sentence| view! { <p class="notice">{sentence}</p> });
    view! { {cancelled} {replaces} }.into_node()
}

fn undone_sentences(language: Language, undone: &Undone) -> Vec<String> {
    let on = phrase(
        language,
        Phrase::CancelOn {
            day: &undone.day,
            reason: &undone.reason,
        },
    );
    let by = undone.replaced_by.as_ref().map(|number| {
        let number = &number.to_string();
        phrase(language, Phrase::CancelReplacedBy { number })
    });
    std::iter::once(on).chain(by).collect()
}

fn replaces_sentence(language: Language, paper: Paper<'_>) -> Option<String> {
    let Paper::Receipt(receipt) = paper else {
        return None;
    };
    receipt.replaces.as_ref().map(|number| {
        let number = &number.to_string();
        phrase(language, Phrase::CancelReplaces { number })
    })
}

/// Day and minute of an entry, as the clock there and then showed it.
pub fn when(at: &str) -> String {
    let (day, time) = (figures::date(at), figures::time(at));
    format!("{} {}", day.unwrap_or_default(), time.unwrap_or_default())
}
