//! What honey is: the refractometer's formula and tables.

mod refractometer;
mod sucrose;
mod uncertainty;

pub use refractometer::{
    Basis, MoistureResult, READINGS_AT_MOST, Reading, Refractometer, RefractometerError, Scale,
    ScaleReading, UnroundedMoisture, determine_moisture, determine_unrounded,
};
pub use sucrose::{SucroseError, brix_at, refractive_index_at};
pub use uncertainty::UncertaintyBudget;
