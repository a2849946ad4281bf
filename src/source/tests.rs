//! What reading gives for whole files: every problem at once, in the right place, and no way to hang or crash it.
//! The places were counted by hand; meanings of scalars are those of YAML 1.2.2, chapter 10.3 (core schema).

use std::collections::BTreeMap;

use serde::Deserialize;

use super::*;
use crate::report::{Code, Look, Path, Place, Problem, Report, render};

#[derive(Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Job {
    vehicle: String,
    rise: f64,
    #[serde(default)]
    parts: BTreeMap<String, Part>,
    #[serde(default)]
    links: Vec<Link>,
    #[serde(default)]
    demo: bool,
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Part {
    mass_kg: f64,
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Link {
    id: String,
    class: String,
    #[serde(default)]
    at: Option<[f64; 3]>,
}

struct Outcome {
    read: Option<Read<Job>>,
    report: Report,
    sources: Sources,
}

fn outcome(text: &str) -> Outcome {
    let source = Source::from_text("job.yaml", text);
    let mut report = Report::new();
    let read = read(&source, &mut report);
    let mut sources = Sources::default();
    sources.add(source);
    Outcome {
        read,
        report,
        sources,
    }
}

impl Outcome {
    fn rendered(&self) -> String {
        render(&self.report, &self.sources, Look::default())
    }

    /// `3:7 wrong-type`, for each problem in the order in which they are shown.
    fn places(&self) -> Vec<String> {
        let mut code = "";
        let rendered = self.rendered();
        let mut places = Vec::new();
        for line in rendered.lines() {
            if let Some((_, rest)) = line
                .split_once('[')
                .filter(|_| line.starts_with("error") || line.starts_with("note"))
            {
                code = rest.split(']').next().unwrap();
            } else if let Some((_, place)) = line.split_once("--> job.yaml") {
                places.push(format!("{} {code}", place.trim_start_matches(':')));
            }
        }
        places
    }

    fn codes(&self) -> Vec<Code> {
        self.report
            .problems
            .iter()
            .map(|problem| problem.code)
            .collect()
    }

    fn helps(&self) -> Vec<&str> {
        self.report
            .problems
            .iter()
            .filter_map(|problem| problem.help.as_deref())
            .collect()
    }
}

const MANY_MISTAKES: &str = "\
# Geländewagen, 40 mm
vehicle: \"invented\"
rise: \"40\"
parts:
  board: { mass_kg: 4.0 }
  Träger: { mas_kg: 1 }
  board: { mass_kg: 9.0 }
links:
  - id: j1
    class: hose
  - clas: cable
    id: j2
  - { id: j3, class: [wire], at: [1, x, 3] }
  - at: [1, 2]
  - id: j5
    class: cable
extra: 1
";

#[test]
fn all_problems_of_a_file_are_found_at_once() {
    let expected = [
        "3:7 wrong-type",
        "6:13 unknown-field",
        "7:3 duplicate-key",
        "11:5 unknown-field",
        "13:22 wrong-type",
        "13:38 wrong-type",
        "14:5 missing-field",
        "14:5 missing-field",
        "14:9 wrong-type",
        "17:1 unknown-field",
    ];
    assert_eq!(outcome(MANY_MISTAKES).places(), expected);
}

#[test]
fn carriage_returns_and_a_byte_order_mark_move_no_place() {
    let expected = outcome(MANY_MISTAKES).places();
    assert_eq!(
        outcome(&MANY_MISTAKES.replace('\n', "\r\n")).places(),
        expected
    );
    assert_eq!(
        outcome(&MANY_MISTAKES.replace('\n', "\r")).places(),
        expected
    );
    assert_eq!(
        outcome(&format!("\u{feff}{MANY_MISTAKES}")).places(),
        expected
    );
}

#[test]
fn the_value_comes_without_its_broken_entries_and_with_its_old_indices() {
    let text = MANY_MISTAKES.replace("\"40\"", "40");
    let read = outcome(&text).read.unwrap();
    let ids: Vec<&str> = read
        .value
        .links
        .iter()
        .map(|link| link.id.as_str())
        .collect();
    assert_eq!(ids, ["j1", "j5"]);
    let links = Path::root().key("links");
    assert_eq!(
        read.path(&links.index(1).key("id")).to_string(),
        "links[4].id"
    );
    assert_eq!(read.original_index(&links, 1), 4);
    assert!(read.is_broken(&links) && read.is_broken(&links.index(1)));
    assert!(!read.is_broken(&links.index(0)) && !read.is_broken(&links.index(4).key("id")));
    assert_eq!(read.value.parts["board"], Part { mass_kg: 4.0 });
    assert!(!read.value.parts.contains_key("Träger"));
    assert!(
        read.dropped
            .contains(&Path::root().key("parts").key("Träger"))
    );
}

#[test]
fn a_broken_entry_has_no_false_sequel() {
    // The list of three is short only because its second item is broken; the link lacks a class only by the slip.
    let found = outcome(
        "vehicle: v\nrise: 1\nlinks:\n- {id: a, clas: hose}\n- {id: b, class: hose, at: [1, x, 3]}\n",
    );
    assert_eq!(found.codes(), [Code::UnknownField, Code::WrongType]);
    // A field that is needed and broken is not missing as well; another one is.
    let found = outcome("vehicle: v\nrise: 1\nlinks:\n- {id: [], at: [1, 2, 3]}\n");
    assert_eq!(found.codes(), [Code::WrongType, Code::MissingField]);
    assert!(found.read.unwrap().value.links.is_empty());
}

#[test]
fn all_missing_fields_of_an_item_are_named() {
    let found = outcome("links: [{}]\n");
    let mut missing: Vec<String> = found
        .report
        .problems
        .iter()
        .map(|problem| problem.message.clone())
        .collect();
    missing.sort();
    assert_eq!(
        missing,
        [
            "`links[0]` has no field `class`",
            "`links[0]` has no field `id`",
            "the file has no field `rise`",
            "the file has no field `vehicle`",
        ]
    );
    assert!(found.read.is_none());
}

#[test]
fn json_is_read_as_well() {
    let found = outcome(
        "{\n\t\"vehicle\": \"v\\u00e9\", \"rise\": 40,\n\t\"links\": [{\"id\": \"a\", \"class\": \"hose\", \"at\": [1, 2, \"3\"]}]\n}\n",
    );
    assert_eq!(found.places(), ["3:54 wrong-type"]);
    assert_eq!(found.read.unwrap().value.vehicle, "vé");
}

#[test]
fn aliases_stand_for_their_anchors() {
    let text = "vehicle: &v Größe\nrise: 1\nparts: {a: &p {mass_kg: 4}, b: *p}\nlinks: [{id: *v, class: hose}]\n";
    let job = outcome(text).read.unwrap().value;
    assert_eq!(
        (job.parts["b"].mass_kg, job.links[0].id.as_str()),
        (4.0, "Größe")
    );
    let broken = outcome("vehicle: v\nrise: 1\nparts:\n  a: &p {mass_kg: x}\n  b: *p\n");
    assert_eq!(broken.places(), ["4:19 wrong-type", "4:19 wrong-type"]);
}

#[test]
fn traps_of_yaml_are_refused_with_the_way_out() {
    let of = |text: &str| {
        let found = outcome(text);
        (found.codes(), found.helps().join("; "))
    };
    assert_eq!(
        of("vehicle: ~\nrise: 1"),
        (
            vec![Code::WrongType],
            "write a text there; where `~` itself is meant, in quotes: \"~\"".into()
        )
    );
    assert_eq!(of("vehicle:\nrise: 1").0, [Code::WrongType]);
    assert_eq!(
        of("vehicle: v\nrise: 010"),
        (
            vec![Code::WrongType],
            "write it without the leading zero".into()
        )
    );
    assert_eq!(
        of("vehicle: v\nrise: 1,5"),
        (
            vec![Code::WrongType],
            "write the decimal with a point".into()
        )
    );
    assert_eq!(of("vehicle: v\nrise: 1:30").0, [Code::WrongType]);
    assert_eq!(of("vehicle: v\nrise: !x 1").0, [Code::BadValue]);
    assert_eq!(of("<<: {vehicle: v}\nrise: 1").0, [Code::MergeKey]);
}

#[test]
fn text_is_kept_as_it_was_typed() {
    let vehicle = |text: &str| {
        outcome(&format!("vehicle: {text}\nrise: 1"))
            .read
            .unwrap()
            .value
            .vehicle
    };
    assert_eq!(vehicle("1.10"), "1.10");
    assert_eq!(vehicle("010"), "010");
    assert_eq!(vehicle("no"), "no");
    assert_eq!(vehicle("true"), "true");
    assert_eq!(vehicle("'~'"), "~");
    assert_eq!(vehicle("!!str 7"), "7");
    assert_eq!(vehicle("|\n  one\n  two"), "one\ntwo\n");
    assert_eq!(vehicle(">-\n  one\n  two"), "one two");
}

#[test]
fn a_text_without_data_is_empty() {
    for text in [
        "",
        "\n\n",
        "# only a comment\n",
        "---\n",
        "---\n# nothing\n...\n",
        "~",
        "null",
    ] {
        assert_eq!(outcome(text).codes(), [Code::EmptyFile], "{text:?}");
    }
}

#[test]
fn mistakes_in_the_syntax_have_a_place_and_advice() {
    let found = outcome("vehicle: ü\nlinks:\n\t- id: a\n");
    assert_eq!(found.places(), ["3:2 bad-yaml"]);
    assert!(found.helps()[0].starts_with("indent with spaces"));
    assert_eq!(outcome("vehicle: 'v\n").places(), ["1:10 bad-yaml"]);
    assert_eq!(outcome("vehicle: v: w\n").places(), ["1:11 bad-yaml"]);
    assert_eq!(outcome("vehicle: *none\n").places(), ["1:10 bad-yaml"]);
    assert_eq!(outcome("? [a]\n: b\n").places(), ["1:3 bad-yaml"]);
    let hidden = outcome("vehicle: \u{202e}v: w\n");
    assert!(hidden.helps()[0].starts_with("an invisible character"));
}

#[test]
fn a_second_document_is_refused_and_the_first_is_read() {
    let found = outcome("vehicle: v\nrise: 1\nextra: 1\n---\nvehicle: [\n");
    assert_eq!(
        found.places(),
        ["3:1 unknown-field", "4:1 several-documents"]
    );
    assert_eq!(found.read.unwrap().value.vehicle, "v");
}

#[test]
fn the_limit_of_nesting_is_64() {
    let nested = |depth: usize| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
    let codes = |text: &str| outcome(text).codes();
    assert_eq!(codes(&nested(64)), [Code::WrongType]);
    assert_eq!(codes(&nested(65)), [Code::TooDeep]);
    // An alias counts with what it repeats: one map, one list, and the 62 or 63 of the anchor.
    let aliased = |depth: usize| format!("a: &x {}\nb: [*x]\n", nested(depth));
    assert!(!codes(&aliased(62)).contains(&Code::TooDeep));
    assert!(codes(&aliased(63)).contains(&Code::TooDeep));
}

#[test]
fn aliases_of_aliases_are_refused_before_they_grow() {
    let mut bomb = String::from("a0: &a0 [lol, lol, lol, lol, lol, lol, lol, lol, lol, lol]\n");
    for level in 1..12 {
        let repeats = vec![format!("*a{}", level - 1); 10].join(", ");
        bomb.extend([format!("a{level}: &a{level} [{repeats}]\n")]);
    }
    assert_eq!(outcome(&bomb).codes(), [Code::AliasBomb]);
    // Few values, but much text.
    let long = format!("- &a {}\n{}", "x".repeat(4_000), "- *a\n".repeat(1_100));
    assert_eq!(outcome(&long).codes(), [Code::AliasBomb]);
    assert_eq!(outcome("&a [*a]").codes(), [Code::AliasBomb]);
}

#[test]
fn a_very_long_line_is_shortened_round_the_caret() {
    let text = format!(
        "{{vehicle: {}, rise: x, demo: {}}}",
        "é".repeat(2_000),
        "z".repeat(4_000)
    );
    let rendered = outcome(&text).rendered();
    assert!(rendered.contains(" --> job.yaml:1:2019\n"), "{rendered}");
    assert!(rendered.contains("é, rise: x, demo: zzz"), "{rendered}");
    assert!(
        rendered.lines().all(|line| line.chars().count() <= 110),
        "{rendered}"
    );
    let caret = rendered
        .lines()
        .find(|line| line.contains("^ expected"))
        .unwrap();
    let shown = rendered
        .lines()
        .find(|line| line.contains("rise: x,"))
        .unwrap();
    let column = |line: &str, of: &str| line[..line.find(of).unwrap()].chars().count();
    assert_eq!(column(caret, "^"), column(shown, "x,"));
}

#[test]
fn a_place_that_is_not_in_the_text_is_still_named() {
    let mut found = outcome("vehicle: v\nrise: 1\n");
    let none = Place::new("job.yaml", Path::root().key("links").index(3));
    let rule = Place::new("rules/hose.yaml", Path::root().key("title"));
    found.report.push(
        Problem::warning(Code::BadValue, "odd")
            .at(none)
            .related(rule, "said here"),
    );
    assert_eq!(
        found.rendered(),
        "warning[bad-value]: odd\n--> job.yaml: links[3]\n::: rules/hose.yaml: title: said here\n"
    );
}

#[test]
fn problems_are_sorted_by_place_and_said_once() {
    let mut found = outcome("vehicle: v\nrise: 1\n");
    let problem = |key: &str| {
        Problem::warning(Code::BadValue, key).at(Place::new("job.yaml", Path::root().key_of(key)))
    };
    found
        .report
        .extend([problem("rise"), problem("vehicle"), problem("rise")]);
    let rendered = found.rendered();
    assert_eq!(rendered.matches("warning").count(), 2);
    assert!(rendered.find("1:1").unwrap() < rendered.find("2:1").unwrap());
}

#[test]
fn a_path_points_at_the_value_or_at_its_key() {
    let text = "a:\n  - b: {c: é, d: [1,\n     2]}\n  - \n    - x\ne: |\n  one\n  two\nf:\n";
    let locator = Locator::new(text);
    let at = |path: Path| text.get(locator.range(&path).unwrap()).unwrap();
    let item = Path::root().key("a").index(0);
    assert_eq!(at(item.key("b").key("c")), "é");
    assert_eq!(at(item.key("b").key_of("c")), "c");
    assert_eq!(at(item.key("b").key("d")), "[1,\n     2]");
    assert_eq!(at(item.key("b")), "{c: é, d: [1,\n     2]}");
    assert_eq!(at(item.clone()), "b");
    assert_eq!(at(Path::root().key("a")), "a");
    assert_eq!(at(Path::root().key("a").index(1)), "x");
    assert_eq!(at(Path::root().key("e")), "one\n  two\n");
    assert_eq!(at(Path::root().key("f")), "f");
    assert_eq!(locator.range(&item.key("z")), None);
}

/// YAML 1.2.2, 6.8.2: a tag may hold any character, written as its number.
#[test]
fn a_tag_is_told_whole_whatever_is_in_it() {
    let rendered = outcome("vehicle: !a%01b x\nrise: 40\n").rendered();
    let told = "the tag `!a\\u{1}b` has no meaning here";
    assert!(rendered.contains(told), "{rendered}");
}
