//! A job file to fill in: from an outline, begun from a pattern or from a job that was done before, and the rules to the commented YAML text.
//!
//! Takes an [`Outline`], rules with its classes, and the job's name; gives text that reads as a job file as it stands. Every measurement
//! that a class asks for is in it as a line that waits: `#name:`, a `#` and no space, so that taking off that one character fills it in.
//! Where the text goes is left to the command line.

mod facts;
mod like;
mod links;
mod measured;
mod outline;
mod parts;
mod pick;
mod rows;
mod yaml;

pub use self::outline::Outline;
pub use self::pick::rehearse;
use self::yaml::{Writer, scalar};
use crate::fill::LAST_TIME;
use crate::rules::Rules;

/// What one form is written from.
struct Form<'a> {
    outline: &'a Outline,
    rules: &'a Rules,
}

/// Writes the job file.
pub fn form(name: &str, outline: &Outline, rules: &Rules) -> String {
    let form = Form { outline, rules };
    let mut out = Writer::default();
    form.opening(name, &mut out);
    form.vehicle(&mut out);
    form.lift(&mut out);
    form.mounts(&mut out);
    form.parts(&mut out);
    form.links(&mut out);
    form.consequences(&mut out);
    form.closing(&mut out);
    out.text()
}

/// How the file is filled in.
const GUIDE: [&str; 8] = [
    "",
    "A line that begins with # and no space waits for its value: take that # off and write the value before the next #.",
    "Remarks like this one have a space after their # and stay. `liftsheet check` names every mistake with its line;",
    "`liftsheet survey` prints what is still missing in walking order, how to measure it, and what it decides.",
    "Numbers may carry a unit, and readings a tolerance: 40 mm, 1 1/2 in, 38 mm ±2. A bare number is in the unit named on its line.",
    "",
    "Nobody under, inside or beside a body that hangs on a jack, not even to measure; no hand between body and chassis, ever.",
    "Brakes, steering, fuel, restraint systems and refrigerant may be reserved for a licensed trade where you are: ask first.",
];

impl Form<'_> {
    fn opening(&self, name: &str, out: &mut Writer) {
        let opening = self.outline.opening.iter().map(String::as_str);
        for line in opening.chain(GUIDE) {
            out.remark(0, line);
        }
        out.blank();
        out.value(0, "job", name, "what the workshop calls the job");
        out.waits(0, "note", "a remark printed under the title");
    }

    /// A line that says what is settled of a place, or waits for it.
    fn entry(&self, indent: usize, place: &str, comment: &str, out: &mut Writer) {
        let key = place.rsplit('.').next().unwrap_or(place);
        match self.outline.settled.get(place) {
            Some(value) => out.line(indent, &format!("{key}: {value}"), comment),
            None => out.waits(indent, key, &self.told(place, comment)),
        }
    }

    /// A comment with what was measured there last time behind it.
    fn told(&self, place: &str, comment: &str) -> String {
        match self.outline.last.get(place) {
            Some(last) if comment.is_empty() => format!("{LAST_TIME}{last}"),
            Some(last) => format!("{comment}; {LAST_TIME}{last}"),
            None => comment.to_owned(),
        }
    }

    fn closing(&self, out: &mut Writer) {
        out.section("Who works on it: the short id signs. Roles: fitter, supervisor, apprentice, tradesperson, one or more.");
        out.remark(
            0,
            "Hours of work are 07:30-12:00, 12:30-16:00 from Monday to Friday when nobody says otherwise; a tradesperson comes on call.",
        );
        if let Some(people) = self.outline.settled.get("people") {
            out.line(0, "people:", "");
            for person in people.lines() {
                out.line(2, &format!("- {person}"), "");
            }
        } else {
            people(out);
        }
        for (place, comment) in CLOSING {
            self.entry(0, place, comment, out);
        }
        if self.outline.last.is_empty() {
            return;
        }
        out.section("What was measured last time, by place: shown beside each question, and never used in its stead. Nothing is to be filled in here.");
        out.line(0, "last_time:", "");
        for (place, value) in &self.outline.last {
            out.line(2, &format!("{}: {}", scalar(place), yaml::word(value)), "");
        }
    }
}

/// What stands at the end, and takes one line each.
const CLOSING: [(&str, &str); 4] = [
    ("start", "when the work starts, such as 2026-03-02 07:30"),
    ("zone", "the workshop's time zone, such as Australia/Hobart"),
    (
        "things",
        "how many of each there are: {hoist: 1, press: 1, pressure bleeder: 1, welder: 1}",
    ),
    (
        "region",
        "the jurisdiction whose limits apply; without one no local limit is checked",
    ),
];

/// People as an example.
fn people(out: &mut Writer) {
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
}
