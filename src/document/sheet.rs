//! The job sheet: what is done to this vehicle, in which order, by whom, with what, and what is written down.
//!
//! Takes everything that was made of the job; gives one [`Page`] for the fitter's hands and the supervisor's pen.

use minijinja::value::Serde;
use minijinja::{Value, context};
use serde::Serialize;

use super::extract::Extract;
use super::{DocumentError, Look, Made, Page, engine, escape, facts, limits, links, tasks, words};
use crate::VERSION;
use crate::assess::LimitState;
use crate::picture::vehicle;
use crate::plan::Task;
use crate::quantity::Units;
use crate::record;
use crate::rules::{LaidOver, Verdict};

/// What is printed across every sheet of paper of a demo.
pub(super) const DEMO: &str = "DEMO – NOT A VEHICLE";

/// What stands at the head of every page of a job.
#[derive(Serialize)]
pub(super) struct Head {
    job: String,
    demo: Option<&'static str>,
    note: Option<String>,
    /// How many things are still to be measured, when the plan may change by them.
    to_measure: Option<String>,
    stops: Vec<Stop>,
    /// The values that the workshop laid over those of the rules.
    laid_over: Vec<String>,
}

#[derive(Serialize)]
struct Stop {
    title: String,
    because: String,
}

/// The headings of the stages, in the order of work, each with the numbers of its tasks.
pub(crate) fn stages(made: &Made<'_>) -> Vec<(String, Vec<usize>)> {
    tasks::stages(made)
        .map(|(heading, entries)| (heading, tasks::numbers_of(entries)))
        .collect()
}

/// Makes the job sheet; fails only when its template is defective.
pub fn sheet(made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
    part_of_sheet(made, look, None)
}

/// Makes the job sheet, or a part of it alone; fails only when its template is defective.
pub(crate) fn part_of_sheet(
    made: &Made<'_>,
    look: Look,
    part: Option<&Extract>,
) -> Result<Page, DocumentError> {
    let (worked, left, decided_by) = links::rows(made, look);
    let side_view = vehicle::side_view(made, look.units);
    let (sections, mounts) = tasks::sections(made, look, part)?;
    // What is printed alone.
    let part = part.map(|part| match part {
        Extract::Stage(wanted) => wanted.clone(),
        Extract::Task(number) => format!("task {number}"),
        Extract::Person { name, .. } => format!("the tasks of {name}"),
    });
    let view = context! {
        head => Serde(head(made, look)),
        part,
        // Whether tasks are a line each, for who knows the job.
        short => look.short,
        // The four characters that a number is signed with.
        plan => record::short(made.digest()),
        facts => facts::facts(made, look.units),
        side_view => Serde(&side_view),
        limits => limits::limits(made, look),
        worked => Serde(worked),
        // The limits behind the verdicts that are only remembered.
        decided_by,
        sections,
        // The numbers of the connections that are left alone, and their places on the page.
        left => links::numbers(&left),
        left_places => left.into_iter().flat_map(|row| row.places).collect::<Value>(),
        time => time(made),
        trades => made.plan.tasks.iter().any(|task| task.trade.is_some()),
    };
    let mut page = page(made, "Job sheet", "sheet.md", view)?;
    page.pictures.extend(side_view.into_iter().chain(mounts));
    Ok(page)
}

/// What a printed task is called, and its tools, parts, cautions and steps; nothing where no task has that number. Fails only when its template
/// is defective.
#[cfg(feature = "serve")]
pub(crate) fn task(
    made: &Made<'_>,
    number: usize,
    look: Look,
) -> Result<(String, String), DocumentError> {
    let title = tasks::title(made, number, look.units).unwrap_or_default();
    let (sections, mounts) = tasks::sections(made, look, Some(&Extract::Task(number)))?;
    let text = engine::render("one.md", context! { sections })?;
    let mut html = String::new();
    super::markup::body(&text, (mounts.as_slice(), None), &mut html)?;
    Ok((title, html))
}

/// So many of a workshop's own files are named on a page; JSON names all.
const NAMED_FILES: usize = 6;

/// The last line of every page: what made it, by which rules, of what.
fn last_line(made: &Made<'_>) -> Value {
    let mut by = made.rules.made_by();
    let more_files = by.files_laid_over.len().saturating_sub(NAMED_FILES);
    by.files_laid_over.truncate(NAMED_FILES);
    context! {
        // As much of the rules' digest as tells them apart.
        rules => words::digest(&by.rules),
        by => Serde(by),
        // How many more files are laid over than are named.
        more_files,
        job => &made.job.title,
        plan => made.digest(),
    }
}

/// A page of a job from its template and view, with what made it as its last line.
pub(super) fn page(
    made: &Made<'_>,
    kind: &str,
    template: &str,
    view: Value,
) -> Result<Page, DocumentError> {
    let job = escape::shown(&made.job.title);
    let digest = words::digest(made.digest());
    Ok(Page {
        title: format!("{kind}: {job}"),
        markdown: engine::markdown(template, view)?
            + "\n"
            + &engine::markdown("made.md", last_line(made))?,
        banner: banner(made, template),
        footer: format!("{} · plan {digest} · liftsheet {VERSION}", short(&job)),
        ..Page::default()
    })
}

/// What stands at the head of every sheet of paper, which may lie on the bench without its first.
fn banner(made: &Made<'_>, template: &str) -> Option<String> {
    let stops = made.assessment.stops();
    // What is still to measure is what a survey is for.
    let provisional = made.plan.provisional && template == "sheet.md";
    let said = [
        (made.job.demo, DEMO),
        (stops, "STOP – MUST NOT BE DONE SO"),
        (provisional && !stops, "PROVISIONAL – STILL TO MEASURE"),
    ];
    let said: Vec<&str> = said
        .into_iter()
        .filter(|(so, _)| *so)
        .map(|(_, what)| what)
        .collect();
    (!said.is_empty()).then(|| said.join(" · "))
}

/// A job's name that leaves room on the foot of a page.
pub(super) fn short(name: &str) -> String {
    match name.char_indices().nth(50) {
        Some((at, _)) => format!("{}…", name.get(..at).unwrap_or_default()),
        None => name.to_owned(),
    }
}

/// The head of a page.
pub(super) fn head(made: &Made<'_>, look: Look) -> Head {
    let things = |count: usize| match count {
        1 => "1 thing is".to_owned(),
        count => format!("{count} things are"),
    };
    Head {
        job: made.job.title.clone(),
        demo: made.job.demo.then_some(DEMO),
        note: made.job.note.clone(),
        to_measure: made.plan.provisional.then(|| things(to_measure(made))),
        stops: stops(made, look.units),
        laid_over: made
            .rules
            .laid_over
            .iter()
            .map(|laid| laid_over(laid, look.units))
            .collect(),
    }
}

/// A workshop's own value in a line: what, how much, instead of what, who decided it and when.
fn laid_over(laid: &LaidOver, units: Units) -> String {
    let (value, was) = (laid.value.print(units), laid.was.print(units));
    let by = laid.by.as_ref().map(|by| format!("decided by {by}"));
    let said: Vec<String> = [by, laid.on.clone(), laid.why.clone()]
        .into_iter()
        .flatten()
        .collect();
    let who = if said.is_empty() {
        "nobody says who decided it".to_owned()
    } else {
        said.join(", ")
    };
    format!("{}: {value} instead of {was} ({who})", laid.label)
}

/// Every connection and every local limit that says the lift must not be done so.
fn stops(made: &Made<'_>, units: Units) -> Vec<Stop> {
    let links = made.assessment.walking().into_iter();
    let links = links.filter(|link| link.verdict == Verdict::Stop);
    let links = links.map(|link| (&link.title, &link.because));
    let limits = made.assessment.limits.iter();
    let limits = limits.filter(|held| held.verdict() == Verdict::Stop);
    let limits = limits.filter_map(|held| match &held.state {
        LimitState::Passed { because, .. } => Some((&held.limit.title, because)),
        _ => None,
    });
    let stops = links.chain(limits).map(|(title, because)| Stop {
        title: words::capital(title),
        because: because.print(units),
    });
    stops.collect()
}

/// How many things are still to be measured.
fn to_measure(made: &Made<'_>) -> usize {
    let links = made.assessment.links.values();
    let own = links
        .flat_map(|link| &link.missing)
        .filter(|m| !m.of_vehicle);
    own.count() + made.plan.missing.len()
}

/// How long the work takes, and the tasks that wait for one another.
fn time(made: &Made<'_>) -> Value {
    let plan = made.plan;
    let on_chain = |task: &&Task| plan.longest_chain.contains(&task.id);
    let chain = || plan.tasks.iter().filter(on_chain);
    let likely = chain().map(|task| task.minutes.likely);
    context! {
        low => words::duration(plan.minutes.low),
        likely => words::duration(plan.minutes.likely),
        high => words::duration(plan.minutes.high),
        chain_likely => words::duration(likely.sum()),
        chain => words::numbers(chain().map(|task| task.number).collect()),
    }
}
