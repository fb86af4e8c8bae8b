//! How often pairing and signing in may be tried.
//!
//! Each address gets a few tries in ten minutes, and everybody together gets some more: a machine
//! with many addresses must not get many times the tries. The second bound lets somebody on the
//! farm's own network hold pairing up for ten minutes; that is the lesser harm, and devices that are
//! paired do not notice it. A try that succeeds is given back.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};

/// Ten minutes.
pub const WINDOW_MS: i64 = 10 * 60 * 1000;
/// Tries of one address in the window.
pub const EACH: usize = 10;
/// Tries of everybody in the window.
pub const ALL: usize = 60;

/// Counts tries of one kind.
#[derive(Debug, Default)]
pub struct Limiter(Mutex<BTreeMap<IpAddr, Vec<i64>>>);

/// The address that tries are counted under: a whole /64 of IPv6, which one machine has.
fn counted(ip: IpAddr) -> IpAddr {
    match ip.to_canonical() {
        IpAddr::V4(ip) => IpAddr::V4(ip),
        IpAddr::V6(ip) => {
            let mut parts = ip.segments();
            parts[4..].fill(0);
            IpAddr::from(parts)
        }
    }
}

impl Limiter {
    /// Takes one try; false when there is none left.
    pub fn take(&self, ip: IpAddr, now_ms: i64) -> bool {
        let mut tries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        for times in tries.values_mut() {
            // a clock set back must not lock anybody out for longer than the window
            times.retain(|at| (0..WINDOW_MS).contains(&(now_ms - at)));
        }
        tries.retain(|_, times| !times.is_empty());
        let all: usize = tries.values().map(Vec::len).sum();
        let times = tries.entry(counted(ip)).or_default();
        if all >= ALL || times.len() >= EACH {
            return false;
        }
        times.push(now_ms);
        true
    }

    /// Gives the last try back, after it succeeded.
    pub fn give_back(&self, ip: IpAddr) {
        let mut tries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(times) = tries.get_mut(&counted(ip)) {
            times.pop();
        }
    }
}

/// The kinds of tries.
#[derive(Debug, Default)]
pub struct Limits {
    /// Pairing codes and one-time tokens.
    pub pair: Limiter,
    /// Names and passphrases.
    pub sign_in: Limiter,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ip(last: u8) -> IpAddr {
        IpAddr::from([192, 168, 7, last])
    }

    #[test]
    fn one_address_gets_ten_and_everybody_sixty() {
        let limiter = Limiter::default();
        assert_eq!((0..20).filter(|_| limiter.take(ip(1), 1000)).count(), EACH);
        let others = (2..40).map(|last| (0..5).filter(|_| limiter.take(ip(last), 1000)).count());
        assert_eq!(others.sum::<usize>() + EACH, ALL);
        assert!(!limiter.take(ip(99), 1000 + WINDOW_MS - 1));
        assert!(limiter.take(ip(1), 1000 + WINDOW_MS));
    }

    #[test]
    fn a_try_that_succeeds_is_given_back_and_a_clock_set_back_locks_nobody_out() {
        let limiter = Limiter::default();
        for _ in 0..100 {
            assert!(limiter.take(ip(1), 5_000_000));
            limiter.give_back(ip(1));
        }
        while limiter.take(ip(1), 5_000_000) {}
        assert!(limiter.take(ip(1), 0));
    }

    #[test]
    fn a_machine_with_many_ipv6_addresses_is_one() {
        let limiter = Limiter::default();
        let tries =
            (0..40_u16).filter(|n| limiter.take(IpAddr::from([0xfd00, 1, 2, 3, 0, 0, 0, *n]), 0));
        assert_eq!(tries.count(), EACH);
    }
}
