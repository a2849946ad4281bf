//! A raised body on its blocks, and how it moves on the way there: one side at a time about the mounts of the other.
//!
//! Takes the mounts of a body; gives where any of its points ends up in each pose. Conventions: x forward, y left, z up
//! (ISO 8855), mm.

use crate::calc::plane::{self, Plane};
use crate::calc::tilt::{Turn, turn};
use crate::job::{Job, Mount, Point, Raise, Side};
use crate::report::{Code, Path, Report};

/// Rises closer than this are the same, mm.
pub(super) const SAME: f64 = 1e-6;
/// Mounts closer than this are in one place, mm.
const NEAR: f64 = 1.0;

/// How a body stands at one moment of the work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Pose {
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

/// What there is of a thing for each side.
#[derive(Debug, Clone, Copy)]
struct Sides<T> {
    left: T,
    right: T,
}

impl<T> Sides<T> {
    fn of(&self, side: Side) -> &T {
        match side {
            Side::Left => &self.left,
            Side::Right => &self.right,
        }
    }
}

/// A body with one side held up.
#[derive(Debug, Clone, Copy)]
struct Tipped {
    raised: Side,
    /// How high the other side stands, mm.
    base: f64,
    turn: Turn,
}

#[derive(Debug, Clone)]
pub struct Body {
    /// Rise as a plane over its mounts.
    plane: Plane,
    hinges: Sides<Hinge>,
    /// With that side held up first, the other on its old mounts.
    first_up: Sides<Tipped>,
    /// With that side held up second, the other on its blocks.
    second_up: Sides<Tipped>,
    /// What lies to the left of it belongs to the left side, mm.
    middle: f64,
    /// The side that goes first; none when either may.
    first: Option<Side>,
    /// The highest block under it, mm.
    pub highest: f64,
}

impl Body {
    /// The body that a group's mounts carry; one that cannot stand on them, or cannot be tipped so, goes to the report.
    pub(super) fn new(job: &Job, raise: &Raise, report: &mut Report) -> Option<Self> {
        let mounts = job.mounts.values();
        let mounts: Vec<&Mount> = mounts.filter(|m| m.group == raise.group).collect();
        match Self::on(&mounts, raise, job.lift.clearance) {
            Ok(body) => Some(body),
            Err(reason) => {
                let message = format!("`{}` {reason}", raise.group);
                let list = Path::root().key("mounts");
                let path = mounts.first().map_or(&list, |mount| &mount.path);
                let help = "check the mounts' places: y is the distance to the left of the middle";
                let mut notes = job.notes(report);
                notes.error(Code::TooFewMounts, path, message, help);
                None
            }
        }
    }

    /// A body on its mounts, held above its blocks by the clearance while they go in; fails with the reason.
    fn on(mounts: &[&Mount], raise: &Raise, clearance: f64) -> Result<Self, String> {
        let ys = mounts.iter().map(|mount| mount.at[1]);
        let middle = f64::midpoint(
            ys.clone().fold(f64::INFINITY, f64::min),
            ys.fold(f64::NEG_INFINITY, f64::max),
        );
        let (left, right): (Vec<&Mount>, Vec<&Mount>) =
            mounts.iter().partition(|mount| mount.at[1] >= middle);
        let (Some(left), Some(right)) = (hinge(&left, 1.0), hinge(&right, -1.0)) else {
            return Err("has no mounts on one of its sides".to_owned());
        };
        let points = mounts.iter().map(|m| [m.at[0], m.at[1], m.spacer]);
        let plane = plane::plane(&points.collect::<Vec<Point>>())
            .map_err(|error| format!("stands on no plane: {error}"))?;
        let highest = mounts.iter().map(|mount| mount.spacer).fold(0.0, f64::max);
        let hinges = Sides { left, right };
        // No side rises higher than this, so that the body can be turned by all that it is.
        let lifted = highest + clearance;
        let across = |side: Side| (hinges.of(side).inner - hinges.of(side.other()).outer).abs();
        let narrow = across(Side::Left).min(across(Side::Right));
        let refusal = || {
            format!("cannot be tipped by {lifted} mm: its mounts are only {narrow} mm apart across")
        };
        if lifted >= narrow {
            return Err(refusal());
        }
        let tipped = |raised: Side, base: f64| {
            let higher = hinges.of(raised).block + clearance - base;
            let turn = turn(across(raised), higher).map_err(|_| refusal())?;
            Ok::<Tipped, String>(Tipped { raised, base, turn })
        };
        Ok(Self {
            plane,
            hinges,
            first_up: Sides {
                left: tipped(Side::Left, 0.0)?,
                right: tipped(Side::Right, 0.0)?,
            },
            second_up: Sides {
                left: tipped(Side::Left, right.block)?,
                right: tipped(Side::Right, left.block)?,
            },
            middle,
            first: raise.first_side,
            highest,
        })
    }

    /// The side that a place across belongs to.
    pub(crate) fn side_of(&self, y: f64) -> Side {
        if y >= self.middle {
            Side::Left
        } else {
            Side::Right
        }
    }

    /// How far a point ends up above where it was, mm.
    pub(crate) fn rise_at(&self, point: Point) -> f64 {
        self.plane.rise_at([point[0], point[1]])
    }

    /// The largest angle to which raising tips it, degrees.
    pub(crate) fn largest_tilt(&self) -> f64 {
        let angles = self
            .poses_on_the_way()
            .into_iter()
            .map(|pose| self.tilt_in(pose));
        angles.fold(0.0, f64::max)
    }

    /// The angle to which one pose tips it, degrees.
    pub(crate) fn tilt_in(&self, pose: Pose) -> f64 {
        self.tipped(pose)
            .map_or(0.0, |tipped| tipped.turn.degrees())
    }

    /// Every pose that it takes on the way up, either side first unless the job says which.
    pub(crate) fn poses_on_the_way(&self) -> Vec<Pose> {
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
    pub(crate) fn moved(&self, pose: Pose, point: Point) -> (f64, f64) {
        let Some(tipped) = self.tipped(pose) else {
            let up = match pose {
                Pose::Raised => self.rise_at(point),
                _ => 0.0,
            };
            return (0.0, up);
        };
        let hinge = self.hinges.of(tipped.raised.other());
        let toward = match tipped.raised {
            Side::Left => 1.0,
            Side::Right => -1.0,
        };
        let y = toward * (point[1] - hinge.outer);
        let z = point[2] - hinge.z_at(point[0]);
        let (sideways, up) = tipped.turn.moves(y, z);
        (toward * sideways, tipped.base + up)
    }

    /// How it is held in a pose; none when it stands level.
    fn tipped(&self, pose: Pose) -> Option<&Tipped> {
        match pose {
            Pose::Rest | Pose::Raised => None,
            Pose::FirstSideUp(side) => Some(self.first_up.of(side)),
            Pose::SecondSideUp(side) => Some(self.second_up.of(side)),
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
