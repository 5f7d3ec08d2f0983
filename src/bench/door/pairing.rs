//! Which devices may come in over the network, and who may still try a code. Refuses to know a clock, chance, and connections:
//! the moment, new secrets and addresses are given.

use super::chance::{Secret, digest};
use super::limits::{A_DAY, LONGEST_WAIT_OF_ALL, LONGEST_WAIT_OF_ONE, MOST_WRONG_OF_ALL, MOST_WRONG_OF_ONE};
use std::collections::BTreeMap;
use std::net::IpAddr;
use std::time::Duration;

/// What came of trying a code.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Tried {
    /// The device of this number is paired; the code is used up.
    Paired(u32),
    /// The code is wrong: answer after this long.
    Wrong(Duration),
    /// Nobody looked at the code: it came before this long was over.
    TooSoon(Duration),
    /// The address typed too many wrong codes.
    ShutOut,
    /// There were too many wrong codes, or there is no code.
    Closed,
}

/// A device that may come in.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Device {
    /// Its number in the list.
    pub number: u32,
    /// Where it was paired from.
    pub address: IpAddr,
    token: Secret,
    since: Duration,
}

/// An address that typed wrong codes.
#[derive(Debug)]
struct Stranger {
    wrong: u32,
    /// Before this moment its codes are not looked at.
    not_before: Duration,
    last: Duration,
}

/// The code in force, the devices that used one, and the addresses that typed wrong ones. Moments are counted from the start.
#[derive(Debug)]
pub(super) struct Pairing {
    code: Option<Secret>,
    wrong: u32,
    not_before: Duration,
    strangers: BTreeMap<IpAddr, Stranger>,
    devices: Vec<Device>,
    paired: u32,
}

impl Pairing {
    /// Nobody is paired; this code pairs the first device.
    pub(super) fn new(code: &str) -> Pairing {
        Pairing {
            code: Some(digest(code)),
            wrong: 0,
            not_before: Duration::ZERO,
            strangers: BTreeMap::new(),
            devices: Vec::new(),
            paired: 0,
        }
    }

    /// The foreman asked for a new code: the one before is void, and pairing is open again. Addresses that are shut out
    /// stay so.
    pub(super) fn reopen(&mut self, code: &str) {
        self.code = Some(digest(code));
        self.wrong = 0;
        self.not_before = Duration::ZERO;
    }

    /// Tries a code as typed. If it is right, the device gets the token, and the next code is in force.
    pub(super) fn attempt(
        &mut self,
        address: IpAddr,
        typed: &str,
        (token, next_code): (&str, &str),
        now: Duration,
    ) -> Tried {
        self.strangers.retain(|_, stranger| now.saturating_sub(stranger.last) < A_DAY);
        let stranger = self.strangers.get(&address);
        if stranger.is_some_and(|stranger| stranger.wrong >= MOST_WRONG_OF_ONE) {
            return Tried::ShutOut;
        }
        let Some(code) = self.code else { return Tried::Closed };
        let not_before = stranger.map_or(Duration::ZERO, |stranger| stranger.not_before).max(self.not_before);
        if now < not_before {
            return Tried::TooSoon(not_before - now);
        }
        if digest(&as_shown(typed)) == code {
            self.strangers.remove(&address);
            self.code = Some(digest(next_code));
            self.paired += 1;
            self.devices.push(Device { number: self.paired, address, token: digest(token), since: now });
            return Tried::Paired(self.paired);
        }
        self.wrong += 1;
        if self.wrong >= MOST_WRONG_OF_ALL {
            self.code = None;
        }
        let stranger = self.strangers.entry(address).or_insert(Stranger { wrong: 0, not_before: now, last: now });
        stranger.wrong += 1;
        stranger.last = now;
        let own = doubled(stranger.wrong, LONGEST_WAIT_OF_ONE);
        let all = doubled(self.wrong, LONGEST_WAIT_OF_ALL);
        stranger.not_before = now + own;
        self.not_before = now + all;
        Tried::Wrong(own.max(all))
    }

    /// Whether pairing is closed until somebody asks for a new code.
    pub(super) fn is_closed(&self) -> bool {
        self.code.is_none()
    }

    /// Whether an address was shut out.
    pub(super) fn is_shut_out(&self, address: IpAddr) -> bool {
        self.strangers.get(&address).is_some_and(|stranger| stranger.wrong >= MOST_WRONG_OF_ONE)
    }

    /// Whether a token is one of a paired device, today.
    pub(super) fn knows(&self, token: &str, now: Duration) -> bool {
        let token = digest(token);
        self.devices.iter().any(|device| device.token == token && now.saturating_sub(device.since) < A_DAY)
    }

    /// The devices that may come in.
    pub(super) fn devices(&mut self, now: Duration) -> &[Device] {
        self.devices.retain(|device| now.saturating_sub(device.since) < A_DAY);
        &self.devices
    }

    /// Drops the device of a number: it may not come in any more.
    pub(super) fn unpair(&mut self, number: u32) -> bool {
        let before = self.devices.len();
        self.devices.retain(|device| device.number != number);
        self.devices.len() < before
    }
}

/// 1 s, 2 s, 4 s, and so on after wrong codes.
fn doubled(wrong: u32, longest: Duration) -> Duration {
    Duration::from_secs(1_u64.checked_shl(wrong.saturating_sub(1)).unwrap_or(u64::MAX)).min(longest)
}

/// A code as it is shown: capitals, without the blanks and hyphens somebody typed between them.
fn as_shown(typed: &str) -> String {
    typed.chars().filter(char::is_ascii_alphabetic).map(|letter| letter.to_ascii_uppercase()).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, reason = "a test may stop at the first surprise")]

    use super::*;

    const FRESH: (&str, &str) = ("token", "NEXTCODE");

    fn address(last: u8) -> IpAddr {
        IpAddr::from([192, 0, 2, last])
    }

    fn seconds(seconds: u64) -> Duration {
        Duration::from_secs(seconds)
    }

    #[test]
    fn a_right_code_pairs_one_device_for_the_day() {
        let mut pairing = Pairing::new("ABCDEFGH");
        assert!(!pairing.knows("token", seconds(0)));
        assert_eq!(pairing.attempt(address(1), " abcd-efgh ", FRESH, seconds(5)), Tried::Paired(1));
        assert!(
            pairing.knows("token", seconds(6)) && !pairing.knows("Token", seconds(6)) && !pairing.knows("", seconds(6))
        );
        // The code is used up, the next one is in force.
        assert_eq!(pairing.attempt(address(2), "ABCDEFGH", ("other", "THIRD"), seconds(7)), Tried::Wrong(seconds(1)));
        assert_eq!(pairing.attempt(address(2), "NEXTCODE", ("other", "THIRD"), seconds(8)), Tried::Paired(2));
        assert_eq!(pairing.devices(seconds(9)).len(), 2);
        assert!(pairing.knows("token", seconds(4) + A_DAY) && !pairing.knows("token", seconds(5) + A_DAY));
        assert_eq!(pairing.devices(seconds(5) + A_DAY).len(), 1, "the second was paired later");
    }

    #[test]
    fn a_dropped_device_stays_out() {
        let mut pairing = Pairing::new("ABCDEFGH");
        assert_eq!(pairing.attempt(address(1), "ABCDEFGH", FRESH, seconds(0)), Tried::Paired(1));
        assert!(!pairing.unpair(2) && pairing.unpair(1) && !pairing.unpair(1));
        assert!(!pairing.knows("token", seconds(1)));
    }

    #[test]
    fn wrong_codes_are_slowed_then_shut_out() {
        let mut pairing = Pairing::new("ABCDEFGH");
        let mut now = seconds(100);
        let mut waits = Vec::new();
        for _ in 0..10 {
            let Tried::Wrong(wait) = pairing.attempt(address(1), "WRONG", FRESH, now) else { panic!("not looked at") };
            // Even the right code is not looked at before the wait is over.
            let early = now + wait - Duration::from_millis(1);
            if !pairing.is_shut_out(address(1)) {
                assert_eq!(
                    pairing.attempt(address(1), "ABCDEFGH", FRESH, early),
                    Tried::TooSoon(Duration::from_millis(1))
                );
            }
            waits.push(wait.as_secs());
            now += wait;
        }
        assert_eq!(waits, [1, 2, 4, 8, 16, 32, 60, 60, 60, 60]);
        assert!(pairing.is_shut_out(address(1)) && !pairing.is_shut_out(address(2)));
        assert_eq!(pairing.attempt(address(1), "ABCDEFGH", FRESH, now), Tried::ShutOut);
        pairing.reopen("ABCDEFGH");
        assert_eq!(
            pairing.attempt(address(1), "ABCDEFGH", FRESH, now),
            Tried::ShutOut,
            "a new code does not let it in"
        );
        assert_eq!(pairing.attempt(address(2), "ABCDEFGH", FRESH, now), Tried::Paired(1));
        let Tried::Paired(2) = pairing.attempt(address(1), "NEXTCODE", FRESH, now + A_DAY) else {
            panic!("a day is over")
        };
    }

    #[test]
    fn wrong_codes_of_many_addresses_close_pairing() {
        let mut pairing = Pairing::new("ABCDEFGH");
        let mut now = seconds(0);
        for attempt in 0..50 {
            assert!(!pairing.is_closed(), "{attempt}");
            let Tried::Wrong(wait) = pairing.attempt(address(attempt), "WRONG", FRESH, now) else {
                panic!("{attempt}")
            };
            assert!(wait <= seconds(8), "one that guesses does not keep others out for long");
            assert!(matches!(pairing.attempt(address(200), "ABCDEFGH", FRESH, now), Tried::TooSoon(_) | Tried::Closed));
            now += wait;
        }
        assert!(pairing.is_closed());
        assert_eq!(pairing.attempt(address(100), "ABCDEFGH", FRESH, now), Tried::Closed);
        pairing.reopen("FOURTHXX");
        assert_eq!(pairing.attempt(address(100), "ABCDEFGH", FRESH, now), Tried::Wrong(seconds(1)));
        assert_eq!(pairing.attempt(address(100), "FOURTHXX", FRESH, now + seconds(1)), Tried::Paired(1));
    }

    #[test]
    fn one_right_code_does_not_forgive_the_wrong_ones_of_all() {
        let mut pairing = Pairing::new("ABCDEFGH");
        let mut now = seconds(0);
        for attempt in 0..49 {
            now += seconds(60);
            assert!(matches!(pairing.attempt(address(attempt), "WRONG", FRESH, now), Tried::Wrong(_)));
        }
        now += seconds(60);
        assert_eq!(pairing.attempt(address(100), "ABCDEFGH", FRESH, now), Tried::Paired(1));
        assert!(matches!(pairing.attempt(address(101), "WRONG", FRESH, now), Tried::Wrong(_)));
        assert!(pairing.is_closed());
    }
}
