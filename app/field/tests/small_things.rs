//! Drafts, clock, identifiers, locks, files and addresses in a real browser.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that fails should stop at once"
)]

use combgate_field::platform::drafts::{self, DraftError, Kind};
use combgate_field::platform::files::{self, FileError};
use combgate_field::platform::locks::{LockError, Tab};
use combgate_field::platform::{clock, identity, preferences, space};
use combgate_field::route::{Route, Step};
use combgate_ui::words::Language;
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Sample {
    member: String,
    grams: Option<i64>,
}

#[wasm_bindgen_test]
fn a_draft_comes_back_as_it_was_and_goes_when_given_up() {
    assert_eq!(drafts::load::<Sample>(Kind::Delivery), Ok(None));
    assert_eq!(drafts::any_open(), Ok(false));
    let draft = Sample {
        member: "<b>Ñandú</b> \u{1F41D}".to_owned(),
        grams: Some(12_350),
    };
    drafts::save(Kind::Delivery, &draft).expect("a draft kept");
    let newer = Sample {
        grams: None,
        ..draft
    };
    drafts::save(Kind::Delivery, &newer).expect("a draft kept");
    assert_eq!(drafts::load(Kind::Delivery), Ok(Some(newer)));
    assert_eq!(drafts::is_open(Kind::DayOpening), Ok(false));
    assert_eq!(drafts::any_open(), Ok(true));

    // A draft of another shape is neither misread nor thrown away.
    let other = drafts::load::<Vec<u32>>(Kind::Delivery);
    assert!(matches!(other, Err(DraftError::Unreadable)), "{other:?}");
    assert_eq!(drafts::is_open(Kind::Delivery), Ok(true));

    drafts::discard(Kind::Delivery).expect("a draft given up");
    assert_eq!(drafts::any_open(), Ok(false));
}

#[wasm_bindgen_test]
fn a_draft_too_large_to_keep_is_reported_and_the_last_one_stays() {
    drafts::save(Kind::DayClosing, &"small").expect("a draft kept");
    // Browsers allow about 5 million characters in all (Web Storage, disk space).
    let large = "x".repeat(20_000_000);
    let refused = drafts::save(Kind::DayClosing, &large);
    assert!(matches!(refused, Err(DraftError::NotKept)), "{refused:?}");
    assert_eq!(drafts::load(Kind::DayClosing), Ok(Some("small".to_owned())));
    drafts::discard(Kind::DayClosing).expect("a draft given up");
}

/// What the browser itself holds of a draft.
fn on_the_phone() -> Option<String> {
    let storage = web_sys::window()?.local_storage().ok().flatten()?;
    storage
        .get_item("combgate-draft-day-opening")
        .ok()
        .flatten()
}

#[wasm_bindgen_test]
async fn a_draft_waits_its_turn_to_be_kept_and_is_never_read_older_than_it_is() {
    let told = Rc::new(RefCell::new(Vec::new()));
    let next = |text: &'static str| {
        let told = Rc::clone(&told);
        drafts::save_next(Kind::DayOpening, text, move |kept| {
            told.borrow_mut().push((text, kept));
        });
    };
    next("first");
    next("second");
    assert_eq!(on_the_phone(), None);
    assert_eq!(
        drafts::load(Kind::DayOpening),
        Ok(Some("second".to_owned()))
    );
    assert_eq!(told.take(), [("second", Ok(()))]);

    next("third");
    clock::pause(100).await;
    assert_eq!(on_the_phone().as_deref(), Some("\"third\""));

    // Given up is given up, also while it waits; a draft of another kind is not touched by that.
    next("fourth");
    drafts::discard(Kind::Delivery).expect("a draft given up");
    assert_eq!(drafts::is_open(Kind::DayOpening), Ok(true));
    next("fifth");
    drafts::discard(Kind::DayOpening).expect("a draft given up");
    clock::pause(100).await;
    assert_eq!(on_the_phone(), None);

    // A page that is left may never come back.
    drafts::settle_at_leaving();
    for event in ["pagehide", "visibilitychange"] {
        next(event);
        assert_ne!(on_the_phone(), Some(format!("\"{event}\"")));
        let window = web_sys::window().expect("a window");
        let leaving = web_sys::Event::new(event).expect("an event");
        window.dispatch_event(&leaving).expect("heard");
        assert_eq!(on_the_phone(), Some(format!("\"{event}\"")));
    }
    drafts::discard(Kind::DayOpening).expect("a draft given up");
}

#[wasm_bindgen_test]
fn the_clock_agrees_with_the_browser() {
    let before = js_sys::Date::now();
    let reading = clock::now().expect("a time");
    let after = js_sys::Date::now();
    #[expect(
        clippy::cast_precision_loss,
        reason = "milliseconds of our time fit an f64"
    )]
    let unix_ms = reading.unix_ms as f64;
    assert!(before <= unix_ms && unix_ms <= after);
    // The browser reads the text back to the same second, so text and offset belong together.
    let text = reading.at.to_rfc3339();
    let parsed = js_sys::Date::parse(&text);
    assert!((0.0..1000.0).contains(&(unix_ms - parsed)), "{text}");
    let offset_minutes = f64::from(reading.at.offset().local_minus_utc()) / 60.0;
    let browser = js_sys::Date::new_0().get_timezone_offset();
    assert!((offset_minutes + browser).abs() < f64::EPSILON, "{text}");
    assert!(!text.contains('.'), "{text}");
}

#[wasm_bindgen_test]
fn a_clock_set_back_is_told_from_time_passing() {
    let earlier = clock::now().expect("a time");
    let mut later = earlier;
    later.unix_ms += 60_000;
    later.monotonic_ms += 60_000;
    assert_eq!(clock::moved_ms(earlier, later), 0);
    later.unix_ms -= 86_400_000;
    assert_eq!(clock::moved_ms(earlier, later), -86_400_000);
}

#[wasm_bindgen_test]
fn deliveries_get_different_identifiers_of_version_seven() {
    let (one, two) = (identity::new_delivery(), identity::new_delivery());
    let (one, two) = (one.expect("an identifier"), two.expect("another"));
    assert_ne!(one, two);
    assert_eq!(one.get_version_num(), 7);
    // The first 48 bits are the time in milliseconds (RFC 9562, section 5.7).
    let milliseconds = i64::try_from(one.as_u128() >> 80).expect("a time");
    let now = clock::now().expect("a time").unix_ms;
    assert!((now - 5_000..=now).contains(&milliseconds));
}

#[wasm_bindgen_test]
async fn one_tab_alone_gets_the_right_to_work() {
    let tab = Tab::take().await.expect("the right to work");
    // A second request from the same page stands in for another tab: Web Locks queue both alike.
    assert_eq!(Tab::take().await.err(), Some(LockError::Busy));
    drop(tab);
    let tab = Tab::wait().await.expect("the right to work");
    drop(tab);
}

#[wasm_bindgen_test]
async fn files_are_read_whole_or_refused() {
    let file = |bytes: &[u8]| {
        let parts = js_sys::Array::of1(&js_sys::Uint8Array::from(bytes));
        web_sys::File::new_with_u8_array_sequence(&parts, "brief.json").expect("a file")
    };
    let text = "{\"naïve\":\"ndiyo\"}";
    assert_eq!(
        files::read_text(&file(text.as_bytes()), 100).await,
        Ok(text.to_owned())
    );
    assert_eq!(
        files::read_text(&file(&[b'a'; 11]), 10).await,
        Err(FileError::TooLarge {
            size: 11,
            limit: 10
        })
    );
    assert_eq!(
        files::read_text(&file(&[b'a'; 10]), 10).await,
        Ok("a".repeat(10))
    );
    assert_eq!(
        files::read_text(&file(&[0xff, 0xfe]), 10).await,
        Err(FileError::NotText)
    );
}

#[wasm_bindgen_test]
async fn a_download_carries_the_very_bytes() {
    // Caught on its way to the browser's download folder, where a test cannot look.
    let document = web_sys::window()
        .expect("a window")
        .document()
        .expect("a document");
    let caught = std::rc::Rc::new(std::cell::RefCell::new(None));
    let slot = caught.clone();
    let catch = Closure::<dyn Fn(web_sys::Event)>::new(move |event: web_sys::Event| {
        event.prevent_default();
        let link: web_sys::HtmlAnchorElement = event
            .target()
            .expect("a target")
            .dyn_into()
            .expect("a link");
        *slot.borrow_mut() = Some((link.download(), link.href()));
    });
    document
        .add_event_listener_with_callback("click", catch.as_ref().unchecked_ref())
        .expect("a listener");
    files::download("bundle.json", "application/json", "{\"a\":\"ä\"}").expect("a download");
    document
        .remove_event_listener_with_callback("click", catch.as_ref().unchecked_ref())
        .expect("no listener");
    let (name, address) = caught.borrow_mut().take().expect("a click");
    assert_eq!(name, "bundle.json");
    let window = web_sys::window().expect("a window");
    let answer = wasm_bindgen_futures::JsFuture::from(window.fetch_with_str(&address)).await;
    let answer: web_sys::Response = answer.expect("an answer").unchecked_into();
    let text = answer.text().expect("a promise");
    let text = wasm_bindgen_futures::JsFuture::from(text)
        .await
        .expect("a text");
    assert_eq!(text.as_string().as_deref(), Some("{\"a\":\"ä\"}"));
}

#[wasm_bindgen_test]
async fn room_is_reported_by_the_browser() {
    let space = space::report().await;
    let quota = space.quota.expect("a quota");
    assert!(space.used.expect("a use") <= quota && quota > 0);
}

#[wasm_bindgen_test]
fn a_chosen_language_is_remembered() {
    preferences::remember_language(Language::Sw);
    assert_eq!(preferences::language(), Language::Sw);
    preferences::remember_language(Language::En);
    assert_eq!(preferences::language(), Language::En);
}

#[wasm_bindgen_test]
fn every_address_leads_back_to_its_screen() {
    let steps = Step::ALL.into_iter().map(Route::Purchase);
    for route in Route::PLACES
        .into_iter()
        .chain(steps)
        .chain([Route::Receipt(4_294_967_295)])
    {
        assert_eq!(Route::parse(&route.hash()), route);
    }
    assert_eq!(Route::parse(""), Route::Start);
    assert_eq!(Route::parse("purchase"), Route::Purchase(Step::Member));
    for hash in [
        "/nowhere",
        "/receipt",
        "/receipt/-1",
        "/receipt/1/2",
        "/purchase/x",
        "/today/1",
    ] {
        assert_eq!(Route::parse(hash), Route::Unknown, "{hash}");
    }
}
