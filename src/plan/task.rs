//! Tasks of the plan: what is done, by whom, with what, what shows that it was done, and what comes before.

use std::collections::BTreeMap;

use serde::ser::SerializeStruct as _;
use serde::{Deserialize, Serialize, Serializer};

use crate::job::Side;
use crate::quantity::Unit;
use crate::report::Place;
use crate::rules::{Area, Moment, PartKind, Size, Stage};
use crate::text::Text;

/// A task's id: `<link>.<part of the work>`, or the procedure's id with body and side.
pub type TaskId = String;

/// One task of the plan: what is printed, given as JSON and hashed. The fields of this type and of those below stand in the order of
/// their names in JSON, so that its text is the canonical one; a new field is covered by the digest without more ado.
#[derive(Debug, Clone, Serialize)]
pub struct Task {
    /// What must come first; every one an earlier task.
    pub after: Vec<TaskId>,
    /// Whether an apprentice may do it.
    pub apprentice: bool,
    /// Where on the vehicle; none for the vehicle as a whole.
    pub area: Option<Area>,
    /// What can hurt someone here.
    pub cautions: Vec<Text>,
    /// When it is done again.
    pub due: Option<Due>,
    /// What is written down.
    pub evidence: Vec<Evidence>,
    /// The links it is for.
    #[serde(rename = "for")]
    pub links: Vec<String>,
    /// The raised body that it is for, in the raising stages.
    pub group: Option<String>,
    /// Who must sign before the work goes on.
    pub hold: Option<String>,
    /// Its id.
    pub id: TaskId,
    /// What it leaves behind: for each state the step of its course.
    pub makes: BTreeMap<String, String>,
    /// How long it takes.
    pub minutes: Minutes,
    /// The moment of the check.
    pub moment: Option<Moment>,
    /// Parts and consumables.
    pub parts: Vec<Part>,
    /// How many people, the one who only watches included.
    pub people: u32,
    /// Where people are while it is done.
    pub place: Spot,
    /// The side of the body.
    pub side: Option<Side>,
    /// How it is signed.
    pub sign: Sign,
    /// The number of its stretch of the work: a stage, and in the raising stages a body and side.
    pub slot: usize,
    /// The stage.
    pub stage: Stage,
    /// What to do, in order.
    pub steps: Vec<Text>,
    /// One line.
    pub title: Text,
    /// Tools beyond the usual hand tools.
    pub tools: Vec<Text>,
    /// Who must do it.
    pub trade: Option<String>,
    /// Things that serve one task at a time.
    pub uses: Vec<String>,
    /// What must lie some time back before it begins.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub waits: Vec<Wait>,
    /// One of them does nothing but watch.
    pub watch: bool,
    /// What holds while it is done: for each state a step of its course, or a run of neighbouring ones.
    #[serde(rename = "while")]
    pub during: BTreeMap<String, String>,
    /// Where it comes from: a rule file, or the job's own entry.
    #[serde(skip)]
    pub origin: Option<Place>,
}

/// Where people are while a task is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Spot {
    /// In the cab.
    Inside,
    /// Under the bonnet.
    #[serde(rename = "engine bay")]
    EngineBay,
    /// Beside the vehicle.
    Beside,
    /// Under the vehicle.
    Under,
}

impl Spot {
    /// The word on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Inside => "inside",
            Self::EngineBay => "engine bay",
            Self::Beside => "beside",
            Self::Under => "under",
        }
    }

    /// Where people are who work in an area; beside the vehicle, when they walk round it.
    #[must_use]
    pub fn of(area: Option<Area>) -> Self {
        match area {
            Some(Area::Cab) => Self::Inside,
            Some(Area::EngineBay) => Self::EngineBay,
            Some(Area::LeftUnder | Area::Tunnel | Area::RightUnder | Area::TankAndRear) => {
                Self::Under
            }
            Some(Area::FrontOutside | Area::RearOutside) | None => Self::Beside,
        }
    }
}

/// How a task is signed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Sign {
    /// A box is ticked.
    Tick,
    /// Whoever did it signs, with what was written down.
    Done,
    /// Somebody who did not do it checks it.
    Checked,
}

/// Minutes of work: low, likely, high.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Minutes {
    /// When it does not go well.
    pub high: f64,
    /// As a rule.
    pub likely: f64,
    /// When all goes well.
    pub low: f64,
}

impl Minutes {
    /// The minutes of two pieces of work, one after the other.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            low: self.low + other.low,
            likely: self.likely + other.likely,
            high: self.high + other.high,
        }
    }

    /// Each minute as often as that.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self {
            low: self.low * factor,
            likely: self.likely * factor,
            high: self.high * factor,
        }
    }
}

/// A part or consumable.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// How many.
    pub count: u32,
    /// What is counted: `piece`, `pair`, `litre`, …
    #[serde(rename = "in")]
    pub counted: &'static str,
    /// Its kind.
    pub kind: PartKind,
    /// Whether one serves every task of the job that asks for it.
    pub shared: bool,
    /// Its sizes, those that are known.
    #[serde(rename = "size")]
    pub sizes: BTreeMap<Size, Sized>,
    /// What it is.
    pub what: Text,
}

/// One size of a part.
#[derive(Debug, Clone, PartialEq)]
pub enum Sized {
    /// A word, such as a thread.
    Word(String),
    /// Millimetres.
    Mm(f64),
}

impl Serialize for Sized {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Word(word) => serializer.serialize_str(word),
            Self::Mm(value) => {
                // In the order of the names, as the digest has them.
                let mut quantity = serializer.serialize_struct("Quantity", 2)?;
                quantity.serialize_field("unit", Unit::Mm.code())?;
                quantity.serialize_field("value", value)?;
                quantity.end()
            }
        }
    }
}

/// One thing that is written down when a task is done.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Evidence {
    /// What to write.
    pub ask: Text,
    /// The mount that it is written down for, when it is written down for each of several.
    pub item: Option<String>,
    /// `number`, `yes`, `text`, `date`, `time`, `person` or `photo`.
    pub kind: String,
    /// The least that is right.
    pub least: Option<f64>,
    /// The most that is right.
    pub most: Option<f64>,
    /// Its name in the record.
    pub name: String,
    /// The unit of a number.
    pub unit: Option<Unit>,
}

/// A time that must pass between two tasks, such as an oil's time to soak in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wait {
    /// How long, in hours.
    pub hours: f64,
    /// The earlier task.
    pub task: TaskId,
}

/// When a task is done again after release.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Due {
    /// A recurring occasion.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub every: Option<String>,
    /// Distance driven since the lift, km.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub km: Option<f64>,
}
