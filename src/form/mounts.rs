//! The section on mounts: where each is, and what all of them share.

use super::yaml::{Writer, scalar};
use super::{Form, measured};
use crate::rules::pattern::MOUNT_CLASS;

impl Form<'_> {
    pub(super) fn mounts(&self, out: &mut Writer) {
        out.section("What all mounts share, looked at on each; a mount that differs gets its own, such as measured: {joint: captive}.");
        out.line(0, "every_mount:", "");
        if let Some(class) = self.rules.classes.get(MOUNT_CLASS) {
            measured::lines(2, class, out);
        }
        out.section("Every mount of every body that goes up, with its place in mm: x forward, y to the left, z up.");
        out.remark(0, "Choose a point to measure from, such as the middle of the bulkhead over the chassis rails. These places are only usual");
        out.remark(0, "ones: measure each mount and write its own.");
        out.line(0, "mounts:", "");
        for mount in &self.picked.mounts {
            let [x, y, z] = mount.at;
            let line = format!(
                "- {{id: {}, group: {}, at: [{x}, {y}, {z}]}}",
                scalar(&mount.id),
                scalar(&mount.group)
            );
            let comment = mount.whereabouts.as_deref().unwrap_or_default();
            out.line(2, &line, comment);
        }
    }
}
