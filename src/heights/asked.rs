//! What was asked: the range of heights, the steps of the tables, a tyre.
//!
//! Takes what was typed; gives [`AskedHeights`], or every problem with it.

use super::SAME;
use super::totals::{Height, Planned};
use crate::calc::tyre::diameter;
use crate::job::{HIGHEST_SPACER, Job};
use crate::quantity::{Quantity, Unit};
use crate::report::{Code, Path, Problem, Report};

/// The most steps of a table; more than that nobody reads.
const MOST_STEPS: f64 = 100.0;

/// The most connections that are judged at every height of a range; a vehicle has one or two hundred.
const MOST_LINKS: usize = 500;

/// The finest difference between blocks, mm.
const FINEST: f64 = 0.1;

/// A tyre asked for, and what it is compared with.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    pub size: String,
    /// Its diameter, mm.
    pub diameter: f64,
    /// The size before the lift.
    pub before: String,
    /// The diameter before the lift, mm.
    pub diameter_before: f64,
}

/// The heights asked for, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedHeights {
    /// The lowest, 0 or above; 0 is no lift.
    pub from: f64,
    /// The highest, above the lowest.
    pub to: f64,
    /// From one height of the tables to the next, above 0.
    pub step: f64,
    /// The tyre that the lift is to make room for.
    pub tyre: Option<Wanted>,
}

impl AskedHeights {
    /// Reads what was typed: the lowest height, the highest and the step of the tables, and the tyre that the lift is to make room for. Fails
    /// with every problem: what is no length, a range that is none or too high, too many steps, a tyre that cannot be read or compared.
    pub fn read(
        [from, to, step]: [&str; 3],
        tyre: Option<&str>,
        job: &Job,
    ) -> Result<Self, Report> {
        let mut report = Report::new();
        let from = length("--from", from, &mut report);
        let to = length("--to", to, &mut report);
        let step = length("--step", step, &mut report);
        let tyre = tyre.map(|size| wanted(size, job, &mut report));
        few_links(job, &mut report);
        if let (Some(from), Some(to), Some(step)) = (from, to, step) {
            range((from, to), step, &mut report);
            let tyre = tyre.flatten();
            if report.is_empty() {
                return Ok(Self {
                    from,
                    to,
                    step,
                    tyre,
                });
            }
        }
        Err(report)
    }

    /// The heights of the tables, lowest first: every step, the end of the range, the job's own height, the height that the tyre needs. Each is
    /// planned, told whether it is the job's own.
    pub(super) fn heights(
        &self,
        (own, needed): (f64, Option<f64>),
        planned: impl Fn(f64, bool) -> Planned,
    ) -> Vec<Height> {
        let mut heights = Vec::new();
        let mut number = 0.0;
        while self.from + number * self.step < self.to - SAME {
            heights.push(self.from + number * self.step);
            number += 1.0;
        }
        heights.push(self.to);
        heights.push(own);
        // A height that is enough, and higher by less than blocks are made to, is the one that is needed.
        let enough = |height: &&f64| {
            needed.is_some_and(|needed| (needed..needed + FINEST).contains(*height))
        };
        let needed = heights.iter().find(enough).copied().or(needed);
        heights.extend(needed);
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|a, b| (*a - *b).abs() <= SAME);
        let same = |height: f64, other: f64| (height - other).abs() <= SAME;
        let heights = heights.into_iter().map(|height| Height {
            height,
            own: same(height, own),
            tyre: needed.is_some_and(|needed| same(height, needed)),
            planned: planned(height, same(height, own)),
        });
        heights.collect()
    }
}

/// Refuses a job with so many connections that judging all at every height would not end in good time.
fn few_links(job: &Job, report: &mut Report) {
    let bridging = job.parts.values().filter(|part| part.fixed_to.len() > 1);
    let count = job.links.len() + job.mounts.len() + bridging.count();
    if count > MOST_LINKS {
        let message = format!(
            "{count} connections are more than are judged at every height: at most {MOST_LINKS}"
        );
        let problem = Problem::error(Code::TooMany, message);
        let help =
            "the job sheet takes more; look at a part of the vehicle in a job file of its own";
        report.push(problem.help(help));
    }
}

/// A length, in mm when no unit is given.
fn length(option: &str, typed: &str, report: &mut Report) -> Option<f64> {
    match Quantity::parse(typed, Unit::Mm) {
        // A typed `-0` is 0.
        Ok(quantity) => Some(quantity.value + 0.0),
        Err(error) => {
            let problem = Problem::error(error.code(), format!("`{option}`: {error}"));
            report.push(problem.help(error.help()));
            None
        }
    }
}

fn range((from, to): (f64, f64), step: f64, report: &mut Report) {
    let mut refuse = |message: String, help: String| {
        report.push(Problem::error(Code::OutOfRange, message).help(help));
    };
    if !(0.0..=HIGHEST_SPACER).contains(&from) || !(0.0..=HIGHEST_SPACER).contains(&to) {
        let message = format!("heights from {from} mm to {to} mm are not all covered");
        let help = format!("give heights from 0, which is no lift, to {HIGHEST_SPACER} mm");
        refuse(message, help);
    } else if from >= to {
        refuse(
            format!("`--from` is {from} mm, and `--to` is {to} mm: that is no range"),
            "give the lowest height as `--from` and the highest as `--to`".to_owned(),
        );
    }
    if step <= 0.0 {
        refuse(
            format!("`--step` is {step} mm: the next height would never come"),
            "give a step above 0, such as `--step 5`".to_owned(),
        );
    } else if (to - from) / step > MOST_STEPS {
        let least = (to - from) / MOST_STEPS;
        refuse(
            format!(
                "a step of {step} mm from {from} mm to {to} mm makes more than {MOST_STEPS} steps"
            ),
            format!(
                "give a step of {least} mm or more; breaks are found to the hundredth of a millimetre whatever the step is"
            ),
        );
    }
}

/// The tyre asked for, beside the one before the lift.
fn wanted(size: &str, job: &Job, report: &mut Report) -> Option<Wanted> {
    let found = match diameter("--tyre", size) {
        Ok(found) => Some(found),
        Err(error) => {
            let message = format!("`--tyre`: `{size}` is no tyre size that is known here");
            let problem = Problem::error(Code::BadValue, message);
            report.push(problem.help(format!("write {}", error.allowed)));
            None
        }
    };
    let before = job.vehicle.numbers.get("tyre_before");
    let (Some(before), Some(typed)) = (before, &job.vehicle.tyres.0) else {
        let message = "`--tyre` needs the tyre before the lift to compare with, and the job file does not give it";
        let path = Path::root().key("vehicle");
        let help = "write its size under `vehicle`, as `done: {tyre_before: 235/75R15}`; it stands on the tyre's wall";
        let mut notes = job.notes(report);
        notes.error(Code::MissingField, &path, message, help);
        return None;
    };
    Some(Wanted {
        size: size.trim().to_owned(),
        diameter: found?,
        before: typed.clone(),
        diameter_before: before.value,
    })
}
