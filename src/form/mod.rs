//! A job file to fill in: from a pattern, what was chosen of its options and the rules to the commented YAML text.
//!
//! Takes a checked [`Pattern`], a [`Chosen`], rules with the pattern's classes, and the job's name; gives text that reads as
//! a job file as it stands. Every measurement that a class asks for is in it as a line that waits: `#name:`, a `#` and no space, so
//! that taking off that one character fills it in. Where the text goes is left to the command line.

mod consequences;
mod facts;
mod links;
mod measured;
mod mounts;
mod parts;
mod pick;
mod yaml;

use self::pick::Picked;
use self::yaml::Writer;
use crate::report::Report;
use crate::rules::Rules;
use crate::rules::pattern::{Chosen, Pattern};

/// What one form is written from.
struct Form<'a> {
    pattern: &'a Pattern,
    chosen: &'a Chosen,
    rules: &'a Rules,
    picked: Picked<'a>,
}

/// Writes the job file. Fails, with the reasons in the report, when the pattern contradicts itself for these options.
#[must_use]
pub fn form(
    name: &str,
    (pattern, chosen): (&Pattern, &Chosen),
    rules: &Rules,
    report: &mut Report,
) -> Option<String> {
    let form = Form {
        pattern,
        chosen,
        rules,
        picked: pick::pick(pattern, chosen, report)?,
    };
    let mut out = Writer::default();
    form.opening(name, &mut out);
    form.vehicle(&mut out);
    form.lift(&mut out);
    form.mounts(&mut out);
    form.parts(&mut out);
    form.links(&mut out);
    form.consequences(&mut out);
    closing(&mut out);
    Some(out.text())
}

/// Tries a pattern's options, every three choices together; what contradicts itself goes to the report, each thing once.
pub fn rehearse(pattern: &Pattern, report: &mut Report) {
    for chosen in pattern.combinations() {
        if pick::pick(pattern, &chosen, report).is_none() {
            return;
        }
    }
}

/// How the file is filled in.
const GUIDE: [&str; 9] = [
    "This is nobody's model: delete what the vehicle does not have, add what it has besides, and put right what a part is bolted to.",
    "",
    "A line that begins with # and no space waits for its value: take that # off and write the value before the next #.",
    "Remarks like this one have a space after their # and stay. `liftsheet check` names every mistake with its line;",
    "`liftsheet survey` prints what is still missing in walking order, how to measure it, and what it decides.",
    "Numbers may carry a unit and a tolerance: 40 mm, 1 1/2 in, 38 mm ±2. A bare number is in the unit named on its line.",
    "",
    "Nobody under, inside or beside a body that hangs on a jack, not even to measure; no hand between body and chassis, ever.",
    "Brakes, steering, fuel, restraint systems and refrigerant may be reserved for a licensed trade where you are: ask first.",
];

impl Form<'_> {
    fn opening(&self, name: &str, out: &mut Writer) {
        let words = self.chosen.words().iter();
        let words: Vec<String> = words.map(|(name, word)| format!("{name}={word}")).collect();
        out.remark(
            0,
            &format!(
                "A job file for liftsheet, begun from the pattern {}: {}.",
                self.pattern.id, self.pattern.title
            ),
        );
        out.remark(0, &format!("Options chosen: {}", words.join(" ")));
        for line in GUIDE {
            out.remark(0, line);
        }
        out.blank();
        out.value(0, "job", name, "what the workshop calls the job");
        out.waits(0, "note", "a remark printed under the title");
    }
}

fn closing(out: &mut Writer) {
    out.section("Who works on it: the short id signs. Roles: fitter, supervisor, apprentice, tradesperson, one or more.");
    out.remark(
        0,
        "Hours of work are 07:30-12:00, 12:30-16:00 from Monday to Friday when nobody says otherwise; a tradesperson comes on call.",
    );
    out.line(0, "people:", "");
    out.line(2, "#- {id: ash, name: Ash, roles: [fitter]}", "");
    out.line(
        2,
        "#- {id: birch, name: Birch, roles: [fitter, supervisor]}",
        "",
    );
    out.line(
        2,
        "#- {id: rowan, name: Rowan, roles: tradesperson, licences: [brakes], hours: \"08:00-12:00\", days: mon-thu, away: 2026-03-04}",
        "",
    );
    out.waits(0, "start", "when the work starts, such as 2026-03-02 07:30");
    out.waits(
        0,
        "things",
        "how many of each there are: {hoist: 1, press: 1, pressure bleeder: 1, welder: 1}",
    );
    out.waits(
        0,
        "region",
        "the jurisdiction whose limits apply; without one no local limit is checked",
    );
}
