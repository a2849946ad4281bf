//! A check, or the release, as something that can be made at a point: its inputs, its branches, the checks it reads.
//!
//! Takes names at one point; gives which branch holds, or why none could be found. It does what `assess` does with a link, at
//! values that nobody measured.

use std::collections::BTreeSet;

use super::pieces::{self, Piece, Stand};
use crate::calc::{self, CalcError, Calculation, Given, Inputs};
use crate::report::Path;
use crate::rules::expression::{Expr, ExpressionError};
use crate::rules::model::{Check, Class, Release};
use crate::rules::names::{Names, result_fields};

/// What is made.
#[derive(Debug)]
pub(super) struct Subject<'a> {
    /// The check's id, or `release`.
    pub(super) id: &'a str,
    pub(super) path: Path,
    pub(super) stand: Stand<'a>,
    calc: Option<&'static Calculation>,
    applies: Option<&'a Expr>,
    with: &'a [(String, Expr)],
    /// For each branch its condition, its place, and the texts that it prints.
    pub(super) branches: Vec<Way<'a>>,
}

/// One branch.
#[derive(Debug)]
pub(super) struct Way<'a> {
    pub(super) when: Option<&'a Expr>,
    pub(super) path: Path,
    pub(super) texts: Vec<Piece<'a>>,
}

/// How it came out at one point.
#[derive(Debug, Clone)]
pub(super) enum Outcome {
    /// This branch holds.
    Branch(usize),
    /// It is not made here.
    NotApplied,
    /// No branch holds.
    NoBranch,
    /// The calculation refuses the point.
    Refused(CalcError),
    /// A check above it could not be made.
    Waits,
    /// An expression fails where it stands.
    Failed(Path, ExpressionError),
}

impl Outcome {
    /// The branch that holds, if one does.
    pub(super) fn branch(&self) -> Option<usize> {
        match self {
            Self::Branch(branch) => Some(*branch),
            _ => None,
        }
    }
}

/// The checks of a class in order, then its release.
pub(super) fn all(class: &Class) -> Vec<Subject<'_>> {
    let checks = class.checks.iter().enumerate();
    let mut all: Vec<Subject<'_>> = checks
        .map(|(number, check)| of_check(number, check))
        .collect();
    all.extend(
        class
            .release
            .as_ref()
            .map(|release| of_release(class, release)),
    );
    all
}

fn of_check(number: usize, check: &Check) -> Subject<'_> {
    let stand = Stand {
        results: number + 1,
        each: check.each.as_deref(),
    };
    let branches = check.branches.iter().map(|branch| Way {
        when: branch.when.as_ref(),
        path: branch.path.clone(),
        texts: pieces::of_branch(branch, stand),
    });
    Subject {
        id: &check.id,
        path: check.path.clone(),
        stand,
        calc: check.calc,
        applies: check.applies.as_ref(),
        with: &check.with,
        branches: branches.collect(),
    }
}

/// The release as a check with one branch: what it prints must be there whenever it comes apart.
fn of_release<'a>(class: &'a Class, release: &'a Release) -> Subject<'a> {
    let path = Path::root().key("release");
    let stand = Stand {
        results: class.checks.len(),
        each: None,
    };
    Subject {
        id: "release",
        branches: vec![Way {
            when: None,
            path: path.clone(),
            texts: pieces::of_release(release),
        }],
        path,
        stand,
        calc: None,
        applies: release.when.as_ref(),
        with: &[],
    }
}

impl<'a> Subject<'a> {
    /// Its expressions; those of its texts are left to the caller.
    pub(super) fn expressions(&self) -> impl Iterator<Item = &'a Expr> + '_ {
        let inputs = self.with.iter().map(|(_, expression)| expression);
        inputs.chain(self.applies).chain(self.conditions())
    }

    /// Its conditions.
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
        Some((self.calc?.name, input))
    }

    /// Makes it; its results are added to the names. `absent` are the measurements that are not given.
    pub(super) fn make(&self, names: &mut Names, absent: &BTreeSet<&str>) -> Outcome {
        if let Some(applies) = self.applies {
            match applies.holds(&names.judge) {
                Ok(true) => {}
                Ok(false) => return Outcome::NotApplied,
                Err(error) => return Outcome::Failed(self.applies_path(), error),
            }
        }
        if let Some(calc) = self.calc {
            let inputs = match self.inputs(names, absent) {
                Ok(inputs) => inputs,
                Err(failed) => return failed,
            };
            match calc::results(calc, &inputs) {
                Ok(results) => names.fields(self.id, &result_fields(results)),
                Err(error) => return Outcome::Refused(error),
            }
        }
        self.branch(names)
    }

    fn applies_path(&self) -> Path {
        let key = if self.id == "release" {
            "when"
        } else {
            "applies"
        };
        self.path.key(key)
    }

    fn inputs(&self, names: &Names, absent: &BTreeSet<&str>) -> Result<Inputs, Outcome> {
        let mut inputs = Inputs::new();
        for (name, expression) in self.with {
            if left_out(expression, absent) {
                continue;
            }
            match expression.input(&names.feed) {
                Ok(value) => {
                    inputs.insert(name.clone(), Given::exact(value));
                }
                // Arithmetic that gives no finite number here refuses the point; a name that is not there is a mistake.
                Err(error) if error.reason.contains("finite") => {
                    let refused =
                        CalcError::new(name, format!("`{}`", error.text), "a finite number");
                    return Err(Outcome::Refused(refused));
                }
                Err(error) => {
                    let path = self.path.key("with").key(name.as_str());
                    return Err(Outcome::Failed(path, error));
                }
            }
        }
        Ok(inputs)
    }

    fn branch(&self, names: &Names) -> Outcome {
        for (number, way) in self.branches.iter().enumerate() {
            match way.when.map(|when| when.holds(&names.judge)) {
                None | Some(Ok(true)) => return Outcome::Branch(number),
                Some(Ok(false)) => {}
                Some(Err(error)) => return Outcome::Failed(way.path.key("when"), error),
            }
        }
        Outcome::NoBranch
    }
}

/// An input whose measurement is not given is left out.
fn left_out(expression: &Expr, absent: &BTreeSet<&str>) -> bool {
    let root = |name: &String| absent.contains(name.split('.').next().unwrap_or(name));
    expression.names().iter().any(root)
}
