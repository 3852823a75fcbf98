//! What the review says of terms.

use super::*;
use combgate_core::intake::Period;
use common::findings_by;

/// A gate whose brief has another price list or policy.
fn gate_with(change: impl FnOnce(&mut BriefV1)) -> Gate {
    let mut gate = Gate::enrolled();
    let mut brief = brief_for("K7", &gate.handset.public());
    change(&mut brief);
    gate.brief_text = signed(brief);
    gate.brief = taken(&gate.brief_text, gate.handset.public().id());
    gate.open();
    gate.buy("07:42", comb(), Paid::Cash);
    gate
}

fn document(path: &str, was: &str, now: &str) -> combgate_core::record::Verbatim {
    let text = read(path);
    let changed = text.replacen(was, now, 1);
    assert_ne!(changed, text);
    BriefV1::document(&changed).unwrap()
}

#[test]
fn a_price_list_of_another_time_is_found() {
    for (was, now) in [
        (r#""until": "2027-03-31""#, r#""until": "2026-10-08""#),
        (r#""from": "2026-10-05""#, r#""from": "2026-10-10""#),
    ] {
        let path = "cooperative/prices.json";
        let gate = gate_with(|brief| brief.price_list = document(path, was, now));
        check(&gate, &[(3, "price-list-not-in-force")]);
    }
    // Both ends are in force.
    for (was, now) in [
        (r#""until": "2027-03-31""#, r#""until": "2026-10-09""#),
        (r#""from": "2026-10-05""#, r#""from": "2026-10-09""#),
    ] {
        let path = "cooperative/prices.json";
        check(
            &gate_with(|brief| brief.price_list = document(path, was, now)),
            &[],
        );
    }
}

#[test]
fn a_policy_of_another_time_is_found() {
    let (was, now) = (r#""from": "2026-01-01""#, r#""from": "2026-10-10""#);
    let path = "cooperative/policy.json";
    let gate = gate_with(|brief| brief.policy = document(path, was, now));
    check(&gate, &[(3, "policy-not-in-force")]);
}

#[test]
fn terms_that_the_desk_did_not_give_out_are_found() {
    let own_prices = receipt(comb(), Paid::Cash, |receipt| {
        receipt.terms.price_list_digest = Digest::of("a list of the officer's");
    });
    check(&own_prices, &[(3, "terms-unknown")]);
    let own_policy = slip(issue(1, "M003", wet_run(101)), |slip| {
        slip.terms.policy_digest = Digest::of("a policy of the officer's");
    });
    check(&own_policy, &[(3, "terms-unknown")]);
}

/// What the review says when the desk took in other terms as well, in force from a day on.
fn with_newer(
    from: &str,
    add: impl FnOnce(&mut Ledger, (combgate_core::units::Code, Period)),
) -> Vec<&'static str> {
    let gate = receipt(comb(), Paid::Cash, |_| ());
    let mut ledger = Ledger::of(&gate.brief);
    let period = Period {
        from: from.parse().unwrap(),
        until: None,
    };
    add(&mut ledger, (code("NEWER"), period));
    let found = findings_by(&gate, ledger);
    found.iter().map(|finding| finding.kind.code()).collect()
}

/// A list without an end holds until a newer one begins, not for ever.
#[test]
fn terms_that_newer_ones_followed_are_found() {
    for (from, superseded) in [
        ("2026-10-09", true),
        ("2026-10-06", true),
        ("2026-10-10", false),
        ("2025-10-09", false),
    ] {
        let prices = with_newer(from, |ledger, newer| ledger.price_lists.push(newer));
        let policy = with_newer(from, |ledger, newer| ledger.policies.push(newer));
        let expected = |code| if superseded { vec![code] } else { vec![] };
        assert_eq!(prices, expected("price-list-superseded"), "{from}");
        assert_eq!(policy, expected("policy-superseded"), "{from}");
    }
}
