//! The links: their fixings in order, how they are held, and what was measured on them or on one of their spans.

use std::collections::{BTreeMap, BTreeSet};

use super::fields::Fields;
use super::seen::Seen;
use super::{counts, entry, parts};
use crate::job::written::{self, HeldBy};
use crate::job::{Fixing, Link, LinkId, Measurements, Point};
use crate::report::{Code, Path};
use crate::source::Read;

pub(super) fn check(
    read: &Read<written::Job>,
    known: &BTreeSet<String>,
    fields: &mut Fields<'_>,
) -> BTreeMap<LinkId, Link> {
    let mut links = BTreeMap::new();
    let mut seen = Seen::new("link");
    let list = Path::root().key("links");
    let given = fields.up_to(&read.value.links, counts::LINKS, "links", &list);
    fields.holders(given, &list);
    for (index, link) in given.iter().enumerate() {
        let path = entry(read, "links", index);
        let is_new = seen.is_new(&link.id, &path, fields);
        let checked = check_link(link, &path, known, fields);
        if is_new {
            links.insert(link.id.clone(), checked);
        }
    }
    links
}

fn check_link(
    link: &written::Link,
    path: &Path,
    known: &BTreeSet<String>,
    fields: &mut Fields<'_>,
) -> Link {
    let place = link.at.as_ref();
    let place = place.and_then(|at| fields.point(at, &path.key("at")));
    let fixings = fixings(link, path, known, place, fields);
    let by_span = by_span(link, path, &fixings, fields);
    Link {
        class: link.class.clone(),
        title: link.title.clone(),
        held_known: link.held_by.is_some(),
        area: link.area.clone().map(|area| (area, path.key("area"))),
        apart: fields
            .flag(link.apart.as_ref(), &path.key("apart"))
            .unwrap_or(false),
        measured: fields.measurements(&link.measured, &path.key("measured")),
        path: path.clone(),
        fixings,
        by_span,
    }
}

/// The first end, what holds the link, the second end; each at its own place or at the link's.
fn fixings(
    link: &written::Link,
    path: &Path,
    known: &BTreeSet<String>,
    place: Option<Point>,
    fields: &mut Fields<'_>,
) -> Vec<Fixing> {
    let ends = path.key("ends");
    let held = path.key("held_by");
    let holders: &[written::Fixing] = match &link.held_by {
        Some(HeldBy(holders)) => {
            fields.up_to(holders, counts::FIXINGS, "parts that hold one link", &held)
        }
        None => &[],
    };
    let first = std::iter::once((&link.ends.0, ends.index(0)));
    let middle = holders.iter().enumerate();
    let middle = middle.map(|(index, fixing)| (fixing, held.index(index)));
    let last = std::iter::once((&link.ends.1, ends.index(1)));
    let who = format!("link `{}`", link.id);
    let all = first.chain(middle).chain(last);
    all.map(|(fixing, path)| {
        parts::resolve(known, &fixing.part, &who, &path, fields);
        let own = fixing.at.as_ref();
        let own = own.and_then(|at| fields.point(at, &path.key("at")));
        Fixing {
            part: fixing.part.clone(),
            at: own.or(place),
        }
    })
    .collect()
}

fn by_span(
    link: &written::Link,
    path: &Path,
    fixings: &[Fixing],
    fields: &mut Fields<'_>,
) -> BTreeMap<usize, Measurements> {
    let mut found = BTreeMap::new();
    for (index, span) in link.spans.iter().enumerate() {
        let at = path.key("spans").index(index);
        let number = fixings.windows(2).position(|pair| match pair {
            [a, b] => a.part == span.from && b.part == span.to,
            _ => false,
        });
        if let Some(number) = number {
            let measured = fields.measurements(&span.measured, &at.key("measured"));
            found.insert(number, measured);
            continue;
        }
        let order: Vec<&str> = fixings.iter().map(|fixing| fixing.part.as_str()).collect();
        let message = format!(
            "link `{}` has no span from `{}` to `{}`",
            link.id, span.from, span.to
        );
        let help = format!("its fixings in order are: {}", order.join(" → "));
        fields.error(Code::UnknownSpan, &at, message, help);
    }
    found
}
