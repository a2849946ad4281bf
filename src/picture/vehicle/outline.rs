//! A generic vehicle on a ladder chassis from its left side: rails, wheels, engine, gearbox, tank, and the bodies on their blocks; nobody's model.
//!
//! Takes the mounts, the bodies and what is known of axles and tank; draws them. What has no place is drawn where it usually is, and only hinted at.

use super::super::Made;
use super::super::draw::{At, Drawing, Fill, Pen};
use super::super::layout::clean;
use crate::cut::Body;
use crate::job::Mount;

/// How far forward and how far up, mm.
type Place = (f64, f64);
/// Closed outlines, each with its pen.
type Lines = Vec<(Vec<Place>, Pen)>;

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
pub(super) struct SideView {
    pub(super) factor: f64,
    /// The left edge, and the place of the vehicle that stands there, mm.
    pub(super) left: (f64, f64),
}

impl SideView {
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
    let raised = |id: &str| bodies.iter().any(|body| body.id == id);
    let stays = ["tray", "tub"]
        .into_iter()
        .find(|id| made.job.parts.contains_key(*id) && !raised(id));
    let last = bodies.iter().map(Raised::rear).fold(0.0, f64::min) - BEYOND;
    let rear = if stays.is_some() { last - 1900.0 } else { last };
    let known = |part: &str| middle_of(made, part);
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

/// The middle of the known places of what hangs on a part.
fn middle_of(made: &Made<'_>, part: &str) -> Option<f64> {
    let fixings = made.job.links.values().flat_map(|link| &link.fixings);
    let hung = |id: &str| {
        let hung = made.cut.parts.get(id);
        hung.is_some_and(|hung| hung.chain.iter().any(|on| on == part))
    };
    let own = fixings.filter(|fixing| hung(&fixing.part));
    let places: Vec<f64> = own.filter_map(|fixing| Some(fixing.at?[0])).collect();
    let least = places.iter().copied().reduce(f64::min)?;
    Some(f64::midpoint(
        least,
        places.into_iter().fold(least, f64::max),
    ))
}

impl Raised<'_> {
    fn front(&self) -> f64 {
        self.mounts.first().map_or(0.0, |(_, mount)| mount.at[0])
    }

    fn rear(&self) -> f64 {
        self.mounts.last().map_or(0.0, |(_, mount)| mount.at[0])
    }
}

/// Outlines as right and up, mm, in turn. Of the engine, right is in thousandths of the way to the foremost mount.
const ENGINE: [i16; 14] = [
    620, 470, 120, 470, 120, -60, 300, -60, 340, -150, 580, -150, 620, -50,
];
const GEARBOX: [i16; 12] = [
    100, 330, -220, 170, -560, 140, -560, -20, -250, -60, 100, -60,
];
const TRANSFER: [i16; 12] = [
    -560, 100, -830, 100, -870, 30, -770, -130, -600, -130, -560, -20,
];
const TANK: [i16; 12] = [
    340, -20, -340, -20, -340, -200, -280, -260, 280, -260, 340, -200,
];

/// The points of an outline, moved forward and made longer.
fn points(outline: &[i16], (forward, longer): (f64, f64)) -> Vec<Place> {
    let pairs = outline.chunks_exact(2).filter_map(|pair| match pair {
        [right, up] => Some((f64::from(*right), f64::from(*up))),
        _ => None,
    });
    pairs
        .map(|(right, up)| (forward + right * longer, up))
        .collect()
}

/// The corners of an upright rectangle.
fn square((left, right): (f64, f64), (low, high): (f64, f64)) -> Vec<Place> {
    vec![(left, low), (left, high), (right, high), (right, low)]
}

pub(super) fn draw(drawing: &mut Drawing, vehicle: &Vehicle<'_>, view: &SideView) {
    let mut shape = |points: &[Place], pen: Pen, fill: Fill| {
        let points: Vec<At> = points.iter().map(|place| view.at(*place)).collect();
        drawing.shape(&points, pen, fill);
    };
    for outline in vehicle.chassis() {
        shape(&outline, Pen::Line, Fill::White);
    }
    let (front, rear) = vehicle.ends;
    let ground = -AXLE - WHEEL;
    shape(&[(front, ground), (rear, ground)], Pen::Thin, Fill::None);
    for axle in vehicle.axles {
        for (part, pen, fill) in [
            (1.0, Pen::Bold, Fill::White),
            (0.56, Pen::Line, Fill::None),
            (0.14, Pen::Line, Fill::Black),
        ] {
            shape(&arc(axle, WHEEL * part, 360.0), pen, fill);
        }
    }
    for (_, mount) in vehicle.bodies.iter().flat_map(|raised| &raised.mounts) {
        let [x, _, z] = mount.at;
        let wide = (x + vehicle.block / 2.0, x - vehicle.block / 2.0);
        shape(
            &square(wide, (z, z + mount.spacer)),
            Pen::Line,
            Fill::Crossed,
        );
        if z > 0.0 {
            shape(&square(wide, (0.0, z)), Pen::Thin, Fill::White);
        }
    }
    for (turn, raised) in vehicle.bodies.iter().enumerate() {
        let bottom = vehicle.bottom(raised);
        let lines = if turn == 0 {
            vehicle.cab(raised, bottom)
        } else {
            let ends = (raised.front() + BEYOND, raised.rear() - BEYOND);
            vehicle.load(raised.id, ends, bottom)
        };
        for (points, pen) in lines {
            let up = |(x, z): Place| (x, z + raised.body.rise_at([x, 0.0, z]));
            let points: Vec<Place> = points.into_iter().map(up).collect();
            shape(&points, pen, Fill::None);
        }
    }
    if let (Some(id), Some(cab)) = (vehicle.stays, vehicle.bodies.first()) {
        let ends = (cab.rear() - BEYOND * 2.0, rear);
        for (points, _) in vehicle.load(id, ends, vec![(ends.1, 20.0), (ends.0, 20.0)]) {
            shape(&points, Pen::Dashed, Fill::None);
        }
    }
}

/// Part of a circle about an axle, from its rear end over the top, in degrees.
fn arc(axle: f64, radius: f64, degrees: f64) -> Vec<Place> {
    let steps = (0..=32).map(|step| (180.0 - degrees * f64::from(step) / 32.0).to_radians());
    let place = |angle: f64| (axle + radius * angle.cos(), radius * angle.sin() - AXLE);
    steps.map(place).collect()
}

impl Vehicle<'_> {
    /// What stays: rails, engine, gearbox, transfer case and tank.
    fn chassis(&self) -> Vec<Vec<Place>> {
        let (front, rear) = self.ends;
        let nose = front - NOSE;
        let mut outlines = vec![
            square((front + 60.0, rear - 30.0), (-RAIL, 0.0)),
            points(&ENGINE, (0.0, nose / 1000.0)),
            points(&GEARBOX, (0.0, 1.0)),
            points(&TANK, (self.tank, 1.0)),
        ];
        if self.transfer_case {
            outlines.push(points(&TRANSFER, (0.0, 1.0)));
        }
        outlines
    }

    /// A body's lower edge from rear to front: over its mounts, with arches over the wheels.
    fn bottom(&self, raised: &Raised<'_>) -> Vec<Place> {
        let mounts = raised.mounts.iter().rev();
        let mut edge: Vec<Place> = mounts
            .map(|(_, mount)| (mount.at[0], mount.at[2]))
            .collect();
        for axle in self.axles {
            if axle - WHEEL > raised.rear() && axle + WHEEL < raised.front() + NOSE {
                let wide = WHEEL + 70.0;
                edge.retain(|(x, _)| (x - axle).abs() > wide);
                let arch = arc(axle, wide, 180.0)
                    .into_iter()
                    .filter(|(_, z)| *z > 15.0);
                let at = edge.partition_point(|(x, _)| *x < axle);
                edge.splice(at..at, arch);
            }
        }
        edge
    }

    /// A cab or a closed body, with its screen, its side glass and the lines of its doors.
    fn cab(&self, raised: &Raised<'_>, bottom: Vec<Place>) -> Lines {
        let (front, rear) = (self.ends.0, raised.rear() - BEYOND);
        let (bonnet, roof) = (self.bonnet, self.roof);
        let (at_rear, at_front) = levels(&bottom);
        let mut outline = vec![(rear, bonnet - 30.0), (rear, at_rear)];
        outline.extend(bottom);
        outline.extend([(front, at_front), (front + 15.0, bonnet * 0.5)]);
        outline.extend([
            (front - 20.0, bonnet - 120.0),
            (front - 170.0, bonnet - 50.0),
        ]);
        outline.extend([(-20.0, bonnet), (-430.0, roof - 25.0), (-560.0, roof)]);
        outline.extend([(rear + 160.0, roof), (rear + 70.0, roof - 40.0)]);
        let lamp = square(
            (front - 15.0, front - 140.0),
            (bonnet - 250.0, bonnet - 150.0),
        );
        let mut lines = vec![
            (outline, Pen::Bold),
            (vec![(-90.0, bonnet - 10.0), (-90.0, 110.0)], Pen::Thin),
            (lamp, Pen::Line),
            (
                vec![(front - 150.0, bonnet - 130.0), (-60.0, bonnet - 90.0)],
                Pen::Thin,
            ),
        ];
        let (begin, end) = (-150.0, rear + 110.0);
        let long = begin - end;
        let panes = [300.0, 1050.0, 1750.0].map(|from| u32::from(long > from));
        let panes: u32 = panes.into_iter().sum();
        let pane = long / f64::from(panes.max(1));
        let short = self.bodies.len() > 1 || self.stays.is_some();
        for number in 0..panes {
            let left = begin - pane * f64::from(number);
            let slant = if number > 0 { 0.0 } else { 300.0 };
            let (right, sill, head) = (left - pane + 50.0, bonnet + 45.0, roof - 75.0);
            let glass = vec![
                (left, sill),
                (left - slant, head),
                (right, head),
                (right, sill),
            ];
            lines.push((glass, Pen::Line));
            // No door behind the last post of a closed body.
            if short || number + 1 < panes {
                let (post, handle) = (right - 25.0, sill - 130.0);
                lines.push((vec![(post, sill), (post, 110.0)], Pen::Thin));
                lines.push((
                    vec![(right + 110.0, handle), (right + 230.0, handle)],
                    Pen::Line,
                ));
            }
        }
        lines
    }

    /// A tub with its rim, or a tray with its headboard, from its lower edge up.
    fn load(&self, id: &str, (front, rear): (f64, f64), bottom: Vec<Place>) -> Lines {
        let (at_rear, at_front) = levels(&bottom);
        if id.contains("tub") {
            let (top, rim) = (self.bonnet - 60.0, self.bonnet - 120.0);
            let mut outline = vec![(rear, top), (rear, at_rear)];
            outline.extend(bottom);
            outline.extend([(front, at_front), (front, top)]);
            return vec![
                (outline, Pen::Bold),
                (vec![(rear, rim), (front, rim)], Pen::Thin),
                (vec![(rear + 60.0, rim), (rear + 60.0, 150.0)], Pen::Thin),
            ];
        }
        let deck = at_rear.max(at_front);
        vec![
            (
                square((front, rear), (deck + 60.0, deck + 190.0)),
                Pen::Bold,
            ),
            (
                square((front, rear), (deck + 190.0, deck + 460.0)),
                Pen::Line,
            ),
            (
                square((front, front - 50.0), (deck + 190.0, self.roof - 120.0)),
                Pen::Bold,
            ),
        ]
    }
}

/// The heights of a lower edge's rear and front end.
fn levels(bottom: &[Place]) -> (f64, f64) {
    let level = |end: Option<&Place>| end.map_or(0.0, |(_, z)| *z);
    (level(bottom.first()), level(bottom.last()))
}
