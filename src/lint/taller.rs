//! A taller lift pulls further: all else the same, the verdict on a link at a greater height is no lighter.
//!
//! Judges a class at many points, each at rising heights. Points whose body-side fixing stands below the other are left out, for those
//! first come nearer. A class whose geometry does otherwise says why in `taller_may_be_lighter`.

use super::Notes;
use super::picks::{Pick, heights, number};
use super::point::Space;
use crate::assess::Asked;
use crate::report::{Code, Path};
use crate::rules::{SpanRole, Verdict};

/// Points that are tried.
const POINTS: u64 = 24;

pub(super) fn class(space: &Space<'_>, notes: &mut Notes<'_>) {
    if space.class.taller_may_be_lighter.is_some() {
        return;
    }
    let all = Asked::all(space.class);
    let mut points = (0..POINTS).filter(|point| !falls_at_first(space, &space.mixed(*point)));
    if let Some((low, heavy, high, light)) = points.find_map(|point| somewhere(space, &all, point))
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
    space: &Space<'_>,
    all: &[Asked<'_>],
    point: u64,
) -> Option<(f64, Verdict, f64, Verdict)> {
    let mut before: Option<(f64, Verdict)> = None;
    for height in heights().step_by(4) {
        let (trial, _) = space.trial(&space.mixed_at(height, point));
        let Some(verdict) = trial.heaviest(all) else {
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
