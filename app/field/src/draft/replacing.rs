//! The draft of a receipt that replaces a cancelled one: everything as it was, to be corrected.

use super::{
    Bringer, CELSIUS_PLACES, Draft, KILOGRAM_PLACES, READINGS, Tap, TypedPail, TypedReading,
    reading_places,
};
use crate::handset::Handset;
use combgate_core::record::{CombV1, ReceiptV1};
use combgate_ui::figures;

/// Begins it; payment is asked for anew. `None` where the clock shows a time that no calendar has.
pub fn replacing(receipt: &ReceiptV1, handset: Handset) -> Option<Draft> {
    let delivery = &receipt.delivery;
    let mut draft = Draft::begin()?;
    let names = handset.names_of(std::iter::once(&receipt.member));
    draft.member = Some(Bringer {
        number: receipt.member.clone(),
        name: names.of(&receipt.member).to_owned(),
    });
    draft.bee = Some(delivery.bee);
    draft.form = Some(delivery.form);
    draft.hive = Some(delivery.hive);
    draft.answers = delivery
        .answers
        .iter()
        .map(|each| (each.fault, each.answer))
        .collect();
    draft.taps = taps(&delivery.combs);
    if let Some(instrument) = delivery.refractometer {
        let places = reading_places(instrument.scale);
        let readings = delivery.readings.iter().map(|reading| TypedReading {
            value: figures::decimal(reading.value, places, 0),
            temperature: figures::decimal(reading.temperature_tenths_c.get(), CELSIUS_PLACES, 0),
        });
        draft.readings = readings.collect();
        let whole = draft.readings.len().max(READINGS);
        draft.readings.resize(whole, TypedReading::default());
    }
    draft.pails = delivery
        .pails
        .iter()
        .map(|pail| TypedPail {
            number: pail.number.to_string(),
            seal: pail
                .seal
                .as_ref()
                .map_or_else(String::new, ToString::to_string),
            tare: figures::decimal(pail.tare_g.get(), KILOGRAM_PLACES, 0),
            gross: figures::decimal(pail.gross_g.get(), KILOGRAM_PLACES, 0),
        })
        .collect();
    draft.replaces = Some(receipt.number.clone());
    Some(draft)
}

/// The taps that make these counts.
fn taps(combs: &[CombV1]) -> Vec<Tap> {
    let mut taps = Vec::new();
    for (place, comb) in combs.iter().enumerate() {
        if place > 0 {
            taps.push(Tap::NextComb);
        }
        for (tap, points) in [
            (Tap::Capped, comb.capped),
            (Tap::Open, comb.open),
            (Tap::Other, comb.other),
        ] {
            let count = usize::try_from(points.get()).unwrap_or(0);
            taps.extend(std::iter::repeat_n(tap, count));
        }
    }
    taps
}
