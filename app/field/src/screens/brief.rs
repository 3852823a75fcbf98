//! Taking in the brief.

use super::inputs::notice;
use super::take_in::{Asked, take_in};
use crate::handset::handset;
use crate::speech::say;
use combgate_core::record::Brief as InHand;
use combgate_ui::sentences;
use combgate_ui::words::Word;
use combgate_view::{IntoNode, Node, view};

/// The screen.
pub fn brief() -> impl IntoNode {
    let handset = handset();
    let body = move || {
        if handset.kid().is_none() {
            return notice(Word::ErrorNoKey);
        }
        let in_hand = move || match handset.brief() {
            None => notice(Word::BriefNone),
            Some(brief) => {
                let members = handset.register().count();
                shown(
                    &brief,
                    members.map_or_else(String::new, |count| count.to_string()),
                )
            }
        };
        let prices = move || handset.brief().map(|brief| prices(&brief));
        view! { {in_hand} {take_in(handset, Asked::Brief)} {prices} }.into_node()
    };
    view! { <h1>{say(Word::BriefTitle)}</h1> {body} }
}

fn shown(brief: &InHand, members: String) -> Node {
    let payload = brief.payload();
    let prices = brief.terms().prices().parts();
    let policy = brief.terms().policy().parts();
    let texts = [
        (
            Word::StartCooperative,
            payload.cooperative.name.as_str().to_owned(),
        ),
        (Word::BriefPolicy, policy.title.as_str().to_owned()),
        (Word::BriefPriceList, prices.title.as_str().to_owned()),
    ];
    let texts = texts.map(|(word, value)| {
        view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> }
    });
    let facts = [
        (
            Word::StartHandsetCode,
            payload.handset.code.as_str().to_owned(),
        ),
        (Word::BriefSerial, payload.serial.to_string()),
        (Word::BriefValidUntil, payload.valid_until.to_string()),
        (Word::BriefMembers, members),
        (Word::BriefDesk, brief.desk().short()),
    ];
    let facts = facts.map(|(word, value)| {
        view! { <div><dt>{say(word)}</dt><dd>{value}</dd></div> }
    });
    view! {
        <dl class="terms">{texts.into_iter().collect::<Vec<_>>()}</dl>
        <dl class="figures compact">{facts.into_iter().collect::<Vec<_>>()}</dl>
    }
    .into_node()
}

fn prices(brief: &InHand) -> Node {
    let prices = brief.terms().prices().parts();
    let rows = prices.rows.iter().map(|row| {
        let price = sentences::money(row.per_kg.get(), prices.currency);
        view! {
            <tr>
                <td>{say(sentences::bee(row.bee))} ", " {say(sentences::form(row.form))}</td>
                <td>{row.grade.as_str().to_owned()}</td>
                <td class="number">{price}</td>
            </tr>
        }
    });
    view! {
        <h2>{say(Word::BriefPrices)}</h2>
        <div class="wide">
            <table>
                <thead>
                    <tr>
                        <th scope="col">{say(Word::BriefProduct)}</th>
                        <th scope="col">{say(Word::BriefGrade)}</th>
                        <th scope="col" class="number">{say(Word::PricePerKilogram)}</th>
                    </tr>
                </thead>
                <tbody>{rows.collect::<Vec<_>>()}</tbody>
            </table>
        </div>
    }
    .into_node()
}
