//! What is kept: signed entries, and the three documents that cross the gap between phone and desk.
//!
//! Only this module knows JSON. Its wire types (`…V1`) are apart from the types of the rules, so a
//! field renamed inside never breaks a signature. Version 1 stays readable as long as the project
//! lives: a later version adds a reader, it does not replace this one.
//!
//! | document | from, to | form |
//! | --- | --- | --- |
//! | entry | handset's journal | JWS, `typ` `combgate-entry` |
//! | bundle | handset to desk | JSON holding a manifest JWS and entries |
//! | brief | desk to handset | JWS, `typ` `combgate-brief` |
//! | acknowledgement | desk to handset | JWS, `typ` `combgate-acknowledgement` |
//! | stub | handset to member, in a QR code | JWS, `typ` `combgate-stub` |
//! | handsets | desk to whoever asks | JWS, `typ` `combgate-handsets` |
//!
//! Every JWS is compact (RFC 7515), ES256, with the header `{"alg":"ES256","kid":…,"typ":…}`.
//! Signatures are checked over the bytes received; nothing is re-serialised first.
#![doc = ""]
#![doc = include_str!("format.md")]

mod acknowledgement;
mod address;
mod assessment;
mod brief;
mod bundle;
mod cancellation;
mod day;
mod delivery;
mod digest;
mod entry;
mod ground;
mod handsets;
mod instruments;
mod journal;
mod json;
mod jws;
mod key;
mod minor;
mod number;
mod paper;
mod payment;
mod policy;
mod price_list;
mod problem;
mod recall;
mod register;
mod request;
#[cfg(feature = "seal")]
pub mod seal;
#[cfg(feature = "p256")]
mod software;
mod standing;
mod stub;
mod takings;
mod time;
mod totals;

pub use acknowledgement::{Acknowledgement, AcknowledgementError, AcknowledgementV1, QuestionV1};
pub use address::{AddressError, DeskAddress};
pub use assessment::{AssessmentV1, CappedV1, GroundV1, LineCode, LineV1, MarkV1, MoistureV1};
pub use brief::{
    AdvanceV1, AssignedV1, Brief, BriefError, BriefV1, CooperativeV1, Expected, MemberV1, TermsText,
};
pub use bundle::{
    BadEntry, Bundle, BundleError, BundleFault, ManifestV1, Received, Unverified, Verified,
};
pub use day::{ClockNoticedV1, DayClosedV1, DayOpenedV1};
pub use delivery::{
    AnswerV1, CombV1, DeliveryV1, PailV1, ReadingV1, RefractometerV1, WeighingScaleV1,
};
pub use digest::Digest;
pub use entry::{
    CancellationV1, EnrolledV1, Entry, EntryBody, EntryFault, Keeper, Means, MemberRegisteredV1,
    ParsedEntry, PaymentV1, ReceiptV1, SettlementV1, SlipV1, TermsRefV1,
};
pub use ground::GroundCode;
pub use handsets::{Handsets, HandsetsError, HandsetsV1, KeyOfV1};
pub use instruments::{RefractometerCardV1, RefractometerCheckV1, ScaleCardV1};
pub use journal::{JournalHead, UnsignedEntry, UnsignedManifest, make_bundle};
pub use json::{DocumentError, Verbatim, from_open_text, from_text, plain, to_text};
pub use jws::{Jws, JwsError, SignatureCheck, Signed, Typ, Unsigned};
pub use key::{JwkV1, KeyError, KeyId, PublicKey};
pub use number::{NumberError, ReceiptNumber};
pub use paper::{Issue, IssueError};
pub use payment::PaymentError;
pub use policy::PolicyV1;
pub use price_list::PriceListV1;
pub use problem::{ProblemKind, ProblemV1};
pub use recall::{Kept, read_members};
pub use register::FieldRegister;
pub use request::{
    ACKNOWLEDGEMENT_PATH, BRIEF_PATH, BUNDLES_PATH, CREATED_WITHIN_SECONDS, Request, RequestError,
    RequestSignature, SignedFields, UnsignedRequest,
};
#[cfg(feature = "p256")]
pub use software::{SoftwareCheck, SoftwareKey};
pub use standing::{OpenDay, Standing};
pub use stub::{Stub, StubError, StubMoneyV1, StubV1};
pub use takings::{GradeTakings, Takings};
pub use time::read_day;
pub use totals::{DayTotalV1, day_of, totals_by_day};

/// Most bytes of one entry's compact form.
pub const ENTRY_BYTES_AT_MOST: usize = 16 * 1024;
/// Most bytes of a bundle file.
pub const BUNDLE_BYTES_AT_MOST: usize = 32 * 1024 * 1024;
/// Most bytes of a brief or an acknowledgement.
pub const BRIEF_BYTES_AT_MOST: usize = 16 * 1024 * 1024;
/// Most bytes of a stub: what a QR code holds that phones still read from thin paper (ISO/IEC
/// 18004: version 20 at level L has 858 bytes and 97 modules a side).
pub const STUB_BYTES_AT_MOST: usize = 858;
/// Most bytes of a list of handsets.
pub const HANDSETS_BYTES_AT_MOST: usize = 4 * 1024 * 1024;
/// Most bytes of a policy or a price list.
pub const TERMS_BYTES_AT_MOST: usize = 256 * 1024;
