//! When the work starts, when each person is there, and how many things there are that serve one task at a time.

use std::collections::{BTreeMap, BTreeSet};

use super::fields::Fields;
use crate::calc::Range;
use crate::job::date::{DAY, minute, moment};
use crate::job::written::{self, OneOrMore};
use crate::job::{Hours, Role, THINGS};
use crate::quantity::{Unit, Written};
use crate::report::{Code, Path, unknown_help};

/// The days of the week as typed.
const DAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
/// More of one thing than any workshop has.
const MANY: f64 = 99.0;

/// The minute at which the work starts.
pub(super) fn start(written: Option<&Written>, fields: &mut Fields<'_>) -> Option<i64> {
    let text = written?.as_str();
    let found = moment(text);
    if found.is_none() {
        let message = format!("`{text}` is not a day or a time");
        let help =
            "write a date such as `2026-03-02`, or a date and time such as `2026-03-02 07:30`";
        fields.error(Code::BadValue, &Path::root().key("start"), message, help);
    }
    found
}

/// The time zone of the workshop.
pub(super) fn zone(name: Option<&str>, fields: &mut Fields<'_>) -> Option<String> {
    let name = name?;
    if jiff::tz::TimeZone::get(name).is_ok() {
        return Some(name.to_owned());
    }
    let message = format!("`{name}` is not a time zone");
    let help = "write its name in the tz database, such as `Australia/Hobart` or `Europe/Oslo`";
    fields.error(Code::BadValue, &Path::root().key("zone"), message, help);
    None
}

pub(super) fn things(
    written: &BTreeMap<String, Written>,
    fields: &mut Fields<'_>,
) -> BTreeMap<&'static str, u32> {
    let mut things = BTreeMap::new();
    for (name, count) in written {
        let path = Path::root().key("things").key(name.as_str());
        let Some(known) = THINGS.iter().find(|known| *known == name) else {
            let help = unknown_help(name, THINGS.iter().copied());
            let message = format!("`{name}` is not a thing that tasks wait for");
            fields.error(Code::UnknownChoice, &path.at_key(), message, help);
            continue;
        };
        let range = Range::Within(0.0, MANY);
        if let Some(count) = fields.quantity(count, Unit::One, range, &path) {
            if count.value.fract() > 0.0 {
                let message = format!("`{}` is not a whole number", count.value);
                let help = "write how many there are, such as `1`";
                fields.error(Code::BadValue, &path, message, help);
            }
            // Within the range, so nothing is cut off.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            things.insert(*known, count.value as u32);
        }
    }
    things
}

pub(super) fn check(
    person: &written::Person,
    roles: &BTreeSet<Role>,
    (start, path): (Option<i64>, &Path),
    fields: &mut Fields<'_>,
) -> Hours {
    let usual = Hours::default();
    let days = days(person.days.as_ref(), &path.key("days"), fields);
    let at = path.key("hours");
    let mut week: [Vec<(u32, u32)>; 7] = Default::default();
    match &person.hours {
        Some(written::Hours::ByDay(by_day)) => {
            for (name, text) in by_day {
                let Some(day) = fields.word(name, &DAYS, &at.key_of(name.as_str())) else {
                    continue;
                };
                let hours = stretches(text, &at.key(name.as_str()), fields);
                if let Some(slot) = week.get_mut(day) {
                    *slot = hours;
                }
            }
        }
        daily => {
            let hours = match daily {
                Some(written::Hours::Daily(text)) => stretches(text, &at, fields),
                _ => usual.week.first().cloned().unwrap_or_default(),
            };
            for (number, slot) in week.iter_mut().enumerate() {
                if days.contains(&number) {
                    slot.clone_from(&hours);
                }
            }
        }
    }
    let licensed_only = roles.iter().all(|role| *role == Role::Tradesperson) && !roles.is_empty();
    Hours {
        week,
        assumed: person.hours.is_none(),
        away: away(person.away.as_ref(), (start, &path.key("away")), fields),
        on_call: fields
            .flag(person.on_call.as_ref(), &path.key("on_call"))
            .unwrap_or(licensed_only),
    }
}

/// The days of the week, Monday as 0; Monday to Friday when none are given.
fn days(given: Option<&OneOrMore>, path: &Path, fields: &mut Fields<'_>) -> BTreeSet<usize> {
    let Some(given) = given else {
        return (0..5).collect();
    };
    let mut days = BTreeSet::new();
    for word in &given.0 {
        let (from, to) = word.split_once('-').unwrap_or((word, word));
        let (from, to) = (from.trim(), to.trim());
        let from = fields.word(from, &DAYS, path);
        if let (Some(from), Some(to)) = (from, fields.word(to, &DAYS, path)) {
            let length = (to + 7 - from) % 7;
            days.extend((0..=length).map(|step| (from + step) % 7));
        }
    }
    days
}

/// Hours such as `07:30-12:00, 12:30-16:00`: from and to, in order and apart.
fn stretches(text: &str, path: &Path, fields: &mut Fields<'_>) -> Vec<(u32, u32)> {
    if matches!(text.trim(), "none" | "no") {
        return Vec::new();
    }
    let read = |piece: &str| {
        let (from, to) = piece.split_once(['-', '–'])?;
        let (from, to) = (minute(from.trim())?, minute(to.trim())?);
        (from < to).then_some((from, to))
    };
    let mut hours: Vec<(u32, u32)> = Vec::new();
    for piece in text.split(',') {
        let after = hours.last().map_or(0, |(_, to)| *to);
        if let Some(stretch) = read(piece).filter(|(from, _)| *from >= after) {
            hours.push(stretch);
            continue;
        }
        let message = format!("`{}` is not from one time to a later one", piece.trim());
        let help =
            "write hours in order, such as `07:30-12:00, 12:30-16:00`, or `none` for a day off";
        fields.error(Code::BadValue, path, message, help);
        return hours;
    }
    hours
}

/// When a person is not there: whole days, or from one moment to another.
fn away(
    given: Option<&OneOrMore>,
    (start, path): (Option<i64>, &Path),
    fields: &mut Fields<'_>,
) -> Vec<(i64, i64)> {
    let Some(given) = given else {
        return Vec::new();
    };
    if start.is_none() {
        let message = "a date says nothing without the day on which the work starts";
        let help = "add `start:` with a date to the job";
        fields.error(Code::MissingField, path, message, help);
    }
    let mut away = Vec::new();
    for (number, text) in given.0.iter().enumerate() {
        let read = match text.split_once(" to ") {
            Some((from, to)) => {
                let (from, to) = (from.trim(), to.trim());
                moment(from).zip(last_moment(to))
            }
            None => moment(text).zip(last_moment(text)),
        };
        if let Some(stretch) = read.filter(|(from, to)| from < to) {
            away.push(stretch);
            continue;
        }
        let path = path.index(number);
        let message = match read {
            Some(_) => format!("`{text}` ends before it begins"),
            None => format!("`{text}` is not a day or a stretch of days"),
        };
        let help = "write `2026-03-04`, `2026-03-04 to 2026-03-06`, or `2026-03-04 12:00 to 2026-03-04 16:00`";
        fields.error(Code::BadValue, &path, message, help);
    }
    away.sort_unstable();
    away
}

/// A moment, or the end of a day given without a time.
fn last_moment(text: &str) -> Option<i64> {
    let whole = !text.contains(':');
    moment(text).map(|at| if whole { at + DAY } else { at })
}
