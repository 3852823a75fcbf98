//! RFC 7515, A.3, and everything that is not read.

use super::*;
use crate::record::{JwkV1, SoftwareCheck, SoftwareKey};

const LIMIT: usize = 4_096;

fn encode(text: impl AsRef<[u8]>) -> String {
    URL_SAFE_NO_PAD.encode(text)
}

fn key() -> SoftwareKey {
    SoftwareKey::from_scalar(&[7; 32]).unwrap()
}

fn header(kid: KeyId) -> String {
    format!(r#"{{"alg":"ES256","kid":"{kid}","typ":"combgate-entry"}}"#)
}

/// A compact form whose signature is 64 bytes of anything: form is looked at first.
fn compact(header: &str, payload: impl AsRef<[u8]>) -> String {
    format!("{}.{}.{}", encode(header), encode(payload), encode([1; 64]))
}

fn parse(compact: &str) -> Result<Jws, JwsError> {
    Jws::parse(compact, Typ::Entry, LIMIT)
}

/// Source: RFC 7515, A.3, as kept in tests/reference/crypto_and_format_vectors.md, section 1.
/// Its header names neither key nor type, so it is checked below the parser.
mod rfc_7515_a3 {
    use super::*;

    const SIGNED: &str = "eyJhbGciOiJFUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQog\
        Imh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ";
    const HIGH_S: &str = "DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQ\
        xfKTUJqPP3-Kg6NU1Q";
    const LOW_S: &str = "DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmU69fgrc8OPGycO0lD3tat_FoFp\
        57SETepkeks4eL_QfA";

    fn fits(message: &str, signature: &str) -> bool {
        let key = PublicKey::try_from(&JwkV1 {
            crv: "P-256".into(),
            kty: "EC".into(),
            x: "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU".into(),
            y: "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0".into(),
        })
        .unwrap();
        let signature = URL_SAFE_NO_PAD.decode(signature).unwrap();
        SoftwareCheck.fits(
            &key,
            Signed::new(message.as_bytes(), signature.as_slice().try_into().unwrap()),
        )
    }

    #[test]
    fn the_published_signature_fits_though_its_s_is_high() {
        assert!(fits(SIGNED, HIGH_S));
    }

    #[test]
    fn its_twin_with_a_low_s_fits() {
        assert!(fits(SIGNED, LOW_S));
    }

    #[test]
    fn no_changed_character_fits() {
        for (place, was) in SIGNED.char_indices() {
            let now = if was == 'A' { "B" } else { "A" };
            let mut changed = SIGNED.to_owned();
            changed.replace_range(place..=place, now);
            assert!(!fits(&changed, HIGH_S), "character {place}");
        }
    }

    #[test]
    fn the_published_private_key_belongs_to_the_public_one() {
        let scalar = URL_SAFE_NO_PAD
            .decode("jpsQnnGQmL-YBIffH1136cspYG6-0iY7X1fCE9-E9LI")
            .unwrap();
        let key = SoftwareKey::from_scalar(scalar.as_slice().try_into().unwrap()).unwrap();
        let jwk = key.public().unwrap().jwk();
        assert_eq!(jwk.x, "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU");
        assert_eq!(jwk.y, "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0");
    }
}

#[test]
fn what_is_signed_is_read_again_and_fits_its_key_alone() {
    let (own, other) = (key(), SoftwareKey::from_scalar(&[8; 32]).unwrap());
    let public = own.public().unwrap();
    let unsigned = Unsigned::new(Typ::Entry, public.id(), r#"{"ü":1}"#).unwrap();
    let text = unsigned.with_signature(&own.sign(&unsigned));
    assert_eq!(text.len(), unsigned.compact_length());
    let jws = parse(&text).unwrap();
    assert_eq!((jws.kid(), jws.payload()), (public.id(), r#"{"ü":1}"#));
    assert_eq!(jws.compact(), text);
    assert_eq!(jws.check(&public, &SoftwareCheck), Ok(()));

    let other = other.public().unwrap();
    assert!(matches!(
        jws.check(&other, &SoftwareCheck),
        Err(JwsError::OtherKey { .. })
    ));
    let (mut signature, public_only) = (own.sign(&unsigned), &public);
    signature[40] ^= 1;
    let forged = parse(&unsigned.with_signature(&signature)).unwrap();
    assert_eq!(
        forged.check(public_only, &SoftwareCheck),
        Err(JwsError::BadSignature)
    );
}

#[test]
fn a_signature_of_nothing_fits_nothing() {
    let public = key().public().unwrap();
    let unsigned = Unsigned::new(Typ::Entry, public.id(), "{}").unwrap();
    for filling in [0, 255] {
        let jws = parse(&unsigned.with_signature(&[filling; 64])).unwrap();
        let refused = Err(JwsError::BadSignature);
        assert_eq!(jws.check(&public, &SoftwareCheck), refused);
    }
}

/// RFC 7515, 7.1 (compact form) and section 2 (base64url with all trailing `=` left out).
#[test]
fn only_three_parts_of_strict_base64url_are_read() {
    let good = compact(&header(key().public().unwrap().id()), "{}");
    assert!(parse(&good).is_ok());
    let parts: Vec<_> = good.split('.').collect();
    let (head, payload, signature) = (parts[0], parts[1], parts[2]);
    // 64 bytes leave four bits over in the last character, which must be zero.
    let trailing_bits = format!("{head}.{payload}.{}B", &signature[..85]);
    for bad in [
        String::new(),
        head.into(),
        format!("{head}.{payload}"),
        format!("{good}."),
        format!("{good}.{signature}"),
        format!("{head}=.{payload}.{signature}"),
        format!("{head}.{payload}=.{signature}"),
        format!("{good}=="),
        format!("{head}. {payload}.{signature}"),
        format!("{head}.{payload}\n.{signature}"),
        format!(" {good}"),
        format!("{good}\n"),
        format!("{head}.{payload}.+{}", &signature[1..]),
        format!("{head}.{payload}./{}", &signature[1..]),
        format!("{head}.{payload}.{}", encode([1; 63])),
        format!("{head}.{payload}.{}", encode([1; 65])),
        trailing_bits,
    ] {
        assert!(
            matches!(parse(&bad), Err(JwsError::NotCompact(_))),
            "{bad:?} gave {:?}",
            parse(&bad)
        );
    }
}

#[test]
fn a_payload_that_is_not_utf_8_is_refused() {
    let bad = compact(&header(key().public().unwrap().id()), [0xC3, 0x28]);
    assert_eq!(parse(&bad), Err(JwsError::NotCompact("payload")));
}

/// RFC 7515, 4: header names are unique; RFC 8725, 3.1 and 3.11: one algorithm, explicit type.
#[test]
fn only_the_one_header_is_read() {
    let kid = key().public().unwrap().id();
    for good in [
        header(kid),
        format!(r#"{{ "typ": "combgate-entry", "kid": "{kid}", "alg": "ES256" }}"#),
    ] {
        assert!(parse(&compact(&good, "{}")).is_ok(), "{good}");
    }
    for bad in [
        r#"{"alg":"ES256"}"#.into(),
        format!(r#"{{"alg":"none","kid":"{kid}","typ":"combgate-entry"}}"#),
        format!(r#"{{"alg":"HS256","kid":"{kid}","typ":"combgate-entry"}}"#),
        format!(r#"{{"alg":"es256","kid":"{kid}","typ":"combgate-entry"}}"#),
        format!(r#"{{"alg":"ES256","kid":"{kid}","typ":"JWT"}}"#),
        format!(r#"{{"alg":"ES256","kid":"{kid}","typ":"combgate-entry","typ":"combgate-entry"}}"#),
        format!(r#"{{"alg":"none","alg":"ES256","kid":"{kid}","typ":"combgate-entry"}}"#),
        format!(
            r#"{{"alg":"ES256","kid":"{kid}","typ":"combgate-entry","crit":["b64"],"b64":false}}"#
        ),
        format!(
            r#"{{"alg":"ES256","kid":"{kid}","typ":"combgate-entry","jku":"https://example.org"}}"#
        ),
        format!(r#"{{"alg":"ES256","kid":"{kid}A","typ":"combgate-entry"}}"#),
        format!(r#"{{"alg":"ES256","kid":"{kid}=","typ":"combgate-entry"}}"#),
        r#"{"alg":"ES256","kid":"1","typ":"combgate-entry"}"#.into(),
        format!(r#"["ES256","{kid}","combgate-entry"]"#),
        "null".into(),
    ] {
        assert!(
            matches!(parse(&compact(&bad, "{}")), Err(JwsError::Document(_))),
            "{bad}"
        );
    }
}

#[test]
fn another_kind_of_document_is_named() {
    let kid = key().public().unwrap().id();
    let brief = Unsigned::new(Typ::Brief, kid, "{}").unwrap();
    assert_eq!(
        parse(&brief.with_signature(&[1; 64])),
        Err(JwsError::OtherTyp {
            found: Typ::Brief,
            expected: Typ::Entry
        })
    );
}

#[test]
fn a_text_above_its_limit_is_not_looked_at() {
    let kid = key().public().unwrap().id();
    let fitting = compact(&header(kid), "{}");
    let length = fitting.len();
    assert!(Jws::parse(&fitting, Typ::Entry, length).is_ok());
    assert!(matches!(
        Jws::parse(&fitting, Typ::Entry, length - 1),
        Err(JwsError::Document(DocumentError::TooLarge { .. }))
    ));
}
