//! States: courses of at least two steps, each step named once.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::report::{Code, Path};
use crate::rules::model::{Course, Wait};
use crate::rules::words::{Moment, Spot, Stage};
use crate::rules::written;
use crate::sorted::Sorted as _;
use strum::VariantNames;

/// No job waits longer than that for something to dry or soak.
const MOST_HOURS: f64 = 168.0;

/// Checks `rules/states.yaml`.
pub(in crate::rules) fn states(
    written: written::States,
    fields: &mut Fields<'_>,
) -> (BTreeMap<String, Course>, BTreeMap<String, Spot>) {
    let at = Path::root().key("done_from");
    let when = [Stage::VARIANTS, Moment::VARIANTS].concat();
    let from = written.done_from.into_iter();
    let from = from.filter_map(|(at_time, word)| {
        let path = at.key(at_time.as_str());
        fields.among(&at_time, &|| path.clone(), &when)?;
        Some((at_time, fields.choice(&word, &|| path.clone())?))
    });
    let from = from.sorted_map();
    let at = Path::root().key("again");
    for stage in written.again.keys() {
        fields.among(stage, &|| at.key(stage.as_str()), Stage::VARIANTS);
    }
    let at = Path::root().key("states");
    let states = written.states.into_iter();
    let states = states.filter_map(|(name, state)| {
        let course = course(state, &at.key(name.as_str()), fields)?;
        Some((name, course))
    });
    (states.sorted_map(), from)
}

fn course(state: written::State, path: &Path, fields: &mut Fields<'_>) -> Option<Course> {
    let of = fields.choice(&state.of, &|| path.key("of"))?;
    let steps = state.course;
    if !in_order(&steps, path, fields) {
        return None;
    }
    let last = steps.len().saturating_sub(1);
    let hand_over = match state.hand_over {
        None => last,
        Some(word) => {
            let known: Vec<&str> = steps.iter().map(String::as_str).collect();
            fields.among(&word, &|| path.key("hand_over"), &known)?
        }
    };
    let bare = Course {
        of,
        steps,
        hand_over,
        shuts_out: Vec::new(),
        not_overnight: None,
        attended: None,
        waits: BTreeMap::new(),
    };
    let runs = [
        ("not_overnight", &state.not_overnight),
        ("attended", &state.attended),
    ];
    let [not_overnight, attended] =
        runs.map(|(key, steps)| run(&bare, steps.as_ref(), &path.key(key), fields));
    Some(Course {
        shuts_out: shuts_out(&bare, &state.shuts_out, &path.key("shuts_out"), fields),
        not_overnight,
        attended,
        waits: waits(&bare, &state.waits, &path.key("waits"), fields),
        ..bare
    })
}

/// Whether a course has at least two steps, each named once.
fn in_order(steps: &[String], path: &Path, fields: &mut Fields<'_>) -> bool {
    let twice = (1..steps.len()).find(|at| {
        steps
            .iter()
            .take(*at)
            .any(|one| steps.get(*at) == Some(one))
    });
    if let Some(twice) = twice {
        let message = "a course only goes forward, and this step comes twice";
        let help = "give the second one a name of its own, such as `connected again`";
        fields.notes.error(
            Code::BadRule,
            &path.key("course").index(twice),
            message,
            help,
        );
        return false;
    }
    if steps.len() < 2 {
        let message = "a course has a step as found and at least one more";
        let help = "list its steps in the order of the job";
        fields
            .notes
            .error(Code::BadRule, &path.key("course"), message, help);
        return false;
    }
    true
}

/// A run of steps of a course.
fn run(
    course: &Course,
    written: Option<&String>,
    path: &Path,
    fields: &mut Fields<'_>,
) -> Option<(usize, usize)> {
    let known: Vec<&str> = course.steps.iter().map(String::as_str).collect();
    fields.word(written?, &|| path.clone(), &known, |word| course.run(word))
}

fn shuts_out(
    course: &Course,
    written: &BTreeMap<String, Vec<String>>,
    path: &Path,
    fields: &mut Fields<'_>,
) -> Vec<((usize, usize), Vec<Spot>)> {
    let mut all = Vec::new();
    for (steps, places) in written {
        let path = path.key(steps.as_str());
        let Some(run) = run(course, Some(steps), &path, fields) else {
            continue;
        };
        let places = places.iter().enumerate();
        let places = places.filter_map(|(index, word)| fields.choice(word, &|| path.index(index)));
        all.push((run, places.collect()));
    }
    all
}

fn waits(
    course: &Course,
    written: &BTreeMap<String, written::Wait>,
    path: &Path,
    fields: &mut Fields<'_>,
) -> BTreeMap<usize, Wait> {
    let known: Vec<&str> = course.steps.iter().map(String::as_str).collect();
    let waits = written.iter().filter_map(|(step, wait)| {
        let path = path.key(step.as_str());
        let step = fields.among(step, &|| path.clone(), &known)?;
        if !(wait.hours > 0.0 && wait.hours <= MOST_HOURS) {
            let message = format!("a wait takes more than no time, and at most {MOST_HOURS} hours");
            let help = "write the hours that must pass";
            fields
                .notes
                .error(Code::BadRule, &path.key("hours"), message, help);
            return None;
        }
        let given = wait.given.as_ref();
        let of_coat = given
            .and_then(|word| fields.among(word, &|| path.key("given"), &[written::COAT_HOURS]));
        let wait = Wait {
            of_coat: of_coat.is_some(),
            hours: wait.hours,
            because: wait.because.clone(),
        };
        Some((step, wait))
    });
    waits.sorted_map()
}
