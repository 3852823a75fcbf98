//! Moisture readings.

use super::Bench;
use super::fields::figure;
use crate::draft::{CELSIUS_PLACES, TypedReading, reading_places};
use crate::speech::{fill, language, say};
use combgate_core::honey::Scale;
use combgate_ui::paper;
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;

/// The step.
#[component]
pub fn Moisture(
    /// What to work with.
    bench: Bench,
) -> impl IntoView {
    let Some(instrument) = bench.open.with_value(|open| open.refractometer) else {
        return view! { <p class="notice">{say(Word::PurchaseNoRefractometer)}</p> }.into_any();
    };
    let count = untrack(|| bench.draft.with(|draft| draft.readings.len()));
    let readings: Vec<_> = (0..count)
        .map(|place| one(bench, instrument.scale, place))
        .collect();
    let live = move || {
        let assessment = bench.assessed.get().ok()?;
        Some(paper::measured(language(), &assessment))
    };
    view! { {readings} {live} }.into_any()
}

fn one(bench: Bench, scale: Scale, place: usize) -> AnyView {
    let unit = match scale {
        Scale::RefractiveIndex => Word::PurchaseUnitIndex,
        Scale::Brix => Word::PurchaseUnitBrix,
        Scale::Water => Word::PurchaseUnitPercent,
    };
    let shown = (place + 1).to_string();
    let named = move || fill(Phrase::PurchaseReading { place: &shown });
    let of_temperature = named.clone();
    view! {
        <div class="card">
            {figure(
                format!("reading-{place}"),
                named,
                Some(unit),
                reading_places(scale),
                move || of(bench, place, |reading| reading.value.clone()),
                move |typed| set(bench, place, |reading| reading.value = typed),
            )}
            {figure(
                format!("temperature-{place}"),
                move || format!("{} ({})", say(Word::PurchaseTemperature)(), of_temperature()),
                Some(Word::PurchaseUnitCelsius),
                CELSIUS_PLACES,
                move || of(bench, place, |reading| reading.temperature.clone()),
                move |typed| set(bench, place, |reading| reading.temperature = typed),
            )}
        </div>
    }
    .into_any()
}

fn of(bench: Bench, place: usize, field: impl Fn(&TypedReading) -> String) -> String {
    bench
        .draft
        .with(|draft| draft.readings.get(place).map(field).unwrap_or_default())
}

fn set(bench: Bench, place: usize, change: impl FnOnce(&mut TypedReading)) {
    bench.draft.update(|draft| {
        if let Some(reading) = draft.readings.get_mut(place) {
            change(reading);
        }
    });
}
