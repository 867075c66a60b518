//! How long somebody who got a password wrong has to wait: for a name, and for an address, each for itself.
//!
//! The wait doubles and ends; nobody is locked out for good, so that nobody can lock out another for good. This room does not know passwords.

use chrono::{DateTime, Duration, Utc};
use std::collections::BTreeMap;

/// Wrong passwords for one name that cost no wait: typing slips.
const FREE_FOR_NAME: u32 = 4;
/// For one address: an office shares one.
const FREE_FOR_ADDRESS: u32 = 12;
/// The first wait.
const FIRST_WAIT: Duration = Duration::seconds(15);
/// The longest wait: about a hundred guesses a day.
const LONGEST_WAIT: Duration = Duration::minutes(15);
/// After so long without a wrong password the count begins anew.
const FORGOTTEN_AFTER: Duration = Duration::hours(24);
/// Names and addresses remembered; beyond it the oldest is forgotten. About 1 MB.
const REMEMBERED_MAX: usize = 10_000;

#[derive(Clone, Copy, Debug)]
struct Count {
    wrong: u32,
    last: DateTime<Utc>,
}

/// Wrong passwords by name and by address.
#[derive(Debug, Default)]
pub struct Lockout(BTreeMap<String, Count>);

fn keys(name: &str, address: &str) -> [(String, u32); 2] {
    let name: String = name.chars().take(64).collect();
    [
        (format!("name {name}"), FREE_FOR_NAME),
        (format!("address {address}"), FREE_FOR_ADDRESS),
    ]
}

impl Lockout {
    /// How long to wait before the next attempt is looked at; none: it may come now.
    #[must_use]
    pub fn wait(&self, name: &str, address: &str, now: DateTime<Utc>) -> Option<Duration> {
        let waits = keys(name, address).into_iter().filter_map(|(key, free)| {
            let count = self.0.get(&key)?;
            let over = count.wrong.checked_sub(free)?;
            let wait = FIRST_WAIT * 2_i32.pow(over.min(10));
            let left = count.last + wait.min(LONGEST_WAIT) - now;
            (over > 0 && left > Duration::zero()).then_some(left)
        });
        waits.max()
    }

    /// A wrong password.
    pub fn wrong(&mut self, name: &str, address: &str, now: DateTime<Utc>) {
        self.0.retain(|_, count| now - count.last < FORGOTTEN_AFTER);
        for (key, _) in keys(name, address) {
            if !self.0.contains_key(&key) && self.0.len() >= REMEMBERED_MAX {
                let oldest = self.0.iter().min_by_key(|(_, count)| count.last);
                if let Some(oldest) = oldest.map(|(key, _)| key.clone()) {
                    self.0.remove(&oldest);
                }
            }
            let count = self.0.entry(key).or_insert(Count {
                wrong: 0,
                last: now,
            });
            count.wrong = count.wrong.saturating_add(1);
            count.last = now;
        }
    }

    /// The right password: the name's count begins anew; the address's stays, for others may guess from there.
    pub fn right(&mut self, name: &str) {
        let [(key, _), _] = keys(name, "");
        self.0.remove(&key);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_and_end_by_name_and_by_address() {
        let mut now: DateTime<Utc> = "2026-03-10T05:00:00Z".parse().unwrap();
        let mut lockout = Lockout::default();
        for _ in 0..FREE_FOR_NAME {
            lockout.wrong("amina", "10.0.0.1", now);
            assert_eq!(lockout.wait("amina", "10.0.0.1", now), None);
        }
        let mut waits = Vec::new();
        for _ in 0..9 {
            lockout.wrong("amina", "10.0.0.1", now);
            let wait = lockout.wait("amina", "10.9.9.9", now).unwrap();
            waits.push(wait.num_seconds());
            assert!(lockout.wait("amina", "10.9.9.9", now + wait).is_none());
            now += wait;
        }
        assert_eq!(waits, [30, 60, 120, 240, 480, 900, 900, 900, 900]);
        assert!(lockout.wait("juma", "10.0.0.1", now).is_none() || waits.len() > 8);
        lockout.right("amina");
        assert!(lockout.wait("amina", "10.9.9.9", now).is_none());
        for _ in 0..9 {
            lockout.wrong("juma", "10.0.0.1", now);
        }
        assert!(
            lockout.wait("zawadi", "10.0.0.1", now).is_some(),
            "the address waits whatever the name"
        );
        assert!(lockout.wait("zawadi", "10.0.0.2", now).is_none());
    }
}
