//! States: courses of at least two steps, each step named once.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::report::{Code, Path, Report};
use crate::rules::model::{Course, Moment, Of, Spot, Stage};
use crate::rules::written;

/// Checks `rules/states.yaml`.
pub(in crate::rules) fn states(
    written: written::States,
    (file, trusted): (&str, bool),
    report: &mut Report,
) -> (BTreeMap<String, Course>, BTreeMap<String, Spot>) {
    let mut fields = Fields {
        file,
        trusted,
        report,
    };
    let at = Path::root().key("done_from");
    let known = Spot::ALL.map(Spot::word);
    let when: Vec<&str> = Stage::ALL
        .map(Stage::word)
        .into_iter()
        .chain(Moment::ALL.map(Moment::word))
        .collect();
    let from = written.done_from.into_iter();
    let from = from.filter_map(|(at_time, word)| {
        let path = at.key(at_time.as_str());
        let find = |word: &str| when.contains(&word).then_some(());
        fields.word(&at_time, &path, &when, find)?;
        Some((at_time, fields.word(&word, &path, &known, Spot::from_word)?))
    });
    let from = from.collect();
    let at = Path::root().key("states");
    let states = written.states.into_iter();
    let states = states.filter_map(|(name, state)| {
        let course = course(state, &at.key(name.as_str()), &mut fields)?;
        Some((name, course))
    });
    (states.collect(), from)
}

fn course(state: written::State, path: &Path, fields: &mut Fields<'_>) -> Option<Course> {
    let find = |word: &str| match word {
        "vehicle" => Some(Of::Vehicle),
        "group" => Some(Of::Group),
        "side" => Some(Of::Side),
        _ => None,
    };
    let known = ["vehicle", "group", "side"];
    let of = fields.word(&state.of, &path.key("of"), &known, find)?;
    let steps = state.course;
    let twice = (1..steps.len()).find(|at| {
        steps
            .iter()
            .take(*at)
            .any(|one| steps.get(*at) == Some(one))
    });
    if let Some(twice) = twice {
        fields.problem(
            Code::BadRule,
            &path.key("course").index(twice),
            "a course only goes forward, and this step comes twice".to_owned(),
            "give the second one a name of its own, such as `connected again`",
        );
        return None;
    }
    if steps.len() < 2 {
        fields.problem(
            Code::BadRule,
            &path.key("course"),
            "a course has a step as found and at least one more".to_owned(),
            "list its steps in the order of the job",
        );
        return None;
    }
    let last = steps.len().saturating_sub(1);
    let hand_over = match state.hand_over {
        None => last,
        Some(word) => {
            let known: Vec<&str> = steps.iter().map(String::as_str).collect();
            let find = |word: &str| steps.iter().position(|step| step == word);
            fields.word(&word, &path.key("hand_over"), &known, find)?
        }
    };
    Some(Course {
        of,
        steps,
        hand_over,
    })
}
