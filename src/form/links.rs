//! The section on links, in walking order round the vehicle: each with what its class is called, where to look for it, how it
//! is held, and what its class asks for; and the section on what the lift brings about beside them, such as the aim of the headlamps.

use strum::IntoEnumIterator;

use super::yaml::{Writer, scalar};
use super::{Form, measured};
use crate::rules::pattern::Link;
use crate::rules::{Area, Class};

impl Form<'_> {
    pub(super) fn links(&self, out: &mut Writer) {
        out.section("The links: everything that runs from one part to another. Follow each by hand and write down how it is held.");
        out.remark(0, "held_by: none when nothing holds it between its ends, or the parts that do, in order: [chassis, cab]. A link with both");
        out.remark(
            0,
            "ends on the chassis is torn all the same when a clip in between sits on the body.",
        );
        out.remark(0, "An end may carry its place, {part: engine, at: [x, y, z]}; without one the largest rise of the vehicle is used.");
        out.remark(0, "When several stretches of one link are pulled apart, each is measured: spans: [{from: a, to: b, measured: {slack: 40 mm}}].");
        out.line(0, "links:", "");
        for area in Area::iter() {
            let here = self
                .outline
                .links
                .iter()
                .filter(|link| self.area(link) == Some(area));
            let mut here = here.peekable();
            if here.peek().is_some() {
                out.blank();
                out.remark(2, &format!("==== {} ====", area.word()));
            }
            for link in here {
                self.link(link, out);
            }
        }
    }

    fn class(&self, link: &Link) -> Option<&Class> {
        self.rules.classes.get(&link.class)
    }

    fn area(&self, link: &Link) -> Option<Area> {
        link.area.or(self.class(link).map(|class| class.area))
    }

    fn link(&self, link: &Link, out: &mut Writer) {
        let Some(class) = self.class(link) else {
            return;
        };
        let [from, to] = &link.ends;
        out.blank();
        measured::of_class(class, out);
        if let Some(root) = self.rides_with(link) {
            out.remark(2, &format!("Both ends ride with the {root}, so it is left alone unless something holds it elsewhere in between; only then measure it."));
        }
        out.line(2, &format!("- id: {}", scalar(&link.id)), "");
        out.value(4, "class", &class.id, "");
        if let Some(title) = &link.title {
            out.value(4, "title", title, "");
        }
        if let Some(area) = link.area {
            out.value(4, "area", area.word(), "");
        }
        let settled = |name: &str| self.outline.settled.get(&format!("{}.{name}", link.id));
        let named = format!("[{}, {}]", scalar(from), scalar(to));
        let comment = if self.outline.unplaced.contains(&link.id) {
            "no pattern says where it ends: write the parts"
        } else {
            ""
        };
        out.line(
            4,
            &format!("ends: {}", settled("ends").unwrap_or(&named)),
            comment,
        );
        match settled("held_by") {
            Some(parts) => out.line(4, &format!("held_by: {parts}"), ""),
            None => out.line(4, "#held_by: none", "or what holds it, in order"),
        }
        if let Some(at) = settled("at") {
            out.line(4, &format!("at: {at}"), "");
        }
        if !class.measurements.is_empty() {
            out.line(4, "measured:", "");
            self.measured(6, class, &link.id, out);
        }
    }

    /// The chassis or body that both ends ride with.
    fn rides_with(&self, link: &Link) -> Option<String> {
        let [from, to] = &link.ends;
        let (from, to) = (self.outline.hangs_on(from), self.outline.hangs_on(to));
        let same = from.len() == 1 && from == to;
        from.into_iter().next().filter(|_| same)
    }

    pub(super) fn consequences(&self, out: &mut Writer) {
        let classes = self.rules.consequences.values();
        let mut asking = classes
            .filter(|class| !class.measurements.is_empty())
            .peekable();
        if asking.peek().is_none() {
            return;
        }
        out.section("What the lift brings about beside the connections; measure what concerns this vehicle.");
        out.line(0, "consequences:", "");
        for class in asking {
            measured::of_class(class, out);
            out.line(2, &format!("{}:", scalar(&class.id)), "");
            self.measured(4, class, &format!("consequences.{}", class.id), out);
        }
    }
}
