//! A season as it may go: officers buy, phones are lost and stolen, bundles arrive late, twice,
//! torn or altered, the desk receives, pays, closes days. Everything follows from the seed; what
//! people did is told to the model as it happens.

use crate::common::handset::{TestHandset, code, delivery};
use crate::desk_work::List;
use crate::model::{Bought, Fact, Honey, IN_DEBT, Journal, Model, price};
use crate::world::{HANDSETS, WORLD};
use chrono::{DateTime, Days, FixedOffset, NaiveDate};
use combgate_core::record::{Brief, DeliveryV1, EntryBody};
use combgate_desk::store::SqliteStore;
use fastrand::Rng;
use tempfile::TempDir;

/// Cash that an officer counts in every morning.
const FLOAT: i64 = 50_000_000;
/// From this day on another price list holds (`world.rs`).
const NEW_PRICES_FROM: u64 = 2;
const MEMBERS: [&str; 5] = ["M001", IN_DEBT.0, "M003", "M008", "M009"];

/// A phone and whoever has it.
pub struct Officer {
    pub handset: TestHandset,
    pub state: State,
    /// What the phone knows that the desk has booked.
    pub acknowledged: u64,
    newer: Brief,
    list: usize,
    papers: u32,
    registered: Vec<String>,
}

/// What became of a phone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    Spare,
    InUse,
    Lost,
}

/// A bundle on its way.
#[derive(Clone)]
pub struct Letter {
    pub handset: usize,
    pub text: String,
    pub seqs: std::ops::RangeInclusive<u64>,
    pub altered: Option<u64>,
    pub torn: bool,
}

/// A season under way.
pub struct Season {
    pub rng: Rng,
    pub store: SqliteStore,
    pub officers: Vec<Officer>,
    pub bag: Vec<Letter>,
    pub model: Model,
    pub lists: Vec<List>,
    pub day: u64,
    pub closed_to: Option<u64>,
    pub folder: TempDir,
}

/// A day of the season.
pub fn date(day: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, 20).unwrap() + Days::new(day)
}

impl Season {
    /// Plays a season to its end.
    pub fn play(seed: u64) -> Self {
        let mut season = Self::begin(seed);
        let days = season.rng.u64(2..=5);
        for day in 0..days {
            season.day = day;
            season.one_day();
        }
        season.day = days;
        if season.rng.u8(..10) < 8 {
            season.hand_everything_over();
        }
        for _ in 0..season.rng.u8(..12) {
            season.desk_step();
        }
        season
    }

    fn begin(seed: u64) -> Self {
        let (folder, store) = WORLD.ledger();
        let officers = WORLD.handsets.iter().map(|(handset, newer)| Officer {
            handset: handset.turned_back_to(1),
            state: State::InUse,
            acknowledged: 1,
            newer: newer.clone(),
            list: 0,
            papers: 0,
            registered: Vec::new(),
        });
        let mut officers: Vec<Officer> = officers.collect();
        officers[HANDSETS.len() - 1].state = State::Spare;
        // The card came when the handset was enrolled.
        let card = Journal {
            facts: vec![Fact::Other],
            came: [1].into(),
            ..Journal::default()
        };
        let model = Model {
            journals: vec![card; officers.len()],
            ..Model::default()
        };
        Self {
            rng: Rng::with_seed(seed),
            store,
            officers,
            bag: Vec::new(),
            model,
            lists: Vec::new(),
            day: 0,
            closed_to: None,
            folder,
        }
    }

    /// The desk's evening.
    pub fn now(&self) -> DateTime<FixedOffset> {
        let evening = date(self.day).and_hms_opt(18, 0, 0).unwrap();
        let east = FixedOffset::east_opt(3 * 3_600).unwrap();
        evening.and_local_timezone(east).unwrap()
    }

    fn one_day(&mut self) {
        for who in 0..self.officers.len() {
            if self.officers[who].state == State::InUse && self.rng.u8(..10) < 8 {
                self.officers_day(who);
            }
        }
        for _ in 0..self.rng.u8(1..6) {
            self.desk_step();
        }
        if self.day > 0 && self.rng.u8(..10) < 2 {
            self.close_a_day();
        }
        for officer in &mut self.officers {
            officer.handset.sleep();
        }
    }

    fn officers_day(&mut self, who: usize) {
        let officer = &mut self.officers[who];
        // From the third day on another price list holds; some take their new brief later.
        if self.day >= NEW_PRICES_FROM && officer.list == 0 && self.rng.u8(..10) < 8 {
            officer.handset.brief = officer.newer.clone();
            officer.list = 1;
        }
        officer.handset.open();
        self.tell(who, Fact::Other);
        let first = self.model.journals[who].facts.len();
        for _ in 0..self.rng.u8(1..=7) {
            match self.rng.u8(..20) {
                0..=9 => self.buy(who),
                10..=11 => self.slip(who),
                12 => self.register(who),
                13..=14 => self.cancel(who),
                15..=16 => self.pay(who),
                17 => self.clock_jumps(who),
                18 => self.send(who),
                _ => self.desk_step(),
            }
            if self.rng.u8(..60) == 0 {
                return self.lose(who);
            }
        }
        self.count(who, first);
        if self.rng.u8(..20) > 0 {
            self.officers[who].handset.close();
            self.tell(who, Fact::Other);
        }
        self.send(who);
    }

    /// Tells the model of the entry just written.
    fn tell(&mut self, who: usize, fact: Fact) {
        self.model.journals[who].facts.push(fact);
        let entries = self.officers[who].handset.entries.len();
        assert_eq!(self.model.journals[who].facts.len(), entries);
    }

    /// Cash and full pails in the officer's hand are those of the model.
    fn count(&self, who: usize, first: usize) {
        let journal = &self.model.journals[who];
        let (mut cash, mut pails) = (FLOAT, 0_u64);
        for fact in &journal.facts[first..] {
            match fact {
                Fact::Other | Fact::Slip(_) => {}
                Fact::Bought(bought) => {
                    cash -= bought.paid;
                    pails += 1;
                }
                Fact::Cancelled { of, returned } => {
                    cash += returned;
                    // The pails of an earlier day are in the store.
                    pails -= u64::from(*of >= first);
                }
                Fact::Paid { minor, .. } => cash -= minor,
            }
        }
        assert_eq!(self.officers[who].handset.in_hand(), Some((cash, pails)));
    }

    fn next_number(&mut self, who: usize) -> String {
        let officer = &mut self.officers[who];
        officer.papers += 1;
        format!("{}-26-{:05}", HANDSETS[who], officer.papers)
    }

    fn buy(&mut self, who: usize) {
        let honey = if self.rng.u8(..5) == 0 {
            Honey::Stingless
        } else {
            Honey::CutComb
        };
        let member = self.a_member(who);
        let journal = &self.model.journals[who];
        let outstanding = if member == IN_DEBT.0 {
            let all = journal.facts.len();
            let standing = journal.facts_bought(all);
            let standing = standing.filter(|(at, _)| !journal.is_cancelled(*at, all));
            IN_DEBT.1 - standing.map(|(_, bought)| bought.taken).sum::<i64>()
        } else {
            0
        };
        let net = self.rng.i64(20..=2_500) * 10;
        let (payable, taken) = price(net, honey, self.officers[who].list, &member, outstanding);
        let at_once = match self.rng.u8(..4) {
            0 => 0,
            1 => self.rng.i64(0..=payable / 500) * 500,
            _ => payable,
        };
        let number = self.next_number(who);
        let pail = number.replace('K', "P");
        let mut delivery = in_pail(honey, &pail);
        let gross = i64::from(delivery.pails[0].tare_g) + net;
        delivery.pails[0].gross_g = gross.try_into().unwrap();
        let handset = &mut self.officers[who].handset;
        handset.deliver(&delivery, &member, Some(at_once));
        let EntryBody::Receipt(receipt) = handset.entries.last().unwrap().body() else {
            panic!("this delivery is bought");
        };
        // Kilograms, shillings and the number on the farmer's paper are the model's.
        assert_eq!(receipt.number.to_string(), number);
        assert_eq!(receipt.assessment.net_g.unwrap().get(), net);
        assert_eq!(receipt.assessment.payable_minor.unwrap(), payable);
        assert_eq!(receipt.settlement.paid_minor, at_once);
        assert_eq!(receipt.settlement.owed_minor, payable - at_once);
        let bought = Bought {
            number,
            member,
            net,
            payable,
            paid: at_once,
            taken,
            pail,
            gross,
            by_old_prices: self.day >= NEW_PRICES_FROM && self.officers[who].list == 0,
        };
        self.tell(who, Fact::Bought(bought));
    }

    fn a_member(&mut self, who: usize) -> String {
        let registered = &self.officers[who].registered;
        if !registered.is_empty() && self.rng.u8(..4) == 0 {
            return registered[self.rng.usize(..registered.len())].clone();
        }
        MEMBERS[self.rng.usize(..MEMBERS.len())].to_owned()
    }

    fn slip(&mut self, who: usize) {
        let kind = ["held", "refused"][self.rng.usize(..2)];
        let member = self.a_member(who);
        let number = self.next_number(who);
        let handset = &mut self.officers[who].handset;
        handset.deliver(&delivery(kind), &member, None);
        let EntryBody::Slip(slip) = handset.entries.last().unwrap().body() else {
            panic!("this delivery is not bought");
        };
        assert_eq!(slip.number.to_string(), number);
        self.tell(who, Fact::Slip(number));
    }

    fn register(&mut self, who: usize) {
        let officer = &mut self.officers[who];
        let name = format!("Nuru Pendo {}", officer.registered.len());
        let number = officer.handset.register(&name);
        officer.registered.push(number);
        self.tell(who, Fact::Other);
    }

    /// A receipt of this phone that stands and whose pail is not in the store yet.
    fn a_receipt(&mut self, who: usize) -> Option<usize> {
        let journal = &self.model.journals[who];
        let all = journal.facts.len();
        let standing: Vec<usize> = journal
            .facts_bought(all)
            .filter(|(at, _)| !journal.is_cancelled(*at, all))
            .filter(|(_, bought)| !self.model.at_store.contains_key(&bought.pail))
            .map(|(at, _)| at)
            .collect();
        (!standing.is_empty()).then(|| standing[self.rng.usize(..standing.len())])
    }

    fn cancel(&mut self, who: usize) {
        let Some(of) = self.a_receipt(who) else {
            return;
        };
        let journal = &self.model.journals[who];
        let returned = journal.field_paid(of, journal.facts.len());
        let receipt = receipt_of(&self.officers[who].handset, of);
        self.officers[who].handset.cancel(&receipt, returned);
        self.tell(who, Fact::Cancelled { of, returned });
    }

    fn pay(&mut self, who: usize) {
        let Some(of) = self.a_receipt(who) else {
            return;
        };
        let journal = &self.model.journals[who];
        let receipt = receipt_of(&self.officers[who].handset, of);
        let payable = receipt.assessment.payable_minor.unwrap();
        let owed = payable - journal.field_paid(of, journal.facts.len());
        if owed == 0 {
            return;
        }
        let minor = if self.rng.bool() {
            owed
        } else {
            self.rng.i64(1..=owed)
        };
        self.officers[who].handset.pay(&receipt, minor);
        self.tell(who, Fact::Paid { of, minor });
    }

    fn clock_jumps(&mut self, who: usize) {
        let seconds = self.rng.i64(1..=90) * 60 * [-1, 1][self.rng.usize(..2)];
        self.officers[who].handset.clock_jumps(seconds);
        self.tell(who, Fact::Other);
    }

    /// The phone is lost. Sometimes a thief buys on with it; the desk hears of the loss, and the
    /// spare phone takes its place.
    fn lose(&mut self, who: usize) {
        self.officers[who].state = State::Lost;
        let lost_at = self.officers[who].handset.now() + chrono::Duration::seconds(30);
        let honest = self.model.journals[who].facts.len();
        if self.rng.bool() {
            self.send(who);
        }
        if self.rng.bool() {
            for _ in 0..self.rng.u8(1..4) {
                self.buy(who);
            }
            self.send(who);
        }
        // A clock that ran ahead and was set back leaves honest entries of a later time: the desk
        // cannot tell them from a thief's, and does not believe what follows them either.
        let entries = self.officers[who].handset.entries.iter();
        let later = entries.take(honest).position(|entry| entry.at() >= lost_at);
        let from = u64::try_from(later.unwrap_or(honest)).unwrap() + 1;
        self.model.journals[who].disbelieved_from = Some(from);
        self.take_out_of_use(who, lost_at);
        for officer in &mut self.officers {
            if officer.state == State::Spare {
                officer.state = State::InUse;
            }
        }
    }
}

/// The receipt that a journal holds at this place.
fn receipt_of(handset: &TestHandset, at: usize) -> combgate_core::record::ReceiptV1 {
    match handset.entries[at].body() {
        EntryBody::Receipt(receipt) => (**receipt).clone(),
        other => panic!("no receipt: {other:?}"),
    }
}

fn in_pail(honey: Honey, pail: &str) -> DeliveryV1 {
    let kind = match honey {
        Honey::CutComb => "bought",
        Honey::Stingless => "stingless",
    };
    let mut brought = delivery(kind);
    brought.pails[0].number = code(pail);
    brought.pails[0].seal = Some(code(&pail.replace('P', "S")));
    brought
}
