//! What a task is called when it is signed: its id, its printed number, a range of numbers, or one row of it.
//!
//! Takes words as typed and the plan; gives tasks in the order of work. A number counts with the plan that printed it: once the plan has
//! changed, it says nothing without the four characters that stand on the sheet.

use std::collections::{BTreeMap, BTreeSet};

use super::agreed::{Agreed, Asked, SignedTask};
use super::entry::Act;
use crate::report::{Code, Problem, did_you_mean, quoted, unless};

/// A task that is meant, or rows of it.
#[derive(Debug, Clone)]
pub(super) struct Target<'a> {
    pub task: &'a SignedTask,
    /// The rows that are meant; none are all.
    pub rows: Vec<String>,
    /// Whether it is meant by a number alone, or by a form, which may also name what is signed already.
    pub by_number: bool,
}

impl<'a> Target<'a> {
    /// Whether a word is its id or its number.
    pub(super) fn is_called(&self, word: &str) -> bool {
        self.task.id == word || self.task.number.to_string() == word
    }

    /// What is asked for in the rows that are meant.
    pub(super) fn asks(&self) -> impl Iterator<Item = &'a Asked> + '_ {
        let task: &'a SignedTask = self.task;
        let meant = move |id: &String| self.rows.is_empty() || self.rows.contains(id);
        task.asks()
            .filter(move |(row, _)| meant(&row.id))
            .map(|(_, asked)| asked)
    }
}

/// The tasks that are meant, in the order of work; `changed` says that the plan is not the one that the record began with.
pub(super) fn resolve<'a>(
    agreed: &'a Agreed,
    words: &[String],
    act: Act,
    (sheet, changed): (Option<&str>, bool),
) -> Result<Vec<Target<'a>>, Vec<Problem>> {
    let mut found: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    let mut problems = Vec::new();
    if let Some(sheet) = sheet.filter(|sheet| !is_of(agreed, sheet)) {
        problems.push(other_sheet(agreed, sheet));
    }
    let mut numbered = false;
    let mut by_id: BTreeSet<usize> = BTreeSet::new();
    for word in words {
        let (name, row) = in_row(word);
        let range = range(agreed, name, act);
        numbered |= range.is_some();
        let named = range.is_none();
        let places = range.unwrap_or_else(|| position(agreed, name).map(|place| vec![place]));
        match places {
            Ok(places) => {
                by_id.extend(places.iter().filter(|_| named));
                for place in places {
                    match meant(agreed, place, row) {
                        Ok(rows) => add(&mut found, place, rows),
                        Err(problem) => problems.push(problem),
                    }
                }
            }
            Err(problem) => problems.push(problem),
        }
    }
    if numbered && changed && sheet.is_none() {
        let message =
            "the plan has changed since this record was begun, so a number alone says nothing";
        let help = format!(
            "add `--sheet` with the four characters on the sheet that you read it from; this plan's are `{}`",
            agreed.short()
        );
        problems.push(Problem::error(Code::OtherSheet, message).help(help));
    }
    unless(problems, ())?;
    let targets = found.into_iter().filter_map(|(place, rows)| {
        Some(Target {
            task: agreed.tasks.get(place)?,
            rows,
            by_number: !by_id.contains(&place),
        })
    });
    Ok(targets.collect())
}

/// A word as that of a task and of one of its rows, where it names one: `task:row`.
pub(super) fn in_row(word: &str) -> (&str, Option<&str>) {
    let parts = word.split_once(':');
    parts.map_or((word, None), |(task, row)| (task, Some(row)))
}

/// Adds rows to those meant already; none are all.
fn add(found: &mut BTreeMap<usize, Vec<String>>, place: usize, rows: Vec<String>) {
    match found.get_mut(&place) {
        None => {
            found.insert(place, rows);
        }
        Some(own) if own.is_empty() || rows.is_empty() => own.clear(),
        Some(own) => own.extend(rows),
    }
}

/// Whether a sheet's four characters, or more of them, are those of the plan.
fn is_of(agreed: &Agreed, sheet: &str) -> bool {
    let sheet = sheet
        .trim()
        .trim_start_matches("sha256:")
        .to_ascii_lowercase();
    sheet.len() >= 4
        && agreed
            .digest
            .trim_start_matches("sha256:")
            .starts_with(&sheet)
}

fn other_sheet(agreed: &Agreed, sheet: &str) -> Problem {
    let message = format!(
        "the sheet `{}` is of another plan; this one's is `{}`",
        quoted(sheet),
        agreed.short()
    );
    Problem::error(Code::OtherSheet, message)
        .help("print the sheet anew, or name the tasks by their ids")
}

/// The places that a number or a range of numbers names; nothing for a word that is neither. A number is a printed task with all its pieces,
/// and its check is that of all that it signs off.
fn range(agreed: &Agreed, word: &str, act: Act) -> Option<Result<Vec<usize>, Problem>> {
    let (from, to) = word.split_once(['-', '–']).unwrap_or((word, word));
    let number = |text: &str| {
        let plain = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        plain.then(|| text.parse::<usize>().ok()).flatten()
    };
    let (from, to) = (number(from)?, number(to)?);
    let most = agreed.tasks.last().map_or(0, |task| task.number);
    if from == 0 || from > to || to > most {
        let message = format!("the plan has tasks 1 to {most}, and not `{}`", quoted(word));
        let help = "a range goes from a lower number to a higher one: `12-16`";
        return Some(Err(Problem::error(Code::TaskNotInPlan, message).help(help)));
    }
    let meant = |task: &SignedTask| match act {
        Act::Checked => {
            (from..=to).contains(&task.number) || (from..=to).contains(&task.signed_with)
        }
        // Nobody does a hold point: somebody looks, and signs.
        Act::Done => (from..=to).contains(&task.number) && (task.hold.is_none() || from == to),
        _ => (from..=to).contains(&task.number),
    };
    let places = agreed.tasks.iter().enumerate();
    let places = places
        .filter(|(_, task)| meant(task))
        .map(|(place, _)| place);
    Some(Ok(places.collect()))
}

fn position(agreed: &Agreed, id: &str) -> Result<usize, Problem> {
    let place = agreed.tasks.iter().position(|task| task.id == id);
    place.ok_or_else(|| {
        let known = agreed.tasks.iter().map(|task| task.id.as_str());
        // A plan has too many tasks to list.
        let help = did_you_mean(id, known).map_or_else(
            || "the sheet prints every task's id and number".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        let message = format!("the plan has no task `{}`", quoted(id));
        Problem::error(Code::TaskNotInPlan, message).help(help)
    })
}

/// The rows of a task that are meant.
fn meant(agreed: &Agreed, place: usize, row: Option<&str>) -> Result<Vec<String>, Problem> {
    let (Some(row), Some(task)) = (row, agreed.tasks.get(place)) else {
        return Ok(Vec::new());
    };
    if task.rows.iter().any(|own| own.id == row) {
        return Ok(vec![row.to_owned()]);
    }
    let message = format!("`{}` has no row `{}`", task.id, quoted(row));
    let known: Vec<&str> = task.rows.iter().map(|row| row.id.as_str()).collect();
    let help = match known.as_slice() {
        [_] => "it is signed as a whole".to_owned(),
        _ => crate::report::unknown_help(row, known.into_iter().filter(|id| !id.is_empty())),
    };
    Err(Problem::error(Code::TaskNotInPlan, message).help(help))
}
