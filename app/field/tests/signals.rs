//! Signals of the phone beside Leptos's own, the reference, and words that follow the language.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that fails should stop at once"
)]

use combgate_view::{
    Memo, Mounted, RwSignal, Signal, Spoken, StoredValue, begin, effect, mount, seldom, speak_anew,
    view,
};
use fastrand::Rng;
use leptos::prelude::{Get, GetUntracked, Set, Update};
use leptos::reactive::owner::Owner;
use leptos::task::tick;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};
use web_sys::Element;

wasm_bindgen_test_configure!(run_in_browser);

const SEED: u64 = 20_261_129;

/// A place on the page, and a part of a screen on it.
fn on_the_page(part: impl FnOnce() -> combgate_view::Node) -> (Element, Mounted) {
    let document = web_sys::window()
        .and_then(|window| window.document())
        .expect("a page");
    let place = document.create_element("main").expect("an element");
    let mounted = mount(&place, part);
    (place, mounted)
}

/// The same graph twice: a number, its half, whether that is even, and what somebody wrote down of it.
#[wasm_bindgen_test]
async fn they_give_what_leptos_gives_and_work_as_often() {
    begin();
    let owner = Owner::new();
    owner.set();
    let mut random = Rng::with_seed(SEED);
    let worked = Rc::new([const { Cell::new(0_u32) }; 2]);
    let told: Rc<[RefCell<Vec<bool>>; 2]> = Rc::default();

    let own = RwSignal::new(0_i64);
    let counted = Rc::clone(&worked);
    let half = Memo::new(move || {
        counted[0].set(counted[0].get() + 1);
        own.get() / 2
    });
    let is_even = Signal::derive(move || half.get() % 2 == 0);
    let wrote = Rc::clone(&told);
    effect(move |_| wrote[0].borrow_mut().push(is_even.get()));

    let theirs = leptos::prelude::RwSignal::new(0_i64);
    let counted = leptos::prelude::StoredValue::new_local(Rc::clone(&worked));
    let their_half = leptos::prelude::Memo::new(move |_| {
        use leptos::prelude::WithValue;
        counted.with_value(|counted| counted[1].set(counted[1].get() + 1));
        theirs.get() / 2
    });
    let their_is_even = leptos::prelude::Signal::derive(move || their_half.get() % 2 == 0);
    let wrote = Rc::clone(&told);
    leptos::prelude::Effect::new(move |_| wrote[1].borrow_mut().push(their_is_even.get()));

    for step in 0..200 {
        let value = random.i64(-6..6);
        if random.bool() {
            own.set(value);
            theirs.set(value);
        } else {
            own.update(|number| *number += value);
            theirs.update(|number| *number += value);
        }
        // Sometimes asked at once, sometimes only when the browser has time.
        if random.bool() {
            assert_eq!(half.get_untracked(), their_half.get_untracked());
        }
        if random.u8(0..3) == 0 {
            tick().await;
        }
        assert_eq!(own.get_untracked(), theirs.get_untracked(), "step {step}");
        assert_eq!(worked[0].get(), worked[1].get(), "step {step}");
    }
    tick().await;
    assert_eq!(*told[0].borrow(), *told[1].borrow());
    assert!(told[0].borrow().len() > 20);
}

#[wasm_bindgen_test]
async fn what_changes_seldom_tells_nobody_of_anything_else() {
    begin();
    let owner = Owner::new();
    owner.set();
    let often = RwSignal::new(0);
    let tens = seldom(move || often.get() / 10);
    let told: Rc<RefCell<Vec<i32>>> = Rc::default();
    let looked = Rc::clone(&told);
    effect(move |_| looked.borrow_mut().push(tens.get()));
    for number in [0, 3, 9, 10, 11, 19, 5, 5, 42] {
        often.set(number);
        tick().await;
        tick().await;
        assert_eq!(tens.get_untracked(), number / 10);
    }
    assert_eq!(*told.borrow(), [0, 1, 0, 4]);
}

#[wasm_bindgen_test]
fn what_is_gone_takes_nothing_more() {
    let owner = Owner::new();
    let (signal, kept) = owner.with(|| (RwSignal::new(1), StoredValue::new(vec![1])));
    kept.update_value(|all| all.push(2));
    assert_eq!(kept.get_value(), [1, 2]);
    assert_eq!(signal.try_update(|number| *number + 1), Some(2));
    owner.cleanup();
    assert_eq!(signal.try_update(|number| *number), None);
    assert_eq!(kept.try_update_value(|all| all.len()), None);
    signal.set(3);
}

thread_local! {
    static FIRST: Cell<bool> = const { Cell::new(true) };
    /// How often words were asked for.
    static ASKED: Cell<u32> = const { Cell::new(0) };
}

/// Words in one of two languages.
const fn said(number: u16) -> Spoken {
    const WORDS: [[&str; 2]; 2] = [["honey", "asali"], ["same", "same"]];
    Spoken {
        words: |number| {
            ASKED.set(ASKED.get() + 1);
            WORDS[usize::from(number)][usize::from(!FIRST.get())]
        },
        number,
    }
}

#[wasm_bindgen_test]
async fn every_word_follows_the_language_and_none_is_kept_that_is_gone() {
    let owner = Owner::new();
    owner.set();
    FIRST.set(true);
    let both = RwSignal::new(true);
    let word = RwSignal::new(0_u16);
    let (place, mounted) = on_the_page(|| {
        view! {
            <p title=said(0)>{said(0)}</p>
            {move || both.get().then(|| view! { <b>{said(0)}</b> })}
            {move || said(word.get())}
        }
    });
    let html = |place: &Element| {
        let marks = place.inner_html();
        marks.replace("<!---->", "").replace("<!-- -->", "")
    };
    let speak = |first: bool| {
        FIRST.set(first);
        speak_anew();
    };
    assert_eq!(
        html(&place),
        r#"<p title="honey">honey</p><b>honey</b>honey"#
    );
    speak(false);
    assert_eq!(
        html(&place),
        r#"<p title="asali">asali</p><b>asali</b>asali"#
    );
    // What goes and what becomes another word does so in the language of now, and of later.
    both.set(false);
    word.set(1);
    tick().await;
    assert_eq!(html(&place), r#"<p title="asali">asali</p>same"#);
    speak(true);
    assert_eq!(html(&place), r#"<p title="honey">honey</p>same"#);
    word.set(0);
    both.set(true);
    tick().await;
    assert_eq!(
        html(&place),
        r#"<p title="honey">honey</p><b>honey</b>honey"#
    );
    ASKED.set(0);
    speak(false);
    assert_eq!(ASKED.get(), 4);
    drop(mounted);
    assert_eq!(place.child_element_count(), 0);
    ASKED.set(0);
    speak(true);
    assert_eq!(ASKED.get(), 0, "words are kept of a part that is gone");
}
