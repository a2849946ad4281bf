//! What stands in the way of reading a text at all. Takes what the builder and the parser met; gives a [`Flaw`] with its
//! bytes and the advice that fits the usual reasons. The file's name is added by `wording`.

use saphyr_parser::ScanError;

use super::chars::Chars;
use super::locator::{Id, Locator, Node, Span};
use crate::report::{Code, is_unsafe_to_print, quoted};

/// Lists and maps within each other.
pub(super) const MOST_DEPTH: usize = 64;

/// A problem found while building the tree.
#[derive(Debug)]
pub(super) struct Flaw {
    pub(super) code: Code,
    pub(super) message: String,
    pub(super) span: Span,
    /// The node it is about, if it has one.
    pub(super) node: Option<Id>,
    pub(super) label: &'static str,
    pub(super) help: String,
    /// Another place, such as the first of two equal keys.
    pub(super) first: Option<Span>,
}

impl Flaw {
    /// A flaw at these bytes, with its way out.
    pub(super) fn new(
        code: Code,
        span: Span,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self {
            code,
            message: message.into(),
            span,
            node: None,
            label: "",
            help: help.into(),
            first: None,
        }
    }

    pub(super) fn second_document(span: Span) -> Self {
        let message = "the file holds more than one document";
        let help = "put each document in its own file";
        Self {
            label: "a second document starts here",
            ..Self::new(Code::SeveralDocuments, span, message, help)
        }
    }

    pub(super) fn odd_key(span: Span) -> Self {
        let message = "a key is a plain word, not a list, a map, an alias, or a value with an anchor or a tag";
        let help = "write the key out; a text that begins with one of [ { * & ! needs quotes";
        Self::new(Code::BadYaml, span, message, help)
    }

    pub(super) fn too_deep(span: Span) -> Self {
        let message = format!("lists and maps are nested more than {MOST_DEPTH} deep");
        let help =
            "nothing that is read here is nested so deeply: look for a bracket that is not closed";
        Self::new(Code::TooDeep, span, message, help)
    }

    /// The first character that YAML does not allow. The parser takes some of them for the end of the text.
    pub(super) fn forbidden_character(text: &str) -> Option<Self> {
        let (at, c) = text.char_indices().find(|(_, c)| is_forbidden(*c))?;
        let start = u32::try_from(at).ok()?;
        let end = start + u32::try_from(c.len_utf8()).ok()?;
        let message = format!(
            "the character U+{:04X} is not allowed in YAML",
            u32::from(c)
        );
        let help = "delete it, or write it in double quotes as an escape such as `\\x1b`";
        Some(Self::new(
            Code::ControlCharacter,
            Span { start, end },
            message,
            help,
        ))
    }

    /// The colon that is missing in the line before the place where the parser notices; none where that line has one.
    fn without_colon(text: &str, byte: usize) -> Option<Self> {
        let (at, words) = line_before(text, byte)?;
        if words.contains(": ") || words.ends_with(':') {
            return None;
        }
        let start = u32::try_from(at).ok()?;
        let end = start + u32::try_from(words.len()).ok()?;
        let (dash, entry) = match words.strip_prefix("- ") {
            Some(entry) => ("- ", entry),
            None => ("", words),
        };
        let message = if entry.contains(':') {
            "a space seems to be missing behind the colon of this line"
        } else {
            "a colon seems to be missing in this line"
        };
        let meant = match entry.split_once(':').or_else(|| entry.split_once(' ')) {
            Some((key, value)) => format!("{dash}{key}: {}", value.trim()),
            None => format!("{dash}{entry}:"),
        };
        let help = format!("a key ends in a colon and a space; if this is one, write `{meant}`");
        Some(Self::new(Code::BadYaml, Span { start, end }, message, help))
    }

    pub(super) fn syntax(text: &str, chars: &Chars, error: &ScanError) -> Self {
        let info = error.info();
        let span = chars.span(*error.marker(), *error.marker());
        // The parser's own limit on brackets, which it may meet while looking ahead.
        if info.contains("recursion limit") {
            return Self::too_deep(span);
        }
        let colons = ["simple key expect ':'", "mapping values are not allowed"];
        if colons.iter().any(|told| info.contains(told))
            && let Some(flaw) = Self::without_colon(text, span.start as usize)
        {
            return flaw;
        }
        let help = advice(info, line_of(text, span.start as usize));
        Self::new(
            Code::BadYaml,
            span,
            format!("this is not valid YAML: {info}"),
            help,
        )
    }
}

/// The last line before a place that is more than a comment, with where it begins.
fn line_before(text: &str, byte: usize) -> Option<(usize, &str)> {
    let mut end = text.get(..byte)?.rfind('\n')?;
    loop {
        let before = text.get(..end)?;
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        let line = before.get(start..)?;
        let line = line.split(" #").next().unwrap_or_default().trim_end();
        let words = line.trim_start();
        if !words.is_empty() && !words.starts_with('#') {
            return Some((start + line.len() - words.len(), words));
        }
        end = start.checked_sub(1)?;
    }
}

/// YAML 1.2.2, 5.1: the printable characters, tab, line breaks.
fn is_forbidden(c: char) -> bool {
    let printable =
        matches!(c, ' '..='~') || !(c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}'));
    !(printable || matches!(c, '\t' | '\n' | '\r' | '\u{85}'))
}

fn line_of(text: &str, byte: usize) -> &str {
    let (before, after) = text.split_at_checked(byte).unwrap_or((text, ""));
    let start = before.rfind(['\n', '\r']).map_or(0, |at| at + 1);
    let end = after.find(['\n', '\r']).map_or(text.len(), |at| byte + at);
    text.get(start..end).unwrap_or_default()
}

/// What the usual reason is. A tab is met at the start of its line or, by the parser, at the end of the value before it.
fn advice(info: &str, line: &str) -> &'static str {
    let mut indent = line.chars().take_while(|c| c.is_whitespace());
    if indent.any(|c| c == '\t') || info.contains("found a tab") {
        "indent with spaces: YAML does not allow a tab there, nor at the start of the next line"
    } else if info.starts_with("unexpected character") {
        "put the text in quotes: one that begins with a sign such as @ ` % needs them"
    } else if line.contains(|c: char| is_unsafe_to_print(c) && c != '\t') {
        "an invisible character stands in this line: type the line again"
    } else {
        "look here and just above: indentation, quotes, brackets, and a space after each colon"
    }
}

/// Leaves out what should not be in a map.
pub(super) fn leave_out(locator: &mut Locator, map: Id) -> Vec<Flaw> {
    let mut keys: Vec<(&str, Id)> = locator
        .children(map)
        .filter_map(|(id, node)| Some((&*node.key.as_ref()?.scalar.text, id)))
        .collect();
    keys.sort_unstable();
    let mut flaws = Vec::new();
    for same in keys.chunk_by(|a, b| a.0 == b.0) {
        let [(key, first), again @ ..] = same else {
            continue;
        };
        if locator.node(*first).is_some_and(is_merge) {
            flaws.push(merge(locator, *first));
        }
        let again = again.iter();
        flaws.extend(again.map(|(_, id)| duplicate(locator, key, *first, *id)));
    }
    for id in flaws.iter().filter_map(|flaw| flaw.node) {
        locator.leave_out(id);
    }
    flaws
}

fn is_merge(node: &Node) -> bool {
    let key = node.key.as_ref();
    key.is_some_and(|key| key.scalar.plain && &*key.scalar.text == "<<")
}

fn merge(locator: &Locator, id: Id) -> Flaw {
    let message = "the merge key `<<` is not supported";
    let mut flaw = Flaw::new(
        Code::MergeKey,
        locator.key_span(id),
        message,
        "write the fields out",
    );
    flaw.node = Some(id);
    flaw
}

fn duplicate(locator: &Locator, key: &str, first: Id, id: Id) -> Flaw {
    let message = format!("the key `{}` stands twice in the same map", quoted(key));
    let help = "delete one of them, or give it its own key";
    Flaw {
        node: Some(id),
        label: "the second",
        first: Some(locator.key_span(first)),
        ..Flaw::new(Code::DuplicateKey, locator.key_span(id), message, help)
    }
}
