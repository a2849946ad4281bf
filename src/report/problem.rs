//! A problem, where it is, and the list of them. Takes what the stages found; rendering is left to `render`.

use std::collections::BTreeSet;

use super::{Code, Path};
use crate::sorted::Sorted as _;

/// How bad a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(strum::IntoStaticStr)]
#[strum(serialize_all = "lowercase")]
pub enum Severity {
    /// Stops the work.
    Error,
    /// The work goes on; somebody should look.
    Warning,
    /// For information.
    Note,
}

impl Severity {
    /// The word that opens the message.
    pub fn as_str(self) -> &'static str {
        self.into()
    }
}

/// A file, as shown to the user, and a path into it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The file's name as shown to the user.
    pub file: String,
    /// Where in it.
    pub path: Path,
}

impl Place {
    /// A path into a file.
    pub fn new(file: impl Into<String>, path: Path) -> Self {
        let file = file.into();
        Self { file, path }
    }

    /// A whole file.
    pub fn file(file: impl Into<String>) -> Self {
        Self::new(file, Path::root())
    }

    /// The whole file at a path.
    pub fn at(path: &std::path::Path) -> Self {
        Self::file(path.display().to_string())
    }

    /// What stands there under a key.
    #[must_use]
    pub fn key(&self, key: &str) -> Self {
        Self::new(self.file.clone(), self.path.key(key))
    }
}

/// Something that is wrong or worth knowing.
///
/// ```
/// use liftsheet::report::{Code, Path, Place, Problem};
/// let place = Place::new("job.yaml", Path::root().key("rise"));
/// let problem = Problem::error(Code::WrongType, "`rise` takes a length")
///     .at(place)
///     .label("this is a list")
///     .help("write a length such as `40 mm`");
/// assert_eq!(problem.code.as_str(), "wrong-type");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Problem {
    /// How bad it is.
    pub severity: Severity,
    /// Which kind of problem.
    pub code: Code,
    /// What is wrong: a sentence in lower case, without a full stop, names in back ticks.
    pub message: String,
    /// Where, if it has a place.
    pub at: Option<Place>,
    /// Other places that matter, each with what it has to do with it.
    pub related: Vec<(Place, String)>,
    /// The text beside the caret; may be empty.
    pub label: String,
    /// The way out.
    pub help: Option<String>,
}

impl Problem {
    fn new(severity: Severity, code: Code, message: impl Into<String>) -> Self {
        Self {
            severity,
            code,
            message: message.into(),
            at: None,
            related: Vec::new(),
            label: String::new(),
            help: None,
        }
    }

    /// A problem that stops the work.
    pub fn error(code: Code, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, message)
    }

    /// A problem that somebody should look at.
    pub fn warning(code: Code, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, code, message)
    }

    /// Something worth knowing.
    pub fn note(code: Code, message: impl Into<String>) -> Self {
        Self::new(Severity::Note, code, message)
    }

    /// The same problem, at this place.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.at = Some(place);
        self
    }

    /// The same problem, with this text beside the caret.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// The same problem, with a way out.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// The same problem, with another place that has to do with it.
    #[must_use]
    pub fn related(mut self, place: Place, text: impl Into<String>) -> Self {
        self.related.push((place, text.into()));
        self
    }
}

/// Everything that was made, or everything that is wrong.
pub(crate) fn every<T, E>(made: impl Iterator<Item = Result<T, E>>) -> Result<Vec<T>, Vec<E>> {
    let (mut good, mut wrong) = (Vec::new(), Vec::new());
    for one in made {
        match one {
            Ok(one) => good.push(one),
            Err(why) => wrong.push(why),
        }
    }
    unless(wrong, good)
}

/// What was made, unless something is wrong.
pub(crate) fn unless<T, E>(wrong: Vec<E>, made: T) -> Result<T, Vec<E>> {
    if wrong.is_empty() {
        Ok(made)
    } else {
        Err(wrong)
    }
}

/// The problems found so far, in the order they were found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Report {
    /// The problems; rendering sorts them and leaves out repetitions.
    pub problems: Vec<Problem>,
}

impl Report {
    /// No problems.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a problem.
    pub fn push(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Whether any problem stops the work.
    pub fn has_errors(&self) -> bool {
        let stops = |problem: &Problem| problem.severity == Severity::Error;
        self.problems.iter().any(stops)
    }

    /// Whether there is no problem at all.
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// How many problems there are of a severity, repetitions counted once.
    pub fn count(&self, severity: Severity) -> usize {
        let of_it = |problem: &&Problem| problem.severity == severity;
        let distinct: BTreeSet<&Problem> = self.problems.iter().filter(of_it).sorted_set();
        distinct.len()
    }
}

impl Extend<Problem> for Report {
    fn extend<I: IntoIterator<Item = Problem>>(&mut self, problems: I) {
        self.problems.extend(problems);
    }
}

/// A file, and the report that what is wrong in it goes to.
pub(crate) struct Notes<'a> {
    pub(crate) file: &'a str,
    pub(crate) report: &'a mut Report,
}

impl<'a> Notes<'a> {
    pub(crate) fn of(file: &'a str, report: &'a mut Report) -> Self {
        Self { file, report }
    }

    /// The place in the file that a path names.
    pub(crate) fn place(&self, path: &Path) -> Place {
        Place::new(self.file, path.clone())
    }

    /// Reports a problem at a path, with its way out.
    pub(crate) fn push(&mut self, problem: Problem, path: &Path, help: impl Into<String>) {
        let place = self.place(path);
        self.report.push(problem.at(place).help(help));
    }

    /// Reports what stops the work.
    pub(crate) fn error(
        &mut self,
        code: Code,
        path: &Path,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.push(Problem::error(code, message), path, help);
    }
}
