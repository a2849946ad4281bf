//! The entry of this stage: a source and a type → the value without its broken entries, and every problem.
//!
//! serde stops at the first mistake. So the mistake is reported, its node is left out of the tree, and reading starts
//! again, until it succeeds or nothing is left to leave out. A missing field is first stood in for, so that the others
//! that are missing come to light; then its item is left out. What only follows from an entry that is already reported
//! is left out without a word. A text without mistakes is read once.

use std::collections::BTreeSet;

use serde::de::DeserializeOwned;
use serde_json::Value;

use super::build::{Built, build};
use super::locator::{Id, Key, Kind, Locator, ROOT, Scalar, Span};
use super::mistake::{Mistake, What};
use super::{Source, de, scalar, text, wording};
use crate::report::{Code, Path, PathStep, Place, Problem, Report};

/// Problems of one file after which reading stops.
const MOST_PROBLEMS: usize = 100;

/// A value and what was left out of it.
#[derive(Debug)]
pub struct Read<T> {
    /// The value without the entries that could not be read.
    pub value: T,
    /// The paths of what was left out, as they are in the text.
    pub dropped: BTreeSet<Path>,
}

impl<T> Read<T> {
    /// A value of which nothing was left out.
    pub(crate) fn whole(value: T) -> Self {
        Self {
            value,
            dropped: BTreeSet::new(),
        }
    }

    /// The path in the text of what stands at a path in the value.
    pub(crate) fn path(&self, in_value: &Path) -> Path {
        if self.dropped.is_empty() {
            return in_value.clone();
        }
        let mut path = Path::root();
        for step in in_value.steps() {
            path = match step {
                PathStep::Index(index) => path.index(self.original_index(&path, *index)),
                PathStep::Key(_) => path.step(step.clone()),
            };
        }
        path
    }

    /// The index in the text of an item of the value's list; the list's path is the one in the text.
    pub fn original_index(&self, list: &Path, index: usize) -> usize {
        let below = self.at_or_below(list).map(Path::steps);
        let gaps = below.filter_map(|steps| match steps.get(list.steps().len()..)? {
            [PathStep::Index(gap)] => Some(*gap),
            _ => None,
        });
        gaps.fold(index, |original, gap| {
            original + usize::from(gap <= original)
        })
    }

    /// Whether something at or below a path of the text was left out.
    pub(crate) fn is_broken(&self, path: &Path) -> bool {
        self.at_or_below(path).next().is_some()
    }

    fn at_or_below(&self, path: &Path) -> impl Iterator<Item = &Path> {
        let from = Path::from_steps(path.steps().to_vec());
        let from = self.dropped.range(from..);
        from.take_while(|dropped| path.contains(dropped))
    }
}

/// Reads a source into a type. Every problem goes into the report; nothing is given if the text is not YAML, or if what
/// is left after leaving out the broken entries is not enough for the type.
///
/// ```
/// use liftsheet::report::{Path, Report};
/// use liftsheet::source::{Source, read};
/// let source = Source::from_text("list.yaml", "[1, two, 3]");
/// let mut report = Report::new();
/// let read = read::<Vec<u32>>(&source, &mut report).unwrap();
/// assert_eq!(read.value, [1, 3]);
/// assert_eq!(report.problems[0].message, "`[1]` is the text `two`, expected a whole number that is not negative");
/// assert!(read.dropped.contains(&Path::root().index(1)));
/// assert_eq!(read.original_index(&Path::root(), 1), 2);
/// ```
pub fn read<T: DeserializeOwned>(source: &Source, report: &mut Report) -> Option<Read<T>> {
    let Built {
        locator,
        flaws,
        whole,
    } = build(source.text());
    let file = source.name();
    report.extend(
        flaws
            .into_iter()
            .map(|flaw| wording::flaw(flaw, &locator, file)),
    );
    if !whole {
        return None;
    }
    if holds_nothing(&locator) {
        report.push(text::empty(file));
        return None;
    }
    Attempts::new(locator, file, report).run()
}

/// Reads values that were laid together from several texts into a type, as [`read()`] does a text; its problems are at the paths of the
/// values, in `file`.
pub(crate) fn read_values<T: DeserializeOwned>(
    values: &Value,
    file: &str,
    report: &mut Report,
) -> Option<T> {
    let mut locator = Locator::default();
    add(&mut locator, values, (ROOT, 0), None);
    let read = Attempts::new(locator, file, report).run();
    read.map(|read| read.value)
}

/// Adds values that stand in no text of their own, without bytes. How deep they are nested was looked at when they were read from their texts.
fn add(locator: &mut Locator, value: &Value, place: (Id, u32), key: Option<&String>) {
    let key = key.map(|key| Key {
        scalar: Scalar::new(key.clone(), true),
        span: Span::default(),
    });
    let kind = match value {
        Value::Array(_) => Kind::List,
        Value::Object(_) => Kind::Map,
        Value::String(text) => Kind::Scalar(Scalar::new(text.clone(), false)),
        one => Kind::Scalar(Scalar::new(one.to_string(), true)),
    };
    let id = locator.add(kind, place, key);
    match value {
        Value::Array(items) => {
            for (slot, item) in (0..).zip(items) {
                add(locator, item, (id, slot), None);
            }
        }
        Value::Object(fields) => {
            for (slot, (key, field)) in (0..).zip(fields) {
                add(locator, field, (id, slot), Some(key));
            }
        }
        _ => {}
    }
    locator.close(id);
}

/// Only comments, or a document with nothing in it.
fn holds_nothing(locator: &Locator) -> bool {
    let Some(root) = locator.node(ROOT) else {
        return true;
    };
    matches!(&root.kind, Kind::Scalar(text) if text.plain && scalar::meaning(&text.text) == scalar::Meaning::Null)
}

struct Attempts<'a> {
    locator: Locator,
    file: &'a str,
    report: &'a mut Report,
    dropped: BTreeSet<Path>,
    /// Fields whose absence was already reported in another way.
    excused: BTreeSet<Path>,
    problems: usize,
}

impl<'a> Attempts<'a> {
    fn new(locator: Locator, file: &'a str, report: &'a mut Report) -> Self {
        Self {
            locator,
            file,
            report,
            dropped: BTreeSet::new(),
            excused: BTreeSet::new(),
            problems: 0,
        }
    }

    fn run<T: DeserializeOwned>(mut self) -> Option<Read<T>> {
        loop {
            match de::whole(&self.locator) {
                Ok(value) if self.locator.stand_ins.is_empty() => {
                    let dropped = self.dropped;
                    return Some(Read { value, dropped });
                }
                Ok(_) => self.leave_out_stand_ins()?,
                Err(_) if self.problems >= MOST_PROBLEMS => {
                    self.give_up();
                    return None;
                }
                Err(mistake) => self.take(&mistake)?,
            }
        }
    }

    /// Reports a mistake, unless it is known, and makes sure that the next attempt gets past it.
    fn take(&mut self, mistake: &Mistake) -> Option<()> {
        let id = mistake.node.unwrap_or(ROOT);
        if !self.is_known(mistake, id) {
            self.problems += 1;
            let problem = wording::mistake(mistake, id, &self.locator, self.file);
            self.report.push(problem);
        }
        match mistake.what {
            What::MissingField { field, .. } if self.locator.stand_in(id, field) => Some(()),
            _ => self.leave_out(mistake, id),
        }
    }

    /// Leaves out every item that misses a field, now that all its missing fields are known.
    fn leave_out_stand_ins(&mut self) -> Option<()> {
        for id in std::mem::take(&mut self.locator.stand_ins).into_keys() {
            self.leave_out_node(id)?;
        }
        Some(())
    }

    /// Whether a mistake only follows from something that is already reported.
    fn is_known(&self, mistake: &Mistake, id: Id) -> bool {
        match &mistake.what {
            What::MissingField { field, .. } => {
                let path = self.locator.path(id);
                [*field, "<<"].iter().any(|key| {
                    let field = path.key(*key);
                    self.dropped.contains(&field)
                        || self.excused.contains(&field)
                        || self.is_left_out(&field)
                })
            }
            What::UnknownField { .. } => false,
            _ => self.locator.has_gaps(id),
        }
    }

    fn is_left_out(&self, path: &Path) -> bool {
        let node = self.locator.find(path).and_then(|id| self.locator.node(id));
        node.is_some_and(|node| node.dropped)
    }

    /// Leaves out the node of a mistake.
    fn leave_out(&mut self, mistake: &Mistake, id: Id) -> Option<()> {
        let path = self.locator.path(id);
        if let (Some(parent), Some(field)) = (path.parent(), wording::meant(mistake)) {
            self.excused.insert(parent.key(field));
        }
        self.leave_out_node(id)
    }

    /// Leaves out a node; not possible for the whole text.
    fn leave_out_node(&mut self, id: Id) -> Option<()> {
        if id == ROOT {
            return None;
        }
        let end = self.locator.node(id).map_or(id, |node| node.end);
        self.locator
            .stand_ins
            .retain(|missing, _| !(id..end).contains(missing));
        self.locator.leave_out(id);
        self.dropped.insert(self.locator.path(id));
        Some(())
    }

    fn give_up(&mut self) {
        let message = format!(
            "reading `{}` stopped after {} problems",
            self.file, self.problems
        );
        let problem = Problem::note(Code::TooManyProblems, message);
        let help = "mend the first ones and check again";
        self.report
            .push(problem.at(Place::file(self.file)).help(help));
    }
}
