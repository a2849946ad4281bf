//! What a new job file is written from: bodies, mounts, parts and connections, what of them is settled, and what was measured last time.
//!
//! Begun from a pattern (`pick`) or from a job that was done before (`like`); what is wished beside that is added here.

use std::collections::{BTreeMap, BTreeSet};

use super::rows;
use crate::job::CHASSIS;
use crate::report::in_message;
use crate::rules::pattern::{Link, MOUNT_CLASS, Mount, Part, Pattern, Raise};

/// The vehicle as far as it is known before anything is measured.
#[derive(Debug, Default)]
pub struct Outline {
    /// What the file says of where it comes from, a line each.
    pub(super) opening: Vec<String>,
    pub(super) raise: Vec<Raise>,
    pub(super) mounts: Vec<Mount>,
    pub(super) parts: BTreeMap<String, Part>,
    pub(super) links: Vec<Link>,
    /// The connections whose ends nobody knows.
    pub(super) unplaced: BTreeSet<String>,
    /// What is settled besides, as YAML, by place: `vehicle.fuel`, `filler-hose.held_by`.
    pub(super) settled: BTreeMap<String, String>,
    /// What was measured last time, by place.
    pub(super) last: BTreeMap<String, String>,
}

impl Outline {
    /// The classes of connection that it names.
    pub fn classes(&self) -> impl Iterator<Item = &str> {
        let links = self.links.iter().map(|link| link.class.as_str());
        let parts = self.parts.values().filter_map(|part| part.class.as_deref());
        links.chain(parts).chain([MOUNT_CLASS])
    }

    /// As many mounts as wished: `8`, or `4+4` for each body in the order in which they go up.
    ///
    /// # Errors
    ///
    /// A number that no pairs can be made of.
    pub fn set_mounts(&mut self, wished: &str) -> Result<(), String> {
        self.mounts = rows::spread(&self.mounts, &self.raise, wished)?;
        Ok(())
    }

    /// A connection more, with the ends that it has in the first of these patterns that has one.
    ///
    /// # Errors
    ///
    /// A name that something else has already; a class of mounts.
    pub fn add(
        &mut self,
        class: &str,
        id: Option<&str>,
        patterns: &[Pattern],
    ) -> Result<(), String> {
        if class == MOUNT_CLASS {
            return Err("mounts are added by their number, such as `mounts=12`".to_owned());
        }
        if let Some(id) = id.filter(|id| self.has(id)) {
            let id = in_message(id);
            return Err(format!(
                "the job has a `{id}` already; give the new one another name"
            ));
        }
        let named = |own: &str| id.map_or_else(|| self.free(own), ToOwned::to_owned);
        for pattern in patterns {
            let mut parts = pattern.parts.values().map(|part| &part.what);
            if let Some(part) = parts.find(|part| part.class.as_deref() == Some(class)) {
                let part = Part {
                    id: named(&part.id),
                    ..part.clone()
                };
                if let Some(more) = self.carriers(pattern, &part.fixed_to) {
                    self.parts
                        .extend(more.into_iter().chain([(part.id.clone(), part)]));
                    return Ok(());
                }
            }
            // Of several that the pattern has, one that is not there yet.
            let links = pattern.links.iter().map(|link| &link.what);
            let mut links: Vec<&Link> = links.filter(|link| link.class == class).collect();
            links.sort_by_key(|link| self.has(&link.id));
            if let Some(link) = links.first().copied()
                && let Some(more) = self.carriers(pattern, &link.ends)
            {
                // Two of one title could not be told apart.
                let title = link.title.clone().filter(|_| !self.has(&link.id));
                let link = Link {
                    id: named(&link.id),
                    title,
                    ..link.clone()
                };
                self.parts.extend(more);
                self.links.push(link);
                return Ok(());
            }
        }
        let body = self.raise.first().map(|raise| raise.group.clone());
        let id = named(class);
        self.unplaced.insert(id.clone());
        self.links.push(Link {
            id,
            class: class.to_owned(),
            title: None,
            area: None,
            ends: [
                CHASSIS.to_owned(),
                body.unwrap_or_else(|| CHASSIS.to_owned()),
            ],
        });
        Ok(())
    }

    /// The parts of a pattern that are still to be had for these, and all that carry them; none where one hangs on nothing here.
    fn carriers(&self, pattern: &Pattern, parts: &[String]) -> Option<BTreeMap<String, Part>> {
        let mut more = BTreeMap::new();
        let mut next = parts.to_vec();
        while let Some(id) = next.pop() {
            if self.is_root(&id) || self.parts.contains_key(&id) || more.contains_key(&id) {
                continue;
            }
            let part = &pattern.parts.get(&id)?.what;
            if part.fixed_to.is_empty() {
                return None;
            }
            next.extend(part.fixed_to.iter().cloned());
            more.insert(id, part.clone());
        }
        Some(more)
    }

    fn has(&self, id: &str) -> bool {
        self.links.iter().any(|link| link.id == id)
            || self.parts.contains_key(id)
            || self.mounts.iter().any(|mount| mount.id == id)
    }

    /// A name that nothing has yet.
    fn free(&self, id: &str) -> String {
        let numbered = (2..).map(|number| format!("{id}-{number}"));
        let mut names = std::iter::once(id.to_owned()).chain(numbered);
        names.find(|name| !self.has(name)).unwrap_or_default()
    }

    /// Whether a part is the chassis or a body that goes up.
    pub(super) fn is_root(&self, part: &str) -> bool {
        part == CHASSIS || self.raise.iter().any(|raise| raise.group == part)
    }

    /// What a part is bolted to; nothing for the chassis and for a body that goes up.
    pub(super) fn fixed_to(&self, part: &str) -> &[String] {
        match self.parts.get(part) {
            Some(found) if !self.is_root(part) => &found.fixed_to,
            _ => &[],
        }
    }

    /// The chassis or bodies that a part hangs on, followed bolt by bolt.
    pub(super) fn hangs_on(&self, part: &str) -> BTreeSet<String> {
        let mut roots = BTreeSet::new();
        let mut seen = BTreeSet::new();
        let mut next = vec![part.to_owned()];
        while let Some(part) = next.pop() {
            if self.is_root(&part) {
                roots.insert(part);
            } else if seen.insert(part.clone()) {
                next.extend(self.fixed_to(&part).iter().cloned());
            }
        }
        roots
    }
}
