//! A taller lift pulls further: of a check, all else the same, the verdict at a greater height is no lighter.
//!
//! Judges a check at many points, each at rising heights. Points whose body-side fixing stands below the other are left out, for those
//! first come nearer. A class whose geometry does otherwise says why in `taller_may_be_lighter`.

use super::Notes;
use super::picks::{Pick, heights, number};
use super::point::Space;
use super::sample::mixed;
use super::subject::{Outcome, Subject};
use crate::report::Code;
use crate::rules::{Check, SpanRole, Verdict};

/// Points that are tried.
const POINTS: u64 = 24;

pub(super) fn check(
    check: &Check,
    (target, space): (&Subject<'_>, &Space<'_>),
    notes: &mut Notes<'_>,
) {
    let mut lighter = None;
    for point in 0..POINTS {
        let picks = mixed(space, point);
        if !falls_at_first(space, &picks) {
            lighter = lighter.or_else(|| somewhere(check, (target, space), &picks));
        }
    }
    let path = &check.path;
    if let Some((low, heavy, high, light)) = lighter
        && space.class.taller_may_be_lighter.is_none()
    {
        notes.error(
            Code::BadVerdicts,
            path,
            format!(
                "check `{}` gives `{}` at {low} mm of rise and `{}` at {high} mm, all else the same",
                check.id,
                heavy.word(),
                light.word()
            ),
            "look at its comparisons: a taller lift pulls further; where geometry says otherwise, say why in `taller_may_be_lighter`",
        );
    }
}

/// Whether the fixings first come nearer: the body-side one stands below the other.
fn falls_at_first(space: &Space<'_>, picks: &[Pick]) -> bool {
    let mut all = space.dimensions.iter().zip(picks);
    all.any(|(dimension, pick)| {
        let role = dimension
            .measurement
            .and_then(|measurement| measurement.role);
        role == Some(SpanRole::Level) && number(pick).is_some_and(|level| level < 0.0)
    })
}

/// Two heights of which the taller has the lighter verdict.
fn somewhere(
    check: &Check,
    (target, space): (&Subject<'_>, &Space<'_>),
    picks: &[Pick],
) -> Option<(f64, Verdict, f64, Verdict)> {
    let mut before: Option<(f64, Verdict)> = None;
    for height in heights().step_by(3) {
        let (trial, _) = space.trial(height, picks);
        let Outcome::Branch(number) = target.make(space.class, &trial).0 else {
            continue;
        };
        let verdict = check.branches.get(number)?.verdict;
        if let Some((low, heavy)) = before
            && verdict < heavy
        {
            return Some((low, heavy, height, verdict));
        }
        before = Some((height, verdict));
    }
    None
}
