//! Tasks of the plan: what is done, by whom, with what, what shows that it was done, and what comes before.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde::{Deserialize, Serialize, Serializer};

use crate::job::Side;
use crate::quantity::{Quantity, Unit};
use crate::report::{Place, listed};
use crate::rules::written::Due;
use crate::rules::{Area, Moment, PartKind, Size, Spot, Stage};
use crate::sorted::{Sorted as _, each_once};
use crate::text::Text;

/// A task's id: `<link>.<part of the work>`, or the procedure's id with body and side.
pub(crate) type TaskId = String;

/// The ids of the tasks that come before one, in order of their names. What every task that begins a slot waits for is held once.
#[derive(Debug, Clone, Default)]
pub struct After {
    own: Vec<TaskId>,
    slot: Arc<[TaskId]>,
}

impl After {
    /// What a task itself waits for, and the tasks that the slot before ends with, in order of their names.
    pub(crate) fn new(own: BTreeSet<TaskId>, slot: Arc<[TaskId]>) -> Self {
        let own = own.into_iter();
        let own = own.filter(|id| slot.binary_search(id).is_err()).collect();
        Self { own, slot }
    }

    /// What it waits for beside the slot before.
    pub(crate) fn own(&self) -> &[TaskId] {
        &self.own
    }

    /// What the slot before ends with, where it waits for that.
    pub(crate) fn slot(&self) -> &Arc<[TaskId]> {
        &self.slot
    }

    /// All of them, in order of their names.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &TaskId> {
        let (mut own, mut slot) = (self.own.iter().peekable(), self.slot.iter().peekable());
        std::iter::from_fn(move || match (own.peek(), slot.peek()) {
            (Some(first), Some(second)) if first > second => slot.next(),
            (None, _) => slot.next(),
            _ => own.next(),
        })
    }
}

impl Serialize for After {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.iter())
    }
}

/// One task of the plan: what is printed, given as JSON and hashed. The fields of this type and of those below stand in the order of
/// their names in JSON, so that its text is the canonical one; a new field is covered by the digest without more ado.
// Each is said of a task for itself, and none excludes another.
#[allow(clippy::struct_excessive_bools)]
#[derive(Debug, Clone, Default, Serialize)]
pub struct Task {
    /// What must come first; every one an earlier task.
    pub after: After,
    /// Where somebody is at the same time, such as at a bolt's head inside while another is at its nut.
    pub also_at: Vec<Spot>,
    /// Whether an apprentice may do it.
    pub apprentice: bool,
    /// Where on the vehicle; none for the vehicle as a whole.
    pub area: Option<Area>,
    /// Whether somebody stays with it, so that it is not left over a break.
    pub attended: bool,
    /// Whether nothing behind it is signed before it is, though it is only a box to tick: it moves what others keep away from. It follows from
    /// the rest, so the digest has no need of it.
    #[serde(skip)]
    pub awaited: bool,
    /// What can hurt someone here.
    pub cautions: Vec<Text>,
    /// When it is done again.
    pub due: Option<Due>,
    /// What is written down.
    pub evidence: Vec<Evidence>,
    /// Whether it puts right what had failed before the lift.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub failed_before: bool,
    /// The links it is for.
    #[serde(rename = "for")]
    pub links: Vec<String>,
    /// The raised body that it is for, in the raising stages.
    pub group: Option<String>,
    /// Who must sign before the work goes on.
    pub hold: Option<String>,
    /// Its id.
    pub id: TaskId,
    /// Whether it is a look that is a row of the walk-round of its moment and place.
    pub looks: bool,
    /// What it leaves behind: for each state the step of its course.
    pub makes: BTreeMap<String, String>,
    /// How long it takes.
    pub minutes: Minutes,
    /// The moment of the check.
    pub moment: Option<Moment>,
    /// Whether the vehicle may stand overnight after it.
    pub overnight: bool,
    /// The number of the printed task that it is a piece of. Numbers follow from the rest, so the digest has no need of them.
    #[serde(skip)]
    pub number: usize,
    /// Parts and consumables.
    pub parts: Vec<BenchPart>,
    /// How many people, the one who only watches included.
    pub people: u32,
    /// Where people are while it is done.
    pub place: Spot,
    /// The earlier tasks that it rests on: what does one of them again opens this. It follows from the rest, so the digest has no need of it.
    #[serde(skip)]
    pub rests_on: Vec<TaskId>,
    /// What brought its body, side or connection to how it stands while it is done, each with the first later task that ends that: whoever
    /// does this again after that does the one again too. It follows from the rest as well.
    #[serde(skip)]
    pub stood: BTreeMap<TaskId, TaskId>,
    /// What set the whole vehicle up for it, each with the first task that ends that: whoever does this again after that sets the vehicle up
    /// again. It follows from the rest as well.
    #[serde(skip)]
    pub set_up: BTreeMap<TaskId, TaskId>,
    /// What later raises a body under or in which it is done, or clears that, each with what lets the body down again: whoever does this in
    /// between lets the body down first. It follows from the rest as well.
    #[serde(skip)]
    pub raised: BTreeMap<TaskId, TaskId>,
    /// The places that others are shut out of while it is done.
    pub shuts_out: Vec<Spot>,
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
    /// The number of the printed task whose check signs it off.
    #[serde(skip)]
    pub signed_with: usize,
    /// One line.
    pub title: Text,
    /// Tools beyond the usual hand tools.
    pub tools: Vec<Text>,
    /// Who must do it.
    pub trade: Option<String>,
    /// Things that serve one task at a time.
    pub uses: Vec<String>,
    /// What it begins after by the clock on the wall.
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

/// How a task is signed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
#[derive(Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Sign {
    /// A box is ticked.
    #[default]
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

impl Task {
    /// Every place in which somebody is while it is done.
    pub(crate) fn places(&self) -> impl Iterator<Item = Spot> {
        [self.place].into_iter().chain(self.also_at.iter().copied())
    }

    /// Adds places in which somebody is meanwhile. Nobody is in two places at once, so that takes one more than the one at its own.
    pub(super) fn stand_also_at(&mut self, places: impl IntoIterator<Item = Spot>) {
        let all: BTreeSet<Spot> = self.also_at.iter().copied().chain(places).sorted_set();
        self.also_at = all
            .into_iter()
            .filter(|place| *place != self.place)
            .collect();
        if !self.also_at.is_empty() {
            self.people = self.people.max(2 + u32::from(self.watch));
        }
    }

    /// Its rows: what is signed, checked and refused by itself. One for each thing that something is written down for, and one without a
    /// name for the task as a whole, where it asks for more than that or for nothing.
    pub(crate) fn rows(&self) -> Vec<(&str, Vec<&Evidence>)> {
        let mut rows: Vec<(&str, Vec<&Evidence>)> = Vec::new();
        for evidence in &self.evidence {
            let id = evidence.row();
            match rows.iter_mut().find(|(row, _)| *row == id) {
                Some((_, asks)) => asks.push(evidence),
                None => rows.push((id, vec![evidence])),
            }
        }
        if rows.is_empty() {
            rows.push(("", Vec::new()));
        }
        rows
    }
}

/// Every place in which somebody is while tasks are done, in words: `under, inside and engine bay`.
pub(crate) fn places_in_words(tasks: &[Task]) -> String {
    let words = each_once(tasks.iter().flat_map(Task::places).map(Spot::word));
    listed(&words, "and")
}

impl Evidence {
    /// The row that it stands in: what is written down for a mount is called `gap_after.C1L`.
    pub(crate) fn row(&self) -> &str {
        let item = self.item.as_ref().and_then(|_| self.name.split_once('.'));
        item.map_or("", |(_, item)| item)
    }
}

impl Minutes {
    /// The minutes of two pieces of work, one after the other.
    #[must_use]
    pub(crate) fn plus(self, other: Self) -> Self {
        Self {
            low: self.low + other.low,
            likely: self.likely + other.likely,
            high: self.high + other.high,
        }
    }

    /// Each minute as often as that.
    #[must_use]
    pub(crate) fn times(self, factor: f64) -> Self {
        Self {
            low: self.low * factor,
            likely: self.likely * factor,
            high: self.high * factor,
        }
    }
}

/// A time that must pass after a task, such as an oil's to soak in; nobody is needed for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wait {
    /// The task after whose end it counts.
    pub after: TaskId,
    /// Why.
    pub because: String,
    /// Hours on the wall, nights included.
    pub hours: f64,
}

/// A part or consumable.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BenchPart {
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
            Self::Mm(value) => Quantity::exact(*value, Unit::Mm).serialize(serializer),
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
    /// `number`, `yes`, `text`, `paper` (words with a number in them), `date`, `until`, `time`, `person`, `photo`, `worked out` or `number or mark`.
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
