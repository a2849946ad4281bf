//! A check, or the release, as something that can be made at a point: its expressions, its branches, what they print.
//!
//! Takes a class at one point; gives which branch holds, or why none does. The judging is that of `assess`.

use std::collections::BTreeSet;

use super::rule_texts::{RuleText, Use};
use crate::assess::{Trial, Tried, TriedCheck};
use crate::calc::{CalcError, InputName};
use crate::report::Path;
use crate::rules::expression::{Expr, Slot};
use crate::rules::{Check, Class, Release};
use crate::sorted::Sorted as _;

#[derive(Debug)]
pub(super) struct Subject<'a> {
    /// The check's id, or `release`.
    pub(super) id: &'a str,
    pub(super) path: Path,
    /// The list for whose keys it is made.
    pub(super) each: Option<&'a str>,
    /// The check; none for the release.
    pub(super) check: Option<&'a Check>,
    pub(super) asked: TriedCheck<'a>,
    pub(super) applies: Option<&'a Expr>,
    with: &'a [(InputName, Expr)],
    pub(super) branches: Vec<Way<'a>>,
}

#[derive(Debug)]
pub(super) struct Way<'a> {
    pub(super) when: Option<&'a Expr>,
    pub(super) path: Path,
    pub(super) texts: Vec<&'a RuleText<'a>>,
    /// The names that those use.
    pub(super) used: BTreeSet<&'a String>,
    /// The numbers of those.
    pub(super) slots: Vec<Slot>,
}

impl<'a> Way<'a> {
    fn new(when: Option<&'a Expr>, path: &Path, pieces: &'a [RuleText<'a>]) -> Self {
        let texts = pieces
            .iter()
            .filter(|piece| !matches!(piece.what, Use::Condition(_)) && path.contains(&piece.path));
        let texts: Vec<&RuleText<'_>> = texts.collect();
        let used = texts.iter().filter_map(|piece| piece.what.names().ok());
        let used: BTreeSet<&String> = used.flatten().sorted_set();
        Self {
            when,
            path: path.clone(),
            slots: used.iter().map(|name| Slot::of(name)).collect(),
            used,
            texts,
        }
    }
}

/// The checks of a class in order, then its release. `pieces` are those of the class.
pub(super) fn all<'a>(class: &'a Class, pieces: &'a [RuleText<'a>]) -> Vec<Subject<'a>> {
    let checks = class.checks.iter();
    let checks = checks.map(|check| of_check(class, check, pieces));
    let release = class.release.iter();
    let release = release.map(|release| of_release(class, release, pieces));
    checks.chain(release).collect()
}

fn of_check<'a>(class: &'a Class, check: &'a Check, pieces: &'a [RuleText<'a>]) -> Subject<'a> {
    let branches = check.branches.iter();
    let branches = branches.map(|branch| Way::new(branch.when.as_ref(), &branch.path, pieces));
    Subject {
        id: &check.id,
        path: check.path.clone(),
        each: check.each.as_deref(),
        check: Some(check),
        asked: TriedCheck::check(class, check),
        applies: check.applies.as_ref(),
        with: &check.with,
        branches: branches.collect(),
    }
}

/// The release as a check with one branch: what it prints must be there whenever it comes apart.
fn of_release<'a>(
    class: &'a Class,
    release: &'a Release,
    pieces: &'a [RuleText<'a>],
) -> Subject<'a> {
    let path = Path::root().key("release");
    Subject {
        id: "release",
        branches: vec![Way::new(None, &path, pieces)],
        path,
        each: None,
        check: None,
        asked: TriedCheck::release(class),
        applies: release.when.as_ref(),
        with: &[],
    }
}

/// The names that the expressions of a chain and the texts of its last check use.
pub(super) fn used(chain: &[&Subject<'_>]) -> BTreeSet<String> {
    let expressions = chain.iter().flat_map(|subject| subject.expressions());
    let texts = chain.last().into_iter().flat_map(|last| &last.branches);
    let texts = texts.flat_map(|way| way.used.iter().copied());
    let names = expressions.flat_map(Expr::names).chain(texts);
    names.cloned().sorted_set()
}

/// The names that some names hang on: themselves, those behind the results that they read, and those by which anything is asked for.
pub(super) fn behind<'e>(
    names: impl IntoIterator<Item = &'e String>,
    subjects: &[&Subject<'e>],
    class: &'e Class,
) -> BTreeSet<String> {
    let mut behind = BTreeSet::new();
    let asking = class.asking().flat_map(Expr::names);
    let mut open: Vec<&String> = names.into_iter().chain(asking).collect();
    while let Some(name) = open.pop() {
        let root = name.split('.').next();
        let read = subjects.iter().filter(|subject| Some(subject.id) == root);
        if behind.insert(name.clone()) {
            open.extend(read.flat_map(|subject| subject.making().flat_map(Expr::names)));
        }
    }
    behind
}

impl<'a> Subject<'a> {
    /// What its results hang on: of one made for a list others read the heaviest key.
    fn making(&self) -> impl Iterator<Item = &'a Expr> + '_ {
        let inputs = self.with.iter().map(|(_, expression)| expression);
        let conditions = self.conditions().filter(|_| self.each.is_some());
        inputs.chain(self.applies).chain(conditions)
    }

    /// The names that the texts of a branch and what leads to it use.
    pub(super) fn to_branch(&self, branch: usize) -> impl Iterator<Item = &String> {
        let inputs = self.with.iter().map(|(_, expression)| expression);
        let ways = self.branches.iter().take(branch + 1);
        let conditions = ways.filter_map(|way| way.when).chain(self.applies);
        let texts = self.branches.get(branch).into_iter();
        let texts = texts.flat_map(|way| way.used.iter().copied());
        inputs.chain(conditions).flat_map(Expr::names).chain(texts)
    }

    /// Its expressions; those of its texts are left to the caller.
    pub(super) fn expressions(&self) -> impl Iterator<Item = &'a Expr> + '_ {
        let inputs = self.with.iter().map(|(_, expression)| expression);
        inputs.chain(self.applies).chain(self.conditions())
    }

    /// The first parts of the names that it and its texts use.
    pub(super) fn roots(&self) -> BTreeSet<&str> {
        let texts = self.branches.iter();
        let texts = texts.flat_map(|way| way.used.iter().copied());
        let names = self.expressions().flat_map(Expr::names).chain(texts);
        names.filter_map(|name| name.split('.').next()).sorted_set()
    }

    pub(super) fn conditions(&self) -> impl Iterator<Item = &'a Expr> + '_ {
        self.applies
            .into_iter()
            .chain(self.branches.iter().filter_map(|way| way.when))
    }

    /// The calculation that takes the name as it is, if one does, as (calculation, input).
    pub(super) fn taker(&self, name: &str) -> Option<(&'static str, &'a str)> {
        let (input, _) = self
            .with
            .iter()
            .find(|(_, expression)| expression.text() == name)?;
        Some((self.check?.calc?.name, input))
    }

    /// Makes it at a point.
    pub(super) fn make(&self, trial: &Trial) -> Tried {
        match trial.make(&self.asked) {
            // Arithmetic that gives no finite number here refuses the point; a name that is not there is a mistake.
            Tried::Failed(error) if error.reason.contains("finite") => {
                let given = format!("`{}`", error.text);
                Tried::Refused(CalcError::new(self.id, given, "a finite number"))
            }
            tried => tried,
        }
    }

    /// Where an expression of this text stands.
    pub(super) fn place_of(&self, text: &str) -> Path {
        let is = |expression: &Expr| expression.text() == text;
        if self.applies.is_some_and(is) {
            let release = self.check.is_none();
            return self.path.key(if release { "when" } else { "applies" });
        }
        if let Some((name, _)) = self.with.iter().find(|(_, expression)| is(expression)) {
            return self.path.key("with").key(&**name);
        }
        let way = self.branches.iter().find(|way| way.when.is_some_and(is));
        way.map_or_else(|| self.path.clone(), |way| way.path.key("when"))
    }
}
