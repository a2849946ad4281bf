//! Which entries of a pattern the chosen options keep.
//!
//! Kept are the entries whose condition holds; of the parts only those that a kept link ends on, that bridge the cut, or that
//! carry a kept part; of the mounts only those of a body that goes up. A body that goes up is fixed to nothing.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::{FxHashMap, FxHashSet};

use crate::job::CHASSIS;
use crate::report::{Code, Place, Problem, Report};
use crate::rules::expression::ExpressionError;
use crate::rules::pattern::{Chosen, Entry, Link, Mount, Part, Pattern, Raise};
use crate::sorted::Sorted as _;

/// The entries kept.
#[derive(Debug)]
pub(super) struct Picked<'a> {
    pub(super) raise: Vec<&'a Raise>,
    pub(super) mounts: Vec<&'a Mount>,
    pub(super) parts: FxHashMap<&'a str, &'a Part>,
    pub(super) links: Vec<&'a Link>,
    pub(super) vehicle: BTreeMap<&'a str, String>,
}

impl<'a> Picked<'a> {
    /// Whether a part is the chassis or a body that goes up.
    pub(super) fn is_root(&self, part: &str) -> bool {
        part == CHASSIS || self.raise.iter().any(|raise| raise.group == part)
    }

    /// What a part is bolted to; nothing for the chassis and for a body that goes up.
    pub(super) fn fixed_to(&self, part: &str) -> &'a [String] {
        match self.parts.get(part) {
            Some(found) if !self.is_root(part) => &found.fixed_to,
            _ => &[],
        }
    }
}

/// Picks the entries. Gives nothing, with the reasons in the report, when they contradict one another.
pub(super) fn pick<'a>(
    pattern: &'a Pattern,
    chosen: &Chosen,
    report: &mut Report,
) -> Option<Picked<'a>> {
    let mut own = Report::new();
    let raise = of(kept(&pattern.raise, chosen, &mut own));
    let goes_up: BTreeSet<&str> = raise.iter().map(|raise| raise.group.as_str()).sorted_set();
    let mut mounts = of(kept(&pattern.mounts, chosen, &mut own));
    mounts.retain(|mount| goes_up.contains(mount.group.as_str()));
    let parts = of(kept(pattern.parts.values(), chosen, &mut own)).into_iter();
    let links = kept(&pattern.links, chosen, &mut own);
    let mut picked = Picked {
        raise,
        mounts,
        parts: parts.map(|part| (part.id.as_str(), part)).collect(),
        links: of(links.clone()),
        vehicle: vehicle(pattern, chosen, &mut own),
    };
    for link in links {
        for end in &link.what.ends {
            there(&picked, end, &link.what.id, &link.place, chosen, &mut own);
        }
    }
    let needed = needed(pattern, &picked, chosen, &mut own);
    picked.parts.retain(|id, _| needed.contains(id));
    let broken = own.has_errors();
    report.extend(own.problems);
    (!broken).then_some(picked)
}

/// What entries are of.
fn of<T>(entries: Vec<&Entry<T>>) -> Vec<&T> {
    entries.into_iter().map(|entry| &entry.what).collect()
}

/// The entries whose condition holds.
fn kept<'a, T>(
    entries: impl IntoIterator<Item = &'a Entry<T>>,
    chosen: &Chosen,
    report: &mut Report,
) -> Vec<&'a Entry<T>> {
    let mut kept = Vec::new();
    for entry in entries {
        match chosen.holds(entry.when.as_ref()) {
            Ok(true) => kept.push(entry),
            Ok(false) => {}
            Err(error) => report.push(cannot(&error, &entry.place)),
        }
    }
    kept
}

fn cannot(error: &ExpressionError, place: &Place) -> Problem {
    Problem::error(Code::BadExpression, error.to_string())
        .at(place.clone())
        .help("write a condition over the options that yields yes or no, such as `fuel.petrol`")
}

fn vehicle<'a>(
    pattern: &'a Pattern,
    chosen: &Chosen,
    report: &mut Report,
) -> BTreeMap<&'a str, String> {
    let mut vehicle = BTreeMap::new();
    for (name, entry) in &pattern.vehicle {
        match chosen.fill(&entry.what) {
            Ok(text) => {
                vehicle.insert(name.as_str(), text);
            }
            Err(error) => report.push(cannot(&error, &entry.place)),
        }
    }
    vehicle
}

/// Reports a part that is needed and left out.
fn there(
    picked: &Picked<'_>,
    part: &str,
    by: &str,
    place: &Place,
    chosen: &Chosen,
    report: &mut Report,
) {
    if picked.is_root(part) || picked.parts.contains_key(part) {
        return;
    }
    let words = chosen.words().iter();
    let words: Vec<String> = words.map(|(name, word)| format!("{name}={word}")).collect();
    let message = format!(
        "`{by}` needs the part `{part}`, which is left out with {}",
        words.join(" ")
    );
    let problem = Problem::error(Code::UnknownPart, message)
        .at(place.clone())
        .help("give both the same `when`, or leave it out on the part: a part that nothing needs is left out by itself");
    report.push(problem);
}

/// The parts that links end on or that bridge the cut, and all that carries them.
fn needed<'a>(
    pattern: &'a Pattern,
    picked: &Picked<'a>,
    chosen: &Chosen,
    report: &mut Report,
) -> FxHashSet<&'a str> {
    let ends = picked.links.iter().flat_map(|link| &link.ends);
    let parts = pattern.parts.values().map(|entry| &entry.what);
    let bridges = parts
        .filter(|part| part.class.is_some())
        .map(|part| &part.id);
    let next = ends.chain(bridges.filter(|id| picked.parts.contains_key(id.as_str())));
    let mut next: Vec<&str> = next.map(String::as_str).collect();
    let mut needed = FxHashSet::default();
    while let Some(part) = next.pop() {
        if !needed.insert(part) {
            continue;
        }
        for on in picked.fixed_to(part) {
            if let Some(entry) = pattern.parts.get(part) {
                there(picked, on, part, &entry.place, chosen, report);
            }
            next.push(on);
        }
    }
    needed
}
