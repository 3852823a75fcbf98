//! Refractive index of sucrose solutions at 20 °C against the Brix scale.
//!
//! # References
//! - OIV Oeno 21/2004, Table II (five decimals), where it was at hand: 10 to 15 and 29.3 to 30 Brix.
//! - CRC Handbook of Chemistry and Physics, concentrative properties of aqueous sucrose (four
//!   decimals) elsewhere, 0 to 84 Brix.
//!
//! The ICUMSA polynomial is not used: its constants were not at hand. Between rows the table is
//! interpolated by a monotone cubic (Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984)
//! 300), so a wetter solution never reads a higher index. The CRC rows lie below the ICUMSA 1974
//! scale by up to 0.05 Brix at 80 and 0.11 Brix at 84 (values from memory), far inside a field
//! instrument's own error.

use crate::units::{Brix, RefractiveIndex, as_float, nearest_integer};

/// A value outside the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SucroseError {
    /// More sugar than the table holds.
    #[error("a reading of {:.2} Brix is above the sucrose table, which ends at 84: use an instrument with an index or a water scale", as_float(.0.get()) / 100.0)]
    BrixAboveTable(Brix),
    /// An index outside 0 to 84 Brix.
    #[error("a refractive index of {:.5} is outside the sucrose table (1.3330 to 1.5010)", as_float(.0.get()) / 100_000.0)]
    IndexOutsideTable(RefractiveIndex),
}

/// Rows of (Brix, nD20), rising in both.
#[rustfmt::skip]
const TABLE: &[(f64, f64)] = &[
    (0.0, 1.3330), (0.5, 1.3337), (1.0, 1.3344), (1.5, 1.3351), (2.0, 1.3359), (2.5, 1.3366),
    (3.0, 1.3373), (3.5, 1.3381), (4.0, 1.3388), (4.5, 1.3395), (5.0, 1.3403), (5.5, 1.3410),
    (6.0, 1.3418), (6.5, 1.3425), (7.0, 1.3433), (7.5, 1.3440), (8.0, 1.3448), (8.5, 1.3455),
    (9.0, 1.3463), (9.5, 1.3471), (10.0, 1.34782), (11.0, 1.34937), (12.0, 1.35093),
    (13.0, 1.35250), (14.0, 1.35408), (15.0, 1.35568), (16.0, 1.3573), (17.0, 1.3589),
    (18.0, 1.3606), (19.0, 1.3622), (20.0, 1.3639), (22.0, 1.3672), (24.0, 1.3706),
    (26.0, 1.3741), (28.0, 1.3776), (29.3, 1.37989), (30.0, 1.38115), (32.0, 1.3848),
    (34.0, 1.3885), (36.0, 1.3922), (38.0, 1.3960), (40.0, 1.3999), (42.0, 1.4038),
    (44.0, 1.4078), (46.0, 1.4118), (48.0, 1.4159), (50.0, 1.4201), (52.0, 1.4243),
    (54.0, 1.4286), (56.0, 1.4330), (58.0, 1.4374), (60.0, 1.4419), (62.0, 1.4465),
    (64.0, 1.4511), (66.0, 1.4558), (68.0, 1.4606), (70.0, 1.4654), (72.0, 1.4703),
    (74.0, 1.4753), (76.0, 1.4803), (78.0, 1.4854), (80.0, 1.4906), (82.0, 1.4958),
    (84.0, 1.5010),
];

/// Index of a sucrose solution at 20 °C, unrounded.
///
/// # Examples
/// CRC Handbook: 80 g of sucrose in 100 g has nD20 = 1.4906.
/// ```
/// # use combgate_core::{honey::refractive_index_at, units::Brix};
/// let index = refractive_index_at(Brix::new(80_00)?)?;
/// assert!((index - 1.4906).abs() < 0.00005);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn refractive_index_at(brix: Brix) -> Result<f64, SucroseError> {
    let x = as_float(brix.get()) / 100.0;
    segment_of(|row| row.0, x)
        .map(|segment| hermite(segment, x))
        .ok_or(SucroseError::BrixAboveTable(brix))
}

/// Brix that shows a given index at 20 °C: the inverse of [`refractive_index_at`], to 0.01 Brix.
pub fn brix_at(index: RefractiveIndex) -> Result<Brix, SucroseError> {
    let outside = SucroseError::IndexOutsideTable(index);
    let y = as_float(index.get()) / 100_000.0;
    let segment = segment_of(|row| row.1, y).ok_or(outside)?;
    // The segment rises strictly, so halving finds the one crossing.
    let (mut low, mut high) = (TABLE[segment].0, TABLE[segment + 1].0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if hermite(segment, middle) < y {
            low = middle;
        } else {
            high = middle;
        }
    }
    Brix::new(nearest_integer(low * 100.0)).map_err(|_| outside)
}

/// The last row not beyond `value`, leaving a row after it; `None` outside the table.
fn segment_of(column: impl Fn(&(f64, f64)) -> f64, value: f64) -> Option<usize> {
    let last = TABLE.len() - 1;
    if value < column(&TABLE[0]) || value > column(&TABLE[last]) {
        return None;
    }
    Some((TABLE.partition_point(|row| column(row) <= value)).clamp(1, last) - 1)
}

/// Cubic through both ends of a segment with the limited slopes.
fn hermite(segment: usize, x: f64) -> f64 {
    let ((x0, y0), (x1, y1)) = (TABLE[segment], TABLE[segment + 1]);
    let width = x1 - x0;
    let t = (x - x0) / width;
    let (s0, s1) = (slope_at(segment) * width, slope_at(segment + 1) * width);
    let rest = 1.0 - t;
    y0 * (1.0 + 2.0 * t) * rest * rest + s0 * t * rest * rest + y1 * t * t * (3.0 - 2.0 * t)
        - s1 * t * t * rest
}

/// Weighted harmonic mean of the neighbouring slopes; at the ends, the segment's own.
fn slope_at(row: usize) -> f64 {
    let secant = |i: usize| (TABLE[i + 1].1 - TABLE[i].1) / (TABLE[i + 1].0 - TABLE[i].0);
    if row == 0 {
        return secant(0);
    }
    if row == TABLE.len() - 1 {
        return secant(row - 1);
    }
    let (before, after) = (
        TABLE[row].0 - TABLE[row - 1].0,
        TABLE[row + 1].0 - TABLE[row].0,
    );
    let (weight_before, weight_after) = (2.0 * after + before, after + 2.0 * before);
    (weight_before + weight_after) / (weight_before / secant(row - 1) + weight_after / secant(row))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn index_rises_with_sugar_everywhere() {
        let mut last = 0.0;
        for hundredths in 0..=84_00 {
            let index = refractive_index_at(Brix::new(hundredths).unwrap()).unwrap();
            assert!(index > last, "{hundredths}");
            last = index;
        }
    }

    #[test]
    fn the_inverse_comes_back() {
        for hundredths in (0..=84_00).step_by(7) {
            let brix = Brix::new(hundredths).unwrap();
            let index = RefractiveIndex::new(nearest_integer(
                refractive_index_at(brix).unwrap() * 100_000.0,
            ))
            .unwrap();
            assert!(
                (brix_at(index).unwrap().get() - hundredths).abs() <= 1,
                "{hundredths}"
            );
        }
    }

    #[test]
    fn outside_the_table_is_an_error() {
        assert!(refractive_index_at(Brix::new(84_00).unwrap()).is_ok());
        assert!(refractive_index_at(Brix::new(84_01).unwrap()).is_err());
        assert!(brix_at(RefractiveIndex::new(150_101).unwrap()).is_err());
        assert!(brix_at(RefractiveIndex::new(133_299).unwrap()).is_err());
    }
}
