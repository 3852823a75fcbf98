//! Opening the day: float, pails, checks of scale and refractometer.

use super::inputs::{attempt, count, decimals, figure, line, money, notice, problem, tick};
use crate::handset::{Handset, handset, today};
use crate::route::{Route, Step};
use crate::speech::say;
use chrono::NaiveDate;
use combgate_core::honey::Scale;
use combgate_core::intake::ScaleCheck;
use combgate_core::record::{
    Brief, DayOpenedV1, EntryBody, RefractometerCardV1, RefractometerCheckV1, ScaleCardV1,
};
use combgate_core::units::{Celsius, Code, Grams, Label, ScaleInterval};
use combgate_ui::figures;
use combgate_ui::words::Word;
use leptos::prelude::*;
use std::sync::Arc;

/// The screen.
#[component]
pub fn OpenDay() -> impl IntoView {
    let handset = handset();
    let body = move || {
        let standing = handset.standing();
        let (Some(brief), Ok(day)) = (handset.brief(), today()) else {
            return notice(Word::ErrorNoBrief);
        };
        match standing.open {
            Some(open) if open.day != day => way(Word::DayLeftOpen, &Route::CloseDay),
            Some(_) => way(Word::DayIsOpen, &Route::Purchase(Step::Member)),
            None if standing.closed.contains(&day) => way(Word::DayIsClosed, &Route::Today),
            None => view! { <Form handset brief day/> }.into_any(),
        }
    };
    view! { <h1>{say(Word::DayOpenTitle)}</h1> {body} }
}

fn way(word: Word, route: &Route) -> AnyView {
    view! {
        {notice(word)}
        <div class="actions">
            <a class="button primary" href=route.href()>{say(route.title())}</a>
        </div>
    }
    .into_any()
}

/// What was typed.
#[derive(Clone, Copy)]
struct Typed {
    officer: RwSignal<String>,
    float: RwSignal<String>,
    pails: RwSignal<String>,
    seals: RwSignal<String>,
    scale: RwSignal<bool>,
    scale_id: RwSignal<String>,
    interval: RwSignal<String>,
    known: RwSignal<String>,
    shown: RwSignal<String>,
    refractometer: RwSignal<bool>,
    refractometer_id: RwSignal<String>,
    reads: RwSignal<Scale>,
    compensated: RwSignal<bool>,
    reference: RwSignal<String>,
    reading: RwSignal<String>,
    temperature: RwSignal<String>,
}

impl Typed {
    fn begin(brief: &Brief) -> Self {
        let currency = brief.terms().prices().parts().currency;
        let places = decimals(currency);
        let empty = || RwSignal::new(String::new());
        Self {
            officer: empty(),
            float: RwSignal::new(figures::decimal(
                brief.payload().float_minor,
                places,
                places,
            )),
            pails: empty(),
            seals: empty(),
            scale: RwSignal::new(true),
            scale_id: empty(),
            interval: empty(),
            known: empty(),
            shown: empty(),
            refractometer: RwSignal::new(true),
            refractometer_id: empty(),
            reads: RwSignal::new(Scale::Water),
            compensated: RwSignal::new(false),
            reference: empty(),
            reading: empty(),
            temperature: empty(),
        }
    }

    /// The entry, once everything that is asked for can be read. Reactive.
    fn entry(&self, brief: &Brief, day: NaiveDate) -> Option<DayOpenedV1> {
        let currency = brief.terms().prices().parts().currency;
        Some(DayOpenedV1 {
            day,
            officer: Label::new(self.officer.get().trim()).ok()?,
            brief_serial: brief.payload().serial,
            float_minor: money(&self.float.get(), currency)?,
            currency,
            pails: count(&self.pails.get())?,
            seals: count(&self.seals.get())?,
            scale: part(self.scale.get(), || self.scale_card()).ok()?,
            refractometer: part(self.refractometer.get(), || self.refractometer_card()).ok()?,
        })
    }

    fn scale_card(&self) -> Option<ScaleCardV1> {
        let interval = figures::parse(&self.interval.get(), 0).ok()?;
        Some(ScaleCardV1 {
            id: Code::new(self.scale_id.get().trim()).ok()?,
            sticker: None,
            interval_g: ScaleInterval::new(interval).ok()?,
            known_g: grams(&self.known.get()).ok()?,
            shown_g: grams(&self.shown.get()).ok()?,
        })
    }

    fn refractometer_card(&self) -> Option<RefractometerCardV1> {
        let (reference, reading) = (self.reference.get(), self.reading.get());
        let temperature = self.temperature.get();
        let none = [&reference, &reading, &temperature]
            .iter()
            .all(|typed| typed.trim().is_empty());
        let check = part(!none, || {
            let places = places(self.reads.get());
            let temperature = figures::parse(&temperature, 1).ok()?;
            Some(RefractometerCheckV1 {
                reference: figures::parse(&reference, places).ok()?,
                reading: figures::parse(&reading, places).ok()?,
                temperature_tenths_c: Celsius::new(temperature).ok()?,
            })
        })
        .ok()?;
        Some(RefractometerCardV1 {
            id: Code::new(self.refractometer_id.get().trim()).ok()?,
            scale: self.reads.get(),
            compensated: self.compensated.get(),
            check,
        })
    }
}

/// Something that is asked for and cannot be read.
struct Unread;

/// A part that may be left out.
fn part<T>(asked: bool, read: impl FnOnce() -> Option<T>) -> Result<Option<T>, Unread> {
    asked.then(|| read().ok_or(Unread)).transpose()
}

/// Typed kilograms; nothing typed is no weight.
fn grams(typed: &str) -> Result<Option<Grams>, Unread> {
    part(!typed.trim().is_empty(), || {
        Grams::new(figures::parse(typed, 3).ok()?).ok()
    })
}

/// Decimals of a scale's smallest unit.
const fn places(scale: Scale) -> usize {
    match scale {
        Scale::RefractiveIndex => 5,
        Scale::Brix | Scale::Water => 2,
    }
}

#[component]
fn Form(handset: Handset, brief: Arc<Brief>, day: NaiveDate) -> impl IntoView {
    let typed = Typed::begin(&brief);
    let currency = brief.terms().prices().parts().currency;
    let said = RwSignal::new(None::<Word>);
    let entry = Memo::new(move |_| typed.entry(&brief, day));
    let open = move |_| match entry.get_untracked() {
        None => said.set(Some(Word::DayFormWrong)),
        Some(opened) => attempt(said, async move {
            let opened = EntryBody::DayOpened(Box::new(opened));
            handset.add(opened).await.map(|_| ())
        }),
    };
    view! {
        {line("officer", Word::DayOfficer, typed.officer)}
        {figure("float", Word::DayFloat, decimals(currency), typed.float)}
        {figure("pails", Word::DayPails, 0, typed.pails)}
        {figure("seals", Word::DaySeals, 0, typed.seals)}
        <h2>{say(Word::DayScaleCheck)}</h2>
        {tick("scale", Word::DayScalePart, typed.scale)}
        {move || typed.scale.get().then(|| view! { <ScalePart typed/> })}
        <h2>{say(Word::DayRefractometerCheck)}</h2>
        {tick("refractometer", Word::DayRefractometerPart, typed.refractometer)}
        {move || typed.refractometer.get().then(|| view! { <RefractometerPart typed/> })}
        {move || entry.get().map(|opened| verdicts(&opened))}
        {problem(said)}
        <div class="actions">
            <button type="button" class="primary" on:click=open>{say(Word::DayOpenNow)}</button>
        </div>
    }
}

#[component]
fn ScalePart(typed: Typed) -> impl IntoView {
    view! {
        {line("scale-id", Word::DayScaleId, typed.scale_id)}
        {figure("interval", Word::DayScaleInterval, 0, typed.interval)}
        {figure("known", Word::DayScaleKnown, 3, typed.known)}
        {figure("shown", Word::DayScaleShown, 3, typed.shown)}
    }
}

#[component]
fn RefractometerPart(typed: Typed) -> impl IntoView {
    let all = [
        (Scale::Water, "water", Word::DayScaleWater),
        (Scale::Brix, "brix", Word::DayScaleBrix),
        (Scale::RefractiveIndex, "index", Word::DayScaleIndex),
    ];
    let options = all.map(|(scale, name, word)| {
        view! {
            <option value=name selected=move || typed.reads.get() == scale>{say(word)}</option>
        }
    });
    let changed = move |event| {
        let value = event_target_value(&event);
        if let Some((scale, ..)) = all.iter().find(|(_, name, _)| *name == value) {
            typed.reads.set(*scale);
        }
    };
    let figures = move || {
        let places = places(typed.reads.get());
        view! {
            {figure("reference", Word::DayReference, places, typed.reference)}
            {figure("reading", Word::DayReading, places, typed.reading)}
        }
    };
    view! {
        {line("refractometer-id", Word::DayRefractometerId, typed.refractometer_id)}
        <div class="field">
            <label for="reads">{say(Word::DayRefractometerScale)}</label>
            <select id="reads" on:change=changed>{options.into_iter().collect_view()}</select>
        </div>
        {tick("compensated", Word::DayRefractometerCompensated, typed.compensated)}
        {figures}
        {figure("temperature", Word::DayTemperature, 1, typed.temperature)}
    }
}

/// What the checks say, as the entry will have it.
fn verdicts(opened: &DayOpenedV1) -> impl IntoView + use<> {
    let scale = opened.weighing_scale().map(|scale| {
        let word = match scale.check {
            ScaleCheck::Passed => Word::DayCheckPassed,
            ScaleCheck::Failed => Word::DayCheckFailed,
            ScaleCheck::NotDone => Word::DayCheckNotDone,
        };
        view! { <p>{say(Word::DayScaleCheck)} ": " {say(word)}</p> }
    });
    let refractometer = opened.refractometer_as_checked().map(|card| {
        let word = if card.offset.is_some() {
            Word::DayOffsetFound
        } else {
            Word::DayOffsetNone
        };
        view! { <p>{say(Word::DayRefractometerCheck)} ": " {say(word)}</p> }
    });
    view! { <div class="notice" role="status">{scale} {refractometer}</div> }
}
