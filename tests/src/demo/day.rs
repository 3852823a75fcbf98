//! A real day at the gate: handset K7, 9 October 2026, fourteen deliveries of the register.
//!
//! Bought and paid in cash, by telephone, in part and with an advance taken back; held; refused;
//! honey of stingless bees; a member put on the register; a receipt cancelled and replaced; the
//! rest of a sum paid in the afternoon; cash and pails counted to the shilling and the pail.

use super::cooperative::{brief_for, signed, taken};
use super::handset::Handset;
use super::honey::{Brought, Paid, brought, issue};
use super::{at, code, day, label, on, test_key};
use combgate_core::honey::Scale;
use combgate_core::intake::{Bee, Fault, Form, Hive};
use combgate_core::record::{
    Brief, CancellationV1, DayClosedV1, DayOpenedV1, DeliveryV1, EntryBody, Issue, Keeper, Means,
    MemberRegisteredV1, PaymentV1, ReceiptNumber, ReceiptV1, RefractometerCardV1,
    RefractometerCheckV1, ScaleCardV1,
};
use combgate_core::units::{Celsius, Currency, Grams, ScaleInterval};

/// The handset's code.
pub const HANDSET: &str = "K7";
/// Empty pails taken in the morning.
pub const PAILS: u32 = 20;
/// Cash counted in, minor units.
pub const FLOAT_MINOR: i64 = 12_000_000;

/// A handset at work by its brief.
#[derive(Debug, Clone)]
pub struct Gate {
    /// The handset.
    pub handset: Handset,
    /// Its brief as it came.
    pub brief_text: String,
    /// Its brief.
    pub brief: Brief,
}

impl Gate {
    /// Handset K7 with its brief, on the evening before.
    pub fn enrolled() -> Self {
        Self::enrolled_with(HANDSET, &format!("handset {HANDSET}"))
    }

    /// A handset with another code or key.
    pub fn enrolled_with(handset: &str, key: &str) -> Self {
        Self::begin(handset, test_key(key))
    }

    /// A handset with any key.
    pub fn begin(handset: &str, key: combgate_core::record::SoftwareKey) -> Self {
        let name = label("Gate telephone (test key)");
        let handset = Handset::enrol(key, code(handset), name, on("2026-10-08", "15:30"));
        let brief_text = signed(brief_for(handset.code.as_str(), &handset.public()));
        let brief = taken(&brief_text, handset.public().id());
        Self {
            handset,
            brief_text,
            brief,
        }
    }

    /// The same with the day opened.
    pub fn opened() -> Self {
        let mut gate = Self::enrolled();
        gate.open();
        gate
    }

    /// Opens the day.
    pub fn open(&mut self) {
        self.handset.write(at("07:10"), &opening());
    }

    /// Premiums and advance as the register has them, settled as said.
    ///
    /// # Panics
    /// When the delivery cannot be assessed.
    pub fn due(&self, mut issue: Issue, paid: Paid<'_>) -> Issue {
        let mut members = self.brief.payload().members.iter();
        if let Some(member) = members.find(|member| member.number == issue.member) {
            issue.premiums.clone_from(&member.premiums);
            issue.advance.clone_from(&member.advance);
        }
        let price = issue.assess(&self.brief).unwrap().price;
        issue.settlement = paid.settle(price.map_or(0, |price| price.payable.minor()));
        issue
    }

    /// Issues the paper of a delivery, settled as said.
    pub fn buy(&mut self, clock: &str, issue: Issue, paid: Paid<'_>) -> ReceiptNumber {
        let issue = self.due(issue, paid);
        self.handset.issue(at(clock), issue, &self.brief)
    }

    /// Writes an entry.
    pub fn write(&mut self, clock: &str, body: &EntryBody) {
        self.handset.write(at(clock), body);
    }

    /// The receipt of a number.
    ///
    /// # Panics
    /// When there is none.
    pub fn receipt(&self, number: &ReceiptNumber) -> ReceiptV1 {
        let mut entries = self.handset.entries.iter();
        entries
            .find_map(|entry| match entry.body() {
                EntryBody::Receipt(receipt) if receipt.number == *number => Some(receipt.as_ref()),
                _ => None,
            })
            .unwrap()
            .clone()
    }

    /// Closes the day with cash and pails as they should be.
    ///
    /// # Panics
    /// When no day is open.
    pub fn close(&mut self, clock: &str) {
        let open = self.handset.standing.open.as_ref().unwrap();
        let full_pails = u32::try_from(open.full_pails).unwrap();
        let body = EntryBody::DayClosed(Box::new(DayClosedV1 {
            day: open.day,
            cash_minor: open.cash_minor,
            full_pails,
            empty_pails: PAILS.saturating_sub(full_pails),
            explanation: None,
        }));
        self.write(clock, &body);
    }
}

/// The morning's entry: float, pails, seals, both instruments checked.
///
/// # Panics
/// Never: all figures are in range.
pub fn opening() -> EntryBody {
    let grams = |value| Grams::new(value).unwrap();
    EntryBody::DayOpened(Box::new(DayOpenedV1 {
        day: day(),
        officer: label("Neema Osale"),
        brief_serial: 1,
        float_minor: FLOAT_MINOR,
        currency: Currency::new("KES").unwrap(),
        pails: PAILS,
        seals: 40,
        scale: Some(ScaleCardV1 {
            id: code("SC-2"),
            sticker: Some(code("VS-2026-118")),
            interval_g: ScaleInterval::new(10).unwrap(),
            known_g: Some(grams(5_000)),
            shown_g: Some(grams(5_000)),
        }),
        refractometer: Some(RefractometerCardV1 {
            id: code("RF-1"),
            scale: Scale::Water,
            compensated: true,
            check: Some(RefractometerCheckV1 {
                reference: 18_30,
                reading: 18_20,
                temperature_tenths_c: Celsius::new(200).unwrap(),
            }),
        }),
    }))
}

/// Undoes a receipt: what was paid comes back in cash.
///
/// # Panics
/// When the receipt has no weight.
pub fn cancellation(receipt: &ReceiptV1, reason: &str) -> CancellationV1 {
    CancellationV1 {
        number: receipt.number.clone(),
        day: receipt.day,
        reason: label(reason),
        net_g: receipt.assessment.net_g.unwrap(),
        payable_minor: receipt.assessment.payable_minor.unwrap(),
        returned_minor: receipt.settlement.paid_minor,
        pails: u32::try_from(receipt.delivery.pails.len()).unwrap(),
        means: receipt.settlement.means,
    }
}

/// Cut comb from top bars, capped and dry: grade A.
pub fn good_comb(pail: u32) -> DeliveryV1 {
    brought(Bee::Honeybee, Form::CutComb, Hive::TopBar)
        .combs(&[(88, 8, 4), (90, 6, 4)])
        .read(&[17_90, 18_00])
        .pails(&[(pail, 18_400, 900)])
}

/// Honey run from a log hive, dry: grade A.
pub fn good_run(pail: u32) -> DeliveryV1 {
    brought(Bee::Honeybee, Form::RunHoney, Hive::Log)
        .read(&[18_20, 18_30])
        .pails(&[(pail, 12_340, 1_100)])
}

/// Run honey at the limit: held until another instrument says more.
pub fn wet_run(pail: u32) -> DeliveryV1 {
    brought(Bee::Honeybee, Form::RunHoney, Hive::Log)
        .read(&[20_00, 20_10])
        .pails(&[(pail, 9_870, 1_100)])
}

/// Run honey that ferments: refused whatever its figures.
pub fn fermenting_run() -> DeliveryV1 {
    brought(Bee::Honeybee, Form::RunHoney, Hive::Log)
        .read(&[19_00, 19_10])
        .found(Fault::Fermenting)
        .pails(&[(205, 10_560, 1_100)])
}

/// Honey of stingless bees, which is wet by nature.
pub fn stingless(pail: u32) -> DeliveryV1 {
    brought(Bee::StinglessBee, Form::RunHoney, Hive::StinglessBox)
        .read(&[26_00, 26_20])
        .pails(&[(pail, 3_480, 400)])
}

/// The whole day.
pub fn whole() -> Gate {
    let mut gate = Gate::opened();
    morning(&mut gate);
    afternoon(&mut gate);
    gate
}

fn morning(gate: &mut Gate) {
    gate.buy("07:42", issue(1, "M001", good_comb(101)), Paid::Cash);
    let two_pails = good_run(102).pails(&[(102, 22_300, 1_100), (103, 17_860, 1_080)]);
    gate.buy("08:05", issue(2, "M002", two_pails), Paid::Cash);
    let crushed = brought(Bee::Honeybee, Form::CrushedComb, Hive::Log)
        .read(&[19_20, 19_30])
        .pails(&[(104, 15_210, 1_100)]);
    gate.buy("08:31", issue(3, "M003", crushed), Paid::Cash);
    let framed = brought(Bee::Honeybee, Form::CombInFrame, Hive::Frame)
        .combs(&[(93, 4, 3), (85, 11, 4), (90, 5, 5)])
        .read(&[17_40, 17_60])
        .pails(&[(105, 24_680, 2_150)]);
    gate.buy(
        "08:57",
        issue(4, "M004", framed),
        Paid::Telephone("QK81-0904"),
    );
    let held = Issue {
        pails_with: Keeper::Cooperative,
        ..issue(5, "M005", wet_run(106))
    };
    gate.buy("09:20", held, Paid::Cash);
    gate.buy("09:48", issue(6, "M006", fermenting_run()), Paid::Cash);
    gate.buy("10:12", issue(7, "M007", stingless(107)), Paid::Cash);
    gate.write("10:35", &new_member("K7-N1"));
    let smoked = good_comb(108)
        .found(Fault::SmokeTaint)
        .pails(&[(108, 11_990, 900)]);
    gate.buy("10:41", issue(8, "K7-N1", smoked), Paid::Cash);
    let weighed_wrongly = good_comb(109).pails(&[(109, 19_100, 900)]);
    let wrong = gate.buy("11:18", issue(9, "M008", weighed_wrongly), Paid::Cash);
    let undone = cancellation(&gate.receipt(&wrong), "The lid lay on the scale");
    gate.write("11:33", &EntryBody::Cancellation(Box::new(undone)));
    let again = Issue {
        replaces: Some(wrong),
        ..issue(10, "M008", good_comb(109).pails(&[(109, 18_600, 900)]))
    };
    gate.buy("11:39", again, Paid::Cash);
}

fn afternoon(gate: &mut Gate) {
    let large = brought(Bee::Honeybee, Form::CombInFrame, Hive::Frame)
        .combs(&[(80, 12, 8), (84, 10, 6), (91, 5, 4), (88, 6, 6)])
        .read(&[18_00, 18_10, 17_90])
        .pails(&[
            (110, 25_020, 2_150),
            (111, 24_310, 2_150),
            (112, 26_870, 2_180),
        ]);
    let part = gate.buy("12:27", issue(11, "M009", large), Paid::Part(1_000_000));
    gate.buy("13:05", issue(12, "M010", good_run(113)), Paid::Cash);
    let open_comb = brought(Bee::Honeybee, Form::CutComb, Hive::TopBar)
        .combs(&[(30, 65, 5), (28, 68, 4)])
        .read(&[18_90, 19_00])
        .pails(&[(206, 8_800, 900)]);
    gate.buy("13:36", issue(13, "M011", open_comb), Paid::Cash);
    let crushed = brought(Bee::Honeybee, Form::CrushedComb, Hive::TopBar)
        .read(&[18_00, 18_20])
        .pails(&[(114, 16_450, 1_100)]);
    gate.buy("14:10", issue(14, "M012", crushed), Paid::Cash);
    let rest = gate.receipt(&part).settlement.owed_minor;
    let paid = PaymentV1 {
        number: part,
        day: day(),
        paid_minor: rest,
        means: Means::Cash,
        reference: None,
    };
    gate.write("15:20", &EntryBody::Payment(Box::new(paid)));
    gate.close("16:24");
}

/// A member put on the register in the field.
pub fn new_member(number: &str) -> EntryBody {
    EntryBody::MemberRegistered(Box::new(MemberRegisteredV1 {
        member: code(number),
        name: label("Tumaini Barua"),
        village: Some(label("Sarafi")),
        phone: None,
        consent: true,
        photos: false,
        sharing: false,
    }))
}
