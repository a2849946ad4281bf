//! A taller lift pulls further: all else the same, the verdict on a link at a greater height is no lighter.
//!
//! Judges a class where each branch of it was reached, and at some more points, each at rising heights, those beside the
//! numbers with which the checks compare a height among them. Points whose body-side fixing
//! stands below the other are left out, for those first come nearer. A class whose geometry does otherwise says why in `taller_may_be_lighter`.

use std::collections::BTreeMap;

use super::Notes;
use super::moving::Moving;
use super::picks::Pick;
use super::point::{Space, raised};
use super::sample::Tried;
use super::subject::{self, Subject};
use crate::assess::Unmade;
use crate::report::{Code, Path};
use crate::rules::expression::Expr;
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
    checks: Vec<Judged<'s, 'a>>,
}

/// A check with its verdicts so far.
struct Judged<'s, 'a> {
    check: &'s Subject<'a>,
    /// The dimensions that it hangs on, but for the rise, and whether it hangs on that.
    places: Vec<usize>,
    rises: bool,
    /// By the picks of those how it comes out at each height, by its bits.
    known: Vec<(Vec<Pick>, BTreeMap<u64, Outcome>)>,
}

/// The verdict of a check, none where it does not apply.
type Outcome = Result<Option<Verdict>, Unmade>;

impl<'s, 'a> Judged<'s, 'a> {
    fn new(space: &Space<'a>, checks: &[&Subject<'a>], check: &'s Subject<'a>) -> Self {
        let names = check.expressions().flat_map(Expr::names);
        let mut places = space.places(&subject::behind(names, checks, space.class));
        if checks.iter().any(|check| check.each.is_some()) {
            // Whether a key of a list is there at all hangs on every field of it.
            places = (0..space.dimensions.len()).collect();
        }
        let last = space.dimensions.len();
        let rises = places.pop_if(|place| *place + 1 == last).is_some();
        Self {
            check,
            places,
            rises,
            known: Vec::new(),
        }
    }

    /// How it comes out at the heights of a point.
    fn along(&mut self, point: &[Pick]) -> Option<&mut BTreeMap<u64, Outcome>> {
        let picks = self.places.iter().filter_map(|place| point.get(*place));
        let mut known = self.known.iter();
        let known = known.position(|(known, _)| known.iter().eq(picks.clone()));
        let at = known.unwrap_or(self.known.len());
        if known.is_none() {
            let picks = picks.cloned().collect();
            self.known.push((picks, BTreeMap::new()));
        }
        self.known.get_mut(at).map(|(_, heights)| heights)
    }
}

impl<'s, 'a> Heights<'s, 'a> {
    fn new(space: &'s Space<'a>, checks: &[&'s Subject<'a>]) -> Self {
        let judged = checks.iter().map(|check| Judged::new(space, checks, check));
        Self {
            moving: Moving::new(space),
            heights: space.heights(checks.iter().flat_map(|check| check.expressions())),
            checks: judged.collect(),
        }
    }

    /// Two heights of which the taller has the lighter verdict.
    fn somewhere(&mut self, point: &[Pick]) -> Option<(f64, Verdict, f64, Verdict)> {
        let own = point.last().and_then(Pick::number);
        let own = own.filter(|own| *own >= 1.0);
        let mut tried: Vec<f64> = self.heights.iter().copied().chain(own).collect();
        tried.sort_by(f64::total_cmp);
        let along = self.checks.iter_mut().filter_map(|judged| {
            let (check, rises) = (judged.check, judged.rises);
            Some((check, rises, judged.along(point)?))
        });
        let mut along: Vec<_> = along.collect();
        let mut before: Option<(f64, Verdict)> = None;
        for height in tried {
            let point = raised(point, height);
            let moving = &mut self.moving;
            let outcomes = along.iter_mut().map(|(check, rises, known)| {
                let at = if *rises { height } else { 0.0 };
                *known.entry(at.to_bits()).or_insert_with(|| {
                    moving.to(&point);
                    moving.trial.verdict(&check.asked)
                })
            });
            let outcomes: Result<Vec<_>, _> = outcomes.collect();
            let Ok(Some(verdict)) = outcomes.map(|all| all.into_iter().flatten().max()) else {
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
