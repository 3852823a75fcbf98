//! What the review says of clock and day.

use super::*;

fn opened_on(named: &str) -> EntryBody {
    let EntryBody::DayOpened(opened) = opening() else {
        panic!("the morning opens");
    };
    let day: NaiveDate = named.parse().unwrap();
    EntryBody::DayOpened(Box::new(DayOpenedV1 { day, ..*opened }))
}

#[test]
fn a_clock_that_goes_back_is_found_once() {
    let mut gate = Gate::opened();
    gate.write("07:05", &new_member("K7-N1"));
    gate.write("07:06", &new_member("K7-N2"));
    check(&gate, &[(3, "clock-back")]);
}

#[test]
fn the_offset_of_the_clock_is_no_jump() {
    let mut gate = Gate::opened();
    // 04:20 at Greenwich is 07:20 at the gate.
    let at = "2026-10-09T04:20:00Z".parse().unwrap();
    gate.handset.write(at, &new_member("K7-N1"));
    check(&gate, &[]);
}

#[test]
fn a_day_opened_for_another_is_found() {
    for named in ["2026-10-08", "2026-10-10", "2025-10-09"] {
        let mut gate = Gate::enrolled();
        gate.write("07:10", &opened_on(named));
        check(&gate, &[(2, "day-not-clock")]);
    }
}

/// An old day left open would keep an old price list alive.
#[test]
fn a_receipt_of_a_day_long_gone_is_found() {
    let mut gate = Gate::opened();
    let late = gate.due(comb(), Paid::Cash);
    let past_midnight = gate.due(issue(2, "M006", good_run(102)), Paid::Cash);
    gate.handset
        .issue(on("2026-10-10", "00:20"), past_midnight, &gate.brief);
    gate.handset
        .issue(on("2026-10-11", "09:00"), late, &gate.brief);
    check(&gate, &[(4, "day-not-clock")]);
    // Closing is due whenever it is noticed, but not beforehand.
    let mut gate = Gate::opened();
    let closing = bodies(&common::closed(&gate)).pop().unwrap();
    gate.handset.write(on("2026-10-12", "09:00"), &closing);
    check(&gate, &[]);
    let mut gate = Gate::enrolled();
    gate.handset
        .write(on("2026-10-10", "07:00"), &opened_on("2026-10-10"));
    let EntryBody::DayClosed(mut closed) = closing else {
        panic!("the day was closed");
    };
    closed.day = "2026-10-11".parse().unwrap();
    let early = EntryBody::DayClosed(closed);
    gate.handset.write(on("2026-10-10", "16:00"), &early);
    assert!(codes(&gate).contains(&(3, "day-not-clock")));
}

#[test]
fn nothing_is_done_on_a_day_that_is_closed() {
    let mut gate = common::closed(&Gate::opened());
    gate.buy("17:00", comb(), Paid::Cash);
    gate.buy("17:10", issue(2, "M005", wet_run(102)), Paid::Cash);
    check(&gate, &[(4, "day-closed"), (5, "day-closed")]);

    let mut gate = common::closed(&Gate::opened());
    gate.write("17:00", &opening());
    check(&gate, &[(4, "day-closed")]);

    let gate = common::closed(&Gate::opened());
    let closing = gate.handset.entries[2].body().clone();
    let mut twice = gate.clone();
    twice.write("17:00", &closing);
    check(&twice, &[(4, "day-closed")]);
}

#[test]
fn nothing_is_done_on_a_day_that_was_not_opened() {
    let mut gate = Gate::enrolled();
    gate.buy("07:42", comb(), Paid::Cash);
    check(&gate, &[(2, "day-not-open")]);
    let other_day = receipt(comb(), Paid::Cash, |receipt| {
        receipt.day = "2026-10-08".parse().unwrap();
    });
    check(&other_day, &[(3, "day-not-open")]);
}

#[test]
fn a_day_that_was_never_closed_is_found_when_the_next_one_opens() {
    let mut gate = Gate::opened();
    gate.handset
        .write(on("2026-10-10", "07:00"), &opened_on("2026-10-10"));
    check(&gate, &[(3, "day-not-closed")]);
}

#[test]
fn a_jump_that_the_handset_saw_is_noted() {
    let mut gate = Gate::opened();
    let noticed = ClockNoticedV1 {
        before: at("07:10"),
        jump_seconds: -7_200,
    };
    gate.write("07:20", &EntryBody::ClockNoticed(Box::new(noticed)));
    check(&gate, &[(3, "clock-jumped")]);
}

#[test]
fn a_second_enrolment_is_found() {
    let mut gate = Gate::opened();
    let card = gate.handset.entries[0].body().clone();
    gate.write("07:20", &card);
    check(&gate, &[(3, "enrolled-again")]);
}
