//! Writes values into the text of a job file and leaves everything else in it as it is: comments, order, spelling.
//!
//! Takes the text and what is to be written where; gives the new text and what stood there before, or everything that is in the way, and
//! then nothing is written. Whether the job file is right with it is asked by whoever reads it next.

mod place;
mod table;
mod uncomment;
mod value;

use std::collections::BTreeSet;
use std::str::FromStr;

use serde_json::Value;
use yaml_edit::path::YamlPath as _;
use yaml_edit::{Document, Sequence};

#[cfg(feature = "serve")]
pub(crate) use self::place::get;
pub(crate) use self::place::{connection, of_reading};
pub(crate) use self::table::COLUMNS;
pub use self::table::rows;
pub(crate) use self::uncomment::{LAST_TIME, TAKE_OFF};
use self::value::Fragment;
use crate::report::{
    Code, Path, PathStep, Problem, Report, in_message, is_unsafe_to_print, unknown_help, unless,
};
use crate::source::{self, Source};

/// One thing to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToWrite {
    /// Where it goes, such as `filler-hose.overlap` or `mounts.C1L.grip`.
    pub place: String,
    /// The value, as somebody types it.
    pub value: String,
    /// The line of the table that it stands in.
    pub line: Option<u64>,
}

impl ToWrite {
    /// A value that stands in no table, with the quotes of a job file round it or without; the height of the blocks is called by its own
    /// name alone.
    pub(crate) fn new(place: &str, value: &str) -> Self {
        let place = match place {
            "spacer" => "lift.spacer",
            place => place,
        };
        let quoted = value.strip_prefix('"');
        let within = quoted.and_then(|rest| rest.strip_suffix('"'));
        Self {
            place: place.to_owned(),
            value: within.unwrap_or(value).to_owned(),
            line: None,
        }
    }

    /// Where it is asked for, in words: the line of its table, and its place.
    pub(crate) fn named(&self) -> String {
        let place = in_message(&self.place);
        match self.line {
            Some(line) => format!("line {line}, `{place}`"),
            None => format!("`{place}`"),
        }
    }
}

/// Everything that is asked for.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct ToFill {
    /// The values with their places.
    pub changes: Vec<ToWrite>,
    /// The connections that the vehicle does not have.
    pub without: Vec<String>,
    /// The remarks with the places that they are about.
    pub remarks: Vec<ToWrite>,
}

impl ToFill {
    /// Values alone.
    pub(crate) fn of(changes: Vec<ToWrite>) -> Self {
        Self {
            changes,
            ..Self::default()
        }
    }
}

/// A text with values filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filled {
    /// The whole text before.
    pub before: String,
    /// The whole text.
    pub text: String,
    /// For each change, what stood in its place before; none where nothing did.
    pub was: Vec<Option<String>>,
    /// For each change, its place in the new text.
    pub paths: Vec<Path>,
    /// For each change, its place as the survey names it, and what stands there now.
    pub said: Vec<(String, String)>,
}

/// One change, with everything known of it.
struct Located<'c> {
    change: &'c ToWrite,
    /// Where something is written: at its place, or around it where a stretch is added with it.
    path: Vec<PathStep>,
    /// What is written there.
    fragment: Fragment,
    /// Its place.
    leaf: Vec<PathStep>,
}

/// Writes values into a job file's text. `consequences` are the ids that may stand under `consequences` without being there yet.
///
/// # Errors
///
/// Every change that has no place, or a value that cannot stand there; a text that is no YAML map.
pub fn fill(
    text: &str,
    changes: &[ToWrite],
    consequences: &BTreeSet<String>,
) -> Result<Filled, Vec<Problem>> {
    let before = read(text).map_err(|problem| vec![problem])?;
    // Each is looked for in what those before it leave: two readings on a stretch that is not there yet stand on one.
    let mut expected = before.clone();
    let (mut located, mut problems) = (Vec::new(), Vec::new());
    let mut seen: BTreeSet<Vec<PathStep>> = BTreeSet::new();
    for change in changes {
        match locate(&expected, change, consequences) {
            Ok(one) if !seen.insert(one.leaf.clone()) => problems.push(twice(change)),
            Ok(one) => {
                place::put(&mut expected, &one.path, one.fragment.value.clone());
                located.push(one);
            }
            Err(problem) => problems.push(problem),
        }
    }
    unless(problems, ())?;
    let filled = written(text, &before, &located).map_err(|problem| vec![problem])?;
    agrees(&filled, &expected).map_err(|problem| vec![problem])?;
    let was = located
        .iter()
        .map(|one| place::get(&before, &one.path).and_then(value::printed));
    let said = located.iter().map(|one| {
        let now = place::get(&expected, &one.leaf).and_then(value::printed);
        (place::named(&expected, &one.leaf), now.unwrap_or_default())
    });
    Ok(Filled {
        before: text.to_owned(),
        text: filled,
        was: was.collect(),
        said: said.collect(),
        paths: located
            .into_iter()
            .map(|one| Path::from_steps(one.leaf))
            .collect(),
    })
}

/// Takes connections and parts that bridge the cut out of a job file's text, each with the remarks that stand right above it.
///
/// # Errors
///
/// Every id that is neither.
pub fn without(text: &str, ids: &[String]) -> Result<String, Vec<Problem>> {
    let before = read(text).map_err(|problem| vec![problem])?;
    let links = before.get("links").and_then(Value::as_array);
    let known = links.into_iter().flatten();
    let known: Vec<Option<&str>> = known
        .map(|link| link.get("id").and_then(Value::as_str))
        .collect();
    let parts = before.get("parts").and_then(Value::as_object);
    let bridges = parts.into_iter().flatten();
    let bridges: Vec<&str> = bridges
        .filter(|(_, part)| part.get("class").is_some())
        .map(|(id, _)| id.as_str())
        .collect();
    let others = ids.iter().filter(|id| !known.contains(&Some(id.as_str())));
    let (parts, unknown): (Vec<&String>, Vec<&String>) =
        others.partition(|id| bridges.contains(&id.as_str()));
    let problems = unknown.into_iter().map(|id| {
        let message = format!("the job has no connection `{}`", in_message(id));
        let all = known.iter().copied().flatten().chain(bridges.clone());
        Problem::error(Code::UnknownPlace, message).help(unknown_help(id, all))
    });
    let problems: Vec<Problem> = problems.collect();
    unless(problems, ())?;
    let gone = |id: Option<&str>| id.is_some_and(|id| ids.iter().any(|gone| gone == id));
    let places = (0..).zip(&known).filter(|(_, id)| gone(**id));
    let places: Vec<usize> = places.map(|(at, _)| at).collect();
    out((text, &before), (&places, known.len()), &parts).map_err(|problem| vec![problem])
}

/// The text without some of its connections, by their places in the list, and some of its parts.
fn out(
    (text, before): (&str, &Value),
    (links, count): (&[usize], usize),
    parts: &[&String],
) -> Result<String, Problem> {
    let mut expected = before.clone();
    let all = expected.get_mut("links").and_then(Value::as_array_mut);
    if let Some(all) = all {
        let mut places = 0..;
        all.retain(|_| places.next().is_some_and(|at| !links.contains(&at)));
    }
    let all = expected.get_mut("parts").and_then(Value::as_object_mut);
    if let Some(all) = all {
        all.retain(|id, _| !parts.contains(&id));
    }
    // An empty list has to be written as one.
    let some_stay = links.len() < count || links.is_empty();
    let by_lines = some_stay.then(|| uncomment::without(text, links, parts));
    let text = match by_lines.flatten() {
        Some(text) => text,
        None => edited(text, |document| {
            let list = document.get_sequence("links");
            for place in links.iter().rev() {
                list.as_ref().and_then(|list| list.remove(*place));
            }
            if !links.is_empty() && links.len() == count {
                document.set("links", Sequence::new_flow());
            }
            let map = document.get_mapping("parts");
            for id in parts {
                map.as_ref().and_then(|map| map.remove(id.as_str()));
            }
            Ok(())
        })?,
    };
    agrees(&text, &expected)?;
    Ok(text)
}

/// Writes remarks into a job file's text, each on a line of its own above what it is about: the connection, mount or part of its place.
///
/// # Errors
///
/// Every remark that has no place, or that is no line of plain text.
pub(crate) fn remarked(
    text: &str,
    remarks: &[ToWrite],
    consequences: &BTreeSet<String>,
) -> Result<String, Vec<Problem>> {
    let before = read(text).map_err(|problem| vec![problem])?;
    let mut lines: Vec<String> = text.split('\n').map(ToOwned::to_owned).collect();
    let mut problems = Vec::new();
    for change in remarks {
        let plain: Vec<&str> = change.value.split_whitespace().collect();
        let plain = plain.join(" ");
        let name = change.place.rsplit('.').next().unwrap_or_default();
        let path = place::find(&before, &change.place, consequences).map(|(path, _)| path);
        let safe = !plain.chars().any(is_unsafe_to_print);
        let written = path.is_ok_and(|path| {
            safe && uncomment::remark(&mut lines, &path, &format!("{name}: {plain}"))
        });
        if !written {
            let message = format!("{}: the remark has no place", change.named());
            let problem = Problem::error(Code::UnknownPlace, message);
            problems.push(problem.help("write it into the file by hand, behind a `# `"));
        }
    }
    unless(problems, ())?;
    let text = lines.join("\n");
    agrees(&text, &before).map_err(|problem| vec![problem])?;
    Ok(text)
}

fn read(text: &str) -> Result<Value, Problem> {
    let mut report = Report::new();
    let read = source::read::<Value>(&Source::from_text("", text), &mut report);
    match (read, report.problems.into_iter().next()) {
        (Some(read), None) if read.value.is_object() => Ok(read.value),
        (_, Some(problem)) => Err(unreadable(&problem.message)),
        _ => Err(unreadable("it holds no job")),
    }
}

/// What a piece of YAML says as the value of a key; why it cannot stand there.
fn yaml(piece: &str) -> Result<Value, String> {
    let holder = read(&format!("v: {piece}\n")).map_err(|problem| problem.message)?;
    let only = holder.as_object().is_some_and(|map| map.len() == 1);
    match holder.get("v") {
        Some(value) if only => Ok(value.clone()),
        _ => Err("it would be several values".to_owned()),
    }
}

fn unreadable(why: &str) -> Problem {
    let message = format!("nothing can be written into a file that cannot be read: {why}");
    Problem::error(Code::BadYaml, message).help("`liftsheet check` names what is wrong with it")
}

fn locate<'c>(
    job: &Value,
    change: &'c ToWrite,
    consequences: &BTreeSet<String>,
) -> Result<Located<'c>, Problem> {
    let found = place::find(job, &change.place, consequences);
    let (path, wrapped) = found.map_err(|why| {
        Problem::error(Code::UnknownPlace, why).help(
            "write `CONNECTION.NAME`, `mounts.MOUNT.NAME`, `parts.PART.NAME` or `vehicle.NAME`; `liftsheet survey` names each place",
        )
    })?;
    let fragment = value::fragment(change, place::is_text(&path))?;
    let (fragment, leaf) = match wrapped {
        None => (fragment, path.clone()),
        Some(around) => (value::within(&around, &fragment)?, around.leaf(&path)),
    };
    if place::get(job, &path).is_some_and(|old| old.is_object() && !fragment.value.is_object()) {
        let message = format!(
            "`{}` holds several values, and not one",
            in_message(&change.place)
        );
        return Err(Problem::error(Code::UnknownPlace, message).help("name one of them"));
    }
    Ok(Located {
        change,
        path,
        fragment,
        leaf,
    })
}

/// The problem of a place that is given more than once.
fn twice(change: &ToWrite) -> Problem {
    let message = format!("{} is given twice", change.named());
    Problem::error(Code::TwoReadings, message).help("give it once")
}

/// The text with every change in it: a line that waits for its value is written out, whatever else is edited where it stands.
fn written(text: &str, before: &Value, located: &[Located<'_>]) -> Result<String, Problem> {
    let mut lines: Vec<String> = text.split('\n').map(ToOwned::to_owned).collect();
    let mut rest = Vec::new();
    for one in located {
        let empty = place::get(before, &one.path).is_none_or(Value::is_null);
        if !(empty && uncomment::write(&mut lines, &one.path, &one.fragment.text)) {
            rest.push(one);
        }
    }
    let text = lines.join("\n");
    if rest.is_empty() {
        return Ok(text);
    }
    edited(&text, |document| {
        for one in rest {
            set(document, one)?;
        }
        Ok(())
    })
}

fn set(document: &Document, one: &Located<'_>) -> Result<(), Problem> {
    let holder = Document::from_str(&format!("v: {}\n", one.fragment.text));
    let node = holder.ok().and_then(|holder| holder.get("v"));
    let Some(node) = node else {
        return Err(defect(one.change));
    };
    if let Some((list, at)) = place::appended(&one.path) {
        let list = document.try_get_path(&list).ok();
        if let Some(list) = list.as_ref().and_then(|node| node.as_sequence())
            && list.len() == at
        {
            list.push(node);
            return Ok(());
        }
    }
    let done = document.try_set_path(&place::dotted(&one.path), node);
    done.map_err(|_| defect(one.change))?;
    Ok(())
}

fn edited(
    text: &str,
    edit: impl FnOnce(&Document) -> Result<(), Problem>,
) -> Result<String, Problem> {
    let document = Document::from_str(text).map_err(|error| unreadable(&error.to_string()))?;
    edit(&document)?;
    Ok(document.to_string())
}

/// Reads the text again: it must say what it said, and the changes.
fn agrees(text: &str, expected: &Value) -> Result<(), Problem> {
    match read(text) {
        Ok(after) if after == *expected => Ok(()),
        _ => {
            let message = "the file would read otherwise at other places, too; nothing was written";
            Err(not_filled(message.to_owned()))
        }
    }
}

fn defect(change: &ToWrite) -> Problem {
    let place = in_message(&change.place);
    not_filled(format!("`{place}` cannot be written where it belongs"))
}

fn not_filled(message: String) -> Problem {
    Problem::error(Code::NotFilled, message)
        .help("write the value into the file by hand, and see how it is written around it")
}
