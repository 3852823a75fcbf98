//! A delivery in a real browser, typed and tapped field by field, from its member to its receipt.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that fails should stop at once"
)]

use chrono::{DateTime, Days, FixedOffset};
use combgate_core::honey::Scale;
use combgate_core::record::{
    AssignedV1, BriefV1, CooperativeV1, DayOpenedV1, EntryBody, KeyId, MemberV1,
    RefractometerCardV1, RefractometerCheckV1, ScaleCardV1, SoftwareKey,
};
use combgate_core::units::{Celsius, Code, Currency, Grams, Label, ScaleInterval};
use combgate_field::handset::Handset;
use combgate_field::platform::database::Database;
use combgate_field::platform::drafts::{self, Kind};
use combgate_field::platform::journal::Journal;
use combgate_field::platform::{address, clock};
use combgate_field::route::{Route, Step};
use combgate_field::screens::purchase::purchase;
use combgate_field::screens::receipt::receipt as screen_of_receipt;
use combgate_view::{IntoNode, untrack};
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

const POLICY: &str = include_str!("../../../demo-fixtures/cooperative/policy.json");
const PRICES: &str = include_str!("../../../demo-fixtures/cooperative/prices.json");

fn code(text: &str) -> Code {
    Code::new(text).expect("a code")
}

fn label(text: &str) -> Label {
    Label::new(text).expect("a label")
}

/// Lets the page do what waits, and some time pass.
async fn pause(milliseconds: i32) {
    let promise = js_sys::Promise::new(&mut |done, _| {
        let window = web_sys::window().expect("a window");
        window
            .set_timeout_with_callback_and_timeout_and_arguments_0(&done, milliseconds)
            .expect("a timer");
    });
    JsFuture::from(promise).await.expect("time passes");
}

fn brief(handset: KeyId, now: DateTime<FixedOffset>) -> String {
    let desk = SoftwareKey::from_scalar(&[7; 32]).expect("a key");
    let public = desk.public().expect("its public half");
    let unsigned = BriefV1 {
        format: String::new(),
        serial: 1,
        issued_at: now,
        valid_until: now.date_naive() + Days::new(7),
        cooperative: CooperativeV1 {
            name: label("Kilima Honey"),
            place: label("Kilima"),
            complaints: label("the office"),
        },
        desk_jwk: public.jwk(),
        sealing_jwk: None,
        desk_address: None,
        handset: AssignedV1 {
            code: code("K7"),
            kid: handset,
        },
        float_minor: 5_000_000,
        policy: BriefV1::document(POLICY).expect("a policy"),
        price_list: BriefV1::document(PRICES).expect("a price list"),
        members: vec![MemberV1 {
            number: code("M-001"),
            name: label("Asha Example"),
            village: Some(label("Juu")),
            phone: None,
            language: None,
            premiums: Vec::new(),
            advance: None,
        }],
    }
    .unsigned(public.id())
    .expect("a brief");
    unsigned.with_signature(&desk.sign(&unsigned))
}

fn day(now: DateTime<FixedOffset>) -> DayOpenedV1 {
    let grams = |count| Grams::new(count).expect("a mass");
    DayOpenedV1 {
        day: now.date_naive(),
        officer: label("Officer Example"),
        brief_serial: 1,
        float_minor: 5_000_000,
        currency: Currency::new("KES").expect("a currency"),
        pails: 10,
        seals: 10,
        scale: Some(ScaleCardV1 {
            id: code("S-1"),
            sticker: None,
            interval_g: ScaleInterval::new(10).expect("an interval"),
            known_g: Some(grams(10_000)),
            shown_g: Some(grams(10_000)),
        }),
        refractometer: Some(RefractometerCardV1 {
            id: code("R-1"),
            scale: Scale::Water,
            compensated: true,
            check: Some(RefractometerCheckV1 {
                reference: 1_800,
                reading: 1_790,
                temperature_tenths_c: Celsius::new(245).expect("a temperature"),
            }),
        }),
    }
}

fn document() -> web_sys::Document {
    web_sys::window()
        .and_then(|window| window.document())
        .expect("a page")
}

fn all(selector: &str) -> Vec<web_sys::HtmlElement> {
    let found = document().query_selector_all(selector).expect("a selector");
    (0..found.length())
        .filter_map(|place| found.item(place)?.dyn_into().ok())
        .collect()
}

fn text() -> String {
    let body = document().body().expect("a body");
    body.text_content().unwrap_or_default()
}

/// Taps what shows these words.
fn tap(words: &str) {
    all("button, label.choice")
        .into_iter()
        .find(|each| each.text_content().unwrap_or_default().contains(words))
        .unwrap_or_else(|| panic!("nothing shows '{words}': {}", text()))
        .click();
}

/// Types into the field with this label.
fn enter(words: &str, typed: &str) {
    let label = all("label[for]")
        .into_iter()
        .find(|each| each.text_content().unwrap_or_default().trim() == words)
        .unwrap_or_else(|| panic!("no field '{words}': {}", text()));
    let id = label.get_attribute("for").expect("a field");
    let input: web_sys::HtmlInputElement = document()
        .get_element_by_id(&id)
        .and_then(|element| element.dyn_into().ok())
        .expect("an input");
    input.set_value(typed);
    let init = web_sys::EventInit::new();
    init.set_bubbles(true);
    let event = web_sys::Event::new_with_event_init_dict("input", &init).expect("an event");
    input.dispatch_event(&event).expect("an event heard");
}

/// Shows a screen until the handle is dropped.
fn show<V: IntoNode>(handset: Handset, screen: impl Fn() -> V) -> impl Sized {
    let body = document().body().expect("a body");
    combgate_view::mount(&body, move || {
        provide_context(handset);
        screen().into_node()
    })
}

async fn at(handset: Handset, step: Step, work: impl FnOnce()) {
    let shown = show(handset, move || purchase(step));
    pause(20).await;
    work();
    pause(20).await;
    drop(shown);
}

/// Everything between member and decision.
async fn write_down(handset: Handset) {
    at(handset, Step::Product, || {
        tap("Honeybee");
        tap("Run or pressed honey");
        tap("Log hive");
    })
    .await;
    at(handset, Step::Pail, || {
        enter("Number of pail 1", "P-101");
        enter("Empty pail", "0.9");
        tap("Another pail");
    })
    .await;
    // One that holds nothing goes at the first tap.
    at(handset, Step::Pail, || {
        assert_eq!(all("input[id^=pail-number]").len(), 2);
        tap("Remove pail 2");
    })
    .await;
    at(handset, Step::Pail, || {
        assert_eq!(all("input[id^=pail-number]").len(), 1);
    })
    .await;
    at(handset, Step::Inspection, || {
        for room in ["Container", "Harvest and dirt", "Smell, sight and taste"] {
            tap(&format!("All clear: {room}"));
        }
    })
    .await;
    at(handset, Step::Moisture, || {
        for place in 1..=2 {
            enter(&format!("Reading {place}"), "17.0");
            enter(&format!("Temperature (Reading {place})"), "24.5");
        }
    })
    .await;
    at(handset, Step::Weight, || enter("Full pail P-101", "18.4")).await;
}

/// Asks to pay nothing yet, is asked when, and pays all after all.
async fn nothing_is_owed_without_a_day(handset: Handset) {
    at(handset, Step::Decision, || tap("Nothing yet")).await;
    let shown = show(handset, || purchase(Step::Decision));
    pause(20).await;
    tap("Issue the receipt");
    pause(50).await;
    assert!(
        text().contains("Choose the day on which the rest is paid."),
        "{}",
        text()
    );
    tap("All");
    pause(20).await;
    drop(shown);
}

/// Waits until the draft is given up, which a loaded machine takes its while for.
async fn stored() {
    for _ in 0..100 {
        if drafts::is_open(Kind::Delivery) == Ok(false) {
            break;
        }
        pause(50).await;
    }
    pause(100).await;
}

#[wasm_bindgen_test]
async fn a_delivery_is_typed_judged_issued_once_and_shown() {
    let database = Database::open_as("purchase").await.expect("a database");
    let journal = Journal::open(&database).await.expect("a journal");
    let handset = Handset::open(database, journal).await.expect("a handset");
    let now = clock::now().expect("a time").at;
    at(handset, Step::Member, || {
        assert!(
            text().contains("Take in a brief before you buy."),
            "{}",
            text()
        );
    })
    .await;
    handset.enrol(label("Handset")).await.expect("a key");
    let kid = untrack(|| handset.kid()).expect("a key");
    handset.take_brief(&brief(kid, now)).await.expect("a brief");
    at(handset, Step::Member, || {
        assert!(
            text().contains("Open the day before you buy."),
            "{}",
            text()
        );
    })
    .await;
    let opened = EntryBody::DayOpened(Box::new(day(now)));
    handset.add(opened).await.expect("an open day");

    at(handset, Step::Member, || ()).await;
    assert_eq!(
        drafts::is_open(Kind::Delivery),
        Ok(false),
        "nothing typed yet"
    );
    at(handset, Step::Member, || {
        enter("Number, name or village", "áshà");
    })
    .await;
    at(handset, Step::Member, || {
        let found = all(".found button");
        let [found] = found.as_slice() else {
            panic!("one member, not {}", found.len());
        };
        assert_eq!(
            found.text_content().as_deref(),
            Some("M-001 Asha Example, Juu")
        );
        found.click();
    })
    .await;
    assert_eq!(drafts::is_open(Kind::Delivery), Ok(true));
    write_down(handset).await;
    nothing_is_owed_without_a_day(handset).await;
    at(handset, Step::Decision, || {
        // 18.40 kg full less 0.90 kg empty is 17.50 kg; at 480.00 a kilogram, 8,400.00.
        assert!(text().contains("8,400.00"), "{}", text());
        tap("Issue the receipt");
        tap("Issue the receipt");
    })
    .await;
    stored().await;

    assert_eq!(
        drafts::is_open(Kind::Delivery),
        Ok(false),
        "given up once stored"
    );
    let entries = handset.entries().await.expect("the journal");
    let receipts: Vec<_> = entries
        .iter()
        .filter_map(|entry| match entry.body() {
            EntryBody::Receipt(receipt) => Some((entry.seq(), receipt)),
            _ => None,
        })
        .collect();
    let [(seq, receipt)] = receipts.as_slice() else {
        panic!("one receipt, not {}", receipts.len());
    };
    assert_eq!(receipt.assessment.net_g.map(Grams::get), Some(17_500));
    assert_eq!(
        Some(receipt.settlement.paid_minor),
        receipt.assessment.payable_minor
    );
    let seq = u32::try_from(*seq).expect("a place");
    assert_eq!(Route::parse(&address::hash()), Route::Receipt(seq));

    let shown = show(handset, move || screen_of_receipt(seq));
    pause(200).await;
    for words in [
        "M-001 Asha Example",
        "Officer Example",
        "Kilima Honey",
        "18.40 kg",
        "− 0.90 kg",
        "= 17.50 kg",
    ] {
        assert!(text().contains(words), "'{words}' is missing: {}", text());
    }
    drop(shown);
}
