//! How uncertain a refractometer's moisture is.
//!
//! # References
//! JCGM 100:2008, 4.3.7 (a half-width `a` with nothing more known is `a / √3`) and 5.1.2
//! (independent parts add in quadrature).

use super::refractometer::{
    HUNDREDTHS, INDEX_PER_DEGREE, Refractometer, TENTHS, WEDMORE_SLOPE, index_of,
};
use crate::units::{MoistureUncertainty, as_float};

/// How uncertain each part of a determination is. All are half-widths or standard deviations of
/// the policy; see the default policy for where they come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UncertaintyBudget {
    /// Largest error of a checked instrument, either way.
    pub checked_half_width: MoistureUncertainty,
    /// Largest error of an instrument that was not checked today, either way.
    pub unchecked_half_width: MoistureUncertainty,
    /// Standard deviation of repeated readings of one sample; a larger observed one replaces it.
    pub repeatability: MoistureUncertainty,
    /// Largest error of the temperature, tenths of a degree, for instruments without compensation.
    pub temperature_half_width_tenths: u16,
}

impl Default for UncertaintyBudget {
    /// Common practice: field refractometers are good to about 1 point unchecked, 0.3 when
    /// checked; repeats agree within 0.2; a pocket thermometer is good to 1 °C.
    fn default() -> Self {
        let points =
            |hundredths| MoistureUncertainty::new(hundredths).unwrap_or(MoistureUncertainty::MAX);
        Self {
            checked_half_width: points(30),
            unchecked_half_width: points(100),
            repeatability: points(20),
            temperature_half_width_tenths: 10,
        }
    }
}

/// Standard uncertainty in percent: instrument, temperature and scatter of the mean.
pub(super) fn combined_uncertainty(
    waters: &[f64],
    mean: f64,
    instrument: Refractometer,
    budget: &UncertaintyBudget,
) -> f64 {
    let points = |u: MoistureUncertainty| as_float(u.get()) / HUNDREDTHS;
    let half_width = match instrument.offset {
        Some(_) => budget.checked_half_width,
        None => budget.unchecked_half_width,
    };
    let from_instrument = points(half_width) / libm::sqrt(3.0);
    let from_temperature = if instrument.compensated {
        0.0
    } else {
        let degrees = f64::from(budget.temperature_half_width_tenths) / TENTHS / libm::sqrt(3.0);
        degrees * INDEX_PER_DEGREE * water_per_index(mean)
    };
    let count = as_float(i64::try_from(waters.len()).unwrap_or(1));
    let observed = if waters.len() < 2 {
        0.0
    } else {
        let squares: f64 = waters.iter().map(|w| (w - mean) * (w - mean)).sum();
        libm::sqrt(squares / (count - 1.0))
    };
    // Two or three readings that happen to agree do not prove the hand steadier than the policy says.
    let from_scatter = f64::max(observed, points(budget.repeatability)) / libm::sqrt(count);
    libm::sqrt(
        from_instrument * from_instrument
            + from_temperature * from_temperature
            + from_scatter * from_scatter,
    )
}

/// Slope of Wedmore's equation: points of water for a change of one in the index.
fn water_per_index(water: f64) -> f64 {
    1.0 / (std::f64::consts::LN_10 * (index_of(water) - 1.0) * WEDMORE_SLOPE)
}
