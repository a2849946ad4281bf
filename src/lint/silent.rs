//! Silence: wherever a link may stand, some check of its class applies, or could once something was measured.
//!
//! Judges the class at many points. Where none of its checks applies and nothing that is still open could change that, no job that comes
//! there can be judged, for a link is never left alone because nobody wrote down what to look at.

use std::collections::BTreeSet;

use super::Notes;
use super::moving::Moving;
use super::picks::Pick;
use super::point::{Space, raised};
use super::subject::{self, Subject};
use crate::assess::Tried;
use crate::report::{Code, Path};
use crate::rules::Class;
use crate::rules::expression::{Expr, Scope};
use crate::sorted::each_once;

/// Points that are mixed; of those that are alike in all by which a check applies one is tried at each height.
const POINTS: u64 = 24;

pub(super) fn class(
    (settings, class): (&Scope, &Class),
    checks: &[&Subject<'_>],
    demanded: &BTreeSet<String>,
    notes: &mut Notes<'_>,
) {
    let applies = checks.iter().map(|check| check.applies);
    let applies: Option<Vec<&Expr>> = applies.collect();
    let Some(applies) = applies.filter(|applies| !applies.is_empty()) else {
        return;
    };
    let names = subject::behind(applies.iter().flat_map(|one| one.names()), checks, class);
    let space = Space::new((settings, class), checks, &names, demanded);
    let mixes = each_once((0..POINTS).map(|number| space.mixed_at(0.0, number)));
    let heights = space.heights(applies);
    let points: Vec<_> = heights
        .iter()
        .flat_map(|height| mixes.iter().map(|mix| (*height, raised(mix, *height))))
        .collect();
    let mut moving = Moving::new(&space);
    let mut made = |point: &[Pick]| {
        moving.to(point);
        let mut tried = checks.iter().map(|check| check.make(&moving.trial));
        let made = tried.any(|tried| !matches!(tried, Tried::Elsewhere));
        (made, made || moving.trial.could_apply())
    };
    let Some((height, _)) = points.iter().find(|(_, point)| !made(point).1) else {
        return;
    };
    let message = if points.iter().any(|(_, point)| made(point).0) {
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
