//! Tasks of the plan: what is done, by whom, with what, what shows that it was done, and what comes before.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::ser::SerializeStruct as _;
use serde::{Serialize, Serializer};

use crate::job::Side;
use crate::quantity::Unit;
use crate::report::Place;
use crate::rules::{Area, PartKind, Size, Stage};
use crate::text::Text;

/// A task's id: `<link>.<part of the work>`, or the procedure's id with body and side.
pub type TaskId = String;

/// One task of the plan.
#[derive(Debug, Clone)]
pub struct Task {
    /// Its id.
    pub id: TaskId,
    /// Where in the order of work it belongs.
    pub slot: Slot,
    /// Where on the vehicle; none for the vehicle as a whole.
    pub area: Option<Area>,
    /// One line.
    pub title: Text,
    /// The links it is for.
    pub links: Vec<String>,
    /// What to do, in order.
    pub steps: Vec<Text>,
    /// Tools beyond the usual hand tools.
    pub tools: Vec<Text>,
    /// Parts and consumables.
    pub parts: Vec<Part>,
    /// How long it takes.
    pub minutes: Minutes,
    /// How many people, the one who only watches included.
    pub people: u32,
    /// One of them does nothing but watch.
    pub watch: bool,
    /// Whether an apprentice may do it.
    pub apprentice: bool,
    /// Who must do it.
    pub trade: Option<String>,
    /// Things that serve one task at a time.
    pub uses: Vec<String>,
    /// What is written down; links that miss the same thing share it.
    pub evidence: Vec<Arc<Evidence>>,
    /// Who must sign before the work goes on.
    pub hold: Option<String>,
    /// What can hurt someone here.
    pub cautions: Vec<Text>,
    /// When it is done again.
    pub due: Option<Due>,
    /// What must come first; every one an earlier task.
    pub after: Vec<TaskId>,
    /// Where it comes from: a rule file, or the job's own entry.
    pub origin: Option<Place>,
}

/// A stretch of the work: a stage, and in the raising stages the body and side that it is for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Slot {
    /// Its number in the order of work.
    pub number: usize,
    /// The stage.
    pub stage: Stage,
    /// The raised body.
    pub group: Option<String>,
    /// The side of it.
    pub side: Option<Side>,
}

/// Minutes of work: low, likely, high.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Minutes {
    /// When all goes well.
    pub low: f64,
    /// As a rule.
    pub likely: f64,
    /// When it does not.
    pub high: f64,
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
    /// What it is.
    pub what: Text,
    /// How many.
    pub count: u32,
    /// What is counted: `piece`, `pair`, `litre`, …
    #[serde(rename = "in")]
    pub counted: &'static str,
    /// Its kind.
    #[serde(serialize_with = "kind_word")]
    pub kind: PartKind,
    /// Its sizes, those that are known.
    #[serde(rename = "size")]
    pub sizes: BTreeMap<Size, Sized>,
    /// Whether one serves every task of the job that asks for it.
    pub shared: bool,
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

// Serde hands fields on by reference.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn kind_word<S: Serializer>(kind: &PartKind, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(kind.word())
}

/// One thing that is written down when a task is done.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// Its name in the record.
    pub name: String,
    /// What to write.
    pub ask: Text,
    /// The mount that it is written down for, when it is written down for each of several.
    pub item: Option<String>,
    /// `number`, `yes`, `text`, `date`, `time`, `person` or `photo`.
    pub kind: String,
    /// The unit of a number.
    pub unit: Option<Unit>,
    /// The least that is right.
    pub least: Option<f64>,
    /// The most that is right.
    pub most: Option<f64>,
}

/// When a task is done again after release.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Due {
    /// Distance driven since the lift, km.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub km: Option<f64>,
    /// A recurring occasion.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub every: Option<String>,
}
