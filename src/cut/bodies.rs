//! A raised body on its blocks, and how it moves on the way there: one side at a time about the mounts of the other.
//!
//! Takes the mounts of a body; gives where any of its points ends up in each pose. Conventions: x forward, y left, z up
//! (ISO 8855), mm.

use crate::calc::plane::{self, Plane};
use crate::calc::tilt::{Tilt, tilt};
use crate::job::{Job, Mount, Point, Raise, Side};
use crate::report::{Code, Problem, Report};

/// Rises closer than this are the same, mm.
pub(super) const SAME: f64 = 1e-6;
/// Mounts closer than this are in one place, mm.
const NEAR: f64 = 1.0;

/// How a body stands at one moment of the work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pose {
    /// On its old mounts.
    Rest,
    /// On its blocks.
    Raised,
    /// One side held up for its blocks, the other still on its old mounts.
    FirstSideUp(Side),
    /// The first side on its blocks, the other held up for its own.
    SecondSideUp(Side),
}

/// One side's mounts. While the other side goes up the body turns about the outermost of them, for no other point of this side stays
/// down; while this side goes up, the innermost of them rises least and must still let its block in.
#[derive(Debug, Clone, Copy)]
struct Hinge {
    /// The outermost mounts, farthest from the other side.
    outer: f64,
    /// The innermost mounts.
    inner: f64,
    /// The front and the rear one of the outermost mounts, as (x, z).
    ends: [(f64, f64); 2],
    /// The highest block of the side.
    block: f64,
}

impl Hinge {
    /// The height of the hinge line beside a point.
    fn z_at(&self, x: f64) -> f64 {
        let [(rear, low), (front, high)] = self.ends;
        if front - rear < NEAR {
            return f64::midpoint(low, high);
        }
        low + (high - low) * (x - rear) / (front - rear)
    }
}

/// A raised body.
#[derive(Debug, Clone)]
pub struct Body {
    /// Rise as a plane over its mounts.
    plane: Plane,
    left: Hinge,
    right: Hinge,
    /// What lies to the left of it belongs to the left side, mm.
    middle: f64,
    clearance: f64,
    /// The side that goes first; none when either may.
    first: Option<Side>,
    /// The highest block under it, mm.
    pub highest: f64,
}

impl Body {
    /// The body that a group's mounts carry; a body that cannot be tipped so goes to the report.
    pub(super) fn new(job: &Job, raise: &Raise, report: &mut Report) -> Option<Self> {
        let mounts: Vec<&Mount> = job
            .mounts
            .values()
            .filter(|m| m.group == raise.group)
            .collect();
        let ys = mounts.iter().map(|mount| mount.at[1]);
        let middle = f64::midpoint(
            ys.clone().fold(f64::INFINITY, f64::min),
            ys.fold(f64::NEG_INFINITY, f64::max),
        );
        let (left, right): (Vec<&Mount>, Vec<&Mount>) =
            mounts.iter().partition(|mount| mount.at[1] >= middle);
        let (left, right) = (hinge(&left, 1.0)?, hinge(&right, -1.0)?);
        let points: Vec<Point> = mounts
            .iter()
            .map(|m| [m.at[0], m.at[1], m.spacer])
            .collect();
        let plane = plane::plane(&points).ok()?;
        let body = Self {
            plane,
            left,
            right,
            middle,
            clearance: job.lift.clearance,
            first: raise.first_side,
            highest: mounts.iter().map(|mount| mount.spacer).fold(0.0, f64::max),
        };
        let lifted = body.highest + body.clearance;
        let across = body.across(Side::Left).min(body.across(Side::Right));
        if lifted >= across {
            let message = format!(
                "`{}` cannot be tipped by {lifted} mm: its mounts are only {across} mm apart across",
                raise.group,
            );
            let problem = Problem::error(Code::TooFewMounts, message)
                .help("check the mounts' places: y is the distance to the left of the middle");
            report.push(match mounts.first() {
                Some(mount) => problem.at(job.place(&mount.path)),
                None => problem,
            });
            return None;
        }
        Some(body)
    }

    /// The side that a place across belongs to.
    #[must_use]
    pub fn side_of(&self, y: f64) -> Side {
        if y >= self.middle {
            Side::Left
        } else {
            Side::Right
        }
    }

    /// Distance across from the hinge to the mounts of the raised side that rise least, mm.
    fn across(&self, raised: Side) -> f64 {
        (self.hinge(raised).inner - self.hinge(raised.other()).outer).abs()
    }

    /// How far a point ends up above where it was, mm.
    #[must_use]
    pub fn rise_at(&self, point: Point) -> f64 {
        self.plane.rise_at([point[0], point[1]])
    }

    /// The largest angle to which raising tips it, degrees.
    #[must_use]
    pub fn largest_tilt(&self) -> f64 {
        let angles = self
            .poses_on_the_way()
            .into_iter()
            .map(|pose| self.tilt_in(pose));
        angles.fold(0.0, f64::max)
    }

    /// The angle to which one pose tips it, degrees.
    #[must_use]
    pub fn tilt_in(&self, pose: Pose) -> f64 {
        match self.tipping(pose) {
            Some((side, _, side_rise)) => self.tip(side, side_rise, (0.0, 0.0)).2,
            None => 0.0,
        }
    }

    /// Every pose that it takes on the way up, either side first unless the job says which.
    #[must_use]
    pub fn poses_on_the_way(&self) -> Vec<Pose> {
        let firsts: Vec<Side> = match self.first {
            Some(side) => vec![side],
            None => vec![Side::Left, Side::Right],
        };
        let poses = firsts.into_iter();
        poses
            .flat_map(|first| [Pose::FirstSideUp(first), Pose::SecondSideUp(first.other())])
            .collect()
    }

    /// Where a point of the body has moved in a pose, as (to the left, up), mm.
    #[must_use]
    pub fn moved(&self, pose: Pose, point: Point) -> (f64, f64) {
        let (side, base, side_rise) = match (pose, self.tipping(pose)) {
            (Pose::Raised, _) => return (0.0, self.rise_at(point)),
            (_, None) => return (0.0, 0.0),
            (_, Some(tipping)) => tipping,
        };
        let hinge = self.hinge(side.other());
        let toward = match side {
            Side::Left => 1.0,
            Side::Right => -1.0,
        };
        let y = toward * (point[1] - hinge.outer);
        let z = point[2] - hinge.z_at(point[0]);
        let (sideways, up, _) = self.tip(side, side_rise, (y, z));
        (toward * sideways, base + up)
    }

    /// How a point moves when a side is raised by `side_rise`, as (sideways, up, degrees). [`Body::new`] has made sure that no
    /// side is raised by more than the distance across.
    fn tip(&self, raised: Side, side_rise: f64, (y, z): (f64, f64)) -> (f64, f64, f64) {
        let across = self.across(raised);
        let found = tilt(&Tilt {
            across,
            side_rise,
            y,
            z,
        });
        found.map_or((0.0, 0.0, 0.0), |found| {
            (found.sideways, found.up, found.angle)
        })
    }

    /// The side held up, how high the other stands, and how much higher the held side is; none when it stands level.
    fn tipping(&self, pose: Pose) -> Option<(Side, f64, f64)> {
        match pose {
            Pose::Rest | Pose::Raised => None,
            Pose::FirstSideUp(side) => Some((side, 0.0, self.hinge(side).block + self.clearance)),
            Pose::SecondSideUp(side) => {
                let base = self.hinge(side.other()).block;
                Some((side, base, self.hinge(side).block + self.clearance - base))
            }
        }
    }

    fn hinge(&self, side: Side) -> Hinge {
        match side {
            Side::Left => self.left,
            Side::Right => self.right,
        }
    }
}

/// The mounts of one side; `outward` is the sign of y that leads away from the other.
fn hinge(mounts: &[&Mount], outward: f64) -> Option<Hinge> {
    let y = |pick: fn(f64, f64) -> f64| mounts.iter().map(|m| outward * m.at[1]).reduce(pick);
    let (outer, inner) = (y(f64::max)?, y(f64::min)?);
    let outermost = mounts.iter().filter(|m| outer - outward * m.at[1] < NEAR);
    let places = outermost.map(|mount| (mount.at[0], mount.at[2]));
    let rear = places.clone().min_by(|a, b| a.0.total_cmp(&b.0))?;
    let front = places.max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Hinge {
        outer: outward * outer,
        inner: outward * inner,
        ends: [rear, front],
        block: mounts.iter().map(|mount| mount.spacer).fold(0.0, f64::max),
    })
}
