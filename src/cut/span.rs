//! One stretch of a link between two neighbouring fixings: whether the lift pulls it apart, how far, and on the way how far.

use std::collections::{BTreeMap, BTreeSet};

use super::bodies::{Body, Pose, SAME};
use super::groups::Hung;
use crate::job::{Fixing, Job, PartId, Point};

/// One stretch of a link.
#[derive(Debug, Clone, Default)]
pub struct Span {
    /// The first fixing's part.
    pub from: PartId,
    /// The next fixing's part.
    pub to: PartId,
    /// What the two ride with, the first fixing's first.
    pub groups: (BTreeSet<PartId>, BTreeSet<PartId>),
    /// How far the fixings end up apart vertically, mm.
    pub rise: f64,
    /// Whether the rise is the largest of the vehicle because no place is known.
    pub assumed: bool,
    /// Further separation in use, mm: the droop of an axle.
    pub travel: f64,
    /// From the other fixing to the one on the body, mm, when both have places of their own.
    pub apart: Option<[f64; 3]>,
    /// Every relative movement of the poses on the way, as (sideways, up), mm.
    moves: Vec<(f64, f64)>,
}

/// How far the fixings of a span are pulled apart in the worst pose on the way, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Working {
    /// Growth of the distance between them.
    pub length: f64,
    /// Upward part.
    pub up: f64,
    /// Sideways part.
    pub sideways: f64,
}

impl Span {
    /// A span that only stands for the height of the lift: nothing is pulled on the way.
    pub(super) fn of_height(from: &str, to: &str, rise: f64) -> Self {
        let group = |part: &str| BTreeSet::from([part.to_owned()]);
        Self {
            from: from.to_owned(),
            to: to.to_owned(),
            groups: (group(from), group(to)),
            rise,
            ..Self::default()
        }
    }

    /// Horizontal distance and level of the body-side fixing above the other, mm, when both have places of their own and are not in one.
    pub(crate) fn geometry(&self) -> Option<(f64, f64)> {
        let [x, y, level] = self.apart?;
        let plan = x.hypot(y);
        (plan.hypot(level) > SAME).then_some((plan, level))
    }

    /// A span whose fixings end up that far apart, with its movements on the way as (sideways, up), mm.
    pub fn moved(rise: f64, travel: f64, moves: Vec<(f64, f64)>) -> Self {
        Self {
            rise,
            travel,
            moves,
            ..Self::default()
        }
    }

    /// Whether the fixings stay apart when the lift is done.
    pub(crate) fn at_end(&self) -> bool {
        self.rise > SAME
    }

    /// Whether the fixings move apart at the end or on the way.
    pub(crate) fn disturbed(&self) -> bool {
        self.at_end()
            || self
                .moves
                .iter()
                .any(|(s, u)| s.abs() > SAME || u.abs() > SAME)
    }

    /// All numbers that the rules may read of the movement, by their bits: spans with the same ones are judged alike.
    pub(crate) fn movement(&self) -> Vec<u64> {
        let geometry = self.geometry().unwrap_or((f64::NAN, f64::NAN));
        let own = [self.rise, self.travel, geometry.0, geometry.1];
        let moves = self.moves.iter().flat_map(|&(sideways, up)| [sideways, up]);
        own.into_iter().chain(moves).map(f64::to_bits).collect()
    }

    /// The working movement. `distance` is the horizontal distance and the level difference between the fixings, where
    /// they are known; without them the growth is bounded by the movement itself.
    ///
    /// The horizontal direction of the span is not known, so the sideways part is taken to lie along it: with
    /// d(s, u) = √((plan + |s|)² + (level + u)²), the growth is the largest d(s, u) − d(0, 0) over the poses.
    pub fn working(&self, distance: Option<(f64, f64)>) -> Working {
        let mut worst = Working::default();
        for &(sideways, up) in &self.moves {
            let growth = match distance {
                Some((plan, level)) => {
                    (plan + sideways.abs()).hypot(level + up) - plan.hypot(level)
                }
                None => sideways.hypot(up),
            };
            worst.length = worst.length.max(growth);
            worst.up = worst.up.max(up);
            worst.sideways = worst.sideways.max(sideways.abs());
        }
        worst
    }
}

/// What spans are cut from: what parts ride with, the raised bodies, and where things are.
pub(super) struct CutFrom<'a> {
    pub(super) hung: &'a BTreeMap<PartId, Hung>,
    pub(super) bodies: &'a BTreeMap<PartId, Body>,
    /// The raised bodies in the order in which they go up.
    pub(super) order: Vec<&'a PartId>,
    /// Corners of the box round every known place, for spans without a place of their own.
    pub(super) corners: &'a [Point],
    pub(super) wheels_hang: bool,
}

impl<'a> CutFrom<'a> {
    pub(super) fn new(
        job: &'a Job,
        (hung, bodies, corners): (
            &'a BTreeMap<PartId, Hung>,
            &'a BTreeMap<PartId, Body>,
            &'a [Point],
        ),
    ) -> Self {
        Self {
            hung,
            bodies,
            order: job.lift.raise.iter().map(|raise| &raise.group).collect(),
            corners,
            wheels_hang: job.vehicle.wheels_hang,
        }
    }

    /// The span between two neighbouring fixings.
    pub(super) fn span(&self, from: &Fixing, to: &Fixing) -> Span {
        // A part that is not there is reported by the cut, and nothing is made of it then.
        let empty = Hung::default();
        let a = self.hung.get(&from.part).unwrap_or(&empty);
        let b = self.hung.get(&to.part).unwrap_or(&empty);
        let places = self.places(from, to);
        let mut span = Span {
            from: from.part.clone(),
            to: to.part.clone(),
            groups: (a.groups.clone(), b.groups.clone()),
            apart: self.apart(from, to),
            ..Span::default()
        };
        // A link that begins and ends on one part rides with it whole, even where that part bridges the cut.
        if from.part == to.part {
            return span;
        }
        for one in &a.groups {
            for other in &b.groups {
                if one != other {
                    self.pull(&mut span, (one, other), &places);
                }
            }
        }
        if span.rise > SAME || !span.moves.is_empty() {
            span.assumed = from.at.is_none() && to.at.is_none();
            span.travel = (a.droop - b.droop).abs();
            if self.wheels_hang {
                // The wheels may still stand when the body is first lifted, so both states are kept.
                let hanging = span
                    .moves
                    .iter()
                    .map(|(sideways, up)| (*sideways, up + span.travel));
                let hanging: Vec<(f64, f64)> = hanging.collect();
                span.moves.extend(hanging);
            }
        }
        span
    }

    /// The pairs of places at which the two fixings may be.
    fn places(&self, from: &Fixing, to: &Fixing) -> Vec<(Point, Point)> {
        match (from.at, to.at) {
            (Some(a), Some(b)) => vec![(a, b)],
            (Some(a), None) | (None, Some(a)) => vec![(a, a)],
            (None, None) => self
                .corners
                .iter()
                .map(|&corner| (corner, corner))
                .collect(),
        }
    }

    /// From the other fixing to the one on the body, when both have their own places.
    fn apart(&self, from: &Fixing, to: &Fixing) -> Option<[f64; 3]> {
        let (here, there) = (from.at?, to.at?);
        let from_is_body = self.hung.get(&from.part).is_some_and(|hung| {
            hung.groups
                .iter()
                .any(|group| self.bodies.contains_key(group))
        });
        let (body, other) = if from_is_body {
            (here, there)
        } else {
            (there, here)
        };
        let [x, y, z] = body;
        Some([x - other[0], y - other[1], z - other[2]])
    }

    /// Adds what moving two groups apart does to a span.
    fn pull(&self, span: &mut Span, (one, other): (&PartId, &PartId), places: &[(Point, Point)]) {
        let (a, b) = (self.bodies.get(one), self.bodies.get(other));
        for &(at_a, at_b) in places {
            let rise = (moved(a, Pose::Raised, at_a).1 - moved(b, Pose::Raised, at_b).1).abs();
            span.rise = span.rise.max(rise);
            for (pose_a, pose_b) in pose_pairs(a, b) {
                let (ya, za) = moved(a, pose_a, at_a);
                let (yb, zb) = moved(b, pose_b, at_b);
                match (a, b) {
                    (Some(_), None) => span.moves.push((ya - yb, za - zb)),
                    (None, Some(_)) => span.moves.push((yb - ya, zb - za)),
                    // Between two bodies either may be the higher one, so both signs are kept.
                    _ => span.moves.extend([(ya - yb, za - zb), (yb - ya, zb - za)]),
                }
            }
        }
    }
}

fn moved(body: Option<&Body>, pose: Pose, point: Point) -> (f64, f64) {
    body.map_or((0.0, 0.0), |body| body.moved(pose, point))
}

/// Every pair of poses of two groups: one on its way while the other stands at its old or new height.
fn pose_pairs(a: Option<&Body>, b: Option<&Body>) -> Vec<(Pose, Pose)> {
    let still = |body: Option<&Body>| match body {
        Some(_) => vec![Pose::Rest, Pose::Raised],
        None => vec![Pose::Rest],
    };
    let moving = |body: Option<&Body>| body.map(Body::poses_on_the_way).unwrap_or_default();
    let mut pairs = Vec::new();
    for pose in moving(a).into_iter().chain(still(a)) {
        pairs.extend(still(b).into_iter().map(|other| (pose, other)));
    }
    for pose in moving(b) {
        pairs.extend(still(a).into_iter().map(|other| (other, pose)));
    }
    pairs
}
