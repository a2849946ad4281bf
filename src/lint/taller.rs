//! A taller lift pulls further: all else the same, the verdict on a link at a greater height is no lighter.
//!
//! Judges a class where each branch of it was reached, and at some more points, each at rising heights, those beside the
//! numbers with which the checks compare a height among them. Points whose body-side fixing
//! stands below the other are left out, for those first come nearer. A class whose geometry does otherwise says why in `taller_may_be_lighter`.

use super::Notes;
use super::moving::Moving;
use super::picks::Pick;
use super::point::{Space, of_height, raised};
use super::sample::Tried;
use super::subject::{self, Subject};
use crate::assess::TriedCheck;
use crate::report::{Code, Path};
use crate::rules::expression::Expr;
use crate::rules::{Check, SpanRole, Verdict};

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
    let reached = reached.iter().filter(|(own, _)| own.rises);
    let reached = reached.flat_map(|(own, tried)| {
        let points = tried.reached.iter().flatten();
        points.map(|(picks, _)| space.like(own, picks))
    });
    let points = (0..POINTS).map(|point| space.mixed(point)).chain(reached);
    let points = points.filter(|point| !falls_at_first(space, point));
    let mut heights = Heights::new(space, checks);
    let mut found = points.filter_map(|point| heights.somewhere(&point));
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
        let measured = dimension.measured.as_ref();
        let is_level = measured.is_some_and(|(one, _)| one.role == Some(SpanRole::Level));
        is_level && pick.number().is_some_and(|level| level < 0.0)
    })
}

/// The checks of a class at rising heights.
struct Heights<'s, 'a> {
    moving: Moving<'s, 'a>,
    heights: Vec<f64>,
    /// The checks that hang on the height, and those that come out the same at any.
    rising: Vec<TriedCheck<'a>>,
    still: Vec<TriedCheck<'a>>,
}

impl<'s, 'a> Heights<'s, 'a> {
    fn new(space: &'s Space<'a>, checks: &[&Subject<'a>]) -> Self {
        let class = space.class;
        let rises = |check: &Check| {
            let subject = checks.iter().filter(|subject| subject.id == check.id);
            let names = subject.flat_map(|subject| subject.expressions().flat_map(Expr::names));
            subject::behind(names, checks, class)
                .iter()
                .any(|name| of_height(name))
        };
        let (rising, still): (Vec<_>, Vec<_>) = class.checks.iter().partition(|one| rises(one));
        let [rising, still] = [rising, still].map(|checks| {
            let checks = checks.into_iter();
            checks
                .map(|check| TriedCheck::check(class, check))
                .collect()
        });
        Self {
            moving: Moving::new(space),
            heights: space.heights(checks.iter().flat_map(|check| check.expressions())),
            rising,
            still,
        }
    }

    /// Two heights of which the taller has the lighter verdict.
    fn somewhere(&mut self, point: &[Pick]) -> Option<(f64, Verdict, f64, Verdict)> {
        self.moving.to(point);
        let still = self.moving.trial.verdicts(&self.still)?.into_iter().max();
        let own = point
            .last()
            .and_then(Pick::number)
            .filter(|own| *own >= 1.0);
        let mut tried: Vec<f64> = self.heights.iter().copied().chain(own).collect();
        tried.sort_by(f64::total_cmp);
        let mut before: Option<(f64, Verdict)> = None;
        for height in tried {
            self.moving.to(&raised(point, height));
            let rising = self.moving.trial.verdicts(&self.rising);
            let Some(verdict) = rising.and_then(|all| all.into_iter().chain(still).max()) else {
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
}
