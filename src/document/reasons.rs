//! The reasons: for each connection its verdict with formula, numbers and picture, for a certifier or whoever else asks why.
//!
//! Takes everything that was made of the job; gives one [`Page`]. Connections of which all of this is the same stand together, and a symbol
//! is explained where it first stands. The job sheet names this page and has none of it.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;

use super::marks::Marks;
use super::{DocumentError, Look, Made, Page, Picture, facts, limits, links, sheet, words};
use crate::assess::{Assessed, Calculated};
use crate::calc::{self, Evaluation, WorkingStep};
use crate::job::Side;
use crate::picture::{self, vehicle};
use crate::rules::{Stage, Verdict};
use crate::sorted::Sorted as _;
use crate::study;

/// A connection, or several of which the same is to be said.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
struct Connection {
    heading: String,
    places: Vec<String>,
    verdict: &'static str,
    because: String,
    limits: String,
    assumed: Vec<String>,
    checks: Vec<Check>,
}

/// One check with its arithmetic.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
struct Check {
    /// What the calculation answers.
    asks: String,
    calc: &'static str,
    steps: Vec<WorkingStep>,
    /// What its symbols mean, where they stand for the first time.
    symbols: Vec<String>,
    /// The name of each and what it says.
    pictures: Vec<(String, String)>,
}

/// Makes the page; fails only when its template is defective.
pub fn reasons(made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
    let mut marks = Marks::new(look.units);
    let all = made.assessment.walking().into_iter().zip(1..);
    let all = all.map(|(link, number)| (connection(made, link, look, &mut marks), (link, number)));
    let mut connections = Vec::new();
    let mut pictures = Vec::new();
    let mut explained = BTreeSet::new();
    for (mut one, all) in words::drawn_together(all) {
        let (links, numbers): (Vec<_>, Vec<_>) = all.into_iter().unzip();
        pictures.append(&mut illustrate(made, (&mut one, &links), look));
        one.places = links::places(&links);
        // `Engine loom (no. 12)`, `Mounts C1L, C2L, C3L (no. 35 to 37)`.
        one.heading = format!(
            "{} (no. {})",
            links::phrase(&links),
            words::numbers(numbers)
        );
        for check in &mut one.checks {
            check.symbols = symbols(check, &mut explained);
        }
        connections.push(one);
    }
    let tipped = tipped(made, look);
    let side_view = vehicle::side_view(made, look.units);
    let view = context! {
        head => Serde(sheet::head(made, look)),
        facts => facts::facts(made, look.units),
        side_view => Serde(&side_view),
        connections => Serde(connections),
        // How the bodies tip on the way up.
        tipped => Serde(&tipped),
        decided_by => marks.list(),
        limits => limits::limits(made, look),
    };
    let mut page = sheet::page(made, "Reasons", "reasons.md", view)?;
    page.pictures = pictures;
    page.pictures.extend(tipped.into_iter().chain(side_view));
    Ok(page)
}

/// Each body as it stands with one side up, in the order of work.
fn tipped(made: &Made<'_>, look: Look) -> Vec<Picture> {
    let raised = made.plan.tasks.iter();
    let raised = raised.filter(|task| task.stage == Stage::Raise);
    let mut sides: Vec<(&str, Side)> = raised
        .filter_map(|task| Some((task.group.as_deref()?, task.side?)))
        .collect();
    sides.dedup();
    let drawn = sides.into_iter();
    let drawn = drawn.filter_map(|held| vehicle::tipped(made, look.units, held));
    drawn.collect()
}

fn connection(made: &Made<'_>, link: &Assessed<'_>, look: Look, marks: &mut Marks) -> Connection {
    let assumed = link.assumed.iter();
    let assumed = assumed.map(|(what, value)| format!("{what}: {}", value.print(look.units)));
    // What is not known yet has no numbers that decide.
    let known = !matches!(link.verdict, Verdict::Measure);
    let worked = link.worked().filter(|_| known);
    Connection {
        verdict: link.word(),
        because: link.because.print(look.units),
        limits: marks.of_link(made, link),
        assumed: assumed.collect(),
        checks: worked.map(check).collect(),
        ..Connection::default()
    }
}

fn check(worked: &Calculated) -> Check {
    let key = worked.key.as_ref().map(|key| format!(" ({key})"));
    let title =
        calc::find(worked.evaluation.calc).map_or(worked.evaluation.calc, |calc| calc.title);
    Check {
        asks: format!("{}{}", words::capital(title), key.unwrap_or_default()),
        calc: worked.evaluation.calc,
        steps: with_ends(&worked.evaluation),
        symbols: Vec::new(),
        pictures: Vec::new(),
    }
}

/// The working of a check, each result with what it is over the tolerances of the readings: a verdict is taken on the worse end.
fn with_ends(evaluation: &Evaluation) -> Vec<WorkingStep> {
    let mut steps = evaluation.working().to_vec();
    for step in &mut steps {
        let outcome = evaluation.result(step.name);
        let ends = outcome.and_then(|outcome| Some((outcome.bounds?, outcome.unit?)));
        if let Some(((least, most), unit)) = ends {
            let [least, most] = [least, most].map(|end| calc::with_unit(end, Some(unit)));
            if least != most {
                let _ = write!(step.gives, " ({least} to {most} within the tolerances)");
            }
        }
    }
    steps
}

/// Puts the pictures of the first of its links beside the checks that they show; a calculation that several checks use is drawn once.
fn illustrate(
    made: &Made<'_>,
    (one, links): (&mut Connection, &[&Assessed<'_>]),
    look: Look,
) -> Vec<Picture> {
    let mut all = Vec::new();
    let mut drawn = BTreeSet::new();
    let Some(link) = links.first() else {
        return all;
    };
    for check in &mut one.checks {
        if drawn.insert(check.calc) {
            let own = picture::links::of_calc(made, &link.id, check.calc, look.units);
            let shown = own.iter();
            let shown = shown.map(|one| (one.name.clone(), one.says.clone()));
            check.pictures = shown.collect();
            all.extend(own);
        }
    }
    all
}

/// What the symbols of a check's formulas mean that were not explained before, by calculation: the same letters mean other things elsewhere.
fn symbols(check: &Check, explained: &mut BTreeSet<(&'static str, &'static str)>) -> Vec<String> {
    let Some(calc) = calc::find(check.calc) else {
        return Vec::new();
    };
    // Every word of a formula, and the name of what it gives.
    let steps = check.steps.iter();
    let used = steps.flat_map(|step| study::symbols(step.formula).chain([step.name]));
    let used: BTreeSet<&str> = used.sorted_set();
    let inputs = calc.inputs.iter().map(|spec| (spec.name, spec.meaning));
    let results = calc.results.iter().map(|spec| (spec.name, spec.meaning));
    let new = inputs
        .chain(results)
        .filter(|(name, _)| used.contains(name) && explained.insert((calc.name, name)));
    new.map(|(name, meaning)| format!("{name}: {meaning}"))
        .collect()
}
