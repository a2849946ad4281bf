//! The sections `vehicle` and `lift`: what the pattern settles as values, every other fact as a line that waits.

use super::Form;
use super::yaml::{Writer, scalar};
use crate::rules::facts::{FACTS, Fact};

/// A field of the job file: its name, and what it takes and is when no fact says so.
type Field = (&'static str, &'static str);

/// The fields of `vehicle`, in the order in which somebody fills them in.
const VEHICLE: [Field; 27] = [
    ("name", "what the pages call the vehicle"),
    ("identification", "number plate or identification number"),
    (
        "construction",
        "a vehicle of unitary construction cannot have a body lift",
    ),
    ("fuel", ""),
    ("gearbox", ""),
    ("transfer_case", ""),
    ("restraint_systems", ""),
    ("steering_sensor", ""),
    ("hybrid", ""),
    ("driver_aids", ""),
    ("body_mass", ""),
    ("body_mass_laden", ""),
    ("total_mass", ""),
    ("track", ""),
    ("cg_height", ""),
    ("gross_mass", ""),
    ("passenger_car", ""),
    ("floor_over_frame", ""),
    ("frame_height", ""),
    ("body_height", ""),
    ("floor_height", ""),
    ("bumper_height", ""),
    ("front_bumper_height", ""),
    ("front_frame_end", ""),
    ("rear_frame_end", ""),
    ("bumper_on_body", ""),
    (
        "wheels_hang",
        "yes | no: whether the wheels hang on a hoist while the body goes up; no when left out",
    ),
];

/// The fields of `vehicle.done`.
const DONE: [Field; 4] = [
    ("body_lift", ""),
    ("suspension_lift", ""),
    ("tyre_before", ""),
    ("tyre_after", ""),
];

/// The fields of `lift` that no pattern knows.
const LIFT: [Field; 4] = [
    (
        "insertion_clearance",
        "mm: how far above its block each side is held; at least 15 mm, the least when left out",
    ),
    (
        "spigot_depth",
        "mm: depth of a locating spigot on the blocks, when they have one",
    ),
    (
        "jacks",
        "how many jacks a side takes at a time, each with somebody at it; 1 when left out",
    ),
    (
        "coat_hours",
        "how many hours the coat on a mount's seat dries; 0.5 when left out",
    ),
];

/// The fields of `lift.block`.
const BLOCK: [Field; 4] = [
    ("material", ""),
    ("outer", ""),
    ("inner", ""),
    ("bearing_limit", ""),
];

impl Form<'_> {
    pub(super) fn vehicle(&self, out: &mut Writer) {
        out.section(
            "The vehicle. The masses may come from a weighbridge, the papers or the maker.",
        );
        out.line(0, "vehicle:", "");
        self.fields(2, "vehicle", &VEHICLE, out);
        out.line(2, "done:", "what was already done to it, and its tyres");
        self.fields(4, "vehicle.done", &DONE, out);
    }

    pub(super) fn lift(&self, out: &mut Writer) {
        out.section("The lift: how high the blocks are, and which bodies go up in which order.");
        out.line(0, "lift:", "");
        let comment = "height of the blocks: write yours; a mount may have its own";
        self.entry(2, "lift.spacer", comment, out);
        out.line(
            2,
            "raise:",
            "first_side: left | right | either, the side that goes up first",
        );
        for raise in &self.outline.raise {
            let line = format!(
                "- {{group: {}, first_side: {}}}",
                scalar(&raise.group),
                raise.first_side
            );
            out.line(4, &line, "");
        }
        self.fields(2, "lift", &LIFT, out);
        out.line(
            2,
            "block:",
            "the blocks: one solid block a mount, never a stack",
        );
        self.fields(4, "lift.block", &BLOCK, out);
    }

    fn fields(&self, indent: usize, under: &str, fields: &[Field], out: &mut Writer) {
        for (name, own) in fields {
            let place = format!("{under}.{name}");
            let fact = FACTS.iter().find(|fact| fact.place == place);
            let comment = fact.map_or_else(|| (*own).to_owned(), comment);
            self.entry(indent, &place, &comment, out);
        }
    }
}

/// What the field of a fact takes and what it is.
fn comment(fact: &Fact) -> String {
    let takes = match fact.unit {
        Some(unit) => unit.code().to_owned(),
        None => fact.answers().join(" | "),
    };
    match takes.as_str() {
        "" => fact.label.to_owned(),
        takes => format!("{takes}: {}", fact.label),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fact_that_a_job_may_leave_out_has_its_line() {
        let under = |under: &str, fields: &[Field]| -> Vec<String> {
            fields
                .iter()
                .map(|field| format!("{under}.{}", field.0))
                .collect()
        };
        let mut places = under("vehicle", &VEHICLE);
        places.extend(under("vehicle.done", &DONE));
        places.extend(under("lift", &LIFT));
        places.extend(under("lift.block", &BLOCK));
        for fact in FACTS {
            assert!(
                places.iter().any(|place| place == fact.place),
                "{}",
                fact.place
            );
        }
    }
}
