//! The job sheet: what is done to this vehicle, in which order, by whom, with what, and what is written down.
//!
//! Takes everything that was made of the job; gives one [`Page`] for the fitter's hands and the supervisor's pen.

use serde::Serialize;

use super::links::{self, Again, Assumed, Row};
use super::tasks::{self, Section};
use super::{DocumentError, Look, Made, Page, engine, escape, words};
use crate::job::{Job, Raise};
use crate::quantity::{Quantity, Unit, Units};
use crate::rules::Verdict;

/// What is printed across every sheet of paper of a demo.
const DEMO: &str = "DEMO – NOT A VEHICLE";

/// What stands at the head of every page of a job.
#[derive(Debug, Serialize)]
pub(super) struct Head {
    job: String,
    demo: Option<&'static str>,
    note: Option<String>,
    /// How many things are still to be measured, when the plan may change by them.
    to_measure: Option<String>,
    stops: Vec<Stop>,
}

#[derive(Debug, Serialize)]
struct Stop {
    title: String,
    because: String,
}

#[derive(Debug, Serialize)]
struct Sheet {
    head: Head,
    facts: Vec<(&'static str, String)>,
    worked: Vec<Row>,
    assumed: Vec<Assumed>,
    again: Vec<Again>,
    sections: Vec<Section>,
    left: Vec<Row>,
    time: Time,
    trades: bool,
    digest: String,
}

#[derive(Debug, Serialize)]
struct Time {
    low: String,
    likely: String,
    high: String,
    chain: String,
    chain_likely: String,
}

/// Makes the job sheet; fails only when its template is defective.
pub fn sheet(made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
    let (worked, left) = links::rows(made, look);
    let view = Sheet {
        head: head(made, look),
        facts: facts(made.job, look.units),
        worked,
        assumed: links::assumed(made, look),
        again: links::again(made, look),
        sections: tasks::sections(made, look),
        left,
        time: time(made),
        trades: made.plan.tasks.iter().any(|task| task.trade.is_some()),
        digest: made.plan.digest.clone(),
    };
    page(made, "Job sheet", "sheet.md", &view)
}

/// A page of a job from its template and view.
pub(super) fn page(
    made: &Made<'_>,
    kind: &str,
    template: &str,
    view: &impl Serialize,
) -> Result<Page, DocumentError> {
    let job = escape::shown(&made.job.title);
    let digest: String = made.plan.digest.chars().take(23).collect();
    Ok(Page {
        title: format!("{kind}: {job}"),
        markdown: engine::markdown(template, view)?,
        banner: made.job.demo.then(|| DEMO.to_owned()),
        footer: format!("{} · plan {digest}", short(&job)),
        lang: "en",
    })
}

/// A job's name that leaves room on the foot of a page.
fn short(name: &str) -> String {
    match name.char_indices().nth(50) {
        Some((at, _)) => format!("{}…", name.get(..at).unwrap_or_default()),
        None => name.to_owned(),
    }
}

/// The head of a page.
pub(super) fn head(made: &Made<'_>, look: Look) -> Head {
    let stops = links::walking(made)
        .into_iter()
        .filter(|link| link.verdict == Verdict::Stop)
        .map(|link| Stop {
            title: words::capital(&link.title),
            because: link.because.print(look.units),
        });
    let things = |count: usize| match count {
        1 => "1 thing is".to_owned(),
        count => format!("{count} things are"),
    };
    Head {
        job: made.job.title.clone(),
        demo: made.job.demo.then_some(DEMO),
        note: made.job.note.clone(),
        to_measure: made.plan.provisional.then(|| things(to_measure(made))),
        stops: stops.collect(),
    }
}

/// How many things are still to be measured.
fn to_measure(made: &Made<'_>) -> usize {
    let links = made.assessment.links.values();
    let own = links
        .flat_map(|link| &link.missing)
        .filter(|m| !m.of_vehicle);
    own.count() + made.plan.missing.len()
}

/// What the job file says of the vehicle and the lift.
pub(super) fn facts(job: &Job, units: Units) -> Vec<(&'static str, String)> {
    let print = |value: f64| Quantity::exact(value, Unit::Mm).print(units);
    let mut facts = vec![("Vehicle", job.vehicle.name.clone())];
    if let Some(identification) = &job.vehicle.identification {
        facts.push(("Identification", identification.clone()));
    }
    facts.push((
        "Lift",
        format!("{} on solid blocks", job.lift.spacer.print(units)),
    ));
    facts.push(("Blocks", blocks(job, print)));
    facts.push(("Goes up", bodies(job)));
    let clearance = print(job.lift.clearance);
    let assumed = if job.lift.clearance_assumed {
        " (assumed: the least allowed, because the job file gives none)"
    } else {
        ""
    };
    facts.push((
        "Held while the block goes in",
        format!("{clearance} above the block{assumed}"),
    ));
    if let (Some(before), Some(after)) = &job.vehicle.tyres {
        facts.push(("Tyres", format!("{before} before, {after} after")));
    }
    facts.push(("People", people(job)));
    let unchecked = "no local limit was checked; confirm with the registering authority";
    let region = match &job.region {
        Some(region) => format!("{region}; {unchecked}"),
        None => format!("none named; {unchecked}"),
    };
    facts.push(("Region", region));
    facts
}

fn blocks(job: &Job, print: impl Fn(f64) -> String) -> String {
    let block = &job.lift.block;
    let mut parts: Vec<String> = block.material.clone().into_iter().collect();
    parts.extend(block.outer.map(|outer| format!("{} across", print(outer))));
    parts.extend(block.inner.map(|inner| format!("bore {}", print(inner))));
    if parts.is_empty() {
        parts.push("not described in the job file".to_owned());
    }
    parts.push(match job.mounts.len() {
        1 => "1 mount".to_owned(),
        count => format!("{count} mounts"),
    });
    let usual = job.lift.spacer.value;
    let other = job.mounts.iter();
    let other = other.filter(|(_, mount)| (mount.spacer - usual).abs() > 1e-6);
    parts.extend(other.map(|(id, mount)| format!("{} at {id}", print(mount.spacer))));
    parts.join(", ")
}

/// The bodies in the order in which they go up, each with its first side.
fn bodies(job: &Job) -> String {
    let body = |raise: &Raise| {
        let side = match raise.first_side {
            Some(side) => format!("{} side first", side.word()),
            None => "either side first, here the left".to_owned(),
        };
        format!("{}, {side}", job.part_title(&raise.group))
    };
    let bodies: Vec<String> = job.lift.raise.iter().map(body).collect();
    bodies.join("; then ")
}

fn people(job: &Job) -> String {
    let people: Vec<String> = job
        .people
        .values()
        .map(|person| {
            let roles = person.roles.iter().map(|role| role.word().to_owned());
            let licences = person.licences.iter();
            let licences = licences.map(|licence| format!("licence: {licence}"));
            let all: Vec<String> = roles.chain(licences).collect();
            format!("{} ({})", person.name, all.join(", "))
        })
        .collect();
    if people.is_empty() {
        return "none named in the job file".to_owned();
    }
    people.join("; ")
}

fn time(made: &Made<'_>) -> Time {
    let numbers = tasks::numbers(made);
    let plan = made.plan;
    let chain = plan.longest_chain.iter();
    let chain: Vec<usize> = chain
        .filter_map(|id| numbers.get(id.as_str()))
        .copied()
        .collect();
    let on_chain = |number: &usize| plan.tasks.get(number.wrapping_sub(1));
    let likely = chain
        .iter()
        .filter_map(on_chain)
        .map(|task| task.minutes.likely);
    Time {
        low: words::duration(plan.minutes.low),
        likely: words::duration(plan.minutes.likely),
        high: words::duration(plan.minutes.high),
        chain_likely: words::duration(likely.sum()),
        chain: words::numbers(chain),
    }
}
