//! Many ES256 signatures by one key (FIPS 186-5, 6.4.2), with multiples of its point worked out
//! before.
//!
//! To check a signature is to multiply two points, and one of them is the key. A handset signs
//! thousands of entries by one key: with the key's multiples kept, each check only adds some of them
//! up, and does so for many signatures at once. The arithmetic is the `ark` crates'. Nothing here is
//! secret, so it does not matter that the time it takes depends on the numbers.

use super::multiples::{Multiples, add_up};
use ark_ec::{AffineRepr, CurveGroup, PrimeGroup};
use ark_ff::{BigInteger, BigInteger256, PrimeField, Zero, batch_inversion};
use ark_secp256r1::{Affine, Fq, Fr, Projective};
use combgate_core::record::{PublicKey, Signed};
use lru::LruCache;
use std::num::NonZeroUsize;
use std::sync::{Arc, LazyLock, Mutex, MutexGuard, PoisonError};

/// Bits of a digit that a key is multiplied by: one more would double the table's 540 kB and what it
/// costs, and save a tenth of a check.
const WIDTH: usize = 9;
/// The same of the curve's own base point, whose multiples are made once: 960 kB.
const BASE_WIDTH: usize = 10;

/// Multiples of the curve's own base point (SP 800-186, 3.2.1.3).
static BASE: LazyLock<Multiples> =
    LazyLock::new(|| Multiples::of(Projective::generator().into_affine(), BASE_WIDTH));

/// Signatures that a table is made for: about as many as it costs, and the handset's next bundle comes.
const WORTH_A_TABLE: usize = 40;
/// Tables that are kept, those last used: 17 MB at most.
const KEPT: NonZeroUsize = NonZeroUsize::MIN.saturating_add(31);
static TABLES: LazyLock<Mutex<LruCache<PublicKey, Arc<KeyTable>>>> =
    LazyLock::new(|| Mutex::new(LruCache::new(KEPT)));

/// A public key made ready for many signatures. Making it takes as long as some dozens of
/// checks by ring, and with it a check takes less than half of one.
pub struct KeyTable(Multiples);

impl std::fmt::Debug for KeyTable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("KeyTable").finish_non_exhaustive()
    }
}

fn tables() -> MutexGuard<'static, LruCache<PublicKey, Arc<KeyTable>>> {
    TABLES.lock().unwrap_or_else(PoisonError::into_inner)
}

/// One signature, as numbers: `u1` and `u2` of FIPS 186-5, 6.4.2, step 4, with `r`.
struct Asked {
    place: usize,
    r: Fr,
    u1: Fr,
    u2: Fr,
}

impl KeyTable {
    /// `None` when the key is no point of the curve.
    pub fn new(key: &PublicKey) -> Option<Self> {
        let bytes = key.uncompressed();
        let (x, y) = bytes.get(1..)?.split_first_chunk::<32>()?;
        let point = Affine::new_unchecked(number::<Fq>(x)?, number::<Fq>(y.try_into().ok()?)?);
        // The curve has no other subgroup.
        point
            .is_on_curve()
            .then(|| Self(Multiples::of(point, WIDTH)))
    }

    /// The key's table, as long as it is kept or `many` signatures are worth making one; `None` also
    /// when the key is no point of the curve.
    pub fn for_many(key: &PublicKey, many: usize) -> Option<Arc<Self>> {
        if let Some(table) = tables().get(key) {
            return Some(Arc::clone(table));
        }
        if many < WORTH_A_TABLE {
            return None;
        }
        // Others go on checking meanwhile; at worst two make the same table.
        let table = Arc::new(Self::new(key)?);
        tables().put(*key, Arc::clone(&table));
        Some(table)
    }

    /// Which of the signatures fit.
    pub fn fit(&self, many: &[Signed<'_>]) -> Vec<bool> {
        let asked = asked(many);
        let parts = BASE.places() + self.0.places();
        let mut points = vec![Affine::identity(); parts * asked.len()];
        for (place, one) in asked.iter().enumerate() {
            let of_both = BASE.parts(one.u1).chain(self.0.parts(one.u2));
            let column = points.iter_mut().skip(place).step_by(asked.len());
            column.zip(of_both).for_each(|(point, part)| *point = part);
        }
        let mut fit = vec![false; many.len()];
        for (one, sum) in asked.iter().zip(add_up(points, asked.len())) {
            // The point at infinity has no coordinates, and fits nothing.
            let fits = sum.x().is_some_and(|x| modulo(x.into_bigint()) == one.r);
            if let Some(told) = fit.get_mut(one.place) {
                *told = fits;
            }
        }
        fit
    }
}

/// What can be asked of the signatures; one that is out of range fits nothing and is left out, for
/// it would spoil the inverses of the others.
fn asked(many: &[Signed<'_>]) -> Vec<Asked> {
    let (mut asked, mut inverses): (Vec<Asked>, Vec<Fr>) = many
        .iter()
        .enumerate()
        .filter_map(|(place, signed)| {
            let (r, s) = signed.signature.split_first_chunk::<32>()?;
            let r = number::<Fr>(r).filter(|r| !r.is_zero())?;
            let s = number::<Fr>(s.try_into().ok()?).filter(|s| !s.is_zero())?;
            let u1 = modulo(limbs(signed.digest().bytes()));
            Some((
                Asked {
                    place,
                    r,
                    u1,
                    u2: r,
                },
                s,
            ))
        })
        .unzip();
    batch_inversion(&mut inverses);
    for (one, inverse) in asked.iter_mut().zip(inverses) {
        one.u1 *= inverse;
        one.u2 *= inverse;
    }
    asked
}

/// 32 bytes, the highest first.
fn limbs(bytes: &[u8; 32]) -> BigInteger256 {
    let mut limbs = [0; 4];
    for (limb, bytes) in limbs.iter_mut().rev().zip(bytes.as_chunks::<8>().0) {
        *limb = u64::from_be_bytes(*bytes);
    }
    BigInteger256::new(limbs)
}

/// 32 bytes, the highest first, as a number below the field's order; `None` when it is not below.
fn number<F: PrimeField<BigInt = BigInteger256>>(bytes: &[u8; 32]) -> Option<F> {
    F::from_bigint(limbs(bytes))
}

/// What is left of a number when the group's order is taken off. That is more than half of what 256
/// bits hold, so it is taken off once at most.
fn modulo(mut number: BigInteger256) -> Fr {
    if number >= Fr::MODULUS {
        number.sub_with_borrow(&Fr::MODULUS);
    }
    Fr::from_bigint(number).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::keys::DeskCheck;
    use combgate_core::record::{SignatureCheck, SoftwareKey, Typ, Unsigned};

    type Sent = (Vec<u8>, [u8; 64]);

    /// Many signatures by one key, most of them changed in one bit of the signature or the text.
    fn changed(many: usize) -> (PublicKey, Vec<Sent>) {
        let key = SoftwareKey::from_scalar(&[7; 32]).unwrap();
        let public = key.public().unwrap();
        let signed = (0..many).map(|place| {
            let text =
                Unsigned::new(Typ::Entry, public.id(), &format!("{{\"n\":{place}}}")).unwrap();
            let (mut message, mut signature) = (text.bytes().to_vec(), key.sign(&text));
            match place % 5 {
                1 => signature[place % 32] ^= 1 << (place % 8),
                2 => signature[32 + place % 32] ^= 1 << (place % 8),
                3 => message[place % 40] ^= 1,
                4 => signature[32 * (place % 2)..][..32].fill(0),
                _ => {}
            }
            (message, signature)
        });
        (public, signed.collect())
    }

    /// Checked against ring, a library that has no tables of a key.
    #[test]
    fn many_by_one_key_have_the_verdicts_that_each_has_alone() {
        let (key, many) = changed(400);
        let signed: Vec<Signed<'_>> = many
            .iter()
            .map(|(message, signature)| Signed::new(message, signature))
            .collect();
        let alone: Vec<bool> = signed
            .iter()
            .map(|one| DeskCheck.fits(&key, *one))
            .collect();
        assert_eq!(alone.iter().filter(|fits| **fits).count(), 80);
        assert_eq!(DeskCheck.fit_all(&key, &signed), alone);
        assert_eq!(KeyTable::new(&key).unwrap().fit(&signed), alone);
        // Its table is kept now, so a few go the same way.
        assert!(KeyTable::for_many(&key, 1).is_some());
        assert_eq!(DeskCheck.fit_all(&key, &signed[..7]), alone[..7]);
        assert!(DeskCheck.fit_all(&key, &[]).is_empty());
    }

    #[test]
    fn what_is_no_point_of_the_curve_has_no_table_and_fits_nothing() {
        let (key, many) = changed(200);
        let mut bytes = key.uncompressed();
        bytes[64] ^= 1;
        let beside = PublicKey::from_uncompressed(&bytes).unwrap();
        assert!(KeyTable::new(&beside).is_none());
        let signed: Vec<Signed<'_>> = many
            .iter()
            .map(|(message, signature)| Signed::new(message, signature))
            .collect();
        assert!(DeskCheck.fit_all(&beside, &signed).iter().all(|fits| !fits));
        // A coordinate as large as the field's order or larger is no coordinate.
        let far = PublicKey::from_uncompressed(&[[4; 1].as_slice(), &[255; 64]].concat()).unwrap();
        assert!(KeyTable::new(&far).is_none());
    }
}
