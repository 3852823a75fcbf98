//! What an entry may not be: out of count, of an unknown kind, too large, or open to two readings.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::record::{
    Digest, DocumentError, ENTRY_BYTES_AT_MOST, EntryBody, EntryFault, JournalHead, JwsError,
    KeyId, ParsedEntry, Typ, Unsigned, UnsignedEntry,
};

const BODY: &str = r#"{"before":"2026-10-09T08:00:00+03:00","jump_seconds":60}"#;

fn kid() -> KeyId {
    KeyId::try_from("zqOaUTjWYLx7wuHQfmhrTuJEANxY0xT7F3ikoNtsDyM".to_owned()).unwrap()
}

/// Parses a payload as an entry; parsing looks at no signature, so any 64 bytes do.
fn parse(payload: &str) -> Result<ParsedEntry, EntryFault> {
    let unsigned = Unsigned::new(Typ::Entry, kid(), payload).unwrap();
    ParsedEntry::parse(&unsigned.with_signature(&[1; 64]))
}

fn payload(seq: &str, kind: &str, body: &str) -> String {
    let prev = Digest::of("the entry before");
    format!(
        r#"{{"seq":{seq},"prev":"{prev}","at":"2026-10-09T08:01:00+03:00","kind":"{kind}","body":{body}}}"#
    )
}

fn assert_malformed(payload: &str) {
    let refused = parse(payload);
    assert!(
        matches!(
            refused,
            Err(EntryFault::Document(DocumentError::Malformed { .. }))
        ),
        "{payload} gave {refused:?}"
    );
}

/// RFC 8259, 6: whole numbers up to 2^53 - 1 are the same in every program that reads JSON.
#[test]
fn counting_begins_at_one_and_stays_exact_everywhere() {
    for good in [1, 2, 9_007_199_254_740_991_u64] {
        let entry = parse(&payload(&good.to_string(), "clock_noticed", BODY)).unwrap();
        assert_eq!(entry.seq(), good);
    }
    for bad in [0, 9_007_199_254_740_992, u64::MAX] {
        assert_eq!(
            parse(&payload(&bad.to_string(), "clock_noticed", BODY)),
            Err(EntryFault::SeqOutOfRange(bad))
        );
    }
    for bad in ["-1", "1.0", "1e0", "\"1\"", "18446744073709551616", "null"] {
        assert_malformed(&payload(bad, "clock_noticed", BODY));
    }
}

#[test]
fn a_kind_that_is_unknown_is_named() {
    let refused = parse(&payload("1", "price_changed", BODY)).unwrap_err();
    assert!(
        refused.to_string().contains("unknown kind 'price_changed'"),
        "{refused}"
    );
    // A kind's name is not the variant's, and a body goes with its own kind only.
    assert_malformed(&payload("1", "ClockNoticed", BODY));
    assert_malformed(&payload("1", "", BODY));
    assert_malformed(&payload("1", "payment", BODY));
    let long = "x".repeat(10_000);
    let message = parse(&payload("1", &long, BODY)).unwrap_err().to_string();
    assert!(message.len() < 300, "{}", message.len());
}

#[test]
fn no_field_stands_twice_or_besides_those_of_the_format() {
    let good = payload("1", "clock_noticed", BODY);
    assert!(parse(&good).is_ok());
    for (was, now) in [
        (r#""seq":1,"#, r#""seq":1,"seq":1,"#),
        (r#""seq":1,"#, r#""seq":1,"more":1,"#),
        (
            r#""kind":"clock_noticed","#,
            r#""kind":"clock_noticed","kind":"receipt","#,
        ),
        (
            r#""jump_seconds":60"#,
            r#""jump_seconds":60,"jump_seconds":0"#,
        ),
        (r#""jump_seconds":60"#, r#""jump_seconds":60,"why":"""#),
        (
            r#""jump_seconds":60"#,
            r#""jump_\u0073econds":60,"jump_seconds":0"#,
        ),
        (r#","jump_seconds":60"#, ""),
        (BODY, "null"),
        (BODY, "[]"),
        (BODY, r#"["2026-10-09T08:00:00+03:00",60]"#),
    ] {
        let bad = good.replacen(was, now, 1);
        assert_ne!(bad, good, "{was}");
        assert_malformed(&bad);
    }
    let tail = format!("{good}{good}");
    assert_malformed(&tail);
}

#[test]
fn fields_deep_inside_are_as_strict() {
    let opened = r#"{"day":"2026-10-09","officer":"Neema Osale","brief_serial":3,"float_minor":0,"currency":"KES","pails":20,"seals":40,"scale":{"id":"SC-2","interval_g":10}}"#;
    let good = payload("1", "day_opened", opened);
    assert!(parse(&good).is_ok());
    for (was, now) in [
        (r#""interval_g":10"#, r#""interval_g":10,"interval_g":20"#),
        (r#""interval_g":10"#, r#""interval_g":0"#),
        (r#""interval_g":10"#, r#""interval_g":10,"interval_kg":10"#),
        (r#""day":"2026-10-09""#, r#""day":"2026-10-9""#),
        (r#""day":"2026-10-09""#, r#""day":"+2026-10-09""#),
        (r#""currency":"KES""#, r#""currency":"kes""#),
        (r#""currency":"KES""#, r#""currency":"ZZZ""#),
        (r#""brief_serial":3"#, r#""brief_serial":-3"#),
        (r#""brief_serial":3"#, r#""brief_serial":4294967296"#),
        ("Neema Osale", ""),
        ("Neema Osale", r"Neema\nOsale"),
        ("Neema Osale", r"\u202eNeema"),
        ("SC-2", "=SC-2"),
    ] {
        let bad = good.replacen(was, now, 1);
        assert_ne!(bad, good, "{was}");
        assert_malformed(&bad);
    }
}

#[test]
fn an_entry_takes_at_most_sixteen_kibibytes() {
    let with_blanks = |blanks: usize| {
        let padded = format!(
            "{}{}",
            payload("1", "clock_noticed", BODY),
            " ".repeat(blanks)
        );
        Unsigned::new(Typ::Entry, kid(), &padded)
            .unwrap()
            .with_signature(&[1; 64])
    };
    assert_eq!(ENTRY_BYTES_AT_MOST, 16 * 1024);
    let largest = (0..ENTRY_BYTES_AT_MOST)
        .take_while(|blanks| with_blanks(*blanks).len() <= ENTRY_BYTES_AT_MOST)
        .last()
        .unwrap();
    let (fitting, beyond) = (with_blanks(largest), with_blanks(largest + 1));
    // Base64 grows by one or two characters a byte, so the largest may fall one short.
    assert!(
        fitting.len() >= ENTRY_BYTES_AT_MOST - 1,
        "{}",
        fitting.len()
    );
    assert!(ParsedEntry::parse(&fitting).is_ok());
    assert!(matches!(
        ParsedEntry::parse(&beyond),
        Err(EntryFault::Jws(JwsError::Document(
            DocumentError::TooLarge { .. }
        )))
    ));
}

/// What would be refused on arrival is not signed in the first place.
#[test]
fn an_entry_that_is_too_large_is_not_prepared() {
    let receipt = |pails: usize| {
        let pails: Vec<_> = (0..pails)
            .map(|number| {
                format!(
                    r#"{{"number":"P-{number:030}","seal":"S-{number:030}","gross_g":20000,"tare_g":1000}}"#
                )
            })
            .collect();
        let slip = format!(
            r#"{{"number":"K7-26-00001","delivery_id":"0199c0de-0000-7000-8000-000000000001","day":"2026-10-09","member":"M001","terms":{{"policy":"P","policy_digest":"{0}","price_list":"L","price_list_digest":"{0}"}},"delivery":{{"bee":"honeybee","form":"run_honey","hive":"log","combs":[],"readings":[],"answers":[],"pails":[{1}]}},"assessment":{{"decision":"hold","grounds":[],"settled_by":[],"marks":[],"lines":[]}},"pails_with":"member"}}"#,
            Digest::NONE,
            pails.join(",")
        );
        let entry = parse(&payload("1", "slip", &slip)).unwrap();
        assert!(matches!(entry.body(), EntryBody::Slip(_)));
        entry
    };
    // As many as one delivery takes fit with the longest numbers that pails can have.
    let most = receipt(40);
    let prepared = UnsignedEntry::after(JournalHead::EMPTY, kid(), most.at(), most.body());
    assert!(prepared.is_ok());

    let EntryBody::Slip(mut slip) = receipt(80).body().clone() else {
        panic!("a slip was made");
    };
    let more = slip.delivery.pails.clone();
    slip.delivery.pails.extend(more);
    let body = EntryBody::Slip(slip);
    assert!(matches!(
        UnsignedEntry::after(JournalHead::EMPTY, kid(), most.at(), &body),
        Err(DocumentError::TooLarge { what: "entry", .. })
    ));
}

/// A sum that no ledger could add up is not read in the first place.
#[test]
fn a_sum_of_money_is_bounded() {
    let closed = |cash: &str| {
        let body =
            format!(r#"{{"day":"2026-10-09","cash_minor":{cash},"full_pails":0,"empty_pails":0}}"#);
        payload("1", "day_closed", &body)
    };
    for good in ["0", "-1000000000000000", "1000000000000000"] {
        assert!(parse(&closed(good)).is_ok(), "{good}");
    }
    for bad in [
        "1000000000000001",
        "-1000000000000001",
        "9223372036854775807",
        "-9223372036854775808",
        "9223372036854775808",
        "1.5",
        "null",
    ] {
        assert_malformed(&closed(bad));
    }
}
