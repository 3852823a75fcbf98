//! Ways to keep a paper: another language, read aloud, passed on, printed.

use crate::platform::files;
use crate::platform::page;
use crate::platform::picture::{self, Code, Line};
use crate::platform::voice::{self, Reading};
use crate::screens::passed::passed_or_saved;
use combgate_ui::paper::told::{Sentence, Size};
use combgate_ui::qr::Squares;
use combgate_ui::words::{Language, Word, text};
use combgate_view::{IntoNode, Memo, RwSignal, effect, view};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// How the style sheet knows which paper is in the printer.
const ROLL: &str = "roll";
const SHEET: &str = "sheet";

/// Everything in it is said in the paper's language: it is the member who chooses.
pub fn ways(
    shown_in: Memo<Language>,
    chosen: RwSignal<Option<Language>>,
    told: Callback<(), Vec<Sentence>>,
    number: String,
    stub: Option<String>,
) -> impl IntoNode {
    let say = move |word| move || text(shown_in.get(), word);
    let status = RwSignal::new(None::<Word>);
    let picture = {
        let number = number.clone();
        move |_| {
            let (name, stub) = (format!("{number}.png"), stub.clone());
            spawn_local(async move {
                status.set(Some(
                    pass_picture(&name, &told.run(()), stub.as_deref()).await,
                ));
            });
        }
    };
    let words = move |_| {
        let name = format!("{number}.txt");
        spawn_local(async move {
            status.set(Some(pass_words(&name, &told.run(())).await));
        });
    };
    view! {
        <section class="ways" lang=move || shown_in.get().code()>
            {language_of_paper(shown_in, chosen)}
            <div class="actions">
                {read_aloud(shown_in, told, status)}
                <button type="button" on:click=picture>{say(Word::PaperSharePicture)}</button>
                <button type="button" on:click=words>{say(Word::PaperShareText)}</button>
                <button type="button" on:click=move |_| page::print(ROLL)>
                    {say(Word::PaperPrintRoll)}
                </button>
                <button type="button" on:click=move |_| page::print(SHEET)>
                    {say(Word::PaperPrintSheet)}
                </button>
            </div>
            <div role="status">
                {move || {
                    status.get().map(|word| view! { <p class="notice">{say(word)}</p> })
                }}
            </div>
        </section>
    }
}

fn language_of_paper(
    shown_in: Memo<Language>,
    chosen: RwSignal<Option<Language>>,
) -> impl IntoNode {
    let choice = move |language: Language| {
        view! {
            <label class="choice" lang=language.code()>
                <input
                    type="radio"
                    name="paper-language"
                    value=language.code()
                    prop:checked=move || shown_in.get() == language
                    on:change=move |_| chosen.set(Some(language))
                />
                <span>{language.own_name()}</span>
            </label>
        }
    };
    view! {
        <fieldset>
            <legend>{move || text(shown_in.get(), Word::PaperLanguage)}</legend>
            <div class="choices one-column">{Language::ALL.into_iter().map(choice).collect::<Vec<_>>()}</div>
        </fieldset>
    }
}

/// One button that reads and stops. Leaving the paper or changing its language stops it too.
fn read_aloud(
    shown_in: Memo<Language>,
    told: Callback<(), Vec<Sentence>>,
    status: RwSignal<Option<Word>>,
) -> impl IntoNode {
    let reading = RwSignal::new(None::<Reading>);
    effect(move |_| {
        shown_in.track();
        reading.set(None);
    });
    on_cleanup(move || {
        reading.set(None);
    });
    let read = move |_| {
        status.set(None);
        if reading.with_untracked(Option::is_some) {
            reading.set(None);
            return;
        }
        let language = shown_in.get_untracked();
        let sentences: Vec<_> = told.run(()).into_iter().map(|each| each.text).collect();
        spawn_local(async move {
            let ended = move || {
                reading.set(None);
            };
            let begun = voice::read(language.code(), &sentences, ended).await;
            if begun.is_none() {
                status.set(Some(Word::PaperNoVoice));
            }
            // After leaving the paper it is not taken, and is silent again.
            reading.set(begun);
        });
    };
    let word = move || {
        let word = if reading.with(Option::is_some) {
            Word::PaperReadStop
        } else {
            Word::PaperRead
        };
        text(shown_in.get(), word)
    };
    view! { <button type="button" on:click=read>{word}</button> }
}

async fn pass_words(name: &str, told: &[Sentence]) -> Word {
    let lines: Vec<_> = told.iter().map(|each| each.text.as_str()).collect();
    let text = lines.join("\n");
    let passed = files::share_words(&text).await;
    passed_or_saved(&passed, || {
        files::download(name, "text/plain", text.as_str())
    })
}

async fn pass_picture(name: &str, told: &[Sentence], stub: Option<&str>) -> Word {
    let lines: Vec<_> = told.iter().map(line).collect();
    let code = stub.and_then(Squares::of).map(|squares| Code {
        side: squares.side(),
        dark: squares.dark(),
    });
    let Ok(drawn) = picture::png(&lines, code.as_ref()).await else {
        return Word::ErrorFileNotGiven;
    };
    let passed = files::share(name, picture::PNG, &drawn).await;
    passed_or_saved(&passed, || files::download(name, picture::PNG, &drawn))
}

fn line(sentence: &Sentence) -> Line {
    let (size, bold) = match sentence.size {
        Size::Large => (44, true),
        Size::Strong => (30, true),
        Size::Plain => (26, false),
    };
    Line {
        text: sentence.text.clone(),
        size,
        bold,
    }
}
