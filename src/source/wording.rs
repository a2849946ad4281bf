//! Mistakes and flaws → problems. Takes what was found and the node; gives the sentence, the place and the way out.

use super::flaw::Flaw;
use super::locator::{Id, Kind, Locator, Node};
use super::mistake::{Mistake, What, told};
use super::scalar::{Meaning, has_leading_zero, meaning};
use crate::report::{
    Code, Path, Place, Problem, did_you_mean, in_message, numbered, quoted, unknown_help,
};

/// More fields than this are not listed.
const LISTED: usize = 20;

/// A flaw of the text as a problem.
pub(super) fn flaw(flaw: Flaw, locator: &Locator, file: &str) -> Problem {
    let path = flaw.node.map_or_else(Path::root, |id| locator.path(id));
    let at = |span: super::locator::Span| {
        Place::new(file, path.at_bytes(span.start as usize, span.end as usize))
    };
    let mut problem = Problem::error(flaw.code, in_message(&flaw.message))
        .at(at(flaw.span))
        .label(flaw.label);
    problem.help = Some(flaw.help);
    match flaw.first {
        Some(first) => problem.related(at(first), "the first"),
        None => problem,
    }
}

/// A mistake about a node as a problem.
pub(super) fn mistake(mistake: &Mistake, id: Id, locator: &Locator, file: &str) -> Problem {
    let path = locator.path(id);
    let problem = match &mistake.what {
        What::UnknownField { given, known } => unknown_field(given, known, &path),
        What::MissingField { field, fields } => missing_field(field, fields, &path),
        What::WrongType { expected } => unfit(Code::WrongType, expected, &path, locator.node(id)),
        What::BadValue { expected } => unfit(Code::BadValue, expected, &path, locator.node(id)),
        What::WrongLength { found, expected } => {
            let expected = in_plain_words(expected);
            let found = numbered(*found, "item");
            let message = format!("{} has {found}, expected {expected}", named(&path));
            Problem::error(Code::WrongType, message).label(format!("expected {expected}"))
        }
        What::Custom(message) => custom(message),
    };
    let path = if mistake.at_key { path.at_key() } else { path };
    problem.at(Place::new(file, path))
}

/// The field that an unknown one was probably meant to be.
pub(super) fn meant(mistake: &Mistake) -> Option<String> {
    match &mistake.what {
        What::UnknownField { given, known } => did_you_mean(given, known.iter().copied()),
        _ => None,
    }
}

/// `links[3]`, or the file itself.
fn named(path: &Path) -> String {
    if path.is_root() {
        "the file".to_owned()
    } else {
        format!("`{path}`")
    }
}

fn unknown_field(given: &str, known: &[&'static str], path: &Path) -> Problem {
    let of = named(&path.parent().unwrap_or_else(Path::root));
    let given = in_message(given);
    let message = format!("`{given}` is not a field of {of}");
    Problem::error(Code::UnknownField, message)
        .label("not known here")
        .help(unknown_help(&given, known.iter().copied()))
}

fn missing_field(field: &str, fields: &[&'static str], path: &Path) -> Problem {
    let others: Vec<&str> = fields
        .iter()
        .copied()
        .filter(|name| *name != field)
        .collect();
    let list = match others.len() {
        1..=LISTED => format!("; other fields here: {}", others.join(", ")),
        _ => String::new(),
    };
    let message = format!("{} has no field `{field}`", named(path));
    Problem::error(Code::MissingField, message)
        .label(format!("`{field}` is missing"))
        .help(format!("add `{field}`{list}"))
}

/// A value that is not what its field takes.
fn unfit(code: Code, expected: &str, path: &Path, node: Option<&Node>) -> Problem {
    let expected = in_plain_words(expected);
    let found = node.map_or_else(|| "has no value".to_owned(), found);
    let message = format!("{} {found}, expected {expected}", named(path));
    let mut problem = Problem::error(code, message);
    problem.help = node.and_then(|node| way_out(node, &expected));
    problem.label(format!("expected {expected}"))
}

/// What stands there, as the rest of a sentence.
fn found(node: &Node) -> String {
    match &node.kind {
        Kind::List => "is a list".to_owned(),
        Kind::Map => "is a map".to_owned(),
        Kind::Scalar(scalar) if !scalar.plain => format!("is the text `{}`", quoted(&scalar.text)),
        Kind::Scalar(scalar) => match meaning(&scalar.text) {
            Meaning::Null => "has no value".to_owned(),
            Meaning::Bool(value) => format!("is `{value}`"),
            Meaning::Text(text) => format!("is the text `{}`", quoted(text)),
            Meaning::Unsigned(_) | Meaning::Signed(_) | Meaning::Float(_) => {
                format!("is the number `{}`", quoted(&scalar.text))
            }
        },
    }
}

/// Advice where the usual reason is known.
fn way_out(node: &Node, expected: &str) -> Option<String> {
    let Kind::Scalar(scalar) = &node.kind else {
        return None;
    };
    let text = quoted(&scalar.text);
    if scalar.plain && text.is_empty() {
        return Some(nothing_there(node));
    }
    let number = expected.contains("number");
    let is_number = matches!(
        meaning(&scalar.text),
        Meaning::Unsigned(_) | Meaning::Signed(_) | Meaning::Float(_)
    );
    if number && !scalar.plain && is_number {
        return Some(format!("write it without quotes: {text}"));
    }
    if number && has_leading_zero(&text) {
        return Some("write it without the leading zero".to_owned());
    }
    if number && text.contains(',') {
        return Some("write the decimal with a point".to_owned());
    }
    if expected == "text"
        && scalar.plain
        && meaning(&scalar.text) == Meaning::Null
        && !text.is_empty()
    {
        return Some(format!(
            "write a text there; where `{text}` itself is meant, in quotes: \"{text}\""
        ));
    }
    if expected == "`true` or `false`"
        && ["yes", "no", "on", "off"]
            .iter()
            .any(|word| text.eq_ignore_ascii_case(word))
    {
        return Some("write `true` or `false`".to_owned());
    }
    None
}

/// Advice where a key has nothing behind it.
fn nothing_there(node: &Node) -> String {
    let key = node.key.as_ref().map(|key| quoted(&key.scalar.text));
    match key.as_deref().and_then(|key| key.split_once(' ')) {
        Some((name, value)) => {
            format!(
                "write a colon and a space behind the name: `{name}: {}`",
                value.trim()
            )
        }
        None => {
            "what is not known yet is left out: put the `#` back in front of its line, or delete it"
                .to_owned()
        }
    }
}

/// What serde says it expected, in words that somebody who never saw the program's types can use.
fn in_plain_words(expected: &str) -> String {
    match expected {
        "a string" => "text".to_owned(),
        "a boolean" => "`true` or `false`".to_owned(),
        "f64" => "a number".to_owned(),
        "u32" => "a whole number that is not negative".to_owned(),
        "a sequence" => "a list".to_owned(),
        "a map" => "a map, `key: value`".to_owned(),
        _ => phrase(expected),
    }
}

fn phrase(expected: &str) -> String {
    let items = |count: &str| format!("a list of {}", numbered(count.parse().unwrap_or(0), "item"));
    if let Some(count) = expected.strip_prefix("an array of length ") {
        return items(count);
    }
    if let Some(count) = expected.strip_prefix("a tuple of size ") {
        return items(count);
    }
    if expected.starts_with("struct ") {
        return "a map of fields, `field: value`".to_owned();
    }
    in_message(expected)
}

/// A sentence of a type's own, with its way out.
fn custom(message: &str) -> Problem {
    let (message, help) = told(message);
    let mut problem = Problem::error(Code::BadValue, message);
    problem.help = help;
    problem
}
