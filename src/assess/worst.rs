//! Which of the corners of a link decides: the heaviest verdict, for each check its worst run, and what is missing at any of them.
//!
//! Takes the corners one by one and keeps only what the link is told by, so that hundreds of corners of hundreds of spans need no
//! room.

use std::collections::{BTreeMap, BTreeSet};

use super::judge::{Judged, Run};
use super::needs::Need;
use super::results::Numbers;
use super::values::Address;
use crate::rules::expression::Scope;
use crate::rules::{Class, Verdict};

/// What is kept of the corners of a link.
#[derive(Debug, Default)]
pub(super) struct Corners<'r> {
    /// By check the run that decides it, and its span.
    deciding: BTreeMap<&'r str, (Run<'r>, usize)>,
    /// The runs at the stated values, with their spans.
    stated: Vec<(Run<'r>, usize)>,
    /// What is missing at any corner.
    pub(super) missing: BTreeSet<Need>,
    heaviest: Option<Verdict>,
    /// The names at the first corner.
    first: Option<Scope>,
    /// The names at the first corner that needs the release.
    released: Option<Scope>,
}

impl<'r> Corners<'r> {
    /// Adds a corner of a span; `stated` when it is that of the stated values.
    pub(super) fn add(&mut self, judged: Judged<'r>, stated: bool, span: usize) {
        self.heaviest = self.heaviest.max(Some(judged.verdict()));
        if judged.release == Some(true) && self.released.is_none() {
            self.released = Some(judged.scope.clone());
        }
        self.first.get_or_insert(judged.scope);
        self.missing.extend(judged.missing);
        for run in judged.runs {
            let kept = self.deciding.get(run.check.id.as_str());
            if kept.is_none_or(|(kept, _)| worse(&run, kept)) {
                self.deciding.insert(&run.check.id, (run.clone(), span));
            }
            if stated {
                self.stated.push((run, span));
            }
        }
    }

    /// The heaviest verdict.
    pub(super) fn verdict(&self) -> Verdict {
        self.heaviest.unwrap_or(Verdict::Leave)
    }

    /// Whether any corner needs the release.
    pub(super) fn release(&self) -> bool {
        self.released.is_some()
    }

    /// The names for the release's texts.
    pub(super) fn scope(&mut self) -> Scope {
        let scope = self.released.take().or(self.first.take());
        scope.unwrap_or_default()
    }

    /// The deciding runs in the order of their checks, and the numbers of every check at the stated values on the span that decides it.
    /// A run decides its check by the heaviest verdict over spans, corners and keys; of equals by the limit that is reached first,
    /// so that the numbers on the sheet are those of the worst corner.
    pub(super) fn decided(
        mut self,
        class: &'r Class,
        tolerances: &BTreeMap<Address, f64>,
    ) -> (Vec<Run<'r>>, Numbers) {
        let mut numbers = Numbers::default();
        let mut runs = Vec::new();
        for check in &class.checks {
            let Some((decided, span)) = self.deciding.remove(check.id.as_str()) else {
                continue;
            };
            let stated = self.stated.iter();
            let stated = stated.filter(|(run, at)| *at == span && run.check.id == check.id);
            for (run, _) in stated {
                numbers.add(run, run.key == decided.key, tolerances);
            }
            runs.push(decided);
        }
        (runs, numbers)
    }
}

/// The results of calculations that say how much is missing.
const MISSING: [&str; 4] = ["shortfall", "excess", "length_to_add", "drop_needed"];

/// Whether a run is strictly worse than another of its check.
fn worse(run: &Run<'_>, than: &Run<'_>) -> bool {
    let limit = |run: &Run<'_>| {
        let limit = run.scope.number(&run.check.id, "rise_limit");
        limit.unwrap_or(f64::INFINITY)
    };
    // Where the limit is passed from the start, more missing is worse.
    let missing = |run: &Run<'_>| {
        let numbers = MISSING
            .iter()
            .filter_map(|name| run.scope.number(&run.check.id, name));
        numbers.fold(0.0, f64::max)
    };
    let order = run.branch.verdict.cmp(&than.branch.verdict);
    let order = order.then(limit(than).total_cmp(&limit(run)));
    order.then(missing(run).total_cmp(&missing(than))).is_gt()
}
