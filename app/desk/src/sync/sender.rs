//! Who sends: an enrolled handset that is in use, known by its signature over this very request.

use super::problem::Problem;
use crate::desk::{self, OpenDesk};
use crate::keys::DeskCheck;
use crate::store::{Clerks, Handset, Journals};
use axum::http::HeaderMap;
use axum::http::request::Parts;
use combgate_core::record::{
    Digest, ProblemKind, Request, RequestError, RequestSignature, SignedFields,
};
use combgate_ui::paper::when;

/// What is asked for.
#[derive(Debug, Clone, Copy)]
pub(super) enum Wish {
    /// A document at this path.
    Get(&'static str),
    /// To take in a bundle with this digest.
    Bundle(Digest),
}

/// A request's head as far as it says who sends.
#[derive(Debug)]
pub(super) struct Head {
    host: Option<String>,
    fields: Result<SignedFields, RequestError>,
    wish: Wish,
}

impl Head {
    pub(super) fn of(parts: &Parts, wish: Wish) -> Self {
        Self {
            // HTTP/2 names the host in its address instead.
            host: parts
                .uri
                .authority()
                .map(ToString::to_string)
                .or_else(|| only(&parts.headers, "host").ok().flatten()),
            fields: signed_fields(&parts.headers),
            wish,
        }
    }

    /// Looks in the ledger who it is.
    pub(super) fn sender(self, desk: &OpenDesk) -> Result<Handset, Problem> {
        let address = desk.desk.address.as_ref();
        let authority = address.map(combgate_core::record::DeskAddress::authority);
        let host = self.host.map(|host| host.to_ascii_lowercase());
        if authority.is_none() || authority != host.as_deref() {
            let expected = address.map_or("no address", |address| address.as_str());
            return Err(Problem::other_address(expected));
        }
        let authority = authority.unwrap_or_default();
        let signature = RequestSignature::parse(&self.fields?)?;
        let request = match self.wish {
            Wish::Get(path) => Request::get(authority, path)?,
            Wish::Bundle(digest) => Request::bundle(authority, digest)?,
        };
        let key = signature.key();
        let found = desk.store.handset_of_key(&key);
        let handset = found
            .map_err(|error| Problem::of_store(&error))?
            .ok_or_else(|| {
                Problem::new(
                    ProblemKind::NotEnrolled,
                    format!(
                        "the request is signed by key {}, which no enrolled handset has",
                        key.short()
                    ),
                    "give the handset's card to the desk, which takes it on",
                )
            })?;
        signature.check(&request, &handset.key, desk::now(), &DeskCheck)?;
        let revoked = desk.store.revocation(&handset.code);
        if let Some(revoked) = revoked.map_err(|error| Problem::of_store(&error))? {
            return Err(Problem::new(
                ProblemKind::Revoked,
                format!(
                    "handset {} is out of use since {}",
                    handset.code,
                    when(&revoked.from_at.to_rfc3339())
                ),
                "buy nothing more with it; hand over what is in it as a file at the desk",
            ));
        }
        Ok(handset)
    }
}

fn signed_fields(headers: &HeaderMap) -> Result<SignedFields, RequestError> {
    let must = |field: &'static str| {
        only(headers, field)?.ok_or(RequestError::Malformed {
            field,
            reason: "is missing",
        })
    };
    Ok(SignedFields {
        content_digest: only(headers, "content-digest")?,
        signature_input: must("signature-input")?,
        signature: must("signature")?,
    })
}

/// A field that may stand once, as plain text.
fn only(headers: &HeaderMap, field: &'static str) -> Result<Option<String>, RequestError> {
    let mut all = headers.get_all(field).iter();
    let bad = |reason| RequestError::Malformed { field, reason };
    match (all.next(), all.next()) {
        (None, _) => Ok(None),
        (Some(one), None) => match one.to_str() {
            Ok(text) => Ok(Some(text.to_owned())),
            Err(_) => Err(bad("holds more than plain text")),
        },
        (Some(_), Some(_)) => Err(bad("stands twice")),
    }
}
