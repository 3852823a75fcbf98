//! Inputs of the day's screens: figures and lines as typed, one task at a time, what was said last.

use crate::handset::Refused;
use crate::platform::page;
use crate::speech::say;
use crate::trouble;
use combgate_core::units::{Code, Currency, Label, Money, TextError};
use combgate_ui::figures::{self, Unreadable};
use combgate_ui::words::{Word, text};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// A form that somebody fills in. Once they tried to send it, inputs left out say so.
#[derive(Clone, Copy)]
pub struct Form {
    tried: RwSignal<bool>,
}

impl Form {
    /// A form that nobody tried to send yet.
    pub fn begin() -> Self {
        Self {
            tried: RwSignal::new(false),
        }
    }

    /// For an input that must be filled in.
    pub fn asked(self) -> Signal<bool> {
        self.tried.into()
    }

    /// For an input that must be filled in under a condition.
    pub fn asked_if(self, condition: impl Fn() -> bool + Send + Sync + 'static) -> Signal<bool> {
        Signal::derive(move || self.tried.get() && condition())
    }

    /// For an input that may be left out.
    pub fn optional() -> Signal<bool> {
        Signal::derive(|| false)
    }

    /// Says so as long as somebody tried to send the form and it is not `complete`.
    pub fn incomplete(self, complete: impl Fn() -> bool + Send + Sync + 'static) -> impl IntoView {
        let incomplete = Memo::new(move |_| self.tried.get() && !complete());
        move || {
            incomplete
                .get()
                .then(|| trouble(say(Word::FieldFormIncomplete)))
        }
    }

    /// Says what is wrong at each input and goes to the first of them.
    pub fn point_out(self) {
        self.tried.set(true);
        request_animation_frame(page::focus_problem);
    }
}

/// Something typed, whose input it is, and what to call it.
#[derive(Clone, Copy)]
pub struct Typed {
    /// The input's own name on the page.
    pub id: &'static str,
    /// What is asked for.
    pub label: Word,
    /// What was typed.
    pub text: RwSignal<String>,
}

impl Typed {
    /// Nothing typed yet.
    pub fn empty(id: &'static str, label: Word) -> Self {
        Self::with(id, label, String::new())
    }

    /// With something there to begin with.
    pub fn with(id: &'static str, label: Word, text: String) -> Self {
        Self {
            id,
            label,
            text: RwSignal::new(text),
        }
    }

    /// What was typed. Reactive.
    pub fn get(self) -> String {
        self.text.get()
    }

    /// Whether nothing is typed. Reactive.
    pub fn is_blank(self) -> bool {
        self.text.with(|typed| typed.trim().is_empty())
    }
}

/// A figure in units of `10^-places`; what is wrong with it stands under it: left out although it
/// is `asked` for, no figure, or one that does not fit.
pub fn figure(
    typed: Typed,
    places: usize,
    asked: Signal<bool>,
    fits: impl Fn(i64) -> bool + Send + Sync + 'static,
) -> AnyView {
    let problem = Memo::new(move |_| {
        typed
            .text
            .with(|typed| match figures::parse(typed, places) {
                Ok(figure) if fits(figure) => None,
                Ok(_) => Some(text(crate::speech::language(), Word::FieldCannotBe).to_owned()),
                Err(Unreadable::Empty) if !asked.get() => None,
                Err(error) => Some(trouble::of_figure(error, places)),
            })
    });
    input(typed, true, problem)
}

/// A count of things.
pub fn whole(typed: Typed, asked: Signal<bool>) -> AnyView {
    figure(typed, 0, asked, |figure| u32::try_from(figure).is_ok())
}

/// A sum of money that was counted.
pub fn amount(typed: Typed, currency: Currency, asked: Signal<bool>) -> AnyView {
    figure(typed, decimals(currency), asked, |minor| minor >= 0)
}

/// A line of text for people.
pub fn line(typed: Typed, asked: Signal<bool>) -> AnyView {
    checked_text(typed, asked, |text| Label::new(text).err())
}

/// A short code, such as the number on an instrument.
pub fn code(typed: Typed, asked: Signal<bool>) -> AnyView {
    checked_text(typed, asked, |text| Code::new(text).err())
}

fn checked_text(
    typed: Typed,
    asked: Signal<bool>,
    fault: impl Fn(&str) -> Option<TextError> + Send + Sync + 'static,
) -> AnyView {
    let problem = Memo::new(move |_| {
        let error = typed.text.with(|typed| fault(typed))?;
        (error != TextError::Empty || asked.get()).then(|| trouble::of_text(&error))
    });
    input(typed, false, problem)
}

fn input(typed: Typed, is_figure: bool, problem: Memo<Option<String>>) -> AnyView {
    let Typed { id, label, text } = typed;
    let problem_id = format!("{id}-problem");
    view! {
        <div class="field">
            <label for=id>{say(label)}</label>
            <input
                id=id
                class:figure=is_figure
                type="text"
                inputmode=is_figure.then_some("decimal")
                autocomplete="off"
                aria-describedby=problem_id.clone()
                aria-invalid=move || problem.with(Option::is_some).then_some("true")
                prop:value=text
                on:input=move |event| text.set(event_target_value(&event))
            />
            <p class="problem" id=problem_id>{problem}</p>
        </div>
    }
    .into_any()
}

/// A yes or no.
pub fn tick(id: &'static str, label: Word, ticked: RwSignal<bool>) -> AnyView {
    view! {
        <div class="field">
            <label class="choice" for=id>
                <input
                    id=id
                    type="checkbox"
                    prop:checked=ticked
                    on:change=move |event| ticked.set(event_target_checked(&event))
                />
                <span>{say(label)}</span>
            </label>
        </div>
    }
    .into_any()
}

/// A sentence that stands by itself.
pub fn notice(word: Word) -> AnyView {
    view! { <p class="notice" role="status">{say(word)}</p> }.into_any()
}

/// What is wrong, said aloud at once.
pub fn trouble(said: impl IntoView + 'static) -> AnyView {
    view! { <p class="notice trouble" role="alert">{said}</p> }.into_any()
}

/// Something asked for: one at a time, and what went wrong the last time.
#[derive(Clone, Copy)]
pub struct Task {
    busy: RwSignal<bool>,
    said: RwSignal<Option<Word>>,
}

impl Task {
    /// A task that nobody asked for yet.
    pub fn idle() -> Self {
        Self {
            busy: RwSignal::new(false),
            said: RwSignal::new(None),
        }
    }

    /// Does what was asked for, unless it is being done already: a second tap is no second wish.
    pub fn run(self, work: impl Future<Output = Result<(), Refused>> + 'static) {
        if self.busy.get_untracked() {
            return;
        }
        self.busy.set(true);
        spawn_local(async move {
            let outcome = work.await;
            // What was asked for may have taken the form away with what it would have said.
            let _ = self
                .said
                .try_set(outcome.err().map(|refused| trouble::of_refused(&refused)));
            let _ = self.busy.try_set(false);
        });
    }

    /// Says what is wrong.
    pub fn say(self, word: Word) {
        // Whoever asked may have gone on to another screen.
        let _ = self.said.try_set(Some(word));
    }

    /// Whether it is being done.
    pub fn is_busy(self) -> bool {
        self.busy.get()
    }

    /// What went wrong, if something did.
    pub fn problem(self) -> impl IntoView {
        move || self.said.get().map(|word| trouble(say(word)))
    }

    /// The large button that asks for it.
    pub fn button(self, label: Word, tapped: impl Fn() + 'static) -> AnyView {
        view! {
            <div class="actions">
                <button
                    type="button"
                    class="primary"
                    aria-disabled=move || self.is_busy().then_some("true")
                    on:click=move |_| tapped()
                >
                    {say(label)}
                </button>
            </div>
        }
        .into_any()
    }
}

/// Reads a count of things; nothing typed is no count.
pub fn count(typed: &str) -> Option<u32> {
    u32::try_from(figures::parse(typed, 0).ok()?).ok()
}

/// Reads a sum of money that was counted: never negative, in minor units.
pub fn money(typed: &str, currency: Currency) -> Option<i64> {
    let minor = figures::parse(typed, decimals(currency)).ok()?;
    let money = Money::new(minor, currency).ok()?.minor();
    (money >= 0).then_some(money)
}

/// How many decimals a currency has.
pub fn decimals(currency: Currency) -> usize {
    usize::try_from(currency.decimals()).unwrap_or(0)
}
