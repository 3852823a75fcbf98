//! Multiples of a point of P-256, and many of them added up at once.
//!
//! To add two points one divides, and a division takes as long as hundreds of multiplications. Where
//! thousands of sums are taken together they share one (Montgomery's trick), and a sum takes three
//! multiplications for its part of that and three of its own, squares counted. In Jacobian coordinates,
//! which need no division, one takes eleven (Bernstein and Lange, Explicit-Formulas Database,
//! madd-2007-bl; from memory).

use ark_ec::short_weierstrass::SWCurveConfig;
use ark_ec::{AffineRepr, CurveGroup};
use ark_ff::{AdditiveGroup, Field, PrimeField, Zero, batch_inversion};
use ark_secp256r1::{Affine, Config, Fq, Fr, Projective};

/// Bits of the numbers that are multiplied by.
const BITS: usize = 256;

/// A point times each digit that a number can have at each of its places. A digit is as often below
/// nothing as above, which halves what must be kept: the other half are mirror images.
pub(super) struct Multiples {
    width: usize,
    /// The point times 1 at every place, then times 2 at every place, up to half of what a digit
    /// has of values.
    table: Vec<Affine>,
}

impl Multiples {
    /// Of a point, for digits of so many bits.
    pub(super) fn of(point: Affine, width: usize) -> Self {
        let places = places(width);
        let mut at_place = point.into_group();
        let mut once = Vec::with_capacity(places);
        for _ in 0..places {
            once.push(at_place);
            for _ in 0..width {
                at_place.double_in_place();
            }
        }
        let mut table = Projective::normalize_batch(&once);
        // With 1 to m known, m more are those and m: twice as many with one division.
        for _ in 1..width {
            let known = table.len();
            let most = table[known - places..].repeat(known / places);
            let mut next = table.clone();
            add_each(&mut next, &most);
            table.extend(next);
        }
        Self { width, table }
    }

    /// How many points make up a multiple.
    pub(super) const fn places(&self) -> usize {
        places(self.width)
    }

    /// The points whose sum is the multiple by a number, one for each place.
    pub(super) fn parts(&self, number: Fr) -> impl Iterator<Item = Affine> {
        let limbs = number.into_bigint().0;
        let (width, places) = (self.width, self.places());
        let mut carry = 0;
        (0..places).map(move |place| {
            let digit = bits(&limbs, place * width, width) + carry;
            let mirrored = digit > 1 << (width - 1);
            carry = usize::from(mirrored);
            let size = if mirrored {
                (1 << width) - digit
            } else {
                digit
            };
            let Some(row) = size.checked_sub(1) else {
                return Affine::identity();
            };
            let part = self.table[row * places + place];
            if mirrored { -part } else { part }
        })
    }
}

/// Places of a number in digits of so many bits, with room for what is carried.
const fn places(width: usize) -> usize {
    BITS / width + 1
}

/// Some bits of a number, from a place on.
fn bits(limbs: &[u64; 4], from: usize, count: usize) -> usize {
    let limb = |at: usize| u128::from(limbs.get(at).copied().unwrap_or(0));
    let two = limb(from / 64) | (limb(from / 64 + 1) << 64);
    let some = (two >> (from % 64)) & ((1 << count) - 1);
    // OK because a digit has far fewer bits than an address.
    usize::try_from(some).unwrap_or(0)
}

/// Adds up rows of points, in each of which the first is of the first sum, and so on.
pub(super) fn add_up(mut points: Vec<Affine>, sums: usize) -> Vec<Affine> {
    while points.len() > sums {
        // A row in the middle, if there is one, waits for the next time.
        let rows = (points.len() / sums).div_ceil(2);
        let (kept, others) = points.split_at_mut(rows * sums);
        add_each(&mut kept[..others.len()], others);
        points.truncate(rows * sums);
    }
    points
}

/// Adds to each point another.
fn add_each(sums: &mut [Affine], others: &[Affine]) {
    let mut inverses: Vec<Fq> = sums
        .iter()
        .zip(others)
        .map(|(one, other)| run(one, other))
        .collect();
    // Nothing has no inverse and is left as it is.
    batch_inversion(&mut inverses);
    for ((one, other), inverse) in sums.iter_mut().zip(others).zip(inverses) {
        *one = sum(one, other, inverse);
    }
}

/// By what the slope through two points is divided; nothing where there is no slope, because one of
/// them is at infinity or their sum is.
fn run(one: &Affine, other: &Affine) -> Fq {
    if one.is_zero() || other.is_zero() {
        Fq::ZERO
    } else if one.x != other.x {
        other.x - one.x
    } else if one.y == other.y {
        one.y.double()
    } else {
        Fq::ZERO
    }
}

/// The sum of two points, with the inverse of their [`run`] (SEC 1, 2.2.1).
fn sum(one: &Affine, other: &Affine, inverse: Fq) -> Affine {
    if inverse.is_zero() {
        return match (one.is_zero(), other.is_zero()) {
            (true, _) => *other,
            (_, true) => *one,
            _ => Affine::identity(),
        };
    }
    let rise = if one.x == other.x {
        let square = one.x.square();
        square.double() + square + Config::COEFF_A
    } else {
        other.y - one.y
    };
    let slope = rise * inverse;
    let x = slope.square() - one.x - other.x;
    Affine::new_unchecked(x, slope * (one.x - x) - one.y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use ark_ec::PrimeGroup;

    fn base() -> Affine {
        Projective::generator().into_affine()
    }

    /// Against the sums of the `ark` crates, the cases among them that have no slope.
    #[test]
    fn points_are_added_in_every_case() {
        let (one, two) = (base(), (base() + base()).into_affine());
        let none = Affine::identity();
        let all = [none, one, two, -one, -two];
        let (mut sums, others): (Vec<Affine>, Vec<Affine>) = all
            .iter()
            .flat_map(|one| all.iter().map(move |other| (*one, *other)))
            .unzip();
        let expected: Vec<Affine> = sums
            .iter()
            .zip(&others)
            .map(|(one, other)| (*one + *other).into_affine())
            .collect();
        add_each(&mut sums, &others);
        assert_eq!(sums, expected);
        for rows in 1..=7 {
            let points: Vec<Affine> = all.iter().copied().cycle().take(rows * 3).collect();
            let expected: Vec<Affine> = (0..3)
                .map(|sum| {
                    let of_sum = points.iter().skip(sum).step_by(3);
                    of_sum.copied().sum::<Projective>().into_affine()
                })
                .collect();
            assert_eq!(add_up(points, 3), expected, "{rows}");
        }
    }

    /// Against the `ark` crates, with digits that are carried from place to place.
    #[test]
    fn the_parts_of_a_multiple_are_the_multiple() {
        let one = Fr::from(1_u8);
        let numbers = [
            Fr::ZERO,
            one,
            -one,
            one.double().inverse().unwrap(),
            Fr::from(u128::MAX),
            Fr::from(0xFFFF_0000_8000_7FFF_0080_0100_u128),
            -Fr::from(u64::MAX),
        ];
        for width in [2, 5, 8, 9, 10] {
            let multiples = Multiples::of(base(), width);
            for number in numbers {
                let parts: Vec<Affine> = multiples.parts(number).collect();
                assert_eq!(parts.len(), multiples.places());
                let expected = (base() * number).into_affine();
                assert_eq!(add_up(parts, 1), [expected], "{width} {number}");
            }
        }
    }
}
