//! What comes over the network: the fields of a signed request, problem documents, addresses.

use super::Target;
use super::targets::refused;
use crate::demo::{public, published_key};
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{
    BRIEF_PATH, DeskAddress, Digest, ProblemKind, ProblemV1, Request, RequestSignature,
    SignedFields, SoftwareCheck,
};

const AUTHORITY: &str = "desk.example:8443";

/// The targets.
pub(super) fn all() -> Vec<Target> {
    let request = Request::bundle(AUTHORITY, Digest::of("{}")).unwrap();
    let problem = ProblemV1 {
        kind: ProblemKind::ClockApart,
        title: "The clocks are apart".to_owned(),
        status: 401,
        detail: "detail".to_owned(),
        hint: "hint".to_owned(),
        now: now(),
    };
    vec![
        Target {
            name: "request",
            seeds: vec![
                signed(request),
                signed(Request::get(AUTHORITY, BRIEF_PATH).unwrap()),
            ],
            run: request_checked,
        },
        Target {
            name: "problem",
            seeds: vec![serde_json::to_string(&problem).unwrap()],
            run: problem_read,
        },
        Target {
            name: "address",
            seeds: [
                "https://desk.example:8443",
                "https://192.168.1.20/",
                "http://127.0.0.1:8720",
            ]
            .map(str::to_owned)
            .into(),
            run: address_read,
        },
    ]
}

fn now() -> DateTime<FixedOffset> {
    DateTime::from_timestamp(1_791_558_600, 0)
        .unwrap()
        .fixed_offset()
}

/// The fields, one a line.
fn signed(request: Request) -> String {
    let key = published_key();
    let unsigned = request.unsigned(public(&key).id(), now());
    let signature = key.sign_request(&unsigned);
    let fields = unsigned.with_signature(&signature);
    let digest = fields.content_digest.unwrap_or_default();
    [fields.signature_input, fields.signature, digest].join("\n")
}

/// Whatever is changed, only the fields as they were signed fit; a new spelling of them may.
fn request_checked(input: &str) {
    let mut lines = input.split('\n').map(str::to_owned);
    let mut next = || lines.next().unwrap_or_default();
    let (signature_input, signature, digest) = (next(), next(), next());
    let fields = SignedFields {
        content_digest: Some(digest).filter(|digest| !digest.is_empty()),
        signature_input,
        signature,
    };
    let parsed = match RequestSignature::parse(&fields) {
        Ok(parsed) => parsed,
        Err(error) => return refused(&error),
    };
    let key = public(&published_key());
    for request in [
        Request::bundle(AUTHORITY, Digest::of("{}")).unwrap(),
        Request::get(AUTHORITY, BRIEF_PATH).unwrap(),
    ] {
        match parsed.check(&request, &key, now(), &SoftwareCheck) {
            // The label alone is not signed.
            Ok(()) => {
                let parameters = |fields: &str| fields.split_once('=').unwrap().1.to_owned();
                let genuine = signed(request);
                let genuine = genuine.split('\n').next().unwrap();
                assert_eq!(parameters(&fields.signature_input), parameters(genuine));
            }
            Err(error) => refused(&error),
        }
    }
}

fn problem_read(input: &str) {
    if let Err(error) = ProblemV1::read(input) {
        refused(&error);
    }
}

/// An address that is taken is written as it is read, and a request can be made for it.
fn address_read(input: &str) {
    match DeskAddress::new(input) {
        Ok(address) => {
            assert_eq!(DeskAddress::new(address.as_str()), Ok(address.clone()));
            assert!(Request::get(address.authority(), BRIEF_PATH).is_ok());
        }
        Err(error) => refused(&error),
    }
}
