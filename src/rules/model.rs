//! Checked rules: expressions compiled, calculations and verdicts resolved, areas and stages known; and what is found once of each (see `names` and `reads`).
//!
//! Texts stay templates; they are rendered when a job fills in the numbers.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use serde::Serialize;
use strum::{EnumString, IntoStaticStr, VariantNames};

use super::expression::{Expr, Scope, Slot};
use super::words::{Area, Moment, Of, Spot, Stage, Verdict};
use super::written;
use crate::calc::{Calculation, InputName};
use crate::quantity::{Quantity, Unit};
use crate::report::{Code, Path, Place, Problem, unknown_help};

/// A class's id, which is its file's name.
pub(crate) type ClassId = String;

/// One class of connection.
#[derive(Debug)]
pub struct Class {
    /// Its id.
    pub id: ClassId,
    /// The rule file as shown to the user.
    pub file: String,
    /// The texts as written.
    pub text: ClassText,
    /// How the customer is told of it.
    pub customer: Option<written::Customer>,
    /// Where on the vehicle it is.
    pub area: Area,
    /// For a consequence: it is looked at only when this holds.
    pub only_when: Option<Expr>,
    /// Whether it assesses a rigid part bolted to both sides of the cut.
    pub bridges: bool,
    /// Whether it is looked at and signed for whenever the lift moves it, whatever its verdict.
    pub always_checked: bool,
    /// Where the rule comes from.
    pub source: Vec<written::Source>,
    /// Settings by name.
    pub settings: BTreeMap<String, Setting>,
    /// Measurements by name.
    pub measurements: BTreeMap<String, Measurement>,
    /// The names of both while nothing is measured, once they are asked for.
    pub(crate) names: OnceLock<Scope>,
    /// The checks in order.
    pub checks: Vec<Check>,
    /// What must come apart before the body goes up.
    pub release: Option<Release>,
    /// Why nothing does.
    pub never_released: Option<String>,
    /// Why a taller lift may need less done.
    pub taller_may_be_lighter: Option<String>,
}

impl Class {
    pub(crate) fn field(&self, list: &str, field: &str) -> Option<&Measurement> {
        match &self.measurements.get(list)?.kind {
            Answer::Each { fields, .. } => fields.get(field),
            _ => None,
        }
    }

    pub(crate) fn keys(&self, list: &str) -> &[String] {
        match self.measurements.get(list).map(|list| &list.kind) {
            Some(Answer::Each { keys, .. }) => keys,
            _ => &[],
        }
    }

    /// The measurement that is this of a span's distance, with its name.
    pub(crate) fn of_role(&self, role: SpanRole) -> Option<(&String, &Measurement)> {
        let mut measurements = self.measurements.iter();
        measurements.find(|(_, measurement)| measurement.role == Some(role))
    }

    /// The place in the rule file that a path names.
    pub(crate) fn place(&self, path: &Path) -> Place {
        Place::new(&self.file, path.clone())
    }
}

#[derive(Debug, Clone)]
pub struct ClassText {
    /// What the trade calls it.
    pub title: String,
    pub whereabouts: String,
    /// Why a body lift disturbs it.
    pub why: String,
    pub if_missed: String,
    /// Why it is left alone when nothing it joins moves apart.
    pub left_alone: String,
}

/// A number that a workshop may change.
#[derive(Debug, Clone, Serialize)]
pub struct Setting {
    pub label: String,
    pub value: Quantity,
    /// Where it comes from.
    pub source: written::Source,
}

/// Something to be measured or looked at.
#[derive(Debug)]
pub struct Measurement {
    /// What it is called on the survey.
    pub label: String,
    /// How to take it.
    pub how: String,
    /// What kind of answer it takes.
    pub kind: Answer,
    /// How close it should be read.
    pub tolerance: Option<f64>,
    /// Used, and printed as assumed, when it is not given.
    pub default: Option<String>,
    /// Whether a check can do without it.
    pub optional: bool,
    /// The answers by which it is held by both sides of the cut.
    pub crosses: Vec<String>,
    /// Its turn among those of its class as they are read: those to be read first, then the others, what may be left out behind them.
    pub turn: usize,
    /// Whether it is looked at on each mount, and never taken over from the one before.
    pub each: bool,
    /// It is asked for only when this holds.
    pub ask_when: Option<Expr>,
    /// Whether it is taken on each span that is pulled apart.
    pub of_span: bool,
    /// What it is of a span's distance, if it is that.
    pub role: Option<SpanRole>,
    /// The numbers of its names, once they are asked for.
    pub(super) slots: OnceLock<Slots>,
}

/// What a measurement is of the distance between the two fixings of a span.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[derive(EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum SpanRole {
    /// The horizontal distance.
    Plan,
    /// How far the body-side fixing stands above the other.
    Level,
    /// How far the other fixing is ahead of the body-side one.
    Ahead,
    /// How far the other fixing is to the left of the body-side one.
    Left,
    /// How far the other fixing is below the body-side one.
    Below,
}

impl SpanRole {
    /// What a measurement of this role comes to by the places of the fixings, mm, where `apart` leads from the other fixing to the one on
    /// the body: x forward, y to the left, z up.
    pub(crate) fn by_places(self, apart: [f64; 3]) -> f64 {
        let [x, y, z] = apart;
        match self {
            Self::Plan => x.hypot(y),
            Self::Level | Self::Below => z,
            Self::Ahead => -x,
            Self::Left => -y,
        }
    }
}

/// What kind of answer a measurement takes.
#[derive(Debug)]
pub enum Answer {
    /// A number in a unit, with the least and most that can be real.
    Number {
        /// The unit.
        unit: Unit,
        /// Least and most.
        range: (f64, f64),
    },
    /// One of these words.
    Choice(Vec<String>),
    /// Yes or no.
    YesNo,
    /// A designation, such as a thread or a tyre size.
    Designation,
    /// For each key, these fields.
    Each {
        /// The keys.
        keys: Vec<String>,
        /// What is measured for each.
        fields: BTreeMap<String, Measurement>,
    },
}

impl Answer {
    /// The unit of a number; none of anything else.
    pub(crate) fn unit(&self) -> Option<Unit> {
        match self {
            Self::Number { unit, .. } => Some(*unit),
            _ => None,
        }
    }

    /// The words to choose from; none where it is no choice.
    pub(crate) fn words(&self) -> Vec<String> {
        match self {
            Self::Choice(words) => words.clone(),
            Self::YesNo => vec!["yes".to_owned(), "no".to_owned()],
            _ => Vec::new(),
        }
    }
}

#[derive(Debug)]
pub struct Check {
    /// The name under which its results are read.
    pub id: String,
    pub calc: Option<&'static Calculation>,
    /// It is made only when this holds.
    pub applies: Option<Expr>,
    /// The list measurement over whose keys it is made.
    pub each: Option<String>,
    /// The calculation's inputs.
    pub with: Vec<(InputName, Expr)>,
    /// Whether its work is done where another check refers the connection as well.
    pub even_referred: bool,
    /// The branches; the first that holds is taken.
    pub branches: Vec<Branch>,
    /// What it reads, once that is asked for.
    pub(super) reads: OnceLock<Vec<Reads>>,
    /// The numbers of its name and of its results, once they are asked for.
    pub(super) slots: OnceLock<(Slot, Vec<(&'static str, Slot)>)>,
    /// Where it stands in the rule file.
    pub path: Path,
}

#[derive(Debug)]
pub struct Branch {
    /// When it applies; always, for the last.
    pub when: Option<Expr>,
    pub verdict: Verdict,
    /// The reason, a template.
    pub because: String,
    /// The same for the customer, a template.
    pub told: Option<String>,
    /// Whether the part had failed before the lift.
    pub failed_before: bool,
    /// Who must do it.
    pub trade: Option<String>,
    pub task: Option<written::Task>,
    /// More work, each in a stage of its own.
    pub also: Vec<(String, Stage, written::Task)>,
    /// The steps at which it leaves states.
    pub leaves: BTreeMap<String, String>,
    pub check: Option<written::Task>,
    /// Where it stands in the rule file.
    pub path: Path,
}

impl Branch {
    /// Whether its reason, or a limit, a size or a text of its work, may read the name.
    pub(crate) fn reads(&self, name: &str) -> bool {
        let mut texts = std::iter::once(&self.because).chain(&self.told);
        self.tasks().any(|task| task.reads(name)) || texts.any(|text| written::reads(text, name))
    }

    /// All its work, the check of it last.
    pub(crate) fn tasks(&self) -> impl Iterator<Item = &written::Task> {
        let also = self.also.iter().map(|(.., task)| task);
        self.task.iter().chain(also).chain(&self.check)
    }

    /// Whether it has the same work done as another.
    pub(crate) fn same_work(&self, other: &Self) -> bool {
        std::ptr::eq(self, other)
            || (
                &self.task,
                &self.also,
                &self.leaves,
                &self.check,
                &self.trade,
            ) == (
                &other.task,
                &other.also,
                &other.leaves,
                &other.check,
                &other.trade,
            )
    }
}

/// What must come apart before the body goes up.
#[derive(Debug)]
pub struct Release {
    /// When; always, when there is none.
    pub when: Option<Expr>,
    /// What that reads, once that is asked for.
    pub(super) reads: OnceLock<Reads>,
    /// Who must do it.
    pub trade: Option<String>,
    /// Taking it apart.
    pub task: written::Task,
    /// Putting it together.
    pub refit: Option<written::Task>,
}

/// How often a procedure task is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[derive(EnumString, IntoStaticStr, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Per {
    /// Once.
    Vehicle,
    /// For each raised body.
    Group,
    /// For each side of each raised body.
    Side,
}

impl Per {
    /// The word in rule files.
    pub(crate) fn word(self) -> &'static str {
        self.into()
    }
}

/// One whole-vehicle task.
#[derive(Debug)]
pub struct ProcedureTask {
    pub id: String,
    pub stage: Stage,
    /// How often it is done.
    pub per: Per,
    /// It is done only when this holds.
    pub when: Option<Expr>,
    /// It is done on every vehicle, not only when what it makes is needed.
    pub always: bool,
    /// Everything else of its stage comes before it.
    pub closes: bool,
    /// Everything else of its stage comes after it.
    pub opens: bool,
    /// The stage, and of the check the moment, from which it may be done before its own.
    pub earliest: Option<(Stage, Option<Moment>)>,
    pub task: written::Task,
    /// The rule file as shown to the user, and where it stands there.
    pub place: Place,
}

/// A state of the vehicle: a course that only goes forward.
#[derive(Debug, Clone)]
pub struct Course {
    /// What has it.
    pub of: Of,
    /// Its steps in order, the found one first.
    pub steps: Vec<String>,
    /// The number of the step at hand-over.
    pub hand_over: usize,
    /// The places that a run of steps shuts everybody out of.
    pub shuts_out: Vec<((usize, usize), Vec<Spot>)>,
    /// The steps in which the vehicle is not left overnight.
    pub not_overnight: Option<(usize, usize)>,
    /// The steps in which somebody stays with the vehicle.
    pub attended: Option<(usize, usize)>,
    /// The steps that may be relied on only after a time.
    pub waits: BTreeMap<usize, Wait>,
}

/// A time that passes before a step may be relied on.
#[derive(Debug, Clone, PartialEq)]
pub struct Wait {
    /// Hours by the clock on the wall.
    pub hours: f64,
    /// Whether the job says how long the coat on the mounts' seats dries, and this is that wait.
    pub of_coat: bool,
    pub because: String,
}

impl Course {
    /// The number of the step of that name.
    pub(crate) fn step(&self, name: &str) -> Option<usize> {
        self.steps.iter().position(|step| step == name)
    }

    /// The first and the last of a run of steps, such as `hinge..started`, or a single one.
    pub(crate) fn run(&self, text: &str) -> Option<(usize, usize)> {
        let (from, to) = text.split_once("..").unwrap_or((text, text));
        let (from, to) = (self.step(from.trim())?, self.step(to.trim())?);
        (from <= to).then_some((from, to))
    }
}

/// Written behind a state's name where a task means the side that it is not done on.
const OTHER_SIDE: &str = " of the other side";

/// What something written says of a state.
pub(crate) struct StateRun<'a> {
    /// The state's name.
    pub(crate) state: &'a str,
    pub(crate) course: &'a Course,
    /// Whether the state of the side is meant that the task is not done on.
    pub(crate) other_side: bool,
    /// The first and the last of a run of its steps.
    pub(crate) run: (usize, usize),
}

impl<'a> StateRun<'a> {
    /// Reads a state's name and a run of its steps; fails where there is no such state or step, with a problem that has no place yet.
    pub(crate) fn read(
        states: &'a BTreeMap<String, Course>,
        (name, run): (&'a String, &String),
    ) -> Result<Self, Problem> {
        let plain = name.strip_suffix(OTHER_SIDE);
        let state = plain.unwrap_or(name);
        let unknown =
            |message: String, help| Problem::error(Code::UnknownState, message).help(help);
        let course = states.get(state).ok_or_else(|| {
            let help = unknown_help(state, states.keys().map(String::as_str));
            unknown(format!("there is no state `{state}`"), help)
        })?;
        let run = course.run(run).ok_or_else(|| {
            let help = unknown_help(run, course.steps.iter().map(String::as_str));
            unknown(format!("the course of `{state}` has no step `{run}`"), help)
        })?;
        Ok(Self {
            state,
            course,
            other_side: plain.is_some(),
            run,
        })
    }
}

/// What one jurisdiction allows.
#[derive(Debug)]
pub struct Region {
    /// The rule file as shown to the user.
    pub file: String,
    pub title: String,
    /// Who confirms what holds there.
    pub authority: String,
    /// A remark printed beside the limits.
    pub note: Option<String>,
    pub limits: Vec<Limit>,
}

#[derive(Debug)]
pub struct Limit {
    pub id: String,
    pub title: String,
    /// The document, with clause and year where they were read.
    pub source: written::LimitSource,
    /// It holds only when this does.
    pub applies: Option<Expr>,
    pub value: Expr,
    pub unit: Unit,
    pub most: Expr,
    /// What follows when it is passed.
    pub over: Verdict,
    /// What that means, a template.
    pub because: String,
    /// The rule file as shown to the user, and where it stands there.
    pub place: Place,
}

/// The numbers of the names of a measurement.
#[derive(Debug)]
pub(crate) struct Slots {
    /// Its own.
    pub(crate) own: Slot,
    /// That of whether it is known.
    pub(crate) known: Slot,
    /// Those of its choices as yes or no.
    pub(super) choices: Vec<(Slot, String)>,
}

/// Which measured value: one of its own, or a field of one key of a list.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Address {
    /// A value of its own.
    One(String),
    /// A field of one key of a list measurement.
    Each(String, String, String),
}

impl Address {
    /// The address as it stands in a job file, below `measured`.
    pub(crate) fn dotted(&self) -> String {
        match self {
            Self::One(name) => name.clone(),
            Self::Each(list, key, field) => format!("{list}.{key}.{field}"),
        }
    }
}

/// What something reads, directly or through the checks above it.
#[derive(Debug, Default)]
pub(crate) struct Reads {
    /// The checks whose results it reads, by their places in the class, in order.
    pub(crate) above: BTreeSet<usize>,
    pub(crate) values: BTreeSet<Address>,
    /// What has to be given for the names of its own expressions, results of checks aside.
    pub(crate) needs: BTreeSet<(Slot, Need)>,
}

/// One thing that a check cannot do without.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Need {
    /// A measurement of the link or span.
    Value(Address),
    /// A fact of the job, by name.
    Fact(&'static str),
}
