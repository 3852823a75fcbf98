//! What was decided, why, and what would change it.

use crate::prelude::*;
use crate::sentences;
use crate::words::{Language, Phrase, Word, phrase, text};
use combgate_core::intake::Decision;
use combgate_core::record::AssessmentV1;

/// The decision: a word and a sign of its own, never a colour alone.
pub fn decision(language: Language, decision: Decision) -> Node {
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
    .into_node()
}

/// All grounds.
pub fn reasons(language: Language, assessment: &AssessmentV1) -> Node {
    let all: Vec<_> = reason_sentences(language, assessment)
        .into_iter()
        .map(|sentence| view! { <li>{sentence}</li> })
        .collect();
    view! {
        <h2>{text(language, Word::PaperReasons)}</h2>
        <ul class="rows">{all}</ul>
    }
    .into_node()
}

/// Grounds, then what the member should know of the weighing.
pub(super) fn reason_sentences(language: Language, assessment: &AssessmentV1) -> Vec<String> {
    let marks = assessment
        .marks
        .iter()
        .map(|mark| text(language, sentences::mark(*mark)).to_owned());
    sentences::grounds(language, assessment)
        .into_iter()
        .chain(marks)
        .collect()
}

/// What would settle a hold or change a refusal; nothing for a purchase.
pub fn settles(language: Language, assessment: &AssessmentV1) -> Node {
    let Some((title, sentences)) = settle_sentences(language, assessment) else {
        return ().into_node();
    };
    let all: Vec<_> = sentences
        .into_iter()
        .map(|sentence| view! { <li>{sentence}</li> })
        .collect();
    view! {
        <h2>{title}</h2>
        <ul class="rows">{all}</ul>
    }
    .into_node()
}

/// Heading and sentences of [`settles`].
pub(super) fn settle_sentences(
    language: Language,
    assessment: &AssessmentV1,
) -> Option<(&'static str, Vec<&'static str>)> {
    let title = match assessment.decision {
        Decision::Buy => return None,
        Decision::Hold => Word::SettleTitleHold,
        Decision::Refuse => Word::SettleTitleRefuse,
    };
    let all = assessment
        .settled_by
        .iter()
        .map(|each| text(language, sentences::settle(*each)))
        .collect();
    Some((text(language, title), all))
}

/// The grade, large enough to be read with the reason below it.
pub(super) fn grade(language: Language, assessment: &AssessmentV1) -> Node {
    let grade = grade_sentence(language, assessment)
        .map(|shown| view! { <p class="grade"><strong>{shown}</strong></p> });
    view! { {grade} }.into_node()
}

pub(super) fn grade_sentence(language: Language, assessment: &AssessmentV1) -> Option<String> {
    assessment.grade.as_ref().map(|grade| {
        let grade = grade.as_str();
        phrase(language, Phrase::PaperGrade { grade })
    })
}
