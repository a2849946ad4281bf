//! Reading a class that shares with others: its own file and those of `connections/like/` that it takes over → one class as written, and
//! every problem at the place that the value has in it; [`at_origins`] moves them to where it was typed.
//!
//! What is laid over what is left to [`like`]; whether the class makes sense to `check` and `lint`. Ours were laid together when the
//! program was built, and are again only where a user's shared file lies over one of them.

use serde_json::Value;

use super::like::{self, Flaw, Origin, Whole};
use super::{Files, builtin, counts, written};
use crate::embedded;
use crate::report::{Code, Path, PathStep, Place, Problem, Report, unknown_help};
use crate::source::{self, Source};

/// The folder of what classes share.
pub(crate) const SHARED: &str = "connections/like";

/// Reads one class; whether the source is one of ours stands beside it.
pub(crate) fn read(
    path: &str,
    (source, ours): &(Source, bool),
    files: &Files,
    report: &mut Report,
) -> Option<written::Class> {
    if *ours
        && !takes_own(path, files)
        && let Some(values) = embedded::values(path)
    {
        return Some(values);
    }
    let own = values(path, source, report)?;
    let whole = lay(own, (source.name(), files), like::whole, report)?;
    source::read_values(&whole.value(), source.name(), report)
}

/// Looks at one shared file by itself: that it can be read, and that what it takes over is there.
pub(crate) fn read_shared(path: &str, files: &Files, report: &mut Report) {
    if let Some((source, false)) = files.get(path)
        && let Some(own) = values(path, &source, report)
    {
        lay(own, (source.name(), files), like::part, report);
    }
}

/// Where a value of a class was typed: its own file or one that it takes over. Every other place stays as it is.
fn typed_at(place: &Place, files: &Files) -> Option<Place> {
    let path = files.path_of(&place.file)?;
    let folder = path.split_once('/')?.0;
    if !["connections", "consequences"].contains(&folder) || place.path.is_root() {
        return None;
    }
    let (source, _) = files.get(&path)?;
    let mut known = Report::new();
    let own = values(&path, &source, &mut known)?;
    let whole = lay(own, (source.name(), files), like::whole, &mut known)?;
    Some(origin(place, &whole, source.name(), files))
}

/// The same problems, those of classes at the places where their values were typed.
pub(crate) fn at_origins(report: &Report, files: &Files) -> Report {
    let mut report = report.clone();
    for problem in &mut report.problems {
        let class = problem.at.as_ref().map(|place| place.file.clone());
        let related = problem.related.iter_mut().map(|(place, _)| place);
        for place in problem.at.iter_mut().chain(related) {
            if let Some(typed) = typed_at(place, files) {
                *place = typed;
            }
        }
        if let (Some(class), Some(at)) = (class, &problem.at)
            && class != at.file
        {
            let taken = Place::new(class, Path::root().key("like"));
            problem.related.push((taken, "taken over here".to_owned()));
        }
    }
    report
}

/// Whether a class of ours takes over something that a user's file lies over.
fn takes_own(path: &str, files: &Files) -> bool {
    let mut taken = embedded::taken(path).iter();
    taken.any(|name| files.is_own(&shared_path(name)))
}

fn shared_path(name: &str) -> String {
    format!("{SHARED}/{name}.yaml")
}

/// The values of a rule file as typed; none when it cannot be read to its end, or holds too much.
fn values(path: &str, source: &Source, report: &mut Report) -> Option<Value> {
    let mut found = Report::new();
    let read = source::read::<Value>(source, &mut found);
    counts::check(path, source, &mut found);
    let broken = found.has_errors();
    report.extend(found.problems);
    read.map(|read| read.value).filter(|_| !broken)
}

/// How a file is laid together with what it takes over: [`like::whole`] or [`like::part`].
type Laying = fn(Value, &mut dyn FnMut(&str) -> Option<Value>) -> Result<Whole, Vec<like::Flaw>>;

fn lay(
    own: Value,
    (file, files): (&str, &Files),
    laying: Laying,
    report: &mut Report,
) -> Option<Whole> {
    let mut found = Report::new();
    let mut broken = false;
    let mut shared = |name: &str| {
        let path = shared_path(name);
        let (source, ours) = files.get(&path)?;
        let known = ours.then(|| embedded::values(&path)).flatten();
        known.or_else(|| {
            let values = values(&path, &source, &mut found);
            broken |= values.is_none();
            // What is broken was reported; the class is then not laid together any further.
            Some(values.unwrap_or_default())
        })
    };
    let whole = laying(own, &mut shared);
    report.extend(found.problems);
    match whole {
        Ok(whole) => Some(whole).filter(|_| !broken),
        Err(_) if broken => None,
        Err(flaws) => {
            report.extend(flaws.into_iter().map(|flaw| problem(flaw, file, files)));
            None
        }
    }
}

fn problem(flaw: Flaw, file: &str, files: &Files) -> Problem {
    // A word is missing in the class, wherever the shared file has it.
    let at = match (&flaw.at.file, flaw.help) {
        (Some(_), Some(_)) => Place::new(file, Path::root().key("like")),
        _ => place_of(&flaw.at, file, files),
    };
    let problem = Problem::error(Code::BadRule, flaw.message).at(at);
    let help = match &flaw.unknown {
        None => String::new(),
        Some((name, known)) if known.is_empty() && flaw.help.is_none() => {
            let known = files.ids(SHARED);
            unknown_help(name, known.iter().map(String::as_str))
        }
        Some((name, known)) => unknown_help(name, known.iter().map(String::as_str)),
    };
    let way = flaw.help.unwrap_or_default();
    let help = [way, help.as_str()].join(" ");
    problem.help(match help.trim() {
        "" => "mend it there; `words` are texts by name, `branches` changes by name".to_owned(),
        help => help.to_owned(),
    })
}

fn origin(at: &Place, whole: &Whole, file: &str, files: &Files) -> Place {
    let steps = at.path.steps().iter();
    let steps: Vec<like::Step> = steps
        .map(|step| match step {
            PathStep::Key(key) => like::Step::Key(key.to_string()),
            PathStep::Index(index) => like::Step::Index(*index),
        })
        .collect();
    let mut typed = place_of(whole.origin(&steps), file, files);
    if at.path.point() == crate::report::Point::Key {
        typed.path = typed.path.at_key();
    }
    typed
}

fn place_of(origin: &Origin, file: &str, files: &Files) -> Place {
    let file = match &origin.file {
        None => file.to_owned(),
        Some(name) => {
            let path = shared_path(name);
            let source = files.get(&path).map(|(source, _)| source.name().to_owned());
            source.unwrap_or_else(|| builtin::shown(&path))
        }
    };
    let steps = origin.steps.iter().map(|step| match step {
        like::Step::Key(key) => PathStep::Key(key.as_str().into()),
        like::Step::Index(index) => PathStep::Index(*index),
    });
    Place::new(file, Path::from_steps(steps.collect()))
}
