//! Every expression and text of a rule, each with its place in the file and where it stands.
//!
//! Takes a class or a procedure task; gives its [`RuleText`]s in the order of the file. What a piece may name is left to
//! [`super::declared`].

use std::collections::BTreeSet;

use crate::report::Path;
use crate::rules::expression::{Expr, ExpressionError, Node, Template};
use crate::rules::{Answer, Size, Stage, written};
use crate::rules::{Branch, Check, Class, Limit, Measurement, ProcedureTask, Release};

/// What a piece is for, and so what it must give.
#[derive(Debug)]
pub(super) enum Use<'a> {
    /// A condition: yes or no.
    Condition(&'a Expr),
    /// An input of a calculation: a number, yes or no, a word, a place.
    Input(&'a Expr),
    /// What a local limit compares: a number.
    Number(&'a Expr),
    /// A limit of what is written down: a number.
    Limit(Expr),
    /// A text, taken apart.
    Text(&'a str, Result<Template, ExpressionError>),
}

impl<'a> Use<'a> {
    fn limit(text: &str) -> Self {
        Self::Limit(Expr::trusted(text))
    }

    fn text(text: &'a str) -> Self {
        Self::Text(text, Template::parse(text))
    }

    /// The names that it uses; fails where it cannot be read.
    pub(super) fn names(&self) -> Result<&BTreeSet<String>, ExpressionError> {
        match self {
            Self::Text(_, template) => template.as_ref().map(Template::names).map_err(Clone::clone),
            Self::Condition(of) | Self::Input(of) | Self::Number(of) => of.checked_names(),
            Self::Limit(of) => of.checked_names(),
        }
    }

    /// What it is evaluated by, where it can be read; of a text, each piece in braces, and whether it is printed.
    pub(super) fn nodes(&self) -> Vec<(bool, &Node)> {
        let expression = match self {
            Self::Text(_, template) => return template.iter().flat_map(Template::nodes).collect(),
            Self::Condition(of) | Self::Input(of) | Self::Number(of) => of,
            Self::Limit(of) => of,
        };
        expression
            .node()
            .map(|node| (false, node))
            .into_iter()
            .collect()
    }
}

/// Where a piece of a class stands, and so which names it may use.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Stand<'a> {
    /// The results of this many checks, the first ones, may be used.
    pub(super) results: usize,
    /// The list for whose keys the check is made.
    pub(super) each: Option<&'a str>,
}

#[derive(Debug)]
pub(super) struct RuleText<'a> {
    pub(super) path: Path,
    pub(super) what: Use<'a>,
    pub(super) stand: Stand<'a>,
}

pub(super) fn of_class(class: &Class) -> Vec<RuleText<'_>> {
    let mut list = List::default();
    list.stand.results = class.checks.len();
    let root = Path::root();
    for (name, measurement) in &class.measurements {
        list.measurement(measurement, &root.key("measurements").key(name.as_str()));
    }
    for (number, check) in class.checks.iter().enumerate() {
        list.check(number, check);
    }
    list.stand.each = None;
    if let Some(release) = &class.release {
        list.release(release);
    }
    list.pieces
}

pub(super) fn of_procedure_task(task: &ProcedureTask) -> Vec<RuleText<'_>> {
    let mut list = List::default();
    let at = &task.place.path;
    if let Some(when) = &task.when {
        list.add(at.key("when"), Use::Condition(when));
    }
    list.task(&task.task, &at.key("task"));
    list.pieces
}

/// The condition by which a consequence is looked at.
pub(super) fn only_when(class: &Class) -> Option<RuleText<'_>> {
    Some(RuleText {
        path: Path::root().key("only_when"),
        what: Use::Condition(class.only_when.as_ref()?),
        stand: Stand::default(),
    })
}

/// The pieces of a local limit.
pub(super) fn of_limit(limit: &Limit) -> Vec<RuleText<'_>> {
    let mut list = List::default();
    let at = &limit.place.path;
    if let Some(applies) = &limit.applies {
        list.add(at.key("applies"), Use::Condition(applies));
    }
    list.add(at.key("value"), Use::Number(&limit.value));
    list.add(at.key("most"), Use::Number(&limit.most));
    list.add(at.key("because"), Use::text(&limit.because));
    list.pieces
}

/// Every task of a class with its place and stage.
pub(super) fn staged(class: &Class) -> Vec<(&written::Task, Path, Stage)> {
    let branches = class.checks.iter().flat_map(|check| &check.branches);
    let mut all: Vec<_> = branches.flat_map(staged_of_branch).collect();
    if let Some(release) = &class.release {
        let at = Path::root().key("release");
        all.push((&release.task, at.key("task"), Stage::Release));
        let refit = release.refit.iter();
        all.extend(refit.map(|task| (task, at.key("refit"), Stage::Refit)));
    }
    all
}

/// Every task of a branch with its place and stage.
fn staged_of_branch(branch: &Branch) -> impl Iterator<Item = (&written::Task, Path, Stage)> {
    let at = &branch.path;
    let work = branch.task.iter().map(|task| {
        let stage = if task.raised {
            Stage::Space
        } else {
            Stage::Correct
        };
        (task, at.key("task"), stage)
    });
    let also = branch
        .also
        .iter()
        .enumerate()
        .map(|(index, (_, stage, task))| (task, at.key("also").index(index).key("task"), *stage));
    let check = branch.check.iter();
    let check = check.map(|task| (task, at.key("check"), Stage::Check));
    work.chain(also).chain(check)
}

#[derive(Default)]
struct List<'a> {
    stand: Stand<'a>,
    pieces: Vec<RuleText<'a>>,
}

impl<'a> List<'a> {
    fn add(&mut self, path: Path, what: Use<'a>) {
        let stand = self.stand;
        self.pieces.push(RuleText { path, what, stand });
    }

    fn texts(&mut self, texts: &'a [String], path: &Path) {
        for (index, text) in texts.iter().enumerate() {
            self.add(path.index(index), Use::text(text));
        }
    }

    fn measurement(&mut self, measurement: &'a Measurement, path: &Path) {
        if let Some(when) = &measurement.ask_when {
            self.add(path.key("ask_when"), Use::Condition(when));
        }
        if let Answer::Each { fields, .. } = &measurement.kind {
            for (name, field) in fields {
                self.measurement(field, &path.key("fields").key(name.as_str()));
            }
        }
    }

    fn check(&mut self, number: usize, check: &'a Check) {
        self.stand = Stand {
            results: number,
            each: None,
        };
        if let Some(applies) = &check.applies {
            self.add(check.path.key("applies"), Use::Condition(applies));
        }
        self.stand.each = check.each.as_deref();
        for (input, expression) in &check.with {
            let path = check.path.key("with").key(&**input);
            self.add(path, Use::Input(expression));
        }
        self.stand.results = number + 1;
        for branch in &check.branches {
            if let Some(when) = &branch.when {
                self.add(branch.path.key("when"), Use::Condition(when));
            }
            self.branch(branch);
        }
    }

    fn branch(&mut self, branch: &'a Branch) {
        self.add(branch.path.key("because"), Use::text(&branch.because));
        if let Some(told) = &branch.told {
            self.add(branch.path.key("told"), Use::text(told));
        }
        for (task, path, _) in staged_of_branch(branch) {
            self.task(task, &path);
        }
    }

    fn release(&mut self, release: &'a Release) {
        let at = Path::root().key("release");
        if let Some(when) = &release.when {
            self.add(at.key("when"), Use::Condition(when));
        }
        self.task(&release.task, &at.key("task"));
        if let Some(refit) = &release.refit {
            self.task(refit, &at.key("refit"));
        }
    }

    fn task(&mut self, task: &'a written::Task, path: &Path) {
        self.add(path.key("title"), Use::text(&task.title));
        if let Some(people) = &task.people {
            self.add(path.key("people"), Use::limit(people.as_str()));
        }
        self.texts(&task.also_at, &path.key("also_at"));
        self.texts(&task.steps, &path.key("steps"));
        self.texts(&task.tools, &path.key("tools"));
        self.texts(&task.cautions, &path.key("cautions"));
        for (index, part) in task.parts.iter().enumerate() {
            let at = path.key("parts").index(index);
            self.add(at.key("what"), Use::text(&part.what));
            for (name, size) in &part.size {
                let what = if name.parse().is_ok_and(Size::is_word) {
                    Use::text(size.as_str())
                } else {
                    Use::limit(size.as_str())
                };
                self.add(at.key("size").key(name.as_str()), what);
            }
        }
        for (index, evidence) in task.evidence.iter().enumerate() {
            let at = path.key("evidence").index(index);
            self.add(at.key("ask"), Use::text(&evidence.ask));
            if let Some(how) = &evidence.how {
                self.add(at.key("how"), Use::text(how));
            }
            for (key, limit) in [("least", &evidence.least), ("most", &evidence.most)] {
                if let Some(limit) = limit {
                    self.add(at.key(key), Use::limit(limit.as_str()));
                }
            }
        }
    }
}
