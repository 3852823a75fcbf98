//! Nothing is lost and nothing made on a member's account.
//!
//! Source: double-entry book-keeping's own law. What was owed before, what was bought and what was
//! paid are what is owed after, for every cut of the time; and the accounts of all members together
//! are the day books of all days together, which are summed by other lines.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use chrono::{Days, NaiveDate};
use combgate_core::clerk::{Account, AccountKind, DayBook, Sums};
use combgate_core::record::{
    AdvanceV1, Brief, CancellationV1, EntryBody, Means, PaymentV1, ReceiptNumber, ReceiptV1,
};
use combgate_core::units::ExactMinor;
use combgate_tests::demo::cooperative::{brief_for, signed, taken};
use combgate_tests::demo::day::good_run;
use combgate_tests::demo::honey::{Brought, Paid, issue};
use combgate_tests::demo::{code, day, label, public, test_key};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Members with premiums, with an advance, with neither.
const MEMBERS: [&str; 4] = ["M001", "M002", "M003", "M005"];

static BRIEF: LazyLock<Brief> = LazyLock::new(|| {
    let key = public(&test_key("handset K7"));
    taken(&signed(brief_for("K7", &key)), key.id())
});

#[derive(Debug, Clone)]
enum Deed {
    Bought {
        member: usize,
        tens_of_grams: i64,
        paid_share: i64,
        advance: Option<i64>,
    },
    Cancelled(prop::sample::Index),
    PaidByOfficer(prop::sample::Index, i64),
    PaidByDesk(prop::sample::Index),
    Reversed(prop::sample::Index),
}

fn deeds() -> impl Strategy<Value = Vec<(u64, Deed)>> {
    let which = any::<prop::sample::Index>;
    let bought = (
        0..MEMBERS.len(),
        1..4_000_i64,
        0..=100_i64,
        prop::option::of(1..900_000_i64),
    );
    let deed = prop_oneof![
        5 => bought.prop_map(|(member, tens_of_grams, paid_share, advance)| Deed::Bought {
            member, tens_of_grams, paid_share, advance,
        }),
        1 => which().prop_map(Deed::Cancelled),
        2 => (which(), 1..100_000_i64).prop_map(|(of, minor)| Deed::PaidByOfficer(of, minor)),
        2 => which().prop_map(Deed::PaidByDesk),
        1 => which().prop_map(Deed::Reversed),
    ];
    // Days go forward, as a journal does.
    prop::collection::vec((0..3_u64, deed), 1..40)
}

/// A receipt as the handset would sign it.
fn receipt(number: u32, on: NaiveDate, deed: (usize, i64, i64, Option<i64>)) -> ReceiptV1 {
    let (member, tens_of_grams, paid_share, advance) = deed;
    let delivery = good_run(101).pails(&[(101, 1_000 + tens_of_grams * 10, 1_000)]);
    let mut issue = issue(u64::from(number), MEMBERS[member], delivery);
    issue.day = on;
    issue.advance = advance.map(|outstanding_minor| AdvanceV1 {
        payee: label("Savings group"),
        outstanding_minor,
    });
    if member == 0 {
        issue
            .premiums
            .clone_from(&BRIEF.payload().members[0].premiums);
    }
    let payable = issue.assess(&BRIEF).unwrap().price.unwrap().payable.minor();
    issue.settlement = Paid::Part(payable * paid_share / 100).settle(payable);
    let number = ReceiptNumber::new(&code("K7"), 26, number).unwrap();
    match issue.paper(number, &BRIEF).unwrap() {
        EntryBody::Receipt(receipt) => *receipt,
        other => panic!("good honey is bought, not {other:?}"),
    }
}

/// What a run of deeds comes to.
struct Run {
    accounts: BTreeMap<String, Account>,
    books: BTreeMap<NaiveDate, DayBook>,
    /// Paid by the desk less reversed, which is in no handset's entry.
    desk_minor: i64,
    last: NaiveDate,
    bought: Vec<ReceiptV1>,
}

fn run(deeds: &[(u64, Deed)]) -> Run {
    let mut run = Run {
        accounts: BTreeMap::new(),
        books: BTreeMap::new(),
        desk_minor: 0,
        last: day(),
        bought: Vec::new(),
    };
    let mut standing: Vec<(ReceiptV1, i64)> = Vec::new();
    let mut by_desk: Vec<(ReceiptV1, i64)> = Vec::new();
    for (number, (later, deed)) in (1..).zip(deeds) {
        run.last = run.last + Days::new(*later);
        let today = run.last;
        let entry = match deed {
            Deed::Bought {
                member,
                tens_of_grams,
                paid_share,
                advance,
            } => {
                let deed = (*member, *tens_of_grams, *paid_share, *advance);
                let receipt = receipt(number, today, deed);
                account(&mut run, &receipt).bought(&receipt);
                standing.push((receipt.clone(), receipt.settlement.paid_minor));
                run.bought.push(receipt.clone());
                EntryBody::Receipt(Box::new(receipt))
            }
            Deed::Cancelled(which) if !standing.is_empty() => {
                let (receipt, paid) = standing.swap_remove(which.index(standing.len()));
                let later = paid - receipt.settlement.paid_minor;
                let undone =
                    CancellationV1::of(&receipt, later, Means::Cash, label("Undone"), today);
                account(&mut run, &receipt).cancelled(&receipt, &undone);
                EntryBody::Cancellation(Box::new(undone))
            }
            Deed::PaidByOfficer(which, minor) if !standing.is_empty() => {
                let of = which.index(standing.len());
                standing[of].1 += minor;
                let receipt = standing[of].0.clone();
                let payment = PaymentV1 {
                    number: receipt.number.clone(),
                    day: today,
                    paid_minor: *minor,
                    means: Means::Cash,
                    reference: None,
                };
                account(&mut run, &receipt).paid_by_officer(&payment);
                EntryBody::Payment(Box::new(payment))
            }
            Deed::PaidByDesk(which) if !standing.is_empty() => {
                let (receipt, paid) = standing[which.index(standing.len())].clone();
                let minor = receipt.assessment.payable_minor.unwrap() - paid;
                account(&mut run, &receipt).paid_by_desk(
                    &receipt.number,
                    today,
                    Means::MobileMoney,
                    minor,
                );
                run.desk_minor += minor;
                by_desk.push((receipt, minor));
                continue;
            }
            Deed::Reversed(which) if !by_desk.is_empty() => {
                let (receipt, minor) = by_desk.swap_remove(which.index(by_desk.len()));
                account(&mut run, &receipt).reversed(
                    &receipt.number,
                    today,
                    Means::MobileMoney,
                    minor,
                );
                run.desk_minor -= minor;
                continue;
            }
            _ => continue,
        };
        let book = run.books.entry(today);
        book.or_insert_with(|| DayBook::new(today))
            .add(&code("K7"), &entry);
    }
    run
}

fn account<'a>(run: &'a mut Run, receipt: &ReceiptV1) -> &'a mut Account {
    run.accounts
        .entry(receipt.member.as_str().to_owned())
        .or_default()
}

/// What the lines explain of what is payable.
fn explained(sums: &Sums) -> i128 {
    [sums.value, sums.levies, sums.advances, sums.rounding]
        .iter()
        .map(|amount| amount.parts())
        .sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn nothing_is_lost_and_nothing_made(deeds in deeds(), cut in 0..60_u64) {
        let run = run(&deeds);
        let (first, cut) = (day(), day() + Days::new(cut));
        let mut all = Sums::NOTHING;
        for account in run.accounts.values() {
            let whole = account.statement(first, run.last);
            prop_assert_eq!(whole.owed_before_minor, 0);
            // Value less what is taken off, rounded, is what is payable: in every line.
            for line in &whole.lines {
                let payable = ExactMinor::from_minor(line.sums.payable_minor);
                prop_assert_eq!(explained(&line.sums), payable.parts());
            }
            // Any cut of the time makes two statements that are one.
            let before = account.statement(first, cut);
            let after = account.statement(cut.succ_opt().unwrap(), run.last);
            if cut < run.last {
                prop_assert_eq!(after.owed_before_minor, before.owed_after_minor);
                prop_assert_eq!(after.owed_after_minor, whole.owed_after_minor);
                prop_assert_eq!(before.total.plus(after.total), whole.total);
                prop_assert_eq!(before.lines.len() + after.lines.len(), whole.lines.len());
            }
            prop_assert_eq!(
                whole.total.payable_minor - whole.total.paid_minor,
                whole.owed_after_minor
            );
            let grades: i64 = whole.grades.values().map(|sums| sums.net_g).sum();
            prop_assert_eq!(grades, whole.total.net_g);
            all = all.plus(whole.total);
        }
        // The day books know the handsets' entries; the desk's payments come on top.
        let books = |of: fn(&combgate_core::record::DayTotalV1) -> i64| -> i64 {
            run.books.values().map(|book| of(&book.total())).sum()
        };
        prop_assert_eq!(all.net_g, books(|total| total.net_g));
        prop_assert_eq!(all.payable_minor, books(|total| total.payable_minor));
        prop_assert_eq!(all.paid_minor, books(|total| total.paid_minor) + run.desk_minor);
    }
}

/// A receipt and its cancellation leave nothing on the account, and both stay on it.
#[test]
fn what_is_bought_and_undone_leaves_nothing() {
    let bought = receipt(1, day(), (2, 1_124, 40, Some(100_000)));
    let mut account = Account::new();
    account.bought(&bought);
    let once = account.statement(day(), day());
    assert_eq!(once.total.net_g, 11_240);
    assert_eq!(once.total.advances, ExactMinor::from_minor(-100_000));
    assert_eq!(once.owed_after_minor, bought.settlement.owed_minor);
    let undone = CancellationV1::of(
        &bought,
        0,
        Means::Cash,
        label("Undone"),
        day() + Days::new(2),
    );
    account.cancelled(&bought, &undone);
    let season = account.statement(day(), day() + Days::new(9));
    assert_eq!(season.total, Sums::NOTHING);
    assert_eq!(season.lines[1].kind, AccountKind::Cancelled);
    // In the books of the first day the receipt stands as it was.
    assert_eq!(account.statement(day(), day()), once);
    // A cancellation that comes after its day was closed counts on the open day, and says so.
    account.counts_on(day() + Days::new(5));
    let line = &account.statement(day(), day() + Days::new(9)).lines[1];
    assert_eq!(line.day, day() + Days::new(5));
    assert_eq!(line.late_from, Some(day() + Days::new(2)));
}
