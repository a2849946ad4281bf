//! The sections on mounts (where each is, and what all of them share) and on parts, sorted by what they hang on in the end; those that bridge
//! the cut with what their class asks for.

use super::yaml::{Writer, scalar};
use super::{Form, LAST_TIME, measured};
use crate::job::CHASSIS;
use crate::rules::pattern::{MOUNT_CLASS, Part};

impl Form<'_> {
    pub(super) fn mounts(&self, out: &mut Writer) {
        out.section("What all mounts share, looked at on each; a mount that differs gets its own, such as measured: {joint: captive}.");
        out.line(0, "every_mount:", "");
        if let Some(class) = self.rules.classes.get(MOUNT_CLASS) {
            self.measured(2, class, "every_mount", out);
        }
        out.section("Every mount of every body that goes up, with its place in mm: x forward, y to the left, z up.");
        out.remark(0, "Choose a point to measure from, such as the middle of the bulkhead over the chassis rails. These places are only usual");
        out.remark(
            0,
            "ones, or those of last time: measure each mount and write its own.",
        );
        out.line(0, "mounts:", "");
        for mount in &self.outline.mounts {
            let [x, y, z] = mount.at;
            let own = format!("mounts.{}.", mount.id);
            let behind = |name: &str| {
                let value = self.outline.settled.get(&format!("{own}{name}"));
                value.map_or_else(String::new, |value| format!(", {name}: {value}"))
            };
            let line = format!(
                "- {{id: {}, group: {}{}, at: [{x}, {y}, {z}]{}}}",
                scalar(&mount.id),
                scalar(&mount.group),
                behind("class"),
                behind("spacer"),
            );
            let last = self.outline.last.iter();
            let last = last.filter_map(|(place, value)| Some((place.strip_prefix(&own)?, value)));
            let last: Vec<String> = last
                .map(|(name, value)| format!("{name} {value}"))
                .collect();
            let comment = match (&mount.whereabouts, last.as_slice()) {
                (Some(words), _) => words.clone(),
                (None, []) => String::new(),
                (None, last) => format!("{LAST_TIME}{}", last.join(", ")),
            };
            out.line(2, &line, &comment);
        }
    }

    pub(super) fn parts(&self, out: &mut Writer) {
        out.section("Every part that a link is fixed to, and what it is bolted to. That decides what rides with what, so look at each:");
        out.remark(
            0,
            "a radiator may stand on the chassis or hang in the body, a reservoir may be anywhere.",
        );
        out.line(0, "parts:", "");
        let bodies = self.outline.raise.iter().map(|raise| raise.group.as_str());
        for root in [CHASSIS].into_iter().chain(bodies) {
            out.remark(2, &format!("In the end on the {root}:"));
            for part in self.outline.parts.values() {
                let roots = self.outline.hangs_on(&part.id);
                if part.class.is_none() && roots.iter().map(String::as_str).eq([root]) {
                    self.part(part, out);
                }
            }
        }
        let others = self
            .outline
            .parts
            .values()
            .filter(|part| part.class.is_some() || self.outline.hangs_on(&part.id).len() != 1);
        let mut others = others.peekable();
        if others.peek().is_some() {
            out.remark(2, "Bolted to both sides of the cut, unless you find otherwise: then take the side off that it is not bolted to.");
        }
        for part in others {
            self.bridge(part, out);
        }
    }

    fn part(&self, part: &Part, out: &mut Writer) {
        let mut fields = Vec::new();
        if let Some(title) = &part.title {
            fields.push(format!("title: {}", scalar(title)));
        }
        if let Some(on) = self.fixed_to(part) {
            fields.push(format!("fixed_to: {on}"));
        }
        if !part.axle {
            out.line(
                2,
                &format!("{}: {{{}}}", scalar(&part.id), fields.join(", ")),
                "",
            );
            return;
        }
        out.line(2, &format!("{}:", scalar(&part.id)), "");
        for field in fields {
            out.line(4, &field, "");
        }
        let comment = "mm: how far it drops when the wheels hang; 0 when left out";
        self.entry(4, &format!("parts.{}.droop", part.id), comment, out);
    }

    /// What the part is bolted to, as YAML; nothing for the chassis or a body that goes up.
    fn fixed_to(&self, part: &Part) -> Option<String> {
        let on = self.outline.fixed_to(&part.id);
        let words: Vec<String> = on.iter().map(|on| scalar(on)).collect();
        match words.as_slice() {
            [] => None,
            [one] => Some(one.clone()),
            _ => Some(format!("[{}]", words.join(", "))),
        }
    }

    fn bridge(&self, part: &Part, out: &mut Writer) {
        let class = part
            .class
            .as_ref()
            .and_then(|class| self.rules.classes.get(class));
        if let Some(class) = class {
            measured::of_class(class, out);
        }
        out.line(2, &format!("{}:", scalar(&part.id)), "");
        if let Some(title) = &part.title {
            out.value(4, "title", title, "");
        }
        if let Some(on) = self.fixed_to(part) {
            out.line(4, &format!("fixed_to: {on}"), "");
        }
        if let Some(class) = class {
            out.value(4, "class", &class.id, "");
            out.line(4, "measured:", "");
            self.measured(6, class, &format!("parts.{}", part.id), out);
        }
    }
}
