//! The drawing of a body held up at one side: rails, mounts, block, body, and the dimensions.
//!
//! Takes the numbers found by `tipped`; gives the picture. Rails and the body's outline are hints; what is dimensioned is to scale.

use super::super::Picture;
use super::super::draw::{At, Drawing, Fill, Pen, Scale, Stand, WIDEST};
use super::lettering::{LINE, fitting, length, scale_bar, sentence, typed};
use super::room::apart;
use super::tipped::{Held, degrees};
use crate::cut::Pose;
use crate::job::{Point, Side};
use crate::quantity::Units;

/// Room for the dimensions on the raised side, and on the other, pixels.
const BESIDE: f64 = 210.0;
const OTHER: f64 = 24.0;
/// How far the body's hinted outline reaches beyond its mounts and its highest place, mm.
const BEYOND: f64 = 110.0;
/// Height of a body of which no place is known, mm.
const USUAL: f64 = 500.0;
/// Width of a mount and depth of a rail as hinted, mm.
const MOUNT: f64 = 90.0;
const RAIL: f64 = 110.0;

/// What the drawing is made with.
struct View<'a> {
    held: &'a Held<'a>,
    scale: Scale,
    /// +1 when the raised side is on the right of the drawing.
    way: f64,
    units: Units,
}

/// Draws a body held up at one side.
pub(super) fn draw(held: &Held<'_>, units: Units, says: &str) -> Picture {
    let way = match held.side {
        Side::Left => -1.0,
        Side::Right => 1.0,
    };
    let reach = beyond(held, held.raised.1.at[1])
        .abs()
        .max(beyond(held, held.standing.1.at[1]).abs());
    let high = top(held) + held.target() + BEYOND * 1.5;
    let factor = (WIDEST - BESIDE - OTHER) / (reach * 2.0);
    let factor = factor.min(380.0 / (high + RAIL));
    let middle = WIDEST / 2.0 - way * (BESIDE - OTHER) / 2.0;
    let ground = 26.0 + high * factor;
    let view = View {
        held,
        scale: Scale {
            factor,
            origin: (middle, ground),
        },
        way,
        units,
    };
    let other = held.side.other();
    let name = match held.pose {
        Pose::FirstSideUp(_) => format!("tipped-{}", held.number),
        _ => format!("tipped-{}-{}", held.number, held.side.word()),
    };
    let bottom = ground + RAIL * factor;
    let mut drawing = Drawing::new(&name, WIDEST, bottom + 50.0);
    view.chassis(&mut drawing);
    view.body(&mut drawing);
    view.heights(&mut drawing);
    view.angle(&mut drawing);
    view.sideways(&mut drawing);
    scale_bar(&mut drawing, (24.0, bottom + 28.0), factor, units);
    let note = "to scale; rails and outline of the body only hinted at";
    drawing.words((WIDEST - 14.0, bottom + 32.0), note, Stand::Left);
    drawing.picture(
        &format!(
            "{} from behind: {} side held up, standing on the {} side",
            sentence(&held.title),
            held.side.word(),
            other.word()
        ),
        says,
    )
}

/// The end of the body's outline on the side of a mount: beyond the mount and beyond the followed place.
fn beyond(held: &Held<'_>, mount: f64) -> f64 {
    let followed = held.followed.as_ref().map(|followed| followed.at[1]);
    let followed = followed.filter(|y| y.signum() * mount.signum() > 0.0);
    let reach = (mount.abs() + BEYOND).max(followed.map_or(0.0, |y| y.abs() + BEYOND / 2.0));
    mount.signum() * reach
}

/// The top of the body's outline before the lift, mm.
fn top(held: &Held<'_>) -> f64 {
    let known = held.followed.as_ref().map(|followed| followed.at[2] + 60.0);
    known.unwrap_or(USUAL).max(USUAL * 0.6)
}

impl View<'_> {
    /// A place of the vehicle on the drawing: the left side stands on the left, since it is seen from behind.
    fn at(&self, y: f64, z: f64) -> At {
        self.scale.at(-y, z)
    }

    /// Where a point of the body is while it is held.
    fn held_at(&self, point: Point) -> At {
        let (sideways, up) = self.held.body.moved(self.held.pose, point);
        self.at(point[1] + sideways, point[2] + up)
    }

    /// The seat of the raised mount.
    fn seat(&self) -> Point {
        self.held.raised.1.at
    }

    /// Rails, brackets, and the block on the standing side when it has one.
    fn chassis(&self, drawing: &mut Drawing) {
        let size = |wide: f64, high: f64| (self.scale.length(wide), self.scale.length(high));
        for ((id, mount), base) in [
            (self.held.raised, self.held.block),
            (self.held.standing, self.held.base),
        ] {
            let [_, y, z] = mount.at;
            // The rail stands inward of its mounts; how far is not known.
            let rail = y * 0.72;
            let corner = self.at(rail + MOUNT / 2.0, 0.0);
            drawing.rectangle(corner, size(MOUNT, RAIL), Pen::Line, Fill::White);
            let outer = y + y.signum() * MOUNT / 2.0;
            let bracket = [
                self.at(rail, 0.0),
                self.at(rail, z),
                self.at(outer, z),
                self.at(y, z.min(0.0)),
            ];
            drawing.shape(&bracket, Pen::Line, Fill::White);
            if base > 0.0 {
                let corner = self.at(y + MOUNT / 2.0, z + base);
                drawing.rectangle(corner, size(MOUNT, base), Pen::Line, Fill::Hatched);
            }
            let under = self.at(y, z.min(0.0));
            let words = typed(id, 14);
            drawing.bold((under.0, under.1 + 20.0), &words, Stand::Middle);
        }
        let rails = self.at(0.0, 0.0);
        let down = self.scale.length(RAIL) / 2.0 + 4.0;
        drawing.words((rails.0, rails.1 + down), "chassis", Stand::Middle);
    }

    /// The corners of the body's outline before the lift.
    fn corners(&self) -> [Point; 4] {
        let (up, down) = (self.held.raised.1.at, self.held.standing.1.at);
        let outer = |y: f64| beyond(self.held, y);
        let roof = top(self.held);
        [
            [up[0], outer(down[1]), down[2]],
            [up[0], outer(up[1]), up[2]],
            [up[0], outer(up[1]), roof],
            [up[0], outer(down[1]), roof],
        ]
    }

    /// The body as it stands (dashed) and as it is held.
    fn body(&self, drawing: &mut Drawing) {
        let corners = self.corners();
        let rest = |point: &Point| self.at(point[1], point[2] + self.held.base);
        let mut before: Vec<At> = corners.iter().map(rest).collect();
        before.extend(before.first().copied());
        drawing.path(&before, Pen::Dashed);
        let held: Vec<At> = corners.iter().map(|point| self.held_at(*point)).collect();
        drawing.shape(&held, Pen::Bold, Fill::None);
        let middle = self.at(0.0, top(self.held) * 0.6);
        let most = fitting(self.scale.length(500.0));
        drawing.bold(middle, &typed(&self.held.title, most), Stand::Middle);
    }

    /// Block, clearance and both together, beside the raised mount.
    fn heights(&self, drawing: &mut Drawing) {
        let Held {
            block, clearance, ..
        } = *self.held;
        let [_, y, z] = self.seat();
        let edge = self.at(beyond(self.held, y), z);
        let (near, far) = (edge.0 + self.way * 12.0, edge.0 + self.way * 34.0);
        let levels = [z, z + block, z + self.held.target()].map(|z| self.at(0.0, z).1);
        let [seat, block_top, under] = levels;
        let inner = self.at(y + y.signum() * MOUNT / 2.0, z).0;
        for (level, to) in [(seat, far), (block_top, near), (under, far)] {
            drawing.line((inner, level), (to + self.way * 5.0, level), Pen::Thin);
        }
        let print = |value: f64| length(value, self.units);
        let rows = [
            (
                far,
                (under, seat),
                format!("held {} up", print(self.held.target())),
            ),
            (
                near,
                (under, block_top),
                format!("{} to put it in", print(clearance)),
            ),
            (near, (block_top, seat), format!("block {}", print(block))),
        ];
        let middle = |row: &(f64, (f64, f64), String)| f64::midpoint(row.1.0, row.1.1);
        let stand = if self.way > 0.0 {
            Stand::Right
        } else {
            Stand::Left
        };
        let mut order: Vec<usize> = vec![1, 0, 2];
        order.sort_by(|one, other| {
            let at = |index: &usize| rows.get(*index).map_or(0.0, middle);
            at(one).total_cmp(&at(other))
        });
        let wanted: Vec<(f64, f64)> = order
            .iter()
            .filter_map(|index| rows.get(*index))
            .map(|row| (middle(row) - LINE, LINE + 4.0))
            .collect();
        let places = apart(&wanted, (8.0, seat + 40.0));
        for (index, place) in order.into_iter().zip(places) {
            let Some((x, (above, below), words)) = rows.get(index) else {
                continue;
            };
            let at = (far + self.way * 16.0, place + LINE * 0.35);
            drawing.measure("height", ((*x, *above), (*x, *below)), words, (at, stand));
        }
    }

    /// The tilt, at the mount about which the body turns.
    fn angle(&self, drawing: &mut Drawing) {
        let [_, y, z] = self.held.standing.1.at;
        let hinge = self.at(y, z + self.held.base);
        drawing.circle(hinge, 4.0, Pen::Line, Fill::Black);
        let words = format!("tilt {}", degrees(self.held.tilt(), self.units));
        let at = self.at(y * 0.1, z + self.held.base);
        drawing.words((at.0, at.1 - 46.0), &words, Stand::Middle);
        let turned = self.held_at([self.seat()[0], y * 0.1, z]);
        drawing.line((turned.0, turned.1), (at.0, at.1 - 40.0), Pen::Thin);
    }

    /// The followed place before and while the body is held, and how far it moves to the side.
    fn sideways(&self, drawing: &mut Drawing) {
        let (Some(followed), Some(moved)) = (&self.held.followed, self.held.sideways()) else {
            let x = self.scale.origin.0;
            let words = "no place on this body is known: movement to the side not drawn";
            drawing.words((x, 14.0), words, Stand::Middle);
            return;
        };
        let [_, y, z] = followed.at;
        let (before, after) = (self.at(y, z + self.held.base), self.held_at(followed.at));
        drawing.circle(before, 4.0, Pen::Line, Fill::White);
        drawing.circle(after, 4.0, Pen::Line, Fill::Black);
        let corners = self.corners().map(|point| self.held_at(point).1);
        // Above the whole body, so that no outline runs through the words.
        let level = corners.into_iter().fold(before.1, f64::min) - 14.0;
        for at in [before, after] {
            drawing.line((at.0, at.1 - 5.0), (at.0, level - 5.0), Pen::Thin);
        }
        let words = length(moved.abs(), self.units);
        let room = fitting(self.scale.length(520.0));
        let words = typed(
            &format!("{words} to the side at {}", followed.title),
            room.max(46),
        );
        // The words stand toward the middle, where there is room.
        let stand = if before.0 < self.scale.origin.0 {
            Stand::Right
        } else {
            Stand::Left
        };
        let x = match stand {
            Stand::Right => before.0.max(after.0) + 12.0,
            _ => before.0.min(after.0) - 12.0,
        };
        let ends = ((before.0, level), (after.0, level));
        drawing.measure("side", ends, &words, ((x, level + 4.0), stand));
    }
}
