//! Names of keys (RFC 7638) beside the libraries of four makers, and their canonical form beside
//! RFC 8785.
//!
//! RFC 7638's own example is an RSA key, which is not used here: it judges the judges. RFC 9449
//! prints a P-256 key with its name.

use combgate_core::record::{JwkV1, PublicKey};
use combgate_tests::demo::{public, test_key};
use combgate_tests::outside::Outside;
use combgate_tests::{node, python};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::error::Error;

/// What the libraries say, each in the order of the keys asked about.
#[derive(Debug, Deserialize)]
struct Answer {
    thumbprints: BTreeMap<String, Vec<String>>,
    /// SHA-256 over the canonical form of the four members.
    canonical: BTreeMap<String, Vec<String>>,
}

fn ask(jwks: &[Value]) -> Answer {
    let question = json!({ "jwks": jwks });
    let mut answer: Answer = python::ask("thumbprint.py", &question);
    let other: Answer = node::ask("thumbprint.mjs", &question);
    answer.thumbprints.extend(other.thumbprints);
    answer.canonical.extend(other.canonical);
    answer
}

fn jwk(x: &str, y: &str) -> JwkV1 {
    JwkV1 {
        crv: "P-256".to_owned(),
        kty: "EC".to_owned(),
        x: x.to_owned(),
        y: y.to_owned(),
    }
}

/// Source: RFC 7638, 3.1 (modulus from memory; the libraries find the printed name from it), and
/// RFC 9449, figures 2 and 9.
pub(crate) fn published_keys() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "The published name of a published key",
        "RFC 7638, 3.1 by jose, joserfc, jwcrypto; RFC 9449 by all",
    );
    let rsa = json!({ "kty": "RSA", "e": "AQAB", "alg": "RS256", "kid": "2011-04-29", "n":
        "0vx7agoebGcQSuuPiLJXZptN9nndrQmbXEps2aiAFbWhM78LhWx4cbbfAAtVT86zwu1RK7aPFFxuhDR1L6tSoc_BJEC\
         PebWKRXjBZCiFV4n3oknjhMstn64tZ_2W-5JsGY4Hc5n9yBXArwl93lqt7_RN5w6Cf0h4QyQ5v-65YGjQR0_FDW2Qvz\
         qY368QQMicAtaSqzs8KJZgnYb9c7d0zgdAZHzu6qMQvRL5hajrn1n91CbOpbISD08qNLyrdkt-bFTWhAI4vMQFh6WeZ\
         u0fM4lFd2NcRwr3XPksINHaQ-G_xBniIqbw0Ls1jF44-csFCur-kEgU8awapJzKnqDKgw" });
    let ec = jwk(
        "l8tFrhx-34tV3hRICRDY9zCkDlpBhF42UQUfWVAWBFs",
        "9VE4jf_Ok_o64zbTTlcuNJajHmt6v9TDVrU0CdvGRDA",
    );
    let published = [
        "NzbLsXh8uDCcd-6MNwXF4W_7noWXFZAfHkxZsRGC9Xs",
        "0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I",
    ];
    for (library, theirs) in ask(&[rsa, serde_json::to_value(&ec)?]).thumbprints {
        check.same(&published.map(str::to_owned).to_vec(), &theirs, library);
    }
    let ours = PublicKey::try_from(&ec)?.id().to_string();
    check.same(&ours.as_str(), &published[1], "ours");
    Ok(check)
}

/// Two hundred keys made here.
pub(crate) fn generated_keys() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "Names of generated keys",
        "jose, joserfc, jwcrypto (RFC 7638)",
    );
    let (ours, answer) = generated()?;
    assert_eq!(answer.thumbprints.len(), 3);
    for (library, theirs) in &answer.thumbprints {
        assert_eq!(theirs.len(), ours.len());
        for (ours, theirs) in ours.iter().zip(theirs) {
            check.same(ours, theirs, library);
        }
    }
    Ok(check)
}

/// A name is the digest of the canonical form that RFC 8785 gives the same four members.
pub(crate) fn canonical_form() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "The text a key's name is the digest of",
        "rfc8785 (Python), canonicalize (JavaScript): RFC 8785",
    );
    let (ours, answer) = generated()?;
    assert_eq!(answer.canonical.len(), 2);
    for (library, theirs) in &answer.canonical {
        assert_eq!(theirs.len(), ours.len());
        for (ours, theirs) in ours.iter().zip(theirs) {
            check.same(ours, theirs, library);
        }
    }
    Ok(check)
}

fn generated() -> Result<(Vec<String>, Answer), Box<dyn Error>> {
    let keys: Vec<PublicKey> = (0..200)
        .map(|number| public(&test_key(&format!("thumbprint {number}"))))
        .collect();
    let jwks = keys
        .iter()
        .map(|key| serde_json::to_value(key.jwk()))
        .collect::<Result<Vec<Value>, _>>()?;
    let ours = keys.iter().map(|key| key.id().to_string()).collect();
    Ok((ours, ask(&jwks)))
}
