//! What was typed into a form of the day: kept at every change, given back after a restart.

use super::inputs::{Typed, trouble};
use crate::platform::drafts::{self, Kind};
use crate::speech::say;
use crate::trouble::of_draft;
use chrono::NaiveDate;
use combgate_ui::words::Word;
use combgate_view::{IntoNode, RwSignal, effect};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a tick box leaves when it is ticked.
const TICKED: &str = "yes";

/// The draft: what each input held, by the input's own name. It is of one day alone.
#[derive(Serialize, Deserialize)]
struct Draft {
    day: String,
    inputs: BTreeMap<String, String>,
}

/// An input whose content is kept.
#[derive(Clone, Copy)]
pub enum Input {
    /// Something typed or chosen.
    Text(&'static str, RwSignal<String>),
    /// A tick box.
    Tick(&'static str, RwSignal<bool>),
}

impl From<Typed> for Input {
    fn from(typed: Typed) -> Self {
        Self::Text(typed.id, typed.text)
    }
}

impl Input {
    fn content(self) -> (String, String) {
        match self {
            Self::Text(id, text) => (id.to_owned(), text.get()),
            Self::Tick(id, ticked) => {
                let content = if ticked.get() { TICKED } else { "" };
                (id.to_owned(), content.to_owned())
            }
        }
    }

    fn give_back(self, inputs: &BTreeMap<String, String>) {
        match self {
            Self::Text(id, text) => {
                if let Some(content) = inputs.get(id) {
                    text.set(content.clone());
                }
            }
            Self::Tick(id, ticked) => {
                if let Some(content) = inputs.get(id) {
                    ticked.set(content == TICKED);
                }
            }
        }
    }
}

/// Gives back what was kept for this day, keeps every change from here on, and says it when
/// something could not be kept. What was kept for another day is of no use and goes.
pub fn keep(kind: Kind, day: NaiveDate, inputs: Vec<Input>) -> impl IntoNode {
    let unsaved = RwSignal::new(None::<Word>);
    match drafts::load::<Draft>(kind) {
        Ok(Some(draft)) if draft.day == day.to_string() => {
            for input in &inputs {
                input.give_back(&draft.inputs);
            }
        }
        Ok(Some(_)) | Err(drafts::DraftError::Unreadable) => forget(kind),
        Ok(None) => {}
        Err(error) => unsaved.set(Some(of_draft(&error))),
    }
    // Nothing is kept before anything was entered.
    effect(move |looked_before: Option<()>| {
        let draft = Draft {
            day: day.to_string(),
            inputs: inputs.iter().map(|input| input.content()).collect(),
        };
        if looked_before.is_some() {
            drafts::save_next(kind, draft, move |kept| {
                unsaved.set(kept.err().map(|error| of_draft(&error)));
            });
        }
    });
    move || unsaved.get().map(|word| trouble(say(word)))
}

/// Gives up what was kept.
pub fn forget(kind: Kind) {
    // Where nothing can be kept, there is nothing to give up.
    let _ = drafts::discard(kind);
}
