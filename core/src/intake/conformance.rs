//! Whether a measured value meets a limit, as a probability.
//!
//! # References
//! JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty in
//! conformity assessment, 7.3 (one-sided limit, normal distribution).

/// Which side of the limit is allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// The value may not exceed the limit.
    AtMost,
    /// The value may not fall below the limit.
    AtLeast,
}

/// Probability that the true value meets the limit, given a measured value and its standard
/// uncertainty in the same unit.
///
/// With no uncertainty at all it is one or zero; a value on the limit meets it.
///
/// # Examples
/// One standard uncertainty inside the limit is 84.1 % (table of the normal distribution).
/// ```
/// # use combgate_core::intake::*;
/// let probability = conformance_probability(19.0, 1.0, 20.0, Bound::AtMost);
/// assert!((probability - 0.841_345).abs() < 1e-6);
/// ```
pub fn conformance_probability(
    value: f64,
    standard_uncertainty: f64,
    limit: f64,
    bound: Bound,
) -> f64 {
    let inside = match bound {
        Bound::AtMost => limit - value,
        Bound::AtLeast => value - limit,
    };
    if standard_uncertainty <= 0.0 {
        return if inside >= 0.0 { 1.0 } else { 0.0 };
    }
    standard_normal(inside / standard_uncertainty)
}

/// Cumulative standard normal distribution.
fn standard_normal(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_on_the_limit_is_even_odds_or_met_when_certain() {
        assert!((conformance_probability(20.0, 0.3, 20.0, Bound::AtMost) - 0.5).abs() < 1e-12);
        assert!((conformance_probability(20.0, 0.0, 20.0, Bound::AtMost) - 1.0).abs() < 1e-12);
        assert!(conformance_probability(20.1, 0.0, 20.0, Bound::AtMost) < 1e-12);
    }

    #[test]
    fn the_two_sides_complement() {
        let below = conformance_probability(19.2, 0.4, 20.0, Bound::AtMost);
        let above = conformance_probability(19.2, 0.4, 20.0, Bound::AtLeast);
        assert!((below + above - 1.0).abs() < 1e-12);
        assert!(below > 0.97);
    }
}
