//! A fortnight of three handsets, 12 to 24 October 2026, with honest trouble in it: an entry altered
//! on the way, a bundle with a gap, a pail too light for its scale, a day priced by the list of
//! before, a float and a cash box that were short, weights that were rounded.
//!
//! The desk gives each handset two briefs, one for each week: B1 serials 1 and 4, B2 2 and 5, B3 3
//! and 6, each with [`FLOAT_MINOR`]. The second week has a price list and a policy of its own, in
//! `demo-fixtures/new-prices`.

use super::cooperative::{brief_for, signed, taken};
use super::file::{BundleFile, replace_in_payload};
use super::handset::Handset;
use super::honey::{Brought, Paid, brought, issue};
use super::{code, label, on, read, test_key};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::honey::Scale;
use combgate_core::intake::{Bee, Fault, Form, Hive};
use combgate_core::record::{
    Brief, BriefV1, DayClosedV1, DayOpenedV1, DeliveryV1, Digest, EntryBody, Issue,
    MemberRegisteredV1, RefractometerCardV1, RefractometerCheckV1, ScaleCardV1,
};
use combgate_core::units::{Celsius, Currency, Grams, Label, ScaleInterval};

/// Cash counted in each morning, minor units.
pub const FLOAT_MINOR: i64 = 8_000_000;
/// Empty pails taken each morning.
const PAILS: u32 = 14;
/// First seq of a week's bundle is told by the days: the second week begins here.
const SECOND_WEEK: u32 = 19;
/// Days of October on which honey is bought: no Sundays.
const DAYS: [u32; 12] = [12, 13, 14, 15, 16, 17, 19, 20, 21, 22, 23, 24];
/// Members that the handsets buy from. The one with an advance is left out: what three handsets take
/// back of it apart from each other would be trouble of its own.
const MEMBERS: [&str; 11] = [
    "M001", "M003", "M004", "M005", "M006", "M007", "M008", "M009", "M010", "M011", "M012",
];

/// A handset, who carries it, and how they work.
struct Who {
    code: &'static str,
    officer: &'static str,
    scale: &'static str,
    refractometer: &'static str,
    /// Serials of the two briefs.
    serials: [u32; 2],
    /// Day of October on which the second brief is taken.
    second_brief: u32,
    /// Full weights are written to this many grams.
    rounded_to: i64,
}

const WHO: [Who; 3] = [
    Who {
        code: "B1",
        officer: "Neema Osale",
        scale: "SC-1",
        refractometer: "RF-1",
        serials: [1, 4],
        second_brief: 19,
        rounded_to: 10,
    },
    // Took the second brief a day late, so one day is priced by the list of before; and reads the
    // scale to half kilograms.
    Who {
        code: "B2",
        officer: "Juma Bakari",
        scale: "SC-2",
        refractometer: "RF-2",
        serials: [2, 5],
        second_brief: 20,
        rounded_to: 500,
    },
    Who {
        code: "B3",
        officer: "Zuhura Mtana",
        scale: "SC-3",
        refractometer: "RF-3",
        serials: [3, 6],
        second_brief: 19,
        rounded_to: 10,
    },
];

/// A handset on its rounds.
struct Round {
    who: &'static Who,
    handset: Handset,
    briefs: [Brief; 2],
    deliveries: u64,
    /// Number of the last entry of the first week.
    first_week: u64,
}

/// Every file of the fortnight: its path in `demo-fixtures`, and its text.
///
/// # Panics
/// Never in practice: what is written is always the same.
pub fn files() -> Vec<(String, String)> {
    let mut files = Vec::new();
    for who in &WHO {
        let round = Round::whole(who);
        let name = |what: &str| format!("fortnight/{}-{what}", who.code.to_lowercase());
        let first = round.handset.bundle(..=round.first_week, evening(17));
        let second = round.handset.bundle(round.first_week + 1.., evening(24));
        files.push((name("card.jws"), format!("{}\n", round.handset.card())));
        files.push((name("week-1.json"), first));
        match who.code {
            "B1" => {
                files.push((name("week-2-altered.json"), altered(&second)));
                files.push((name("week-2.json"), second));
            }
            "B3" => files.push((name("week-2.json"), with_gap(&second))),
            _ => files.push((name("week-2.json"), second)),
        }
    }
    files
}

fn evening(october: u32) -> DateTime<FixedOffset> {
    at(october, "18:30")
}

fn at(october: u32, clock: &str) -> DateTime<FixedOffset> {
    on(&format!("2026-10-{october}"), clock)
}

fn date(october: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, october).unwrap()
}

/// A weight of the second receipt is another: its signature no longer fits.
fn altered(bundle: &str) -> String {
    BundleFile::of(bundle).with(|file| {
        let place = places(file, "receipt")[1];
        let payload = super::file::payload(&file.entries[place]);
        let (_, after) = payload.split_once(r#""gross_g":"#).unwrap();
        let gross: i64 = after.split(',').next().unwrap().parse().unwrap();
        let (old, new) = (
            format!(r#""gross_g":{gross}"#),
            format!(r#""gross_g":{}"#, gross + 1_000),
        );
        let entry = &mut file.entries[place];
        *entry = replace_in_payload(entry, &old, &new);
    })
}

/// One of the last day's receipts is left out.
fn with_gap(bundle: &str) -> String {
    BundleFile::of(bundle).with(|file| {
        let place = *places(file, "receipt").last().unwrap();
        file.entries.remove(place);
    })
}

fn places(file: &BundleFile, kind: &str) -> Vec<usize> {
    let kind = format!(r#""kind":"{kind}""#);
    let all = file.entries.iter().enumerate();
    all.filter(|(_, entry)| super::file::payload(entry).contains(&kind))
        .map(|(place, _)| place)
        .collect()
}

impl Round {
    fn whole(who: &'static Who) -> Self {
        let key = test_key(&format!("handset {}", who.code));
        let name = label(&format!("Telephone of {}", who.officer));
        let handset = Handset::enrol(key, code(who.code), name, on("2026-10-10", "15:30"));
        let brief = |week: usize| {
            let mut brief = BriefV1 {
                serial: who.serials[week],
                float_minor: FLOAT_MINOR,
                ..brief_for(who.code, &handset.public())
            };
            if week == 1 {
                brief.price_list = BriefV1::document(&read("new-prices/prices.json")).unwrap();
                brief.policy = BriefV1::document(&read("new-prices/policy.json")).unwrap();
            }
            taken(&signed(brief), handset.public().id())
        };
        let briefs = [brief(0), brief(1)];
        let mut round = Self {
            who,
            handset,
            briefs,
            deliveries: 0,
            first_week: 0,
        };
        for october in DAYS {
            if october == SECOND_WEEK {
                round.first_week = round.handset.head().seq;
            }
            round.work(october);
        }
        round
    }

    /// A figure that looks drawn by lot and is always the same.
    fn draw(&self, what: &str, below: u64) -> u64 {
        let of = format!("{} {} {what}", self.who.code, self.deliveries);
        let digest = Digest::of(of);
        let bytes = digest.bytes()[..8].try_into().unwrap();
        u64::from_be_bytes(bytes) % below
    }

    fn brief(&self, october: u32) -> &Brief {
        &self.briefs[usize::from(october >= self.who.second_brief)]
    }

    fn work(&mut self, october: u32) {
        let opened = self.opening(october);
        self.handset.write(at(october, "07:10"), &opened);
        if self.who.code == "B3" && october == 13 {
            let member = EntryBody::MemberRegistered(Box::new(MemberRegisteredV1 {
                member: code("B3-N1"),
                name: label("Rehema Tolesa"),
                village: Some(label("Mtoni Juu")),
                phone: None,
                consent: true,
                photos: false,
                sharing: false,
            }));
            self.handset.write(at(october, "07:40"), &member);
        }
        let count = 4 + self.draw(&format!("count {october}"), 3);
        for each in 0..count {
            self.deliver(october, each);
        }
        let closed = self.closing(october);
        self.handset.write(at(october, "17:20"), &closed);
    }

    fn deliver(&mut self, october: u32, each: u64) {
        self.deliveries += 1;
        let place = usize::try_from(self.draw("member", 11)).unwrap();
        let member = if self.who.code == "B3" && october == 13 && each == 0 {
            "B3-N1"
        } else {
            MEMBERS[place]
        };
        let paid = match self.draw("paid", 8) {
            0 => Paid::Part(200_000),
            1 => Paid::Telephone("QK81-1012"),
            _ => Paid::Cash,
        };
        let light = self.who.code == "B2" && october == 15 && each == 0;
        let delivery = if light {
            // Less than twenty intervals of its scale.
            let stingless = brought(Bee::StinglessBee, Form::RunHoney, Hive::StinglessBox);
            stingless
                .read(&[26_00, 26_20])
                .pails(&[(self.pail(), 190, 40)])
        } else {
            self.honey()
        };
        let id = self.deliveries + 1_000 * u64::from(self.who.serials[0]);
        let wanted = Issue {
            day: date(october),
            ..issue(id, member, delivery)
        };
        let brief = self.brief(october).clone();
        let wanted = due(&brief, wanted, paid);
        // From ten past eight, one every hour and a quarter.
        let minutes = 490 + each * 75;
        let clock = format!("{:02}:{:02}", minutes / 60, minutes % 60);
        self.handset.issue(at(october, &clock), wanted, &brief);
    }

    fn pail(&self) -> u32 {
        let first = 200 * self.who.serials[0];
        first + u32::try_from(self.deliveries).unwrap()
    }

    fn honey(&self) -> DeliveryV1 {
        let water = i64::try_from(1_660 + self.draw("water", 230)).unwrap();
        let forms = [
            (Form::CutComb, Hive::TopBar),
            (Form::CrushedComb, Hive::Log),
            (Form::RunHoney, Hive::Log),
            (Form::CombInFrame, Hive::Frame),
        ];
        let (form, hive) = forms[usize::try_from(self.draw("form", 4)).unwrap()];
        let grams = i64::try_from(8_000 + self.draw("weight", 16_000)).unwrap();
        let gross = grams / self.who.rounded_to * self.who.rounded_to;
        let mut delivery = brought(Bee::Honeybee, form, hive)
            .read(&[water, water + 10])
            .pails(&[(self.pail(), gross, 1_100)]);
        if matches!(form, Form::CutComb | Form::CombInFrame) {
            let capped = i64::try_from(82 + self.draw("capped", 14)).unwrap();
            delivery = delivery.combs(&[(capped, 100 - capped, 4), (capped - 2, 98 - capped, 4)]);
        }
        match self.draw("fault", 14) {
            0 => delivery.found(Fault::Fermenting),
            1 => delivery.found(Fault::SmokeTaint),
            _ => delivery,
        }
    }

    fn opening(&self, october: u32) -> EntryBody {
        let grams = |value| Grams::new(value).unwrap();
        // Four notes of fifty were missing in the envelope.
        let short = self.who.code == "B2" && october == 14;
        EntryBody::DayOpened(Box::new(DayOpenedV1 {
            day: date(october),
            officer: label(self.who.officer),
            brief_serial: self.brief(october).payload().serial,
            float_minor: FLOAT_MINOR - if short { 20_000 } else { 0 },
            currency: Currency::new("KES").unwrap(),
            pails: PAILS,
            seals: 40,
            scale: Some(ScaleCardV1 {
                id: code(self.who.scale),
                sticker: None,
                interval_g: ScaleInterval::new(10).unwrap(),
                known_g: Some(grams(5_000)),
                shown_g: Some(grams(5_000)),
            }),
            refractometer: Some(RefractometerCardV1 {
                id: code(self.who.refractometer),
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

    fn closing(&self, october: u32) -> EntryBody {
        let open = self.handset.standing.open.as_ref().unwrap();
        let full_pails = u32::try_from(open.full_pails).unwrap();
        let short = self.who.code == "B3" && october == 16;
        let words = "One receipt was paid a hundred too much; the member has been told.";
        EntryBody::DayClosed(Box::new(DayClosedV1 {
            day: open.day,
            cash_minor: open.cash_minor - if short { 10_000 } else { 0 },
            full_pails,
            empty_pails: PAILS - full_pails,
            explanation: short.then(|| Label::new(words).unwrap()),
        }))
    }
}

/// Premiums as the register has them, settled as said.
fn due(brief: &Brief, mut issue: Issue, paid: Paid<'_>) -> Issue {
    let mut members = brief.payload().members.iter();
    if let Some(member) = members.find(|member| member.number == issue.member) {
        issue.premiums.clone_from(&member.premiums);
    }
    let price = issue.assess(brief).unwrap().price;
    let payable = price.map_or(0, |price| price.payable.minor());
    issue.settlement = match paid {
        // A small sum is paid whole.
        Paid::Part(part) if part > payable => Paid::Cash,
        other => other,
    }
    .settle(payable);
    if let Some(day) = &mut issue.settlement.due {
        *day = issue.day + chrono::Days::new(14);
    }
    issue
}
