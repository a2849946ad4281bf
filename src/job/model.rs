//! A checked job: quantities read, ids resolved, ranges kept. Later stages accept only this.
//!
//! What was measured stays as typed ([`Measured`]): which measurements a class has is the rules' business, and
//! `assess` reads them. Each entry keeps its [`Path`] in the file, so that later stages can point at it.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use strum::{EnumString, IntoStaticStr, VariantNames};

use super::last_time::LastTime;
use super::written::Measured;
use crate::quantity::Quantity;
use crate::report::{Notes, Path, Place, Report};

pub(crate) type PartId = String;
pub(crate) type LinkId = String;
/// A place on the vehicle: x forward, y left, z up, mm (ISO 8855).
pub(crate) type Point = [f64; 3];

/// The part that everything else hangs on in the end.
pub(crate) const CHASSIS: &str = "chassis";

/// A checked job.
#[derive(Debug, Clone)]
pub struct Job {
    /// The file as shown to the user.
    pub file: String,
    /// Whether it is one of the embedded demos.
    pub demo: bool,
    /// What the workshop calls the job.
    pub title: String,
    /// A remark printed under the title.
    pub note: Option<String>,
    /// The vehicle.
    pub vehicle: Vehicle,
    /// What is to be done.
    pub lift: Lift,
    /// The body mounts by id.
    pub mounts: BTreeMap<String, Mount>,
    /// The parts by id; the chassis and the raised bodies are among them.
    pub parts: BTreeMap<PartId, Part>,
    /// The links by id.
    pub links: BTreeMap<LinkId, Link>,
    /// What was measured for what the lift brings about beside the connections, by consequence.
    pub consequences: BTreeMap<String, Measurements>,
    /// The people by id.
    pub people: BTreeMap<String, Person>,
    /// Whether they are the people of the folder, by a record of their own.
    pub people_of_folder: bool,
    /// When the work starts, minutes since the beginning of 1970 at the workshop; none when nobody said.
    pub start: Option<i64>,
    /// The time zone of the workshop; none when nobody said.
    pub zone: Option<String>,
    /// How many there are of each of [`THINGS`], where the file says so.
    pub things: BTreeMap<&'static str, u32>,
    /// The jurisdiction whose limits apply.
    pub region: Option<String>,
    /// What was measured on another vehicle of the kind, by place.
    pub last_time: LastTime,
}

/// The things that serve one task at a time.
pub(crate) const THINGS: [&str; 4] = ["hoist", "press", "pressure bleeder", "welder"];

impl Job {
    /// The place in the file that a path names.
    pub(crate) fn place(&self, path: &Path) -> Place {
        Place::new(&self.file, path.clone())
    }

    /// The report as far as it is of the file.
    pub(crate) fn notes<'a>(&'a self, report: &'a mut Report) -> Notes<'a> {
        Notes::of(&self.file, report)
    }

    /// What the part is called on the pages.
    pub(crate) fn part_title<'a>(&'a self, id: &'a str) -> &'a str {
        self.parts
            .get(id)
            .and_then(|part| part.title.as_deref())
            .unwrap_or(id)
    }
}

/// The vehicle.
#[derive(Debug, Clone)]
pub struct Vehicle {
    /// What the vehicle is called on the pages.
    pub name: String,
    /// Number plate or identification number.
    pub identification: Option<String>,
    /// What is known of it by yes or no, by the fact's name in rules: `petrol`, `manual`, `restraints`, …
    pub flags: BTreeMap<&'static str, bool>,
    /// What is known of it by number, by the fact's name in rules: `body_mass`, `track`, …
    pub numbers: BTreeMap<&'static str, Quantity>,
    /// Whether the wheels hang while the body is raised.
    pub wheels_hang: bool,
    /// The tyre sizes before and after, as typed.
    pub tyres: (Option<String>, Option<String>),
}

/// What is to be done.
#[derive(Debug, Clone)]
pub struct Lift {
    /// Height of the blocks, mm.
    pub spacer: Quantity,
    /// The bodies to raise, in the order in which they go up.
    pub raise: Vec<Raise>,
    /// How far above its block each side is held while the block goes in, mm.
    pub clearance: f64,
    /// Whether that clearance is the least allowed because none was given.
    pub clearance_assumed: bool,
    /// How many jacks a side takes at a time, each with somebody at it.
    pub jacks: u32,
    /// How many hours the coat on a mount's seat dries, where the job says so.
    pub coat_hours: Option<f64>,
    pub block: Block,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(IntoStaticStr, Serialize)]
#[serde(into = "&'static str")]
#[strum(serialize_all = "lowercase")]
pub enum Side {
    /// y above the middle.
    Left,
    /// y below the middle.
    Right,
}

impl Side {
    /// The word on the pages and in task ids.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }

    #[must_use]
    pub(crate) fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

/// One body that goes up.
#[derive(Debug, Clone)]
pub struct Raise {
    /// The part that is the body.
    pub group: PartId,
    /// The side that goes first; none when either may.
    pub first_side: Option<Side>,
}

impl Raise {
    /// The sides in the order of the job sheet.
    pub(crate) fn sides(&self) -> [Side; 2] {
        let first = self.first_side.unwrap_or(Side::Left);
        [first, first.other()]
    }
}

#[derive(Debug, Clone, Default)]
pub struct Block {
    /// The material, as typed.
    pub material: Option<String>,
    /// Outer diameter, mm.
    pub outer: Option<f64>,
    /// Inner diameter, mm.
    pub inner: Option<f64>,
    /// Permissible surface pressure of the softer material there, `MPa`.
    pub bearing_limit: Option<f64>,
}

#[derive(Debug, Clone)]
pub struct Mount {
    /// Where it stands in the file.
    pub path: Path,
    /// The body that stands on it.
    pub group: PartId,
    /// Its class of connection.
    pub class: String,
    /// Its place.
    pub at: Point,
    /// Its block height, mm.
    pub spacer: f64,
    /// What was measured there, with the path of each value.
    pub measured: Measurements,
}

/// Measured values by name, each with its place in the file.
pub(crate) type Measurements = BTreeMap<String, (Measured, Path)>;

#[derive(Debug, Clone, Default)]
pub struct Part {
    /// Where it stands in the file; none for a part that the file only mentions as a body.
    pub path: Option<Path>,
    /// What it is called on the pages.
    pub title: Option<String>,
    /// What it is bolted to.
    pub fixed_to: BTreeSet<PartId>,
    /// Its class of connection, when it bridges the cut.
    pub class: Option<String>,
    /// How far it drops when the wheels hang, mm.
    pub droop: f64,
    pub measured: Measurements,
}

#[derive(Debug, Clone)]
pub struct Link {
    /// Where it stands in the file.
    pub path: Path,
    /// Its class of connection.
    pub class: String,
    /// What it is called on the pages, when that is not the class's title.
    pub title: Option<String>,
    /// Its fixings in order: the first end, what holds it, the second end.
    pub fixings: Vec<Fixing>,
    /// Whether somebody looked how it is held between its ends.
    pub held_known: bool,
    /// Its area, when that is not the class's.
    pub area: Option<(String, Path)>,
    /// Whether it is taken apart whatever is measured on it.
    pub apart: bool,
    pub measured: Measurements,
    /// What was measured on one of its spans, by the span's number.
    pub by_span: BTreeMap<usize, Measurements>,
}

/// A part that a link is fixed to.
#[derive(Debug, Clone, PartialEq)]
pub struct Fixing {
    pub part: PartId,
    /// The place of the fixing, when it is known.
    pub at: Option<Point>,
}

impl Fixing {
    pub(crate) fn of(part: &str, at: Option<Point>) -> Self {
        let part = part.to_owned();
        Self { part, at }
    }
}

/// A person who works on the job.
#[derive(Debug, Clone)]
pub struct Person {
    /// The name on the pages.
    pub name: String,
    /// What the person may sign as.
    pub roles: BTreeSet<Role>,
    /// The licences held.
    pub licences: BTreeSet<String>,
    /// When the person is there.
    pub hours: Hours,
    /// Where the person stands in the job file.
    pub path: Path,
}

/// When a person is there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hours {
    /// For each day of the week, Monday first: from and to in minutes of the day, in order.
    pub week: [Vec<(u32, u32)>; 7],
    /// Whether those are the usual hours because none were given.
    pub assumed: bool,
    /// From and to, minutes since the beginning of 1970 at the workshop.
    pub away: Vec<(i64, i64)>,
    /// Whether the person comes only when called.
    pub on_call: bool,
}

impl Default for Hours {
    /// 07:30 to 12:00 and 12:30 to 16:00 from Monday to Friday (common practice).
    fn default() -> Self {
        let day = vec![(450, 720), (750, 960)];
        let week = std::array::from_fn(|number| if number < 5 { day.clone() } else { Vec::new() });
        Self {
            week,
            assumed: true,
            away: Vec::new(),
            on_call: false,
        }
    }
}

/// What a person may sign as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(EnumString, IntoStaticStr, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Role {
    /// Does the work.
    Fitter,
    /// Signs for it.
    Supervisor,
    /// Learns it.
    Apprentice,
    /// Comes with a licence.
    Tradesperson,
}

impl Role {
    /// The word in the job file.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }
}
