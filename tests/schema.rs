//! The schemas of job files and rule files, held by a second reader of JSON Schema against every file that is shipped and every one that
//! is wrong.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use jsonschema::Validator;
use liftsheet::quantity::{Quantity, Unit};
use liftsheet::rules::{FOLDERS, builtin};
use serde_json::Value;

use crate::support::run::{Bench, case};

/// The schema that the program prints.
fn schema(words: &[&str]) -> Value {
    let words = std::iter::once("schema").chain(words.iter().copied());
    Bench::new().run(words).done().json()
}

fn validator(words: &[&str]) -> Validator {
    let schema = schema(words);
    assert_eq!(
        schema["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
    jsonschema::meta::validate(&schema).unwrap();
    jsonschema::draft202012::new(&schema).unwrap()
}

/// A YAML text as the validator takes it.
fn yaml(text: &str) -> Value {
    serde_yaml::from_str(text).unwrap()
}

#[track_caller]
fn accepts(validator: &Validator, text: &str, name: &str) {
    let value = yaml(text);
    let wrong: Vec<String> = validator
        .iter_errors(&value)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    assert!(wrong.is_empty(), "{name}: {wrong:#?}");
}

/// Every YAML file in a folder and below.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else if path.extension().is_some_and(|ending| ending == "yaml") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The kind of a rule file, by where it stands below a folder of rules; none for what is no rule.
fn kind(path: &str) -> Option<&'static str> {
    if path.starts_with("patterns/lists/") {
        return Some("lists");
    }
    let folder = path.split('/').next().unwrap();
    let folder = folder.strip_suffix(".yaml").unwrap_or(folder);
    let kinds = liftsheet::schema::KINDS.iter().map(|kind| kind.name);
    kinds.into_iter().find(|name| *name == folder)
}

/// A validator for every kind of rule file.
fn kinds() -> BTreeMap<&'static str, Validator> {
    let kinds = liftsheet::schema::KINDS.iter();
    kinds
        .map(|kind| (kind.name, validator(&["rules", "--of", kind.name])))
        .collect()
}

#[test]
fn every_shipped_file_is_accepted() {
    let (job, any, kinds) = (validator(&["job"]), validator(&["rules"]), kinds());
    let mut tried = 0;
    for (path, source) in builtin::all() {
        if path.starts_with("tables/") {
            continue;
        }
        if path.starts_with("demo/") {
            accepts(&job, source.text(), &path);
        } else {
            let kind = kind(&path).unwrap_or_else(|| panic!("{path} is of no kind"));
            accepts(&kinds[kind], source.text(), &path);
            accepts(&any, source.text(), &path);
        }
        tried += 1;
    }
    assert!(tried > 100, "{tried}");
    for folder in FOLDERS {
        assert!(kinds.contains_key(folder), "`{folder}` has no schema");
    }
}

#[test]
fn every_job_and_every_rule_of_the_tests_is_accepted() {
    let (job, kinds) = (validator(&["job"]), kinds());
    for folder in ["jobs", "pages"] {
        for path in files(&case(folder)) {
            accepts(
                &job,
                &std::fs::read_to_string(&path).unwrap(),
                &path.display().to_string(),
            );
        }
    }
    for set in ["rules/small", "rules/signing"] {
        let folder = case(set);
        for path in files(&folder) {
            let inside = path.strip_prefix(&folder).unwrap().to_str().unwrap();
            let text = std::fs::read_to_string(&path).unwrap();
            accepts(&kinds[kind(inside).unwrap()], &text, inside);
        }
    }
    let patterns = ["cab-chassis", "dual-cab", "soft-top", "wagon"];
    for pattern in patterns {
        let begun = Bench::new()
            .run(["new", "x", "--pattern", pattern, "-o", "-"])
            .done();
        accepts(&job, &begun.stdout, pattern);
    }
}

/// What a schema can see: fields that are not known or not there, values of another kind, words that are not among a field's.
const SEEN: [&str; 6] = [
    "unknown-field",
    "wrong-type",
    "not-a-number",
    "unknown-choice",
    "unitary-body",
    "empty-file",
];
/// Of these, what only the checks know: which unit, word or answer a measurement takes, and words that stand elsewhere.
const NOT_SEEN: [&str; 12] = [
    "not-a-number-comma",
    "not-a-number-from-to",
    "not-a-number-unknown",
    "unknown-choice-answer",
    "unknown-choice-area",
    "unknown-choice-licence-word",
    "unknown-choice-licence",
    "unknown-choice-role",
    "unknown-choice-thing",
    "wrong-type-measured-once",
    "wrong-type-no-colon",
    "wrong-type-nothing",
];

#[test]
fn a_broken_job_is_refused() {
    let job = validator(&["job"]);
    let (mut refused, mut accepted) = (0, Vec::new());
    for path in files(&case("errors")) {
        let name = path.file_stem().unwrap().to_str().unwrap();
        let seen = SEEN.iter().any(|code| name.starts_with(code));
        if path.parent() != Some(&case("errors")) || !seen {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        if job.is_valid(&yaml(&text)) {
            accepted.push(name.to_owned());
        } else {
            refused += 1;
        }
    }
    assert_eq!(accepted, NOT_SEEN);
    assert!(refused >= 6, "{refused}");
}

#[test]
fn a_key_that_is_not_known_is_refused_wherever_it_stands() {
    let job = validator(&["job"]);
    refused_anywhere(
        &job,
        include_str!("../rules/demo/forestry-crew.yaml"),
        &["measured", "every_mount", "consequences", "parts", "things"],
    );
    for (path, source) in builtin::all() {
        if let Some(kind) = kind(&path) {
            let validator = validator(&["rules", "--of", kind]);
            let free = [
                "words",
                "branches",
                "settings",
                "measurements",
                "fields",
                "with",
                "options",
                "vehicle",
                "parts",
            ];
            refused_anywhere(&validator, source.text(), &free);
            if kind == "connections" {
                // One of many is enough for the shape that they share.
                let other = if path.ends_with("a.yaml") {
                    "limits"
                } else {
                    "settings"
                };
                let wrong = validator_of(other);
                assert!(
                    !wrong.is_valid(&yaml(source.text())),
                    "{path} is accepted as {other}"
                );
                break;
            }
        }
    }
}

fn validator_of(kind: &str) -> Validator {
    validator(&["rules", "--of", kind])
}

/// Puts a key that is not known into each map but those whose keys are names.
fn refused_anywhere(validator: &Validator, text: &str, named: &[&str]) {
    let whole = yaml(text);
    let places = maps(&whole, "", named);
    assert!(places.len() > 3, "{places:?}");
    for place in places {
        let mut spoilt = whole.clone();
        let map = spoilt.pointer_mut(&place).unwrap().as_object_mut().unwrap();
        map.insert("no_such_key".to_owned(), Value::from(1));
        assert!(
            !validator.is_valid(&spoilt),
            "a key at {place:?} is accepted"
        );
    }
}

fn maps(value: &Value, at: &str, named: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    match value {
        Value::Object(map) => {
            let last = at.rsplit('/').next().unwrap_or_default();
            let inside = at
                .split('/')
                .any(|step| ["measured", "every_mount", "consequences"].contains(&step));
            if !named.contains(&last) && !inside {
                found.push(at.to_owned());
            }
            for (key, value) in map {
                found.extend(maps(value, &format!("{at}/{key}"), named));
            }
        }
        Value::Array(list) => {
            for (index, value) in list.iter().enumerate() {
                found.extend(maps(value, &format!("{at}/{index}"), named));
            }
        }
        _ => {}
    }
    found
}

#[test]
fn every_rule_file_is_refused_as_another_kind() {
    let kinds = kinds();
    let mut tried = 0;
    for (path, source) in builtin::all() {
        let Some(own) = kind(&path) else { continue };
        for (name, validator) in &kinds {
            let alike = [own, name]
                .iter()
                .all(|kind| ["connections", "consequences"].contains(kind));
            if *name != own && !alike {
                assert!(
                    !validator.is_valid(&yaml(source.text())),
                    "{path} is accepted as {name}"
                );
                tried += 1;
            }
        }
    }
    assert!(tried > 100, "{tried}");
}

#[test]
fn a_quantity_that_can_be_read_is_accepted_and_one_that_cannot_is_refused() {
    let job = validator(&["job"]);
    let with = |text: &str| {
        let mut whole = yaml(include_str!("../rules/demo/forestry-crew.yaml"));
        whole["vehicle"]["track"] = Value::from(text);
        job.is_valid(&whole)
    };
    let good = [
        "50",
        "50 mm",
        " 2in ",
        "2 1/2 in",
        "1/2\"",
        "-5 cm",
        "+5",
        "12.5",
        ".5 in",
        "1e2",
        "1E+2 mm",
        "38 mm ±2",
        "38 ±2 mm",
        "2 in ± 1 mm",
        "38 +/- 2",
        "38+-2",
        "1 ft",
        "3 ″",
        "1/ 2 in",
    ];
    for text in good {
        let read = Quantity::parse(text, Unit::Mm).is_ok();
        // What the reader takes, the schema must take; the reader is asked, so that this list cannot be wrong about it.
        assert!(!read || with(text), "{text:?} is refused");
    }
    for text in [
        "", "forty", "mm", "4,5 mm", "±2", "a lot", "nan", "40 ±", "two in",
    ] {
        assert!(Quantity::parse(text, Unit::Mm).is_err(), "{text:?}");
        assert!(!with(text), "{text:?} is accepted");
    }
    for (text, unit) in [
        ("12°", Unit::Degree),
        ("62 N·m", Unit::NewtonMetre),
        ("20 lbf ft", Unit::NewtonMetre),
        ("200 N/mm2", Unit::Megapascal),
        ("90 km/h", Unit::KmPerHour),
        ("3 %", Unit::Percent),
    ] {
        assert!(
            Quantity::parse(text, unit).is_ok() && with(text),
            "{text:?}"
        );
    }
}

#[test]
fn every_word_that_the_schema_offers_is_known_to_the_reader() {
    let job = schema(&["job"]);
    let offered = job["$defs"].as_object().unwrap();
    let mut tried = 0;
    for (_, definition) in offered {
        for (field, described) in definition["properties"].as_object().into_iter().flatten() {
            for word in described["enum"]
                .as_array()
                .into_iter()
                .flatten()
                .filter_map(Value::as_str)
            {
                let mut whole = yaml(include_str!("../rules/demo/forestry-crew.yaml"));
                match field.as_str() {
                    "first_side" => whole["lift"]["raise"][0]["first_side"] = Value::from(word),
                    "material" => whole["lift"]["block"]["material"] = Value::from(word),
                    _ => whole["vehicle"][field] = Value::from(word),
                }
                let bench = Bench::new().file("job.yaml", whole.to_string());
                let outcome = bench.run(["check", "job.yaml"]).code(0);
                assert!(!outcome.stderr.contains("error"), "{field}: {word}");
                tried += 1;
            }
        }
    }
    assert!(tried >= 11, "{tried}");
}

#[test]
fn every_field_is_described() {
    for words in [&["job"][..], &["rules"]] {
        let schema = schema(words);
        for (name, definition) in schema["$defs"].as_object().unwrap() {
            for (field, described) in definition["properties"].as_object().into_iter().flatten() {
                assert!(
                    described["description"].is_string(),
                    "{name}.{field}: {described}"
                );
            }
        }
    }
}
