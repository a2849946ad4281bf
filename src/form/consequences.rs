//! The section on what the lift brings about beside the connections, such as the aim of the headlamps.

use super::yaml::{Writer, scalar};
use super::{Form, measured};

impl Form<'_> {
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
            out.remark(
                2,
                &format!("{}: {}", class.text.title, class.text.whereabouts),
            );
            out.line(2, &format!("{}:", scalar(&class.id)), "");
            let last = |name: &str| self.told(&format!("consequences.{}.{name}", class.id), "");
            measured::lines(4, class, &last, out);
        }
    }
}
