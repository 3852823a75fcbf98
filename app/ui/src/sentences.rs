//! What core says, in words: one match from each code to its sentence.

use crate::figures::{self, percent};
use crate::words::{Language, Phrase, Word, phrase, text};
use combgate_core::intake::{Bee, Decision, Fault, FaultRoom, Form, Hive, Settle};
use combgate_core::record::{AssessmentV1, GroundCode, GroundV1, LineCode, LineV1, MarkV1};
use combgate_core::units::{Code, Currency};

/// Which bee.
pub const fn bee(bee: Bee) -> Word {
    match bee {
        Bee::Honeybee => Word::BeeHoneybee,
        Bee::StinglessBee => Word::BeeStinglessBee,
    }
}

/// In what form.
pub const fn form(form: Form) -> Word {
    match form {
        Form::CombInFrame => Word::FormCombInFrame,
        Form::CutComb => Word::FormCutComb,
        Form::CrushedComb => Word::FormCrushedComb,
        Form::RunHoney => Word::FormRunHoney,
    }
}

/// From what hive.
pub const fn hive(hive: Hive) -> Word {
    match hive {
        Hive::Frame => Word::HiveFrame,
        Hive::TopBar => Word::HiveTopBar,
        Hive::Log => Word::HiveLog,
        Hive::StinglessBox => Word::HiveStinglessBox,
    }
}

/// Where on the checklist.
pub const fn room(room: FaultRoom) -> Word {
    match room {
        FaultRoom::Container => Word::FaultRoomContainer,
        FaultRoom::Hygiene => Word::FaultRoomHygiene,
        FaultRoom::Senses => Word::FaultRoomSenses,
    }
}

/// A fault as the question that is asked.
pub const fn question(fault: Fault) -> Word {
    match fault {
        Fault::ChemicalContainer => Word::FaultChemicalContainer,
        Fault::BareMetalContainer => Word::FaultBareMetalContainer,
        Fault::DirtyContainer => Word::FaultDirtyContainer,
        Fault::WetContainer => Word::FaultWetContainer,
        Fault::LooseLid => Word::FaultLooseLid,
        Fault::UnmarkedContainer => Word::FaultUnmarkedContainer,
        Fault::HarvestedInRain => Word::FaultHarvestedInRain,
        Fault::BroodOrPollen => Word::FaultBroodOrPollen,
        Fault::DirtInHoney => Word::FaultDirtInHoney,
        Fault::Fermenting => Word::FaultFermenting,
        Fault::ChemicalSmell => Word::FaultChemicalSmell,
        Fault::MetalTaste => Word::FaultMetalTaste,
        Fault::SmokeTaint => Word::FaultSmokeTaint,
        Fault::BitterOrBurning => Word::FaultBitterOrBurning,
        Fault::SuspectedAddition => Word::FaultSuspectedAddition,
    }
}

/// A fault as a reason.
pub const fn reason(fault: Fault) -> Word {
    match fault {
        Fault::ChemicalContainer => Word::ReasonChemicalContainer,
        Fault::BareMetalContainer => Word::ReasonBareMetalContainer,
        Fault::DirtyContainer => Word::ReasonDirtyContainer,
        Fault::WetContainer => Word::ReasonWetContainer,
        Fault::LooseLid => Word::ReasonLooseLid,
        Fault::UnmarkedContainer => Word::ReasonUnmarkedContainer,
        Fault::HarvestedInRain => Word::ReasonHarvestedInRain,
        Fault::BroodOrPollen => Word::ReasonBroodOrPollen,
        Fault::DirtInHoney => Word::ReasonDirtInHoney,
        Fault::Fermenting => Word::ReasonFermenting,
        Fault::ChemicalSmell => Word::ReasonChemicalSmell,
        Fault::MetalTaste => Word::ReasonMetalTaste,
        Fault::SmokeTaint => Word::ReasonSmokeTaint,
        Fault::BitterOrBurning => Word::ReasonBitterOrBurning,
        Fault::SuspectedAddition => Word::ReasonSuspectedAddition,
    }
}

/// What is done with a delivery.
pub const fn decision(decision: Decision) -> Word {
    match decision {
        Decision::Buy => Word::DecisionBuy,
        Decision::Hold => Word::DecisionHold,
        Decision::Refuse => Word::DecisionRefuse,
    }
}

/// What would settle a hold.
pub const fn settle(settle: Settle) -> Word {
    match settle {
        Settle::FinishChecklist => Word::SettleFinishChecklist,
        Settle::ReadMoisture => Word::SettleReadMoisture,
        Settle::ReadMoistureAgain => Word::SettleReadMoistureAgain,
        Settle::OtherRefractometer => Word::SettleOtherRefractometer,
        Settle::CountComb => Word::SettleCountComb,
        Settle::CountMoreComb => Word::SettleCountMoreComb,
        Settle::Weigh => Word::SettleWeigh,
        Settle::WeighAgain => Word::SettleWeighAgain,
        Settle::MendContainer => Word::SettleMendContainer,
        Settle::CleanHoney => Word::SettleCleanHoney,
        Settle::LeaveToRipen => Word::SettleLeaveToRipen,
        Settle::LaboratorySample => Word::SettleLaboratorySample,
        Settle::AskOffice => Word::SettleAskOffice,
        Settle::Nothing => Word::SettleNothing,
    }
}

/// What the member should know of the weighing.
pub const fn mark(mark: MarkV1) -> Word {
    match mark {
        MarkV1::UnderLeastLoad => Word::PaperMarkUnderLeastLoad,
        MarkV1::ScaleCheckFailed => Word::PaperMarkScaleCheckFailed,
        MarkV1::ScaleCheckNotDone => Word::PaperMarkScaleCheckNotDone,
    }
}

/// Minor units with their currency: `KES 1,234.50`.
pub fn money(minor: i64, currency: Currency) -> String {
    sign_and_sum(minor, currency).concat()
}

/// The same in two parts, where they are set apart: the currency with the blank behind it, and the sum.
pub fn sign_and_sum(minor: i64, currency: Currency) -> [String; 2] {
    [
        format!("{currency} "),
        figures::money(minor, decimals(currency)),
    ]
}

/// A member as every screen and paper names one: number and name.
pub fn member(number: &Code, name: &str) -> String {
    format!("{number} {}", isolated(name)).trim_end().to_owned()
}

/// A name that may stand beside figures: one in letters that are written from right to left is set apart
/// (UAX #9, 2.4.2: FSI and PDI), or it would draw the figures behind it to its other side. Codes and
/// labels hold no such signs themselves.
pub fn isolated(name: &str) -> String {
    // The blocks whose letters run so (Unicode Character Database, DerivedBidiClass, R and AL).
    let right_to_left = |letter| {
        matches!(letter, '\u{590}'..='\u{8FF}' | '\u{FB1D}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFF}'
            | '\u{10800}'..='\u{10FFF}' | '\u{1E800}'..='\u{1EFFF}')
    };
    if name.contains(right_to_left) {
        format!("\u{2068}{name}\u{2069}")
    } else {
        name.to_owned()
    }
}

/// An exact amount of minor units, such as `−1,234.5`, with its currency's decimals and those that
/// it needs beyond.
pub fn exact_money(minor: &str, currency: Currency) -> String {
    let (whole, rest) = minor.split_once('.').unwrap_or((minor, ""));
    let negative = whole.starts_with('-');
    let sum = figures::money(whole.parse().unwrap_or(0), decimals(currency));
    // Minus zero and a half keeps its sign, which whole units alone would lose.
    let sign = if negative && !sum.starts_with(figures::MINUS) {
        figures::MINUS
    } else {
        ""
    };
    let point = if decimals(currency) == 0 && !rest.is_empty() {
        "."
    } else {
        ""
    };
    format!("{sign}{sum}{point}{rest}")
}

fn decimals(currency: Currency) -> u8 {
    u8::try_from(currency.decimals()).unwrap_or(0)
}

/// All grounds, those that decide first; open questions are counted, not listed.
pub fn grounds(language: Language, assessment: &AssessmentV1) -> Vec<String> {
    let mut sentences = Vec::new();
    let open = assessment
        .grounds
        .iter()
        .filter(|ground| ground.code == GroundCode::Unanswered)
        .count();
    let mut others: Vec<&GroundV1> = assessment
        .grounds
        .iter()
        .filter(|ground| ground.code != GroundCode::Unanswered)
        .collect();
    others.sort_by_key(|ground| std::cmp::Reverse(ground.leads_to));
    sentences.extend(
        others
            .into_iter()
            .map(|each| ground(language, each, assessment)),
    );
    if open > 0 {
        let count = open.to_string();
        sentences.push(phrase(language, Phrase::GroundUnanswered { count: &count }));
    }
    sentences
}

/// One ground.
pub fn ground(language: Language, ground: &GroundV1, assessment: &AssessmentV1) -> String {
    let limit = &percent(ground.limit_hundredths.unwrap_or(0));
    let reason = ground
        .fault
        .map_or("", |fault| text(language, reason(fault)));
    let moisture = assessment
        .moisture
        .as_ref()
        .map_or(0, |m| m.moisture_hundredths.get());
    let capped = assessment
        .capped
        .as_ref()
        .map_or(0, |c| c.share_hundredths.get());
    let (moisture, capped) = (percent(moisture), percent(capped));
    let (wet, ripe) = (&moisture, &capped);
    let filled = match ground.code {
        GroundCode::ProductNotBought => return text(language, Word::GroundProductNotBought).into(),
        GroundCode::MoistureUnusable => return text(language, Word::GroundMoistureUnusable).into(),
        GroundCode::NotWeighed => return text(language, Word::GroundNotWeighed).into(),
        GroundCode::WeightUnusable => return text(language, Word::GroundWeightUnusable).into(),
        GroundCode::NoGradeFits => return text(language, Word::GroundNoGradeFits).into(),
        GroundCode::Unanswered => Phrase::GroundUnanswered { count: "1" },
        GroundCode::HardFault => Phrase::GroundHardFault { reason },
        GroundCode::SoftFault => Phrase::GroundSoftFault { reason },
        GroundCode::NotedFault => Phrase::GroundNotedFault { reason },
        GroundCode::MoistureNotRead => Phrase::GroundMoistureNotRead { limit },
        GroundCode::MoistureMeets => Phrase::GroundMoistureMeets { limit, value: wet },
        GroundCode::MoistureTooNear => Phrase::GroundMoistureTooNear { limit, value: wet },
        GroundCode::MoistureFailsOnTooLittle => {
            Phrase::GroundMoistureFailsOnTooLittle { limit, value: wet }
        }
        GroundCode::MoistureFails => Phrase::GroundMoistureFails { limit, value: wet },
        GroundCode::CappedNotCounted => Phrase::GroundCappedNotCounted { limit },
        GroundCode::CappedMeets => Phrase::GroundCappedMeets { limit, value: ripe },
        GroundCode::CappedTooNear => Phrase::GroundCappedTooNear { limit, value: ripe },
        GroundCode::CappedFailsOnTooLittle => {
            Phrase::GroundCappedFailsOnTooLittle { limit, value: ripe }
        }
        GroundCode::CappedFails => Phrase::GroundCappedFails { limit, value: ripe },
    };
    phrase(language, filled)
}

/// What a price line is for, and at what rate.
pub fn line(language: Language, line: &LineV1, currency: Currency) -> (String, Option<String>) {
    let code = line.code.as_ref().map_or("", |code| code.as_str());
    let label = line.label.as_ref().map_or("", |label| label.as_str());
    let payee = line.payee.as_ref().map_or("", |payee| payee.as_str());
    let above = &percent(line.above_hundredths.map_or(0, i64::from));
    let what = match line.line {
        LineCode::Honey => phrase(language, Phrase::LineHoney { grade: code }),
        LineCode::MoistureStep => phrase(language, Phrase::LineMoistureStep { above }),
        LineCode::Premium => phrase(language, Phrase::LinePremium { label }),
        LineCode::Levy => phrase(language, Phrase::LineLevy { label, payee }),
        LineCode::Advance => phrase(language, Phrase::LineAdvance { payee }),
        LineCode::Rounding => text(language, Word::LineRounding).to_owned(),
    };
    let per_kg = line.per_kg_minor.map(|price| {
        let price = money(price.get(), currency);
        phrase(language, Phrase::LinePerKg { price: &price })
    });
    let of_value = line.of_value_hundredths.map(|share| {
        let share = percent(share.get());
        phrase(language, Phrase::LineOfValue { share: &share })
    });
    (what, per_kg.or(of_value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_amounts_keep_sign_and_parts() {
        let (kes, ugx) = (Currency::new("KES").unwrap(), Currency::new("UGX").unwrap());
        assert_eq!(exact_money("-1234.5", kes), "−12.345");
        assert_eq!(exact_money("465750", kes), "4,657.50");
        assert_eq!(exact_money("-0.5", kes), "−0.005");
        assert_eq!(exact_money("1250.25", ugx), "1,250.25");
        assert_eq!(money(420_000, kes), "KES 4,200.00");
    }
}
