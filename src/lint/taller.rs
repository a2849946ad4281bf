//! A taller lift pulls further: all else the same, the verdict on a link at a greater height is no lighter.
//!
//! Judges a class at many points, each at rising heights. Points whose body-side fixing stands below the other are left out, for those
//! first come nearer. A class whose geometry does otherwise says why in `taller_may_be_lighter`.

use super::Notes;
use super::picks::{Pick, heights, number};
use super::point::Space;
use super::sample::mixed;
use super::subject::Subject;
use crate::assess::Tried;
use crate::report::{Code, Path};
use crate::rules::{Class, SpanRole, Verdict};

/// Points that are tried.
const POINTS: u64 = 24;

pub(super) fn class(
    class: &Class,
    (checks, space): (&[&Subject<'_>], &Space<'_>),
    notes: &mut Notes<'_>,
) {
    if class.taller_may_be_lighter.is_some() {
        return;
    }
    let points = (0..POINTS).map(|point| mixed(space, point));
    let mut points = points.filter(|picks| !falls_at_first(space, picks));
    if let Some((low, heavy, high, light)) =
        points.find_map(|picks| somewhere((checks, space), &picks))
    {
        notes.error(
            Code::BadVerdicts,
            &Path::root().key("checks"),
            format!(
                "these checks give `{}` at {low} mm of rise and `{}` at {high} mm, all else the same",
                heavy.word(),
                light.word()
            ),
            "look at their comparisons: a taller lift pulls further; where geometry says otherwise, say why in `taller_may_be_lighter`",
        );
    }
}

/// Whether the fixings first come nearer: the body-side one stands below the other.
fn falls_at_first(space: &Space<'_>, picks: &[Pick]) -> bool {
    let mut all = space.dimensions.iter().zip(picks);
    all.any(|(dimension, pick)| {
        let role = dimension.measurement.and_then(|one| one.role);
        role == Some(SpanRole::Level) && number(pick).is_some_and(|level| level < 0.0)
    })
}

/// Two heights of which the taller has the lighter verdict.
fn somewhere(
    (checks, space): (&[&Subject<'_>], &Space<'_>),
    picks: &[Pick],
) -> Option<(f64, Verdict, f64, Verdict)> {
    let mut before: Option<(f64, Verdict)> = None;
    for height in heights().step_by(4) {
        let Some(verdict) = verdict((checks, space), height, picks) else {
            continue;
        };
        if let Some((low, heavy)) = before
            && verdict < heavy
        {
            return Some((low, heavy, height, verdict));
        }
        before = Some((height, verdict));
    }
    None
}

/// The heaviest verdict of all checks; none where one of them cannot be made.
fn verdict(
    (checks, space): (&[&Subject<'_>], &Space<'_>),
    height: f64,
    picks: &[Pick],
) -> Option<Verdict> {
    let (trial, _) = space.trial(height, picks);
    let mut heaviest = None;
    for subject in checks {
        match (subject.make(&trial), subject.check) {
            (Tried::Branch(number, _), Some(check)) => {
                heaviest = heaviest.max(Some(check.branches.get(number)?.verdict));
            }
            (Tried::Elsewhere, _) => {}
            _ => return None,
        }
    }
    heaviest
}
