//! Which fields and rows policies and price lists have, in the order of a form.

use crate::store::TermsKind;
use crate::words::Word;

/// What a cell holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A code or a line of words.
    Text,
    /// A day.
    Day,
    /// Money of the list's currency.
    Money,
    /// A share or a moisture, percent.
    Percent,
    /// Grams.
    Grams,
    /// One kind of bee.
    Bee,
    /// Forms of honey, several.
    Forms,
    /// A fault, which the row is of and stays.
    Fault,
    /// Faults, several.
    Faults,
    /// How much a fault weighs.
    Weight,
}

impl Kind {
    /// A figure, kept as a whole number.
    pub(crate) const fn is_figure(self) -> bool {
        matches!(self, Self::Money | Self::Percent | Self::Grams)
    }

    /// Any number out of a list.
    pub(crate) const fn is_several(self) -> bool {
        matches!(self, Self::Forms | Self::Faults)
    }

    /// Out of a list, and not typed.
    pub(crate) const fn is_chosen(self) -> bool {
        matches!(
            self,
            Self::Bee | Self::Forms | Self::Fault | Self::Faults | Self::Weight
        )
    }
}

/// A field, or a column of rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Column {
    /// In the document.
    pub(crate) key: &'static str,
    pub(crate) word: Word,
    pub(crate) kind: Kind,
    /// Whether it must say something.
    pub(crate) needed: bool,
}

/// Rows of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Part {
    /// In the document.
    pub(crate) key: &'static str,
    pub(crate) title: Word,
    /// What is to be known of its rows.
    pub(crate) what: Option<Word>,
    pub(crate) columns: &'static [Column],
    /// Whether there may be more rows or fewer.
    pub(crate) grows: bool,
    /// Whether the first row that fits is the one that counts.
    pub(crate) ordered: bool,
}

/// A kind of document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Schema {
    pub(crate) kind: TermsKind,
    pub(crate) fields: &'static [Column],
    pub(crate) parts: &'static [Part],
}

const fn must(key: &'static str, word: Word, kind: Kind) -> Column {
    Column {
        key,
        word,
        kind,
        needed: true,
    }
}

const fn may(key: &'static str, word: Word, kind: Kind) -> Column {
    Column {
        key,
        word,
        kind,
        needed: false,
    }
}

const ID: Column = must("id", Word::TermsId, Kind::Text);
const TITLE: Column = must("title", Word::TermsTitle, Kind::Text);
const FROM: Column = must("from", Word::TermsFrom, Kind::Day);
const UNTIL: Column = may("until", Word::TermsUntil, Kind::Day);
const BEE: Column = must("bee", Word::TermsBee, Kind::Bee);
const FORMS: Column = must("forms", Word::TermsForm, Kind::Forms);
const GRADE: Column = must("grade", Word::ColumnGrade, Kind::Text);
const CODE: Column = must("code", Word::TermsCode, Kind::Text);
const LABEL: Column = must("label", Word::TermsLabel, Kind::Text);
const SOURCE: Column = must("source", Word::TermsSource, Kind::Text);
const PER_KG: Column = must("per_kg_minor", Word::TermsPrice, Kind::Money);
const MOISTURE: Column = may(
    "moisture_at_most_hundredths",
    Word::TermsMoistureAtMost,
    Kind::Percent,
);
const CAPPED: Column = may(
    "capped_at_least_hundredths",
    Word::TermsCappedAtLeast,
    Kind::Percent,
);

/// A price list.
pub(crate) const PRICE_LIST: Schema = Schema {
    kind: TermsKind::PriceList,
    fields: &[
        ID,
        TITLE,
        FROM,
        UNTIL,
        must("coin_minor", Word::TermsCoin, Kind::Money),
        must(
            "advance_share_at_most_hundredths",
            Word::TermsAdvanceShare,
            Kind::Percent,
        ),
    ],
    parts: &[
        Part {
            key: "prices",
            title: Word::TermsPrices,
            what: None,
            columns: &[BEE, FORMS, GRADE, PER_KG, SOURCE],
            grows: true,
            ordered: false,
        },
        Part {
            key: "moisture_steps",
            title: Word::TermsMoistureSteps,
            what: Some(Word::TermsMoistureStepsWhat),
            columns: &[
                BEE,
                FORMS,
                must("above_hundredths", Word::TermsAbove, Kind::Percent),
                must("per_kg_minor", Word::TermsOffPerKg, Kind::Money),
                SOURCE,
            ],
            grows: true,
            ordered: false,
        },
        Part {
            key: "premiums",
            title: Word::RegisterPremiums,
            what: None,
            columns: &[CODE, LABEL, PER_KG, SOURCE],
            grows: true,
            ordered: false,
        },
        Part {
            key: "levies",
            title: Word::TermsLevies,
            what: Some(Word::TermsLeviesWhat),
            columns: &[
                CODE,
                LABEL,
                must("payee", Word::TermsPayee, Kind::Text),
                may("per_kg_minor", Word::TermsOffPerKg, Kind::Money),
                may("of_value_hundredths", Word::TermsOfValue, Kind::Percent),
                SOURCE,
            ],
            grows: true,
            ordered: false,
        },
    ],
};

/// A policy.
pub(crate) const POLICY: Schema = Schema {
    kind: TermsKind::Policy,
    fields: &[
        ID,
        TITLE,
        FROM,
        UNTIL,
        must(
            "confidence_hundredths",
            Word::TermsConfidence,
            Kind::Percent,
        ),
        must("guard_band_hundredths", Word::TermsGuardBand, Kind::Percent),
    ],
    parts: &[
        Part {
            key: "products",
            title: Word::TermsLimits,
            what: Some(Word::TermsLimitsWhat),
            columns: &[BEE, FORMS, MOISTURE, CAPPED, SOURCE],
            grows: true,
            ordered: false,
        },
        Part {
            key: "grades",
            title: Word::TermsGrades,
            what: Some(Word::TermsGradesWhat),
            columns: &[
                GRADE,
                BEE,
                FORMS,
                MOISTURE,
                CAPPED,
                may("barred_by", Word::TermsBarredBy, Kind::Faults),
                SOURCE,
            ],
            grows: true,
            ordered: true,
        },
        Part {
            key: "faults",
            title: Word::TermsFaults,
            what: Some(Word::TermsFaultsWhat),
            columns: &[
                must("fault", Word::TermsFault, Kind::Fault),
                must("weight", Word::TermsWeight, Kind::Weight),
                SOURCE,
            ],
            grows: false,
            ordered: false,
        },
        Part {
            key: "shrink",
            title: Word::TermsShrink,
            what: Some(Word::TermsShrinkWhat),
            columns: &[
                FORMS,
                must(
                    "share_at_most_hundredths",
                    Word::TermsShrinkShare,
                    Kind::Percent,
                ),
                must("least_g", Word::TermsShrinkLeast, Kind::Grams),
                SOURCE,
            ],
            grows: true,
            ordered: false,
        },
    ],
};
