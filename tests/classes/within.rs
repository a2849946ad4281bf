//! Every class over its tolerances: what is said of a link whose readings carry the tolerance that the survey asks for holds at every
//! exact reading within it. Readings are drawn, always the same ones.

use std::collections::BTreeMap;

use liftsheet::assess::{self, Depth};
use liftsheet::calc::Value as Found;
use liftsheet::cut;
use liftsheet::job;
use liftsheet::report::Report;
use liftsheet::rules::{Answer, Class, Rules, Verdict};
use liftsheet::source::Source;
use serde_json::Value;

use super::vehicle::job_file;
use super::{Case, cases, classes, shipped, tried_id};
use crate::properties::dice;

/// Exact jobs that are drawn within the tolerances of each case.
const DRAWN: usize = 3;
/// Cases of a class that are loosened.
const CASES: usize = 3;

/// What is said of a link: its verdict, whether it comes apart, and of each number its value and bounds.
pub(super) struct Told {
    pub(super) verdict: Verdict,
    pub(super) release: bool,
    numbers: BTreeMap<String, (f64, Option<(f64, f64)>)>,
}

pub(super) fn told(rules: &Rules, class: &Class, case: &Case) -> Option<Told> {
    let mut report = Report::new();
    let source = Source::from_text("case.yaml", job_file(class, case));
    let job = job::read(&source, false, &mut report)?;
    let cut = cut::cut(&job, rules, &mut report);
    let basis = assess::facts_of(&job, rules);
    let assessment = assess::assess((&job, rules, &cut, &basis), Depth::Words, &mut report);
    // A calculation may refuse an end of the tolerances; that is told, and nothing is said of the link.
    let link = assessment
        .links
        .get(tried_id(class))
        .filter(|_| !report.has_errors())?;
    let number = |(name, found): (&String, &liftsheet::calc::Outcome)| match found.value {
        Found::Number(number) => Some((name.clone(), (number, found.bounds))),
        _ => None,
    };
    Some(Told {
        verdict: link.verdict,
        release: link.release,
        numbers: link.results.iter().filter_map(number).collect(),
    })
}

/// A case with each of its plain numbers written anew by a function of value, tolerance and unit; none where nothing has a tolerance.
fn rewritten(
    class: &Class,
    case: &Case,
    mut write: impl FnMut(f64, f64, &str) -> String,
) -> Option<Case> {
    let mut case = case.clone();
    let mut any = false;
    for (name, value) in &mut case.measured {
        let Some(measurement) = class.measurements.get(name) else {
            continue;
        };
        let (Answer::Number { unit, range }, Some(half)) =
            (&measurement.kind, measurement.tolerance)
        else {
            continue;
        };
        let text = value
            .as_str()
            .map_or_else(|| value.to_string(), ToOwned::to_owned);
        let Ok(read) = liftsheet::quantity::Quantity::parse(&text, *unit) else {
            continue;
        };
        if read.value - half < range.0 || read.value + half > range.1 {
            continue;
        }
        any = true;
        *value = Value::from(write(read.value, half, unit.code()));
    }
    any.then_some(case)
}

#[test]
fn what_is_said_within_tolerances_holds_at_every_reading_in_them() {
    let rules = shipped();
    let mut dice = dice(11);
    let (mut loosened, mut compared) = (0, 0);
    let mut wrong = Vec::new();
    for class in classes(rules) {
        let judged = cases(class)
            .into_iter()
            .filter(|case| case.verdict != "measure");
        for case in judged.take(CASES) {
            let loose = rewritten(class, &case, |value, half, unit| {
                format!("{value} {unit} ±{half}")
            });
            let Some(within) = loose.and_then(|loose| told(rules, class, &loose)) else {
                continue;
            };
            loosened += 1;
            for _ in 0..DRAWN {
                let exact = rewritten(class, &case, |value, half, unit| {
                    let share = f64::from(u32::try_from(dice(2001)).unwrap()) / 1000.0 - 1.0;
                    format!("{:.6} {unit}", value + half * share)
                });
                let Some(there) = exact.and_then(|exact| told(rules, class, &exact)) else {
                    continue;
                };
                compared += 1;
                wrong.extend(
                    contradictions(&within, &there)
                        .map(|what| format!("{}: {}: {what}", class.id, case.name)),
                );
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
    assert!(
        loosened > 100 && compared > 300,
        "{loosened} cases, {compared} exact jobs"
    );
}

/// What an exact job says that the job with tolerances rules out.
fn contradictions<'t>(within: &'t Told, there: &'t Told) -> impl Iterator<Item = String> + 't {
    let lighter = (within.verdict < there.verdict).then(|| {
        format!(
            "{:?} within the tolerances, {:?} in them",
            within.verdict, there.verdict
        )
    });
    let torn = (there.release && !within.release && within.verdict != Verdict::Measure)
        .then(|| "it comes apart at a reading within the tolerances".to_owned());
    let size_of = |told: &Told, name: &str, result: &str| {
        let (check, _) = name.split_once('.')?;
        told.numbers
            .get(&format!("{check}.{result}"))
            .map(|(found, _)| *found)
    };
    // What is ordered must serve at every reading; what follows from the size is another where an exact job orders another.
    let serves = there.numbers.iter().filter_map(move |(name, (found, _))| {
        let ordered = size_of(within, name, "order_length")?;
        let most = size_of(within, name, "most_length").unwrap_or(f64::INFINITY);
        let bad = match name.rsplit_once('.')?.1 {
            "least_length" => ordered < *found - 1e-6,
            "most_length" => ordered > *found + 1e-6,
            _ => false,
        };
        let said = ordered <= most && within.verdict != Verdict::Measure;
        (bad && said).then(|| format!("a bolt of {ordered} mm does not serve, `{name}` is {found}"))
    });
    let outside = there.numbers.iter().filter_map(move |(name, (found, _))| {
        if size_of(within, name, "order_length").is_some() {
            return None;
        }
        let (stated, bounds) = within.numbers.get(name)?;
        let (least, most) = bounds.unwrap_or((*stated, *stated));
        let slack = 1e-5 * (1.0 + found.abs());
        let inside = (least - slack..=most + slack).contains(found);
        (!inside).then(|| format!("`{name}` is {found}, and said to be {least} to {most}"))
    });
    lighter.into_iter().chain(torn).chain(serves).chain(outside)
}
