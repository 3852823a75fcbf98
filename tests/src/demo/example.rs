//! The bundle that the description of the format points to: every kind of entry once or twice,
//! signed with the published test key of RFC 7515, A.3.

use super::day::{Gate, cancellation, good_comb, good_run, new_member, wet_run};
use super::honey::{Paid, issue};
use super::{at, day, published_key};
use combgate_core::record::{ClockNoticedV1, EntryBody, Means, PaymentV1};

/// A handset `EX` with the published key, after a short day.
pub fn short_day() -> Gate {
    let mut gate = Gate::begin("EX", published_key());
    gate.open();
    gate.write("07:30", &new_member("EX-N1"));
    let part = gate.buy(
        "07:50",
        issue(1, "M001", good_comb(301)),
        Paid::Part(500_000),
    );
    let wrong = gate.buy("08:20", issue(2, "EX-N1", good_run(302)), Paid::Cash);
    let undone = cancellation(&gate.receipt(&wrong), "The member keeps the honey");
    gate.write("08:31", &EntryBody::Cancellation(Box::new(undone)));
    gate.buy("08:50", issue(3, "M003", wet_run(303)), Paid::Cash);
    let clock = ClockNoticedV1 {
        before: at("08:50"),
        jump_seconds: 3_600,
    };
    gate.write("10:05", &EntryBody::ClockNoticed(Box::new(clock)));
    let payment = PaymentV1 {
        paid_minor: gate.receipt(&part).settlement.owed_minor,
        number: part,
        day: day(),
        means: Means::Cash,
        reference: None,
    };
    gate.write("10:20", &EntryBody::Payment(Box::new(payment)));
    gate.close("10:30");
    gate
}
