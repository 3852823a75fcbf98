//! Moisture readings.

use super::Bench;
use super::frame::unusable;
use crate::draft::{CELSIUS_PLACES, TypedReading, reading_places};
use crate::screens::inputs::Field;
use crate::speech::{fill, language, say, spoken};
use combgate_core::honey::Scale;
use combgate_core::record::GroundCode;
use combgate_core::units::Celsius;
use combgate_ui::paper;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Node, untrack, view};

/// The step.
pub fn moisture(bench: Bench) -> impl IntoNode {
    let Some(instrument) = bench.open.with_value(|open| open.refractometer) else {
        return view! { <p class="notice">{say(Word::PurchaseNoRefractometer)}</p> }.into_node();
    };
    let count = untrack(|| bench.draft.with(|draft| draft.readings.len()));
    let readings: Vec<_> = (0..count)
        .map(|place| one(bench, instrument.scale, place))
        .collect();
    let live = move || {
        let assessment = bench.assessed.get().ok()?;
        Some(paper::measured(language(), &assessment))
    };
    view! {
        <p class="hint">{say(Word::PurchaseMoistureHint)}</p>
        {readings}
        {unusable(bench, GroundCode::MoistureUnusable)}
        {live}
    }
    .into_node()
}

fn one(bench: Bench, scale: Scale, place: usize) -> Node {
    let unit = match scale {
        Scale::RefractiveIndex => Word::PurchaseUnitIndex,
        Scale::Brix => Word::PurchaseUnitBrix,
        Scale::Water => Word::PurchaseUnitPercent,
    };
    let shown = (place + 1).to_string();
    let named = move || fill(Phrase::PurchaseReading { place: &shown });
    let of_temperature = named.clone();
    let value = Field::new(
        format!("reading-{place}"),
        named,
        move || of(bench, place, |reading| &reading.value),
        move |typed| set(bench, place, |reading| reading.value = typed),
    );
    let temperature = Field::new(
        format!("temperature-{place}"),
        move || {
            format!(
                "{} ({})",
                spoken(Word::PurchaseTemperature),
                of_temperature()
            )
        },
        move || of(bench, place, |reading| &reading.temperature),
        move |typed| set(bench, place, |reading| reading.temperature = typed),
    );
    view! {
        <div class="card pair">
            {value.in_unit(unit).figure(reading_places(scale), |value| value > 0)}
            {temperature
                .in_unit(Word::PurchaseUnitCelsius)
                .figure(CELSIUS_PLACES, |tenths| Celsius::new(tenths).is_ok())}
        </div>
    }
    .into_node()
}

fn of(bench: Bench, place: usize, field: fn(&TypedReading) -> &String) -> String {
    bench.draft.with(|draft| {
        draft
            .readings
            .get(place)
            .map_or_else(String::new, |reading| field(reading).clone())
    })
}

fn set(bench: Bench, place: usize, change: impl FnOnce(&mut TypedReading)) {
    bench.draft.update(|draft| {
        if let Some(reading) = draft.readings.get_mut(place) {
            change(reading);
        }
    });
}
