//! Rule files as their author types them: plain data read from YAML, nothing resolved and nothing checked.
//!
//! Each type is one shape of the manual, `rule-files`. Expressions and text templates are still strings here;
//! `check` compiles them and turns a file into the types of `model`.

use std::borrow::Cow;
use std::collections::BTreeMap;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize};

use super::part::{PartKind, Size};
use super::words::{Area, Moment, Of, Spot, Stage, Verdict};
use crate::quantity::{Amount, Unit, Written};
use crate::source::{More, OneOr};
use strum::{IntoEnumIterator, VariantNames};

/// `rules/connections/<class>.yaml`: one class of connection between body and chassis.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Class {
    /// What the trade calls it.
    pub title: String,
    /// Where on the vehicle it is, one of the areas of the walking order.
    #[schemars(extend("enum" = Area::VARIANTS))]
    pub area: String,
    /// Where to look for it.
    #[serde(rename = "where")]
    pub whereabouts: String,
    /// Why a body lift disturbs it.
    pub why: String,
    /// What happens when it is missed.
    pub if_missed: String,
    /// Why it is left alone when nothing it joins moves apart.
    pub left_alone: String,
    /// How the customer is told of it.
    pub customer: Option<Customer>,
    /// Where the rule comes from.
    pub source: Vec<Source>,
    /// For a consequence: it is looked at only when this holds, an expression over facts.
    pub only_when: Option<String>,
    /// The class assesses a rigid part that is bolted to both sides of the cut, not a flexible link.
    #[serde(default)]
    pub bridges: bool,
    /// People can be hurt by it: it is looked at and signed for whenever the lift moves it, whatever its verdict.
    #[serde(default)]
    pub always_checked: bool,
    /// Numbers that a workshop may change, by name.
    #[serde(default)]
    pub settings: BTreeMap<String, Setting>,
    /// What must be measured, by name.
    #[serde(default)]
    pub measurements: BTreeMap<String, Measurement>,
    /// Those that are read first, in this order: what another builds on, and what is seen with nothing undone.
    #[serde(default)]
    pub read_first: Vec<String>,
    /// The checks, in the order in which their results may be used.
    #[serde(default)]
    pub checks: Vec<Check>,
    /// What must come apart before the body goes up.
    pub release: Option<Release>,
    /// Why nothing of a connection comes apart before the body goes up, where it has no `release`.
    pub never_released: Option<String>,
    /// Why a taller lift may need less done, where it may: a shape that first comes nearer, such as a fan above its shroud's centre.
    pub taller_may_be_lighter: Option<String>,
}

/// How a connection is told of to the customer, in plain words.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Customer {
    /// Under which heading, one of [`crate::rules::CUSTOMER_GROUPS`].
    pub group: String,
    /// What it is called.
    pub what: String,
    /// What shows that it was missed or has come loose.
    pub watch: String,
}

/// Where a rule comes from.
#[derive(Debug, Clone, Deserialize, JsonSchema, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// A document's title, or `common practice`.
    pub document: String,
    /// The clause, where it was read.
    pub clause: Option<String>,
    /// How firm it is: `read`, `secondary copy`, `from memory` or `common practice`.
    pub status: String,
}

/// A number that a workshop may change.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Setting {
    /// What it is.
    pub label: String,
    /// Its unit's code.
    #[schemars(extend("enum" = Unit::VARIANTS))]
    pub unit: String,
    /// Its value; a bare number is in `unit`.
    #[schemars(with = "Amount")]
    pub value: Written,
    /// Where the value comes from.
    pub source: Source,
}

/// Something to be measured or looked at on the vehicle.
// Each is said of a measurement for itself, and a file leaves out what is not so.
#[allow(clippy::struct_excessive_bools)]
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Measurement {
    /// What it is called on the survey.
    pub label: String,
    /// How to take it.
    pub how: String,
    /// Its unit's code, when it is a number.
    pub unit: Option<String>,
    /// The words to choose from, when it is a word.
    pub choices: Option<Vec<String>>,
    /// Those of the choices by which it is held by both sides of the cut: with one of them nothing rides together.
    #[serde(default)]
    pub crosses: Vec<String>,
    /// True when it is answered yes or no.
    #[serde(default)]
    pub yes_no: bool,
    /// True when it is a designation such as a thread or a tyre size.
    #[serde(default)]
    pub designation: bool,
    /// How close it should be read, in `unit`.
    #[schemars(with = "Option<Amount>")]
    pub tolerance: Option<Written>,
    /// Least and most that can be real, in `unit`.
    #[schemars(with = "Option<(Amount, Amount)>")]
    pub range: Option<(Written, Written)>,
    /// Used, and printed as assumed, when it is not given.
    pub default: Option<Written>,
    /// True when a check can do without it.
    #[serde(default)]
    pub optional: bool,
    /// True when it is looked at on each mount, and never taken over from the one before.
    #[serde(default)]
    pub each: bool,
    /// It is asked for only when this holds.
    pub ask_when: Option<String>,
    /// `link` (the default) or `span`: taken once, or on each span that is pulled apart.
    pub of: Option<String>,
    /// Of the distance between a span's fixings: `plan`, the horizontal distance; `level`, how far the body-side fixing stands above the
    /// other; `ahead`, `left` or `below`, how far the other is that way from it.
    #[schemars(extend("enum" = ["plan", "level", "ahead", "left", "below"]))]
    pub role: Option<String>,
    /// The keys of a list measured once for each, such as the swings of a lever.
    pub keys: Option<Vec<String>>,
    /// What is measured for each key.
    pub fields: Option<BTreeMap<String, Measurement>>,
}

/// One check: a calculation, and the verdicts its results lead to.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Check {
    /// The name under which its results are read: `id.result`.
    pub id: String,
    /// The calculation; a check without one judges the measurements themselves.
    pub calc: Option<String>,
    /// The check is made only when this holds.
    pub applies: Option<String>,
    /// A list measurement: the check is made once for each of its keys.
    #[serde(rename = "for")]
    pub each: Option<String>,
    /// The calculation's inputs: an expression over measurements, settings and facts.
    #[serde(default)]
    pub with: BTreeMap<String, Written>,
    /// Whether its work is done where another check refers the connection as well: the way to it is opened and closed whoever decides.
    #[serde(default)]
    pub even_referred: bool,
    /// The first that holds is the check's verdict.
    pub verdicts: Vec<VerdictRule>,
}

/// One branch of a check.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct VerdictRule {
    /// When it applies; the last branch has none.
    pub when: Option<String>,
    /// The verdict.
    #[schemars(extend("enum" = verdicts()))]
    pub verdict: String,
    /// The reason, as a text template with the numbers in it.
    pub because: String,
    /// The same for the customer, in plain words; a text template.
    pub told: Option<String>,
    /// Whether the part had failed before the lift: its reason says so, the customer is told, and its hours are told apart. Where it
    /// hurts nobody it is a `leave`.
    #[serde(default)]
    pub failed_before: bool,
    /// Who must do it, when the law or good sense wants a licensed trade.
    pub trade: Option<String>,
    /// The work.
    pub task: Option<Task>,
    /// More work of the same verdict, in stages of its own.
    #[serde(default)]
    pub also: Vec<Extra>,
    /// What it leaves to be done, by state: the step that the course then stands at, such as `aim: still to do`.
    #[serde(default)]
    pub leaves: BTreeMap<String, String>,
    /// How it is checked, and signed for.
    pub check: Option<Task>,
}

/// One more task of a verdict, in a stage of its own.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Extra {
    /// Its name, unique in the class.
    pub id: String,
    /// The stage it belongs to.
    #[schemars(extend("enum" = Stage::VARIANTS))]
    pub stage: String,
    /// The task.
    pub task: Task,
}

/// What must come apart before the body goes up, and how it goes together again.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Release {
    /// When it must; always, when left out.
    pub when: Option<String>,
    /// Who must do it.
    pub trade: Option<String>,
    /// Taking it apart.
    pub task: Task,
    /// Putting it together; `none` where every corrective task does that, or nothing comes apart.
    #[schemars(with = "TaskOrNone")]
    pub refit: Option<Task>,
}

/// Stands for a task or none in the schema of a field whose `none` is gone once a class is laid together.
#[derive(JsonSchema)]
#[serde(untagged)]
#[allow(dead_code, reason = "only its schema is made")]
enum TaskOrNone {
    Task(Box<Task>),
    None(#[schemars(extend("enum" = ["none"]))] String),
}

/// One task: what is done, with what, for how long, and what shows that it was done.
// Each is said of a task for itself, and none excludes another.
#[allow(clippy::struct_excessive_bools)]
#[derive(Debug, Clone, PartialEq, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Task {
    /// One line, a text template.
    pub title: String,
    /// What to do, in order; text templates.
    #[serde(default)]
    pub steps: Vec<String>,
    /// The area, when it is not the class's.
    pub area: Option<String>,
    /// Where people are while it is done, when the area does not say so.
    #[schemars(extend("enum" = Spot::VARIANTS))]
    pub place: Option<String>,
    /// Where somebody is at the same time, such as at a bolt's head inside; text templates that give a place, or nothing on this job.
    #[serde(default)]
    pub also_at: Vec<String>,
    /// The places that it shuts others out of, because it moves something there.
    #[serde(default)]
    pub shuts_out: Vec<String>,
    /// It is a look that is a row of the walk-round of its moment and place; a look at a connection is one anyway.
    #[serde(default)]
    pub looks: bool,
    /// Tools beyond the usual hand tools.
    #[serde(default)]
    pub tools: Vec<String>,
    /// Parts and consumables.
    #[serde(default)]
    pub parts: Vec<BenchPart>,
    /// Minutes: low, likely, high.
    pub minutes: [f64; 3],
    /// How many people: a number, or the name of one, such as `lift.jacks`.
    pub people: Option<Written>,
    /// One more person does nothing but watch.
    #[serde(default)]
    pub watch: bool,
    /// An apprentice may do it; yes unless said otherwise.
    pub apprentice: Option<bool>,
    /// Who must do it: a trade, or `workshop` for what its own people do under a verdict that is a trade's.
    pub trade: Option<String>,
    /// Things that serve one task at a time: hoist, press, pressure bleeder, welder.
    #[serde(default)]
    pub uses: Vec<String>,
    /// What is written down when it is done.
    #[serde(default)]
    pub evidence: Vec<Evidence>,
    /// `supervisor` when a second person must sign before the work goes on.
    pub hold: Option<String>,
    /// What can hurt someone here.
    #[serde(default)]
    pub cautions: Vec<String>,
    /// What it leaves behind: for each state the step of its course.
    #[serde(default)]
    pub makes: BTreeMap<String, String>,
    /// What holds while it is done: for each state a step of its course, or a run of neighbouring ones (`hinge..started`).
    #[serde(default, rename = "while")]
    pub during: BTreeMap<String, String>,
    /// Tasks of the procedure that come first although no state says so.
    #[serde(default)]
    pub after: Vec<After>,
    /// It is done while the body stands on its stands, before it is tightened down.
    #[serde(default)]
    pub raised: bool,
    /// It is done for every other connection that hangs on the part of the body which this link's correction moves, one by one; `link` is
    /// that connection.
    #[serde(default)]
    pub moved_along: bool,
    /// When in the check it is done, and what it writes down can be answered; `still` when left out.
    #[schemars(extend("enum" = Moment::VARIANTS))]
    pub moment: Option<String>,
    /// When it is done again after release.
    pub due: Option<Due>,
}

impl Task {
    /// When in the check it is done.
    pub(crate) fn moment(&self) -> Option<Moment> {
        self.moment.as_deref()?.parse().ok()
    }

    /// Whether one of its texts, limits or sizes may read a name.
    pub(crate) fn reads(&self, name: &str) -> bool {
        let limits = self.evidence.iter().flat_map(|one| [&one.least, &one.most]);
        let limits = limits.flatten().map(Written::as_str);
        let sizes = self.parts.iter().flat_map(|part| part.size.values());
        let texts = self.steps.iter().chain(&self.also_at);
        let texts = texts.chain([&self.title]).map(String::as_str);
        let mut all = limits.chain(sizes.map(Written::as_str)).chain(texts);
        all.any(|text| reads(text, name))
    }
}

/// Whether a name stands in a text as a word of its own.
pub(super) fn reads(text: &str, name: &str) -> bool {
    let word = |c: char| !(c.is_alphanumeric() || c == '_');
    text.split(word).any(|one| one == name)
}

/// A task that comes first although no state says so.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct After {
    /// The procedure task's id.
    pub task: String,
    /// Why.
    pub because: String,
}

/// A part or consumable to have on the bench.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BenchPart {
    /// What it is, a text template with its size.
    pub what: String,
    /// How many; one when left out.
    pub count: Option<u32>,
    /// What is counted, one of [`crate::rules::COUNTED`]; pieces when left out.
    #[serde(rename = "in")]
    pub counted: Option<String>,
    /// One of [`crate::rules::PartKind`].
    #[schemars(extend("enum" = PartKind::VARIANTS))]
    pub kind: String,
    /// Its sizes by name, one of [`crate::rules::Size`]: an expression that gives millimetres, or a text template for a word.
    #[serde(default)]
    #[schemars(extend("propertyNames" = serde_json::json!({"enum": Size::VARIANTS})))]
    pub size: BTreeMap<String, Written>,
    /// True when one serves every task of the job that asks for it, such as a marker or a tin of primer.
    #[serde(default)]
    pub shared: bool,
}

/// The kind of evidence that nobody types: signing works it out of other evidence, and on paper it stands as what that must come to.
pub(crate) const WORKED_OUT: &str = "worked out";
/// The kind of a torque on a bolt that is not turned where threadlocker holds it: then the word [`MARK`] says that its paint mark is in line.
pub(crate) const OR_MARK: &str = "number or mark";
/// What stands in place of such a number.
pub(crate) const MARK: &str = "mark";

/// One thing that is written down when a task is done.
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// Its name in the record.
    pub name: String,
    /// What to write, a text template.
    pub ask: String,
    /// `number`, `yes`, `text`, `paper` (words with a number in them), `date`, `until`, `time`, `person`, `photo`, `worked out` or `number or mark`.
    pub kind: String,
    /// `mount` when it is written down once for each mount of the task's group or side.
    pub per: Option<String>,
    /// The unit of a number.
    pub unit: Option<String>,
    /// The least that is right, an expression.
    pub least: Option<Written>,
    /// The most that is right, an expression.
    pub most: Option<Written>,
    /// Instead of limits of its own the name of what its mount's own task writes down, with whose limits: `torque`.
    pub limits_of: Option<String>,
    /// The moment of the check at which it can be answered, when that is not the task's own.
    #[schemars(extend("enum" = Moment::VARIANTS))]
    pub moment: Option<String>,
    /// How it is found out, a text template: a step of the task, which goes where this goes when a check is split.
    pub how: Option<String>,
}

/// When a task is done again after release.
// It stands so in the plan and beside the record, too: its fields are in the order of their names, as the plan's digest has them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Due {
    /// A recurring occasion, such as `each service`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub every: Option<String>,
    /// Distance driven since the lift, km.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub km: Option<f64>,
}

/// `rules/procedure/<stage>.yaml`: the whole-vehicle tasks of one stage.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Procedure {
    /// The stage.
    #[schemars(extend("enum" = Stage::VARIANTS))]
    pub stage: String,
    /// Where the stage's rules come from.
    pub source: Vec<Source>,
    /// Its tasks, in the order in which they stand when nothing else decides.
    pub tasks: Vec<ProcedureTask>,
}

/// One whole-vehicle task.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ProcedureTask {
    /// Its id.
    pub id: String,
    /// `vehicle` (the default), `group` or `side`: how often it is done.
    pub per: Option<String>,
    /// It is done only when this holds, an expression over facts.
    pub when: Option<String>,
    /// It is done on every vehicle (on which `when` holds); left out, it is done when a later step needs what it makes, or when
    /// something left a course off the value at hand-over.
    #[serde(default)]
    pub always: bool,
    /// Everything else of its stage comes before it, and the next stage after it.
    #[serde(default)]
    pub closes: bool,
    /// Everything else of its stage comes after it.
    #[serde(default)]
    pub opens: bool,
    /// The stage or moment of the check from which it may be done, as soon as what it needs is done, so that a trade's visit is not parted.
    pub earliest: Option<String>,
    /// The task.
    pub task: Task,
}

/// `rules/states.yaml`: the states of the vehicle, each a course that only goes forward.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct States {
    /// Where they come from.
    pub source: Vec<Source>,
    /// What holds while something is looked at, for each moment of the check.
    #[serde(default)]
    pub moments: BTreeMap<String, BTreeMap<String, String>>,
    /// What of the whole vehicle is brought about again for work that is done again, for each stage.
    #[serde(default)]
    pub again: BTreeMap<String, BTreeMap<String, String>>,
    /// The place from which a connection's tasks are done, for each stage and moment of the check at which that is not where it is.
    #[serde(default)]
    pub done_from: BTreeMap<String, String>,
    /// What several tasks that are printed as one are called: a text template for each stage, and one for a `walk-round`. It may read
    /// `stage`, `moment`, `place`, `group`, `side` and `count`.
    #[serde(default)]
    pub together: BTreeMap<String, String>,
    /// The states by name.
    pub states: BTreeMap<String, State>,
}

/// One state.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct State {
    /// What has it: the vehicle, each raised body, each side of each, each mount, each connection.
    #[schemars(extend("enum" = Of::VARIANTS))]
    pub of: String,
    /// Its values in the order of the job, the found one first.
    pub course: Vec<String>,
    /// The value at hand-over, when it is not the last.
    pub hand_over: Option<String>,
    /// The places that a value or a run of values shuts everybody out of.
    #[serde(default)]
    pub shuts_out: BTreeMap<String, Vec<String>>,
    /// The value or run of values in which the vehicle is not left overnight.
    pub not_overnight: Option<String>,
    /// The value or run of values in which somebody stays with the vehicle.
    pub attended: Option<String>,
    /// The values that may be relied on only after a time, for which nobody is needed.
    #[serde(default)]
    pub waits: BTreeMap<String, Wait>,
}

impl State {
    /// Keeps of a state what is not said of the one that lies over it.
    pub(super) fn keep(&mut self, known: &Self) {
        if self.shuts_out.is_empty() {
            self.shuts_out.clone_from(&known.shuts_out);
        }
        if self.waits.is_empty() {
            self.waits.clone_from(&known.waits);
        }
        self.not_overnight = self.not_overnight.take().or(known.not_overnight.clone());
        self.attended = self.attended.take().or(known.attended.clone());
    }
}

/// The one fact of a job that a wait may take its hours from.
pub(crate) const COAT_HOURS: &str = "lift.coat_hours";

/// A time that passes before a value may be relied on.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Wait {
    /// Hours by the clock on the wall, nights included.
    pub hours: f64,
    /// The fact of the job that gives the hours where the job has it: `lift.coat_hours`.
    #[schemars(extend("enum" = [COAT_HOURS, null]))]
    pub given: Option<String>,
    /// Why.
    pub because: String,
}

/// `settings.yaml`: numbers that a workshop may change; ours of the procedure each with what it is, a workshop's laid over by value.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Settings {
    /// Who decided the values that are laid over, where an entry does not say.
    pub by: Option<String>,
    /// On which day, where an entry does not say.
    pub on: Option<String>,
    /// The settings: one of the procedure by its name, one of a class as `class.name`.
    pub settings: BTreeMap<String, Entry>,
}

/// One setting: a value that is laid over, bare or with who decided it, or all that there is to say of a new one.
#[derive(Debug, Clone)]
pub(crate) struct Entry(pub FullEntry);

/// An entry with more than its value.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct FullEntry {
    /// Its value; a bare number is in the setting's unit.
    #[schemars(with = "Amount")]
    pub value: Written,
    /// What it is; for a new setting.
    pub label: Option<String>,
    /// Its unit's code; for a new setting.
    #[schemars(extend("enum" = Unit::VARIANTS))]
    pub unit: Option<String>,
    /// Where the value comes from; for a new setting.
    pub source: Option<Source>,
    /// Who decided it.
    pub by: Option<String>,
    /// On which day.
    pub on: Option<String>,
    /// Why.
    pub why: Option<String>,
}

impl<'de> Deserialize<'de> for Entry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOr {
            expected: "a value such as `30 mm`, or `{value: 30 mm, by: …, on: …}`",
            one: |value| {
                Self(FullEntry {
                    value,
                    ..FullEntry::default()
                })
            },
            more: More::Map(Self),
        })
    }
}

impl JsonSchema for Entry {
    fn schema_name() -> Cow<'static, str> {
        "Entry".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A value that is laid over, or the value with who decided it.",
            "anyOf": [generator.subschema_for::<Amount>(), generator.subschema_for::<FullEntry>()],
        })
    }
}

/// `rules/limits/<region>.yaml`: what one jurisdiction allows.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Limits {
    /// What the jurisdiction is called.
    pub title: String,
    /// Who confirms what holds there.
    pub authority: String,
    /// A remark printed beside the limits.
    pub note: Option<String>,
    /// The limits.
    pub limits: Vec<Limit>,
}

/// One limit.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Limit {
    /// Its name, unique in the file.
    pub id: String,
    /// What it limits.
    pub title: String,
    /// The document, with clause and year where they were read.
    pub source: LimitSource,
    /// It holds only when this does, an expression over facts.
    pub applies: Option<String>,
    /// What is compared, an expression over facts.
    pub value: String,
    /// Its unit.
    #[schemars(extend("enum" = Unit::VARIANTS))]
    pub unit: String,
    /// The most that is allowed, an expression over facts.
    pub most: Written,
    /// `stop`, or `refer` to a certifying engineer, when it is passed.
    #[schemars(extend("enum" = ["stop", "refer"]))]
    pub over: String,
    /// What that means, a text template over facts, `value` and `most`.
    pub because: String,
}

/// Where a limit was read.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitSource {
    /// The document's title.
    pub document: String,
    /// The clause, where it was read.
    pub clause: Option<String>,
    /// The year of the text that was read.
    pub year: Option<u32>,
    /// How firm it is: `read`, `secondary copy` or `from memory`.
    pub status: String,
}

/// The verdicts that a rule may give: all but `measure`, which is for what is not yet known.
pub(super) fn verdicts() -> Vec<&'static str> {
    let all = Verdict::iter();
    all.filter(|verdict| *verdict != Verdict::Measure)
        .map(Verdict::word)
        .collect()
}
