//! What the review says of members.

use super::*;

#[test]
fn somebody_not_on_the_register_is_found() {
    let phantom = issue(1, "M999", good_comb(101));
    check(
        &receipt(phantom, Paid::Cash, |_| ()),
        &[(3, "member-unknown")],
    );
    let phantom = issue(1, "M999", wet_run(101));
    check(&slip(phantom, |_| ()), &[(3, "member-unknown")]);
}

#[test]
fn a_register_entry_never_overwrites_another() {
    let registered = |numbers: &[&str]| {
        let mut gate = Gate::opened();
        for number in numbers {
            gate.write("07:20", &new_member(number));
        }
        gate
    };
    check(&registered(&["K7-N1", "K7-N2"]), &[]);
    check(&registered(&["K7N1"]), &[]);
    check(&registered(&["K7-N1", "K7-N1"]), &[(4, "member-twice")]);
    // Payments to M001 would go to whoever overwrites M001.
    check(
        &registered(&["M001"]),
        &[(3, "other-series"), (3, "member-twice")],
    );
    for other in ["K8-N1", "K7-1", "K71-N1", "K7-N", "K7-Nx", "M200"] {
        check(&registered(&[other]), &[(3, "other-series")]);
    }
}

#[test]
fn a_member_who_did_not_agree_is_found() {
    let EntryBody::MemberRegistered(mut member) = new_member("K7-N1") else {
        panic!("it registers");
    };
    member.consent = false;
    let mut gate = Gate::opened();
    gate.write("07:20", &EntryBody::MemberRegistered(member));
    check(&gate, &[(3, "no-consent")]);
}

/// Premiums and advance as an officer might write them instead of the register's.
fn with_dues(member: &str, premiums: &[&str], advance: Option<(&str, i64)>) -> Gate {
    let mut gate = Gate::opened();
    let mut paper = issue(1, member, good_run(101));
    paper.premiums = premiums.iter().map(|premium| code(premium)).collect();
    paper.advance = advance.map(|(payee, outstanding_minor)| AdvanceV1 {
        payee: label(payee),
        outstanding_minor,
    });
    let price = paper.assess(&gate.brief).unwrap().price.unwrap();
    paper.settlement = Paid::Cash.settle(price.payable.minor());
    gate.handset.issue(at("07:42"), paper, &gate.brief);
    gate
}

#[test]
fn a_premium_is_paid_to_whom_it_is_due_and_once() {
    check(&with_dues("M001", &["ORG"], None), &[]);
    check(&with_dues("M003", &[], None), &[]);
    check(
        &with_dues("M003", &["ORG"], None),
        &[(3, "premium-not-due")],
    );
    // Core refuses to price it twice, so the receipt is one that no program of ours made.
    let twice = receipt(issue(1, "M001", good_run(101)), Paid::Cash, |receipt| {
        receipt.premiums.push(code("ORG"));
    });
    check(
        &twice,
        &[(3, "premium-not-due"), (3, "impossible-delivery")],
    );
    check(&with_dues("M001", &[], None), &[(3, "premium-left-out")]);
}

#[test]
fn a_premium_that_the_list_no_longer_pays_is_not_missed() {
    let gate = with_dues("M003", &[], None);
    let mut ledger = Ledger::of(&gate.brief);
    let member = ledger.members.get_mut(&code("M003")).unwrap();
    member.premiums.push(code("GONE"));
    assert_eq!(common::findings_by(&gate, ledger), []);
}

#[test]
fn no_more_is_taken_back_than_is_outstanding_and_by_nobody_else() {
    let owing = |advance| with_dues("M002", &[], advance);
    check(&owing(Some(("Savings group", 1_500_000))), &[]);
    check(&owing(Some(("Savings group", 900_000))), &[]);
    check(
        &owing(Some(("Savings group", 1_500_001))),
        &[(3, "advance-differs")],
    );
    check(
        &owing(Some(("The officer", 1_500_000))),
        &[(3, "advance-differs")],
    );
    check(&owing(None), &[(3, "advance-differs")]);
    let free = with_dues("M003", &[], Some(("Savings group", 1_500_000)));
    check(&free, &[(3, "advance-differs")]);
}

#[test]
fn an_advance_is_taken_back_once_over_several_deliveries() {
    let mut gate = Gate::opened();
    // Three deliveries by the brief's figure: 30 % of each value, never less outstanding.
    for place in 1..=3 {
        let large = good_run(100).pails(&[(100 + place, 24_000, 1_000)]);
        gate.buy("08:00", issue(place.into(), "M002", large), Paid::Cash);
    }
    // 23 kg at 480 is 11,040; 3,312 of it is taken back each time.
    check(&gate, &[(4, "advance-differs"), (5, "advance-differs")]);
}

#[test]
fn an_advance_paid_back_may_be_left_out() {
    let gate = with_dues("M002", &[], None);
    let mut ledger = Ledger::of(&gate.brief);
    let member = ledger.members.get_mut(&code("M002")).unwrap();
    member.advance.as_mut().unwrap().outstanding_minor = 0;
    assert_eq!(common::findings_by(&gate, ledger), []);
}
