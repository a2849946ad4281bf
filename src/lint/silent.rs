//! Silence: wherever a link may stand, some check of its class applies, or could once something was measured.
//!
//! Judges the class at many points. Where none of its checks applies and nothing that is still open could change that, no job that comes
//! there can be judged, for a link is never left alone because nobody wrote down what to look at.

use std::collections::BTreeSet;

use super::Notes;
use super::point::{Space, raised};
use super::subject::{self, Subject};
use crate::assess::{Trial, Tried, TriedCheck};
use crate::report::{Code, Path};
use crate::rules::expression::Expr;
use crate::rules::{Class, Rules};

/// Points that are mixed; of those that are alike in all by which a check applies one is tried at each height.
const POINTS: u64 = 24;

pub(super) fn class(
    (rules, class): (&Rules, &Class),
    checks: &[&Subject<'_>],
    demanded: &BTreeSet<String>,
    notes: &mut Notes<'_>,
) {
    let applies = checks.iter().map(|check| check.applies);
    let applies: Option<Vec<&Expr>> = applies.collect();
    let Some(applies) = applies.filter(|applies| !applies.is_empty()) else {
        return;
    };
    let names = subject::behind(applies.iter().copied(), checks, class);
    let space = Space::new((rules, class), checks, &names, demanded);
    let mut mixes = Vec::new();
    for mix in (0..POINTS).map(|number| space.mixed_at(0.0, number)) {
        if !mixes.contains(&mix) {
            mixes.push(mix);
        }
    }
    let all = TriedCheck::all(class);
    let heights = space.heights(applies);
    let points = || {
        heights
            .iter()
            .flat_map(|height| mixes.iter().map(move |mix| (height, mix)))
    };
    let trial = |(height, mix): (&f64, &Vec<_>)| space.trial(&raised(mix, *height)).0;
    let made = |trial: &Trial| {
        let mut checks = trial.checks(&all);
        checks.any(|(_, tried)| !matches!(tried, Tried::Elsewhere))
    };
    let silent = points().find(|point| {
        let trial = trial(*point);
        !made(&trial) && !trial.could_apply(class)
    });
    let Some((height, _)) = silent else {
        return;
    };
    let message = if points().any(|point| made(&trial(point))) {
        format!(
            "no check applies at some values, such as at a rise of {height} mm, whatever else is measured"
        )
    } else {
        "no check of this class can ever apply, so nothing could be said of a link".to_owned()
    };
    notes.error(
        Code::BadVerdicts,
        &Path::root().key("checks"),
        message,
        "let one check say what holds there: leave its `applies` out, or let the conditions cover every case between them",
    );
}
