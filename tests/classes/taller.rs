//! A taller lift pulls further: all else the same, no class gives a lighter verdict at a greater height, but where its geometry says
//! otherwise and its file says why (`taller_may_be_lighter`). Readings are drawn from the ranges of the class, always the same ones.

use liftsheet::assess::{Address, Datum, Trial, TriedCheck, facts_of};
use liftsheet::cut::Span;
use liftsheet::job;
use liftsheet::quantity::Quantity;
use liftsheet::report::Report;
use liftsheet::rules::expression::Scope;
use liftsheet::rules::{Answer, Class, Measurement, Rules, SpanRole, Verdict};
use liftsheet::source::Source;

use super::vehicle::job_file;
use super::{cases, classes, shipped};
use crate::properties::dice;

/// Heights of the blocks, mm, up to what is done at all.
const HEIGHTS: [f64; 6] = [15.0, 25.0, 40.0, 50.0, 62.0, 75.0];
/// Sets of readings that are drawn for each class.
const DRAWN: usize = 60;

/// The facts of the small vehicle on blocks of that height.
fn facts(rules: &Rules, height: f64) -> Scope {
    let class = &rules.classes["heater-hoses"];
    let mut case = cases(class).remove(0);
    case.spacer = height;
    let mut report = Report::new();
    let source = Source::from_text("case.yaml", job_file(class, &case));
    let job = job::read(&source, false, &mut report).unwrap();
    facts_of(&job, rules)
}

/// A reading drawn from its range, numbers on the small side as often as on the large one.
fn drawn(measurement: &Measurement, dice: &mut impl FnMut(usize) -> usize) -> Option<Datum> {
    let mut share = || f64::from(u32::try_from(dice(10_001)).unwrap()) / 10_000.0;
    match &measurement.kind {
        Answer::Number { unit, range } => {
            // Where the body-side fixing stands below the other, the two first come nearer.
            let falls = measurement.role == Some(SpanRole::Level);
            let least = if falls { range.0.max(0.0) } else { range.0 };
            let way = share() * share();
            let number = least + (range.1 - least) * way;
            Some(Datum::Number(Quantity::exact(number, *unit)))
        }
        Answer::Choice(choices) => Some(Datum::Word(choices[dice(choices.len())].clone())),
        Answer::YesNo => Some(Datum::Flag(dice(2) == 0)),
        Answer::Designation => Some(Datum::Word("M12x1.25".to_owned())),
        Answer::Each { .. } => None,
    }
}

/// A reading for everything that the class asks for.
fn readings(class: &Class, dice: &mut impl FnMut(usize) -> usize) -> Vec<(Address, Datum)> {
    let mut given = Vec::new();
    for (name, measurement) in &class.measurements {
        if let Answer::Each { keys, fields } = &measurement.kind {
            for (key, (field, measurement)) in keys
                .iter()
                .flat_map(|key| fields.iter().map(move |field| (key, field)))
            {
                let address = Address::Each(name.clone(), key.clone(), field.clone());
                given.extend(drawn(measurement, dice).map(|datum| (address, datum)));
            }
        } else {
            let address = Address::One(name.clone());
            given.extend(drawn(measurement, dice).map(|datum| (address, datum)));
        }
    }
    given
}

/// The heaviest verdict of all checks at a height; none where one of them cannot be made.
fn verdict(
    class: &Class,
    facts: &Scope,
    height: f64,
    given: &[(Address, Datum)],
) -> Option<Verdict> {
    let span = Span::moved(height, 0.0, vec![(height / 10.0, height + 20.0)]);
    let mut trial = Trial::begun(class, Trial::beginning(class, facts));
    for (address, datum) in given {
        trial.give(address, Some(datum.clone()));
    }
    trial.pull(span);
    trial.ask();
    let all = TriedCheck::all(class);
    let all: Result<Vec<_>, _> = all.iter().map(|check| trial.verdict(check)).collect();
    all.ok()?.into_iter().flatten().max()
}

#[test]
fn a_taller_lift_never_gives_a_lighter_verdict() {
    let rules = shipped();
    let at: Vec<(f64, Scope)> = HEIGHTS.map(|height| (height, facts(rules, height))).into();
    let mut dice = dice(13);
    let (mut lighter, mut looked_at, mut heavier) = (Vec::new(), 0, 0);
    for class in classes(rules).filter(|class| class.taller_may_be_lighter.is_none()) {
        looked_at += 1;
        for _ in 0..DRAWN {
            let given = readings(class, &mut dice);
            let verdicts = at.iter().filter_map(|(height, facts)| {
                Some((*height, verdict(class, facts, *height, &given)?))
            });
            let verdicts: Vec<(f64, Verdict)> = verdicts.collect();
            for pair in verdicts.windows(2) {
                let [(low, before), (high, after)] = pair else {
                    continue;
                };
                heavier += usize::from(after > before);
                if after < before {
                    let text = format!(
                        "{}: {before:?} at {low} mm, {after:?} at {high} mm, {given:?}",
                        class.id
                    );
                    lighter.push(text);
                }
            }
        }
    }
    lighter.dedup_by_key(|text| text.split(':').next().map(ToOwned::to_owned));
    assert_eq!(lighter, Vec::<String>::new());
    assert!(
        looked_at > 100 && heavier > 500,
        "{looked_at} classes, {heavier} that turned heavier"
    );
}

#[test]
fn a_class_that_may_be_lighter_says_why() {
    let rules = shipped();
    let excepted = classes(rules).filter_map(|class| class.taller_may_be_lighter.as_ref());
    let excepted: Vec<&String> = excepted.collect();
    assert!(
        excepted
            .iter()
            .all(|why| why.split_whitespace().count() > 5),
        "{excepted:?}"
    );
    assert!(
        excepted.len() <= 12,
        "{} classes are excepted",
        excepted.len()
    );
}
