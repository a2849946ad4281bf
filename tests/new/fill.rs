//! Fills in a job file that `new` wrote, line by line, with plausible values made up from the rules.

use std::collections::BTreeMap;

use liftsheet::quantity::Unit;
use liftsheet::rules::{Answer, Class, Measurement, Rules};

/// Values for mounts that hold a body, where the middle of every range does not; `from memory`, as in the built-in demo.
const SOUND: [(&str, &str); 4] = [
    ("body-mount.class", "\"10.9\""),
    ("body-mount.grip", "52 mm"),
    ("body-mount.sleeve_outer", "32 mm"),
    ("body-mount.sleeve_inner", "13 mm"),
];

/// What the vehicle and the lift are filled in with: an invented vehicle.
const FACTS: [(&str, &str); 33] = [
    ("identification", "DEMO-0001"),
    ("fuel", "diesel"),
    ("gearbox", "manual"),
    ("transfer_case", "yes"),
    ("restraint_systems", "no"),
    ("steering_sensor", "no"),
    ("hybrid", "no"),
    ("driver_aids", "no"),
    ("body_mass", "760 kg"),
    ("body_mass_laden", "1420 kg"),
    ("total_mass", "2050 kg"),
    ("track", "1520 mm"),
    ("cg_height", "720 mm"),
    ("wheels_hang", "no"),
    ("gross_mass", "2900 kg"),
    ("passenger_car", "no"),
    ("floor_over_frame", "60 mm"),
    ("frame_height", "450 mm"),
    ("body_height", "400 mm"),
    ("floor_height", "800 mm"),
    ("bumper_height", "500 mm"),
    ("front_bumper_height", "480 mm"),
    ("front_frame_end", "520 mm"),
    ("rear_frame_end", "530 mm"),
    ("bumper_on_body", "no"),
    ("body_lift", "0 mm"),
    ("suspension_lift", "0 mm"),
    ("tyre_before", "235/75R15"),
    ("tyre_after", "265/75R15"),
    ("material", "aluminium"),
    ("outer", "70 mm"),
    ("inner", "14 mm"),
    ("bearing_limit", "230 MPa"),
];

/// A line of the file that waits: where it goes, as the program names such places, and the line's number.
pub(crate) struct Waiting<'r> {
    /// The place: `links[filler-hose].measured.overlap`.
    pub(crate) place: String,
    measurement: Option<&'r Measurement>,
    /// What it is filled in with.
    value: String,
    line: usize,
    /// The other lines that must wait no longer either: the list and the key that it stands under.
    above: Vec<usize>,
}

/// What is known of the lines above while a file is read.
#[derive(Default)]
struct Here {
    section: String,
    id: String,
    class: String,
    under: String,
    list: Option<(String, usize)>,
    key: Option<(String, usize)>,
}

/// Every waiting line for which a value can be made up.
pub(crate) fn waiting<'r>(text: &str, rules: &'r Rules) -> Vec<Waiting<'r>> {
    let mut here = Here::default();
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let bare = line.trim_start();
        let indent = line.len() - bare.len();
        if let Some(rest) = bare.strip_prefix('#') {
            // A remark has one space behind its `#`; what is set in further belongs to a list.
            let remark = rest.starts_with(' ') && !rest.starts_with("  ");
            if remark || rest.is_empty() || rest.starts_with("- ") {
                continue;
            }
            found.extend(one(&mut here, rules, (number, indent), rest));
        } else if let Some((key, value)) = bare.split_once(':') {
            here.read(indent, key, value.split(" #").next().unwrap_or("").trim());
        }
    }
    found
}

impl Waiting<'_> {
    /// Whether it has to be given, as far as can be told without looking at the values.
    pub(crate) fn needed(&self) -> bool {
        let needed =
            |measurement: &Measurement| !measurement.optional && measurement.default.is_none();
        self.measurement.is_none_or(needed)
    }
}

impl Here {
    fn read(&mut self, indent: usize, key: &str, value: &str) {
        self.list = None;
        match (indent, key) {
            (0, section) => {
                *self = Self {
                    section: section.to_owned(),
                    ..Self::default()
                };
                if section == "every_mount" {
                    "body-mount".clone_into(&mut self.class);
                }
            }
            (2, "- id") => value.clone_into(&mut self.id),
            (2, id) => {
                id.clone_into(&mut self.id);
                id.clone_into(&mut self.under);
            }
            (4, "class") => value.clone_into(&mut self.class),
            _ => {}
        }
    }

    fn place(&self, name: &str) -> String {
        match self.section.as_str() {
            "links" if name == "held_by" => format!("links[{}].held_by", self.id),
            "links" => format!("links[{}].measured.{name}", self.id),
            "every_mount" => format!("every_mount.{name}"),
            "parts" => format!("parts.{}.measured.{name}", self.id),
            "consequences" => format!("consequences.{}.{name}", self.id),
            section if self.under.is_empty() => format!("{section}.{name}"),
            section => format!("{section}.{}.{name}", self.under),
        }
    }

    fn class<'r>(&self, rules: &'r Rules) -> Option<&'r Class> {
        match self.section.as_str() {
            "consequences" => rules.consequences.get(&self.id),
            _ => rules.classes.get(&self.class),
        }
    }
}

/// A waiting line, read.
fn one<'r>(
    here: &mut Here,
    rules: &'r Rules,
    (line, indent): (usize, usize),
    rest: &str,
) -> Option<Waiting<'r>> {
    if indent <= 2 {
        here.under.clear();
    }
    let depth = rest.len() - rest.trim_start().len();
    let name = rest.trim_start().split_once(':')?.0.trim_matches('"');
    match depth {
        0 => top(here, rules, line, name),
        2 => {
            here.key = Some((name.to_owned(), line));
            None
        }
        _ => of_list(here, rules, line, name),
    }
}

/// A fact, how a link is held, or a measurement; a list's own line only begins the list.
fn top<'r>(here: &mut Here, rules: &'r Rules, line: usize, name: &str) -> Option<Waiting<'r>> {
    let mut waiting = Waiting {
        place: here.place(name),
        measurement: None,
        value: "none".to_owned(),
        line,
        above: Vec::new(),
    };
    if name == "held_by" {
        return Some(waiting);
    }
    let Some(class) = here.class(rules) else {
        let (_, value) = FACTS.iter().find(|(fact, _)| *fact == name)?;
        (*value).clone_into(&mut waiting.value);
        return Some(waiting);
    };
    let measurement = class.measurements.get(name)?;
    if matches!(measurement.kind, Answer::Each { .. }) {
        here.list = Some((name.to_owned(), line));
        return None;
    }
    waiting.measurement = Some(measurement);
    waiting.value = value(&class.id, name, measurement);
    Some(waiting)
}

/// A field of one key of a list.
fn of_list<'r>(here: &Here, rules: &'r Rules, line: usize, name: &str) -> Option<Waiting<'r>> {
    let (list, top) = here.list.clone()?;
    let (key, above) = here.key.clone()?;
    let class = here.class(rules)?;
    let Answer::Each { fields, .. } = &class.measurements.get(&list)?.kind else {
        return None;
    };
    let measurement = fields.get(name)?;
    Some(Waiting {
        place: here.place(&format!("{list}.{key}.{name}")),
        measurement: Some(measurement),
        value: value(&class.id, name, measurement),
        line,
        above: vec![top, above],
    })
}

/// The middle of a range, the first choice, yes.
fn value(class: &str, name: &str, measurement: &Measurement) -> String {
    let full = format!("{class}.{name}");
    if let Some((_, value)) = SOUND.iter().find(|(known, _)| *known == full) {
        return (*value).to_owned();
    }
    match &measurement.kind {
        Answer::Number {
            range: (least, most),
            unit,
            ..
        } => {
            let middle = f64::midpoint(*least, *most);
            // What has no unit may be a count.
            let counted = *unit == Unit::One && most - least >= 3.0;
            format!("{}", if counted { middle.floor() } else { middle })
        }
        // What its fixings contradict is asked again.
        Answer::Choice(choices) => {
            let one = choices
                .iter()
                .find(|one| !measurement.crosses.contains(one));
            format!("{:?}", one.unwrap_or(&choices[0]))
        }
        Answer::YesNo => "yes".to_owned(),
        Answer::Designation => "M12x1.25".to_owned(),
        Answer::Each { .. } => unreachable!("lists are read line by line"),
    }
}

/// The text with these lines filled in.
pub(crate) fn fill<'w>(text: &str, with: impl IntoIterator<Item = &'w Waiting<'w>>) -> String {
    let mut lines: BTreeMap<usize, Option<&str>> = BTreeMap::new();
    for waiting in with {
        lines.extend(waiting.above.iter().map(|line| (*line, None)));
        lines.insert(waiting.line, Some(&waiting.value));
    }
    let mut out = String::new();
    for (number, line) in text.lines().enumerate() {
        match lines.get(&number) {
            None => out.push_str(line),
            Some(value) => {
                let (indent, rest) = line.split_once('#').unwrap();
                let (key, comment) = rest.split_once(':').unwrap();
                let comment = comment.split_once('#').map_or("", |(_, comment)| comment);
                let value = value.unwrap_or_default();
                out.push_str(format!("{indent}{key}: {value} #{comment}").trim_end());
            }
        }
        out.push('\n');
    }
    out
}
