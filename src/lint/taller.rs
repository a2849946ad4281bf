//! A taller lift pulls further: all else the same, the verdict on a link at a greater height is no lighter.
//!
//! Judges a class where each branch of it was reached, and at some more points, each at rising heights, those beside the
//! numbers with which the checks compare a height among them. Points whose body-side fixing
//! stands below the other are left out, for those first come nearer. A class whose geometry does otherwise says why in `taller_may_be_lighter`.

use super::Notes;
use super::picks::{Pick, number};
use super::point::{Space, raised};
use super::sample::Tried;
use super::subject::Subject;
use crate::assess::TriedCheck;
use crate::report::{Code, Path};
use crate::rules::{SpanRole, Verdict};

/// Points that are tried beside those at which a branch was reached.
const POINTS: u64 = 4;

/// `reached` are the checks, each with its own space.
pub(super) fn class(
    space: &Space<'_>,
    checks: &[&Subject<'_>],
    reached: &[(Space<'_>, Tried)],
    notes: &mut Notes<'_>,
) {
    if space.class.taller_may_be_lighter.is_some() || !space.rises {
        return;
    }
    let all = TriedCheck::all(space.class);
    let heights = space.heights(checks.iter().flat_map(|check| check.expressions()));
    let reached = reached.iter().filter(|(own, _)| own.rises);
    let reached = reached.flat_map(|(own, tried)| {
        let points = tried.reached.iter().flatten();
        points.map(|(picks, _)| space.like(own, picks))
    });
    let points = (0..POINTS).map(|point| space.mixed(point)).chain(reached);
    let points = points.filter(|point| !falls_at_first(space, point));
    let mut found = points.filter_map(|point| somewhere(space, (&all, &heights), &point));
    if let Some((low, heavy, high, light)) = found.next() {
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
    (all, heights): (&[TriedCheck<'_>], &[f64]),
    point: &[Pick],
) -> Option<(f64, Verdict, f64, Verdict)> {
    let mut before: Option<(f64, Verdict)> = None;
    let own = point.last().and_then(number).filter(|own| *own >= 1.0);
    let mut tried: Vec<f64> = heights.iter().copied().chain(own).collect();
    tried.sort_by(f64::total_cmp);
    for height in tried {
        let (trial, _) = space.trial(&raised(point, height));
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
