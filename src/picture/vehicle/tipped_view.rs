//! The drawing of a body held up at one side: rails, mounts, block, body, and the dimensions.
//!
//! Takes the numbers found by `tipped`; gives the picture. Rails and the body's outline are hints; what is dimensioned is to scale.

use super::super::Picture;
use super::super::draw::{At, Drawing, Fill, Pen, Scale, Stand, WIDEST};
use super::super::layout::{cut, length, sentence};
use crate::cut::{Body, Pose};
use crate::job::{Mount, Point, Side};
use crate::quantity::{Quantity, Unit, Units};

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

/// A place of the body that is followed.
pub(super) struct Followed {
    pub(super) title: String,
    /// Where it is before the lift.
    pub(super) at: Point,
}

/// A body with one side held up.
pub(super) struct Held<'a> {
    pub(super) body: &'a Body,
    pub(super) pose: Pose,
    /// The body's place among those that go up, from 1.
    pub(super) number: usize,
    pub(super) title: String,
    pub(super) side: Side,
    /// The raised mount that rises least, and the mount about which the body turns.
    pub(super) raised: (&'a str, &'a Mount),
    pub(super) standing: (&'a str, &'a Mount),
    /// The highest block of the raised side, mm.
    pub(super) block: f64,
    /// How high the standing side stands on its blocks, mm.
    pub(super) base: f64,
    pub(super) clearance: f64,
    pub(super) followed: Option<Followed>,
}

impl Held<'_> {
    /// How far the side is held above its old mounts, mm.
    pub(super) fn target(&self) -> f64 {
        self.block + self.clearance
    }

    /// The tilt in degrees.
    pub(super) fn tilt(&self) -> f64 {
        self.body.tilt_in(self.pose)
    }

    /// How far the followed place moves sideways, mm; to the left above nothing.
    pub(super) fn sideways(&self) -> Option<f64> {
        let followed = self.followed.as_ref()?;
        Some(self.body.moved(self.pose, followed.at).0)
    }
}

/// What the drawing is made with.
struct TippedView<'a> {
    held: &'a Held<'a>,
    scale: Scale,
    /// +1 when the raised side is on the right of the drawing.
    way: f64,
    units: Units,
}

/// Draws a body held up at one side.
pub(super) fn draw(held: &Held<'_>, units: Units) -> Picture {
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
    let view = TippedView {
        held,
        scale: Scale {
            factor,
            origin: (WIDEST / 2.0 - way * (BESIDE - OTHER) / 2.0, 0.0),
        },
        way,
        units,
    };
    let name = match held.pose {
        Pose::FirstSideUp(_) => format!("tipped-{}", held.number),
        _ => format!("tipped-{}-{}", held.number, held.side.word()),
    };
    let mut drawing = Drawing::new(WIDEST);
    view.chassis(&mut drawing);
    view.body(&mut drawing);
    view.heights(&mut drawing);
    view.angle(&mut drawing);
    view.sideways(&mut drawing);
    let bottom = RAIL * factor + 34.0;
    drawing.scale((24.0, bottom), factor, units);
    let note = "to scale; rails and outline of the body only hinted at";
    drawing.words((WIDEST - 10.0, bottom + 4.5), note, Stand::Left);
    let title = format!(
        "{} from behind: {} side held up, standing on the {} side",
        sentence(&held.title),
        held.side.word(),
        held.side.other().word()
    );
    drawing.picture(&name, &title)
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

impl TippedView<'_> {
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
            drawing.label(under, (0.0, 8.0), &cut(id, 90.0));
        }
        let (x, y) = self.at(0.0, -RAIL / 2.0);
        drawing.words((x, y + 4.0), "chassis", Stand::Middle);
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
        let title = cut(&self.held.title, self.scale.length(500.0).max(60.0));
        drawing.bold(middle, &title, Stand::Middle);
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
        let words = [
            format!("{} to put it in", print(clearance)),
            format!("held {} up", print(self.held.target())),
            format!("block {}", print(block)),
        ];
        let ends = [
            (near, under, block_top),
            (far, under, seat),
            (near, block_top, seat),
        ];
        for ((x, above, below), words) in ends.into_iter().zip(&words) {
            drawing.measure("height", (x, above), (x, below), words);
        }
    }

    /// The tilt, at the mount about which the body turns.
    fn angle(&self, drawing: &mut Drawing) {
        let [_, y, z] = self.held.standing.1.at;
        let hinge = self.at(y, z + self.held.base);
        drawing.circle(hinge, 4.0, Pen::Line, Fill::Black);
        let tilt = Quantity::exact(self.held.tilt(), Unit::Degree);
        let words = format!("tilt {}", tilt.print(self.units));
        drawing.tell(&words);
        let turned = self.held_at([self.seat()[0], y * 0.1, z]);
        drawing.label(turned, (0.0, 30.0), &words);
    }

    /// The followed place before and while the body is held, and how far it moves to the side.
    fn sideways(&self, drawing: &mut Drawing) {
        let (Some(followed), Some(moved)) = (&self.held.followed, self.held.sideways()) else {
            let top = self.corners().map(|point| self.held_at(point).1);
            let at = (
                self.scale.origin.0,
                top.into_iter().fold(0.0, f64::min) - 12.0,
            );
            let words = "no place on this body is known: movement to the side not drawn";
            drawing.words(at, words, Stand::Middle);
            drawing.tell(words);
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
        let words = cut(&format!("{words} to the side at {}", followed.title), 360.0);
        drawing.measure("side", (before.0, level), (after.0, level), &words);
    }
}
