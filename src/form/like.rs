//! What a job that was done before gives to the next one of its kind: parts, connections, how they are held and where everything is.
//!
//! Takes the job file as read, which must be right, and the rules that it needs; what was measured goes into what was measured last time.
//! What belongs to the one vehicle (its identification, the day, the remark under the title) is left behind.

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::Outline;
use super::yaml::{scalar, word};
use crate::fill::of_reading;
use crate::quantity::{Quantity, Unit};
use crate::report::in_message;
use crate::rules::Rules;
use crate::rules::facts::FACTS;
use crate::rules::pattern::{Link, MOUNT_CLASS, Mount, Part, Raise, VEHICLE_FIELDS};

/// Whether a field of `vehicle` is the same on every vehicle of a kind, as what a pattern says of it; everything else is found anew on each.
fn is_of_kind(name: &str) -> bool {
    VEHICLE_FIELDS.contains(&name) || ["passenger_car", "bumper_on_body"].contains(&name)
}

impl Outline {
    /// What the next job of a kind has. `file` is where the one before stands.
    pub fn like(job: &Value, file: &str, rules: &Rules) -> Self {
        let title = text(job, "job").unwrap_or_default();
        let mut outline = Self {
            opening: vec![
                format!("A job file for liftsheet, begun like {}: {}.", in_message(file), in_message(&title)),
                "Parts, connections, how each is held and where everything is stand as they were there: look at each on this vehicle, and put right what differs.".to_owned(),
                "Nothing that was measured there counts here: it stands behind its line as what it was last time.".to_owned(),
            ],
            ..Self::default()
        };
        let mut last = Last {
            rules,
            places: BTreeMap::new(),
        };
        outline.kind(job);
        outline.lift(job);
        for mount in list(job, "mounts") {
            outline.mount(mount, &mut last);
        }
        for (id, part) in map(job, "parts") {
            outline.part(id, part, &mut last);
        }
        for link in list(job, "links") {
            outline.link(link, &mut last);
        }
        last.of_vehicle(job);
        last.share(&outline.mounts);
        outline.last = last.places;
        outline
    }

    fn settle(&mut self, place: &str, value: Option<&Value>) {
        if let Some(value) = value.filter(|value| !value.is_null()) {
            self.settled.insert(place.to_owned(), flow(value));
        }
    }

    fn kind(&mut self, job: &Value) {
        for (name, value) in map(job, "vehicle").filter(|(name, _)| is_of_kind(name)) {
            self.settle(&format!("vehicle.{name}"), Some(value));
        }
        for name in ["zone", "things", "region"] {
            self.settle(name, job.get(name));
        }
        let people: Vec<String> = list(job, "people").map(flow).collect();
        if !people.is_empty() {
            self.settled.insert("people".to_owned(), people.join("\n"));
        }
    }

    fn lift(&mut self, job: &Value) {
        let lift = job.get("lift").unwrap_or(&Value::Null);
        let all = map(job, "lift").filter(|(name, _)| !["raise", "block"].contains(&name.as_str()));
        for (name, value) in all {
            self.settle(&format!("lift.{name}"), Some(value));
        }
        for (name, value) in map(lift, "block") {
            self.settle(&format!("lift.block.{name}"), Some(value));
        }
        let raise = list(lift, "raise").map(|raise| Raise {
            group: text(raise, "group").unwrap_or_default(),
            first_side: text(raise, "first_side").unwrap_or_else(|| "either".to_owned()),
        });
        self.raise = raise.collect();
    }

    fn mount(&mut self, mount: &Value, last: &mut Last<'_>) {
        let id = text(mount, "id").unwrap_or_default();
        let at = mount.get("at").map(|at| {
            std::array::from_fn(|axis| {
                let typed = at.get(axis).and_then(printed).unwrap_or_default();
                Quantity::parse(&typed, Unit::Mm).map_or(0.0, |place| place.value)
            })
        });
        for name in ["class", "spacer"] {
            self.settle(&format!("mounts.{id}.{name}"), mount.get(name));
        }
        let class = text(mount, "class").unwrap_or_else(|| MOUNT_CLASS.to_owned());
        last.measured(&format!("mounts.{id}"), &class, mount.get("measured"));
        self.mounts.push(Mount {
            id,
            group: text(mount, "group").unwrap_or_default(),
            at: at.unwrap_or_default(),
            whereabouts: None,
        });
    }

    fn part(&mut self, id: &str, part: &Value, last: &mut Last<'_>) {
        let fixed_to = match part.get("fixed_to") {
            Some(Value::Array(all)) => all.iter().filter_map(printed).collect(),
            Some(one) => printed(one).into_iter().collect(),
            None => Vec::new(),
        };
        let class = text(part, "class");
        let droop = part.get("droop").and_then(printed);
        let place = format!("parts.{id}");
        if let Some(droop) = &droop {
            last.put(format!("{place}.droop"), droop, Some(Unit::Mm));
        }
        last.measured(
            &place,
            class.as_deref().unwrap_or_default(),
            part.get("measured"),
        );
        let part = Part {
            id: id.to_owned(),
            title: text(part, "title"),
            fixed_to,
            class,
            axle: droop.is_some(),
        };
        self.parts.insert(id.to_owned(), part);
    }

    fn link(&mut self, link: &Value, last: &mut Last<'_>) {
        let id = text(link, "id").unwrap_or_default();
        let class = text(link, "class").unwrap_or_default();
        for name in ["ends", "held_by", "at"] {
            self.settle(&format!("{id}.{name}"), link.get(name));
        }
        last.measured(&id, &class, link.get("measured"));
        for span in list(link, "spans") {
            let [from, to] = ["from", "to"].map(|end| text(span, end).unwrap_or_default());
            last.measured(&format!("{id}.{from}/{to}"), &class, span.get("measured"));
        }
        let end = |number: usize| {
            let end = link.get("ends").and_then(|ends| ends.get(number));
            end.and_then(|end| text(end, "part").or_else(|| printed(end)))
                .unwrap_or_default()
        };
        self.links.push(Link {
            class,
            title: text(link, "title"),
            area: text(link, "area").and_then(|area| area.parse().ok()),
            ends: [end(0), end(1)],
            id,
        });
    }
}

/// What was measured last time, each with its unit.
struct Last<'r> {
    rules: &'r Rules,
    places: BTreeMap<String, String>,
}

impl Last<'_> {
    fn put(&mut self, place: String, value: &str, unit: Option<Unit>) {
        self.places.insert(
            place,
            unit.map_or_else(|| value.to_owned(), |unit| with_unit(value, unit)),
        );
    }

    /// What was measured on one thing, with the units of its class.
    fn measured(&mut self, place: &str, class: &str, measured: Option<&Value>) {
        let rules = self.rules;
        let class = rules
            .classes
            .get(class)
            .or_else(|| rules.consequences.get(class));
        for (name, value) in measured.and_then(Value::as_object).into_iter().flatten() {
            let own = class.and_then(|class| class.measurements.get(name));
            let place = of_reading(place, name);
            if let Some(text) = printed(value) {
                self.put(place, &text, own.and_then(|own| own.kind.unit()));
                continue;
            }
            for (key, fields) in value.as_object().into_iter().flatten() {
                for (field, value) in fields.as_object().into_iter().flatten() {
                    let own = class.and_then(|class| class.field(name, field));
                    let text = printed(value).unwrap_or_default();
                    self.put(
                        format!("{place}.{key}.{field}"),
                        &text,
                        own.and_then(|own| own.kind.unit()),
                    );
                }
            }
        }
    }

    /// What each mount had by itself and all had alike is what all had.
    fn share(&mut self, mounts: &[Mount]) {
        let Some((first, others)) = mounts.split_first() else {
            return;
        };
        let own = format!("mounts.{}.", first.id);
        let of_first = self.places.iter();
        let of_first =
            of_first.filter_map(|(place, value)| Some((place.strip_prefix(&own)?, value)));
        let of_first: Vec<(String, String)> = of_first
            .map(|(name, value)| (name.to_owned(), value.clone()))
            .collect();
        for (name, value) in of_first {
            let has = |mount: &Mount| {
                self.places.get(&format!("mounts.{}.{name}", mount.id)) == Some(&value)
            };
            if others.iter().all(has) {
                for mount in mounts {
                    self.places.remove(&format!("mounts.{}.{name}", mount.id));
                }
                self.places.insert(format!("every_mount.{name}"), value);
            }
        }
    }

    /// What was found of the whole vehicle, of all its mounts and beside its connections.
    fn of_vehicle(&mut self, job: &Value) {
        let vehicle = job.get("vehicle").unwrap_or(&Value::Null);
        let own = map(job, "vehicle").map(|(name, value)| (format!("vehicle.{name}"), name, value));
        let done =
            map(vehicle, "done").map(|(name, value)| (format!("vehicle.done.{name}"), name, value));
        for (place, name, value) in own.chain(done) {
            let left = is_of_kind(name) || name == "identification";
            let unit = FACTS
                .iter()
                .find(|fact| fact.place == place)
                .and_then(|fact| fact.unit);
            if let Some(text) = printed(value).filter(|_| !left) {
                self.put(place, &text, unit);
            }
        }
        self.measured("every_mount", MOUNT_CLASS, job.get("every_mount"));
        for (id, measured) in map(job, "consequences") {
            self.measured(&format!("consequences.{id}"), id, Some(measured));
        }
    }
}

/// A reading that somebody typed without its unit, `38 ±2`, with it: `38 mm ±2`.
fn with_unit(text: &str, unit: Unit) -> String {
    let end = text.find([' ', '±']).unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let bare = !rest.contains(char::is_alphabetic) && !rest.contains(['°', '%', '/']);
    if unit == Unit::One || !bare || number.parse::<f64>().is_err() {
        return text.to_owned();
    }
    let tolerance = rest.trim();
    let space = if tolerance.is_empty() { "" } else { " " };
    format!("{number} {}{space}{tolerance}", unit.code())
}

fn list<'v>(value: &'v Value, key: &str) -> impl Iterator<Item = &'v Value> + use<'v> {
    value
        .get(key)
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
}

fn map<'v>(value: &'v Value, key: &str) -> impl Iterator<Item = (&'v String, &'v Value)> + use<'v> {
    let found: Option<&Map<String, Value>> = value.get(key).and_then(Value::as_object);
    found.into_iter().flatten()
}

fn text(value: &Value, key: &str) -> Option<String> {
    value.get(key).and_then(printed)
}

/// One value as somebody typed it; none of a list or a map.
fn printed(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Bool(flag) => Some(if *flag { "yes" } else { "no" }.to_owned()),
        Value::Number(number) => Some(number.to_string()),
        _ => None,
    }
}

/// A value as YAML on one line.
fn flow(value: &Value) -> String {
    match value {
        Value::Array(all) => {
            let all: Vec<String> = all.iter().map(flow).collect();
            format!("[{}]", all.join(", "))
        }
        Value::Object(all) => {
            // As people write them: what it is comes before what is said of it.
            let first = |key: &str| {
                ["id", "name", "part"]
                    .iter()
                    .position(|first| *first == key)
                    .unwrap_or(3)
            };
            let mut all: Vec<_> = all.iter().collect();
            all.sort_by_key(|(key, _)| first(key));
            let all = all
                .into_iter()
                .map(|(key, value)| format!("{}: {}", scalar(key), flow(value)));
            let all: Vec<String> = all.collect();
            format!("{{{}}}", all.join(", "))
        }
        Value::String(text) => word(text),
        other => printed(other).unwrap_or_else(|| "null".to_owned()),
    }
}
