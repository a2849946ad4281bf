//! Silence: wherever a link may stand, some check of its class applies, or could once something was measured.
//!
//! Judges the class at many points. Where none of its checks applies and nothing that is still open could change that, no job that comes
//! there can be judged, for a link is never left alone because nobody wrote down what to look at.

use super::Notes;
use super::picks::heights;
use super::point::Space;
use crate::assess::{Asked, Trial, Tried};
use crate::report::{Code, Path};

/// Points that are tried at each height.
const POINTS: u64 = 24;

pub(super) fn class(space: &Space<'_>, notes: &mut Notes<'_>) {
    let checks = &space.class.checks;
    if checks.is_empty() || checks.iter().any(|check| check.applies.is_none()) {
        return;
    }
    let all = Asked::all(space.class);
    let points = || heights().flat_map(|height| (0..POINTS).map(move |point| (height, point)));
    let trial = |(height, point)| space.trial(&space.mixed_at(height, point)).0;
    let made = |trial: &Trial| {
        let mut checks = trial.checks(&all);
        checks.any(|(_, tried)| !matches!(tried, Tried::Elsewhere))
    };
    let silent = points().find(|point| {
        let trial = trial(*point);
        !trial.could_apply(space.class) && !made(&trial)
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
