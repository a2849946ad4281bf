//! The plan as it is signed on: its tasks with their rows, what each asks for, and what comes before it.
//!
//! Takes what the pipeline made; gives an [`Agreed`], which is kept beside the record as JSON, so that what was signed can be read and
//! printed whatever program and rules are then in use. Rows and what rests on what are the plan's.

use std::collections::BTreeMap;

use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value as Json;

use crate::chain::sha256;
use crate::pipeline::Made;
use crate::plan::{self, Evidence, Sign, part_digests, task_digest};
use crate::quantity::Unit;
use crate::report::{Code, Problem};
use crate::rules::written::Due;
use crate::sorted::Sorted as _;
use crate::text::Text;

/// A plan as it is signed on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Agreed {
    /// Who wrote it.
    pub made_with: String,
    /// The job's name.
    pub job: String,
    /// The digest of the plan.
    pub digest: String,
    /// Whether it may still change because something is not measured.
    pub provisional: bool,
    /// Whether the lift must not be done so.
    pub stops: bool,
    /// The tasks, in the order of work.
    pub tasks: Vec<SignedTask>,
    /// The places of the mounts, x and y in mm, for what is worked out from gaps.
    pub mounts: BTreeMap<String, [f64; 2]>,
    /// What the signed sheet prints beside all this, by the system of units.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub pages: BTreeMap<String, Json>,
}

/// A task as it is signed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignedTask {
    /// Its id.
    pub id: String,
    /// Its title.
    #[serde(with = "marked")]
    pub title: Text,
    /// The number of the printed task that it is a piece of; in a plan that an earlier program kept there is none, and each is its own.
    #[serde(default)]
    pub number: usize,
    /// The number of the printed task whose check signs it off.
    #[serde(default)]
    pub signed_with: usize,
    /// How it is signed.
    #[serde(default = "as_done")]
    pub sign: Sign,
    /// Whether nothing behind it is signed before it is, though it is only a box to tick.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub awaited: bool,
    /// The number of its stretch of work.
    pub slot: usize,
    /// The links it is for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub links: Vec<String>,
    /// The least minutes that it takes.
    pub least_minutes: f64,
    /// Whether an apprentice may do it.
    pub apprentice: bool,
    /// Who must do it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trade: Option<String>,
    /// Who must sign before the work goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hold: Option<String>,
    /// When it is done again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<Due>,
    /// What it leaves behind: for each state the step of its course.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub makes: BTreeMap<String, String>,
    /// What comes before it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub after: Vec<String>,
    /// What must lie some time back before it begins.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub waits: Vec<Wait>,
    /// The earlier tasks that it rests on: what undoes one of them undoes this.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<String>,
    /// The earlier tasks that brought its body, side or connection to how it stands while it is done, each with the first later one that
    /// ends that.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub stood: BTreeMap<String, String>,
    /// The tasks that set the whole vehicle up for it, each with the first one that ends that.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub set_up: BTreeMap<String, String>,
    /// The later tasks that raise a body under or in which it is done, or clear that, each with the one that lets the body down again.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub raised: BTreeMap<String, String>,
    /// Its rows; never none.
    pub rows: Vec<Row>,
    /// The digest of the task.
    pub digest: String,
    /// The digests of its parts.
    pub parts: BTreeMap<String, String>,
}

/// A time that must pass after another task.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wait {
    /// The task after which it counts.
    pub after: String,
    /// Hours by the clock on the wall.
    pub hours: f64,
}

impl Wait {
    fn of(wait: &plan::Wait) -> Self {
        Self {
            after: wait.after.clone(),
            hours: wait.hours,
        }
    }
}

/// A row of a task: what is signed, checked and refused by itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Row {
    /// Its id; empty for what the task asks for as a whole.
    pub id: String,
    /// What is written down.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub asks: Vec<Asked>,
}

/// One thing that is written down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// Its name.
    pub name: String,
    /// What to write.
    #[serde(with = "marked")]
    pub ask: Text,
    /// What it is written down for, when it is written down for each of several.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<String>,
    /// `number`, `yes`, `date`, `until`, `time`, `person`, `text`, `paper`, `photo`, `worked out` or `number or mark`.
    pub kind: String,
    /// The unit of a number.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "unit_of_code"
    )]
    pub unit: Option<Unit>,
    /// The least that is right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<f64>,
    /// The most that is right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most: Option<f64>,
}

impl Agreed {
    /// The plan that was made of a job; `pages` is what the signed sheet prints beside it.
    pub fn of(made: &Made<'_>, pages: BTreeMap<String, Json>) -> Self {
        let mounts = made.job.mounts.iter().map(|(id, mount)| {
            let [x, y, _] = mount.at;
            (id.clone(), [x, y])
        });
        Self {
            made_with: "Made with liftsheet".to_owned(),
            job: made.job.title.clone(),
            digest: made.digest().to_owned(),
            provisional: made.plan.provisional,
            stops: made.assessment.stops(),
            tasks: made.plan.tasks.iter().map(SignedTask::of).collect(),
            mounts: mounts.sorted_map(),
            pages,
        }
    }

    /// Reads a plan that was kept; none when it is none.
    pub fn read(text: &str) -> Option<Self> {
        let mut read: Self = serde_json::from_str(text).ok()?;
        for (task, number) in read.tasks.iter_mut().zip(1..) {
            if task.number == 0 {
                (task.number, task.signed_with) = (number, number);
            }
        }
        Some(read)
    }

    /// The plan as it is kept.
    pub fn text(&self) -> String {
        // Texts, numbers, and maps with text keys can always be written.
        serde_json::to_string(self).unwrap_or_default() + "\n"
    }

    /// The task of an id.
    pub fn find(&self, id: &str) -> Option<&SignedTask> {
        self.tasks.iter().find(|task| task.id == id)
    }

    /// The places of all tasks in the order of work, by their ids.
    pub(super) fn places(&self) -> BTreeMap<&str, usize> {
        let ids = self.tasks.iter().map(|task| task.id.as_str());
        ids.zip(0..).sorted_map()
    }

    /// The four characters by which a printed sheet names its plan.
    pub fn short(&self) -> String {
        short(&self.digest)
    }

    /// Refuses a plan that nothing may be signed on.
    pub fn signable(&self) -> Result<(), Problem> {
        if self.stops {
            let message =
                "the lift must not be done as the job file describes it, so nothing can be signed";
            let help = "`liftsheet sheet` says what stops it";
            return Err(Problem::error(Code::LiftStopped, message).help(help));
        }
        if self.provisional {
            let message = "the plan is provisional: something is still to be measured, and its tasks may change";
            let help =
                "measure what `liftsheet survey` lists and write it into the job file, then sign";
            return Err(Problem::error(Code::ProvisionalPlan, message).help(help));
        }
        Ok(())
    }
}

/// How a task was signed before there were ticks.
fn as_done() -> Sign {
    Sign::Done
}

/// The first four characters of a digest.
pub fn short(digest: &str) -> String {
    digest
        .trim_start_matches("sha256:")
        .chars()
        .take(4)
        .collect()
}

impl SignedTask {
    fn of(task: &plan::Task) -> Self {
        let rows = task.rows().into_iter().map(Row::of);
        let rows: Vec<Row> = rows.collect();
        let mut parts = part_digests(task);
        if rows.len() > 1 {
            // A row that asks for the same as before stands, whatever became of the others.
            parts.remove("limits");
            parts.extend(
                rows.iter()
                    .map(|row| (format!("row {}", row.id), row.digest())),
            );
        }
        Self {
            id: task.id.clone(),
            title: task.title.clone(),
            number: task.number,
            signed_with: task.signed_with,
            sign: task.sign,
            awaited: task.awaited,
            slot: task.slot,
            links: task.links.clone(),
            least_minutes: task.minutes.low,
            apprentice: task.apprentice,
            trade: task.trade.clone(),
            hold: task.hold.clone(),
            due: task.due.clone(),
            after: task.after.iter().cloned().collect(),
            waits: task.waits.iter().map(Wait::of).collect(),
            makes: task.makes.clone(),
            rests_on: task.rests_on.clone(),
            stood: task.stood.clone(),
            set_up: task.set_up.clone(),
            raised: task.raised.clone(),
            rows,
            digest: task_digest(task),
            parts,
        }
    }

    /// Everything that it asks for, with the row that it belongs to.
    pub fn asks(&self) -> impl Iterator<Item = (&Row, &Asked)> {
        let rows = self.rows.iter();
        rows.flat_map(|row| row.asks.iter().map(move |asked| (row, asked)))
    }

    /// Whether its check needs nobody's signature for having done it: a box that is ticked, and a hold point, at which somebody only looks.
    pub fn only_checked(&self) -> bool {
        self.due.is_none() && (self.sign == Sign::Tick || self.hold.is_some())
    }

    /// Whether it is done again and again, as at each service.
    pub fn comes_again(&self) -> bool {
        self.due.as_ref().is_some_and(|due| due.every.is_some())
    }
}

impl Row {
    fn of((id, asks): (&str, Vec<&Evidence>)) -> Self {
        Self {
            id: id.to_owned(),
            asks: asks.into_iter().map(Asked::of).collect(),
        }
    }

    fn digest(&self) -> String {
        let text = serde_json::to_string(self).unwrap_or_default();
        format!("sha256:{}", sha256(text.as_bytes()))
    }
}

impl Asked {
    fn of(evidence: &Evidence) -> Self {
        Self {
            name: evidence.name.clone(),
            ask: evidence.ask.clone(),
            item: evidence.item.clone(),
            kind: evidence.kind.clone(),
            unit: evidence.unit,
            least: evidence.least,
            most: evidence.most,
        }
    }
}

/// A text with its quantities as they are, so that it still prints in either system of units.
mod marked {
    use serde::{Deserialize as _, Deserializer, Serializer};

    use crate::text::Text;

    pub(super) fn serialize<S: Serializer>(text: &Text, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(text.marked())
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Text, D::Error> {
        String::deserialize(from).map(Text::rendered)
    }
}

/// Reads a unit by its code; none for one that this program does not know.
fn unit_of_code<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Unit>, D::Error> {
    let code = Option::<String>::deserialize(from)?;
    Ok(code.as_deref().and_then(|word| word.parse().ok()))
}
