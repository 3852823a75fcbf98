//! A receipt or a slip as the farmer sees it; the phone and the desk show the same.

use crate::figures::{self, kilograms, percent};
use crate::sentences::{self, exact_money, money};
use crate::words::{Language, Phrase, Word, phrase, text};
use combgate_core::intake::Decision;
use combgate_core::record::{
    AssessmentV1, CooperativeV1, DeliveryV1, GroundCode, Keeper, Means, ReceiptV1, SettlementV1,
    SlipV1,
};
use combgate_core::units::Currency;
use leptos::prelude::*;

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
}

/// A purchase.
pub fn receipt(language: Language, receipt: &ReceiptV1, around: &Around) -> AnyView {
    let say = |word| text(language, word);
    let assessment = &receipt.assessment;
    let currency = assessment.currency;
    let per_kg = assessment.lines.first().and_then(|line| line.per_kg_minor);
    let amount = |minor: Option<i64>| {
        minor
            .zip(currency)
            .map_or_else(String::new, |(minor, currency)| money(minor, currency))
    };
    let number = receipt.number.to_string();
    view! {
        <article class="paper" lang=language.code()>
            <h1>{say(Word::PaperReceipt)} " " <span class="number-of-paper">{number}</span></h1>
            <dl class="figures">
                <div>
                    <dt>{say(Word::PaperNet)}</dt>
                    <dd data-figure="net">{weight(language, assessment)}</dd>
                </div>
                <div>
                    <dt>{say(Word::PaperPrice)}</dt>
                    <dd data-figure="price">{amount(per_kg.map(i64::from))}</dd>
                </div>
                <div>
                    <dt>{say(Word::PaperTotal)}</dt>
                    <dd data-figure="total">{amount(assessment.payable_minor)}</dd>
                </div>
            </dl>
            {currency.map(|currency| settled(language, &receipt.settlement, currency))}
            {weighed(language, assessment)}
            {currency.map(|currency| lines(language, assessment, currency))}
            {measured(language, assessment)}
            {grade(language, assessment)}
            {reasons(language, assessment)}
            {details(language, &receipt.delivery, around)}
            {foot(language, around)}
        </article>
    }
    .into_any()
}

/// A hold or a refusal.
pub fn slip(language: Language, slip: &SlipV1, around: &Around) -> AnyView {
    let say = |word| text(language, word);
    let title = match slip.assessment.decision {
        Decision::Refuse => Word::PaperSlipRefuse,
        Decision::Hold | Decision::Buy => Word::PaperSlipHold,
    };
    let keeper = match slip.pails_with {
        Keeper::Member => Word::PaperPailsWithMember,
        Keeper::Cooperative => Word::PaperPailsWithCooperative,
    };
    let number = slip.number.to_string();
    view! {
        <article class="paper" lang=language.code()>
            <h1>{say(title)} " " <span class="number-of-paper">{number}</span></h1>
            {decision(language, slip.assessment.decision)}
            {reasons(language, &slip.assessment)}
            {settles(language, &slip.assessment)}
            <p><strong>{say(keeper)}</strong></p>
            {measured(language, &slip.assessment)}
            {weighed(language, &slip.assessment)}
            {details(language, &slip.delivery, around)}
            {foot(language, around)}
        </article>
    }
    .into_any()
}

/// The decision: a word and a sign of its own, never a colour alone.
pub fn decision(language: Language, decision: Decision) -> AnyView {
    let (class, path) = match decision {
        Decision::Buy => ("decision buy", "M4 13l5 5L20 6"),
        Decision::Hold => ("decision hold", "M8 5v14M16 5v14"),
        Decision::Refuse => ("decision refuse", "M5 5l14 14M19 5L5 19"),
    };
    let word = text(language, sentences::decision(decision));
    view! {
        <p class=class>
            <svg viewBox="0 0 24 24" aria-hidden="true"><path d=path></path></svg>
            <span>{word}</span>
        </p>
    }
    .into_any()
}

/// All grounds.
pub fn reasons(language: Language, assessment: &AssessmentV1) -> AnyView {
    let sentences = sentences::grounds(language, assessment);
    let marks = assessment
        .marks
        .iter()
        .map(|mark| text(language, sentences::mark(*mark)).to_owned());
    let all: Vec<_> = sentences
        .into_iter()
        .chain(marks)
        .map(|sentence| view! { <li>{sentence}</li> })
        .collect();
    view! {
        <h2>{text(language, Word::PaperReasons)}</h2>
        <ul class="rows">{all}</ul>
    }
    .into_any()
}

/// What would settle a hold or change a refusal; nothing for a purchase.
pub fn settles(language: Language, assessment: &AssessmentV1) -> AnyView {
    let title = match assessment.decision {
        Decision::Buy => return ().into_any(),
        Decision::Hold => Word::SettleTitleHold,
        Decision::Refuse => Word::SettleTitleRefuse,
    };
    let all: Vec<_> = assessment
        .settled_by
        .iter()
        .map(|each| view! { <li>{text(language, sentences::settle(*each))}</li> })
        .collect();
    view! {
        <h2>{text(language, title)}</h2>
        <ul class="rows">{all}</ul>
    }
    .into_any()
}

/// Price lines down to the total.
pub fn lines(language: Language, assessment: &AssessmentV1, currency: Currency) -> AnyView {
    let say = |word| text(language, word);
    let rows: Vec<_> = assessment
        .lines
        .iter()
        .map(|line| {
            let (what, rate) = sentences::line(language, line, currency);
            let amount = exact_money(&line.amount_minor, currency);
            view! {
                <tr>
                    <th scope="row">
                        {what} {rate.map(|rate| view! { <br/> <span class="hint">{rate}</span> })}
                    </th>
                    <td class="number">{amount}</td>
                </tr>
            }
        })
        .collect();
    let total = money(assessment.payable_minor.unwrap_or(0), currency);
    view! {
        <h2>{say(Word::PaperLines)}</h2>
        <table>
            <thead class="unseen">
                <tr>
                    <th scope="col">{say(Word::LineItem)}</th>
                    <th scope="col">{say(Word::LineAmount)}</th>
                </tr>
            </thead>
            <tbody>
                {rows}
                <tr class="sum">
                    <th scope="row">{say(Word::PaperTotal)}</th>
                    <td class="number">{total}</td>
                </tr>
            </tbody>
        </table>
    }
    .into_any()
}

/// Moisture and capped share against their limits.
pub fn measured(language: Language, assessment: &AssessmentV1) -> AnyView {
    let limit_of = |meets: &[GroundCode]| {
        let ground = assessment
            .grounds
            .iter()
            .find(|ground| meets.contains(&ground.code));
        ground.and_then(|ground| ground.limit_hundredths)
    };
    let moisture = assessment.moisture.as_ref().map(|result| {
        let value = percent(result.moisture_hundredths.get());
        let uncertainty = percent(result.standard_uncertainty_hundredths.get());
        let shown = Phrase::PaperMoistureValue {
            value: &value,
            uncertainty: &uncertainty,
        };
        let limit = limit_of(&[
            GroundCode::MoistureMeets,
            GroundCode::MoistureTooNear,
            GroundCode::MoistureFails,
            GroundCode::MoistureFailsOnTooLittle,
        ])
        .map(|limit| {
            phrase(
                language,
                Phrase::PaperLimitMost {
                    limit: &percent(limit),
                },
            )
        });
        row(
            language,
            Word::PaperMoisture,
            phrase(language, shown),
            limit,
        )
    });
    let capped = assessment.capped.as_ref().map(|result| {
        let value = percent(result.share_hundredths.get());
        let (low, high) = (
            percent(result.low_hundredths.get()),
            percent(result.high_hundredths.get()),
        );
        let shown = Phrase::PaperCappedValue {
            value: &value,
            low: &low,
            high: &high,
        };
        let limit = limit_of(&[
            GroundCode::CappedMeets,
            GroundCode::CappedTooNear,
            GroundCode::CappedFails,
            GroundCode::CappedFailsOnTooLittle,
        ])
        .map(|limit| {
            phrase(
                language,
                Phrase::PaperLimitLeast {
                    limit: &percent(limit),
                },
            )
        });
        let estimate = result.estimate.then(|| text(language, Word::PaperEstimate));
        view! {
            {row(language, Word::PaperCapped, phrase(language, shown), limit)}
            {estimate.map(|words| view! { <p class="hint">{words}</p> })}
        }
    });
    view! { {moisture} {capped} }.into_any()
}

fn row(language: Language, name: Word, value: String, limit: Option<String>) -> AnyView {
    view! {
        <p class="measured">
            <strong>{text(language, name)}</strong> ": " {value}
            {limit.map(|limit| view! { ", " {limit} })}
        </p>
    }
    .into_any()
}

/// Full less empty is net, as a sum.
pub fn weighed(language: Language, assessment: &AssessmentV1) -> AnyView {
    let Some(((gross, tare), net)) = assessment
        .gross_g
        .zip(assessment.tare_g)
        .zip(assessment.net_g)
    else {
        return ().into_any();
    };
    let (gross, tare, net) = (
        kilograms(gross.get()),
        kilograms(tare.get()),
        kilograms(net.get()),
    );
    let sum = phrase(
        language,
        Phrase::PaperSum {
            gross: &gross,
            tare: &tare,
            net: &net,
        },
    );
    view! {
        <p class="sum-of-weights">
            <strong>{sum}</strong>
            <br/>
            <span class="hint">{text(language, Word::PaperSumWords)}</span>
        </p>
    }
    .into_any()
}

fn weight(language: Language, assessment: &AssessmentV1) -> String {
    assessment.net_g.map_or_else(String::new, |net| {
        format!(
            "{} {}",
            kilograms(net.get()),
            text(language, Word::PurchaseUnitKg)
        )
    })
}

fn grade(language: Language, assessment: &AssessmentV1) -> AnyView {
    let grade = assessment.grade.as_ref().map(|grade| {
        let shown = phrase(
            language,
            Phrase::PaperGrade {
                grade: grade.as_str(),
            },
        );
        view! { <p><strong>{shown}</strong></p> }
    });
    view! { {grade} }.into_any()
}

fn settled(language: Language, settlement: &SettlementV1, currency: Currency) -> AnyView {
    let paid = (settlement.paid_minor > 0).then(|| {
        let amount = money(settlement.paid_minor, currency);
        let words = match settlement.means {
            Some(Means::MobileMoney) => Phrase::PaperPaidMobile { amount: &amount },
            Some(Means::Cash) | None => Phrase::PaperPaidCash { amount: &amount },
        };
        let reference = settlement.reference.as_ref().map(|reference| {
            phrase(
                language,
                Phrase::PaperPaidReference {
                    reference: reference.as_str(),
                },
            )
        });
        view! { <p>{phrase(language, words)} {reference.map(|words| view! { <br/> {words} })}</p> }
    });
    let owed = (settlement.owed_minor > 0).then(|| {
        let amount = money(settlement.owed_minor, currency);
        let day = settlement
            .due
            .map_or_else(String::new, |day| day.to_string());
        let words = Phrase::PaperOwedDue {
            amount: &amount,
            day: &day,
        };
        view! { <p>{phrase(language, words)}</p> }
    });
    let stamp = if settlement.owed_minor > 0 {
        Word::PaperOwed
    } else {
        Word::PaperPaid
    };
    view! {
        <div class="notice">
            <p class="stamp">{text(language, stamp)}</p>
            {paid}
            {owed}
        </div>
    }
    .into_any()
}

fn details(language: Language, delivery: &DeliveryV1, around: &Around) -> AnyView {
    let say = |word| text(language, word);
    let pails: Vec<_> = delivery
        .pails
        .iter()
        .map(|pail| {
            let seal = pail
                .seal
                .as_ref()
                .map_or_else(String::new, |seal| format!(" / {seal}"));
            format!("{}{seal}", pail.number)
        })
        .collect();
    let product = format!(
        "{}, {}, {}",
        say(sentences::bee(delivery.bee)),
        say(sentences::form(delivery.form)),
        say(sentences::hive(delivery.hive)),
    );
    let item = |name: Word, value: String| {
        view! { <li><strong>{text(language, name)}</strong> ": " {value}</li> }
    };
    let buyer = format!("{}, {}", around.cooperative.name, around.cooperative.place);
    view! {
        <ul class="rows">
            {item(Word::PaperMember, around.member.clone())}
            <li>{product}</li>
            {(!pails.is_empty()).then(|| item(Word::PaperPails, pails.join(", ")))}
            {item(Word::PaperDay, around.when.clone())}
            {item(Word::PaperBoughtBy, buyer)}
            {item(Word::PaperOfficer, around.officer.clone())}
            {item(Word::PaperComplaints, around.cooperative.complaints.to_string())}
        </ul>
    }
    .into_any()
}

fn foot(language: Language, around: &Around) -> AnyView {
    let code = phrase(
        language,
        Phrase::PaperCode {
            code: &around.short_code,
        },
    );
    view! {
        <p><strong>{code}</strong></p>
        <p class="hint">{text(language, Word::PaperWitness)}</p>
        <p class="hint">{text(language, Word::PaperCautionInfants)}</p>
        <p class="hint">{text(language, Word::PaperCautionScale)}</p>
    }
    .into_any()
}

/// Day and minute of an entry, as the clock there and then showed it.
pub fn when(at: &str) -> String {
    let (day, time) = (figures::date(at), figures::time(at));
    format!("{} {}", day.unwrap_or_default(), time.unwrap_or_default())
}
