//! What was typed to open the day, and the entry that it makes.

use crate::draft::{CELSIUS_PLACES, KILOGRAM_PLACES, reading_places};
use crate::screens::inputs::{Typed, count, decimals, money};
use crate::screens::kept::Input;
use chrono::NaiveDate;
use combgate_core::honey::Scale;
use combgate_core::record::{
    Brief, DayOpenedV1, RefractometerCardV1, RefractometerCheckV1, ScaleCardV1,
};
use combgate_core::units::{Celsius, Code, Currency, Grams, Label, ScaleInterval};
use combgate_ui::figures;
use combgate_ui::words::Word;
use combgate_view::RwSignal;

/// The refractometers that there are, by the name of their choice on the page.
pub const READS: [(&str, Scale, Word); 3] = [
    ("water", Scale::Water, Word::DayScaleWater),
    ("brix", Scale::Brix, Word::DayScaleBrix),
    ("index", Scale::RefractiveIndex, Word::DayScaleIndex),
];

/// What was typed. All reading of it is reactive.
#[derive(Clone, Copy)]
pub struct DayTyped {
    /// The currency of the price list.
    pub currency: Currency,
    /// Who buys.
    pub officer: Typed,
    /// Cash counted in.
    pub float: Typed,
    /// Empty pails taken.
    pub pails: Typed,
    /// Seals taken.
    pub seals: Typed,
    /// Whether a weighing scale is taken.
    pub scale: RwSignal<bool>,
    /// Its number.
    pub scale_id: Typed,
    /// Its interval e, in grams.
    pub interval: Typed,
    /// Known weight put on it, in kilograms.
    pub known: Typed,
    /// What it showed, in kilograms.
    pub shown: Typed,
    /// Whether a refractometer is taken.
    pub refractometer: RwSignal<bool>,
    /// Its number.
    pub refractometer_id: Typed,
    /// Its scale, by a name in [`READS`].
    pub reads: RwSignal<String>,
    /// Whether it corrects for temperature by itself.
    pub compensated: RwSignal<bool>,
    /// What the reference is, in units of its scale.
    pub reference: Typed,
    /// What was read, in units of its scale.
    pub reading: Typed,
    /// At what temperature, in degrees Celsius.
    pub temperature: Typed,
}

impl DayTyped {
    /// Nothing but the float that the desk gave.
    pub fn begin(brief: &Brief) -> Self {
        let currency = brief.terms().prices().parts().currency;
        let places = decimals(currency);
        let float = figures::decimal(brief.payload().float_minor, places, places);
        let empty = Typed::empty;
        Self {
            currency,
            officer: empty("officer", Word::DayOfficer),
            float: Typed::with("float", Word::DayFloat, float),
            pails: empty("pails", Word::DayPails),
            seals: empty("seals", Word::DaySeals),
            scale: RwSignal::new(true),
            scale_id: empty("scale-id", Word::DayScaleId),
            interval: empty("interval", Word::DayScaleInterval),
            known: empty("known", Word::DayScaleKnown),
            shown: empty("shown", Word::DayScaleShown),
            refractometer: RwSignal::new(true),
            refractometer_id: empty("refractometer-id", Word::DayRefractometerId),
            reads: RwSignal::new(READS[0].0.to_owned()),
            compensated: RwSignal::new(false),
            reference: empty("reference", Word::DayReference),
            reading: empty("reading", Word::DayReading),
            temperature: empty("temperature", Word::DayTemperature),
        }
    }

    /// Everything, to be kept.
    pub fn inputs(&self) -> Vec<Input> {
        let typed = [
            self.officer,
            self.float,
            self.pails,
            self.seals,
            self.scale_id,
            self.interval,
            self.known,
            self.shown,
            self.refractometer_id,
            self.reference,
            self.reading,
            self.temperature,
        ];
        let others = [
            Input::Tick("scale", self.scale),
            Input::Tick("refractometer", self.refractometer),
            Input::Text("reads", self.reads),
            Input::Tick("compensated", self.compensated),
        ];
        typed.into_iter().map(Input::from).chain(others).collect()
    }

    /// The entry, once everything that is asked for can be read.
    pub fn entry(&self, brief: &Brief, day: NaiveDate) -> Option<DayOpenedV1> {
        let scale = part(self.scale.get(), || self.scale_card());
        let refractometer = part(self.refractometer.get(), || self.refractometer_card());
        Some(DayOpenedV1 {
            day,
            officer: Label::new(&self.officer.get()).ok()?,
            brief_serial: brief.payload().serial,
            float_minor: money(&self.float.get(), self.currency)?,
            currency: self.currency,
            pails: count(&self.pails.get())?,
            seals: count(&self.seals.get())?,
            scale: scale.ok()?,
            refractometer: refractometer.ok()?,
        })
    }

    /// The scale, once it can be read.
    pub fn scale_card(&self) -> Option<ScaleCardV1> {
        let interval = figures::parse(&self.interval.get(), 0).ok()?;
        Some(ScaleCardV1 {
            id: Code::new(&self.scale_id.get()).ok()?,
            sticker: None,
            interval_g: ScaleInterval::new(interval).ok()?,
            known_g: grams(self.known).ok()?,
            shown_g: grams(self.shown).ok()?,
        })
    }

    /// The refractometer, once it can be read.
    pub fn refractometer_card(&self) -> Option<RefractometerCardV1> {
        let scale = self.reads()?;
        let check = part(self.is_checked(), || {
            let places = reading_places(scale);
            let temperature = figures::parse(&self.temperature.get(), CELSIUS_PLACES).ok()?;
            Some(RefractometerCheckV1 {
                reference: figures::parse(&self.reference.get(), places).ok()?,
                reading: figures::parse(&self.reading.get(), places).ok()?,
                temperature_tenths_c: Celsius::new(temperature).ok()?,
            })
        });
        Some(RefractometerCardV1 {
            id: Code::new(&self.refractometer_id.get()).ok()?,
            scale,
            compensated: self.compensated.get(),
            check: check.ok()?,
        })
    }

    /// Which scale the refractometer has.
    pub fn reads(&self) -> Option<Scale> {
        let chosen = self.reads.get();
        let of = |(name, scale, _)| (name == chosen).then_some(scale);
        READS.into_iter().find_map(of)
    }

    /// Whether anything of the refractometer's check was typed; then all of it is asked for.
    pub fn is_checked(&self) -> bool {
        ![self.reference, self.reading, self.temperature]
            .iter()
            .all(|typed| typed.is_blank())
    }
}

/// Something that is asked for and cannot be read.
struct Unread;

/// A part that may be left out.
fn part<T>(asked: bool, read: impl FnOnce() -> Option<T>) -> Result<Option<T>, Unread> {
    asked.then(|| read().ok_or(Unread)).transpose()
}

/// Typed kilograms; nothing typed is no weight.
fn grams(typed: Typed) -> Result<Option<Grams>, Unread> {
    part(!typed.is_blank(), || {
        Grams::new(figures::parse(&typed.get(), KILOGRAM_PLACES).ok()?).ok()
    })
}
