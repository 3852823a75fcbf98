//! One finding: its evidence side by side, what was done, and what can be done now.

use super::alike::{TICKED, alike};
use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, choice};
use super::findings::{place, stands};
use super::form::Filled;
use super::parts::{money, token, weight};
use super::sentences::sentence;
use super::visit::Clerk;
use super::{Pages, Place, names, reversal};
use crate::accounts::Right;
use crate::currency::of_ledger;
use crate::desk;
use crate::findings::{LookedAt, Side, Value, evidence, of_all, take_step};
use crate::keys::DeskCheck;
use crate::store::{Journals, SqliteStore, Step, StoreError};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use clap::ValueEnum;
use combgate_core::units::{Currency, Label};
use combgate_ui::figures::{kilograms, percent};
use combgate_ui::paper::when;
use combgate_ui::words::Language;
use leptos::prelude::*;

/// Bytes of refused evidence that are shown; all of them are in the ledger.
const SHOWN_BYTES: usize = 4_000;

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(id): Path<String>,
) -> Response {
    pages
        .show(clerk, Place::Findings, move |desk, clerk| {
            let found = of_all(&desk.store, &DeskCheck)?;
            let each = found
                .iter()
                .find(|each| each.id() == id)
                .ok_or(Trouble::Nowhere)?;
            Ok(Answer::Sheet(sheet(clerk, &desk.store, each, &found)?))
        })
        .await
}

/// Keeps what the clerk does.
pub(super) async fn settle(
    State(pages): State<Pages>,
    Path(id): Path<String>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Findings, move |desk, clerk| {
            clerk.must(Right::Settle)?;
            // A tick may stand for one finding or for all that were shown.
            let ids: Vec<&str> = std::iter::once(id.as_str())
                .chain(fields.all(TICKED).flat_map(str::split_whitespace))
                .collect();
            let step: Step = choice(Word::FindingDoWhat, &fields, "step")?;
            let words = fields.get("words");
            take_step(
                &mut desk.store,
                &ids,
                step,
                words,
                &clerk.account,
                desk::now(),
            )?;
            Ok(Answer::See(format!("/findings/{id}")))
        })
        .await
}

fn sheet(
    clerk: &Clerk,
    store: &SqliteStore,
    each: &LookedAt,
    all: &[LookedAt],
) -> Result<Sheet, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let finding = &each.finding;
    let handset = store.handset(&each.handset)?;
    let sides = match &handset {
        Some(handset) if finding.seq > 0 => evidence(store, handset, finding.seq, &finding.code)?,
        _ => Vec::new(),
    };
    let unit = of_ledger(store)?;
    let is_booked = handset.is_some_and(|handset| (1..=handset.head.seq).contains(&finding.seq));
    let entry = is_booked.then(|| format!("/entries/{}/{}", each.handset, finding.seq));
    let body = view! {
        <p class="finding-head">
            {weight(language, finding.weight)} <span>{place(language, each)}</span>
        </p>
        {sentence(language, &finding.code, &finding.sentence, "sentence large")}
        {compared(language, &sides, unit)}
        {entry
            .map(|href| {
                view! { <p><a href=href>{say(Word::FindingSeeEntry)}</a></p> }
            })}
        {refused(language, store, each)?}
        {steps(language, each)}
        {reversal::section(clerk, store, each)?}
        {form(clerk, each, all)}
    };
    Ok(Sheet {
        title: say(names::title(&finding.code)).to_owned(),
        body: body.into_any(),
    })
}

fn compared(language: Language, sides: &[Side], unit: Option<Currency>) -> AnyView {
    let say = |word| text(language, word);
    if sides.is_empty() {
        return ().into_any();
    }
    let mut ordered: Vec<&Side> = sides.iter().collect();
    ordered.sort_by_key(|side| !side.differs());
    let rows: Vec<_> = ordered
        .into_iter()
        .map(|side| {
            let differs = side.differs();
            let verdict = if differs {
                Word::EvidenceDiffers
            } else {
                Word::EvidenceSame
            };
            view! {
                <tr class=if differs { "differs" } else { "same" }>
                    <th scope="row">{say(names::what(side.what))}</th>
                    <td>{shown(language, &side.wrote, unit)}</td>
                    <td>{shown(language, &side.desk, unit)}</td>
                    <td>{say(verdict)}</td>
                </tr>
            }
        })
        .collect();
    view! {
        <section>
            <h2 id="evidence">{say(Word::EvidenceTitle)}</h2>
            <div class="wide" tabindex="0" role="region" aria-labelledby="evidence">
                <table class="evidence">
                    <thead>
                        <tr>
                            <th scope="col">{say(Word::EvidenceWhat)}</th>
                            <th scope="col">{say(Word::EvidencePhone)}</th>
                            <th scope="col">{say(Word::EvidenceDesk)}</th>
                            <th scope="col">{say(Word::EvidenceVerdict)}</th>
                        </tr>
                    </thead>
                    <tbody>{rows}</tbody>
                </table>
            </div>
        </section>
    }
    .into_any()
}

fn shown(language: Language, value: &Value, unit: Option<Currency>) -> String {
    match value {
        Value::None => text(language, Word::EvidenceNothing).to_owned(),
        Value::Decision(decision) => {
            combgate_ui::words::text(language, combgate_ui::sentences::decision(*decision))
                .to_owned()
        }
        Value::Grams(grams) => format!("{} kg", kilograms(*grams)),
        Value::Hundredths(share) => format!("{} %", percent(*share)),
        Value::Minor(minor) => money(*minor, unit),
        Value::Count(count) => count.to_string(),
        Value::Day(day) => day.to_string(),
        Value::Text(words) => words.clone(),
    }
}

/// What was refused, as far as it can be shown.
fn refused(
    language: Language,
    store: &SqliteStore,
    each: &LookedAt,
) -> Result<AnyView, StoreError> {
    let is_refused = matches!(
        each.finding.code.as_str(),
        "entry-refused" | "bundle-refused"
    );
    if !is_refused {
        return Ok(().into_any());
    }
    let kept: Vec<_> = store
        .evidence(&each.handset)?
        .into_iter()
        .filter(|kept| kept.seq.unwrap_or(0) == each.finding.seq)
        .map(|kept| {
            let received = kept.kept_at.to_rfc3339();
            let digest = kept.digest.to_string();
            view! {
                <p>
                    {phrase(
                        language,
                        Phrase::EvidenceKept {
                            when: &when(&received),
                            digest: &digest,
                        },
                    )}
                </p>
                <pre class="bytes" tabindex="0">{readable(&kept.bytes)}</pre>
            }
        })
        .collect();
    Ok(view! {
        <details>
            <summary>{text(language, Word::EvidenceBytes)}</summary>
            {kept}
        </details>
    }
    .into_any())
}

/// The payload of an entry, or the beginning of what came; without what changes how text is shown.
fn readable(bytes: &[u8]) -> String {
    use base64::Engine;
    let all = String::from_utf8_lossy(bytes);
    let payload = all
        .split('.')
        .nth(1)
        .and_then(|part| {
            base64::engine::general_purpose::URL_SAFE_NO_PAD
                .decode(part)
                .ok()
        })
        .and_then(|bytes| String::from_utf8(bytes).ok())
        .unwrap_or_else(|| all.into_owned());
    payload
        .chars()
        .filter(|c| *c == '\n' || Label::new(&format!("-{c}-")).is_ok())
        .take(SHOWN_BYTES)
        .collect()
}

fn steps(language: Language, each: &LookedAt) -> AnyView {
    if each.steps.is_empty() {
        return ().into_any();
    }
    let all: Vec<_> = each
        .steps
        .iter()
        .map(|step| {
            let at = when(&step.taken_at.to_rfc3339());
            view! {
                <li>
                    <strong>{text(language, names::step_done(step.step))}</strong>
                    ": "
                    {step.words.to_string()}
                    <span class="under">{format!("{at}, {}", step.account)}</span>
                </li>
            }
        })
        .collect();
    view! {
        <section>
            <h2 id="steps">{text(language, Word::FindingSteps)}</h2>
            {stands(language, each).map(|words| view! { <p class="stands">{words}</p> })}
            <ol class="lines">{all}</ol>
        </section>
    }
    .into_any()
}

fn form(clerk: &Clerk, each: &LookedAt, all: &[LookedAt]) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    if !clerk.may(Right::Settle) {
        let who = names::roles_that_may(language, Right::Settle);
        let words = phrase(language, Phrase::TroubleNotTheirsWhat { who: &who });
        return view! { <p class="notice">{words}</p> }.into_any();
    }
    let choices: Vec<_> = Step::value_variants()
        .iter()
        .map(|step| {
            let value = step
                .to_possible_value()
                .map_or_else(String::new, |value| value.get_name().to_owned());
            let id = format!("step-{value}");
            view! {
                <p class="choice">
                    <input type="radio" name="step" id=id.clone() value=value required/>
                    <label for=id>
                        <strong>{say(names::step(*step))}</strong>
                        " "
                        {say(names::step_means(*step))}
                    </label>
                </p>
            }
        })
        .collect();
    view! {
        <section>
            <h2 id="settle">{say(Word::FindingDo)}</h2>
            <form method="post" action=format!("/findings/{}", each.id()) class="sheet">
                {token(clerk)}
                <fieldset>
                    <legend>{say(Word::FindingDoWhat)}</legend>
                    {choices}
                </fieldset>
                {alike(language, each, all)}
                <p class="field">
                    <label for="words">{say(Word::FindingWords)}</label>
                    <input
                        id="words"
                        name="words"
                        required
                        maxlength=Label::MAX.to_string()
                        aria-describedby="words-hint"
                    />
                </p>
                <p class="quiet" id="words-hint">{say(Word::FindingWordsHint)}</p>
                <p><button class="main" type="submit">{say(Word::FindingKeep)}</button></p>
            </form>
        </section>
    }
    .into_any()
}
