//! How much, how often and how long: what one sender may cost the desk.

use combgate_core::record::{BUNDLE_BYTES_AT_MOST, KeyId};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};
use std::net::{IpAddr, Ipv6Addr};
use std::num::NonZeroU32;
use std::time::Duration;

/// So many at once, then one in each period.
#[derive(Debug, Clone, Copy)]
pub struct Pace {
    /// At once.
    pub burst: NonZeroU32,
    /// Then one in each.
    pub every: Duration,
}

impl Pace {
    /// So many at once, then one in each period.
    pub const fn new(burst: u32, every: Duration) -> Self {
        // None is no pace: then one at once is the least.
        let burst = match NonZeroU32::new(burst) {
            Some(burst) => burst,
            None => NonZeroU32::MIN,
        };
        Self { burst, every }
    }

    fn quota(self) -> Quota {
        Quota::with_period(self.every)
            .unwrap_or_else(|| Quota::per_second(NonZeroU32::MAX))
            .allow_burst(self.burst)
    }
}

/// The limits of a listener. Those that it has when nothing is said are common practice, chosen
/// for phones that send a day's bundle over a slow network.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Most bytes of a bundle.
    pub bytes: usize,
    /// Requests that are worked on at a time.
    pub at_once: usize,
    /// Open connections.
    pub connections: usize,
    /// For the head of a request, the wait for the next one, and the greeting of TLS, each.
    pub head: Duration,
    /// Between two parts of the content.
    pub part: Duration,
    /// For the whole content.
    pub content: Duration,
    /// Signed requests of one handset.
    pub handset: Pace,
    /// Requests of one address, good or bad.
    pub address: Pace,
    /// Whether addresses are those of senders; behind a proxy all are the proxy's.
    pub by_address: bool,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            bytes: BUNDLE_BYTES_AT_MOST,
            at_once: 16,
            connections: 256,
            head: Duration::from_secs(20),
            part: Duration::from_secs(30),
            content: Duration::from_mins(10),
            handset: Pace::new(60, Duration::from_secs(2)),
            address: Pace::new(120, Duration::from_secs(1)),
            by_address: true,
        }
    }
}

/// What each sender has asked for lately.
#[derive(Debug)]
pub(super) struct Paces {
    handsets: DefaultKeyedRateLimiter<KeyId>,
    addresses: DefaultKeyedRateLimiter<IpAddr>,
    by_address: bool,
}

impl Paces {
    pub(super) fn new(limits: &Limits) -> Self {
        Self {
            handsets: RateLimiter::keyed(limits.handset.quota()),
            addresses: RateLimiter::keyed(limits.address.quota()),
            by_address: limits.by_address,
        }
    }

    /// Counts a request from an address; whether it may be made.
    pub(super) fn may_come(&self, address: IpAddr) -> bool {
        if !self.by_address {
            return true;
        }
        // Who asked for nothing lately is forgotten, so that their number stays small.
        self.addresses.retain_recent();
        self.addresses.check_key(&network(address)).is_ok()
    }

    /// Counts a signed request of a handset; whether it may be made.
    pub(super) fn may_ask(&self, handset: KeyId) -> bool {
        self.handsets.check_key(&handset).is_ok()
    }
}

/// One household has as many IPv6 addresses as it likes, but one network of 64 bits (RFC 6177).
fn network(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(address) => {
            let [a, b, c, d, ..] = address.segments();
            Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0).into()
        }
        v4 @ IpAddr::V4(_) => v4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paces(by_address: bool) -> Paces {
        Paces::new(&Limits {
            address: Pace::new(2, Duration::from_hours(1)),
            by_address,
            ..Limits::default()
        })
    }

    #[test]
    fn one_address_waits_and_another_need_not() {
        let paces = paces(true);
        let may = |address: &str| paces.may_come(address.parse().unwrap());
        assert_eq!(
            [may("192.0.2.1"), may("192.0.2.1"), may("192.0.2.1")],
            [true, true, false]
        );
        assert!(!may("::ffff:192.0.2.1"), "the same machine");
        assert!(may("192.0.2.2"));
        assert_eq!(
            [may("2001:db8::1"), may("2001:db8::2"), may("2001:db8::3")],
            [true, true, false]
        );
        assert!(may("2001:db8:0:1::1"));
    }

    #[test]
    fn behind_a_proxy_all_addresses_are_one_and_not_counted() {
        let paces = paces(false);
        assert!((0..9).all(|_| paces.may_come("192.0.2.1".parse().unwrap())));
    }
}
