//! The day book's sums are those of its entries, whatever was done and undone.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

mod common;

use chrono::{Days, NaiveDate};
use combgate_core::clerk::{DayBook, GradeTotal};
use combgate_core::record::{
    CancellationV1, DayTotalV1, EntryBody, Means, PaymentV1, ReceiptV1, SlipV1, totals_by_day,
};
use combgate_core::units::{Code, Grams};
use combgate_tests::demo::day::{Gate, cancellation, good_comb, wet_run, whole};
use combgate_tests::demo::honey::{Brought, Paid, issue};
use combgate_tests::demo::{code, day};
use common::{bodies, receipt_of};
use proptest::prelude::*;

/// What is done at a gate, in figures.
#[derive(Debug, Clone, Copy)]
enum Deed {
    Bought {
        grams: i64,
        minor: i64,
        paid: i64,
        pails: usize,
        first_grade: bool,
    },
    Held,
    /// Undoes one of the receipts so far.
    Cancelled(prop::sample::Index),
    Paid(i64),
}

fn deeds() -> impl Strategy<Value = Vec<(Deed, bool, u64)>> {
    let bought = (
        1..40_000_i64,
        0..9_000_000_i64,
        0..=100_i64,
        1..5_usize,
        any::<bool>(),
    );
    let deed = prop_oneof![
        4 => bought.prop_map(|(grams, minor, share, pails, first_grade)| Deed::Bought {
            grams, minor, paid: minor * share / 100, pails, first_grade,
        }),
        1 => Just(Deed::Held),
        1 => any::<prop::sample::Index>().prop_map(Deed::Cancelled),
        1 => (1..1_000_000_i64).prop_map(Deed::Paid),
    ];
    prop::collection::vec((deed, any::<bool>(), 0..3_u64), 0..60)
}

/// Sums kept by hand, besides the program's.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
struct Sums {
    receipts: u64,
    slips: u64,
    cancellations: u64,
    pails: i64,
    net_g: i64,
    payable: i64,
    paid: i64,
}

impl Sums {
    fn of(total: &DayTotalV1) -> Self {
        Self {
            receipts: total.receipts,
            slips: total.slips,
            cancellations: total.cancellations,
            pails: total.pails,
            net_g: total.net_g,
            payable: total.payable_minor,
            paid: total.paid_minor,
        }
    }

    fn plus(self, other: Self) -> Self {
        Self {
            receipts: self.receipts + other.receipts,
            slips: self.slips + other.slips,
            cancellations: self.cancellations + other.cancellations,
            pails: self.pails + other.pails,
            net_g: self.net_g + other.net_g,
            payable: self.payable + other.payable,
            paid: self.paid + other.paid,
        }
    }
}

struct Templates {
    receipt: ReceiptV1,
    slip: SlipV1,
}

impl Templates {
    fn new() -> Self {
        let mut gate = Gate::opened();
        gate.buy("07:42", issue(1, "M003", good_comb(101)), Paid::Cash);
        gate.buy("07:50", issue(2, "M003", wet_run(102)), Paid::Cash);
        let Some(EntryBody::Slip(slip)) = bodies(&gate).pop() else {
            panic!("wet honey is held");
        };
        Self {
            receipt: receipt_of(&gate),
            slip: *slip,
        }
    }

    /// The entry of a deed, and what it adds.
    fn entry(&self, deed: Deed, on: NaiveDate, bought: &mut Vec<ReceiptV1>) -> (EntryBody, Sums) {
        match deed {
            Deed::Bought {
                grams,
                minor,
                paid,
                pails,
                first_grade,
            } => {
                let mut receipt = self.receipt.clone();
                receipt.day = on;
                receipt.assessment.net_g = Some(Grams::new(grams).unwrap());
                receipt.assessment.payable_minor = Some(minor);
                receipt.assessment.grade = Some(code(if first_grade { "A" } else { "B" }));
                receipt.settlement.paid_minor = paid;
                receipt.delivery = receipt.delivery.pails(&vec![(1, 20, 10); pails]);
                bought.push(receipt.clone());
                let pails = pails.try_into().unwrap();
                let sums = Sums {
                    receipts: 1,
                    pails,
                    net_g: grams,
                    payable: minor,
                    paid,
                    ..Sums::default()
                };
                (EntryBody::Receipt(Box::new(receipt)), sums)
            }
            Deed::Cancelled(which) if !bought.is_empty() => {
                let undone: CancellationV1 = CancellationV1 {
                    day: on,
                    ..cancellation(&bought.swap_remove(which.index(bought.len())), "Undone")
                };
                let sums = Sums {
                    cancellations: 1,
                    pails: -i64::from(undone.pails),
                    net_g: -undone.net_g.get(),
                    payable: -undone.payable_minor,
                    paid: -undone.returned_minor,
                    ..Sums::default()
                };
                (EntryBody::Cancellation(Box::new(undone)), sums)
            }
            Deed::Paid(minor) => {
                let payment = PaymentV1 {
                    number: self.receipt.number.clone(),
                    day: on,
                    paid_minor: minor,
                    means: Means::Cash,
                    reference: None,
                };
                let sums = Sums {
                    paid: minor,
                    ..Sums::default()
                };
                (EntryBody::Payment(Box::new(payment)), sums)
            }
            Deed::Held | Deed::Cancelled(_) => {
                let slip = SlipV1 {
                    day: on,
                    ..self.slip.clone()
                };
                let sums = Sums {
                    slips: 1,
                    ..Sums::default()
                };
                (EntryBody::Slip(Box::new(slip)), sums)
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_sums_are_receipts_less_cancellations(deeds in deeds()) {
        let templates = Templates::new();
        let handsets: [Code; 2] = [code("K7"), code("K8")];
        let mut bought: [Vec<ReceiptV1>; 2] = [Vec::new(), Vec::new()];
        let days: Vec<_> = (0..3).map(|after| day() + Days::new(after)).collect();
        let mut books: Vec<_> = days.iter().map(|day| DayBook::new(*day)).collect();
        let mut entries: [Vec<EntryBody>; 2] = [Vec::new(), Vec::new()];
        let mut by_hand = [[Sums::default(); 2]; 3];
        for (deed, second, after) in deeds {
            let (handset, place) = (usize::from(second), usize::try_from(after).unwrap());
            let (body, sums) = templates.entry(deed, days[place], &mut bought[handset]);
            // Every book is offered every entry and takes its own day's.
            for book in &mut books {
                book.add(&handsets[handset], &body);
            }
            entries[handset].push(body);
            by_hand[place][handset] = by_hand[place][handset].plus(sums);
        }
        for (place, book) in books.iter().enumerate() {
            prop_assert_eq!(book.day(), days[place]);
            let total = Sums::of(&book.total());
            prop_assert_eq!(total, by_hand[place][0].plus(by_hand[place][1]));
            for row in book.rows() {
                let handset = usize::from(row.handset == handsets[1]);
                prop_assert_eq!(Sums::of(&row.total), by_hand[place][handset]);
            }
            let grades = book.grades().values().fold(0, |sum, grade| sum + grade.receipts);
            let undone = i64::try_from(book.total().cancellations).unwrap();
            prop_assert_eq!(grades, i64::try_from(total.receipts).unwrap() - undone);
        }
        // The phone's totals, which its manifest signs, are by the same lines.
        for (handset, bodies) in entries.iter().enumerate() {
            for total in totals_by_day(bodies) {
                let place = days.iter().position(|day| *day == total.day).unwrap();
                prop_assert_eq!(Sums::of(&total), by_hand[place][handset]);
            }
        }
        // What stands is what was bought and not undone.
        let standing: i64 = bought
            .iter()
            .flatten()
            .map(|receipt| receipt.assessment.net_g.unwrap().get())
            .sum();
        let all = books.iter().map(|book| book.total().net_g).sum::<i64>();
        prop_assert_eq!(all, standing);
    }
}

/// Kilograms and shillings by hand, from the receipts listed in `demo_fixtures.rs`.
#[test]
fn the_demo_day_adds_up() {
    let mut book = DayBook::new(day());
    for body in bodies(&whole()) {
        book.add(&code("K7"), &body);
    }
    let total = book.total();
    // 17.5 + 37.98 + 14.11 + 22.53 + 3.08 + 11.09 + 17.7 + 69.72 + 11.24 + 15.35 kg.
    assert_eq!(total.net_g, 220_300);
    // 7,710 + 12,580 + 4,190 + 9,925 + 2,895 + 3,845 + 7,360 + 30,715 + 5,340 + 5,470.
    assert_eq!(total.payable_minor, 9_003_000);
    // All of it was paid by the evening.
    assert_eq!(total.paid_minor, total.payable_minor);
    assert_eq!(
        (
            total.receipts,
            total.slips,
            total.cancellations,
            total.pails
        ),
        (11, 3, 1, 13)
    );
    let grade = |name| book.grades()[&code(name)];
    // The cancelled 18.2 kg for 7,570 stand in no grade.
    assert_eq!(
        grade("B"),
        GradeTotal {
            receipts: 2,
            net_g: 14_110 + 11_090,
            payable_minor: 419_000 + 384_500
        }
    );
    assert_eq!(grade("S").net_g, 3_080);
    assert_eq!(grade("A").net_g, 220_300 - 14_110 - 11_090 - 3_080);
}

#[test]
fn a_day_without_entries_is_empty() {
    let book = DayBook::new(day());
    assert_eq!(book.total(), DayTotalV1::empty(day()));
    assert!(book.rows().is_empty());
    assert!(book.grades().is_empty());
}
