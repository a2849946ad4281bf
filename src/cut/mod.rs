//! A body lift is a cut: parts fall into rigid groups, and the links between groups are pulled apart.
//!
//! Takes a checked [`Job`]; gives [`Cut`]: what every part rides with, and every link, mount and bridging part split into
//! spans, each with its rise and its movement on the way. What that means for a link is left to `assess`.

mod agree;
mod bodies;
mod groups;
mod span;

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

pub(crate) use bodies::{Body, Pose};
pub(crate) use groups::Hung;
pub use span::Span;

use self::span::CutFrom;
use crate::job::{CHASSIS, Fixing, Job, Measurements, PartId, Point, Side};
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
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

impl Origin {
    /// Whether it is a connection that somebody can walk up to, rather than a mount or a consequence.
    pub(crate) fn is_connection(self) -> bool {
        matches!(self, Self::Link | Self::Bridge)
    }
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
    /// What it is fixed to, in order.
    pub fixings: Vec<Fixing>,
    /// Its spans in order.
    pub spans: Vec<Span>,
    /// Whether somebody looked how it is held between its ends.
    pub held_known: bool,
    /// Its area and where that stands in the file, when it is not the class's.
    pub area: Option<(String, Path)>,
    /// Whether it is taken apart whatever is measured on it.
    pub apart: bool,
    /// The raised body and the side that its work belongs to.
    pub raised_with: Option<(PartId, Option<Side>)>,
    /// What was measured on it.
    pub measured: Measurements,
    /// What was measured on one of its spans, by the span's number.
    pub by_span: BTreeMap<usize, Measurements>,
}

impl CutLink {
    /// A link of which nothing else is known, before it is cut.
    fn uncut(origin: Origin, class: Option<String>, path: Path, fixings: Vec<Fixing>) -> Self {
        Self {
            origin,
            class,
            title: None,
            path,
            fixings,
            spans: Vec::new(),
            held_known: true,
            area: None,
            apart: false,
            raised_with: None,
            measured: Measurements::default(),
            by_span: BTreeMap::new(),
        }
    }

    /// Its parts in order.
    pub(crate) fn parts(&self) -> impl DoubleEndedIterator<Item = &PartId> {
        self.fixings.iter().map(|fixing| &fixing.part)
    }

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
    let all = links_of(job).chain(mounts_of(job, &bodies));
    let all = all.chain(bridges_of(job, &parts));
    for (id, mut link) in all.chain(consequences_of(job, rules)) {
        link.spans = spans(job, (&id, &link), &ground);
        link.raised_with = raised_with(&link, &ground);
        agree::check(job, rules, &link, report);
        let path = link.path.clone();
        if let Some(other) = links.insert(id.clone(), link) {
            let message = format!("`{id}` names two things on the job sheet");
            let help = "links, bridging parts, and mounts (as `mount-` with their id) share one list: rename one";
            let problem = Problem::error(Code::DuplicateId, message)
                .at(job.place(&path))
                .related(job.place(&other.path), "the other");
            report.push(problem.help(help));
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
        link.spans = spans(job, (id, link), &ground);
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
            let help = "list it under `parts`, and say there with `fixed_to` what it is bolted to";
            let mut notes = job.notes(report);
            notes.error(Code::UnknownPart, path, message, help);
        }
    }
}

fn links_of(job: &Job) -> impl Iterator<Item = (String, CutLink)> {
    job.links.iter().map(|(id, link)| {
        let (class, path) = (Some(link.class.clone()), link.path.clone());
        let uncut = CutLink {
            title: link.title.clone(),
            held_known: link.held_known,
            area: link.area.clone(),
            apart: link.apart,
            measured: link.measured.clone(),
            by_span: link.by_span.clone(),
            ..CutLink::uncut(Origin::Link, class, path, link.fixings.clone())
        };
        (id.clone(), uncut)
    })
}

fn mounts_of<'a>(
    job: &'a Job,
    bodies: &'a BTreeMap<PartId, Body>,
) -> impl Iterator<Item = (String, CutLink)> + 'a {
    job.mounts.iter().map(|(id, mount)| {
        let (class, path) = (Some(mount.class.clone()), mount.path.clone());
        let fixings = [CHASSIS, &mount.group].map(|part| Fixing::of(part, Some(mount.at)));
        let area = side_area(mount.at, bodies.get(&mount.group));
        let uncut = CutLink {
            title: Some(format!("mount {id}")),
            area: Some((area, mount.path.clone())),
            measured: mount.measured.clone(),
            ..CutLink::uncut(Origin::Mount, class, path, fixings.into())
        };
        (format!("{MOUNT}{id}"), uncut)
    })
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
) -> impl Iterator<Item = (String, CutLink)> + 'a {
    let bridges = job
        .parts
        .iter()
        .filter(|(id, _)| hung.get(*id).is_some_and(|hung| hung.bridges));
    bridges.map(|(id, part)| {
        let path = part.path.clone().unwrap_or_else(Path::root);
        let fixings = part.fixed_to.iter().map(|on| Fixing::of(on, None));
        let uncut = CutLink {
            title: part.title.clone(),
            measured: part.measured.clone(),
            ..CutLink::uncut(Origin::Bridge, part.class.clone(), path, fixings.collect())
        };
        (id.clone(), uncut)
    })
}

/// What the lift brings about beside the connections: each as a link over the whole vehicle, to the body that goes up first.
fn consequences_of<'a>(
    job: &'a Job,
    rules: &'a Rules,
) -> impl Iterator<Item = (String, CutLink)> + 'a {
    let first = job.lift.raise.first();
    let raised = first.map_or("", |raise| raise.group.as_str());
    rules.consequences.keys().map(move |id| {
        let path = Path::root().key("consequences").key(id.as_str());
        let fixings = [CHASSIS, raised].map(|part| Fixing::of(part, None)).into();
        let uncut = CutLink {
            measured: job.consequences.get(id).cloned().unwrap_or_default(),
            ..CutLink::uncut(Origin::Consequence, Some(id.clone()), path, fixings)
        };
        (id.clone(), uncut)
    })
}

/// The spans of a link: between each two neighbouring fixings; of a consequence one, raised by the highest block.
fn spans(job: &Job, (id, link): (&str, &CutLink), ground: &CutFrom<'_>) -> Vec<Span> {
    let pairs = link.fixings.windows(2).filter_map(|pair| match pair {
        [from, to] => Some((from, to)),
        _ => None,
    });
    if link.origin == Origin::Consequence {
        let bodies = ground.bodies.values();
        let rise = bodies.map(|body| body.highest).fold(0.0, f64::max);
        return pairs
            .map(|(from, to)| Span::of_height(&from.part, &to.part, rise))
            .collect();
    }
    let mut spans: Vec<Span> = pairs.map(|(from, to)| ground.span(from, to)).collect();
    if link.origin == Origin::Mount {
        let mount = id.strip_prefix(MOUNT).and_then(|id| job.mounts.get(id));
        for span in &mut spans {
            span.rise = mount.map_or(0.0, |mount| mount.spacer);
            span.apart = None;
        }
    }
    spans
}

/// The raised body that a link's work goes with, and the side of its place: the last one up of those it is fixed to.
fn raised_with(link: &CutLink, ground: &CutFrom<'_>) -> Option<(PartId, Option<Side>)> {
    if link.origin == Origin::Consequence {
        return None;
    }
    let spans = link.spans.iter();
    let groups: BTreeSet<&PartId> = spans
        .flat_map(|span| span.groups.0.iter().chain(&span.groups.1))
        .sorted_set();
    let group = ground
        .order
        .iter()
        .rev()
        .find(|group| groups.contains(**group))?;
    let at = link.fixings.iter().find_map(|fixing| fixing.at);
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
    if places.is_empty() {
        return Vec::new();
    }
    let [x, y, z] = [0, 1, 2].map(|axis| {
        let along = places
            .iter()
            .filter_map(|place: &Point| place.get(axis).copied());
        let least = along.clone().fold(f64::INFINITY, f64::min);
        (least, along.fold(f64::NEG_INFINITY, f64::max))
    });
    let mut corners = Vec::new();
    for x in [x.0, x.1] {
        for y in [y.0, y.1] {
            corners.extend([z.0, z.1].map(|z| [x, y, z]));
        }
    }
    corners
}
