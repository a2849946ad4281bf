//! The inverse of judging: what a value that is still missing decides, and where a verdict turns.
//!
//! The range of a value is walked as `stretches` does, from afar first: what is narrower than two looks with like answers are apart is not
//! seen. Only the checks that read the value are looked at: what another check says is not decided by it.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::judge::Judged;
use super::judged_span::JudgedSpan;
use super::stretches::{Looks, stretches};
use super::types::{Address, Datum, Decides, KeptMissing, Need, Outcomes, Values};
use super::units::Unit;
use crate::quantity::{Quantity, Round, Unit as Measure, Units};
use crate::rules::expression::Scope;
use crate::rules::{Answer, Measurement, Verdict};
use crate::sorted::Sorted as _;

/// How close a change is narrowed down, in the unit of the value: finer than verdicts are rounded, so that a limit on a whole
/// millimetre is printed as that millimetre.
pub(super) const CLOSE: f64 = 1e-8;
/// Steps over a range when other values are missing too, and when none is.
const COARSE: f64 = 16.0;
const FINE: f64 = 400.0;
/// How many pieces a range is looked at in first, each between its ends only where a question of the check is answered otherwise at one than at
/// the other. With 75 of them what a joint allows that is straightest on the way was lost.
const AFAR: f64 = 100.0;
/// Values of one job, in situations of their own, of which it is worked out what they decide: a new job of a whole vehicle has fewer things to
/// measure in all.
const MOST_SITUATIONS: usize = 600;
/// Sets of other missing values that are tried at the most.
const MOST_SETS: usize = 8;

/// How each question of a check is answered; none where it is none.
type Answers = Vec<Option<bool>>;

/// Stretches of the same range laid together: of each set, the heaviest of its walks counts.
fn together(
    walks: &[Vec<(f64, f64, Option<Verdict>)>],
    of_sets: &[Vec<usize>],
) -> Vec<(f64, f64, Outcomes)> {
    let mut starts: Vec<f64> = walks.iter().flatten().map(|(least, ..)| *least).collect();
    starts.sort_by(f64::total_cmp);
    starts.dedup();
    let mut found: Vec<(f64, f64, Outcomes)> = Vec::new();
    for start in starts {
        let at = |walk: &usize| {
            let walk = walks.get(*walk)?.iter();
            walk.rev().find(|(least, ..)| *least <= start)
        };
        let heaviest = of_sets.iter().filter_map(|of_set| {
            let verdicts = of_set.iter().filter_map(|walk| at(walk)?.2);
            verdicts.max()
        });
        let outcome = Outcomes {
            verdicts: heaviest.sorted_set(),
            made: None,
        };
        let all = (0..walks.len()).filter_map(|walk| at(&walk));
        let most = all.map(|(_, most, _)| *most).fold(f64::INFINITY, f64::min);
        match found.last_mut() {
            // Between the last value of one stretch and the first of the next is nothing to be told.
            _ if most < start => {}
            Some(last) if last.2 == outcome => last.1 = most,
            _ => found.push((start, most, outcome)),
        }
    }
    found
}

impl JudgedSpan<'_> {
    /// What a missing value decides, given the other values and needs. Links in one situation get one answer: what was found is kept.
    pub(super) fn decides(
        &self,
        (address, measurement): (&Address, &Measurement),
        values: &Values,
        missing: &BTreeSet<Need>,
        kept: &KeptMissing,
    ) -> Arc<Decides> {
        let situation = format!(
            "{} {address:?} {missing:?} {:?} {:?}",
            self.class.file,
            self.span.movement(),
            values.data,
        );
        if let Some(known) = kept.borrow().get(&situation) {
            return Arc::clone(known);
        }
        if kept.borrow().len() >= MOST_SITUATIONS {
            return Decides::Untold.into();
        }
        let found = Arc::new(self.tried((address, measurement), values, missing));
        kept.borrow_mut().insert(situation, Arc::clone(&found));
        found
    }

    /// What a missing value decides, found by trying values.
    fn tried(
        &self,
        (address, measurement): (&Address, &Measurement),
        values: &Values,
        missing: &BTreeSet<Need>,
    ) -> Decides {
        let units = self.units().into_iter();
        let units: Vec<Unit<'_>> = units.filter(|unit| unit.reads.contains(address)).collect();
        let others = missing.iter().filter(|need| {
            let read = |unit: &Unit<'_>, other| unit.reads.contains(other);
            matches!(need, Need::Value(other) if units.iter().any(|unit| read(unit, other)))
        });
        let sets = self.other_sets(address, values, others);
        let answers = |answers: &[(&str, Datum)]| {
            let found = answers.iter().map(|(answer, datum)| {
                let outcome = self.answered(&units, &sets, (address, datum));
                ((*answer).to_owned(), outcome)
            });
            Decides::Answers(found.collect())
        };
        match &measurement.kind {
            Answer::Number { unit, range } => {
                let mut found = self.over_range(&units, &sets, (address, *unit, *range), AFAR);
                found.retain(|(.., outcome)| !outcome.verdicts.is_empty());
                Decides::Stretches(*unit, found)
            }
            Answer::Choice(choices) => {
                let each = choices.iter();
                let each = each.map(|choice| (choice.as_str(), Datum::Word(choice.clone())));
                answers(&each.collect::<Vec<_>>())
            }
            Answer::YesNo => answers(&[("yes", Datum::Flag(true)), ("no", Datum::Flag(false))]),
            Answer::Designation | Answer::Each { .. } => Decides::Nothing,
        }
    }

    /// What one answer leads to, whatever else is missing.
    fn answered(
        &self,
        units: &[Unit<'_>],
        sets: &[Values],
        (address, datum): (&Address, &Datum),
    ) -> Outcomes {
        let heaviest = sets.iter().filter_map(|set| {
            let mut set = set.clone();
            set.data.insert(address.clone(), datum.clone());
            let names = self.names(&set);
            let verdicts = units.iter();
            let verdicts = verdicts.filter_map(|unit| self.answers_at(unit, (&set, names.clone())));
            verdicts.map(|(verdict, _)| verdict).max()
        });
        Outcomes {
            verdicts: heaviest.sorted_set(),
            made: None,
        }
    }

    /// What each stretch of a range leads to. A check is walked once for each set of the other values that it reads, and what
    /// all of them come to is laid together: a change is narrowed down only where it happens.
    fn over_range(
        &self,
        units: &[Unit<'_>],
        sets: &[Values],
        (address, measure, range): (&Address, Measure, (f64, f64)),
        afar: f64,
    ) -> Vec<(f64, f64, Outcomes)> {
        let steps = if sets.len() == 1 { FINE } else { COARSE };
        let step = ((range.1 - range.0) / steps).max(1.0);
        let mut walks: Vec<Vec<(f64, f64, Option<Verdict>)>> = Vec::new();
        let mut of_sets: Vec<Vec<usize>> = vec![Vec::new(); sets.len()];
        for unit in units {
            let mut known: Vec<(Vec<Option<&Datum>>, usize)> = Vec::new();
            for (set, walked) in sets.iter().zip(&mut of_sets) {
                let read: Vec<_> = unit.reads.iter().map(|read| set.data.get(read)).collect();
                if let Some((_, same)) = known.iter().find(|(other, _)| *other == read) {
                    walked.push(*same);
                    continue;
                }
                let mut there = set.clone();
                let first = Datum::Number(Quantity::exact(range.0, measure));
                there.data.insert(address.clone(), first);
                let moving = std::slice::from_ref(address);
                let mut names = self.names(&there);
                let unit = self.settled(unit, (&there, &mut names), moving);
                let names = names.as_ground();
                let mut look = |value: f64| {
                    there.put(address, value, 0.0);
                    let names = self.names_at(&names, &there, moving);
                    self.answers_at(&unit, (&there, names))
                };
                let mut looks = Looks::new(PartialEq::eq);
                if sets.len() == 1 {
                    looks.afar(range, (step, (range.1 - range.0) / afar), &mut look);
                }
                let verdict = |value: f64| looks.at(value, &mut look).map(|(verdict, _)| verdict);
                known.push((read, walks.len()));
                walked.push(walks.len());
                walks.push(stretches(range, (step, CLOSE), verdict));
            }
        }
        together(&walks, &of_sets)
    }

    /// What a unit comes to at exact values, and how each question of its check is answered there.
    fn answers_at(&self, unit: &Unit<'_>, at: (&Values, Scope)) -> Option<(Verdict, Answers)> {
        let Ok(Judged::Made(made)) = self.judge(unit, at, None) else {
            return None;
        };
        let mut answers = Vec::new();
        let branches = unit.check().map_or(&[][..], |check| &check.branches);
        for when in branches.iter().filter_map(|branch| branch.when.as_ref()) {
            if let Ok(node) = when.node() {
                node.answers(&made.names, &mut answers);
            }
        }
        Some((made.branch.verdict, answers))
    }

    /// A few sets of values for everything else that is missing: the ends of ranges, each choice, yes and no.
    fn other_sets<'n>(
        &self,
        address: &Address,
        values: &Values,
        missing: impl Iterator<Item = &'n Need>,
    ) -> Vec<Values> {
        let mut sets = vec![values.clone()];
        for need in missing {
            let Need::Value(other) = need else { continue };
            let Some(measurement) = self.class.measurement(other).filter(|_| other != address)
            else {
                continue;
            };
            let samples = samples(&measurement.kind);
            let room = sets.len() * samples.len() <= MOST_SETS;
            let used = if room { samples.len() } else { 1 };
            let mut wider = Vec::new();
            for set in &sets {
                for sample in samples.iter().take(used) {
                    let mut set = set.clone();
                    set.data.insert(other.clone(), sample.clone());
                    wider.push(set);
                }
            }
            if !wider.is_empty() {
                sets = wider;
            }
        }
        sets
    }
}

fn samples(kind: &Answer) -> Vec<Datum> {
    match kind {
        Answer::Number { unit, range } => [f64::midpoint(range.0, range.1), range.0, range.1]
            .map(|value| Datum::Number(Quantity::exact(value, *unit)))
            .to_vec(),
        Answer::Choice(choices) => choices.iter().cloned().map(Datum::Word).collect(),
        Answer::YesNo => vec![Datum::Flag(true), Datum::Flag(false)],
        // The commonest mounting thread; the other values' verdicts hardly turn on it.
        Answer::Designation => vec![Datum::Word("M12".to_owned())],
        Answer::Each { .. } => Vec::new(),
    }
}

/// What is said of a value beyond the most that are worked out.
const UNTOLD: &str = "not worked out, because this job lacks too many different values";

/// What a value decides, from the lightest outcome down: `63 mm or more: leave; 41 to 62 mm: reposition; less: extend`.
///
/// Limits are rounded to what a tape reads, towards the heavier verdict. Empty where every value leads to the same: then it decides nothing
/// by itself, and what the other missing values would do is not its doing.
pub(crate) fn decides_text(decides: &Decides) -> String {
    match decides {
        Decides::Nothing => String::new(),
        Decides::Untold => UNTOLD.to_owned(),
        Decides::Answers(answers) => answer_texts(answers).join("; "),
        Decides::Stretches(unit, stretches) => stretch_texts(*unit, stretches).join("; "),
    }
}

fn words(outcome: &Outcomes) -> String {
    let words: Vec<&str> = outcome
        .verdicts
        .iter()
        .map(|verdict| verdict.word())
        .collect();
    let words = words.join(" or ");
    match outcome.made {
        None => words,
        Some(size) => {
            let size = crate::text::mark(Quantity::exact(size, Measure::Mm), None);
            format!("{words} with {size}")
        }
    }
}

/// Each answer with what it leads to; none where all lead to the same.
fn answer_texts(answers: &[(String, Outcomes)]) -> Vec<String> {
    let told = answers.iter();
    let told = told.filter(|(_, outcome)| !outcome.verdicts.is_empty());
    let first = told.clone().next();
    let alike = |(_, outcome): &(String, Outcomes)| first.is_some_and(|(_, one)| one == outcome);
    if told.clone().nth(1).is_some() && told.clone().all(alike) {
        return Vec::new();
    }
    told.map(|(answer, outcome)| format!("{answer}: {}", words(outcome)))
        .collect()
}

/// Stretches of a range, largest values first; neighbours whose outcomes read the same are one.
fn stretch_texts(unit: Measure, stretches: &[(f64, f64, Outcomes)]) -> Vec<String> {
    let print = |value: f64, round| {
        crate::text::mark(Quantity::exact(read(unit, value, round), unit), Some(round))
    };
    let runs: Vec<_> = stretches.chunk_by(|one, next| one.2 == next.2).collect();
    if runs.len() < 2 {
        return Vec::new();
    }
    let texts = runs.iter().enumerate().rev();
    let texts = texts.filter_map(|(index, run)| {
        let ((least, _, outcome), (_, most, _)) = (run.first()?, run.last()?);
        let words = words(outcome);
        Some(if index + 1 == runs.len() {
            format!("{} or more: {words}", print(*least, Round::Up))
        } else if index == 0 {
            format!("less: {words}")
        } else if within_a_step(unit, (*least, *most)) {
            return None;
        } else {
            let (least, most) = (print(*least, Round::Up), print(*most, Round::Down));
            format!("{least} to {most}: {words}")
        })
    });
    texts.collect()
}

/// The end of a stretch as somebody reads it: what has no unit is counted, and nobody counts to a hundredth.
fn read(unit: Measure, value: f64, round: Round) -> f64 {
    match (unit, round) {
        (Measure::One, Round::Up) => (value - 1e-6).ceil(),
        (Measure::One, _) => (value + 1e-6).floor(),
        _ => value,
    }
}

/// Whether a stretch is so narrow that nothing that a tape reads is in it.
fn within_a_step(unit: Measure, (least, most): (f64, f64)) -> bool {
    let step = |value, round| {
        Quantity::exact(read(unit, value, round), unit).print_limit(round, Units::Metric)
    };
    let above = step(most, Round::Up);
    step(least, Round::Up) == above && step(most, Round::Down) != above
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::assess::facts;
    use crate::cut::Span;
    use crate::job;
    use crate::lots::Lots;
    use crate::report::Report;
    use crate::rules::{self, Class, Files, Wanted, builtin};
    use crate::text::Text;

    #[test]
    fn answers_that_all_lead_to_the_same_are_not_told_one_by_one() {
        let text = |answers: &[(&str, Verdict)]| {
            let answers = answers.iter().map(|(answer, verdict)| {
                let verdicts = [*verdict].into();
                let outcome = Outcomes {
                    verdicts,
                    made: None,
                };
                ((*answer).to_owned(), outcome)
            });
            decides_text(&Decides::Answers(answers.collect()))
        };
        let yes = ("yes", Verdict::Stop);
        assert_eq!(text(&[yes, ("no", Verdict::Stop)]), "");
        assert_eq!(text(&[yes, ("no", Verdict::Leave)]), "yes: stop; no: leave");
        assert_eq!(text(&[yes]), "yes: stop");
    }

    #[test]
    fn a_stretch_in_which_a_tape_reads_nothing_is_not_told() {
        let stretch = |least, most, verdict| {
            let outcome = Outcomes {
                verdicts: [verdict].into(),
                made: None,
            };
            (least, most, outcome)
        };
        let in_unit = |unit, least: f64, most: f64| {
            let stretches = vec![
                stretch(-90.0, least, Verdict::Replace),
                stretch(least, most, Verdict::Reposition),
                stretch(most, 90.0, Verdict::Leave),
            ];
            let text = decides_text(&Decides::Stretches(unit, stretches));
            Text::rendered(text).print(Units::Metric)
        };
        let text = |least, most| in_unit(Measure::Mm, least, most);
        assert_eq!(text(-59.7, -59.2), "−59 mm or more: leave; less: replace");
        let one = "61 mm or more: leave; 60 mm to 60 mm: reposition; less: replace";
        assert_eq!(text(59.7, 60.2), one);
        // Nobody counts one and a hundredth.
        let counted = |least, most| in_unit(Measure::One, least, most);
        assert_eq!(counted(1.005, 1.9), "2 or more: leave; less: replace");
        let one = "4 or more: leave; 2 to 3: reposition; less: replace";
        assert_eq!(counted(1.005, 3.4), one);
    }

    /// A value for every measurement but one, so small that limits are near.
    fn near(class: &Class, but: &str, lots: &mut Lots) -> Values {
        let others = class.measurements.iter().filter(|(name, _)| *name != but);
        let data = others.filter_map(|(name, measurement)| {
            let share = lots.share() * if lots.share() < 0.6 { 0.2 } else { 1.0 };
            let datum = match &measurement.kind {
                Answer::Number { unit, range } => {
                    let value = range.0 + share * (range.1 - range.0);
                    Datum::Number(Quantity::exact(value.round(), *unit))
                }
                Answer::YesNo => Datum::Flag(share < 0.5),
                kind => samples(kind).into_iter().next()?,
            };
            Some((Address::One(name.clone()), datum))
        });
        Values {
            data: data.collect(),
            ..Values::default()
        }
    }

    /// Joints are straightest between the ends of a range, so that a verdict may turn back: what is looked at from afar first is judged here
    /// step by step, too.
    #[test]
    fn what_was_not_looked_at_is_as_a_plain_walk_finds_it() {
        let files = Files::overlaid(BTreeMap::new(), true);
        let classes = BTreeSet::from(["propeller-shafts", "fan-and-shroud", "gear-lever"]);
        let regions = BTreeSet::new();
        let mut report = Report::new();
        let rules = rules::load(&files, &Wanted { classes, regions }, &mut report);
        let source = builtin::file("demo/forestry-crew.yaml").unwrap();
        let job = job::read(&source, true, &mut report).unwrap();
        let basis = facts::of_job(&job, &rules);
        let (mut lots, mut turned) = (Lots::new(7), 0);
        for (id, class) in &rules.classes {
            let span = Span::moved(40.0, 40.0, Vec::new());
            let (span, titles, basis) = (&span, ("a", "b", "c"), &basis);
            let case = JudgedSpan {
                class,
                id,
                span,
                titles,
                basis,
            };
            for (name, measurement) in &class.measurements {
                let Answer::Number { unit, range } = measurement.kind else {
                    continue;
                };
                let address = Address::One(name.clone());
                let mut units = case.units();
                units.retain(|unit| unit.reads.contains(&address));
                for _ in 0..6 {
                    let sets = [near(class, name, &mut lots)];
                    let of = |afar| case.over_range(&units, &sets, (&address, unit, range), afar);
                    let plain = of(f64::INFINITY);
                    assert_eq!(of(AFAR), plain, "{id} {name} {sets:?}");
                    turned += usize::from(plain.len() > 2);
                }
            }
        }
        assert!(turned > 5, "no verdict turned back: {turned}");
    }
}
