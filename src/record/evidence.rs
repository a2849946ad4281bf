//! Values as typed → values of an entry: which task each belongs to, whether it can be what it says, and what is still missing
//! or out of limits when a task is to be signed off.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::agreed::{Asked, Row, SignedTask};
use super::binding::Who;
use super::entry::{Act, Entry};
use super::footing::Footing;
use super::odometer;
use super::permit;
use super::square;
use super::standing::Standing;
use super::status::Status;
use super::target::Target;
use super::value::{self, Entered, Photo};
use super::when;
use super::wish::Wish;
use crate::chain::Zone;
use crate::plan::Sign;
use crate::quantity::{self, Unit, Units};
use crate::report::{Code, Problem, quoted, unknown_help, unless};
use crate::sorted::Sorted as _;

/// What is given for one task.
#[derive(Debug, Default, Clone)]
pub(super) struct Given {
    /// Values as typed, by name.
    pub(super) typed: BTreeMap<String, String>,
    /// Photographs, by the name of what asks for them.
    pub(super) photos: BTreeMap<String, Photo>,
    /// Photographs that nothing asks for by name.
    pub(super) more: Vec<Photo>,
}

/// What is given for each task, in the order of the tasks.
pub(super) fn assign(targets: &[Target<'_>], wish: &Wish) -> Result<Vec<Given>, Vec<Problem>> {
    // Without a task there is another problem already.
    if targets.is_empty() {
        return Ok(Vec::new());
    }
    let mut given = vec![Given::default(); targets.len()];
    let mut problems = Vec::new();
    for (name, text) in &wish.values {
        match asking(targets, name, "value") {
            Ok((place, name)) => {
                let typed = given.get_mut(place).map(|own| &mut own.typed);
                if typed
                    .and_then(|typed| typed.insert(name.to_owned(), text.clone()))
                    .is_some()
                {
                    let message = format!("`{name}` is given twice");
                    problems.push(Problem::error(Code::BadEvidence, message).help("leave one out"));
                }
            }
            Err(problem) => problems.push(problem),
        }
    }
    for (name, photo) in &wish.photos {
        match photographed(targets, name.as_deref()) {
            Ok((place, name)) => {
                let Some(own) = given.get_mut(place) else {
                    continue;
                };
                if let Some(name) = name {
                    own.photos.insert(name.to_owned(), photo.clone());
                } else {
                    own.more.push(photo.clone());
                }
            }
            Err(problem) => problems.push(problem),
        }
    }
    unless(problems, given)
}

/// The one task that asks for something of a name; `task:name` says which where several do.
fn asking<'n>(
    targets: &[Target<'_>],
    name: &'n str,
    option: &str,
) -> Result<(usize, &'n str), Problem> {
    let parts = name.split_once(':');
    let (of, name) = parts.map_or((None, name), |(of, name)| (Some(of), name));
    let named = |target: &Target<'_>| of.is_none_or(|of| target.is_called(of));
    let asks = |target: &Target<'_>| target.asks().any(|asked| asked.name == name);
    let mut asking = targets
        .iter()
        .enumerate()
        .filter(|(_, one)| named(one) && asks(one));
    match (asking.next(), asking.next()) {
        (Some((place, _)), None) => Ok((place, name)),
        (Some((_, first)), Some((_, second))) => {
            let message = format!(
                "`{name}` is asked for by `{}` and by `{}`",
                first.task.id, second.task.id
            );
            let help = format!(
                "say whose it is: `--{option} {}:{name}=…`",
                first.task.number
            );
            Err(Problem::error(Code::BadEvidence, message).help(help))
        }
        (None, _) => Err(not_asked(targets, name)),
    }
}

/// The task and the name that a photograph is for: the one that asks for one, when no name is given.
fn photographed<'n>(
    targets: &[Target<'n>],
    name: Option<&'n str>,
) -> Result<(usize, Option<&'n str>), Problem> {
    if let Some(name) = name {
        return asking(targets, name, "photo").map(|(place, name)| (place, Some(name)));
    }
    let wanted = targets.iter().enumerate().flat_map(|(place, target)| {
        let wanted = target.asks().filter(|asked| asked.kind == "photo");
        wanted.map(move |asked| (place, asked.name.as_str()))
    });
    let wanted: Vec<(usize, &str)> = wanted.collect();
    match (wanted.as_slice(), targets) {
        ([(place, name)], _) => Ok((*place, Some(name))),
        (_, [_]) => Ok((0, None)),
        _ => {
            let message = "it is not said which task the photograph is for";
            let help = "write `--photo NUMBER:NAME=FILE`, or sign one task at a time";
            Err(Problem::error(Code::BadEvidence, message).help(help))
        }
    }
}

fn not_asked(targets: &[Target<'_>], name: &str) -> Problem {
    let known = targets.iter().flat_map(Target::asks);
    let known: Vec<&str> = known.map(|one| one.name.as_str()).collect();
    let message = format!("nothing called `{}` is written down here", quoted(name));
    let help = if known.is_empty() {
        "this task asks for no value; a remark goes into `--note`".to_owned()
    } else {
        unknown_help(name, known.into_iter())
    };
    Problem::error(Code::BadEvidence, message).help(help)
}

/// The values of the entry for one task; fails with the first reason why they cannot be signed so.
pub(super) fn values(
    status: &Status<'_>,
    (standing, rows): (&Standing<'_>, &[String]),
    (wish, given): (&Wish, &Given),
    zone: &Zone,
) -> Result<BTreeMap<String, Entered>, Problem> {
    let task = standing.task;
    let mut values = ticked((standing, rows), wish);
    // What is given for the entry need not be given once more as the value.
    let odometer = wish.odometer.as_ref();
    let odometer = odometer.filter(|_| matches!(wish.act, Act::Done | Act::Corrected));
    for (_, asked) in task.asks() {
        let own = odometer.filter(|_| asked.name == odometer::VALUE);
        if let Some(text) = given.typed.get(&asked.name).or(own) {
            not_worked_out(task, asked)?;
            let value = value::read(asked, text)?;
            when::written(asked, &value, (wish.now, zone))?;
            values.insert(asked.name.clone(), value);
        }
        if let Some(photo) = given.photos.get(&asked.name) {
            photo_wanted(asked)?;
            values.insert(asked.name.clone(), Entered::Photo(photo.clone()));
        }
    }
    name_wrenches(task, wish, &mut values);
    torque_has_wrench(standing, wish, &values)?;
    work_out(status, standing, &mut values);
    if wish.act == Act::Measured && values.is_empty() {
        let message = format!("nothing measured is given for `{}`", task.id);
        let help = "add `--value name=…` for what was measured";
        return Err(Problem::error(Code::EvidenceMissing, message).help(help));
    }
    if wish.act == Act::Checked {
        all_right((standing, rows), &values)?;
    }
    Ok(values)
}

/// The answers of ticking: to what nobody has answered yet, so that a no stands until it is answered by its name.
fn ticked((standing, rows): (&Standing<'_>, &[String]), wish: &Wish) -> BTreeMap<String, Entered> {
    let again = standing.begins_again(wish.act);
    let asks = standing.task.asks().filter(|(row, asked)| {
        let own = rows.is_empty() || rows.contains(&row.id);
        let open = again || !standing.values.contains_key(asked.name.as_str());
        wish.ticks && asked.kind == "yes" && own && open
    });
    asks.map(|(_, asked)| (asked.name.clone(), Entered::Yes(true)))
        .sorted_map()
}

fn photo_wanted(asked: &Asked) -> Result<(), Problem> {
    if asked.kind == "photo" {
        return Ok(());
    }
    let message = format!("`{}` is no photograph", asked.name);
    let help = format!("give it with `--value {}=…`", asked.name);
    Err(Problem::error(Code::BadEvidence, message).help(help))
}

fn not_worked_out(task: &SignedTask, asked: &Asked) -> Result<(), Problem> {
    if !square::worked_out(task).contains(&asked.name.as_str()) {
        return Ok(());
    }
    let message = format!(
        "`{}` is worked out from the gaps before and after",
        asked.name
    );
    Err(Problem::error(Code::BadEvidence, message).help("give the gaps and leave it out"))
}

/// Writes the wrench beside every torque that is given, where the task asks for it there.
fn name_wrenches(task: &SignedTask, wish: &Wish, values: &mut BTreeMap<String, Entered>) {
    let Some(wrench) = &wish.wrench else { return };
    for (_, asked) in task.asks().filter(|(_, one)| is_torque(one)) {
        for name in [wrench_name(asked), "wrench".to_owned()] {
            let mut others = task.asks();
            let wanted = others.any(|(_, one)| one.name == name && one.kind == "text");
            if wanted && values.contains_key(&asked.name) {
                let named = || Entered::Text(wrench.clone());
                values.entry(name).or_insert_with(named);
            }
        }
    }
}

pub(crate) fn is_torque(asked: &Asked) -> bool {
    asked.unit == Some(Unit::NewtonMetre)
}

/// What a torque's wrench is written down as: `torque.C1L` has `wrench.C1L`.
fn wrench_name(torque: &Asked) -> String {
    match torque.name.split_once('.') {
        Some((_, mount)) => format!("wrench.{mount}"),
        None => "wrench".to_owned(),
    }
}

/// Refuses a torque without the wrench that it was read on.
fn torque_has_wrench(
    standing: &Standing<'_>,
    wish: &Wish,
    values: &BTreeMap<String, Entered>,
) -> Result<(), Problem> {
    for (_, asked) in standing.task.asks().filter(|(_, one)| is_torque(one)) {
        let wrench = wrench_name(asked);
        let named = wish.wrench.is_some()
            || values.contains_key(&wrench)
            || values.contains_key("wrench")
            || standing.values.contains_key(wrench.as_str());
        // Where the mark is in line instead, nothing was read.
        let read = matches!(values.get(&asked.name), Some(Entered::Number(_)));
        if read && !named {
            let message = format!(
                "`{}` is a torque, and no wrench is named for it",
                asked.name
            );
            let help = "add `--wrench` with the torque wrench's number";
            return Err(Problem::error(Code::WrenchMissing, message).help(help));
        }
    }
    Ok(())
}

/// Adds how high and how square the body sits, as far as the gaps are there.
fn work_out(status: &Status<'_>, standing: &Standing<'_>, values: &mut BTreeMap<String, Entered>) {
    if !values.keys().any(|name| name.starts_with("gap_after.")) {
        return;
    }
    let before = square::gaps_before(&status.tasks);
    let given = &*values;
    let after = |name: &str| {
        let standing = standing.values.get(name).map(|(value, _)| value);
        given.get(name).or(standing)
    };
    let found = square::found(standing.task, status.agreed, &before, after);
    let found = found
        .into_iter()
        .map(|(name, value)| (name.to_owned(), value));
    values.extend(found.collect::<Vec<_>>());
}

/// Refuses to sign rows off while a value is missing or not as it must be.
fn all_right(
    (standing, rows): (&Standing<'_>, &[String]),
    values: &BTreeMap<String, Entered>,
) -> Result<(), Problem> {
    let task = standing.task;
    let own = |row: &Row| rows.is_empty() || rows.contains(&row.id);
    for (_, asked) in task.asks().filter(|(row, _)| own(row)) {
        let standing = standing.values.get(asked.name.as_str());
        let value = values.get(&asked.name).or(standing.map(|(value, _)| value));
        let Some(value) = value else {
            return Err(missing(task, asked));
        };
        if !value.is_right(asked) {
            let message = format!(
                "`{}` of `{}` is {}",
                asked.name,
                task.id,
                outside(asked, value)
            );
            let help = "put the work right and measure again; a supervisor refuses work with `--act rejected`";
            return Err(Problem::error(Code::OutsideLimits, message).help(help));
        }
    }
    Ok(())
}

fn missing(task: &SignedTask, asked: &Asked) -> Problem {
    let ask = asked.ask.print(Units::Metric);
    let message = format!(
        "`{}` is not written down for `{}`: {ask}",
        asked.name, task.id
    );
    let help = if square::worked_out(task).contains(&asked.name.as_str()) {
        "it is worked out as soon as the gaps before and after are written down".to_owned()
    } else if asked.kind == "photo" {
        format!("add `--photo {}=FILE`", asked.name)
    } else {
        format!("add `--value {}=…`", asked.name)
    };
    Problem::error(Code::EvidenceMissing, message).help(help)
}

/// A value that is not as it must be, and what is needed: `24 mm, and at least 25 mm is needed`.
fn outside(asked: &Asked, value: &Entered) -> String {
    let mut printed = value.print(Units::Metric);
    if let Entered::Number(number) = value
        && needed(asked).contains(&printed)
    {
        // So near a limit that both print alike.
        printed = format!("{} {}", (number.value * 1e4).round() / 1e4, number.unit);
    }
    format!("{}, and {} is needed", quoted(&printed), needed(asked))
}

/// What is said at once to whoever stands beside the vehicle: values of the entries that cannot be signed off so, what is still to be
/// written down, and that nobody is left who may check it.
pub fn remarks(footing: &Footing, status: &Status<'_>, entries: &[Arc<Entry>]) -> Vec<String> {
    let mut said = Vec::new();
    for entry in entries {
        let Some(standing) = status.get(&entry.task) else {
            continue;
        };
        for (asked, value) in standing.wrong() {
            if entry.values.contains_key(&asked.name) || entry.act == Act::Done {
                said.push(format!(
                    "`{}` of `{}` is {}; it cannot be signed off so",
                    asked.name,
                    entry.task,
                    outside(asked, value)
                ));
            }
        }
        let missing = standing.task.asks().filter(|(row, asked)| {
            entry.names(&row.id) && !standing.values.contains_key(asked.name.as_str())
        });
        let missing: Vec<String> = missing
            .map(|(_, asked)| {
                format!(
                    "{} ({})",
                    asked.name,
                    quoted(&asked.ask.print(Units::Metric))
                )
            })
            .collect();
        if entry.act == Act::Done && !missing.is_empty() {
            said.push(format!(
                "still to be written down for `{}`: {}",
                entry.task,
                missing.join("; ")
            ));
        }
        let may = |(id, who): (&String, &Who)| {
            permit::role((id, who), Act::Checked, (standing, &[])).is_ok()
        };
        let works = matches!(entry.act, Act::Done | Act::Corrected);
        if works && standing.task.sign != Sign::Tick && !footing.people.iter().any(may) {
            said.push(format!(
                "nobody of the people of this job may check `{}` now, since no supervisor is left who did nothing of it; another one is needed",
                entry.task
            ));
        }
    }
    said
}

/// The limits in words, as the sheet prints them.
fn needed(asked: &Asked) -> String {
    let limits = quantity::limits(asked.unit, (asked.least, asked.most), Units::Metric);
    limits.unwrap_or_else(|| "a yes".to_owned())
}
