//! Reading aloud with the voices of the phone (Web Speech API).

use super::{member, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{SpeechSynthesis, SpeechSynthesisUtterance, SpeechSynthesisVoice};

/// How long a browser gets to find its voices, which it does after the page has begun.
const PATIENCE_MS: i32 = 1_500;

/// A text that is being read; dropping it stops the voice.
#[derive(Debug)]
pub struct Reading {
    synthesis: SpeechSynthesis,
    /// Held, since browsers forget an utterance that nobody holds and never say that it ended.
    utterances: Vec<SpeechSynthesisUtterance>,
    _ended: Closure<dyn FnMut()>,
}

impl Drop for Reading {
    fn drop(&mut self) {
        if let Some(last) = self.utterances.last() {
            last.set_onend(None);
            last.set_onerror(None);
        }
        self.synthesis.cancel();
    }
}

/// Reads sentences in order and calls `ended` after the last. `None` where the phone has no voice
/// for the language.
pub async fn read(
    language: &str,
    sentences: &[String],
    ended: impl FnMut() + 'static,
) -> Option<Reading> {
    let window = window().ok()?;
    member(&window, "speechSynthesis")?;
    let synthesis = window.speech_synthesis().ok()?;
    if voice_of(&synthesis, language).is_none() {
        voices_change(&window, &synthesis).await;
    }
    let voice = voice_of(&synthesis, language)?;
    // Whatever was left over from before would be read first.
    synthesis.cancel();
    let utterances: Vec<_> = sentences
        .iter()
        .filter_map(|sentence| {
            let utterance = SpeechSynthesisUtterance::new_with_text(sentence).ok()?;
            utterance.set_lang(&voice.lang());
            utterance.set_voice(Some(&voice));
            Some(utterance)
        })
        .collect();
    let ended = Closure::<dyn FnMut()>::new(ended);
    let last = utterances.last()?;
    last.set_onend(Some(ended.as_ref().unchecked_ref()));
    last.set_onerror(Some(ended.as_ref().unchecked_ref()));
    for utterance in &utterances {
        synthesis.speak(utterance);
    }
    Some(Reading {
        synthesis,
        utterances,
        _ended: ended,
    })
}

/// A voice for the language; one on the phone itself before one that wants a network.
fn voice_of(synthesis: &SpeechSynthesis, language: &str) -> Option<SpeechSynthesisVoice> {
    let mut voices: Vec<SpeechSynthesisVoice> = synthesis
        .get_voices()
        .iter()
        .map(JsCast::unchecked_into)
        .filter(|voice: &SpeechSynthesisVoice| speaks(&voice.lang(), language))
        .collect();
    voices.sort_by_key(|voice| !voice.local_service());
    voices.into_iter().next()
}

/// Whether a voice's tag, `sw-KE` or as some phones write it `sw_KE`, is of the language.
fn speaks(tag: &str, language: &str) -> bool {
    tag.split(['-', '_'])
        .next()
        .is_some_and(|primary| primary.eq_ignore_ascii_case(language))
}

/// Waits until the browser has found voices, or long enough.
async fn voices_change(window: &web_sys::Window, synthesis: &SpeechSynthesis) {
    let promise = js_sys::Promise::new(&mut |resolve, _| {
        synthesis.set_onvoiceschanged(Some(&resolve));
        let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, PATIENCE_MS);
    });
    let _ = JsFuture::from(promise).await;
    synthesis.set_onvoiceschanged(None);
}
