//! The evidence for a finding, side by side: what the phone wrote, and what the desk has or
//! computes from it.

use crate::import::LedgerBooks;
use crate::store::{Handset, Store, StoreError, filed_under};
use chrono::NaiveDate;
use combgate_core::clerk::Books;
use combgate_core::intake::{Decision, Delivery};
use combgate_core::record::{
    AssessmentV1, CancellationV1, DayClosedV1, DayOpenedV1, DeliveryV1, EntryBody, ParsedEntry,
    PaymentV1, ReceiptV1, SlipV1, Standing, TermsRefV1,
};
use combgate_core::units::{Code, Currency};
use serde::Serialize;

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum What {
    /// Number of an entry.
    Entry,
    /// When it was written.
    Moment,
    /// Kind of an entry.
    Kind,
    /// Digest of an entry.
    Digest,
    /// Number of a receipt or slip.
    Number,
    /// Day it counts on, and day that the clock showed.
    Day,
    /// Whose delivery.
    Member,
    /// Buy, hold, refuse.
    Decision,
    /// Moisture.
    Moisture,
    /// Capped share.
    Capped,
    /// Net weight.
    Net,
    /// Grade.
    Grade,
    /// Policy.
    Policy,
    /// Price list.
    PriceList,
    /// What the member is to get.
    Payable,
    /// Paid and owed together.
    Settled,
    /// Money that came back.
    Returned,
    /// Cash in the box.
    Cash,
    /// Full pails.
    FullPails,
    /// Empty pails.
    EmptyPails,
    /// Seals put on.
    Seals,
    /// A known weight, and what the scale showed.
    ScaleCheck,
}

/// One side of a comparison.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Value {
    /// Nothing there.
    None,
    /// Buy, hold, refuse.
    Decision(Decision),
    /// Mass, grams.
    Grams(i64),
    /// Hundredths of a percent.
    Hundredths(i64),
    /// Money, minor units of the ledger's currency.
    Minor(i64),
    /// A count.
    Count(u64),
    /// A day.
    Day(NaiveDate),
    /// A code, a digest or words as they stand.
    Text(String),
}

/// A comparison.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Side {
    /// Of what.
    pub what: What,
    /// What the phone wrote.
    pub wrote: Value,
    /// What the desk has or computes.
    pub desk: Value,
}

impl Side {
    /// Whether the two differ.
    pub fn differs(&self) -> bool {
        self.wrote != self.desk
    }
}

const fn side(what: What, wrote: Value, desk: Value) -> Side {
    Side { what, wrote, desk }
}

fn code(code: Option<&Code>) -> Value {
    code.map_or(Value::None, |code| Value::Text(code.to_string()))
}

/// Evidence for a finding, by its code, in an entry: the entry as it is booked; for one that is kept
/// apart or refused, what is there of it beside what is booked.
pub fn evidence(
    store: &impl Store,
    handset: &Handset,
    seq: u64,
    finding: &str,
) -> Result<Vec<Side>, StoreError> {
    let booked = store.booked_among(&handset.code, seq..=seq)?.pop();
    let apart: Vec<ParsedEntry> = store
        .apart(&handset.code, seq..=seq)?
        .iter()
        .filter_map(|compact| ParsedEntry::parse(compact).ok())
        .collect();
    // Another entry of this number matters to findings about the journal alone.
    let of_journal = matches!(finding, "fork" | "signed-again" | "unlinked");
    let mut sides = Vec::new();
    if let Some(apart) = apart.first().filter(|_| of_journal || booked.is_none()) {
        sides.extend(two_entries(apart, booked.as_ref()));
    } else if let Some(entry) = &booked {
        sides.extend(of_entry(store, handset, entry)?);
    }
    if booked.is_none() {
        let last = Value::Count(handset.head.seq);
        sides.push(side(What::Entry, Value::Count(seq), last));
    }
    Ok(sides)
}

fn two_entries(apart: &ParsedEntry, booked: Option<&ParsedEntry>) -> Vec<Side> {
    let text = |value: Option<String>| value.map_or(Value::None, Value::Text);
    let both = |what, of: &dyn Fn(&ParsedEntry) -> Option<String>| {
        side(what, text(of(apart)), text(booked.and_then(of)))
    };
    vec![
        both(What::Digest, &|entry| Some(entry.hash().to_string())),
        both(What::Moment, &|entry| Some(entry.at().to_rfc3339())),
        both(What::Kind, &|entry| Some(entry.body().kind().to_owned())),
        both(What::Number, &|entry| match entry.body() {
            EntryBody::Receipt(receipt) => Some(receipt.number.to_string()),
            EntryBody::Slip(slip) => Some(slip.number.to_string()),
            _ => None,
        }),
    ]
}

fn of_entry(
    store: &impl Store,
    handset: &Handset,
    entry: &ParsedEntry,
) -> Result<Vec<Side>, StoreError> {
    let books = LedgerBooks::new(store, handset.code.clone());
    let mut sides = Vec::new();
    // A day may be closed long after it.
    let ends_a_day = matches!(entry.body(), EntryBody::DayClosed(_));
    if let Some(day) = filed_under(entry.body()).filter(|_| !ends_a_day) {
        let clock = Value::Day(entry.at().date_naive());
        sides.push(side(What::Day, Value::Day(day), clock));
    }
    match entry.body() {
        EntryBody::Receipt(receipt) => sides.extend(of_receipt(receipt, &books)),
        EntryBody::Slip(slip) => sides.extend(of_slip(slip, &books)),
        EntryBody::DayOpened(opened) => {
            let left = before(store, handset, entry.seq())?.cash_left_minor;
            sides.extend(of_opening(opened, left.unwrap_or(0), &books));
        }
        EntryBody::DayClosed(closed) => {
            if let Some(open) = before(store, handset, entry.seq())?.open {
                sides.extend(of_closing(closed, &open));
            }
        }
        EntryBody::Cancellation(undone) => sides.extend(of_cancellation(undone, &books)),
        EntryBody::Payment(payment) => sides.extend(of_payment(payment, &books)),
        EntryBody::Enrolled(_) | EntryBody::MemberRegistered(_) | EntryBody::ClockNoticed(_) => {}
    }
    books.trouble()?;
    Ok(sides)
}

/// The last opening of a day booked before a number.
pub(crate) fn opening_before(
    store: &impl Store,
    handset: &Code,
    seq: u64,
) -> Result<Option<ParsedEntry>, StoreError> {
    let compact = store.opened_before(handset, seq)?;
    compact
        .map(|compact| ParsedEntry::parse(&compact))
        .transpose()
        .map_err(|error| StoreError::Damaged {
            what: "an opening of a day",
            detail: error.to_string(),
        })
}

/// Where the handset stood before an entry, as far as the open day goes.
fn before(store: &impl Store, handset: &Handset, seq: u64) -> Result<Standing, StoreError> {
    let mut standing = Standing::default();
    let last = seq.saturating_sub(1);
    if let Some(opening) = opening_before(store, &handset.code, seq)? {
        for entry in store.booked_among(&handset.code, opening.seq()..=last)? {
            standing.note(&entry);
        }
    }
    Ok(standing)
}

fn of_receipt(receipt: &ReceiptV1, books: &impl Books) -> Vec<Side> {
    let own = judged(
        &receipt.delivery,
        &receipt.terms,
        &receipt.premiums,
        receipt.advance.as_ref(),
        books,
    );
    let mut sides = of_member(&receipt.member, books);
    sides.extend(of_terms(&receipt.terms, receipt.day, books));
    sides.extend(of_assessments(&receipt.assessment, own.as_ref()));
    let payable =
        |assessment: &AssessmentV1| assessment.payable_minor.map_or(Value::None, Value::Minor);
    sides.push(side(
        What::Payable,
        payable(&receipt.assessment),
        own.as_ref().map_or(Value::None, payable),
    ));
    let settled = receipt
        .settlement
        .paid_minor
        .saturating_add(receipt.settlement.owed_minor);
    sides.push(side(
        What::Settled,
        Value::Minor(settled),
        own.as_ref().map_or(Value::None, payable),
    ));
    sides
}

fn of_slip(slip: &SlipV1, books: &impl Books) -> Vec<Side> {
    let own = judged(&slip.delivery, &slip.terms, &[], None, books);
    let mut sides = of_member(&slip.member, books);
    sides.extend(of_terms(&slip.terms, slip.day, books));
    sides.extend(of_assessments(&slip.assessment, own.as_ref()));
    sides
}

/// A delivery judged and priced anew by the terms that its paper names.
pub(crate) fn judged(
    delivery: &DeliveryV1,
    terms: &TermsRefV1,
    premiums: &[Code],
    advance: Option<&combgate_core::record::AdvanceV1>,
    books: &impl Books,
) -> Option<AssessmentV1> {
    let terms = books.terms(terms)?;
    let currency: Currency = terms.prices().parts().currency;
    let advance = advance
        .map(|advance| advance.advance(currency))
        .transpose()
        .ok()?;
    let delivery = Delivery::try_from(delivery).ok()?;
    let assessment = terms.assess(&delivery, premiums, advance.as_ref()).ok()?;
    Some(AssessmentV1::from(&assessment))
}

fn of_member(member: &Code, books: &impl Books) -> Vec<Side> {
    let known = books.member(member).map(|known| known.number.clone());
    vec![side(What::Member, code(Some(member)), code(known.as_ref()))]
}

fn of_terms(terms: &TermsRefV1, day: NaiveDate, books: &impl Books) -> Vec<Side> {
    let (policy, prices) = (books.policy_in_force(day), books.price_list_in_force(day));
    vec![
        side(
            What::Policy,
            code(Some(&terms.policy)),
            code(policy.as_ref().map(|found| &found.id)),
        ),
        side(
            What::PriceList,
            code(Some(&terms.price_list)),
            code(prices.as_ref().map(|found| &found.id)),
        ),
    ]
}

fn of_assessments(signed: &AssessmentV1, own: Option<&AssessmentV1>) -> Vec<Side> {
    let both = |what, of: &dyn Fn(&AssessmentV1) -> Value| {
        side(what, of(signed), own.map_or(Value::None, of))
    };
    vec![
        both(What::Decision, &|each| Value::Decision(each.decision)),
        both(What::Moisture, &|each| {
            each.moisture.as_ref().map_or(Value::None, |found| {
                Value::Hundredths(found.moisture_hundredths.get())
            })
        }),
        both(What::Capped, &|each| {
            each.capped.as_ref().map_or(Value::None, |found| {
                Value::Hundredths(found.share_hundredths.get())
            })
        }),
        both(What::Net, &|each| {
            each.net_g
                .map_or(Value::None, |net| Value::Grams(net.get()))
        }),
        both(What::Grade, &|each| code(each.grade.as_ref())),
    ]
}

fn of_opening(opened: &DayOpenedV1, left: i64, books: &impl Books) -> Vec<Side> {
    // What the last day left in the box is right too, alone or with what was given.
    let counted = opened.float_minor;
    let given = books.float_given(opened.brief_serial).map(|given| {
        let is_right = [left, given.saturating_add(left)].contains(&counted);
        if is_right { counted } else { given }
    });
    let mut sides = vec![side(
        What::Cash,
        Value::Minor(opened.float_minor),
        given.map_or(Value::None, Value::Minor),
    )];
    if let Some(scale) = &opened.scale {
        let grams = |mass: Option<combgate_core::units::Grams>| {
            mass.map_or(Value::None, |mass| Value::Grams(mass.get()))
        };
        sides.push(side(
            What::ScaleCheck,
            grams(scale.shown_g),
            grams(scale.known_g),
        ));
    }
    sides
}

fn of_closing(closed: &DayClosedV1, open: &combgate_core::record::OpenDay) -> Vec<Side> {
    let counted = u64::from(closed.empty_pails);
    let used = u64::try_from(open.seals.len()).unwrap_or(u64::MAX);
    let taken = u64::from(open.seals_taken);
    vec![
        side(
            What::Cash,
            Value::Minor(closed.cash_minor),
            Value::Minor(open.cash_minor),
        ),
        side(
            What::FullPails,
            Value::Count(closed.full_pails.into()),
            Value::Count(open.full_pails),
        ),
        side(
            What::EmptyPails,
            Value::Count(counted),
            Value::Count(open.nearest_empty_pails(counted)),
        ),
        // Fewer may be put on than were taken, but not more.
        side(
            What::Seals,
            Value::Count(used),
            Value::Count(used.min(taken)),
        ),
    ]
}

fn of_cancellation(undone: &CancellationV1, books: &impl Books) -> Vec<Side> {
    let receipt = books.receipt(&undone.number);
    vec![
        side(
            What::Net,
            Value::Grams(undone.net_g.get()),
            receipt.map_or(Value::None, |facts| Value::Grams(facts.net_g)),
        ),
        side(
            What::Payable,
            Value::Minor(undone.payable_minor),
            receipt.map_or(Value::None, |facts| Value::Minor(facts.payable_minor)),
        ),
        side(
            What::Returned,
            Value::Minor(undone.returned_minor),
            receipt.map_or(Value::None, |facts| Value::Minor(facts.paid_minor)),
        ),
    ]
}

fn of_payment(payment: &PaymentV1, books: &impl Books) -> Vec<Side> {
    let receipt = books.receipt(&payment.number);
    vec![side(
        What::Settled,
        receipt.map_or(Value::Minor(payment.paid_minor), |facts| {
            Value::Minor(facts.paid_minor)
        }),
        receipt.map_or(Value::None, |facts| Value::Minor(facts.payable_minor)),
    )]
}
