//! What the officer judges at the gate, from what is seen, read and weighed.

mod comb;
mod conformance;
mod decision;
mod delivery;
mod fault;
mod grid;
mod policy;
mod price;
mod price_list;
#[cfg(test)]
mod sample;
mod search;
mod terms;
mod weight;

pub use comb::{
    COMBS_AT_MOST, CappedShare, CombCount, CombError, POINTS_FOR_A_COUNT, capped_share,
    wilson_interval,
};
pub use conformance::{Bound, conformance_probability};
pub use decision::{Decision, Ground, Judgement, Settle, Verdict, judge};
pub use delivery::{Bee, Delivery, DeliveryError, Form, Hive, PAILS_AT_MOST, Pail};
pub use fault::{Answer, Fault, FaultRoom, FaultWeight};
pub use grid::{PointGrid, WHOLE_SIDE};
pub use policy::{
    FaultRule, GradeRule, Period, Policy, PolicyError, PolicyParts, ProductRule, ShrinkRule,
};
pub use price::{Advance, LineKind, PriceError, PriceLine, PriceStatement, Rate};
pub use price_list::{
    Levy, LevyRate, MoistureStep, Premium, PriceList, PriceListError, PriceListParts, PriceRow,
};
pub use search::{Found, MemberIndex, Sought, as_sought};
pub use terms::{AssessError, Assessment, Terms, TermsError};
pub use weight::{
    MassError, ScaleCheck, WeighingScale, WeightError, WeightMark, WeightResult,
    maximum_permissible_error, weigh,
};
