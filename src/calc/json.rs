//! An evaluation → JSON for other programs. Takes what was found; gives full-precision numbers in canonical units, whatever
//! units a person reads. A pure number has unit `"1"`; yes/no and words have unit null; a limit that does not exist is null.

use serde_json::{Map, Value as Json, json};

use super::{Evaluation, Given, Outcome, Value};
use crate::quantity::Unit;

/// The JSON of an evaluation: `{"calc", "inputs": {name: {"value", "unit"}}, "results": {name: {"value", "unit"}}}`.
///
/// An input known to a tolerance also has `tolerance` (half-width); when any input has one, each number and yes/no among
/// the results also has `least` and `most` over the whole box (for yes/no, false before true).
pub fn to_json(evaluation: &Evaluation) -> Json {
    let tolerant = evaluation
        .inputs
        .iter()
        .any(|(_, _, given)| given.tolerance > 0.0);
    let inputs: Map<String, Json> = evaluation
        .inputs
        .iter()
        .map(|(name, unit, given)| ((*name).to_owned(), input(*unit, given)))
        .collect();
    let results: Map<String, Json> = evaluation
        .results
        .iter()
        .map(|outcome| (outcome.name.to_owned(), result(outcome, tolerant)))
        .collect();
    json!({"calc": evaluation.calc, "inputs": inputs, "results": results})
}

fn input(unit: Option<Unit>, given: &Given) -> Json {
    let mut object = entry(&given.value, unit);
    if given.tolerance > 0.0 {
        object.insert("tolerance".to_owned(), json!(given.tolerance));
    }
    Json::Object(object)
}

/// One result; `tolerant` where any input has a tolerance.
pub(crate) fn result(outcome: &Outcome, tolerant: bool) -> Json {
    let mut object = entry(&outcome.value, outcome.unit);
    let ends = match (&outcome.value, outcome.bounds) {
        (_, Some((least, most))) => Some((json!(least), json!(most))),
        (Value::Flag(flag), None) if tolerant => {
            let varies = outcome.elsewhere.contains(&Value::Flag(!flag));
            Some((json!(*flag && !varies), json!(*flag || varies)))
        }
        _ => None,
    };
    if let Some((least, most)) = ends {
        object.insert("least".to_owned(), least);
        object.insert("most".to_owned(), most);
    }
    Json::Object(object)
}

fn entry(value: &Value, unit: Option<Unit>) -> Map<String, Json> {
    let unit = json!(unit.map(Unit::code));
    Map::from_iter([
        ("value".to_owned(), json!(value)),
        ("unit".to_owned(), unit),
    ])
}
