//! What a ground of a decision says, by its name on the wire.

use serde::{Deserialize, Serialize};

/// What a ground says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GroundCode {
    /// The policy has no row for this product.
    ProductNotBought,
    /// A question of the checklist is open.
    Unanswered,
    /// A fault that refuses.
    HardFault,
    /// A fault that holds.
    SoftFault,
    /// A fault that is recorded.
    NotedFault,
    /// Moisture was not read.
    MoistureNotRead,
    /// The readings give no moisture.
    MoistureUnusable,
    /// Moisture meets its limit.
    MoistureMeets,
    /// Moisture is too near its limit to tell.
    MoistureTooNear,
    /// One reading near the limit is too little to refuse on.
    MoistureFailsOnTooLittle,
    /// Moisture fails its limit.
    MoistureFails,
    /// Comb was not counted.
    CappedNotCounted,
    /// The capped share meets its limit.
    CappedMeets,
    /// The capped share is too near its limit to tell.
    CappedTooNear,
    /// Too few points to refuse on.
    CappedFailsOnTooLittle,
    /// The capped share fails its limit.
    CappedFails,
    /// Nothing was weighed.
    NotWeighed,
    /// The weights cannot be.
    WeightUnusable,
    /// No row of the grade table fits.
    NoGradeFits,
}

impl GroundCode {
    /// Whether it says how moisture stood against its limit.
    pub const fn is_of_moisture(self) -> bool {
        matches!(
            self,
            Self::MoistureMeets
                | Self::MoistureTooNear
                | Self::MoistureFails
                | Self::MoistureFailsOnTooLittle
        )
    }
}
