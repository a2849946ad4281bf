//! When something was done, where somebody says so: after the work before it, and not in the time to come.
//!
//! The machine's own clock is never refused: the number of an entry is its order, and a clock that ran behind shows. What a person says is
//! held against what is signed already.

use super::agreed::Asked;
use super::entry::{Act, Entry, Record};
use super::standing::Standing;
use super::status::Status;
use super::value::Entered;
use super::wish::Wish;
use crate::chain::{Time, Zone};
use crate::report::{Code, Problem};

/// Letters of a day, such as `2026-03-02`.
const DAY: usize = 10;

/// Refuses a time that is still to come, by the machine's clock or by the last entry where that clock runs behind.
pub(super) fn past(record: &Record, wish: &Wish) -> Result<(), Problem> {
    let last = record.entries.iter().map(|entry| entry.time).max();
    let latest = last.map_or(wish.now, |last| last.max(wish.now));
    match wish.at {
        Some(at) if at > latest => {
            let message = format!("`{at}` is still to come");
            let help = "give the time at which it was done, or leave `--at` out";
            Err(Problem::error(Code::BadTime, message).help(help))
        }
        _ => Ok(()),
    }
}

/// Refuses a day or a time that is still to come where something was done then, and a day that has passed where something holds until then.
pub(super) fn written(
    asked: &Asked,
    value: &Entered,
    (now, zone): (Time, &Zone),
) -> Result<(), Problem> {
    let Entered::Text(text) = value else {
        return Ok(());
    };
    let (earliest, latest) = zone.around(now);
    // Written so, times stand in the order of their letters; one without its day is of any day.
    let (wrong, said) = match asked.kind.as_str() {
        "date" => (
            text.as_str() > latest.get(..DAY).unwrap_or_default(),
            "is still to come",
        ),
        "time" => (text.len() > DAY && *text > latest, "is still to come"),
        "until" => (
            text.as_str() < earliest.get(..DAY).unwrap_or_default(),
            "has passed",
        ),
        _ => return Ok(()),
    };
    if !wrong {
        return Ok(());
    }
    let message = format!("`{}` is {text}, which {said}", asked.name);
    Err(Problem::error(Code::BadTime, message).help("read it once more, and write what it says"))
}

/// Refuses a time before that of the work that it comes after.
pub(super) fn behind(
    status: &Status<'_>,
    wish: &Wish,
    (standing, zone): (&Standing<'_>, &Zone),
) -> Result<(), Problem> {
    let Some(at) = wish.at else { return Ok(()) };
    let own = standing.done();
    let before = match wish.act {
        Act::Checked => own,
        Act::Done | Act::Measured | Act::Corrected => before(status, standing),
        _ => Vec::new(),
    };
    let last = before
        .into_iter()
        .max_by_key(|entry| status.effective.when(entry));
    match last {
        Some(entry) if status.effective.when(entry).minute() > at.minute() => {
            Err(early(status, entry, (at, zone)))
        }
        _ => Ok(()),
    }
}

/// Who did the tasks that come right before one.
fn before<'a>(status: &Status<'a>, standing: &Standing<'a>) -> Vec<&'a Entry> {
    let before = standing.task.after.iter().filter_map(|id| status.get(id));
    before
        .flat_map(|one| {
            let checked = one.checked().filter(|_| one.task.hold.is_some());
            one.done().into_iter().chain(checked)
        })
        .collect()
}

fn early(status: &Status<'_>, entry: &Entry, (at, zone): (Time, &Zone)) -> Problem {
    let message = format!(
        "{} is before `{}` was {}, which was {} (entry {})",
        zone.print(at),
        entry.task,
        entry.act.word(),
        zone.print(status.effective.when(entry)),
        entry.number
    );
    let help = "give the time at which it was done; a wrong time of an earlier entry is put right with `--act corrected`";
    Problem::error(Code::BadTime, message).help(help)
}

/// Entries that the machine's clock puts before the one that stands before them.
pub fn ran_behind(record: &Record) -> Vec<u64> {
    let pairs = record.entries.iter().zip(record.entries.iter().skip(1));
    pairs
        .filter(|(before, after)| after.time < before.time)
        .map(|(_, after)| after.number)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Text;

    #[test]
    fn what_was_done_is_not_to_come_and_what_holds_has_not_passed() {
        let now = Time::parse("2026-03-02T12:00:00Z").unwrap();
        let fine = |kind: &str, text: &str, zone: &Zone| {
            let asked = Asked {
                name: "when".to_owned(),
                ask: Text::plain("when"),
                item: None,
                kind: kind.to_owned(),
                unit: None,
                least: None,
                most: None,
            };
            written(&asked, &Entered::Text(text.to_owned()), (now, zone)).is_ok()
        };
        let (named, none) = (Zone::named("Europe/Lisbon").unwrap(), Zone::default());
        assert!(fine("time", "2026-03-02 12:09", &named) && fine("time", "23:00", &named));
        assert!(!fine("time", "2026-03-02 12:11", &named));
        assert!(
            fine("time", "2026-03-03 01:59", &none) && !fine("time", "2026-03-03 02:01", &none)
        );
        assert!(fine("date", "2026-03-02", &named) && !fine("date", "2026-03-03", &named));
        assert!(fine("until", "2026-03-02", &named) && !fine("until", "2026-03-01", &named));
    }
}
