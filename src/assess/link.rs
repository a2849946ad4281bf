//! One link: its spans judged at every corner of the tolerance box, the heaviest verdict taken, what is missing listed.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::again::again;
use super::corners::{MOST_TOLERANCES, corner_values};
use super::effort::Effort;
use super::judge::Run;
use super::measured::{Measured, assumed, measured_spans, of_span, tolerances};
use super::missing::{self, Missing};
use super::needs::Need;
use super::problem;
use super::values;
use super::worst::Corners;
use super::{Assessed, Frame};
use crate::cut::CutLink;
use crate::report::{Code, Problem, Report, numbered};
use crate::rules::expression;
use crate::rules::{Class, Verdict};
use crate::text::Text;

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
    let mut corners = Corners::default();
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
                Ok(judged) => corners.add(judged, nominal, number),
                Err((check, refused)) => {
                    let at = (frame.job, class, check);
                    report.push(problem::problem(at, (id, link), &refused));
                    return assessed;
                }
            }
        }
        assessed.assumed.extend(assumed(span));
    }
    assessed.missing = all_missing(&spans, &corners.missing, &frame.effort);
    assessed.verdict = corners.verdict();
    assessed.again = again(&spans, assessed.verdict, &frame.effort);
    assessed.release = corners.release();
    assessed.scope = corners.scope();
    let (runs, numbers) = corners.decided(class, &tolerances(&spans));
    assessed.runs = runs;
    assessed.results = numbers.results;
    assessed.working = numbers.working;
    assessed.calculated = numbers.calculated;
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
            .push(Arc::new(missing::held_by(frame.job, &assessed.id, link)));
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

fn all_missing(
    spans: &[Measured<'_>],
    needs: &BTreeSet<Need>,
    effort: &Effort,
) -> Vec<Arc<Missing>> {
    let several = spans.len() > 1;
    let mut missing = BTreeMap::new();
    for need in needs {
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
                let missing =
                    missing::missing(&span.case, need, number, (&span.values, needs), effort);
                effort.share(&span.case.class.file, missing)
            });
        }
    }
    missing.into_values().collect()
}
