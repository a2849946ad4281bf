//! What a pattern gives to a new job: the entries that the chosen options keep.
//!
//! Takes a pattern and what was chosen of it; gives an [`Outline`], or what contradicts itself.
//!
//! Kept are the entries whose condition holds; of the parts only those that a kept link ends on, that bridge the cut, or that
//! carry a kept part; of the mounts only those of a body that goes up. A body that goes up is fixed to nothing.

use std::collections::BTreeMap;

use rustc_hash::{FxHashMap, FxHashSet};

use super::Outline;
use super::yaml::word;
use crate::job::CHASSIS;
use crate::report::{Code, Place, Problem, Report};
use crate::rules::expression::ExpressionError;
use crate::rules::pattern::{Chosen, Entry, Link, Mount, Part, Pattern, Raise};
use crate::sorted::Sorted as _;

impl Outline {
    /// What a pattern has with these choices. Fails, with the reasons in the report, when it contradicts itself for them.
    pub fn of(pattern: &Pattern, chosen: &Chosen, report: &mut Report) -> Option<Self> {
        let picked = pick(pattern, chosen, report)?;
        let parts = picked.parts.values().map(|part| &part.what);
        let mut outline = Self {
            raise: of(picked.raise),
            mounts: of(picked.mounts),
            parts: parts
                .map(|part| (part.id.clone(), part.clone()))
                .sorted_map(),
            links: of(picked.links),
            settled: picked.settled,
            ..Self::default()
        };
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

/// What entries say.
fn of<T: Clone>(entries: Vec<&Entry<T>>) -> Vec<T> {
    entries
        .into_iter()
        .map(|entry| entry.what.clone())
        .collect()
}

/// The entries that are kept, as they stand in the pattern.
struct Picked<'p> {
    raise: Vec<&'p Entry<Raise>>,
    mounts: Vec<&'p Entry<Mount>>,
    parts: FxHashMap<&'p str, &'p Entry<Part>>,
    links: Vec<&'p Entry<Link>>,
    /// The fields of the vehicle, by place.
    settled: BTreeMap<String, String>,
}

/// Picks the entries. Gives nothing, with the reasons in the report, when they contradict one another.
fn pick<'p>(pattern: &'p Pattern, chosen: &Chosen, report: &mut Report) -> Option<Picked<'p>> {
    let mut own = Report::new();
    let parts = kept(pattern.parts.values(), chosen, &mut own);
    let by_id = parts.iter().map(|part| (part.what.id.as_str(), *part));
    let mut picked = Picked {
        raise: kept(&pattern.raise, chosen, &mut own),
        mounts: kept(&pattern.mounts, chosen, &mut own),
        parts: by_id.collect(),
        links: kept(&pattern.links, chosen, &mut own),
        settled: vehicle(pattern, chosen, &mut own),
    };
    let Picked { raise, mounts, .. } = &mut picked;
    mounts.retain(|mount| goes_up(raise, &mount.what.group));
    for link in &picked.links {
        for end in &link.what.ends {
            picked.there(end, (&link.what.id, &link.place), chosen, &mut own);
        }
    }
    let needed = picked.needed(&parts, chosen, &mut own);
    picked.parts.retain(|id, _| needed.contains(id));
    let broken = own.has_errors();
    report.extend(own.problems);
    (!broken).then_some(picked)
}

/// Tries a pattern's options, every three choices together; what contradicts itself goes to the report, each thing once.
pub fn rehearse(pattern: &Pattern, report: &mut Report) {
    let mut combinations = pattern.combinations().into_iter();
    let _ = combinations.find(|chosen| pick(pattern, chosen, report).is_none());
}

/// The entries whose condition holds.
fn kept<'p, T: 'p>(
    entries: impl IntoIterator<Item = &'p Entry<T>>,
    chosen: &Chosen,
    report: &mut Report,
) -> Vec<&'p Entry<T>> {
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

/// Whether a part is a body that goes up.
fn goes_up(raise: &[&Entry<Raise>], part: &str) -> bool {
    raise.iter().any(|raise| raise.what.group == part)
}

fn cannot(error: &ExpressionError, place: &Place) -> Problem {
    Problem::error(Code::BadExpression, error.to_string())
        .at(place.clone())
        .help("write a condition over the options that yields yes or no, such as `fuel.petrol`")
}

/// The fields of the vehicle.
fn vehicle(pattern: &Pattern, chosen: &Chosen, report: &mut Report) -> BTreeMap<String, String> {
    let mut settled = BTreeMap::new();
    for (name, entry) in &pattern.vehicle {
        match chosen.fill(&entry.what) {
            Ok(text) => {
                settled.insert(format!("vehicle.{name}"), word(&text));
            }
            Err(error) => report.push(cannot(&error, &entry.place)),
        }
    }
    settled
}

impl<'p> Picked<'p> {
    /// Whether a part is the chassis or a body that goes up.
    fn is_root(&self, part: &str) -> bool {
        part == CHASSIS || goes_up(&self.raise, part)
    }

    /// Reports a part that is needed and left out.
    fn there(&self, part: &str, (by, place): (&str, &Place), chosen: &Chosen, report: &mut Report) {
        if self.parts.contains_key(part) || self.is_root(part) {
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

    /// The parts that links end on or that bridge the cut, and all that carries them. A body that goes up is fixed to nothing.
    fn needed(
        &self,
        parts: &[&'p Entry<Part>],
        chosen: &Chosen,
        report: &mut Report,
    ) -> FxHashSet<&'p str> {
        let ends = self.links.iter().flat_map(|link| &link.what.ends);
        let bridges = parts.iter().filter(|part| part.what.class.is_some());
        let next = ends.chain(bridges.map(|part| &part.what.id));
        let mut next: Vec<&str> = next.map(String::as_str).collect();
        let mut needed = FxHashSet::default();
        while let Some(part) = next.pop() {
            let Some(entry) = self.parts.get(part) else {
                continue;
            };
            if !needed.insert(part) || self.is_root(part) {
                continue;
            }
            for on in &entry.what.fixed_to {
                self.there(on, (part, &entry.place), chosen, report);
                next.push(on);
            }
        }
        needed
    }
}
