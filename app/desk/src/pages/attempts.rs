//! How often signing in may be tried: enough for a slip of the finger, too seldom to guess.

use combgate_core::units::Code;
use governor::{DefaultDirectRateLimiter, DefaultKeyedRateLimiter, Quota, RateLimiter};
use std::num::NonZeroU32;
use std::time::Duration;

/// Tries at once for one name; then one every [`ONE_NAME_EVERY`].
const ONE_NAME: NonZeroU32 = NonZeroU32::MIN.saturating_add(4);
const ONE_NAME_EVERY: Duration = Duration::from_secs(30);
/// Tries at once for all names together: each costs time and memory.
const ALL_NAMES: NonZeroU32 = NonZeroU32::MIN.saturating_add(19);
const ALL_NAMES_EVERY: Duration = Duration::from_secs(2);

/// Tries so far.
#[derive(Debug)]
pub(super) struct Attempts {
    by_name: DefaultKeyedRateLimiter<Code>,
    all: DefaultDirectRateLimiter,
}

impl Attempts {
    pub(super) fn new() -> Self {
        Self {
            by_name: RateLimiter::keyed(quota(ONE_NAME, ONE_NAME_EVERY)),
            all: RateLimiter::direct(quota(ALL_NAMES, ALL_NAMES_EVERY)),
        }
    }

    /// Counts a try; whether it may be made.
    pub(super) fn may_try(&self, name: &Code) -> bool {
        // Names that nobody tried lately are forgotten, so that their number stays small.
        self.by_name.retain_recent();
        self.all.check().is_ok() && self.by_name.check_key(name).is_ok()
    }
}

fn quota(at_once: NonZeroU32, every: Duration) -> Quota {
    Quota::with_period(every)
        .unwrap_or_else(|| Quota::per_minute(NonZeroU32::MIN))
        .allow_burst(at_once)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sixth_try_for_a_name_must_wait_and_another_name_need_not() {
        let attempts = Attempts::new();
        let neema = Code::new("neema").unwrap();
        for _ in 0..5 {
            assert!(attempts.may_try(&neema));
        }
        assert!(!attempts.may_try(&neema));
        assert!(attempts.may_try(&Code::new("baraka").unwrap()));
    }
}
