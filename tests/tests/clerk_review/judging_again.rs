//! What the review says of judging again.

use super::*;

#[test]
fn a_raised_price_is_found_though_all_of_it_sums() {
    let mut gate = Gate::opened();
    let issue = gate.due(comb(), Paid::Cash);
    let number = gate
        .handset
        .standing
        .next_number(&code("K7"), day())
        .unwrap();
    let mut body = issue.paper(number, &gate.brief).unwrap();
    overpay(&mut body, 5_000);
    gate.write("07:42", &body);
    check(&gate, &[(3, "price-differs")]);
    let found = findings(&gate);
    // 17.5 kg at 420, less 1 %: 7,276.50, to the coin of 5.
    assert_eq!(
        found[0].kind,
        FindingKind::PriceDiffers {
            signed: kes(732_500),
            own: kes(727_500)
        }
    );
}

#[test]
fn a_line_that_pays_somebody_else_is_found() {
    let levied = receipt(comb(), Paid::Cash, |receipt| {
        receipt.assessment.lines[1].payee = Some(label("The officer"));
    });
    check(&levied, &[(3, "price-differs")]);
}

#[test]
fn every_altered_result_is_named() {
    type Change = fn(&mut ReceiptV1);
    let changes: [(&str, Change); 9] = [
        ("the moisture", |receipt| {
            let moisture = receipt.assessment.moisture.as_mut().unwrap();
            moisture.moisture_hundredths = Moisture::new(17_00).unwrap();
        }),
        ("the moisture", |receipt| receipt.assessment.moisture = None),
        ("the capped share", |receipt| {
            let capped = receipt.assessment.capped.as_mut().unwrap();
            capped.share_hundredths = Share::new(99_00).unwrap();
        }),
        ("the weight", |receipt| {
            receipt.assessment.net_g = Some(Grams::new(17_400).unwrap());
        }),
        ("the weight", |receipt| {
            receipt.assessment.tare_g = Some(Grams::new(1_000).unwrap());
        }),
        ("the grade", |receipt| {
            receipt.assessment.grade = Some(code("B"));
        }),
        ("the grounds", |receipt| receipt.assessment.grounds.clear()),
        ("the grounds", |receipt| {
            receipt.assessment.settled_by = vec![combgate_core::intake::Settle::WeighAgain];
        }),
        ("the notes on weighing", |receipt| {
            receipt.assessment.marks.push(MarkV1::ScaleCheckFailed);
        }),
    ];
    for (name, change) in changes {
        let gate = receipt(comb(), Paid::Cash, change);
        let found = findings(&gate);
        assert_eq!(found.len(), 1, "{name}: {found:?}");
        assert_eq!(found[0].kind, FindingKind::JudgementDiffers { field: name });
        assert_eq!(found[0].number, Some(common::number("K7-26-00001")));
    }
}

/// What was seen and read is signed as it is; only the result was made better.
#[test]
fn wet_honey_receipted_as_dry_is_found() {
    let dry = receipt(issue(1, "M003", good_run(101)), Paid::Cash, |receipt| {
        receipt.delivery = wet_run(101).pails(&[(101, 12_340, 1_100)]);
    });
    check(&dry, &[(3, "judgement-differs"), (3, "price-differs")]);
    let found = findings(&dry);
    let field = "the decision";
    assert_eq!(found[0].kind, FindingKind::JudgementDiffers { field });
}

#[test]
fn good_honey_refused_is_found() {
    let refused = slip(issue(1, "M003", wet_run(101)), |slip| {
        slip.delivery = good_run(101);
    });
    check(&refused, &[(3, "judgement-differs"), (3, "price-differs")]);
}

#[test]
fn lines_that_do_not_sum_are_found_without_judging() {
    let gate = receipt(comb(), Paid::Cash, |receipt| {
        let rounding = receipt.assessment.lines.last_mut().unwrap();
        rounding.amount_minor = "12345".into();
    });
    check(&gate, &[(3, "price-differs"), (3, "lines-do-not-sum")]);
    let unreadable = receipt(comb(), Paid::Cash, |receipt| {
        receipt.assessment.lines[0].amount_minor = "1e9".into();
    });
    check(
        &unreadable,
        &[(3, "price-differs"), (3, "lines-do-not-sum")],
    );
}

#[test]
fn a_paper_that_does_not_go_with_its_decision_is_found() {
    // Held honey with a receipt of nothing.
    let mut gate = Gate::opened();
    let honest = slip(issue(1, "M003", wet_run(101)), |_| ());
    let EntryBody::Slip(held) = honest.handset.entries[2].body().clone() else {
        panic!("it is held");
    };
    let mut body = receipt_of(&receipt(comb(), Paid::Cash, |_| ()));
    body.delivery = held.delivery;
    body.assessment = held.assessment;
    body.settlement = Paid::Cash.settle(0);
    gate.write("07:42", &EntryBody::Receipt(Box::new(body)));
    check(&gate, &[(3, "wrong-paper")]);

    // Bought honey with a slip.
    let mut gate = Gate::opened();
    let bought = receipt_of(&receipt(comb(), Paid::Cash, |_| ()));
    let slip = SlipV1 {
        number: bought.number,
        delivery_id: bought.delivery_id,
        day: bought.day,
        member: bought.member,
        terms: bought.terms,
        delivery: bought.delivery,
        assessment: bought.assessment,
        pails_with: combgate_core::record::Keeper::Member,
    };
    gate.write("07:42", &EntryBody::Slip(Box::new(slip)));
    check(&gate, &[(3, "wrong-paper")]);
}

#[test]
fn a_delivery_that_cannot_be_is_found() {
    let twice = receipt(comb(), Paid::Cash, |receipt| {
        receipt.delivery.answers.push(AnswerV1 {
            fault: Fault::Fermenting,
            answer: Answer::Clear,
        });
    });
    check(&twice, &[(3, "impossible-delivery")]);
    let unknown_premium = receipt(comb(), Paid::Cash, |receipt| {
        receipt.premiums = vec![code("GOLD")];
    });
    check(
        &unknown_premium,
        &[(3, "premium-not-due"), (3, "impossible-delivery")],
    );
}

#[test]
fn a_light_pail_is_noted() {
    let light = good_run(101).pails(&[(101, 150, 50)]);
    check(
        &receipt(issue(1, "M003", light), Paid::Cash, |_| ()),
        &[(3, "under-least-load")],
    );
}
