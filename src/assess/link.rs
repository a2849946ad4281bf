//! One link: its spans judged over their tolerances, the heaviest verdict taken, what is missing or not close enough listed.

use std::collections::{BTreeMap, BTreeSet};

use super::judge::{CheckMade, Failed};
use super::measured::{Measured, assumed, measured_spans, of_span};
use super::over::Over;
use super::types::{Address, Depth, Missing, Need, Run};
use super::{Assessed, Frame, bind, missing, problem};
use crate::calc::{self, ResultSpec, Role};
use crate::cut::CutLink;
use crate::report::{Code, Problem, Report};
use crate::rules::expression::{Scopes, Slot};
use crate::rules::{Check, Class, Verdict};
use crate::sorted::Sorted as _;
use crate::text::Text;

/// Judges a disturbed link of a known class.
pub(super) fn assess<'r>(
    frame: &Frame<'r>,
    class: &'r Class,
    (id, link): (&'r str, &'r CutLink),
    report: &mut Report,
) -> Assessed<'r> {
    let bound = bind::bind(frame.job, class, link, report);
    let mut spans: Vec<Measured<'r>> = measured_spans(frame, class, (id, link), &bound);
    let mut assessed = Assessed::blank(id, link, Some(class));
    let found = match all_over(frame, &mut spans) {
        Ok(found) => found,
        Err((check, refused)) => {
            let at = (frame.job, class, check);
            report.push(problem::problem(at, (id, link), &refused));
            return assessed;
        }
    };
    let needs: BTreeSet<Need> = found
        .iter()
        .flat_map(|(over, _)| over.missing.clone())
        .sorted_set();
    let verdicts = found.iter().filter_map(|(over, _)| over.verdict());
    let missing = (!needs.is_empty()).then_some(Verdict::Measure);
    assessed.missing = all_missing(frame, &spans, &needs);
    assessed.verdict = verdicts.chain(missing).max().unwrap_or(Verdict::Leave);
    if found.iter().all(|(over, _)| over.made.is_empty()) && needs.is_empty() {
        unjudged(frame, (class, link), &spans, &mut assessed, report);
    }
    let results = results(frame, class, &found);
    if frame.depth > Depth::Verdict {
        assessed.missing.extend(not_close_enough(&found, &spans));
    }
    if frame.depth >= Depth::Words {
        assessed.assumed = spans.iter().flat_map(assumed).collect();
    }
    assessed.release = link.apart;
    released(class, (&found, &results), &spans, &mut assessed);
    decided(frame, class, (&found, &results, &spans), &mut assessed);
    settle(frame, class, &mut assessed, link, report);
    assessed
}

/// Every unit of every span over its tolerances, with the number of its span among them.
pub(super) fn all_over<'r>(
    frame: &Frame<'r>,
    spans: &mut [Measured<'r>],
) -> Result<Vec<(Over<'r>, usize)>, Failed<'r>> {
    let mut found = Vec::new();
    for (number, span) in spans.iter_mut().enumerate() {
        for unit in span.case.units() {
            let stated = (&span.values, &span.names);
            let over = span.case.over(&unit, stated, frame.depth)?;
            // What a check without tolerances comes to, others need not work out again.
            if let (Some(check), None, [made]) = (over.check, &over.key, over.made.as_slice())
                && check.calc.is_some()
                && unit.loose(&span.values).is_empty()
            {
                span.names.results(check, &made.results);
            }
            span.judged.push((unit, over.verdict()));
            found.push((over, number));
        }
    }
    Ok(found)
}

/// No check applies: what is to be measured so that one does. A class with none that ever could is refused, for a link must not be
/// left alone because nobody wrote down what to look at.
fn unjudged(
    frame: &Frame<'_>,
    (class, link): (&Class, &CutLink),
    spans: &[Measured<'_>],
    assessed: &mut Assessed<'_>,
    report: &mut Report,
) {
    let could = spans.iter();
    let could = could.flat_map(|span| span.case.could_apply(&span.values, &span.names));
    let could: BTreeSet<Need> = could.sorted_set();
    if could.is_empty() {
        let message = format!(
            "no check of class `{}` applies to `{}` as it was measured",
            class.id, assessed.id
        );
        let problem = Problem::error(Code::BadVerdicts, message)
            .at(class.place(&crate::report::Path::root().key("checks")))
            .related(frame.job.place(&link.path), "met while judging this");
        report.push(problem.help("let one check say what holds there"));
    }
    assessed.verdict = Verdict::Measure;
    assessed.missing = all_missing(frame, spans, &could);
}

/// The readings that leave open what is to be done, each with the closeness at which they do not.
fn not_close_enough(found: &[(Over<'_>, usize)], spans: &[Measured<'_>]) -> Vec<Missing> {
    let several = spans.len() > 1;
    let mut missing: BTreeMap<String, Missing> = BTreeMap::new();
    for (number, span) in spans.iter().enumerate() {
        let overs = found.iter().filter(|(_, at)| *at == number);
        for ((unit, _), (over, _)) in span.judged.iter().zip(overs) {
            if !over.open() {
                continue;
            }
            for one in span
                .case
                .closer(unit, &span.values, several.then_some(span.number))
            {
                let kept = missing
                    .entry(one.place.clone())
                    .or_insert_with(|| one.clone());
                // What two checks ask for is read as closely as the stricter asks.
                if one.tolerance < kept.tolerance {
                    *kept = one;
                }
            }
        }
    }
    missing.into_values().collect()
}

/// Whether it must come apart on the way, with the names for that task's texts.
fn released(
    class: &Class,
    (found, results): (&[(Over<'_>, usize)], &Results<'_>),
    spans: &[Measured<'_>],
    assessed: &mut Assessed<'_>,
) {
    let Some(release) = &class.release else {
        assessed.release = false;
        return;
    };
    let mut of_spans = found.iter().filter_map(|(over, _)| over.released.clone());
    let needed = of_spans.next();
    assessed.release |= release.when.is_none() || needed.is_some();
    if !assessed.release {
        return;
    }
    let plain = || {
        let first = spans.first();
        first.map(|span| span.names.clone())
    };
    let scope = needed.or_else(|| found.iter().find_map(|(over, _)| over.scope.clone()));
    assessed.scope = Scopes::from(scope.or_else(plain).unwrap_or_default());
    // A release's texts may print what the checks found, as far as they are made.
    for check in &class.checks {
        let fields = results.get(&(check.id.as_str(), 0));
        if let Some(fields) = fields.and_then(|fields| fields.first()) {
            assessed.scope.each(|names| names.results(check, fields));
        }
    }
}

/// For each check the run that decides it: the heaviest over spans, keys and points. Of equals it is the branch written first, then the
/// one whose limit is reached first or that misses most; its numbers are those of the span that decides. Of a list, every other key that
/// needs work has its run behind that, so that none is left undone.
fn decided<'r>(
    frame: &Frame<'r>,
    class: &'r Class,
    (found, results, spans): (&[(Over<'r>, usize)], &Results<'_>, &[Measured<'r>]),
    assessed: &mut Assessed<'r>,
) {
    let told = frame.depth >= Depth::Words;
    for check in &class.checks {
        let of_check = found
            .iter()
            .filter(|(over, _)| over.check.is_some_and(|one| std::ptr::eq(one, check)));
        let mut by_key = worst_by_key(of_check.clone());
        let heaviest = |one: &Worst<'_, 'r>, than: &Worst<'_, 'r>| worse(one.0, one.1, than.1);
        let first = (1..by_key.len()).fold(0, |worst, next| {
            match (by_key.get(next), by_key.get(worst)) {
                (Some(one), Some(than)) if heaviest(one, than) => next,
                _ => worst,
            }
        });
        if by_key.is_empty() {
            continue;
        }
        by_key.swap(0, first);
        for (at, (over, made, number)) in by_key.into_iter().enumerate() {
            if at == 0 && told {
                for (other, _) in of_check.clone().filter(|(_, span)| *span == number) {
                    assessed.add_numbers(other, other.key == over.key);
                }
            }
            if at > 0 && made.branch.verdict == Verdict::Leave {
                continue;
            }
            let Some(span) = spans.get(number) else {
                continue;
            };
            let at = (number, span);
            let worded = frame.worded(class, made.branch);
            let mut scopes = worded.then(|| scopes(class, results, (over, made), at));
            let alone = scopes.as_mut().and_then(|scopes| {
                missing_elsewhere(scopes, of_check.clone(), (over, made, number))
            });
            assessed.runs.push(Run {
                check,
                key: over.key.clone(),
                branch: made.branch,
                inputs: made.inputs.clone(),
                scopes: scopes.unwrap_or_default(),
                alone,
            });
        }
    }
}

/// A connection that is pulled apart on several stretches and lengthened or replaced as a whole lacks what is missing on all of them; gives
/// the names without the others.
fn missing_elsewhere<'f, 'r: 'f>(
    scopes: &mut Scopes,
    of_check: impl Iterator<Item = &'f (Over<'r>, usize)>,
    (over, made, number): Worst<'_, 'r>,
) -> Option<Scopes> {
    let whole = [Verdict::Extend, Verdict::Replace, Verdict::Refer];
    let check = over
        .check
        .filter(|_| whole.contains(&made.branch.verdict))?;
    let (spec, slot) = adding_up(check)?;
    let others = of_check.filter(|(other, span)| *span != number && other.key == over.key);
    let most = |over: &Over<'_>| {
        let made = over.made.iter();
        let missing = made.filter_map(|made| made.number(spec.name));
        missing.fold(0.0, f64::max)
    };
    let more: f64 = others.map(|(other, _)| most(other)).sum();
    let alone = scopes.clone();
    scopes.each(|names| names.add_found(slot, more));
    (more > 0.0).then_some(alone)
}

/// The result of a check that adds up over the stretches of a connection, with the number of its name.
fn adding_up(check: &Check) -> Option<(&'static ResultSpec, Slot)> {
    let results = check.calc?.results.iter();
    let mut results = results.zip(&check.slots().1);
    let (spec, (_, slot)) = results.find(|(spec, _)| spec.adds_up)?;
    Some((spec, *slot))
}

/// A point at which a check comes out worst, and the number of its span.
type Worst<'f, 'r> = (&'f Over<'r>, &'f CheckMade<'r>, usize);

/// For each key of a check's list the point at which it comes out worst, in the order of the keys; one for a check without a list.
fn worst_by_key<'f, 'r: 'f>(
    of_check: impl Iterator<Item = &'f (Over<'r>, usize)>,
) -> Vec<Worst<'f, 'r>> {
    let mut worst: Vec<Worst<'f, 'r>> = Vec::new();
    for (over, span) in of_check {
        for made in &over.made {
            match worst.iter_mut().find(|(one, ..)| one.key == over.key) {
                Some(known) if worse(over, made, known.1) => *known = (over, made, *span),
                Some(_) => {}
                None => worst.push((over, made, *span)),
            }
        }
    }
    worst
}

/// The names for a run's texts and limits, the worst point first. What its texts read beyond the check, readings and results of other
/// checks, is taken at both ends of its tolerance.
fn scopes<'r>(
    class: &'r Class,
    results: &Results<'_>,
    (over, worst): (&Over<'r>, &CheckMade<'r>),
    (number, span): (usize, &Measured<'r>),
) -> Scopes {
    let mut others = over.scopes(worst);
    if others.len() < 2 {
        others.clear();
    }
    let mut scopes = Scopes::new(worst.names.clone(), others);
    let unit = span.judged.iter().map(|(unit, _)| unit).find(|unit| {
        let checks = unit.check().zip(over.check);
        checks.is_some_and(|(one, other)| std::ptr::eq(one, other))
    });
    let Some(unit) = unit else { return scopes };
    for address in span.values.data.keys() {
        let Address::One(name) = address else {
            continue;
        };
        let loose = span
            .values
            .number(address)
            .filter(|reading| reading.tolerance > 0.0 && !unit.reads.contains(address));
        if let Some(reading) = loose.filter(|_| worst.branch.reads(name)) {
            scopes.between(name, (reading.least(), reading.most()));
        }
    }
    for check in &class.checks {
        let own = over.check.is_some_and(|one| std::ptr::eq(one, check));
        let above = unit.above.iter().any(|above| above.id == check.id);
        if own || above || check.calc.is_none() {
            continue;
        }
        let fields = results.get(&(check.id.as_str(), number));
        let fields = fields.map_or(&[][..], Vec::as_slice);
        if let Some(first) = fields.first() {
            scopes.each(|names| names.results(check, first));
            if fields.len() > 1 && worst.branch.reads(&check.id) {
                scopes.vary(fields, |names, one| names.results(check, one));
            }
        }
    }
    scopes
}

/// The results of each check by its id, on each span by its number: at the stated values first, then where a number is least or
/// most. They are for texts, and so none where there is none to be told.
type Results<'r> = BTreeMap<(&'r str, usize), Vec<calc::Results>>;

fn results<'r>(frame: &Frame<'_>, class: &Class, found: &[(Over<'r>, usize)]) -> Results<'r> {
    let mut branches = found.iter().flat_map(|(over, _)| &over.made);
    let worded = branches.any(|made| frame.worded(class, made.branch));
    let worded = worded || class.release.is_some() && frame.depth > Depth::Verdict;
    let mut heaviest: BTreeMap<(&str, usize), &Over<'_>> = BTreeMap::new();
    for (over, span) in found.iter().filter(|_| worded) {
        let Some(check) = over.check else { continue };
        let known = heaviest.entry((&check.id, *span)).or_insert(over);
        if over.verdict() >= known.verdict() {
            *known = over;
        }
    }
    let at_ends = |over: &Over<'_>| {
        let ends = over.ends().into_iter();
        ends.map(|made| made.results.clone()).collect()
    };
    let heaviest = heaviest.into_iter();
    heaviest.map(|(of, over)| (of, at_ends(over))).sorted_map()
}

/// Whether a run is strictly worse than another of its check.
fn worse<'r>(over: &Over<'r>, made: &CheckMade<'r>, than: &CheckMade<'r>) -> bool {
    let numbers = |made: &CheckMade<'_>, role| made.of_role(over.check, role).collect::<Vec<f64>>();
    let limit = |made| {
        let limits = numbers(made, Role::Limit).into_iter();
        limits.fold(f64::INFINITY, f64::min)
    };
    // Where the limit is passed from the start, more missing is worse.
    let missing = |made| numbers(made, Role::Missing).into_iter().fold(0.0, f64::max);
    let order = made.branch.verdict.cmp(&than.branch.verdict);
    let order = order.then_with(|| than.branch.path.cmp(&made.branch.path));
    let order = order.then_with(|| limit(than).total_cmp(&limit(made)));
    order
        .then_with(|| missing(made).total_cmp(&missing(than)))
        .is_gt()
}

/// What the pages say of a link that is still to be measured.
fn unmeasured(assessed: &mut Assessed<'_>) {
    "not yet known".clone_into(&mut assessed.decided_by);
    let mut runs = assessed.runs.iter();
    let works = runs.any(|run| run.branch.verdict > Verdict::Leave);
    let mut missing = assessed.missing.iter();
    let closer = works && missing.all(|missing| missing.label.ends_with(missing::AGAIN));
    assessed.because = Text::plain(if closer {
        "it was not read closely enough to tell what is to be done"
    } else {
        "not everything that decides it has been measured"
    });
}

/// What the pages say of the verdict: the deciding check, its reason, its trade; and what was never looked at.
fn settle(
    frame: &Frame<'_>,
    class: &Class,
    assessed: &mut Assessed<'_>,
    link: &CutLink,
    report: &mut Report,
) {
    if matches!(assessed.verdict, Verdict::Leave | Verdict::Measure) && !link.held_known {
        assessed.verdict = Verdict::Measure;
        // Between which two fixings it is measured is to be known before it is.
        let held_by = missing::held_by(frame.job, &assessed.id, link);
        assessed.missing.insert(0, held_by);
    }
    if assessed.verdict == Verdict::Measure {
        unmeasured(assessed);
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
        return;
    };
    assessed.decided_by = decided_by(run);
    assessed.trade.clone_from(&run.branch.trade);
    if frame.depth < Depth::Words {
        return;
    }
    let mut render = |template: &str, run: &Run<'_>, scopes: &Scopes| {
        let text = scopes.render(template);
        text.map_err(|error| {
            let class = (frame.job, class, Some(run.check));
            report.push(problem::problem(class, (&assessed.id, link), &error.into()));
        })
        .unwrap_or_default()
    };
    let alone = run.alone.as_ref().zip(adding_up(run.check));
    let because = match alone {
        None => render(&run.branch.because, run, &run.scopes),
        Some((alone, (spec, _))) => {
            let own = render(&run.branch.because, run, alone);
            let all = format!("{{{{ {}.{} | mm_up }}}}", run.check.id, spec.name);
            let all = render(&all, run, &run.scopes);
            let all = format!("{}; {} on all its stretches", own.marked(), all.marked());
            Text::rendered(all)
        }
    };
    let because = likewise(because, run, &assessed.runs);
    let runs = assessed.runs.iter();
    let told = runs.filter_map(|run| Some(render(run.branch.told.as_ref()?, run, &run.scopes)));
    let mut told: Vec<Text> = told.filter(|text| !text.is_empty()).collect();
    told.dedup();
    (assessed.because, assessed.told) = (because, told);
}

/// The reason, and for which other keys of a list of measurements the same holds: `aft: …; likewise fore`.
fn likewise(because: Text, deciding: &Run<'_>, runs: &[Run<'_>]) -> Text {
    let same = |run: &&Run<'_>| {
        run.check.id == deciding.check.id && run.branch.because == deciding.branch.because
    };
    let alike = runs.iter().filter(same);
    let keys: BTreeSet<&str> = alike.filter_map(|run| run.key.as_deref()).sorted_set();
    let others = keys
        .into_iter()
        .filter(|key| Some(*key) != deciding.key.as_deref());
    let others: Vec<&str> = others.collect();
    if others.is_empty() || deciding.key.is_none() {
        return because;
    }
    let others = format!("; likewise {}", others.join(", "));
    Text::rendered(because.marked().to_owned() + &others)
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

fn all_missing(frame: &Frame<'_>, spans: &[Measured<'_>], needs: &BTreeSet<Need>) -> Vec<Missing> {
    let several = spans.len() > 1;
    let mut missing = BTreeMap::new();
    for need in needs {
        for span in spans {
            let (absent, own) = match need {
                Need::Value(address) => (
                    !span.values.data.contains_key(address),
                    several && of_span(span.case.class, address),
                ),
                Need::Fact(_) => (true, false),
            };
            if !absent {
                continue;
            }
            let number = own.then_some(span.number);
            missing.entry((need.clone(), number)).or_insert_with(|| {
                let kept = (frame.depth == Depth::Whole).then_some(&frame.kept);
                missing::missing(&span.case, need, number, (&span.values, needs), kept)
            });
        }
    }
    let turn = |(need, _): &(Need, Option<usize>)| match need {
        Need::Value(address) => spans.first().and_then(|span| span.case.class.turn(address)),
        Need::Fact(_) => None,
    };
    let mut missing: Vec<_> = missing.into_iter().collect();
    missing.sort_by_key(|(of, _)| turn(of));
    missing.into_iter().map(|(_, missing)| missing).collect()
}
