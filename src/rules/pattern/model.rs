//! Checked patterns: conditions compiled, options known, shared lists laid under the pattern's own entries.

use std::collections::BTreeMap;

use crate::report::Place;
use crate::rules::Area;
use crate::rules::expression::Expr;

/// A generic vehicle, nobody's model.
#[derive(Debug)]
pub struct Pattern {
    /// Its id, which is its file's name.
    pub id: String,
    /// What the trade calls such a vehicle.
    pub title: String,
    /// What it is, in a sentence.
    pub what: String,
    /// What may be chosen, by name.
    pub options: BTreeMap<String, Choice>,
    /// Fields of the job's `vehicle`, each a text over the options.
    pub vehicle: BTreeMap<String, Entry<String>>,
    /// A usual height of the blocks, mm.
    pub spacer: f64,
    /// The bodies that go up, in their order.
    pub raise: Vec<Entry<Raise>>,
    /// The body mounts.
    pub mounts: Vec<Entry<Mount>>,
    /// The parts by id.
    pub parts: BTreeMap<String, Entry<Part>>,
    /// The links, those of the shared lists first.
    pub links: Vec<Entry<Link>>,
}

/// An entry that is there only when its condition over the options holds.
#[derive(Debug)]
pub struct Entry<T> {
    pub what: T,
    /// When it is there; always, when there is none.
    pub when: Option<Expr>,
    /// Where it stands in the rule files.
    pub place: Place,
}

/// One thing that is chosen.
#[derive(Debug, Clone)]
pub struct Choice {
    pub label: String,
    /// The words to choose from; `yes` and `no` for a question.
    pub choices: Vec<String>,
    pub yes_no: bool,
    /// What holds when nothing is chosen.
    pub default: String,
}

/// One body that goes up.
#[derive(Debug, Clone)]
pub struct Raise {
    /// The part that is the body.
    pub group: String,
    /// `left`, `right` or `either`.
    pub first_side: String,
}

#[derive(Debug, Clone)]
pub struct Mount {
    pub id: String,
    /// The body that stands on it.
    pub group: String,
    /// Its usual place: x forward, y left, z up, mm.
    pub at: [f64; 3],
    pub whereabouts: Option<String>,
}

#[derive(Debug, Clone)]
pub struct Part {
    pub id: String,
    /// What it is called on the pages.
    pub title: Option<String>,
    /// What it is bolted to; nothing for the chassis and for a body.
    pub fixed_to: Vec<String>,
    /// Its class of connection, when it is bolted to both sides of the cut.
    pub class: Option<String>,
    /// Whether it is an axle, which drops when the wheels hang.
    pub axle: bool,
}

#[derive(Debug, Clone)]
pub struct Link {
    pub id: String,
    pub class: String,
    /// What it is called on the pages, when that is not the class's title.
    pub title: Option<String>,
    /// Its area, when it is not the class's.
    pub area: Option<Area>,
    /// The parts where it begins and where it ends.
    pub ends: [String; 2],
}

/// The class of connection of every mount of a pattern.
pub(crate) const MOUNT_CLASS: &str = "body-mount";

/// The fields of a job's `vehicle` that a pattern may fill.
pub(crate) const VEHICLE_FIELDS: [&str; 10] = [
    "name",
    "construction",
    "fuel",
    "gearbox",
    "transfer_case",
    "restraint_systems",
    "steering_sensor",
    "hybrid",
    "driver_aids",
    "wheels_hang",
];
