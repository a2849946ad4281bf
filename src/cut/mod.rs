//! A body lift is a cut: parts fall into rigid groups, and the links between groups are pulled apart.
//!
//! Takes a checked [`Job`]; gives [`Cut`]: what every part rides with, and every link, mount and bridging part split into
//! spans, each with its rise and its movement on the way. What that means for a link is left to `assess`.

mod agree;
mod bodies;
mod groups;
mod span;

use std::collections::{BTreeMap, BTreeSet};

pub(crate) use bodies::{Body, Pose};
pub(crate) use groups::Hung;
pub use span::Span;

use self::span::CutFrom;
use crate::job::{CHASSIS, Fixing, Job, Measurements, Mount, PartId, Point, Side};
use crate::report::{Code, Path, Problem, Report};
use crate::rules::{Area, Rules};
use crate::sorted::Sorted as _;

/// A vehicle cut between its body and its chassis.
#[derive(Debug, Clone)]
pub struct Cut {
    /// The rigid groups: the chassis, then the raised bodies in the order in which they go up.
    pub groups: Vec<PartId>,
    /// What every part rides with.
    pub parts: BTreeMap<PartId, Hung>,
    /// The raised bodies.
    pub bodies: BTreeMap<PartId, Body>,
    /// Every link, mount and bridging part, by id.
    pub links: BTreeMap<String, CutLink>,
    /// Corners of the box round every known place.
    corners: Vec<Point>,
}

/// What a mount's id as a connection begins with.
pub(crate) const MOUNT: &str = "mount-";

/// What a [`CutLink`] stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// A link of the job file.
    Link,
    /// A body mount.
    Mount,
    /// A part bolted to both sides of the cut.
    Bridge,
    /// Something that the lift brings about beside the connections.
    Consequence,
}

/// A link split into its spans.
#[derive(Debug, Clone)]
pub struct CutLink {
    /// What it stands for.
    pub origin: Origin,
    /// Its class of connection; none for a bridging part that names none.
    pub class: Option<String>,
    /// What it is called on the pages, when that is not the class's title.
    pub title: Option<String>,
    /// Where it stands in the job file.
    pub path: Path,
    /// Its parts in order.
    pub fixings: Vec<PartId>,
    /// Its spans in order.
    pub spans: Vec<Span>,
    /// Whether somebody looked how it is held between its ends.
    pub held_known: bool,
    /// Its area and where that stands in the file, when it is not the class's.
    pub area: Option<(String, Path)>,
    /// The raised body and the side that its work belongs to.
    pub raised_with: Option<(PartId, Option<Side>)>,
    /// What was measured on it.
    pub measured: Measurements,
    /// What was measured on one of its spans, by the span's number.
    pub by_span: BTreeMap<usize, Measurements>,
}

impl CutLink {
    /// The spans that the lift pulls apart, with their numbers.
    pub(crate) fn disturbed_spans(&self) -> impl Iterator<Item = (usize, &Span)> {
        let spans = self.spans.iter().enumerate();
        spans.filter(|(_, span)| span.disturbed())
    }

    /// Where its fixing of that number stands in the job file.
    fn path_of(&self, number: usize) -> Path {
        let last = self.fixings.len().saturating_sub(1);
        match number {
            0 => self.path.key("ends").index(0),
            number if number == last => self.path.key("ends").index(1),
            number => self.path.key("held_by").index(number - 1),
        }
    }

    /// Whether the lift pulls any span apart, at the end or on the way.
    pub(crate) fn disturbed(&self) -> bool {
        self.disturbed_spans().next().is_some()
    }
}

/// Cuts the vehicle, with the consequences of the lift among its links; problems (a floating part, two things of one id) go to the report.
pub fn cut(job: &Job, rules: &Rules, report: &mut Report) -> Cut {
    let parts = groups::groups(job, report);
    let bodies = bodies(job, report);
    whole(job, &parts, report);
    let corners = corners(job);
    let ground = CutFrom::new(job, (&parts, &bodies, &corners));
    let mut links = BTreeMap::new();
    let all = links_of(job, &ground).chain(mounts_of(job, &ground));
    let all = all.chain(bridges_of(job, &parts, &ground));
    for (id, link) in all.chain(consequences_of(job, rules, &bodies)) {
        agree::check(job, rules, &link, report);
        let path = link.path.clone();
        if let Some(other) = links.insert(id.clone(), link) {
            let message = format!("`{id}` names two things on the job sheet");
            let help = "links, bridging parts, and mounts (as `mount-` with their id) share one list: rename one";
            report.push(
                Problem::error(Code::DuplicateId, message)
                    .at(job.place(&path))
                    .related(job.place(&other.path), "the other")
                    .help(help),
            );
        }
    }
    let mut groups = vec![CHASSIS.to_owned()];
    groups.extend(job.lift.raise.iter().map(|raise| raise.group.clone()));
    Cut {
        groups,
        parts,
        bodies,
        links,
        corners,
    }
}

impl Cut {
    /// Cuts one link anew for a job that differs in nothing but the height of its blocks, and so in how its bodies stand; problems with
    /// that link go to the report.
    pub(crate) fn again(
        &mut self,
        (job, rules): (&Job, &Rules),
        bodies: &BTreeMap<PartId, Body>,
        id: &str,
        report: &mut Report,
    ) {
        let ground = CutFrom::new(job, (&self.parts, bodies, &self.corners));
        let Some(link) = self.links.get_mut(id) else {
            return;
        };
        let part = |part: &PartId| Fixing::of(part, None);
        let mount = || job.mounts.get(id.strip_prefix(MOUNT)?);
        link.spans = match link.origin {
            Origin::Link => job.links.get(id).map(|link| spans(&link.fixings, &ground)),
            Origin::Mount => mount().map(|mount| mount_spans(mount, &ground)),
            Origin::Bridge => {
                let fixings: Vec<Fixing> = link.fixings.iter().map(part).collect();
                Some(spans(&fixings, &ground))
            }
            Origin::Consequence => Some(consequence_spans(job, bodies)),
        }
        .unwrap_or_default();
        agree::check(job, rules, link, report);
    }
}

/// The raised bodies on their blocks; one that cannot stand so goes to the report.
pub(crate) fn bodies(job: &Job, report: &mut Report) -> BTreeMap<PartId, Body> {
    let raises = job.lift.raise.iter();
    let bodies = raises.filter_map(|raise| {
        let body = Body::new(job, raise, report)?;
        Some((raise.group.clone(), body))
    });
    bodies.sorted_map()
}

/// What is fixed to a part that rides with nothing known would seem to stay where it is. Wherever that is not told already, it is here, so
/// that nothing is made of such a cut.
fn whole(job: &Job, parts: &BTreeMap<PartId, Hung>, report: &mut Report) {
    let links = job.links.values();
    let links = links.flat_map(|link| link.fixings.iter().map(|fixing| (&fixing.part, &link.path)));
    let mounts = job.mounts.values();
    let mounts = mounts.map(|mount| (&mount.group, &mount.path));
    for (part, path) in links.chain(mounts) {
        if !parts.contains_key(part) && !report.has_errors() {
            let message = format!("nobody knows what `{part}` rides with");
            let problem = Problem::error(Code::UnknownPart, message)
                .at(job.place(path))
                .help("list it under `parts`, and say there with `fixed_to` what it is bolted to");
            report.push(problem);
        }
    }
}

fn links_of<'a>(
    job: &'a Job,
    ground: &'a CutFrom<'_>,
) -> impl Iterator<Item = (String, CutLink)> + 'a {
    job.links.iter().map(|(id, link)| {
        let spans = spans(&link.fixings, ground);
        let cut = CutLink {
            origin: Origin::Link,
            class: Some(link.class.clone()),
            title: link.title.clone(),
            path: link.path.clone(),
            fixings: link
                .fixings
                .iter()
                .map(|fixing| fixing.part.clone())
                .collect(),
            raised_with: raised_with(&spans, &link.fixings, ground),
            spans,
            held_known: link.held_known,
            area: link.area.clone(),
            measured: link.measured.clone(),
            by_span: link.by_span.clone(),
        };
        (id.clone(), cut)
    })
}

fn mounts_of<'a>(
    job: &'a Job,
    ground: &'a CutFrom<'_>,
) -> impl Iterator<Item = (String, CutLink)> + 'a {
    job.mounts.iter().map(|(id, mount)| {
        let fixings = mount_fixings(mount);
        let spans = mount_spans(mount, ground);
        let cut = CutLink {
            origin: Origin::Mount,
            class: Some(mount.class.clone()),
            title: Some(format!("mount {id}")),
            path: mount.path.clone(),
            fixings: fixings.iter().map(|fixing| fixing.part.clone()).collect(),
            raised_with: raised_with(&spans, &fixings, ground),
            spans,
            held_known: true,
            area: Some((
                side_area(mount.at, ground.bodies.get(&mount.group)),
                mount.path.clone(),
            )),
            measured: mount.measured.clone(),
            by_span: BTreeMap::new(),
        };
        (format!("{MOUNT}{id}"), cut)
    })
}

fn mount_fixings(mount: &Mount) -> [Fixing; 2] {
    [CHASSIS, &mount.group].map(|part| Fixing::of(part, Some(mount.at)))
}

fn mount_spans(mount: &Mount, ground: &CutFrom<'_>) -> Vec<Span> {
    let mut spans = spans(&mount_fixings(mount), ground);
    for span in &mut spans {
        span.rise = mount.spacer;
        span.apart = None;
    }
    spans
}

/// A mount is worked on from its own side of the vehicle.
fn side_area(at: Point, body: Option<&Body>) -> String {
    let side = body.map_or(Side::Left, |body| body.side_of(at[1]));
    let area = match side {
        Side::Left => Area::LeftUnder,
        Side::Right => Area::RightUnder,
    };
    area.word().to_owned()
}

/// Parts whose own bolts join two groups: each is a link between what it is bolted to.
fn bridges_of<'a>(
    job: &'a Job,
    hung: &'a BTreeMap<PartId, Hung>,
    ground: &'a CutFrom<'_>,
) -> impl Iterator<Item = (String, CutLink)> + 'a {
    let bridges = job
        .parts
        .iter()
        .filter(|(id, _)| hung.get(*id).is_some_and(|hung| hung.bridges));
    bridges.map(|(id, part)| {
        let fixing = |part: &PartId| Fixing::of(part, None);
        let fixings: Vec<Fixing> = part.fixed_to.iter().map(fixing).collect();
        let spans = spans(&fixings, ground);
        let cut = CutLink {
            origin: Origin::Bridge,
            class: part.class.clone(),
            title: part.title.clone(),
            path: part.path.clone().unwrap_or_else(Path::root),
            fixings: fixings.iter().map(|fixing| fixing.part.clone()).collect(),
            raised_with: raised_with(&spans, &fixings, ground),
            spans,
            held_known: true,
            area: None,
            measured: part.measured.clone(),
            by_span: BTreeMap::new(),
        };
        (id.clone(), cut)
    })
}

/// What the lift brings about beside the connections: each as a link over the whole vehicle, raised by the highest block.
fn consequences_of<'a>(
    job: &'a Job,
    rules: &'a Rules,
    bodies: &'a BTreeMap<PartId, Body>,
) -> impl Iterator<Item = (String, CutLink)> + 'a {
    rules.consequences.keys().map(move |id| {
        let measured = job.consequences.get(id).cloned().unwrap_or_default();
        let cut = CutLink {
            origin: Origin::Consequence,
            class: Some(id.clone()),
            title: None,
            path: Path::root().key("consequences").key(id.as_str()),
            fixings: vec![CHASSIS.to_owned(), first_raised(job)],
            spans: consequence_spans(job, bodies),
            held_known: true,
            area: None,
            raised_with: None,
            measured,
            by_span: BTreeMap::new(),
        };
        (id.clone(), cut)
    })
}

/// The body that goes up first.
fn first_raised(job: &Job) -> PartId {
    let first = job.lift.raise.first();
    first.map(|raise| raise.group.clone()).unwrap_or_default()
}

fn consequence_spans(job: &Job, bodies: &BTreeMap<PartId, Body>) -> Vec<Span> {
    let rise = bodies.values().map(|body| body.highest).fold(0.0, f64::max);
    vec![Span::of_height(CHASSIS, &first_raised(job), rise)]
}

fn spans(fixings: &[Fixing], ground: &CutFrom<'_>) -> Vec<Span> {
    let pairs = fixings.windows(2);
    pairs
        .filter_map(|pair| match pair {
            [from, to] => Some(ground.span(from, to)),
            _ => None,
        })
        .collect()
}

/// The raised body that a link's work goes with, and the side of its place: the last one up of those it is fixed to.
fn raised_with(
    spans: &[Span],
    fixings: &[Fixing],
    ground: &CutFrom<'_>,
) -> Option<(PartId, Option<Side>)> {
    let groups: BTreeSet<&PartId> = spans
        .iter()
        .flat_map(|span| span.groups.0.iter().chain(&span.groups.1))
        .sorted_set();
    let group = ground
        .order
        .iter()
        .rev()
        .find(|group| groups.contains(**group))?;
    let at = fixings.iter().find_map(|fixing| fixing.at);
    let body = ground.bodies.get(*group);
    let side = at.and_then(|at| Some(body?.side_of(at[1])));
    Some(((*group).clone(), side))
}

/// The corners of the box round every known place of the vehicle.
fn corners(job: &Job) -> Vec<Point> {
    let mounts = job.mounts.values().map(|mount| mount.at);
    let fixings = job.links.values().flat_map(|link| &link.fixings);
    let places: Vec<Point> = mounts
        .chain(fixings.filter_map(|fixing| fixing.at))
        .collect();
    let end = |axis: usize, pick: fn(f64, f64) -> f64, start: f64| {
        let along = places.iter().filter_map(|place| place.get(axis).copied());
        along.fold(start, pick)
    };
    if places.is_empty() {
        return Vec::new();
    }
    let ends: Vec<(f64, f64)> = (0..3)
        .map(|axis| {
            (
                end(axis, f64::min, f64::INFINITY),
                end(axis, f64::max, f64::NEG_INFINITY),
            )
        })
        .collect();
    let [x, y, z] = ends.as_slice() else {
        return Vec::new();
    };
    let mut corners = Vec::new();
    for x in [x.0, x.1] {
        for y in [y.0, y.1] {
            corners.extend([z.0, z.1].map(|z| [x, y, z]));
        }
    }
    corners
}
