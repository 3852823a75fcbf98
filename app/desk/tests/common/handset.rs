//! A handset that works by a brief of the desk under test, and signs as a phone does.

use super::desk::TestDesk;
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::{PailAtStore, SealSeen};
use combgate_core::intake::{ScaleCheck, WeighingScale};
use combgate_core::record::{
    AdvanceV1, Brief, CancellationV1, ClockNoticedV1, DayClosedV1, DayOpenedV1, DeliveryV1, Digest,
    EntryBody, Expected, Issue, JournalHead, Keeper, Means, MemberRegisteredV1, ParsedEntry,
    PaymentV1, PublicKey, ReceiptV1, Request, SettlementV1, SignedFields, SoftwareCheck,
    SoftwareKey, Standing, Unsigned, UnsignedEntry, UnsignedManifest, make_bundle,
};
use combgate_core::units::{Code, Currency, Grams, Label, ScaleInterval};
use combgate_desk::store::{Journals, SqliteStore};
use std::ops::RangeInclusive;
use uuid::Uuid;

/// A code.
pub fn code(text: &str) -> Code {
    Code::new(text).unwrap()
}

/// A line of text.
pub fn label(text: &str) -> Label {
    Label::new(text).unwrap()
}

/// The private key of a handset under test.
pub fn scalar_of(handset: &str) -> Digest {
    Digest::of(format!("test key of handset {handset}, no secret"))
}

/// A handset at work.
pub struct TestHandset {
    key: SoftwareKey,
    pub code: Code,
    pub brief: Brief,
    pub entries: Vec<ParsedEntry>,
    standing: Standing,
    at: DateTime<FixedOffset>,
    signs: bool,
}

impl TestHandset {
    /// Enrols a handset at a desk, and takes its brief, all by the desk's commands.
    pub fn enrol(desk: &TestDesk, handset: &str) -> Self {
        let at = "2026-10-20T07:00:00+03:00".parse().unwrap();
        Self::enrol_at(desk, handset, at)
    }

    /// The same, at another moment.
    pub fn enrol_at(desk: &TestDesk, handset: &str, at: DateTime<FixedOffset>) -> Self {
        let key = SoftwareKey::from_scalar(scalar_of(handset).bytes()).unwrap();
        let public = key.public().unwrap();
        let name = label(&format!("Telephone {handset}"));
        let unsigned = UnsignedEntry::enrolment(&public, name, at).unwrap();
        let card = ParsedEntry::parse(&unsigned.signed(&key.sign(unsigned.unsigned()))).unwrap();
        desk.write("card.jws", card.compact());
        desk.done(&format!("enrol card.jws --code {handset}"));
        desk.done(&format!(
            "brief --handset {handset} --out brief.jws --float 500000"
        ));
        let brief = brief_of(desk, &public, at.date_naive());
        let mut standing = Standing::default();
        standing.note(&card);
        Self {
            key,
            code: code(handset),
            brief,
            entries: vec![card],
            standing,
            at,
            signs: true,
        }
    }

    /// From now on zeros stand where a signature would, for whoever looks at anything else and has
    /// no time for millions of signatures.
    pub const fn sign_no_more(&mut self) {
        self.signs = false;
    }

    fn signature(&self, text: &Unsigned) -> [u8; 64] {
        if self.signs {
            self.key.sign(text)
        } else {
            [0; 64]
        }
    }

    /// A newer brief of the desk, which is not worked by yet.
    pub fn newer_brief(&self, desk: &TestDesk) -> Brief {
        let handset = &self.code;
        desk.done(&format!(
            "brief --handset {handset} --out brief.jws --float 500000"
        ));
        brief_of(desk, &self.key.public().unwrap(), self.at.date_naive())
    }

    /// The handset as the ledger has it.
    pub fn booked_to(&self, store: &SqliteStore) -> u64 {
        store.handset(&self.code).unwrap().unwrap().head.seq
    }

    /// Writes an entry a minute later.
    pub fn write(&mut self, body: &EntryBody) -> &ParsedEntry {
        self.at += chrono::Duration::minutes(1);
        let head = JournalHead::at(self.entries.last().unwrap());
        let kid = self.key.public().unwrap().id();
        let unsigned = UnsignedEntry::after(head, kid, self.at, body).unwrap();
        let compact = unsigned.signed(&self.signature(unsigned.unsigned()));
        let entry = ParsedEntry::parse(&compact).unwrap();
        self.standing.note(&entry);
        self.entries.push(entry);
        self.entries.last().unwrap()
    }

    /// Opens the day with the instruments of the fixtures' deliveries.
    pub fn open(&mut self) {
        let opened: DayOpenedV1 = serde_json::from_value(serde_json::json!({
            "day": self.at.date_naive().to_string(),
            "officer": "Neema Osale",
            "brief_serial": self.brief.payload().serial,
            "float_minor": 50_000_000,
            "currency": "KES",
            "pails": 400,
            "seals": 400,
            "scale": {"id": "SC-1", "interval_g": 10, "known_g": 5_000, "shown_g": 5_000},
            "refractometer": {
                "id": "RF-1", "scale": "water", "compensated": true,
                "check": {"reference": 1_800, "reading": 1_790, "temperature_tenths_c": 245},
            },
        }))
        .unwrap();
        self.write(&EntryBody::DayOpened(Box::new(opened)));
    }

    /// Brings a delivery of the fixtures; whatever is decided gets its paper. So much is paid at
    /// once of what is bought, in minor units; `None` pays all.
    pub fn deliver(&mut self, delivery: &DeliveryV1, member: &str, paid: Option<i64>) {
        let register = &self.brief.payload().members;
        let known = register
            .iter()
            .find(|known| known.number.as_str() == member);
        // Kinds of different deliveries are told apart by where they stand in the journal.
        let id = u128::from(self.standing.last_running) << 64 | kid_digits(&self.code);
        let mut issue = Issue {
            delivery_id: Uuid::from_u128(id),
            day: self.at.date_naive(),
            member: code(member),
            delivery: delivery.clone(),
            premiums: known.map_or_else(Vec::new, |known| known.premiums.clone()),
            advance: known
                .and_then(|known| known.advance.clone())
                .and_then(|advance| self.outstanding(member, &advance)),
            settlement: settled(0, 0),
            pails_with: Keeper::Member,
            replaces: None,
        };
        let payable = issue
            .assess(&self.brief)
            .unwrap()
            .price
            .map_or(0, |price| price.payable.minor());
        let paid = paid.unwrap_or(payable).min(payable);
        issue.settlement = settled(paid, payable - paid);
        let number = self.standing.next_number(&self.code, issue.day).unwrap();
        let body = issue.paper(number, &self.brief).unwrap();
        self.write(&body);
    }

    /// What of an advance this handset's own receipts have not taken back yet.
    fn outstanding(&self, member: &str, advance: &AdvanceV1) -> Option<AdvanceV1> {
        let taken: i64 = self
            .receipts()
            .filter(|receipt| receipt.member.as_str() == member)
            .filter(|receipt| !self.is_cancelled(receipt))
            .flat_map(|receipt| &receipt.assessment.lines)
            .filter(|line| line.payee.as_ref() == Some(&advance.payee))
            .map(|line| -line.amount_minor.parse::<i64>().unwrap())
            .sum();
        Some(AdvanceV1 {
            outstanding_minor: advance.outstanding_minor - taken,
            ..advance.clone()
        })
        .filter(|advance| advance.outstanding_minor > 0)
    }

    /// Registers a member.
    pub fn register(&mut self, name: &str) -> String {
        let number = format!("{}-N{}", self.code, self.standing.members_registered + 1);
        self.write(&EntryBody::MemberRegistered(Box::new(MemberRegisteredV1 {
            member: code(&number),
            name: label(name),
            village: None,
            phone: None,
            consent: true,
            photos: false,
            sharing: false,
        })));
        number
    }

    /// A request signed at a moment.
    pub fn signed(&self, request: Request, at: DateTime<FixedOffset>) -> SignedFields {
        let unsigned = request.unsigned(self.key.public().unwrap().id(), at);
        let signature = self.key.sign_request(&unsigned);
        unsigned.with_signature(&signature)
    }

    /// The receipts issued so far.
    pub fn receipts(&self) -> impl Iterator<Item = &ReceiptV1> {
        self.entries.iter().filter_map(|entry| match entry.body() {
            EntryBody::Receipt(receipt) => Some(&**receipt),
            _ => None,
        })
    }

    fn is_cancelled(&self, receipt: &ReceiptV1) -> bool {
        self.entries.iter().any(|entry| {
            matches!(entry.body(), EntryBody::Cancellation(cancelled)
                if cancelled.number == receipt.number)
        })
    }

    /// Undoes the latest receipt; what was paid at once comes back.
    pub fn cancel_latest(&mut self) {
        let receipt = self.receipts().last().unwrap().clone();
        self.cancel(&receipt, receipt.settlement.paid_minor);
    }

    /// Undoes a receipt; so much money comes back, minor units.
    pub fn cancel(&mut self, receipt: &ReceiptV1, returned_minor: i64) {
        self.write(&EntryBody::Cancellation(Box::new(CancellationV1 {
            number: receipt.number.clone(),
            day: self.at.date_naive(),
            reason: label("the scale stood on a slope"),
            net_g: receipt.assessment.net_g.unwrap(),
            payable_minor: receipt.assessment.payable_minor.unwrap(),
            returned_minor,
            pails: u32::try_from(receipt.delivery.pails.len()).unwrap(),
            means: (returned_minor > 0).then_some(Means::Cash),
        })));
    }

    /// Pays all that is owed on the latest receipt.
    pub fn pay_latest(&mut self) {
        let receipt = self.receipts().last().unwrap().clone();
        self.pay(&receipt, receipt.settlement.owed_minor);
    }

    /// Pays so much on a receipt, minor units.
    pub fn pay(&mut self, receipt: &ReceiptV1, paid_minor: i64) {
        self.write(&EntryBody::Payment(Box::new(PaymentV1 {
            number: receipt.number.clone(),
            day: self.at.date_naive(),
            paid_minor,
            means: Means::Cash,
            reference: None,
        })));
    }

    /// The clock is set by so much, and the phone notices.
    pub fn clock_jumps(&mut self, seconds: i64) {
        let before = self.at;
        self.at += chrono::Duration::seconds(seconds);
        self.write(&EntryBody::ClockNoticed(Box::new(ClockNoticedV1 {
            before,
            jump_seconds: seconds,
        })));
    }

    /// What the clock shows.
    pub const fn now(&self) -> DateTime<FixedOffset> {
        self.at
    }

    /// Cash and full pails that should be in hand on the open day.
    pub fn in_hand(&self) -> Option<(i64, u64)> {
        let open = self.standing.open.as_ref()?;
        Some((open.cash_minor, open.full_pails))
    }

    /// Closes the day with what should be there.
    pub fn close(&mut self) {
        let open = self.standing.open.clone().unwrap();
        self.write(&EntryBody::DayClosed(Box::new(DayClosedV1 {
            day: open.day,
            cash_minor: open.cash_minor,
            full_pails: u32::try_from(open.full_pails).unwrap(),
            empty_pails: u32::try_from(open.empty_pails().1).unwrap(),
            explanation: None,
        })));
    }

    /// Until seven in the morning of the next day.
    pub fn sleep(&mut self) {
        let next = self.at.date_naive() + chrono::Days::new(1);
        let morning = next.and_hms_opt(7, 0, 0).unwrap();
        self.at = morning.and_local_timezone(*self.at.offset()).unwrap();
    }

    /// A bundle of the entries with these numbers.
    pub fn bundle(&self, seqs: RangeInclusive<u64>) -> String {
        let entries = self.entries.iter();
        let entries: Vec<_> = entries
            .filter(|entry| seqs.contains(&entry.seq()))
            .cloned()
            .collect();
        self.bundle_of(&entries)
    }

    /// A bundle of any entries.
    pub fn bundle_of(&self, entries: &[ParsedEntry]) -> String {
        let public = self.key.public().unwrap();
        let handset = Some(self.code.clone());
        let unsigned = UnsignedManifest::over(entries, &public, handset, None, self.at)
            .unwrap()
            .unwrap();
        let manifest = unsigned.signed(&self.signature(unsigned.unsigned()));
        make_bundle(manifest, entries).unwrap()
    }

    /// The same handset turned back to its first entries, as a copied phone would be.
    pub fn turned_back_to(&self, seq: u64) -> Self {
        let entries: Vec<_> = self
            .entries
            .iter()
            .filter(|entry| entry.seq() <= seq)
            .cloned()
            .collect();
        let mut standing = Standing::default();
        for entry in &entries {
            standing.note(entry);
        }
        Self {
            key: self.key.clone(),
            code: self.code.clone(),
            brief: self.brief.clone(),
            at: entries.last().unwrap().at(),
            entries,
            standing,
            signs: self.signs,
        }
    }

    /// Currency of the brief.
    pub fn currency(&self) -> Currency {
        self.brief.terms().prices().parts().currency
    }
}

fn brief_of(desk: &TestDesk, handset: &PublicKey, today: NaiveDate) -> Brief {
    let expected = Expected {
        handset: handset.id(),
        desk: None,
        held_serial: None,
        today,
    };
    Brief::take(&desk.read("brief.jws"), expected, &SoftwareCheck).unwrap()
}

/// A delivery of the fixtures: `bought`, `held`, `refused`, `stingless`.
pub fn delivery(name: &str) -> DeliveryV1 {
    let path = super::fixtures()
        .join("deliveries")
        .join(format!("{name}.json"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn settled(paid_minor: i64, owed_minor: i64) -> SettlementV1 {
    SettlementV1 {
        paid_minor,
        means: (paid_minor > 0).then_some(Means::Cash),
        reference: None,
        owed_minor,
        due: (owed_minor > 0).then(|| "2026-11-30".parse().unwrap()),
    }
}

/// Tells the deliveries of handsets apart.
fn kid_digits(code: &Code) -> u128 {
    let digest = Digest::of(code.as_str());
    digest.bytes()[..4]
        .iter()
        .fold(0, |number, byte| number << 8 | u128::from(*byte))
}

/// A pail of 18.4 kg as somebody finds it at the store, on a scale of 10 g that passed its check,
/// with no seal on it.
pub fn unsealed_pail(by: &str) -> PailAtStore {
    PailAtStore {
        scale: WeighingScale {
            interval: ScaleInterval::new(10).unwrap(),
            check: ScaleCheck::Passed,
        },
        gross: Grams::new(18_400).unwrap(),
        tare: None,
        seal: SealSeen::Missing,
        by: label(by),
    }
}
