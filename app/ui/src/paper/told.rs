//! The paper as sentences in a fixed order: what is read aloud, sent as text and drawn as a
//! picture. It leaves out nothing that stands on the paper.

use super::{
    Around, Paper, foot, gauge, judged, keeper, price, replaces_sentence, settled_of,
    undone_sentences, weighed,
};
use crate::sentences::{self, money};
use crate::words::{Language, Phrase, Word, phrase, text};
use combgate_core::record::{AssessmentV1, ReceiptV1, SlipV1};

/// How large a sentence is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// What counts most.
    Large,
    /// A heading.
    Strong,
    /// Everything else.
    Plain,
}

/// One sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sentence {
    /// The words.
    pub text: String,
    /// How large.
    pub size: Size,
}

/// The whole paper, in order.
pub fn sentences(language: Language, paper: Paper<'_>, around: &Around) -> Vec<Sentence> {
    let mut told = Told(Vec::new());
    let say = |word| text(language, word);
    told.plain(around.cooperative.name.to_string());
    told.strong(format!("{} {}", say(paper.title()), paper.number()));
    told.plain(around.member.clone());
    if let Some(undone) = &around.undone {
        told.large(say(Word::CancelStamp).to_owned());
        told.all(undone_sentences(language, undone));
    }
    told.all(replaces_sentence(language, paper));
    match paper {
        Paper::Receipt(receipt) => receipt_told(language, receipt, around, &mut told),
        Paper::Slip(slip) => slip_told(language, slip, &mut told),
    }
    for (name, value) in foot::detail_pairs(language, paper, around) {
        told.plain(format!("{name}: {value}"));
    }
    told.strong(foot::code_sentence(language, around));
    for word in foot::right_words(paper) {
        told.plain(say(word).to_owned());
    }
    told.0
}

fn receipt_told(language: Language, receipt: &ReceiptV1, around: &Around, told: &mut Told) {
    let assessment = &receipt.assessment;
    for (_, word, [sign, figure]) in price::three_figures(language, assessment) {
        told.large(format!("{}: {sign}{figure}", text(language, word)));
    }
    if let Some(settled) = settled_of(receipt, around) {
        told.large(text(language, settled.stamp()).to_owned());
        told.all(settled.sentences(language));
    }
    told.all(sum(language, assessment));
    if let Some(currency) = assessment.currency {
        told.strong(text(language, Word::PaperLines).to_owned());
        told.all(price::line_sentences(language, assessment, currency));
        let total = money(assessment.payable_minor.unwrap_or(0), currency);
        told.strong(format!("{}: {total}", text(language, Word::PaperTotal)));
    }
    told.all(judged::grade_sentence(language, assessment));
    told.all(gauge::sentences(language, assessment));
    told.strong(text(language, Word::PaperReasons).to_owned());
    told.all(judged::reason_sentences(language, assessment));
}

fn slip_told(language: Language, slip: &SlipV1, told: &mut Told) {
    let assessment = &slip.assessment;
    let decision = sentences::decision(assessment.decision);
    told.large(text(language, decision).to_owned());
    told.strong(text(language, Word::PaperReasons).to_owned());
    told.all(judged::reason_sentences(language, assessment));
    if let Some((title, sentences)) = judged::settle_sentences(language, assessment) {
        told.strong(title.to_owned());
        told.all(sentences.into_iter().map(str::to_owned));
    }
    told.strong(text(language, keeper(slip.pails_with)).to_owned());
    told.all(gauge::sentences(language, assessment));
    told.all(sum(language, assessment));
}

fn sum(language: Language, assessment: &AssessmentV1) -> Option<String> {
    weighed::weights(assessment).map(|[gross, tare, net]| {
        let sum = phrase(
            language,
            Phrase::PaperSum {
                gross: &gross,
                tare: &tare,
                net: &net,
            },
        );
        format!("{}: {sum}", text(language, Word::PaperSumWords))
    })
}

struct Told(Vec<Sentence>);

impl Told {
    fn say(&mut self, text: String, size: Size) {
        self.0.push(Sentence { text, size });
    }

    fn large(&mut self, text: String) {
        self.say(text, Size::Large);
    }

    fn strong(&mut self, text: String) {
        self.say(text, Size::Strong);
    }

    fn plain(&mut self, text: String) {
        self.say(text, Size::Plain);
    }

    fn all(&mut self, many: impl IntoIterator<Item = String>) {
        for text in many {
            self.plain(text);
        }
    }
}
