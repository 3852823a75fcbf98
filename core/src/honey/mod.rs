//! What honey is: the refractometer's formula and tables.

mod refractometer;
mod sucrose;

pub use refractometer::{
    Basis, MoistureResult, READINGS_AT_MOST, Reading, Refractometer, RefractometerError, Scale,
    ScaleReading, UncertaintyBudget, determine_moisture,
};
pub use sucrose::{SucroseError, brix_at, refractive_index_at};
