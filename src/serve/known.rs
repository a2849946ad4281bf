//! What the program makes of one job file, kept until the file changes: its survey, its plan, and the text of each task.
//!
//! Takes the file's place; gives a [`Known`], which holds whatever pages ask for again and again, so that no tap waits for a whole plan.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::{Mutex, OnceLock};

use serde_json::Value;

use super::sessions::locked;
use crate::assess::Depth;
use crate::desk::fill;
use crate::desk::load::Loaded;
use crate::desk::open;
use crate::desk::staff::staff;
use crate::document::{self, Look, Stop};
use crate::job::{self, Job};
use crate::picture::{links, vehicle};
use crate::pipeline::{self, Made};
use crate::quantity::Units;
use crate::record::Now;
use crate::report::{Problem, Report, Severity};
use crate::rules::{Files, Rules};
use crate::sorted::Sorted as _;
use crate::source::{self, Source};
use crate::study::{Question, study};

/// A job file, and what was made of it.
pub(super) struct Known {
    pub(super) source: Source,
    /// What stands in the way of a plan, and what else is to be said of the file.
    pub(super) report: Report,
    job: Option<(Job, Rules)>,
    /// What is made of it; nothing where it has mistakes.
    pub(super) made: Option<MadeOfJob>,
    questions: OnceLock<Vec<Question>>,
    pictures: Mutex<BTreeMap<String, Option<String>>>,
}

/// What is made of a job without mistakes.
pub(super) struct MadeOfJob {
    pub(super) title: String,
    pub(super) identification: String,
    pub(super) now: Now,
    /// How many values are still to be measured.
    pub(super) to_measure: usize,
    pub(super) stops: Vec<Stop>,
    /// The headings of the stages with the numbers of their tasks.
    stages: Vec<(String, Vec<usize>)>,
    /// The title and the text of each printed task, by its number.
    pub(super) tasks: BTreeMap<usize, (String, String)>,
}

impl MadeOfJob {
    /// The number and the title of a printed task.
    pub(super) fn title(&self, number: usize) -> String {
        let task = self.tasks.get(&number);
        let title = task.map_or("", |(title, _)| title.as_str());
        format!("{number}. {title}")
    }

    /// The heading of the stage in which a printed task is done.
    pub(super) fn stage(&self, number: usize) -> String {
        let mut stages = self.stages.iter();
        let stage = stages.find(|(_, numbers)| numbers.contains(&number));
        stage.map_or_else(String::new, |(heading, _)| heading.clone())
    }
}

impl Known {
    /// Reads a job file and makes everything of it.
    pub(super) fn read(path: &Path, files: &Files) -> Result<Self, Problem> {
        let source = Source::read(path)?;
        let mut loaded = Loaded::default();
        let job = job::read(&source, false, &mut loaded.report);
        let job = job.map(|mut job| {
            staff(&mut job, path);
            let rules = loaded.rules_for(&job, files);
            (job, rules)
        });
        // What cannot be read to its end is no job to work by, whatever a stand-in would make of it.
        let job = job.filter(|_| !loaded.report.has_errors());
        let mut known = Self {
            source,
            report: loaded.report,
            job,
            made: None,
            questions: OnceLock::new(),
            pictures: Mutex::default(),
        };
        known.made = known.with(|made| kept(&made, &known.source, files));
        if known.made.is_none()
            && let Some((job, rules)) = &known.job
        {
            pipeline::run_to(Depth::Words, (job, rules), &mut known.report, |_| ());
        }
        Ok(known)
    }

    /// Makes everything of the job once more, for whoever prints a page of it.
    pub(super) fn with<T>(&self, then: impl FnOnce(Made<'_>) -> T) -> Option<T> {
        let (job, rules) = self.job.as_ref()?;
        pipeline::run(job, rules, &mut Report::new(), then)
    }

    /// The apprentice's questions that are answered by choosing; the others are for paper.
    pub(super) fn questions(&self) -> &[Question] {
        self.questions.get_or_init(|| {
            let drawn = self.with(|made| study(&made, 1, &BTreeSet::new()).questions);
            let drawn = drawn.unwrap_or_default().into_iter();
            let drawn = drawn.map(|(_, question)| question);
            drawn.filter(|one| !one.options.is_empty()).collect()
        })
    }

    /// The picture of a connection: what the lift does to it once it is measured, and where it is before.
    pub(super) fn picture(&self, link: &str, measured: bool) -> Option<String> {
        if let Some(drawn) = locked(&self.pictures).get(link) {
            return drawn.clone();
        }
        let units = Units::Metric;
        let drawn = self.with(|made| {
            let own = measured
                .then(|| links::pictures(&made, link, units))
                .into_iter();
            let own = own.flatten().next();
            own.or_else(|| vehicle::whereabouts(&made, link, units))
        });
        let drawn = drawn.flatten().map(|picture| picture.svg());
        locked(&self.pictures).insert(link.to_owned(), drawn.clone());
        drawn
    }

    /// What is wrong with the file, in sentences.
    pub(super) fn faults(&self) -> Vec<String> {
        let problems = self.report.problems.iter();
        let errors = problems.filter(|problem| problem.severity == Severity::Error);
        errors.map(said).collect()
    }
}

/// A problem as a screen says it: with its way out, unless that is a way of the command line.
pub(super) fn said(problem: &Problem) -> String {
    let typed = |help: &&String| help.contains("`--") || help.contains("`liftsheet");
    let help = problem.help.iter().filter(|help| !typed(help));
    let mut sentence = document::capital(&problem.message);
    help.for_each(|help| sentence.push_str(&format!("; {help}")));
    if !sentence.ends_with(['.', '?']) {
        sentence.push('.');
    }
    sentence
}

fn kept(made: &Made<'_>, source: &Source, files: &Files) -> MadeOfJob {
    let tree = source::read::<Value>(source, &mut Report::new());
    let tree = tree.map_or(Value::Null, |read| read.value);
    let stages = document::stages(made);
    let numbers = stages.iter().flat_map(|(_, numbers)| numbers);
    // A template that cannot be filled in is a defect, and the task's page says so by having no text.
    let tasks = numbers.filter_map(|number| {
        let text = document::task(made, *number, Look::default()).ok()?;
        Some((*number, text))
    });
    MadeOfJob {
        title: made.job.title.clone(),
        identification: made.job.vehicle.identification.clone().unwrap_or_default(),
        now: open::now_of(made, (source, files), None),
        to_measure: fill::missing(made)
            .iter()
            .map(|(_, labels)| labels.len())
            .sum(),
        stops: document::walk(made, &tree),
        tasks: tasks.sorted_map(),
        stages,
    }
}
