//! The section on mounts: where each is, and what all of them share.

use super::yaml::{Writer, scalar};
use super::{Form, LAST_TIME, measured};
use crate::rules::pattern::MOUNT_CLASS;

impl Form<'_> {
    pub(super) fn mounts(&self, out: &mut Writer) {
        out.section("What all mounts share, looked at on each; a mount that differs gets its own, such as measured: {joint: captive}.");
        out.line(0, "every_mount:", "");
        if let Some(class) = self.rules.classes.get(MOUNT_CLASS) {
            let last = |name: &str| self.told(&format!("every_mount.{name}"), "");
            measured::lines(2, class, &last, out);
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
}
