//! The targets, each with its seeds.

use crate::demo::cooperative::{brief_for, desk_key};
use crate::demo::day::Gate;
use crate::demo::ledger::Ledger;
use crate::demo::{day, files, public, published_key, read, sign, test_key};
use combgate_core::clerk::{Chain, DayBook, Place, ReviewState};
use combgate_core::intake::{Delivery, Policy, judge};
use combgate_core::record::seal::{Entropy, OpeningKey, seal_for};
use combgate_core::record::{
    Acknowledgement, Brief, Bundle, DeliveryV1, Entry, Expected, Handsets, JournalHead, Jws, KeyId,
    ParsedEntry, PolicyV1, PriceListV1, PublicKey, ReceiptNumber, SignatureCheck, Signed, Stub,
    StubV1, Typ, UnsignedEntry, from_text,
};
use combgate_core::units::{Code, ExactMinor, Label};
use std::collections::BTreeMap;
use std::fmt::Display;
use std::sync::LazyLock;

/// Something that reads from outside.
#[derive(Debug, Clone)]
pub struct Target {
    /// Its name, which is that of the folder with inputs that once broke it.
    pub name: &'static str,
    /// Good inputs to begin from.
    pub seeds: Vec<String>,
    /// Reads an input and checks what must hold.
    pub run: fn(&str),
}

/// All of them.
///
/// # Panics
/// When the fixtures cannot be read.
pub fn all() -> Vec<Target> {
    let bundles: Vec<_> = files::all()
        .into_iter()
        .filter_map(|(path, text)| path.starts_with("bundles/").then_some(text))
        // Large ones cost time and hold nothing that a small one does not.
        .filter(|text| text.len() < 20_000)
        .collect();
    let entries = crate::demo::bad::entries_of(&read("bundles/example.json"));
    let compact: Vec<_> = entries
        .iter()
        .map(|entry| entry.compact().to_owned())
        .collect();
    let handset = || public(&test_key("handset K7"));
    let delivery = |name| read(&format!("deliveries/{name}.json"));
    let target = |name, seeds: Vec<String>, run| Target { name, seeds, run };
    let mut targets = super::network::all();
    targets.extend([
        target("jws", compact.clone(), jws),
        target("entry", compact.clone(), entry),
        target("stub", vec![stub_of(&entries)], stub),
        target("sealed", vec![sealed_text()], sealed),
        target("card", vec![read("handset-k7/enrolment-card.jws")], card),
        target("handsets", vec![read("handset-k7/handsets.jws")], handsets),
        target("bundle", bundles, bundle),
        target(
            "brief",
            vec![
                read("handset-k7/brief.jws"),
                crate::demo::cooperative::signed(brief_for("K7", &handset())),
            ],
            brief,
        ),
        target(
            "acknowledgement",
            vec![read("handset-k7/acknowledgement.jws")],
            acknowledgement,
        ),
        target(
            "policy",
            vec![read("cooperative/policy.json"), read("policy/default.json")],
            policy,
        ),
        target(
            "price-list",
            vec![read("cooperative/prices.json")],
            price_list,
        ),
        target(
            "delivery",
            vec![delivery("bought"), delivery("held"), delivery("stingless")],
            delivery_judged,
        ),
        target(
            "words",
            [
                "K7-26-00041",
                "M001",
                "-1234.5",
                "Neema Osale",
                "0.0000001",
                "K7-N1",
            ]
            .map(str::to_owned)
            .into(),
            words,
        ),
    ]);
    targets
}

/// Takes every signature for good, so that changed texts reach what lies behind the check.
struct Trusting;

impl SignatureCheck for Trusting {
    fn fits(&self, _: &PublicKey, _: Signed<'_>) -> bool {
        true
    }
}

/// A message is for people: short, and nothing in it that a terminal obeys.
pub(super) fn refused(error: &impl Display) {
    let message = error.to_string();
    assert!(
        message.chars().count() < 700,
        "{} characters",
        message.chars().count()
    );
    assert!(!message.chars().any(char::is_control), "{message:?}");
}

fn jws(input: &str) {
    for typ in [Typ::Entry, Typ::Brief] {
        match Jws::parse(input, typ, 64 * 1024) {
            Ok(jws) => assert_eq!(jws.compact(), input),
            Err(error) => refused(&error),
        }
    }
}

/// What is read can be written again, and says the same.
fn entry(input: &str) {
    let entry = match ParsedEntry::parse(input) {
        Ok(entry) => entry,
        Err(error) => return refused(&error),
    };
    let head = JournalHead {
        seq: entry.seq() - 1,
        hash: entry.prev(),
    };
    // One that was squeezed in without its optional blanks may no longer fit when written.
    if let Ok(again) = UnsignedEntry::after(head, entry.kid(), entry.at(), entry.body()) {
        let again = ParsedEntry::parse(&again.signed(&[1; 64])).unwrap();
        assert_eq!(again.body(), entry.body());
        assert_eq!((again.seq(), again.at()), (entry.seq(), entry.at()));
    }
}

fn stub_of(entries: &[ParsedEntry]) -> String {
    let says = entries.iter().find_map(StubV1::of).unwrap();
    let key = published_key();
    sign(&key, &says.unsigned(public(&key).id()).unwrap())
}

/// What is read says the same when it is written again.
fn stub(input: &str) {
    match Stub::parse(input) {
        Ok(stub) => {
            let again = stub.says().unsigned(stub.kid()).unwrap();
            let again = Stub::parse(&again.with_signature(&[1; 64])).unwrap();
            assert_eq!(again.says(), stub.says());
        }
        Err(error) => refused(&error),
    }
}

fn card(input: &str) {
    match Entry::from_card(input, &Trusting) {
        Ok(card) => assert_eq!(card.seq(), 1),
        Err(error) => refused(&error),
    }
}

/// A list of handsets that is read says whose key signed a paper, or that none of them did.
fn handsets(input: &str) {
    static STUB: LazyLock<Stub> =
        LazyLock::new(|| Stub::parse(read("handset-k7/stub.jws").trim()).unwrap());
    match Handsets::read(input, None, &Trusting) {
        Ok(list) => match list.verify(&STUB, &Trusting) {
            Ok(code) => assert!(
                list.payload()
                    .handsets
                    .iter()
                    .any(|each| each.code == *code)
            ),
            Err(error) => refused(&error),
        },
        Err(error) => refused(&error),
    }
}

/// A bundle goes the whole way: verified, placed, reviewed, booked, summed.
fn bundle(input: &str) {
    static LEDGER: LazyLock<Ledger> = LazyLock::new(|| Ledger::of(&Gate::enrolled().brief));
    let bundle = match Bundle::parse(input).and_then(|bundle| bundle.verify(None, &Trusting)) {
        Ok(bundle) => bundle,
        Err(error) => return refused(&error),
    };
    for fault in bundle.faults() {
        refused(&fault);
    }
    let mut ledger = LEDGER.clone();
    let code = Code::new("K7").unwrap();
    let mut review = ReviewState::new(code.clone());
    let mut chain = Chain::booked_to(JournalHead::EMPTY);
    let mut booked: BTreeMap<u64, String> = BTreeMap::new();
    let mut book = DayBook::new(day());
    for entry in bundle.good() {
        match chain.place(entry, booked.get(&entry.seq()).map(String::as_str)) {
            Place::Next => {
                for finding in review.review(entry, &ledger) {
                    refused(&finding.kind);
                }
                ledger.book(entry);
                book.add(&code, entry.body());
                booked.insert(entry.seq(), entry.compact().to_owned());
            }
            Place::Booked => assert!(booked.contains_key(&entry.seq())),
            Place::Apart(kind) => refused(&kind),
        }
    }
    // Entry by entry, and as a whole, the sums are the same.
    let all = combgate_core::record::totals_by_day(bundle.good().map(|entry| entry.body()));
    if booked.len() == bundle.good().count() {
        let total = all.into_iter().find(|total| total.day == day());
        assert_eq!(total, (!book.rows().is_empty()).then(|| book.total()));
    }
    let text = serde_json::to_string(&review).unwrap();
    assert_eq!(serde_json::from_str::<ReviewState>(&text).unwrap(), review);
}

/// The handset that a paper of the desk must be for; making a key for each input would cost more
/// than reading it.
static HANDSET: LazyLock<KeyId> = LazyLock::new(|| public(&test_key("handset K7")).id());

fn brief(input: &str) {
    let expected = Expected {
        handset: *HANDSET,
        desk: None,
        held_serial: None,
        today: day(),
    };
    if let Err(error) = Brief::take(input, expected, &Trusting) {
        refused(&error);
    }
}

fn acknowledgement(input: &str) {
    static DESK: LazyLock<PublicKey> = LazyLock::new(|| public(&desk_key()));
    if let Err(error) = Acknowledgement::take(input, *HANDSET, &DESK, &Trusting) {
        refused(&error);
    }
}

fn policy(input: &str) {
    match PolicyV1::read(input) {
        Ok(policy) => judged(&policy),
        Err(error) => refused(&error),
    }
}

/// Whatever a policy says, a good delivery is judged by it.
fn judged(policy: &Policy) {
    static BOUGHT: LazyLock<Delivery> = LazyLock::new(|| {
        let text = read("deliveries/bought.json");
        let wire: DeliveryV1 = from_text("delivery", &text, text.len()).unwrap();
        Delivery::try_from(&wire).unwrap()
    });
    let judgement = judge(&BOUGHT, policy).unwrap();
    assert!(!judgement.grounds.is_empty() || judgement.grade.is_some());
}

fn price_list(input: &str) {
    if let Err(error) = PriceListV1::read(input) {
        refused(&error);
    }
}

/// Whatever a delivery says, it is judged or refused, never half of it.
fn delivery_judged(input: &str) {
    static POLICY: LazyLock<Policy> =
        LazyLock::new(|| PolicyV1::read(&read("policy/default.json")).unwrap());
    let wire: DeliveryV1 = match from_text("delivery", input, 64 * 1024) {
        Ok(wire) => wire,
        Err(error) => return refused(&error),
    };
    match Delivery::try_from(&wire) {
        Ok(delivery) => {
            judge(&delivery, &POLICY).unwrap();
        }
        Err(error) => refused(&error),
    }
}

/// Short texts that are typed: what is taken is written as it was taken, in one spelling.
fn words(input: &str) {
    match Code::new(input) {
        Ok(code) => assert_eq!(Code::new(code.as_str()), Ok(code.clone())),
        Err(error) => refused(&error),
    }
    if let Ok(label) = Label::new(input) {
        assert_eq!(Label::new(label.as_str()), Ok(label.clone()));
    }
    if let Ok(number) = ReceiptNumber::try_from(input.to_owned()) {
        assert_eq!(number.to_string(), input);
    }
    if let Ok(amount) = input.parse::<ExactMinor>() {
        assert_eq!(amount.to_string(), input);
    }
}

const OPENING_SECRET: [u8; 32] = [7; 32];

fn sealed_text() -> String {
    let key = OpeningKey::new(&OPENING_SECRET).unwrap();
    let entropy = Entropy {
        ephemeral: [9; 32],
        nonce: [3; 12],
    };
    seal_for(&key.public(), b"a journal", &entropy).unwrap()
}

/// What opens is what was sealed: nobody else has the one-time key.
fn sealed(input: &str) {
    static KEY: LazyLock<OpeningKey> = LazyLock::new(|| OpeningKey::new(&OPENING_SECRET).unwrap());
    if let Ok(text) = KEY.open(input) {
        assert_eq!(text, b"a journal");
    }
}
