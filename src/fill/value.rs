//! A value as somebody types it, as it stands in a job file.

use serde_json::Value;

use super::ToWrite;
use super::place::Around;
use crate::report::{Code, Problem, in_message, is_unsafe_to_print};

/// A piece of YAML on one line, and what it says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fragment {
    pub(super) text: String,
    pub(super) value: Value,
}

/// A typed value as YAML. A list or map is taken as it is, several holders of a connection as a list, everything else as one word or
/// number, in quotes only where it must be. `text` is whether its place holds words, in which a comma is one.
pub(super) fn fragment(change: &ToWrite, text: bool) -> Result<Fragment, Problem> {
    let typed = change.value.trim();
    let refused = |why: &str, help: &str| {
        let message = format!("{}: {why}", change.named());
        Err(Problem::error(Code::BadValue, message).help(help))
    };
    if typed.is_empty() {
        return refused("no value is given", "write it behind the `=`");
    }
    if typed.contains(['\n', '\r', '\t']) || typed.chars().any(is_unsafe_to_print) {
        return refused(
            "a value is one line of plain text",
            "write it without control characters",
        );
    }
    if typed.starts_with(['[', '{']) {
        return match super::yaml(typed) {
            Ok(value) => Ok(Fragment {
                text: typed.to_owned(),
                value,
            }),
            Err(why) => refused(&why, "close every bracket, and put commas between"),
        };
    }
    if change.place.ends_with(".held_by") && typed.contains(',') {
        let list = ToWrite {
            value: format!("[{typed}]"),
            ..change.clone()
        };
        return fragment(&list, text);
    }
    if text {
        return Ok(quoted(typed));
    }
    match with_point(typed) {
        Some(typed) => Ok(quoted(&typed)),
        None => refused(
            &format!("`{}` can be read in two ways", in_message(typed)),
            "write thousands without a comma, and decimals with a point",
        ),
    }
}

/// One word or number, in quotes where it would read as something else.
fn quoted(typed: &str) -> Fragment {
    let plain = is_plain(typed).then(|| super::yaml(typed).ok()).flatten();
    let same = plain.filter(|value| match value {
        Value::String(text) => text == typed,
        Value::Number(_) | Value::Bool(_) => true,
        _ => false,
    });
    match same {
        Some(value) => Fragment {
            text: typed.to_owned(),
            value,
        },
        None => Fragment {
            text: format!("'{}'", typed.replace('\'', "''")),
            value: Value::String(typed.to_owned()),
        },
    }
}

/// Whether a text needs no quotes whatever stands around it, and whoever reads it.
fn is_plain(text: &str) -> bool {
    let number = text.trim_start_matches(['+', '-']);
    let begins = text.starts_with(char::is_alphanumeric)
        || (text.len() == number.len() + 1 && number.starts_with(char::is_alphanumeric));
    // Before the comma that may follow, some take a last dash for the beginning of a list.
    let breaks =
        text.contains([',', '[', ']', '{', '}']) || text.contains(" #") || text.ends_with('-');
    // A time of day may have its colon.
    let mut colons = text.match_indices(':');
    let colons = colons.any(|(at, _)| {
        let behind = text.get(at + 1..).unwrap_or_default();
        !behind.starts_with(|sign: char| sign.is_ascii_digit())
    });
    begins && !breaks && !colons
}

/// A number with its decimal comma as a point; none where the comma may also stand between thousands. Other texts are left as they are.
fn with_point(typed: &str) -> Option<String> {
    let is_number = typed
        .trim_start_matches(['+', '-', '−'])
        .starts_with(|sign: char| sign.is_ascii_digit());
    if !is_number {
        return Some(typed.to_owned());
    }
    let mut out = String::with_capacity(typed.len());
    let mut rest = typed;
    while let Some((before, after)) = rest.split_once(',') {
        out.push_str(before);
        let digits = after.chars().take_while(char::is_ascii_digit).count();
        match (before.ends_with(|sign: char| sign.is_ascii_digit()), digits) {
            (true, 3) => return None,
            (true, 1..) => out.push('.'),
            _ => out.push(','),
        }
        rest = after;
    }
    out.push_str(rest);
    Some(out)
}

/// A value within the stretch that it is measured on.
pub(super) fn within(around: &Around, fragment: &Fragment) -> Result<Fragment, Problem> {
    let span = format!(
        "{{from: {}, to: {}, measured: {{{}: {}}}}}",
        around.from, around.to, around.name, fragment.text
    );
    let text = if around.first {
        format!("[{span}]")
    } else {
        span
    };
    let value = super::yaml(&text).map_err(|_| {
        let message = format!("`{}` cannot stand on a stretch", in_message(&fragment.text));
        Problem::error(Code::BadValue, message).help("write it into the file by hand")
    })?;
    Ok(Fragment { text, value })
}

/// A value in words, on one line.
pub(super) fn printed(value: &Value) -> Option<String> {
    match value {
        Value::Null => None,
        Value::String(text) => Some(text.clone()),
        Value::Array(list) => {
            let all: Vec<String> = list.iter().filter_map(printed).collect();
            Some(format!("[{}]", all.join(", ")))
        }
        other => Some(other.to_string()),
    }
}
