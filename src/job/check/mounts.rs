//! The body mounts: which body stands on each, where, on what block, and what was measured there.

use std::collections::{BTreeMap, BTreeSet};

use super::fields::Fields;
use super::seen::Seen;
use super::{bodies, counts, entry, lift, mount_places};
use crate::job::{Measurements, Mount, Point, written};
use crate::report::{Code, Path, unknown_help};
use crate::source::Read;

/// The class of a mount that names none.
const CLASS: &str = "body-mount";
/// Mounts closer to one line than this (mm from the line through the farthest two) cannot define a plane.
const OFF_LINE: f64 = 50.0;

pub(super) fn check(
    read: &Read<written::Job>,
    spacer: f64,
    fields: &mut Fields<'_>,
) -> BTreeMap<String, Mount> {
    let mut mounts = BTreeMap::new();
    let mut seen = Seen::new("mount");
    let list = Path::root().key("mounts");
    let given = fields.up_to(&read.value.mounts, counts::MOUNTS, "mounts", &list);
    let every = &read.value.every_mount;
    let shared = fields.measurements(every, &Path::root().key("every_mount"));
    let stray = carried_by_none(read, fields);
    let mut told = BTreeSet::new();
    for (index, mount) in given.iter().enumerate() {
        let path = entry(read, "mounts", index);
        let is_new = seen.is_new(&mount.id, &path, fields);
        // Where a body is misspelled, that is the mistake, and of several mounts of one body the first tells it.
        if !stray && told.insert(&mount.group) {
            known_group(read, &mount.group, &path, fields);
        }
        if let Some(checked) = check_mount(mount, path, (spacer, &shared), fields)
            && is_new
        {
            mounts.insert(mount.id.clone(), checked);
        }
    }
    // A mount that could not be read would make the next check complain of what is not so.
    let few = read.value.lift.raise.len() <= counts::RAISED;
    if few && !stray && mounts.len() == read.value.mounts.len() && !read.is_broken(&list) {
        let before = fields.report.problems.len();
        every_body_stands(read, &mounts, fields);
        // Mounts in a line are told of as that.
        if fields.report.problems.len() == before {
            mount_places::check(&mounts, fields);
        }
    }
    mounts
}

fn check_mount(
    mount: &written::Mount,
    path: Path,
    (spacer, shared): (f64, &Measurements),
    fields: &mut Fields<'_>,
) -> Option<Mount> {
    let own = lift::spacer(mount.spacer.as_ref(), &path.key("spacer"), fields);
    let at = fields.point(&mount.at, &path.key("at"));
    let mut measured = shared.clone();
    measured.extend(fields.measurements(&mount.measured, &path.key("measured")));
    Some(Mount {
        path,
        group: mount.group.clone(),
        class: mount.class.clone().unwrap_or_else(|| CLASS.to_owned()),
        at: at?,
        spacer: own.unwrap_or(spacer),
        measured,
    })
}

/// Reports a body that goes up and stands on no mount while mounts carry one of another name; whether there is one.
fn carried_by_none(read: &Read<written::Job>, fields: &mut Fields<'_>) -> bool {
    let mounts = &read.value.mounts;
    let raise = &read.value.lift.raise;
    let others = mounts.iter().map(|mount| mount.group.as_str());
    let others = others.filter(|group| raise.iter().all(|raise| raise.group != *group));
    let others: BTreeSet<&str> = others.collect();
    let on_none = |raise: &written::Raise| mounts.iter().all(|mount| mount.group != raise.group);
    let strays = raise.iter().enumerate().filter(|(_, raise)| on_none(raise));
    let mut found = false;
    for (index, stray) in strays.filter(|_| !others.is_empty()) {
        let path = Path::root()
            .key("lift")
            .key("raise")
            .index(index)
            .key("group");
        let message = format!("no mount carries `{}`", stray.group);
        let help = unknown_help(&stray.group, others.iter().copied());
        fields.error(Code::UnknownGroup, &path, message, help);
        found = true;
    }
    found
}

fn known_group(read: &Read<written::Job>, group: &str, path: &Path, fields: &mut Fields<'_>) {
    let raise = &read.value.lift.raise;
    // With no body at all, that is the mistake, and not every mount.
    let none = raise.is_empty() || read.is_broken(&Path::root().key("lift"));
    if none || raise.iter().any(|raise| raise.group == group) {
        return;
    }
    let message = format!("this mount carries `{group}`, and no body of that name is raised");
    let known = unknown_help(group, raise.iter().map(|raise| raise.group.as_str()));
    let help = format!(
        "{known}; a body that stays down has no mounts here: take them out and write `{group}: {{fixed_to: chassis}}` under `parts`"
    );
    fields.error(Code::UnknownGroup, &path.key("group"), message, help);
}

/// A body needs three mounts that span a plane, some on each side, or it can be neither tipped nor levelled.
fn every_body_stands(
    read: &Read<written::Job>,
    mounts: &BTreeMap<String, Mount>,
    fields: &mut Fields<'_>,
) {
    for group in bodies(&read.value) {
        let places: Vec<Point> = mounts
            .values()
            .filter(|mount| mount.group == group)
            .map(|mount| mount.at)
            .collect();
        if places.len() >= 3 && off_line(&places) > OFF_LINE && has_two_sides(&places) {
            continue;
        }
        let message = format!(
            "`{group}` has {} that span no plane with a left and a right side",
            crate::report::numbered(places.len(), "mount")
        );
        let help =
            "list every mount of a raised body with its place: three or more, left and right";
        fields.error(
            Code::TooFewMounts,
            &Path::root().key("mounts"),
            message,
            help,
        );
    }
}

/// Whether there are mounts at two different distances across.
fn has_two_sides(places: &[Point]) -> bool {
    let y = |pick: fn(f64, f64) -> f64, start| places.iter().map(|p| p[1]).fold(start, pick);
    y(f64::max, f64::NEG_INFINITY) - y(f64::min, f64::INFINITY) > OFF_LINE
}

/// How far the places stray in plan from the line through the farthest two of them, mm.
fn off_line(places: &[Point]) -> f64 {
    let mut longest = (0.0, [0.0; 3], [0.0; 3]);
    for &a in places {
        for &b in places {
            let apart = (b[0] - a[0]).hypot(b[1] - a[1]);
            if apart > longest.0 {
                longest = (apart, a, b);
            }
        }
    }
    let (length, a, b) = longest;
    let off = |p: &Point| {
        ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])).abs() / length.max(1.0)
    };
    places.iter().map(off).fold(0.0, f64::max)
}
