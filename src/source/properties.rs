//! Properties of reading: no text makes it panic, places lie within the text, and a second parser reads the same values.

use proptest::prelude::*;
use serde::Deserialize;
use serde_yaml::Value as Other;

use super::*;
use crate::report::{Look, Report, is_unsafe_to_print, render};

/// A type with rules of every kind, so that mistakes of every kind occur.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(dead_code)]
struct Tree {
    name: String,
    #[serde(default)]
    size: Option<u8>,
    #[serde(default)]
    at: Option<[f64; 2]>,
    #[serde(default)]
    below: Vec<Tree>,
}

/// Reads and renders, and checks what must hold for any text.
fn read_any<T: serde::de::DeserializeOwned>(text: &str) -> Option<T> {
    let source = Source::from_text("any.yaml", text);
    let mut report = Report::new();
    let read = read::<T>(&source, &mut report);
    assert!(read.is_some() || report.has_errors());
    let mut sources = Sources::default();
    sources.add(source);
    let rendered = render(&report, &sources, Look::default());
    assert!(!rendered.contains(|c| c != '\n' && is_unsafe_to_print(c)));
    assert_eq!(report.is_empty(), rendered.is_empty());
    read.map(|read| read.value)
}

/// What YAML gives a meaning to, and what the types above do; one piece between two bars.
const PIECES: &str = "name|size|at|below|: |:|- |\n|\n  |\n    |\r\n|[|]|{|}|, |&a |*a|!t |!!str |\
    <<: |\"|'|>-\n|#| # c|---\n|...\n|%YAML 1.2\n|? |~|1|010|.nan|é|\u{202e}|\u{feff}|\t|\0|\u{85}|\u{2028}|\\e|😀|0x|\
    name: x\n|below:\n|- name: y\n|  size: 300\n|at: [1, x]\n";

/// Text made of such pieces.
fn yamlish() -> impl Strategy<Value = String> {
    let known: Vec<&str> = PIECES.split('|').chain(["|\n"]).collect();
    let piece = prop_oneof![
        4 => prop::sample::select(known).prop_map(str::to_owned),
        1 => "[a-z]{1,3}",
    ];
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

/// A value that both parsers can hold.
fn value() -> impl Strategy<Value = Other> {
    let leaf = prop_oneof![
        Just(Other::Null),
        any::<bool>().prop_map(Other::Bool),
        any::<i64>().prop_map(|n| Other::Number(n.into())),
        (-1e9..1e9).prop_map(|n: f64| Other::Number(n.into())),
        "[ -~é\n]{0,12}".prop_map(Other::String),
        prop::sample::select(vec![
            "",
            "~",
            "null",
            "yes",
            "010",
            "1:30",
            "0x1F",
            "- a",
            "a: b",
            "#",
            " x ",
            "'",
            "é\n\n é\n"
        ])
        .prop_map(|s| Other::String(s.to_owned())),
    ];
    leaf.prop_recursive(4, 40, 5, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 1..5).prop_map(Other::Sequence),
            prop::collection::btree_map("[ -~é]{1,8}", inner, 1..5).prop_map(|map| {
                let entries = map.into_iter().filter(|(key, _)| key != "<<");
                Other::Mapping(
                    entries
                        .map(|(key, value)| (Other::String(key), value))
                        .collect(),
                )
            }),
        ]
    })
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        if let Ok(source) = Source::from_bytes("any.yaml", bytes) {
            read_any::<Tree>(source.text());
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,80}") {
        read_any::<Tree>(&text);
        read_any::<Other>(&text);
    }

    #[test]
    fn any_yamlish_text_is_read_or_refused(text in yamlish()) {
        read_any::<Tree>(&text);
        read_any::<Other>(&text);
    }

    #[test]
    fn a_second_parser_reads_the_same(value in value()) {
        let value = Other::Sequence(vec![value]);
        let text = serde_yaml::to_string(&value).unwrap();
        let ours = read_any::<Other>(&text);
        prop_assert_eq!(ours, Some(value), "{}", text);
    }

    #[test]
    fn json_reads_the_same(value in value()) {
        let value = Other::Sequence(vec![value]);
        let text = serde_json::to_string_pretty(&value).unwrap();
        let ours = read_any::<Other>(&text);
        prop_assert_eq!(ours, Some(value), "{}", text);
    }
}
