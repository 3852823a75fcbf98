//! What is kept in `demo-fixtures`, made anew.

use super::cooperative::{acknowledged, desk_key};
use super::day::{Gate, fermenting_run, good_comb, stingless, wet_run, whole};
use super::{at, bad, example, public, sign};
use combgate_core::record::{DeliveryV1, HandsetsV1, KeyOfV1, QuestionV1, StubV1};

/// Every file that is made: its path in `demo-fixtures`, and its text.
pub fn all() -> Vec<(String, String)> {
    let day = whole();
    let mut files = vec![
        ("bundles/example.json".into(), example_bundle()),
        ("bundles/good/day.json".into(), bad::good()),
        (
            "bundles/good/morning.json".into(),
            day.handset.bundle(..=12, at("11:00")),
        ),
        (
            "bundles/good/afternoon.json".into(),
            day.handset.bundle(13.., at("17:05")),
        ),
        (
            "handset-k7/enrolment-card.jws".into(),
            format!("{}\n", day.handset.card()),
        ),
        (
            "handset-k7/brief.jws".into(),
            format!("{}\n", day.brief_text),
        ),
        (
            "handset-k7/acknowledgement.jws".into(),
            acknowledgement(&day),
        ),
        ("handset-k7/stub.jws".into(), stub(&day)),
        ("handset-k7/handsets.jws".into(), handsets(&day)),
    ];
    for (name, text) in [
        ("altered-byte", bad::altered_byte()),
        ("wrong-key", bad::wrong_key()),
        ("truncated", bad::truncated()),
        ("old-version", bad::version("combgate-bundle/0")),
        ("unknown-version", bad::version("combgate-bundle/2")),
        ("gap", bad::gap()),
        ("fork", bad::fork()),
        ("forged-manifest", bad::forged_manifest()),
        ("lying-totals", bad::lying_totals()),
        ("dishonest", bad::dishonest()),
    ] {
        files.push((format!("bundles/bad/{name}.json"), text));
    }
    for (name, delivery) in [
        ("bought", good_comb(101)),
        ("held", wet_run(106)),
        ("refused", fermenting_run()),
        ("stingless", stingless(107)),
    ] {
        files.push((format!("deliveries/{name}.json"), pretty(&delivery)));
    }
    files.extend(super::fortnight::files());
    files
}

fn example_bundle() -> String {
    example::short_day().handset.bundle(.., at("10:40"))
}

fn acknowledgement(day: &Gate) -> String {
    let questions = vec![QuestionV1 {
        seq: 4,
        finding: super::code("advance-differs"),
        sentence: super::label("Bring the member's savings book on Tuesday."),
    }];
    let text = acknowledged(day.handset.public().id(), day.handset.head(), questions);
    format!("{text}\n")
}

/// The stub of the day's first receipt.
fn stub(day: &Gate) -> String {
    let says = day.handset.entries.iter().find_map(StubV1::of).unwrap();
    let unsigned = says.unsigned(day.handset.public().id()).unwrap();
    format!("{}\n", sign(&day.handset.key, &unsigned))
}

fn handsets(day: &Gate) -> String {
    let desk = desk_key();
    let key = public(&desk);
    let list = HandsetsV1::new(
        at("18:00"),
        day.brief.payload().cooperative.name.clone(),
        &key,
        vec![KeyOfV1 {
            code: day.handset.code.clone(),
            jwk: day.handset.public().jwk(),
        }],
    );
    format!("{}\n", sign(&desk, &list.unsigned(key.id()).unwrap()))
}

fn pretty(delivery: &DeliveryV1) -> String {
    format!("{}\n", serde_json::to_string_pretty(delivery).unwrap())
}
