//! Points in time as the record writes them, UTC to the second as RFC 3339 has it (`2025-03-04T05:06:07Z`), and as the workshop reads
//! them, in its own time zone.
//!
//! Takes seconds since 1970, a text, the name of a zone; gives the others. The clock itself is read by `cli` alone, and the machine's
//! own zone by nobody: what a record says must not depend on where it is printed.

use std::fmt;

use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The last second that is counted, the end of the year 9999 in every time zone.
const LAST: i64 = 253_402_207_200;

/// A point in time, in whole seconds.
///
/// ```
/// use liftsheet::record::Time;
/// let time = Time::from_seconds(1_234_567_890);
/// assert_eq!(time.to_string(), "2009-02-13T23:31:30Z");
/// assert_eq!(Time::parse("2009-02-14T10:31:30+11:00"), Some(time));
/// assert_eq!(Time::parse("yesterday"), None);
/// ```
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Time(Timestamp);

impl Time {
    /// The time so many seconds after the beginning of 1970 in UTC; one beyond the year 9999 is its end, and one that nobody can count is 1970.
    pub fn from_seconds(seconds: i64) -> Self {
        Self(Timestamp::from_second(seconds.min(LAST)).unwrap_or(Timestamp::UNIX_EPOCH))
    }

    /// Seconds since the beginning of 1970 in UTC.
    pub fn seconds(self) -> i64 {
        self.0.as_second()
    }

    /// The minute that it is in, as people write a time down.
    pub fn minute(self) -> i64 {
        self.seconds().div_euclid(60)
    }

    /// Reads an RFC 3339 date and time with its offset from UTC, of the years 1970 to 9999; seconds may be left out, parts of a second
    /// are dropped. Gives nothing for anything else, an impossible date among it.
    pub fn parse(text: &str) -> Option<Self> {
        let found: Timestamp = text.trim().parse().ok()?;
        let seconds = found.as_second();
        (0..=LAST)
            .contains(&seconds)
            .then(|| Self::from_seconds(seconds))
    }
}

impl fmt::Display for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
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

/// The time zone in which a workshop reads its clock; none, which counts as UTC, when nobody wrote one down.
#[derive(Debug, Default, Clone)]
pub struct Zone(Option<TimeZone>);

/// Why a text is no time at the workshop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoTime {
    /// It is no date and time.
    Form,
    /// It has no offset, and no zone is written down.
    NoZone,
    /// The clocks were changed over it: it happened twice, or not at all.
    Changeover,
}

impl Zone {
    /// The zone of a name of the tz database, such as `Australia/Hobart`; none when there is none such.
    pub fn named(name: &str) -> Option<Self> {
        TimeZone::get(name).ok().map(|zone| Self(Some(zone)))
    }

    /// A point in time as people read it there: `2025-03-04 16:06 +11:00`, or `2025-03-04 05:06 UTC` where no zone is known.
    ///
    /// ```
    /// use liftsheet::record::{Time, Zone};
    /// let time = Time::parse("2025-03-04T05:06:07Z").unwrap();
    /// assert_eq!(Zone::default().print(time), "2025-03-04 05:06 UTC");
    /// assert_eq!(Zone::named("Australia/Hobart").unwrap().print(time), "2025-03-04 16:06 +11:00");
    /// ```
    pub fn print(&self, time: Time) -> String {
        let form = if self.0.is_some() {
            "%Y-%m-%d %H:%M %:z"
        } else {
            "%Y-%m-%d %H:%M UTC"
        };
        self.clock(time).strftime(form).to_string()
    }

    /// The day of a point in time there.
    pub fn day(&self, time: Time) -> String {
        self.clock(time).date().to_string()
    }

    /// What the clock there shows at a point in time, such as `2026-03-02 08:00`: as early and as late as it may be. A hand's watch is some
    /// minutes off; where no zone is named, any may be meant.
    pub(crate) fn around(&self, time: Time) -> (String, String) {
        let (before, after) = if self.0.is_some() {
            (10, 10)
        } else {
            (12 * 60, 14 * 60)
        };
        let shown = |minutes: i64| {
            let then = Time::from_seconds(time.seconds() + minutes * 60);
            self.clock(then).strftime("%Y-%m-%d %H:%M").to_string()
        };
        (shown(-before), shown(after))
    }

    /// A point in time as the clock there shows it.
    fn clock(&self, time: Time) -> ZonedDateTime {
        ZonedDateTime::new(time.0, self.0.clone().unwrap_or(TimeZone::UTC))
    }

    /// Reads a time with its offset, or a time of the workshop's own clock such as `2026-03-02 08:00`.
    pub fn parse(&self, text: &str) -> Result<Time, NoTime> {
        if let Some(time) = Time::parse(text) {
            return Ok(time);
        }
        let local: DateTime = text.trim().parse().map_err(|_| NoTime::Form)?;
        let has_offset = text.trim().parse::<Timestamp>().is_ok();
        if has_offset || !text.contains(':') {
            return Err(NoTime::Form);
        }
        let zone = self.0.as_ref().ok_or(NoTime::NoZone)?;
        let found = zone.to_ambiguous_timestamp(local).unambiguous();
        let found = found.map_err(|_| NoTime::Changeover)?;
        Time::parse(&found.to_string()).ok_or(NoTime::Form)
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
            (253_402_207_200, "9999-12-30T22:00:00Z"),
        ] {
            assert_eq!(Time::from_seconds(seconds).to_string(), text);
            assert_eq!(Time::parse(text), Some(Time::from_seconds(seconds)));
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
            "2025-03-04T25:00Z",
            "2025-03-04T+2:00Z",
            // A year before the beginning of the count could be written and not read back.
            "0000-01-01T00:00+01:00",
            "-000001-01-01T00:00Z",
            "1969-12-31T23:59:59Z",
        ] {
            assert_eq!(Time::parse(text), None, "{text}");
        }
    }

    // Hobart: +10:00 in winter, +11:00 in summer; clocks go back at 03:00 on the first Sunday of April and forward at 02:00 on the
    // first of October (Daylight Saving Time Act 2007, Tasmania; from memory). `TZ=Australia/Hobart date -d @…` says the same.
    #[test]
    fn the_workshops_clock_is_read_in_its_zone() {
        let hobart = Zone::named("Australia/Hobart").unwrap();
        let utc = |text: &str| hobart.parse(text).map(|time| time.to_string());
        assert_eq!(utc("2026-03-02 08:00").unwrap(), "2026-03-01T21:00:00Z");
        assert_eq!(utc("2026-07-02T08:00").unwrap(), "2026-07-01T22:00:00Z");
        assert_eq!(
            utc("2026-07-02 08:00+09:30").unwrap(),
            "2026-07-01T22:30:00Z"
        );
        assert_eq!(utc("2026-04-05 02:30"), Err(NoTime::Changeover));
        assert_eq!(utc("2026-10-04 02:30"), Err(NoTime::Changeover));
        assert_eq!(utc("2026-10-04"), Err(NoTime::Form));
        assert_eq!(utc("0000-01-01T00:00+01:00"), Err(NoTime::Form));
        assert_eq!(
            Zone::default().parse("2026-03-02 08:00"),
            Err(NoTime::NoZone)
        );
        assert!(Zone::named("Nowhere/Special").is_none());
    }
}
