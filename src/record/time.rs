//! Points in time as the record writes them: UTC, to the second, as RFC 3339 has it (`2025-03-04T05:06:07Z`).
//!
//! Takes seconds since 1970 or a text; gives the other. The clock itself is read by `cli` alone.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::job::date;

/// Seconds of a day.
const DAY: i64 = 86_400;

/// A point in time, in whole seconds.
///
/// ```
/// use liftsheet::record::Time;
/// let time = Time::from_seconds(1_234_567_890);
/// assert_eq!(time.to_string(), "2009-02-13T23:31:30Z");
/// assert_eq!(Time::parse("2009-02-14T10:31:30+11:00"), Some(time));
/// assert_eq!(Time::parse("yesterday"), None);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Time(i64);

impl Time {
    /// The time so many seconds after the beginning of 1970 in UTC.
    #[must_use]
    pub fn from_seconds(seconds: i64) -> Self {
        Self(seconds)
    }

    /// Reads an RFC 3339 date and time with its offset from UTC; seconds may be left out, parts of a second are dropped.
    /// Gives nothing for anything else, an impossible date among it.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (date, clock) = text.split_once(['T', 't', ' '])?;
        let at = clock.find(['Z', 'z', '+', '-'])?;
        let (clock, offset) = clock.split_at_checked(at)?;
        let seconds = date::day(date)? * DAY + second_of_day(clock)? - offset_seconds(offset)?;
        Some(Self(seconds))
    }
}

impl Time {
    /// The time as people read it: `2025-03-04 05:06 UTC`.
    #[must_use]
    pub fn print(self) -> String {
        let text = self.to_string();
        let (date, clock) = text.split_once('T').unwrap_or((&text, ""));
        format!("{date} {} UTC", clock.get(..5).unwrap_or(clock))
    }
}

/// A number of exactly that many digits, within the range.
fn number(text: &str, digits: usize, range: std::ops::RangeInclusive<i64>) -> Option<i64> {
    let plain = text.len() == digits && text.bytes().all(|b| b.is_ascii_digit());
    let number = text.parse().ok().filter(|_| plain)?;
    range.contains(&number).then_some(number)
}

/// Seconds since midnight of a clock time such as `05:06` or `05:06:07.8`.
fn second_of_day(clock: &str) -> Option<i64> {
    let (clock, fraction) = clock.split_once('.').unwrap_or((clock, "0"));
    let fine = !fraction.is_empty() && fraction.bytes().all(|b| b.is_ascii_digit());
    let mut parts = clock.split(':');
    let hour = number(parts.next()?, 2, 0..=23)?;
    let minute = number(parts.next()?, 2, 0..=59)?;
    let second = match parts.next() {
        Some(second) => number(second, 2, 0..=59)?,
        None => 0,
    };
    (fine && parts.next().is_none()).then_some(hour * 3600 + minute * 60 + second)
}

/// Seconds that the clock of an offset such as `Z` or `+10:00` is ahead of UTC.
fn offset_seconds(offset: &str) -> Option<i64> {
    if offset.eq_ignore_ascii_case("z") {
        return Some(0);
    }
    let (sign, ahead) = match offset.split_at_checked(1)? {
        ("+", ahead) => (1, ahead),
        ("-", ahead) => (-1, ahead),
        _ => return None,
    };
    let (hours, minutes) = ahead.split_once(':')?;
    Some(sign * (number(hours, 2, 0..=23)? * 3600 + number(minutes, 2, 0..=59)? * 60))
}

impl fmt::Display for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (days, second) = (self.0.div_euclid(DAY), self.0.rem_euclid(DAY));
        let (hour, minute, second) = (second / 3600, second / 60 % 60, second % 60);
        let day = date::print_day(days);
        write!(f, "{day}T{hour:02}:{minute:02}:{second:02}Z")
    }
}

impl Serialize for Time {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Time {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let error = || serde::de::Error::custom("a time is written as `2025-03-04T05:06:07Z`");
        Self::parse(&text).ok_or_else(error)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Expected texts: `date -u -d @SECONDS +%FT%TZ` of GNU coreutils.
    #[test]
    fn times_print_as_date_prints_them() {
        for (seconds, text) in [
            (0, "1970-01-01T00:00:00Z"),
            (951_782_400, "2000-02-29T00:00:00Z"),
            (1_000_000_000, "2001-09-09T01:46:40Z"),
            (1_709_251_199, "2024-02-29T23:59:59Z"),
            (4_107_542_400, "2100-03-01T00:00:00Z"),
            (253_402_300_799, "9999-12-31T23:59:59Z"),
            (-1, "1969-12-31T23:59:59Z"),
        ] {
            assert_eq!(Time(seconds).to_string(), text);
            assert_eq!(Time::parse(text), Some(Time(seconds)));
        }
    }

    #[test]
    fn an_offset_is_taken_off_and_seconds_may_be_left_out() {
        let noon = Time::parse("2025-03-04T12:00:00Z");
        assert!(noon.is_some());
        for text in [
            "2025-03-04T22:00+10:00",
            "2025-03-04 06:30-05:30",
            "2025-03-04t12:00:00.99z",
        ] {
            assert_eq!(Time::parse(text), noon, "{text}");
        }
    }

    #[test]
    fn what_is_no_time_is_refused() {
        for text in [
            "",
            "2025-03-04",
            "2025-03-04T12:00",
            "2025-02-29T12:00Z",
            "2025-13-01T12:00Z",
            "2025-3-4T12:00Z",
            "2025-03-04T24:00Z",
            "2025-03-04T12:00:60Z",
            "2025-03-04T12:00:00.Z",
            "2025-03-04T12:00+1000",
            "2025-03-04T+2:00Z",
        ] {
            assert_eq!(Time::parse(text), None, "{text}");
        }
    }
}
