//! The published examples, and everything that is not read.

use super::*;
use crate::record::{JwkV1, SoftwareCheck, SoftwareKey};

const AUTHORITY: &str = "desk.example:8443";

fn at(text: &str) -> DateTime<FixedOffset> {
    text.parse().unwrap()
}

fn now() -> DateTime<FixedOffset> {
    at("2026-10-09T18:10:00+03:00")
}

fn key() -> SoftwareKey {
    SoftwareKey::from_scalar(&[9; 32]).unwrap()
}

fn public() -> PublicKey {
    key().public().unwrap()
}

fn put() -> Request {
    Request::bundle(AUTHORITY, Digest::of("{}")).unwrap()
}

fn signed(request: Request) -> SignedFields {
    let unsigned = request.unsigned(public().id(), now());
    let signature = key().sign_request(&unsigned);
    unsigned.with_signature(&signature)
}

fn check(fields: &SignedFields, request: &Request) -> Result<(), RequestError> {
    RequestSignature::parse(fields)?.check(request, &public(), now(), &SoftwareCheck)
}

/// Source: RFC 9421, appendix B: key B.1.3, response B.2 and signature B.2.4; section 2.5's example
/// of a signature base. RFC 9530, 2 and appendix B for the digests. Two copies of the figures in
/// test suites of other makers were compared.
mod published {
    use super::*;

    const DIGEST: &str = "sha-512=:mEWXIS7MaLRuGgxOBdODa3xqM1XdEvxoYhvlCFJ41QJgJc4GTsPp29l5oGX69wWdXymy\
        U0rjJuahq4l5aGgfLQ==:";
    const INPUT: &str = "sig-b24=(\"@status\" \"content-type\" \"content-digest\" \"content-length\")\
        ;created=1618884473;keyid=\"test-key-ecc-p256\"";
    const SIGNATURE: &str = "sig-b24=:wNmSUAhwb5LxtOtOpNa6W5xj067m5hFrj0XQ4fvpaCLx0NKocgPquLgyahnzDnDAU\
        y5eCdlYUEkLIj+32oiasw==:";

    fn key_b13() -> PublicKey {
        PublicKey::try_from(&JwkV1 {
            crv: "P-256".into(),
            kty: "EC".into(),
            x: "qIVYZVLCrPZHGHjP17CTW0_-D9Lfw0EkjqF7xB4FivA".into(),
            y: "Mc4nN9LTDOBhfoUeg8Ye9WedFRhnZXZJA12Qp0zZ6F0".into(),
        })
        .unwrap()
    }

    fn fits(status: &str) -> bool {
        let input = Input::parse(INPUT).unwrap();
        assert_eq!(input.created, 1_618_884_473);
        assert_eq!(input.key, "test-key-ecc-p256");
        assert_eq!(input.algorithm, None);
        let values = [status, "application/json", DIGEST, "23"];
        let components = input.components.iter().map(String::as_str).zip(values);
        let base = signature_base(components, &input.parameters);
        SoftwareCheck.fits(
            &key_b13(),
            Signed::new(
                base.as_bytes(),
                &fields::signature(SIGNATURE, &input.label).unwrap(),
            ),
        )
    }

    #[test]
    fn the_signature_of_b_2_4_fits_and_that_of_another_status_does_not() {
        assert!(fits("200"));
        assert!(!fits("201"));
    }

    #[test]
    fn the_base_of_section_2_5_is_built() {
        let digest = "sha-512=:WZDPaVn/7XgHaAy8pmojAkGWoRx2UFChF41A2svX+TaPm+AbwAgBWnrIiYllu7BNNyealdVL\
            vRwEmTHWXvJwew==:";
        let components = [
            ("@method", "POST"),
            ("@authority", "example.com"),
            ("@path", "/foo"),
            ("content-digest", digest),
            ("content-length", "18"),
            ("content-type", "application/json"),
        ];
        let names = components.map(|(name, _)| name);
        let parameters =
            fields::inner_list(&names) + ";created=1618884473;keyid=\"test-key-rsa-pss\"";
        assert_eq!(
            signature_base(components, &parameters),
            format!(
                "\"@method\": POST\n\"@authority\": example.com\n\"@path\": /foo\n\
                 \"content-digest\": {digest}\n\"content-length\": 18\n\
                 \"content-type\": application/json\n\
                 \"@signature-params\": (\"@method\" \"@authority\" \"@path\" \"content-digest\" \
                 \"content-length\" \"content-type\");created=1618884473;keyid=\"test-key-rsa-pss\""
            )
        );
    }

    #[test]
    fn digests_are_those_of_rfc_9530_and_9421() {
        for (content, digest) in [
            (
                "{\"hello\": \"world\"}\n",
                "sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:",
            ),
            (
                "{\"hello\": \"world\"}",
                "sha-256=:X48E9qOokqqrvdts8nOJRJN3OWDUoyWxBf7kbu9DBPE=:",
            ),
        ] {
            assert_eq!(content_digest(Digest::of(content)), digest);
        }
    }
}

#[test]
fn what_is_signed_is_checked() {
    for request in [put(), Request::get(AUTHORITY, BRIEF_PATH).unwrap()] {
        let fields = signed(request.clone());
        assert_eq!(check(&fields, &request), Ok(()));
    }
    assert_eq!(
        put().path(),
        "/v1/bundles/RBNvo1WzZ4oRRq0W9-hknpT7T8If536DEMBg9hyq_4o"
    );
}

/// One method, authority, path or content put in place of another never fits.
#[test]
fn another_request_does_not_fit() {
    let fields = signed(put());
    let bad = Err(RequestError::BadSignature);
    for (authority, path, content, expected) in [
        ("desk.example", put().path(), "{}", bad.clone()),
        (AUTHORITY, "/v1/bundles/other", "{}", bad),
        (
            AUTHORITY,
            put().path(),
            "{ }",
            Err(RequestError::DigestDiffers),
        ),
    ] {
        let other = Request::put(authority, path, Digest::of(content)).unwrap();
        assert_eq!(
            check(&fields, &other),
            expected,
            "{authority} {path} {content}"
        );
    }
    let get = Request::get(AUTHORITY, put().path()).unwrap();
    assert_eq!(check(&fields, &get), Err(RequestError::DigestDiffers));
    let mut bare = fields.clone();
    bare.content_digest = None;
    assert!(matches!(
        check(&bare, &get),
        Err(RequestError::OtherCoverage { .. })
    ));
    assert_eq!(check(&bare, &put()), Err(RequestError::DigestDiffers));
}

/// The signature of a request that covers less is good in itself, and refused all the same.
#[test]
fn less_cover_is_refused() {
    let request = put();
    for left_out in 0..4 {
        let mut components = request.components();
        components.remove(left_out);
        let names: Vec<_> = components.iter().map(|(name, _)| *name).collect();
        let parameters = format!(
            "{};created={};keyid=\"{}\"",
            fields::inner_list(&names),
            now().timestamp(),
            public().id()
        );
        let unsigned = UnsignedRequest {
            base: signature_base(components.clone(), &parameters),
            parameters,
            content_digest: request.content_digest.clone(),
        };
        let signature = key().sign_request(&unsigned);
        let found = check(&unsigned.with_signature(&signature), &request);
        assert!(
            matches!(found, Err(RequestError::OtherCoverage { .. })),
            "{left_out}: {found:?}"
        );
    }
}

#[test]
fn another_key_and_another_time_are_refused() {
    let request = put();
    let fields = signed(request.clone());
    let signature = RequestSignature::parse(&fields).unwrap();
    let other = SoftwareKey::from_scalar(&[8; 32])
        .unwrap()
        .public()
        .unwrap();
    assert!(matches!(
        signature.check(&request, &other, now(), &SoftwareCheck),
        Err(RequestError::OtherKey { .. })
    ));
    for (seconds, good) in [(300, true), (-300, true), (301, false), (-301, false)] {
        let then = now() + chrono::Duration::seconds(seconds);
        let found = signature.check(&request, &public(), then, &SoftwareCheck);
        assert_eq!(found.is_ok(), good, "{seconds} s: {found:?}");
    }
}

#[test]
fn other_spellings_are_refused() {
    let fields = signed(put());
    let id = public().id();
    let list = r#"("@method" "@authority" "@path" "content-digest")"#;
    let good = format!("a={list};created=1;keyid=\"{id}\"");
    assert!(Input::parse(&good).is_ok());
    for input in [
        String::new(),
        list.to_owned(),
        format!("A={list};created=1;keyid=\"{id}\""),
        format!("a={list}"),
        format!("a={list};created=1"),
        format!("a={list};keyid=\"{id}\""),
        format!("a={list};created=01;keyid=\"{id}\""),
        format!("a={list};created=-1;keyid=\"{id}\""),
        format!("a={list};created=1.0;keyid=\"{id}\""),
        format!("a={list};created=9999999999999999;keyid=\"{id}\""),
        format!("a={list};created=1;created=1;keyid=\"{id}\""),
        format!("a={list};created=1;keyid={id}"),
        format!("a={list};created=1;keyid=\"\""),
        format!("a={list};created=1;keyid=\"{id}\";nonce=\"x\""),
        format!("a={list};created=1;keyid=\"{id}\";tag"),
        format!("a={list}; created=1;keyid=\"{id}\""),
        format!("a=(\"@path\"  \"@method\");created=1;keyid=\"{id}\""),
        format!("a=();created=1;keyid=\"{id}\""),
        format!("a=(\"@path\" \"@path\");created=1;keyid=\"{id}\""),
        format!("a=(\"@query-param\";name=\"x\");created=1;keyid=\"{id}\""),
        format!("{good}, b={list};created=1;keyid=\"{id}\""),
        format!("{good} "),
        format!("a={list};created=1;keyid=\"{}\"", "x".repeat(2_000)),
    ] {
        assert!(
            matches!(Input::parse(&input), Err(RequestError::Malformed { .. })),
            "{input}"
        );
    }
    let with = |input: &str, signature: &str| {
        RequestSignature::parse(&SignedFields {
            signature_input: input.to_owned(),
            signature: signature.to_owned(),
            ..fields.clone()
        })
    };
    assert!(with(&fields.signature_input, &fields.signature).is_ok());
    let encoded = STANDARD.encode([1; 64]);
    for signature in [
        String::new(),
        format!("a=:{encoded}:"),
        format!("handset={encoded}"),
        format!("handset=:{encoded}:, b=:{encoded}:"),
        format!("handset=:{}:", STANDARD.encode([1; 63])),
        format!("handset=:{}:", encoded.trim_end_matches('=')),
    ] {
        assert!(
            with(&fields.signature_input, &signature).is_err(),
            "{signature}"
        );
    }
    for (from, to) in [("ecdsa-p256-sha256", "ed25519"), ("keyid=\"", "keyid=\"A")] {
        let input = fields.signature_input.replacen(from, to, 1);
        assert!(with(&input, &fields.signature).is_err(), "{input}");
    }
}

#[test]
fn a_host_is_written_in_small_letters_and_nothing_else_slips_in() {
    let request = Request::get("Desk.Example", BRIEF_PATH).unwrap();
    assert_eq!(request.authority, "desk.example");
    for authority in [
        "",
        "desk example",
        "desk\n",
        "user@desk",
        "desk/",
        &"a".repeat(256),
    ] {
        assert_eq!(
            Request::get(authority, BRIEF_PATH),
            Err(RequestError::BadAuthority),
            "{authority}"
        );
    }
    for path in [
        "",
        "v1",
        "/a b",
        "/a\n",
        "/a?b",
        "/\u{e9}",
        &format!("/{}", "a".repeat(1_024)),
    ] {
        assert_eq!(
            Request::get(AUTHORITY, path),
            Err(RequestError::BadPath),
            "{path}"
        );
    }
}
