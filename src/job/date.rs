//! Days and times of the day at the workshop, without time zones.
//!
//! Takes texts such as `2026-03-02` and `07:30`; gives days and minutes since the beginning of 1970, and back. Days are counted by the
//! Gregorian calendar; a day that a month does not have is refused.

use jiff::civil::{Date, date};

/// Minutes of a day.
pub(crate) const DAY: i64 = 1440;

/// The day of a date, counted from 1970.
///
/// ```
/// use liftsheet::job::date::{day, print_day, weekday};
/// let monday = day("2026-03-02").unwrap();
/// assert_eq!((weekday(monday), print_day(monday).as_str()), (0, "2026-03-02"));
/// assert_eq!(day("2026-02-29"), None);
/// assert_eq!(day("1970-01-02"), Some(1));
/// ```
pub fn day(text: &str) -> Option<i64> {
    // The parser takes more forms than this one, among them those with a time of the day or without hyphens.
    let plain = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
    let day: Date = text.parse().ok().filter(|_| plain)?;
    Some(first().until(day).ok()?.get_days().into())
}

/// A day as a date; one beyond the years of four digits as the last of them.
pub fn print_day(day: i64) -> String {
    let span = jiff::Span::new().try_days(day);
    let found = span.and_then(|span| first().checked_add(span));
    found.unwrap_or(Date::MAX).to_string()
}

fn first() -> Date {
    date(1970, 1, 1)
}

/// The day of the week, Monday as 0.
pub fn weekday(day: i64) -> usize {
    usize::try_from((day + 3).rem_euclid(7)).unwrap_or(0)
}

/// The minute of a day of a time such as `07:30`; `24:00` is its end.
pub(crate) fn minute(text: &str) -> Option<u32> {
    let (hour, minute) = text.split_once(':')?;
    let digits = hour.len();
    let hour = number(hour, digits).filter(|_| (1..=2).contains(&digits))?;
    let minute = number(minute, 2).filter(|minute| *minute < 60)?;
    Some(hour * 60 + minute).filter(|found| *found <= 1440)
}

/// A minute of the day as a time.
pub(crate) fn print_minute(minute: u32) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

/// The minute since 1970 of a date with or without a time of the day.
pub(crate) fn moment(text: &str) -> Option<i64> {
    match text.split_once([' ', 'T']) {
        Some((date, time)) => Some(day(date)? * DAY + i64::from(minute(time.trim())?)),
        None => Some(day(text)? * DAY),
    }
}

/// A number of exactly so many digits.
fn number(text: &str, digits: usize) -> Option<u32> {
    let plain = text.len() == digits && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|_| plain)
}
