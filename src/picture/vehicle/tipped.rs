//! One side of a body held up for its blocks, from behind: how high, how far tilted, how much room for the block, and how far the
//! body's upper parts move sideways meanwhile.
//!
//! Takes the body's mounts and its poses from the cut; finds the numbers of the picture ([`Held`]) and gives the picture, which
//! `tipped_view` draws. Both sides get a picture of their own only when they are not alike.

use super::super::layout::clean;
use super::super::{Made, Picture};
use super::tipped_view::{self, Followed, Held};
use crate::cut::{Body, Pose};
use crate::job::{Mount, Raise, Side};
use crate::quantity::Units;
use crate::sorted::Sorted as _;

/// The part that brake, clutch, steering and heater go through, by its usual id.
const BULKHEAD: &str = "bulkhead";

/// A body with one side held up, as it stands in that side's raising; none for the second side when it is the mirror of the first,
/// and none for a body that is not raised.
pub(crate) fn tipped(
    made: &Made<'_>,
    units: Units,
    (group, side): (&str, Side),
) -> Option<Picture> {
    Some(tipped_view::draw(&held(made, (group, side))?, units))
}

fn held<'a>(made: &Made<'a>, (group, side): (&str, Side)) -> Option<Held<'a>> {
    let mut in_turn = made.job.lift.raise.iter().zip(1..);
    let (raise, number) = in_turn.find(|(raise, _)| raise.group == group)?;
    let body = made.cut.bodies.get(group)?;
    let first = first_side(raise) == side;
    if !first && mirrored(made, raise, body) {
        return None;
    }
    let inner = inward(side);
    let up = mounts(made, raise, (body, side));
    let down = mounts(made, raise, (body, side.other()));
    let raised = up.iter().copied().max_by(|(_, one), (_, other)| {
        let least = (inner * one.at[1]).total_cmp(&(inner * other.at[1]));
        least.then(one.spacer.total_cmp(&other.spacer))
    })?;
    // The outermost of the others; of several, the one beside the raised mount.
    let near = |mount: &Mount| (mount.at[0] - raised.1.at[0]).abs();
    let standing = down.iter().copied().max_by(|(_, one), (_, other)| {
        let outer = (inner * one.at[1]).total_cmp(&(inner * other.at[1]));
        outer.then(near(other).total_cmp(&near(one)))
    })?;
    let (pose, base) = if first {
        (Pose::FirstSideUp(side), 0.0)
    } else {
        (Pose::SecondSideUp(side), highest(&down))
    };
    Some(Held {
        body,
        pose,
        number,
        title: clean(made.job.part_title(group)),
        side,
        raised,
        standing,
        block: highest(&up),
        base,
        clearance: made.job.lift.clearance,
        followed: followed(made, group),
    })
}

fn first_side(raise: &Raise) -> Side {
    let [first, _] = raise.sides();
    first
}

/// The sign of y that leads from a side to the other one.
fn inward(side: Side) -> f64 {
    match side {
        Side::Left => -1.0,
        Side::Right => 1.0,
    }
}

fn mounts<'a>(
    made: &Made<'a>,
    raise: &Raise,
    (body, side): (&Body, Side),
) -> Vec<(&'a str, &'a Mount)> {
    let mounts = made.job.mounts.iter();
    let own =
        mounts.filter(|(_, mount)| mount.group == raise.group && body.side_of(mount.at[1]) == side);
    own.map(|(id, mount)| (id.as_str(), mount)).collect()
}

fn highest(mounts: &[(&str, &Mount)]) -> f64 {
    let blocks = mounts.iter().map(|(_, mount)| mount.spacer);
    blocks.fold(0.0, f64::max)
}

/// Whether the two sides are alike, so that one picture stands for both.
fn mirrored(made: &Made<'_>, raise: &Raise, body: &Body) -> bool {
    let shape = |side| {
        let own = mounts(made, raise, (body, side)).into_iter();
        let places = own.map(|(_, mount)| {
            let [x, y, z] = mount.at;
            [x, -inward(side) * y, z, mount.spacer].map(|mm| format!("{:.3}", mm + 0.0))
        });
        places.sorted_set()
    };
    shape(Side::Left) == shape(Side::Right)
}

/// The highest known place on the body, at the bulkhead where one is known there.
fn followed(made: &Made<'_>, group: &str) -> Option<Followed> {
    let fixings = made.job.links.values().flat_map(|link| &link.fixings);
    let riding = fixings.filter_map(|fixing| {
        let hung = made.cut.parts.get(&fixing.part)?;
        let rides = hung.groups.len() == 1 && hung.groups.contains(group);
        let on_bulkhead = hung.chain.iter().any(|id| id == BULKHEAD);
        rides.then_some((on_bulkhead, fixing.at?, &fixing.part))
    });
    let (_, at, part) = riding.max_by(|(on, at, id), (other_on, other, other_id)| {
        let higher = on.cmp(other_on).then(at[2].total_cmp(&other[2]));
        higher.then(other_id.cmp(id))
    })?;
    Some(Followed {
        title: clean(made.job.part_title(part)),
        at,
    })
}
