//! A generic vehicle on a ladder chassis from its left side: rails, wheels, engine, gearbox, tank, and the bodies on their blocks; nobody's model.
//!
//! Takes the mounts, the bodies and what is known of axles and tank; draws them. What has no place is drawn where it usually is, and only hinted at.

use super::super::Made;
use super::super::draw::{At, Drawing, Fill, Pen};
use super::super::layout::clean;
use crate::cut::Body;
use crate::job::Mount;

/// How much larger heights are drawn than lengths, so that the gap can be seen.
pub(super) const TALL: f64 = 1.5;
/// Hinted sizes, mm: a wheel's radius, its centre below the top of the rails, the depth of a rail, half a block.
const WHEEL: f64 = 360.0;
const AXLE: f64 = 190.0;
const RAIL: f64 = 130.0;
const BLOCK: f64 = 70.0;
/// How far a body reaches beyond its last mount, and the nose beyond the first, mm.
const BEYOND: f64 = 80.0;
const NOSE: f64 = 170.0;

/// Millimetres of the vehicle → pixels: the front is to the left.
pub(super) struct View {
    pub(super) factor: f64,
    /// The left edge, and the place of the vehicle that stands there, mm.
    pub(super) left: (f64, f64),
}

impl View {
    pub(super) fn at(&self, (x, z): (f64, f64)) -> At {
        let (left, front) = self.left;
        (left + (front - x) * self.factor, -z * self.factor * TALL)
    }
}

/// A body that is raised.
pub(super) struct Raised<'a> {
    pub(super) title: String,
    id: &'a str,
    body: &'a Body,
    /// Its mounts from front to rear.
    pub(super) mounts: Vec<(&'a str, &'a Mount)>,
}

/// The vehicle, mm.
pub(super) struct Vehicle<'a> {
    /// From front to rear.
    pub(super) bodies: Vec<Raised<'a>>,
    /// Its front and its rear end.
    pub(super) ends: (f64, f64),
    bonnet: f64,
    roof: f64,
    axles: [f64; 2],
    tank: f64,
    transfer_case: bool,
    block: f64,
    /// A tub or tray that stays on the chassis.
    stays: Option<&'a str>,
}

/// The vehicle of a job; none when no mount is known.
pub(super) fn vehicle<'a>(made: &Made<'a>) -> Option<Vehicle<'a>> {
    let raise = made.job.lift.raise.iter();
    let bodies = raise.filter_map(|raise| {
        let mounts = made.job.mounts.iter();
        let own = mounts.filter(|(_, mount)| mount.group == raise.group);
        let mut mounts: Vec<(&str, &Mount)> = own.map(|(id, mount)| (id.as_str(), mount)).collect();
        mounts.sort_by(|(_, one), (_, other)| other.at[0].total_cmp(&one.at[0]));
        mounts.first()?;
        Some(Raised {
            title: clean(made.job.part_title(&raise.group)),
            id: &raise.group,
            body: made.cut.bodies.get(&raise.group)?,
            mounts,
        })
    });
    let mut bodies: Vec<Raised<'_>> = bodies.collect();
    bodies.sort_by(|one, other| other.front().total_cmp(&one.front()));
    let foremost = bodies.first()?;
    let front = foremost.front() + NOSE;
    let stays = ["tub", "tray"].into_iter();
    let stays = stays
        .filter(|id| made.job.parts.contains_key(*id) && bodies.iter().all(|body| body.id != *id));
    let stays = stays.last();
    let last = bodies.iter().map(Raised::rear).fold(0.0, f64::min) - BEYOND;
    let rear = if stays.is_some() { last - 1900.0 } else { last };
    let known = |part: &str| {
        let fixings = made.job.links.values().flat_map(|link| &link.fixings);
        let hung = |id: &str| {
            made.cut
                .parts
                .get(id)
                .is_some_and(|hung| hung.chain.iter().any(|on| on == part))
        };
        let places: Vec<f64> = fixings
            .filter(|fixing| hung(&fixing.part))
            .filter_map(|fixing| Some(fixing.at?[0]))
            .collect();
        let first = places.iter().copied().reduce(f64::min)?;
        Some(places.into_iter().fold(first, f64::max).midpoint(first))
    };
    let fixings = made.job.links.values().flat_map(|link| &link.fixings);
    let places = fixings
        .filter_map(|fixing| fixing.at)
        .filter(|at| at[0] > -100.0);
    // The bonnet stands over everything under it.
    let bonnet = places
        .map(|at| at[2] + 60.0)
        .fold(660.0, f64::max)
        .min(1200.0);
    Some(Vehicle {
        ends: (front, rear),
        bonnet,
        roof: bonnet + 560.0,
        axles: [
            known("front-axle").unwrap_or(foremost.front() * 0.45),
            known("rear-axle").unwrap_or(rear * 0.8),
        ],
        tank: known("tank").unwrap_or(rear * 0.58),
        transfer_case: made
            .job
            .vehicle
            .flags
            .get("transfer_case")
            .is_none_or(|has| *has),
        block: made.job.lift.block.outer.unwrap_or(BLOCK),
        stays,
        bodies,
    })
}

impl Raised<'_> {
    fn front(&self) -> f64 {
        self.mounts.first().map_or(0.0, |(_, mount)| mount.at[0])
    }

    fn rear(&self) -> f64 {
        self.mounts.last().map_or(0.0, |(_, mount)| mount.at[0])
    }
}

/// Draws the vehicle.
pub(super) fn draw(drawing: &mut Drawing, vehicle: &Vehicle<'_>, view: &View) {
    let mut shape = |points: &[(f64, f64)], pen: Pen, fill: Fill| {
        let points: Vec<At> = points.iter().map(|place| view.at(*place)).collect();
        drawing.shape(&points, pen, fill);
    };
    let (front, rear) = vehicle.ends;
    let ground = -AXLE - WHEEL;
    shape(&[(front, ground), (rear, ground)], Pen::Thin, Fill::None);
    shape(
        &[
            (front + 60.0, 0.0),
            (rear - 30.0, 0.0),
            (rear - 30.0, -RAIL),
            (front + 60.0, -RAIL),
        ],
        Pen::Line,
        Fill::White,
    );
    let nose = front - NOSE;
    let (ahead, behind) = (nose * 0.62, nose * 0.12);
    shape(
        &[
            (ahead, 470.0),
            (behind, 470.0),
            (behind, -60.0),
            (nose * 0.3, -60.0),
            (nose * 0.34, -150.0),
            (nose * 0.58, -150.0),
            (ahead, -50.0),
        ],
        Pen::Line,
        Fill::White,
    );
    shape(
        &[
            (behind, 330.0),
            (-220.0, 170.0),
            (-560.0, 140.0),
            (-560.0, -20.0),
            (-250.0, -60.0),
            (behind, -60.0),
        ],
        Pen::Line,
        Fill::White,
    );
    if vehicle.transfer_case {
        shape(
            &[
                (-560.0, 100.0),
                (-830.0, 100.0),
                (-870.0, 30.0),
                (-770.0, -130.0),
                (-600.0, -130.0),
                (-560.0, -20.0),
            ],
            Pen::Line,
            Fill::White,
        );
    }
    let tank = vehicle.tank;
    shape(
        &[
            (tank + 340.0, -20.0),
            (tank - 340.0, -20.0),
            (tank - 340.0, -200.0),
            (tank - 280.0, -260.0),
            (tank + 280.0, -260.0),
            (tank + 340.0, -200.0),
        ],
        Pen::Line,
        Fill::White,
    );
    for axle in vehicle.axles {
        for (radius, pen, fill) in [
            (WHEEL, Pen::Bold, Fill::White),
            (WHEEL * 0.56, Pen::Line, Fill::None),
            (WHEEL * 0.14, Pen::Line, Fill::Black),
        ] {
            shape(&arc(axle, radius, -180.0), pen, fill);
        }
    }
    for raised in &vehicle.bodies {
        for (_, mount) in &raised.mounts {
            let ([x, _, z], half) = (mount.at, vehicle.block / 2.0);
            let side = |z: f64| [(x + half, z), (x - half, z)];
            let [[a, b], [d, c]] = [side(z), side(z + mount.spacer)];
            shape(&[a, b, c, d], Pen::Line, Fill::Crossed);
            if z > 0.0 {
                let [[a, b], [d, c]] = [side(0.0), side(z)];
                shape(&[a, b, c, d], Pen::Thin, Fill::White);
            }
        }
    }
    for (turn, raised) in vehicle.bodies.iter().enumerate() {
        let up = |(x, z): (f64, f64)| (x, z + raised.body.rise_at([x, 0.0, z]));
        let bottom = vehicle.bottom(raised);
        let lines = if turn == 0 {
            vehicle.cab(raised, bottom)
        } else {
            vehicle.load(
                raised.id,
                raised.front() + BEYOND,
                raised.rear() - BEYOND,
                bottom,
            )
        };
        for (points, pen) in lines {
            let points: Vec<(f64, f64)> = points.into_iter().map(up).collect();
            shape(&points, pen, Fill::None);
        }
    }
    if let (Some(id), Some(cab)) = (vehicle.stays, vehicle.bodies.first()) {
        let (front, rear) = (cab.rear() - BEYOND * 2.0, rear);
        for (points, _) in vehicle.load(id, front, rear, vec![(rear, 20.0), (front, 20.0)]) {
            shape(&points, Pen::Dashed, Fill::None);
        }
    }
}

/// The upper half of a circle about an axle, or the whole of it, from rear to front.
fn arc(axle: f64, radius: f64, from: f64) -> Vec<(f64, f64)> {
    let steps =
        (0..=32).map(|step| (180.0 + (from - 180.0) * f64::from(32 - step) / 32.0).to_radians());
    steps
        .rev()
        .map(|angle| (axle + radius * angle.cos(), -AXLE + radius * angle.sin()))
        .collect()
}

type Lines = Vec<(Vec<(f64, f64)>, Pen)>;

impl Vehicle<'_> {
    /// A body's lower edge from rear to front: over its mounts, with arches over the wheels.
    fn bottom(&self, raised: &Raised<'_>) -> Vec<(f64, f64)> {
        let mut edge: Vec<(f64, f64)> = raised
            .mounts
            .iter()
            .rev()
            .map(|(_, mount)| (mount.at[0], mount.at[2]))
            .collect();
        for axle in self.axles {
            if axle - WHEEL > raised.rear() && axle + WHEEL < raised.front() + NOSE {
                let wide = WHEEL + 70.0;
                edge.retain(|(x, _)| (x - axle).abs() > wide);
                let arch = arc(axle, wide, 0.0).into_iter().filter(|(_, z)| *z > 15.0);
                let at = edge.partition_point(|(x, _)| *x < axle);
                edge.splice(at..at, arch);
            }
        }
        edge
    }

    /// A cab or a closed body, with its screen, its side glass and the lines of its doors.
    fn cab(&self, raised: &Raised<'_>, bottom: Vec<(f64, f64)>) -> Lines {
        let (front, rear) = (self.ends.0, raised.rear() - BEYOND);
        let (bonnet, roof) = (self.bonnet, self.roof);
        let low = |end: Option<&(f64, f64)>| end.map_or(0.0, |(_, z)| *z);
        let (at_rear, at_front) = (low(bottom.first()), low(bottom.last()));
        let mut outline = vec![(rear, bonnet - 30.0), (rear, at_rear)];
        outline.extend(bottom);
        outline.extend([
            (front, at_front),
            (front + 15.0, bonnet * 0.5),
            (front - 20.0, bonnet - 120.0),
            (front - 170.0, bonnet - 50.0),
            (-20.0, bonnet),
            (-430.0, roof - 25.0),
            (-560.0, roof),
            (rear + 160.0, roof),
            (rear + 70.0, roof - 40.0),
        ]);
        let mut lines = vec![(outline, Pen::Bold)];
        let (sill, head) = (bonnet + 45.0, roof - 75.0);
        let (begin, end) = (-150.0, rear + 110.0);
        let panes = ((begin - end) / 700.0).round().clamp(1.0, 3.0);
        let pane = (begin - end) / panes;
        let mut left = begin;
        while left - pane > end - 1.0 {
            let slant = if left < begin { 0.0 } else { 300.0 };
            let right = left - pane + 50.0;
            lines.push((
                vec![
                    (left, sill),
                    (left - slant, head),
                    (right, head),
                    (right, sill),
                ],
                Pen::Line,
            ));
            if left - pane > end + 1.0 || self.bodies.len() + usize::from(self.stays.is_some()) > 1
            {
                let post = right - 25.0;
                lines.push((vec![(post, sill), (post, 110.0)], Pen::Thin));
                lines.push((
                    vec![(right + 110.0, sill - 130.0), (right + 230.0, sill - 130.0)],
                    Pen::Line,
                ));
            }
            left -= pane;
        }
        lines.push((vec![(-90.0, bonnet - 10.0), (-90.0, 110.0)], Pen::Thin));
        // A lamp, and the line of the bonnet.
        lines.push((
            vec![
                (front - 25.0, bonnet - 150.0),
                (front - 150.0, bonnet - 150.0),
                (front - 130.0, bonnet - 250.0),
                (front - 5.0, bonnet - 250.0),
            ],
            Pen::Line,
        ));
        lines.push((
            vec![(front - 150.0, bonnet - 130.0), (-60.0, bonnet - 90.0)],
            Pen::Thin,
        ));
        lines
    }

    /// A tub with its rim, or a tray with its headboard, from its lower edge up.
    fn load(&self, id: &str, front: f64, rear: f64, bottom: Vec<(f64, f64)>) -> Lines {
        let low = |end: Option<&(f64, f64)>| end.map_or(0.0, |(_, z)| *z);
        let (at_rear, at_front) = (low(bottom.first()), low(bottom.last()));
        if id.contains("tub") {
            let top = self.bonnet - 60.0;
            let mut outline = vec![(rear, top), (rear, at_rear)];
            outline.extend(bottom);
            outline.extend([(front, at_front), (front, top)]);
            return vec![
                (outline, Pen::Bold),
                (vec![(rear, top - 60.0), (front, top - 60.0)], Pen::Thin),
                (
                    vec![(rear + 60.0, top - 60.0), (rear + 60.0, 150.0)],
                    Pen::Thin,
                ),
            ];
        }
        let deck = |z: f64| vec![(rear, at_rear + z), (front, at_front + z)];
        let mut floor = vec![(front, at_front + 60.0), (rear, at_rear + 60.0)];
        floor.extend(deck(190.0));
        let mut sides = vec![(front, at_front + 190.0), (rear, at_rear + 190.0)];
        sides.extend(deck(460.0));
        let head = self.roof - 120.0;
        let board = vec![
            (front, at_front + 190.0),
            (front, head),
            (front - 50.0, head),
            (front - 50.0, at_front + 190.0),
        ];
        vec![(floor, Pen::Bold), (sides, Pen::Line), (board, Pen::Bold)]
    }
}
