//! What a pattern gives to a new job: the entries that the chosen options keep.
//!
//! Takes a pattern and what was chosen of it; gives an [`Outline`], or what contradicts itself.
//!
//! Kept are the entries whose condition holds; of the parts only those that a kept link ends on, that bridge the cut, or that
//! carry a kept part; of the mounts only those of a body that goes up. A body that goes up is fixed to nothing.

use std::collections::BTreeSet;

use rustc_hash::FxHashSet;

use super::Outline;
use super::yaml::word;
use crate::report::{Code, Place, Problem, Report};
use crate::rules::expression::ExpressionError;
use crate::rules::pattern::{Chosen, Entry, Pattern};
use crate::sorted::Sorted as _;

impl Outline {
    /// What a pattern has with these choices. Fails, with the reasons in the report, when it contradicts itself for them.
    pub fn of(pattern: &Pattern, chosen: &Chosen, report: &mut Report) -> Option<Self> {
        let mut outline = pick(pattern, chosen, report)?;
        let words = chosen.words().iter();
        let words: Vec<String> = words.map(|(name, word)| format!("{name}={word}")).collect();
        let spacer = format!("{} mm", pattern.spacer);
        outline.settled.insert("lift.spacer".to_owned(), spacer);
        let otherwise = [
            ("vehicle.name", pattern.title.as_str()),
            ("vehicle.construction", "ladder frame"),
        ];
        for (place, text) in otherwise {
            let text = word(text);
            outline.settled.entry(place.to_owned()).or_insert(text);
        }
        outline.opening = vec![
            format!(
                "A job file for liftsheet, begun from the pattern {}: {}.",
                pattern.id, pattern.title
            ),
            format!("Options chosen: {}", words.join(" ")),
            "This is nobody's model: delete what the vehicle does not have, add what it has besides, and put right what a part is bolted to.".to_owned(),
        ];
        Some(outline)
    }
}

/// Picks the entries. Gives nothing, with the reasons in the report, when they contradict one another.
pub(super) fn pick(pattern: &Pattern, chosen: &Chosen, report: &mut Report) -> Option<Outline> {
    let mut own = Report::new();
    let raise = kept(&pattern.raise, chosen, &mut own);
    let goes_up: BTreeSet<&str> = raise.iter().map(|raise| raise.group.as_str()).sorted_set();
    let mut mounts = kept(&pattern.mounts, chosen, &mut own);
    mounts.retain(|mount| goes_up.contains(mount.group.as_str()));
    let parts = kept(pattern.parts.values(), chosen, &mut own).into_iter();
    let mut picked = Outline {
        mounts,
        parts: parts.map(|part| (part.id.clone(), part)).sorted_map(),
        links: kept(&pattern.links, chosen, &mut own),
        raise,
        ..Outline::default()
    };
    vehicle(&mut picked, pattern, chosen, &mut own);
    let links = picked.links.iter();
    let kept: BTreeSet<&str> = links.map(|link| link.id.as_str()).sorted_set();
    let links = pattern.links.iter();
    for link in links.filter(|link| kept.contains(link.what.id.as_str())) {
        for end in &link.what.ends {
            there(&picked, end, &link.what.id, &link.place, chosen, &mut own);
        }
    }
    let needed = needed(pattern, &picked, chosen, &mut own);
    picked.parts.retain(|id, _| needed.contains(id.as_str()));
    let broken = own.has_errors();
    report.extend(own.problems);
    (!broken).then_some(picked)
}

/// The entries whose condition holds.
fn kept<'a, T: Clone + 'a>(
    entries: impl IntoIterator<Item = &'a Entry<T>>,
    chosen: &Chosen,
    report: &mut Report,
) -> Vec<T> {
    let mut kept = Vec::new();
    for entry in entries {
        match chosen.holds(entry.when.as_ref()) {
            Ok(true) => kept.push(entry.what.clone()),
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

/// Settles the fields of the vehicle.
fn vehicle(picked: &mut Outline, pattern: &Pattern, chosen: &Chosen, report: &mut Report) {
    for (name, entry) in &pattern.vehicle {
        match chosen.fill(&entry.what) {
            Ok(text) => {
                let place = format!("vehicle.{name}");
                picked.settled.insert(place, word(&text));
            }
            Err(error) => report.push(cannot(&error, &entry.place)),
        }
    }
}

/// Reports a part that is needed and left out.
fn there(
    picked: &Outline,
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
fn needed<'p>(
    pattern: &'p Pattern,
    picked: &Outline,
    chosen: &Chosen,
    report: &mut Report,
) -> FxHashSet<&'p str> {
    let ends = picked.links.iter().flat_map(|link| &link.ends);
    let bridges = picked.parts.values().filter(|part| part.class.is_some());
    let next = ends.chain(bridges.map(|part| &part.id));
    let mut next: Vec<&String> = next.collect();
    let mut needed = FxHashSet::default();
    while let Some(part) = next.pop() {
        let Some((id, entry)) = pattern.parts.get_key_value(part) else {
            continue;
        };
        if !needed.insert(id.as_str()) {
            continue;
        }
        for on in picked.fixed_to(part) {
            there(picked, on, part, &entry.place, chosen, report);
            next.push(on);
        }
    }
    needed
}
