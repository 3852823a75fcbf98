//! Last digits of what was read: when each instrument is read to its last step, each digit comes as
//! often as any other. Rounding to halves and whole figures shows as heaps.
//!
//! # References
//! NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.15 (chi-square goodness of fit) and table
//! 1.3.6.7.4: with 9 degrees of freedom 27.877 is exceeded once in a thousand times by chance.
//! At least five are expected of each digit, so fifty in all (common practice).

/// Fewest readings that tell anything.
const READINGS_AT_LEAST: u64 = 50;
/// Thousandths of the chi-square that is exceeded once in a thousand times, 9 degrees of freedom.
const CHI_SQUARE_THOUSANDTHS: u128 = 27_877;

/// How often each last digit came.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct LastDigits([u64; 10]);

impl LastDigits {
    /// Counts a reading, in steps of its instrument: 12,340 g on a scale of 10 g is 1,234 steps, and
    /// its last digit 4.
    pub fn count(&mut self, steps: i64) {
        self.count_many(steps, 1);
    }

    /// Counts so many readings with the same last digit.
    pub fn count_many(&mut self, steps: i64, readings: u64) {
        // OK because the remainder is below ten.
        let digit = usize::try_from(steps.rem_euclid(10)).unwrap_or_default();
        if let Some(count) = self.0.get_mut(digit) {
            *count = count.saturating_add(readings);
        }
    }

    /// Counts of the digits 0 to 9.
    pub const fn counts(&self) -> &[u64; 10] {
        &self.0
    }

    /// Readings in all.
    pub fn total(&self) -> u64 {
        self.0.iter().sum()
    }

    /// Whether there are enough readings to say anything.
    pub fn is_enough(&self) -> bool {
        self.total() >= READINGS_AT_LEAST
    }

    /// Whether some digits come so often that chance would do it less than once in a thousand times.
    /// It is a question to ask, and no proof of anything: always `false` for too few readings.
    ///
    /// With `n` readings, a tenth of them expected of each digit, chi-square is
    /// `10 * sum(count^2) / n - n`.
    pub fn is_uneven(&self) -> bool {
        let n = u128::from(self.total());
        let squares: u128 = self
            .0
            .iter()
            .map(|count| u128::from(*count) * u128::from(*count))
            .sum();
        // Both sides times 1000 n.
        self.is_enough() && 10_000 * squares > (1_000 * n + CHI_SQUARE_THOUSANDTHS) * n
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(counts: [u64; 10]) -> LastDigits {
        LastDigits(counts)
    }

    #[test]
    fn the_last_step_counts() {
        let mut digits = LastDigits::default();
        for steps in [1_234, 4, -6, 10] {
            digits.count(steps);
        }
        assert_eq!(digits.counts(), &[1, 0, 0, 0, 3, 0, 0, 0, 0, 0]);
    }

    #[test]
    fn even_digits_are_no_question_and_halves_are() {
        assert!(!of([5; 10]).is_uneven());
        assert!(of([30, 0, 0, 0, 0, 30, 0, 0, 0, 0]).is_uneven());
        // Too few to say anything.
        assert!(!of([20, 0, 0, 0, 0, 20, 0, 0, 0, 0]).is_uneven());
    }

    /// By hand: of 100 readings 10 are expected of each digit, so chi-square is the sum of the
    /// squared differences over 10: (144 + 100 + 2 * 4 + 6 * 9) / 10 = 30.6 is above 27.877, and
    /// (121 + 81 + 4 * 4 + 4 * 9) / 10 = 25.4 is below.
    #[test]
    fn the_bound_is_the_published_one() {
        assert!(of([22, 20, 8, 8, 7, 7, 7, 7, 7, 7]).is_uneven());
        assert!(!of([21, 19, 8, 8, 8, 8, 7, 7, 7, 7]).is_uneven());
    }
}
