//! Silence: wherever a link may stand, some check of its class applies, or could once something was measured.
//!
//! Judges the class at many points. Where none of its checks applies and nothing that is still open could change that, no job that comes
//! there can be judged, for a link is never left alone because nobody wrote down what to look at.

use super::Notes;
use super::picks::{Pick, heights};
use super::point::Space;
use super::sample::mixed;
use super::subject::Subject;
use crate::assess::Tried;
use crate::report::{Code, Path};

/// Points that are tried at each height.
const POINTS: u64 = 24;

pub(super) fn class((checks, space): (&[&Subject<'_>], &Space<'_>), notes: &mut Notes<'_>) {
    let always = |subject: &&Subject<'_>| subject.applies.is_none();
    if checks.is_empty() || checks.iter().any(always) {
        return;
    }
    let points = (0..POINTS).map(|number| mixed(space, number));
    let points: Vec<Vec<Pick>> = points.collect();
    let places = || heights().flat_map(|height| points.iter().map(move |picks| (height, picks)));
    let mut silent =
        places().filter(|(height, picks)| none_applies((checks, space), *height, picks));
    let Some((height, _)) = silent.next() else {
        return;
    };
    let ever = places().any(|(height, picks)| any_made((checks, space), height, picks));
    let message = if ever {
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

/// Whether no check applies here, and none would if more were given.
fn none_applies(class: (&[&Subject<'_>], &Space<'_>), height: f64, picks: &[Pick]) -> bool {
    let (trial, _) = class.1.trial(height, picks);
    !trial.could_apply(class.1.class) && !any_made(class, height, picks)
}

fn any_made((checks, space): (&[&Subject<'_>], &Space<'_>), height: f64, picks: &[Pick]) -> bool {
    let (trial, _) = space.trial(height, picks);
    let made = checks.iter().map(|subject| subject.make(&trial));
    made.into_iter()
        .any(|made| !matches!(made, Tried::Elsewhere))
}
