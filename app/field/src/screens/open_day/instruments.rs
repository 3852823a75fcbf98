//! The day's instruments, and what their checks say while they are typed.

use super::typed::{DayTyped, READS};
use crate::draft::{CELSIUS_PLACES, KILOGRAM_PLACES, reading_places};
use crate::screens::inputs::{Form, code, figure, tick};
use crate::speech::{fill, say, spoken};
use combgate_core::honey::Scale;
use combgate_core::intake::{ScaleCheck, WeighingScale};
use combgate_core::record::{RefractometerCardV1, ScaleCardV1};
use combgate_core::units::{Celsius, Grams, ScaleInterval};
use combgate_ui::figures;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, view};
use leptos::prelude::*;

/// The weighing scale and its check with a known weight.
pub fn scale_part(typed: DayTyped, form: Form) -> impl IntoNode {
    let weight = |typed| {
        figure(typed, KILOGRAM_PLACES, Form::optional(), |grams| {
            Grams::new(grams).is_ok()
        })
    };
    let interval = |grams| ScaleInterval::new(grams).is_ok();
    view! {
        {code(typed.scale_id, form.asked())}
        {figure(typed.interval, 0, form.asked(), interval)}
        {weight(typed.known)}
        {weight(typed.shown)}
        <div role="status" data-figure="scale-check">
            {move || typed.scale_card().map(|card| told(weighed(&card)))}
        </div>
    }
}

/// The refractometer and its check against a reference.
pub fn refractometer_part(typed: DayTyped, form: Form) -> impl IntoNode {
    let options = READS.map(|(name, _, word)| {
        view! {
            <option value=name selected=move || typed.reads.get() == name>{say(word)}</option>
        }
    });
    // All of a check or nothing of it.
    let asked = form.asked_if(move || typed.is_checked());
    let readings = move || {
        let places = reading_places(typed.reads().unwrap_or(Scale::Water));
        let reading = |typed| figure(typed, places, asked, |value| value > 0);
        view! { {reading(typed.reference)} {reading(typed.reading)} }
    };
    let temperature = |tenths| Celsius::new(tenths).is_ok();
    view! {
        {code(typed.refractometer_id, form.asked())}
        <div class="field">
            <label for="reads">{say(Word::DayRefractometerScale)}</label>
            <select
                id="reads"
                on:change=move |event| typed.reads.set(event_target_value(&event))
            >
                {options.into_iter().collect::<Vec<_>>()}
            </select>
        </div>
        {tick("compensated", Word::DayRefractometerCompensated, typed.compensated)}
        {readings}
        {figure(typed.temperature, CELSIUS_PLACES, asked, temperature)}
        <div role="status" data-figure="refractometer-check">
            {move || typed.refractometer_card().map(|card| told(read(&card)))}
        </div>
    }
}

/// What a check says, and whether it is good news.
struct Verdict {
    words: String,
    good: bool,
}

fn verdict(words: impl Into<String>, good: bool) -> Verdict {
    let words = words.into();
    Verdict { words, good }
}

fn told(verdict: Verdict) -> impl IntoNode {
    let Verdict { words, good } = verdict;
    view! { <p class="notice" class:care=!good>{words}</p> }
}

fn weighed(card: &ScaleCardV1) -> Verdict {
    let checked = card.as_checked();
    match (checked.check, card.known_g, card.shown_g) {
        (ScaleCheck::Passed, ..) => verdict(spoken(Word::DayCheckPassed), true),
        (ScaleCheck::Failed, ..) => verdict(spoken(Word::DayCheckFailed), false),
        (ScaleCheck::NotDone, Some(_), Some(_)) => {
            let least = WeighingScale {
                interval: checked.interval_g,
                check: checked.check,
            }
            .least_load();
            let least = figures::kilograms(least.get());
            verdict(fill(Phrase::DayKnownTooLight { least: &least }), false)
        }
        (ScaleCheck::NotDone, ..) => verdict(spoken(Word::DayCheckNotDone), false),
    }
}

fn read(card: &RefractometerCardV1) -> Verdict {
    let Some(offset) = card.as_checked().offset else {
        let word = if card.check.is_some() {
            Word::DayOffsetTooLarge
        } else {
            Word::DayOffsetNotChecked
        };
        return verdict(spoken(word), false);
    };
    let offset = offset.get();
    let amount = figures::decimal(offset.abs(), reading_places(card.scale), 1);
    let words = match offset {
        0 => spoken(Word::DayOffsetZero).to_owned(),
        1.. => fill(Phrase::DayOffsetHigh { amount: &amount }),
        _ => fill(Phrase::DayOffsetLow { amount: &amount }),
    };
    verdict(words, true)
}
