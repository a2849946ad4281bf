//! Whether what may not be left overnight, and what dries or soaks meanwhile, fits one working day: asked before anybody is booked.
//!
//! Takes a plan and the hours of the job's people; gives a warning for each stretch of the work that is longer than the longest day of
//! any of them. It counts the longest chain of tasks by their likely minutes, and the waits; a schedule is left to [`super::schedule`].

use std::collections::BTreeMap;

use super::build::nights;
use crate::job::Hours;
use crate::pipeline::Made;
use crate::plan::Task;
use crate::report::{Code, Path, Problem};

/// A warning for each stretch that no day is long enough for.
pub(crate) fn longer_than_a_day(made: &Made<'_>) -> Vec<Problem> {
    let people = made.job.people.values().map(|person| &person.hours);
    let Some(day) = people.map(longest).max() else {
        return Vec::new();
    };
    let tasks: Vec<&Task> = super::build::tasks(made);
    let stretches = nights(&tasks).into_iter();
    let stretches = stretches.filter_map(|(first, last)| tasks.get(first..=last));
    let long = stretches.filter_map(|stretch| {
        let (begins, ends) = (stretch.first()?, stretch.last()?);
        let minutes = chain(stretch);
        (minutes > f64::from(day)).then(|| problem(made, (begins, ends), (minutes, day)))
    });
    long.collect()
}

/// From the first minute to the last of somebody's longest day.
fn longest(hours: &Hours) -> u32 {
    let days = hours.week.iter().filter_map(|day| {
        let (from, to) = (day.first()?.0, day.last()?.1);
        Some(to.saturating_sub(from))
    });
    days.max().unwrap_or_default()
}

/// The longest chain of tasks that wait for one another, in minutes on the wall.
fn chain(stretch: &[&Task]) -> f64 {
    let mut ends: BTreeMap<&str, f64> = BTreeMap::new();
    for task in stretch {
        let after = task.after.iter().filter_map(|id| ends.get(id.as_str()));
        let waits = task.waits.iter();
        let waits =
            waits.filter_map(|wait| Some(ends.get(wait.after.as_str())? + wait.hours * 60.0));
        let begins = after.copied().chain(waits).fold(0.0, f64::max);
        ends.insert(&task.id, begins + task.minutes.likely);
    }
    ends.into_values().fold(0.0, f64::max)
}

fn problem(made: &Made<'_>, (begins, ends): (&Task, &Task), (minutes, day): (f64, u32)) -> Problem {
    let hours = |minutes: f64| format!("{:.1} h", minutes / 60.0);
    let message = format!(
        "from `{}` to `{}` nothing may be left overnight, and that takes {}; the longest day of anybody here has {}",
        begins.id,
        ends.id,
        hours(minutes),
        hours(f64::from(day))
    );
    let path = Path::root().key("lift").key("coat_hours");
    Problem::warning(Code::LongerThanADay, message)
        .at(made.job.place(&path))
        .help("take a coat that dries sooner, give somebody a longer day, or coat the seats before the body goes up")
}
