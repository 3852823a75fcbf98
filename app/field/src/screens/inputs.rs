//! Parts of forms: figures and lines as typed, one choice out of few, one task at a time, what was
//! said last.

use crate::handset::Refused;
use crate::platform::page;
use crate::speech::{language, say, spoken};
use crate::trouble;
use combgate_core::units::{Code, Currency, Label, Money, TextError};
use combgate_ui::figures::{self, Unreadable};
use combgate_ui::words::{Word, text};
use combgate_view::{IntoNode, Memo, Node, RwSignal, Signal, view};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::pin::Pin;

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
    pub fn asked_if(self, condition: impl Fn() -> bool + 'static) -> Signal<bool> {
        Signal::derive(move || self.tried.get() && condition())
    }

    /// For an input that may be left out.
    pub fn optional() -> Signal<bool> {
        Signal::derive(|| false)
    }

    /// Says so as long as somebody tried to send the form and it is not `complete`.
    pub fn incomplete(self, complete: impl Fn() -> bool + 'static) -> impl IntoNode {
        let incomplete = Memo::new(move || self.tried.get() && !complete());
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

/// An input on its way to the page: its name there, what to call it, what stands in it, and whom
/// to tell what somebody types.
pub struct Field {
    id: String,
    label: Signal<String>,
    value: Signal<String>,
    typed: Box<dyn Fn(String)>,
    asked: Signal<bool>,
    unit: Option<Word>,
}

impl Field {
    /// An input that may be left out.
    pub fn new(
        id: impl Into<String>,
        label: impl Fn() -> String + 'static,
        value: impl Fn() -> String + 'static,
        typed: impl Fn(String) + 'static,
    ) -> Self {
        Self {
            id: id.into(),
            label: Signal::derive(label),
            // Where a whole form is one signal, a key in one input says nothing new to the others.
            value: Memo::new(value).into(),
            typed: Box::new(typed),
            asked: Form::optional(),
            unit: None,
        }
    }

    fn of(typed: Typed, asked: Signal<bool>) -> Self {
        let Typed { id, label, text } = typed;
        let mut field = Self::new(
            id,
            move || spoken(label).to_owned(),
            move || text.get(),
            move |typed| text.set(typed),
        );
        field.asked = asked;
        field
    }

    /// An input that must be filled in under a condition.
    #[must_use]
    pub fn asked_if(mut self, condition: impl Fn() -> bool + 'static) -> Self {
        self.asked = Memo::new(condition).into();
        self
    }

    /// The unit that stands behind it.
    #[must_use]
    pub const fn in_unit(mut self, unit: Word) -> Self {
        self.unit = Some(unit);
        self
    }

    /// A figure in units of `10^-places`; what is wrong with it stands under it: left out although
    /// it is asked for, no figure, or one that does not fit.
    pub fn figure(self, places: usize, fits: impl Fn(i64) -> bool + 'static) -> Node {
        self.figure_that(places, Box::new(fits))
    }

    fn figure_that(self, places: usize, fits: Box<dyn Fn(i64) -> bool>) -> Node {
        let (value, asked) = (self.value, self.asked);
        let problem = Memo::new(
            move || match value.with(|typed| figures::parse(typed, places)) {
                Ok(figure) if fits(figure) => None,
                Ok(_) => Some(text(language(), Word::FieldCannotBe).to_owned()),
                Err(Unreadable::Empty) if !asked.get() => None,
                Err(error) => Some(trouble::of_figure(error, places)),
            },
        );
        let problem = problem.into();
        self.draw("figure", "text", problem)
    }

    /// A line of text for people.
    pub fn line(self) -> Node {
        self.checked("", |text| Label::new(text).err())
    }

    /// A short code, such as a number painted on a pail.
    pub fn code(self) -> Node {
        self.checked("code", |text| Code::new(text).err())
    }

    /// Anything, of a kind that the browser knows, such as `search` or `date`; `problem` says what
    /// is wrong with it.
    pub fn of_kind(self, kind: &'static str, problem: Signal<Option<String>>) -> Node {
        self.draw("", kind, problem)
    }

    fn checked(self, class: &'static str, fault: fn(&str) -> Option<TextError>) -> Node {
        let (value, asked) = (self.value, self.asked);
        let problem = Memo::new(move || {
            let error = value.with(|typed| fault(typed))?;
            (error != TextError::Empty || asked.get()).then(|| trouble::of_text(&error))
        });
        let problem = problem.into();
        self.draw(class, "text", problem)
    }

    fn draw(
        self,
        class: &'static str,
        kind: &'static str,
        problem: Signal<Option<String>>,
    ) -> Node {
        let Self {
            id,
            label,
            value,
            typed,
            unit,
            ..
        } = self;
        let unit_id = format!("{id}-unit");
        let problem_id = format!("{id}-problem");
        let described = match unit {
            Some(_) => format!("{unit_id} {problem_id}"),
            None => problem_id.clone(),
        };
        view! {
            <div class="field">
                <label for=id.clone()>{label}</label>
                <div class="with-unit">
                    <input
                        id=id
                        class=class
                        type=kind
                        inputmode=(class == "figure").then_some("decimal")
                        autocapitalize=(class == "code").then_some("characters")
                        autocomplete="off"
                        aria-describedby=described
                        aria-invalid=move || problem.with(Option::is_some).then_some("true")
                        prop:value=value
                        on:input=move |event| typed(event_target_value(&event))
                    />
                    {unit.map(|word| view! { <span class="unit" id=unit_id>{say(word)}</span> })}
                </div>
                <p class="problem" id=problem_id>{problem}</p>
            </div>
        }
        .into_node()
    }
}

/// A figure that was typed. See [`Field::figure`].
pub fn figure(
    typed: Typed,
    places: usize,
    asked: Signal<bool>,
    fits: impl Fn(i64) -> bool + 'static,
) -> Node {
    Field::of(typed, asked).figure(places, fits)
}

/// A count of things.
pub fn whole(typed: Typed, asked: Signal<bool>) -> Node {
    figure(typed, 0, asked, |figure| u32::try_from(figure).is_ok())
}

/// A sum of money that was counted.
pub fn amount(typed: Typed, currency: Currency, asked: Signal<bool>) -> Node {
    figure(typed, decimals(currency), asked, |minor| minor >= 0)
}

/// A line of text for people.
pub fn line(typed: Typed, asked: Signal<bool>) -> Node {
    Field::of(typed, asked).line()
}

/// A short code, such as the number on an instrument.
pub fn code(typed: Typed, asked: Signal<bool>) -> Node {
    Field::of(typed, asked).code()
}

/// One out of few, as tiles.
pub fn choices<T>(
    name: &'static str,
    legend: Word,
    all: &[(T, Word)],
    chosen: impl Fn() -> Option<T> + Copy + 'static,
    choose: impl Fn(T) + Copy + 'static,
) -> Node
where
    T: Copy + PartialEq + 'static,
{
    let tiles: Vec<_> = all
        .iter()
        .map(|(each, word)| {
            let each = *each;
            radio(
                name.to_owned(),
                *word,
                Signal::derive(move || chosen() == Some(each)),
                Box::new(move || choose(each)),
            )
        })
        .collect();
    view! {
        <fieldset>
            <legend>{say(legend)}</legend>
            <div class="choices">{tiles}</div>
        </fieldset>
    }
    .into_node()
}

/// One tile of a choice.
pub fn radio(name: String, word: Word, chosen: Signal<bool>, choose: Box<dyn Fn()>) -> Node {
    view! {
        <label class="choice">
            <input type="radio" name=name prop:checked=chosen on:change=move |_| choose()/>
            <span>{say(word)}</span>
        </label>
    }
    .into_node()
}

/// A yes or no.
pub fn tick(id: &'static str, label: Word, ticked: RwSignal<bool>) -> Node {
    tick_box(
        id,
        label,
        ticked.into(),
        Box::new(move |now| ticked.set(now)),
    )
}

/// A yes or no that is kept elsewhere.
pub fn tick_box(
    id: &'static str,
    label: Word,
    ticked: Signal<bool>,
    changed: Box<dyn Fn(bool)>,
) -> Node {
    view! {
        <div class="field">
            <label class="choice" for=id>
                <input
                    id=id
                    type="checkbox"
                    prop:checked=ticked
                    on:change=move |event| changed(event_target_checked(&event))
                />
                <span>{say(label)}</span>
            </label>
        </div>
    }
    .into_node()
}

/// A sentence that stands by itself.
pub fn notice(word: Word) -> Node {
    view! { <p class="notice" role="status">{say(word)}</p> }.into_node()
}

/// What is wrong, said aloud at once.
pub fn trouble(said: impl IntoNode + 'static) -> Node {
    view! { <p class="notice trouble" role="alert">{said}</p> }.into_node()
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
        self.begin(Box::pin(work));
    }

    fn begin(self, work: Pin<Box<dyn Future<Output = Result<(), Refused>>>>) {
        if self.busy.get_untracked() {
            return;
        }
        self.busy.set(true);
        spawn_local(async move {
            let outcome = work.await;
            // What was asked for may have taken the form away with what it would have said.
            self.said
                .set(outcome.err().map(|refused| trouble::of_refused(&refused)));
            self.busy.set(false);
        });
    }

    /// Says what is wrong.
    pub fn say(self, word: Word) {
        // Whoever asked may have gone on to another screen.
        self.said.set(Some(word));
    }

    /// Whether it is being done.
    pub fn is_busy(self) -> bool {
        self.busy.get()
    }

    /// What went wrong, if something did.
    pub fn problem(self) -> impl IntoNode {
        move || self.said.get().map(|word| trouble(say(word)))
    }

    /// The large button that asks for it.
    pub fn button(self, label: Word, tapped: impl Fn() + 'static) -> Node {
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
        .into_node()
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
