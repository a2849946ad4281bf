//! Parser events → the tree of values. Takes a text; gives the [`Locator`] and every problem that stands in the way of
//! reading it: syntax, nesting, aliases, several documents, duplicate keys. It never recurses, so that no text can
//! overflow the stack, and it stops at the first thing after which the text cannot be trusted.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

use saphyr_parser::{Event, Marker, Parser, ScalarStyle, ScanError, Tag};

use super::locator::{Id, Key, Kind, Locator, Node, ROOT, Scalar, Span};
use crate::report::{Code, is_unsafe_to_print};

/// Lists and maps within each other.
const MOST_DEPTH: usize = 64;
/// Values that aliases may add.
const MOST_ALIASED: usize = 2_000_000;
/// Bytes of text that aliases may add.
const MOST_ALIASED_BYTES: usize = 64 * 1024 * 1024;
/// Values in all.
const MOST_NODES: usize = 10_000_000;

/// A problem found while building, before the file's name is known.
#[derive(Debug)]
pub(super) struct Flaw {
    pub(super) code: Code,
    pub(super) message: String,
    pub(super) span: Span,
    /// The node it is about, if it has one.
    pub(super) node: Option<Id>,
    pub(super) label: &'static str,
    pub(super) help: Option<String>,
    /// Another place, such as the first of two equal keys.
    pub(super) first: Option<Span>,
}

/// A text, read.
#[derive(Debug, Default)]
pub(super) struct Built {
    pub(super) locator: Locator,
    pub(super) flaws: Vec<Flaw>,
    /// Whether the text was read to its end, so that its values can be trusted.
    pub(super) whole: bool,
}

/// Reads a text.
pub(super) fn build(text: &str) -> Built {
    if let Some(flaw) = forbidden_character(text) {
        return Built {
            flaws: vec![flaw],
            ..Built::default()
        };
    }
    let mut builder = Builder {
        chars: Chars::new(text),
        built: Built::default(),
        open: Vec::new(),
        key: None,
        anchors: BTreeMap::new(),
        aliased: 0,
        aliased_bytes: 0,
        documents: 0,
    };
    for event in Parser::new_from_str(text) {
        let taken = match event {
            Ok((event, span)) => builder.take(event, builder.chars.span(span.start, span.end)),
            Err(error) => Err(Stop::Flaw(Box::new(syntax(text, &builder.chars, &error)))),
        };
        match taken {
            Ok(()) => {}
            Err(Stop::SecondDocument(flaw)) => {
                builder.built.flaws.push(*flaw);
                break;
            }
            Err(Stop::Flaw(flaw)) => {
                builder.built.flaws.push(*flaw);
                builder.close_all();
                return builder.built;
            }
        }
    }
    builder.built.whole = true;
    builder.built
}

/// Why reading stops before the end.
enum Stop {
    /// What was read so far is the whole first document.
    SecondDocument(Box<Flaw>),
    /// What was read so far is not to be trusted.
    Flaw(Box<Flaw>),
}

impl Stop {
    fn new(code: Code, span: Span, message: impl Into<String>, help: &str) -> Self {
        Self::Flaw(Box::new(flaw(code, span, message, help)))
    }
}

fn flaw(code: Code, span: Span, message: impl Into<String>, help: &str) -> Flaw {
    Flaw {
        code,
        message: message.into(),
        span,
        node: None,
        label: "",
        help: Some(help.to_owned()),
        first: None,
    }
}

struct Builder {
    chars: Chars,
    built: Built,
    /// The lists and maps not yet closed.
    open: Vec<Open>,
    /// The key whose value comes next.
    key: Option<Key>,
    /// What each anchor stands for; nothing while it is still open.
    anchors: BTreeMap<usize, Option<Id>>,
    aliased: usize,
    aliased_bytes: usize,
    documents: usize,
}

struct Open {
    id: Id,
    children: u32,
    anchor: usize,
}

impl Builder {
    fn take(&mut self, event: Event<'_>, span: Span) -> Result<(), Stop> {
        match event {
            Event::DocumentStart(_) => self.document(span),
            Event::Scalar(text, style, anchor, tag) => self.scalar(text, style, anchor, tag, span),
            Event::SequenceStart(anchor, tag) => self.open(Kind::List, anchor, tag, span),
            Event::MappingStart(anchor, tag) => self.open(Kind::Map, anchor, tag, span),
            Event::SequenceEnd | Event::MappingEnd => {
                self.close(span);
                Ok(())
            }
            Event::Alias(anchor) => self.alias(anchor, span),
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => Ok(()),
        }
    }

    fn document(&mut self, span: Span) -> Result<(), Stop> {
        self.documents += 1;
        if self.documents == 1 {
            return Ok(());
        }
        let message = "the file holds more than one document";
        let mut second = flaw(
            Code::SeveralDocuments,
            span,
            message,
            "put each document in its own file",
        );
        second.label = "a second document starts here";
        Err(Stop::SecondDocument(Box::new(second)))
    }

    /// Whether the next node is a key.
    fn wants_key(&self) -> bool {
        let open = self
            .open
            .last()
            .and_then(|open| self.built.locator.node(open.id));
        self.key.is_none() && open.is_some_and(|node| matches!(node.kind, Kind::Map))
    }

    fn scalar(
        &mut self,
        text: Cow<'_, str>,
        style: ScalarStyle,
        anchor: usize,
        tag: Option<Cow<'_, Tag>>,
        span: Span,
    ) -> Result<(), Stop> {
        let core = tag.as_ref().filter(|tag| tag.is_yaml_core_schema());
        let is_text = core.is_some_and(|tag| tag.suffix == "str");
        let scalar = Scalar {
            text: text.into(),
            plain: style == ScalarStyle::Plain && !is_text,
        };
        if self.wants_key() {
            if anchor > 0 || tag.is_some() {
                return Err(odd_key(span));
            }
            self.key = Some(Key { scalar, span });
            return Ok(());
        }
        let id = self.add(Kind::Scalar(scalar), tag, span)?;
        if anchor > 0 {
            self.anchors.insert(anchor, Some(id));
        }
        Ok(())
    }

    fn open(
        &mut self,
        kind: Kind,
        anchor: usize,
        tag: Option<Cow<'_, Tag>>,
        span: Span,
    ) -> Result<(), Stop> {
        if self.wants_key() {
            return Err(odd_key(span));
        }
        if self.open.len() >= MOST_DEPTH {
            return Err(too_deep(span));
        }
        let id = self.add(kind, tag, span)?;
        if anchor > 0 {
            self.anchors.insert(anchor, None);
        }
        self.open.push(Open {
            id,
            children: 0,
            anchor,
        });
        Ok(())
    }

    fn close(&mut self, span: Span) {
        let Some(open) = self.open.pop() else { return };
        let end = self.next_id();
        if let Some(node) = self.built.locator.nodes.get_mut(open.id as usize) {
            node.end = end;
            // Only a collection in brackets has bytes of its own; in block form both ends are empty.
            if node.span.start < node.span.end {
                node.span.end = span.end.max(node.span.end);
            }
            if matches!(node.kind, Kind::Map) {
                self.find_duplicates(open.id);
            }
        }
        if open.anchor > 0 {
            self.anchors.insert(open.anchor, Some(open.id));
        }
    }

    /// After a mistake: what is open ends here, so that paths before the mistake can still be found.
    fn close_all(&mut self) {
        while !self.open.is_empty() {
            self.close(Span::default());
        }
    }

    fn next_id(&self) -> Id {
        // At most ten million nodes exist.
        u32::try_from(self.built.locator.nodes.len()).unwrap_or(u32::MAX)
    }

    /// Adds a node under the innermost open list or map.
    fn add(&mut self, kind: Kind, tag: Option<Cow<'_, Tag>>, span: Span) -> Result<Id, Stop> {
        let id = self.next_id();
        if self.built.locator.nodes.len() >= MOST_NODES {
            let message = "the file holds more than ten million values";
            return Err(Stop::new(
                Code::TooLarge,
                span,
                message,
                "split it into several files",
            ));
        }
        let (parent, slot) = self.next_place();
        let tag = tag.filter(|tag| !tag.is_yaml_core_schema());
        self.built.locator.nodes.push(Node {
            parent,
            end: id + 1,
            slot,
            dropped: false,
            span,
            key: self.key.take(),
            tag: tag.map(|tag| tag.to_string().into()),
            kind,
        });
        if self.built.locator.node(id).is_some_and(is_merge) {
            let message = "the merge key `<<` is not supported";
            let mut merge = flaw(
                Code::MergeKey,
                self.built.locator.key_span(id),
                message,
                "write the fields out",
            );
            merge.node = Some(id);
            self.built.flaws.push(merge);
            self.built.locator.leave_out(id);
        }
        Ok(id)
    }

    fn next_place(&mut self) -> (Id, u32) {
        match self.open.last_mut() {
            None => (ROOT, 0),
            Some(open) => {
                open.children += 1;
                (open.id, open.children - 1)
            }
        }
    }

    /// Repeats what an anchor stands for. The copy keeps the bytes of the anchor, but for its topmost node.
    fn alias(&mut self, anchor: usize, span: Span) -> Result<(), Stop> {
        let Some(Some(from)) = self.anchors.get(&anchor).copied() else {
            let message = "this alias stands inside what it repeats";
            return Err(Stop::new(
                Code::AliasBomb,
                span,
                message,
                "write the repeated part out",
            ));
        };
        if self.wants_key() {
            return Err(odd_key(span));
        }
        let end = self.built.locator.node(from).map_or(from, |node| node.end);
        self.afford(from, end, span)?;
        let to = self.next_id();
        let (parent, slot) = self.next_place();
        for id in from..end {
            let Some(mut node) = self.built.locator.node(id).cloned() else {
                break;
            };
            node.parent = to + node.parent.saturating_sub(from);
            node.end = to + (node.end - from);
            if id == from {
                (node.parent, node.slot, node.span) = (parent, slot, span);
                node.key = self.key.take();
                node.dropped = false;
            }
            self.built.locator.nodes.push(node);
        }
        Ok(())
    }

    /// Refuses an alias that would make the tree too deep or too large.
    fn afford(&mut self, from: Id, end: Id, span: Span) -> Result<(), Stop> {
        let copied = self
            .built
            .locator
            .nodes
            .get(from as usize..end as usize)
            .unwrap_or_default();
        self.aliased += copied.len();
        self.aliased_bytes += copied.iter().map(text_bytes).sum::<usize>();
        if self.aliased > MOST_ALIASED || self.aliased_bytes > MOST_ALIASED_BYTES {
            let message = format!(
                "aliases add more than {MOST_ALIASED} values to this file, or more than 64 MiB of text"
            );
            return Err(Stop::new(
                Code::AliasBomb,
                span,
                message,
                "write the repeated part out, or repeat less of it",
            ));
        }
        if self.open.len() + height(copied) > MOST_DEPTH {
            return Err(too_deep(span));
        }
        Ok(())
    }

    /// Reports every key that stands twice in a map, and leaves the later entry out.
    fn find_duplicates(&mut self, map: Id) {
        let locator = &self.built.locator;
        let key = |(id, node): (Id, &Node)| Some((Arc::clone(&node.key.as_ref()?.scalar.text), id));
        let mut keys: Vec<(Arc<str>, Id)> = locator.children(map).filter_map(key).collect();
        keys.sort_unstable();
        let mut repeated = Vec::new();
        for same in keys.chunk_by(|a, b| a.0 == b.0) {
            if let [(_, first), again @ ..] = same {
                repeated.extend(again.iter().map(|(key, id)| (Arc::clone(key), *first, *id)));
            }
        }
        for (key, first, id) in repeated {
            let locator = &mut self.built.locator;
            locator.leave_out(id);
            self.built.flaws.push(Flaw {
                code: Code::DuplicateKey,
                message: format!("the key `{key}` stands twice in the same map"),
                span: locator.key_span(id),
                node: Some(id),
                label: "the second",
                help: Some("delete one of them, or give it its own key".to_owned()),
                first: Some(locator.key_span(first)),
            });
        }
    }
}

fn is_merge(node: &Node) -> bool {
    let key = node.key.as_ref();
    key.is_some_and(|key| key.scalar.plain && &*key.scalar.text == "<<")
}

fn text_bytes(node: &Node) -> usize {
    let own = match &node.kind {
        Kind::Scalar(scalar) => scalar.text.len(),
        Kind::List | Kind::Map => 0,
    };
    own + node.key.as_ref().map_or(0, |key| key.scalar.text.len())
}

/// How many lists and maps stand within each other in a tree that starts with its topmost node.
fn height(nodes: &[Node]) -> usize {
    let mut ends: Vec<Id> = Vec::new();
    let mut most = 0;
    let first = nodes.first().map_or(0, |node| node.end) as usize - nodes.len();
    for (at, node) in nodes.iter().enumerate() {
        while ends.last().is_some_and(|end| (*end as usize) <= first + at) {
            ends.pop();
        }
        if !matches!(node.kind, Kind::Scalar(_)) {
            ends.push(node.end);
            most = most.max(ends.len());
        }
    }
    most
}

fn odd_key(span: Span) -> Stop {
    let message = "a key is a plain word, not a list, a map, an alias or a tagged value";
    Stop::new(
        Code::BadYaml,
        span,
        message,
        "write the key out; a text that begins with one of [ { * & ! needs quotes",
    )
}

fn too_deep(span: Span) -> Stop {
    let message = format!("lists and maps are nested more than {MOST_DEPTH} deep");
    Stop::new(
        Code::TooDeep,
        span,
        message,
        "nothing that is read here is nested so deeply: look for a bracket that is not closed",
    )
}

/// The first character that YAML does not allow. The parser takes some of them for the end of the text.
fn forbidden_character(text: &str) -> Option<Flaw> {
    let allowed = |c: char| {
        !(c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}'))
            || matches!(c, '\t' | '\n' | '\r' | '\u{85}')
    };
    let (at, c) = text.char_indices().find(|(_, c)| !allowed(*c))?;
    let start = u32::try_from(at).ok()?;
    let span = Span {
        start,
        end: start + u32::try_from(c.len_utf8()).ok()?,
    };
    let message = format!(
        "the character U+{:04X} is not allowed in YAML",
        u32::from(c)
    );
    Some(flaw(
        Code::ControlCharacter,
        span,
        message,
        "delete it, or write it in double quotes as an escape such as `\\x1b`",
    ))
}

/// A mistake in the syntax, with the advice that fits the usual reasons.
fn syntax(text: &str, chars: &Chars, error: &ScanError) -> Flaw {
    let info = error.info();
    let span = chars.span(*error.marker(), *error.marker());
    if info.contains("recursion limit") {
        let message = format!("lists and maps are nested more than {MOST_DEPTH} deep");
        return flaw(
            Code::TooDeep,
            span,
            message,
            "look for a bracket that is not closed",
        );
    }
    let line = text.get(..span.start as usize).unwrap_or_default();
    let line_start = line.rfind(['\n', '\r']).map_or(0, |at| at + 1);
    let indent = text.get(line_start..).unwrap_or_default().chars();
    let tab = indent
        .take_while(|c| c.is_whitespace() && !"\r\n".contains(*c))
        .any(|c| c == '\t');
    let odd = |c: char| is_unsafe_to_print(c) && !c.is_control();
    let help = if tab {
        "indent with spaces: YAML does not allow a tab there"
    } else if text
        .get(line_start..)
        .unwrap_or_default()
        .lines()
        .next()
        .is_some_and(|line| line.contains(odd))
    {
        "an invisible character stands in this line: type the line again"
    } else {
        "look here and just above: indentation, quotes, brackets, and a space after each colon"
    };
    flaw(
        Code::BadYaml,
        span,
        format!("this is not valid YAML: {info}"),
        help,
    )
}

/// Character numbers, which the parser counts in, as byte numbers.
struct Chars {
    /// The byte of each character; nothing for a text in ASCII, where they are the same.
    bytes: Option<Vec<u32>>,
    length: u32,
}

impl Chars {
    fn new(text: &str) -> Self {
        // A source is at most 64 MiB long.
        let byte = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        let bytes =
            (!text.is_ascii()).then(|| text.char_indices().map(|(at, _)| byte(at)).collect());
        Self {
            bytes,
            length: byte(text.len()),
        }
    }

    fn byte(&self, marker: Marker) -> u32 {
        match &self.bytes {
            Some(bytes) => bytes.get(marker.index()).copied(),
            None => u32::try_from(marker.index()).ok(),
        }
        .map_or(self.length, |byte| byte.min(self.length))
    }

    fn span(&self, start: Marker, end: Marker) -> Span {
        let start = self.byte(start);
        Span {
            start,
            end: self.byte(end).max(start),
        }
    }
}
