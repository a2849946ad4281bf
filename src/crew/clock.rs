//! The workshop's clock: which minutes of which days somebody of the crew works.
//!
//! Takes everybody's hours and the start of work; gives each person's [`Calendar`] on the workshop's clock, the breaks and nights, and
//! the day and time of day of each minute. People on call do not open the workshop. It looks some days ahead, a year at most.

use super::calendar::{Calendar, Minute, joined};
use crate::job::Hours;
use crate::job::date::{DAY, print_day, print_minute, weekday};

/// How many days are looked at, and how many where a first schedule is enough: more than almost any job takes.
pub(super) const YEAR: i64 = 366;
pub(super) const SOON: i64 = 60;
/// A Monday, on which the work starts when nobody said when.
const MONDAY: i64 = 4;

/// A stretch of a day in which the workshop is open.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Open {
    /// From and to, minutes since 1970.
    wall: (i64, i64),
    /// Its first minute on the workshop's clock.
    at: Minute,
    /// The number of its day among the days of work, from 1.
    day: usize,
}

/// The workshop's clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clock {
    open: Vec<Open>,
    dated: bool,
}

/// A minute on the wall.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Moment {
    /// The day of work, from 1.
    pub day: usize,
    /// Its date, when the start of work has one.
    pub date: Option<String>,
    /// The time of day: `07:30`.
    pub time: String,
}

impl Clock {
    /// The clock of a workshop that is open when one of these people is there, from a moment on and for so many days.
    pub(crate) fn new(hours: &[&Hours], start: Option<i64>, ahead: i64) -> Self {
        let begin = start.unwrap_or(MONDAY * DAY);
        let first = begin.div_euclid(DAY);
        let opens = hours.iter().any(|hours| !hours.on_call);
        let mut clock = Self {
            open: Vec::new(),
            dated: start.is_some(),
        };
        let (mut at, mut number) = (0, 0);
        for day in first..first + ahead {
            let there = hours.iter().filter(|hours| !opens || !hours.on_call);
            let there = there.flat_map(|hours| on(hours, day, begin)).collect();
            let stretches = joined(there);
            number += usize::from(!stretches.is_empty());
            for wall in stretches {
                clock.open.push(Open {
                    wall,
                    at,
                    day: number,
                });
                at += length(wall);
            }
        }
        clock
    }

    /// When a person is there, on this clock.
    pub(crate) fn calendar(&self, hours: &Hours) -> Calendar {
        let stretches = self.open.iter().flat_map(|open| {
            let day = open.wall.0.div_euclid(DAY);
            let there = on(hours, day, open.wall.0);
            there.into_iter().filter_map(|(from, to)| {
                let (from, to) = (from.max(open.wall.0), to.min(open.wall.1));
                let at = open.at + length((open.wall.0, from));
                (from < to).then(|| (at, at + length((from, to))))
            })
        });
        Calendar::new(stretches.collect())
    }

    /// The minutes at which the workshop closes for a break or a night.
    pub(crate) fn breaks(&self) -> Vec<Minute> {
        self.open.iter().map(Open::end).collect()
    }

    /// The minutes at which its days end.
    pub(crate) fn nights(&self) -> Vec<Minute> {
        let days = self.open.chunk_by(|one, next| one.day == next.day);
        days.filter_map(|day| day.last().map(Open::end)).collect()
    }

    /// Where each stretch of this clock begins on the wall: its first minute here, and that minute since 1970.
    pub(crate) fn wall(&self) -> Vec<(Minute, i64)> {
        self.open
            .iter()
            .map(|open| (open.at, open.wall.0))
            .collect()
    }

    pub(crate) fn begins(&self, minute: Minute) -> Option<Moment> {
        let place = self.open.partition_point(|open| open.end() <= minute);
        self.moment(place, minute)
    }

    /// When the minute before it ends.
    pub(crate) fn ends(&self, minute: Minute) -> Option<Moment> {
        let place = self.open.partition_point(|open| open.end() < minute);
        self.moment(place, minute)
    }

    /// The days of work that are begun until a minute.
    pub(super) fn days(&self, minute: Minute) -> usize {
        self.ends(minute).map_or(0, |moment| moment.day)
    }

    /// The end of the day of work on which a minute ends.
    pub(super) fn last_of_day(&self, minute: Minute) -> Minute {
        let day = self.days(minute);
        let of_day = self.open.iter().filter(|open| open.day == day);
        of_day.map(Open::end).max().unwrap_or(minute)
    }

    fn moment(&self, place: usize, minute: Minute) -> Option<Moment> {
        let open = self.open.get(place)?;
        let wall = open.wall.0 + i64::from(minute.checked_sub(open.at)?);
        let day = open.wall.0.div_euclid(DAY);
        let of_day = u32::try_from(wall - day * DAY).ok()?;
        Some(Moment {
            day: open.day,
            date: self.dated.then(|| print_day(day)),
            time: print_minute(of_day),
        })
    }

    /// When the workshop is open on a day of work: from and to in minutes of the day.
    pub(crate) fn open_on(&self, day: usize) -> Vec<(u32, u32)> {
        self.pieces(day, (0, Minute::MAX))
    }

    /// The part of a stretch of minutes that lies on a day of work, as stretches of minutes of the day.
    pub(crate) fn pieces(&self, day: usize, (start, end): (Minute, Minute)) -> Vec<(u32, u32)> {
        let of_day = self.open.iter().filter(|open| open.day == day);
        let pieces = of_day.filter_map(|open| {
            let (from, to) = (start.max(open.at), end.min(open.end()));
            let midnight = open.wall.0.div_euclid(DAY) * DAY;
            let begins = u32::try_from(open.wall.0 - midnight).ok()?;
            let on_wall = |minute: Minute| begins + (minute - open.at);
            (from < to).then(|| (on_wall(from), on_wall(to)))
        });
        pieces.collect()
    }
}

impl Open {
    fn end(&self) -> Minute {
        self.at + length(self.wall)
    }
}

fn length((from, to): (i64, i64)) -> Minute {
    Minute::try_from(to - from).unwrap_or(0)
}

/// When a person is there on a day, from a moment on; minutes since 1970.
fn on(hours: &Hours, day: i64, begin: i64) -> Vec<(i64, i64)> {
    let week = hours.week.get(weekday(day)).into_iter().flatten();
    let mut there: Vec<(i64, i64)> = week
        .map(|(from, to)| (day * DAY + i64::from(*from), day * DAY + i64::from(*to)))
        .map(|(from, to)| (from.max(begin), to))
        .collect();
    for (gone, back) in &hours.away {
        let parts = there
            .iter()
            .flat_map(|(from, to)| [(*from, (*to).min(*gone)), ((*from).max(*back), *to)]);
        there = parts.filter(|(from, to)| from < to).collect();
    }
    there.retain(|(from, to)| from < to);
    there.sort_unstable();
    there
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nights_and_lunch_take_no_time_and_a_weekend_none_either() {
        let usual = Hours::default();
        let friday = crate::job::date::moment("2026-03-06 15:00");
        let clock = Clock::new(&[&usual], friday, YEAR);
        assert_eq!(
            clock.begins(0).map(|m| (m.day, m.time)),
            Some((1, "15:00".to_owned()))
        );
        assert_eq!(
            clock.ends(60).map(|m| (m.day, m.time)),
            Some((1, "16:00".to_owned()))
        );
        let monday = clock.begins(60).map(|m| (m.day, m.date, m.time));
        let date = Some("2026-03-09".to_owned());
        assert_eq!(monday, Some((2, date, "07:30".to_owned())));
        assert_eq!(
            clock.ends(60 + 300).map(|m| m.time),
            Some("13:00".to_owned())
        );
        assert_eq!(clock.breaks().get(..3), Some([60, 330, 540].as_slice()));
        assert_eq!(clock.nights().get(..2), Some([60, 540].as_slice()));
    }

    #[test]
    fn who_is_away_is_not_there_and_who_is_on_call_opens_nothing() {
        let start = crate::job::date::moment("2026-03-02");
        let begin = start.unwrap_or(0);
        let away = Hours {
            away: vec![(begin + 480, begin + 540)],
            ..Hours::default()
        };
        let called = Hours {
            on_call: true,
            week: std::array::from_fn(|_| vec![(0, 1440)]),
            ..Hours::default()
        };
        let clock = Clock::new(&[&Hours::default(), &called], start, YEAR);
        assert_eq!(clock.calendar(&away).stretches().first(), Some(&(0, 30)));
        assert_eq!(
            clock.calendar(&away).stretches().get(1).map(|s| s.0),
            Some(90)
        );
        assert_eq!(clock.open_on(1), [(450, 720), (750, 960)]);
        assert_eq!(clock.pieces(1, (260, 280)), [(710, 720), (750, 760)]);
    }
}
