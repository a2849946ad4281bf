//! Wrong PINs: how many somebody gave at a device, and how long the next one waits for it.
//!
//! Takes a workshop, a person, a device and the time; gives the seconds that are still to wait. An attempt counts as wrong from its
//! beginning on, so that many at once find no way round it; a right one takes it back. Kept per person and device: nobody is locked out by
//! what somebody else does elsewhere.

use std::collections::BTreeMap;
use std::io;

use serde::{Deserialize, Serialize};

use super::home::{Home, named};

/// So many wrong ones wait for nothing.
const FREE: u32 = 3;
/// What the next one waits, in seconds; each after it twice as long.
const FIRST: i64 = 10;
/// No wait is longer, in seconds.
const LONGEST: i64 = 15 * 60;
/// What lies so far back is forgotten, in seconds.
const FORGOTTEN: i64 = 24 * 60 * 60;

/// The wrong PINs of a person at a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
struct Wrong {
    times: u32,
    last: i64,
}

type All = BTreeMap<String, BTreeMap<String, Wrong>>;

/// How many seconds pass after so many wrong PINs.
///
/// ```
/// use liftsheet::keys::wait_after;
/// assert_eq!([0, 2, 3, 4, 5, 9, 10, u32::MAX].map(wait_after), [0, 0, 10, 20, 40, 640, 900, 900]);
/// ```
pub fn wait_after(times: u32) -> i64 {
    match times.checked_sub(FREE) {
        None => 0,
        Some(more) => (FIRST << more.min(7)).min(LONGEST),
    }
}

impl Home {
    /// Begins an attempt, which counts as wrong until [`Home::was_right`]; gives how many it makes, or the seconds to wait where it
    /// comes too early.
    pub fn attempt(
        &self,
        workshop: &str,
        (person, device): (&str, &str),
        now: i64,
    ) -> io::Result<Result<u32, i64>> {
        self.of_waits(workshop, |all| {
            for devices in all.values_mut() {
                devices.retain(|_, wrong| now - wrong.last < FORGOTTEN);
            }
            all.retain(|_, devices| !devices.is_empty());
            let devices = all.entry(person.to_owned()).or_default();
            let wrong = devices.entry(device.to_owned()).or_insert(Wrong {
                times: 0,
                last: now,
            });
            // A clock that was put back must not make a wait of it.
            wrong.last = wrong.last.min(now);
            let left = wrong.last + wait_after(wrong.times) - now;
            if left > 0 {
                return Err(left);
            }
            wrong.times = wrong.times.saturating_add(1);
            wrong.last = now;
            Ok(wrong.times)
        })
    }

    /// Takes the wrong PINs of a person at a device back.
    pub fn was_right(&self, workshop: &str, (person, device): (&str, &str)) -> io::Result<()> {
        self.of_waits(workshop, |all| {
            if let Some(devices) = all.get_mut(person) {
                devices.remove(device);
            }
        })
    }

    fn of_waits<T>(&self, workshop: &str, change: impl FnOnce(&mut All) -> T) -> io::Result<T> {
        let file = format!("{}.waits", named(workshop));
        self.alone("waits", || {
            let bytes = self.read(&file)?;
            let read = bytes.and_then(|bytes| serde_json::from_slice(&bytes).ok());
            let mut all: All = read.unwrap_or_default();
            let before = all.clone();
            let changed = change(&mut all);
            if all != before {
                self.write(&file, serde_json::to_string(&all)?.as_bytes())?;
            }
            Ok(changed)
        })
    }
}
