//! One link: its spans judged at every corner of the tolerance box, the heaviest verdict taken, what is missing listed.

use std::collections::{BTreeMap, BTreeSet};

use super::again::again;
use super::corners::{MOST_TOLERANCES, corner_values};
use super::judge::{Judged, Run};
use super::measured::{Measured, assumed, measured_spans, of_span, tolerances};
use super::missing::{self, Missing};
use super::needs::Need;
use super::problem;
use super::results::Numbers;
use super::values::{self, Address};
use super::{Assessed, Frame};
use crate::cut::CutLink;
use crate::report::{Code, Problem, Report, numbered};
use crate::rules::expression;
use crate::rules::{Check, Class, Verdict};
use crate::text::Text;

/// One corner judged: of which span, and whether at the stated values.
struct Corner<'r> {
    judged: Judged<'r>,
    nominal: bool,
    span: usize,
}

/// Judges a disturbed link of a known class.
pub(super) fn assess<'r>(
    frame: &Frame<'r>,
    class: &'r Class,
    (id, link): (&'r str, &'r CutLink),
    report: &mut Report,
) -> Assessed<'r> {
    let bound = values::bind(frame.job, class, link, report);
    let spans: Vec<Measured<'r>> = measured_spans(frame, class, (id, link), &bound);
    let mut assessed = Assessed::blank(id, link, Some(class));
    let mut corners = Vec::new();
    for (number, span) in spans.iter().enumerate() {
        let points = match corner_values(&span.values) {
            Ok(points) => points,
            Err(count) => {
                report.push(too_many_tolerances(frame, id, link, count));
                return assessed;
            }
        };
        for (values, nominal) in points {
            match span.case.judge(&values) {
                Ok(judged) => corners.push(Corner {
                    judged,
                    nominal,
                    span: number,
                }),
                Err((check, refused)) => {
                    let at = (frame.job, class, check);
                    report.push(problem::problem(at, (id, link), &refused));
                    return assessed;
                }
            }
        }
        assessed.assumed.extend(assumed(span));
    }
    assessed.release = corners
        .iter()
        .any(|corner| corner.judged.release == Some(true));
    assessed.scope = corners
        .iter()
        .find(|corner| corner.judged.release == Some(true))
        .or(corners.first())
        .map(|corner| corner.judged.scope.clone())
        .unwrap_or_default();
    let deciding = deciding_runs(class, &corners);
    let numbers = numbers(&deciding, &corners, &tolerances(&spans));
    assessed.results = numbers.results;
    assessed.working = numbers.working;
    assessed.calculated = numbers.calculated;
    assessed.runs = deciding.into_iter().map(|(run, _)| run).collect();
    assessed.missing = all_missing(&spans, &corners);
    assessed.verdict = corners
        .iter()
        .map(|corner| corner.judged.verdict())
        .max()
        .unwrap_or(Verdict::Leave);
    assessed.again = again(&spans, assessed.verdict);
    settle(frame, class, &mut assessed, link, report);
    assessed
}

fn too_many_tolerances(frame: &Frame<'_>, id: &str, link: &CutLink, count: usize) -> Problem {
    let message = format!(
        "{} of `{id}` carry a tolerance; at most {MOST_TOLERANCES} can be judged together",
        numbered(count, "value")
    );
    Problem::error(Code::OutOfRange, message)
        .at(frame.job.place(&link.path.key("measured")))
        .help("give the tolerance only where the reading is doubtful")
}

/// What the pages say of the verdict: the deciding check, its reason, its trade; and what was never looked at.
fn settle(
    frame: &Frame<'_>,
    class: &Class,
    assessed: &mut Assessed<'_>,
    link: &CutLink,
    report: &mut Report,
) {
    if assessed.verdict == Verdict::Leave && !link.held_known {
        assessed.verdict = Verdict::Measure;
        assessed
            .missing
            .push(missing::held_by(frame.job, &assessed.id, link));
    }
    if assessed.verdict == Verdict::Measure {
        "not yet known".clone_into(&mut assessed.decided_by);
        assessed.because = Text::plain("not everything that decides it has been measured");
        return;
    }
    let verdict = assessed.verdict;
    // Of several checks that agree, one with numbers says more.
    let agreeing = assessed
        .runs
        .iter()
        .filter(|run| run.branch.verdict == verdict);
    let deciding = agreeing.min_by_key(|run| run.check.calc.is_none());
    let Some(run) = deciding else {
        "no check applies".clone_into(&mut assessed.decided_by);
        assessed.because = Text::plain("none of the checks of its class applies to it");
        return;
    };
    assessed.decided_by = decided_by(run);
    assessed.trade.clone_from(&run.branch.trade);
    let mut render = |template: &str, run: &Run<'_>| {
        let text = expression::render(template, &run.scope);
        text.map_err(|error| {
            let class = (frame.job, class, run.check);
            report.push(problem::problem(class, (&assessed.id, link), &error.into()));
        })
        .unwrap_or_default()
    };
    let because = render(&run.branch.because, run);
    let runs = assessed.runs.iter();
    let told = runs.filter_map(|run| Some(render(run.branch.told.as_ref()?, run)));
    let told: Vec<Text> = told.filter(|text| !text.is_empty()).collect();
    (assessed.because, assessed.told) = (because, told);
}

/// The deciding condition: `fit.overlap_left >= least_overlap`, or what did not hold before the last branch.
fn decided_by(run: &Run<'_>) -> String {
    let key = run
        .key
        .as_ref()
        .map(|key| format!("[{key}]"))
        .unwrap_or_default();
    let condition = if let Some(when) = &run.branch.when {
        when.text().to_owned()
    } else {
        let last = run
            .check
            .branches
            .iter()
            .rev()
            .find_map(|branch| branch.when.as_ref());
        last.map_or_else(
            || "always".to_owned(),
            |when| format!("not ({})", when.text()),
        )
    };
    format!("{}{key}: {condition}", run.check.id)
}

/// For each check the run that decides it, and its span: the heaviest verdict over spans, corners and keys. Of equals the one whose
/// limit is reached first, so that the numbers on the sheet are those of the worst corner.
fn deciding_runs<'r>(class: &'r Class, corners: &[Corner<'r>]) -> Vec<(Run<'r>, usize)> {
    let of = |check: &'r Check| {
        let runs = corners.iter().flat_map(|corner| {
            let of_check = corner
                .judged
                .runs
                .iter()
                .filter(|run| run.check.id == check.id);
            of_check.map(|run| (run, corner.span))
        });
        let mut best: Option<(&Run<'r>, usize)> = None;
        for (run, span) in runs {
            if best.is_none_or(|(kept, _)| worse(run, kept)) {
                best = Some((run, span));
            }
        }
        best.map(|(run, span)| (run.clone(), span))
    };
    class.checks.iter().filter_map(of).collect()
}

/// The results of calculations that say how much is missing.
const MISSING: [&str; 4] = ["shortfall", "excess", "length_to_add", "drop_needed"];

/// Whether a run is strictly worse than another of its check.
fn worse(run: &Run<'_>, than: &Run<'_>) -> bool {
    let limit = |run: &Run<'_>| {
        let limit = run.scope.number(&run.check.id, "rise_limit");
        limit.unwrap_or(f64::INFINITY)
    };
    // Where the limit is passed from the start, more missing is worse.
    let missing = |run: &Run<'_>| {
        let numbers = MISSING
            .iter()
            .filter_map(|name| run.scope.number(&run.check.id, name));
        numbers.fold(0.0, f64::max)
    };
    let order = run.branch.verdict.cmp(&than.branch.verdict);
    let order = order.then(limit(than).total_cmp(&limit(run)));
    order.then(missing(run).total_cmp(&missing(than))).is_gt()
}

/// The numbers of every check at the stated values, on the span that decides it.
fn numbers(
    deciding: &[(Run<'_>, usize)],
    corners: &[Corner<'_>],
    tolerances: &BTreeMap<Address, f64>,
) -> Numbers {
    let mut numbers = Numbers::default();
    for (decided, span) in deciding {
        let stated = corners
            .iter()
            .filter(|corner| corner.nominal && corner.span == *span);
        let runs = stated.flat_map(|corner| &corner.judged.runs);
        for run in runs.filter(|run| run.check.id == decided.check.id) {
            numbers.add(run, run.key == decided.key, tolerances);
        }
    }
    numbers
}

fn all_missing(spans: &[Measured<'_>], corners: &[Corner<'_>]) -> Vec<Missing> {
    let needs: BTreeSet<Need> = corners
        .iter()
        .flat_map(|c| c.judged.missing.clone())
        .collect();
    let several = spans.len() > 1;
    let mut missing = BTreeMap::new();
    for need in &needs {
        for span in spans {
            let absent = match need {
                Need::Value(address) => !span.values.data.contains_key(address),
                Need::Fact(_) => true,
            };
            if !absent {
                continue;
            }
            let own = match need {
                Need::Value(address) => several && of_span(span.case.class, address),
                Need::Fact(_) => false,
            };
            let number = own.then_some(span.number);
            missing.entry((need.clone(), number)).or_insert_with(|| {
                missing::missing(&span.case, need, number, &span.values, &needs)
            });
        }
    }
    missing.into_values().collect()
}
