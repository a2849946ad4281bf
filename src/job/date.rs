//! Days and times of the day at the workshop, without time zones.
//!
//! Takes texts such as `2026-03-02` and `07:30`; gives days and minutes since the beginning of 1970, and back. Days are counted by the
//! Gregorian calendar; a day that a month does not have is refused.

/// Minutes of a day.
pub const DAY: i64 = 1440;
/// Days of 400 years.
const ERA: i64 = 146_097;
/// Days from 1 March of the year 0 to 1 January 1970.
const TO_1970: i64 = 719_468;

/// The day of a date, counted from 1970.
///
/// ```
/// use liftsheet::job::date::{day, print_day, weekday};
/// let monday = day("2026-03-02").unwrap();
/// assert_eq!((weekday(monday), print_day(monday).as_str()), (0, "2026-03-02"));
/// assert_eq!(day("2026-02-29"), None);
/// assert_eq!(day("1970-01-02"), Some(1));
/// ```
#[must_use]
pub fn day(text: &str) -> Option<i64> {
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, date] = parts.as_slice() else {
        return None;
    };
    let (year, month, date) = (number(year, 4)?, number(month, 2)?, number(date, 2)?);
    let (shifted, months) = if month > 2 {
        (year, month - 3)
    } else {
        (year - 1, month + 9)
    };
    let (era, of_era) = (shifted.div_euclid(400), shifted.rem_euclid(400));
    let of_year = (153 * months + 2) / 5 + date - 1;
    let found = era * ERA + of_era * 365 + of_era / 4 - of_era / 100 + of_year - TO_1970;
    (1970..=9998)
        .contains(&year)
        .then_some(found)
        .filter(|found| print_day(*found) == text)
}

/// A day as a date.
#[must_use]
pub fn print_day(day: i64) -> String {
    let shifted = day + TO_1970;
    let (era, of_era) = (shifted.div_euclid(ERA), shifted.rem_euclid(ERA));
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let months = (5 * of_year + 2) / 153;
    let date = of_year - (153 * months + 2) / 5 + 1;
    let month = if months < 10 { months + 3 } else { months - 9 };
    let year = era * 400 + year + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{date:02}")
}

/// The day of the week, Monday as 0.
#[must_use]
pub fn weekday(day: i64) -> usize {
    usize::try_from((day + 3).rem_euclid(7)).unwrap_or(0)
}

/// The minute of a day of a time such as `07:30`; `24:00` is its end.
#[must_use]
pub fn minute(text: &str) -> Option<u32> {
    let (hour, minute) = text.split_once(':')?;
    let digits = hour.len();
    let hour = number(hour, digits).filter(|_| (1..=2).contains(&digits))?;
    let minute = number(minute, 2).filter(|minute| *minute < 60)?;
    u32::try_from(hour * 60 + minute)
        .ok()
        .filter(|found| *found <= 1440)
}

/// A minute of the day as a time.
#[must_use]
pub fn print_minute(minute: u32) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

/// The minute since 1970 of a date with or without a time of the day.
#[must_use]
pub fn moment(text: &str) -> Option<i64> {
    match text.split_once([' ', 'T']) {
        Some((date, time)) => Some(day(date)? * DAY + i64::from(minute(time.trim())?)),
        None => Some(day(text)? * DAY),
    }
}

/// A number of exactly so many digits.
fn number(text: &str, digits: usize) -> Option<i64> {
    let plain = text.len() == digits && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|_| plain)
}
