//! Full less empty is net, as a sum that can be done again with a pencil.

use crate::figures::kilograms;
use crate::prelude::*;
use crate::words::{Language, Word, text};
use combgate_core::record::AssessmentV1;

/// The sum; nothing when nothing was weighed.
pub(super) fn weighed(language: Language, assessment: &AssessmentV1) -> Node {
    weights(assessment)
        .map(|weights| sum(language, weights.map(IntoNode::into_node)))
        .into_node()
}

/// The sum of full, empty and net, which may change where they stand.
pub fn sum(language: Language, [gross, tare, net]: [Node; 3]) -> Node {
    let say = |word| text(language, word);
    let unit = say(Word::PurchaseUnitKg);
    let row = |class: &'static str, sign: &'static str, word, figure: Node| {
        view! {
            <div class=class>
                <dt>{say(word)}</dt>
                <dd>{sign} {figure} " " {unit}</dd>
            </div>
        }
    };
    view! {
        <h2>{say(Word::PaperSumWords)}</h2>
        <dl class="sums">
            {row("", "", Word::PaperGross, gross)} {row("", "− ", Word::PaperTare, tare)}
            {row("sum", "= ", Word::PaperNet, net)}
        </dl>
    }
    .into_node()
}

/// Full, empty, net; nothing when nothing was weighed.
pub fn weights(assessment: &AssessmentV1) -> Option<[String; 3]> {
    let gross = assessment.gross_g?;
    let tare = assessment.tare_g?;
    let net = assessment.net_g?;
    Some([gross, tare, net].map(|grams| kilograms(grams.get())))
}
