//! Bees and product form; everything after depends on them.

use super::Bench;
use crate::screens::inputs::choices;
use combgate_core::intake::{Bee, Form, Hive};
use combgate_ui::sentences;
use combgate_ui::words::Word;
use combgate_view::{IntoNode, view};

/// The step.
pub fn product(bench: Bench) -> impl IntoNode {
    let draft = bench.draft;
    view! {
        {choices(
            "bee",
            Word::PurchaseBee,
            &Bee::ALL.map(|bee| (bee, sentences::bee(bee))),
            move || draft.with(|draft| draft.bee),
            move |bee| draft.update(|draft| draft.bee = Some(bee)),
        )}
        {choices(
            "form",
            Word::PurchaseForm,
            &Form::ALL.map(|form| (form, sentences::form(form))),
            move || draft.with(|draft| draft.form),
            move |form| draft.update(|draft| draft.form = Some(form)),
        )}
        {choices(
            "hive",
            Word::PurchaseHive,
            &Hive::ALL.map(|hive| (hive, sentences::hive(hive))),
            move || draft.with(|draft| draft.hive),
            move |hive| draft.update(|draft| draft.hive = Some(hive)),
        )}
    }
}
